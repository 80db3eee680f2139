"""All that is known of one pairing: one frozen value, and the steps that find it.

Knows the order judgement is passed in and how physics, filters and rules meet. Refuses to know cells and pages.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from reportgen.catalogue.records import Case
from reportgen.crossover.synthesis import Design
from reportgen.suitability.cautions import Caution
from reportgen.suitability.checks import Check
from reportgen.suitability.limits import Limit
from reportgen.suitability.setting import Frame as Frame
from reportgen.suitability.setting import Layout as Layout
from reportgen.suitability.verdict import UsableRange, Verdict

Trace = tuple[float, ...]
Branch = Literal["low", "high"]


@dataclass(frozen=True)
class Curves:
    """Everything that is drawn over frequency or angle; all traces of one group have the same length.

    Levels are dB SPL at the seat for 2.83 V at the amplifier; angles are radians, positive upwards.
    """

    frequency_hz: Trace
    low_db: Trace
    high_db: Trace
    sum_db: Trace
    target_db: Trace
    low_target_db: Trace
    high_target_db: Trace
    reversed_db: Trace
    impedance_ohm: Trace
    impedance_phase_rad: Trace
    low_index_db: Trace
    high_index_db: Trace
    sum_index_db: Trace
    max_level_db: Trace
    max_level_cause: tuple[str, ...]
    wanted_level_db: float
    vertical_angle_rad: Trace
    vertical_hz: Trace
    vertical_db: tuple[Trace, ...]
    horizontal_angle_rad: Trace
    horizontal_db: tuple[Trace, ...]
    seated_angle_rad: float
    standing_angle_rad: float


@dataclass(frozen=True, slots=True)
class PartLine:
    """One part to buy: SI value, what it stands, what to buy it for. `made_of` are the two values of a pair."""

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

    @property
    def unit(self) -> str:
        """SI unit of the value."""
        return {"C": "F", "L": "H", "R": "ohm"}[self.kind]


@dataclass(frozen=True, slots=True)
class Reading:
    """One measurement of the finished build: what, how, and the value it should give (in `unit`)."""

    what: str
    how: str
    expected: float
    unit: str
    tolerance: float


@dataclass(frozen=True)
class Electrical:
    """What the amplifier sees: ohm, Hz, rad; rated impedance by IEC 60268-5."""

    minimum_ohm: float
    minimum_hz: float
    largest_phase_rad: float
    rated_ohm: float
    resistance_at_terminals_ohm: float


@dataclass(frozen=True)
class SpreadFigures:
    """What tolerances make of the sum: dB band of 90 % of builds over `frequency_hz`, share of good builds."""

    frequency_hz: Trace
    low_db: Trace
    high_db: Trace
    good_share: float
    builds: int
    worst_part: str
    worst_part_db: float


@dataclass(frozen=True, slots=True)
class Remedy:
    """A set of changes that turns the verdict, worked out by a whole assessment of the changed pairing."""

    changes: tuple[str, ...]
    word: str
    range_hz: tuple[float | None, float | None]
    crossover_hz: float | None
    price: float | None
    text: str


@dataclass(frozen=True)
class Assessment:
    """All that is known of one pairing. Frequencies Hz, levels dB, money in the maker's currency.

    `design`, `curves`, `electrical`, `spread` are None when no network could be designed (`not_designed` says
    why). `remedies` is filled for pairings that are not suitable or marginal; `remedies_note` says how many
    assessments the search took.
    """

    case: Case
    verdict: Verdict
    limits: tuple[Limit, ...]
    found_range: UsableRange
    crossover_hz: float | None
    crossover_fixed: bool
    checks: tuple[Check, ...]
    cautions: tuple[Caution, ...]
    layout: Layout
    assumptions: tuple[str, ...]
    design: Design | None = None
    not_designed: str = ""
    curves: Curves | None = None
    parts: tuple[PartLine, ...] = ()
    parts_price: float | None = None
    price: float | None = None
    electrical: Electrical | None = None
    spread: SpreadFigures | None = None
    readings: tuple[Reading, ...] = ()
    netlist: str = ""
    safe_time_s: float | None = None
    remedies: tuple[Remedy, ...] = ()
    remedies_note: str = ""

    @property
    def id(self) -> str:
        """The pairing's ID."""
        return self.case.pairing.id
