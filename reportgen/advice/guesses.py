"""A woofer of which hardly anything is known: typical figures of its size, and what an enquirer's words say of it.

Knows sizes and children in plain words. Refuses to pass a guess off as known: whatever is assumed is named.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

import numpy as np

from reportgen.advice.said import COUNTS, DRIVER, FRACTION, HIGH, LOW, metres

USUAL_M2 = 0.0132
"""Area where not even the size is known: a 165 mm woofer, the commonest (common practice, no source)."""

SEAT_M = 1.0
"""How far an ear is from a loudspeaker in a vehicle (m; common practice, no source)."""

_SIZES = (
    (0.0028, 95.0, 3.2, 0.50, 3.6, 84.5, 9000.0, 0.10, 2.0, 15.0),
    (0.0055, 68.0, 3.6, 0.50, 5.4, 86.0, 7500.0, 0.15, 2.8, 25.0),
    (0.0088, 54.0, 4.0, 0.50, 5.6, 87.0, 6300.0, 0.20, 3.5, 35.0),
    (0.0132, 44.0, 4.5, 0.50, 5.7, 88.0, 5000.0, 0.30, 4.5, 60.0),
    (0.0215, 34.0, 4.5, 0.45, 5.8, 89.5, 3500.0, 0.40, 5.5, 80.0),
    (0.0340, 28.0, 5.0, 0.45, 5.8, 90.5, 2700.0, 0.55, 6.5, 120.0),
    (0.0530, 26.0, 5.0, 0.40, 5.8, 92.5, 2100.0, 0.70, 7.0, 200.0),
    (0.0850, 28.0, 5.5, 0.35, 5.8, 95.0, 1500.0, 0.90, 7.0, 300.0),
)
"""Typical woofers by area (m2): Fs (Hz), Qms, Qes, Re (ohm), sensitivity (dB), cone break-up (Hz), Le (mH), Xmax (mm), rated power
(W); common practice, no source."""

_FIELDS = ("fs_hz", "qms", "qes", "re_ohm", "sensitivity_db", "breakup_hz", "le_h", "peak_travel_m", "rated_power_w")
_AREA_BY_INCH: Mapping[float, float] = {
    3.0: 0.0028, 4.0: 0.0055, 5.0: 0.0088, 6.0: 0.0125, 6.5: 0.0132, 7.0: 0.0150, 8.0: 0.0215, 10.0: 0.0340, 12.0: 0.0530, 15.0: 0.0850,
}  # fmt: skip
"""Area by nominal size, the diameter of the frame in inches (common practice, no source)."""

_SIZE = re.compile(
    rf"(?<![\w.,x×-])(?<![x×] )(?<!\b[whdWHD] )(?<!baffle )(?<!baffle of )(?:(?P<word>{'|'.join(COUNTS)})|{FRACTION})\s*[-–]?\s*(?:(?P<inch>inch(?:es|er)?\b|in\b(?!\s+(?:an?|the|my|our|your|its)\b)|[\"″”]|''|zoll\b)"
    r"|(?:cm|(?P<mm>mm))\b(?!\s*(?:²|2|wide|away|high|deep|from)))",
    re.IGNORECASE,
)
_BETWEEN = r"[\s-]*(?:(?!with\b|and\b|or\b|for\b|in\b|ha[sd]\b|have\b|lost\b|is\b|was\b|needs?\b|wants?\b|what\b|which\b|looking\b)\w+(?:\.\w+)*[\s-]+){0,4}?"
_OF = (
    (3, re.compile(rf"{_BETWEEN}(?:mid|squawker)\w*", re.IGNORECASE)),
    (0, re.compile(rf"{_BETWEEN}{HIGH}\b", re.IGNORECASE)),
    (2, re.compile(rf"{_BETWEEN}{LOW}\b", re.IGNORECASE)),
)
"""What a size may be of, by the words after it: the high driver takes over from a midrange, where there is one, else from the woofer."""
_OF_A_WOOFER = re.compile(
    rf"\b(?:{LOW}|drivers?|diameter|cones?|heads?)[\Wø]*(?:(?:is|of|are)\s+(?:an?\s+(?:(?:unknown|old|simple|no-?name|standard)\s+)?)?)?$",
    re.IGNORECASE,
)
"""What stands before a size in millimetres, which is a woofer's only where one is spoken of."""
_CHILD = re.compile(
    r"\b(toddlers?|bab(?:y|ies)|(?:grand)?child(?:ren)?|kids?|infants?|nurser(?:y|ies)|kindergartens?|day[- ]?care|child ?care|cr[eè]che|pre-?school|playrooms?|(?:grand)?(?:daughter|son)s?|little (?:ones?|fingers|hands)"
    rf"|(?<![\d.,])(?:[1-9]|1[0-2])[- ]?(?:year|yr|month)s?[- ]olds?(?!\s+(?:\w+\s+)?(?:{DRIVER}|amp\w*|receiver|pair|system|cars?|box(?:es)?|cabinets?|kit|design)))\b",
    re.IGNORECASE,
)


def typical(area_m2: float) -> dict[str, float]:
    """Typical figures of a woofer of this area (m2), SI, between the sizes of the table on logarithmic axes.

    >>> round(typical(0.0132)["breakup_hz"]), round(typical(0.0215)["fs_hz"])
    (5000, 34)
    """
    table = np.array(_SIZES)
    at = np.log(area_m2)  # beyond either end of the table its end counts
    found = {name: float(np.interp(at, np.log(table[:, 0]), table[:, i])) for i, name in enumerate(_FIELDS, 1)}
    return {**found, "le_h": found["le_h"] * 1e-3, "peak_travel_m": found["peak_travel_m"] * 1e-3}


def size_named(question: str) -> tuple[float | None, str]:
    """The area (m2) of the size that a question names of its low driver, and the words for it; None where it names none.

    >>> area, words = size_named("An unknown 6-inch in a van")
    >>> round(area, 4), words, size_named("a six and a half litre box")
    (0.0125, '6-inch', (None, ''))
    >>> size_named("Can I use a 4 inch full range as a tweeter with a 15 inch PA woofer?")[1]
    '15 inch'
    >>> size_named("a 12 inch woofer and a 5 inch midrange")[1], size_named("a 3 inch horn tweeter")
    ('5 inch', (None, ''))
    """
    sizes = []
    for match in _SIZE.finditer(question):
        inches = (
            COUNTS.get((match["word"] or "").casefold())
            or metres(re.sub("(?i)er$|[-–]|zoll", " ", match[0]), "in") / 0.0254
        )
        weight = next((weight for weight, of in _OF if of.match(question, match.end())), 1)
        named = weight > 1 or _OF_A_WOOFER.search(question[: match.start()])
        if 2.5 <= inches <= 18.0 and weight and (named or not match["mm"]):
            sizes.append((bool(match["inch"]), weight, -match.start(), inches, match[0].strip()))
    if not sizes:
        return None, ""
    *_, inches, words = max(sizes)
    return area_of_inches(inches), words


def area_of_inches(inches: float) -> float:
    """The usual area (m2) of a woofer by the nominal size of its frame."""
    sizes = sorted(_AREA_BY_INCH.items())
    return float(
        math.exp(
            np.interp(math.log(inches), [math.log(size) for size, _ in sizes], [math.log(area) for _, area in sizes])
        )
    )


def child_named(question: str) -> bool:
    """True when a child is spoken of."""
    return _CHILD.search(question) is not None
