"""Forms that one branch may take, each grown from a plainer one and fitted alone to the branch's target.

Knows which parts may join which filter, and from which values their fit starts. Refuses to know the other branch, and
what a form is worth.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from math import pi

import numpy as np

from reportgen.acoustics.frequencies import nearest
from reportgen.crossover.fitting import BranchTask, Fitted, fit_branches, level_of
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.networks import Branch, Component, Stage, across, in_path
from reportgen.crossover.rounds import in_step
from reportgen.crossover.topologies import (
    BRIDGE,
    COMPENSATION,
    DAMPING,
    FRONT,
    LIFT,
    NOTCH,
    PAD,
    SHELF,
    TRAP,
    bass_shelf,
    before_driver,
    before_filter,
    butterworth_start,
    coil_compensation,
    hardly_there,
    notch,
    resonance_trap,
)

EVALUATIONS = 7
"""A form alone is fitted no longer than so: it only has to be told from others, and both branches are fitted on together."""

WORTH_COMPENSATING = 0.2
"""A resonance or a coil's reactance below this share of Re asks for no compensation (common practice, no source)."""

NOTCH_FROM_DB, LIFT_FROM_DB, SHELF_FROM_DB = 1.5, 1.5, 3.0
"""A peak lower than the first is left alone, a top end that falls and a bass that lies lower by less than the others
(common practice, no source). Of the first 1.5, and not 2.5: then 18 of 288 pairings of the demo, the three other seasons and eight drawn ones stand
better and 4 worse, for 0.1 pieces more; a cone's hump of 2.4 dB cost a third of an octave 5 dB, one of 2.6 dB nothing."""

MOST_FILTER_PARTS = 4

Addition = Callable[[Fitted], Branch | None]

Asked = tuple[list[Branch], int]
"""Branches to be fitted, and in how many evaluations."""

Rounds = Generator[Asked, list[Fitted], list[Fitted]]


