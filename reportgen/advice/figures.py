"""What an enquirer's words say of their own woofer and baffle: figures by name, nominal impedance, how many, how wide.

Knows names and units in the spellings of mails. Refuses a figure without a unit that could be another's, one that no woofer
has, and one of a tweeter.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping

from reportgen.advice.said import COUNTS, FRACTION, HIGH, LENGTH, LOW, Said, metres, named, places
from reportgen.catalogue.cells import unit_named
from reportgen.catalogue.columns import QUANTITY_OF, UNITS, sheet

_NUMBER = r"(\d+(?:[.,]\d+)?|[.,]\d+)"
_UNIT = (
    r"(k?hz|k|ohms?|Ω|[mµμu]h|(?:sq(?:uare)?\.?\s?)(?:cm|in(?:ch(?:es)?)?)|(?:cm|in|m)(?:²|\^?2)|mm|cm|m|in(?:ch(?:es)?)?"
    r"|[\"″”]|w(?:atts?)?|db|l(?:it(?:re|er)s?)?)(?!\w)"
)
NAMES: Mapping[str, str] = {
    "given_fs_hz": r"f[s0]|(?:free[- ]air )?resonance(?: frequency)?",
    "given_re_ohm": r"re|r?dc resistance|dcr",
    "given_le_h": r"le|inductance",
    "given_qms": r"qms",
    "given_qes": r"qes",
    "given_area_m2": r"sd|(?:cone|effective|piston) area",
    "given_sensitivity_db": r"sens(?:itivity)?|spl|efficiency",
    "given_breakup_hz": r"break(?:s|ing)?[- ]?up(?: (?:frequency|peak))?",
    "given_peak_travel_m": r"x[- ]?max",
    "given_rated_power_w": r"p[- ]?max|pe|(?:rated|rms) power|power (?:handling|rating)",
}
_ALONE = (
    ("given_area_m2", rf"{_NUMBER}\s*((?:sq(?:uare)?\.?\s?)(?:cm|in(?:ch(?:es)?)?)|(?:cm|in)(?:²|\^?2))(?!\w)"),
    (
        "given_sensitivity_db",
        rf"{_NUMBER}\s*(db)\s*\(?\s*(?:/|@|at|for)?\s*2[.,]83\s*v(?:(?:\s*[/@,]|\s+at)\s*1\s*m\b)?",
    ),
    ("given_rated_power_w", rf"{_NUMBER}\s*-?(w(?:atts?)?)(?=\s+(?:rms\s+)?{LOW})"),
    ("given_rated_power_w", rf"\b{LOW}\b(?:(?!amp)[^.;!?,\d]){{0,15}}?{_NUMBER}\s*-?(w(?:atts?)?)\b"),
)
"""Figures that need no name: a woofer has but one area, a level for 2.83 V is a sensitivity."""
_FIGURES = tuple(
    (field, re.compile(pattern, re.IGNORECASE))
    for field, pattern in (
        *((field, rf"(?<![\d.,-]){pattern}") for field, pattern in _ALONE),
        *(
            (
                field,
                rf"\b(?:{name})(?!\w)\.?\s*(?:(?:is|of|at|about|around)\s+|[=:≈~±]\s*|\+\s?/?\s?-\s*){{0,2}}{_NUMBER}(?!\s*(?:-|–|to)\s*\d)(?:\s*{_UNIT})?(?![\d,.]*\d)",
            )
            for field, name in NAMES.items()
        ),
        *(
            (
                field,
                rf"(?<![\d.,-]){_NUMBER}\s*{_UNIT}\s+(?:{NAMES[field]})(?!\w)(?!\s*(?:(?:is|of|at)\b|[=:≈~]|[\d.]))",
            )
            for field in ("given_re_ohm", "given_fs_hz", "given_peak_travel_m")
        ),
    )
)
_NEEDS_ITS_UNIT = frozenset(("given_le_h", "given_peak_travel_m", "given_area_m2", "given_sensitivity_db"))
IN_A_LIST = 3
"""Beside so many others a figure is in its usual unit where it has none."""
_SHORT = frozenset(("given_re_ohm", "given_le_h"))
"""Names that are words of other meaning: read only beside another figure of a woofer."""
_OF_A_WOOFER = re.compile(r"\b(?:f[s0]|q[emt]s|sd|vas|xmax|bl|mms)\b", re.IGNORECASE)
_OF_A_TWEETER = re.compile(
    rf"\b(?:{HIGH}|amp\w*)['’]?s?\s+(?:is|has|have|with|of|makes|does)\b[^.;!?]*$",
    re.IGNORECASE,
)
_PER_WATT = re.compile(r"\s*(?:\(|@|/|at|for|per)?\s*1\s*w", re.IGNORECASE)

NOMINAL_TO_RE = 0.72
"""Resistance of a woofer as a share of its nominal impedance (common practice, no source; IEC 60268-5 bounds it by 0.8 or little more)."""
_OHM = re.compile(r"(?<![\d.,])(\d+(?:[.,]\d+)?)\s*-?\s*(?:ohms?\b|Ω)", re.IGNORECASE)
_NO_LOW = rf"(?:(?!\b{LOW}|\bdrivers?\b)"
_OHM_OF_ANOTHER = re.compile(
    rf"\b(?:amp\w*|receivers?)\b{_NO_LOW}[^.;!?])*$|\b(?:{HIGH}|into|re|dc\w?|resist\w*|loads?|taps?|from|to)\b{_NO_LOW}[^,.;!?])*$",
    re.IGNORECASE,
)
_OHM_INTO_ANOTHER = re.compile(
    rf"\s*(?:(?!{LOW}|drivers?)[\w-]+\s+){{0,3}}?(?:amp|{HIGH}|resist|l-?pad|to|or)", re.IGNORECASE
)
_OHM_OF_A_WOOFER = re.compile(rf"\s*(?:[\w-]+\s+){{0,3}}?(?:{LOW}|drivers?)\b", re.IGNORECASE)
"""What ohms may be of, before and after them; where it is none of these they are a woofer's."""
_COUNT = rf"(?<![\d.,/-])(?<!\d[x×])(?:\b|(?<=[x×]))({'|'.join(COUNTS)}|[2-9]|1[0-6])(?![.,]?\d)(?!\s*-?\s*(?:ways?\b|{_UNIT}|['’]))"
"""How many: no part of an ID, of a size or of another quantity."""
_SEVERAL = re.compile(
    rf"{_COUNT}\s*(?:(?!{_COUNT}\s+(?:of\s+\w+\s+)?(?:per|each|every|in)\b)[^.;!?]){{0,60}}?\b(?:(?:per|each|every|in (?:one|each))\s+(?:side|speaker|loudspeaker|cabinet|box|channel)|in (?:an?|my|the|our) cent(?:re|er))\b",
    re.IGNORECASE,
)
_SOME = re.compile(rf"{_COUNT}\s*[^.,;!?]{{0,25}}", re.IGNORECASE)
_OF_NOTHING = re.compile(r"[\w-]+\s+(?:of\s+(?:them|these|those)\s+)?(?:per|each|every|in)\s[^.;!?]*", re.IGNORECASE)
"""How many on each side, right behind what is counted."""
_TIMES = re.compile(r".{0,16}(?:[x×*]|\btimes)\s*\(?$", re.IGNORECASE)
"""A name and the sign before how many of it."""
_WOOFER = re.compile(rf"\b{LOW}\b|\d\s*-?(?:inch|\"|″|”|cm)", re.IGNORECASE)
_PLACED = r"(?:is |goes |sits |stands |placed |mounted )?"
_AROUND = re.compile(
    rf"\b(?:MTM|WTW|low-high-low|d['’]?appolito)\b|\b{HIGH} {_PLACED}(?:in )?between (?:them|the (?:two )?{LOW})\b",
    re.IGNORECASE,
)
_IN_THE_MIDDLE = re.compile(rf"\b{HIGH} {_PLACED}in the middle\b(?! of\b)", re.IGNORECASE)
_EVEN = re.compile(rf"\b(?:two|pair|both|four|2|4)\b(?!\s*-?\s*(?:ways?\b|{HIGH}|{_UNIT}))", re.IGNORECASE)
"""Where a high driver is in the middle, such numbers are of woofers around it."""
_HIGHS = re.compile(rf"{_COUNT}\s+(?:\w+\s+)?{HIGH}", re.IGNORECASE)
_SIDES = rf"({LENGTH}|{FRACTION})\s*(?:x|×|by)\s*({LENGTH})"
_FRONT = r"(?:baffle|cabinet|box|enclosure|floor[- ]?stander)\b"
_BAFFLE = re.compile(
    rf"\b{_FRONT}(?:[\s:=(,]|\b(?:is|of|with|an?|about|only|just|measur\w+|sized?|outer|outside|front|baffle)\b){{0,10}}{_SIDES}(?!\w|\s*(?:x|×|by|wide|deep)\b)"
    rf"|(?<![\d.,x×])(?<![x×] ){_SIDES}\s+(?:(?:closed|sealed|vented|ported)\s+)?{_FRONT}",
    re.IGNORECASE,
)
"""Two sides of a box are those of its front; of three nobody knows which."""
_OF_A_BOX = re.compile(
    r"\b(?:baffle|cabinets?|box(?:es)?|enclosures?|floor[- ]?standers?|lit(?:re|er)s?|vented|ported|sealed)\b(?:(?!\b(?:shel(?:f|ves)|rooms?|stands?|tables?|desks?)\b)[^;!?]){0,80}",
    re.IGNORECASE,
)
_WIDE, _TALL = (
    re.compile(rf"({LENGTH})\s*(?:{word})\b", re.IGNORECASE)
    for word in (rf"wide|(?:{_FRONT} )?width", rf"high|tall|(?:{_FRONT} )?height")
)
_EARS = re.compile(r"\bears?\b", re.IGNORECASE)
"""Of them a height is spoken of as well."""
_WIDE_BOX = re.compile(
    rf"({LENGTH})\s*(?:wide\s+(?:baffle|cabinet|box)|(?:baffle|cabinet|box)\s+width)\b"
    rf"|\bbaffle\s*(?:[:=]\s*|(?:is|of|about|only|just)\s+)?({LENGTH})(?!\w|\s*(?:x|×|by|high|tall|height|deep|thick|away)\b)",
    re.IGNORECASE,
)


