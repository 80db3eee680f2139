"""Charts of level over angle: up and down, and to the sides, near the crossover and at the top of the band.

Knows the arcs of an assessment. Refuses to work out any.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Literal

import numpy as np

from reportgen.pairing.as_used import SIDEWAYS
from reportgen.paper import wording
from reportgen.paper.fields import ABOVE, BELOW, HALF, LEFT, RIGHT, SIZE, Chart, Field, field_of, frame
from reportgen.paper.lettering import text_width
from reportgen.paper.scales import Scale, linear_ticks, round_step

if TYPE_CHECKING:
    from reportgen.catalogue.records import Application
    from reportgen.pairing.curves import Curves

TALL = 138.0
"""Height of these charts (points)."""

BEAMS_DB = 6.0
"""Half the pressure: from this loss inside the wanted window at the top of the band a radiator counts as tall, or wide."""

NEAR = 1.6
"""Arcs within an octave about the crossover lie below so many times its frequency; those from there on belong to the top of the band."""

Plane = Literal["vertical", "horizontal"]
NEAR_INKS, TOP_INKS = ("trace-1", "trace-2", "trace-3"), ("trace-2", "trace-3")


def coverage_charts(curves: Curves, crossover_hz: float, wish: Application) -> Iterator[Chart]:
    """Vertical coverage near the crossover; of a tall radiator also at the top, of a wide one likewise to the sides.

    Where the drivers stand side by side, so do the holes near the crossover: there the sides are drawn as well.
    """
    near = [i for i, hz in enumerate(curves.vertical_hz) if hz < crossover_hz * NEAR]
    top = [i for i in range(len(curves.vertical_hz)) if i not in near]
    yield _chart(curves, "vertical", near, NEAR_INKS, "near the crossover")
    if wish.arrangement in SIDEWAYS:
        yield _chart(curves, "horizontal", near, NEAR_INKS, "near the crossover")
    seated = curves.seated_angle_rad
    if _lost_db(curves.vertical_angle_rad, curves.vertical_db, top, seated, wish.vertical_half_window_rad) > BEAMS_DB:
        yield _chart(curves, "vertical", top, TOP_INKS, "at the top")
    if (
        _lost_db(curves.horizontal_angle_rad, curves.horizontal_db, top, 0.0, wish.horizontal_half_window_rad)
        > BEAMS_DB
    ):
        yield _chart(curves, "horizontal", top, TOP_INKS, "at the top")


def _lost_db(
    angle_rad: Sequence[float],
    levels: Sequence[Sequence[float]],
    which: Sequence[int],
    middle_rad: float,
    half_rad: float,
) -> float:
    """The largest loss (dB) inside the window against its middle, of the arcs `which`; 0 without any."""
    edges = middle_rad + np.linspace(-half_rad, half_rad, 21)
    seen = [np.interp([middle_rad, *edges], angle_rad, levels[i]) for i in which]
    return max((float(one[0] - np.min(one[1:])) for one in seen), default=0.0)


def _chart(curves: Curves, plane: Plane, which: Sequence[int], inks: Sequence[str], where: str) -> Chart:
    upright = plane == "vertical"
    angle = np.degrees(np.asarray(curves.vertical_angle_rad if upright else curves.horizontal_angle_rad))
    levels = curves.vertical_db if upright else curves.horizontal_db
    middle = curves.seated_angle_rad if upright else 0.0
    standing = math.degrees(curves.standing_angle_rad)
    farthest = 5.0 * math.ceil((abs(standing) + 8.0) / 5.0) if upright else 45.0
    bound = min(float(np.max(np.abs(angle))), max(25.0, farthest))
    inside = np.abs(angle) <= bound + 1.5
    y = Scale(-bound, bound, TALL - BELOW, ABOVE)
    field = field_of(HALF, TALL, Scale(-24.0, 6.0, LEFT, HALF - RIGHT), y)
    _grids(field, bound)
    drawn, said = [], []
    for ink, index in zip(inks, which, strict=False):
        level = np.asarray(levels[index])
        relative = level - np.interp(math.degrees(middle), angle, level)
        name = wording.hertz(curves.vertical_hz[index])
        drawn.append((ink, name, field.plot(ink, relative[inside].tolist(), angle[inside].tolist())))
        said.append(_in_words(name, angle, relative))
    if upright:
        _ears(field, math.degrees(curves.seated_angle_rad), standing)
    for ink, name, pieces in drawn:
        field.name(ink, name, pieces, between=(-22.0, -2.0))
    frame(field)
    moves, zero = ("up or down", "the seated ear") if upright else ("to the sides", "the seat")
    stands = f" Standing: {wording.number(standing, 2)}°." if upright else ""
    caption = (
        f"How the level changes as the ear moves {moves} at the listening distance; 0 dB is {zero}. "
        f"A line that swings left past −6 dB is a hole there.{stands}"
    )
    alt = f"{plane.capitalize()} coverage {where}: level over angle. {' '.join(said)} {caption}"
    heading = f"{'Vertical' if upright else 'Sideways'} coverage {where}"
    return Chart(heading, field.pen.picture(alt), caption)


def _in_words(name: str, angle: np.ndarray, relative: np.ndarray) -> str:
    figures = (
        f"{wording.number(a)}° {wording.fixed(float(np.interp(a, angle, relative)), 1)} dB"
        for a in (-20.0, -10.0, 10.0, 20.0)
    )
    return f"{name}: {', '.join(figures)}."


def _grids(field: Field, bound: float) -> None:
    for degrees in linear_ticks(-bound, bound, round_step(2.0 * bound, 6)):
        field.pen.line("grid", (field.x.start, field.y.at(degrees)), (field.x.end, field.y.at(degrees)))
        text = wording.number(degrees)
        field.pen.write("faint", field.x.start - 3.0, field.y.at(degrees) + 2.3, text, SIZE, "end")
    field.pen.write("faint", 0.0, field.y.end - 5.0, "angle °", SIZE)
    for value in linear_ticks(-24.0, 6.0, 6.0):
        ink = "grid-strong" if value == 0 else "grid"
        x = field.x.at(value)
        field.pen.line(ink, (x, field.y.start), (x, field.y.end))
        if value < 6.0:
            field.pen.write("faint", x, field.y.start + 9.5, wording.number(value), SIZE, "middle")
        else:
            field.pen.write("faint", x + 6.5, field.y.start + 9.5, f"{wording.number(value)} dB", SIZE, "end")


def _ears(field: Field, seated: float, standing: float) -> None:
    apart = abs(field.y.at(seated) - field.y.at(standing)) > SIZE * 1.4
    ears = ((seated, "seated ear"), (standing, "standing ear")) if apart else ((seated, "seated and standing ear"),)
    for degrees, text in ears:
        if not field.y.holds(degrees):
            continue
        y = field.y.at(degrees)
        field.pen.line("seat", (field.x.start, y), (field.x.end, y))
        width, height = text_width(text, SIZE, heavy=True), SIZE * 1.15
        places = [
            (x, y + off)
            for x in np.linspace(field.x.start + 3.0, field.x.end - width - 3.0, 9)
            for off in (-height - 1.0, 1.5)
        ]
        box = field.room.place(width, height, places)
        if box is not None:
            field.pen.write("strong", box.left, box.bottom - SIZE * 0.27, text, SIZE)
        field.room.avoid(np.array([[field.x.start, y], [field.x.end, y]]))
