"""Measured curves as arrays: averaging, the phase a magnitude implies, delay and polarity, what they make of a model.

Knows logarithms, delays and bands. Refuses to know files, cells and which driver a curve belongs to.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import scipy
from numpy.typing import NDArray

from reportgen.acoustics.peaks import peaks

FloatArray = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]

POINTS_AN_OCTAVE = 48
OCTAVE = float(np.log(2.0))
AVERAGED_OVER = OCTAVE / 12.0
"""What is finer in a file is noise, or a reflection, and no property of a driver (common practice, no source)."""
NEARLY_TWO = 1.9
"""So many spacings of a file are averaged over, and no fewer: a file with two to a twelfth, its frequencies rounded, is averaged everywhere."""
EDGE = OCTAVE / 3.0
"""Over this much of its end a measured band is held against the model that goes on from there."""
USABLE_DB = 25.0
"""So far under its highest level a measured phase counts for the delay; below it is noise (common practice, no source)."""
ALIKE = 0.15
"""A model further from a measurement than this (nepers, rms) is of something else (common practice, no source)."""
MOST_TRIED = 200
"""So many points of a band tell its delay roughly; all of them tell it finally."""
LONGEST_S = 0.05
"""Longest delay looked for: 17 m of air."""


def minimum_phase(
    frequency_hz: FloatArray,
    log_magnitude: FloatArray,
    low_slopes: tuple[float, float] = (-8.0, 8.0),
    high_slopes: tuple[float, float] = (-8.0, 8.0),
) -> FloatArray:
    """The phase in rad (n,) that belongs to a magnitude alone, by Hilbert transform over log frequency.

    frequency_hz (n,) ascending, log_magnitude (n,) natural logarithm (nepers). The transform in Bode's form,
    phi(u) = (1/pi) integral of dA/dv ln coth(|v - u|/2) dv with u, v = ln f, exact for a magnitude that is
    straight between points a 48th of an octave apart. Beyond the ends the magnitude goes on with the mean
    slope of the last third of an octave, held within the given bounds (in orders: 1 is 6 dB an octave).
    Source: Bode 1945, Network Analysis and Feedback Amplifier Design, chapter 14.
    """
    u = np.log(frequency_hz)
    count = max(16, int(np.ceil((u[-1] - u[0]) / OCTAVE * POINTS_AN_OCTAVE)) + 1)
    grid = np.linspace(u[0], u[-1], count)
    level = np.interp(grid, u, log_magnitude)
    step = float(grid[1] - grid[0])
    ends = max(1, round(EDGE / step))
    low = np.clip((level[ends] - level[0]) / (ends * step), *low_slopes)
    high = np.clip((level[-1] - level[-1 - ends]) / (ends * step), *high_slopes)
    slopes = np.concatenate([[low], np.diff(level) / step, [high]])
    return np.asarray(np.interp(u, grid, _bode_weights(count, round(step, 12)) @ slopes))


@lru_cache(maxsize=8)
def _bode_weights(count: int, step: float) -> FloatArray:
    """Phase (rad) at each of `count` points for a slope of 1 between two of them, or beyond an end: (count, count + 1)."""
    edges = _kernel_integral(np.asarray(step * np.arange(-count + 1, count), dtype=np.float64))
    inside = edges[np.arange(count - 1, -1, -1)[:, None] + np.arange(count)]
    ends = np.full((count, 1), np.pi**2 / 4.0)
    return np.asarray(np.diff(np.hstack([-ends, inside, ends]), axis=1) / np.pi)


def _kernel_integral(v: FloatArray) -> FloatArray:
    """Integral of ln coth(|t|/2) from 0 to v: +-pi^2/4 at +-infinity; the dilogarithm gives it in closed form."""
    x = np.exp(-np.abs(v))
    return np.asarray(np.sign(v) * (np.pi**2 / 4.0 - (scipy.special.spence(1.0 - x) - scipy.special.spence(1.0 + x))))


def averaged(
    at_hz: FloatArray, frequency_hz: FloatArray, values: FloatArray, coarse: FloatArray | None = None
) -> FloatArray:
    """Values (n,) over frequency_hz (n,) at other frequencies (m,): their mean over a twelfth of an octave.

    Where that is less than two spacings of the points there, `coarse` (m,), or the straight line over log frequency between
    the nearest points; beyond the ends their value.
    """
    u, x = np.log(frequency_hz), np.log(at_hz)
    low, high = np.clip(x - AVERAGED_OVER / 2.0, u[0], u[-1]), np.clip(x + AVERAGED_OVER / 2.0, u[0], u[-1])
    wide = high - low >= NEARLY_TWO * np.interp(x, (u[1:] + u[:-1]) / 2.0, np.diff(u))
    total = np.concatenate([[0.0], np.cumsum((values[1:] + values[:-1]) / 2.0 * np.diff(u))])

    def integral(to: FloatArray) -> FloatArray:
        i = np.clip(np.searchsorted(u, to, "right") - 1, 0, u.size - 2)
        return np.asarray(total[i] + (values[i] + np.interp(to, u, values)) / 2.0 * (to - u[i]))

    width = np.where(wide, high - low, 1.0)
    between = np.interp(x, u, values) if coarse is None else coarse
    return np.where(wide, (integral(high) - integral(low)) / width, between)


# --- delay and polarity ---------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Timing:
    """What a measured phase holds beyond that of its magnitude: a delay (s), a turned polarity, and the rest (rad, rms)."""

    delay_s: float
    inverted: bool
    left_rad: float


def timing(frequency_hz: FloatArray, excess_rad: FloatArray) -> Timing:
    """Delay and polarity in a phase (n,) rad from which that of the magnitude is taken: the line -w t, or pi - w t.

    Every octave counts alike. The phase may be wrapped. A delay is looked for that puts all points in step, first over
    two octaves, where it is coarse and not ambiguous, then over more and more of the band (common practice, no source).
    """
    omega, weight = 2.0 * np.pi * frequency_hz, np.gradient(np.log(frequency_hz))
    turned = np.exp(1j * excess_rad) * weight
    span = min(
        LONGEST_S, 0.9 / float(np.min(np.diff(frequency_hz)))
    )  # points further apart tell no longer delays apart
    top, middle, half = 4.0 * frequency_hz[0], 0.4 * span, 0.5 * span
    while True:
        spread = np.geomspace(frequency_hz[0], min(top, frequency_hz[-1]), MOST_TRIED)
        inside = np.unique(np.minimum(np.searchsorted(frequency_hz, spread), frequency_hz.size - 1))
        tried = np.linspace(middle - half, middle + half, max(3, int(np.ceil(16.0 * half * top)) + 1))
        middle = float(tried[np.argmax(np.abs(np.exp(1j * np.outer(tried, omega[inside])) @ turned[inside]))])
        if top >= frequency_hz[-1]:
            break
        half, top = 1.0 / top, min(4.0 * top, float(frequency_hz[-1]))
    fits = [_line(omega, excess_rad - turn, weight, middle) for turn in (0.0, np.pi)]
    inverted = fits[1][1] < fits[0][1]
    return Timing(fits[inverted][0], inverted, fits[inverted][1])


def _line(omega: FloatArray, excess_rad: FloatArray, weight: FloatArray, delay_s: float) -> tuple[float, float]:
    """The delay (s) near `delay_s` whose line lies closest to a phase, and what is left (rad, rms)."""
    left = _wrapped(excess_rad + omega * delay_s)
    for _ in range(4):
        delay_s -= float(np.sum(weight * omega * left) / np.sum(weight * omega**2))
        left = _wrapped(excess_rad + omega * delay_s)
    return delay_s, float(np.sqrt(np.sum(weight * left**2) / np.sum(weight)))


def _wrapped(phase_rad: FloatArray) -> FloatArray:
    return np.asarray((phase_rad + np.pi) % (2.0 * np.pi) - np.pi)


# --- peaks ----------------------------------------------------------------------------------------------------------

PEAK_DB = 1.5
"""So far a peak stands over the mean of the octave around it to be a resonance; the corner of a plain roll-off of second
order stands 1 dB over its own (common practice, no source)."""


def first_peak_hz(frequency_hz: FloatArray, level_db: FloatArray, above_hz: float) -> float | None:
    """Frequency (Hz) of the first resonance above `above_hz` in a level (n,) dB: a local peak that stands out; None: nowhere.

    The level is averaged over a twelfth of an octave; a peak rises by 1 dB from both sides and stands `PEAK_DB` over the
    mean of the octave around it, in which dips are filled up: beside a deep one any level stands out (common practice, no
    source).
    """
    count = int(np.log(frequency_hz[-1] / frequency_hz[0]) / OCTAVE * POINTS_AN_OCTAVE)
    if count < POINTS_AN_OCTAVE:
        return None
    grid = np.geomspace(frequency_hz[0], frequency_hz[-1], count)
    level = averaged(grid, frequency_hz, level_db)
    padded = np.pad(_filled(level, POINTS_AN_OCTAVE // 4), POINTS_AN_OCTAVE // 2, mode="edge")
    trend = np.convolve(padded, np.full(POINTS_AN_OCTAVE + 1, 1.0 / (POINTS_AN_OCTAVE + 1)), mode="valid")
    tops = [one.place for one in peaks(level, 1.0, POINTS_AN_OCTAVE)]
    high = [top for top in tops if grid[top] > above_hz and level[top] - trend[top] > PEAK_DB]
    return float(grid[high[0]]) if high else None


def _filled(level_db: FloatArray, reach: int) -> FloatArray:
    """The level (n,) with every dip narrower than twice `reach` (points) filled up to its lower edge: a morphological closing."""
    padded = np.pad(level_db, 2 * reach, mode="edge")
    highest = np.max(np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1), axis=-1)
    return np.asarray(np.min(np.lib.stride_tricks.sliding_window_view(highest, 2 * reach + 1), axis=-1))


# --- against a model ------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Correction:
    """Measured over modelled, over the model's grid (n,): logarithm (nepers) and minimum phase, and the measured phase.

    `excess_rad` is what the measured phase has beyond both, without delay and polarity; 0 without one. `timing` is None
    where the file has no phase. `inside` (n,) tells where the measurement reaches.
    """

    frequency_hz: FloatArray
    log_ratio: FloatArray
    minimum_rad: FloatArray
    excess_rad: FloatArray
    inside: NDArray[np.bool_]
    timing: Timing | None

    def factor(self, delay_s: float = 0.0, *, excess: bool = True) -> ComplexArray:
        """What the model is multiplied by to become the measurement: (n,) complex; `delay_s` is put in everywhere."""
        phase = self.minimum_rad + (self.excess_rad if excess else 0.0) - 2.0 * np.pi * self.frequency_hz * delay_s
        return np.asarray(np.exp(self.log_ratio + 1j * phase), dtype=np.complex128)


def correct(
    frequency_hz: FloatArray,
    model: ComplexArray,
    measured_hz: FloatArray,
    log_magnitude: FloatArray,
    phase_rad: FloatArray | None,
    *,
    delayed: bool = True,
    fade: bool = False,
) -> Correction:
    """What a measurement makes of a model of the same quantity, averaged over a twelfth of an octave.

    frequency_hz (n,) ascending and model (n,) complex; measured_hz (m,) ascending, log_magnitude (m,) nepers, phase_rad
    (m,) or None, wrapped or not. Beyond the measured band the model goes on: multiplied by the median ratio of the last
    third of an octave, into which the last point's own ratio passes within another third; or, with `fade`, coming back
    to the model within an octave. `delayed` says whether the phase may hold a delay. Common practice, no source.
    """
    u, known = np.log(frequency_hz), np.log(measured_hz)
    log_model = np.log(np.abs(model))
    raw = log_magnitude - np.interp(known, u, log_model)
    inside = (u >= known[0] - 1e-9) & (u <= known[-1] + 1e-9)
    if not inside.any():
        nothing = np.zeros(u.size)
        return Correction(frequency_hz, nothing, nothing, nothing, inside, None)
    ratio = averaged(frequency_hz, measured_hz, raw, np.interp(u, known, log_magnitude) - log_model)
    ratio = _continued(u, ratio, inside, fade)
    minimum = minimum_phase(frequency_hz, ratio, (0.0, 0.0), (-1.0, 1.0))
    if phase_rad is None:
        return Correction(frequency_hz, ratio, minimum, np.zeros(u.size), inside, None)
    modelled = np.unwrap(np.angle(model)) + minimum
    excess = phase_rad - np.interp(known, u, modelled)
    loud = log_magnitude >= np.max(log_magnitude) - USABLE_DB / 20.0 * np.log(10.0)
    if delayed and np.count_nonzero(loud) >= 4:
        found = timing(measured_hz[loud], excess[loud])
    else:
        found = Timing(0.0, False, float(np.sqrt(np.mean(_wrapped(excess) ** 2))))
    left = np.exp(1j * (excess + 2.0 * np.pi * measured_hz * found.delay_s + np.pi * found.inverted))
    mean = averaged(frequency_hz, measured_hz, left.real) + 1j * averaged(frequency_hz, measured_hz, left.imag)
    return Correction(frequency_hz, ratio, minimum, _continued(u, np.angle(mean), inside, True), inside, found)


def _continued(u: FloatArray, values: FloatArray, inside: NDArray[np.bool_], fade: bool) -> FloatArray:
    """Values over ln frequency, kept inside and continued outside from the median of the last third of an octave."""
    found = values.copy()
    places = np.flatnonzero(inside)
    for edge, beyond in ((places[0], slice(None, places[0])), (places[-1], slice(places[-1] + 1, None))):
        near = inside & (np.abs(u - u[edge]) <= EDGE)
        middle = float(np.median(values[near]))
        away = np.abs(u[beyond] - u[edge])
        found[beyond] = middle + (values[edge] - middle) * _falling(away / EDGE)
        if fade:
            found[beyond] *= _falling(away / OCTAVE)
    return found


def _falling(x: FloatArray) -> FloatArray:
    """From 1 at 0 to 0 at 1 and beyond, as half a cosine."""
    return np.asarray(0.5 + 0.5 * np.cos(np.pi * np.minimum(x, 1.0)))


def fitted(
    frequency_hz: FloatArray,
    model: Callable[[tuple[float, ...]], ComplexArray],
    start: tuple[float, ...],
    measured_hz: FloatArray,
    log_magnitude: FloatArray,
    band_hz: tuple[float, float],
) -> tuple[float, ...]:
    """Figures of a model (all above 0) whose modulus lies closest to a measured one in a band; least squares of logarithms.

    frequency_hz (n,) is that of the model, measured_hz and log_magnitude (m,) nepers. `start` comes back where the
    measurement does not reach over the middle half octave of the band, and where no figures within a third to three times
    theirs come closer than `ALIKE` (rms).
    """
    known = np.log(measured_hz)
    middle = np.sqrt(band_hz[0] * band_hz[1])
    if measured_hz[0] > middle / 1.2 or measured_hz[-1] < middle * 1.2:
        return start
    inside = (frequency_hz >= max(band_hz[0], measured_hz[0])) & (frequency_hz <= min(band_hz[1], measured_hz[-1]))
    wanted = np.interp(np.log(frequency_hz[inside]), known, log_magnitude)

    def off(logs: FloatArray) -> FloatArray:
        return np.asarray(np.log(np.abs(model(tuple(np.exp(logs))))[inside]) - wanted)

    begin, room = np.log(start), np.log(3.0)
    found = scipy.optimize.least_squares(off, begin, bounds=(begin - room, begin + room), max_nfev=60)
    if not np.sqrt(np.mean(found.fun**2)) < ALIKE:
        return start
    return tuple(float(value) for value in np.exp(found.x))
