"""Which word of a page stands where: every template filled with the names of its fields, whole and with nothing.

A field `value` of the second of `checks` is filled with "checks.value2". The expected words are written from what each heading promises.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import fields, is_dataclass, replace
from functools import cache
from types import NoneType, UnionType
from typing import Any, Literal, TypeVar, get_args, get_origin, get_type_hints

import pytest
from lxml import html as lxml_html

from reportgen.paper.drawings import KeyLine, Path, Picture
from reportgen.paper.lettering import Label
from reportgen.paper.listingpages import ListingPage
from reportgen.paper.pages import AnswerPage, CataloguePage, ComparisonPage, Fact, ScreeningPage, ScreenPage, SheetPage
from reportgen.paper.pricepages import PriceListPage
from reportgen.paper.templates import filled, templates_folder
from tests.every import every
from tests.paper.samples import RIGHT_TO_LEFT

T = TypeVar("T")


DRAWN: dict[Any, Callable[[str], Any]] = {
    Picture: lambda name: Picture(200.0, 40.0, f"[{name}]", (Path("cut", f"M{name}"),), ()),
    KeyLine: lambda name: KeyLine("cut", name),
}


def named(hint: Any, name: str, number: str = "") -> Any:
    """A value of this type whose words are the name it has where it stands; of a list, two."""
    kind, parts = get_origin(hint), get_args(hint)
    if kind in (UnionType, Literal):
        return named(parts[0], name, number) if kind is UnionType else parts[0]
    if kind is not None:
        return tuple(named(parts[0], name, number + n) for n in "12")
    if hint in DRAWN:
        return DRAWN[hint](f"{name}{number}")
    if is_dataclass(hint):
        of, hints = name.rsplit(".", 1)[-1], get_type_hints(hint)
        return hint(**{one.name: named(hints[one.name], f"{of}.{one.name}", number) for one in fields(hint)})  # type: ignore[operator]
    return f"{name}{number}" if hint is str else hint(True)


def bare(value: Any, hint: Any) -> Any:
    """The same with nothing in it that can be left out: no words, no rows, no blocks."""
    if NoneType in get_args(hint):
        return None
    if isinstance(value, Picture | bool):
        return value if isinstance(value, Picture) else False
    if is_dataclass(value):
        hints = get_type_hints(type(value))
        return replace(value, **{one.name: bare(getattr(value, one.name), hints[one.name]) for one in fields(value)})  # type: ignore[type-var]
    return type(value)()


@cache
def whole(kind: type[T]) -> T:
    return named(kind, "page")  # type: ignore[no-any-return]


def words(page: Any) -> str:
    """The words of a page outside its tables, drawings as what is said of them; a bar between blocks of text."""
    (tree,) = lxml_html.fromstring(filled(page)).xpath("//body")
    for table in tree.xpath(".//table|.//style|.//script"):
        table.text, table.tail = "", f"|{table.tail or ''}"
        del table[:]
    for picture in tree.iter("img", "svg"):
        picture.tail = f" {picture.get('alt') or picture.get('aria-label')} {picture.tail or ''}"
    for block in tree.iter("p", "h1", "h2", "h3", "li", "div", "section", "header"):
        block.tail = f"|{block.tail or ''}"
        block.text = f"|{block.text or ''}"
    told = " ".join(str(tree.text_content()).split())
    return re.sub(r"(\s*\|\s*)+", "|", told).strip("|")


def tables(page: Any) -> dict[str, list[str]]:
    """Heads and rows of every table, cells separated by bars, by caption or by what its first head says."""
    found: dict[str, list[str]] = {}
    for table in lxml_html.fromstring(filled(page)).iter("table"):
        for picture in table.iter("img"):
            picture.tail = f"{picture.get('alt')}{picture.tail or ''}"
        for line in table.iter("br", "p"):
            line.tail = f" {line.tail or ''}"
        rows = [[" ".join(cell.text_content().split()) for cell in row.iter("th", "td")] for row in table.iter("tr")]
        caption = table.find("caption")
        title = rows[0][0] if caption is None else " ".join(caption.text_content().split())
        found.setdefault(title, []).extend("|".join(row) for row in rows)
    return found


def numbered(*patterns: str, at: Sequence[str] = "12") -> list[str]:
    """The same for each of several: # is the number of the row."""
    return [pattern.replace("#", number) for number in at for pattern in patterns]


