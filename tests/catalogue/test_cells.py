"""Single cells, as people type them."""

from __future__ import annotations

import datetime as dt
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reportgen.catalogue import columns
from reportgen.catalogue.cells import (
    OTHER_WORDS,
    CellUnusableError,
    folded,
    is_placeholder,
    number_typed,
    read_cell,
    unit_named,
)
from reportgen.catalogue.columns import CABINETS, HIGH_DRIVERS, PAIRINGS, PARTS, UNITS, Column, Kind
from tests.every import every

TRAVEL = HIGH_DRIVERS.column("peak_travel_m")
WIDTH = CABINETS.column("baffle_width_m")
PLAIN = Column("x", "X", Kind.NUMBER, "Help.")


def complaint(column: Column, value: object) -> str:
    with pytest.raises(CellUnusableError) as caught:
        read_cell(column, value, column.unit)
    return str(caught.value)


@every(
    ("typed", "number", "rest"),
    [
        ("3,14", 3.14, ""),
        ("1.234,5", 1234.5, ""),
        ("1,234.5", 1234.5, ""),
        ("1.234.567", 1234567.0, ""),
        ("1 234,5", 1234.5, ""),
        ("1\u00a0234,5\u00a0Hz", 1234.5, "Hz"),
        ("1’234.5", 1234.5, ""),
        ("0,350", 0.35, ""),
        ("0.125", 0.125, ""),
        ("1234,567", 1234.567, ""),
        ("\u22123.5", -3.5, ""),
        ("\u20133", -3.0, ""),
        ("+ 4", 4.0, ""),
        (",5", 0.5, ""),
        ("2.", 2.0, ""),
        ("1.5e3 Hz", 1500.0, "Hz"),
        ("35 um", 35.0, "um"),
    ],
)
def test_numbers_as_typed(typed, number, rest):
    assert number_typed(typed) == (number, rest)


@every(
    "typed",
    ["", "mm", "5-7", "~5", "<5", "1.2.3", "1,2,3", "1 23", "12,34.56,7", "1.234.5", "1,234,5", "1e999", "٣", "."],
)
def test_what_is_no_number(typed):
    try:
        _, rest = number_typed(typed)
    except ValueError:
        return
    assert rest
    assert unit_named(rest) is None, f"{typed!r} passed"


@every("typed", ["1.234", "12,345", "-100.000"])
def test_one_group_of_three_digits_is_not_guessed(typed):
    with pytest.raises(ValueError, match="it can be read as"):
        number_typed(typed)


@given(st.floats(-1e6, 1e6), st.sampled_from([".", ","]), st.sampled_from(["", " ", "\u00a0", "\u202f"]))
def test_a_decimal_sign_and_grouping_never_change_the_value(value, decimal, group):
    text = f"{value:,.2f}".replace(",", "G").replace(".", decimal).replace("G", group)
    assert number_typed(text)[0] == pytest.approx(round(value, 2), abs=1e-9)


@every(
    ("value", "si"),
    [
        (0.35, 3.5e-4),
        (1, 1e-3),
        ("0.35 mm", 3.5e-4),
        ("35 um", 3.5e-5),
        ("35 µm", 3.5e-5),
        ("0,1 cm", 1e-3),
        ("0.1 in", 2.54e-3),
    ],
)
def test_lengths_in_any_unit_of_length(value, si):
    assert read_cell(TRAVEL, value, "mm") == pytest.approx(si, rel=1e-12)


@every(
    ("value", "inches"),
    [
        ("8 1/2 in", 8.5), ("8-1/2\"", 8.5), ("8½″", 8.5), ("1/2\"", 0.5), ("1' 2\"", 14.0), ("1’2”", 14.0), ("1 ft 2 1/2 in", 14.5), ("1,5 ft", 18.0), ("3 feet", 36.0),
        ("8''", 8.0), ("5 in.", 5.0), ("1 ft. 2 inches", 14.0),
    ],
)  # fmt: skip
def test_feet_and_inches_and_their_fractions(value, inches):
    """An inch is 25.4 mm and a foot twelve of them, exactly (agreement on yard and pound of 1959)."""
    assert read_cell(WIDTH, value, "mm") == pytest.approx(inches * 0.0254, rel=1e-12)


@every("value", ["1 ft 2", "81/2 in", "8½", "1 ft 13 in", "8 1/0 in", "1'2", "-1 ft", "feet"])
def test_a_length_that_could_be_two_is_not_guessed(value):
    assert f"“{value}” stands here" in complaint(WIDTH, value)


def test_a_heading_in_another_unit_of_the_quantity():
    assert read_cell(TRAVEL, 35, "um") == pytest.approx(3.5e-5, rel=1e-12)
    assert read_cell(TRAVEL, "0.35 mm", "um") == pytest.approx(3.5e-4, rel=1e-12)


