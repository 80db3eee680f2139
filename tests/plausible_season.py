"""Seasons as a maker would fill them: sizes, impedances, kinds, cabinets and gaps of real data sheets, drawn at random.

Every figure is invented. A low driver's figures agree with one another (Small 1972): size, mass, resonance and
damping are drawn, and compliance, force factor and sensitivity follow. A cell stays empty as often as makers leave it
out. The same seed draws the same season; nothing in the program is tuned on it.
"""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from math import log10, pi, sqrt
from pathlib import Path
from typing import Any

import numpy as np

from reportgen.catalogue.demo import demo_tables
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Catalogue
from tests.workbooks import write_plain

Row = dict[str, Any]
AIR_DENSITY, SOUND_SPEED = 1.204, 343.2

# nominal size (in), Sd (cm2), frame (mm), cut-out (mm), Fs (Hz), Mms (g), Qts, Xmax (mm), Le at 8 ohm (mH), break-up (Hz), power (W), price
WOOFERS = (
    (3, (28, 36), 84, 70, (75, 120), (2.2, 3.6), (0.35, 0.60), (1.8, 3.5), (0.05, 0.25), (7000, 12000), (15, 40), (14, 60)),
    (4, (50, 60), 110, 93, (55, 85), (4.0, 6.8), (0.33, 0.55), (2.5, 5.0), (0.10, 0.45), (6000, 10000), (30, 60), (22, 95)),
    (5, (80, 98), 138, 117, (42, 65), (7.0, 11.5), (0.30, 0.50), (3.0, 6.0), (0.15, 0.70), (5200, 9000), (40, 80), (30, 150)),
    (6.5, (125, 145), 172, 147, (32, 52), (11.0, 20.0), (0.28, 0.48), (3.5, 7.5), (0.20, 1.00), (4200, 7500), (50, 120), (35, 220)),
    (8, (205, 225), 218, 187, (25, 42), (20.0, 38.0), (0.27, 0.45), (4.0, 9.0), (0.30, 1.40), (2800, 5500), (60, 180), (45, 260)),
    (10, (320, 350), 262, 232, (20, 34), (38.0, 70.0), (0.26, 0.45), (5.0, 11.0), (0.50, 2.00), (2000, 4000), (100, 250), (70, 320)),
    (12, (500, 540), 312, 282, (38, 55), (45.0, 75.0), (0.25, 0.40), (4.0, 8.0), (0.50, 1.60), (1800, 3500), (150, 400), (90, 330)),
)  # fmt: skip

GAPS = {
    "le_h": 0.06, "peak_travel_m": 0.08, "rated_power_w": 0.05, "breakup_hz": 0.12, "frame_width_m": 0.03, "centre_depth_m": 0.55,
    "price": 0.04, "stock": 0.15, "moving_mass_kg": 0.05, "force_factor_t_m": 0.10,
}  # fmt: skip
"""How often a cell of a low driver's sheet is empty."""

HIGH_GAPS = {
    "le_h": 0.25, "fs_hz": 0.04, "qms": 0.30, "qes": 0.25, "peak_travel_m": 0.20, "diaphragm_area_m2": 0.15, "rated_power_w": 0.06,
    "rating_highpass_hz": 0.35, "lowest_use_hz": 0.50, "diaphragm_resonance_hz": 0.40, "screen": 0.45, "centre_depth_m": 0.60,
    "price": 0.03, "stock": 0.15,
}  # fmt: skip


