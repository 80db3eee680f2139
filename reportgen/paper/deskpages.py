"""Pages of the daily desk: the answer to an enquiry, pairings compared, a catalogue screened; each on one sheet of paper.

Knows what the advice room found and what a page wants. Refuses to choose or rank, and leaves out the least important
rather than run over onto a second page.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from reportgen.advice import replies
from reportgen.advice.edges import WORDS
from reportgen.advice.listings import DECIMALS
from reportgen.advice.unread import clauses
from reportgen.catalogue.currencies import grouped
from reportgen.paper import wording
from reportgen.paper.composing import THE_WORK, caution_item, desk_facts, desk_foot, maker_block, slope_words
from reportgen.paper.overviews import STRIP, range_row, short_range
from reportgen.paper.pages import (
    AnswerPage,
    CandidateBlock,
    CautionItem,
    ComparedBlock,
    ComparedRow,
    ComparisonPage,
    Fact,
    MatrixBlock,
    MatrixCell,
    MatrixRow,
    RangeRow,
    ScreeningPage,
)
from reportgen.paper.printing import Stamp
from reportgen.paper.rangepicture import axis_strip, common_axis, range_strip
from reportgen.paper.render import Page, as_paper, press, written
from reportgen.paper.scales import Scale
from reportgen.paper.templates import Templates
from reportgen.paper.wording import MARKS, NONE, Mark, clipped, hertz, money, number, printed, sentence, with_unit
from reportgen.problems import ReportgenError
from reportgen.suitability.limits import title_of
from reportgen.suitability.verdict import UsableRange

if TYPE_CHECKING:
    from reportgen.advice.comparison import Comparison, Figure, Value
    from reportgen.advice.enquiries import Answer, Proposal
    from reportgen.advice.screening import Candidate, Matrix, Screening
    from reportgen.assessment import Assessment
    from reportgen.catalogue.records import Application, Catalogue, Maker, Pairing

MOST_COMPARED = 6
"""Pairings that stand side by side on a page."""
PROVISIONAL = Mark("?", "provisional", "open")
"""How an enquirer is told that something is still missing."""
ABOVE = ("Verdict", "Crossover", "Range from", "Range to", "Price of one")
"""Figures of a comparison that stand beside the ranges already."""
ACROSS, DOWN = 20, 14
"""High drivers across and low drivers down that a printed matrix holds."""
BEST = 10
"""Pairs that a printed screening lists at most."""


def pdf_of(variants: Iterator[Page], templates: Templates = None, paper: str = "A4") -> bytes:
    """The first of `variants` that fits one page, as PDF; the last one when none does."""
    room, size = press(templates), as_paper(paper)
    document = None
    for page in variants:
        document = room.layout(page, size)
        if len(document.pages) == 1:
            break
    if document is None:
        raise ValueError("no page was given")
    return written(document)


def use_facts(use: Application, typed: Collection[str] | None = None) -> tuple[Fact, ...]:
    """The place, the listener and the wish; what is not among the fields `typed` is called ours (None: nobody is asked)."""

    def told(*parts: tuple[str, str]) -> str:
        own = [typed is not None and field not in typed for _, field in parts]
        if all(own):
            return f"{', '.join(text for text, _ in parts)} (ours)"
        return ", ".join(f"{text} (ours)" if ours else text for (text, _), ours in zip(parts, own, strict=True))

    sideways, upright = (
        wording.degrees(angle) for angle in (use.horizontal_half_window_rad, use.vertical_half_window_rad)
    )
    crossover = (Fact("Crossover", told((hertz(use.crossover_hz), "crossover_hz"))),) if use.crossover_hz else ()
    return (
        Fact("Arrangement", told((use.arrangement, "arrangement"))),
        *crossover,
        Fact("Slope", told((slope_words(use.slope), "slope"))),
        Fact("Seat", told((f"{number(use.distance_m)} m away", "distance_m"), (f"ear at {number(use.ear_height_m)} m", "ear_height_m"))),
        Fact(
            "Good sound within",
            told((f"±{sideways} to the sides", "horizontal_half_window_rad"), (f"±{upright} up and down", "vertical_half_window_rad")),
        ),
        Fact("Peak level at the seat", told((with_unit(use.peak_level_db, "dB"), "peak_level_db"))),
        Fact("Amplifier", told((with_unit(use.amplifier_power_w, "W"), "amplifier_power_w"))),
        Fact("Surroundings", told((use.surroundings, "surroundings"))),
    )  # fmt: skip


# --- answer to an enquiry -----------------------------------------------------------------------------------------


def answer_pages(answer: Answer, maker: Maker, stamp: Stamp) -> Iterator[AnswerPage]:
    """The answer on paper, with less and less beside its candidates; what was made of the words and what was assumed stays."""
    whole = answer_page(answer, maker, stamp)
    yield whole
    notes = (
        tuple(text for text in whole.notes if text != sentence(printed(_glossary(answer))))
        if whole.candidates
        else whole.notes[:1]
    )
    missing = (sentence(replies.asked_in_one(replies.wanted(answer))),) if whole.missing else ()
    for conditions, question, why in ((3, 600, True), (2, 600, True), (1, 300, True), (1, 200, False)):
        yield replace(
            whole,
            question=clipped(whole.question, question),
            candidates=tuple(
                replace(
                    one,
                    conditions=one.conditions[:conditions],
                    cautions=one.cautions[:1],
                    reason=one.reason if why else "",
                )
                for one in whole.candidates
            ),
            missing=missing,
            notes=notes,
        )


def answer_page(answer: Answer, maker: Maker, stamp: Stamp) -> AnswerPage:
    """The answer with everything that is to be said."""
    enquiry = answer.enquiry
    found = [one.assessment for one in answer.proposals]
    axis = _axis_of([(a.found_range.low_hz, a.found_range.high_hz, a.crossover_hz) for a in found])
    received = (Fact("Received", enquiry.received.isoformat()),) if enquiry.received else ()
    nearest = f"What would work: {replies.without_cells(answer.nearest_yes)}" if answer.nearest_yes else ""
    outcome = " ".join(filter(None, (*_told_first(answer), nearest)))
    assumed = f"We assumed {'; '.join(answer.assumed)}." if answer.assumed else ""
    return AnswerPage(
        lang="en",
        title=f"Answer to enquiry {enquiry.id}",
        subject=sentence(printed(outcome)),
        maker=maker_block(maker, stamp.logo),
        stamp=desk_facts(stamp, Fact("Enquiry", enquiry.id), *received),
        foot=desk_foot(stamp, f"Enquiry {enquiry.id}"),
        question=answer.question,
        understood=(*_theirs(answer), *use_facts(enquiry, enquiry.typed)) if answer.unread.asked else (),
        outcome=sentence(printed(outcome)),
        axis=axis_strip(axis, STRIP),
        candidates=tuple(_candidate(one, i, axis, answer) for i, one in enumerate(answer.proposals, 1)),
        care=printed(" ".join(replies.safety(answer, answer.proposals))),
        missing=tuple(sentence(text) for text in replies.wanted(answer)),
        notes=tuple(
            sentence(printed(text))
            for text in (
                "" if answer.unread.asked else replies.ASK_FOR,
                *(text for text in answer.wishes if text.startswith(replies.UNDERSTOOD) or not answer.proposals),
                replies.level_words(answer, answer.proposals),
                replies.hole_words(answer, answer.proposals),
                assumed,
                _glossary(answer),
            )
            if text
        ),
    )


def _told_first(answer: Answer) -> Iterator[str]:
    """What became of the driver asked about, of each wish that would not do, and of the whole; then of the kind asked for."""
    asked = replies.without_cells(replies.asked_words(answer, answer.proposals))
    yield from answer.hazards
    yield from clauses(answer.unread)
    yield asked if answer.named else ""
    for text in answer.wishes if answer.proposals else ():
        yield "" if text.startswith(replies.UNDERSTOOD) else replies.sentence(text)
    yield replies.outcome(answer)
    yield "" if answer.named else asked


def _theirs(answer: Answer) -> Iterator[Fact]:
    """The enquirer's woofer and cabinet, as they were understood."""
    low, cabinet = answer.low, answer.cabinet
    if low is None or cabinet is None:
        return
    if answer.enquiry.low_id:
        yield Fact("Woofer", ", ".join(filter(None, (low.id, low.description))))
    else:
        area = f"{number(low.diaphragm_area_m2 * 1e4)}{wording.NO_BREAK}cm²"
        yield Fact("Your woofer", f"{area}, {hertz(low.fs_hz)}, {with_unit(low.sensitivity_db, 'dB')}")
    size = wording.size(cabinet.baffle_width_m, cabinet.baffle_height_m, False)
    name = f"{cabinet.id}, " if answer.enquiry.cabinet_id else ""
    yield Fact("Cabinet", f"{name}{cabinet.kind}, baffle {size}")


