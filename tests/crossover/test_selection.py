"""The discrete search against every combination worked out one by one."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from reportgen.acoustics.slopes import SLOPES, high_pass, low_pass, polarity
from reportgen.crossover import selection
from reportgen.crossover.bundle import Losses
from reportgen.crossover.fitting import BranchTask, Fitted, Heard, target_weight
from reportgen.crossover.joint import JointFit, JointTask, joint_square
from reportgen.crossover.networks import Component, input_impedance, transfer, with_components
from reportgen.crossover.parts import PartOffer, preferred_values, stock_candidates, used_ids
from reportgen.crossover.reached import Bench
from reportgen.crossover.rounds import in_step
from reportgen.crossover.selection import best_first, pieces_of, price_of, select, shop_of
from reportgen.crossover.sides import DesignOptions, Side, Wanted
from reportgen.crossover.topologies import handbook_high, handbook_low
from reportgen.crossover.voicing import Voicing

FC = 3000.0
F = np.geomspace(FC / 4, FC * 4, 49)


def task(shape, ohm):
    return BranchTask(
        F, np.full(49, ohm + 0j), slice(0, 49), np.full(49, 0.5 + 0j), shape, 20 * np.log10(0.5 / 2e-5),
        target_weight(shape), 0.5, Losses(0.0, 0.5, 0.0), {},
    )  # fmt: skip


def does(branch, side):
    """A branch worked out without the fitting room: half a pascal at the driver's terminals, one over the load."""
    return Heard(0.5 * transfer(branch, side.load_ohm, F), 1.0 / input_impedance(branch, side.load_ohm, F))


LEVEL = 20 * np.log10(0.5 / 2e-5)
LOOSE = Wanted(99.0, 99.0, 99.0, 99.0, 0.0, 0.1)
"""Nothing is missed, so that error, pieces and money alone decide."""


def case(ohm, name="BW2"):
    slope = SLOPES[name]
    sign = polarity(slope)
    shapes = low_pass(slope, F, FC), high_pass(slope, F, FC)
    joint = JointTask(*(task(s, ohm) for s in shapes), sign, sign, 0.5, slice(12, 37), np.full(49, 1 / 49), False)
    fits = [
        Fitted(branch, branch.values, branch.resistances_ohm, does(branch, side), 0.0, 0.0)
        for branch, side in ((handbook_low(slope, ohm, FC), joint.low), (handbook_high(slope, ohm, FC), joint.high))
    ]
    return joint, fits


def chosen_of(fits, choices, joint, *, stock=(), **options):
    """What the search takes; money counts for nothing unless given."""
    side = Side(F, np.full(49, 0.5 + 0j), joint.low.load_ohm)
    bench = Bench(side, side, SLOPES["BW2"], FC, Voicing(FC / 4, FC * 4))
    fit = JointFit(fits[0], fits[1], joint.sign, 0.0, 0.0, 0.0, 0.0)
    policy = "stock" if stock else "any"
    wanted = {"wanted": LOOSE, "money_a_db": 1e9, "pieces_a_db": 1e9, **options}
    return select([fit], [tuple(choices)], joint, bench, shop_of(DesignOptions(policy, tuple(stock), **wanted)))[0]


def nearest(component, series, count):
    values = preferred_values(series, component.value / 3, component.value * 3)
    order = np.argsort(np.abs(np.log(values / component.value)))[:count]
    return [Component(component.kind, float(v), price=1.0 + i) for i, v in enumerate(values[order])]


def brute_force(joint, fits, choices):
    """Every combination, one call each; returns the smallest error and its parts."""
    best = (np.inf, ())
    for parts in product(*choices[0], *choices[1]):
        n = len(choices[0])
        low = does(with_components(fits[0].branch, parts[:n]), joint.low)
        high = does(with_components(fits[1].branch, parts[n:]), joint.high)
        error = float(joint_square(joint, low, high, 0.0)) ** 0.5
        best = min(best, (error, parts), key=lambda found: found[0])
    return best


@pytest.fixture(autouse=True)
def no_room(monkeypatch):
    """Error, pieces and money alone decide here; room for tolerances is held against its own test."""
    monkeypatch.setattr(selection, "ROOM_SHARE", 0.0)


