"""What the guide tells to add, added to a copy of the program as it says; then every command runs with all of it."""

from __future__ import annotations

import ast
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.documentation import ROOT
from tests.endtoend.seasons import chosen
from tests.test_documentation import commands, part

# --- the recipes of the guide ----------------------------------------------------------------------------------------

COLUMN = '_positive("lead_resonance_hz", "Lead resonance", "Hz", "Where the leads rattle.", plausible=(100, 9000))'
FIELD = "lead_resonance_hz: float | None = None"
PRACTICE = '("lead factor", 2.0, "", COMMON, "Lowest crossover as a multiple of the resonance of the leads.")'
KIND = """{"id": "glass dome", "family": "dome", "diaphragm": "hard", "bare_floor_hz": 2100.0, "travel_stated": True,
     "fragility": "very delicate", "handling": "Carry it in its box.", "cautions": "Glass splinters cut: wear gloves."}"""
LIMIT = '''def leads(setting: Setting) -> Found | None:
    """Lower bound: the leads rattle below a multiple of their resonance."""
    high, practice = setting.case.high, setting.case.practice
    source = practice.source("lead factor")
    if high.lead_resonance_hz is None:
        return Found(None, "", source, high.missing("lead_resonance_hz"))
    hz = practice["lead factor"] * high.lead_resonance_hz
    return Found(hz, f"The leads rattle at {high.lead_resonance_hz:.0f} Hz and may be crossed from {hz:.0f} Hz.", source)
'''
LIMIT_ROW = """Rule("leads", "Leads", "low", "high", "its leads rattle", leads, essential=False,
         tolerances={("high", "lead_resonance_hz"): "driver resonance tolerance"})"""
CHECK = '''def lead_voices(built: AsBuilt) -> Check | None:
    """Do the leads stay out of the band of voices?"""
    hz = built.leads_hz
    if hz is None:
        return None
    good = hz >= 1400.0
    return Check("lead voices", "Leads and voices", "pass" if good else "marginal", hz, 1400.0, "Hz", hz - 1400.0, "Hz",
                 COMMON, f"The leads rattle at {hz:.0f} Hz.")
'''
FIGURE = '''
    @property
    def leads_hz(self) -> float | None:
        """Where the leads of the high driver rattle (Hz)."""
        return self.setting.case.high.lead_resonance_hz
'''
CAUTION = '''def long_leads(setting: Setting) -> Caution | None:
    """Leads that rattle are long ones."""
    if setting.case.high.lead_resonance_hz is None:
        return None
    return Caution("leads", "Long leads", "Keep the leads off the cone.", COMMON, setting.case.high.id)
'''
ASSUMPTION = '''def leads_unheard(setting: Setting) -> str | None:
    """The model has no leads."""
    return "The leads are taken to be silent." if setting.case.high.lead_resonance_hz is not None else None
'''


def statement(text: str, name: str) -> ast.stmt:
    """The assignment or class of a module that bears the name."""
    for node in ast.parse(text).body:
        targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
        if name in {getattr(target, "id", None) for target in targets} | {getattr(node, "name", None)}:
            return node
    raise AssertionError(f"the guide names {name}, which is not there")


def with_line(text: str, line: int, new: str) -> str:
    """The text with `new` before the line of that number."""
    lines = text.splitlines(keepends=True)
    return "".join([*lines[: line - 1], new, *lines[line - 1 :]])


def with_row(text: str, table: str, row: str, function: str = "") -> str:
    """The module with a row more at the end of the table, and a function before the table."""
    node: Any = statement(text, table)
    value = node.value.args[2] if isinstance(node.value, ast.Call) else node.value  # the columns of a sheet
    assert isinstance(value, ast.Tuple)
    last = value.elts[-1]
    lines = text.splitlines(keepends=True)
    at = (last.end_lineno or 0) - 1
    kept = lines[at].encode()
    lines[at] = (kept[: last.end_col_offset] + f", {row}".encode() + kept[last.end_col_offset or 0 :]).decode()
    return with_line("".join(lines), node.lineno, function + "\n\n" if function else "")


def with_field(text: str, record: str, field: str) -> str:
    """The module with a field more in a record."""
    node: Any = statement(text, record)
    fields = [one for one in node.body if isinstance(one, ast.AnnAssign)]
    return with_line(text, (fields[-1].end_lineno or 0) + 1, f"    {field}\n")


def with_property(text: str, owner: str, new: str) -> str:
    """The module with a property more at the end of a class."""
    return with_line(text, (statement(text, owner).end_lineno or 0) + 1, new)


