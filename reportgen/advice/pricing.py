"""The season's price list: which kits may be sold, in which order, for how much.

Knows tax and rounding, in decimals and rounded once. Refuses to judge: the verdict and the operator's decision do.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import pandas as pd

from reportgen.advice.listings import Field, Listing, joined
from reportgen.advice.moves import value_words
from reportgen.assessment import Overview, Ware
from reportgen.catalogue.currencies import rounded
from reportgen.catalogue.records import Maker
from reportgen.pairing.figures import Figures
from reportgen.pairing.heat import at_most_w
from reportgen.pairing.parts_list import PartLine
from reportgen.pairing.shopping import drivers_of
from reportgen.suitability.verdict import YES

NOT_SOLD = ("rejected", "on hold")


@dataclass(frozen=True)
class Offer:
    """One kit of the list; prices in the maker's currency, None where a part states none, `gross` also without a tax."""

    ware: Ware
    net: Decimal | None
    gross: Decimal | None

    @property
    def figures(self) -> Figures | None:
        """The figures of the finished loudspeaker."""
        return self.ware.outline.figures


def may_be_sold(one: Overview) -> bool:
    """True where neither the verdict nor the operator's decision speaks against it."""
    return one.verdict.word in YES and one.case.pairing.decision not in NOT_SOLD


def offers(found: Sequence[Ware], maker: Maker) -> tuple[Offer, ...]:
    """The kits that may be sold, the cheapest first; those whose price is not known last.

    Both prices come from the exact sum, each rounded once.
    """
    rows = [
        (one, Decimal(repr(known.pair_price)) if known and known.pair_price is not None else None)
        for one in found
        for known in (one.outline.figures,)
        if may_be_sold(one.outline)
    ]
    share = Decimal(1) + Decimal(repr(round(maker.tax or 0.0, 8)))
    table = pd.DataFrame(
        {"offer": range(len(rows)), "price": [float(price) if price is not None else None for _, price in rows]}
    )
    order = table.sort_values(["price", "offer"], na_position="last", kind="stable")["offer"]
    return tuple(_offer(one, price, share, maker) for one, price in (rows[number] for number in order))


def _offer(one: Ware, price: Decimal | None, share: Decimal, maker: Maker) -> Offer:
    if price is None:
        return Offer(one, None, None)
    gross = rounded(price * share, maker.price_step, maker.currency) if maker.tax is not None else None
    return Offer(one, rounded(price, maker.price_step, maker.currency), gross)


def unpriced(one: Offer) -> tuple[str, ...]:
    """What of a kit states no price, in words for the operator: drivers and guide by ID, parts by ID or value and rating."""
    found = one.ware
    whole = [item.record.id for item in drivers_of(found.case) if item.record.price is None]
    parts = [part.part_id or _to_buy(part) for part in found.parts if part.price is None]
    return tuple(dict.fromkeys((*whole, *parts)))


def _to_buy(part: PartLine) -> str:
    """A part of no row: the value may stand in the Parts sheet, of too low a rating."""
    rated = "" if part.rating_to_buy is None else f" of {part.rating_to_buy:g} {part.rating_unit}"
    return value_words(part.kind, part.value) + rated


def unpriced_notes(found: Sequence[Offer]) -> tuple[str, ...]:
    """Why kits have no price, for the operator alone, and how to mend it."""
    names = [one for one in found if one.net is None]
    notes = [f"{one.ware.id} has no price: {joined(unpriced(one), 6) or 'it has no network'}" for one in names]
    mend = "Add those parts with a price to the sheet Parts, or set “Parts” of the pairing to “stock”"
    return (*notes, mend) if notes else ()


def suits(one: Offer) -> str:
    """What a kit suits, from its use and its figures."""
    use, figures = one.ware.case.pairing, one.figures
    words = [use.surroundings, *([use.placement] if use.placement else [])]
    if figures is not None:
        enough_w, most_w = figures.amplifier_w
        least_w = use.amplifier_power_w if most_w is None else min(use.amplifier_power_w, at_most_w(most_w))
        by_amplifier_db = use.peak_level_db + 10.0 * math.log10(least_w / enough_w)
        level_db = min(figures.highest_level_db, by_amplifier_db)
        words += [f"up to {level_db:.0f} dB at {use.distance_m:g} m with {least_w:g} W"]
        if most_w is not None:
            words += [f"{at_most_w(most_w):g} W at most" if at_most_w(most_w) > least_w else "no more"]
    return ", ".join(words)


def price_listing(found: Sequence[Offer], maker: Maker) -> Listing:
    """The list as a sheet."""
    fields = (
        Field("Kit", "id"), Field("Pairing", "id"), Field("Drivers"), Field("Verdict", "verdict"), Field("Sensitivity (dB)", "count"),
        Field("Range from", "hz"), Field("Range to", "hz"), Field("Rated impedance (ohm)", "count"), Field("Highest level (dB)", "count"),
        Field("Net volume (L)", "count"), Field("It suits", "words"), Field("A kit", "money"), Field("With tax", "money"),
        Field("Without a price", "words"),
    )  # fmt: skip
    return Listing("Price list", fields, tuple(_row(one) for one in found))


def _several(count: int, name: str) -> str:
    return name if count == 1 else f"{count} x {name}"


def _row(one: Offer) -> tuple[str | float | None, ...]:
    pairing, known = one.ware.case.pairing, one.figures
    figures: list[float | None] = [None] * 6
    if known is not None:
        volume = None if known.net_volume_m3 is None else round(known.net_volume_m3 * 1e3, 1)
        figures = [
            round(known.sensitivity_db, 1), *known.effective_range_hz, known.rated_impedance_ohm, round(known.highest_level_db), volume,
        ]  # fmt: skip
    prices = [None if price is None else float(price) for price in (one.net, one.gross)]
    drivers = f"{_several(pairing.low_count, pairing.low_id)} and {_several(pairing.high_count, pairing.high_id)}"
    return (
        pairing.kit or one.ware.id,
        one.ware.id,
        drivers,
        one.ware.outline.verdict.word,
        *figures,
        suits(one),
        *prices,
        joined(unpriced(one), 6) if one.net is None else "",
    )
