"""The summary of a run: a row a pairing, and the usable ranges as a chart.

Knows which figures tell one pairing from another. Refuses to know how any of them was found.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from itertools import chain
from typing import Any, Final
from urllib.parse import quote, unquote

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from reportgen.assessment import Outline
from reportgen.catalogue.currencies import sheet_format
from reportgen.catalogue.records import Case, Maker
from reportgen.ledger import layout
from reportgen.ledger.archive import Packer
from reportgen.ledger.entries import NOT_ASSESSED
from reportgen.ledger.layout import AS_LONG_AS_IT_IS, NONE, Head, Shown, or_none
from reportgen.ledger.rangechart import SERIES, range_chart
from reportgen.ledger.stamp import RunStamp
from reportgen.pairing.figures import Figures
from reportgen.pairing.heat import at_most_w
from reportgen.problems import Unassessed

_HZ: Final = "0"
_CHART_ROWS: Final = 28
"""Rows that the chart covers, with those left free above it."""


def heads(currency: str) -> tuple[Head, ...]:
    """The columns of the summary: what is printed, then what tells kits apart, a fact a column; the last ones are hidden and feed the chart."""
    return (
        Head("ID", 9, "@", strong=True), Head("Kit", 13, wrap=True), Head("Season", 10, wrap=True),
        Head("Verdict", 14, wrap=True, marked=True), Head("First reason", 36, wrap=True),
        Head("Range from (Hz)", 9, _HZ), Head("Range to (Hz)", 9, _HZ), Head("Width (octave)", 10, "0.00"),
        Head("Crossover (Hz)", 11, _HZ), Head("Crossover is", 9, centred=True), Head("Bound from below by", 14, wrap=True),
        Head("Bound from above by", 14, wrap=True), Head(f"Price of one ({currency})", 9, sheet_format(currency)),
        Head("Lowest ohm", 9, "0.0"), Head("Sum off by (dB)", 10, "0.0"), Head("Good builds", 9, "0%"),
        Head("Sheet", 20, wrap=True), Head("Inputs", 23, "@"),
        *(Head(text, 12, form, wrap=form == _WORDS) for text, form, _ in (*_SETTING, *_FIGURES)),
        Head(f"Network ({currency})", 12, sheet_format(currency)), Head(f"Kit ({currency})", 12, sheet_format(currency)),
        *(Head(text, 11, _HZ, hidden=True) for text in SERIES),
    )  # fmt: skip


_WORDS: Final = "@"

_SETTING: Final[tuple[tuple[str, str, Callable[[Case], Any]], ...]] = (
    ("Low driver", _WORDS, lambda case: case.low.id), ("Low count", "0", lambda case: case.pairing.low_count),
    ("High driver", _WORDS, lambda case: case.high.id), ("High count", "0", lambda case: case.pairing.high_count),
    ("Kind of high driver", _WORDS, lambda case: case.technology.id),
    ("Waveguide", _WORDS, lambda case: case.guide.id if case.guide else None),
    ("Cabinet", _WORDS, lambda case: case.cabinet.id), ("Kind of cabinet", _WORDS, lambda case: case.cabinet.kind),
    ("Net volume (L)", "0.0", lambda case: _times(case.cabinet.net_volume_m3, 1e3)),
    ("Tuning (Hz)", _HZ, lambda case: case.cabinet.tuning_hz if case.cabinet.kind == "vented" else None),
    ("Arrangement", _WORDS, lambda case: case.pairing.arrangement), ("Slope", _WORDS, lambda case: case.pairing.slope),
    ("Surroundings", _WORDS, lambda case: case.pairing.surroundings), ("Decision", _WORDS, lambda case: case.pairing.decision),
)  # fmt: skip
"""What a kit is made of: heading, format, value."""

_FIGURES: Final[tuple[tuple[str, str, Callable[[Figures], Any]], ...]] = (
    ("Sensitivity (dB)", "0.0", lambda one: one.sensitivity_db), ("Corner (Hz)", _HZ, lambda one: one.corner_hz),
    ("Effective from (Hz)", _HZ, lambda one: one.effective_range_hz[0]), ("Effective to (Hz)", _HZ, lambda one: one.effective_range_hz[1]),
    ("Bass off by (dB)", "0.0", lambda one: one.balance_db[0]), ("Treble off by (dB)", "0.0", lambda one: one.balance_db[1]),
    ("Third octaves off by (dB)", "0.0", lambda one: one.evenness_db),
    ("Rated ohm", AS_LONG_AS_IT_IS, lambda one: one.rated_impedance_ohm or None), ("Lowest ohm at (Hz)", _HZ, lambda one: one.least_impedance_hz),
    ("Amplifier from (W)", "0", lambda one: one.amplifier_w[0]),
    ("Amplifier to (W)", AS_LONG_AS_IT_IS, lambda one: None if one.amplifier_w[1] is None else at_most_w(one.amplifier_w[1])),
    ("Highest level (dB)", "0.0", lambda one: one.highest_level_db), ("Highest level ended by", _WORDS, lambda one: one.highest_level_cause),
    ("Pieces", "0", lambda one: one.pieces),
)  # fmt: skip
"""What the finished loudspeaker does."""


def _times(value: float | None, factor: float) -> float | None:
    return None if value is None else value * factor


def write_summary(
    page: Worksheet,
    outlines: Sequence[Outline],
    unassessed: Sequence[Unassessed],
    stamp: RunStamp,
    links: Mapping[str, str],
    checks_rows: Mapping[str, int],
    maker: Maker,
    packer: Packer,
) -> None:
    """Fill the page; `checks_rows` tells the row in which a pairing's checks begin on their own sheet, `packer` names inputs."""
    columns = heads(maker.currency)
    words = [*(one.verdict.word for one in outlines), *(NOT_ASSESSED for _ in unassessed)]
    lines = [stamp.line, _count_line(words)]
    top = layout.write_title(page, stamp.tab("summary"), lines)
    assessed = (_row(one, stamp, links, checks_rows, packer.add(one.case)) for one in outlines)
    rows = chain(assessed, (_gap_row(one, len(columns)) for one in unassessed))
    last = layout.write_table(page, top, columns, rows, f"Run{stamp.number:03d}Summary", long=True)
    layout.set_widths(page, columns)
    width = layout.column_index(columns, "Width (octave)")
    layout.embolden_negative(page, layout.area(width, top + 1, last))
    layout.set_up(page, top, columns[: layout.column_index(columns, "Sheet")], 1, stamp.line, maker.paper, "225577")
    printed = get_column_letter(layout.column_index(columns, "Sheet"))
    page.print_area = f"A1:{printed}{last + (_CHART_ROWS if outlines else 0)}"
    if outlines:
        first_of_chart = layout.column_index(columns, SERIES[0])
        page.add_chart(range_chart(page, top, top + len(outlines), first_of_chart), f"A{last + 3}")
        page.row_breaks.append(Break(id=last + 1))


