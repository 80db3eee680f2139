"""An answer in the enquirer's words: sentences for the page, and a mail of at most 150 words.

Knows how limits, conditions and gaps are said to somebody without the workbook: no cells, no IDs of checks. Refuses
to choose drivers.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence

from reportgen.advice.enquiries import Answer, Proposal
from reportgen.advice.said import LENGTH
from reportgen.advice.unread import clauses
from reportgen.catalogue.currencies import with_currency
from reportgen.catalogue.records import Case, LowDriver
from reportgen.problems import one_line
from reportgen.suitability.cautions import EIGHT_HOURS_DB, at_the_seat, first_sentence
from reportgen.suitability.checks import Check
from reportgen.suitability.limits import Limit, words_of

MOST_WORDS = 150

MARGINALS: Mapping[str, str] = {
    "level": "{size:.1f} dB too soft for your woofer",
    "directivity step": "off to the side the tone changes around the crossover",
    "seated window": "the top of the treble is weak at a seated ear",
    "standing window": "made to be heard sitting",
    "height window": "a little higher or lower than the seat its treble has holes",
    "tilt": "the treble fades towards the edge of the height it covers",
    "evenness": "around the crossover the response is not quite even",
    "slope sum": "around the crossover its slope is not even by itself",
    "reversed null": "the two drivers do not quite add in step",
    "good builds": "parts of close tolerance are needed",
    "peak level": "{size:.0f} of the {limit:.0f} dB you wish for are reached",
    "back": "the sealed back changes the sound of an open baffle at the crossover",
    "reach": "a grille is needed against children's hands",
    "diaphragm resonance": "the hard diaphragm rings within hearing",
    "stock": "out of stock just now",
    "side window": "off to the side the top of the treble is weak",
    "balance": "bass and treble are not quite in balance",
    "thirds": "the response is not quite even",
    "slopes": "a driver plays further beyond the crossover than its slope says",
    "lobe": "around the crossover it is loudest above or below the ear",
    "impedance minimum": "the amplifier must bear a low impedance",
    "heat": "near the power rating",
    "low_heat": "a stronger amplifier would overheat your woofer",
    "frames fit": "the frames all but touch",
}
"""What a marginal check means to the enquirer, by its id; `size` is the size of its value, `limit` what it is held to."""

KEPT: Mapping[str, str] = {
    "back": "a tight, damped chamber of its own is a must, or the woofer's pressure tears it",
    "screen": "the screen stays on for good",
}
"""What the builder must keep to although the check passes, by its id."""

OF_THE_WOOFER: Mapping[str, str] = {
    "sd": "cone area (Sd)",
    "fs": "resonance (Fs)",
    "re": "DC resistance (Re)",
    "le": "inductance (Le)",
    "qms": "mechanical Q (Qms)",
    "qes": "electrical Q (Qes)",
    "sensitivity": "sensitivity",
    "cone break-up": "break-up frequency (the first sharp peak near the top of its response)",
}
"""Figures that only the enquirer can tell of a woofer that is not ours, by column, and how they are asked for."""

ASKED_BY_FIELD: Mapping[str, str] = {
    "diaphragm_area_m2": OF_THE_WOOFER["sd"], "breakup_hz": OF_THE_WOOFER["cone break-up"],
    "sensitivity_db": OF_THE_WOOFER["sensitivity"], "re_ohm": OF_THE_WOOFER["re"],
}  # fmt: skip
"""The same by the field of a low driver."""

FAMILIES = {"LR": "Linkwitz-Riley", "BW": "Butterworth", "BE": "Bessel"}

_REFUSED = " would not do: "
"""What stands between a wish and why it would not do."""
WOULD_NOT = " would not do. "
"""What stands between a driver that was asked about and what is in its way."""
PLAIN_WORDS = "we count on "
"""How the wish begins that only repeats the enquirer's words."""
UNDERSTOOD = ("we take ", PLAIN_WORDS)
"""How what was made of the enquirer's words begins; the other wishes say what would not do."""

