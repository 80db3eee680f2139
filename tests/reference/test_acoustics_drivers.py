"""Drivers, boxes, travel and heat against worked figures, a circuit simulator and scipy's filters."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from scipy import integrate, optimize, signal

from reportgen.acoustics import drivers, heat, travel
from reportgen.acoustics.air import Air, level_db, pressure_pa
from reportgen.acoustics.slopes import SLOPES, butterworth, high_pass_magnitude
from tests.every import every
from tests.reference.check_table import Check

AIR = Air()
WORKED = "worked example, derived from rho Sd w^2 x/(2 pi r sqrt 2)"
SEAT = 2.5 * float(pressure_pa(98.0))  # 98 dB at 2.5 m, referred to 1 m


def travel_limit(slope: str) -> float:
    return float(travel.travel_limit_hz(SEAT, 7e-4, 0.3e-3, SLOPES[slope]))


CHECKS = [
    Check("level of 1 W at 100 % efficiency, dB", "rho c/(2 pi)", 112.16, lambda: drivers.sensitivity_w_db(1.0), 0.005),
    Check("level of 1 W at 100 % efficiency, dB, handbooks", "Beranek & Mellow 2012 (memory)", 112.15,
          lambda: drivers.sensitivity_w_db(1.0), 0.05),
    Check("98 dB at 2.5 m, Pa at 1 m", "20 uPa, ISO 1683", 3.9716, lambda: SEAT, 5e-5),
    Check("Sd 7 cm2, 0.5 mm peak, 2 kHz, 1 m, dB", WORKED, 111.47,
          lambda: level_db(travel.pressure_from_travel(0.5e-3, 7e-4, 2000.0)), 0.005),
    Check("travel factor of LR4", "x^2/(1 + x^4) has its peak at 1", 0.5, lambda: travel.travel_factor(SLOPES["LR4"]), 1e-12),
    Check("travel factor of BW3", "x/sqrt(1 + x^6), peak at 2^(-1/6)", 0.7274, lambda: travel.travel_factor(SLOPES["BW3"]), 5e-5),
    Check("travel limit LR4, Hz", WORKED, 1329.5, lambda: travel_limit("LR4"), 0.05),
    Check("travel limit LR2, Hz", WORKED, 1880.2, lambda: travel_limit("LR2"), 0.05),
    Check("travel limit BW3, Hz", WORKED, 1603.6, lambda: travel_limit("BW3"), 0.05),
    Check("pink noise 20 Hz to 20 kHz, share above 2 kHz", "ln 10/ln 1000; a slope of order 40 for a wall", 1 / 3,
          lambda: heat.programme_share(2000.0, butterworth(40), [20.0, 20000.0], [0.0, 0.0]), 1e-3),
    Check("copper 100 K warmer: level lost, dB", "10 lg(1 + 0.00393 * 100), IEC 60028", 1.4395,
          lambda: heat.compression_db(40.0, 2.5), 0.012),
    Check("closed box, Vas = 3 Vb: resonance ratio", "Small 1972, sqrt(1 + Vas/Vb)", 2.0,
          lambda: drivers.rear_chamber(50.0, 0.4, 0.03, 0.01)[0] / 50.0, 1e-12),
    Check("closed box at Qtc 0.7071: level at fc, dB", "Butterworth 1930", -3.0103,
          lambda: 20 * np.log10(abs(drivers.high_pass(60.0, 60.0, 0.5**0.5))), 1e-4),
    Check("vented box B4 (Q 0.3827, h 1, Vas/Vb 1.4142): level at fb, dB", "Thiele 1971, alignment 5", -3.0103,
          lambda: 20 * np.log10(abs(b4(np.array([40.0])).response[0])), 1e-4),
]  # fmt: skip


def b4(frequency_hz: np.ndarray) -> drivers.BoxedDriver:
    """The fourth-order Butterworth alignment, no losses."""
    q = 1.0 / np.sqrt(4.0 + 2.0 * np.sqrt(2.0))
    return drivers.vented_box(frequency_hz, 40.0, q, 0.05, 0.05 / np.sqrt(2.0), 40.0, 1e12)


def test_b4_is_butterworth_at_every_frequency() -> None:
    f = np.geomspace(5.0, 2000.0, 60)
    b, a = signal.butter(4, 2 * np.pi * 40.0, "high", analog=True)
    expected = signal.freqs(b, a, 2 * np.pi * f)[1]
    np.testing.assert_allclose(b4(f).response, expected, atol=1e-9)


def test_vented_box_has_the_polynomial_of_small_1973() -> None:
    fs, q, alpha, h, ql = 35.0, 0.4, 2.0, 0.8, 7.0
    f = np.geomspace(5.0, 500.0, 40)
    s = 1j * f / (fs * np.sqrt(h))
    a1 = (ql + h * q) / (np.sqrt(h) * ql * q)
    a2 = (h + (alpha + 1 + h**2) * ql * q) / (h * ql * q)
    a3 = (h * ql + q) / (np.sqrt(h) * ql * q)
    expected = s**4 / (s**4 + a1 * s**3 + a2 * s**2 + a3 * s + 1)
    got = drivers.vented_box(f, fs, q, 0.04, 0.02, h * fs, ql)
    np.testing.assert_allclose(got.response, expected, rtol=1e-12)


@every("slope", ["BW1", "BW2", "BW3", "BW4", "BE2", "BE3", "BE4", "LR2", "LR4", "LR8"])
def test_slopes_against_the_filters_of_scipy(slope: str) -> None:
    u = np.geomspace(0.05, 20.0, 50)
    order = int(slope[2])
    if slope[:2] == "BE":
        zeros, poles, gain = signal.besselap(order, norm="phase")
    else:
        zeros, poles, gain = signal.buttap(order if slope[:2] == "BW" else order // 2)
    expected = np.abs(signal.freqs_zpk(zeros, poles, gain, 1 / u)[1])  # the high pass is the low pass at 1/u
    np.testing.assert_allclose(
        high_pass_magnitude(SLOPES[slope], u), expected ** (2 if slope[:2] == "LR" else 1), rtol=1e-9
    )


@every("slope", ["BW2", "BW3", "BW4", "LR2", "LR4", "LR8", "BE2", "BE3", "BE4"])
def test_travel_factor_against_a_search(slope: str) -> None:
    def minus(log_u: float) -> float:
        return -float(high_pass_magnitude(SLOPES[slope], np.exp(log_u)) / np.exp(2 * log_u))

    best = optimize.minimize_scalar(minus, bounds=(-9.0, 3.0), method="bounded", options={"xatol": 1e-9})
    assert travel.travel_factor(SLOPES[slope]) == pytest.approx(-best.fun, rel=2e-6)


@every(
    ("fs_hz", "q", "travel_m"),
    [(1100.0, 0.7, 3e-4), (1100.0, 1.5, 3e-4), (700.0, 0.5, 3e-4), (2500.0, 2.0, 3e-4), (600.0, 1.0, 1e-3)],
)
def test_first_order_travel_limit_against_a_brute_search(fs_hz: float, q: float, travel_m: float) -> None:
    f = np.geomspace(20.0, 40000.0, 40001)
    own = np.abs(drivers.high_pass(f, fs_hz, q))

    def excess(cutoff: float) -> float:
        tone = SEAT * own * (f / cutoff) / np.hypot(1.0, f / cutoff)
        return float(np.max(travel.travel_from_pressure(tone, 7e-4, f)) - travel_m)

    got = float(travel.travel_limit_hz(SEAT, 7e-4, travel_m, SLOPES["BW1"], fs_hz=fs_hz, q=q))
    assert got == pytest.approx(optimize.brentq(excess, 1.0, 1e6), rel=1e-5)


def test_programme_share_against_an_integral() -> None:
    spectrum_hz, spectrum_db = np.array([31.5, 125.0, 500.0, 2000.0, 16000.0]), np.array([-6.0, 0.0, -1.0, -6.0, -18.0])

    def density(log_f: float) -> float:
        return float(10 ** (np.interp(log_f, np.log(spectrum_hz), spectrum_db) / 10))

    def passed(log_f: float) -> float:
        return density(log_f) / (1 + (1500.0 / np.exp(log_f)) ** 8)

    ends, kinks = (np.log(31.5), np.log(16000.0)), list(np.log(spectrum_hz[1:-1]))
    whole = integrate.quad(density, *ends, points=kinks)[0]
    got = heat.programme_share(1500.0, butterworth(4), spectrum_hz, spectrum_db)
    assert float(got) == pytest.approx(integrate.quad(passed, *ends, points=kinks)[0] / whole, rel=1e-4)


def _simulated_impedance(netlist: str, folder: Path) -> tuple[np.ndarray, np.ndarray]:
    """Impedance seen by 1 A: ngspice, an independent simulator."""
    (folder / "box.cir").write_text(netlist)
    subprocess.run(["ngspice", "-b", "box.cir"], cwd=folder, check=True, capture_output=True, timeout=30)
    rows = np.loadtxt(folder / "z.txt")
    return rows[:, 0], rows[:, 1] + 1j * rows[:, 2]


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
def test_vented_impedance_against_a_circuit_simulator(tmp_path: Path) -> None:
    """The electrical equivalent of Small 1973: Res, Lces, Cmes in parallel with Lceb, Rel and Cmep in series."""
    re, fs, qms, qes, vas, volume, tuning, losses, le = 5.8, 38.0, 4.2, 0.41, 0.032, 0.018, 42.0, 7.0, 0.6e-3
    res = re * qms / qes
    ws, wb = 2 * np.pi * fs, 2 * np.pi * tuning
    lces = re / (qes * ws)
    cmes = qes / (ws * re)
    lceb = lces * volume / vas
    cmep = 1 / (wb**2 * lceb)
    rel = wb * lceb / losses
    netlist = f"""vented box
