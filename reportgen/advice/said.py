"""What an enquirer's words say of place, seat, loudness and box, and which of our drivers and cabinets they name.

Knows a number by the words beside it, in plain and in poor spelling. Refuses to read what could mean two things: that is
left to the cells, which always go first.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from reportgen.catalogue.cells import FEET, feet_typed, unit_named
from reportgen.catalogue.columns import UNITS

HIGH = r"(?:(?:super)?tw\w{0,2}t\w?ers?|treble|(?:high|hf|top)[- ](?:frequency )?(?:drivers?|units?|ends?)|ribbons?|domes?|horns?|compression drivers?|planars?|AMTs?|beryllium)"
LOW = r"(?:(?:sub)?woo?fers?|bass|mid\w*|low drivers?)"
DRIVER = rf"(?:{HIGH}|{LOW}|(?:loud)?speakers?|drivers?|full[- ]range)"
"""What people call high drivers, low drivers, and any of them."""
COUNTS = {
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "ten": 10,
    "twelve": 12,
    "fifteen": 15,
}
_NUMBER = r"(\d+(?:[.,]\d+)?)"
FRACTION = r"(?:\d{1,3}(?:\s?[½¼¾⅛⅜⅝⅞]|[ -]\d/\d{1,2}(?!\d)|[.,]\d+)?|\d/\d{1,2}(?!\d))"
"""A number of inches as rulers have it."""
_BESIDE_IN = rf"(?:wide|high|tall|deep|thick|away|by|x|and|rms|{DRIVER})\b"
INCH = rf"(?:inch(?:es)?\b|in\b\.?(?!\s+(?!{_BESIDE_IN})[a-z])|[\"″”]|''|’’)"
"""A bare “in” is a unit where no other word follows than those that sizes go with."""
LENGTH = rf"(?<![\d.,/])(?:{FRACTION}\s*{FEET}(?!\w)(?:[\s-]*{FRACTION}\s*{INCH})?|{FRACTION}\s*{INCH}|\d+(?:[.,]\d+|\s?[½¼¾])?\s*(?:[cm]?m|met(?:re|er)s?|mts?)\b)"
_PART = r"(?:(?:doors?|panels?|shelf|boot|trunk|roof|cab|front|back|rear|corner)\s+of\s+(?:[\w'-]+\s+){1,2}?)?"
_LED = (
    rf"(?:\b(?:in|into|inside|for|on|at|by)\s+(?:[\w'-]+\s+){{0,3}}?{_PART}"
    r"|\bmy\s+(?:[\w'-]+\s+)?(?=[\w'-]+ (?:has|have) (?:an?|the|two|four|[a-z]+-?\d))|(?=\boutdoor|\bpoolside)|(?<!\bfrom )(?<!\bfrom a )(?<!\bfrom my )(?<!\bfrom the )(?=\bcar (?:doors?|audio|stereo|speakers?)\b))"
)
"""A place counts where the words lead to it: a garden shed, a van in a name and a church in an address do not."""
_OWNED = r"(?:\b(?:i|we) (?:run|manage) (?:an?|the|our) (?:\w+ )?|\b(?:my|our) (?:\w+ )?(?=[\w'-]+(?: hall)? (?:wants?|needs?) (?:[\w-]+ ){0,2}?(?:loud)?speakers?\b))"
"""A place that is the enquirer's own to run, or that wants loudspeakers."""
_NOT = re.compile(r"(?:\b(?:not|never|no|nor|without)|n['’]t)\b(?:(?!\bbut\b)[^.;:!?]){0,25}$", re.IGNORECASE)
_PLACES = {
    "vehicle": r"vans?|cars?|campers?|caravans?|motorhomes?|trucks?|lorry|lorries|tractors?|boats?|yachts?|ships?|buses|bus|boot|dashboard|dash",
    "outdoors": r"outdoors?|gardens?|patio|terrace|porch|verandah?|balcony|barbecue|poolside|beach|back ?yard|lawn|camp ?site|open air",
    "studio": r"(?:recording |home |mixing )?studio",
    "public": r"church|chapel|mosque|temple|synagogue|pub|disco|restaurant|caf[eé]|(?:night ?)?club|theat(?:re|er)|auditorium|school|classroom|gym"
    r"|(?:village|town|lecture|concert|sports?|school|dance|community|meeting|assembly|(?:swimming )?pool) hall",
}
_ROOMS = r"(?!\s+(?:shed|room|office|house|flat|apartment|street|road|lane|avenue|park|sale)\b)"
_MEANT_PLACES = {"vehicle": "a vehicle", "studio": "a studio", "public": "a public place", "outdoors": "outdoors"}
_KINDS_OF_BOX = {
    "open baffle": r"open[- ]baffles?|dipoles?",
    "vented": r"vented|ported|bass[- ]?reflex|reflex(?= (?:box|cabinet|enclosure))",
    "closed": r"(?:closed|sealed) (?:\d+ (?:l|litre|liter)s? )?(?:box|cabinet|enclosure)",
}
_PLACEMENTS = {
    "in a wall": r"(?:in|built into)[- ](?:the |a |an |my |our )?(?:(?!(?:and|or|with|of|on|at|by|to|from|near|against|behind|between)\b)[\w-]+ ){0,2}?"
    r"(?:walls?|ceilings?)\b(?! (?:height|is|are|units?|cupboards?|cabinets?|shelf|shelves|sockets?)\b)",
    "near a wall": r"(?:against|near|close to|next to|on) (?:the|a|my) (?:back |rear )?wall|on-walls?|wall[- ]mount(?:s|ed|ing)?",
}
_A_LENGTH = re.compile(LENGTH, re.IGNORECASE)
_SEAT = r"(?:[\w-]+\s+){0,2}?(?:seats?|rows?|sofa|couch|chairs?|ears?|audience|pews?|bench(?:es)?)\b"
_ABOUT = r"(?:(?:about|around|roughly|some)\s+)?"
_TO_A_SEAT = re.compile(
    rf"(?:(?:listen|sit(?!s\b)|seat|sofa|couch|distan[cs]e|away)\D{{0,25}}|\b(?:near[- ]?field|mixing|monitoring)\b[^.;!?\d]{{0,20}}(?:\bat\s+|\(){_ABOUT}|(?P<then>\d\s?db(?:\s+peaks?)?,\s+)|\b(?:i|we)\s+(?:\w+\s+){{0,2}}?(?:listen|sit)\b[^.;!?]{{0,45}}\b(?:at|from)\s+{_ABOUT}"
    r"|(?P<level>(?:db(?:\s?spl)?(?:\s+peaks?|\s+(?:is|are) (?:enough|plenty|fine|ok))?|\d\s*w(?:att?s?)?|\b(?:how loud|(?:what|which) (?:level|volume|spl))\b[^.;!?\d]{0,30}),?\s+(?:at|from)\s+"
    rf"{_ABOUT}))$",
    re.IGNORECASE,
)
_FROM_A_SEAT = re.compile(
    rf"\s*(?:away|(?:listening |seating )?(?:distan[cs]e|seat)\b|from (?:the|my|them|it)|with (?:an? )?\d+\s*w(?:att?s?)?\b|(?P<then>,\s+\d+\s?db\b)|to (?:the|my|our) {_SEAT})",
    re.IGNORECASE,
)
_OF_A_ROOM = re.compile(
    r"\s*(?:(?:away )?(?:from|off) (?:the |a |my )?(?:\w+ )?walls?|wide|deep|high|tall|long|apart|ear|height|above|over|up)\b",
    re.IGNORECASE,
)
"""What a length is of where no seat is meant."""
_FROM_ANOTHER = re.compile(
    r"(?<![\w.,-])\d+(?:[.,]\d+)?\s*(?:(?:[cm]?m|ft|feet|met(?:re|er)s?)\b\s*)?(?:-|–|to|or|and)\s*$", re.IGNORECASE
)
_TO_ANOTHER = re.compile(rf"\s*(?:-|–|to|or)\s*{LENGTH}", re.IGNORECASE)
"""Of two lengths nobody knows which is meant."""
_LEVEL = re.compile(
    rf"(?<!\d){_NUMBER}\s*db(?:\s?spl)?\b(?!\s*(?:/|per\b|an? octave|oct|slope|down|pad|at 1(?![\d.,]*\d)|1 ?w|@|(?:\w+[- ])?{DRIVER}))",
    re.IGNORECASE,
)
_OF_A_DRIVER = re.compile(
    r"sensitiv|efficien|woofer is|rated at|2[.,]83|slope|\b(?:q[met]s|fs|re|sd|vas|le)\b", re.IGNORECASE
)
_WISHED = re.compile(
    r"\b(?:lou+d|want|wish|need|level|peak|spl|reach|play|party|volume|hit|bang|blast|enough|plenty|till|until|up to|no more than|not more than|(?:never|not) (?:above|over|louder than|more than)|at most|at least)",
    re.IGNORECASE,
)
_AT_A_SEAT = re.compile(
    rf"(?:\s+peaks?)?\s+(?:(?:at|from)\s+(?!1\s*m){LENGTH}|(?:at|in|on)\s+(?:the|my|our)\s+{_SEAT})",
    re.IGNORECASE,
)
_BEHIND_A_SEAT = re.compile(rf"({LENGTH}),\s+$", re.IGNORECASE)
_EARS = re.compile(
    rf"\bears?\b[^.;!?\d]{{0,20}}(?P<words>{LENGTH})(?!\s*(?:away|from (?:the|my) (?:speakers?|wall)))|(?P<before>{LENGTH})\s+ear[- ]?height\b",
    re.IGNORECASE,
)
_OFF_AXIS = re.compile(
    r"(?<![\d.,])(?P<words>(\d{1,2})\s*(?:deg(?:ree)?s?|°)\s*(?:off[- ]?(?:the[- ])?axis|(?:off )?to (?:the|one|either|each) side|sideways|either side)"
    r"|(?:±|\+\s?/?\s?[-−])\s?(\d{1,2})\s*(?:deg(?:ree)?s?\b|°))",
    re.IGNORECASE,
)
_WATTS = re.compile(rf"(?<![\d.,])(?P<each>[2-9]\s*[x×*]\s*)?{_NUMBER}\s*-?\s*w(?:att?s?)?\b", re.IGNORECASE)
_AMPLIFIER = r"\b(?:amp\w*|receivers?|avrs?|head ?units?|(?:vacuum )?tubes?|valves?)"
_OF_AN_AMPLIFIER = re.compile(
    rf"{_AMPLIFIER}\.?(?:(?!\b{DRIVER}\b)[^\d.;!?]){{0,40}}$|\b(?:at|from)\s+(?!1\s*m\b){LENGTH}\s+with\s+(?:an?\s+)?$",
    re.IGNORECASE,
)
_INTO_AN_AMPLIFIER = re.compile(
    rf"\s*(?:(?!{DRIVER})\w+\s+){{0,3}}?(?:{_AMPLIFIER}|(?:per|a|each) channel\b)|\s+(?:at|from)\s+(?!1\s*m\b){LENGTH}",
    re.IGNORECASE,
)
_OF_ANOTHER = re.compile(
    rf"\b(?:{LOW}|drivers?|(?:loud)?speakers?|cones?|inch|rated|rating|handl\w+|takes?|bears?|max\w*|rms|heat\w*|lamps?|bulbs?|solder\w*)\b|[\"″”]"
    rf"|\b{HIGH}(?: is| has|[^,]{{0,40}}$)|[/@]\s*$",
    re.IGNORECASE,
)
"""What watts may be of where no amplifier is named, before them in their sentence."""
_INTO_ANOTHER = re.compile(
    rf"\s*(?:[\w-]+\s+){{0,2}}?(?:{DRIVER}|resistor|solder|iron|bulb|lamp|heat|rated|rms|max)",
    re.IGNORECASE,
)
_DATA = re.compile(r"\b(?:q[met]s|fs|sd|vas|xmax)\b|\d\s*-?(?:ohms?\b|Ω)", re.IGNORECASE)
"""Figures of a woofer, which may have its watts among them."""
LEAST_ALONE_W = 5.0
"""Fewer watts, of which nothing is said, are those of a sensitivity or of a resistor."""
_HERTZ = rf"{_NUMBER}\s*(?:(k?)hz|(k))\b"
_OTHER_UNIT = r"(?:[cm]?m|w(?:att?s?)?|v|l|ohms?|inch|eur\w*|usd|gbp|dollars?|pounds?)\b"
_CROSSOVER = re.compile(
    r"(?:cross\w*(?:\s*:|,)?\s+(?:(?!(?:between|below|above|under|than|least|most|max|maximum|min|minimum)\b)\w+,?\s+){0,3}?|\b(?:LR[248]|BW[1-4]|BE[2-4]),?\s+)"
    rf"(?:(?:(?:at|around|about|near|of|to)\s+(?:about\s+)?)?{_HERTZ}|(?:at|around|about|near)\s+(\d{{4}})(?![\w€$£]|[.,]\d|\s*{_OTHER_UNIT}))",
    re.IGNORECASE,
)
"""A frequency of four figures needs no unit there; what bounds a crossover, or stands between two, is no wish for it."""
_BEFORE_SLOPE = re.compile(rf"(?<![\d.,]){_HERTZ}()(?=,?\s+(?:LR[248]|BW[1-4]|BE[2-4])\b)", re.IGNORECASE)
_AT_HZ = re.compile(
    rf"(?:\bat\s+|@\s*|\bis\s+(?=[\d.,]+\s*k?(?:hz)?\s+(?:ok(?:ay)?|fine|possible|right|good|too (?:low|high))\b)){_HERTZ}()",
    re.IGNORECASE,
)
_FROM_HZ_UP = re.compile(
    rf"\b(?:{HIGH}|[a-z]{{2,}}[- ]?\d+\b)[^.;!?]{{0,40}}\s(?P<words>(?:from\s+{_ABOUT}{_HERTZ}\s+(?:up(?:wards?)?|on(?:wards?)?)|down\s+to\s+{_ABOUT}{_HERTZ}))\b(?!\s+to\b)"
    rf"|\b(?:use|run|play|take|using|running)\s(?:[\w-]+\s){{0,3}}?{HIGH}\s(?P<used>from\s+{_ABOUT}{_HERTZ})(?!\s*(?:-|–|(?:up )?to\b|un?til\b))",
    re.IGNORECASE,
)
"""Where a high driver is to play from."""
OF_A_RESONANCE = re.compile(r"break|reson|peak|dip|null|hole|hump|ring|fs\b|roll", re.IGNORECASE)
_ORDERS = {1: "BW1", 2: "LR2", 3: "BW3", 4: "LR4", 8: "LR8"}
"""The slope that is meant by an order, or by six times as many dB an octave, where no family is named (common practice, no source)."""
_ORDINALS = dict(
    zip(("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth"), range(1, 9), strict=True)
)
_ORDER = re.compile(
    rf"\b(?:(?P<slope>LR[248]|BW[1-4]|BE[2-4])\b|(?P<name>{'|'.join(_ORDINALS)}|[1-8](?:st|nd|rd|th))[- ]order\b(?!\s+(?:distortion|harmonic))"
    r"|(?P<db>6|12|18|24|48)\s*db(?:\s*(?:/|per|an?)?\s*oct(?:ave)?s?\b|[- ](?:slopes?|filters?|crossovers?)\b|(?=\s*(?:at|@)\s*\d+(?:[.,]\d+)?\s*k?(?:hz\b|(?<=k)\b)))"
    r"|k?hz,?\s+(?:with\s+|at\s+)?(?:an?\s+)?(?P<after>6|12|18|24|48)\s*db\b|(?:not|no|nothing) steeper than (?P<most>6|12|18|24|48)\s*db\b|(?:just|only|nothing but|simply) (?P<part>(?:an?|one|the|a single) cap(?:acitor)?)\b)",
    re.IGNORECASE,
)
_LITRES = re.compile(
    rf"{_NUMBER}\s*[- ]?(?:(?:l|lit(?:re|er)s?)\b(?![- ]?pad)|(?P<feet>cu(?:bic|\.)?\s?(?:feet|foot|ft)|ft³|ft\^?3)(?!\w))",
    re.IGNORECASE,
)
_OF_A_WOOFER = re.compile(r"\bvas\W*(?:(?:is|of)\s+)?$", re.IGNORECASE)
"""The air that is as stiff as a woofer's suspension is no box."""
_ASKS = re.compile(
    r"(?:\bwhy|\b(?:is|are) there|\b(?:have|do) you(?: have)?|\b(?:can|could|should|would|may) (?:i|you|it))\s*$",
    re.IGNORECASE,
)
"""What a denial follows that asks for the very thing: why not a ribbon, is there no ribbon."""

