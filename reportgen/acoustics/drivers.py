"""One driver: its impedance, its missing parameters, its box, its travel and its heat.

Knows the lumped model of Thiele and Small and what a wanted level costs the diaphragm.
Refuses to know directivity, networks and which value a designer should choose.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from math import factorial, log10, pi, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.acoustics.air import REFERENCE_PRESSURE_PA, STANDARD_AIR, Air, FloatArray, level_db

ComplexArray = NDArray[np.complex128]
Magnitude = Callable[[FloatArray], FloatArray]
"""|T| of a high pass over u = f/f_c."""

SENSITIVITY_VOLT = 2.83
"""Voltage of the stated sensitivity; 1 W into 8 ohm (IEC 60268-5 states both)."""
INDUCTANCE_STATED_AT_HZ = 1000.0
"""Data sheets state voice-coil inductance at 1 kHz (common practice, no source)."""


def _array(value: ArrayLike) -> FloatArray:
    return np.asarray(value, dtype=np.float64)


# --- electrical -------------------------------------------------------------------------------------------------


def coil_impedance(frequency_hz: ArrayLike, le_h: ArrayLike, le_loss: float | None = None) -> ComplexArray:
    """Impedance of the voice coil's inductance in ohm; inputs broadcast.

    Lossless j w Le, or K (j w)^n with n = `le_loss` between 0 and 1 (Leach 2002), K such that the modulus at 1 kHz
    is that of the stated Le.
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

    Re + coil + Res/(1 + j Qms (f/fs - fs/f)), Res = Re Qms/Qes (Small 1972). At fs it is Re (1 + Qms/Qes) + coil.
    """
    f, fs, qm = _array(frequency_hz), _array(fs_hz), _array(qms)
    motional = _array(re_ohm) * qm / _array(qes) / (1.0 + 1j * qm * (f / fs - fs / f))
    return np.asarray(_array(re_ohm) + coil_impedance(f, le_h, le_loss) + motional)


def inductance_roll_off(
    frequency_hz: ArrayLike, re_ohm: ArrayLike, le_h: ArrayLike, le_loss: float | None = None
) -> ComplexArray:
    """Low pass that the coil makes of the drive current, complex, 1 at low frequency: Re/(Re + coil)."""
    re = _array(re_ohm)
    return np.asarray(re / (re + coil_impedance(frequency_hz, le_h, le_loss)))


def inductance_corner_hz(re_ohm: ArrayLike, le_h: ArrayLike, le_loss: ArrayLike = 1.0) -> FloatArray:
    """Frequency in Hz at which the coil has taken 3 dB; infinite without inductance; inputs broadcast.

    |Re + Z|^2 = 2 Re^2 with Z of modulus x Re and angle n pi/2: x = sqrt(cos^2 + 1) - cos, which a plain coil
    (n = 1) meets at Re/(2 pi Le). `le_loss` is the exponent n of `coil_impedance` (Leach 2002).

    >>> round(float(inductance_corner_hz(5.6, 0.3e-3)), 1)
    2970.9
    """
    n = _array(le_loss)
    cosine = np.cos(n * pi / 2.0)
    ratio = np.sqrt(cosine**2 + 1.0) - cosine
    with np.errstate(divide="ignore"):
        stated = ratio * _array(re_ohm) / (2.0 * pi * INDUCTANCE_STATED_AT_HZ * _array(le_h))
        return np.asarray(INDUCTANCE_STATED_AT_HZ * stated ** (1.0 / n))


def high_pass(frequency_hz: ArrayLike, fs_hz: ArrayLike, q: ArrayLike) -> ComplexArray:
    """Second-order high pass of a driver around its resonance, complex; inputs broadcast (Small 1972)."""
    u = _array(frequency_hz) / _array(fs_hz)
    return np.asarray(u**2 / (u**2 - 1.0 - 1j * u / _array(q)))


# --- efficiency and missing parameters --------------------------------------------------------------------------


def efficiency(fs_hz: ArrayLike, vas_m3: ArrayLike, qes: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Reference efficiency, a ratio: 4 pi^2 fs^3 Vas/(c^3 Qes) (Small 1972); inputs broadcast."""
    return np.asarray(4.0 * pi**2 * _array(fs_hz) ** 3 * _array(vas_m3) / (air.speed_m_s**3 * _array(qes)))


