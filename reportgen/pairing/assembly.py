"""How the network is put together: point to point, which coils keep apart, what kind each part is, what may replace it.

Knows rules of the trade for parts on a board, as data that a page can print. Refuses to choose values and to judge.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from reportgen.crossover.circuit import INPUT, Circuit, Element
from reportgen.crossover.networks import Branch, Kind
from reportgen.crossover.parts import Series, at_hand, preferred_values
from reportgen.crossover.reached import Bench
from reportgen.crossover.sides import DesignOptions, Side
from reportgen.crossover.synthesis import Design
from reportgen.crossover.topologies import SHELF

AIR_CORE_TO_H = 2.2e-3
"""A larger coil with an air core has too much wire; it gets a core of iron (common practice, no source)."""

APART_M, FURTHER_M = 0.06, 0.10
"""Coils stand so far apart at right angles; two that must lie the same way stand the further apart (common practice)."""

WIRE_MM = ((1.5, 0.7), (3.0, 1.0), (5.0, 1.4), (float("inf"), 1.8))
"""Up to so many amperes, copper wire at least so thick (common practice, no source)."""

RESISTANCE_ROOM = 1.25
"""A coil's wire may have so much more resistance than reckoned with before the level of its branch is off (no source)."""

RESISTORS = "Mount resistors clear of damping material, wood and other parts: they get hot."


@dataclass(frozen=True, slots=True)
class Wire:
    """One line of the wiring table: a part or a driver's terminal, and the points it joins."""

    what: str
    start: str
    end: str


@dataclass(frozen=True, slots=True)
class Apart:
    """Two coils: how far apart their middles stand (m), and whether their axes stand at right angles."""

    first: str
    second: str
    distance_m: float
    crossed: bool


@dataclass(frozen=True, slots=True)
class PartNote:
    """What a part must be beside its value: kind, and for a coil wire (mm) and most resistance (ohm).

    `substitute` is a value (SI) that may stand in its place within the checks, `substitute_id` its row of the Parts sheet
    where it has one; None says that there is no substitute.
    """

    label: str
    kind: str
    wire_mm: float | None = None
    most_ohm: float | None = None
    substitute: float | None = None
    substitute_id: str | None = None


@dataclass(frozen=True, slots=True)
class Assembly:
    """All that the build page says of the network beside its values; `shelf` says what the voicing of the bass does."""

    wiring: tuple[Wire, ...]
    coils: tuple[Apart, ...]
    parts: tuple[PartNote, ...]
    shelf: tuple[str, ...]
    resistors: str


def assembly(
    design: Design,
    circuit: Circuit,
    loads: Sequence[tuple[float, float]],
    bench: Bench,
    options: DesignOptions,
    given_up_db: float,
    made_good_by: str = "the room",
) -> Assembly:
    """How a network is put together.

    `loads` are, in the order of the circuit, each part's rms current (A) and the rating it needs (V, A, W); `given_up_db` is
    how far the whole is voiced under the low drivers' level on a large baffle; `made_good_by` says what gives the bass back.
    """
    replaced = _substitutes(design, circuit, [needed for _, needed in loads], bench, options)
    parts = tuple(
        _note(one, current, *replaced[one.label]) for one, (current, _) in zip(circuit.elements, loads, strict=True)
    )
    resistors = RESISTORS if any(one.kind == "R" for one in circuit.elements) else ""
    return Assembly(
        _wiring(circuit), _coils(circuit), parts, _shelf(options, circuit, given_up_db, made_good_by), resistors
    )


def _wiring(circuit: Circuit) -> tuple[Wire, ...]:
    parts = [Wire(one.label, *one.nodes) for one in circuit.elements]
    ends = [Wire(f"{name} driver", plus, minus) for name, (plus, minus) in circuit.terminals.items()]
    return (Wire("amplifier", INPUT, "0"), *parts, *ends)


def _coils(circuit: Circuit) -> tuple[Apart, ...]:
    """Every pair of coils: three can stand at right angles to each other, a fourth lies along one of them."""
    labels = [one.label for one in circuit.elements if one.kind == "L"]
    pairs = combinations(enumerate(labels), 2)
    crossed = [(first, second, i % 3 != j % 3) for (i, first), (j, second) in pairs]
    return tuple(Apart(first, second, APART_M if right else FURTHER_M, right) for first, second, right in crossed)


