"""The checks: every limit at the chosen frequency, and what else must hold for a pairing to be sold.

Knows what is compared with what, and in which words. Refuses to know cells, pages and how a network is found.
A new check is one function in the table `CHECKS` at the end.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Literal

from reportgen.acoustics.lobes import column_side_lobe_hz
from reportgen.acoustics.slopes import high_pass_magnitude, sum_departure_db
from reportgen.catalogue.currencies import with_currency
from reportgen.catalogue.plausible import impedance_doubts, level_of
from reportgen.catalogue.records import Case
from reportgen.crossover.topologies import FRONT, PAD
from reportgen.pairing import frames
from reportgen.pairing.as_built import AsBuilt
from reportgen.pairing.as_used import Frame, Layout, Setting, inside
from reportgen.pairing.filled_in import unsure_cells
from reportgen.pairing.heat import Warmth, at_most_w, high_allowed_at_least_w
from reportgen.pairing.network import Engineered
from reportgen.pairing.reach import REACHED_TO_HZ
from reportgen.pairing.shopping import drivers_of, stock_ids
from reportgen.pairing.tolerances import room_db
from reportgen.pairing.voiced import Barred
from reportgen.pairing.windows import SIDE_FROM_HZ, TILT_FROM_HZ
from reportgen.suitability.agreement import disagreements
from reportgen.suitability.limits import COMMON, SIGN, Limit, resonance_factor, watts

Outcome = Literal["pass", "marginal", "fail", "not assessed"]
Gravity = Literal["health", "kind", "load", ""]
GRAVITIES: tuple[Gravity, ...] = ("health", "kind", "load", "")
"""What a person must hear before anything else: danger to health, a kind of driver ruled out, a load that nothing bears."""


@dataclass(frozen=True, slots=True)
class Check:
    """One question asked of a pairing and its answer.

    `value`, `limit` and `margin` are in `unit` (margin of frequency checks: in octaves, `margin_unit`); the
    margin is positive on the good side. `condition` is a sentence the builder must keep even if it passes. `gravity`
    puts a fail before all others; `share` is a miss as a share of its limit where value and limit do not tell it. One
    that is not `judged` is a figure only: no value of it is a fault. `condition` of one that passes makes it pass.
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
    gravity: Gravity = ""
    share: float | None = None
    judged: bool = True
    because: str = ""

    @property
    def miss(self) -> float:
        """By how much it misses, as a share of its own limit; negative inside it, 0 where there is no figure.

        Octaves count as ratios of frequency and decibels as ratios of sound pressure, whatever their limit is.
        """
        if self.share is not None:
            return self.share
        if self.margin is None:
            return 0.0
        if self.margin_unit == "octave":
            return 1.0 - math.exp2(self.margin)
        if self.margin_unit == "dB":
            return float(1.0 - 10.0 ** (self.margin / 20.0))
        return -self.margin / abs(self.limit or 1.0)


def _gap(
    id_: str, title: str, unit: str, source: str, missing: tuple[str, ...], why: str = "", essential: bool = False
) -> Check:
    reason = f"{'; '.join(missing)} missing" if missing else why
    text = f"{title} not assessed: {reason}."
    return Check(id_, title, "not assessed", None, None, unit, None, unit, source, text, essential, missing)


def _graded(
    id_: str, title: str, value: float, limit: float, unit: str, source: str, text: str,
    *, at_most: bool = True, margin_needed: float = 0.0, allowed: float = 0.0, worst: Outcome = "fail",
    condition: str = "", gravity: Gravity = "", share: float | None = None,
) -> Check:  # fmt: skip
    """Compare a value with its limit: nearer than `margin_needed`, or past it by no more than `allowed`, is marginal.

    `worst` is what a larger miss counts as; `condition` is kept where the value is not plainly good.
    """
    margin = limit - value if at_most else value - limit
    outcome: Outcome = worst if margin < -allowed else "marginal" if margin < margin_needed else "pass"
    return Check(
        id_, title, outcome, value, limit, unit, margin, unit, source, text, condition="" if outcome == "pass" else condition,
        gravity=gravity, share=share,
    )  # fmt: skip


def _yes_no(
    id_: str, title: str, good: bool, source: str, text: str, worst: Outcome = "fail", condition: str = "",
    gravity: Gravity = "",
) -> Check:  # fmt: skip
    outcome: Outcome = "pass" if good else worst
    return Check(id_, title, outcome, None, None, "", None, "", source, text, condition=condition, gravity=gravity)


def limit_check(built: AsBuilt, limit: Limit) -> Check:
    """A limit at the chosen crossover: its distance in octaves, marginal within the margin or its own spread.

    Past a limit that is no wall it is as good as what the network makes of it, and misses by as much.
    """
    if limit.hz is None:
        gap = _gap(limit.id, limit.title, "Hz", limit.source, limit.missing, essential=limit.essential)
        return replace(gap, text=limit.text)
    at, crossover_hz = SIGN[limit.side] * math.log2(built.crossover_hz), built.crossover_hz
    bound, fail, need = limit.edge(built.setting.case.practice["limit margin"])
    outcome: Outcome = "fail" if at < fail else "marginal" if at < need else "pass"
    text, share = limit.text + _nearness(outcome, crossover_hz, at - bound, limit.spread_octaves), None
    if not limit.wall and outcome != "pass":
        made = [check for rule in MADE_GOOD if built.network and (check := rule(built)) is not None]
        outcome, share = _worst(made) if made else "marginal", max((check.miss for check in made), default=None)
        text = limit.text + _MADE_GOOD[outcome]
    return Check(
        limit.id, limit.title, outcome, crossover_hz, limit.hz, "Hz", at - bound, "octave", limit.source, text,
        limit.essential, share=share,
    )  # fmt: skip


_MADE_GOOD: Mapping[Outcome, str] = {
    "pass": " The network counts that in and meets its target all the same.",
    "marginal": " Whether the network makes that good is a near thing.",
    "fail": " The network does not make that good.",
}


def _worst(checks: Iterable[Check]) -> Outcome:
    found = [check.outcome for check in checks]
    worst = [outcome for outcome in ("fail", "marginal", "not assessed") if outcome in found]
    return "pass" if not worst else "fail" if worst[0] == "fail" else "marginal"


def _nearness(outcome: Outcome, crossover_hz: float, margin: float, spread: float) -> str:
    """How near the crossover comes to a limit, where that matters; octaves."""
    if outcome == "pass":
        return ""
    where = f" The crossover of {crossover_hz:.0f} Hz is {abs(margin):.2f} octave"
    if outcome == "fail":
        return f"{where} on the wrong side."
    side = "on the wrong side, less than" if margin < 0.0 else "away, inside"
    return f"{where} {side} its tolerance, ±{spread:.2f} octave." if margin < spread else f"{where} away."