def _count_line(words: Sequence[str]) -> str:
    counts = Counter(words)
    parts = [f"{layout.SIGNS[word]}: {counts[word]}" for word in layout.SIGNS if counts[word]]
    return f"{len(words)} pairing{'s' if len(words) != 1 else ''}   {'   '.join(parts)}".rstrip()


def _row(a: Outline, stamp: RunStamp, links: Mapping[str, str], checks_rows: Mapping[str, int], key: str) -> list[Any]:
    found, pairing, figures = a.found_range, a.case.pairing, a.figures
    return [
        Shown(a.id, inside=f"'{stamp.tab('checks')}'!A{checks_rows[a.id]}"), pairing.kit, pairing.season,
        layout.SIGNS[a.verdict.word], a.headline,
        *(("none", "none") if found.empty else (or_none(found.low_hz), or_none(found.high_hz))), or_none(found.octaves),
        or_none(a.crossover_hz), "fixed" if a.crossover_fixed else "chosen",
        found.low_binding.title if found.low_binding else NONE, found.high_binding.title if found.high_binding else NONE,
        or_none(a.price), or_none(figures.least_impedance_ohm if figures else None), or_none(a.sum_off_db), or_none(a.good_share),
        _link(links.get(a.id)), key, *(or_none(value(a.case)) for _, _, value in _SETTING),
        *(or_none(value(figures) if figures else None) for _, _, value in _FIGURES),
        *((or_none(figures.network_price), or_none(figures.pair_price)) if figures else (NONE, NONE)),
        *_edges(a),
    ]  # fmt: skip


def _link(path: str | None) -> Shown | str:
    if not path:
        return NONE
    path = path.replace("\\", "/")
    return Shown(unquote(path.rpartition("/")[2]), link=quote(path, safe="/:%~"))


def _edges(a: Outline) -> list[float | None]:
    """What the chart stacks: the lower edge, then the width of the range or, where it is empty, of the gap."""
    low, high = a.found_range.low_hz, a.found_range.high_hz
    if low is None or high is None:
        return [None, None, None, a.crossover_hz]
    return [min(low, high), max(high - low, 0.0), max(low - high, 0.0), a.crossover_hz]


def _gap_row(one: Unassessed, width: int) -> list[Any]:
    row: list[Any] = [one.id, None, None, layout.SIGNS[NOT_ASSESSED], one.text]
    return [*row, *[NONE] * (width - len(row) - len(SERIES)), *[None] * len(SERIES)]
