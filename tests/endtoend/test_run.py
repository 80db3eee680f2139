"""The command `run` from workbook to paper on a few pairings: what it writes, leaves alone, takes over and says."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import os
import signal
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import openpyxl
import pikepdf
import pytest

from reportgen import cli
from reportgen.catalogue.demo import demo_tables
from reportgen.catalogue.reading import read_catalogue
from reportgen.commands import orders
from tests.endtoend.seasons import QUICK, Row, after_a_run, chosen, small, varied, write_files, write_season
from tests.paper.pdfs import text
from tests.workbooks import set_number, sheet_names

pytestmark = pytest.mark.usefixtures("one_process")

FEW = ("P-19", "P-12")
"""Pairings that are worked out quickly: suitable, with conditions."""


@dataclass
class Told:
    """What a command left on the terminal."""

    code: int
    out: str
    err: str


Run = Callable[..., Told]


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def run(place: Path, capfd: pytest.CaptureFixture[str]) -> Run:
    def call(*arguments: Any, workbook: str = "season.xlsx") -> Told:
        capfd.readouterr()
        code = cli.main(["run", workbook, *map(str, arguments)])
        return Told(code, *capfd.readouterr())

    return call


def written(place: Path, pairings: list[Row] | None = None, **tables: Any) -> Path:
    rows = pairings or chosen(*FEW)
    return write_season(place / "season.xlsx", rows, **{**small(*rows), **tables})


def run_before(place: Path) -> Path:
    """The same season after a first run without paper, whose results are kept; no sheet of it stands in the workbook."""
    write_files(place, after_a_run(*FEW))
    return place / "season.xlsx"


def results(place: Path) -> dict[str, Any]:
    found = json.loads((place / "out" / "season" / "results.json").read_text(encoding="utf-8"))
    assert isinstance(found, dict)
    return found


def rows(workbook: Path, sheet: str) -> list[tuple[Any, ...]]:
    """The filled rows of a sheet."""
    book = openpyxl.load_workbook(workbook, read_only=True)
    return [
        row for row in book[sheet].iter_rows(max_col=20, values_only=True) if any(value is not None for value in row)
    ]


def digest(file: Path) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()


def paper_size(pdf: Path) -> tuple[float, float]:
    with pikepdf.open(pdf) as opened:
        _, _, width, height = (float(value) for value in opened.pages[0].mediabox)
    return round(width), round(height)


# --- a whole run --------------------------------------------------------------------------------------------------


@pytest.mark.processes
def test_a_run_from_workbook_to_paper_and_back(place: Path, run: Run) -> None:
    original = written(place).read_bytes()
    told = run("--jobs", 2)
    assert told.code == 0, told.err
    assert sorted(path.name for path in (place / "out" / "season").glob("*.*")) == [
        ".kept", "P-12 Fenhall.pdf", "P-19 Desk Teal.pdf", "index.html", "results.json",
    ]  # fmt: skip
    assert paper_size(place / "out/season/P-19 Desk Teal.pdf") == (595, 842)  # ISO 216 A4, points
    assert [line for line in told.err.splitlines() if line.startswith("2/2 ")]
    assert all(id_ in told.out for id_ in FEW)
    added = [name for name in sheet_names(place / "season.xlsx") if name not in ("History", "History inputs")]
    assert added[-3:] == ["Run 001 summary", "Run 001 checks", "Run 001 parts"]
    _assert_all_original_parts_stand(original, (place / "season.xlsx").read_bytes())
    assert not list(place.glob("*previous*")) and not list(place.glob(".*reportgen*"))


ADDED_TO = {"[Content_Types].xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml"}


def _assert_all_original_parts_stand(before: bytes, after: bytes) -> None:
    import io

    with zipfile.ZipFile(io.BytesIO(before)) as old, zipfile.ZipFile(io.BytesIO(after)) as new:
        for name in old.namelist():
            assert name in ADDED_TO or new.read(name) == old.read(name), name


def test_results_json_is_as_documented(place: Path, run: Run) -> None:
    written(place, [*chosen(*FEW), {"id": "P-99", "low_id": "LD-77", "high_id": "HD-01", "cabinet_id": "CB-01"}])
    assert run("--no-pdf", "--jobs", 2).code == 1
    found = results(place)
    assert found["format"] == 2
    assert set(found["run"]) == {"number", "started", "program_version", "workbook", "workbook_sha256"}
    assert [one["id"] for one in found["pairings"]] == list(FEW)
    documented = {
        "id", "verdict", "reason", "range_hz", "binding", "crossover_hz", "crossover_fixed", "checks", "limits", "parts",
        "cautions", "remedies", "price",
    }  # fmt: skip
    assert all(set(one) >= documented for one in found["pairings"])
    assert [one["id"] for one in found["not_assessed"]] == ["P-99"]
    assert "Pairings!" in found["not_assessed"][0]["reason"] and "LD-77" in found["not_assessed"][0]["reason"]


# --- again --------------------------------------------------------------------------------------------------------


def test_a_second_run_takes_over_what_did_not_change(place: Path, run: Run) -> None:
    run_before(place)
    run("--jobs", 2, "--pages", "sheet")
    paper = {path.name: (digest(path), path.stat().st_mtime_ns) for path in (place / "out/season").glob("*.pdf")}
    assert len(paper) == len(FEW)
    told = run("--jobs", 2, "--pages", "sheet")
    assert told.code == 0 and "2 unchanged" in told.out
    assert {
        path.name: (digest(path), path.stat().st_mtime_ns) for path in (place / "out/season").glob("*.pdf")
    } == paper
    assert "Run 003 summary" in sheet_names(place / "season.xlsx")
    assert len([row for row in rows(place / "season.xlsx", "History") if row[2] in FEW]) == len(FEW), "nothing changed"


def test_one_changed_cell_is_one_pairing_worked_out_and_one_row_of_history(place: Path, run: Run) -> None:
    run_before(place)
    assert "2 unchanged" in run("--no-pdf", "--jobs", 2).out
    set_number(place / "season.xlsx", "Pairings", "P-19", "peak_level_db", 88)
    told = run("--no-pdf", "--jobs", 2)
    assert "1 unchanged" in told.out, told.out
    history = [row for row in rows(place / "season.xlsx", "History") if row[2] in FEW]
    assert [row[0] for row in history if row[2] == "P-19"] == [2, 3]
    assert len(history) == len(FEW) + 1


def test_fresh_works_everything_out_again_to_the_same_result(place: Path, run: Run) -> None:
    run_before(place)
    first = results(place)["pairings"]
    told = run("--no-pdf", "--jobs", 2, "--into", "copy.xlsx", "--fresh")
    assert "unchanged" not in told.out
    assert results(place)["pairings"] == first


def test_a_missing_sheet_is_printed_again_without_being_worked_out(place: Path, run: Run) -> None:
    written(place, chosen("P-19"))
    run("--no-pdf", "--into", "copy.xlsx")
    kept = place / "out/season/.kept/P-19.bin"
    run("--into", "copy.xlsx", "--jobs", 1, "--pages", "sheet")
    printed = place / "out/season/P-19 Desk Teal.pdf"
    before = text(printed.read_bytes(), place).replace(" 002", " 003")
    printed.unlink()
    run("--into", "copy.xlsx", "--jobs", 1, "--pages", "sheet")
    assert text(printed.read_bytes(), place) == before and kept.exists()


# --- options ------------------------------------------------------------------------------------------------------


def test_into_and_dry_run_leave_the_workbook_alone(place: Path, run: Run) -> None:
    before = digest(run_before(place))
    assert run("--no-pdf", "--into", "results/copy.xlsx").code == 0
    assert digest(place / "season.xlsx") == before
    assert "Run 002 summary" in sheet_names(place / "results/copy.xlsx")
    for file in (place / "out").rglob("*"):
        if file.is_file():
            file.unlink()
    told = run("--dry-run", "--fresh")
    assert told.code == 0 and "P-19" in told.out
    assert digest(place / "season.xlsx") == before
    assert not [path for path in (place / "out").rglob("*") if path.is_file()]


def test_only_and_season_choose_pairings(place: Path, run: Run) -> None:
    written(place, chosen(*FEW, "P-15", P_12={"season": "Another"}, P_15={"season": None}))
    told = run("--dry-run", "--only", "p-19, P-12", "--only", "P-12")  # a list, and the option again
    assert "P-19" in told.out and "P-12" in told.out and "P-15" not in told.out
    told = run("--dry-run", "--season", "another")
    assert "P-12" in told.out and "P-19" not in told.out


def test_what_cannot_be_chosen_is_named_with_what_can(place: Path, run: Run) -> None:
    written(place, chosen(*FEW, "P-15", P_12={"season": "Another"}, P_15={"season": None}))
    told = run("--only", "P-19,P-77")
    assert told.code == 2
    assert "Pairings" in told.err and "P-77" in told.err and "P-19, P-12, P-15" in told.err
    told = run("--season", "None such")
    assert told.code == 2 and "None such" in told.err and "Another" in told.err
    assert not (place / "out").exists()


def test_paper_templates_and_place_are_the_operators(place: Path, run: Run) -> None:
    written(place, chosen("P-19"))
    own = place / "own"
    own.mkdir()
    shipped = Path(cli.__file__).parents[1] / "templates"
    own.joinpath("front.html").write_text(f"<p>By hand at our bench</p>{(shipped / 'front.html').read_text()}")
    told = run("--paper", "letter", "--templates", own, "--out", "elsewhere", "--into", "copy.xlsx", "--pages", "sheet")
    assert told.code == 0, told.err
    pdf = place / "elsewhere/season/P-19 Desk Teal.pdf"
    assert paper_size(pdf) == (612, 792)  # ANSI A, points
    text = subprocess.run(["pdftotext", pdf, "-"], capture_output=True, text=True, check=True).stdout
    assert "By hand at our bench" in text


def test_templates_that_fail_cost_the_sheet_and_say_so(place: Path, run: Run) -> None:
    written(place, chosen("P-19"))
    (place / "own").mkdir()
    (place / "own/front.html").write_text("{{ page.no_such_thing }}")
    told = run("--templates", "own", "--into", "copy.xlsx", "--pages", "sheet")
    assert told.code == 1
    assert "P-19: not printed" in told.out and "no_such_thing" in told.out
    assert results(place)["pairings"][0]["verdict"].startswith("suitable")


def test_a_page_of_the_whole_season_that_fails_keeps_no_results_from_the_workbook(place: Path, run: Run) -> None:
    written(place, chosen("P-19"))
    (place / "mine").mkdir()
    (place / "mine/index.html").write_text("{{ page.nor_this }}")
    told = run("--templates", "mine", "--into", "copy.xlsx", "--no-pdf")
    assert told.code == 1 and "index.html: not printed" in told.out and "nor_this" in told.out
    assert "Run 001 summary" in sheet_names(place / "copy.xlsx")


def test_the_booklet_binds_every_sheet(place: Path, run: Run) -> None:
    written(place, chosen("P-19", "P-12"))
    told = run("--booklet", "--jobs", 2, "--into", "copy.xlsx", "--pages", "sheet")
    assert told.code == 0 and "catalogue.pdf" in told.out
    with pikepdf.open(place / "out/season/catalogue.pdf") as bound:
        single = [pikepdf.open(place / f"out/season/{name}.pdf") for name in ("P-19 Desk Teal", "P-12 Fenhall")]
        assert len(bound.pages) >= sum(len(one.pages) for one in single) + 2  # cover and index
    run("--booklet", "--jobs", 2, "--into", "copy.xlsx", "--pages", "sheet")
    assert (place / "out/season/catalogue.pdf").stat().st_size > 10_000, "bound again of kept results"


# --- faults -------------------------------------------------------------------------------------------------------


def test_bad_rows_never_stop_the_others(place: Path, run: Run) -> None:
    demo = demo_tables()
    highs = [dict(row, re_ohm=-3) if row["id"] == "HD-01" else row for row in demo["High drivers"]]
    bad = chosen("P-01", "P-02", P_02={"low_id": "LD-77"})
    written(place, [*chosen("P-19"), *bad, *chosen("P-12")], High_drivers=highs)
    told = run("--no-pdf", "--jobs", 2)
    assert told.code == 1
    assert "High drivers!" in told.out and '"Re (ohm)": -3 stands here' in told.out
    assert "LD-77" in told.out
    assert [one["id"] for one in results(place)["pairings"]] == ["P-19", "P-12"]
    assert [one["id"] for one in results(place)["not_assessed"]] == ["P-01", "P-02"]
    summary = rows(place / "season.xlsx", "Run 001 summary")
    assert {"P-01", "P-02", "P-19", "P-12"} <= {row[0] for row in summary}


def test_a_missing_curve_file_is_named(place: Path, run: Run) -> None:
    written(place, chosen("P-19", "P-08"))  # P-08 has measured drivers
    for file in (place / "curves").iterdir():
        file.unlink()
    told = run("--dry-run", "--only", "P-19")
    assert "curves/LD-03 response.txt" in told.err and "Low drivers!" in told.err
    assert "P-19" in told.out


def test_a_workbook_in_use_gets_its_results_beside_it(place: Path, run: Run) -> None:
    before = digest(written(place, chosen("P-19")))
    (place / ".~lock.season.xlsx#").write_text(",M. Quill,bench,25.11.2026 10:00,file:///;")
    told = run("--no-pdf")
    assert told.code == 0
    assert digest(place / "season.xlsx") == before
    assert "season.xlsx is open in a LibreOffice of M. Quill" in told.out
    assert "Run 001 summary" in sheet_names(place / "season (results 1).xlsx")


@pytest.mark.parametrize(
    ("content", "said"),
    (
        (None, "season.xlsx: there is no such file in "),
        (b"", "season.xlsx: the file is empty"),
        (b"ID;Low driver\n", "season.xlsx: the file is no .xlsx"),
    ),
)  # fmt: skip
def test_a_workbook_that_cannot_be_used_ends_with_two(place: Path, run: Run, content: bytes | None, said: str) -> None:
    if content is not None:
        (place / "season.xlsx").write_bytes(content)
    told = run()
    assert told.code == 2
    assert told.err.lower().startswith(said.lower()), told.err
    assert "Traceback" not in told.err and not (place / "out").exists()


def test_a_workbook_without_a_required_sheet_ends_with_two(place: Path, run: Run) -> None:
    written(place)
    book = openpyxl.load_workbook(place / "season.xlsx")
    del book["Cabinets"]
    book.save(place / "season.xlsx")
    told = run()
    assert told.code == 2 and "there is no sheet “Cabinets”, which is required" in told.err


# --- in processes of its own --------------------------------------------------------------------------------------


def started(place: Path, *arguments: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "reportgen", "run", "season.xlsx", *arguments]
    process = subprocess.Popen(
        command, cwd=place, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True,
        preexec_fn=hears_the_stop_key,  # noqa: PLW1509 # one call that takes no lock
    )  # fmt: skip
    STARTED.append(process.pid)
    return process


def hears_the_stop_key() -> None:
    """In the child: a suite that was started in the background ignores the stop key, and its children would too."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


