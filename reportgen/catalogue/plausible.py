"""Whether a measured curve can be that of the driver in whose row it stands: its numbers against the row's cells.

Knows levels, bands, resistance and resonance as plain numbers. Refuses to know physics: what takes a model is asked in
the room of the pairing. What cannot be is an error, what is doubtful a notice; all bounds are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import log2, log10

import numpy as np

from reportgen.catalogue.columns import FREE_AIR, LARGE_BAFFLE
from reportgen.catalogue.records import HighDriver, LowDriver, MeasuredCurve, problem_at
from reportgen.problems import Problem

Driver = LowDriver | HighDriver

DOUBTFUL_DB, IMPOSSIBLE_DB = 3.0, 20.0
FAINTEST_ASIDE_DB = 40.0
"""No driver is so much softer off its axis, on the mean of its pass band; a file of levels re the axis is."""
ANOTHER_SHAPE_DB = 6.0
"""No driver's level changes so much from one half of its pass band to the other, in octaves; that of another kind of driver does."""
IN_A_CABINET_DB = 3.0
"""So much less than on a large baffle a low driver may have in its pass band: half the step of a cabinet's front."""
RESISTANCE_DOUBTFUL, RESISTANCE_IMPOSSIBLE = (0.9, 1.5), (0.5, 3.0)
"""Least impedance over Re."""
LIKE_DECIBELS_DB = 2.0
"""A least value that lies so close to Re in decibels, and far from it in ohm, is a level over 1 ohm."""
RESONANCE_DOUBTFUL, PEAK_DOUBTFUL = 1.2, 1.4
"""Ratios of resonances, and of the heights of their peaks."""
LOW_REACH = 4.0
"""A low driver works up to so many times the end of its pass band: over 3 kHz hardly one is crossed."""
WIDEST_GAP = 2.05
"""Frequencies next to each other may lie an octave apart, as the first two of even steps do; what happens in a wider gap nobody knows."""


def problems_of_curve(driver: Driver, curve: MeasuredCurve, quantity: str) -> Iterator[Problem]:
    """What is wrong or doubtful about a curve of "response" or "impedance", each at the cell that it contradicts."""
    field = f"{quantity}_file"
    for remark in curve.remarks:
        yield problem_at(driver, field, _stands(curve), remark, notice=True)
    yield from (_response if quantity == "response" else _impedance)(driver, curve)
    where = getattr(driver, f"{quantity}_measured")
    if where is None:
        usual = LARGE_BAFFLE if quantity == "response" else FREE_AIR
        expected = (
            f"{curve.file} counts as measured in {usual}"
            if usual == FREE_AIR
            else f"{curve.file} counts as measured on a {usual}"
        )
        yield problem_at(driver, f"{quantity}_measured", "empty", expected, "Write where it was.", notice=True)


def _gap(driver: Driver, curve: MeasuredCurve, quantity: str, low_hz: float, high_hz: float) -> Iterator[Problem]:
    """A gap in the curve where the driver works: between its ends what is drawn would be made up."""
    below, above = curve.frequency_hz[:-1], curve.frequency_hz[1:]
    wide = np.where((above > low_hz) & (below < high_hz), above / below, 0.0)
    at = int(np.argmax(wide))
    if wide[at] > WIDEST_GAP:
        expected = f"it holds nothing between {below[at]:.6g} and {above[at]:.6g} Hz, and {driver.id} works there"
        mend = "Measure it there as well, or empty the cell."
        yield problem_at(driver, f"{quantity}_file", _stands(curve), expected, mend)


def _stands(curve: MeasuredCurve) -> str:
    return f"“{curve.file}” stands here"


def why_not_at_angle(driver: Driver, axis: MeasuredCurve, aside: MeasuredCurve) -> str:
    """Why a response off the axis cannot belong to the one on it: levels that are nothing of its size; empty where it can."""
    off_db = _against_axis(driver, axis, aside)
    if off_db < -FAINTEST_ASIDE_DB:
        return f"{_lies(driver, aside, off_db)}, like levels re the axis"
    return _lies(driver, aside, off_db) if off_db > IMPOSSIBLE_DB else ""


def problems_at_angle(driver: Driver, axis: MeasuredCurve, aside: MeasuredCurve) -> Iterator[Problem]:
    """Whether a response off the axis is doubtful beside the one on it: much softer, or louder."""
    off_db = _against_axis(driver, axis, aside)
    if not -IMPOSSIBLE_DB <= off_db <= DOUBTFUL_DB:
        mend = "Check that both were measured alike."
        yield problem_at(driver, "response_file", _stands(axis), _lies(driver, aside, off_db), mend, notice=True)


def _against_axis(driver: Driver, axis: MeasuredCurve, aside: MeasuredCurve) -> float:
    """Mean of a response off the axis over the one on it, in the pass band (dB)."""
    at = np.log(np.geomspace(*pass_band_hz(driver), 60))
    one, other = (np.interp(at, np.log(curve.frequency_hz), curve.magnitude) for curve in (aside, axis))
    return float(np.mean(one - other))


