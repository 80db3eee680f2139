"""A radiator whose level off the axis was measured: the measurement where it reaches, the model of the radiator elsewhere.

Knows angles, two planes and levels re the axis. Refuses to know files and drivers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from reportgen.acoustics.air import STANDARD_AIR, Air, FloatArray
from reportgen.acoustics.measured import OCTAVE, averaged
from reportgen.acoustics.radiators import Radiator, quarter_of_half_sphere

Curve = tuple[FloatArray, FloatArray]
"""Hz and dB, (n,) each."""

GRID_HZ: FloatArray = np.geomspace(20.0, 20000.0, 241)
SIDE_ON = np.pi / 2.0


@dataclass(frozen=True, eq=False)
class Cut:
    """What a measurement adds to the amplitude of the model in one plane: (angles, frequencies of `GRID_HZ`).

    Angles in rad ascending; 0 on the axis and at 90 degrees, so that the model is reached there.
    """

    angles_rad: FloatArray
    added: FloatArray

    def at(self, frequency_hz: FloatArray, angle_rad: FloatArray) -> FloatArray:
        """The amount at any frequencies and angles of one shape; straight lines between."""
        across = np.interp(angle_rad, self.angles_rad, np.arange(self.angles_rad.size))
        along = np.interp(np.log(frequency_hz), np.log(GRID_HZ), np.arange(GRID_HZ.size))
        i = np.minimum(across.astype(np.intp), self.angles_rad.size - 2)
        j = np.minimum(along.astype(np.intp), GRID_HZ.size - 2)
        x, y = across - i, along - j
        low = self.added[i, j] * (1.0 - y) + self.added[i, j + 1] * y
        high = self.added[i + 1, j] * (1.0 - y) + self.added[i + 1, j + 1] * y
        return np.asarray(low * (1.0 - x) + high * x)


@dataclass(frozen=True, eq=False)
class MeasuredRadiator:
    """A radiator with measured cuts. Round ones turn from one plane into the other, and one plane serves for both.

    Beyond the last angle the difference to the model fades until 90 degrees, beyond the measured band within an octave.
    A rectangle is the product of its planes. The sign beyond a null is that of the model. Common practice, no source.
    """

    base: Radiator
    horizontal_cut: Cut | None
    vertical_cut: Cut | None

    def along(self, frequency_hz: ArrayLike, right: ArrayLike, up: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
        """Amplitude re the axis in a direction of which two cosines are given; inputs broadcast."""
        f, x, y = np.broadcast_arrays(*(np.asarray(one, dtype=np.float64) for one in (frequency_hz, right, up)))
        if self.base.rectangular:
            wide = _changed(self.base.along(f, x, 0.0, air), self.horizontal_cut, f, np.arcsin(np.clip(x, -1, 1)))
            tall = _changed(self.base.along(f, 0.0, y, air), self.vertical_cut, f, np.arcsin(np.clip(y, -1, 1)))
            return np.asarray(wide * tall)
        square = x**2 + y**2
        angle = np.arcsin(np.sqrt(np.minimum(square, 1.0)))
        share = np.where(square > 0.0, x**2 / np.where(square > 0.0, square, 1.0), 1.0)
        across, upwards = self.horizontal_cut or self.vertical_cut, self.vertical_cut or self.horizontal_cut
        added = np.zeros(f.shape)
        for cut, side, weight in ((across, x, share), (upwards, y, 1.0 - share)):
            if cut is not None:
                added = added + weight * cut.at(f, np.where(side < 0.0, -angle, angle))
        return _with_added(self.base.along(f, x, y, air), added)

    def index_db(self, frequency_hz: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
        """Directivity index in dB referred to a sphere, shape of `frequency_hz`, over the front half sphere."""
        f = np.asarray(frequency_hz, dtype=np.float64)
        right, up, solid = quarter_of_half_sphere(24)
        power = np.zeros(f.shape)
        for x, y in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
            power = power + self.along(f[..., None], x * right, y * up, air) ** 2 @ solid
        return np.asarray(10.0 * np.log10(4.0 * np.pi / power))

    @property
    def whole(self) -> bool:
        """True where no pieces may stand for it: it is small, or its height was measured."""
        return not self.base.rectangular or self.vertical_cut is not None

    @cached_property
    def planes(self) -> str:
        """In which planes it was measured, in words."""
        names = [name for name, cut in (("sideways", self.horizontal_cut), ("in height", self.vertical_cut)) if cut]
        return " and ".join(names)


def _changed(base: FloatArray, cut: Cut | None, frequency_hz: FloatArray, angle_rad: FloatArray) -> FloatArray:
    return base if cut is None else _with_added(base, cut.at(frequency_hz, angle_rad))


def _with_added(base: FloatArray, added: FloatArray) -> FloatArray:
    return np.asarray(np.where(base < 0.0, -1.0, 1.0) * np.maximum(np.abs(base) + added, 0.0))


def measured_radiator(
    base: Radiator, axis: Curve, aside: Mapping[tuple[str, float], Curve], air: Air = STANDARD_AIR
) -> MeasuredRadiator:
    """A radiator with the levels that were measured at angles: ("h" or "v", rad) -> (Hz, dB), as the axis was.

    h to the right, v upwards; where all angles of a plane lie on one side, the other side is alike.
    """
    cuts = {}
    for plane in ("h", "v"):
        found = {angle: curve for (name, angle), curve in aside.items() if name == plane and 0.0 < abs(angle) < SIDE_ON}
        if found and (all(angle > 0.0 for angle in found) or all(angle < 0.0 for angle in found)):
            found |= {-angle: curve for angle, curve in found.items()}
        cuts[plane] = _cut(base, axis, found, plane == "h", air) if found else None
    return MeasuredRadiator(base, cuts["h"], cuts["v"])


def _cut(base: Radiator, axis: Curve, aside: Mapping[float, Curve], across: bool, air: Air) -> Cut:
    angles = np.array(sorted({-SIDE_ON, 0.0, SIDE_ON, *aside}))
    added = np.zeros((angles.size, GRID_HZ.size))
    for row, angle in enumerate(angles):
        curve = aside.get(float(angle))
        if curve is None:
            continue
        sine = np.sin(angle)
        model = np.abs(base.along(GRID_HZ, sine if across else 0.0, 0.0 if across else sine, air))
        low, high = max(axis[0][0], curve[0][0]), min(axis[0][-1], curve[0][-1])
        inside = np.clip(GRID_HZ, low, high)
        fall_db = averaged(inside, *curve) - averaged(inside, *axis)
        away = np.abs(np.log(GRID_HZ / inside)) / OCTAVE
        at_edge = np.interp(np.log(inside), np.log(GRID_HZ), model)
        added[row] = (10.0 ** (fall_db / 20.0) - at_edge) * np.maximum(1.0 - away, 0.0)
    return Cut(angles, added)