PROVISIONAL = "provisional until"
ASKED = f"{PROVISIONAL} you tell us"

_EXACT_HZ = re.compile(r"(?<![\d.,“])(\d{4,}(?:\.\d+)?) Hz")
_CELL = re.compile(r" \((?:[^()]*![A-Z]+\d+|[^()]*column “[^”]*”)\)")


def without_cells(text: str) -> str:
    """`text` without the places in the workbook, which mean nothing to the enquirer.

    >>> without_cells("Known cone break-up of E-02 (Enquiries!M3) missing.")
    'Known cone break-up of E-02 missing.'
    """
    return _CELL.sub("", text)


def hz_words(hz: float) -> str:
    """A frequency in three digits: no builder sets it closer.

    >>> hz_words(2111.4), hz_words(11250.0)
    ('2110 Hz', '11200 Hz')
    """
    return f"{float(f'{hz:.3g}'):.0f} Hz"


def slope_words(slope: str) -> str:
    """A slope in full.

    >>> slope_words("LR4"), slope_words("BE3")
    ('Linkwitz-Riley, 4th order (24 dB per octave)', 'Bessel, 3rd order (18 dB per octave)')
    """
    order = int(slope[2:])
    name = FAMILIES[slope[:2]]
    return f"{name}, {order}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(order, 'th') } order ({6 * order} dB per octave)"


# --- what both the page and the mail say ----------------------------------------------------------------------------


def outcome(answer: Answer) -> str:
    """What was found, in one sentence; what is out of reach comes first."""
    count, sure = len(answer.proposals), any(one.word != "undecided" for one in answer.proposals)
    would = "would" if sure and not answer.decisive else "would probably"
    first = f"{answer.shortfall}. " if answer.shortfall else ""
    if count > 1:
        several = ("Two", "Three", "Four")[min(count, 4) - 2]
        return f"{first}{several} of our high drivers {would} do; the first one suits best."
    if count:
        return f"{first}One of our high drivers {would} do: {answer.proposals[0].high_id}."
    if answer.nearest_yes or answer.low is not None or not answer.unread.asked:
        return without_cells(answer.cannot)
    return "We cannot name a high driver yet."


def subject(answer: Answer) -> str:
    """What the answer is for."""
    low, several = answer.low, answer.enquiry.low_count
    if low is None:
        return "your loudspeaker"
    told = f"{low.diaphragm_area_m2 * 1e4:.0f} cm² " if answer.enquiry.given_area_m2 else ""
    size = f"{answer.size_words} " if answer.size_words else told
    name = low.id if answer.enquiry.low_id else f"{size}woofer{'s' if several > 1 else ''}"
    if several > 1:
        name = f"{COUNTS.get(several, str(several))} {name}"
    cabinet = f" in cabinet {answer.enquiry.cabinet_id}" if answer.enquiry.cabinet_id else ""
    return f"your {name}{cabinet}"


COUNTS = {1: "one", 2: "two", 3: "three", 4: "four"}


def asked_words(answer: Answer, told: Sequence[Proposal]) -> str:
    """What became of the drivers that were asked about, by name or by kind; of those that would do, the ones that are told."""
    if not answer.named:
        return kinds_words(answer, told)
    would = [one.high_id for one in answer.proposals if one.high_id in answer.named]
    otherwise = any(WOULD_NOT.strip(". ") in text for text in answer.wishes)
    as_told = ", crossed over as below" if answer.unread.questions or otherwise else ""
    good = [f"{_listed(would)} would do{as_told}"] if would else []
    alike: dict[str, list[str]] = {}
    for text in answer.about:
        high_id, _, rest = text.partition(" would ")
        alike.setdefault(f" would {rest}", []).append(high_id)
    about = sorted(alike.items(), key=lambda one: one[0].startswith(WOULD_NOT))
    return " ".join(sentence(text) for text in (*good, *(f"{_listed(ids)}{rest}" for rest, ids in about)))


