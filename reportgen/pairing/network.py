"""The network of a pairing and all that is worked out from it, put together.

Knows in which order model and designed branches make figures. Refuses to judge them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.slopes import target_sum
from reportgen.crossover.circuit import Circuit, Leg, circuit_of
from reportgen.crossover.reached import Bench
from reportgen.crossover.synthesis import Design, Explored, explored, ladder, own_band_hz
from reportgen.crossover.voicing import TREBLE_HZ, Voicing
from reportgen.pairing.assembly import Assembly, assembly
from reportgen.pairing.curves import Curves, curves_of
from reportgen.pairing.directions import lobe_of
from reportgen.pairing.electrical import Electrical, electrical_of
from reportgen.pairing.figures import Figures, Heard
from reportgen.pairing.heat import Heat
from reportgen.pairing.measuring import measured_breakup_hz
from reportgen.pairing.options import options_for
from reportgen.pairing.parts_list import PartLine, as_bought, needed, part_lines
from reportgen.pairing.reach import Reach, reach_of
from reportgen.pairing.readings import Reading, netlist_of, readings_of
from reportgen.pairing.response import FREQUENCY_HZ, Model
from reportgen.pairing.shopping import cost_of, drivers_of, total
from reportgen.pairing.sums import ComplexArray, Optimum, Sums, db
from reportgen.pairing.tolerances import SpreadFigures, spread_figures
from reportgen.pairing.voiced import Barred, barred, voicing_of

FloatArray = NDArray[np.float64]


BELOW_HZ = 100.0
"""Here it is told how far an open baffle, which is not voiced so low, stays under the target."""


@dataclass(frozen=True, slots=True)
class Unsure:
    """How far the sum strays at the worst where the drivers are otherwise than the model fills in: around the crossover, and by thirds (dB)."""

    worst_db: float
    thirds_db: float


@dataclass(frozen=True)
class Engineered:
    """A designed pairing: the network, what it does, and the figures that the checks ask for (dB, Hz, ohm).

    `curves` are None where only the figures were kept, the traces of `spread` empty where nothing is drawn. A network that is not built has no `readings`, `assembly` and `netlist`.
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
    break_up_db: float | None
    resonance_db: float | None
    level_surplus_db: float
    sum_deviation_db: float
    reversed_depth_db: float
    lobe_rad: float
    lobe_db: float
    reachable_db: float
    reachable_hz: float
    reachable_cause: str
    heat: Heat
    unsure: Unsure | None

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

    @property
    def optima(self) -> tuple[Optimum, ...]:
        """What was fitted, of every number of parts, before any part is chosen; ValueError as `of`."""
        return tuple(Optimum(self.model, fit) for fit in self._explored.pairs.best.values())

    def of(self, policy: str) -> tuple[Engineered, ...]:
        """From the fewest pieces to the most, without curves; ValueError when there is none.

        Where parts of the shelf do not bear the programme, networks follow whose parts there do, two pieces in one place
        if need be.
        """
        options = options_for(self.model.setting, self.voicing, policy)
        found: list[Engineered] = []
        for _ in range(1 + REBUYS):
            made = [self._engineered(one) for one in ladder(self._explored, options)]
            found += made
            weak = [part for each in made for part in each.parts if part.under_rated]
            if not weak:
                break
            practice = self.model.setting.case.practice
            asked = [(part.role, part.kind, needed(part, practice)) for part in weak]
            options = replace(options, needs=(*options.needs, *asked))
        return tuple(found)

    def _engineered(self, found: Design) -> Engineered:
        """All that follows from a network, once for the same parts under any policy."""
        key = (found.low, found.high, found.high_reversed, found.target_db, found.shortfall_db)
        same = self._made.get(key)
        if same is None:
            self._made[key] = same = engineered(self.model, found, self.voicing)
            return same
        bought = same.design
        return replace(same, design=replace(found, low=bought.low, high=bought.high, price=bought.price))

    @cached_property
    def _made(self) -> dict[tuple[object, ...], Engineered]:
        return {}


def finished(model: Model, network: Engineered) -> Engineered:
    """The network with everything that is drawn of it, how it is put together, and what to measure and simulate."""
    sums, design, voicing = Sums(model, network.design), network.design, voicing_of(model)
    bench = Bench(model.low_side, model.high_side, design.slope, design.crossover_hz, voicing)
    options = options_for(model.setting, voicing, model.setting.case.pairing.parts_policy)
    loads = [(part.current_rms_a or 0.0, needed(part, model.setting.case.practice)) for part in network.parts]
    setting = model.setting
    made = assembly(design, network.circuit, loads, bench, options, setting.given_up_db, setting.bass_made_good_by)
    wanted_db = target_db(design, voicing)
    return replace(
        network,
        curves=curves_of(sums, reach_of(sums), wanted_db),
        spread=spread_figures(sums, wanted_db, drawn=True),
        readings=readings_of(sums),
        assembly=made,
        netlist=netlist_of(sums, network.circuit),
    )


