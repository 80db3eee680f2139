"""Both drivers of a pairing as they radiate to the seat and load the amplifier.

Knows how sensitivity, box, coil, guide, baffle, wiring, place and measured curves make one response and one
impedance. Refuses to know filters and verdicts.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.acoustics import baffle, drivers, listening, travel
from reportgen.acoustics.air import REFERENCE_PRESSURE_PA, Air, wave_number
from reportgen.acoustics.drivers import SENSITIVITY_VOLT
from reportgen.acoustics.guides import Guide
from reportgen.acoustics.measured import Correction, correct, fitted
from reportgen.acoustics.radiators import Radiator
from reportgen.catalogue.columns import LARGE_BAFFLE
from reportgen.catalogue.records import HighDriver, LowDriver, MeasuredCurve
from reportgen.crossover.equivalents import (
    Equivalent,
    closed_equivalent,
    driver_equivalent,
    fitted_equivalent,
    resistive_equivalent,
    vented_equivalent,
)
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.networks import Wired, wired
from reportgen.crossover.synthesis import Side
from reportgen.pairing.as_used import Place, Resonance, Setting, on_panel, used_resonance
from reportgen.pairing.figures import corner_hz
from reportgen.pairing.filled_in import otherwise
from reportgen.problems import CannotAssess

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]

FREQUENCY_HZ: FloatArray = np.geomspace(20.0, 20000.0, 241)
"""The grid of every curve: 80 points a decade, 24 an octave."""

VENT_LOSS_Q = 7.0
"""Leakage of a vented box where none is measured (Small 1973 finds 5 to 20)."""

USUAL_Q = 0.707
"""Total Q of a high driver that states none (common practice, no source)."""

HARD = ("hard", "beryllium")
"""Diaphragms that ring: they move as one piece up to a sharp resonance of their own."""


_Impedance = Callable[[tuple[float, ...]], ComplexArray]
"""Impedance (ohm) over the grid of a driver of given fs, Qms and Qes."""

COMMON = "common reference"
"""Word of the Response phase cell: the files of both drivers start at one time."""

UNUSABLE_RAD = 0.5
"""A measured phase that lies further (rad, rms) from the minimum phase and a delay is none of a driver's; the magnitude
alone counts then (common practice, no source)."""


UNLIKE_OHM_RAD = 0.25
"""As much for an impedance, whose phase its modulus fixes (common practice, no source)."""


@dataclass(frozen=True)
class Taken:
    """A measured response held against its model; `way_s` is the time from the modelled centre to the microphone."""

    found: Correction
    way_s: float
    common: bool

    @property
    def phased(self) -> bool:
        """True when the file has a phase that can be a driver's."""
        return self.found.timing is not None and self.found.timing.left_rad < UNUSABLE_RAD

    @property
    def late_s(self) -> float:
        """How much later the file starts than the modelled way makes it (s); 0 without a phase."""
        return self.found.timing.delay_s - self.way_s if self.found.timing else 0.0


