"""Measured response and impedance files: the text that measuring programs write, read into numbers.

Knows separators, headings, units and columns. Refuses to know drivers and physics: what a curve means is asked elsewhere.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from reportgen.catalogue.files import NotBesideError, find_beside
from reportgen.catalogue.plainfiles import read_file
from reportgen.catalogue.records import MeasuredCurve
from reportgen.problems import CurveUnreadable

Array = NDArray[np.float64]

MOST_BYTES = 8 * 2**20
FEWEST_POINTS = 10
LEAST_TURN_DEG = 2.0
"""The phase of a loudspeaker turns by more over any band worth a file; a coherence does not (common practice, no source)."""

PADDED_FROM_DB = 40.0
"""Beside levels from here up 0 dB is no level but none (no source)."""

ALIKE_DB, ALIKE_SHARE = 1.0, 0.1
"""Values of neighbours whose frequencies are rounded to the same one differ by no more (common practice, no source)."""

_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]+)*\.?|[.,][0-9]+)(?:[eEdD][+-]?[0-9]+)?")
_THOUSANDS = re.compile(r"[+-]?[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?")
_VALUE = re.compile(r"[0-9][0-9.,]*\s*[^\s0-9.,;()\[\]]*")
"""A number with its unit, as titles have it: “20 Hz to 20 kHz”, “8 ohm”; it names no column."""
_COMMENT = ("#", "*", "!", "%", "/", "--", "[", "$", ";")
_SEPARATORS = (r"[\"']\s*,\s*[\"']", r"\s*;\s*", r"\s*\t\s*", r"\s+", r"\s*,\s*")
_PART_OTHERWISE = "part the columns by semicolons or tabs."
_BOUNDS = {"response": (-200.0, 200.0, "dB"), "impedance": (1e-3, 1e6, "ohm")}
_PLAIN = str.maketrans(
    {"\u2212": "-", "\u00a0": " ", "\u202f": " ", "\u2009": " ", "\u03a9": "ohm", "\u2126": "ohm", "\u00b0": "deg"}
)
_WORDS = {
    "frequency": r"freq|hz|rad/s|^f$|^f\b",
    "real": r"\bre\b(?!\.? ?[0-9])|\brez\b|\breal|^r\b|^r[sp]\b|resistance|^z'(?!')",
    "imaginary": r"\bimz?\b|\bimag|^x\b|^x[sp]\b|reactance|^z''",
    "degrees": r"^(?!.*excess).*(?:phase|deg|grad\b|\brad(?:ian)?s?\b|angle|^phi)",
    "dB": r"\bdb|spl|level|\bpa\b|pressure",
    "ohm": r"ohm|impedance|^z\b|\|z\|",
    "value": r"magn|ampl|modul",
}  # fmt: skip
"""What the words of a heading say of the column below them."""


def read_curve(path: str, root: Path, quantity: str) -> MeasuredCurve:
    """Read the measured file `path`, which lies in the folder `root`, as `quantity` "response" or "impedance".

    Text of columns: Hz; dB or ohm; degrees, if known. Any separator, decimal comma, quotes, comment lines, headings and
    words at the end; ascending or descending; a first point at 0 Hz, a row that stands twice and ends of 0 dB are left out. A heading
    may name the columns, also as real and imaginary part, and kHz, kohm, mohm, Pa or rad; without one the first three
    count. CurveUnreadable names the file and the line.
    """
    lines = _text(path, root).translate(_PLAIN).splitlines()
    rows, heading = _rows(path, lines)
    layout = _layout(path, heading, rows, quantity)
    table = [(number, layout.point(row)) for number, row in rows]
    if len(table) > 1 and table[0][1][0] > table[-1][1][0]:
        table.reverse()
    if table and table[0][1][0] == 0.0:
        table = table[1:]
    _refuse_few(path, lines, len(table))
    for number, row in table:
        _refuse_absurd(path, number, row, quantity)
    table, layout = _each_once(table, layout, quantity)
    if quantity == "response":
        table, layout = _unpadded(table, layout)
    for (_, before), (number, row) in pairwise(table):
        if row[0] <= before[0]:
            what = "stands twice, with different values" if row[0] == before[0] else f"follows {before[0]:g} Hz"
            raise CurveUnreadable(f"{path} line {number}: {row[0]:g} Hz {what}; frequencies must run one way.")
    _refuse_few(path, lines, len(table))
    _refuse_kilohertz(path, table)
    return _curve(path, np.array([row for _, row in table]), layout)


def _each_once(table: list[_Row], layout: _Layout, quantity: str) -> tuple[list[_Row], _Layout]:
    """The rows without those at the frequency of the row before them that say nearly the same: finer steps than its digits."""
    kept, rounded = table[:1], 0
    for number, row in table[1:]:
        before = kept[-1][1]
        allowed = ALIKE_DB if quantity == "response" else ALIKE_SHARE * before[1]
        if row[0] != before[0] or abs(row[1] - before[1]) > allowed:
            kept.append((number, row))
        else:
            rounded += row != before
    remark = f"{rounded} row{'s' if rounded > 1 else ''} at the frequency of the row before {'are' if rounded > 1 else 'is'} left out"
    return kept, replace(layout, remarks=(*layout.remarks, remark)) if rounded else layout


def _unpadded(table: list[_Row], layout: _Layout) -> tuple[list[_Row], _Layout]:
    """The rows without those at both ends that hold 0 dB beside levels far above: nothing was measured there."""
    measured = [place for place, (_, row) in enumerate(table) if row[1] != 0.0]
    if not measured or np.median([table[place][1][1] for place in measured]) < PADDED_FROM_DB:
        return table, layout
    kept = table[measured[0] : measured[-1] + 1]
    remark = f"rows of 0 dB below {kept[0][1][0]:g} Hz or above {kept[-1][1][0]:g} Hz are left out"
    return kept, replace(layout, remarks=(*layout.remarks, remark)) if len(kept) < len(table) else layout


def _curve(path: str, table: Array, layout: _Layout) -> MeasuredCurve:
    remarks = layout.remarks
    phase = np.radians(table[:, 2]) if table.shape[1] == 3 else None
    if phase is not None and np.ptp(phase) < np.radians(LEAST_TURN_DEG):
        word = "hardly changes" if np.ptp(phase) else "holds only zeros" if phase[0] == 0.0 else "holds only one value"
        remarks, phase = (*remarks, f"its phase column {word} and counts as none"), None
    return MeasuredCurve(table[:, 0], table[:, 1], None if phase is None else np.unwrap(phase), path, remarks)


def _text(path: str, root: Path) -> str:
    try:
        file = find_beside(root, path)
        size = file.stat().st_size
        if size > MOST_BYTES:
            raise CurveUnreadable(f"{path}: {size // 2**20} MiB; a measured curve has at most {MOST_BYTES // 2**20}.")
        content = read_file(file, MOST_BYTES)
    except NotBesideError as error:
        raise CurveUnreadable(f"{path}: {error}") from None
    except OSError as error:
        raise CurveUnreadable(f"{path}: the file cannot be read ({error.strerror}).") from None
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return content.decode("utf-16", errors="replace")
    if b"\0" in content:
        raise CurveUnreadable(f"{path}: not a text file.")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("latin-1")


# --- lines into numbers ---------------------------------------------------------------------------------------------

_Row = tuple[int, tuple[float, ...]]


def _rows(path: str, lines: list[str]) -> tuple[list[_Row], tuple[int, list[str]]]:
    """Every row of data with its line number, and the heading above them, split alike."""
    split = max(_SEPARATORS, key=lambda one: sum(_is_data(_tokens(line, one)) for line in lines))
    found: list[tuple[int, list[str]]] = []
    above: list[tuple[int, list[str]]] = []
    ended = 0
    for number, line in enumerate(lines, 1):
        tokens = _tokens(line, split)
        if _is_data(tokens):
            if ended:
                raise _no_row(path, ended, lines)
            found.append((number, tokens))
        elif not found and re.search(r"[^\W\d_]", line):
            words = _tokens(line, split, quotes='"')
            above.append((number, [word.lstrip("".join(_COMMENT)).strip() for word in words]))
        elif found and tokens and not line.strip().startswith(_COMMENT):
            like_a_row = tokens[0][0].isdigit() and any(_NUMBER.fullmatch(token) for token in tokens)
            if like_a_row and len(tokens) <= len(found[0][1]):
                raise _no_row(path, number, lines)
            ended = ended or number
    width = len(found[0][1]) if found else 0
    for number, tokens in found:
        if len(tokens) != width:
            raise CurveUnreadable(f"{path} line {number}: {len(tokens)} columns where the first row has {width}.")
    _refuse_decimal_commas(path, split, found)
    grouped = _comma_groups(token for _, tokens in found for token in tokens)
    rows = [(number, tuple(_float(token, grouped) for token in tokens)) for number, tokens in found]
    return rows, _heading(above, width)


def _refuse_decimal_commas(path: str, split: str, found: Sequence[tuple[int, list[str]]]) -> None:
    """Commas between columns where no number has a point, and one begins with 0 like the digits behind a decimal comma."""
    if split != _SEPARATORS[-1] or len(found[0][1]) < 3 or any("." in token for _, row in found for token in row):
        return
    number = next((number for number, row in found for token in row if re.match(r"0[0-9]", token)), None)
    if number is not None:
        raise CurveUnreadable(f"{path} line {number}: commas part decimals as well as columns; {_PART_OTHERWISE}")


def _heading(above: Sequence[tuple[int, list[str]]], width: int) -> tuple[int, list[str]]:
    """Number and words of the lowest line above the numbers that names each column, or else of the lowest one.

    Where the line before it has as many words, each is joined to the one below it, unless they say different things:
    names and units may stand in two lines.
    """
    named = [i for i, (_, words) in enumerate(above) if _names_columns(words, width)]
    at = named[-1] if named else len(above) - 1
    if at < 0:
        return 0, []
    number, words = above[at]
    if at and len(words) == len(above[at - 1][1]) == width:
        pairs = zip(above[at - 1][1], words, strict=True)
        words = [f"{over} {word}" if len({_kind(over), _kind(word)} - {""}) == 1 else word for over, word in pairs]
    return number, words


def _names_columns(words: Sequence[str], width: int) -> bool:
    """Whether words are names of columns, and no title of as many: “Impedance of LD-01”, “gated at 1 kHz”."""
    kinds = [_kind(word) for word in words]
    if len(words) != width:
        return False
    if any(kind == "frequency" and not (i and _NUMBER.fullmatch(words[i - 1])) for i, kind in enumerate(kinds)):
        return True
    return not kinds[0] and sum(map(bool, kinds)) >= min(2, width - 1)


def _no_row(path: str, number: int, lines: list[str]) -> CurveUnreadable:
    text = lines[number - 1].strip()[:40]
    return CurveUnreadable(f"{path} line {number}: “{text}” is no row of numbers like those around it.")


def _tokens(line: str, split: str, quotes: str = "\"'") -> list[str]:
    text = line.strip().strip(";,").strip()
    return [one for part in re.split(split, text) if (one := part.strip(" " + quotes))]


def _is_data(tokens: Sequence[str]) -> bool:
    return len(tokens) > 1 and all(_NUMBER.fullmatch(token) for token in tokens)


def _comma_groups(tokens: Iterator[str]) -> bool:
    """Whether commas part thousands: all that stand in the file can, and points part decimals elsewhere."""
    pointed, commas = False, []
    for token in tokens:
        pointed |= "." in token
        if "," in token:
            commas.append(token)
    return pointed and all(_THOUSANDS.fullmatch(token) for token in commas)


def _float(token: str, grouped: bool) -> float:
    """A number with decimal point or comma; of two different signs the last is the decimal one."""
    token = token.lower().replace("d", "e")
    comma, point = token.rfind(","), token.rfind(".")
    if grouped or (comma >= 0 and point > comma):
        return _plain_float(token.replace(",", ""))
    if comma >= 0 and point >= 0:
        token = token.replace(".", "")
    return _plain_float(token.replace(",", "."))


def _plain_float(token: str) -> float:
    """The number; nan where several decimal signs are left, which `_refuse_absurd` names."""
    try:
        return float(token)
    except ValueError:
        return float("nan")


# --- which column is what -------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Layout:
    """Columns of frequency, value and phase, what they are multiplied by, and how the value becomes dB or ohm."""

    columns: tuple[int, ...]
    factors: tuple[float, ...]
    form: str
    remarks: tuple[str, ...] = ()

    def point(self, row: Sequence[float]) -> tuple[float, ...]:
        """Hz, dB or ohm and, if known, degrees."""
        values = tuple(row[i] * factor for i, factor in zip(self.columns, self.factors, strict=True))
        if self.form == "as it stands":
            return values
        if self.form == "pascal":
            return (values[0], _level(values[1]), *values[2:])
        both = complex(values[1], values[2])
        size = _level(abs(both)) if self.form == "complex pressure" else abs(both)
        return values[0], size, float(np.degrees(np.angle(both)))


def _level(size: float) -> float:
    return float(20.0 * np.log10(size)) if size > 0.0 else float("-inf")


def _layout(path: str, heading: tuple[int, list[str]], rows: Sequence[_Row], quantity: str) -> _Layout:
    number, words = heading
    width = len(rows[0][1]) if rows else 2
    lower = [word.casefold() for word in words]
    whole = _VALUE.sub(" ", " ".join(lower))
    named = _names_columns(words, width)
    if rows and len(words) * 2 == width and all(map(_kind, lower)):
        expected = f"{len(words)} headings over {width} columns; where commas part decimals, {_PART_OTHERWISE}"
        raise CurveUnreadable(f"{path} line {number}: {expected}")
    kinds = [_kind(word) for word in lower] if named else [""] * width
    _refuse_quantity(path, number, kinds, whole, quantity)
    wanted = ("dB", "value") if quantity == "response" else ("ohm", "value")
    frequency = kinds.index("frequency") if "frequency" in kinds else 0
    texts = lower if named else [whole] * width
    if "real" in kinds and "imaginary" in kinds:
        columns: tuple[int, ...] = (frequency, kinds.index("real"), kinds.index("imaginary"))
    else:
        value = next((i for kind in wanted for i, one in enumerate(kinds) if one == kind), 1 if frequency == 0 else 0)
        phases = [i for i, one in enumerate(kinds) if one == "degrees"]
        phase = next((i for i in phases if i > value), phases[0] if phases else None)
        if phase is None and not any(kinds) and width > 2:
            phase = 2
        columns = (frequency, value) if phase is None else (frequency, value, phase)
    more = width - len(columns)
    remarks = (f"{more} further column{'s are' if more > 1 else ' is'} left out",) if more > 0 else ()
    pascal = quantity == "response" and bool(re.search(r"\bpa\b", texts[columns[1]])) and "db" not in texts[columns[1]]
    parts = "real" in kinds and "imaginary" in kinds
    form = (
        ("complex pressure" if quantity == "response" else "complex")
        if parts
        else "pascal"
        if pascal
        else "as it stands"
    )
    factors = (_times_hz(texts[frequency]), _times(texts[columns[1]], quantity, pascal), *[1.0] * (len(columns) - 2))
    if parts:
        factors = (*factors[:2], factors[1])
    elif len(columns) == 3 and re.search(r"\brad(?:ian)?s?\b", texts[columns[2]]) and "deg" not in texts[columns[2]]:
        factors = (*factors[:2], float(np.degrees(1.0)))
    return _Layout(columns, factors, form, remarks)


def _kind(word: str) -> str:
    return next((kind for kind, pattern in _WORDS.items() if re.search(pattern, word.casefold())), "")


def _times_hz(text: str) -> float:
    return 1e3 if "khz" in text else 1.0 / (2.0 * np.pi) if "rad/s" in text else 1.0


def _times(text: str, quantity: str, pascal: bool) -> float:
    """What a value is multiplied by to become ohm, or a pressure over 20 uPa; levels stay."""
    if quantity == "response":
        return 1.0 / 20e-6 if pascal else 1.0
    return 1e3 if re.search(r"\bk ?ohm", text) else 1e-3 if re.search(r"\b(?:m ?ohm|milli)", text) else 1.0


def _refuse_quantity(path: str, number: int, kinds: Sequence[str], whole: str, quantity: str) -> None:
    """A heading that names only the other quantity."""
    part = next((one for one in ("real", "imaginary") if one in kinds), "")
    if part and not {"real", "imaginary", "dB", "ohm", "value"} & set(kinds) > {part}:
        raise CurveUnreadable(f"{path} line {number}: the heading says the {part} part alone; give both, or the size.")
    line = whole if not any(kinds) and re.search(_WORDS["frequency"], whole) else ""
    said = {kind for kind in ("dB", "ohm") if kind in kinds or re.search(_WORDS[kind], line)}
    own = "dB" if quantity == "response" else "ohm"
    if said and own not in said:
        (other,) = said
        raise CurveUnreadable(f"{path} line {number}: the heading says {other}, and {quantity} is read in {own}.")


# --- what cannot be -------------------------------------------------------------------------------------------------


def _refuse_few(path: str, lines: list[str], count: int) -> None:
    said = [number for number, line in enumerate(lines, 1) if line.strip()]
    if not count and said:
        number = next((one for one in said if lines[one - 1].strip()[:1].isdigit()), said[0])
        raise CurveUnreadable(
            f"{path} line {number}: “{lines[number - 1].strip()[:40]}” is no row of numbers alone, and no other line is one."
        )
    if count < FEWEST_POINTS:
        raise CurveUnreadable(
            f"{path} line {len(lines)}: the file ends here with {count} points; at least {FEWEST_POINTS} are needed."
        )


def _refuse_absurd(path: str, number: int, row: tuple[float, ...], quantity: str) -> None:
    low, high, unit = _BOUNDS[quantity]
    problem = ""
    if any(np.isnan(row)):
        problem = "a number has several decimal signs"
    elif not 1e-2 <= row[0] <= 1e6:
        problem = f"{row[0]:g} Hz is no frequency of a loudspeaker"
    elif not low <= row[1] <= high:
        problem = f"{row[1]:g} {unit} lies outside {low:g} to {high:g}"
    elif len(row) == 3 and not abs(row[2]) <= 1e6:
        problem = f"{row[2]:g} degrees is no phase"
    if problem:
        raise CurveUnreadable(f"{path} line {number}: {problem}.")


def _refuse_kilohertz(path: str, table: Sequence[_Row]) -> None:
    (_, first), (number, last) = table[0], table[-1]
    if last[0] <= 200.0 and first[0] < 2.0:
        raise CurveUnreadable(
            f"{path} line {number}: the file runs from {first[0]:g} to {last[0]:g} Hz, which looks like kHz;"
            " write kHz in its heading, or give Hz."
        )


# --- files at an angle ----------------------------------------------------------------------------------------------

_ANGLE = re.compile(r"(?P<stem>.+)[ _](?P<plane>[hv]) ?(?P<angle>[+-]?[0-9]{1,3}(?:[.,][0-9]+)?)", re.IGNORECASE)
MOST_ANGLES = 74


def angle_of(name: str) -> tuple[str, str, float] | None:
    """What a file's name says of an angle: the name before it, "h" or "v", and degrees; None where it says none.

    >>> angle_of("curves/HD-02 h30.txt"), angle_of("HD-02 v-15.dat"), angle_of("HD-02.txt")
    (('curves/HD-02', 'h', 30.0), ('HD-02', 'v', -15.0), None)
    """
    stem = name[: -len(Path(name).suffix)] if re.fullmatch(r"\.[A-Za-z]+", Path(name).suffix) else name
    found = _ANGLE.fullmatch(stem)
    if found is None:
        return None
    return found["stem"].rstrip(), found["plane"].lower(), float(found["angle"].replace(",", "."))


def at_angles(path: str, root: Path) -> dict[str, tuple[str, float]]:
    """The files beside the response file `path` whose names say an angle: path as the cell has it -> (plane, degrees).

    Their names go on from that of the file on the axis, which may say `h0` itself.
    """
    name = path.strip().replace("\\", "/")
    own = angle_of(name)
    stem = own[0] if own else name[: -len(Path(name).suffix)] if Path(name).suffix else name
    try:
        folder = find_beside(root, name).parent
        names = sorted(entry.name for entry in folder.iterdir() if entry.is_file())
    except (NotBesideError, OSError):
        return {}
    before = name.rpartition("/")[0]
    found: dict[str, tuple[str, float]] = {}
    for entry in names:
        full = f"{before}/{entry}" if before else entry
        said = angle_of(full)
        if said and said[0].casefold() == stem.casefold() and said[2] != 0.0 and len(found) < MOST_ANGLES:
            found[full] = said[1:]
    return found