FOUR = ("11", "12", "21", "22")
TOP = "maker.name|maker.name|maker.contact1 · maker.contact2|stamp.label1 stamp.value1 stamp.label2 stamp.value2"
CAUTIONS = "|".join((
    "⚠ cautions.heading", *numbered("⚠ left.title# (left.concerns#): left.text#"), *numbered("⚠ right.title# (right.concerns#): right.text#"),
))  # fmt: skip
BAFFLE = "The baffle|[baffle.picture]|baffle.caption Dashed: baffle.key1. Dashed: baffle.key2."
WIRINGS = numbered("wirings.heading#", "[wirings.picture#]", "wirings.text#")
REASONS = ("Why the network looks like this", "annex.reasons1 annex.reasons2")
ASSUMED = ("What the model assumes", "annex.assumptions1 annex.assumptions2")
GAPS = ("Not assessed, and why", *numbered("gaps.title# (essential): gaps.missing#1; gaps.missing#2"))

WORDS: dict[Any, tuple[str, ...]] = {
    SheetPage: (
        TOP, "page.kit|page.pairing|Since the last revision: page.changed|mark.sign|Mark.word|verdict.reason",
        "It fails here as well|verdict.fails1|verdict.fails2|Keep to this|verdict.conditions1|verdict.conditions2",
        "verdict.near_head|verdict.near1|verdict.near2|page.no_build|remedies.heading|remedies.note",
        "Where the crossover may lie|[page.range_picture]",
        "Every bar closes off frequencies from its side. Dashed: page.range_key1. Dashed: page.range_key2.",
        "The finished loudspeaker", BAFFLE, "baffle.sizes.", CAUTIONS,
        "Build page.kit|PROVISIONAL: undecided. build.provisional|Keep to this: build.conditions1 build.conditions2", CAUTIONS,
        "The network|[build.schematic]|build.schematic_caption|On the board. build.board1 build.board2",
        "The box, build.cabinet: box.label1 box.value1; box.label2 box.value2. build.box_note", BAFFLE, *WIRINGS, "baffle.sizes.",
        "Annex: build|On the board. annex.board1 annex.board2", *WIRINGS, *REASONS, "Annex: curves",
        *numbered("charts.heading#", "[charts.picture#]", "charts.caption# Dashed: charts.key#1. Dashed: charts.key#2.", at=FOUR),
        *ASSUMED, "Annex: checks|remedies.heading|remedies.note", *GAPS,
    ),
    AnswerPage: (
        TOP, "page.title|You asked|page.question|understood.label1: understood.value1 understood.label2: understood.value2|page.outcome|[page.axis]",
        *numbered(
            "[candidates.strip#]|candidates.rank# candidates.name#|candidates.description#",
            "mark.sign# mark.word# facts.label#1 facts.value#1 facts.label#2 facts.value#2|candidates.reason#",
            "Please note: candidates.conditions#1 candidates.conditions#2",
            "⚠ cautions.title#1. cautions.text#1|⚠ cautions.title#2. cautions.text#2",
        ),
        "page.care|Please tell us|page.missing1|page.missing2|page.notes1|page.notes2",
    ),
    ComparisonPage: (TOP, "page.subject|Alike in all|shared.label1: shared.value1; shared.label2: shared.value2."),
    ScreeningPage: (
        TOP, "page.title|use.label1: use.value1 use.label2: use.value2|page.tally",
        "✓ suitable, ! with conditions, ✗ not suitable, ? undecided, by the limits alone; · not among those listed.",
        "The shelf: the fewest high drivers that serve the most low ones|page.shelf1|page.shelf2",
    ),
    CataloguePage: (
        "maker.name|maker.name|page.season|page.volume|page.tally|maker.contact1 · maker.contact2",
        "stamp.label1 stamp.value1 · stamp.label2 stamp.value2|Index",
        "Pages are counted through this file; every sheet also carries its own numbering at the foot.",
        "Comparison|Bar: usable range; pointers: crossover; hatched: the limits overlap.",
    ),
    ListingPage: (
        TOP, "page.title|page.tally", *numbered("tables.title#|tables.note#|☐ tables.lines#1|☐ tables.lines#2"),
        "page.notes1|page.notes2",
    ),
    PriceListPage: (TOP, "page.title|page.notes1|page.notes2"),
    ScreenPage: (
        "maker.name|page.title|maker.name · page.foot|booklets.label1 · booklets.label2",
        "Find Verdict choices.note1 choices.label1 (choices.value1) choices.note2 choices.label2 (choices.value2) page.tally",
        "Nothing matches: clear the search or tick more verdicts.|What the workbook needs|page.problems1|page.problems2",
    ),
}  # fmt: skip
"""What stands outside the tables, in the order in which it is read."""

