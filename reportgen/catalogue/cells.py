"""What one cell means: numbers, units, dates, choices and names, as people type them.

Knows how a cell's content becomes the value of its column, in SI units, or why it cannot.
Refuses to know rows, sheets and what the value is for.
"""

from __future__ import annotations

import datetime as dt
import difflib
import math
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping

from reportgen.catalogue.columns import QUANTITY_OF, UNITS, Column, Kind
from reportgen.catalogue.grids import UNREADABLE, Covered, ErrorValue, Percentage, Uncalculated, Value

LONGEST_ID = 60
PLACEHOLDERS = frozenset({"-", "--", "–", "—", "?", "n/a", "na", "n.a.", "tbd", "unknown", "none"})
"""What people write where a figure is not known: counts as empty in a column of numbers."""

_BLANKS = dict.fromkeys(map(ord, "\u00a0\u2002\u2003\u2007\u2009\u200a\u202f\u3000\t"), " ") | dict.fromkeys(
    map(ord, "\u200b\u200e\u200f\u00ad\ufeff")
)
_MINUS = dict.fromkeys(map(ord, "\u2212\u2010\u2011\u2013\uff0d"), "-")
_YES = frozenset({"yes", "y", "true", "1"})
_NO = frozenset({"no", "n", "false", "0"})
_NUMBER = re.compile(r"([+-]?)\s*([0-9][0-9.,' ’]*|[.,][0-9]+)([eE][+-]?[0-9]{1,3})?\s*(.*)", re.DOTALL)
FEET, INCHES = r"(?:f(?:ee|oo)?t\b\.?|['’′](?!['’′]))", r"(?:in(?:ch(?:es)?)?\b\.?|[\"”″]|''|’’)"
_WITH_A_FRACTION = r"([0-9]+(?:[.,][0-9]+)?)?(?:(?:(?<![0-9])|[\s-]+)([0-9]+)/([1-9][0-9]*))?\s*"
_FEET_AND_INCHES = re.compile(rf"(?:{_WITH_A_FRACTION}{FEET}[\s-]*)?(?:{_WITH_A_FRACTION}{INCHES})?", re.IGNORECASE)
_FRACTIONS = re.compile("(?<=[0-9])(?=[¼-¾⅐-⅞])")
_PLAIN = re.compile(r"([0-9]*)(?:([.,])([0-9]*))?")
_GROUPED = re.compile(r"([0-9]{1,3})([.,' ’])([0-9]{3}(?:\2[0-9]{3})*)(?:([.,])([0-9]+))?")


class CellUnusableError(ValueError):
    """Why a cell cannot be used; `found`, `expected` and `mend` are worded for a Problem."""

    def __init__(self, found: str, expected: str, mend: str = "") -> None:
        self.found, self.expected, self.mend = found, expected, mend
        super().__init__(f"{found}; {expected}. {mend}")


def tidy(text: str) -> str:
    """`text` without hard, thin and zero-width blanks, trimmed; lines are kept."""
    return text.translate(_BLANKS).strip()


def folded(text: str) -> str:
    """What two spellings of one name or choice have in common.

    >>> folded("Low - High-low") == folded("low-high-low"), folded("µF") == folded("uf")
    (True, True)
    """
    plain = unicodedata.normalize("NFKC", text.translate(_BLANKS)).translate(_MINUS).casefold()
    plain = plain.replace("μ", "u").replace("ω", "ohm").replace("°", "deg")
    return "".join(plain.split()).replace("-", "").replace("_", "")


def id_key(text: str) -> str:
    """What two spellings of one ID have in common: case and spacing do not count, every other sign does."""
    return " ".join(tidy(text).split()).casefold()


def _unit_key(text: str) -> str:
    plain = unicodedata.normalize("NFKC", text.translate(_BLANKS))
    for sign, word in (("μ", "u"), ("Ω", "ohm"), ("°", "deg"), (",", ".")):
        plain = plain.replace(sign, word)
    plain = re.sub(r"(?<=[kK])\s*/\s*(?=[wW])", "per", plain)  # a kelvin for a watt is no kilowatt
    for words, unit in (
        ("inch(?:es)?", "in"),
        ("f(?:ee|oo)t", "ft"),
        (r"(?:square|sq\.?)\s*(\w+)", r"\1 2"),
        (r"(?:cubic|cu\.?)\s*(\w+)", r"\1 3"),
    ):
        plain = re.sub(rf"\b{words}\b\.?", unit, plain, flags=re.IGNORECASE)
    return re.sub(r"[\s/@·*^]", "", plain)


