"""The network of a pairing and everything that is worked out from it: curves, parts, load, stress, spread, readings.

Knows how the model of both drivers and the designed branches make figures. Refuses to judge them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics import listening
from reportgen.acoustics.air import REFERENCE_PRESSURE_PA
from reportgen.acoustics.drivers import SENSITIVITY_VOLT
from reportgen.acoustics.frequencies import nearest
from reportgen.acoustics.slopes import high_pass, low_pass, target_sum
from reportgen.catalogue.records import Practice, StockPart
from reportgen.crossover import netlist as spice
from reportgen.crossover.circuit import Circuit, Leg, circuit_of
from reportgen.crossover.networks import Branch as Ladder
from reportgen.crossover.networks import (
    Component,
    amplifier_load,
    in_parallel,
    input_impedance,
    transfer,
    with_components,
)
from reportgen.crossover.parts import PartOffer
from reportgen.crossover.reached import Bench
from reportgen.crossover.sides import DesignOptions, Wanted
from reportgen.crossover.spread import DriverTolerance, Pair, Predicate, spread
from reportgen.crossover.spread import within as near
from reportgen.crossover.stress import Margins, PartStress, Programme, branch_stress, rated_voltage
from reportgen.crossover.synthesis import Design, Explored, explored, ladder
from reportgen.crossover.voicing import TREBLE_HZ, Voicing
from reportgen.pairing.as_used import Setting
from reportgen.pairing.assembly import Assembly, assembly
from reportgen.pairing.figures import Figures, Heard
from reportgen.pairing.heat import Heat, heat_of
from reportgen.pairing.indices import INDEX_STEP, drawn_db
from reportgen.pairing.response import FREQUENCY_HZ, Model
from reportgen.pairing.shopping import cost_of, drivers_of, total
from reportgen.pairing.voiced import Barred, barred, voicing_of

Trace = tuple[float, ...]
Branch = Literal["low", "high"]
ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]
Stresses = tuple[tuple[PartStress, ...], tuple[PartStress, ...]]


BELOW_HZ = 100.0
"""Here it is told how far an open baffle, which is not voiced so low, stays under the target."""

REACHED_TO_HZ = 10000.0
"""Up to here the wanted peak level must be reached: programme holds no such tones above (common practice, no source)."""


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
    """One part to buy: SI value, what it stands, what to buy it for. `made_of` are the two values of a pair.

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

    @property
    def unobtainable(self) -> bool:
        """True when no rating customarily sold is enough, nor the part's own."""
        own = self.part_id is not None and not self.under_rated and not self.unrated
        return self.rating_to_buy is None and not own

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


@dataclass(frozen=True)
class Engineered:
    """A designed pairing: the network, what it does, and the figures that the checks ask for (dB, Hz, ohm).

    `curves` are None where only the figures were kept, and so is `assembly` for a network that is not built.
    """

    design: Design
    curves: Curves | None
    parts: tuple[PartLine, ...]
    parts_price: float | None
    electrical: Electrical
    spread: SpreadFigures
    readings: tuple[Reading, ...]
    circuit: Circuit
    assembly: Assembly | None
    netlist: str
    figures: Figures
    uneven: Barred
    bass_off: Barred
    treble_off: Barred
    below_db: float
    level_surplus_db: float
    sum_deviation_db: float
    reversed_depth_db: float
    lobe_rad: float
    lobe_db: float
    reachable_db: float
    reachable_hz: float
    reachable_cause: str
    heat: Heat

    @property
    def under_rated(self) -> tuple[str, ...]:
        """The parts in stock that do not bear the programme."""
        return tuple(part.label for part in self.parts if part.under_rated)

    @property
    def unobtainable(self) -> tuple[str, ...]:
        """The parts for which no rating customarily sold is enough."""
        return tuple(part.label for part in self.parts if part.unobtainable)


REBUYS = 2
"""So often the search starts again with what parts of the shelf were found to need."""


