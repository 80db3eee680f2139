"""What stands in for empty cells, and what hangs on it."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np
import pytest

from reportgen.advice.foresight import Foresight
from reportgen.assessment import Assessment, assess
from reportgen.catalogue.records import Case, MeasuredCurve, Practice
from reportgen.pairing.as_used import Setting
from reportgen.pairing.filled_in import otherwise, unsure_cells
from reportgen.pairing.network import target_db
from reportgen.pairing.response import FREQUENCY_HZ, Model
from reportgen.pairing.sums import Sums, db
from reportgen.pairing.voiced import voicing_of
from reportgen.suitability.assumptions import all_assumptions
from tests.demo_catalogue import demo
from tests.every import every


def case(pairing: str, low: dict[str, None] | None = None, high: dict[str, None] | None = None) -> Case:
    found = demo().case(demo().pairings[pairing])
    return replace(found, low=replace(found.low, **(low or {})), high=replace(found.high, **(high or {})))


def complete(found: Assessment) -> str:
    return next((check.outcome for check in found.checks if check.id == "data complete"), "")


def test_a_cone_counts_as_deep_as_is_usual_for_its_size() -> None:
    empty = case("P-01", {"centre_depth_m": None})
    assert empty.low.diaphragm_area_m2 == pytest.approx(0.0130)  # 128.7 mm across; 0.22 of that is 28.3 mm
    assert Setting(empty).low_depth_m == pytest.approx(0.22 * 2.0 * (0.0130 / pi) ** 0.5)
    assert Setting(case("P-01", high={"centre_depth_m": None})).high_depth_m == 0.008


def test_the_ends_are_told_apart_by_their_way_to_the_seat() -> None:
    """A centre 6 % of 128.7 mm, 7.7 mm, further back is heard that much later: 2 pi f 7.7 mm / c of phase, straight ahead of it."""
    model = Model(Setting(case("P-01", {"centre_depth_m": None})))
    near, far = model.otherwise
    turned = np.unwrap(np.angle(far.low_side.response / model.low_side.response))
    way = -turned / (2.0 * pi * FREQUENCY_HZ / model.setting.air.speed_m_s)
    middle = (FREQUENCY_HZ > 500.0) & (FREQUENCY_HZ < 5000.0)
    assert way[middle] == pytest.approx(0.06 * 0.1287, rel=0.05)
    assert near.setting.low_depth_m < model.setting.low_depth_m < far.setting.low_depth_m


def test_nothing_is_filled_in_where_all_is_stated() -> None:
    found = assess(case("P-19"), drawn=False)
    assert found.network is not None and found.network.unsure is None and complete(found) == ""


def test_an_even_network_hangs_on_nothing_that_was_filled_in_and_an_uneven_one_does() -> None:
    found = assess(case("P-19", {"centre_depth_m": None}), drawn=False)
    assert found.network is not None and found.network.unsure is not None
    limit = found.case.practice["sum deviation limit"]
    assert (complete(found) == "pass") == (found.network.unsure.worst_db <= limit)
    rules = found.case.practice.rules
    strict = Practice({**rules, "sum deviation limit": replace(rules["sum deviation limit"], value=0.1)})
    assert complete(assess(replace(found.case, practice=strict), drawn=False)) == "not assessed"


def test_what_hangs_on_a_network_bars_no_change_before_there_is_one() -> None:
    """A plain yes may be looked for with the depth of a centre unknown; the quick look must leave it open."""
    found = assess(case("P-19", {"centre_depth_m": None}), drawn=False)
    assert found.verdict.word == "suitable"
    assert Foresight(found, plainly=True).open_(found.case)
    unboxed = replace(found.case, low=replace(found.case.low, vas_m3=None))
    assert not Foresight(assess(unboxed, drawn=False), plainly=True).open_(unboxed)


def test_what_is_at_the_ends_is_what_the_same_network_does_on_such_drivers() -> None:
    """The figure is that of the network as built, heard on drivers whose cell is stated at either end."""
    empty = case("P-05", {"centre_depth_m": None})
    found = assess(empty, drawn=False)
    network, design, worst = found.network, found.design, []
    assert network is not None and network.unsure is not None and design is not None
    near = np.abs(np.log2(FREQUENCY_HZ / design.crossover_hz)) <= 1.0001
    for share in (0.16, 0.28):
        depth = share * 2.0 * (empty.low.diaphragm_area_m2 / pi) ** 0.5
        sums = Sums(Model(Setting(replace(empty, low=replace(empty.low, centre_depth_m=depth)))), design)
        off = db(sums.low + sums.high) - target_db(design, voicing_of(Model(Setting(empty))))
        worst.append(float(np.abs(off[near]).max()))
    assert network.unsure.worst_db == pytest.approx(max(worst), abs=1e-6)
    assert network.unsure.worst_db > network.sum_deviation_db


@every(
    ("band_hz", "unsure"),
    [((100, 20000), ()), ((100, 3000), ("Le",)), ((2500, 20000), ("Qms", "Qes")), ((2500, 5000), ("Le", "Qms", "Qes"))],
)
def test_an_impedance_file_settles_what_it_reaches(band_hz: tuple[float, float], unsure: tuple[str, ...]) -> None:
    """A dome of 1100 Hz: a file from 2500 Hz tells nothing of its resonance, one up to 3 kHz nothing of its coil."""
    open_ = case("P-01", high={"le_h": None, "qms": None, "qes": None})
    f = np.geomspace(*band_hz, 60)
    curve = MeasuredCurve(f, np.full_like(f, 6.0), None, "z.txt")
    measured = replace(open_, curves={(open_.high.id, "impedance"): curve})
    cells = unsure_cells(measured, horn_driver=False)
    assert len(cells) == len(unsure) and all(text.startswith(name) for name, text in zip(unsure, cells, strict=True)), (
        cells
    )
    assert len(list(otherwise(measured, horn_driver=False))) == 2 * (("Le" in unsure) + ("Qms" in unsure))
    text = " ".join(all_assumptions(Setting(measured)))
    assert "mH where nothing was measured." in text and "impedance peak where nothing was measured." in text
    assert "where nothing was measured" not in " ".join(all_assumptions(Setting(open_)))
