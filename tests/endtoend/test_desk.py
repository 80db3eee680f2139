"""The commands of the daily desk on a real workbook: what they print, write, leave alone and refuse."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import openpyxl
import pytest

import reportgen
from reportgen import cli
from reportgen.advice.screening import screen
from reportgen.catalogue.demo import demo_tables
from reportgen.catalogue.reading import read_catalogue
from reportgen.commands.compare import compare_workbook
from reportgen.commands.orders import Order
from reportgen.commands.screen import screen_workbook
from tests.endtoend.seasons import chosen, small, write_season
from tests.oneprocess import in_this_process
from tests.paper.pdfs import opened
from tests.workbooks import sheet_names

pytestmark = pytest.mark.usefixtures("one_process")

Command = Callable[..., tuple[int, str, str]]


@pytest.fixture
def season(tmp_path: Path) -> Path:
    rows = chosen("P-01", "P-06", "P-19")
    return write_season(tmp_path / "season.xlsx", rows, **small(*rows))


@pytest.fixture
def command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Command:
    def run(name: str, *arguments: Any) -> tuple[int, str, str]:
        capsys.readouterr()
        out = [] if name == "history" else ["--out", str(tmp_path / "out")]
        code = cli.main([name, *map(str, arguments), *out])
        printed = capsys.readouterr()
        return code, printed.out, printed.err

    return run


def files(folder: Path) -> set[str]:
    return {str(file.relative_to(folder)) for file in folder.rglob("*") if file.is_file()}


# --- screen ---------------------------------------------------------------------------------------------------------


def test_a_screening_is_printed_written_and_shown(season: Path, command: Command) -> None:
    before = files(season.parent)
    code, shown, _ = command("screen", season)
    assert code == 0
    assert sheet_names(season)[-2:] == ["Screening 001 matrix", "Screening 001 ranked"]
    kept = {"out/season/.kept/last-screening", "out/season/.kept/workbook"}
    assert files(season.parent) - before == {"out/season/screening.pdf", *kept}
    assert len(opened((season.parent / "out/season/screening.pdf").read_bytes()).pages) == 1
    catalogue = read_catalogue(season)
    best = screen(catalogue, catalogue.pairings["P-01"]).candidates[0]
    assert re.search(rf"^1 +{best.low_id} +{best.high_id} +{best.slope}", shown, re.MULTILINE)
    assert f"{len(catalogue.low_drivers) * len(catalogue.high_drivers)} pairs at the use of P-01" in shown


def test_screenings_are_numbered_and_an_earlier_one_stays(season: Path, command: Command) -> None:
    command("screen", season, "--low", "LD-01,ld-06")
    command("screen", season, "--application", "E-02", "--low", "LD-02")
    assert sheet_names(season)[-4:] == [
        f"Screening {n} {kind}" for n in ("001", "002") for kind in ("matrix", "ranked")
    ]
    ranked = openpyxl.load_workbook(season)["Screening 001 ranked"]
    assert {row[1] for row in ranked.iter_rows(min_row=8, values_only=True) if isinstance(row[0], int)} == {
        "LD-01",
        "LD-06",
    }


def test_an_enquirers_own_driver_is_screened_too(season: Path) -> None:
    done = screen_workbook(Order(season, season.parent / "out"), application="e-02")
    assert "driver of E-02" in {one.low_id for one in done.found.candidates}
    assert done.where == "enquiry E-02"


def test_a_copy_takes_the_sheets_and_is_added_to(season: Path, command: Command, tmp_path: Path) -> None:
    content, copy = season.read_bytes(), tmp_path / "copy.xlsx"
    command("screen", season, "--into", copy, "--low", "LD-01")
    command("compare", season, "P-01", "P-19", "--into", copy)
    assert season.read_bytes() == content
    assert sheet_names(copy)[-3:] == ["Screening 001 matrix", "Screening 001 ranked", "Comparison 001"]


def test_a_fixed_crossover_of_a_pairing_does_not_bind_the_screening(tmp_path: Path) -> None:
    rows = chosen("P-01", P_01={"crossover_hz": 400.0})
    season = write_season(tmp_path / "s.xlsx", rows, **small(*rows))
    done = screen_workbook(Order(season, tmp_path / "out"), low=["LD-01"])
    assert done.use.crossover_hz is None
    words = dict(done.found.words)
    assert words["suitable"] + words["suitable with conditions"] > 0


# --- answer ---------------------------------------------------------------------------------------------------------


@pytest.fixture
def small_season(tmp_path: Path) -> Path:
    """One pairing in a catalogue that is searched quickly."""
    rows = chosen("P-19")
    return write_season(tmp_path / "season.xlsx", rows, **small(*rows))


def test_every_open_enquiry_gets_a_page_and_a_text(small_season: Path, command: Command) -> None:
    season = small_season
    code, shown, _ = command("answer", season)
    assert code == 0
    folder = season.parent / "out/season/answers"
    assert files(folder) == {f"{id_}.{kind}" for id_ in ("E-01", "E-02", "E-03") for kind in ("pdf", "txt")}
    for id_ in ("E-01", "E-02", "E-03"):
        text = (folder / f"{id_}.txt").read_text()
        assert len(text.split()) <= 150 and id_ in text
        assert len(opened((folder / f"{id_}.pdf").read_bytes()).pages) == 1
        assert str(folder / f"{id_}.txt") in shown
    assert "the enquirer could tell: Known cone break-up of E-02 (Enquiries!" in shown
    said = openpyxl.load_workbook(season, read_only=True)["Answers"]
    told = {row[0]: row[5] for row in said.iter_rows(min_row=2, values_only=True) if str(row[0]).startswith("E-")}
    assert told == {id_: (folder / f"{id_}.txt").read_text() for id_ in ("E-01", "E-02", "E-03")}


def enquiries(**changes: Any) -> list[dict[str, Any]]:
    first, *others = demo_tables()["Enquiries"]
    return [{**first, **changes}, *others]


def test_an_answer_of_the_same_words_stands_once(small_season: Path, command: Command) -> None:
    season = small_season
    for _ in range(2):
        assert command("answer", season, "--only", "E-03")[0] == 0
    rows = [row[0] for row in openpyxl.load_workbook(season, read_only=True)["Answers"].iter_rows(values_only=True)]
    assert rows.count("E-03") == 1


def test_an_enquiry_of_which_hardly_anything_is_known_gets_a_provisional_pick(tmp_path: Path, command: Command) -> None:
    unknown = enquiries(low_id=None, cabinet_id=None, question="Which tweeter goes with an old woofer of mine?")
    rows, pairings = unknown, chosen("P-01")
    season = write_season(tmp_path / "s.xlsx", pairings, Enquiries=rows, **small(*pairings))
    code, shown, _ = command("answer", season, "--only", "E-01,E-03")
    assert code == 0 and "E-01: HD-" in shown and "Known Sd of E-01 (Enquiries!" in shown
    mail = (tmp_path / "out/s/answers/E-01.txt").read_text()
    assert "This is provisional. Please tell us your woofer's" in mail and "Enquiries!" not in mail
    assert "E-03: HD-" in shown


def test_a_woofer_that_only_the_question_names_is_ours(tmp_path: Path, command: Command) -> None:
    rows, pairings = enquiries(low_id=None, cabinet_id=None), chosen("P-01")  # it says: your LD-01
    season = write_season(tmp_path / "s.xlsx", pairings, Enquiries=rows, **small(*pairings))
    assert command("answer", season, "--only", "E-01")[0] == 0
    mail = (tmp_path / "out/s/answers/E-01.txt").read_text()
    assert "For your LD-01 we suggest" in mail and "Please tell us your woofer's" not in mail


def test_an_enquiry_whose_row_is_wrong_is_not_passed_over(tmp_path: Path, command: Command) -> None:
    rows = chosen("P-01")
    season = write_season(tmp_path / "s.xlsx", rows, Enquiries=enquiries(distance_m=-3)[:1], **small(*rows))
    code, shown, _ = command("answer", season)
    assert code == 1
    assert "E-01: not answered. Enquiries!" in shown and "-3 stands here" in shown


def test_answered_enquiries_are_left_unless_named(tmp_path: Path, command: Command) -> None:
    import datetime as dt

    rows = [{**row, "answered_on": dt.date(2026, 11, 25)} for row in demo_tables()["Enquiries"]]
    pairings = chosen("P-01")
    season = write_season(tmp_path / "s.xlsx", pairings, Enquiries=rows, **small(*pairings))
    code, shown, _ = command("answer", season)
    assert code == 0 and "No enquiry is open" in shown
    assert command("answer", season, "--only", "e-03")[0] == 0
    assert (tmp_path / "out/s/answers/E-03.txt").exists()


def test_an_id_leads_nowhere_but_into_out(tmp_path: Path, command: Command) -> None:
    rows = [{**demo_tables()["Enquiries"][2], "id": "../../E"}]
    pairings = chosen("P-01")
    season = write_season(tmp_path / "s.xlsx", pairings, Enquiries=rows, **small(*pairings))
    before = files(tmp_path)
    command("answer", season)
    new = files(tmp_path) - before - {"out/s/.kept/last-answer", "out/s/.kept/workbook"}
    assert len(new) == 2 and all(name.startswith("out/s/answers/E-") for name in new)


# --- compare --------------------------------------------------------------------------------------------------------


def test_a_comparison_is_printed_written_and_shown(season: Path, command: Command) -> None:
    code, shown, _ = command("compare", season, "P-01", "p-06", "P-01")
    assert code == 0
    assert sheet_names(season)[-1] == "Comparison 001"
    assert len(opened((season.parent / "out/season/comparison-001.pdf").read_bytes()).pages) == 1
    assert re.search(r"^High driver +HD-01 +HD-09$", shown, re.MULTILINE)
    command("compare", season, "P-01", "P-19")
    assert sheet_names(season)[-1] == "Comparison 002"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (
            ("compare", "P-01", "P-99"),
            'Pairings "ID": P-99; no pairing has this ID. There are: P-01, P-06, P-19.',
        ),
        (("compare", "P-01", "p-01"), "A comparison takes two pairings or more"),
        (("screen", "--low", "LD-77"), "no low driver has this ID. There are: LD-01"),
        (("screen", "--application", "X"), "no pairing and no enquiry has this ID. There are: E-01, E-02, E-03, P-01"),
        (("screen", "--slopes", "LR5"), "LR5: no such slope. There are: LR2"),
        (("answer", "--only", "E-77"), "no enquiry has this ID. There are: E-01, E-02, E-03."),
        (("recompute", "--run", "3"), "Run 3 is not in History"),
    ],
)
def test_what_is_not_there_is_refused_with_what_is(
    season: Path, command: Command, arguments: tuple[str, ...], said: str
) -> None:
    content = season.read_bytes()
    name, *others = arguments
    code, _, complaint = command(name, season, *others)
    assert code == 2 and said in complaint
    assert season.read_bytes() == content and not (season.parent / "out").exists()


def test_a_workbook_that_is_not_there_is_said(tmp_path: Path, command: Command) -> None:
    for name, more in (("screen", ()), ("answer", ()), ("compare", ("P-01", "P-02")), ("recompute", ("--run", "1"))):
        code, _, complaint = command(name, tmp_path / "none.xlsx", *more)
        assert code == 2 and "none.xlsx" in complaint


# --- history and recompute ------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workbook after one run, made once for all tests of this file."""
    folder = tmp_path_factory.mktemp("finished")
    rows = chosen("P-19", "P-12")
    season = write_season(folder / "season.xlsx", rows, **small(*rows))
    with in_this_process(searching=False):
        assert cli.main(["run", str(season), "--no-pdf", "--out", str(folder / "out")]) == 0
    return season