_SPELLINGS: Mapping[str, str] = (
    {_unit_key(unit).casefold(): unit for unit in UNITS}
    | {"ohms": "ohm", "ccm": "cm3", "cc": "cm3", "in.": "in", "ft.": "ft", "degrees": "deg", "deg.": "deg"}
    | dict.fromkeys(('"', "”", "′′"), "in")
    | dict.fromkeys(("metre", "metres", "meter", "meters", "mt", "mts"), "m")
    | {"hertz": "Hz", "watt": "W", "watts": "W", "liter": "L", "litre": "L", "litres": "L", "percent": "%"}
    | {"octaves": "octave", "oct": "octave", "dbspl": "dB", "micron": "um", "volt": "V", "pascal": "Pa"}
)


def unit_named(text: str) -> str | None:
    """The unit that `text` means, None when it means none.

    >>> unit_named("cm²"), unit_named("Ω"), unit_named("µF"), unit_named("dB @ 2.83 V / 1 m"), unit_named("bar")
    ('cm2', 'ohm', 'uF', 'dB 2.83V/1m', None)
    """
    return _SPELLINGS.get(_unit_key(text).casefold())


def shown(value: object) -> str:
    """A cell's content as a problem quotes it."""
    if isinstance(value, ErrorValue):
        return value.text
    if isinstance(value, Percentage):
        return f"{value.value * 100:.10g} %"
    if isinstance(value, dt.datetime) and value.time() == dt.time():
        return value.date().isoformat()
    if isinstance(value, str):
        text = " ".join(value.split())
        return f"“{text[:40]}…”" if len(text) > 40 else f"“{text}”"
    if isinstance(value, float):
        return f"{value:.10g}"
    return str(value)[:40]


def _unusable(value: object, expected: str, mend: str = "") -> CellUnusableError:
    return CellUnusableError(f"{shown(value)} stands here", expected, mend)


def is_blank(value: Value) -> bool:
    """True for a cell that holds nothing to read: empty, blanks only, or covered by a merged one."""
    return value is None or isinstance(value, Covered) or (isinstance(value, str) and not tidy(value))


def number_typed(text: str) -> tuple[float, str]:
    """The number in `text`, and what follows it; ValueError says why there is none.

    One separator followed by exactly three digits is refused: it may be a decimal sign or part thousands.

    >>> number_typed("3,14"), number_typed("1.234,5"), number_typed("−0.35 mm"), number_typed("1 200 Hz")
    ((3.14, ''), (1234.5, ''), (-0.35, 'mm'), (1200.0, 'Hz'))
    """
    match = _NUMBER.fullmatch(tidy(text).translate(_MINUS)) if len(text) <= 80 else None
    if match is None:
        raise ValueError("it must be a number")
    sign, digits, power, rest = match.groups()
    value = float(f"{sign}{_digits(digits.strip())}{power or ''}")
    if not math.isfinite(value):
        raise ValueError("it must be a number")
    return value, rest


def feet_typed(text: str) -> float | None:
    """Feet, inches and fractions of them in m; None where the text is no such length, or could be two.

    >>> [(found := feet_typed(one)) and round(found, 4) for one in ("1 ft 2 in", "6½ inch", "9-7/8 in", "1 ft 20 in", "81/2 in", "8")]
    [0.3556, 0.1651, 0.2508, None, None, None]
    """
    text = _FRACTIONS.sub(" ", tidy(text)).replace("″", '"')
    match = _FEET_AND_INCHES.fullmatch(unicodedata.normalize("NFKC", text).replace("⁄", "/"))
    if match is None or not any(match.groups()):
        return None
    feet, over_f, under_f, inches, over_i, under_i = (
        float(one.replace(",", ".")) if one else 0.0 for one in match.groups()
    )
    if (over_f and over_f >= under_f) or (over_i and over_i >= under_i) or (match[1] and inches >= 12.0):
        return None
    return (feet + over_f / (under_f or 1.0)) * UNITS["ft"] + (inches + over_i / (under_i or 1.0)) * UNITS["in"]