@every(
    ("value", "text"),
    [
        (-3, "-3 stands here; it must be greater than 0. One-way travel, peak, up to which it works without strain."),
        (0.0, "0 stands here; it must be greater than 0. One-way travel, peak, up to which it works without strain."),
        ("abc", "“abc” stands here; it must be a number. Type it as a number."),
        ("1.234", "“1.234” stands here; it can be read as 1.234 or as 1234. Type it as a number."),
        ("2 kg", "“2 kg” stands here; it must be a number in mm. “kg” is no unit that fits here."),
        ("2 furlongs", "“2 furlongs” stands here; it must be a number in mm. “furlongs” is no unit that fits here."),
        (True, "True stands here; it must be a number. "),
        (
            dt.datetime(2025, 3, 14),
            "2025-03-14 stands here; it must be a number. Format the cell as a number and type the value again: "
            "a spreadsheet program took it for a date.",
        ),
        (
            float("inf"),
            "inf stands here; it must be a number. One-way travel, peak, up to which it works without strain.",
        ),
        (10**400, "a number of hundreds of digits stands here; it must be a number. "),
    ],
)
def test_bad_numbers(value, text):
    assert complaint(TRAVEL, value) == text


def test_a_unit_where_none_belongs():
    assert complaint(PLAIN, "5 mm") == (
        "“5 mm” stands here; it must be a number without a unit. “mm” is no unit that fits here."
    )


def test_counts_are_whole():
    stock = PARTS.column("stock")
    assert [read_cell(stock, many, "") for many in (0, 12.0, "25 000", 1e9)] == [0, 12, 25000, 10**9]
    assert "it must be a whole number" in complaint(stock, 1e9 + 1)
    count = PAIRINGS.column("low_count")
    assert read_cell(count, 2.0, "") == 2
    assert read_cell(count, "4", "") == 4
    assert complaint(count, 2.5) == "2.5 stands here; it must be a whole number. How many low drivers."
    assert complaint(count, 17) == "17 stands here; it must be at least 1 and at most 16. How many low drivers."


@every("typed", ["Low-High-Low", "low high low", " LOW\u2013HIGH\u2013LOW "])
def test_choices_whatever_their_case_and_hyphens(typed):
    assert read_cell(PAIRINGS.column("arrangement"), typed, "") == "low-high-low"


def test_units_as_choices_may_be_written_with_greek_letters():
    assert read_cell(PARTS.column("unit"), "µF", "") == "uF"
    assert read_cell(PARTS.column("unit"), "kΩ", "") == "kohm"


def test_a_choice_that_is_none_names_them_all():
    assert complaint(HIGH_DRIVERS.column("rear"), "seald") == (
        "“seald” stands here; it must be one of: sealed, removable, open. Did you mean “sealed”?"
    )


@every(
    ("value", "answer"),
    [(value, True) for value in ("yes", "Y", True, 1, "TRUE", 1.0)]
    + [(value, False) for value in ("no", "n", False, 0, "false")],
)
def test_yes_and_no(value, answer):
    assert read_cell(HIGH_DRIVERS.column("screen"), value, "") is answer


def test_neither_yes_nor_no():
    assert complaint(HIGH_DRIVERS.column("screen"), "maybe") == (
        "“maybe” stands here; it must be yes or no. Is there a screen over the diaphragm?"
    )


@every(
    "value",
    [
        dt.datetime(2025, 3, 31, 14, 5),
        dt.date(2025, 3, 31),
        "2025-03-31",
        "2025-03-31T10:20:30Z",
        "2025-03-31 00:00:00",
        "2025/3/31",
        "31.03.2025",
        "31. 3. 2025",
        "31/03/2025",
        "03/31/2025",
        "31-3-2025",
        "31 Mar 2025",
        "31 March 2025",
        "Mar 31, 2025",
    ],
)
def test_dates(value):
    assert read_cell(PAIRINGS.column("decided_on"), value, "") == dt.date(2025, 3, 31)


@every("value", ("2 Sept 2026", "Sept. 2, 2026", "2 sept. 2026", "2 September 2026"))
def test_september_is_shortened_in_two_ways(value):
    assert read_cell(PAIRINGS.column("decided_on"), value, "") == dt.date(2026, 9, 2)


@every(
    ("value", "text"),
    [
        ("03/04/2025", "“03/04/2025” stands here; day and month cannot be told apart. Write it as 2025-03-31."),
        ("2025-02-30", "“2025-02-30” stands here; it must be a date. Write it as 2025-03-31."),
        ("soon", "“soon” stands here; it must be a date. Write it as 2025-03-31."),
        (45747, "45747 stands here; it must be a date. Write it as 2025-03-31."),
    ],
)
def test_bad_dates(value, text):
    assert complaint(PAIRINGS.column("decided_on"), value) == text


