"""The five charts of the Curves page, each with the caption that says what to read from it.

Knows the traces of an assessment. Refuses to compute any: it chooses axes, places names, and puts into words.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

import numpy as np

from reportgen.acoustics.frequencies import nearest
from reportgen.paper import wording
from reportgen.paper.drawings import WIDTH, Pen, Picture
from reportgen.paper.lettering import Box, Label, Room, dense, text_width
from reportgen.paper.measuredmarks import mark_measured, words
from reportgen.paper.scales import (
    Points,
    Scale,
    frequency_figure,
    frequency_ticks,
    linear_ticks,
    on_paper,
    round_step,
    trace,
    visible,
)

if TYPE_CHECKING:
    from reportgen.assessment import Assessment
    from reportgen.pairing.network import Curves, Electrical

HALF = 247.0
"""Width of a chart that shares its row with another (points)."""

TALL, LOW = 186.0, 152.0
SIZE = 6.5
SAMPLE = 13.0
"""Length of the piece of line before a trace's name (points)."""


@dataclass(frozen=True, slots=True)
class Chart:
    """One chart of the page: heading, picture, and what to read from it."""

    heading: str
    picture: Picture
    caption: str


@dataclass(frozen=True, slots=True)
class _Field:
    """The inside of a chart while it is being drawn."""

    pen: Pen
    x: Scale
    y: Scale
    room: Room

    @property
    def box(self) -> Box:
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
        """Write a trace's name beside it, with a piece of its line in front, at `between` on the x axis if it can be."""
        width, height = SAMPLE + 3.0 + text_width(text, SIZE, letters == "strong"), SIZE * 1.15
        wanted = []
        for px, py in self._along(pieces, between):
            wanted += [(px - width / 2.0, py - height - 2.5), (px - width / 2.0, py + 2.5)]
            wanted += [(px + 4.0, py - height / 2.0), (px - width - 4.0, py - height / 2.0)]
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


def _field(width: float, height: float, x: Scale, y: Scale) -> _Field:
    pen = Pen(width, height)
    return _Field(pen, x, y, Room(Box(x.start, y.end, x.end, y.start)))


def _frequency_scale(width: float, low: float, high: float, right: float = 7.0) -> Scale:
    return Scale(low, high, 24.0, width - right, log=True)


def _frequency_grid(field: _Field) -> None:
    figures, lines = frequency_ticks(field.x.low, field.x.high)
    for hz in lines:
        field.pen.line("grid", (field.x.at(hz), field.y.start), (field.x.at(hz), field.y.end))
    for hz in figures:
        field.pen.line("grid-strong", (field.x.at(hz), field.y.start), (field.x.at(hz), field.y.end))
    written: Label | None = None
    for hz in reversed(figures):
        text = wording.hertz(hz) if hz == figures[-1] else frequency_figure(hz)
        label = Label("faint", round(field.x.at(hz), 1), round(field.y.start + 9.5, 1), text, SIZE, "middle")
        whole = Box(0.0, 0.0, field.pen.width, field.pen.height)
        if label.box.right > whole.right:
            label = Label("faint", whole.right - 0.5, label.y, text, SIZE, "end")
        if written is None or not written.box.grown(1.5).meets(label.box):
            field.pen.labels.append(label)
            written = label


def _level_grid(field: _Field, step: float, unit: str, figures: Sequence[float] | None = None) -> None:
    ticks = linear_ticks(field.y.low, field.y.high, step)
    for value in ticks:
        field.pen.line("grid", (field.x.start, field.y.at(value)), (field.x.end, field.y.at(value)))
    for value in figures if figures is not None else ticks:
        text = wording.number(value)
        field.pen.write("faint", field.x.start - 3.0, field.y.at(value) + 2.3, text, SIZE, "end")
    field.pen.write("faint", 0.0, field.y.end - 5.0, unit, SIZE)


def _frame(field: _Field) -> None:
    box = field.box
    field.pen.rect("frame", box.left, box.top, box.right - box.left, box.bottom - box.top)


def _mark_crossover(field: _Field, crossover_hz: float) -> None:
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


def _crossover(found: Assessment) -> float:
    """The crossover the design was made for (Hz)."""
    if found.design is not None:
        return found.design.crossover_hz
    return found.crossover_hz or 2000.0


