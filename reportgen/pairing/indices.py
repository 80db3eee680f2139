"""How narrowly the drivers of a pairing radiate: the directivity index of what is built, on its baffle.

Knows arrays of drivers in the far field, and what the end of the baffle does to the index where waves are long.
Refuses to know filters: the whole sum comes in as sources behind theirs.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.acoustics import baffle, listening
from reportgen.pairing.as_used import Setting, on_panel
from reportgen.pairing.response import FREQUENCY_HZ, Model

Role = Literal["low", "high"]
FloatArray = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]

INDEX_STEP = 8
"""The index of an array is worked out at every eighth frequency, 10 a decade, and drawn between."""

EVEN_OVER = 24
"""Grid steps of an octave, over which the ripple of the edges is evened out of the drawn index."""


def index_db(setting: Setting, role: Role, frequency_hz: ArrayLike) -> FloatArray:
    """Directivity index (dB) of all low or all high drivers as they stand, in a large baffle, shape of `frequency_hz`."""
    radiator = setting.low_directivity if role == "low" else setting.high_directivity
    places = [place for place in setting.places if place.role == role]
    frequency = np.asarray(frequency_hz, dtype=np.float64)
    if len(places) < 2:
        return radiator.index_db(frequency, setting.air)
    unit = np.ones(frequency.size, dtype=np.complex128)
    sources = [listening.Source(setting.centre_m(place), radiator, unit) for place in places]
    return listening.directivity_index_db(_centred(sources), frequency, setting.air)


def step_db(setting: Setting, crossover_hz: ArrayLike) -> FloatArray:
    """Directivity index of all low drivers less that of all high ones at crossovers (Hz), in dB, of their shape."""
    return index_db(setting, "low", crossover_hz) - index_db(setting, "high", crossover_hz)


def drawn_db(
    model: Model, heard: Sequence[listening.Source], low: ComplexArray, high: ComplexArray
) -> tuple[FloatArray, ...]:
    """Index (dB) over `FREQUENCY_HZ` of all low drivers, of all high ones and of the whole sum, with the baffle's end.

    `heard` are all sources behind their filters at every `INDEX_STEP`-th frequency; `low` and `high` the branches at the seat,
    which share what the baffle does by their power.
    """
    setting, at = model.setting, slice(None, None, INDEX_STEP)
    few = FREQUENCY_HZ[at]
    arrays = [
        index_db(setting, "low", few),
        index_db(setting, "high", few),
        listening.directivity_index_db(_centred(heard), few, setting.air),
    ]
    low_panel, high_panel = _panel_db(setting, "low"), _panel_db(setting, "high")
    share = np.abs(low) ** 2 / np.maximum(np.abs(low) ** 2 + np.abs(high) ** 2, 1e-30)
    panels = (low_panel, high_panel, share * low_panel + (1.0 - share) * high_panel)
    return tuple(
        np.interp(np.log(FREQUENCY_HZ), np.log(few), array) + panel for array, panel in zip(arrays, panels, strict=True)
    )


def _centred(sources: Sequence[listening.Source]) -> list[listening.Source]:
    """The same, counted from their middle."""
    middle = np.mean([source.position_m for source in sources], axis=0)
    return [
        listening.Source(tuple(np.subtract(one.position_m, middle)), one.directivity, one.response) for one in sources
    ]


def _panel_db(setting: Setting, role: Role) -> FloatArray:
    """What the end of the baffle adds to the index (dB): the level on the axis over the power, evened over an octave."""
    cabinet = setting.case.cabinet
    places = [place for place in setting.places if place.role == role]
    if setting.in_wall or not places:
        return np.zeros(FREQUENCY_HZ.size)
    width, height = cabinet.baffle_width_m, cabinet.baffle_height_m
    open_back = cabinet.kind == "open baffle" and (role == "low" or setting.open_back)
    x, y = on_panel(cabinet, places[0].x_m - width / 2.0, places[0].y_m - height / 2.0)
    level = baffle.edge_response(FREQUENCY_HZ, width, height, x, y, open_back, setting.air)
    power = baffle.radiated_power(FREQUENCY_HZ, width, height, x, y, open_back, setting.air)
    padded = np.pad(np.abs(level) ** 2 / power, EVEN_OVER // 2, mode="edge")
    return np.asarray(10.0 * np.log10(np.convolve(padded, np.full(EVEN_OVER + 1, 1.0 / (EVEN_OVER + 1)), mode="valid")))