def _lies(driver: Driver, aside: MeasuredCurve, off_db: float) -> str:
    low, high = pass_band_hz(driver)
    return f"{aside.file} lies {off_db:+.1f} dB against it from {low:.0f} to {high:.0f} Hz"


# --- response -------------------------------------------------------------------------------------------------------


def pass_band_hz(driver: Driver) -> tuple[float, float]:
    """Where the driver has the level of its Sensitivity cell (Hz)."""
    if isinstance(driver, LowDriver):
        low = max(200.0, 2.5 * driver.fs_hz)
        return low, max(800.0, 2.0 * low)
    low = min(8000.0, max(2000.0, 2.5 * (driver.fs_hz or 0.0)))
    return low, max(10000.0, 2.0 * low)


@dataclass(frozen=True, slots=True)
class Level:
    """The mean level of a response file in a driver's pass band (Hz), and the one that the row makes (dB)."""

    band_hz: tuple[float, float]
    found_db: float
    wanted_db: float
    allowed_db: tuple[float, float]
    rises_db: float
    """The upper half of the band over the lower, in octaves."""

    @property
    def off_db(self) -> float:
        """How far the file lies over what the row makes."""
        return self.found_db - self.wanted_db

    @property
    def beyond_db(self) -> float:
        """How far it lies outside what a measurement may be off; 0 inside."""
        return max(self.allowed_db[0] - self.off_db, self.off_db - self.allowed_db[1], 0.0)


def level_of(driver: Driver, curve: MeasuredCurve) -> Level:
    """The level of a response file against Sensitivity, voltage and distance of its driver's row."""
    low, high = pass_band_hz(driver)
    first, last = float(curve.frequency_hz[0]), float(curve.frequency_hz[-1])
    band = np.geomspace(max(first, low), max(min(last, high), 1.05 * max(first, low)), 60)
    levels = np.interp(np.log(band), np.log(curve.frequency_hz), curve.magnitude)
    level, rises = float(np.mean(levels)), float(np.mean(levels[30:]) - np.mean(levels[:30]))
    wanted = driver.sensitivity_db + 20.0 * log10(driver.measuring_voltage_v / 2.83 / driver.measured_at_m)
    cabinet = driver.response_measured not in (None, LARGE_BAFFLE) and isinstance(driver, LowDriver)
    least = -DOUBTFUL_DB - (IN_A_CABINET_DB if cabinet else 0.0)
    return Level((float(band[0]), float(band[-1])), level, wanted, (least, DOUBTFUL_DB), rises)


def _response(driver: Driver, curve: MeasuredCurve) -> Iterator[Problem]:
    low, high = pass_band_hz(driver)
    first, last = float(curve.frequency_hz[0]), float(curve.frequency_hz[-1])
    reach = LOW_REACH if isinstance(driver, LowDriver) else 1.6
    overlap = log2(max(1.0, min(last, reach * high) / max(first, low / 2.0)))
    if overlap < 1.0:
        expected = f"it runs from {first:.6g} to {last:.6g} Hz, and {driver.id} works around {low:.0f} to {high:.0f} Hz"
        yield problem_at(driver, "response_file", _stands(curve), expected, "Look for a wrong file or unit.")
        return
    yield from _gap(driver, curve, "response", low / 2.0, reach * high)
    yield from _level(driver, curve, level_of(driver, curve))
    if driver.response_phase in ("own", "common reference") and curve.phase_rad is None:
        found = f"“{driver.response_phase}” stands here"
        yield problem_at(driver, "response_phase", found, f"{curve.file} has no phase", "Write none.", notice=True)


def _level(driver: Driver, curve: MeasuredCurve, level: Level) -> Iterator[Problem]:
    over = f"its mean from {level.band_hz[0]:.0f} to {level.band_hz[1]:.0f} Hz is {level.found_db:.1f} dB"
    cell = f"the Sensitivity of {driver.id} ({driver.origin.place('sensitivity_db')}), its voltage and its distance make {level.wanted_db:.1f} dB"
    if abs(level.off_db) > IMPOSSIBLE_DB:
        mend = "Look for a wrong file, unit or quantity."
        if abs(level.found_db) < 50.0:
            mend = "It looks like levels around 0 dB, or like ohms: give sound pressure levels, or the right file."
        yield problem_at(driver, "response_file", _stands(curve), f"{over}, but {cell}", mend)
    elif level.beyond_db > 0.0:
        mend = "Check Measured at, Measuring voltage and Sensitivity; the level of the file counts."
        if abs(level.rises_db) > ANOTHER_SHAPE_DB:
            way = "rises" if level.rises_db > 0.0 else "falls"
            mend = f"It {way} by {abs(level.rises_db):.0f} dB there: look for another driver's file; the level of the file counts."
        yield problem_at(driver, "response_file", _stands(curve), f"{over}, but {cell}", mend, notice=True)