@dataclass(frozen=True)
class Networks:
    """The networks that a pairing may have at one crossover (Hz), found once and built from parts under any policy."""

    model: Model
    crossover_hz: float

    @cached_property
    def voicing(self) -> Voicing:
        """How the pairing is to sound."""
        return voicing_of(self.model)

    @cached_property
    def _explored(self) -> Explored:
        sides, slope = (self.model.low_side, self.model.high_side), self.model.setting.slope
        return explored(*sides, slope, self.crossover_hz, options_for(self.model.setting, self.voicing, "any"))

    def of(self, policy: str) -> tuple[Engineered, ...]:
        """From the fewest pieces to the most, without curves; ValueError when there is none.

        Where parts of the shelf do not bear the programme, networks follow whose parts there do, two pieces in one place
        if need be.
        """
        options = options_for(self.model.setting, self.voicing, policy)
        found: list[Engineered] = []
        for _ in range(1 + REBUYS):
            made = [engineered(self.model, one, self.voicing) for one in ladder(self._explored, options)]
            found += made
            weak = [part for each in made for part in each.parts if part.under_rated]
            if not weak:
                break
            practice = self.model.setting.case.practice
            asked = [(part.role, part.kind, needed(part, practice)) for part in weak]
            options = replace(options, needs=(*options.needs, *asked))
        return tuple(found)


def needed(part: PartLine, practice: Practice) -> float:
    """The rating that a part's stress asks for with the margin of the Practice sheet (V, A, W)."""
    margin, stress = {
        "C": ("voltage margin", part.voltage_peak_v),
        "L": ("current margin", part.current_rms_a),
        "R": ("power margin", part.power_w),
    }[part.kind]
    return practice[margin] * (stress or 0.0)


def finished(model: Model, network: Engineered) -> Engineered:
    """The network with everything that is drawn of it, and how it is put together."""
    sums, design, voicing = _Sums(model, network.design), network.design, voicing_of(model)
    bench = Bench(model.low_side, model.high_side, design.slope, design.crossover_hz, voicing)
    options = options_for(model.setting, voicing, model.setting.case.pairing.parts_policy)
    loads = [(part.current_rms_a or 0.0, needed(part, model.setting.case.practice)) for part in network.parts]
    made = assembly(design, network.circuit, loads, bench, options)
    curves = _curves(sums, _reach(sums), _target_db(design, voicing))
    return replace(network, curves=curves, assembly=made)


def _as_bought(found: Design, stress: Stresses) -> tuple[Design, Stresses]:
    """The design with what it takes from the Parts sheet only where that bears the programme; else it is bought elsewhere."""
    weak = {load.component for branch in stress for load in branch if load.underrated}
    if not weak:
        return found, stress

    def freed(part: Component) -> Component:
        return replace(part, part_id=None, price=None, rating=None) if part in weak else part

    low, high = (
        with_components(branch, tuple(freed(part) for part in branch.components)) for branch in (found.low, found.high)
    )
    loads = [
        tuple(replace(one, component=freed(one.component), underrated=None) if one.underrated else one for one in b)
        for b in stress
    ]
    return replace(found, low=low, high=high, price=None), (loads[0], loads[1])


def engineered(model: Model, found: Design, voicing: Voicing) -> Engineered:
    """All that follows from a network, but its curves."""
    sums = _Sums(model, found)
    stress = sums.stress()
    if model.setting.case.pairing.parts_policy != "stock":
        found, stress = _as_bought(found, stress)
    reach = _reach(sums)
    lobe = _lobe(sums)
    circuit = circuit_of((Leg("low", found.low), Leg("high", found.high, found.high_reversed)))
    parts = _part_lines(found, stress)
    near = (FREQUENCY_HZ >= found.crossover_hz / 4.0) & (FREQUENCY_HZ <= REACHED_TO_HZ)
    lowest = int(np.argmin(np.where(near, reach.level_db, np.inf)))
    most = float(reach.level_db[lowest]), reach.cause[lowest]
    heard = Heard(
        FREQUENCY_HZ,
        _db(sums.low + sums.high),
        _target_db(found, voicing),
        voicing,
        model.setting.case.pairing.distance_m,
    )
    parts_price, electrical = total((part.price, 1) for part in parts), _electrical(sums)
    return Engineered(
        design=found,
        curves=None,
        parts=parts,
        parts_price=parts_price,
        electrical=electrical,
        spread=_spread(sums),
        readings=_readings(sums),
        circuit=circuit,
        assembly=None,
        netlist=_netlist(sums, circuit),
        figures=_figures(sums, heard, electrical, parts, parts_price, most),
        uneven=barred(model, heard, found.crossover_hz, heard.uneven_hz),
        bass_off=barred(model, heard, found.crossover_hz, *voicing.bass_hz),
        treble_off=barred(model, heard, found.crossover_hz, *TREBLE_HZ),
        below_db=float(np.interp(math.log(BELOW_HZ), np.log(FREQUENCY_HZ), heard.error_db)),
        level_surplus_db=_surplus_db(model, found),
        sum_deviation_db=abs(found.sum_worst_db),
        reversed_depth_db=-found.null_db,
        lobe_rad=lobe[0],
        lobe_db=lobe[1],
        reachable_db=most[0],
        reachable_hz=float(FREQUENCY_HZ[lowest]),
        reachable_cause=most[1],
        heat=sums.heat,
    )


