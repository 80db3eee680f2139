"""By what networks of one pairing are told apart."""

from __future__ import annotations

import numpy as np

from reportgen.pairing.heat import Heat, Warmth
from reportgen.suitability.checks import all_checks
from reportgen.suitability.limits import all_limits
from reportgen.suitability.steps import Candidate, _step
from tests.suitability.workbench import built


def candidate(rated_ohm: float, low_w: float) -> Candidate:
    """The example with a network of that rating that leaves so many watts in a low driver of 60 W."""
    found = built(rated_ohm=rated_ohm, heat=Heat(20.0, Warmth(low_w, 60.0, None), Warmth(1.0, 10.0, None)))
    return Candidate(found, all_checks(found, all_limits(found.setting)))


def test_a_load_pulled_down_a_class_spares_no_driver() -> None:
    """The low driver's own least impedance allows 6 ohm. 45 W at the voltage of 4 ohm are 67.5 W at that of 6: 0.5 dB over 60 W."""
    plain, pulled = candidate(6.0, 45.0), candidate(4.0, 45.0)
    least = float(np.abs(plain.built.model.low_side.impedance).min())
    assert 0.8 * 6.0 <= least < 0.8 * 8.0
    fails, gaps, marginals = plain.standing
    assert pulled.standing == (fails, gaps, marginals + 2)  # a marginal, and a condition that the builder must keep
    too_hot = candidate(4.0, 60.0)  # 90 W at the voltage of 6 ohm, as many as a network of 6 ohm that leaves 90 W
    assert too_hot.standing == (fails + 1, gaps, marginals) and too_hot.rank == candidate(6.0, 90.0).rank
    assert candidate(6.0, 67.5).standing == pulled.standing
    assert (
        next(check for check in pulled.checks if check.id == "low_heat").outcome == "pass"
    )  # what is printed stays as it is


def test_a_network_within_the_rating_stands_before_one_that_asks_for_a_smaller_amplifier() -> None:
    clear, near, over = (candidate(6.0, watts).standing for watts in (45.0, 57.0, 66.0))
    assert clear < near < over


def test_a_step_that_was_passed_over_never_fails_less_than_the_one_built() -> None:
    """60 W at the voltage of 4 ohm are 90 W at that of 6: as a step that is not built it fails by what it was told apart by."""
    pulled, heat = candidate(4.0, 60.0), "Heat of the low driver"
    assert heat in _step(pulled, False).failed and heat not in (
        *_step(pulled, False).marginal,
        *_step(pulled, True).failed,
    )
    near = _step(candidate(4.0, 45.0), False)
    assert heat in near.marginal and heat not in near.failed