def level(built: AsBuilt) -> Check:
    """Is the high driver loud enough for the low one, after baffle step and wiring? It cannot be padded up."""
    source = "sensitivities of the data sheets, baffle and wiring worked out"
    network = built.network
    if network is None:
        return _gap("level", "Level match", "dB", source, (), built.not_designed, essential=True)
    surplus, practice = network.level_surplus_db, built.setting.case.practice
    roles = {part.role for part in network.parts if part.branch == "high"}
    if abs(surplus) < SAME_DB:
        text = "Both drivers are equally loud around the crossover."
    elif surplus < 0.0:
        text = f"The high driver is {-surplus:.1f} dB quieter than the low one around the crossover; no part makes it louder."
    else:
        resistor = "the pad" if PAD in roles else "the resistor before its filter" if FRONT in roles else ""
        how = f"{resistor} takes that off" if resistor else "its filter takes that off without a pad"
        text = f"The high driver is {surplus:.1f} dB louder than the low one around the crossover; {how}."
    return _graded(
        "level", "Level match", surplus, 0.0, "dB", source, text, at_most=False, margin_needed=-practice["level margin"],
        allowed=practice["level shortfall limit"],
    )  # fmt: skip


SAME_DB = 0.05
"""Levels nearer to one another than this are told as the same."""


def directivity_step(built: AsBuilt) -> Check:
    """Do both drivers radiate alike where they meet? A step above the limit is marginal, however large."""
    practice = built.setting.case.practice
    limit, source = practice["directivity step limit"], practice.source("directivity step limit")
    step = abs(built.directivity_step_db)
    text = f"At {built.crossover_hz:.0f} Hz the directivity indices of the two drivers differ by {step:.1f} dB."
    if step > limit:
        text += f" The sound off the axis {'widens' if built.directivity_step_db > 0.0 else 'narrows'} there."
        if built.setting.guided_by_cone:
            text += f" What the cone around {built.setting.case.high.id} narrows is not counted."
    return _graded("directivity step", "Directivity step", step, limit, "dB", source, text, worst="marginal")


def _level_margin(built: AsBuilt) -> float:
    return built.setting.case.practice["level margin"]


def seated_window(built: AsBuilt) -> Check:
    """Does the seated ear hear the top of the high driver?"""
    practice = built.setting.case.practice
    limit, source = practice["window loss limit"], practice.source("window loss limit")
    window = built.window
    if window is None:
        return _gap("seated window", "Window, seated", "dB", source, (), built.not_designed)
    where = _lost_at(window.seated_hz, practice["high band top"])
    text = f"{where} the seated ear loses {_lost(window.seated_loss_db)} against the high driver's own axis."
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


def _lost_at(hz: float | None, top_hz: float) -> str:
    """Where an ear loses most: at the top of the band, or in a third of an octave below."""
    return f"At {top_hz / 1e3:g} kHz" if hz is None else f"Around {hz / 1e3:.0f} kHz"


def _lost(loss_db: float) -> str:
    return f"{loss_db:.1f} dB" if loss_db >= 0.05 else "nothing"


def standing_window(built: AsBuilt) -> Check | None:
    """Does the standing ear hear it? A miss is a condition, not a fault; nobody stands in a vehicle, and whoever gets up from a desk leaves."""
    practice, pairing = built.setting.case.practice, built.setting.case.pairing
    if pairing.surroundings == "vehicle" or pairing.distance_m < AT_A_DESK_M:
        return None
    limit, source = practice["window loss limit"], practice.source("window loss limit")
    window = built.window
    if window is None:
        return _gap("standing window", "Window, standing", "dB", source, (), built.not_designed)
    loss, where = window.standing_loss_db, _lost_at(window.standing_hz, practice["high band top"])
    sitting = "It is to be heard sitting: whoever stands hears little of its treble."
    text = f"{where} an ear at {practice['standing ear height']:g} m, standing, loses {_lost(loss)}."
    return _graded(
        "standing window", "Window, standing", loss, limit, "dB", source, text, worst="marginal",
        condition=sitting if window.seated_loss_db <= limit else "",
    )  # fmt: skip


AT_A_DESK_M = 1.2
"""A seat that is nearer is one at a desk (common practice, no source)."""


def side_window(built: AsBuilt) -> Check:
    """Does a listener at the edge of the horizontal window hear the top of the high driver?

    A loss in the top octave alone is marginal, as in the height of a tall radiator; one that begins at 10 kHz fails.
    """
    practice, window = built.setting.case.practice, built.window
    limit, source = practice["window loss limit"], practice.source("window loss limit")
    if window is None:
        return _gap("side window", "Window, sideways", "dB", source, (), built.not_designed)
    at_10, at_top = window.side_loss_db
    half = math.degrees(built.setting.case.pairing.horizontal_half_window_rad)
    text = (
        f"At ±{half:.0f} deg, against the seat, the high driver is {_softer(at_10)} at {SIDE_FROM_HZ / 1e3:g} kHz and"
        f" {_softer(at_top)} at {practice['high band top'] / 1e3:g} kHz."
    )
    return _graded(
        "side window", "Window, sideways", at_top, limit, "dB", source, text, margin_needed=_level_margin(built),
        worst="fail" if at_10 > limit else "marginal",
    )  # fmt: skip


def _softer(loss_db: float) -> str:
    if abs(loss_db) < SAME_DB:
        return "as loud"
    return f"{abs(loss_db):.1f} dB {'softer' if loss_db > 0.0 else 'louder'}"


def height_window(built: AsBuilt) -> Check | None:
    """Do several high drivers leave a hole between their lobes, at an ear inside the vertical window?"""
    setting, window = built.setting, built.window
    pairing, practice = setting.case.pairing, setting.case.practice
    source, title = practice.source("window loss limit"), "Window, in height"
    if pairing.high_count == 1:
        return None
    if window is None:
        return _gap("height window", title, "dB", source, (), built.not_designed)
    text = (
        f"The centres of the high drivers stand {setting.high_pitch_m * 1e3:.0f} mm apart, one over another: inside"
        f" ±{math.degrees(pairing.vertical_half_window_rad):.0f} deg up and down an ear loses {_lost(window.hole_db)} at most"
        f" against the seat, around {window.hole_hz / 1e3:.0f} kHz."
    )
    limit = practice["window loss limit"]
    seated = f"Sit with the ears at {pairing.ear_height_m:g} m: a little higher or lower its treble has holes."
    return _graded(
        "height window", title, window.hole_db, limit, "dB", source, text, worst="marginal",
        margin_needed=_level_margin(built), condition=seated if window.seated_loss_db <= limit else "",
    )  # fmt: skip


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
    apart = f"{abs(window.tilt_db):.1f} dB {'over' if window.tilt_db < 0.0 else 'under'}"
    text = (
        f"A tall radiator: averaged over the vertical window, {top} lies {'level with' if abs(window.tilt_db) < 0.05 else apart} 5 kHz."
        f" {_towards_the_room(window.room_loss_db)}{_side_lobe(built.setting)}"
    )
    return _graded(
        "tilt", "Tilt above 5 kHz", window.tilt_db, practice["tilt limit"], "dB", source, text, worst="marginal"
    )


