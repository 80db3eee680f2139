"""How the network is put together: wiring, coils, kinds and substitutes, each against what can be worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from reportgen.assessment import assess
from reportgen.crossover.networks import transfer, with_values
from reportgen.crossover.parts import PartOffer
from reportgen.crossover.sides import DesignOptions
from reportgen.pairing.as_used import Setting
from reportgen.pairing.assembly import APART_M, FURTHER_M, Assembly, _coils, _others
from reportgen.pairing.response import FREQUENCY_HZ, Model
from tests.demo_catalogue import demo_assessed as made
from tests.demo_catalogue import demo_case
from tests.every import every


def put_together(name: str) -> Assembly:
    network = made(name).network
    assert network is not None and network.assembly is not None
    return network.assembly


@every("name", ["P-01", "P-06", "P-16"])
def test_the_wiring_names_every_part_and_both_drivers_once(name: str) -> None:
    found, wiring = made(name), put_together(name).wiring
    assert wiring[0].what == "amplifier" and (wiring[0].start, wiring[0].end) == ("in", "0")
    assert [wire.what for wire in wiring[1:-2]] == [part.label for part in found.parts]
    assert [wire.what for wire in wiring[-2:]] == ["low driver", "high driver"]
    points = [point for wire in wiring for point in (wire.start, wire.end)]
    assert all(points.count(point) >= 2 for point in points)  # nothing hangs in the air
    assert found.design is not None and (wiring[-1].start == "0") == found.design.high_reversed


def test_three_coils_stand_at_right_angles_and_a_fourth_further_off() -> None:
    network = made("P-01").network
    assert network is not None
    coil = next(one for one in network.circuit.elements if one.kind == "L")
    four = replace(network.circuit, elements=tuple(replace(coil, label=f"L{k}") for k in range(1, 5)))
    pairs = {(one.first, one.second): one for one in _coils(four)}
    assert len(pairs) == 6
    assert all(one.crossed and one.distance_m == APART_M for pair, one in pairs.items() if pair != ("L1", "L4"))
    assert not pairs["L1", "L4"].crossed and pairs["L1", "L4"].distance_m == FURTHER_M


@every("name", ["P-01", "P-16", "P-24"])
def test_a_substitute_keeps_the_network_within_what_is_wanted(name: str) -> None:
    """Worked out again from the branch with the other value: the sum stays within 2 dB around the crossover."""
    found, model = made(name), Model(Setting(demo_case(name)))
    design, lines = found.design, {part.label: part for part in found.parts}
    assert design is not None
    notes = {note.label: note for note in put_together(name).parts}
    assert set(notes) == set(lines) and any(note.substitute for note in notes.values())
    branches = {"low": (design.low, model.low_side), "high": (design.high, model.high_side)}
    near = np.abs(np.log2(FREQUENCY_HZ / design.crossover_hz)) <= 1.0
    assert found.curves is not None
    for label, note in notes.items():
        if note.substitute is None:
            continue
        assert 1.0 < max(note.substitute / lines[label].value, lines[label].value / note.substitute) <= 1.35
        pressure = []
        for side_name, (branch, side) in branches.items():
            own = [part for part in found.parts if part.branch == side_name]
            values = [note.substitute if part.label == label else part.value for part in own]
            pressure.append(side.response * transfer(with_values(branch, values), side.impedance, FREQUENCY_HZ))
        total = pressure[0] + (-1 if design.high_reversed else 1) * pressure[1]
        error = 20 * np.log10(np.abs(total) / 2e-5) - np.array(found.curves.target_db)
        assert np.max(np.abs(error[near])) <= 2.0


def test_substitutes_are_looked_for_on_the_shelf_and_in_the_series_a_third_up_and_down() -> None:
    """E12 of IEC 60063 has 8.2, 10, 12 and 15 within 10 uF / 1.35 to 10 uF x 1.35; the shelf adds 9.1 where it bears 63 V."""
    stock = tuple(
        PartOffer(f"KC-{rating:g}", "C", 9.1e-6, rating=rating, rating_unit="V", stock=5) for rating in (50.0, 63.0)
    )
    options = DesignOptions(policy="any", stock=stock, series="E12")
    found = [(round(1e6 * value, 2), id_) for value, id_ in _others("C", 1e-5, 63.0, options)]
    assert found == [(9.1, "KC-63"), (12.0, None), (8.2, None)]
    only = replace(options, policy="stock")
    assert [id_ for _, id_ in _others("C", 1e-5, 63.0, only)] == ["KC-63"]


def test_kinds_follow_the_rules_of_the_trade() -> None:
    """Film in the path of the high driver, air core up to 2.2 mH (common practice, no source)."""
    found = made("P-06")
    notes, lines = {note.label: note for note in put_together("P-06").parts}, {part.label: part for part in found.parts}
    for label, line in lines.items():
        if line.kind == "C" and line.branch == "high" and line.role == "series capacitor":
            assert notes[label].kind == "film capacitor"
        if line.kind == "L":
            assert ("air-core" in notes[label].kind) == (line.value <= 2.2e-3)
            assert notes[label].wire_mm and notes[label].most_ohm == pytest.approx(1.25 * line.resistance_ohm)
        if line.kind == "R":
            assert "resistor" in notes[label].kind and notes[label].wire_mm is None
    told = put_together("P-06")
    assert "get hot" in told.resistors and "1.5 dB under the rest" in told.shelf[0]


def test_the_baffle_shows_the_frames_of_the_sheets() -> None:
    """Faceplates and frame as the rows of HD-01 and LD-01 state them; unknown ones are drawn as large as they radiate, and said so."""
    case = demo_case("P-01")
    by_role = {frame.role: frame for frame in Setting(case).layout.frames}
    high, low = case.high, case.low
    assert (by_role["high"].width_m, by_role["high"].height_m) == (
        high.faceplate_width_m,
        high.faceplate_height_m or high.faceplate_width_m,
    )
    assert by_role["low"].width_m == low.frame_width_m and by_role["low"].size_known and by_role["high"].size_known
    bare = demo_case("P-01", high={"faceplate_width_m": None, "faceplate_height_m": None})
    shown = next(frame for frame in Setting(bare).layout.frames if frame.role == "high")
    assert (shown.width_m, shown.size_known) == (high.radiating_width_m, False)


def test_what_is_said_of_a_level_bass() -> None:
    case = demo_case("P-01", pairing={"shelf_db": 0.0, "crossover_hz": made("P-01").crossover_hz})
    network = assess(case).network
    assert network is not None and network.assembly is not None
    assert network.assembly.shelf[:2] == (
        "The bass is voiced level with the rest.",
        "Middle and treble come down to that, which is the level given up.",
    )


@pytest.mark.parametrize(
    ("pairing", "told"),
    (
        ({"placement": "in a wall", "shelf_db": None}, ("The bass is voiced level with the rest.",)),
        ({"placement": None, "shelf_db": 6.0}, ("Below about 575 Hz the bass is voiced 6 dB under the rest; the room makes that good.",)),
        ({"shelf_db": 6.0, "surroundings": "outdoors"}, ("Below about 575 Hz the bass is voiced 6 dB under the rest; outdoors nothing makes that good.",)),
        ({"shelf_db": 6.0, "surroundings": "vehicle"}, ("Below about 575 Hz the bass is voiced 6 dB under the rest; the vehicle makes that good.",)),
    ),
)  # fmt: skip
def test_where_there_is_no_step_to_fill_no_level_is_given_up(pairing: dict[str, Any], told: tuple[str, ...]) -> None:
    """In a wall there is half a space at all frequencies; with the whole step of 6 dB left in, nothing comes down to it."""
    case = demo_case("P-01", pairing={**pairing, "crossover_hz": made("P-01").crossover_hz})
    network = assess(case).network
    assert network is not None and network.assembly is not None
    assert tuple(text for text in network.assembly.shelf if not text.startswith("Without")) == told
