"""Any record that the reader accepts can be assessed: a value, or CannotAssess with words, and only finite figures.

The values are drawn from the description of the columns: inside what is plausible, and far outside it.
"""

from __future__ import annotations

import json
import math
from dataclasses import fields, replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from reportgen.assessment import Assessment, assess
from reportgen.catalogue import columns
from reportgen.catalogue.columns import Column, Kind
from reportgen.catalogue.records import Case
from reportgen.commands.results import result_line
from reportgen.problems import CannotAssess
from tests.demo_catalogue import demo
from tests.trying import LONG

PAIRINGS = ["P-01", "P-02", "P-06", "P-08", "P-10", "P-12", "P-23", "P-20"]
KEPT = {"low_id", "high_id", "guide_id", "cabinet_id", "id", "technology", "fits", "rear_use", "chamber_m3"}
SHEET_OF = {"low": "Low drivers", "high": "High drivers", "guide": "Waveguides", "cabinet": "Cabinets", "pairing": "Pairings"}  # fmt: skip


def bounds(column: Column, far: float) -> tuple[float, float]:
    """Smallest and largest value drawn, in the workbook's unit, `far` decades outside what is plausible."""
    low, high = column.plausible or (column.above or column.at_least or 1.0, column.at_most or 100.0)
    if low > 0.0 and column.unit not in ("dB", "dB 2.83V/1m"):
        low, high = low * 10.0**-far, high * 10.0**far
    else:
        reach = (high - low) * far
        low, high = low - reach, high + reach
    if column.at_least is not None:
        low = max(low, column.at_least)
    if column.above is not None:
        low = max(low, column.above + 1e-9)
    return low, min(high, column.at_most) if column.at_most is not None else high


def numbers(column: Column, far: float) -> st.SearchStrategy[float]:
    low, high = bounds(column, far)
    if low > 0.0 and high / low > 3.0:
        return st.floats(math.log(low), math.log(high)).map(lambda x: math.exp(x) * column.factor)
    return st.floats(low, high).map(lambda x: x * column.factor)


def values(column: Column, far: float) -> st.SearchStrategy[Any]:
    """What may stand in a cell, as the reader hands it on."""
    found: st.SearchStrategy[Any]
    if column.kind is Kind.NUMBER:
        found = numbers(column, far)
    elif column.kind is Kind.COUNT:
        found = st.integers(int(column.at_least or 0), int(column.at_most or 40))
    elif column.kind is Kind.CHOICE:
        found = st.sampled_from(column.choices)
    else:
        found = st.booleans()
    empty = not column.required and column.default is None
    return found | st.none() if empty else found


@st.composite
def changed(draw: st.DrawFn, record: Any, sheet: str, far: float, most: int) -> Any:
    """A record with some of its cells drawn anew."""
    kinds = (Kind.NUMBER, Kind.COUNT, Kind.CHOICE, Kind.YES_NO)
    open_ = [c for c in columns.sheet(sheet).columns if c.kind in kinds and c.field not in KEPT]
    picked = draw(st.lists(st.sampled_from(open_), max_size=most, unique_by=lambda c: c.field))
    return replace(record, **{c.field: draw(values(c, far)) for c in picked})


def as_read(case: Case) -> Case:
    """The case with what the reader would turn down mended."""
    high, pairing, cabinet = case.high, case.pairing, case.cabinet
    if high.shape == "round":
        high = replace(high, radiating_height_m=None)
    elif high.radiating_height_m is None:
        high = replace(high, radiating_height_m=high.radiating_width_m)
    if high.rear != "removable":
        pairing = replace(pairing, rear_use="as supplied")
    if pairing.arrangement == "low-high-low":
        pairing = replace(pairing, low_count=pairing.low_count + pairing.low_count % 2)
    for side in ("low", "high"):
        count, wiring = getattr(pairing, f"{side}_count"), getattr(pairing, f"{side}_wiring")
        if wiring == "series-parallel" and not any(count % rows == 0 for rows in range(2, count)):
            pairing = replace(pairing, **{f"{side}_wiring": "parallel"})
    if cabinet.high_from_top_m is not None and cabinet.high_from_top_m >= cabinet.baffle_height_m:
        cabinet = replace(cabinet, high_from_top_m=0.9 * cabinet.baffle_height_m)
    if abs(cabinet.offset_m) >= cabinet.baffle_width_m / 2:
        cabinet = replace(cabinet, offset_m=0.45 * cabinet.baffle_width_m)
    return replace(case, high=high, pairing=pairing, cabinet=cabinet)


@st.composite
def cases(draw: st.DrawFn, far: float, most: int) -> Case:
    """A demo pairing with cells of any of its rows drawn anew."""
    case = demo().case(demo().pairings[draw(st.sampled_from(PAIRINGS))])
    parts = {
        name: draw(changed(getattr(case, name), sheet, far, most))
        for name, sheet in SHEET_OF.items()
        if getattr(case, name) is not None
    }
    return as_read(replace(case, **parts))


