"""What tolerances do: many builds drawn at random, with a fixed seed, and which part matters most.

Knows draws of part values and of drivers' levels and impedances. Refuses to know what counts as a good build: the
caller's predicate says so.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reportgen.crossover.fitting import level_of
from reportgen.crossover.networks import Branch, transfer
from reportgen.crossover.sides import Side

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]
Predicate = Callable[[ComplexArray], NDArray[np.bool_]]

PART_TOLERANCE = 0.05
"""For parts whose tolerance nobody stated (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class DriverTolerance:
    """Largest departure of a driver from its curve: level in dB, impedance as a share (common practice, no source).

    `resonance_share` is that of the high driver's resonance and of its Q; the low driver's lies far below f_c.
    """

    level_db: float = 1.0
    impedance_share: float = 0.05
    resonance_share: float = 0.0


DRIVER_DRAWS = (
    ("driver level", "low"), ("driver impedance", "low"), ("driver level", "high"), ("driver impedance", "high"),
    ("driver resonance", "high"), ("driver Q", "high"),
)  # fmt: skip
"""What is drawn of the drivers, in this order, after the parts of the low and of the high branch."""


@dataclass(frozen=True, slots=True)
class Influence:
    """What one part (or driver) at the edge of its tolerance does to the sum: the largest change in the band, dB."""

    name: str
    branch: str
    tolerance: float
    change_db: float


@dataclass(frozen=True, eq=False)
class Spread:
    """The builds drawn: their levels re 20 uPa, (builds, frequency), beside those of the nominal sum, (frequency,).

    `share_within` is the share of builds the predicate accepts, `influences` every part, the most harmful first.
    """

    frequency_hz: FloatArray
    nominal_db: FloatArray
    built_db: FloatArray
    share_within: float
    influences: tuple[Influence, ...]

    def below_db(self, share: float) -> FloatArray:
        """The level that so many of the builds stay below, (frequency,)."""
        return np.asarray(np.quantile(self.built_db, share, axis=0))


@dataclass(frozen=True, slots=True, eq=False)
class Pair:
    """Both sides with their branches, and the polarity of the high one: what is built many times over."""

    low: Side
    low_branch: Branch
    high: Side
    high_branch: Branch
    high_reversed: bool


def within(nominal: ComplexArray, tolerance_db: float) -> Predicate:
    """A predicate: the sum stays within `tolerance_db` of the nominal one at every frequency."""

    def accepts(pressure: ComplexArray) -> NDArray[np.bool_]:
        return np.asarray(np.max(np.abs(20.0 * np.log10(np.abs(pressure / nominal))), axis=-1) <= tolerance_db)

    return accepts


def tolerances(branch: Branch) -> FloatArray:
    """Tolerance of every part as a share, (n_components,), with the customary one where none is stated."""
    stated = [component.tolerance for component in branch.components]
    return np.array([PART_TOLERANCE if tolerance is None else tolerance for tolerance in stated])


def _side_pressure(
    side: Side,
    branch: Branch,
    keep: NDArray[np.bool_],
    factors: FloatArray,
    level_db: FloatArray,
    load: FloatArray,
    moved: tuple[ComplexArray, ComplexArray] | None = None,
) -> ComplexArray:
    """Pressure (builds, frequency) for factors (builds, n_components), level (builds,) and load factor (builds,).

    `moved` are factors of response and impedance, each (builds, frequency).
    """
    response, impedance = side.response[keep] * 10.0 ** (level_db[:, None] / 20.0), side.impedance[keep] * load[:, None]
    if moved is not None:
        response, impedance = response * moved[0], impedance * moved[1]
    return np.asarray(response * transfer(branch, impedance, side.frequency_hz[keep], branch.values * factors))


def _moved(
    side: Side, keep: NDArray[np.bool_], resonance: FloatArray, q: FloatArray
) -> tuple[ComplexArray, ComplexArray] | None:
    """What factors (builds,) of a driver's resonance and Q make of its response and impedance; None where unknown."""
    if side.re_ohm is None or side.fs_hz is None or side.qms is None or side.qes is None:
        return None
    f, re, rise = side.frequency_hz[keep], side.re_ohm, side.re_ohm * side.qms / side.qes
    coil, qts = 2j * np.pi * f * (side.le_h or 0.0), side.qms * side.qes / (side.qms + side.qes)
    found = []
    for fs, factor in ((side.fs_hz * resonance[:, None], q[:, None]), (np.array([[side.fs_hz]]), np.ones((1, 1)))):
        u = f / fs
        high_pass = u**2 / (u**2 - 1.0 - 1j * u / (qts * factor))
        found.append((high_pass, re + coil + rise / (1.0 + 1j * side.qms * factor * (u - 1.0 / u))))
    (response, load), (stated, stated_load) = found
    return np.asarray(response / stated), np.asarray(load / stated_load)


def sums(pair: Pair, keep: NDArray[np.bool_], unit: FloatArray, driver: DriverTolerance) -> ComplexArray:
    """Sum of both branches, (builds, frequency), for deviations `unit` in [-1, 1] of each part's tolerance.

    Columns of `unit`: parts of the low branch, of the high branch, then `DRIVER_DRAWS`.
    """
    n = len(pair.low_branch.components)
    m = n + len(pair.high_branch.components)
    low = 1.0 + unit[:, :n] * tolerances(pair.low_branch)
    high = 1.0 + unit[:, n:m] * tolerances(pair.high_branch)
    level, share = driver.level_db, driver.impedance_share
    p_low = _side_pressure(pair.low, pair.low_branch, keep, low, level * unit[:, m], 1.0 + share * unit[:, m + 1])
    moved = None
    if driver.resonance_share > 0.0:
        resonance, q = (1.0 + driver.resonance_share * unit[:, m + place] for place in (4, 5))
        moved = _moved(pair.high, keep, resonance, q)
    p_high = _side_pressure(
        pair.high, pair.high_branch, keep, high, level * unit[:, m + 2], 1.0 + share * unit[:, m + 3], moved
    )
    return np.asarray(p_low + (-1.0 if pair.high_reversed else 1.0) * p_high)


def _parts(pair: Pair, driver: DriverTolerance) -> list[tuple[str, str, float]]:
    """Name, side and tolerance of all that is drawn, in the order of the draws."""
    parts = [
        (c.role or c.kind, name, float(tolerance))
        for name, branch in (("low", pair.low_branch), ("high", pair.high_branch))
        for c, tolerance in zip(branch.components, tolerances(branch), strict=True)
    ]
    bounds = {"level": driver.level_db, "impedance": driver.impedance_share}
    return parts + [(*draw, bounds.get(draw[0].split()[1], driver.resonance_share)) for draw in DRIVER_DRAWS]


def spread(
    pair: Pair,
    band_hz: tuple[float, float],
    accepts: Predicate | None = None,
    *,
    driver: DriverTolerance | None = None,
    builds: int = 1000,
    seed: int = 1,
) -> Spread:
    """The sum over `builds` builds, every part and driver drawn evenly within its tolerance, in `band_hz`.

    `accepts` takes complex sums (builds, frequency) over the band's frequencies and tells which builds pass; left out,
    a build passes within 1.5 dB of the nominal sum (common practice, no source). The same seed draws the same builds.
    """
    driver = driver or DriverTolerance()
    f = pair.low.frequency_hz
    keep = (f >= band_hz[0]) & (f <= band_hz[1])
    if not keep.any():
        raise ValueError(f"no frequency of the curves lies between {band_hz[0]:.0f} and {band_hz[1]:.0f} Hz")
    parts = _parts(pair, driver)
    count, edge = len(parts), np.eye(len(parts))
    drawn = np.random.default_rng(seed).uniform(-1.0, 1.0, (builds, count))
    pressure = sums(pair, keep, np.concatenate([np.zeros((1, count)), edge, -edge, drawn]), driver)
    level_db = level_of(pressure)
    nominal_db, change_db = level_db[0], np.max(np.abs(level_db[1 : 1 + 2 * count] - level_db[0]), axis=-1)
    worst_db = np.maximum(change_db[:count], change_db[count:])
    found = [Influence(*part, float(db)) for part, db in zip(parts, worst_db, strict=True)]
    return Spread(
        frequency_hz=f[keep],
        nominal_db=nominal_db,
        built_db=level_db[1 + 2 * count :],
        share_within=float(np.mean((accepts or within(pressure[0], 1.5))(pressure[1 + 2 * count :]))),
        influences=tuple(sorted(found, key=lambda influence: -influence.change_db)),
    )
