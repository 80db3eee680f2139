"""The five charts: legible for every demo pairing, within the engine's budget, and worded with their figures."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from reportgen.paper.charts import all_charts
from reportgen.paper.drawings import LINE_INKS
from reportgen.paper.lettering import dense
from tests.demo_catalogue import demo
from tests.paper.looks import assert_legible, polylines
from tests.paper.samples import VARIANTS, assessed, bare

TRACES = {"low", "high", "sum", "target", "reversed", "phase", "trace-1", "trace-2", "trace-3"}


@pytest.mark.parametrize("id_", sorted(demo().pairings))
def test_charts_of_the_demo_season_are_legible(id_: str) -> None:
    charts = all_charts(assessed(id_))
    assert [chart.heading.split(",")[0] for chart in charts] == [
        "On-axis response at the seat", "Impedance at the terminals", "Vertical coverage", "Directivity index", "Highest level",
    ]  # fmt: skip
    for chart in charts:
        assert_legible(chart.picture)
        assert len(chart.caption) > 60
        for path in chart.picture.paths:
            if path.ink in TRACES:
                assert path.data.count("L") <= 300


def test_every_trace_is_named_on_the_chart_itself() -> None:
    response, impedance, vertical, directivity, level = all_charts(assessed("P-01"))
    for chart, names in (
        (response, {"sum", "low driver", "high driver", "target", "one driver reversed"}),
        (impedance, {"modulus", "phase"}),
        (vertical, {"seated ear", "standing ear"}),
        (directivity, {"both", "low driver", "high driver"}),
        (level, {"reached"}),
    ):
        assert names <= {label.text for label in chart.picture.labels}


def test_a_trace_stands_where_its_level_is() -> None:
    # read the drawn sum back through the printed figures of the axes
    found = assessed("P-01")
    assert found.curves is not None
    picture = all_charts(found)[0].picture
    ticks = {label.text: label for label in picture.labels if label.ink == "faint"}
    y90, y50 = (ticks[t].y for t in ("80", "60"))
    x100, x1k = ticks["100"].x, ticks["1k"].x
    points = np.array(polylines(next(p.data for p in picture.paths if p.ink == "sum"))[0])
    hz = 100.0 * 10.0 ** ((points[:, 0] - x100) / (x1k - x100))
    db = 80.0 - (points[:, 1] - (y90 - 2.3)) * 20.0 / (y50 - y90)
    wanted = np.interp(np.log(hz), np.log(found.curves.frequency_hz), found.curves.sum_db)
    inside = (hz > 60.0) & (hz < 15000.0)
    assert np.max(np.abs(db - wanted)[inside]) < 0.25


def test_the_foot_of_the_level_chart_tells_what_limits_it() -> None:
    found = assessed("P-01")
    assert found.curves is not None
    caption = all_charts(found)[4].caption
    for cause in set(found.curves.max_level_cause):
        assert cause in caption


def test_curves_with_gaps_are_drawn_where_they_are_known() -> None:
    found = assessed("P-01")
    assert found.curves is not None
    holes = tuple(math.nan if i % 7 == 0 else v for i, v in enumerate(found.curves.sum_db))
    for chart in all_charts(found.with_curves(replace(found.curves, sum_db=holes, sum_index_db=holes))):
        assert_legible(chart.picture)


def test_no_curves_no_charts() -> None:
    assert all_charts(bare()) == ()


def test_charts_of_all_variants_are_legible() -> None:
    for make in VARIANTS.values():
        for chart in all_charts(make()):
            assert_legible(chart.picture)
    assert set(LINE_INKS) >= TRACES


@pytest.mark.parametrize("id_", sorted(demo().pairings))
def test_no_trace_of_the_impedance_runs_through_a_word(id_: str) -> None:
    found = assessed(id_)
    if found.curves is None:
        pytest.skip("nothing was designed")
    picture = next(chart.picture for chart in all_charts(found) if chart.heading.startswith("Impedance"))
    corners = [line for path in picture.paths if path.ink in ("sum", "phase") for line in polylines(path.data)]
    points = np.vstack([dense(np.array(line), 0.5) for line in corners])
    for label in picture.labels:
        left, top, right, bottom = label.box
        inside = (points > (left, top)).all(axis=1) & (points < (right, bottom)).all(axis=1)
        assert not inside.any(), label.text
