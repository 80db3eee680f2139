"""The limits: every rule that bounds the crossover from below or above, as one frequency each.

Knows the rules and what each rests on. Refuses to know cells, pages and crossover parts. A new limit is one
function and one row of the table `LIMITS` at the end.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.acoustics import baffle, drivers, guides, lobes, radiators
from reportgen.acoustics import heat as warmth
from reportgen.acoustics import travel as strokes
from reportgen.acoustics.frequencies import crossing
from reportgen.acoustics.slopes import Slope, attenuation_ratio, low_pass
from reportgen.catalogue.plausible import LOW_REACH, pass_band_hz
from reportgen.catalogue.records import MeasuredCurve, Record
from reportgen.crossover.networks import RATED_IMPEDANCES_OHM
from reportgen.pairing.as_used import OVER_WINDOW, Setting, on_panel
from reportgen.pairing.heat import high_allowed_w
from reportgen.pairing.measuring import measured_breakup_hz
from reportgen.pairing.response import Model

Side = Literal["low", "high"]
FloatArray = NDArray[np.float64]
COMMON = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Found:
    """What a rule finds in a setting: the bound (Hz), what it rests on, and a sentence.

    `hz` is None when it cannot be worked out: then `missing` names the inputs, each with its cell. `spread_octaves` is how far
    the rule itself may be off; `spared` says that another datum bounds the same, so that what is missing is not essential.
    """

    hz: float | None
    text: str
    source: str
    missing: tuple[str, ...] = ()
    spread_octaves: float = 0.0
    spared: bool = False


@dataclass(frozen=True, slots=True)
class Limit:
    """One bound of the crossover frequency: a rule of the table and what it found.

    `side` is "low" for a bound from below. `spread_hz` is what the tolerances of rule and driver data make of it. One that is
    no `wall` does not bound the range: what lies beyond it is judged by the network.
    """

    id: str
    title: str
    side: Side
    hz: float | None
    text: str
    source: str
    essential: bool = True
    missing: tuple[str, ...] = ()
    spread_hz: tuple[float, float] | None = None
    wall: bool = True

    def edge(self, margin: float) -> tuple[float, float, float]:
        """Bound in signed octaves, where a crossover fails for good, and where it has its margin (octaves); `hz` is known.

        Signed octaves are lg2 of Hz, negative for a bound from above: below the second value a crossover fails, below the
        third it is marginal. A miss smaller than the spread of the data does not fail, nor does one that is no wall.
        """
        at = SIGN[self.side] * math.log2(self.hz or 1.0)
        if not self.wall:
            return at, -math.inf, at
        spread = self.spread_octaves
        return at, at - spread, at + max(margin, spread)

    @property
    def spread_octaves(self) -> float:
        """How far the tolerances of the data move it (octaves)."""
        return math.log2(self.spread_hz[1] / self.hz) if self.spread_hz and self.hz else 0.0


SIGN: Mapping[Side, float] = {"low": 1.0, "high": -1.0}
"""By the side of a limit: octaves count from it towards the usable range."""


def _unknown(source: str, missing: tuple[str, ...], spared: bool = False) -> Found:
    return Found(None, "", source, missing, spared=spared)


def resonance_factor(setting: Setting, order: int) -> float:
    """Practice: lowest crossover as a multiple of the resonance, for a slope of this order."""
    return setting.case.practice[f"resonance factor order {min(order, 4)}"]


def resonance(setting: Setting) -> Found | None:
    """Lower bound: k(slope) times the high driver's resonance as used; none where makers of the kind state no resonance."""
    found, order = setting.resonance, setting.slope.order
    source = setting.case.practice.source(f"resonance factor order {min(order, 4)}")
    if found.fs_hz is None and not setting.case.technology.travel_stated:
        return None
    if found.fs_hz is None:
        return _unknown(source, found.missing)
    factor = resonance_factor(setting, order)
    hz = factor * found.fs_hz
    text = f"The high driver resonates at {found.fs_hz:.0f} Hz ({found.how}); a slope of order {order} needs {factor:g} times that, {hz:.0f} Hz."
    return Found(hz, text, source)


SEARCHED_HZ: FloatArray = np.geomspace(50.0, 20000.0, 208)
"""Where the travel limit is looked for: the gain of guide and further drivers rises and falls over frequency."""


