"""Answers to enquiries: the two or three high drivers that would do, why, and what is missing to say more.

Knows how a question becomes a use, and candidates become an answer. Refuses to judge and to word the mail.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from reportgen.advice import guesses
from reportgen.advice.remedies import find_remedies, quick_word
from reportgen.advice.screening import SLOPES_TRIED, Candidate, screen
from reportgen.assessment import Assessment, Remedy, assess
from reportgen.catalogue.records import Application, Cabinet, Catalogue, Enquiry, LowDriver, Origin, Pairing, Technology
from reportgen.pairing.shopping import cost_of, drivers_of
from reportgen.problems import CannotAssess
from reportgen.suitability.cautions import Caution

TOLD = 3
"""How many candidates an answer holds at most."""
ASSESSED = 7
"""How many candidates are assessed as a whole to find them."""
FRAME_TO_PISTON = 1.3
"""Frame over diaphragm diameter where the frame of an enquirer's driver is unknown. Common practice, no source."""
GIVEN: Mapping[str, str] = {
    "given_area_m2": "diaphragm_area_m2",
    "given_fs_hz": "fs_hz",
    "given_re_ohm": "re_ohm",
    "given_le_h": "le_h",
    "given_qms": "qms",
    "given_qes": "qes",
    "given_sensitivity_db": "sensitivity_db",
    "given_breakup_hz": "breakup_hz",
}
"""Field of an enquiry -> field of the low driver that it stands for."""
NEVER_ASKED = ("peak_travel_m", "rated_power_w")
"""Figures that no column of an enquiry holds: always the usual ones of the size."""
HARDLY = 4
"""With fewer figures known than this, all others are the usual ones of the size: a pick is better than none."""
GENERIC = frozenset(("driver", "true", "diaphragm", "magnetic", "soft", "open", "large"))
"""Words in the name of a kind that nobody uses to ask for it."""
BEST_FIRST = ("suitable", "suitable with conditions", "undecided")


@dataclass(frozen=True)
class Proposal:
    """One high driver that would do: what to take, where to cross it, why there, and what to be careful of."""

    high_id: str
    description: str
    technology: str
    guide_id: str | None
    rear: str
    slope: str
    crossover_hz: float
    low_hz: float | None
    high_hz: float | None
    binding: str
    word: str
    reason: str
    caution: Caution | None
    price: float | None
    of_the_kind_asked: bool
    assessment: Assessment
    typed: tuple[str, ...] = ()


@dataclass(frozen=True)
class Answer:
    """The answer to one enquiry.

    `kinds` are the kinds of driver asked for and `about_kinds` what became of that wish. `assumed` and `missing`
    bound what can be said; `cannot` says why nothing can be, and `nearest_yes` what would make it work, where no
    proposal is left. `shortfall` is what is out of reach of all, `wishes` what became of a typed slope and of the budget;
    `decisive` are the figures that would change a provisional pick. `child`: one was spoken of.
    """

    enquiry: Enquiry
    low: LowDriver | None
    proposals: tuple[Proposal, ...]
    kinds: tuple[str, ...] = ()
    cabinet: Cabinet | None = None
    about_kinds: str = ""
    assumed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    cannot: str = ""
    nearest_yes: str = ""
    shortfall: str = ""
    wishes: tuple[str, ...] = ()
    decisive: tuple[str, ...] = ()
    child: bool = False
    currency: str = ""
    from_name: str = ""

    @property
    def id(self) -> str:
        """The enquiry's ID."""
        return self.enquiry.id

    @property
    def answered(self) -> bool:
        """False when nothing could be said at all; a no with its nearest yes is an answer."""
        return bool(self.proposals or self.nearest_yes)

    @property
    def question(self) -> str:
        """What was asked, in the enquirer's words."""
        return self.enquiry.question or ""


def open_enquiries(catalogue: Catalogue) -> tuple[Enquiry, ...]:
    """The enquiries not answered yet, in the order of the sheet."""
    return tuple(enquiry for enquiry in catalogue.enquiries.values() if enquiry.answered_on is None)


def answer_all(catalogue: Catalogue) -> tuple[Answer, ...]:
    """An answer to every open enquiry."""
    return tuple(answer(enquiry, catalogue) for enquiry in open_enquiries(catalogue))


