"""The netlist of every pairing of the demo season, run by ngspice, against our own transfer and input impedance.

ngspice is an independent circuit simulator. Loads with a closed form are held against the impedance of the model as
well; a fitted one stands for a measured curve and is held against itself, as the netlist says.
"""

from __future__ import annotations

import json
import re
import shutil

import numpy as np
import pytest
from skrf.network import Network, a2s, cascade_list

from reportgen.commands.results import result_line
from reportgen.crossover.networks import in_parallel, input_impedance, transfer
from reportgen.pairing.as_used import Setting
from reportgen.pairing.response import FREQUENCY_HZ, Model
from tests.demo_catalogue import demo, demo_assessed
from tests.every import every
from tests.reference.test_crossover_circuit_simulator import assert_agree, simulate

pytestmark = pytest.mark.skipif(
    shutil.which("ngspice") is None,
    reason="the circuit simulator ngspice is not on this machine; the set-up of the test runs installs it",
)

CATALOGUE = demo()


@every("pairing", CATALOGUE.pairings)
def test_the_simulator_finds_our_transfers_and_impedance(pairing, tmp_path):
    case = CATALOGUE.case(CATALOGUE.pairings[pairing])
    found, model = demo_assessed(pairing), Model(Setting(case))
    assert found.design is not None
    f, vectors = simulate(found.network.netlist, tmp_path)
    assert f[0] == pytest.approx(20.0) and f[-1] == pytest.approx(20e3)
    seen = []
    for name, branch, load in (("low", found.design.low, model.low_load), ("high", found.design.high, model.high_load)):
        impedance = load.impedance(f)
        seen.append(input_impedance(branch, impedance, f))
        assert_agree(transfer(branch, impedance, f), vectors[f"v({found.network.circuit.output(name)})"])
    assert_agree(in_parallel(*seen), vectors["v(in)"] / -vectors["i(vamp)"])


@every("pairing", CATALOGUE.pairings)
def test_the_load_in_the_netlist_is_the_load_of_the_model(pairing):
    """Closed forms exactly, a lossy coil within 0.3 %, a fitted circuit within what it says of itself."""
    case = CATALOGUE.case(CATALOGUE.pairings[pairing])
    model = Model(Setting(case))
    for load, side, lossy in (
        (model.low_load, model.low_side, case.low.le_exponent),
        (model.high_load, model.high_side, None),
    ):
        miss = np.max(np.abs(load.impedance(FREQUENCY_HZ) / side.impedance - 1.0))
        told = re.search(r"worst (\d+\.\d+) %", load.remark)
        assert miss < (0.05 if told else 0.003 if lossy else 1e-9)
        assert told is None or 100 * miss == pytest.approx(float(told[1]), abs=0.006)


def test_the_season_holds_every_kind_of_load():
    """Else the tests above would say less than they seem to."""
    cases = [CATALOGUE.case(pairing) for pairing in CATALOGUE.pairings.values()]
    assert {case.cabinet.kind for case in cases} == {"closed", "vented", "open baffle"}
    assert any(quantity == "impedance" for case in cases for _, quantity in case.curves)
    assert any(case.pairing.low_wiring == "series-parallel" for case in cases)


def public(found):
    """What results.json says of one pairing."""
    return json.loads(result_line(found))


def rebuilt_text(network, loads):
    """SPICE text written from results.json alone; only the drivers' equivalent circuits come from the netlist."""
    lines = ["* rebuilt", "vamp in 0 dc 0 ac 1"]
    for one in network["elements"]:
        start, end = one["nodes"]
        lines.append(f"{one['label']} {start} {one['label']}_x {one['value']!r}")
        lines.append(f"Rloss{one['label']} {one['label']}_x {end} {max(one['resistance'], 1e-9)!r}")
    return "\n".join([*lines, *loads, ".ac dec 400 20 20000", ".end"]) + "\n"


