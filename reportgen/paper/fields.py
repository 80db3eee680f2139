"""The field of a chart while it is being drawn: axes, grids, traces, and names beside them.

Knows points on paper and where there is room for a word. Refuses to know what is plotted.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from reportgen.paper import wording
from reportgen.paper.drawings import Key, Pen, Picture
from reportgen.paper.lettering import Box, Label, Room, dense, text_width
from reportgen.paper.scales import (
    Points,
    Scale,
    frequency_figure,
    frequency_ticks,
    linear_ticks,
    on_paper,
    trace,
    visible,
)

SIZE = 7.0
"""Size of letters in a chart (points)."""

SAMPLE = 13.0
"""Length of the piece of line before a trace's name (points)."""

LEFT, RIGHT, ABOVE, BELOW = 24.0, 7.0, 12.0, 15.0
"""Room around the field of a chart (points)."""


HALF = 247.0
"""Width of a chart that shares its row with another (points)."""


@dataclass(frozen=True, slots=True)
class Chart:
    """One chart of the page: heading, picture, what to read from it, and what its unnamed inks show."""

    heading: str
    picture: Picture
    caption: str
    key: Key = ()


@dataclass(frozen=True, slots=True)
class Field:
    """The inside of a chart while it is being drawn."""

    pen: Pen
    x: Scale
    y: Scale
    room: Room

    @property
    def box(self) -> Box:
        """The rectangle of the field."""
        return Box(self.x.start, self.y.end, self.x.end, self.y.start)

    def plot(self, ink: str, xs: Sequence[float], ys: Sequence[float], y: Scale | None = None) -> list[Points]:
        """Draw a trace, by its own vertical scale if given; its visible pieces."""
        vertical = y or self.y
        pieces = visible(on_paper(self.x, vertical, xs, ys), self.x, vertical)
        self.pen.path(ink, trace(pieces))
        for piece in pieces:
            self.room.avoid(piece)
        return pieces

    def name(
        self,
        ink: str,
        text: str,
        pieces: Sequence[Points],
        letters: str = "word",
        between: tuple[float, float] = (0.0, np.inf),
    ) -> None:
        """Write a trace's name beside it, with a piece of its line in front, at `between` on the x axis if it can be.

        A trace of which nothing is seen has none.
        """
        width, height = SAMPLE + 3.0 + text_width(text, SIZE, letters == "strong"), SIZE * 1.15
        wanted, along = [], self._along(pieces, between)
        if not along:
            return
        for off in (2.5, 6.0, 11.0, 18.0):
            for px, py in along:
                wanted += [(px - width / 2.0, py - height - off), (px - width / 2.0, py + off)]
                wanted += [(px + off + 1.5, py - height / 2.0), (px - width - off - 1.5, py - height / 2.0)]
        box = self.room.place(width, height, wanted)
        if box is not None:
            middle = (box.top + box.bottom) / 2.0
            self._clear(box, SAMPLE + 1.0)
            self.pen.line(ink, (box.left, middle), (box.left + SAMPLE, middle))
            self.pen.write(letters, box.left + SAMPLE + 3.0, box.bottom - SIZE * 0.27, text, SIZE)

    def _along(self, pieces: Sequence[Points], between: tuple[float, float]) -> list[tuple[float, float]]:
        """Places on a trace where its name might stand, those in the middle first."""
        left, right = (self.x.at(max(bound, self.x.low)) if bound < np.inf else self.x.end for bound in between)
        points = np.vstack([dense(piece) for piece in pieces]) if pieces else np.empty((0, 2))
        inside = points[(points[:, 0] >= left) & (points[:, 0] <= right)]
        chosen = inside if len(inside) else points
        return [(float(x), float(y)) for x, y in chosen[_spread(len(chosen), 26)]] if len(chosen) else []

    def note(self, text: str, near: tuple[float, float], ink: str = "strong") -> None:
        """Write a word near a point (points on paper), farther off where a trace would run through it."""
        width, height = text_width(text, SIZE, ink == "strong"), SIZE * 1.15
        x, y = near
        beside = (4.0, -width - 4.0, -width / 2.0, -width - 16.0, -width - 28.0)
        off = [down for step in range(14) for down in (-height - 2.0 - 6.0 * step, 2.0 + 6.0 * step)]
        box = self.room.place(width, height, [(x + across, y + down) for down in off for across in beside])
        if box is not None:
            self._clear(box)
            self.pen.write(ink, box.left, box.bottom - SIZE * 0.27, text, SIZE)

    def _clear(self, box: Box, after: float = 0.0) -> None:
        """White paper under letters, so that the grid does not run through them."""
        self.pen.rect(
            "paper", box.left + after - 1.0, box.top, box.right - box.left - after + 2.0, box.bottom - box.top
        )


