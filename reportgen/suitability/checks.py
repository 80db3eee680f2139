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

from reportgen.pairing.as_built import TILT_FROM_HZ, AsBuilt
from reportgen.pairing.as_used import Frame, Layout, Setting
from reportgen.pairing.network import REACHED_TO_HZ
from reportgen.pairing.shopping import drivers_of
from reportgen.suitability.agreement import disagreements
from reportgen.suitability.limits import COMMON, SIGN, Limit

Outcome = Literal["pass", "marginal", "fail", "not assessed"]


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


def limit_check(built: AsBuilt, limit: Limit) -> Check:
    """A limit at the chosen crossover: its distance in octaves, marginal within the margin or its own spread."""
    if limit.hz is None:
        return _gap(limit.id, limit.title, "Hz", limit.source, limit.missing, limit.text, limit.essential)
    at, crossover_hz = SIGN[limit.side] * math.log2(built.crossover_hz), built.crossover_hz
    bound, fail, need = limit.edge(built.setting.case.practice["limit margin"])
    outcome: Outcome = "fail" if at < fail else "marginal" if at < need else "pass"
    text = limit.text + _nearness(outcome, crossover_hz, at - bound, limit.spread_octaves)
    return Check(
        limit.id, limit.title, outcome, crossover_hz, limit.hz, "Hz", at - bound, "octave", limit.source, text,
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


def level(built: AsBuilt) -> Check:
    """Is the high driver loud enough for the low one, after baffle step and wiring? It cannot be padded up."""
    source = "sensitivities of the data sheets, baffle and wiring worked out"
    network = built.network
    if network is None:
        return _gap("level", "Level match", "dB", source, (), built.not_designed, essential=True)
    surplus, margin = network.level_surplus_db, built.setting.case.practice["level margin"]
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


def directivity_step(built: AsBuilt) -> Check:
    """Do both drivers radiate alike where they meet? Above the limit is marginal, above the worst a fail."""
    practice = built.setting.case.practice
    limit, worst = practice["directivity step limit"], practice["directivity step worst"]
    source = practice.source("directivity step limit")
    step = abs(built.directivity_step_db)
    text = f"At {built.crossover_hz:.0f} Hz the directivity indices of the two drivers differ by {step:.1f} dB."
    if step > limit:
        text += f" The sound off the axis {'widens' if built.directivity_step_db > 0.0 else 'narrows'} there."
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


def _level_margin(built: AsBuilt) -> float:
    return built.setting.case.practice["level margin"]


def seated_window(built: AsBuilt) -> Check:
    """Does the seated ear hear the top of the high driver?"""
    practice = built.setting.case.practice
    limit, source = practice["window loss limit"], practice.source("window loss limit")
    window = built.window
    if window is None:
        return _gap("seated window", "Window, seated", "dB", source, (), built.not_designed)
    text = f"At {practice['high band top'] / 1e3:g} kHz the seated ear loses {window.seated_loss_db:.1f} dB against the high driver's own axis."
    return _graded(
        "seated window",
        "Window, seated",
        window.seated_loss_db,
        limit,
        "dB",
        source,
        text,
        margin_needed=_level_margin(built),
    )


def standing_window(built: AsBuilt) -> Check:
    """Does the standing ear hear it? A miss is a condition, not a fault."""
    practice = built.setting.case.practice
    limit, source = practice["window loss limit"], practice.source("window loss limit")
    window = built.window
    if window is None:
        return _gap("standing window", "Window, standing", "dB", source, (), built.not_designed)
    loss = window.standing_loss_db
    text = f"At {practice['high band top'] / 1e3:g} kHz an ear at {practice['standing ear height']:g} m, standing, loses {loss:.1f} dB."
    if loss > limit:
        text += " It is to be heard sitting."
    return _graded("standing window", "Window, standing", loss, limit, "dB", source, text, worst="marginal")


def tilt(built: AsBuilt) -> Check | None:
    """How far does a tall radiator's top end fall above 5 kHz inside the listening window?"""
    practice = built.setting.case.practice
    source = practice.source("tilt limit")
    if built.setting.high_tall_m < built.setting.air.speed_m_s / TILT_FROM_HZ:
        return None
    window = built.window
    if window is None:
        return _gap("tilt", "Tilt above 5 kHz", "dB", source, (), built.not_designed)
    top = f"{practice['high band top'] / 1e3:g} kHz"
    text = f"A tall radiator: averaged over the vertical window, {top} lies {window.tilt_db:.1f} dB under 5 kHz."
    return _graded(
        "tilt", "Tilt above 5 kHz", window.tilt_db, practice["tilt limit"], "dB", source, text, worst="marginal"
    )


def evenness(built: AsBuilt) -> Check:
    """How near is the sum on the axis to its target in the two octaves around the crossover?"""
    practice = built.setting.case.practice
    limit, source = practice["sum deviation limit"], practice.source("sum deviation limit")
    network = built.network
    if network is None:
        return _gap("evenness", "Evenness of the sum", "dB", source, (), built.not_designed)
    text = f"From an octave below to an octave above the crossover the sum strays {network.sum_deviation_db:.1f} dB at most from its target."
    return _graded(
        "evenness",
        "Evenness of the sum",
        network.sum_deviation_db,
        limit,
        "dB",
        source,
        text,
        margin_needed=_level_margin(built),
    )


def reversed_null(built: AsBuilt) -> Check | None:
    """How deep is the hole with one driver reversed? It shows that the phases track."""
    if built.setting.slope.family != "Linkwitz-Riley":
        return None
    practice = built.setting.case.practice
    limit, source = practice["reversed null depth"], practice.source("reversed null depth")
    network = built.network
    if network is None:
        return _gap("reversed null", "Reversed null", "dB", source, (), built.not_designed)
    text = f"With one driver reversed the sum falls by {max(network.reversed_depth_db, 0.0):.0f} dB near the crossover."
    return _graded(
        "reversed null",
        "Reversed null",
        network.reversed_depth_db,
        limit,
        "dB",
        source,
        text,
        at_most=False,
        worst="marginal",
    )


def lobe(built: AsBuilt) -> Check:
    """Does the main lobe at the crossover point at the seat, with the real depths of the acoustic centres?"""
    practice = built.setting.case.practice
    limit, source = practice["lobe loss limit"], practice.source("lobe loss limit")
    network = built.network
    if network is None:
        return _gap("lobe", "Lobe at the crossover", "dB", source, (), built.not_designed)
    degrees = math.degrees(network.lobe_rad)
    if network.lobe_db < 0.1:
        text = f"At {built.crossover_hz:.0f} Hz the lobe points at the seat."
    else:
        up, down = ("right of", "left of") if built.setting.sideways else ("above", "below")
        way = up if degrees > 0.0 else down
        text = f"At {built.crossover_hz:.0f} Hz it is loudest {abs(degrees):.0f} deg {way} the seat, {network.lobe_db:.1f} dB louder than there."
    return _graded("lobe", "Lobe at the crossover", network.lobe_db, limit, "dB", source, text, worst="marginal")


def impedance_minimum(built: AsBuilt) -> Check:
    """Does the usual amplifier accept the load?"""
    practice = built.setting.case.practice
    source = f"{practice.source('lowest rated impedance')}; IEC 60268-5, 80 %"
    limit = practice["rated impedance share"] * practice["lowest rated impedance"]
    network = built.network
    if network is None:
        return _gap("impedance minimum", "Impedance minimum", "ohm", source, (), built.not_designed)
    text = f"The amplifier sees {network.electrical.minimum_ohm:.1f} ohm at least, at {network.electrical.minimum_hz:.0f} Hz."
    return _graded(
        "impedance minimum",
        "Impedance minimum",
        network.electrical.minimum_ohm,
        limit,
        "ohm",
        source,
        text,
        at_most=False,
    )


def part_stress(built: AsBuilt) -> Check:
    """Does every part bear the rated programme?"""
    source = "worked out from the network at the amplifier's rated programme"
    network = built.network
    if network is None:
        return _gap("part stress", "Stress of parts", "", source, (), built.not_designed)
    if network.unobtainable:
        text = f"No rating customarily sold bears the programme: {', '.join(network.unobtainable)}."
        return _yes_no("part stress", "Stress of parts", False, source, text)
    if network.under_rated:
        return _yes_no(
            "part stress", "Stress of parts", False, source, f"Under-rated in stock: {', '.join(network.under_rated)}."
        )
    if unrated := built.unstated("rating", (part for part in network.parts if part.unrated)):
        return _gap("part stress", "Stress of parts", "", source, unrated)
    text = "Every part bears the rated programme if bought with the rating printed in the parts list."
    return _yes_no("part stress", "Stress of parts", True, source, text)


def good_builds(built: AsBuilt) -> Check:
    """How many of the builds that tolerances allow are still good?"""
    practice = built.setting.case.practice
    limit, source = practice["good builds share"], practice.source("good builds share")
    network = built.network
    if network is None:
        return _gap("good builds", "Share of good builds", "%", source, (), built.not_designed)
    text = f"{network.spread.good_share:.0%} of builds stay within {practice['build tolerance']:g} dB of the design around the crossover"
    even = network.sum_deviation_db <= practice["sum deviation limit"]
    text += " and within the limit of evenness." if even else "."
    if network.spread.worst_part:
        text += f" The {network.spread.worst_part} counts most: {network.spread.worst_part_db:.1f} dB at the edge of its tolerance."
    return _graded(
        "good builds",
        "Share of good builds",
        100.0 * network.spread.good_share,
        100.0 * limit,
        "%",
        source,
        text,
        at_most=False,
        worst="marginal",
    )


def peak_level(built: AsBuilt) -> Check:
    """Can the wanted peak level be reached at the seat?"""
    pairing, source = built.setting.case.pairing, "travel of the drivers and voltage of the amplifier, worked out"
    network = built.network
    if network is None:
        return _gap("peak level", "Peak level at the seat", "dB", source, (), built.not_designed)
    unknown = _travel_unknown(built.setting)
    if unknown and network.reachable_db >= pairing.peak_level_db:
        return _gap("peak level", "Peak level at the seat", "dB", source, unknown)
    text = (
        f"From two octaves below the crossover up to {REACHED_TO_HZ / 1e3:g} kHz, {network.reachable_db:.0f} dB are reached"
        f" at the seat; least at {network.reachable_hz:.0f} Hz, where {network.reachable_cause} ends it."
    )
    return _graded(
        "peak level",
        "Peak level at the seat",
        network.reachable_db,
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


def frames_fit(built: AsBuilt) -> Check:
    """Do the frames clear one another and the edges of the baffle?"""
    setting, source = built.setting, "geometry of the baffle"
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


def back(built: AsBuilt) -> Check:
    """Does the rear of the high driver suit the cabinet?"""
    setting, kind = built.setting, built.setting.case.cabinet.kind
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


def surroundings(built: AsBuilt) -> Check:
    """May this kind of driver stand where it will stand?"""
    case = built.setting.case
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


def reach(built: AsBuilt) -> Check | None:
    """Is a fragile diaphragm within reach of children?"""
    case = built.setting.case
    kind, practice = case.technology, case.practice
    if kind.fragility == "ordinary" or case.pairing.surroundings not in ("home", "public"):
        return None
    height, limit = float(built.setting.high_centre_m[1]), practice["reach of children"]
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


def screen(built: AsBuilt) -> Check | None:
    """Does a beryllium diaphragm sit behind a full screen?"""
    case = built.setting.case
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


def diaphragm_resonance(built: AsBuilt) -> Check | None:
    """Does a hard diaphragm ring inside the audible band?"""
    case = built.setting.case
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


def horn_needed(built: AsBuilt) -> Check | None:
    """Has a compression driver its horn?"""
    case = built.setting.case
    if case.technology.family != "compression":
        return None
    text = (
        "The compression driver has its horn."
        if case.guide
        else "A compression driver without a horn has no air load and breaks."
    )
    return _yes_no("horn", "Horn", case.guide is not None, COMMON, text)


def stock(built: AsBuilt) -> Check | None:
    """Are the drivers and the guide on the shelf?"""
    source, needed = "Stock columns of the workbook", drivers_of(built.setting.case)
    known = [(one.record.id, one.record.stock, one.count) for one in needed if one.record.stock is not None]
    missing = tuple(text for one in needed for text in one.record.missing("stock"))
    short = [f"{name} ({have} of {count})" for name, have, count in known if have < count]
    if not known:
        return None
    if missing and not short:
        return _gap("stock", "Stock", "", source, missing)
    text = f"Not enough on the shelf: {', '.join(short)}." if short else "Drivers and guide are on the shelf."
    return _yes_no("stock", "Stock", not short, source, text, worst="marginal")


def price(built: AsBuilt) -> Check:
    """What does one loudspeaker's set of drivers, guide and parts cost?"""
    source = "Price columns of the workbook"
    if built.price is None:
        return _gap(
            "price", "Price", built.setting.case.maker.currency, source, built.price_missing, built.not_designed
        )
    currency = built.setting.case.maker.currency
    unpriced = sum(part.price is None for part in built.network.parts) if built.network else 0
    text = f"Drivers, guide and parts of one loudspeaker: {built.price:.2f} {currency}."
    if unpriced:
        text = f"Drivers and guide of one loudspeaker: {built.price:.2f} {currency}; the network is not counted, {unpriced} of its parts state no price."
    return Check("price", "Price", "pass", built.price, None, currency, None, currency, source, text, essential=False)


def data_agree(built: AsBuilt) -> Check:
    """Do the figures of the low driver's data sheet agree with one another?"""
    low, found = built.setting.case.low, disagreements(built.setting)
    good = not found
    source = "Small 1972, electro-mechanical identities"
    linked = ("vas_m3", "moving_mass_kg", "force_factor_t_m")
    if all(getattr(low, name) is None for name in linked):  # nothing to hold the sensitivity against
        return _gap("data agree", "Driver data agree", "", source, low.missing(*linked))
    text = f"The stated figures of {low.id} agree with one another within 10 %." if good else " ".join(found)
    return _yes_no("data agree", "Driver data agree", good, source, text, worst="marginal")


CHECKS: tuple[Callable[[AsBuilt], Check | None], ...] = (
    level, directivity_step, seated_window, standing_window, tilt, evenness, reversed_null, lobe, impedance_minimum,
    part_stress, good_builds, peak_level, frames_fit, back, surroundings, reach, screen, diaphragm_resonance,
    horn_needed, data_agree, stock, price,
)  # fmt: skip
"""Every check beside the limits, in the order of the page; one that does not apply answers None."""


def all_checks(
    built: AsBuilt, limits: Iterable[Limit], rules: Iterable[Callable[[AsBuilt], Check | None]] | None = None
) -> tuple[Check, ...]:
    """The limits at the chosen crossover, then every check among `rules` (all of the table) that applies."""
    asked = CHECKS if rules is None else rules
    return (
        *(limit_check(built, limit) for limit in limits),
        *(check for rule in asked if (check := rule(built)) is not None),
    )
