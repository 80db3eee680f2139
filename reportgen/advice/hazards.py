"""Dangers that an enquirer's own words speak of, and what is said to them before anything else.

Knows words of harm that is done, of implants, of the mains, of what burns, of a missing crossover or horn, of old capacitors, of lasers, of water, of what hangs, and of a broken diaphragm that is toxic. Refuses to advise beyond: whoever is licensed is named.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from reportgen.suitability.cautions import PLACES, first_sentence

_IMPLANT = re.compile(r"\b(?:pace[- ]?makers?|defibrillators?|heart implants?|implants?|icds?)\b", re.IGNORECASE)
_MAINS = re.compile(
    r"\b(?:(?<!studio )mains(?! monitors?)|wall sockets?|sockets?|power outlets?|(?:110|115|120|220|230|240)\s?(?:v|volts?)(?! ?dc)|[2-9]\d\d\s?v(?:olts?)?|high voltage|plate amp\w*|(?:built[- ]in|internal) amp\w*|(?:amp\w*|modules?) (?:(?:is|sits|goes|stands|built) )?(?:in|into|inside) (?:the|my|our|a|each|both|one) (?:back of (?:the|my|our|a|each) )?(?:box(?:es)?|cabinets?|enclosures?|speakers?))\b",
    re.IGNORECASE,
)
_BROKEN = re.compile(
    r"\b(?:broke\w*|break(?:s|ing)?(?![- ]?up)|dropped|fell|dust|crack\w*|dent\w*|splinter\w*|shatter\w*|torn|clean\w*|vacuum\w*|powder|poison\w*|toxic|damaged"
    r"|smash\w*|crush\w*|pok(?:ed?|ing)|pierc\w*|hole in|hoover\w*|punctur\w*|glu(?:e|ed|ing)|scratch\w*|chew\w*|bit(?:es?|ten)|(?:in|to) (?:tiny |small |little )?(?:bits|pieces)|ripp(?:ed|ing)|tore|tear(?:s|ing)?|burst|split\w*|snapp\w*|flak\w*|shards?|fragments?|sand(?:ed|ing)|sweep\w*|swept|inhal\w*|breath\w*)\b",
    re.IGNORECASE,
)
_HANGING = re.compile(
    r"\b(?:hang|hangs|hanging|hung|suspended|overhead|(?:ceiling|wall)[- ]?(?:mount|bracket)\w*|ceiling speakers?|(?:above|over) (?:the|an?|my|our|his|her|their) (?:doors?|beds?|cots?|cribs?|sofa|couch|tables?|desks?|bar|counter|heads?|seats?)|(?:from|on|off|in|to|at|under|below) the (?:ceiling|rafters?|beams?|truss))\b",
    re.IGNORECASE,
)
_WATER = re.compile(
    r"\b(?:bath(?:room|tub|s)?|shower|sauna|(?:swimming )?pool(?:side)?|rain\w*|splash\w*|steam\w*|damp(?:ness)?(?! (?:it|the|my|its|with|by|them)\b)|humid\w*|moisture|wet|condensation|mou?ldy?|mildew)\b",
    re.IGNORECASE,
)
_BARE = re.compile(
    r"\bwithout (?:an? |any |the |its )?(?:cross-?overs?|filters?|networks?|capacitors?)\b|\b(?:straight|directly) (?:to|on|onto|into|from|off) (?:the |my |an? )?(?:second |other )?amp",
    re.IGNORECASE,
)
_HORNLESS = re.compile(r"\bwithout (?:an? |any |the |its |my )?(?:horns?|wave-?guides?)\b", re.IGNORECASE)
_HURT = re.compile(
    r"\b(?:swallow\w*|(?:dog|cat|puppy|child|kid|toddler|baby|son|daughter|he|she)\s+(?:ate|has eaten)|ingested|chok(?:ed|ing)|electrocut\w*|electric(?:al)? shock|(?:got|had|gave \w+) a shock|unconscious|bleed(?:s|ing))\b",
    re.IGNORECASE,
)
_HOT = re.compile(
    r"\b(?:smell(?:s|ed|ing)? (?:of )?(?:burn\w*|smoke|hot)|(?:is|was|are|were|starts?|started) (?:smoking|burning)|burnt|(?:caught|on) fire|(?:gets?|got|getting|runs?) (?:very |too |so )?hot"
    r"|burned (?:my|his|her|their)|smoke (?:came|comes|from|out))\b",
    re.IGNORECASE,
)
_LASER = re.compile(
    r"\blasers?\b(?! (?:cut\w*|engrav\w*|print\w*|level\w*|measur\w*|rangefinder|distance))", re.IGNORECASE
)
_LEAKING = re.compile(
    r"\b(?:cap(?:acitor)?s?|electrolytics?)\b[^.;!?]{0,60}\b(?:bulg\w*|leak\w*|swollen|swell\w*|burst|ooz\w*|corroded|crack\w*|open(?:ed)? up)\b"
    r"|\b(?:bulg\w*|leak\w*|swollen|burst|ooz\w*|corroded) (?:old )?(?:cap(?:acitor)?s?|electrolytics?)\b"
    r"|\b(?:oil(?:[- ](?:filled|paper|and paper|paper))*|pio|askarel|pcb[- ]filled|old[- ]stock|nos) (?:\w+ )?(?:cap(?:acitor)?s?|electrolytics?)\b"
    r"|\bold(?:er)? (?:cap(?:acitor)?s?|electrolytics?)\b",
    re.IGNORECASE,
)
HURT = (
    "Careful. Whoever swallowed a magnet or another part, had an electric shock or is badly hurt needs a doctor at once, even where"
    " nothing is felt: call the emergency number."
)
HOT = (
    "Careful. What smells burnt, smokes or is too hot to touch stays switched off and unplugged until somebody who knows has found"
    " the cause."
)
"""First aid and what a smoking apparatus asks for: the usual cautions (common practice, no source)."""
IMPLANT = (
    "Careful. Every one of these drivers holds a strong magnet: with a heart implant, ask your doctor and the maker of the implant"
    " before you handle one."
)
MAINS = (
    "Careful. Never connect a loudspeaker or its crossover to the mains. An amplifier stays dangerous inside when it is unplugged:"
    " leave that to a licensed person."
)
BERYLLIUM = (
    "Careful. Beryllium is toxic as dust or splinters. Broken or scratched: use it no more, keep out, keep others out, and ask the maker or"
    " the local authority before anybody cleans; nobody vacuums. Whoever may have breathed dust asks a doctor."
)

LASER = "Careful. A laser over people blinds at once: its paths are for whoever is licensed for them, and no matter of loudspeakers."
LEAKING = (
    "Careful. A capacitor that bulges or leaks is put out of use, touched with gloves only and discharged first; an old oil-filled one"
    " may hold PCB, which local codes have taken away as dangerous waste. Measure an old one or put a new one in its place."
)
"""What old capacitors and lasers ask for: the usual cautions (common practice, no source); PCB: Stockholm Convention, annex A."""
BARE = "Careful. Never connect a high driver without its crossover: the bass of the amplifier burns or tears it."


def hornless(question: str) -> bool:
    """Whether a driver is spoken of without its horn; of a compression driver that is no wish for another kind.

    >>> hornless("I run it without the horn"), hornless("with a horn")
    (True, False)
    """
    return _HORNLESS.search(question) is not None


def unanswered(questions: Sequence[str], dangers: Sequence[str]) -> tuple[str, ...]:
    """Those of the questions that none of the dangers told of answers.

    >>> unanswered(("Is it toxic?", "What shall I do?", "Do you ship?"), (BERYLLIUM,))
    ('Do you ship?',)
    """

    def answered(one: str) -> bool:
        of_dust = BERYLLIUM in dangers and (_ASKS_OF_DUST.search(one) or _WHAT_NOW.match(one))
        return bool(of_dust or (BARE in dangers and _BARE.search(one)))

    return tuple(one for one in questions if not answered(one))


_ASKS_OF_DUST = re.compile(
    r"\b(?:poison\w*|toxic|danger\w*|harm\w*|safe|vacuum\w*|hoover\w*|clean\w*|sweep|breath\w*|dust)\b", re.IGNORECASE
)
_WHAT_NOW = re.compile(r"\W*(?:and |so )?what (?:shall|should|must|can|do) (?:i|we) do(?: now)?\W*$", re.IGNORECASE)


def _careful(text: str) -> str:
    return f"Careful. {first_sentence(text)}" if text else ""


HANGING, WATER = _careful(PLACES["public"][1]), _careful(PLACES["outdoors"][1])


def hazards_said(
    question: str, beryllium: bool, places: Sequence[str] = (), handling: Sequence[str] = ()
) -> Iterator[str]:
    """What the words of a question call for, and the cautions of its place; `beryllium`: they name a driver whose diaphragm is of it.

    `handling` is how the delicate drivers that they name want to be handled.

    >>> [one[:38] for one in hazards_said("I have a pacemaker", False)]
    ['Careful. Every one of these drivers ho']
    >>> list(hazards_said("I dropped it on the rug", False)), len(list(hazards_said("I dropped it", True)))
    ([], 1)
    """
    if _HURT.search(question):
        yield HURT
    if (beryllium or re.search(r"\bbery?ll?ium\b", question, re.IGNORECASE)) and _BROKEN.search(question):
        yield BERYLLIUM
    elif _BROKEN.search(question):
        yield from map(_careful, handling)
    for words, told in (
        (_IMPLANT, IMPLANT),
        (_MAINS, MAINS),
        (_HOT, HOT),
        (_BARE, BARE),
        (_LEAKING, LEAKING),
        (_LASER, LASER),
    ):
        if words.search(question):
            yield told
    around = (
        WATER if _WATER.search(question) else "",
        HANGING if _HANGING.search(question) else "",
        *map(_careful, places),
    )
    yield from dict.fromkeys(filter(None, around))