@pytest.mark.parametrize(("name", "ohm"), [("BW2", 3.7), ("BW2", 7.0), ("BW3", 4.0), ("BW3", 6.0), ("BW3", 7.0)])
def test_the_search_finds_what_trying_everything_finds(name, ohm):
    joint, fits = case(ohm, name)
    choices = [[nearest(c, "E6", 3) for c in fit.branch.components] for fit in fits]
    error, parts = brute_force(joint, fits, choices)
    chosen = chosen_of(fits, choices, joint)
    assert chosen.rms_db == pytest.approx(error, abs=1e-5)  # single precision
    assert chosen.components == parts


def test_the_search_beats_rounding_each_part_alone():
    """Over many resistances: never worse than rounding, and better for a good part of them."""
    gains = []
    for ohm in (4.0, 6.0, 7.0, 8.0):
        joint, fits = case(ohm, "LR4")
        choices = [[nearest(c, "E6", 5) for c in fit.branch.components] for fit in fits]
        rounded = [
            does(with_components(f.branch, tuple(c[0] for c in ch)), joint.low)
            for f, ch in zip(fits, choices, strict=True)
        ]
        alone = float(joint_square(joint, *rounded, 0.0)) ** 0.5
        gains.append(alone - chosen_of(fits, choices, joint).rms_db)
    assert min(gains) > -1e-5
    assert np.count_nonzero(np.array(gains) > 0.1) >= 2


def test_no_offer_is_used_more_often_than_it_is_at_hand():
    joint, fits = case(8.0)
    shelf = [PartOffer("only", "C", 4.7e-6, price=1.0, stock=1), PartOffer("other", "C", 5.6e-6, price=1.0, stock=5)]
    coils = [PartOffer("coil", "L", 0.6e-3, price=1.0, stock=5)]
    choices = [[stock_candidates((*shelf, *coils), c) for c in fit.branch.components] for fit in fits]
    chosen = chosen_of(fits, choices, joint, stock=(*shelf, *coils))
    assert sorted(one for c in chosen.components for one in used_ids(c)) == ["coil", "coil", "only", "other"]
    assert chosen.within_stock


def test_an_empty_shelf_is_admitted():
    joint, fits = case(8.0)
    shelf = [PartOffer("only", "C", 4.7e-6, stock=1), PartOffer("coil", "L", 0.6e-3, stock=1)]
    choices = [[stock_candidates(shelf, c, pairs=0) for c in fit.branch.components] for fit in fits]
    assert not chosen_of(fits, choices, joint, stock=shelf).within_stock


def test_money_and_pieces_are_weighed_against_decibels():
    """A part 12 % off that saves 6 units: taken where a decibel is worth 30, left where it is worth 1000."""
    joint, fits = case(8.0)
    choices = [
        [
            [Component(c.kind, c.value, price=7.0), Component(c.kind, c.value * 1.12, price=1.0)]
            for c in f.branch.components
        ]
        for f in fits
    ]
    thrifty, proud = (chosen_of(fits, choices, joint, money_a_db=worth) for worth in (3.0, 1000.0))
    assert price_of(thrifty.components) == 4.0 and price_of(proud.components) == 28.0
    assert proud.rms_db < thrifty.rms_db
    shop = shop_of(DesignOptions("any", (PartOffer("a", "R", 1.0, price=2.0),), money_a_db=10.0, pieces_a_db=5.0))
    priced, unpriced = Component("R", 1.0, price=2.0), Component("R", 1.1)
    assert shop.cost_db((priced,)) == pytest.approx(0.4)  # a fifth for the piece, a fifth for the money
    assert shop.cost_db((unpriced,)) == pytest.approx(0.4 + selection.UNPRICED_DB)
    assert shop.cost_db((Component("C", 1e-6),)) == pytest.approx(0.2)  # nobody states what its kind costs
    pair = Component("C", fits[0].branch.components[1].value, made_of=(1e-6, 1e-6), made_of_ids=("a", "b"))
    assert pieces_of((pair, *proud.components)) == 6