def _towards_the_room(loss_db: float) -> str:
    """What a tall radiator sends towards floor and ceiling against the seat, which may lie outside its height."""
    sends = f"Towards floor and ceiling it sends {abs(loss_db):.0f} dB"
    if loss_db >= 0.5:
        return (
            f"{sends} less at 5 kHz than to the seat: the room adds less there, and its top end sounds softer than the curve on"
            " the axis."
        )
    if loss_db > -0.5:
        return "Towards floor and ceiling it sends as much at 5 kHz as to the seat."
    return f"{sends} more at 5 kHz than to the seat, which lies outside its height: the room adds more there than the seat hears directly."


def evenness(built: AsBuilt) -> Check:
    """How near is the sum on the axis to its target in the two octaves around the crossover?"""
    practice = built.setting.case.practice
    limit, source = practice["sum deviation limit"], practice.source("sum deviation limit")
    network = built.network
    if network is None:
        return _gap("evenness", "Evenness of the sum", "dB", source, (), built.not_designed)
    text = f"From an octave below to an octave above the crossover the sum strays {network.sum_deviation_db:.1f} dB at most from its target."
    worst = practice["sum deviation worst"]
    return _graded(
        "evenness", "Evenness of the sum", network.sum_deviation_db, limit, "dB", source, text, allowed=worst - limit
    )


def _lacking(barred: Barred, built: AsBuilt) -> str:
    """What a driver itself lacks where the sum lies too low; empty where a network could reach."""
    if barred.lacks_db < LACKS_FROM_DB:
        return ""
    case, is_low = built.setting.case, barred.driver == "low"
    id_, count = (case.low.id, case.pairing.low_count) if is_low else (case.high.id, case.pairing.high_count)
    who, what = (
        (f"{id_} itself lies", "it") if count == 1 else (f"{count} {id_}, heard together at the seat, lie", "them")
    )
    where = f"from {barred.low_hz:.0f} to {barred.high_hz:.0f} Hz"
    return f" There, {where}, {who} {barred.lacks_db:.1f} dB under the target, and no passive network lifts {what}."


LACKS_FROM_DB = 0.5
"""Less is not worth a word."""


def _signed(value: float) -> str:
    """A tenth with its sign; nothing has none."""
    return f"{value:+.1f}" if abs(value) >= 0.05 else "0.0"


def _side_lobe(setting: Setting) -> str:
    """From where on a column of high drivers sends a side lobe into the window; nothing where it does not, in the audible band."""
    if setting.case.pairing.high_count == 1:
        return ""
    hz = float(column_side_lobe_hz(setting.high_pitch_m, setting.case.pairing.vertical_half_window_rad, setting.air))
    if hz > setting.case.practice["top of the audible band"]:
        return ""
    return f" Their centres stand {setting.high_pitch_m * 1e3:.0f} mm apart: from {hz / 1e3:.1f} kHz up a side lobe stands inside the window."


def balance(built: AsBuilt) -> Check:
    """Do bass and treble lie at the level that the whole is voiced to?"""
    practice, network = built.setting.case.practice, built.network
    source = practice.source("balance limit")
    if network is None:
        return _gap("balance", "Balance", "dB", source, (), built.not_designed)
    bass, treble = network.figures.balance_db
    text = f"On the mean the bass lies {_signed(bass)} dB and the treble {_signed(treble)} dB from the target."
    worst = network.bass_off if abs(bass) >= abs(treble) else network.treble_off
    value = max(abs(bass), abs(treble))
    text += _lacking(worst, built) if value > practice["balance limit"] else ""
    if built.model.rear_path_hz >= network.figures.voiced_band_hz[0]:
        text += f" Below {built.model.rear_path_hz:.0f} Hz the way round the panel ends the bass: at 100 Hz the sum lies {-network.below_db:.1f} dB under the target."
    limit = practice["balance limit"]
    return _graded("balance", "Balance", value, limit, "dB", source, text, allowed=practice["balance worst"] - limit)


def thirds(built: AsBuilt) -> Check:
    """How even is the whole, third of an octave by third of an octave?"""
    practice, network = built.setting.case.practice, built.network
    source = practice.source("third octave limit")
    title = "Evenness of the whole"
    if network is None:
        return _gap("thirds", title, "dB", source, (), built.not_designed)
    off, (low, high) = network.figures.evenness_db, network.figures.voiced_band_hz
    middle = (network.uneven.low_hz * network.uneven.high_hz) ** 0.5
    text = (
        f"From {low:.0f} Hz to {high / 1e3:.0f} kHz no third of an octave strays further from the target than {abs(off):.1f} dB,"
        f" {'above' if off > 0.0 else 'below'} it at {middle:.0f} Hz."
    )
    limit = practice["third octave limit"]
    text += _lacking(network.uneven, built) if off < -limit else ""
    return _graded("thirds", title, abs(off), limit, "dB", source, text, allowed=practice["third octave worst"] - limit)


def slope_sum(built: AsBuilt) -> Check | None:
    """Do the wanted slopes themselves sum to an even level? What they depart is wanted, so no other check counts it."""
    practice, slope = built.setting.case.practice, built.setting.slope
    departs = sum_departure_db(slope)
    if abs(departs) < SAME_DB:
        return None
    limit, side = practice["sum deviation limit"], "over" if departs > 0.0 else "under"
    text = (
        f"On the axis {slope.name} itself sums to {abs(departs):.1f} dB {side} the rest around the crossover; evenness is counted"
        " from there."
    )
    source = "sum of the targets; Lipshitz & Vanderkooy 1983"
    return _graded("slope sum", "Sum of the slopes", abs(departs), limit, "dB", source, text, worst="marginal")


