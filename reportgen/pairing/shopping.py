"""What one loudspeaker of a pairing takes from the shelf, and what it costs together.

Knows drivers, guide and counts, and adds money as decimals. Refuses to know networks, currencies and how a price is
printed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from reportgen.catalogue.records import Case, HighDriver, LowDriver, Waveguide


@dataclass(frozen=True, slots=True)
class Item:
    """Something bought whole: on which side of the crossover it stands, what it is, its row, and how many a loudspeaker takes."""

    branch: str
    what: str
    record: LowDriver | HighDriver | Waveguide
    count: int


def drivers_of(case: Case) -> tuple[Item, ...]:
    """Low driver, high driver and guide of one loudspeaker, in this order; no guide where there is none."""
    pairing = case.pairing
    items = [
        Item("low", "low driver", case.low, pairing.low_count),
        Item("high", "high driver", case.high, pairing.high_count),
    ]
    if case.guide is not None:
        items.append(Item("high", "waveguide", case.guide, pairing.high_count))
    return tuple(items)


def cost_of(items: Iterable[Item]) -> float | None:
    """The price of all `items` together; None when one of them states none."""
    return total((item.record.price, item.count) for item in items)


def total(priced: Iterable[tuple[float | None, int]]) -> float | None:
    """The sum of prices times counts, added as decimals so that no cent is lost; None when a price is unknown.

    >>> total([(0.1, 3), (0.7, 1)]), total([(None, 1)]), total([])
    (1.0, None, 0.0)
    """
    found = Decimal(0)
    for price, count in priced:
        if price is None:
            return None
        found += Decimal(repr(float(price))) * count
    return float(found)


def stock_ids(part_id: str | None) -> tuple[str, ...]:
    """The rows of the Parts sheet that one place of a network takes: two where two pieces stand together.

    >>> stock_ids("KC-1 + KC-2"), stock_ids(None)
    (('KC-1', 'KC-2'), ())
    """
    return tuple(one for one in (part_id or "").split(" + ") if one)
