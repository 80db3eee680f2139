"""Pages of the desk to the letter: what was asked, what is proposed, what is compared and screened, what a kit costs, what the screen shows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import fields, replace
from decimal import Decimal
from math import nan
from typing import Any

import numpy as np

from reportgen.advice import replies
from reportgen.advice.comparison import Comparison, Figure, Value
from reportgen.advice.enquiries import Answer
from reportgen.advice.pricing import Offer, suits
from reportgen.advice.screening import Candidate, Matrix, Screening
from reportgen.assessment import Assessment, Ware
from reportgen.catalogue.records import Maker, Practice
from reportgen.paper import deskpages
from reportgen.paper.pages import AnswerPage, Fact, ScreeningPage
from reportgen.paper.pricepages import PriceListPage, price_pages
from reportgen.paper.printing import Stamp
from reportgen.paper.screenpage import screen_page
from reportgen.suitability.cautions import Caution
from reportgen.suitability.limits import LIMITS
from reportgen.suitability.verdict import UsableRange, Verdict
from tests.advice.demo_answers import demo_answer
from tests.demo_catalogue import demo
from tests.every import every
from tests.paper.samples import assessed, suitable

STAMP = Stamp("", dt.date(2026, 11, 25), 4, "9f3c1a77b2d4e5f60718293a4b5c6d7e", "0.1.0")


def told(facts: Iterable[Fact]) -> list[tuple[str, ...]]:
    """Facts as the words that stand on paper, blanks that do not break made plain ones."""
    rows = [tuple(str(getattr(one, field.name)).replace("\u00a0", " ") for field in fields(one)) for one in facts]
    return [row[:2] if row[2] == "" else row for row in rows]


# --- answer -------------------------------------------------------------------------------------------------------


def page(found: Answer) -> AnswerPage:
    return deskpages.answer_page(found, demo().maker, STAMP)


USE = {
    "arrangement": "high over low", "crossover_hz": 2449.5, "slope": "LR4", "distance_m": 2.5, "ear_height_m": 1.05,
    "horizontal_half_window_rad": 0.5235987755982988, "vertical_half_window_rad": 0.17453292519943295, "peak_level_db": 96.0,
    "amplifier_power_w": 60.0, "surroundings": "home",
}  # fmt: skip
"""Windows of 30 and 10 degrees, in radians."""
WORDS = [
    ("Arrangement", ["high over low"], ["arrangement"]),
    ("Crossover", ["2450 Hz"], ["crossover_hz"]),
    ("Slope", ["Linkwitz-Riley, order 4"], ["slope"]),
    ("Seat", ["2.5 m away", "ear at 1.05 m"], ["distance_m", "ear_height_m"]),
    ("Good sound within", ["±30° to the sides", "±10° up and down"], ["horizontal_half_window_rad", "vertical_half_window_rad"]),
    ("Peak level at the seat", ["96.0 dB"], ["peak_level_db"]),
    ("Amplifier", ["60 W"], ["amplifier_power_w"]),
    ("Surroundings", ["home"], ["surroundings"]),
]  # fmt: skip


@every("typed", [(), *((name,) for name in USE), tuple(USE)])
def test_what_nobody_asked_for_is_called_ours_and_what_was_asked_is_not(typed: tuple[str, ...]) -> None:
    """Of a fact of two figures each is called ours by itself, unless both are."""
    enquiry = replace(demo().enquiries["E-01"], **USE, typed=typed)
    expected = []
    for label, parts, names in WORDS:
        ours = [name not in typed for name in names]
        marked = [f"{part} (ours)" if own and not all(ours) else part for part, own in zip(parts, ours, strict=True)]
        expected.append((label, f"{', '.join(marked)}{' (ours)' if all(ours) else ''}"))
    found = replace(demo_answer("E-01"), enquiry=enquiry, low=None)
    assert told(page(found).understood) == expected
    assert told(deskpages.use_facts(enquiry)) == [(label, ", ".join(parts)) for label, parts, _ in WORDS]
    free = replace(enquiry, crossover_hz=None)
    assert "Crossover" not in [label for label, _ in told(deskpages.use_facts(free, typed))]


def test_the_woofer_and_the_cabinet_as_they_were_understood() -> None:
    """Ours by name; the enquirer's own by its figures: 210 cm2, 32 Hz, 89 dB."""
    ours, theirs = (told(page(demo_answer(id_)).understood)[:2] for id_ in ("E-01", "E-02"))
    assert ours == [("Woofer", "LD-01, 130 cm² mid-woofer, coated paper"), ("Cabinet", "CB-01, closed, baffle 200 × 360 mm")]  # fmt: skip
    assert theirs == [("Your woofer", "210 cm², 32 Hz, 89.0 dB"), ("Cabinet", "closed, baffle 260 × 900 mm")]
    known = demo_answer("E-02")
    assert known.cabinet is not None
    tall = page(replace(known, cabinet=replace(known.cabinet, baffle_width_m=0.202, baffle_height_m=1.006)))
    assert told(tall.understood)[1] == ("Cabinet", "closed, baffle 202 × 1006 mm")


