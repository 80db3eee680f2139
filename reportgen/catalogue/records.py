"""What the operator wrote, as frozen records in SI units.

Knows what a driver, a guide, a cabinet, a pairing is, and where in the workbook each of its values stands.
Refuses to know how a cell is read or what the values mean acoustically.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from reportgen.catalogue import columns
from reportgen.problems import CannotAssess, Problem

T = TypeVar("T")


_NOTED: ContextVar[set[str] | None] = ContextVar("sheets named in texts", default=None)


@contextmanager
def places_noted() -> Iterator[set[str]]:
    """The sheets of which a cell or a row is named while this is open: what is said rests on where things stand there."""
    noted: set[str] = set()
    outer = _NOTED.set(noted)
    try:
        yield noted
    finally:
        _NOTED.reset(outer)
        around = _NOTED.get()
        if around is not None:
            around |= noted


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a record stands: sheet, row, and the cell of each field whose column is there (`H12`)."""

    sheet: str
    row: int
    cells: Mapping[str, str] = field(default_factory=dict)

    def place(self, field_name: str) -> str:
        """`High drivers!H12`, or the heading to add when the sheet lacks the column (row 0: no such row)."""
        noted = _NOTED.get()
        if noted is not None:
            noted.add(self.sheet)
        if field_name in self.cells:
            return f"{self.sheet}!{self.cells[field_name]}"
        heading = columns.sheet(self.sheet).column(field_name).heading
        row = f"row {self.row}, no column" if self.row else "no such row, column"
        return f"{self.sheet} {row} “{heading}”"


@dataclass(frozen=True, kw_only=True)
class Record:
    """One row. `origin` does not take part in comparison: a row that moved is the same record."""

    id: str
    origin: Origin = field(compare=False, repr=False)
    unread: tuple[str, ...] | None = None
    """Fields whose cell holds what cannot be used: their value is not known, whatever an empty cell would mean."""

    def missing(self, *fields: str) -> tuple[str, ...]:
        """Which of `fields` are empty, each as `Peak travel of HD-04 (High drivers!T5)`."""
        return self.named(*(name for name in fields if getattr(self, name) is None))

    def named(self, *fields: str) -> tuple[str, ...]:
        """Each of `fields`, as `Peak travel of HD-04 (High drivers!T5)`."""
        sheet = columns.sheet(self.origin.sheet)
        return tuple(f"{sheet.column(name).name} of {self.id} ({self.origin.place(name)})" for name in fields)

    def empty(self, field: str) -> tuple[str, ...]:
        """The same for one field, without its cell: for what hardly any row states, so that sorting rows changes no text."""
        name = columns.sheet(self.origin.sheet).column(field).name
        return (f"{name} of {self.id}",) if getattr(self, field) is None else ()


def problem_at(
    record: Record, field_name: str, found: str, expected: str, mend: str = "", notice: bool = False
) -> Problem:
    """A problem with the value of one field of a record, at its cell (at its row when there is no column)."""
    cell = record.origin.cells.get(field_name, str(record.origin.row))
    heading = columns.sheet(record.origin.sheet).column(field_name).heading
    return Problem(record.origin.sheet, cell, heading, found, expected, mend, notice, record.id)


@dataclass(frozen=True, kw_only=True)
class LowDriver(Record):
    """A woofer or mid-woofer; columns of `Low drivers`, SI."""

    description: str | None = None
    nominal_impedance_ohm: float | None = None
    re_ohm: float
    le_h: float | None = None
    le_exponent: float | None = None
    fs_hz: float
    qms: float
    qes: float
    vas_m3: float | None = None
    diaphragm_area_m2: float
    moving_mass_kg: float | None = None
    force_factor_t_m: float | None = None
    peak_travel_m: float | None = None
    sensitivity_db: float
    measured_at_m: float = 1.0
    thermal_resistance_k_w: float | None = None
    rated_power_w: float | None = None
    breakup_hz: float | None = None
    highest_use_hz: float | None = None
    frame_width_m: float | None = None
    frame_height_m: float | None = None
    cutout_m: float | None = None
    centre_depth_m: float | None = None
    response_file: str | None = None
    impedance_file: str | None = None
    response_measured: str | None = None
    measuring_voltage_v: float = 2.83
    response_phase: str | None = None
    impedance_measured: str | None = None
    price: float | None = None
    stock: int | None = None
    notes: str | None = None

    @property
    def qts(self) -> float:
        """Total quality factor at the resonance, of the mechanical and the electrical one (Small 1972)."""
        return self.qms * self.qes / (self.qms + self.qes)


