"""Pages of the desk: each on one sheet of paper whatever is on it, saying what the advice room found."""

from __future__ import annotations

import datetime as dt
import shutil
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import islice
from math import log2
from pathlib import Path

import pytest

from reportgen.advice import replies
from reportgen.advice.comparison import Comparison, compare
from reportgen.advice.enquiries import Answer, answer
from reportgen.advice.replies import hz_words, sentence
from reportgen.advice.screening import screen
from reportgen.assessment import Assessment
from reportgen.catalogue.records import Enquiry, Origin
from reportgen.paper import deskpages
from reportgen.paper.printing import Stamp
from reportgen.paper.render import Page
from reportgen.problems import ReportgenError
from tests.advice.demo_answers import demo_answer, demo_screened, one_dome
from tests.advice.random_catalogues import random_catalogue
from tests.demo_catalogue import demo
from tests.paper.pdfs import of_kind, opened, text
from tests.paper.samples import IDEOGRAPHS, LONG, RIGHT_TO_LEFT, assessed

STAMP = Stamp("", dt.date(2026, 11, 25), 0, "9f3c1a77b2d4e5f60718293a4b5c6d7e", "0.1.0")
needs_poppler = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler-utils is not installed")


@cache
def compared(*ids: str) -> tuple[Comparison, tuple[Assessment, ...]]:
    found = tuple(assessed(id_) for id_ in ids)
    return compare(found), found


def answer_pages(id_: str = "E-01") -> Iterator[Page]:
    return deskpages.answer_pages(demo_answer(id_), demo().maker, STAMP)


def comparison_pages(*ids: str) -> Iterator[Page]:
    return deskpages.comparison_pages(*compared(*ids), 3, STAMP)


def screening_pages() -> Iterator[Page]:
    return deskpages.screening_pages(demo_screened(), demo(), demo().pairings["P-01"], 1, STAMP, "the use of P-01")


def wordy_answer() -> Answer:
    found = demo_answer("E-02")
    enquiry = replace(found.enquiry, question=" ".join([LONG] * 30))
    proposals = tuple(replace(one, description=LONG) for one in found.proposals)
    return replace(found, enquiry=enquiry, proposals=proposals, assumed=(LONG,) * 4, why_not_kind=LONG)


CROWDED = ("P-03", "P-08", "P-10", "P-14", "P-20", "P-24")
PAGES = {
    "answer": answer_pages,
    "answer, own driver": lambda: answer_pages("E-02"),
    "answer, wordy": lambda: deskpages.answer_pages(wordy_answer(), demo().maker, STAMP),
    "comparison": lambda: comparison_pages("P-01", "P-02"),
    "comparison, six": lambda: comparison_pages(*CROWDED),
    "screening": screening_pages,
}


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", PAGES)
def test_one_page_stays_one_page_with_its_ranges_on_one_axis(name: str, paper: str) -> None:
    with opened(deskpages.pdf_of(PAGES[name](), paper=paper)) as pdf:
        assert len(pdf.pages) == 1
        boxes = [[float(edge) for edge in figure.A.BBox] for figure in of_kind(pdf, "Figure")]
    assert len(boxes) > 2 and len({(round(left), round(right)) for left, _, right, _ in boxes}) == 1  # axis over strips


def test_a_large_catalogue_is_screened_onto_one_page() -> None:
    catalogue = random_catalogue(16, 24)
    found = screen(catalogue, demo().pairings["P-01"], keep=None)
    pages = list(deskpages.screening_pages(found, catalogue, demo().pairings["P-01"], 1, STAMP, "the use of P-01"))
    (block,) = pages[0].blocks
    assert (len(block.rows), len(block.heads)) == (deskpages.DOWN, deskpages.ACROSS)
    assert "14 low and 20 high drivers that rank best" in pages[0].tally
    assert found.candidates[0].low_id in {row.name for row in block.rows}
    assert found.candidates[0].high_id in block.heads
    assert len(opened(deskpages.pdf_of(iter(pages))).pages) == 1


def test_without_a_page_there_is_no_paper() -> None:
    with pytest.raises(ValueError, match="no page was given"):
        deskpages.pdf_of(iter(()))


# --- answer ---------------------------------------------------------------------------------------------------------


@needs_poppler
def test_an_answer_says_what_was_asked_and_what_would_do(tmp_path: Path) -> None:
    found = demo_answer("E-02")
    said = text(deskpages.pdf_of(answer_pages("E-02")), tmp_path)
    assert "Is there a ribbon that would do?" in said
    assert "98 dB at 3 m is out of reach: HD-" in said.replace("\u00a0", " ")
    ribbons = [one.high_id for one in found.proposals if one.assessment.case.technology.id == "true ribbon"]
    assert len(ribbons) == 2
    assert f"You asked for a true ribbon: {' and '.join(ribbons)}; the other is of another kind." in said
    for one in found.proposals:
        assert one.high_id in said
        assert f"crossover {hz_words(one.crossover_hz)}" in said.replace("\u00a0", " ")
    assert "break-up frequency (the first sharp peak near the top of its response)" in said


@needs_poppler
@pytest.mark.parametrize("id_", ["E-01", "E-02", "E-03"])
def test_an_answer_names_no_cell_of_the_workbook(id_: str, tmp_path: Path) -> None:
    said = text(deskpages.pdf_of(answer_pages(id_)), tmp_path)
    for word in ("Enquiries!", "drivers!", "no such row", "driver of E-", "not assessed"):
        assert word not in said


