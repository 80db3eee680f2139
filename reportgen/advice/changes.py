"""The changes that are open to a designer: what each of them does to a pairing, and how much it changes.

Knows which values to try and which checks a kind of change cannot touch. Refuses to judge what comes of them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from reportgen.acoustics import slopes as targets
from reportgen.advice.screening import options_of
from reportgen.assessment import Assessment
from reportgen.catalogue.columns import SLOPES, WIRINGS, equal_rows
from reportgen.catalogue.records import Cabinet, Case, Catalogue, HighDriver, LowDriver, Pairing
from reportgen.crossover.forms import MOST_FILTER_PARTS
from reportgen.crossover.networks import wired
from reportgen.pairing.as_used import Setting
from reportgen.pairing.heat import at_most_w
from reportgen.suitability.checks import clearance_m

LEVEL_STEPS_DB = (1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0)


@dataclass(frozen=True)
class Change:
    """One change of a pairing: the fields it sets, in words, and how much it changes (steps of our own).

    `cabinet` is one that no row has, to which a field refers. What is `far_fetched` is tried where nothing else that keeps both drivers does it.
    """

    kind: str
    text: str
    effort: float
    fields: tuple[tuple[str, Any], ...]
    cabinet: Cabinet | None = None
    far_fetched: bool = False

    def applied(self, pairing: Pairing) -> Pairing:
        """The pairing after the change."""
        return replace(pairing, **dict(self.fields))


def together(changes: Sequence[Change], pairing: Pairing) -> Pairing:
    """The pairing after several changes; where two of them exchange a frame beside a given spacing, both frames keep their gap."""
    after, given_m = pairing, pairing.centre_spacing_m
    for change in changes:
        after = change.applied(after)
    moved_m = [dict(one.fields)[SPACING] for one in changes if SPACING in dict(one.fields)]
    if len(moved_m) < 2:
        return after
    apart_m = None if None in moved_m or given_m is None else round(given_m + sum(m - given_m for m in moved_m), 4)
    return replace(after, centre_spacing_m=apart_m)


def at_odds(one: Change, other: Change) -> bool:
    """True where two changes undo one another, or one of them is part of the other: a guide beside another driver, which comes in a guide or in none."""
    first, second = dict(one.fields), dict(other.fields)
    common = first.keys() & second.keys()
    undone = any(first[name] != second[name] for name in common - {SPACING})
    return undone or (bool(common) and common in (first.keys(), second.keys()))


SPACING = "centre_spacing_m"

_OF_THE_DRIVERS = frozenset(
    (
        "surroundings",
        "screen",
        "horn",
        "reach",
        "diaphragm resonance",
        "data agree",
        "measured levels",
        "stock",
        "frames fit",
        "back",
    )
)
WINDOW_IDS = frozenset(("seated window", "standing window", "side window", "height window", "tilt"))
_OF_THE_LOW = frozenset(("coverage", "break-up", "maker high", "bandwidth"))
_OF_THE_HIGH = frozenset(("resonance", "maker low", "technology", "guide control", "rear path"))

_OF_THE_RANGE = _OF_THE_LOW | _OF_THE_HIGH | {"travel", "lobing"}

_OF_NO_NETWORK = _OF_THE_DRIVERS | WINDOW_IDS | _OF_THE_RANGE | {"directivity step", "level", "slope sum"}

_OF_THE_AMPLIFIER = frozenset(("heat", "low_heat", "part stress"))
"""The amplifier's programme makes them on the drivers as they are wired: no wish for a level does."""

