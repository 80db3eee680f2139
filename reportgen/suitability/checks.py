"""The checks: every limit at the chosen frequency, and what else must hold for a pairing to be sold.

Knows what is compared with what, and in which words. Refuses to know cells, pages and how a network is found.
A new check is one function in the table `CHECKS` at the end.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from reportgen.pairing.as_used import Frame, Layout, Setting
from reportgen.pairing.network import REACHED_TO_HZ
from reportgen.pairing.shopping import drivers_of
from reportgen.suitability.limits import COMMON, Limit

Outcome = Literal["pass", "marginal", "fail", "not assessed"]


TILT_FROM_HZ = 5000.0
"""From here up the fall of a tall radiator's top end is told."""


@dataclass(frozen=True, slots=True)
class Check:
    """One question asked of a pairing and its answer.

    `value`, `limit` and `margin` are in `unit` (margin of frequency checks: in octaves, `margin_unit`); the
    margin is positive on the good side. `condition` is a sentence the builder must keep even if it passes.
    """

    id: str
    title: str
    outcome: Outcome
    value: float | None
    limit: float | None
    unit: str
    margin: float | None
    margin_unit: str
    source: str
    text: str
    essential: bool = True
    missing: tuple[str, ...] = ()
    condition: str = ""


@dataclass(frozen=True)
class Facts:
    """What is known of a pairing when it is judged: the setting, its limits, and figures of the design.

    A figure is None when it could not be worked out; `not_designed` then says why. Levels in dB.
    """

    setting: Setting
    limits: tuple[Limit, ...]
    crossover_hz: float
    directivity_step_db: float | None = None
    seated_loss_db: float | None = None
    standing_loss_db: float | None = None
    tilt_db: float | None = None
    level_surplus_db: float | None = None
    sum_deviation_db: float | None = None
    reversed_depth_db: float | None = None
    lobe_rad: float | None = None
    lobe_db: float | None = None
    minimum_ohm: float | None = None
    minimum_hz: float | None = None
    under_rated: tuple[str, ...] = ()
    unobtainable: tuple[str, ...] = ()
    unrated: tuple[str, ...] = ()
    good_share: float | None = None
    worst_part: str = ""
    worst_part_db: float = 0.0
    reachable_db: float | None = None
    reachable_hz: float | None = None
    reachable_cause: str = ""
    price: float | None = None
    price_missing: tuple[str, ...] = ()
    unpriced: int = 0
    disagreements: tuple[str, ...] = ()
    not_designed: str = ""


def _gap(
    id_: str, title: str, unit: str, source: str, missing: tuple[str, ...], why: str = "", essential: bool = False
) -> Check:
    reason = f"{'; '.join(missing)} missing" if missing else why
    text = f"{title} not assessed: {reason}."
    return Check(id_, title, "not assessed", None, None, unit, None, unit, source, text, essential, missing)


def _graded(
    id_: str, title: str, value: float, limit: float, unit: str, source: str, text: str,
    *, at_most: bool = True, margin_needed: float = 0.0, worst: Outcome = "fail",
) -> Check:  # fmt: skip
    """Compare a value with its limit; nearer than `margin_needed` is marginal; `worst` is what a miss counts as."""
    margin = limit - value if at_most else value - limit
    outcome: Outcome = worst if margin < 0.0 else "marginal" if margin < margin_needed else "pass"
    return Check(id_, title, outcome, value, limit, unit, margin, unit, source, text)


def _yes_no(
    id_: str, title: str, good: bool, source: str, text: str, worst: Outcome = "fail", condition: str = ""
) -> Check:
    outcome: Outcome = "pass" if good else worst
    return Check(id_, title, outcome, None, None, "", None, "", source, text, condition=condition)


def limit_check(facts: Facts, limit: Limit) -> Check:
    """A limit at the chosen crossover: its distance in octaves, marginal within the margin or its own spread."""
    if limit.hz is None:
        return _gap(limit.id, limit.title, "Hz", limit.source, limit.missing, limit.text, limit.essential)
    sign = 1.0 if limit.side == "low" else -1.0
    margin = sign * math.log2(facts.crossover_hz / limit.hz)
    spread = math.log2(limit.spread_hz[1] / limit.hz) if limit.spread_hz else 0.0
    needed = max(facts.setting.case.practice["limit margin"], spread)
    outcome: Outcome = "fail" if margin < 0.0 else "marginal" if margin < needed else "pass"
    if abs(margin) < spread:
        outcome = "marginal"
    text = limit.text + _nearness(outcome, facts.crossover_hz, margin, spread)
    return Check(
        limit.id, limit.title, outcome, facts.crossover_hz, limit.hz, "Hz", margin, "octave", limit.source, text,
        limit.essential,
    )  # fmt: skip


