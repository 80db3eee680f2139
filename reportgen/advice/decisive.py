"""Of a woofer that was mostly guessed: which figures, once known, would change the picks most.

Knows how far a figure may lie from the usual one. Refuses to know words and mails.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace
from typing import Any

from reportgen.advice import guesses
from reportgen.advice.enquirer import GIVEN
from reportgen.advice.picks import TOLD, screened
from reportgen.catalogue.records import Catalogue, Enquiry, LowDriver, Pairing

MOST = 2
SLOPES = ("LR4",)
SPREAD: Mapping[str, Callable[[float], tuple[float, ...]]] = {
    "diaphragm_area_m2": lambda value: (value / 1.3, value * 1.3),
    "breakup_hz": lambda value: (value / 1.4, value * 1.4),
    "sensitivity_db": lambda value: (value - 3.0, value + 3.0),
    "re_ohm": lambda value: (value / 1.8,),
}
"""How far a figure of a woofer of known size may lie from the usual one (common practice, no source)."""


def decisive(
    enquiry: Enquiry, low: LowDriver, use: Pairing, catalogue: Catalogue, told: Collection[str]
) -> tuple[str, ...]:
    """The two unknown figures of the enquirer's woofer whose plain spread changes most what is `told` (IDs of high drivers)."""
    unknown = [name for given, name in GIVEN.items() if getattr(enquiry, given) is None and name in SPREAD]
    moved: list[tuple[int, int, str]] = []
    for name in unknown:
        value = getattr(low, name) or guesses.typical(low.diaphragm_area_m2).get(name)
        changed = 0
        for other in SPREAD[name](value) if value is not None else ():
            fields: dict[str, Any] = {name: other}
            widened = replace(catalogue, low_drivers={**catalogue.low_drivers, low.id: replace(low, **fields)})
            best = [one.high_id for one in screened(use, SLOPES, widened) if one.word != "not suitable"]
            changed += len(set(told) - set(best[: 2 * TOLD]))
        moved.append((-changed, len(moved), name))
    return tuple(name for _, _, name in sorted(moved)[:MOST])