UNTOUCHED: Mapping[str, frozenset[str]] = {
    "crossover": _OF_THE_DRIVERS | WINDOW_IDS,
    "low wiring": _OF_THE_DRIVERS | WINDOW_IDS | _OF_THE_RANGE,
    "high wiring": _OF_THE_DRIVERS | WINDOW_IDS | (_OF_THE_RANGE - {"travel"}),
    "place": (_OF_THE_DRIVERS - {"frames fit", "reach"}) | (_OF_THE_RANGE - {"rear path"}) | {"part stress"},
    "height": (_OF_THE_DRIVERS - {"reach"}) | (_OF_THE_RANGE - {"travel", "lobing"}) | {"part stress"},
    "cabinet": (_OF_THE_DRIVERS - {"frames fit", "reach", "back"})
    | (_OF_THE_RANGE - {"rear path", "lobing"})
    | {"part stress"},
    "network": _OF_NO_NETWORK,
    "parts": _OF_NO_NETWORK,
    "slope": _OF_THE_DRIVERS | WINDOW_IDS,
    "level": _OF_THE_DRIVERS | WINDOW_IDS | _OF_THE_AMPLIFIER,
    "shelf": _OF_NO_NETWORK - {"level"},
    "amplifier": _OF_THE_DRIVERS | WINDOW_IDS,
    "spacing": ((_OF_THE_DRIVERS | WINDOW_IDS) - {"frames fit"}) | _OF_THE_AMPLIFIER,
    "rear": (_OF_THE_DRIVERS | WINDOW_IDS) - {"back"},
    "guide": _OF_THE_DRIVERS - {"horn", "frames fit", "stock"},
    "two low drivers": (_OF_THE_DRIVERS | WINDOW_IDS) - {"frames fit", "stock"},
    "high driver": frozenset(("data agree",)),
    "low driver": (_OF_THE_DRIVERS | WINDOW_IDS) - {"data agree", "measured levels", "stock", "frames fit"},
}
"""Checks that a kind of change cannot touch: where one of them is in the way, the kind alone is not tried."""

FILLS_GAPS = frozenset(("high driver", "low driver", "guide", "rear"))
"""Kinds of change that can end the lack of a datum."""


def crossovers(before: Assessment, catalogue: Catalogue) -> Iterator[Change]:
    """The choice left open where the crossover is fixed; an open one is the best of its range already."""
    if before.crossover_fixed:
        text = f"crossover left open in place of {before.crossover_hz:.0f} Hz"
        yield Change("crossover", text, 1.0, (("crossover_hz", None),))


def wirings(before: Assessment, catalogue: Catalogue) -> Iterator[Change]:
    """Several drivers of a side wired the other ways; the load that is nearer to the present one goes first."""
    pairing = before.case.pairing
    for side, count, now in (
        ("low", pairing.low_count, pairing.low_wiring),
        ("high", pairing.high_count, pairing.high_wiring),
    ):
        for way in WIRINGS if count > 1 else ():
            if way != now and (way != "series-parallel" or equal_rows(count)):
                text = f"the {side} drivers in {way} in place of {now}"
                yield Change(f"{side} wiring", text, 1.5 + _load_step(count, now, way), ((f"{side}_wiring", way),))


def _load_step(count: int, now: str, way: str) -> float:
    """A twentieth step for each doubling or halving of the load of equal drivers."""
    loads = [float(wired(1.0, count, one).impedance_ohm.real) for one in (now, way)]  # type: ignore[arg-type] # the list of columns.py
    return abs(math.log2(loads[1] / loads[0])) / 20.0


def places(before: Assessment, catalogue: Catalogue) -> Iterator[Change]:
    """The high driver moved up or down, else sideways, no further than it takes for all frames to go on the baffle."""
    case, cabinet = before.case, before.case.cabinet
    now, aside = cabinet.baffle_height_m - Setting(case).high_height_m, cabinet.offset_m
    if _tightest_m(case) >= 0.0:
        return
    if (down := _nearest_mm(case, "high_from_top_m", now, 0.0, cabinet.baffle_height_m)) is not None:
        text = f"the high driver {down} mm from the upper edge in place of {now * 1e3:.0f} mm"
        yield Change("place", text, 1.5, (("high_from_top_m", down * 1e-3),))
        return
    half = cabinet.baffle_width_m / 2.0
    if (off := _nearest_mm(case, "offset_m", aside, -half, half)) is not None:
        edge, way = ("right", 1.0) if off > 0 else ("left", -1.0)
        then, was = (half * 1e3 - way * one for one in (off, aside * 1e3))
        text = f"the high driver {then:.0f} mm from the {edge} edge in place of {was:.0f} mm (offset {off} mm)"
        moved = replace(cabinet, id=f"{cabinet.id}, {text}", offset_m=off * 1e-3)
        yield Change("place", text, 1.5, (("cabinet_id", moved.id),), moved)


PLACE_STEP_MM, LEAST_TO_EDGE_MM = 5, 20
"""Places of the high driver that are looked at."""