PLACES = "No.|Driver|From top|From left"
CHECKED = "Outcome|Check, what was found, and where the limit comes from|Value|Limit|Margin"
HEADS = "Verdict|[page.axis]|Usable range|Crossover|Price of one"
FACTS = (
    numbered("figures.label1#|figures.value1# figures.note1#"),
    numbered("figures.label2#|figures.value2# figures.note2#"),
)
CENTRES = [
    numbered("places.number#|places.driver#|places.from_top#|places.from_left#", at=at) for at in (FOUR[:2], FOUR[2:])
]
WAYS = [
    "Change|Then it is|Usable range|Crossover|Price of one",
    *numbered("rows.changes#|mark.sign# mark.word#|rows.range#|rows.crossover#|rows.price#", "rows.text#"),
]
PARTS = [
    [
        "Part|Value|What it is, order name, joins|Buy for|Price",
        *numbered(
            "parts.name#|parts.value#|parts.kind#, parts.note#; parts.order#; parts.joins#|parts.rating#|parts.price#",
            at=at,
        ),
    ]
    for at in (FOUR[:2], FOUR[2:])
]


def ranged(rows: str, reason: str = "", page: str = "") -> list[str]:
    """Rows of a table of ranges."""
    row = "$.id# $.kit# $.drivers#|mark.sign# mark.word#|[$.strip#]|$.range#|$.crossover#|$.price#".replace("$", rows)
    return numbered(row + page, *([reason] if reason else []))


TABLES: dict[Any, dict[str, list[str]]] = {
    SheetPage: {
        "figures.label11": FACTS[0], "figures.label21": FACTS[1], "drivers.label1": numbered("drivers.label#|drivers.value#"),
        "Centres, 1, baffle.unit": [PLACES, *CENTRES[0]] * 2, "Centres, 2, baffle.unit": [PLACES, *CENTRES[1]] * 2,
        "Parts for one loudspeaker, 1 build.parts_total": PARTS[0], "Parts for one loudspeaker, 2": PARTS[1],
        "Measure this when it is done": ["What, and how|Should be|Fine|Yours", *numbered("readings.what#: readings.how#|readings.expected#|readings.fine#|")],
        "Change": WAYS * 2,
        "All checks: annex.tally [where a limit comes from]; †: common practice, no source": [
            CHECKED, *numbered("mark.sign# mark.word#|checks.title#. checks.text# [checks.source#]|checks.value#|checks.limit#|checks.margin#"),
        ],
        "What more pieces buy": [
            "Pieces|Price|Sum, rms / worst|Null|Least load|Good builds|By the checks",
            *numbered("ladder.pieces#|ladder.price#|ladder.deviation#|ladder.null#|ladder.least#|ladder.share#|ladder.verdict#"),
        ],
    },
    AnswerPage: {},
    ComparisonPage: {
        "Usable ranges on one axis": [f"Pairing|{HEADS}", *ranged("ranges", "ranges.reason#")],
        "Where they differ": [
            line for n in "12" for line in (f"Figure|blocks.heads{n}1|blocks.heads{n}2", *numbered(f"rows.figure{n}#|rows.values{n}#1|rows.values{n}#2"))
        ],
    },
    ScreeningPage: {
        "The best pairs, priced as drivers and guide of one loudspeaker": [f"Rank and pair|{HEADS}", *ranged("best", "best.reason#")],
        "Width of the usable range in octaves: low drivers down, high drivers across": [
            line for n in "12" for line in (
                f"Low driver|blocks.heads{n}1|blocks.heads{n}2",
                *numbered(f"rows.name{n}#|mark.sign{n}#1 cells.text{n}#1|mark.sign{n}#2 cells.text{n}#2"),
            )
        ],
        "What stands in the way of the others": ["Obstacle|Pairs", *numbered("obstacles.label#|obstacles.value#")],
    },
    CataloguePage: {
        "Kit": ["Kit|Pairing|Drivers|Verdict|Page", *numbered("index.kit#|index.id#|index.drivers#|mark.sign# mark.word#|index.page#")],
        "Pairing": [f"Pairing|{HEADS}|Page", *ranged("index", page="|index.page#")],
    },
    ListingPage: {},
    PriceListPage: {
        "Kit": [
            "Kit|[page.axis]|page.net_head|page.gross_head",
            *numbered("rows.kit# rows.drivers#|[rows.strip#] rows.figures#1; rows.figures#2 Suits: rows.suits#|rows.net#|rows.gross#"),
        ],
    },
    ScreenPage: {
        "Pairings. Choose a heading to sort by it. Bar: usable range; pointers: crossover; hatched: the limits overlap.": [
            "Pairing|Verdict|[page.axis]|Range|Crossover|Price of one|First reason",
            *numbered(
                "row.id# sheet as PDF row.kit# row.drivers#|mark.sign# mark.word#|[row.strip#]|row.range#|row.crossover#|row.price#"
                "|row.reason# Figures and front of row.id# figures.label#1 figures.value#1 figures.note#1 figures.label#2 figures.value#2 figures.note#2"
            ),
        ],
    },
}  # fmt: skip
"""Heads and rows of each table by its caption, or by its first head."""


