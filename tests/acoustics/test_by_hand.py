"""Figures of drivers, guides and measurements that a builder would feel, each worked out by hand beside its test."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.acoustics.drivers import complete_parameters, vented_box
from reportgen.acoustics.guides import Guide
from reportgen.acoustics.measured import correct, fitted
from reportgen.acoustics.radiators import Radiator
from tests.every import every

F = np.geomspace(100.0, 10_000.0, 400)


@every(("hz", "down_db"), [(2000.0, 6.0206), (1000.0, 6.0206), (707.107, 3.0103), (500.0, 0.0), (250.0, 0.0)])
def test_a_guide_lets_go_over_one_octave(hz: float, down_db: float) -> None:
    """0.254 m and 100 degrees: 25 400/(100 x 0.254) = 1000 Hz. 6.02 dB down at 50 degrees from there up, in dB half of it half an
    octave lower, nothing an octave lower, where a radiator of 2 mm goes as far as it likes (one octave: common practice, no source)."""
    across = np.radians(100.0)
    guide = Guide(0.254, 0.254, across, across)
    level = guide.along(hz, np.sin(across / 2.0), 0.0, Radiator("dome", 0.002, 0.002))
    assert -20.0 * np.log10(float(level)) == pytest.approx(down_db, abs=0.01)


@every(("down_db", "counts"), [(20.0, True), (30.0, False)])
def test_what_lies_25_db_under_the_top_tells_nothing_of_a_delay(down_db: float, counts: bool) -> None:
    """A level that steps down below 400 Hz, its own minimum phase, half a millisecond, and 1 rad of rubbish where it is low."""
    model, nepers = np.ones(F.size, dtype=complex), np.where(F < 400.0, -down_db / 20.0 * np.log(10.0), 0.0)
    own = correct(F, model, F, nepers, None).minimum_rad
    quiet = F < 350.0
    found = correct(F, model, F, nepers, own - 2.0 * np.pi * F * 0.5e-3 + np.where(quiet, 1.0, 0.0)).timing
    assert found is not None and not found.inverted and found.delay_s == pytest.approx(0.5e-3, rel=0.02)
    assert (found.left_rad > 0.2) is counts


@every(("ripple", "taken"), [(0.2, True), (0.22, False)])
def test_a_model_that_misses_by_15_per_cent_is_of_something_else(ripple: float, taken: bool) -> None:
    """A sine of 0.2 nepers is 0.141 rms, of 0.22 0.156; ten whole periods, so that their mean leaves 2.0 as it is."""
    nepers = np.log(2.0) + ripple * np.sin(np.linspace(0.0, 20.0 * np.pi, F.size))
    (value,) = fitted(F, lambda x: np.full(F.size, x[0], dtype=complex), (1.5,), F, nepers, (100.0, 10_000.0))
    assert value == pytest.approx(2.0 if taken else 1.5, rel=1e-3)


def test_a_stated_q_is_held_against_that_of_the_magnet() -> None:
    """w = 100/s, 100 g, 4 ohm and 4 T m: Qes = 100 x 0.1 x 4/16 = 2.5, where 5 is stated: twice."""
    found = complete_parameters(
        fs_hz=100.0 / (2.0 * np.pi), moving_mass_kg=0.1, re_ohm=4.0, force_factor_t_m=4.0, qes=5.0
    )
    one = found.disagreements[0]
    assert (one.first_field, one.second_field) == ("force_factor_t_m", "qes")
    assert (one.stated, one.derived, one.ratio) == pytest.approx((5.0, 2.5, 2.0))


def test_a_vented_box_of_usual_losses_at_its_tuning() -> None:
    """Q 7: with fs = fb, Qts 0.5 and Vas = Vb, box j/7 and denominator -(2/7 + 1): travel 1/9, response 7/9."""
    found = vented_box(np.array([40.0]), 40.0, 0.5, 0.05, 0.05, 40.0)
    assert float(found.travel_ratio[0]) == pytest.approx(1.0 / 9.0)
    assert abs(complex(found.response[0])) == pytest.approx(7.0 / 9.0)