def engineered(model: Model, found: Design, voicing: Voicing) -> Engineered:
    """All that follows from a network and is judged."""
    sums = Sums(model, found)
    stress = sums.stress()
    if model.setting.case.pairing.parts_policy != "stock":
        found, stress = as_bought(found, stress)
    lobe = lobe_of(sums)
    circuit = circuit_of((Leg("low", found.low), Leg("high", found.high, found.high_reversed)))
    parts = part_lines(found, stress)
    reach = reach_of(sums)
    most_db, most_hz, cause = reach.least(found.crossover_hz)
    heard = Heard(
        FREQUENCY_HZ,
        db(sums.low + sums.high),
        target_db(found, voicing),
        voicing,
        model.setting.case.pairing.distance_m,
    )
    parts_price, electrical = total((part.price, 1) for part in parts), electrical_of(sums)
    return Engineered(
        design=found,
        curves=None,
        parts=parts,
        parts_price=parts_price,
        electrical=electrical,
        spread=spread_figures(sums, heard.target_db),
        readings=(),
        circuit=circuit,
        assembly=None,
        netlist="",
        figures=_figures(sums, heard, electrical, parts, parts_price, reach),
        uneven=barred(model, heard, found.crossover_hz, heard.uneven_hz),
        bass_off=barred(model, heard, found.crossover_hz, *voicing.bass_hz),
        treble_off=barred(model, heard, found.crossover_hz, *TREBLE_HZ),
        below_db=float(np.interp(math.log(BELOW_HZ), np.log(FREQUENCY_HZ), heard.error_db)),
        break_up_db=_break_up_db(sums, heard.target_db),
        resonance_db=_down_db(model.setting.resonance.fs_hz, sums.high, heard.target_db),
        level_surplus_db=_surplus_db(model, found, voicing),
        sum_deviation_db=abs(found.sum_worst_db),
        reversed_depth_db=-found.null_db,
        lobe_rad=lobe[0],
        lobe_db=lobe[1],
        reachable_db=most_db,
        reachable_hz=most_hz,
        reachable_cause=cause,
        heat=sums.heat,
        unsure=_unsure(model, found, voicing),
    )


def _unsure(model: Model, found: Design, voicing: Voicing) -> Unsure | None:
    """What the network would do if the drivers were otherwise than filled in; None where nothing of the kind is."""
    benches = [Bench(one.low_side, one.high_side, found.slope, found.crossover_hz, voicing) for one in model.otherwise]
    sign = -1 if found.high_reversed else 1
    ends = [bench.reached(found.low, found.high, sign, found.target_db) for bench in benches]
    if not ends:
        return None
    return Unsure(max(abs(end.sum_worst_db) for end in ends), max(abs(end.evenness_db) for end in ends))


def target_db(found: Design, voicing: Voicing) -> FloatArray:
    """Wanted level of the sum at the seat for 2.83 V (dB) over `FREQUENCY_HZ`."""
    wanted = np.abs(target_sum(found.slope, FREQUENCY_HZ, found.crossover_hz))
    return np.asarray(found.target_db + 20.0 * np.log10(wanted * voicing.shape(FREQUENCY_HZ)))


def _surplus_db(model: Model, found: Design, voicing: Voicing) -> float:
    """How much louder (dB) the high side is than the target asks, on the mean of the band where its own level is taken."""
    if found.shortfall_db > 0.0:
        return -found.shortfall_db
    least_hz, most_hz = own_band_hz(found.crossover_hz, voicing)
    band = (FREQUENCY_HZ >= least_hz) & (FREQUENCY_HZ <= most_hz)
    return float(np.mean(db(model.high_side.response[band]))) - found.target_db


def _break_up_db(sums: Sums, target_db: FloatArray) -> float | None:
    """How far the low branch lies under the target where the cone breaks up (dB); None where nobody knows where, or above the grid."""
    return _down_db(sums.model.setting.case.low.breakup_hz or measured_breakup_hz(sums.model), sums.low, target_db)


def _down_db(hz: float | None, heard: ComplexArray, target_db: FloatArray) -> float | None:
    """How far a branch lies under the target at a frequency (dB); None where it is unknown or off the grid."""
    if hz is None or not FREQUENCY_HZ[0] <= hz <= FREQUENCY_HZ[-1]:
        return None
    return float(np.interp(math.log(hz), np.log(FREQUENCY_HZ), target_db - db(heard)))


def _figures(
    sums: Sums,
    heard: Heard,
    electrical: Electrical,
    parts: Sequence[PartLine],
    parts_price: float | None,
    reach: Reach,
) -> Figures:
    case, model, voicing = sums.model.setting.case, sums.model, heard.voicing
    crossover_hz, power_w = sums.design.crossover_hz, case.pairing.amplifier_power_w
    most_db, _, cause = reach.least(crossover_hz)
    count, stands = case.practice.loudspeakers_a_kit, sums.heat.stands
    return Figures(
        sensitivity_db=heard.sensitivity_db,
        effective_range_hz=heard.effective_range_hz,
        corner_hz=model.bass_corner_hz,
        voiced_band_hz=(voicing.low_hz, voicing.high_hz),
        shelf_db=voicing.shelf_db,
        balance_db=heard.balance_db,
        evenness_db=heard.evenness_db,
        rated_impedance_ohm=electrical.rated_ohm,
        least_impedance_ohm=electrical.minimum_ohm,
        least_impedance_hz=electrical.minimum_hz,
        highest_level_db=most_db,
        highest_level_cause=cause,
        amplifier_w=(
            reach.amplifier_w(case.pairing.peak_level_db, crossover_hz, power_w),
            None if stands is None else stands * power_w,
        ),
        pieces=sum(max(len(part.made_of), 1) for part in parts),
        network_price=parts_price,
        pair_price=total([(cost_of(drivers_of(case)), count), (parts_price, count)]),
        net_volume_m3=case.cabinet.net_volume_m3 if case.cabinet.kind != "open baffle" else None,
        tuning_hz=case.cabinet.tuning_hz if case.cabinet.kind == "vented" else None,
    )
