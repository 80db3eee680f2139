"""Ladder analysis against chain matrices written out by hand, textbook identities and power balance."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.networks import (
    Branch,
    Component,
    across,
    amplifier_load,
    component_loads,
    in_parallel,
    in_path,
    input_impedance,
    rated_impedance,
    transfer,
    wired,
    with_components,
    with_values,
)
from tests.every import every

F = np.geomspace(20.0, 20_000.0, 160)
DRIVER = DriverLoad(re_ohm=5.6, le_h=0.3e-3, fs_hz=900.0, qms=2.2, qes=1.1)
LOAD = DRIVER.impedance(F)

FULL = Branch(
    (
        in_path(Component("L", 0.5e-3, 0.2), Component("C", 3e-6, 0.05), Component("R", 40.0), join="parallel"),
        in_path(Component("C", 8e-6, 0.03)),
        across(Component("L", 0.4e-3, 0.15)),
        in_path(Component("R", 2.0)),
        across(Component("R", 12.0)),
        across(Component("L", 0.5e-3, 0.1), Component("C", 20e-6, 0.02), Component("R", 6.0)),
    )
)


def by_matrices(branch, load, f):
    """The same ladder as a product of 2 x 2 chain matrices, written for one frequency at a time."""
    gains, impedances = [], []
    for frequency, z_load in zip(f, load, strict=True):
        jw = 2j * pi * frequency
        chain = np.eye(2, dtype=complex)
        for stage in branch.stages:
            parts = [
                {"L": jw * c.value, "C": 1 / (jw * c.value), "R": c.value}[c.kind] + c.resistance_ohm
                for c in stage.components
            ]
            z = sum(parts) if stage.join == "series" else 1 / sum(1 / p for p in parts)
            chain = chain @ np.array([[1, z], [0, 1]] if stage.place == "series" else [[1, 0], [1 / z, 1]])
        a, b, c, d = chain.ravel()
        gains.append(1 / (a + b / z_load))
        impedances.append((a * z_load + b) / (c * z_load + d))
    return np.array(gains), np.array(impedances)


def test_the_ladder_is_the_product_of_its_chain_matrices():
    gain, impedance = by_matrices(FULL, LOAD, F)
    np.testing.assert_allclose(transfer(FULL, LOAD, F), gain, rtol=1e-10)
    np.testing.assert_allclose(input_impedance(FULL, LOAD, F), impedance, rtol=1e-10)


def test_a_branch_without_stages_is_a_wire():
    np.testing.assert_allclose(transfer(Branch(()), LOAD, F), 1.0)
    np.testing.assert_allclose(input_impedance(Branch(()), LOAD, F), LOAD)


def test_many_builds_in_one_call_equal_each_alone():
    factors = np.random.default_rng(4).uniform(0.8, 1.2, (7, len(FULL.components)))
    together = transfer(FULL, LOAD, F, FULL.values * factors)
    assert together.shape == (7, 160)
    for row, factor in zip(together, factors, strict=True):
        np.testing.assert_allclose(row, transfer(with_values(FULL, FULL.values * factor), LOAD, F), rtol=1e-12)


def test_loads_that_differ_from_build_to_build_are_taken_row_by_row():
    loads = LOAD * np.array([[0.9], [1.0], [1.1]])
    together = transfer(FULL, loads, F)
    for row, load in zip(together, loads, strict=True):
        np.testing.assert_allclose(row, transfer(FULL, load, F), rtol=1e-12)


def test_voltages_and_currents_of_the_parts_satisfy_ohm_and_balance_the_power():
    loads = component_loads(FULL, LOAD, F)
    jw = 2j * pi * F
    dissipated = np.zeros(len(F))
    for c, v, i in zip(FULL.components, loads.voltage, loads.current, strict=True):
        z = {"L": jw * c.value, "C": 1 / (jw * c.value), "R": c.value + 0 * jw}[c.kind] + c.resistance_ohm
        np.testing.assert_allclose(v, z * i, rtol=1e-9)
        dissipated += np.real(v * np.conj(i))
    gain = transfer(FULL, LOAD, F)
    dissipated += np.abs(gain) ** 2 * np.real(1 / LOAD)
    np.testing.assert_allclose(dissipated, np.real(1 / input_impedance(FULL, LOAD, F)), rtol=1e-9)


def test_component_loads_take_a_plain_resistance():
    loads = component_loads(Branch((in_path(Component("R", 4.0)),)), 8.0, F)
    assert loads.voltage.shape == (1, 160)
    np.testing.assert_allclose(loads.voltage, 1 / 3)


def test_a_part_must_have_a_positive_value_and_no_negative_loss():
    with pytest.raises(ValueError, match=r"series coil: the value is -1\.0; it must be greater than 0"):
        Component("L", -1.0, role="series coil")
    with pytest.raises(ValueError, match=r"the loss is -0\.1 ohm; it must not be negative"):
        Component("C", 1e-6, -0.1)
    with pytest.raises(ValueError, match="must be greater than 0"):
        Component("R", float("nan"))


def test_parts_go_back_into_their_stages_in_order():
    assert with_components(FULL, FULL.components) == FULL
    changed = with_values(FULL, FULL.values * 2.0)
    np.testing.assert_allclose(changed.values, FULL.values * 2.0)
    assert [s.place for s in changed.stages] == [s.place for s in FULL.stages]


@every(
    ("minimum", "rated"),
    [
        (1.59, None),
        (1.6, 2.0),
        (2.39, 2.0),
        (2.4, 3.0),
        (3.19, 3.0),
        (3.2, 4.0),
        (4.79, 4.0),
        (4.8, 6.0),
        (6.3, 6.0),
        (6.4, 8.0),
    ],
)
def test_rated_impedance_keeps_the_80_per_cent_rule(minimum, rated):
    """IEC 60268-5: the lowest modulus shall not be less than 80 % of the rated impedance."""
    assert rated_impedance(minimum) == rated


def test_amplifier_load_finds_minimum_and_largest_phase():
    both = in_parallel(LOAD, DriverLoad(6.5, 0.8e-3, 45.0, 4.0, 0.5).impedance(F))
    seen = amplifier_load(both, F)
    assert seen.minimum_ohm == pytest.approx(np.min(np.abs(both)))
    assert np.interp(seen.minimum_hz, F, np.abs(both)) == pytest.approx(seen.minimum_ohm)
    assert abs(seen.largest_phase_rad) == pytest.approx(np.max(np.abs(np.angle(both))))
    assert seen.rated_ohm is None or seen.minimum_ohm >= 0.8 * seen.rated_ohm


@every(
    ("count", "wiring", "factor", "share", "level"),
    [
        (1, "parallel", 1.0, 1.0, 0.0),
        (2, "series", 2.0, 0.5, 0.0),
        (2, "parallel", 0.5, 1.0, 6.0206),
        (4, "series-parallel", 1.0, 0.5, 6.0206),
        (6, "series-parallel", 1.5, 1 / 3, 6.0206),
        (9, "series-parallel", 1.0, 1 / 3, 9.5424),
    ],
)
def test_wiring_of_several_drivers(count, wiring, factor, share, level):
    """Worked by hand: n drivers, each with its share of the voltage, add in pressure."""
    result = wired(LOAD, count, wiring)
    np.testing.assert_allclose(result.impedance_ohm, factor * LOAD)
    assert result.voltage_share == pytest.approx(share)
    assert result.level_change_db == pytest.approx(level, abs=1e-4)
    assert result.level_change_db == pytest.approx(20 * np.log10(count * result.voltage_share))


def test_wiring_refuses_what_cannot_be_wired():
    with pytest.raises(ValueError, match="3 drivers cannot be wired series-parallel"):
        wired(8.0, 3, "series-parallel")
    with pytest.raises(ValueError, match="must be at least 1"):
        wired(8.0, 0, "parallel")


@every("count", range(1, 26))
def test_series_parallel_is_the_most_nearly_square_of_all_arrangements(count):
    """By trying every number of rows: as few in series more than rows as divide the count; a prime cannot be wired so."""
    fitting = [
        (series, count // series) for series in range(1, count + 1) if count % series == 0 and series * series >= count
    ]
    in_series, rows = min(fitting)
    if rows == 1 and count > 1:
        with pytest.raises(ValueError, match=f"{count} drivers cannot be wired series-parallel"):
            wired(8.0, count, "series-parallel")
        return
    found = wired(8.0, count, "series-parallel")
    assert (found.in_series, found.rows) == (in_series, rows)
    assert found.impedance_ohm == pytest.approx(8.0 * in_series / rows)
    for wiring, along, across_ in (("series", count, 1), ("parallel", 1, count)):
        other = wired(8.0, count, wiring)
        assert (other.in_series, other.rows, other.voltage_share) == (along, across_, 1.0 / along)


def test_losses_count_in_every_kind_of_part():
    """4 ohm before 4 ohm, of which 1 is a loss, whatever the part: half the voltage, 8 ohm. A coil and a capacitor at 1 kHz by hand."""
    for part in (Component("R", 3.0, 1.0), Component("R", 4.0)):
        branch = Branch((in_path(part),))
        assert abs(transfer(branch, 4.0, 1000.0)) == pytest.approx(0.5) and input_impedance(
            branch, 4.0, 1000.0
        ) == pytest.approx(8.0)
    for part, reactance in ((Component("L", 1e-3, 0.5), 2j * pi), (Component("C", 1e-5, 0.5), -1j / (2 * pi * 1e-2))):
        assert input_impedance(Branch((in_path(part),)), 4.0, 1000.0).item() == pytest.approx(4.5 + reactance)
        shunt = Branch((across(part),))
        assert input_impedance(shunt, 4.0, 1000.0).item() == pytest.approx(1 / (1 / 4.0 + 1 / (0.5 + reactance)))
