"""What a side is guessed to take, against the style sheet: sizes, lines and gaps of each setting, and what each thing adds to the height."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from reportgen.paper import fitting
from reportgen.paper.composing import Wish, sheet_page
from reportgen.paper.fitting import ANNEX, BUILDS, FRONTS, HEIGHT, annex_pages, build_height, fitted, front_height
from reportgen.paper.pages import (
    AnnexBlock,
    BuildBlock,
    CautionItem,
    CautionsBlock,
    CheckRow,
    Fact,
    GapRow,
    ReadingRow,
    RemediesBlock,
    RemedyRow,
    SheetPage,
    StepRow,
)
from reportgen.paper.templates import templates_folder
from reportgen.paper.wording import MARKS
from tests.every import every
from tests.paper.samples import STAMP, assessed, many_parts

MM = 72.0 / 25.4
STYLE = (templates_folder() / "style.css").read_text(encoding="utf-8")


def declared(selector: str) -> dict[str, float]:
    """What the style sheet says of exactly this selector, the later over the earlier: points, and bare numbers as they are."""
    found: dict[str, float] = {}
    for heads, body in re.findall(r"([^{}]+)\{([^{}]*)\}", re.sub(r"/\*.*?\*/", "", STYLE, flags=re.S)):
        if selector not in [head.strip() for head in heads.split(",")]:
            continue
        for name, value in re.findall(r"([\w-]+):\s*(-?[\d.]+(?:pt|mm)?(?:/[\d.]+)?)", body):
            size, _, line = value.partition("/")
            if line:  # font: 8.6pt/1.32
                found["line-height"] = float(line)
            number = float(re.sub(r"[a-z]", "", size))
            found["font-size" if line else name] = number * MM if size.endswith("mm") else number
    return found


def usual(selector: str, *over: str) -> dict[str, float]:
    """The same with what other selectors put over it."""
    return {name: value for one in (selector, *over) for name, value in declared(one).items()}


CELL, CAUTION = "td", ".caution"


@every(
    ("kind", "text", "table", "caution", "caption", "cell"),
    [
        (FRONTS[""], usual("html"), usual("table"), usual(CAUTION, ".front .caution"), usual(".caption"), usual(CELL)),
        (
            FRONTS["roomy"], usual("html", ".roomy-front .conditions"), usual("table", ".roomy-front .figure-table"),
            usual(CAUTION, ".front .caution", ".roomy-front .front .caution"), usual(".caption"), usual(CELL),
        ),
        (
            FRONTS["dense"], usual("html", ".dense-front .front"), usual("table", ".dense-front .front table"),
            usual(CAUTION, ".dense-front .front .caution"), usual(".caption", ".dense-front .front .caption"), usual(CELL, ".dense-front .front td"),
        ),
        (BUILDS[0], usual("html"), usual("table"), usual(CAUTION), usual(".caption"), usual(CELL)),
        (
            BUILDS[1], usual("html", ".dense-build .build .box"), usual("table", ".dense-build .build table"),
            usual(CAUTION, ".dense-build .build .caution"), usual(".caption", ".dense-build .build .caption"), usual(CELL, ".dense-build .build td"),
        ),
    ],
)  # fmt: skip
def test_type_is_that_of_the_style_sheet(kind: fitting.Type, text: Any, table: Any, caution: Any, caption: Any, cell: Any) -> None:  # fmt: skip
    """Sizes to the tenth; lines and gaps to a fifth of a point: size by line height, millimetres in points."""
    near = {"abs": 0.2}
    assert kind.table == table["font-size"] and kind.table_line == pytest.approx(
        kind.table * table["line-height"], **near
    )
    assert kind.text == text["font-size"] and kind.text_line == pytest.approx(kind.text * text["line-height"], **near)
    assert kind.caution == caution["font-size"]
    assert kind.caution_line == pytest.approx(kind.caution * caution["line-height"], **near)
    assert kind.caution_gap == pytest.approx(caution["margin-bottom"], **near)
    assert kind.caption_line == pytest.approx(caption["font-size"] * caption["line-height"], **near)
    sides = cell.get("padding-top", cell["padding"]) + cell.get("padding-bottom", cell["padding"])
    assert kind.pad == pytest.approx(sides, **near)


def test_nothing_is_set_smaller_than_may_be_printed() -> None:
    """Running text and cautions 8.5 points at least; the short front is set as the dense one."""
    for kind in (*FRONTS.values(), *BUILDS, ANNEX):
        assert kind.text >= 8.5 and kind.caution >= 8.5 and kind.table >= 7.5
    assert FRONTS["short"] == FRONTS["dense"]
    table = usual("table", ".check-table")
    assert ANNEX.table == table["font-size"]
    assert ANNEX.table_line == pytest.approx(table["font-size"] * table["line-height"], abs=0.05)
    cell = usual("td", ".check-table td")
    assert ANNEX.pad == pytest.approx(cell["padding-top"] + cell["padding-bottom"], abs=0.01)


@every("paper", ["A4", "Letter"])
def test_the_height_between_the_margins_is_that_of_the_paper(paper: str) -> None:
    """ISO 216: 297 mm; ANSI Y14.1: 11 in; less the margins that the style sheet of the paper has."""
    text = (templates_folder() / f"paper-{paper}.css").read_text(encoding="utf-8")
    margins = re.search(r"margin:\s*([\d.]+)mm\s+[\d.]+mm\s+([\d.]+)mm", text)
    assert margins is not None
    whole = {"A4": 297.0, "Letter": 11.0 * 25.4}[paper]
    assert HEIGHT[paper] == pytest.approx((whole - float(margins[1]) - float(margins[2])) * MM, abs=0.06)


# --- what each thing adds -----------------------------------------------------------------------------------------


def letters(size: float, width: float, lines: int) -> str:
    """A text that just takes so many lines, at 0.515 of the size a letter."""
    return "n" * math.floor(lines * width / (0.515 * size) + 1e-9)


@cache
def page_of(id_: str) -> SheetPage:
    return sheet_page(assessed(id_), STAMP)


def front_page(**other: Any) -> SheetPage:
    page = page_of("P-01")
    bare = replace(page.verdict, fails=(), conditions=(), near=())
    none = CautionsBlock("", (), ())
    return replace(page, **{"verdict": bare, "figures": (), "drivers": (), "cautions": none, "changed": "", **other})


def more(front: Any, **other: Any) -> float:
    """What something adds to the height of a front."""
    return front_height(front_page(**other), front) - front_height(front_page(), front)


@every("front", list(FRONTS))
def test_what_each_thing_adds_to_a_front(front: Any) -> None:
    kind = FRONTS[front]
    verdict = front_page().verdict
    two = letters(kind.text, 480.0, 2)
    listed = kind.text_line + 2.3 + 6.8  # a heading, and the edge of the box
    assert more(front, verdict=replace(verdict, fails=(two,))) == pytest.approx(listed + 2.0 * kind.text_line + 1.1)
    assert more(front, verdict=replace(verdict, near=(two + "n", "n"))) == pytest.approx(listed + 4.0 * kind.text_line + 2.2)  # fmt: skip
    both = replace(verdict, fails=("n",), conditions=("n",), near=("n",))
    assert more(front, verdict=both) == pytest.approx(6.8 + 3.0 * (2.0 * kind.text_line + 2.3 + 1.1))
    three = letters(kind.table, 436.0, 3)
    assert more(front, drivers=(Fact("a", three), Fact("b", "n"))) == pytest.approx(4.0 * kind.table_line + 2.0 * kind.pad)  # fmt: skip
    row = kind.table_line * 1.07 + kind.pad
    columns = ((Fact("a", "n"),), (Fact("a", "n"), Fact("b", "n")))
    assert more(front, figures=columns) == pytest.approx(15.0 + 2.0 * row)
    one, other = (CautionItem("", letters(kind.caution * 1.04, 238.0 - 5.5 * grave, 3)[5:], "", grave) for grave in (False, True))  # fmt: skip
    item = 3.0 * kind.caution_line + kind.caution_gap
    assert more(front, cautions=CautionsBlock("", (one, other), (one,))) == pytest.approx(24.0 + 2.0 * item)
    assert more(front, cautions=CautionsBlock("", (one,), (one, other))) == pytest.approx(24.0 + 2.0 * item)
    assert more(front, no_build="n") == pytest.approx(kind.text_line + 12.8)
    assert more(front, changed="n") == pytest.approx(kind.text_line)
    way = RemedyRow("n", MARKS["suitable"], "n", "", "", "n")
    plain_row = kind.table_line + kind.pad
    block = RemediesBlock("h", (way, replace(way, text="")), "")
    assert more(front, remedies=block) == pytest.approx(25.0 + plain_row * 4.0)  # the head, two rows, one sentence
    picture = front_page().range_picture
    assert more(front, range_picture=replace(picture, height=picture.height + 12.0)) == pytest.approx(12.0)


def block(**other: Any) -> BuildBlock:
    page = page_of("P-01").build
    assert page is not None
    part = page.parts[0][0]
    usual_block = replace(page, conditions=(), provisional="", board=(), readings=(), parts=((part,) * 6,), box=(), box_note="n", cautions=CautionsBlock("", (), ()))  # fmt: skip
    return replace(usual_block, **other)


@every("level", [0, 1, 2])
def test_what_each_thing_adds_to_a_build_side(level: int) -> None:
    kind = BUILDS[min(level, 1)]
    part = replace(block().parts[0][0], kind="n", note="", stands="n", order="–")

    def added(**other: Any) -> float:
        return build_height(block(**other), level) - build_height(block(), level)

    assert added(provisional="n") == pytest.approx(kind.text_line + 11.0)
    assert added(conditions=("n", "n")) == pytest.approx(kind.text_line + 4.5)
    assert added(board=("n",)) == pytest.approx(kind.text_line + 4.5)
    rows = build_height(block(parts=((part,) * 9,)), level) - build_height(block(parts=((part,) * 6,)), level)
    assert rows == pytest.approx(3.0 * (kind.table_line + kind.pad))
    halves = build_height(block(parts=((part,) * 6, (part,) * 5)), level)
    assert halves == build_height(block(parts=((part,) * 6,)), level)  # two columns are as high as the longer one
    frame = block().baffle.frames[0]

    def places(*columns: int) -> float:
        return build_height(block(baffle=replace(block().baffle, frames=(frame,) * 9, places=tuple((frame,) * n for n in columns), sizes="n")), level)  # fmt: skip

    assert places(6, 5) - places(4, 4) == pytest.approx(2.0 * (kind.table_line + kind.pad))
    schematic = block().schematic
    assert added(schematic=replace(schematic, height=schematic.height + 30.0)) == pytest.approx(30.0)
    reading = ReadingRow("n", "n", "n", "n")
    tall = build_height(block(readings=(reading,) * 40), level) - build_height(block(readings=(reading,) * 30), level)
    assert tall == pytest.approx(
        10.0 * (kind.table_line + kind.pad)
    )  # where they are longer than the baffle beside them
    plan = block().baffle
    alone = {"readings": (), "baffle": replace(plan, frames=())}
    higher = replace(plan, frames=(), caption=plan.caption + letters(7.5, 204.0, 3))
    assert added(**{**alone, "baffle": higher}) - added(**alone) == pytest.approx(3.0 * kind.caption_line)
    wirings = page_of("P-10").build
    assert wirings is not None and wirings.wirings
    (wiring,) = wirings.wirings
    short = replace(wiring, text="n")
    assert added(wirings=(short,)) == pytest.approx(15.0 + wiring.picture.height + 9.5 if level < 2 else 0.0)


def annex(**other: Any) -> AnnexBlock:
    page = page_of("P-01").annex
    assert page is not None
    bare = replace(page, charts=(), reasons=(), assumptions=(), remedies=None, checks=(), gaps=(), ladder=(), board=(), wirings=(), beside=0.0)  # fmt: skip
    return replace(bare, **other)


@every("paper", ["A4", "Letter"])
def test_what_each_thing_adds_to_an_annex(paper: str) -> None:
    def added(**other: Any) -> float:
        return (annex_pages(annex(**other), paper) - annex_pages(annex(), paper)) * HEIGHT[paper]

    row = ANNEX.table_line + ANNEX.pad + 0.4
    one = CheckRow(MARKS["pass"], "", letters(7.5, 334.0, 2)[5:], "", "", "", "")
    assert added(checks=(one, one)) == pytest.approx(2.0 * (row + ANNEX.table_line))
    step = StepRow("", "", "", "", "", "", "n")
    assert added(ladder=(step, step)) == pytest.approx(32.0 + 2.0 * row)
    gap = GapRow("n", True, ("n",))
    assert added(gaps=(gap, gap)) == pytest.approx(20.0 + 2.0 * 12.0)
    assert added(assumptions=("n",)) == pytest.approx(17.6 + ANNEX.text_line) == added(reasons=("n",))
    assert added(board=("n",)) == pytest.approx(25.0 + ANNEX.text_line)
    first, *_ = page_of("P-01").annex.charts  # type: ignore[union-attr]
    chart = replace(first[0], caption="n", key=())
    tall = 20.0 + chart.picture.height + 9.5
    assert added(charts=((chart, chart),)) == pytest.approx(25.0 + tall)
    rows = math.floor((HEIGHT[paper] - 25.0 + 8.0) / tall)  # so many go on the first page, one of 8 points more as well
    spilled = added(charts=((chart, chart),) * (rows + 1))
    assert spilled == pytest.approx(HEIGHT[paper] + tall, abs=1e-6)  # the next goes to the next page whole


# --- what follows -------------------------------------------------------------------------------------------------


def test_the_loosest_setting_that_fits_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    """Larger type than usual only where it surely fits: 98.5 % of the page."""
    page, room = front_page(), HEIGHT["A4"]
    for heights, front in (
        ((0.98, 0.9, 0.8), "roomy"), ((0.99, 0.9, 0.8), ""), ((1.1, 1.0, 0.8), ""), ((1.3, 1.01, 1.0), "dense"), ((1.5, 1.3, 1.01), "short"),
    ):  # fmt: skip
        by = dict(zip(("roomy", "", "dense", "short"), (*heights, heights[-1]), strict=True))
        monkeypatch.setattr(fitting, "front_height", lambda _, one, by=by: by[one] * room)
        monkeypatch.setattr(fitting, "build_height", lambda *_: 0.0)
        assert fitted(page, Wish(), "A4") == Wish(front=front, build=0)
        if front != "roomy":  # what is not built has much to say, and is never set larger
            assert fitted(replace(page, build=None), Wish(), "A4").front == front
    monkeypatch.setattr(fitting, "front_height", lambda *_: 0.0)
    assert fitted(replace(page, build=None), Wish(build=2), "A4") == Wish(build=2)
    for first, heights, level in (
        (0, (0.98, 0.9, 0.8), 0), (0, (0.99, 1.0, 0.8), 1), (0, (1.1, 1.01, 1.0), 2), (0, (1.1, 1.01, 1.01), 3), (2, (0.5, 0.5, 0.9), 2), (2, (0.5, 0.5, 1.1), 3),
    ):  # fmt: skip
        monkeypatch.setattr(fitting, "build_height", lambda _, at, heights=heights: heights[at] * room)
        assert fitted(page, Wish(build=first), "A4").build == level


def test_a_long_list_fits_no_loose_side() -> None:
    page = sheet_page(many_parts(30), STAMP, Wish(annex=False), "sides")
    assert page.build is not None and build_height(page.build, 0) > HEIGHT["A4"]
    assert fitted(page, Wish(), "A4").build == 3