def slopes(built: AsBuilt) -> Check:
    """Do both branches fall as the limits take for granted, the low one to its cone's resonance and the high one to its own as well?

    A branch that has less than half of the decibels wanted there fails: what the limits rest on is not what is built.
    """
    practice, network = built.setting.case.practice, built.network
    source = practice.source("slope shortfall limit")
    if network is None:
        return _gap("slopes", "Slopes", "dB", source, (), built.not_designed)
    loud = max(network.design.loud_db, 0.0)
    text = f"From an octave below to an octave above the crossover a branch stands at most {loud:.1f} dB above its {built.setting.slope.name} target."
    limit, near = built.setting.slope_room_db, practice["slope shortfall limit"]
    if loud > limit:
        text += " Its driver is stressed further than the limits tell."
    worst: Outcome = "marginal"
    because = ""
    for because_of, where, down, wanted in _at_resonances(built.setting, network):
        short, half = wanted - down, down < wanted / 2.0
        if short > near and ((half and worst == "marginal") or short - near > loud - limit):
            loud, limit, worst, because = short, near, "fail" if half else "marginal", because_of
            text = f"{where} branch is {max(down, 0.0):.0f} dB down: it stands {short:.1f} dB above the {wanted:.0f} dB down that are wanted there."
    return replace(_graded("slopes", "Slopes", loud, limit, "dB", source, text, worst=worst), because=because)


def _at_resonances(setting: Setting, network: Engineered) -> Iterator[tuple[str, str, float, float]]:
    """The limit of each driver's resonance, where it is, how far the branch is down there, and how far it must be: as its slope is at the limit (dB)."""
    wanted = setting.case.practice["break-up attenuation"]
    if network.break_up_db is not None:
        yield "break-up", "Where the cone breaks up the low", network.break_up_db, wanted
    if network.resonance_db is not None:
        slope = setting.slope
        own = -20.0 * math.log10(float(high_pass_magnitude(slope, 1.0 / resonance_factor(setting, slope.order))))
        yield "resonance", "Where the high driver resonates the high", network.resonance_db, min(wanted, own)


def reversed_null(built: AsBuilt) -> Check | None:
    """How deep is the hole with one driver reversed? It shows that the phases track."""
    if not built.setting.slope.in_phase:
        return None
    practice = built.setting.case.practice
    limit, source = practice["reversed null depth"], practice.source("reversed null depth")
    network = built.network
    if network is None:
        return _gap("reversed null", "Reversed null", "dB", source, (), built.not_designed)
    depth = max(network.reversed_depth_db, 0.0)
    hidden = depth < limit <= round(depth)  # in whole decibels it would look like its limit
    text = f"With one driver reversed the sum falls by {depth:.{int(hidden)}f} dB near the crossover."
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
    place = built.setting.case.pairing.surroundings
    source = f"{practice.source(practice.rule_of_load(place))}; IEC 60268-5, 80 %"
    limit = practice.least_load_ohm(place)
    network = built.network
    if network is None:
        return _gap("impedance minimum", "Impedance minimum", "ohm", source, (), built.not_designed)
    found, hz = network.electrical.minimum_ohm, network.electrical.minimum_hz
    found = limit if limit - 0.005 <= found < limit else found  # what is told as the limit is no less
    told = f"{found:.{2 if found < 1.0 or abs(found - limit) < SAME_OHM else 1}f} ohm"
    borne = practice["least load borne"] * practice.lowest_rated_ohm(place) / practice["lowest rated impedance"]
    unbearable = found < borne
    text = f"The amplifier sees {told} at least, at {hz:.0f} Hz"
    text += "; hardly any amplifier bears that" if unbearable else ""
    text += f"; the usual one wants {limit:.2g} ohm or more." if found < limit else "."
    return _graded(
        "impedance minimum", "Impedance minimum", found, limit, "ohm", source, text, at_most=False,
        allowed=practice["impedance margin"] * limit, gravity="load" if unbearable else "",
        condition=f"The amplifier must bear a load of {told}: not every one does.",
    )  # fmt: skip


SAME_OHM = 0.05
"""Loads nearer to their limit than this are told with another digit."""


def heat(built: AsBuilt) -> Check | None:
    """Do the watts that the network lets through stay within the rating of the high driver? Takes the place of the limit."""
    high = built.setting.case.high
    found = _heat_check(
        built, "heat", "Heat of the high driver", "high driver", built.network.heat.high if built.network else None,
        high.missing("rated_power_w"),
    )  # fmt: skip
    unsure = high.missing("rating_highpass_hz", "rating_order")
    if found is None or found.value is None or found.outcome == "fail" or not unsure:
        return found
    least = high_allowed_at_least_w(built.setting.case)
    if least is None or found.value <= least:
        return found
    return _gap("heat", found.title, "W", found.source, unsure, essential=True)


def low_heat(built: AsBuilt, times: float = 1.0) -> Check:
    """Do the watts that the network lets through stay within the rating of the low driver, at `times` the amplifier's power?"""
    low, network = built.setting.case.low, built.network
    found = _heat_check(
        built, "low_heat", "Heat of the low driver", "low driver", network.heat.low.times(times) if network else None,
        low.missing("rated_power_w"),
    )  # fmt: skip
    source = "rating of the maker; programme through the network"
    if found is None:
        return _gap("low_heat", "Heat of the low driver", "W", source, (), built.not_designed, essential=True)
    if (
        found.outcome != "fail"
        or found.margin is None
        or found.margin < -built.setting.case.practice["low driver heat allowance"]
    ):
        return found
    most = at_most_w(built.setting.case.pairing.amplifier_power_w * 10.0 ** (found.margin / 10.0))
    condition = f"Use no amplifier of more than {most:g} W into {_rated(built)}, or {low.id} gets too hot."
    return replace(found, outcome="marginal", condition=condition)


def _rated(built: AsBuilt) -> str:
    """The load into which the amplifier has its power: watts alone say nothing of what a driver gets."""
    power = built.setting.case.pairing.amplifier_power_w
    return f"{built.network.heat.voltage_v**2 / power:.2g} ohm" if built.network else "the rated impedance"