def _glossary(answer: Answer) -> str:
    """The words that an enquirer may not know."""
    if not answer.proposals:
        return ""
    slopes = ", ".join(dict.fromkeys(f"{one.slope}: {replies.slope_words(one.slope)}" for one in answer.proposals))
    return (
        f"{slopes}, reached by driver and network together. Usable range: where the crossover may lie so that both drivers work "
        "within their limits; the marks on the bar show the crossover we suggest. Prices: high driver and waveguide of one "
        "loudspeaker, without crossover parts"
    )


def _candidate(one: Proposal, rank: int, axis: Scale, answer: Answer) -> CandidateBlock:
    found, kept = one.assessment, one.assessment.found_range
    why = " ".join(limit.text for limit in (kept.low_binding, kept.high_binding) if limit is not None)
    used = [f"in waveguide {one.guide_id}" if one.guide_id else "", one.rear]
    return CandidateBlock(
        rank=str(rank),
        name=", ".join(filter(None, (one.high_id, *used))),
        description=_kind_words(one),
        mark=PROVISIONAL if one.word == "undecided" else MARKS[one.word],
        strip=range_strip(axis, kept, found.crossover_hz, STRIP),
        facts=(
            Fact("crossover", f"{hertz(found.crossover_hz)}, {one.slope}"),
            Fact("usable range", short_range(kept)),
            Fact("price each", money(one.price, answer.currency)),
        ),
        reason=sentence(printed(f"Why this range: {replies.without_cells(why)}")) if why else "",
        conditions=tuple(sentence(printed(text)) for text in replies.conditions(one)),
        cautions=_cautions(found),
    )


