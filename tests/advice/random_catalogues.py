"""Catalogues of random drivers with gaps in their data, for tests and measurements of a screen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from reportgen.catalogue.records import Catalogue, HighDriver, LowDriver, Origin
from tests.demo_catalogue import demo

GAP = 0.12
"""Share of optional data that is missing."""


class Maker:
    """Draws drivers around the trade's usual sizes; the same seed draws the same ones."""

    def __init__(self, seed: int) -> None:
        self.random = np.random.default_rng(seed)

    def between(self, low: float, high: float) -> float:
        return float(np.exp(self.random.uniform(np.log(low), np.log(high))))

    def perhaps(self, value: float | None) -> float | None:
        return None if self.random.random() < GAP else value

    def low(self, number: int) -> LowDriver:
        area = self.between(0.003, 0.06)
        size = 1.45 * 2.0 * float(np.sqrt(area / np.pi))
        return LowDriver(
            id=f"L{number}", origin=Origin("Low drivers", number + 2), re_ohm=self.between(3.0, 7.0),
            le_h=self.perhaps(self.between(5e-5, 8e-4)), fs_hz=self.between(25, 90), qms=4.0, qes=0.5,
            diaphragm_area_m2=area, sensitivity_db=self.random.uniform(84, 98), breakup_hz=self.perhaps(self.between(1800, 12000)),
            highest_use_hz=None if self.random.random() < 0.6 else self.between(1500, 6000),
            frame_width_m=self.perhaps(size), frame_height_m=self.perhaps(1.1 * size),
            price=self.perhaps(self.between(20, 200)), stock=int(self.random.integers(0, 9)),
        )  # fmt: skip

    def high(self, number: int) -> HighDriver:
        kinds = list(demo().technologies)
        kind = kinds[int(self.random.integers(len(kinds)))]
        film = demo().technologies[kind].diaphragm == "film"
        width = float(self.random.choice([8, 14, 19, 22, 25, 26, 28, 34])) * 1e-3
        rear = str(self.random.choice(["sealed", "removable", "open"]))
        return HighDriver(
            id=f"H{number}", origin=Origin("High drivers", number + 2), technology=kind, re_ohm=self.between(3.0, 7.0),
            fs_hz=self.perhaps(self.between(450, 1600)), qms=2.0, qes=self.perhaps(self.between(0.5, 1.2)),
            vas_m3=self.perhaps(2e-5), shape="rectangular" if film else "round", radiating_width_m=width,
            radiating_height_m=float(self.random.choice([30, 60, 120])) * 1e-3 if film else None,
            diaphragm_area_m2=self.perhaps(width**2), peak_travel_m=None if film else self.perhaps(self.between(2e-4, 1e-3)),
            sensitivity_db=self.random.uniform(87, 99), rated_power_w=self.perhaps(self.between(5, 100)),
            rating_highpass_hz=self.perhaps(2000.0), rating_order=2,
            lowest_use_hz=self.perhaps(self.between(1200, 3000)), lowest_use_order=int(self.random.choice([2, 4])),
            rear=rear, rear_chamber_m3=self.perhaps(3e-5), other_chambers_m3=(7e-5,) if rear == "removable" else None,
            screen=bool(self.random.integers(2)) if self.random.random() < 0.8 else None,
            faceplate_width_m=self.perhaps(self.between(0.05, 0.13)), price=self.perhaps(self.between(15, 250)),
            stock=int(self.random.integers(0, 9)),
        )  # fmt: skip


def random_catalogue(lows: int, highs: int, seed: int = 1) -> Catalogue:
    """The demo's guides, cabinets and rules with random drivers in place of its own."""
    maker = Maker(seed)
    low = [maker.low(number) for number in range(lows)]
    high = [maker.high(number) for number in range(highs)]
    return replace(
        demo(), low_drivers={one.id: one for one in low}, high_drivers={one.id: one for one in high}, curves={}
    )
