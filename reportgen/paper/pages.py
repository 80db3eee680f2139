"""What each kind of page is made of: one documented frozen dataclass a template, finished for printing.

Knows ready words and pictures only. Refuses to know assessments and templates: `composing` fills these, the
templates lay them out. A template receives its page as `page` and nothing else.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import ClassVar

from reportgen.paper.charts import Chart
from reportgen.paper.drawings import Picture
from reportgen.paper.wording import Mark


@dataclass(frozen=True, slots=True)
class Stamp:
    """What tells one printing from another: revision, date, run, fingerprint of the inputs, program version.

    `logo` is a data URL (see `logos.logo_url`) or empty.
    """

    revision: str
    date: dt.date
    run: int
    fingerprint: str
    version: str
    logo: str = ""


@dataclass(frozen=True, slots=True)
class Fact:
    """A label, its value, and a note under it."""

    label: str
    value: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class MakerBlock:
    """The firm: name, contact lines, logo as a data URL, and the line at the foot of every page."""

    name: str
    contact: tuple[str, ...]
    logo: str
    footer: str


@dataclass(frozen=True, slots=True)
class VerdictBlock:
    """The verdict's sign and word, the first reason, the foremost conditions, and how many more there are."""

    mark: Mark
    reason: str
    conditions_title: str
    conditions: tuple[str, ...]
    more_conditions: int


@dataclass(frozen=True, slots=True)
class DriverRow:
    """One figure of both drivers side by side."""

    figure: str
    low: str
    high: str


@dataclass(frozen=True, slots=True)
class DriversBlock:
    """The two drivers side by side: names, descriptions, and the figures that matter."""

    low_name: str
    low_description: str
    high_name: str
    high_description: str
    rows: tuple[DriverRow, ...]


@dataclass(frozen=True, slots=True)
class CautionItem:
    """One caution: title, text, what it concerns, and whether health is at stake."""

    title: str
    text: str
    concerns: str
    grave: bool


@dataclass(frozen=True, slots=True)
class CautionsBlock:
    """The caution box: its heading, and its items in two columns about equally long."""

    heading: str
    left: tuple[CautionItem, ...]
    right: tuple[CautionItem, ...]


@dataclass(frozen=True, slots=True)
class PartRow:
    """One line of the parts list; `note` says what it is made of or what the stock part lacks."""

    name: str
    value: str
    kind: str
    stands: str
    order: str
    rating: str
    price: str
    note: str


@dataclass(frozen=True, slots=True)
class FrameRow:
    """One driver on the baffle, by its number in the drawing; distances of its centre and sizes in mm."""

    number: str
    driver: str
    from_top: str
    from_left: str
    frame: str
    cutout: str


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """One measurement of the finished build: what, how, the value it should give, and what is still fine."""

    what: str
    how: str
    expected: str
    fine: str


@dataclass(frozen=True, slots=True)
class WiringBlock:
    """How several equal drivers are joined."""

    heading: str
    text: str
    picture: Picture


@dataclass(frozen=True, slots=True)
class BuildBlock:
    """All that is needed at the bench. `baffle` is None when no distance between the centres is known.

    `with_orders`, `with_prices`: whether any part has an order name, a price.
    """

    cautions: CautionsBlock
    schematic: Picture
    schematic_caption: str
    parts: tuple[PartRow, ...]
    parts_total: str
    with_orders: bool
    with_prices: bool
    baffle: Picture | None
    baffle_caption: str
    frames: tuple[FrameRow, ...]
    polarity: tuple[str, ...]
    wirings: tuple[WiringBlock, ...]
    readings: tuple[ReadingRow, ...]
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One check: its mark, title, sentence, value, limit, margin and source."""

    mark: Mark
    title: str
    text: str
    value: str
    limit: str
    margin: str
    source: str


@dataclass(frozen=True, slots=True)
class GapRow:
    """One thing that was not assessed, and what is missing for it."""

    title: str
    essential: bool
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RemedyRow:
    """One set of changes that would turn the verdict, and what it gives."""

    changes: str
    mark: Mark
    range: str
    crossover: str
    price: str
    text: str


@dataclass(frozen=True, slots=True)
class SheetPage:
    """The printed sheet of one pairing: everything `sheet.html` may use.

    `anchor` is the target of links in a catalogue; `foot` identifies the sheet at the foot of every page.
    `build` is None for a pairing that gets no build page, `no_build` and `no_charts` then say why.
    """

    template: ClassVar[str] = "sheet.html"

    lang: str
    title: str
    subject: str
    anchor: str
    maker: MakerBlock
    stamp: tuple[Fact, ...]
    foot: str
    kit: str
    pairing: str
    verdict: VerdictBlock
    figures: tuple[Fact, ...]
    range_picture: Picture
    range_caption: str
    drivers: DriversBlock
    cautions: CautionsBlock
    charts: tuple[Chart, ...]
    no_charts: str
    build: BuildBlock | None
    no_build: str
    tally: str
    checks: tuple[CheckRow, ...]
    gaps: tuple[GapRow, ...]
    remedies: tuple[RemedyRow, ...]
    remedies_note: str
    assumptions: tuple[str, ...]
