"""The house's own rules, read off its source: one way of imports, no circle, no star, engines in their rooms."""

from __future__ import annotations

import ast
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "reportgen"
MODULES = sorted(PACKAGE.rglob("*.py"))

ORDER = (
    ("problems", "acoustics"),
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


def imported(path: Path) -> list[ast.Import | ast.ImportFrom]:
    return [node for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.Import | ast.ImportFrom)]


def names(node: ast.Import | ast.ImportFrom) -> list[str]:
    """Full names of the modules a statement may bring in."""
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    assert node.level == 0, "relative imports hide the room"
    return [f"{node.module}.{alias.name}" for alias in node.names]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_point_one_way(path: Path) -> None:
    own = room(path)
    if own == "__init__":
        return
    for node in imported(path):
        for name in names(node):
            parts = name.split(".")
            if parts[0] != "reportgen" or len(parts) < 2 or parts[1] in (own, "__version__"):
                continue
            assert parts[1] in BELOW[own], f"{path.name} imports {name}"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_engines_stay_in_their_rooms_and_no_star_is_imported(path: Path) -> None:
    for node in imported(path):
        assert all(alias.name != "*" for alias in node.names)
        for name in names(node):
            rooms = ENGINES.get(name.split(".")[0])
            assert rooms is None or room(path) in rooms, f"{path.name} imports {name}"


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


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_every_public_name_is_explained(path: Path) -> None:
    tree = ast.parse(path.read_text())
    assert ast.get_docstring(tree), f"{path.name} says nothing of itself"
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            assert ast.get_docstring(node), f"{path.name}: {node.name} has no docstring"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_functions_fit_a_screen(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.FunctionDef):
            assert (node.end_lineno or 0) - node.lineno < 60, f"{path.name}: {node.name} is too long"