_SIGNS = {"EUR": "€|euros?", "USD": r"\$|dollars?", "GBP": "£|pounds?|quid", "JPY": "¥|yen", "CHF": "francs?|sfr"}
"""How enquirers write a currency beside its code."""
_AT_MOST = r"(?:budget|spend|under|below|less than|up to|within|at most|no more than|not more than|(?:not|nothing|never|\w+n['’]t) (?:(?:want to )?(?:go|pay|spend) )?(?:above|over|beyond|more than)|max(?:imum|imal)?\.?|cheaper than|limit|until|till)"
_ROUGHLY = r"(?:around|about|roughly|approx\w*\.?|circa|ca\.?|between)"


@dataclass(frozen=True)
class Said:
    """A field of an enquiry, what the words make it, the words, what they were taken to mean (empty where they are plain), and where they stand."""

    field: str
    value: Any
    words: str
    meaning: str
    at: tuple[int, int]


def denied(question: str, at: int) -> bool:
    """Whether what stands at a place of a question is denied before it.

    >>> denied("not a ribbon", 6), denied("why not a ribbon?", 10), denied("no dome but a ribbon", 14)
    (True, False, False)
    """
    return ends_by(_NOT, question[:at])


def ends_by(denial: re.Pattern[str], text: str) -> bool:
    """Whether a text ends by a denial, and by none that asks for the very thing."""
    match = denial.search(text)
    return match is not None and not _ASKS.search(text[: match.start()])


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _choice(
    field: str, choices: Mapping[str, str], meanings: Mapping[str, str] | None = None, led: str = "", after: str = ""
) -> Callable[[str], Said | None]:
    """A reader of one of several names, the first that is found and not denied; `led` and `after` say what stands around it."""
    patterns = [
        (name, re.compile(rf"{led}\b(?P<words>{words})(?!\w){after}", re.IGNORECASE)) for name, words in choices.items()
    ]

    def read(question: str) -> Said | None:
        for name, pattern in patterns:
            for match in pattern.finditer(question):
                if not denied(question, match.start()):
                    told, words = (meanings or {}).get(name, ""), match["words"]
                    return Said(field, name, words, "" if words.casefold() == told else told, match.span("words"))
        return None

    return read


