"""The annex of a sheet in words: curves, what they assume, every check, what was not assessed, the nearest yes.

Knows checks and remedies. Refuses to judge, and to know how a page is laid out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from reportgen.paper import wording
from reportgen.paper.building import board_words, substitutes, wirings
from reportgen.paper.charts import all_charts
from reportgen.paper.pages import AnnexBlock, CheckRow, GapRow, RemediesBlock, RemedyRow, StepRow, WiringBlock
from reportgen.paper.wording import MARKS, NONE, hertz, least_load, money, printed, sentence, with_unit
from reportgen.suitability.limits import COMMON
from reportgen.suitability.steps import by_the_checks

if TYPE_CHECKING:
    from reportgen.assessment import Assessment
    from reportgen.suitability.checks import Check

DAGGER = f"{wording.NO_BREAK}†"
WIDTH, GAP, NARROWEST, LEAST_ROOM = 510.0, 10.0, 118.0, 200.0
"""Of a page, between what stands side by side, of a drawn wiring with its caption, and of words beside one (points)."""
ORDER = {"fail": 0, "not assessed": 1, "marginal": 2, "pass": 3}


def annex_block(found: Assessment, inches: bool, remedies: RemediesBlock | None, level: int) -> AnnexBlock:
    """The annex; `remedies` is None where the front has them, `level` that of the build side, 0 without one."""
    design = found.design
    moved = tuple(wirings(found)) if level > 1 else ()
    reasons = tuple(printed(line, inches) for line in design.reasons) if design is not None else ()
    return AnnexBlock(
        board=(*board_words(found, inches), *substitutes(found)) if level > 2 else (),
        wirings=moved,
        beside=_beside(moved) if reasons else 0.0,
        charts=all_charts(found),
        no_charts=sentence(printed(found.not_designed, inches)) if found.curves is None else "",
        reasons=reasons,
        assumptions=tuple(sentence(printed(line, inches)) for line in found.assumptions),
        remedies=remedies,
        tally=_tally(found.checks),
        checks=tuple(_check(c, inches) for c in sorted(found.checks, key=lambda c: ORDER[c.outcome])),
        gaps=tuple(_gaps(found)),
        ladder=tuple(_ladder(found)),
    )


def _beside(moved: Sequence[WiringBlock]) -> float:
    """Room (points) for words beside drawn wirings; 0.0 where there are none, or too little room."""
    room = WIDTH - sum(max(one.picture.width, NARROWEST) + GAP for one in moved) - GAP
    return round(room, 1) if moved and room >= LEAST_ROOM else 0.0


def _tally(checks: Iterable[Check]) -> str:
    counts = Counter(check.outcome for check in checks)
    return ", ".join(f"{counts[word]} {word}" for word in ("pass", "marginal", "fail", "not assessed") if counts[word])


def _check(check: Check, inches: bool) -> CheckRow:
    if check.unit == "Hz":
        value, limit = hertz(check.value), hertz(check.limit)
    elif check.id == "price":
        value, limit = money(check.value, check.unit), NONE
    else:
        digits = wording.digits_of(check.unit, check.value, check.limit)
        value, limit = (with_unit(one, check.unit, digits) for one in (check.value, check.limit))
    margin = with_unit(check.margin, check.margin_unit, wording.digits_of(check.margin_unit)).replace("octave", "oct.")
    signed = f"+{margin}" if check.margin is not None and check.margin > 0 else margin
    said = check.text.removeprefix(f"{check.title}{wording.NOT_ASSESSED}")  # the title stands before it
    text = " ".join(sentence(printed(part, inches)) for part in dict.fromkeys((said, check.condition)) if part)
    return CheckRow(MARKS[check.outcome], check.title, text, value, limit, signed, _source(check.source))


def _source(source: str) -> str:
    """Where a limit comes from; the trade's own rules carry a dagger that the head of the column explains."""
    return printed(source.replace(f" ({COMMON})", DAGGER).replace(COMMON, f"practice{DAGGER}"))


def _gaps(found: Assessment) -> Iterator[GapRow]:
    together: dict[tuple[bool, tuple[str, ...]], list[str]] = {}
    for check in found.checks:
        if check.outcome == "not assessed":
            why = check.text.removeprefix(f"{check.title}{wording.NOT_ASSESSED}")
            missing = check.missing or (sentence(printed(why)),)
            together.setdefault((check.essential, missing), []).append(check.title)
    for (essential, missing), titles in together.items():
        yield GapRow(wording.listed(titles), essential, missing)


def _ladder(found: Assessment) -> Iterator[StepRow]:
    """The networks that were weighed, from the fewest pieces up; a ladder of one step tells nothing."""
    if found.design is None or len(found.design.ladder) < 2:
        return
    for step in found.design.ladder:
        yield StepRow(
            pieces=f"{step.pieces}{' (chosen)' if step.chosen else ''}",
            price=money(step.price, found.case.maker.currency),
            deviation=f"{wording.fixed(step.rms_db, 2)} / {with_unit(abs(step.worst_db), 'dB')}",
            null=with_unit(abs(step.null_db), "dB") if found.design.slope.in_phase else wording.NONE,
            least=least_load(step.least_ohm),
            share=with_unit(step.good_share * 100.0, "%", 2),
            verdict=by_the_checks(step),
        )  # fmt: skip


def remedies_block(found: Assessment, inches: bool) -> RemediesBlock | None:
    """What would turn the verdict, and how the search went; None where nothing was searched for."""
    note = sentence(printed(found.remedies_note, inches))
    if not found.remedies and not note:
        return None
    title = "The nearest yes" if found.verdict.word == "not suitable" else "What would make it a plain yes"
    if any(remedy.word == "undecided" for remedy in found.remedies):
        yes = any(remedy.word != "undecided" for remedy in found.remedies)
        title = f"{title}, and what leaves nothing that fails" if yes else "What leaves nothing that fails"
    return RemediesBlock(title, tuple(_remedies(found, inches)), note)


def _remedies(found: Assessment, inches: bool) -> Iterator[RemedyRow]:
    for remedy in found.remedies:
        yield RemedyRow(
            changes=sentence(printed("; ".join(remedy.changes), inches)),
            mark=MARKS[remedy.word],
            range=wording.span(*remedy.range_hz),
            crossover=hertz(remedy.crossover_hz),
            price=money(remedy.price, found.case.maker.currency),
            text=sentence(printed(remedy.condition, inches)),
        )