def _travel_hz(setting: Setting, area_m2: float, travel_m: float) -> float:
    """Highest frequency (Hz) at which the travel is just enough, with the gain of guide and further drivers there; 0 where it always is."""
    found = setting.resonance
    fs_hz, q = (np.nan if value is None else value for value in (found.fs_hz, found.qts))

    def gain_db(hz: FloatArray) -> FloatArray:
        return np.asarray(setting.seat_gain_db(hz) + np.asarray(setting.guide_gain_db(hz)))

    def limit_hz(gain_db: ArrayLike) -> FloatArray:
        wanted, slope, air = setting.wanted_pressure_pa, setting.slope, setting.air
        return strokes.travel_limit_hz(wanted, area_m2, travel_m, slope, air, gain_db, fs_hz, q)

    def excess_hz(hz: FloatArray) -> FloatArray:
        return np.asarray(limit_hz(gain_db(hz)) - hz)

    searched_db = gain_db(SEARCHED_HZ)
    if not searched_db.any():
        alone = float(limit_hz(0.0))
        return min(alone, float(SEARCHED_HZ[-1])) if alone > SEARCHED_HZ[0] else 0.0
    short = np.flatnonzero(limit_hz(searched_db) > SEARCHED_HZ)
    if not short.size:
        return 0.0
    last = int(short[-1])
    if last + 1 == SEARCHED_HZ.size:
        return float(SEARCHED_HZ[last])
    return crossing(excess_hz, float(SEARCHED_HZ[last]), float(SEARCHED_HZ[last + 1]))


def travel(setting: Setting) -> Found | None:
    """Lower bound: lowest crossover at which the wanted peak level needs no more than the stated travel."""
    case, pairing = setting.case, setting.case.pairing
    source = "rigid piston, Beranek & Mellow; through the acoustic slope"
    high = case.high
    missing = high.missing("peak_travel_m", "diaphragm_area_m2")
    if pairing.slope == "BW1":
        missing += setting.resonance.missing or high.missing("fs_hz", "qms", "qes")
    if missing and not case.technology.travel_stated:
        return None
    if missing or high.peak_travel_m is None or high.diaphragm_area_m2 is None:
        return _unknown(source, missing)
    hz = _travel_hz(setting, high.diaphragm_area_m2, high.peak_travel_m)
    if hz == 0.0:
        return None
    text = (
        f"{pairing.peak_level_db:.0f} dB at {pairing.distance_m:g} m needs the full {high.peak_travel_m * 1e3:g} mm peak travel"
        f" of the high driver at a crossover of {hz:.0f} Hz ({pairing.slope}); lower it cannot go."
    )
    return Found(hz, text, source)


def padding_db(high_level_db: ArrayLike, low_level_db: ArrayLike) -> FloatArray:
    """How much the high driver is padded down to the low one's level (dB, 0 when it is the quieter); broadcasts."""
    return np.maximum(np.asarray(high_level_db, dtype=np.float64) - np.asarray(low_level_db, dtype=np.float64), 0.0)


def allowed_power_w(setting: Setting) -> float | None:
    """Programme power (W) that the high drivers may take together; None without a rating."""
    one = high_allowed_w(setting.case)
    return None if one is None else one * setting.case.pairing.high_count


def rated_about_ohm(resistance_ohm: ArrayLike) -> FloatArray:
    """The rated impedance (ohm) that drivers of these resistances (ohm) bring about: the modulus stays over 80 % of it (IEC 60268-5).

    What is too low for any counts as the lowest.
    """
    rated = np.array(RATED_IMPEDANCES_OHM, dtype=np.float64)
    return np.asarray(rated[np.searchsorted(0.8 * rated[1:], np.nan_to_num(resistance_ohm), side="right")])


def heat_beside(settings: Sequence[Setting], lows: Lows) -> FloatArray:
    """Bounds (Hz, (S, L)) by heat beside many low drivers: 0 where there is none, nan without a rating."""
    reaching = reaching_w(settings[0], lows.level_db, lows.resistance_ohm)
    return np.stack([heat_hz(setting, reaching) for setting in settings])


def heat_hz(setting: Setting, reaching_w: ArrayLike) -> FloatArray:
    """Bound (Hz) by heat where so much programme reaches all high drivers (W): 0 where there is none, nan without a rating."""
    allowed, practice = allowed_power_w(setting), setting.case.practice
    if allowed is None:
        return np.full(np.shape(reaching_w), np.nan)
    hz = warmth.heat_limit_hz(reaching_w, allowed, *practice.programme, setting.slope)
    return np.minimum(hz, practice["top of the audible band"])


def reaching_w(setting: Setting, low_level_db: ArrayLike, low_resistance_ohm: ArrayLike) -> FloatArray:
    """Programme power (W) over the whole band that reaches all high drivers, padded to low ones of these levels (dB) and resistances (ohm).

    The amplifier's voltage is that into the rated impedance of the whole: the lower of both sides', the high one behind its pad.
    """
    padded = 10.0 ** (-padding_db(setting.high_level_db, np.asarray(low_level_db) - setting.given_up_db) / 20.0)
    least_ohm = np.minimum(low_resistance_ohm, setting.high_resistance_ohm / padded)
    share = rated_about_ohm(least_ohm) / setting.high_resistance_ohm
    return np.asarray(setting.case.pairing.amplifier_power_w * share * padded**2)


