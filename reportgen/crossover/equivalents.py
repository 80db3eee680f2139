"""Loads drawn with resistors, coils and capacitors, so that any circuit simulator can run them.

Knows the closed forms of a driver in free air, in a closed and in a vented box, and how to find a circuit for a
measured impedance. Every element is positive. Refuses to know filters and text.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from math import pi

import numpy as np
import scipy
from numpy.typing import ArrayLike, NDArray

from reportgen.acoustics.peaks import peaks
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.networks import Component

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]

WORST_FIT = 0.25
"""Largest relative miss of a fitted equivalent that still stands for a measured impedance (common practice, no source)."""

WANTED_FIT, MOST_RESONANCES = 0.02, 6
"""Resonances are added to a fitted equivalent until it misses less than this share everywhere, or so many stand there."""


@dataclass(frozen=True, slots=True)
class Section:
    """Chains side by side, each of parts in series: one part of a load that stands in series with the others."""

    chains: tuple[tuple[Component, ...], ...]
    remark: str

    def impedance(self, frequency_hz: ArrayLike) -> ComplexArray:
        """Complex impedance in ohm, shape of `frequency_hz` (Hz, greater than 0)."""
        jw = 2j * pi * np.asarray(frequency_hz, dtype=np.float64)
        parts = {"R": lambda v: v + 0.0 * jw, "L": lambda v: v * jw, "C": lambda v: 1.0 / (v * jw)}
        chains = [sum((parts[part.kind](part.value) for part in chain), 0.0 * jw) for chain in self.chains]
        return np.asarray(1.0 / sum(1.0 / chain for chain in chains), dtype=np.complex128)


@dataclass(frozen=True, slots=True)
class Equivalent:
    """A load drawn with resistors, coils and capacitors: sections in series, and a remark on how near it comes."""

    sections: tuple[Section, ...]
    remark: str = ""

    def impedance(self, frequency_hz: ArrayLike) -> ComplexArray:
        """Complex impedance in ohm, shape of `frequency_hz` (Hz, greater than 0)."""
        first, *others = (section.impedance(frequency_hz) for section in self.sections)
        return np.asarray(sum(others, first), dtype=np.complex128)

    def scaled(self, factor: float) -> Equivalent:
        """The load with its impedance times `factor`: several of them wired together."""

        def part(one: Component) -> Component:
            return replace(one, value=one.value / factor if one.kind == "C" else one.value * factor)

        sections = (replace(s, chains=tuple(tuple(map(part, c)) for c in s.chains)) for s in self.sections)
        return replace(self, sections=tuple(sections))


def _section(remark: str, *chains: tuple[Component, ...]) -> Section:
    return Section(chains, remark)


def _resistor(ohm: float) -> tuple[Component, ...]:
    return (Component("R", ohm),)


CORNERS_HZ = 1.25 * 4.0 ** np.arange(10)
"""Corners of the chain that stands for a lossy coil, two octaves apart, from far below to far above the audible band."""


def coil_sections(le_h: float, exponent: float | None = None) -> tuple[Section, ...]:
    """The voice coil's inductance: a coil, or where it is lossy a chain of coils with resistors beside them.

    The lossy coil is K (j w)^n with n = `exponent`, K such that its modulus at 1 kHz is that of `le_h` (Leach 2002).
    The chain is s^n = sin(n pi)/pi times the integral of s/(s + x) x^n over ln x (Balakrishnan 1960, memory) as a sum
    over corners; those further down merge into a resistor, those further up into a coil. From 20 Hz to 20 kHz it
    comes within 0.3 %.
    """
    if not le_h > 0.0:
        return ()
    if exponent is None or exponent >= 1.0:
        return (_section("voice coil", (Component("L", le_h),)),)
    step, x = float(np.log(4.0)), 2.0 * pi * CORNERS_HZ
    ohms = (2.0 * pi * 1000.0) ** (1.0 - exponent) * le_h * np.sin(pi * exponent) / pi * step * x**exponent
    below = ohms[0] / (np.exp(exponent * step) - 1.0)
    above = ohms[-1] / x[-1] / (np.exp((1.0 - exponent) * step) - 1.0)
    name = "lossy voice coil"
    chain = [_section(name, _resistor(float(r)), (Component("L", float(r / w)),)) for r, w in zip(ohms, x, strict=True)]
    return (_section(name, _resistor(float(below))), *chain, _section(name, (Component("L", float(above)),)))


def _motional(load: DriverLoad) -> tuple[tuple[Component, ...], ...]:
    return _resistor(load.res_ohm), (Component("L", load.lces_h),), (Component("C", load.cmes_f),)


def driver_equivalent(load: DriverLoad, le_exponent: float | None = None) -> Equivalent:
    """Voice coil and one resonance: a driver in free air or, with the box's figures, in a closed one (Small 1972)."""
    resonance = _section("resonance of the moving system", *_motional(load))
    coil = coil_sections(load.le_h, le_exponent)
    return Equivalent((_section("voice coil", _resistor(load.re_ohm)), *coil, resonance))


