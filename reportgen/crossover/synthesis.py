"""Design of both branches for two real drivers: forms tried, values fitted, parts chosen, reasons kept.

Knows the drivers as response and impedance at the seat, and the acoustic target. Refuses to know baffles,
listeners or verdicts: it reports what was reached and what it costs.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from itertools import product
from math import pi

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.slopes import Slope, high_pass, low_pass, polarity, target_sum
from reportgen.crossover.additions import Additions
from reportgen.crossover.exploration import Explorer, charge, form_of
from reportgen.crossover.fitting import (
    LIMITS,
    BranchTask,
    Fitted,
    Losses,
    level_of,
    limits_of,
    target_weight,
)
from reportgen.crossover.growth import JOINT_CHARGE, Grower, merit
from reportgen.crossover.joint import JointFit, JointTask, fit_joint, is_good, joint_square
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.networks import Branch, Component, Kind, transfer
from reportgen.crossover.parts import preferred_values, stock_candidates, stock_limits
from reportgen.crossover.reasons import Grounds, reasons
from reportgen.crossover.selection import Selected, price_of, select
from reportgen.crossover.sides import DesignOptions, Side, figures_of
from reportgen.crossover.topologies import PAD, windows_of
from reportgen.crossover.voicing import PLAIN, Voicing

__all__ = ["Design", "DesignOptions", "Reached", "Side", "Step", "Trial", "design", "reached"]

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]

FIT_OCTAVES = 2.0
FIT_POINTS = 33
"""The fit looks two octaves to either side of f_c, at no more points than these."""

WATCH_POINTS = 8
"""To either side of the fit the impedance is watched at these."""

FLOOR_MARGIN = 1.03
"""So far above the lowest load allowed, or the lower driver's own where that is less, the design stays: between two
frequencies the modulus may dip."""

PAD_FROM_DB = 0.5
"""A level difference below this is left to the filter (common practice, no source)."""


FEW_PAIRS, MORE_PAIRS = 3, 8
"""So many pairs of forms are fitted together; more where the best of them strays."""

SETTLING_EVALUATIONS = 60
"""The fits that compare forms stop early; the one that is kept may run on."""

ACCEPTED_LOSS_DB = 0.15
"""Where real parts lose more than this against the fit, the next best forms are tried with them as well."""


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
    `failed` and `marginal` are the titles of the checks that it does not pass; `chosen` is true of the step built.
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


@dataclass(frozen=True, slots=True)
class Design:
    """Both branches with real parts, what they reach, and why they look so.

    `target_db` is the passband level at the seat for 2.83 V; `low_rms_db`, `high_rms_db` the branches against
    their targets, `sum_rms_db` the sum against the target's sum, each with its worst deviation, from f_c/2 to
    2 f_c; the sum's stands at `sum_worst_hz`. `phase_worst_rad` is the largest turn between the branches where both are within 12 dB of each
    other. `optimum_rms_db` is the weighted error of the continuous optimum and `loss_db` what the real parts
    add. `shortfall_db` > 0 is how far the high side stays below the low side, which no pad can mend.
    """

    slope: Slope
    crossover_hz: float
    low: Branch
    high: Branch
    high_reversed: bool
    pad_db: float
    target_db: float
    shortfall_db: float
    low_rms_db: float
    low_worst_db: float
    high_rms_db: float
    high_worst_db: float
    sum_rms_db: float
    sum_worst_db: float
    sum_worst_hz: float
    phase_worst_rad: float
    null_db: float
    optimum_rms_db: float
    loss_db: float
    reasons: tuple[str, ...]
    trials: tuple[Trial, ...]
    price: float | None
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


def _grid(frequency: FloatArray, crossover_hz: float) -> tuple[NDArray[np.intp], slice]:
    """Indices into the sides' own grid, so that no phase is ever interpolated, and which of them are fitted.

    The others reach to the ends of the grid; there only the impedance is watched.
    """
    octaves = np.abs(np.log2(frequency / crossover_hz))
    inside = np.flatnonzero(octaves <= FIT_OCTAVES * 1.0001)
    fitted = _spaced(frequency, inside[0], inside[-1], FIT_POINTS)
    below = _spaced(frequency, 0, inside[0], WATCH_POINTS)[:-1]
    above = _spaced(frequency, inside[-1], len(frequency) - 1, WATCH_POINTS)[1:]
    band = slice(len(below), len(below) + len(fitted))
    return np.concatenate([below, fitted, above]), band


def _spaced(frequency: FloatArray, first: int, last: int, count: int) -> NDArray[np.intp]:
    """At most `count` indices from `first` to `last`, evenly over the logarithm of frequency."""
    if last - first < count:
        return np.arange(first, last + 1)
    wanted = np.geomspace(frequency[first], frequency[last], count)
    return np.unique(np.argmin(np.abs(np.log(frequency[first : last + 1, None] / wanted)), axis=0) + first)


def _mean_level(side: Side, low_hz: float, high_hz: float) -> float:
    f = side.frequency_hz
    band = (f >= low_hz) & (f <= high_hz)
    if not band.any():
        band[np.argmin(np.abs(f - (low_hz * high_hz) ** 0.5))] = True
    return float(np.mean(level_of(side.response[band])))


def _own_db(side: Side, hz: float) -> float:
    """How far a driver itself stands above its mean level within three quarters of an octave."""
    at = int(np.argmin(np.abs(np.log(side.frequency_hz / hz))))
    return float(level_of(side.response[at])) - _mean_level(side, hz / 1.68, hz * 1.68)


def _task(
    side: Side,
    grid: tuple[NDArray[np.intp], slice],
    shape: ComplexArray,
    level: float,
    options: DesignOptions,
    figures: DriverLoad | None,
) -> BranchTask:
    points, band = grid
    load = side.impedance[points]
    return BranchTask(
        frequency_hz=side.frequency_hz[points],
        load_ohm=load,
        band=band,
        response=side.response[points[band]],
        shape=shape,
        level_db=level,
        weight=target_weight(shape),
        floor_ohm=min(options.minimum_ohm, 0.8 * float(np.min(np.abs(load)))),
        losses=Losses(options.coil_ohm, options.coil_exponent, options.capacitor_ohm),
        free_level=True,
        windows=windows_of(figures),
        limits=_limits(options),
    )


def _limits(options: DesignOptions) -> dict[str, tuple[float, float]]:
    """Values that parts of each kind are customarily sold in, or that the stock can make."""
    if options.policy != "stock":
        return LIMITS
    kinds: tuple[Kind, ...] = ("C", "L", "R")
    return {kind: stock_limits(options.stock, kind) or LIMITS[kind] for kind in kinds}


def _joint(lows: list[Fitted], highs: list[Fitted], grower: Grower) -> list[JointFit]:
    """Pairs of forms fitted together, best first: the sum and the phase decide, which no branch knows alone."""
    task, options = grower.task, grower.options
    pairs: list[tuple[float, Fitted, Fitted, JointTask]] = []
    for low, high in product(lows[:5], highs[:5]):
        parts = charge(low.branch, options) + charge(high.branch, options)
        for sign in (1, -1):
            signed = replace(task, sign=sign)
            square = joint_square(signed, low.heard, high.heard, low.level_shift_db)
            pairs.append((float(square) ** 0.5 + JOINT_CHARGE * parts, low, high, signed))
    pairs.sort(key=lambda pair: pair[0])
    fits: list[JointFit] = []
    for few in (pairs[:FEW_PAIRS], pairs[FEW_PAIRS:MORE_PAIRS]):
        fits += [fit_joint(low.branch, high.branch, signed, low.level_shift_db) for _, low, high, signed in few]
        fits.sort(key=lambda fit: merit(fit, options))
        if is_good(replace(task, sign=fits[0].sign), fits[0]):
            break
    return grower.pruned(grower.grown(grower.pruned(fits)))


def _settled(fit: JointFit, task: JointTask) -> JointFit:
    """The fit run on until it rests."""
    low, high, signed = fit.low.branch, fit.high.branch, replace(task, sign=fit.sign)
    further = fit_joint(low, high, signed, fit.level_shift_db, SETTLING_EVALUATIONS)
    return min(further, fit, key=lambda one: one.rms_db)


def _candidates(
    component: Component, limits: tuple[float, float], options: DesignOptions, losses: Losses
) -> tuple[Component, ...]:
    """What may stand in one place, nearest value first."""
    if options.policy == "stock":
        offers = stock_candidates(options.stock, component)
        if offers:
            return offers
    if options.policy == "any":
        values = np.array([float(f"{component.value:.3g}")])
    else:
        series = options.resistor_series if component.kind == "R" else options.series
        values = preferred_values(series, component.value / 2.2, component.value * 2.2)
        values = values[np.argsort(np.abs(np.log(values / component.value)), kind="stable")][:6]
        inside = (values > 0.9 * limits[0]) & (values < 1.1 * limits[1])
        values = values[inside] if inside.any() else values[:1]
    coil = [losses.coil_ohm * (v / 1e-3) ** losses.coil_exponent for v in values]
    own = {"L": coil, "C": [losses.capacitor_ohm] * len(values), "R": [0.0] * len(values)}[component.kind]
    return tuple(replace(component, value=float(v), resistance_ohm=float(r)) for v, r in zip(values, own, strict=True))


def _selected(fit: JointFit, task: JointTask, options: DesignOptions) -> Selected:
    choices = [
        [
            _candidates(component, (low, high), options, side.losses)
            for component, low, high in zip(fitted.branch.components, *limits_of(fitted.branch, side), strict=True)
        ]
        for fitted, side in ((fit.low, task.low), (fit.high, task.high))
    ]
    stock = {offer.id: offer.stock for offer in options.stock if offer.stock is not None}
    return select(fit.low, fit.high, choices[0], choices[1], task=task, stock=stock)


def _optimum_db(fit: JointFit, task: JointTask) -> float:
    """Error of the fitted values before any part is chosen."""
    signed = replace(task, sign=fit.sign)
    return float(np.sqrt(joint_square(signed, fit.low.heard, fit.high.heard, fit.level_shift_db)))


def _chosen(fits: list[JointFit], task: JointTask, options: DesignOptions) -> tuple[list[JointFit], Selected]:
    """Parts for the best fit, which comes first; where real parts lose much there, the next fits may come before it."""
    found: list[tuple[float, int, JointFit, Selected]] = []
    for place, early in enumerate(fits[:3]):
        fit = _settled(early, task)
        selected = _selected(fit, replace(task, sign=fit.sign), options)
        parts = charge(selected.low, options) + charge(selected.high, options)
        found.append((selected.rms_db + JOINT_CHARGE * parts, place, fit, selected))
        if selected.rms_db - _optimum_db(fit, task) <= ACCEPTED_LOSS_DB:
            break
    _, place, fit, selected = min(found, key=lambda candidate: candidate[:2])
    return [fit, *fits[:place], *fits[place + 1 :]], selected


@dataclass(frozen=True, slots=True)
class Reached:
    """What two finished branches do at the seat, from f_c/2 to 2 f_c; the fields as in `Design`."""

    low_rms_db: float
    low_worst_db: float
    high_rms_db: float
    high_worst_db: float
    sum_rms_db: float
    sum_worst_db: float
    sum_worst_hz: float
    phase_worst_rad: float
    null_db: float


def _rms_worst(error: FloatArray) -> tuple[float, float]:
    return float(np.sqrt(np.mean(error**2))), float(error[np.argmax(np.abs(error))])


def reached(
    low: tuple[Side, Branch],
    high: tuple[Side, Branch],
    slope: Slope,
    crossover_hz: float,
    *,
    high_reversed: bool,
    level_db: tuple[float, float],
    voicing: Voicing = PLAIN,
) -> Reached:
    """Deviation of two branches and their sum from the targets in the two octaves around f_c.

    `level_db` is the passband level of the low and of the high target; the sum is held against the low one's.
    The null is how far the level falls within that band, against the target, when the high branch is turned
    over.
    """
    f = low[0].frequency_hz
    band = np.abs(np.log2(f / crossover_hz)) <= 1.0001
    f = f[band]
    p_low, p_high = (side.response[band] * transfer(branch, side.impedance[band], f) for side, branch in (low, high))
    sign = -1 if high_reversed else 1
    wanted = voicing.shape(f)
    shapes = wanted * low_pass(slope, f, crossover_hz), wanted * high_pass(slope, f, crossover_hz)
    goal_db = 20.0 * np.log10(wanted * np.abs(target_sum(slope, f, crossover_hz))) + min(level_db)
    branch_errors = [
        _rms_worst(level_of(p) - level - 20.0 * np.log10(np.abs(shape)))
        for p, level, shape in zip((p_low, p_high), level_db, shapes, strict=True)
    ]
    turned = np.angle(p_low * np.conj(sign * p_high) * np.conj(shapes[0] * np.conj(polarity(slope) * shapes[1])))
    near = np.abs(level_of(p_low) - level_of(p_high)) <= 12.0
    phase = float(turned[near][np.argmax(np.abs(turned[near]))]) if near.any() else pi
    null = float(np.min(level_of(p_low - sign * p_high) - goal_db))
    errors = level_of(p_low + sign * p_high) - goal_db
    worst_hz = float(f[np.argmax(np.abs(errors))])
    return Reached(*branch_errors[0], *branch_errors[1], *_rms_worst(errors), worst_hz, phase, null)


@dataclass(frozen=True, slots=True, eq=False)
class _Case:
    """One question: two drivers, a slope, a frequency, and what may be used."""

    low: Side
    high: Side
    slope: Slope
    crossover_hz: float
    options: DesignOptions


@dataclass(frozen=True, slots=True, eq=False)
class _Explored:
    """Forms of both branches, best first, the joint task they lead to, and the high side's own level."""

    lows: list[Fitted]
    highs: list[Fitted]
    grower: Grower
    natural_db: float