def _nearest_mm(case: Case, field: str, now_m: float, from_m: float, to_m: float) -> int | None:
    """The nearest place of the high driver at which all frames go on the baffle (mm); None where there is none."""
    least = case.practice["frame tolerance"]
    first, last = math.ceil(from_m * 1e3) + LEAST_TO_EDGE_MM, math.floor(to_m * 1e3) - LEAST_TO_EDGE_MM
    first = math.ceil(first / PLACE_STEP_MM) * PLACE_STEP_MM
    for mm in sorted(range(first, last + 1, PLACE_STEP_MM), key=lambda mm: abs(mm * 1e-3 - now_m)):
        there: Any = {field: mm * 1e-3}
        if _tightest_m(replace(case, cabinet=replace(case.cabinet, **there))) >= least:
            return mm
    return None


def _tightest_m(case: Case) -> float:
    """Clearance of the tightest place between frames and edges (m); negative where one runs into another."""
    return clearance_m(Setting(case))


def heights(before: Assessment, catalogue: Catalogue) -> Iterator[Change]:
    """The seated ear brought onto the axis of a high driver whose top it hears too little of: by another stand, else by leaning the cabinet."""
    setting, cabinet, pairing = Setting(before.case), before.case.cabinet, before.case.pairing
    if not any(check.id == "seated window" and check.outcome in ("fail", "marginal") for check in before.checks):
        return
    now, lift_m = cabinet.stand_height_m, pairing.ear_height_m - setting.high_centre_m[1]
    stand = round(now + lift_m, 2)
    if now > 0.0 and stand >= 0.0 and stand != now and abs(lift_m) <= MOST_LIFT_M:
        yield _stood(
            cabinet, f"stand height {stand * 1e3:.0f} mm in place of {now * 1e3:.0f} mm", 1.3, stand_height_m=stand
        )
    lean, was = (round(math.degrees(rad)) for rad in (setting.elevation_rad(pairing.ear_height_m), cabinet.tilt_rad))
    if abs(lean) <= MOST_LEAN_DEG and lean != was and not setting.in_wall and pairing.surroundings != "vehicle":
        text = f"tilt {lean} deg{', forward,' if lean < 0 else ''} in place of {was} deg"
        yield _stood(cabinet, text, 1.4, tilt_rad=math.radians(lean))


MOST_LIFT_M, MOST_LEAN_DEG = 0.3, 10
"""A stand that grows by more is another thing to build; a front that leans further stands badly (common practice, no source)."""


def _stood(cabinet: Cabinet, text: str, effort: float, **fields: float) -> Change:
    moved = replace(cabinet, id=f"{cabinet.id}, {text}", **fields)  # type: ignore[arg-type] # numbers in SI
    return Change("height", text, effort, (("cabinet_id", moved.id),), moved)


def cabinets(before: Assessment, catalogue: Catalogue) -> Iterator[Change]:
    """Every other cabinet of the workbook that is no open baffle where this one is a box, and the other way round; in a vehicle none that is much longer."""
    now = before.case.cabinet
    for cabinet in _of_its_kind(now, catalogue):
        if not _too_long(cabinet, before.case):
            size = abs(math.log2((cabinet.net_volume_m3 or 1.0) / (now.net_volume_m3 or 1.0))) / 4.0
            fields = (("cabinet_id", cabinet.id), ("high_from_top_m", None))
            yield Change("cabinet", f"cabinet {cabinet.id} in place of {now.id}", 5.0 + size, fields)


def longer_boxes(before: Assessment, catalogue: Catalogue) -> bool:
    """Whether the workbook has a cabinet that was left out because it stands in a vehicle."""
    return any(_too_long(one, before.case) for one in _of_its_kind(before.case.cabinet, catalogue))


def _of_its_kind(now: Cabinet, catalogue: Catalogue) -> list[Cabinet]:
    dipole = now.kind == "open baffle"
    return [one for one in catalogue.cabinets.values() if one.id != now.id and (one.kind == "open baffle") == dipole]


def _too_long(cabinet: Cabinet, case: Case) -> bool:
    room_m = ROOM_IN_A_VEHICLE * _longest_m(case.cabinet)
    return case.pairing.surroundings == "vehicle" and _longest_m(cabinet) > room_m


ROOM_IN_A_VEHICLE = 1.25
"""The longest side of a box that goes into a vehicle may grow by so much (common practice, no source)."""


def _longest_m(cabinet: Cabinet) -> float:
    return max(cabinet.baffle_width_m, cabinet.baffle_height_m, cabinet.depth_m or 0.0)


