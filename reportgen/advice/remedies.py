"""The nearest yes: the smallest sets of changes that turn a verdict, each confirmed by a whole assessment.

Knows in which order to look and when enough was tried. Refuses to judge: every candidate goes through the
limits and the quick checks, and what survives through `assess`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import combinations

from reportgen.advice.changes import (
    FILLS_GAPS,
    UNTOUCHED,
    WINDOW_IDS,
    Change,
    all_changes,
    at_odds,
    longer_boxes,
    refitted,
    short_db,
    together,
)  # fmt: skip
from reportgen.advice.foresight import STILL, Foresight
from reportgen.advice.moves import less_bass, octaves_less
from reportgen.assessment import Assessment, Remedy, assess
from reportgen.catalogue.currencies import decimals_of
from reportgen.catalogue.records import Case, Catalogue
from reportgen.pairing.as_built import AsBuilt
from reportgen.pairing.as_used import Setting
from reportgen.pairing.figures import with_network
from reportgen.pairing.response import FREQUENCY_HZ, Model
from reportgen.pairing.shopping import cost_of, drivers_of
from reportgen.problems import CannotAssess
from reportgen.suitability import checks
from reportgen.suitability.choice import before_a_network
from reportgen.suitability.limits import all_limits
from reportgen.suitability.steps import heat_at_own_load
from reportgen.suitability.verdict import BEST_FIRST, YES, Word, best_crossover_hz, judge

Changes = tuple[Change, ...]

WHOLE = {"not suitable": 8, "suitable with conditions": 5}
"""Whole assessments that a search may take; one takes about a hundred times as long as a quick one."""
TRIES_OF_A_KIND = 2
"""How many changes of one kind are assessed as a whole before the next kind has its turn."""
TOLD, NEAR_TOLD = 6, 3
"""How many remedies are reported at most, and of each how many checks near their limits beside its first condition."""
ROUGH_DB = 1.5
"""How far the level that sensitivities promise may be off what a network makes of it."""
ROUGH_OHM = 1.25
"""How much more a network may leave of a load than the resistances promise, as a ratio."""
DRIVERS = frozenset(("high driver", "low driver"))
OF_ONE_CABINET = {"place", "height", "cabinet"}
"""A place on one baffle is none on another, and a cabinet is one as it stands."""


def find_remedies(assessment: Assessment, catalogue: Catalogue, budget: int = 400) -> tuple[tuple[Remedy, ...], str]:
    """The smallest changes that turn the verdict, ordered by how little they change, and what is to be said of them.

    Not suitable turns into suitable or suitable with conditions, conditions into suitable; for any other word nothing is
    searched. One change goes before two. Where only other drivers, or nothing, make a yes of a no of which something is not known, what leaves
    nothing that fails is looked for as well: undecided. `budget` bounds the quick judgements, `WHOLE` the whole ones; the same input gives the same answer.
    """
    word = assessment.verdict.word
    if word in ("suitable", "undecided"):
        return (), ""
    search, singles = _Search(assessment, catalogue, budget), all_changes(assessment, catalogue)
    search.gone_through(singles)
    if search.unknown and not search.keeps_drivers:
        search = replace(search, despite_gaps=True, quick=0, whole=0, tries=Counter(), alone={})
        if search.found:
            search.run((change,) for change in singles if change.kind not in DRIVERS)
        else:
            search.gone_through(singles)
    return search.remedies(), search.note()


def _keeps_drivers(changes: Changes) -> bool:
    return not any(change.kind in DRIVERS for change in changes)


def _pairs(singles: Sequence[Change], with_drivers: bool) -> list[Changes]:
    """Two changes of different kinds, the smallest together first."""
    pairs = [
        pair
        for pair in combinations(singles, 2)
        if pair[0].kind != pair[1].kind
        and _keeps_drivers(pair) != with_drivers
        and not {*_kinds(pair)} <= OF_ONE_CABINET
        and not at_odds(*pair)
    ]
    return sorted(pairs, key=_effort)


def _effort(changes: Changes) -> float:
    return sum(change.effort for change in changes)


@dataclass
class _Search:
    """One search: what stands in the way, what was tried, what was found."""

    before: Assessment
    catalogue: Catalogue
    budget: int
    despite_gaps: bool = False
    quick: int = 0
    whole: int = 0
    left_out: bool = False
    found: list[tuple[Changes, Assessment]] = field(default_factory=list)
    tries: Counter[tuple[str, ...]] = field(default_factory=Counter)
    alone: dict[Change, frozenset[str]] = field(default_factory=dict)

    @property
    def wanted(self) -> tuple[Word, ...]:
        """The verdicts that count as a yes."""
        if self.despite_gaps:
            return (*YES, "undecided")
        return YES if self.before.verdict.word == "not suitable" else YES[:1]

    def gone_through(self, singles: Sequence[Change]) -> None:
        """Each change alone, what is far-fetched where no other keeps both drivers, two where no one does, other drivers last and with nothing far-fetched."""
        likely = [change for change in singles if not change.far_fetched]
        self.run((change,) for change in likely if change.kind not in DRIVERS)
        if not self.found:
            self.run((change,) for change in singles if change.far_fetched)
        self.run((change,) for change in likely if change.kind in DRIVERS)
        if not self.keeps_drivers:
            self.run(_pairs(singles, with_drivers=False))
        if not self.found:
            self.run(_pairs(likely, with_drivers=True))

    @property
    def keeps_drivers(self) -> bool:
        """Whether any of what was found keeps both drivers."""
        return any(_keeps_drivers(changes) for changes, _ in self.found)

    def run(self, candidates: Iterable[Changes]) -> None:
        """Judge `candidates` in their order: quickly, and as a whole where that leaves a chance."""
        for changes in candidates:
            if not self._can_help(changes) or self._told_already(changes) or self._hinders(changes):
                continue
            if self.quick >= self.budget:
                self.left_out = True
                return
            self.quick += 1
            if self._full(changes) and (self.found or self.left_out):
                continue
            case = self._case(changes)
            if self._bearable(case) and self._loud_enough(case) and self._open(case):
                self._try(changes, case)

    def _full(self, changes: Changes) -> bool:
        """True when as many were assessed as a whole, of all or of these kinds, as may be: what follows is left out unseen."""
        most = min(WHOLE[self.before.verdict.word], self.budget)
        return self.whole >= most or self.tries[_kinds(changes)] >= TRIES_OF_A_KIND

    @cached_property
    def _foresight(self) -> Foresight:
        return Foresight(self.before, self.wanted == YES[:1], despite_gaps=self.despite_gaps)

    def _open(self, case: Case) -> bool:
        try:
            return self._foresight.open_(case)
        except (CannotAssess, ValueError):
            return False

    def _hinders(self, changes: Changes) -> bool:
        """True where one of several changes brings in what stands in the way, and none of the others touches that."""
        if len(changes) < 2:
            return False
        for change in changes:
            others = [UNTOUCHED[other.kind] for other in changes if other is not change]
            if any(all(id_ in untouched for untouched in others) for id_ in self._in_the_way(change)):
                return True
        return False

    def _in_the_way(self, change: Change) -> frozenset[str]:
        """What one change alone leaves in the way of the checks that need no network."""
        if change not in self.alone:
            try:
                self.alone[change] = self._foresight.in_the_way(self._case((change,)))
            except (CannotAssess, ValueError):
                self.alone[change] = frozenset()
        return self.alone[change]

    def _case(self, changes: Changes) -> Case:
        pairing = together(changes, self.before.case.pairing)
        cut = {change.cabinet.id: change.cabinet for change in changes if change.cabinet}
        catalogue = replace(self.catalogue, cabinets={**self.catalogue.cabinets, **cut}) if cut else self.catalogue
        return catalogue.case(pairing)

    def _can_help(self, changes: Changes) -> bool:
        """True when every check in the way is touched by one of the changes, and every change touches one."""
        blocking = self._blocking
        touched = [{one for one in blocking if _touches(change, one, self.unknown)} for change in changes]
        return all(touched) and set().union(*touched) == blocking

    @cached_property
    def unknown(self) -> set[str]:
        """Ids of the checks that want data without which nobody says yes; not of those that want another crossover, where no network can be designed at this one."""
        at = self.before.crossover_hz
        off = at is not None and not 2.0 * FREQUENCY_HZ[0] <= at <= 0.5 * FREQUENCY_HZ[-1]
        return {check.id for check in self._not_assessed if check.missing or not off}

    @property
    def _not_assessed(self) -> list[checks.Check]:
        return [check for check in self.before.checks if check.outcome == "not assessed" and check.essential]

    @cached_property
    def _blocking(self) -> set[str]:
        """Checks that stand between the pairing and the wanted verdict."""
        if self.before.verdict.word == "not suitable":
            fails = {check.id for check in self.before.checks if check.outcome == "fail"}
            return fails if self.despite_gaps else fails | {check.id for check in self._not_assessed}
        return {check.id for check in self.before.checks if check.outcome == "marginal" or check.condition}

    def _told_already(self, changes: Changes) -> bool:
        """True when a smaller set of the same kinds, or one of the changes alone, already does it; another slope may still do it plainly, where all is known."""
        alike = self._alike(changes)
        if len(alike) >= 2 or any(_drivers(changes) == _drivers(done) for done, _ in alike):
            plainly = self.despite_gaps or any(after.verdict.word == YES[0] for _, after in alike)
            return plainly or _kinds(changes) != ("slope",)
        return any(set(done) < set(changes) for done, _ in self.found)

    def _alike(self, changes: Changes) -> list[tuple[Changes, Assessment]]:
        """What was found with changes of the same kinds."""
        return [one for one in self.found if _kinds(one[0]) == _kinds(changes)]

    def _loud_enough(self, case: Case) -> bool:
        """False where the sensitivities alone leave a high driver too quiet that was too quiet before (dB), at the same crossover."""
        short = short_db(self.before, "level")
        at, allowed = self.before.crossover_hz, case.practice["level margin"] + ROUGH_DB
        if short <= allowed or at is None or case.pairing.crossover_hz != self.before.case.pairing.crossover_hz:
            return True
        then, now = Setting(self.before.case), Setting(case)
        gained = now.high_level_db + now.guide_gain_db(2.0 * at) - now.low_level_db
        gained -= then.high_level_db + then.guide_gain_db(2.0 * at) - then.low_level_db
        return bool(gained >= short - allowed)

    def _bearable(self, case: Case) -> bool:
        """False where the resistances alone leave a load as low as the one that is in the way."""
        load = next(
            (one for one in self.before.checks if one.id == "impedance minimum" and one.outcome == "fail"), None
        )
        if load is None or load.value is None or load.limit is None:
            return True
        then, now = Setting(self.before.case).low_resistance_ohm, Setting(case).low_resistance_ohm
        return load.value * now / then * ROUGH_OHM >= load.limit

    def _try(self, changes: Changes, case: Case) -> None:
        """Assess as a whole what no shorter look rules out. What is ruled out without a fit does not count."""
        if self._full(changes):
            self.left_out = True
            return
        try:
            heard = all(UNTOUCHED[change.kind] >= WINDOW_IDS for change in changes) or self._foresight.heard(case)
            left_open = self._foresight.left_open(case) if heard else ()
            if left_open:
                self.whole += 1
                self.tries[_kinds(changes)] += 1
            if not self._foresight.fits_promise(left_open):
                return
            after = assess(case, drawn=False)
            if self._too_strong(changes, after):
                changes = tuple(
                    refitted(one, self.before, after) if one.kind == "amplifier" else one for one in changes
                )
                self.whole += 1
                after = assess(self._case(changes), drawn=False)
        except (CannotAssess, ValueError):
            return
        missed = _still_too_strong(changes, after) or _slope_missed(changes, after) or self._spared_by_the_load(after)
        missed |= any(_brings_no_more((changes, after), one) for one in self._alike(changes))
        if after.verdict.word in self.wanted and not after.found_range.empty and not missed:
            self.found.append((changes, after))

    def _spared_by_the_load(self, after: Assessment) -> bool:
        """True where the low driver got too hot and would be spared by nothing but a load pulled down a class: the amplifier stays the same one."""
        if "low_heat" not in self._blocking or after.network is None or after.crossover_hz is None:
            return False
        built = AsBuilt(self._foresight.model_of(after.case), after.crossover_hz, after.network)
        return self._foresight.bars(heat_at_own_load(built))

    def _too_strong(self, changes: Changes, after: Assessment) -> bool:
        """True where nothing but the heat of another amplifier stands in the way of several changes: it was meant for the drivers as they were."""
        if len(changes) < 2 or all(one.kind != "amplifier" for one in changes):
            return False
        hot = {check.id for check in after.checks if self._foresight.bars(check) or _asks_for_weaker(check)}
        return bool(hot) and hot <= {"heat", "low_heat"}

    def remedies(self) -> tuple[Remedy, ...]:
        """What was found, ordered by how little it changes, bass that goes among that."""
        order = sorted(
            self.found,
            key=lambda one: (len(one[0]), _effort(one[0]) + octaves_less(self.before, one[1]), one[1].price or 0.0),
        )
        return tuple(_remedy(self.before, *one) for one in order[:TOLD])

    def note(self) -> str:
        """What is to be said of what was found, or of nothing found."""
        works = self.before.verdict.word != "not suitable"
        if self.found:
            undecided = any(after.verdict.word == "undecided" for _, after in self.found)
            still = (
                "Undecided: nothing fails any more, and what is not known has to be known first. " if undecided else ""
            )
            return f"{still}Each was assessed as a whole, with a network of its own."
        yes = "makes it a plain yes" if works else "makes it work"
        first = " What is not known of it would have to be known first." if self.unknown else ""
        if self.left_out:
            return f"None of the changes that were assessed {yes}; not every one was.{first}"
        longer = "frames fit" in self._blocking and longer_boxes(self.before, self.catalogue)
        room = " In a vehicle much longer boxes were not tried." if longer else ""
        return f"Nothing in this workbook {yes}: no single change of it, nor any two.{room}{first}"


def _brings_no_more(one: tuple[Changes, Assessment], other: tuple[Changes, Assessment]) -> bool:
    """Whether what was found is further from the pairing as it is than another way of its kinds, has a worse verdict and no more bass."""
    (changes, after), (nearer, better) = one, other
    worse = BEST_FIRST.index(after.verdict.word) - BEST_FIRST.index(better.verdict.word)
    driverless = not _drivers(changes) and worse >= 0
    return driverless or (worse > 0 and _effort(changes) >= _effort(nearer) and not octaves_less(after, better))


def _still_too_strong(changes: Changes, after: Assessment) -> bool:
    """True where another amplifier is named beside the condition to use a weaker one."""
    changed = any(change.kind == "amplifier" for change in changes)
    return changed and any(map(_asks_for_weaker, after.checks))


def _slope_missed(changes: Changes, after: Assessment) -> bool:
    """True where a steeper slope is named whose network does not make it."""
    missed = any(check.id == "slopes" and check.outcome == "marginal" for check in after.checks)
    return missed and any(change.kind == "slope" for change in changes)


def _asks_for_weaker(check: checks.Check) -> bool:
    return check.id == "low_heat" and bool(check.condition)


def _kinds(changes: Changes) -> tuple[str, ...]:
    return tuple(sorted(change.kind for change in changes))


def _drivers(changes: Changes) -> tuple[str, ...]:
    """Which other drivers a set of changes brings in."""
    return tuple(change.text for change in changes if change.kind in DRIVERS)


def _touches(change: Change, check: str, gaps: set[str]) -> bool:
    return check not in UNTOUCHED[change.kind] and (check not in gaps or change.kind in FILLS_GAPS)


def quick_word(case: Case) -> str:
    """The verdict that a case would have if its network came out perfect: limits, and the checks that need none."""
    try:
        setting = Setting(case)
        limits, bounds = before_a_network(all_limits(setting))
        at = case.pairing.crossover_hz or best_crossover_hz(bounds)
        if at is None:
            return "undecided"
        found = checks.all_checks(AsBuilt(Model(setting), at), limits, (*STILL, checks.directivity_step))
        return judge(found, bounds).word
    except (CannotAssess, ValueError):
        return "undecided"


def _remedy(before: Assessment, changes: Changes, after: Assessment) -> Remedy:
    found = after.found_range
    texts = tuple(change.text for change in changes)
    low, high = (f"{hz:.0f}" if hz is not None else "open" for hz in (found.low_hz, found.high_hz))
    text = (
        f"{' and '.join(texts)}: {after.verdict.word}; range {low} to {high} Hz, crossover {after.crossover_hz:.0f} Hz"
    )
    word = after.verdict.word
    told = (
        []
        if word == "suitable"
        else [f"{'Still open' if word == 'undecided' else 'Condition'}: {after.verdict.reason}"]
    )
    said = {check.title for check in after.checks if after.verdict.reason in (check.condition, check.text)}
    near = [title for title, _ in after.verdict.marginals if title not in said] if word in YES else []
    if near:
        more = f" and {len(near) - NEAR_TOLD} more" if len(near) > NEAR_TOLD else ""
        told.append(f"Near a limit: {'; '.join(near[:NEAR_TOLD])}{more}.")
    if bass := less_bass(before, after):
        told.append(f"{bass[0].upper()}{bass[1:]}.")
    if after.price is not None and not with_network(after.figures):
        told.append("The price is without the network.")
    condition = " ".join(told)
    text = f"{text[0].upper()}{text[1:]}{_cost(before, after)}. {condition}".rstrip()
    range_hz = (found.low_hz, found.high_hz)
    return Remedy(texts, after.verdict.word, range_hz, after.crossover_hz, after.price, text, condition)


def _cost(before: Assessment, after: Assessment) -> str:
    if after.price is None:
        return "; price unknown"
    currency, coins = after.case.maker.currency, decimals_of(after.case.maker.currency)
    told = f"; {after.price:.{coins}f} {currency}"
    if before.price is None:
        return told
    alike = with_network(before.figures) == with_network(after.figures)
    now, was = (one.price if alike else cost_of(drivers_of(one.case)) for one in (after, before))
    more = (now or 0.0) - (was or 0.0)
    step = f"{abs(more):.{coins}f} {'more' if more > 0 else 'less'}" if round(more, coins) else "the same"
    return f"{told}, {step}" if alike else f"{told}, its drivers {step}"
