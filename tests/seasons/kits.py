"""Three seasons of invented kits beside the demo, on which nothing was tuned: small, tall and loud ones.

Low drivers follow from area, resonance, moving mass, Re and Q by the electro-mechanical identities (Small 1972), so that
their data agree; everything else is invented within what the trade builds (common practice, no source).
"""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from math import log10, pi, sqrt
from pathlib import Path
from typing import Any

from reportgen.catalogue.demo import demo_tables
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Catalogue
from tests.shared import shared
from tests.workbooks import write_plain

Row = Mapping[str, Any]
C, RHO = 343.2, 1.2041  # 20 degC


def low(
    id_: str, cm2: float, fs: float, q: tuple[float, float], grams: float, re: float, le: float, breakup: float
) -> Row:
    """A low driver of area, resonance, (Qms, Qes), moving mass, Re (ohm), Le (mH) and cone break-up (Hz)."""
    qms, qes = q
    sd, mass, omega = cm2 * 1e-4, grams * 1e-3, 2 * pi * fs
    vas = RHO * C**2 * sd**2 / (omega**2 * mass)
    eta = 4 * pi**2 * fs**3 * vas / (C**3 * qes)
    width = 1e3 * (2 * sqrt(sd / pi) * 1.25 + 0.02)
    return {
        "id": id_, "nominal_impedance_ohm": 4 if re < 4.5 else 8, "re_ohm": re, "le_h": le, "fs_hz": fs, "qms": qms, "qes": qes,
        "vas_m3": round(vas * 1e3, 2), "diaphragm_area_m2": cm2, "moving_mass_kg": grams,
        "force_factor_t_m": round(sqrt(omega * mass * re / qes), 2), "peak_travel_m": 5.0,
        "sensitivity_db": round(112.2 + 10 * log10(eta) + 10 * log10(8 / re), 1), "rated_power_w": 80, "breakup_hz": breakup,
        "frame_width_m": round(width), "cutout_m": round(0.85 * width), "centre_depth_m": round(0.18 * width), "price": 40, "stock": 20,
    }  # fmt: skip


def dome(
    id_: str, mm: float, fs: float, q: tuple[float, float], re: float, level: float, face: float, **more: Any
) -> Row:
    """A round soft dome; frame `face` mm wide."""
    return {
        "id": id_, "technology": "soft dome", "nominal_impedance_ohm": 4 if re < 4.5 else 8, "re_ohm": re, "le_h": 0.03, "fs_hz": fs,
        "qms": q[0], "qes": q[1], "shape": "round", "radiating_width_m": mm, "diaphragm_area_m2": round(pi * (0.58 * mm / 10) ** 2, 1),
        "peak_travel_m": 0.5, "sensitivity_db": level, "rated_power_w": 80, "rating_highpass_hz": 2000, "rating_order": 2,
        "rear": "sealed", "faceplate_width_m": face, "cutout_width_m": 0.72 * face, "centre_depth_m": 7, "price": 30, "stock": 20, **more,
    }  # fmt: skip


def film(id_: str, kind: str, wide: float, tall: float, re: float, level: float, lowest: float) -> Row:
    """A foil or folded diaphragm; nobody states a travel."""
    return {
        "id": id_, "technology": kind, "nominal_impedance_ohm": 4 if re < 4.5 else 8, "re_ohm": re, "le_h": 0.0, "shape": "rectangular",
        "radiating_width_m": wide, "radiating_height_m": tall, "sensitivity_db": level, "rated_power_w": 60, "rating_highpass_hz": lowest,
        "rating_order": 4, "lowest_use_hz": lowest, "lowest_use_order": 4, "rear": "sealed", "screen": True, "faceplate_width_m": wide + 64,
        "faceplate_height_m": tall + 48, "cutout_width_m": wide + 40, "cutout_height_m": tall + 30, "centre_depth_m": 9, "price": 90, "stock": 9,
    }  # fmt: skip


def box(
    id_: str,
    kind: str,
    wide: float,
    high: float,
    litres: float,
    top: float,
    tuning: float | None = None,
    stand: float = 600,
) -> Row:
    """A cabinet; sizes in mm."""
    return {
        "id": id_, "kind": kind, "baffle_width_m": wide, "baffle_height_m": high, "depth_m": 280, "net_volume_m3": litres,
        "tuning_hz": tuning, "high_from_top_m": top, "stand_height_m": stand,
    }  # fmt: skip