def _kind_words(one: Proposal) -> str:
    """The kind of driver, unless its description says it already."""
    known = one.technology.casefold() in one.description.casefold()
    return one.description if known else f"{one.technology}; {one.description}"


def _cautions(found: Assessment) -> tuple[CautionItem, ...]:
    """What concerns the driver itself, grave things first; servicing is for the bench, not for the choice."""
    own = [caution for caution in found.cautions if caution.applies_to != THE_WORK and caution.id != "servicing"]
    return tuple(caution_item(caution) for caution in own[:2])


def _axis_of(marks: Sequence[Sequence[float | None]]) -> Scale:
    return common_axis([hz for row in marks for hz in row], 6.0, STRIP - 6.0)


# --- comparison ---------------------------------------------------------------------------------------------------


def refuse_too_many(count: int) -> None:
    """ReportgenError for more pairings than stand side by side on a page."""
    if count > MOST_COMPARED:
        raise ReportgenError(
            f"{count} pairings were given; {MOST_COMPARED} stand side by side on a page. Compare them in groups."
        )


def comparison_pages(
    compared: Comparison, found: Sequence[Assessment], number_: int, stamp: Stamp
) -> Iterator[ComparisonPage]:
    """The comparison on paper; what all have in common goes first when the page runs short.

    ReportgenError for more pairings than stand side by side.
    """
    refuse_too_many(len(found))
    whole = comparison_page(compared, found, number_, stamp)
    yield whole
    yield replace(whole, shared=())
    yield replace(whole, shared=(), ranges=tuple(replace(row, reason="") for row in whole.ranges))


def comparison_page(compared: Comparison, found: Sequence[Assessment], number_: int, stamp: Stamp) -> ComparisonPage:
    """Pairings beside one another on one axis; figures that are the same for all are named once."""
    axis = _axis_of([(bar.low_hz, bar.high_hz, bar.crossover_hz) for bar in compared.bars])
    maker, title = found[0].case.maker, f"Comparison {number_:03d}"
    rows = [
        ComparedRow(_figure_name(one), tuple(_value(value, one.unit) for value in one.values))
        for one in (*compared.differing, *compared.alike)
        if one.name not in ABOVE
    ]
    alike = [row for row in rows if len(set(row.values)) == 1 and row.values[0] != NONE]
    return ComparisonPage(
        lang="en",
        title=f"{title}: {', '.join(compared.ids)}",
        subject=f"{', '.join(compared.ids[:-1])} and {compared.ids[-1]} compared",
        maker=maker_block(maker, stamp.logo),
        stamp=desk_facts(stamp, Fact("Comparison", f"{number_:03d}")),
        foot=desk_foot(stamp, title),
        axis=axis_strip(axis, STRIP),
        ranges=tuple(range_row(one, axis) for one in found),
        blocks=(ComparedBlock(compared.ids, tuple(row for row in rows if len(set(row.values)) > 1)),),
        shared=tuple(Fact(row.figure, row.values[0]) for row in alike),
    )


def _figure_name(one: Figure) -> str:
    unit = wording.PRINTED_UNITS.get(one.unit, one.unit)
    return f"{one.name} ({unit})" if unit else one.name


def _value(value: Value, unit: str) -> str:
    """A figure under its heading, which has the unit; a unit that is none of ours is a currency."""
    if value is None:
        return NONE
    if isinstance(value, str):
        return f"{MARKS[value].sign} {value}" if value in MARKS else printed(value)
    if unit == "Hz":
        return number(value)
    return wording.fixed(value, DECIMALS[unit]) if unit in DECIMALS else grouped(value, unit)


# --- screening ----------------------------------------------------------------------------------------------------