def test_lists():
    chambers = HIGH_DRIVERS.column("other_chambers_m3")
    assert read_cell(chambers, "70; 0,12 L", "mL") == pytest.approx((70e-6, 120e-6), rel=1e-12)
    assert read_cell(chambers, 70, "mL") == pytest.approx((70e-6,))
    assert complaint(chambers, "70, 120") == (
        "“70, 120” stands here; it can be read as one number or as several. Part numbers by semicolons."
    )
    excluded = columns.TECHNOLOGIES.column("excluded")
    assert read_cell(excluded, "Vehicle;\noutdoors", "") == ("vehicle", "outdoors")


def test_names_are_short_and_printable():
    assert read_cell(PAIRINGS.column("id"), 4711.0, "") == "4711"
    assert read_cell(PAIRINGS.column("id"), 400638133393.0, "") == "400638133393", (
        "a number of an article is no measure"
    )
    assert read_cell(PAIRINGS.column("id"), " P\u00a0 1 ", "") == "P 1"
    assert read_cell(PAIRINGS.column("id"), "x" * 60, "") == "x" * 60
    long = "x" * 61
    assert complaint(PAIRINGS.column("id"), long) == (
        f"“{'x' * 40}…” stands here; a name has at most 60 characters, all of them printable. "
        "Your own name of the pairing; it names the printed sheet."
    )


def test_every_unit_is_found_by_its_own_name():
    assert {unit_named(unit) for unit in UNITS if unit} == {unit for unit in UNITS if unit}


def test_units_of_two_words():
    assert [unit_named(one) for one in ("square inches", "sq. cm", "cubic feet", "cu. ft.")] == [
        "in2",
        "cm2",
        "ft3",
        "ft3",
    ]


def test_units_are_worth_what_they_are():
    """Prefixes of the SI (brochure, table 7), a litre a cubic decimetre, an inch 25.4 mm, a degree 1/180 of pi; however they are spelled."""
    worth = {
        1e3: "kohm kHz kW kPa", 1.0: "ohm ohms Hz hertz dB dBSPL W watt watts V volt A N/A T·m m kg H F rad degC Pa pascal octave oct s K/W m3 m2 order",
        1e-1: "", 1e-2: "cm % percent", 1e-3: "mm g mH L liter litre litres dm3", 1e-4: "cm2 sqcm cm²", 1e-6: "um micron mm2 mg mL cm3 ccm cc uH uF µF",
        1e-9: "nF", 1e-12: "pF", 0.0254: "in inch inches in. \" ” ″", 12 * 0.0254: "ft foot feet ft.", 0.0254**2: "in2 sqin sq.in. in²",
        0.3048**3: "ft3 cuft cu.ft. ft³", pi / 180.0: "deg degrees °",
    }  # fmt: skip
    for si, spellings in worth.items():
        for spelling in spellings.split():
            assert UNITS[unit_named(spelling) or ""] == pytest.approx(si, rel=1e-12), spelling
    assert {unit_named(one) for spellings in worth.values() for one in spellings.split()} >= {
        unit for unit in UNITS if unit and " " not in unit
    }


@every("sign", ("-", "--", "–", "—", "?", "n/a", "N/A", "na", "n.a.", "tbd", "Unknown", "none"))
def test_what_is_written_for_an_unknown_figure_is_a_word_elsewhere(sign):
    assert is_placeholder(TRAVEL, sign) and is_placeholder(HIGH_DRIVERS.column("stock"), f" {sign} ")
    assert not is_placeholder(HIGH_DRIVERS.column("description"), sign)


def test_a_sensitivity_for_one_watt_is_another_thing():
    """1 W into 4 ohm is 2 V, 3 dB less than 2.83 V: never taken for the same."""
    assert unit_named("dB 1W/1m") is None
    assert unit_named("dB SPL") == "dB"


@every(
    ("word", "choices", "meant"),
    [
        ("ported", columns.CABINET_KINDS, "vented"),
        ("Coil", ("capacitor", "inductor", "resistor"), "inductor"),
        ("24 dB", columns.SLOPES, "LR4"),
        ("car", columns.SURROUNDINGS, "vehicle"),
        ("passive radiator", columns.CABINET_KINDS, "vented"),
        # by its letters alone, what hangs on a wall was like what is built into one, which has no baffle step
        ("on-wall", columns.PLACEMENTS, "near a wall"),
        ("Against a wall", columns.PLACEMENTS, "near a wall"),
        ("in ceiling", columns.PLACEMENTS, "in a wall"),
    ],
)
def test_the_trade_s_other_words_are_understood_as_a_hint(word, choices, meant):
    """Common practice, no source: 6 dB per octave an order (24 dB is the fourth), and what boxes and coils are called."""
    assert meant in choices
    assert OTHER_WORDS[folded(word)] == meant