def response_chart(found: Assessment, curves: Curves) -> Chart:
    """On-axis level of both branches and their sum, against the target, and the sum with one driver reversed."""
    fc = _crossover(found)
    finite = [v for v in (*curves.sum_db, *curves.target_db) if math.isfinite(v)] or [90.0]
    top = 5.0 * math.ceil((max(finite) + 2.5) / 5.0)
    hz = curves.frequency_hz
    field = _field(WIDTH, TALL, _frequency_scale(WIDTH, hz[0], hz[-1]), Scale(top - 45.0, top, TALL - 15.0, 12.0))
    _frequency_grid(field)
    _level_grid(field, 5.0, "dB SPL", linear_ticks(top - 45.0, top, 10.0))
    _mark_crossover(field, fc)
    mark_measured(field.pen, field.x, field.y, field.room, found.case)
    if found.spread is not None:
        _band(field, found.spread.frequency_hz, found.spread.low_db, found.spread.high_db)
    drawn = {
        "target": field.plot("target", hz, curves.target_db),
        "reversed": field.plot("reversed", hz, curves.reversed_db),
        "low": field.plot("low", hz, curves.low_db),
        "high": field.plot("high", hz, curves.high_db),
        "sum": field.plot("sum", hz, curves.sum_db),
    }
    names = (
        ("sum", "sum", "strong", (hz[0], fc / 2.0)),
        ("low", "low driver", "word", (fc, fc * 6.0)),
        ("high", "high driver", "word", (fc / 6.0, fc)),
        ("reversed", "one driver reversed", "word", (fc / 2.0, fc * 2.0)),
        ("target", "target", "word", (hz[0], fc / 2.0)),
    )
    for ink, text, letters, between in names:
        field.name(ink, text, drawn[ink], letters, between)
    _frame(field)
    design = found.design
    near = (
        f" Within an octave of the crossover the sum keeps to {wording.fixed(abs(design.sum_worst_db), 1)} dB of the target; "
        f"with one driver reversed it falls by {wording.number(abs(design.null_db), 2)} dB." if design is not None else ""
    )  # fmt: skip
    builds = " Grey: where nine builds in ten lie." if found.spread is not None else ""
    caption = (
        f"The heavy line should follow the dotted target through the crossover.{builds} A deep, centred notch in the "
        f"“one driver reversed” line shows that both drivers arrive together.{near}{words(found.case)}"
    )
    return Chart("On-axis response at the seat, 2.83 V", field.pen.picture(_alt_response(curves, fc)), caption)


def _band(field: _Field, hz: Sequence[float], low_db: Sequence[float], high_db: Sequence[float]) -> None:
    """The strip between two traces, filled."""
    edges = [
        np.clip(on_paper(field.x, field.y, hz, db), [field.x.start, field.y.end], [field.x.end, field.y.start])
        for db in (high_db, low_db)
    ]
    if min(len(edge) for edge in edges) > 1:
        field.pen.shape("spread", *edges[0].tolist(), *edges[1][::-1].tolist())


def _alt_response(curves: Curves, fc: float) -> str:
    at = int(nearest(curves.frequency_hz, fc))
    return (
        f"Level over frequency of the low driver, the high driver, their sum, the target, and the sum with one driver reversed. "
        f"At the crossover, {wording.hertz(fc)}: low {wording.fixed(curves.low_db[at], 1)} dB, "
        f"high {wording.fixed(curves.high_db[at], 1)} dB, sum {wording.fixed(curves.sum_db[at], 1)} dB."
    )


def impedance_chart(curves: Curves, electrical: Electrical | None, crossover_hz: float) -> Chart:
    """Modulus and phase of what the amplifier sees, with its lowest point."""
    ohm = [z for z in curves.impedance_ohm if math.isfinite(z)] or [8.0]
    step = round_step(min(max(ohm) * 1.12, 80.0), 5)
    top = step * math.ceil(min(max(ohm) * 1.12, 80.0) / step)
    hz = curves.frequency_hz
    field = _field(HALF, LOW, _frequency_scale(HALF, hz[0], hz[-1], right=21.0), Scale(0.0, top, LOW - 15.0, 12.0))
    _frequency_grid(field)
    _level_grid(field, step, "Ω")
    turn = Scale(-90.0, 90.0, field.y.start, field.y.end)
    for value in (-90.0, -45.0, 0.0, 45.0, 90.0):
        field.pen.write("faint", HALF, turn.at(value) + 2.3, f"{wording.number(value)}°", SIZE, "end")
    phase = field.plot("phase", hz, [math.degrees(p) for p in curves.impedance_phase_rad], turn)
    modulus = field.plot("sum", hz, curves.impedance_ohm)
    caption = "Solid: what the amplifier has to drive; dashed: phase, by the right-hand scale. "
    if electrical is not None:
        x, y = field.x.at(electrical.minimum_hz), field.y.at(electrical.minimum_ohm)
        if field.x.holds(electrical.minimum_hz):
            field.pen.ellipse("dot", x, y, 2.0)
            field.note(
                f"{wording.with_unit(electrical.minimum_ohm, 'ohm', 2)} at {wording.hertz(electrical.minimum_hz)}",
                (x, y),
            )
        caption += _load_words(electrical)
    field.name("sum", "modulus", modulus)
    field.name("phase", "phase", phase)
    _frame(field)
    alt = f"Impedance modulus and phase over frequency; crossover {wording.hertz(crossover_hz)}. {caption}"
    return Chart("Impedance at the terminals", field.pen.picture(alt), caption)


