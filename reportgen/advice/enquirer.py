"""The enquirer's side of an enquiry: a question becomes a place, a listener and a wish, with a woofer and a cabinet.

Knows how known figures and words make a driver, and what was taken for granted on the way. Refuses to choose a high driver.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, replace
from typing import Any

from reportgen.advice import guesses
from reportgen.advice.bounds import bounds_said
from reportgen.advice.figures import baffle_said, count_said, figures_said
from reportgen.advice.said import DRIVER, HIGH, LOW, coaxial, denied, ends_by, lying, named, places, said
from reportgen.catalogue.columns import equal_rows
from reportgen.catalogue.records import Application, Cabinet, Catalogue, Enquiry, LowDriver, Origin, Pairing, Technology
from reportgen.crossover.networks import Wiring, wired
from reportgen.pairing.as_used import IN_THE_MIDDLE, SIDEWAYS
from reportgen.problems import CannotAssess

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
    "given_peak_travel_m": "peak_travel_m",
    "given_rated_power_w": "rated_power_w",
}
"""Field of an enquiry -> field of the low driver that it stands for."""
SELDOM_KNOWN = frozenset(("peak_travel_m", "rated_power_w"))
"""Figures that hardly any enquirer knows: without them the usual ones of the size, and nobody is asked for them."""
HARDLY = 4
"""With fewer figures known than this, all others are the usual ones of the size: a pick is better than none."""
GENERIC = frozenset(("driver", "true", "diaphragm", "magnetic", "soft", "open", "large"))
"""Words in the name of a kind that nobody uses to ask for it."""


def use_of(enquiry: Enquiry, catalogue: Catalogue) -> tuple[Pairing, Catalogue, tuple[str, ...]]:
    """The place, the listener and the wish as a pairing, whose high driver is still any.

    With it the catalogue widened by the enquirer's own driver and cabinet, and what was assumed for them.
    CannotAssess names the cells to fill.
    """
    low, assumed = low_of(enquiry, catalogue)
    cabinet, more = cabinet_of(enquiry, low, catalogue)
    theirs = replace(low, stock=enquiry.low_count * catalogue.practice.loudspeakers_a_kit)
    widened = replace(  # the enquirer has the woofers: our shelf need not hold them
        catalogue,
        low_drivers={**catalogue.low_drivers, low.id: theirs},
        cabinets={**catalogue.cabinets, cabinet.id: cabinet},
    )
    common = {field.name: getattr(enquiry, field.name) for field in fields(Application)}
    wiring = wiring_of(enquiry, low, catalogue)
    if "amplifier_power_w" not in enquiry.typed and low.rated_power_w is not None:
        most = max(1.0, round(AMPLIFIED * low.rated_power_w * enquiry.low_count))
        common["amplifier_power_w"] = min(enquiry.amplifier_power_w, most)
    use = Pairing(
        **common,
        low_id=low.id,
        low_count=enquiry.low_count,
        low_wiring=wiring,
        high_id=next(iter(catalogue.high_drivers), ""),
        cabinet_id=cabinet.id,
    )
    guessed = enquiry.low_count > 1 and wiring_said(enquiry) is None
    told = (f"the {enquiry.low_count} woofers wired in {wiring}",) if guessed else ()
    return use, widened, assumed + more + told


def wiring_of(enquiry: Enquiry, low: LowDriver, catalogue: Catalogue) -> str:
    """How several woofers of an enquirer are wired: as is said, else with the lowest load that amplifiers bear (by their resistances alone)."""
    if told := wiring_said(enquiry):
        return told[0]
    count, least = enquiry.low_count, catalogue.practice.least_load_ohm(enquiry.surroundings) * LOAD_SPARE
    ways: tuple[Wiring, ...] = ("parallel", "series-parallel") if equal_rows(count) else ("parallel",)
    borne = (way for way in ways if wired(low.re_ohm, count, way).impedance_ohm.real >= least)
    return next(borne, "series" if count > 1 else "parallel")


_WIRED = re.compile(
    r"(?: woofers?)?,? (?:(?:that|which) are )?(?:wired |connected |run )?in (?P<way>series|parallel)\b(?!\W*(?:or|and)\b)",
    re.IGNORECASE,
)


_WIRED_ANYWHERE = re.compile(
    r"\b(?:(?:wired|connected|run) (?:up )?(?:in )?|in |(?<=, )|(?<=\())(?P<way>series|parallel)\b(?!\W*(?:or|and)\b|[ -](?:\w+ )?(?:resist|cap|coil|induct|with|to)|[^.,;!\n]*\?)",
    re.IGNORECASE,
)
_WIRED_ANOTHER = re.compile(
    rf"\b(?:{HIGH}|resist\w*|cap(?:acitor)?s?|coils?|inductors?|amp\w*|networks?|filters?|cross-?overs?)\b[^.,;!?]{{0,25}}$|\b(?:or|and)\s+$"
    r"|(?:^|[.,;!?\n])\s*(?:and |or |but )?(?:can|could|shall|should|must|may|do|does|is|are|will|would)\b[^.;!?\n]*$",
    re.IGNORECASE,
)
"""Words of wiring elsewhere, unless they ask, and what else may be wired, before them."""


def wiring_said(enquiry: Enquiry) -> tuple[str, tuple[int, int]] | None:
    """How the words wire several woofers, first right behind the name of ours, and where they say so; None where they do not, or in both ways."""
    question = enquiry.question or ""
    if enquiry.low_count < 2:
        return None
    behind = (_WIRED.match(question, end) for _, end in (places(question, enquiry.low_id) if enquiry.low_id else ()))
    found = [one for one in behind if one] or [
        one
        for one in _WIRED_ANYWHERE.finditer(question)
        if not (_WIRED_ANOTHER.search(question[: one.start()]) or denied(question, one.start()))
    ]
    ways = {one["way"].casefold() for one in found}
    return (ways.pop(), found[0].span()) if len(ways) == 1 else None


AMPLIFIED = 2.0
"""An amplifier that nobody named is no stronger than so many times what the woofers are rated for (common practice, no source)."""
LOAD_SPARE = 0.85
"""The load of a woofer in its box falls no lower than its resistance; the network may take so much of it (common practice, no source)."""


def low_of(enquiry: Enquiry, catalogue: Catalogue) -> tuple[LowDriver, tuple[str, ...]]:
    """The low driver of the catalogue, or one made of the known figures, and what was assumed for it.

    CannotAssess names the cells to fill.
    """
    if enquiry.low_id is not None:
        if enquiry.low_id not in catalogue.low_drivers:
            raise CannotAssess(f"{enquiry.origin.place('low_id')}: {enquiry.low_id} cannot be used; see its own row")
        return catalogue.low_drivers[enquiry.low_id], ()
    known, _ = known_figures(enquiry)
    diameter = 2.0 * math.sqrt(known["diaphragm_area_m2"] / math.pi)
    frame = round(diameter * FRAME_TO_PISTON, 3)
    low = LowDriver(
        id=f"driver of {enquiry.id}", origin=Origin("Low drivers", 0), description="the enquirer's own driver",
        frame_width_m=frame, price=0.0, **known,
    )  # fmt: skip
    return low, (f"the woofer's frame is {frame * 1e3:.0f} mm across", *_usual_words(enquiry, low))


def _usual_words(enquiry: Enquiry, low: LowDriver) -> tuple[str, ...]:
    """What was taken for a woofer's power and travel where the enquirer does not say."""
    told = []
    if enquiry.given_rated_power_w is None:
        told.append(f"takes {low.rated_power_w:.0f} W")
    if enquiry.given_peak_travel_m is None:
        told.append(f"moves {(low.peak_travel_m or 0.0) * 1e3:.1f} mm either way")
    return (f"it {' and '.join(told)}, as is usual for its size",) if told else ()