def figures_said(question: str) -> tuple[Said, ...]:
    """All that the words of a question say of the enquirer's own woofer, each field once.

    >>> [(one.field, round(one.value, 6)) for one in figures_said("Fs=42hz, Re 5,6 ohm, sd 132 cm2, xmax 0.2 inch")]
    [('given_area_m2', 0.0132), ('given_fs_hz', 42.0), ('given_re_ohm', 5.6), ('given_peak_travel_m', 0.00508)]
    >>> figures_said("Re: 8 ohm, sensitivity 89 dB/1W, my tweeter has a resonance of 150 Hz"), figures_said("Fs 40-45 Hz")
    ((), ())
    >>> [(one.field, one.meaning) for one in figures_said("a 4 ohm woofer")]
    [('given_re_ohm', 'a resistance of 2.9 ohm')]
    """
    found: dict[str, Said] = {}
    for one in (*_named(question), *_sensitivity(question), *_nominal(question)):
        found.setdefault(one.field, one)
    return tuple(found.values())


_WOOFER_OF_DB = re.compile(
    rf"\b(?:(?:sub)?woo?fers?|mid\w*|low drivers?),?\s+(?:(?:of|with|is|has)\s+)?({_NUMBER}\s*db)(?=\s*(?:[,.;)]|and\b|$))",
    re.IGNORECASE,
)


