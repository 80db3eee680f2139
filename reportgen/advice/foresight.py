"""What a whole assessment of a changed pairing will find, told from what needs no network: to leave out what cannot help.

Knows the checks and limits that are the same whatever the network, and what an ideal network would do. Refuses to say yes:
what it does not rule out is assessed as a whole.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, fields, replace
from functools import cached_property, partial
from operator import attrgetter

import numpy as np

from reportgen.assessment import Assessment
from reportgen.catalogue.records import Case, Pairing
from reportgen.crossover.forms import MOST_FILTER_PARTS
from reportgen.crossover.networks import RATED_IMPEDANCES_OHM, rated_impedance
from reportgen.pairing.as_built import AsBuilt, at_each
from reportgen.pairing.as_used import Setting
from reportgen.pairing.heat import Warmth, high_allowed_at_least_w, high_allowed_w
from reportgen.pairing.ideal import Ideal
from reportgen.pairing.network import Networks
from reportgen.pairing.reach import reach_of
from reportgen.pairing.response import Model
from reportgen.pairing.sums import Driven, Optimum
from reportgen.problems import CannotAssess
from reportgen.suitability import checks
from reportgen.suitability.checks import Check
from reportgen.suitability.choice import Chooser, before_a_network
from reportgen.suitability.limits import LIMITS, Limit, Rule
from reportgen.suitability.verdict import UsableRange, best_crossover_hz, usable_range

STILL = (
    checks.back, checks.surroundings, checks.reach, checks.screen, checks.diaphragm_resonance, checks.horn_needed, checks.stock, checks.slope_sum,
    checks.data_agree, checks.data_complete, checks.frames_fit,
)  # fmt: skip
"""Checks that need neither network nor crossover, the quickest first."""
FAILING = (checks.surroundings, checks.screen, checks.horn_needed, checks.frames_fit)
"""Those of them that can fail; what can be marginal at worst keeps away a plain yes only, as the directivity step does."""
WINDOWS = (checks.seated_window, checks.standing_window, checks.side_window, checks.height_window, checks.tilt)
"""The same, of which each takes as long as all of those together."""

ROUGH_DB = 0.6
"""How far an ideal network's watts and level may be off those of a real one, with its own misses in the pairing as it is taken
off for the drivers that stay."""
ROUGHER_DB = (1.0, 1.0, 0.5)
"""The same plainly: of the watts of the low and of the high driver, and of the level, which real networks hardly ever better. Found
over 238 whole assessments of the demo and three drawn seasons (no source)."""
NEAR_DB, NEAR_LOAD = 0.5, 1.05
"""The same for networks that are fitted and want only parts: of heat and level, and of the load as a ratio. Where conditions are allowed, bought parts never
spare the low driver more than fitted ones did (none of some 200 ways out of the demo and seven drawn seasons)."""
LOWER_LOAD, HIGHER_LOAD = 1.3, 2.0
"""How far, as a ratio, the least load may lie outside the drivers' own and the share of it that the pairing has as it is: coils before
a low driver lift it more than anything lowers it (by the same trial)."""


OF_THE_LEVEL = frozenset(("peak level", "travel"))
OF_THE_AMPLIFIER = frozenset(("heat", "low_heat", "part stress", "parts stock", "peak level"))
"""Checks that the wanted level and the amplifier move where network and crossover stay the same."""


def stands_in_the_way(check: Check, plainly: bool, despite_gaps: bool = False) -> bool:
    """Whether a check keeps a pairing from being suitable; `plainly`: without conditions, as `judge` has it; `despite_gaps`: whatever is not known."""
    gap = check.outcome == "not assessed"
    if check.outcome == "fail" or (gap and check.essential and not despite_gaps):
        return True
    return plainly and (check.outcome == "marginal" or bool(check.condition) or (gap and check.judged))


OF_NO_LIMIT = frozenset(
    ("id", "origin", "kit", "season", "crossover_hz", "most_parts", "parts_policy", "kits_planned", "decision", "decided_by", "decided_on",
     "reason", "notes")
)  # fmt: skip
"""Fields of a pairing that no limit reads."""
_WISH = frozenset(("amplifier_power_w", "peak_level_db"))
OF_THE_OTHER = {
    "low": _WISH | {"high_id", "high_count", "high_wiring", "guide_id", "rear_use", "chamber_m3", "cabinet_id", "high_from_top_m", "centre_spacing_m"},
    "low, measured": _WISH,
    "high": _WISH | {"low_id", "low_count", "low_wiring", "centre_spacing_m"},
    "both": _WISH,
    "travel": frozenset(("low_id", "low_count", "low_wiring", "centre_spacing_m", "amplifier_power_w")),
    "heat": frozenset[str](),
}  # fmt: skip
"""Fields that the limits of a scope, and some that read the wish, do not read beside those. A file of the low driver may have been
measured in the very cabinet. What needs neither network nor crossover reads no more than the limits of both drivers do."""


def _read_by(scope: str) -> Callable[[Pairing], tuple[object, ...]]:
    names = [one.name for one in fields(Pairing) if one.name not in OF_NO_LIMIT | OF_THE_OTHER[scope]]
    return attrgetter(*names)


READ = {scope: _read_by(scope) for scope in OF_THE_OTHER}


@dataclass
class Shared:
    """The limits of the pairings of one catalogue, the checks that need no network, and the crossovers that the directivity step
    leaves, each worked out once for all pairings that do not differ in what it reads."""

    known: dict[tuple[object, ...], Limit | None] = field(default_factory=dict)
    checked: dict[tuple[object, ...], Check | None] = field(default_factory=dict)
    stepped: dict[tuple[object, ...], tuple[float, ...]] = field(default_factory=dict)

    def check(self, rule: Callable[[AsBuilt], Check | None], built: AsBuilt) -> Check | None:
        """A check that needs neither a network nor the wish."""
        key = (rule, built.crossover_hz, READ["both"](built.setting.case.pairing))
        if key not in self.checked:
            self.checked[key] = rule(built)
        return self.checked[key]

    def limits(self, setting: Setting, scopes: Collection[str] = ("low", "high", "both")) -> tuple[Limit, ...]:
        """Every limit of some scopes that applies, as `all_limits`."""
        case = setting.case
        read = {scope: READ[scope](case.pairing) for scope in scopes}
        if "low" in read and (case.low.id, "response") in case.curves:
            read["low"] = READ["low, measured"](case.pairing)
        wished = {"travel": READ["travel"](case.pairing), "heat": READ["heat"](case.pairing)}
        found = (
            self._limit(rule, setting, wished.get(rule.id, read[rule.scope])) for rule in LIMITS if rule.scope in read
        )
        return tuple(limit for limit in found if limit is not None)

    def _limit(self, rule: Rule, setting: Setting, read: tuple[object, ...]) -> Limit | None:
        key = (rule.id, read)
        if key not in self.known:
            self.known[key] = rule.limit(setting)
        return self.known[key]


@dataclass
class Foresight:
    """What stands between changed pairings and a verdict; `plainly` asks for one without conditions, `despite_gaps` for one in which nothing fails, whatever is not known."""

    before: Assessment
    plainly: bool
    shared: Shared = field(default_factory=Shared)
    despite_gaps: bool = False
    _last: Model | None = None

    def model_of(self, case: Case) -> Model:
        """The model of a case; the same for the very case that was asked of last, with all that was worked out in it."""
        if self._last is None or self._last.setting.case is not case:
            self._last = Model(Setting(case))
        return self._last

    def in_the_way(self, case: Case) -> frozenset[str]:
        """Ids of the checks that need no crossover and stand in the way, windows not among them."""
        return frozenset(check.id for check in self._bad(AsBuilt(self.model_of(case), 1.0), self._still))

    @property
    def _still(self) -> Iterable[Callable[[AsBuilt], Check | None]]:
        return (partial(self.shared.check, rule) for rule in (STILL if self.plainly else FAILING))

    def open_(self, case: Case) -> bool:
        """False where limits, checks that need no network, or lacking data keep the verdict away whatever the network."""
        model, given_hz = self.model_of(case), case.pairing.crossover_hz
        setting = model.setting
        if (_never_known(setting) and not self.despite_gaps) or any(self._bad(AsBuilt(model, 1.0), self._still)):
            return False
        if usable_range(self.shared.limits(setting, ("low", "high"))).empty:
            return False
        limits, bounds = before_a_network(self.shared.limits(setting))
        at = given_hz or best_crossover_hz(bounds)
        if at is None or bounds.empty:
            return False
        kept = [partial(checks.limit_check, limit=limit) for limit in limits if limit.id != "heat"]
        if any(self._bad(AsBuilt(model, at), kept)):
            return False
        looked_at = (given_hz,) if given_hz else Chooser(model, limits, bounds).frequencies_hz()
        return bool(self._alike(model, looked_at))

    def _alike(self, model: Model, crossovers_hz: tuple[float, ...]) -> tuple[float, ...]:
        """Those crossovers (Hz) at which both drivers do not radiate so differently that the step alone keeps the verdict away."""
        if not self.plainly:
            return crossovers_hz
        known, key = self.shared.stepped, (crossovers_hz, READ["both"](model.setting.case.pairing))
        if key not in known:
            looked_at, step = at_each(model, crossovers_hz), (checks.directivity_step,)
            known[key] = tuple(built.crossover_hz for built in looked_at if not any(self._bad(built, step)))
        return known[key]

    def heard(self, case: Case) -> bool:
        """False where what is lost off the axis alone keeps the verdict away, whatever the network."""
        return not any(
            self._bad(AsBuilt(self.model_of(case), 1.0), (partial(self.shared.check, rule) for rule in WINDOWS))
        )

    def _bad(self, built: AsBuilt, rules: Iterable[Callable[[AsBuilt], Check | None]]) -> Iterator[Check]:
        for rule in rules:
            check = rule(built)
            if check is not None and self.bars(check):
                yield check

    def bars(self, check: Check) -> bool:
        """Whether a check keeps the verdict away."""
        return stands_in_the_way(check, self.plainly, self.despite_gaps)

    # --- with networks before their parts -------------------------------------------------------------------------

    def left_open(self, case: Case) -> tuple[Networks, ...]:
        """The networks at each crossover that may get one and at which an ideal one would not miss heat, peak level, level match or
        load; none where the network stays the same and its own faults with it."""
        model = self.model_of(case)
        frequencies_hz = self._frequencies_hz(model)
        same = frequencies_hz == _in_turn_hz(self._model, self.before.limits, self.before.found_range)
        if same and (moved := self._moved_by_wish(case)) and self._faults - moved:
            return ()
        beyond = (
            model.setting.slope.order > MOST_FILTER_PARTS
        )  # no network follows that, and an ideal one tells nothing of it
        return tuple(
            Networks(model, hz)
            for hz in self._alike(model, frequencies_hz)
            if beyond or any(self._met_ideally(Ideal(model, hz, ohm)) for ohm in self._rated_ohm(model))
        )

    def fits_promise(self, left_open: Iterable[Networks]) -> bool:
        """False where at all of these crossovers the networks that are fitted, before parts are chosen, miss any of that."""
        return any(self._within_reach(_fitted(one), one.crossover_hz) for one in left_open)

    def _frequencies_hz(self, model: Model) -> tuple[float, ...]:
        """Where a network may be designed."""
        return _in_turn_hz(model, *before_a_network(self.shared.limits(model.setting)))

    def _moved_by_wish(self, case: Case) -> frozenset[str]:
        """Ids of the checks that a change moves which changes the wish and not the loudspeaker; none for any other change."""
        was, now = self.before.case.pairing, case.pairing
        if replace(now, peak_level_db=was.peak_level_db, amplifier_power_w=was.amplifier_power_w) != was:
            return frozenset()
        return OF_THE_LEVEL if now.amplifier_power_w == was.amplifier_power_w else OF_THE_LEVEL | OF_THE_AMPLIFIER

    @cached_property
    def _faults(self) -> set[str]:
        """Ids of the checks that stand in the way of the pairing as it is."""
        return {check.id for check in self.before.checks if self.bars(check)}

    @cached_property
    def _model(self) -> Model:
        return Model(Setting(self.before.case))

    @cached_property
    def _ideal(self) -> Ideal | None:
        """The pairing as it is with an ideal network where it has a real one."""
        network = self.before.network
        if network is None:
            return None
        return Ideal(self._model, network.design.crossover_hz, network.electrical.rated_ohm or 2.0)

    def _rated_ohm(self, model: Model) -> tuple[float, ...]:
        """What the rated impedance may be, the highest first."""
        own, share = _own_ohm(model), 1.0
        if self.before.network is not None:
            share = self.before.network.electrical.minimum_ohm / _own_ohm(self._model)
        ratios = min(share, 1.0) / LOWER_LOAD, max(share, 1.0) * HIGHER_LOAD
        least, most = (rated_impedance(own * ratio) or 2.0 for ratio in ratios)
        return tuple(ohm for ohm in reversed(RATED_IMPEDANCES_OHM) if least <= ohm <= most)

    def _met_ideally(self, ideal: Ideal) -> bool:
        cause = reach_of(ideal).least(ideal.crossover_hz)[2]
        allowed_db = self._allowed_db(ideal.model.setting.case, cause)
        return ideal.surplus_db + ROUGH_DB >= -self._short_db and self._met(ideal, ideal.crossover_hz, allowed_db)

    def _within_reach(self, optima: Sequence[Optimum], crossover_hz: float) -> bool:
        """Whether a network of parts near these may do. For a plain yes, and where the low driver's heat is in the way, one that seems to
        spare it by pulling the load down a class of ratings does not speak; for a plain yes it does where most of them do so."""
        met = sum(self._nearly_met(one, crossover_hz) for one in optima)
        if not met or not (self.plainly or "low_heat" in self._faults):
            return met > 0
        return (self.plainly and 2 * met > len(optima)) or any(
            self._nearly_met(one, crossover_hz, rated_impedance(one.model.low_side.least_ohm) or 0.0) for one in optima
        )

    def _nearly_met(self, optimum: Optimum, crossover_hz: float, spared_ohm: float = 0.0) -> bool:
        """Whether parts near these may do; near a limit of ratings they may have the one or the other. The low driver's heat counts
        at the voltage into `spared_ohm` where that is higher."""
        case, least_ohm = optimum.model.setting.case, float(np.min(np.abs(optimum.impedance)))
        practice, borne_ohm = case.practice, case.practice.least_load_ohm(case.pairing.surroundings)
        if least_ohm * NEAR_LOAD < borne_ohm * (1.0 if self.plainly else 1.0 - practice["impedance margin"]):
            return False
        rated = {rated_impedance(least_ohm * ratio) or 2.0 for ratio in (1.0 / NEAR_LOAD, NEAR_LOAD)}
        low = NEAR_DB if self.plainly else 0.0
        return any(
            self._met(
                loaded := replace(optimum, supposed_ohm=ohm),
                crossover_hz,
                (low - 10.0 * float(np.log10(max(spared_ohm / ohm, 1.0))), NEAR_DB, NEAR_DB),
            )
            and _coils_bear(loaded)
            for ohm in rated
        )

    @property
    def _short_db(self) -> float:
        """How far the level may fall short."""
        return self.before.case.practice["level margin" if self.plainly else "level shortfall limit"]

    def _met(self, driven: Driven, crossover_hz: float, allowed_db: tuple[float, float, float]) -> bool:
        """Whether heat and level are met when the low driver, the high one and the level come out so much better."""
        case, practice, heat = driven.model.setting.case, driven.model.setting.case.practice, driven.heat
        margin = practice["level margin"] if self.plainly else 0.0
        hot = margin if self.plainly else -practice["low driver heat allowance"]
        low, high, level = allowed_db
        unknown = np.inf if self.despite_gaps else 0.0
        unsure_w = (
            unknown or high_allowed_at_least_w(case) or 0.0
        )  # behind the strictest high pass, where none is stated
        return bool(
            _headroom_db(heat.low, unknown) + low >= hot
            and _headroom_db(heat.high, unknown) + high >= margin
            and heat.high.watts <= unsure_w * 10.0 ** (high / 10.0)
            and reach_of(driven).least(crossover_hz)[0] + level >= case.pairing.peak_level_db - self._short_db
        )

    def _allowed_db(self, case: Case, cause: str) -> tuple[float, float, float]:
        """How much better (dB) a real network may do for the heat of the low and of the high driver, and for the level, which ends by `cause`."""
        was, now, network = self.before.case.pairing, case.pairing, self.before.network
        low = (was.low_id, was.low_count, was.low_wiring) == (now.low_id, now.low_count, now.low_wiring)
        high = (was.high_id, was.high_count, was.high_wiring) == (now.high_id, now.high_count, now.high_wiring)
        same_end = network is not None and cause == network.reachable_cause
        alike = same_end and low and (high or "low driver" in cause)
        return tuple(  # type: ignore[return-value] # three in, three out
            own + ROUGH_DB if known else rougher
            for own, known, rougher in zip(self._own_db, (low, low and high, alike), ROUGHER_DB, strict=True)
        )

    @cached_property
    def _own_db(self) -> tuple[float, float, float]:
        """By how much (dB) the real network of the pairing as it is does better than an ideal one."""
        network, ideal = self.before.network, self._ideal
        if network is None or ideal is None:
            return ROUGHER_DB
        sides = ((network.heat.low, ideal.heat.low), (network.heat.high, ideal.heat.high))
        low, high = (10.0 * float(np.log10(ideally.watts / max(really.watts, 1e-12))) for really, ideally in sides)
        return low, high, network.reachable_db - reach_of(ideal).least(ideal.crossover_hz)[0]


def _in_turn_hz(model: Model, limits: Sequence[Limit], bounds: UsableRange) -> tuple[float, ...]:
    """The crossover that is given, else those at which a network may be designed."""
    given = model.setting.case.pairing.crossover_hz
    return (given,) if given else tuple(hz for _, hz in Chooser(model, limits, bounds).in_turn())


def _fitted(networks: Networks) -> tuple[Optimum, ...]:
    """The networks before their parts; none where none can be."""
    with suppress(CannotAssess, ValueError):
        return networks.optima
    return ()


def _coils_bear(optimum: Optimum) -> bool:
    """False where the shelf alone is to do and its strongest coil does not bear what one of the network carries: two are never joined."""
    case = optimum.model.setting.case
    if case.pairing.parts_policy != "stock":
        return True
    ratings = [math.inf if one.rating is None else one.rating for one in case.stock if one.kind == "inductor"]
    needed = [load.needed for side in optimum.stress() for load in side if load.component.kind == "L"]
    return max(needed, default=0.0) <= max(ratings, default=0.0)


def _own_ohm(model: Model) -> float:
    return min(model.low_side.least_ohm, model.high_side.least_ohm)


def _headroom_db(side: Warmth, unknown: float) -> float:
    return 10.0 * float(np.log10(max(unknown if side.headroom is None else side.headroom, 1e-9)))


def _never_known(setting: Setting) -> bool:
    """True where a rating or a travel is missing without which no network can pass: the level and both heats need them."""
    case = setting.case
    return case.low.rated_power_w is None or high_allowed_w(case) is None or bool(checks.travel_unknown(setting))
