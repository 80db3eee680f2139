"""Answers to enquiries: the two or three high drivers that would do, why, and what is missing to say more.

Knows what picks become as an answer, and what became of each wish. Refuses to search and to word the mail.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from reportgen.advice import guesses
from reportgen.advice.bounds import ANYWHERE, Bounds, bounds_said, bounds_words
from reportgen.advice.decisive import decisive
from reportgen.advice.enquirer import (
    GIVEN,
    as_understood,
    asked_kinds,
    first_wish,
    kit_of,
    known_figures,
    of_quote,
    refused_guides,
    refused_ids,
    refused_kinds,
    unknown,
    use_of,
    wiring_said,
)
from reportgen.advice.figures import counts_beside
from reportgen.advice.hazards import hazards_said, hornless, unanswered
from reportgen.advice.mails import in_figures, own_words
from reportgen.advice.picks import (
    TOLD,
    USUAL,
    WOULD_DO,
    Picks,
    Wish,
    as_wished,
    kind_of,
    lacks_ours,
    picks,
    price_of,
    too_soft,
    ways,
)
from reportgen.advice.remedies import find_remedies
from reportgen.advice.said import WE_SAID, cheapest_said, named, places
from reportgen.advice.screening import Candidate
from reportgen.advice.unread import Unread, speaks_of_high, unread
from reportgen.assessment import Assessment, Remedy, assess
from reportgen.catalogue.currencies import with_currency
from reportgen.catalogue.records import Cabinet, Catalogue, Enquiry, LowDriver, Pairing
from reportgen.problems import CannotAssess
from reportgen.suitability.cautions import Caution, at_the_seat, of_the_place
from reportgen.suitability.verdict import NO_RANGE, YES


@dataclass(frozen=True)
class Proposal:
    """One high driver that would do: what to take, where to cross it, why there, and what to be careful of.

    `wished_db` is the level that was asked for and is still held; None where none was typed or it had to give way.
    """

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
    wished_db: float | None = None


@dataclass(frozen=True)
class Answer:
    """The answer to one enquiry.

    `kinds` are the kinds of driver asked for and `why_not_kind` why none of them would do. `named` are those of our high
    drivers that were asked about, and `about` says what became of each that is not proposed. `assumed` and `missing`
    bound what can be said; `cannot` says why nothing can be, and `nearest_yes` what would make it work, where no
    proposal is left. `shortfall` is what is out of reach of all, `wishes` what became of other wishes; `decisive` are the figures that would change a provisional pick. `cheapest_first`:
    none is within the budget, or the cheapest was asked for. `size_words`: the woofer's size as it was asked. `child`: one was spoken of.
    `hazards` are dangers that the words speak of; `unread` is what nobody read of them.
    """

    enquiry: Enquiry
    low: LowDriver | None
    proposals: tuple[Proposal, ...]
    kinds: tuple[str, ...] = ()
    cabinet: Cabinet | None = None
    why_not_kind: str = ""
    named: tuple[str, ...] = ()
    about: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    cannot: str = ""
    nearest_yes: str = ""
    shortfall: str = ""
    wishes: tuple[str, ...] = ()
    decisive: tuple[str, ...] = ()
    cheapest_first: bool = False
    size_words: str = ""
    child: bool = False
    hazards: tuple[str, ...] = ()
    unread: Unread = field(default_factory=Unread)
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


def answer(enquiry: Enquiry, catalogue: Catalogue) -> Answer:
    """Find the high drivers that would do for `enquiry`; what cannot be said is said in the answer, never raised."""
    mail = enquiry.question
    own, quotes = own_words(mail or "")
    found = _answered(replace(enquiry, question=in_figures(own) or None), mail or "", quotes, catalogue)
    return replace(found, enquiry=replace(found.enquiry, question=mail))


def _answered(enquiry: Enquiry, mail: str, quotes: bool, catalogue: Catalogue) -> Answer:
    """The answer to what the enquirer's own words ask; dangers and children count wherever they stand in the mail."""
    question = enquiry.question or ""
    typed = enquiry
    enquiry, from_there = of_quote(enquiry, mail, catalogue) if quotes else (enquiry, "")
    enquiry, understood, plain, read = as_understood(enquiry, catalogue)
    understood = ", ".join(filter(None, (from_there, understood)))
    kit = kit_of(typed, catalogue)
    left = replace(_left(typed, enquiry, read, catalogue, kit), quotes=quotes and not from_there)
    dangers = _dangers(replace(enquiry, question=mail), catalogue)
    left = replace(left, questions=unanswered(left.questions, dangers))
    catalogue, kinds, left_out = _without_refused(question, catalogue)
    ours = named(question, catalogue.high_drivers)
    if not ours and kit and (of_it := catalogue.high_drivers.get(kit.high_id)):
        ours = (kit.high_id,) if not kinds or of_it.technology in kinds else ()
    blank = Answer(
        enquiry, None, (), () if ours else kinds, named=ours, unread=left, hazards=dangers,
        child=guesses.child_named(mail), currency=catalogue.maker.currency, from_name=catalogue.maker.name,
    )  # fmt: skip
    if not left.asked:
        return replace(blank, cannot=NOT_ASKED, named=())
    try:
        use, widened, assumed = use_of(enquiry, catalogue)
    except CannotAssess as reason:
        return replace(blank, cannot=str(reason), missing=unknown(enquiry))
    guessed = known_figures(enquiry)[1] if enquiry.low_id is None else ""
    taken = ", and ".join(filter(None, (understood, guessed)))
    size = guesses.size_named(question)[1] if guessed and enquiry.given_area_m2 is None else ""
    low, cabinet = widened.low_drivers[use.low_id], widened.cabinets[use.cabinet_id]
    blank = replace(
        blank, low=low, cabinet=cabinet, assumed=assumed, missing=unknown(enquiry), wishes=tuple(_understood(taken, plain, left_out)),
        size_words=size,
    )  # fmt: skip
    if left_out and not catalogue.high_drivers:
        return replace(blank, cannot="We have no other high driver.")
    try:
        return _filled(blank, use, widened)
    except CannotAssess as reason:  # for the operator: a mail says that no driver can be named yet
        return replace(blank, low=None, cannot=str(reason))


