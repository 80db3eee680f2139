"""A pairing as plain SPICE text that any circuit simulator runs.

Knows the element lines of SPICE. Refuses to know how a load comes to be drawn with R, L and C; what its circuit says
of itself goes into the text.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from reportgen.crossover.equivalents import Equivalent, Section, equivalent_of
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.networks import Branch, Component, Stage


@dataclass(frozen=True, slots=True)
class NetlistBranch:
    """One branch as it goes into the text: its name, parts, load (a number is a resistance in ohm), polarity."""

    name: str
    branch: Branch
    load: Equivalent | DriverLoad | float
    reversed: bool = False


def plain(text: str, most: int = 60) -> str:
    """Text fit for a comment line: printable ASCII in one line, anything else a dot.

    >>> plain("Kit 7\\n.include /etc/x; 25 Ω")
    'Kit 7 .include /etc/x; 25 .'
    """
    one_line = " ".join(text.split())
    return re.sub(r"[^\x20-\x7e]", ".", one_line)[:most]


def node(text: str) -> str:
    """Text fit for a node or element name: letters, digits and underscores, never empty.

    >>> node("high side (reversed)"), node("")
    ('high_side_reversed', 'x')
    """
    return re.sub(r"[^A-Za-z0-9]+", "_", text).strip("_").lower() or "x"


def _element(component: Component, label: str, start: str, end: str) -> list[str]:
    """Lines of one part under a remark with its role; its loss is a resistor of its own behind it."""
    remark = f"* {plain(component.role or component.kind)}"
    name = f"{component.kind}{label}"
    if component.kind == "R":
        return [remark, f"{name} {start} {end} {component.value + component.resistance_ohm:.9g}"]
    if not component.resistance_ohm:
        return [remark, f"{name} {start} {end} {component.value:.9g}"]
    middle = f"{label}_m"
    loss = f"R{label}_loss {middle} {end} {component.resistance_ohm:.9g}"
    return [remark, f"{name} {start} {middle} {component.value:.9g}", loss]


def _stage(stage: Stage, label: str, start: str, end: str) -> Iterator[str]:
    last = len(stage.components) - 1
    here = start
    for place, component in enumerate(stage.components):
        own = f"{label}_{place + 1}"
        if stage.join == "parallel":
            yield from _element(component, own, start, end)
            continue
        there = end if place == last else f"{own}_n"
        yield from _element(component, own, here, there)
        here = there


def _load(load: Equivalent, label: str, start: str, end: str) -> Iterator[str]:
    if load.remark:
        yield f"* {plain(load.remark, 110)}"
    here = start
    for place, section in enumerate(load.sections):
        own = f"{label}_d{place + 1}"
        there = end if place == len(load.sections) - 1 else f"{own}_o"
        yield f"* driver: {plain(section.remark)}"
        yield from _section(section, own, here, there)
        here = there


def _section(section: Section, label: str, start: str, end: str) -> Iterator[str]:
    for number, chain in enumerate(section.chains, 1):
        here = start
        for place, part in enumerate(chain, 1):
            own = f"{label}_{number}_{place}"
            there = end if place == len(chain) else f"{own}_n"
            yield f"{part.kind}{own} {here} {there} {part.value:.9g}"
            here = there


def _branch(item: NetlistBranch, source: str) -> Iterator[str]:
    label = node(item.name)
    yield f"* {plain(item.name)} branch{', driver reversed' if item.reversed else ''}"
    here = source
    paths = [place for place, stage in enumerate(item.branch.stages) if stage.place == "series"]
    for place, stage in enumerate(item.branch.stages):
        own = f"{label}_{place + 1}"
        if stage.place == "shunt":
            yield from _stage(stage, own, here, "0")
            continue
        there = f"{label}_out" if place == paths[-1] else f"{own}_o"
        yield from _stage(stage, own, here, there)
        here = there
    yield from _load(equivalent_of(item.load), label, *(("0", here) if item.reversed else (here, "0")))


def output_node(item: NetlistBranch, source: str = "in") -> str:
    """Node whose voltage against 0 is the branch's output (turn it over for a reversed driver)."""
    return f"{node(item.name)}_out" if any(s.place == "series" for s in item.branch.stages) else source


def netlist(title: str, branches: tuple[NetlistBranch, ...], lowest_hz: float = 20.0, highest_hz: float = 20e3) -> str:
    """SPICE text of all branches on one amplifier of 1 V, with a small-signal sweep of 50 points a decade.

    The node behind each branch is `<name>_out`; `i(vamp)` is the amplifier's current, so v(in)/-i(vamp) is the load
    the amplifier sees. ValueError when two branches have the same name.
    """
    names = [node(item.name) for item in branches]
    if len(set(names)) != len(names):
        raise ValueError(f"two branches are called the same in the netlist: {', '.join(names)}")
    lines = [f"* {plain(title)}", "vamp in 0 dc 0 ac 1"]
    for item in branches:
        lines.extend(_branch(item, "in"))
    outputs = " ".join(f"v({output_node(item)})" for item in branches)
    lines += [f".ac dec 50 {lowest_hz:.9g} {highest_hz:.9g}", f".print ac {outputs} i(vamp)", ".end"]
    return "\n".join(lines) + "\n"
