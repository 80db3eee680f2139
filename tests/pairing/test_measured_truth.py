"""Files against a truth that is known: either the network does what it claims, or the file is refused or warned of."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.pairing.truth import Outcome, Shot, World, tried

LARGE = Shot()
ALONE = replace(LARGE, phase=False)
BOX = Shot(where="CB-01", common=True, late_s=1e-3)
GATED = np.linspace(300.0, 20000.0, 400)
IN_BOX = {"response_measured": "CB-01", "response_phase": "common reference"}


def both(shot: Shot, **others: Shot) -> dict[str, Shot]:
    ohm = {f"{role} impedance": Shot(hz=np.geomspace(15, 22000, 300)) for role in ("low", "high")}
    return {"low response": shot, "high response": shot, **ohm, **{k.replace("_", " "): v for k, v in others.items()}}


def scaled(frequency: float = 1.0, value: float = 1.0, add: float = 0.0) -> Any:
    return lambda f, v, d: (f * frequency, v * value + add, d)


def bad_edge(f: Any, v: Any, d: Any) -> Any:
    v = v.copy()
    v[0] += 10.0
    return f, v, d


def random_phase(f: Any, v: Any, d: Any) -> Any:
    return f, v, np.random.default_rng(5).uniform(-180, 180, f.size)


EVEN: dict[str, tuple[World, dict[str, Shot], dict[str, Any]]] = {
    "magnitude only": (World(), both(ALONE), {}),
    "own phase": (World(), both(LARGE), {}),
    "0.2 ms left in the low phase, high magnitude only": (
        World(), both(LARGE, low_response=replace(LARGE, late_s=2e-4), high_response=ALONE), {}),
    "low driver upside down": (World(), both(LARGE, low_response=replace(LARGE, sign=-1.0)), {}),
    "high driver upside down, no phase in the low one": (
        World(), both(ALONE, high_response=replace(LARGE, sign=-1.0)), {}),
    "high driver at 0.5 m, said": (
        World(), both(LARGE, high_response=replace(LARGE, at_m=0.5)), {"high": {"measured_at_m": 0.5}}),
    "2 V, said": (World(), both(replace(LARGE, volt=2.0)), {r: {"measuring_voltage_v": 2.0} for r in ("low", "high")}),
    "finished box, one time reference, said": (World(), both(BOX), {"low": IN_BOX, "high": IN_BOX}),
    "finished box, one time reference, said, centre 15 mm deeper": (
        World(depth_m=0.015), both(BOX), {"low": IN_BOX, "high": IN_BOX}),
    "finished box, one time reference, low one upside down": (
        World(), both(BOX, low_response=replace(BOX, sign=-1.0)), {"low": IN_BOX, "high": IN_BOX}),
    "another, vented cabinet, said": (
        World(), both(replace(LARGE, where="CB-02")), {r: {"response_measured": "CB-02"} for r in ("low", "high")}),
    "gated from 300 Hz, with phase": (World(), both(replace(LARGE, hz=GATED)), {}),
    "gated from 300 Hz, without phase": (World(), both(replace(ALONE, hz=GATED)), {}),
    "gated, one bad point at the edge": (World(), both(replace(ALONE, hz=GATED, spoil=bad_edge)), {}),
    "48 points": (World(), both(replace(ALONE, hz=np.geomspace(30, 20000, 48))), {}),
    "8000 points, 1 dB of noise": (World(), both(replace(ALONE, hz=np.geomspace(20, 20000, 8000), noise_db=1.0)), {}),
    "0.5 dB and 3 degrees of noise, 3 ms": (
        World(), both(replace(LARGE, late_s=3e-3, noise_db=0.5, noise_deg=3.0)), {}),
    "random phase": (World(), both(LARGE, low_response=replace(LARGE, spoil=random_phase)), {}),
    "phase of the wrong sign": (World(), both(replace(LARGE, spoil=lambda f, v, d: (f, v, -d))), {}),
    "coherence in place of phase": (World(), both(replace(LARGE, spoil=lambda f, v, d: (f, v, 1.0 - 50.0 / (50.0 + f)))), {}),
    "both upside down, late by 12 ms, gated": (
        World(), both(replace(LARGE, hz=GATED, sign=-1.0, late_s=0.009)), {}),
    "phase that does not count": (World(), both(replace(LARGE, spoil=random_phase)),
                                  {r: {"response_phase": "none"} for r in ("low", "high")}),
}  # fmt: skip
"""Whatever is said of them, these must come out even."""

CAUGHT: dict[str, tuple[dict[str, Shot], dict[str, Any], str]] = {
    "high driver at 0.5 m, unsaid": (both(LARGE, high_response=replace(LARGE, at_m=0.5)), {}, "Measured at"),
    "8.9 V, unsaid": (both(replace(LARGE, volt=8.9)), {}, "Measuring voltage"),
    "frequency in kHz": (both(LARGE, low_response=replace(LARGE, spoil=scaled(1e-3))), {}, "looks like kHz"),
    "high driver's frequency in kHz": (
        both(LARGE, high_response=replace(LARGE, hz=np.geomspace(2500, 20000, 99), spoil=scaled(1e-3))), {}, "works around"),
    "impedance in milliohm": (both(LARGE, low_impedance=Shot(spoil=scaled(value=1e3))), {}, "milliohm"),
    "a level file in the impedance cell": (
        both(LARGE, high_impedance=Shot(spoil=lambda f, v, d: (f, 90.0 + 2.0 * np.sin(f), d))), {}, "levels in dB"),
    "an impedance in the response cell": (
        both(LARGE, high_response=replace(LARGE, spoil=lambda f, v, d: (f, 5.6 + f / 9e3, d))), {}, "like ohms"),
    "levels around 0 dB": (both(LARGE, low_response=replace(LARGE, spoil=scaled(add=-89.0))), {}, "around 0 dB"),
    "another driver's impedance": (both(LARGE, low_impedance=Shot(spoil=scaled(1.5))), {}, "Fs of LD-01"),
    "finished box, one time reference, unsaid": (
        both(BOX), {r: {"response_measured": None} for r in ("low", "high")}, "one start of time"),
    "a low driver's file of another band": (both(LARGE, low_response=replace(LARGE, hz=np.geomspace(20, 120, 60))), {}, "works around"),
}  # fmt: skip
"""These are refused, or warned of in these words."""


@pytest.mark.parametrize("name", EVEN)
def test_the_network_does_what_it_claims(name: str, tmp_path: Path) -> None:
    world, shots, cells = EVEN[name]
    found = tried(world, tmp_path, shots, cells)
    assert not found.refused
    assert abs(found.off_db) <= 0.3, found
    assert found.real[0] < 1.2, found


@pytest.mark.parametrize("name", CAUGHT)
def test_what_cannot_be_trusted_is_refused_or_warned_of(name: str, tmp_path: Path) -> None:
    shots, cells, words = CAUGHT[name]
    found = tried(World(), tmp_path, shots, cells, built=False)
    said = " ".join((found.refused, *found.warnings))
    assert words in said, said


def test_what_is_found_is_printed(tmp_path: Path) -> None:
    shots = both(LARGE, low_response=replace(LARGE, late_s=2e-4, sign=-1.0))
    told = " ".join(tried(World(), tmp_path, shots, built=False).told)
    assert "LD-01: low response.txt was measured upside down; its polarity is turned" in told
    assert "LD-01: a delay of 3.11 ms was found in low response.txt" in told  # 1 m of air and 0.2 ms
    assert "HD-01: a delay of 2.91 ms was found in high response.txt" in told


def test_nothing_is_warned_of_without_reason(tmp_path: Path) -> None:
    for shots in (
        both(ALONE),
        both(replace(ALONE, hz=GATED)),
        both(replace(LARGE, noise_db=0.5, noise_deg=3.0, late_s=-2.5e-3)),
    ):
        assert tried(World(), tmp_path, shots, built=False).warnings == ()


def table(folder: Path) -> str:
    """Every row with what became of it, as text."""

    def words(found: Outcome) -> str:
        if found.refused:
            return f"refused: {found.refused}"
        figures = f"{found.claimed[0]:.2f}/{found.claimed[1]:+.1f} | {found.real[0]:.2f}/{found.real[1]:+.1f}"
        return f"{figures} | {'; '.join(found.warnings) or '-'}"

    rows = [(name, tried(world, folder, shots, cells)) for name, (world, shots, cells) in EVEN.items()]
    rows += [(name, tried(World(), folder, shots, cells)) for name, (shots, cells, _) in CAUGHT.items()]
    return "\n".join(f"{name} | {words(found)}" for name, found in rows)