def _heat_check(
    built: AsBuilt, id_: str, title: str, which: str, warmth: Warmth | None, unrated: tuple[str, ...]
) -> Check | None:
    """Watts in each driver of one side against its rating; None without a network. The margin counts in dB."""
    source = "rating of the maker; programme of the Practice sheet through the network"
    if warmth is None:
        return None
    if warmth.allowed_w is None:
        return _gap(id_, title, "W", source, unrated, essential=True)
    margin = 10.0 * math.log10(warmth.headroom or 1e-9)
    needed, power = _level_margin(built), built.setting.case.pairing.amplifier_power_w
    outcome: Outcome = "fail" if margin < 0.0 else "marginal" if margin < needed else "pass"
    pairing = built.setting.case.pairing
    each = "each" if (pairing.low_count if which == "low driver" else pairing.high_count) > 1 else "the"
    left, taken = watts(warmth.watts), watts(warmth.allowed_w)
    text = f"{power:g} W of programme into {_rated(built)} leave {left} in {each} {which}, rated to take {taken} of it."
    if warmth.compression_db is not None:
        text += f" Its heat costs {warmth.compression_db:.1f} dB of level."
    share = 1.0 - (warmth.headroom or 0.0)
    return Check(id_, title, outcome, warmth.watts, warmth.allowed_w, "W", margin, "dB", source, text, share=share)


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
        text = f"What is in stock does not bear the programme: {', '.join(network.under_rated)}."
        return _yes_no("part stress", "Stress of parts", False, source, text)
    if unrated := built.unstated("rating", network.parts):
        return _gap("part stress", "Stress of parts", "", source, unrated)
    text = "Every part bears the rated programme if bought with the rating printed in the parts list."
    return _yes_no("part stress", "Stress of parts", True, source, text)


def pieces(built: AsBuilt) -> Check | None:
    """Has the network no more pieces than the pairing wants, where it says so? The ladder may begin above that."""
    most, network = built.setting.case.pairing.most_parts, built.network
    title, source = "Pieces of the network", "Most parts of the Pairings sheet"
    if most is None:
        return None
    if network is None:
        return _gap("pieces", title, "", source, (), built.not_designed)
    count = network.design.pieces
    text = f"The network has {count} pieces; no more than {most} are wanted."
    text += " None of so few was found." if count > most else ""
    return _graded("pieces", title, float(count), float(most), "", source, text, worst="marginal")


def good_builds(built: AsBuilt) -> Check:
    """How many of the builds that tolerances allow are still good? In whole percent: 1000 builds tell no more (±1 %)."""
    practice = built.setting.case.practice
    limit, source = practice["good builds share"], practice.source("good builds share")
    network = built.network
    if network is None:
        return _gap("good builds", "Share of good builds", "%", source, (), built.not_designed)
    share = network.spread.good_share
    told = 100 if share == 1.0 else min(round(100.0 * share), 99)  # all only where it is all
    text = f"{told} % of builds stay within {practice['build tolerance']:g} dB of the design around the crossover"
    further = room_db(practice, network.sum_deviation_db) > practice["sum deviation limit"]
    text += (
        f", and no more than {practice['level margin']:g} dB further from the target than the design."
        if further
        else " and within the limit of evenness."
    )
    if network.spread.worst_part:
        text += f" The {network.spread.worst_part} counts most: {network.spread.worst_part_db:.1f} dB at the edge of its tolerance."
    return _graded(
        "good builds",
        "Share of good builds",
        float(told),
        100.0 * limit,
        "%",
        source,
        text,
        at_most=False,
        allowed=100.0 * (limit - practice["good builds worst"]),
    )


def peak_level(built: AsBuilt) -> Check:
    """Can the wanted peak level be reached at the seat? Short by a little is marginal, by more a fail."""
    pairing, practice = built.setting.case.pairing, built.setting.case.practice
    source = "travel of the drivers and voltage of the amplifier, worked out"
    network = built.network
    if network is None:
        return _gap("peak level", "Peak level at the seat", "dB", source, (), built.not_designed)
    margin = network.reachable_db - pairing.peak_level_db
    unknown = travel_unknown(built.setting)
    if unknown and margin >= -practice["level shortfall limit"]:
        return _gap("peak level", "Peak level at the seat", "dB", source, unknown, essential=True)
    text = (
        f"From two octaves below the crossover up to {REACHED_TO_HZ / 1e3:g} kHz, {network.reachable_db:.1f} dB are reached"
        f" at the seat, where {pairing.peak_level_db:g} dB are wanted; least at {network.reachable_hz:.0f} Hz, where {network.reachable_cause} ends it."
    )
    if -practice["level margin"] <= margin <= -0.05:
        text += f" Less than {practice['level margin']:g} dB short is as good as there (Practice: level margin)."
    if margin < -practice["level margin"] and network.uneven.low_hz <= network.reachable_hz <= network.uneven.high_hz:
        text += _lacking(network.uneven, built)
    given_up = built.setting.given_up_db if network.reachable_hz > built.setting.step_hz else 0.0
    if margin < -practice["level margin"] and given_up > 0.0:
        text += f" Up to {given_up:.1f} dB are given up there for the bass; a deeper bass shelf gives up less."
    found = _graded(
        "peak level", "Peak level at the seat", network.reachable_db, pairing.peak_level_db, "dB", source, text,
        at_most=False, margin_needed=-practice["level margin"], allowed=practice["level shortfall limit"],
    )  # fmt: skip
    return replace(found, because="seated window" if network.reachable_hz > built.crossover_hz else "")


def travel_unknown(setting: Setting) -> tuple[str, ...]:
    """What is missing to know whether travel ends the level; nothing where makers of the kind state none."""
    high = setting.case.high
    stated = high.missing("peak_travel_m", "diaphragm_area_m2") if setting.case.technology.travel_stated else ()
    return (*setting.case.low.missing("peak_travel_m"), *stated)


def _overlap_m(first: Frame, second: Frame) -> float:
    """How far two frames run into one another (m); negative is the clearance."""
    dx, dy = abs(first.x_m - second.x_m), abs(first.y_m - second.y_m)
    (width, height), (wide, high) = frames.outer_m(first), frames.outer_m(second)
    both_round = first.round and second.round
    return float(frames.overlap_m(dx, dy, (width + wide) / 2.0, (height + high) / 2.0, both_round))


def _outside_m(frame: Frame, layout: Layout) -> float:
    """How far a frame stands over the edge of the baffle (m); negative is the clearance."""
    return float(frames.outside_m(frame.x_m, frame.y_m, *frames.outer_m(frame), (layout.width_m, layout.height_m)))


CLEAR_MM = 1e-3
"""Frames nearer than this touch."""


def _inside_m(one: Frame, other: Frame, cone_m: float) -> bool:
    """True when a high driver stands wholly inside the cone of a low one: both are one coaxial driver."""
    if {one.role, other.role} != {"low", "high"}:
        return False
    high = one if one.role == "high" else other
    return bool(inside(one.x_m - other.x_m, one.y_m - other.y_m, high, cone_m))


Misses = list[tuple[float, str]]
"""By how much (m, negative is clearance), and what."""