def kinds_words(answer: Answer, told: Sequence[Proposal]) -> str:
    """What became of the wish for a kind of driver, of those proposals that are told."""
    if not answer.kinds:
        return ""
    asked = f"You asked for a {_kinds(answer.kinds)}"
    mine = [one.high_id for one in told if one.of_the_kind_asked]
    if not mine and (untold := next((one for one in answer.proposals if one.of_the_kind_asked), None)):
        price = f", for {with_currency(untold.price, answer.currency)} each" if untold.price is not None else ""
        return f"{asked}: {untold.high_id} would do as well{price}."
    if not mine:
        return f"{asked}, but {answer.why_not_kind}." if answer.why_not_kind else ""
    others = len(told) - len(mine)
    rest = f"; the other{' is' if others == 1 else 's are'} of another kind" if others else ""
    return f"{asked}: {_listed(mine)}{rest}."


def _kinds(names: Sequence[str]) -> str:
    """Kinds of driver; three and more of them that end in the same word by that word.

    >>> _kinds(("soft dome", "metal dome", "coated dome", "true ribbon")), _kinds(("true ribbon", "planar magnetic"))
    ('dome or true ribbon', 'true ribbon or planar magnetic')
    """
    last = [name.split()[-1] for name in names]
    return " or ".join(
        dict.fromkeys(word if last.count(word) > 2 else name for name, word in zip(names, last, strict=True))
    )


def conditions(one: Proposal) -> tuple[str, ...]:
    """What keeps a proposal from being plainly suitable, most important first, each as a short clause."""
    checks = one.assessment.checks
    gaps = [
        _gap_words(check, one.assessment.case.low)
        for check in checks
        if check.outcome == "not assessed" and check.essential
    ]
    near = sorted((check for check in checks if check.outcome == "marginal"), key=lambda check: check.margin or 0.0)
    kept = [KEPT.get(check.id, check.condition) for check in checks if check.condition and check.outcome == "pass"]
    return tuple(
        dict.fromkeys(text for text in (*gaps, *kept, *(_marginal_words(check, one) for check in near)) if text)
    )


def _gap_words(check: Check, low: LowDriver) -> str:
    """What only the enquirer can tell; a gap in our own data is no enquirer's business."""
    name, _, owner = without_cells(check.missing[0]).partition(" of ") if check.missing else ("", "", "")
    if owner == low.id and not low.origin.row:
        return f"{ASKED} your woofer's {_plain(OF_THE_WOOFER.get(name.casefold(), name))}"
    return ""


def _plain(name: str) -> str:
    return name.partition(" (")[0]


def _marginal_words(check: Check, one: Proposal) -> str:
    ours = check.id in ("data agree", "measured levels", "parts stock")  # for us to put right
    if ours or (check.id == "peak level" and one.wished_db is None):
        return ""
    if check.id in MARGINALS:
        return MARGINALS[check.id].format(size=abs(check.value or 0.0), limit=check.limit or 0.0)
    if check.margin_unit == "octave":
        return "there is little room around the crossover"
    return without_cells(check.text.partition(". ")[0]).rstrip(".")


def wanted(answer: Answer) -> tuple[str, ...]:
    """What only the enquirer can tell: figures of a woofer that is not ours, then of the baffle; after a plain no, what ends its range."""
    if not answer.proposals:
        return tuple(f"your woofer's {name}" for name in _not_known(answer))
    names = [text.removeprefix("Known ") for text in answer.missing if text.startswith("Known ")]
    fields = dict.fromkeys(without_cells(name).rpartition(" of ")[0].casefold() for name in names)
    sizes = [name.removeprefix("baffle ") for name in fields if name.startswith("baffle ")]
    woofer = [f"your woofer's {OF_THE_WOOFER[name]}" for name in fields if name in OF_THE_WOOFER]
    return (*woofer, *((f"the {_listed(sizes)} of your baffle",) if sizes else ()))


