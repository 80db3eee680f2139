"""The driver as a load, and its figures found again in its own curve."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.crossover.loads import DriverLoad, fit_driver_load
from tests.every import every

F = np.geomspace(20.0, 20_000.0, 160)


def test_impedance_is_that_of_its_own_resistor_coil_and_capacitor():
    """Small 1972: Res, Lces and Cmes in parallel behind Re and Le."""
    load = DriverLoad(5.7, 0.25e-3, 62.0, 3.1, 0.42)
    jw = 2j * np.pi * F
    motional = 1 / (1 / load.res_ohm + 1 / (jw * load.lces_h) + jw * load.cmes_f)
    np.testing.assert_allclose(load.impedance(F), load.re_ohm + jw * load.le_h + motional, rtol=1e-9)
    assert abs(DriverLoad(5.7, 0.0, 62.0, 3.1, 0.42).impedance(62.0)) == pytest.approx(5.7 * (1 + 3.1 / 0.42))


@every(
    "load",
    [
        DriverLoad(5.8, 0.6e-3, 45.0, 3.5, 0.45),
        DriverLoad(5.4, 0.05e-3, 1100.0, 1.8, 1.2),
        DriverLoad(3.2, 0.02e-3, 650.0, 0.7, 1.6),
    ],
)
def test_the_fit_inverts_the_model(load):
    fitted = fit_driver_load(F, load.impedance(F))
    assert fitted.impedance(F) == pytest.approx(load.impedance(F), rel=1e-6)
    for name in ("re_ohm", "fs_hz", "qms", "qes"):
        assert getattr(fitted, name) == pytest.approx(getattr(load, name), rel=1e-4)


def test_the_fit_survives_the_noise_of_a_measurement():
    load = DriverLoad(5.8, 0.4e-3, 900.0, 2.5, 1.1)
    noise = np.random.default_rng(7).normal(0.0, 0.01, (2, len(F)))
    fitted = fit_driver_load(F, load.impedance(F) * (1 + noise[0] + 1j * noise[1]))
    assert fitted.re_ohm == pytest.approx(5.8, rel=0.02)
    assert fitted.fs_hz == pytest.approx(900.0, rel=0.03)


def test_too_few_points_are_refused():
    with pytest.raises(ValueError, match="cannot be fitted") as caught:
        fit_driver_load(F[:5], np.ones(6))
    assert str(caught.value) == (
        "an impedance curve of shape (6,) over (5,) frequencies cannot be fitted; give at least 8 points, one impedance a frequency"
    )