def test_an_answer_says_which_it_is() -> None:
    found = page(demo_answer("E-01"))
    assert told(found.stamp) == [("Enquiry", "E-01"), ("Received", "2026-11-18"), ("Date", "2026-11-25"), ("Workbook", "9f3c1a77b2d4")]  # fmt: skip
    assert (found.title, found.foot.partition(" · ")[0]) == ("Answer to enquiry E-01", "Enquiry E-01")
    assert found.question == demo_answer("E-01").question
    enquiry = replace(demo_answer("E-01").enquiry, received=None)
    assert told(page(replace(demo_answer("E-01"), enquiry=enquiry)).stamp)[1] == ("Date", "2026-11-25")


def test_a_proposal_to_the_letter() -> None:
    """HD-06 over LD-01: the maker's 1200 Hz to 5200 / 1.732 Hz."""
    found = demo_answer("E-01")
    one = replace(found.proposals[0], word="suitable", price=76.0, guide_id="WG-01", rear="rear cup taken off")
    first, second = page(replace(found, proposals=(one, replace(one, word="undecided", guide_id=None, rear="", price=None)))).candidates  # fmt: skip
    assert (first.rank, first.name, first.mark.word) == ("1", "HD-06, in waveguide WG-01, rear cup taken off", "suitable")  # fmt: skip
    assert told(first.facts) == [("crossover", "1450 Hz, LR4"), ("usable range", "1200 to 3000 Hz"), ("price each", "76.00 EUR")]  # fmt: skip
    assert first.reason.replace("\u00a0", " ") == (
        "Why this range: The maker allows the high driver from 1200 Hz with a slope of order 4. "
        "The cone breaks up at 5200 Hz; LR4 is 20 dB down there only when it crosses at 3000 Hz or lower."
    )
    assert (second.rank, second.name, second.mark.word) == ("2", "HD-06", "provisional")
    assert told(second.facts)[2] == ("price each", "–")
    assert first.strip.alt.replace("\u00a0", " ").endswith("crossover 1450 Hz") and first.strip.alt.startswith(
        "Usable 1200"
    )


@every(
    ("technology", "description", "words"),
    [("soft dome", "34 mm Soft Dome", "34 mm Soft Dome"), ("soft dome", "34 mm, silk", "soft dome; 34 mm, silk")],
)
def test_the_kind_of_driver_is_told_once(technology: str, description: str, words: str) -> None:
    found = demo_answer("E-01")
    one = replace(found.proposals[0], technology=technology, description=description)
    assert page(replace(found, proposals=(one,))).candidates[0].description == words


def test_a_proposal_warns_of_its_driver_and_of_no_more_than_two_things() -> None:
    """What concerns the work or servicing is for the bench; the order is that of the assessment, grave things first."""
    found = demo_answer("E-01")
    given = [("a", "servicing", "HD-06"), ("b", "x", "the work"), ("c", "x", "HD-06"), ("d", "x", "HD-06"), ("e", "x", "HD-06")]  # fmt: skip
    cautions = tuple(Caution(id_, title, f"text {title}", "", of, title == "c") for title, id_, of in given)
    one = replace(found.proposals[0], assessment=replace(found.proposals[0].assessment, cautions=cautions))
    (block,) = page(replace(found, proposals=(one,))).candidates
    assert [(item.title, item.text, item.concerns, item.grave) for item in block.cautions] == [
        ("c", "text c", "HD-06", True), ("d", "text d", "HD-06", False),
    ]  # fmt: skip


