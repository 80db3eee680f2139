"""Edges of a closed box and of an open panel against a general boundary-element library (`boundary_elements.py`)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics import baffle
from reportgen.acoustics.radiators import Radiator
from tests.reference import boundary_elements as library

PATCH = Radiator("round", 2 * library.PATCH_M)

PANEL_DB = {
    100.0: (-12.37, -14.91, -17.36, -18.10),
    250.0: (-2.99, -5.76, -8.15, -9.13),
    500.0: (6.16, 2.37, 0.31, -1.80),
    800.0: (7.06, 1.54, -0.60, -2.85),
    1200.0: (1.36, 3.66, -8.35, 0.44),
}
"""Hz -> dB at `PANEL_PLACES`: bempp-cl 0.4.2, as `python -m tests.reference.boundary_elements` prints them."""


BOX_DB = {
    60.0: (-5.97, -5.96),
    120.0: (-5.76, -5.73),
    250.0: (-4.08, -3.97),
    500.0: (-1.47, -1.15),
    800.0: (1.85, 2.49),
    1200.0: (2.05, 2.81),
    1800.0: (2.31, 1.56),
}
"""Hz -> dB at `BOX_PLACES`, from the same."""


def test_a_closed_box_is_that_of_the_library() -> None:
    """Within 1 dB from 60 Hz to 1.8 kHz, 0.6 dB rms: rays take the box for deep, and this one is not where waves are long."""
    hz = np.array(library.BOX_HZ)
    found = [baffle.edge_response(hz, *library.BOX_M[:2], x, y, source=PATCH) for x, y in library.BOX_PLACES]
    off = 20 * np.log10(np.abs(found)).T - np.array([BOX_DB[one] for one in library.BOX_HZ])
    assert np.max(np.abs(off)) < 1.0
    assert np.sqrt(np.mean(off**2)) < 0.65


def panel_db() -> NDArray[np.float64]:
    """What the program says, (frequencies, places)."""
    hz = np.array(library.PANEL_HZ)
    found = [baffle.edge_response(hz, *library.PANEL_M, x, y, True, source=PATCH) for x, y in library.PANEL_PLACES]
    return np.asarray(20 * np.log10(np.abs(found)).T)


def test_an_open_panel_is_that_of_the_library() -> None:
    """In the middle within 1.1 dB; anywhere within 3.8 dB, 1.6 dB rms: near an edge the bass is overstated."""
    off = panel_db() - np.array([PANEL_DB[hz] for hz in library.PANEL_HZ])
    assert np.max(np.abs(off[:, 0])) < 1.1
    assert np.max(np.abs(off)) < 3.8
    assert np.sqrt(np.mean(off**2)) < 1.6


def test_a_plain_ray_sum_is_worse_than_twice_as_far_off() -> None:
    """1 - mean exp(-jk rho), twice the closed box: up to 7.6 dB off."""
    hz, expected = np.array(library.PANEL_HZ), np.array([PANEL_DB[hz] for hz in library.PANEL_HZ])
    rays = [2 * baffle.edge_response(hz, *library.PANEL_M, x, y) - 1 for x, y in library.PANEL_PLACES]
    plain = 20 * np.log10(np.abs(rays)).T - expected
    ours = panel_db() - expected
    assert np.sqrt(np.mean(plain**2)) > 2 * np.sqrt(np.mean(ours**2))