NOT_ASKED = "We find no question about a high driver for a woofer in your enquiry."


def _left(
    typed: Enquiry,
    enquiry: Enquiry,
    read: tuple[tuple[int, int], ...],
    catalogue: Catalogue,
    kit: Pairing | None,
) -> Unread:
    """What of the words nobody read, neither the program nor whoever filled the cells; cells about a loudspeaker ask by themselves."""
    question = typed.question or ""
    size = guesses.size_named(question)[1] if enquiry.low_id is None else ""
    at = question.find(size) if size else -1
    records = (catalogue.low_drivers, catalogue.high_drivers, catalogue.cabinets, catalogue.waveguides)
    ids = [one for table in records for one in table]
    of_kit = kit is not None and speaks_of_high(question)
    both = enquiry.low_id is not None and (of_kit or bool(named(question, catalogue.high_drivers)))
    names = [place for one in ids for place in places(question, one)]
    wired = wiring_said(enquiry)
    more = (*([(at, at + len(size))] if size else ()), *([wired[1]] if wired else ()))
    left = unread(question, (*read, *names, *more), ids, both)
    filled = {*typed.typed, *(one for one in ("low_id", "cabinet_id", *GIVEN) if getattr(typed, one) is not None)}
    cells = {_digits(value) for one in filled if isinstance(value := getattr(typed, one), float)}
    quantities = tuple(one for one in left.quantities if _digits(one) not in cells)
    if "low_count" not in enquiry.typed:
        quantities = (*counts_beside(question, catalogue.low_drivers), *quantities)
    return replace(left, asked=left.asked or bool(filled - _SAYS_NOTHING), quantities=quantities)


_SAYS_NOTHING = frozenset(("received", "customer", "question", "budget", "answered_on", "notes"))
"""Cells of an enquiry that do not speak of a loudspeaker."""


def _digits(value: float | str) -> str:
    """A figure without its unit: 26 cm and 0.26 m have the same."""
    number = f"{value:.6g}" if isinstance(value, float) else "".join(re.findall(r"[\d.,]+", value)[:1])
    return re.sub(r"[.,]", "", number).strip("0")


