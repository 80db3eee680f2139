"""What tolerances do: many builds drawn at random, with a fixed seed, and which part matters most.

Knows draws of part values and of drivers' levels and impedances. Refuses to know what counts as a good build: the
caller's predicate says so.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from reportgen.crossover.fitting import level_of
from reportgen.crossover.networks import Branch, square, transfer
from reportgen.crossover.parts import stated_or_usual
from reportgen.crossover.sides import Side

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]
Predicate = Callable[[ComplexArray], NDArray[np.bool_]]


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
    """The builds drawn: their sums in Pa, (builds, frequency), beside the level re 20 uPa of the nominal one, (frequency,).

    `share_within` is the share of builds the predicate accepts, `influences` every part, the most harmful first.
    """

    frequency_hz: FloatArray
    nominal_db: FloatArray
    built: ComplexArray
    share_within: float
    influences: tuple[Influence, ...]

    def below_db(self, share: float) -> FloatArray:
        """The level that so many of the builds stay below, (frequency,)."""
        return np.asarray(np.quantile(level_of(self.built), share, axis=0))


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

    power, most = square(nominal), 10.0 ** (tolerance_db / 10.0)

    def accepts(pressure: ComplexArray) -> NDArray[np.bool_]:
        built = square(pressure)
        return np.asarray(np.all((built <= most * power) & (built * most >= power), axis=-1))

    return accepts


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


Driven = tuple[ComplexArray, ComplexArray]
"""Response (Pa) and impedance (ohm) of the builds of a driver, each (builds, frequency)."""


def _drivers(
    low: Side, high: Side, keep: NDArray[np.bool_], unit: FloatArray, driver: DriverTolerance
) -> tuple[Driven, Driven]:
    """Both drivers for deviations `unit` (builds, 6) in [-1, 1] of the tolerance of each of `DRIVER_DRAWS`."""
    gains, factors = 10.0 ** (driver.level_db * unit / 20.0), 1.0 + driver.impedance_share * unit
    (p_low, z_low), (p_high, z_high) = (
        (gains[:, place, None] * side.response[keep], factors[:, place + 1, None] * side.impedance[keep])
        for side, place in ((low, 0), (high, 2))
    )
    if driver.resonance_share > 0.0:
        resonance, q = (1.0 + driver.resonance_share * unit[:, place] for place in (4, 5))
        if (moved := _moved(high, keep, resonance, q)) is not None:
            p_high, z_high = p_high * moved[0], z_high * moved[1]
    return (p_low, z_low), (p_high, z_high)


def _sums(pair: Pair, frequency_hz: FloatArray, unit: FloatArray, drivers: tuple[Driven, Driven]) -> ComplexArray:
    """Sum of both branches, (builds, frequency), for deviations `unit` of the parts of the low and of the high branch."""
    n = len(pair.low_branch.components)
    (p_low, z_low), (p_high, z_high) = drivers
    low = pair.low_branch.values * (1.0 + unit[:, :n] * stated_or_usual(pair.low_branch.components))
    high = pair.high_branch.values * (1.0 + unit[:, n:] * stated_or_usual(pair.high_branch.components))
    total = p_low * transfer(pair.low_branch, z_low, frequency_hz, low)
    sign = -1.0 if pair.high_reversed else 1.0
    return np.asarray(total + sign * p_high * transfer(pair.high_branch, z_high, frequency_hz, high))


def sums(pair: Pair, keep: NDArray[np.bool_], unit: FloatArray, driver: DriverTolerance) -> ComplexArray:
    """Sum of both branches, (builds, frequency), for deviations `unit` in [-1, 1] of each part's tolerance.

    Columns of `unit`: parts of the low branch, of the high branch, then `DRIVER_DRAWS`.
    """
    m = len(pair.low_branch.components) + len(pair.high_branch.components)
    drivers = _drivers(pair.low, pair.high, keep, unit[:, m:], driver)
    return _sums(pair, pair.low.frequency_hz[keep], unit[:, :m], drivers)


KEPT = 4
"""So many draws of drivers are kept (1 to 2 MB each): networks at one crossover are held against the same ones."""


@lru_cache(maxsize=KEPT)
def _drawn_drivers(
    low: Side, high: Side, band_hz: tuple[float, float], driver: DriverTolerance, builds: int, seed: int
) -> tuple[Driven, Driven]:
    unit = np.random.default_rng([seed, 0]).uniform(-1.0, 1.0, (builds, len(DRIVER_DRAWS)))
    (p_low, z_low), (p_high, z_high) = _drivers(low, high, _inside(low.frequency_hz, band_hz), unit, driver)
    return (_single(p_low), _single(z_low)), (_single(p_high), _single(z_high))


def _single(curves: ComplexArray) -> ComplexArray:
    """In single precision: a thousand builds take a third of the time, and none is good or bad by the seventh digit."""
    return curves.astype(np.complex64)


def _inside(frequency_hz: FloatArray, band_hz: tuple[float, float]) -> NDArray[np.bool_]:
    return np.asarray((frequency_hz >= band_hz[0]) & (frequency_hz <= band_hz[1]))


def _parts(pair: Pair, driver: DriverTolerance) -> list[tuple[str, str, float]]:
    """Name, side and tolerance of all that is drawn, in the order of the draws."""
    parts = [
        (c.role or c.kind, name, float(tolerance))
        for name, branch in (("low", pair.low_branch), ("high", pair.high_branch))
        for c, tolerance in zip(branch.components, stated_or_usual(branch.components), strict=True)
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
    keep = _inside(pair.low.frequency_hz, band_hz)
    if not keep.any():
        raise ValueError(f"no frequency of the curves lies between {band_hz[0]:.0f} and {band_hz[1]:.0f} Hz")
    parts, f = _parts(pair, driver), pair.low.frequency_hz[keep]
    count, edge = len(parts), np.eye(len(parts))
    level_db = level_of(sums(pair, keep, np.concatenate([np.zeros((1, count)), edge, -edge]), driver))
    worst_db = np.max(np.abs(level_db[1:] - level_db[0]).reshape(2, count, -1), axis=(0, 2))
    found = [Influence(*part, float(db)) for part, db in zip(parts, worst_db, strict=True)]
    unit = np.random.default_rng([seed, 1]).uniform(-1.0, 1.0, (count - len(DRIVER_DRAWS), builds)).T
    built = _sums(pair, f, unit, _drawn_drivers(pair.low, pair.high, band_hz, driver, builds, seed))
    accepts = accepts or within(sums(pair, keep, np.zeros((1, count)), driver)[0], 1.5)
    return Spread(
        frequency_hz=f,
        nominal_db=level_db[0],
        built=built,
        share_within=float(np.mean(accepts(built))),
        influences=tuple(sorted(found, key=lambda influence: -influence.change_db)),
    )
