"""Why a design looks as it does, in a few plain lines for the one who builds it.

Knows the pair of branches that was chosen and those that were not. Refuses to know how any of them was found.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from reportgen.acoustics.slopes import Slope, polarity
from reportgen.crossover.forms import form_of
from reportgen.crossover.joint import JointFit
from reportgen.crossover.networks import Branch
from reportgen.crossover.selection import Selected
from reportgen.crossover.sides import DesignOptions


@dataclass(frozen=True, slots=True, eq=False)
class Grounds:
    """What the reasons rest on: every pair of forms fitted together, the chosen one first, and what came of it.

    `own_db` is how far low and high driver themselves depart, at `sum_worst_hz`, from their mean about it.
    """

    slope: Slope
    options: DesignOptions
    fits: list[JointFit]
    selected: Selected
    optimum_db: float
    pad_db: float
    shortfall_db: float
    sum_worst_db: float
    sum_worst_hz: float
    own_db: tuple[float, float]


def reasons(grounds: Grounds) -> tuple[str, ...]:
    """At most six sentences: the form, what others would have cost or gained, polarity, parts, what is left."""
    return tuple(
        line
        for line in (
            _form(grounds),
            _alternatives(grounds),
            _polarity(grounds),
            _parts(grounds),
            _shortfall(grounds),
            _rest(grounds),
        )
        if line
    )


def _in_words(branch: Branch, pad_db: float = 0.0) -> str:
    words = form_of(branch).split(" + ")
    told = [f"level pad of {pad_db:.1f} dB" if word == "level pad" and pad_db >= 0.5 else word for word in words]
    return " with ".join(filter(None, (told[0], " and ".join(filter(None, (", ".join(told[1:-1]), *told[1:][-1:]))))))


def _form(grounds: Grounds) -> str:
    chosen = grounds.selected
    return f"Low branch: {_in_words(chosen.low)}. High branch: {_in_words(chosen.high, grounds.pad_db)}."


def _parts_of(fit: JointFit) -> int:
    return len(fit.low.branch.components) + len(fit.high.branch.components)


def _alternatives(grounds: Grounds) -> str:
    """The best fits with fewer and with more parts, against the chosen one."""
    best, others = grounds.fits[0], grounds.fits[1:]
    own = _parts_of(best)
    fewer = [fit for fit in others if _parts_of(fit) < own]
    more = [fit for fit in others if _parts_of(fit) > own]
    told = [
        f"With {own} parts both branches, their sum and phase together miss their targets by {grounds.optimum_db:.2f} dB."
    ]
    if fewer:
        told.append(_compared(fewer, own, grounds.optimum_db))
    if more and min(fit.missed_db for fit in more) < grounds.optimum_db - NEARER_DB:
        told.append(_compared(more, own, grounds.optimum_db))
    elif more:
        told.append("No form of more parts came nearer.")
    return " ".join(told)


NEARER_DB = 0.005
"""Less is not seen in two decimals."""


def _compared(fits: list[JointFit], own: int, optimum_db: float) -> str:
    nearest = min(fits, key=lambda fit: fit.missed_db)
    count = _parts_of(nearest)
    way = "fewer" if count < own else "more"
    text = f"The best of {count} parts tried, {abs(count - own)} {way}, misses by {nearest.missed_db:.2f} dB"
    as_near = count < own and nearest.missed_db < optimum_db + NEARER_DB
    return f"{text}; the checks, on real parts, decided between them." if as_near else f"{text}."


def _polarity(grounds: Grounds) -> str:
    reversed_, usual = grounds.fits[0].sign < 0, polarity(grounds.slope) == grounds.fits[0].sign
    why = (
        f"as {grounds.slope.name} asks"
        if usual
        else f"unlike the usual for {grounds.slope.name}: the drivers' own phase turns the sum"
    )
    return f"The high driver is {'reversed' if reversed_ else 'not reversed'}, {why}."


def _parts(grounds: Grounds) -> str:
    options, selected = grounds.options, grounds.selected
    if options.policy == "any":
        return "Values are those of the fit, to three digits."
    source = (
        "in stock"
        if options.policy == "stock"
        else f"of the {options.series} series, resistors of {options.resistor_series}"
    )
    loss = selected.heard_db - grounds.optimum_db
    text = f"Parts {source}, chosen for both branches at once; against free values that costs {max(loss, 0.0):.2f} dB."
    return " ".join([text, *_wanting(grounds)])


def _wanting(grounds: Grounds) -> Iterator[str]:
    options, selected = grounds.options, grounds.selected
    lacking = [c.role for c in (*selected.low.components, *selected.high.components) if c.part_id is None]
    if options.policy == "stock" and lacking:
        yield f"Nothing at hand for {', '.join(dict.fromkeys(lacking))}: preferred values stand there and must be bought."
    if not selected.within_stock:
        yield "The stock does not hold enough of one part; see the parts list."


def _shortfall(grounds: Grounds) -> str:
    if grounds.shortfall_db <= 0.05:
        return ""
    return f"The high driver stays {grounds.shortfall_db:.1f} dB below the low one; no network of coils, capacitors and resistors can lift it."


STRAYS_FROM_DB, OWN_FROM_DB = 1.5, 1.0
"""Less is not worth a word (common practice, no source)."""


def _rest(grounds: Grounds) -> str:
    if abs(grounds.sum_worst_db) < STRAYS_FROM_DB:
        return ""
    way = "below" if grounds.sum_worst_db < 0.0 else "above"
    text = f"The sum strays most at {grounds.sum_worst_hz:.0f} Hz, {abs(grounds.sum_worst_db):.1f} dB {way} its target"
    low, high = (np.sign(grounds.sum_worst_db) * own for own in grounds.own_db)
    if min(low, high) > 0.0 and max(low, high) >= OWN_FROM_DB:
        text += f", where both drivers on this baffle stand {low:.1f} and {high:.1f} dB {way} their own mean"
    return f"{text}; the parts tried against it did not pay."