def _asked(answer: Answer, details: int) -> str:
    """As `wanted`, for one sentence."""
    return asked_in_one(wanted(answer) if details > 3 else tuple(map(_plain, wanted(answer))))


def asked_in_one(texts: Sequence[str]) -> str:
    """What is wanted in one sentence: the woofer is named once."""
    return _listed([*texts[:1], *(text.removeprefix("your woofer's ") for text in texts[1:])])


def _not_known(answer: Answer) -> list[str]:
    """Of a woofer that is not ours: the two figures that end its range, where they are not known."""
    known = {"breakup_hz": answer.enquiry.given_breakup_hz, "diaphragm_area_m2": answer.enquiry.given_area_m2}
    ours = answer.low is None or answer.enquiry.low_id is not None
    return [] if ours else [_plain(ASKED_BY_FIELD[name]) for name, value in known.items() if value is None]


# --- the mail -------------------------------------------------------------------------------------------------------


LADDER = (
    *((3, 5), (3, 4), (3, 3), (3, 2), (2, 5), (2, 4), (2, 3), (2, 2)),
    *((3, 1), (2, 1), (3, 0), (2, 0), (3, -1), (2, -1), (3, -2), (2, -2)),
    *((1, 4), (1, 2), (1, 0), (1, -2), (1, -3)),
)
"""How many proposals with how many details are tried, until the words suffice."""


GOES_FIRST, WISHES, UNREAD, DECIDED, STAYS = range(5)
"""How long a paragraph stays where words run short: what is good to know, what was made of words, what was not read, what was decided; picks, dangers and what is out of reach stay."""
REST = "The enclosed page says the rest"
_NEXT_SENTENCE = re.compile(r"(?<!\n\d\.)(?<=\.) (?=[A-Z“])")

Parts = list[tuple[int, str]]


def reply(answer: Answer) -> str:
    """The answer as a mail of at most 150 words, more only for dangers; the least important goes first, and where the rest stands is said."""
    refused = any(_REFUSED in text for text in answer.wishes)
    for proposals, details in LADDER:
        if refused and proposals > 1 and details < -1:
            continue  # why what was asked for would not do goes before a second pick
        parts = list(_parts(answer, proposals, details))
        if _words(parts) <= MOST_WORDS:
            break
    text = "\n\n".join(text for _, text in _cut(parts)) + "\n"
    return _EXACT_HZ.sub(lambda hertz: hz_words(float(hertz[1])), text)


def _words(parts: Parts) -> int:
    return sum(len(text.split()) for _, text in parts)


def _cut(parts: Parts) -> Parts:
    """`parts` without their last sentences until the words suffice, the longest of the least important first; none is broken."""
    parts = [*parts]
    while _words(parts) > MOST_WORDS and (going := [one for one in parts if one[0] < STAYS]):
        rank, text = least = min(going, key=lambda one: (one[0], -len(one[1].split())))
        *head, _ = _NEXT_SENTENCE.split(text)
        at = parts.index(least)
        parts[at : at + 1] = [(rank, " ".join(head))] if head else []
    return parts