def test_what_goes_first_where_the_page_runs_short() -> None:
    """The meaning of words goes first, then conditions, cautions and the question get shorter step by step; one caution stays, and what was assumed."""
    found = demo_answer("E-02")
    pages = list(deskpages.answer_pages(found, demo().maker, STAMP))
    most = [(max(len(one.conditions) for one in each.candidates), max(len(one.cautions) for one in each.candidates), len(each.notes)) for each in pages]  # fmt: skip
    kept = len(pages[0].notes) - 1
    assert most[1:] == [(3, 1, kept), (2, 1, kept), (1, 1, kept), (1, 1, kept)] and most[0][0] > 3 and most[0][1:] == (2, len(pages[0].notes))  # fmt: skip
    assert pages[-1].notes == pages[0].notes[:-1] and kept > 0
    assert pages[0].care == "Local codes and licensed trades come first." == pages[-1].care
    long = replace(found, enquiry=replace(found.enquiry, question=" ".join(["word"] * 300)))
    lengths = [len(each.question) for each in deskpages.answer_pages(long, demo().maker, STAMP)]
    assert lengths[0] == 1499 and lengths[1:] == [
        595,
        595,
        295,
        195,
    ]  # 600, 300 and 200 at most: whole words and an ellipsis
    for each in pages:
        for small, whole in zip(each.candidates, pages[0].candidates, strict=True):
            assert small.cautions == whole.cautions[: len(small.cautions)]
            assert small.conditions == whole.conditions[: len(small.conditions)]
        assert " ".join(each.missing) and each.outcome == pages[0].outcome
    lacking = replace(found, missing=("Known Fs of E-02 (Enquiries!L3)", "Known Qms of E-02 (Enquiries!O3)"))
    told, *short = (each.missing for each in deskpages.answer_pages(lacking, demo().maker, STAMP))
    assert told == ("Your woofer's resonance (Fs).", "Your woofer's mechanical Q (Qms).")
    assert set(short) == {("Your woofer's resonance (Fs) and mechanical Q (Qms).",)}
    assert [all(one.reason for one in each.candidates) for each in pages] == [True, True, True, True, False]


def test_every_condition_of_a_proposal_is_told() -> None:
    found = demo_answer("E-02")
    for block, one in zip(page(found).candidates, found.proposals, strict=True):
        told_all = [text.lower().rstrip(".") for text in replies.conditions(one)]
        assert told_all and [text.replace("\u00a0", " ").lower().rstrip(".") for text in block.conditions] == told_all


def test_what_is_reached_is_told_where_no_level_was_asked_for() -> None:
    found = demo_answer("E-01")
    assert "peak_level_db" in found.enquiry.typed
    assert not [note for note in page(found).notes if "reaches" in note]
    free = replace(found, enquiry=replace(found.enquiry, typed=()))
    (note,) = (note for note in page(free).notes if "reaches" in note)
    assert note.startswith("With 60\u00a0W at 2.5\u00a0m (our figures) ") and note.endswith("\u00a0dB.")


def test_notes_say_what_would_work_and_what_was_assumed() -> None:
    found = replace(demo_answer("E-01"), nearest_yes="HD-06 in a wider cabinet (Cabinets!B3)", assumed=("it is closed", "it is stiff"))  # fmt: skip
    notes = page(found).notes
    assert (
        page(found).outcome.endswith("What would work: HD-06 in a wider cabinet.")
        and "We assumed it is closed; it is stiff." in notes
    )
    assert sum("Linkwitz-Riley, 4th order" in note for note in notes) == 1
    bare = page(replace(found, proposals=(), nearest_yes="", assumed=()))
    assert not [note for note in bare.notes if "Linkwitz-Riley" in note or "assumed" in note or "would work" in note]


