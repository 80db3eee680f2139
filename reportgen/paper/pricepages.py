"""The season's price list on paper: a kit a row, with the picture of its range.

Knows how figures and prices are worded. Refuses to know how they came about.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from reportgen.advice.pricing import Offer, suits
from reportgen.catalogue.currencies import grouped
from reportgen.catalogue.records import Maker
from reportgen.paper.composing import drivers_words, maker_block
from reportgen.paper.drawings import Picture
from reportgen.paper.frontfigures import rated_words
from reportgen.paper.pages import Fact, MakerBlock
from reportgen.paper.printing import Stamp
from reportgen.paper.rangepicture import axis_strip, range_strip
from reportgen.paper.scales import Scale
from reportgen.paper.wording import NO_BREAK, NONE, counted, least_load, printed, span, with_unit
from reportgen.suitability.verdict import UsableRange

if TYPE_CHECKING:
    from reportgen.pairing.figures import Figures

STRIP = 190.0
"""Width of the picture of a range in points."""


@dataclass(frozen=True, slots=True)
class PriceRow:
    """One kit: its name, what is in it, its figures, each on one line, the picture of its range, what it suits, its prices.

    `net` is empty where the price is not known, `gross` also where no tax is given.
    """

    kit: str
    drivers: str
    figures: tuple[str, ...]
    strip: Picture
    suits: str
    net: str
    gross: str


@dataclass(frozen=True, slots=True)
class PriceListPage:
    """The price list; `gross_head` is empty where no tax is given."""

    template: ClassVar[str] = "pricelist.html"

    lang: str
    title: str
    subject: str
    maker: MakerBlock
    stamp: tuple[Fact, ...]
    foot: str
    axis: Picture
    net_head: str
    gross_head: str
    rows: tuple[PriceRow, ...]
    notes: tuple[str, ...]


def price_pages(offers: Sequence[Offer], season: str, maker: Maker, stamp: Stamp) -> Iterator[PriceListPage]:
    """The list on as many pages as it takes."""
    ranges = [one.figures.effective_range_hz for one in offers if one.figures]
    low, high = min([20.0, *(one for one, _ in ranges)]), max([22000.0, *(other for _, other in ranges)])
    axis = Scale(low, high, 6.0, STRIP - 6.0, log=True)
    day = stamp.date.isoformat()
    tax = f"with {maker.tax * 100:g} % tax" if maker.tax is not None else ""
    yield PriceListPage(
        lang="en",
        title=f"Price list {season}".strip(),
        subject=f"{counted(len(offers), 'kit')}, {day}",
        maker=maker_block(maker, stamp.logo),
        stamp=(Fact("Price list", f"{stamp.run:03d}"), Fact("Date", day)),
        foot=f"Price list {season} · {day} · list {stamp.run:03d}",
        axis=axis_strip(axis, STRIP),
        net_head=f"A kit ({maker.currency}){', without tax' if tax else ''}",
        gross_head=f"A kit ({maker.currency}), {tax}" if tax else "",
        rows=tuple(_row(one, axis, maker) for one in offers),
        notes=_notes(offers),
    )


def _row(one: Offer, axis: Scale, maker: Maker) -> PriceRow:
    found = one.ware
    reach = one.figures.effective_range_hz if one.figures else (None, None)
    return PriceRow(
        kit=found.case.pairing.kit or found.id,
        drivers=drivers_words(found.case),
        figures=tuple(f"{fact.label} {fact.value}".replace(" ", NO_BREAK) for fact in _figures(one.figures)),
        strip=range_strip(axis, UsableRange(reach[0], reach[1], None, None), found.outline.crossover_hz, STRIP),
        suits=printed(suits(one)),
        net="" if one.net is None else grouped(one.net, maker.currency),
        gross="" if one.gross is None else grouped(one.gross, maker.currency),
    )


def _figures(figures: Figures | None) -> Iterator[Fact]:
    if figures is None:
        return
    yield Fact("Range", span(*(None if hz is None else float(f"{hz:.2g}") for hz in figures.effective_range_hz)))
    yield Fact("Sensitivity", with_unit(figures.sensitivity_db, "dB"))
    yield Fact("Impedance", f"{rated_words(figures)}, at least {least_load(figures.least_impedance_ohm)}")
    if figures.net_volume_m3 is not None:
        tuned = f", tuned to {with_unit(figures.tuning_hz, 'Hz')}" if figures.tuning_hz else ""
        yield Fact("Box", f"{figures.net_volume_m3 * 1e3:.3g}{NO_BREAK}L{tuned}")


def _notes(offers: Sequence[Offer]) -> tuple[str, ...]:
    notes = [
        "Sensitivity: mean level for 2.83 V at 1 m. Range: to 10 dB under the loudest octave (IEC 60268-5). The bar shows the range, "
        "its mark the crossover.",
    ]
    count = {one.ware.case.practice.loudspeakers_a_kit for one in offers}
    if count:
        notes.append(f"A kit holds drivers, waveguides and crossover parts of {counted(max(count), 'loudspeaker')}.")
    if any(one.ware.goods.cautioned for one in offers):
        notes.append(
            "Read the sheet of a kit before you build: it names the dangers of its drivers. Local codes and licensed trades go first."
        )
    return tuple(notes) if offers else (NONE,)
