"""The air: its limits and its levels."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from reportgen.acoustics import baffle, guides, listening, lobes, radiators, travel
from reportgen.acoustics.air import STANDARD_AIR, Air, level_db, pressure_pa, wave_number
from reportgen.acoustics.guides import Guide, GuidedRadiator
from reportgen.acoustics.listening import Source
from reportgen.acoustics.patterns import measured_radiator
from reportgen.acoustics.radiators import Radiator
from reportgen.acoustics.slopes import SLOPES
from tests.every import every


def test_warm_air_is_faster_and_thinner() -> None:
    assert Air(30.0).speed_m_s > Air(10.0).speed_m_s
    assert Air(30.0).density_kg_m3 < Air(10.0).density_kg_m3
    assert Air(20.0, 90e3).speed_m_s == Air(20.0).speed_m_s


@every(("arguments", "text"), [((-273.15,), "must be above -273.15"), ((20.0, 0.0), "pressure")])
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


@every(
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


WARM = Air(60.0, 80_000.0)
FASTER = WARM.speed_m_s / STANDARD_AIR.speed_m_s
CONE, FOIL = Radiator("round", 0.13), Radiator("rectangular", 0.02, 0.3)
GUIDE = Guide(0.2, 0.15, 1.4, 1.0)
HZ = np.array([300.0, 1500.0, 6000.0])
ARRAY = [Source((0.0, 0.0, 0.0), FOIL, np.ones(3, complex)), Source((0.1, -0.3, -0.05), CONE, np.ones(3, complex))]
PANEL = (0.3, 0.6, 0.05, 0.2)
EARS = tuple((2.0 * float(np.sin(a)), 2.0 * float(np.cos(a))) for a in 0.25 * np.arange(-41, 42) / 40.0)
AWAY = {("h", 0.5): (np.geomspace(10.0, 1e5, 40), np.full(40, -3.0))}
NO_LEVEL = (np.geomspace(10.0, 1e5, 40), np.zeros(40))
OF_WAVES = {
    "edges": lambda air, f: baffle.edge_response(f, *PANEL, False, air, FOIL),
    "edges of an open panel": lambda air, f: baffle.edge_response(f, *PANEL, True, air, CONE),
    "power": lambda air, f: baffle.radiated_power(f, *PANEL, False, air),
    "power of an open panel": lambda air, f: baffle.radiated_power(f, *PANEL, True, air),
    "cone": lambda air, f: CONE.along(f, 0.4, 0.3, air),
    "foil": lambda air, f: FOIL.along(f, 0.4, 0.3, air),
    "index of a cone": lambda air, f: CONE.index_db(f, air),
    "index of a foil": lambda air, f: FOIL.index_db(f, air),
    "sum": lambda air, f: listening.sum_at(ARRAY, (0.3, 0.4, 2.0), f, air),
    "index of an array": lambda air, f: listening.directivity_index_db(ARRAY, f, air),
    "near field": lambda air, f: listening.near_field(FOIL, f, 1.0, air),
}
"""What depends on lengths against the wavelength alone."""


@every("name", OF_WAVES)
def test_in_faster_air_all_that_counts_waves_happens_as_much_higher(name: str) -> None:
    """c of 60 degrees over that of 20 is 1.066: at 1.066 times the frequency everything is as it was."""
    assert FASTER == pytest.approx((333.15 / 293.15) ** 0.5)
    found, there = OF_WAVES[name](WARM, HZ * FASTER), OF_WAVES[name](STANDARD_AIR, HZ)
    np.testing.assert_allclose(found, there, rtol=1e-6, atol=1e-9)
    assert not np.allclose(OF_WAVES[name](WARM, HZ), there, rtol=1e-4)


def test_what_is_a_frequency_rises_with_the_speed_of_sound() -> None:
    pairs = [
        (radiators.half_amplitude_frequency_hz(0.5, 0.13, air), radiators.model_bound(CONE, air).doubtful_above_hz,
         guides.horn_cutoff_hz(0.025, 0.04, 0.25, air),
         lobes.column_side_lobe_hz(0.1, 0.5, air), lobes.lobing_limit_hz(SLOPES["LR4"], ((0.0, 0.0),), ((0.15, 0.0),), EARS, air),
         lobes.lobing_limit_hz(SLOPES["LR4"], ((-0.152, 0.0), (0.152, 0.0)), ((0.0, 0.0),), EARS, air))
        for air in (WARM, STANDARD_AIR)
    ]  # fmt: skip
    np.testing.assert_allclose(np.array(pairs[0]) / np.array(pairs[1]), FASTER, rtol=1e-9)


def test_a_guide_has_its_own_frequencies_and_a_radiator_those_of_the_air() -> None:
    """Far below its limits a guide leaves the bare radiator, which beams in slow air; so its pattern and its index follow the air."""
    deep = Guide(0.02, 0.02, 1.0, 1.0)  # limits at 22 kHz
    for air in (WARM, STANDARD_AIR):
        np.testing.assert_allclose(deep.along(HZ, 0.4, 0.3, CONE, air), CONE.along(HZ, 0.4, 0.3, air), rtol=1e-9)
        np.testing.assert_allclose(deep.gain_db(HZ, CONE, air), 0.0, atol=0.02)
        np.testing.assert_allclose(GuidedRadiator(CONE, deep).index_db(HZ, air), CONE.index_db(HZ, air), atol=0.05)
    for found in (GUIDE.along(HZ, 0.4, 0.3, CONE, WARM), GUIDE.index_db(HZ, CONE, WARM)):
        assert np.all(np.isfinite(found))
    gain = GUIDE.index_db(HZ, FOIL, WARM) - FOIL.index_db(HZ, WARM)
    np.testing.assert_allclose(GUIDE.gain_db(HZ, FOIL, WARM), np.maximum(gain, 0.0), atol=1e-9)


def test_what_was_measured_stands_at_its_own_frequencies_in_any_air() -> None:
    """3 dB down at 0.5 rad, measured in the air of the day: so it is read, also where the model behind it beams otherwise."""
    for air in (WARM, STANDARD_AIR):
        found = measured_radiator(CONE, NO_LEVEL, AWAY, air)
        np.testing.assert_allclose(found.along(HZ, np.sin(0.5), 0.0, air), 10.0 ** (-3.0 / 20.0), rtol=2e-3)


def test_thin_air_asks_for_more_travel() -> None:
    """Pressure with density: half as dense, twice the travel, and full travel at 1.41 times the frequency."""
    thin = Air(20.0, 50662.5)
    at = (2.0, 7e-4, 1500.0)
    assert travel.travel_from_pressure(*at, air=thin) == pytest.approx(2.0 * travel.travel_from_pressure(*at))
    for slope in ("LR4", "BW3"):
        limit = travel.travel_limit_hz(2.0, 7e-4, 3e-4, SLOPES[slope], thin)
        assert limit == pytest.approx(2.0**0.5 * travel.travel_limit_hz(2.0, 7e-4, 3e-4, SLOPES[slope]))
    assert travel.full_travel_hz(2.0, 7e-4, 3e-4, thin) == pytest.approx(
        2.0**0.5 * travel.full_travel_hz(2.0, 7e-4, 3e-4)
    )


def test_a_level_is_that_of_the_modulus() -> None:
    """94 dB are 1.0024 Pa (ISO 1683); turned in phase or in sign it stays as loud; silence has none."""
    for pressure in (1.0024, -1.0024, 1.0024j, 0.6014 - 0.8019j):
        assert float(level_db(pressure)) == pytest.approx(94.0, abs=1e-3)
    assert float(level_db(0.0)) == -np.inf
