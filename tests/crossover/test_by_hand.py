"""Figures of parts and networks that a builder would feel, each worked out by hand beside its test."""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from reportgen.acoustics.slopes import SLOPES, low_pass
from reportgen.crossover import equivalents, forms, joint, pairs, reasons, selection, synthesis
from reportgen.crossover.bundle import Bundle, Losses
from reportgen.crossover.fitting import BranchTask, Heard, as_they_stand, joined, limits_of, target_weight
from reportgen.crossover.forms import undoubled
from reportgen.crossover.loads import DriverLoad, fit_driver_load
from reportgen.crossover.networks import Branch, Component, across, amplifier_load, in_path
from reportgen.crossover.parts import PartOffer, offered_at, stated_or_usual, stock_candidates, stock_limits
from reportgen.crossover.reached import Bench
from reportgen.crossover.selection import pieces_of, price_of, shop_of
from reportgen.crossover.sides import DesignOptions, Side, figures_of
from reportgen.crossover.spread import within
from reportgen.crossover.stress import Margins, Programme, branch_stress
from reportgen.crossover.synthesis import _candidates, explored, ladder, levels_of
from reportgen.crossover.topologies import hardly_there, notch, windows_of
from reportgen.crossover.voicing import PLAIN, Voicing
from tests.every import every

F = np.geomspace(20.0, 20_000.0, 241)
PINK = Programme(np.asarray(31.5 * 2.0 ** np.arange(10.0), dtype=np.float64), np.zeros(10))

# --- ratings ----------------------------------------------------------------------------------------------------------


@every(
    ("amperes", "sold"),
    [(0.7, 1.0), (1.1, 1.5), (1.5, 2.0), (2.3, 3.0), (3.1, 4.0), (3.9, 5.0), (5.5, 7.0), (7.9, 10.0), (11.9, 15.0), (15.9, 20.0), (23.9, 30.0), (24.1, None)],
)  # fmt: skip # a quarter more than the rms current; 1, 1.5, 2, 3, 4, 5, 7, 10, 15, 20 and 30 A are sold (common practice, no source)
def test_a_coil_is_bought_for_a_quarter_more_than_its_current(amperes: float, sold: float | None) -> None:
    branch = Branch((in_path(Component("L", 1e-9)),))
    (part,) = branch_stress(branch, np.full(F.size, 4.0), F, PINK, 4.0 * amperes)
    assert part.current_rms == pytest.approx(amperes, rel=1e-3)
    assert (part.rating_to_buy, part.unit) == (sold, "A")


def test_usual_margins_and_a_rating_that_is_just_enough() -> None:
    """1.25 for volts and amperes, 2 for watts; what states just what is needed is not too weak."""
    assert (Margins().voltage, Margins().current, Margins().power) == (1.25, 1.25, 2.0)
    branch = Branch((in_path(Component("R", 4.0, rating=50.0, rating_unit="W")),))
    (part,) = branch_stress(branch, np.full(F.size, 4.0), F, PINK, 20.0, Margins(power=1.9999))
    assert part.needed == pytest.approx(49.9975) and part.underrated is False


# --- the shelf --------------------------------------------------------------------------------------------------------


def offer(name: str, value: float, price: float | None = None, stock: int | None = None, kind: Any = "C") -> PartOffer:
    return PartOffer(name, kind, value, price=price, stock=stock)


def test_of_offers_of_one_value_the_cheapest_is_taken() -> None:
    """Values within a thousandth are the same; one without a price is the last choice."""
    place = Component("C", 1e-5, role="series capacitor")
    offers = [offer("none", 1e-5), offer("dear", 1e-5, 4.0), offer("cheap", 1.0009e-5, 2.5), offer("other", 1.002e-5, 0.1), offer("coil", 1e-5, 0.1, kind="L")]  # fmt: skip
    found = offered_at(offers, place)
    assert found is not None and (found.part_id, found.price, found.role) == ("cheap", 2.5, "series capacitor")
    unpriced = offered_at(offers[:1], place)
    assert unpriced is not None and unpriced.part_id == "none" and offered_at(offers[3:], place) is None


def test_how_far_a_shelf_reaches() -> None:
    """Two of the smallest capacitor in series make half of it, two of the largest side by side twice; coils stand alone."""
    capacitors = [offer("a", 2.2e-6), offer("b", 1e-5, stock=1), offer("gone", 4.7e-5, stock=0)]
    assert stock_limits(capacitors, "C") == pytest.approx((1.1e-6, 2e-5))
    assert stock_limits([offer("a", 5e-4, kind="L"), offer("b", 2e-3, kind="L")], "L") == (5e-4, 2e-3)
    assert stock_limits(capacitors, "R") is None


def test_two_of_a_kind_take_two_from_the_shelf() -> None:
    """Two of 10 uF side by side make 20 uF where two are there; one that nobody counted counts as enough."""
    place = Component("C", 2e-5)
    for count, paired in ((1, False), (2, True), (None, True)):
        found = stock_candidates([offer("a", 1e-5, stock=count)], place)
        assert any(one.made_of_ids == ("a", "a") for one in found) is paired


def test_what_a_network_costs_and_how_many_pieces_it_has() -> None:
    parts = [
        Component("C", 1e-5, price=2.5),
        Component("L", 1e-3, price=4.0),
        Component("C", 2e-5, price=5.0, made_of=(1e-5, 1e-5)),
    ]
    assert (price_of(parts), pieces_of(parts)) == (11.5, 4)
    assert price_of([*parts, Component("R", 4.0)]) is None and price_of([]) is None


def test_only_a_shelf_that_must_do_is_counted() -> None:
    shelf = (offer("a", 1e-5, 3.0, 2), offer("b", 2e-5, 5.0, None))
    assert shop_of(DesignOptions(policy="stock", stock=shelf)).stock == {"a": 2}
    for policy in ("any", "preferred"):
        assert shop_of(DesignOptions(policy=policy, stock=shelf)).stock == {}
    assert shop_of(DesignOptions(stock=shelf)).usual == {"C": 4.0, "L": 0.0, "R": 0.0}


def values(component: Component, options: DesignOptions, limits: tuple[float, float] = (1e-7, 1e-3)) -> list[float]:
    found = _candidates(component, limits, options, Losses(0.35, 0.55, 0.02), False)
    return [float(f"{one.value:.4g}") for one in found]


def test_what_may_stand_in_a_place() -> None:
    """10.37 uF: any value is that to three digits, then the nearest of E12 (10, 12, 8.2); a resistor has E24 (IEC 60063)."""
    assert values(Component("C", 1.037e-5), DesignOptions(policy="any")) == [1.04e-5, 1e-5, 1.2e-5, 8.2e-6]
    assert values(Component("C", 1.037e-5), DesignOptions(policy="preferred")) == [
        1e-5,
        1.2e-5,
        8.2e-6,
        1.5e-5,
        6.8e-6,
        1.8e-5,
    ]
    ohms = values(Component("R", 4.4), DesignOptions(policy="preferred"), (0.1, 100.0))
    assert ohms[:4] == [4.3, 4.7, 3.9, 5.1]


def test_the_losses_of_what_is_bought_by_value() -> None:
    """A coil has 0.35 ohm at 1 mH and grows with the power 0.55: 0.35 x 0.47^0.55 = 0.231 ohm; a capacitor 0.02, a resistor none."""
    preferred, losses = DesignOptions(policy="preferred"), Losses(0.35, 0.55, 0.02)
    for component, ohm in ((Component("L", 0.47e-3), 0.231), (Component("C", 1e-5), 0.02), (Component("R", 4.7), 0.0)):
        first = _candidates(component, (1e-9, 1e3), preferred, losses, False)[0]
        assert first.resistance_ohm == pytest.approx(ohm, abs=5e-4)