def kit(id_: str, low_id: str, high_id: str, cabinet: str, **more: Any) -> Row:
    """A pairing."""
    usual = {
        "slope": "LR4",
        "peak_level_db": 92,
        "amplifier_power_w": 80,
        "distance_m": 2.5,
        "placement": "free standing",
    }
    return {"id": id_, "low_id": low_id, "high_id": high_id, "cabinet_id": cabinet, **usual, **more}


SMALL: dict[str, tuple[Row, ...]] = {
    "Low drivers": (
        low("SL-1", 36, 85, (3.5, 0.55), 3.6, 3.3, 0.12, 9000), low("SL-2", 52, 64, (3.0, 0.50), 5.9, 3.6, 0.20, 7800),
        low("SL-3", 82, 52, (4.0, 0.45), 8.6, 5.9, 0.32, 6800), low("SL-4", 94, 47, (5.0, 0.40), 11.5, 3.4, 0.26, 5900),
    ),
    "High drivers": (
        dome("SH-1", 19, 1500, (2.0, 1.6), 3.4, 88.0, 54), dome("SH-2", 22, 1150, (2.4, 1.1), 5.6, 90.0, 78),
        dome("SH-3", 25, 880, (2.6, 0.9), 3.2, 92.5, 104), film("SH-4", "planar magnetic", 12, 45, 6.8, 90.5, 2200),
    ),
    "Cabinets": (
        box("SC-1", "closed", 125, 210, 2.4, 55, stand=900), box("SC-2", "vented", 160, 280, 6.5, 70, 58, 780),
        box("SC-3", "vented", 185, 330, 11, 80, 50, 700), box("SC-4", "closed", 185, 330, 9, 80, stand=700),
    ),
    "Pairings": (
        kit("S-1", "SL-1", "SH-1", "SC-1", distance_m=0.9, ear_height_m=1.1, peak_level_db=86, placement="near a wall"),
        kit("S-2", "SL-2", "SH-2", "SC-2", parts_policy="stock"), kit("S-3", "SL-2", "SH-4", "SC-2"),
        kit("S-4", "SL-3", "SH-2", "SC-3"), kit("S-5", "SL-3", "SH-3", "SC-3", slope="LR2", crossover_hz=2600),
        kit("S-6", "SL-4", "SH-3", "SC-4", parts_policy="any"), kit("S-7", "SL-4", "SH-1", "SC-3", placement="near a wall"),
        kit("S-8", "SL-3", "SH-4", "SC-4", placement="in a wall"),
    ),
}  # fmt: skip

TALL: dict[str, tuple[Row, ...]] = {
    "Low drivers": (
        low("TL-1", 125, 38, (4.5, 0.42), 14.5, 5.7, 0.35, 5600), low("TL-2", 150, 33, (5.5, 0.38), 20.0, 6.3, 0.48, 5000),
        low("TL-3", 220, 27, (4.0, 0.36), 32.0, 5.4, 0.60, 3400), low("TL-4", 88, 48, (4.2, 0.44), 9.2, 6.6, 0.24, 7000),
    ),
    "High drivers": (
        dome("TH-1", 25, 620, (1.9, 0.7), 5.2, 91.0, 104), dome("TH-2", 29, 540, (2.2, 0.6), 5.8, 92.0, 110, lowest_use_hz=1500, lowest_use_order=4),
        film("TH-3", "true ribbon", 10, 70, 5.4, 93.0, 2600), film("TH-4", "folded diaphragm", 30, 36, 4.6, 94.0, 2400),
    ),
    "Cabinets": (
        box("TC-1", "vented", 210, 960, 32, 110, 38, 30), box("TC-2", "vented", 250, 1050, 52, 120, 32, 20),
        box("TC-3", "closed", 200, 900, 22, 260, stand=120), box("TC-4", "open baffle", 380, 1000, 0.001, 140, stand=0),
    ),
    "Pairings": (
        kit("T-1", "TL-1", "TH-1", "TC-1"), kit("T-2", "TL-1", "TH-3", "TC-1", distance_m=3), kit("T-3", "TL-2", "TH-2", "TC-2"),
        kit("T-4", "TL-2", "TH-4", "TC-2", parts_policy="stock"), kit("T-5", "TL-3", "TH-2", "TC-2", placement="near a wall"),
        kit("T-6", "TL-4", "TH-1", "TC-3", low_count=2, low_wiring="parallel", arrangement="low-high-low", distance_m=3),
        kit("T-7", "TL-1", "TH-4", "TC-3", slope="BW3"), kit("T-8", "TL-2", "TH-1", "TC-1", slope="LR2", parts_policy="any"),
    ),
}  # fmt: skip