@dataclass(frozen=True, slots=True, eq=False)
class Forms:
    """What one branch may look like: its task, its driver's figures (None where unknown), the crossover, its side."""

    task: BranchTask
    figures: DriverLoad | None
    crossover_hz: float
    high: bool
    pad_db: float = 0.0

    @property
    def resistance_ohm(self) -> float:
        """Modulus of the driver's impedance at the crossover."""
        near = int(nearest(self.task.frequency_hz, self.crossover_hz))
        return float(np.abs(self.task.load_ohm[near]))

    def rounds(self) -> Rounds:
        """Every form, plain filters first; asks for fits, one round after another, and is sent what they came to."""
        plain = yield from self._plain()
        joined = yield self._with(plain, self.joining())
        again = yield self._with(joined, self._joining_again())
        return [*plain, *joined, *again]

    def _with(self, bases: Sequence[Fitted], additions: tuple[Addition, ...]) -> Asked:
        wider = [branch for base in bases for addition in additions if (branch := addition(base)) is not None]
        return wider, EVALUATIONS

    def _plain(self) -> Rounds:
        """Plain filters of one part to four; from the simpler one's values where the handbook's lead to nothing better."""
        starts = [self._handbook(order) for order in range(1, MOST_FILTER_PARTS + 1)]
        tried: list[Fitted] = []
        for order, plain in enumerate((yield starts, 2 * EVALUATIONS), 1):
            found = [plain]
            if tried and plain.rms_db > 0.98 * tried[-1].rms_db:
                stages, more = tried[-1].branch.stages, hardly_there(starts[order - 1].stages[order - 1])
                wider = Branch((*stages[: order - 1], more, *stages[order - 1 :]))
                found += yield [wider], EVALUATIONS
            tried.append(min(found, key=lambda one: one.rms_db))
        return tried

    def _handbook(self, order: int) -> Branch:
        start = butterworth_start(order, self.resistance_ohm, self.crossover_hz, self.high)
        if self.pad_db <= 0.0:
            return start
        series = self.resistance_ohm * (10.0 ** (self.pad_db / 20.0) - 1.0)
        return before_driver(start, in_path(Component("R", series, role=PAD)))

    def joining(self) -> tuple[Addition, ...]:
        """What may join a plain filter."""
        if self.high:
            return self.damped, self.fronted, self.shunted, self.lifted, self.trapped, self.notched
        return self.compensated, self.bridged, self.shelved, self.damped, self.notched

    def _joining_again(self) -> tuple[Addition, ...]:
        """What may join a filter that something has joined before."""
        return (self.shunted, self.trapped) if self.high else (self.compensated,)

    def all(self, base: Fitted) -> Iterator[Branch]:
        """The branch with each addition that has a cause, and with one more filter part."""
        for addition in (*self.joining(), self.padded, self.wider):
            branch = addition(base)
            if branch is not None:
                yield branch

    def wider(self, base: Fitted) -> Branch | None:
        """With one more filter part behind the last."""
        places = [k for k, stage in enumerate(base.branch.stages) if _filters(stage)]
        if not 1 <= len(places) < MOST_FILTER_PARTS:
            return None
        last = base.branch.stages[places[-1]]
        ladder = butterworth_start(2, self.resistance_ohm, self.crossover_hz, self.high).stages
        after = ladder[1] if last.place == "series" else ladder[0]
        return _inserted(base.branch, places[-1] + 1, hardly_there(after))

    def damped(self, base: Fitted) -> Branch | None:
        """With a small resistor behind its first shunt part."""
        for k, stage in enumerate(base.branch.stages):
            if _filters(stage) and stage.place == "shunt" and len(stage.components) == 1:
                wider = across(*stage.components, Component("R", 0.5, role=DAMPING))
                return Branch((*base.branch.stages[:k], wider, *base.branch.stages[k + 1 :]))
        return None

    def bridged(self, base: Fitted) -> Branch | None:
        """With a capacitor across its first coil: a notch above the crossover that steepens the slope."""
        first = base.branch.stages[0]
        if first.place != "series" or first.components[0].kind != "L" or len(first.components) > 1:
            return None
        coil = first.components[0]
        capacitor = Component("C", 1.0 / ((2.0 * pi * 2.5 * self.crossover_hz) ** 2 * coil.value), role=BRIDGE)
        return Branch((in_path(coil, capacitor, join="parallel"), *base.branch.stages[1:]))

    def shelved(self, base: Fitted) -> Branch | None:
        """With a coil and a resistor side by side in the path, where the driver itself rises from the bass on."""
        if _has(base.branch, SHELF):
            return None
        f_hz, level = self.task.frequency_hz[self.task.band], level_of(self.task.response) - self.task.goal_db
        bass, middle = level[f_hz < f_hz[0] * 2.0], level[(f_hz > self.crossover_hz / 4.0) & (f_hz < self.crossover_hz)]
        rise = float(np.mean(middle) - np.mean(bass)) if bass.size and middle.size else 0.0
        if rise < SHELF_FROM_DB:
            return None
        return before_filter(base.branch, bass_shelf(rise, self.resistance_ohm, 2.5 * float(f_hz[0])))

    def fronted(self, base: Fitted) -> Branch | None:
        """With a resistor before the filter, in place of the one behind it."""
        if _has(base.branch, FRONT):
            return None
        stages = tuple(stage for stage in base.branch.stages if not (stage.place == "series" and _is(stage, PAD)))
        value = next((s.components[0].value for s in base.branch.stages if s.place == "series" and _is(s, PAD)), 1.0)
        return Branch((in_path(Component("R", value, role=FRONT)), *stages)) if stages else None

    def padded(self, base: Fitted) -> Branch | None:
        """With a resistor in the path before the driver."""
        if not self.high or any(stage.place == "series" and _is(stage, PAD) for stage in base.branch.stages):
            return None
        return before_driver(base.branch, in_path(Component("R", 0.5, role=PAD)))

    def shunted(self, base: Fitted) -> Branch | None:
        """With a resistor across the driver: the second half of a level pad."""
        if any(stage.place == "shunt" and _is(stage, PAD) for stage in base.branch.stages):
            return None
        return before_driver(base.branch, across(Component("R", 3.0 * self.resistance_ohm, role=PAD)))

    def lifted(self, base: Fitted) -> Branch | None:
        """With a capacitor across the pad's resistor, where the driver's top end falls."""
        top = level_of(self.task.response)[-3:].mean() - self.task.goal_db[-3:].mean()
        middle = self.task.frequency_hz[self.task.band] > 2.0 * self.crossover_hz
        fall = float((level_of(self.task.response) - self.task.goal_db)[middle].max() - top) if middle.any() else 0.0
        for k, stage in enumerate(base.branch.stages):
            if stage.place == "series" and _is(stage, PAD) and len(stage.components) == 1 and fall > LIFT_FROM_DB:
                value = 1.0 / (2.0 * pi * 10e3 * stage.components[0].value)
                wider = in_path(*stage.components, Component("C", value, role=LIFT), join="parallel")
                return Branch((*base.branch.stages[:k], wider, *base.branch.stages[k + 1 :]))
        return None

    def compensated(self, base: Fitted) -> Branch | None:
        """With R and C against the rise of the voice coil, where that is high within two octaves of the crossover."""
        if self.figures is None or self.figures.le_h <= 0.0 or _has(base.branch, COMPENSATION):
            return None
        rise = 2.0 * pi * 4.0 * self.crossover_hz * self.figures.le_h / self.figures.re_ohm
        if rise < WORTH_COMPENSATING:
            return None
        return before_driver(base.branch, coil_compensation(self.figures.re_ohm, self.figures.le_h))

    def trapped(self, base: Fitted) -> Branch | None:
        """With a trap on the resonance, where that is high and near the crossover."""
        figures = self.figures
        if figures is None or figures.res_ohm < WORTH_COMPENSATING * figures.re_ohm or _has(base.branch, TRAP):
            return None
        near = self.crossover_hz / 6.0 < figures.fs_hz < self.crossover_hz * 1.5
        return before_driver(base.branch, resonance_trap(figures)) if near else None

    def notched(self, base: Fitted) -> Branch | None:
        """With a notch where the branch stands out of its target and is not far below it."""
        if _has(base.branch, NOTCH):
            return None
        excess = level_of(base.heard.pressure) - self.task.goal_db - base.level_shift_db
        f_hz = self.task.frequency_hz[self.task.band]
        octaves = np.log2(f_hz)
        around = [np.interp(octaves + aside, octaves, excess, np.nan, np.nan) for aside in (-1.0, 1.0)]
        stands_out = np.where(np.abs(self.task.shape) > 0.1, excess - np.mean(around, axis=0), np.nan)
        worst = int(np.argmax(np.nan_to_num(np.minimum(stands_out, excess), nan=-1.0)))
        if not min(stands_out[worst], excess[worst]) > NOTCH_FROM_DB:
            return None
        f, load = f_hz[worst], np.abs(self.task.load_ohm[self.task.band][worst])
        return before_filter(base.branch, notch(float(f), float(excess[worst]), float(load)))