def test_a_place_known_to_need_more_takes_only_what_bears_it() -> None:
    shelf = (
        PartOffer("weak", "C", 1e-5, rating=50.0),
        PartOffer("strong", "C", 1.2e-5, rating=100.0),
        PartOffer("unknown", "C", 1.5e-5),
        PartOffer("just", "C", 1.3e-5, rating=80.0),
    )
    needs = (("series capacitor", "C", 60.0), ("series capacitor", "C", 80.0), ("series capacitor", "L", 200.0))
    options = DesignOptions(policy="stock", stock=shelf, needs=needs)
    place = Component("C", 1e-5, role="series capacitor")
    assert options.needed(place) == 80.0 and options.needed(Component("C", 1e-5, role="notch")) == 0.0
    found = _candidates(place, (1e-7, 1e-3), options, Losses(0.35, 0.55, 0.02), False)
    assert {one.part_id for one in found if not one.made_of} == {"strong", "unknown", "just"}
    free = _candidates(place, (1e-7, 1e-3), DesignOptions(policy="stock", stock=shelf), Losses(0.35, 0.55, 0.02), False)
    assert [one.part_id for one in free] == ["weak", "strong", "just", "unknown"]


def test_two_pieces_stand_in_no_place_that_one_of_the_shelf_fills_as_well() -> None:
    """1.5 and 5.6 uF are 7.1, 4.4 % over the 6.8 of 5 % beside them; where 6.8 uF does not bear the voltage the pair has its use."""
    shelf = tuple(
        PartOffer(name, "C", value, 0.05, rating=volts, stock=9)
        for name, value, volts in (
            ("a", 1.5e-6, 160.0),
            ("b", 5.6e-6, 160.0),
            ("c", 6.8e-6, 50.0),
            ("d", 8.2e-6, 160.0),
        )
    )
    place, losses = Component("C", 7.1e-6, role="series capacitor"), Losses(0.35, 0.55, 0.02)
    for needs, told in (((), False), ((("series capacitor", "C", 100.0),), True)):
        options = DesignOptions(policy="stock", stock=shelf, needs=needs)
        found = {one.part_id for one in _candidates(place, (1e-7, 1e-3), options, losses, True)}
        assert ("a + b" in found) is told and ("c" in found) is not told


# --- the whole --------------------------------------------------------------------------------------------------------


@every(
    ("from_hz", "to_hz", "bass", "treble"),
    [(320.0, 950.0, 0.0, 0.0), (100.0, 301.0, 1.0, 0.0), (1000.0, 8000.0, 0.0, 1.0), (8300.0, 20_000.0, 0.0, 0.0)],
)
def test_the_bands_of_the_balance(from_hz: float, to_hz: float, bass: float, treble: float) -> None:
    """Bass from the start of the voiced band, here 100 Hz, to 300 Hz; treble from 1 to 8 kHz (common practice, no source)."""
    error = np.where((F >= from_hz * 0.999) & (F <= to_hz * 1.001), 1.0, 0.0)
    assert PLAIN.balance_db(F, error) == pytest.approx([bass, treble], abs=0.01)
    late = Voicing(400.0, 16e3).balance_db(F, np.where((F >= 390.0) & (F <= 605.0), 1.0, 0.0))
    assert late == pytest.approx([1.0, 0.0])  # a band that starts at 400 Hz has its bass up to 600 Hz


@every(("peak", "asks"), [(1.15, False), (1.5, True)])
def test_an_impedance_that_varies_by_less_than_a_fifth_asks_for_nothing(peak: float, asks: bool) -> None:
    impedance = DriverLoad(8.0, 0.0, 1000.0, 2.0, 2.0 / (peak - 1.0)).impedance(F)
    side = Side(F, np.ones(F.size, dtype=np.complex128), impedance)
    assert float(np.max(np.abs(impedance))) == pytest.approx(8.0 * peak, rel=0.01)
    assert (figures_of(side) is not None) is asks


def bench() -> Bench:
    """Two even drivers of 8 ohm that meet at 2000 Hz behind LR4, voiced from 200 Hz to 12 kHz."""
    side = Side(F, np.full(F.size, 0.5 + 0j), np.full(F.size, 8.0 + 0j))
    return Bench(side, side, SLOPES["LR4"], 2000.0, Voicing(200.0, 12000.0))


@every(
    ("low_db", "high_db", "loud_db"),
    [(0.0, 0.0, 0.0), (3.0, 0.0, 3.0), (0.0, 2.0, 2.0), (-4.0, -4.0, -4.0), (3.0, -9.0, 3.0)],
)
def test_how_far_a_branch_stands_above_its_target(low_db: float, high_db: float, loud_db: float) -> None:
    """Each branch so many dB over what LR4 asks of it; both 4 dB under leave a sum 4 dB under, bass and treble too."""
    found, at = bench(), 80.0
    low, high = (
        2e-5 * 10 ** ((at + db) / 20) * shape for db, shape in zip((low_db, high_db), found.shapes[:2], strict=True)
    )
    admittance = np.full(F.size, 0.0625 + 0j)
    many = found.many((low, admittance), (high, admittance), 1, at)
    assert float(many.loud_db) == pytest.approx(loud_db, abs=1e-6)
    if low_db == high_db:
        assert (
            float(many.worst_db),
            float(many.rms_db),
            float(many.balance_db),
            float(many.evenness_db),
        ) == pytest.approx([abs(low_db)] * 4, abs=1e-6)
        assert float(many.null_db) < low_db - 30.0  # in phase throughout (Linkwitz 1976): reversed, they cancel


def test_the_least_load_is_that_of_both_branches_at_their_worst_frequency() -> None:
    """16 ohm and 16 ohm are 8 ohm; at one frequency 16 and 4 ohm are 3.2."""
    found = bench()
    low, high = found.shapes[:2]
    even = np.full(F.size, 1.0 / 16.0 + 0j)
    dip = even.copy()
    dip[int(np.argmin(np.abs(F - 3000.0)))] = 0.25
    assert float(found.many((low, even), (high, even), 1, 80.0).least_ohm) == pytest.approx(8.0)
    assert float(found.many((low, even), (high, dip), 1, 80.0).least_ohm) == pytest.approx(3.2)


@every(("apart_db", "turned"), [(0.0, True), (-11.0, True), (-14.0, False)])
def test_how_far_the_branches_turn_from_one_another_counts_where_both_are_heard(apart_db: float, turned: bool) -> None:
    """A high branch that leads by 0.3 rad, within 12 dB of the low one somewhere around the crossover, or nowhere."""
    found, near = bench(), bench().near
    low, high = (shape[near] for shape in found.shapes[:2])
    led = np.exp(0.3j) * 10 ** (apart_db / 20) * high / np.abs(high) * np.abs(low)
    assert abs(found._turn(low, led)) == pytest.approx(0.3 if turned else np.pi)


def test_a_part_of_unstated_tolerance_is_within_5_per_cent() -> None:
    branch = Branch((in_path(Component("C", 1e-5), Component("L", 1e-3, tolerance=0.03)),))
    assert stated_or_usual(branch.components).tolist() == [0.05, 0.03]  # common practice, no source


def test_what_a_design_takes_for_granted() -> None:
    """0.35 ohm for a coil of 1 mH, growing with the power 0.55, 0.02 ohm for a capacitor; what a network must meet (common practice, no source)."""
    usual, wanted = DesignOptions(), DesignOptions().wanted
    assert (usual.coil_ohm, usual.coil_exponent, usual.capacitor_ohm, usual.load_share) == (0.35, 0.55, 0.02, 0.7)
    assert (usual.policy, usual.series, usual.resistor_series, usual.money_a_db, usual.pieces_a_db) == (
        "any",
        "E12",
        "E24",
        30.0,
        8.0,
    )
    assert (wanted.worst_db, wanted.third_db, wanted.balance_db, wanted.loud_db, wanted.null_db) == (
        1.5,
        2.0,
        1.5,
        6.0,
        15.0,
    )


@every(
    ("low_db", "high_db", "levels"),
    [
        (86.0, 90.0, (87.0, 87.0, 90.0)),  # the low side may lie a decibel under its target
        (86.0, 86.5, (86.5, 86.5, 86.5)),  # which is given up before the high side counts as too quiet
        (86.0, 84.0, (86.0, 84.0, 84.0)),  # but no more than that
    ],
)
def test_the_levels_of_both_targets(low_db: float, high_db: float, levels: tuple[float, float, float]) -> None:
    """Even drivers: the low target is what the low side reaches, the high one no higher than the high side."""
    low, high = (
        Side(F, np.full(F.size, 2e-5 * 10 ** (db / 20) + 0j), np.full(F.size, 8.0 + 0j)) for db in (low_db, high_db)
    )
    shaped = Side(F, low.response * np.abs(low_pass(SLOPES["LR4"], F, 2000.0)), low.impedance)
    assert levels_of(shaped, high, SLOPES["LR4"], 2000.0, Voicing(200.0, 12000.0)) == pytest.approx(levels, abs=0.01)