def _digits(text: str) -> str:
    plain, grouped = _PLAIN.fullmatch(text), _GROUPED.fullmatch(text)
    if grouped:
        first, separator, groups, decimal, decimals = grouped.groups()
        if decimal is None and separator in ".," and len(groups) == 3 and not first.startswith("0"):
            raise ValueError(f"it can be read as {first}.{groups} or as {first}{groups}")
        if (separator in ".," and len(groups) > 3) or separator not in ".," or (decimal or separator) != separator:
            return first + "".join(ch for ch in groups if ch.isdigit()) + f".{decimals or 0}"
    if plain and text not in (".", ","):
        return f"{plain.group(1) or 0}.{plain.group(3) or 0}"
    raise ValueError("it must be a number")


_SPOKEN = {"in": "inches", "ft": "feet"}


def _in_unit(value: Value, unit: str) -> float:
    """A cell's number in `unit`; CellUnusableError when it is none or carries a unit that does not fit."""
    if isinstance(value, Percentage):
        if unit != "%":
            raise _unusable(value, "it must be a number", "Format the cell as a number and type the value again.")
        return value.value * 100.0
    if isinstance(value, bool):
        raise _unusable(value, "it must be a number")
    if isinstance(value, int | float):
        try:
            return float(value)
        except OverflowError:
            raise CellUnusableError("a number of hundreds of digits stands here", "it must be a number") from None
    if isinstance(value, dt.date | dt.time | dt.timedelta):
        mend = "Format the cell as a number and type the value again: a spreadsheet program took it for a date."
        raise _unusable(value, "it must be a number", mend)
    if QUANTITY_OF.get(unit) == "length" and (metres := feet_typed(str(value))):
        return metres / UNITS[unit]
    try:
        number, suffix = number_typed(str(value))
    except ValueError as error:
        money = any(unicodedata.category(letter) == "Sc" for letter in str(value))
        mend = "Type it as a number, in the currency of the Maker sheet." if money else "Type it as a number."
        raise _unusable(value, str(error), mend) from None
    if not suffix:
        return number
    typed = unit_named(suffix)
    if typed is None or QUANTITY_OF[typed] != QUANTITY_OF[unit]:
        wanted = f"it must be a number in {_SPOKEN.get(unit, unit)}" if unit else "it must be a number without a unit"
        raise _unusable(value, wanted, f"“{suffix[:20]}” is no unit that fits here.")
    return number if typed == unit else number * UNITS[typed] / UNITS[unit]


def bounds_text(column: Column) -> str:
    """The bounds of a column in words, empty when it has none.

    >>> from reportgen.catalogue.columns import Kind
    >>> bounds_text(Column("x", "X", Kind.NUMBER, "", above=0.0, at_most=90.0))
    'greater than 0 and at most 90'
    """
    parts = []
    if column.above is not None:
        parts.append(f"greater than {column.above:g}")
    if column.at_least is not None:
        parts.append(f"at least {column.at_least:g}")
    if column.at_most is not None:
        parts.append(f"at most {column.at_most:g}")
    return " and ".join(parts)


def _bounded(column: Column, value: Value, number: float) -> float:
    if not math.isfinite(number):
        raise _unusable(value, "it must be a number", column.help)
    low = (column.above is not None and number <= column.above) or (
        column.at_least is not None and number < column.at_least
    )
    if low or (column.at_most is not None and number > column.at_most):
        raise _unusable(value, f"it must be {bounds_text(column)}", column.help)
    return number


def _number(column: Column, value: Value, unit: str) -> float:
    return _bounded(column, value, _column_number(column, value, unit)) * UNITS[column.unit or unit]


def _column_number(column: Column, value: Value, unit: str) -> float:
    """The number in the column's own unit; `unit` is what the heading (or the cell beside it) names."""
    number = _in_unit(value, unit)
    if column.unit and unit != column.unit:
        return number * UNITS[unit] / UNITS[column.unit]
    return number


def _count(column: Column, value: Value, unit: str) -> int:
    number = _bounded(column, value, _column_number(column, value, unit))
    if number != int(number) or abs(number) > 1e9:
        raise _unusable(value, "it must be a whole number", column.help)
    return int(number)


