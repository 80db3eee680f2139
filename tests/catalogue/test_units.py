"""Every unit of the workbook in SI, by its definition and not by the program's table."""

from __future__ import annotations

import math

import pytest

from reportgen.catalogue.columns import LOW_DRIVERS, QUANTITIES, UNITS
from tests.every import every

INCH_M = 0.0254  # exactly, by the agreement on yard and pound of 1959
LITRE_M3 = 0.1**3  # a cube of 100 mm (CGPM 1964)
BY_DEFINITION = {
    "": 1.0, "%": 0.01, "ohm": 1.0, "kohm": 1000.0, "Hz": 1.0, "kHz": 1000.0, "dB": 1.0, "dB 2.83V/1m": 1.0, "order": 1.0,
    "W": 1.0, "kW": 1000.0, "V": 1.0, "A": 1.0, "T m": 1.0, "N/A": 1.0,
    "m": 1.0, "cm": 0.01, "mm": 0.001, "um": 1e-6, "in": INCH_M, "ft": 12 * INCH_M,
    "m2": 1.0, "cm2": 0.01**2, "mm2": 0.001**2, "in2": INCH_M**2, "ft3": (12 * INCH_M) ** 3,
    "kg": 1.0, "g": 0.001, "mg": 1e-6,
    "m3": 1.0, "L": LITRE_M3, "dm3": 0.1**3, "mL": LITRE_M3 / 1000.0, "cm3": 0.01**3,
    "H": 1.0, "mH": 1e-3, "uH": 1e-6, "F": 1.0, "uF": 1e-6, "nF": 1e-9, "pF": 1e-12,
    "K/W": 1.0, "deg": math.pi / 180.0, "rad": 1.0, "degC": 1.0, "Pa": 1.0, "kPa": 1000.0, "octave": 1.0, "s": 1.0,
}  # fmt: skip


def test_every_unit_is_its_definition() -> None:
    assert dict(UNITS) == pytest.approx(BY_DEFINITION, rel=1e-12)


def test_no_unit_measures_two_quantities() -> None:
    named = [unit for units in QUANTITIES.values() for unit in units]
    assert len(named) == len(set(named))


@every(("field", "si"), [("vas_m3", 1e-3), ("diaphragm_area_m2", 1e-4), ("le_h", 1e-3), ("moving_mass_kg", 1e-3)])
def test_a_cell_of_one_in_si(field: str, si: float) -> None:
    """The headings say L, cm2, mH and g."""
    assert LOW_DRIVERS.column(field).factor == pytest.approx(si, rel=1e-12)