def watts(power_w: float) -> str:
    """A power in words: two digits, and whole watts from ten up.

    >>> watts(0.356), watts(4.25), watts(173.2), watts(6.4e-5)
    ('0.36 W', '4.2 W', '173 W', 'less than 0.01 W')
    """
    if power_w < 0.01:
        return "less than 0.01 W"
    return f"{power_w:.2g} W" if power_w < 10.0 else f"{power_w:.0f} W"


HEARD_FROM_HZ = 20.0
"""A bound from below lower than this bounds nothing that is heard (IEC 60268-5 presentation range)."""


def heat(setting: Setting) -> Found | None:
    """Lower bound: lowest crossover at which programme power above it stays within the rating."""
    source = "rating of the maker; programme spectrum of the Practice sheet"
    allowed, pairing = allowed_power_w(setting), setting.case.pairing
    if allowed is None:
        return _unknown(source, setting.case.high.missing("rated_power_w"))
    hz = float(heat_hz(setting, reaching_w(setting, setting.low_level_db, setting.low_resistance_ohm)))
    if hz < HEARD_FROM_HZ:
        return None
    padded = float(padding_db(setting.high_level_db, setting.low_level_db - setting.given_up_db))
    pad = f", {padded:.1f} dB padded," if padded >= 0.05 else ""
    text = (
        f"{pairing.amplifier_power_w:g} W of programme{pad} leave {watts(allowed)} for the"
        f" high driver only when it starts at {hz:.0f} Hz or higher."
    )
    return Found(hz, text, source)


def maker_low(setting: Setting) -> Found | None:
    """Lower bound: the maker's stated lowest use, raised for a shallower slope, lowered by the travel that a guide saves."""
    high, guide = setting.case.high, setting.guide
    if high.lowest_use_hz is None:
        return None
    raised = 1.0
    if high.lowest_use_order is not None:
        stated = resonance_factor(setting, high.lowest_use_order)
        raised = max(1.0, resonance_factor(setting, setting.slope.order) / stated)
    hz = high.lowest_use_hz * raised
    text = f"The maker allows the high driver from {high.lowest_use_hz:.0f} Hz"
    if high.lowest_use_order is not None:
        text += f" with a slope of order {high.lowest_use_order}"
    text += f"; raised to {hz:.0f} Hz for the shallower slope" if raised > 1.0 else ""
    if guide is not None and not setting.horn_driver:
        bare, hz = hz, _saved_by_guide_hz(setting, hz, guide.horizontal_limit_hz)
        text += f"; the guide saves so much travel that {hz:.0f} Hz do" if hz < bare else ""
    return Found(hz, f"{text}.", "data sheet of the high driver")


def _saved_by_guide_hz(setting: Setting, bare_hz: float, control_hz: float) -> float:
    """Where the travel in the guide is that of the bare driver at `bare_hz`, but not below the guide's control (Hz).

    Travel goes with 1/f^2 and with what the guide adds on the axis.
    """
    if control_hz >= bare_hz or setting.guide_gain_db(bare_hz) == 0.0:
        return bare_hz

    def saved_hz(hz: FloatArray) -> FloatArray:
        return np.asarray(hz - bare_hz * 10.0 ** (-np.asarray(setting.guide_gain_db(hz)) / 40.0))

    return control_hz if saved_hz(np.array([control_hz]))[0] >= 0.0 else crossing(saved_hz, control_hz, bare_hz)


def technology(setting: Setting) -> Found | None:
    """Lower bound: the practice floor of the kind of driver, while nothing better is known of this one."""
    kind, high, source = setting.case.technology, setting.case.high, COMMON
    if floor_is_a_remark(setting):
        return None
    floor, how = technology_floor(setting)
    if floor is None:
        return _unknown(source, high.missing("lowest_use_hz"))
    text = f"A {kind.id} {how} is used from {floor:.0f} Hz up, where neither its resonance with its travel nor its maker says otherwise."
    return Found(floor, text, f"{source}; Technologies sheet", spread_octaves=FLOOR_SPREAD)


def floor_is_a_remark(setting: Setting) -> bool:
    """True where the driver's own resonance with its travel, or its maker's lowest use, is known."""
    high = setting.case.high
    own = setting.resonance.fs_hz is not None and not high.missing("peak_travel_m", "diaphragm_area_m2")
    return own or high.lowest_use_hz is not None


FLOOR_SPREAD = math.log2(1800.0 / 1650.0)
"""Octaves by which makers differ about the floor of a kind: planars are used from 1500 to 1800 Hz up (common practice, no source)."""