def _explored(case: _Case) -> _Explored:
    fc, slope, options = case.crossover_hz, case.slope, case.options
    grid = _grid(case.low.frequency_hz, fc)
    f = case.low.frequency_hz[grid[0][grid[1]]]
    figures = figures_of(case.low), figures_of(case.high)
    level_db = _mean_level(case.low, 0.25 * fc, 0.7 * fc)
    low_task = _task(case.low, grid, low_pass(slope, f, fc), level_db, options, figures[0])
    lows = Explorer("low", low_task, slope, fc, figures[0], options).explore()
    shift = lows[0].level_shift_db
    natural_db = _mean_level(case.high, 1.4 * fc, 4.0 * fc)
    surplus = natural_db - level_db - shift
    high_db = min(natural_db, level_db + shift)
    high_task = _task(case.high, grid, high_pass(slope, f, fc), high_db, options, figures[1])
    high_task = replace(high_task, free_level=False)
    pad_db = surplus if surplus > PAD_FROM_DB else 0.0
    highs = Explorer("high", high_task, slope, fc, figures[1], options, pad_db).explore()
    high_task = replace(high_task, level_db=high_db - shift)
    grower = Grower(
        _joint_task(case, low_task, high_task, f),
        Additions(low_task, figures[0], fc, high=False),
        Additions(high_task, figures[1], fc, high=True),
        options,
    )
    return _Explored(lows, highs, grower, natural_db)


