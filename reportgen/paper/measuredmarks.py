"""Where the curve of each driver is measured and where it is modelled: marks under the axis of a chart over frequency.

Knows bands and names of files. Refuses to know what else the chart shows.
"""

from __future__ import annotations

from reportgen.catalogue.records import Case, HighDriver, LowDriver
from reportgen.paper import wording
from reportgen.paper.drawings import Pen
from reportgen.paper.lettering import Box, Room, text_width
from reportgen.paper.scales import Scale

SIZE = 7.0
ROW = 8.0
"""Height of the row of one driver (points)."""


def mark_measured(pen: Pen, x: Scale, y: Scale, room: Room, case: Case) -> None:
    """A row for each driver over the foot `y.start`: a bar over its measured band with the file, “modelled” elsewhere.

    Nothing where no driver has a file.
    """
    if not any(_band(driver, case) for driver in (case.low, case.high)):
        return
    for driver, foot in ((case.high, y.start), (case.low, y.start - ROW)):
        room.taken.append(Box(x.start, foot - ROW, x.end, foot))
        band = _band(driver, case)
        if band is None:
            _write(pen, (x.start + x.end) / 2.0, foot, f"{driver.id} modelled")
            continue
        low, high = (x.at(min(max(hz, x.low), x.high)) for hz in band)
        middle = foot - ROW / 2.0
        name = f"{driver.id} measured: {file_of(driver, case)}"
        half = text_width(name, SIZE) / 2.0 + 3.0
        wanted = (
            low + half + 8.0 if driver is case.low else high - half - 8.0
        )  # off the crossover, where no trace dives
        centre = min(max(wanted, x.start + half), x.end - half)
        _write(pen, centre, foot, name)
        for left, right in ((low, min(centre - half, high)), (max(centre + half, low), high)):
            if right > left:
                pen.line("frame", (left, middle), (right, middle))
        for end in (low, high):
            pen.line("frame", (end, middle - 2.5), (end, middle + 2.5))
        for left, right in ((x.start, low), (high, x.end)):
            if right - left > text_width("modelled", SIZE) + 6.0:
                _write(pen, (left + right) / 2.0, foot, "modelled")


def file_of(driver: LowDriver | HighDriver, case: Case) -> str:
    """Name of a driver's response file, without its folder; empty without one."""
    curve = case.curves.get((driver.id, "response"))
    return curve.file.replace("\\", "/").rpartition("/")[2] if curve else ""


def words(case: Case) -> str:
    """One sentence for the caption: what is measured, from where to where."""
    parts = []
    for driver in (case.low, case.high):
        band = _band(driver, case)
        if band is None:
            parts.append(f"{driver.id} is modelled")
        else:
            parts.append(
                f"{driver.id} is measured from {wording.hertz(band[0])} to {wording.hertz(band[1])} ({file_of(driver, case)})"
            )
    return f" {parts[0]}, {parts[1]}." if any(_band(driver, case) for driver in (case.low, case.high)) else ""


def _band(driver: LowDriver | HighDriver, case: Case) -> tuple[float, float] | None:
    curve = case.curves.get((driver.id, "response"))
    return None if curve is None else (float(curve.frequency_hz[0]), float(curve.frequency_hz[-1]))


def _write(pen: Pen, middle: float, foot: float, text: str) -> None:
    """A word on white in the row over `foot`, about `middle`."""
    half = text_width(text, SIZE) / 2.0
    pen.rect("paper", middle - half - 1.5, foot - ROW + 0.7, 2.0 * half + 3.0, ROW - 1.4)
    pen.write("word", middle, foot - 2.0, text, SIZE, "middle")
