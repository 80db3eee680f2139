"""Every low driver against every high driver, guide, rear and slope at one use, judged by the limits alone.

Knows how candidates are listed and ranked, and what each would take. Refuses to know the rules themselves, the
network and the page.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.air import REFERENCE_PRESSURE_PA
from reportgen.acoustics.travel import pressure_from_travel
from reportgen.advice import edges
from reportgen.advice.edges import CONDITIONS, NOT_SUITABLE, UNDECIDED, WORDS, Edges, FloatArray, Missing, id_of
from reportgen.advice.refusals import FORESEEN, OPEN, UNHEARD, Outlook
from reportgen.catalogue.records import Case, Catalogue, HighDriver, LowDriver, Pairing, Waveguide
from reportgen.pairing.as_built import AsBuilt
from reportgen.pairing.as_used import Setting, frame_size
from reportgen.pairing.filled_in import low_depth_m
from reportgen.pairing.frames import Sizes
from reportgen.pairing.response import Model
from reportgen.problems import CannotAssess
from reportgen.suitability import checks
from reportgen.suitability.checks import Outcome
from reportgen.suitability.limits import LIMITS, Lows, Rule, all_limits, of_scope, title_of
from reportgen.suitability.verdict import Word

SLOPES_TRIED = ("LR2", "BW3", "LR4")
"""Slopes that a kit of few parts can have; the wanted slope is always tried as well."""

OF_THE_KIND = (checks.surroundings, checks.screen, checks.horn_needed)
"""Checks that lean on the high driver and its place alone: a fail rules the driver out whatever its limits."""
ON_AXIS = 1.5
"""Half the turn of phase (rad) over a source, at the top of the band, up to which the seat counts as before it: a line loses 3.5 dB there."""


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

    `matrix` has all pairs where all were kept.

    `words` counts the pairs by their best verdict. `obstacles` counts those that no option makes suitable by what
    stands in the way: the two limits that leave no range, or the check that rules the driver out.
    """

    candidates: tuple[Candidate, ...]
    pairs: int
    judged: int
    words: tuple[tuple[Word, int], ...]
    obstacles: tuple[tuple[str, int], ...]
    matrix: Matrix | None = None


