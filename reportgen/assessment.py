"""All that is known of one pairing: one frozen value, and the steps that find it.

Knows the order judgement is passed in and how physics, filters and rules meet. Refuses to know cells and pages.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from reportgen.catalogue.records import Case, places_noted
from reportgen.crossover.synthesis import Design
from reportgen.pairing.as_used import Layout, Setting
from reportgen.pairing.curves import Curves
from reportgen.pairing.electrical import Electrical
from reportgen.pairing.figures import Figures
from reportgen.pairing.network import Engineered, finished
from reportgen.pairing.parts_list import PartLine
from reportgen.pairing.response import Model
from reportgen.pairing.tolerances import SpreadFigures
from reportgen.problems import CannotAssess
from reportgen.suitability.assumptions import all_assumptions
from reportgen.suitability.cautions import Caution, all_cautions
from reportgen.suitability.checks import Check
from reportgen.suitability.choice import Choice, choose_by
from reportgen.suitability.limits import Limit, all_limits
from reportgen.suitability.verdict import UsableRange, Verdict, judge


@dataclass(frozen=True, slots=True)
class Remedy:
    """A set of changes that turns the verdict, or leaves nothing that fails of what is not known, worked out by a whole assessment of the changed pairing.

    `text` says it all in one piece; `condition` is what the other fields leave open, empty for a plain yes.
    """

    changes: tuple[str, ...]
    word: str
    range_hz: tuple[float | None, float | None]
    crossover_hz: float | None
    price: float | None
    text: str
    condition: str = ""


@dataclass(frozen=True)
class Assessment:
    """All that is known of one pairing. Frequencies Hz, levels dB, money in the maker's currency.

    `network` is None when none could be designed (`not_designed` says why), and so are the values taken from it. `crossover_why` says what spoke for a frequency that was left open. `remedies` is filled for pairings that are not suitable or marginal; `remedies_note` says what is
    to be known of the search.
    """

    case: Case
    verdict: Verdict
    limits: tuple[Limit, ...]
    found_range: UsableRange
    crossover_hz: float | None
    crossover_fixed: bool
    checks: tuple[Check, ...]
    cautions: tuple[Caution, ...]
    layout: Layout
    assumptions: tuple[str, ...]
    network: Engineered | None = None
    not_designed: str = ""
    price: float | None = None
    remedies: tuple[Remedy, ...] = ()
    remedies_note: str = ""
    crossover_why: str = ""
    named_sheets: tuple[str, ...] = ()
    """The sheets of which the texts name a cell or a row."""

    @property
    def id(self) -> str:
        """The pairing's ID."""
        return self.case.pairing.id

    @property
    def against(self) -> str:
        """What is to be said where the operator accepted what fails; empty elsewhere."""
        pairing = self.case.pairing
        if pairing.decision != "accepted" or self.verdict.word != "not suitable":
            return ""
        who = f" by {pairing.decided_by}" if pairing.decided_by else ""
        return f"Accepted{who} against this verdict."

    @property
    def headline(self) -> str:
        """The reason of the verdict, led by what stands against it."""
        return f"{self.against} {self.verdict.reason}".lstrip()

    @property
    def design(self) -> Design | None:
        """The designed branches."""
        return self.network.design if self.network else None

    @property
    def curves(self) -> Curves | None:
        """What is drawn of the network; None also where curves are left out."""
        return self.network.curves if self.network else None

    @property
    def parts(self) -> tuple[PartLine, ...]:
        """The parts to buy."""
        return self.network.parts if self.network else ()

    @property
    def electrical(self) -> Electrical | None:
        """What the amplifier sees."""
        return self.network.electrical if self.network else None

    @property
    def figures(self) -> Figures | None:
        """The figures of the finished loudspeaker."""
        return self.network.figures if self.network else None

    @property
    def spread(self) -> SpreadFigures | None:
        """What tolerances make of the sum."""
        return self.network.spread if self.network else None

    def with_curves(self, curves: Curves | None) -> Assessment:
        """The same with these curves, or without any: half its size."""
        return replace(self, network=replace(self.network, curves=curves)) if self.network else self