def known_figures(enquiry: Enquiry) -> tuple[dict[str, Any], str]:
    """Figures of the enquirer's own woofer, with typical ones of its size where they are not known, and what was taken.

    Only what cannot be left open is filled in; inductance and break-up stay unknown where anything else is known.
    """
    known = {name: getattr(enquiry, given) for given, name in GIVEN.items() if getattr(enquiry, given) is not None}
    named, words = guesses.size_named(enquiry.question or "")
    size = ""
    if "diaphragm_area_m2" not in known:
        area = known["diaphragm_area_m2"] = named or guesses.USUAL_M2
        cone = f"a cone of {area * 1e4:.0f} cm²"
        size = f"“{words}” to mean {cone}" if named else f"your woofer to have {cone}, the commonest size,"
    usual = guesses.typical(known["diaphragm_area_m2"])
    wanted = [
        name
        for name in usual
        if name not in known and (name not in ("le_h", "breakup_hz") or len(known.keys() - SELDOM_KNOWN) < HARDLY)
    ]
    if any(name not in SELDOM_KNOWN for name in wanted):
        size = (
            f"{size} with the usual figures"
            if size
            else "the usual figures of your woofer's size where yours are not known"
        )
    return {**known, **{name: usual[name] for name in wanted}}, size.rstrip(",")


