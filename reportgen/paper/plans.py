"""The baffle drawn to scale: outlines, cut-outs, centres, and where each is measured from.

Knows lengths in metres and a scale. Refuses to check whether things fit: it draws them where they are.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from reportgen.paper import wording
from reportgen.paper.drawings import Pen, Picture
from reportgen.paper.lettering import Box, Room, spread_out, text_width

if TYPE_CHECKING:
    from reportgen.pairing.as_used import Frame, Layout

WIDTH = 204.0
MOST_HEIGHT, LOW_HEIGHT = 151.0, 100.0
"""Of the whole drawing, and where it must be low (points)."""

LEFT, RIGHT, TOP, BOTTOM = 60.0, 87.0, 6.0, 22.0
OFFSETS = 20.0
"""Room above the baffle for distances from the left edge."""

SIZE = 7.0
POINTS_PER_METRE = 72.0 / 0.0254
SCALES = (1, 2, 2.5, 4, 5, 7.5, 10, 12.5, 15, 20, 25, 30, 40, 50, 75, 100)
ORDINATE_GAP = 9.5
"""Where there is not room for all heights only the first and the last are written: the table beside has them all."""


FRONT = 132.0
"""Longest side of the front without its measures (points)."""


def _extent(layout: Layout) -> Box:
    """Everything that must be in the drawing: the baffle and frames that stand over its edge (m, y upwards)."""
    xs = [x for f in layout.frames for x in (f.x_m - f.width_m / 2, f.x_m + f.width_m / 2)]
    ys = [y for f in layout.frames for y in (f.y_m - f.height_m / 2, f.y_m + f.height_m / 2)]
    return Box(min([0.0, *xs]), min([0.0, *ys]), max([layout.width_m, *xs]), max([layout.height_m, *ys]))


def chosen_scale(layout: Layout, low: bool = False) -> float:
    """The largest customary scale (1 : n) at which the baffle fits the field."""
    extent = _extent(layout)
    across, up = WIDTH - LEFT - RIGHT, (LOW_HEIGHT if low else MOST_HEIGHT) - TOP - OFFSETS - BOTTOM
    needed = max((extent.right - extent.left) / across, (extent.bottom - extent.top) / up) * POINTS_PER_METRE
    return next((float(scale) for scale in SCALES if scale >= needed * (1 - 1e-9)), needed)


def off_centre(layout: Layout) -> bool:
    """True when a driver stands off the centre line, and few enough of them to write each distance above."""
    places = {round(frame.x_m, 3) for frame in layout.frames}
    return len(places) <= 3 and any(abs(x - layout.width_m / 2.0) > 0.0006 for x in places)


class _Scaled:
    """Metres on the baffle, from its lower left corner, to points on paper."""

    def __init__(self, left: float, floor: float, per_metre: float) -> None:
        self.left, self.floor, self.per_metre = left, floor, per_metre

    def at(self, x_m: float, y_m: float) -> tuple[float, float]:
        return self.left + x_m * self.per_metre, self.floor - y_m * self.per_metre


class _Plan(_Scaled):
    """The drawing with its measures, and where the baffle stands in it."""

    def __init__(self, layout: Layout, low: bool) -> None:
        extent, self.scale = _extent(layout), chosen_scale(layout, low)
        per_metre = POINTS_PER_METRE / self.scale
        drawn = (extent.right - extent.left) * per_metre
        self.edge = LEFT + (WIDTH - LEFT - RIGHT - drawn) / 2.0
        self.top = TOP + (OFFSETS if off_centre(layout) else 0.0)
        self.low = self.top + (extent.bottom - extent.top) * per_metre
        self.height = self.low + BOTTOM
        super().__init__(self.edge - extent.left * per_metre, self.top + extent.bottom * per_metre, per_metre)


def numbered(frames: Sequence[Frame]) -> list[tuple[int, Frame]]:
    """Frames from the top down, each with the number it has in drawing and table."""
    return list(enumerate(sorted(frames, key=lambda f: (-f.y_m, f.x_m)), 1))


def baffle_picture(layout: Layout, inches: bool = False, low: bool = False) -> Picture:
    """The front to scale with frames, cut-outs (dashed), centres, and their distances from the top and left edges."""
    plan = _Plan(layout, low)
    pen = Pen(WIDTH, plan.height)
    left, top = plan.at(0.0, layout.height_m)
    right, bottom = plan.at(layout.width_m, 0.0)
    pen.rect("outline", left, top, right - left, bottom - top)
    frames = numbered(layout.frames)
    for _, frame in frames:
        _outline(pen, plan, frame, f"{frame.role}-fill", frame.width_m, frame.height_m)
    for _, frame in frames:
        _cut_and_centre(pen, plan, frame)
    _number_frames(pen, plan, frames)
    _outer_dimensions(pen, plan, layout, inches)
    _heights(pen, plan, layout, frames, inches)
    _offsets(pen, plan, layout, frames, inches)
    return pen.picture(_in_words(layout, frames, plan.scale))


def front_picture(layout: Layout) -> Picture:
    """The front to scale without measures and letters: the baffle, frames and cut-outs."""
    extent = _extent(layout)
    width, height = extent.right - extent.left, extent.bottom - extent.top
    per_metre = FRONT / max(width, height)
    pen = Pen(width * per_metre + 2.0, height * per_metre + 2.0)
    plan = _Scaled(1.0 - extent.left * per_metre, 1.0 + extent.bottom * per_metre, per_metre)
    left, top = plan.at(0.0, layout.height_m)
    pen.rect("outline", left, top, layout.width_m * per_metre, layout.height_m * per_metre)
    for frame in layout.frames:
        _outline(pen, plan, frame, f"{frame.role}-fill", frame.width_m, frame.height_m)
        _cut(pen, plan, frame)
    counts = Counter(frame.role for frame in layout.frames)
    drivers = [wording.counted(counts[role], f"{role} driver") for role in ("low", "high") if counts[role]]
    size = wording.sides((layout.width_m, layout.height_m))
    return pen.picture(f"Front, {size}: {' and '.join(drivers) or 'the drivers’ sizes are not known'}")


def _outline(pen: Pen, plan: _Scaled, frame: Frame, ink: str, width_m: float, height_m: float) -> None:
    x, y = plan.at(frame.x_m, frame.y_m)
    half_w, half_h = width_m * plan.per_metre / 2.0, height_m * plan.per_metre / 2.0
    if frame.round:
        pen.ellipse(ink, x, y, half_w, half_h)
    else:
        pen.rect(ink, x - half_w, y - half_h, 2.0 * half_w, 2.0 * half_h)


def _cut(pen: Pen, plan: _Scaled, frame: Frame) -> None:
    if frame.cut_width_m is not None:
        _outline(pen, plan, frame, "cut", frame.cut_width_m, frame.cut_height_m or frame.cut_width_m)


def _cut_and_centre(pen: Pen, plan: _Plan, frame: Frame) -> None:
    _cut(pen, plan, frame)
    x, y = plan.at(frame.x_m, frame.y_m)
    arm = min(5.0, max(2.0, frame.width_m * plan.per_metre / 4.0))
    pen.line("hairline", (x - arm, y), (x + arm, y))
    pen.line("hairline", (x, y - arm), (x, y + arm))


def _number_frames(pen: Pen, plan: _Plan, frames: Sequence[tuple[int, Frame]]) -> None:
    """The number of each frame beside its centre, where it does not lie on what is drawn; the heights name it in any case."""
    room = Room(Box(0.0, 0.0, WIDTH, plan.height))
    for number, frame in frames:
        x, y = plan.at(frame.x_m, frame.y_m)
        width, height, size = text_width(str(number), 8.0, heavy=True), 8.5, 8.0
        box = Box(x + 3.0, y - height - 1.5, x + 3.0 + width, y - 1.5)
        if room.free(box) and _inside(plan, frame, box):
            room.taken.append(box)
            pen.write("strong", box.left, box.bottom - 1.9, str(number), size)


def _inside(plan: _Plan, frame: Frame, box: Box) -> bool:
    """True when a box right above the centre lies inside the cut-out, or where none is known inside the frame."""
    width_m = min(frame.width_m, frame.cut_width_m or frame.width_m)
    height_m = min(frame.height_m, frame.cut_height_m or frame.cut_width_m or frame.height_m)
    x, y = plan.at(frame.x_m, frame.y_m)
    right, up = (box.right - x) / (width_m / 2.0), (y - box.top) / (height_m / 2.0)
    reached = math.hypot(right, up) if frame.round else max(right, up)
    return reached < plan.per_metre


def _figure(length_m: float, inches: bool) -> str:
    """A length on the drawing: with its unit, or in mm and inches, whose units the caption names."""
    return wording.bare(length_m, inches=True) if inches else wording.millimetres(length_m)


def _outer_dimensions(pen: Pen, plan: _Plan, layout: Layout, inches: bool) -> None:
    left, top = plan.at(0.0, layout.height_m)
    right, bottom = plan.at(layout.width_m, 0.0)
    foot = plan.low + 9.0
    _dimension(pen, (left, foot), (right, foot))
    pen.line("hairline", (left, bottom), (left, foot + 2.0))
    pen.line("hairline", (right, bottom), (right, foot + 2.0))
    pen.write("word", (left + right) / 2.0, foot + 9.5, _figure(layout.width_m, inches), SIZE, "middle")
    side = plan.edge - 8.0
    _dimension(pen, (side, top), (side, bottom))
    pen.line("hairline", (side - 2.0, top), (left, top))
    pen.line("hairline", (side - 2.0, bottom), (left, bottom))
    height = _figure(layout.height_m, inches)  # one with inches and tenths of a millimetre takes a point of the gap
    pen.write("word", max(side - 3.0, text_width(height, SIZE)), (top + bottom) / 2.0 + 2.5, height, SIZE, "end")


def _dimension(pen: Pen, start: tuple[float, float], end: tuple[float, float]) -> None:
    """A dimension line with slanting strokes at its ends (ISO 129-1 allows them in place of arrows)."""
    pen.line("dimension", start, end)
    for x, y in (start, end):
        pen.line("dimension", (x - 2.0, y + 2.0), (x + 2.0, y - 2.0))


def _heights(pen: Pen, plan: _Plan, layout: Layout, frames: Sequence[tuple[int, Frame]], inches: bool) -> None:
    """Distances of the centres from the top edge, as ordinates on the right."""
    levels = _grouped([(number, layout.height_m - frame.y_m, frame) for number, frame in frames])
    top = plan.top + 2.0
    room = int((plan.height - 4.0 - top) / ORDINATE_GAP) + 1
    if len(levels) > room:
        levels = [levels[0], levels[-1]] if room > 1 else levels[:1]
    wished = [plan.at(0.0, frame.y_m)[1] for _, _, frame in levels]
    places = spread_out(wished, ORDINATE_GAP, top, plan.height - 4.0)
    line = WIDTH - RIGHT + 2.0
    for (names, distance, frame), level, place in zip(levels, wished, places, strict=True):
        x = plan.at(frame.x_m, 0.0)[0] + frame.width_m * plan.per_metre / 2.0
        pen.line("hairline", (min(x + 1.0, line), level), (line, level), (line + 6.0, place), (line + 8.0, place))
        text = f"{names}: {_figure(distance, inches)}"
        pen.write("word", min(line + 10.0, WIDTH - text_width(text, SIZE)), place + 2.5, text, SIZE)


def _offsets(pen: Pen, plan: _Plan, layout: Layout, frames: Sequence[tuple[int, Frame]], inches: bool) -> None:
    """Distances of the centres from the left edge, as ordinates above; only where one is off the centre line."""
    if not off_centre(layout):
        return
    columns = _grouped(sorted(((number, frame.x_m, frame) for number, frame in frames), key=lambda item: item[1]))
    wished = [plan.at(x, 0.0)[0] for _, x, _ in columns]
    places = spread_out(wished, 52.0, 27.0, WIDTH - 28.0)
    for (_, distance, frame), across, place in zip(columns, wished, places, strict=True):
        y = plan.at(0.0, frame.y_m)[1] - frame.height_m * plan.per_metre / 2.0
        pen.line("hairline", (across, max(y - 1.0, plan.top - 3.0)), (across, plan.top - 4.0), (place, plan.top - 10.0))
        pen.write("word", place, plan.top - 12.0, _figure(distance, inches), SIZE, "middle")


def _grouped(items: Sequence[tuple[int, float, Frame]]) -> list[tuple[str, float, Frame]]:
    """Items at the same distance (to half a millimetre) as one, with all their numbers; two are named, more as first to last."""
    groups: list[tuple[list[int], float, Frame]] = []
    for number, distance, frame in items:
        if groups and abs(groups[-1][1] - distance) < 0.0005:
            groups[-1][0].append(number)
        else:
            groups.append(([number], distance, frame))
    return [
        (", ".join(map(str, numbers)) if len(numbers) <= 2 else f"{numbers[0]}–{numbers[-1]}", distance, frame)
        for numbers, distance, frame in groups
    ]


def _in_words(layout: Layout, frames: Sequence[tuple[int, Frame]], scale: float) -> str:
    centres = "; ".join(
        f"{number} {frame.role} driver, {wording.millimetres(layout.height_m - frame.y_m)} from the top, "
        f"{wording.millimetres(frame.x_m)} from the left"
        for number, frame in frames[:12]
    )
    size = f"{wording.millimetres(layout.width_m)} wide, {wording.millimetres(layout.height_m)} high"
    return f"Baffle, {size}, at 1 : {wording.number(scale)}. Centres: {centres or 'not known'}."
