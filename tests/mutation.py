"""Would the tests of a room notice a fault in it? `python -m tests.mutation ledger` puts faults in, one by one.

`python -m tests.mutation --sample 60 --seed 1 acoustics ledger/layout.py` draws 60 faults in each place named, always the same ones
for one seed and one code, and runs those tests of the room that reach the changed statement, the quickest first. `--sample 0` tries
all, which takes days. What no test noticed is printed as a difference. What a fault is says mutmut (a figure one more, a
sign or comparison turned, an argument left out, a branch forced); where it is put says this file, because mutmut leaves alone what is
decorated (properties, cached functions) and what is no function (tables, constants).
"""

from __future__ import annotations

import argparse
import contextlib
import difflib
import importlib
import json
import os
import random
import resource
import select
import shutil
import signal
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import coverage
import libcst as cst
import pytest
from libcst.metadata import MetadataWrapper, PositionProvider

from tests import shared

ROOT = Path(__file__).parents[1]
COPIED = (
    "reportgen",
    "templates",
    "tests",
    "workbooks",
    ".ci",
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    ".gitignore",
)
WARM = ("hypothesis", "lxml.etree", "numpy", "openpyxl", "pytest", "scipy.optimize", "scipy.signal", "scipy.special")
"""Imported once, before a process is split off for each fault."""
OTHER = (cst.Annotation, cst.Decorator, cst.Import, cst.ImportFrom)
"""Words for the type checker and for the import of a module: no behaviour, or none that could be missed."""
SPARED = frozenset({"isinstance", "len", "cast", "TypeVar", "NewType"})
"""Calls in which a fault is noticed by any call, or by the type checker only."""
NOTICED, SURVIVED, UNREACHED = "noticed", "survived", "no test reaches it"


@dataclass(frozen=True)
class Fault:
    """A place in a module where something can be put wrong: first and last line of its statement, and the changed text."""

    path: str
    lines: tuple[int, int]
    whole: cst.Module
    node: cst.CSTNode
    ways: tuple[cst.CSTNode, ...]

    def text(self, draw: random.Random) -> str:
        """The module with one of the ways put in."""
        changed = self.whole.deep_replace(self.node, draw.choice(self.ways))
        return changed.code if isinstance(changed, cst.Module) else self.whole.code


@dataclass(frozen=True)
class Reached:
    """What the tests of a room reach in its code: tests by file and line, seconds of processor time by test."""

    tests: Mapping[str, Mapping[int, Collection[str]]]
    seconds: Mapping[str, float]

    def of(self, path: str, lines: tuple[int, int]) -> list[str]:
        """Tests that reach a statement, the quickest first; those of a table are all that reach its module.

        What one test made and the next one of its file took over is reached by both: the other tests of the file follow.
        """
        by_line = self.tests.get(path, {})
        direct = {test for line, tests in by_line.items() if lines[0] <= line <= lines[1] for test in tests}
        if direct == {""}:
            direct = {test for tests in by_line.values() for test in tests}
        direct &= set(self.seconds)
        files = {test.split("::")[0] for test in direct}
        rest = {test for test in self.seconds if test.split("::")[0] in files} - direct
        return [*sorted(direct, key=self.seconds.__getitem__), *sorted(rest, key=self.seconds.__getitem__)]


class Watching:
    """Plugin of a run without faults: says to the coverage tool which test runs, and notes its time and its end."""

    def __init__(self, watcher: coverage.Coverage) -> None:
        self.watcher = watcher
        self.seconds: dict[str, float] = {}
        self.bad: set[str] = set()
        self.file = ""

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Any:
        file = item.nodeid.split("::")[0]
        if file != self.file:
            forget()
        self.file = file
        self.watcher.switch_context(item.nodeid)
        started = processor_s()
        result = yield
        self.seconds[item.nodeid] = processor_s() - started
        self.watcher.switch_context("")
        return result

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if not report.passed:
            self.bad.add(report.nodeid)


class Choosing:
    """Plugin of a run with a fault: keeps the tests named, in their order."""

    def __init__(self, tests: Sequence[str]) -> None:
        self.rank = {test: place for place, test in enumerate(tests)}

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = sorted((item for item in items if item.nodeid in self.rank), key=lambda item: self.rank[item.nodeid])