def _dangers(enquiry: Enquiry, catalogue: Catalogue) -> tuple[str, ...]:
    """What the words speak of that is dangerous, to people or to the most delicate drivers."""
    question, kinds = enquiry.question or "", catalogue.technologies
    ours = {kinds[catalogue.high_drivers[one].technology] for one in named(question, catalogue.high_drivers)}
    asked = asked_kinds(question, kinds)
    spoken_of = ours or {kinds[one] for one in asked if len(asked) == 1}
    handling = sorted(one.handling for one in spoken_of if one.handling and one.fragility == "very delicate")
    toxic = any(one.diaphragm == "beryllium" for one in ours)
    bare = [one.handling or "" for one in spoken_of if one.family == "compression" and hornless(question)]
    around = of_the_place(enquiry.placement, enquiry.surroundings)
    average = enquiry.peak_level_db - catalogue.practice["programme average"]
    if "peak_level_db" in enquiry.typed and average >= HARMFUL_DB:
        around = (at_the_seat(enquiry.peak_level_db, average), *around)
    return tuple(hazards_said(question, toxic, (*bare, *around), handling))


HARMFUL_DB = 100.0
"""A programme of so many decibels is the loudest that a quarter of an hour may have in any place (WHO, Global standard for safe listening at venues and events, 2022): what it does to ears is said first."""


def _without_refused(question: str, catalogue: Catalogue) -> tuple[Catalogue, tuple[str, ...], tuple[str, ...]]:
    """The catalogue without the high drivers that a question refuses, the kinds that it asks for, and what it refuses, in its words.

    A driver asked about by its ID stays, of whatever kind.
    """
    ids, (wanted, words) = (
        refused_ids(question, catalogue.high_drivers),
        refused_kinds(question, catalogue.technologies),
    )
    kinds = asked_kinds(first_wish(wanted), catalogue.technologies) or asked_kinds(wanted, catalogue.technologies)
    ours = _asked_about(question, catalogue)
    families = {catalogue.technologies[catalogue.high_drivers[one].technology].family for one in ours}
    if hornless(question) and "compression" in families:
        words = tuple(one for one in words if one.removesuffix("s") != "horn")
    refused = {kind for one in words for kind in asked_kinds(one, catalogue.technologies)} - set(kinds)
    left = {
        id_: one
        for id_, one in catalogue.high_drivers.items()
        if id_ not in ids and (id_ in ours or one.technology not in refused)
    }
    horns = [one for one in left.values() if catalogue.technologies[one.technology].family == "compression"]
    bare = refused_guides(question) if not (hornless(question) and "compression" in families) else ()
    guides = {
        id_: one for id_, one in catalogue.waveguides.items() if not bare or any(one.suits(high) for high in horns)
    }  # a compression driver plays on nothing else
    catalogue = replace(catalogue, high_drivers=left, waveguides=guides)
    return catalogue, kinds, (*(words if refused else ()), *ids, *bare)


def _asked_about(question: str, catalogue: Catalogue) -> tuple[str, ...]:
    """The high drivers of ours that a question names otherwise than as what we said."""
    return tuple(
        one
        for one in named(question, catalogue.high_drivers)
        if any(not WE_SAID.search(question[:start]) for start, _ in places(question, one))
    )


def _understood(taken: str, plain: str, refused: tuple[str, ...]) -> Iterator[str]:
    """What was made of the enquirer's words, in a clause each."""
    if refused:
        yield f"we leave out what you do not want: {', '.join(refused)}"
    if taken:
        yield f"we take {taken}"
    if plain:
        yield f"we count on {plain}"


