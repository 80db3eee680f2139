"""The season after the demo season, of the same fictional maker: what a year does to a catalogue.

Knows what came, went and moved, in the workbook's own units. Every name and figure here is invented.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from reportgen.catalogue.demo import Row, demo_tables

SEASON = "Spring 2028"
GONE_DRIVERS = ("HD-05",)
"""Out of production; the kit that used it takes another."""
GONE_PAIRINGS = ("P-07", "P-17")
"""Kits that were given up."""
DEARER = 1.04
"""Drivers cost so much more than a year ago."""

_LOW: Mapping[str, Row] = {
    "LD-08": {"breakup_hz": 5600, "stock": 18, "description": "119 cm² mid-woofer"},
    "LD-03": {"peak_travel_m": 6.0, "stock": 22},
}
_HIGH: Mapping[str, Row] = {
    "HD-16": {"peak_travel_m": 0.5, "notes": "Measured at last."},
    "HD-01": {"fs_hz": 1120, "stock": 60},
}
_NEW_HIGH: Row = {
    "id": "HD-20", "technology": "coated dome", "description": "26 mm coated metal dome, light", "nominal_impedance_ohm": 6, "re_ohm": 5.2,
    "le_h": 0.02, "fs_hz": 860, "qms": 2.7, "qes": 0.86, "shape": "round", "radiating_width_m": 26, "diaphragm_area_m2": 7.4,
    "peak_travel_m": 0.55, "sensitivity_db": 91.6, "rated_power_w": 90, "rating_highpass_hz": 2000, "rating_order": 2,
    "diaphragm_resonance_hz": 26500, "rear": "sealed", "screen": True, "faceplate_width_m": 104, "cutout_width_m": 76,
    "centre_depth_m": 8, "price": 52.0, "stock": 24,
}  # fmt: skip
_PAIRINGS: Mapping[str, Row] = {
    "P-01": {"kits_planned": 16, "reason": "Still the one that sells."},
    "P-02": {
        "kits_planned": 8,
        "decision": "accepted",
        "decided_by": "M. Quill",
        "decided_on": "2027-10-04",
        "reason": "Asked for all year.",
    },
    "P-06": {"kits_planned": 4, "amplifier_power_w": 80},
    "P-13": {"kits_planned": 12},
    "P-14": {"high_id": "HD-20", "peak_level_db": 98},
    "P-21": {
        "kit": "Teal grand",
        "decision": "open",
        "decided_by": None,
        "decided_on": None,
        "reason": None,
        "kits_planned": 6,
    },
    "P-24": {
        "decision": "rejected",
        "decided_by": "M. Quill",
        "decided_on": "2027-10-11",
        "reason": "Nobody wants a square one.",
    },
}
_NEW_PAIRING: Row = {
    "id": "P-25", "kit": "Reedmace III", "low_id": "LD-03", "high_id": "HD-20", "cabinet_id": "CB-02", "slope": "LR4",
    "peak_level_db": 96, "amplifier_power_w": 120, "kits_planned": 5,
}  # fmt: skip


def next_season_tables() -> dict[str, Sequence[Row]]:
    """Sheet name -> rows of the next demo season, values in the workbook's units."""
    tables = {name: [dict(row) for row in rows] for name, rows in demo_tables().items()}
    lows, highs = (_drivers(tables[f"{side} drivers"], moved) for side, moved in (("Low", _LOW), ("High", _HIGH)))
    pairings = [
        {**row, "season": SEASON, **_PAIRINGS.get(row["id"], {})}
        for row in tables["Pairings"]
        if row["id"] not in GONE_PAIRINGS
    ]
    return {
        **tables,
        "Low drivers": lows,
        "High drivers": [*highs, _NEW_HIGH],
        "Pairings": [*pairings, {**_NEW_PAIRING, "season": SEASON}],
        "Enquiries": [],
    }


def _drivers(rows: Sequence[dict[str, Any]], moved: Mapping[str, Row]) -> list[Row]:
    return [
        {**row, "price": round(row["price"] * DEARER, 1), **moved.get(row["id"], {})}
        for row in rows
        if row["id"] not in GONE_DRIVERS
    ]