def _target_db(found: Design, voicing: Voicing) -> FloatArray:
    """Wanted level of the sum at the seat for 2.83 V (dB) over `FREQUENCY_HZ`."""
    wanted = np.abs(target_sum(found.slope, FREQUENCY_HZ, found.crossover_hz))
    return np.asarray(found.target_db + 20.0 * np.log10(wanted * voicing.shape(FREQUENCY_HZ)))


def _surplus_db(model: Model, found: Design) -> float:
    """How much louder (dB) the high side is than the target asks, on the mean from 1.4 to 4 times the crossover."""
    if found.shortfall_db > 0.0:
        return -found.shortfall_db
    band = (FREQUENCY_HZ >= 1.4 * found.crossover_hz) & (FREQUENCY_HZ <= 4.0 * found.crossover_hz)
    return float(np.mean(_db(model.high_side.response[band]))) - found.target_db


def options_for(setting: Setting, voicing: Voicing, policy: str) -> DesignOptions:
    """What the Practice and Parts sheets allow the design to use."""
    case = setting.case
    kit = max(int(case.practice["loudspeakers a kit"]), 1)
    return DesignOptions(
        policy=policy,  # type: ignore[arg-type] # the list of columns.py
        stock=tuple(_offer(part, kit) for part in case.stock),
        coil_ohm=case.practice["coil resistance at 1 mH"],
        wanted=_wanted(setting),
        load_share=case.practice["least load share"],
        money_a_db=case.practice["worth of a decibel"],
        pieces_a_db=case.practice["pieces a decibel"],
        voicing=voicing,
    )


def _wanted(setting: Setting) -> Wanted:
    """What a network must meet to pass every check that the Practice sheet asks of it."""
    practice = setting.case.practice
    return Wanted(
        worst_db=practice["sum deviation limit"] - practice["level margin"],
        loud_db=setting.slope_room_db,
        third_db=practice["third octave limit"],
        balance_db=practice["balance limit"],
        null_db=practice["reversed null depth"],
        least_ohm=practice["rated impedance share"] * practice["lowest rated impedance"],
    )


def _offer(part: StockPart, kit: int) -> PartOffer:
    """A part as one loudspeaker may use it: its share of the shelf when a kit has so many loudspeakers."""
    kind = {"capacitor": "C", "inductor": "L", "resistor": "R"}[part.kind]
    return PartOffer(
        part.id, kind, part.value, part.tolerance, part.resistance_ohm or 0.0, part.rating,  # type: ignore[arg-type]
        part.rating_unit or "", part.price, None if part.stock is None else part.stock // kit,
    )  # fmt: skip