FLOOR_BLEND = 28.0 / 25.0
"""A dome of 25 mm is a small one, one of 28 mm a large one (common practice, no source): between them the floors blend
over the logarithm, and over the same ratio above the resonance that a large one must not exceed."""


def technology_floor(setting: Setting) -> tuple[float | None, str]:
    """Practice floor (Hz) of the kind of driver and how it is used; None where the maker decides."""
    kind, high, guide = setting.case.technology, setting.case.high, setting.case.guide
    floor, how = kind.bare_floor_hz, "without a guide"
    size, fs_hz = max(high.radiating_width_m, high.height_m), setting.resonance.fs_hz
    if kind.large_from_m is not None and kind.large_floor_hz is not None and floor is not None:
        large = _blend(size * FLOOR_BLEND / kind.large_from_m)
        if kind.large_resonance_hz is not None:
            large *= _blend(kind.large_resonance_hz * FLOOR_BLEND / fs_hz) if fs_hz else 0.0
        floor = floor * (kind.large_floor_hz / floor) ** large
        how = f"as large as {size * 1e3:.0f} mm" if large > 0.0 else how
    if guide is not None and guide.suits(high):
        known = [hz for hz in (floor, kind.guided_floor_hz) if hz is not None]
        return min(known, default=None), "in a guide that suits it"
    return floor, how


def _blend(ratio: float) -> float:
    """0 up to a ratio of 1, 1 from `FLOOR_BLEND` up, straight over the logarithm between."""
    return min(1.0, max(0.0, math.log(ratio) / math.log(FLOOR_BLEND)))


def guide_control(setting: Setting) -> Found | None:
    """Lower bound: where the guide stops holding its horizontal pattern (Keele 1975)."""
    guide = setting.case.guide
    if guide is None:
        return None
    hz = float(guides.pattern_limit_hz(guide.horizontal_coverage_rad, guide.mouth_width_m))
    text = (
        f"The guide, {guide.mouth_width_m * 1e3:.0f} mm wide, holds its {math.degrees(guide.horizontal_coverage_rad):.0f} deg"
        f" down to {hz:.0f} Hz."
    )
    return Found(hz, text, "Keele 1975")


def horn_cutoff(setting: Setting) -> Found | None:
    """Lower bound: where an exponential horn stops loading its driver, from throat, mouth and length.

    Every other horn goes on below, with its gain on the axis: there travel and resonance bound it.
    """
    guide = setting.case.guide
    if guide is None or guide.flare != "exponential":
        return None
    source = "horn equation, Webster 1919; Beranek 1954"
    if guide.throat_m is None or guide.depth_m is None:
        return _unknown(source, guide.missing("throat_m", "depth_m"))
    mouth_m2 = guide.mouth_width_m * guide.mouth_height_m
    hz = guides.horn_cutoff_hz(guide.throat_m, mouth_m2, guide.depth_m, setting.air)
    text = (
        f"{guide.id}, {guide.flare} over {guide.depth_m * 1e3:.0f} mm from a throat of {guide.throat_m * 1e3:.0f} mm, loads"
        f" its driver down to {hz:.0f} Hz."
    )
    return Found(hz, text, source)


REACHED_DB = 1.0
"""Thresholds this much over and under 0 dB, all alike, make the limit of the rear path (common practice, no source). Chosen
on one panel: it moves a limit by under 1 % where the rise is plain, and leaves no jump as a driver nears an edge."""


def rear_path(setting: Setting) -> Found | None:
    """Lower bound on an open baffle: below it the rear wave of an open driver takes more than it adds on the axis."""
    cabinet = setting.case.cabinet
    if not setting.open_back or cabinet.kind != "open baffle":
        return None
    width, height = cabinet.baffle_width_m, cabinet.baffle_height_m
    x, y = on_panel(cabinet, cabinet.offset_m, setting.high_height_m - height / 2.0)
    edges = baffle.edge_response(SEARCHED_HZ, width, height, x, y, True, setting.air, setting.high_mouth)
    # the first frequency at 0 dB, blended over the thresholds next to it: a peak that only just touches makes no jump
    highest = np.maximum.accumulate(20.0 * np.log10(np.abs(edges)))
    short = np.clip((REACHED_DB - highest) / (2.0 * REACHED_DB), 0.0, 1.0)
    hz = float(SEARCHED_HZ[0] * np.exp(np.trapezoid(short, np.log(SEARCHED_HZ))))
    nearest = min(width / 2.0 - abs(x), height / 2.0 - abs(y))
    text = f"Open at the back, {nearest * 1e3:.0f} mm from the nearest edge: below {hz:.0f} Hz the rear wave takes more than it adds."
    return Found(hz, text, "sum over the edges of an open panel at the driver's place; Vanderkooy 1991")


