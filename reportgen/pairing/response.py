"""Both drivers of a pairing as they radiate to the seat and load the amplifier.

Knows how sensitivity, box, coil, guide, baffle, wiring, place and measured curves make one response and one
impedance. Refuses to know filters and verdicts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.acoustics import baffle, drivers, listening
from reportgen.acoustics.air import REFERENCE_PRESSURE_PA
from reportgen.catalogue import curves
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
from reportgen.pairing.as_used import Place, Resonance, Setting, used_resonance
from reportgen.pairing.figures import corner_hz
from reportgen.problems import CannotAssess

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]

FREQUENCY_HZ: FloatArray = np.geomspace(20.0, 20000.0, 241)
"""The grid of every curve: 80 points a decade, 24 an octave."""

VENT_LOSS_Q = 7.0
"""Leakage of a vented box where none is measured (Small 1973 finds 5 to 20)."""

USUAL_Q = 0.707
"""Total Q of a high driver that states none (common practice, no source)."""

ON_PANEL = 0.495
"""A centre that lies off the baffle counts as so far from its middle, in widths or heights of the baffle."""


@dataclass(frozen=True)
class Model:
    """A setting's drivers over `FREQUENCY_HZ`: sources, sides for the crossover, single impedances."""

    setting: Setting

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
        places = [place for place in setting.places if place.role == role]
        if not places:
            raise CannotAssess(
                f"the centres of {setting.case.low.id} and {setting.case.high.id} are unknown: give “Centre spacing (mm)”"
                f" of {setting.case.pairing.id}, or the frame sizes of both drivers"
            )
        radiator = setting.low_radiator if role == "low" else setting.high_directivity
        return tuple(
            listening.Source(setting.centre_m(place), radiator, pressure * self._edge(place)) for place in places
        )

    def _edge(self, place: Place) -> ComplexArray:
        """Edge diffraction of the baffle for the driver's true place; none in a wall."""
        cabinet = self.setting.case.cabinet
        if self.setting.in_wall:
            return np.ones(FREQUENCY_HZ.size, dtype=np.complex128)
        open_back = cabinet.kind == "open baffle" and (place.role == "low" or self.setting.open_back)
        width, height = cabinet.baffle_width_m, cabinet.baffle_height_m
        x = float(np.clip(place.x_m / width - 0.5, -ON_PANEL, ON_PANEL)) * width
        y = float(np.clip(place.y_m / height - 0.5, -ON_PANEL, ON_PANEL)) * height
        return baffle.edge_response(FREQUENCY_HZ, width, height, x, y, open_back, self.setting.air)

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
        if self.setting.case.cabinet.kind != "open baffle":
            return 0.0
        edges = [np.abs(self._edge(place)) for place in self.setting.places if place.role == "low"]
        full = np.mean(edges, axis=0) >= 1.0 if edges else np.zeros(FREQUENCY_HZ.size, dtype=bool)
        return float(FREQUENCY_HZ[int(np.argmax(full))]) if full.any() else 0.0

    def _low_pressure(self) -> ComplexArray:
        """Pressure at 1 m: the driver on a large baffle, measured where it was, and what the cabinet makes of it."""
        low = self.setting.case.low
        level = REFERENCE_PRESSURE_PA * 10.0 ** (low.sensitivity_db / 20.0)
        free = drivers.high_pass(FREQUENCY_HZ, low.fs_hz, low.qts)
        model = level * free * drivers.inductance_roll_off(FREQUENCY_HZ, low.re_ohm, low.le_h or 0.0, low.le_exponent)
        return np.asarray(self._measured(low.id, "response", np.asarray(model)) * self.low_box.response / free)

    @cached_property
    def low_impedance(self) -> ComplexArray:
        """Impedance of one low driver in the cabinet (ohm)."""
        low = self.setting.case.low
        le, loss = low.le_h or 0.0, low.le_exponent
        figures = (low.re_ohm, low.fs_hz, low.qms, low.qes)
        if self._box is None:
            model = drivers.impedance(FREQUENCY_HZ, *figures, le, loss)
        elif self._box[2] is None:
            model = drivers.closed_box_impedance(FREQUENCY_HZ, *figures, *self._box[:2], le, loss)
        else:
            model = drivers.vented_box_impedance(
                FREQUENCY_HZ, *figures, *self._box[:2], self._box[2], VENT_LOSS_Q, le, loss
            )
        return self._measured(low.id, "impedance", model)

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
        static = drivers.travel_from_pressure(level, low.diaphragm_area_m2, low.fs_hz, 1.0, air)
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
        return drivers.travel_from_pressure(bare, high.diaphragm_area_m2, FREQUENCY_HZ, 1.0, setting.air)

    def _high_pressure(self) -> ComplexArray:
        """Pressure at 1 m: the driver as supplied, measured where it was, then its other chamber and its guide."""
        high = self.setting.case.high
        level = REFERENCE_PRESSURE_PA * 10.0 ** (high.sensitivity_db / 20.0)
        supplied = _resonant(used_resonance(high, "as supplied", None))
        model = level * supplied * drivers.inductance_roll_off(FREQUENCY_HZ, high.re_ohm, high.le_h or 0.0)
        pressure = self._measured(high.id, "response", np.asarray(model)) * _resonant(self.resonance) / supplied
        return np.asarray(pressure * self.guide_gain)

    @cached_property
    def guide_gain(self) -> FloatArray:
        """Gain of the guide on the axis as a ratio of pressures; 1 without one."""
        guide = self.setting.guide
        if guide is None:
            return np.ones(FREQUENCY_HZ.size)
        return np.asarray(10.0 ** (guide.gain_db(FREQUENCY_HZ, self.setting.high_radiator, self.setting.air) / 20.0))

    @cached_property
    def high_impedance(self) -> ComplexArray:
        """Impedance of one high driver (ohm); a plain resistance and coil where no resonance is stated."""
        high, found = self.setting.case.high, self.resonance
        if found.fs_hz and found.qms and found.qes:
            model = drivers.impedance(FREQUENCY_HZ, high.re_ohm, found.fs_hz, found.qms, found.qes, high.le_h or 0.0)
        else:
            model = high.re_ohm + drivers.coil_impedance(FREQUENCY_HZ, high.le_h or 0.0)
        return self._measured(high.id, "impedance", np.asarray(model, dtype=np.complex128))

    @cached_property
    def high_load(self) -> Equivalent:
        """The high drivers together, as `low_load`."""
        high, found = self.setting.case.high, self.resonance
        le_h = high.le_h or 0.0
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

    # --- both -------------------------------------------------------------------------------------------------

    def _measured(self, driver: str, quantity: str, model: ComplexArray) -> ComplexArray:
        """The measured curve where it reaches, joined to the model (Pa or ohm) elsewhere."""
        curve = self.setting.case.curves.get((driver, quantity))
        if curve is None:
            return model
        unit = REFERENCE_PRESSURE_PA if quantity == "response" else 1.0
        return np.asarray(unit * curves.join(FREQUENCY_HZ, model / unit, curve, quantity))

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
            (high.le_h or 0.0) * factor, found.fs_hz, found.qms, found.qes,
        )  # fmt: skip


def _resonant(found: Resonance) -> ComplexArray:
    """High pass of the high driver's resonance; 1 where it states none (foils)."""
    if found.fs_hz is None:
        return np.ones(FREQUENCY_HZ.size, dtype=np.complex128)
    return drivers.high_pass(FREQUENCY_HZ, found.fs_hz, found.qts or USUAL_Q)
