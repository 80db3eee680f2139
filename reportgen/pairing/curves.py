"""Everything that is drawn of a network over frequency and angle.

Knows how traces are made of its sums. Refuses to know pages.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reportgen.pairing.directions import arc, arc_angles
from reportgen.pairing.indices import INDEX_STEP, drawn_db
from reportgen.pairing.reach import Reach
from reportgen.pairing.response import FREQUENCY_HZ
from reportgen.pairing.sums import Sums, Trace, db, trace

FloatArray = NDArray[np.float64]


ARC_TOP_HZ = (10000.0, 15000.0)
"""Besides an octave around the crossover the arcs are worked out here, where tall and wide radiators narrow."""


@dataclass(frozen=True)
class Curves:
    """Everything that is drawn over frequency or angle; all traces of one group have the same length.

    Levels are dB SPL at the seat for 2.83 V at the amplifier; angles are radians, positive upwards.
    """

    frequency_hz: Trace
    low_db: Trace
    high_db: Trace
    sum_db: Trace
    target_db: Trace
    reversed_db: Trace
    impedance_ohm: Trace
    impedance_phase_rad: Trace
    low_index_db: Trace
    high_index_db: Trace
    sum_index_db: Trace
    max_level_db: Trace
    max_level_cause: tuple[str, ...]
    wanted_level_db: float
    vertical_angle_rad: Trace
    vertical_hz: Trace
    vertical_db: tuple[Trace, ...]
    horizontal_angle_rad: Trace
    horizontal_db: tuple[Trace, ...]
    seated_angle_rad: float
    standing_angle_rad: float


def curves_of(sums: Sums, reach: Reach, target_db: FloatArray) -> Curves:
    """All traces of a network: at the seat on the whole grid, on arcs at a few frequencies."""
    setting, found = sums.model.setting, sums.design
    fc = found.crossover_hz
    arcs_hz = np.array([fc / math.sqrt(2), fc, fc * math.sqrt(2), *ARC_TOP_HZ])
    up, across = (arc_angles(setting, fc, ARC_TOP_HZ[-1], vertical) for vertical in (True, False))
    indices = _index_traces(sums)
    return Curves(
        frequency_hz=trace(FREQUENCY_HZ),
        low_db=trace(db(sums.low)),
        high_db=trace(db(sums.high)),
        sum_db=trace(db(sums.low + sums.high)),
        target_db=trace(target_db),
        reversed_db=trace(db(sums.low - sums.high)),
        impedance_ohm=trace(np.abs(sums.impedance)),
        impedance_phase_rad=trace(np.angle(sums.impedance)),
        low_index_db=indices[0],
        high_index_db=indices[1],
        sum_index_db=indices[2],
        max_level_db=trace(reach.level_db),
        max_level_cause=reach.cause,
        wanted_level_db=setting.case.pairing.peak_level_db,
        vertical_angle_rad=trace(up),
        vertical_hz=trace(arcs_hz),
        vertical_db=arc(sums, arcs_hz, up, vertical=True),
        horizontal_angle_rad=trace(across),
        horizontal_db=arc(sums, arcs_hz, across, vertical=False),
        seated_angle_rad=setting.elevation_rad(setting.case.pairing.ear_height_m),
        standing_angle_rad=setting.elevation_rad(setting.case.practice["standing ear height"]),
    )


def _index_traces(sums: Sums) -> tuple[Trace, ...]:
    """Directivity indices (dB) of all low drivers, of all high ones with their guides, and of the whole sum."""
    heard = sums.weighted_sources(FREQUENCY_HZ[::INDEX_STEP])
    return tuple(trace(index) for index in drawn_db(sums.model, heard, sums.low, sums.high))