@every("kind", WORDS, ids=lambda kind: kind.__name__)
def test_every_word_stands_where_its_heading_promises_it(kind: Any) -> None:
    page = whole(kind)
    assert words(page).split("|") == "|".join(WORDS[kind]).split("|")
    assert tables(page) == TABLES[kind]


ONLY_WITH_WORDS = {
    "logo", "cover-logo", "maker-name", "contact", "changed", "conditions", "no-build", "remedies", "figures", "cautions", "grave",
    "provisional", "kept", "narrow", "orders", "readings", "wirings", "frames", "places", "charts", "ladder", "gaps", "told",
    "question", "missing", "notes", "shared", "shelf", "obstacles", "matrix", "cover-volume", "booklet",
}  # fmt: skip
"""Classes of what has a frame, a gap above or a heading: nothing of it stands where there is nothing to frame."""

NOTHING = {
    SheetPage: "Where the crossover may lie|[page.range_picture]|Every bar closes off frequencies from its side.|Build|The network"
    "|[build.schematic]|The box, :|The baffle|Annex: checks",
    AnswerPage: "",
    ComparisonPage: "",
    ScreeningPage: "",
    CataloguePage: "Index|Pages are counted through this file; every sheet also carries its own numbering at the foot."
    "|Comparison|Bar: usable range; pointers: crossover; hatched: the limits overlap.",
    ListingPage: "",
    PriceListPage: "No kit may be sold as yet.",
    ScreenPage: "Find Verdict|Nothing matches: clear the search or tick more verdicts.",
}
"""What is left where a page has nothing to tell."""


@every("kind", NOTHING, ids=lambda kind: kind.__name__)
def test_a_heading_over_nothing_is_not_printed(kind: Any) -> None:
    page = bare(whole(kind), kind)
    headed = [TABLES[kind][name][0] for name in TABLES[kind] if name in ("Usable ranges on one axis", "Kit", "Pairing") or name.startswith("Pairings.")]  # fmt: skip
    if isinstance(page, SheetPage):
        build, annex = (bare(getattr(whole(SheetPage), name), type(getattr(whole(SheetPage), name))) for name in ("build", "annex"))  # fmt: skip
        page = replace(page, build=build, annex=annex, drivers=whole(SheetPage).drivers)
        headed = [CHECKED]
    assert words(page) == NOTHING[kind]
    assert not ONLY_WITH_WORDS & {name for one in held(page, "//@class")[0] for name in one.split()}
    left = [row for name, rows in tables(page).items() if not name.startswith("drivers") for row in rows]
    assert left == ([] if kind is PriceListPage else headed)


def names(text: object) -> set[str]:
    """The names of fields in a text."""
    return set(re.findall(r"[a-z]\w*\.[a-z_]+\d*", str(text)))


def emptied(page: Any, part: str = "") -> Iterator[tuple[str, Any, Any]]:
    """Each field of a page, or of a part of it: its name, what stood there, and the page without it."""
    of = getattr(page, part) if part else page
    for name, hint in get_type_hints(type(of)).items():
        value, optional = getattr(of, name), NoneType in get_args(hint)
        if name not in ("template", "drivers") and (optional or isinstance(value, str | tuple)):
            other = replace(of, **{name: None if optional else type(value)()})
            yield name, value, replace(page, **{part: other}) if part else other


GO_WITH = {
    "parts": "build.parts_total", "candidates": "page.axis", "best": "page.axis", "gross_head": "rows.gross1 rows.gross2",
    "places": "baffle.sizes", "rows": "page.axis page.net_head page.gross_head", "wirings": "annex.reasons1 annex.reasons2",
}  # fmt: skip
"""What means nothing without a field: the sum of no parts, the axis of no ranges, a price with a tax that is not given, words beside no wiring."""