def forget() -> None:
    """Empty what modules keep, so that each file reaches what it rests on; the demo is only read."""
    for name, module in list(sys.modules.items()):
        if name.startswith(("tests.", "reportgen.")):
            for own, kept in list(vars(module).items()):
                if own != "demo" and callable(getattr(kept, "cache_clear", None)):
                    kept.cache_clear()


def processor_s() -> float:
    """Processor time of this process and of those it waited for (s)."""
    return sum(os.times()[:4])


def own_tests(room: str) -> list[str]:
    """The tests of a room: its folder or file, its examples, and what holds it against the outside world."""
    outside = [
        path
        for path in ROOT.glob("tests/reference/test_*.py")
        if f"reportgen.{room}" in path.read_text(encoding="utf-8")
    ]
    found = [ROOT / "tests" / room, ROOT / "tests" / f"test_{room}.py", *sorted(outside), ROOT / "reportgen" / room]
    return [str(path.relative_to(ROOT)) for path in found if path.exists()]


def spared(node: cst.CSTNode) -> bool:
    """True where no fault is put in: words for the type checker, names handed on, and texts that stand alone (docstrings)."""
    if isinstance(node, cst.Call) and isinstance(node.func, cst.Name):
        return node.func.value in SPARED
    if isinstance(node, cst.Assign) and isinstance(target := node.targets[0].target, cst.Name):
        return target.value == "__all__" or (isinstance(node.value, cst.Subscript) and target.value.istitle())
    return isinstance(node, OTHER) or (isinstance(node, cst.Expr) and isinstance(node.value, cst.SimpleString))


def faults(path: Path) -> Iterator[Fault]:
    """Every place of a module where a fault can be put, in the order of the text."""
    from mutmut.mutation.mutators import mutation_operators

    wrapper = MetadataWrapper(cst.parse_module(path.read_text(encoding="utf-8")))
    where, name = wrapper.resolve(PositionProvider), str(path.relative_to(ROOT))

    def below(node: cst.CSTNode, lines: tuple[int, int]) -> Iterator[Fault]:
        if spared(node):
            return
        if isinstance(node, cst.SimpleStatementLine):
            lines = (where[node].start.line, where[node].end.line)
        elif isinstance(node, cst.BaseCompoundStatement):
            lines = (where[node].start.line, where[node.body].start.line)
        for kind, change in mutation_operators:
            if isinstance(node, kind) and (ways := tuple(change(node))):
                yield Fault(name, lines, wrapper.module, node, ways)
        for child in node.children:
            yield from below(child, lines)

    yield from below(wrapper.module, (1, 1))


def apart(folder: Path, work: Callable[[], int], limit_s: float) -> int:
    """What a piece of work returns that runs in a process of its own, in the folder; minus the signal that ended it.

    The limit is of processor time, so that a busy machine ends nothing; who only waits is ended at twice that by the wall clock.
    """
    child = os.fork()
    if child == 0:
        code = 70
        try:
            os.setsid()
            os.chdir(folder)
            resource.setrlimit(resource.RLIMIT_CPU, (int(limit_s), int(limit_s)))
            quiet = os.open(folder / "told.txt", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(quiet, 1)
            os.dup2(quiet, 2)
            code = work()
        finally:
            os._exit(code)
    ends = os.pidfd_open(child)
    select.select([ends], [], [], 2.0 * limit_s)
    os.close(ends)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status)


def tested(folder: Path, tests: Sequence[str], plugin: object) -> int:
    """The tests run in this process on the copy; what pytest returns."""
    from hypothesis import Phase, settings

    for name in [name for name in sys.modules if name.split(".")[0] in {"tests", "reportgen"}]:
        del sys.modules[name]
    sys.path.insert(0, str(folder))
    os.environ["PYTHONPATH"] = str(folder)
    settings.register_profile(
        "faults", phases=(Phase.explicit, Phase.generate), derandomize=True, database=None, deadline=None
    )
    settings.load_profile("faults")
    options = ("-q", "-p", "no:cacheprovider", "-n", "0", f"--rootdir={folder}")
    return int(pytest.main([*options, *(() if isinstance(plugin, Watching) else ("-x",)), *tests], plugins=[plugin]))