def slopes(before: Assessment, catalogue: Catalogue) -> Iterator[Change]:
    """Every steeper slope, and after them the gentler ones where the network fails: one of fewer orders is easier to build; last what no branch of parts makes without its driver's help."""
    now = targets.SLOPES[before.case.pairing.slope]
    strained = any(check.outcome == "fail" and check.id in HARD_TO_BUILD for check in before.checks)
    for name in SLOPES:
        steeper = targets.SLOPES[name].order - now.order
        if steeper > 0 or (steeper < 0 and strained):
            kin = 0.0 if targets.SLOPES[name].family == now.family else 0.1
            uneven = abs(targets.sum_departure_db(targets.SLOPES[name])) / UNEVEN_DB
            effort = 2.0 + abs(steeper) / 4.0 + kin + uneven + (GENTLER if steeper < 0 else 0.0)
            beyond = targets.SLOPES[name].order > MOST_FILTER_PARTS
            text = f"slope {name} in place of {now.name}"
            yield Change("slope", text, effort, (("slope", name),), far_fetched=beyond)


HARD_TO_BUILD = frozenset(("good builds", "evenness", "thirds", "slopes"))
"""Checks that fail where parts, or their tolerances, do not follow a slope."""
UNEVEN_DB = 10.0
"""A slope whose own sum departs so far is a step further away: of two that work, the one that sums flat is the nearer."""
GENTLER = 1.0
"""So much more than a steeper slope a gentler one changes: both drivers work further beyond their ranges."""


def networks(before: Assessment, catalogue: Catalogue) -> Iterator[Change]:
    """Another step of the network's ladder that passes what the one built does not: where that one fails, what it fails by."""
    ladder = before.design.ladder if before.design else ()
    built = next((step for step in ladder if step.chosen), None)
    if built is None:
        return
    for step in ladder:
        better = {*step.failed} < {*built.failed} if built.failed else not step.failed
        if (
            step.pieces != built.pieces
            and better
            and {*step.marginal, *step.unassessed} < {*built.marginal, *built.unassessed, *built.failed}
        ):
            text = f"a network of {step.pieces} pieces in place of {built.pieces}"
            yield Change("network", text, 1.8 + abs(step.pieces - built.pieces) / 10.0, (("most_parts", step.pieces),))


def parts(before: Assessment, catalogue: Catalogue) -> Iterator[Change]:
    """Parts bought by their values where the shelf alone was to do."""
    if before.case.pairing.parts_policy == "stock":
        text = "parts of preferred values in place of those on the shelf alone"
        yield Change("parts", text, 1.2, (("parts_policy", "preferred"),))


def short_db(before: Assessment, check_id: str) -> float:
    """How far a check of levels falls short of what is wanted (dB), negative where there is room; 0 where that is not known."""
    return next((-one.margin for one in before.checks if one.id == check_id and one.margin is not None), 0.0)


def levels(before: Assessment, catalogue: Catalogue) -> Iterator[Change]:
    """A lower wanted peak level, at least as low as what was found to be reached: a wish that stays out of reach is no way out."""
    wanted, practice = before.case.pairing.peak_level_db, before.case.practice
    needed = float(math.ceil(max(short_db(before, "peak level") - practice["level margin"], 0.0)))
    for lower in sorted({*(step for step in LEVEL_STEPS_DB if step >= needed), needed} - {0.0}):
        text = f"peak level {wanted - lower:g} dB in place of {wanted:g} dB"
        yield Change("level", text, 2.0 + lower / 10.0, (("peak_level_db", wanted - lower),))


def shelves(before: Assessment, catalogue: Catalogue) -> Iterator[Change]:
    """A deeper bass shelf where the level is short, and decibels that are given up for the bass would mend it."""
    setting, short = Setting(before.case), short_db(before, "peak level")
    for deeper in SHELF_STEPS_DB if short > before.case.practice["level margin"] else ():
        if short <= deeper <= setting.given_up_db:
            now = setting.shelf_db
            text = f"bass shelf {now + deeper:g} dB in place of {now:g} dB, with the bass {deeper:g} dB softer"
            yield Change("shelf", text, 2.3 + deeper / 10.0, (("shelf_db", now + deeper),))


SHELF_STEPS_DB = (1.5, 3.0)
"""So much further down the bass is tried, as far as the baffle step itself goes."""


