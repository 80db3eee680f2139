"""The sheets of a run: every figure is there, nothing is a formula, and they print as they should.

Checked against the assessments themselves, against ECMA-376 (table names, cell types) read with lxml and zipfile, and
against LibreOffice where it is installed.
"""

from __future__ import annotations

import io
import math
import re
import shutil
import subprocess
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
from lxml import etree
from openpyxl.utils import get_column_letter

from reportgen.ledger import history, sheets
from reportgen.ledger.layout import SIGNS
from reportgen.ledger.stamp import RunStamp, next_run_number
from reportgen.problems import Problem, Unassessed
from tests.every import every
from tests.ledger.runs import after_run, changed, first_run, opened, results, season, stamp, table, workbook

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


def digits(value):
    """The same number; the library writes sixteen digits of it."""
    return pytest.approx(value, rel=1e-15, abs=1e-300)


@pytest.fixture(scope="module")
def book():
    return opened(first_run())


def test_the_run_adds_its_tabs_after_those_of_the_operator(book):
    assert book.sheetnames[: len(opened(workbook()).sheetnames)] == opened(workbook()).sheetnames
    new = ["Run 001 summary", "Run 001 checks", "Run 001 parts", "History", "History inputs"]
    assert book.sheetnames[-5:] == new


def test_next_run_number_counts_on_from_tabs_and_history():
    assert next_run_number(["Low drivers", "Pairings"]) == 1
    assert next_run_number(["Run 003 summary", "run 7 checks", "Run 900 of mine"]) == 8
    assert next_run_number(["Run 003 summary"], [41]) == 42


def test_a_deleted_run_sheet_does_not_free_its_number():
    book = opened(first_run())
    for name in ("Run 001 summary", "Run 001 checks", "Run 001 parts"):
        del book[name]
    buffer = io.BytesIO()
    book.save(buffer)
    assert history.read_history(buffer.getvalue()).next_run == 2


def test_summary_has_a_row_a_pairing_with_its_figures(book):
    _, _, rows = table(book["Run 001 summary"])
    assert [row["ID"] for row in rows] == [one.id for one in season()]
    for row, one in zip(rows, season(), strict=True):
        assert row["Verdict"] == SIGNS[one.verdict.word]
        assert row["First reason"] == one.verdict.reason
        low_hz, high_hz = one.found_range.low_hz, one.found_range.high_hz
        bounds = (
            ("none", "none") if low_hz > high_hz else (digits(low_hz), digits(high_hz))
        )  # no range is told backwards
        assert (row["Range from (Hz)"], row["Range to (Hz)"]) == bounds
        assert row["Width (octave)"] == pytest.approx(math.log2(high_hz / low_hz))
        assert row["Crossover (Hz)"] == digits(one.crossover_hz)
        assert row["Crossover is"] == ("fixed" if one.case.pairing.crossover_hz else "chosen")
        assert row["Price of one (EUR)"] == digits(one.price)
        assert row["Lowest ohm"] == digits(one.electrical.minimum_ohm)
        assert row["Inputs"] == history.fingerprint(one.case)


def test_summary_tells_kits_apart_a_fact_a_column(book):
    _, _, rows = table(book["Run 001 summary"])
    for row, one in zip(rows, season(), strict=True):
        figures, case = one.figures, one.case
        assert (row["Low driver"], row["High driver"]) == (case.low.id, case.high.id)
        assert (row["Low count"], row["High count"]) == (case.pairing.low_count, case.pairing.high_count)
        assert (row["Kind of high driver"], row["Slope"]) == (case.technology.id, case.pairing.slope)
        assert row["Net volume (L)"] == digits(case.cabinet.net_volume_m3 * 1e3)
        assert row["Sensitivity (dB)"] == digits(figures.sensitivity_db)
        assert [row["Effective from (Hz)"], row["Effective to (Hz)"]] == [
            digits(hz) for hz in figures.effective_range_hz
        ]
        assert row["Lowest ohm"] == digits(figures.least_impedance_ohm)
        assert row["Highest level ended by"] == figures.highest_level_cause
        assert row["Pieces"] == sum(len(part.made_of) or 1 for part in one.parts)
        assert row["Network (EUR)"] == ("–" if figures.network_price is None else digits(figures.network_price))
        assert row["Amplifier from (W)"] == digits(figures.amplifier_w[0])
    without = replace(season()[0], network=None)
    (row,) = table(opened(after_run(workbook(), [without]))["Run 001 summary"])[2]
    assert (row["Low driver"], row["Sensitivity (dB)"], row["Pieces"]) == (without.case.low.id, "–", "–")