def watched(folder: Path, tests: Sequence[str]) -> Reached:
    """A run without faults: what each test reaches. Tests that fail as it is are left out and named."""
    target = folder / "reached.json"

    def work() -> int:
        watcher = coverage.Coverage(data_file=None, source=[str(folder / "reportgen")])
        plugin = Watching(watcher)
        watcher.start()
        tested(folder, tests, plugin)
        watcher.stop()
        data = watcher.get_data()
        lines = {str(Path(file).relative_to(folder)): data.contexts_by_lineno(file) for file in data.measured_files()}
        seconds = {test: spent for test, spent in plugin.seconds.items() if test not in plugin.bad}
        target.write_text(json.dumps({"lines": lines, "seconds": seconds, "bad": sorted(plugin.bad)}), encoding="utf-8")
        return 0

    apart(folder, work, 3600.0)
    if not target.exists():
        raise RuntimeError(f"the tests did not run: {(folder / 'told.txt').read_text(encoding='utf-8')[-2000:]}")
    found = json.loads(target.read_text(encoding="utf-8"))
    for test in found["bad"]:
        print(f"left out, fails or is skipped without a fault: {test}", file=sys.stderr)
    lines = {path: {int(line): set(tests) for line, tests in of.items()} for path, of in found["lines"].items()}
    return Reached(lines, found["seconds"])


def outcome(folder: Path, fault: Fault, text: str, reached: Reached) -> str:
    """What the tests say of one fault."""
    tests = reached.of(fault.path, fault.lines)
    if not tests:
        return UNREACHED
    module, before = folder / fault.path, (folder / fault.path).read_text(encoding="utf-8")
    module.write_text(text, encoding="utf-8")
    usual_s = sum(reached.seconds[test] for test in tests)
    files = list(dict.fromkeys(test.split("::")[0] for test in tests))
    code = apart(folder, lambda: tested(folder, files, Choosing(tests)), 60.0 + 3.0 * usual_s)
    module.write_text(before, encoding="utf-8")
    return SURVIVED if code == 0 else NOTICED


def tried(place: str, tests: Sequence[str], count: int, seed: int) -> Iterator[tuple[str, str]]:
    """What became of each fault drawn in a place, with the fault as a difference."""
    room, below = place.split("/", maxsplit=1)[0].removesuffix(".py"), ROOT / "reportgen" / place
    modules = sorted(below.rglob("*.py")) if below.is_dir() else [below]
    every = [fault for module in modules for fault in faults(module)]
    draw = random.Random(seed)
    with tempfile.TemporaryDirectory(prefix="mutation-") as name:
        folder = Path(name)
        for part in COPIED:
            if (ROOT / part).is_dir():
                shutil.copytree(ROOT / part, folder / part, ignore=shutil.ignore_patterns("__pycache__"))
            else:
                shutil.copy(ROOT / part, folder / part)
        reached = watched(folder, list(tests) or own_tests(room))
        for fault in draw.sample(every, min(count or len(every), len(every))):
            text = fault.text(draw)
            pair = (fault.whole.code.splitlines(), text.splitlines())
            difference = "\n".join(difflib.unified_diff(*pair, fault.path, fault.path, lineterm="", n=1))
            yield outcome(folder, fault, text, reached), difference


def main(arguments: Sequence[str] | None = None) -> int:
    """Try faults in each place, print a table of what was noticed and every fault that was not."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("places", nargs="+", metavar="ROOM", help="a room or a module below reportgen/")
    parser.add_argument("--sample", type=int, default=60, metavar="N", help="faults to try in each place (60); 0: all")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="another draw of them")
    parser.add_argument("--tests", nargs="+", default=(), metavar="FILE", help="only these tests")
    parsed = parser.parse_args(arguments)
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    sys.dont_write_bytecode = True
    os.environ[shared.FOLDER] = ""  # each file of tests reaches what it rests on
    importlib.import_module("tests.conftest")  # one core for each process, said before numpy comes
    for name in WARM:
        importlib.import_module(name)
    print("| place | faults | noticed | share | processor time, s |\n|---|---:|---:|---:|---:|", flush=True)
    for place in parsed.places:
        started, counts = processor_s(), defaultdict[str, int](int)
        for number, (said, difference) in enumerate(tried(place, parsed.tests, parsed.sample, parsed.seed), start=1):
            counts[said] += 1
            note = "" if said == NOTICED else f":\n{difference}\n"
            print(f"{time.strftime('%H:%M:%S')} {place} {number} {said}{note}", file=sys.stderr, flush=True)
        total, seconds = sum(counts.values()), processor_s() - started
        share = counts[NOTICED] / max(total, 1)
        print(f"| {place} | {total} | {counts[NOTICED]} | {share:.0%} | {seconds:.0f} |", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