def cabinet_of(enquiry: Enquiry, low: LowDriver, catalogue: Catalogue) -> tuple[Cabinet, tuple[str, ...]]:
    """The cabinet of the catalogue, or one made of the known baffle, and what was assumed for it."""
    if enquiry.cabinet_id is not None:
        if enquiry.cabinet_id not in catalogue.cabinets:
            raise CannotAssess(
                f"{enquiry.origin.place('cabinet_id')}: {enquiry.cabinet_id} cannot be used; see its own row"
            )
        return catalogue.cabinets[enquiry.cabinet_id], ()
    frame = low.frame_width_m or 2.0 * math.sqrt(low.diaphragm_area_m2 / math.pi) * FRAME_TO_PISTON
    width, height = _front(enquiry, frame, catalogue)
    beside = enquiry.arrangement in SIDEWAYS
    middle = beside or enquiry.arrangement in IN_THE_MIDDLE
    kind, place = (
        "" if enquiry.given_cabinet_kind else "a closed cabinet, ",
        "in its middle" if middle else "near its top",
    )
    assumed = [f"{kind}the high driver {place} and at the ear's height if the stand allows it"]
    if enquiry.given_baffle_width_m is None or enquiry.given_baffle_height_m is None:
        assumed.append(f"a baffle of {width * 1e3:.0f} x {height * 1e3:.0f} mm")
    stand = max(0.0, enquiry.ear_height_m - (height / 2.0 if middle else height - frame / 2.0))
    offset = max(0.0, min(frame, width - _largest(catalogue)[0]) / 2.0) if beside else 0.0  # both within its edges
    cabinet = Cabinet(
        id=f"cabinet of {enquiry.id}", origin=Origin("Cabinets", 0), kind=enquiry.given_cabinet_kind or "closed",
        net_volume_m3=enquiry.given_net_volume_m3, baffle_width_m=width, baffle_height_m=height, stand_height_m=round(stand, 3),
        offset_m=round(offset, 3), high_from_top_m=round(height / 2.0, 3) if beside else None,
    )  # fmt: skip
    return cabinet, tuple(assumed)


def _front(enquiry: Enquiry, frame: float, catalogue: Catalogue) -> tuple[float, float]:
    """Width and height (m) of the front as they are known, else with room for woofers of this frame (m) and any usual high driver."""
    wide, tall = _largest(catalogue)
    asked = (catalogue.high_drivers[one] for one in named(enquiry.question or "", catalogue.high_drivers))
    tall = max(tall, *(one.faceplate_height_m or 0.0 for one in asked), 0.0)
    guides = (one.faceplate_width_m or one.mouth_width_m for one in catalogue.waveguides.values())
    horn = _asks_for_a_horn(enquiry.question or "", catalogue)
    widest = math.inf if horn else WIDEST_GUIDE * frame
    guide = max((one + GUIDE_SPARE_M for one in guides if one <= widest), default=0.0)
    room = max(wide * 1.2, guide)
    least = frame + room if enquiry.arrangement in SIDEWAYS else max(frame * 1.2, room)
    tallest = frame * (0.2 + enquiry.low_count) + max(frame, tall, guide if horn else 0.0)
    return enquiry.given_baffle_width_m or round(least, 3), enquiry.given_baffle_height_m or round(tallest, 3)


WIDEST_GUIDE, GUIDE_SPARE_M = 1.25, 0.02
"""It has room as well for every guide up to so many times as wide as the woofer's frame, with so much to spare, and for any where a horn is asked
for (common practice, no source)."""
LARGEST_M = (0.11, 0.3)
"""A baffle that is a guess has room for every high driver up to this width and height (common practice, no source)."""


def _asks_for_a_horn(question: str, catalogue: Catalogue) -> bool:
    kinds = {catalogue.high_drivers[one].technology for one in named(question, catalogue.high_drivers)}
    kinds |= {*asked_kinds(refused_kinds(question, catalogue.technologies)[0], catalogue.technologies)}
    return any(catalogue.technologies[kind].family == "compression" for kind in kinds)