@every("sheet", ["Run 001 checks", "Run 001 parts"])
def test_every_row_names_season_and_drivers(book, sheet):
    _, _, rows = table(book[sheet])
    cases = {one.id: one.case for one in season()}
    for row in rows:
        case = cases[row["Pairing"]]
        found = [row[head] for head in ("Season", "Low driver", "High driver", "Kind of high driver")]
        assert found == [case.pairing.season, case.low.id, case.high.id, case.technology.id]
    right = book[sheet].print_area.partition(":")[2]
    assert "Season" not in [cell.value for cell in book[sheet][f"A5:{right}".replace("$", "")][0]]


def test_a_fixed_crossover_is_said_to_be_fixed():
    fixed = changed("P-01", pairing={"crossover_hz": 2450.0})
    _, _, rows = table(opened(after_run(workbook(), [fixed]))["Run 001 summary"])
    assert (rows[0]["Crossover is"], rows[0]["Crossover (Hz)"]) == ("fixed", 2450.0)


def test_checks_sheet_has_every_check_with_all_its_fields(book):
    _, _, rows = table(book["Run 001 checks"])
    checks = [(one, check) for one in season() for check in one.checks]
    assert len(rows) == len(checks)
    for row, (one, check) in zip(rows, checks, strict=True):
        assert (row["Pairing"], row["Check"], row["Outcome"]) == (one.id, check.title, SIGNS[check.outcome])
        for heading, value in (("Value", check.value), ("Limit", check.limit), ("Margin", check.margin)):
            assert row[heading] == ("–" if value is None else digits(value))
        assert row["What it says"] == check.text
        assert row["Source"] == check.source
        assert row["Condition to keep"] == (check.condition or None)
        assert row["Missing"] == ("\n".join(check.missing) or None)
        assert row["Essential"] == ("yes" if check.essential else "no")


def test_parts_are_named_as_the_shop_does_and_prices_add_up(book):
    page = book["Run 001 parts"]
    _, _, rows = table(page)
    mine = [row for row in rows if row["Pairing"] == "P-16"]  # made of stocked parts, so every price is known
    one = next(one for one in season() if one.id == "P-16")
    assert sum(row["Price (EUR)"] for row in mine) == pytest.approx(one.price)
    shop = {"µF": 1e-6, "nF": 1e-9, "mH": 1e-3, "µH": 1e-6, "ohm": 1.0}
    for part in one.parts:
        pieces = [row for row in mine if row["Mark"] == part.label]
        assert [row["Value"] * shop[row["Unit"]] for row in pieces] == pytest.approx(
            part.made_of or [part.value], rel=1e-12
        )
        assert all(0.099 <= row["Value"] < 1000 for row in pieces)
        assert " + ".join(row["Stock ID"] for row in pieces) == part.part_id
        assert sum(row["Price (EUR)"] for row in pieces) == pytest.approx(part.price)
        assert pieces[0]["Buy for at least"] == part.rating_to_buy
    assert sum(row["Mark"] is not None for row in mine) == one.figures.pieces > len(one.parts)  # one place is a pair
    totals = page[page.tables["Run001Totals"].ref]
    found = {row[0].value: [cell.value for cell in row] for row in totals[1:]}
    assert set(found) == {one.id for one in season()}
    assert found["P-16"][2:4] == [len(one.parts), 0]
    assert found["P-16"][4] + found["P-16"][5] == pytest.approx(found["P-16"][6]) == pytest.approx(one.price)


