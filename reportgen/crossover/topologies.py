"""Forms a branch can take: the ladder of a filter and what may join it, each with its handbook start values.

Knows the textbook formulas into a resistance. Refuses to know the real driver's response or which form is
best.
"""

from __future__ import annotations

from dataclasses import replace
from math import log, pi

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.slopes import SLOPES, Slope, denominator
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.networks import Branch, Component, Stage, across, in_path

COMPENSATION = "impedance compensation"
TRAP = "resonance trap"
PAD = "level pad"
NOTCH = "notch"
DAMPING = "damping resistor"
BRIDGE = "capacitor across the coil"
FRONT = "resistor before the filter"
LIFT = "capacitor across the pad"
SHELF = "bass shelf"


def _ladder(polynomial: NDArray[np.float64]) -> list[float]:
    """Elements of the coil-and-capacitor ladder with 1/polynomial as its transfer into 1 ohm, source first.

    Continued fraction of even over odd part, taken off from the load (Cauer 1926; Darlington 1939): coils
    stand first and at every odd place.
    """
    top = bottom = polynomial[::-1]  # rising; of each only the powers of its own parity are looked at
    elements = []
    for power in range(len(polynomial) - 1, 0, -1):
        element = top[power] / bottom[power - 1]
        elements.append(float(element))
        rest = top.copy()
        rest[1:] -= element * bottom[:-1]
        top, bottom = bottom, rest
    return elements[::-1]


def handbook_low(slope: Slope, resistance_ohm: float, crossover_hz: float) -> Branch:
    """Low pass of the slope into a resistance, coil first, lossless parts; order 1 to 8."""
    scale = resistance_ohm / (2.0 * pi * crossover_hz)
    stages = []
    for place, element in enumerate(_ladder(denominator(slope))):
        if place % 2 == 0:
            stages.append(in_path(Component("L", element * scale, role="series coil")))
        else:
            value = element * scale / resistance_ohm**2
            stages.append(across(Component("C", value, role="shunt capacitor")))
    return Branch(tuple(stages))


def handbook_high(slope: Slope, resistance_ohm: float, crossover_hz: float) -> Branch:
    """High pass of the slope into a resistance, capacitor first, lossless parts: s turned to 1/s."""
    scale = resistance_ohm / (2.0 * pi * crossover_hz)
    stages = []
    for place, element in enumerate(_ladder(denominator(slope))):
        if place % 2 == 0:
            value = scale / (element * resistance_ohm**2)
            stages.append(in_path(Component("C", value, role="series capacitor")))
        else:
            stages.append(across(Component("L", scale / element, role="shunt coil")))
    return Branch(tuple(stages))


def butterworth_start(order: int, resistance_ohm: float, crossover_hz: float, high: bool) -> Branch:
    """The Butterworth ladder of 1 to 4 parts, from which a fit starts."""
    slope = SLOPES[f"BW{order}"]
    return (handbook_high if high else handbook_low)(slope, resistance_ohm, crossover_hz)


def coil_compensation(re_ohm: float, le_h: float) -> Stage:
    """R and C across the driver that take the rise of its voice coil away: R = Re, C = Le/Re^2."""
    resistor = Component("R", re_ohm, role=COMPENSATION)
    return across(resistor, Component("C", le_h / re_ohm**2, role=COMPENSATION))


def resonance_trap(load: DriverLoad) -> Stage:
    """Coil, capacitor and resistor in series across the driver that flatten its resonance.

    L = Qes Re/(2 pi fs), C = 1/(2 pi fs Qes Re), R = Re (1 + Qes/Qms): the dual of the resonance in Re. With
    Le = 0 the driver and its trap are exactly Re at every frequency.
    """
    omega = 2.0 * pi * load.fs_hz
    return across(
        Component("L", load.qes * load.re_ohm / omega, role=TRAP),
        Component("C", 1.0 / (omega * load.qes * load.re_ohm), role=TRAP),
        Component("R", load.re_ohm * (1.0 + load.qes / load.qms), role=TRAP),
    )


def level_pad(attenuation_db: float, resistance_ohm: float) -> tuple[Stage, Stage]:
    """Series and shunt resistor that lower the level by `attenuation_db` > 0 into R and look like R.

    Rs = R (1 - g), Rp = R g/(1 - g), g = 10^(-A/20).
    """
    if not attenuation_db > 0.0:
        raise ValueError(f"a level pad of {attenuation_db} dB was asked for; it must be greater than 0")
    g = 10.0 ** (-attenuation_db / 20.0)
    series = Component("R", resistance_ohm * (1.0 - g), role=PAD)
    return in_path(series), across(Component("R", resistance_ohm * g / (1.0 - g), role=PAD))


def notch(frequency_hz: float, depth_db: float, resistance_ohm: float, octaves: float = 0.5) -> Stage:
    """Coil, capacitor and resistor in parallel, in the path, that take `depth_db` off at one frequency.

    At resonance R (g - 1) stands before R, g = 10^(depth/20); `octaves` is the width between the points where
    the reactances alone have the modulus of that resistor.
    """
    peak = resistance_ohm * (10.0 ** (depth_db / 20.0) - 1.0)
    quality = 1.0 / (octaves * log(2.0))
    omega = 2.0 * pi * frequency_hz
    return in_path(
        Component("L", peak / (omega * quality), role=NOTCH),
        Component("C", quality / (omega * peak), role=NOTCH),
        Component("R", peak, role=NOTCH),
        join="parallel",
    )


def bass_shelf(depth_db: float, resistance_ohm: float, middle_hz: float) -> Stage:
    """Coil and resistor in parallel, in the path: what lies above `middle_hz` sinks by `depth_db` > 0 into R.

    The resistor R (g - 1), g = 10^(depth/20), stands alone far above; far below the coil shorts it; at the middle the
    coil's reactance is the resistor.
    """
    resistor = resistance_ohm * (10.0 ** (depth_db / 20.0) - 1.0)
    coil = Component("L", resistor / (2.0 * pi * middle_hz), role=SHELF)
    return in_path(coil, Component("R", resistor, role=SHELF), join="parallel")


WINDOW = 2.5
"""A compensation or trap stays within this factor of its handbook values; further off it would be something else."""


def windows_of(load: DriverLoad | None) -> dict[tuple[str, str], tuple[float, float]]:
    """Limits, by role and kind, of the parts whose place in the branch fixes their size (common practice, no source)."""
    windows = {("series capacitor", "C"): (0.5e-6, 100e-6), ("shunt coil", "L"): (0.05e-3, 4e-3)}
    if load is None:
        return windows
    stages = [resonance_trap(load)] + ([coil_compensation(load.re_ohm, load.le_h)] if load.le_h > 0.0 else [])
    for part in (component for stage in stages for component in stage.components):
        windows[part.role, part.kind] = part.value / WINDOW, part.value * WINDOW
    return windows


def before_driver(branch: Branch, *stages: Stage) -> Branch:
    """The branch with further stages at the driver's end."""
    return replace(branch, stages=branch.stages + stages)


def before_filter(branch: Branch, *stages: Stage) -> Branch:
    """The branch with further stages at the amplifier's end."""
    return replace(branch, stages=stages + branch.stages)


def hardly_there(stage: Stage) -> Stage:
    """A stage of one coil or capacitor with a value at which it does little yet."""
    (part,) = stage.components
    factor = 4.0 if (part.kind == "L") == (stage.place == "shunt") else 0.25
    return replace(stage, components=(replace(part, value=part.value * factor),))