def _sensitivity(question: str) -> Iterator[Said]:
    """A level that stands by a woofer among its figures."""
    for match in _WOOFER_OF_DB.finditer(question):
        value = _value("given_sensitivity_db", match[2], "db")
        if value is not None and _OF_A_WOOFER.search(question):
            yield Said("given_sensitivity_db", value, match[1], "your woofer's sensitivity at 2.83 V", match.span(1))


def count_said(question: str, lows: Iterable[str] = (), lies: bool = False) -> tuple[Said, ...]:
    """How many woofers one loudspeaker has, and how they stand; a pair of which nothing more is said may be one for each side, but not where it lies.

    >>> [(one.field, one.value) for one in count_said("two 8 inch woofers per side")]
    [('low_count', 2)]
    >>> count_said("I have two woofers here")
    ()
    """
    middle = _IN_THE_MIDDLE.search(question) if _EVEN.search(question) else None
    if match := _AROUND.search(question) or middle:
        words = "two woofers around the high driver"
        return (
            Said("arrangement", "low-high-low", match[0], words, match.span()),
            Said("low_count", 2, match[0], "", match.span()),
        )
    lows = tuple(lows)
    ends = [end for one in lows for _, end in places(question, one)]
    totals = {_count(found) for found, _ in _beside(question, lows)}
    highs = {_count(found) for found in _HIGHS.finditer(question)}
    for match in (*_SEVERAL.finditer(question), *(_SOME.finditer(question) if lies else ())):
        times = _TIMES.search(question[max(0, match.start() - NEAR) : match.start()])
        behind = _OF_NOTHING.fullmatch(match[0]) and any(
            end <= match.start() and not question[end : match.start()].strip(" ,:(") for end in ends
        )
        shared = _OF_NOTHING.fullmatch(match[0]) and 2 * _count(match) in totals  # 8 pieces, four per side
        behind = behind and 2 * _count(match) not in highs
        if behind or shared or _WOOFER.search(match[0]) or named(f"{times[0] if times else ''}{match[0]}", lows):
            return (Said("low_count", _count(match), match[0], "", match.span()),)
    return ()


