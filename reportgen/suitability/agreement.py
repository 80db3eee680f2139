"""Whether the figures of a low driver's row agree with one another, and which two cells cannot both be right.

Knows the names of cells. Refuses to know the identities themselves: `acoustics.drivers` has them.
"""

from __future__ import annotations

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
    return tuple(_sentence(low, one) for one in found), any(map(_grave, found))


def _grave(one: Disagreement) -> bool:
    if one.second_field == "sensitivity_db":
        return abs(one.stated - one.derived) > GRAVE_DB
    return max(one.ratio, 1.0 / one.ratio) > GRAVE_RATIO


def _sentence(low: LowDriver, one: Disagreement) -> str:
    first, second = (columns.sheet(low.origin.sheet).column(name) for name in (one.first_field, one.second_field))
    derived, stated = (
        f"{float(f'{value / second.factor:.3g}'):g} {second.unit}".rstrip() for value in (one.derived, one.stated)
    )
    return (
        f"{second.name} of {low.id} ({low.origin.place(second.field)}) is {stated}, but {first.name}"
        f" ({low.origin.place(first.field)}) makes it {derived}."
    )
