"""Answers to enquiries: the two or three high drivers that would do, why, and what is missing to say more.

Knows how a question becomes a use, and candidates become an answer. Refuses to judge and to word the mail.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace

from reportgen.advice.remedies import find_remedies, quick_word
from reportgen.advice.screening import Candidate, screen
from reportgen.assessment import Assessment, assess
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
OPTIONAL = ("given_le_h", "given_breakup_hz")
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


@dataclass(frozen=True)
class Answer:
    """The answer to one enquiry.

    `kinds` are the kinds of driver asked for and `about_kinds` what became of that wish. `assumed` and `missing`
    bound what can be said; `cannot` says why nothing can be, and `nearest_yes` what would make it work, where no
    proposal is left.
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
    kinds = asked_kinds(enquiry.question or "", catalogue.technologies)
    blank = Answer(enquiry, None, (), kinds, currency=catalogue.maker.currency, from_name=catalogue.maker.name)
    try:
        use, widened, assumed = use_of(enquiry, catalogue)
    except CannotAssess as reason:
        return replace(blank, cannot=str(reason), missing=_unknown(enquiry))
    low, cabinet = widened.low_drivers[use.low_id], widened.cabinets[use.cabinet_id]
    blank = replace(blank, low=low, cabinet=cabinet, assumed=assumed, missing=_unknown(enquiry))
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
    use = Pairing(**common, low_id=low.id, high_id=next(iter(catalogue.high_drivers), ""), cabinet_id=cabinet.id)
    return use, widened, assumed + more


def low_of(enquiry: Enquiry, catalogue: Catalogue) -> tuple[LowDriver, tuple[str, ...]]:
    """The low driver of the catalogue, or one made of the known figures, and what was assumed for it.

    CannotAssess names the cells to fill.
    """
    if enquiry.low_id is not None:
        if enquiry.low_id not in catalogue.low_drivers:
            raise CannotAssess(f"{enquiry.origin.place('low_id')}: {enquiry.low_id} cannot be used; see its own row")
        return catalogue.low_drivers[enquiry.low_id], ()
    missing = enquiry.missing(*(name for name in GIVEN if name not in OPTIONAL))
    if missing:
        raise CannotAssess(
            f"The low driver is not in the catalogue, and of its figures are missing: {'; '.join(missing)}"
        )
    known = {name: getattr(enquiry, given) for given, name in GIVEN.items()}
    diameter = 2.0 * math.sqrt(known["diaphragm_area_m2"] / math.pi)
    frame = round(diameter * FRAME_TO_PISTON, 3)
    low = LowDriver(
        id=f"driver of {enquiry.id}", origin=Origin("Low drivers", 0), description="the enquirer's own driver",
        frame_width_m=frame, price=0.0, stock=1, **known,
    )  # fmt: skip
    return low, (f"the low driver's frame is {frame * 1e3:.0f} mm across",)


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
    assumed = ["a closed cabinet, the high driver near its top and at the ear's height if the stand allows it"]
    if enquiry.given_baffle_width_m is None or enquiry.given_baffle_height_m is None:
        assumed.append(f"a baffle of {width * 1e3:.0f} x {height * 1e3:.0f} mm")
    stand = max(0.0, enquiry.ear_height_m - height + frame / 2.0)
    cabinet = Cabinet(
        id=f"cabinet of {enquiry.id}", origin=Origin("Cabinets", 0), kind="closed", baffle_width_m=width,
        baffle_height_m=height, stand_height_m=round(stand, 3),
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
    whole = tuple(name for name in technologies if f" {name.casefold()} " in text or f" {name.casefold()}s " in text)
    if whole:
        return whole
    return tuple(name for name, kind in technologies.items() if words & _telling(name, kind))


def _telling(name: str, kind: Technology) -> set[str]:
    telling = {*name.casefold().split(), kind.family, *(("horn",) if kind.family == "compression" else ())}
    return telling - GENERIC


# --- the candidates -------------------------------------------------------------------------------------------------


def _filled(blank: Answer, use: Pairing, catalogue: Catalogue) -> Answer:
    """The answer with its proposals, or with the reason and the nearest yes where there is none."""
    found = screen(catalogue, use, low_ids=[use.low_id], keep=None, keep_spacing=True).candidates
    kinds = set(blank.kinds)
    judged = _assessed(found, use, catalogue, kinds)
    good = [(candidate, one) for candidate, one in judged if one.verdict.word in BEST_FIRST]
    good.sort(
        key=lambda pair: (_kind(pair[0], catalogue) not in kinds, BEST_FIRST.index(pair[1].verdict.word), pair[0].rank)
    )
    if kinds and good:
        good = _with_an_outsider(good, kinds, catalogue)
    proposals = tuple(_proposal(candidate, one, kinds, blank) for candidate, one in good[:TOLD])
    filled = replace(
        blank,
        proposals=proposals,
        about_kinds=_about_kinds(blank.kinds, proposals, found, judged, catalogue),
        missing=(*blank.missing, *_gaps(proposals, blank)),
    )
    if proposals:
        return filled
    cannot, nearest_yes = _no(found, judged, catalogue)
    return replace(filled, cannot=cannot, nearest_yes=nearest_yes)


def _kind(candidate: Candidate, catalogue: Catalogue) -> str:
    return catalogue.high_drivers[candidate.high_id].technology


Judged = list[tuple[Candidate, Assessment]]


def _assessed(found: tuple[Candidate, ...], use: Pairing, catalogue: Catalogue, kinds: set[str]) -> Judged:
    """The most promising candidates, each assessed as a whole; those of the kinds asked for have their turn first."""
    asked_first = sorted(found, key=lambda candidate: _kind(candidate, catalogue) not in kinds)
    of_kind = sum(_kind(candidate, catalogue) in kinds for candidate in found)
    order = [*asked_first[: min(of_kind, TOLD)], *found]
    judged: Judged = []
    for candidate in dict.fromkeys(order):
        case = catalogue.case(candidate.pairing(use))
        if len(judged) >= ASSESSED or (candidate.word == "not suitable" and judged):
            continue
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
        for nowhere, cell in zip(blank.low.missing(name), blank.enquiry.missing(given), strict=True):
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
    remedies, note = find_remedies(nearest, catalogue)
    reason = (
        f"None of our high drivers would do as asked; {nearest.case.high.id} comes nearest: {nearest.verdict.reason}"
    )
    return reason, remedies[0].text if remedies else note
