"""What differs between two assessments of a pairing, in the figures that a maker acts on.

Knows which figures those are and when two of them are the same. Refuses to know why they moved.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from decimal import Decimal

from reportgen.assessment import Assessment
from reportgen.catalogue.currencies import grouped
from reportgen.pairing.shopping import cost_of, drivers_of, stock_ids, total

NOTHING = "none"
OF_THE_KIT = "Price of the kit"
OF_DRIVERS = "Price of drivers and guides"
ON_PRICES = "Where a part of a network states no price, drivers and guides alone are compared"


@dataclass(frozen=True)
class Figures:
    """The figures of one assessment: verdict, crossover (Hz), pieces of the network by name, holes in the baffle, and prices.

    `price` is that of the kit, `drivers` that of its drivers and guides alone; None where something states no price.
    `corner_hz` is where the low driver is 3 dB down in its box or on its open baffle.
    """

    verdict: str
    crossover_hz: float | None
    pieces: Counter[str]
    holes: str
    price: float | None
    drivers: float | None
    decision: str
    corner_hz: float | None = None

    @property
    def count(self) -> int | None:
        """How many pieces the network has; None where none was designed."""
        return sum(self.pieces.values()) or None


@dataclass(frozen=True, slots=True)
class Move:
    """One figure that moved, in words."""

    what: str
    before: str
    after: str

    @property
    def text(self) -> str:
        """The move in one piece."""
        return f"{self.what}: {self.before} -> {self.after}"


def figures_of(found: Assessment) -> Figures:
    """The figures of an assessment."""
    return Figures(
        found.verdict.word,
        found.crossover_hz,
        _pieces(found),
        _holes(found),
        found.figures.pair_price if found.figures else None,
        total([(cost_of(drivers_of(found.case)), found.case.practice.loudspeakers_a_kit)]),
        found.case.pairing.decision,
        _corner_hz(found),
    )


def _corner_hz(found: Assessment) -> float | None:
    return found.figures.corner_hz if found.figures else None


def octaves_less(before: Assessment, after: Assessment) -> float:
    """How much earlier the bass ends (octaves), as far as that is told; 0 where it is not."""
    was, now = _corner_hz(before), _corner_hz(after)
    return math.log2(now / was) if was and now and less_bass(before, after) else 0.0


def less_bass(before: Assessment, after: Assessment) -> str:
    """Where the bass ends, in words, if another low driver or box ends it earlier by more than two pieces of one driver differ; else empty."""
    was, now = _corner_hz(before), _corner_hz(after)
    if was is None or now is None or now <= was * (1.0 + before.case.practice["driver resonance tolerance"]):
        return ""
    return f"bass from {now:.0f} Hz in place of {was:.0f} Hz"


def prices_alike(one: Figures, other: Figures) -> tuple[str, float | None, float | None]:
    """What two assessments cost, like with like: the kits where both prices are known, else drivers and guides alone."""
    if one.price is not None and other.price is not None:
        return OF_THE_KIT, one.price, other.price
    return OF_DRIVERS, one.drivers, other.drivers


def dearer_by(one: Figures, other: Figures) -> float | None:
    """How much more the other costs, to the last coin; None where a price is not known, or the networks alone differ and theirs is not."""
    what, before, after = prices_alike(one, other)
    networks_alone = what != OF_THE_KIT and before == after and one.pieces != other.pieces
    if before is None or after is None or networks_alone:
        return None
    return float(Decimal(repr(after)) - Decimal(repr(before)))


def _pieces(found: Assessment) -> Counter[str]:
    """The pieces of the network, by order name or by value."""
    pieces: Counter[str] = Counter()
    for part in found.parts:
        values = part.made_of or (part.value,)
        pieces.update(stock_ids(part.part_id) or (value_words(part.kind, value) for value in values))
    return pieces


_UNITS = {"C": ("F", "capacitor"), "L": ("H", "coil"), "R": ("ohm", "resistor")}
_STEPS = ((1e-9, "n"), (1e-6, "u"), (1e-3, "m"), (1.0, ""))


def value_words(kind: str, value: float) -> str:
    """A part by its value.

    >>> value_words("C", 4.7e-6), value_words("L", 4.7e-4), value_words("R", 3.3)
    ('capacitor 4.7 uF', 'coil 0.47 mH', 'resistor 3.3 ohm')
    """
    unit, name = _UNITS[kind]
    scale, prefix = {"C": _STEPS[1], "L": _STEPS[2], "R": _STEPS[3]}[kind]
    return f"{name} {value / scale:.4g} {prefix}{unit}"


def _holes(found: Assessment) -> str:
    """What is cut into the baffle: both holes or frames, and the distance of the centres."""
    low, high, guide = found.case.low, found.case.high, found.case.guide
    front = guide.mouth_width_m if guide else high.cutout_width_m or high.faceplate_width_m
    upright = guide.mouth_height_m if guide else high.cutout_height_m or high.faceplate_height_m
    sizes = [_size(low.cutout_m or low.frame_width_m, None), _size(front, upright)]
    spacing = found.layout.spacing_m
    apart = f", centres {spacing * 1e3:.0f} mm" if spacing is not None else ""
    return f"{' and '.join(sizes)} mm{apart}"


def _size(width_m: float | None, height_m: float | None) -> str:
    if width_m is None:
        return "unknown"
    return f"{width_m * 1e3:.0f}" + (f" x {height_m * 1e3:.0f}" if height_m and height_m != width_m else "")


def moves(before: Assessment, after: Assessment) -> tuple[Move, ...]:
    """What moved between two assessments; nothing where every figure is the same as it is printed."""
    one, other = figures_of(before), figures_of(after)
    what, before_price, after_price = prices_alike(one, other)
    pairings = before.case.pairing, after.case.pairing
    rows = [
        ("ID", *(one.id for one in pairings)),
        ("Kit", *(one.kit or NOTHING for one in pairings)),
        ("Verdict", one.verdict, other.verdict),
        ("Crossover", _hz(one.crossover_hz), _hz(other.crossover_hz)),
        ("Corner of the bass", _hz(one.corner_hz), _hz(other.corner_hz)),
        ("Network", *_exchanged(one.pieces, other.pieces)),
        ("Holes", one.holes, other.holes),
        _prices(OF_THE_KIT, one.price, other.price, before, after),
        *([_prices(what, before_price, after_price, before, after)] if what != OF_THE_KIT else []),
        ("Decision", one.decision, other.decision),
    ]
    return tuple(Move(*row) for row in rows if row[1] != row[2])


def _prices(
    what: str, price: float | None, then: float | None, before: Assessment, after: Assessment
) -> tuple[str, str, str]:
    """A row of prices; the currency stands in its name, or with each price where it is another."""
    currency, other = (one.case.maker.currency for one in (before, after))
    if currency == other or price is None is then:
        return f"{what} ({other})", money(price, other), money(then, other)
    return what, f"{money(price, currency)} {currency}", f"{money(then, other)} {other}"


def _exchanged(before: Counter[str], after: Counter[str]) -> tuple[str, str]:
    """The pieces that only one of two networks has."""
    gone, new = before - after, after - before
    return _counted(gone, before), _counted(new, after)


def _counted(some: Counter[str], of: Counter[str]) -> str:
    if not of:
        return NOTHING
    names = ", ".join(name if count == 1 else f"{count} x {name}" for name, count in sorted(some.items())[:4])
    more = f" and {len(some) - 4} more" if len(some) > 4 else ""
    return (
        f"{sum(of.values())} {'piece' if sum(of.values()) == 1 else 'pieces'}{f', with {names}{more}' if some else ''}"
    )


def _hz(value: float | None) -> str:
    return NOTHING if value is None else f"{value:.0f} Hz"


def money(value: float | None, currency: str) -> str:
    """A sum of money in words.

    >>> money(1234.5, "EUR"), money(1234.0, "JPY"), money(None, "EUR")
    ('1\\xa0234.50', '1\\xa0234', 'unknown')
    """
    return "unknown" if value is None else grouped(value, currency)
