"""What the high drivers lose where listeners are not on their axis: in height, sideways, and towards floor and ceiling.

Knows the seat, the windows and the room's two flat surfaces. Refuses to judge, and to know other walls.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics.frequencies import nearest
from reportgen.acoustics.listening import near_field
from reportgen.pairing.as_used import Setting
from reportgen.pairing.directions import STEEPEST_RAD
from reportgen.pairing.response import FREQUENCY_HZ, Model

FloatArray = NDArray[np.float64]

TILT_FROM_HZ = 5000.0
"""From here up the fall of a tall radiator's top end is told."""
SIDE_FROM_HZ = 10000.0
"""Sideways the loss is told here and at the top of the band."""


@dataclass(frozen=True, slots=True)
class Window:
    """What the high drivers lose (dB): at the seated and the standing ear in the top octave, beside what the longer way alone takes,
    over the band (tilt), at the edge of the horizontal window at 10 kHz and in the top band, and at 5 kHz towards floor and ceiling against the seat.
    `hole_db` and `hole_hz` are the most that an ear inside the vertical window loses from 5 kHz up between several of them, and where.

    `seated_hz` and `standing_hz` are where those ears lose most; None: at the top of the band. Sideways thirds of an octave are meant.
    """

    seated_loss_db: float
    standing_loss_db: float
    tilt_db: float
    side_loss_db: tuple[float, float]
    room_loss_db: float
    seated_hz: float | None = None
    standing_hz: float | None = None
    hole_db: float = 0.0
    hole_hz: float = 0.0


def window_of(model: Model) -> Window:
    """The losses of a pairing; CannotAssess where drivers or seat have no place."""
    setting, practice, seat = model.setting, model.setting.case.practice, model.seat_m
    hz = (TILT_FROM_HZ, practice["high band top"])
    on_axis = setting.to_room_m([*setting.high_middle_m[:2], setting.to_baffle_m(seat)[2]])
    ears = np.array([on_axis, seat, [seat[0], practice["standing ear height"], seat[2]]])
    inside, mirrored = _in_height(setting, seat), _mirrored(setting, seat)
    power = _power(model, np.vstack([ears, inside, mirrored]), hz)
    # what a longer way takes, it takes of bass and treble alike
    further = _ways(setting, ears) / _ways(setting, ears[:1])
    axis, heard_sitting, heard_standing = power[:3] * further
    seated = power[1]
    last = 3 + len(inside)
    tilt = np.mean(power[3:last], axis=0) / _own_power(model, hz)
    ways = _ways(setting, np.vstack([mirrored, seat]))[:, 0]
    room = np.mean(power[last:, 0] * ways[:-1]) / (seated[0] * ways[-1])
    lost = _most_lost(_power(model, ears, _thirds_hz(hz[-1], 3)) * further)
    (seated_db, seated_hz), (standing_db, standing_hz) = (
        max(((_db(axis[-1] / ear[-1]), None), (found, hz[-1] * 2.0 ** -((third + 0.5) / 3.0))), key=lambda one: one[0])
        for ear, (found, third) in zip((heard_sitting, heard_standing), lost, strict=True)
    )
    side_db = _side_loss_db(model, (SIDE_FROM_HZ, hz[-1]))
    several = setting.case.pairing.high_count > 1
    hole_db, hole_hz = _hole(model, np.vstack([seat, inside]), hz) if several else (0.0, 0.0)
    return Window(
        seated_db, standing_db, _db(tilt[0] / tilt[-1]), side_db, -_db(room), seated_hz, standing_hz, hole_db, hole_hz
    )


def _hole(model: Model, ears: FloatArray, band_hz: tuple[float, float]) -> tuple[float, float]:
    """The most that one of the ears (N, 3) loses against the first in a third of an octave of the band (dB), and its middle (Hz)."""
    thirds = round(3.0 * np.log2(band_hz[1] / band_hz[0]))
    power = _power(model, ears, _thirds_hz(band_hz[1], thirds)) * _ways(model.setting, ears)
    lost, third = max(_most_lost(power))
    return lost, band_hz[1] * 2.0 ** -((third + 0.5) / 3.0)