@dataclass(frozen=True, kw_only=True)
class HighDriver(Record):
    """A high-frequency driver; columns of `High drivers`, SI."""

    technology: str
    description: str | None = None
    nominal_impedance_ohm: float | None = None
    re_ohm: float
    le_h: float | None = None
    fs_hz: float | None = None
    qms: float | None = None
    qes: float | None = None
    vas_m3: float | None = None
    shape: str
    radiating_width_m: float
    radiating_height_m: float | None = None
    diaphragm_area_m2: float | None = None
    peak_travel_m: float | None = None
    sensitivity_db: float
    measured_at_m: float = 1.0
    thermal_resistance_k_w: float | None = None
    rated_power_w: float | None = None
    rating_highpass_hz: float | None = None
    rating_order: int | None = None
    lowest_use_hz: float | None = None
    lowest_use_order: int | None = None
    diaphragm_resonance_hz: float | None = None
    rear: str
    rear_chamber_m3: float | None = None
    other_chambers_m3: tuple[float, ...] | None = None
    screen: bool | None = None
    faceplate_width_m: float | None = None
    faceplate_height_m: float | None = None
    cutout_width_m: float | None = None
    cutout_height_m: float | None = None
    centre_depth_m: float | None = None
    response_file: str | None = None
    impedance_file: str | None = None
    response_measured: str | None = None
    measuring_voltage_v: float = 2.83
    response_phase: str | None = None
    impedance_measured: str | None = None
    price: float | None = None
    stock: int | None = None
    notes: str | None = None

    @property
    def height_m(self) -> float:
        """Height of the radiating surface: its own, or the width where none is given."""
        return self.radiating_height_m or self.radiating_width_m


@dataclass(frozen=True, kw_only=True)
class Waveguide(Record):
    """A waveguide or horn; columns of `Waveguides`, SI, angles in rad (full coverage angles)."""

    fits: tuple[str, ...]
    mouth_width_m: float
    mouth_height_m: float
    horizontal_coverage_rad: float
    vertical_coverage_rad: float
    depth_m: float | None = None
    flare: str | None = None
    throat_m: float | None = None
    faceplate_width_m: float | None = None
    faceplate_height_m: float | None = None
    price: float | None = None
    stock: int | None = None
    notes: str | None = None

    def suits(self, driver: HighDriver) -> bool:
        """True when the guide names the driver, or its technology, among those it fits."""
        wanted = {name.casefold() for name in self.fits}
        return driver.id.casefold() in wanted or driver.technology.casefold() in wanted


@dataclass(frozen=True, kw_only=True)
class Cabinet(Record):
    """A cabinet or open baffle; columns of `Cabinets`, SI, tilt in rad."""

    kind: str
    baffle_width_m: float
    baffle_height_m: float
    depth_m: float | None = None
    net_volume_m3: float | None = None
    tuning_hz: float | None = None
    high_from_top_m: float | None = None
    offset_m: float = 0.0
    stand_height_m: float = 0.0
    tilt_rad: float = 0.0
    notes: str | None = None


@dataclass(frozen=True, kw_only=True)
class Application(Record):
    """The place, the listener and the wish: what pairings and enquiries have in common; SI, rad."""

    arrangement: str = "high over low"
    crossover_hz: float | None = None
    slope: str = "LR4"
    centre_spacing_m: float | None = None
    distance_m: float = 2.5
    ear_height_m: float = 1.0
    horizontal_half_window_rad: float = float(np.radians(30.0))
    vertical_half_window_rad: float = float(np.radians(10.0))
    peak_level_db: float = 96.0
    amplifier_power_w: float = 60.0
    surroundings: str = "home"
    placement: str | None = None


@dataclass(frozen=True, kw_only=True)
class Pairing(Application):
    """One low driver, one high driver, one cabinet, one use; columns of `Pairings`, SI."""

    kit: str | None = None
    season: str | None = None
    low_id: str
    low_count: int = 1
    low_wiring: str = "parallel"
    high_id: str
    high_count: int = 1
    high_wiring: str = "parallel"
    guide_id: str | None = None
    rear_use: str = "as supplied"
    chamber_m3: float | None = None
    cabinet_id: str
    high_from_top_m: float | None = None
    parts_policy: str = "preferred"
    kits_planned: int | None = None
    shelf_db: float | None = None
    most_parts: int | None = None
    decision: str = "open"
    decided_by: str | None = None
    decided_on: dt.date | None = None
    reason: str | None = None
    notes: str | None = None


