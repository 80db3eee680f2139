"""The parts of a network as they are bought, and what of the Parts sheet bears the programme.

Knows stresses and ratings. Refuses to know how values were found.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from reportgen.catalogue.records import Practice
from reportgen.crossover.networks import Component, with_components
from reportgen.crossover.stress import PartStress
from reportgen.crossover.synthesis import Design
from reportgen.pairing.sums import Stresses

Branch = Literal["low", "high"]


@dataclass(frozen=True, slots=True)
class PartLine:
    """One part to buy: SI value, what it stands, what to buy it for. `made_of` and `made_of_prices` are the two values of a pair and their prices.

    `unrated` is true of a part in stock whose own rating is not stated.
    """

    branch: Branch
    label: str
    kind: Literal["C", "L", "R"]
    role: str
    value: float
    resistance_ohm: float
    made_of: tuple[float, ...] = ()
    join: str = ""
    part_id: str | None = None
    price: float | None = None
    voltage_rms_v: float | None = None
    voltage_peak_v: float | None = None
    current_rms_a: float | None = None
    power_w: float | None = None
    rating_to_buy: float | None = None
    rating_unit: str = ""
    under_rated: bool = False
    unrated: bool = False
    made_of_prices: tuple[float, ...] = ()

    @property
    def unobtainable(self) -> bool:
        """True when no rating customarily sold is enough, nor the part's own."""
        own = self.part_id is not None and not self.under_rated and not self.unrated
        return self.rating_to_buy is None and not own

    @property
    def unit(self) -> str:
        """SI unit of the value."""
        return {"C": "F", "L": "H", "R": "ohm"}[self.kind]


def needed(part: PartLine, practice: Practice) -> float:
    """The rating that a part's stress asks for with the margin of the Practice sheet (V, A, W)."""
    margin, stress = {
        "C": ("voltage margin", part.voltage_peak_v),
        "L": ("current margin", part.current_rms_a),
        "R": ("power margin", part.power_w),
    }[part.kind]
    return practice[margin] * (stress or 0.0)


def as_bought(found: Design, stress: Stresses) -> tuple[Design, Stresses]:
    """The design with what it takes from the Parts sheet only where that bears the programme; else it is bought elsewhere."""
    if not any(load.underrated for branch in stress for load in branch):
        return found, stress
    on_low, on_high = (tuple(_elsewhere(load) if load.underrated else load for load in branch) for branch in stress)
    low, high = (
        with_components(branch, tuple(load.component for load in loads))
        for branch, loads in ((found.low, on_low), (found.high, on_high))
    )
    return replace(found, low=low, high=high, price=None), (on_low, on_high)


def _elsewhere(load: PartStress) -> PartStress:
    """The load on a part that is not that of the Parts sheet."""
    return replace(load, component=replace(load.component, part_id=None, price=None, rating=None), underrated=None)


def part_lines(found: Design, stress: Stresses) -> tuple[PartLine, ...]:
    """Every part to buy with what it stands, those of the low branch first, labelled by kind."""
    counts = {"C": 0, "L": 0, "R": 0}
    lines = []
    for branch, loads in zip(("low", "high"), stress, strict=True):
        for load in loads:
            counts[load.component.kind] += 1
            lines.append(_part_line(branch, f"{load.component.kind}{counts[load.component.kind]}", load))  # type: ignore[arg-type]
    return tuple(lines)


def _part_line(branch: Branch, label: str, load: PartStress) -> PartLine:
    part: Component = load.component
    return PartLine(
        branch, label, part.kind, part.role, part.value, part.resistance_ohm, part.made_of, part.join, part.part_id,
        part.price, load.voltage_rms, load.voltage_peak, load.current_rms, load.power_w, load.rating_to_buy, load.unit,
        bool(load.underrated), part.part_id is not None and load.underrated is None,
        part.made_of_prices if part.price is not None else (),
    )  # fmt: skip
