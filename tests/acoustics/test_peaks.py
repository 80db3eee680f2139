"""Peaks of a curve against scipy.signal.find_peaks, which the program does not import for its half second."""

from __future__ import annotations

import numpy as np
import scipy.signal

from reportgen.acoustics.peaks import peaks
from tests.every import every


@every("reach", [0, 3, 20])
@every("seed", range(40))
def test_peaks_are_those_of_the_library(seed: int, reach: int) -> None:
    """Smooth curves and coarse ones, whose flat tops and equal heights are the difficult cases."""
    chance = np.random.default_rng(seed)
    values = np.cumsum(chance.normal(size=300))
    values = np.round(values) if seed % 2 else values
    places, found = scipy.signal.find_peaks(values, prominence=1.0, width=0.0, wlen=2 * reach + 1 if reach else None)
    ours = peaks(values, 1.0, reach)
    assert len(ours) > 5
    assert [one.place for one in ours] == places.tolist()
    np.testing.assert_allclose([one.prominence for one in ours], found["prominences"])
    np.testing.assert_allclose([one.width for one in ours], found["widths"])


@every("values", [[1.0, 2.0, 3.0], [3.0, 2.0, 1.0], [1.0, 1.0, 1.0], [1.0], []])
def test_a_curve_without_a_peak_has_none(values: list[float]) -> None:
    assert peaks(np.array(values), 0.0) == []