NEAR = 30
"""How many is said within so many letters of what is counted."""
_BEFORE, _AFTER = (
    re.compile(
        rf"{_COUNT}\s*(?:[x×*]\s*|(?:pcs?\.?|pieces?|units?)\s+(?:of\s+)?(?:the |your )?|(?P<pairs>pairs? of )(?:the |your )?)?$",
        re.IGNORECASE,
    ),
    re.compile(rf"\s*\(?(?:[x×*]|times)\s*{_COUNT}", re.IGNORECASE),
)


def counts_beside(question: str, lows: Iterable[str]) -> Iterator[str]:
    """How many of our woofers are spoken of, more than one for each side, in the words for it.

    >>> list(counts_beside("four LD-02, two LD-03, LD-06 x 8", ("LD-02", "LD-03", "LD-06")))
    ['four LD-02', 'LD-06 x 8']
    """
    for found, words in _beside(question, lows):
        if _count(found) > (1 if found.re is _BEFORE and found["pairs"] else 2):
            yield words


def _beside(question: str, lows: Iterable[str]) -> Iterator[tuple[re.Match[str], str]]:
    """Each number right beside one of our woofers, before it or behind it, and the words for both."""
    for start, end in (place for one in lows for place in places(question, one)):
        before, after = _BEFORE.search(question[max(0, start - NEAR) : start]), _AFTER.match(question, end)
        if found := before or after:
            yield found, f"{before[0] if before else ''}{question[start : found.end() if found is after else end]}"


def _count(match: re.Match[str]) -> int:
    """The number that begins a match, in letters or figures."""
    return COUNTS.get(match[1].casefold()) or int(match[1])


