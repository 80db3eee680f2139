"""A pair of drivers whose truth is known: what a microphone before them would write, and what a network really makes.

The truth is the house's own model with other figures than the data sheet states, and with resonances that no data sheet
has; what the microphone hears is put together here from the formulas, not by the code under test.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from reportgen.acoustics import baffle, drivers, listening
from reportgen.acoustics.radiators import Radiator
from reportgen.acoustics.slopes import target_sum
from reportgen.catalogue.curves import read_curve
from reportgen.catalogue.plausible import problems_of_curve
from reportgen.catalogue.records import Cabinet, Case
from reportgen.crossover.networks import transfer
from reportgen.crossover.synthesis import Design
from reportgen.pairing.as_used import Setting
from reportgen.pairing.measuring import findings
from reportgen.pairing.options import options_for
from reportgen.pairing.response import FREQUENCY_HZ, Model
from reportgen.pairing.voiced import voicing_of
from reportgen.problems import CurveUnreadable
from tests.crossover.designing import design
from tests.demo_catalogue import demo, demo_case

Array = NDArray[np.float64]
Complex = NDArray[np.complex128]
F = FREQUENCY_HZ
C = 343.215  # 20 degC (ISO 9613-1)
CROSSOVER_HZ = 2300.0

RESONANCES = {
    "low": ((5200.0, 6.0, 6.0), (1300.0, 3.0, -2.0), (700.0, 2.0, 0.8)),
    "high": ((4000.0, 2.0, 1.5), (9000.0, 3.0, -2.0), (2200.0, 2.5, -1.0)),
}
"""Of each driver: Hz, Q, dB."""

TRUE_CELLS = {
    "low": {"fs_hz": 44.5, "qes": 0.62, "le_h": 0.38e-3, "sensitivity_db": 89.2},
    "high": {"fs_hz": 1034.0, "qes": 1.15, "le_h": 0.04e-3, "sensitivity_db": 90.7},
}
"""What the drivers really are; the workbook says 42 Hz, 0.575, 0.30 mH, 88.6 dB and 1100 Hz, 1.066, 0.03 mH, 91.4 dB."""


def resonances(role: str, hz: Array) -> Complex:
    """The driver's own resonances: second-order bells, which are minimum phase."""
    found = np.ones(hz.size, dtype=np.complex128)
    for at, q, db in RESONANCES[role]:
        s = 1j * hz / at
        found *= (s**2 + 10 ** (db / 20) * s / q + 1) / (s**2 + s / q + 1)
    return found


class TrueModel(Model):
    """The pairing with the drivers as they are."""

    @property
    def _modelled_low(self) -> Complex:
        return np.asarray(Model._modelled_low.fget(self) * resonances("low", F))  # type: ignore[attr-defined]

    @property
    def _modelled_high(self) -> Complex:
        return np.asarray(Model._modelled_high.fget(self) * resonances("high", F))  # type: ignore[attr-defined]


@dataclass(frozen=True)
class Shot:
    """One measured file: how it was measured, and what went wrong."""

    where: str = "large baffle"
    common: bool = False
    at_m: float = 1.0
    volt: float = 2.83
    hz: Array = field(default_factory=lambda: np.geomspace(20.0, 20000.0, 480))
    phase: bool = True
    late_s: float = 0.0
    sign: float = 1.0
    noise_db: float = 0.0
    noise_deg: float = 0.0
    spoil: Callable[[Array, Array, Array], tuple[Array, Array, Array]] | None = None
    """Hz, dB or ohm and degrees into what stands in the file."""


@dataclass(frozen=True)
class World:
    """The truth around one pairing; `depth_m` lies deeper than the workbook says the low driver's centre does."""

    depth_m: float = 0.0
    cabinet: str = "CB-01"

    @cached_property
    def case(self) -> Case:
        """What the workbook says."""
        return replace(demo_case("P-01"), cabinet=demo().cabinets[self.cabinet], curves={})

    @cached_property
    def truth(self) -> TrueModel:
        """What there is."""
        low = replace(self.case.low, **TRUE_CELLS["low"], centre_depth_m=0.032 + self.depth_m)  # type: ignore[arg-type]
        high = replace(self.case.high, **TRUE_CELLS["high"])  # type: ignore[arg-type]
        return TrueModel(Setting(replace(self.case, low=low, high=high)))

    def heard(self, role: str, shot: Shot) -> Complex:
        """Pressure (Pa) at the microphone of a shot, over its own frequencies."""
        case, f = self.truth.setting.case, shot.hz
        pressure = self._free(role, f) * resonances(role, f)
        cabinet = None if shot.where == "large baffle" else demo().cabinets[shot.where]
        setting = Setting(replace(case, cabinet=cabinet or case.cabinet))
        place = next(one for one in setting.places if one.role == role)
        centre = setting.centre_m(place) if cabinet else (0.0, 0.0, 0.0)
        microphone = np.array([centre[0], centre[1], shot.at_m])
        if shot.common:
            high = setting.centre_m(next(one for one in setting.places if one.role == "high"))
            microphone = np.array([high[0], high[1], shot.at_m])
        radiator = setting.low_radiator if role == "low" else setting.high_radiator
        if cabinet:
            pressure = (
                pressure * self._edges(cabinet, place, f, radiator) * (self._box(cabinet, f) if role == "low" else 1.0)
            )
        elif role == "low":
            pressure = pressure * drivers.high_pass(f, case.low.fs_hz, case.low.qts)
        return listening.sum_at((listening.Source(centre, radiator, pressure),), microphone, f) * shot.volt / 2.83

    def _free(self, role: str, f: Array) -> Complex:
        low, high = self.truth.setting.case.low, self.truth.setting.case.high
        if role == "low":
            coil = low.re_ohm / (low.re_ohm + 2j * np.pi * f * low.le_h)
            return 20e-6 * 10 ** (low.sensitivity_db / 20) * coil
        coil = high.re_ohm / (high.re_ohm + 2j * np.pi * f * high.le_h)
        return (
            20e-6
            * 10 ** (high.sensitivity_db / 20)
            * coil
            * drivers.high_pass(f, high.fs_hz, drivers.parallel_q(high.qms, high.qes))
        )

    def _edges(self, cabinet: Cabinet, place: Any, f: Array, radiator: Radiator) -> Complex:
        x, y = place.x_m - cabinet.baffle_width_m / 2, place.y_m - cabinet.baffle_height_m / 2
        return baffle.edge_response(f, cabinet.baffle_width_m, cabinet.baffle_height_m, x, y, source=radiator)

    def _box(self, cabinet: Cabinet, f: Array) -> Complex:
        low = self.truth.setting.case.low
        if cabinet.kind == "closed":
            return drivers.closed_box(f, low.fs_hz, low.qts, low.vas_m3, cabinet.net_volume_m3).response
        return drivers.vented_box(
            f, low.fs_hz, low.qts, low.vas_m3, cabinet.net_volume_m3, cabinet.tuning_hz, 7.0
        ).response

    def ohm(self, role: str, hz: Array) -> Complex:
        """Impedance (ohm) in free air."""
        one = getattr(self.truth.setting.case, role)
        return drivers.impedance(hz, one.re_ohm, one.fs_hz, one.qms, one.qes, one.le_h)