def fit_forms(sides: Sequence[Forms]) -> list[list[Fitted]]:
    """Every form of each side, fitted alone; what they ask for in one round is worked out in one go."""

    def fitted(asked: Mapping[int, Asked]) -> dict[int, list[Fitted]]:
        found: dict[int, list[Fitted]] = {}
        for evaluations in sorted({each for _, each in asked.values()}):
            alike = [place for place, (_, each) in asked.items() if each == evaluations]
            branches = [branch for place in alike for branch in asked[place][0]]
            tasks = [sides[place].task for place in alike for _ in asked[place][0]]
            made = iter(fit_branches(branches, tasks, evaluations))
            found |= {place: list(islice(made, len(asked[place][0]))) for place in alike}
        return found

    return in_step([side.rounds() for side in sides], fitted)


def form_of(branch: Branch) -> str:
    """The form of a branch in words: its filter's parts and what joins it."""
    roles = [c.role for c in branch.components]
    filters = sum(role.startswith(("series", "shunt")) for role in roles)
    extra = list(dict.fromkeys(role for role in roles if not role.startswith(("series", "shunt"))))
    return f"{filters} filter part{'s' if filters != 1 else ''}" + "".join(f" + {role}" for role in extra)


def lighter(branch: Branch) -> list[Branch]:
    """The branch with each of its stages taken out in turn, and with each part that only joins another alone; a notch before a
    low driver may be left without its capacitor, as a bass shelf."""
    found = [Branch(branch.stages[:k] + branch.stages[k + 1 :]) for k in range(len(branch.stages))]
    for k, stage in enumerate(branch.stages):
        bare = tuple(c for c in stage.components if c.role not in (DAMPING, BRIDGE, LIFT))
        if 0 < len(bare) < len(stage.components):
            plain = replace(stage, components=bare, join="series")
            found.append(Branch((*branch.stages[:k], plain, *branch.stages[k + 1 :])))
        if _is(stage, NOTCH) and keeps_its_filter(branch, high=False) and not _has(branch, SHELF):
            shelf = replace(stage, components=tuple(replace(c, role=SHELF) for c in stage.components if c.kind != "C"))
            found.append(Branch((*branch.stages[:k], shelf, *branch.stages[k + 1 :])))
    return found


def keeps_its_filter(branch: Branch, high: bool) -> bool:
    """Whether a capacitor (high branch) or a coil (low branch) still stands in the signal path."""
    kind = "C" if high else "L"
    first = [stage.components[0] for stage in branch.stages if stage.place == "series"]
    return any(part.kind == kind and part.role.startswith("series") for part in first)


def undoubled(branch: Branch) -> Branch:
    """The branch with two plain coils, or two plain capacitors, of its filter that stand side by side as the one part that they are."""
    stages: list[Stage] = []
    for stage in branch.stages:
        if stages and _alike(stages[-1], stage):
            (one,), (other,) = stages[-1].components, stage.components
            adds = (one.kind == "L") == (stage.place == "series")
            value = one.value + other.value if adds else one.value * other.value / (one.value + other.value)
            stages[-1] = replace(stage, components=(replace(one, value=value),))
        else:
            stages.append(stage)
    return Branch(tuple(stages))


def _alike(one: Stage, other: Stage) -> bool:
    """Whether two stages are a single part of the filter each, of one role."""
    roles = [[c.role for c in stage.components] for stage in (one, other)]
    return _filters(one) and len(roles[0]) == 1 and roles[0] == roles[1]


def _filters(stage: Stage) -> bool:
    return stage.components[0].role.startswith(("series", "shunt"))


def _is(stage: Stage, role: str) -> bool:
    return stage.components[0].role == role


def _has(branch: Branch, role: str) -> bool:
    return any(component.role == role for component in branch.components)


def _inserted(branch: Branch, place: int, stage: Stage) -> Branch:
    return replace(branch, stages=(*branch.stages[:place], stage, *branch.stages[place:]))
