"""What a run will refuse for frames, level, load and heat, as far as data sheets tell, for many pairs at once.

Knows how roughly it knows. Refuses to know the limits of the crossover and how pairs are ranked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.heat import programme_share
from reportgen.advice.edges import CONDITIONS, NOT_SUITABLE, SUITABLE, UNDECIDED, FloatArray, IntArray
from reportgen.pairing.as_used import Setting
from reportgen.pairing.frames import Sizes, clearances_m
from reportgen.pairing.heat import high_allowed_at_least_w
from reportgen.suitability.limits import Lows, allowed_power_w, rated_about_ohm, reaching_w

UNHEARD = "The seat hears little of its treble"
FORESEEN = (
    "The frames do not go on the baffle", "The high driver is too quiet", "The level is out of reach", "No amplifier bears the load",
    "The low driver would burn", "The high driver would burn", UNHEARD,
)  # fmt: skip
"""What a run refuses and data sheets already tell, in the order in which it is said."""
OPEN = (
    "the frames go on the baffle", "the high driver is loud enough", "the level is reached", "an amplifier bears the load",
    "the low driver burns", "the high driver burns",
)  # fmt: skip
"""The same as a question, where data sheets leave it open; what is heard at the seat they tell."""
SURE = (
    (1.0, 1.0, -1.0),
    (0.0, -2.0, -4.5),
    (1.3, -1.5, -2.5),
    (0.55, 0.05, -0.05),
    (1.0, -0.15, -0.35),
    (0.5, -0.45, -0.66),
)
"""How far each of them must miss (mm of frames in tolerances, dB, shares) to be refused, to be left open, and to count as near: so
roughly data sheets tell of levels, loads and heat. Found over 890 runs of the demo, drawn seasons and random catalogues: of what is refused
nineteen in twenty are refused by the run, of what is not left open hardly one in a hundred. Networks lift a load to 1.1 times the resistance
where that is asked for, and seldom to 2.2 times; low drivers heat half to 1.5 times what is worked out here, high ones up to 1.7 times."""
ON_OPEN_BAFFLE_DB = 3.0
"""So much rougher still is what is known of the level on an open baffle, whose sides cancel one another (by the same trial)."""
LEVEL, HIGH_HEAT = 2, 5
"""Places of the level and of the high driver's heat among them."""
LOWER_LOAD, HIGHER_LOAD = 0.95, 1.05
"""So far from the resistance the least load of a network often lies: within that of a class of ratings it may be the other one (by the same trial)."""
LOW_TAKES = 0.5
"""Share of what its resistance alone would take that heats a low driver: its impedance rises on either side (found by trial over the demo)."""
UNBOUND_OCTAVE = float(np.log2(1000.0))
"""Where a pair without bounds is looked at (lg2 of Hz)."""
_OCTAVES: FloatArray = np.linspace(5.0, 15.0, 481)
"""lg2 of the frequencies (Hz) of tables over the crossover, evenly; straight lines between are good to 1e-4 of the whole."""