@pytest.mark.parametrize("kind", WORDS, ids=lambda kind: kind.__name__)
def test_what_is_not_there_takes_nothing_else_with_it(kind: Any) -> None:
    page = whole(kind)
    before = names(filled(page))
    for part in ("", "build", "annex", "baffle") if kind is SheetPage else ("",):
        for name, value, without in emptied(page, part):
            html = filled(without)
            assert before - names(html) <= names(value) | names(GO_WITH.get(name)), name
            assert not re.search(r"<(ul|table|div class=\"conditions\")>\s*</", html), name


def sheet(build: dict[str, Any] | None = None, annex: dict[str, Any] | None = None, baffle: dict[str, Any] | None = None) -> SheetPage:  # fmt: skip
    """The whole sheet with other fields on its build side, in its annex, of its baffle."""
    page: SheetPage = whole(SheetPage)
    assert page.build and page.annex and page.baffle
    panel = replace(page.baffle, **(baffle or {}))
    sides = replace(page.build, baffle=panel, **(build or {}))
    return replace(page, baffle=panel, build=sides, annex=replace(page.annex, **(annex or {})))


def test_one_list_of_parts_has_a_column_for_each_thing() -> None:
    heads = ("Part|Value|What it is|What it does|Joins", "|Substitute", "|Order name", "|Buy for", "|Price")
    cells = ("parts.name#|parts.value#|parts.kind#, parts.note#|parts.stands#|parts.joins#", "|parts.substitute#", "|parts.order#", "|parts.rating#", "|parts.price#")  # fmt: skip
    lines = whole(SheetPage).build.parts
    for has in ((True, True, True), (False, True, True), (True, False, True), (True, True, False)):
        page = sheet({"parts": lines[:1], "with_substitutes": has[0], "with_orders": has[1], "with_prices": has[2]})
        kept = (True, *has[:2], True, has[2])
        expected = ["".join(one for one, there in zip(parts, kept, strict=True) if there) for parts in (heads, *[cells] * 2)]  # fmt: skip
        expected = [line.replace("#", f"1{n}") for n, line in enumerate(expected)]
        assert tables(page)["Parts for one loudspeaker build.parts_total"] == expected
    plain = replace(lines[0][0], note="")
    for columns, what in (((plain,),), "parts.kind11"), (((plain,), (plain,)), "parts.kind11; parts.joins11"):
        page = sheet({"parts": columns, "with_orders": False, "with_prices": False})
        found = tables(page)
        rows = next(rows for name, rows in found.items() if name.startswith("Parts for one"))
        assert rows[0].split("|")[2] == "What it is" and rows[1].split("|")[2] == what
        assert len(rows[0].split("|")) == len(rows[1].split("|"))


def test_few_drivers_stand_in_one_table_and_many_in_two() -> None:
    page = replace(sheet(baffle={"places": ()}), build=None)
    found = tables(page)
    assert not any(name.startswith("Centres, ") for name in found)
    assert found["Centres and cut-outs, baffle.unit"] == [
        f"{PLACES}|Frame|Cut-out",
        *numbered("frames.number#|frames.driver#|frames.from_top#|frames.from_left#|frames.frame#|frames.cutout#"),
    ]
    assert "baffle.sizes" not in words(sheet(baffle={"places": ()})) and tables(sheet(baffle={"places": ()}))["Centres and cut-outs, baffle.unit"] == found["Centres and cut-outs, baffle.unit"] * 2  # fmt: skip


def test_a_page_of_three_charts_has_the_assumptions_beside_the_last() -> None:
    annex = whole(SheetPage).annex
    assert annex is not None
    first, (last, _) = annex.charts
    three = words(sheet(annex={"charts": (first, (last,)), "beside": 0.0, "board": (), "wirings": ()})).partition(
        "Annex: "
    )[2]
    told = "|".join((*ASSUMED, *REASONS))
    assert three.startswith("curves|charts.heading11") and three.count(told) == 1
    assert f"charts.key212.|{told}|Annex: checks" in three
    none = words(sheet(annex={"charts": (), "beside": 0.0})).partition("Annex: build")[2]
    assert f"|No curves: annex.no_charts|{told}|Annex: checks" in none and "Why the network" not in none.partition("No curves")[0]  # fmt: skip
    assert "Annex: build|On the board." in words(sheet(annex={"wirings": ()})) and "Annex: build|wirings" in words(
        sheet(annex={"board": ()})
    )