def answer(enquiry: Enquiry, catalogue: Catalogue) -> Answer:
    """Find the high drivers that would do for `enquiry`; what cannot be said is said in the answer, never raised."""
    question = enquiry.question or ""
    kinds = asked_kinds(question, catalogue.technologies)
    place, word = guesses.place_named(question)
    if place is not None and "surroundings" not in enquiry.typed:
        enquiry = replace(enquiry, surroundings=place)
    blank = Answer(
        enquiry, None, (), kinds, child=guesses.child_named(question), currency=catalogue.maker.currency,
        from_name=catalogue.maker.name,
    )  # fmt: skip
    try:
        use, widened, assumed = use_of(enquiry, catalogue)
    except CannotAssess as reason:
        return replace(blank, cannot=str(reason), missing=_unknown(enquiry))
    wishes = [f"we take “{word}” to mean a {place}"] if place and "surroundings" not in enquiry.typed else []
    guessed = _known_figures(enquiry)[1] if enquiry.low_id is None else ()
    wishes += [f"we took {' and '.join(guessed)}"] if guessed else []
    low, cabinet = widened.low_drivers[use.low_id], widened.cabinets[use.cabinet_id]
    blank = replace(blank, low=low, cabinet=cabinet, assumed=assumed, missing=_unknown(enquiry), wishes=tuple(wishes))
    try:
        return _filled(blank, use, widened)
    except CannotAssess as reason:
        return replace(blank, cannot=str(reason))


# --- the enquirer's side --------------------------------------------------------------------------------------------


def use_of(enquiry: Enquiry, catalogue: Catalogue) -> tuple[Pairing, Catalogue, tuple[str, ...]]:
    """The place, the listener and the wish as a pairing, whose high driver is still any.

    With it the catalogue widened by the enquirer's own driver and cabinet, and what was assumed for them.
    CannotAssess names the cells to fill.
    """
    low, assumed = low_of(enquiry, catalogue)
    cabinet, more = cabinet_of(enquiry, low, catalogue)
    widened = replace(
        catalogue,
        low_drivers={**catalogue.low_drivers, low.id: low},
        cabinets={**catalogue.cabinets, cabinet.id: cabinet},
    )
    common = {field.name: getattr(enquiry, field.name) for field in fields(Application)}
    use = Pairing(
        **common,
        low_id=low.id,
        low_count=enquiry.low_count,
        high_id=next(iter(catalogue.high_drivers), ""),
        cabinet_id=cabinet.id,
    )
    return use, widened, assumed + more


def low_of(enquiry: Enquiry, catalogue: Catalogue) -> tuple[LowDriver, tuple[str, ...]]:
    """The low driver of the catalogue, or one made of the known figures, and what was assumed for it.

    CannotAssess names the cells to fill.
    """
    if enquiry.low_id is not None:
        if enquiry.low_id not in catalogue.low_drivers:
            raise CannotAssess(f"{enquiry.origin.place('low_id')}: {enquiry.low_id} cannot be used; see its own row")
        return catalogue.low_drivers[enquiry.low_id], ()
    known, _ = _known_figures(enquiry)
    diameter = 2.0 * math.sqrt(known["diaphragm_area_m2"] / math.pi)
    frame = round(diameter * FRAME_TO_PISTON, 3)
    low = LowDriver(
        id=f"driver of {enquiry.id}", origin=Origin("Low drivers", 0), description="the enquirer's own driver",
        frame_width_m=frame, price=0.0, stock=1, **known,
    )  # fmt: skip
    return low, (
        f"the woofer's frame is {frame * 1e3:.0f} mm across",
        f"it takes {low.rated_power_w:.0f} W and moves {(low.peak_travel_m or 0.0) * 1e3:.1f} mm either way, as is usual for its size",
    )