def _largest(catalogue: Catalogue) -> tuple[float, float]:
    """Width and height (m) of the largest high drivers, but no more than a guess makes room for."""
    highs = catalogue.high_drivers.values()
    wide = max((one.faceplate_width_m or 0.0 for one in highs), default=0.0)
    tall = max((one.faceplate_height_m or one.faceplate_width_m or 0.0 for one in highs), default=0.0)
    return min(wide, LARGEST_M[0]), min(tall, LARGEST_M[1])


def unknown(enquiry: Enquiry) -> tuple[str, ...]:
    """Which further figures of the enquirer's own driver and baffle would say more, each with its cell."""
    wanted = () if enquiry.low_id else tuple(given for given, name in GIVEN.items() if name not in SELDOM_KNOWN)
    if not enquiry.cabinet_id:
        wanted += ("given_baffle_width_m", "given_baffle_height_m")
    return enquiry.missing(*wanted)


_OF_A_PART = re.compile(
    rf"\b(?!{HIGH}\b)[a-z]+ (?=(?:{LOW}|cones?|frames?|baskets?|grilles?|stands?|plates?|cabinets?|box(?:es)?|amp\w*)\b)"
)
"""What a woofer or another part is made of is no kind of high driver: a metal woofer."""


def asked_kinds(question: str, technologies: Mapping[str, Technology]) -> tuple[str, ...]:
    """Kinds of driver that the question names: by their whole name, else by a telling word of it, or by the family; of a family that is named in whole no other.

    >>> asked_kinds("Which tweeter should I take?", {})
    ()
    """
    spoken = re.findall(r"[a-z]+(?:['’]t)?", _OF_A_PART.sub(" ", question.casefold()))
    text = f" {' '.join(_spelled(spoken, technologies))} "
    words = {word.removesuffix("s") for word in text.split()} | set(text.split())
    whole = {
        name: kind.family
        for name, kind in technologies.items()
        if any(
            f" {one.casefold()} " in text or f" {one.casefold()}s " in text for one in (name, *(kind.synonyms or ()))
        )
    }
    return tuple(
        name
        for name, kind in technologies.items()
        if name in whole or (kind.family not in whole.values() and words & _telling(name, kind))
    )


_REFUSED = re.compile(
    r"\b(?:no|not|nor|neither|without|except|hate|avoid|(?:any|every)thing but|(?:don['’]?t|not|never) (?:want|like|need|use|(?:offer|suggest|propose|recommend|send|sell|give)(?: (?:me|us))?))$"
)
"""What refuses the very thing that follows."""
_EXCHANGED = re.compile(
    r"\b(?:(?:instead|in place) of|replac(?:e|es|ed|ing)(?:\s+(?:the|my|our|an?|old|broken|dead|blown|torn))*)$"
)
"""The same where a question asks for something else: can I replace the ribbon."""
_REFUSED_AFTER = re.compile(r"(?:is |are )?(?:excluded|not wanted|unwanted|ruled out|out of the question|no option)\b")
"""What refuses the very thing before it."""
_BETWEEN = frozenset(("a", "an", "any", "the", "more", "or", "your", "kind", "of"))
_IN_A_LIST = re.compile(
    r",(?!\s*(?:an?|the|but|i|rather)\b)(?=(?:\s*\w+(?:\s\w+)?\s*,)*(?:\s*\w+(?:\s\w+)?,?\s+|\s*)n?or\b)"
)
"""A comma of a list that ends with or: no ribbon, dome or horn."""


def refused_kinds(question: str, technologies: Mapping[str, Technology]) -> tuple[str, tuple[str, ...]]:
    """The question without the kinds of driver that its words refuse, and what they are called there.

    >>> refused_kinds("why not a ribbon?", {})
    ('why not a ribbon ?', ())
    """
    question = _IN_A_LIST.sub(" or ", question.casefold())
    names = " ".join(" ".join((name, kind.family, *(kind.synonyms or ()))) for name, kind in technologies.items())
    known = {one for word in names.casefold().split() for one in (word, word + "s")}
    words = _spelled(re.findall(r"[a-z'’]+|[^\sa-z]", question), technologies)
    for at, word in enumerate(words):
        start = at
        while start and words[start - 1].strip("~") in known | _BETWEEN:
            start -= 1
        after = " ".join(words[at + 1 : at + 5])
        if word in known and (_refuses(" ".join(words[:start])) or _REFUSED_AFTER.match(after)):
            words[at] = f"~{word}~"
    text = " ".join(words).replace("~ ~", " ")
    return re.sub("~[^~]*~", "", text), tuple(dict.fromkeys(re.findall("~([^~]*)~", text)))


