"""What the measured files of a pairing turn out to hold: delay, polarity, one start of time, a cabinet's edges, break-up.

Knows how a file lies against the model of its driver. Refuses to change anything: the response takes it up as it stands.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.measured import FloatArray, correct, first_peak_hz
from reportgen.catalogue.columns import LARGE_BAFFLE
from reportgen.catalogue.plausible import pass_band_hz
from reportgen.catalogue.records import Case, HighDriver, LowDriver, MeasuredCurve
from reportgen.pairing.response import COMMON, FREQUENCY_HZ, UNLIKE_OHM_RAD, Model, Taken
from reportgen.problems import CannotAssess

TOLD_S = 5e-6
"""A shorter delay is none that a microphone's place could tell (common practice, no source)."""
ONE_START_S = 3e-4
"""Two files whose delays lie closer than this, and are longer than it, look like measured with one start of time."""
FAR_OFF_S = 5e-4
"""Centres that lie further apart in time than this from what their depths say are doubted (common practice, no source)."""
BREAK_UP_OFF = 2.0 ** (1.0 / 3.0)
"""A break-up in the cell and one in the curve agree within a third of an octave (common practice, no source)."""
FINE_OCTAVE = 1.0 / 3.0
"""Evenness is judged by third octaves: a file whose points lie further apart shows no dip or peak of that width (common practice, no source)."""
LIKE_SHAPE = 0.6
"""So much of what a file has beyond its model must look like a cabinet's edges, or a guide's gain, to be taken for them (share of variance)."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found in a measured file; `field` is the cell of the driver's row that it concerns."""

    driver: LowDriver | HighDriver
    field: str
    text: str
    doubtful: bool


def findings(model: Model) -> tuple[Finding, ...]:
    """Everything found in the measured files of both drivers; nothing where the drivers have no place on the baffle."""
    with suppress(CannotAssess):
        return tuple(_findings(model))
    return ()


def _findings(model: Model) -> Iterator[Finding]:
    case = model.setting.case
    for role, driver, taken in (("low", case.low, model.low_measured), ("high", case.high, model.high_measured)):
        if taken is not None:
            yield from _timing(driver, taken, case.curves[driver.id, "response"])
            yield from _edges(model, role, driver, taken)
            if role == "high":
                yield from _guide(model, taken)
        for quantity in ("response", "impedance"):
            if (driver.id, quantity) in case.curves:
                yield from _coarse(driver, case.curves[driver.id, quantity], f"{quantity}_file")
        yield from _impedance(driver, case)
        other = case.high if role == "low" else case.low
        if (
            driver.response_phase == COMMON
            and taken is not None
            and not taken.common
            and (other.id, "response") in case.curves
        ):
            text = f"{driver.id} beside {other.id}: a common reference takes phase in the files of both drivers, measured in one cabinet at one distance; its own start of time counts"
            yield Finding(driver, "response_phase", text, True)
    if model.low_measured and model.high_measured:
        yield from _both(case, model.low_measured, model.high_measured)
    yield from break_up_found(model)


def _timing(driver: LowDriver | HighDriver, taken: Taken, curve: MeasuredCurve) -> Iterator[Finding]:
    found = taken.found.timing
    if found is None:
        return
    if not taken.phased:
        off = np.degrees(found.left_rad)
        text = f"{driver.id}: the phase of {curve.file} lies {off:.0f} degrees from that of its level with any delay; it does not count{_like_radians(curve)}"
        yield Finding(driver, "response_file", text, True)
        return
    if not taken.common and abs(found.delay_s) > TOLD_S:
        text = f"{driver.id}: a delay of {found.delay_s * 1e3:.2f} ms was found in {curve.file} and taken out"
        yield Finding(driver, "response_file", text, False)
    if found.inverted:
        text = f"{driver.id}: {curve.file} was measured upside down; its polarity is turned"
        yield Finding(driver, "response_file", text, True)


def _like_radians(curve: MeasuredCurve) -> str:
    """What a phase that never leaves half a turn in radians looks like, taken for degrees."""
    alike = curve.phase_rad is not None and np.max(np.abs(curve.phase_rad)) < np.radians(np.pi + 0.01)
    return ". It looks like radians: give degrees, or say rad in its heading" if alike else ""


def _coarse(driver: LowDriver | HighDriver, curve: MeasuredCurve, field: str) -> Iterator[Finding]:
    """Whether the points of a file lie far apart in the pass band of its driver, beside which it is crossed, or an octave beyond."""
    low_hz, high_hz = pass_band_hz(driver)
    below, above = curve.frequency_hz[:-1], curve.frequency_hz[1:]
    from_hz, to_hz = (low_hz, 2.0 * high_hz) if isinstance(driver, LowDriver) else (low_hz / 2.0, high_hz)
    apart = np.where((above > from_hz) & (below < to_hz), np.log2(above / below), 0.0)
    at = int(np.argmax(apart))
    if apart[at] > 1.05 * FINE_OCTAVE:  # rounded frequencies
        text = f"{driver.id}: {curve.file} has nothing between {below[at]:.0f} and {above[at]:.0f} Hz; what happens there is not seen. Measure at least three points an octave"
        yield Finding(driver, field, text, True)


def _impedance(driver: LowDriver | HighDriver, case: Case) -> Iterator[Finding]:
    """Whether the phase of an impedance is the one that its modulus fixes."""
    curve = case.curves.get((driver.id, "impedance"))
    if curve is None or curve.phase_rad is None:
        return
    plain = np.full(FREQUENCY_HZ.size, driver.re_ohm, dtype=np.complex128)
    found = correct(FREQUENCY_HZ, plain, curve.frequency_hz, np.log(curve.magnitude), curve.phase_rad, delayed=False)
    if found.timing is not None and found.timing.left_rad >= UNLIKE_OHM_RAD:
        off = np.degrees(found.timing.left_rad)
        text = f"{driver.id}: the phase of {curve.file} lies {off:.0f} degrees from that of its modulus; it does not count{_like_radians(curve)}"
        yield Finding(driver, "impedance_file", text, True)