def metres(text: str, unit: str = "m") -> float:
    """A length in m as people write it, in `unit` where it names none.

    >>> [round(metres(one), 4) for one in ("80cm", "8 ft 6 in", "6 1/2 inch", "9 1/2 feet", "3,5 m", "2½ m", "2")]
    [0.8, 2.5908, 0.1651, 2.8956, 3.5, 2.5, 2.0]
    """
    text = text if re.search(r"[^\d\s.,/½¼¾⅛⅜⅝⅞-]", text) else f"{text} {unit}"
    feet, figure = feet_typed(text), re.match(r"[\d.,\s½¼¾⅛⅜⅝⅞]+", text)
    if feet is not None or figure is None:
        return feet or 0.0
    number = (feet_typed(f"{figure[0].strip()} in") or 0.0) / UNITS["in"]
    return number * UNITS[unit_named(text[figure.end() :]) or "m"]


def _seat(question: str) -> Said | None:
    for match in _A_LENGTH.finditer(question):
        before = question[max(0, match.start() - REACH) : match.start()]
        if _FROM_ANOTHER.search(before) or _TO_ANOTHER.match(question, match.end()):
            continue
        sat, far = _TO_A_SEAT.search(before), metres(match[0])
        after = _FROM_A_SEAT.match(question, match.end())
        if not sat and not after:
            continue
        beside = sat["then"] if sat else after and after["then"]  # a level, and nobody says what the length is
        of_a_driver = (sat is not None and sat["level"] and far == 1.0) or (beside and far <= 1.0)
        ended = match[0].endswith(".") and question[match.end() :].lstrip()[:1].isupper()  # 9 ft. Ears are elsewhere
        if 0.3 <= far <= 20.0 and not of_a_driver and (ended or not _OF_A_ROOM.match(question, match.end())):
            return Said("distance_m", round(far, 2), match[0], "", match.span())
    alone = [match for match in _A_LENGTH.finditer(question) if _stands_alone(question, match)]
    far = metres(alone[0][0]) if len(alone) == 1 else 0.0
    if not ALONE_M[0] <= far <= ALONE_M[1]:
        return None
    return Said("distance_m", round(far, 2), alone[0][0].strip(), "how far away you sit", alone[0].span())