def test_what_is_wanted_comes_before_error_and_price():
    """A coil 25 % small misses the sum's bound; it is not taken however cheap."""
    joint, fits = case(8.0)
    choices = [
        [
            [Component(c.kind, c.value, price=50.0), Component(c.kind, c.value * 0.6, price=1.0)]
            for c in f.branch.components
        ]
        for f in fits
    ]
    wanted = Wanted(0.5, 99.0, 99.0, 99.0, 0.0, 0.1)
    assert chosen_of(fits, choices, joint, money_a_db=1.0).missed == 0.0
    strict = chosen_of(fits, choices, joint, money_a_db=1.0, wanted=wanted)
    assert strict.missed == 0.0 and price_of(strict.components) == 200.0


def test_room_for_tolerances_is_worth_an_error(monkeypatch):
    """With a high price on what the sum strays beyond 1 dB the choice strays less, and errs more or as much."""
    joint, fits = case(7.0)
    choices = [[nearest(c, "E6", 3) for c in fit.branch.components] for fit in fits]
    plain = chosen_of(fits, choices, joint)
    monkeypatch.setattr(selection, "ROOM_SHARE", 50.0)
    roomy = chosen_of(fits, choices, joint)
    assert roomy.rms_db >= plain.rms_db

    def strays(chosen):
        heard = [does(branch, side) for branch, side in ((chosen.low, joint.low), (chosen.high, joint.high))]
        total = np.abs(heard[0].pressure + joint.sign * heard[1].pressure)
        near = np.abs(np.log2(F / FC)) <= 1.0001
        return np.max(np.abs(20 * np.log10(total[near] / joint.sum_goal[near])))

    assert strays(roomy) <= strays(plain) + 1e-9


def searched(search, objective):
    """What one search comes to that is told the errors of an objective."""
    return in_step([search], lambda asked: {place: objective(states) for place, states in asked.items()})[0]


def test_fits_that_are_searched_together_come_to_what_each_comes_to_alone():
    """Searches in step, of other forms, polarities and level shifts, share one call a round and nothing else."""
    cases = [case(ohm, name) for ohm, name in ((4.0, "BW3"), (8.0, "BW2"), (6.0, "LR4"))]
    joint = replace(cases[0][0], sign=1)
    shifts = (0.0, -1.5, 0.7)
    fits = [
        JointFit(*own, sign, shift, 0.0, 0.0, 0.0)
        for (_, own), sign, shift in zip(cases, (1, -1, 1), shifts, strict=True)
    ]
    choices = [tuple([nearest(c, "E6", 3) for c in fit.branch.components] for fit in own) for _, own in cases]
    side = Side(F, np.full(49, 0.5 + 0j), joint.low.load_ohm)
    bench = Bench(side, side, SLOPES["BW2"], FC, Voicing(FC / 4, FC * 4))
    shop = shop_of(DesignOptions("any", wanted=LOOSE, money_a_db=1e9, pieces_a_db=1e9))
    together = select(fits, choices, joint, bench, shop)
    alone = [select([fit], [own], joint, bench, shop)[0] for fit, own in zip(fits, choices, strict=True)]
    assert [one.components for one in together] == [one.components for one in alone]
    for fit, shift, one in zip(fits, shifts, together, strict=True):
        heard = [does(branch, side) for branch, side in ((one.low, joint.low), (one.high, joint.high))]
        exact = float(joint_square(replace(joint, sign=fit.sign), *heard, shift)) ** 0.5
        assert one.rms_db == pytest.approx(exact, abs=1e-4)


def test_best_first_leaves_a_local_minimum():
    """A valley that only two changes at once can cross, and a longer way that single steps must walk."""
    costs = {(0, 0, 0): 1.0, (1, 1, 0): 0.5, (1, 1, 2): 0.1}

    def objective(states):
        return np.array([costs.get(tuple(s), 2.0 + sum(s)) for s in states])

    assert searched(best_first([3, 3, 3]), objective)[0] == (1, 1, 2)


def test_two_changes_at_once_are_tried_from_the_start():
    """Each change alone makes it worse; both together are better: seen in the very first expansion."""

    def objective(states):
        return np.array([0.2 if tuple(s) == (0, 1, 0, 2, 0) else 1.0 + sum(s) for s in states])

    assert searched(best_first([4] * 5, expansions=1), objective)[0] == (0, 1, 0, 2, 0)


