"""Files that are none: a pipe, a device, a folder, a loop of links, one of many gigabytes; none is waited on or read."""

from __future__ import annotations

import io
import os
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from reportgen.catalogue.curves import CurveUnreadable, read_curve
from reportgen.catalogue.plainfiles import read_file
from reportgen.catalogue.reading import read_catalogue
from reportgen.commands.guard import why_not
from reportgen.commands.reuse import write_atomically
from reportgen.ledger.destination import destination
from reportgen.ledger.kept import unsealed
from reportgen.ledger.replacement import read_workbook
from reportgen.paper.logos import logo_url
from reportgen.problems import ReportgenError, WorkbookUnusable
from tests.endtoend.seasons import chosen, write_season
from tests.every import every


def pipe(file: Path) -> None:
    os.mkfifo(file)


def endless(file: Path) -> None:
    file.symlink_to("/dev/zero")


def folder(file: Path) -> None:
    file.mkdir()


def loop(file: Path) -> None:
    file.symlink_to(file.name)


def sparse(file: Path) -> None:
    file.touch()
    os.truncate(file, 64 << 30)


KINDS = {
    pipe: "it is no ordinary file", endless: "it is no ordinary file", folder: "Is a directory",
    loop: "Too many levels of symbolic links", sparse: "it has more than 1024 MiB",
}  # fmt: skip


@every("make", KINDS, ids=lambda make: make.__name__)
def test_what_is_no_plain_file_is_named_and_never_read(tmp_path: Path, make: Callable[[Path], None]) -> None:
    file = tmp_path / "season.xlsx"
    make(file)
    for read in (read_file, read_workbook, lambda path: unsealed(path, 1) if make is not sparse else read_file(path)):
        with pytest.raises(OSError, match=KINDS[make]):
            read(file)
    with pytest.raises(WorkbookUnusable) as refused:
        read_catalogue(file)
    assert KINDS[make] in str(refused.value.problems[0])
    assert str(refused.value.problems[0]).endswith("Name a file in it.") is (make is folder)
    with pytest.raises(CurveUnreadable):
        read_curve("season.xlsx", tmp_path, "response")
    with pytest.raises(ReportgenError):
        logo_url(tmp_path, "season.xlsx")


def test_a_plain_file_is_read_through_a_link(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"abc")
    (tmp_path / "b").symlink_to("a")
    assert read_file(tmp_path / "b") == b"abc" == read_file(tmp_path / "a", 3)
    with pytest.raises(OSError, match="more than 0 MiB"):
        read_file(tmp_path / "a", 2)


def test_a_folder_in_the_place_of_a_file_is_named_itself(tmp_path: Path) -> None:
    """Not the temporary file that was to take its name."""
    (tmp_path / "results.json" / "inside").mkdir(parents=True)
    with pytest.raises(OSError) as error:
        write_atomically(tmp_path / "results.json", b"{}")
    assert why_not(error.value).startswith(f"{tmp_path / 'results.json'} takes no file (Is a directory).")
    assert [file.name for file in tmp_path.iterdir()] == ["results.json"]


def test_a_copy_in_a_circle_of_links_is_refused_before_the_work(tmp_path: Path) -> None:
    source = write_season(tmp_path / "one.xlsx", chosen("P-06"))
    loop(tmp_path / "copy.xlsx")
    with pytest.raises(ReportgenError, match="links lead in a circle there"):
        destination(source, tmp_path / "copy.xlsx")


def test_of_two_sheets_of_one_name_the_second_is_named(tmp_path: Path) -> None:
    """Names that differ by case or spacing alone: rows of the second would be missing without a word."""
    source = write_season(tmp_path / "one.xlsx", chosen("P-06"))
    target = io.BytesIO()
    with zipfile.ZipFile(source) as before, zipfile.ZipFile(target, "w") as after:
        for name in before.namelist():
            content = before.read(name)
            if name == "xl/workbook.xml":
                assert content.count(b'name="Enquiries"') == 1
                content = content.replace(b'name="Enquiries"', b'name="low  Drivers"')
            after.writestr(name, content)
    source.write_bytes(target.getvalue())
    problems = [str(one) for one in read_catalogue(source).problems]
    assert (
        "low  Drivers: it is not read: “Low drivers” is a sheet of the same name. Bring all rows together on one of them and "
        "rename the other."
    ) in problems