def _filled(blank: Answer, use: Pairing, catalogue: Catalogue) -> Answer:
    """The answer with its proposals, or with the reason and the nearest yes where there is none."""
    enquiry = blank.enquiry
    wish = Wish(
        use, catalogue, frozenset(blank.kinds), frozenset(enquiry.typed), enquiry.budget, frozenset(blank.named),
        cheapest_said(blank.question), _bounds(enquiry),
    )  # fmt: skip
    as_asked, found = picks(wish)
    told, by_level = found.good[:TOLD], "peak_level_db" in found.gave_way and "peak_level_db" in wish.typed
    if by_level:  # then the level matters most, of what was asked for
        told = sorted(told, key=lambda pair: (not wish.asks_for(pair[0]), -_reached(pair[1])))
    proposals = tuple(_proposal(candidate, one, found, wish, blank) for candidate, one in told)
    filled = replace(
        blank, proposals=proposals, why_not_kind=_why_not_kind(blank, proposals, as_asked, catalogue),
        about=tuple(_about(blank, proposals, as_asked, found, wish)),
        shortfall=_shortfall(wish, found), wishes=(*blank.wishes, *_given_way(wish, found, blank.currency)),
        cheapest_first=(found.over_budget or wish.cheapest) and not by_level,
        missing=(*blank.missing, *_gaps(proposals, blank)),
    )  # fmt: skip
    if not proposals:
        cannot, nearest_yes = _no(as_asked, wish, filled.about)
        filled = replace(filled, cannot=cannot, nearest_yes=nearest_yes)
    if enquiry.low_id is None and blank.low is not None and proposals:
        named = {one.high_id for one in proposals}
        return replace(filled, decisive=decisive(enquiry, blank.low, use, catalogue, named))
    return filled


def _bounds(enquiry: Enquiry) -> Bounds:
    """Between which frequencies (Hz) the words want a crossover that is left open."""
    told = bounds_said(enquiry.question or "") if "crossover_hz" not in enquiry.typed else None
    return told.value if told else ANYWHERE


# --- what became of the wishes --------------------------------------------------------------------------------------


def _given_way(wish: Wish, found: Picks, currency: str) -> Iterator[str]:
    """Why a typed slope or crossover would not do, and that the budget does not suffice."""
    kept: dict[str, Any] = {
        name: getattr(wish.use, name) for name in ("slope", "crossover_hz") if name in found.gave_way
    }
    if kept and found.good:
        best = found.good[0][1]
        would = as_wished(wish, replace(best.case.pairing, **kept))
        words, with_it = _wish_words(kept, wish.bounds), f"with {best.case.high.id}, which suits best,"
        if would.verdict.word not in WOULD_DO:
            yield f"{words} would not do: {with_it} {_plainly(would)}"
    if found.over_budget and wish.budget is not None:
        least = price_of(found.good[0][0], wish.catalogue) or 0.0
        budget, costs = (with_currency(amount, currency) for amount in (wish.budget, least))
        yield f"nothing within {budget} would do; the cheapest that would costs {costs}"


def _wish_words(wishes: Mapping[str, Any], bounds: Bounds = ANYWHERE) -> str:
    """A slope and a crossover as they are wished for: LR4 at 2000 Hz, LR4 with a crossover of 2000 Hz or more."""
    if "crossover_hz" in wishes and wishes["crossover_hz"] is None:
        return " with ".join(
            [*(str(wishes[name]) for name in wishes if name == "slope"), f"a crossover {bounds_words(bounds)}"]
        )
    return " at ".join(str(value) if name == "slope" else f"{value:.0f} Hz" for name, value in wishes.items())


def _gave_way(found: Picks) -> bool:
    """Whether a typed slope or crossover had to give way."""
    return not {"slope", "crossover_hz"}.isdisjoint(found.gave_way)


def _otherwise(pairing: Pairing, found: Picks, wish: Wish) -> str:
    """How a driver that would not do with the typed slope or crossover would with others than were tried; empty where it would not."""
    for given in (one for one in ways(wish) if {*one} > {*found.gave_way} - {"peak_level_db"}):
        usual: dict[str, Any] = {name: USUAL[name] for name in given}
        other = replace(pairing, **usual)
        one = assess(wish.catalogue.case(other), drawn=False)
        if one.verdict.word in WOULD_DO:
            return f". With {_wish_words({'slope': other.slope, 'crossover_hz': one.crossover_hz or 0.0})} it would"
    return ""