@dataclass(frozen=True)
class Outcome:
    """What became of the files: refused, or what was warned of, and the evenness claimed and real (dB: rms, worst)."""

    refused: str
    warnings: tuple[str, ...]
    told: tuple[str, ...] = ()
    claimed: tuple[float, float] = (0.0, 0.0)
    real: tuple[float, float] = (0.0, 0.0)

    @property
    def off_db(self) -> float:
        """Real less claimed, rms."""
        return self.real[0] - self.claimed[0]


def tried(
    world: World,
    folder: Path,
    shots: Mapping[str, Shot],
    cells: Mapping[str, Mapping[str, Any]] | None = None,
    built: bool = True,
) -> Outcome:
    """Write the files, read them as the program does, design, and hold the network against the truth; not `built`, see what is said of them alone.

    `shots` has the keys "low response", "high impedance" and so on; `cells` is what the rows of both drivers say of them.
    """
    case, curves, warnings = world.case, {}, []
    for role in ("low", "high"):
        stated = {"response_measured": "large baffle", "impedance_measured": "free air", **(cells or {}).get(role, {})}
        case = replace(case, **{role: replace(getattr(case, role), **stated)})
    case = replace(case, measured_in=demo().cabinets)
    rng = np.random.default_rng(11)
    for name, shot in shots.items():
        role, quantity = name.split()
        driver = getattr(case, role)
        (folder / f"{name}.txt").write_text(_text(world, role, quantity, shot, rng))
        try:
            curve = read_curve(f"{name}.txt", folder, quantity)
        except CurveUnreadable as error:
            return Outcome(str(error), ())
        for problem in problems_of_curve(driver, curve, quantity):
            if not problem.notice:
                return Outcome(str(problem), ())
            warnings.append(str(problem))
        curves[driver.id, quantity] = curve
    model = Model(Setting(replace(case, curves=curves)))
    found = findings(model)
    warnings += [one.text for one in found if one.doubtful]
    told = tuple(one.text for one in found)
    return Outcome("", tuple(warnings), told, *(_evenness(model, world.truth) if built else ()))


def _text(world: World, role: str, quantity: str, shot: Shot, rng: np.random.Generator) -> str:
    f = shot.hz
    values = world.heard(role, shot) / 20e-6 if quantity == "response" else world.ohm(role, f)
    values = values * shot.sign * np.exp(-2j * np.pi * f * shot.late_s)
    level = 20 * np.log10(np.abs(values)) if quantity == "response" else np.abs(values)
    level = level + rng.normal(0, shot.noise_db, f.size)
    degrees = np.degrees(np.angle(values)) + rng.normal(0, shot.noise_deg, f.size)
    if shot.spoil:
        f, level, degrees = shot.spoil(f, level, degrees)
    rows = zip(f, level, degrees, strict=True)
    return "\n".join(f"{a:.6g} {b:.4f} {c:.3f}" if shot.phase else f"{a:.6g} {b:.4f}" for a, b, c in rows)


def _evenness(model: Model, truth: Model) -> tuple[tuple[float, float], tuple[float, float]]:
    voicing = voicing_of(model)
    setting = model.setting
    options = options_for(setting, voicing, setting.case.pairing.parts_policy)
    found = design(model.low_side, model.high_side, setting.slope, CROSSOVER_HZ, options)
    wanted = np.abs(target_sum(found.slope, F, CROSSOVER_HZ)) * voicing.shape(F)
    band = (F >= CROSSOVER_HZ / 2) & (F <= 2 * CROSSOVER_HZ)
    pair = []
    for one in (model, truth):
        error = (20 * np.log10(np.abs(_sum(found, one)) / wanted / 20e-6) - found.target_db)[band]
        pair.append((float(np.sqrt(np.mean(error**2))), float(error[np.argmax(np.abs(error))])))
    return pair[0], pair[1]


def _sum(found: Design, model: Model) -> Complex:
    low, high = model.low_side, model.high_side
    sign = -1.0 if found.high_reversed else 1.0
    return np.asarray(
        low.response * transfer(found.low, low.impedance, F)
        + sign * high.response * transfer(found.high, high.impedance, F)
    )
