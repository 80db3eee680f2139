"""Radiators measured at angles: the measurement where it reaches, the piston elsewhere, and what follows for the index."""

from __future__ import annotations

import math

import numpy as np
import pytest

from reportgen.acoustics.listening import Source, sum_at
from reportgen.acoustics.patterns import measured_radiator
from reportgen.acoustics.radiators import Radiator
from tests.every import every

HZ = np.geomspace(200.0, 20000.0, 400)
FLAT = (HZ, np.full(HZ.size, 90.0))
PISTON = Radiator("round", 0.1)


def files(radiator, degrees, plane="h"):
    """Levels at angles as another radiator has them."""
    found = {}
    for angle in degrees:
        sine = math.sin(math.radians(angle))
        right, up = (sine, 0.0) if plane == "h" else (0.0, sine)
        level = 90.0 + 20.0 * np.log10(np.maximum(np.abs(radiator.along(HZ, right, up)), 1e-4))
        found[plane, math.radians(angle)] = (HZ, level)
    return found


def test_files_of_the_model_change_nothing():
    found = measured_radiator(PISTON, FLAT, files(PISTON, (15, 30, 45, 60)))
    f = np.array([500.0, 1000.0, 2000.0, 4000.0])
    for right, up in ((0.0, 0.0), (0.3, 0.0), (0.0, 0.4), (0.3, -0.2), (0.95, 0.0)):
        np.testing.assert_allclose(found.along(f, right, up), PISTON.along(f, right, up), atol=0.01)
    np.testing.assert_allclose(found.index_db(f), PISTON.index_db(f), atol=0.1)


def test_what_was_measured_replaces_the_model():
    """A cone that beams like one of 60 mm, in a frame of 100 mm: its files rule, also between two angles, and the index."""
    true = Radiator("round", 0.06)
    found = measured_radiator(PISTON, FLAT, files(true, range(10, 81, 10)))
    f = np.array([1000.0, 2000.0, 4000.0, 6000.0])
    for degrees in (10.0, 25.0, 40.0):
        sine = math.sin(math.radians(degrees))
        np.testing.assert_allclose(np.abs(found.along(f, sine, 0.0)), np.abs(true.along(f, sine, 0.0)), atol=0.03)
        np.testing.assert_allclose(np.abs(found.along(f, 0.0, -sine)), np.abs(true.along(f, 0.0, sine)), atol=0.03)
    np.testing.assert_allclose(found.index_db(f), true.index_db(f), atol=0.3)
    assert abs(float(PISTON.index_db(4000.0)) - float(true.index_db(4000.0))) > 2.0


def test_two_sides_and_two_planes_may_differ():
    aside = files(Radiator("round", 0.06), (30,)) | files(Radiator("round", 0.14), (-30,)) | files(PISTON, (30,), "v")
    found = measured_radiator(PISTON, FLAT, aside)
    for (right, up), width in {(0.5, 0.0): 0.06, (-0.5, 0.0): 0.14, (0.0, 0.5): 0.1, (0.0, -0.5): 0.1}.items():
        assert abs(float(found.along(3000.0, right, up))) == pytest.approx(
            abs(float(Radiator("round", width).along(3000.0, 0.5, 0.0))), abs=0.01
        )


def test_beyond_the_band_the_model_comes_back_within_an_octave():
    level = np.full(100, 84.0)
    hz = np.geomspace(1000.0, 4000.0, 100)
    found = measured_radiator(PISTON, FLAT, {("h", math.radians(30)): (hz, level)})
    assert float(found.along(2000.0, 0.5, 0.0)) == pytest.approx(10 ** (-6 / 20), abs=0.005)
    for f in (450.0, 8500.0):
        assert float(found.along(f, 0.5, 0.0)) == pytest.approx(float(PISTON.along(f, 0.5, 0.0)), abs=1e-6)