def test_the_search_of_one_branch_counts_money_too():
    """Of thirty capacitors, each 1 % further off, all at 60 but the twentieth at 10: beyond the best fourteen by error, and taken."""
    joint, fits = case(8.0)
    choices = [[[Component(c.kind, c.value, price=1.0)] for c in f.branch.components] for f in fits]
    high = fits[1].branch.components
    at = next(k for k, c in enumerate(high) if c.kind == "C")
    choices[1][at] = [Component("C", high[at].value * 1.01**k, price=10.0 if k == 20 else 60.0) for k in range(30)]
    thrifty, proud = (chosen_of(fits, choices, joint, money_a_db=worth) for worth in (3.0, 1e6))
    assert [one.components[2 + at].price for one in (thrifty, proud)] == [10.0, 60.0]
    assert proud.components[2 + at].value == pytest.approx(high[at].value)


@pytest.mark.parametrize("shift_db", [0.0, 2.0, -3.0])
def test_what_is_missed_is_told_from_the_shifted_target(shift_db):
    """Free values: the sum stands at its target; against one so many dB off it strays by as much, of 1.5 dB a share of it."""
    joint, fits = case(8.0)
    choices = tuple([[Component(c.kind, c.value)] for c in f.branch.components] for f in fits)
    side = Side(F, np.full(49, 0.5 + 0j), joint.low.load_ohm)
    bench = Bench(side, side, SLOPES["BW2"], FC, Voicing(FC / 4, FC * 4))
    shop = shop_of(DesignOptions("any", wanted=replace(LOOSE, worst_db=1.5), money_a_db=1e9, pieces_a_db=1e9))
    fit = JointFit(*fits, joint.sign, shift_db, 0.0, 0.0, 0.0)
    (found,) = select([fit], [choices], joint, bench, shop)
    assert found.missed == pytest.approx(max(abs(shift_db) / 1.5 - 1.0, 0.0), abs=2e-3)


@pytest.mark.parametrize(("used", "stock", "holds"), [
    (("a", "b"), {}, True), (("a", "a"), {"a": 2}, True), (("a", "a"), {"a": 1}, False), (("a", "b"), {"a": 1}, True), (("a",), {"a": 0}, False),
    ((None, None), {"a": 0}, True), (("a", "b", "b"), {"a": 9, "b": 1}, False),
])  # fmt: skip
def test_what_nobody_counted_is_enough(used, stock, holds):
    parts = [Component("C", 1e-6, part_id=id_) for id_ in used]
    assert selection._within_stock(parts, stock) is holds


@pytest.mark.parametrize(
    ("allowed", "chosen", "within"), [("abcd", "b", True), ("acd", "d", True), ("a", "a", True), ("", "b", False)]
)
def test_the_least_miss_then_the_least_worth_of_what_the_shelf_allows(allowed, chosen, within):
    """Four networks: a misses by 0.3, the others alike; of these b is worth least, then d, then c. None allowed: b all the same."""
    joint, fits = case(8.0)
    names = "abcd"
    parts = [
        [Component(c.kind, c.value, part_id=f"{name}{k}") for name in names]
        for k, c in enumerate(fits[0].branch.components)
    ]
    rest = [[Component(c.kind, c.value)] for c in fits[1].branch.components]
    shop = shop_of(DesignOptions())
    sides = (
        selection._side(fits[0].branch, joint.low, parts, shop),
        selection._side(fits[1].branch, joint.high, rest, shop),
    )
    found = [(k, k) for k in range(4)], [(0, 0)]
    error, worth = np.array([[[0.1], [0.4], [0.3], [0.2]]]), np.array([[[0.0], [1.0], [3.0], [2.0]]])
    missed = np.array([[[0.3], [0.0012], [0.0], [0.001]]])
    stock = {f"{name}0": int(name in allowed) for name in names}
    made = selection._best(sides, found, np.full((1, 1, 1), -0.5), error, error / 2, worth, missed, stock)
    at = (0, names.index(chosen), 0)
    assert (made.low.components[0].part_id, made.within_stock) == (f"{chosen}0", within)
    assert (made.rms_db, made.heard_db, made.missed) == (error[at], error[at] / 2, missed[at])
    assert made.shift_db == -0.5