def test_a_check_of_one_word_has_it_once() -> None:
    """Where limit and margin are both a dash, one wide cell has the value; elsewhere three cells have them."""
    annex = whole(SheetPage).annex
    assert annex is not None
    one = annex.checks[0]
    for value, limit, margin, cells in (("–", "–", "–", ["–"]), ("–", "–", "1", ["–", "–", "1"]), ("1", "–", "–", ["1"])):  # fmt: skip
        page = sheet(annex={"checks": (replace(one, value=value, limit=limit, margin=margin),)})
        rows = next(rows for name, rows in tables(page).items() if name.startswith("All checks"))
        assert rows[1].split("|")[2:] == cells
    with_gap = replace(annex.gaps[0], essential=False)
    assert "gaps.title1: gaps.missing11" in words(sheet(annex={"gaps": (with_gap,)}))


def test_what_is_grave_is_marked_and_what_concerns_nothing_names_nothing() -> None:
    block = whole(SheetPage).cautions
    mild = replace(block.left[0], grave=False, concerns="")
    for side in ("left", "right"):
        page = replace(
            sheet(), build=None, annex=None, cautions=replace(block, **{"left": (), "right": (), side: (mild,)})
        )
        assert words(page).endswith("⚠ cautions.heading|left.title1: left.text1")
        assert held(page, "//p[strong][starts-with(@class, 'caution')]/@class") == [["caution"]]


def test_a_kit_without_a_build_side_is_headed_and_laid_out_so() -> None:
    page = replace(sheet(), build=None, baffle=None)
    assert "|What is known of it|" in words(page) and "The baffle" not in words(page)
    assert "Build" not in words(replace(sheet(), part="annex")) and words(replace(sheet(), part="annex")).startswith(
        "Annex: build"
    )


def test_lists_of_the_desk_where_little_is_known() -> None:
    listing = whole(ListingPage)
    table = replace(listing.tables[0], lines=())
    assert tables(replace(listing, tables=(table,))) == {
        "heads.text11": ["heads.text11|heads.text12", *numbered("groups.text1#1|groups.text1#2", at=FOUR)]
    }
    assert words(replace(listing, tables=(replace(table, groups=()),))).endswith("tables.note1|Nothing.|page.notes1|page.notes2")  # fmt: skip
    prices = whole(PriceListPage)
    asked = replace(prices, rows=(replace(prices.rows[0], net=""),))
    taxed, untaxed = (tables(one)["Kit"] for one in (asked, replace(asked, gross_head="")))
    assert [len(row.split("|")) for row in (*taxed, *untaxed)] == [4, 3, 3, 3] and taxed[1].endswith("|on request")
    assert held(asked, "//td/@colspan") == [["2"]] and held(replace(asked, gross_head=""), "//td/@colspan") == [[]]
    assert tables(replace(prices, gross_head=""))["Kit"][1].endswith("Suits: rows.suits1|rows.net1")
    season = whole(CataloguePage)
    assert tables(replace(season, index=(replace(season.index[0], kit=""),)))["Kit"][1].startswith(
        "index.id1|index.id1|"
    )
    shown = whole(ScreenPage)
    plain = replace(shown.rows[0].row, link="", kit="")
    (rows,) = tables(replace(shown, rows=(replace(shown.rows[0], row=plain),))).values()
    assert rows[1].startswith("row.id1 row.drivers1|")
    matrix = whole(ScreeningPage)
    row = matrix.blocks[0].rows[0]
    blank = replace(row, cells=(replace(row.cells[0], mark=None),))
    found = tables(replace(matrix, blocks=(replace(matrix.blocks[0], rows=(blank,)),)))
    assert [rows[1:] for name, rows in found.items() if name.startswith("Width")] == [["rows.name11|·"]]


# --- what is not read but works -----------------------------------------------------------------------------------


def held(page: Any, *paths: str) -> list[list[str]]:
    """What stands at each of these places of a page."""
    tree = lxml_html.fromstring(filled(page))
    return [[str(one) for one in tree.xpath(path)] for path in paths]