def _load_words(electrical: Electrical) -> str:
    lowest = f"Lowest {wording.with_unit(electrical.minimum_ohm, 'ohm')} at {wording.hertz(electrical.minimum_hz)}"
    rated = (
        f"; that allows a rating of {wording.with_unit(electrical.rated_ohm, 'ohm')}"
        if electrical.rated_ohm
        else "; that is below every customary rating"
    )
    return f"{lowest}{rated}. Largest phase {wording.degrees(electrical.largest_phase_rad)}."


def _chosen(count: int, most: int) -> list[int]:
    return sorted({round(float(i)) for i in np.linspace(0, count - 1, min(count, most))})


def vertical_chart(curves: Curves) -> Chart:
    """Level over the vertical angle at some frequencies, up being up, with the seated and the standing ear."""
    angle = np.degrees(np.asarray(curves.vertical_angle_rad))
    seated, standing = math.degrees(curves.seated_angle_rad), math.degrees(curves.standing_angle_rad)
    bound = min(float(np.max(np.abs(angle))), max(25.0, 5.0 * math.ceil((abs(standing) + 8.0) / 5.0)))
    field = _field(HALF, LOW, Scale(-24.0, 6.0, 24.0, HALF - 7.0), Scale(-bound, bound, LOW - 15.0, 12.0))
    _level_grid(field, round_step(2.0 * bound, 6), "angle °")
    for value in linear_ticks(-24.0, 6.0, 6.0):
        field.pen.line(
            "grid-strong" if value == 0 else "grid",
            (field.x.at(value), field.y.start),
            (field.x.at(value), field.y.end),
        )
        text = wording.number(value) + (" dB" if value == 6.0 else "")
        anchor = "end" if value == 6.0 else "middle"
        at = field.x.at(value) + (6.5 if value == 6.0 else 0.0)
        field.pen.write("faint", at, field.y.start + 9.5, text, SIZE, anchor)  # type: ignore[arg-type]
    drawn = []
    for ink, index in enumerate(_chosen(len(curves.vertical_hz), 5), 1):
        level = np.asarray(curves.vertical_db[index])
        relative = level - np.interp(curves.seated_angle_rad, curves.vertical_angle_rad, level)
        drawn.append(
            (
                f"trace-{ink}",
                wording.hertz(curves.vertical_hz[index]),
                field.plot(f"trace-{ink}", relative.tolist(), angle.tolist()),
            )
        )
    _ears(field, seated, standing)
    for name, text, pieces in drawn:
        field.name(name, text, pieces, between=(-22.0, -2.0))
    _frame(field)
    caption = (
        "Each line: how the level changes as the ear moves up or down at the listening distance; 0 dB is the seated ear. "
        f"A line that swings left past −6 dB is a hole at that height. Standing: {wording.number(standing, 2)}°."
    )
    return Chart("Vertical coverage", field.pen.picture(f"Level over vertical angle. {caption}"), caption)


def _ears(field: _Field, seated: float, standing: float) -> None:
    apart = abs(field.y.at(seated) - field.y.at(standing)) > SIZE * 1.4
    ears = ((seated, "seated ear"), (standing, "standing ear")) if apart else ((seated, "seated and standing ear"),)
    for degrees, text in ears:
        if not field.y.holds(degrees):
            continue
        y = field.y.at(degrees)
        field.pen.line("seat", (field.x.start, y), (field.x.end, y))
        width, height = text_width(text, SIZE, heavy=True), SIZE * 1.15
        box = field.room.place(width, height, [(field.x.start + 3.0, y - height - 1.0), (field.x.start + 3.0, y + 1.5)])
        if box is not None:
            field.pen.write("strong", box.left, box.bottom - SIZE * 0.27, text, SIZE)