@dataclass(frozen=True, slots=True)
class Outline:
    """What lists and overviews tell of one pairing: so small that a season of any length fits in memory.

    Named and measured as in an assessment; `verdict` is without its lists. `sum_off_db` is the worst departure of the sum
    from its target, `good_share` of builds within tolerances; these and `figures` are None without a network.
    """

    case: Case
    verdict: Verdict
    headline: str
    found_range: UsableRange
    crossover_hz: float | None
    crossover_fixed: bool
    price: float | None
    layout: Layout
    figures: Figures | None
    sum_off_db: float | None
    good_share: float | None
    check_count: int

    @property
    def id(self) -> str:
        """The pairing's ID."""
        return self.case.pairing.id


Overview = Outline | Assessment
"""Either may stand in a list: what is read there both have."""


def outline(a: Assessment) -> Outline:
    """The small figures of an assessment."""
    return Outline(
        case=a.case,
        verdict=replace(a.verdict, fails=(), conditions=(), marginals=()),
        headline=a.headline,
        found_range=a.found_range,
        crossover_hz=a.crossover_hz,
        crossover_fixed=a.crossover_fixed,
        price=a.price,
        layout=a.layout,
        figures=a.figures,
        sum_off_db=abs(a.design.sum_worst_db) if a.design else None,
        good_share=a.spread.good_share if a.spread else None,
        check_count=len(a.checks),
    )


@dataclass(frozen=True, slots=True)
class Goods:
    """What a shop asks of a pairing beyond its outline: the parts to buy, and whether there is anything to be careful of."""

    parts: tuple[PartLine, ...]
    cautioned: bool

    @classmethod
    def of(cls, a: Assessment) -> Goods:
        """Those of an assessment."""
        return cls(a.parts, bool(a.cautions))


@dataclass(frozen=True, slots=True)
class Ware:
    """A pairing as a shop sees it: a tenth of its assessment."""

    outline: Outline
    goods: Goods

    @classmethod
    def of(cls, a: Assessment) -> Ware:
        """An assessment as a shop sees it."""
        return cls(outline(a), Goods.of(a))

    @property
    def id(self) -> str:
        """The pairing's ID."""
        return self.outline.id

    @property
    def case(self) -> Case:
        """All inputs."""
        return self.outline.case

    @property
    def parts(self) -> tuple[PartLine, ...]:
        """The parts to buy."""
        return self.goods.parts


def assess(case: Case, *, drawn: bool = True) -> Assessment:
    """Everything about one pairing: limits, range, crossover, network, checks, verdict, cautions.

    Not `drawn`, it is judged all the same, and what only a sheet shows of the network is left out: curves, assembly, readings, netlist.
    What cannot be worked out is said in the checks; CannotAssess only where no crossover frequency can be named, or
    where figures are so far from any loudspeaker that nothing can be calculated from them.
    """
    try:
        with places_noted() as named:
            found = _assessed(case, drawn)
        return replace(found, named_sheets=tuple(sorted(named)))
    except (ArithmeticError, ValueError) as error:
        raise CannotAssess(
            f"{case.pairing.id}: nothing can be calculated from its figures ({error.args[-1]}); look for a wrong unit or decimal"
            f" point in its row and in those of {case.low.id}, {case.high.id} and {case.cabinet.id}"
        ) from error


def _assessed(case: Case, drawn: bool) -> Assessment:
    setting = Setting(case)
    model = Model(setting)
    limits, found, choice = choose_by(model, all_limits(setting))
    if choice is None:
        raise CannotAssess(f"{case.pairing.id}: nothing bounds the crossover; give “Crossover (Hz)”")
    built, checks = choice.built, choice.checks
    return Assessment(
        case=case,
        verdict=judge(checks, found),
        limits=limits,
        found_range=found,
        crossover_hz=built.crossover_hz,
        crossover_fixed=case.pairing.crossover_hz is not None,
        crossover_why=choice.why,
        checks=checks,
        cautions=all_cautions(setting),
        layout=setting.layout,
        assumptions=_assumptions(setting, choice),
        network=finished(model, built.network) if drawn and built.network else built.network,
        not_designed=built.not_designed,
        price=built.price,
    )


def _assumptions(setting: Setting, choice: Choice) -> tuple[str, ...]:
    """What the model, the choice of the crossover and the spread assume."""
    hz, network = choice.built.crossover_hz, choice.built.network
    chosen = (f"The crossover of {hz:.0f} Hz was chosen: {choice.why}.",) if choice.why else ()
    builds = (
        ()
        if network is None
        else (f"Tolerances are drawn at random, {network.spread.builds} builds, always the same ones.",)
    )
    return (*all_assumptions(setting), *chosen, *builds)