# --- comparison ---------------------------------------------------------------------------------------------------


@every(
    ("value", "unit", "text"),
    [
        (None, "dB", "–"), (1.26, "dB", "1.3"), (0.504, "octave", "0.50"), (3.96, "ohm", "4.0"), (150.4, "mm", "150"),
        (86.4, "%", "86"), (2449.5, "Hz", "2450"), (3.0, "", "3"), (12.345, "EUR", "12.35"), (38990.0, "JPY", "38 990"), (0.5, "L", "0.50"),
        ("suitable", "", "✓ suitable"), ("LR4", "", "LR4"), ("–", "", "–"),
    ],
)  # fmt: skip
def test_a_compared_figure_has_the_decimals_of_its_unit(value: Value, unit: str, text: str) -> None:
    other: Value = "another" if isinstance(value, str) else -7.0
    (row,) = compared(Figure("Width", unit, (value, other))).blocks[0].rows
    assert row.values[0].replace("\u00a0", " ") == text
    shown = {"ohm": "Ω"}.get(unit, unit)
    assert row.figure == (f"Width ({shown})" if shown else "Width")


def compared(*figures: Figure) -> Any:
    found = (assessed("P-01"), assessed("P-02"))
    bars = ()
    comparison = Comparison(("P-01", "P-02"), (100.0, 10000.0), bars, figures, (), (None, None), "EUR")
    return deskpages.comparison_page(comparison, found, 3, STAMP)


def test_what_is_the_same_is_named_once_and_what_nobody_knows_not_at_all() -> None:
    found = compared(
        Figure("Slope", "", ("LR4", "LR4")), Figure("Depth", "mm", (300.2, 300.4)), Figure("Tuning", "Hz", (None, None)),
        Figure("Load", "ohm", (3.9, None)), Figure("Price of one", "EUR", (1.0, 2.0)), Figure("Verdict", "", ("suitable", "undecided")),
    )  # fmt: skip
    assert told(found.shared) == [("Slope", "LR4"), ("Depth (mm)", "300")]  # as printed they are the same
    assert [(row.figure, row.values) for row in found.blocks[0].rows] == [("Load (Ω)", ("3.9", "–"))]
    assert (found.title, found.subject) == ("Comparison 003: P-01, P-02", "P-01 and P-02 compared")
    assert told(found.stamp)[0] == ("Comparison", "003") and found.foot.startswith("Comparison 003 · ")
    assert [row.id for row in found.ranges] == ["P-01", "P-02"]


def test_reasons_are_given_up_last_where_a_comparison_runs_short() -> None:
    found = (assessed("P-01"), assessed("P-02"))
    comparison = Comparison(("P-01", "P-02"), (100.0, 10000.0), (), (Figure("Slope", "", ("LR4", "LR4")),), (), (None, None), "EUR")  # fmt: skip
    whole, second, third = deskpages.comparison_pages(comparison, found, 3, STAMP)
    assert whole.shared and not second.shared and not third.shared
    assert all(row.reason for row in second.ranges) and not any(row.reason for row in third.ranges)
    assert second.ranges == whole.ranges


# --- screening ----------------------------------------------------------------------------------------------------

LOW, HIGH = LIMITS[0], LIMITS[-1]
FIRST = Candidate(1, "LD-02", "HD-05", "WG-01", "as supplied", None, "LR4", "suitable with conditions", 1200.0, 3400.0, LOW.id, HIGH.id, 1700.0, 158.5, True, 1.0, "")  # fmt: skip


def screened(*candidates: Candidate, matrix: Matrix | None = None, shelf: tuple[str, ...] = ()) -> ScreeningPage:
    found = Screening(candidates, 12, 30, (("suitable", 1), ("undecided", 0), ("not suitable", 11)), (("the frames do not go on", 7), ("it is 50 mm too wide", 4)), matrix)  # fmt: skip
    return deskpages.screening_page(found, demo(), demo().pairings["P-01"], 5, STAMP, "the use of P-01", shelf)