REACH = 200
"""No words that make a length the way to a seat stand so many letters before it."""
ALONE_M = (1.5, 10.0)
"""A length so long, in a clause of its own, is the way to a seat where no other is told: no box and no room stands alone (common practice, no source)."""


def _stands_alone(question: str, length: re.Match[str]) -> bool:
    """Whether a length in metres or feet is all that its clause holds."""
    before, after = question[: length.start()].rstrip(" "), question[length.end() :].lstrip(" ")
    long = not re.search(r"[cm]m\b|inch|\bin\b|[\"″”]", length[0], re.IGNORECASE)
    return (
        long and before[-1:] in ("", ",", ".", ";", "\n", "!", "?") and after[:1] in ("", ",", ".", ";", "\n", "!", "?")
    )


def _ears(question: str) -> Said | None:
    for match in _EARS.finditer(question):
        name = "words" if match["words"] else "before"
        high = metres(match[name])
        if 0.3 <= high <= 2.5:
            return Said("ear_height_m", round(high, 2), match[name], "", match.span(name))
    return None


def _off_axis(question: str) -> Said | None:
    match = _OFF_AXIS.search(question)
    degrees = int(match[2] or match[3]) if match else 0
    if match is None or denied(question, match.start()) or not 5 <= degrees <= 80:
        return None
    value, meaning = math.radians(degrees), f"listeners up to {degrees} degrees to either side"
    return Said("horizontal_half_window_rad", value, match["words"], meaning, match.span("words"))


