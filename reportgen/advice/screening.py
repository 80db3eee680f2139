"""Every low driver against every high driver, guide, rear and slope at one use, judged by the limits alone.

Knows how candidates are listed and ranked, and what each would take. Refuses to know the rules themselves, the
network and the page.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.air import REFERENCE_PRESSURE_PA
from reportgen.acoustics.heat import programme_share
from reportgen.acoustics.slopes import Slope
from reportgen.acoustics.travel import pressure_from_travel
from reportgen.advice import edges
from reportgen.advice.edges import CONDITIONS, NOT_SUITABLE, SUITABLE, UNDECIDED, WORDS, Edges, FloatArray, id_of
from reportgen.catalogue.records import Case, Catalogue, HighDriver, LowDriver, Pairing, Waveguide
from reportgen.pairing.as_built import AsBuilt
from reportgen.pairing.as_used import Setting, frame_size
from reportgen.pairing.filled_in import low_depth_m
from reportgen.pairing.heat import high_allowed_at_least_w
from reportgen.pairing.response import Model
from reportgen.problems import CannotAssess
from reportgen.suitability import checks
from reportgen.suitability.limits import (
    Lows,
    Rule,
    all_limits,
    allowed_power_w,
    of_scope,
    rated_about_ohm,
    reaching_w,
    title_of,
)
from reportgen.suitability.verdict import Word

SLOPES_TRIED = ("LR2", "BW3", "LR4")
"""Slopes that a kit of few parts can have; the wanted slope is always tried as well."""

OF_THE_KIND = (checks.surroundings, checks.screen, checks.horn_needed)
"""Checks that lean on the high driver and its place alone: a fail rules the driver out whatever its limits."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """The best that one low and one high driver make of the use: Hz, the maker's currency.

    `low_binding` and `high_binding` are ids of limits ("nothing" for an open side). `takes` is what the pair needs
    beyond what was asked, or what stands in its way; empty where it works as asked.
    """

    rank: int
    low_id: str
    high_id: str
    guide_id: str | None
    rear_use: str
    chamber_m3: float | None
    slope: str
    word: Word
    low_hz: float | None
    high_hz: float | None
    low_binding: str
    high_binding: str
    crossover_hz: float | None
    price: float | None
    in_stock: bool
    score: float
    takes: str

    @property
    def octaves(self) -> float | None:
        """Width of the range, negative when it is empty; None when a side is open."""
        return float(np.log2(self.high_hz / self.low_hz)) if self.low_hz and self.high_hz else None

    @property
    def used(self) -> str:
        """How it uses its drivers, in few words: slope, guide, rear."""
        rear = "rear cup off" if self.rear_use == "removed" else ""
        chamber = f"{self.chamber_m3 * 1e6:.0f} mL chamber" if self.chamber_m3 else ""
        return ", ".join(filter(None, (self.slope, self.guide_id and f"in {self.guide_id}", rear, chamber)))

    def pairing(self, use: Pairing) -> Pairing:
        """The pairing that this candidate proposes for `use`."""
        return replace(
            use, low_id=self.low_id, high_id=self.high_id, guide_id=self.guide_id, rear_use=self.rear_use,
            chamber_m3=self.chamber_m3, slope=self.slope,
        )  # fmt: skip


@dataclass(frozen=True)
class Screening:
    """A whole catalogue screened: the best candidates in order of rank, and what became of all pairs.

    `words` counts the pairs by their best verdict. `obstacles` counts those that no option makes suitable by what
    stands in the way: the two limits that leave no range, or the check that rules the driver out.
    """

    candidates: tuple[Candidate, ...]
    pairs: int
    judged: int
    words: tuple[tuple[Word, int], ...]
    obstacles: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Option:
    """One way to use a high driver: in which guide and with which rear."""

    high: HighDriver
    guide: Waveguide | None = None
    rear_use: str = "as supplied"
    chamber_m3: float | None = None

    def applied(self, pairing: Pairing) -> Pairing:
        """`pairing` with this high driver used this way."""
        return replace(
            pairing, high_id=self.high.id, guide_id=self.guide.id if self.guide else None, rear_use=self.rear_use,
            chamber_m3=self.chamber_m3,
        )  # fmt: skip

    def bought(self) -> tuple[HighDriver | Waveguide, ...]:
        """What has to be bought for each high driver."""
        return (self.high, self.guide) if self.guide else (self.high,)


def options_of(high: HighDriver, catalogue: Catalogue) -> tuple[Option, ...]:
    """Every way to use `high`, the plainest first: bare and in each guide that fits, each rear and chamber it allows.

    A horn driver is never listed bare when a horn fits it.
    """
    fitting = tuple(guide for guide in catalogue.waveguides.values() if guide.suits(high))
    needs_horn = catalogue.technologies[high.technology].family == "compression"
    rears: list[tuple[str, float | None]] = [("as supplied", None)]
    if high.rear == "removable":
        rears.append(("removed", None))
    rears += [("as supplied", volume) for volume in high.other_chambers_m3 or ()]
    guides = fitting if needs_horn and fitting else (None, *fitting)
    return tuple(Option(high, guide, *rear) for guide in guides for rear in rears)


def screen(
    catalogue: Catalogue,
    use: Pairing,
    *,
    slopes: Sequence[str] = SLOPES_TRIED,
    low_ids: Iterable[str] | None = None,
    high_ids: Iterable[str] | None = None,
    keep: int | None = 10,
    keep_spacing: bool = False,
) -> Screening:
    """Judge every low driver against every way to use every high driver, in the use that `use` describes.

    `use` gives cabinet, arrangement, counts, windows and level; its own drivers do not matter, and its centre spacing
    only with `keep_spacing` (a baffle that is already cut): else frames touch. The wanted slope is tried beside
    `slopes`. Of every low driver the best `keep` high drivers are listed (None: all), each with its best option. Memory grows with the number of low drivers times `keep`. CannotAssess when nothing can be screened.
    """
    wanted_low = catalogue.low_drivers if low_ids is None else low_ids
    wanted_high = catalogue.high_drivers if high_ids is None else high_ids
    low = [catalogue.low_drivers[key] for key in wanted_low if key in catalogue.low_drivers]
    high = [catalogue.high_drivers[key] for key in wanted_high if key in catalogue.high_drivers]
    if not low or not high or use.cabinet_id not in catalogue.cabinets:
        raise CannotAssess("nothing can be screened: it takes a low driver, a high driver and a cabinet")
    use = use if keep_spacing else replace(use, centre_spacing_m=None)
    base = catalogue.case(replace(use, low_id=low[0].id, high_id=high[0].id, guide_id=None))
    base = replace(base, curves=catalogue.curves, measured_in=catalogue.cabinets)
    bench = _Bench(catalogue, base, tuple(dict.fromkeys((use.slope, *slopes))), tuple(low), tuple(high))
    return bench.run(keep)


FORESEEN = (
    "The frames do not go on the baffle", "The high driver is too quiet", "The level is out of reach", "No amplifier bears the load",
    "The low driver would burn", "The high driver would burn",
)  # fmt: skip
"""What a run refuses and data sheets already tell, in the order in which it is said."""
OPEN = (
    "the frames go on the baffle", "the high driver is loud enough", "the level is reached", "an amplifier bears the load",
    "the low driver burns", "the high driver burns",
)  # fmt: skip
"""The same as a question, where data sheets leave it open."""
SURE = (
    (1.0, 1.0, -1.0),
    (-2.0, -3.5, -4.5),
    (-1.5, -1.5, -2.5),
    (0.0, 0.0, -0.05),
    (0.5, 0.0, -0.35),
    (0.5, -0.55, -0.6),
)
"""How far each of them must miss (mm of frames in tolerances, dB, shares) to be refused, to be left open, and to count as near: what
data sheets tell of levels and heat holds so roughly (found by trial over random catalogues: levels meet 0.6 dB better to 4.1 dB worse,
low drivers heat 0.3 to 1.4 times, high ones 0.4 to 2.2 times what is worked out here)."""
LOW_TAKES = 0.5
"""Share of what its resistance alone would take that heats a low driver: its impedance rises on either side (found by trial over the demo)."""
BASS_HZ = 100.0
"""Down to here a low driver should reach the wanted level by its travel, where candidates are ranked (common practice, no source)."""

_ROW = np.dtype(
    [("option", "i4"), ("slope", "i1"), ("word", "i1"), ("asked", "i1"), ("low_by", "i1"), ("high_by", "i1"), ("refused", "i1"),
     ("low", "f8"), ("high", "f8"), ("crossover", "f8"), ("price", "f8"), ("short", "?"), ("score", "f8")]
)  # fmt: skip
"""What is kept of a pair: numbers of option, slope, verdicts and limits; lg2 of Hz; price, shelf and score."""

Rows = NDArray[np.void]
BLOCK = 64
"""How many high drivers are judged before all but the best are let go."""


@dataclass(frozen=True)
class _Columns:
    """What a screen reads of all low drivers (L,), and their own edges and gaps, one entry a slope."""

    level_db: FloatArray
    width_m: FloatArray
    height_m: FloatArray
    depth_m: FloatArray
    price: FloatArray
    short: NDArray[np.bool_]
    resistance_ohm: FloatArray
    rated_w: FloatArray
    bass_db: FloatArray
    lacking: NDArray[np.bool_]
    edges: tuple[Edges, ...]
    gaps: tuple[NDArray[np.bool_], ...]


@dataclass(frozen=True)
class _Bench:
    """One catalogue at one use; `base` is any of its pairings."""

    catalogue: Catalogue
    base: Case
    slopes: tuple[str, ...]
    lows: tuple[LowDriver, ...]
    highs: tuple[HighDriver, ...]
    _cleared: dict[Any, float] = field(default_factory=dict)
    _shares: dict[str, tuple[FloatArray, FloatArray]] = field(default_factory=dict)

    @cached_property
    def margin(self) -> float:
        """Least distance (octaves) from a limit that passes."""
        return self.base.practice["limit margin"]

    @cached_property
    def columns(self) -> _Columns:
        """The low drivers in columns."""
        cases, count = [replace(self.base, low=low) for low in self.lows], self.base.pairing.low_count
        frames = [frame_size(low.frame_width_m, low.frame_height_m) or (np.nan, np.nan) for low in self.lows]
        width, height = np.array(frames, dtype=np.float64).T
        asked = [
            [edges.of_limits(all_limits(Setting(_sloped(case, slope)), of_scope("low")), self.margin) for case in cases]
            for slope in self.slopes
        ]
        return _Columns(
            np.array([Setting(case).low_level_db for case in cases]), width, height,
            np.array([low_depth_m(low) for low in self.lows]),
            np.array([np.nan if low.price is None else low.price * count for low in self.lows]),
            np.array([low.stock is not None and low.stock < count for low in self.lows]),
            np.array([Setting(case).low_resistance_ohm for case in cases]),
            np.array([np.nan if low.rated_power_w is None else low.rated_power_w * count for low in self.lows]),
            np.array([_bass_db(case) for case in cases]),
            np.array([low.rated_power_w is None or low.peak_travel_m is None for low in self.lows]),
            tuple(edges.stacked([found for found, _ in row]) for row in asked),
            tuple(np.array([bool(missing) for _, missing in row]) for row in asked),
        )  # fmt: skip

    @cached_property
    def usual_price(self) -> float:
        """What a pair of drivers of this catalogue costs, the median; stands in where a price is missing."""
        highs = [high.price * self.base.pairing.high_count for high in self.highs if high.price is not None]
        lows = self.columns.price[np.isfinite(self.columns.price)]
        return max(1e-2, (float(np.median(lows)) if lows.size else 0.0) + (float(np.median(highs)) if highs else 0.0))

    def run(self, keep: int | None) -> Screening:
        """Every high driver in turn, letting go all but the best `keep` of each low driver."""
        options: list[Option] = []
        kept: list[Rows] = []
        found, obstacles = np.zeros(len(WORDS), dtype=int), Counter[str]()
        for high in self.highs:
            best = self._pairs(high, options)
            found += np.bincount(best["word"], minlength=len(WORDS))
            obstacles.update(self._obstacles(best, options))
            kept.append(best[None])
            if keep is not None and len(kept) > BLOCK:
                kept = [_foremost(np.concatenate(kept), keep)]
        rows = np.concatenate(kept)
        rows = rows if keep is None else _foremost(rows, keep)
        pairs = len(self.lows) * len(self.highs)
        return Screening(
            self._candidates(rows, options), pairs, len(options) * len(self.slopes) * len(self.lows),
            tuple(zip(WORDS, found.tolist(), strict=True)), tuple(obstacles.most_common()),
        )  # fmt: skip

    # --- judging ------------------------------------------------------------------------------------------------

    def _pairs(self, high: HighDriver, options: list[Option]) -> Rows:
        """The best row of one high driver beside each low one (L,); what it may be used in joins `options`."""
        start, ways = len(options), options_of(high, self.catalogue)
        options += ways
        rows = np.concatenate([self._rows(option, start + i) for i, option in enumerate(ways)])
        best: Rows = _foremost(rows, 1)[0]
        best["asked"] = rows["word"][0]
        return best

    def _rows(self, option: Option, number: int) -> Rows:
        """One way to use one high driver: (slopes, L) rows."""
        rows = np.zeros((len(self.slopes), len(self.lows)), dtype=_ROW)
        rows["option"], rows["slope"] = number, np.arange(len(self.slopes))[:, None]
        case = self._case(option)
        ruled_out, gap = _of_the_kind(case)
        for index, slope in enumerate(self.slopes):
            self._judge(rows[index], Setting(_sloped(case, slope)), index, bool(gap))
        if ruled_out:
            rows["word"] = NOT_SUITABLE
        rows["price"] = self._price(option)
        rows["short"] = self.columns.short | self._short(option)
        rows["score"] = self._score(rows)
        return rows

    def _case(self, option: Option) -> Case:
        technology = self.catalogue.technologies[option.high.technology]
        return replace(
            self.base, high=option.high, guide=option.guide, technology=technology,
            pairing=option.applied(self.base.pairing),
        )  # fmt: skip

    def _judge(self, row: Rows, setting: Setting, slope: int, gap: bool) -> None:
        """Fill range, crossover and verdict of one high driver in one setting beside every low one."""
        columns, pairing = self.columns, setting.case.pairing
        own, missing = edges.of_limits(all_limits(setting, of_scope("high")), self.margin)
        touching = setting.touching_m(columns.width_m, columns.height_m)
        spacing = touching if pairing.centre_spacing_m is None else np.full(row.shape, pairing.centre_spacing_m)
        both, unknown = own.beside_many().joined(columns.edges[slope]), columns.gaps[slope] | gap | bool(missing)
        lows = Lows(
            columns.level_db,
            columns.resistance_ohm,
            spacing,
            columns.height_m + self.base.practice["gap between frames"],
            columns.depth_m,
        )
        for rule in of_scope("both"):
            found, without = self._of_both(rule, setting, lows)
            both, unknown = both.joined(found), unknown | without
        at = edges.crossover(both, pairing.crossover_hz, self.margin)
        unknown = unknown | columns.lacking | self._high_lacks(setting) | self._rating_unsure(setting, at)
        row["word"] = edges.words(both, at, unknown)
        self._foresee(row, setting, at, spacing)
        row["low"], row["high"], row["crossover"] = both.bound[0], -both.bound[1], at
        row["low_by"], row["high_by"] = both.by

    def _high_lacks(self, setting: Setting) -> bool:
        """True where the run will miss the high driver's rating, or the travel of one whose kind states it."""
        high, stated = setting.case.high, setting.case.technology.travel_stated
        return high.rated_power_w is None or (stated and high.peak_travel_m is None)

    def _high_w(self, setting: Setting, at: FloatArray) -> FloatArray:
        """Programme watts in all high drivers beside every low one (L,), crossed at `at` (lg2 of Hz)."""
        columns, hz = self.columns, np.where(np.isfinite(at), 2.0**at, 1000.0)
        reaching = reaching_w(setting, columns.level_db, columns.resistance_ohm)
        return reaching * programme_share(hz, setting.slope, *self.base.practice.programme)

    def _rating_unsure(self, setting: Setting, at: FloatArray) -> NDArray[np.bool_]:
        """True where a rating without its high pass may not be enough (L,): the run asks for it there."""
        high, count = setting.case.high, setting.case.pairing.high_count
        least = high_allowed_at_least_w(setting.case)
        if least is None or not high.missing("rating_highpass_hz", "rating_order"):
            return np.zeros(at.shape, dtype=bool)
        _, open_, _ = SURE[-1]
        return np.asarray(self._high_w(setting, at) > least * count * (1.0 + open_))

    def _foresee(self, row: Rows, setting: Setting, at: FloatArray, spacing: FloatArray) -> None:
        """Refuse, leave open or count as near what the run will for frames, level, load and heat, as far as data sheets tell (see `FORESEEN`)."""
        columns, practice, pairing = self.columns, self.base.practice, setting.case.pairing
        hz = np.where(np.isfinite(at), 2.0**at, 1000.0)
        voiced = columns.level_db - setting.given_up_db
        high = setting.high_level_db + np.interp(np.log2(2.0 * hz), *self._gain(setting))
        rated_ohm = rated_about_ohm(columns.resistance_ohm)
        power_db = 10.0 * np.log10(pairing.amplifier_power_w * rated_ohm / 8.0)
        reached = np.minimum(voiced, high) + power_db - 20.0 * np.log10(pairing.distance_m)
        shares = np.interp(np.log2(hz), *self._low_shares(setting.slope))
        heating_w = (
            LOW_TAKES * pairing.amplifier_power_w * shares * rated_ohm / np.maximum(columns.resistance_ohm, 1e-3)
        )
        least = practice["rated impedance share"] * practice["lowest rated impedance"]
        tolerance_m = practice["frame tolerance"] or 1e-3
        misses = np.stack([
            1.0 - self._clearance_m(setting, row["word"] != NOT_SUITABLE, spacing) / tolerance_m,
            voiced - high - practice["level shortfall limit"],
            pairing.peak_level_db - reached - practice["level shortfall limit"],
            1.0 - columns.resistance_ohm / (least * (1.0 - practice["impedance margin"])),
            np.nan_to_num(heating_w / columns.rated_w / 10.0 ** (practice["low driver heat allowance"] / 10.0), nan=0.0) - 1.0,
            self._high_w(setting, at) / (allowed_power_w(setting) or np.inf) - 1.0,
        ])  # fmt: skip
        refused, open_, near = (misses > np.array(edge)[:, None] for edge in zip(*SURE, strict=True))
        ticked = (row["word"] == SUITABLE) | (row["word"] == CONDITIONS)
        sure = refused.any(axis=0) & (row["word"] != NOT_SUITABLE)
        unsure = open_.any(axis=0) & ticked & ~sure
        row["refused"] = np.select([sure, unsure], [np.argmax(refused, axis=0) + 1, np.argmax(open_, axis=0) + 1], 0)
        row["word"] = np.where(near.any(axis=0) & (row["word"] == SUITABLE), CONDITIONS, row["word"])
        row["word"] = np.select([sure, unsure], [NOT_SUITABLE, UNDECIDED], row["word"])

    def _gain(self, setting: Setting) -> tuple[FloatArray, FloatArray]:
        """lg2 of Hz and what the guide adds there (dB)."""
        octaves = np.linspace(8.0, 15.0, 29)
        if setting.guide is None:
            return octaves, np.zeros(29)
        return octaves, np.asarray(setting.guide_gain_db(2.0**octaves))

    def _low_shares(self, slope: Slope) -> tuple[FloatArray, FloatArray]:
        """lg2 of a crossover (Hz) and the share of the programme that stays below it."""
        if slope.name not in self._shares:
            octaves = np.linspace(5.0, 15.0, 61)
            self._shares[slope.name] = (
                octaves,
                1.0 - programme_share(2.0**octaves, slope, *self.base.practice.programme),
            )
        return self._shares[slope.name]

    def _clearance_m(self, setting: Setting, wanted: NDArray[np.bool_], spacing: FloatArray) -> FloatArray:
        """Clearance (m) of the tightest place of one high driver beside every low one (L,), in whole millimetres of frame; infinite where it is not asked."""
        case, found = setting.case, np.full(len(self.lows), np.inf)
        for index in np.flatnonzero(wanted & np.isfinite(spacing)):
            low = self.lows[index]
            if low.frame_width_m is None or setting.high_frame is None:
                continue
            size = tuple(
                None if one is None else round(one, 3) for one in (low.frame_width_m, low.frame_height_m, low.cutout_m)
            )
            key = (setting.high_frame, case.high.cutout_width_m, case.high.cutout_height_m, case.high.height_m, case.guide and case.guide.id, size,
                   round(low.diaphragm_area_m2, 3))  # fmt: skip
            if key not in self._cleared:
                self._cleared[key] = checks.clearance_m(Setting(replace(case, low=low)))
            found[index] = self._cleared[key]
        return found

    def _of_both(self, rule: Rule, setting: Setting, lows: Lows) -> tuple[Edges, NDArray[np.bool_]]:
        """What a rule of both drivers bounds beside every low one, and where an essential datum is missing for it (L,)."""
        if rule.beside is not None:
            hz = rule.beside(setting, lows)
            return edges.of_one_rule(rule, hz, self.margin), np.isnan(hz) & rule.essential
        each = [
            edges.of_limits(all_limits(Setting(replace(setting.case, low=low)), (rule,)), self.margin)
            for low in self.lows
        ]
        return edges.stacked([found for found, _ in each]), np.array([bool(missing) for _, missing in each])

    def _price(self, option: Option) -> FloatArray:
        prices = [np.nan if one.price is None else one.price for one in option.bought()]
        return np.asarray(self.columns.price + sum(prices) * self.base.pairing.high_count)

    def _short(self, option: Option) -> bool:
        count = self.base.pairing.high_count
        return any(one.stock is not None and one.stock < count for one in option.bought())

    def _score(self, rows: Rows) -> FloatArray:
        """Octaves of range less price (in doublings) and empty shelves, weighted as the Practice sheet says."""
        practice = self.base.practice
        bounded = np.isfinite(rows["low"]) & np.isfinite(rows["high"])
        octaves = np.where(bounded, rows["high"] - np.where(bounded, rows["low"], 0.0), 0.0)
        doublings = np.log2(np.maximum(np.nan_to_num(rows["price"] / self.usual_price, nan=1.0), 1e-3))
        score = practice["rank weight width"] * octaves - practice["rank weight price"] * doublings
        short_db = np.maximum(self.base.pairing.peak_level_db - self.columns.bass_db, 0.0)
        score = score - practice["rank weight bass"] * short_db / 6.0
        return np.asarray(score - practice["rank weight stock"] * rows["short"])

    # --- listing ------------------------------------------------------------------------------------------------

    def _obstacles(self, best: Rows, options: Sequence[Option]) -> Counter[str]:
        """What stands in the way of the pairs that are not suitable, and how often."""
        failed = best[best["word"] == NOT_SUITABLE]
        counts: Counter[str] = Counter()
        for option in np.unique(failed["option"]):
            rows = failed[failed["option"] == option]
            if _of_the_kind(self._case(options[option]))[0]:
                counts["The kind of driver is ruled out"] += rows.size
                continue
            for number, reason in enumerate(FORESEEN, start=1):
                counts[reason] += int(np.count_nonzero(rows["refused"] == number))
            rows = rows[rows["refused"] == 0]
            empty = rows["low"] > rows["high"]
            counts["The wanted crossover lies outside the range"] += int(np.count_nonzero(~empty))
            codes, times = np.unique(rows[empty][["low_by", "high_by"]], return_counts=True)
            for (low_by, high_by), count in zip(codes, times, strict=True):
                counts[f"{title_of(id_of(low_by))} lies above {title_of(id_of(high_by)).lower()}"] += int(count)
        return +counts

    def _candidates(self, rows: Rows, options: Sequence[Option]) -> tuple[Candidate, ...]:
        """All kept rows (n, L) as candidates, best first."""
        where = np.broadcast_to(np.arange(len(self.lows)), rows.shape).ravel()
        flat = rows.ravel()
        order = np.lexsort((flat["option"], where, -flat["score"], flat["word"]))
        return tuple(
            self._candidate(rank, flat[index], self.lows[where[index]], options)
            for rank, index in enumerate(order, start=1)
        )

    def _candidate(self, rank: int, row: Any, low: LowDriver, options: Sequence[Option]) -> Candidate:
        option, slope = options[row["option"]], self.slopes[row["slope"]]
        low_hz, high_hz, at = (
            float(2.0**value) if np.isfinite(value) else None for value in (row["low"], row["high"], row["crossover"])
        )
        found = Candidate(
            rank, low.id, option.high.id, option.guide.id if option.guide else None, option.rear_use, option.chamber_m3,
            slope, WORDS[row["word"]], low_hz, high_hz, id_of(row["low_by"]), id_of(row["high_by"]), at,
            float(row["price"]) if np.isfinite(row["price"]) else None, not row["short"], float(row["score"]), "",
        )  # fmt: skip
        return replace(found, takes=self._takes(found, row, low, option))

    def _takes(self, found: Candidate, row: Any, low: LowDriver, option: Option) -> str:
        """What it needs beyond what was asked, or what stands in the way."""
        if row["word"] == NOT_SUITABLE:
            refused = f"{FORESEEN[row['refused'] - 1]}." if row["refused"] else ""
            return _of_the_kind(self._case(option))[0] or refused or _shortfall(found)
        if row["word"] == UNDECIDED and not row["refused"]:
            case = replace(_sloped(self._case(option), found.slope), low=low)
            gaps = [text for limit in all_limits(Setting(case)) if limit.essential for text in limit.missing]
            return f"Missing: {'; '.join(dict.fromkeys((*gaps, *_of_the_kind(case)[1])))}."
        changes = [f"slope {found.slope}"] if found.slope != self.slopes[0] else []
        changes += [f"waveguide {found.guide_id}"] if found.guide_id else []
        changes += ["rear cup taken off"] if found.rear_use == "removed" else []
        changes += [f"rear chamber of {found.chamber_m3 * 1e6:.0f} mL"] if found.chamber_m3 else []
        told = [f"Takes: {', '.join(changes)}."] if changes and row["asked"] > row["word"] else []
        told += [f"A run must tell whether {OPEN[row['refused'] - 1]}."] if row["refused"] else []
        return " ".join(told)