def _known_figures(enquiry: Enquiry) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Figures of the enquirer's own woofer, with typical ones of its size where they are not known, and which those are.

    Only what cannot be left open is filled in; inductance and break-up stay unknown where anything else is known.
    """
    known = {name: getattr(enquiry, given) for given, name in GIVEN.items() if getattr(enquiry, given) is not None}
    named, words = guesses.size_named(enquiry.question or "")
    guessed = []
    if "diaphragm_area_m2" not in known:
        area = named or guesses.USUAL_M2
        size = f"as “{words}” says" if named else "the commonest size"
        guessed.append(f"a woofer of {area * 1e4:.0f} cm², {size}")
        known["diaphragm_area_m2"] = area
    usual = guesses.typical(known["diaphragm_area_m2"])
    wanted = [
        name for name in usual if name not in known and (name not in ("le_h", "breakup_hz") or len(known) < HARDLY)
    ]
    if any(name not in NEVER_ASKED for name in wanted):
        guessed.append("the usual figures of its size")
    return {**known, **{name: usual[name] for name in wanted}}, tuple(guessed)


def cabinet_of(enquiry: Enquiry, low: LowDriver, catalogue: Catalogue) -> tuple[Cabinet, tuple[str, ...]]:
    """The cabinet of the catalogue, or one made of the known baffle, and what was assumed for it."""
    if enquiry.cabinet_id is not None:
        if enquiry.cabinet_id not in catalogue.cabinets:
            raise CannotAssess(
                f"{enquiry.origin.place('cabinet_id')}: {enquiry.cabinet_id} cannot be used; see its own row"
            )
        return catalogue.cabinets[enquiry.cabinet_id], ()
    frame = low.frame_width_m or 2.0 * math.sqrt(low.diaphragm_area_m2 / math.pi) * FRAME_TO_PISTON
    width = enquiry.given_baffle_width_m or round(frame * 1.2, 3)
    height = enquiry.given_baffle_height_m or round(frame * 2.2, 3)
    kind = "" if enquiry.given_cabinet_kind else "a closed cabinet, "
    assumed = [f"{kind}the high driver near its top and at the ear's height if the stand allows it"]
    if enquiry.given_baffle_width_m is None or enquiry.given_baffle_height_m is None:
        assumed.append(f"a baffle of {width * 1e3:.0f} x {height * 1e3:.0f} mm")
    stand = max(0.0, enquiry.ear_height_m - height + frame / 2.0)
    cabinet = Cabinet(
        id=f"cabinet of {enquiry.id}", origin=Origin("Cabinets", 0), kind=enquiry.given_cabinet_kind or "closed",
        net_volume_m3=enquiry.given_net_volume_m3, baffle_width_m=width, baffle_height_m=height, stand_height_m=round(stand, 3),
    )  # fmt: skip
    return cabinet, tuple(assumed)


def _unknown(enquiry: Enquiry) -> tuple[str, ...]:
    """Which further figures of the enquirer's own driver and baffle would say more, each with its cell."""
    wanted = () if enquiry.low_id else tuple(GIVEN)
    if not enquiry.cabinet_id:
        wanted += ("given_baffle_width_m", "given_baffle_height_m")
    return enquiry.missing(*wanted)


def asked_kinds(question: str, technologies: Mapping[str, Technology]) -> tuple[str, ...]:
    """Kinds of driver that the question names: by their whole name, else by a telling word of it, or by the family.

    >>> asked_kinds("Which tweeter should I take?", {})
    ()
    """
    text = f" {' '.join(re.findall(r'[a-z]+', question.casefold()))} "
    words = {word.removesuffix("s") for word in text.split()} | set(text.split())
    whole = tuple(
        name
        for name, kind in technologies.items()
        if any(
            f" {one.casefold()} " in text or f" {one.casefold()}s " in text for one in (name, *(kind.synonyms or ()))
        )
    )
    if whole:
        return whole
    return tuple(name for name, kind in technologies.items() if words & _telling(name, kind))


def _telling(name: str, kind: Technology) -> set[str]:
    telling = {*name.casefold().split(), kind.family, *(("horn",) if kind.family == "compression" else ())}
    return telling - GENERIC


# --- the candidates -------------------------------------------------------------------------------------------------