def directivity_chart(curves: Curves, crossover_hz: float) -> Chart:
    """Directivity index of both drivers and of the sum across the crossover."""
    low, high = max(curves.frequency_hz[0], crossover_hz / 8.0), min(curves.frequency_hz[-1], crossover_hz * 8.0)
    hz = np.asarray(curves.frequency_hz)
    inside = (hz >= low * 0.9) & (hz <= high * 1.1)
    groups = [np.asarray(group)[inside] for group in (curves.low_index_db, curves.high_index_db, curves.sum_index_db)]
    finite = np.concatenate(groups)
    finite = finite[np.isfinite(finite)]
    top = 2.0 * math.ceil((min(float(np.max(finite, initial=10.0)), 24.0) + 1.0) / 2.0)
    field = _field(HALF, LOW, _frequency_scale(HALF, low, high), Scale(0.0, top, LOW - 15.0, 12.0))
    _frequency_grid(field)
    _level_grid(field, round_step(top, 6), "dB")
    _mark_crossover(field, crossover_hz)
    across = hz[inside].tolist()
    drawn = [field.plot(ink, across, group.tolist()) for ink, group in zip(("low", "high", "sum"), groups, strict=True)]
    for ink, text, pieces in zip(("low", "high", "sum"), ("low driver", "high driver", "both"), drawn, strict=True):
        field.name(ink, text, pieces, "strong" if ink == "sum" else "word")
    _frame(field)
    at = int(nearest(hz, crossover_hz))
    step = abs(curves.low_index_db[at] - curves.high_index_db[at])
    caption = (
        "The higher the line, the narrower the sound. The heavy line should climb without a jump: at the crossover the "
        f"two drivers differ by {wording.fixed(step, 1)} dB."
    )
    return Chart("Directivity index", field.pen.picture(f"Directivity index over frequency. {caption}"), caption)


def level_chart(curves: Curves, crossover_hz: float, distance_m: float) -> Chart:
    """Highest level over frequency, and what limits it where."""
    finite = [v for v in curves.max_level_db if math.isfinite(v)] or [100.0]
    top = 5.0 * math.ceil((max(*finite, curves.wanted_level_db) + 3.0) / 5.0)
    bottom = 5.0 * math.floor((max(min(finite), top - 45.0) - 6.0) / 5.0)
    field = _field(
        HALF,
        LOW,
        _frequency_scale(HALF, curves.frequency_hz[0], curves.frequency_hz[-1]),
        Scale(bottom, top, LOW - 15.0, 12.0),
    )
    _frequency_grid(field)
    _level_grid(field, round_step(top - bottom, 6), "dB SPL")
    _mark_crossover(field, crossover_hz)
    key = _causes(field, curves)
    reached = field.plot("sum", curves.frequency_hz, curves.max_level_db)
    wanted = field.plot("wanted", (field.x.low, field.x.high), (curves.wanted_level_db, curves.wanted_level_db))
    field.room.avoid(
        np.column_stack(
            [np.linspace(field.x.start, field.x.end, 200), np.full(200, field.y.at(curves.wanted_level_db))]
        )
    )
    field.name("sum", "reached", reached, "strong")
    field.name("wanted", f"wanted, {wording.number(curves.wanted_level_db)} dB", wanted)
    _frame(field)
    caption = (
        f"Loudest clean tone at {wording.number(distance_m)} m. Where the heavy line runs under the dashed one, the wish is not met. "
        f"What ends it, along the foot: {'; '.join(f'{letter} {cause}' for cause, letter in key.items())}."
    )
    return Chart("Highest level", field.pen.picture(f"Highest level over frequency. {caption}"), caption)


def _causes(field: _Field, curves: Curves) -> dict[str, str]:
    """The strip along the foot that says what limits the level where; letter of each cause, in order."""
    height = 9.0
    key: dict[str, str] = {}
    position = 0
    runs: list[tuple[float, float, str]] = []
    hz = curves.frequency_hz
    for cause, group in groupby(curves.max_level_cause):
        last = position + len(list(group)) - 1
        left = field.x.at(hz[position]) if position else field.x.start
        right = field.x.at(hz[last + 1]) if last + 1 < len(hz) else field.x.end
        if runs and (right - left < 3.0 or runs[-1][2] == cause):
            runs[-1] = (runs[-1][0], right, runs[-1][2])
        else:
            runs.append((left, right, cause))
        position = last + 1
    for left, right, cause in runs:
        letter = key.setdefault(cause, "abcdefghijklmnopqrstuvwxyz"[min(len(key), 25)])
        band = f"band-{list(key).index(cause) % 4 + 1}"
        field.pen.rect(band, left, field.y.start - height, right - left, height)
        if text_width(letter, SIZE, heavy=True) + 2.0 <= right - left:
            field.pen.write("strong", (left + right) / 2.0, field.y.start - 2.4, letter, SIZE, "middle")
    field.room.taken.append(Box(field.x.start, field.y.start - height, field.x.end, field.y.start))
    return key


def all_charts(found: Assessment) -> tuple[Chart, ...]:
    """The five charts in the order of the page; empty without curves."""
    curves = found.curves
    if curves is None:
        return ()
    fc = _crossover(found)
    return (
        response_chart(found, curves),
        impedance_chart(curves, found.electrical, fc),
        vertical_chart(curves),
        directivity_chart(curves, fc),
        level_chart(curves, fc, found.case.pairing.distance_m),
    )
