"""The netlist as text: what names may do to it, and what it refuses."""

from __future__ import annotations

import re

import numpy as np
import pytest

from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.netlist import NetlistBranch, measured_load, netlist, node, plain
from reportgen.crossover.networks import Branch, Component, across, in_path

DRIVER = DriverLoad(5.6, 0.3e-3, 900.0, 2.2, 1.1)
HIGH = Branch((in_path(Component("C", 6.8e-6, 0.03, role="series\ncapacitor")), across(Component("L", 0.4e-3, 0.2))))


def test_every_line_is_a_remark_an_element_or_a_command():
    text = netlist("Kit 7", (NetlistBranch("high", HIGH, DRIVER), NetlistBranch("low", Branch(()), 8.0)))
    lines = text.splitlines()
    assert lines[0].startswith("* ")
    assert lines[-1] == ".end"
    element = re.compile(r"[RLCv]\w+ \w+ \w+ (\S+|dc 0 ac 1)$")
    assert all(line.startswith(("*", ".ac ", ".print ", ".end")) or element.match(line) for line in lines)
    names = [line.split()[0] for line in lines if element.match(line)]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize(
    "name", ["x\n.include /etc/passwd", "a\r\n.control\nshell ls\n.endc", "$(ls); `ls` 'q'", "Ω µ –"]
)
def test_names_cannot_smuggle_lines_in(name):
    text = netlist(name, (NetlistBranch(name, HIGH, DRIVER, remark=name),))
    assert text.isascii()
    starts = {line.split()[0].lower() for line in text.splitlines() if line.startswith(".")}
    assert starts == {".ac", ".print", ".end"}
    assert not any(line.startswith("shell") for line in text.splitlines())


def test_a_reversed_driver_stands_the_other_way_round():
    straight, turned = (netlist("t", (NetlistBranch("high", HIGH, 8.0, reversed=r),)) for r in (False, True))
    assert "Rhigh_load high_out 0 8" in straight
    assert "Rhigh_load 0 high_out 8" in turned
    assert "driver reversed" in turned


def test_a_measured_load_becomes_a_fitted_one_that_says_so():
    f = np.geomspace(20.0, 20_000.0, 160)
    load, remark = measured_load(f, DRIVER.impedance(f) * (1 + 0.01 * np.sin(np.log(f) * 9)))
    assert load.fs_hz == pytest.approx(900.0, rel=0.02)
    assert remark.startswith("load fitted to a measured impedance")
    assert "fitted" in netlist("t", (NetlistBranch("high", HIGH, load, remark=remark),))


def test_a_measured_load_of_another_shape_is_refused():
    f = np.geomspace(20.0, 20_000.0, 160)
    vented = DriverLoad(5.8, 0.4e-3, 28.0, 5.0, 0.5).impedance(f) + DriverLoad(5.8, 0.0, 80.0, 5.0, 0.5).impedance(f)
    with pytest.raises(ValueError, match="cannot be drawn as Re, Le and one resonance"):
        measured_load(f, vented)


def test_two_branches_of_one_name_are_refused():
    with pytest.raises(ValueError, match="called the same"):
        netlist("t", (NetlistBranch("High 1", HIGH, 8.0), NetlistBranch("high-1", HIGH, 8.0)))


def test_text_helpers():
    assert node("ÄÖ") == "x"
    assert len(plain("y" * 200)) == 60