def _nearness(outcome: Outcome, crossover_hz: float, margin: float, spread: float) -> str:
    """How near the crossover comes to a limit, where that matters; octaves."""
    if outcome == "pass":
        return ""
    where = f" The crossover of {crossover_hz:.0f} Hz is {abs(margin):.2f} octave"
    if outcome == "fail":
        return f"{where} on the wrong side."
    side = "on the wrong side, less than" if margin < 0.0 else "away, inside"
    return f"{where} {side} the tolerance of the data, ±{spread:.2f} octave." if margin < spread else f"{where} away."


def level(facts: Facts) -> Check:
    """Is the high driver loud enough for the low one, after baffle step and wiring? It cannot be padded up."""
    source = "sensitivities of the data sheets, baffle and wiring worked out"
    if facts.level_surplus_db is None:
        return _gap("level", "Level match", "dB", source, (), facts.not_designed, essential=True)
    surplus, margin = facts.level_surplus_db, facts.setting.case.practice["level margin"]
    if surplus >= 0.0:
        text = (
            f"The high driver is {surplus:.1f} dB louder than the low one around the crossover; the pad takes that off."
        )
    else:
        text = (
            f"The high driver is {-surplus:.1f} dB quieter than the low one around the crossover; no pad can mend that."
        )
    outcome: Outcome = "pass" if surplus >= 0.0 else "marginal" if surplus >= -margin else "fail"
    return Check("level", "Level match", outcome, surplus, 0.0, "dB", surplus, "dB", source, text)


def directivity_step(facts: Facts) -> Check:
    """Do both drivers radiate alike where they meet? Above the limit is marginal, above the worst a fail."""
    practice = facts.setting.case.practice
    limit, worst = practice["directivity step limit"], practice["directivity step worst"]
    source = practice.source("directivity step limit")
    if facts.directivity_step_db is None:
        return _gap("directivity step", "Directivity step", "dB", source, (), facts.not_designed)
    step = abs(facts.directivity_step_db)
    text = f"At {facts.crossover_hz:.0f} Hz the directivity indices of the two drivers differ by {step:.1f} dB."
    if step > limit:
        text += f" The sound off the axis {'widens' if facts.directivity_step_db > 0.0 else 'narrows'} there."
    return _graded(
        "directivity step",
        "Directivity step",
        step,
        limit,
        "dB",
        source,
        text,
        worst="fail" if step > worst else "marginal",
    )


def _level_margin(facts: Facts) -> float:
    return facts.setting.case.practice["level margin"]


def seated_window(facts: Facts) -> Check:
    """Does the seated ear hear the top of the high driver?"""
    practice = facts.setting.case.practice
    limit, source = practice["window loss limit"], practice.source("window loss limit")
    if facts.seated_loss_db is None:
        return _gap("seated window", "Window, seated", "dB", source, (), facts.not_designed)
    text = f"At {practice['high band top'] / 1e3:g} kHz the seated ear loses {facts.seated_loss_db:.1f} dB against the high driver's own axis."
    return _graded(
        "seated window",
        "Window, seated",
        facts.seated_loss_db,
        limit,
        "dB",
        source,
        text,
        margin_needed=_level_margin(facts),
    )


def standing_window(facts: Facts) -> Check:
    """Does the standing ear hear it? A miss is a condition, not a fault."""
    practice = facts.setting.case.practice
    limit, source = practice["window loss limit"], practice.source("window loss limit")
    if facts.standing_loss_db is None:
        return _gap("standing window", "Window, standing", "dB", source, (), facts.not_designed)
    loss = facts.standing_loss_db
    text = f"At {practice['high band top'] / 1e3:g} kHz an ear at {practice['standing ear height']:g} m, standing, loses {loss:.1f} dB."
    if loss > limit:
        text += " It is to be heard sitting."
    return _graded("standing window", "Window, standing", loss, limit, "dB", source, text, worst="marginal")


