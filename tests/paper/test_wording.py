"""Figures in words: units, digits, signs and inches, over many values; each worked out by hand."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Any

import pytest

from reportgen.catalogue.currencies import grouped
from reportgen.paper import wording
from reportgen.paper.lettering import apart, direction, letter_width, shortened, spread_out, text_width
from tests.every import every


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


@every(
    ("value", "digits", "text"),
    [
        (3002.2, 3, "3000"), (999.6, 3, "1000"), (99.96, 3, "100"), (0.08441, 3, "0.0844"), (12.345, 2, "12"), (0.5, 1, "0.5"),
        (-1.5, 3, "−1.5"), (0.0, 3, "0"), (1e-7, 2, "0.0000001"), (123456.0, 3, "123000"), (3.0, 3, "3"), (9.996, 3, "10"),
        (math.inf, 3, "∞"), (-math.inf, 3, "−∞"), (math.nan, 3, "–"), (None, 3, "–"), (100.0, 2, "100"),
    ],
)  # fmt: skip
def test_a_number_has_so_many_digits_and_no_more_signs_than_it_needs(value: Any, digits: int, text: str) -> None:
    assert wording.number(value, digits) == text


@every(
    ("value", "decimals", "text"),
    [(0.586, 2, "0.59"), (-0.04, 1, "0.0"), (-0.06, 1, "−0.1"), (12.0, 0, "12"), (1234.5, 1, "1234.5"), (None, 1, "–"), (math.nan, 1, "–"), (math.inf, 1, "∞")],
)  # fmt: skip
def test_decimals_are_fixed_and_nothing_is_minus_nought(value: Any, decimals: int, text: str) -> None:
    assert wording.fixed(value, decimals) == text


@every(
    ("value", "unit", "digits", "text"),
    [
        (3.21, "ohm", 3, "3.21 Ω"), (86.44, "dB", 3, "86.4 dB"), (86.0, "dB SPL", 3, "86.0 dB SPL"), (0.504, "octave", 3, "0.50 octave"),
        (4.7, "uF", 3, "4.7 µF"), (68.0, "uH", 2, "68 µH"), (21.4, "degC", 2, "21 °C"), (90.0, "%", 3, "90 %"), (12.0, "", 3, "12"),
        (None, "dB", 3, "–"), (math.nan, "ohm", 3, "–"), (5.25, "W", 2, "5.2 W"), (31.5, "kHz", 3, "31.5 kHz"),
    ],
)  # fmt: skip
def test_a_unit_stands_behind_its_number_in_its_sign(value: Any, unit: str, digits: int, text: str) -> None:
    found = wording.with_unit(value, unit, digits)
    assert plain(found) == text and " " not in found.removesuffix("SPL").rstrip()


@every(
    ("unit", "value", "limit", "digits"),
    [
        ("ohm", 3.93, 3.2, 2), ("ohm", 3.18, 3.2, 3), ("ohm", 3.2, 3.2, 2), ("W", 69.6, 70.4, 3), ("W", 84.0, 70.0, 2), ("W", None, None, 2),
        ("dB", 3.93, 3.2, 3), ("mm", 3.18, 3.2, 3), ("", None, None, 3), ("ohm", 3.18, None, 2),
    ],
)  # fmt: skip
def test_a_figure_that_would_look_like_its_limit_has_a_digit_more(unit: str, value: Any, limit: Any, digits: int) -> None:  # fmt: skip
    assert wording.digits_of(unit, value, limit) == digits


@every(
    ("hz", "text"),
    [
        (47.26, "47.3 Hz"), (999.4, "999 Hz"), (999.6, "1000 Hz"), (1004.9, "1010 Hz"), (1004.4, "1000 Hz"), (2445.0, "2450 Hz"), (2444.4, "2440 Hz"),
        (9994.0, "9990 Hz"), (9995.0, "10 kHz"), (12500.0, "12.5 kHz"), (12450.0, "12.5 kHz"), (12449.0, "12.4 kHz"), (20000.0, "20 kHz"), (None, "–"), (math.inf, "∞ kHz"),
    ],
)  # fmt: skip
def test_a_frequency_has_three_digits_and_hz_below_10_khz(hz: Any, text: str) -> None:
    assert plain(wording.hertz(hz)) == text


@every(
    ("low", "high", "text"),
    [
        (2000.0, 3002.2, "2000 to 3000 Hz"), (47.26, 9994.0, "47.3 to 9990 Hz"), (2000.0, 9997.0, "2000 Hz to 10 kHz"), (52.0, 21000.0, "52 Hz to 21 kHz"), (11000.0, 12000.0, "11 kHz to 12 kHz"),
        (None, 3000.0, "up to 3000 Hz"), (2000.0, None, "from 2000 Hz"), (None, None, "–"), (21000.0, 52.0, "21 kHz to 52 Hz"),
    ],
)  # fmt: skip
def test_a_span_names_its_unit_once_where_it_is_one(low: Any, high: Any, text: str) -> None:
    assert plain(wording.span(low, high)) == text


@every(
    ("metres", "metric", "imperial"),
    [
        (0.15, "150", "150 (5.91)"), (0.0254, "25.4", "25.4 (1.00)"), (0.15004, "150", "150 (5.91)"), (0.15006, "150.1", "150.1 (5.91)"),
        (0.6096, "609.6", "609.6 (24.00)"), (None, "–", "–"), (0.0, "0", "0 (0.00)"),
    ],
)  # fmt: skip
def test_lengths_in_millimetres_and_inches_of_25_4_mm(metres: Any, metric: str, imperial: str) -> None:
    """The international inch: 25.4 mm."""
    assert (wording.bare(metres), wording.bare(metres, inches=True)) == (metric, imperial)
    unit = "" if metres is None else " mm"
    assert plain(wording.millimetres(metres)) == f"{metric}{unit}"
    assert plain(wording.millimetres(metres, inches=True)) == (imperial.replace(" (", " mm (").replace(")", " in)"))


@every(
    ("width", "height", "round_", "bare", "inches"),
    [
        (0.168, 0.168, True, "Ø 168", "Ø 168 (6.61)"), (0.168, None, True, "Ø 168", "Ø 168 (6.61)"), (0.168, 0.1684, True, "Ø 168", "Ø 168 (6.61)"),
        (0.168, 0.1686, True, "168 × 168.6", "168 × 168.6 (6.61 × 6.64)"), (0.1, 0.25, False, "100 × 250", "100 × 250 (3.94 × 9.84)"),
        (0.1, None, False, "100 × 100", "100 × 100 (3.94 × 3.94)"), (0.1, 0.1, False, "100 × 100", "100 × 100 (3.94 × 3.94)"),
        (None, 0.1, True, "–", "–"), (0.15, 0.2, True, "150 × 200", "150 × 200 (5.91 × 7.87)"), (0.2, 0.15, True, "200 × 150", "200 × 150 (7.87 × 5.91)"),
    ],
)  # fmt: skip
def test_what_is_round_has_a_diameter_and_all_else_two_sides(width: Any, height: Any, round_: bool, bare: str, inches: str) -> None:  # fmt: skip
    assert plain(wording.bare_size(width, height, round_)) == bare
    assert plain(wording.bare_size(width, height, round_, True)) == inches
    if width is not None:
        assert plain(wording.size(width, height, round_)) == f"{bare} mm"
        behind = inches.removeprefix(bare).strip(" ()")
        assert plain(wording.size(width, height, round_, True)) == f"{bare} mm ({behind} in)"


def test_sides_that_are_not_known_are_left_out() -> None:
    assert plain(wording.sides((0.2, 0.36, 0.25))) == "200 × 360 × 250 mm"
    assert plain(wording.sides((0.2, None, 0.254), inches=True)) == "200 × 254 mm (7.87 × 10.00 in)"
    assert plain(wording.small_millimetres(0.00035)) == "0.35 mm" and plain(wording.small_millimetres(0.0055)) == "5.5 mm"  # fmt: skip


@every(
    ("kind", "value", "text"),
    [
        ("C", 4.7e-6, "4.7 µF"), ("C", 100e-9, "0.1 µF"), ("C", 99e-9, "99 nF"), ("C", 68e-9, "68 nF"), ("L", 0.33e-3, "0.33 mH"), ("L", 100e-6, "0.1 mH"),
        ("L", 99e-6, "99 µH"), ("L", 12e-3, "12 mH"), ("R", 2.2, "2.2 Ω"), ("R", 0.47, "0.47 Ω"), ("R", 47.0, "47 Ω"),
    ],
)  # fmt: skip
def test_a_part_is_called_as_the_shop_calls_it(kind: str, value: float, text: str) -> None:
    assert plain(wording.component(kind, value)) == text


@every(
    ("value", "currency", "text"),
    [
        (12.5, "EUR", "12.50 EUR"), (None, "EUR", "–"), (1234567.8, "EUR", "1 234 567.80 EUR"), (12500.4, "JPY", "12 500 JPY"), (1.5, "KWD", "1.500 KWD"),
        (999.996, "EUR", "1 000.00 EUR"), (0.0, "EUR", "0.00 EUR"), (12.5, "", "12.50"),
    ],
)  # fmt: skip
def test_money_has_the_decimals_of_its_currency(value: Any, currency: str, text: str) -> None:
    """Minor units of ISO 4217; groups of three by ISO 80000-1."""
    assert plain(wording.money(value, currency)) == text
    if value is not None:
        assert plain(grouped(Decimal(str(value)), currency)) == text.removesuffix(currency).strip()


@every(
    ("text", "told"),
    [
        ("We did not use “4 ohm” and “2347 Hz”.", "We did not use “4 ohm” and “2347 Hz”."),
        ("“4 ohm” means 2.9 ohm, “-3 deg” -3 deg", "“4 ohm” means 2.9\u00a0Ω, “-3 deg” −3°"),
        ("a mark “ alone beside 4 ohm, “4 ohm”", "a mark “ alone beside 4 ohm, “4 ohm”"),
        ("“ alone, 4 ohm", "“ alone, 4\u00a0Ω"),
        ("", ""),
    ],
)
def test_what_is_quoted_stays_as_it_was_written(text: str, told: str) -> None:
    assert wording.printed(text) == told


@every(
    ("text", "metric", "imperial"),
    [
        ("It sees 3.2 ohm at 2500 Hz.", "It sees 3.2 Ω at 2500 Hz.", None),
        ("within -15 deg of 3-4 parts", "within −15° of 3-4 parts", None),
        ("from 200 to 22000 Hz", "from 200 Hz to 22 kHz", None),
        ("from 2004 to 3006 Hz", "from 2000 to 3010 Hz", None),
        ("at 1733 Hz, at 733.4 Hz, at 12449 Hz", "at 1730 Hz, at 733.4 Hz, at 12.4 kHz", None),
        ("HD-1733 Hz is no driver of 1.1733 Hz", "HD-1730 Hz is no driver of 1.1733 Hz", None),
        ("4.7 uF, 68 uH, 3 u", "4.7 µF, 68 µH, 3 u", None),
        ("50 mm over", "50 mm over", "50 mm (1.97 in) over"),
        ("5.08 cm and 2540 mm", "5.08 cm and 2540 mm", "5.08 cm (2 in) and 2540 mm (100.0 in)"),
        ("40 mms and 3 cm2 of 5 mm²", "40 mms and 3 cm2 of 5 mm²", None),
        ("-3 dB, x-3, 4 - 3", "−3 dB, x-3, 4 - 3", None),
    ],
)
def test_a_sentence_as_it_is_printed(text: str, metric: str, imperial: str | None) -> None:
    assert plain(wording.printed(text)) == metric
    if imperial is not None:
        assert plain(wording.printed(text, inches=True)) == imperial


@every("unit", ["Hz", "kHz", "dB", "mm", "cm", "m", "W", "V", "A", "mH", "uF", "uH", "nF", "EUR", "JPY", "mL", "L", "cm²", "cm2", "ms", "s", "octave", "octaves", "h", "min", "kg", "%", "ohm", "°C"])  # fmt: skip
def test_no_number_is_parted_from_its_unit(unit: str) -> None:
    for end in (" then.", ".", ", so"):
        assert "3\u00a0" in wording.printed(f"It is 3 {unit}{end}")
    assert "3\u00a0" not in wording.printed("It is 3 metres, 3 woofers, 3 Hzs and 3 makers.")


@every(
    ("text", "whole"),
    [("so be it", "So be it."), ("  why?", "Why?"), ("", ""), ("  ", ""), ("Yes!", "Yes!"), ("these:", "These:"), ("是。", "是。"), ("a; b", "A; b."), ("1.5", "1.5.")],
)  # fmt: skip
def test_a_sentence_begins_large_and_ends(text: str, whole: str) -> None:
    assert wording.sentence(text) == whole


def test_names_in_a_row() -> None:
    assert [wording.listed(names) for names in ([], ["a"], ["a", "b"], ["a", "b", "c"], ["a, b", "c", "d"])] == [
        "", "a", "a and b", "a, b and c", "a, b; c and d",
    ]  # fmt: skip
    assert [wording.counted(n, "kit") for n in (0, 1, 2)] == ["0 kits", "1 kit", "2 kits"]
    assert wording.counted(2, "box", "boxes") == "2 boxes"
    assert wording.degrees(None) == "–" and wording.degrees(math.radians(-7.5)) == "−7.5°"


@every(
    ("most", "text"),
    [(13, "one two three"), (12, "one two…"), (9, "one two…"), (8, "one…"), (7, "one…"), (3, "on…")],
)
def test_a_long_text_is_cut_between_words(most: int, text: str) -> None:
    assert wording.clipped("one two three", most) == text and len(text) <= most


def test_gaps_of_one_cause_stand_where_the_first_of_them_stood() -> None:
    lost = "Null not assessed: Re missing."
    assert wording.gaps_together(["It is loud.", lost, "Heat not assessed: Xmax missing.", "Lobe not assessed: Re missing.", "So."]) == [
        "It is loud.", "Null and Lobe not assessed: Re missing.", "Heat not assessed: Xmax missing.", "So.",
    ]  # fmt: skip


# --- letters ------------------------------------------------------------------------------------------------------


def test_widths_of_letters_add_up() -> None:
    assert text_width("nn", 10.0) == pytest.approx(2.0 * text_width("n", 10.0)) == pytest.approx(0.02 * letter_width("n"))  # fmt: skip
    assert text_width("n", 14.0) == pytest.approx(2.0 * text_width("n", 7.0)) and letter_width("n", True) > letter_width("n")  # fmt: skip
    assert letter_width("\u00a0") == letter_width(" ") and letter_width("\u0301") == 0 and letter_width("ж") == 800


@every(
    ("text", "way", "turns"),
    [("Reed", "ltr", False), ("12 רמ", "rtl", True), ("Reed ר", "ltr", True), ("مكبر", "rtl", True), ("12", "ltr", False), ("٣٤", "ltr", True), ("", "ltr", False)],
)  # fmt: skip
def test_which_way_a_text_runs_and_whether_it_would_turn_what_follows(text: str, way: str, turns: bool) -> None:
    """UAX 9: the first strong letter decides; Arabic figures (AN) run with what stands before them and must be kept apart as well."""
    assert direction(text) == way
    assert apart(text) == (f"\u2068{text}\u2069" if turns else text)


def test_a_text_is_cut_where_it_no_longer_fits_and_no_earlier() -> None:
    for text in ("Directivity", "A kit with a name", "nnnnn nnnnn"):
        for width in (20.0, 33.3, 47.0):
            cut = shortened(text, 10.0, width)
            if cut != text:
                kept = cut.removesuffix("…")
                following = text[: len(kept) + 1 + text[len(kept) :].startswith(" ")]
                assert text.startswith(kept) and text_width(cut, 10.0) <= width < text_width(following + "…", 10.0)
    assert shortened("nn", 10.0, text_width("nn", 10.0)) == "nn" and shortened("nn", 10.0, 1.0) == ""


@every(
    ("wanted", "gap", "low", "high", "places"),
    [
        ([10.0, 11.0, 30.0], 5.0, 0.0, 40.0, [8.0, 13.0, 30.0]), ([1.0, 2.0], 5.0, 0.0, 40.0, [0.0, 5.0]), ([39.0, 40.0], 5.0, 0.0, 40.0, [35.0, 40.0]),
        ([5.0, 5.0, 5.0], 10.0, 0.0, 20.0, [0.0, 10.0, 20.0]), ([5.0, 5.0, 5.0], 10.0, 0.0, 19.0, [0.0, 9.5, 19.0]), ([], 5.0, 0.0, 40.0, []),
        ([-9.0, 20.0], 5.0, 0.0, 40.0, [0.0, 20.0]), ([10.0, 14.0, 16.0, 40.0], 5.0, 0.0, 60.0, [8.333333333, 13.333333333, 18.333333333, 40.0]),
    ],
)  # fmt: skip
def test_places_move_as_little_as_their_gap_allows(wanted: list[float], gap: float, low: float, high: float, places: list[float]) -> None:  # fmt: skip
    """Neighbours that touch move together about the mean of what they wished; too many stand evenly."""
    assert spread_out(wanted, gap, low, high) == pytest.approx(places)
