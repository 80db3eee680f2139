"""Rules of a pairing held over tables of cases; what each should give is worked out beside it by other words than the program's."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import hypot, log10
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from reportgen.crossover.circuit import Circuit, Element
from reportgen.crossover.networks import Branch, Component, across
from reportgen.crossover.parts import PartOffer
from reportgen.crossover.sides import DesignOptions
from reportgen.crossover.voicing import Voicing
from reportgen.pairing import assembly as put_together
from reportgen.pairing.as_built import AsBuilt, built_with
from reportgen.pairing.as_used import Setting, rear_words
from reportgen.pairing.assembly import RESISTORS, _substitutes, assembly
from reportgen.pairing.figures import Heard
from reportgen.pairing.heat import Heat, Warmth
from reportgen.pairing.reach import reach_of
from reportgen.pairing.response import FREQUENCY_HZ, Model
from reportgen.pairing.voiced import barred
from reportgen.problems import CannotAssess
from tests.demo_catalogue import demo, demo_case

EVEN = np.ones(FREQUENCY_HZ.size, dtype=np.complex128)


@pytest.mark.parametrize("error", (ValueError, CannotAssess))
def test_a_pairing_without_a_network_says_why_and_one_with_some_has_each(error: type[Exception]) -> None:
    bare: Any = AsBuilt(SimpleNamespace(setting=None), 2000.0, None, "not looked for yet")  # type: ignore[arg-type]

    def refuse(policy: str) -> Any:
        raise error(f"no {policy} parts do it")

    (none,) = built_with(bare, SimpleNamespace(of=refuse), "stock")  # type: ignore[arg-type]
    assert (none.network, none.not_designed, none.bare) == (None, "no stock parts do it", bare)
    some = built_with(bare, SimpleNamespace(of=lambda policy: (f"{policy} 1", f"{policy} 2")), "any")  # type: ignore[arg-type]
    assert [(one.network, one.not_designed, one.bare) for one in some] == [("any 1", "", bare), ("any 2", "", bare)]


@pytest.mark.parametrize("arrangement", ("high over low", "low-high-low", "side by side", "column"))
@pytest.mark.parametrize("low", ((0.2, 0.2), (0.2, 0.3), (0.3, 0.2), (0.25, None)))
@pytest.mark.parametrize("high", ((0.1, 0.1), (0.08, 0.14)))
def test_frames_touch_across_where_centres_stand_aside_and_up_where_they_stand_above(
    arrangement: str, low: tuple[float, float | None], high: tuple[float, float]
) -> None:
    """Half of either frame in that direction, and the gap of 5 mm; a frame of one size is as high as wide."""
    case = demo_case(
        "P-01",
        pairing={"arrangement": arrangement, "centre_spacing_m": None},
        low={"frame_width_m": low[0], "frame_height_m": low[1]},
        high={"faceplate_width_m": high[0], "faceplate_height_m": high[1]},
    )
    aside = arrangement in ("side by side", "column")
    sizes = (low[0], high[0]) if aside else (low[1] or low[0], high[1])
    assert Setting(case).spacing_m == pytest.approx(sum(sizes) / 2 + 0.005)


@pytest.mark.parametrize(
    ("shape", "plate", "guide", "is_round"),
    [
        ("round", (0.1, 0.1), None, True),
        ("round", (0.1, None), None, True),
        ("round", (0.1, 0.12), None, False),
        ("rectangular", (0.1, 0.1), None, False),
        ("rectangular", (0.1, 0.12), None, False),
        ("round", (0.1, 0.1), "WG-01", False),
    ],
)
def test_a_frame_is_round_where_the_driver_is_and_its_plate_is_as_high_as_wide(
    shape: str, plate: tuple[float, float | None], guide: str | None, is_round: bool
) -> None:
    case = demo().case(replace(demo().pairings["P-01"], guide_id=guide))
    high = replace(case.high, shape=shape, faceplate_width_m=plate[0], faceplate_height_m=plate[1])
    (frame,) = Setting(replace(case, high=high)).high_frames
    assert frame.round is is_round


@pytest.mark.parametrize(("wide", "tall", "is_round"), ((0.2, None, True), (0.2, 0.2, True), (0.2, 0.21, False)))
def test_a_low_frame_is_round_where_it_is_as_high_as_wide(wide: float, tall: float | None, is_round: bool) -> None:
    frames = Setting(demo_case("P-01", low={"frame_width_m": wide, "frame_height_m": tall})).layout.frames
    assert [one.round for one in frames if one.role == "low"] == [is_round]


def test_how_the_back_is_used_is_told_where_it_is_not_as_supplied() -> None:
    """85 cm3 are 85 mL; a chamber goes before a cup, and only a removable cup comes off."""
    high = demo_case("P-01").high
    for rear, used, chamber in product(("sealed", "open", "removable"), ("as supplied", "removed"), (None, 85e-6)):
        off = "rear cup taken off" if (rear, used) == ("removable", "removed") else ""
        assert rear_words(replace(high, rear=rear), used, chamber) == ("in the 85 mL rear chamber" if chamber else off)


@pytest.mark.parametrize("kinds", ("", "L", "C", "R", "LC", "LR", "LCR"))
def test_only_a_network_with_resistors_says_where_they_go(kinds: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every part has some resistance of its own; that makes no resistor of it."""
    monkeypatch.setattr(put_together, "_substitutes", lambda *_: {f"{kind}1": (None, None) for kind in kinds})
    parts = tuple(Element(f"{kind}1", kind, ("in", "low1"), 1e-3, 0.3, ()) for kind in kinds)  # type: ignore[arg-type]
    made = assembly(
        None, Circuit(parts, {}), [(1.0, 1.0)] * len(kinds), None, DesignOptions(voicing=Voicing(100.0, 1e4))
    )  # type: ignore[arg-type]
    assert made.resistors == (RESISTORS if "R" in kinds else "")


