"""The netlist as text: what names may do to it, and what it refuses."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

import reportgen.crossover.netlist as netlist_module
from reportgen.crossover.circuit import Element, Leg, circuit_of, node
from reportgen.crossover.equivalents import Equivalent, Section, driver_equivalent, fitted_equivalent, vented_equivalent
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.netlist import netlist, plain
from reportgen.crossover.networks import Branch, Component, across, in_path
from tests.every import every

DRIVER = DriverLoad(5.6, 0.3e-3, 900.0, 2.2, 1.1)
HIGH = Branch((in_path(Component("C", 6.8e-6, 0.03, role="series\ncapacitor")), across(Component("L", 0.4e-3, 0.2))))


def text_of(title, *items):
    """The netlist of (name, branch, load) or (name, branch, load, reversed)."""
    legs = [Leg(name, branch, *turned) for name, branch, _, *turned in items]
    return netlist(title, circuit_of(legs), {name: load for name, _, load, *_ in items})


def test_every_line_is_a_remark_an_element_or_a_command():
    text = text_of("Kit 7", ("high", HIGH, DRIVER), ("low", Branch(()), 8.0))
    lines = text.splitlines()
    assert lines[0].startswith("* ")
    assert lines[-1] == ".end"
    element = re.compile(r"[RLCv]\w+ \w+ \w+ (\S+|dc 0 ac 1)$")
    assert all(line.startswith(("*", ".ac ", ".print ", ".end")) or element.match(line) for line in lines)
    names = [line.split()[0] for line in lines if element.match(line)]
    assert len(set(names)) == len(names)


@every("name", ["x\n.include /etc/passwd", "a\r\n.control\nshell ls\n.endc", "$(ls); `ls` 'q'", "Ω µ –"])
def test_names_cannot_smuggle_lines_in(name):
    load = replace(driver_equivalent(DRIVER), remark=name)
    text = text_of(name, (name, HIGH, load))
    assert text.isascii()
    starts = {line.split()[0].lower() for line in text.splitlines() if line.startswith(".")}
    assert starts == {".ac", ".print", ".end"}
    assert not any(line.startswith("shell") for line in text.splitlines())


def test_a_reversed_driver_stands_the_other_way_round():
    straight, turned = (text_of("t", ("high", HIGH, 8.0, r)) for r in (False, True))
    assert "Rhigh_d1_1_1 high1 0 8" in straight
    assert "Rhigh_d1_1_1 0 high1 8" in turned
    assert "plus at 0, minus at high1, reversed" in turned


def test_a_measured_load_becomes_a_fitted_one_that_says_so():
    f = np.geomspace(20.0, 20_000.0, 160)
    load = fitted_equivalent(f, DRIVER.impedance(f) * (1 + 0.01 * np.sin(np.log(f) * 9)))
    text = text_of("t", ("high", HIGH, load))
    assert "* load fitted to a measured impedance" in text


def test_box_and_port_of_a_vented_driver_are_three_parts_in_a_row():
    load = vented_equivalent(DRIVER, 0.03, 0.02, 40.0, 7.0)
    lines = text_of("t", ("low", Branch(()), load)).splitlines()
    box = [line.split() for line in lines if re.match(r"[LCR]low_d3_4_", line)]
    assert [line[0][0] for line in box] == ["L", "C", "R"]
    assert box[0][2] == box[1][1] and box[1][2] == box[2][1]
    assert box[0][1] == "low_d2_o" and box[2][2] == "0"


def test_two_branches_of_one_name_are_refused():
    with pytest.raises(ValueError, match="called the same"):
        text_of("t", ("High 1", HIGH, 8.0), ("high-1", HIGH, 8.0))


def test_text_helpers():
    assert node("ÄÖ") == "x"
    assert len(plain("y" * 200)) == 60


def test_the_circuit_names_every_place_by_hand():
    """C, then coil with damping resistor to ground, then a trap in the path: labels count through both branches."""
    trap = in_path(Component("L", 1e-4), Component("C", 2e-6), Component("R", 9.0), join="parallel")
    high = Branch(
        (
            in_path(Component("C", 4.7e-6, part_id="a + b", made_of_ids=("a", "b"))),
            across(Component("L", 3e-4, 0.2), Component("R", 0.5)),
            trap,
        )
    )
    found = circuit_of(
        (Leg("low", Branch((in_path(Component("L", 1e-3, 0.4, part_id="k")),))), Leg("high", high, True))
    )
    assert [(one.label, one.nodes) for one in found.elements] == [
        ("L1", ("in", "low1")), ("C1", ("in", "high1")), ("L2", ("high1", "high2")), ("R1", ("high2", "0")),
        ("L3", ("high1", "high3")), ("C2", ("high1", "high3")), ("R2", ("high1", "high3")),
    ]  # fmt: skip
    assert found.terminals == {"low": ("low1", "0"), "high": ("0", "high3")}
    assert (found.output("low"), found.output("high")) == ("low1", "high3")
    assert found.elements[1].pieces == ("a", "b") and found.elements[0].pieces == ("k",)
    assert circuit_of((Leg("low", Branch(())),)).terminals == {"low": ("in", "0")}


@every(
    ("kind", "resistance", "lines"),
    [
        ("R", 0.0, ["X1 a b 4.7"]), ("R", 0.3, ["X1 a b 5"]), ("C", 0.0, ["X1 a b 4.7"]), ("L", 0.0, ["X1 a b 4.7"]),
        ("C", 0.02, ["X1 a x1_w 4.7", "RX1 x1_w b 0.02"]), ("L", 0.35, ["X1 a x1_w 4.7", "RX1 x1_w b 0.35"]),
    ],
)  # fmt: skip
def test_a_loss_stands_behind_its_part_and_a_resistors_in_its_value(kind, resistance, lines):
    element = Element("X1", kind, ("a", "b"), 4.7, resistance, (), "a role")
    assert netlist_module._element(element) == ["* X1: a role", *lines]
    assert netlist_module._element(replace(element, role=""))[0] == f"* X1: {kind}"


def test_the_band_that_is_worked_out_is_the_audible_one_unless_said_otherwise():
    circuit = circuit_of([Leg("low", Branch((in_path(Component("L", 1e-3)),)))])
    assert ".ac dec 50 20 20000\n" in netlist("A", circuit, {"low": 8.0})
    assert ".ac dec 50 31.5 16000\n" in netlist("A", circuit, {"low": 8.0}, 31.5, 16e3)


def test_a_load_of_two_sections_hangs_between_the_nodes_of_its_driver():
    """One resistor, then a coil beside a capacitor and a resistor in a row: node names by hand."""
    chain = (Component("C", 2e-6), Component("R", 3.0))
    sections = Section(((Component("R", 5.0),),), "one"), Section(((Component("L", 1e-3),), chain), "two")
    found = list(netlist_module._load(Equivalent(sections, "near"), "low", "p", "0"))
    assert found == [
        "* near", "* driver: one", "Rlow_d1_1_1 p low_d1_o 5", "* driver: two", "Llow_d2_1_1 low_d1_o 0 0.001",
        "Clow_d2_2_1 low_d1_o low_d2_2_1_n 2e-06", "Rlow_d2_2_2 low_d2_2_1_n 0 3",
    ]  # fmt: skip


def test_every_branch_is_printed_and_its_nodes_are_told():
    """Three branches, the middle one reversed: remarks, outputs and the current of the amplifier, line by line."""
    legs = [
        Leg("low", Branch((in_path(Component("L", 1e-3)),))),
        Leg("mid", Branch((in_path(Component("C", 1e-5)),)), True),
        Leg("top", Branch(())),
    ]
    lines = netlist("Kit 7", circuit_of(legs), {"low": 8.0, "mid": 6.0, "top": 4.0}).splitlines()
    assert [line for line in lines if "node" in line] == [
        "* node in: the amplifier, against 0",
        "* node low1: the driver of the low branch, plus at low1, minus at 0",
        "* node mid1: the driver of the mid branch, plus at 0, minus at mid1, reversed",
        "* node in: the driver of the top branch, plus at in, minus at 0",
    ]
    assert lines[-2:] == [".print ac v(low1) v(mid1) v(in) i(vamp)", ".end"]
    assert [line for line in lines if line.startswith("R")] == [
        "Rlow_d1_1_1 low1 0 8",
        "Rmid_d1_1_1 0 mid1 6",
        "Rtop_d1_1_1 in 0 4",
    ]


def test_the_amplifier_is_a_volt_whose_current_flows_out_of_its_plus():
    """SPICE counts a source's current into its first node, so the load is v(in)/-i(vamp): 1 V at `in` against 0."""
    lines = netlist("A", circuit_of([Leg("low", Branch((in_path(Component("R", 2.0)),)))]), {"low": 8.0}).splitlines()
    assert [line for line in lines if line.startswith("vamp")] == ["vamp in 0 dc 0 ac 1"]
    assert "R1 in low1 2" in lines and "Rlow_d1_1_1 low1 0 8" in lines