def resistive_equivalent(re_ohm: float, le_h: float = 0.0, le_exponent: float | None = None) -> Equivalent:
    """A voice coil or foil whose resonance nobody states."""
    return Equivalent((_section("voice coil", _resistor(re_ohm)), *coil_sections(le_h, le_exponent)))


def closed_equivalent(
    load: DriverLoad, vas_m3: float, volume_m3: float, le_exponent: float | None = None
) -> Equivalent:
    """The driver in a closed box: fs, Qms and Qes in the ratio sqrt(1 + Vas/Vb) (Small 1972)."""
    ratio = (1.0 + vas_m3 / volume_m3) ** 0.5
    boxed = replace(load, fs_hz=load.fs_hz * ratio, qms=load.qms * ratio, qes=load.qes * ratio)
    return driver_equivalent(boxed, le_exponent)


def vented_equivalent(
    load: DriverLoad, vas_m3: float, volume_m3: float, tuning_hz: float, losses: float, le_exponent: float | None = None
) -> Equivalent:
    """The driver in a vented box: across the moving system a coil, a capacitor and a resistor in series (Small 1973).

    With a = Vas/Vb the coil of the box's compliance is Lces/a, the capacitor of the port's mass resonates with it at
    the tuning, and the resistor of the leak is its reactance there over the box's Q, `losses`.
    """
    box_h = load.lces_h * volume_m3 / vas_m3
    omega = 2.0 * pi * tuning_hz
    port = (
        Component("L", box_h, role="compliance of the box"),
        Component("C", 1.0 / (omega**2 * box_h), role="mass of the port"),
        Component("R", omega * box_h / losses, role="leak of the box"),
    )
    bare = driver_equivalent(load, le_exponent)
    moving = _section("moving system with box and port across it", *_motional(load), port)
    return Equivalent((*bare.sections[:-1], moving))


# --- measured impedances ------------------------------------------------------------------------------------------

WORTH_A_RESONANCE = 0.8
"""A further resonance must lower the mean square to this share; noise is not drawn."""

PROMINENT = 0.03
"""A peak of the resistance that stands out by a smaller share of it is left to the rest of the circuit."""

SMOOTHED = 5
"""A miss counts as one only where it holds over so many frequencies."""

ASIDE = 12
"""A resonance is also tried so many frequencies to either side of the worst miss."""

BOUND = 3.0
"""Residual that a value one e-fold outside its bounds is held to cost."""


def _exponent(x: FloatArray) -> FloatArray:
    """Exponent of the lossy coil between 0.4 and 1, from any number."""
    return np.asarray(0.4 + 0.6 / (1.0 + np.exp(-np.clip(x, -20.0, 20.0))))


