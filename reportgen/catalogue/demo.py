"""The demo season: a fictional kit maker, invented drivers, cabinets, pairings, parts and enquiries.

Knows rows in the workbook's own units, nothing else. Every name and figure here is invented; none is data of
a real product.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

Row = Mapping[str, Any]

_LOW_FIELDS = (
    "id", "description", "nominal_impedance_ohm", "re_ohm", "le_h", "fs_hz", "qms", "qes", "vas_m3", "diaphragm_area_m2",
    "moving_mass_kg", "force_factor_t_m", "peak_travel_m", "sensitivity_db", "rated_power_w", "breakup_hz", "highest_use_hz",
    "frame_width_m", "cutout_m", "centre_depth_m", "price", "stock",
)  # fmt: skip
_LOW = (
    ("LD-01", "130 cm² mid-woofer, coated paper", 8, 5.6, 0.30, 42, 4.5, 0.575, 24.6, 130, 14.0, 6.0, 5.0, 88.6, 60, 5200, None, 168, 146, 32, 64.0, 12),
    ("LD-02", "56 cm² midrange, paper", 8, 5.4, 0.15, 58, 4.0, 0.530, 5.4, 56, 6.2, 4.8, 3.0, 86.8, 40, 8600, None, 118, 95, 22, 48.0, 20),
    ("LD-03", "140 cm² mid-woofer, woven cone", 8, 5.8, 0.28, 38, 5.2, 0.524, 27.9, 140, 17.5, 6.8, 5.5, 88.1, 70, 5900, None, 178, 148, 34, 82.0, 8),
    ("LD-04", "214 cm² woofer, stiff metal cone", 8, 5.9, 0.35, 30, 6.0, 0.445, 59.0, 214, 31.0, 8.8, 7.0, 88.9, 100, 3300, None, 218, 186, 42, 118.0, 6),
    ("LD-05", "334 cm² woofer, paper", 8, 6.0, 0.55, 27, 5.0, 0.454, 105.7, 334, 52.0, 10.8, 8.0, 89.9, 150, 2600, None, 262, 232, 52, 139.0, 4),
    ("LD-06", "30 cm² small mid-woofer", 4, 3.4, 0.08, 92, 3.2, 0.470, 1.2, 30, 3.1, 3.6, 2.8, 88.9, 25, 9800, None, 88, 72, 16, 31.0, 24),
    ("LD-07", "530 cm² woofer for halls", 8, 5.3, 0.40, 48, 5.5, 0.325, 84.2, 530, 52.0, 16.0, 6.0, 98.4, 300, 2900, None, 312, 282, 60, 188.0, 4),
    ("LD-08", "119 cm² mid-woofer, prototype", 8, 5.7, 0.32, 45, 4.0, 0.563, 19.3, 119, 13.0, 6.1, 4.5, 88.5, 60, None, None, 160, 138, 30, 58.0, 2),
    ("LD-09", "137 cm² mid-woofer, long coil", 8, 6.2, 0.62, 39, 4.8, 0.557, 23.3, 137, 19.0, 7.2, 7.5, 87.1, 90, 4800, None, 176, 148, 36, 92.0, 10),
    ("LD-11", "85 cm² mid-woofer, coated paper", 8, 5.6, 0.20, 52, 4.2, 0.527, 11.4, 85, 8.4, 5.4, 4.0, 88.4, 60, 6900, None, 142, 118, 27, 56.0, 16),
    ("LD-10", "214 cm² wide-range for open baffles", 8, 5.5, 0.18, 55, 4.2, 0.344, 34.0, 214, 16.0, 9.4, 3.0, 95.8, 80, 4600, 1900, 214, 188, 40, 126.0, 4),
)  # fmt: skip

_IN_CABINET: Row = {"response_measured": "CB-03", "response_phase": "common reference"}

_LOW_EXTRAS: Mapping[str, Row] = {
    "LD-03": {"response_file": "curves/LD-03 response.txt", "response_measured": "large baffle"},
    "LD-04": {"response_file": "curves/LD-04 response.txt", **_IN_CABINET},
}

_HIGH_FIELDS = (
    "id", "technology", "description", "nominal_impedance_ohm", "re_ohm", "le_h", "fs_hz", "qms", "qes", "shape",
    "radiating_width_m", "radiating_height_m", "diaphragm_area_m2", "peak_travel_m", "sensitivity_db", "rated_power_w",
    "rating_highpass_hz", "rating_order", "lowest_use_hz", "lowest_use_order", "diaphragm_resonance_hz", "rear", "screen",
    "faceplate_width_m", "faceplate_height_m", "cutout_width_m", "cutout_height_m", "centre_depth_m", "price", "stock",
)  # fmt: skip
_HIGH = (
    ("HD-01", "soft dome", "27 mm soft dome, small magnet", 8, 5.7, 0.03, 1180, 2.9, 1.22, "round", 27, None, 8.1, 0.3, 91.0, 80, 2500, 2, None, None, None, "sealed", None, 104, None, 74, None, 8, 29.0, 30),
    ("HD-02", "soft dome", "26 mm soft dome, damped rear cup", 8, 5.5, 0.03, 690, 2.1, 0.66, "round", 26, None, 7.6, 0.6, 91.1, 100, 1800, 2, 1600, 4, None, "removable", None, 104, None, 74, None, 9, 58.0, 14),
    ("HD-03", "soft dome", "19 mm soft dome, small faceplate", 6, 5.0, 0.02, 1250, 2.2, 1.228, "round", 19, None, 4.2, 0.3, 88.6, 50, 3000, 2, None, None, None, "sealed", None, 52, None, 44, None, 6, 22.0, 40),
    ("HD-04", "metal dome", "25 mm metal dome behind a grid", 6, 5.5, 0.02, 980, 3.0, 0.992, "round", 25, None, 7.0, 0.5, 91.3, 90, 2000, 2, 2000, 4, 27500, "sealed", True, 104, None, 74, None, 7, 47.0, 16),
    ("HD-05", "metal dome", "26 mm metal dome, thick", 6, 5.3, 0.03, 900, 2.8, 0.90, "round", 26, None, 7.5, 0.15, 91.0, 90, 2000, 2, None, None, 18200, "sealed", False, 104, None, 76, None, 8, 39.0, 9),
    ("HD-06", "soft dome", "34 mm soft dome, low resonance", 8, 5.2, 0.05, 520, 1.8, 0.632, "round", 34, None, 12.0, 1.0, 91.6, 120, 1500, 2, 1200, 4, None, "sealed", None, 130, None, 96, None, 12, 76.0, 8),
    ("HD-07", "beryllium dome", "25 mm beryllium dome, full screen", 8, 5.6, 0.02, 700, 2.4, 0.575, "round", 25, None, 7.1, 0.6, 92.7, 100, 1800, 2, 1700, 4, 38000, "sealed", True, 104, None, 76, None, 8, 268.0, 3),
    ("HD-08", "beryllium dome", "25 mm beryllium dome, screen removed", 8, 5.6, 0.02, 700, 2.4, 0.575, "round", 25, None, 7.1, 0.6, 92.7, 100, 1800, 2, 1700, 4, 38000, "sealed", False, 104, None, 76, None, 8, 240.0, 1),
    ("HD-09", "true ribbon", "60 mm true ribbon with transformer", 6, 5.2, 0.0, None, None, None, "rectangular", 9, 60, None, None, 91.5, 40, 3000, 4, 2800, 4, None, "sealed", True, 98, 112, 78, 92, 20, 134.0, 6),
    ("HD-10", "true ribbon", "200 mm true ribbon with transformer", 6, 5.6, 0.0, None, None, None, "rectangular", 8, 200, None, None, 94.0, 80, 2500, 4, 2500, 4, None, "sealed", True, 96, 260, 72, 236, 22, 242.0, 4),
    ("HD-11", "planar magnetic", "60 mm planar magnetic", 8, 6.6, 0.0, None, None, None, "rectangular", 14, 60, None, None, 91.0, 60, 2000, 4, 1700, 4, None, "sealed", True, 84, 106, 66, 86, 10, 71.0, 18),
    ("HD-12", "planar magnetic", "planar magnetic, open at the back", 4, 3.9, 0.0, None, None, None, "rectangular", 20, 130, None, None, 99.0, 80, 1500, 4, 1300, 4, None, "open", True, 92, 176, 74, 150, 6, 118.0, 6),
    ("HD-13", "folded diaphragm", "folded diaphragm, 28 x 34 mm", 6, 4.7, 0.0, None, None, None, "rectangular", 28, 34, None, None, 93.0, 120, 2500, 2, None, None, None, "sealed", True, 98, 98, 70, 70, 10, 96.0, 10),
    ("HD-14", "folded diaphragm", "folded diaphragm, 40 x 130 mm", 6, 4.4, 0.0, None, None, None, "rectangular", 40, 130, None, None, 95.5, 120, 2000, 2, None, None, None, "sealed", None, 110, 210, 84, 178, 14, 212.0, 4),
    ("HD-15", "compression driver", "44 mm compression driver", 8, 5.8, 0.06, 640, 2.0, 0.262, "round", 25, None, 24.0, 0.35, 104.0, 100, 1200, 2, 1100, 4, 23500, "sealed", None, 120, None, 100, None, 0, 129.0, 6),
    ("HD-16", "soft dome", "28 mm soft dome, sample", 8, 5.6, 0.03, 830, 2.2, 0.90, "round", 28, None, 8.4, None, 91.2, None, None, None, None, None, None, "sealed", None, 104, None, 76, None, 9, 35.0, 2),
    ("HD-18", "planar magnetic", "large planar magnetic, open at the back", 4, 4.2, 0.0, None, None, None, "rectangular", 34, 320, None, None, 98.5, 120, 700, 4, 650, 4, None, "open", True, 74, 360, 52, 336, 4, 236.0, 4),
    ("HD-17", "soft dome", "22 mm soft dome, light coil", 8, 5.7, 0.02, 1000, 2.4, 1.10, "round", 22, None, 5.4, 0.6, 90.2, 6, None, None, None, None, None, "sealed", None, 80, None, 62, None, 7, 19.0, 50),
)  # fmt: skip

_HIGH_EXTRAS: Mapping[str, Row] = {
    "HD-02": {
        "vas_m3": 19,
        "rear_chamber_m3": 28,
        "other_chambers_m3": "85",
        "impedance_file": "curves/HD-02 impedance.csv",
        "impedance_measured": "free air",
    },
    "HD-03": {"response_file": "curves/HD-03.txt", "response_measured": "large baffle"},
    "HD-06": {"response_file": "curves/HD-06 response.txt", **_IN_CABINET},
    "HD-07": {
        "response_file": "curves/HD-07 response.csv",
        "response_measured": "large baffle",
        "response_phase": "own",
        "notes": "The leads were swapped when it was measured; the file was left as it is.",
    },
    "HD-13": {"response_file": "curves/HD-13 response.txt", "response_measured": "large baffle"},
    "HD-16": {"notes": "Peak travel not measured yet; ask the maker."},
}

_GUIDES = (
    {"id": "WG-01", "fits": "soft dome; metal dome", "mouth_width_m": 165, "mouth_height_m": 165, "horizontal_coverage_rad": 100,
     "vertical_coverage_rad": 100, "depth_m": 24, "faceplate_width_m": 176, "faceplate_height_m": 176, "price": 18.0, "stock": 12},
    {"id": "WG-02", "fits": "compression driver", "mouth_width_m": 350, "mouth_height_m": 220, "horizontal_coverage_rad": 90,
     "vertical_coverage_rad": 60, "depth_m": 160, "flare": "exponential", "throat_m": 36, "faceplate_width_m": 380, "faceplate_height_m": 250, "price": 62.0, "stock": 4},
    {"id": "WG-03", "fits": "HD-13; HD-14", "mouth_width_m": 210, "mouth_height_m": 150, "horizontal_coverage_rad": 100,
     "vertical_coverage_rad": 70, "depth_m": 40, "faceplate_width_m": 224, "faceplate_height_m": 164, "price": 34.0, "stock": 6},
    {"id": "WG-04", "fits": "soft dome", "mouth_width_m": 110, "mouth_height_m": 110, "horizontal_coverage_rad": 100,
     "vertical_coverage_rad": 100, "depth_m": 14, "faceplate_width_m": 120, "faceplate_height_m": 120, "price": 9.0, "stock": 20},
)  # fmt: skip

_CABINETS = (
    {"id": "CB-01", "kind": "closed", "baffle_width_m": 200, "baffle_height_m": 360, "depth_m": 260, "net_volume_m3": 11,
     "high_from_top_m": 80, "stand_height_m": 720},
    {"id": "CB-02", "kind": "vented", "baffle_width_m": 220, "baffle_height_m": 420, "depth_m": 300, "net_volume_m3": 18, "tuning_hz": 44,
     "high_from_top_m": 95, "stand_height_m": 650},
    {"id": "CB-03", "kind": "vented", "baffle_width_m": 260, "baffle_height_m": 980, "depth_m": 340, "net_volume_m3": 48, "tuning_hz": 34,
     "high_from_top_m": 115, "stand_height_m": 20},
    {"id": "CB-04", "kind": "closed", "baffle_width_m": 170, "baffle_height_m": 560, "depth_m": 220, "net_volume_m3": 14,
     "high_from_top_m": 280, "stand_height_m": 720},
    {"id": "CB-05", "kind": "open baffle", "baffle_width_m": 420, "baffle_height_m": 1050, "depth_m": 30,
     "high_from_top_m": 130, "stand_height_m": 0},
    {"id": "CB-06", "kind": "vented", "baffle_width_m": 420, "baffle_height_m": 760, "depth_m": 420, "net_volume_m3": 85, "tuning_hz": 46,
     "high_from_top_m": 175, "stand_height_m": 500},
    {"id": "CB-07", "kind": "closed", "baffle_width_m": 130, "baffle_height_m": 230, "depth_m": 170, "net_volume_m3": 2.6,
     "high_from_top_m": 62, "stand_height_m": 950, "tilt_rad": 4},
    {"id": "CB-08", "kind": "closed", "baffle_width_m": 320, "baffle_height_m": 1180, "depth_m": 240, "net_volume_m3": 30,
     "high_from_top_m": 330, "offset_m": -60, "stand_height_m": 150},
    {"id": "CB-09", "kind": "open baffle", "baffle_width_m": 300, "baffle_height_m": 1120, "depth_m": 25,
     "high_from_top_m": 200, "offset_m": 110, "stand_height_m": 0},
    {"id": "CB-10", "kind": "closed", "baffle_width_m": 200, "baffle_height_m": 360, "depth_m": 240, "net_volume_m3": 7,
     "high_from_top_m": 90, "stand_height_m": 740},
)  # fmt: skip

_SEASON = "Spring 2027"


def _pairing(id_: str, kit: str, low: str, high: str, cabinet: str, **more: Any) -> Row:
    return {"id": id_, "kit": kit, "season": _SEASON, "low_id": low, "high_id": high, "cabinet_id": cabinet, **more}


_PAIRINGS: tuple[Row, ...] = (
    _pairing("P-01", "Reedmace", "LD-01", "HD-01", "CB-01", kits_planned=12, slope="LR4", centre_spacing_m=150, vertical_half_window_rad=15, peak_level_db=96, amplifier_power_w=120,
             decision="accepted", decided_by="M. Quill", decided_on="2026-10-12", reason="Good value; sold well as a prototype."),
    _pairing("P-02", "Reedmace II", "LD-03", "HD-02", "CB-02", kits_planned=6, slope="LR4", crossover_hz=2200, vertical_half_window_rad=15, peak_level_db=96, amplifier_power_w=150, chamber_m3=85),
    _pairing("P-03", "Reedmace light", "LD-01", "HD-03", "CB-01", slope="LR2", peak_level_db=92, amplifier_power_w=60),
    _pairing("P-04", "Heron", "LD-04", "HD-04", "CB-03", slope="LR4", peak_level_db=96, amplifier_power_w=100),
    _pairing("P-05", "Heron II", "LD-04", "HD-06", "CB-03", slope="LR4", peak_level_db=95, amplifier_power_w=150, parts_policy="any"),
    _pairing("P-06", "Sedge", "LD-02", "HD-09", "CB-10", kits_planned=4, slope="LR4", crossover_hz=3000, distance_m=3, peak_level_db=90, amplifier_power_w=100),
    _pairing("P-07", "Sedge mobile", "LD-02", "HD-10", "CB-01", slope="LR4", peak_level_db=96, surroundings="vehicle"),
    _pairing("P-08", "Bittern", "LD-03", "HD-13", "CB-03", guide_id="WG-03", slope="LR4", peak_level_db=95, amplifier_power_w=150),
    _pairing("P-09", "Bittern tall", "LD-03", "HD-14", "CB-03", slope="LR4", vertical_half_window_rad=20, distance_m=3, peak_level_db=94, amplifier_power_w=150, placement="near a wall"),
    _pairing("P-10", "Twin Sedge", "LD-02", "HD-11", "CB-04", low_count=2, low_wiring="series", arrangement="low-high-low", slope="LR4", distance_m=3, peak_level_db=90, amplifier_power_w=150),
    _pairing("P-11", "Open Fen", "LD-10", "HD-12", "CB-05", slope="LR4", peak_level_db=98, amplifier_power_w=60, surroundings="studio"),
    _pairing("P-12", "Fenhall", "LD-07", "HD-15", "CB-06", guide_id="WG-02", slope="LR4", distance_m=6, peak_level_db=102, amplifier_power_w=300, surroundings="public", placement="in a wall", horizontal_half_window_rad=42),
    _pairing("P-13", "Reed budget", "LD-02", "HD-17", "CB-10", kits_planned=10, slope="LR4", distance_m=2, peak_level_db=92, amplifier_power_w=160),
    _pairing("P-14", "Reedmace loud", "LD-11", "HD-05", "CB-10", slope="LR4", peak_level_db=101, amplifier_power_w=200),
    _pairing("P-15", "Teal", "LD-11", "HD-16", "CB-10", slope="LR4", peak_level_db=94, amplifier_power_w=120),
    _pairing("P-16", "Grebe", "LD-11", "HD-07", "CB-10", kits_planned=1, slope="LR4", placement="free standing", crossover_hz=2300, peak_level_db=95, amplifier_power_w=120, parts_policy="stock"),
    _pairing("P-17", "Grebe bare", "LD-11", "HD-08", "CB-10", slope="LR4", peak_level_db=95, amplifier_power_w=120),
    _pairing("P-18", "Fen column", "LD-02", "HD-11", "CB-08", low_count=4, low_wiring="series-parallel", high_count=4, high_wiring="series-parallel",
             arrangement="column", slope="LR4", centre_spacing_m=112, distance_m=3, peak_level_db=96, amplifier_power_w=150, horizontal_half_window_rad=20),
    _pairing("P-19", "Desk Teal", "LD-06", "HD-04", "CB-07", kits_planned=8, slope="LR4", distance_m=0.9, ear_height_m=1.15, peak_level_db=90, amplifier_power_w=30),
    _pairing("P-20", "Mallard", "LD-09", "HD-02", "CB-02", slope="LR4", rear_use="removed", peak_level_db=96, amplifier_power_w=100),
    _pairing("P-21", "Teal prototype", "LD-08", "HD-02", "CB-02", slope="LR4", crossover_hz=2300, peak_level_db=94, amplifier_power_w=100,
             decision="on hold", decided_by="M. Quill", decided_on="2026-11-02", reason="Break-up of the new cone not measured."),
    _pairing("P-22", "Heron guided", "LD-04", "HD-06", "CB-03", guide_id="WG-01", slope="LR4", peak_level_db=95, amplifier_power_w=150),
    _pairing("P-23", "Open Fen tall", "LD-10", "HD-18", "CB-09", slope="LR4", centre_spacing_m=300, peak_level_db=98, amplifier_power_w=100, surroundings="studio"),
    _pairing("P-24", "Reed square", "LD-11", "HD-03", "CB-10", slope="BW3", peak_level_db=90, amplifier_power_w=80),
)  # fmt: skip


_CAPACITORS_UF = "1:1.6 1.5:1.7 2.2:1.9 3.3:2.2 4.7:2.6 5.6:2.9 6.8:3.2 8.2:3.7 10:4.1 12:4.7 15:5.4 18:6.3 22:7.3 27:8.6 33:10.2 47:14 68:19.5"
_COILS_MH = "0.1 0.15 0.18 0.22 0.27 0.33 0.39 0.47 0.56 0.68 0.82 1 1.2 1.5 1.8 2.2 2.7 3.3 3.9 4.7"
_RESISTORS_OHM = "0.47 1 1.5 2.2 2.7 3.3 3.9 4.7 5.6 6.8 8.2 10 12 15 18 22 27 33 47"
"""Values in stock; capacitors with their price."""


def _parts() -> list[Row]:
    rows: list[Row] = []
    for value, price in (map(float, pair.split(":")) for pair in _CAPACITORS_UF.split()):
        rows.append({"id": f"KC-{value:g}".replace(".", "u"), "kind": "capacitor", "value": value, "unit": "uF", "tolerance": 5,
                     "resistance_ohm": 0.02, "rating": 160, "rating_unit": "V", "price": price, "stock": 40})  # fmt: skip
    for value in map(float, _COILS_MH.split()):
        rows.append({"id": f"KL-{value:g}".replace(".", "m"), "kind": "inductor", "value": value, "unit": "mH", "tolerance": 5,
                     "resistance_ohm": round(0.32 * value**0.55, 2), "rating": 5, "rating_unit": "A",
                     "price": round(4.5 + 3.8 * value, 2), "stock": 24})  # fmt: skip
    for value in map(float, _RESISTORS_OHM.split()):
        rows.append({"id": f"KR-{value:g}".replace(".", "e"), "kind": "resistor", "value": value, "unit": "ohm", "tolerance": 5,
                     "rating": 20, "rating_unit": "W", "price": 1.2, "stock": 60})  # fmt: skip
    return rows


_ENQUIRIES: tuple[Row, ...] = (
    {"id": "E-01", "received": "2026-11-18", "question": "I have your LD-01 in the closed 11 litre box. Which tweeter should I take, and where do I cross it?",
     "low_id": "LD-01", "cabinet_id": "CB-01", "peak_level_db": 96, "amplifier_power_w": 60, "vertical_half_window_rad": 15},
    {"id": "E-02", "received": "2026-11-20", "question": "An old 8 inch paper woofer, 210 cm², baffle 26 cm wide. Is there a ribbon that would do?",
     "given_area_m2": 210, "given_fs_hz": 32, "given_re_ohm": 6.1, "given_le_h": 0.6, "given_qms": 3.5, "given_qes": 0.45,
     "given_sensitivity_db": 89, "given_baffle_width_m": 260, "given_baffle_height_m": 900, "distance_m": 3, "peak_level_db": 98},
    {"id": "E-03", "received": "2026-11-21", "question": "Small desktop speaker with LD-06, I sit 80 cm away.", "low_id": "LD-06", "cabinet_id": "CB-07",
     "distance_m": 0.8, "ear_height_m": 1.15, "peak_level_db": 90, "amplifier_power_w": 20},
)  # fmt: skip

_MAKER: Row = {
    "name": "Quillwater Kitworks", "contact_1": "3 Slipway Yard, Fenwater", "contact_2": "kits@quillwater.example", "contact_3": "Bench line: 555 0143",
    "logo_file": "quillwater.svg", "currency": "EUR", "tax": 20, "price_step": 0.5, "paper": "A4", "footer": "Kits are for careful hands. Ask before you drill.",
}  # fmt: skip


def demo_tables() -> dict[str, Sequence[Row]]:
    """Sheet name -> rows of the demo season, values in the workbook's units."""
    highs = [{**dict(zip(_HIGH_FIELDS, row, strict=True)), **_HIGH_EXTRAS.get(row[0], {})} for row in _HIGH]
    return {
        "Low drivers": [{**dict(zip(_LOW_FIELDS, row, strict=True)), **_LOW_EXTRAS.get(row[0], {})} for row in _LOW],
        "High drivers": highs,
        "Waveguides": _GUIDES,
        "Cabinets": _CABINETS,
        "Pairings": _PAIRINGS,
        "Parts": _parts(),
        "Enquiries": _ENQUIRIES,
        "Maker": [_MAKER],
    }