def coverage(setting: Setting) -> Found | None:
    """Upper bound: the low driver's half-amplitude angle falls below the wanted horizontal half window."""
    pairing = setting.case.pairing
    half = pairing.horizontal_half_window_rad
    hz = float(radiators.half_amplitude_frequency_hz(half, setting.low_radiator.width_m, setting.air))
    text = f"Above {hz:.0f} Hz the low driver, {setting.low_radiator.width_m * 1e3:.0f} mm across, no longer covers ±{math.degrees(half):.0f} deg."
    return Found(hz, text, "piston, half amplitude at x = 2.21509; A&S 9.5")


def break_up(setting: Setting) -> Found:
    """Upper bound: the low branch must be well down at the first cone resonance."""
    low, practice = setting.case.low, setting.case.practice
    source = practice.source("break-up attenuation")
    breakup_hz, seen = low.breakup_hz, ""
    if breakup_hz is None:
        breakup_hz, seen = measured_breakup_hz(Model(setting)), " in its measured response"
    if breakup_hz is None:
        return _unknown(source, low.missing("breakup_hz"), spared=low.highest_use_hz is not None)
    down = practice["break-up attenuation"]
    ratio = attenuation_ratio(setting.slope, down)
    hz = breakup_hz / ratio
    text = f"The cone breaks up at {breakup_hz:.0f} Hz{seen}; {setting.slope.name} is {down:g} dB down there only when it crosses at {hz:.0f} Hz or lower."
    return Found(hz, text, source)


def maker_high(setting: Setting) -> Found | None:
    """Upper bound: the highest use that the maker of the low driver states."""
    hz = setting.case.low.highest_use_hz
    if hz is None:
        return None
    text = f"The maker allows the low driver up to {hz:.0f} Hz."
    return Found(hz, text, "data sheet of the low driver")


def bandwidth(setting: Setting) -> Found | None:
    """Upper bound, no wall: from here up the low driver's own roll-off falls short of the low branch's target."""
    low, practice = setting.case.low, setting.case.practice
    curve = Model(setting).low_curve_on_large_baffle
    source = practice.source("low branch shortfall")
    measured, coil = measured_roll_off_db(curve) if curve is not None else None, _coil_roll_off_db(setting)
    why, tried = "measured response", measured
    hz = shortfall_hz(setting.slope, *tried, practice["low branch shortfall"]) if tried else None
    if hz is None and coil:
        why, tried = f"coil of {(low.le_h or 0.0) * 1e3:.2g} mH", _continued(measured, coil) if measured else coil
        hz = shortfall_hz(setting.slope, *tried, practice["low branch shortfall"])
    if hz is None:
        told = measured is not None and curve is not None and curve.frequency_hz[-1] >= LOW_REACH * pass_band_hz(low)[1]
        return _unknown(source, low.missing("le_h")) if low.le_h is None and not told else None
    text = (
        f"By its {why} the low driver alone falls more than {practice['low branch shortfall']:g} dB short of {setting.slope.name}"
        f" when it crosses above {hz:.0f} Hz."
    )
    return Found(hz, text, source)


Trace = tuple[FloatArray, FloatArray]
"""Frequencies (n,) Hz, rising, and levels (n,) dB."""

BELOW: FloatArray = np.geomspace(1.0 / 16.0, 1.0, 65)
"""Where under the crossover, as a share of it, a low driver is held against its target."""


def shortfall_hz(slope: Slope, frequency_hz: FloatArray, level_db: FloatArray, allowed_db: float) -> float | None:
    """Lowest crossover (Hz) whose low branch a driver misses by more than `allowed_db` somewhere below; None: nowhere."""
    target = 20.0 * np.log10(np.abs(low_pass(slope, BELOW, 1.0)))
    at = np.geomspace(max(200.0, float(frequency_hz[0])), float(frequency_hz[-1]), 241)
    reached = np.interp(np.log(at[:, None] * BELOW), np.log(frequency_hz), level_db, left=0.0)
    short = np.max(target - reached, axis=1) - allowed_db
    beyond = np.flatnonzero(short > 0.0)
    if not beyond.size:
        return None
    first = int(beyond[0])
    if first == 0:
        return float(at[0])
    return float(np.exp(np.interp(0.0, short[first - 1 : first + 1], np.log(at[first - 1 : first + 1]))))


def _continued(measured: Trace, coil: Trace) -> Trace:
    """What a file tells, and beyond its end what the coil takes off from there."""
    beyond = coil[0] > measured[0][-1]
    there = float(np.interp(measured[0][-1], *coil))
    further = measured[1][-1] + coil[1][beyond] - there
    return np.concatenate([measured[0], coil[0][beyond]]), np.concatenate([measured[1], further])


