"""The wanted response: shelf, tilt, bands and level, each against figures worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.crossover.voicing import PLAIN, Voicing, reachable_level, smoothed

F = np.geomspace(20.0, 20_000.0, 241)


def test_the_shelf_is_of_first_order():
    """A first-order shelf (s + w/g)/(s + w g): its depth far below, half of it at its middle, nothing far above."""
    for depth in (0.0, 1.5, 3.0, 6.0):
        shape = Voicing(100.0, 16e3, depth, 500.0).shape(np.array([0.5, 500.0, 5e5]))
        np.testing.assert_allclose(20 * np.log10(shape), [-depth, -depth / 2, 0.0], atol=1e-3)
    slope = np.diff(20 * np.log10(Voicing(100.0, 16e3, 40.0, 500.0).shape(np.array([354.0, 708.0]))))
    assert slope[0] == pytest.approx(6.0, abs=0.4)  # a first order nears 6 dB an octave where the shelf is deep


def test_the_tilt_is_in_decibels_an_octave():
    tilted = 20 * np.log10(Voicing(100.0, 16e3, tilt_db=-0.8).shape(np.array([500.0, 1000.0, 4000.0])))
    np.testing.assert_allclose(tilted, [0.8, 0.0, -1.6], atol=1e-9)


def test_the_bass_ends_at_300_hz_or_half_an_octave_and_more_above_a_high_start():
    assert Voicing(100.0, 1e4).bass_hz == (100.0, 300.0)
    assert Voicing(250.0, 1e4).bass_hz == (250.0, 300.0)
    assert Voicing(260.0, 1e4).bass_hz == (260.0, 390.0)


def test_balance_and_thirds_of_a_step():
    """1 dB too much below 600 Hz: bass +1, treble 0, and a third of an octave that lies whole in it +1."""
    error = np.where(F < 600.0, 1.0, 0.0)
    np.testing.assert_allclose(PLAIN.balance_db(F, error), [1.0, 0.0])
    thirds = PLAIN.thirds_db(F, error)
    assert np.max(thirds) == pytest.approx(1.0) and np.min(thirds) == pytest.approx(0.0, abs=1e-9)
    ripple = np.where(np.arange(F.size) % 2, 1.0, -1.0)  # 24 a third of an octave: nearly nothing is left of it
    assert np.max(np.abs(PLAIN.thirds_db(F, ripple))) < 0.15


def test_smoothing_means_over_the_width():
    level = np.linspace(0.0, 10.0, F.size)
    even = smoothed(F, level, 1.0)
    span = (F.size - even.size) + 1
    assert F[span - 1] / F[0] == pytest.approx(2.0, rel=0.02)
    np.testing.assert_allclose(even, (level[: even.size] + level[span - 1 :]) / 2, atol=1e-9)


def test_the_level_is_where_the_driver_reaches_everywhere_but_a_decibel():
    """A baffle step of 6 dB and no shelf: the level is the bass's plus the slack of 1 dB; a shelf of 6 leaves it up."""
    step = 20 * np.log10(Voicing(100.0, 1e4, 6.0, 500.0).shape(F))
    natural = 86.0 + step
    band = (F >= 100.0) & (F <= 3000.0)
    flat = reachable_level(F[band], natural[band], np.zeros(band.sum()))
    shelved = reachable_level(F[band], natural[band], step[band])
    lowest = np.min(smoothed(F[band], natural[band], 1.0))
    assert flat == pytest.approx(lowest + 1.0) and shelved == pytest.approx(87.0)
