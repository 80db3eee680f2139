"""Files beside the demo workbook: invented measurements, made in the ways and written in the forms that occur, and a mark.

Knows a few formulas that look like drivers. Refuses to be taken for data of a real product.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import scipy
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]

SOUND_M_S = 343.2


def _peak(frequency: FloatArray, at: float, q: float, db: float) -> FloatArray:
    """Level (dB) of a resonance of height `db` at `at` Hz."""
    return np.asarray(db / (1.0 + (q * (frequency / at - at / frequency)) ** 2))


def _ripple(frequency: FloatArray, db: float) -> FloatArray:
    octaves = np.log2(frequency / 1000.0)
    return np.asarray(db * (np.sin(5.1 * octaves + 0.4) + 0.6 * np.sin(11.3 * octaves)))


def _woven_cone() -> str:
    """LD-03: rising gently to a break-up at 5.9 kHz, then gone; semicolons and decimal commas, no phase."""
    f = np.geomspace(60.0, 20000.0, 160)
    level = 88.1 - 10.0 * np.log10(1.0 + (38.0 / f) ** 4) - 10.0 * np.log10(1.0 + (f / 5200.0) ** 5)
    level += _peak(f, 5900.0, 4.0, 6.0) + _peak(f, 2900.0, 5.0, -1.2) + _ripple(f, 0.35)
    rows = [f"{hz:.1f};{db:.2f}".replace(".", ",") for hz, db in zip(f, level, strict=True)]
    return "\n".join(["* LD-03 on a large baffle, 2.83 V, referred to 1 m", "Hz;dB", *rows]) + "\n"


def _folds() -> str:
    """HD-13: smooth, with a little lift at the top; tabs, no phase; gated, so that it begins at 350 Hz."""
    f = np.arange(350.0, 20000.0, 175.0)
    level = 93.0 - 10.0 * np.log10(1.0 + (900.0 / f) ** 4) + _peak(f, 17000.0, 2.0, 1.6) + _ripple(f, 0.3)
    rows = [f"{hz:.2f}\t{db:.2f}" for hz, db in zip(f, level, strict=True)]
    head = ["# HD-13 on a large baffle, 2.83 V, 1 m, gated after 5.7 ms", "# frequency (Hz)\tlevel (dB)"]
    return "\n".join([*head, *rows]) + "\n"


def _damped_dome() -> str:
    """HD-02: impedance with phase, a low broad peak and the coil's rise; commas between, points inside."""
    f = np.geomspace(100.0, 20000.0, 140)
    motional = 5.5 * 2.1 / 0.66 / (1.0 + 2.1j * (f / 690.0 - 690.0 / f))
    z = 5.5 + motional + 2j * np.pi * f * 3e-5 * (f / 1000.0) ** -0.15
    rows = [f"{hz:.1f},{abs(value):.3f},{np.degrees(np.angle(value)):.2f}" for hz, value in zip(f, z, strict=True)]
    return "\n".join(["Frequency (Hz),Impedance (ohm),Phase (deg)", *rows]) + "\n"


# --- with phase -----------------------------------------------------------------------------------------------------


def _bell(f: FloatArray, at: float, q: float, db: float) -> ComplexArray:
    """A resonance of second order that lifts by `db` at `at` Hz."""
    s = 1j * f / at
    return np.asarray((s**2 + 10.0 ** (db / 20.0) * s / q + 1.0) / (s**2 + s / q + 1.0))


def _high_pass(f: FloatArray, at: float, q: float) -> ComplexArray:
    s = 1j * f / at
    return np.asarray(s**2 / (s**2 + s / q + 1.0))


def _coil(f: FloatArray, re_ohm: float, le_h: float) -> ComplexArray:
    return np.asarray(re_ohm / (re_ohm + 2j * np.pi * f * le_h))


def _piston(f: FloatArray, diameter_m: float, sine: float) -> FloatArray:
    """A flat round piston off its axis (Kinsler et al.)."""
    x = np.pi * f / SOUND_M_S * diameter_m * sine
    return np.asarray(np.where(x > 1e-6, 2.0 * scipy.special.j1(np.maximum(x, 1e-6)) / np.maximum(x, 1e-6), 1.0))


def _edges(f: FloatArray, width_m: float, height_m: float, up_m: float) -> ComplexArray:
    """Half of what the edges send back, from a source on the centre line `up_m` over the lower edge (Vanderkooy 1991)."""
    angle = np.linspace(0.0, 2.0 * np.pi, 1440, endpoint=False) + 1e-4
    across = width_m / 2.0 / np.abs(np.cos(angle))
    along = np.where(np.sin(angle) > 0.0, height_m - up_m, up_m) / np.abs(np.sin(angle))
    way = np.minimum(across, along)
    return np.asarray(1.0 - 0.5 * np.mean(np.exp(-2j * np.pi * np.outer(f / SOUND_M_S, way)), axis=1))