@dataclass(frozen=True, kw_only=True)
class Enquiry(Application):
    """One question of a customer; columns of `Enquiries`, SI. `typed` names the fields whose cell was filled."""

    typed: tuple[str, ...] = ()

    received: dt.date | None = None
    customer: str | None = None
    question: str | None = None
    budget: float | None = None
    low_id: str | None = None
    low_count: int = 1
    cabinet_id: str | None = None
    given_cabinet_kind: str | None = None
    given_net_volume_m3: float | None = None
    given_area_m2: float | None = None
    given_fs_hz: float | None = None
    given_re_ohm: float | None = None
    given_le_h: float | None = None
    given_qms: float | None = None
    given_qes: float | None = None
    given_sensitivity_db: float | None = None
    given_breakup_hz: float | None = None
    given_peak_travel_m: float | None = None
    given_rated_power_w: float | None = None
    given_baffle_width_m: float | None = None
    given_baffle_height_m: float | None = None
    answered_on: dt.date | None = None
    notes: str | None = None


@dataclass(frozen=True, kw_only=True)
class StockPart(Record):
    """A crossover part that can be bought; value in ohm, H or F, rating in V, A or W, tolerance a share (None: that of the Practice sheet)."""

    kind: str
    value: float
    unit: str
    tolerance: float | None = None
    resistance_ohm: float | None = None
    rating: float | None = None
    rating_unit: str | None = None
    price: float | None = None
    stock: int | None = None


@dataclass(frozen=True, kw_only=True)
class Technology(Record):
    """One kind of high driver and how the trade treats it; columns of `Technologies`, SI."""

    family: str
    diaphragm: str
    bare_floor_hz: float | None = None
    guided_floor_hz: float | None = None
    large_from_m: float | None = None
    large_floor_hz: float | None = None
    large_resonance_hz: float | None = None
    travel_stated: bool = True
    fragility: str = "ordinary"
    synonyms: tuple[str, ...] | None = None
    excluded: tuple[str, ...] | None = None
    handling: str | None = None
    servicing: str | None = None
    after_service: str | None = None
    cautions: str | None = None


@dataclass(frozen=True, kw_only=True)
class Maker(Record):
    """The firm whose sheets these are; columns of `Maker`. Its id is always `maker`."""

    name: str = ""
    contact_1: str | None = None
    contact_2: str | None = None
    contact_3: str | None = None
    logo_file: str | None = None
    currency: str = "EUR"
    tax: float | None = None
    price_step: float = 0.01
    paper: str = "A4"
    footer: str | None = None

    @property
    def contact_lines(self) -> tuple[str, ...]:
        """The contact lines that are filled, in order."""
        return tuple(line for line in (self.contact_1, self.contact_2, self.contact_3) if line)


@dataclass(frozen=True, kw_only=True)
class Rule(Record):
    """One rule of the trade as a number; `value` in the unit that `unit` names (converted by `Practice`)."""

    value: float
    unit: str = ""
    source: str = "common practice, no source"
    help: str = ""


