"""Which high drivers would do for an enquirer's use: screened, assessed, ranked; and what of the wish has to give way.

Knows in which order wishes give way and how a budget counts. Refuses to know questions, words and mails.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from reportgen.advice.bounds import ANYWHERE, Bounds, within
from reportgen.advice.remedies import quick_word
from reportgen.advice.screening import SLOPES_TRIED, Candidate, screen
from reportgen.assessment import Assessment, assess
from reportgen.catalogue.records import Application, Catalogue, Pairing
from reportgen.pairing.shopping import total
from reportgen.suitability.verdict import BEST_FIRST

TOLD = 3
"""How many candidates an answer holds at most."""
ASSESSED = 7
"""How many candidates are assessed as a whole to find them."""
QUIETER_DB = (0.0, 3.0, 6.0)
"""How much under the level that the nearest reaches is tried where nothing does with the wanted one."""
WOULD_DO = BEST_FIRST[:-1]
"""Verdicts that do not rule out, best first."""
USUAL = {field.name: field.default for field in fields(Application)}
"""What stands in an empty cell of the use."""

ANY: Mapping[str, Any] = {"kinds": frozenset(), "named": frozenset()}
"""Of a wish that asks for no kind and no driver."""

Judged = list[tuple[Candidate, Assessment]]


@dataclass(frozen=True)
class Wish:
    """A use to be served: the kinds of driver and our drivers asked for, the fields that were typed, what a high driver may cost, between which frequencies (Hz) a crossover that is left open may lie; `cheapest`: the price alone ranks."""

    use: Pairing
    catalogue: Catalogue
    kinds: frozenset[str] = frozenset()
    typed: frozenset[str] = frozenset()
    budget: float | None = None
    named: frozenset[str] = frozenset()
    cheapest: bool = False
    bounds: Bounds = ANYWHERE

    def asks_for(self, one: Candidate) -> bool:
        """True of a driver that was asked for, by name or by its kind."""
        return one.high_id in self.named or (not self.named and kind_of(one, self.catalogue) in self.kinds)


@dataclass(frozen=True)
class Picks:
    """What a search came to: `good` would do for `use`, best first, or cheapest first where `over_budget`.

    `found` and `judged` are the candidates looked at; `gave_way` names the fields of the wish that had to.
    """

    use: Pairing
    found: tuple[Candidate, ...]
    judged: Judged
    good: Judged
    gave_way: tuple[str, ...] = ()
    over_budget: bool = False


def picks(wish: Wish) -> tuple[Picks, Picks]:
    """What would do as asked, and what would do once something of the wish gave way; the same where nothing had to.

    A typed slope gives way first, then a typed crossover, then both, then a typed level, alone where that suffices. A level
    that nobody typed comes down at once to what can be reached.
    """
    easy = "peak_level_db" not in wish.typed
    as_asked = _looked(wish, wish.use, (), easy)
    if as_asked.good:
        return as_asked, as_asked
    last = as_asked
    for given in ways(wish):
        usual: dict[str, Any] = {name: USUAL[name] for name in given}
        last = _looked(wish, replace(wish.use, **usual), given, easy)
        if last.good:
            return as_asked, last
    if easy:
        return as_asked, last
    softer = _looked(wish, wish.use, (), True)
    return as_asked, softer if softer.good or last is as_asked else _looked(wish, last.use, last.gave_way, True)


def ways(wish: Wish) -> Iterator[tuple[str, ...]]:
    """Which of a typed slope and crossover give way, one after the other: each alone, then both."""
    typed = tuple(
        name
        for name in ("slope", "crossover_hz")
        if name in wish.typed or (name == "crossover_hz" and wish.bounds != ANYWHERE)
    )
    yield from ((name,) for name in typed)
    if len(typed) > 1:
        yield typed


def _looked(wish: Wish, use: Pairing, gave_way: tuple[str, ...], easy: bool) -> Picks:
    """What would do for one use; with `easy` at a lower level where the wanted one is out of reach."""
    if "crossover_hz" in gave_way:
        wish = replace(wish, bounds=ANYWHERE)
    slopes = () if "slope" in wish.typed and "slope" not in gave_way else SLOPES_TRIED
    roughly = (
        replace(use, peak_level_db=use.peak_level_db - QUIETER_DB[1]) if easy else use
    )  # a screen knows levels so roughly
    found = screened(roughly, slopes, wish.catalogue)
    judged, good, over = _within(wish, found, use, ASSESSED)
    looked = Picks(use, found, judged, good, gave_way, over)
    served = any(wish.asks_for(one) for one, _ in good) or not (wish.kinds or wish.named)
    softer = [pair for pair in judged if not good or too_soft(pair[1])]  # a level that nobody named rules nobody out
    if not easy or (reached := _reached_db(softer, use)) is None:
        return looked
    for step in QUIETER_DB:
        way = replace(use, peak_level_db=reached - step)
        nearer = screened(way, slopes, wish.catalogue)
        judged, good, over = _within(wish, nearer, way, TOLD + 2)
        gained = served or any(wish.asks_for(one) for one, _ in good)
        if good and (not looked.good or (gained and len(good) >= min(len(looked.good), TOLD))):
            return Picks(way, nearer, judged, good, (*gave_way, "peak_level_db"), over)
    return looked


def as_wished(wish: Wish, pairing: Pairing) -> Assessment:
    """A pairing as a whole; where its crossover is left open, at the nearest frequency within the bounds of the wish."""
    found = assess(wish.catalogue.case(pairing), drawn=False)
    hertz = found.crossover_hz
    if pairing.crossover_hz is not None or hertz is None or hertz == (kept := within(wish.bounds, hertz)):
        return found
    return assess(wish.catalogue.case(replace(pairing, crossover_hz=kept)), drawn=False)


def too_soft(found: Assessment) -> bool:
    """True of what fails for its level alone."""
    return {check.id for check in found.checks if check.outcome == "fail"} == {"peak level"}


def screened(use: Pairing, slopes: tuple[str, ...], catalogue: Catalogue) -> tuple[Candidate, ...]:
    """Every high driver at this use, best first by limits alone."""
    return screen(catalogue, use, slopes=slopes, low_ids=[use.low_id], keep=None, keep_spacing=True).candidates


def _reached_db(judged: Judged, use: Pairing) -> float | None:
    """The level (whole dB) that the best of those assessed reaches; None when the level is not what is in the way."""
    known = [one.figures.highest_level_db for _, one in judged if one.figures is not None]
    if not known or max(known) >= use.peak_level_db:
        return None
    return math.floor(max(known)) - 1.0


def _within(wish: Wish, found: tuple[Candidate, ...], use: Pairing, most: int) -> tuple[Judged, Judged, bool]:
    """What was assessed and what would do: within the budget, else the cheapest that would, and whether that is so."""
    if wish.budget is None and not wish.cheapest:
        judged = _assessed(wish, found, use, most)
        return judged, _ranked(wish, judged), False
    costs = {one: cost for one in found if (cost := price_of(one, wish.catalogue)) is not None}
    budget = math.inf if wish.budget is None else wish.budget
    within = [one for one in costs if costs[one] <= budget]
    if wish.cheapest:
        within.sort(key=lambda one: (not wish.asks_for(one), costs[one]))
        judged = _assessed(replace(wish, **ANY), within, use, most)
        good = sorted(_ranked(replace(wish, **ANY), judged), key=lambda pair: within.index(pair[0]))
    else:
        judged = _assessed(wish, within, use, most)
        good = _ranked(wish, judged)
    if good:
        return judged, good, False
    rest = sorted((one for one in costs if costs[one] > budget), key=costs.__getitem__)
    dearer = _assessed(replace(wish, **ANY), rest, use, most)
    good = sorted(_ranked(wish, dearer), key=lambda pair: costs[pair[0]])
    return judged + dearer, good, bool(good)


def price_of(one: Candidate, catalogue: Catalogue) -> float | None:
    """What the high driver with its guide costs for one loudspeaker; None where a price is not stated."""
    guide = [(catalogue.waveguides[one.guide_id].price, 1)] if one.guide_id else []
    return total([(catalogue.high_drivers[one.high_id].price, 1), *guide])


def kind_of(candidate: Candidate, catalogue: Catalogue) -> str:
    """The kind of its high driver."""
    return catalogue.high_drivers[candidate.high_id].technology


def _assessed(wish: Wish, found: Sequence[Candidate], use: Pairing, most: int) -> Judged:
    """The most promising candidates, each assessed as a whole; those asked for have their turn first."""
    asked = [one for one in found if wish.asks_for(one)]
    others = [one for one in found if one not in asked]
    order = [*asked[: TOLD - 1], *others[:2], *found] if asked else found
    judged: Judged = []
    for candidate in dict.fromkeys(order):
        pairing = candidate.pairing(use)
        if len(judged) >= most:
            break
        if judged and quick_word(wish.catalogue.case(pairing)) == "not suitable":
            continue
        judged.append((candidate, as_wished(wish, pairing)))
    return judged


def _ranked(wish: Wish, judged: Judged) -> Judged:
    """Those that would do: what was asked for first, then the verdict; ours whose own figures are missing only where nothing else would."""
    good = [pair for pair in judged if pair[1].verdict.word in WOULD_DO]
    good = [pair for pair in good if not lacks_ours(pair[1])] or good
    ranked = sorted(
        good,
        key=lambda pair: (
            not wish.asks_for(pair[0]), WOULD_DO.index(pair[1].verdict.word), pair[0].rank,
        ),
    )  # fmt: skip
    return _with_an_outsider(wish, ranked) if wish.kinds or wish.named else ranked


def lacks_ours(found: Assessment) -> bool:
    """True when an essential figure of our own high driver is missing."""
    return any(
        f" of {found.case.high.id} (" in text for check in found.checks if check.essential for text in check.missing
    )


def _with_an_outsider(wish: Wish, good: Judged) -> Judged:
    """Where more than enough of the kind asked for would do, the last place still goes to the best of another kind."""
    others = [pair for pair in good if not wish.asks_for(pair[0])]
    return [*good[: TOLD - 1], others[0]] if others and others[0] not in good[:TOLD] else good