@every("pairing", CATALOGUE.pairings)
def test_the_sum_is_rebuilt_from_what_is_public(pairing, tmp_path):
    """Elements and terminals of results.json in ngspice, with each driver's level: the sum of the curves within 0.005 dB (it is interpolated between 400 points a decade).

    Where a measured impedance stands in the netlist as a fitted circuit, within what that circuit's miss explains.
    """
    case = CATALOGUE.case(CATALOGUE.pairings[pairing])
    found, model = demo_assessed(pairing), Model(Setting(case))
    network = public(found)["network"]
    loads = [line for line in found.network.netlist.splitlines() if re.match(r"[RLC](low|high)_d", line)]
    f, vectors = simulate(rebuilt_text(network, loads), tmp_path)
    total = np.zeros(FREQUENCY_HZ.size, dtype=complex)
    for name, side in (("low", model.low_side), ("high", model.high_side)):
        plus, minus = (vectors.get(f"v({node})", 0.0) for node in network["terminals"][name])
        gain = plus - minus
        level = np.interp(np.log(FREQUENCY_HZ), np.log(f), 20 * np.log10(np.abs(gain)))
        phase = np.interp(np.log(FREQUENCY_HZ), np.log(f), np.unwrap(np.angle(gain)))
        total += side.response * 10 ** (level / 20) * np.exp(1j * phase)
    rebuilt = 20 * np.log10(np.abs(total) / 2e-5)
    inside = slice(np.searchsorted(FREQUENCY_HZ, 60.0), None)
    fitted = "fitted to a measured" in found.network.netlist
    assert np.max(np.abs(rebuilt - np.array(found.curves.sum_db))[inside]) < (0.6 if fitted else 0.005)


def two_ports(network, name, f):
    """The branch as a cascade of two-ports from the amplifier to its driver: Network of scikit-rf."""
    jw = 2j * np.pi * f
    places = []  # (nodes, impedance) of this branch
    for one in network["elements"]:
        if any(node.startswith(name) for node in one["nodes"]):
            own = {"L": jw * one["value"], "C": 1 / (jw * one["value"]), "R": one["value"] + 0 * jw}[one["kind"]]
            places.append((set(one["nodes"]), own + one["resistance"]))
    driver = next(node for node in network["terminals"][name] if node != "0")
    path = _way("in", driver, [nodes for nodes, _ in places if "0" not in nodes])
    stages = []
    for here, there in zip(path, [*path[1:], None], strict=True):
        stages += [_shunt(z) for z in _to_ground(here, path, places)]
        if there is not None:
            stages.append(_series(1 / sum(1 / z for nodes, z in places if nodes == {here, there})))
    return cascade_list([Network(f=f, f_unit="hz", s=a2s(stage), z0=50) for stage in stages])


def _way(start, end, pairs):
    """The nodes from one to another."""
    ways = [[start]]
    while ways[0][-1] != end:
        way = ways.pop(0)
        ways += [[*way, node] for pair in pairs if way[-1] in pair for node in pair - {way[-1]} if node not in way]
    return ways[0]


def _to_ground(node, avoided, places):
    """Impedances of all ways from a node to ground that keep off the signal path."""
    for nodes, z in places:
        other = next(iter(nodes - {node}), None)
        if node in nodes and other == "0":
            yield z
        elif node in nodes and other not in avoided:
            yield from (z + rest for rest in _to_ground(other, [*avoided, node], places))


def _series(z):
    one = np.ones_like(z)
    return np.moveaxis(np.array([[one, z], [0 * z, one]]), -1, 0)


def _shunt(z):
    one = np.ones_like(z)
    return np.moveaxis(np.array([[one, 0 * z], [1 / z, one]]), -1, 0)


@every("pairing", ["P-01", "P-03", "P-06", "P-16", "P-19", "P-20"])
def test_a_general_network_library_finds_the_same_sum(pairing):
    """scikit-rf, over the two-ports that results.json describes, into the drivers' impedances."""
    case = CATALOGUE.case(CATALOGUE.pairings[pairing])
    found, model = demo_assessed(pairing), Model(Setting(case))
    network = public(found)["network"]
    total = np.zeros(FREQUENCY_HZ.size, dtype=complex)
    for name, side in (("low", model.low_side), ("high", model.high_side)):
        chain = two_ports(network, name, FREQUENCY_HZ).a
        gain = 1.0 / (chain[:, 0, 0] + chain[:, 0, 1] / side.impedance)
        total += side.response * gain * (-1.0 if network["terminals"][name][0] == "0" else 1.0)
    np.testing.assert_allclose(20 * np.log10(np.abs(total) / 2e-5), found.curves.sum_db, atol=1e-6)
