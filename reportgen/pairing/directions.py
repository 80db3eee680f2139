"""What is heard of a network in other directions than the seat: arcs through it, and where the lobe points.

Knows places of drivers and listeners. Refuses to judge.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from reportgen.pairing.as_used import Place, Setting
from reportgen.pairing.sums import Sums, Trace, db, trace

FloatArray = NDArray[np.float64]


ARC_END_RAD = math.radians(45.0)
COARSE_RAD, FINE_RAD = math.radians(1.5), math.radians(0.25)
"""An arc is drawn to so far from the horizontal or the middle, in steps between these two."""

LOBE_POINTS = 12
"""Points of an arc between two nulls: a curve through them looks round on paper (looked at on a 200 mm ribbon at 15 kHz)."""

LOBE_STEPS = 41
"""Directions inside the window at which the lobe is looked for; the seat is the middle one."""

STEEPEST_RAD = math.radians(85.0)
"""No listener is looked for further from the horizontal."""


def arc_angles(setting: Setting, crossover_hz: float, top_hz: float, vertical: bool) -> FloatArray:
    """Angles (rad) at which an arc is worked out: closer where sources reach far in its plane for the wave (Hz).

    Nulls of a line of length L lie a wave length over L apart (radians, near its middle). All drivers count half an octave over
    the crossover, at the top the high ones alone.
    """
    apart = [
        setting.air.speed_m_s / hz / reach
        for hz, reach in (
            (math.sqrt(2.0) * crossover_hz, _reach_m(setting, setting.places, vertical)),
            (top_hz, _reach_m(setting, setting.high_places, vertical)),
        )
        if reach > 0.0
    ]
    step = max(min([COARSE_RAD, *(angle / LOBE_POINTS for angle in apart)]), FINE_RAD)
    count = math.ceil(ARC_END_RAD / step - 1e-9)
    return np.linspace(-ARC_END_RAD, ARC_END_RAD, 2 * count + 1)


def _reach_m(setting: Setting, places: Sequence[Place], vertical: bool) -> float:
    """From the first edge of the radiating surfaces to the last, up or across (m); 0 without any."""
    edges = []
    for place in places:
        surface = setting.low_radiator if place.role == "low" else setting.high_mouth
        middle, half = (place.y_m, surface.tall_m / 2.0) if vertical else (place.x_m, surface.width_m / 2.0)
        edges += [middle - half, middle + half]
    return max(edges) - min(edges) if edges else 0.0


def arc(sums: Sums, hz: FloatArray, angle_rad: FloatArray, vertical: bool) -> tuple[Trace, ...]:
    """Level of the sum on an arc through the seat, re the seat (dB), one trace for each of `hz`."""
    setting = sums.model.setting
    points = np.concatenate([setting.seat_m[None, :], arc_points(setting, angle_rad, vertical)])
    level = db(sums.model.heard_at(sums.weighted_sources(hz), points, hz))
    return tuple(trace(level[1:, i] - level[0, i]) for i in range(hz.size))


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
    hz = np.array([sums.design.crossover_hz])
    seat = 0.0 if setting.sideways else setting.elevation_rad(setting.case.pairing.ear_height_m)
    angle = np.linspace(-half, half, LOBE_STEPS)
    points = arc_points(setting, np.clip(seat + angle, -STEEPEST_RAD, STEEPEST_RAD), not setting.sideways)
    level = db(sums.model.heard_at(sums.weighted_sources(hz), points, hz))[:, 0]
    best = int(np.argmax(level))
    return float(angle[best]), float(level[best] - level[LOBE_STEPS // 2])