@dataclass
class Drawer:
    """Draws rows; the same seed draws the same ones."""

    random: np.random.Generator

    def within(self, low: float, high: float, digits: int = 3) -> float:
        """A figure of so many digits, evenly over its logarithm."""
        value = float(np.exp(self.random.uniform(np.log(low), np.log(high))))
        return float(f"{value:.{digits}g}")

    def one(self, *choices: Any, weights: Sequence[float] | None = None) -> Any:
        """One of the choices."""
        share = None if weights is None else np.array(weights) / sum(weights)
        return choices[int(self.random.choice(len(choices), p=share))]

    def gapped(self, row: Row, gaps: dict[str, float]) -> Row:
        """The row with cells left out as often as makers leave them out."""
        return {name: value for name, value in row.items() if self.random.random() >= gaps.get(name, 0.0)}

    def low(self, number: int) -> Row:
        """A woofer or midrange whose figures agree."""
        inches, area, frame, cut, fs, mass, qts, travel, coil, breakup, power, price = self.one(*WOOFERS, weights=(1, 2, 4, 6, 4, 2, 1))  # fmt: skip
        ohm = self.one(4, 8, weights=(1, 3))
        re, sd, f = ohm * self.within(0.68, 0.80, 2), self.within(*area), self.within(*fs, 2)
        m, q, qms = self.within(*mass), self.within(*qts), self.within(2.5, 7.0, 2)
        qes = q * qms / (qms - q)
        vas = AIR_DENSITY * SOUND_SPEED**2 * (sd * 1e-4) ** 2 / ((2 * pi * f) ** 2 * m * 1e-3)
        bl = sqrt(2 * pi * f * m * 1e-3 * re / qes)
        eta = 4 * pi**2 / SOUND_SPEED**3 * f**3 * vas / qes
        return self.gapped(
            {
                "id": f"W{number:02d}", "description": f'{inches:g}" {self.one("paper", "coated paper", "woven", "plastic", "metal")} cone',
                "nominal_impedance_ohm": ohm, "re_ohm": round(re, 1), "le_h": round(self.within(*coil) * ohm / 8, 2), "fs_hz": f, "qms": qms,
                "qes": round(qes, 2), "vas_m3": float(f"{vas * 1e3:.3g}"), "diaphragm_area_m2": sd, "moving_mass_kg": m,
                "force_factor_t_m": round(bl, 1), "peak_travel_m": self.within(*travel, 2),
                "sensitivity_db": round(112.2 + 10 * log10(eta) + 10 * log10(8 / re), 1), "rated_power_w": self.within(*power, 1),
                "breakup_hz": self.within(*breakup, 2), "frame_width_m": frame, "cutout_m": cut, "centre_depth_m": round(frame / 5),
                "price": self.within(*price, 2), "stock": int(self.random.integers(0, 40)),
            },
            GAPS,
        )  # fmt: skip

    def high(self, number: int) -> Row:
        """A high driver of one of the usual kinds."""
        kind = self.one("soft dome", "metal dome", "planar magnetic", "folded diaphragm", "true ribbon", "compression driver", "beryllium dome",
                        weights=(9, 4, 2, 2, 2, 2, 1))  # fmt: skip
        ohm = self.one(4, 6, 8, weights=(2, 3, 4))
        row: Row = {"id": f"T{number:02d}", "technology": kind, "nominal_impedance_ohm": ohm, "re_ohm": round(ohm * self.within(0.68, 0.85, 2), 1),
                    "rear": "sealed", "stock": int(self.random.integers(0, 40))}  # fmt: skip
        make = {
            "compression driver": self._compression,
            "planar magnetic": self._film,
            "folded diaphragm": self._film,
            "true ribbon": self._film,
        }
        return self.gapped({**row, **make.get(kind, self._dome)(kind)}, HIGH_GAPS)

    def _dome(self, kind: str) -> Row:
        size = self.one(19, 22, 25, 26, 28, 34, weights=(2, 1, 4, 5, 4, 1))
        fs = self.within(450, 1300, 2) if size >= 25 else self.within(800, 1700, 2)
        face = self.one(52, 72, 100, 104, 110) if size < 34 else 130
        return {
            "description": f"{size} mm {kind}", "le_h": self.within(0.01, 0.08, 1), "fs_hz": fs, "qms": self.within(1.6, 4.5, 2),
            "qes": self.within(0.5, 1.6, 2), "shape": "round", "radiating_width_m": size, "diaphragm_area_m2": round(pi * (size * 1.08 / 20) ** 2, 1),
            "peak_travel_m": self.within(0.15, 1.0, 1), "sensitivity_db": round(self.random.uniform(88.0, 94.5), 1),
            "rated_power_w": self.one(30, 60, 80, 100, 120), "rating_highpass_hz": self.one(1500, 2000, 2500, 3000), "rating_order": self.one(2, 2, 4),
            "lowest_use_hz": self.one(1500, 1800, 2000, 2500), "lowest_use_order": self.one(2, 4),
            "diaphragm_resonance_hz": self.within(20000, 42000, 2) if kind != "soft dome" else None, "screen": kind != "soft dome",
            "faceplate_width_m": face, "cutout_width_m": round(face * 0.72), "centre_depth_m": 8,
            "price": self.within(14, 120, 2) * (3 if kind == "beryllium dome" else 1),
        }  # fmt: skip

    def _film(self, kind: str) -> Row:
        width, height = {
            "planar magnetic": self.one((14, 60), (20, 50), (20, 130)),
            "folded diaphragm": self.one((25, 32), (28, 34), (40, 130)),
            "true ribbon": self.one((8, 60), (9, 100), (8, 200)),
        }[kind]
        floor = {"planar magnetic": (1300, 2000), "folded diaphragm": (1800, 3000), "true ribbon": (2200, 3500)}[kind]
        return {
            "description": f"{width} x {height} mm {kind}", "shape": "rectangular", "radiating_width_m": width, "radiating_height_m": height,
            "sensitivity_db": round(self.random.uniform(89.0, 97.0), 1), "rated_power_w": self.one(20, 40, 60, 100),
            "rating_highpass_hz": self.within(*floor, 2), "rating_order": self.one(2, 4), "lowest_use_hz": self.within(*floor, 2),
            "lowest_use_order": self.one(2, 4), "screen": True, "faceplate_width_m": width + 75, "faceplate_height_m": height + 60,
            "cutout_width_m": width + 55, "cutout_height_m": height + 40, "centre_depth_m": 12, "price": self.within(30, 320, 2),
        }  # fmt: skip

    def _compression(self, kind: str) -> Row:
        return {
            "description": kind, "le_h": 0.06, "fs_hz": self.within(500, 900, 2), "qms": 2.2, "qes": self.within(0.2, 0.5, 2), "shape": "round",
            "radiating_width_m": 25, "diaphragm_area_m2": self.one(16, 24, 45), "peak_travel_m": 0.35, "sensitivity_db": round(self.random.uniform(102, 109), 1),
            "rated_power_w": self.one(40, 80, 110), "rating_highpass_hz": self.one(1000, 1500), "rating_order": 2, "lowest_use_hz": self.one(1000, 1500),
            "lowest_use_order": 2, "diaphragm_resonance_hz": self.within(15000, 28000, 2), "faceplate_width_m": 110, "cutout_width_m": 90,
            "price": self.within(40, 260, 2),
        }  # fmt: skip

    def cabinet(self, number: int, low: Row, high: Row, guide: Row | None, count: int) -> Row:
        """A box that suits the woofer, as a maker would draw it: what is screwed to it fits, and it holds its net volume."""
        frame, vas, fs = float(low.get("frame_width_m", 180)), float(low.get("vas_m3", 20)), float(low["fs_hz"])
        qts = low["qes"] * low["qms"] / (low["qes"] + low["qms"])
        front = guide or high
        face_wide = float(front.get("faceplate_width_m", 104))
        face = float(front.get("faceplate_height_m", face_wide))
        wide = round(max(frame, face_wide) + self.within(20, 60, 2), -1)
        kind = (
            self.one("closed", "vented", "open baffle", weights=(4, 6, 1))
            if qts < 0.5
            else self.one("closed", "open baffle", weights=(5, 1))
        )
        tall = max(round(count * frame + face + self.within(50, 160, 2), -1), self.one(0, 900, 1100, weights=(4, 1, 1)))
        from_top = self.one(None, round(face / 2 + self.within(10, 30, 2)))
        box: Row = {"id": f"B{number:02d}", "kind": kind, "baffle_width_m": wide, "high_from_top_m": from_top}
        if kind == "open baffle":
            wide += 150
            return {
                **box,
                "baffle_width_m": wide,
                "baffle_height_m": tall,
                "depth_m": 30,
                "stand_height_m": max(0, 980 - tall),
            }
        volume = (
            count
            * vas
            * (1.0 / ((0.75 / qts) ** 2 - 1.0) if kind == "closed" and qts < 0.7 else self.within(0.5, 1.2, 2))
        )
        tuned = {"tuning_hz": round(fs * self.within(0.9, 1.15, 2))} if kind == "vented" else {}
        wall, outer = (
            36.0,
            self.within(1.1, 1.25) * volume * 1e6,
        )  # mm of both walls; mm3 with bracing, port and drivers
        depth = max(outer / ((wide - wall) * (tall - wall)) + wall, 0.45 * frame + 60)
        if depth > 1.6 * wide:  # a deep box is made taller
            depth = 1.6 * wide
            tall = round(outer / ((wide - wall) * (depth - wall)) + wall + 5, -1)
        size: Row = {"baffle_height_m": tall, "depth_m": round(depth + 5, -1), "stand_height_m": max(0, 980 - tall)}
        return {**box, **size, "net_volume_m3": float(f"{volume:.3g}"), **tuned}

    def pairing(self, number: int, low: Row, high: Row, cabinet: Row, two: bool, guide: str | None) -> Row:
        """A kit made of them."""
        distance, power = self.one(1.0, 2.0, 2.5, 3.0, weights=(1, 3, 5, 3)), self.one(30, 60, 100, 150)
        reach = (
            float(low["sensitivity_db"]) + 10 * log10(power * low["nominal_impedance_ohm"] / 8) - 20 * log10(distance)
        )
        wish = round(reach - 4.0 - self.random.uniform(0.0, 8.0))  # a maker knows what a woofer of this size can do
        row: Row = {
            "id": f"K{number:03d}", "kit": f"Kit {number}", "season": "Drawn", "low_id": low["id"], "high_id": high["id"], "cabinet_id": cabinet["id"],
            "guide_id": guide, "slope": self.one("LR2", "LR4", "BW3", weights=(3, 8, 1)), "peak_level_db": wish,
            "distance_m": distance, "amplifier_power_w": power,
            "parts_policy": self.one("preferred", "stock", "any", weights=(4, 3, 2)),
            "surroundings": self.one("home", "studio", "public", "vehicle", "outdoors", weights=(12, 3, 1, 1, 1)),
        }  # fmt: skip
        if two:
            row |= {"low_count": 2, "low_wiring": "series" if low["nominal_impedance_ohm"] == 4 else "parallel",
                    "arrangement": self.one("high over low", "low-high-low")}  # fmt: skip
            if row["arrangement"] == "low-high-low":
                cabinet["high_from_top_m"] = cabinet["baffle_height_m"] / 2
        return row