_OR_ELSE = re.compile(
    r"\bif\b[^.;!?,]{0,40}?(?:n['’]?t|\bnot|\bno|\bcannot|\bimpossible)\b[^.;!?,]*,?[^.;!?]*|\b(?:otherwise|or else|failing (?:that|which))\b[^.;!?]*",
    re.IGNORECASE,
)


def first_wish(question: str) -> str:
    """A question without what is only wanted where its wish would not do.

    >>> first_wish("a ribbon? If that does not work, a dome"), first_wish("a dome if you have one")
    ('a ribbon? ', 'a dome if you have one')
    """
    return _OR_ELSE.sub("", question)


def refused_ids(question: str, ids: Iterable[str]) -> tuple[str, ...]:
    """The IDs that a question names and refuses where it names them last.

    >>> refused_ids("not HD-04 again, and why not HD-05?", ("HD-04", "HD-05", "HD-06"))
    ('HD-04',)
    >>> refused_ids("HD-04 is far too big, HD-05 unless it is too dear", ("HD-04", "HD-05", "HD-06"))
    ('HD-04',)
    """
    last = {one: at[-1] for one in ids if (at := places(question, one))}
    before = {one: _CALLED.sub("", question[:start].casefold()).rstrip() for one, (start, _) in last.items()}
    return tuple(one for one, (_, end) in last.items() if _refuses(before[one]) or _TOO_MUCH.match(question, end))


_TOO_MUCH = re.compile(
    r"(?:(?!\b(?:unless|if|in case|when|whether|or)\b)[^.;!?\d]){0,30}?\b(?:is|was|are|were)\s+(?:(?:far|much|a bit|a little|way|simply|just)\s+)?too\s+"
    r"(?:big|large|wide|tall|high|deep|heavy|dear|expensive|costly|pricey)\b",
    re.IGNORECASE,
)
"""What refuses the driver before it."""


_GUIDE = re.compile(r"\bwave-?guides?\b", re.IGNORECASE)


def refused_guides(question: str) -> tuple[str, ...]:
    """What a question calls the guides that it refuses.

    >>> refused_guides("a dome without any waveguide"), refused_guides("why not a waveguide?")
    (('waveguide',), ())
    """
    found = (
        one
        for one in _GUIDE.finditer(question)
        if _refuses(_CALLED.sub("", question[: one.start()].casefold()).rstrip())
    )
    return tuple(dict.fromkeys(one[0] for one in found))


def _refuses(before: str) -> bool:
    """Whether words refuse what follows them."""
    return ends_by(_REFUSED, before) or _EXCHANGED.search(before) is not None


_CALLED = re.compile(rf"(?:\b(?:an?|any|the|another|your|more|{DRIVER})\s*)+$", re.IGNORECASE)
"""An article, and what a driver is called, before its ID."""


LEAST_LETTERS, ALIKE, LONG = 5, 0.8, 8
"""A word of so many letters that is so much like one of a kind of driver means it: berylium, ribon; up to so many by one slip alone, or hours are horns (common practice, no source)."""


def _spelled(words: Sequence[str], technologies: Mapping[str, Technology]) -> list[str]:
    """The words, those that are nearly one of the names of a kind put right."""
    known = {
        part
        for name, kind in technologies.items()
        for one in (name, *(kind.synonyms or ()))
        for part in one.casefold().split()
    }
    known |= {one + "s" for one in known}
    long = [one for one in known if len(one) >= LEAST_LETTERS]
    found = []
    for word in words:
        near = (
            difflib.get_close_matches(word, long, 1, ALIKE) if len(word) >= LEAST_LETTERS and word not in known else ()
        )
        found.append(near[0] if near and near[0][0] == word[0] and _one_slip(word, near[0]) else word)
    return found


def _one_slip(word: str, meant: str) -> bool:
    """Whether one letter more, less, other or exchanged with the next makes one word the other; longer ones are not held to that."""
    at = next((n for n, (here, there) in enumerate(zip(word, meant, strict=False)) if here != there), 0)
    rest, wanted = word[at:], meant[at:]
    swapped = wanted[1:2] + wanted[:1] + wanted[2:]
    return len(word) >= LONG or rest in (wanted[1:], swapped) or rest[1:] in (wanted, wanted[1:])


