"""A pairing at its crossover: both drivers, the network or why there is none, and what is heard and paid.

Knows the figures that take both the setting and the design. Refuses to judge them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from reportgen.pairing.as_used import Setting
from reportgen.pairing.indices import step_db
from reportgen.pairing.measuring import break_up_found
from reportgen.pairing.network import Engineered, Networks
from reportgen.pairing.parts_list import PartLine
from reportgen.pairing.response import Model
from reportgen.pairing.shopping import cost_of, drivers_of, stock_ids, total
from reportgen.pairing.windows import Window, window_of
from reportgen.problems import CannotAssess


@dataclass(frozen=True)
class AsBuilt:
    """A setting at one crossover (Hz) and its network; `not_designed` says why there is none.

    `bare` is the same without a network: what no network changes is worked out there, once for all of them. `known_step_db`
    is the directivity step where it is known already.
    """

    model: Model
    crossover_hz: float
    network: Engineered | None = None
    not_designed: str = ""
    bare: AsBuilt | None = None
    known_step_db: float | None = None

    @property
    def setting(self) -> Setting:
        """The pairing as it is used."""
        return self.model.setting

    @cached_property
    def answers(self) -> dict[Callable[[AsBuilt], Any], Any]:
        """What questions that read no network were answered, kept by whoever asks them."""
        return {}

    @cached_property
    def directivity_step_db(self) -> float:
        """Directivity index of all low drivers less that of all high ones, as they stand, at the crossover (dB)."""
        if self.known_step_db is not None:
            return self.known_step_db
        return float(step_db(self.setting, np.array([self.crossover_hz]))[0])

    @cached_property
    def break_up_doubts(self) -> tuple[str, ...]:
        """How the measured response contradicts the break-up of its driver's row."""
        return tuple(finding.text for finding in break_up_found(self.model) if finding.doubtful)

    @cached_property
    def window(self) -> Window | None:
        """What is lost off the axis; None where the drivers or the seat have no place (`not_designed` then says it)."""
        with suppress(CannotAssess):
            return window_of(self.model)
        return None

    @cached_property
    def price(self) -> float | None:
        """Drivers, guide and network of one loudspeaker, without the network where a part states no price; None while `price_missing` names something."""
        if self.price_missing:
            return None
        parts = (self.network.parts_price or 0.0) if self.network else 0.0
        return total([(cost_of(drivers_of(self.setting.case)), 1), (parts, 1)])

    @cached_property
    def price_missing(self) -> tuple[str, ...]:
        """The cells without which the price is unknown."""
        missing = tuple(text for item in drivers_of(self.setting.case) for text in item.record.missing("price"))
        return missing + (self.unstated("price", self.network.parts) if self.network else ())

    def unstated(self, name: str, parts: Iterable[PartLine]) -> tuple[str, ...]:
        """The cells of the Parts sheet that are empty in column `name` for parts that the network takes from it."""
        used = {one for part in parts for one in stock_ids(part.part_id)}
        return tuple(text for part in self.setting.case.stock if part.id in used for text in part.missing(name))


def at_each(model: Model, crossovers_hz: Sequence[float]) -> tuple[AsBuilt, ...]:
    """The pairing at each of some crossovers (Hz), without a network: the directivity step is worked out for all of them at once."""
    steps = step_db(model.setting, np.array(crossovers_hz)).tolist()
    return tuple(AsBuilt(model, hz, known_step_db=step) for hz, step in zip(crossovers_hz, steps, strict=True))


def built_with(bare: AsBuilt, networks: Networks, policy: str) -> tuple[AsBuilt, ...]:
    """The pairing with each of its networks under a policy for parts, or once with the reason why there is none."""
    try:
        return tuple(replace(bare, network=one, not_designed="", bare=bare) for one in networks.of(policy))
    except (ValueError, CannotAssess) as error:
        return (replace(bare, not_designed=str(error), bare=bare),)
