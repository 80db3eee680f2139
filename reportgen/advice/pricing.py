"""The season's price list: which kits may be sold, in which order, for how much.

Knows tax and rounding, in decimals and rounded once. Refuses to judge: the verdict and the operator's decision do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

import pandas as pd

from reportgen.advice.listings import Field, Listing
from reportgen.assessment import Assessment
from reportgen.catalogue.records import Maker
from reportgen.pairing.figures import Figures

SOLD = ("suitable", "suitable with conditions")
NOT_SOLD = ("rejected", "on hold")


@dataclass(frozen=True)
class Offer:
    """One kit of the list; prices in the maker's currency, None where a part states none, `gross` also without a tax."""

    assessment: Assessment
    net: Decimal | None
    gross: Decimal | None

    @property
    def figures(self) -> Figures | None:
        """The figures of the finished loudspeaker."""
        return self.assessment.figures


def rounded(price: Decimal, step: float) -> Decimal:
    """A price at the nearest multiple of `step`, halves up.

    >>> rounded(Decimal("129.975"), 0.05), rounded(Decimal("1234.50"), 1.0), rounded(Decimal("0.125"), 0.01)
    (Decimal('130.00'), Decimal('1235'), Decimal('0.13'))
    """
    size = Decimal(repr(step)).normalize()
    places = min(0, int(size.as_tuple().exponent))
    return ((price / size).quantize(Decimal(1), ROUND_HALF_UP) * size).quantize(Decimal(1).scaleb(places))


def offers(found: Sequence[Assessment], maker: Maker) -> tuple[Offer, ...]:
    """The kits that may be sold, the cheapest first; those whose price is not known last.

    Both prices come from the exact sum, each rounded once.
    """
    rows = [
        (one, Decimal(repr(one.figures.pair_price)) if one.figures and one.figures.pair_price is not None else None)
        for one in found
        if one.verdict.word in SOLD and one.case.pairing.decision not in NOT_SOLD
    ]
    share = Decimal(1) + Decimal(repr(round(maker.tax or 0.0, 8)))
    table = pd.DataFrame(
        {"offer": range(len(rows)), "price": [float(price) if price is not None else None for _, price in rows]}
    )
    order = table.sort_values(["price", "offer"], na_position="last", kind="stable")["offer"]
    return tuple(_offer(one, price, share, maker) for one, price in (rows[number] for number in order))


def _offer(one: Assessment, price: Decimal | None, share: Decimal, maker: Maker) -> Offer:
    if price is None:
        return Offer(one, None, None)
    gross = rounded(price * share, maker.price_step) if maker.tax is not None else None
    return Offer(one, rounded(price, maker.price_step), gross)


def suits(one: Offer) -> str:
    """What a kit suits, from its use and its figures."""
    use, figures = one.assessment.case.pairing, one.figures
    words = [use.surroundings]
    if figures is not None:
        low, high = figures.amplifier_w
        amplifier = f"amplifiers of {low:.0f} to {high:.0f} W" if high is not None else f"amplifiers from {low:.0f} W"
        words += [f"up to {figures.highest_level_db:.0f} dB at {use.distance_m:g} m", amplifier]
    return ", ".join(words)


def price_listing(found: Sequence[Offer], maker: Maker) -> Listing:
    """The list as a sheet."""
    fields = (
        Field("Kit", "id"), Field("Pairing", "id"), Field("Drivers"), Field("Verdict", "verdict"), Field("Sensitivity (dB)", "count"),
        Field("From", "hz"), Field("To", "hz"), Field("Rated impedance (ohm)", "count"), Field("Highest level (dB)", "count"),
        Field("Net volume (L)", "count"), Field("It suits", "words"), Field("A kit", "money"), Field("With tax", "money"),
    )  # fmt: skip
    return Listing("Price list", fields, tuple(_row(one) for one in found))


def _row(one: Offer) -> tuple[str | float | None, ...]:
    pairing, known = one.assessment.case.pairing, one.figures
    figures: list[float | None] = [None] * 6
    if known is not None:
        volume = None if known.net_volume_m3 is None else round(known.net_volume_m3 * 1e3, 1)
        figures = [
            round(known.sensitivity_db), *known.effective_range_hz, known.rated_impedance_ohm, round(known.highest_level_db), volume,
        ]  # fmt: skip
    prices = [None if price is None else float(price) for price in (one.net, one.gross)]
    drivers = f"{pairing.low_id} and {pairing.high_id}"
    return (
        pairing.kit or one.assessment.id,
        one.assessment.id,
        drivers,
        one.assessment.verdict.word,
        *figures,
        suits(one),
        *prices,
    )
