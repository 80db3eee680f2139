"""Ladder networks: what a branch of coils, capacitors and resistors does between amplifier and driver.

Knows parts with their losses, and the load as an impedance over frequency. Refuses to know targets, prices as
anything but a label, or what the driver radiates.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from math import isfinite, isqrt, log10, pi
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Kind = Literal["C", "L", "R"]
Join = Literal["series", "parallel"]
Wiring = Literal["series", "parallel", "series-parallel"]
ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]

RATED_IMPEDANCES_OHM = (2.0, 3.0, 4.0, 6.0, 8.0, 16.0, 32.0)
"""What is customarily stated (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Component:
    """One part of a branch, or a pair of parts that stands in one place.

    `value` in farad, henry or ohm; `resistance_ohm` is the wire resistance of a coil or the loss resistance
    (ESR) of a capacitor. `made_of` and `join` tell a pair: its values, wired in series or in parallel, and
    `made_of_ids` and `made_of_prices` their identifiers and prices. `tolerance` is a share (0.05), `rating` in V, A or W as `rating_unit`
    says.
    """

    kind: Kind
    value: float
    resistance_ohm: float = 0.0
    role: str = ""
    part_id: str | None = None
    made_of: tuple[float, ...] = ()
    join: Join | Literal[""] = ""
    tolerance: float | None = None
    price: float | None = None
    rating: float | None = None
    rating_unit: str = ""
    made_of_ids: tuple[str, ...] = ()
    made_of_prices: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if not (isfinite(self.value) and self.value > 0.0):
            raise ValueError(f"{self.role or self.kind}: the value is {self.value}; it must be greater than 0")
        if not (isfinite(self.resistance_ohm) and self.resistance_ohm >= 0.0):
            raise ValueError(
                f"{self.role or self.kind}: the loss is {self.resistance_ohm} ohm; it must not be negative"
            )


@dataclass(frozen=True, slots=True)
class Stage:
    """Parts joined in series or parallel that stand in the signal path ("series") or across it ("shunt")."""

    place: Literal["series", "shunt"]
    join: Join
    components: tuple[Component, ...]


@dataclass(frozen=True)
class Branch:
    """The stages of one branch in order from the amplifier to the driver; without stages, a plain wire."""

    stages: tuple[Stage, ...]

    @cached_property
    def components(self) -> tuple[Component, ...]:
        """Every part, in order from the amplifier to the driver."""
        return tuple(component for stage in self.stages for component in stage.components)

    @cached_property
    def kinds(self) -> NDArray[np.str_]:
        """Kinds of every part, shape (n_components,)."""
        return np.array([component.kind for component in self.components])

    @property
    def values(self) -> FloatArray:
        """Values of every part, shape (n_components,)."""
        return np.array([component.value for component in self.components])

    @property
    def resistances_ohm(self) -> FloatArray:
        """Loss resistances of every part, shape (n_components,)."""
        return np.array([component.resistance_ohm for component in self.components])


def in_path(*components: Component, join: Join = "series") -> Stage:
    """A stage in the signal path."""
    return Stage("series", join, components)


def across(*components: Component, join: Join = "series") -> Stage:
    """A stage across the signal path."""
    return Stage("shunt", join, components)


def with_components(branch: Branch, components: tuple[Component, ...]) -> Branch:
    """The same stages with other parts, given in the order of `branch.components`."""
    supply = iter(components)
    return Branch(
        tuple(Stage(one.place, one.join, tuple(next(supply) for _ in one.components)) for one in branch.stages)
    )


def with_values(branch: Branch, values: ArrayLike, resistances_ohm: ArrayLike | None = None) -> Branch:
    """The same stages with other values, shape (n_components,), and, when given, other loss resistances."""
    losses = branch.resistances_ohm if resistances_ohm is None else np.asarray(resistances_ohm)
    pairs = zip(branch.components, np.asarray(values), losses, strict=True)
    return with_components(branch, tuple(replace(c, value=float(v), resistance_ohm=float(r)) for c, v, r in pairs))


def _component_impedances(
    branch: Branch,
    frequency_hz: ArrayLike,
    values: ArrayLike | None,
    resistances_ohm: ArrayLike | None,
    single: bool = False,
) -> list[Any]:
    """Impedance of every part, in single or double precision: each broadcasts to (..., frequency)."""
    real: Any = np.float32 if single else np.float64
    imaginary: Any = np.complex64 if single else np.complex128
    jw = 2j * pi * np.asarray(frequency_hz, dtype=np.float64)
    jw, per_jw = jw.astype(imaginary), (1.0 / jw).astype(imaginary)
    numbers = np.asarray(branch.values if values is None else values, dtype=real)
    losses = np.asarray(branch.resistances_ohm if resistances_ohm is None else resistances_ohm, dtype=real)
    impedances: list[Any] = []
    for i, component in enumerate(branch.components):
        value, loss = numbers[..., i, None], losses[..., i, None]
        if component.kind == "L":
            impedances.append(jw * value + loss)
        elif component.kind == "C":
            impedances.append((1.0 / value) * per_jw + loss)
        else:
            impedances.append(value + loss)
    return impedances


def square(of: ComplexArray) -> FloatArray:
    """Squared modulus."""
    modulus = np.abs(of)
    return np.asarray(modulus * modulus)


def inverse(of: ComplexArray) -> ComplexArray:
    """1/z, in the precision of z: its conjugate over the squared modulus, several times as fast as a complex division in single precision."""
    return np.asarray(np.conj(of) * (1.0 / square(of)))


def _joined(stage: Stage, impedances: list[Any]) -> Any:
    if len(impedances) == 1:
        return impedances[0]
    if stage.join == "series":
        return sum(impedances[1:], impedances[0])
    return inverse(sum(inverse(impedance) for impedance in impedances[1:]) + inverse(impedances[0]))


def _towards_amplifier(branch: Branch, impedances: list[Any]) -> Iterator[tuple[Stage, list[Any], Any]]:
    end = len(impedances)
    for stage in reversed(branch.stages):
        own = impedances[end - len(stage.components) : end]
        end -= len(stage.components)
        yield stage, own, _joined(stage, own)


def solve(
    branch: Branch,
    load_ohm: ArrayLike,
    frequency_hz: ArrayLike,
    values: ArrayLike | None = None,
    resistances_ohm: ArrayLike | None = None,
) -> tuple[ComplexArray, ComplexArray]:
    """Voltage and current at the amplifier that bring 1 V to the driver, each (..., frequency).

    The chain matrices of all stages, multiplied onto the load's (1, 1/Z) from the driver's end. `values` and
    `resistances_ohm`, shape (..., n_components), stand in for the branch's own: one call, many builds.
    `load_ohm` broadcasts against (..., frequency); a load must not be 0. One in single precision has all worked out in it.
    """
    single = np.asarray(load_ohm).dtype == np.complex64
    impedances = _component_impedances(branch, frequency_hz, values, resistances_ohm, single)
    current: Any = inverse(np.asarray(load_ohm, dtype=np.complex64 if single else np.complex128))
    voltage: Any = np.ones_like(current)
    for stage, _, impedance in _towards_amplifier(branch, impedances):
        if stage.place == "series":
            voltage = voltage + current * impedance
        else:
            current = current + voltage * inverse(impedance)
    return voltage, current


def transfer(
    branch: Branch,
    load_ohm: ArrayLike,
    frequency_hz: ArrayLike,
    values: ArrayLike | None = None,
    resistances_ohm: ArrayLike | None = None,
) -> ComplexArray:
    """Driver voltage over amplifier voltage, complex, (..., frequency); arguments as in `solve`.

    >>> pad = Branch((in_path(Component("R", 4.0)), across(Component("R", 8.0))))
    >>> float(abs(transfer(pad, 8.0, 1000.0)).round(3).item())
    0.5
    """
    return inverse(solve(branch, load_ohm, frequency_hz, values, resistances_ohm)[0])


def input_impedance(
    branch: Branch,
    load_ohm: ArrayLike,
    frequency_hz: ArrayLike,
    values: ArrayLike | None = None,
    resistances_ohm: ArrayLike | None = None,
) -> ComplexArray:
    """What the amplifier sees of one branch, complex ohm, (..., frequency); arguments as in `solve`."""
    voltage, current = solve(branch, load_ohm, frequency_hz, values, resistances_ohm)
    return np.asarray(voltage / current)


@dataclass(frozen=True, slots=True)
class ComponentLoads:
    """Complex voltage and current of every part at 1 V from the amplifier, (n_components, frequency)."""

    voltage: ComplexArray
    current: ComplexArray


def component_loads(branch: Branch, load_ohm: ArrayLike, frequency_hz: ArrayLike) -> ComponentLoads:
    """Voltage and current of every part per volt at the amplifier, in the order of `branch.components`."""
    impedances = _component_impedances(branch, frequency_hz, None, None)
    current: Any = 1.0 / np.asarray(load_ohm, dtype=np.complex128)
    current = np.broadcast_to(current, np.broadcast_shapes(current.shape, np.shape(frequency_hz)))
    voltage: Any = np.ones_like(current)
    found: list[tuple[Any, Any]] = []
    for stage, own, impedance in _towards_amplifier(branch, impedances):
        if stage.place == "series":
            here_v, here_i = current * impedance, current
            voltage = voltage + here_v
        else:
            here_v, here_i = voltage, voltage / impedance
            current = current + here_i
        if stage.join == "series":
            found.extend((here_i * z, here_i) for z in reversed(own))
        else:
            found.extend((here_v, here_v / z) for z in reversed(own))
    shape = (len(found), *np.shape(voltage))
    volts = np.array([v for v, _ in reversed(found)], dtype=np.complex128).reshape(shape)
    amperes = np.array([i for _, i in reversed(found)], dtype=np.complex128).reshape(shape)
    return ComponentLoads(volts / voltage, amperes / voltage)


def in_parallel(*impedances: ArrayLike) -> ComplexArray:
    """Impedances side by side on the same terminals, complex ohm."""
    return np.asarray(1.0 / sum(1.0 / np.asarray(z, dtype=np.complex128) for z in impedances), dtype=np.complex128)


def rated_impedance(minimum_ohm: float) -> float | None:
    """Largest customary rated impedance of which the lowest modulus is at least 80 % (IEC 60268-5), ohm.

    None below 1.6 ohm, where no customary rating is left.

    >>> rated_impedance(3.3), rated_impedance(6.4), rated_impedance(1.2)
    (4.0, 8.0, None)
    """
    fitting = [rated for rated in RATED_IMPEDANCES_OHM if minimum_ohm >= 0.8 * rated * (1.0 - 1e-9)]
    return max(fitting) if fitting else None


@dataclass(frozen=True, slots=True)
class AmplifierLoad:
    """What an amplifier sees: lowest modulus, largest phase either way (rad), the rating they allow."""

    minimum_ohm: float
    minimum_hz: float
    largest_phase_rad: float
    rated_ohm: float | None


def amplifier_load(impedance_ohm: ArrayLike, frequency_hz: ArrayLike) -> AmplifierLoad:
    """Lowest modulus, largest phase and rated impedance of a complex impedance, both arrays (frequency,)."""
    impedance, frequency = np.asarray(impedance_ohm), np.asarray(frequency_hz, dtype=np.float64)
    modulus, phase = np.abs(impedance), np.angle(impedance)
    low, turned = int(np.argmin(modulus)), int(np.argmax(np.abs(phase)))
    minimum = float(modulus[low])
    return AmplifierLoad(
        minimum,
        float(frequency[low]),
        float(phase[turned]),
        rated_impedance(minimum),
    )


@dataclass(frozen=True, slots=True)
class Wired:
    """Several equal drivers on one pair of terminals.

    `voltage_share` is what each driver gets of the terminals' voltage, `level_change_db` the level of all
    together against one driver on the same terminals where their sound adds in phase.
    """

    impedance_ohm: ComplexArray
    voltage_share: float
    level_change_db: float
    in_series: int
    rows: int


def _series_count(count: int, wiring: Wiring) -> int:
    if wiring == "series":
        return count
    if wiring == "parallel":
        return 1
    rows = next(rows for rows in range(isqrt(count), 0, -1) if count % rows == 0)
    if rows == 1:
        raise ValueError(f"{count} drivers cannot be wired series-parallel; the count must divide, as 4, 6, 8 or 9 do")
    return count // rows


def wired(impedance_ohm: ArrayLike, count: int, wiring: Wiring) -> Wired:
    """Impedance, voltage share and level of `count` equal drivers.

    Series-parallel takes the most nearly square arrangement, the longer side in series (the kinder load).

    >>> wired(8.0, 4, "series-parallel").impedance_ohm.real.item(), wired(8.0, 2, "parallel").voltage_share
    (8.0, 1.0)
    """
    if count < 1:
        raise ValueError(f"the driver count is {count}; it must be at least 1")
    in_series = count if count == 1 else _series_count(count, wiring)
    rows = count // in_series
    impedance = np.asarray(impedance_ohm, dtype=np.complex128) * (in_series / rows)
    return Wired(impedance, 1.0 / in_series, 20.0 * log10(rows), in_series, rows)