def _joint_task(case: _Case, low: BranchTask, high: BranchTask, band_hz: FloatArray) -> JointTask:
    """Both tasks with the load that they may make together, and the two octaves where the sum is judged."""
    right = polarity(case.slope)
    inside = np.flatnonzero(np.abs(np.log2(band_hz / case.crossover_hz)) <= 1.0001)
    own = min(float(np.min(np.abs(side.impedance))) for side in (case.low, case.high))
    floor_ohm = FLOOR_MARGIN * min(case.options.minimum_ohm, own)
    return JointTask(low, high, right, right, floor_ohm, slice(int(inside[0]), int(inside[-1]) + 1))


def design(low: Side, high: Side, slope: Slope, crossover_hz: float, options: DesignOptions | None = None) -> Design:
    """Both branches for two drivers at one crossover frequency, from forms over values to parts that exist.

    The target's level is the quieter side's beside f_c. Each branch's forms are tried alone, the best go on
    to be fitted together with the sum and the phase, in the polarity that sums better, and the parts are then
    chosen for both at once. ValueError when the curves do not share a grid, do not reach an octave around f_c
    or are not finite.
    """
    _checked(low, high, crossover_hz)
    case = _Case(low, high, slope, crossover_hz, options or DesignOptions())
    explored = _explored(case)
    fits = _joint(explored.lows, explored.highs, explored.grower)
    return _finished(case, explored, *_chosen(fits, explored.grower.task, case.options))