def _filled(blank: Answer, use: Pairing, catalogue: Catalogue) -> Answer:
    """The answer with its proposals, or with the reason and the nearest yes where there is none.

    A typed slope is kept while anything does with it; then a wider choice of slopes, then lower levels are tried.
    """
    typed, kinds = blank.enquiry.typed, set(blank.kinds)
    found = _screened(use, () if "slope" in typed else SLOPES_TRIED, catalogue)
    judged = _assessed(found, use, catalogue, kinds)
    good, shortfall = _ranked(judged, kinds, catalogue), ""
    wishes = list(blank.wishes)
    if not good and "slope" in typed:
        found = _screened(use, SLOPES_TRIED, catalogue)
        judged = _assessed(found, use, catalogue, kinds)
        good = _ranked(judged, kinds, catalogue)
    if not good and (reached := _reached_db(judged, use)) is not None:
        for step in QUIETER_DB:
            way = replace(use, peak_level_db=reached - step)
            nearer = _screened(way, SLOPES_TRIED, catalogue)
            good = _ranked(_assessed(nearer, way, catalogue, kinds, TOLD + 2), kinds, catalogue)
            if good:
                shortfall = _shortfall(use, way, good, "peak_level_db" in typed)
                break
    if good and "slope" in typed and all(candidate.slope != use.slope for candidate, _ in good):
        wishes.append(_why_not_slope(use.slope, good[0][1]))
    good, told = _within_budget(good, blank)
    if kinds and good:
        good = _with_an_outsider(good, kinds, catalogue)
    proposals = tuple(_proposal(candidate, one, kinds, blank) for candidate, one in good[:TOLD])
    filled = replace(
        blank, proposals=proposals, about_kinds=_about_kinds(blank.kinds, proposals, found, judged, catalogue),
        shortfall=shortfall, wishes=(*wishes, *filter(None, (told,))),
        decisive=_decisive(proposals, blank, use, catalogue), missing=(*blank.missing, *_gaps(proposals, blank)),
    )  # fmt: skip
    if proposals:
        return filled
    cannot, nearest_yes = _no(found, judged, catalogue)
    return replace(filled, cannot=cannot, nearest_yes=nearest_yes)


QUIETER_DB = (0.0, 3.0, 6.0)
"""How much under the level that the nearest reaches is tried where nothing does with the wanted one."""


def _reached_db(judged: Judged, use: Pairing) -> float | None:
    """The level (whole dB) that the best of those assessed reaches; None when the level is not what is in the way."""
    known = [one.figures.highest_level_db for _, one in judged if one.figures is not None]
    if not known or max(known) >= use.peak_level_db:
        return None
    return math.floor(max(known)) - 1.0


def _screened(use: Pairing, slopes: tuple[str, ...], catalogue: Catalogue) -> tuple[Candidate, ...]:
    return screen(catalogue, use, slopes=slopes, low_ids=[use.low_id], keep=None, keep_spacing=True).candidates


def _ranked(judged: Judged, kinds: set[str], catalogue: Catalogue) -> Judged:
    """Those that would do: the kind asked for first, then the verdict; ours whose own figures are missing only where nothing else would."""
    good = [pair for pair in judged if pair[1].verdict.word in BEST_FIRST]
    good = [pair for pair in good if not _lacks_ours(pair[1])] or good
    return sorted(
        good,
        key=lambda pair: (
            _kind(pair[0], catalogue) not in kinds, BEST_FIRST.index(pair[1].verdict.word), pair[0].rank,
        ),
    )  # fmt: skip


def _lacks_ours(found: Assessment) -> bool:
    """True when an essential figure of our own high driver is missing."""
    return any(
        f" of {found.case.high.id} (" in text for check in found.checks if check.essential for text in check.missing
    )


def _why_not_slope(slope: str, best: Assessment) -> str:
    """Why the best one would not do with the slope that was asked for."""
    would = assess(replace(best.case, pairing=replace(best.case.pairing, slope=slope)), drawn=False)
    return f"{slope} would not do: with {best.case.high.id}, which suits best, {_uncapped(would.verdict.reason)}"


def _uncapped(text: str) -> str:
    keeps = text[1:2].isupper() or text[1:2].isdigit()  # an ID, or a unit
    return (text if keeps else text[:1].lower() + text[1:]).rstrip(".")


def _shortfall(use: Pairing, way: Pairing, good: Judged, typed: bool) -> str:
    """What is out of reach of all, and how near the nearest comes."""
    whose = "" if typed else " (our usual)"
    return (
        f"{use.peak_level_db:.0f} dB{whose} at {use.distance_m:g} m is out of reach of all our high drivers; nearest is"
        f" {good[0][1].case.high.id} with {way.peak_level_db:.0f} dB"
    )


