"""A pairing at its crossover: both drivers, the network or why there is none, and what is heard and paid.

Knows the figures that take both the setting and the design. Refuses to judge them.
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from reportgen.acoustics.listening import directivity_step_db
from reportgen.pairing.as_used import Setting
from reportgen.pairing.network import STEEPEST_RAD, Engineered, Networks, PartLine
from reportgen.pairing.response import FREQUENCY_HZ, Model
from reportgen.pairing.shopping import cost_of, drivers_of, stock_ids, total
from reportgen.problems import CannotAssess

TILT_FROM_HZ = 5000.0
"""From here up the fall of a tall radiator's top end is told."""


@dataclass(frozen=True, slots=True)
class Window:
    """What the high drivers lose in height (dB): at the seated and the standing ear in the top band, and their tilt."""

    seated_loss_db: float
    standing_loss_db: float
    tilt_db: float


@dataclass(frozen=True)
class AsBuilt:
    """A setting at one crossover (Hz) and its network; `not_designed` says why there is none."""

    model: Model
    crossover_hz: float
    network: Engineered | None = None
    not_designed: str = ""

    @property
    def setting(self) -> Setting:
        """The pairing as it is used."""
        return self.model.setting

    @cached_property
    def directivity_step_db(self) -> float:
        """Directivity index of the high drivers less that of the low ones at the crossover (dB)."""
        setting = self.setting
        step = directivity_step_db(setting.low_directivity, setting.high_directivity, self.crossover_hz, setting.air)
        return float(step)

    @cached_property
    def window(self) -> Window | None:
        """What is lost in height; None where the drivers or the seat have no place (`not_designed` then says it)."""
        with suppress(CannotAssess):
            return _window(self.model)
        return None

    @cached_property
    def price(self) -> float | None:
        """Drivers, guide and the priced parts of one loudspeaker; None while `price_missing` names something."""
        if self.price_missing:
            return None
        parts = (self.network.parts_price or 0.0) if self.network else 0.0
        return total([(cost_of(drivers_of(self.setting.case)), 1), (parts, 1)])

    @cached_property
    def price_missing(self) -> tuple[str, ...]:
        """The cells without which the price is unknown."""
        missing = tuple(text for item in drivers_of(self.setting.case) for text in item.record.missing("price"))
        return missing + (self.unstated("price", self.network.parts) if self.network else ())

    def unstated(self, name: str, parts: Iterable[PartLine]) -> tuple[str, ...]:
        """The cells of the Parts sheet that are empty in column `name` for parts that the network takes from it."""
        used = {one for part in parts for one in stock_ids(part.part_id)}
        return tuple(text for part in self.setting.case.stock if part.id in used for text in part.missing(name))


def built_with(networks: Networks, policy: str) -> tuple[AsBuilt, ...]:
    """The pairing with each of its networks under a policy for parts, or once with the reason why there is none."""
    model, crossover_hz = networks.model, networks.crossover_hz
    try:
        return tuple(AsBuilt(model, crossover_hz, one) for one in networks.of(policy))
    except (ValueError, CannotAssess) as error:
        return (AsBuilt(model, crossover_hz, None, str(error)),)


def _window(model: Model) -> Window:
    setting, practice, seat = model.setting, model.setting.case.practice, model.seat_m
    wanted_hz = (TILT_FROM_HZ, practice["high band top"])
    at = np.array([int(np.argmin(np.abs(np.log(FREQUENCY_HZ / hz)))) for hz in wanted_hz])
    sources = [replace(source, response=source.response[at]) for source in model.high_sources]
    half = setting.case.pairing.vertical_half_window_rad
    window = np.clip(setting.elevation_rad(seat[1]) + np.linspace(-half, half, 15), -STEEPEST_RAD, STEEPEST_RAD)
    inside = setting.high_centre_m[1] + (seat[2] - setting.high_centre_m[2]) * np.tan(window)
    heights = np.concatenate([[seat[1], practice["standing ear height"]], inside])
    on_axis = setting.to_room_m([*setting.high_middle_m[:2], setting.to_baffle_m(seat)[2]])
    points = np.vstack([on_axis, np.stack(np.broadcast_arrays(seat[0], heights, seat[2]), axis=-1)])
    power = np.maximum(np.abs(model.heard_at(sources, points, FREQUENCY_HZ[at])) ** 2, 1e-30)
    axis, seated, standing = 10.0 * np.log10(power[:3, 1])
    low, high = 10.0 * np.log10(np.mean(power[3:], axis=0)) - 10.0 * np.log10(np.abs(sources[0].response) ** 2)
    return Window(float(axis - seated), float(axis - standing), float(low - high))