def _telling(name: str, kind: Technology) -> set[str]:
    telling = {*name.casefold().split(), kind.family, *(("horn",) if kind.family == "compression" else ())}
    return telling - GENERIC


def as_understood(enquiry: Enquiry, catalogue: Catalogue) -> tuple[Enquiry, str, str, tuple[tuple[int, int], ...]]:
    """The enquiry with what its words say, where no cell says it; what they were taken to mean, those that are plain, and where all that was read stands.

    Our own woofer or cabinet that the words name counts as if it were typed; a woofer only where no figure of another is known.
    """
    question, taken, plain = enquiry.question or "", [], []
    enquiry, several = _of_ours(enquiry, catalogue)
    figures = figures_said(question) if enquiry.low_id is None else ()
    lies = lying(question)
    several_said = count_said(question, catalogue.low_drivers, lies is not None)
    bounds = bounds_said(question)
    of_woofers = [range(*one.at) for one in figures]
    within = range(*bounds.at) if bounds else range(0)
    read = (
        *(
            one
            for one in said(question, catalogue.maker.currency)
            if not any(one.at[0] in at for at in of_woofers)
            and not (one.field == "crossover_hz" and one.at[0] < within.stop and within.start < one.at[1])
        ),
        *several_said,
        *baffle_said(question, lies is not None),
        *figures,
    )
    for one in read:
        given, of_the_box = one.field.startswith("given_"), one.field in OF_THE_BOX
        known = getattr(enquiry, one.field) is not None if given else one.field in enquiry.typed
        if known or (of_the_box and enquiry.cabinet_id is not None):
            continue
        enquiry = replace(enquiry, **{one.field: one.value}, typed=(*enquiry.typed, one.field))
        if one.meaning:
            taken.append(f"“{one.words}” to mean {one.meaning}")
        elif not any(one.words in text for text in taken):
            plain.append(f"“{one.words}”")
    if enquiry.surroundings == "vehicle" and "distance_m" not in enquiry.typed:
        enquiry = replace(enquiry, distance_m=guesses.SEAT_M)
        seat = f"{guesses.SEAT_M:g} m away"
        said_so = bool(taken) and taken[0].endswith("a vehicle")
        taken = [f"{taken[0]}, the ear {seat}", *taken[1:]] if said_so else [f"the ear to be {seat}", *taken]
    at = [one.at for one in read]
    if bounds and "crossover_hz" not in enquiry.typed:
        taken.append(f"“{bounds.words}” to mean {bounds.meaning}")
        at.append(bounds.at)
    if lies and enquiry.arrangement in ON_ITS_SIDE:
        enquiry = turned(enquiry)
        taken.append(
            f"“{lies[0]}” to mean {ON_ITS_SIDE[enquiry.arrangement]}, judged for {math.degrees(enquiry.vertical_half_window_rad):.0f} degrees to either side"
        )
        at.append(lies.span())
    if words := coaxial(question):
        taken.append(f"“{words[0]}” to mean its cone alone, with our high driver over it and not within")
        at.append(words.span())
    return (
        enquiry,
        ", ".join([*taken, *several]),
        f"{', '.join(plain[:-1])} and {plain[-1]}" if len(plain) > 1 else "".join(plain),
        tuple(at),
    )


def of_quote(enquiry: Enquiry, mail: str, catalogue: Catalogue) -> tuple[Enquiry, str]:
    """The enquiry with the woofer and the cabinet of ours that its mail quotes, where its own words speak of none, and what was taken from there."""
    question = enquiry.question or ""
    known = enquiry.low_id or any(getattr(enquiry, given) for given in GIVEN) or guesses.size_named(question)[1]
    lows, boxes = (named(mail, ours) for ours in (catalogue.low_drivers, catalogue.cabinets))
    own = named(question, catalogue.low_drivers) or figures_said(question) or kit_of(enquiry, catalogue)
    if known or own or len(lows) != 1:
        return enquiry, ""
    boxed = enquiry.cabinet_id or enquiry.given_baffle_width_m or baffle_said(question) or len(boxes) != 1
    found = replace(enquiry, low_id=lows[0], cabinet_id=enquiry.cabinet_id if boxed else boxes[0])
    words = lows[0] if boxed else f"{lows[0]} in {boxes[0]}"
    return found, f"{words} to be yours, from what you quote"


