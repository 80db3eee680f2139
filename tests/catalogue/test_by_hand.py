"""What is read and what is doubted, figure by figure, worked out by hand: each a place where a small fault once went unnoticed."""

from __future__ import annotations

import re
import unicodedata
from contextlib import nullcontext
from dataclasses import replace
from math import pi
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from lxml import etree
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from reportgen.catalogue import curves, grids, relations
from reportgen.catalogue.blank import _fit, _number_validation, heading_note
from reportgen.catalogue.cells import implausible
from reportgen.catalogue.columns import CABINET_KINDS, REAR_USES, REARS, SHEETS, SURROUNDINGS, Column, sheet
from reportgen.catalogue.currencies import decimals_of, without_currency
from reportgen.catalogue.curves import _float, _kind, _refuse_absurd, _refuse_kilohertz, _text, _times, read_curve
from reportgen.catalogue.demo import demo_tables
from reportgen.catalogue.demonext import next_season_tables
from reportgen.catalogue.grids import Grid, Percentage
from reportgen.catalogue.overrides import overridden, parsed
from reportgen.catalogue.package import MAIN, Package, Relationship, _warnings
from reportgen.catalogue.plausible import (
    level_of,
    pass_band_hz,
    problems_at_angle,
    problems_of_curve,
    tells_resonance,
    why_not_at_angle,
)
from reportgen.catalogue.reading import _choose_sheets
from reportgen.catalogue.records import Case, MeasuredCurve, Origin, Practice, Rule
from reportgen.catalogue.shipped import practice_of
from reportgen.catalogue.tables import Table, costs_itself, holds_headings, is_example, read_table
from reportgen.crossover.loads import DriverLoad
from reportgen.problems import CurveUnreadable, Problem
from tests.demo_catalogue import demo, demo_case
from tests.every import every

LOWS = ("ID", "Re (ohm)", "Fs (Hz)", "Qms", "Qes", "Sd (cm2)", "Sensitivity (dB 2.83V/1m)", "Notes")


def lows(*rows: tuple[Any, ...]) -> Table:
    """The sheet of low drivers with these rows."""
    return read_table(sheet("Low drivers"), Grid("Low drivers", LOWS, tuple(enumerate(rows, 2))))


def named(*figures: float, id_: str = "LD-1", notes: str | None = None) -> tuple[Any, ...]:
    return (id_, *figures, notes)


# --- cells and rows ---------------------------------------------------------------------------------------------------


@every(
    ("heading", "factor"),
    [("z (ohm)", 1.0), ("z (kohm)", 1e3), ("z (k ohm)", 1e3), ("z (mohm)", 1e-3), ("z (m ohm)", 1e-3), ("milliohm", 1e-3), ("ohm, magnitude", 1.0)],
)  # fmt: skip
def test_thousands_and_thousandths_of_an_ohm(heading: str, factor: float) -> None:
    assert _times(heading, "impedance", False) == factor


KINDS = {
    "frequency": "freq frequency hz khz f", "real": "re real", "imaginary": "im imag imaginary", "degrees": "phase deg degrees rad angle phi",
    "dB": "db spl level pa pressure", "ohm": "ohm kohm impedance z |z|", "value": "magnitude ampl amplitude modulus", "": "coherence gd n",
}  # fmt: skip
"""What measuring programs write over a column, by what stands below it."""


def test_the_words_over_a_column_say_what_it_holds() -> None:
    assert {word: _kind(word) for words in KINDS.values() for word in words.split()} == {
        word: kind for kind, words in KINDS.items() for word in words.split()
    }


@every(("row", "told"), [((100.0, 90.0, -3600.0), ""), ((100.0, 90.0, 2e6), "2e+06 degrees is no phase"), ((100.0, 201.0), "lies outside"), ((2e6, 90.0), "no frequency")])  # fmt: skip
def test_a_phase_may_turn_many_times(row: tuple[float, ...], told: str) -> None:
    with pytest.raises(CurveUnreadable, match=re.escape(told)) if told else nullcontext():
        _refuse_absurd("it.txt", 3, row, "response")


