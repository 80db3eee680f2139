"""Loads drawn as circuits: against the closed forms of theory, and found again in their own curves."""

from __future__ import annotations

import re
from dataclasses import replace
from math import pi

import mpmath
import numpy as np
import pytest

from reportgen.crossover import equivalents
from reportgen.crossover.equivalents import (
    closed_equivalent,
    coil_sections,
    driver_equivalent,
    equivalent_of,
    fitted_equivalent,
    resistive_equivalent,
    vented_equivalent,
)
from reportgen.crossover.loads import DriverLoad
from tests.every import every

F = np.geomspace(20.0, 20_000.0, 241)
LOW = DriverLoad(5.8, 0.6e-3, 45.0, 3.5, 0.45)


def lossy(f, le_h, n):
    """K (j w)^n with the modulus of the stated coil at 1 kHz (Leach 2002)."""
    return 2 * pi * 1000 * le_h * (1j * f / 1000) ** n


def vented(f, load, vas, volume, tuning, q):
    """Small 1973, written as the sum of two admittances beside Res, Lces and Cmes; another path than the package's."""
    w, wb = 2 * pi * f, 2 * pi * tuning
    motion = 1 / load.res_ohm + 1 / (1j * w * load.lces_h) + 1j * w * load.cmes_f
    box = load.lces_h * volume / vas
    port = 1j * w * box + wb * box / q + wb**2 * box / (1j * w)
    return load.re_ohm + 2j * pi * f * load.le_h + 1 / (motion + 1 / port)


def worst(ours, theirs):
    return float(np.max(np.abs(ours / theirs - 1)))


def test_the_driver_is_that_of_its_figures():
    assert worst(driver_equivalent(LOW).impedance(F), LOW.impedance(F)) < 1e-12


def test_the_closed_box_raises_resonance_and_q_alike():
    """Small 1972: Vas = 3 Vb doubles fs, Qms and Qes; the height of the peak stays."""
    boxed = closed_equivalent(LOW, 0.03, 0.01)
    assert worst(boxed.impedance(F), DriverLoad(5.8, 0.6e-3, 90.0, 7.0, 0.9).impedance(F)) < 1e-12


def test_the_vented_box_has_two_peaks_about_its_tuning():
    found = vented_equivalent(LOW, 0.03, 0.02, 40.0, 7.0)
    assert worst(found.impedance(F), vented(F, LOW, 0.03, 0.02, 40.0, 7.0)) < 1e-12
    assert [one.remark for one in found.sections] == ["voice coil"] * 2 + ["moving system with box and port across it"]
    port = found.sections[-1].chains[-1]
    assert [(part.kind, part.role) for part in port] == [
        ("L", "compliance of the box"), ("C", "mass of the port"), ("R", "leak of the box"),
    ]  # fmt: skip
    lossy_one = driver_equivalent(LOW, 0.7).sections
    assert {one.remark for one in lossy_one[1:-1]} == {"lossy voice coil"}
    assert [lossy_one[at].remark for at in (0, -1)] == ["voice coil", "resonance of the moving system"]
    modulus = np.abs(vented_equivalent(replace(LOW, le_h=0.0), 0.03, 0.02, 40.0, 1e9).impedance(np.array([40.0])))
    assert modulus[0] == pytest.approx(5.8, rel=1e-6), "without leak the tuned port shorts the moving system"


@every("exponent", [0.45, 0.6, 0.75, 0.9, 0.98])
def test_the_chain_of_a_lossy_coil_is_the_power_of_frequency(exponent):
    """Against mpmath's own power of a complex number."""
    chain = sum(section.impedance(F) for section in coil_sections(0.8e-3, exponent))
    power = [complex(2 * mpmath.pi * 1000 * 0.8e-3 * mpmath.mpc(0, f / 1000) ** exponent) for f in F]
    assert worst(chain, np.array(power)) < 0.003
    parts = [part for s in coil_sections(0.8e-3, exponent) for one in s.chains for part in one]
    assert all(part.value > 0 for part in parts)


def test_a_coil_without_loss_is_one_part():
    assert [len(coil_sections(le, n)) for le, n in ((0.0, None), (1e-3, None), (1e-3, 1.0))] == [0, 1, 1]


def test_several_drivers_scale_the_impedance():
    one = vented_equivalent(LOW, 0.03, 0.02, 40.0, 7.0, 0.7)
    assert worst(one.scaled(2.0).impedance(F), 2.0 * one.impedance(F)) < 1e-12


def test_any_load_is_a_circuit():
    assert worst(equivalent_of(8.0).impedance(F), np.full(F.size, 8.0)) < 1e-12
    assert worst(equivalent_of(LOW).impedance(F), LOW.impedance(F)) < 1e-12
    assert worst(resistive_equivalent(5.0, 1e-5).impedance(F), 5.0 + 2j * pi * F * 1e-5) < 1e-12


CURVES = {
    "free air": LOW.impedance(F),
    "lossy coil": 5.8 + lossy(F, 0.6e-3, 0.7) + LOW.impedance(F) - 5.8 - 2j * pi * F * LOW.le_h,
    "vented box": vented(F, LOW, 0.03, 0.02, 40.0, 7.0),
    "vented box, lossy coil": vented(F, replace(LOW, le_h=0.0), 0.03, 0.02, 40.0, 7.0) + lossy(F, 0.6e-3, 0.7),
    "two ringing modes": LOW.impedance(F) + 3 / (1 + 8j * (F / 700 - 700 / F)) + 1 / (1 + 20j * (F / 4000 - 4000 / F)),
    "a resistor": np.full(F.size, 6.0 + 0j),
}