@pytest.mark.parametrize(
    ("own", "chosen"),
    ((0.0, None), (0.4, 12.0), (0.4 - 1e-12, 12.0), (0.39, 8.2), (0.2, 8.2), (0.1, None), (0.9, 11.0)),
)
def test_a_substitute_misses_no_more_than_the_network_does(own: float, chosen: float | None) -> None:
    """Of 11, 9.1, 12 and 8.2 in place of 10, nearest first, which miss by 0.9, 1, 0.4 and 0.2: the first that misses no more than the network itself."""
    misses = {11.0: 0.9, 9.1: 1.0, 12.0: 0.4, 8.2: 0.2}
    part = Branch((across(Component("R", 10.0, 0.0)),))
    tried: list[Any] = []

    def side_heard(side: str, branch: Branch, values: Any = None, ohm: Any = None) -> Any:
        return None if values is None else values[:, 0]

    def many(low: Any, high: Any, sign: int, target_db: float) -> Any:
        tried.append((low is None, high is None, sign, target_db))
        values = high if low is None else low
        return SimpleNamespace(missed=lambda wanted, nulled: np.array([misses[float(one)] for one in values]))

    bench: Any = SimpleNamespace(low="low", high="high", side_heard=side_heard, many=many)
    design: Any = SimpleNamespace(
        low=part, high=part, high_reversed=True, target_db=77.0, missed=own,
        slope=SimpleNamespace(family="Butterworth"),
    )  # fmt: skip
    circuit: Any = SimpleNamespace(elements=[SimpleNamespace(label="R1"), SimpleNamespace(label="R2")])
    stock = tuple(PartOffer(f"KR-{value:g}", "R", value, 0.05) for value in misses)
    found = _substitutes(design, circuit, [0.0, 0.0], bench, DesignOptions(policy="stock", stock=stock))
    said = (chosen, None if chosen is None else f"KR-{chosen:g}")
    assert found == {"R1": said, "R2": said}
    assert tried == [(False, True, -1, 77.0), (True, False, -1, 77.0)]  # each side beside the other as it is


@pytest.mark.parametrize(("steps", "ends"), ((2, False), (4, False), (5, True), (9, True)))
def test_a_dip_ends_the_range_where_its_third_of_an_octave_is_10_db_down(steps: int, ends: bool) -> None:
    """A hole of 20 dB in so many of the 24 points of an octave, at 400 Hz: means over 9 of them fall by 20 n/9, of 5 by 20 n/5; 80 dB, and 81 dB an octave up from 1 kHz."""
    at = int(np.argmin(np.abs(FREQUENCY_HZ - 400.0)))
    level = np.where(np.abs(np.log2(FREQUENCY_HZ / 1500.0)) < 0.6, 81.0, 80.0)
    level[at : at + steps] -= 20.0
    heard = Heard(FREQUENCY_HZ, level, 0.0 * level + 80.0, Voicing(100.0, 16e3), 1.0)
    assert (heard.effective_range_hz[0] > 400.0) is ends


