"""Files beside the demo workbook: invented measurements, in three of the forms that measuring programs write, and a mark.

Knows a few formulas that look like drivers. Refuses to be taken for data of a real product.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


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
    """HD-13: smooth, with a little lift at the top; tabs, no phase."""
    f = np.geomspace(500.0, 24000.0, 120)
    level = 93.0 - 10.0 * np.log10(1.0 + (900.0 / f) ** 4) + _peak(f, 17000.0, 2.0, 1.6) + _ripple(f, 0.3)
    rows = [f"{hz:.2f}\t{db:.2f}" for hz, db in zip(f, level, strict=True)]
    return "\n".join(["# HD-13 on a large baffle, 2.83 V, referred to 1 m", "# frequency\tlevel", *rows]) + "\n"


def _damped_dome() -> str:
    """HD-02: impedance with phase, a low broad peak and the coil's rise; commas between, points inside."""
    f = np.geomspace(100.0, 20000.0, 140)
    motional = 5.5 * 2.1 / 0.66 / (1.0 + 2.1j * (f / 690.0 - 690.0 / f))
    z = 5.5 + motional + 2j * np.pi * f * 3e-5 * (f / 1000.0) ** -0.15
    rows = [f"{hz:.1f},{abs(value):.3f},{np.degrees(np.angle(value)):.2f}" for hz, value in zip(f, z, strict=True)]
    return "\n".join(["Frequency (Hz),Impedance (ohm),Phase (deg)", *rows]) + "\n"


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
    }
