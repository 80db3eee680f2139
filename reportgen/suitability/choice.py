"""The crossover frequency that is left open: the one with the best verdict, among equals the one with room on both sides.

Knows which frequencies are worth a network and when one is good enough. Refuses to judge: limits and checks do that.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from reportgen.pairing.as_built import AsBuilt, at_each
from reportgen.pairing.reach import AMPLIFIER
from reportgen.pairing.response import Model
from reportgen.suitability.checks import Check, directivity_step, limit_check
from reportgen.suitability.limits import Limit
from reportgen.suitability.steps import chosen, lacks_a_figure
from reportgen.suitability.verdict import LOOKED_OVER, ROOM_IN_MARGINS, UsableRange, best_crossover_hz, usable_range

LOOKED_AT = 13
"""Frequencies of the range that are judged without a network."""
DESIGNED = 3
"""How many of them get a network at most, more only while the high driver gets too hot in each: the next one only where the
network of the last brought a fault of its own."""
APART_OCTAVES = 0.2
"""Networks nearer to one another than this have the same faults (found by trial over the demo and drawn seasons)."""

Key = tuple[int, int, int, float, float]


@dataclass(frozen=True)
class Choice:
    """A pairing at its crossover, its checks, and what spoke for the frequency; `why` is empty where it was given."""

    built: AsBuilt
    checks: tuple[Check, ...]
    why: str = ""


@dataclass(frozen=True)
class Chooser:
    """One pairing whose crossover is open: its model, limits and range."""

    model: Model
    limits: Sequence[Limit]
    found: UsableRange

    @property
    def margin(self) -> float:
        """Least distance from a limit that passes (octaves)."""
        return self.model.setting.case.practice["limit margin"]

    def frequencies_hz(self) -> tuple[float, ...]:
        """What is looked at (Hz, three digits): the range without its margins; one frequency where that leaves nothing."""
        walls = [limit for limit in self.limits if limit.hz is not None and limit.wall]
        low = max((limit.edge(self.margin)[2] for limit in walls if limit.side == "low"), default=-math.inf)
        high = -max((limit.edge(self.margin)[2] for limit in walls if limit.side == "high"), default=-math.inf)
        middle = best_crossover_hz(self.found)
        if middle is None:
            return ()
        if low >= high:
            return (three_digits(middle),)
        low, high = max(low, high - LOOKED_OVER), min(high, low + LOOKED_OVER)
        if not (math.isfinite(low) and math.isfinite(high)):
            return (three_digits(middle),)
        steps = [2.0 ** (low + (high - low) * step / (LOOKED_AT - 1)) for step in range(LOOKED_AT)]
        first, last = three_digits(steps[0], math.ceil), three_digits(steps[-1], math.floor)
        within = dict.fromkeys(min(max(three_digits(hz), first), last) for hz in steps)
        return tuple(within) if first <= last else (three_digits(middle),)

    def quick_key(self, built: AsBuilt) -> Key:
        """How good a frequency is before there is a network."""
        found = [*(limit_check(built, limit) for limit in self.limits), directivity_step(built)]
        return self.key((check for check in found if not lacks_a_figure(check, built)), built.crossover_hz)

    def key(self, checks: Iterable[Check], hz: float) -> Key:
        """What is compared, the smaller the better: fails, gaps, marginals, want of room, and the frequency itself."""
        outcomes = [check.outcome for check in checks if check.judged]
        room = min((self._room(limit, hz) for limit in self.limits if limit.hz is not None and limit.wall), default=0.0)
        wanted = ROOM_IN_MARGINS * self.margin
        return (
            outcomes.count("fail"), outcomes.count("not assessed"), outcomes.count("marginal"),
            round(max(wanted - room, 0.0), 3), hz,
        )  # fmt: skip

    def _room(self, limit: Limit, hz: float) -> float:
        at = math.log2(hz)
        return (at if limit.side == "low" else -at) - limit.edge(0.0)[0]

    def in_turn(self) -> tuple[tuple[Key, float], ...]:
        """The frequencies (Hz) that may get a network, with how good they are before, the most promising first."""
        return self._apart()[:DESIGNED]

    def _apart(self) -> tuple[tuple[Key, float], ...]:
        """All frequencies that lie apart, in the same order."""
        found: list[tuple[Key, float]] = []
        for promised, hz in sorted(
            (self.quick_key(built), built.crossover_hz) for built in at_each(self.model, self.frequencies_hz())
        ):
            if all(abs(math.log2(hz / other)) >= APART_OCTAVES for _, other in found):
                found.append((promised, hz))
        return tuple(found)

    def chosen(self) -> Choice | None:
        """The best of the frequencies designed; None where nothing bounds the crossover."""
        tried: list[tuple[Key, Choice]] = []
        hot_hz = [0.0]  # where the network let the high driver get too hot: it does so below as well

        def design(hz: float) -> None:
            network = chosen(self.model, hz, self.limits)
            one = Choice(network.built, network.checks)
            tried.append((self.key(_moved(one), hz), one))
            if any(check.id == "heat" and check.outcome == "fail" for check in one.checks):
                hot_hz.append(hz)

        for promised, hz in self._apart():
            if tried and (self._enough(tried, promised) or len(tried) >= max(DESIGNED, len(hot_hz))):
                break
            if hz >= max(hot_hz):
                design(hz)
        looked_at = self.frequencies_hz()
        all_hot = tried and len(hot_hz) > len(tried)  # then the highest of all is tried too, however near
        if all_hot and looked_at[-1] > max(hot_hz):
            design(looked_at[-1])
        if not tried:
            return None
        best = min((one for _, one in tried), key=lambda one: self.key(one.checks, one.built.crossover_hz))
        return Choice(best.built, best.checks, self._why(best, len(looked_at), len(tried)))

    def _enough(self, tried: Sequence[tuple[Key, Choice]], promised: Key) -> bool:
        """True where another network would change nothing: no better promised, no gain by the last where nothing fails or is missing,
        or it fails anyhow."""
        best = min(key for key, _ in tried)[:3]
        stuck = best[:2] == (0, 0) and len(tried) > 1 and tried[-1][0][:3] >= min(key for key, _ in tried[:-1])[:3]
        lost = any(check.outcome == "fail" and check.id in UNMOVED for check in tried[0][1].checks)
        return best <= promised[:3] or stuck or lost

    def _why(self, best: Choice, looked: int, designed: int) -> str:
        hz, low, high = best.built.crossover_hz, self.found.low_hz, self.found.high_hz
        if low is None or high is None:
            return "half an octave inside the one bound there is"
        if self.found.empty:
            from_, to = self.found.unfailed
            within = from_ <= math.log2(hz) <= to
            return (
                "one that misses no bound by more than its tolerance"
                if within
                else "the frequency that misses both bounds by the same share"
            )
        room = min(math.log2(hz / low), math.log2(high / hz))
        if looked == 1:
            return "the middle of a narrow range"
        networks = f", {designed} of them with a network" if designed > 1 and best.built.network is not None else ""
        how = "the lowest with room to both bounds" if room >= ROOM_IN_MARGINS * self.margin - 0.01 else "the most room"
        return f"of {looked} frequencies looked at{networks}, the best verdict and {how}"


UNMOVED = frozenset(
    ("seated window", "standing window", "side window", "height window", "tilt", "frames fit", "back", "surroundings", "reach", "screen", "diaphragm resonance",
     "horn", "data agree", "measured levels", "stock", "price", "slope sum")
)  # fmt: skip
"""Checks that no crossover frequency can move."""


def _moved(choice: Choice) -> Iterator[Check]:
    """The checks for whose sake another frequency is tried; a level that the amplifier ends, it ends at any."""
    network = choice.built.network
    still = {*UNMOVED, "peak level"} if network and network.reachable_cause == AMPLIFIER else UNMOVED
    return (check for check in choice.checks if check.id not in still and not lacks_a_figure(check, choice.built))


def three_digits(hz: float, way: Callable[[float], int] = round) -> float:
    """A frequency as it is set on a generator and printed everywhere (Hz); `way` is how it is rounded.

    >>> three_digits(2437.8), three_digits(987.6), three_digits(1683.0, math.ceil), three_digits(2850.0, math.floor)
    (2440.0, 988.0, 1690.0, 2850.0)
    """
    step = 10.0 ** (math.floor(math.log10(hz)) - 2)
    return float(f"{way(round(hz / step, 6)) * step:.3g}")


def choose(model: Model, limits: Sequence[Limit], found: UsableRange) -> Choice | None:
    """The pairing at its crossover: the given one, else the best of its range; None where nothing bounds it."""
    given_hz = model.setting.case.pairing.crossover_hz
    if given_hz is None:
        return Chooser(model, limits, found).chosen()
    network = chosen(model, given_hz, limits)
    return Choice(network.built, network.checks)


HEAT = "heat"
"""The id of the limit, and of the check in its place, by the heat of the high driver."""


def before_a_network(limits: tuple[Limit, ...]) -> tuple[tuple[Limit, ...], UsableRange]:
    """The limits that count while there is no network, and their range: heat is one by the sensitivities alone, and where it closes the
    range the network must tell."""
    found = usable_range(limits)
    if found.empty and found.low_binding is not None and found.low_binding.id == HEAT:
        limits = tuple(limit for limit in limits if limit.id != HEAT)
        found = usable_range(limits)
    return limits, found


def choose_by(model: Model, limits: tuple[Limit, ...]) -> tuple[tuple[Limit, ...], UsableRange, Choice | None]:
    """The limits that count, the range that they leave and the crossover in it.

    A heat that closes the range counts no more if the network that is designed without it lets no more through than the high
    driver takes.
    """
    others, opened = before_a_network(limits)
    if others != limits:
        choice = choose(model, others, opened)
        if choice and any(check.id == HEAT and check.outcome in ("pass", "marginal") for check in choice.checks):
            return others, opened, choice
    found = usable_range(limits)
    return limits, found, choose(model, limits, found)
