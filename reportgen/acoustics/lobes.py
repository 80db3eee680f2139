"""Where groups of drivers cancel: the hole between two branches, and the side lobes of a column.

Knows point sources at their true ways, each branch with the phase and level of its slope.
Refuses to know the size of a driver and which window is wanted.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.acoustics.air import STANDARD_AIR, Air, FloatArray
from reportgen.acoustics.slopes import Slope, high_pass, low_pass, polarity

ComplexArray = NDArray[np.complex128]

HOLE_DB = 12.0
"""A least level so far under the axis is a hole. Common practice, no source."""
BRANCHES_WITHIN_DB = 10.0
"""Branches further apart in level than this are not looked at: of two drivers they leave a hole of 5.7 dB at most."""
FREQUENCIES = 96
"""Frequencies up to f_c at which holes of a pair are looked for; twice as many move no limit by more than 0.2 %."""
FEW_FREQUENCIES = 32
"""The same for more drivers than two, which cost more; twice as many move a limit by up to 1 %."""
TURNS: FloatArray = np.linspace(0.0, 1.25, 1601)
"""Path differences in wavelengths at which two branches are added."""
TRIES: FloatArray = np.geomspace(0.2, 20.0, 60)
"""Crossovers that are tried for more drivers than two, in units of c over the largest path difference; 8 % apart."""
MOST_WAVES = 60.0
"""No crossover lies above so many waves a metre, 20 kHz."""
HALVINGS = 7
"""Of the step between a crossover without a hole and the next with one: under 0.1 % are left."""

Points = tuple[tuple[float, float], ...]
"""Centres in m: along the line on which they stand apart, and out of the baffle."""


def _branches(slope: Slope, count: int) -> tuple[FloatArray, ComplexArray, ComplexArray]:
    """u = f/f_c up to 1 where both branches count, and both targets there, the high one in its right polarity."""
    u = np.linspace(0.05, 1.0, 768)
    low, high = low_pass(slope, u, 1.0), high_pass(slope, u, 1.0)
    near = np.abs(20.0 * np.log10(np.abs(high / low))) <= BRANCHES_WITHIN_DB
    u = np.linspace(u[near][0], 1.0, count)
    return u, low_pass(slope, u, 1.0), polarity(slope) * high_pass(slope, u, 1.0)


@lru_cache(maxsize=64)
def _pair_turns(slope: Slope) -> float:
    """Least path difference, in wavelengths of f_c, at which two drivers leave a hole; infinite where they never do.

    The sum is L(u) + H(u) exp(2j pi t), t the path difference in wavelengths of f = u f_c, so one row of t serves all u.
    """
    u, low, high = _branches(slope, FREQUENCIES)
    turn = np.concatenate([-TURNS[:0:-1], TURNS])
    power = np.abs(low[:, None] + high[:, None] * np.exp(2j * np.pi * turn)) ** 2
    hole, shift = _holes(power, np.abs(low + high)[:, None] ** 2)
    at = np.abs(turn[1:-1] + shift * TURNS[1]) / u[:, None]
    return float(np.min(np.where(hole, at, np.inf)))


def _holes(power: FloatArray, axis: FloatArray) -> tuple[NDArray[np.bool_], FloatArray]:
    """Where a least level over the last axis, its ends left out, is a hole under the axis, and how far off, in steps, it lies.

    By the parabola through the least value and its neighbours.
    """
    before, here, after = power[..., :-2], power[..., 1:-1], power[..., 2:]
    bend = np.maximum(before - 2.0 * here + after, 1e-30)
    least = here - (before - after) ** 2 / (8.0 * bend)
    hole = (here <= before) & (here < after) & (least <= axis * 10.0 ** (-HOLE_DB / 10.0))
    return hole, np.where(hole, (before - after) / (2.0 * bend), 0.0)


@lru_cache(maxsize=8192)
def _among_many(slope: Slope, low_at: Points, high_at: Points, listeners: Points) -> float:
    """Least f_c/c (1/m) at which more than two drivers leave a hole between the listeners; infinite where they never do below 20 kHz."""
    u, low, high = _branches(slope, FEW_FREQUENCIES)
    lows, highs = _late_m(low_at, listeners), _late_m(high_at, listeners)
    unit = 1.0 / np.max(np.abs(lows[:, None] - highs[None]))
    seat = len(listeners) // 2
    apart = [0, *(place for place in range(1, len(listeners)) if listeners[place] != listeners[place - 1])]

    def holds(wave: float) -> bool:
        sums = [np.mean(np.exp(-2j * np.pi * wave * u[:, None, None] * late), axis=1) for late in (lows, highs)]
        below, above = (one / one[:, [seat]] for one in sums)  # the network sees the sum of a branch at the seat
        power = np.abs(low[:, None] * below + high[:, None] * above) ** 2
        # listeners that the grain has put in one place would make a least level of any slope
        hole, shift = _holes(power[:, apart], np.abs(low + high)[:, None] ** 2)
        hole[:, 0] &= shift[:, 0] >= 0.0  # the first and the last of these are the edges of the window
        hole[:, -1] &= shift[:, -1] <= 0.0
        return bool(np.any(hole))

    tried = next((index for index, wave in enumerate(TRIES) if wave * unit < MOST_WAVES and holds(wave * unit)), None)
    if tried is None:
        return float("inf")
    good, bad = TRIES[max(tried - 1, 0)] * unit, TRIES[tried] * unit
    for _ in range(HALVINGS):
        middle = (good + bad) / 2.0
        good, bad = (good, middle) if holds(middle) else (middle, bad)
    return float(bad)


def _late_m(at: Points, listeners: Points) -> FloatArray:
    """How much longer the way from each centre (N,) to each listener (L,) is than that of all centres to the middle one (m)."""
    way = _way_m(np.array(at), np.array(listeners))
    return np.asarray(way - np.mean(way[:, len(listeners) // 2]))


def lobing_limit_hz(
    slope: Slope, low_at_m: Points, high_at_m: Points, listeners_m: Points, air: Air = STANDARD_AIR
) -> float:
    """Highest crossover in Hz at which no hole between the branches stands among the listeners; infinite where none does.

    `low_at_m`, `high_at_m`: acoustic centres in m, all in one plane; `listeners_m` an odd number of them in that plane,
    evenly from one edge of the window to the other and one more outside either edge, the middle one being the seat. Both branches are in level and phase what
    their slope says at the seat, and every driver is a point at its true way; a hole is a least level over angle `HOLE_DB`
    under the seat, at any frequency up to f_c at which the branches are within `BRANCHES_WITHIN_DB`. Above f_c the narrowing
    is the high branch's.
    Closed forms it meets far away: c/(2 d sin(phi)) for two in phase (Kinsler et al. 2000, ch. 7), half of it in quadrature,
    0.79 of it for a low-high-low of fourth order (D'Appolito 1983).

    >>> from reportgen.acoustics.slopes import SLOPES
    >>> far = tuple((1e4 * float(np.sin(a)), 1e4 * float(np.cos(a))) for a in np.radians([-30.0, -15.0, 0.0, 15.0, 30.0]))
    >>> [round(lobing_limit_hz(SLOPES[name], ((0.0, 0.0),), ((0.15, 0.0),), far)) for name in ("LR4", "BW3")]
    [4420, 2210]
    """
    if len(low_at_m) == len(high_at_m) == 1:
        return float(
            pair_lobing_limit_hz(slope, pair_difference_m(np.array(low_at_m), high_at_m[0], listeners_m), air)[0]
        )
    reach, back = _reach_m(low_at_m, high_at_m), high_at_m[0][1]
    coarse = [
        tuple((_to(x, GRAIN_M), _to(z - back, DEPTH_GRAIN_M)) for x, z in group) for group in (low_at_m, high_at_m)
    ]
    ears = tuple((_to(x, EAR_GRAIN_M), _to(z, EAR_GRAIN_M)) for x, z in listeners_m)
    # a little larger or smaller, everything happens a little lower or higher
    return _among_many(slope, *coarse, ears) * air.speed_m_s * _reach_m(*coarse) / reach


GRAIN_M, DEPTH_GRAIN_M, EAR_GRAIN_M = 4e-3, 1e-2, 5e-3
"""Places of many drivers are counted to these, so that a screen of a catalogue solves each only once; not tuned, it moves a
limit by up to 3 %. Listeners at 1.7 m stand 7 mm apart over a window of ±10 degrees: a coarser grain puts several in one place."""


def _to(value: float, grain: float) -> float:
    return round(round(value / grain) * grain, 6)


def _reach_m(low_at: Points, high_at: Points) -> float:
    """Largest distance along the line between a low and a high driver (m)."""
    return max(abs(low[0] - high[0]) for low in low_at for high in high_at)


def pair_difference_m(low_at_m: FloatArray, high_at_m: tuple[float, float], listeners_m: Points) -> FloatArray:
    """By how much at most the difference of both ways departs, over the window, from that at the seat (m, (N,)).

    One high driver beside one of many low ones (N, 2) in m; nan where a place is nan; `listeners_m` as in `lobing_limit_hz`. From the seat to either edge of the window the difference grows
    or falls all along, as over a hyperbola after the other, but for a listener on the line through both centres: there it is
    their distance, and the largest.
    """
    window = np.array([listeners_m[at] for at in (1, len(listeners_m) // 2, -2)])
    high = np.array([high_at_m])
    apart = _way_m(low_at_m, window) - _way_m(high, window)
    line = high - low_at_m
    side = line[:, [0]] * (window[:, 1] - high[0, 1]) - line[:, [1]] * (window[:, 0] - high[0, 0])
    behind = np.hypot(line[:, 0], line[:, 1]) * np.sign(line[:, 1])  # the one that lies deeper has the longer way
    between = side[:, [0, 1]] * side[:, [1, 2]] < 0.0
    on_line = np.where(between.any(axis=-1), np.abs(behind - apart[:, 1]), 0.0)
    return np.asarray(np.maximum(np.max(np.abs(apart - apart[:, [1]]), axis=-1), on_line))


def pair_lobing_limit_hz(slope: Slope, difference_m: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """As `lobing_limit_hz` for one driver a side, whose ways differ over the window by up to `difference_m` (m, any shape).

    Far away, where all ways are parallel, that is d sin(phi).

    >>> from reportgen.acoustics.slopes import SLOPES
    >>> round(float(pair_lobing_limit_hz(SLOPES["LR4"], 0.15 * np.sin(np.pi / 12))))
    4420
    """
    with np.errstate(divide="ignore"):
        return np.asarray(_pair_turns(slope) * air.speed_m_s / np.asarray(difference_m, dtype=np.float64))


def _way_m(at: FloatArray, listeners: FloatArray) -> FloatArray:
    """Way from each centre (N, 2) to each listener (L, 2) in m."""
    return np.asarray(np.hypot(*np.moveaxis(listeners[None] - at[:, None], -1, 0)))


def column_side_lobe_hz(spacing_m: ArrayLike, angle_rad: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
    """Frequency in Hz at which a column's first full-strength side lobe stands at an angle: c/(d sin(angle)).

    `spacing_m` in m between equal sources in phase, `angle_rad` above 0 to pi/2; inputs broadcast. At 90 degrees the
    spacing is one wavelength: below it there is none. Source: Ureda 2004; the grating condition of optics.

    >>> round(float(column_side_lobe_hz(0.1, np.pi / 2)), 1)
    3432.1
    """
    return np.asarray(air.speed_m_s / (np.asarray(spacing_m, dtype=np.float64) * np.sin(angle_rad)))