def _thirds_hz(top_hz: float, count: int) -> tuple[float, ...]:
    """Frequencies (Hz) of so many thirds of an octave under the top one, from there down."""
    return tuple(top_hz * np.exp2(-(np.arange(count * IN_A_THIRD) + 0.5) / (3 * IN_A_THIRD)))


def _ways(setting: Setting, points_m: FloatArray) -> FloatArray:
    """Squared ways from the middle of the high drivers to points (N, 3), as (N, 1)."""
    return np.asarray(np.sum((points_m - setting.high_centre_m) ** 2, axis=1, keepdims=True))


IN_A_THIRD = 8
"""So many frequencies of each third of an octave are looked at."""


def _most_lost(power: FloatArray) -> list[tuple[float, int]]:
    """The largest loss (dB) of each ear but the first, against that one, and in which third of an octave, from the top down.

    Drivers one over another, and tall ones, cancel at one frequency and add at another; `power` is (ears, frequencies).
    """
    thirds = power.reshape(len(power), -1, IN_A_THIRD).mean(axis=2)
    lost = thirds[0] / thirds[1:]
    return [(_db(one.max()), int(one.argmax())) for one in lost]


def _side_loss_db(model: Model, middles_hz: tuple[float, float]) -> tuple[float, float]:
    """What the worse edge of the horizontal window loses against the seat over the third of an octave about each frequency (dB).

    Drivers beside one another cancel at one frequency: a hole no wider than that is not heard as such.
    """
    steps = np.exp2((np.arange(IN_A_THIRD) - (IN_A_THIRD - 1) / 2.0) / (3 * IN_A_THIRD))
    points = np.vstack([model.seat_m, _aside(model.setting, model.seat_m)])
    seat, *edges = _power(model, points, tuple(np.outer(middles_hz, steps).ravel())).reshape(3, 2, -1).mean(axis=2)
    at_first, at_last = seat / np.min(edges, axis=0)
    return _db(at_first), _db(at_last)


def _power(model: Model, points_m: FloatArray, hz: tuple[float, ...]) -> FloatArray:
    """Squared pressure of the high drivers at points (N, 3) at the grid frequencies next to `hz`: (N, F)."""
    at = nearest(FREQUENCY_HZ, hz)
    sources = [replace(source, response=source.response[at]) for source in model.high_sources]
    return np.asarray(np.maximum(np.abs(model.heard_at(sources, points_m, FREQUENCY_HZ[at])) ** 2, 1e-30))


def _own_power(model: Model, hz: tuple[float, ...]) -> FloatArray:
    """Squared strength of one high driver at `hz`, as it reads where it was measured: what its own response does is no tilt."""
    setting, at = model.setting, nearest(FREQUENCY_HZ, hz)
    read = near_field(setting.high_radiator, FREQUENCY_HZ[at], setting.case.high.measured_at_m, setting.air)
    return np.asarray(np.abs(model.high_sources[0].response[at] * read) ** 2)


def _in_height(setting: Setting, seat: FloatArray) -> FloatArray:
    """Ears (15, 3) over the vertical window at the seat's distance."""
    half = setting.case.pairing.vertical_half_window_rad
    angle = np.clip(setting.elevation_rad(seat[1]) + np.linspace(-half, half, 15), -STEEPEST_RAD, STEEPEST_RAD)
    height = setting.high_centre_m[1] + (seat[2] - setting.high_centre_m[2]) * np.tan(angle)
    return np.stack(np.broadcast_arrays(seat[0], height, seat[2]), axis=-1)


def _aside(setting: Setting, seat: FloatArray) -> FloatArray:
    """Ears (2, 3) at both edges of the horizontal window, as far away as the seat."""
    angle = np.array([-1.0, 1.0]) * min(setting.case.pairing.horizontal_half_window_rad, STEEPEST_RAD)
    return np.stack(np.broadcast_arrays(seat[2] * np.sin(angle), seat[1], seat[2] * np.cos(angle)), axis=-1)


def _mirrored(setting: Setting, seat: FloatArray) -> FloatArray:
    """The seat (2, 3) as floor and ceiling mirror it: there the first reflections are aimed."""
    ceiling = setting.case.practice["ceiling height"]
    return np.array([[seat[0], -seat[1], seat[2]], [seat[0], 2.0 * ceiling - seat[1], seat[2]]])


def _db(ratio: float) -> float:
    return float(10.0 * np.log10(ratio))
