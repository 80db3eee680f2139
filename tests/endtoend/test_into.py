"""`--into` of every command: what stands there is added to like the workbook itself, or refused before any work."""

from __future__ import annotations

import importlib
import os
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from itertools import product
from pathlib import Path

import openpyxl
import pytest

from reportgen import cli
from reportgen.ledger import destination
from tests.endtoend.seasons import after_a_run, chosen, small, write_files, write_season
from tests.workbooks import sheet_names

pytestmark = pytest.mark.usefixtures("one_process")

COMMANDS = {
    "run": ("run", "season.xlsx", "--no-pdf", "--jobs", "1"),
    "screen": ("screen", "season.xlsx", "--low", "LD-01", "--slopes", "LR4"),
    "compare": ("compare", "season.xlsx", "P-19", "P-12"),
    "history": ("history", "run/copy.xlsx"),
    "answer": ("answer", "season.xlsx", "--only", "E-01"),
    "supply": ("supply", "season.xlsx"),
    "withdraw": ("withdraw", "season.xlsx", "HD-01"),
    "pricelist": ("pricelist", "season.xlsx"),
    "changes": ("changes", "season.xlsx", "--against", "season.xlsx"),
}
"""Every command that takes `--into`; `test_no_command_is_left_out` holds the list."""
ADDING = tuple(name for name in COMMANDS if name != "history")
"""Those that add to a copy of their workbook; `history` gathers into a workbook of its own."""
KINDS = ("text", "other workbook", "other season", "picture", "folder")
EVERY = os.environ.get("REPORTGEN_LONG") == "1"
"""Each command with each kind of file; else a third of them, with every command and every kind among them."""


@dataclass
class Told:
    """What a command left on the terminal."""

    code: int
    text: str


Call = Callable[..., Told]


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A season that was run once: what its run kept is taken over by every command."""
    monkeypatch.chdir(tmp_path)
    write_files(tmp_path, after_a_run("P-19", "P-12"))
    return tmp_path


@pytest.fixture
def call(place: Path, capfd: pytest.CaptureFixture[str]) -> Call:
    def call(command: str, into: str) -> Told:
        capfd.readouterr()
        code = cli.main([*COMMANDS[command], "--into", into])
        out, err = capfd.readouterr()
        return Told(code, out + err)

    return call


def no_work(monkeypatch: pytest.MonkeyPatch) -> None:
    """Any assessment, screening or gathering fails the test."""

    def begun(*_: object, **__: object) -> None:
        pytest.fail("work was begun")

    for command in COMMANDS:
        importlib.import_module(f"reportgen.commands.{command}")  # else it would keep what stands there now for ever
    for name in (
        "run.read_catalogue",
        "screen.screen",
        "compare.assess",
        "history.gather",
        "answer.answer",
        "assessing.assess_cases",
    ):
        monkeypatch.setattr(f"reportgen.commands.{name}", begun)


def out_files(place: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in (place / "out").rglob("*") if path.is_file()}


def test_no_command_is_left_out() -> None:
    subcommands = next(action for action in cli._parser()._actions if action.choices)
    with_into = {
        name
        for name, parser in dict(subcommands.choices or {}).items()
        if any("--into" in action.option_strings for action in parser._actions)
    }
    assert with_into == set(COMMANDS)


@pytest.mark.parametrize(
    ("command", "kind"), [one for n, one in enumerate(product(COMMANDS, KINDS)) if EVERY or n % 3 == 0]
)
def test_what_is_no_copy_is_refused_before_the_work(
    place: Path, call: Call, command: str, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = place / "notes.xlsx"
    if kind == "text":
        file.write_text("my notes")
    elif kind == "other workbook":
        openpyxl.Workbook().save(file)
    elif kind == "other season":
        other = [{**row, "id": f"X{number}"} for number, row in enumerate(chosen("P-01", "P-02", "P-04"))]
        write_season(file, other, **small(*other))
    elif kind == "picture":
        file.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(100))
    else:
        file.mkdir()
    before, kept = file.read_bytes() if file.is_file() else None, out_files(place)
    no_work(monkeypatch)
    told = call(command, "notes.xlsx")
    assert told.code == 2, told.text
    assert "notes.xlsx" in told.text and "Traceback" not in told.text
    assert before is None or file.read_bytes() == before
    assert out_files(place) == kept


@pytest.mark.parametrize("command", ADDING)
@pytest.mark.parametrize("into", ("season.xlsx", "link.xlsx", "copy.xlsm"))
def test_the_workbook_itself_and_a_wrong_ending_are_refused(place: Path, call: Call, command: str, into: str) -> None:
    before = (place / "season.xlsx").read_bytes()
    (place / "link.xlsx").symlink_to("season.xlsx")
    told = call(command, into)
    assert told.code == 2 and into in told.text
    assert (place / "season.xlsx").read_bytes() == before


TWICE = ("supply", "withdraw", "pricelist", "changes")
"""Those of which a second one is added here; of the others in `test_run.py` and `test_desk.py`."""


def with_a_sheet_by_hand(source: Path, copy: Path) -> None:
    """The workbook as another program saves it, and a sheet of the operator's own."""
    book = openpyxl.load_workbook(source)
    book.create_sheet("Mine")["A1"] = "by hand"
    book.save(copy)


