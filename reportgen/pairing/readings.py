"""What to measure on the finished build, and what to simulate: readings to expect, and the netlist.

Knows the network's sums. Refuses to know pages.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from reportgen.acoustics.frequencies import between
from reportgen.crossover import netlist as spice
from reportgen.crossover.circuit import Circuit
from reportgen.pairing.electrical import electrical_of
from reportgen.pairing.response import FREQUENCY_HZ
from reportgen.pairing.sums import Sums


@dataclass(frozen=True, slots=True)
class Reading:
    """One measurement of the finished build: what, how, and the value it should give (in `unit`)."""

    what: str
    how: str
    expected: float
    unit: str
    tolerance: float


def readings_of(sums: Sums) -> tuple[Reading, ...]:
    """What an ohmmeter, a sine and a microphone should read on the finished build."""
    fc, electrical = sums.design.crossover_hz, electrical_of(sums)
    found = [
        Reading(
            "Resistance at the terminals",
            "ohmmeter, nothing else connected",
            electrical.resistance_at_terminals_ohm,
            "ohm",
            0.1,
        )
    ]
    for hz in (fc / 4.0, fc, min(4.0 * fc, 16000.0)):
        found.append(
            Reading(f"Impedance at {hz:.0f} Hz", "sine through a known resistor, voltages compared",
                    float(np.abs(between(FREQUENCY_HZ, sums.impedance, [hz])[0])), "ohm", 0.15)
        )  # fmt: skip
    if sums.design.slope.in_phase:
        found.append(
            Reading("Null, wires of the high driver swapped", f"sweep at the seat, cut off before the first echo, near {fc:.0f} Hz; at least half",
                    -sums.design.null_db, "dB", 0.5)
        )  # fmt: skip
    return tuple(found)


def netlist_of(sums: Sums, circuit: Circuit) -> str:
    """The netlist for a circuit simulator, or a comment that says why there is none."""
    pairing = sums.model.setting.case.pairing
    try:
        loads = {"low": sums.model.low_load, "high": sums.model.high_load}
    except ValueError as error:
        return f"* no netlist: {spice.plain(str(error), 300)}\n"
    return spice.netlist(f"{pairing.id} {pairing.kit or ''}", circuit, loads)
