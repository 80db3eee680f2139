"""What a design starts from: two drivers as the crossover sees them, and what may be used.

Knows curves, figures and wishes as plain values. Refuses to know what is done with them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reportgen.crossover.loads import DriverLoad, fit_driver_load
from reportgen.crossover.parts import PartOffer, Policy, Series
from reportgen.crossover.voicing import PLAIN, Voicing

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]


LEVEL_IMPEDANCE = 1.2
"""An impedance that varies less than in this ratio asks for no compensation (common practice, no source)."""


@dataclass(frozen=True, slots=True, eq=False)
class Side:
    """One driver, or several wired together, as the crossover sees them; arrays (frequency,).

    Both sides of a design stand on the same grid. `response` is the complex pressure in Pa at the seat for
    2.83 V at the terminals, with the real path's delay; `impedance` complex ohm. The figures serve the
    compensation and belong to the same terminals; what is missing is fitted from the impedance.
    """

    frequency_hz: FloatArray
    response: ComplexArray
    impedance: ComplexArray
    re_ohm: float | None = None
    le_h: float | None = None
    fs_hz: float | None = None
    qms: float | None = None
    qes: float | None = None


@dataclass(frozen=True, slots=True)
class DesignOptions:
    """What the design may use and what a part must earn; all figures are common practice without source.

    `policy` "any" takes any value to three digits, "preferred" the `series`, "stock" the offers in `stock` and pairs
    of them. A coil has `coil_ohm` at 1 mH and grows with its inductance to the power `coil_exponent`. To stay, a coil
    or capacitor must lower the weighted error by half of `worth_db`, a big one by more, a resistor by a quarter of it.
    `sensitivity` is how much of the error that 5 % parts add counts when forms are compared. `minimum_ohm` is what a
    branch should not undercut, `voicing` how the whole is to sound.
    """

    policy: Policy = "any"
    stock: tuple[PartOffer, ...] = ()
    series: Series = "E12"
    resistor_series: Series = "E24"
    coil_ohm: float = 0.35
    coil_exponent: float = 0.55
    capacitor_ohm: float = 0.02
    max_reactive: int = 4
    max_parts: int = 9
    worth_db: float = 0.1
    sensitivity: float = 0.3
    minimum_ohm: float = 3.2
    voicing: Voicing = PLAIN


def figures_of(side: Side) -> DriverLoad | None:
    """The side's Re, Le, fs, Qms, Qes as stated, else as fitted from its impedance where that holds a resonance."""
    stated = side.re_ohm, side.le_h, side.fs_hz, side.qms, side.qes
    if all(value is not None for value in stated):
        return DriverLoad(*(float(value) for value in stated if value is not None))
    modulus = np.abs(side.impedance)
    if len(modulus) < 8 or np.max(modulus) < LEVEL_IMPEDANCE * np.min(modulus):
        return None
    found = fit_driver_load(side.frequency_hz, side.impedance).load
    own = (found.re_ohm, found.le_h, found.fs_hz, found.qms, found.qes)
    return DriverLoad(*(float(o if s is None else s) for s, o in zip(stated, own, strict=True)))
