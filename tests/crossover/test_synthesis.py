"""Design of both branches: handbook values into a resistance, and what must hold for any pair of drivers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from reportgen.acoustics.slopes import SLOPES, polarity
from reportgen.crossover import synthesis
from reportgen.crossover.growth import Grower
from reportgen.crossover.networks import in_parallel, input_impedance, transfer
from reportgen.crossover.parts import E_SERIES, used_ids
from reportgen.crossover.synthesis import DesignOptions, Side, design, reached
from reportgen.crossover.topologies import PAD, handbook_high, handbook_low

F = np.geomspace(20.0, 20_000.0, 160)
LOSSLESS = DesignOptions(coil_ohm=0.0, capacitor_ohm=0.0, minimum_ohm=0.5)


@pytest.mark.parametrize("name", ["BW1", "LR2", "BW2", "BE2", "BW3", "BE3", "LR4", "BW4", "BE4"])
def test_into_a_resistance_the_synthesis_finds_the_handbook(name, resistive):
    """The ladder that is the target exactly has no error, so the fit must end there (Cauer 1926)."""
    slope = SLOPES[name]
    found = design(resistive(), resistive(), slope, 3000.0, LOSSLESS)
    for branch, book in (
        (found.low, handbook_low(slope, 8.0, 3000.0)),
        (found.high, handbook_high(slope, 8.0, 3000.0)),
    ):
        assert [c.kind for c in branch.components] == [c.kind for c in book.components]
        np.testing.assert_allclose(branch.values, book.values, rtol=6e-3)
    assert found.high_reversed == (polarity(slope) < 0)
    assert found.sum_rms_db < 0.05
    assert found.pad_db == 0.0
    assert found.shortfall_db == pytest.approx(0.0, abs=0.01)


def test_the_worked_example_of_the_trade(resistive):
    """8 ohm, 3 kHz, Butterworth 2: 0.600 mH and 4.69 uF (handbook)."""
    found = design(resistive(), resistive(), SLOPES["BW2"], 3000.0, LOSSLESS)
    assert found.low.values == pytest.approx([0.600e-3, 4.69e-6], rel=2e-3)


@pytest.mark.parametrize("name", ["LR2", "LR4", "BW3"])
def test_real_drivers_meet_the_target_around_the_crossover(name, sides):
    found = design(*sides(), SLOPES[name], 2450.0)
    assert found.sum_rms_db < 0.6
    assert found.high_rms_db < 1.2
    assert found.optimum_rms_db < 0.8
    assert abs(found.loss_db) < 0.1
    assert 2.0 < found.pad_db + abs(found.target_db - 88.0) < 8.0


def test_reported_figures_are_those_of_the_parts_reported(sides):
    """Worked out again from the branches alone."""
    low, high = sides()
    found = design(low, high, SLOPES["LR4"], 2450.0, DesignOptions(policy="preferred"))
    band = (F >= 1225.0 * 0.9999) & (F <= 4900.0 * 1.0001)
    sign = -1 if found.high_reversed else 1
    total = low.response * transfer(found.low, low.impedance, F) + sign * high.response * transfer(
        found.high, high.impedance, F
    )
    error = 20 * np.log10(np.abs(total[band]) / 2e-5) - found.target_db
    assert found.sum_rms_db == pytest.approx(np.sqrt(np.mean(error**2)), abs=1e-9)
    assert abs(found.sum_worst_db) == pytest.approx(np.max(np.abs(error)), abs=1e-9)


def test_the_reversed_branch_leaves_a_deep_null_where_the_phases_track(sides):
    found = design(*sides(), SLOPES["LR4"], 2450.0)
    assert abs(found.phase_worst_rad) < 0.5
    assert found.null_db < -18.0


def test_centres_further_apart_in_depth_are_seen(sides):
    """The same parts with the low driver 40 mm further back: 42 degrees a 10 mm at 4 kHz, worked by hand."""
    low, high = sides()
    found = design(low, high, SLOPES["LR4"], 2450.0)
    args = {"high_reversed": found.high_reversed, "level_db": (found.target_db, found.target_db)}
    back = replace(low, response=low.response * np.exp(-2j * np.pi * F * 0.04 / 343.0))
    moved = reached((back, found.low), (high, found.high), SLOPES["LR4"], 2450.0, **args)
    assert abs(moved.phase_worst_rad) > 1.0
    assert moved.sum_rms_db > 2.0 * found.sum_rms_db
    assert moved.sum_worst_hz in F
    again = design(back, high, SLOPES["LR4"], 2450.0)
    assert again.sum_rms_db < moved.sum_rms_db


def test_a_half_wave_of_offset_turns_the_polarity(resistive):
    """A path longer by half a wavelength at f_c turns the low branch over there, so the high one must follow."""
    low, high = resistive(), resistive()
    back = replace(low, response=low.response * np.exp(-2j * np.pi * F * 0.5 / 3000.0))
    assert not design(low, high, SLOPES["LR4"], 3000.0, LOSSLESS).high_reversed
    assert design(back, high, SLOPES["LR4"], 3000.0, LOSSLESS).high_reversed


def test_a_quieter_high_side_is_a_shortfall_and_gets_no_pad(sides):
    found = design(*sides(high_db=84.0), SLOPES["LR4"], 2450.0)
    assert 2.0 < found.shortfall_db < 6.0
    assert found.pad_db == 0.0
    assert any("can lift it" in reason for reason in found.reasons)


def test_a_louder_high_side_is_padded_by_the_difference(sides):
    quiet, loud = (design(*sides(high_db=level), SLOPES["LR4"], 2450.0) for level in (93.0, 97.0))
    assert loud.pad_db - quiet.pad_db == pytest.approx(4.0, abs=1.0)


def test_preferred_values_are_of_the_series(sides):
    found = design(*sides(), SLOPES["LR4"], 2450.0, DesignOptions(policy="preferred", series="E12"))
    for c in (*found.low.components, *found.high.components):
        digits = float(f"{c.value:.6e}".split("e")[0])
        assert any(abs(digits - step) < 1e-6 for step in E_SERIES["E24" if c.kind == "R" else "E12"])
    assert found.loss_db < 0.3


def test_stock_parts_are_offers_with_their_price(sides, stock):
    shelf = stock()
    found = design(*sides(), SLOPES["LR4"], 2450.0, DesignOptions(policy="stock", stock=shelf))
    parts = (*found.low.components, *found.high.components)
    offers = {offer.id: offer for offer in shelf}
    assert all(part in offers for c in parts for part in used_ids(c))
    assert found.price == pytest.approx(sum(offers[part].price for c in parts for part in used_ids(c)))
    assert found.loss_db < 0.3


def test_the_target_never_stands_above_what_the_quieter_driver_gives(resistive):
    """No network lifts a passband; equal drivers leave no shortfall, however badly a slope can be met."""
    natural = 20 * np.log10(0.5 / 2e-5)
    found = design(resistive(), resistive(), SLOPES["LR8"], 3000.0, LOSSLESS)
    assert found.target_db <= natural + 0.5
    assert found.shortfall_db < 0.5


def test_a_stage_that_does_not_pay_is_taken_out(sides):
    """One resistor in the path does here what a pad of two would; the second is left out."""
    found = design(*sides(), SLOPES["LR2"], 2450.0)
    pads = [stage.place for stage in found.high.stages if stage.components[0].role == PAD]
    assert pads == ["series"]
    assert found.pad_db > 3.0


def test_where_the_shelf_cannot_build_the_best_form_another_is_tried(sides, stock, monkeypatch):
    """Coils of 0.1 and 1 mH only: with the form best on paper alone the choice would be worse."""
    shelf = tuple(offer for offer in stock() if offer.kind != "L" or round(offer.value * 1e3, 3) in (0.1, 1.0))
    options = DesignOptions(policy="stock", stock=shelf)
    found = design(*sides(), SLOPES["LR4"], 2450.0, options)
    assert any("better on paper" in reason for reason in found.reasons)
    monkeypatch.setattr(synthesis, "ACCEPTED_LOSS_DB", 99.0)
    stubborn = design(*sides(), SLOPES["LR4"], 2450.0, options)
    assert found.optimum_rms_db + found.loss_db < stubborn.optimum_rms_db + stubborn.loss_db - 0.5


def test_the_fit_keeps_to_what_the_shelf_reaches(sides, stock):
    """Coils from 0.68 mH up only: the fit itself looks for values there, so that real parts lose little."""
    shelf = tuple(offer for offer in stock() if offer.kind != "L" or offer.value >= 0.67e-3)
    found = design(*sides(), SLOPES["LR4"], 2450.0, DesignOptions(policy="stock", stock=shelf))
    assert min(c.value for c in (*found.low.components, *found.high.components) if c.kind == "L") > 0.67e-3
    assert found.loss_db < 0.2
    assert found.sum_rms_db < 0.6


def test_fitted_together_the_branches_may_need_fewer_parts(sides, monkeypatch):
    """With the low driver 20 mm further back the joint fit makes stages idle that each branch alone had wanted."""
    found = design(*sides(offset_m=0.02), SLOPES["LR4"], 2450.0)
    monkeypatch.setattr(Grower, "pruned", lambda self, fits: fits)
    full = design(*sides(offset_m=0.02), SLOPES["LR4"], 2450.0)
    assert len(found.high.components) + len(found.low.components) < len(full.high.components) + len(full.low.components)
    assert found.optimum_rms_db < full.optimum_rms_db + 0.1


def test_more_filter_parts_never_fit_much_worse_than_fewer(sides):
    """A ladder can always make its further parts idle, so its error must not stand far above the shorter one's."""
    low = {t.form: t.rms_db for t in design(*sides(), SLOPES["LR4"], 2450.0).trials if t.branch == "low"}
    assert low["4 filter parts"] < 1.2 * low["2 filter parts"]
    assert low["3 filter parts"] < 1.2 * low["2 filter parts"]