def test_a_copy_is_added_to_by_every_command_and_what_stands_there_stays(place: Path, call: Call) -> None:
    copy = place / "copy.xlsx"
    with_a_sheet_by_hand(place / "season.xlsx", copy)
    stands = sheet_names(copy)
    for command in (*ADDING, *TWICE):
        told = call(command, "copy.xlsx")
        assert told.code == 0, told.text
        now = sheet_names(copy)
        assert set(stands) < set(now), command
        assert {"season.xlsx", "copy.xlsx"} == {path.name for path in place.glob("*.xlsx")}, command
        stands = now
    assert openpyxl.load_workbook(copy, read_only=True)["Mine"]["A1"].value == "by hand"


def test_histories_are_gathered_into_a_workbook_once_more_and_what_stands_there_stays(place: Path, call: Call) -> None:
    copy = place / "copy.xlsx"
    assert call("history", "copy.xlsx").code == 0
    with_a_sheet_by_hand(copy, copy)
    stands = sheet_names(copy)
    told = call("history", "copy.xlsx")
    assert told.code == 0, told.text
    assert set(stands) <= set(sheet_names(copy))
    assert openpyxl.load_workbook(copy, read_only=True)["Mine"]["A1"].value == "by hand"
    assert {"season.xlsx", "copy.xlsx"} == {path.name for path in place.glob("*.xlsx")}


@pytest.mark.parametrize("command", [*COMMANDS] if EVERY else [*COMMANDS][::3])
def test_a_copy_in_use_or_protected_gets_its_results_beside_it(place: Path, call: Call, command: str) -> None:
    if command == "history":
        assert call(command, "copy.xlsx").code == 0
    else:
        shutil.copy(place / "season.xlsx", place / "copy.xlsx")
    before, lock = (place / "copy.xlsx").read_bytes(), place / ".~lock.copy.xlsx#"
    lock.write_text(",M. Quill,bench,25.11.2026 10:00,file:///;")
    told = call(command, "copy.xlsx")
    assert told.code == 0 and "open in a LibreOffice of M. Quill" in told.text
    assert "copy (results 1).xlsx" in told.text and len(sheet_names(place / "copy (results 1).xlsx")) >= 2
    lock.unlink()
    (place / "copy.xlsx").chmod(0o444)
    told = call(command, "copy.xlsx")
    assert told.code == 0 and "is write-protected" in told.text
    assert "copy (results 2).xlsx" in told.text and len(sheet_names(place / "copy (results 2).xlsx")) >= 2
    assert (place / "copy.xlsx").read_bytes() == before


@pytest.mark.parametrize("command", ADDING if EVERY else ADDING[::3])
def test_a_link_to_a_copy_is_followed(place: Path, call: Call, command: str) -> None:
    (place / "elsewhere").mkdir()
    shutil.copy(place / "season.xlsx", place / "elsewhere" / "copy.xlsx")
    (place / "link.xlsx").symlink_to("elsewhere/copy.xlsx")
    assert call(command, "link.xlsx").code == 0
    assert os.readlink(place / "link.xlsx") == "elsewhere/copy.xlsx"
    assert len(sheet_names(place / "elsewhere" / "copy.xlsx")) > len(sheet_names(place / "season.xlsx"))


def test_a_copy_of_an_earlier_state_is_added_to_and_the_difference_is_said(place: Path, call: Call) -> None:
    assert call("run", "copy.xlsx").code == 0
    pairings = chosen("P-19", "P-12", P_19={"peak_level_db": 88})
    write_season(place / "season.xlsx", [*pairings, {**pairings[1], "id": "P-99"}], **small(*pairings))
    told = call("run", "copy.xlsx")
    assert told.code == 0
    assert "copy.xlsx differs from season.xlsx in Pairings." in told.text
    assert "Run 002 summary" in sheet_names(place / "copy.xlsx")


def test_a_new_copy_that_somebody_else_makes_in_the_meantime_is_left_to_them(place: Path) -> None:
    found = destination.destination(place / "season.xlsx", place / "copy.xlsx")
    (place / "copy.xlsx").write_text("theirs")
    outcome = found.deliver(found.content)
    assert (place / "copy.xlsx").read_text() == "theirs"
    assert outcome.path == place / "copy (results 1).xlsx" and "made by somebody else" in outcome.reason
