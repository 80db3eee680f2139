"""One driver: its impedance, its missing parameters and its box.

Knows the lumped model of Thiele and Small, which holds while the diaphragm moves as one piece.
Refuses to know directivity, networks, travel, heat and which value a designer should choose.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import log10, pi, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.acoustics.air import REFERENCE_PRESSURE_PA, STANDARD_AIR, Air, FloatArray

ComplexArray = NDArray[np.complex128]

SENSITIVITY_VOLT = 2.83
"""Voltage of the stated sensitivity; 1 W into 8 ohm (IEC 60268-5 states both)."""
INDUCTANCE_STATED_AT_HZ = 1000.0
"""Data sheets state voice-coil inductance at 1 kHz (common practice, no source)."""


def _array(value: ArrayLike) -> FloatArray:
    return np.asarray(value, dtype=np.float64)


# --- electrical -------------------------------------------------------------------------------------------------


def coil_impedance(frequency_hz: ArrayLike, le_h: ArrayLike, le_loss: float | None = None) -> ComplexArray:
    """Impedance of the voice coil's inductance in ohm, complex; inputs broadcast.

    Lossless j w Le, or K (j w)^n, K such that the modulus at 1 kHz is that of the stated Le. `frequency_hz` in Hz, 0 or
    more; `le_h` in H at 1 kHz; `le_loss` the exponent n above 0 to 1 (ValueError else), None for a plain coil; fits of real
    coils give 0.5 to 0.9 and hold from about 200 Hz to 20 kHz. Source: Leach 2002, JAES 50 (memory), eq. of the lossy coil.
    """
    omega = 2.0 * pi * _array(frequency_hz)
    if le_loss is None:
        return np.asarray(1j * omega * _array(le_h))
    if not 0.0 < le_loss <= 1.0:
        raise ValueError(f"a coil exponent of {le_loss}; it must lie above 0 and not above 1")
    stated = 2.0 * pi * INDUCTANCE_STATED_AT_HZ
    return np.asarray(np.exp(0.5j * pi * le_loss) * stated * _array(le_h) * (omega / stated) ** le_loss)


def impedance(
    frequency_hz: ArrayLike,
    re_ohm: ArrayLike,
    fs_hz: ArrayLike,
    qms: ArrayLike,
    qes: ArrayLike,
    le_h: ArrayLike = 0.0,
    le_loss: float | None = None,
) -> ComplexArray:
    """Impedance of a driver in ohm, complex; inputs broadcast.

    Re + coil + Res/(1 + j Qms (f/fs - fs/f)), Res = Re Qms/Qes. At fs it is Re (1 + Qms/Qes) + coil. `frequency_hz` in Hz
    above 0; `re_ohm` in ohm, `fs_hz` in Hz, `qms` and `qes` without unit, all above 0; `le_h`, `le_loss` as `coil_impedance`.
    Holds for small signals and up to the first cone resonance. Source: Small 1972, fig. 1 and its circuit.
    """
    f, fs, qm = _array(frequency_hz), _array(fs_hz), _array(qms)
    motional = _array(re_ohm) * qm / _array(qes) / (1.0 + 1j * qm * (f / fs - fs / f))
    return np.asarray(_array(re_ohm) + coil_impedance(f, le_h, le_loss) + motional)


def inductance_roll_off(
    frequency_hz: ArrayLike, re_ohm: ArrayLike, le_h: ArrayLike, le_loss: float | None = None
) -> ComplexArray:
    """Low pass that the coil makes of the drive current, complex, 1 at low frequency: Re/(Re + coil); inputs broadcast.

    Parameters as `coil_impedance`, `re_ohm` in ohm above 0. The motional impedance is left out, so it holds well above
    the resonance, where the coil begins to count. Source: Ohm's law on the circuit of Small 1972.
    """
    re = _array(re_ohm)
    return np.asarray(re / (re + coil_impedance(frequency_hz, le_h, le_loss)))


def high_pass(frequency_hz: ArrayLike, fs_hz: ArrayLike, q: ArrayLike) -> ComplexArray:
    """Second-order high pass of a driver around its resonance, complex, 1 far above; inputs broadcast.

    u^2/(u^2 - 1 - j u/Q), u = f/fs. `frequency_hz` and `fs_hz` in Hz above 0, `q` the total Q above 0. Holds while the
    diaphragm is small against the wavelength. Source: Small 1972, eq. of the closed box.
    """
    u = _array(frequency_hz) / _array(fs_hz)
    return np.asarray(u**2 / (u**2 - 1.0 - 1j * u / _array(q)))


RING_Q = 10.0
"""Sharpness of a hard diaphragm's first resonance. Common practice, no source: metals damp little, rims a good deal."""