def _parts(answer: Answer, proposals: int, details: int) -> Iterator[tuple[int, str]]:
    """The paragraphs of the mail with so many proposals, and how long each stays.

    Details 5: everything, 4: no assumptions, 3: terms in short, 2: bare ranges, 1: to mind only what must be kept, 0: no ranges, -1: no level and no descriptions,
    -2: names and crossovers alone, -3: that a wish would not do and not why.
    """
    told = answer.proposals[:proposals]
    name = " ".join(["", *one_line(answer.enquiry.customer or "").split()])
    yield STAYS, f"Hello{name},\n\nthank you for your enquiry {answer.id}."
    yield from ((STAYS, text) for text in answer.hazards)
    if left := clauses(answer.unread):
        yield UNREAD, " ".join(left)
    for text in _first(answer, told, details):
        out_of_reach = answer.shortfall.startswith(text.rstrip("."))
        yield STAYS if out_of_reach else WISHES if text.lower().startswith(UNDERSTOOD) else DECIDED, text
    if told:
        yield STAYS, "\n".join([_intro(answer, told, details), *_lines(told, answer.currency, details)])
        if details >= 0 and (level := level_words(answer, told)):
            yield GOES_FIRST, sentence(level)
        if holes := hole_words(answer, told):
            yield DECIDED, sentence(holes)
        yield from ((STAYS if details < 2 else DECIDED, text) for text in _mind(told, details < 2))
        yield from ((STAYS, text) for text in _care(told) + safety(answer, told))
    else:
        yield DECIDED, outcome(answer)
        if answer.nearest_yes and details > 0:
            nearest = without_cells(answer.nearest_yes)
            yield DECIDED, f"What would work: {nearest if details > 1 else first_sentence(nearest)}"
    yield from _asks_for(answer, told, details)
    if answer.assumed and told and details > 4:
        yield GOES_FIRST, f"We assumed {'; '.join(answer.assumed)}."
    if more := len(answer.proposals) - len(told):
        yield STAYS, f"{REST} and names {COUNTS[more]} more."
    elif told or details < 2:
        yield STAYS, f"{REST}."
    yield STAYS, f"Kind regards\n{answer.from_name}".rstrip()


def _asks_for(answer: Answer, told: Sequence[Proposal], details: int) -> Iterator[tuple[int, str]]:
    """What the enquirer is asked to tell."""
    stays = GOES_FIRST if details < -1 else DECIDED  # a pick is called one for now
    if answer.decisive:
        names = [_plain(ASKED_BY_FIELD[field]) for field in answer.decisive]
        matter = "they matter" if len(names) > 1 else "it matters"
        yield stays, f"This is provisional. Please tell us your woofer's {_listed(names)}: {matter} most."
    elif told and (asked := _asked(answer, details)):
        yield stays, f"Please tell us {asked}; until then this is provisional."
    elif not answer.unread.asked:
        yield DECIDED, ASK_FOR
        for text in safety(answer, told):
            yield STAYS, text
    elif not told and (open_ := _not_known(answer)):
        yield DECIDED, f"Please tell us your woofer's {_listed(open_)}: with that we look again."


def _first(answer: Answer, told: Sequence[Proposal], details: int) -> list[str]:
    """What goes before any proposal: what is out of reach, what became of the wishes, and of the kind asked for."""
    asked = without_cells(asked_words(answer, told))
    if not told:
        return [text for text in (asked if answer.named else "", *map(sentence, answer.wishes)) if text]
    wishes = [answer.shortfall, *(text for text in answer.wishes if details > 2 or not text.startswith(PLAIN_WORDS))]
    firm, made = (
        [sentence(text) for text in wishes if text and text.startswith(UNDERSTOOD) is of] for of in (False, True)
    )
    if details < -1:  # what is out of reach, and not what ends it
        firm = [sentence(text.partition(", where ")[0]) for text in firm]
    if details < -2:  # that it would not do, and no more
        firm = [re.sub(f"{_REFUSED}.*", WOULD_NOT.rstrip(), text) for text in firm]
    alone = firm[:1] if answer.shortfall and details < -1 else []
    texts = [" ".join([*firm, *made]), asked] if details > 0 else [*alone, " ".join(firm[len(alone) :]), asked, *made]
    return [text for text in (reversed(texts) if answer.named else texts) if text]


def _intro(answer: Answer, told: Sequence[Proposal], details: int) -> str:
    wiring = f", wired in {told[0].assessment.case.pairing.low_wiring}" if answer.enquiry.low_count > 1 else ""
    if details < -1:
        return f"For {subject(answer)}{wiring}{', for now' if answer.decisive or wanted(answer) else ''}:"
    slopes = {one.slope for one in told}
    full, short = slope_words(told[0].slope), f"{told[0].slope}, {6 * int(told[0].slope[2:])} dB per octave"
    slope = f", crossed over as {full if details > 3 else short}" if len(slopes) == 1 else ""
    prices = [one.price for one in told if one.price is not None]
    order = "best" if not answer.cheapest_first else "cheapest" if prices == sorted(prices) else ""
    wiring = f"{wiring}," if wiring else ""
    return f"For {subject(answer)}{wiring} we suggest{f', {order} first' if order and len(told) > 1 else ''}{slope}:"