def test_the_parts_sheet_carries_what_more_pieces_buy() -> None:
    """A row a step, below parts and totals, from the fewest pieces up; the one that is built is marked and has the network's price."""
    page = opened(after_run(workbook(), season()))["Run 001 parts"]
    steps = page[page.tables["Run001Steps"].ref]
    last = page[page.tables["Run001Totals"].ref][-1][0].row
    assert steps[0][0].row > last + 1
    parts = page[page.tables["Run001Parts"].ref][-1][0].row
    assert page.print_area.endswith(
        f"$T${parts}"
    )  # each page repeats the heads of the parts: no other row stands under them
    rows = [[cell.value for cell in row] for row in steps[1:]]
    assert {row[0] for row in rows} == {one.id for one in season() if one.design is not None}
    for one in season():
        mine, design = [row for row in rows if row[0] == one.id], one.design
        if design is None:
            continue
        assert [row[2] for row in mine] == [step.pieces for step in design.ladder] == sorted({row[2] for row in mine})
        (built,) = (row for row in mine if row[3])
        assert built[2] == one.figures.pieces and built[4] == (
            "–" if one.network.parts_price is None else pytest.approx(one.network.parts_price)
        )
        for row, step in zip(mine, design.ladder, strict=True):
            null = abs(step.null_db) if design.slope.in_phase else "–"
            told = [step.rms_db, abs(step.worst_db), null, step.least_ohm, 100.0 * step.good_share]
            assert row[6:] == [one if isinstance(one, str) else pytest.approx(one) for one in told]
            assert row[5].startswith("fails: ") == bool(step.failed)


@pytest.mark.parametrize("told", ["out/spring 2027/P-01 #2.pdf", "out/spring%202027/P-01%20%232.pdf"])
def test_pdf_links_are_relative_and_escaped_and_read_as_the_file_is_called(told):
    one = season()[0]
    content = after_run(workbook(), [one], links={one.id: told})
    page = opened(content)["Run 001 summary"]
    head, columns, _ = table(page)
    cell = page.cell(head + 1, columns["Sheet"])
    assert cell.value == "P-01 #2.pdf"
    assert cell.hyperlink.target == "out/spring%202027/P-01%20%232.pdf"
    assert page.cell(head + 1, columns["ID"]).hyperlink.location.startswith("'Run 001 checks'!A")


def test_the_id_leads_to_the_first_check_of_its_pairing(book):
    head, columns, rows = table(book["Run 001 summary"])
    for at, row in enumerate(rows, head + 1):
        target = book["Run 001 summary"].cell(at, columns["ID"]).hyperlink.location.partition("!")[2]
        assert book["Run 001 checks"][target].value == row["ID"]


def test_unassessed_pairings_stand_in_the_summary_with_their_cells():
    problem = Problem("Pairings", "G24", "High driver", "HD-77 stands here", "no such driver is there", "Write an ID.")
    content = after_run(workbook(), season()[:1], [Unassessed("P-99", (problem,))])
    _, _, rows = table(opened(content)["Run 001 summary"])
    assert rows[-1]["ID"] == "P-99"
    assert rows[-1]["Verdict"] == "? not assessed"
    assert rows[-1]["First reason"] == str(problem)
    assert rows[-1]["Crossover (Hz)"] == "–"


def test_a_run_without_any_assessment_still_makes_sheets():
    content = after_run(workbook(), [], [Unassessed("P-99", reason="nothing bounds the crossover")])
    _, _, rows = table(opened(content)["Run 001 summary"])
    assert [row["ID"] for row in rows] == ["P-99"]


@pytest.mark.parametrize(
    "text", ['=HYPERLINK("http://x.example","y")', "+1+1", "-2", "@SUM(A1)", "#N/A", "'=1", "a\x07b"]
)
def test_no_text_of_anybody_becomes_a_formula(text):
    """Cell types of ECMA-376 part 1, 18.18.11: text is s or inlineStr, and no cell has an f element (18.3.1.40)."""
    one = changed("P-01", pairing={"kit": text, "reason": text, "decided_by": text}, low={"description": text})
    one = replace(one, verdict=replace(one.verdict, reason=text))
    additions = sheets.result_sheets(results(one), [Unassessed(text)], stamp(1), {}, history.History()).bytes()
    with zipfile.ZipFile(io.BytesIO(additions)) as package:
        parts = [name for name in package.namelist() if name.startswith("xl/worksheets/sheet")]
        roots = [etree.fromstring(package.read(name)) for name in parts]
    cells = [cell for root in roots for cell in root.iter(f"{MAIN}c")]
    assert len(parts) == 5
    assert not any(True for root in roots for _ in root.iter(f"{MAIN}f"))
    assert {cell.get("t", "n") for cell in cells} <= {"s", "inlineStr", "n", "d"}
    book = opened(additions)
    shown = text.replace("\x07", "�")
    assert table(book["Run 001 summary"])[2][0]["Kit"] == shown
    assert table(book["History"])[2][0]["Why"] == shown