@dataclass(frozen=True)
class Practice:
    """The rules of the trade, by name; `practice["name"]` is the value in SI units."""

    rules: Mapping[str, Rule]

    def __getitem__(self, name: str) -> float:
        rule = self.rules[name]
        return rule.value * columns.UNITS[rule.unit]

    @property
    def loudspeakers_a_kit(self) -> int:
        """How many loudspeakers are sold as one kit; reading takes whole numbers only."""
        return round(self["loudspeakers a kit"])

    def rule_of_load(self, surroundings: str) -> str:
        """The rule that tells which rated impedance the usual amplifier accepts there; a workbook of before has none for vehicles."""
        name = "lowest rated impedance in a vehicle"
        return name if surroundings == "vehicle" and name in self.rules else "lowest rated impedance"

    def lowest_rated_ohm(self, surroundings: str) -> float:
        """Lowest rated impedance (ohm) that the usual amplifier accepts there."""
        return self[self.rule_of_load(surroundings)]

    def least_load_ohm(self, surroundings: str) -> float:
        """The lowest load (ohm) that it accepts there."""
        return self["rated impedance share"] * self.lowest_rated_ohm(surroundings)

    def source(self, name: str) -> str:
        """Where the rule comes from and where it can be changed."""
        return f"practice: {name} ({self.rules[name].source})"

    @cached_property
    def programme(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Programme spectrum: octave-band centres (n,) Hz and relative band levels (n,) dB."""
        prefix = "programme level "
        bands = sorted(
            (float(name.removeprefix(prefix).removesuffix(" Hz")), rule.value)
            for name, rule in self.rules.items()
            if name.startswith(prefix)
        )
        table = np.array(bands, dtype=float)
        return table[:, 0], table[:, 1]


@dataclass(frozen=True, eq=False)
class MeasuredCurve:
    """A measured file: (n,) Hz ascending, (n,) dB or ohm, and (n,) rad, wrapped or not, where it has a phase.

    `remarks` is what the reader of the file noticed, each a clause.
    """

    frequency_hz: NDArray[np.float64]
    magnitude: NDArray[np.float64]
    phase_rad: NDArray[np.float64] | None
    file: str
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Case:
    """A pairing with every record it names at hand: all that one assessment reads.

    `curves` maps (driver id, "response" or "impedance") to its measured curve, and (driver id, "response h30") to the
    one at an angle; `measured_in` maps IDs to the cabinets in which they were measured.
    """

    pairing: Pairing
    low: LowDriver
    high: HighDriver
    guide: Waveguide | None
    cabinet: Cabinet
    technology: Technology
    practice: Practice
    maker: Maker
    stock: tuple[StockPart, ...] = ()
    curves: Mapping[tuple[str, str], MeasuredCurve] = field(default_factory=dict)
    measured_in: Mapping[str, Cabinet] = field(default_factory=dict)


@dataclass(frozen=True)
class Catalogue:
    """A whole workbook: records by ID and sheet, and everything found wrong while reading."""

    path: str
    fingerprint: str
    low_drivers: Mapping[str, LowDriver]
    high_drivers: Mapping[str, HighDriver]
    waveguides: Mapping[str, Waveguide]
    cabinets: Mapping[str, Cabinet]
    pairings: Mapping[str, Pairing]
    parts: Mapping[str, StockPart]
    enquiries: Mapping[str, Enquiry]
    technologies: Mapping[str, Technology]
    maker: Maker
    practice: Practice
    curves: Mapping[tuple[str, str], MeasuredCurve] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    unreadable: Mapping[str, tuple[Problem, ...]] = field(default_factory=dict)
    """Pairings that stand in the workbook but cannot be assessed: ID (or `Pairings!A7`) -> its errors."""

    @cached_property
    def stock(self) -> tuple[StockPart, ...]:
        """All parts of the Parts sheet."""
        return tuple(self.parts.values())

    def case(self, pairing: Pairing) -> Case:
        """Gather what `pairing` names; CannotAssess names the ID that leads nowhere."""

        def find(table: Mapping[str, T], key: str, field_name: str) -> T:
            if key not in table:
                raise CannotAssess(f"{pairing.origin.place(field_name)}: {key} cannot be used; see its own row")
            return table[key]

        low, high = (
            find(self.low_drivers, pairing.low_id, "low_id"),
            find(self.high_drivers, pairing.high_id, "high_id"),
        )
        curves = {key: curve for key, curve in self.curves.items() if key[0] in (low.id, high.id)}
        wheres = [place or "" for one in (low, high) for place in (one.response_measured, one.impedance_measured)]
        return Case(
            pairing=pairing,
            low=low,
            high=high,
            guide=find(self.waveguides, pairing.guide_id, "guide_id") if pairing.guide_id else None,
            cabinet=_as_cut(find(self.cabinets, pairing.cabinet_id, "cabinet_id"), pairing),
            technology=find(self.technologies, high.technology, "high_id"),
            practice=self.practice,
            maker=self.maker,
            stock=self.stock,
            curves=curves,
            measured_in={name: self.cabinets[name] for name in wheres if name in self.cabinets},
        )


def _as_cut(cabinet: Cabinet, pairing: Pairing) -> Cabinet:
    """The cabinet with the high driver where this pairing has it."""
    if pairing.high_from_top_m is None:
        return cabinet
    return replace(cabinet, high_from_top_m=pairing.high_from_top_m)