def _plainly(found: Assessment, capital: bool = False) -> str:
    """What is in the way, in one clause, or with its capital as the words of a sentence."""
    bounds = found.found_range
    if bounds.empty and found.verdict.reason.startswith(NO_RANGE):
        return (
            f"{'N' if capital else 'n'}o frequency serves both drivers: the high one plays from {bounds.low_hz:.0f} Hz up, the woofer "
            f"only to {bounds.high_hz:.0f} Hz"
        )
    first, box = found.verdict.reason.partition(". ")[0], found.case.cabinet
    if not box.origin.row:  # the enquirer's own, or a guess: its size is known from nowhere else
        size = f"{box.baffle_width_m * 1e3:.0f} x {box.baffle_height_m * 1e3:.0f} mm"
        first = first.replace("the edge of the baffle", f"the edge of a baffle of {size}")
    return first.rstrip(".") if capital else _uncapped(first)


def _uncapped(text: str) -> str:
    keeps = text[1:2].isupper() or text[1:2].isdigit()  # an ID, or a unit
    return (text if keeps else text[:1].lower() + text[1:]).rstrip(".")


_ENDS = {
    "travel of the low driver": "the travel of your woofer",
    "heat of the low driver": "the heat that your woofer stands",
    "travel of the high driver": "the travel of the high driver",
    "heat of the high driver": "the heat that the high driver stands",
}
"""What ends the level, as `Figures.highest_level_cause` has it, in the enquirer's words."""


def _shortfall(wish: Wish, found: Picks) -> str:
    """What is out of reach of all although it was asked for, how near the nearest comes, and what ends it there."""
    if "peak_level_db" not in found.gave_way or "peak_level_db" not in wish.typed or not found.good:
        return ""
    best = max((one for _, one in found.good[:TOLD]), key=_reached)
    return (
        f"{wish.use.peak_level_db:.0f} dB at {wish.use.distance_m:g} m is out of reach: {best.case.high.id} comes nearest with "
        f"{_reached(best)} dB, where {_end_words(best, wish)} ends it"
    )


def _end_words(found: Assessment, wish: Wish) -> str:
    cause = found.figures.highest_level_cause if found.figures else ""
    ours = "" if "amplifier_power_w" in wish.typed else " that we assume"
    return _ENDS.get(cause, f"the {wish.use.amplifier_power_w:g} W amplifier{ours}")


def _reached(found: Assessment) -> int:
    """The highest level at the seat (dB), rounded down."""
    return math.floor(found.figures.highest_level_db) if found.figures else 0


def _why_not_kind(blank: Answer, proposals: tuple[Proposal, ...], as_asked: Picks, catalogue: Catalogue) -> str:
    """Why none of the kinds asked for would do; empty where one does or none was asked for."""
    if not blank.kinds or any(one.of_the_kind_asked for one in proposals):
        return ""
    of_kind = [candidate for candidate in as_asked.found if kind_of(candidate, catalogue) in blank.kinds]
    if not of_kind:
        return "we have none"
    place = as_asked.use.surroundings
    if all(place in (catalogue.technologies[kind].excluded or ()) for kind in blank.kinds):
        return f"it must not stand in such a place: {place}"
    assessed = [candidate for candidate, _ in as_asked.judged if candidate in of_kind]
    best = min(assessed or of_kind, key=lambda one: _own_fault(one, catalogue))
    if best.guide_id and not _needs_guide(best, catalogue) and (bare := _bare(best, as_asked, catalogue)):
        return f"none would do: with {best.high_id}, {bare}"
    if best.low_hz and best.high_hz and best.high_hz < best.low_hz:
        reason = f"{best.high_id} plays from {best.low_hz:.0f} Hz up, your woofer only to {best.high_hz:.0f} Hz"
    else:
        known = [_plainly(one) for candidate, one in as_asked.judged if candidate == best]
        takes = _uncapped(best.takes.partition(". ")[0])
        if not known and not takes:
            prices = [price for one in of_kind if (price := price_of(one, catalogue)) is not None]
            return (
                f"the cheapest costs {with_currency(min(prices), blank.currency)}"
                if prices
                else "we cannot name a price"
            )
        reason = f"with {best.high_id}, {known[0] if known else takes}"
    return f"none would do: {reason}"