def test_the_best_pairs_of_a_screening_to_the_letter() -> None:
    second = replace(FIRST, rank=2, price=None, in_stock=False, high_hz=None, high_binding="nothing", crossover_hz=None, takes="It takes 3.2 ohm.")  # fmt: skip
    one, other = screened(FIRST, second).best
    assert [text.replace("\u00a0", " ") for text in (one.id, one.kit, one.drivers, one.range, one.crossover, one.price)] == [
        "1.", "LD-02 with HD-05", "LR4, in WG-01", "1200 to 3400 Hz", "1700 Hz", "158.50 EUR",
    ]  # fmt: skip
    assert one.reason == f"Bound by {LOW.title.lower()} and {HIGH.title.lower()}." and one.mark.sign == "!"
    assert other.reason.replace("\u00a0", " ") == f"Bound by {LOW.title.lower()} and nothing. It takes 3.2 Ω. Not in stock."  # fmt: skip
    assert [text.replace("\u00a0", " ") for text in (other.range, other.crossover, other.price)] == ["from 1200 Hz", "–", "–"]  # fmt: skip


def test_a_screening_says_what_it_went_through() -> None:
    found = screened(FIRST, shelf=tuple("abcdef"))
    assert found.tally == "12 pairs of drivers, 30 ways to use them: 1 suitable, 11 not suitable."
    assert told(found.obstacles) == [("The frames do not go on.", "7"), ("It is 50 mm too wide.", "4")]
    assert found.shelf == ("B.", "C.", "D.", "E.", "F.")  # the last five are those with the most drivers
    assert (found.title, found.foot.partition(" · ")[0], told(found.stamp)[0]) == (
        "Screening 005: the use of P-01", "Screening 005", ("Screening", "005"),
    )  # fmt: skip
    assert found.blocks == () and told(found.use)[0] == ("Cabinet", "CB-01")
    best = screened(*(replace(FIRST, rank=n) for n in range(1, 13))).best
    assert [row.id for row in best] == [f"{n}." for n in range(1, 11)]


@every(
    ("low", "high", "words"),
    [(1, 1, None), (2, 1, "2 low, 1 high"), (1, 3, "1 low, 3 high"), (4, 4, "4 low, 4 high")],
)
def test_how_many_drivers_stand_in_the_cabinet(low: int, high: int, words: str | None) -> None:
    use = replace(demo().pairings["P-01"], low_count=low, high_count=high)
    assert told(deskpages.counts_facts(use)) == [("Cabinet", "CB-01"), *([("Drivers", words)] if words else [])]


def test_the_matrix_has_each_pair_in_its_own_cell() -> None:
    """Ranks name LD-02 before LD-01 and HD-03 before HD-01; the page has them as the catalogue lists them."""
    matrix = Matrix(("LD-02", "LD-01"), ("HD-03", "HD-01", "HD-02"), np.array([[0, 1, 2], [3, 0, 1]]), np.array([[1.24, 0.5, nan], [-0.3, 0.04, 2.0]]), np.ones((2, 3)))  # fmt: skip
    (block,) = screened(FIRST, matrix=matrix).blocks
    assert block.heads == ("HD-01", "HD-02", "HD-03")
    cells = {row.name: [(cell.mark.sign if cell.mark else "", cell.text) for cell in row.cells] for row in block.rows}
    assert list(cells) == ["LD-01", "LD-02"]
    assert cells == {
        "LD-01": [("✓", "0.0"), ("!", "2.0"), ("✗", "−0.3")],
        "LD-02": [("!", "0.5"), ("?", "open"), ("✓", "1.2")],
    }
    assert "The matrix shows" not in screened(FIRST, matrix=matrix).tally


@every(
    ("lows", "highs", "words"),
    [
        (14, 20, ""), (15, 20, " The matrix shows the 14 low and 20 high drivers that rank best; the sheet has all."),
        (3, 21, " The matrix shows the 3 low and 20 high drivers that rank best; the sheet has all."),
    ],
)  # fmt: skip
def test_a_matrix_that_does_not_fit_says_so(lows: int, highs: int, words: str) -> None:
    ids = (tuple(f"LD-{n}" for n in range(lows)), tuple(f"HD-{n}" for n in range(highs)))
    matrix = Matrix(*ids, np.zeros((lows, highs), dtype=np.int8), np.ones((lows, highs)), np.ones((lows, highs)))
    assert screened(FIRST, matrix=matrix).tally.partition(".")[2] == words


