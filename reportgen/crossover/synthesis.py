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

from reportgen.crossover.exploration import SIZE, Explorer, charge, form_of, keeps_its_filter, lighter
from reportgen.crossover.fitting import (
    BranchTask,
    Fitted,
    JointFit,
    JointTask,
    Losses,
    fit_joint,
    joint_error,
    joint_square,
    level_of,
    limits_of,
    target_weight,
)
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.networks import Branch, Component, transfer
from reportgen.crossover.parts import preferred_values, stock_candidates
from reportgen.crossover.selection import Selected, price_of, select
from reportgen.crossover.sides import DesignOptions, Side, figures_of
from reportgen.crossover.targets import Slope, high_pass, low_pass, polarity, target_sum
from reportgen.crossover.topologies import PAD, windows_of

__all__ = ["Design", "DesignOptions", "Reached", "Side", "Trial", "design", "reached"]

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]

FIT_OCTAVES = 2.0
FIT_POINTS = 49
"""The fit looks two octaves to either side of f_c, at no more points than these."""

PAD_FROM_DB = 0.5
"""A level difference below this is left to the filter (common practice, no source)."""


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
class Design:
    """Both branches with real parts, what they reach, and why they look so.

    `target_db` is the passband level at the seat for 2.83 V; `low_rms_db`, `high_rms_db` the branches against
    their targets, `sum_rms_db` the sum against the target's sum, each with its worst deviation, from f_c/2 to
    2 f_c. `phase_worst_rad` is the largest turn between the branches where both are within 12 dB of each
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
    phase_worst_rad: float
    null_db: float
    optimum_rms_db: float
    loss_db: float
    reasons: tuple[str, ...]
    trials: tuple[Trial, ...]
    price: float | None


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


def _grid(frequency: FloatArray, crossover_hz: float) -> NDArray[np.intp]:
    """Indices of the fitting frequencies: the grid's own, so that no phase is ever interpolated."""
    octaves = np.abs(np.log2(frequency / crossover_hz))
    inside = np.flatnonzero(octaves <= FIT_OCTAVES * 1.0001)
    if len(inside) <= FIT_POINTS:
        return inside
    wanted = np.geomspace(frequency[inside[0]], frequency[inside[-1]], FIT_POINTS)
    return np.unique(np.argmin(np.abs(np.log(frequency[inside, None] / wanted)), axis=0) + inside[0])


def _mean_level(side: Side, low_hz: float, high_hz: float) -> float:
    f = side.frequency_hz
    band = (f >= low_hz) & (f <= high_hz)
    if not band.any():
        band[np.argmin(np.abs(f - (low_hz * high_hz) ** 0.5))] = True
    return float(np.mean(level_of(side.response[band])))


def _task(
    side: Side,
    points: NDArray[np.intp],
    shape: ComplexArray,
    level: float,
    options: DesignOptions,
    figures: DriverLoad | None,
) -> BranchTask:
    load = side.impedance[points]
    return BranchTask(
        frequency_hz=side.frequency_hz[points],
        load_ohm=load,
        response=side.response[points],
        shape=shape,
        level_db=level,
        weight=target_weight(shape),
        floor_ohm=min(options.minimum_ohm, 0.8 * float(np.min(np.abs(load)))),
        losses=Losses(options.coil_ohm, options.coil_exponent, options.capacitor_ohm),
        free_level=True,
        windows=windows_of(figures),
    )


def _merit(fit: JointFit, options: DesignOptions) -> float:
    """Error with what 5 % parts add to it, and what the parts must earn: the lower the better."""
    parts = charge(fit.low.branch, options) + charge(fit.high.branch, options)
    return float(np.hypot(fit.rms_db, options.sensitivity * fit.sensitivity_db)) + 0.5 * parts


def _joint(lows: list[Fitted], highs: list[Fitted], task: JointTask, options: DesignOptions) -> list[JointFit]:
    """Pairs of forms fitted together, best first: the sum and the phase decide, which no branch knows alone."""
    pairs: list[tuple[float, Fitted, Fitted, int]] = []
    for low, high in product(lows[:5], highs[:5]):
        parts = charge(low.branch, options) + charge(high.branch, options)
        for sign in (1, -1):
            square = joint_square(replace(task, sign=sign), low.pressure, high.pressure, low.level_shift_db)
            pairs.append((float(square) ** 0.5 + 0.5 * parts, low, high, sign))
    pairs.sort(key=lambda pair: pair[0])
    fits = [
        fit_joint(low.branch, high.branch, replace(task, sign=sign), low.level_shift_db)
        for _, low, high, sign in pairs[:3]
    ]
    fits.sort(key=lambda fit: _merit(fit, options))
    return _pruned(fits, task, options)