@dataclass(frozen=True)
class _Sums:
    """Both branches on their drivers: transfers, pressures at the seat, impedances; (frequency,) arrays."""

    model: Model
    design: Design

    @cached_property
    def low_gain(self) -> ComplexArray:
        """Voltage at the low drivers per volt of the amplifier."""
        return transfer(self.design.low, self.model.low_side.impedance, FREQUENCY_HZ)

    @cached_property
    def high_gain(self) -> ComplexArray:
        """Voltage at the high drivers per volt of the amplifier, negative where they are reversed."""
        sign = -1.0 if self.design.high_reversed else 1.0
        return np.asarray(sign * transfer(self.design.high, self.model.high_side.impedance, FREQUENCY_HZ))

    @cached_property
    def impedance(self) -> ComplexArray:
        """What the amplifier sees (ohm)."""
        sides = ((self.design.low, self.model.low_side), (self.design.high, self.model.high_side))
        return in_parallel(*(input_impedance(branch, side.impedance, FREQUENCY_HZ) for branch, side in sides))

    @property
    def low(self) -> ComplexArray:
        """Pressure of the low branch at the seat (Pa for 2.83 V)."""
        return np.asarray(self.model.low_side.response * self.low_gain)

    @property
    def high(self) -> ComplexArray:
        """Pressure of the high branch at the seat, in its polarity."""
        return np.asarray(self.model.high_side.response * self.high_gain)

    @property
    def voltage_v(self) -> float:
        """Rms voltage of the amplifier's rated programme power into the rated impedance of the whole."""
        rated = amplifier_load(self.impedance, FREQUENCY_HZ).rated_ohm or 2.0
        return rated_voltage(self.model.setting.case.pairing.amplifier_power_w, rated)

    @cached_property
    def heat(self) -> Heat:
        """Heat of both drivers at the rated programme."""
        low, high = (self.low_gain, self.model.low_side.impedance), (self.high_gain, self.model.high_side.impedance)
        return heat_of(self.model.setting.case, self.voltage_v, low, high)

    def stress(self) -> Stresses:
        """Stress of every part of both branches at the rated programme."""
        practice = self.model.setting.case.practice
        programme = Programme(*practice.programme, practice["programme crest factor"])
        margins = Margins(practice["voltage margin"], practice["current margin"], practice["power margin"])
        sides = ((self.design.low, self.model.low_side), (self.design.high, self.model.high_side))
        low, high = (
            branch_stress(branch, side.impedance, FREQUENCY_HZ, programme, self.voltage_v, margins)
            for branch, side in sides
        )
        return low, high

    def weighted_sources(self, at: NDArray[np.intp]) -> tuple[listening.Source, ...]:
        """Every source behind its filter, at the grid frequencies with index `at`."""
        sides = ((self.model.low_sources, self.low_gain), (self.model.high_sources, self.high_gain))
        return tuple(
            replace(source, response=(source.response * gain)[at]) for sources, gain in sides for source in sources
        )


def _db(pressure: ComplexArray | FloatArray) -> FloatArray:
    return np.asarray(20.0 * np.log10(np.maximum(np.abs(pressure), 1e-12) / REFERENCE_PRESSURE_PA))


def _trace(values: Iterable[float]) -> Trace:
    return tuple(float(value) for value in values)


# --- curves -------------------------------------------------------------------------------------------------------

ARC_RAD: FloatArray = np.radians(np.arange(-45.0, 45.1, 1.5))
ARC_TOP_HZ = (10000.0, 15000.0)
"""Besides an octave around the crossover the arcs are worked out here, where tall and wide radiators narrow."""

LOBE_STEPS = 41
"""Directions inside the window at which the lobe is looked for; the seat is the middle one."""

STEEPEST_RAD = math.radians(85.0)
"""No listener is looked for further from the horizontal."""