I1 0 in dc 0 ac 1
Re in a {re}
Le a b {le}
Res b 0 {res}
Lces b 0 {lces}
Cmes b 0 {cmes}
Lceb b c {lceb}
Rel c d {rel}
Cmep d 0 {cmep}
Rleak d 0 1e12
.ac dec 25 5 5000
.control
run
set wr_singlescale
set numdgt=12
wrdata z.txt v(in)
quit 0
.endc
.end
"""
    frequency, expected = _simulated_impedance(netlist, tmp_path)
    got = drivers.vented_box_impedance(frequency, re, fs, qms, qes, vas, volume, tuning, losses, le)
    assert np.max(np.abs(20 * np.log10(np.abs(got / expected)))) < 0.01
    assert np.max(np.abs(np.degrees(np.angle(got / expected)))) < 0.1


def test_lumped_parameters_of_a_driver_built_from_mechanical_ones() -> None:
    """From mass, compliance, losses and force to the stated figures by their definitions, and back (Small 1972)."""
    mass, compliance, losses, force, re, area = 0.0143, 9.1e-4, 0.86, 6.4, 5.7, 0.0133
    omega = 1 / np.sqrt(mass * compliance)
    stiffness = AIR.density_kg_m3 * AIR.speed_m_s**2
    found = drivers.complete_parameters(
        re_ohm=re,
        fs_hz=omega / (2 * np.pi),
        qms=omega * mass / losses,
        qes=omega * mass * re / force**2,
        vas_m3=stiffness * area**2 * compliance,
        diaphragm_area_m2=area,
    )
    assert found.moving_mass_kg == pytest.approx(mass)
    assert found.compliance_m_n == pytest.approx(compliance)
    assert found.resistance_kg_s == pytest.approx(losses)
    assert found.force_factor_t_m == pytest.approx(force)
    # mass-controlled region: p = rho Sd a/(2 pi r), a = BL (U/Re)/Mms
    pressure = AIR.density_kg_m3 * area * force * 2.83 / re / mass / (2 * np.pi)
    assert found.sensitivity_db == pytest.approx(float(level_db(pressure)), abs=1e-9)
    assert found.disagreements == ()
