"""Every kind of page keeps to PDF/UA-1, reads in order, and can be read: contrast and sizes of type."""

from __future__ import annotations

import colorsys
import html
import re
import shutil
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from weasyprint import HTML

from reportgen.advice.listings import Field, Listing, Report
from reportgen.advice.pricing import offers
from reportgen.assessment import Ware
from reportgen.paper import deskpages
from reportgen.paper.composing import sheet_page
from reportgen.paper.drawings import Picture
from reportgen.paper.listingpages import listing_pages
from reportgen.paper.pricepages import PriceListPage, price_pages
from reportgen.paper.render import PDF_OPTIONS, press, written
from reportgen.paper.templates import templates_folder
from tests.demo_catalogue import demo
from tests.every import every
from tests.paper.pdfs import opened, text
from tests.paper.samples import LONG, STAMP, VARIANTS, catalogue, printed, suitable
from tests.paper.structure import children, faults, walked
from tests.paper.test_deskpages import PAGES as DESK

REPORT = Report(
    "Pick list",
    "Two parts for three kits",
    (
        Listing("To pick", (Field("Kits", "count"), Field("Part", "id"), Field("What", "words"), Field("Price", "money")),
                ((3, "KL-0m82", "coil", 7.62), (None, LONG, "", None)), note="By shelf.", ticks=True),
        Listing("Verdicts", (Field("Pairing", "id"), Field("Verdict", "verdict"), Field("Crossover", "hz")),
                (("P-01", "suitable", 2440.0), ("P-02", "not suitable", None))),
    ),
    ("Count the shelf first.",),
)  # fmt: skip


def price_list() -> Iterator[PriceListPage]:
    return price_pages(
        offers([Ware.of(suitable("P-01")), Ware.of(suitable("P-06"))], demo().maker), "Spring", demo().maker, STAMP
    )


KINDS: dict[str, Callable[[], bytes]] = {
    **{f"sheet, {name}": (lambda name=name: printed(name, "A4", "all")) for name in VARIANTS},  # type: ignore[misc]
    "sheet, two sides": lambda: printed("conditions", "Letter", "sheet"),
    **{name: (lambda make=make: deskpages.pdf_of(make())) for name, make in DESK.items()},  # type: ignore[misc]
    "listing": lambda: written(press().layout(next(listing_pages(REPORT, "pick list", demo().maker, STAMP)), "A4")),
    "price list": lambda: written(press().layout(next(price_list()), "A4")),
    "catalogue": lambda: catalogue()[0],
}


@pytest.mark.parametrize("kind", KINDS)
def test_the_structure_is_as_pdf_ua_wants_it(kind: str) -> None:
    with opened(KINDS[kind]()) as pdf:
        assert Counter(faults(pdf)) == {}


def test_every_kind_of_page_that_is_printed_is_checked() -> None:
    """Each template that is a page of its own, but the one for the screen, is filled by one of the kinds above."""
    folder = templates_folder()
    whole = {
        file.name for file in folder.glob("*.html") if re.search(r"<html|extends", file.read_text(encoding="utf-8"))
    }
    filled = {"sheet.html", "catalogue.html"} | {
        page.template
        for page in (
            *(next(make()) for make in DESK.values()),
            next(price_list()),
            next(listing_pages(REPORT, "x", demo().maker, STAMP)),
        )
    }
    assert whole - {"index.html", "desk.html"} == filled


def engine(body: str) -> pikepdf.Pdf:
    html = f'<html lang="en"><title>Page</title><body>{body}'
    return opened(HTML(string=html).write_pdf(**PDF_OPTIONS))


@every(
    ("body", "said"),
    (
        ("<h1>a</h1><dl><div><dt>x</dt><dd>y</dd></div></dl>", "L holds Div"),
        ("<h1>a</h1><ul><li style='display: inline'>x</li> <li style='display: inline'>y</li></ul>", "L holds"),
        ("<h1>a</h1><h3>b</h3>", "H3 follows H1"),
        ("<h1>a</h1><table><tr><td>x</td></tr></table>", "a cell without a head"),
        ("<h1>a</h1><table><tr><th scope=col>x</th></tr><tr><td>1</td><td>2</td></tr></table>", "cells wide"),
        ("<h1>a</h1><img src='data:image/svg+xml,%3Csvg xmlns=%22http://www.w3.org/2000/svg%22 width=%229%22 height=%229%22/%3E'>", "without words"),
    ),
)  # fmt: skip
def test_the_checker_finds_a_fault(body: str, said: str) -> None:
    with engine(body) as pdf:
        assert any(said in fault for fault in faults(pdf)), faults(pdf)


def test_headings_stand_in_the_order_of_the_sheet() -> None:
    with opened(printed("conditions", "A4", "all")) as pdf:
        with pdf.open_outline() as outline:
            (top,) = outline.root  # the kit; all else hangs under it
            assert str(top.title).startswith(suitable("P-01").case.pairing.kit)
            assert sum(str(one.title).startswith("Annex: ") for one in top.children) > 1
        levels = [str(node.S)[1:] for node, _ in walked(pdf) if re.fullmatch(r"/H\d", str(node.S))]
        first = next(children(pdf.Root.StructTreeRoot))
        parts = [str(kid.S)[1:] for kid in children(first)]
    assert levels[0] == "H1"
    assert levels.count("H1") == 1
    assert parts[:2] == ["Sect", "Sect"]  # front, build; then the annex