def _finished(case: _Case, explored: _Explored, fits: list[JointFit], chosen: Selected) -> Design:
    best = fits[0]
    levels = tuple(
        task.level_db + best.level_shift_db for task in (explored.grower.task.low, explored.grower.task.high)
    )
    shortfall = max(0.0, levels[0] - explored.natural_db)
    padded = any(component.role == PAD for component in chosen.high.components)
    pad_db = max(explored.natural_db - levels[1], 0.0) if padded else 0.0
    optimum_db = _optimum_db(best, explored.grower.task)
    result = reached(
        (case.low, chosen.low),
        (case.high, chosen.high),
        case.slope,
        case.crossover_hz,
        high_reversed=best.sign < 0,
        level_db=(levels[0], levels[1]),
        voicing=case.options.voicing,
    )
    return Design(
        slope=case.slope,
        crossover_hz=case.crossover_hz,
        low=chosen.low,
        high=chosen.high,
        high_reversed=best.sign < 0,
        pad_db=pad_db,
        target_db=min(levels),
        shortfall_db=shortfall,
        optimum_rms_db=optimum_db,
        loss_db=chosen.rms_db - optimum_db,
        reasons=reasons(
            Grounds(
                slope=case.slope,
                options=case.options,
                fits=fits,
                selected=chosen,
                optimum_db=optimum_db,
                pad_db=pad_db,
                shortfall_db=shortfall,
                sum_worst_db=result.sum_worst_db,
                sum_worst_hz=result.sum_worst_hz,
                own_db=(_own_db(case.low, result.sum_worst_hz), _own_db(case.high, result.sum_worst_hz)),
            )
        ),
        trials=_trials(explored),
        price=price_of((*chosen.low.components, *chosen.high.components)),
        **asdict(result),
    )


def _trials(explored: _Explored) -> tuple[Trial, ...]:
    return tuple(
        Trial(name, form_of(fitted.branch), fitted.rms_db, len(fitted.branch.components))
        for name, tried in (("low", explored.lows), ("high", explored.highs))
        for fitted in tried
    )