def _level(question: str) -> Said | None:
    for match in _LEVEL.finditer(question):
        before, after = question[max(0, match.start() - 25) : match.start()], question[match.end() :][:20]
        near, wish = before + match[0] + after, before + match[0] + re.split(r"\band\b|\bbut\b|[,.;]", after)[0]
        seat = _BEHIND_A_SEAT.search(question[: match.start()])
        wished = (
            _WISHED.search(wish)
            or _AT_A_SEAT.match(question, match.end())
            or (seat is not None and metres(seat[1]) > 1.0)
        )
        if 70.0 <= _number(match[1]) <= 140.0 and wished and not _OF_A_DRIVER.search(near):
            return Said("peak_level_db", _number(match[1]), match[0], "", match.span())
    return None


def _amplifier(question: str) -> Said | None:
    """Watts of an amplifier that is named; else those that can be of nothing else, with what they were taken to mean."""
    found = [match for match in _WATTS.finditer(question) if _number(match[2]) > 0.0]
    for match in found:
        if _OF_AN_AMPLIFIER.search(question[: match.start()]) or _INTO_AN_AMPLIFIER.match(question, match.end()):
            break
    else:
        alone = [match for match in found if _is_alone(question, match)]
        if len({_number(match[2]) for match in alone}) != 1:
            return None
        match = alone[0]
        if not match["each"]:
            return Said("amplifier_power_w", _number(match[2]), match[0], "your amplifier's power", match.span())
    watts = _number(match[2])
    if match["each"]:
        return Said("amplifier_power_w", watts, match[0], f"{watts:g} W for each loudspeaker", match.span())
    return Said("amplifier_power_w", watts, f"{watts:g} W", "", match.span())