# --- impedance ------------------------------------------------------------------------------------------------------


def _impedance(driver: Driver, curve: MeasuredCurve) -> Iterator[Problem]:
    least = float(np.min(curve.magnitude))
    ratio = least / driver.re_ohm
    decibels = ratio > RESISTANCE_DOUBTFUL[1] and abs(least - 20.0 * log10(driver.re_ohm)) < LIKE_DECIBELS_DB
    if ratio < RESISTANCE_IMPOSSIBLE[0] or ratio > RESISTANCE_IMPOSSIBLE[1] or decibels:
        mend = "Look for a wrong file or unit."
        if decibels:
            mend = "It looks like decibels over 1 ohm: give ohm, or look for another driver's file."
        elif 300.0 < ratio < 3000.0:
            mend = "It looks like milliohm: say mohm in the heading of the file, or give ohm."
        elif 40.0 < least and float(np.max(curve.magnitude)) < 130.0:
            mend = "It looks like levels in dB: give the impedance, or move the file to Response file."
        yield problem_at(driver, "impedance_file", _stands(curve), _least(driver, least), mend)
        return
    yield from _gap(driver, curve, "impedance", (driver.fs_hz or 200.0) / 2.0, 20000.0)
    for doubt in impedance_doubts(driver, curve):
        yield problem_at(driver, "impedance_file", _stands(curve), doubt, "Check both.", notice=True)


def tells_resonance(driver: Driver, impedance: MeasuredCurve) -> bool:
    """Whether an impedance file reaches over the resonance of its driver, where that is stated."""
    fs, hz = driver.fs_hz, impedance.frequency_hz
    return fs is None or bool(hz[0] <= fs / 1.3 and hz[-1] >= 1.3 * fs)


def tells_coil(driver: Driver, impedance: MeasuredCurve) -> bool:
    """Whether an impedance file reaches to the top of its driver's pass band, where the coil counts."""
    return bool(impedance.frequency_hz[-1] >= pass_band_hz(driver)[1])


def _least(driver: Driver, least_ohm: float) -> str:
    cell = f"Re of {driver.id} ({driver.origin.place('re_ohm')}) is {driver.re_ohm:.4g} ohm"
    return f"its least value is {least_ohm:.4g} ohm, but {cell}"


def impedance_doubts(driver: Driver, curve: MeasuredCurve) -> Iterator[str]:
    """What of an impedance file contradicts the cells of its driver's row, though it may be."""
    hz, least = curve.frequency_hz, float(np.min(curve.magnitude))
    reaches = hz[0] <= 2000.0 and hz[-1] >= 6.0 * (driver.fs_hz or 100.0)
    ratio = least / driver.re_ohm
    if ratio < RESISTANCE_DOUBTFUL[0] or (reaches and ratio > RESISTANCE_DOUBTFUL[1]):
        yield _least(driver, least)
    yield from _peak(driver, curve)


def _peak(driver: Driver, curve: MeasuredCurve) -> Iterator[str]:
    """Resonance and height of the peak, where the curve reaches and nothing but the driver makes it."""
    fs, hz = driver.fs_hz, curve.frequency_hz
    boxed = isinstance(driver, LowDriver) and driver.impedance_measured not in (None, FREE_AIR)
    if fs is None or driver.qms is None or driver.qes is None or boxed or not tells_resonance(driver, curve):
        return
    near = np.flatnonzero((hz >= fs / 4.0) & (hz <= 4.0 * fs))
    if near.size < 3:
        return
    top = near[np.argmax(curve.magnitude[near])]
    found_hz, found_ohm = float(hz[top]), float(curve.magnitude[top])
    wanted_ohm = driver.re_ohm * (1.0 + driver.qms / driver.qes)
    if not 1.0 / RESONANCE_DOUBTFUL <= found_hz / fs <= RESONANCE_DOUBTFUL and wanted_ohm > 1.3 * driver.re_ohm:
        boxed = isinstance(driver, LowDriver) and found_hz > fs
        mend = ", as in a cabinet (if so, write its ID under Impedance measured)" if boxed else ""
        peaks = "it has no peak near it" if top in (near[0], near[-1]) else f"it peaks at {found_hz:.4g} Hz{mend}"
        yield f"Fs of {driver.id} ({driver.origin.place('fs_hz')}) is {fs:.4g} Hz, but {peaks}"
    elif not 1.0 / PEAK_DOUBTFUL <= found_ohm / wanted_ohm <= PEAK_DOUBTFUL:
        cells = f"Qms and Qes of {driver.id} ({driver.origin.place('qms')}, {driver.origin.place('qes')}) make {wanted_ohm:.3g} ohm"
        yield f"its peak is {found_ohm:.3g} ohm, but {cells}"