def _numbers(column: Column, value: Value, unit: str) -> tuple[float, ...]:
    if not isinstance(value, str):
        return (_number(column, value, unit),)
    if ";" not in value and "," in value:
        raise _unusable(value, "it can be read as one number or as several", "Part numbers by semicolons.")
    return tuple(_number(column, item, unit) for item in value.split(";") if tidy(item))


def _text(column: Column, value: Value, unit: str) -> str:
    del column, unit
    if isinstance(value, Percentage):
        value = value.value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    if isinstance(value, dt.datetime) and value.time() == dt.time():
        return value.date().isoformat()
    return tidy(value if isinstance(value, str) else str(value)[:400])


def _name(column: Column, value: Value, unit: str) -> str:
    name = " ".join(_text(column, value, unit).split())
    if len(name) > LONGEST_ID or any(unicodedata.category(ch) == "Cc" for ch in name):
        raise _unusable(value, f"a name has at most {LONGEST_ID} characters, all of them printable", column.help)
    return name


def one_of(choices: Iterable[str], text: str) -> str | None:
    """The choice that `text` means, None when it means none."""
    wanted = folded(text)
    return next((choice for choice in choices if folded(choice) == wanted), None)


def nearest(choices: Iterable[str], text: str) -> str:
    """`Did you mean “...”?` for the choice most like `text`, empty when none is."""
    by_folded = {folded(choice): choice for choice in choices}
    close = difflib.get_close_matches(folded(text)[:LONGEST_ID], list(by_folded), n=1)
    return f"Did you mean “{by_folded[close[0]]}”?" if close else ""


OTHER_WORDS = {
    folded(word): choice
    for choice, words in {
        "vented": ("ported", "bass reflex", "reflex", "bassreflex", "passive radiator"), "closed": ("sealed", "sealed box", "closed box"),
        "open baffle": ("dipole", "open"), "inductor": ("coil", "choke"), "capacitor": ("cap", "condenser"),
        "round": ("circular", "circle"), "rectangular": ("square", "oblong", "rectangle"), "LR4": ("24 dB", "24 dB/oct", "24 dB per octave"),
        "LR2": ("12 dB", "12 dB/oct", "12 dB per octave"), "BW3": ("18 dB", "18 dB/oct", "18 dB per octave"),
        "BW1": ("6 dB", "6 dB/oct", "6 dB per octave"), "vehicle": ("car", "van"), "outdoors": ("outside", "garden"),
        "in a wall": ("wall", "flush", "in-wall", "in ceiling", "in the ceiling", "ceiling", "built in"), "low-high-low": ("MTM",),
        "near a wall": ("on wall", "on a wall", "against a wall", "against the wall", "at a wall", "at the wall", "by a wall", "by the wall",
                        "close to a wall", "wall mounted", "corner", "bookshelf", "shelf"), "free standing": ("free",),
    }.items()
    for word in words
}  # fmt: skip
"""What people write for a choice (common practice, no source)."""


def _choice(column: Column, value: Value, unit: str) -> str:
    text = _text(column, value, unit)
    choice = one_of(column.choices, text)
    if choice is None:
        wanted = f"it must be one of: {', '.join(column.choices)}"
        meant = OTHER_WORDS.get(folded(text), "")
        hint = f"Did you mean “{meant}”?" if meant in column.choices else nearest(column.choices, text)
        raise _unusable(value, wanted, hint or column.help)
    return choice


def _names(column: Column, value: Value, unit: str) -> tuple[str, ...]:
    items = [tidy(item) for item in re.split(r"[;\n\r]", _text(column, value, unit))]
    names = tuple(_name(column, item, unit) for item in items if item)
    return tuple(_choice(column, name, unit) for name in names) if column.choices else names


def _yes_no(column: Column, value: Value, unit: str) -> bool:
    word = folded(_text(column, value, unit))
    if word not in _YES | _NO:
        raise _unusable(value, "it must be yes or no", column.help)
    return word in _YES