def _spread(count: int, most: int) -> list[int]:
    """Up to `most` indices, from the middle outwards, so that names stand where a trace is in full view."""
    indices = sorted(
        {round(i) for i in np.linspace(count * 0.04, count * 0.96 - 1, min(count, most))} & set(range(count))
    )
    return sorted(indices, key=lambda i: abs(i - count / 2.0)) or [0]


def field_of(width: float, height: float, x: Scale, y: Scale) -> Field:
    """An empty field in a picture of that size (points)."""
    pen = Pen(width, height)
    return Field(pen, x, y, Room(Box(x.start, y.end, x.end, y.start)))


def frequency_scale(width: float, low: float, high: float, right: float = RIGHT) -> Scale:
    """A logarithmic axis across a picture of that width."""
    return Scale(low, high, LEFT, width - right, log=True)


def level_height(x: Scale, range_db: float, decade_db: float) -> float:
    """Height (points) of a field of so many dB, one decade of `x` being as long as `decade_db` (IEC 60263: 25 or 50)."""
    decade = (x.end - x.start) / math.log10(x.high / x.low)
    return range_db / decade_db * decade


def frequency_grid(field: Field) -> None:
    """Lines at 1 to 9 of every decade, figures at 1, 2 and 5 where they have room."""
    figures, lines = frequency_ticks(field.x.low, field.x.high)
    for hz in lines:
        field.pen.line("grid", (field.x.at(hz), field.y.start), (field.x.at(hz), field.y.end))
    for hz in figures:
        field.pen.line("grid-strong", (field.x.at(hz), field.y.start), (field.x.at(hz), field.y.end))
    written: Label | None = None
    for hz in reversed(figures):
        text = frequency_figure(hz)
        if hz == figures[-1]:
            text = wording.with_unit(hz / 1e3, "kHz") if hz >= 1e3 else wording.hertz(hz)
        label = Label("faint", round(field.x.at(hz), 1), round(field.y.start + 9.5, 1), text, SIZE, "middle")
        whole = Box(0.0, 0.0, field.pen.width, field.pen.height)
        if label.box.right > whole.right:
            label = Label("faint", whole.right - 0.5, label.y, text, SIZE, "end")
        if written is None or not written.box.grown(1.5).meets(label.box):
            field.pen.labels.append(label)
            written = label


def level_grid(field: Field, step: float, unit: str, figures: Sequence[float] | None = None) -> None:
    """Lines at every `step`, figures at each or at `figures`, the unit above."""
    ticks = linear_ticks(field.y.low, field.y.high, step)
    for value in ticks:
        field.pen.line("grid", (field.x.start, field.y.at(value)), (field.x.end, field.y.at(value)))
    for value in figures if figures is not None else ticks:
        text = wording.number(value)
        field.pen.write("faint", field.x.start - 3.0, field.y.at(value) + 2.3, text, SIZE, "end")
    field.pen.write("faint", 0.0, field.y.end - 5.0, unit, SIZE)


def frame(field: Field) -> None:
    """The edge of the field."""
    box = field.box
    field.pen.rect("frame", box.left, box.top, box.right - box.left, box.bottom - box.top)


def mark_crossover(field: Field, crossover_hz: float) -> None:
    """The crossover as a line, its figure above the field."""
    if not field.x.holds(crossover_hz):
        return
    x = field.x.at(crossover_hz)
    field.pen.line("chosen", (x, field.y.start), (x, field.y.end))
    field.room.avoid(np.array([[x, field.y.start], [x, field.y.end]]))
    text = f"crossover {wording.hertz(crossover_hz)}"
    half = text_width(text, SIZE, heavy=True) / 2.0
    x = min(max(x, field.x.start + half + 40.0), field.x.end - half - 24.0)
    field.pen.write("strong", x, field.y.end - 5.0, text, SIZE, "middle")
