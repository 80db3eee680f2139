"""What the writer of a mail wrote in it: without what it quotes of earlier mails, and with numbers as figures that all readers know.

Knows the marks that mail programs set, and rows of pasted tables. Refuses to know drivers.
"""

from __future__ import annotations

import re

_QUOTED = re.compile(r"^[ \t]*>.*(?:\n|$)", re.MULTILINE)
"""A line of an earlier mail (RFC 3676, 4.5)."""
_EARLIER = re.compile(
    r"^[ \t]*-{2,}[ \t]*original message[ \t]*-{2,}.*"
    r"|^[ \t*]*(?:from|von|de|da|van|från)[ \t*]*:[^\n]*\n(?:[^\n:]{2,12}:[^\n]*\n){0,2}?[ \t*]*(?:sent|date|gesendet|datum|envoyé|enviado|inviato|data|fecha|verzonden|skickat)[ \t*]*:.*",
    re.IGNORECASE | re.MULTILINE | re.DOTALL,
)
"""All that stands under such a line, or under who sent it and when, is an earlier mail (common practice, no source)."""
_FORWARDED = re.compile(
    r"\bforwarded message\b|\bweitergeleitete nachricht\b|\bmessage transféré\b|^(?:subject|betreff):\s*(?:fwd?|wg):",
    re.IGNORECASE | re.MULTILINE,
)
"""What somebody passes on is what is asked."""
_WHO_WROTE = re.compile(
    r"^[ \t]*(?:on|am|le)\b[^\n]{5,150}(?:wrote|schrieb[^\n:]{0,60}|a écrit)\s?:[ \t]*\n(?=[ \t]*>)",
    re.IGNORECASE | re.MULTILINE,
)
"""The line over what is quoted."""
_SIGNATURE = re.compile(r"^-- $.*", re.MULTILINE | re.DOTALL)
"""Name and address of the writer, no words of the mail (RFC 3676, 4.3)."""
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


_CELLS = re.compile(r"[ \t]*[|\t][| \t]*")
_KILO = re.compile(r"(?<=\b\d)k(\d)\b(?!\s*(?:ohm|Ω))", re.IGNORECASE)
_NO_CENTS = re.compile(r"(?<=\d)[,.](?:-{1,2}|–|—)(?!\w)")
"""What divides the cells of a row, thousands with their letter for a point (3k5), and a dash for cents (80,-)."""
_OHMS = re.compile(r"(?<![\w.,])(\d{1,2})R(\d)?(?!\w)")
"""Ohms with their letter for a point (6R2, 8R)."""
_DECIBELS = re.compile(r"(?<=\d)\s*decibels?\b", re.IGNORECASE)


def own_words(mail: str) -> tuple[str, bool]:
    """A mail without what it quotes of earlier ones, and whether it quotes any; where nothing else is in it, that is what was written.

    >>> own_words("> HD-06 would do\\nAnd HD-05?"), own_words("> all of it is quoted")
    (('And HD-05?', True), ('> all of it is quoted', False))
    """
    written = _SIGNATURE.sub("", mail)
    own = written if _FORWARDED.search(written) else _EARLIER.sub("", written)
    left = _QUOTED.sub("", _WHO_WROTE.sub("", own)).strip()
    return (left, True) if left and left != written.strip() else (written if written.strip() else mail, False)


def in_figures(text: str) -> str:
    """A text with the numbers before a unit that are spelled out as figures, decibels as dB, 3k5, 6R2 and 80,- as figures, and the cells of a row side by side.

    >>> in_figures("two and a half metres, a hundred and twenty euros, seventy-five watts, two 8 inch woofers")
    '2.5 metres, 120 euros, 75 watts, two 8 inch woofers'
    >>> in_figures("| Fs | 38 Hz |, HD-03 @ 3k5, until 120,- Euro")
    ' Fs 38 Hz , HD-03 @ 3.5k, until 120 Euro'
    >>> in_figures("re 6R2, an 8R woofer")
    're 6.2 ohm, an 8 ohm woofer'
    """
    text = _OHMS.sub(lambda match: f"{'.'.join(filter(None, match.groups()))} ohm", text)
    text = _NO_CENTS.sub("", _KILO.sub(r".\1k", _CELLS.sub(" ", text)))
    return _DECIBELS.sub(" dB", _IN_WORDS.sub(lambda match: f"{_value(match):g}", text))


def _value(match: re.Match[str]) -> float:
    if hundreds := match["hundreds"]:
        return 100.0 * _SMALL.get(hundreds.casefold(), 1) + (_under_100(match["rest"]) if match["rest"] else 0.0)
    return _under_100(match["number"]) + (0.5 if match["half"] else 0.0)


def _under_100(words: str) -> float:
    known = {**_SMALL, **_TENS}
    return float(sum(known[word] for word in re.split(r"[\s-]", words.casefold())))