def test_an_undecided_proposal_is_called_provisional() -> None:
    page = next(islice(answer_pages("E-02"), 1))
    assert {block.mark.word for block in page.candidates} == {"provisional"}
    assert "would probably do" in page.outcome


def test_what_was_asked_is_answered_in_the_head_and_what_was_understood_in_the_notes() -> None:
    wishes = ("we take “van” to mean a vehicle", "we count on “3 m”", "BW1 at 900 Hz would not do: it rings")
    asked = replace(
        demo_answer("E-01"), named=("HD-09",), about=("HD-09 would not do. It is too frail",), wishes=wishes
    )
    page = next(islice(deskpages.answer_pages(asked, demo().maker, STAMP), 1))
    head = page.outcome.replace("\u00a0", " ")
    assert head.startswith("HD-09 would not do. It is too frail. BW1 at 900 Hz would not do: it rings.")
    assert "of our high drivers would do" in head and "we take" not in head.lower()
    notes = " ".join(page.notes).replace("\u00a0", " ")
    assert "We take “van” to mean a vehicle." in notes and "We count on “3 m”." in notes and "BW1" not in notes


def test_of_a_mail_that_asks_for_nothing_the_page_asks_and_what_was_not_read_stands_in_the_head() -> None:
    enquiry = Enquiry(
        id="E-9",
        origin=Origin("Enquiries", 9),
        question="Is HD-07 poisonous? It broke. Do you ship?",
        typed=("question",),
    )
    page = next(deskpages.answer_pages(answer(enquiry, demo()), demo().maker, STAMP))
    assert (
        page.outcome.startswith("Careful. Beryllium is toxic") and "Not answered here: “Do you ship?”." in page.outcome
    )
    assert page.notes[0] == sentence(replies.ASK_FOR) and not page.candidates and not page.understood


def test_a_proposal_carries_what_its_driver_is_warned_of() -> None:
    page = next(islice(answer_pages("E-01"), 1))
    for block, one in zip(page.candidates, demo_answer("E-01").proposals, strict=True):
        own = [caution.text for caution in one.assessment.cautions if caution.applies_to == one.high_id]
        assert block.cautions and all(item.text.replace("\u00a0", " ") in own for item in block.cautions)


def test_an_answer_on_hardly_any_data_is_provisional_and_says_what_is_wanted() -> None:
    enquiry = replace(demo().enquiries["E-02"], given_re_ohm=None)
    page = next(deskpages.answer_pages(answer(enquiry, one_dome()), demo().maker, STAMP))
    assert page.candidates and {block.mark.word for block in page.candidates} == {"provisional"}
    assert "Your woofer's DC resistance (Re)." in page.missing


def test_a_foreign_script_is_set() -> None:
    enquiry = replace(demo().enquiries["E-03"], question=f"{RIGHT_TO_LEFT} {IDEOGRAPHS} <b>&")
    found = replace(demo_answer("E-03"), enquiry=enquiry)
    assert deskpages.pdf_of(deskpages.answer_pages(found, demo().maker, STAMP)).startswith(b"%PDF")


# --- comparison -----------------------------------------------------------------------------------------------------


def test_a_comparison_prints_only_what_differs_and_the_rest_once() -> None:
    page = next(comparison_pages("P-01", "P-02"))
    (block,) = page.blocks
    assert block.heads == ("P-01", "P-02")
    assert all(len(set(row.values)) > 1 for row in block.rows)
    named = {row.figure for row in block.rows} | {fact.label for fact in page.shared}
    assert "Slope" in named and "Centre spacing (mm)" in named
    assert not {row.figure for row in block.rows} & {fact.label for fact in page.shared}


def test_ranges_stand_on_one_axis() -> None:
    page = next(comparison_pages("P-01", "P-02", "P-10"))
    assert [row.id for row in page.ranges] == ["P-01", "P-02", "P-10"]
    assert len({row.strip.width for row in page.ranges}) == 1
    assert [row.range for row in page.ranges] == [
        f"{low} to {high}\u00a0Hz" for low, high in ((2120, 3000), (1600, 3410), (1700, 4970))
    ]  # by hand: 1.8 x 1180 and 5200/1.732; maker's 1600 and 5900/1.732; maker's 1700 and 8600/1.732


def test_more_than_stand_side_by_side_are_refused() -> None:
    with pytest.raises(ReportgenError, match="7 pairings were given; 6 stand side by side"):
        deskpages.refuse_too_many(7)
    deskpages.refuse_too_many(6)


# --- screening ------------------------------------------------------------------------------------------------------


def test_the_matrix_prints_the_width_of_every_range() -> None:
    page = next(screening_pages())
    (block,) = page.blocks
    pairs = {(one.low_id, one.high_id): one for one in demo_screened().candidates}
    assert block.heads == tuple(demo().high_drivers)
    assert [row.name for row in block.rows] == list(demo().low_drivers)
    for row in block.rows:
        for high, cell in zip(block.heads, row.cells, strict=True):
            one = pairs[row.name, high]
            assert cell.mark is not None and cell.mark.word == one.word
            assert one.low_hz and one.high_hz
            assert float(cell.text.replace("−", "-")) == pytest.approx(log2(one.high_hz / one.low_hz), abs=0.0501)


def test_a_screening_counts_what_it_found() -> None:
    page = next(screening_pages())
    assert page.tally.startswith(f"{len(demo().low_drivers) * len(demo().high_drivers)} pairs of drivers")
    assert sum(int(fact.value) for fact in page.obstacles) == dict(demo_screened().words)["not suitable"]
    assert page.best[0].kit == f"{demo_screened().candidates[0].low_id} with {demo_screened().candidates[0].high_id}"