@dataclass(frozen=True)
class Matrix:
    """Every pair of a screening in a few figures (L, H): number of its verdict in `edges.WORDS`, width of its range in octaves
    (nan where a side is open) and price (nan where it is not stated).

    Low and high drivers stand in the order in which they first appear among the ranks.
    """

    low_ids: tuple[str, ...]
    high_ids: tuple[str, ...]
    words: NDArray[np.int8]
    octaves: FloatArray
    prices: FloatArray


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
    listed: int | None = None,
    keep_spacing: bool = False,
) -> Screening:
    """Judge every low driver against every way to use every high driver, in the use that `use` describes.

    `use` gives cabinet, arrangement, counts, windows and level; its own drivers do not matter, and its centre spacing
    only with `keep_spacing` (a baffle that is already cut): else frames touch. The wanted slope is tried beside
    `slopes`. Of every low driver the best `keep` high drivers are listed (None: all), each with its best option, and of all these the best `listed`. Memory grows with the number of low drivers times `keep`. CannotAssess when nothing can be screened.
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
    return bench.run(keep, listed)


BASS_HZ = 100.0
"""Down to here a low driver should reach the wanted level by its travel, where candidates are ranked (common practice, no source)."""

_ROW = np.dtype(
    [("option", "i4"), ("slope", "i1"), ("word", "i1"), ("asked", "i1"), ("low_by", "i1"), ("high_by", "i1"), ("refused", "i1"),
     ("low", "f8"), ("high", "f8"), ("crossover", "f8"), ("price", "f8"), ("short", "?"), ("gap", "?"), ("score", "f8")]
)  # fmt: skip
"""What is kept of a pair: numbers of option, slope, verdicts and limits; lg2 of Hz; price, shelf, whether a rule of both drivers lacks a datum, and score."""

Rows = NDArray[np.void]
BLOCK = 64
"""How many high drivers are judged before all but the best are let go."""

OF_THE_RATING = ("rating_highpass_hz", "rating_order")
"""Without these nobody knows what a rated power of a high driver holds for."""
OWN_CHAMBER_OCTAVES = 0.5
"""A high driver without its rear cup needs a chamber built for it: so much more range it must win by that (common practice, no source)."""


@dataclass(frozen=True)
class _Columns:
    """What a screen reads of all low drivers (L,), and their own edges and gaps, a row a slope (S, L)."""

    level_db: FloatArray
    width_m: FloatArray
    height_m: FloatArray
    depth_m: FloatArray
    price: FloatArray
    short: NDArray[np.bool_]
    bass_db: FloatArray
    lacking: NDArray[np.bool_]
    edges: Edges
    missing: tuple[tuple[Missing, ...], ...]
    outlook: Outlook

    @cached_property
    def gaps(self) -> NDArray[np.bool_]:
        """Where essential data of a low driver are missing (S, L)."""
        return np.array([[bool(found) for found in row] for row in self.missing])


@dataclass(frozen=True, slots=True)
class _Way:
    """One way to use a high driver: what rules it out whatever its limits, and what is missing for its kind and at each slope."""

    option: Option
    ruled_out: str
    lacking: tuple[str, ...]
    missing: tuple[Missing, ...]


@dataclass
class _Tally:
    """What became of all pairs so far: their verdicts, and what stands in the way of those that are not suitable."""

    words: NDArray[np.int_] = field(default_factory=lambda: np.zeros(len(WORDS), dtype=np.int_))
    kinds: int = 0
    refused: NDArray[np.int_] = field(default_factory=lambda: np.zeros(len(FORESEEN) + 1, dtype=np.int_))
    outside: int = 0
    crossed: NDArray[np.int_] = field(default_factory=lambda: np.zeros((len(LIMITS) + 1) ** 2, dtype=np.int_))

    def add(self, best: Rows, ways: Sequence[_Way]) -> None:
        """Count the best rows of some pairs."""
        self.words += np.bincount(best["word"], minlength=len(WORDS))
        failed = best[best["word"] == NOT_SUITABLE]
        kind = np.array([bool(way.ruled_out) for way in ways])[failed["option"]]
        self.kinds += int(np.count_nonzero(kind))
        failed = failed[~kind]
        self.refused += np.bincount(failed["refused"], minlength=self.refused.size)
        failed = failed[failed["refused"] == 0]
        empty = failed["low"] > failed["high"]
        self.outside += int(np.count_nonzero(~empty))
        pair = failed["low_by"][empty].astype(np.intp) * (len(LIMITS) + 1) + failed["high_by"][empty]
        self.crossed += np.bincount(pair, minlength=self.crossed.size)

    def obstacles(self) -> tuple[tuple[str, int], ...]:
        """What stands in the way and how often, most often first."""
        counts = Counter({"The kind of driver is ruled out": self.kinds})
        counts.update(dict(zip(FORESEEN, self.refused[1:].tolist(), strict=True)))
        counts["The wanted crossover lies outside the range"] += self.outside
        for pair in np.flatnonzero(self.crossed):
            low, high = (title_of(id_of(number)) for number in divmod(int(pair), len(LIMITS) + 1))
            counts[f"{low} lies above {high.lower()}"] += int(self.crossed[pair])
        return tuple((+counts).most_common())


@dataclass(frozen=True)
class _Bench:
    """One catalogue at one use; `base` is any of its pairings."""

    catalogue: Catalogue
    base: Case
    slopes: tuple[str, ...]
    lows: tuple[LowDriver, ...]
    highs: tuple[HighDriver, ...]

    @cached_property
    def margin(self) -> float:
        """Least distance (octaves) from a limit that passes."""
        return self.base.practice["limit margin"]

    @cached_property
    def columns(self) -> _Columns:
        """The low drivers in columns."""
        settings, count = [Setting(replace(self.base, low=low)) for low in self.lows], self.base.pairing.low_count
        frames = [frame_size(low.frame_width_m, low.frame_height_m) or (np.nan, np.nan) for low in self.lows]
        width, height = np.array(frames, dtype=np.float64).T
        own = [
            [edges.of_limits(all_limits(Setting(_sloped(one.case, slope)), of_scope("low")), self.margin) for one in settings]
            for slope in self.slopes
        ]  # fmt: skip
        sizes = Sizes(
            width, height, _figures(low.cutout_m for low in self.lows), np.array([one.low_radiator.width_m for one in settings])
        )  # fmt: skip
        return _Columns(
            np.array([one.low_level_db for one in settings]), width, height,
            np.array([low_depth_m(low) for low in self.lows]), _figures(low.price for low in self.lows) * count,
            np.array([low.stock is not None and low.stock < count * self.base.practice.loudspeakers_a_kit for low in self.lows]),
            np.array([_bass_db(one) for one in settings]),
            np.array([low.rated_power_w is None or low.peak_travel_m is None for low in self.lows]),
            edges.stacked([found for row in own for found, _ in row]).shaped(len(self.slopes), len(self.lows)),
            tuple(tuple(missing for _, missing in row) for row in own),
            Outlook(
                [Setting(_sloped(self.base, slope)) for slope in self.slopes],
                np.array([one.low_resistance_ohm for one in settings]),
                _figures(low.rated_power_w for low in self.lows) * count, sizes,
            ),
        )  # fmt: skip

    @cached_property
    def usual_price(self) -> float:
        """What a pair of drivers of this catalogue costs, the median; stands in where a price is missing."""
        highs = [high.price * self.base.pairing.high_count for high in self.highs if high.price is not None]
        lows = self.columns.price[np.isfinite(self.columns.price)]
        return max(1e-2, (float(np.median(lows)) if lows.size else 0.0) + (float(np.median(highs)) if highs else 0.0))

    def run(self, keep: int | None, listed: int | None) -> Screening:
        """Every high driver in turn, letting go all but the best `keep` of each low driver."""
        ways: list[_Way] = []
        kept: list[Rows] = []
        tally = _Tally()
        for high in self.highs:
            best = self._best(high, ways)
            tally.add(best, ways)
            kept.append(best[None])
            if keep is not None and len(kept) > BLOCK:
                kept = [_foremost(np.concatenate(kept), keep)]
        rows = np.concatenate(kept)
        rows = rows if keep is None else _foremost(rows, keep)
        order = _order(rows)
        return Screening(
            self._candidates(rows, order[:listed], ways), len(self.lows) * len(self.highs),
            len(ways) * len(self.slopes) * len(self.lows), tuple(zip(WORDS, tally.words.tolist(), strict=True)),
            tally.obstacles(), self._matrix(rows, order) if keep is None else None,
        )  # fmt: skip

    # --- judging ------------------------------------------------------------------------------------------------

    def _best(self, high: HighDriver, ways: list[_Way]) -> Rows:
        """The best row of one high driver beside each low one (L,); how it may be used joins `ways`."""
        rows = np.concatenate([self._rows(option, ways) for option in options_of(high, self.catalogue)])
        best: Rows = rows[np.argmin(_worth(rows), axis=0), np.arange(len(self.lows))]
        best["asked"] = rows["word"][0]
        return best

    def _rows(self, option: Option, ways: list[_Way]) -> Rows:
        """One way to use one high driver, which joins `ways`: (slopes, L) rows."""
        case = self._case(option)
        settings = [Setting(_sloped(case, slope)) for slope in self.slopes]
        own = [edges.of_limits(all_limits(setting, of_scope("high")), self.margin) for setting in settings]
        ruled_out, lacking = _of_the_kind(settings[0])
        rows = np.zeros((len(self.slopes), len(self.lows)), dtype=_ROW)
        rows["option"], rows["slope"] = len(ways), np.arange(len(self.slopes))[:, None]
        ways.append(_Way(option, ruled_out, lacking, tuple(missing for _, missing in own)))
        self._judge(rows, settings, edges.stacked([found for found, _ in own]), ways[-1])
        rows["price"] = self._price(option)
        rows["short"] = self.columns.short | self._short(option)
        own_chamber = option.rear_use == "removed" and self.base.cabinet.kind != "open baffle"
        rows["score"] = self._score(rows) - OWN_CHAMBER_OCTAVES * own_chamber
        return rows

    def _case(self, option: Option) -> Case:
        technology = self.catalogue.technologies[option.high.technology]
        return replace(
            self.base, high=option.high, guide=option.guide, technology=technology,
            pairing=option.applied(self.base.pairing),
        )  # fmt: skip

    def _judge(self, rows: Rows, settings: Sequence[Setting], own: Edges, way: _Way) -> None:
        """Fill range, crossover and verdict of one high driver at each slope beside every low one (S, L)."""
        columns, lows = self.columns, self._beside(settings[0])
        both = own.shaped(len(settings), 1).joined(columns.edges)
        unknown = columns.gaps | columns.lacking | np.array([[bool(found)] for found in way.missing])
        unknown |= bool(way.lacking) or _high_lacks(settings[0])
        for rule in of_scope("both"):
            found, without = self._of_both(rule, settings, lows)
            both, rows["gap"] = both.joined(found), rows["gap"] | without
        unknown = unknown | rows["gap"]
        at = edges.crossover(both, self.base.pairing.crossover_hz, self.margin)
        word = edges.words(both, at, unknown) if not way.ruled_out else np.full(at.shape, NOT_SUITABLE, dtype=np.int8)
        rows["word"], rows["refused"] = columns.outlook.told(word, at, settings[0], lows)
        if (heard := _at_the_seat(settings[0])) != "pass":
            if heard == "fail":
                rows["refused"][rows["word"] < NOT_SUITABLE] = FORESEEN.index(UNHEARD) + 1
            rows["word"] = np.maximum(rows["word"], np.int8(NOT_SUITABLE if heard == "fail" else CONDITIONS))
        rows["low"], rows["high"], rows["crossover"] = both.bound[0], -both.bound[1], at
        rows["low_by"], rows["high_by"] = both.by

    def _beside(self, setting: Setting) -> Lows:
        """The low drivers as they stand beside one high one."""
        columns, given = self.columns, setting.case.pairing.centre_spacing_m
        touching = setting.touching_m(columns.width_m, columns.height_m)
        spacing = touching if given is None else np.full(touching.shape, given)
        pitch = columns.height_m + self.base.practice["gap between frames"]
        return Lows(columns.level_db, columns.outlook.resistance_ohm, spacing, pitch, columns.depth_m)

    def _of_both(self, rule: Rule, settings: Sequence[Setting], lows: Lows) -> tuple[Edges, NDArray[np.bool_]]:
        """What a rule of both drivers bounds at each slope beside every low one, and where an essential datum is missing for it (S, L)."""
        if rule.beside is not None:
            hz = rule.beside(settings, lows)
            return edges.of_one_rule(rule, hz, self.margin), np.isnan(hz) & rule.essential
        each = [
            edges.of_limits(all_limits(Setting(replace(setting.case, low=low)), (rule,)), self.margin)
            for setting in settings
            for low in self.lows
        ]
        shape = len(settings), len(self.lows)
        missing = np.array([bool(missing) for _, missing in each]).reshape(shape)
        return edges.stacked([found for found, _ in each]).shaped(*shape), missing

    def _price(self, option: Option) -> FloatArray:
        return np.asarray(
            self.columns.price + _figures(one.price for one in option.bought()).sum() * self.base.pairing.high_count
        )

    def _short(self, option: Option) -> bool:
        count = self.base.pairing.high_count * self.base.practice.loudspeakers_a_kit
        return any(one.stock is not None and one.stock < count for one in option.bought())

    def _score(self, rows: Rows) -> FloatArray:
        """Octaves of range less price (in doublings) and empty shelves, weighted as the Practice sheet says."""
        practice = self.base.practice
        bounded = np.isfinite(rows["low"]) & np.isfinite(rows["high"])
        octaves = np.where(bounded, rows["high"] - np.where(bounded, rows["low"], 0.0), 0.0)
        price, short = rows["price"][0], rows["short"][0]  # the same at every slope
        doublings = np.log2(np.maximum(np.nan_to_num(price / self.usual_price, nan=1.0), 1e-3))
        quiet_db = np.maximum(self.base.pairing.peak_level_db - self.columns.bass_db, 0.0)
        taken = practice["rank weight price"] * doublings + practice["rank weight bass"] * quiet_db / 6.0
        return np.asarray(practice["rank weight width"] * octaves - taken - practice["rank weight stock"] * short)

    # --- listing ------------------------------------------------------------------------------------------------

    def _matrix(self, rows: Rows, order: NDArray[np.intp]) -> Matrix:
        """Every pair (H, L) in a few figures; `order` is that of their ranks."""
        by_high, by_low = (list(dict.fromkeys(one.tolist())) for one in np.unravel_index(order, rows.shape))
        with np.errstate(invalid="ignore"):
            octaves = np.where(np.isfinite(rows["high"] - rows["low"]), rows["high"] - rows["low"], np.nan)
        return Matrix(
            tuple(self.lows[one].id for one in by_low), tuple(self.highs[one].id for one in by_high),
            *(one.T[np.ix_(by_low, by_high)] for one in (rows["word"], octaves, rows["price"])),
        )  # fmt: skip

    def _candidates(self, rows: Rows, order: NDArray[np.intp], ways: Sequence[_Way]) -> tuple[Candidate, ...]:
        """Those of the kept rows (n, L) that `order` names, as candidates."""
        flat, count = rows.ravel(), len(self.lows)
        return tuple(
            self._candidate(rank, flat[index], index % count, ways)
            for rank, index in enumerate(order.tolist(), start=1)
        )

    def _candidate(self, rank: int, row: Any, low: int, ways: Sequence[_Way]) -> Candidate:
        option, slope = ways[row["option"]].option, self.slopes[row["slope"]]
        low_hz, high_hz, at = (
            float(2.0**value) if np.isfinite(value) else None for value in (row["low"], row["high"], row["crossover"])
        )
        found = Candidate(
            rank, self.lows[low].id, option.high.id, option.guide.id if option.guide else None, option.rear_use, option.chamber_m3,
            slope, WORDS[row["word"]], low_hz, high_hz, id_of(row["low_by"]), id_of(row["high_by"]), at,
            float(row["price"]) if np.isfinite(row["price"]) else None, not row["short"], float(row["score"]), "",
        )  # fmt: skip
        return replace(found, takes=self._takes(found, row, low, ways[row["option"]]))

    def _takes(self, found: Candidate, row: Any, low: int, way: _Way) -> str:
        """What it needs beyond what was asked, or what stands in the way."""
        if row["word"] == NOT_SUITABLE:
            refused = f"{FORESEEN[row['refused'] - 1]}." if row["refused"] else ""
            return way.ruled_out or refused or _shortfall(found)
        if row["word"] == UNDECIDED and not row["refused"]:
            missing = dict.fromkeys(self._missing(row, low, way)) or way.option.high.missing(*OF_THE_RATING)
            return f"Missing: {'; '.join(missing)}."
        changes = [f"slope {found.slope}"] if found.slope != self.slopes[0] else []
        changes += [f"waveguide {found.guide_id}"] if found.guide_id else []
        changes += ["rear cup taken off"] if found.rear_use == "removed" else []
        changes += [f"rear chamber of {found.chamber_m3 * 1e6:.0f} mL"] if found.chamber_m3 else []
        told = [f"Takes: {', '.join(changes)}."] if changes and row["asked"] > row["word"] else []
        told += [f"A run must tell whether {OPEN[row['refused'] - 1]}."] if row["refused"] else []
        return " ".join(told)

    def _missing(self, row: Any, low: int, way: _Way) -> Iterator[str]:
        """The essential data that one pair misses, in the order of the limits, then what is missing to know its kind."""
        slope, both = int(row["slope"]), Missing()
        if row["gap"]:
            case = replace(_sloped(self._case(way.option), self.slopes[slope]), low=self.lows[low])
            _, both = edges.of_limits(all_limits(Setting(case), of_scope("both")), self.margin)
        for _, text in sorted((*self.columns.missing[slope][low], *way.missing[slope], *both), key=lambda one: one[0]):
            yield text
        yield from way.lacking


def _figures(cells: Iterable[float | None]) -> FloatArray:
    """Cells as an array, nan for an empty one."""
    return np.array([np.nan if one is None else one for one in cells], dtype=np.float64)


def _high_lacks(setting: Setting) -> bool:
    """True where the run will miss the high driver's rating, or the travel of one whose kind states it."""
    high, stated = setting.case.high, setting.case.technology.travel_stated
    return high.rated_power_w is None or (stated and high.peak_travel_m is None)