def test_what_the_shelf_lacks_is_named(sides, stock):
    shelf = tuple(offer for offer in stock() if offer.kind != "L")
    found = design(*sides(), SLOPES["LR4"], 2450.0, DesignOptions(policy="stock", stock=shelf))
    assert found.price is None
    assert any("must be bought" in reason and "coil" in reason for reason in found.reasons)


@pytest.mark.parametrize("policy", ["any", "preferred", "stock"])
@pytest.mark.parametrize("name", ["LR2", "BW3", "LR4", "LR8"])
def test_both_branches_together_keep_the_load_above_its_floor(sides, stock, name, policy):
    """Drivers of 4 ohm, the floor at 3.2: the whole load, at every frequency (IEC 60268-5: 80 % of the rated)."""
    low, high = sides()
    low, high = (replace(side, impedance=0.65 * side.impedance, re_ohm=0.65 * side.re_ohm) for side in (low, high))
    options = DesignOptions(policy=policy, stock=stock(), minimum_ohm=3.2)
    found = design(low, high, SLOPES[name], 2450.0, options)
    assert np.min(np.abs(_load(low, high, found))) > 3.2


def test_without_the_floor_the_load_would_fall_below_it(sides):
    low, high = sides()
    low, high = (replace(side, impedance=0.65 * side.impedance, re_ohm=0.65 * side.re_ohm) for side in (low, high))
    free = [design(low, high, SLOPES[name], 2450.0, DesignOptions(minimum_ohm=0.1)) for name in ("BW3", "LR4", "LR8")]
    assert min(np.min(np.abs(_load(low, high, one))) for one in free) < 3.0