# --- prices -------------------------------------------------------------------------------------------------------


def priced(*offers: Offer, **maker: Any) -> PriceListPage:
    whose: Maker = replace(demo().maker, **{"tax": 0.2, "currency": "EUR", **maker})
    (found,) = price_pages(offers, "Spring", whose, STAMP)
    return found


def offer(found: Assessment, net: str | None = "100", gross: str | None = "120") -> Offer:
    return Offer(Ware.of(found), None if net is None else Decimal(net), None if gross is None else Decimal(gross))


def in_kits_of(found: Assessment, loudspeakers: float) -> Assessment:
    rules = {**found.case.practice.rules}
    rules["loudspeakers a kit"] = replace(rules["loudspeakers a kit"], value=loudspeakers)
    case = replace(found.case, practice=Practice(rules))
    return replace(found, case=case)


def test_prices_stand_under_heads_that_say_what_they_are() -> None:
    found = priced(offer(suitable("P-01")), offer(suitable("P-06"), None, None))
    assert (found.net_head, found.gross_head) == ("A kit (EUR), without tax", "A kit (EUR), with 20 % tax")
    assert [(row.net, row.gross) for row in found.rows] == [("100.00", "120.00"), ("", "")]
    untaxed = priced(offer(suitable("P-01"), "100", None), tax=None)
    assert (untaxed.net_head, untaxed.gross_head) == ("A kit (EUR)", "")
    assert priced(tax=0.075).gross_head == "A kit (EUR), with 7.5 % tax"
    assert (found.title, found.subject) == ("Price list Spring", "2 kits, 2026-11-25")
    assert found.foot == "Price list Spring · 2026-11-25 · list 004"
    assert told(found.stamp) == [("Price list", "004"), ("Date", "2026-11-25")]
    kits = [assessed(id_).case.pairing.kit for id_ in ("P-01", "P-06")]
    assert [row.kit for row in found.rows] == kits
    for one in (offer(suitable("P-01")), offer(suitable("P-06"))):
        (row,) = priced(one).rows
        assert row.suits.replace("\u00a0", " ") == suits(one) and " dB at " in row.suits.replace("\u00a0", " ")
    nameless = suitable("P-01")
    nameless = replace(nameless, case=replace(nameless.case, pairing=replace(nameless.case.pairing, kit=None)))
    assert priced(offer(nameless)).rows[0].kit == "P-01"


def test_notes_of_the_list_count_loudspeakers_and_name_dangers() -> None:
    """A caution of one kit is enough for the note; the largest kit is the one that is told."""
    safe = replace(suitable("P-01"), cautions=())
    bad = suitable("P-06")
    assert bad.cautions
    one = priced(offer(in_kits_of(safe, 2.0))).notes
    assert one[0] == (
        "Sensitivity: mean level for 2.83 V at 1 m. Range: to 10 dB under the loudest octave (IEC 60268-5). "
        "The bar shows the range, its mark the crossover."
    )
    assert len(one) == 2 and one[1] == "A kit holds drivers, waveguides and crossover parts of 2 loudspeakers."
    both = priced(offer(in_kits_of(safe, 1.0)), offer(in_kits_of(bad, 2.0))).notes
    assert both[1].endswith("of 2 loudspeakers.") and both[2] == (
        "Read the sheet of a kit before you build: it names the dangers of its drivers. Local codes and licensed trades go first."
    )
    assert priced().notes == ("–",)