@every(("size", "read"), [(1000, True), (1001, False)])
def test_a_file_may_be_just_as_long_as_is_said(
    size: int, read: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(curves, "MOST_BYTES", 1000)
    (tmp_path / "it.txt").write_text("x" * size)
    with nullcontext() if read else pytest.raises(CurveUnreadable, match="a measured curve has at most"):
        assert len(_text("it.txt", tmp_path)) == size


@every(("shown", "share"), [("0%", True), ("0.0%_);(0.0%)", True), ('0.0"%"', True), ("0.00", False)])
def test_a_percentage_is_shown_by_its_sign_wherever_it_stands_in_the_format(shown: str, share: bool) -> None:
    cell = SimpleNamespace(value=0.05, data_type="n", has_style=True, number_format=shown)
    assert grids._value(cell) == (Percentage(0.05) if share else 0.05)
    cell.value = 1  # 100 % is stored as a whole number
    assert grids._value(cell) == (Percentage(1.0) if share else 1)


@every(("last", "unread_from"), [(6, 0), (7, 7)])
def test_a_sheet_that_ends_beside_its_headings_is_read_to_its_end(
    last: int, unread_from: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three empty rows may follow one another here; the fourth is row 6. What holds the last cell to the right of the headings is empty."""
    monkeypatch.setattr(grids, "MOST_BLANK_ROWS", 3)

    def rows(min_row: int, max_row: int, max_col: int | None) -> list[list[Any]]:
        cells = {1: ["ID"], 2: ["LD-1"]}
        return [
            [SimpleNamespace(value=one, data_type="s", has_style=False) for one in cells.get(number, [None])]
            for number in range(min_row, max_row + 1)
        ]

    page = SimpleNamespace(title="Low drivers", reset_dimensions=lambda: None, iter_rows=rows)
    found = grids._grid(page, None, grids._Layout(False, last), lambda row: "ID" in row)
    assert (found.unread_from, found.rows) == (unread_from, ((2, ("LD-1",)),))


def test_empty_rows_here_and_there_end_no_sheet(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two between each and the next, eight in all: never four in a row, which would end it here."""
    monkeypatch.setattr(grids, "MOST_BLANK_ROWS", 3)
    filled = {1: "ID", 2: "A", 5: "B", 8: "C", 11: "D", 14: "E"}

    def rows(min_row: int, max_row: int, max_col: int | None) -> list[list[Any]]:
        return [[SimpleNamespace(value=filled.get(number), data_type="s")] for number in range(min_row, max_row + 1)]

    page = SimpleNamespace(title="Low drivers", reset_dimensions=lambda: None, iter_rows=rows)
    found = grids._grid(page, None, grids._Layout(False, 14), lambda row: "ID" in row)
    assert found.unread_from == 0 and [number for number, _ in found.rows] == [2, 5, 8, 11, 14]


@every(("above", "found"), [(0, 1), (20, 21), (21, 1)])
def test_twenty_rows_may_stand_above_the_headings(above: int, found: int) -> None:
    """After more of them the first row counts as that of the headings."""

    def rows(min_row: int, max_row: int, max_col: int | None) -> list[list[Any]]:
        words = ("ID" if number == above + 1 else "a title" for number in range(min_row, max_row + 1))
        return [[SimpleNamespace(value=word, data_type="s", has_style=False)] for word in words]

    page = SimpleNamespace(reset_dimensions=lambda: None, iter_rows=rows)
    assert grids._headings(page, None, lambda row: "ID" in row)[0] == found


def test_only_one_of_the_last_ten_rows_is_a_mean_of_those_above() -> None:
    """Two drivers, the means of their figures, and others below: with nine of them it is the tenth row from the end."""
    first, second = named(5.0, 40.0, 4.0, 0.40, 120.0, 86.0, id_="A"), named(7.0, 50.0, 5.0, 0.50, 140.0, 90.0, id_="B")
    mean = named(6.0, 45.0, 4.5, 0.45, 130.0, 88.0, id_="Mean")
    for count, read in ((9, False), (10, True)):
        below = [named(8.0 + at, 60.0, 3.0, 0.6, 200.0, 91.0, id_=f"C{at}") for at in range(count)]
        assert ("Mean" in lows(first, second, mean, *below).records) is read


def test_the_median_of_an_even_number_of_rows_lies_between_the_middle_two() -> None:
    """Of 1, 2, 4 and 9 of something it is 3, and so down the columns; their mean is 4."""
    rows = [
        named(5.0 + one, 40.0 + one, 4.0 + one, 0.40, 120.0 + one, 86.0, id_=f"A{at}")
        for at, one in enumerate((1, 2, 4, 9))
    ]
    found = lows(*rows, named(8.0, 43.0, 7.0, 0.40, 123.0, 86.0, id_="Median"))
    assert "Median" not in found.records and "the median of the rows above" in str(found.problems[-1])


def test_rows_of_one_id_that_differ_by_a_note_alone_are_not_the_same_row() -> None:
    """Nobody knows which of the two is meant; of two that say all the same one counts."""
    figures = (5.6, 42.0, 4.5, 0.5, 130.0, 88.5)
    assert not lows(named(*figures, notes="old"), named(*figures, notes="new")).records
    assert list(lows(named(*figures, notes="old"), named(*figures, notes="old")).records) == ["LD-1"]


@every(
    ("count", "told"),
    [(2, "A3"), (3, "A3, A4"), (4, "A3, A4, A5"), (5, "A3, A4, A5 and 1 more"), (7, "A3, A4, A5 and 3 more")],
)
def test_where_an_id_stands_again_is_told_three_times_and_then_counted(count: int, told: str) -> None:
    found = lows(*(named(5.6, 40.0 + at, 4.5, 0.5, 130.0, 88.5) for at in range(count)))
    assert not found.records and [one.found for one in found.problems] == [f"“LD-1” stands here and in {told}"]


def test_another_name_of_a_row_is_not_the_id_of_a_second() -> None:
    table, driver = Table(sheet("Low drivers")), demo().low_drivers["LD-01"]
    for id_ in ("A", "B"):
        table.add(replace(driver, id=id_))
    for name in ("b", "C"):
        table.call("A", name)
    assert (table.find("B"), table.find("c"), list(table.ids)) == ("B", "A", ["A", "B"])


@every("id_", ("(example) LD-1", "(Example) LD-1", " (EXAMPLE)\u00a0LD-1"))
def test_an_example_is_one_however_it_is_written(id_: str) -> None:
    assert is_example(id_) and not is_example("LD-1 (example)") and not is_example(None)


@every("count", (1, 2))
def test_a_sum_is_one_of_two_rows_or_more(count: int) -> None:
    """Five of each on the shelf: under one driver a row of five is another driver, whose figures are wanted; under two ten are their sum."""
    whole = [(f"LD-{at}", 5.6, 42.0, 4.5 + at, 0.5, 130.0, 88.5, 5) for at in range(count)]
    rows = (*whole, ("All of it", *[None] * 6, 5 * count))
    found = read_table(sheet("Low drivers"), Grid("Low drivers", (*LOWS[:-1], "Stock"), tuple(enumerate(rows, 2))))
    assert ("All of it" in found.spoiled) is (count == 1) and list(found.records) == [one[0] for one in whole]


@every(("remark", "read"), [("", True), (" (EUR)", True), (" (mm)", False), (" (Hz)", False)])
def test_a_column_without_a_unit_bears_a_remark_and_no_unit(remark: str, read: bool) -> None:
    heads = (*(head + remark if head == "Qms" else head for head in LOWS),)
    found = read_table(
        sheet("Low drivers"), Grid("Low drivers", heads, ((2, named(5.6, 42.0, 4.5, 0.5, 130.0, 88.5)),))
    )
    assert bool(found.records) is read and bool(found.problems) is not read


@every(("title", "numbered"), [("Pairings 2", True), ("Pairings10", True), ("pairings 007", True), ("My pairings", False)])  # fmt: skip
def test_a_copy_of_a_sheet_is_told_by_its_number(title: str, numbered: bool) -> None:
    chosen, problems = _choose_sheets(["Pairings", title])
    assert list(chosen) == ["Pairings"]
    assert [(one.sheet, one.found) for one in problems if one.found == "a numbered sheet"] == [
        (title, "a numbered sheet")
    ] * numbered


@every(
    ("field", "operator", "low", "high"),
    [
        ("horizontal_coverage_rad", "greaterThan", "0", None), ("mouth_width_m", "greaterThan", "0", None), ("price", "greaterThanOrEqual", "0", None),
        ("stock", "greaterThanOrEqual", "0", None),
    ],
)  # fmt: skip
def test_what_is_checked_while_a_figure_is_typed(field: str, operator: str, low: str, high: str | None) -> None:
    """A range of a spreadsheet program holds its ends: where 0 is none, only what lies above it is asked for, and the reader knows the rest."""
    check = _number_validation(sheet("Waveguides").column(field))
    assert (check.operator, check.formula1, check.formula2) == (operator, low, high)


def test_both_ends_are_checked_where_both_may_stand() -> None:
    """From 30 degrees back to 45 forward, and 1 to 16 drivers."""
    for name, field, low, high in (("Cabinets", "tilt_rad", "-30", "45"), ("Pairings", "low_count", "1", "16")):
        check = _number_validation(sheet(name).column(field))
        assert (check.operator, check.formula1, check.formula2) == ("between", low, high)


def test_a_row_is_as_high_as_its_longest_text() -> None:
    """200 letters in a column of 40 take five lines of 13 points, 20 in one of 34 take one."""
    page = cast(Worksheet, Workbook().active)
    _fit(page, sheet("Low drivers"), [{"id": "A", "description": "x" * 20, "notes": "x" * 200}, {"id": "B"}])
    assert [page.row_dimensions[number].height for number in (2, 3)] == [68.0, 16.0]


def test_a_cell_that_counts_as_nothing_has_no_word_for_it() -> None:
    for one in SHEETS:
        for column in one.columns:
            told = "\nEmpty: " in heading_note(column)
            assert told is (not column.required and column.default not in (None, "")), column.name


def test_the_sign_of_one_country_is_its_currency() -> None:
    """Signs by their names in the Unicode Character Database; codes of ISO 4217 (from memory)."""
    signs = {
        "EUR": "EURO", "GBP": "POUND", "INR": "INDIAN RUPEE", "KRW": "WON", "TRY": "TURKISH LIRA", "UAH": "HRYVNIA", "ILS": "NEW SHEQEL",
        "VND": "DONG", "KZT": "TENGE", "RUB": "RUBLE", "PHP": "PESO", "NGN": "NAIRA",
    }  # fmt: skip
    for code, name in signs.items():
        price = f"{unicodedata.lookup(f'{name} SIGN')} 12"
        assert without_currency(price, code) == "12" and without_currency(price, "USD") == price, code
    assert without_currency("12 zł", "PLN") == without_currency("12 Kč", "CZK") == "12"


def test_decimals_of_currencies() -> None:
    """ISO 4217, minor units (memory): none, three, and two for all others."""
    for decimals, codes in ((0, "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF ¥ ₩"), (3, "BHD IQD JOD KWD LYD OMR TND"), (2, "EUR USD GBP CHF PLN € $ £")):  # fmt: skip
        assert {decimals_of(code) for code in (*codes.split(), *codes.lower().split())} == {decimals}


UNIT_OF = {
    "_k_w": "K/W", "_m3": "L mL", "_m2": "cm2", "_t_m": "T m", "_kg": "g", "_rad": "deg", "_hz": "Hz", "_ohm": "ohm", "_db": "dB", "_w": "W", "_v": "V",
    "_h": "mH", "_m": "mm m", "_order": "order",
}  # fmt: skip
"""By the end of a field's name, which says the SI unit of its value: the units in which people write that quantity."""


def test_the_unit_of_every_heading_is_one_of_its_quantity() -> None:
    for one in SHEETS:
        for column in one.columns:
            end = next((end for end in UNIT_OF if column.field.endswith(end)), "")
            if end and column.kind.name not in ("TEXT", "REFERENCE", "CHOICE"):
                assert any(column.unit.startswith(unit) for unit in UNIT_OF[end].split()), column.heading


def test_nothing_of_the_demo_is_unusual() -> None:
    assert not [str(one) for one in demo().problems if "usual" in one.expected]


@every(("re_ohm", "told"), [(0.49, True), (0.5, False), (40.0, False), (40.1, True)])
def test_what_is_usual_holds_its_ends(re_ohm: float, told: bool) -> None:
    assert bool(implausible(sheet("Low drivers").column("re_ohm"), re_ohm, "ohm")) is told


@every(("spacing_m", "told"), [(0.0, False), (0.005, True), (0.0199, True), (0.02, False)])
def test_a_driver_in_the_middle_of_the_other_is_usual_and_one_a_little_beside_is_not(
    spacing_m: float, told: bool
) -> None:
    assert bool(implausible(sheet("Pairings").column("centre_spacing_m"), spacing_m, "mm")) is told


@every("column", [one for one in sheet("Low drivers").columns if one.kind.name in ("NUMBER", "COUNT") and not one.required])  # fmt: skip
def test_a_bad_cell_that_says_no_more_than_that_a_figure_is_unknown_counts_as_empty(column: Column) -> None:
    """Of the others an empty cell means something (a plain coil, a square frame, one metre), so that their figure is not known either way."""
    unknown = [
        "price",
        "stock",
        "nominal_impedance_ohm",
        "vas_m3",
        "moving_mass_kg",
        "force_factor_t_m",
        "peak_travel_m",
        "rated_power_w",
        "breakup_hz",
    ]
    heads = (*LOWS[:-1], column.heading)
    row = (2, (*named(5.6, 42.0, 4.5, 0.5, 130.0, 88.5)[:-1], "soon"))
    (found,) = read_table(sheet("Low drivers"), Grid("Low drivers", heads, (row,))).records.values()
    assert found.unread == (None if column.field in unknown else (column.field,))


def test_a_row_that_stands_twice_is_wrong_once() -> None:
    """An Fs of 900 Hz is no woofer's: told of the first, and of the second only that it is the same."""
    found = lows(*[named(5.6, 900.0, 4.5, 0.5, 130.0, 88.5)] * 2).problems
    assert [one.cell for one in found] == ["A3", "C2"] and "the same row as 2" in found[0].found


# --- the package ------------------------------------------------------------------------------------------------------


def test_an_address_outside_leads_to_no_part_although_it_is_called_like_one() -> None:
    class Linked(set[str]):
        def relationships(self, part: str) -> tuple[Relationship, ...]:
            links = {"": (("a", False), ("b", True)), "a": (("c", False), ("gone", False))}.get(part, ())
            return tuple(Relationship("rId1", "any", target, external) for target, external in links)

    package: Any = Linked("abc")
    assert Package.reached(package, [""]) == {"a", "c"}
    assert Package.reached(package, [""], without="a") == set()


def test_a_part_is_found_however_its_name_is_written() -> None:
    """RFC 3986: %20 is a blank; names of parts do not regard case (ECMA-376 part 2, 6.2)."""
    package: Any = SimpleNamespace(_by_name={"xl/my sheet.xml": 1, "xl/a%20b.xml": 2})
    assert [Package._find(package, name) for name in ("xl/My%20Sheet.xml", "/xl/my sheet.xml", "xl/a%20b.xml", "xl/a b.xml")] == [1, 1, 2, None]  # fmt: skip


@every(("locked", "warned"), [(None, False), ("0", False), ("false", False), ("off", False), ("1", True), ("true", True), ("on", True)])  # fmt: skip
def test_a_structure_is_protected_where_its_lock_is_on(locked: str | None, warned: bool) -> None:
    """The six ways to write a truth (ECMA-376 part 1, 22.9.2.7)."""
    book = etree.Element(f"{MAIN}workbook")
    etree.SubElement(book, f"{MAIN}workbookProtection", {} if locked is None else {"lockStructure": locked})
    package: Any = SimpleNamespace(names=[], main_part="x", relationships=lambda _: (), xml=lambda _: book)
    assert any("structure of the workbook is protected" in one for one in _warnings(package)) is warned


# --- curves against their rows ----------------------------------------------------------------------------------------


def curve(hz: Any, magnitude: Any) -> MeasuredCurve:
    return MeasuredCurve(np.asarray(hz), np.asarray(magnitude) + np.zeros(len(hz)), None, "it.txt")


@every(
    ("volts", "metres", "wanted_db"),
    [(2.83, 1.0, 90.0), (2.83, 2.0, 83.98), (5.66, 1.0, 96.02), (5.66, 2.0, 90.0), (2.83, 0.5, 96.02)],
)
def test_the_level_of_a_file_is_that_of_its_voltage_and_distance(volts: float, metres: float, wanted_db: float) -> None:
    """Twice the voltage is 6.02 dB more, twice the distance as much less."""
    driver = replace(demo().low_drivers["LD-01"], sensitivity_db=90.0, measuring_voltage_v=volts, measured_at_m=metres)
    assert level_of(driver, curve(np.geomspace(100.0, 5000.0, 80), 90.0)).wanted_db == pytest.approx(
        wanted_db, abs=0.01
    )


@every(("first_hz", "last_hz", "refused"), [(0.02, 20.0, True), (1.9, 200.0, True), (2.0, 200.0, False), (5.0, 150.0, False), (0.02, 201.0, False)])  # fmt: skip
def test_a_file_that_ends_at_twenty_hertz_is_one_of_kilohertz(first_hz: float, last_hz: float, refused: bool) -> None:
    """One of a subwoofer begins at no thousandth of a kilohertz (common practice, no source)."""
    table: Any = [(1, (first_hz, 90.0)), (2, (last_hz, 90.0))]
    with pytest.raises(CurveUnreadable, match="looks like kHz") if refused else nullcontext():
        _refuse_kilohertz("it.txt", table)


@every(("low", "where", "least_db"), [(True, "CB-01", -6.0), (True, None, -3.0), (True, "large baffle", -3.0), (False, "CB-01", -3.0)])  # fmt: skip
def test_in_a_cabinet_a_woofer_may_lack_the_step_of_its_front(low: bool, where: str | None, least_db: float) -> None:
    """Half of 6 dB in its pass band; a high driver plays above that step."""
    driver = demo().low_drivers["LD-01"] if low else demo().high_drivers["HD-01"]
    found = level_of(replace(driver, response_measured=where), curve(np.geomspace(100.0, 20000.0, 80), 90.0))
    assert found.allowed_db == (least_db, 3.0)


@every(
    ("low", "first_hz", "last_hz", "told"),
    [(True, 1500.0, 20000.0, False), (True, 1700.0, 20000.0, True), (True, 20.0, 210.0, False), (True, 20.0, 190.0, True),
     (False, 7000.0, 20000.0, False), (False, 9000.0, 20000.0, True), (False, 100.0, 2100.0, False), (False, 100.0, 1900.0, True)],
)  # fmt: skip
def test_a_response_reaches_over_an_octave_of_where_its_driver_works(low: bool, first_hz: float, last_hz: float, told: bool) -> None:  # fmt: skip
    """From half of 200 Hz to four times 800 for a woofer, from half of 2 kHz to 16 for a high driver (common practice, no source)."""
    driver = demo().low_drivers["LD-01"] if low else demo().high_drivers["HD-01"]
    driver = replace(driver, fs_hz=40.0, response_measured="large baffle")
    found = curve(np.geomspace(first_hz, last_hz, 40), driver.sensitivity_db)
    assert any("it runs from" in str(one) for one in problems_of_curve(driver, found, "response")) is told


def doubts(driver: Any, hz: Any, ohm: Any) -> list[str]:
    whole = replace(driver, impedance_measured="free air")
    return [str(one) for one in problems_of_curve(whole, curve(hz, ohm), "impedance")]


@every(("qms", "qes"), [(4.5, 0.45), (1.2, 2.4), (0.7, 1.4)])
def test_the_very_curve_of_a_drivers_figures_is_not_doubted(qms: float, qes: float) -> None:
    """Small 1972: the peak stands Qms/Qes times Re over Re. One and a half times as high over Re, it is doubted."""
    driver = replace(demo().low_drivers["LD-01"], re_ohm=6.0, fs_hz=45.0, qms=qms, qes=qes)
    hz = np.geomspace(10.0, 2000.0, 400)
    load = DriverLoad(6.0, 0.0, 45.0, qms, qes)
    assert doubts(driver, hz, np.abs(load.impedance(hz))) == []
    peak = 6.0 * (1.0 + qms / qes)
    told = doubts(driver, hz, np.abs(load.impedance(hz)) * np.where((hz > 30.0) & (hz < 70.0), 1.5, 1.0))
    assert len(told) == 1 and f"make {float(f'{peak:.3g}'):g} ohm" in told[0]


@every(("qes", "doubted"), [(2.0, 0), (1.0, 1)])
def test_a_peak_that_hardly_stands_out_is_not_looked_for(qes: float, doubted: int) -> None:
    """A rise of 15 % over two octaves: with a peak of 1.25 Re it may hide what it likes, with one of 1.5 Re the peak is wanted."""
    driver = replace(demo().low_drivers["LD-01"], re_ohm=6.0, fs_hz=45.0, qms=0.5, qes=qes)
    hz = np.geomspace(10.0, 2000.0, 400)
    assert len(doubts(driver, hz, 6.0 + 0.9 * np.clip(np.log2(hz / 45.0) / 2.0, 0.0, 1.0))) == doubted


@every(("last_hz", "fs_hz", "doubted"), [(5000.0, 1000.0, False), (6000.0, 1000.0, True), (700.0, None, True)])
def test_a_least_impedance_far_over_re_is_doubted_where_the_file_reaches(last_hz: float, fs_hz: float | None, doubted: bool) -> None:  # fmt: skip
    """1.6 Re: six times the resonance on, or 600 Hz where nobody states it, the curve has come down to Re and the coil."""
    driver = replace(demo().high_drivers["HD-01"], re_ohm=5.0, fs_hz=fs_hz)
    told = doubts(driver, np.geomspace(100.0, last_hz, 60), 8.0)
    assert any("its least value is 8 ohm" in one for one in told) is doubted


# --- rows against one another -----------------------------------------------------------------------------------------


@every(("height_m", "told"), [(None, False), (0.025, False), (0.02502, False), (0.0251, True), (0.027, True)])
def test_a_round_surface_is_as_high_as_wide(height_m: float | None, told: bool) -> None:
    driver = replace(demo().high_drivers["HD-01"], shape="round", radiating_width_m=0.025, radiating_height_m=height_m, diaphragm_area_m2=None)  # fmt: skip
    found = relations._check_high_driver(driver, {"Low drivers": Table(sheet("Low drivers"))})
    assert any("a round surface is 25 mm high too" in one.expected for one in found) is told


@every("rear", REARS)
@every("use", REAR_USES)
def test_only_a_cup_that_comes_off_is_taken_off(rear: str, use: str) -> None:
    case = demo_case("P-01", pairing={"rear_use": use, "chamber_m3": None}, high={"rear": rear})
    told = [one.expected.partition(" (")[0] for one in relations._check_rear(case.pairing, case.high)]
    assert told == ([f"the rear of HD-01 is {rear}"] if use == "removed" and rear != "removable" else [])


def test_only_behind_a_throat_is_a_diaphragm_nine_times_what_radiates() -> None:
    """75 mm behind 25 mm, 44.2 cm2 over 4.91."""
    table = Table(sheet("Technologies"))
    table.records.update(demo().technologies)
    for kind in demo().technologies.values():
        sizes = {"shape": "round", "radiating_width_m": 0.025, "diaphragm_area_m2": 44.2e-4, "technology": kind.id}
        driver = replace(demo().high_drivers["HD-01"], **sizes)  # type: ignore[arg-type]
        doubted = bool(list(relations._check_area(driver, {"Technologies": table})))
        assert doubted is (kind.family != "compression"), kind.id


@every(("width_mm", "doubted"), [(44.0, True), (25.0, False)])
def test_of_a_compression_driver_the_exit_radiates(width_mm: float, doubted: bool) -> None:
    """44 mm of diaphragm are 15.2 cm2: written as what radiates they beam as no 25 mm exit does (7.7 against 4.4 dB at 40 deg and 10 kHz)."""
    table = Table(sheet("Technologies"))
    table.records.update(demo().technologies)
    sizes = {"radiating_width_m": width_mm * 1e-3, "diaphragm_area_m2": 15.2e-4}
    driver = replace(demo().high_drivers["HD-15"], **sizes)  # type: ignore[arg-type]
    told = [one.mend for one in relations._check_area(driver, {"Technologies": table})]
    place = driver.origin.place("radiating_width_m")
    assert told == [f"Check area and sizes: the exit radiates, and its width belongs in {place}."] * doubted


def tables_of(case: Case) -> Any:
    """The sheets that a pairing leans on, with the rows of this one."""
    rows = (("High drivers", case.high), ("Low drivers", case.low), ("Cabinets", case.cabinet))
    return {name: SimpleNamespace(records={one.id: one}) for name, one in rows}


def test_a_pairing_inherits_every_error_of_what_it_names() -> None:
    """Two cells of its low driver cannot be used: both are mended before it can be assessed."""
    use = demo().pairings["P-01"]
    tables = {
        name: Table(sheet(name)) for name in ("Low drivers", "High drivers", "Waveguides", "Cabinets", "Pairings")
    }
    errors = [Problem("Low drivers", cell, "", "", "it cannot be used") for cell in ("D2", "E2")]
    tables["Low drivers"].bar(use.low_id, errors)
    for name, one in (("High drivers", use.high_id), ("Cabinets", use.cabinet_id)):
        tables[name].add(replace(demo().low_drivers["LD-01"], id=one))
    tables["Pairings"].add(use)
    relations._resolve(use, tables["Pairings"], tables)
    own, *inherited = tables["Pairings"].spoiled[use.id]
    assert inherited == errors and own.expected == "its own row cannot be used (Low drivers!D2)"


@every(("name", "usable"), [("mark.png", True), ("Mark.PNG", True), ("m.JpEg", True), ("m.svg", True), ("m.gif", False)])  # fmt: skip
def test_a_logo_is_known_by_the_end_of_its_name_however_that_is_written(
    name: str, usable: bool, tmp_path: Path
) -> None:
    (tmp_path / name).write_bytes(b"")
    table, maker = Table(sheet("Maker")), replace(demo().maker, logo_file=name)
    table.add(maker)
    relations._find_files(maker, table, tmp_path, {}, {})
    assert bool(table.problems) is not usable and (table.records[maker.id].logo_file is None) is not usable  # type: ignore[attr-defined]


def low_doubts(**figures: Any) -> list[str]:
    plain = {"frame_height_m": None, "cutout_m": None, "vas_m3": None, "moving_mass_kg": None, "force_factor_t_m": None}
    driver = replace(demo().low_drivers["LD-01"], **(plain | figures))
    return [one.expected for one in relations._check_low_driver(driver, {})]


@every(("height_m", "doubted"), [(0.1, False), (None, True)])
def test_an_oblong_frame_holds_the_cone_of_its_own_area(height_m: float | None, doubted: bool) -> None:
    """90 cm2 in an ellipse of 200 by 100 mm, 157 cm2, are 57 %; in a circle of 200 mm, 314 cm2, 29 %, under the usual 30."""
    told = low_doubts(frame_width_m=0.2, frame_height_m=height_m, diaphragm_area_m2=0.009)
    assert any("usually holds" in one for one in told) is doubted


@every(
    ("figures", "told"),
    [
        ({}, 2),  # Fs and Qes are told to be others
        ({"vas_m3": 24.6}, 1),  # litres typed as m3: that is said at its own cell, and what it makes of Fs is no news
        ({"moving_mass_kg": 14e-6}, 0),
        ({"force_factor_t_m": 700.0}, 1),
        ({"diaphragm_area_m2": 1.3e-6, "frame_width_m": 0.168}, 1),
    ],
)
def test_what_follows_from_a_figure_in_a_wrong_unit_is_not_said_beside_it(figures: dict[str, float], told: int) -> None:
    plain = {"fs_hz": 90.0, "vas_m3": 0.0246, "moving_mass_kg": 0.014, "force_factor_t_m": 6.0, "frame_width_m": None}
    assert len(low_doubts(**(plain | figures))) == told


@every(("times", "doubted"), [(1.0, False), (1.24, False), (1.26, True), (1 / 1.26, True)])
def test_the_electrical_q_is_that_of_mass_resistance_and_force_factor(times: float, doubted: bool) -> None:
    """Small 1972: 2 pi 42 Hz x 15 g x 5.6 ohm / (6.9 T m)^2 = 0.4656."""
    qes = 2.0 * pi * 42.0 * 0.015 * 5.6 / 6.9**2
    assert qes == pytest.approx(0.4656, abs=1e-4)
    told = low_doubts(
        fs_hz=42.0, moving_mass_kg=0.015, re_ohm=5.6, force_factor_t_m=6.9, qes=qes / times, frame_width_m=None
    )
    assert told == ([f"Fs, Mms, Re and BL make it {qes:.3g}"] if doubted else [])


@every(
    ("shape", "width_m", "height_m", "area_m2", "about"),
    [
        ("rectangular", 0.01, 0.1, 3.1e-4, None), ("rectangular", 0.01, 0.1, 2.9e-4, "10 cm2"), ("rectangular", 0.01, 0.1, 81e-4, "10 cm2"),
        ("round", 0.025, None, 1.5e-4, None), ("round", 0.025, None, 1.4e-4, "4.91 cm2"), ("round", 0.025, None, 39e-4, None),
    ],
)  # fmt: skip
def test_an_area_goes_with_its_outline(
    shape: str, width_m: float, height_m: float | None, area_m2: float, about: str | None
) -> None:
    """10 x 100 mm are 10 cm2, a circle of 25 mm 4.91 cm2; three tenths to eight times as much is usual (common practice, no source)."""
    sizes = {"shape": shape, "radiating_width_m": width_m, "radiating_height_m": height_m, "diaphragm_area_m2": area_m2}
    driver = replace(demo().high_drivers["HD-01"], **sizes)  # type: ignore[arg-type]
    told = [one.expected for one in relations._check_area(driver, {"Technologies": Table(sheet("Technologies"))})]
    assert told == ([] if about is None else [f"a surface of that outline has about {about}"])


@every(
    ("crossover_hz", "told"),
    [(300.0, "under the resonance"), (899.0, "under the resonance"), (901.0, ""), (399.0, "under the resonance"), (5001.0, "over the cone break-up")],
)  # fmt: skip
def test_a_crossover_that_can_hardly_be_is_told_of_once(crossover_hz: float, told: str) -> None:
    case = demo_case("P-01", pairing={"crossover_hz": crossover_hz}, high={"fs_hz": 900.0}, low={"breakup_hz": 5000.0})
    found = [one.expected for one in relations._check_pairing(case.pairing, tables_of(case))]
    assert len(found) == bool(told) and all(told in one for one in found)
    unknown = replace(case, high=replace(case.high, fs_hz=None))
    usual = [one.expected for one in relations._check_pairing(case.pairing, tables_of(unknown))]
    assert any("under 400 Hz" in one for one in usual) is (crossover_hz < 400.0)


@every(("size_m", "floor_hz", "empty"), [(0.03, None, "large_floor_hz"), (None, 1500.0, "large_from_m"), (0.03, 1500.0, ""), (None, None, "")])  # fmt: skip
def test_a_size_and_its_floor_go_together(size_m: float | None, floor_hz: float | None, empty: str) -> None:
    kind = replace(demo().technologies["soft dome"], large_from_m=size_m, large_floor_hz=floor_hz)
    told = [one.heading for one in relations._check_technology(kind, {})]
    assert told == ([sheet("Technologies").column(empty).heading] if empty else [])


@every("kind", CABINET_KINDS)
@every("tuning_hz", (None, 40.0))
def test_only_a_port_is_tuned(kind: str, tuning_hz: float | None) -> None:
    cabinet = replace(demo().cabinets["CB-01"], kind=kind, tuning_hz=tuning_hz)
    told = [one.expected for one in relations._check_cabinet(cabinet, {})]
    wanted = tuning_hz is not None and kind in ("closed", "open baffle")
    assert told == ([f"a cabinet of kind {kind} has no tuning; it does not count"] if wanted else [])


@every("count", range(1, 7))
def test_as_many_low_drivers_stand_over_the_high_one_as_under_it(count: int) -> None:
    case = demo_case("P-01", pairing={"arrangement": "low-high-low", "low_count": count})
    found = relations._check_pairing(case.pairing, tables_of(case))
    told = [one.expected for one in found if "even count" in one.expected]
    assert bool(told) is (count % 2 == 1)


@every(("ml", "offered"), [(70.0, True), (70.0 + 1e-6, True), (70.3, False), (33.0, True), (100.0, False)])
def test_only_a_chamber_that_is_offered_may_be_used(ml: float, offered: bool) -> None:
    """70 and 120 mL beside the driver's own 33."""
    case = demo_case("P-01", pairing={"chamber_m3": ml * 1e-6, "rear_use": "as supplied"}, high={"rear_chamber_m3": 33e-6, "other_chambers_m3": (70e-6, 120e-6)})  # fmt: skip
    assert bool(list(relations._check_rear(case.pairing, case.high))) is not offered


@every(
    ("name", "unit", "value", "counts"),
    [
        ("air temperature", "degC", -10.0, True), ("air temperature", "degC", -61.0, False), ("programme level 63 Hz", "dB", -40.0, True),
        ("limit margin", "octave", 0.0, True), ("limit margin", "octave", -0.1, False), ("resonance factor order 2", "", 0.0, False),
        ("lowest rated impedance", "ohm", 0.0, False), ("lowest rated impedance", "ohm", 0.1, True), ("voiced band from", "Hz", 0.0, False),
        ("ceiling height", "m", 0.0, True),
    ],
)  # fmt: skip
def test_below_what_a_rule_stays_as_shipped(name: str, unit: str, value: float, counts: bool) -> None:
    """Frost is a temperature, and the level of a band may lie under another's; a margin may be none, and a factor, a load or a frequency not."""
    table = Table(sheet("Practice"))
    table.add(Rule(id=name, origin=Origin("Practice", 2), value=value, unit=unit))
    assert (practice_of(table).rules[name].value == value) is counts


def test_only_in_a_vehicle_is_a_lower_load_usual() -> None:
    """4 ohm and 2 in a vehicle as shipped, of which 80 % must be left (IEC 60268-5); a workbook of before has one rule for both."""
    practice = demo().practice
    assert {place: practice.least_load_ohm(place) for place in SURROUNDINGS} == {
        place: pytest.approx(1.6 if place == "vehicle" else 3.2) for place in SURROUNDINGS
    }
    rules = {name: rule for name, rule in practice.rules.items() if "vehicle" not in name}
    assert Practice(rules).least_load_ohm("vehicle") == pytest.approx(3.2)


@every("lines", (("a", "b", "c"), ("a", None, "c"), (None, "b", ""), (None, None, None)))
def test_contact_lines_stand_in_their_order(lines: tuple[str | None, ...]) -> None:
    maker = replace(demo().maker, **{f"contact_{at}": text for at, text in enumerate(lines, 1)})  # type: ignore[arg-type]
    assert maker.contact_lines == tuple(filter(None, lines))


@every(("standing", "row"), [((), 2), ((2, 3), 4), ((2, 7), 8)])
def test_a_rule_that_is_wished_for_stands_below_all_others(standing: tuple[int, ...], row: int) -> None:
    rows = tuple((number, (f"rule {number}", 1.0)) for number in standing)
    found = overridden(
        {"Practice": Grid("Practice", ("Name", "Value"), rows)}, [parsed("Practice: air temperature = 25")]
    )
    assert found["Practice"].rows == (*rows, (row, ("air temperature", "25")))


@every(("name", "band"), [("Programme level 12.5 Hz", "12.5"), ("programme level 2 k Hz", ""), ("programme level 0 Hz", ""), ("programme level some Hz", ""), ("100 Hz", ""), ("programme level 12.5", "")])  # fmt: skip
def test_a_band_of_the_programme_is_named_by_its_hertz(name: str, band: str) -> None:
    table = Table(sheet("Practice"))
    table.add(Rule(id=name, origin=Origin("Practice", 2), value=-2.0, unit="dB"))
    found = practice_of(table).rules.keys() - demo().practice.rules.keys()
    assert found == ({f"programme level {band} Hz"} if band else set())


def test_a_rule_tells_its_source() -> None:
    rule = replace(demo().practice.rules["limit margin"], source="our own bench")
    assert Practice({"limit margin": rule}).source("limit margin") == "practice: limit margin (our own bench)"


@every("owner", ("High drivers!A-1", "high drivers!a-1", "HIGH  DRIVERS!A-1"))
def test_a_wish_names_its_sheet_in_any_letters(owner: str) -> None:
    """One ID on two sheets: the sheet says which is meant."""
    known = {name: Grid(name, ("ID", "Price"), ((2, ("A-1", 1.0)),)) for name in ("Low drivers", "High drivers")}
    found = overridden(known, [parsed(f"{owner}: Price = 4")])
    assert (found["Low drivers"].rows, found["High drivers"].rows) == (((2, ("A-1", 1.0)),), ((2, ("A-1", "4")),))


def test_a_year_makes_drivers_dearer_by_four_in_a_hundred() -> None:
    """29.00 becomes 30.16, which is 30.2 to the tenth; what has a new price of its own has that."""
    was, now = ({one["id"]: one for one in tables["High drivers"]} for tables in (demo_tables(), next_season_tables()))
    assert (was["HD-01"]["price"], now["HD-01"]["price"]) == (29.0, 30.2)
    assert all(now[id_]["price"] == pytest.approx(1.04 * was[id_]["price"], abs=0.051) for id_ in was.keys() & now)


@every("quantity", ("response", "impedance"))
def test_a_case_has_the_cabinet_in_which_either_file_was_measured(quantity: str) -> None:
    found = demo().pairings["P-01"]
    for driver in (demo().low_drivers, demo().high_drivers):
        id_ = found.low_id if found.low_id in driver else found.high_id
        moved = {**driver, id_: replace(driver[id_], **{f"{quantity}_measured": "CB-03"})}
        field = "low_drivers" if id_ == found.low_id else "high_drivers"
        assert list(replace(demo(), **{field: moved}).case(found).measured_in) == ["CB-03"]


def test_a_case_has_every_file_of_its_two_drivers_and_of_no_other() -> None:
    one, found = curve([100.0, 200.0], 90.0), demo().pairings["P-01"]
    kinds = ("response", "impedance", "response h30", "response v-15")
    known = {(id_, kind): one for id_ in ("LD-01", "HD-01", "LD-02", "HD-02") for kind in kinds}
    wanted = {key for key in known if key[0] in (found.low_id, found.high_id)}
    assert replace(demo(), curves=known).case(found).curves.keys() == wanted and len(wanted) == 8


@every(("ohm", "again", "alike"), [(8.0, 8.7, True), (8.0, 8.9, False), (80.0, 87.0, True), (2.0, 2.3, False)])
def test_impedances_at_one_frequency_are_the_same_within_a_tenth(
    ohm: float, again: float, alike: bool, tmp_path: Path
) -> None:
    """Common practice, no source: a tenth of the value, whatever it is; a level may be a decibel off."""
    rows = [(hz, 5.0) for hz in range(100, 2000, 100)]
    rows[4:5] = [(500, ohm), (500, again)]
    (tmp_path / "z.txt").write_text("\n".join(f"{hz} {value}" for hz, value in rows))
    with nullcontext() if alike else pytest.raises(CurveUnreadable, match="500 Hz stands twice, with different values"):
        curve = read_curve("z.txt", tmp_path, "impedance")
        assert curve.magnitude[4] == ohm and curve.remarks == ("1 row at the frequency of the row before is left out",)


@every(
    ("heading", "place"),
    [("Hz;dB;phase;minimum phase", 2), ("Hz;phase;minimum phase;dB", 1), ("Hz;phase;dB;minimum phase", 3)],
)
def test_of_two_phases_the_first_behind_the_level_counts_else_the_first(
    heading: str, place: int, tmp_path: Path
) -> None:
    """What is worked out of a measurement stands behind it (common practice, no source)."""
    rows = [f"{hz};" + ";".join(f"{at * 20 + hz / 100:g}" for at in (1, 2, 3)) for hz in range(100, 2000, 100)]
    (tmp_path / "p.txt").write_text("\n".join([heading, *rows]))
    curve = read_curve("p.txt", tmp_path, "response")
    assert curve.phase_rad is not None and np.degrees(curve.phase_rad[0]) == pytest.approx(place * 20 + 1)


@every(("from_hz", "to_hz", "tells"), [(760.0, 1310.0, True), (780.0, 20000.0, False), (20.0, 1290.0, False)])
def test_a_resonance_is_told_by_a_file_that_reaches_a_third_beyond_it(
    from_hz: float, to_hz: float, tells: bool
) -> None:
    """1000 Hz: from 769 to 1300 Hz at least (common practice, no source); where none is stated any file may tell it."""
    hz = np.geomspace(from_hz, to_hz, 50)
    curve, dome = MeasuredCurve(hz, np.full(50, 6.0), None, "z.txt"), demo().high_drivers["HD-01"]
    assert tells_resonance(replace(dome, fs_hz=1000.0), curve) is tells
    assert tells_resonance(replace(dome, fs_hz=None), curve)


@every(
    ("off_db", "doubted", "refused"),
    [(-12.0, False, ""), (-30.0, True, ""), (-39.0, True, ""), (-41.0, True, "like levels re the axis"), (2.0, False, ""), (4.0, True, "")],
)  # fmt: skip
def test_a_file_at_an_angle_is_refused_only_where_no_driver_is_so_faint(
    off_db: float, doubted: bool, refused: str
) -> None:
    """Against its axis: doubted under -20 dB and over 3, refused under -40 (common practice, no source)."""
    hz, dome = np.geomspace(500.0, 20000.0, 60), demo().high_drivers["HD-01"]
    axis, aside = (MeasuredCurve(hz, np.full(60, db), None, "d.txt") for db in (90.0, 90.0 + off_db))
    assert bool(list(problems_at_angle(dome, axis, aside))) is doubted
    why = why_not_at_angle(dome, axis, aside)
    assert why.endswith(refused) and bool(why) is bool(refused)


@every(("fits", "suits"), [("SOFT dome", True), ("hd-1", True), ("Soft", False)])
def test_a_guide_names_what_it_fits_in_any_letters(fits: str, suits: bool) -> None:
    dome = replace(demo().high_drivers["HD-01"], id="HD-1", technology="Soft Dome")
    assert replace(demo().waveguides["WG-01"], fits=(fits,)).suits(dome) is suits


@every(
    ("name", "row", "holds"),
    [
        ("Pairings", ("Kit", "ID", "Low driver"), True), ("Pairings", ("Kit", "ID", "Season"), False), ("Pairings", ("Spring 2027",), False),
        ("Maker", ("Currency", "Mine"), True), ("Maker", ("Our firm",), False),
    ],
)  # fmt: skip
def test_headings_are_a_row_that_names_half_of_what_is_required(name: str, row: tuple[str, ...], holds: bool) -> None:
    """Pairings asks for four columns, so two are enough; the sheet of the maker asks for none, and any of its own will do."""
    assert holds_headings(sheet(name), row) is holds


@every("price", (40.0, "cheap"))
def test_of_rows_with_one_id_none_counts_whatever_else_is_wrong_with_the_first(price: Any) -> None:
    """A price that cannot be read costs no row; that nobody knows which of two rows is meant costs both."""
    first, second = (*named(5.8, 40.0, 4.0, 0.4, 130.0, 88.0), price), (*named(6.1, 44.0, 4.0, 0.4, 130.0, 88.0), 41.0)
    grid = Grid("Low drivers", (*LOWS, "Price"), ((2, first), (3, second)))
    table = read_table(sheet("Low drivers"), grid)
    assert table.records == {} and list(table.spoiled) == ["LD-1"]
    assert any("an ID is used once" in one.expected for one in table.spoiled["LD-1"])


def test_a_name_that_leads_to_an_empty_sheet_is_a_problem() -> None:
    """A guide is named and the sheet of guides has no row: nobody knows what was meant, and the pairing is not one without a guide."""
    case = demo_case("P-01", pairing={"guide_id": "WG-9"})
    tables = {one.name: Table(one) for one in SHEETS}
    for record in (case.low, case.high, case.cabinet, case.pairing):
        tables[record.origin.sheet].add(record)
    relations._resolve(case.pairing, tables["Pairings"], tables)
    ((told, *more),) = tables["Pairings"].spoiled.values()
    assert "no row of Waveguides has this ID" in told.expected and not more and not tables["Pairings"].records


@every(
    ("typed", "grouped", "value"),
    [("1,234.5", False, 1234.5), ("1.234,5", False, 1234.5), ("1,5", False, 1.5), ("1,500", True, 1500.0), ("1.5D2", False, 150.0)],
)  # fmt: skip
def test_of_two_signs_in_a_number_the_last_parts_decimals(typed: str, grouped: bool, value: float) -> None:
    assert _float(typed, grouped) == value


@every(("hz", "heading", "usual"), [(40.0, "kHz", True), (40.0, "Hz", True), (40e3, "kHz", False)])
def test_what_is_usual_is_told_in_the_units_of_the_column_whatever_its_heading_says(
    hz: float, heading: str, usual: bool
) -> None:
    """A resonance of 40 Hz is 0.04 under a heading in kHz."""
    told = implausible(sheet("Low drivers").column("fs_hz"), hz, heading)
    assert told == ("" if usual else "usual values lie between 10 and 500 Hz")


@every(
    ("name", "field", "row"),
    [
        ("Pairings", "kits_planned", False), ("Pairings", "decided_on", False), ("Parts", "price", False), ("Enquiries", "received", False),
        ("Low drivers", "le_h", False), ("Cabinets", "depth_m", False),
        ("Pairings", "slope", True), ("Pairings", "low_id", True), ("Parts", "tolerance", True), ("Low drivers", "re_ohm", True),
    ],
)  # fmt: skip
def test_what_a_bad_cell_costs(name: str, field: str, row: bool) -> None:
    """Its row where it is required, or where an empty cell would be a wish of its own; else no more than itself."""
    assert costs_itself(sheet(name), sheet(name).column(field)) is not row


@every(
    ("fs_hz", "band_hz"), [(None, (2000.0, 10e3)), (1000.0, (2500.0, 10e3)), (3000.0, (7500.0, 15e3)), (6000.0, (8000.0, 16e3))]
)  # fmt: skip
def test_the_pass_band_of_a_high_driver_begins_above_its_resonance_and_at_8_khz_at_the_latest(
    fs_hz: float | None, band_hz: tuple[float, float]
) -> None:
    """From 2.5 times the resonance, at least 2 kHz, for an octave and to 10 kHz at least (common practice, no source)."""
    assert pass_band_hz(replace(demo().high_drivers["HD-01"], fs_hz=fs_hz)) == band_hz


@every(("to_hz", "from_hz", "gap"), [(5000.0, 12e3, True), (5000.0, 10e3, False), (9000.0, 19e3, True)])
def test_an_impedance_is_wanted_up_to_the_top_of_hearing(to_hz: float, from_hz: float, gap: bool) -> None:
    """Nothing for more than an octave, also above the crossover: the coil's rise there would be made up."""
    hz = np.concatenate([np.geomspace(50.0, to_hz, 100), np.geomspace(from_hz, 20e3, 20)])
    driver = replace(demo().high_drivers["HD-01"], re_ohm=5.4, fs_hz=None, impedance_measured="free air")
    told = list(problems_of_curve(driver, MeasuredCurve(hz, np.full(120, 5.6), None, "z.txt"), "impedance"))
    assert [one.notice for one in told] == ([False] if gap else [])
    assert all(f"between {to_hz:g} and {from_hz:g} Hz" in one.expected for one in told)


def test_a_place_is_a_cell_or_what_must_be_added_to_have_one() -> None:
    """A row that is only shipped stands in no row: to say row 0 would send the operator looking for it."""
    assert Origin("Low drivers", 3, {"le_h": "H3"}).place("le_h") == "Low drivers!H3"
    assert Origin("Low drivers", 3).place("le_h") == "Low drivers row 3, no column “Le (mH)”"
    assert Origin("Technologies", 0).place("bare_floor_hz") == "Technologies no such row, column “Bare floor (Hz)”"