def _vented(f: FloatArray, fs: float, qts: float, vas_over_box: float, tuning: float) -> ComplexArray:
    """Response of a vented box that leaks with a Q of 7 (Small 1973)."""
    h, leak = tuning / fs, 7.0
    s = 1j * f / np.sqrt(fs * tuning)
    a1 = (leak + h * qts) / (np.sqrt(h) * leak * qts)
    a2 = (h + (vas_over_box + 1.0 + h**2) * leak * qts) / (h * leak * qts)
    a3 = (h * leak + qts) / (np.sqrt(h) * leak * qts)
    return np.asarray(s**4 / (s**4 + a1 * s**3 + a2 * s**2 + a3 * s + 1.0))


def _later(f: FloatArray, way_m: float, start_s: float = 0.0) -> ComplexArray:
    """Pressure after a way: smaller, and later."""
    return np.asarray(np.exp(-2j * np.pi * f * (way_m / SOUND_M_S + start_s)) / way_m)


def _rows(f: FloatArray, level_db: float, pressure: ComplexArray, form: str) -> list[str]:
    level = level_db + 20.0 * np.log10(np.abs(pressure))
    return [form.format(*row) for row in zip(f, level, np.degrees(np.angle(pressure)), strict=True)]


_LATE_S = 4.2e-4
"""What the measuring program itself adds to every delay."""


def _in_own_cabinet() -> Mapping[str, str]:
    """LD-04 and HD-06 in CB-03, one start of time, the microphone 1 m before HD-06: edges and box are in the files."""
    f = np.geomspace(20.0, 20000.0, 360)
    up, apart = 0.865, 0.179
    low_way, high_way = float(np.hypot(1.042, apart)), 1.012
    low = _coil(f, 5.9, 3.5e-4) * _vented(f, 30.0, 0.414, 59.0 / 48.0, 34.0) * _edges(f, 0.26, 0.98, up - apart)
    low = low * _bell(f, 3300.0, 5.0, 7.0) * _bell(f, 900.0, 2.0, -0.8) * _piston(f, 0.165, apart / low_way)
    high = _coil(f, 5.2, 5e-5) * _high_pass(f, 530.0, 0.47) * _edges(f, 0.26, 0.98, up) * _bell(f, 7000.0, 2.0, 1.2)
    head = "* {} in CB-03, 2.83 V, microphone 1 m before HD-06, one start of time\n* Hz dB degrees"
    form = "{:.2f} {:.2f} {:.1f}"
    files = {"LD-04": (88.9, low * _later(f, low_way, _LATE_S)), "HD-06": (91.6, high * _later(f, high_way, _LATE_S))}
    return {
        f"curves/{id_} response.txt": "\n".join([head.format(id_), *_rows(f, level, pressure, form)]) + "\n"
        for id_, (level, pressure) in files.items()
    }


def _swapped_leads() -> str:
    """HD-07: measured upside down, with phase; quoted numbers, commas between."""
    f = np.geomspace(200.0, 22000.0, 260)
    pressure = -_coil(f, 5.6, 2e-5) * _high_pass(f, 715.0, 0.47) * _bell(f, 3000.0, 2.0, -0.8) * _later(f, 1.0, _LATE_S)
    return "\n".join(['"Hz","dB","deg"', *_rows(f, 92.7, pressure, '"{:.1f}","{:.2f}","{:.1f}"')]) + "\n"


def _at_angles() -> Mapping[str, str]:
    """HD-03: a dome of 19 mm that beams like one of 23 mm, on the axis and at angles to one side; semicolons."""
    f = np.geomspace(300.0, 20000.0, 180)
    on_axis = 88.6 + 20.0 * np.log10(np.abs(_high_pass(f, 1250.0, 0.79))) + _ripple(f, 0.3)
    found = {}
    for degrees in (0, 15, 30, 45, 60):
        level = on_axis + 20.0 * np.log10(np.abs(_piston(f, 0.023, float(np.sin(np.radians(degrees))))))
        name = "curves/HD-03.txt" if degrees == 0 else f"curves/HD-03 h{degrees}.txt"
        rows = [f"{hz:.1f};{db:.2f}" for hz, db in zip(f, level, strict=True)]
        found[name] = (
            "\n".join([f"* HD-03 on a large baffle, 2.83 V, 1 m, {degrees} degrees aside", "Hz;dB", *rows]) + "\n"
        )
    return found


_LOGO = """<svg xmlns="http://www.w3.org/2000/svg" width="120" height="40" viewBox="0 0 120 40">
<title>Quillwater Kitworks</title>
<path d="M4 28q10 -9 20 0t20 0t20 0t20 0t20 0" fill="none" stroke="#1b3a4b" stroke-width="3" stroke-linecap="round"/>
<path d="M60 22C66 10 82 4 100 4C96 14 84 22 66 23Z" fill="#1b3a4b"/>
</svg>
"""
"""The mark of the fictional maker: a quill over water."""


def demo_files() -> Mapping[str, str]:
    """Everything that lies beside the demo workbook: path -> text of the file."""
    return {**demo_curve_files(), "quillwater.svg": _LOGO}


def demo_curve_files() -> Mapping[str, str]:
    """Path beside the workbook -> text of the curve file."""
    return {
        "curves/LD-03 response.txt": _woven_cone(),
        "curves/HD-13 response.txt": _folds(),
        "curves/HD-02 impedance.csv": _damped_dome(),
        "curves/HD-07 response.csv": _swapped_leads(),
        **_in_own_cabinet(),
        **_at_angles(),
    }
