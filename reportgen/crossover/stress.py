"""Stress on every part at the amplifier's rated programme, and the rating to buy.

Knows voltages, currents and heat under a programme spectrum. Refuses to know how long a part lives or what it costs.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.crossover.networks import Branch, Component, component_loads

FloatArray = NDArray[np.float64]

CAPACITOR_RATINGS_V = (35.0, 50.0, 63.0, 100.0, 160.0, 250.0, 400.0, 630.0, 1000.0)
COIL_RATINGS_A = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 7.0, 10.0, 15.0, 20.0, 30.0)
RESISTOR_RATINGS_W = (1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 50.0, 100.0, 200.0)
"""Ratings customarily sold (common practice, no source)."""


@dataclass(frozen=True, slots=True, eq=False)
class Programme:
    """A programme spectrum in octave bands: middle frequencies (Hz) and relative levels (dB), arrays (bands,).

    `crest_factor` is peak over rms; the programme signal of IEC 60268-5 keeps it between 1.8 and 2.2.
    """

    band_hz: FloatArray
    level_db: FloatArray
    crest_factor: float = 2.0


@dataclass(frozen=True, slots=True)
class Margins:
    """How much more than the stress a rating must hold (common practice, no source)."""

    voltage: float = 1.25
    current: float = 1.25
    power: float = 2.0


@dataclass(frozen=True, slots=True)
class PartStress:
    """Stress on one part: volts, amperes, watts; `needed` is stress times margin, `rating_to_buy` the next one sold.

    A capacitor is rated by its peak voltage, a coil by its rms current, a resistor by its power; `unit` says which.
    `underrated` tells of the part's own rating, None when it states none.
    """

    component: Component
    voltage_rms: float
    voltage_peak: float
    current_rms: float
    power_w: float
    needed: float
    rating_to_buy: float | None
    unit: str
    underrated: bool | None


def power_shares(programme: Programme, frequency_hz: ArrayLike) -> FloatArray:
    """Share of the programme's mean square voltage that falls to each frequency, (frequency,), summing to 1.

    Within an octave band the power is spread evenly over the logarithm of frequency (pink noise); what lies in
    bands off the grid goes to the nearest frequency, so that nothing is lost.
    """
    f = np.asarray(frequency_hz, dtype=np.float64)
    if f.ndim != 1 or len(f) < 2 or not np.all(np.diff(f) > 0.0):
        raise ValueError("the stress needs two or more rising frequencies")
    edges = np.concatenate([[0.0], np.sqrt(f[1:] * f[:-1]), [np.inf]])
    low, high = programme.band_hz / sqrt(2.0), programme.band_hz * sqrt(2.0)
    power = 10.0 ** (programme.level_db / 10.0)
    cut = np.log(np.clip(edges[:, None], low, high))
    inside = np.diff(cut, axis=0) / np.log(high / low)
    return np.asarray(inside @ (power / np.sum(power)))


def rated_voltage(amplifier_w: float, rated_ohm: float) -> float:
    """Rms voltage of an amplifier of stated power into the rated impedance, V.

    >>> rated_voltage(100.0, 4.0)
    20.0
    """
    if not (amplifier_w > 0.0 and rated_ohm > 0.0):
        raise ValueError(f"an amplifier of {amplifier_w} W into {rated_ohm} ohm has no voltage; both must be above 0")
    return sqrt(amplifier_w * rated_ohm)


def branch_stress(
    branch: Branch,
    load_ohm: ArrayLike,
    frequency_hz: ArrayLike,
    programme: Programme,
    voltage_rms: float,
    margins: Margins | None = None,
) -> tuple[PartStress, ...]:
    """Stress on every part of a branch when the programme drives it with `voltage_rms` from the amplifier.

    Arrays (frequency,). The rms figures hold for the whole programme. The peaks are the larger of the programme's
    own crest and a sine of the full voltage at the frequency that is worst for the part.
    """
    f = np.asarray(frequency_hz, dtype=np.float64)
    shares = power_shares(programme, f)
    loads = component_loads(branch, load_ohm, f)
    found = []
    for component, volts, amperes in zip(branch.components, np.abs(loads.voltage), np.abs(loads.current), strict=True):
        rms = [voltage_rms * sqrt(float(np.sum(shares * gain**2))) for gain in (volts, amperes)]
        sine = [voltage_rms * sqrt(2.0) * float(np.max(gain)) for gain in (volts, amperes)]
        peaks = [max(programme.crest_factor * r, s) for r, s in zip(rms, sine, strict=True)]
        found.append(_judged(component, rms, peaks, margins or Margins()))
    return tuple(found)


def _judged(component: Component, rms: list[float], peaks: list[float], margins: Margins) -> PartStress:
    ohm = component.resistance_ohm + (component.value if component.kind == "R" else 0.0)
    power = rms[1] ** 2 * ohm
    needed, unit, sold = {
        "C": (peaks[0] * margins.voltage, "V", CAPACITOR_RATINGS_V),
        "L": (rms[1] * margins.current, "A", COIL_RATINGS_A),
        "R": (power * margins.power, "W", RESISTOR_RATINGS_W),
    }[component.kind]
    return PartStress(
        component=component,
        voltage_rms=rms[0],
        voltage_peak=peaks[0],
        current_rms=rms[1],
        power_w=power,
        needed=needed,
        rating_to_buy=next((rating for rating in sold if rating >= needed), None),
        unit=unit,
        underrated=_underrated(component, needed, unit),
    )


def _underrated(component: Component, needed: float, unit: str) -> bool | None:
    stated = component.rating
    if stated is None or component.rating_unit != unit:
        return None
    return stated < needed
