"""All that is known of one pairing: one frozen value, and the steps that find it.

Knows the order judgement is passed in and how physics, filters and rules meet. Refuses to know cells and pages.
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from reportgen.acoustics.drivers import Disagreement, complete_parameters
from reportgen.acoustics.listening import directivity_step_db, safe_listening_time_s
from reportgen.catalogue import columns
from reportgen.catalogue.records import Case, LowDriver
from reportgen.crossover.synthesis import Design
from reportgen.pairing.as_used import Frame as Frame
from reportgen.pairing.as_used import Layout as Layout
from reportgen.pairing.as_used import Setting
from reportgen.pairing.network import STEEPEST_RAD, Engineered, engineer
from reportgen.pairing.network import Branch as Branch
from reportgen.pairing.network import Curves as Curves
from reportgen.pairing.network import Electrical as Electrical
from reportgen.pairing.network import PartLine as PartLine
from reportgen.pairing.network import Reading as Reading
from reportgen.pairing.network import SpreadFigures as SpreadFigures
from reportgen.pairing.network import Trace as Trace
from reportgen.pairing.response import FREQUENCY_HZ, Model
from reportgen.pairing.shopping import cost_of, drivers_of, stock_ids, total
from reportgen.problems import CannotAssess, Problem
from reportgen.suitability.assumptions import all_assumptions
from reportgen.suitability.cautions import Caution, all_cautions
from reportgen.suitability.checks import TILT_FROM_HZ, Check, Facts, all_checks
from reportgen.suitability.limits import Limit, all_limits
from reportgen.suitability.verdict import UsableRange, Verdict, best_crossover_hz, judge, usable_range


@dataclass(frozen=True, slots=True)
class Remedy:
    """A set of changes that turns the verdict, worked out by a whole assessment of the changed pairing.

    `text` says it all in one piece; `condition` is what the other fields leave open, empty for a plain yes.
    """

    changes: tuple[str, ...]
    word: str
    range_hz: tuple[float | None, float | None]
    crossover_hz: float | None
    price: float | None
    text: str
    condition: str = ""


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


@dataclass(frozen=True)
class Unassessed:
    """A pairing that stands in the workbook but could not be assessed, and why."""

    id: str
    problems: tuple[Problem, ...] = ()
    reason: str = ""

    @property
    def text(self) -> str:
        """All reasons in one line."""
        return " ".join([*(str(problem) for problem in self.problems), self.reason]).strip()


def assess(case: Case) -> Assessment:
    """Everything about one pairing: limits, range, crossover, network, checks, verdict, cautions.

    What cannot be worked out is said in the checks; CannotAssess only where no crossover frequency can be named, or
    where figures are so far from any loudspeaker that they cannot be reckoned with.
    """
    try:
        return _assessed(case)
    except (ArithmeticError, ValueError) as error:
        raise CannotAssess(
            f"{case.pairing.id}: its figures cannot be reckoned with ({error.args[-1]}); look for a slip of the unit or the decimal"
            f" point in its row and in those of {case.low.id}, {case.high.id} and {case.cabinet.id}"
        ) from error


def _assessed(case: Case) -> Assessment:
    setting = Setting(case)
    limits = all_limits(setting)
    found = usable_range(limits)
    crossover_hz = case.pairing.crossover_hz or best_crossover_hz(found)
    if crossover_hz is None:
        raise CannotAssess(f"{case.pairing.id}: nothing bounds the crossover; give “Crossover (Hz)”")
    model = Model(setting)
    engineered, why = _engineered(model, crossover_hz)
    facts = _facts(model, limits, crossover_hz, engineered, why)
    checks = all_checks(facts)
    return Assessment(
        case=case,
        verdict=judge(checks, found),
        limits=limits,
        found_range=found,
        crossover_hz=crossover_hz,
        crossover_fixed=case.pairing.crossover_hz is not None,
        checks=checks,
        cautions=all_cautions(setting),
        layout=setting.layout,
        assumptions=_assumptions(setting, engineered),
        not_designed=why,
        price=facts.price,
        safe_time_s=float(safe_listening_time_s(case.pairing.peak_level_db - case.practice["programme average"])),
        **_of_design(engineered),
    )


def _of_design(engineered: Engineered | None) -> dict[str, Any]:
    if engineered is None:
        return {}
    names = ("design", "curves", "parts", "parts_price", "electrical", "spread", "readings", "netlist")
    return {name: getattr(engineered, name) for name in names}


def _engineered(model: Model, crossover_hz: float) -> tuple[Engineered | None, str]:
    """The network, or why there is none."""
    try:
        return engineer(model, crossover_hz), ""
    except (ValueError, CannotAssess) as error:
        return None, str(error)


def _facts(
    model: Model, limits: tuple[Limit, ...], crossover_hz: float, engineered: Engineered | None, why: str
) -> Facts:
    setting = model.setting
    price, price_missing = _price(setting.case, engineered)
    facts = Facts(
        setting, limits, crossover_hz,
        directivity_step_db=float(
            directivity_step_db(setting.low_radiator, setting.high_directivity, crossover_hz, setting.air)
        ),
        disagreements=_disagreements(setting),
        price=price, price_missing=price_missing, not_designed=why,
        unpriced=sum(part.price is None for part in engineered.parts) if engineered else 0,
    )  # fmt: skip
    with suppress(CannotAssess):  # then there is no network either, and `why` says it
        window = _window(model)
        facts = replace(facts, seated_loss_db=window[0], standing_loss_db=window[1], tilt_db=window[2])
    if engineered is None:
        return facts
    return replace(
        facts,
        level_surplus_db=engineered.level_surplus_db,
        sum_deviation_db=engineered.sum_deviation_db,
        reversed_depth_db=engineered.reversed_depth_db,
        lobe_rad=engineered.lobe_rad,
        lobe_db=engineered.lobe_db,
        minimum_ohm=engineered.electrical.minimum_ohm,
        minimum_hz=engineered.electrical.minimum_hz,
        under_rated=tuple(part.label for part in engineered.parts if part.under_rated),
        unobtainable=tuple(part.label for part in engineered.parts if part.unobtainable),
        unrated=_unstated(setting.case, "rating", (part for part in engineered.parts if part.unrated)),
        good_share=engineered.spread.good_share,
        worst_part=engineered.spread.worst_part,
        worst_part_db=engineered.spread.worst_part_db,
        reachable_db=engineered.reachable_db,
        reachable_hz=engineered.reachable_hz,
        reachable_cause=engineered.reachable_cause,
    )


def _unstated(case: Case, name: str, parts: Iterable[PartLine]) -> tuple[str, ...]:
    """What the Parts sheet does not state of parts that the network takes from it."""
    used = {one for part in parts for one in stock_ids(part.part_id)}
    return tuple(text for part in case.stock if part.id in used for text in part.missing(name))


def _window(model: Model) -> tuple[float, float, float]:
    """Loss (dB) of the high drivers at the seated and the standing ear in the top band, and the tilt of a tall one."""
    setting, practice, seat = model.setting, model.setting.case.practice, model.seat_m
    wanted_hz = (TILT_FROM_HZ, practice["high band top"])
    at = np.array([int(np.argmin(np.abs(np.log(FREQUENCY_HZ / hz)))) for hz in wanted_hz])
    sources = [replace(source, response=source.response[at]) for source in model.high_sources]
    half = setting.case.pairing.vertical_half_window_rad
    window = np.clip(setting.elevation_rad(seat[1]) + np.linspace(-half, half, 15), -STEEPEST_RAD, STEEPEST_RAD)
    inside = setting.high_centre_m[1] + (seat[2] - setting.high_centre_m[2]) * np.tan(window)
    heights = np.concatenate([[seat[1], practice["standing ear height"]], inside])
    on_axis = setting.to_room_m([*setting.high_middle_m[:2], setting.to_baffle_m(seat)[2]])
    points = np.vstack([on_axis, np.stack(np.broadcast_arrays(seat[0], heights, seat[2]), axis=-1)])
    power = np.maximum(np.abs(model.heard_at(sources, points, FREQUENCY_HZ[at])) ** 2, 1e-30)
    axis, seated, standing = 10.0 * np.log10(power[:3, 1])
    low, high = 10.0 * np.log10(np.mean(power[3:], axis=0)) - 10.0 * np.log10(np.abs(sources[0].response) ** 2)
    return float(axis - seated), float(axis - standing), float(low - high)


def _price(case: Case, engineered: Engineered | None) -> tuple[float | None, tuple[str, ...]]:
    """Drivers, guide and the priced parts of one loudspeaker; or what is missing to know it."""
    items = drivers_of(case)
    missing = tuple(text for item in items for text in item.record.missing("price"))
    missing += _unstated(case, "price", engineered.parts) if engineered else ()
    if missing:
        return None, missing
    parts = (engineered.parts_price or 0.0) if engineered else 0.0
    return total([(cost_of(items), 1), (parts, 1)]), ()


def _disagreements(setting: Setting) -> tuple[str, ...]:
    """Which two cells of the low driver's row cannot both be right, and by how much (Small 1972)."""
    low = setting.case.low
    names = (
        "re_ohm", "fs_hz", "qms", "qes", "vas_m3", "diaphragm_area_m2", "moving_mass_kg", "force_factor_t_m", "sensitivity_db",
    )  # fmt: skip
    found = complete_parameters(**{name: getattr(low, name) for name in names}, air=setting.air).disagreements
    return tuple(_disagreement(low, one) for one in found)


def _disagreement(low: LowDriver, one: Disagreement) -> str:
    first, second = (columns.sheet(low.origin.sheet).column(name) for name in (one.first_field, one.second_field))
    derived, stated = one.derived / second.factor, one.stated / second.factor
    return (
        f"{second.name} of {low.id} ({low.origin.place(second.field)}) is {stated:.3g} {second.unit}, but {first.name}"
        f" ({low.origin.place(first.field)}) makes it {derived:.3g} {second.unit}."
    )


def _assumptions(setting: Setting, engineered: Engineered | None) -> tuple[str, ...]:
    """What the model and the spread assume."""
    if engineered is None:
        return all_assumptions(setting)
    builds = f"Tolerances are drawn at random, {engineered.spread.builds} builds, always the same ones."
    return (*all_assumptions(setting), builds)
