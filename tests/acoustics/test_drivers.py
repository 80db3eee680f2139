"""Drivers: inverses, limits, conventions for what is missing."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reportgen.acoustics import drivers
from reportgen.acoustics.air import Air
from tests.every import every

FREQUENCY = np.geomspace(10.0, 20000.0, 64)
WOOFER = {"re_ohm": 5.8, "fs_hz": 40.0, "qms": 4.0, "qes": 0.4, "diaphragm_area_m2": 0.013}
PAIRED = ("moving_mass_kg", "vas_m3", "force_factor_t_m", "sensitivity_db")


def test_impedance_has_its_peak_at_resonance_and_re_away_from_it() -> None:
    at = drivers.impedance(np.array([0.01, 40.0, 4e5]), 5.8, 40.0, 4.0, 0.4)
    np.testing.assert_allclose(at.real, [5.8, 5.8 * 11.0, 5.8], rtol=1e-5)
    assert at[1].imag == pytest.approx(0.0, abs=1e-9)
    res, omega = 58.0, 2.0 * np.pi * FREQUENCY  # the circuit of Small 1972: resistor, coil and capacitor side by side
    coil, capacitor = res / (4.0 * 2.0 * np.pi * 40.0), 4.0 / (2.0 * np.pi * 40.0 * res)
    circuit = 5.8 + 0.5e-3j * omega + 1.0 / (1.0 / res + 1.0 / (1j * omega * coil) + 1j * omega * capacitor)
    np.testing.assert_allclose(drivers.impedance(FREQUENCY, 5.8, 40.0, 4.0, 0.4, 0.5e-3), circuit, rtol=1e-9)


def test_coil_with_and_without_loss() -> None:
    ideal = drivers.coil_impedance(FREQUENCY, 0.5e-3)
    np.testing.assert_allclose(ideal, 2j * np.pi * FREQUENCY * 0.5e-3)
    np.testing.assert_allclose(drivers.coil_impedance(FREQUENCY, 0.5e-3, 1.0), ideal, rtol=1e-12)
    lossy = drivers.coil_impedance(np.array([1000.0, 4000.0]), 0.5e-3, 0.5)
    assert abs(lossy[0]) == pytest.approx(abs(drivers.coil_impedance(1000.0, 0.5e-3)))
    assert abs(lossy[1] / lossy[0]) == pytest.approx(2.0)  # 4^0.5
    np.testing.assert_allclose(np.angle(lossy), np.pi / 4)
    with pytest.raises(ValueError, match="exponent"):
        drivers.coil_impedance(1000.0, 0.5e-3, 1.5)


def test_high_pass_is_q_at_resonance_and_one_far_above() -> None:
    got = np.abs(drivers.high_pass(np.array([1100.0, 1e7]), 1100.0, 0.7))
    np.testing.assert_allclose(got, [0.7, 1.0], rtol=1e-6)


# --- parameters


@every("given_field", PAIRED)
def test_each_linked_figure_leads_to_all_the_others(given_field: str) -> None:
    whole = drivers.complete_parameters(**WOOFER, vas_m3=0.03)
    found = drivers.complete_parameters(**WOOFER, **{given_field: getattr(whole, given_field)})
    for field in (*PAIRED, "compliance_m_n", "resistance_kg_s", "efficiency_ratio", "qts"):
        assert getattr(found, field) == pytest.approx(getattr(whole, field)), field
    assert found.disagreements == ()
    assert set(found.derived) == set(PAIRED) - {given_field}


def test_a_sheet_that_agrees_within_a_tenth_is_silent_and_beyond_it_is_named() -> None:
    whole = drivers.complete_parameters(**WOOFER, vas_m3=0.03)
    mass = whole.moving_mass_kg
    assert mass is not None
    for ratio, named in ((1.0999, 0), (1.0 / 1.0999, 0), (1.1001, 1), (1.0 / 1.1001, 1)):
        other = drivers.complete_parameters(**WOOFER, vas_m3=0.03, moving_mass_kg=mass * ratio)
        assert len(other.disagreements) == named
    (found,) = drivers.complete_parameters(**WOOFER, vas_m3=0.03, moving_mass_kg=mass * 1.2).disagreements
    assert (found.first_field, found.second_field) == ("moving_mass_kg", "vas_m3")
    assert found.stated == 0.03
    assert found.derived == pytest.approx(0.025)
    assert found.ratio == pytest.approx(1.2)


def test_a_level_disagrees_by_the_ratio_of_pressures() -> None:
    whole = drivers.complete_parameters(**WOOFER, vas_m3=0.03)
    assert whole.sensitivity_db is not None
    near = drivers.complete_parameters(**WOOFER, vas_m3=0.03, sensitivity_db=whole.sensitivity_db + 0.8)
    assert near.disagreements == ()
    (found,) = drivers.complete_parameters(
        **WOOFER, vas_m3=0.03, sensitivity_db=whole.sensitivity_db - 2.0
    ).disagreements
    assert (found.first_field, found.second_field) == ("vas_m3", "sensitivity_db")
    assert found.ratio == pytest.approx(10 ** (-0.1))


def test_force_mass_and_electrical_q_are_held_against_each_other() -> None:
    whole = drivers.complete_parameters(**WOOFER, vas_m3=0.03)
    assert whole.force_factor_t_m is not None
    found = drivers.complete_parameters(
        **WOOFER, moving_mass_kg=whole.moving_mass_kg, force_factor_t_m=whole.force_factor_t_m * 1.2
    ).disagreements
    assert [(one.first_field, one.second_field) for one in found] == [
        ("force_factor_t_m", "qes"),
        ("moving_mass_kg", "force_factor_t_m"),
    ]
    assert found[0].ratio == pytest.approx(1.44)
    assert found[1].ratio == pytest.approx(1.2)


def test_electrical_q_follows_from_mass_and_force() -> None:
    rest = {name: value for name, value in WOOFER.items() if name != "qes"}
    whole = drivers.complete_parameters(**WOOFER, vas_m3=0.03)
    found = drivers.complete_parameters(
        **rest, moving_mass_kg=whole.moving_mass_kg, force_factor_t_m=whole.force_factor_t_m
    )
    assert found.qes == pytest.approx(0.4)
    assert "qes" in found.derived
    assert found.vas_m3 == pytest.approx(0.03)


def test_nothing_given_leads_to_nothing() -> None:
    found = drivers.complete_parameters(re_ohm=3.2)
    assert found == drivers.Parameters(re_ohm=3.2)
    assert drivers.complete_parameters(sensitivity_db=91.0, re_ohm=3.2).sensitivity_db == 91.0


# --- boxes


@given(st.floats(20.0, 2000.0), st.floats(0.2, 3.0), st.floats(1e-6, 0.2), st.floats(1e-6, 0.2))
@settings(max_examples=50, deadline=None)
def test_chamber_on_and_off_again(fs_hz: float, q: float, vas: float, chamber: float) -> None:
    closed = drivers.rear_chamber(fs_hz, q, vas, chamber)
    assert closed[0] > fs_hz
    np.testing.assert_allclose(drivers.free_air(*closed, vas, chamber), (fs_hz, q))


def test_a_deeper_chamber_lowers_both() -> None:
    resonance, q = drivers.rear_chamber(600.0, 0.6, 1e-5, np.array([5e-6, 5e-5]))
    assert resonance[1] < resonance[0]
    assert q[1] < q[0]


def test_a_closed_box_is_consistent_with_its_parts() -> None:
    box = drivers.closed_box(FREQUENCY, 40.0, 0.36, 0.03, 0.01)
    np.testing.assert_allclose(box.response, drivers.high_pass(FREQUENCY, 80.0, 0.72))
    assert box.travel_ratio[0] == pytest.approx(0.25, rel=0.05)  # the stiffness is fourfold
    peak = drivers.closed_box_impedance(80.0, 5.8, 40.0, 4.0, 0.4, 0.03, 0.01)
    assert abs(peak) == pytest.approx(5.8 * 11.0)


def test_a_vented_box_rests_at_its_tuning_and_is_free_at_zero() -> None:
    f = np.array([0.01, 40.0, 5000.0])
    box = drivers.vented_box(f, 40.0, 0.38, 0.05, 0.035, 40.0, losses=1e9)
    assert box.travel_ratio[0] == pytest.approx(1.0, rel=1e-4)
    assert box.travel_ratio[1] < 1e-6
    assert abs(box.response[2]) == pytest.approx(1.0, rel=1e-3)


def test_a_huge_tight_vented_box_with_a_low_vent_is_a_closed_box() -> None:
    f = np.geomspace(40.0, 1000.0, 20)
    vented = drivers.vented_box(f, 40.0, 0.4, 0.03, 0.01, 0.01, losses=1e6).response
    np.testing.assert_allclose(vented, drivers.closed_box(f, 40.0, 0.4, 0.03, 0.01).response, atol=1e-4)


def test_vented_impedance_has_its_saddle_at_the_tuning() -> None:
    f = np.geomspace(10.0, 200.0, 2001)
    modulus = np.abs(drivers.vented_box_impedance(f, 5.8, 40.0, 4.0, 0.4, 0.05, 0.035, 40.0, losses=20.0))
    peaks = f[1:-1][(modulus[1:-1] > modulus[:-2]) & (modulus[1:-1] > modulus[2:])]
    assert len(peaks) == 2
    between = (f > peaks[0]) & (f < peaks[1])
    assert f[between][np.argmin(modulus[between])] == pytest.approx(40.0, rel=0.02)


def test_a_ring_stands_at_its_frequency_and_nowhere_else() -> None:
    f = np.geomspace(1000.0, 60000.0, 4001)
    level = 20 * np.log10(np.abs(drivers.ring(f, 25000.0, 8.0)))
    assert f[np.argmax(level)] == pytest.approx(25000.0, rel=0.01)
    assert np.max(level) == pytest.approx(8.0, abs=0.02)
    assert np.max(np.abs(level[f < 12500.0])) < 0.3
    np.testing.assert_allclose(drivers.ring(f, 25000.0, 0.0), 1.0)
    # as far below as above it is the same, turned (u to 1/u in the formula)
    np.testing.assert_allclose(drivers.ring(625e6 / f, 25000.0, 8.0), np.conj(drivers.ring(f, 25000.0, 8.0)))


def test_total_q_by_hand() -> None:
    """1/Qts = 1/Qms + 1/Qes (Small 1972): 1/4 + 1/0.4 = 2.75, so 0.3636."""
    assert drivers.parallel_q(4.0, 0.4) == pytest.approx(0.363636, abs=1e-6)
    assert drivers.complete_parameters(**WOOFER, vas_m3=0.03).qts == pytest.approx(0.363636, abs=1e-6)


def test_the_air_of_the_place_counts_in_what_is_derived() -> None:
    """Thin and warm air: efficiency with its own speed of sound, and a level with its own density."""
    air = Air(35.0, 80_000.0)
    found = drivers.complete_parameters(
        re_ohm=6.0, fs_hz=40.0, qms=4.0, qes=0.5, vas_m3=0.03, diaphragm_area_m2=0.0133, air=air
    )
    c = 331.3 * (1.0 + 35.0 / 273.15) ** 0.5
    ratio = 4.0 * np.pi**2 * 40.0**3 * 0.03 / (c**3 * 0.5)
    assert found.efficiency_ratio == pytest.approx(ratio)
    rho = 80_000.0 / (287.05 * 308.15)
    assert found.moving_mass_kg == pytest.approx(rho * c**2 * 0.0133**2 / ((2.0 * np.pi * 40.0) ** 2 * 0.03))
    assert found.sensitivity_db == pytest.approx(
        10.0 * np.log10(rho * c * ratio / (2.0 * np.pi) / 4e-10 * 2.83**2 / 6.0)
    )
    assert found.resistance_kg_s == pytest.approx(2.0 * np.pi * 40.0 * (found.moving_mass_kg or 0.0) / 4.0)


def test_a_lossy_coil_is_lossy_in_a_box_and_before_the_current() -> None:
    """What is left when the coil of 0.6 mH, (jw)^0.7, is taken off is the driver without one; 2 pi ohm at 1 kHz for 1 mH."""
    f = np.array([50.0, 400.0, 1000.0, 9000.0])
    coil = 2000.0 * np.pi * 0.6e-3 * (1j * f / 1000.0) ** 0.7
    args = (5.8, 45.0, 3.5, 0.45, 0.03, 0.02)
    closed = drivers.closed_box_impedance(f, *args, 0.6e-3, 0.7) - drivers.closed_box_impedance(f, *args)
    vented = drivers.vented_box_impedance(f, *args, 38.0, 7.0, 0.6e-3, 0.7) - drivers.vented_box_impedance(
        f, *args, 38.0
    )
    free = drivers.impedance(f, *args[:4], 0.6e-3, 0.7) - drivers.impedance(f, *args[:4])
    for found in (closed, vented, free):
        np.testing.assert_allclose(found, coil, rtol=1e-9)
    np.testing.assert_allclose(drivers.inductance_roll_off(f, 5.8, 0.6e-3, 0.7), 5.8 / (5.8 + coil), rtol=1e-9)


@every("exponent", [0.0, -0.5, 1.0001])
def test_an_exponent_that_no_coil_has_is_refused(exponent: float) -> None:
    with pytest.raises(ValueError, match="it must lie above 0 and not above 1"):
        drivers.coil_impedance(1000.0, 1e-3, exponent)
    assert abs(drivers.coil_impedance(3000.0, 1e-3, 1.0)) == pytest.approx(2.0 * np.pi * 3.0)


def test_every_two_stated_figures_are_held_against_each_other() -> None:
    """Vas as of 1.08 times the mass, a level 12 % in pressure under that of the mass: neighbours agree within a tenth, the ends do not.

    The pressure goes with one over the root of Vas' mass: to the second 1.12/sqrt(1.08) = 1.078.
    """
    base = drivers.complete_parameters(**WOOFER, moving_mass_kg=0.0133)
    assert base.vas_m3 is not None and base.force_factor_t_m is not None
    found = drivers.complete_parameters(
        **WOOFER,
        moving_mass_kg=0.0133,
        vas_m3=base.vas_m3 / 1.08,
        sensitivity_db=(base.sensitivity_db or 0.0) - 20.0 * np.log10(1.12),
    )
    assert [(one.first_field, one.second_field) for one in found.disagreements] == [
        ("moving_mass_kg", "sensitivity_db")
    ]
    assert found.disagreements[0].ratio == pytest.approx(1.0 / 1.12)


@every(("stated", "named"), [(2.5, False), (2.7, False), (2.8, True), (2.95, True), (2.3, False), (2.2, True)])
def test_a_tenth_of_the_q_of_the_magnet_is_let_pass(stated: float, named: bool) -> None:
    """w = 100/s, 100 g, 4 ohm and 4 T m: Qes = 2.5; 2.75 and 2.27 are a tenth away."""
    found = drivers.complete_parameters(
        fs_hz=100.0 / (2.0 * np.pi),
        moving_mass_kg=0.1,
        re_ohm=4.0,
        force_factor_t_m=4.0,
        qes=stated,
        qms=5.0,
        diaphragm_area_m2=0.02,
    )
    assert bool(found.disagreements) is named
    assert found.compliance_m_n == pytest.approx(1.0 / (100.0**2 * 0.1)) and found.resistance_kg_s == pytest.approx(
        100.0 * 0.1 / 5.0
    )
    assert found.qts == pytest.approx(5.0 * stated / (5.0 + stated))


def test_the_impedance_of_a_vented_box_is_that_of_its_circuit() -> None:
    """Re before Res, Lces, Cmes and the box side by side: its coil, capacitor and leak in a row (Small 1973)."""
    re, fs, qms, qes, vas, volume, tuning, losses = 5.8, 45.0, 3.5, 0.45, 0.03, 0.02, 38.0, 7.0
    w = 2.0 * np.pi * FREQUENCY
    ws, wb = 2.0 * np.pi * fs, 2.0 * np.pi * tuning
    coil, capacitor = re / (ws * qes), qes / (ws * re)
    box = coil * volume / vas
    port = 1j * w * box + 1.0 / (1j * w / (wb**2 * box)) + wb * box / losses
    motional = 1.0 / (qes / (re * qms) + 1.0 / (1j * w * coil) + 1j * w * capacitor + 1.0 / port)
    found = drivers.vented_box_impedance(FREQUENCY, re, fs, qms, qes, vas, volume, tuning, losses)
    np.testing.assert_allclose(found, re + motional, rtol=1e-9)


@every(
    ("qms", "qes", "qts"), [(3.0, 0.6, 0.5), (1.0, 1.0, 0.5), (None, 0.6, None), (3.0, None, None), (None, None, None)]
)
def test_of_one_q_alone_no_total_follows(qms: float | None, qes: float | None, qts: float | None) -> None:
    found = drivers.parallel_q(qms, qes)
    assert found is None if qts is None else found == pytest.approx(qts)
