"""The netlist of every pairing of the demo season, run by ngspice, against our own transfer and input impedance.

ngspice is an independent circuit simulator. Loads with a closed form are held against the impedance of the model as
well; a fitted one stands for a measured curve and is held against itself, as the netlist says.
"""

from __future__ import annotations

import re
import shutil

import numpy as np
import pytest

from reportgen.assessment import assess
from reportgen.crossover.networks import in_parallel, input_impedance, transfer
from reportgen.pairing.as_used import Setting
from reportgen.pairing.response import FREQUENCY_HZ, Model
from tests.demo_catalogue import demo
from tests.reference.test_crossover_circuit_simulator import assert_agree, simulate

pytestmark = pytest.mark.skipif(
    shutil.which("ngspice") is None,
    reason="the circuit simulator ngspice is not on this machine; the set-up of the test runs installs it",
)

CATALOGUE = demo()


@pytest.mark.parametrize("pairing", CATALOGUE.pairings)
def test_the_simulator_finds_our_transfers_and_impedance(pairing, tmp_path):
    case = CATALOGUE.case(CATALOGUE.pairings[pairing])
    found, model = assess(case), Model(Setting(case))
    assert found.design is not None
    f, vectors = simulate(found.network.netlist, tmp_path)
    assert f[0] == pytest.approx(20.0) and f[-1] == pytest.approx(20e3)
    seen = []
    for name, branch, load in (("low", found.design.low, model.low_load), ("high", found.design.high, model.high_load)):
        impedance = load.impedance(f)
        seen.append(input_impedance(branch, impedance, f))
        assert_agree(transfer(branch, impedance, f), vectors[f"v({name}_out)"])
    assert_agree(in_parallel(*seen), vectors["v(in)"] / -vectors["i(vamp)"])


@pytest.mark.parametrize("pairing", CATALOGUE.pairings)
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