RECIPES: Mapping[str, Callable[[str], str]] = {
    "catalogue/columns.py": lambda text: with_row(text, "HIGH_DRIVERS", COLUMN),
    "catalogue/records.py": lambda text: with_field(text, "HighDriver", FIELD),
    "catalogue/trade.py": lambda text: with_row(with_row(text, "PRACTICE_ROWS", PRACTICE), "TECHNOLOGY_ROWS", KIND),
    "pairing/as_built.py": lambda text: with_property(text, "AsBuilt", FIGURE),
    "suitability/limits.py": lambda text: with_row(text, "LIMITS", LIMIT_ROW, LIMIT),
    "suitability/checks.py": lambda text: with_row(text, "CHECKS", "lead_voices", CHECK),
    "suitability/cautions.py": lambda text: with_row(text, "CAUTIONS", "long_leads", CAUTION),
    "suitability/assumptions.py": lambda text: with_row(text, "ASSUMPTIONS", "leads_unheard", ASSUMPTION),
}
"""Module -> what the guide tells to do in it."""

# --- a season that has all of it -------------------------------------------------------------------------------------

HIGH_DRIVERS: Mapping[str, Mapping[str, Any]] = {
    "HD-01": {"lead_resonance_hz": 1300},  # ends the range of P-01: 2 x 1300 = 2600 Hz
    "HD-02": {"lead_resonance_hz": 1500},  # 3000 Hz, above the crossover of P-02
    "HD-03": {},
    "HD-04": {
        "technology": "glass dome",
        "peak_travel_m": None,
        "lowest_use_hz": None,
    },  # then the floor of its kind bounds it
}
PAIRINGS = [
    {**row, "kits_planned": 2 if row["id"] == "P-01" else None} for row in chosen("P-01", "P-02", "P-03", "P-19")
]
SEASON = """
import json, sys
from pathlib import Path
from reportgen.catalogue.demo import demo_tables
from tests.endtoend.seasons import write_season
pairings, more = json.load(sys.stdin)
highs = [{**row, **more[row["id"]]} for row in demo_tables()["High drivers"] if row["id"] in more]
enquiries = [row for row in demo_tables()["Enquiries"] if row["id"] == "E-01"]
lows = [row for row in demo_tables()["Low drivers"] if row["id"] in {one["low_id"] for one in pairings}]
guides = [row for row in demo_tables()["Waveguides"] if "HD-" not in row["fits"]]
write_season(Path("season.xlsx"), pairings, Low_drivers=lows, High_drivers=highs, Enquiries=enquiries, Waveguides=guides)
"""
CALLS = """
import contextlib, io, json, os, sys
from reportgen import cli
from tests.oneprocess import in_this_process

def main():
    told = {}
    for name, arguments in json.load(sys.stdin).items():
        out, err = io.StringIO(), io.StringIO()
        with in_this_process(), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            try:
                code = cli.main([name, *arguments])
            except SystemExit as end:
                code = end.code
        told[name] = [code, out.getvalue(), err.getvalue()]
    with open("told.json", "w", encoding="utf-8") as file:
        json.dump(told, file)

if __name__ == "__main__":
    main()
"""
ARGUMENTS: Mapping[str, tuple[str, ...]] = {
    "new": ("new.xlsx",),
    "check": ("season.xlsx",),
    "run": ("season.xlsx", "--jobs", "1"),
    "screen": ("season.xlsx", "--slopes", "LR4"),
    "answer": ("season.xlsx", "--only", "E-01"),
    "compare": ("season.xlsx", "P-01", "P-02"),
    "history": ("season.xlsx",),
    "recompute": ("season.xlsx", "--run", "1"),
    "supply": ("season.xlsx",),
    "withdraw": ("season.xlsx", "HD-01"),
    "pricelist": ("season.xlsx",),
    "whatif": ("season.xlsx", "HD-01: Lead resonance = 900"),
    "changes": ("season.xlsx",),
}
"""How every command is called, in order; one that the program has not is left out."""


@dataclass(frozen=True)
class Told:
    """What a command left on the terminal."""

    code: int
    out: str
    err: str


@dataclass(frozen=True)
class Grown:
    """The folder with the copy of the program and its season, and what each command came to."""

    folder: Path
    told: Mapping[str, Told]


@pytest.fixture(scope="module")
def grown(tmp_path_factory: pytest.TempPathFactory) -> Grown:
    folder = tmp_path_factory.mktemp("grown")
    for name in ("reportgen", "templates"):
        shutil.copytree(ROOT / name, folder / name)  # compiled too: only what a recipe changes is compiled anew
    for name, recipe in RECIPES.items():
        module = folder / "reportgen" / name
        module.write_text(recipe(module.read_text(encoding="utf-8")), encoding="utf-8")
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join([str(folder), str(ROOT)])}

    def python(*arguments: str, stdin: str | None = None) -> Told:
        done = subprocess.run(
            [sys.executable, *arguments],
            cwd=folder, env=environment, input=stdin, capture_output=True, text=True, check=False, timeout=300,
        )  # fmt: skip
        return Told(done.returncode, done.stdout, done.stderr)

    where = python("-c", "import reportgen; print(reportgen.__file__)").out
    assert where.startswith(str(folder))
    written = python("-c", SEASON, stdin=json.dumps([PAIRINGS, HIGH_DRIVERS], default=str))
    assert written.code == 0, written.err
    asked = {name: arguments for name, arguments in ARGUMENTS.items() if name in commands()}
    (folder / "calls.py").write_text(CALLS, encoding="utf-8")  # one process for all: each would load the engines anew
    done = python("calls.py", stdin=json.dumps(asked))
    assert done.code == 0, done.err
    told = json.loads((folder / "told.json").read_text(encoding="utf-8"))
    return Grown(folder, {name: Told(*words) for name, words in told.items()})