def tables(seed: int, pairings: int = 200) -> dict[str, list[Row]]:
    """Sheet name -> rows in the workbook's units: a season of so many pairings."""
    draw = Drawer(np.random.default_rng(seed))
    lows = [draw.low(n) for n in range(1, 6 + pairings // 4)]
    highs = [draw.high(n) for n in range(1, 6 + pairings // 4)]
    found: dict[str, list[Row]] = {name: [dict(row) for row in rows] for name, rows in demo_tables().items()}
    found["Waveguides"] = [
        guide for guide in found["Waveguides"] if guide["id"] != "WG-03"
    ]  # it names drivers of the demo
    found["Maker"][0].pop("logo_file", None)
    guides = {guide["id"]: guide for guide in found["Waveguides"]}
    cabinets: list[Row] = []
    rows: list[Row] = []
    for number in range(1, pairings + 1):
        low, two = draw.one(*lows), draw.random.random() < 0.2
        loud = float(low["sensitivity_db"]) + (6 if two else 0)
        horn = float(low["diaphragm_area_m2"]) > 200 and draw.random.random() < (
            0.9 if float(low["diaphragm_area_m2"]) > 300 else 0.2
        )
        suited = [high for high in highs if (high["technology"] == "compression driver") == horn] or highs
        near = sorted(suited, key=lambda high: max(0.0, loud - float(high["sensitivity_db"])))
        high = draw.one(*near[: max(3, len(near) * 2 // 3)])
        guide = "WG-02" if high["technology"] == "compression driver" else None
        if guide is None and high["technology"] in ("soft dome", "metal dome") and draw.random.random() < 0.15:
            guide = "WG-01"
        cabinets.append(draw.cabinet(number, low, high, guides.get(guide), 2 if two else 1))
        rows.append(draw.pairing(number, low, high, cabinets[-1], two, guide))
    found |= {"Low drivers": lows, "High drivers": highs, "Cabinets": cabinets, "Pairings": rows, "Enquiries": []}
    return found


def catalogue(seed: int, pairings: int = 200) -> Catalogue:
    """The season as the program reads it from a workbook."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "season.xlsx"
        write_plain(path, tables(seed, pairings))
        return read_catalogue(path)