def _circuits(f: FloatArray, x: FloatArray) -> ComplexArray:
    """Impedance (samples, frequency) of log Re, log Le, what `_exponent` takes, and log R, f, Q of each resonance."""
    values = np.exp(np.clip(x, -40.0, 40.0))
    re_ohm, le_h, exponent = values[:, :1], values[:, 1:2], _exponent(x[:, 2:3])
    ohm, at, q = (values[:, 3 + k :: 3, None] for k in range(3))
    resonant = np.sum(ohm / (1.0 + 1j * q * (f / at - at / f)), axis=1)
    coil = np.exp(0.5j * pi * exponent) * 2.0 * pi * 1000.0 * le_h * (f / 1000.0) ** exponent
    return np.asarray(re_ohm + coil + resonant)


def _misses(f: FloatArray, z: ComplexArray, x: FloatArray) -> FloatArray:
    """Residuals (samples, rows): the logarithm of circuit over curve, and what lies out of bounds."""
    miss = np.log(_circuits(f, x) / z)
    sections = (x.shape[1] - 3) // 3
    low = np.log(np.array([0.1, 1e-8, 1e-9, *(1e-3, 0.3 * f[0], 0.05) * sections]))
    high = np.log(np.array([1e3, 0.1, 1e6, *(1e3, 4.0 * f[-1], 60.0) * sections]))
    outside = BOUND * (np.maximum(x - high, 0.0) + np.maximum(low - x, 0.0))
    return np.concatenate([miss.real, miss.imag, outside], axis=-1)


def _refined(f: FloatArray, z: ComplexArray, x: FloatArray) -> FloatArray:
    """The unknowns with the least squares that Levenberg-Marquardt finds from these on (MINPACK)."""
    steps = np.concatenate([np.zeros((1, len(x))), STEP * np.eye(len(x))])

    def slopes(at: FloatArray) -> FloatArray:
        rows = _misses(f, z, at + steps)
        return np.asarray((rows[1:] - rows[0]) / STEP)

    found = scipy.optimize.leastsq(  # type: ignore[call-overload] # its stubs want the number of dimensions in the type
        lambda at: _misses(f, z, at[None, :])[0], x, Dfun=slopes, col_deriv=True, full_output=True,
        ftol=1e-4, xtol=1e-4, gtol=1e-6, maxfev=30,
    )  # fmt: skip
    return np.asarray(found[0], dtype=np.float64)


STEP = 1e-4
"""So far an unknown is moved to see what it does."""


def _shares(f: FloatArray, z: ComplexArray, x: FloatArray) -> FloatArray:
    return np.asarray(np.abs(_circuits(f, x[None, :])[0] / z - 1.0))