def _about(blank: Answer, proposals: tuple[Proposal, ...], as_asked: Picks, found: Picks, wish: Wish) -> Iterator[str]:
    """What became of each driver that was asked about by name and is not among the proposals; a level that nobody named refuses none."""
    yield from _in_guides(blank, proposals, found, wish)
    for high_id in blank.named:
        if any(one.high_id == high_id for one in proposals):
            continue
        candidate = next((one for one in found.found if one.high_id == high_id), None)
        known = next((one for other, one in found.judged if other == candidate), None)
        pairing = candidate.pairing(found.use) if candidate else replace(found.use, high_id=high_id)
        one = known or as_wished(wish, pairing)
        fails = one.verdict.word not in WOULD_DO
        unasked = candidate and candidate.guide_id not in (None, *named(blank.question, wish.catalogue.waveguides))
        guided = candidate and unasked and fails and not _needs_guide(candidate, wish.catalogue)
        if guided:  # nobody spoke of a guide
            pairing = replace(pairing, guide_id=None)
            bare = as_wished(wish, pairing)
            one = one if bare.verdict.word in WOULD_DO else bare
        price = price_of(candidate, wish.catalogue) if candidate else one.case.high.price
        dear = wish.budget is not None and price is not None and price > wish.budget
        if one.verdict.word in WOULD_DO:
            costs = f", but costs {with_currency(price, blank.currency)}" if dear and price is not None else ""
            yield f"{high_id} would do{costs or ' as well'}"
            continue
        if _gave_way(found) and not guided:
            asked = next((other for other in as_asked.found if other.high_id == high_id), None)
            one = as_wished(wish, asked.pairing(as_asked.use)) if asked else one
        if too_soft(one) and "peak_level_db" not in wish.typed:
            yield f"{high_id} would do as well, up to {_reached(one)} dB"
        else:
            yield f"{high_id} would not do. {_plainly(_by_itself(one, wish), capital=True)}{_otherwise(pairing, found, wish)}"


def _by_itself(one: Assessment, wish: Wish) -> Assessment:
    """What would not do, with another reason than a level that nobody asked for, where it has one."""
    level = next((check.text for check in one.checks if check.id == "peak level"), "")
    others = [text for _, text in one.verdict.fails if text != level]
    if "peak_level_db" in wish.typed or one.verdict.reason != level or not others:
        return one
    return replace(one, verdict=replace(one.verdict, reason=others[0]))


def _in_guides(blank: Answer, proposals: tuple[Proposal, ...], found: Picks, wish: Wish) -> Iterator[str]:
    """What became of each guide that was asked about together with a driver, where no proposal has both."""
    for guide_id in named(blank.question, wish.catalogue.waveguides):
        for one in (one for one in found.found if one.high_id in blank.named and one.guide_id != guide_id):
            high = wish.catalogue.high_drivers[one.high_id]
            if any((mine.high_id, mine.guide_id) == (one.high_id, guide_id) for mine in proposals):
                continue
            if not wish.catalogue.waveguides[guide_id].suits(high):
                yield f"{one.high_id} in waveguide {guide_id} would not do. It does not fit"
                continue
            guided = as_wished(wish, replace(one.pairing(found.use), guide_id=guide_id))
            does = guided.verdict.word in WOULD_DO
            yield f"{one.high_id} in waveguide {guide_id} would {'do as well' if does else f'not do. {_plainly(guided, capital=True)}'}"


def _needs_guide(one: Candidate, catalogue: Catalogue) -> bool:
    return catalogue.technologies[kind_of(one, catalogue)].family == "compression"


def _bare(candidate: Candidate, found: Picks, catalogue: Catalogue) -> str:
    """What is in the way without a guide, of which nobody spoke; empty where nothing is."""
    one = assess(catalogue.case(replace(candidate.pairing(found.use), guide_id=None)), drawn=False)
    return "" if one.verdict.word in WOULD_DO else _plainly(one)


def _own_fault(one: Candidate, catalogue: Catalogue) -> bool:
    """True of a driver of ours that no kit may hold as it is: the last to be named to an enquirer."""
    high = catalogue.high_drivers[one.high_id]
    return catalogue.technologies[high.technology].diaphragm == "beryllium" and not high.screen


