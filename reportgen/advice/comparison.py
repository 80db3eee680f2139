"""Several assessments side by side: ranges on one axis, the figures that differ, prices.

Knows which figures are worth comparing. Refuses to say which pairing is better, and to draw.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from reportgen.assessment import Assessment

Value = float | str | None

AXIS_STEPS = (1.0, 1.5, 2.0, 3.0, 5.0, 7.0, 10.0)
"""Where an axis may begin and end within a decade."""


@dataclass(frozen=True)
class Bar:
    """One pairing on the common frequency axis; None where a side is open. An empty range has low over high."""

    id: str
    word: str
    low_hz: float | None
    high_hz: float | None
    crossover_hz: float | None
    low_binding: str
    high_binding: str


@dataclass(frozen=True)
class Figure:
    """One row of the comparison: a value for each pairing, in `unit`; None where it is not known."""

    name: str
    unit: str
    values: tuple[Value, ...]

    @property
    def differs(self) -> bool:
        """True when not all pairings have the same value, as it is printed: to four digits."""
        return len({f"{value:.4g}" if isinstance(value, float) else value for value in self.values}) > 1


@dataclass(frozen=True)
class Comparison:
    """Pairings side by side, in the order given; `alike` are the figures in which they do not differ."""

    ids: tuple[str, ...]
    axis_hz: tuple[float, float]
    bars: tuple[Bar, ...]
    differing: tuple[Figure, ...]
    alike: tuple[Figure, ...]
    prices: tuple[float | None, ...]
    currency: str


def _millimetres(metres: float | None) -> float | None:
    return None if metres is None else metres * 1e3


def _check(id_: str) -> Callable[[Assessment], Value]:
    """The value of a check where it was asked and answered."""
    return lambda one: next((check.value for check in one.checks if check.id == id_), None)


def _counted(count: int, name: str) -> str:
    return name if count == 1 else f"{count} x {name}"


def _rear(one: Assessment) -> str:
    chamber = one.case.pairing.chamber_m3
    return f"{chamber * 1e6:.0f} mL chamber" if chamber is not None else one.case.pairing.rear_use


FIGURES: tuple[tuple[str, str, Callable[[Assessment], Value]], ...] = (
    ("Verdict", "", lambda one: one.verdict.word),
    ("Low driver", "", lambda one: _counted(one.case.pairing.low_count, one.case.low.id)),
    ("High driver", "", lambda one: _counted(one.case.pairing.high_count, one.case.high.id)),
    ("Kind of high driver", "", lambda one: one.case.technology.id),
    ("Waveguide", "", lambda one: one.case.pairing.guide_id or "none"),
    ("Rear", "", _rear),
    ("Cabinet", "", lambda one: one.case.cabinet.id),
    ("Arrangement", "", lambda one: one.case.pairing.arrangement),
    ("Slope", "", lambda one: one.case.pairing.slope),
    ("Crossover", "Hz", lambda one: one.crossover_hz),
    ("Range from", "Hz", lambda one: one.found_range.low_hz),
    ("Range to", "Hz", lambda one: one.found_range.high_hz),
    ("Width of the range", "octave", lambda one: one.found_range.octaves),
    ("Centre spacing", "mm", lambda one: _millimetres(one.layout.spacing_m)),
    ("Peak level wanted", "dB", lambda one: one.case.pairing.peak_level_db),
    ("Peak level reached", "dB", _check("peak level")),
    ("Level to spare", "dB", _check("level")),
    ("Directivity step", "dB", _check("directivity step")),
    ("Loss at the seated ear", "dB", _check("seated window")),
    ("Loss at the standing ear", "dB", _check("standing window")),
    ("Strays from the target", "dB", _check("evenness")),
    ("Reversed null", "dB", _check("reversed null")),
    ("Least impedance", "ohm", _check("impedance minimum")),
    ("Good builds", "%", _check("good builds")),
    ("Crossover pieces", "", lambda one: float(one.figures.pieces) if one.figures else None),
    ("Crossover parts cost", "currency", lambda one: one.network.parts_price if one.network else None),
    ("Price of one", "currency", lambda one: one.price),
)
"""Every figure that is compared: name, unit and where it comes from; "currency" stands for the maker's."""


def compare(assessments: Sequence[Assessment]) -> Comparison:
    """Put assessments side by side, in their order; ValueError for fewer than two, or when an ID comes twice."""
    ids = tuple(one.id for one in assessments)
    if len(ids) < 2 or len(set(ids)) < len(ids):
        raise ValueError(f"a comparison takes two pairings or more, each once; it was given {', '.join(ids) or 'none'}")
    currency = assessments[0].case.maker.currency
    figures = [
        Figure(name, currency if unit == "currency" else unit, tuple(value(one) for one in assessments))
        for name, unit, value in FIGURES
    ]
    bars = tuple(_bar(one) for one in assessments)
    return Comparison(
        ids, axis_hz(bars), bars, tuple(one for one in figures if one.differs), tuple(one for one in figures if not one.differs),
        tuple(one.price for one in assessments), currency,
    )  # fmt: skip


def _bar(one: Assessment) -> Bar:
    found = one.found_range
    low, high = (limit.title if limit else "" for limit in (found.low_binding, found.high_binding))
    return Bar(one.id, one.verdict.word, found.low_hz, found.high_hz, one.crossover_hz, low, high)


def axis_hz(bars: Sequence[Bar]) -> tuple[float, float]:
    """Ends (Hz) of a logarithmic axis that holds every range and crossover with a little room on both sides.

    >>> axis_hz([Bar("A", "suitable", 2000.0, 3002.0, 2450.0, "", "")])
    (1500.0, 5000.0)
    """
    marks = [hz for bar in bars for hz in (bar.low_hz, bar.high_hz, bar.crossover_hz) if hz is not None]
    if not marks:
        return 500.0, 10000.0
    return _step(min(marks) / 1.1, below=True), _step(max(marks) * 1.1, below=False)


def _step(hz: float, below: bool) -> float:
    decade = 10.0 ** math.floor(math.log10(hz))
    steps = [step * decade for step in AXIS_STEPS]
    return max(step for step in steps if step <= hz) if below else min(step for step in steps if step >= hz)