@dataclass(frozen=True)
class Outlook:
    """What a screen knows of all low drivers (L,) beside their limits, and tables over the crossover, a row a slope.

    `settings` are any pair of the catalogue at each slope; `rated_w` is nan where no power is rated.
    """

    settings: Sequence[Setting]
    resistance_ohm: FloatArray
    rated_w: FloatArray
    sizes: Sizes

    @cached_property
    def _passed(self) -> FloatArray:
        """Share of the programme above each of `_OCTAVES`, a row a slope."""
        programme = self.settings[0].case.practice.programme
        return np.array([programme_share(2.0**_OCTAVES, one.slope, *programme) for one in self.settings])

    @cached_property
    def _rated_ohm(self) -> FloatArray:
        return rated_about_ohm(self.resistance_ohm)

    @cached_property
    def _lost_db(self) -> FloatArray:
        """What the amplifier's level falls by (L,) where a network pulls the load down a class of ratings."""
        case = self.settings[0].case
        bearable = case.practice.lowest_rated_ohm(case.pairing.surroundings)
        lower = np.maximum(rated_about_ohm(LOWER_LOAD * self.resistance_ohm), np.minimum(self._rated_ohm, bearable))
        return np.asarray(10.0 * np.log10(self._rated_ohm / lower))

    @cached_property
    def _gained(self) -> FloatArray:
        """What the amplifier's power rises by (L,), as a ratio, where a network lifts the load into a higher class of ratings."""
        return rated_about_ohm(HIGHER_LOAD * self.resistance_ohm) / self._rated_ohm

    @property
    def _unsure_db(self) -> float:
        """How much rougher the level is known here than in a box."""
        return ON_OPEN_BAFFLE_DB if self.settings[0].case.cabinet.kind == "open baffle" else 0.0

    @cached_property
    def _heating(self) -> FloatArray:
        """Programme watts in each low driver (L,) were there no crossover, as a share of what it is rated; 0 where that is unknown."""
        case = self.settings[0].case
        heating_w = LOW_TAKES * case.pairing.amplifier_power_w * self._rated_ohm / np.maximum(self.resistance_ohm, 1e-3)
        allowance = 10.0 ** (case.practice["low driver heat allowance"] / 10.0)
        return np.asarray(np.nan_to_num(heating_w / self.rated_w / allowance, nan=0.0))

    def told(self, word: IntArray, at: FloatArray, setting: Setting, lows: Lows) -> tuple[IntArray, NDArray[np.int_]]:
        """Verdicts (S, L) of one high driver in `setting` beside all low ones, and which of `FORESEEN` decides (from 1; 0: none).

        `word` are the verdicts of the limits, `at` the crossovers (lg2 of Hz): what the limits refuse is not looked at.
        """
        slope, low = np.nonzero(word != NOT_SUITABLE)
        found, which = word[slope, low], np.zeros(word.shape, dtype=np.int_)
        octave = np.where(np.isfinite(at[slope, low]), at[slope, low], UNBOUND_OCTAVE)
        passed = _between(self._passed, slope, octave)
        high_w = reaching_w(setting, lows.level_db, lows.resistance_ohm)[low] * passed
        gained = self._gained[low]
        found = np.where(_rating_unsure(setting, high_w * gained), np.int8(UNDECIDED), found)
        misses = self._misses(setting, lows, low, octave, 1.0 - passed, high_w)
        doubted, unsure_db = misses.copy(), self._unsure_db
        doubted[LEVEL] += self._lost_db[low] + unsure_db
        misses[LEVEL] -= 10.0 * np.log10(gained) + unsure_db + setting.step_spared_db
        doubted[HIGH_HEAT] = (1.0 + doubted[HIGH_HEAT]) * gained - 1.0
        refused, open_, near = (
            missed > np.array(edge)[:, None]
            for missed, edge in zip((misses, doubted, doubted), zip(*SURE, strict=True), strict=True)
        )
        sure = refused.any(axis=0)
        unsure = open_.any(axis=0) & (found < UNDECIDED) & ~sure
        found = np.where(near.any(axis=0) & (found == SUITABLE), np.int8(CONDITIONS), found)
        found[unsure], found[sure] = UNDECIDED, NOT_SUITABLE
        which[slope, low] = np.where(
            sure, np.argmax(refused, axis=0) + 1, np.where(unsure, np.argmax(open_, axis=0) + 1, 0)
        )
        word = word.copy()
        word[slope, low] = found
        return word, which

    def _misses(
        self,
        setting: Setting,
        lows: Lows,
        low: NDArray[np.intp],
        octave: FloatArray,
        kept: FloatArray,
        high_w: FloatArray,
    ) -> FloatArray:
        """By how much each of `FORESEEN` misses (6, n) for some low drivers (n,), as `SURE` counts it; `kept` is the programme below the crossover."""
        practice, pairing = setting.case.practice, setting.case.pairing
        voiced = (lows.level_db - setting.given_up_db)[low]
        high = setting.high_level_db + self._guide_gain_db(setting, octave + 1.0)
        power_db = 10.0 * np.log10(pairing.amplifier_power_w * self._rated_ohm / 8.0)
        reached = np.minimum(voiced, high) + power_db[low] - 20.0 * np.log10(pairing.distance_m)
        least = practice.least_load_ohm(pairing.surroundings)
        tolerance_m = practice["frame tolerance"] or 1e-3
        shortfall = practice["level shortfall limit"]
        load = 1.0 - self.resistance_ohm / (least * (1.0 - practice["impedance margin"]))
        return np.stack([
            1.0 - self._clearance_m(setting, lows, low) / tolerance_m,
            voiced - high - shortfall,
            pairing.peak_level_db - reached - shortfall,
            load[low],
            self._heating[low] * kept - 1.0,
            high_w / (allowed_power_w(setting) or np.inf) - 1.0,
        ])  # fmt: skip

    def _guide_gain_db(self, setting: Setting, octave: FloatArray) -> FloatArray:
        """What the guide adds at some frequencies (lg2 of Hz)."""
        if setting.guide is None:
            return np.zeros(octave.shape)
        return _between(setting.guide_gain_db(2.0**_OCTAVES)[None], np.zeros(octave.shape, dtype=np.intp), octave)

    def _clearance_m(self, setting: Setting, lows: Lows, low: NDArray[np.intp]) -> FloatArray:
        """Clearance (m) of the tightest place beside some low drivers (n,); infinite where a size is unknown."""
        if setting.high_frame is None or not low.size:
            return np.full(low.shape, np.inf)
        among = np.zeros(lows.spacing_m.size, dtype=np.bool_)
        among[low] = True
        asked, back = np.flatnonzero(among), (np.cumsum(among) - 1)[low]
        sizes = Sizes(
            *(one[asked] for one in (self.sizes.width_m, self.sizes.height_m, self.sizes.cut_m, self.sizes.cone_m))
        )
        found = clearances_m(setting, lows.spacing_m[asked], lows.pitch_m[asked], sizes)
        return np.asarray(np.where(np.isnan(found), np.inf, found)[back])


def _between(table: FloatArray, row: NDArray[np.intp], octave: FloatArray) -> FloatArray:
    """Values (n,) of a table over `_OCTAVES`, of its rows (n,) at frequencies (n,) in lg2 of Hz; its ends go on."""
    place = np.clip((octave - _OCTAVES[0]) / (_OCTAVES[1] - _OCTAVES[0]), 0.0, _OCTAVES.size - 1.000001)
    below = place.astype(np.intp)
    at, beyond = table[row, below], table[row, below + 1]
    return np.asarray(at + (place - below) * (beyond - at))


def _rating_unsure(setting: Setting, high_w: FloatArray) -> NDArray[np.bool_]:
    """True where a rating without its high pass may not be enough for so many watts: the run asks for it there."""
    high, least = setting.case.high, high_allowed_at_least_w(setting.case)
    if least is None or not high.missing("rating_highpass_hz", "rating_order"):
        return np.zeros(high_w.shape, dtype=bool)
    _, open_, _ = SURE[-1]
    return np.asarray(high_w > least * setting.case.pairing.high_count * (1.0 + open_))