@every("name", CURVES)
def test_a_measured_impedance_is_drawn_within_one_percent(name):
    found = fitted_equivalent(F, CURVES[name])
    assert worst(found.impedance(F), CURVES[name]) < 0.01
    parts = [part for s in found.sections for chain in s.chains for part in chain]
    assert all(part.value > 0 for part in parts)
    share = 100.0 * np.abs(found.impedance(F) / CURVES[name] - 1.0)
    told = re.fullmatch(
        r"load fitted to a measured impedance: \d resonances?, rms miss ([\d.]+) %, worst ([\d.]+) % at (\d+) Hz",
        found.remark,
    )
    assert told is not None, found.remark
    assert float(told[1]) == pytest.approx(np.sqrt(np.mean(share**2)), abs=0.00501)
    assert float(told[2]) == pytest.approx(np.max(share), abs=0.00501)
    assert float(told[3]) == pytest.approx(F[np.argmax(share)], abs=0.501)


def test_noise_is_averaged():
    """1 % and 0.6 degree of noise at every point: the circuit comes nearer to the curve without it."""
    noise = np.random.default_rng(3).normal(0.0, 0.01, (2, F.size))
    found = fitted_equivalent(F, CURVES["vented box"] * np.exp(noise[0] + 1j * noise[1]))
    assert worst(found.impedance(F), CURVES["vented box"]) < 0.02 < np.max(np.abs(noise))


def test_what_no_circuit_draws_is_refused():
    """A phase that swings by a radian about a flat modulus is of no circuit of positive parts."""
    with pytest.raises(ValueError, match=r"cannot be drawn as a circuit: at \d+ Hz"):
        fitted_equivalent(F, 6.0 * np.exp(1j * np.sin(9 * np.log(F))))


@every(("ohm", "hz", "q"), [(1.0, 3000.0, 1.0), (1.0, 700.0, 1.0), (6.0, 110.0, 2.0)])
def test_a_resonance_that_is_no_peak_on_a_rising_curve_is_found_too(ohm, hz, q):
    """Added to a lossy coil that rises faster, or beside a higher one: the resistance has one peak, the circuit two resonances."""
    curve = replace(LOW, le_h=0.0).impedance(F) + lossy(F, 0.6e-3, 0.6) + ohm / (1 + 1j * q * (F / hz - hz / F))
    found = fitted_equivalent(F, curve)
    assert "2 resonances" in found.remark and worst(found.impedance(F), curve) < 0.01


@every(("most", "told"), [(1, " 1 resonance,"), (2, " 2 resonances,")])
def test_so_many_resonances_are_drawn_as_are_allowed(monkeypatch, most, told):
    """Two are there, of which one is no peak: the last that is allowed is drawn, and none beyond."""
    monkeypatch.setattr(equivalents, "MOST_RESONANCES", most)
    f = F * (1.0 + 1e-6 * most)  # no other test has asked for this very curve
    curve = replace(LOW, le_h=0.0).impedance(f) + lossy(f, 0.6e-3, 0.6) + 1.0 / (1 + 1j * (f / 700.0 - 700.0 / f))
    assert told in fitted_equivalent(f, curve).remark


def test_what_lies_out_of_bounds_costs_three_for_each_factor_of_e():
    """Re of 1000 e ohm, a coil of 0.1 e^2 H, and one of 0.01 uH / e: residuals of 3, 6 and 3 beside those of the curve; on the bounds none."""
    z = np.full(F.size, 6.0 + 0j)
    inside = [np.log(6.0), np.log(1e-4), 0.0]
    found = equivalents._misses(
        F, z, np.array([inside, [np.log(1e3) + 1.0, np.log(0.1) + 2.0, 0.0], [np.log(0.1), np.log(1e-8) - 1.0, 0.0]])
    )
    np.testing.assert_allclose(found[:, 2 * F.size :], [[0.0] * 3, [3.0, 6.0, 0.0], [0.0, 3.0, 0.0]], atol=1e-9)
    miss = np.log((6.0 + lossy(F, 1e-4, 0.7)) / 6.0)  # the exponent of 0 is the middle of 0.4 and 1
    np.testing.assert_allclose(found[0, : 2 * F.size], [*miss.real, *miss.imag], atol=1e-12)


def test_every_unknown_of_a_circuit_has_its_bounds():
    """0.1 ohm to 1 kohm, 10 nH to 0.1 H, any exponent; a resonance of 1 mohm to 1 kohm from 6 Hz to 80 kHz, of Q 0.05 to 60."""
    low, high = np.log([0.1, 1e-8, 1e-9, 1e-3, 6.0, 0.05]), np.log([1e3, 0.1, 1e6, 1e3, 80e3, 60.0])
    found = equivalents._misses(
        F, np.full(F.size, 6.0 + 0j), np.array([low, high, low - 1.0, high + 2.0, low + 1.0, high - 1.0])
    )
    outside = [np.zeros(6), np.zeros(6), np.full(6, 3.0), np.full(6, 6.0), np.zeros(6), np.zeros(6)]
    np.testing.assert_allclose(found[:, 2 * F.size :], outside, atol=1e-9)