def _lines(told: Sequence[Proposal], currency: str, details: int) -> list[str]:
    mixed = len({one.slope for one in told}) > 1
    return [_line(number, one, currency, details, mixed) for number, one in enumerate(told, start=1)]


def _line(number: int, one: Proposal, currency: str, details: int, mixed: bool) -> str:
    price = f", {with_currency(one.price, currency)} each" if one.price is not None else ""
    if details < -1:
        return f"{_used(one)}{price}: {hz_words(one.crossover_hz)}, {one.slope}."
    slope = f", {slope_words(one.slope)}" if mixed else ""
    usable = f" {range_words(one, whys=details > 2)}." if details > 0 else ""
    return f"{number}. {_used(one, one.description if details >= 0 else '')}{price}: cross at {hz_words(one.crossover_hz)}{slope}.{usable}"


def _used(one: Proposal, description: str = "") -> str:
    """A high driver as it is to be used."""
    guide = f" in waveguide {one.guide_id}" if one.guide_id else ""
    return f"{one.high_id}{f' ({description})' if description else ''}{guide}{f', {one.rear}' if one.rear else ''}"


def range_words(one: Proposal, whys: bool = True) -> str:
    """The usable range and, if wanted, what ends it on either side."""
    found = one.assessment.found_range
    low, high = _end(one.low_hz, found.low_binding, whys), _end(one.high_hz, found.high_binding, whys)
    if low and high and (one.low_hz or 0.0) > (one.high_hz or 0.0):
        return "No room to either side"
    if low and high:
        return f"Usable {low if whys else low.removesuffix(' Hz')} to {high}"
    if low or high:
        return f"Usable {f'from {low} up' if low else f'up to {high}'}"
    return "Nothing bounds its range"


def _end(hz: float | None, limit: Limit | None, whys: bool) -> str:
    if hz is None or limit is None:
        return ""
    return f"{hz_words(hz)} ({words_of(limit.id)})" if whys else hz_words(hz)


def _mind(told: Sequence[Proposal], musts: bool) -> list[str]:
    """The foremost condition of each proposal, or only what must be kept; one that several share is said once."""
    found: dict[str, list[str]] = {}
    for one in told:
        texts = [text for text in conditions(one) if not text.startswith(ASKED)][:1]
        for text in [text for text in texts if not musts or text in KEPT.values()]:
            found.setdefault(text, []).append(one.high_id)
    return [f"Please note. {'; '.join(f'{_listed(ids)}: {text}' for text, ids in found.items())}."] if found else []


def _care(told: Sequence[Proposal]) -> list[str]:
    """The first sentence of each driver's caution, the same one once; no shortage of words takes it away."""
    cautions: dict[str, list[str]] = {}
    for one in told:
        if one.caution is not None:
            cautions.setdefault(first_sentence(one.caution.text), []).append(one.high_id)
    if len(told) == 1 and cautions:
        return [f"Careful. {next(iter(cautions))}"]
    return ["\n".join(f"Careful with {_listed(ids)}. {text}" for text, ids in cautions.items())] if cautions else []


def level_words(answer: Answer, told: Sequence[Proposal]) -> str:
    """What those that are told reach, where no level was asked for."""
    known = [math.floor(one.assessment.figures.highest_level_db) for one in told if one.assessment.figures]
    typed = set(answer.enquiry.typed)
    if "peak_level_db" in typed or not known:
        return ""
    use = told[0].assessment.case.pairing
    guesses = [name for name in ("amplifier_power_w", "distance_m") if name not in typed]
    power, far = (" (our figure)" if guesses == [name] else "" for name in ("amplifier_power_w", "distance_m"))
    far = " (our figures)" if len(guesses) == 2 else far
    least = "at least " if max(known) > min(known) else ""
    which = "each reaches" if len(known) > 1 else "it reaches"
    return f"with {use.amplifier_power_w:g} W{power} at {use.distance_m:g} m{far} {which} {least}{min(known)} dB"