def _named(question: str) -> Iterator[Said]:
    for field, pattern in _FIGURES:
        for match in pattern.finditer(question):
            before, after = question[: match.start()], question[match.end() :]
            known = len(_OF_A_WOOFER.findall(before + after))
            least = 0 if match[2] or field not in _NEEDS_ITS_UNIT else IN_A_LIST
            of_a_watt = field == "given_sensitivity_db" and _PER_WATT.match(after)
            if of_a_watt or known < max(least, field in _SHORT) or _OF_A_TWEETER.search(before):
                continue
            if (value := _value(field, match[1], match[2] or "")) is not None:
                yield Said(field, value, match[0].strip(), "", match.span())
                break


def _value(field: str, number: str, unit: str) -> float | None:
    """A figure in SI, None where its unit measures something else or no woofer has it."""
    column = sheet("Enquiries").column(field)
    factor = _factor(unit, QUANTITY_OF[column.unit]) if unit else UNITS[column.unit]
    if factor is None:
        return None
    value = float(number.replace(",", ".")) * factor
    least, most = column.plausible or (0.0, float("inf"))
    return value if value > 0.0 and least <= value / UNITS[column.unit] <= most else None


def _factor(unit: str, quantity: str) -> float | None:
    """What a unit of a mail is in SI, None where it measures another quantity."""
    known = unit_named("kHz" if unit.casefold() == "k" else unit)
    return UNITS[known] if known is not None and QUANTITY_OF[known] == quantity else None


def _nominal(question: str) -> Iterator[Said]:
    for match in _OHM.finditer(question):
        nominal, before = float(match[1].replace(",", ".")), question[: match.start()]
        after = question[match.end() :]
        others = _OHM_INTO_ANOTHER.match(after) or (
            _OHM_OF_ANOTHER.search(before) and not _OHM_OF_A_WOOFER.match(after)
        )
        if 2.0 <= nominal <= 16.0 and not others and not _OF_A_TWEETER.search(before):
            ohm = round(NOMINAL_TO_RE * nominal, 1)
            yield Said("given_re_ohm", ohm, match[0], f"a resistance of {ohm:g} ohm", match.span())


def baffle_said(question: str, lies: bool = False) -> tuple[Said, ...]:
    """What the words say of the size of the enquirer's baffle; only one that lies is wider than it is tall.

    >>> [(one.field, round(one.value, 4)) for one in baffle_said("a baffle of 9 x 14 inches")]
    [('given_baffle_width_m', 0.2286), ('given_baffle_height_m', 0.3556)]
    """
    match = _BAFFLE.search(question)
    if match:
        width, height = filter(None, match.groups())
        at = match.span()
    else:
        box = _OF_A_BOX.search(question)
        wide = (box and _WIDE.search(question, *box.span())) or _WIDE_BOX.search(question)
        tall = box and _TALL.search(question, *box.span())
        tall = None if box and tall and _EARS.search(question[box.start() : tall.start()]) else tall
        if wide is None:
            return ()
        width, height = next(filter(None, wide.groups())), tall[1] if tall else None
        ends = [match.span() for match in (wide, tall) if match]
        at = min(start for start, _ in ends), max(end for _, end in ends)
    unit = re.search(r"[^\d\s.,/]*$", height or "")
    sizes = {
        "given_baffle_width_m": metres(width or "", unit[0] if unit else ""),
        "given_baffle_height_m": metres(height) if height else 0.0,
    }
    if not all(0.05 <= size <= 3.0 for size in sizes.values() if size) or (
        height and not lies and sizes["given_baffle_height_m"] < sizes["given_baffle_width_m"]
    ):
        return ()
    told = (
        f"a baffle {' x '.join(f'{size * 1e3:.0f}' for size in sizes.values() if size)} mm{'' if height else ' wide'}"
    )
    return tuple(
        Said(field, round(size, 4), question[slice(*at)].strip(), told if n == 0 else "", at)
        for n, (field, size) in enumerate(sizes.items())
        if size
    )