def _is_alone(question: str, watts: re.Match[str]) -> bool:
    """Whether watts that nobody says more of are an amplifier's, for nothing else bears them."""
    sentence = re.split(r"[.!?]\s|[\n;]", question[: watts.start()])[-1]
    others = _OF_ANOTHER.search(sentence) or _INTO_ANOTHER.match(question, watts.end()) or _DATA.search(question)
    return not others and (watts["each"] or "2")[0] == "2" and _number(watts[2]) >= LEAST_ALONE_W


WE_SAID = re.compile(
    r"\byou(?:r (?:answer|mail|reply|list|sheet)\b[^.;!?\n]{0,25}?)?(?:['’]ve| have)? (?:just )?(?:says?|said|wrote|written|(?:suggest|propose?|offer|recommend)(?:s|e?d)?|named?|sent)\b[^.;!?\n]{0,40}$",
    re.IGNORECASE,
)
"""What follows such words is what we said, and no wish."""


def _crossover(question: str) -> Said | None:
    match = next((one for one in _CROSSOVER.finditer(question) if not WE_SAID.search(question[: one.start()])), None)
    if match is None and (up := _FROM_HZ_UP.search(question)):
        return _from_there_up(up)
    if (
        match is None
        and (match := _one_hertz(question))
        and OF_A_RESONANCE.search(question[max(0, match.start() - 30) : match.start()])
    ):
        return None
    if match is None or denied(question, match.start()):
        return None
    hertz = _number(match[1] or match[4]) * (1000.0 if match[2] or match[3] else 1.0)
    at = (match.start(1 if match[1] else 4), match.end())  # what stands between may be left unread
    return Said("crossover_hz", hertz, match[0], "", at) if 200.0 <= hertz <= 12000.0 else None


def _one_hertz(question: str) -> re.Match[str] | None:
    """The one frequency that something is to be done at; of several nobody knows which is meant."""
    every = (*_AT_HZ.finditer(question), *_BEFORE_SLOPE.finditer(question))
    found = [one for one in every if not WE_SAID.search(question[: one.start()])]
    return found[0] if len({match[1] for match in found}) == 1 else None


def _from_there_up(match: re.Match[str]) -> Said | None:
    """The crossover of a high driver that is to play from a frequency up, unless something else begins there."""
    name = "used" if match["used"] else "words"
    (figure, *kilo), *_ = re.findall(_HERTZ, match[name], re.IGNORECASE)
    hertz = _number(figure) * (1000.0 if any(kilo) else 1.0)
    if OF_A_RESONANCE.search(match[0]) or not 200.0 <= hertz <= 12000.0:
        return None
    return Said("crossover_hz", hertz, match[name], f"a crossover at {hertz:g} Hz", match.span(name))


def _slope(question: str) -> Said | None:
    """The one slope that is spoken of; one with its family goes before an order alone."""
    read = [(_slope_of(match), match) for match in _ORDER.finditer(question) if not denied(question, match.start())]
    best = [one for one in read if one[1]["slope"]] or read
    if any(re.search(r"\bor\s+$", question[: match.start()], re.IGNORECASE) for _, match in read):
        return None
    if len({slope for slope, _ in best}) != 1 or len({slope[2:] for slope, _ in read}) != 1 or not best[0][0]:
        return None
    slope, told = best[-1]
    name = next((name for name in ("after", "part") if told[name]), 0)
    at = told.span(name)[0], told.end()
    return Said("slope", slope, question[slice(*at)], "" if told["slope"] else slope, at)