def _misses(layout: Layout, cone_m: float) -> tuple[Misses, Misses]:
    """Every two frames by how much they overlap, and every frame by how much it stands over the edge."""
    pairs = [pair for pair in combinations(layout.frames, 2) if not _inside_m(*pair, cone_m)]
    overlaps = [(_overlap_m(one, other), _pair_words(one, other)) for one, other in pairs]
    return overlaps, [(_outside_m(frame, layout), frame.label) for frame in layout.frames]


def _tightest(layout: Layout, cone_m: float) -> tuple[float, str, float, str]:
    """Largest overlap (m) and the two frames, largest overhang (m) and the frame; negative is clearance."""
    overlaps, outsides = _misses(layout, cone_m)
    return (*max(overlaps, default=(-math.inf, "")), *max(outsides, default=(-math.inf, "")))


def _all_misses(layout: Layout, cone_m: float) -> str:
    """Every place where frames do not go on the baffle, the worst first: who mends one alone saws twice."""
    overlaps, outsides = _misses(layout, cone_m)
    told = [(miss, f"{pair} overlap by {_tenths(1e3 * miss)} mm.") for miss, pair in overlaps]
    told += [
        (miss, f"{which} stands {_tenths(1e3 * miss)} mm over the edge of the baffle.") for miss, which in outsides
    ]
    return " ".join(dict.fromkeys(text for miss, text in sorted(told, reverse=True) if 1e3 * miss > CLEAR_MM))


def _pair_words(one: Frame, other: Frame) -> str:
    return f"Two {one.label}" if one.label == other.label else f"{one.label} and {other.label}"


def clearance_m(setting: Setting) -> float:
    """Clearance of the tightest place between frames and edges (m); negative where one runs into another."""
    overlap, _, outside, _ = _tightest(setting.layout, setting.low_radiator.width_m)
    return -max(overlap, outside)


def frames_fit(built: AsBuilt) -> Check:
    """Do the frames clear one another and the edges of the baffle?"""
    setting, source = built.setting, "geometry of the baffle"
    layout = setting.layout
    if not layout.frames:
        missing = setting.case.pairing.missing("centre_spacing_m")
        return _gap("frames fit", "Frames fit", "mm", source, missing, essential=True)
    overlap, pair, outside, which = _tightest(layout, setting.low_radiator.width_m)
    clearance_mm = -1e3 * max(overlap, outside)
    if abs(clearance_mm) <= CLEAR_MM:
        clearance_mm = 0.0
    unknown = {frame.role for frame in layout.frames if not frame.size_known}
    if unknown and clearance_mm >= 0.0:
        missing = setting.case.low.missing("frame_width_m") if "low" in unknown else ()
        missing += setting.case.high.missing("faceplate_width_m") if "high" in unknown else ()
        return _gap("frames fit", "Frames fit", "mm", source, missing, essential=True)
    saw_mm = 1e3 * setting.case.practice["frame tolerance"]
    if clearance_mm >= saw_mm:
        text = f"All frames clear one another and the edges; the tightest place has {clearance_mm:.0f} mm."
    elif clearance_mm >= 0.0:
        place = f"{pair} stand" if overlap >= outside else f"{which} stands"
        edge = "apart" if overlap >= outside else "from the edge of the baffle"
        text = f"{place} {math.floor(10.0 * clearance_mm) / 10.0:g} mm {edge}; a saw needs {saw_mm:g} mm."
    else:
        text = _all_misses(layout, setting.low_radiator.width_m)
    smallest_mm = 1e3 * min(min(frames.outer_m(frame)) for frame in layout.frames)
    return _graded(
        "frames fit", "Frames fit", clearance_mm, 0.0, "mm", source, text, at_most=False,
        margin_needed=saw_mm, share=-clearance_mm / smallest_mm,
    )  # fmt: skip


def _tenths(mm: float) -> str:
    """Millimetres without decimals, but never 0 for what is more."""
    return f"{mm:.0f}" if mm >= 1.0 else f"{max(mm, 0.1):.1f}"


def back(built: AsBuilt) -> Check:
    """Does the rear of the high driver suit the cabinet?"""
    setting, kind = built.setting, built.setting.case.cabinet.kind
    title, high = "Back of the high driver", setting.case.high
    if kind == "open baffle" and not setting.open_back:
        text = "Sealed at the back on an open baffle: below the crossover it radiates to both sides, above it to the front only."
        return _yes_no("back", title, False, COMMON, text, worst="marginal")
    if kind != "open baffle" and setting.open_back:
        text = f"{high.id} is open at the back, and {A_CABINET[kind]} has the low driver's pressure inside."
        condition = f"Give {high.id} a tight, damped chamber of its own: the low driver's pressure would tear it.{_roomy(setting)}"
        return _yes_no("back", title, True, COMMON, text, condition=condition)
    return _yes_no("back", title, True, COMMON, f"The back of {high.id} suits {A_CABINET[kind]}.")


def _roomy(setting: Setting) -> str:
    """From which volume on a chamber raises the resonance, sqrt(1 + Vas/V) times (Small 1972), by no more than its tolerance; empty without Vas."""
    high, tolerance = setting.case.high, setting.case.practice["driver resonance tolerance"]
    if high.vas_m3 is None or not tolerance:
        return ""
    millilitres = math.ceil(high.vas_m3 * 1e6 / ((1.0 + tolerance) ** 2 - 1.0))
    return f" Make it {millilitres} mL or more: in a smaller one it resonates higher than counted here."


A_CABINET: Mapping[str, str] = {
    "closed": "a closed cabinet", "vented": "a vented cabinet", "open baffle": "an open baffle",
}  # fmt: skip
WHERE: Mapping[str, str] = {
    "home": "at home", "studio": "in a studio", "vehicle": "in a vehicle", "outdoors": "outdoors", "public": "in a public place",
}  # fmt: skip
"""Kinds of cabinet and surroundings as they stand in a sentence."""


def surroundings(built: AsBuilt) -> Check:
    """May this kind of driver stand where it will stand?"""
    case = built.setting.case
    kind, where = case.technology, case.pairing.surroundings
    good, source = where not in (kind.excluded or ()), f"{COMMON}; Technologies sheet"
    a_kind = f"{article(kind.id)} {kind.id}"
    if good:
        text = f"Nothing speaks against {a_kind} {WHERE[where]}."
        return _yes_no("surroundings", "Surroundings", True, source, text)
    text = f"{a_kind[0].upper()}{a_kind[1:]} must not be used {WHERE[where]}{HARM.get(where, '')}."
    return _yes_no("surroundings", "Surroundings", False, source, text, gravity="kind")


HARM: Mapping[str, str] = {
    "vehicle": ": it is too frail for shaking, heat and the wind of an open window",
    "outdoors": ": it is too frail for wind and damp",
    "public": ": nobody watches who touches it",
}
"""Why surroundings rule a kind of driver out."""