_OF_A_HOLE = re.compile(
    rf"\b(?:cut-?outs?|holes?|openings?|recess\w*|face-?plates?|flanges?)\b[^.,;!?\n]{{0,40}}?{LENGTH}|{LENGTH}[^.,;!?\n]{{0,25}}?\b(?:cut-?outs?|holes?|openings?|recess\w*|face-?plates?|flanges?)\b",
    re.IGNORECASE,
)


def hole_words(answer: Answer, told: Sequence[Proposal]) -> str:
    """Faceplates and holes of those that are told, where the size of either is spoken of: to compare, for nothing else was worked out of them."""
    if not _OF_A_HOLE.search(answer.question):
        return ""
    sizes = dict.fromkeys(f"{_used(one)} {text}" for one in told if (text := _plate_words(one.assessment.case)))
    return f"to compare with yours: {'; '.join(sizes)}" if sizes else ""


def _plate_words(case: Case) -> str:
    """The faceplate of a driver, or of its guide, and the hole of a driver without one, as far as they are known."""
    plate, high = case.guide or case.high, case.high
    sides = {"has a faceplate of": (plate.faceplate_width_m, plate.faceplate_height_m)}
    if case.guide is None:
        sides["needs a hole of"] = (high.cutout_width_m, high.cutout_height_m)
    texts = (
        f"{what} {wide * 1e3:.0f}{'' if tall in (None, wide) else f' x {tall * 1e3:.0f}'} mm"
        for what, (wide, tall) in sides.items()
        if wide is not None
    )
    return " and ".join(texts)


CHILD = "With a child about: fix a grille over the drivers, fasten the stand, and keep small parts and loose magnets out of reach."
ASK_FOR = "If you look for a high driver, please tell us your woofer (its name, or its size and figures), its cabinet, and how far away you sit."
LAWS = "Local codes and licensed trades come first."


def safety(answer: Answer, told: Sequence[Proposal]) -> list[str]:
    """What loud sound and a child ask for, and that the law goes first wherever a caution stands."""
    loud = [f"Careful. {first_sentence(text)}" for text in (_loud(answer, told) if told else ())]
    lines = [*loud, *([CHILD] if answer.child else [])]
    if lines or answer.hazards or any(one.caution is not None for one in told):
        lines.append(LAWS)
    return [" ".join(lines)] if lines else []


def _loud(answer: Answer, told: Sequence[Proposal]) -> tuple[str, ...]:
    """What the level that was asked for does to ears, as the sheet has it, unless that was said first; where none was, the loudest that is told."""
    average = told[0].assessment.case.practice["programme average"]
    if "peak_level_db" in answer.enquiry.typed:
        wished_db = answer.enquiry.peak_level_db
        first = any(at_the_seat(wished_db, wished_db - average) in text for text in answer.hazards)
        return tuple(one.text for one in told[0].assessment.cautions if one.id == "hearing" and one.grave and not first)
    reached = [one.assessment.figures.highest_level_db for one in told if one.assessment.figures]
    if not reached:
        return ()
    peak_db = math.floor(max(reached))
    return (at_the_seat(peak_db, peak_db - average),) if peak_db - average >= EIGHT_HOURS_DB else ()


def _listed(texts: Sequence[str]) -> str:
    """Names in a row, the last one after `and`."""
    return f"{', '.join(texts[:-1])} and {texts[-1]}" if len(texts) > 1 else "".join(texts)


def sentence(text: str) -> str:
    """A clause as a sentence.

    >>> sentence("nothing within 50 would do")
    'Nothing within 50 would do.'
    """
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."