def screening_pages(
    found: Screening,
    catalogue: Catalogue,
    use: Pairing,
    number_: int,
    stamp: Stamp,
    where: str,
    shelf: Sequence[str] = (),
) -> Iterator[ScreeningPage]:
    """The screening on paper, with fewer and fewer of the best pairs and of what stands in the way."""
    whole = screening_page(found, catalogue, use, number_, stamp, where, shelf)
    yield whole
    for best, obstacles in ((10, 6), (9, 5), (8, 4), (7, 4), (6, 4), (4, 3), (2, 0), (0, 0)):
        yield replace(whole, best=whole.best[:best], obstacles=whole.obstacles[:obstacles])


def screening_page(
    found: Screening,
    catalogue: Catalogue,
    use: Pairing,
    number_: int,
    stamp: Stamp,
    where: str,
    shelf: Sequence[str] = (),
) -> ScreeningPage:
    """A screening: its best pairs, the matrix, and the obstacles."""
    shown = found.candidates[:BEST]
    axis = _axis_of([(c.low_hz, c.high_hz, c.crossover_hz) for c in shown])
    title = f"Screening {number_:03d}"
    words = ", ".join(f"{count} {word}" for word, count in found.words if count)
    total = f"{wording.counted(found.pairs, 'pair')} of drivers, {found.judged} ways to use them: {words}"
    currency = catalogue.maker.currency
    return ScreeningPage(
        lang="en",
        title=f"{title}: {where}",
        subject=total,
        maker=maker_block(catalogue.maker, stamp.logo),
        stamp=desk_facts(stamp, Fact("Screening", f"{number_:03d}")),
        foot=desk_foot(stamp, title),
        use=(*counts_facts(use), *use_facts(use)),
        tally=sentence(total) + _left_out(found.matrix),
        axis=axis_strip(axis, STRIP),
        best=tuple(_best_row(c, axis, currency) for c in shown),
        blocks=_blocks(found.matrix, catalogue),
        obstacles=tuple(Fact(sentence(printed(what)), str(count)) for what, count in found.obstacles),
        shelf=tuple(sentence(text) for text in shelf[-5:]),
    )


def counts_facts(use: Pairing) -> tuple[Fact, ...]:
    """The cabinet, and how many drivers stand in it where there is more than one of a kind."""
    cabinet = Fact("Cabinet", use.cabinet_id)
    if max(use.low_count, use.high_count) == 1:
        return (cabinet,)
    return (cabinet, Fact("Drivers", f"{use.low_count} low, {use.high_count} high"))


def _ranged(found: Candidate) -> UsableRange:
    return UsableRange(found.low_hz, found.high_hz, None, None)


def _best_row(found: Candidate, axis: Scale, currency: str) -> RangeRow:
    shelf = "" if found.in_stock else " Not in stock."
    bounds = f"Bound by {title_of(found.low_binding).lower()} and {title_of(found.high_binding).lower()}."
    return RangeRow(
        id=f"{found.rank}.",
        kit=f"{found.low_id} with {found.high_id}",
        drivers=found.used,
        mark=MARKS[found.word],
        strip=range_strip(axis, _ranged(found), found.crossover_hz, STRIP),
        range=short_range(_ranged(found)),
        crossover=hertz(found.crossover_hz),
        price=money(found.price, currency),
        reason=printed(f"{bounds} {found.takes}".rstrip()) + shelf,
    )


def _blocks(matrix: Matrix | None, catalogue: Catalogue) -> tuple[MatrixBlock, ...]:
    """Low drivers down, high drivers across, as the catalogue lists them; those that rank best where not all fit."""
    if matrix is None:
        return ()
    lows, highs = (
        {id_: at for at, id_ in enumerate(ids[:most])}
        for ids, most in ((matrix.low_ids, DOWN), (matrix.high_ids, ACROSS))
    )
    shown = [id_ for id_ in catalogue.high_drivers if id_ in highs]
    rows = tuple(
        MatrixRow(low, tuple(_cell(matrix, lows[low], highs[high]) for high in shown))
        for low in catalogue.low_drivers
        if low in lows
    )
    return (MatrixBlock(tuple(shown), rows),)


def _left_out(matrix: Matrix | None) -> str:
    """What the printed matrix does not show."""
    lows, highs = (len(matrix.low_ids), len(matrix.high_ids)) if matrix else (0, 0)
    if lows <= DOWN and highs <= ACROSS:
        return ""
    return f" The matrix shows the {min(lows, DOWN)} low and {min(highs, ACROSS)} high drivers that rank best; the sheet has all."


def _cell(matrix: Matrix, low: int, high: int) -> MatrixCell:
    octaves = float(matrix.octaves[low, high])
    mark = MARKS[WORDS[matrix.words[low, high]]]
    return MatrixCell(mark, "open" if math.isnan(octaves) else wording.fixed(octaves, 1))