def test_a_floor_above_the_driver_itself_asks_for_no_more_than_the_driver(sides):
    low, high = sides()
    found = design(low, high, SLOPES["LR4"], 2450.0, DesignOptions(minimum_ohm=12.0))
    own = min(np.min(np.abs(side.impedance)) for side in (low, high))
    assert np.min(np.abs(_load(low, high, found))) > own
    assert found.sum_rms_db < 1.0


def _load(low, high, found):
    seen = (input_impedance(b, side.impedance, F) for b, side in ((found.low, low), (found.high, high)))
    return in_parallel(*seen)


def test_additions_stay_only_where_they_earn_their_place(sides):
    free = design(*sides(), SLOPES["BW3"], 2450.0, DesignOptions(worth_db=0.0, sensitivity=0.0))
    usual = design(*sides(), SLOPES["BW3"], 2450.0)
    dear = design(*sides(), SLOPES["LR4"], 2450.0, DesignOptions(worth_db=1.5))
    known = design(*sides(), SLOPES["LR4"], 2450.0)
    for more, fewer in ((free, usual), (known, dear)):
        assert len(fewer.low.components) + len(fewer.high.components) < len(more.low.components) + len(
            more.high.components
        )
        assert more.optimum_rms_db < fewer.optimum_rms_db
    assert {trial.branch for trial in free.trials} == {"low", "high"}
    assert len(free.trials) > 8


def test_the_same_question_gets_the_same_answer(sides):
    first, second = (design(*sides(), SLOPES["LR4"], 2450.0, DesignOptions(policy="preferred")) for _ in range(2))
    assert first == second


def test_figures_missing_from_the_sheet_are_fitted_from_the_impedance(sides):
    low, high = sides()
    bare = [Side(s.frequency_hz, s.response, s.impedance) for s in (low, high)]
    stated, fitted = design(low, high, SLOPES["LR4"], 2450.0), design(*bare, SLOPES["LR4"], 2450.0)
    assert fitted.optimum_rms_db == pytest.approx(stated.optimum_rms_db, abs=0.05)


def test_curves_that_cannot_serve_are_refused(sides):
    low, high = sides()
    other = sides(f=F * 1.01)[1]
    with pytest.raises(ValueError, match="same grid"):
        design(low, other, SLOPES["LR4"], 2450.0)
    with pytest.raises(ValueError, match="an octave below"):
        design(low, high, SLOPES["LR4"], 15_000.0)
    holed = replace(high, response=np.where(F > 5000.0, 0.0, high.response))
    with pytest.raises(ValueError, match="response of the high side"):
        design(low, holed, SLOPES["LR4"], 2450.0)
