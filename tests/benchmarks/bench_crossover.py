"""The crossover room: one ladder beside other tools, and the design of every demo pairing.

Run: python -m tests.benchmarks.bench_crossover. Prints microseconds and ratios of the same ladder worked out by the package, by
scikit-rf and by one ngspice process, checks that the three agree, and prints CPU milliseconds of design and
spread a pairing. scikit-rf is in the extra `test`.
"""

from __future__ import annotations

import importlib.util
import shutil
import statistics
import subprocess
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from reportgen.catalogue.records import Case
from reportgen.crossover.circuit import Leg, circuit_of
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.netlist import netlist
from reportgen.crossover.networks import Branch, Component, across, in_path, transfer
from reportgen.crossover.spread import DriverTolerance, Pair, spread
from reportgen.crossover.synthesis import explored, ladder
from reportgen.pairing.as_used import Setting
from reportgen.pairing.options import options_for
from reportgen.pairing.response import Model
from reportgen.pairing.voiced import voicing_of
from reportgen.suitability.limits import all_limits
from reportgen.suitability.verdict import best_crossover_hz, usable_range
from tests.demo_catalogue import demo

F = np.geomspace(20.0, 20e3, 160)
LOAD = DriverLoad(5.4, 0.05e-3, 1100.0, 1.8, 1.2)
VALUES = {"C1": 6.8e-6, "L1": 0.4e-3, "C2": 22e-6, "R1": 2.2, "R2": 18.0}


def _ours() -> np.ndarray:
    branch = Branch(
        (
            in_path(Component("C", VALUES["C1"])),
            across(Component("L", VALUES["L1"])),
            in_path(Component("C", VALUES["C2"])),
            in_path(Component("R", VALUES["R1"])),
            across(Component("R", VALUES["R2"])),
        )
    )
    return transfer(branch, LOAD.impedance(F), F)


def _theirs() -> Callable[[], np.ndarray]:
    """The ladder as a cascade of two-ports; the medium is made once, as a user of the library would."""
    import skrf
    from skrf.media import DefinedGammaZ0

    medium = DefinedGammaZ0(skrf.Frequency.from_f(F, unit="hz"), z0=50)

    def work() -> np.ndarray:
        ladder = (
            medium.capacitor(VALUES["C1"])
            ** medium.shunt_inductor(VALUES["L1"])
            ** medium.capacitor(VALUES["C2"])
            ** medium.resistor(VALUES["R1"])
            ** medium.shunt(medium.resistor(VALUES["R2"]) ** medium.short())
        )
        chain = ladder.a
        return 1.0 / (chain[:, 0, 0] + chain[:, 0, 1] / LOAD.impedance(F))

    return work


def _simulated() -> Callable[[], None]:
    branch = Branch((in_path(Component("C", VALUES["C1"])), across(Component("L", VALUES["L1"]))))
    folder = Path(tempfile.mkdtemp())
    source = folder / "ladder.cir"
    source.write_text(netlist("ladder", circuit_of((Leg("high", branch),)), {"high": LOAD}))

    def work() -> None:
        subprocess.run(["ngspice", "-b", "-r", str(folder / "raw"), str(source)], capture_output=True, check=True)

    return work


def _best(work: Callable[[], object], rounds: int, each: int) -> float:
    """Seconds a call: the best of some rounds."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        for _ in range(each):
            work()
        times.append((time.perf_counter() - start) / each)
    return min(times)


def _ladder_table() -> None:
    ours = _best(_ours, 7, 200)
    rows = [("chain matrices of the package", ours)]
    if importlib.util.find_spec("skrf"):
        theirs = _theirs()
        miss = np.max(np.abs(theirs() / _ours() - 1.0))
        assert miss < 1e-6, f"the two disagree by {miss}"
        rows.append(("scikit-rf, cascade of two-ports", _best(theirs, 7, 20)))
    else:
        print("scikit-rf is not installed: pip install -e .[test]")
    if shutil.which("ngspice"):
        rows.append(("one ngspice process", _best(_simulated(), 5, 3)))
    print(f"{'a ladder of five parts, 160 frequencies':42}{'us':>10}{'ratio':>9}")
    for name, seconds in rows:
        print(f"{name:42}{seconds * 1e6:10.0f}{seconds / ours:9.1f}")


def _timed(case: Case) -> tuple[float, float]:
    """CPU seconds of the ladder of networks (forms, both branches, discrete search) and of 1 000 builds."""
    setting = Setting(case)
    crossover_hz = case.pairing.crossover_hz or best_crossover_hz(usable_range(all_limits(setting)))
    model = Model(setting)
    sides = model.low_side, model.high_side
    start = time.process_time()
    options = options_for(setting, voicing_of(model), case.pairing.parts_policy)
    found = ladder(explored(*sides, setting.slope, crossover_hz, options), options)[0]
    designed = time.process_time()
    pair = Pair(sides[0], found.low, sides[1], found.high, found.high_reversed)
    spread(pair, (crossover_hz / 2, 2 * crossover_hz), driver=DriverTolerance(0.3), builds=1000)
    return designed - start, time.process_time() - designed


def _pairing_table() -> None:
    catalogue = demo()
    cases = {name: catalogue.case(pairing) for name, pairing in catalogue.pairings.items()}
    _timed(next(iter(cases.values())))
    times = {name: tuple(map(min, _timed(case), _timed(case))) for name, case in cases.items()}
    print(f"\n{'CPU ms a pairing, best of two':42}{'design':>10}{'spread':>9}{'both':>9}")
    for name, (first, second) in times.items():
        print(f"{name:42}{1e3 * first:10.0f}{1e3 * second:9.0f}{1e3 * (first + second):9.0f}")
    both = [1e3 * sum(pair) for pair in times.values()]
    print(f"{'median':42}{'':19}{statistics.median(both):9.0f}\n{'largest':42}{'':19}{max(both):9.0f}")


def main() -> None:
    _ladder_table()
    _pairing_table()


if __name__ == "__main__":
    main()
