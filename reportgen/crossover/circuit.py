"""A crossover as elements between nodes: what a general circuit simulator, or a person with a soldering iron, needs.

Knows labels, nodes and terminals. Refuses to know drivers, text formats and how the branches were found.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from reportgen.crossover.networks import Branch, Kind
from reportgen.crossover.parts import used_ids

INPUT, GROUND = "in", "0"
"""The amplifier stands between these nodes."""


@dataclass(frozen=True, slots=True)
class Leg:
    """One branch as it goes into the circuit: its name, its parts, and whether its driver is turned over."""

    name: str
    branch: Branch
    reversed: bool = False


@dataclass(frozen=True, slots=True)
class Element:
    """One place of the circuit: farad, henry or ohm, and the loss in series with it (ohm).

    `pieces` names the rows of the Parts sheet that stand there: two where two make the value, none where it is bought
    elsewhere. `role` says what it does.
    """

    label: str
    kind: Kind
    nodes: tuple[str, str]
    value: float
    resistance: float
    pieces: tuple[str, ...]
    role: str = ""


@dataclass(frozen=True, slots=True)
class Circuit:
    """All elements, and of every branch the nodes of its driver: plus first, so that a reversed one begins at 0."""

    elements: tuple[Element, ...]
    terminals: Mapping[str, tuple[str, str]]

    def output(self, name: str) -> str:
        """The node behind a branch, whichever way its driver stands."""
        return next(one for one in (*self.terminals[name], INPUT) if one != GROUND)


def node(text: str) -> str:
    """Text fit for a node or element name: letters, digits and underscores, never empty.

    >>> node("high side (reversed)"), node("")
    ('high_side_reversed', 'x')
    """
    return re.sub(r"[^A-Za-z0-9]+", "_", text).strip("_").lower() or "x"


def circuit_of(legs: Sequence[Leg]) -> Circuit:
    """The branches on one amplifier; labels count each kind through all of them, nodes each branch for itself.

    ValueError when two branches have the same name.
    """
    names = [node(leg.name) for leg in legs]
    if len(set(names)) != len(names):
        raise ValueError(f"two branches are called the same in the circuit: {', '.join(names)}")
    counts: Counter[str] = Counter()
    elements: list[Element] = []
    terminals = {}
    for leg, name in zip(legs, names, strict=True):
        made, end = _leg(leg.branch, name, counts)
        elements += made
        terminals[leg.name] = (GROUND, end) if leg.reversed else (end, GROUND)
    return Circuit(tuple(elements), terminals)


def _leg(branch: Branch, name: str, counts: Counter[str]) -> tuple[list[Element], str]:
    """The elements of one branch and the node at its end."""
    here, number = INPUT, 0
    found: list[Element] = []
    for stage in branch.stages:
        chain = stage.join == "series"
        inner = len(stage.components) - 1 if chain else 0
        fresh = [f"{name}{number + k + 1}" for k in range(inner + (stage.place == "series"))]
        number += len(fresh)
        end = fresh[-1] if stage.place == "series" else GROUND
        path = [here, *fresh[:inner], end]
        for k, part in enumerate(stage.components):
            counts[part.kind] += 1
            nodes = (path[k], path[k + 1]) if chain else (here, end)
            label = f"{part.kind}{counts[part.kind]}"
            found.append(Element(label, part.kind, nodes, part.value, part.resistance_ohm, used_ids(part), part.role))
        here = end if stage.place == "series" else here
    return found, here
