"""What the writer of a mail wrote in it: without what it quotes of earlier mails, and with numbers in words as figures.

Knows the marks that mail programs set. Refuses to know drivers.
"""

from __future__ import annotations

import re

_QUOTED = re.compile(r"^[ \t]*>.*(?:\n|$)", re.MULTILINE)
"""A line of an earlier mail (RFC 3676, 4.5)."""
_EARLIER = re.compile(r"^[ \t]*-{2,}[ \t]*original message[ \t]*-{2,}.*", re.IGNORECASE | re.MULTILINE | re.DOTALL)
"""All that stands under this line is an earlier mail (common practice, no source)."""
_SMALL = {
    word: number
    for number, word in enumerate(
        (
            *("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
            *("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
        ),
        start=1,
    )
}
_TENS = {
    word: 10 * number
    for number, word in enumerate(
        ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"), start=2
    )
}
_ONE = "|".join(_SMALL)
_UNDER_100 = rf"(?:(?:{'|'.join(_TENS)})(?:[\s-](?:{_ONE}))?|{_ONE})"
_IN_WORDS = re.compile(
    rf"\b(?:(?P<hundreds>an?|{_ONE})\s+hundred(?:\s+and)?(?:\s+(?P<rest>{_UNDER_100}))?|(?P<number>{_UNDER_100})(?P<half>\s+and\s+a\s+half)?)"
    r"(?=[\s-]+(?:euros?|eur|dollars?|pounds?|quid|francs?|met(?:re|er)s?|f(?:ee|oo)t|centimet(?:re|er)s?|wat+s?|lit(?:re|er)s?|decibels?|db|hz|hertz|ohms?)\b)",
    re.IGNORECASE,
)


_DECIBELS = re.compile(r"(?<=\d)\s*decibels?\b", re.IGNORECASE)


def own_words(mail: str) -> tuple[str, bool]:
    """A mail without what it quotes of earlier ones, and whether it quotes any; where nothing else is in it, that is what was written.

    >>> own_words("> HD-06 would do\\nAnd HD-05?"), own_words("> all of it is quoted")
    (('And HD-05?', True), ('> all of it is quoted', False))
    """
    left = _QUOTED.sub("", _EARLIER.sub("", mail)).strip()
    return (left, True) if left and left != mail.strip() else (mail, False)


def in_figures(text: str) -> str:
    """A text with the numbers before a unit that are spelled out as figures, and decibels as dB.

    >>> in_figures("two and a half metres, a hundred and twenty euros, seventy-five watts, two 8 inch woofers")
    '2.5 metres, 120 euros, 75 watts, two 8 inch woofers'
    """
    return _DECIBELS.sub(" dB", _IN_WORDS.sub(lambda match: f"{_value(match):g}", text))


def _value(match: re.Match[str]) -> float:
    if hundreds := match["hundreds"]:
        return 100.0 * _SMALL.get(hundreds.casefold(), 1) + (_under_100(match["rest"]) if match["rest"] else 0.0)
    return _under_100(match["number"]) + (0.5 if match["half"] else 0.0)


def _under_100(words: str) -> float:
    known = {**_SMALL, **_TENS}
    return float(sum(known[word] for word in re.split(r"[\s-]", words.casefold())))
