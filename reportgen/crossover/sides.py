"""What a design starts from: two drivers as the crossover sees them, and what may be used.

Knows curves, figures and wishes as plain values. Refuses to know what is done with them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from reportgen.crossover.loads import DriverLoad, fit_driver_load
from reportgen.crossover.networks import Component
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
    compensation and belong to the same terminals; what is missing is fitted from the impedance. `travel_db` is the voltage (dB re
    2.83 V) that uses up the driver's travel, less the level wanted at the seat (dB); None where the travel is of no concern.
    """

    frequency_hz: FloatArray
    response: ComplexArray
    impedance: ComplexArray
    re_ohm: float | None = None
    le_h: float | None = None
    fs_hz: float | None = None
    qms: float | None = None
    qes: float | None = None
    travel_db: FloatArray | None = None

    def in_single(self) -> Side:
        """The same with its curves in single precision."""
        return replace(self, response=self.response.astype(np.complex64), impedance=self.impedance.astype(np.complex64))

    @property
    def least_ohm(self) -> float:
        """Lowest modulus of the impedance over the grid."""
        return float(np.min(np.abs(self.impedance)))

    @property
    def _content(self) -> tuple[object, ...]:
        curves = (self.frequency_hz.tobytes(), self.response.tobytes(), self.impedance.tobytes())
        travel = None if self.travel_db is None else self.travel_db.tobytes()
        return (*curves, self.re_ohm, self.le_h, self.fs_hz, self.qms, self.qes, travel)

    def __eq__(self, other: object) -> bool:
        """Equal where every figure of every curve is: what was found for one side holds for its equal."""
        return isinstance(other, Side) and self._content == other._content

    def __hash__(self) -> int:
        """As equality asks."""
        return hash(self._content)


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a network must meet to pass: dB and ohm, the figures of `Design`; the null where the slope has one.

    The sum may stray by `worst_db` from f_c/2 to 2 f_c, a third of an octave of the voiced band by `third_db`, bass and
    treble by `balance_db`; from f_c/2 to 2 f_c no branch stands more than `loud_db` above its target; the null must be `null_db` deep and the load stay above `least_ohm`.
    """

    worst_db: float = 1.5
    third_db: float = 2.0
    balance_db: float = 1.5
    loud_db: float = 6.0
    null_db: float = 15.0
    least_ohm: float = 3.2


@dataclass(frozen=True, slots=True)
class DesignOptions:
    """What the design may use, what it must meet and what a part must earn; common practice without source.

    `policy` "any" takes any value to three digits, "preferred" the `series`, "stock" the offers in `stock`, and pairs of
    them where no single one serves; a value that stands among the offers is bought there under every policy. A coil has
    `coil_ohm` at 1 mH and grows with its inductance to the power `coil_exponent`. `money_a_db` and `pieces_a_db` are what
    a decibel nearer to the target is worth. `load_share` of the drivers' own lowest impedance is kept.
    `needs` are ratings (V, A, W) known to be needed, by role and kind: offers that state less do not serve there.
    """

    policy: Policy = "any"
    stock: tuple[PartOffer, ...] = ()
    series: Series = "E12"
    resistor_series: Series = "E24"
    coil_ohm: float = 0.35
    coil_exponent: float = 0.55
    capacitor_ohm: float = 0.02
    wanted: Wanted = Wanted()
    load_share: float = 0.7
    money_a_db: float = 30.0
    pieces_a_db: float = 8.0
    needs: tuple[tuple[str, str, float], ...] = ()
    voicing: Voicing = PLAIN

    def needed(self, component: Component) -> float:
        """The rating known to be needed in the place of a component; 0 where nothing is known."""
        place = (component.role, component.kind)
        return max((rating for role, kind, rating in self.needs if (role, kind) == place), default=0.0)


def figures_of(side: Side) -> DriverLoad | None:
    """The side's Re, Le, fs, Qms, Qes as stated, else as fitted from its impedance where that holds a resonance."""
    stated = side.re_ohm, side.le_h, side.fs_hz, side.qms, side.qes
    if all(value is not None for value in stated):
        return DriverLoad(*(float(value) for value in stated if value is not None))
    modulus = np.abs(side.impedance)
    if len(modulus) < 8 or np.max(modulus) < LEVEL_IMPEDANCE * np.min(modulus):
        return None
    found = fit_driver_load(side.frequency_hz, side.impedance)
    own = (found.re_ohm, found.le_h, found.fs_hz, found.qms, found.qes)
    return DriverLoad(*(float(o if s is None else s) for s, o in zip(stated, own, strict=True)))