def _first(f: FloatArray, z: ComplexArray, exponent: float) -> FloatArray:
    """Unknowns to start from: every peak of the resistance as a resonance of its height and width."""
    real = np.convolve(np.pad(z.real, SMOOTHED // 2, mode="edge"), np.ones(SMOOTHED) / SMOOTHED, mode="valid")
    re_ohm = max(float(np.min(real)), 0.1)
    found = [one for one in peaks(np.log(np.maximum(real, 1e-3)), PROMINENT) if one.width >= 1.0]
    highest = sorted(found, key=lambda one: -one.prominence)[:MOST_RESONANCES]
    places = np.array([one.place for one in highest], dtype=int)
    width = np.array([one.width for one in highest]) * np.log(f[-1] / f[0]) / (len(f) - 1)
    sections = np.stack([real[places] - re_ohm, f[places], 0.5 / np.sinh(0.5 * width)], axis=-1)
    le_h = max(float(z.imag[-1]) / (2.0 * pi * f[-1]), 1e-7)
    return np.asarray(np.log(np.concatenate([[0.98 * re_ohm, le_h, exponent], sections.ravel()])))


def _square(f: FloatArray, z: ComplexArray, x: FloatArray) -> float:
    return float(np.sum(_misses(f, z, x[None, :]) ** 2))


def _opened(f: FloatArray, z: ComplexArray, x: FloatArray) -> FloatArray:
    """The best circuit with one resonance more, at or beside the place that this one misses most."""
    miss = np.convolve(_circuits(f, x[None, :])[0] / z - 1.0, np.ones(SMOOTHED) / SMOOTHED, mode="same")
    worst = int(np.argmax(np.abs(miss)))
    sides = [max(worst - ASIDE, 0), worst, min(worst + ASIDE, len(f) - 1)]
    starts = [np.log([0.3 * abs(z[at]), f[at], 3.0]) for at in sides]
    tried = [_refined(f, z, np.concatenate([x, start])) for start in starts]
    return min(tried, key=lambda one: _square(f, z, one))


def _drawn(x: FloatArray) -> tuple[Section, ...]:
    re_ohm, le_h = np.exp(x[:2]).tolist()
    exponent = float(_exponent(x[2]))
    coil = coil_sections(le_h, exponent if exponent < 0.999 else None)
    sections = [_section("voice coil", _resistor(re_ohm)), *coil]
    for ohm, at, q in np.exp(x[3:]).reshape(-1, 3).tolist():
        sections.append(_section("resonance", *_motional(DriverLoad(ohm, 0.0, at, q, q))))
    return tuple(sections)


def fitted_equivalent(frequency_hz: ArrayLike, impedance_ohm: ArrayLike) -> Equivalent:
    """Circuit of a measured impedance, arrays (frequency,): a resistor, a lossy coil, and as many resonances as it takes.

    Every peak of the resistance starts as a resonance. A further one is placed where the circuit so far misses most, then all are fitted again by least squares
    over the logarithm of the impedance. ValueError where the best circuit misses by more than a quarter somewhere.
    """
    f, z = np.asarray(frequency_hz, dtype=np.float64), np.asarray(impedance_ohm, dtype=np.complex128)
    return _fitted(f.tobytes(), z.tobytes())


@lru_cache(maxsize=64)
def _fitted(frequencies: bytes, impedances: bytes) -> Equivalent:
    """The same driver comes again with every change that is tried on a pairing; it is fitted once."""
    f, z = np.frombuffer(frequencies, dtype=np.float64), np.frombuffer(impedances, dtype=np.complex128)
    starts = [_first(f, z, exponent) for exponent in (1.2, 7.4, 400.0)]
    x = min((_refined(f, z, start) for start in starts), key=lambda one: _square(f, z, one))
    while np.max(_shares(f, z, x)) > WANTED_FIT and len(x) < 3 * MOST_RESONANCES + 3:
        wider = _opened(f, z, x)
        if _square(f, z, wider) > WORTH_A_RESONANCE * _square(f, z, x):
            break
        x = wider
    circuit, count = _drawn(x), (len(x) - 3) // 3
    share = np.abs(Equivalent(circuit).impedance(f) / z - 1.0)
    worst = int(np.argmax(share))
    if share[worst] > WORST_FIT:
        raise ValueError(
            f"the measured impedance cannot be drawn as a circuit: at {f[worst]:.0f} Hz the nearest one of {count} "
            f"resonances misses it by {100 * share[worst]:.0f} %. Look at the curve there"
        )
    rms = 100.0 * float(np.sqrt(np.mean(share**2)))
    told = f"{count} resonance{'s' if count > 1 else ''}, rms miss {rms:.2f} %, worst {100 * share[worst]:.2f} %"
    return Equivalent(circuit, f"load fitted to a measured impedance: {told} at {f[worst]:.0f} Hz")


def equivalent_of(load: Equivalent | DriverLoad | float) -> Equivalent:
    """Any load as a circuit: a number is a resistance in ohm."""
    if isinstance(load, Equivalent):
        return load
    return driver_equivalent(load) if isinstance(load, DriverLoad) else resistive_equivalent(load)