def article(noun: str) -> str:
    """The indefinite article of a kind of driver.

    >>> article("air motion driver"), article("true ribbon")
    ('an', 'a')
    """
    return "an" if noun[:1].casefold() in "aeiou" else "a"


def reach(built: AsBuilt) -> Check | None:
    """Is a fragile diaphragm within reach of children?"""
    case = built.setting.case
    kind, practice = case.technology, case.practice
    if kind.fragility == "ordinary" or case.pairing.surroundings not in ("home", "public"):
        return None
    height, limit = built.setting.high_lowest_m, practice["reach of children"]
    screen_is = {True: ", behind a screen", False: ", without a screen", None: "; no screen is stated"}[
        case.high.screen
    ]
    text = f"The {kind.fragility} diaphragm begins {height:.2f} m over the floor{screen_is}."
    source = practice.source("reach of children")
    if case.high.screen is True:
        return _yes_no("reach", "Reach of children", True, source, text)
    return _graded(
        "reach", "Reach of children", height, limit, "m", source, text, at_most=False, worst="marginal",
        condition=f"Put a grille over {case.high.id}{' unless it has a screen' if case.high.screen is None else ''}: it stands within reach of children.",
    )  # fmt: skip


def screen(built: AsBuilt) -> Check | None:
    """Does a beryllium diaphragm sit behind a full screen?"""
    case = built.setting.case
    if case.technology.diaphragm != "beryllium":
        return None
    source, title = "29 CFR 1910.1024 (exposure limit); common practice", "Screen over beryllium"
    if case.high.screen is None:
        return _gap("screen", title, "", source, case.high.missing("screen"), essential=True)
    if case.high.screen:
        condition = f"The screen over the beryllium of {case.high.id} stays on for good."
        text = "The beryllium diaphragm sits behind its screen."
        return _yes_no("screen", title, True, source, text, condition=condition, gravity="health")
    text = "A beryllium diaphragm without a screen must not be sold in a kit: whoever breaks it breathes its dust."
    return _yes_no("screen", title, False, source, text, gravity="health")


def diaphragm_resonance(built: AsBuilt) -> Check | None:
    """Does a hard diaphragm ring inside the audible band?"""
    case = built.setting.case
    if case.technology.diaphragm not in ("hard", "coated", "beryllium"):
        return None
    limit, source = case.practice["top of the audible band"], case.practice.source("top of the audible band")
    title, hz = "Diaphragm resonance", case.high.diaphragm_resonance_hz
    if hz is None:
        return _gap("diaphragm resonance", title, "Hz", source, case.high.missing("diaphragm_resonance_hz"))
    text = f"The hard diaphragm rings at {hz / 1e3:.1f} kHz."
    if hz < limit:
        text += " Some hear that, mostly the young, and others do not."
    return _graded("diaphragm resonance", title, hz, limit, "Hz", source, text, at_most=False, worst="marginal")


def horn_needed(built: AsBuilt) -> Check | None:
    """Has a compression driver its horn?"""
    case = built.setting.case
    if case.technology.family != "compression":
        return None
    text = (
        "The compression driver has its horn."
        if case.guide
        else f"{case.high.id} is a compression driver without its horn: it has no air load, travels too far and breaks."
    )
    return _yes_no("horn", "Horn", case.guide is not None, COMMON, text, gravity="kind")


def stock(built: AsBuilt) -> Check:
    """Are the drivers and the guide of all loudspeakers of a kit on the shelf?"""
    source, needed = "Stock columns of the workbook", drivers_of(built.setting.case)
    kit, words = _kit(built.setting.case)
    known = [(one.record.id, one.record.stock, one.count * kit) for one in needed if one.record.stock is not None]
    missing = tuple(text for one in needed for text in one.record.missing("stock"))
    short = [f"{name} ({have} of {count})" for name, have, count in known if have < count]
    if missing and not short:
        kept = known or any(
            part.stock is not None for part in built.setting.case.stock
        )  # else nobody counts anything here
        return replace(_gap("stock", "Stock", "", source, missing), judged=bool(kept))
    text = (
        f"Not enough on the shelf for {words}: {', '.join(short)}."
        if short
        else f"Drivers{' and guide' if built.setting.case.guide else ''} are on the shelf for {words}."
    )
    return _yes_no("stock", "Stock", not short, source, text, worst="marginal")


def _kit(case: Case) -> tuple[int, str]:
    """How many loudspeakers a kit is, and so in words."""
    count = case.practice.loudspeakers_a_kit
    return count, f"a kit of {count} loudspeaker{'s' * (count > 1)}"


def parts_stock(built: AsBuilt) -> Check | None:
    """Does the shelf hold the network's pieces for all loudspeakers of a kit, where only the shelf may be used?"""
    case, network, source = built.setting.case, built.network, "Stock column of the Parts sheet"
    if case.pairing.parts_policy != "stock":
        return None
    if network is None:
        return _gap("parts stock", "Parts on the shelf", "", source, (), built.not_designed)
    kit, words = _kit(case)
    used = Counter(one for part in network.parts for one in stock_ids(part.part_id))
    shelf = {part.id: part.stock for part in case.stock}
    short = [
        f"{name} ({shelf[name]} of {count * kit})"
        for name, count in used.items()
        if shelf.get(name) is not None and (shelf[name] or 0) < count * kit
    ]
    short += [f"{part.label} (nothing of its kind)" for part in network.parts if part.part_id is None]
    if short:
        text = f"The shelf does not hold what {words} needs: {', '.join(short)}."
        return _yes_no("parts stock", "Parts on the shelf", False, source, text)
    if missing := built.unstated("stock", network.parts):
        return _gap("parts stock", "Parts on the shelf", "", source, missing)
    text = f"Every piece is on the shelf for {words}."
    return _yes_no("parts stock", "Parts on the shelf", True, source, text)


def price(built: AsBuilt) -> Check:
    """What does one loudspeaker's set of drivers, guide and parts cost? No price is a fault."""
    source, currency = "Price columns of the workbook", built.setting.case.maker.currency
    if built.price is None:
        gap = _gap("price", "Price", currency, source, built.price_missing, built.not_designed)
        return replace(gap, judged=False)
    unpriced = sum(part.price is None for part in built.network.parts) if built.network else 0
    told, guide = with_currency(built.price, currency), built.setting.case.guide is not None
    text = f"Drivers{', guide' if guide else ''} and parts of one loudspeaker: {told}."
    if unpriced or not built.network:
        verb = "states" if unpriced == 1 else "state"
        why = f"is not counted, {unpriced} of its parts {verb} no price" if unpriced else "is not designed"
        text = f"Drivers{' and guide' if guide else ''} of one loudspeaker: {told}; the network {why}."
    return Check(
        "price",
        "Price",
        "pass",
        built.price,
        None,
        currency,
        None,
        currency,
        source,
        text,
        essential=False,
        judged=False,
    )