def _shortfall(found: Candidate) -> str:
    """By how much the limits miss a range or the fixed crossover."""
    octaves, low, high = found.octaves, found.low_hz or 0.0, found.high_hz or np.inf
    if octaves is not None and octaves < 0.0:
        return (
            f"{-octaves:.2f} octave short: {title_of(found.low_binding).lower()} asks for {low:.0f} Hz or more,"
            f" {title_of(found.high_binding).lower()} for {high:.0f} Hz or less."
        )
    return f"The crossover of {found.crossover_hz:.0f} Hz lies outside {low:.0f} to {high:.0f} Hz."


def _of_the_kind(setting: Setting) -> tuple[str, tuple[str, ...]]:
    """Why the high driver cannot be used here at all (empty when it can), and what is missing to know."""
    asked = checks.all_checks(AsBuilt(Model(setting), crossover_hz=1.0), (), OF_THE_KIND)
    ruled_out = next((check.text for check in asked if check.outcome == "fail"), "")
    return ruled_out, tuple(text for check in asked if check.essential for text in check.missing)


def _at_the_seat(setting: Setting) -> Outcome:
    """Whether the seated ear hears the top of the high driver; looked at only where it may not."""
    return checks.seated_window(AsBuilt(Model(setting), crossover_hz=1.0)).outcome if _aside(setting) else "pass"


