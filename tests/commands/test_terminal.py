"""What stands on a terminal: no line longer than it is wide, a bar that ends, plain lines where nobody watches."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TextIO
from unittest import mock

import pytest

from reportgen.cli import main
from reportgen.commands.terminal import Progress, Table, Told
from reportgen.problems import Problem
from tests.every import every


class Watched(io.StringIO):
    """A stream that somebody watches."""

    def isatty(self) -> bool:
        return True


TABLE = Table(("pairing", "bound by"), (("P-01", "Resonance / Cone break-up"), ("P-02", "Heat")))


def test_the_last_column_of_a_table_gives_way() -> None:
    """By hand: "pairing" takes 7 and two blanks, so 15 are left of 24."""
    assert TABLE.lines(24) == [
        "pairing  bound by",
        "-------  ---------------",
        "P-01     Resonance / Co…",
        "P-02     Heat",
    ]
    assert TABLE.lines(200)[2] == "P-01     Resonance / Cone break-up"


def test_letters_of_two_places_leave_columns_in_line() -> None:
    """Unicode Standard Annex 11: letters of East Asia take two places, so five of them and a blank take 11."""
    lines = Table(("kit", "verdict"), (("芦苇 キット", "suitable"), ("Teal", "undecided"))).lines(80)
    assert lines == [
        "kit          verdict",
        "-----------  ---------",
        "芦苇 キット  suitable",
        "Teal         undecided",
    ]


def test_a_column_keeps_twelve_letters_on_the_narrowest_terminal() -> None:
    assert TABLE.lines(5)[2] == "P-01     Resonance /…"


def test_a_watched_bar_fits_its_terminal_and_ends_its_line(monkeypatch: pytest.MonkeyPatch) -> None:
    stream = Watched()
    monkeypatch.setattr("sys.stderr", stream)
    monkeypatch.setenv("COLUMNS", "60")
    tell = Progress("Reading")
    for done in (1, 2):
        tell("a pairing with a name longer than twenty letters", done, 2)
    begun, first, last = stream.getvalue().split("\r")
    assert begun == "Reading ..." and first.startswith(f"[{'#' * 12}{' ' * 12}] 1/2 a pairing")
    assert last.startswith(f"[{'#' * 24}] 2/2") and last.endswith("\n")
    assert max(len(first), len(last.rstrip("\n"))) <= 59
    assert "\x1b" not in stream.getvalue()


def test_elsewhere_each_piece_has_a_line_of_its_own(capsys: pytest.CaptureFixture[str]) -> None:
    tell = Progress("Reading")
    tell("P-01", 1, 2)
    tell("P-02", 2, 2)
    assert capsys.readouterr().err == "1/2 P-01\n2/2 P-02\n"


def test_a_program_gets_one_object_and_a_person_the_problems_apart(capsys: pytest.CaptureFixture[str]) -> None:
    told = Told(1, ["Done."], {"sheets": 2}, [Problem("Parts", "A2", "Price", "nothing", "a price", notice=True)])
    assert told.show(as_json=True) == 1
    out, err = capsys.readouterr()
    found = json.loads(out)
    assert (found["exit_code"], found["sheets"], found["problems"][0]["notice"]) == (1, 2, True)
    assert err.startswith("note: ") and "Parts!A2" in err
    told.show(as_json=False)
    assert capsys.readouterr().out == "Done.\n"


@every(
    ("place", "code", "told"),
    [("/dev/full", 2, "Standard output: No space left on device. The work is done; only its list is cut off here.\n"), ("a closed pipe", 1, "")],
)  # fmt: skip
def test_a_standard_output_that_takes_no_more_is_told_where_somebody_lacks_it(place: str, code: int, told: str) -> None:
    for as_json in (False, True):
        with (
            no_reader(place) as stream,
            mock.patch("sys.stdout", stream),
            mock.patch("sys.stderr", io.StringIO()) as said,
        ):
            assert Told(1, ["a line"], {"a": 1}).show(as_json) == code
        assert said.getvalue() == told


@every("place", ["/dev/full", "a closed pipe"])
def test_work_goes_on_when_nobody_reads_how_far_it_is(place: str) -> None:
    with no_reader(place) as stream, mock.patch("sys.stderr", stream):
        progress = Progress("Reading")
        for done in (1, 2):
            progress("P-01", done, 2)


@contextmanager
def no_reader(place: str) -> Iterator[TextIO]:
    """A stream that takes nothing: a file on a full disk, or a pipe that nobody reads any more."""
    if place == "/dev/full":
        end = os.open(place, os.O_WRONLY)
    else:
        reading, end = os.pipe()
        os.close(reading)
    with os.fdopen(end, "w") as stream:
        yield stream


def test_streams_that_were_closed_before_take_everything(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdout", None)
    monkeypatch.setattr("sys.stderr", None)
    assert main(["check", "there is no such file.xlsx"]) == 2


def test_too_little_memory_is_told(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr("reportgen.commands.check.check_workbook", mock.Mock(side_effect=MemoryError))
    assert main(["check", "a.xlsx"]) == 2
    assert capsys.readouterr().err == "This takes more memory than is free. Close other programs and run again.\n"


def test_names_that_no_workbook_can_hold_end_a_command_before_its_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for words in (
        ["check", "a\udcff.xlsx"],
        ["history", "a.xlsx", "a\udcff.xlsx"],
        ["run", "a.xlsx", "--out", "o\udce9/b"],
    ):
        assert main(words) == 2 and "the name is not written in UTF-8. Rename" in capsys.readouterr().err
    monkeypatch.chdir(tmp_path)
    tmp_path.rmdir()
    assert main(["check", "a.xlsx"]) == 2
    assert capsys.readouterr().err == "The folder that this command was started in is gone. Change to another one.\n"


def test_at_its_end_a_process_is_not_searched_for_garbage_once_more() -> None:
    """What a command leaves is set aside before the interpreter's own last search, which took a second of a long price list."""
    code = (
        "import atexit, gc; atexit.register(lambda: print(gc.get_freeze_count() > 0))\n"  # the last that is asked
        "from reportgen.cli import main; raise SystemExit(main(['--version']))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0 and done.stdout.splitlines()[-1] == "True", done.stderr


def test_no_forecast_before_one_piece_was_timed_and_none_at_the_end() -> None:
    """Ten pieces, of which two were taken over: three more in 12 s, so the other five take 20 s."""
    tell = Progress("Reading")
    tell._first = 2
    told = [tell._forecast(done, 10, seconds) for done, seconds in ((2, 9.0), (5, 12.0), (5, 2.9), (10, 30.0))]
    assert told == ["", ", 20 s to go", "", ""]