@pytest.fixture(scope="module")
def pairings(grown: Grown) -> dict[str, dict[str, Any]]:
    text = (grown.folder / "out" / "season" / "results.json").read_text(encoding="utf-8")
    return {one["id"]: one for one in json.loads(text)["pairings"]}


def by_id(rows: list[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    return {row["id"]: row for row in rows}


def cells(workbook: Path) -> dict[str, list[str]]:
    """Sheet -> its texts."""
    book = openpyxl.load_workbook(workbook)
    return {
        sheet.title: [str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value is not None]
        for sheet in book
    }


def test_the_guide_names_the_places_of_the_recipes() -> None:
    told = part("DEVELOPERS.md", "How to add")
    assert all(f"`{name}`" in told for name in RECIPES)
    for name in ("PRACTICE_ROWS", "TECHNOLOGY_ROWS", "LIMITS", "Rule", "CHECKS", "CAUTIONS", "ASSUMPTIONS", "AsBuilt"):
        assert f"`{name}`" in told, name


# --- what came of it -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(commands()))
def test_every_command_runs(grown: Grown, name: str) -> None:
    told = grown.told[name]
    assert told.code == 0, told.out + told.err
    assert "an error of the program" not in told.out + told.err


def test_a_column_is_written_read_and_named(grown: Grown, pairings: dict[str, dict[str, Any]]) -> None:
    assert "Lead resonance (Hz)" in cells(grown.folder / "new.xlsx")["High drivers"]
    missing = by_id(pairings["P-03"]["checks"])["leads"]["missing"]
    assert len(missing) == 1 and missing[0].startswith("Lead resonance of HD-03 (High drivers!")


def test_a_kind_and_a_rule_of_the_trade_are_shipped_and_kept(grown: Grown, pairings: dict[str, dict[str, Any]]) -> None:
    shipped = cells(grown.folder / "new.xlsx")
    assert "glass dome" in shipped["Technologies"] and "lead factor" in shipped["Practice"]
    floor = by_id(pairings["P-19"]["limits"])["technology"]
    assert floor["hz"] == 2100.0 and "glass dome" in floor["text"]
    assert "Glass splinters cut: wear gloves." in pairings["P-19"]["cautions"]


def test_a_limit_bounds_the_range_and_becomes_a_check(pairings: dict[str, dict[str, Any]]) -> None:
    first, second = pairings["P-01"], pairings["P-02"]
    assert by_id(first["limits"])["leads"]["hz"] == 2600.0 and by_id(first["limits"])["leads"]["side"] == "low"
    assert first["range_hz"][0] == 2600.0 and first["binding"][0] == "leads" and first["crossover_hz"] > 2600.0
    assert by_id(second["checks"])["leads"]["outcome"] == "fail" and second["verdict"] == "not suitable"
    kept = [one for one in second["remedies"] if not any("HD-" in change for change in one["changes"])]
    assert kept and all(one["crossover_hz"] >= 3000.0 for one in kept)


def test_a_check_is_graded(pairings: dict[str, dict[str, Any]]) -> None:
    assert by_id(pairings["P-01"]["checks"])["lead voices"]["outcome"] == "marginal"
    assert by_id(pairings["P-02"]["checks"])["lead voices"]["outcome"] == "pass"
    assert "lead voices" not in by_id(pairings["P-03"]["checks"])


def test_a_caution_and_an_assumption_are_printed(grown: Grown, pairings: dict[str, dict[str, Any]]) -> None:
    assert "Keep the leads off the cone." in pairings["P-01"]["cautions"]
    assert "Keep the leads off the cone." not in pairings["P-03"]["cautions"]
    (sheet,) = (grown.folder / "out" / "season").glob("P-01*.pdf")
    text = subprocess.run(["pdftotext", "-layout", sheet, "-"], capture_output=True, text=True, check=True).stdout
    words = " ".join(text.split())
    for wanted in (
        "Long leads",
        "Keep the leads off the cone.",
        "The leads are taken to be silent.",
        "Leads and voices",
    ):
        assert wanted in words


def test_the_limit_is_told_by_screening_comparison_and_history(grown: Grown) -> None:
    found = cells(grown.folder / "season.xlsx")
    for kind in ("screening", "comparison", "checks"):
        texts = [text for title, texts in found.items() if kind in title.casefold() for text in texts]
        assert any("Leads" in text or "leads" in text for text in texts), (kind, sorted(found))
