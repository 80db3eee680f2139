"""Options that every command shares, and those of which no other test of a whole run tells."""

from __future__ import annotations

import gc
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest

import reportgen
from reportgen import cli
from tests.endtoend.seasons import chosen, small, write_season
from tests.oneprocess import in_this_process
from tests.workbooks import sheet_names

pytestmark = pytest.mark.usefixtures("one_process")

Call = Callable[..., tuple[int, str, str]]
CALLS: dict[str, tuple[str, ...]] = {
    "run": ("run", "season.xlsx", "--only", "P-19", "--jobs", "1", "--into", "other.xlsx"),
    "check": ("check", "season.xlsx"),
    "new": ("new", "blank.xlsx"),
    "screen": ("screen", "season.xlsx", "--low", "LD-06", "--slopes", "LR4", "--into", "other.xlsx"),
    "answer": ("answer", "season.xlsx", "--only", "E-01", "--into", "other.xlsx"),
    "compare": ("compare", "season.xlsx", "P-19", "P-12", "--into", "other.xlsx"),
    "history": ("history", "season.xlsx", "--into", "history.xlsx"),
    "recompute": ("recompute", "season.xlsx", "--run", "1", "--pdf"),
    "supply": ("supply", "season.xlsx", "--jobs", "1", "--into", "other.xlsx"),
    "withdraw": ("withdraw", "season.xlsx", "HD-04", "--jobs", "1", "--into", "other.xlsx"),
    "pricelist": ("pricelist", "season.xlsx", "--season", "2026", "--jobs", "1", "--into", "other.xlsx"),
    "whatif": ("whatif", "season.xlsx", "HD-04: Price = 48", "--jobs", "1"),
    "changes": ("changes", "season.xlsx", "--since", "1", "--jobs", "1", "--into", "other.xlsx"),
}
PRINTING = sorted(set(CALLS) - {"check", "new", "history"})
LETTER_PT = (612.0, 792.0)
"""ANSI/ASME Y14.1: 8.5 by 11 inches."""


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two pairings of one season after a run, of which nobody changes anything."""
    folder = tmp_path_factory.mktemp("words")
    rows = chosen("P-19", "P-12", P_19={"season": "2026", "kits_planned": 3}, P_12={"season": "2026"})
    season = write_season(folder / "season.xlsx", rows, **small(*rows))
    with in_this_process(searching=False):
        assert cli.main(["run", str(season), "--no-pdf", "--out", str(folder / "out")]) == 0
    return season


@pytest.fixture
def call(tmp_path: Path, finished: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Call:
    """A command in a folder of its own, on a copy: its exit code and what it told. What the run kept stands in `there`."""
    for file in finished.parent.rglob("*"):
        if file.is_file():
            name = str(file.relative_to(finished.parent))
            target = tmp_path / name.replace("out/", "there/", 1)
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(file.read_bytes())
    monkeypatch.chdir(tmp_path)

    def called(*words: str) -> tuple[int, str, str]:
        capfd.readouterr()
        code = cli.main(words)
        return code, *capfd.readouterr()

    return called


def printed(folder: Path) -> dict[str, tuple[float, ...]]:
    """Every PDF below a folder with the size of its first page in points."""
    found = {}
    for file in folder.rglob("*.pdf"):
        with pikepdf.open(file) as pdf:
            found[file.name] = tuple(float(side) for side in pdf.pages[0].mediabox[2:])
    return found


def test_no_command_is_left_out() -> None:
    (action,) = (one for one in cli._parser()._actions if isinstance(one.choices, dict))
    assert set(action.choices or {}) == set(CALLS)


@pytest.mark.parametrize("command", sorted(CALLS))
def test_every_command_tells_json_and_those_that_print_take_place_and_paper(
    command: str, tmp_path: Path, call: Call
) -> None:
    options = ("--out", "there", "--paper", "letter") if command in PRINTING else ()
    code, told, complaint = call(*CALLS[command], "--json", *options)
    assert code == 0, told + complaint
    assert isinstance(json.loads(told), dict)
    sizes = printed(tmp_path / "there")
    assert bool(sizes) == (command in PRINTING)
    assert all(size == pytest.approx(LETTER_PT, abs=1.0) for size in sizes.values()), sizes
    assert not (tmp_path / "out").exists()


def test_a_price_list_of_another_season_is_refused_with_the_seasons_there_are(call: Call) -> None:
    code, _, complaint = call("pricelist", "season.xlsx", "--season", "1999", "--jobs", "1")
    assert code == 2 and "2026" in complaint


def test_a_program_is_told_as_well_why_nothing_was_done(tmp_path: Path, call: Call) -> None:
    """Exit code 2 with one object on the standard output: `problems` where cells or files are to blame, the reason anyhow."""
    code, told, complaint = call("check", "none.xlsx", "--json")
    found = json.loads(told)
    assert (code, found["exit_code"]) == (2, 2)
    assert [one["place"] for one in found["problems"]] == ["none.xlsx"] and found["reason"] == complaint.strip()
    (tmp_path / "there.xlsx").touch()
    code, told, complaint = call("new", "there.xlsx", "--json")
    found = json.loads(told)
    assert (code, found["problems"]) == (2, []) and found["reason"] == complaint.strip()
    assert "a file stands here already" in found["reason"]


def test_curves_and_circuit_stand_beside_a_sheet_of_two_sides(tmp_path: Path, call: Call) -> None:
    words = ("run", "season.xlsx", "--only", "P-19", "--jobs", "1", "--data", "--pages", "sheet")
    assert call(*words, "--dry-run")[0] == 0 and not (tmp_path / "out").exists()
    assert call(*words)[0] == 0
    (sheet,) = (tmp_path / "out" / "season").glob("P-19*.pdf")
    with pikepdf.open(sheet) as pdf:
        assert len(pdf.pages) == 2
    endings = {file.suffix for file in sheet.parent.glob("P-19*")}
    assert {".csv", ".cir"} <= endings, endings


def test_keep_leaves_the_result_sheets_of_the_last_runs(tmp_path: Path, call: Call) -> None:
    assert call("run", "season.xlsx", "--no-pdf", "--jobs", "1", "--keep", "1")[0] == 0
    told = [name for name in sheet_names(tmp_path / "season.xlsx") if name.startswith("Run")]
    assert told == ["Run 002 summary", "Run 002 checks", "Run 002 parts"]


def test_the_season_after_the_demo_reads_without_a_problem(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = tmp_path / "next.xlsx"
    assert cli.main(["new", str(book), "--next-season"]) == 0
    assert cli.main(["check", str(book)]) == 0
    assert "0 problems" in capsys.readouterr().out


def test_the_version_is_that_of_the_package(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(["--version"])
    assert ended.value.code == 0 and capsys.readouterr().out == f"reportgen {reportgen.__version__}\n"


@pytest.mark.parametrize(
    ("typed", "offered"), [("pri", {"pricelist"}), ("run x.xlsx --boo", {"--booklet"}), ("re", {"recompute"})]
)
def test_the_shell_completes_commands_and_options(typed: str, offered: set[str], tmp_path: Path) -> None:
    """What the hook of argcomplete in a shell asks for: the line, the place in it, and a file for the answers."""
    line, answers = f"reportgen {typed}", tmp_path / "answers"
    asked = {"_ARGCOMPLETE": "1", "COMP_LINE": line, "COMP_POINT": str(len(line)), "_ARGCOMPLETE_STDOUT_FILENAME": str(answers), "IFS": "\n", "_ARGCOMPLETE_IFS": "\n"}  # fmt: skip
    subprocess.run([sys.executable, "-m", "reportgen"], env={**os.environ, **asked}, check=False, capture_output=True)
    assert {word.strip() for word in answers.read_text().split("\n") if word.strip()} == offered


def test_a_command_leaves_the_process_that_called_it_as_it_was(call: Call) -> None:
    """Garbage is looked for seldom while a command works; a program that calls one does not fill its memory for ever."""
    before = gc.get_threshold(), gc.isenabled()
    assert call("check", "season.xlsx")[0] == 0
    assert (gc.get_threshold(), gc.isenabled()) == before


@pytest.mark.parametrize(
    "typed", ("changes season.xlsx --since 1 --against other.xlsx", "new blank.xlsx --demo --next-season")
)
def test_of_two_options_that_exclude_each_other_none_is_passed_over(
    typed: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as ended:
        cli.main(typed.split())
    assert ended.value.code == 2 and "not allowed with argument" in capfd.readouterr().err
    assert not [*tmp_path.iterdir()]


@pytest.mark.parametrize("typed", ("run --only", "answer --only", "screen --low", "screen --slopes"))
@pytest.mark.parametrize("names", ("", " , ,"))
def test_a_list_that_names_nothing_is_not_taken_for_all(
    typed: str, names: str, capfd: pytest.CaptureFixture[str]
) -> None:
    """As where a variable of a script is empty."""
    command, option = typed.split()
    with pytest.raises(SystemExit) as ended:
        cli.main([command, "season.xlsx", option, names])
    assert ended.value.code == 2
    assert f"argument {option}: nothing is named; name one or more, separated by commas" in capfd.readouterr().err
