"""What a drawing consists of: paths and labels, each with the name of its ink.

Knows points on paper (1/72 inch, y downwards). Refuses to know colours and line widths: the templates own the
inks and the words for their looks (`templates/drawing.html`), and what is shown is the business of the modules that draw.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from reportgen.paper.lettering import Anchor, Box, Label

WIDTH = 510.0
"""Width of a drawing across the page (points): 180 mm."""

LINE_INKS = (
    "grid", "grid-strong", "frame", "dimension", "hairline",
    "low", "high", "sum", "target", "reversed", "wanted", "seat", "chosen",
    "trace-1", "trace-2", "trace-3", "trace-4", "trace-5", "phase",
    "wire", "symbol", "plate", "outline", "cut",
)  # fmt: skip
"""Strokes without filling."""

FILL_INKS = (
    "paper", "range", "spread", "bar", "bar-binding", "bar-unknown", "band-1", "band-2", "band-3", "band-4",
    "dot", "pointer", "low-fill", "high-fill",
)  # fmt: skip
"""Filled shapes."""

TEXT_INKS = ("word", "faint", "strong", "reversed", "reversed-strong")
"""Letters; `reversed` ones stand on a dark bar."""


@dataclass(frozen=True, slots=True)
class KeyLine:
    """What is drawn with an ink, where no word in the drawing says so; the templates know what the ink looks like."""

    ink: str
    shows: str


Key = tuple[KeyLine, ...]


@dataclass(frozen=True, slots=True)
class Path:
    """Everything that is drawn with one ink: SVG path data in points."""

    ink: str
    data: str


@dataclass(frozen=True, slots=True)
class Picture:
    """One drawing: its size in points, what it shows in words, and its paths and labels from back to front."""

    width: float
    height: float
    alt: str
    paths: tuple[Path, ...]
    labels: tuple[Label, ...]

    @property
    def box(self) -> Box:
        """The whole field."""
        return Box(0.0, 0.0, self.width, self.height)


def short(value: float) -> str:
    """A coordinate to a tenth of a point, as short as it can be written.

    >>> short(12.04), short(-0.01), short(3.16)
    ('12', '0', '3.2')
    """
    text = f"{value:.1f}"
    if text.endswith(".0"):
        text = text[:-2]
    return "0" if text == "-0" else text


_NOTHING = re.compile(r"-0(?=[ L])")


def polyline(points: Iterable[tuple[float, float]]) -> str:
    """Path data through the points.

    >>> polyline([(0, 0), (10, 5.25)])
    'M0 0L10 5.2'
    >>> polyline([(-0.04, 100.0), (-0.4, -10.02)])
    'M0 100L-0.4 -10'
    """
    text = "L".join([f"{x:.1f} {y:.1f}" for x, y in points]) + "L"
    text = text.replace(".0 ", " ").replace(".0L", "L")
    if "-0" in text:  # as `short` has it, all at once
        text = _NOTHING.sub("0", text)
    return f"M{text[:-1]}"


class Pen:
    """Collects what is drawn. Strokes of one ink become one path; inks lie over one another in order of first use."""

    def __init__(self, width: float, height: float) -> None:
        self.width = width
        self.height = height
        self._paths: dict[str, list[str]] = {}
        self.labels: list[Label] = []

    def path(self, ink: str, data: str) -> None:
        """Add ready path data."""
        if data:
            self._paths.setdefault(ink, []).append(data)

    def line(self, ink: str, *points: tuple[float, float]) -> None:
        """An open line through the points."""
        self.path(ink, polyline(points))

    def shape(self, ink: str, *points: tuple[float, float]) -> None:
        """A closed outline through the points."""
        self.path(ink, polyline(points) + "Z")

    def rect(self, ink: str, x: float, y: float, width: float, height: float) -> None:
        """A rectangle from its left upper corner."""
        self.path(ink, f"M{short(x)} {short(y)}h{short(width)}v{short(height)}h{short(-width)}Z")

    def ellipse(self, ink: str, x: float, y: float, rx: float, ry: float | None = None) -> None:
        """An ellipse, or circle, around its centre."""
        a, b = short(rx), short(rx if ry is None else ry)
        twice = short(2.0 * float(a))
        self.path(ink, f"M{short(x - float(a))} {short(y)}a{a} {b} 0 1 0 {twice} 0a{a} {b} 0 1 0 -{twice} 0Z")

    def write(self, ink: str, x: float, y: float, text: str, size: float = 7.0, anchor: Anchor = "start") -> Label:
        """A line of text on its base line."""
        label = Label(ink, round(x, 1), round(y, 1), text, size, anchor)
        if text:
            self.labels.append(label)
        return label

    def picture(self, alt: str) -> Picture:
        """What was drawn so far, with its description in words."""
        paths = tuple(Path(ink, "".join(data)) for ink, data in self._paths.items())
        return Picture(round(self.width, 1), round(self.height, 1), alt, paths, tuple(self.labels))
