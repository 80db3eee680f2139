"""Would the tests of a room notice a fault in it? `python -m tests.mutation ledger` puts faults in, one by one.

`python -m tests.mutation ledger/layout.py acoustics --of 40` tries 40 faults in each place named, drawn at random and always
the same ones for one `--seed`; `--of 0` tries all, which takes hours for a room. `--tests` names the tests that shall
notice, in place of all those of the room. What they did not notice is printed as a difference. The tool is mutmut; it leaves alone what is decorated (properties) and what is no function (tables).
"""

from __future__ import annotations

import argparse
import json
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).parents[1]
COPIED = ("reportgen", "templates", "tests", "workbooks", ".ci", "README.md", "DEVELOPERS.md")
SURVIVED = (0, 33)
"""What mutmut notes of a fault that no test noticed, and of one that no test reaches."""
SETTINGS = """
[tool.mutmut]
source_paths = ["reportgen"]
only_mutate = ["reportgen/{place}"]
also_copy = ["templates", "tests", "workbooks", ".ci", "README.md", "DEVELOPERS.md", "pyproject.toml"]
pytest_add_cli_args_test_selection = {tests}
pytest_add_cli_args = ["-q", "--import-mode=importlib", "--doctest-modules", "-p", "no:cacheprovider"]
[tool.pytest.ini_options]
pythonpath = ["."]
"""


def own_tests(room: str) -> list[str]:
    """The tests of a room: its folder or file, its examples, and what holds it against the outside world."""
    found = [ROOT / "tests" / room, ROOT / "tests" / f"test_{room}.py", *ROOT.glob(f"tests/reference/test_{room}*.py")]
    examples = ROOT / "reportgen" / room
    return [str(path.relative_to(ROOT)) for path in (*found, examples) if path.exists()]


def mutmut(folder: Path, *arguments: str) -> str:
    """All that a command of the tool prints."""
    done = subprocess.run(
        [sys.executable, "-m", "mutmut", *arguments], cwd=folder, capture_output=True, text=True, check=False
    )
    return done.stdout + done.stderr


def noted(folder: Path) -> dict[str, int | None]:
    """Every fault that can be put in, and what the tool notes of it; None: not tried."""
    found: dict[str, int | None] = {}
    for meta in folder.glob("mutants/reportgen/**/*.meta"):
        found |= json.loads(meta.read_text(encoding="utf-8"))["exit_code_by_key"]
    return found


def tried(folder: Path, place: str, tests: Sequence[str], count: int, seed: int) -> dict[str, int]:
    """Name of each fault that was tried in the place, and what the tool notes of it."""
    room = place.split("/", maxsplit=1)[0].removesuffix(".py")
    pattern = place if place.endswith(".py") else f"{place}/*"
    for name in COPIED:
        copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copy
        copy(ROOT / name, folder / name)
    settings = SETTINGS.format(place=pattern, tests=json.dumps(list(tests) or own_tests(room)))
    (folder / "pyproject.toml").write_text(settings, encoding="utf-8")
    told = mutmut(folder, "run", "none of them")  # writes the faults down and stops
    names = sorted(noted(folder))
    chosen = random.Random(seed).sample(names, min(count or len(names), len(names)))
    told += mutmut(folder, "run", "--max-children", "1", *chosen)
    found = {name: noted(folder)[name] for name in chosen}
    if not found or None in found.values():
        raise RuntimeError(f"mutmut did not try its faults in {place}: {told[-3000:]}")
    return {name: code for name, code in found.items() if code is not None}


def main(arguments: Sequence[str] | None = None) -> int:
    """Try faults in each place, print a table of what was noticed and every fault that was not."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("places", nargs="+", metavar="PLACE", help="a room or a module below reportgen/")
    parser.add_argument("--of", type=int, default=60, metavar="N", help="faults to try in each place (60); 0: all")
    parser.add_argument("--tests", nargs="+", default=(), metavar="FILE", help="only these tests")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="another draw of them")
    parsed = parser.parse_args(arguments)
    print("| place | faults | noticed | share |\n|---|---:|---:|---:|")
    for place in parsed.places:
        with tempfile.TemporaryDirectory(prefix="mutation-") as name:
            found = tried(Path(name), place, parsed.tests, parsed.of, parsed.seed)
            survivors = [one for one, code in found.items() if code in SURVIVED]
            noticed = len(found) - len(survivors)
            print(f"| {place} | {len(found)} | {noticed} | {noticed / max(len(found), 1):.0%} |", flush=True)
            for one in survivors:
                print(f"\n{mutmut(Path(name), 'show', one).strip()}\n", file=sys.stderr, flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
