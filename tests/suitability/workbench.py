"""The worked example as records, and facts that pass every check: what the tests of judgement change one by one.

Drivers are those of the demo's first pairing; the example leaves coil, heat and maker out, so they are set not to bind.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np

from reportgen.catalogue.records import Case
from reportgen.pairing.as_used import Setting
from reportgen.suitability.checks import Check, Facts, all_checks
from reportgen.suitability.limits import Limit, all_limits
from tests.demo_catalogue import DOME, demo, demo_case

CROSSOVER_HZ = 2450.4


@cache
def example() -> Case:
    """Low: 130 cm2, break-up 5200 Hz. High: 25 mm soft dome, 1100 Hz, 7 cm2, 0.3 mm. LR4, 150 mm, 98 dB at 2.5 m."""
    return demo_case(
        "P-01",
        low={"le_h": 0.0},
        high=DOME,
        pairing={
            "crossover_hz": None, "slope": "LR4", "centre_spacing_m": 0.150, "peak_level_db": 98.0, "distance_m": 2.5,
            "amplifier_power_w": 10.0, "horizontal_half_window_rad": float(np.radians(30.0)),
            "vertical_half_window_rad": float(np.radians(15.0)),
        },
    )  # fmt: skip


def changed(case: Case | None = None, **parts: Any) -> Case:
    """The example (or `case`) with fields of its records changed; a record or None replaces the whole part."""
    found = case or example()
    for part, fields in parts.items():
        value = replace(getattr(found, part), **fields) if isinstance(fields, dict) else fields
        found = replace(found, **{part: value})
    return found


def of_kind(kind: str, case: Case | None = None) -> Case:
    """The example with its high driver counted as another kind."""
    return changed(case, technology=demo().technologies[kind], high={"technology": kind})


def limits_of(case: Case) -> dict[str, Limit]:
    return {limit.id: limit for limit in all_limits(Setting(case))}


GOOD = {
    "directivity_step_db": 1.0, "seated_loss_db": 1.0, "standing_loss_db": 2.0, "tilt_db": 1.0, "level_surplus_db": 3.0,
    "sum_deviation_db": 0.5, "reversed_depth_db": 30.0, "lobe_rad": 0.0, "lobe_db": 0.0, "minimum_ohm": 5.0, "minimum_hz": 3000.0, "good_share": 1.0,
    "reachable_db": 110.0, "reachable_hz": 900.0, "reachable_cause": "the amplifier", "price": 93.0,
}  # fmt: skip
"""Figures of a network that passes everything."""


def facts(case: Case | None = None, crossover_hz: float = CROSSOVER_HZ, **figures: Any) -> Facts:
    setting = Setting(case or example())
    return Facts(setting, all_limits(setting), crossover_hz, **{**GOOD, **figures})


def checks_of(case: Case | None = None, crossover_hz: float = CROSSOVER_HZ, **figures: Any) -> dict[str, Check]:
    return {check.id: check for check in all_checks(facts(case, crossover_hz, **figures))}