@dataclass(frozen=True)
class Model:
    """A setting's drivers over `FREQUENCY_HZ`: sources, sides for the crossover, single impedances."""

    setting: Setting

    @cached_property
    def otherwise(self) -> tuple[Model, ...]:
        """The same pairing with what the model fills in for empty cells at either end of what is usual."""
        return tuple(Model(Setting(case)) for case in otherwise(self.setting.case, self.setting.horn_driver))

    @cached_property
    def low_sources(self) -> tuple[listening.Source, ...]:
        """Every low driver with its complex pressure (Pa) at 1 m on its axis for 2.83 V at the terminals of all."""
        pressure = self._low_pressure() * self.low_wired.voltage_share
        return self._sources("low", pressure)

    @cached_property
    def high_sources(self) -> tuple[listening.Source, ...]:
        """Every high driver, as `low_sources`."""
        pressure = self._high_pressure() * self.high_wired.voltage_share
        return self._sources("high", pressure)

    def _sources(self, role: str, pressure: ComplexArray) -> tuple[listening.Source, ...]:
        setting = self.setting
        self._sources_known()
        places = [place for place in setting.places if place.role == role]
        radiator = setting.low_directivity if role == "low" else setting.high_directivity
        return tuple(
            listening.Source(setting.centre_m(place), radiator, pressure * self._edge(place)) for place in places
        )

    def _sources_known(self) -> None:
        case = self.setting.case
        if not self.setting.places:
            raise CannotAssess(
                f"the centres of {case.low.id} and {case.high.id} are unknown: give “Centre spacing (mm)”"
                f" of {case.pairing.id}, or the frame sizes of both drivers"
            )

    def _edge(self, place: Place) -> ComplexArray:
        """Edge diffraction of the baffle for the driver's true place; none in a wall."""
        cabinet = self.setting.case.cabinet
        if self.setting.in_wall:
            return np.ones(FREQUENCY_HZ.size, dtype=np.complex128)
        open_back = cabinet.kind == "open baffle" and (place.role == "low" or self.setting.open_back)
        width, height = cabinet.baffle_width_m, cabinet.baffle_height_m
        x, y = on_panel(cabinet, place.x_m - width / 2.0, place.y_m - height / 2.0)
        source = self.setting.low_radiator if place.role == "low" else self.setting.high_mouth
        return _edge_response(width, height, x, y, open_back, self.setting.air, source)

    # --- low side ---------------------------------------------------------------------------------------------

    @cached_property
    def low_box(self) -> drivers.BoxedDriver:
        """The low driver in its cabinet: high pass, 1 far above the resonance, and cone travel (Small 1972, 1973)."""
        low = self.setting.case.low
        if self._box is None:
            free = drivers.high_pass(FREQUENCY_HZ, low.fs_hz, low.qts)
            return drivers.BoxedDriver(low.fs_hz, low.qts, free, np.abs(free) * (low.fs_hz / FREQUENCY_HZ) ** 2)
        vas, volume, tuning = self._box
        if tuning is None:
            return drivers.closed_box(FREQUENCY_HZ, low.fs_hz, low.qts, vas, volume)
        return drivers.vented_box(FREQUENCY_HZ, low.fs_hz, low.qts, vas, volume, tuning, VENT_LOSS_Q)

    @cached_property
    def _box(self) -> tuple[float, float, float | None] | None:
        """Vas, volume for each driver and tuning (None when closed); None in free air, and where one is not stated."""
        low, cabinet = self.setting.case.low, self.setting.case.cabinet
        if cabinet.kind == "open baffle" or low.vas_m3 is None or cabinet.net_volume_m3 is None:
            return None
        if cabinet.kind == "vented" and cabinet.tuning_hz is None:
            return None
        volume = cabinet.net_volume_m3 / self.setting.case.pairing.low_count
        return low.vas_m3, volume, cabinet.tuning_hz if cabinet.kind == "vented" else None

    @cached_property
    def corner_hz(self) -> float:
        """Where the low driver in its box is 3 dB down (Hz), without edges and without what was measured."""
        return corner_hz(FREQUENCY_HZ, self.low_box.response)

    @cached_property
    def rear_path_hz(self) -> float:
        """Where the way round an open baffle ends its bass (Hz): there front and back add to 0 dB; 0 in a cabinet."""
        full = self._way_round >= 1.0
        return float(FREQUENCY_HZ[int(np.argmax(full))]) if full.any() else 0.0

    @cached_property
    def _way_round(self) -> FloatArray:
        """What front and back of the low drivers on an open baffle add to, over the grid, as a ratio; 0 in a cabinet."""
        lows = [place for place in self.setting.places if place.role == "low"]
        if self.setting.case.cabinet.kind != "open baffle" or not lows:
            return np.zeros(FREQUENCY_HZ.size)
        return np.asarray(np.mean([np.abs(self._edge(place)) for place in lows], axis=0))

    @cached_property
    def bass_corner_hz(self) -> float:
        """Where the bass is 3 dB down (Hz): as `corner_hz`, on an open baffle with what the way round takes from it."""
        taken = np.where(FREQUENCY_HZ < self.rear_path_hz, self._way_round, 1.0)
        return corner_hz(FREQUENCY_HZ, self.low_box.response * taken)

    def _low_pressure(self) -> ComplexArray:
        """Pressure at 1 m on a large baffle, in the cabinet's box: modelled, and put right by what was measured."""
        return np.asarray(self._modelled_low * self.low_box.response * self._measured_factor("low"))

    def low_on_large_baffle(self) -> ComplexArray:
        """Modelled pressure of the low driver at 1 m on a large baffle, over 20 uPa, without what was measured."""
        low = self.setting.case.low
        return np.asarray(
            self._modelled_low * drivers.high_pass(FREQUENCY_HZ, low.fs_hz, low.qts) / REFERENCE_PRESSURE_PA
        )

    @property
    def _modelled_low(self) -> ComplexArray:
        """Pressure of the low driver at 1 m on a large baffle far above its resonance, by its data sheet."""
        low = self.setting.case.low
        level = REFERENCE_PRESSURE_PA * 10.0 ** (low.sensitivity_db / 20.0)
        coil = drivers.inductance_roll_off(FREQUENCY_HZ, low.re_ohm, low.le_h or 0.0, low.le_exponent)
        return np.asarray(level * coil)

    @cached_property
    def low_impedance(self) -> ComplexArray:
        """Impedance of one low driver in the cabinet (ohm)."""
        low = self.setting.case.low
        there = self._elsewhere(low.impedance_measured)
        as_measured = there._modelled_low_impedance if there else self._free_low_impedance
        figures = (low.fs_hz, low.qms, low.qes)
        return self._measured_impedance(low, figures, self._modelled_low_impedance, as_measured)

    def _modelled_low_impedance(self, figures: tuple[float, ...]) -> ComplexArray:
        """One low driver of given fs, Qms and Qes in the cabinet."""
        low = self.setting.case.low
        re, le, loss = low.re_ohm, low.le_h or 0.0, low.le_exponent
        fs, qms, qes = figures
        if self._box is None:
            return self._free_low_impedance(figures)
        vas, volume, tuning = self._box
        if tuning is None:
            return drivers.closed_box_impedance(FREQUENCY_HZ, re, fs, qms, qes, vas, volume, le, loss)
        return drivers.vented_box_impedance(FREQUENCY_HZ, re, fs, qms, qes, vas, volume, tuning, VENT_LOSS_Q, le, loss)

    def _free_low_impedance(self, figures: tuple[float, ...]) -> ComplexArray:
        low = self.setting.case.low
        fs, qms, qes = figures
        return drivers.impedance(FREQUENCY_HZ, low.re_ohm, fs, qms, qes, low.le_h or 0.0, low.le_exponent)

    @cached_property
    def low_load(self) -> Equivalent:
        """The low drivers together as resistors, coils and capacitors; ValueError where a measured impedance resists."""
        low = self.setting.case.low
        load = DriverLoad(low.re_ohm, low.le_h or 0.0, low.fs_hz, low.qms, low.qes)
        if (low.id, "impedance") in self.setting.case.curves:
            found = fitted_equivalent(FREQUENCY_HZ, self.low_impedance)
        elif self._box is None:
            found = driver_equivalent(load, low.le_exponent)
        elif self._box[2] is None:
            found = closed_equivalent(load, *self._box[:2], low.le_exponent)
        else:
            found = vented_equivalent(load, *self._box[:2], self._box[2], VENT_LOSS_Q, low.le_exponent)
        return found.scaled(self.low_wired.in_series / self.low_wired.rows)

    @cached_property
    def low_wired(self) -> Wired:
        """All low drivers on one pair of terminals."""
        pairing = self.setting.case.pairing
        return wired(self.low_impedance, pairing.low_count, pairing.low_wiring)  # type: ignore[arg-type] # list of columns.py

    @cached_property
    def low_travel_m(self) -> FloatArray:
        """Peak travel of each low driver (m) for 2.83 V at the terminals of all, without filter."""
        low, air = self.setting.case.low, self.setting.air
        level = REFERENCE_PRESSURE_PA * 10.0 ** (low.sensitivity_db / 20.0)
        static = travel.travel_from_pressure(level, low.diaphragm_area_m2, low.fs_hz, 1.0, air)
        coil = np.abs(drivers.inductance_roll_off(FREQUENCY_HZ, low.re_ohm, low.le_h or 0.0, low.le_exponent))
        return np.asarray(static * self.low_box.travel_ratio * coil * self.low_wired.voltage_share)

    # --- high side --------------------------------------------------------------------------------------------

    @cached_property
    def resonance(self) -> Resonance:
        """The high driver's resonance as used; as supplied where its other rear cannot be worked out."""
        found = self.setting.resonance
        return found if found.fs_hz is not None else used_resonance(self.setting.case.high, "as supplied", None)

    @cached_property
    def high_travel_m(self) -> FloatArray | None:
        """Peak travel of each high driver (m) for 2.83 V at the terminals of all; None where Sd is unknown."""
        setting, high = self.setting, self.setting.case.high
        if high.diaphragm_area_m2 is None:
            return None
        bare = np.abs(self._high_pressure()) * self.high_wired.voltage_share / self.guide_gain
        return travel.travel_from_pressure(bare, high.diaphragm_area_m2, FREQUENCY_HZ, 1.0, setting.air)

    def _high_pressure(self) -> ComplexArray:
        """Far-field pressure at 1 m: the driver as supplied, put right by what was measured, then its other chamber and its guide.

        The gain of a horn is already in the level of a driver that was measured on one.
        """
        supplied = _resonant(used_resonance(self.setting.case.high, "as supplied", None))
        other = _resonant(self.resonance) / supplied
        pressure = self._modelled_high * self._measured_factor("high") * other
        return np.asarray(pressure if self.setting.horn_driver else pressure * self.guide_gain)

    @property
    def _modelled_high(self) -> ComplexArray:
        """Far-field pressure of the high driver as supplied at 1 m on a large baffle, by its data sheet.

        What a tall one reads where it was measured is referred to its far field.
        """
        setting, high = self.setting, self.setting.case.high
        level = REFERENCE_PRESSURE_PA * 10.0 ** (high.sensitivity_db / 20.0)
        supplied = _resonant(used_resonance(high, "as supplied", None))
        coil = drivers.inductance_roll_off(FREQUENCY_HZ, high.re_ohm, self.setting.high_le_h)
        read = listening.near_field(setting.high_radiator, FREQUENCY_HZ, high.measured_at_m, setting.air)
        return np.asarray(level * supplied * coil * self._ring / read)

    @property
    def _ring(self) -> ComplexArray:
        """Resonance of a hard diaphragm where it is stated: a peak of the Practice sheet's height; 1 for any other."""
        case = self.setting.case
        if case.technology.diaphragm not in HARD or case.high.diaphragm_resonance_hz is None:
            return np.ones(FREQUENCY_HZ.size, dtype=np.complex128)
        return drivers.ring(FREQUENCY_HZ, case.high.diaphragm_resonance_hz, case.practice["diaphragm ring"])

    @cached_property
    def guide_gain(self) -> FloatArray:
        """Gain of the guide on the axis as a ratio of pressures; 1 without one."""
        guide = self.setting.guide
        if guide is None:
            return np.ones(FREQUENCY_HZ.size)
        return _guide_gain(guide, self.setting.high_radiator, self.setting.air)

    @cached_property
    def high_impedance(self) -> ComplexArray:
        """Impedance of one high driver (ohm); a plain resistance and coil where no resonance is stated."""
        high = self.setting.case.high
        if not (high.fs_hz and high.qms and high.qes):
            plain = high.re_ohm + drivers.coil_impedance(FREQUENCY_HZ, self.setting.high_le_h)
            return self._measured_impedance(high, (), lambda _: plain, lambda _: plain)
        figures = (high.fs_hz, high.qms, high.qes)
        return self._measured_impedance(high, figures, self._used_high_impedance, self._supplied_high_impedance)

    def _supplied_high_impedance(self, figures: tuple[float, ...]) -> ComplexArray:
        """One high driver of given fs, Qms and Qes as supplied."""
        high = self.setting.case.high
        fs, qms, qes = figures
        return drivers.impedance(FREQUENCY_HZ, high.re_ohm, fs, qms, qes, self.setting.high_le_h)

    def _used_high_impedance(self, figures: tuple[float, ...]) -> ComplexArray:
        """The same with the chamber it is used with, which moves resonance and Q alike."""
        high, used = self.setting.case.high, self.resonance
        fs, qms, qes = figures
        moved = (used.fs_hz or fs) / (high.fs_hz or fs)
        return self._supplied_high_impedance((fs * moved, qms * moved, qes * moved))

    @cached_property
    def high_load(self) -> Equivalent:
        """The high drivers together, as `low_load`."""
        high, found = self.setting.case.high, self.resonance
        le_h = self.setting.high_le_h
        if (high.id, "impedance") in self.setting.case.curves:
            drawn = fitted_equivalent(FREQUENCY_HZ, self.high_impedance)
        elif found.fs_hz and found.qms and found.qes:
            drawn = driver_equivalent(DriverLoad(high.re_ohm, le_h, found.fs_hz, found.qms, found.qes))
        else:
            drawn = resistive_equivalent(high.re_ohm, le_h)
        return drawn.scaled(self.high_wired.in_series / self.high_wired.rows)

    @cached_property
    def high_wired(self) -> Wired:
        """All high drivers on one pair of terminals."""
        pairing = self.setting.case.pairing
        return wired(self.high_impedance, pairing.high_count, pairing.high_wiring)  # type: ignore[arg-type] # list of columns.py

    # --- measured curves --------------------------------------------------------------------------------------

    @cached_property
    def low_measured(self) -> Taken | None:
        """What the measured response of the low driver makes of its model; None without a file."""
        return self._taken("low")

    @cached_property
    def high_measured(self) -> Taken | None:
        """What the measured response of the high driver makes of its model; None without a file."""
        return self._taken("high")

    @cached_property
    def low_curve_on_large_baffle(self) -> MeasuredCurve | None:
        """The measured response of the low driver, edges and box of the cabinet taken out of it in which it was measured; None without a file."""
        low = self.setting.case.low
        curve = self.setting.case.curves.get((low.id, "response"))
        if curve is None or low.response_measured in (None, LARGE_BAFFLE):
            return curve
        with suppress(CannotAssess):
            return _without_cabinet(self, curve)
        return curve

    def _taken(self, role: str) -> Taken | None:
        """The measured response held against the model of the driver as it stood before the microphone."""
        driver = self._driver(role)
        curve = self.setting.case.curves.get((driver.id, "response"))
        if curve is None:
            return None
        model, way_m = self._before_microphone(role)
        level = REFERENCE_PRESSURE_PA * SENSITIVITY_VOLT / driver.measuring_voltage_v
        phase = None if driver.response_phase == "none" else curve.phase_rad
        found = _corrected(curve, float(level), phase is not None, model.tobytes())
        return Taken(found, way_m / self.setting.air.speed_m_s, phase is not None and self._common_reference)

    @property
    def _common_reference(self) -> bool:
        """True when the files of both drivers hold one start of time: measured in one cabinet, from one place."""
        case = self.setting.case
        alike = (case.low.response_measured, case.low.measured_at_m) == (
            case.high.response_measured, case.high.measured_at_m,
        )  # fmt: skip
        wanted = all(one.response_phase == COMMON for one in (case.low, case.high))
        files = [case.curves.get((one.id, "response")) for one in (case.low, case.high)]
        return wanted and alike and all(file is not None and file.phase_rad is not None for file in files)

    def _driver(self, role: str) -> LowDriver | HighDriver:
        return self.setting.case.low if role == "low" else self.setting.case.high

    def _before_microphone(self, role: str) -> tuple[ComplexArray, float]:
        """Modelled pressure at the microphone without its way, and that way (m): where and how the driver was measured."""
        driver = self._driver(role)
        there = self._elsewhere(driver.response_measured)
        pressure = self._modelled_low if role == "low" else self._modelled_high
        setting = self.setting
        radiator = setting.low_radiator if role == "low" else setting.high_radiator
        if there is None:
            if role == "low":
                pressure = pressure * drivers.high_pass(
                    FREQUENCY_HZ, self.setting.case.low.fs_hz, self.setting.case.low.qts
                )
            centre, microphone = (0.0, 0.0, 0.0), np.array([0.0, 0.0, driver.measured_at_m])
        else:
            place = there.place_of(role)
            pressure = pressure * (there.low_box.response if role == "low" else 1.0) * there.edges_of(role)
            centre = there.setting.centre_m(place)
            x, y, _ = there.setting.centre_m(there.place_of("high")) if driver.response_phase == COMMON else centre
            microphone = np.array([x, y, driver.measured_at_m])
        source = listening.Source(centre, radiator, np.asarray(pressure, dtype=np.complex128))
        way_m = float(np.linalg.norm(microphone - np.asarray(centre)))
        heard = listening.sum_at((source,), microphone, FREQUENCY_HZ, setting.air)
        return np.asarray(heard * np.exp(1j * wave_number(FREQUENCY_HZ, setting.air) * way_m)), way_m

    def edges_of(self, role: str) -> ComplexArray:
        """What the edges of the cabinet make of the first driver of a side."""
        return self._edge(self.place_of(role))

    def place_of(self, role: str) -> Place:
        """Where the first driver of a side stands; CannotAssess where that is unknown."""
        self._sources_known()
        return next(place for place in self.setting.places if place.role == role)

    def _elsewhere(self, cabinet_id: str | None) -> Model | None:
        """The model of this pairing in the cabinet of a measurement, one driver a side; None for a large baffle, free air."""
        case = self.setting.case
        cabinet = case.cabinet if cabinet_id == case.cabinet.id else case.measured_in.get(cabinet_id or "")
        if cabinet is None:
            return None
        free_standing = replace(case.pairing, placement=None)
        if cabinet_id == case.cabinet.id:
            return Model(Setting(replace(case, pairing=free_standing, curves={}, guide=None)))
        pairing = replace(free_standing, low_count=1, high_count=1, arrangement="high over low", high_from_top_m=None)
        return Model(Setting(replace(case, pairing=pairing, cabinet=cabinet, curves={}, guide=None)))

    def _measured_factor(self, role: str) -> ComplexArray:
        """What the modelled pressure of a side is multiplied by: 1 without a file."""
        low, high = self.low_measured, self.high_measured
        taken = low if role == "low" else high
        if taken is None:
            return np.ones(FREQUENCY_HZ.size, dtype=np.complex128)
        if not (taken.common and low and high and low.phased and high.phased):
            return taken.found.factor(excess=taken.phased)
        return taken.found.factor(low.late_s - high.late_s if role == "low" else 0.0)

    def _measured_impedance(
        self, driver: LowDriver | HighDriver, figures: tuple[float, ...], used: _Impedance, as_measured: _Impedance
    ) -> ComplexArray:
        """The modelled impedance (ohm) put right by the measured one, moved from where it was measured to where it is used.

        The resonance (fs, Qms, Qes in `figures`) is fitted to the file where it reaches; what the model then does not say
        of the driver as measured is added to it as used: coil and resistance stand in series with what box and chamber change.
        """
        curve = self.setting.case.curves.get((driver.id, "impedance"))
        if curve is None:
            return np.asarray(used(figures), dtype=np.complex128)
        log_ohm = np.log(curve.magnitude)
        if figures:
            band = (figures[0] / 3.0, figures[0] * 3.0)
            figures = fitted(FREQUENCY_HZ, as_measured, figures, curve.frequency_hz, log_ohm, band)
        model = as_measured(figures)
        found = correct(FREQUENCY_HZ, model, curve.frequency_hz, log_ohm, curve.phase_rad, delayed=False, fade=True)
        usable = found.timing is None or found.timing.left_rad < UNLIKE_OHM_RAD
        return np.asarray(used(figures) + model * (found.factor(excess=usable) - 1.0), dtype=np.complex128)

    # --- both -------------------------------------------------------------------------------------------------

    def heard_at(
        self, sources: Sequence[listening.Source], points_m: ArrayLike, frequency_hz: FloatArray
    ) -> ComplexArray:
        """Pressure (..., F) of sources on the baffle at points (..., 3) of the room (m); drivers face as it leans.

        Points behind the face count as in its plane.
        """
        points = self.setting.to_baffle_m(points_m)
        points[..., 2] = np.maximum(points[..., 2], max(source.position_m[2] for source in sources))
        return listening.sum_at(sources, points, frequency_hz, self.setting.air)

    @cached_property
    def seat_m(self) -> FloatArray:
        """The seated ear (3,) in the room (m); CannotAssess where it does not lie before every driver."""
        setting, pairing, cabinet = self.setting, self.setting.case.pairing, self.setting.case.cabinet
        foremost = max((setting.centre_m(place)[2] for place in setting.places), default=0.0)
        if setting.to_baffle_m(setting.seat_m)[2] <= foremost:
            raise CannotAssess(
                f"the seat of {pairing.id} lies behind the face of {cabinet.id}: see Listening distance"
                f" ({pairing.origin.place('distance_m')}) and Tilt ({cabinet.origin.place('tilt_rad')})"
            )
        return setting.seat_m

    def _at_seat(self, sources: tuple[listening.Source, ...]) -> ComplexArray:
        return self.heard_at(sources, self.seat_m, FREQUENCY_HZ)

    @cached_property
    def low_side(self) -> Side:
        """The low drivers as the crossover sees them: pressure at the seat for 2.83 V, impedance."""
        low, row = self.setting.case.low, self.low_wired
        factor = row.in_series / row.rows
        return Side(
            FREQUENCY_HZ, self._at_seat(self.low_sources), row.impedance_ohm, low.re_ohm * factor,
            (low.le_h or 0.0) * factor, low.fs_hz, low.qms, low.qes,
        )  # fmt: skip

    @cached_property
    def high_side(self) -> Side:
        """The high drivers as the crossover sees them."""
        high, row, found = self.setting.case.high, self.high_wired, self.resonance
        factor = row.in_series / row.rows
        return Side(
            FREQUENCY_HZ, self._at_seat(self.high_sources), row.impedance_ohm, high.re_ohm * factor,
            (self.setting.high_le_h) * factor, found.fs_hz, found.qms, found.qes, self._high_travel_db,
        )  # fmt: skip

    @property
    def _high_travel_db(self) -> FloatArray | None:
        """Voltage (dB re 2.83 V) that uses up the high drivers' travel, less the wanted level (dB); None where that is unknown."""
        case, travel_m = self.setting.case, self.high_travel_m
        if travel_m is None or case.high.peak_travel_m is None:
            return None
        return np.asarray(20.0 * np.log10(case.high.peak_travel_m / travel_m) - case.pairing.peak_level_db)


