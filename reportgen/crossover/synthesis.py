"""Design of both branches for two real drivers: forms tried, values fitted, parts chosen, reasons kept.

Knows the drivers as response and impedance at the seat, and the acoustic target. Refuses to know baffles,
listeners or verdicts: it reports what was reached and what it costs.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.frequencies import nearest
from reportgen.acoustics.slopes import Slope, high_pass, low_pass, polarity
from reportgen.crossover.bundle import Losses
from reportgen.crossover.fitting import LIMITS, REFERENCE_PA, BranchTask, Fitted, level_of, limits_of, target_weight
from reportgen.crossover.forms import Forms, fit_forms, form_of
from reportgen.crossover.joint import JointFit, JointTask
from reportgen.crossover.networks import Branch, Component, Kind
from reportgen.crossover.pairs import FEWEST, Ladder, ladder_of, parts_of, settled
from reportgen.crossover.parts import offered_at, preferred_values, stock_candidates, stock_limits, without_needless
from reportgen.crossover.reached import Bench
from reportgen.crossover.reasons import Grounds, reasons
from reportgen.crossover.selection import Selected, pieces_of, price_of, select, shop_of
from reportgen.crossover.sides import DesignOptions, Side, figures_of
from reportgen.crossover.topologies import FRONT, PAD, windows_of
from reportgen.crossover.voicing import LEVEL_SLACK_DB, Band, Voicing, reachable_level, smoothed, within

__all__ = ["Design", "DesignOptions", "Side", "Step", "Trial", "explored", "ladder"]

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]

NEAR_POINTS, FAR_POINTS = 12, 4
"""So many points an octave are fitted near the crossover, from f_c/2 to 2 f_c, and elsewhere in the voiced band."""

WATCH_POINTS = 6
"""To either side of the fit the impedance is watched at these."""

FLOOR_MARGIN = 1.03
"""So far above the lowest load allowed the design stays: between two frequencies the modulus may dip."""

PAD_FROM_DB = 0.5
"""A level difference below this is left to the filter (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Trial:
    """One form that was fitted: which branch, what it consists of, its weighted rms error, and its parts."""

    branch: str
    form: str
    rms_db: float
    parts: int


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the ladder of networks: what so many pieces reach and cost.

    Pieces are counted as bought. `price` is that of the network, None where one of its pieces has none; the others as
    in `Design`, with the largest departure of a third of an octave and of bass and treble from the target.
    `failed`, `marginal` and `unassessed` are the titles of the checks that it does not pass, `asking` of those marginal ones that
    ask something of the builder; `chosen` is true of the step built.
    """

    pieces: int
    price: float | None
    rms_db: float
    worst_db: float
    null_db: float
    least_ohm: float
    good_share: float
    evenness_db: float
    balance_db: tuple[float, float]
    failed: tuple[str, ...] = ()
    marginal: tuple[str, ...] = ()
    chosen: bool = False
    unassessed: tuple[str, ...] = ()
    asking: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Design:
    """Both branches with real parts, what they reach, and why they look so.

    `target_db` is the passband level at the seat for 2.83 V; `sum_rms_db` is the sum against the target's
    sum, with its worst deviation, from f_c/2 to 2 f_c, which stands at `sum_worst_hz`. `phase_worst_rad` is the largest turn between the branches where both are within 12 dB of each
    other. `error_db` is the weighted error of all that was fitted, `optimum_rms_db` that of the continuous
    optimum and `loss_db` what the real parts add. `shortfall_db` > 0 is how far the high side stays below the low side, which no pad can mend.
    `evenness_db` and `balance_db` are the departures over the voiced band (see `Voicing`), `loud_db` how far a branch stands
    above its target at most, `least_ohm` the lowest load.
    `pieces` counts as bought. `ladder` holds the steps this one was chosen from, where somebody chose.
    """

    slope: Slope
    crossover_hz: float
    low: Branch
    high: Branch
    high_reversed: bool
    pad_db: float
    target_db: float
    shortfall_db: float
    sum_rms_db: float
    sum_worst_db: float
    sum_worst_hz: float
    phase_worst_rad: float
    null_db: float
    evenness_db: float
    balance_db: tuple[float, float]
    loud_db: float
    least_ohm: float
    error_db: float
    optimum_rms_db: float
    loss_db: float
    reasons: tuple[str, ...]
    trials: tuple[Trial, ...]
    price: float | None
    pieces: int
    missed: float
    ladder: tuple[Step, ...] = ()


def _checked(low: Side, high: Side, crossover_hz: float) -> None:
    if low.frequency_hz.shape != high.frequency_hz.shape or not np.allclose(low.frequency_hz, high.frequency_hz):
        raise ValueError("the two sides stand on different frequencies; give both on the same grid")
    f = low.frequency_hz
    if f[0] > 0.5 * crossover_hz or f[-1] < 2.0 * crossover_hz:
        raise ValueError(
            f"the curves run from {f[0]:.0f} to {f[-1]:.0f} Hz; a crossover at {crossover_hz:.0f} Hz needs them "
            "from an octave below to an octave above"
        )
    for name, side in (("low", low), ("high", high)):
        for what, curve in (("response", side.response), ("impedance", side.impedance)):
            if curve.shape != f.shape or not np.all(np.isfinite(curve)) or not np.all(np.abs(curve) > 0.0):
                raise ValueError(f"the {what} of the {name} side must be finite and not 0 at every frequency")


def _grid(frequency: FloatArray, crossover_hz: float, band_hz: tuple[float, float]) -> tuple[NDArray[np.intp], slice]:
    """Indices into the sides' own grid, so that no phase is ever interpolated, and which of them are fitted.

    The others reach to the ends of the grid; there only the impedance is watched.
    """
    near = np.flatnonzero(np.abs(np.log2(frequency / crossover_hz)) <= 1.0001)
    band = np.flatnonzero(within(frequency, band_hz))
    if not band.size:
        raise ValueError(
            f"nothing is left to voice between {band_hz[0]:.0f} and {band_hz[1]:.0f} Hz: the low driver's corner in its box lies too high"
        )
    first, last = min(int(near[0]), int(band[0])), max(int(near[-1]), int(band[-1]))
    fitted = np.unique(
        np.concatenate(
            [
                _spaced(frequency, first, int(near[0]), FAR_POINTS),
                _spaced(frequency, int(near[0]), int(near[-1]), NEAR_POINTS),
                _spaced(frequency, int(near[-1]), last, FAR_POINTS),
            ]
        )
    )
    below = _watched(frequency, 0, first)[:-1]
    above = _watched(frequency, last, len(frequency) - 1)[1:]
    return np.concatenate([below, fitted, above]), slice(len(below), len(below) + len(fitted))


def _spaced(frequency: FloatArray, first: int, last: int, an_octave: int) -> NDArray[np.intp]:
    """Indices from `first` to `last`, at most so many an octave, evenly over the logarithm of frequency."""
    octaves = float(np.log2(frequency[last] / frequency[first]))
    return _at_most(frequency, first, last, max(2, round(octaves * an_octave) + 1))


def _watched(frequency: FloatArray, first: int, last: int) -> NDArray[np.intp]:
    return _at_most(frequency, first, last, WATCH_POINTS)


def _at_most(frequency: FloatArray, first: int, last: int, count: int) -> NDArray[np.intp]:
    if last - first < count:
        return np.arange(first, last + 1)
    wanted = np.geomspace(frequency[first], frequency[last], count)
    return np.unique(nearest(frequency[first : last + 1], wanted) + first)


def _mean_level(side: Side, low_hz: float, high_hz: float) -> float:
    f = side.frequency_hz
    band = (f >= low_hz) & (f <= high_hz)
    if not band.any():
        band[nearest(f, (low_hz * high_hz) ** 0.5)] = True
    return float(np.mean(level_of(side.response[band])))


def _own_db(side: Side, hz: float) -> float:
    """How far a driver itself stands above its mean level within three quarters of an octave."""
    at = int(nearest(side.frequency_hz, hz))
    return float(level_of(side.response[at])) - _mean_level(side, hz / 1.68, hz * 1.68)


def _evened(side: Side, crossover_hz: float) -> ComplexArray:
    """The side's response with its level meant over a third of an octave outside f_c/2 to 2 f_c.

    There only such means are judged, and filters do nothing narrower.
    """
    f, level = side.frequency_hz, level_of(side.response)
    even = smoothed(f, level, 1.0 / 3.0)
    ahead = (level.size - even.size) // 2
    means = np.concatenate([level[:ahead], even, level[ahead + even.size :]])
    means[np.abs(np.log2(f / crossover_hz)) <= 1.0001] = level[np.abs(np.log2(f / crossover_hz)) <= 1.0001]
    return np.asarray(side.response * 10.0 ** ((means - level) / 20.0))


@dataclass(frozen=True, slots=True, eq=False)
class _Case:
    """One question: two drivers, a slope, a frequency, and what may be used."""

    low: Side
    high: Side
    slope: Slope
    crossover_hz: float
    options: DesignOptions

    @property
    def bench(self) -> Bench:
        """Where finished networks are measured."""
        return Bench(self.low, self.high, self.slope, self.crossover_hz, self.options.voicing)

    @property
    def own_ohm(self) -> float:
        """The drivers' own lowest impedance."""
        return min(self.low.least_ohm, self.high.least_ohm)

    @property
    def least_ohm(self) -> float:
        """The lowest load the network may make: what the amplifier bears, no more than the driver's own, and its share."""
        return max(min(self.options.wanted.least_ohm, self.own_ohm), self.options.load_share * self.own_ohm)


def own_band_hz(crossover_hz: float, voicing: Voicing) -> Band:
    """Where the high side's own level is taken (Hz): from 1.4 to 4 times the crossover, but hardly further than it is voiced."""
    return 1.4 * crossover_hz, max(min(4.0 * crossover_hz, voicing.high_hz), 2.0 * crossover_hz)


def levels_of(low: Side, high: Side, slope: Slope, fc: float, voicing: Voicing) -> tuple[float, float, float]:
    """Level (dB) of the low target, of the high one, and the high side's own: what each can reach by taking away."""
    f = low.frequency_hz
    alone = within(f, (min(voicing.low_hz, fc / 2.0), fc))
    wanted = 20.0 * np.log10(voicing.shape(f[alone]) * np.abs(low_pass(slope, f[alone], fc)))
    low_db = reachable_level(f[alone], level_of(low.response[alone]), wanted)
    natural_db = _mean_level(high, *own_band_hz(fc, voicing))
    if natural_db < low_db:  # the slack of the low side is given up before the high one counts as too quiet
        low_db = max(natural_db, low_db - LEVEL_SLACK_DB)
    return low_db, min(low_db, natural_db), natural_db


def _task(
    case: _Case, high: bool, grid: tuple[NDArray[np.intp], slice], level_db: float, octaves: FloatArray
) -> BranchTask:
    side, options = (case.high if high else case.low), case.options
    points, band = grid
    f = side.frequency_hz[points[band]]
    branch = high_pass if high else low_pass
    shape = options.voicing.shape(f) * branch(case.slope, f, case.crossover_hz)
    return BranchTask(
        frequency_hz=side.frequency_hz[points],
        load_ohm=side.impedance[points],
        band=band,
        response=_evened(side, case.crossover_hz)[points[band]],
        shape=shape,
        level_db=level_db,
        weight=target_weight(shape, octaves),
        floor_ohm=min(case.least_ohm, 0.8 * side.least_ohm),
        losses=Losses(options.coil_ohm, options.coil_exponent, options.capacitor_ohm),
        windows=windows_of(figures_of(side)),
    )


AMPLE_DB = 40.0
"""A high driver with so much room above its target never runs out of travel (no source)."""


def _room_db(
    case: _Case, task: JointTask, travel_db: FloatArray | None, grid: tuple[NDArray[np.intp], slice]
) -> FloatArray | None:
    """How far the high branch may stand above its target at the wanted level, from two octaves below the crossover up, (band,)."""
    if travel_db is None:
        return None
    points, band = grid
    hz, sum_db = case.low.frequency_hz[points[band]], 20.0 * np.log10(task.sum_goal / REFERENCE_PA)
    room = np.where(hz >= case.crossover_hz / 4.0, task.high.lost_db + travel_db[points[band]] + sum_db, np.inf)
    return np.asarray(room) if np.min(room) < AMPLE_DB else None


@dataclass(frozen=True, eq=False)
class Explored:
    """Forms of both branches, the joint task they lead to, the pairs of every number of parts, the high side's level.

    Whatever parts may be used; `bench` is where finished networks are measured.
    """

    bench: Bench
    forms: tuple[Forms, Forms]
    task: JointTask
    lows: list[Fitted]
    highs: list[Fitted]
    pairs: Ladder
    natural_db: float

    @cached_property
    def trials(self) -> tuple[Trial, ...]:
        """Every form that was fitted alone."""
        return tuple(
            Trial(name, form_of(one.form), one.rms_db, one.parts)
            for name, tried in (("low", self.lows), ("high", self.highs))
            for one in tried
        )


KEPT = 16
"""So many questions keep their answer: pairings that differ in level or amplifier alone ask the same one again."""


@lru_cache(maxsize=KEPT)
def explored(low: Side, high: Side, slope: Slope, crossover_hz: float, options: DesignOptions) -> Explored:
    """The forms that two drivers may take at one crossover frequency, fitted alone and in pairs, before any part is chosen.

    The target's level is what the low side reaches over the voiced band. Each branch's forms are fitted alone, the pairs
    that promise most are fitted together with sum, phase and load, and parts are left out again as far as it goes.
    ValueError when the curves do not share a grid, do not reach an octave around f_c or are not finite.
    """
    _checked(low, high, crossover_hz)
    case = _Case(low, high, slope, crossover_hz, options)
    fc, voicing = case.crossover_hz, case.options.voicing
    grid = _grid(case.low.frequency_hz, fc, (voicing.low_hz, voicing.high_hz))
    f = case.low.frequency_hz[grid[0][grid[1]]]
    octaves = np.gradient(np.log2(f))
    low_db, high_db, natural_db = levels_of(case.low, case.high, case.slope, fc, voicing)
    low_task, high_task = _task(case, False, grid, low_db, octaves), _task(case, True, grid, high_db, octaves)
    right = polarity(case.slope)
    inside = np.flatnonzero(np.abs(np.log2(f / fc)) <= 1.0001)
    near = slice(int(inside[0]), int(inside[-1]) + 1)
    share = octaves / np.sum(octaves)
    task = JointTask(
        low_task, high_task, right, right, FLOOR_MARGIN * case.least_ohm, near, share, nulled=case.slope.in_phase
    )
    task = replace(task, room_db=_room_db(case, task, high.travel_db, grid))
    surplus = natural_db - low_db
    forms = (
        Forms(low_task, figures_of(case.low), fc, high=False),
        Forms(high_task, figures_of(case.high), fc, high=True, pad_db=surplus if surplus > PAD_FROM_DB else 0.0),
    )
    return _fitted(case.bench, forms, task, natural_db)


def _fitted(bench: Bench, forms: tuple[Forms, Forms], task: JointTask, natural_db: float) -> Explored:
    lows, highs = fit_forms(forms)
    pairs = ladder_of(lows, highs, task, min(FEWEST, 2 * bench.slope.order))
    return Explored(bench, forms, task, lows, highs, pairs, natural_db)


def _for_shelf(found: Explored, options: DesignOptions) -> Explored:
    """The same within the values that the shelf has: settled there, or looked for anew where it lacks what most fits want."""
    kinds: tuple[Kind, ...] = ("C", "L", "R")
    limits: dict[str, tuple[float, float]] = {kind: stock_limits(options.stock, kind) or LIMITS[kind] for kind in kinds}
    low, high = (replace(form, task=replace(form.task, limits=limits)) for form in found.forms)
    task = replace(found.task, low=low.task, high=high.task)

    def holds(fit: JointFit) -> bool:
        parts = (*fit.low.branch.components, *fit.high.branch.components)
        return all(limits[part.kind][0] <= part.value <= limits[part.kind][1] for part in parts)

    best = found.pairs.best
    if sum(map(holds, best.values())) < len(best) / 2:
        return _fitted(found.bench, (low, high), task, found.natural_db)
    lost = [count for count, fit in best.items() if not holds(fit)]
    kept = {**best, **dict(zip(lost, settled([best[count] for count in lost], task), strict=True))}
    return replace(found, forms=(low, high), task=task, pairs=replace(found.pairs, best=kept))


def _candidates(
    component: Component, limits: tuple[float, float], options: DesignOptions, losses: Losses, pairs: bool
) -> tuple[Component, ...]:
    """What may stand in one place, nearest value first; two pieces in one place only where `pairs` are allowed."""
    if options.policy == "stock":
        needed = options.needed(component)
        offers = stock_candidates(options.stock, component, pairs=4 if pairs or needed else 0)
        bearing = tuple(one for one in offers if one.rating is None or one.rating >= needed)
        if bearing or offers:
            return without_needless(bearing or offers)
    series = options.resistor_series if component.kind == "R" else options.series
    values = preferred_values(series, component.value / 2.2, component.value * 2.2)
    values = values[np.argsort(np.abs(np.log(values / component.value)), kind="stable")][:6]
    inside = (values > 0.9 * limits[0]) & (values < 1.1 * limits[1])
    values = values[inside] if inside.any() else values[:1]
    if options.policy == "any":
        values = np.concatenate([[float(f"{component.value:.3g}")], values[:3]])
    coil = [losses.coil_ohm * (v / 1e-3) ** losses.coil_exponent for v in values]
    own = {"L": coil, "C": [losses.capacitor_ohm] * len(values), "R": [0.0] * len(values)}[component.kind]
    made = [replace(component, value=float(v), resistance_ohm=float(r)) for v, r in zip(values, own, strict=True)]
    return tuple(offered_at(options.stock, one) or one for one in made)


def _networks(
    found: Explored,
    options: DesignOptions,
    fits: Sequence[JointFit],
    pairs: bool = False,
    moved_db: Sequence[float] = (0.0,),
) -> list[Design]:
    """The best network of real parts near each of these fits, at its level or that moved by any of `moved_db`."""
    task = found.task

    def offered(fitted: Fitted, side: BranchTask) -> list[tuple[Component, ...]]:
        return [
            _candidates(component, (least, most), options, side.losses, pairs)
            for component, least, most in zip(fitted.branch.components, *limits_of(fitted.branch, side), strict=True)
        ]

    choices = [(offered(fit.low, task.low), offered(fit.high, task.high)) for fit in fits]
    chosen = select(fits, choices, task, found.bench, shop_of(options), moved_db)
    return [_finished(found, options, fit, one) for fit, one in zip(fits, chosen, strict=True)]


@lru_cache(maxsize=KEPT)
def ladder(found: Explored, options: DesignOptions) -> tuple[Design, ...]:
    """Networks of real parts, of the fewest pieces to the most, each the best of its number.

    Parts are chosen for both branches at once. Where from the shelf no network of single pieces meets what is wanted, two
    pieces may stand in one place; and those of fewer pieces join that meet it in another form or at another level.
    """
    if options.policy == "stock":
        found = _for_shelf(found, options)
    best = [fit for _, fit in sorted(found.pairs.best.items())]
    made = _networks(found, options, best)
    if options.policy != "stock":
        return _rising(made)
    least = min((one.pieces for one in made if one.missed == 0.0), default=math.inf)
    if least == math.inf:
        made += _networks(found, options, best, pairs=True)
    fewer = [fit for fit in (*best, *found.pairs.made) if parts_of(fit) < least and _meets(found, options, fit)]
    others = _networks(found, options, fewer, moved_db=OTHER_LEVELS_DB)
    met = _rising([one for one in others if one.missed == 0.0])
    return tuple(sorted((*_rising(made), *met), key=lambda one: one.pieces))


def _meets(found: Explored, options: DesignOptions, fit: JointFit) -> bool:
    """Whether a fit meets what is wanted as long as its values are free."""
    task = found.task
    level_db = min(task.low.level_db, task.high.level_db) + fit.level_shift_db
    reached = found.bench.reached(fit.low.branch, fit.high.branch, fit.sign, level_db)
    return reached.missed(options.wanted, task.nulled) == 0.0


OTHER_LEVELS_DB = (0.0, 0.5, -0.5, 1.0, -1.0, -1.5)
"""So far from the level of a fit a target is tried where the values of a shelf lie too far apart to meet that (no source)."""

LESS_MISSED = 0.02
"""A network of more pieces stands in the ladder only where it misses less by this share, or is nearer by `NEARER_DB`."""

NEARER_DB = 0.03


def _rising(found: Sequence[Design]) -> tuple[Design, ...]:
    """From fewest pieces to most, without those that bring nothing over a smaller one that costs no more."""
    kept: list[Design] = []
    for one in sorted(found, key=lambda design: (design.pieces, design.missed, design.sum_rms_db)):
        if all(one.missed < less.missed - LESS_MISSED or one.error_db < less.error_db - NEARER_DB for less in kept):
            kept.append(one)
    return tuple(kept)


def _finished(found: Explored, options: DesignOptions, fit: JointFit, chosen: Selected) -> Design:
    task, shift, bench = found.task, chosen.shift_db, found.bench
    levels = task.low.level_db + shift, task.high.level_db + shift
    shortfall = max(0.0, levels[0] - found.natural_db)
    padded = any(component.role in (PAD, FRONT) for component in chosen.high.components)
    pad_db = max(found.natural_db - levels[1], 0.0) if padded else 0.0
    result = bench.reached(chosen.low, chosen.high, fit.sign, min(levels))
    grounds = Grounds(
        slope=bench.slope,
        options=options,
        fits=[fit, *found.pairs.made],
        selected=chosen,
        optimum_db=fit.missed_db,
        pad_db=pad_db,
        shortfall_db=shortfall,
        sum_worst_db=result.sum_worst_db,
        sum_worst_hz=result.sum_worst_hz,
        own_db=(_own_db(bench.low, result.sum_worst_hz), _own_db(bench.high, result.sum_worst_hz)),
    )
    return Design(
        slope=bench.slope,
        crossover_hz=bench.crossover_hz,
        low=chosen.low,
        high=chosen.high,
        high_reversed=fit.sign < 0,
        pad_db=pad_db,
        target_db=min(levels),
        shortfall_db=shortfall,
        error_db=chosen.rms_db,
        optimum_rms_db=fit.missed_db,
        loss_db=chosen.rms_db - fit.missed_db,
        reasons=reasons(grounds),
        trials=found.trials,
        price=price_of(chosen.components),
        pieces=pieces_of(chosen.components),
        missed=result.missed(options.wanted, task.nulled),
        **asdict(result),
    )