def test_very_long_text_is_cut_to_what_a_cell_holds():
    one = season()[0]
    one = replace(one, verdict=replace(one.verdict, reason="x" * 40_000))
    additions = sheets.result_sheets(results(one), [], stamp(1), {}, history.History()).bytes()
    reason = table(opened(additions)["Run 001 summary"])[2][0]["First reason"]
    assert len(reason) <= 32_767
    assert reason.endswith("…")


def test_tables_have_names_of_their_own_and_one_word_each(book):
    names = [name for page in book.worksheets for name in page.tables]
    assert {"Run001Summary", "Run001Checks", "Run001Parts", "Run001Totals", "RunHistory", "RunInputs"} <= set(names)
    assert len({name.casefold() for name in names}) == len(names)
    assert all(re.fullmatch(r"[A-Za-z_][A-Za-z0-9_]*", name) for name in names)


LINE = f"Run 1, 2027-03-02 14:20, by M. Quill  ·  reportgen 1.2.3  ·  workbook season.xlsx, SHA-256 {stamp(1).workbook_fingerprint[:16]}"


@every(
    ("name", "still", "colour", "shown", "title", "lines"),
    [
        ("Run 001 summary", "B", "225577", "A to Q", "Run 001 summary", [LINE, "10 pairings   "]),
        (
            "Run 001 checks", "B", "225577", "A to N", "Run 001 checks",
            [LINE, "0 checks. A margin is positive on the good side; frequencies have theirs in octaves."],
        ),
        (
            "Run 001 parts", "B", "225577", "A to T", "Run 001 parts",
            [
                LINE,
                "What one loudspeaker takes; below, on the screen, what it comes to and what other numbers of pieces would do (“Most parts” in Pairings picks one).",
                "A dash: no price is known; the price of all counts the parts when every one of them has one.",
            ],
        ),
        (
            "History", "D", "553377", "", "History",
            [
                "10 rows, 10 of them from run 1 of 2027-03-02 14:20. A row for each pairing whose inputs, verdict, results or decision changed "
                "since its row before.",
                "Sort, filter, hide and add columns as you like, and write notes on cells: they are kept, colours are not. Write nothing above the table.",
            ],
        ),
        (
            "History inputs", "C", "553377", "A to F", "Inputs of all runs",
            [
                "0 records on which the rows of “History” rest, each once in every state it ever had; the key in its column “Inputs” is that of a "
                "case.",
                "Any old run can be worked out again from here. Leave the columns “Key”, “Part” and “Values” as they are.",
            ],
        ),
    ],
)  # fmt: skip
def test_every_sheet_is_set_up_for_screen_and_print(book, name, still, colour, shown, title, lines):
    page = book[name]
    head, _, rows = table(page)
    keys = {row["Key"] for row in rows} if name == "History inputs" else rows
    lines = [re.sub("^0 ", f"{len(keys)} ", line) for line in lines]
    assert [page.cell(row, 1).value for row in (1, head - 1)] == [title, None]
    assert all(page.cell(row, 1).value.startswith(line) for row, line in enumerate(lines, 2)) and head == len(lines) + 3
    assert page.freeze_panes == f"{still}{head + 1}"
    assert (page.sheet_properties.tabColor.rgb, page.page_setup.paperSize) == (f"00{colour}", 9)
    assert page.sheet_state == ("hidden" if name == "History inputs" else "visible")
    assert page.oddFooter.left.text == LINE
    if shown:
        first, last = re.findall(r"\$([A-Z]+)\$", page.print_area)
        assert f"{first} to {last}" == shown
    # the heads that pages repeat are those of the first table: what stands below it is for the screen
    tables = [one for one in page.tables.values() if one.name not in ("Run001Totals", "Run001Steps")]
    last = max(int(one.ref.rpartition(":")[2].lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")) for one in tables)
    if shown:  # the chart of the summary is printed too
        assert int(page.print_area.rpartition("$")[2]) == last + (28 if name == "Run 001 summary" else 0)
    assert page.print_title_rows == f"${head}:${head}"
    assert page.page_setup.orientation == "landscape"
    assert page.sheet_properties.pageSetUpPr.fitToPage
    assert (page.page_setup.fitToWidth, page.page_setup.fitToHeight) == (2 if name == "History" else 1, 0)
    assert all(one.autoFilter is not None for one in page.tables.values() if one.name != "Run001Totals")


def test_marks_do_not_rest_on_colour_alone(book):
    """Each outcome has its own sign and word, and what is not a pass has another weight or slope."""
    assert len({sign[0] for sign in SIGNS.values()}) == 4
    rules = [rule for area in book["Run 001 checks"].conditional_formatting for rule in area.rules]
    by_sign = {rule.formula[0][-2]: rule.dxf.font for rule in rules if "LEFT" in rule.formula[0]}
    assert set(by_sign) == {"✗", "!", "?", "✓"}
    assert by_sign["✗"].b and by_sign["!"].b and by_sign["?"].i and not by_sign["✓"].b


def test_chart_draws_every_range_on_a_logarithmic_axis(book):
    page = book["Run 001 summary"]
    head, columns, rows = table(page)
    for row, one in zip(rows, season(), strict=True):
        low, high = one.found_range.low_hz, one.found_range.high_hz
        assert row["Lower edge"] + row["Usable range"] + row["No range: limits cross"] == pytest.approx(max(low, high))
        assert (row["Usable range"] > 0) == (high > low)
    assert page.column_dimensions[get_column_letter(columns["Lower edge"])].hidden
    with zipfile.ZipFile(io.BytesIO(first_run())) as package:
        name = next(name for name in package.namelist() if "charts/chart" in name)
        chart = etree.fromstring(package.read(name))
    space = {"c": "http://schemas.openxmlformats.org/drawingml/2006/chart"}
    assert chart.xpath("//c:valAx/c:scaling/c:logBase/@val", namespaces=space)[0] in ("2", "2.0")
    assert chart.xpath("//c:plotVisOnly/@val", namespaces=space) == ["0"]
    areas = chart.xpath("//c:ser/c:val//c:f/text()", namespaces=space)
    assert len(areas) == 4
    assert all(area.endswith(f"${head + len(rows)}") and "Run 001 summary" in area for area in areas)


def test_the_stamp_names_its_tabs():
    assert [stamp(12).tab(kind) for kind in ("summary", "parts")] == ["Run 012 summary", "Run 012 parts"]
    assert "by" not in RunStamp(1, stamp(1).started, "1", "0" * 64, "w.xlsx", "").line.split("·")[0]


@pytest.mark.skipif(shutil.which("soffice") is None, reason="needs LibreOffice")
def test_libreoffice_shows_the_sheets_without_overflow(tmp_path: Path):
    """A number that does not fit its column is shown as ###; the text of the print must hold none."""
    target = tmp_path / "run.xlsx"
    target.write_bytes(after_run(workbook(), season()[:6]))
    profile = f"-env:UserInstallation=file://{tmp_path}/profile"
    command = ["soffice", profile, "--headless", "--convert-to", "pdf", "--outdir", str(tmp_path), str(target)]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    text = subprocess.run(
        ["pdftotext", "-layout", str(tmp_path / "run.pdf"), "-"], check=True, capture_output=True, timeout=60
    ).stdout.decode()
    assert "Run 001 summary" in text and "Usable range and crossover of each pairing" in text
    assert "###" not in text
    assert "Err:" not in text and "#NAME" not in text


def test_the_chart_of_the_summary_is_drawn_from_the_columns_of_its_headings(book):
    """Each series takes its name from a heading and its figures from the rows under it (ECMA-376 part 1, 21.2.2.27)."""
    page = book["Run 001 summary"]
    (chart,) = page._charts
    assert (chart.x_axis.delete, chart.y_axis.delete) == (False, False)
    series = [one for part in (chart, *chart._charts[1:]) for one in part.series]
    titled = [page[one.tx.strRef.f.split("!")[1].replace("$", "")].value for one in series]
    assert titled == ["Lower edge", "Usable range", "No range: limits cross", "Crossover"]
    for one in series:
        head, figures = (text.split("!")[1].replace("$", "") for text in (one.tx.strRef.f, one.val.numRef.f))
        assert figures.startswith(head.rstrip("0123456789")) and page[head].row + 1 == page[figures.split(":")[0]].row