@pytest.fixture
def run_once(finished: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(finished, tmp_path / "season.xlsx"))


def test_an_old_run_comes_out_the_same(run_once: Path, command: Command) -> None:
    code, shown, _ = command("recompute", run_once, "--run", "1", "--pdf")
    assert code == 0
    assert "The sheets are without a logo." in shown  # the file is not beside this copy
    assert "Run 1: 2 of 2 results are what the History says." in shown
    assert shown.count("as in History") == 2
    folder = run_once.parent / "out/season/run-001"
    assert files(folder) == {"P-12 Fenhall.pdf", "P-19 Desk Teal.pdf"}


def test_a_result_that_differs_is_said_with_the_program_that_gave_it(run_once: Path, command: Command) -> None:
    book = openpyxl.load_workbook(run_once)
    sheet = book["History"]
    head = next(row for row in sheet.iter_rows() if row[0].value == "Run")
    columns = {cell.value: cell.column for cell in head}
    sheet.cell(head[0].row + 1, columns["Crossover (Hz)"]).value = 1234.0
    sheet.cell(head[0].row + 1, columns["Program"]).value = "0.0.7"
    book.save(run_once)
    code, shown, _ = command("recompute", run_once, "--run", "1")
    assert code == 1
    now = reportgen.__version__
    assert re.search(rf"^P-19: Crossover: 1234 Hz -> \d+ Hz \(program 0.0.7 then, {re.escape(now)} now\)$", shown, re.M)
    assert "Run 1: 1 of 2 results are what the History says." in shown