# --- contrast and sizes ----------------------------------------------------------------------------------------------


def luminance(colour: str) -> float:
    """Relative luminance of #rrggbb (WCAG 2.1)."""
    full = colour if len(colour) == 7 else "#" + "".join(2 * c for c in colour[1:])
    parts = [int(full[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_reckoned_as_wcag_has_it() -> None:
    assert contrast("#000000", "#fff") == pytest.approx(21.0)  # WCAG 2.1: black on white is 21 : 1
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)  # the well-known grey that just fails


def style(name: str = "style.css") -> str:
    return (templates_folder() / name).read_text(encoding="utf-8")


def test_letters_stand_out() -> None:
    # WCAG 2.1, 1.4.3: 4.5 : 1. Letters are dark on white or on the faintest tint, or white on a dark field.
    for rule in re.findall(r"\{([^{}]*)\}", style()):
        colour, ground = (re.search(rf"(?<![-\w]){name}: (#[0-9a-f]+)", rule) for name in ("color", "background"))
        if colour is None and ground is not None:  # the letters of the page, on this ground
            assert contrast("#14181d", ground[1]) >= 4.5, rule
        if colour is not None:
            assert (
                contrast(colour[1], ground[1] if ground else "#f0f2f4" if luminance(colour[1]) < 0.3 else "#17603a")
                >= 4.5
            ), rule
    inks = dict(re.findall(r'"([\w-]+)": \'fill="(#[0-9a-f]+)"', style("drawing.html")))
    for ink in ("word", "faint", "strong"):
        assert contrast(inks[ink], "#ffffff") >= 4.5
    for ink in ("reversed", "reversed-strong"):
        assert contrast(inks[ink], inks["bar-binding"]) >= 4.5


def test_type_is_large_enough() -> None:
    """Nothing under 7 points; running text and cautions 8.5 at least (the contract of the sheet; IEC 82079-1 asks for legible type)."""
    for size in re.findall(r"font(?:-size)?: (?:\d+ )?([\d.]+)pt", style()):
        assert float(size) >= 7.0
    assert float(re.search(r"html \{\s*font: ([\d.]+)pt", style())[1]) >= 8.5  # type: ignore[index]
    for selector, size in re.findall(r"([^{}]*)\{[^{}]*?font-size: ([\d.]+)pt", style()):
        if "caution" in selector or ".told" in selector or ".reason" in selector:
            assert float(size) >= 8.5, selector


HUES = {"red": (0, 15), "amber": (30, 50), "green": (100, 160)}
"""Degrees. Danger, caution and safe as IEC 60073 has them (from memory)."""


def bars(data: bytes) -> set[str]:
    """Hues of what is as wide as the print, low, and strongly coloured on the first page: the bar of the verdict."""
    found, ink, box = set(), (0.0, 0.0, 0.0), (0.0, 0.0)
    with opened(data) as pdf:
        for operands, operator in pikepdf.parse_content_stream(pdf.pages[0]):
            if str(operator) == "rg":
                ink = tuple(map(float, operands))  # type: ignore[assignment]
            elif str(operator) == "re":
                box = (0.75 * float(operands[2]), 0.75 * float(operands[3]))  # pixels of the style sheet, in points
            elif str(operator) in ("f", "f*", "B") and box[0] == pytest.approx(180 / 25.4 * 72, abs=2) and box[1] < 80:
                hue, strength, _ = colorsys.rgb_to_hsv(*ink)
                named = [name for name, (low, high) in HUES.items() if low <= 360 * hue <= high]
                found |= set(named or ["another"]) if strength > 0.6 else set()
    return found


@every(("name", "hues"), (("remedies", {"red"}), ("conditions", {"amber"}), ("plain", {"green"}), ("undecided", set())))
def test_the_bar_of_a_verdict_has_its_colour(name: str, hues: set[str]) -> None:
    assert bars(printed(name, "A4", "all")) == hues


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler-utils is not installed")
@pytest.mark.parametrize("name", ("conditions", "remedies", "two lows"))
def test_no_column_is_too_narrow_for_its_words(name: str, tmp_path: Path) -> None:
    """Each word of each cell is found whole in what is printed; one too long for its column would be broken anywhere."""
    cells = re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", press().html(sheet_page(VARIANTS[name](), STAMP)), re.DOTALL)
    plain = re.sub(r"<svg.*?</svg>|<[^>]+>", " ", " | ".join(cells), flags=re.DOTALL)
    words, seen = (
        {word.rstrip(":") for word in one.split()}
        for one in (html.unescape(plain), text(printed(name, "A4", "all"), tmp_path))
    )
    assert len(words) > 400 and not words - seen - {"|"}


def pictures(value: Any) -> list[Picture]:
    """Every drawing of a page."""
    if isinstance(value, Picture):
        return [value]
    if isinstance(value, tuple):
        return [found for one in value for found in pictures(one)]
    slots = getattr(value, "__slots__", ())
    return [found for name in slots for found in pictures(getattr(value, name))]


@every("name", VARIANTS)
def test_drawings_are_told_in_words_and_their_labels_are_seven_points_at_least(name: str) -> None:
    found = pictures(sheet_page(VARIANTS[name](), STAMP))
    assert found
    for picture in found:
        assert len(picture.alt) > 15
        assert all(label.size >= 7.0 for label in picture.labels)