STARTED: list[int] = []


@pytest.fixture(autouse=True)
def nothing_left_running() -> Iterator[None]:
    """A test that fails must not leave its command to the next one."""
    yield
    while STARTED:
        with suppress(ProcessLookupError):
            os.killpg(STARTED.pop(), signal.SIGKILL)


def members(group: int) -> list[int]:
    """The living processes of a process group."""
    found = []
    for entry in Path("/proc").glob("[0-9]*/stat"):
        try:
            state, _, owner = entry.read_text().rpartition(")")[2].split()[:3]
        except (FileNotFoundError, ProcessLookupError):
            continue
        if int(owner) == group and state != "Z":
            found.append(int(entry.parent.name))
    return found


def lines(stream: Any, count: int) -> Iterator[str]:
    for _ in range(count):
        yield stream.readline()


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
@pytest.mark.parametrize("whole_group", (True, False), ids=("at the terminal", "the command alone"))
def test_the_stop_key_keeps_what_is_finished(place: Path, run: Run, whole_group: bool) -> None:
    before = digest(written(place, varied(7, QUICK)))
    process = started(place, "--no-pdf", "--jobs", "2")
    first = list(lines(process.stderr, 2))  # early: on a slow machine the rest might be done before
    assert all("/7 " in line for line in first), first
    (os.killpg if whole_group else os.kill)(process.pid, signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 130
    assert "Stopped. What is finished is kept" in err and "Traceback" not in err + out
    deadline = time.monotonic() + 20
    while members(process.pid) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not members(process.pid), "no process is left"
    assert digest(place / "season.xlsx") == before
    kept = {path.stem for path in (place / "out/season/.kept").glob("*.bin")}
    assert len(kept) >= 2 and not list(place.rglob(".part-*"))
    if whole_group:  # what is kept is the same either way
        told = run("--no-pdf", "--jobs", 2)
        assert told.code == 0 and f"{len(kept)} unchanged" in told.out
        assert len(results(place)["pairings"]) == 7


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_killed_workers_cost_nothing_but_time(place: Path) -> None:
    written(place, varied(6, QUICK))
    process = started(place, "--no-pdf", "--jobs", "2", "--into", "copy.xlsx")
    assert process.stderr is not None
    process.stderr.readline()
    for worker in _workers(process.pid):
        os.kill(worker, signal.SIGKILL)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 0, out + err
    assert [one["id"] for one in results(place)["pairings"]] == [row["id"] for row in varied(6, QUICK)]


def _workers(group: int) -> list[int]:
    """The processes that work: children of the server that forks them."""
    parents = {pid: int(Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[1]) for pid in members(group)}
    return [pid for pid, parent in parents.items() if parents.get(parent) == group and parent != group]


def test_reading_back_what_was_written_finds_the_same_catalogue(place: Path, run: Run) -> None:
    run_before(place)
    before = read_catalogue(place / "season.xlsx")
    run("--no-pdf", "--jobs", 2)
    after = read_catalogue(place / "season.xlsx")
    assert (after.pairings, after.low_drivers, after.problems) == (before.pairings, before.low_drivers, before.problems)


def test_without_the_page_engine_a_run_without_paper_works(place: Path) -> None:
    """A page engine whose libraries are not there raises when it is imported."""
    written(place, chosen("P-19"))
    (place / "lame").mkdir()
    (place / "lame" / "weasyprint.py").write_text("raise OSError('cannot load library libpango')")
    path = os.pathsep.join([str(place / "lame"), *filter(None, [os.environ.get("PYTHONPATH")]), *sys.path])
    command = [
        sys.executable,
        "-m",
        "reportgen",
        "run",
        "season.xlsx",
        "--into",
        "copy.xlsx",
        "--jobs",
        "1",
        "--no-pdf",
    ]
    kept: Any = {"cwd": place, "env": {**os.environ, "PYTHONPATH": path}, "capture_output": True, "text": True}
    done = subprocess.run(command, check=False, **kept)
    assert done.returncode == 0 and results(place)["pairings"], done.stderr


# --- clocks and numbers -------------------------------------------------------------------------------------------


def test_runs_keep_their_order_whatever_the_clock_says(place: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """A clock set back, two runs within a second, another time zone: numbers go up, and History stays in their order."""
    written(place, chosen("P-19"))
    moments = iter(("2026-11-25T10:00:00", "2026-11-25T10:00:00", "2020-01-01T00:00:00", "2026-11-25T10:00:00"))
    real = dt.datetime

    class Clock(real):  # type: ignore[misc, valid-type] # the class itself is exchanged
        @classmethod
        def now(cls, tz: Any = None) -> Any:
            return real.fromisoformat(next(moments))

    monkeypatch.setattr(orders, "dt", SimpleNamespace(datetime=Clock))
    for level in (88, 89, 90, 91):
        set_number(place / "season.xlsx", "Pairings", "P-19", "peak_level_db", level)
        monkeypatch.setenv("TZ", "Asia/Tokyo" if level > 89 else "America/New_York")
        assert run("--no-pdf", "--jobs", 1).code == 0
    history = [row for row in rows(place / "season.xlsx", "History") if row[2] == "P-19"]
    assert [row[0] for row in history] == [1, 2, 3, 4]
    assert [f"Run {number:03d} summary" in sheet_names(place / "season.xlsx") for number in (1, 2, 3, 4)] == [True] * 4


def test_a_number_is_not_used_again_when_all_sheets_of_ours_are_deleted(place: Path, run: Run) -> None:
    original = written(place, chosen("P-19")).read_bytes()
    run("--no-pdf", "--jobs", 1)
    (place / "season.xlsx").write_bytes(original)
    run("--no-pdf", "--jobs", 1)
    assert "Run 002 summary" in sheet_names(place / "season.xlsx")
    assert "Run 001 summary" not in sheet_names(place / "season.xlsx")
