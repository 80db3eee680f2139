"""The worked example as records, and facts that pass every check: what the tests of judgement change one by one.

Drivers are those of the demo's first pairing; the example leaves coil, heat and maker out, so they are set not to bind.
"""

from __future__ import annotations

import re
from dataclasses import fields, replace
from functools import cache
from typing import Any

import numpy as np

from reportgen.catalogue.records import Case
from reportgen.pairing.as_built import AsBuilt, Window
from reportgen.pairing.as_used import Setting
from reportgen.pairing.electrical import Electrical
from reportgen.pairing.figures import Figures
from reportgen.pairing.heat import Heat, Warmth
from reportgen.pairing.network import Engineered
from reportgen.pairing.parts_list import PartLine
from reportgen.pairing.response import Model
from reportgen.pairing.tolerances import SpreadFigures
from reportgen.suitability.checks import Check, all_checks
from reportgen.suitability.limits import Limit, all_limits
from tests.demo_catalogue import DOME, demo, demo_case
from tests.pairing.engineering import engineer

CROSSOVER_HZ = 2450.4

SHOUT = re.compile(r"(?<![A-Z])(?!(?:EUR|IEC|ISO|AES|CFR)\b)[A-Z]{2,}(?![-\dA-Z])")
"""Capitals in a row that are no part's name, slope, cell, currency, standard or law: no sentence of a sheet holds any."""


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
    for name, given in parts.items():
        value = replace(getattr(found, name), **given) if isinstance(given, dict) else given
        found = replace(found, **{name: value})
    return found


def of_kind(kind: str, case: Case | None = None) -> Case:
    """The example with its high driver counted as another kind."""
    return changed(case, technology=demo().technologies[kind], high={"technology": kind})


def limits_of(case: Case) -> dict[str, Limit]:
    return {limit.id: limit for limit in all_limits(Setting(case))}


GOOD = {
    "directivity_step_db": 1.0, "seated_loss_db": 1.0, "standing_loss_db": 2.0, "tilt_db": 1.0, "level_surplus_db": 3.0,
    "sum_deviation_db": 0.5, "reversed_depth_db": 30.0, "lobe_rad": 0.0, "lobe_db": 0.0, "minimum_ohm": 5.0, "minimum_hz": 3000.0, "good_share": 1.0,
    "reachable_db": 110.0, "reachable_hz": 900.0, "reachable_cause": "the amplifier", "price": 93.0, "price_missing": (),
    "worst_part": "", "worst_part_db": 0.0, "side_loss_db": (1.0, 2.0), "room_loss_db": 3.0, "hole_db": 2.0, "hole_hz": 9000.0,
    "heat": Heat(20.0, Warmth(10.0, 60.0, 0.4), Warmth(1.0, 10.0, None)),
    "balance_db": (0.3, -0.2), "evenness_db": 1.0, "loud_db": 2.0,
}  # fmt: skip
"""Figures of a network that passes everything."""


@cache
def network() -> Engineered:
    """The network of the example, whose figures the tests change."""
    return engineer(Model(Setting(example())), CROSSOVER_HZ)


def built(case: Case | None = None, crossover_hz: float = CROSSOVER_HZ, **figures: Any) -> AsBuilt:
    """The example (or `case`) as built, with `GOOD` figures but those given; `not_designed` leaves the network out."""
    wanted = {**GOOD, **figures}
    model, parts = Model(Setting(case or example())), wanted.pop("parts", ())
    if why := wanted.get("not_designed"):
        bare = AsBuilt(model, crossover_hz, None, why)
        bare.__dict__["window"] = None
        return bare
    held = network()
    electrical = replace(held.electrical, **_taken(wanted, Electrical))
    spread = replace(held.spread, **_taken(wanted, SpreadFigures))
    figures = replace(held.figures, **_taken(wanted, Figures))
    design = replace(held.design, loud_db=wanted.pop("loud_db"))
    named = {"electrical": electrical, "spread": spread, "parts": parts, "figures": figures, "design": design}
    made = replace(held, **named, **_taken(wanted, Engineered))
    found = AsBuilt(model, crossover_hz, made)
    window = Window(**_taken(wanted, Window))
    found.__dict__.update(wanted, window=window)  # what is left are its own figures, worked out beforehand
    return found


def part(label: str, **figures: Any) -> PartLine:
    """One part of a network."""
    role = figures.pop("role", "shunt")
    return PartLine("high", label, label[0], role, 1e-5, 0.0, **figures)  # type: ignore[arg-type]


def _taken(wanted: dict[str, Any], owner: type) -> dict[str, Any]:
    """What of the wanted figures are fields of `owner`."""
    return {field.name: wanted.pop(field.name) for field in fields(owner) if field.name in wanted}


def checks_of(case: Case | None = None, crossover_hz: float = CROSSOVER_HZ, **figures: Any) -> dict[str, Check]:
    found = built(case, crossover_hz, **figures)
    return {check.id: check for check in all_checks(found, all_limits(found.setting))}