def _note(one: Element, current_a: float, substitute: float | None, id_: str | None) -> PartNote:
    if one.kind == "R":
        return PartNote(one.label, "wire-wound or film resistor", None, None, substitute, id_)
    if one.kind == "C":
        path = "0" not in one.nodes and one.nodes[0].startswith((INPUT, "high"))
        kind = "film capacitor" if path else "film or bipolar capacitor"
        return PartNote(one.label, kind, None, None, substitute, id_)
    core = "air-core coil" if one.value <= AIR_CORE_TO_H else "iron-core coil"
    wire = next(mm for most, mm in WIRE_MM if current_a <= most)
    return PartNote(one.label, core, wire, RESISTANCE_ROOM * one.resistance or None, substitute, id_)


def _shelf(options: DesignOptions, circuit: Circuit, given_up_db: float, made_good_by: str) -> tuple[str, ...]:
    voicing = options.voicing
    said: tuple[str, ...] = (
        f"Below about {voicing.step_hz:.0f} Hz the bass is voiced {voicing.shelf_db:g} dB under the rest; {made_good_by} makes that good."
        if voicing.shelf_db > 0.0
        else "The bass is voiced level with the rest.",
    )
    if given_up_db > 0.0:
        said += ("Middle and treble come down to that, which is the level given up.",)
    shelf = [one.label for one in circuit.elements if one.role == SHELF]
    if shelf:
        said += (f"Without {' and '.join(shelf)} the voices stand forward and the bass sounds thin.",)
    return said


# --- substitutes ----------------------------------------------------------------------------------------------------

NEAR = 1.35
"""A substitute's value lies within this factor (common practice, no source)."""

Substitutes = dict[str, tuple[float | None, str | None]]


def _substitutes(
    design: Design, circuit: Circuit, needed: Sequence[float], bench: Bench, options: DesignOptions
) -> Substitutes:
    """For each part the nearest other value with which the network still meets what is wanted, or misses no more."""
    found: Substitutes = {}
    sign = -1 if design.high_reversed else 1
    labels = zip((one.label for one in circuit.elements), needed, strict=True)
    fixed = [bench.side_heard(side, branch) for side, branch in _sides(design, bench)]
    for place, (side, branch) in enumerate(_sides(design, bench)):
        for k, part in enumerate(branch.components):
            label, rating = next(labels)
            others = _others(part.kind, part.value, rating, options)
            if not others:
                found[label] = (None, None)
                continue
            values = np.repeat(branch.values[None], len(others), axis=0)
            values[:, k] = [value for value, _ in others]
            tried = bench.side_heard(side, branch, values, np.repeat(branch.resistances_ohm[None], len(others), axis=0))
            pair = (tried, fixed[1]) if place == 0 else (fixed[0], tried)
            missed = bench.many(*pair, sign, design.target_db).missed(options.wanted, design.slope.in_phase)
            good = np.flatnonzero(missed <= design.missed + 1e-9)
            found[label] = others[good[0]] if good.size else (None, None)
    return found


def _sides(design: Design, bench: Bench) -> tuple[tuple[Side, Branch], tuple[Side, Branch]]:
    return (bench.low, design.low), (bench.high, design.high)


def _others(kind: Kind, value: float, rating: float, options: DesignOptions) -> list[tuple[float, str | None]]:
    """Other values near one, nearest first: those on the shelf that bear `rating`, and the preferred ones where any may be bought."""
    bearing = [one for one in at_hand(options.stock, kind) if one.rating is None or one.rating >= rating]
    shelf: list[tuple[float, str | None]] = [(one.value, one.id) for one in bearing]
    if options.policy != "stock":
        series: Series = options.resistor_series if kind == "R" else options.series
        shelf += [(float(one), None) for one in preferred_values(series, value / NEAR, value * NEAR)]
    near = [one for one in shelf if 0.005 < abs(float(np.log(one[0] / value))) <= float(np.log(NEAR))]
    return sorted(near, key=lambda one: (abs(float(np.log(one[0] / value))), one[1] is None))
