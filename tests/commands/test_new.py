"""A new workbook beside what stands there already, and workbooks that have no history: what is said, and what stays."""

from __future__ import annotations

import resource
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest

from reportgen import cli
from reportgen.catalogue.democurves import demo_files
from reportgen.commands import new, told
from reportgen.commands.answer import Answers
from reportgen.commands.new import new_workbook
from reportgen.ledger.replacement import Outcome
from reportgen.problems import ReportgenError
from tests.every import every


@pytest.mark.parametrize("name", ("season", "season.csv", "season.xlsm", "season.xls"))
def test_a_new_workbook_has_a_name_that_spreadsheet_programs_open(tmp_path: Path, name: str) -> None:
    assert cli.main(["new", str(tmp_path / name)]) == 2
    assert not any(tmp_path.iterdir())
    assert cli.main(["new", str(tmp_path / "season.XLSX")]) == 0


def test_a_folder_that_is_not_there_is_made(tmp_path: Path) -> None:
    assert cli.main(["new", str(tmp_path / "new folder/season.xlsx")]) == 0
    assert (tmp_path / "new folder/season.xlsx").exists()


@pytest.mark.parametrize("words", (("recompute", "--run"), ("changes", "--since")))
@pytest.mark.parametrize("number", ("x", "0", "-1", "1.5"))
def test_the_number_of_a_run_is_a_whole_one(
    words: tuple[str, str], number: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        cli.main([words[0], "season.xlsx", words[1], number])
    assert f"{number}: give a whole number of 1 or more" in capsys.readouterr().err


@pytest.mark.parametrize("words", (("run",), ("check",), ("recompute", "--run", "1")))
def test_every_command_says_alike_that_a_workbook_is_not_there(
    words: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main([words[0], str(tmp_path / "none.xlsx"), *words[1:]]) == 2
    assert capsys.readouterr().err.strip() == f"none.xlsx: there is no such file in {tmp_path}. Check the name."


def test_a_workbook_that_is_not_there_needs_no_run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["history", str(tmp_path / "none.xlsx"), "--into", str(tmp_path / "all.xlsx")]) == 2
    assert capsys.readouterr().err.strip().endswith("No such file or directory. Check the name.")


def test_without_an_enquiry_it_is_not_said_that_none_is_open() -> None:
    done = Answers((), ())
    assert told.of_answer(done).lines == [
        "There is no enquiry: write each into a row of the sheet “Enquiries”, with an ID and its question."
    ]
    assert told.of_answer(replace(done, kept=2)).lines[0].startswith("No enquiry is open.")


def test_a_curve_of_the_operator_is_never_overwritten_by_the_demo(tmp_path: Path) -> None:
    """Of two demo seasons in one folder the files are the same, so both may stand there."""
    new_workbook(tmp_path / "first.xlsx", demo=True)
    new_workbook(tmp_path / "second.xlsx", next_season=True)
    own = tmp_path / next(iter(demo_files()))
    own.write_text("100 80")
    with pytest.raises(
        ReportgenError, match=r"a file stands here already\. Give another name; nothing is overwritten\."
    ):
        new_workbook(tmp_path / "third.xlsx", demo=True)
    assert own.read_text() == "100 80" and not (tmp_path / "third.xlsx").exists()


@contextmanager
def full_disk() -> Iterator[None]:
    """No file grows beyond a few bytes: the system refuses the rest without naming a file, as a full disk does.

    Only while it is asked for: what tells of the tests may go into a file too.
    """
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (16, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@every(("words", "first"), (((), "season.xlsx"), (("--demo",), "curves/")))
def test_a_full_disk_is_named_with_its_file_and_gets_no_half_of_it(
    tmp_path: Path, words: tuple[str, ...], first: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    monkeypatch.setattr(new, "workbook_bytes", lambda _: bytes(99))  # the library makes files of its own
    monkeypatch.setattr("builtins.print", lambda text, **_: told.append(text))
    with full_disk():
        assert cli.main(["new", str(tmp_path / "season.xlsx"), *words]) == 2
    assert told[0].startswith(f"{tmp_path / first}") and "Free it or name another place" in told[0]
    assert not [file for file in tmp_path.rglob("*") if file.is_file()]


def test_a_workbook_that_gave_no_history_is_named(tmp_path: Path) -> None:
    said = told.of_history(Outcome(tmp_path / "all.xlsx", True), ("b.xlsx: It cannot be read: gone.",), 2)
    assert said.code == 1
    assert said.lines == ["b.xlsx: It cannot be read: gone.", f"The histories of 1 workbook: {tmp_path / 'all.xlsx'}"]
    assert told.of_history(Outcome(tmp_path / "all.xlsx", True), (), 2).code == 0
