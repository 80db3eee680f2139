"""Waveguides: how far down they hold a pattern, and what they do to the radiator behind them.

Knows the pattern limit of a mouth, the pattern in each plane and the gain on the axis.
Refuses to know the contour of a guide, its depth and its resonances.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from reportgen.acoustics.air import STANDARD_AIR, Air, FloatArray
from reportgen.acoustics.radiators import ModelBound, Radiator, quarter_of_half_sphere

PATTERN_CONSTANT = 25400.0
"""Hz degree metre (Keele 1975: a million with inches)."""
RELEASE_OCTAVES = 1.0
"""Octaves below its limit in which a pattern gives way to that of the bare radiator. Not tuned: one octave is what is usually
drawn (common practice, no source); half an octave moves the gain of guides 165 and 240 mm wide by up to 4 dB inside it."""


def _array(value: ArrayLike) -> FloatArray:
    return np.asarray(value, dtype=np.float64)


def pattern_limit_hz(coverage_rad: ArrayLike, mouth_m: ArrayLike) -> FloatArray:
    """Frequency in Hz down to which a mouth holds its full coverage angle in one plane; inputs broadcast.

    25 400/(coverage in degrees times mouth in metres). `coverage_rad` between the -6 dB directions, above 0 to pi;
    `mouth_m` in m above 0. Found on conical horns of 40 to 140 degrees. Source: Keele 1975, AES preprint 1038.

    >>> round(float(pattern_limit_hz(np.radians(90.0), 0.15)), 1)
    1881.5
    """
    return np.asarray(PATTERN_CONSTANT / (np.degrees(_array(coverage_rad)) * _array(mouth_m)))


def horn_cutoff_hz(throat_m: float, mouth_area_m2: float, length_m: float, air: Air = STANDARD_AIR) -> float:
    """Frequency in Hz below which an exponential horn, S = St exp(mx), carries no wave: m c/(4 pi), m = ln(Sm/St)/length.

    `throat_m` is the diameter of a round throat in m, `mouth_area_m2` in m2 and larger than the throat's, `length_m` in m; a horn
    without reflection from its mouth, narrow against the wavelength at the throat. A conical horn has no such end: below it still
    sends what a source in its angle sends. Raises ValueError for a mouth that is not larger than the throat.
    Source: Webster 1919; Beranek 1954, ch. 9 (memory); the horn equation solved step by step in tests/reference.

    >>> round(horn_cutoff_hz(0.025, 0.04, 0.25))
    481
    """
    ratio = mouth_area_m2 / (np.pi * throat_m**2 / 4.0)
    if not ratio > 1.0:
        raise ValueError(f"a mouth {ratio:.2g} times its throat; a horn widens, so it must be more than 1")
    return float(np.log(ratio) / length_m * air.speed_m_s / (4.0 * np.pi))


@dataclass(frozen=True)
class Guide:
    """A waveguide by its mouth in m and its full coverage angles (between the -6 dB directions) in rad.

    Raises ValueError for a mouth that is not greater than 0 or a coverage outside 0 to pi.
    """

    mouth_width_m: float
    mouth_height_m: float
    horizontal_coverage_rad: float
    vertical_coverage_rad: float

    def __post_init__(self) -> None:
        if not (self.mouth_width_m > 0.0 and self.mouth_height_m > 0.0):
            raise ValueError(
                f"a mouth of {self.mouth_width_m} m by {self.mouth_height_m} m; both must be greater than 0"
            )
        for coverage in (self.horizontal_coverage_rad, self.vertical_coverage_rad):
            if not 0.0 < coverage <= np.pi:
                raise ValueError(f"a coverage of {coverage} rad; it must lie above 0 and not above pi")

    @property
    def horizontal_limit_hz(self) -> float:
        """Pattern limit in the horizontal plane, Hz."""
        return float(pattern_limit_hz(self.horizontal_coverage_rad, self.mouth_width_m))

    @property
    def vertical_limit_hz(self) -> float:
        """Pattern limit in the vertical plane, Hz."""
        return float(pattern_limit_hz(self.vertical_coverage_rad, self.mouth_height_m))

    def along(
        self,
        frequency_hz: ArrayLike,
        right: ArrayLike,
        up: ArrayLike,
        radiator: Radiator,
        air: Air = STANDARD_AIR,
    ) -> FloatArray:
        """Amplitude re the axis towards two direction cosines; inputs broadcast.

        In each plane, from the pattern limit up, the level falls with the square of the angle to -6 dB at half the
        coverage, unless the bare radiator is narrower still; an octave lower the bare radiator is left, in between
        the two are mixed in dB. Common practice, no source.
        """
        bare = radiator.along(frequency_hz, right, up, air)
        across = radiator.along(frequency_hz, right, 0.0, air)
        upward = radiator.along(frequency_hz, 0.0, up, air)
        narrowing = _narrowing(
            frequency_hz, right, across, self.horizontal_coverage_rad, self.horizontal_limit_hz
        ) * _narrowing(frequency_hz, up, upward, self.vertical_coverage_rad, self.vertical_limit_hz)
        return np.asarray(bare * narrowing)

    def index_db(self, frequency_hz: ArrayLike, radiator: Radiator, air: Air = STANDARD_AIR) -> FloatArray:
        """Directivity index in dB referred to a sphere, shape of `frequency_hz` (Hz); by sum over the half sphere."""
        frequency = _array(frequency_hz)[..., None]
        right, up, weight = quarter_of_half_sphere()
        power = self.along(frequency, right, up, radiator, air) ** 2 @ weight
        return np.asarray(10.0 * np.log10(np.pi / power))

    def gain_db(self, frequency_hz: ArrayLike, radiator: Radiator, air: Air = STANDARD_AIR) -> FloatArray:
        """Gain on the axis in dB over the bare radiator at the same power: the difference of the two indices.

        Never below 0. The guide's better loading, which adds to it, is left out, so travel is overstated rather
        than understated.
        """
        gain = self.index_db(frequency_hz, radiator, air) - radiator.index_db(frequency_hz, air)
        return np.asarray(np.maximum(gain, 0.0))


def _narrowing(
    frequency_hz: ArrayLike, sine: ArrayLike, bare: FloatArray, coverage_rad: float, limit_hz: float
) -> FloatArray:
    """What a guide takes off the bare amplitude in one plane, between 0 and 1."""
    angle = np.arcsin(np.clip(np.abs(_array(sine)), 0.0, 1.0))
    guided = 0.5 ** ((2.0 * angle / coverage_rad) ** 2)
    hold = np.clip(1.0 + np.log2(_array(frequency_hz) / limit_hz) / RELEASE_OCTAVES, 0.0, 1.0)
    ratio = np.minimum(guided / np.maximum(np.abs(bare), 1e-12), 1.0)
    return np.asarray(ratio**hold)


@dataclass(frozen=True)
class GuidedRadiator:
    """A radiator behind a guide, with the methods of a bare `Radiator`."""

    radiator: Radiator
    guide: Guide

    def along(self, frequency_hz: ArrayLike, right: ArrayLike, up: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
        """Amplitude re the axis towards two direction cosines; inputs broadcast."""
        return self.guide.along(frequency_hz, right, up, self.radiator, air)

    def index_db(self, frequency_hz: ArrayLike, air: Air = STANDARD_AIR) -> FloatArray:
        """Directivity index in dB referred to a sphere, shape of `frequency_hz`."""
        return self.guide.index_db(frequency_hz, self.radiator, air)

    def bound(self) -> ModelBound:
        """How far the model of the guide may be trusted."""
        low = min(self.guide.horizontal_limit_hz, self.guide.vertical_limit_hz)
        return ModelBound(
            f"directivity follows from the mouth and the stated coverage of the guide, not from its contour: between {low / 2:.0f}"
            " Hz and its pattern limit it is an estimate.",
            low / 2.0,
        )