def test_the_level_of_the_high_side_is_told_from_1_4_to_4_times_the_crossover() -> None:
    """90 dB from 2800 to 8000 Hz and 70 elsewhere: 90 dB at a crossover of 2000 Hz. A level that rises 6 dB an octave counts as in the
    middle, at 4733 Hz."""
    low = Side(F, 2e-5 * 10 ** (86.0 / 20) * np.abs(low_pass(SLOPES["LR4"], F, 2000.0)) + 0j, np.full(F.size, 8.0 + 0j))
    level = np.where((F >= 2800.0) & (F <= 8000.0), 90.0, 70.0)
    high = Side(F, 2e-5 * 10 ** (level / 20) + 0j, np.full(F.size, 8.0 + 0j))
    assert levels_of(low, high, SLOPES["LR4"], 2000.0, Voicing(200.0, 12000.0))[2] == pytest.approx(90.0)
    rising = Side(F, 2e-5 * 10 ** (90.0 / 20) * F / 4733.0 + 0j, high.impedance)
    assert levels_of(low, rising, SLOPES["LR4"], 2000.0, Voicing(200.0, 12000.0))[2] == pytest.approx(90.0, abs=0.2)


@every(("fc", "top_hz", "natural_db"), [(3600.0, 10000.0, 90.0), (3600.0, 14400.0, 72.6), (6000.0, 10000.0, 64.4)])
def test_the_level_of_the_high_side_is_not_told_from_what_is_not_voiced(
    fc: float, top_hz: float, natural_db: float
) -> None:
    """Two high drivers one over the other, 90 dB up to 10 kHz and at the seat in a hole of 50 dB above. By hand: voiced to 10 kHz, 90;
    to 14.4 kHz, lg(10000 / 5040) / lg(14400 / 5040) = 0.653 of the octaves at 90 dB, 0.347 at 40: 72.6; crossed at 6 kHz an octave
    of the crossover is taken all the same, to 12 kHz: lg(10000 / 8400) / lg(12000 / 8400) = 0.489 at 90 dB, the rest at 40: 64.4."""
    even = Side(F, np.full(F.size, 2e-5 * 10 ** (86.0 / 20) + 0j), np.full(F.size, 8.0 + 0j))
    hole = Side(F, 2e-5 * 10 ** (np.where(F <= 10000.0, 90.0, 40.0) / 20) + 0j, even.impedance)
    assert levels_of(even, hole, SLOPES["LR4"], fc, Voicing(200.0, top_hz))[2] == pytest.approx(natural_db, abs=2.0)