def _within_budget(good: Judged, blank: Answer) -> tuple[Judged, str]:
    """Those that the budget allows; where it allows none, all of them and how much the cheapest costs."""
    budget = blank.enquiry.budget
    if budget is None or not good:
        return good, ""
    prices = [(pair, cost_of(item for item in drivers_of(pair[1].case) if item.branch == "high")) for pair in good]
    allowed = [pair for pair, price in prices if price is not None and price <= budget]
    if allowed:
        return allowed, ""
    known = sorted(((price, i) for i, (_, price) in enumerate(prices) if price is not None))
    if not known:
        return good, ""
    cheapest = [good[i] for _, i in known]
    return cheapest, (
        f"nothing within {budget:.2f} {blank.currency} would do; the cheapest that would costs {known[0][0]:.2f} {blank.currency}"
    )


def _decisive(proposals: tuple[Proposal, ...], blank: Answer, use: Pairing, catalogue: Catalogue) -> tuple[str, ...]:
    """Of a woofer that was mostly guessed: the two figures whose plain spread changes the pick most."""
    enquiry = blank.enquiry
    unknown = [name for given, name in GIVEN.items() if getattr(enquiry, given) is None and name in SPREAD]
    if not proposals or enquiry.low_id is not None or not blank.low:
        return ()
    told = {one.high_id for one in proposals}
    moved: list[tuple[int, int, str]] = []
    for name in unknown:
        value = getattr(blank.low, name) or guesses.typical(blank.low.diaphragm_area_m2).get(name)
        changed = 0
        for other in SPREAD[name](value) if value is not None else ():
            changed_field: dict[str, Any] = {name: other}
            low = replace(blank.low, **changed_field)
            widened = replace(catalogue, low_drivers={**catalogue.low_drivers, low.id: low})
            best = [one.high_id for one in _screened(use, SPREAD_SLOPES, widened) if one.word != "not suitable"]
            changed += len(told - set(best[: 2 * TOLD]))
        moved.append((-changed, len(moved), name))
    return tuple(name for _, _, name in sorted(moved)[:2])


SPREAD_SLOPES = ("LR4",)
SPREAD: Mapping[str, Callable[[float], tuple[float, ...]]] = {
    "diaphragm_area_m2": lambda value: (value / 1.3, value * 1.3),
    "breakup_hz": lambda value: (value / 1.4, value * 1.4),
    "sensitivity_db": lambda value: (value - 3.0, value + 3.0),
    "re_ohm": lambda value: (value / 1.8,),
}
"""How far a figure of a woofer of known size may lie from the usual one (common practice, no source)."""


def _kind(candidate: Candidate, catalogue: Catalogue) -> str:
    return catalogue.high_drivers[candidate.high_id].technology


Judged = list[tuple[Candidate, Assessment]]


def _assessed(
    found: tuple[Candidate, ...], use: Pairing, catalogue: Catalogue, kinds: set[str], most: int = ASSESSED
) -> Judged:
    """The most promising candidates, each assessed as a whole; those of the kinds asked for have their turn first."""
    asked_first = sorted(found, key=lambda candidate: _kind(candidate, catalogue) not in kinds)
    of_kind = sum(_kind(candidate, catalogue) in kinds for candidate in found)
    order = (
        [*asked_first[: min(of_kind, TOLD - 1)], *asked_first[of_kind : of_kind + 2], *found] if of_kind else [*found]
    )
    judged: Judged = []
    for candidate in dict.fromkeys(order):
        case = catalogue.case(candidate.pairing(use))
        if len(judged) >= most:
            break
        if judged and quick_word(case) == "not suitable":
            continue
        judged.append((candidate, assess(case)))
    return judged


def _with_an_outsider(good: Judged, kinds: set[str], catalogue: Catalogue) -> Judged:
    """Where more than enough of the kind asked for would do, the last place still goes to the best of another kind."""
    others = [pair for pair in good if _kind(pair[0], catalogue) not in kinds]
    return [*good[: TOLD - 1], others[0]] if others and others[0] not in good[:TOLD] else good