def test_names_links_and_what_the_foot_repeats() -> None:
    """The style sheet reads foot, line and part off the body; a catalogue leads to `anchor`, a sheet to its own sides."""
    page = whole(SheetPage)
    head = ("//title/text()", "//meta[@name='author']/@content", "//meta[@name='description']/@content", "//html/@lang")
    assert held(page, *head) == [["page.title"], ["maker.name"], ["page.subject"], ["page.lang"]]
    body = ("//body/@class", "//body/@data-foot", "//body/@data-line", "//body/@data-part", "//@id")
    ids = ["page.anchor", "page.anchor-build", "page.anchor-annex", "page.anchor-end"]
    assert held(page, *body) == [["sheet page.style"], ["page.foot"], ["maker.footer"], [""], ids]
    assert held(replace(page, part="annex", style=""), *body[:1], *body[3:4]) == [["sheet"], ["Annex "]]
    for kind, name in ((AnswerPage, "answer"), (ComparisonPage, "comparison"), (ScreeningPage, "screening"), (ListingPage, "listing"), (PriceListPage, "pricelist")):  # fmt: skip
        assert held(whole(kind), *head) == [["page.title"], ["maker.name"], ["page.subject"], ["page.lang"]]
        assert held(whole(kind), *body[:3]) == [[name], ["page.foot"], ["maker.footer"]]
    season = whole(CataloguePage)
    assert held(season, *body[:3], "//a/@href") == [["catalogue"], ["page.foot"], ["maker.footer"], ["index.link1", "index.link2"] * 2]  # fmt: skip
    assert held(replace(season, index=(replace(season.index[0], link=""),)), "//table[@class='ranges']//a") == [[]]


def test_looks_that_hang_on_what_is_said() -> None:
    """Outcomes, cells and inks have the class that their value names; a name in Hebrew runs from the right."""
    page = whole(SheetPage)
    outcomes = numbered("mark mark.style#")
    for kind, tables_of_marks in ((SheetPage, 3), (ComparisonPage, 1), (ScreeningPage, 1), (CataloguePage, 2), (ScreenPage, 1)):  # fmt: skip
        assert held(whole(kind), "//td[starts-with(@class, 'mark')]/@class") == [outcomes * tables_of_marks]
    assert held(page, "//div[starts-with(@class, 'verdict')]/@class", "//table[@class='check-table']/tbody/tr/@class") == [
        ["verdict mark.style"], numbered("mark.style#"),
    ]  # fmt: skip
    assert held(whole(ScreeningPage), "//td[starts-with(@class, 'cell')]/@class") == [numbered("cell mark.style#", at=[f"{n}{at}" for n in "12" for at in FOUR])]  # fmt: skip
    assert held(whole(AnswerPage), "//span[starts-with(@class, 'mark')]/@class") == [outcomes]
    assert held(whole(ScreenPage), "//tbody//svg/path/@class") == [["cut", "cut"]]
    listing = whole(ListingPage)
    table = replace(listing.tables[0], lines=())
    one = replace(table, groups=(table.groups[0][:1],))
    assert held(replace(listing, tables=(table,)), "//th/@class", "//tr[1]/td/@class", "//tbody/@class", "//table/@class") == [
        ["c1 heads.style11", "c2 heads.style12"], numbered("groups.style1#11", "groups.style1#12"), ["group", "group"], ["columns-1"],
    ]  # fmt: skip
    assert held(replace(listing, tables=(one,)), "//tbody/@class") == [[]]
    hebrew = RIGHT_TO_LEFT
    for made in (
        replace(page, kit=hebrew), replace(whole(AnswerPage), title=hebrew), replace(whole(ComparisonPage), subject=hebrew),
        replace(whole(CataloguePage), season=hebrew), replace(whole(ScreenPage), title=hebrew),
    ):  # fmt: skip
        assert held(made, "//h1/@dir", "//h1/text()") == [["rtl"], [hebrew]]
    assert held(page, "//h1/@dir") == [["ltr"]]
    long = replace(page.maker, contact=("x" * 39, "x" * 40))
    assert held(replace(page, maker=long), "//p[@class='contact']/span/@class") == [["whole", "long"]]
    facts = replace(page, stamp=(Fact("Pairing", "x" * 24), Fact("Pairing", "x" * 25)))
    assert held(facts, "//p[@class='stamp']/span/@class") == [["fact whole", "fact"]]


def test_drawings_are_given_by_their_paths_and_said_in_words() -> None:
    """The first drawing of a page is its logo; what is drawn is told by the ink: a cut-out by a stroke and no filling."""
    (sources,) = held(whole(SheetPage), "//img/@src")
    assert sources[0] == "maker.logo"
    drawn = lxml_html.fromstring(base64.b64decode(sources[1].partition(",")[2]))
    (path,) = drawn.iter("path")
    assert (drawn.get("width"), drawn.get("viewbox")) == ("200.0pt", "0 0 200.0 40.0")
    assert (path.get("d"), path.get("fill"), bool(path.get("stroke-dasharray"))) == (
        "Mpage.range_picture",
        "none",
        True,
    )
    picture = Picture(9.0, 8.0, "x", (Path("dot", "M1"),), tuple(Label("word", float(n), 2.0, anchor, 7.5, anchor) for n, anchor in enumerate(("start", "end"))))  # type: ignore[arg-type] # fmt: skip
    (sources,) = held(replace(whole(SheetPage), range_picture=picture), "//div[@class='range']/img/@src")
    drawn = lxml_html.fromstring(base64.b64decode(sources[0].partition(",")[2]))
    (path,), texts = drawn.iter("path"), list(drawn.iter("text"))
    assert path.get("fill") == "#14181d" and path.get("stroke") is None
    assert [(one.text, one.get("x"), one.get("y"), one.get("font-size"), one.get("text-anchor")) for one in texts] == [
        ("start", "0.0", "2.0", "7.5", None), ("end", "1.0", "2.0", "7.5", "end"),
    ]  # fmt: skip


