"""A pairing as plain SPICE text that any circuit simulator runs.

Knows the element lines of SPICE. Refuses to know how a load comes to be drawn with R, L and C; what its circuit says
of itself goes into the text.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from reportgen.crossover.circuit import GROUND, INPUT, Circuit, Element, node
from reportgen.crossover.equivalents import Equivalent, Section, equivalent_of
from reportgen.crossover.loads import DriverLoad

Load = Equivalent | DriverLoad | float


def plain(text: str, most: int = 60) -> str:
    """Text fit for a comment line: printable ASCII in one line, anything else a dot.

    >>> plain("Kit 7\\n.include /etc/x; 25 Ω")
    'Kit 7 .include /etc/x; 25 .'
    """
    one_line = " ".join(text.split())
    return re.sub(r"[^\x20-\x7e]", ".", one_line)[:most]


def _element(element: Element) -> list[str]:
    """Lines of one element under a remark with its role; its loss is a resistor of its own behind it."""
    remark = f"* {element.label}: {plain(element.role or element.kind)}"
    start, end = element.nodes
    if element.kind == "R":
        return [remark, f"{element.label} {start} {end} {element.value + element.resistance:.9g}"]
    if not element.resistance:
        return [remark, f"{element.label} {start} {end} {element.value:.9g}"]
    wire = f"{element.label.lower()}_w"
    loss = f"R{element.label} {wire} {end} {element.resistance:.9g}"
    return [remark, f"{element.label} {start} {wire} {element.value:.9g}", loss]


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


def netlist(
    title: str, circuit: Circuit, loads: Mapping[str, Load], lowest_hz: float = 20.0, highest_hz: float = 20e3
) -> str:
    """SPICE text of a circuit with its loads (a number is a resistance in ohm) on an amplifier of 1 V, 50 points a decade.

    Remarks name the nodes: `in` is the amplifier, v(in)/-i(vamp) the load it sees, and each driver stands between its two.
    """
    lines = [f"* {plain(title)}", f"* node {INPUT}: the amplifier, against {GROUND}"]
    for name, (plus, minus) in circuit.terminals.items():
        turned = ", reversed" if plus == GROUND else ""
        lines.append(
            f"* node {circuit.output(name)}: the driver of the {plain(name)} branch, plus at {plus}, minus at {minus}{turned}"
        )
    lines.append(f"vamp {INPUT} {GROUND} dc 0 ac 1")
    for element in circuit.elements:
        lines.extend(_element(element))
    for name, nodes in circuit.terminals.items():
        lines.extend(_load(equivalent_of(loads[name]), node(name), *nodes))
    outputs = " ".join(dict.fromkeys(f"v({circuit.output(name)})" for name in circuit.terminals))
    lines += [f".ac dec 50 {lowest_hz:.9g} {highest_hz:.9g}", f".print ac {outputs} i(vamp)", ".end"]
    return "\n".join(lines) + "\n"
