"""What takes the place of a driver, a guide or a part that goes out of production, in every pairing that uses it.

Knows which cases to try and how their assessments are ranked. Refuses to assess: the command has others do it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from reportgen.advice.changes import Change, guides, high_drivers, low_drivers
from reportgen.advice.listings import Field, Listing, Report, joined
from reportgen.advice.moves import ON_PRICES, dearer_by, figures_of, less_bass, value_words
from reportgen.advice.remedies import quick_word
from reportgen.assessment import Assessment, Ware
from reportgen.catalogue.records import Case, Catalogue
from reportgen.pairing.options import LETTERS
from reportgen.pairing.shopping import drivers_of, stock_ids
from reportgen.problems import CannotAssess
from reportgen.suitability.verdict import BEST_FIRST

Kit = TypeVar("Kit", Assessment, Ware)

TRIED = 6
"""So many replacements of a driver are assessed as a whole, the smallest changes first (common practice, no source)."""
TOLD = 3
"""So many are told of each pairing."""


@dataclass(frozen=True)
class Replacement:
    """What would take the place, in words, and the case to assess."""

    text: str
    effort: float
    case: Case


def users(found: Sequence[Kit], id_: str) -> tuple[Kit, ...]:
    """Those in which the driver, guide or part `id_` stands."""
    return tuple(one for one in found if id_ in {item.record.id for item in drivers_of(one.case)} | _parts(one))


def _parts(one: Assessment | Ware) -> set[str]:
    return {id_ for part in one.parts for id_ in stock_ids(part.part_id)}


def on_the_list(before: Assessment, id_: str) -> tuple[tuple[str | None, str], ...]:
    """What the parts list names for every place of a part, its row of the Parts sheet and in words; empty where it names none for one of them."""
    assembly = before.network.assembly if before.network else None
    notes = {one.label: one for one in assembly.parts} if assembly else {}
    places = [(part, notes.get(part.label)) for part in before.parts if id_ in stock_ids(part.part_id)]
    named = [
        (note.substitute_id, note.substitute_id or value_words(part.kind, note.substitute))
        for part, note in places
        if note is not None and note.substitute is not None
    ]
    return tuple(named) if len(named) == len(places) else ()


def without(catalogue: Catalogue, id_: str) -> Catalogue:
    """The catalogue without a driver, a guide or a part."""
    tables: dict[str, Mapping[str, object]] = {
        name: {key: one for key, one in getattr(catalogue, name).items() if key != id_}
        for name in ("low_drivers", "high_drivers", "waveguides", "parts")
    }
    return replace(catalogue, **tables)  # type: ignore[arg-type] # each table keeps its kind


def replacements(before: Assessment, id_: str, catalogue: Catalogue) -> tuple[Replacement, ...]:
    """What to try in the place of `id_` in one pairing, the smallest changes first; `catalogue` has it still."""
    left = without(catalogue, id_)
    pairing = before.case.pairing
    if id_ in _parts(before) and id_ not in (pairing.low_id, pairing.high_id, pairing.guide_id):
        return (Replacement(f"another network, without {id_}", 0.0, replace(before.case, stock=left.stock)),)
    kind = low_drivers if id_ == pairing.low_id else high_drivers if id_ == pairing.high_id else guides
    tried = []
    for change in sorted(kind(before, left), key=lambda one: (one.effort, one.text)):
        case = _case(change, before, left)
        if case is not None and quick_word(case) != "not suitable":
            tried.append(Replacement(_named(change, id_), change.effort, case))
        if len(tried) == TRIED:
            break
    return tuple(tried)


def _case(change: Change, before: Assessment, left: Catalogue) -> Case | None:
    try:
        return left.case(change.applied(before.case.pairing))
    except CannotAssess:
        return None


def _named(change: Change, id_: str) -> str:
    return change.text.replace(f" in place of {id_}", "")


Tried = Sequence[tuple[Replacement, Assessment]]


def ranked(tried: Tried) -> list[tuple[Replacement, Assessment]]:
    """The best first: the verdict, then how little it changes, then the price."""
    return sorted(
        tried,
        key=lambda pair: (BEST_FIRST.index(pair[1].verdict.word), pair[0].effort, figures_of(pair[1]).drivers or 0.0),
    )


def withdrawal(id_: str, using: Sequence[tuple[Assessment, Tried]], count: int, notes: Sequence[str] = ()) -> Report:
    """The page and the sheet of a withdrawal; `count` pairings were looked at."""
    rows = [row for before, tried in using for row in _rows(before, tried, id_)]
    sold = [
        (before, tried) for before, tried in using if before.verdict.word != BEST_FIRST[-1]
    ]  # the others have nothing to lose
    lost = [
        before.id
        for before, tried in sold
        if not on_the_list(before, id_) and not any(keeps(before, after) for _, after in tried)
    ]
    tally = f"{id_} goes: {len(using)} of {count} pairings {'uses' if len(using) == 1 else 'use'} it"
    if sold:
        told = (
            f"; no replacement keeps the verdict of {joined(lost)}"
            if lost
            else f"; {_each(len(sold), len(using))} has a replacement that keeps its verdict"
        )
        tally += told
    fields = (
        Field("Pairing", "id"), Field("Kit"), Field("In its place", "words"), Field("Verdict", "verdict"),
        Field("Crossover", "hz"), Field("Pieces", "count"), Field("Holes", "words"), Field("Price of the kit", "money"),
        Field("Dearer by", "money"),
    )  # fmt: skip
    note = f"The first row of a pairing is as it is now, with {id_}. What stands below it was assessed as a whole; a parts list names what may stand in for one piece of the same network."
    return Report(
        f"Without {id_}",
        tally,
        (Listing("Every pairing that uses it", fields, tuple(rows), note=note),),
        (*notes, *([ON_PRICES] if any(one[3] and one[7] is None for one in rows) else ())),
    )


def _each(sold: int, using: int) -> str:
    if sold == using:
        return "it" if using == 1 else "each"
    return "the one that may be used as it is" if sold == 1 else f"each of the {sold} that may be used as they are"


def keeps(before: Assessment, after: Assessment) -> bool:
    """True when the verdict is not worse than before."""
    return BEST_FIRST.index(after.verdict.word) <= BEST_FIRST.index(before.verdict.word)


def in_its_place(one: Replacement, before: Assessment, after: Assessment) -> str:
    """What takes the place, in few words: the driver or guide, with what it takes from the bass, or the pieces that the other network has in its stead."""
    if one.case.pairing != before.case.pairing:
        bass = less_bass(before, after)
        return f"{one.text}, {bass}" if bass else one.text
    old, all_new = figures_of(before).pieces, figures_of(after).pieces
    new = all_new - old
    values = {part.id: value_words(LETTERS[part.kind], part.value) for part in before.case.stock}
    if new == Counter(values.get(name, name) for name in (old - all_new).elements()):
        return "the same value, bought elsewhere"
    names = joined([name if count == 1 else f"{count} x {name}" for name, count in sorted(new.items())], 4)
    return names if len(new) == 1 else f"another network, with {names}" if names else one.text


def _rows(before: Assessment, tried: Tried, id_: str) -> Iterator[tuple[str | float | None, ...]]:
    pairing, now = before.case.pairing, figures_of(before)
    named = joined(list(dict.fromkeys(text for _, text in on_the_list(before, id_))))
    as_now = f"as now, or {named} as its parts list says" if named else "as now"
    yield (before.id, pairing.kit, as_now, now.verdict, now.crossover_hz, now.count, now.holes, now.price, None)
    for one, after in ranked(tried)[:TOLD]:
        then = figures_of(after)
        yield (
            before.id, pairing.kit, in_its_place(one, before, after), then.verdict, then.crossover_hz, then.count,
            then.holes if then.holes != now.holes else "as now", then.price, dearer_by(now, then),
        )  # fmt: skip
    if not tried:
        yield (before.id, pairing.kit, "nothing in the workbook comes near", None, None, None, "", None, None)