def _both(case: Case, low: Taken, high: Taken) -> Iterator[Finding]:
    early, late = low.found.timing, high.found.timing
    if (early is None) != (late is None):
        without, with_ = (case.low, case.high) if early is None else (case.high, case.low)
        text = (
            f"{with_.id} has a measured phase and {without.id} has none: the phase of {without.id} is that of its level"
        )
        yield Finding(without, "response_file", text, False)
    if early is None or late is None or not (low.phased and high.phased):
        return
    apart_s = low.late_s - high.late_s
    if low.common:
        word = "later" if apart_s > 0.0 else "earlier"
        text = f"{case.low.id} is heard {abs(apart_s) * 1e3:.2f} ms {word} than {case.high.id}, beyond what ways and depths make"
        if abs(apart_s) < TOLD_S:
            text = f"{case.low.id} and {case.high.id} are heard as far apart in time as ways and depths make it"
        yield Finding(case.low, "response_phase", text, abs(apart_s) > FAR_OFF_S)
    elif _could_share(case) and _alike(early.delay_s, late.delay_s):
        text = (
            f"{case.low.id} and {case.high.id}: their files hold delays of {early.delay_s * 1e3:.2f} and {late.delay_s * 1e3:.2f} ms,"
            f" as if measured with one start of time; if so, write “{COMMON}” for both, else “own”"
        )
        yield Finding(case.low, "response_phase", text, True)


def _could_share(case: Case) -> bool:
    """Nobody says whose start of time the files have, nor that both stood alone on a large baffle."""
    silent = case.low.response_phase is None and case.high.response_phase is None
    where = case.low.response_measured
    return silent and where == case.high.response_measured and where != LARGE_BAFFLE


def _alike(one_s: float, other_s: float) -> bool:
    return min(one_s, other_s) > ONE_START_S and abs(one_s - other_s) < ONE_START_S


def _edges(model: Model, role: str, driver: LowDriver | HighDriver, taken: Taken) -> Iterator[Finding]:
    """Whether a file said to be from a large baffle holds the edges of this cabinet."""
    if driver.response_measured not in (None, LARGE_BAFFLE):
        return
    if _holds(taken, np.log(np.abs(model.edges_of(role))), FREQUENCY_HZ < 3000.0):
        cabinet = model.setting.case.cabinet.id
        text = f"{driver.id}: its response falls towards low frequencies as the edges of {cabinet} make it; if it was measured in a cabinet, write its ID"
        yield Finding(driver, "response_measured", text, True)


def _guide(model: Model, taken: Taken) -> Iterator[Finding]:
    """Whether the file of the high driver holds the gain of the guide, which comes on top."""
    setting = model.setting
    high, guide = setting.case.high, setting.case.guide
    if guide is None or setting.horn_driver:
        return
    if _holds(taken, setting.guide_gain_db(FREQUENCY_HZ) * np.log(10.0) / 20.0, FREQUENCY_HZ < 16000.0):
        text = f"{high.id}: its response rises as {guide.id} makes it, whose gain comes on top; if it was measured in a guide, measure it bare"
        yield Finding(high, "response_file", text, True)


def _holds(taken: Taken, shape: FloatArray, where: NDArray[np.bool_]) -> bool:
    """Whether what a file has beyond its model looks like a shape over the grid (n,) nepers, in a part of it."""
    inside = taken.found.inside & where
    if np.count_nonzero(inside) < 24:
        return False
    shape, ratio = shape[inside], taken.found.log_ratio[inside]
    shape, ratio = shape - shape.mean(), ratio - ratio.mean()
    if np.std(shape) < 0.1:  # 0.9 dB: nothing to know it by
        return False
    share = float(np.sum(shape * ratio) / np.sum(shape**2))
    return 0.6 < share < 1.4 and bool(np.var(ratio - shape) < (1.0 - LIKE_SHAPE) * np.var(ratio))


# --- break-up -------------------------------------------------------------------------------------------------------


def measured_breakup_hz(model: Model) -> float | None:
    """First resonance of the cone in the measured response of the low driver (Hz); None without one, or without a file.

    Looked for above 800 Hz and two octaves over the resonance, where the cone moves as one (common practice, no source).
    """
    curve = model.low_curve_on_large_baffle
    return None if curve is None else _peak_hz(curve, max(800.0, 4.0 * model.setting.case.low.fs_hz))


@lru_cache(maxsize=1024)
def _peak_hz(curve: MeasuredCurve, above_hz: float) -> float | None:
    return first_peak_hz(curve.frequency_hz, curve.magnitude, above_hz)


def break_up_found(model: Model) -> Iterator[Finding]:
    """The break-up that counts where the cell is empty, or that contradicts it."""
    case = model.setting.case
    found, stated = measured_breakup_hz(model), case.low.breakup_hz
    if found is None:
        return
    file = case.curves[case.low.id, "response"].file
    if stated is None:
        text = f"{case.low.id}: its first peak in {file}, at {found:.0f} Hz, counts as its break-up"
        yield Finding(case.low, "breakup_hz", text, False)
    elif not stated / BREAK_UP_OFF <= found <= stated * BREAK_UP_OFF:
        text = f"{case.low.id}: its break-up is stated at {stated:.0f} Hz, but {file} first peaks at {found:.0f} Hz"
        yield Finding(case.low, "breakup_hz", text, True)