_DATE_FORMS: tuple[tuple[re.Pattern[str], tuple[str, ...]], ...] = (
    (re.compile(r"[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}"), ("%Y-%m-%d",)),
    (re.compile(r"[0-9]{4}/[0-9]{1,2}/[0-9]{1,2}"), ("%Y/%m/%d",)),
    (re.compile(r"[0-9]{1,2}\.\s?[0-9]{1,2}\.\s?[0-9]{4}"), ("%d.%m.%Y",)),
    (re.compile(r"[0-9]{1,2}[/-][0-9]{1,2}[/-][0-9]{4}"), ("%d/%m/%Y", "%m/%d/%Y")),
    (re.compile(r"[0-9]{1,2}\.? [A-Za-z]{3,9}\.?,? [0-9]{4}"), ("%d %b %Y", "%d %B %Y")),
    (re.compile(r"[A-Za-z]{3,9}\.? [0-9]{1,2},? [0-9]{4}"), ("%b %d %Y", "%B %d %Y")),
)


def _date(column: Column, value: Value, unit: str) -> dt.date:
    del unit
    if isinstance(value, dt.datetime):
        return value.date()
    if isinstance(value, dt.date):
        return value
    mend = "Write it as 2025-03-31."
    if not isinstance(value, str):
        raise _unusable(value, "it must be a date", mend)
    text = re.sub(r"[T ][0-9]{1,2}:[0-9]{2}(:[0-9.]+)?(Z|[+-][0-9:]+)?$", "", tidy(value))
    for pattern, forms in _DATE_FORMS:
        if pattern.fullmatch(text):
            found = _dates(text, forms)
            if len(found) == 1:
                return found.pop()
            if len(found) > 1:
                raise _unusable(value, "day and month cannot be told apart", mend)
    raise _unusable(value, "it must be a date", mend)


def _dates(text: str, forms: Iterable[str]) -> set[dt.date]:
    found = set()
    for form in forms:
        plain = text
        if "/" in form:
            plain = plain.replace("-", "/")
        elif "." in form:
            plain = plain.replace(" ", "")
        elif " " in form:
            plain = re.sub(r"(?i)\bsept\b", "Sep", plain.replace(",", "").replace(".", ""))
        try:
            found.add(dt.datetime.strptime(plain, form).date())
        except ValueError:
            continue
    return found


_PARSERS: Mapping[Kind, Callable[[Column, Value, str], object]] = {
    Kind.ID: _name,
    Kind.TEXT: _text,
    Kind.NUMBER: _number,
    Kind.COUNT: _count,
    Kind.CHOICE: _choice,
    Kind.YES_NO: _yes_no,
    Kind.DATE: _date,
    Kind.REFERENCE: _name,
    Kind.NAMES: _names,
    Kind.NUMBERS: _numbers,
    Kind.FILE: _text,
}
_NUMERIC = (Kind.NUMBER, Kind.COUNT, Kind.NUMBERS)


def is_placeholder(column: Column, value: Value) -> bool:
    """True for a dash, `n/a` and the like where a number is asked for: it counts as empty."""
    return column.kind in _NUMERIC and isinstance(value, str) and tidy(value).casefold() in PLACEHOLDERS


def read_cell(column: Column, value: Value, unit: str) -> object:
    """The value of one cell that is not blank, SI where the column has a unit.

    `unit` is the unit the heading names, or that of the cell beside it. CellUnusableError says what is wrong.
    """
    if column.kind is Kind.NUMBER and value.__class__ is float and unit == column.unit:  # nearly every cell
        return _bounded(column, value, value) * UNITS[unit]
    if isinstance(value, Uncalculated):
        raise CellUnusableError(
            "a formula without a stored value stands here",
            "its result is not known",
            "Open the workbook in a spreadsheet program and save it once.",
        )
    if isinstance(value, ErrorValue) and value.text == UNREADABLE:
        raise _unusable(value, "the file is damaged there", "Type it again and save the workbook.")
    if isinstance(value, ErrorValue):
        raise _unusable(value, "the formula gives no value", "Mend the formula.")
    return _PARSERS[column.kind](column, value, unit)


def implausible(column: Column, si_value: object, unit: str) -> str:
    """Which usual values a number falls outside, in words; empty when it does not. A 0 where a column begins has a meaning of its own."""
    if column.plausible is None or not isinstance(si_value, int | float) or si_value == column.at_least == 0.0:
        return ""
    low, high = column.plausible
    if low <= si_value / UNITS[column.unit or unit] <= high:
        return ""
    return f"usual values lie between {low:g} and {high:g}" + (f" {column.unit}" if column.unit else "")