def _of_ours(enquiry: Enquiry, catalogue: Catalogue) -> tuple[Enquiry, list[str]]:
    """The enquiry with the woofer, the cabinet or the kit of ours that its words name, and what was taken for what."""
    question, several = enquiry.question or "", []
    refused = refused_ids(question, catalogue.low_drivers)
    lows = [one for one in named(question, catalogue.low_drivers) if one not in refused]
    of_another = any(getattr(enquiry, given) for given in GIVEN)
    if enquiry.low_id is None and not of_another and lows:
        low_id = next((one for one in lows if _is_the_mid(question, one)), lows[0])
        enquiry = replace(enquiry, low_id=low_id, typed=(*enquiry.typed, "low_id"))
        others = " and ".join(one for one in lows if one != low_id)
        several = [f"{low_id} to be your woofer, and leave {others} aside"] if others else []
    boxes = named(question, catalogue.cabinets)
    if enquiry.cabinet_id is None and not enquiry.given_baffle_width_m and len(boxes) == 1:
        enquiry = replace(enquiry, cabinet_id=boxes[0], typed=(*enquiry.typed, "cabinet_id"))
    if kit := kit_of(enquiry, catalogue):
        box = enquiry.cabinet_id or (None if enquiry.given_baffle_width_m else kit.cabinet_id)
        enquiry = replace(enquiry, low_id=kit.low_id, cabinet_id=box, typed=(*enquiry.typed, "low_id", "cabinet_id"))
        for name in (one for one in ("low_count", "arrangement") if one not in enquiry.typed):
            enquiry = replace(enquiry, **{name: getattr(kit, name)}, typed=(*enquiry.typed, name))
        several = [f"your kit to be {kit.id}: {kit.low_id} and {kit.high_id} in {kit.cabinet_id}"]
    return enquiry, several


def kit_of(enquiry: Enquiry, catalogue: Catalogue) -> Pairing | None:
    """The one kit of ours that is asked about, by the ID of its pairing or by its name as it is written; None where a woofer is known, or several are named.

    An ID without a letter or without a figure may be anything.
    """
    question, kits = enquiry.question or "", catalogue.pairings
    if enquiry.low_id or any(getattr(enquiry, given) for given in GIVEN) or named(question, catalogue.low_drivers):
        return None
    if guesses.size_named(question)[1] or figures_said(question):
        return None
    found = {*named(question, (one for one in kits if re.search(r"[^\W\d]", one) and re.search(r"\d", one)))}
    names = {one.kit: id_ for id_, one in kits.items() if one.kit}
    longest = "|".join(map(re.escape, sorted(names, key=len, reverse=True))) or "(?!)"
    found |= {names[match[0]] for match in re.finditer(rf"(?<!\w)(?:{longest})(?!\w)", question)}
    return kits[found.pop()] if len(found) == 1 else None


ON_ITS_SIDE = {
    "high over low": "a cabinet on its side with its drivers beside each other",
    "low-high-low": "a cabinet on its side with a woofer on either side of the high driver",
}


def turned(enquiry: Enquiry) -> Enquiry:
    """The enquiry of a loudspeaker that lies on its side, as it is judged: upright, with its drivers; of several woofers half stand on either side.

    What the window was in height is then across, and as wide as the one to the sides.
    """
    across = max(enquiry.horizontal_half_window_rad, enquiry.vertical_half_window_rad)
    width, height = enquiry.given_baffle_width_m, enquiry.given_baffle_height_m
    if width is not None and (height is None or width > height):
        width, height = height, width
    return replace(
        enquiry, arrangement="high over low" if enquiry.low_count % 2 else "low-high-low", vertical_half_window_rad=across, given_baffle_width_m=width, given_baffle_height_m=height,
        typed=(*enquiry.typed, "arrangement", "vertical_half_window_rad"),
    )  # fmt: skip


OF_THE_BOX = ("given_cabinet_kind", "given_net_volume_m3", "given_baffle_width_m", "given_baffle_height_m")


def _is_the_mid(question: str, low_id: str) -> bool:
    """True of a woofer that is a midrange there: the high driver takes over from it."""
    return any(
        re.match(r"\W*(?:as|for|in)?\s*(?:the |a |my )?mid", question[end:], re.IGNORECASE)
        for _, end in places(question, low_id)
    )