def _shortfall(found: Candidate) -> str:
    """By how much the limits miss a range or the fixed crossover."""
    octaves, low, high = found.octaves, found.low_hz or 0.0, found.high_hz or np.inf
    if octaves is not None and octaves < 0.0:
        return (
            f"{-octaves:.2f} octave short: {title_of(found.low_binding).lower()} asks for {low:.0f} Hz or more,"
            f" {title_of(found.high_binding).lower()} for {high:.0f} Hz or less."
        )
    return f"The crossover of {found.crossover_hz:.0f} Hz lies outside {low:.0f} to {high:.0f} Hz."


def _of_the_kind(case: Case) -> tuple[str, tuple[str, ...]]:
    """Why the high driver cannot be used here at all (empty when it can), and what is missing to know."""
    asked = checks.all_checks(AsBuilt(Model(Setting(case)), crossover_hz=1.0), (), OF_THE_KIND)
    ruled_out = next((check.text for check in asked if check.outcome == "fail"), "")
    return ruled_out, tuple(text for check in asked if check.essential for text in check.missing)


def _bass_db(case: Case) -> float:
    """The level (dB) at the seat that all low drivers reach by their travel at `BASS_HZ`; infinite where it is not stated."""
    low, pairing = case.low, case.pairing
    if low.peak_travel_m is None:
        return float("inf")
    area, air = low.diaphragm_area_m2 * pairing.low_count, Setting(case).air
    pressure = pressure_from_travel(low.peak_travel_m, area, BASS_HZ, pairing.distance_m, air)
    return float(20.0 * np.log10(pressure / REFERENCE_PRESSURE_PA))


def _sloped(case: Case, slope: str) -> Case:
    return replace(case, pairing=replace(case.pairing, slope=slope))


def _foremost(rows: Rows, count: int) -> Rows:
    """The best `count` rows of each column of (n, L): the verdict first, then the score."""
    order = np.argsort(rows["word"] * 1e6 - rows["score"], axis=0, kind="stable")
    return np.take_along_axis(rows, order[:count], axis=0)
