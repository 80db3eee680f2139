"""The house's own rules, read off its source: one way of imports, no circle, no star, engines in their rooms."""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Callable, Iterable
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "reportgen"
MODULES = sorted(PACKAGE.rglob("*.py"))

ORDER = (
    ("problems", "acoustics", "late"),
    ("catalogue", "crossover"),
    ("pairing",),
    ("suitability",),
    ("assessment",),
    ("advice",),
    ("ledger", "paper"),
    ("commands",),
    ("cli",),
    ("__main__",),
)
"""The rooms and modules of the house from the lowest floor up; those of one floor do not see each other."""

NEVER = {"acoustics": {"problems"}, "crossover": {"problems"}, "catalogue": {"acoustics"}}
"""What a room does not import although it lies lower."""

BELOW = {
    room: {one for lower in ORDER[:floor] for one in lower} - NEVER.get(room, set())
    for floor, rooms in enumerate(ORDER)
    for room in rooms
}
"""Room or module -> what it may import beside itself and the package's own version."""

ENGINES = {
    "openpyxl": {"catalogue", "ledger"},
    "jinja2": {"paper"},
    "weasyprint": {"paper"},
}


def room(path: Path) -> str:
    parts = path.relative_to(PACKAGE).with_suffix("").parts
    return parts[0]


@cache
def nodes(text: str) -> tuple[ast.AST, ...]:
    """All of a module's syntax, the module itself first; read once for all rules."""
    return tuple(ast.walk(ast.parse(text)))


def imported(path: Path) -> list[ast.Import | ast.ImportFrom]:
    return [node for node in nodes(path.read_text()) if isinstance(node, ast.Import | ast.ImportFrom)]


def names(node: ast.Import | ast.ImportFrom) -> list[str]:
    """Full names of the modules a statement may bring in."""
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    assert node.level == 0, "relative imports hide the room"
    return [f"{node.module}.{alias.name}" for alias in node.names]


def upward(path: Path) -> list[str]:
    """What a module imports of its own house that it must not see."""
    own = room(path)
    if own == "__init__":
        return []
    found = [name.split(".") for node in imported(path) for name in names(node)]
    ours = [parts for parts in found if parts[0] == "reportgen" and len(parts) > 1]
    return [".".join(parts) for parts in ours if parts[1] not in BELOW[own] | {own, "__version__"}]


def strayed(path: Path) -> list[str]:
    """Imports of an engine outside its rooms, and stars."""
    found = imported(path)
    engines = [name for node in found for name in names(node) if name.split(".")[0] in ENGINES]
    stars = [ast.unparse(node) for node in found if any(alias.name == "*" for alias in node.names)]
    return stars + [name for name in engines if room(path) not in ENGINES[name.split(".")[0]]]


def unexplained(path: Path) -> list[str]:
    """Public functions and classes without a docstring, and the module itself."""
    tree = ast.parse(path.read_text())
    defined = [node for node in tree.body if isinstance(node, ast.FunctionDef | ast.ClassDef)]
    silent = [node.name for node in defined if not node.name.startswith("_") and not ast.get_docstring(node)]
    return silent if ast.get_docstring(tree) else ["the module", *silent]


def too_long(path: Path) -> list[str]:
    """Functions that do not fit a screen of 60 lines."""
    functions = [node for node in nodes(path.read_text()) if isinstance(node, ast.FunctionDef)]
    return [node.name for node in functions if (node.end_lineno or 0) - node.lineno >= 60]


def broken(rule: Callable[[Path], list[str]], files: Iterable[Path] = MODULES) -> dict[str, list[str]]:
    """File -> how it breaks the rule, for the files that do."""
    return {str(path.relative_to(PACKAGE)): found for path in files if (found := rule(path))}


def test_imports_point_one_way() -> None:
    assert broken(upward) == {}


def test_engines_stay_in_their_rooms_and_no_star_is_imported() -> None:
    assert broken(strayed) == {}


def test_every_public_name_is_explained() -> None:
    assert broken(unexplained) == {}


def test_functions_fit_a_screen() -> None:
    assert broken(too_long) == {}


def test_each_rule_finds_its_breach(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A module that breaks all four rules is told for each."""
    assert len(MODULES) > 100
    monkeypatch.setattr("tests.test_architecture.PACKAGE", tmp_path)
    bad = tmp_path / "acoustics" / "bad.py"
    bad.parent.mkdir()
    body = "    pass\n" * 60
    bad.write_text(f"import jinja2\nfrom numpy import *\nfrom reportgen.paper import pages\ndef long():\n{body}")
    assert upward(bad) == ["reportgen.paper.pages"]
    assert strayed(bad) == ["from numpy import *", "jinja2"]
    assert unexplained(bad) == ["the module", "long"] and too_long(bad) == ["long"]


def test_no_circle_of_modules() -> None:
    known = {".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts): path for path in MODULES}
    graph: dict[str, set[str]] = {}
    for name, path in known.items():
        wanted = {full for node in imported(path) for full in names(node)}
        graph[name] = {
            one for full in wanted for one in (full, full.rpartition(".")[0]) if one in known and one != name
        }
        graph[name].discard("reportgen")
    try:
        order = tuple(TopologicalSorter(graph).static_order())
    except CycleError as error:
        pytest.fail(f"imports run in a circle: {error.args[1]}")
    assert set(order) >= set(known)


FOR_OTHERS = {
    "wrap_str_format": "the template engine calls it",
    "columns_reference": "`python -m tests.documentation` writes the column reference with it",
    "level_pad": "a form of the handbooks, held against them beside those that the search starts from",
    "nearest_preferred": "the series of IEC 60063, held against the standard",
}
"""What nothing in the program calls, and why it is there all the same."""


def test_nothing_stays_without_a_caller() -> None:
    """Every function, method and class is named once more in the program or its templates, outside of docstrings."""
    sources = {path: path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py")}
    templates = [path.read_text(encoding="utf-8") for path in (PACKAGE.parent / "templates").glob("*.html")]
    named = Counter(word for text in (*sources.values(), *templates) for word in re.findall(r"\w+", text))
    defined = set[str]()
    for text in sources.values():
        for node in nodes(text):
            if isinstance(node, ast.Module | ast.FunctionDef | ast.ClassDef):
                named.subtract(re.findall(r"\w+", ast.get_docstring(node, clean=False) or ""))
            if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("__"):
                defined.add(node.name)
    assert {name for name in defined if named[name] < 2} == set(FOR_OTHERS)