def data_agree(built: AsBuilt) -> Check:
    """Do the figures of the low driver's data sheet agree with one another?"""
    low, (found, grave) = built.setting.case.low, disagreements(built.setting)
    source = "Small 1972, electro-mechanical identities"
    linked = ("vas_m3", "moving_mass_kg", "force_factor_t_m")
    if all(getattr(low, name) is None for name in linked):  # nothing to hold the sensitivity against
        return _gap("data agree", "Driver data agree", "", source, low.missing(*linked))
    text = " ".join(found) or f"The stated figures of {low.id} agree with one another within 10 %."
    if found and not grave:
        text += " Data sheets differ so much: take the figures as they are."
    return _yes_no("data agree", "Driver data agree", not grave, source, text, worst="marginal")


def measured_levels(built: AsBuilt) -> Check | None:
    """Can the measured files be those of the drivers? The file counts; nobody knows which of the two is right."""
    case, title = built.setting.case, "Measured curves"
    found = [
        (driver, curve, level_of(driver, curve))
        for driver in (case.low, case.high)
        if (curve := case.curves.get((driver.id, "response"))) is not None
    ]
    others = [
        f"{curve.file}: {doubt}"
        for driver in (case.low, case.high)
        if (curve := case.curves.get((driver.id, "impedance"))) is not None
        for doubt in impedance_doubts(driver, curve)
    ]
    others += built.break_up_doubts
    doubted = [one for one in found if one[2].beyond_db > 0.0]
    levels = [
        f"{curve.file} lies {abs(level.off_db):.1f} dB {'over' if level.off_db > 0.0 else 'under'} what Sensitivity, voltage and"
        f" distance of {driver.id} make; the file counts."
        for driver, curve, level in doubted
    ]
    told = " ".join((*levels, *(f"{text}. Check both." for text in others)))
    if not told:
        right = _yes_no("measured levels", title, True, COMMON, "The measured levels are those of the data sheets.")
        return right if found else None
    beyond_db = max((level.beyond_db for *_, level in doubted), default=0.0)
    if beyond_db <= case.practice["level shortfall limit"]:
        return _yes_no("measured levels", title, False, COMMON, told, worst="marginal")
    unsure = tuple(text for driver, *_ in doubted for text in driver.named("sensitivity_db", "response_file"))
    gap = _gap("measured levels", title, "", COMMON, unsure, essential=True)
    return replace(gap, text=f"{told} One of them is wrong: {'; '.join(unsure)}.")


def data_complete(built: AsBuilt) -> Check | None:
    """Does the model know all that it takes for granted otherwise? What it had to fill in may tell either way."""
    case, network, practice = built.setting.case, built.network, built.setting.case.practice
    title, source = "What the model fills in", "see the assumptions"
    unsure = unsure_cells(case, built.setting.horn_driver)
    missing = case.high.missing("centre_depth_m") if built.setting.horn_driver else ()
    missing += case.guide.missing("depth_m") if case.guide else ()
    if case.cabinet.kind != "open baffle":
        tuning = ("tuning_hz",) if case.cabinet.kind == "vented" else ()
        missing += (*case.low.missing("vas_m3"), *case.cabinet.missing("net_volume_m3", *tuning))
    ends = network.unsure if network else None
    even = (
        ends is not None
        and ends.worst_db <= practice["sum deviation limit"]
        and ends.thirds_db <= practice["third octave limit"]
    )
    if not missing and not (unsure and network):  # what hangs on the bounded ones is a matter of the network
        return None
    text = f"Not stated, so filled in by the model: {'; '.join((*unsure, *missing))}."
    if ends is not None:
        text += f" At the ends of what is usual the sum strays {ends.worst_db:.1f} dB around the crossover, and {ends.thirds_db:.1f} dB by thirds of an octave."
    if even and not missing:
        return _yes_no("data complete", title, True, source, f"{text} Nothing hangs on it.")
    gap = _gap("data complete", title, "", source, (*unsure, *missing))
    return replace(gap, text=text)


MADE_GOOD: tuple[Callable[[AsBuilt], Check | None], ...] = (evenness, reversed_null, balance)
"""What a network must meet for a gentle roll-off of the low driver to be no fault."""

FOLLOWS: Mapping[str, str] = dict.fromkeys(("balance", "thirds", "evenness", "reversed null", "bandwidth"), "level")
"""Checks that fail because another one does: where both fail the cause is told first."""

CHECKS: tuple[Callable[[AsBuilt], Check | None], ...] = (
    level, directivity_step, seated_window, standing_window, side_window, height_window, tilt, balance, thirds, evenness, slope_sum, slopes, reversed_null, lobe, impedance_minimum,
    heat, low_heat, part_stress, pieces, good_builds, peak_level, frames_fit, back, surroundings, reach, screen, diaphragm_resonance,
    horn_needed, data_agree, measured_levels, data_complete, stock, parts_stock, price,
)  # fmt: skip
"""Every check beside the limits, in the order of the page; one that does not apply answers None."""

OF_NO_NETWORK = frozenset(
    (directivity_step, seated_window, standing_window, side_window, height_window, tilt, slope_sum, frames_fit, back, surroundings, reach, screen,
     diaphragm_resonance, horn_needed, data_agree, measured_levels, stock)
)  # fmt: skip
"""Those of them that read no network: at one crossover they are asked once for all of its networks."""


def all_checks(
    built: AsBuilt, limits: Iterable[Limit], rules: Iterable[Callable[[AsBuilt], Check | None]] | None = None
) -> tuple[Check, ...]:
    """The limits at the chosen crossover, then every check among `rules` (all of the table) that applies.

    A check that bears the id of a limit knows better, from the network, and stands in its place.
    """
    found = [check for rule in (CHECKS if rules is None else rules) if (check := _asked(rule, built)) is not None]
    known = {check.id for check in found}
    return (*(limit_check(built, limit) for limit in limits if limit.id not in known), *found)


def _asked(rule: Callable[[AsBuilt], Check | None], built: AsBuilt) -> Check | None:
    if rule not in OF_NO_NETWORK:
        return rule(built)
    bare = built.bare or built
    if rule not in bare.answers:
        bare.answers[rule] = rule(bare)
    found: Check | None = bare.answers[rule]
    return found
