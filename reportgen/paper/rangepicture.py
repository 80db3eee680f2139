"""The usable range as a picture: one frequency line, every limit a bar from its side, the crossover marked.

Knows limits and the range they leave. Refuses to judge: it draws what the suitability rooms found.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from reportgen.paper import wording
from reportgen.paper.drawings import WIDTH, Pen, Picture
from reportgen.paper.lettering import Box, Label, shortened, text_width
from reportgen.paper.scales import Scale, frequency_figure, frequency_ticks
from reportgen.suitability.limits import Limit
from reportgen.suitability.verdict import UsableRange

ROW, BAR = 12.0, 10.0
HEAD, FOOT = 27.0, 17.0
SIZE = 7.0
FARTHEST = 8.0
STUB = 34.0
"""Length of the bar of a limit that could not be worked out (points)."""
WIDER, TRIES = 1.1, 24
"""A side of the axis grows in such steps, so often at most (the last one ten times as wide), until its words have room."""


@dataclass(frozen=True, slots=True)
class _Bar:
    """One limit on paper: where its bar lies, where its words stand, and the room both take, without a row yet."""

    limit: Limit
    left: float
    right: float
    text: str
    text_x: float
    anchor: str
    inside: bool
    binding: bool

    @property
    def taken(self) -> tuple[float, float]:
        """Left and right end of bar and words together."""
        width = text_width(self.text, SIZE, heavy=True)
        start = self.text_x if self.anchor == "start" else self.text_x - width
        return min(self.left, start) - 3.0, max(self.right, start + width) + 3.0


def common_axis(
    frequencies: Iterable[float | None], start: float, end: float, shown: Iterable[float | None] = ()
) -> Scale:
    """A logarithmic axis around `frequencies` (Hz) with nearly an octave to spare, two octaves at least.

    What lies further than three octaves from the middle one stands at the edge, so that the others keep room; but for what must be `shown`.
    """
    known = sorted(hz for hz in frequencies if hz is not None and math.isfinite(hz) and hz > 0.0) or [2000.0]
    middle, whole = known[len(known) // 2], [hz for hz in shown if hz]
    low = min([max(known[0] / 1.8, middle / FARTHEST), *(hz / 1.8 for hz in whole)])
    high = max([min(known[-1] * 1.8, middle * FARTHEST), *(hz * 1.8 for hz in whole)])
    widen = max(1.0, math.sqrt(4.0 / (high / low)))
    return Scale(low / widen, high * widen, start, end, log=True)


def range_words(found: UsableRange) -> str:
    """The range in words: from, to, and its width in octaves."""
    if found.octaves is None:
        return (
            f"usable {wording.span(found.low_hz, found.high_hz)}"
            if (found.low_hz or found.high_hz)
            else "no limit known"
        )
    if found.empty:
        return f"no usable range: the limits overlap by {wording.fixed(-found.octaves, 2)} octave"
    return f"usable {wording.span(found.low_hz, found.high_hz)}, {wording.fixed(found.octaves, 2)} octave"


def _bar(limit: Limit, axis: Scale, found: UsableRange) -> _Bar:
    low = limit.side == "low"
    known = limit.hz is not None and limit.hz > 0.0
    end = axis.at(limit.hz or 1.0) if known else axis.start + STUB if low else axis.end - STUB
    end = min(max(end, axis.start + 2.0), axis.end - 2.0)
    left, right = (axis.start, end) if low else (end, axis.end)
    binding = limit in (found.low_binding, found.high_binding)
    figure = wording.hertz(limit.hz) if known else "not assessed"
    room = (axis.end - axis.start) / 2.0 - STUB - text_width(f" {figure}", SIZE, heavy=True)
    text = f"{shortened(limit.title, SIZE, room, heavy=True)} {figure}"
    inside = known and text_width(text, SIZE, heavy=True) + 6.0 <= right - left
    at, anchor = (end - 3.0, "end") if low == inside else (end + 3.0, "start")
    return _Bar(limit, left, right, text, at, anchor, inside, binding)


def _roomy_axis(limits: Sequence[Limit], found: UsableRange, crossover_hz: float | None, width: float) -> Scale:
    """The axis around all limits, wider on a side whose words would stand over the range or the crossover."""
    shown = [hz for hz in (found.low_hz, found.high_hz, crossover_hz) if hz]
    axis = common_axis([*(limit.hz for limit in limits), crossover_hz], 1.0, width - 1.0, shown)
    for _ in range(TRIES if shown else 0):
        beside = [bar for bar in (_bar(limit, axis, found) for limit in limits) if not bar.inside]
        over_low = any(bar.limit.side == "low" and bar.taken[1] > axis.at(min(shown)) for bar in beside)
        over_high = any(bar.limit.side == "high" and bar.taken[0] < axis.at(max(shown)) for bar in beside)
        if not (over_low or over_high):
            break
        low, high = (axis.low / WIDER if over_low else axis.low), (axis.high * WIDER if over_high else axis.high)
        axis = Scale(low, high, axis.start, axis.end, log=True)
    return axis


def _rows(limits: Sequence[Limit], axis: Scale, found: UsableRange) -> list[list[_Bar]]:
    """Bars by row: the binding ones on top, a low and a high one in one row where both have room."""
    lows = sorted((x for x in limits if x.side == "low"), key=lambda x: (x.hz is None, -(x.hz or 0.0)))
    highs = sorted((x for x in limits if x.side == "high"), key=lambda x: (x.hz is None, x.hz or 0.0))
    rows = [[_bar(limit, axis, found)] for limit in lows]
    free = 0
    for limit in highs:
        bar = _bar(limit, axis, found)
        place = next((i for i in range(free, len(rows)) if rows[i][-1].taken[1] <= bar.taken[0]), None)
        if place is None:
            rows.append([bar])
            free = len(rows)
        else:
            rows[place].append(bar)
            free = place + 1
    return rows


def _draw_field(pen: Pen, axis: Scale, bottom: float, found: UsableRange, crossover_hz: float | None) -> None:
    figures, lines = frequency_ticks(axis.low, axis.high)
    if found.octaves is not None and found.low_hz and found.high_hz:
        left, right = sorted((axis.at(found.low_hz), axis.at(found.high_hz)))
        field = Box(left, HEAD - 3.0, right, bottom)
        if found.empty:
            hatched(pen, "hairline", field, 6.0)
        else:
            pen.rect("range", field.left, field.top, field.right - field.left, field.bottom - field.top)
    for hz in lines:
        pen.line("grid", (axis.at(hz), HEAD), (axis.at(hz), bottom))
    for hz in figures:
        pen.line("grid-strong", (axis.at(hz), HEAD), (axis.at(hz), bottom + 3.0))
    pen.line("frame", (axis.start, bottom), (axis.end, bottom))
    if crossover_hz is not None:
        pen.line("chosen", (axis.at(crossover_hz), HEAD - 3.0), (axis.at(crossover_hz), bottom))


def _draw_figures(pen: Pen, axis: Scale, bottom: float) -> None:
    figures, _ = frequency_ticks(axis.low, axis.high)
    taken = Box(axis.start, bottom, axis.start, bottom)
    unit = Label("faint", axis.end, bottom + 12.0, "Hz", SIZE, "end")
    for hz in figures:
        label = Label("faint", axis.at(hz), bottom + 12.0, frequency_figure(hz), SIZE, "middle")
        field = Box(0.0, bottom, unit.box.left - 2.0, bottom + FOOT)
        if label.box.inside(field) and not label.box.grown(2.0).meets(taken):
            pen.labels.append(label)
            taken = label.box
    pen.labels.append(unit)


def _draw_bar(pen: Pen, bar: _Bar, axis: Scale, top: float) -> None:
    ink = "bar-unknown" if bar.limit.hz is None else "bar-binding" if bar.binding else "bar"
    pen.rect(ink, bar.left, top, bar.right - bar.left, BAR)
    letters = "word" if not bar.binding else "reversed-strong" if bar.inside else "strong"
    label = pen.write(letters, bar.text_x, top + BAR - 2.7, bar.text, SIZE, bar.anchor)  # type: ignore[arg-type]
    if not bar.inside:
        box = label.box
        pen.rect("paper", box.left - 1.0, top + 0.5, box.right - box.left + 2.0, BAR - 1.0)
    if bar.limit.spread_hz is not None and bar.limit.hz is not None:
        ends = [min(max(axis.at(hz), axis.start), axis.end) for hz in bar.limit.spread_hz]
        pen.line("hairline", (ends[0], top + BAR + 1.0), (ends[1], top + BAR + 1.0))


def _head_label(pen: Pen, axis: Scale, ink: str, x: float, y: float, text: str, size: float) -> None:
    half = text_width(text, size, heavy=True) / 2.0
    pen.write(ink, min(max(x, axis.start + half), axis.end - half), y, text, size, "middle")


def range_picture(
    limits: Sequence[Limit], found: UsableRange, crossover_hz: float | None, width: float = WIDTH
) -> Picture:
    """The front page's picture: all limits, the range between the two that bind, and f_c (Hz; None: none chosen)."""
    axis = _roomy_axis(limits, found, crossover_hz, width)
    rows = _rows(limits, axis, found)
    bottom = HEAD + 2.0 + ROW * max(len(rows), 1)
    pen = Pen(width, bottom + FOOT)
    _draw_field(pen, axis, bottom, found, crossover_hz)
    for index, row in enumerate(rows):
        for bar in row:
            _draw_bar(pen, bar, axis, HEAD + 1.0 + index * ROW)
    if crossover_hz is not None:
        _head_label(pen, axis, "strong", axis.at(crossover_hz), 9.0, f"crossover {wording.hertz(crossover_hz)}", 9.0)
    bounds = [axis.at(hz) for hz in (found.low_hz, found.high_hz) if hz is not None]
    middle = sum(bounds) / len(bounds) if bounds else width / 2.0
    _head_label(pen, axis, "strong", middle, 20.5, range_words(found), 7.5)
    _draw_figures(pen, axis, bottom)
    return pen.picture(_in_words(limits, found, crossover_hz))