LOUD: dict[str, tuple[Row, ...]] = {
    "Low drivers": (
        low("LL-1", 350, 45, (6.0, 0.33), 34.0, 5.6, 0.60, 2900), low("LL-2", 520, 42, (5.0, 0.30), 52.0, 5.3, 0.80, 2500),
        low("LL-3", 210, 58, (5.5, 0.36), 18.0, 11.4, 0.70, 4200), low("LL-4", 150, 70, (4.5, 0.40), 12.0, 5.8, 0.30, 5600),
    ),
    "High drivers": (
        {**dome("LH-1", 25, 650, (2.2, 0.35), 5.9, 104.5, 120, lowest_use_hz=1200, lowest_use_order=4, diaphragm_resonance_hz=22000), "technology": "compression driver"},
        {**dome("LH-2", 25, 900, (2.4, 0.45), 11.0, 103.0, 90, lowest_use_hz=1600, lowest_use_order=4, diaphragm_resonance_hz=24000), "technology": "compression driver"},
        film("LH-3", "folded diaphragm", 40, 120, 4.8, 97.0, 1900), dome("LH-4", 28, 700, (2.0, 0.7), 5.6, 94.0, 120),
    ),
    "Waveguides": (
        {"id": "LG-1", "fits": "compression driver", "mouth_width_m": 340, "mouth_height_m": 200, "horizontal_coverage_rad": 90,
         "vertical_coverage_rad": 55, "depth_m": 150, "faceplate_width_m": 360, "faceplate_height_m": 220, "price": 50, "stock": 9},
        {"id": "LG-2", "fits": "compression driver", "mouth_width_m": 220, "mouth_height_m": 160, "horizontal_coverage_rad": 100,
         "vertical_coverage_rad": 70, "depth_m": 90, "faceplate_width_m": 236, "faceplate_height_m": 176, "price": 40, "stock": 9},
    ),
    "Cabinets": (
        box("LC-1", "vented", 420, 720, 70, 150, 48, 600), box("LC-2", "vented", 480, 820, 120, 160, 42, 500),
        box("LC-3", "vented", 300, 520, 26, 130, 60, 700), box("LC-4", "closed", 240, 420, 16, 100, stand=700),
    ),
    "Pairings": (
        kit("L-1", "LL-1", "LH-1", "LC-1", guide_id="LG-1", distance_m=5, peak_level_db=98, amplifier_power_w=200),
        kit("L-2", "LL-2", "LH-1", "LC-2", guide_id="LG-1", distance_m=6, peak_level_db=100, amplifier_power_w=300, placement="in a wall"),
        kit("L-3", "LL-3", "LH-2", "LC-3", guide_id="LG-2", distance_m=4, peak_level_db=95, amplifier_power_w=150),
        kit("L-4", "LL-4", "LH-3", "LC-3", peak_level_db=96, amplifier_power_w=120), kit("L-5", "LL-4", "LH-4", "LC-4", parts_policy="stock"),
        kit("L-6", "LL-3", "LH-4", "LC-3", placement="near a wall"), kit("L-7", "LL-1", "LH-3", "LC-1", slope="LR8", parts_policy="any"),
        kit("L-8", "LL-4", "LH-2", "LC-4", guide_id="LG-2", slope="BW3"),
    ),
}  # fmt: skip

SEASONS = {"small": SMALL, "tall": TALL, "loud": LOUD}


@shared
def season(name: str) -> Catalogue:
    """One of the seasons through the real writer and reader, with the parts list of the demo."""
    rows = {sheet: [dict(row) for row in rows] for sheet, rows in SEASONS[name].items()}
    for cabinet in rows["Cabinets"]:
        if cabinet["kind"] == "open baffle":
            del cabinet["net_volume_m3"]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"{name}.xlsx"
        write_plain(path, {**rows, "Parts": demo_tables()["Parts"]})
        return read_catalogue(path)