def amplifiers(before: Assessment, catalogue: Catalogue) -> Iterator[Change]:
    """A smaller amplifier, for heat and the stress of parts, none that is more than both drivers stand; a larger one where the amplifier ends the level."""
    power = before.case.pairing.amplifier_power_w
    fits, stands = _fitting_w(before), before.network.heat.stands if before.network else None
    shares = {one for one in (0.5, 0.25, 0.125) if stands is None or one <= stands}
    if fits is not None and fits < power:
        shares.add(fits / power)
    for share in sorted(shares, reverse=True):
        yield _smaller(power, share)
    short = short_db(before, "peak level")
    if short > 0.0 and before.network is not None and before.network.reachable_cause == "the amplifier":
        larger = float(f"{power * 10.0 ** (short / 10.0) * 1.05:.2g}")
        text = f"amplifier of {larger:g} W in place of {power:g} W"
        yield Change("amplifier", text, 2.2 + short / 6.0, (("amplifier_power_w", larger),))


def _smaller(power_w: float, share: float) -> Change:
    smaller = at_most_w(power_w * share)
    text = f"amplifier of {smaller:g} W at most in place of {power_w:g} W"
    return Change("amplifier", text, 2.5 - math.log2(share) / 2.0, (("amplifier_power_w", smaller),))


def _fitting_w(found: Assessment) -> float | None:
    """What both drivers stand with the room of a pass (W); None where nobody knows."""
    stands = found.network.heat.stands if found.network else None
    room_db = found.case.practice["level margin"] + 0.1
    return None if stands is None else found.case.pairing.amplifier_power_w * stands * 10.0 ** (-room_db / 10.0)


def refitted(change: Change, before: Assessment, after: Assessment) -> Change:
    """The change to a smaller amplifier once more, as what else was changed asks for it."""
    power, fits = before.case.pairing.amplifier_power_w, _fitting_w(after)
    return change if fits is None or fits >= after.case.pairing.amplifier_power_w else _smaller(power, fits / power)


def spacings(before: Assessment, catalogue: Catalogue) -> Iterator[Change]:
    """Centres closer in four steps, down to touching frames; or apart until frames no longer overlap."""
    given, touching = before.case.pairing.centre_spacing_m, _touching_m(before.case)
    if touching is None:
        return
    now = touching if given is None else given
    overlap = -_tightest_m(before.case)
    if now <= touching and overlap > 0.0:
        touching = max(touching, now + overlap + before.case.practice["frame tolerance"])
    for share in (0.25, 0.5, 0.75, 1.0) if now > touching else (1.0,):
        spacing = math.ceil((now + (touching - now) * share) * 1e3 - 1e-6) * 1e-3
        if abs(spacing - now) >= 1e-3:
            text = f"centres {spacing * 1e3:.0f} mm apart in place of {now * 1e3:.0f} mm"
            yield Change("spacing", text, 3.0 + share / 2.0, (("centre_spacing_m", spacing),))


def _touching_m(case: Case) -> float | None:
    return Setting(replace(case, pairing=replace(case.pairing, centre_spacing_m=None))).spacing_m


def rears(before: Assessment, catalogue: Catalogue) -> Iterator[Change]:
    """The rear cup taken off, or another of the chambers that the driver is offered with; larger ones first."""
    high, pairing = before.case.high, before.case.pairing
    if high.rear == "removable" and pairing.rear_use != "removed":
        yield Change("rear", f"rear cup of {high.id} taken off", 3.5, (("rear_use", "removed"), ("chamber_m3", None)))
    for volume in sorted(high.other_chambers_m3 or (), reverse=True):
        if volume != pairing.chamber_m3:
            text = f"{high.id} in its {volume * 1e6:.0f} mL rear chamber"
            yield Change("rear", text, 3.0, (("rear_use", "as supplied"), ("chamber_m3", volume)))


def guides(before: Assessment, catalogue: Catalogue) -> Iterator[Change]:
    """Each waveguide of the workbook that fits; or none in place of one."""
    now = before.case.pairing.guide_id
    for guide in catalogue.waveguides.values():
        if guide.id != now and guide.suits(before.case.high):
            place = f" in place of {now}" if now else ""
            yield Change(
                "guide",
                f"waveguide {guide.id}{place}",
                4.0,
                (("guide_id", guide.id), *_apart(before.case, guide=guide)),
            )
    if now is not None:
        yield Change(
            "guide", f"without the waveguide {now}", 4.0, (("guide_id", None), *_apart(before.case, guide=None))
        )


