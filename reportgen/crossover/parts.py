"""Parts one can buy: preferred values, offers in stock, and pairs made of them.

Knows IEC 60063 and how two parts make one. Refuses to know which network wants them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor, log10
from types import MappingProxyType
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.frequencies import nearest
from reportgen.crossover.networks import Component, Join, Kind

Policy = Literal["any", "preferred", "stock"]
Series = Literal["E6", "E12", "E24"]

E_SERIES: Mapping[str, tuple[float, ...]] = MappingProxyType(
    {
        "E6": (1.0, 1.5, 2.2, 3.3, 4.7, 6.8),
        "E12": (1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2),
        "E24": (
            *(1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0),
            *(3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1),
        ),
    }
)
"""Preferred values of one decade (IEC 60063)."""


@dataclass(frozen=True, slots=True)
class PartOffer:
    """One line of the parts list: a capacitor "C", coil "L" or resistor "R" in farad, henry or ohm.

    `tolerance` is a share; `rating` in V (capacitor), A (coil) or W (resistor); `stock` is the number at
    hand, None when nobody counted.
    """

    id: str
    kind: Kind
    value: float
    tolerance: float | None = None
    resistance_ohm: float = 0.0
    rating: float | None = None
    rating_unit: str = ""
    price: float | None = None
    stock: int | None = None


def preferred_values(series: Series, lowest: float, highest: float) -> NDArray[np.float64]:
    """Every value of the series from `lowest` to `highest`, rising.

    >>> preferred_values("E12", 4.0, 7.0).tolist()
    [4.7, 5.6, 6.8]
    """
    decades = range(floor(log10(lowest)) - 1, ceil(log10(highest)) + 1)
    values = np.array([float(f"{step}e{decade}") for decade in decades for step in E_SERIES[series]])
    return values[(values >= lowest * (1 - 1e-9)) & (values <= highest * (1 + 1e-9))]


def nearest_preferred(series: Series, value: float) -> float:
    """The value of the series nearest in ratio.

    >>> nearest_preferred("E24", 4.9)
    5.1
    """
    near = preferred_values(series, value / 2.0, value * 2.0)
    return float(near[nearest(near, value)])


def _offer_component(offer: PartOffer, like: Component) -> Component:
    return replace(
        like,
        value=offer.value,
        resistance_ohm=offer.resistance_ohm,
        part_id=offer.id,
        made_of=(),
        join="",
        made_of_ids=(),
        made_of_prices=(),
        tolerance=offer.tolerance,
        price=offer.price,
        rating=offer.rating,
        rating_unit=offer.rating_unit,
    )


SAME_VALUE = 1e-3
"""Values that differ by a smaller share are the same value."""


def offered_at(offers: Sequence[PartOffer], like: Component) -> Component | None:
    """The cheapest offer of the very value of `like` in its place; None where there is none."""
    same = [one for one in offers if one.kind == like.kind and abs(one.value / like.value - 1.0) < SAME_VALUE]
    priced = sorted(same, key=lambda one: (one.price is None, one.price or 0.0))
    return _offer_component(priced[0], like) if priced else None


def _adds(kind: Kind, join: Join) -> bool:
    """Whether values add (resistors and coils in series, capacitors in parallel) or their inverses do."""
    return (kind == "C") == (join == "parallel")


def paired_value(kind: Kind, first: float, second: float, join: Join) -> float:
    """Value of two parts in series or parallel.

    >>> paired_value("C", 2.0, 2.0, "series"), paired_value("R", 2.0, 2.0, "series")
    (1.0, 4.0)
    """
    return first + second if _adds(kind, join) else first * second / (first + second)


def paired_rating(first: PartOffer, second: PartOffer, join: Join) -> float | None:
    """Rating of the pair as a whole before either part reaches its own; None when either is unknown.

    The stress divides in proportion to the value where values add, inversely where they do not; capacitors in
    parallel have one voltage, coils in series one current.
    """
    if first.rating is None or second.rating is None:
        return None
    if (first.kind, join) in (("C", "parallel"), ("L", "series")):
        return min(first.rating, second.rating)
    total = first.value + second.value
    own, other = first.value / total, second.value / total
    shares = (own, other) if _adds(first.kind, join) else (other, own)
    return min(first.rating / shares[0], second.rating / shares[1])


def pair(first: PartOffer, second: PartOffer, join: Join, like: Component) -> Component:
    """Two offers as one component in the place of `like`; losses, tolerance, rating and price of the pair."""
    prices = () if first.price is None or second.price is None else (first.price, second.price)
    losses = (first.resistance_ohm, second.resistance_ohm)
    tolerances = (first.tolerance, second.tolerance)
    if join == "series":
        loss = sum(losses)
    else:  # each branch current is in proportion to C, and the loss to its square
        total = first.value + second.value
        loss = (losses[0] * first.value**2 + losses[1] * second.value**2) / total**2
    return replace(
        _offer_component(first, like),
        value=paired_value(first.kind, first.value, second.value, join),
        resistance_ohm=loss,
        part_id=f"{first.id} + {second.id}",
        made_of=(first.value, second.value),
        join=join,
        made_of_ids=(first.id, second.id),
        made_of_prices=prices,
        tolerance=None if None in tolerances else max(t for t in tolerances if t is not None),
        price=sum(prices) if prices else None,
        rating=paired_rating(first, second, join),
    )


def at_hand(offers: Sequence[PartOffer], kind: Kind) -> tuple[PartOffer, ...]:
    """The offers of one kind that are not out of stock."""
    return tuple(offer for offer in offers if offer.kind == kind and (offer.stock is None or offer.stock > 0))


PART_TOLERANCE = 0.05
"""For parts whose tolerance nobody stated (common practice, no source)."""


def stated_or_usual(parts: Iterable[PartOffer | Component]) -> NDArray[np.float64]:
    """Tolerance of every part as a share, (parts,), with the customary one where none is stated."""
    return np.array([PART_TOLERANCE if part.tolerance is None else part.tolerance for part in parts])


def _pairs_near(offers: tuple[PartOffer, ...], value: float, count: int) -> list[tuple[PartOffer, PartOffer, Join]]:
    """The pairs nearest in ratio to `value`; none that comes within the tolerance of one of its two pieces, which would do alone."""
    values, tolerances = np.array([offer.value for offer in offers]), stated_or_usual(offers)
    first, second = np.triu_indices(len(offers))
    doubles = np.array([offer.stock is None or offer.stock > 1 for offer in offers])
    usable = (first != second) | doubles[first]
    first, second = first[usable], second[usable]
    sums = values[first] + values[second]
    harmonic = values[first] * values[second] / sums
    joins: tuple[Join, Join] = ("parallel", "series") if offers[0].kind == "C" else ("series", "parallel")
    both = np.concatenate([sums, harmonic])
    alone = np.zeros(both.size, dtype=bool)
    for one in (np.tile(first, 2), np.tile(second, 2)):
        alone |= np.abs(np.log(both / values[one])) <= np.log1p(tolerances[one])
    distance = np.where(alone, np.inf, np.abs(np.log(both / value)))
    best = np.argsort(distance, kind="stable")[: min(count, np.count_nonzero(~alone))]
    n = len(first)
    return [(offers[first[i % n]], offers[second[i % n]], joins[i // n]) for i in best]


def stock_candidates(
    offers: Sequence[PartOffer], like: Component, singles: int = 5, pairs: int = 4
) -> tuple[Component, ...]:
    """Single offers and pairs nearest in ratio to `like.value`, nearest first; empty when none is at hand.

    Pairs are made for capacitors and resistors; two coils side by side would couple.
    """
    usable = at_hand(offers, like.kind)
    if not usable:
        return ()

    def distance(value: float) -> float:
        return abs(log10(value / like.value))

    single = sorted(usable, key=lambda offer: (distance(offer.value), offer.price or 0.0))[:singles]
    found = [_offer_component(offer, like) for offer in single]
    if like.kind != "L" and pairs:
        found += [pair(a, b, join, like) for a, b, join in _pairs_near(usable, like.value, pairs)]
    return tuple(sorted(found, key=lambda component: distance(component.value)))


def without_needless(found: Sequence[Component]) -> tuple[Component, ...]:
    """The candidates for one place without pairs that come within the tolerance of a single piece among them, which does alone."""
    singles = [one for one in found if not one.made_of]
    values, room = np.array([one.value for one in singles]), np.log1p(stated_or_usual(singles))
    return tuple(one for one in found if not (one.made_of and np.any(np.abs(np.log(one.value / values)) <= room)))


def stock_limits(offers: Sequence[PartOffer], kind: Kind) -> tuple[float, float] | None:
    """Smallest and largest value that single offers, and pairs of capacitors or resistors, make; None without any."""
    values = [offer.value for offer in at_hand(offers, kind)]
    if not values:
        return None
    return (min(values), max(values)) if kind == "L" else (min(values) / 2.0, 2.0 * max(values))


def used_ids(component: Component) -> tuple[str, ...]:
    """Identifiers of the offers a component uses up."""
    return component.made_of_ids or ((component.part_id,) if component.part_id else ())
