"""Many branches of different forms worked out in one go, with what the value of every part does to them.

Knows ladders laid side by side in arrays, and the derivatives of a ladder. Refuses to know targets and how values are found.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from math import pi

import numpy as np
from numpy.typing import NDArray

from reportgen.crossover.networks import Branch

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]
Rows = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Losses:
    """Wire resistance of a coil by its inductance, R = coil_ohm (L/1 mH)^exponent, and the ESR of a capacitor."""

    coil_ohm: float
    coil_exponent: float
    capacitor_ohm: float


@dataclass(frozen=True, slots=True, eq=False)
class Response:
    """What branches do and what each part does to it, by the logarithm of its value.

    `gain` is the driver's voltage per volt of the amplifier and `admittance` that of the amplifier's terminals (S), (branches,
    frequency); `gain_slopes` are those of the gain's logarithm, `admittance_slopes` of the admittance, (branches, parts, frequency).
    """

    gain: ComplexArray
    admittance: ComplexArray
    gain_slopes: ComplexArray
    admittance_slopes: ComplexArray


@dataclass(frozen=True, slots=True, eq=False)
class Bundle:
    """Ladders side by side, each filled up to as many parts and stages as the largest has; stages count from the driver.

    Of parts, (branches, parts): which are coils, capacitors, resistors (1 or 0), which are joined side by side, and their
    stage. Of stages, (branches, stages, 1): which stand in the path, and which are of parts whose immittances have to be
    turned over: parts side by side in the path, or in a row across it. `member` is 1 where a part belongs to a stage,
    (branches, stages, parts).
    """

    coil: FloatArray
    capacitor: FloatArray
    resistor: FloatArray
    beside: NDArray[np.bool_]
    stage: Rows
    member: ComplexArray
    in_path: NDArray[np.bool_]
    turned: NDArray[np.bool_]

    @classmethod
    def of(cls, branches: Sequence[Branch]) -> Bundle:
        """The bundle of some branches, in their order."""
        parts = max((len(branch.components) for branch in branches), default=0)
        stages = max((len(branch.stages) for branch in branches), default=0)
        shape = (len(branches), parts)
        kinds, beside = np.full(shape, "-"), np.zeros(shape, dtype=np.bool_)
        stage_of, member = np.zeros(shape, dtype=np.intp), np.zeros((len(branches), stages, parts), dtype=np.complex128)
        in_path, turned = np.zeros((2, len(branches), stages, 1), dtype=np.bool_)
        for row, branch in enumerate(branches):
            place = 0
            for number, stage in zip(range(len(branch.stages) - 1, -1, -1), branch.stages, strict=True):
                own = slice(place, place := place + len(stage.components))
                kinds[row, own] = [component.kind for component in stage.components]
                stage_of[row, own], member[row, number, own] = number, 1.0
                beside[row, own] = parallel = stage.join == "parallel" and len(stage.components) > 1
                in_path[row, number] = stage.place == "series"
                turned[row, number] = (stage.place == "series") == parallel
        coil, capacitor, resistor = ((kinds == kind).astype(np.float64) for kind in "LCR")
        return cls(coil, capacitor, resistor, beside, stage_of, member, in_path, turned)

    def picked(self, which: Rows) -> Bundle:
        """The branches with these places."""
        return Bundle(*(getattr(self, one.name)[which] for one in fields(self)))

    @property
    def used(self) -> NDArray[np.bool_]:
        """Where there is a part and no smaller branch is filled up, (branches, parts)."""
        return np.asarray(self.coil + self.capacitor + self.resistor > 0.0)

    def _parts(self, values: FloatArray, frequency_hz: FloatArray, losses: Losses) -> tuple[ComplexArray, ComplexArray]:
        """Impedance of every part and its slope by the logarithm of the part's value, each (branches, parts, frequency)."""
        omega = 2.0 * pi * frequency_hz
        wire = self.coil * losses.coil_ohm * (values / 1e-3) ** losses.coil_exponent
        inductive = (self.coil * values)[..., None] * omega
        capacitive = (self.capacitor / values)[..., None] / omega
        impedance, slope = np.empty((2, *inductive.shape), dtype=np.complex128)
        plain = self.resistor * values + self.capacitor * losses.capacitor_ohm + wire
        impedance.real = np.where(self.used, plain, 1.0)[..., None]
        impedance.imag = inductive - capacitive
        slope.real = (self.resistor * values + losses.coil_exponent * wire)[..., None]
        slope.imag = inductive + capacitive
        return impedance, slope

    def losses_ohm(self, values: FloatArray, losses: Losses) -> FloatArray:
        """Loss resistance of every part by its value (branches, parts)."""
        wire = losses.coil_ohm * (values / 1e-3) ** losses.coil_exponent
        return np.asarray(self.coil * wire + self.capacitor * losses.capacitor_ohm)

    def gains(
        self, values: FloatArray, load_ohm: ComplexArray, frequency_hz: FloatArray, losses: Losses
    ) -> tuple[ComplexArray, ComplexArray]:
        """Gain and admittance as of `response`, without what the parts do to them."""
        own, _ = self._parts(values, frequency_hz, losses)
        own[self.beside] = 1.0 / own[self.beside]
        plain = self._stages(own)
        current, voltage = 1.0 / load_ohm, np.ones_like(load_ohm)
        for k in range(plain.shape[1]):
            voltage, current = (
                voltage + np.where(self.in_path[:, k], current * plain[:, k], 0.0),
                current + np.where(self.in_path[:, k], 0.0, voltage * plain[:, k]),
            )
        gain = 1.0 / voltage
        return gain, current * gain

    def _stages(self, own: ComplexArray) -> ComplexArray:
        """Impedance of every stage in the path, admittance of every one across it, of immittances of the parts as they are joined."""
        plain = self.member @ own
        over = self.turned[..., 0]
        plain[over] = 1.0 / plain[over]
        return plain

    def response(
        self, values: FloatArray, load_ohm: ComplexArray, frequency_hz: FloatArray, losses: Losses
    ) -> Response:
        """What the branches do with values (branches, parts) on loads (branches, frequency).

        The chain goes from the driver to the amplifier as in `networks.solve`; a second one back gives what a change in any
        stage does to the amplifier's voltage for 1 V at the driver. The amplifier's admittance changes by -i^2 for each ohm in
        the path and by v^2 for each siemens across it (Tellegen; i and v at 1 V from the amplifier).
        """
        own, by_value = self._parts(values, frequency_hz, losses)
        turned = 1.0 / own[self.beside]
        by_value[self.beside] *= -turned * turned
        own[self.beside] = turned
        plain, over = self._stages(own), self.turned[..., 0]
        series, shunt = np.where(self.in_path, plain, 0.0), np.where(self.in_path, 0.0, plain)
        current, voltage = 1.0 / load_ohm, np.ones_like(load_ohm)
        through = np.empty_like(plain)
        for k in range(plain.shape[1]):
            voltage = voltage + current * series[:, k]
            through[:, k] = np.where(self.in_path[:, k], current, voltage)
            current = current + voltage * shunt[:, k]
        by_voltage, by_current = np.ones_like(load_ohm), np.zeros_like(load_ohm)
        back = np.empty_like(plain)
        for k in range(plain.shape[1] - 1, -1, -1):
            back[:, k] = np.where(self.in_path[:, k], by_voltage, by_current)
            by_current = by_current + by_voltage * series[:, k]
            by_voltage = by_voltage + by_current * shunt[:, k]
        gain = 1.0 / voltage
        through *= gain[:, None]
        turning = through.copy()
        turning[over] *= -plain[over] * plain[over]
        of_part = np.arange(len(gain))[:, None], self.stage
        to_gain, to_admittance = -back * turning, np.where(self.in_path, -turning, turning) * through
        return Response(gain, current * gain, to_gain[of_part] * by_value, to_admittance[of_part] * by_value)
