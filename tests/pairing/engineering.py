"""One network of a pairing at a given crossover, for tests that ask what follows from a network."""

from __future__ import annotations

from reportgen.pairing.network import Engineered, Networks, finished
from reportgen.pairing.response import Model


def engineer(model: Model, crossover_hz: float) -> Engineered:
    """The smallest of the networks that miss least, with its curves."""
    found = Networks(model, crossover_hz).of(model.setting.case.pairing.parts_policy)
    best = min(found, key=lambda one: (round(one.design.missed, 2), one.design.pieces))
    return finished(model, best)