def tilt(facts: Facts) -> Check | None:
    """How far does a tall radiator's top end fall above 5 kHz inside the listening window?"""
    practice = facts.setting.case.practice
    source = practice.source("tilt limit")
    if facts.setting.high_tall_m < facts.setting.air.speed_m_s / TILT_FROM_HZ:
        return None
    if facts.tilt_db is None:
        return _gap("tilt", "Tilt above 5 kHz", "dB", source, (), facts.not_designed)
    top = f"{practice['high band top'] / 1e3:g} kHz"
    text = f"A tall radiator: averaged over the vertical window, {top} lies {facts.tilt_db:.1f} dB under 5 kHz."
    return _graded(
        "tilt", "Tilt above 5 kHz", facts.tilt_db, practice["tilt limit"], "dB", source, text, worst="marginal"
    )


def evenness(facts: Facts) -> Check:
    """How near is the sum on the axis to its target in the two octaves around the crossover?"""
    practice = facts.setting.case.practice
    limit, source = practice["sum deviation limit"], practice.source("sum deviation limit")
    if facts.sum_deviation_db is None:
        return _gap("evenness", "Evenness of the sum", "dB", source, (), facts.not_designed)
    text = f"From an octave below to an octave above the crossover the sum strays {facts.sum_deviation_db:.1f} dB at most from its target."
    return _graded(
        "evenness",
        "Evenness of the sum",
        facts.sum_deviation_db,
        limit,
        "dB",
        source,
        text,
        margin_needed=_level_margin(facts),
    )


def reversed_null(facts: Facts) -> Check | None:
    """How deep is the hole with one driver reversed? It shows that the phases track."""
    if facts.setting.slope.family != "Linkwitz-Riley":
        return None
    practice = facts.setting.case.practice
    limit, source = practice["reversed null depth"], practice.source("reversed null depth")
    if facts.reversed_depth_db is None:
        return _gap("reversed null", "Reversed null", "dB", source, (), facts.not_designed)
    text = f"With one driver reversed the sum falls by {max(facts.reversed_depth_db, 0.0):.0f} dB near the crossover."
    return _graded(
        "reversed null",
        "Reversed null",
        facts.reversed_depth_db,
        limit,
        "dB",
        source,
        text,
        at_most=False,
        worst="marginal",
    )


def lobe(facts: Facts) -> Check:
    """Does the main lobe at the crossover point at the seat, with the real depths of the acoustic centres?"""
    practice = facts.setting.case.practice
    limit, source = practice["lobe loss limit"], practice.source("lobe loss limit")
    if facts.lobe_db is None or facts.lobe_rad is None:
        return _gap("lobe", "Lobe at the crossover", "dB", source, (), facts.not_designed)
    degrees = math.degrees(facts.lobe_rad)
    if facts.lobe_db < 0.1:
        text = f"At {facts.crossover_hz:.0f} Hz the lobe points at the seat."
    else:
        up, down = ("right of", "left of") if facts.setting.sideways else ("above", "below")
        way = up if degrees > 0.0 else down
        text = f"At {facts.crossover_hz:.0f} Hz it is loudest {abs(degrees):.0f} deg {way} the seat, {facts.lobe_db:.1f} dB louder than there."
    return _graded("lobe", "Lobe at the crossover", facts.lobe_db, limit, "dB", source, text, worst="marginal")


def impedance_minimum(facts: Facts) -> Check:
    """Does the usual amplifier accept the load?"""
    practice = facts.setting.case.practice
    source = f"{practice.source('lowest rated impedance')}; IEC 60268-5, 80 %"
    limit = practice["rated impedance share"] * practice["lowest rated impedance"]
    if facts.minimum_ohm is None:
        return _gap("impedance minimum", "Impedance minimum", "ohm", source, (), facts.not_designed)
    text = f"The amplifier sees {facts.minimum_ohm:.1f} ohm at least, at {facts.minimum_hz or 0.0:.0f} Hz."
    return _graded(
        "impedance minimum", "Impedance minimum", facts.minimum_ohm, limit, "ohm", source, text, at_most=False
    )