@pytest.mark.parametrize(
    ("nulled", "null_db", "missed"), [(False, 1000.0, False), (True, 1000.0, True), (True, 3.0, False)]
)
def test_a_null_is_asked_for_where_the_slope_has_one(nulled, null_db, missed):
    """LR2 reversed, at its handbook values: a null of tens of dB, deeper than 3 and not as deep as 1000."""
    joint, fits = case(8.0, "LR2")
    joint = replace(joint, nulled=nulled)
    choices = [[[Component(c.kind, c.value)] for c in f.branch.components] for f in fits]
    side = Side(F, np.full(49, 0.5 + 0j), joint.low.load_ohm)
    bench = Bench(side, side, SLOPES["LR2"], FC, Voicing(FC / 4, FC * 4))
    shop = shop_of(DesignOptions("any", wanted=replace(LOOSE, null_db=null_db)))
    (found,) = select([JointFit(*fits, joint.sign, 0.0, 0.0, 0.0, 0.0)], [tuple(choices)], joint, bench, shop)
    assert (found.missed > 0.0) is missed


def test_what_is_heard_leaves_out_what_the_load_falls_short_of() -> None:
    """LR2 at its handbook values, asked for less than the least load that it has, and for a hundred times what it has."""
    joint, fits = case(8.0, "LR2")
    choices = [[[Component(c.kind, c.value)] for c in f.branch.components] for f in fits]
    side = Side(F, np.full(49, 0.5 + 0j), joint.low.load_ohm)
    bench = Bench(side, side, SLOPES["LR2"], FC, Voicing(FC / 4, FC * 4))
    at_rest, short = (
        select([JointFit(*fits, joint.sign, 0.0, 0.0, 0.0, 0.0)], [tuple(choices)], one, bench, shop_of(DesignOptions("any")))[0]
        for one in (replace(joint, floor_ohm=0.08), replace(joint, floor_ohm=800.0))
    )  # fmt: skip
    assert at_rest.rms_db == pytest.approx(at_rest.heard_db, abs=1e-6)
    assert short.heard_db == pytest.approx(at_rest.heard_db, abs=1e-6) and short.rms_db > at_rest.rms_db + 40.0


def test_neighbours_differ_in_one_place_and_around_the_start_in_two_of_their_nearest() -> None:
    """Six values for one place and five for the other: 5 + 4 that differ in one, and 3 x 3 that take the next three of both."""
    once = [(0, k) for k in (1, 2, 3, 4)] + [(i, 0) for i in (1, 2, 3, 4, 5)]
    twice = [(i, k) for i in (1, 2, 3) for k in (1, 2, 3)]
    assert selection._neighbours((0, 0), (6, 5), twice=False) == sorted(once)
    assert selection._neighbours((0, 0), (6, 5), twice=True) == sorted(once + twice)
    assert selection._neighbours((2, 1), (3, 2), twice=False) == [(0, 1), (1, 1), (2, 0)]


@pytest.mark.parametrize(
    ("moved_db", "shift_db", "missed"), [((0.0,), 0.0, True), ((0.0, 0.5, -1.0, 1.0), -1.0, False), ((-0.8, 2.0), -0.8, False)]
)  # fmt: skip
def test_a_network_is_held_against_the_level_at_which_it_misses_least(moved_db, shift_db, missed):
    """By hand: a network whose sum is flat and 1 dB too quiet misses a limit of 0.3 dB, and none when it is held 1 dB lower."""
    joint, fits = case(8.0, "LR2")
    choices = [[[Component(c.kind, c.value)] for c in f.branch.components] for f in fits]
    side = Side(F, np.full(49, 0.5 * 10 ** (-1.0 / 20) + 0j), joint.low.load_ohm)
    bench = Bench(side, side, SLOPES["LR2"], FC, Voicing(FC / 4, FC * 4))
    shop = shop_of(DesignOptions(wanted=replace(LOOSE, third_db=0.3)))
    fit = JointFit(*fits, joint.sign, 0.0, 0.0, 0.0, 0.0)
    (found,) = select([fit], [tuple(choices)], joint, bench, shop, moved_db)
    assert found.shift_db == pytest.approx(shift_db)
    assert (found.missed > 0.0) is missed
