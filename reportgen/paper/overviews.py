"""Pages that show several pairings: comparison, screening, the answer to an enquiry, rows of catalogue and screen.

Knows assessments and screenings. Refuses to choose or rank: the advice room did.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from reportgen.paper import wording
from reportgen.paper.composing import (
    THE_WORK,
    caution_item,
    driver_rows,
    drivers_words,
    foot_words,
    maker_block,
    slope_words,
    stamp_facts,
)
from reportgen.paper.pages import (
    AnswerPage,
    CandidateBlock,
    ComparedBlock,
    ComparedRow,
    ComparisonPage,
    Fact,
    MatrixBlock,
    MatrixCell,
    MatrixRow,
    RangeRow,
    ScreeningPage,
    Stamp,
)
from reportgen.paper.rangepicture import axis_strip, common_axis, range_strip
from reportgen.paper.scales import Scale
from reportgen.paper.wording import MARKS, NONE, hertz, money, number, printed, sentence, with_unit
from reportgen.suitability.verdict import UsableRange

if TYPE_CHECKING:
    from reportgen.advice.screening import Candidate, Screening
    from reportgen.assessment import Assessment
    from reportgen.catalogue.records import Application, Enquiry, Maker

STRIP = 160.0
"""Width of a range strip in a list (points)."""

SIDE_BY_SIDE = 4
ACROSS = 12
"""High drivers side by side in the matrix."""


def shared_axis(found: Iterable[Assessment], width: float = STRIP) -> Scale:
    """The one frequency axis on which all the ranges are shown."""
    hz = [v for a in found for v in (a.found_range.low_hz, a.found_range.high_hz, a.crossover_hz)]
    return common_axis(hz, 6.0, width - 6.0)


def range_row(found: Assessment, axis: Scale, link: str = "", page: str = "") -> RangeRow:
    """A pairing as one row of a list."""
    return RangeRow(
        id=found.id,
        kit=found.case.pairing.kit or "",
        drivers=drivers_words(found.case),
        mark=MARKS[found.verdict.word],
        strip=range_strip(axis, found.found_range, found.crossover_hz, axis.end + 6.0),
        range=short_range(found.found_range),
        crossover=hertz(found.crossover_hz),
        price=money(found.price, found.case.maker.currency),
        reason=sentence(printed(found.verdict.reason)),
        link=link,
        page=page,
    )


def short_range(found: UsableRange) -> str:
    """A range in the fewest words."""
    return "none" if found.empty else wording.span(found.low_hz, found.high_hz)


def tally_of(words: Iterable[str]) -> str:
    """How many there are of each verdict."""
    counts = Counter(words)
    return ", ".join(f"{counts[word]} {word}" for word in MARKS if counts[word])


# --- comparison ---------------------------------------------------------------------------------------------------


def _compared(found: Assessment) -> dict[str, str]:
    """The figures by which pairings are compared."""
    case, ranged, load = found.case, found.found_range, found.electrical
    low_by = ranged.low_binding.title if ranged.low_binding else NONE
    high_by = ranged.high_binding.title if ranged.high_binding else NONE
    figures = {
        "Verdict": f"{MARKS[found.verdict.word].sign} {found.verdict.word}",
        "Bound below by": low_by,
        "Bound above by": high_by,
        "Width of the range": with_unit(ranged.octaves, "octave"),
        "Crossover": hertz(found.crossover_hz),
        "Slope": slope_words(case.pairing.slope),
        "Amplifier sees at least": with_unit(load.minimum_ohm, "ohm", 2) if load else NONE,
        "Parts of the network": number(len(found.parts)) if found.parts else NONE,
        "Good builds": f"{number(100 * found.spread.good_share)}{wording.NO_BREAK}%" if found.spread else NONE,
        "Arrangement": case.pairing.arrangement,
        "Cabinet": case.pairing.cabinet_id,
        "Price": money(found.price, case.maker.currency),
    }
    for row in driver_rows(case):
        figures[f"{row.figure}, low"], figures[f"{row.figure}, high"] = row.low, row.high
    return figures


def comparison_page(found: Sequence[Assessment], stamp: Stamp, title: str = "Comparison") -> ComparisonPage:
    """Pairings beside one another; figures that are the same for all are named once."""
    axis = shared_axis(found)
    figures = [_compared(a) for a in found]
    differ = [name for name in figures[0] if len({f[name] for f in figures}) > 1] if figures else []
    shared = tuple(Fact(name, figures[0][name]) for name in figures[0] if name not in differ) if figures else ()
    blocks = []
    for start in range(0, len(found), SIDE_BY_SIDE):
        part = range(start, min(start + SIDE_BY_SIDE, len(found)))
        rows = tuple(ComparedRow(name, tuple(figures[i][name] for i in part)) for name in differ)
        blocks.append(ComparedBlock(tuple(found[i].id for i in part), rows))
    maker = found[0].case.maker
    return ComparisonPage(
        lang="en",
        title=f"{title}: {', '.join(a.id for a in found)}",
        subject=f"{len(found)} pairings compared",
        maker=maker_block(maker, stamp.logo),
        stamp=stamp_facts(stamp),
        foot=foot_words(stamp, title),
        axis=axis_strip(axis, STRIP),
        ranges=tuple(range_row(a, axis) for a in found),
        blocks=tuple(blocks),
        shared=shared,
    )


# --- answer to an enquiry -----------------------------------------------------------------------------------------


def use_facts(use: Application) -> tuple[Fact, ...]:
    """The place, the listener and the wish."""
    window = f"±{wording.degrees(use.horizontal_half_window_rad)} by ±{wording.degrees(use.vertical_half_window_rad)}"
    return (
        Fact("Arrangement", use.arrangement),
        Fact("Slope", slope_words(use.slope)),
        Fact("Seat", f"{number(use.distance_m)} m away, ear at {number(use.ear_height_m)} m"),
        Fact("Window", window),
        Fact("Peak level", with_unit(use.peak_level_db, "dB")),
        Fact("Amplifier", with_unit(use.amplifier_power_w, "W")),
        Fact("Surroundings", use.surroundings),
    )


def _candidate(found: Assessment, rank: int, axis: Scale, why: str) -> CandidateBlock:
    cautions = [c for c in found.cautions if c.applies_to != THE_WORK]
    verdict = found.verdict
    conditions = dict.fromkeys(sentence(printed(text)) for text in verdict.conditions if text != verdict.reason)
    return CandidateBlock(
        rank=str(rank),
        name=drivers_words(found.case),
        description="; ".join(filter(None, (found.case.high.technology, found.case.high.description))),
        mark=MARKS[verdict.word],
        strip=range_strip(axis, found.found_range, found.crossover_hz, axis.end + 6.0),
        facts=(
            Fact("Usable range", short_range(found.found_range)),
            Fact("Crossover", f"{hertz(found.crossover_hz)}, {found.case.pairing.slope}"),
            Fact("Price", money(found.price, found.case.maker.currency)),
        ),
        reason=sentence(printed(why or verdict.reason)),
        conditions=tuple(conditions)[:3],
        cautions=tuple(caution_item(c) for c in cautions[:2]),
    )


def answer_page(
    enquiry: Enquiry,
    candidates: Sequence[Assessment],
    maker: Maker,
    stamp: Stamp,
    *,
    outcome: str,
    reasons: Sequence[str] = (),
    missing: Sequence[str] = (),
    notes: Sequence[str] = (),
) -> AnswerPage:
    """The answer to `enquiry` with its candidates in order; `reasons` says why each, else its verdict does."""
    axis = shared_axis(candidates)
    why = [*reasons, *[""] * len(candidates)]
    received = (Fact("Received", enquiry.received.isoformat()),) if enquiry.received else ()
    return AnswerPage(
        lang="en",
        title=f"Answer to enquiry {enquiry.id}",
        subject=sentence(printed(outcome)),
        maker=maker_block(maker, stamp.logo),
        stamp=(Fact("Enquiry", enquiry.id), *received, *stamp_facts(stamp)),
        foot=foot_words(stamp, f"Enquiry {enquiry.id}"),
        question=enquiry.question or "",
        understood=use_facts(enquiry),
        outcome=sentence(printed(outcome)),
        axis=axis_strip(axis, STRIP),
        candidates=tuple(_candidate(a, i, axis, why[i - 1]) for i, a in enumerate(candidates, 1)),
        missing=tuple(sentence(printed(text)) for text in missing),
        notes=tuple(sentence(printed(text)) for text in notes),
    )


# --- screening ----------------------------------------------------------------------------------------------------


def _ranged(found: Candidate) -> UsableRange:
    return UsableRange(found.low_hz, found.high_hz, None, None)


def _best_row(found: Candidate, axis: Scale, currency: str) -> RangeRow:
    used = [found.slope, found.guide_id and f"in {found.guide_id}", found.rear_use != "as supplied" and "rear removed"]
    shelf = "" if found.in_stock else "Not in stock. "
    return RangeRow(
        id=str(found.rank),
        kit=", ".join(str(word) for word in used if word),
        drivers=f"{found.low_id} with {found.high_id}",
        mark=MARKS[found.word],
        strip=range_strip(axis, _ranged(found), found.crossover_hz, axis.end + 6.0),
        range=short_range(_ranged(found)),
        crossover=hertz(found.crossover_hz),
        price=money(found.price, currency),
        reason=shelf + sentence(printed(found.takes or f"Bound by {found.low_binding} and {found.high_binding}")),
    )


def _blocks(candidates: Sequence[Candidate]) -> tuple[MatrixBlock, ...]:
    """Low drivers down, high drivers across, in blocks that fit the page; the width of the range in each cell."""
    pairs = {(c.low_id, c.high_id): c for c in candidates}
    lows, highs = (sorted({key[side] for key in pairs}) for side in (0, 1))

    def cell(low: str, high: str) -> MatrixCell:
        found = pairs.get((low, high))
        if found is None:
            return MatrixCell(None, "")
        return MatrixCell(MARKS[found.word], wording.fixed(found.octaves, 2))

    return tuple(
        MatrixBlock(
            tuple(highs[start : start + ACROSS]),
            tuple(MatrixRow(low, tuple(cell(low, high) for high in highs[start : start + ACROSS])) for low in lows),
        )
        for start in range(0, len(highs), ACROSS)
    )


def screening_page(
    found: Screening, use: Application, maker: Maker, stamp: Stamp, best: int = 9, title: str = "Screening"
) -> ScreeningPage:
    """A screening on paper: its `best` candidates, the matrix of all that are listed, and the obstacles."""
    shown = found.candidates[:best]
    axis = common_axis([v for c in shown for v in (c.low_hz, c.high_hz, c.crossover_hz)], 6.0, STRIP - 6.0)
    total = f"{wording.counted(found.pairs, 'pair')}: " + ", ".join(f"{count} {word}" for word, count in found.words)
    return ScreeningPage(
        lang="en",
        title=title,
        subject=total,
        maker=maker_block(maker, stamp.logo),
        stamp=stamp_facts(stamp),
        foot=foot_words(stamp, title),
        use=use_facts(use),
        tally=total,
        axis=axis_strip(axis, STRIP),
        best=tuple(_best_row(c, axis, maker.currency) for c in shown),
        blocks=_blocks(found.candidates),
        obstacles=tuple(Fact(sentence(printed(what)), str(count)) for what, count in found.obstacles),
    )