def _apart(case: Case, **others: Any) -> tuple[tuple[str, Any], ...]:
    """Another frame stands where the old one stood: a given spacing keeps the gap between the frames, but not one in the middle of the other.

    Frames of unknown size, and those that overlap, are set touching.
    """
    given, touching = case.pairing.centre_spacing_m, _touching_m(case)
    if given is None or Setting(case).coaxial:
        return ()
    then = _touching_m(replace(case, **others))
    gap = given - touching if touching is not None else 0.0
    return (("centre_spacing_m", None if then is None or gap <= 0.0 else round(then + gap, 4)),)


def two_low_drivers(before: Assessment, catalogue: Catalogue) -> Iterator[Change]:
    """Two low drivers around the high one, wired either way."""
    pairing = before.case.pairing
    if pairing.arrangement == "low-high-low" or pairing.low_count > 2:
        return
    for wiring in ("parallel", "series"):
        text = f"two {pairing.low_id} around the high driver, in {wiring}"
        fields = (("arrangement", "low-high-low"), ("low_count", 2), ("low_wiring", wiring))
        yield Change("two low drivers", text, 6.0, fields)


def high_drivers(before: Assessment, catalogue: Catalogue) -> Iterator[Change]:
    """Every other high driver as supplied, in the present guide if that fits, else in the plainest way it is used; in a cone none that covers more of it."""
    now, guide, coaxial = before.case.high, before.case.guide, Setting(before.case).coaxial
    for high in catalogue.high_drivers.values():
        if high.id == now.id or high.technology not in catalogue.technologies:
            continue
        option = options_of(high, catalogue)[0]
        used = guide if guide is not None and guide.suits(high) else option.guide
        if coaxial and used is None and (high.faceplate_width_m or math.inf) > (now.faceplate_width_m or 0.0):
            continue
        text = f"{high.id} in place of {now.id}"
        if used is None and _closer(before, high):
            text += ", whose smaller faceplate brings the centres closer"
        if used is not guide:
            text += f", in {used.id}" if used else f", without {guide.id if guide else 'a guide'}"
        fields = (
            ("high_id", high.id),
            ("guide_id", used.id if used else None),
            ("rear_use", "as supplied"),
            ("chamber_m3", None),
        )
        other = 0.5 if high.technology != now.technology else 0.0
        apart = _apart(before.case, high=high, guide=used)
        yield Change("high driver", text, 7.0 + other + _price_step(now, high), (*fields, *apart))


def _closer(before: Assessment, high: HighDriver) -> bool:
    """True where the lobes are in the way and the other faceplate is smaller in the plane in which the centres stand apart."""
    lobing = any(check.id == "lobing" and check.outcome in ("fail", "marginal") for check in before.checks)
    upright = not Setting(before.case).sideways
    now, other = (
        (upright and one.faceplate_height_m) or one.faceplate_width_m or 0.0 for one in (before.case.high, high)
    )
    return lobing and before.case.guide is None and 0.0 < other < now


def low_drivers(before: Assessment, catalogue: Catalogue) -> Iterator[Change]:
    """Every other low driver in the same cabinet; around a high driver in the cone none of which that covers more."""
    now, least_m2 = before.case.low, before.case.low.diaphragm_area_m2 if Setting(before.case).coaxial else 0.0
    for low in catalogue.low_drivers.values():
        if low.id != now.id and low.diaphragm_area_m2 >= least_m2:
            size = abs(math.log2(low.diaphragm_area_m2 / now.diaphragm_area_m2)) / 4.0
            text = f"{low.id} in place of {now.id}"
            fields = (("low_id", low.id), *_apart(before.case, low=low))
            yield Change("low driver", text, 8.0 + size + _price_step(now, low), fields)


def _price_step(now: HighDriver | LowDriver, other: HighDriver | LowDriver) -> float:
    """A quarter step for each doubling or halving of the price."""
    return abs(math.log2(other.price / now.price)) / 4.0 if now.price and other.price else 0.25


OPEN_TO_A_DESIGNER: tuple[Callable[[Assessment, Catalogue], Iterator[Change]], ...] = (
    crossovers, parts, wirings, places, heights, networks, slopes, levels, shelves, amplifiers, spacings, rears, guides, cabinets, two_low_drivers, high_drivers,
    low_drivers,
)  # fmt: skip
"""Every kind of change that is tried; a new one is one function here and a row in `UNTOUCHED`."""


def all_changes(before: Assessment, catalogue: Catalogue) -> tuple[Change, ...]:
    """Every single change open for the pairing, the smallest first."""
    found = [change for kind in OPEN_TO_A_DESIGNER for change in kind(before, catalogue)]
    return tuple(sorted(found, key=lambda change: (change.effort, change.text)))