def ring(frequency_hz: ArrayLike, resonance_hz: float, height_db: float) -> ComplexArray:
    """What the first resonance of a hard diaphragm adds, complex, 1 far from it, shape of `frequency_hz`.

    (1 - u^2 + j h u/Q)/(1 - u^2 + j u/Q), u = f/`resonance_hz` (Hz): a peak of `height_db` (dB, 0 or more), of Q 10.
    Whether the sound cancels beside the peak depends on the shape of the dome, which nobody states.

    >>> round(float(20 * np.log10(abs(ring(25000.0, 25000.0, 8.0)))), 6)
    8.0
    """
    u = _array(frequency_hz) / resonance_hz
    rest, loss = 1.0 - u**2, 1j * u / RING_Q
    return np.asarray((rest + 10.0 ** (height_db / 20.0) * loss) / (rest + loss))


# --- efficiency and missing parameters --------------------------------------------------------------------------


def efficiency(fs_hz: ArrayLike, vas_m3: ArrayLike, qes: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Reference efficiency in half space, a ratio: 4 pi^2 fs^3 Vas/(c^3 Qes); inputs broadcast.

    `fs_hz` in Hz, `vas_m3` in m3, `qes` without unit, all above 0; holds from well above the resonance up to ka = 1, and
    for ratios far under 1. Source: Small 1972, eq. of the reference efficiency; Beranek 1954, ch. 7 (memory).
    """
    return np.asarray(4.0 * pi**2 * _array(fs_hz) ** 3 * _array(vas_m3) / (air.speed_m_s**3 * _array(qes)))


def sensitivity_w_db(efficiency_ratio: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Level in dB at 1 m in half space for 1 W: 10 lg of rho c eta/(2 pi) over (20 uPa)^2; any shape.

    `efficiency_ratio` above 0, far under 1. Source: plane of a half sphere of 1 m, 2 pi m2; handbooks 112.1 to 112.2 dB.

    >>> round(float(sensitivity_w_db(1.0)), 2)
    112.16
    """
    square = air.density_kg_m3 * air.speed_m_s * _array(efficiency_ratio) / (2.0 * pi)
    return np.asarray(10.0 * np.log10(square / REFERENCE_PRESSURE_PA**2))


def sensitivity_db(efficiency_ratio: ArrayLike, re_ohm: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Level in dB at 1 m in half space for 2.83 V, which is 2.83^2/Re watt; inputs broadcast.

    `efficiency_ratio` as `sensitivity_w_db`, `re_ohm` in ohm above 0: the power counts in Re, as reference efficiency does.
    """
    power_db = 10.0 * np.log10(SENSITIVITY_VOLT**2 / _array(re_ohm))
    return np.asarray(sensitivity_w_db(efficiency_ratio, air) + power_db)


@dataclass(frozen=True)
class Disagreement:
    """Two stated figures that cannot both be right: the second as stated, and as it follows from the first.

    `ratio` is stated over derived, as a ratio of amounts; for a level in dB as a ratio of pressures.
    """

    first_field: str
    second_field: str
    stated: float
    derived: float
    ratio: float


@dataclass(frozen=True)
class Parameters:
    """A driver's lumped parameters in SI units; None where nothing given leads to them."""

    re_ohm: float | None = None
    le_h: float | None = None
    fs_hz: float | None = None
    qms: float | None = None
    qes: float | None = None
    qts: float | None = None
    vas_m3: float | None = None
    diaphragm_area_m2: float | None = None
    moving_mass_kg: float | None = None
    compliance_m_n: float | None = None
    resistance_kg_s: float | None = None
    force_factor_t_m: float | None = None
    efficiency_ratio: float | None = None
    sensitivity_db: float | None = None
    derived: tuple[str, ...] = ()
    disagreements: tuple[Disagreement, ...] = ()


def parallel_q(qms: float | None, qes: float | None) -> float | None:
    """Qts of Qms and Qes; None where one is missing."""
    return None if qms is None or qes is None else qms * qes / (qms + qes)


_LINKED = ("moving_mass_kg", "vas_m3", "force_factor_t_m", "sensitivity_db")
"""Fields that each imply the moving mass, the most direct first."""

_Route = tuple[Callable[[float], float], Callable[[float], float]]


def _mass_routes(
    re: float | None, fs: float | None, qes: float | None, area: float | None, air: Air
) -> dict[str, _Route]:
    """Field -> (field to moving mass, moving mass to field), as far as the other parameters allow (Small 1972)."""
    routes: dict[str, _Route] = {"moving_mass_kg": (lambda mass: mass, lambda mass: mass)}
    if fs is None:
        return routes
    omega, stiffness = 2.0 * pi * fs, air.density_kg_m3 * air.speed_m_s**2
    if area is not None:
        vas_mass = stiffness * area**2 / omega**2  # Vas = rho c^2 Sd^2 Cms, Cms = 1/(w^2 Mms)
        routes["vas_m3"] = (lambda vas: vas_mass / vas, lambda mass: vas_mass / mass)
    if qes is not None and re is not None:
        damping = omega * re / qes  # BL^2 = w Mms Re/Qes
        routes["force_factor_t_m"] = (lambda bl: bl**2 / damping, lambda mass: sqrt(damping * mass))
    if area is not None and qes is not None and re is not None:
        unit = float(sensitivity_db(efficiency(fs, vas_mass, qes, air), re, air))  # level of 1 kg
        routes["sensitivity_db"] = (
            lambda level: 10.0 ** ((unit - level) / 10.0),
            lambda mass: unit - 10.0 * log10(mass),
        )
    return routes


def _near(ratio: float, tolerance: float) -> bool:
    return 1.0 / (1.0 + tolerance) <= ratio <= 1.0 + tolerance


def _disagreements(stated: dict[str, float], routes: dict[str, _Route], tolerance: float) -> list[Disagreement]:
    """Every two stated fields that imply moving masses too far apart."""
    found = []
    names = [name for name in routes if name in stated]
    for i, first in enumerate(names):
        mass = routes[first][0](stated[first])
        for second in names[i + 1 :]:
            derived = routes[second][1](mass)
            ratio = stated[second] / derived
            if second == "sensitivity_db":
                ratio = 10.0 ** ((stated[second] - derived) / 20.0)
            if not _near(ratio, tolerance):
                found.append(Disagreement(first, second, stated[second], derived, ratio))
    return found


def complete_parameters(
    *,
    re_ohm: float | None = None,
    le_h: float | None = None,
    fs_hz: float | None = None,
    qms: float | None = None,
    qes: float | None = None,
    vas_m3: float | None = None,
    diaphragm_area_m2: float | None = None,
    moving_mass_kg: float | None = None,
    force_factor_t_m: float | None = None,
    sensitivity_db: float | None = None,
    tolerance: float = 0.10,
    air: Air = STANDARD_AIR,
) -> Parameters:
    """Everything that follows from the figures given, and every pair of them that disagrees by more than `tolerance`.

    The moving mass links them all: it is taken as stated, else from Vas, else from BL, else from the sensitivity.
    Stated figures are kept as stated. SI units; None is unknown. Source: Small 1972.
    """
    given = Parameters(
        re_ohm=re_ohm,
        le_h=le_h,
        fs_hz=fs_hz,
        qms=qms,
        qes=qes,
        vas_m3=vas_m3,
        diaphragm_area_m2=diaphragm_area_m2,
        moving_mass_kg=moving_mass_kg,
        force_factor_t_m=force_factor_t_m,
        sensitivity_db=sensitivity_db,
    )
    return _complete(given, tolerance, air)


def _complete(given: Parameters, tolerance: float, air: Air) -> Parameters:
    """All that follows from one moving mass, beside what was given."""
    re, fs, area = given.re_ohm, given.fs_hz, given.diaphragm_area_m2
    stated = {name: value for name in _LINKED if (value := getattr(given, name)) is not None}
    electrical_q = _electrical_q(re, fs, given.moving_mass_kg, given.force_factor_t_m)
    qes = electrical_q if given.qes is None else given.qes
    routes = _mass_routes(re, fs, qes, area, air)
    found = _disagreements(stated, routes, tolerance)
    if qes is not None and electrical_q is not None and not _near(qes / electrical_q, tolerance):
        found.insert(0, Disagreement("force_factor_t_m", "qes", qes, electrical_q, qes / electrical_q))
    mass = next((route[0](stated[name]) for name, route in routes.items() if name in stated), None)
    derived = {name: route[1](mass) for name, route in routes.items() if mass is not None and name not in stated}
    kept = derived | stated
    vas = kept.get("vas_m3")
    moving = None if fs is None or mass is None else 2.0 * pi * fs * mass
    return replace(
        given,
        **kept,
        qes=qes,
        qts=parallel_q(given.qms, qes),
        compliance_m_n=None if fs is None or moving is None else 1.0 / (2.0 * pi * fs * moving),
        resistance_kg_s=None if moving is None or given.qms is None else moving / given.qms,
        efficiency_ratio=None if fs is None or vas is None or qes is None else float(efficiency(fs, vas, qes, air)),
        derived=(*derived, "qes") if qes != given.qes else tuple(derived),
        disagreements=tuple(found),
    )


def _electrical_q(re: float | None, fs: float | None, mass: float | None, bl: float | None) -> float | None:
    """Qes = w Mms Re/BL^2 (Small 1972); None where something is missing."""
    return None if re is None or fs is None or mass is None or bl is None else 2 * pi * fs * mass * re / bl**2


# --- boxes and chambers -----------------------------------------------------------------------------------------


def rear_chamber(
    fs_hz: ArrayLike, q: ArrayLike, vas_m3: ArrayLike, chamber_m3: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    """Resonance in Hz and Q of a free-air driver once a chamber closes its back: both times sqrt(1 + Vas/Vb).

    `fs_hz` in Hz, `q` any of its Qs, `vas_m3` and `chamber_m3` in m3 above 0; inputs broadcast. The chamber is small
    against the wavelength and neither leaks nor damps. Source: Small 1972, eqs. of the compliance ratio.
    """
    ratio = np.sqrt(1.0 + _array(vas_m3) / _array(chamber_m3))
    return np.asarray(_array(fs_hz) * ratio), np.asarray(_array(q) * ratio)


def free_air(
    chambered_hz: ArrayLike, q: ArrayLike, vas_m3: ArrayLike, chamber_m3: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    """Resonance in Hz and Q once the rear chamber is taken off: the inverse of `rear_chamber`."""
    ratio = np.sqrt(1.0 + _array(vas_m3) / _array(chamber_m3))
    return np.asarray(_array(chambered_hz) / ratio), np.asarray(_array(q) / ratio)


@dataclass(frozen=True)
class BoxedDriver:
    """A driver in its box: complex response, 1 at high frequency, and cone travel re the static free-air travel.

    A closed box also has a resonance in Hz and a total Q; in a vented box they are the free-air ones.
    """

    resonance_hz: float
    q: float
    response: ComplexArray
    travel_ratio: FloatArray


def closed_box(frequency_hz: ArrayLike, fs_hz: float, qts: float, vas_m3: float, volume_m3: float) -> BoxedDriver:
    """Closed box: fc and Qtc are fs and Qts times sqrt(1 + Vas/Vb), response of second order over (F,) Hz.

    `fs_hz` in Hz, `qts` without unit, `vas_m3` and `volume_m3` in m3, all above 0; no leaks, no lining, below the first
    standing wave of the box. Source: Small 1972-73, closed-box systems, part I.
    """
    resonance, q = (float(value) for value in rear_chamber(fs_hz, qts, vas_m3, volume_m3))
    response = high_pass(frequency_hz, resonance, q)
    return BoxedDriver(resonance, q, response, np.abs(response) * (fs_hz / _array(frequency_hz)) ** 2)


def closed_box_impedance(
    frequency_hz: ArrayLike,
    re_ohm: float,
    fs_hz: float,
    qms: float,
    qes: float,
    vas_m3: float,
    volume_m3: float,
    le_h: float = 0.0,
    le_loss: float | None = None,
) -> ComplexArray:
    """Impedance in ohm of the driver in a closed box, complex, shape of `frequency_hz`; parameters as `impedance` and `closed_box`."""
    ratio = sqrt(1.0 + vas_m3 / volume_m3)
    return impedance(frequency_hz, re_ohm, fs_hz * ratio, qms * ratio, qes * ratio, le_h, le_loss)


def _vented(
    frequency_hz: ArrayLike, fs: float, q: float, vas: float, volume: float, tuning: float, losses: float
) -> tuple[ComplexArray, ComplexArray, ComplexArray, ComplexArray]:
    """s/ws, s/wb, the box's own polynomial and the system's denominator, leakage losses (Small 1973)."""
    s = np.asarray(1j * _array(frequency_hz) / fs, dtype=np.complex128)
    b = np.asarray(s * fs / tuning)
    box = b**2 + b / losses + 1.0
    return s, b, np.asarray(box), np.asarray(box * (s**2 + s / q + 1.0) + vas / volume * b**2)


def vented_box(
    frequency_hz: ArrayLike,
    fs_hz: float,
    qts: float,
    vas_m3: float,
    volume_m3: float,
    tuning_hz: float,
    losses: float = 7.0,
) -> BoxedDriver:
    """Vented box: response of fourth order and cone travel over (F,) Hz.

    `fs_hz` and `tuning_hz` in Hz, `qts` without unit, `vas_m3` and `volume_m3` in m3, all above 0; `losses` is the leakage Q
    of the box, 7 for one of usual size (5 to 20 measured). The vent is short against the wavelength and stays linear.
    Source: Thiele 1971; Small 1973, part I, eqs. of the response with leakage.
    """
    s, b, box, denominator = _vented(frequency_hz, fs_hz, qts, vas_m3, volume_m3, tuning_hz, losses)
    return BoxedDriver(fs_hz, qts, s**2 * b**2 / denominator, np.abs(box / denominator))


def vented_box_impedance(
    frequency_hz: ArrayLike,
    re_ohm: float,
    fs_hz: float,
    qms: float,
    qes: float,
    vas_m3: float,
    volume_m3: float,
    tuning_hz: float,
    losses: float = 7.0,
    le_h: float = 0.0,
    le_loss: float | None = None,
) -> ComplexArray:
    """Impedance in ohm of the driver in a vented box, complex, shape of `frequency_hz`.

    Parameters as `impedance` and `vented_box`. Source: Small 1973, part I.
    """
    s, _, box, denominator = _vented(frequency_hz, fs_hz, qms, vas_m3, volume_m3, tuning_hz, losses)
    motional = re_ohm / qes * s * box / denominator
    return np.asarray(re_ohm + coil_impedance(frequency_hz, le_h, le_loss) + motional)
