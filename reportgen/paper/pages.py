"""What each kind of page is made of: one documented frozen dataclass a template, finished for printing.

Knows ready words and pictures only. Refuses to know assessments and templates: `composing` fills these, the
templates lay them out. A template receives its page as `page` and nothing else.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Literal

from reportgen.paper.charts import ChartRow
from reportgen.paper.drawings import Key, Picture
from reportgen.paper.wording import Mark

Part = Literal["", "sides", "annex"]
"""What of a sheet is laid out at once: all, its two sides, or its annex, which counts its own pages."""


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
    """The verdict's sign and word and the first reason; then every other fail, every condition to keep and what is near a limit.

    `near_head` says what all stands there.
    """

    mark: Mark
    reason: str
    fails: tuple[str, ...]
    conditions: tuple[str, ...]
    near: tuple[str, ...]
    near_head: str


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
    """One line of the parts list; `note` says what it is made of or what the stock part lacks.

    `joins` are the two points it stands between, `substitute` the value that may stand in its place.
    """

    name: str
    value: str
    kind: str
    stands: str
    order: str
    rating: str
    price: str
    note: str
    joins: str
    substitute: str


@dataclass(frozen=True, slots=True)
class FrameRow:
    """One driver on the baffle, by its number in the drawing; distances of its centre and sizes."""

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
class BaffleBlock:
    """The front to scale with its caption, and the drivers on it; no picture where no centres are known.

    `key` says what the inks of the picture show. `unit` is that of the table's lengths. Of many drivers `places` are the rows in two columns and `sizes` tells the
    sizes of each kind once; else both are empty.
    """

    picture: Picture | None
    caption: str
    key: Key
    frames: tuple[FrameRow, ...]
    unit: str
    places: tuple[tuple[FrameRow, ...], ...] = ()
    sizes: str = ""


@dataclass(frozen=True, slots=True)
class BuildBlock:
    """The second side: all that is needed at the bench.

    `provisional` is the stamp of an undecided pairing, or empty. `with_orders`, `with_prices`: whether any part has
    an order name, a price; `with_substitutes`: whether they stand here. `parts` is one table, or two side by side where there are many. `board` says how the parts
    are put together. Where the side is full, it, the substitutes and `wirings` stand in the annex.
    """

    provisional: str
    conditions: tuple[str, ...]
    cautions: CautionsBlock
    schematic: Picture
    schematic_caption: str
    parts: tuple[tuple[PartRow, ...], ...]
    parts_total: str
    with_orders: bool
    with_prices: bool
    with_substitutes: bool
    board: tuple[str, ...]
    baffle: BaffleBlock
    cabinet: str
    box: tuple[Fact, ...]
    box_note: str
    wirings: tuple[WiringBlock, ...]
    readings: tuple[ReadingRow, ...]


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
class StepRow:
    """One step of the ladder of networks: what so many pieces reach and cost."""

    pieces: str
    price: str
    deviation: str
    null: str
    least: str
    share: str
    verdict: str


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
class RemediesBlock:
    """The nearest yes, or what leaves nothing that fails: its heading, the ways found, and how the search went."""

    heading: str
    rows: tuple[RemedyRow, ...]
    note: str


@dataclass(frozen=True, slots=True)
class AnnexBlock:
    """Curves and checks, for whoever wants them.

    `wirings` and `board` stand here where the build side had no room; `beside` is the room (points) beside the wirings in which
    the `reasons` stand, 0.0 where they stand with the assumptions. `no_charts` says why there are no curves.
    `remedies` is None where the front has them.
    """

    board: tuple[str, ...]
    wirings: tuple[WiringBlock, ...]
    beside: float
    charts: tuple[ChartRow, ...]
    no_charts: str
    reasons: tuple[str, ...]
    assumptions: tuple[str, ...]
    remedies: RemediesBlock | None
    tally: str
    checks: tuple[CheckRow, ...]
    gaps: tuple[GapRow, ...]
    ladder: tuple[StepRow, ...]


@dataclass(frozen=True, slots=True)
class SheetPage:
    """The printed sheet of one pairing: everything `sheet.html` may use.

    `anchor` is the target of links in a catalogue; `foot` identifies the sheet at the foot of every page. `changed`
    says what changed since the last revision, or is empty. `build` is None for a pairing that gets no build side,
    `no_build` then says why, and `remedies` and `baffle` stand on the front in its place. `annex` is None when the
    two sides alone are wanted. `part` says which of them are laid out here. `style` are the classes by which the style sheet knows how tightly each side is set.
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
    changed: str
    verdict: VerdictBlock
    figures: tuple[tuple[Fact, ...], ...]
    range_picture: Picture
    range_key: Key
    drivers: tuple[Fact, ...]
    cautions: CautionsBlock
    remedies: RemediesBlock | None
    baffle: BaffleBlock | None
    build: BuildBlock | None
    no_build: str
    annex: AnnexBlock | None
    part: Part
    style: str