def figures(value: Any) -> list[float]:
    """Every number in a value, however deep."""
    if isinstance(value, bool | str) or value is None:
        return []
    if isinstance(value, int | float):
        return [float(value)]
    if isinstance(value, tuple):
        return [number for one in value for number in figures(one)]
    if hasattr(value, "__dataclass_fields__"):
        return [number for field in fields(value) for number in figures(getattr(value, field.name))]
    return []


def hold(case: Case) -> Assessment | None:
    """Assess a case and hold what comes out; None where it says that it cannot."""
    try:
        found = assess(case)
    except CannotAssess as error:
        assert case.pairing.id in str(error)
        return None
    for part in (
        found.checks,
        found.limits,
        found.curves,
        found.electrical,
        found.spread,
        found.network and found.network.readings,
        found.price,
    ):
        assert all(math.isfinite(number) for number in figures(part))
    for check in found.checks:
        assert check.text and " nan" not in check.text and " inf" not in check.text
    json.loads(result_line(found))
    return found


EXAMPLES = 40 if LONG else 4
RUNS = settings(deadline=None, suppress_health_check=list(HealthCheck), database=None, derandomize=True)


def test_plausible_records() -> None:
    """Most of them lead to a network, so that the figures held are those of networks too."""
    designed: list[bool] = []

    @settings(RUNS, max_examples=EXAMPLES)
    @given(cases(far=0.0, most=4))
    def run(case: Case) -> None:
        found = hold(case)
        designed.append(found is not None and found.design is not None)

    run()
    assert sum(designed) >= 0.7 * len(designed)


@settings(RUNS, max_examples=EXAMPLES)
@given(cases(far=2.0, most=6))
def test_records_far_outside_the_plausible(case: Case) -> None:
    hold(case)


EDGES: dict[str, dict[str, dict[str, Any]]] = {
    "crossover at 80 Hz": {"pairing": {"crossover_hz": 80.0, "slope": "LR8"}},
    "crossover at 15 kHz": {"pairing": {"crossover_hz": 15000.0}},
    "first order at 10 kHz": {"pairing": {"crossover_hz": 10000.0, "slope": "BW1"}},
    "crossover at nothing": {"pairing": {"crossover_hz": 1e-6}},
    "many drivers": {"pairing": {"low_count": 16, "high_count": 32}},
    "a stamp for a baffle": {"cabinet": {"baffle_width_m": 1e-4, "baffle_height_m": 1e-4, "high_from_top_m": 5e-5}},
    "a house for a baffle": {"cabinet": {"baffle_width_m": 40.0, "baffle_height_m": 400.0}},
    "a high driver off the baffle": {"cabinet": {"high_from_top_m": -0.2}},
    "low drivers below the floor": {"pairing": {"centre_spacing_m": 3.0}},
    "a seat at hand": {"pairing": {"distance_m": 0.3}},
    "a seat in the driver": {"pairing": {"distance_m": 1e-9, "ear_height_m": 1.0}},
    "ears far above": {"pairing": {"ear_height_m": 30.0}},
    "the whole half space as window": {
        "pairing": {"vertical_half_window_rad": math.pi / 2, "horizontal_half_window_rad": math.pi / 2}
    },
    "no window": {"pairing": {"vertical_half_window_rad": 1e-9, "horizontal_half_window_rad": 1e-9}},
    "leaning over the seat": {
        "cabinet": {"tilt_rad": -math.pi / 6, "baffle_height_m": 1.2},
        "pairing": {"distance_m": 0.3},
    },
    "a mile of foil": {"high": {"shape": "rectangular", "radiating_height_m": 1600.0, "radiating_width_m": 0.01}},
    "no box": {"cabinet": {"net_volume_m3": 1e-12}},
    "a decimal point lost": {"low": {"sensitivity_db": 8860.0}},
    "a driver of nothing": {"low": {"re_ohm": 1e-9, "diaphragm_area_m2": 1e-12}},
    "silence": {"pairing": {"peak_level_db": -500.0, "amplifier_power_w": 1e-9}},
}


@pytest.mark.filterwarnings("error::RuntimeWarning")
@pytest.mark.parametrize("name", EDGES)
def test_edges(name: str) -> None:
    hold(as_read(changed_by(demo().case(demo().pairings["P-01"]), EDGES[name])))


def changed_by(case: Case, parts: dict[str, dict[str, Any]]) -> Case:
    return replace(case, **{part: replace(getattr(case, part), **values) for part, values in parts.items()})


def test_a_decimal_point_lost_is_told_with_the_rows_to_look_at() -> None:
    case = changed_by(demo().case(demo().pairings["P-01"]), EDGES["a decimal point lost"])
    with pytest.raises(
        CannotAssess, match=r"P-01: nothing can be calculated from its figures .* LD-01, HD-01 and CB-01"
    ):
        assess(case)