def _in_words(limits: Sequence[Limit], found: UsableRange, crossover_hz: float | None) -> str:
    def listed(side: str) -> str:
        chosen = [limit for limit in limits if limit.side == side]
        return "; ".join(f"{x.title} {wording.hertz(x.hz) if x.hz else 'not assessed'}" for x in chosen) or "none"

    at = f" Crossover {wording.hertz(crossover_hz)}." if crossover_hz is not None else ""
    return f"{wording.sentence(range_words(found))}{at} Limits from below: {listed('low')}. Limits from above: {listed('high')}."


STRIP_HEIGHT = 16.0


def axis_strip(axis: Scale, width: float) -> Picture:
    """The frequency figures over a column of range strips."""
    pen = Pen(width, FOOT)
    pen.line("frame", (axis.start, FOOT - 1.0), (axis.end, FOOT - 1.0))
    for hz in frequency_ticks(axis.low, axis.high)[0]:
        pen.line("grid-strong", (axis.at(hz), FOOT - 4.0), (axis.at(hz), FOOT - 1.0))
    _draw_figures(pen, axis, -4.0)
    return pen.picture(f"Frequency axis from {wording.hertz(axis.low)} to {wording.hertz(axis.high)}")


def range_strip(axis: Scale, found: UsableRange, crossover_hz: float | None, width: float) -> Picture:
    """One pairing's range on a common axis, without words: a bar, or the overlap hatched, and f_c as a line.

    What lies beyond the axis stands at its edge.
    """
    pen = Pen(width, STRIP_HEIGHT)
    for hz in frequency_ticks(axis.low, axis.high)[0]:
        pen.line("grid", (axis.at(hz), 0.0), (axis.at(hz), STRIP_HEIGHT))
    pen.line("frame", (axis.start, STRIP_HEIGHT / 2.0), (axis.end, STRIP_HEIGHT / 2.0))
    ends = (axis.at(found.low_hz or axis.low), axis.at(found.high_hz or axis.high))
    left, right = min(max(min(ends), axis.start), axis.end - 2.0), max(min(max(ends), axis.end), axis.start + 2.0)
    if found.empty:
        hatched(pen, "hairline", Box(left, 5.0, right, STRIP_HEIGHT - 5.0))
    elif found.low_hz or found.high_hz:
        pen.rect("bar-binding", left, 5.0, right - left, STRIP_HEIGHT - 10.0)
    if crossover_hz is not None and axis.holds(crossover_hz):
        x = axis.at(crossover_hz)
        pen.shape("pointer", (x - 3.5, 0.0), (x + 3.5, 0.0), (x, 5.0))
        pen.shape("pointer", (x - 3.5, STRIP_HEIGHT), (x + 3.5, STRIP_HEIGHT), (x, STRIP_HEIGHT - 5.0))
    at = f", crossover {wording.hertz(crossover_hz)}" if crossover_hz is not None else ""
    words = f"{range_words(found)}{at}"
    return pen.picture(words[0].upper() + words[1:])


def hatched(pen: Pen, ink: str, box: Box, step: float = 4.0) -> None:
    """Outline and slanting lines: a field that cannot be used, told without colour."""
    height = box.bottom - box.top
    pen.rect(ink, box.left, box.top, box.right - box.left, height)
    offset = box.left - height + step
    while offset < box.right:
        start, end = max(offset, box.left), min(offset + height, box.right)
        pen.line(ink, (start, box.bottom - (start - offset)), (end, box.bottom - (end - offset)))
        offset += step
