"""What takes the place of a piece that is short: on the parts list already, or found by whole assessments, a few at a time.

Knows which kits to look at, in which order replacements are tried, and when one is good enough. Refuses to assess.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from reportgen.advice.supply import Supply
from reportgen.advice.withdrawal import Replacement, in_its_place, keeps, on_the_list, replacements, users
from reportgen.assessment import Assessment, Ware
from reportgen.catalogue.records import Catalogue
from reportgen.pairing.shopping import stock_ids
from reportgen.suitability.verdict import BEST_FIRST

MOST_KITS = 4
"""In so many kits at most is a replacement looked for, piece by piece; those that take most of it come first."""
NONE_KEEPS = "nothing in the workbook keeps every check"
NOT_SOUGHT = "none sought, for the kit is not suitable as it is"


@dataclass(frozen=True)
class Left:
    """What the shelf has over once all kits are served as planned, by ID, and how much of each piece is short.

    `taken` has the pairs of a piece and what takes its place: what is left over is promised once.
    """

    over: dict[str, int]
    short: Mapping[str, int]
    taken: set[tuple[str, str]] = field(default_factory=set)

    @classmethod
    def of(cls, found: Supply, catalogue: Catalogue) -> Left:
        """Of a season's needs and its shelf; what has no count on the shelf counts as enough."""
        rows = found.items[found.items["id"] != ""]
        needed, short = (
            {str(id_): int(count) for id_, count in zip(rows["id"], rows[name].fillna(0), strict=True)}
            for name in ("needed", "short")
        )
        tables = (catalogue.low_drivers, catalogue.high_drivers, catalogue.waveguides, catalogue.parts)
        stock = {id_: one.stock for table in tables for id_, one in table.items() if one.stock is not None}
        return cls({id_: count - needed.get(id_, 0) for id_, count in stock.items()}, short)

    def covers(self, other: str, id_: str) -> bool:
        """Whether so many of `other` are left over as are short of `id_`."""
        return other not in self.over or (id_, other) in self.taken or self.over[other] >= self.short.get(id_, 0)

    def take(self, other: str, id_: str) -> None:
        """Promise what is left over of `other` to the kits that are short of `id_`."""
        if other in self.over and (id_, other) not in self.taken:
            self.taken.add((id_, other))
            self.over[other] -= self.short.get(id_, 0)

    def holds(self, pieces: Mapping[str, int]) -> bool:
        """Whether so many of each are left over; what has no count counts as enough."""
        return all(self.over.get(id_, count) >= count for id_, count in pieces.items())

    def spend(self, pieces: Mapping[str, int]) -> None:
        """Promise so many of each."""
        for id_, count in pieces.items():
            if id_ in self.over:
                self.over[id_] -= count


@dataclass
class Sought:
    """A short piece in one kit: what is still to be tried, and the best found so far."""

    id: str
    before: Assessment
    waiting: list[Replacement]
    left: Left
    found: str = ""
    second: str = ""

    @property
    def case(self) -> Replacement | None:
        """What to assess next; None when there is nothing left or no need."""
        return self.waiting[0] if self.waiting and not self.found else None

    def judge(self, after: Assessment | None) -> None:
        """Take the assessment of what was to be tried next."""
        one = self.waiting.pop(0)
        if after is None or not keeps(self.before, after):
            return
        text = in_its_place(one, self.before, after)
        pairing = one.case.pairing
        new = {id_ for id_ in (pairing.low_id, pairing.high_id, pairing.guide_id) if id_} - _own(self.before)
        pieces = {} if new else self._more_pieces(after)
        if all(self.left.covers(id_, self.id) for id_ in new) and self.left.holds(pieces):
            self.found = text
            for id_ in new:
                self.left.take(id_, self.id)
            self.left.spend(pieces)
        else:
            self.second = self.second or f"{text}, of which too few are left over"

    def _more_pieces(self, after: Assessment) -> dict[str, int]:
        """What another network takes more of, by ID, in so many kits as are short of the piece."""
        case = self.before.case
        loudspeakers, planned = case.practice.loudspeakers_a_kit, case.pairing.kits_planned
        was, will = (
            Counter(id_ for part in one.parts for id_ in stock_ids(part.part_id)) for one in (self.before, after)
        )
        short_kits = math.ceil(self.left.short.get(self.id, 0) / max(was[self.id] * loudspeakers, 1))
        kits = min(planned or 0, short_kits)
        return {id_: count * loudspeakers * kits for id_, count in (will - was).items()}


@dataclass(frozen=True)
class Substitutes:
    """What to try, and what the parts lists say at once (ID -> kit -> words)."""

    sought: list[Sought] = field(default_factory=list)
    told: dict[str, dict[str, str]] = field(default_factory=dict)

    def words(self) -> dict[str, str]:
        """ID of what is short -> what takes its place, kit by kit where they differ."""
        told = {id_: dict(kits) for id_, kits in self.told.items()}
        for one in self.sought:
            untried = f"not all looked at yet; “withdraw {one.id}” does" if one.waiting else NONE_KEEPS
            told.setdefault(one.id, {})[one.before.id] = one.found or one.second or untried
        return {id_: _worded(kits) for id_, kits in told.items()}


def substitutes(
    found: Supply, wares: Sequence[Ware], whole: Callable[[str], Assessment], catalogue: Catalogue
) -> Substitutes:
    """What can be said at once of everything that is short, and what has to be assessed to say more.

    `whole` gives the assessment of a kit by its ID.
    """
    result = Substitutes()
    left, takes = Left.of(found, catalogue), found.needs.groupby(["id", "pairing"])["needed"].sum().to_dict()
    for id_ in filter(None, found.short):
        most_first = sorted(users(wares, id_), key=lambda one: -takes.get((id_, one.id), 0))
        using = sorted(most_first, key=lambda one: one.outline.verdict.word == BEST_FIRST[-1])[:MOST_KITS]
        for before in (whole(one.id) for one in using):
            if before.verdict.word == BEST_FIRST[-1]:  # it has nothing to keep
                result.told.setdefault(id_, {})[before.id] = NOT_SOUGHT
            elif text := _on_the_list(before, id_, left):
                result.told.setdefault(id_, {})[before.id] = text
            else:
                result.sought.append(Sought(id_, before, list(replacements(before, id_, catalogue)), left))
    return result


def _own(before: Assessment) -> set[str | None]:
    pairing = before.case.pairing
    return {pairing.low_id, pairing.high_id, pairing.guide_id}


def _on_the_list(before: Assessment, id_: str, left: Left) -> str:
    """What the parts list names in place of a part, where enough of it is left over; else empty."""
    named = on_the_list(before, id_)
    if not all(left.covers(other or "", id_) for other, _ in named):
        return ""
    for other, _ in named:
        left.take(other or "", id_)
    return ", ".join(dict.fromkeys(text for _, text in named))


def _worded(kits: Mapping[str, str]) -> str:
    alike: dict[str, list[str]] = {}
    for id_, text in kits.items():
        alike.setdefault(text, []).append(id_)
    if len(alike) == 1:
        return next(iter(alike))
    return "; ".join(f"{', '.join(ids)}: {text}" for text, ids in alike.items())
