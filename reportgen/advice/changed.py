"""Two states of a season side by side: what is new, what is gone, what moved, and which cell made it move.

Knows how pairings of two states find each other and how moves become a table. Refuses to assess, and to look for causes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from reportgen.advice.listings import Field, Listing, Report, Value
from reportgen.advice.moves import OF_DRIVERS, ON_PRICES, Move, moves
from reportgen.assessment import Assessment

NOT_ASSESSED = "not assessed"


@dataclass(frozen=True)
class Pair:
    """One pairing in both states; None where it is not there or cannot be assessed.

    `cause` is what moved it, in words; where one state is None it is why that one cannot be assessed, or empty: it is not there.
    """

    id: str
    kit: str
    before: Assessment | None
    after: Assessment | None
    cause: str = ""

    @property
    def moves(self) -> tuple[Move, ...]:
        """What moved."""
        if self.before and self.after:
            return moves(self.before, self.after)
        one = self.before or self.after
        if one is None or not self.cause:
            return ()
        word = one.verdict.word
        return (Move("Verdict", NOT_ASSESSED, word) if self.after else Move("Verdict", word, NOT_ASSESSED),)


def matched(before: Mapping[str, str], after: Mapping[str, str]) -> list[tuple[str | None, str | None]]:
    """IDs of two states that are the same pairing: by ID, else by the name of a kit that both have once.

    Each mapping leads from an ID to the name of its kit.

    >>> matched({"P-1": "Reed", "P-2": "Fen"}, {"P-1": "Reed", "Q-2": "Fen", "Q-3": "New"})
    [('P-1', 'P-1'), ('P-2', 'Q-2'), (None, 'Q-3')]
    """
    old = pd.DataFrame({"id": [*before], "kit": [*before.values()]}, dtype=object)
    new = pd.DataFrame({"id": [*after], "kit": [*after.values()]}, dtype=object)
    same = old.merge(new, on="id")["id"].tolist()
    rest = [one[~one["id"].isin(same) & (one["kit"] != "") & ~one["kit"].duplicated(keep=False)] for one in (old, new)]
    by_kit = rest[0].merge(rest[1], on="kit", suffixes=("_old", "_new"))
    partner = {**{id_: id_ for id_ in same}, **dict(zip(by_kit["id_new"], by_kit["id_old"], strict=True))}
    pairs: list[tuple[str | None, str | None]] = [(partner.get(id_), id_) for id_ in after]
    taken = set(partner.values())
    return sorted(pairs, key=lambda pair: pair[0] is None) + [(id_, None) for id_ in before if id_ not in taken]


def changes_report(
    title: str, tally_of: str, pairs: Sequence[Pair], notes: Sequence[str] = (), unchanged: int = 0
) -> Report:
    """The page and the sheet of what changed; `unchanged` pairings have the same inputs in both states and are not among `pairs`."""
    moved = [one for one in pairs if one.moves]
    new = [one for one in pairs if one.before is None and one.after is not None and not one.cause]
    gone = [one for one in pairs if one.after is None and one.before is not None and not one.cause]
    still = unchanged + len(pairs) - len(new) - len(gone) - len(moved)
    known = {"new": len(new), "gone": len(gone)}
    told = "".join(f", {count} {word}" for word, count in known.items() if count)
    tally = f"{tally_of}: {len(moved)} moved{told}, {still} as before"
    fields = (
        Field("Pairing", "id"), Field("Kit"), Field("What"), Field("Before", "words"), Field("After", "words"),
        Field("Because", "words"),
    )  # fmt: skip
    rows: list[tuple[Value, ...]] = []
    for one in moved:
        for count, move in enumerate(one.moves):
            rows.append((one.id, one.kit, move.what, move.before, move.after, one.cause if not count else ""))
    listings = [Listing("What moved", fields, tuple(rows))]
    listings += [_named("New", "new", new), _named("Gone", "gone", gone)]
    return Report(
        title,
        tally,
        tuple(listing for listing in listings if listing.rows or listing.title == "What moved"),
        (
            *notes,
            *([ON_PRICES] if any(move.what.startswith(OF_DRIVERS) for one in moved for move in one.moves) else ()),
        ),
    )


def _named(title: str, tab: str, pairs: Sequence[Pair]) -> Listing:
    fields = (
        Field("Pairing", "id"),
        Field("Kit"),
        Field("Verdict", "verdict"),
        Field("Crossover", "hz"),
        Field("Drivers"),
    )
    rows = []
    for one in pairs:
        found = one.after or one.before
        assert found is not None  # the caller has chosen pairs with one of the two
        pairing = found.case.pairing
        rows.append(
            (one.id, one.kit, found.verdict.word, found.crossover_hz, f"{pairing.low_id} with {pairing.high_id}")
        )
    return Listing(title, fields, tuple(rows), tab=tab)
