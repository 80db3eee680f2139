"""What a pairing amounts to once chamber, rear, guide, wiring and arrangement are applied.

Knows the drivers as they are used and where each of them sits. Refuses to judge.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.acoustics import drivers, guides, listening
from reportgen.acoustics.air import REFERENCE_PRESSURE_PA, Air
from reportgen.acoustics.guides import Guide, GuidedRadiator
from reportgen.acoustics.patterns import MeasuredRadiator, measured_radiator
from reportgen.acoustics.radiators import Radiator
from reportgen.acoustics.slopes import SLOPES, Slope
from reportgen.catalogue.records import Cabinet, Case, HighDriver
from reportgen.crossover.networks import wired
from reportgen.crossover.voicing import LEVEL_SLACK_DB, Voicing
from reportgen.pairing import filled_in

IN_THE_MIDDLE = ("low-high-low", "column")
"""Arrangements whose high drivers stand in the middle of the baffle where the cabinet does not say otherwise."""

SIDEWAYS = ("side by side", "column")
"""Arrangements whose low drivers stand beside the high ones."""


Length = TypeVar("Length", float, NDArray[np.float64])
"""Metres of one driver, or of many at once."""

OVER_WINDOW: NDArray[np.float64] = np.arange(-41, 42) / 40.0
"""Where ears stand over the window, in half windows, when a hole is looked for: one stands outside either edge."""

UPRIGHT_RAD = math.radians(89.0)
"""No ear is looked for further from the axis."""

BAFFLE_STEP_M_HZ = 115.0
"""Baffle step frequency times the width of the baffle (common practice, no source)."""

UNSTATED_LE_H = 0.06e-3
"""Inductance of a high driver's coil that states none: more than most, so that what is missing does not help (memory)."""


@dataclass(frozen=True, slots=True)
class Resonance:
    """The high driver's resonance as used: Hz and quality factors; None with what is missing."""

    fs_hz: float | None
    qms: float | None
    qes: float | None
    how: str
    missing: tuple[str, ...] = ()

    @property
    def qts(self) -> float | None:
        """Total quality factor; None when one of its parts is unknown."""
        return drivers.parallel_q(self.qms, self.qes)


@dataclass(frozen=True, slots=True)
class Place:
    """One driver on the baffle: centre (m, from the baffle's lower left corner) and frame size, if known."""

    role: str
    x_m: float
    y_m: float


@dataclass(frozen=True, slots=True)
class Frame:
    """One thing on the baffle: centre (m, from the baffle's lower left corner), outer size and cut-out.

    `role` is "low" or "high"; `round` frames are circles or ellipses. Cut-out sizes are None when unknown.
    """

    role: str
    label: str
    x_m: float
    y_m: float
    width_m: float
    height_m: float
    round: bool
    cut_width_m: float | None
    cut_height_m: float | None
    size_known: bool = True


def inside(dx_m: ArrayLike, dy_m: ArrayLike, high: Frame, cone_m: ArrayLike) -> NDArray[np.bool_]:
    """True where a high driver stands wholly inside the cone of a low one: both are one coaxial driver; broadcasts.

    A mouth as wide as high counts as round here, as those in the middle of a cone are.
    """
    even = high.round or high.width_m == high.height_m
    half = max(high.width_m, high.height_m) / 2.0 if even else math.hypot(high.width_m, high.height_m) / 2.0
    return np.asarray(np.hypot(dx_m, dy_m) + half <= np.multiply(cone_m, 0.5))


@dataclass(frozen=True, slots=True)
class Layout:
    """The baffle and what stands on it; `ear_y_m` is the seated ear over the baffle's lower edge.

    Without a known spacing there are no frames and `spacing_m` is None.
    """

    width_m: float
    height_m: float
    frames: tuple[Frame, ...]
    spacing_m: float | None
    spacing_given: bool
    ear_y_m: float