def _curves(sums: _Sums, reach: _Reach, target_db: FloatArray) -> Curves:
    setting, found = sums.model.setting, sums.design
    fc, slope = found.crossover_hz, found.slope
    flat = target_sum(slope, FREQUENCY_HZ, fc)
    low_t, high_t = (
        target_db + 20.0 * np.log10(np.maximum(np.abs(branch(slope, FREQUENCY_HZ, fc) / flat), 1e-9))
        for branch in (low_pass, high_pass)
    )
    at = nearest(FREQUENCY_HZ, (fc / math.sqrt(2), fc, fc * math.sqrt(2), *ARC_TOP_HZ))
    indices = _index_traces(sums)
    return Curves(
        frequency_hz=_trace(FREQUENCY_HZ),
        low_db=_trace(_db(sums.low)),
        high_db=_trace(_db(sums.high)),
        sum_db=_trace(_db(sums.low + sums.high)),
        target_db=_trace(target_db),
        low_target_db=_trace(low_t),
        high_target_db=_trace(high_t),
        reversed_db=_trace(_db(sums.low - sums.high)),
        impedance_ohm=_trace(np.abs(sums.impedance)),
        impedance_phase_rad=_trace(np.angle(sums.impedance)),
        low_index_db=indices[0],
        high_index_db=indices[1],
        sum_index_db=indices[2],
        max_level_db=_trace(reach.level_db),
        max_level_cause=reach.cause,
        wanted_level_db=setting.case.pairing.peak_level_db,
        vertical_angle_rad=_trace(ARC_RAD),
        vertical_hz=_trace(FREQUENCY_HZ[at]),
        vertical_db=_arc(sums, at, vertical=True),
        horizontal_angle_rad=_trace(ARC_RAD),
        horizontal_db=_arc(sums, at, vertical=False),
        seated_angle_rad=setting.elevation_rad(setting.case.pairing.ear_height_m),
        standing_angle_rad=setting.elevation_rad(setting.case.practice["standing ear height"]),
    )


def _arc(sums: _Sums, at: NDArray[np.intp], vertical: bool) -> tuple[Trace, ...]:
    """Level of the sum on an arc through the seat, re the seat (dB), one trace a frequency."""
    setting = sums.model.setting
    points = np.concatenate([setting.seat_m[None, :], _arc_points(setting, ARC_RAD, vertical)])
    level = _db(sums.model.heard_at(sums.weighted_sources(at), points, FREQUENCY_HZ[at]))
    return tuple(_trace(level[1:, i] - level[0, i]) for i in range(at.size))


def _arc_points(setting: Setting, angle_rad: FloatArray, vertical: bool) -> FloatArray:
    """Points (A, 3) on an arc through the seat: elevations seen from the high drivers, or azimuths from the middle."""
    x, y, z = setting.seat_m
    if vertical:
        _, y_high, z_high = setting.high_centre_m
        radius = math.hypot(y - y_high, z - z_high)
        y, z = y_high + radius * np.sin(angle_rad), z_high + radius * np.cos(angle_rad)
    else:
        x, z = z * np.sin(angle_rad), z * np.cos(angle_rad)
    return np.stack(np.broadcast_arrays(x, y, z), axis=-1)


def _index_traces(sums: _Sums) -> tuple[Trace, ...]:
    """Directivity indices (dB) of all low drivers, of all high ones with their guides, and of the whole sum."""
    heard = sums.weighted_sources(np.arange(0, FREQUENCY_HZ.size, INDEX_STEP))
    return tuple(_trace(index) for index in drawn_db(sums.model, heard, sums.low, sums.high))