@pytest.mark.parametrize(("volts", "ends"), ((40.0, "travel of the low driver"), (8.0, "the amplifier")))
def test_what_the_amplifier_alone_reaches_no_travel_ends(volts: float, ends: str) -> None:
    """90 dB for 2.83 V; the woofer's travel ends at 20 V. 6 dB more are wanted than the amplifier reaches: four times its power."""
    case = demo_case("P-01", low={"peak_travel_m": 4e-3}, high={"peak_travel_m": None})
    model = SimpleNamespace(setting=SimpleNamespace(case=case), low_travel_m=2.83 * 4e-3 / 20.0 * np.ones(FREQUENCY_HZ.size), high_travel_m=None)  # fmt: skip
    pressure = 2e-5 * 10.0 ** (90.0 / 20.0) / 2 * EVEN
    heat = Heat(volts, Warmth(1.0, None, None), Warmth(1.0, None, None))
    driven: Any = SimpleNamespace(model=model, voltage_v=volts, heat=heat, low_gain=EVEN, high_gain=EVEN, low=pressure, high=pressure)  # fmt: skip
    found = reach_of(driven)
    assert set(found.cause) == {ends} and found.level_db == pytest.approx(90.0 + 20 * log10(min(volts, 20.0) / 2.83))
    by_amplifier_db = 90.0 + 20 * log10(volts / 2.83)
    assert found.by_amplifier_db == pytest.approx(by_amplifier_db)
    assert found.amplifier_w(by_amplifier_db + 10 * log10(4.0), 2000.0, 50.0) == pytest.approx(200.0)


@pytest.mark.parametrize(
    ("full_from", "hz"),
    [((100, 100), 100), ((80, 120), 110), ((60, 140), 130), ((100, None), None), ((None, None), None)],
)
def test_the_bass_of_several_woofers_on_a_panel_ends_by_the_mean_of_their_edges(
    full_from: tuple[int | None, int | None], hz: int | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each has 0.4 of its level below a point of the grid and 1.2 above; below their mean of 1, 0.8 of one full and one not, there is no bass."""
    case = demo_case(
        "P-11", pairing={"low_count": 2, "centre_spacing_m": 0.3}, low={"frame_width_m": 0.2, "frame_height_m": None}
    )
    model = Model(Setting(case))
    lows = [place for place in model.setting.places if place.role == "low"]
    rows = {place: np.where(np.arange(FREQUENCY_HZ.size) >= (10**6 if at is None else at), 1.2, 0.4) for place, at in zip(lows, full_from, strict=True)}  # fmt: skip
    monkeypatch.setattr(Model, "_edge", lambda self, place: rows.get(place, 9.0 * EVEN))
    later = None if None in full_from else max(one for one in full_from if one is not None)
    assert model.rear_path_hz == pytest.approx(0.0 if later is None else FREQUENCY_HZ[later])


@pytest.mark.parametrize("phase", (None, "own", "none", "common reference"))
def test_a_driver_is_measured_on_its_own_axis_unless_both_share_one_start_of_time(phase: str | None) -> None:
    """The microphone stands 1 m out of the face, before the driver itself or, for a common reference, before the high one; the woofer lies 20 mm deep."""
    case = demo_case(
        "P-01",
        low={"response_phase": phase, "response_measured": "CB-01", "measured_at_m": 1.0, "centre_depth_m": 0.02},
        high={"response_phase": phase, "response_measured": "CB-01", "measured_at_m": 1.0, "centre_depth_m": 0.01},
    )
    model = Model(Setting(case))
    spacing = model.setting.spacing_m or 0.0
    assert spacing > 0.1
    aside = spacing if phase == "common reference" else 0.0
    assert model._before_microphone("low")[1] == pytest.approx(hypot(aside, 1.02))
    assert model._before_microphone("high")[1] == pytest.approx(1.01)


@pytest.mark.parametrize(
    ("band", "driver"),
    [((500.0, 1000.0), "low"), ((1500.0, 2500.0), "low"), ((1700.0, 2500.0), "high"), ((1000.0, 3900.0), "low"),
     ((1000.0, 4100.0), "high"), ((3000.0, 6000.0), "high"), ((1990.0, None), "low"), ((2010.0, None), "high")],
)  # fmt: skip
def test_the_driver_on_whose_side_the_middle_of_a_band_lies_makes_its_sound(
    band: tuple[float, float | None], driver: str
) -> None:
    """The middle is the root of the product of the ends: 1936 Hz of 1500 to 2500 Hz, of which the low driver makes most; crossed at 2 kHz."""
    side = {"low_side": 60.0, "high_side": 70.0}
    model: Any = SimpleNamespace(**{name: SimpleNamespace(response=2e-5 * 10 ** (db / 20) * EVEN) for name, db in side.items()})  # fmt: skip
    heard: Any = SimpleNamespace(target_db=np.full(FREQUENCY_HZ.size, 80.0))
    found = barred(model, heard, 2000.0, *band)
    assert (found.driver, found.lacks_db) == (driver, pytest.approx(20.0 if driver == "low" else 10.0))