@dataclass(frozen=True)
class Setting:
    """A case with its derived quantities; everything a limit or a check asks about, SI, rad."""

    case: Case

    @cached_property
    def air(self) -> Air:
        """The air of the Practice sheet."""
        practice = self.case.practice
        return Air(practice["air temperature"], practice["air pressure"])

    @cached_property
    def slope(self) -> Slope:
        """The wanted acoustic slope."""
        return SLOPES[self.case.pairing.slope]

    @cached_property
    def resonance(self) -> Resonance:
        """The high driver's resonance with the chamber it is used with."""
        return used_resonance(self.case.high, self.case.pairing.rear_use, self.case.pairing.chamber_m3)

    @cached_property
    def high_mouth(self) -> Radiator:
        """What lights the edges of the baffle: the high driver's surface, or the mouth of its guide."""
        guide = self.case.guide
        return Radiator("rectangular", guide.mouth_width_m, guide.mouth_height_m) if guide else self.high_radiator

    @property
    def horn_driver(self) -> bool:
        """True for a driver whose stated level was measured on a horn: that gain is already in it."""
        return self.case.technology.family == "compression"

    @property
    def open_back(self) -> bool:
        """True when the high driver radiates to the rear as well."""
        high = self.case.high
        return high.rear == "open" or (high.rear == "removable" and self.case.pairing.rear_use == "removed")

    @cached_property
    def high_radiator(self) -> Radiator:
        """The bare high driver as a radiator: round ones of the dome family as domes."""
        high = self.case.high
        shape = "dome" if high.shape == "round" and self.case.technology.family == "dome" else high.shape
        return Radiator(shape, high.radiating_width_m, high.height_m)

    @cached_property
    def guide(self) -> Guide | None:
        """The waveguide, if the pairing has one."""
        guide = self.case.guide
        if guide is None:
            return None
        return Guide(
            guide.mouth_width_m, guide.mouth_height_m, guide.horizontal_coverage_rad, guide.vertical_coverage_rad
        )

    @cached_property
    def high_directivity(self) -> Radiator | GuidedRadiator | MeasuredRadiator:
        """The high driver as it radiates: behind its guide, or bare, as measured where its files at angles reach."""
        if self.guide:
            return GuidedRadiator(self.high_radiator, self.guide)
        return self._as_measured(self.case.high.id, self.high_radiator)

    @cached_property
    def low_directivity(self) -> Radiator | MeasuredRadiator:
        """The low driver as it radiates: a piston, as measured where its files at angles reach."""
        return self._as_measured(self.case.low.id, self.low_radiator)

    def _as_measured(self, driver_id: str, radiator: Radiator) -> Radiator | MeasuredRadiator:
        curves = self.case.curves
        axis = curves.get((driver_id, "response"))
        aside = {
            (said[0], math.radians(float(said[1:]))): (curve.frequency_hz, curve.magnitude)
            for (driver, quantity), curve in curves.items()
            if driver == driver_id and (said := quantity.removeprefix("response ")) != quantity
        }
        if axis is None or not aside:
            return radiator
        return measured_radiator(radiator, (axis.frequency_hz, axis.magnitude), aside, self.air)

    def guide_gain_db(self, frequency_hz: ArrayLike) -> NDArray[np.float64]:
        """On-axis gain of the guide at any frequencies (dB), from a table good to 0.06 dB; 0 without a guide."""
        if self.guide is None:
            return np.zeros(np.shape(frequency_hz))
        octaves, gain_db = _gain_table(self.guide, self.high_radiator, self.air)
        return np.asarray(np.interp(np.log2(np.asarray(frequency_hz, dtype=np.float64)), octaves, gain_db))

    def seat_gain_db(self, frequency_hz: ArrayLike) -> NDArray[np.float64]:
        """What all high drivers together give at the seat over one in its far field (dB), from their places and heights.

        0 for a single small one. Good to the steps of a table, 24 an octave.
        """
        if self.case.pairing.high_count == 1 and not self.high_radiator.rectangular:
            return np.zeros(np.shape(frequency_hz))
        octaves, gain_db = self._seat_table
        return np.interp(np.log2(np.asarray(frequency_hz, dtype=np.float64)), octaves, gain_db)

    @cached_property
    def _seat_table(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        frequency_hz = np.geomspace(100.0, 20000.0, 184)
        places = self.high_places
        unit = np.ones(frequency_hz.size, dtype=np.complex128)
        sources = [listening.Source(self.centre_m(place), self.high_directivity, unit) for place in places]
        seat = self.to_baffle_m(self.seat_m)
        seat[2] = max(seat[2], 0.1)  # a seat behind the face is refused elsewhere
        heard = np.abs(listening.sum_at(sources, seat, frequency_hz, self.air)) * self.case.pairing.distance_m
        return np.log2(frequency_hz), 20.0 * np.log10(np.maximum(heard, 1e-6))

    @cached_property
    def high_places(self) -> tuple[Place, ...]:
        """Every high driver on the baffle, whatever the low ones are."""
        alone, offsets = self._high_alone, _centred(self.case.pairing.high_count, self.high_pitch_m)
        return tuple(Place("high", alone.x_m, alone.y_m + offset) for offset in offsets)

    @property
    def _high_alone(self) -> Place:
        cabinet = self.case.cabinet
        return Place("high", cabinet.baffle_width_m / 2.0 + cabinet.offset_m, self.high_height_m)

    @cached_property
    def low_radiator(self) -> Radiator:
        """The low driver as a flat round piston of area Sd."""
        return Radiator("round", 2.0 * math.sqrt(self.case.low.diaphragm_area_m2 / math.pi), None)

    @cached_property
    def low_level_db(self) -> float:
        """Level of all low drivers at 2.83 V, 1 m, half space (dB)."""
        low, pairing = self.case.low, self.case.pairing
        gain = wired(low.re_ohm, pairing.low_count, pairing.low_wiring).level_change_db  # type: ignore[arg-type]
        return low.sensitivity_db + gain

    @property
    def low_resistance_ohm(self) -> float:
        """What all low drivers together show to direct current (ohm)."""
        pairing, re_ohm = self.case.pairing, self.case.low.re_ohm
        row = wired(re_ohm, pairing.low_count, pairing.low_wiring)  # type: ignore[arg-type] # list of columns.py
        return re_ohm * row.in_series / row.rows

    @property
    def high_resistance_ohm(self) -> float:
        """The same of all high drivers."""
        pairing, re_ohm = self.case.pairing, self.case.high.re_ohm
        row = wired(re_ohm, pairing.high_count, pairing.high_wiring)  # type: ignore[arg-type] # list of columns.py
        return re_ohm * row.in_series / row.rows

    @cached_property
    def high_level_db(self) -> float:
        """Level of all high drivers at 2.83 V, 1 m, half space, without guide (dB)."""
        high, pairing = self.case.high, self.case.pairing
        gain = wired(high.re_ohm, pairing.high_count, pairing.high_wiring).level_change_db  # type: ignore[arg-type]
        return high.sensitivity_db + gain

    @cached_property
    def wanted_pressure_pa(self) -> float:
        """Rms pressure at 1 m that gives the wanted peak level at the seat, free field."""
        pairing = self.case.pairing
        return float(REFERENCE_PRESSURE_PA * 10.0 ** (pairing.peak_level_db / 20.0) * pairing.distance_m)

    @property
    def placement(self) -> str:
        """How near to a wall it stands: as given; without a word nothing is near, but in a vehicle everything is (common practice, no source)."""
        pairing = self.case.pairing
        return pairing.placement or ("near a wall" if pairing.surroundings == "vehicle" else "free standing")

    @property
    def in_wall(self) -> bool:
        """True for a cabinet built into a wall: half space, no edges."""
        return self.placement == "in a wall" and self.case.cabinet.kind != "open baffle"

    @property
    def shelf_db(self) -> float:
        """How far the bass is voiced under the rest (dB): as wished, else by placement."""
        pairing = self.case.pairing
        if pairing.shelf_db is not None:
            return pairing.shelf_db
        return self.case.practice[f"bass shelf {self.placement}"]

    @property
    def bass_made_good_by(self) -> str:
        """What gives the bass back that is voiced under the rest, in words."""
        return {"vehicle": "the vehicle", "outdoors": "outdoors nothing"}.get(
            self.case.pairing.surroundings, "the room"
        )

    @property
    def slope_room_db(self) -> float:
        """How far a branch may stand above its target (dB): for the fourth order, and in proportion for steeper ones."""
        return self.case.practice["slope shortfall limit"] * max(1.0, self.slope.order / 4.0)

    @property
    def given_up_db(self) -> float:
        """About how far the whole is voiced under the low drivers' level on a large baffle: the step that stays unfilled (dB).

        Rough: the full step of 6 dB less the shelf and what the target may be missed by; the network has the exact figure.
        """
        return 0.0 if self.in_wall else max(6.0 - self.shelf_db - LEVEL_SLACK_DB, 0.0)

    @property
    def step_hz(self) -> float:
        """About where a baffle of this width begins to carry the sound (Hz)."""
        return BAFFLE_STEP_M_HZ / self.case.cabinet.baffle_width_m

    @cached_property
    def step_spared_db(self) -> float:
        """How much less is given up than `given_up_db` says where the baffle is wide: its step is not whole in the octave from which is voiced (dB)."""
        middle_hz = np.array([math.sqrt(2.0) * self.case.practice["voiced band from"]])
        step, shelf = (Voicing(0.0, 0.0, db, self.step_hz).shape(middle_hz).item() for db in (6.0, self.shelf_db))
        return self.given_up_db - min(max(20.0 * math.log10(shelf / step) - LEVEL_SLACK_DB, 0.0), self.given_up_db)

    @cached_property
    def high_le_h(self) -> float:
        """Inductance of one high driver (H); where none is stated a foil has none, and a coil a large one for its kind."""
        if self.case.high.le_h is not None:
            return self.case.high.le_h
        return 0.0 if self.case.technology.diaphragm == "film" else UNSTATED_LE_H

    # --- geometry -------------------------------------------------------------------------------------------

    @cached_property
    def spacing_m(self) -> float | None:
        """Between the acoustic centres: as given, else frames touching; None when frames are unknown."""
        case = self.case
        if case.pairing.centre_spacing_m is not None:
            return case.pairing.centre_spacing_m
        low = frame_size(case.low.frame_width_m, case.low.frame_height_m)
        if low is None or self.high_frame is None:
            return None
        return float(self.touching_m(*low))

    @property
    def sideways(self) -> bool:
        """True when the centres stand apart sideways and not in height."""
        return self.case.pairing.arrangement in SIDEWAYS

    @property
    def lobing_half_window_rad(self) -> float:
        """The half window (rad) in the plane in which the centres stand apart."""
        pairing = self.case.pairing
        return pairing.horizontal_half_window_rad if self.sideways else pairing.vertical_half_window_rad

    def touching_m(self, low_width_m: ArrayLike, low_height_m: ArrayLike) -> NDArray[np.float64]:
        """Between the centres (m) when low frames of any sizes touch the high one; nan where a size is unknown."""
        low, axis = (low_width_m, 0) if self.sideways else (low_height_m, 1)
        high = self.high_frame[axis] if self.high_frame else np.nan
        return (np.asarray(low, dtype=np.float64) + high) / 2.0 + self.case.practice["gap between frames"]

    @property
    def high_frame(self) -> tuple[float, float] | None:
        """Outer width and height (m) of the guide's or the high driver's faceplate; None when unknown."""
        guide, high = self.case.guide, self.case.high
        if guide is not None:
            return (guide.faceplate_width_m or guide.mouth_width_m, guide.faceplate_height_m or guide.mouth_height_m)
        return frame_size(high.faceplate_width_m, high.faceplate_height_m)

    @property
    def high_height_m(self) -> float:
        """Height of the high driver's centre over the baffle's lower edge (m)."""
        cabinet = self.case.cabinet
        if cabinet.high_from_top_m is not None:
            return cabinet.baffle_height_m - cabinet.high_from_top_m
        if self.case.pairing.arrangement in IN_THE_MIDDLE:
            return cabinet.baffle_height_m / 2.0
        frame = self.high_frame
        half = frame[1] / 2.0 if frame else self.case.high.height_m
        return cabinet.baffle_height_m - half - self.case.practice["edge clearance"]

    @cached_property
    def places(self) -> tuple[Place, ...]:
        """Every driver on the baffle, low ones first; empty when the spacing is unknown."""
        if self.spacing_m is None:
            return ()
        lows = [Place("low", x, y) for x, y in self.low_centres_m(self.spacing_m, self.low_pitch_m or self.spacing_m)]
        return (*lows, *self.high_places)

    def _pitch(self, size: float | None, otherwise: float) -> float:
        return size + self.case.practice["gap between frames"] if size else otherwise

    def low_centres_m(self, spacing_m: Length, pitch_m: Length) -> list[tuple[Length, Length]]:
        """Where the low drivers stand (m, from the baffle's lower left corner), at any spacing and pitch of theirs, one or many at once."""
        alone, pairing = self._high_alone, self.case.pairing
        if self.sideways:
            x = alone.x_m + self._low_side * spacing_m
            return [(x, alone.y_m + offset) for offset in _centred(pairing.low_count, pitch_m)]
        heights = self._low_heights(spacing_m, pitch_m, [place.y_m for place in self.high_places])
        middle = self.case.cabinet.baffle_width_m / 2.0
        return [(middle + 0.0 * height, height) for height in heights]

    @property
    def _low_side(self) -> float:
        """1.0 where low drivers stand right of the high ones, -1.0 where left: towards the far edge of the baffle."""
        return -1.0 if self.case.cabinet.offset_m >= 0.0 else 1.0

    def _low_heights(self, spacing_m: Length, pitch_m: Length, highs_m: list[float]) -> list[Length]:
        """Heights (m) of low drivers under the high ones, or on both sides of them."""
        count, lowest, highest = self.case.pairing.low_count, min(highs_m), max(highs_m)
        if self.case.pairing.arrangement == "low-high-low":
            below = [lowest - spacing_m - index * pitch_m for index in range((count + 1) // 2)]
            return below + [highest + spacing_m + index * pitch_m for index in range(count // 2)]
        return [lowest - spacing_m - index * pitch_m for index in range(count)]

    def apart_m(self, spacing_m: float, low_pitch_m: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Where low and high centres stand (m) along the line on which they are apart, at any spacing and pitch of the low ones."""
        if self.sideways:
            return (self._low_side * spacing_m,), (0.0,)
        highs = _centred(self.case.pairing.high_count, self.high_pitch_m)
        return tuple(self._low_heights(spacing_m, low_pitch_m, highs)), tuple(highs)

    @cached_property
    def listeners_m(self) -> tuple[tuple[float, float], ...]:
        """Ears over the window in which the centres stand apart, the seat in the middle and one outside either edge: along that line from the high
        drivers' middle, and out of the baffle (m)."""
        middle, seat = self.high_middle_m, self.to_baffle_m(self.seat_m)
        axis = 0 if self.sideways else 1
        centre = (-float(middle[0]), 0.0) if self.sideways else (0.0, float(middle[2]))  # as an arc is drawn
        along, out = float(seat[axis] - middle[axis]) - centre[0], max(float(seat[2]) - centre[1], 0.1)
        start, reach, half = math.atan2(along, out), math.hypot(along, out), self.lobing_half_window_rad
        angle = np.clip(start + half * OVER_WINDOW, -UPRIGHT_RAD, UPRIGHT_RAD)
        return tuple((centre[0] + reach * math.sin(one), centre[1] + reach * math.cos(one)) for one in angle.tolist())

    @property
    def high_pitch_m(self) -> float:
        """Between the centres of two high drivers above one another (m)."""
        return self._pitch(self.high_frame[1] if self.high_frame else None, self.case.high.height_m)

    @property
    def low_pitch_m(self) -> float | None:
        """Between the centres of two low drivers above one another (m); None when their frame is unknown."""
        height = self.case.low.frame_height_m or self.case.low.frame_width_m
        return height + self.case.practice["gap between frames"] if height else None

    @property
    def high_frames(self) -> tuple[Frame, ...]:
        """The frame of every high driver, whatever the low ones are."""
        return tuple(self._frame(place) for place in self.high_places)

    @cached_property
    def layout(self) -> Layout:
        """The baffle with every frame on it; a frame of unknown size is drawn as the radiating surface."""
        cabinet, pairing = self.case.cabinet, self.case.pairing
        stand = [self._frame(place) for place in self.places]
        frames = tuple(replace(one, cut_width_m=None, cut_height_m=None) if self.in_cone(one) else one for one in stand)
        given = pairing.centre_spacing_m is not None
        ear = pairing.ear_height_m - cabinet.stand_height_m
        return Layout(cabinet.baffle_width_m, cabinet.baffle_height_m, frames, self.spacing_m, given, ear)

    def in_cone(self, one: Frame) -> bool:
        """Whether it is a high driver inside the cone of a low one: it hangs in that, and the baffle has no hole for it."""
        cone_m, lows = self.low_radiator.width_m, [place for place in self.places if place.role == "low"]
        return one.role == "high" and any(inside(one.x_m - low.x_m, one.y_m - low.y_m, one, cone_m) for low in lows)

    @cached_property
    def coaxial(self) -> bool:
        """Whether a high driver stands inside the cone of a low one."""
        return self.spacing_m is not None and any(map(self.in_cone, self.high_frames))

    @property
    def guided_by_cone(self) -> bool:
        """Whether the cone around a high driver guides its sound, and neither a guide nor a file off the axis tells how."""
        return self.coaxial and self.case.guide is None and not isinstance(self.high_directivity, MeasuredRadiator)

    def _frame(self, place: Place) -> Frame:
        low, high, guide = self.case.low, self.case.high, self.case.guide
        if place.role == "low":
            size = frame_size(low.frame_width_m, low.frame_height_m)
            shown = size or (self.low_radiator.width_m, self.low_radiator.width_m)
            cut = low.cutout_m
            return Frame("low", low.id, place.x_m, place.y_m, *shown, shown[0] == shown[1], cut, cut, size is not None)
        size = self.high_frame
        shown = size or (high.radiating_width_m, high.height_m)
        if guide is not None:
            return Frame(
                "high", guide.id, place.x_m, place.y_m, *shown, False, guide.mouth_width_m, guide.mouth_height_m
            )
        cuts = (high.cutout_width_m, high.cutout_height_m or high.cutout_width_m)
        rounded = high.shape == "round" and shown[0] == shown[1]
        return Frame("high", high.id, place.x_m, place.y_m, *shown, rounded, *cuts, size is not None)

    def centre_m(self, place: Place) -> tuple[float, float, float]:
        """Acoustic centre on the baffle: x right of its middle, y over its lower edge, z out of its face (m)."""
        depth = self.low_depth_m if place.role == "low" else self.high_depth_m
        return (place.x_m - self.case.cabinet.baffle_width_m / 2.0, place.y_m, -depth)

    def to_room_m(self, points_m: ArrayLike) -> NDArray[np.float64]:
        """Points (..., 3) of the baffle in the room: x to the right, y over the floor, z towards the seat (m).

        The lower edge stands at z = 0; the face leans back by the tilt.
        """
        x, y, z = np.moveaxis(np.asarray(points_m, dtype=np.float64), -1, 0)
        sine, cosine = math.sin(self.case.cabinet.tilt_rad), math.cos(self.case.cabinet.tilt_rad)
        return np.stack([x, self.case.cabinet.stand_height_m + y * cosine + z * sine, z * cosine - y * sine], axis=-1)

    def to_baffle_m(self, points_m: ArrayLike) -> NDArray[np.float64]:
        """Points (..., 3) of the room as seen from the baffle: the inverse of `to_room_m`."""
        x, y, z = np.moveaxis(np.asarray(points_m, dtype=np.float64), -1, 0)
        sine, cosine = math.sin(self.case.cabinet.tilt_rad), math.cos(self.case.cabinet.tilt_rad)
        over = y - self.case.cabinet.stand_height_m
        return np.stack([x, over * cosine - z * sine, over * sine + z * cosine], axis=-1)

    @property
    def low_depth_m(self) -> float:
        """How deep the acoustic centre of the low drivers lies (m)."""
        return filled_in.low_depth_m(self.case.low)

    @property
    def high_depth_m(self) -> float:
        """How deep the acoustic centre of the high drivers lies, behind a guide where there is one (m)."""
        guide = self.case.guide
        return filled_in.high_depth_m(self.case.high, self.horn_driver) + ((guide.depth_m or 0.0) if guide else 0.0)

    @cached_property
    def seat_m(self) -> NDArray[np.float64]:
        """The seated ear (3,) in the room (m); the baffle's lower edge stands at z = 0."""
        pairing = self.case.pairing
        return np.array([0.0, pairing.ear_height_m, pairing.distance_m])

    @cached_property
    def high_centre_m(self) -> NDArray[np.float64]:
        """Middle of the high drivers (3,) in the room (m)."""
        return self.to_room_m(self.high_middle_m)

    @cached_property
    def high_middle_m(self) -> NDArray[np.float64]:
        """Middle of the high drivers (3,) on the baffle (m)."""
        highs = self.high_places
        return np.asarray(np.mean([self.centre_m(place) for place in highs], axis=0))

    @property
    def high_tall_m(self) -> float:
        """Height of all high drivers together (m)."""
        heights = [place.y_m for place in self.high_places]
        return self.high_radiator.tall_m + max(heights) - min(heights)

    @property
    def high_lowest_m(self) -> float:
        """Height over the floor of the lowest edge of what radiates of the high drivers (m)."""
        x, y, z = self.high_middle_m
        return float(self.to_room_m([x, y - self.high_tall_m / 2.0, z])[1])

    def elevation_rad(self, ear_height_m: float) -> float:
        """Elevation of an ear at the seat's distance, seen from the high drivers (rad)."""
        return math.atan2(ear_height_m - self.high_centre_m[1], self.seat_m[2] - self.high_centre_m[2])


@lru_cache(maxsize=8192)
def _gain_table(guide: Guide, radiator: Radiator, air: Air) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """lg2 of Hz and on-axis gain (dB) of a guide, with its kinks; kept, as every search asks for few of them often."""
    limits = np.array([guide.horizontal_limit_hz, guide.vertical_limit_hz])
    kinks = np.concatenate([limits, limits * 2.0**-guides.RELEASE_OCTAVES])
    frequency_hz = np.unique(np.concatenate([np.geomspace(300.0, 15000.0, 65), kinks]))
    return np.log2(frequency_hz), guide.gain_db(frequency_hz, radiator, air)


def rear_words(high: HighDriver, rear_use: str, chamber_m3: float | None) -> str:
    """How the back of the high driver is used where that is not as supplied; else empty."""
    if chamber_m3 is not None:
        return f"in the {chamber_m3 * 1e6:.0f} mL rear chamber"
    return "rear cup taken off" if rear_use == "removed" and high.rear == "removable" else ""


def used_resonance(high: HighDriver, rear_use: str, chamber_m3: float | None) -> Resonance:
    """Resonance and quality factors of the high driver with the chamber it is used with (Small 1972)."""
    how = rear_words(high, rear_use, chamber_m3)
    if not how or high.fs_hz is None:
        return Resonance(high.fs_hz, high.qms, high.qes, "as supplied", high.missing("fs_hz"))
    missing = high.missing("vas_m3", "rear_chamber_m3")
    if high.vas_m3 is None or high.rear_chamber_m3 is None:
        return Resonance(None, None, None, "with another rear", missing)

    free_hz, ratio = (float(value) for value in drivers.free_air(high.fs_hz, 1.0, high.vas_m3, high.rear_chamber_m3))
    if chamber_m3 is not None:
        used_hz, change = (float(value) for value in drivers.rear_chamber(free_hz, 1.0, high.vas_m3, chamber_m3))
        ratio *= change
    else:
        used_hz = free_hz
    qms, qes = (None if q is None else q * ratio for q in (high.qms, high.qes))
    return Resonance(used_hz, qms, qes, how)


ON_PANEL = 0.495
"""A centre that lies off the baffle counts as so far from its middle, in widths or heights of the baffle."""


def on_panel(cabinet: Cabinet, x_m: float, y_m: float) -> tuple[float, float]:
    """A place (m, from the middle of the baffle) on the baffle: itself, or the nearest one that its edges can be summed for."""
    width, height = cabinet.baffle_width_m * ON_PANEL, cabinet.baffle_height_m * ON_PANEL
    return float(np.clip(x_m, -width, width)), float(np.clip(y_m, -height, height))


def frame_size(width_m: float | None, height_m: float | None) -> tuple[float, float] | None:
    """Width and height of a frame (m), the height being the width where none is given; None when unknown."""
    return (width_m, height_m or width_m) if width_m is not None else None


def _centred(count: int, pitch: Length) -> list[Length]:
    return [(index - (count - 1) / 2.0) * pitch for index in range(count)]