def test_the_screen_sorts_and_finds_by_what_each_row_carries() -> None:
    """The script reads `data-` of a row under the name that a head's button has, and words to find it by."""
    page = whole(ScreenPage)
    names = ("verdict", "words", "id", "order", "octaves", "crossover", "price")
    paths = [f"//tbody/tr/@data-{name}" for name in names]
    expected = [numbered(one) for one in ("mark.word#", "rows.words#", "row.id#")]
    assert held(page, *paths) == [*expected, ["1", "1"], *(numbered(f"rows.{one}#") for one in ("octaves", "crossover_hz", "price"))]  # fmt: skip
    keys = {"Pairing": "id", "Verdict": "order", "Range": "octaves", "Crossover": "crossover", "Price of one": "price"}
    heads, data = held(page, "//thead//button/text()", "//thead//button/@data-key")
    assert dict(zip(heads, data, strict=True)) == keys
    assert held(page, "//tbody//a/@href", "//input[@name='verdict']/@value", "//p[@class='booklet']/a/@href", "//header/img/@src") == [
        ["row.link1", "row.link2"], ["choices.label1", "choices.label2"], ["booklets.value1", "booklets.value2"], ["maker.logo"],
    ]  # fmt: skip
    assert held(page, "//tbody//svg/@aria-label", "//tbody//svg/path/@d") == [
        numbered("[rows.front#]"),
        numbered("Mrows.front#"),
    ]
    script = (templates_folder() / "screen.js").read_text(encoding="utf-8")
    ids = set(re.findall(r"getElementById\(\"(\w+)\"\)", script))
    assert ids <= set(held(page, "//@id")[0]) and {"find", "count", "none", "more", "filters"} <= ids


# --- names of the style sheets ------------------------------------------------------------------------------------

BY_VALUE = {
    "good",
    "near",
    "bad",
    "open",
    "number",
    "strong",
    "free",
    "short",
    "roomy-front",
    "dense-front",
    "dense-build",
    "dense-annex",
}
"""What Python names: outcomes (`Mark.style`), cells of a listing (`CellText.style`), how tightly a sheet is set (`Wish.style`)."""
KINDS = {
    "answer",
    "comparison",
    "screening",
    "listing",
    "pricelist",
    "low-fill",
    "high-fill",
    "cut",
    "loading",
    "two-front",
}
"""Kinds of the desk's pages and of a front, inks of a drawing on the screen, and the page before its script has run."""
UNSTYLED = {"sheet", "catalogue", "orders", "warn", "c-changes", "r-name"}
"""Names that an operator's own style sheet may use, and ours does not."""


def test_every_class_has_a_look_and_every_look_a_class() -> None:
    """A misspelt name on either side would lose a look without a word."""
    looks, used = set(), set()
    for file in templates_folder().glob("*.css"):
        text = re.sub(r"/\*.*?\*/|(?<=\{)[^{}]*(?=\})", "", file.read_text(encoding="utf-8"), flags=re.S)
        looks |= set(re.findall(r"\.([a-z][\w-]*)", text))
    for file in templates_folder().glob("*.html"):
        for said in re.findall(r"class=\"((?:\{\{.*?\}\}|\{%.*?%\}|[^\"])*)\"", file.read_text(encoding="utf-8")):
            code = " ".join(re.findall(r"\{[{%].*?[%}]\}", said))
            quoted = re.findall(r"'([^']*)'|\"([^\"]*)\"", re.sub(r"attribute='\w+'|map\('\w+'\)", "", code))
            used |= set(f"{re.sub(r'{[{%].*?[%}]}', '', said)} {' '.join(map(''.join, quoted))}".split())
    assert looks - used == (BY_VALUE | KINDS) - used
    assert used - looks == UNSTYLED | {"c", "columns-"}  # the widths of a listing's columns stand in its page