def part_stress(facts: Facts) -> Check:
    """Does every part bear the rated programme?"""
    source = "worked out from the network at the amplifier's rated programme"
    if facts.minimum_ohm is None:
        return _gap("part stress", "Stress of parts", "", source, (), facts.not_designed)
    if facts.unobtainable:
        text = f"No rating customarily sold bears the programme: {', '.join(facts.unobtainable)}."
        return _yes_no("part stress", "Stress of parts", False, source, text)
    if facts.under_rated:
        return _yes_no(
            "part stress", "Stress of parts", False, source, f"Under-rated in stock: {', '.join(facts.under_rated)}."
        )
    if facts.unrated:
        return _gap("part stress", "Stress of parts", "", source, facts.unrated)
    text = "Every part bears the rated programme if bought with the rating printed in the parts list."
    return _yes_no("part stress", "Stress of parts", True, source, text)


def good_builds(facts: Facts) -> Check:
    """How many of the builds that tolerances allow are still good?"""
    practice = facts.setting.case.practice
    limit, source = practice["good builds share"], practice.source("good builds share")
    if facts.good_share is None:
        return _gap("good builds", "Share of good builds", "%", source, (), facts.not_designed)
    text = f"{facts.good_share:.0%} of builds stay within {practice['build tolerance']:g} dB of the design around the crossover"
    even = (facts.sum_deviation_db or 0.0) <= practice["sum deviation limit"]
    text += " and within the limit of evenness." if even else "."
    if facts.worst_part:
        text += f" The {facts.worst_part} counts most: {facts.worst_part_db:.1f} dB at the edge of its tolerance."
    return _graded(
        "good builds",
        "Share of good builds",
        100.0 * facts.good_share,
        100.0 * limit,
        "%",
        source,
        text,
        at_most=False,
        worst="marginal",
    )


def peak_level(facts: Facts) -> Check:
    """Can the wanted peak level be reached at the seat?"""
    pairing, source = facts.setting.case.pairing, "travel of the drivers and voltage of the amplifier, worked out"
    if facts.reachable_db is None:
        return _gap("peak level", "Peak level at the seat", "dB", source, (), facts.not_designed)
    unknown = _travel_unknown(facts.setting)
    if unknown and facts.reachable_db >= pairing.peak_level_db:
        return _gap("peak level", "Peak level at the seat", "dB", source, unknown)
    text = (
        f"From two octaves below the crossover up to {REACHED_TO_HZ / 1e3:g} kHz, {facts.reachable_db:.0f} dB are reached"
        f" at the seat; least at {facts.reachable_hz or 0.0:.0f} Hz, where {facts.reachable_cause} ends it."
    )
    return _graded(
        "peak level",
        "Peak level at the seat",
        facts.reachable_db,
        pairing.peak_level_db,
        "dB",
        source,
        text,
        at_most=False,
        worst="marginal",
    )


def _travel_unknown(setting: Setting) -> tuple[str, ...]:
    """What is missing to know whether travel ends the level; nothing where makers of the kind state none."""
    high = setting.case.high
    stated = high.missing("peak_travel_m", "diaphragm_area_m2") if setting.case.technology.travel_stated else ()
    return (*setting.case.low.missing("peak_travel_m"), *stated)


def _outer_m(frame: Frame) -> tuple[float, float]:
    """Width and height that a frame takes up on the baffle, its cut-out where that is larger (m)."""
    return max(frame.width_m, frame.cut_width_m or 0.0), max(frame.height_m, frame.cut_height_m or 0.0)


def _overlap_m(first: Frame, second: Frame) -> float:
    """How far two frames run into one another (m); negative is the clearance."""
    dx, dy = abs(first.x_m - second.x_m), abs(first.y_m - second.y_m)
    width, height = ((one + other) / 2.0 for one, other in zip(_outer_m(first), _outer_m(second), strict=True))
    return width - math.hypot(dx, dy) if first.round and second.round else min(width - dx, height - dy)


def _outside_m(frame: Frame, layout: Layout) -> float:
    """How far a frame stands over the edge of the baffle (m); negative is the clearance."""
    width, height = _outer_m(frame)
    return max(
        width / 2.0 - min(frame.x_m, layout.width_m - frame.x_m),
        height / 2.0 - min(frame.y_m, layout.height_m - frame.y_m),
    )


CLEAR_MM = 1e-3
"""Frames nearer than this touch."""