def _lobe(sums: _Sums) -> tuple[float, float]:
    """Loudest direction at the crossover inside the window around the seat, and how much louder it is there (rad, dB).

    In the plane in which the centres stand apart; up, or to the right, is positive.
    """
    setting, half = sums.model.setting, sums.model.setting.lobing_half_window_rad
    at = nearest(FREQUENCY_HZ, [sums.design.crossover_hz])
    seat = 0.0 if setting.sideways else setting.elevation_rad(setting.case.pairing.ear_height_m)
    angle = np.linspace(-half, half, LOBE_STEPS)
    points = _arc_points(setting, np.clip(seat + angle, -STEEPEST_RAD, STEEPEST_RAD), not setting.sideways)
    level = _db(sums.model.heard_at(sums.weighted_sources(at), points, FREQUENCY_HZ[at]))[:, 0]
    best = int(np.argmax(level))
    return float(angle[best]), float(level[best] - level[LOBE_STEPS // 2])


# --- highest level --------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Reach:
    """Highest level at the seat (dB) over the grid and what ends it at each frequency."""

    level_db: FloatArray
    cause: tuple[str, ...]


def _reach(sums: _Sums) -> _Reach:
    """Highest rms tone at the seat: the amplifier's voltage, heat and travel of both sides, whichever ends first.

    Heat counts as of the whole programme whose loudest tone this is; what a hot coil loses is taken off where it is known.
    """
    setting = sums.model.setting
    case = setting.case
    bounds: list[tuple[str, FloatArray]] = [("the amplifier", np.full(FREQUENCY_HZ.size, sums.voltage_v))]
    bounds += [(cause, np.full(FREQUENCY_HZ.size, volts)) for cause, volts in sums.heat.bounds_v]
    if case.low.peak_travel_m is not None:
        travel = sums.model.low_travel_m * np.abs(sums.low_gain)
        bounds.append(
            ("travel of the low driver", SENSITIVITY_VOLT * case.low.peak_travel_m / np.maximum(travel, 1e-12))
        )
    if case.high.peak_travel_m is not None and sums.model.high_travel_m is not None:
        travel = sums.model.high_travel_m * np.abs(sums.high_gain)
        bounds.append(
            ("travel of the high driver", SENSITIVITY_VOLT * case.high.peak_travel_m / np.maximum(travel, 1e-12))
        )
    table = np.array([voltage for _, voltage in bounds])
    which = np.argmin(table, axis=0)
    level = _db(sums.low + sums.high) + 20.0 * np.log10(np.min(table, axis=0) / SENSITIVITY_VOLT) - _hot_db(sums)
    return _Reach(level, tuple(bounds[i][0] for i in which))


def _hot_db(sums: _Sums) -> FloatArray:
    """What both coils lose at the rated programme (dB) over the grid, shared by the pressure of the branches."""
    low, high = (10.0 ** (-(side.compression_db or 0.0) / 20.0) for side in (sums.heat.low, sums.heat.high))
    return _db(sums.low + sums.high) - _db(low * sums.low + high * sums.high)


# --- parts, load, spread ----------------------------------------------------------------------------------------------


def _part_lines(found: Design, stress: Stresses) -> tuple[PartLine, ...]:
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
    )  # fmt: skip


def _electrical(sums: _Sums) -> Electrical:
    load = amplifier_load(sums.impedance, FREQUENCY_HZ)
    low, high = sums.model.low_side, sums.model.high_side
    dc = np.array([1e-3])
    direct = in_parallel(
        input_impedance(sums.design.low, np.array([low.re_ohm or 0.0], dtype=complex), dc),
        input_impedance(sums.design.high, np.array([high.re_ohm or 0.0], dtype=complex), dc),
    )
    return Electrical(
        load.minimum_ohm, load.minimum_hz, load.largest_phase_rad, load.rated_ohm or 0.0, float(np.abs(direct[0]))
    )


def _spread(sums: _Sums, builds: int = 1000) -> SpreadFigures:
    found, practice, fc = sums.design, sums.model.setting.case.practice, sums.design.crossover_hz
    band = (FREQUENCY_HZ >= fc / 2.0) & (FREQUENCY_HZ <= 2.0 * fc)
    low, high = (_toleranced(branch, practice) for branch in (found.low, found.high))
    pair = Pair(sums.model.low_side, low, sums.model.high_side, high, found.high_reversed)
    result = spread(
        pair, (fc / 2.0, 2.0 * fc), _good(sums, band),
        driver=DriverTolerance(practice["driver level tolerance"], resonance_share=practice["driver resonance tolerance"]),
        builds=builds,
    )  # fmt: skip
    worst = next((one for one in result.influences if not one.name.startswith("driver")), None)
    return SpreadFigures(
        _trace(result.frequency_hz), _trace(result.lowest_db), _trace(result.highest_db), result.share_within,
        result.builds, f"{worst.name} of the {worst.branch} branch" if worst else "", worst.change_db if worst else 0.0,
    )  # fmt: skip


def _good(sums: _Sums, band: NDArray[np.bool_]) -> Predicate:
    """A build is good when its sum stays near the design and, where the design does, near enough to the target."""
    found, practice = sums.design, sums.model.setting.case.practice
    near_design = near((sums.low + sums.high)[band], practice["build tolerance"])
    target = np.abs(target_sum(found.slope, FREQUENCY_HZ[band], found.crossover_hz))
    target = target * REFERENCE_PRESSURE_PA * 10.0 ** (found.target_db / 20.0)
    near_target = near(target.astype(np.complex128), practice["sum deviation limit"])
    if not near_target((sums.low + sums.high)[band]):
        return near_design
    return lambda pressure: near_design(pressure) & near_target(pressure)


def _toleranced(branch: Ladder, practice: Practice) -> Ladder:
    """The branch with the Practice sheet's tolerance on every part that states none."""
    usual = {
        kind: practice[f"{name} tolerance"] for kind, name in (("C", "capacitor"), ("L", "inductor"), ("R", "resistor"))
    }
    parts = [replace(c, tolerance=usual[c.kind]) if c.tolerance is None else c for c in branch.components]
    return with_components(branch, tuple(parts))


def _figures(
    sums: _Sums,
    heard: Heard,
    electrical: Electrical,
    parts: Sequence[PartLine],
    parts_price: float | None,
    most: tuple[float, str],
) -> Figures:
    case, model, voicing = sums.model.setting.case, sums.model, heard.voicing
    rated_ohm = electrical.rated_ohm or 2.0
    volts = SENSITIVITY_VOLT * 10.0 ** ((case.pairing.peak_level_db - heard.seat_db) / 20.0)
    count, stands = case.practice["loudspeakers a kit"], sums.heat.stands
    return Figures(
        sensitivity_db=heard.sensitivity_db,
        effective_range_hz=heard.effective_range_hz,
        corner_hz=model.corner_hz,
        voiced_band_hz=(voicing.low_hz, voicing.high_hz),
        shelf_db=voicing.shelf_db,
        balance_db=heard.balance_db,
        evenness_db=heard.evenness_db,
        rated_impedance_ohm=electrical.rated_ohm,
        least_impedance_ohm=electrical.minimum_ohm,
        least_impedance_hz=electrical.minimum_hz,
        highest_level_db=most[0],
        highest_level_cause=most[1],
        amplifier_w=(volts**2 / rated_ohm, None if stands is None else stands * case.pairing.amplifier_power_w),
        pieces=sum(max(len(part.made_of), 1) for part in parts),
        network_price=parts_price,
        pair_price=total([(cost_of(drivers_of(case)), int(count)), (parts_price, int(count))]),
        net_volume_m3=case.cabinet.net_volume_m3 if case.cabinet.kind != "open baffle" else None,
        tuning_hz=case.cabinet.tuning_hz if case.cabinet.kind == "vented" else None,
    )


# --- what to measure, what to simulate -------------------------------------------------------------------------------


def _readings(sums: _Sums) -> tuple[Reading, ...]:
    fc, electrical = sums.design.crossover_hz, _electrical(sums)
    found = [
        Reading(
            "Resistance at the terminals",
            "ohmmeter, nothing else connected",
            electrical.resistance_at_terminals_ohm,
            "ohm",
            0.1,
        )
    ]
    for hz in (fc / 4.0, fc, min(4.0 * fc, 16000.0)):
        at = int(nearest(FREQUENCY_HZ, hz))
        found.append(
            Reading(f"Impedance at {FREQUENCY_HZ[at]:.0f} Hz", "sine through a known resistor, voltages compared",
                    float(np.abs(sums.impedance[at])), "ohm", 0.15)
        )  # fmt: skip
    if sums.design.slope.family == "Linkwitz-Riley":
        found.append(
            Reading("Depth of the null, high driver reversed", f"microphone at the seat, sine near {fc:.0f} Hz; at least half this depth",
                    -sums.design.null_db, "dB", 0.5)
        )  # fmt: skip
    return tuple(found)


def _netlist(sums: _Sums, circuit: Circuit) -> str:
    pairing = sums.model.setting.case.pairing
    try:
        loads = {"low": sums.model.low_load, "high": sums.model.high_load}
    except ValueError as error:
        return f"* no netlist: {spice.plain(str(error), 300)}\n"
    return spice.netlist(f"{pairing.id} {pairing.kit or ''}", circuit, loads)
