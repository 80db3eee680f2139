"""The curves and the circuit of one pairing as files for other programs, beside its sheet.

Knows CSV and what its columns are called. Refuses to know how a curve was found.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from reportgen.assessment import Assessment

COLUMNS = ("frequency_hz", "sum_db", "low_db", "high_db", "target_db", "impedance_ohm", "impedance_deg")
"""Levels at the seat for 2.83 V at the amplifier, dB re 20 uPa; the load that the amplifier sees."""


def data_files(assessment: Assessment) -> Iterator[tuple[str, str]]:
    """Ending and text of each file; nothing where there is no network."""
    network = assessment.network
    if network is None or network.curves is None:
        return
    curves = network.curves
    degrees = map(math.degrees, curves.impedance_phase_rad)
    traces = (curves.sum_db, curves.low_db, curves.high_db, curves.target_db, curves.impedance_ohm, degrees)
    rows = [",".join(repr(float(value)) for value in row) for row in zip(curves.frequency_hz, *traces, strict=True)]
    yield ".csv", "\n".join([",".join(COLUMNS), *rows]) + "\n"
    yield ".cir", network.netlist
