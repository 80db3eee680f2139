"""Between which frequencies an enquirer wants the crossover: not under 2.5 k, 2 to 3 kHz, 2 kHz at most.

Knows words that bound a frequency, and that a denial turns them round. Refuses a frequency that nothing is said to be crossed at.
"""

from __future__ import annotations

import math
import re

from reportgen.advice.said import OF_A_RESONANCE, Said, ends_by

Bounds = tuple[float, float]
"""The least and the greatest crossover (Hz)."""
ANYWHERE: Bounds = (0.0, math.inf)

_HERTZ = r"\d+(?:[.,]\d+)?\s*(?:k?hz|k)\b"
_FIGURE = rf"(?:{_HERTZ}|\d{{4}}(?![\w€$£%]|[.,]\d|\s*(?:[cm]?m|w(?:att?s?)?|v|l|ohms?|eur\w*)\b))"
_CROSSES = r"\b(?:cross\w*|x-?over\w*|xo|hand(?:s|ed)? over)\b"
_LED = re.compile(
    rf"(?:{_CROSSES}|\b(?:stay|go|keep|get|come|prefer|rather)(?:s|ing)?\b)(?:(?!{_HERTZ})[^.,;!?]){{0,45}}$",
    re.IGNORECASE,
)
"""What leads to a bound of the crossover, in its own clause."""
_NOT = r"\b(?:not|never|no|nor|cannot|\w+n['’]t|(?:do|does|did|ca|wo|must|should|would)nt)\b"
_DENIED = re.compile(rf"{_NOT}(?:(?!{_NOT})[^.,;!?]){{0,40}}$", re.IGNORECASE)
_BOUND = re.compile(
    r"\b(?:(?P<under>under|below|beneath|lower than|less than)|(?P<over>above|(?<!cross )(?<!crossed )over|beyond|higher than|more than)|(?P<least>at least|min(?:imum)?\.?)|at (?:the )?most|max(?:imum)?\.?|up to)"
    rf"\s*(?:[:=]\s*|(?:of|is|about|around)\s+)?(?P<after>{_FIGURE})"
    rf"|(?<![\w.,])(?P<before>{_HERTZ})\s+(?:or (?:(?P<up>more|higher|above|up(?:wards?)?)|less|lower|below|under)|at (?:the )?most|max(?:imum)?|(?P<down>at least|min(?:imum)?))\b",
    re.IGNORECASE,
)
_BETWEEN = re.compile(
    rf"(?<![\w.,])(?:between\s+(?P<low>\d+(?:[.,]\d+)?(?:\s*k?hz|\s*k)?)\s*and|(?P<from>\d+(?:[.,]\d+)?(?:\s*k?hz|\s*k)?)\s*(?:-|–|to))\s*(?P<high>{_HERTZ})",
    re.IGNORECASE,
)


def bounds_said(question: str) -> Said | None:
    """The bounds that a question sets to the crossover, as the value of what it says; None where it sets none.

    >>> [bounds_said(one).value for one in ("not cross under 2.5 k", "crossover max 2.2 kHz, min 1.6 kHz", "cross at 2-3 kHz")]
    [(2500.0, inf), (1600.0, 2200.0), (2000.0, 3000.0)]
    >>> bounds_said("it breaks up above 5 kHz, where do I cross?"), bounds_said("a response of 2-20 kHz")
    (None, None)
    """
    least, most = ANYWHERE
    spans: list[tuple[int, int]] = []
    for match in _BETWEEN.finditer(question):
        low, high = _hertz(match["low"] or match["from"], match["high"]), _hertz(match["high"])
        if low < high and _is_meant(question, match.start(), low, high):
            least, most = low, high
            spans = [match.span()]
    for match in () if spans else _BOUND.finditer(question):
        hertz, start = _hertz(match["after"] or match["before"]), match.start()
        goes_on = spans and not re.search(r"\w{4}|[.;!?]", question[spans[-1][1] : start])
        if not goes_on and not _is_meant(question, start, hertz):
            continue
        denial = _DENIED.search(question[:start]) if match["under"] or match["over"] else None
        turned = denial is not None and ends_by(_DENIED, question[:start])
        upward = any(match[name] for name in ("over", "least", "up", "down")) is not turned
        least, most = (hertz, most) if upward else (least, hertz)
        spans.append((denial.start() if denial and turned else start, match.end()))
    if not spans or least > most:
        return None
    at = spans[0][0], spans[-1][1]
    return Said("crossover_hz", (least, most), question[slice(*at)], f"a crossover {bounds_words((least, most))}", at)


def bounds_words(bounds: Bounds) -> str:
    """The bounds in words.

    >>> bounds_words((2500.0, math.inf)), bounds_words((0.0, 2000.0)), bounds_words((2000.0, 3000.0))
    ('of 2500 Hz or more', 'of 2000 Hz or less', 'between 2000 and 3000 Hz')
    """
    least, most = bounds
    if least and most < math.inf:
        return f"between {least:.0f} and {most:.0f} Hz"
    return f"of {least:.0f} Hz or more" if least else f"of {most:.0f} Hz or less"


def within(bounds: Bounds, hertz: float) -> float:
    """The frequency (Hz) within the bounds that is nearest to one."""
    return min(max(hertz, bounds[0]), bounds[1])


def _is_meant(question: str, start: int, *hertz: float) -> bool:
    """Whether frequencies (Hz) that stand from there on are ones to be crossed at."""
    before = question[:start]
    return (
        all(200.0 <= one <= 12000.0 for one in hertz)
        and re.search(rf"{_CROSSES}|\bat {_HERTZ}", question, re.IGNORECASE) is not None
        and _LED.search(before) is not None
        and not OF_A_RESONANCE.search(before[-30:])
    )


def _hertz(text: str, like: str = "") -> float:
    """A frequency (Hz) as it is written; without a unit in that of another."""
    number = float(re.sub(r"[^\d.,]", "", text).replace(",", "."))
    known = text if re.search(r"hz|k", text, re.IGNORECASE) else like
    return number * (1000.0 if "k" in known.casefold() and number < 1000.0 else 1.0)