def _resonant(found: Resonance) -> ComplexArray:
    """High pass of the high driver's resonance; 1 where it states none (foils)."""
    if found.fs_hz is None:
        return np.ones(FREQUENCY_HZ.size, dtype=np.complex128)
    return drivers.high_pass(FREQUENCY_HZ, found.fs_hz, found.qts or USUAL_Q)


def _without_cabinet(model: Model, curve: MeasuredCurve) -> MeasuredCurve:
    taken = model.low_measured
    assert taken is not None  # there is a curve
    inside = taken.found.inside
    level = 20.0 * np.log10(np.abs(model.low_on_large_baffle())) + 20.0 / np.log(10.0) * taken.found.log_ratio
    return replace(curve, frequency_hz=FREQUENCY_HZ[inside], magnitude=level[inside], phase_rad=None)


@lru_cache(maxsize=512)
def _edge_response(
    width_m: float, height_m: float, x_m: float, y_m: float, open_back: bool, air: Air, source: Radiator
) -> ComplexArray:
    """`baffle.edge_response` over the grid, kept: every change that is tried stands on a few panels again and again."""
    return baffle.edge_response(FREQUENCY_HZ, width_m, height_m, x_m, y_m, open_back, air, source)


@lru_cache(maxsize=128)
def _guide_gain(guide: Guide, radiator: Radiator, air: Air) -> FloatArray:
    """Gain of a guide on the axis over the grid as a ratio of pressures, kept: few guides and drivers are tried again and again."""
    return np.asarray(10.0 ** (guide.gain_db(FREQUENCY_HZ, radiator, air) / 20.0))


@lru_cache(maxsize=128)
def _corrected(curve: MeasuredCurve, level_pa: float, phased: bool, model: bytes) -> Correction:
    """What a file makes of a model, kept: looking for the delay in a fine file takes longer than any model."""
    log_magnitude = np.log(level_pa) + curve.magnitude * (np.log(10.0) / 20.0)
    phase_rad = curve.phase_rad if phased else None
    return correct(
        FREQUENCY_HZ, np.frombuffer(model, dtype=np.complex128), curve.frequency_hz, log_magnitude, phase_rad
    )