@every(("travel_db", "room_db"), [(-84.0, 6.0), (-87.0, 3.0), (-20.0, None)])
def test_the_room_of_the_high_branch_is_what_its_driver_has_left_of_its_travel(
    travel_db: float, room_db: float | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By hand: 96 dB of a sum of 87 dB take 9 dB over 2.83 V; 3 dB are padded of a driver of 90 dB, which gets 6. Its travel is used up at
    12 dB over 2.83 V (12 - 96 = -84) or at 9 (-87); at the crossover, where it gets another 6.02 less, so much more is left."""
    monkeypatch.setattr(synthesis, "_fitted", lambda bench, forms, task, natural_db: task)
    low, high = (
        Side(F, 2e-5 * 10 ** (db / 20) * shape + 0j, np.full(F.size, 8.0 + 0j))
        for db, shape in ((86.0, np.abs(low_pass(SLOPES["LR4"], F, 2000.0))), (90.0, np.ones(F.size)))
    )
    high, options = replace(high, travel_db=np.full(F.size, travel_db)), DesignOptions(voicing=Voicing(200.0, 12000.0))
    task: Any = explored.__wrapped__(low, high, SLOPES["LR4"], 2000.0, options)
    if room_db is None:
        assert task.room_db is None  # 70 dB are never used up
        return
    hz = task.high.frequency_hz[task.high.band]
    at = [int(np.argmin(np.abs(np.log(hz / one)))) for one in (2000.0, 12000.0)]
    assert task.room_db[at] == pytest.approx([room_db + 6.02, room_db], abs=0.1)
    assert np.all(np.isinf(task.room_db[hz < 499.0])) and np.all(np.isfinite(task.room_db[hz > 501.0]))


def test_only_what_the_shelf_lacks_is_settled_within_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Capacitors of 10 uF alone, so 5 to 20 uF in pairs: of 8, 15 and 30 uF the last is looked for again, the others stay as they are."""
    flat = np.ones(F.size) + 0j
    side = BranchTask(F, flat, slice(0, F.size), flat, flat, 0.0, target_weight(flat), 1.0, Losses(0.0, 0.5, 0.0), {})
    form = forms.Forms(side, None, 2000.0, high=False)
    fits: Any = {
        count: SimpleNamespace(low=SimpleNamespace(branch=Branch(())), high=SimpleNamespace(branch=Branch((in_path(part),))))
        for count, part in ((4, Component("C", 8e-6)), (5, Component("C", 15e-6)), (6, Component("C", 30e-6)))
    }  # fmt: skip
    task = joint.JointTask(side, side, 1, 1, 1.0, slice(0, F.size), np.full(F.size, 1.0 / F.size), nulled=False)
    bench: Any = None
    found = synthesis.Explored(bench, (form, form), task, [], [], pairs.Ladder(best=dict(fits)), 0.0)
    monkeypatch.setattr(synthesis, "settled", lambda lost, task: [(one, task.low.limits["C"]) for one in lost])
    shelf = DesignOptions(policy="stock", stock=(PartOffer("c", "C", 1e-5),))
    best: Any = synthesis._for_shelf(found, shelf).pairs.best
    assert best == {4: fits[4], 5: fits[5], 6: (fits[6], (5e-6, 2e-5))}


@pytest.mark.parametrize(("louder_db", "pad_db"), [(0.4, 0.0), (0.7, 0.7), (3.0, 3.0)])
def test_half_a_decibel_is_left_to_the_filter_and_more_is_padded(louder_db: float, pad_db: float) -> None:
    """A high side so much louder than the target of the low one, which is 1 dB over what that reaches (common practice, no source)."""
    low, high = (
        Side(F, np.full(F.size, 2e-5 * 10 ** (db / 20) + 0j), np.full(F.size, 8.0 + 0j))
        for db in (86.0, 87.0 + louder_db)
    )
    shaped = Side(F, low.response * np.abs(low_pass(SLOPES["LR4"], F, 2000.0)), low.impedance)
    found = explored(shaped, high, SLOPES["LR4"], 2000.0, DesignOptions(voicing=Voicing(200.0, 12000.0)))
    assert found.forms[1].pad_db == pytest.approx(pad_db, abs=0.02) and found.forms[0].pad_db == 0.0


def test_a_sum_whose_high_driver_is_too_quiet_is_held_against_what_that_gives() -> None:
    """80 dB of the high side beside 86 of the low one: 6 dB short, and the sum is to stand at about 80 dB."""
    low, high = (
        Side(F, np.full(F.size, 2e-5 * 10 ** (db / 20) + 0j), np.full(F.size, 8.0 + 0j)) for db in (86.0, 80.0)
    )
    shaped = Side(F, low.response * np.abs(low_pass(SLOPES["LR2"], F, 2000.0)), low.impedance)
    options = DesignOptions(voicing=Voicing(200.0, 12000.0))
    found = ladder(explored(shaped, high, SLOPES["LR2"], 2000.0, options), options)
    assert found and all(
        one.target_db == pytest.approx(80.0, abs=1.5) and 4.5 < one.shortfall_db < 7.5 for one in found
    )
    assert all(one.loss_db == pytest.approx(one.error_db - one.optimum_rms_db) for one in found)


@every("role", ("level pad", "resistor before the filter", "damping resistor"))
def test_a_resistor_in_front_pads_as_one_behind_the_filter_does(role: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A high side of 92 dB beside a target of 86: either takes 6 dB off; without one of them the filter does, and nothing is padded."""
    monkeypatch.setattr(synthesis, "reasons", lambda grounds: ())
    side = Side(F, np.full(F.size, 2e-5 * 10 ** (92.0 / 20) + 0j), np.full(F.size, 8.0 + 0j))
    level = SimpleNamespace(level_db=86.0)
    found: Any = SimpleNamespace(
        task=SimpleNamespace(low=level, high=level, nulled=True), bench=Bench(side, side, SLOPES["LR4"], 2000.0, PLAIN),
        natural_db=92.0, pairs=SimpleNamespace(made=[]), trials=(),
    )  # fmt: skip
    fit: Any = SimpleNamespace(level_shift_db=0.0, sign=1, missed_db=0.0)
    high = Branch((in_path(Component("C", 1e-5)), in_path(Component("R", 8.0, role=role))))
    chosen = selection.Selected(Branch(()), high, 0.0, 0.0, 0.0, True)
    made = synthesis._finished(found, DesignOptions(), fit, chosen)
    assert made.pad_db == pytest.approx(0.0 if role == "damping resistor" else 6.0)


def test_each_driver_answers_for_its_own_dip(monkeypatch: pytest.MonkeyPatch) -> None:
    """A dip of 9 dB in the low driver and of 4.5 dB in the high one about 2500 Hz, where the sum strays most."""
    told: list[reasons.Grounds] = []
    monkeypatch.setattr(synthesis, "reasons", lambda grounds: (told.append(grounds), ())[1])
    dip = np.exp(-((np.log2(F / 2500.0) / 0.12) ** 2))
    low, high = (
        Side(F, 2e-5 * 10 ** ((86.0 - depth * dip) / 20) * shape + 0j, np.full(F.size, 8.0 + 0j))
        for depth, shape in ((9.0, np.abs(low_pass(SLOPES["LR2"], F, 2000.0))), (4.5, np.ones(F.size)))
    )
    options = DesignOptions(voicing=Voicing(200.0, 12000.0))
    ladder(explored(low, high, SLOPES["LR2"], 2000.0, options), options)
    found = [one for one in told if abs(np.log2(one.sum_worst_hz / 2500.0)) < 0.1]
    assert found
    for one in found:
        assert one.own_db[0] == pytest.approx(-9.0, abs=2.0) and one.own_db[1] == pytest.approx(-4.5, abs=1.0)


@every(("off_db", "good"), [(0.95, True), (-0.95, True), (1.05, False), (-1.05, False)])
def test_a_build_is_within_a_decibel_at_every_frequency(off_db: float, good: bool) -> None:
    nominal = np.full(5, 2.0 + 1.0j)
    built = np.tile(nominal, (2, 1))
    built[1, 3] *= 10 ** (off_db / 20)
    assert within(nominal, 1.0)(built).tolist() == [True, good]


def test_a_load_that_leads_is_told_from_one_that_lags() -> None:
    """8 ohm with 40 deg of a capacitor at one frequency and 20 deg of a coil at another: the larger one with its sign."""
    impedance = np.array([8.0 + 0j, 8.0 * np.exp(-1j * np.radians(40.0)), 6.0 * np.exp(1j * np.radians(20.0))])
    found = amplifier_load(impedance, [100.0, 1000.0, 3000.0])
    assert (found.minimum_ohm, found.minimum_hz, found.rated_ohm) == (pytest.approx(6.0), 3000.0, 6.0)
    assert np.degrees(found.largest_phase_rad) == pytest.approx(-40.0)


# --- reasons ----------------------------------------------------------------------------------------------------------


@every(
    ("slope", "sign", "words"),
    [
        ("LR4", 1, "The high driver is not reversed, as LR4 asks."),
        ("LR2", -1, "The high driver is reversed, as LR2 asks."),
        ("LR4", -1, "The high driver is reversed, unlike the usual for LR4: the drivers' own phase turns the sum."),
        ("LR2", 1, "The high driver is not reversed, unlike the usual for LR2: the drivers' own phase turns the sum."),
    ],
)
def test_which_way_round_the_high_driver_stands(slope: str, sign: int, words: str) -> None:
    """Both branches of LR4 are in phase, those of LR2 half a turn apart (Linkwitz 1976)."""
    assert reasons._polarity(SimpleNamespace(fits=[SimpleNamespace(sign=sign)], slope=SLOPES[slope])) == words


@every(
    ("off_db", "own", "words"),
    [
        (1.4, (2.0, 2.0), ""),
        (-1.6, (0.5, -3.0), "The sum strays most at 3000 Hz, 1.6 dB below its target; the parts tried against it did not pay."),
        (1.6, (1.2, 0.4), "The sum strays most at 3000 Hz, 1.6 dB above its target, where both drivers on this baffle stand 1.2 and 0.4 dB above their own mean; the parts tried against it did not pay."),
        (-2.0, (-1.2, -0.4), "The sum strays most at 3000 Hz, 2.0 dB below its target, where both drivers on this baffle stand 1.2 and 0.4 dB below their own mean; the parts tried against it did not pay."),
        (-2.0, (-0.9, -0.4), "The sum strays most at 3000 Hz, 2.0 dB below its target; the parts tried against it did not pay."),
    ],
)  # fmt: skip
def test_where_the_sum_strays_and_whether_both_drivers_do(off_db: float, own: tuple[float, float], words: str) -> None:
    assert reasons._rest(SimpleNamespace(sum_worst_db=off_db, sum_worst_hz=3000.0, own_db=own)) == words


def test_what_the_high_driver_lacks_and_what_real_parts_cost() -> None:
    """0.04 dB are not worth a word; 0.62 dB with parts against 0.50 with free values cost 0.12, whatever the load falls short of."""
    short = [reasons._shortfall(SimpleNamespace(shortfall_db=db)) for db in (0.04, 0.3)]
    assert short[0] == "" and short[1].startswith("The high driver stays 0.3 dB below the low one;")
    selected = SimpleNamespace(rms_db=24.3, heard_db=0.62, low=Branch(()), high=Branch(()), within_stock=True)
    told = {
        policy: reasons._parts(SimpleNamespace(options=DesignOptions(policy=policy), selected=selected, optimum_db=0.5))
        for policy in ("any", "preferred", "stock")
    }
    assert told["any"] == "Values are those of the fit, to three digits."
    assert (
        told["preferred"]
        == "Parts of the E12 series, resistors of E24, chosen for both branches at once; against free values that costs 0.12 dB."
    )
    assert told["stock"] == "Parts in stock, chosen for both branches at once; against free values that costs 0.12 dB."


@every(
    ("policy", "best", "others", "made"),
    [
        ("stock", (0.3, 0.0), (0.2,), ["0.3 of 6", "0.0 of 6"]), ("stock", (0.3, 0.0), (0.0,), ["moved", "0.3 of 6", "0.0 of 6"]),
        ("stock", (0.3, 0.1), (0.2,), ["0.3 of 6", "0.1 of 6", "pair", "pair"]),
        ("stock", (0.3, 0.1), (0.2, 0.0), ["moved", "0.3 of 6", "0.1 of 6", "pair", "pair"]),
        ("preferred", (0.3, 0.1), (0.0,), ["0.3 of 6", "0.1 of 6"]),
    ],
)  # fmt: skip
def test_two_pieces_stand_in_one_place_only_where_no_network_of_single_pieces_will_do(
    policy: Any, best: tuple[float, ...], others: tuple[float, ...], made: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """From the shelf: one network of 6 single pieces that misses nothing is enough, else pairs of 8 pieces join; so does what
    misses nothing with 5 in another form or at another level. By value, pieces are never joined."""

    def networks(_found: Any, _options: Any, fits: Any, pairs: bool = False, moved_db: Any = (0.0,)) -> list[Any]:
        pieces = 8 if pairs else 5 if len(moved_db) > 1 else 6
        return [SimpleNamespace(missed=one, pieces=pieces) for one in fits]

    monkeypatch.setattr(synthesis, "_for_shelf", lambda found, _: found)
    monkeypatch.setattr(synthesis, "_networks", networks)
    monkeypatch.setattr(synthesis, "_rising", tuple)
    monkeypatch.setattr(synthesis, "_meets", lambda *_: True)
    monkeypatch.setattr(synthesis, "parts_of", lambda fit: 5 if isinstance(fit, np.floating) else 6)
    found: Any = SimpleNamespace(pairs=SimpleNamespace(best=dict(enumerate(best)), made=[*map(np.float64, others)]))
    told: Any = ladder.__wrapped__(found, DesignOptions(policy=policy))
    words = {5: "moved", 8: "pair"}
    assert [words.get(one.pieces, f"{one.missed} of 6") for one in told] == made


# --- start values and windows -----------------------------------------------------------------------------------------


def test_a_notch_is_half_an_octave_wide() -> None:
    """6 dB into 6 ohm: 6 x (1.995 - 1) = 5.972 ohm. At both ends of the half octave the reactances alone, each found by its
    own formula, are that (within the 0.5 per cent that ln 2 leaves)."""
    coil, capacitor, resistor = (one.value for one in notch(1000.0, 6.0, 6.0).components)
    assert resistor == pytest.approx(5.9716, rel=1e-4)
    for hz in (840.9, 1189.2):  # 1000 x 2^-0.25 and 2^0.25
        admittance = 2.0 * np.pi * hz * capacitor - 1.0 / (2.0 * np.pi * hz * coil)
        assert 1.0 / abs(admittance) == pytest.approx(resistor, rel=6e-3)


def test_how_far_a_part_may_wander_from_its_handbook_value() -> None:
    """2.5 times either way of Re 6, Le 0.1 mH, fs 1000, Qes 0.5, Qms 2: trap 0.4775 mH, 53.05 uF and 7.5 ohm; coil
    compensation 6 ohm and 2.778 uF. Series capacitors 0.5 to 100 uF and shunt coils 0.05 to 4 mH (common practice, no source)."""
    alone = {("series capacitor", "C"): (0.5e-6, 100e-6), ("shunt coil", "L"): (0.05e-3, 4e-3)}
    assert windows_of(None) == alone
    found = windows_of(DriverLoad(6.0, 0.1e-3, 1000.0, 2.0, 0.5))
    assert {key: found[key] for key in alone} == alone
    assert {key: ends for key, ends in found.items() if key not in alone} == {
        ("resonance trap", "L"): pytest.approx((0.19099e-3, 1.19366e-3), rel=1e-4),
        ("resonance trap", "C"): pytest.approx((21.221e-6, 132.63e-6), rel=1e-4),
        ("resonance trap", "R"): pytest.approx((3.0, 18.75)),
        ("impedance compensation", "R"): pytest.approx((2.4, 15.0)),
        ("impedance compensation", "C"): pytest.approx((1.1111e-6, 6.9444e-6), rel=1e-4),
    }
    assert len(windows_of(DriverLoad(6.0, 0.0, 1000.0, 2.0, 0.5))) == 5


@every(("kind", "join", "times"), [("L", across, 4.0), ("C", in_path, 4.0), ("C", across, 0.25), ("L", in_path, 0.25)])
def test_a_stage_that_hardly_works_yet(kind: Any, join: Any, times: float) -> None:
    """Before and across the load: a coil does less across it the larger, in the path the smaller it is; a capacitor the other way."""
    (part,) = hardly_there(join(Component(kind, 1e-3))).components
    assert part.value == pytest.approx(times * 1e-3)


def test_error_and_what_builds_add_weigh_alike() -> None:
    """3 dB of error and 4 dB that parts 5 per cent off add are 5 dB; networks have 4 to 10 parts; the better of a number is kept."""
    branches = SimpleNamespace(parts=2), SimpleNamespace(parts=3)
    fit: Any = SimpleNamespace(rms_db=3.0, sensitivity_db=4.0, low=branches[0], high=branches[1])
    assert (pairs.merit(fit), pairs.parts_of(fit)) == (pytest.approx(5.0), 5)
    assert (pairs.FEWEST, pairs.MOST) == (4, 10)
    nearer: Any = SimpleNamespace(rms_db=4.0, sensitivity_db=2.0, low=branches[0], high=branches[1])
    rungs = pairs.Ladder()
    assert [rungs.take(one) for one in (fit, nearer, fit, nearer)] == [True, True, False, False]
    assert rungs.best == {5: nearer} and len(rungs.made) == 4


def test_of_each_number_of_parts_the_three_nearest_pairs_are_fitted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Forms of 2, 3 and 8 parts with forms of 1, 2 and 3: from 4 to 10 parts together, each way round that comes nearer."""
    lows: Any = [SimpleNamespace(parts=parts, branch=f"low {parts}") for parts in (2, 3, 8)]
    highs: Any = [SimpleNamespace(parts=parts, branch=f"high {parts}") for parts in (1, 2, 3)]
    squares = {
        1: np.array([[1.0, 4.0, 7.0], [2.0, 5.0, 8.0], [3.0, 6.0, 9.0]]),
        -1: np.array([[9.0, 3.0, 7.0], [1.0, 6.0, 7.5], [9.0, 9.0, 0.0]]),
    }
    monkeypatch.setattr(pairs, "_stacked", lambda *_, **__: None)
    monkeypatch.setattr(pairs, "joint_square", lambda task, *_: squares[task.sign])
    task: Any = Signed(0)

    def taken(fewest: int) -> list[tuple[Any, Any, int]]:
        return [(one.low, one.high, one.sign) for one in pairs._promising(lows, highs, task, fewest)]

    # 4 parts: 3 + 1 (1.0 reversed) before 2 + 2 (3.0 reversed); 5: 3 + 2 (5.0) before 2 + 3 (7.0 either way); 11 parts are too many
    four = [("low 3", "high 1", -1), ("low 2", "high 2", -1)]
    rest = [
        ("low 3", "high 2", 1),
        ("low 2", "high 3", 1),
        ("low 3", "high 3", -1),
        ("low 8", "high 1", 1),
        ("low 8", "high 2", 1),
    ]
    assert taken(4) == [*four, *rest] and taken(5) == rest
    assert taken(3) == [("low 2", "high 1", 1), *four, *rest]
    monkeypatch.setattr(pairs, "TRIED", 1)
    assert taken(4)[:2] == [four[0], rest[0]]


@dataclass(frozen=True)
class Signed:
    """A task of which nothing but its sign is looked at."""

    sign: int


def test_of_the_ways_to_leave_a_part_out_the_one_that_promises_least_error_is_fitted(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Of each fit its own one; what would have fewer parts than wanted is no way."""
    ways: Any = {one: [SimpleNamespace(parts=parts, error=error) for parts, error in of] for one, of in (
        ("a", ((5, 0.4), (5, 0.1), (3, 0.0), (5, 0.3))), ("b", ((5, 0.9),)), ("c", ()),
    )}  # fmt: skip
    monkeypatch.setattr(pairs, "_lighter", ways.__getitem__)
    monkeypatch.setattr(pairs, "promised_errors", lambda every, _: np.array([one.error for one in every]))
    fits: Any = ["a", "b", "c"]
    task: Any = None
    left: Any = pairs._with_one_left_out(fits, task, 4)
    assert [one.error for one in left] == [0.1, 0.9]
    assert pairs._with_one_left_out(fits[2:], task, 4) == []


def test_a_part_is_left_out_of_either_branch_as_long_as_a_filter_stays() -> None:
    """A coil and a capacitor across below, a capacitor and a coil across above: without its first part a branch is none."""
    low = Branch(
        (in_path(Component("L", 1e-3, role="series coil")), across(Component("C", 1e-5, role="shunt capacitor")))
    )
    high = Branch(
        (in_path(Component("C", 1e-5, role="series capacitor")), across(Component("L", 1e-3, role="shunt coil")))
    )
    fit: Any = SimpleNamespace(
        low=SimpleNamespace(branch=low), high=SimpleNamespace(branch=high), sign=-1, level_shift_db=0.5
    )
    made = [(one.low, one.high, one.sign, one.shift_db, one.parts) for one in pairs._lighter(fit)]
    assert made == [(Branch(low.stages[:1]), high, -1, 0.5, 3), (low, Branch(high.stages[:1]), -1, 0.5, 3)]


@every(
    ("low_ohm", "high_ohm", "wanted_ohm", "least_ohm"),
    [(5.0, 8.0, 3.2, 3.5), (8.0, 4.0, 3.2, 3.2), (4.0, 3.0, 3.2, 3.0), (16.0, 20.0, 3.2, 11.2), (6.0, 6.0, 5.0, 5.0)],
)
def test_the_load_keeps_what_the_amplifier_bears_and_seven_tenths_of_the_drivers_own(
    low_ohm: float, high_ohm: float, wanted_ohm: float, least_ohm: float
) -> None:
    """The greater of both; but where a driver is itself lower than the amplifier bears, no more than it has is asked for."""
    low, high = (Side(F, np.ones(F.size) + 0j, np.full(F.size, ohm + 0j)) for ohm in (low_ohm, high_ohm))
    options = DesignOptions(wanted=replace(DesignOptions().wanted, least_ohm=wanted_ohm))
    case = synthesis._Case(low, high, SLOPES["LR4"], 2000.0, options)
    assert case.own_ohm == min(low_ohm, high_ohm) and case.least_ohm == pytest.approx(least_ohm)


def test_the_error_of_a_branch_is_told_from_its_shifted_target() -> None:
    """A wire into 8 ohm that stands 1 dB above its target everywhere; a target shifted by 2 dB lies 1 dB above it, one by -3 dB 4 dB below."""
    flat = np.ones(F.size, dtype=np.complex128)
    side = BranchTask(
        F, 8.0 * flat, slice(0, F.size), 0.5 * flat, flat, 20 * np.log10(0.5 / 2e-5) - 1.0, target_weight(flat), 1.0, Losses(0.35, 0.55, 0.02), {}
    )  # fmt: skip
    wire = Branch((in_path(Component("L", 1e-9)),))
    bundle, values_ = Bundle.of([wire] * 3), np.full((3, 1), 1e-9)
    found = as_they_stand([wire] * 3, bundle, [side] * 3, values_, np.array([0.0, 2.0, -3.0]))
    assert [one.rms_db for one in found] == pytest.approx([1.0, 1.0, 4.0], abs=0.01)
    assert [one.level_shift_db for one in found] == [0.0, 2.0, -3.0]
    assert found[0].losses_ohm == pytest.approx([0.35 * (1e-6) ** 0.55])


@every(
    ("own", "limits"),
    [
        (None, (0.5e-6, 220e-6)), ((2e-6, 12.5e-6), (2e-6, 12.5e-6)), ((1e-7, 1e-6), (0.5e-6, 1e-6)), ((1e-4, 1e-3), (1e-4, 220e-6)),
        ((1e-7, 2e-7), (0.5e-6, 220e-6)),
    ],
)  # fmt: skip
def test_a_part_keeps_to_its_own_window_within_what_is_sold(
    own: tuple[float, float] | None, limits: tuple[float, float]
) -> None:
    """Where both have nothing in common, what is sold; another kind, or another role, has no such window."""
    flat = np.ones(F.size, dtype=np.complex128)
    windows = {("notch", "C"): own, ("notch", "L"): (1.0, 2.0)} if own else {}
    side = BranchTask(
        F, flat, slice(0, F.size), flat, flat, 0.0, target_weight(flat), 1.0, Losses(0.0, 0.5, 0.0), windows
    )
    branch = Branch((in_path(Component("C", 1e-5, role="notch")), across(Component("R", 4.0, role="notch"))))
    least, most = limits_of(branch, side)
    assert (least[0], most[0]) == limits and (least[1], most[1]) == (0.33, 120.0)


def test_how_much_a_frequency_of_a_target_counts() -> None:
    """The root of the target: 0, -12, -24 dB count 1, 1/2, 1/4; at least 0.15 down to -48 dB, nothing below; wider apart, more."""
    shape = 10.0 ** (np.array([0.0, -12.0412, -24.0824, -40.0, -47.9, -48.1]) / 20.0) + 0j
    weight = target_weight(shape)
    assert np.sum(weight**2) == pytest.approx(1.0)
    assert weight / weight[0] == pytest.approx([1.0, 0.5, 0.25, 0.15, 0.15, 0.0], abs=1e-4)
    wide = target_weight(shape, np.array([1.0, 4.0, 1.0, 1.0, 1.0, 1.0]))
    assert wide / wide[0] == pytest.approx([1.0, 1.0, 0.25, 0.15, 0.15, 0.0], abs=1e-4)


def test_a_build_in_the_other_polarity_draws_the_same_current() -> None:
    one = Heard(np.array([1.0 + 2.0j]), np.array([0.1 - 0.2j]))
    assert one.turned(1) is one
    assert (one.turned(-1).pressure[0], one.turned(-1).admittance[0]) == (-1.0 - 2.0j, 0.1 - 0.2j)
    three = one.repeated(3)
    assert (three.pressure.shape, three.admittance.shape) == ((3, 1), (3, 1))
    assert joined([three, one.repeated(1).turned(-1)]).pressure[:, 0].tolist() == [1 + 2j, 1 + 2j, 1 + 2j, -1 - 2j]


def test_parts_are_left_out_of_what_was_left_over_to_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    """Eight parts, of which each round takes one as long as the result is the best of its number: down to four, and no way is tried twice."""

    def fit(parts: int, rms_db: float) -> Any:
        side = SimpleNamespace(parts=parts - 2), SimpleNamespace(parts=2)
        return SimpleNamespace(low=side[0], high=side[1], rms_db=rms_db, sensitivity_db=0.0)

    rungs, rounds = pairs.Ladder(), []
    for one in (fit(8, 1.0), fit(6, 1.5)):
        rungs.take(one)

    def shorter(fresh: Any, _: Any, fewest: int) -> Any:
        rounds.append(sorted(pairs.parts_of(one) for one in fresh))
        return [one for one in fresh if pairs.parts_of(one) > fewest]

    made = {8: fit(7, 1.1), 7: fit(6, 1.2), 6: fit(5, 2.0), 5: fit(4, 3.0)}
    monkeypatch.setattr(pairs, "_with_one_left_out", shorter)
    monkeypatch.setattr(pairs, "fit_joint", lambda starts, *_: [made[pairs.parts_of(one)] for one in starts])
    task: Any = None
    pairs._leave_out(rungs, task, 4)
    # 6 from 7 is better than the first of 6 parts, and what was left of that had become 5 and 4 before
    assert rounds[0] == [6, 8] and rounds[1] == [5, 7] and rounds[2] == [4, 6]
    assert {count: one.rms_db for count, one in rungs.best.items()} == {8: 1.0, 7: 1.1, 6: 1.2, 5: 2.0, 4: 3.0}


def filters(*parts: tuple[str, float]) -> Branch:
    """Coils and capacitors in the path ("sL", "sC") or across it ("pL", "pC"), a resistor beside a capacitor across it ("pCR"), resistors in the path ("sR")."""
    names = {
        "sL": "series coil",
        "sC": "series capacitor",
        "pL": "shunt coil",
        "pC": "shunt capacitor",
        "pCR": "shunt capacitor",
        "sR": "level pad",
    }
    made = []
    for name, value in parts:
        part = Component("C" if "C" in name else "L" if "L" in name else "R", value, role=names[name])
        beside = (Component("R", 0.5, role="damping resistor"),) if name == "pCR" else ()
        made.append(in_path(part) if name[0] == "s" else across(part, *beside))
    return Branch(tuple(made))


@every(("branch", "values"), [
    (filters(("sL", 2.0), ("sL", 3.0), ("pC", 10.0)), [5.0, 10.0]), (filters(("sL", 2.0), ("pC", 10.0), ("pC", 40.0)), [2.0, 50.0]),
    (filters(("sC", 4.0), ("sC", 6.0), ("pL", 20.0)), [2.4, 20.0]), (filters(("sC", 4.0), ("pL", 20.0), ("pL", 30.0)), [4.0, 12.0]),
    (filters(("sL", 2.0), ("sL", 3.0), ("sL", 5.0)), [10.0]), (filters(("sL", 2.0), ("pC", 10.0), ("sL", 3.0)), [2.0, 10.0, 3.0]),
    (filters(("sL", 2.0), ("pC", 10.0), ("pCR", 40.0)), [2.0, 10.0, 40.0, 0.5]), (filters(("sC", 4.0), ("pL", 20.0), ("pC", 6.0)), [4.0, 20.0, 6.0]),
    (filters(("sC", 4.0), ("sR", 2.0), ("sR", 3.0)), [4.0, 2.0, 3.0]), (filters(("pCR", 4.0), ("pCR", 4.0)), [4.0, 0.5, 4.0, 0.5]), (Branch(()), []),
])  # fmt: skip
def test_like_parts_of_a_filter_side_by_side_are_one(branch: Branch, values: list[float]) -> None:
    """Coils in a row and capacitors across add, capacitors in a row and coils across as resistors in parallel: 4 and 6 are 2.4, 20 and 30 are 12."""
    assert undoubled(branch).values.tolist() == pytest.approx(values)


def test_the_best_of_what_has_one_part_in_two_pieces_is_fitted_with_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Six parts with two coils in a row, the best of their number, are five; what is not the best, and what would be too few, goes."""
    doubled, plain = filters(("sL", 1.0), ("sL", 2.0), ("pC", 9.0)), filters(("sC", 4.0), ("pL", 2.0), ("sC", 4.0))

    def fit(low: Branch, high: Branch, rms_db: float) -> Any:
        sides = (SimpleNamespace(branch=one, parts=len(one.components)) for one in (low, high))
        low_side, high_side = sides
        return SimpleNamespace(
            low=low_side, high=high_side, rms_db=rms_db, sensitivity_db=0.0, sign=-1, level_shift_db=0.5
        )

    few = filters(("sL", 1.0), ("sL", 2.0))
    best, worse, sound, short = (
        fit(doubled, plain, 0.4),
        fit(doubled, plain, 0.9),
        fit(plain, plain, 0.6),
        fit(few, few, 0.1),
    )
    five, asked = fit(filters(("sL", 3.0), ("pC", 9.0)), plain, 0.45), list[Any]()
    monkeypatch.setattr(pairs, "fit_joint", lambda starts, *_: asked.extend(starts) or [five])
    found, task = pairs.Ladder(), None
    for one in (worse, best, sound, short):
        found.take(one)
    left = pairs._undoubled(found, task, 4)  # type: ignore[arg-type] # nothing looks at it
    assert [(one.low.values.tolist(), one.high, one.sign, one.shift_db) for one in asked] == [
        ([3.0, 9.0], plain, -1, 0.5)
    ]
    assert left.made == [sound, five] and left.best == {6: sound, 5: five}


@every(
    ("pad_db", "told"),
    [(6.02, "level pad of 6.0 dB"), (0.5, "level pad of 0.5 dB"), (0.4, "level pad"), (0.0, "level pad")],
)
def test_a_pad_is_told_with_its_decibels_from_half_a_decibel_on(pad_db: float, told: str) -> None:
    branch = Branch(
        (in_path(Component("C", 1e-5, role="series capacitor")), in_path(Component("R", 4.0, role="level pad")))
    )
    assert reasons._in_words(branch, pad_db) == f"1 filter part with {told}"
    more = Branch(
        (*branch.stages, across(Component("R", 9.0, role="resonance trap")), across(Component("R", 9.0, role="notch")))
    )
    assert reasons._in_words(more, pad_db) == f"1 filter part with {told}, resonance trap and notch"


def test_what_a_sheet_states_of_a_driver_goes_before_what_is_fitted() -> None:
    """Fs and Qms stated, the rest read from the impedance of another driver; all stated: nothing is fitted, however odd the curve."""
    true = DriverLoad(6.0, 0.2e-3, 900.0, 3.0, 1.0)
    side = Side(F, np.ones(F.size) + 0j, true.impedance(F), fs_hz=950.0, qms=2.5)
    found = figures_of(side)
    assert found is not None and (found.fs_hz, found.qms) == (950.0, 2.5)
    assert (found.re_ohm, found.le_h, found.qes) == pytest.approx((6.0, 0.2e-3, 1.0), rel=0.02)
    flat = Side(F, np.ones(F.size) + 0j, np.full(F.size, 4.0 + 0j), 6.0, 0.0, 900.0, 3.0, 1.0)
    assert figures_of(flat) == DriverLoad(6.0, 0.0, 900.0, 3.0, 1.0)


def test_a_value_beyond_what_is_sold_is_not_offered() -> None:
    """Limits of 1 to 100 uF: 0.95 uF has 1, 1.2, 1.5, 1.8 of E12 but nothing below; where nothing lies inside, the nearest all the same."""
    limits = (1e-6, 1e-4)
    policy = DesignOptions(policy="preferred")
    assert values(Component("C", 0.95e-6), policy, limits) == [1e-6, 1.2e-6, 1.5e-6]
    assert values(Component("C", 1.05e-4), policy, limits) == [1e-4, 8.2e-5, 6.8e-5]
    assert values(Component("C", 1e-9), policy, limits) == [1e-9]


@every(("own_ohm", "floor_ohm"), [(8.0, 5.6), (4.0, 3.2), (3.0, 2.4), (3.5, 2.8)])
def test_a_branch_alone_may_go_four_fifths_below_its_own_driver(own_ohm: float, floor_ohm: float) -> None:
    """The load of both keeps 0.7 x 8, 3.2, 3.0 and 3.2 ohm; a branch of a driver of 3 ohm could never keep 3 alone."""
    side = Side(F, np.full(F.size, 0.5 + 0j), np.full(F.size, own_ohm + 0j))
    case = synthesis._Case(side, side, SLOPES["LR4"], 2000.0, DesignOptions())
    grid = np.arange(F.size), slice(0, F.size)
    for high in (False, True):
        task = synthesis._task(case, high, grid, 80.0, np.ones(F.size))
        assert task.floor_ohm == pytest.approx(floor_ohm)
        assert task.level_db == 80.0 and abs(task.shape[int(np.argmin(np.abs(F - 2000.0)))]) == pytest.approx(
            0.5, rel=0.05
        )
        stopped, passed = abs(task.shape[0 if high else -1]), abs(task.shape[-1 if high else 0])
        assert stopped < 1e-3 and passed > 0.99


def test_what_is_not_bought_by_its_row_is_only_told_where_the_shelf_must_do() -> None:
    """A trap of two parts without a row and a capacitor with one: named once under "stock", and that one ran short."""
    trap = across(Component("L", 1e-3, role="resonance trap"), Component("R", 4.0, role="resonance trap"))
    low = Branch((in_path(Component("C", 1e-5, role="series capacitor", part_id="KC-1")), trap))
    for policy, within_stock in (("any", True), ("preferred", True), ("stock", True), ("stock", False)):
        selected = SimpleNamespace(heard_db=0.6, low=low, high=Branch(()), within_stock=within_stock)
        grounds: Any = SimpleNamespace(options=DesignOptions(policy=policy), selected=selected, optimum_db=0.5)  # type: ignore[arg-type]
        told = list(reasons._wanting(grounds))
        named = (
            ["Nothing at hand for resonance trap: preferred values stand there and must be bought."]
            if policy == "stock"
            else []
        )
        short = [] if within_stock else ["The stock does not hold enough of one part; see the parts list."]
        assert told == named + short


def test_a_curve_that_does_not_fit_its_frequencies_is_refused() -> None:
    impedance = DriverLoad(6.0, 0.2e-3, 900.0, 3.0, 1.0).impedance(F)
    for f, z in (
        (F, impedance[:-1]),
        (F[:-1], impedance),
        (F[:200].reshape(2, 100), impedance[:200].reshape(2, 100)),
        (F[:7], impedance[:7]),
    ):
        with pytest.raises(ValueError, match="one impedance a frequency"):
            fit_driver_load(f, z)


def test_what_a_fit_holds_against_what() -> None:
    """As set by trial on the demo season and held against three others: shares of the mean square, and bounds in dB."""
    assert (joint.BRANCH_SHARE, joint.SUM_SHARE, joint.PHASE_SHARE) == (0.12, 0.6, 0.05)
    assert (joint.EVEN_DB, joint.UNEVEN_SHARE, joint.LOUD_DB, joint.LOUD_SHARE) == (1.0, 6.0, 3.0, 1.0)
    assert (joint.NULL_DB, joint.NULL_SHARE) == (18.0, 0.01)
    assert (forms.NOTCH_FROM_DB, forms.LIFT_FROM_DB, forms.SHELF_FROM_DB, forms.WORTH_COMPENSATING) == (
        1.5,
        1.5,
        3.0,
        0.2,
    )
    assert (selection.UNPRICED_DB, selection.ROOM_FROM_DB, selection.ROOM_SHARE) == (0.2, 1.0, 0.5)
    assert (equivalents.WORTH_A_RESONANCE, equivalents.WANTED_FIT, equivalents.WORST_FIT) == (0.8, 0.02, 0.25)


def test_the_least_of_an_impedance_is_its_modulus() -> None:
    """3 + 4j, 6 and 5.2j ohm: 5 ohm, though the last has no resistance at all."""
    side = Side(F[:3], np.ones(3) + 0j, np.array([3.0 + 4.0j, 6.0, 5.2j]))
    assert side.least_ohm == pytest.approx(5.0)


@every(
    ("component", "ohm"),
    [
        (Component("R", 4.0, 1.0), 5.0),
        (Component("R", 4.0), 4.0),
        (Component("L", 1e-9, 0.5), 0.5),
        (Component("C", 1.0, 0.2), 0.2),
    ],
)
def test_the_heat_of_a_part_is_that_of_all_its_resistance(component: Component, ohm: float) -> None:
    """In the path of 4 ohm: the square of its current times resistance and loss; a rating of just what it needs is enough, a hair less is not."""
    branch, load = Branch((in_path(component),)), np.full(F.size, 4.0)
    (part,) = branch_stress(branch, load, F, PINK, 12.0)
    assert part.current_rms == pytest.approx(12.0 / (4.0 + ohm), rel=1e-3) and part.power_w == pytest.approx(
        part.current_rms**2 * ohm
    )
    for share, weak in ((1.0, False), (1.0 - 1e-9, True), (1.0 + 1e-9, False)):
        rated = replace(component, rating=part.needed * share, rating_unit=part.unit)
        (again,) = branch_stress(Branch((in_path(rated),)), load, F, PINK, 12.0)
        assert again.needed == part.needed and again.underrated is weak


def test_a_driver_is_evened_over_a_third_of_an_octave_but_not_about_the_crossover() -> None:
    """241 points over ten octaves, 24 an octave: a peak of one sample, 9 dB, is 1 dB over nine samples; about f_c and at the ends it stays."""
    places = (4, 60, int(np.argmin(np.abs(F - 2000.0))), 200)
    level = np.full(F.size, 86.0)
    level[list(places)] += 9.0
    phase = np.exp(1j * np.linspace(0.0, 30.0, F.size))
    side = Side(F, 2e-5 * 10 ** (level / 20) * phase, np.full(F.size, 8.0 + 0j))
    found = synthesis._evened(side, 2000.0)
    np.testing.assert_allclose(np.angle(found / phase), 0.0, atol=1e-9)
    evened = 20 * np.log10(np.abs(found) / 2e-5)
    wanted = np.full(F.size, 86.0)
    for at in (60, 200):
        wanted[at - 4 : at + 5] = 87.0
    wanted[places[2]] = 95.0
    wanted[4:9] = 87.0  # the first that has four samples to either side is that with the number 4 itself
    np.testing.assert_allclose(evened, wanted, atol=1e-6)


@every("within_hz", (2000.0 * 2.0**0.8, 2000.0 * 2.0**0.9))
def test_a_driver_is_held_against_its_mean_within_three_quarters_of_an_octave(within_hz: float) -> None:
    """90 dB as far as that to both sides of 2000 Hz and 70 beyond, which does not count; 4 dB more at 2000 Hz itself hardly move the mean."""
    level = np.where(np.abs(np.log(F / 2000.0)) <= np.log(within_hz / 2000.0), 90.0, 70.0)
    at = int(np.argmin(np.abs(np.log(F / 2000.0))))
    level[at] += 4.0
    side = Side(F, 2e-5 * 10 ** (level / 20) + 0j, np.full(F.size, 8.0 + 0j))
    assert synthesis._own_db(side, 2000.0) == pytest.approx(
        4.0 - 4.0 / 36.0, abs=0.01
    )  # 36 steps of a 24th of an octave


def test_a_band_that_is_voiced_from_near_the_crossover_on_is_levelled_over_an_octave_below_it() -> None:
    """Voiced from 1500 Hz, crossed at 2000: over the octave from 1000 Hz the low side has 80 dB for lg2 1.5 = 0.585 and 86 for the rest,
    82.5 on the mean, and the target lies 1 dB above that."""
    level = np.where(F < 1500.0, 80.0, 86.0)
    low = Side(
        F, 2e-5 * 10 ** (level / 20) * np.abs(low_pass(SLOPES["LR4"], F, 2000.0)) + 0j, np.full(F.size, 8.0 + 0j)
    )
    high = Side(F, np.full(F.size, 2e-5 * 10 ** (95.0 / 20) + 0j), np.full(F.size, 8.0 + 0j))
    found = levels_of(low, high, SLOPES["LR4"], 2000.0, Voicing(1500.0, 12000.0))
    assert found[0] == pytest.approx(83.5, abs=0.15)


def test_what_flattens_a_driver_keeps_near_its_handbook_value_in_a_fit(monkeypatch: pytest.MonkeyPatch) -> None:
    """A trap on 1100 Hz, Qes 1.2, 5.4 ohm: L = 1.2 x 5.4 / (2 pi 1100) = 0.938 mH, by 2.5 to either side; Le/Re^2 = 0.6 mH / 5.8^2 = 17.8 uF."""
    monkeypatch.setattr(synthesis, "_fitted", lambda bench, forms, task, natural_db: task)
    loads = DriverLoad(5.8, 0.6e-3, 45.0, 3.5, 0.45), DriverLoad(5.4, 0.0, 1100.0, 1.8, 1.2)
    low, high = (
        Side(F, np.full(F.size, 0.5 + 0j), one.impedance(F), one.re_ohm, one.le_h, one.fs_hz, one.qms, one.qes)
        for one in loads
    )
    task: Any = explored.__wrapped__(low, high, SLOPES["LR4"], 2000.0, DesignOptions(voicing=Voicing(200.0, 12000.0)))
    assert task.high.windows["resonance trap", "L"] == pytest.approx((0.3751e-3, 2.344e-3), rel=1e-3)
    assert task.low.windows["impedance compensation", "C"] == pytest.approx((7.134e-6, 44.59e-6), rel=1e-3)


def test_where_no_single_piece_bears_the_voltage_two_may_in_any_case() -> None:
    """Two of 20 uF in a row are 10 uF and bear twice 50 V, two of 10 are 5; 10 uF of 50 V alone do not bear 80."""
    shelf = PartOffer("single", "C", 1e-5, 0.05, rating=50.0), PartOffer("double", "C", 2e-5, 0.05, rating=50.0)
    place, losses = Component("C", 1e-5, role="series capacitor"), Losses(0.35, 0.55, 0.02)
    for needs, told in (
        ((), {"single", "double"}),
        ((("series capacitor", "C", 80.0),), {"double + double", "single + single"}),
    ):
        options = DesignOptions(policy="stock", stock=shelf, needs=needs)
        assert {one.part_id for one in _candidates(place, (1e-7, 1e-3), options, losses, False)} == told


def test_of_networks_of_as_many_pieces_the_one_that_misses_less_stands_first() -> None:
    """A wider one stays where it misses less by 0.02 or is nearer by 0.03 dB (common practice, no source)."""
    rows = ((6, 0.5, 1.2), (6, 0.1, 1.3), (7, 0.09, 1.28), (8, 0.09, 1.26), (9, 0.06, 1.4))
    made: Any = [SimpleNamespace(pieces=n, missed=missed, error_db=db, sum_rms_db=1.0) for n, missed, db in rows]
    assert [(one.pieces, one.missed) for one in synthesis._rising(made[1:])] == [(6, 0.1), (8, 0.09), (9, 0.06)]
    first, *_ = synthesis._rising(made)
    assert (first.pieces, first.missed) == (6, 0.1)


def test_the_impedance_is_watched_to_both_ends_of_the_curves() -> None:
    """Fitted from 200 to 12000 Hz; to either side five frequencies more, the last of them 20 Hz and 20 kHz (common practice, no source)."""
    points, band = synthesis._grid(F, 2000.0, (200.0, 12000.0))
    assert F[points[band]][[0, -1]] == pytest.approx([200.0, 12000.0], rel=0.03)
    for outside in (points[: band.start], points[band.stop :][::-1]):
        assert outside.size == 5 and F[outside[0]] in (20.0, pytest.approx(20_000.0))