def _aside(setting: Setting) -> bool:
    """True where the seat may lie outside what the high driver, or its guide, radiates at the top of the band."""
    high, guide = setting.case.high, setting.case.guide
    way = setting.to_baffle_m(setting.seat_m) - setting.high_middle_m
    sizes = [high.radiating_width_m, high.height_m]
    if guide:
        sizes += [guide.mouth_width_m, guide.mouth_height_m]
    sine = np.linalg.norm(way[:2]) / max(float(np.linalg.norm(way)), 1e-9)
    turn = np.pi * setting.case.practice["high band top"] / setting.air.speed_m_s * max(sizes) * sine
    return bool(setting.case.pairing.high_count > 1 or turn > ON_AXIS)


def _bass_db(setting: Setting) -> float:
    """The level (dB) at the seat that all low drivers reach by their travel at `BASS_HZ`; infinite where it is not stated."""
    low, pairing = setting.case.low, setting.case.pairing
    if low.peak_travel_m is None:
        return float("inf")
    area = low.diaphragm_area_m2 * pairing.low_count
    pressure = pressure_from_travel(low.peak_travel_m, area, BASS_HZ, pairing.distance_m, setting.air)
    return float(20.0 * np.log10(pressure / REFERENCE_PRESSURE_PA))


def _sloped(case: Case, slope: str) -> Case:
    return replace(case, pairing=replace(case.pairing, slope=slope))


def _worth(rows: Rows) -> FloatArray:
    """What rows are sorted by, the best first: the verdict, then the score."""
    return np.asarray(rows["word"] * 1e6 - rows["score"])


def _foremost(rows: Rows, count: int) -> Rows:
    """The best `count` rows of each column of (n, L)."""
    order = np.argsort(_worth(rows), axis=0, kind="stable")
    return np.take_along_axis(rows, order[:count], axis=0)


def _order(rows: Rows) -> NDArray[np.intp]:
    """Where all rows (n, L) stand in the flat array, best first; of equal ones the first low driver, then the first way."""
    flat, low = rows.ravel(), np.broadcast_to(np.arange(rows.shape[1]), rows.shape).ravel()
    return np.lexsort((flat["option"], low, -flat["score"], flat["word"]))