def _coil_roll_off_db(setting: Setting) -> Trace | None:
    """What the inductance takes off the low driver (dB, 20 Hz to 40 kHz); None without inductance."""
    low = setting.case.low
    if not low.le_h:
        return None
    frequency_hz = np.geomspace(20.0, 40000.0, 265)
    lost = np.abs(drivers.inductance_roll_off(frequency_hz, low.re_ohm, low.le_h, low.le_exponent))
    return frequency_hz, 20.0 * np.log10(lost)


def measured_roll_off_db(curve: MeasuredCurve) -> Trace | None:
    """A measured response against its mean from 200 to 800 Hz, from 800 Hz up; None where the file does not reach.

    In means over a third of an octave, so that a narrow dip does not end the band, and without what a peak of the cone
    further up lifts again (common practice, no source).
    """
    octave = np.log2(curve.frequency_hz)
    grid = np.arange(octave[0], octave[-1], 1.0 / 48.0)
    level = np.interp(grid, octave, curve.magnitude)
    band = (grid >= math.log2(200.0)) & (grid <= math.log2(800.0))
    if not band.any() or grid.size < THIRD_OCTAVE:
        return None
    smooth = np.convolve(level, np.full(THIRD_OCTAVE, 1.0 / THIRD_OCTAVE), mode="valid")
    middle = grid[THIRD_OCTAVE // 2 : -(THIRD_OCTAVE // 2)]
    above = middle >= math.log2(800.0)
    if not above.any():
        return None
    lost = np.minimum.accumulate(np.minimum(smooth[above] - float(np.mean(level[band])), 0.0))
    return 2.0 ** middle[above], lost


THIRD_OCTAVE = 17
"""Points of a third of an octave, 48 to the octave, both ends counted."""


def lobing_beside(settings: Sequence[Setting], lows: Lows) -> FloatArray:
    """Bounds (Hz, (S, L)) by the hole beside many low drivers: infinite where nobody hears one, nan where a place is unknown."""
    pairing = settings[0].case.pairing
    if pairing.low_count == pairing.high_count == 1:
        return _pairs_lobing_hz(settings, lows.spacing_m, lows.depth_m)
    each = list(zip(lows.spacing_m.tolist(), lows.pitch_m.tolist(), lows.depth_m.tolist(), strict=True))
    return np.array([[lobing_hz(setting, *one) for one in each] for setting in settings])


def _pairs_lobing_hz(settings: Sequence[Setting], spacing_m: FloatArray, low_depth_m: FloatArray) -> FloatArray:
    """The same for one driver a side, or several in one place (S, L)."""
    one = settings[0]
    (unit, *_), _ = one.apart_m(1.0, 1.0)
    low = np.stack([unit * spacing_m, -low_depth_m], axis=-1)
    near = lobes.pair_difference_m(low, (0.0, -one.high_depth_m), one.listeners_m) / WAYS_ALLOWANCE
    largest = np.maximum(np.abs(spacing_m) * math.sin(one.lobing_half_window_rad), near)
    hz = np.stack([lobes.pair_lobing_limit_hz(setting.slope, largest, setting.air) for setting in settings])
    return np.where(hz > one.case.practice["top of the audible band"], np.inf, hz)


def lobing_hz(setting: Setting, spacing_m: float, low_pitch_m: float, low_depth_m: float) -> float:
    """Bound (Hz) by the hole between the branches at a spacing of the centres, a pitch and a depth of the low drivers (m)."""
    if math.isnan(spacing_m):
        return math.nan
    pairing = setting.case.pairing
    low_at, high_at = setting.apart_m(spacing_m, spacing_m if math.isnan(low_pitch_m) else low_pitch_m)
    apart = max(abs(low - high) for low in low_at for high in high_at)
    if pairing.low_count == pairing.high_count == 1 or apart < lobes.GRAIN_M:  # or several in one place
        return float(_pairs_lobing_hz([setting], np.array([spacing_m]), np.array([low_depth_m]))[0, 0])
    ears = _far_listeners(setting.lobing_half_window_rad)
    scale = 0.2 / apart  # far away only the shape counts
    flat_lows, flat_highs = (tuple((at * scale, 0.0) for at in group) for group in (low_at, high_at))
    far = lobes.lobing_limit_hz(setting.slope, flat_lows, flat_highs, ears, setting.air) * scale
    lows = tuple((at, -low_depth_m) for at in low_at)
    highs = tuple((at, -setting.high_depth_m) for at in high_at)
    near = lobes.lobing_limit_hz(setting.slope, lows, highs, setting.listeners_m, setting.air)
    return min(far, near * WAYS_ALLOWANCE)


@lru_cache(maxsize=256)
def _far_listeners(half_window_rad: float) -> lobes.Points:
    """Listeners so far away on the axis that all ways are parallel (m)."""
    angle = (half_window_rad * OVER_WINDOW).tolist()
    return tuple((FAR_M * math.sin(one), FAR_M * math.cos(one)) for one in angle)


FAR_M = 1e4
WAYS_ALLOWANCE = 1.02
"""The plain rule, far away on the axis, holds until the true ways (depths, seat, distance) bound the crossover this much
lower; not tuned: less than the limit margin of 0.08 octave, so that a crossover that passes is clear of both."""


def lobing(setting: Setting) -> Found | None:
    """Upper bound: a hole between the branches, with the phases of their slope, enters the wanted half window."""
    case, pairing, spacing = setting.case, setting.case.pairing, setting.spacing_m
    source = "point sources with level and phase of the slope; symmetric three: D'Appolito 1983"
    if spacing is None:
        missing = pairing.missing("centre_spacing_m") + case.low.missing("frame_width_m")
        missing += case.high.missing("faceplate_width_m") if case.guide is None else ()
        return _unknown(source, missing)
    half = setting.lobing_half_window_rad
    hz = lobing_hz(setting, spacing, setting.low_pitch_m or spacing, setting.low_depth_m)
    if math.isinf(hz):
        return None
    plane = "horizontal" if setting.sideways else "vertical"
    text = (
        f"With {spacing * 1e3:.0f} mm between the centres and {setting.slope.name} no hole between the branches stands inside"
        f" ±{math.degrees(half):.0f} deg ({plane}) up to {hz:.0f} Hz."
    )
    return Found(hz, text, source)


def side_lobes(setting: Setting) -> Found | None:
    """Upper bound: the first side lobe of a column of low drivers enters the wanted vertical half window."""
    pairing, pitch = setting.case.pairing, setting.low_pitch_m
    in_a_row = (pairing.low_count + 1) // 2 if pairing.arrangement == "low-high-low" else pairing.low_count
    if in_a_row < 2:
        return None
    source = "column, spacing against wavelength; Ureda 2004"
    if pitch is None:
        return _unknown(source, setting.case.low.missing("frame_width_m"))
    half = pairing.vertical_half_window_rad
    hz = float(lobes.column_side_lobe_hz(pitch, half, setting.air))
    text = f"Low drivers {pitch * 1e3:.0f} mm apart: their first side lobe stays outside ±{math.degrees(half):.0f} deg (vertical) up to {hz:.0f} Hz."
    return Found(hz, text, source)


def low_data(setting: Setting) -> Found | None:
    """No bound: cells of the low driver that cannot be used, so that nobody knows what they would bound."""
    return _unusable("Low", setting.case.low)


def high_data(setting: Setting) -> Found | None:
    """The same for the high driver with its guide and the cabinet."""
    case = setting.case
    return _unusable("High", case.high, *((case.guide,) if case.guide else ()), case.cabinet)


def _unusable(side: str, *records: Record) -> Found | None:
    missing = tuple(text for record in records for text in record.named(*(record.unread or ())))
    if not missing:
        return None
    return Found(
        None, f"{side} driver's data not assessed: {'; '.join(missing)} cannot be used.", "the workbook", missing
    )


@dataclass(frozen=True)
class Lows:
    """Many low drivers as a rule of both drivers meets them, arrays (L,): level (dB), resistance of all together (ohm),
    distance of the centres, pitch of several low ones (m, nan: unknown) and depth of their centres (m)."""

    level_db: FloatArray
    resistance_ohm: FloatArray
    spacing_m: FloatArray
    pitch_m: FloatArray
    depth_m: FloatArray


Tolerances = Mapping[tuple[Literal["low", "high"], str], str]
"""Driver and field of a datum, and the Practice rule that tells how far it may be off."""


@dataclass(frozen=True)
class Rule:
    """One row of the table of limits: its id, its title on the page, the side it bounds, what it leans on, how it is found.

    `words` say to an enquirer what ends the range there. `scope` says whose data beside the use it reads: the low driver's, those of the high driver (with guide and cabinet),
    or both. `find` answers None where it does not apply. `beside` gives a rule of both drivers for settings that differ by their
    slope alone and many low drivers at once (Hz, (S, L); 0 binds nothing, nan is unknown, and leaves the pair undecided where
    the rule is `essential`); without it each is asked in turn. One that is no `wall` leaves the range open: the network decides. `tolerances` are the data that move it.
    """

    id: str
    title: str
    side: Side
    scope: Literal["low", "high", "both"]
    words: str
    find: Callable[[Setting], Found | None]
    beside: Callable[[Sequence[Setting], Lows], FloatArray] | None = None
    essential: bool = True
    wall: bool = True
    tolerances: Tolerances = field(default_factory=dict)

    def limit(self, setting: Setting) -> Limit | None:
        """The limit in this setting, with its spread; None where it does not apply."""
        found = self.find(setting)
        if found is None:
            return None
        text = found.text or f"{self.title} not assessed: {'; '.join(found.missing)} missing."
        spread = None
        if found.hz is not None and (octaves := self._spread_octaves(setting, found)) > 0.0:
            spread = (found.hz * 2.0**-octaves, found.hz * 2.0**octaves)
        return Limit(
            self.id,
            self.title,
            self.side,
            found.hz,
            text,
            found.source,
            self.essential and not found.spared,
            found.missing,
            spread,
            self.wall,
        )

    def _spread_octaves(self, setting: Setting, found: Found) -> float:
        """Root-sum-square shift (octaves) when the rule, and each datum it leans on, is off by its tolerance."""
        total, case = found.spread_octaves**2, setting.case
        for (owner, name), tolerance in self.tolerances.items():
            record: Any = getattr(case, owner)
            value = getattr(record, name)
            if value is None:
                continue
            moved = replace(record, **{name: value * (1.0 + case.practice[tolerance])})
            other = self.find(Setting(replace(case, **{owner: moved})))
            if other is not None and other.hz and found.hz:
                total += math.log2(other.hz / found.hz) ** 2
        return math.sqrt(total)


_OF_RESONANCE: Tolerances = {("high", name): "driver resonance tolerance" for name in ("fs_hz", "qms", "qes")}
_OF_TRAVEL: Tolerances = {
    ("high", "peak_travel_m"): "driver travel tolerance",
    ("high", "diaphragm_area_m2"): "driver area tolerance",
    **_OF_RESONANCE,
}
_OF_AREA: Tolerances = {("low", "diaphragm_area_m2"): "driver area tolerance"}
_OF_BREAK_UP: Tolerances = {("low", "breakup_hz"): "driver break-up tolerance"}

LIMITS: tuple[Rule, ...] = (
    Rule("resonance", "Resonance", "low", "high", "its resonance", resonance, tolerances=_OF_RESONANCE),
    Rule("travel", "Travel", "low", "high", "its travel", travel, tolerances=_OF_TRAVEL),
    Rule("heat", "Heat", "low", "both", "its power rating", heat, heat_beside, essential=False),
    Rule("maker low", "Maker's lowest use", "low", "high", "its maker's lowest use", maker_low),
    Rule("technology", "Kind of driver", "low", "high", "lowest for its kind", technology),
    Rule("guide control", "Guide's control", "low", "high", "its waveguide lets go", guide_control),
    Rule("horn cut-off", "Horn's cut-off", "low", "high", "its horn lets go", horn_cutoff),
    Rule("rear path", "Rear path", "low", "high", "its open back", rear_path),
    Rule("coverage", "Low driver's coverage", "high", "low", "your woofer narrows", coverage, tolerances=_OF_AREA),
    Rule("break-up", "Cone break-up", "high", "low", "your woofer's cone breaks up", break_up, tolerances=_OF_BREAK_UP),
    Rule("maker high", "Maker's highest use", "high", "low", "your woofer's highest use", maker_high),
    Rule("bandwidth", "Low driver's bandwidth", "high", "low", "your woofer fades", bandwidth, wall=False),
    Rule("lobing", "Lobing", "high", "both", "the centres lie too far apart", lobing, lobing_beside),
    Rule("side lobes", "Side lobes", "high", "low", "your woofers stand too far apart", side_lobes, essential=False),
    Rule("low data", "Low driver's data", "high", "low", "a figure of your woofer", low_data, wall=False),
    Rule("high data", "High driver's data", "low", "high", "a figure of its own", high_data, wall=False),
)
"""Every limit, in the order of the page. Checks, screening, remedies and words read this table and nothing else."""


def of_scope(scope: str) -> tuple[Rule, ...]:
    """The rules of one scope: whoever looks at many pairings asks those of one driver once a driver."""
    return tuple(rule for rule in LIMITS if rule.scope == scope)


def words_of(id_: str) -> str:
    """What ends a range, in few words for an enquirer."""
    return next((rule.words for rule in LIMITS if rule.id == id_), "an open side")


def title_of(id_: str) -> str:
    """The title of a limit as it is printed; "nothing" for an open side."""
    return next((rule.title for rule in LIMITS if rule.id == id_), "nothing")


def all_limits(setting: Setting, rules: Iterable[Rule] | None = None) -> tuple[Limit, ...]:
    """Every limit among `rules` (all of the table) that applies to the setting, each with its spread."""
    asked = LIMITS if rules is None else rules
    return tuple(limit for rule in asked if (limit := rule.limit(setting)) is not None)