def test_a_tall_foil_measured_sideways_keeps_its_near_field():
    """1 m tall, heard at 1 m: the sum over its height is that of the bare one, times what was measured sideways."""
    foil = Radiator("rectangular", 0.01, 1.0)
    wide = Radiator("rectangular", 0.06, 1.0)
    found = measured_radiator(foil, FLAT, files(wide, (10, 20, 30, 40, 60)))
    f = np.array([1650.0, 5000.0, 10000.0])
    one = np.ones(3, dtype=complex)
    points = np.array([[0.0, 0.0, 1.0], [0.5, 0.0, math.sqrt(0.75)]])
    heard, bare = (sum_at((Source((0.0, 0.0, 0.0), shape, one),), points, f) for shape in (found, foil))
    np.testing.assert_allclose(heard[0], bare[0], rtol=1e-6)
    expected = np.abs(wide.along(f, 0.5, 0.0) / foil.along(f, 0.5, 0.0))
    np.testing.assert_allclose(np.abs(heard[1] / bare[1]), expected, atol=0.02)


@every("plane", ["h", "v"])
def test_each_plane_of_a_foil_is_measured_along_its_own_side(plane):
    """20 mm wide and 150 mm high, read 3 dB over the model at 30 degrees in one plane alone; the other plane is that of the model."""
    foil, hz = Radiator("rectangular", 0.02, 0.15), np.array([800.0, 2000.0, 5000.0])
    ((key, (at, level)),) = files(foil, (30,), plane).items()
    found = measured_radiator(foil, FLAT, {key: (at, level + 3.0)})
    aside, other = ((0.5, 0.0), (0.0, 0.5)) if plane == "h" else ((0.0, 0.5), (0.5, 0.0))
    louder = np.abs(found.along(hz, *aside)) / np.abs(foil.along(hz, *aside))
    np.testing.assert_allclose(louder, 10 ** (3.0 / 20), rtol=0.03)  # the mean over a twelfth of an octave, near a null
    np.testing.assert_allclose(found.along(hz, *other), foil.along(hz, *other), atol=1e-9)
    assert found.planes == ("sideways" if plane == "h" else "in height") and found.whole is (plane == "v")


@every("measured", [30, -30])
def test_one_measured_side_stands_for_the_other(measured):
    """To the left or to the right."""
    found = measured_radiator(PISTON, FLAT, files(Radiator("round", 0.06), (measured,)))
    wanted = abs(float(Radiator("round", 0.06).along(3000.0, 0.5, 0.0)))
    for right in (0.5, -0.5):
        assert abs(float(found.along(3000.0, right, 0.0))) == pytest.approx(wanted, abs=0.01)
    for no_side in (
        0.0,
        math.pi / 2.0,
        -math.pi / 2.0,
    ):  # a file on the axis or square to it tells of no side, and is none of them
        more = measured_radiator(PISTON, FLAT, files(Radiator("round", 0.06), (measured,)) | {("h", no_side): FLAT})
        f, sine = np.geomspace(500.0, 12000.0, 9), np.linspace(-1.0, 1.0, 21)[:, None]
        np.testing.assert_array_equal(more.along(f, sine, 0.0), found.along(f, sine, 0.0))


def test_a_measurement_reaches_as_far_as_that_of_the_axis():
    """Read 6 dB under the axis from 200 Hz to 20 kHz, the axis itself from 1 to 4 kHz alone: an octave beyond it the model rules."""
    aside = (HZ, np.full(HZ.size, 84.0))
    hz = np.geomspace(1000.0, 4000.0, 100)
    found = measured_radiator(PISTON, (hz, np.full(100, 90.0)), {("h", math.radians(30)): aside})
    assert float(found.along(2000.0, 0.5, 0.0)) == pytest.approx(10 ** (-6 / 20), abs=0.005)
    for f in (480.0, 8200.0):
        assert float(found.along(f, 0.5, 0.0)) == pytest.approx(float(PISTON.along(f, 0.5, 0.0)), abs=1e-6)


def test_up_and_down_may_differ():
    """A round one of which above reads like 60 mm and below like 140; to either side that of the angle between."""
    aside = files(Radiator("round", 0.06), (30,), "v") | files(Radiator("round", 0.14), (-30,), "v")
    found = measured_radiator(PISTON, FLAT, aside)
    for (right, up), width in {(0.0, 0.5): 0.06, (0.0, -0.5): 0.14, (1e-9, 0.5): 0.06, (-1e-9, -0.5): 0.14}.items():
        wanted = abs(float(Radiator("round", width).along(3000.0, 0.5, 0.0)))
        assert abs(float(found.along(3000.0, right, up))) == pytest.approx(wanted, abs=0.01)
