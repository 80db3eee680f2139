"""Whether the figures of a low driver's row agree with one another, and which two cells cannot both be right.

Knows the names of cells. Refuses to know the identities themselves: `acoustics.drivers` has them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from reportgen.acoustics.drivers import Disagreement, complete_parameters
from reportgen.catalogue import columns
from reportgen.catalogue.records import LowDriver
from reportgen.pairing.as_used import Setting

FIGURES = (
    "re_ohm", "fs_hz", "qms", "qes", "vas_m3", "diaphragm_area_m2", "moving_mass_kg", "force_factor_t_m", "sensitivity_db",
)  # fmt: skip


GRAVE_RATIO, GRAVE_DB = 1.25, 2.0
"""Figures this far apart cannot both be a rounding or another day's reading (common practice, no source)."""


def disagreements(setting: Setting) -> tuple[tuple[str, ...], bool]:
    """Which two cells of the low driver's row disagree, by how much, and whether one of them must be wrong (Small 1972)."""
    low = setting.case.low
    found = complete_parameters(**{name: getattr(low, name) for name in FIGURES}, air=setting.air).disagreements
    alike: dict[tuple[str, str], list[Disagreement]] = {}
    for one in found:
        alike.setdefault((one.second_field, _figure(low, one.second_field, one.derived)), []).append(one)
    return tuple(_sentence(low, these) for these in alike.values()), any(map(_grave, found))


def _grave(one: Disagreement) -> bool:
    if one.second_field == "sensitivity_db":
        return abs(one.stated - one.derived) > GRAVE_DB
    return max(one.ratio, 1.0 / one.ratio) > GRAVE_RATIO


def _figure(low: LowDriver, field: str, value: float) -> str:
    column = columns.sheet(low.origin.sheet).column(field)
    return f"{float(f'{value / column.factor:.3g}'):g} {column.unit}".rstrip()


def _sentence(low: LowDriver, these: Sequence[Disagreement]) -> str:
    """What one cell says, and what others make it alike; a level that looks as if stated for 1 W says so."""
    column, one = columns.sheet(low.origin.sheet).column, these[0]
    *others, last = (f"{column(each.first_field).name} ({low.origin.place(each.first_field)})" for each in these)
    makers = f"{', '.join(others)} and {last} make" if others else f"{last} makes"
    stated, derived = (_figure(low, one.second_field, value) for value in (one.stated, one.derived))
    second = f"{column(one.second_field).name} of {low.id} ({low.origin.place(one.second_field)})"
    text = f"{second} is {stated}, but {makers} it {derived}."
    return f"{text} It looks like a level for 1 W, not for 2.83 V." if _at_one_watt(low, one) else text


def _at_one_watt(low: LowDriver, one: Disagreement) -> bool:
    """Whether a level departs as it does at 1 W into the nominal impedance: 2.83 V are 1 W into 8 ohm, 2 W into 4."""
    if one.second_field != "sensitivity_db" or low.nominal_impedance_ohm is None:
        return False
    at_one_watt_db = 10.0 * math.log10(low.nominal_impedance_ohm / 8.0)
    return abs(at_one_watt_db) > GRAVE_DB and abs(one.stated - one.derived - at_one_watt_db) < LIKE_DB


LIKE_DB = 1.0
"""So near to what 1 W would make of it a level looks like it (common practice, no source)."""
