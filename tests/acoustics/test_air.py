"""The air: its limits and its levels."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from reportgen.acoustics.air import STANDARD_AIR, Air, level_db, pressure_pa, wave_number


def test_warm_air_is_faster_and_thinner() -> None:
    assert Air(30.0).speed_m_s > Air(10.0).speed_m_s
    assert Air(30.0).density_kg_m3 < Air(10.0).density_kg_m3
    assert Air(20.0, 90e3).speed_m_s == Air(20.0).speed_m_s


@pytest.mark.parametrize(("arguments", "text"), [((-273.15,), "must be above -273.15"), ((20.0, 0.0), "pressure")])
def test_impossible_air_is_refused(arguments: tuple[float, ...], text: str) -> None:
    with pytest.raises(ValueError, match=text):
        Air(*arguments)


def test_air_is_frozen() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        STANDARD_AIR.temperature_c = 5.0  # type: ignore[misc] # that it fails is the test


def test_levels_and_pressures_invert() -> None:
    level = np.array([0.0, 60.0, 94.0, 130.0])
    np.testing.assert_allclose(level_db(pressure_pa(level)), level)
    assert level_db(0.0) == -np.inf


def test_wave_number_counts_wavelengths() -> None:
    assert float(wave_number(STANDARD_AIR.speed_m_s)) == pytest.approx(2 * np.pi)


@pytest.mark.parametrize(
    ("celsius", "pascal", "speed", "density"),
    [
        (0.0, 101325.0, 331.3, 1.29229), (-40.0, 101325.0, 306.08, 1.51399), (273.15, 101325.0, 331.3 * 2**0.5, 0.646145),
        (20.0, 50662.5, 343.215, 0.60206), (20.0, 90000.0, 343.215, 1.06954),
    ],
)  # fmt: skip
def test_cold_air_and_thin_air_by_hand(celsius: float, pascal: float, speed: float, density: float) -> None:
    """c grows with the root of the temperature in kelvin; density with pressure over it: p/(287.05 T)."""
    air = Air(celsius, pascal)
    assert air.speed_m_s == pytest.approx(speed, rel=1e-4) and air.density_kg_m3 == pytest.approx(density, rel=1e-4)
    assert wave_number(1000.0, air) == pytest.approx(2.0 * np.pi * 1000.0 / speed, rel=1e-4)
