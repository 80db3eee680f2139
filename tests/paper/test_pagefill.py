"""Paper well used: a front and a build side take one page each, and no page but a last one is under a third full."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from reportgen.assessment import Assessment, Remedy
from reportgen.paper.render import render_sheet
from reportgen.suitability.cautions import Caution
from tests.demo_catalogue import demo
from tests.paper.pdfs import before_the_annex, text
from tests.paper.samples import ARABIC, LONG, RIGHT_TO_LEFT, STAMP, WIDE, assessed, many_parts, renamed
from tests.shared import shared

pytestmark = pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="poppler-utils is not installed")

DPI = 20
FOOT_MM, HEAD_MM = 14.0, 8.0
"""Room of the foot line and of the upper margin."""


def pictures(data: bytes, folder: Path, dpi: int) -> Iterator[tuple[int, list[bytes]]]:
    """Width of each page in dots, and its rows: a byte a dot, 255 for white (poppler's pdftoppm)."""
    file = folder / "page.pdf"
    file.write_bytes(data)
    raw = subprocess.run(["pdftoppm", "-r", str(dpi), "-gray", str(file)], capture_output=True, check=True).stdout
    at = 0
    while at < len(raw):
        head = re.match(rb"P5\s(\d+)\s(\d+)\s255\s", raw[at : at + 40])
        assert head is not None
        width, height, begin = int(head[1]), int(head[2]), at + head.end()
        at = begin + width * height
        yield width, [raw[row : row + width] for row in range(begin, at, width)]


def filled(data: bytes, folder: Path) -> list[float]:
    """Share of each page's height down to its last ink, without head and foot."""
    shares = []
    for _, rows in pictures(data, folder, DPI):
        top, foot = round(HEAD_MM / 25.4 * DPI), round(len(rows) - FOOT_MM / 25.4 * DPI)
        inked = [row for row in range(top, foot) if min(rows[row]) < 200]
        shares.append((max(inked, default=top) - top) / (foot - top))
    return shares


WIDE_MM, FINE_DPI = 180.0, 100
"""Drawings and tables are so wide on both papers, in the middle of the page; a dot of this picture is a quarter of a millimetre."""


@shared
def sheet(id_: str, paper: str) -> bytes:
    return render_sheet(assessed(id_), STAMP, None, paper)


EVERYTHING = os.environ.get("REPORTGEN_LONG") == "1"
EVERY = [(id_, paper) for id_ in sorted(demo().pairings) for paper in ("A4", "Letter")]
SOME = EVERY[::7]
"""A seventh of them, half of those on either paper; with REPORTGEN_LONG=1 every pairing on both."""


@pytest.mark.parametrize(("id_", "paper"), EVERY if EVERYTHING else SOME)
def test_paper_is_well_used(id_: str, paper: str, tmp_path: Path) -> None:
    found = assessed(id_)
    shares = filled(sheet(id_, paper), tmp_path)
    built = found.design is not None and found.verdict.word != "not suitable"
    sides = before_the_annex(sheet(id_, paper))
    pieces = sum(max(len(line.made_of), 1) for line in found.parts)
    assert sides == (2 if built else 1) or (built and pieces > 10 and sides == 3)
    last_of_parts = {sides - 1, len(shares) - 1}
    assert all(share > 1.0 / 3.0 for n, share in enumerate(shares) if n not in last_of_parts), shares
    assert len(shares) <= sides + 3


@pytest.mark.parametrize(("id_", "paper"), EVERY if EVERYTHING else SOME[::3])
def test_nothing_is_printed_in_the_margins(id_: str, paper: str, tmp_path: Path) -> None:
    for width, rows in pictures(sheet(id_, paper), tmp_path, FINE_DPI):
        outside = int((width - WIDE_MM / 25.4 * FINE_DPI) / 2.0) - 1
        assert all(min(*row[:outside], *row[-outside:]) > 200 for row in rows)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_no_page_holds_the_assumptions_alone(paper: str, tmp_path: Path) -> None:
    """They stand right after the curves, before the checks, and so never last."""
    words = text(sheet("P-01", paper), tmp_path)
    assert words.index("What the model assumes") < words.index("Annex: checks")


def stress() -> Assessment:
    """20 parts, 12 cautions, 10 remedies."""
    found = many_parts(20)
    caution = Caution(
        "more", "One more caution", "A hazard that takes two lines of one column to be told in full. " * 2, "", "HD-01"
    )
    ways = tuple(
        Remedy((f"change number {n} of some length",), "suitable", (1800.0, 3000.0), 2300.0, 90.0, "", "It costs a condition.")
        for n in range(10)
    )  # fmt: skip
    more = tuple(replace(caution, id=f"more {n}", title=f"Caution {n}") for n in range(12 - len(found.cautions)))
    return replace(
        found, cautions=(*found.cautions, *more), remedies=ways, remedies_note="The search took 214 assessments."
    )


@pytest.mark.parametrize(("paper", "kit", "note"), [("A4", RIGHT_TO_LEFT, ARABIC), ("Letter", WIDE, LONG)])
def test_the_fullest_sheet_still_prints_whole(paper: str, kit: str, note: str, tmp_path: Path) -> None:
    found = renamed(kit, note, stress())
    assert (len(found.parts), len(found.cautions), len(found.remedies)) == (20, 12, 10)
    data = render_sheet(found, STAMP, None, paper)
    words = text(data, tmp_path)
    for line in found.parts:
        assert f" {line.label} " in words
    for one in found.cautions:
        assert one.title in words
    for n in range(10):
        assert f"Change number {n} of some length." in words
    told = ["pdftotext", "-bbox", str(tmp_path / "read.pdf"), "-"]
    _, *pages = subprocess.run(told, capture_output=True, text=True, check=True).stdout.split("<page ")
    assert 2 < len(pages) <= 8
    for boxes in pages:  # the foot keeps to its two lines: printers leave 4 mm white
        height = float(re.search(r'height="([\d.]+)"', boxes)[1])  # type: ignore[index]
        assert max(map(float, re.findall(r'yMax="([\d.]+)"', boxes))) < height - 4.0 / 25.4 * 72.0


@pytest.mark.parametrize(("faults", "beside"), [(9, True), (16, False)])
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_front_too_full_for_one_side_takes_two(paper: str, faults: int, beside: bool, tmp_path: Path) -> None:
    """Faults of two lines each: cautions stand beside them while there is room; what the verdict rests on stays together."""
    told = (
        "It misses its limit by so much that the sentence which tells it takes two lines of the front to say so. " * 2
    )
    found = assessed("P-14")
    verdict = replace(found.verdict, fails=tuple((f"Fault {n}", told) for n in range(faults)))
    data = render_sheet(replace(found, verdict=verdict), STAMP, None, paper, "sheet")
    shares, words = filled(data, tmp_path), text(data, tmp_path)
    assert len(shares) == 2 and min(shares) > 1.0 / 3.0, shares
    first = words[: words.index(f"{STAMP.fingerprint[:12]} · reportgen")]
    assert ("Read this before you open the box" in first) is beside and "Where the crossover may lie" not in first