def frames_fit(facts: Facts) -> Check:
    """Do the frames clear one another and the edges of the baffle?"""
    setting, source = facts.setting, "geometry of the baffle"
    layout = setting.layout
    if not layout.frames:
        return _gap("frames fit", "Frames fit", "mm", source, setting.case.pairing.missing("centre_spacing_m"))
    overlap, pair = max(
        ((_overlap_m(one, other), f"{one.label} and {other.label}") for one, other in combinations(layout.frames, 2)),
        default=(-math.inf, ""),
    )
    outside, which = max((_outside_m(frame, layout), frame.label) for frame in layout.frames)
    clearance_mm = -1e3 * max(overlap, outside)
    if abs(clearance_mm) <= CLEAR_MM:
        clearance_mm = 0.0
    unknown = {frame.role for frame in layout.frames if not frame.size_known}
    if unknown and clearance_mm >= 0.0:
        missing = setting.case.low.missing("frame_width_m") if "low" in unknown else ()
        missing += setting.case.high.missing("faceplate_width_m") if "high" in unknown else ()
        return _gap("frames fit", "Frames fit", "mm", source, missing)
    if clearance_mm >= 0.0:
        text = f"All frames clear one another and the edges; the tightest place has {clearance_mm:.0f} mm."
    elif overlap >= outside:
        text = f"{pair} overlap by {-clearance_mm:.0f} mm."
    else:
        text = f"{which} stands {-clearance_mm:.0f} mm over the edge of the baffle."
    return _graded("frames fit", "Frames fit", clearance_mm, 0.0, "mm", source, text, at_most=False)


def back(facts: Facts) -> Check:
    """Does the rear of the high driver suit the cabinet?"""
    setting, kind = facts.setting, facts.setting.case.cabinet.kind
    source = COMMON
    if kind == "open baffle" and not setting.open_back:
        text = "Sealed at the back on an open baffle: below the crossover it radiates to both sides, above it to the front only."
        return _yes_no("back", "Back of the high driver", False, source, text, worst="marginal")
    if kind != "open baffle" and setting.open_back:
        text = f"Open at the back in a {kind} cabinet."
        condition = "Give the high driver a tight, damped chamber of its own: the low driver's pressure would tear it."
        return _yes_no("back", "Back of the high driver", True, source, text, condition=condition)
    return _yes_no(
        "back", "Back of the high driver", True, source, f"The back of the high driver suits a cabinet that is {kind}."
    )


def surroundings(facts: Facts) -> Check:
    """May this kind of driver stand where it will stand?"""
    case = facts.setting.case
    kind, where = case.technology, case.pairing.surroundings
    if where in (kind.excluded or ()):
        return _yes_no(
            "surroundings",
            "Surroundings",
            False,
            f"{COMMON}; Technologies sheet",
            f"A {kind.id} must not stand here: {where}.",
        )
    return _yes_no(
        "surroundings",
        "Surroundings",
        True,
        f"{COMMON}; Technologies sheet",
        f"Nothing speaks against a {kind.id} here: {where}.",
    )


def reach(facts: Facts) -> Check | None:
    """Is a fragile diaphragm within reach of children?"""
    case = facts.setting.case
    kind, practice = case.technology, case.practice
    if kind.fragility == "ordinary" or case.pairing.surroundings not in ("home", "public"):
        return None
    height, limit = float(facts.setting.high_centre_m[1]), practice["reach of children"]
    screened = case.high.screen is True
    screen_is = {True: ", behind a screen", False: ", without a screen", None: "; no screen is stated"}[
        case.high.screen
    ]
    text = f"The {kind.fragility} diaphragm stands {height:.2f} m over the floor{screen_is}."
    source = practice.source("reach of children")
    if screened:
        return _yes_no("reach", "Reach of children", True, source, text)
    if height < limit:
        text += " Within reach of children it needs a grille."
    return _graded("reach", "Reach of children", height, limit, "m", source, text, at_most=False, worst="marginal")


def screen(facts: Facts) -> Check | None:
    """Does a beryllium diaphragm sit behind a full screen?"""
    case = facts.setting.case
    if case.technology.diaphragm != "beryllium":
        return None
    source = "29 CFR 1910.1024 (exposure limit); common practice"
    if case.high.screen is None:
        return _gap("screen", "Screen over beryllium", "", source, case.high.missing("screen"), essential=True)
    text = (
        "The beryllium diaphragm sits behind its screen."
        if case.high.screen
        else "A beryllium diaphragm without a screen must not be sold in a kit."
    )
    condition = "The screen over the beryllium diaphragm stays on for good." if case.high.screen else ""
    return _yes_no("screen", "Screen over beryllium", case.high.screen, source, text, condition=condition)


