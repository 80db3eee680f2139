"""Networks against ngspice, an independent circuit simulator, on the very netlist the program writes."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import dataclass
from math import pi, sqrt

import numpy as np
import pytest

from reportgen.acoustics.slopes import SLOPES
from reportgen.crossover.circuit import Leg, circuit_of
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.netlist import netlist
from reportgen.crossover.networks import (
    Branch,
    Component,
    across,
    component_loads,
    in_parallel,
    in_path,
    input_impedance,
    transfer,
)
from reportgen.crossover.stress import Programme, branch_stress, power_shares
from reportgen.crossover.topologies import (
    before_driver,
    before_filter,
    coil_compensation,
    handbook_high,
    handbook_low,
    level_pad,
    notch,
    resonance_trap,
)
from tests.every import every

pytestmark = pytest.mark.skipif(
    shutil.which("ngspice") is None,
    reason="the circuit simulator ngspice is not on this machine; the set-up of the test runs installs it",
)

LOW = DriverLoad(5.8, 0.6e-3, 45.0, 3.5, 0.45)
HIGH = DriverLoad(5.4, 0.05e-3, 1100.0, 1.8, 1.2)


def C(value, loss=0.0):  # noqa: N802 - the letter of the part in every circuit diagram
    return Component("C", value, loss)


def L(value, loss=0.0):  # noqa: N802 - as above
    return Component("L", value, loss)


def R(value):  # noqa: N802 - as above
    return Component("R", value)


PADDED = before_driver(handbook_high(SLOPES["BW3"], 6.0, 2500.0), *level_pad(4.0, 5.4), resonance_trap(HIGH))
NOTCHED = before_filter(
    before_driver(handbook_low(SLOPES["LR4"], 6.0, 2500.0), coil_compensation(5.8, 0.6e-3)), notch(5200.0, 8.0, 6.0)
)
LOSSY = Branch(
    (
        in_path(C(8.2e-6, 0.04)),
        across(L(0.22e-3, 0.18), R(0.5)),
        in_path(C(27e-6, 0.02), L(0.05e-3, 0.1)),
        in_path(R(1.5)),
        across(R(9.1)),
        across(L(0.39e-3, 0.22), C(33e-6, 0.03), R(3.9)),
        across(C(2.2e-6, 0.05), R(5.6)),
    )
)
STEPPED = Branch(
    (
        in_path(L(1.2e-3, 0.4), R(5.0), join="parallel"),
        in_path(L(0.68e-3, 0.28)),
        across(C(15e-6, 0.03), C(3.3e-6, 0.02), R(40.0), join="parallel"),
    )
)


@dataclass(frozen=True)
class Item:
    """A branch on its load."""

    name: str
    branch: Branch
    load: DriverLoad | float
    reversed: bool = False


def circuit(*items):
    return circuit_of([Leg(item.name, item.branch, item.reversed) for item in items])


def text(title, *items):
    return netlist(title, circuit(*items), {item.name: item.load for item in items})


CASES = {
    "high, third order, pad and trap": Item("high", PADDED, HIGH),
    "low, fourth order, notch and compensation": Item("low", NOTCHED, LOW),
    "high, losses everywhere": Item("high", LOSSY, HIGH, reversed=True),
    "low, parallel stages with losses": Item("low", STEPPED, LOW),
    "low, into a resistance": Item("low", handbook_low(SLOPES["BW2"], 8.0, 3000.0), 8.0),
}


def simulate(text, folder):
    """Run a netlist; returns frequencies and every vector by name, read from the simulator's binary raw file."""
    source, raw = folder / "circuit.cir", folder / "circuit.raw"
    source.write_text(text, encoding="ascii")
    done = subprocess.run(
        ["ngspice", "-b", "-r", str(raw), str(source)], capture_output=True, text=True, timeout=60, check=False
    )
    assert raw.exists(), done.stdout + done.stderr
    head, _, body = raw.read_bytes().partition(b"Binary:\n")
    lines = head.decode("ascii").splitlines()
    count = next(int(line.split(":")[1]) for line in lines if line.startswith("No. Variables"))
    start = lines.index("Variables:") + 1
    names = [line.split()[1].lower() for line in lines[start : start + count]]
    table = np.frombuffer(body, dtype=np.complex128).reshape(-1, count)
    vectors = {name: table[:, i] for i, name in enumerate(names)}
    return vectors.pop("frequency").real, vectors


def load_of(item, f):
    return item.load.impedance(f) if isinstance(item.load, DriverLoad) else np.full(len(f), item.load + 0j)


def assert_agree(ours, theirs):
    """Within 0.01 dB and 0.1 degree at every frequency where the level is above -100 dB."""
    heard = np.abs(theirs) > 1e-5
    assert np.count_nonzero(heard) > 80
    assert np.max(np.abs(20 * np.log10(np.abs(ours / theirs)[heard]))) < 0.01
    assert np.max(np.abs(np.degrees(np.angle(ours / theirs)[heard]))) < 0.1


@every("name", CASES)
def test_response_and_impedance_agree(name, tmp_path):
    item = CASES[name]
    f, vectors = simulate(text(name, item), tmp_path)
    load = load_of(item, f)
    assert_agree(transfer(item.branch, load, f), vectors[f"v({circuit(item).output(item.name)})"])
    assert_agree(input_impedance(item.branch, load, f), vectors["v(in)"] / -vectors["i(vamp)"])


def test_both_branches_on_one_amplifier_agree(tmp_path):
    pair = (CASES["low, fourth order, notch and compensation"], CASES["high, losses everywhere"])
    f, vectors = simulate(text("a whole crossover", *pair), tmp_path)
    both = in_parallel(*(input_impedance(item.branch, load_of(item, f), f) for item in pair))
    assert_agree(both, vectors["v(in)"] / -vectors["i(vamp)"])
    for item in pair:
        assert_agree(transfer(item.branch, load_of(item, f), f), vectors[f"v({circuit(item).output(item.name)})"])


def test_currents_of_the_coils_agree(tmp_path):
    item = CASES["low, parallel stages with losses"]
    f, vectors = simulate(text("coils", item), tmp_path)
    loads = component_loads(item.branch, load_of(item, f), f)
    places = {"i(l1)": 0, "i(l2)": 2}
    assert all(item.branch.components[place].kind == "L" for place in places.values())
    for name, place in places.items():
        assert_agree(loads.current[place], vectors[name])


def test_stress_agrees_with_the_simulators_currents(tmp_path):
    """Rms current of a coil under a programme, summed over the simulator's own currents."""
    item = CASES["low, parallel stages with losses"]
    f, vectors = simulate(text("stress", item), tmp_path)
    programme = Programme(np.array([125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0]), np.array([0.0, 1, 0, -2, -4, -7]))
    stress = branch_stress(item.branch, load_of(item, f), f, programme, 20.0)
    place = next(i for i, c in enumerate(item.branch.components) if c.kind == "L" and c.value == 0.68e-3)
    current = vectors["i(l2)"]
    shares = power_shares(programme, f)
    assert stress[place].current_rms == pytest.approx(20.0 * sqrt(np.sum(shares * np.abs(current) ** 2)), rel=1e-3)


def test_the_driver_of_the_netlist_is_the_driver_of_the_formula(tmp_path):
    f, vectors = simulate(text("bare driver", Item("low", Branch(()), LOW)), tmp_path)
    assert_agree(LOW.impedance(f), vectors["v(in)"] / -vectors["i(vamp)"])
    assert abs(f[0] - 20.0) < 1e-6
    assert 2 * pi * LOW.fs_hz * LOW.cmes_f * LOW.re_ohm == pytest.approx(LOW.qes)