def _proposal(candidate: Candidate, found: Assessment, kinds: set[str], blank: Answer) -> Proposal:
    case, bounds = found.case, found.found_range
    own = [caution for caution in found.cautions if caution.applies_to == case.high.id]
    return Proposal(
        high_id=case.high.id,
        description=case.high.description or case.technology.id,
        technology=case.technology.id,
        guide_id=candidate.guide_id,
        rear=_rear(candidate),
        slope=candidate.slope,
        crossover_hz=found.crossover_hz or 0.0,
        low_hz=bounds.low_hz,
        high_hz=bounds.high_hz,
        binding=" and ".join(one.title.lower() for one in (bounds.low_binding, bounds.high_binding) if one),
        word=found.verdict.word,
        reason=_with_cells(found.verdict.reason, blank),
        caution=own[0] if own else None,
        price=cost_of(item for item in drivers_of(case) if item.branch == "high"),
        of_the_kind_asked=case.technology.id in kinds,
        assessment=found,
        typed=blank.enquiry.typed,
    )


def _rear(candidate: Candidate) -> str:
    if candidate.chamber_m3 is not None:
        return f"in its {candidate.chamber_m3 * 1e6:.0f} mL rear chamber"
    return "rear cup taken off" if candidate.rear_use == "removed" else ""


def _with_cells(text: str, blank: Answer) -> str:
    """`text` with the cells of the enquiry in place of those that a driver of no row cannot have."""
    if blank.low is None or blank.enquiry.low_id is not None:
        return text
    for given, name in GIVEN.items():
        for nowhere, cell in zip(blank.low.missing(name), blank.enquiry.missing(given), strict=False):
            text = text.replace(nowhere, cell)
    return text


def _gaps(proposals: tuple[Proposal, ...], blank: Answer) -> tuple[str, ...]:
    """Data that the proposals lack, each with its cell."""
    gaps = (text for one in proposals for check in one.assessment.checks for text in check.missing)
    return tuple(text for text in dict.fromkeys(_with_cells(gap, blank) for gap in gaps) if text not in blank.missing)


def _about_kinds(
    kinds: tuple[str, ...],
    proposals: tuple[Proposal, ...],
    found: tuple[Candidate, ...],
    judged: Judged,
    catalogue: Catalogue,
) -> str:
    """What became of the wish for a kind of driver."""
    if not kinds:
        return ""
    asked = " or ".join(kinds)
    mine = [one for one in proposals if one.of_the_kind_asked]
    if mine:
        others = "; the others are of another kind" if len(mine) < len(proposals) else ""
        return f"You asked for a {asked}: {', '.join(one.high_id for one in mine)}{others}."
    of_kind = [candidate for candidate in found if _kind(candidate, catalogue) in kinds]
    if not of_kind:
        return f"You asked for a {asked}: we have none."
    best = of_kind[0]
    reason = next((one.verdict.reason for candidate, one in judged if candidate == best), best.takes)
    if best.low_hz and best.high_hz and best.high_hz < best.low_hz:
        reason = f"it plays from {best.low_hz:.0f} Hz up, your woofer only to {best.high_hz:.0f} Hz."
    return f"You asked for a {asked}: none would do. {best.high_id}: {reason}"


def _no(found: tuple[Candidate, ...], judged: Judged, catalogue: Catalogue) -> tuple[str, str]:
    """Why nothing would do, and the nearest yes for the candidate that comes nearest."""
    if not judged:
        return (found[0].takes if found else "The catalogue holds no high driver that can be used."), ""
    nearest = judged[0][1]
    remedies, _ = find_remedies(nearest, catalogue)
    reason = (
        f"None of our high drivers would do as asked; {nearest.case.high.id} comes nearest: {nearest.verdict.reason}"
    )
    return reason, _remedy_words(remedies[0], nearest) if remedies else ""


def _remedy_words(remedy: Remedy, nearest: Assessment) -> str:
    """A way out without the figures of its search."""
    at = f", crossed over at {remedy.crossover_hz:.0f} Hz" if remedy.crossover_hz else ""
    return f"{nearest.case.high.id} with {' and '.join(remedy.changes)}{at}."
