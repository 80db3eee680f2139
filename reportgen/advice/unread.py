"""What of an enquirer's words nobody read: quantities, IDs that we do not have, questions of another kind.

Knows what looks like a quantity and what a question about a high driver looks like. Refuses to answer.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from reportgen.advice.figures import NAMES
from reportgen.advice.said import DRIVER, FRACTION, HIGH, LENGTH, LOW

MOST_QUOTED = 4
"""So many quantities are quoted in a mail."""
MOST_QUESTIONS = 2
"""So many questions are quoted."""
MOST_OF_ONE = 12
"""So many words of each."""

_N = rf"(?:\d+(?:[.,]\d+)+|\d{{4,}}|{FRACTION})"
_NAME = rf"(?:{'|'.join(NAMES.values())}|qts|vas|mms|cms|bl|impedance|tun(?:ed|ing)(?: to| at)?|breaks?[- ]?up at)"
_UNIT = (
    r"(?:k?hz|k|ohms?|[mµμu]h|(?:sq\.?|square|cubic|cu\.?)\s?(?:cm|in(?:ch(?:es)?)?|f(?:ee|oo)?t|m)|in(?:²|\^?2)|[cmk]?m(?:[²³]|\^?[23])?"
    r"|met(?:re|er)s?|yards?|yds?|f(?:ee|oo)?t|inch(?:es)?|w(?:att?s?)?|v(?:olts?)?|[mµμun]f|deg(?:rees?)?|db(?:spl)?|[mc]?l|lit(?:re|er)s?|kg|g|eur(?:os?)?|dollars?|pounds?|usd|gbp|quid|bucks|francs?|chf|yen|parts|components)(?!\w)"
)
_OF = r"(?:at(?=\s+\d{4}\b)|cross\w*(?: at)?|amp\w*|seats?|distan[cs]e|budget|level|(?:less|cheaper) than|costs?|spend|pay)"
"""What a figure without a unit is of."""
_QUANTITY = re.compile(
    rf"(?<![\w.,])(?<!(?<![+/])-)(?:{_NAME}\s*(?:is|of|=|:)?\s*(?:{_N}|[.,]\d+)(?:\s*(?:{_UNIT}|[\"″”Ω]))?"
    rf"|\b{_OF}\s*[:=]?\s*(?:\d\s*[x×]\s*)?{_N}(?![\d.,]*\d|\s*(?:{_UNIT}|[\"″”Ω€$£¥°%]))"
    rf"|[€$£¥]\s?{_N}(?:,-)?|(?:eur|usd|gbp|chf)\s?{_N}(?:,-)?|{LENGTH}"
    rf"|(?:{_N}|[.,]\d+)(?:\s*(?:{_UNIT}|[\"″”])?\s*(?:-|–|to|and|x|×|by|/)\s*{_N}){{0,3}}\s*-?(?:{_UNIT}|[\"″”Ω€$£¥°%]))",
    re.IGNORECASE,
)
_TWEETER = re.compile(rf"\b{HIGH}\b", re.IGNORECASE)
_LOW, _REPLACES = re.compile(rf"\b{LOW}\b", re.IGNORECASE), re.compile(r"\breplac(?:e|ing|ements?)\b", re.IGNORECASE)
_HIGH = re.compile(rf"\b{DRIVER}\b", re.IGNORECASE)
"""What an enquiry to us speaks of."""
_ASKS = re.compile(
    r"\b(?:what (?:can|could|should|shall|must|would) (?:i|we) (?:put|use|take|fit|buy|get|choose|pick)(?: in| instead| there| here| now)*\W*$|suggest\w*|recommend\w*|counsel|propose|choose|ideas?|advi[cs]e|help|cross\w*|slopes?|(?:\w+(?:st|nd|rd|th)|second)[- ]orders?|do you think|what would|(?:what|which) (?:crossover )?frequency|how loud|cheapest|which ones?|which(?=\W*$| (?:is|are|would be) (?:the )?(?:better|best)\b)"
    r"|(?:wh?ich|what|wat|any|is there an?|have (?:you )?an?|sell an?|use an?|do you (?:have|sell|carry|stock|make|offer))\s+(?:[\w-]+\s+){0,3}?"
    rf"{HIGH})\b"
    rf"|^\W*(?:(?!(?:can|could|do|does|did|is|are|was|will|should|may|has|have|why(?! not)|how|when|where|the|my|your|its)\b)[\w-]+\s+){{0,3}}?{HIGH}\b",
    re.IGNORECASE,
)
"""How people ask what would do."""
_ASKS_OF_IT = re.compile(
    r"\b(?:possible|replac(?:e|ing)|match\w*|combin\w*|pair|fits?|suits?|goes? with|go together|what about|ok|okay|fine|good choice|compare\w*|better|best)\b",
    re.IGNORECASE,
)
"""The same of a sentence that speaks of a loudspeaker: much else may be possible."""
_QUESTION = re.compile(
    r"[?？]\W*$|\b(?:tell me|let me know|wonder(?:ing)?|(?:want|like) to know) (?:if|whether|what|which|how|when|where|who)\b",
    re.IGNORECASE,
)
_AND_ASKS = re.compile(
    r",?\s+and\s+(?=(?:would|can|could|do|does|did|is|are|which|what|how|when|where|will|should|must|may)\b)|,?\s+(?:and\s+)?(?=\(?[\da-e]\)\s)",
    re.IGNORECASE,
)
"""Where a second question begins in a sentence that asks, or the next of a list."""
_ASKS_ELSE = re.compile(
    r"\W*(?:and |or |but )?(?:can|could|do|does|did|is|are|was|will|would|should|shall|must|may|has|have|why|how|when|where|who|what)\b",
    re.IGNORECASE,
)
"""How a question begins that may ask for anything."""
_NEEDS_NO = re.compile(r"(?:\b(?:not|no|never)\b|n['’]t\b)(?:(?!\bbut\b)[^.;:!?]){0,25}$", re.IGNORECASE)
_OF_SOMETHING = re.compile(r"\s*(?:for|with|without|than|of|to)\b", re.IGNORECASE)
_ONLY_ASKS = re.compile(
    r"\W*(?:(?:ok(?:ay)?|yes|good) or (?:not|no)|(?:is (?:that|this|it) )?(?:ok(?:ay)?|possible|right|correct|yes|doable|good|fine)|(?:will|would|does|can) (?:it|that|this|they) (?:do|work|suffice))\W*$",
    re.IGNORECASE,
)
"""A question that asks of what stands before it."""
_USES = re.compile(r"\b(?:(?:use|using|work|do|take|for|with|and|or|will)\b|w/)", re.IGNORECASE)
FEW = 6
"""What is asked of a driver that is named by its ID, where there are more words than so many; a shorter one, or the end of one, that begins by a name asks for it."""
_OTHER = re.compile(
    rf"\b(?:(?:which|what|whose|any|need|suggest|recommend)\s+(?:(?!{HIGH}|high|(?:for|with|to)\b)[\w-]+\s+){{0,3}}?"
    r"(?:amp\w*|woofers?|cabinets?|box(?:es)?|cables?|stands?|subwoofers?|capacitors?|resistors?|receivers?)"
    r"|ship\w*|deliver\w*|my order|invoice|refund\w*|warrant\w*|guarant\w*|promise|discount\w*|in stock|availab\w*|replacement|spare|repair\w*"
    r"|broken|torn|dead|damaged|(?<!studio )mains(?! monitors?)|sockets?|solder\w*|poison\w*|toxic|danger\w*|safe(?:ty|ly)?|my (?:\w+ ){0,2}tweeters? (?:is|has|are)|harm\w*|hurt|legal|insur\w*"
    r"|without (?:an? |any |the )?(?:cross-?over|filter|network|capacitor)s?|(?:do|will|would|must|should) i need (?:an? )?(?:new|different|other|another) (?:cross-?over|filter|network)|the (?:lowest|highest|smallest|largest|greatest|least|most) (?:resonance|fs|sensitivity|impedance|power|distortion|weight)|(?:send|mail|(?<!would )(?<!will )(?<!could )(?<!can )give) me|swallow\w*|chok(?:ed|ing)|electrocut\w*|electric(?:al)? shock|smells?|still (?:sold|made|in production)|do you (?:still |also )?(?:sell|stock|carry|make) (?:the |your )?[a-z]+[- ]?\d+\b(?=\W*$)|discontinued|data ?sheets?|scratch\w*|rattl\w*|buzz\w*|glue\w*|(?:on|to) (?:its|their|the) sides?|sideways|upside down|wires?|mdf|notch"
    r"|blow(?:s|n)?(?: up)?|burn\w*|explode\w*|break at|difference|how much|loude(?:r|st)|stays? the same|deeper|more bass|how (?:close|near|far apart)|fit\w*\b[^.;!?]{0,40}\b(?:cut-?outs?|holes?)|(?:in )?parallel|in series|what(?:['’]s| is| are) (?:the|its|their) (?:\w+ )?(?:sensitivity|impedance|price|size|diameter|weight|resonance|power|resistance|depth|cut-?out)|how heavy|(?:do|does|will|would) (?:it|they|these|those) weigh|weight of|colou?rs?|how (?:do|can|should) i (?:measure|build|make|wire|glue|clean|get|mount|fix|remove)|what (?:level|reading|voltage)\b[^.;!?]{0,20}\b(?:see|read|measure))\b",
    re.IGNORECASE,
)
"""What our figures do not answer."""
_OF_SAFETY = re.compile(r"\b(?:poison\w*|toxic|danger\w*|safe(?:ty|ly)?|harm\w*|legal)\b", re.IGNORECASE)
"""Of these a question may be that asks for a driver as well: which dome is safe to use, and where do I cross it."""
_DEMAND = re.compile(
    r"\b(?:money back|refund\w*|quot(?:e|ation)s?|active (?:cross-?over|filter|network)s?(?: with \w+)?|dsp|bi-?amp\w*|(?:no|without(?: any)?|cannot|can['’]?t|hate|avoid) solder\w*|(?:sealed|closed) backs?|ferro-?fluid\w*(?:[- ]free(?: \w+)?)?|(?:rear )?cups? (?:is |being )?(?:removed|(?:taken )?off))\b",
    re.IGNORECASE,
)
"""Money, an offer, crossovers of another kind than ours, and what no column tells, stand in sentences that ask for more."""
_ENGLISH = re.compile(
    r"\b(?:the|my|for|with|and|which|what|you|your|have|has|want|need|would|can|is|are|it|i|i['’]m|looking|please|from|do|does|how|will|to|of"
    r"|this|that|who|any)\b"
)
_FOREIGN = re.compile(
    r"\b(?:ich|und|der|das|ein|eine[nmr]?|mit|für|sie|ist|je|vous|pour|avec|une?|et|est|les|des?|el|las|para|con|una|que|por|il|che|di"
    r"|een|voor|het|jag|och|til|som|się|um|uma|\w*[à-öø-ÿ]\w*)\b|[^\W\d_a-zµμωà-ÿ]"
)
LEAST_ENGLISH, LEAST_FOREIGN = 0.1, 2
"""Words are of another language where a smaller share are small words of English and so many are of others (found by trial over fifty mails)."""


@dataclass(frozen=True)
class Unread:
    """Quantities nobody used, IDs that we do not have, questions that are not answered, whether the words are English, whether they ask for anything of ours, whether a mail quotes an earlier one."""

    quantities: tuple[str, ...] = ()
    ids: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()
    english: bool = True
    asked: bool = True
    quotes: bool = False


def speaks_of_high(question: str) -> bool:
    """Whether a high driver is spoken of, by whatever name."""
    return _TWEETER.search(question) is not None


_WANTS_NONE = re.compile(
    rf"\bno {HIGH} (?:is |are )?(?:wanted|needed|required|necessary)\b|(?:\bnot|n['’]t) (?:want|need) (?:an? |any )?(?:another |new |more )?tweeters?\b",
    re.IGNORECASE,
)


def unread(question: str, used: Iterable[tuple[int, int]], ids: Sequence[str], names: bool) -> Unread:
    """What is left of a question when its `used` places are taken out; `ids` are ours, `names`: it names a woofer and a high driver of ours.

    >>> found = unread("LD-01, Fs 38 Hz, HD-77? Do you ship to Norway?", [], ("LD-01", "HD-01"), False)
    >>> found.quantities, found.ids, found.questions, found.asked
    (('Fs 38 Hz',), ('HD-77',), ('Do you ship to Norway?',), True)
    >>> unread("Is it safe with 400 V inside?", [], (), False).asked
    False
    """
    used = list(used)
    text = list(question)
    for start, end in used:
        text[start:end] = ";" * (end - start)
    known = {_key(question[start:end]) for start, end in used}
    left = [match[0].strip() for match in _QUANTITY.finditer("".join(text))]
    whole = [one for one in re.split(r"(?<=[!?？])\s+|(?<=\.)\s+(?!\d)|\n+", question) if one.strip()]
    parts = [(one, part) for one in whole for part in (_AND_ASKS.split(one) if _QUESTION.search(one) else [one])]
    sentences = [part for _, part in parts]
    ours = _ours(ids)
    about = {part: bool(_HIGH.search(one) or ours.search(one) or _holds(one, question, used)) for one, part in parts}
    other = {one for one in sentences if _is_other(one, question, used)}
    named = {one for one in sentences if ours.search(one) and (_USES.search(one) or len(one.split()) <= FEW)}
    which = re.compile(rf"\bwhich {_heads(ids)}\b", re.IGNORECASE)
    named |= {one for one in sentences if which.search(one)}
    ends = {one: one.rpartition(",")[2] for one in sentences if about[one]}
    named |= {
        one
        for one, end in ends.items()
        if len(end.split()) <= FEW
        and not _ASKS_ELSE.match(end)
        and (end == one or (_TWEETER.search(end) and not _OF_SOMETHING.match(end)))
    }
    ask = (named | {one for one in sentences if _ASKS.search(one) or (about[one] and _ASKS_OF_IT.search(one))}) - other
    questions = [part for one, part in parts if _QUESTION.search(one) and not part.endswith(":")]
    of_it = {one for one in sentences if ours.search(one) or (_REPLACES.search(one) and _LOW.search(one))}
    wants = {one for one in of_it if one not in questions and _TWEETER.search(one)}
    if questions and not ask.intersection(questions):  # what is asked is something else
        wants = set()
    wants |= {one for one in of_it & other if _asks_beside_safety(one)}
    asked = names or any(about[one] and (one not in other or one in wants) for one in sentences)
    asked = asked and not _WANTS_NONE.search(question)
    english = _is_english(question)
    answers = ask | (of_it - other if not english else set())  # of another language we know no more than whom it names
    unanswered = [one.strip() for one in questions if not (asked and (one in answers or _ONLY_ASKS.match(one)))]
    demands = [one for one in _demands(question) if not any(one in text for text in unanswered)]
    return Unread(
        quantities=tuple(dict.fromkeys(one for one in left if not any(_key(one) in key for key in known))),
        ids=tuple(dict.fromkeys(_strangers(question, ids))),
        questions=(*unanswered, *demands),
        english=english,
        asked=asked,
    )


def _demands(question: str) -> Iterator[str]:
    """What is demanded that no answer of ours gives, in whatever sentence."""
    for sentence in re.split(r"[.;!?\n]", question):
        last = max(_DEMAND.finditer(sentence), key=re.Match.end, default=None)
        if last and not _NEEDS_NO.search(sentence[: last.start()]):
            yield sentence[: last.end()].rpartition(",")[2].strip()


def _key(text: str) -> str:
    return re.sub(r"\W", "", text).casefold()


def _is_other(sentence: str, question: str, used: Sequence[tuple[int, int]]) -> bool:
    """Whether a sentence speaks of what we do not answer; words that were read are no such thing."""
    start, match = question.index(sentence), _OTHER.search(sentence)
    denial = match and _NEEDS_NO.search(sentence[: match.start()])
    read = match and any(at <= start + match.start() and start + match.end() <= end for at, end in used)
    return match is not None and not read and not denial


def _asks_beside_safety(sentence: str) -> bool:
    """Whether a sentence asks for a driver as it would without its words of safety."""
    plain = _OF_SAFETY.sub("", sentence)
    return not _OTHER.search(plain) and _ASKS.search(plain) is not None


def _holds(sentence: str, question: str, used: Sequence[tuple[int, int]]) -> bool:
    start = question.index(sentence)
    return any(start <= at < start + len(sentence) for at, _ in used)


_HEAD = re.compile(r"[^\W\d_]{2,}(?=[\s_-]?\d)")


def _heads(ids: Sequence[str]) -> str:
    """How our IDs begin."""
    heads = {match[0] for one in ids if (match := _HEAD.match(one))}
    return f"(?:{'|'.join(map(re.escape, sorted(heads))) or '(?!)'})"


def _ours(ids: Sequence[str]) -> re.Pattern[str]:
    """Anything that looks like one of our IDs; one that does not begin by a name and a figure only as it is written."""
    plain = "".join(rf"|(?-i:\b{re.escape(one)}(?!\w))" for one in ids if not _HEAD.match(one))
    return re.compile(rf"\b{_heads(ids)}[ _-]?\d+\w*{plain}", re.IGNORECASE)


def _strangers(question: str, ids: Sequence[str]) -> Iterator[str]:
    known = {_number_key(one) for one in ids}
    for match in _ours(ids).finditer(question):
        if not {_number_key(match[0]), _number_key(match[0].removesuffix("s"))} & known:
            yield match[0]


def _number_key(text: str) -> str:
    return re.sub(r"(?<=\D)0+(?=\d)", "", _key(text))


def _is_english(question: str) -> bool:
    text = question.casefold()
    words = len(re.findall(r"[^\W\d_]+", text))
    return len(_FOREIGN.findall(text)) < LEAST_FOREIGN or len(_ENGLISH.findall(text)) >= LEAST_ENGLISH * words


def clauses(left: Unread) -> tuple[str, ...]:
    """What was not read, in a sentence each, the questions first."""
    told = (
        "" if left.english else "and may have missed what you wrote",
        "of earlier mails" if left.quotes else "",
        _quoted(left.questions, MOST_QUESTIONS),
        " and no ".join(left.ids[:MOST_QUOTED]),
        _quoted(left.quantities, MOST_QUOTED),
    )
    return tuple(f"{begins} {text}." for begins, text in zip(BEGINNINGS, told, strict=True) if text)


BEGINNINGS = (
    "We read English only,",
    "We did not read what you quote",
    "Not answered here:",
    "We have no",
    "We did not use",
)
"""How the clauses begin."""


def _quoted(texts: Sequence[str], most: int) -> str:
    """Some words of each, and how many more there are."""
    short = [
        " ".join([*words[:MOST_OF_ONE], "..."]) if len(words := one.split()) > MOST_OF_ONE else one for one in texts
    ]
    names = [f"“{one}”" for one in short[:most]] + ([f"{len(texts) - most} more"] if len(texts) > most else [])
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else "".join(names)