def diaphragm_resonance(facts: Facts) -> Check | None:
    """Does a hard diaphragm ring inside the audible band?"""
    case = facts.setting.case
    if case.technology.diaphragm not in ("hard", "beryllium"):
        return None
    limit, source = case.practice["top of the audible band"], case.practice.source("top of the audible band")
    hz = case.high.diaphragm_resonance_hz
    if hz is None:
        return _gap(
            "diaphragm resonance", "Diaphragm resonance", "Hz", source, case.high.missing("diaphragm_resonance_hz")
        )
    text = f"The hard diaphragm rings at {hz / 1e3:.1f} kHz."
    return _graded(
        "diaphragm resonance", "Diaphragm resonance", hz, limit, "Hz", source, text, at_most=False, worst="marginal"
    )


def horn_needed(facts: Facts) -> Check | None:
    """Has a compression driver its horn?"""
    case = facts.setting.case
    if case.technology.family != "compression":
        return None
    text = (
        "The compression driver has its horn."
        if case.guide
        else "A compression driver without a horn has no air load and breaks."
    )
    return _yes_no("horn", "Horn", case.guide is not None, COMMON, text)


def stock(facts: Facts) -> Check | None:
    """Are the drivers and the guide on the shelf?"""
    case, source = facts.setting.case, "Stock columns of the workbook"
    needed = drivers_of(case)
    known = [(one.record.id, one.record.stock, one.count) for one in needed if one.record.stock is not None]
    missing = tuple(text for one in needed for text in one.record.missing("stock"))
    short = [f"{name} ({have} of {count})" for name, have, count in known if have < count]
    if not known:
        return None
    if missing and not short:
        return _gap("stock", "Stock", "", source, missing)
    text = f"Not enough on the shelf: {', '.join(short)}." if short else "Drivers and guide are on the shelf."
    return _yes_no("stock", "Stock", not short, source, text, worst="marginal")


def price(facts: Facts) -> Check:
    """What does one loudspeaker's set of drivers, guide and parts cost?"""
    source = "Price columns of the workbook"
    if facts.price is None:
        return _gap(
            "price", "Price", facts.setting.case.maker.currency, source, facts.price_missing, facts.not_designed
        )
    currency = facts.setting.case.maker.currency
    text = f"Drivers, guide and parts of one loudspeaker: {facts.price:.2f} {currency}."
    if facts.unpriced:
        text = f"Drivers and guide of one loudspeaker: {facts.price:.2f} {currency}; the network is not counted, {facts.unpriced} of its parts state no price."
    return Check("price", "Price", "pass", facts.price, None, currency, None, currency, source, text, essential=False)


def data_agree(facts: Facts) -> Check:
    """Do the figures of the low driver's data sheet agree with one another?"""
    low, good = facts.setting.case.low, not facts.disagreements
    source = "Small 1972, electro-mechanical identities"
    linked = ("vas_m3", "moving_mass_kg", "force_factor_t_m")
    if all(getattr(low, name) is None for name in linked):  # nothing to hold the sensitivity against
        return _gap("data agree", "Driver data agree", "", source, low.missing(*linked))
    text = (
        f"The stated figures of {low.id} agree with one another within 10 %." if good else " ".join(facts.disagreements)
    )
    return _yes_no("data agree", "Driver data agree", good, source, text, worst="marginal")


CHECKS: tuple[Callable[[Facts], Check | None], ...] = (
    level, directivity_step, seated_window, standing_window, tilt, evenness, reversed_null, lobe, impedance_minimum,
    part_stress, good_builds, peak_level, frames_fit, back, surroundings, reach, screen, diaphragm_resonance,
    horn_needed, data_agree, stock, price,
)  # fmt: skip
"""Every check beside the limits, in the order of the page; one that does not apply answers None."""


def all_checks(facts: Facts, rules: Iterable[Callable[[Facts], Check | None]] = CHECKS) -> tuple[Check, ...]:
    """The limits at the chosen crossover, then every check that applies."""
    asked = [limit_check(facts, limit) for limit in facts.limits]
    return (*asked, *(check for rule in rules if (check := rule(facts)) is not None))
