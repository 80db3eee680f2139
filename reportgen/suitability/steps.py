"""Which network of a pairing is built: the smallest that passes every check, else the one with the best verdict.

Knows how the checks rank networks and how the policies for parts include one another. Refuses to know how a network is
found and what a check asks.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from reportgen.crossover.networks import rated_impedance
from reportgen.crossover.synthesis import Step
from reportgen.pairing.as_built import AsBuilt, built_with
from reportgen.pairing.network import Networks
from reportgen.pairing.response import Model
from reportgen.suitability.checks import Check, Outcome, all_checks, data_complete, low_heat
from reportgen.suitability.limits import Limit

WIDER = ("stock", "preferred", "any")
"""The policies for parts, each with all that the ones before it allow."""

SAME_MISS = 0.02
"""Networks that miss what is wanted by shares that differ less are told apart by their pieces (no source)."""

OF_ONE_NETWORK = frozenset(("heat", "part stress", "parts stock"))
"""Checks that lack a figure of the parts of one network, or one that another network may do without."""

Standing = tuple[int, int, int]


@dataclass(frozen=True)
class Candidate:
    """One network beside the checks on it; `alike` are those that come out the same for every network."""

    built: AsBuilt
    checks: tuple[Check, ...]
    alike: frozenset[str] = frozenset()

    @cached_property
    def standing(self) -> Standing:
        """How it stands, the lower the better: fails, essential gaps, marginals; in this order they make the verdict.

        A marginal that asks something of the builder counts twice.
        """
        outcomes = [check.outcome for check in self.ranked]
        asked = sum(bool(check.condition) for check in self.ranked if check.outcome == "marginal")
        gaps = [check for check in self.ranked if check.outcome == "not assessed" and check.judged]
        essential = sum(gap.essential for gap in gaps)
        return outcomes.count("fail"), essential, outcomes.count("marginal") + asked + len(gaps) - essential

    @cached_property
    def ranked(self) -> tuple[Check, ...]:
        """The checks by which networks are told apart: a heat that is no matter of the network does not count.

        The amplifier's power into a lower rated impedance is a lower voltage: a network that pulls the load down a class
        would seem to spare the low driver. So its heat is taken at the voltage that the low driver's own load allows, and a
        step of the ladder that is not built tells it so: else one that was passed over would fail less than the one that is built.
        """
        if self.built.network is None:
            return self.checks
        return (*(check for check in self.checks if check.id != "low_heat"), heat_at_own_load(self.built))

    @property
    def pieces(self) -> int:
        """Pieces as bought."""
        return self.built.network.design.pieces if self.built.network else 0

    @property
    def missed(self) -> float:
        """By how much it misses what is wanted of a network."""
        return self.built.network.design.missed if self.built.network else 0.0

    @property
    def price(self) -> float | None:
        """Price of the network; None where a piece has none."""
        return self.built.network.parts_price if self.built.network else None

    @property
    def error_db(self) -> float:
        """Its error as it was fitted."""
        return self.built.network.design.error_db if self.built.network else 0.0

    @cached_property
    def rank(self) -> tuple[int, int, Standing, int, int, float]:
        """The lowest is built: the verdict decides, then what is missed where a check on it says so, pieces and price.

        Of those that fail alike, one that fails by nothing but the load it pulls down goes first.
        """
        price = float("inf") if self.price is None else self.price
        missed = round(self.missed / SAME_MISS) if self.wanting else 0
        others = sum(check.outcome == "fail" and check.id != "low_heat" for check in self.checks)
        return self.standing[0], others, self.standing, missed, self.pieces, price

    @cached_property
    def wanting(self) -> tuple[Check, ...]:
        """The checks on the network itself that do not pass."""
        found = (check for check in self.ranked if check.id not in self.alike and check.outcome != "pass")
        return tuple(check for check in found if not lacks_a_figure(check, self.built))


def heat_at_own_load(built: AsBuilt) -> Check:
    """The heat of the low driver at the voltage that its own load allows, where the network pulls the load down a class of ratings."""
    own_ohm = rated_impedance(built.model.low_side.least_ohm) or 0.0
    pulled_ohm = built.network.electrical.rated_ohm if built.network else 0.0
    return low_heat(built, max(own_ohm / (pulled_ohm or math.inf), 1.0))


def lacks_a_figure(check: Check, built: AsBuilt) -> bool:
    """True where a figure is missing that is missing with any network, at any frequency."""
    if check.outcome != "not assessed" or not check.missing or check.id in OF_ONE_NETWORK:
        return False
    return check.id != "data complete" or data_complete(built.bare or built) is not None


def chosen(model: Model, crossover_hz: float, limits: Sequence[Limit]) -> Candidate:
    """The network that is built, with its checks and its ladder.

    A policy tries the networks of a narrower one as well where its own all leave something to wish, so that a wider choice
    of parts never gives a worse verdict. `most_parts` of the pairing picks the best-sounding step of at most so many pieces.
    """
    pairing = model.setting.case.pairing
    networks, found = Networks(model, crossover_hz), list[Candidate]()
    bare = AsBuilt(model, crossover_hz, None, "no network")
    leaning = {limit.id for limit in limits if not limit.wall}  # they are as good as what the network makes of them
    alike = frozenset(
        check.id for check in all_checks(bare, limits) if check.outcome != "not assessed" and check.id not in leaning
    )
    for policy in reversed(WIDER[: WIDER.index(pairing.parts_policy) + 1]):
        found += [Candidate(one, all_checks(one, limits), alike) for one in built_with(bare, networks, policy)]
        if _spotless(found):
            break
    steps = ladder_of(found)
    within = [one for one in steps if pairing.most_parts is None or one.pieces <= pairing.most_parts] or steps[:1]
    if pairing.most_parts is None:
        best = min(within, key=lambda one: one.rank)
    else:
        best = min(within, key=lambda one: (one.standing, -one.pieces))
    return _built(best, steps)


def _spotless(found: Iterable[Candidate]) -> bool:
    """Whether no check that leans on the network leaves anything to wish, for one of them."""
    return any(one.built.network is not None and not one.wanting for one in found)


def ladder_of(found: Sequence[Candidate]) -> list[Candidate]:
    """From fewest pieces to most, the best of each number, each bringing something over the smaller ones.

    Of two that stand alike, of which the one of more pieces is the cheaper, only the better-sounding one stays: so price
    and pieces rise together.
    """
    best: dict[int, Candidate] = {}
    for one in sorted(found, key=lambda one: (one.standing, one.missed, one.error_db)):
        best.setdefault(one.pieces, one)
    steps: list[Candidate] = []
    for one in (best[count] for count in sorted(best)):
        dearer = [less for less in steps if less.standing == one.standing and _cheaper(one, less)]
        if any(less.error_db < one.error_db for less in dearer):
            continue
        steps = [less for less in steps if less not in dearer]
        if all(one.standing < less.standing or one.error_db < less.error_db for less in steps):
            steps.append(one)
    return steps


def _cheaper(one: Candidate, other: Candidate) -> bool:
    return one.price is not None and other.price is not None and one.price < other.price


def _built(best: Candidate, steps: Sequence[Candidate]) -> Candidate:
    """The candidate with the ladder it stands in."""
    network = best.built.network
    if network is None:
        return best
    rungs = tuple(_step(one, one is best) for one in steps)
    laddered = replace(network, design=replace(network.design, ladder=rungs))
    return Candidate(replace(best.built, network=laddered), best.checks)


def _step(one: Candidate, is_chosen: bool) -> Step:
    network = one.built.network
    assert network is not None  # a ladder has networks only
    design, checks = network.design, one.checks if is_chosen else one.ranked

    def titled(outcome: Outcome) -> tuple[str, ...]:
        return tuple(check.title for check in checks if check.outcome == outcome and check.judged)

    return Step(
        pieces=design.pieces,
        price=network.parts_price,
        rms_db=design.sum_rms_db,
        worst_db=design.sum_worst_db,
        null_db=design.null_db,
        least_ohm=network.electrical.minimum_ohm,
        good_share=network.spread.good_share,
        evenness_db=design.evenness_db,
        balance_db=design.balance_db,
        failed=titled("fail"),
        marginal=titled("marginal"),
        chosen=is_chosen,
        unassessed=titled("not assessed"),
        asking=tuple(check.title for check in checks if check.outcome == "marginal" and check.condition),
    )


def by_the_checks(step: Step) -> str:
    """What keeps a step of the ladder from passing: its fails, else what is near a limit, what asks something of the builder, and what nobody knows."""
    if step.failed:
        told = {"fails": step.failed}
    else:
        near = tuple(title for title in step.marginal if title not in step.asking)
        told = {"near": near, "on a condition": step.asking, "not assessed": step.unassessed}
    return " – ".join(f"{word}: {'; '.join(titles)}" for word, titles in told.items() if titles) or "passes"