def sensitivity_w_db(efficiency_ratio: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Level in dB at 1 m in half space for 1 W: 10 lg of rho c eta/(2 pi) over (20 uPa)^2.

    >>> round(float(sensitivity_w_db(1.0)), 2)
    112.16
    """
    square = air.density_kg_m3 * air.speed_m_s * _array(efficiency_ratio) / (2.0 * pi)
    return np.asarray(10.0 * np.log10(square / REFERENCE_PRESSURE_PA**2))


def sensitivity_db(efficiency_ratio: ArrayLike, re_ohm: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Level in dB at 1 m in half space for 2.83 V, which is 2.83^2/Re watt; inputs broadcast."""
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

    Inputs broadcast. Source: Small 1972.
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
    """Closed box: fc and Qtc are fs and Qts times sqrt(1 + Vas/Vb), response of second order (Small 1972)."""
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
    """Impedance in ohm of the driver in a closed box, complex; frequency in Hz (Small 1972)."""
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
    """Vented box: response of fourth order and cone travel; `losses` is the leakage Q of the box.

    Thiele 1971; Small 1973, who takes 7 for a box of usual size.
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
    """Impedance in ohm of the driver in a vented box, complex; frequency in Hz (Small 1973)."""
    s, _, box, denominator = _vented(frequency_hz, fs_hz, qms, vas_m3, volume_m3, tuning_hz, losses)
    motional = re_ohm / qes * s * box / denominator
    return np.asarray(re_ohm + coil_impedance(frequency_hz, le_h, le_loss) + motional)


def static_travel_m(
    voltage_v: ArrayLike, re_ohm: ArrayLike, force_factor_t_m: ArrayLike, compliance_m_n: ArrayLike
) -> FloatArray:
    """Peak travel in m at zero frequency in free air for an rms voltage: sqrt(2) U BL Cms/Re; inputs broadcast."""
    force = sqrt(2.0) * _array(voltage_v) * _array(force_factor_t_m) / _array(re_ohm)
    return np.asarray(force * _array(compliance_m_n))


# --- travel -----------------------------------------------------------------------------------------------------


def pressure_from_travel(
    travel_m: ArrayLike,
    area_m2: ArrayLike,
    frequency_hz: ArrayLike,
    distance_m: ArrayLike = 1.0,
    air: Air = STANDARD_AIR,
) -> FloatArray:
    """Rms pressure in Pa on the axis in half space for a one-way peak travel; inputs broadcast.

    rho Sd (2 pi f)^2 x/(2 pi r sqrt 2). Source: Kinsler et al. 2000, simple source in a baffle.
    """
    volume = air.density_kg_m3 * _array(area_m2) * (2.0 * pi * _array(frequency_hz)) ** 2 * _array(travel_m)
    return np.asarray(volume / (2.0 * pi * _array(distance_m) * sqrt(2.0)))


def travel_from_pressure(
    pressure_pa: ArrayLike,
    area_m2: ArrayLike,
    frequency_hz: ArrayLike,
    distance_m: ArrayLike = 1.0,
    air: Air = STANDARD_AIR,
) -> FloatArray:
    """One-way peak travel in m that an rms pressure in half space needs: the inverse of `pressure_from_travel`."""
    return np.asarray(_array(pressure_pa) / pressure_from_travel(1.0, area_m2, frequency_hz, distance_m, air))


def full_travel_hz(
    pressure_pa_at_1m: ArrayLike,
    area_m2: ArrayLike,
    travel_m: ArrayLike,
    air: Air = STANDARD_AIR,
    count: ArrayLike = 1,
    gain_db: ArrayLike = 0.0,
) -> FloatArray:
    """Frequency in Hz at which an unfiltered tone takes the whole peak travel of `count` drivers; inputs broadcast."""
    share = _array(pressure_pa_at_1m) / (_array(count) * 10.0 ** (_array(gain_db) / 20.0))
    return np.asarray(np.sqrt(travel_from_pressure(share, area_m2, 1.0, 1.0, air) / _array(travel_m)))


def travel_limited_level_db(
    frequency_hz: ArrayLike,
    area_m2: ArrayLike,
    travel_m: ArrayLike,
    distance_m: ArrayLike = 1.0,
    air: Air = STANDARD_AIR,
    count: ArrayLike = 1,
    gain_db: ArrayLike = 0.0,
) -> FloatArray:
    """Highest level in dB of one tone that the peak travel allows, half space, `count` drivers in phase; broadcasts."""
    pressure = _array(count) * pressure_from_travel(travel_m, area_m2, frequency_hz, distance_m, air)
    return np.asarray(level_db(pressure) + _array(gain_db))


def power_limited_level_db(
    sensitivity_db: ArrayLike,
    re_ohm: ArrayLike,
    power_w: ArrayLike,
    distance_m: ArrayLike = 1.0,
    count: ArrayLike = 1,
) -> FloatArray:
    """Highest level in dB that a power in each of `count` drivers in phase allows; inputs broadcast.

    `sensitivity_db` is for 2.83 V at 1 m, the power counts in `re_ohm`; power compression is left out.
    """
    watts_at_sensitivity = SENSITIVITY_VOLT**2 / _array(re_ohm)
    more = 10.0 * np.log10(_array(power_w) / watts_at_sensitivity)
    return np.asarray(_array(sensitivity_db) + more + 20.0 * np.log10(_array(count) / _array(distance_m)))


@cache
def _bessel_coefficients(order: int) -> tuple[float, ...]:
    """Reverse Bessel polynomial scaled to 1 at both ends, highest power first (Thomson 1949)."""
    raw = [
        factorial(2 * order - k) / (2 ** (order - k) * factorial(k) * factorial(order - k))
        for k in range(order, -1, -1)
    ]
    scale = raw[-1] ** (1.0 / order)
    return tuple(a * scale ** (order - i) / raw[-1] for i, a in enumerate(raw))


def _order(slope_name: str) -> tuple[str, int]:
    family, order = slope_name[:2], slope_name[2:]
    if family not in ("LR", "BW", "BE") or not order.isdigit() or (family == "LR" and int(order) % 2):
        raise ValueError(f'a slope "{slope_name}"; it must be LR, BW or BE and an order, LR even: LR4, BW3, BE2')
    return family, int(order)


def slope_magnitude(slope: str | Magnitude, ratio: ArrayLike) -> FloatArray:
    """|T| of an acoustic high pass over `ratio` = f/f_c, any shape; a slope is a name as LR4, BW3, BE2 or a function.

    Source: Butterworth 1930; Linkwitz 1976; Thomson 1949.
    """
    u = _array(ratio)
    if callable(slope):
        return slope(u)
    family, order = _order(slope)
    with np.errstate(divide="ignore"):
        inverse = 1.0 / u
        if family == "BW":
            return np.asarray(1.0 / np.sqrt(1.0 + inverse ** (2 * order)))
        if family == "LR":
            return np.asarray(1.0 / (1.0 + inverse**order))
        return np.asarray(1.0 / np.abs(np.polyval(_bessel_coefficients(order), 1j * inverse)))


def travel_factor(slope: str | Magnitude) -> float:
    """Largest |T(u)|/u^2 over all u = f/f_c: travel behind a slope, re that of an unfiltered tone at f_c.

    Infinite for a first-order slope. Butterworth and Linkwitz-Riley in closed form (by differentiation), anything
    else on a grid of u from 0.001 to 100.

    >>> [round(travel_factor(name), 4) for name in ("LR2", "LR4", "BW3")]
    [1.0, 0.5, 0.7274]
    """
    family, n = ("", 0) if callable(slope) else _order(slope)
    if n == 1:
        return float("inf")
    if family == "BW":
        return float(((n - 2) / 2.0) ** ((n - 2) / (2.0 * n)) / sqrt(n / 2.0)) if n > 2 else 1.0
    if family == "LR":
        return float(((n - 2) / 2.0) ** ((n - 2) / n) / (n / 2.0)) if n > 2 else 1.0
    u = np.geomspace(1e-3, 1e2, 20001)
    return float(np.max(slope_magnitude(slope, u) / u**2))


def _first_order_travel_limit(full_hz: FloatArray, fs_hz: ArrayLike, q: ArrayLike) -> FloatArray:
    """Lowest f_c of a first-order slope in front of a driver of resonance fs and Q, see `travel_limit_hz`.

    With w = (f/fs)^2, D = |1 - w + j sqrt(w)/Q|^2 and X = (fs/full)^2 the bound for each w is
    (fs/f_c)^2 <= X^2 D/(1 - X^2 D)/w; it is tightest where w^2 - 1 + X^2 D^2 = 0, found by halving.
    """
    fs, q, full = np.broadcast_arrays(_array(fs_hz), _array(q), full_hz)
    square, b = (fs / full) ** 4, 1.0 / q**2 - 2.0
    with np.errstate(invalid="ignore", divide="ignore"):
        radicand = b**2 / 4.0 - 1.0 + 1.0 / square  # real roots of X^2 D = 1: where travel is short at all
        low, high = np.maximum(-b / 2.0 - np.sqrt(radicand), 0.0), np.ones_like(full)
        for _ in range(50):
            middle = (low + high) / 2.0
            rising = middle**2 - 1.0 + square * (middle**2 + b * middle + 1.0) ** 2 > 0.0
            low, high = np.where(rising, low, middle), np.where(rising, middle, high)
        need = square * (high**2 + b * high + 1.0)
        limit = fs * np.sqrt(high * (1.0 - need) / need)
    short = (radicand > 0.0) & (-b / 2.0 + np.sqrt(np.maximum(radicand, 0.0)) > 0.0)
    return np.asarray(np.where(np.isnan(square + b), np.nan, np.where(short, limit, 0.0)))


def travel_limit_hz(
    pressure_pa_at_1m: ArrayLike,
    area_m2: ArrayLike,
    travel_m: ArrayLike,
    slope_name: str | Magnitude,
    air: Air = STANDARD_AIR,
    count: ArrayLike = 1,
    gain_db: ArrayLike = 0.0,
    fs_hz: ArrayLike | None = None,
    q: ArrayLike | None = None,
) -> FloatArray:
    """Lowest crossover in Hz at which no tone of that rms level needs more than the one-way peak travel.

    Inputs broadcast; `gain_db` is a guide's gain on the axis. The acoustic slope holds down to zero frequency, and
    the limit is full_travel_hz sqrt(travel_factor); a function in place of the name gives |T| over f/f_c. First order has no such limit: there the electrical slope works
    into the driver's own second-order high pass (`fs_hz`, `q`), nan without them, 0 where no f_c is too low.

    >>> round(float(travel_limit_hz(3.9716, 7e-4, 0.3e-3, "LR4")), 1)
    1329.5
    """
    full = full_travel_hz(pressure_pa_at_1m, area_m2, travel_m, air, count, gain_db)
    if slope_name == "BW1":
        nothing = np.full(full.shape, np.nan)
        return _first_order_travel_limit(full, nothing if fs_hz is None else fs_hz, nothing if q is None else q)
    return np.asarray(full * sqrt(travel_factor(slope_name)))


def _log_interpolate(frequency_hz: FloatArray, table_hz: ArrayLike, table_db: ArrayLike) -> FloatArray:
    return np.asarray(np.interp(np.log(frequency_hz), np.log(_array(table_hz)), _array(table_db)))


def travel_limit_in_programme_hz(
    pressure_pa_at_1m: ArrayLike,
    area_m2: ArrayLike,
    travel_m: ArrayLike,
    slope: str | Magnitude,
    spectrum_hz: ArrayLike,
    spectrum_db: ArrayLike,
    air: Air = STANDARD_AIR,
    count: ArrayLike = 1,
    gain_db: ArrayLike = 0.0,
) -> FloatArray:
    """As `travel_limit_hz` for tones whose level follows a spectrum: dB re the wanted level over rising frequency.

    Beyond its ends the spectrum is held. A guide's gain over frequency is taken off `spectrum_db`. Good to 0.1 %;
    nan where an input is. Solved on a grid of crossover frequencies from 5 Hz to 80 kHz, 0 below it, inf above.
    """
    f = np.geomspace(2.0, 2e5, 1501)
    cutoff = np.geomspace(5.0, 8e4, 281)
    weight = 10.0 ** (_log_interpolate(f, spectrum_hz, spectrum_db) / 20.0) / f**2
    need = np.max(weight * slope_magnitude(slope, f / cutoff[:, None]), axis=-1)
    full = full_travel_hz(pressure_pa_at_1m, area_m2, travel_m, air, count, gain_db)
    wanted = -2.0 * np.log(full)
    found = np.interp(wanted, np.log(need[::-1]), np.log(cutoff[::-1]), left=np.inf, right=-np.inf)
    return np.asarray(np.where(np.isnan(wanted), np.nan, np.exp(found)))


# --- heat -------------------------------------------------------------------------------------------------------


def pink_share(f_low_hz: ArrayLike, f_high_hz: ArrayLike, bottom_hz: ArrayLike, top_hz: ArrayLike) -> FloatArray:
    """Share of the power of pink noise between bottom and top that lies between two frequencies; inputs broadcast.

    ln(f_high/f_low)/ln(top/bottom): equal power in equal ratios of frequency, by definition of pink noise.

    >>> float(pink_share(2000.0, 20000.0, 20.0, 20000.0)).__round__(4)
    0.3333
    """
    bottom, top = _array(bottom_hz), _array(top_hz)
    low, high = np.clip(_array(f_low_hz), bottom, top), np.clip(_array(f_high_hz), bottom, top)
    return np.asarray(np.maximum(np.log(high / low), 0.0) / np.log(top / bottom))


def _programme_density(spectrum_hz: ArrayLike, spectrum_db: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Frequencies in equal ratios between the ends of the table, and the share of the power at each."""
    table = _array(spectrum_hz)
    f = np.geomspace(table[0], table[-1], 601)
    density = 10.0 ** (_log_interpolate(f, table, spectrum_db) / 10.0)
    density[[0, -1]] /= 2.0
    return f, np.asarray(density / density.sum())


def programme_share(
    cutoff_hz: ArrayLike, slope: int | str | Magnitude, spectrum_hz: ArrayLike, spectrum_db: ArrayLike
) -> FloatArray:
    """Share of a programme's power that passes a high pass, shape of `cutoff_hz`; 1 at a cutoff of 0.

    The spectrum is dB per octave band (any reference) over rising frequency, straight lines between; no power beyond
    its ends. `slope` is a Butterworth order, a slope name or a function.
    """
    f, density = _programme_density(spectrum_hz, spectrum_db)
    shape = f"BW{slope}" if isinstance(slope, int) else slope
    with np.errstate(divide="ignore"):
        passed = slope_magnitude(shape, f / _array(cutoff_hz)[..., None]) ** 2
    return np.asarray(passed @ density)


@lru_cache(maxsize=32)
def _share_table(
    slope: str | Magnitude, spectrum_hz: tuple[float, ...], spectrum_db: tuple[float, ...]
) -> tuple[FloatArray, FloatArray]:
    """Cutoffs in Hz and the share of the programme above each; kept, as a batch asks for few of them many times."""
    cutoff = np.geomspace(spectrum_hz[0] / 64.0, spectrum_hz[-1] * 4.0, 601)
    share = programme_share(cutoff, slope, spectrum_hz, spectrum_db)
    cutoff.flags.writeable = share.flags.writeable = False
    return cutoff, share


def allowed_power_w(
    rated_power_w: ArrayLike,
    rating_high_pass_hz: ArrayLike,
    rating_order: int | str,
    spectrum_hz: ArrayLike,
    spectrum_db: ArrayLike,
) -> FloatArray:
    """Programme power in W that the driver itself may take, from a rating stated in front of a high pass.

    A high driver's rating counts the whole programme, of which only the share above the rating's own high pass
    reaches it (common practice, no source); a high pass of 0 Hz means the rating counts as it stands.
    """
    share = programme_share(rating_high_pass_hz, rating_order, spectrum_hz, spectrum_db)
    return np.asarray(_array(rated_power_w) * share)


def heat_limit_hz(
    programme_power_w: ArrayLike,
    allowed_power_w: ArrayLike,
    spectrum_hz: ArrayLike,
    spectrum_db: ArrayLike,
    slope: int | str | Magnitude = 4,
) -> FloatArray:
    """Lowest crossover in Hz at which the programme power above it stays within the allowed power; inputs broadcast.

    0 where the whole programme is allowed, inf where even four times the top of the spectrum is too low, nan where
    an input is nan. Good to 0.1 %. The inverse of `programme_share`.
    """
    shape = f"BW{slope}" if isinstance(slope, int) else slope
    cutoff, share = _share_table(shape, tuple(_array(spectrum_hz).tolist()), tuple(_array(spectrum_db).tolist()))
    wanted = _array(allowed_power_w) / _array(programme_power_w)
    with np.errstate(divide="ignore", invalid="ignore"):
        found = np.exp(np.interp(np.log(wanted), np.log(share[::-1]), np.log(cutoff[::-1]), left=np.inf))
    return np.asarray(np.where(np.isnan(wanted), np.nan, np.where(wanted >= share[0], 0.0, found)))
