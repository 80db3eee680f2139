"""How figures and outcomes are worded on paper: units, digits, signs.

Knows SI values and the units a builder reads. Refuses to know what a figure means or where on a page it stands.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from reportgen.catalogue.currencies import with_currency
from reportgen.crossover.networks import RATED_IMPEDANCES_OHM

NO_BREAK = "\u00a0"
NONE = "–"
"""Stands where there is no value."""

PRINTED_UNITS: Mapping[str, str] = {"ohm": "Ω", "uF": "µF", "uH": "µH", "degC": "°C", "deg": "°"}
MULTIPLIED = "\u00a0× "


@dataclass(frozen=True, slots=True)
class Mark:
    """An outcome on paper: a sign, a word, and the class the style sheet knows it by. Never colour alone."""

    sign: str
    word: str
    style: str


MARKS: Mapping[str, Mark] = {
    "pass": Mark("✓", "pass", "good"),
    "marginal": Mark("!", "marginal", "near"),
    "fail": Mark("✗", "fail", "bad"),
    "not assessed": Mark("?", "not assessed", "open"),
    "suitable": Mark("✓", "suitable", "good"),
    "suitable with conditions": Mark("!", "suitable with conditions", "near"),
    "undecided": Mark("?", "undecided", "open"),
    "not suitable": Mark("✗", "not suitable", "bad"),
}
"""Every outcome of a check and every word of a verdict."""


def number(value: float | None, digits: int = 3) -> str:
    """Plain number with that many significant digits, a real minus sign and no exponent.

    >>> number(3002.2), number(0.08441), number(-1.5), number(12.0), number(None)
    ('3000', '0.0844', '−1.5', '12', '–')
    """
    if value is None or math.isnan(value):
        return NONE
    if math.isinf(value):
        return "∞" if value > 0 else "−∞"
    if value == 0.0:
        return "0"
    decimals = digits - 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, decimals)
    text = f"{rounded:.{max(decimals, 0)}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return text.replace("-", "−")


def fixed(value: float | None, decimals: int) -> str:
    """Number with fixed decimals, for columns that line up.

    >>> fixed(0.586, 2), fixed(-0.04, 1), fixed(None, 1)
    ('0.59', '0.0', '–')
    """
    if value is None or not math.isfinite(value):
        return number(value)
    text = f"{value:.{decimals}f}"
    return (text.lstrip("-") if float(text) == 0.0 else text).replace("-", "−")


def with_unit(value: float | None, unit: str, digits: int = 3) -> str:
    """A number and its unit, kept on one line; `unit` in the spelling of the workbook.

    >>> with_unit(3.21, "ohm"), with_unit(None, "dB"), with_unit(90.0, "%")
    ('3.21\\xa0Ω', '–', '90\\xa0%')
    """
    if value is None or math.isnan(value):
        return NONE
    shown = (
        fixed(value, 1) if unit in ("dB", "dB SPL") else fixed(value, 2) if unit == "octave" else number(value, digits)
    )
    return f"{shown}{NO_BREAK}{PRINTED_UNITS.get(unit, unit)}".rstrip()


def least_load(ohm: float) -> str:
    """The least modulus of a load: where it lies under 80 % of a rated impedance, with as many digits as show that it does.

    >>> least_load(3.42), least_load(3.17), least_load(3.22), least_load(4.7958)
    ('3.4\\xa0Ω', '3.17\\xa0Ω', '3.2\\xa0Ω', '4.796\\xa0Ω')
    """
    above = [0.8 * rated for rated in RATED_IMPEDANCES_OHM if 0.8 * rated > ohm]
    told = (digits for digits in (2, 3) if number(ohm, digits) not in {number(bound, digits) for bound in above})
    return with_unit(ohm, "ohm", next(told, 4))


def digits_of(unit: str, value: float | None = None, limit: float | None = None) -> int:
    """So many digits as the words of a check have: loads, powers and heights (m) two, unless a value would then look like its limit;
    whole watts from a hundred up.

    >>> digits_of("ohm", 3.93, 3.2), digits_of("ohm", 3.18, 3.2), digits_of("W", 113.6, 300.0), digits_of("dB")
    (2, 3, 3, 3)
    >>> digits_of("m", 0.997, 1.2), digits_of("m", 1.196, 1.2)  # 1.00 m in words
    (2, 3)
    """
    alike = value is not None and value != limit and number(value, 2) == number(limit, 2)
    return 2 if unit in ("ohm", "W", "m") and not alike and (value or 0.0) < 99.5 else 3


def _three(hz: float | None) -> float | None:
    """Three digits of the whole Hz that sentences have, halves up: a frequency comes out the same in words and in tables.

    >>> _three(4965.2), _three(13149.6), _three(999.6), _three(None)
    (4970.0, 13200.0, 999.6, None)
    """
    if hz is None or not math.isfinite(hz) or hz < 1000.0:
        return hz
    step = 10.0 ** (math.floor(math.log10(round(hz))) - 2)
    return math.floor(round(hz) / step + 0.5) * step


def hertz(value: float | None) -> str:
    """A frequency (Hz) as it is set on a generator: Hz below 10 kHz, three digits.

    >>> hertz(2450.4), hertz(12500.0), hertz(47.3)
    ('2450\\xa0Hz', '12.5\\xa0kHz', '47.3\\xa0Hz')
    """
    value = _three(value)
    if value is not None and value >= 1e4:
        return with_unit(value / 1e3, "kHz")
    return with_unit(value, "Hz")


def bare(value_m: float | None, inches: bool = False) -> str:
    """A length (m) in mm without its unit, to a tenth where it matters; with inches behind it if asked.

    >>> bare(0.15), bare(0.0254), bare(0.15, inches=True)
    ('150', '25.4', '150 (5.91)')
    """
    if value_m is None:
        return NONE
    value = value_m * 1e3
    text = fixed(value, 0) if abs(value - round(value)) < 0.05 else fixed(value, 1)
    return f"{text} ({fixed(value / 25.4, 2)})" if inches else text


def millimetres(value_m: float | None, inches: bool = False) -> str:
    """A length (m) in mm, to a tenth where it matters; 25.4 mm are an inch (ISO 80000-3).

    >>> millimetres(0.15), millimetres(0.0254), millimetres(0.15, inches=True)
    ('150\xa0mm', '25.4\xa0mm', '150\xa0mm (5.91\xa0in)')
    """
    if value_m is None:
        return NONE
    behind = f" ({fixed(value_m / 0.0254, 2)}{NO_BREAK}in)" if inches else ""
    return f"{bare(value_m)}{NO_BREAK}mm{behind}"


def small_millimetres(value_m: float) -> str:
    """A travel (m) in mm to three digits.

    >>> small_millimetres(0.00035)
    '0.35\xa0mm'
    """
    return f"{number(value_m * 1e3)}{NO_BREAK}mm"


def _across(lengths_m: Sequence[float], inches: bool) -> str:
    """Lengths (m) multiplied, in mm without the unit; in inches behind, if asked."""
    behind = f" ({MULTIPLIED.join(fixed(x / 0.0254, 2) for x in lengths_m)})" if inches else ""
    return f"{MULTIPLIED.join(bare(x) for x in lengths_m)}{behind}"


def bare_size(width_m: float | None, height_m: float | None, round_: bool, inches: bool = False) -> str:
    """Width by height (m) in mm without the unit, or the diameter of what is round.

    >>> bare_size(0.168, 0.168, True), bare_size(0.1, 0.25, False)
    ('Ø 168', '100\xa0× 250')
    """
    if width_m is None:
        return NONE
    if round_ and (height_m is None or abs(height_m - width_m) < 0.0005):
        return f"Ø {bare(width_m, inches)}"
    return _across((width_m, height_m or width_m), inches)


def size(width_m: float, height_m: float | None, round_: bool, inches: bool = False) -> str:
    """Width by height (m) in mm, or the diameter of what is round.

    >>> size(0.025, None, True)
    'Ø 25\xa0mm'
    """
    return f"{bare_size(width_m, height_m, round_)}{NO_BREAK}mm" + (
        f" ({bare_size(width_m, height_m, round_, True).split(' (')[1][:-1]}{NO_BREAK}in)" if inches else ""
    )


def sides(lengths_m: Sequence[float | None], inches: bool = False) -> str:
    """The sides of a box (m), those that are known, in mm.

    >>> sides((0.2, 0.36, 0.25)), sides((0.2, None), inches=True)
    ('200\xa0× 360\xa0× 250\xa0mm', '200\xa0mm (7.87\xa0in)')
    """
    known = [length for length in lengths_m if length is not None]
    behind = f" ({MULTIPLIED.join(fixed(x / 0.0254, 2) for x in known)}{NO_BREAK}in)" if inches else ""
    return f"{_across(known, False)}{NO_BREAK}mm{behind}"


def component(kind: str, value: float) -> str:
    """Value of a capacitor "C", coil "L" or resistor "R" (F, H, ohm) as the shop names it.

    >>> component("C", 4.7e-6), component("L", 0.33e-3), component("R", 2.2), component("C", 68e-9)
    ('4.7\\xa0µF', '0.33\\xa0mH', '2.2\\xa0Ω', '68\\xa0nF')
    """
    if kind == "C":
        return with_unit(value * 1e6, "uF") if value >= 0.0999e-6 else with_unit(value * 1e9, "nF")
    if kind == "L":
        return with_unit(value * 1e3, "mH") if value >= 0.0999e-3 else with_unit(value * 1e6, "uH")
    return with_unit(value, "ohm")


def degrees(value_rad: float | None) -> str:
    """An angle (rad) in degrees.

    >>> degrees(math.radians(15.0))
    '15°'
    """
    return NONE if value_rad is None else f"{number(math.degrees(value_rad))}°"


def money(value: float | None, currency: str) -> str:
    """A price with as many decimals as its currency has, in groups of three (ISO 80000-1), and the maker's currency; beside a long amount that may stand in the next line.

    >>> money(12.5, "EUR"), money(None, "EUR"), money(1234567.8, "EUR"), money(12500.0, "JPY"), money(1.5, "KWD")
    ('12.50\\xa0EUR', '–', '1\\xa0234\\xa0567.80 EUR', '12\\xa0500\\xa0JPY', '1.500\\xa0KWD')
    """
    if value is None:
        return NONE
    text = with_currency(value, currency)
    return text.replace(" ", NO_BREAK) if len(text) <= SHORT_PRICE else text


SHORT_PRICE = 10
"""So many signs go beside one another in a narrow column, as 123.50 EUR does."""


def span(low_hz: float | None, high_hz: float | None) -> str:
    """A range of frequencies, with its open sides named.

    >>> span(2000.0, 3002.2), span(None, 3000.0), span(2000.0, None)
    ('2000 to 3000\\xa0Hz', 'up to 3000\\xa0Hz', 'from 2000\\xa0Hz')
    """
    if low_hz is not None and high_hz is not None:
        if max(low_hz, high_hz) < 9995.0:
            return f"{number(_three(low_hz))} to {hertz(high_hz)}"
        return f"{hertz(low_hz)} to {hertz(high_hz)}"
    if low_hz is not None:
        return f"from {hertz(low_hz)}"
    return f"up to {hertz(high_hz)}" if high_hz is not None else NONE


def clipped(text: str, most: int) -> str:
    """A text of at most so many letters, cut between words where it is longer.

    >>> clipped("one two three", 10), clipped("Heron", 10), clipped("Schallwandler", 10)
    ('one two…', 'Heron', 'Schallwan…')
    """
    if len(text) <= most:
        return text
    cut = text[: most - 1]
    return f"{cut.rpartition(' ')[0] or cut}…"


def counted(count: int, one: str, many: str = "") -> str:
    """A count and its noun.

    >>> counted(1, "part"), counted(3, "part")
    ('1 part', '3 parts')
    """
    return f"{count} {one if count == 1 else many or one + 's'}"


NOT_ASSESSED = " not assessed: "
"""Between the title of a check and what it lacks."""


def listed(texts: Sequence[str]) -> str:
    """Names in a row, the last one after `and`.

    >>> listed(["Heat", "Travel", "Window, seated"])
    'Heat; Travel and Window, seated'
    """
    comma = "; " if any(", " in text for text in texts) else ", "
    return f"{comma.join(texts[:-1])} and {texts[-1]}" if len(texts) > 1 else "".join(texts)


def gaps_together(texts: Sequence[str]) -> list[str]:
    """What checks say, in their order; those that lack the same in one sentence, where the first of them stood.

    >>> gaps_together(["Heat not assessed: Re missing.", "It is loud.", "Null not assessed: Re missing."])
    ['Heat and Null not assessed: Re missing.', 'It is loud.']
    """
    titles: dict[str, list[str]] = {}
    for text in texts:
        title, gap, why = text.partition(NOT_ASSESSED)
        if gap:
            titles.setdefault(why, []).append(title)
    found = [
        text
        for text in texts
        if NOT_ASSESSED not in text or titles[text.partition(NOT_ASSESSED)[2]][0] == text.partition(NOT_ASSESSED)[0]
    ]
    return [
        f"{listed(titles[why])}{gap}{why}" if gap else text
        for text in found
        for _, gap, why in (text.partition(NOT_ASSESSED),)
    ]


def sentence(text: str) -> str:
    """The text with a capital letter and a full stop.

    >>> sentence("move the centres closer")
    'Move the centres closer.'
    """
    text = text.strip()
    if not text:
        return ""
    text = text[0].upper() + text[1:]
    return text if text[-1] in ".!?:。" else f"{text}."


_NUMBER_UNIT = re.compile(
    r"(?<=\d) (?=(?:k?Hz|dB|mm|cm[²2]?|m|m?L|W|V|A|mH|u[FH]|nF|[A-Z]{3}|octaves?|h|min|m?s|kg|%|ohm|°C)(?!\w))"
)
"""Currencies have three capitals (ISO 4217)."""
_RANGE_HZ = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?) to (\d+(?:\.\d+)?)\u00a0Hz\b")
_MANY_HZ = re.compile(r"(?<![\w.])(\d{4,}(?:\.\d+)?)\u00a0Hz\b")
_LENGTH = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?)\u00a0(mm|cm)\b")


def _with_inches(found: re.Match[str]) -> str:
    """No finer than it was said: 30 cm are about a foot, and 0.3 mm no hundredth of an inch."""
    inches = float(found[1]) / {"mm": 25.4, "cm": 2.54}[found[2]]
    if found[2] == "cm":
        return f"{found[0]} ({number(inches, 2)}{NO_BREAK}in)"
    return f"{found[0]} ({fixed(inches, 3 if inches < 0.1 else 2 if inches < 39.37 else 1)}{NO_BREAK}in)"


def printed(text: str, inches: bool = False) -> str:
    """A sentence as it is printed: units in their signs, frequencies as everywhere on the sheet, a number never separated
    from its unit, inches behind mm if asked; what is quoted stays as it was written.

    >>> printed("It sees 3.2 ohm at 2500 Hz, within -15 deg.")
    'It sees 3.2\xa0Ω at 2500\xa0Hz, within −15°.'
    >>> printed("LR4 is 20 dB down at 1733 Hz or lower, measured from 200 to 22000 Hz.")
    'LR4 is 20\xa0dB down at 1730\xa0Hz or lower, measured from 200\xa0Hz to 22\xa0kHz.'
    >>> printed("capacitor 4.7 uF, coil 68 uH")
    'capacitor 4.7\xa0µF, coil 68\xa0µH'
    >>> printed("air temperature: 20 degC -> -5 degC")
    'air temperature: 20\xa0°C -> −5\xa0°C'
    >>> printed("HD-10 stands 50 mm over the edge.", inches=True)
    'HD-10 stands 50\xa0mm (1.97\xa0in) over the edge.'
    >>> printed("keep 30 cm away, move 0.3 mm", inches=True), printed("2 x KC-15, a hole of 66 x 86 mm")
    ('keep 30\\xa0cm (12\\xa0in) away, move 0.3\\xa0mm (0.012\\xa0in)', '2\\xa0× KC-15, a hole of 66\\xa0× 86\\xa0mm')
    >>> printed("We count on “4 ohm at 1234 Hz” and 60 W.")
    'We count on “4 ohm at 1234 Hz” and 60\xa0W.'
    """
    parts = re.split("(“[^”]*”)", text)  # every second one is a quotation
    if len(parts) > 1:
        return "".join(part if at % 2 else printed(part, inches) for at, part in enumerate(parts))
    text = _NUMBER_UNIT.sub(NO_BREAK, text)
    text = _RANGE_HZ.sub(lambda found: span(float(found[1]), float(found[2])), text)
    text = _MANY_HZ.sub(lambda found: hertz(float(found[1])), text)
    text = re.sub(r"(?<=\d)\u00a0ohm\b", f"{NO_BREAK}Ω", text)
    text = re.sub(r"(?<=\d)\u00a0u(?=[FH]\b)", f"{NO_BREAK}µ", text)
    text = re.sub(r"(?<=\d) deg\b", "°", text)
    text = re.sub(r"(?<=\d) degC\b", f"{NO_BREAK}°C", text)
    text = re.sub(r"(?<![\w.])-(?=\d)", "−", text)
    text = re.sub(r"(?<=\d) x (?=\w)", MULTIPLIED, text)
    return _LENGTH.sub(_with_inches, text) if inches else text
