"""What stands in for cells that data sheets leave empty, and how far the true figure may lie from it.

Knows what is usual (common practice, no source). Refuses to judge what hangs on it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import pi, sqrt
from typing import Any

from reportgen.catalogue.plausible import tells_coil, tells_resonance
from reportgen.catalogue.records import Case, HighDriver, LowDriver

LOW_DEPTH = (0.22, 0.16, 0.28)
"""How deep the centre of a cone lies, as a share of its effective diameter: usual, least, most (common practice, no source)."""
HIGH_DEPTH_M = (0.008, 0.0, 0.014)
"""The same of a dome or foil behind its faceplate (m)."""
HIGH_LE_H = (0.01e-3, 0.06e-3)
"""Inductance of a dome's coil: least, most (H)."""
HIGH_Q = ((2.0, 1.3), (4.0, 0.7))
"""Qms and Qes of a dome, well damped and hardly damped."""


def low_depth_m(low: LowDriver) -> float:
    """How far the acoustic centre of a low driver lies behind the baffle's face (m): as stated, else as is usual."""
    return _cone(low)[0] if low.centre_depth_m is None else low.centre_depth_m


def high_depth_m(high: HighDriver, horn_driver: bool) -> float:
    """The same of a high driver without its guide (m); a driver that needs a horn has no usual depth, and counts as 0."""
    return (0.0 if horn_driver else HIGH_DEPTH_M[0]) if high.centre_depth_m is None else high.centre_depth_m


def _cone(low: LowDriver) -> tuple[float, ...]:
    diameter = 2.0 * sqrt(low.diaphragm_area_m2 / pi)
    return tuple(share * diameter for share in LOW_DEPTH)


def unsure_cells(case: Case, horn_driver: bool) -> tuple[str, ...]:
    """The empty cells whose figure is known within bounds."""
    high = () if horn_driver else case.high.missing("centre_depth_m")
    return (*case.low.missing("centre_depth_m"), *high, *_coil_cells(case))


def _coil_cells(case: Case) -> tuple[str, ...]:
    """The empty cells of a dome's coil and resonance that its impedance hangs on; none where that was measured."""
    return case.high.missing(*_coil_fields(case))


def _coil_fields(case: Case) -> tuple[str, ...]:
    if not case.technology.travel_stated:
        return ()
    curve = case.curves.get((case.high.id, "impedance"))
    coil = () if curve and tells_coil(case.high, curve) else ("le_h",)
    return coil if curve and tells_resonance(case.high, curve) else (*coil, "qms", "qes")


def otherwise(case: Case, horn_driver: bool) -> Iterator[Case]:
    """The pairing with what is filled in at either end of what is usual, one doubt after the other."""
    low, high = case.low, case.high
    near: dict[str, dict[str, Any]] = {}
    far: dict[str, dict[str, Any]] = {}
    if low.missing("centre_depth_m"):
        near["low"], far["low"] = ({"centre_depth_m": depth} for depth in _cone(low)[1:])
    if high.missing("centre_depth_m") and not horn_driver:
        far["high"], near["high"] = ({"centre_depth_m": depth} for depth in HIGH_DEPTH_M[1:])
    ends = [near, far] if near else []
    fields = _coil_fields(case)
    if "le_h" in fields and high.missing("le_h"):
        ends += [{"high": {"le_h": le_h}} for le_h in HIGH_LE_H]
    if "qms" in fields and high.missing("qms", "qes"):
        ends += [{"high": {"qms": high.qms or qms, "qes": high.qes or qes}} for qms, qes in HIGH_Q]
    for end in ends:
        yield replace(case, **{role: replace(getattr(case, role), **figures) for role, figures in end.items()})
