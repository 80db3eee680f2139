"""Handbook forms: what they must do into a resistance, by identities that hold exactly."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.acoustics.slopes import SLOPES, high_pass, low_pass
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.networks import Branch, in_parallel, input_impedance, transfer
from reportgen.crossover.topologies import (
    bass_shelf,
    before_driver,
    coil_compensation,
    handbook_high,
    handbook_low,
    level_pad,
    notch,
    resonance_trap,
)
from tests.every import every

F = np.geomspace(20.0, 20_000.0, 160)


@every("name", sorted(SLOPES))
def test_handbook_networks_into_a_resistance_are_the_targets(name):
    slope = SLOPES[name]
    np.testing.assert_allclose(
        transfer(handbook_low(slope, 6.0, 1800.0), 6.0, F), low_pass(slope, F, 1800.0), atol=1e-9
    )
    np.testing.assert_allclose(
        transfer(handbook_high(slope, 6.0, 1800.0), 6.0, F), high_pass(slope, F, 1800.0), atol=1e-9
    )


@every(("qms", "qes"), [(2.0, 1.4), (6.0, 0.4), (0.8, 0.9)])
def test_the_trap_makes_a_driver_without_inductance_a_pure_resistance(qms, qes):
    """The trap is the dual of the resonance in Re: the parallel of both is Re at every frequency."""
    driver = DriverLoad(5.8, 0.0, 1100.0, qms, qes)
    compensated = Branch((resonance_trap(driver),))
    np.testing.assert_allclose(input_impedance(compensated, driver.impedance(F), F), 5.8, rtol=1e-9)


def test_coil_compensation_makes_coil_and_resistance_a_pure_resistance():
    driver = 6.2 + 2j * np.pi * F * 0.7e-3
    np.testing.assert_allclose(input_impedance(Branch((coil_compensation(6.2, 0.7e-3),)), driver, F), 6.2, rtol=1e-9)


@every("attenuation", [0.5, 3.0, 6.0206, 12.0])
def test_the_level_pad_keeps_the_resistance_and_takes_its_decibels(attenuation):
    branch = Branch(level_pad(attenuation, 8.0))
    assert 20 * np.log10(abs(transfer(branch, 8.0, 1000.0))).item() == pytest.approx(-attenuation)
    assert input_impedance(branch, 8.0, 1000.0).item() == pytest.approx(8.0)


def test_a_pad_of_6_db_into_8_ohm_is_4_and_8_ohm():
    """Half the voltage: worked by hand."""
    assert Branch(level_pad(20 * np.log10(2), 8.0)).values == pytest.approx([4.0, 8.0])


def test_a_pad_must_attenuate():
    with pytest.raises(ValueError, match="must be greater than 0"):
        level_pad(0.0, 8.0)


def test_the_notch_takes_its_depth_at_its_frequency_and_leaves_the_rest():
    branch = Branch((notch(5200.0, 8.0, 6.0),))
    assert 20 * np.log10(abs(transfer(branch, 6.0, 5200.0))).item() == pytest.approx(-8.0, abs=1e-6)
    assert 20 * np.log10(abs(transfer(branch, 6.0, 500.0))).item() == pytest.approx(0.0, abs=0.3)


def test_stages_join_at_the_end_they_are_asked_to():
    branch = before_driver(handbook_high(SLOPES["BW2"], 8.0, 3000.0), *level_pad(3.0, 8.0))
    assert [c.role for c in branch.components] == ["series capacitor", "shunt coil", "level pad", "level pad"]
    assert in_parallel(8.0, 8.0).item() == pytest.approx(4.0)


def test_the_bass_shelf_lowers_what_lies_above_it():
    """Into 6 ohm, 4 dB: the resistor 6 (10^0.2 - 1) = 3.51 ohm; far below nothing, far above 4 dB (worked by hand)."""
    shelf = bass_shelf(4.0, 6.0, 400.0)
    coil, resistor = shelf.components
    assert resistor.value == pytest.approx(3.509, abs=1e-3) and coil.value == pytest.approx(
        3.509 / (2 * np.pi * 400.0), rel=1e-3
    )
    level = 20 * np.log10(np.abs(transfer(Branch((shelf,)), 6.0, np.array([4.0, 400.0, 40e3]))))
    np.testing.assert_allclose(level[[0, 2]], [0.0, -4.0], atol=0.02)
    assert -4.0 < level[1] < 0.0