def test_an_old_run_rests_on_its_own_data_alone(run_once: Path, command: Command) -> None:
    book = openpyxl.load_workbook(run_once)
    for name in ("High drivers", "Low drivers", "Pairings"):
        del book[name]
    book.save(run_once)
    assert command("recompute", run_once, "--run", "1")[0] == 0


def test_histories_are_gathered_and_nothing_else_is_overwritten(
    run_once: Path, command: Command, tmp_path: Path
) -> None:
    target = tmp_path / "all.xlsx"
    for _ in range(2):
        assert command("history", run_once, "--into", target)[0] == 0
    assert sheet_names(target) == ["All history", "Workbooks"]
    content = run_once.read_bytes()
    code, _, complaint = command("history", run_once, "--into", run_once)
    assert code == 2 and "another file stands here already" in complaint
    assert run_once.read_bytes() == content


def test_the_paper_asked_for_is_taken(season: Path) -> None:
    order = Order(season, season.parent / "out")
    done = compare_workbook(replace(order, paper="Letter"), ["P-01", "P-19"])
    pdf = opened(done.page.read_bytes())
    assert [float(side) for side in pdf.pages[0].mediabox[2:]] == pytest.approx(
        [612.0, 792.0], abs=1.0
    )  # ANSI/ASME Y14.1: 8.5 x 11 in


# --- the command itself ---------------------------------------------------------------------------------------------


def test_help_waits_for_nothing() -> None:
    """The commands import nothing of the house before they are called."""
    code = (
        "import sys; from reportgen import cli\n"
        "try: cli.main(['--help'])\nexcept SystemExit: pass\n"
        "print(sorted(m for m in sys.modules if m.split('.')[0] in ('numpy', 'openpyxl', 'jinja2', 'weasyprint')))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.rstrip().endswith("[]")
    for name in ("run", "check", "new", "screen", "answer", "compare", "history", "recompute"):
        assert f"    {name}" in done.stdout