# --- proposals and what they lack -----------------------------------------------------------------------------------


def _proposal(candidate: Candidate, one: Assessment, found: Picks, wish: Wish, blank: Answer) -> Proposal:
    case, bounds = one.case, one.found_range
    own = [caution for caution in one.cautions if caution.applies_to == case.high.id]
    held = "peak_level_db" in wish.typed and "peak_level_db" not in found.gave_way
    return Proposal(
        high_id=case.high.id,
        description=case.high.description or case.technology.id,
        technology=case.technology.id,
        guide_id=candidate.guide_id,
        rear=_rear(candidate),
        slope=candidate.slope,
        crossover_hz=one.crossover_hz or 0.0,
        low_hz=bounds.low_hz,
        high_hz=bounds.high_hz,
        binding=" and ".join(end.title.lower() for end in (bounds.low_binding, bounds.high_binding) if end),
        word=one.verdict.word,
        reason=_with_cells(one.verdict.reason, blank),
        caution=own[0] if own else None,
        price=price_of(candidate, wish.catalogue),
        of_the_kind_asked=case.technology.id in wish.kinds,
        assessment=one,
        wished_db=wish.use.peak_level_db if held else None,
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


# --- a no and its nearest yes ---------------------------------------------------------------------------------------


NEAREST = 3
"""Among so many candidates, those that miss least, the nearest yes is looked for."""


def _no(found: Picks, wish: Wish, about: Sequence[str] = ()) -> tuple[str, str]:
    """Why nothing would do, unless `about` says it already, and the nearest yes: for the candidate that misses least and can be helped."""
    if not found.judged:
        return (found.found[0].takes if found.found else "The catalogue holds no high driver that can be used."), ""
    known = dict(found.judged)
    near = sorted(found.found, key=lambda one: (one not in known, one.rank))[: NEAREST * NEAREST]
    near = sorted(near, key=lambda one: (max(0.0, -(one.octaves or 0.0)), _fails(known.get(one))))[:NEAREST]
    nearest = [known.get(one) or assess(wish.catalogue.case(one.pairing(found.use)), drawn=False) for one in near]
    ways = [(one, way) for one in nearest for way in find_remedies(one, wish.catalogue)[0] if way.word in YES]
    ways.sort(key=lambda way: _another_woofer(*way))  # the enquirer has one already
    best = ways[0][0] if ways else nearest[0]
    nearest_id, why = best.case.high.id, _plainly(best)
    told = any(text.startswith(f"{nearest_id} would not do. {_plainly(best, capital=True)}") for text in about)
    with_it = f"{nearest_id} comes nearest" if told else f"with {nearest_id}, which comes nearest, {why}"
    reason = f"None of our high drivers would do as asked; {with_it}."
    return reason, _remedy_words(ways[0][1], ways[0][0]) + _over_budget(ways[0][0], wish) if ways else ""


def _fails(one: Assessment | None) -> float:
    """How many checks fail; more than any of what is not assessed, or cannot be for want of our own figures."""
    return math.inf if one is None or lacks_ours(one) else sum(check.outcome == "fail" for check in one.checks)


def _another_woofer(one: Assessment, remedy: Remedy) -> bool:
    return any(change.endswith(f" in place of {one.case.low.id}") for change in remedy.changes)


def _over_budget(one: Assessment, wish: Wish) -> str:
    """What the high driver of a nearest yes costs, where that is more than was to be spent."""
    price = one.case.high.price
    if wish.budget is None or price is None or price <= wish.budget:
        return ""
    return f" It costs {with_currency(price, wish.catalogue.maker.currency)}."


def _remedy_words(remedy: Remedy, nearest: Assessment) -> str:
    """A way out without the figures of its search."""
    at = f", crossed over at {remedy.crossover_hz:.0f} Hz" if remedy.crossover_hz else ""
    low = nearest.case.low
    changes = " and ".join(remedy.changes)
    return f"{nearest.case.high.id} with {changes if low.origin.row else changes.replace(low.id, 'your woofer')}{at}."