def _settled(fit: JointFit, task: JointTask) -> JointFit:
    """The fit run on until it rests."""
    low, high, signed = fit.low.branch, fit.high.branch, replace(task, sign=fit.sign)
    further = fit_joint(low, high, signed, fit.level_shift_db, SETTLING_EVALUATIONS)
    return min(further, fit, key=lambda one: one.rms_db)


def _pruned(fits: list[JointFit], task: JointTask, options: DesignOptions) -> list[JointFit]:
    """The fits with lighter forms of the best one before it, as long as leaving a stage out pays."""
    while True:
        best = fits[0]
        lows = [b for b in lighter(best.low.branch) if keeps_its_filter(b, high=False)]
        highs = [b for b in lighter(best.high.branch) if keeps_its_filter(b, high=True)]
        pairs = [(low, best.high.branch) for low in lows] + [(best.low.branch, high) for high in highs]
        if not pairs:
            return fits
        signed, shift = replace(task, sign=best.sign), best.level_shift_db
        errors = [joint_error(low, high, signed, shift) for low, high in pairs]
        low, high = pairs[errors.index(min(errors))]
        fit = fit_joint(low, high, signed, shift)
        if _merit(fit, options) >= _merit(best, options):
            return fits
        fits = [fit, *fits]


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
    return float(np.sqrt(joint_square(signed, fit.low.pressure, fit.high.pressure, fit.level_shift_db)))


def _chosen(fits: list[JointFit], task: JointTask, options: DesignOptions) -> tuple[list[JointFit], Selected]:
    """Parts for the best fit, which comes first; where real parts lose much there, the next fits may come before it."""
    found: list[tuple[float, int, JointFit, Selected]] = []
    for place, early in enumerate(fits[:3]):
        fit = _settled(early, task)
        selected = _selected(fit, replace(task, sign=fit.sign), options)
        parts = charge(selected.low, options) + charge(selected.high, options)
        found.append((selected.rms_db + 0.5 * parts, place, fit, selected))
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
    shapes = low_pass(slope, f, crossover_hz), high_pass(slope, f, crossover_hz)
    goal_db = 20.0 * np.log10(np.abs(target_sum(slope, f, crossover_hz))) + min(level_db)
    branch_errors = [
        _rms_worst(level_of(p) - level - 20.0 * np.log10(np.abs(shape)))
        for p, level, shape in zip((p_low, p_high), level_db, shapes, strict=True)
    ]
    turned = np.angle(p_low * np.conj(sign * p_high) * np.conj(shapes[0] * np.conj(polarity(slope) * shapes[1])))
    near = np.abs(level_of(p_low) - level_of(p_high)) <= 12.0
    phase = float(turned[near][np.argmax(np.abs(turned[near]))]) if near.any() else pi
    null = float(np.min(level_of(p_low - sign * p_high) - goal_db))
    return Reached(
        *branch_errors[0], *branch_errors[1], *_rms_worst(level_of(p_low + sign * p_high) - goal_db), phase, null
    )


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
    task: JointTask
    natural_db: float


def _explored(case: _Case) -> _Explored:
    fc, slope, options = case.crossover_hz, case.slope, case.options
    points = _grid(case.low.frequency_hz, fc)
    f = case.low.frequency_hz[points]
    figures = figures_of(case.low), figures_of(case.high)
    level_db = _mean_level(case.low, 0.25 * fc, 0.7 * fc)
    low_task = _task(case.low, points, low_pass(slope, f, fc), level_db, options, figures[0])
    lows = Explorer("low", low_task, slope, fc, figures[0], options).explore()
    shift = lows[0].level_shift_db
    natural_db = _mean_level(case.high, 1.4 * fc, 4.0 * fc)
    surplus = natural_db - level_db - shift
    high_db = min(natural_db, level_db + shift)
    high_task = _task(case.high, points, high_pass(slope, f, fc), high_db, options, figures[1])
    high_task = replace(high_task, free_level=False)
    pad_db = surplus if surplus > PAD_FROM_DB else 0.0
    highs = Explorer("high", high_task, slope, fc, figures[1], options, pad_db).explore()
    right = polarity(slope)
    task = JointTask(low_task, replace(high_task, level_db=high_db - shift), right, right)
    return _Explored(lows, highs, task, natural_db)


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
    fits = _joint(explored.lows, explored.highs, explored.task, case.options)
    return _finished(case, explored, *_chosen(fits, explored.task, case.options))


