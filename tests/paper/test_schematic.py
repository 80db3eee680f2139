"""The circuit diagram, for any branch: legible, complete, and electrically the network that was assessed."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reportgen.crossover.circuit import Leg, circuit_of
from reportgen.crossover.networks import Branch, Component, Stage, transfer
from reportgen.crossover.parts import paired_value
from reportgen.pairing.assembly import Wire
from reportgen.paper import schematic
from reportgen.paper.drawings import Picture
from reportgen.paper.joints import Ends, joints_of, named_joints
from reportgen.paper.schematic import SYMBOL, draw_network, ladder, network_picture, wiring_picture
from tests.every import every
from tests.paper.looks import assert_legible, polylines
from tests.paper.samples import VARIANTS, many_parts
from tests.trying import LONG

VALUES = {"C": (1e-7, 1e-4), "L": (1e-5, 5e-3), "R": (0.5, 60.0)}


@st.composite
def components(draw: st.DrawFn) -> Component:
    kind = draw(st.sampled_from("CLR"))
    values = st.floats(*VALUES[kind])
    if kind != "L" and draw(st.integers(0, 3)) == 0:
        first, second, join = draw(values), draw(values), draw(st.sampled_from(["series", "parallel"]))
        return Component(kind, paired_value(kind, first, second, join), made_of=(first, second), join=join)
    return Component(kind, draw(values))


@st.composite
def branches(draw: st.DrawFn) -> Branch:
    stages = []
    for _ in range(draw(st.integers(0, 9))):
        parts = tuple(draw(st.lists(components(), min_size=1, max_size=4)))
        stages.append(
            Stage(draw(st.sampled_from(["series", "shunt"])), draw(st.sampled_from(["series", "parallel"])), parts)
        )
    return Branch(tuple(stages))


def single_parts(branch: Branch) -> list[tuple[str, float]]:
    """Kind and value of every part that is soldered in, pairs as two."""
    return [(c.kind, v) for c in branch.components for v in (c.made_of or (c.value,))]


class Recorder:
    """Draws a network and notes where each symbol, driver, letter and terminal was put."""

    def __init__(
        self, patch: pytest.MonkeyPatch, low: Branch, high: Branch, width: float, joints: dict[str, Ends] | None = None
    ) -> None:
        self.joints: list[tuple[float, float, str]] = []
        self.symbols: list[tuple[float, float, bool]] = []
        self.drivers: list[tuple[float, float, float]] = []
        self.letters: list[tuple[float, float, str]] = []
        for name, into in (
            ("_symbol", self._symbol),
            ("_loudspeaker", self._driver),
            ("_letter", self._letter),
            ("_joint", self._joint),
        ):
            patch.setattr(schematic, name, self._noting(getattr(schematic, name), into))
        first: dict[str, int] = {}
        sides = ((low, "low driver"), (high, "high driver"))
        ladders = [ladder(branch, (), name, first=first, joints=joints) for branch, name in sides]
        self.picture = draw_network(ladders, width)

    @staticmethod
    def _noting(drawn: Any, note: Any) -> Any:
        def both(*values: Any, **named: Any) -> None:
            note(*values, **named)
            drawn(*values, **named)

        return both

    def _symbol(self, _pen: Any, _kind: str, x: float, y: float, lying: bool) -> None:
        self.symbols.append((x, y, lying))

    def _driver(self, _pen: Any, x: float, top: float, bottom: float, upright: bool = True) -> None:
        self.drivers.append((x, top, bottom))

    def _letter(self, _pen: Any, x: float, y: float, letter: str, _anchor: str) -> None:
        self.letters.append((x, y, letter))

    def _joint(self, _pen: Any, x: float, y: float, name: str, along: bool = True) -> None:
        if name.isdigit():
            self.joints.append((x, y, name))


class Nets:
    """Which drawn points are one node: ends that meet, and wires that a dot joins (a crossing alone does not)."""

    def __init__(self, picture: Picture) -> None:
        self.root: dict[tuple[int, int], tuple[int, int]] = {}
        data = {path.ink: path.data for path in picture.paths}
        self.segments = [pair for line in polylines(data.get("wire", "")) for pair in pairwise(line)]
        dots = [tuple(map(float, piece.split("a")[0].split())) for piece in data.get("dot", "").split("M")[1:]]
        for start, end in self.segments:
            self.join(start, end)
        for x, y in dots:
            for start, end in self.segments:
                if self._on((x + 1.7, y), start, end):
                    self.join((x + 1.7, y), start)

    @staticmethod
    def key(point: tuple[float, float]) -> tuple[int, int]:
        return round(point[0] * 2.0), round(point[1] * 2.0)

    @staticmethod
    def _on(point: tuple[float, float], start: tuple[float, float], end: tuple[float, float]) -> bool:
        across = math.hypot(end[0] - start[0], end[1] - start[1])
        return abs(math.dist(point, start) + math.dist(point, end) - across) < 0.05

    def find(self, point: tuple[float, float]) -> tuple[int, int]:
        """The node of a point; neighbouring half points are one, for coordinates are rounded to tenths."""
        x, y = self.key(point)
        near = [(x + dx, y + dy) for dx in (0, -1, 1) for dy in (0, -1, 1)]
        node = next((key for key in near if key in self.root), near[0])
        self.root.setdefault(node, node)
        while self.root[node] != node:
            node = self.root[node]
        return node

    def join(self, one: tuple[float, float], other: tuple[float, float]) -> None:
        self.root[self.find(one)] = self.find(other)


def drawn_nets(recorder: Recorder) -> Nets:
    """The nodes of what was drawn, rows joined by their letters."""
    nets = Nets(recorder.picture)
    by_letter: dict[str, tuple[float, float]] = {}
    for x, y, letter in recorder.letters:
        if letter in by_letter:
            nets.join(by_letter[letter], (x, y))
        by_letter[letter] = (x, y)
    return nets


def solved(recorder: Recorder, parts: list[tuple[str, float]], load: float, hz: float) -> list[complex]:
    """Voltage at each driver for 1 V at the amplifier, by nodal analysis of what was drawn."""
    nets = drawn_nets(recorder)
    omega = 2.0 * math.pi * hz
    admittance = {"C": lambda v: 1j * omega * v, "L": lambda v: 1.0 / (1j * omega * v), "R": lambda v: 1.0 / v}
    edges = []
    for (x, y, lying), (kind, value) in zip(recorder.symbols, parts, strict=True):
        end = (x + SYMBOL, y) if lying else (x, y + SYMBOL)
        edges.append((nets.find((x, y)), nets.find(end), admittance[kind](value)))
    drivers = [(nets.find((x, top)), nets.find((x, bottom))) for x, top, bottom in recorder.drivers]
    edges += [(one, other, 1.0 / load) for one, other in drivers]
    wires = [p for segment in nets.segments for p in segment]
    plus, minus = (pick((p for p in wires if abs(p[0] - 8.2) < 0.1), key=lambda p: p[1]) for pick in (min, max))
    source, ground = nets.find(plus), nets.find(minus)
    nodes = sorted({n for one, other, _ in edges for n in (one, other)} - {source, ground})
    place = {node: i for i, node in enumerate(nodes)}
    matrix, right = np.zeros((len(nodes), len(nodes)), complex), np.zeros(len(nodes), complex)
    for one, other, y in edges:
        for a, b in ((one, other), (other, one)):
            if a in place:
                matrix[place[a], place[a]] += y
                if b in place:
                    matrix[place[a], place[b]] -= y
                elif b == source:
                    right[place[a]] += y
    known = dict(zip(nodes, np.linalg.solve(matrix, right), strict=True)) | {source: 1.0, ground: 0.0}
    return [complex(known[one] - known[other]) for one, other in drivers]


@settings(max_examples=300 if LONG else 40, deadline=None)
@given(branches(), branches(), st.sampled_from([300.0, 510.0]))
def test_any_two_branches_are_legible_and_complete(low: Branch, high: Branch, width: float) -> None:
    picture = draw_network(
        [ladder(low, (), "low driver"), ladder(high, (), "high driver", "4, series-parallel", True)], width
    )
    assert_legible(picture)
    words = [label.text for label in picture.labels]
    assert words.count("reversed") == 1
    names = [w for w in words if w[0] in "CLR" and w[1:2].isdigit()]  # a name and its value make one line
    assert len(names) == len(single_parts(low)) + len(single_parts(high))


@settings(max_examples=300 if LONG else 40, deadline=None)
@given(branches(), branches(), st.sampled_from([300.0, 510.0]), st.floats(200.0, 10000.0))
def test_what_is_drawn_is_what_was_assessed(low: Branch, high: Branch, width: float, hz: float) -> None:
    # nodal analysis (textbook: sum of currents at every node is zero) of the wires on paper, against the chain matrices
    with pytest.MonkeyPatch.context() as patch:
        recorder = Recorder(patch, low, high, width)
    drawn = solved(recorder, single_parts(low) + single_parts(high), 8.0, hz)
    for voltage, branch in zip(drawn, (low, high), strict=True):
        wanted = complex(transfer(branch, 8.0, hz).item())
        assert abs(voltage - wanted) < 1e-6 * max(1.0, abs(wanted))


@settings(max_examples=300 if LONG else 40, deadline=None)
@given(branches(), branches(), st.sampled_from([300.0, 510.0]))
def test_the_joints_of_the_parts_list_stand_at_their_points_in_the_drawing(
    low: Branch, high: Branch, width: float
) -> None:
    circuit = circuit_of((Leg("low", low), Leg("high", high)))
    joints = named_joints([Wire(one.label, *one.nodes) for one in circuit.elements])
    with pytest.MonkeyPatch.context() as patch:
        recorder = Recorder(patch, low, high, width, joints)
    assert_legible(recorder.picture)
    nets, symbols = drawn_nets(recorder), iter(recorder.symbols)
    ends: dict[str, set[tuple[int, int]]] = {}
    for element, component in zip(circuit.elements, (*low.components, *high.components), strict=True):
        pieces = [next(symbols) for _ in component.made_of or (component.value,)]
        (x, y, _), (last_x, last_y, lying) = pieces[0], pieces[-1 if component.join == "series" else 0]
        end = (last_x + SYMBOL, last_y) if lying else (last_x, last_y + SYMBOL)
        for name, point in zip(joints[element.label], ((x, y), end), strict=True):
            ends.setdefault(name, set()).add(nets.find(point))
    drawn = {name: nets.find((x, y)) for x, y, name in recorder.joints}
    assert len(drawn) == len(recorder.joints)  # each once
    assert {name: {net} for name, net in drawn.items()} == {
        name: found for name, found in ends.items() if name.isdigit()
    }


def test_a_short_network_is_one_row_and_a_long_one_is_joined_by_letters() -> None:
    part = Component("L", 1e-3)
    short = draw_network([ladder(Branch((Stage("series", "series", (part,)),)), (), "low driver")])
    long = draw_network([ladder(Branch((Stage("series", "series", (part,) * 20),)), (), "low driver")])
    assert not any(label.text == "A" for label in short.labels)
    assert sum(label.text == "A" for label in long.labels) == 2


def test_demo_networks_are_legible_and_carry_the_names_of_the_parts_list() -> None:
    for make in VARIANTS.values():
        found = make()
        picture = network_picture(found)
        if picture is None:
            assert found.design is None
            continue
        assert_legible(picture)
        words = {label.text.split()[0] for label in picture.labels}
        for line in found.parts:
            assert {line.label} <= words or {f"{line.label}a", f"{line.label}b"} <= words
        named = {name for ends in joints_of(found).values() for name in ends if name.isdigit()}
        assert named == {label.text for label in picture.labels if label.text.isdigit()}
    assert network_picture(many_parts()) is not None


@every("in_series", [1, 2, 4, 7])
@every("rows", [1, 2, 4, 8])
def test_wiring_of_several_drivers(in_series: int, rows: int) -> None:
    picture = wiring_picture(in_series, rows, "low drivers")
    assert_legible(picture)
    drawn = sum(label.text == "+" for label in picture.labels) - 1
    assert drawn == min(in_series, 4) * min(rows, 4)
    assert (f"{rows} side by side" in " ".join(label.text for label in picture.labels)) == (rows > 4)