def _slope_of(match: re.Match[str]) -> str:
    if match["slope"]:
        return match["slope"].upper()
    if match["part"]:  # one part is a filter of first order
        return _ORDERS[1]
    name, db = (match["name"] or "").casefold(), match["db"] or match["after"] or match["most"]
    return _ORDERS.get(int(db) // 6 if db else _ORDINALS.get(name) or int(name[0]), "")


def _litres(question: str) -> Said | None:
    boxes = (match for match in _LITRES.finditer(question) if not _OF_A_WOOFER.search(question[: match.start()]))
    match = next(boxes, None)
    if match is None:
        return None
    litres = _number(match[1]) * (UNITS["ft3"] / UNITS["L"] if match["feet"] else 1.0)
    words = match[0] if match["feet"] else f"{litres:g} L"
    return Said("given_net_volume_m3", litres * 1e-3, words, "", match.span()) if 0.3 <= litres <= 500.0 else None


_IS_PAST = re.compile(r"\b(?:was|were|costs?|paid|bought|had)\b[^.;?!]*$", re.IGNORECASE)
_IN_ALL = re.compile(
    r"\s*(?:in |for )?(?:total|all(?:together)?|altogether|everything|the (?:lot|whole))\b", re.IGNORECASE
)
"""Money for several things cannot be told for one."""
_FOR_TWO = re.compile(r"\s*(?:(?:an?|per|the|for|both)\s+){0,2}(?:pair|both|two|set)\b", re.IGNORECASE)


def budget_said(question: str, currency: str) -> Said | None:
    """What a high driver may cost at most, where a question says so in a currency (its code, or the sign in use); half of it for a pair.

    >>> found = budget_said("Which dome? Budget is about 60 euro each.", "EUR")
    >>> found.value, found.words, budget_said("no more than $100 for the pair", "USD").value
    (60.0, '60 euro', 50.0)
    >>> budget_said("My woofer was under 60 euro", "EUR"), budget_said("a budget of 60 dollars", "EUR")
    (None, None)
    """
    if not currency:
        return None
    money = "|".join(filter(None, (re.escape(currency), _SIGNS.get(currency.upper(), ""))))
    least = r"(?:\d+(?:[.,]\d+)?\s*(?:-|–|to|and)\s*)"
    amount = rf"(?P<words>(?:{money})\s*{least}?{_NUMBER}|{least}?{_NUMBER}\s*(?:{money})(?!\w))"
    before = re.finditer(
        rf"(?:(?:\b{_AT_MOST}(?!\w)|[<≤]=?)[^\d.;?!€$£¥]{{0,20}}?|(?<!\bis )(?<!\bare )(?:\b{_ROUGHLY}|[~≈])\s*|(?<![\w.,])(?={least}|(?:{money})\s*{least})){amount}",
        question,
        re.IGNORECASE,
    )
    behind = re.finditer(
        rf"{amount}(?:\s+each)?,?\s+(?:tops|at (?:the )?most|max(?:imum)?|or less)(?!\w)", question, re.IGNORECASE
    )
    for match in (*before, *behind):
        said_at, number = match.start(), match[2] or match[3]
        thousands = re.fullmatch(r"(\d{1,3})[.,](\d{3})", number)
        value = _number("".join(thousands.groups()) if thousands else number)
        if _IN_ALL.match(question, match.end()) or _IN_ALL.match(question[: match.start()][-7:]):
            continue
        if value > 0.0 and not _IS_PAST.search(question[max(0, said_at - 25) : said_at]):
            value *= 0.5 if _FOR_TWO.match(question, match.end()) else 1.0
            return Said("budget", value, match["words"], f"{value:g} {currency} a high driver", match.span())
    return None


_CHEAP = re.compile(
    rf"\b(?:cheapest|least expensive|lowest[- ]priced?|as cheap as|cheaper(?! than)|not (?:too|so|very) (?:expensive|dear|costly|pricey)|inexpensive|affordable|cheap(?=,? (?:\w+ )?{HIGH}\b))(?!\w)",
    re.IGNORECASE,
)


def cheapest_said(question: str) -> bool:
    """Whether a question asks for the cheapest.

    >>> cheapest_said("your cheapest dome?"), cheapest_said("not the cheapest")
    (True, False)
    """
    return any(not denied(question, match.start()) for match in _CHEAP.finditer(question))


_UPRIGHT = re.compile(r"\b(?:upright|vertical(?:ly)?|standing)\b", re.IGNORECASE)
_LYING = re.compile(
    r"\b(?:cent(?:re|er)[- ](?:channel|(?:loud)?speakers?|box|cabinet)(?: (?:loud)?speakers?)?|(?:lying|horizontal) (?:box|cabinet|(?:loud)?speakers?)"
    r"|(?:(?:loud)?speakers?|cabinets?|box(?:es)?|it|they|them)\b[^.;!?]{0,30}?\b(?:(?:on|to|onto) (?:its|their|the) sides?(?! (?:walls?|of)\b)|sideways|horizontal(?:ly)?)"
    r"|under (?:the|my|our|a) (?:tv|television|telly|(?:projector |big )?screen))\b",
    re.IGNORECASE,
)
_COAXIAL = re.compile(
    r"\b(?:co-?ax(?:ial)?s?|concentric)\b(?! (?:cables?|inputs?|outputs?|plugs?|connectors?|sockets?|digital))",
    re.IGNORECASE,
)


def lying(question: str) -> re.Match[str] | None:
    """Words by which the loudspeaker lies on its side, its drivers beside each other.

    >>> lying("a centre speaker")[0], lying("HD-01 on its side"), lying("a centre speaker, upright")
    ('centre speaker', None, None)
    """
    match = _LYING.search(question)
    return (
        None
        if match is None
        or denied(question, match.start())
        or denied(question, match.end())
        or _UPRIGHT.search(question)
        else match
    )


def coaxial(question: str) -> re.Match[str] | None:
    """Words for a driver that has its high driver within."""
    return _COAXIAL.search(question)


READERS: tuple[Callable[[str], Said | None], ...] = (
    _choice("surroundings", _PLACES, _MEANT_PLACES, _LED, _ROOMS),
    _choice("surroundings", {"public": _PLACES["public"]}, _MEANT_PLACES, _OWNED, _ROOMS),
    _choice("placement", _PLACEMENTS),
    _choice("given_cabinet_kind", _KINDS_OF_BOX),
    _litres,
    _seat,
    _ears,
    _off_axis,
    _level,
    _amplifier,
    _crossover,
    _slope,
)
"""What is read, one field each."""


def said(question: str, currency: str = "") -> tuple[Said, ...]:
    """All that the words of a question say of fields of the Enquiries sheet; of money only in our `currency`.

    >>> [(one.field, one.value) for one in said("wich tweter, I sit 3 m away and want 110 dB from a 60 W amp")]
    [('distance_m', 3.0), ('peak_level_db', 110.0), ('amplifier_power_w', 60.0)]
    >>> said("My woofer has a sensitivity of 91 dB, do I need 12 or 24 dB per octave or a first order filter?")
    ()
    >>> [(one.value, one.meaning) for one in said("LD-01 and 12 dB/oct, please")]
    [('LR2', 'LR2')]
    """
    found = [*(reader(question) for reader in READERS), budget_said(question, currency)]
    return tuple(one for one in found if one is not None)


def named(question: str, ids: Iterable[str]) -> tuple[str, ...]:
    """Which IDs a question names, in its order, however they are spaced; one without a figure only as it is written.

    >>> named("will an hd 4 fit my LD-01?", ("LD-01", "HD-04", "HD-040", "Will"))
    ('HD-04', 'LD-01')
    """
    found = {one: at[0][0] for one in ids if (at := places(question, one))}
    return tuple(sorted(found, key=found.__getitem__))


def places(question: str, id_: str) -> tuple[tuple[int, int], ...]:
    """Where a question names an ID, from and to."""
    return tuple(match.span() for match in _pattern(id_).finditer(question))


PLURAL = r"(?-i:['’]?s(?!\w))?"
"""Several of one ID: LD-06s."""
_NOT_A_SIZE = r"(?!\s*-?\s*(?:inch|zoll|way|[\"″”]))"


def _pattern(id_: str) -> re.Pattern[str]:
    pieces = re.findall(r"[^\W\d_]+|\d+|[^\w\s]", id_.replace("-", " ").replace("_", " "))
    figures = (f"0*{int(piece)}" if piece.isdecimal() else re.escape(piece) for piece in pieces)
    spaced = r"[\s\-_]*".join(figures)
    loose = any(piece.isdigit() for piece in pieces) and len(pieces) > 1
    return re.compile(
        rf"(?<![\w]){spaced if loose else re.escape(id_)}{PLURAL if loose else ''}(?!\w){_NOT_A_SIZE}",
        re.IGNORECASE if loose else 0,
    )