def _finished(case: _Case, explored: _Explored, fits: list[JointFit], chosen: Selected) -> Design:
    best = fits[0]
    levels = tuple(task.level_db + best.level_shift_db for task in (explored.task.low, explored.task.high))
    shortfall = max(0.0, levels[0] - explored.natural_db)
    padded = any(component.role == PAD for component in chosen.high.components)
    optimum_db = _optimum_db(best, explored.task)
    result = reached(
        (case.low, chosen.low),
        (case.high, chosen.high),
        case.slope,
        case.crossover_hz,
        high_reversed=best.sign < 0,
        level_db=(levels[0], levels[1]),
    )
    return Design(
        slope=case.slope,
        crossover_hz=case.crossover_hz,
        low=chosen.low,
        high=chosen.high,
        high_reversed=best.sign < 0,
        pad_db=explored.natural_db - levels[1] if padded else 0.0,
        target_db=min(levels),
        shortfall_db=shortfall,
        optimum_rms_db=optimum_db,
        loss_db=chosen.rms_db - optimum_db,
        reasons=_reasons(case, explored, fits, chosen, shortfall),
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


def _reasons(
    case: _Case, explored: _Explored, fits: list[JointFit], chosen: Selected, shortfall_db: float
) -> tuple[str, ...]:
    best = fits[0]
    lines = [
        _reason_of_form("Low", explored.lows, best.low.branch),
        _reason_of_form("High", explored.highs, best.high.branch),
        f"To stay, a small coil or capacitor must take {0.5 * case.options.worth_db:.2f} dB off the error of its branch, "
        f"one of {SIZE['L'] * 1e3:.0f} mH or {SIZE['C'] * 1e6:.0f} uF twice that, a resistor half (common practice).",
        _reason_of_polarity(case, best),
    ]
    if len(fits) > 1:
        others = ", ".join(f"{fit.rms_db:.2f} dB" for fit in fits[1:])
        lines.append(f"Fitted together the chosen pair of branches misses by {best.rms_db:.2f} dB, others by {others}.")
    if any(_merit(fit, case.options) < _merit(best, case.options) for fit in fits[1:]):
        lines.append("Another pair of forms is better on paper but loses more with the parts that can be had.")
    lines.append(_reason_of_parts(case.options, chosen))
    if shortfall_db > 0.0:
        lines.append(
            f"The high side is {shortfall_db:.1f} dB quieter than the low side; a network of resistors, coils and "
            "capacitors cannot lift it."
        )
    return tuple(lines)


def _reason_of_form(name: str, tried: list[Fitted], branch: Branch) -> str:
    told = "; ".join(f"{form_of(fitted.branch)} {fitted.rms_db:.2f} dB" for fitted in tried)
    return f"{name} branch: {form_of(branch)}. Tried, with the weighted rms error of each: {told}."


def _reason_of_polarity(case: _Case, best: JointFit) -> str:
    usual = polarity(case.slope) == best.sign
    way = "reversed" if best.sign < 0 else "as the low one"
    why = (
        "as its slope asks"
        if usual
        else "against the usual for its slope, because the drivers' own phase turns the sum"
    )
    return f"The high branch is connected {way}, {why}."


def _reason_of_parts(options: DesignOptions, chosen: Selected) -> str:
    if options.policy == "any":
        return "Values are those of the fit, to three digits."
    source = "in stock" if options.policy == "stock" else f"of the {options.series} series"
    lacking = [c.role for c in (*chosen.low.components, *chosen.high.components) if c.part_id is None]
    text = f"Parts {source} were chosen for both branches at once, out of {chosen.tried} combinations worked out last."
    if options.policy == "stock" and lacking:
        text += f" Nothing at hand for: {', '.join(lacking)}; preferred values stand there and must be bought."
    if not chosen.within_stock:
        text += " The stock does not hold enough of one part; see the parts list."
    return text