@dataclass(frozen=True, slots=True)
class RangeRow:
    """One pairing in a list: names, verdict, its range on the common axis, figures; `link` is empty or a target.

    `page` is its page in a catalogue, empty elsewhere.
    """

    id: str
    kit: str
    drivers: str
    mark: Mark
    strip: Picture
    range: str
    crossover: str
    price: str
    reason: str
    link: str = ""
    page: str = ""


@dataclass(frozen=True, slots=True)
class ComparedRow:
    """One figure across all compared pairings."""

    figure: str
    values: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ComparedBlock:
    """The figures that differ, for as many pairings as go side by side."""

    heads: tuple[str, ...]
    rows: tuple[ComparedRow, ...]


@dataclass(frozen=True, slots=True)
class ComparisonPage:
    """Several pairings beside one another: ranges on one axis, the figures that differ, those all share."""

    template: ClassVar[str] = "comparison.html"

    lang: str
    title: str
    subject: str
    maker: MakerBlock
    stamp: tuple[Fact, ...]
    foot: str
    axis: Picture
    ranges: tuple[RangeRow, ...]
    blocks: tuple[ComparedBlock, ...]
    shared: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class CandidateBlock:
    """One proposal of an answer: the drivers, the verdict, the range on the common axis, why, and what to mind."""

    rank: str
    name: str
    description: str
    mark: Mark
    strip: Picture
    facts: tuple[Fact, ...]
    reason: str
    conditions: tuple[str, ...]
    cautions: tuple[CautionItem, ...]


@dataclass(frozen=True, slots=True)
class AnswerPage:
    """The answer to an enquiry, one page: the question, how it was understood, candidates, what is missing.

    `outcome` says what was found, or what would work; `care` what to be careful of whatever is chosen; `missing` what the
    enquirer should still tell.
    """

    template: ClassVar[str] = "answer.html"

    lang: str
    title: str
    subject: str
    maker: MakerBlock
    stamp: tuple[Fact, ...]
    foot: str
    question: str
    understood: tuple[Fact, ...]
    outcome: str
    axis: Picture
    candidates: tuple[CandidateBlock, ...]
    care: str
    missing: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MatrixCell:
    """What one low and one high driver make together: the mark and a short word, or nothing."""

    mark: Mark | None
    text: str


@dataclass(frozen=True, slots=True)
class MatrixRow:
    """One low driver against the high drivers of the block."""

    name: str
    cells: tuple[MatrixCell, ...]


@dataclass(frozen=True, slots=True)
class MatrixBlock:
    """As many high drivers as go side by side, against every low driver."""

    heads: tuple[str, ...]
    rows: tuple[MatrixRow, ...]


@dataclass(frozen=True, slots=True)
class ScreeningPage:
    """A catalogue screened for one use: the best pairs, the matrix, and what stands in the way of the others."""

    template: ClassVar[str] = "screening.html"

    lang: str
    title: str
    subject: str
    maker: MakerBlock
    stamp: tuple[Fact, ...]
    foot: str
    use: tuple[Fact, ...]
    tally: str
    axis: Picture
    best: tuple[RangeRow, ...]
    blocks: tuple[MatrixBlock, ...]
    obstacles: tuple[Fact, ...]
    shelf: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CataloguePage:
    """What stands before the sheets of a season's catalogue: cover, index, comparison on one axis."""

    template: ClassVar[str] = "catalogue.html"

    lang: str
    title: str
    subject: str
    maker: MakerBlock
    stamp: tuple[Fact, ...]
    foot: str
    season: str
    volume: str
    tally: str
    axis: Picture
    index: tuple[RangeRow, ...]


@dataclass(frozen=True, slots=True)
class ScreenRow:
    """One pairing on the screen page: its row, the numbers it is sorted by, the words it is found by, and what a click opens."""

    row: RangeRow
    crossover_hz: str
    octaves: str
    price: str
    order: int
    words: str
    figures: tuple[Fact, ...]
    front: Picture


@dataclass(frozen=True, slots=True)
class ScreenPage:
    """The season on a screen: every pairing in one table that sorts and filters without a server.

    `choices` are the verdicts that occur, with how often; `booklets` the catalogue's volumes with their addresses.
    """

    template: ClassVar[str] = "index.html"

    lang: str
    title: str
    maker: MakerBlock
    foot: str
    tally: str
    axis: Picture
    rows: Sequence[ScreenRow]
    choices: tuple[Fact, ...]
    problems: tuple[str, ...]
    booklets: tuple[Fact, ...] = ()
