"""The charts: legible for every demo pairing, within the engine's budget, and worded with their figures."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from reportgen.assessment import Assessment
from reportgen.paper.charts import all_charts as rows_of_charts
from reportgen.paper.charts import level_chart, response_chart
from reportgen.paper.drawings import LINE_INKS
from reportgen.paper.fields import Chart
from reportgen.paper.lettering import Label, dense
from tests.demo_catalogue import demo
from tests.every import every
from tests.paper.looks import assert_legible, polylines
from tests.paper.samples import VARIANTS, assessed, bare


def all_charts(found: Assessment) -> list[Chart]:
    return [chart for row in rows_of_charts(found) for chart in row]


TRACES = {"low", "high", "sum", "target", "reversed", "phase", "trace-1", "trace-2", "trace-3"}


@every("id_", sorted(demo().pairings))
def test_charts_of_the_demo_season_are_legible(id_: str) -> None:
    charts = all_charts(assessed(id_))
    headings = [chart.heading.split(",")[0] for chart in charts]
    assert headings[:4] == [
        "On-axis response at the seat", "Impedance at the terminals", "Highest level", "Vertical coverage near the crossover",
    ]  # fmt: skip
    assert headings[-1] == "Directivity index"
    beside = {"Sideways coverage near the crossover"} if assessed(id_).case.pairing.arrangement == "column" else set()
    assert beside <= set(headings[4:-1]) <= {"Vertical coverage at the top", "Sideways coverage at the top", *beside}
    for chart in charts:
        assert_legible(chart.picture)
        assert len(chart.caption) > 60
        for path in chart.picture.paths:
            if path.ink in TRACES:
                assert path.data.count("L") <= 300


def test_every_trace_is_named_on_the_chart_itself() -> None:
    response, impedance, level, vertical, directivity = all_charts(assessed("P-01"))
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
    caption = all_charts(found)[2].caption
    for cause in set(found.curves.max_level_cause):
        assert cause in caption


def test_curves_with_gaps_are_drawn_where_they_are_known() -> None:
    found = assessed("P-01")
    assert found.curves is not None
    holes = tuple(math.nan if i % 7 == 0 else v for i, v in enumerate(found.curves.sum_db))
    for chart in all_charts(found.with_curves(replace(found.curves, sum_db=holes, sum_index_db=holes))):
        assert_legible(chart.picture)


def test_no_curves_no_charts() -> None:
    assert all_charts(bare()) == []


def test_charts_of_all_variants_are_legible() -> None:
    for make in VARIANTS.values():
        for chart in all_charts(make()):
            assert_legible(chart.picture)
    assert set(LINE_INKS) >= TRACES


def crossed(chart: Chart) -> list[str]:
    """Words inside the field of a chart that a trace runs through."""
    corners = [line for path in chart.picture.paths if path.ink in (*TRACES, "wanted") for line in polylines(path.data)]
    points = np.vstack([dense(np.array(line), 0.5) for line in corners])
    found = []
    for label in chart.picture.labels:
        left, top, right, bottom = label.box.grown(-0.3)
        if ((points > (left, top)).all(axis=1) & (points < (right, bottom)).all(axis=1)).any():
            found.append(label.text)
    return found


@pytest.mark.parametrize("id_", sorted(demo().pairings))
def test_no_trace_runs_through_a_word(id_: str) -> None:
    for chart in all_charts(assessed(id_)):
        assert crossed(chart) == [], chart.heading


def test_the_detector_finds_a_word_on_a_trace() -> None:
    chart = all_charts(assessed("P-01"))[0]
    x, y = polylines(next(p.data for p in chart.picture.paths if p.ink == "sum"))[0][60]
    label = Label("word", x - 5.0, y + 2.0, "sum", 7.0)
    spoilt = replace(chart, picture=replace(chart.picture, labels=(label,)))
    assert crossed(spoilt) == ["sum"]


def test_a_decade_is_as_long_as_50_db_in_the_wide_chart_and_25_in_the_others() -> None:
    # IEC 60263: one decade of frequency as long as 50, 25 or 10 dB
    for chart, decibels in zip(all_charts(assessed("P-01")), (50.0, None, 25.0, None, 25.0), strict=True):
        if decibels is None:
            continue
        ticks = {label.text: label for label in chart.picture.labels if label.ink == "faint"}
        decade = ticks["10k"].x - ticks["1k"].x if "10k" in ticks else (ticks["5k"].x - ticks["500"].x)
        figures = sorted(
            (float(t.replace("−", "-")), label.y)
            for t, label in ticks.items()
            if t.lstrip("−").isdigit() and label.x < 22.0
        )
        (low, below), (high, above) = figures[0], figures[-1]
        assert decade / ((below - above) / (high - low)) == pytest.approx(decibels, rel=0.02), chart.heading


def test_phase_stands_on_the_lines_of_the_impedance() -> None:
    picture = all_charts(assessed("P-01"))[1].picture
    turns = sorted(label.y for label in picture.labels if label.text.endswith("°"))
    ohms = sorted(label.y for label in picture.labels if label.text.isdigit() and label.x < 22.0)
    assert turns == pytest.approx(ohms, abs=0.11)


def test_the_wish_is_drawn_over_the_band_that_is_judged() -> None:
    found = assessed("P-01")
    picture = all_charts(found)[2].picture
    ticks = {label.text: label.x for label in picture.labels if label.ink == "faint"}
    (start, _), (end, _) = polylines(next(p.data for p in picture.paths if p.ink == "wanted"))[0]
    assert found.design is not None
    decade = ticks["5k"] - ticks["500"]
    assert start == pytest.approx(ticks["1k"] + decade * math.log10(found.design.crossover_hz / 4000.0), abs=0.2)
    assert end == pytest.approx(ticks["1k"] + decade, abs=0.2)


def test_the_words_beside_a_picture_say_what_is_seen() -> None:
    for chart in all_charts(assessed("P-18")):
        assert "Hz" in chart.picture.alt, chart.heading
        assert re.search(r"\d", chart.picture.alt)


def highest_figure(chart: Chart) -> int:
    """The highest printed figure of a level axis, which has one every 10 dB."""
    texts = [label.text for label in chart.picture.labels if label.ink == "faint" and label.x < 22.0]
    return max(int(text) for text in texts if text.isdigit())


@every(("reached", "wished", "figure"), [(91.9, 80.0, 90), (92.1, 80.0, 100), (85.0, 92.1, 100)])
def test_the_highest_level_has_3_db_of_air_above_it(reached: float, wished: float, figure: int) -> None:
    """The axis ends at the next 5 dB: 91.9 + 3 = 94.9 under 95, where 90 is the last figure; 92.1 + 3 = 95.1 takes it to 100."""
    curves = assessed("P-01").curves
    assert curves is not None
    flat = replace(curves, max_level_db=tuple(reached for _ in curves.max_level_db), wanted_level_db=wished)
    assert highest_figure(level_chart(flat, 2000.0, 2.5)) == figure


@every(("level", "figure"), [(92.4, 90), (92.6, 100)])
def test_the_response_has_2_and_a_half_db_of_air_above_it(level: float, figure: int) -> None:
    found = assessed("P-01")
    assert found.network is not None and found.curves is not None
    flat = tuple(level for _ in found.curves.sum_db)
    curves = replace(found.curves, sum_db=flat, target_db=flat)
    assert highest_figure(response_chart(found.case, found.network, curves)) == figure
