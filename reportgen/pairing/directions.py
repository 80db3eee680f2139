"""What is heard of a network in other directions than the seat: arcs through it, and where the lobe points.

Knows places of drivers and listeners. Refuses to judge.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.frequencies import nearest
from reportgen.pairing.as_used import Setting
from reportgen.pairing.response import FREQUENCY_HZ
from reportgen.pairing.sums import Sums, Trace, db, trace

FloatArray = NDArray[np.float64]


ARC_RAD: FloatArray = np.radians(np.arange(-45.0, 45.1, 1.5))

LOBE_STEPS = 41
"""Directions inside the window at which the lobe is looked for; the seat is the middle one."""

STEEPEST_RAD = math.radians(85.0)
"""No listener is looked for further from the horizontal."""


def arc(sums: Sums, at: NDArray[np.intp], vertical: bool) -> tuple[Trace, ...]:
    """Level of the sum on an arc through the seat, re the seat (dB), one trace a frequency."""
    setting = sums.model.setting
    points = np.concatenate([setting.seat_m[None, :], arc_points(setting, ARC_RAD, vertical)])
    level = db(sums.model.heard_at(sums.weighted_sources(at), points, FREQUENCY_HZ[at]))
    return tuple(trace(level[1:, i] - level[0, i]) for i in range(at.size))


def arc_points(setting: Setting, angle_rad: FloatArray, vertical: bool) -> FloatArray:
    """Points (A, 3) on an arc through the seat: elevations seen from the high drivers, or azimuths from the middle."""
    x, y, z = setting.seat_m
    if vertical:
        _, y_high, z_high = setting.high_centre_m
        radius = math.hypot(y - y_high, z - z_high)
        y, z = y_high + radius * np.sin(angle_rad), z_high + radius * np.cos(angle_rad)
    else:
        x, z = z * np.sin(angle_rad), z * np.cos(angle_rad)
    return np.stack(np.broadcast_arrays(x, y, z), axis=-1)


def lobe_of(sums: Sums) -> tuple[float, float]:
    """Loudest direction at the crossover inside the window around the seat, and how much louder it is there (rad, dB).

    In the plane in which the centres stand apart; up, or to the right, is positive.
    """
    setting, half = sums.model.setting, sums.model.setting.lobing_half_window_rad
    at = nearest(FREQUENCY_HZ, [sums.design.crossover_hz])
    seat = 0.0 if setting.sideways else setting.elevation_rad(setting.case.pairing.ear_height_m)
    angle = np.linspace(-half, half, LOBE_STEPS)
    points = arc_points(setting, np.clip(seat + angle, -STEEPEST_RAD, STEEPEST_RAD), not setting.sideways)
    level = db(sums.model.heard_at(sums.weighted_sources(at), points, FREQUENCY_HZ[at]))[:, 0]
    best = int(np.argmax(level))
    return float(angle[best]), float(level[best] - level[LOBE_STEPS // 2])