def test_the_bar_of_a_kit_is_its_effective_range_on_the_axis_of_all() -> None:
    """From 20 Hz to 22 kHz, or as far as any kit reaches."""
    found = suitable("P-01")
    assert found.network is not None

    def reaching(low: float, high: float) -> Offer:
        figures = replace(found.network.figures, effective_range_hz=(low, high))  # type: ignore[union-attr]
        return offer(replace(found, network=replace(found.network, figures=figures), crossover_hz=2530.0))

    usual, deep = priced(reaching(52.0, 19000.0)), priced(reaching(52.0, 19000.0), reaching(15.0, 26000.0))
    assert usual.axis.alt.replace("\u00a0", " ") == "Frequency axis from 20 Hz to 22 kHz"
    assert deep.axis.alt.replace("\u00a0", " ") == "Frequency axis from 15 Hz to 26 kHz"
    assert usual.rows[0].strip.alt.replace("\u00a0", " ").startswith("Usable 52 Hz to 19 kHz")
    assert "crossover 2530" in usual.rows[0].strip.alt
    for tuning, words in ((34.2, "Box 12.3 L, tuned to 34.2 Hz"), (None, "Box 12.3 L")):
        figures = replace(found.network.figures, net_volume_m3=0.0123, tuning_hz=tuning)
        (row,) = priced(offer(replace(found, network=replace(found.network, figures=figures)))).rows
        assert row.figures[-1].replace("\u00a0", " ") == words
    bare = priced(offer(replace(suitable("P-01"), network=None)))
    assert bare.rows[0].figures == () and bare.rows[0].strip.alt.startswith("No limit known")


# --- the season on the screen -------------------------------------------------------------------------------------


def test_a_row_of_the_screen_is_sorted_by_its_figures_and_found_by_its_words() -> None:
    """lg2(3000 / 2000) = 0.5850 octaves; a verdict is sorted from the best to the worst."""
    found = replace(
        assessed("P-01"), crossover_hz=2449.49, price=94.256, verdict=Verdict("undecided", "Re of LD-01 is missing"),
        found_range=UsableRange(2000.0, 3000.0, None, None),
    )  # fmt: skip
    open_ = replace(found, found_range=UsableRange(2000.0, None, None, None), crossover_hz=None, price=None)
    made = screen_page([found, open_], found.case.maker, STAMP, {"P-01": "sheets/P-01 a&b.pdf"}, "Spring")
    row, bare = made.rows[0], made.rows[1]
    assert (row.crossover_hz, row.octaves, row.price, row.order) == ("2449.5", "0.5850", "94.26", 2)
    assert (bare.crossover_hz, bare.octaves, bare.price) == ("", "", "")
    assert row.row.link == "sheets/P-01%20a%26b.pdf"
    assert ("Outer size", "200 × 360 × 260 mm") in told(row.figures) and row.front.alt.startswith("Front, 200")
    kit = found.case.pairing.kit
    for word in ("p-01", str(kit).lower(), "ld-01 with hd-01", "undecided", "re of ld-01 is missing"):
        assert word in row.words
    assert row.words == row.words.lower()
    orders = {}
    for word in ("suitable", "suitable with conditions", "undecided", "not suitable"):
        (one,) = screen_page([replace(found, verdict=Verdict(word, "x"))], found.case.maker, STAMP, {}, "").rows  # type: ignore[arg-type]
        orders[word] = one.order
        assert one.row.link == ""
    assert list(orders.values()) == [0, 1, 2, 3]


def test_the_screen_tells_how_often_each_verdict_occurs_and_where_the_booklets_are() -> None:
    words = ("not suitable", "suitable", "not suitable", "undecided")
    found = [replace(assessed("P-01"), verdict=Verdict(word, "x")) for word in words]  # type: ignore[arg-type]
    made = screen_page(found, demo().maker, STAMP, {}, "Spring", ["a"], ["a b.pdf"])
    assert told(made.choices) == [("suitable", "1", "✓"), ("undecided", "1", "?"), ("not suitable", "2", "✗")]
    assert made.tally == "4 pairings: 1 suitable, 1 undecided, 2 not suitable"
    assert told(made.booklets) == [("The catalogue as PDF", "a%20b.pdf")] and made.problems == ("a",)
    assert made.foot == "run 004 · 2026-11-25 · inputs 9f3c1a77b2d4 · reportgen 0.1.0"
    two = screen_page(found, demo().maker, STAMP, {}, "Spring", (), ["a.pdf", "b.pdf"])
    assert told(two.booklets) == [("Catalogue, volume 1", "a.pdf"), ("Catalogue, volume 2", "b.pdf")]
