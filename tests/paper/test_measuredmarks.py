"""Marks of what is measured: a bar as long as the band, the file's name, and “modelled” where no file reaches."""

from __future__ import annotations

from dataclasses import replace

import pytest

from reportgen.paper.drawings import Pen
from reportgen.paper.lettering import Box, Room
from reportgen.paper.measuredmarks import file_of, mark_measured, words
from reportgen.paper.scales import Scale
from tests.demo_catalogue import demo_case
from tests.every import every
from tests.paper.looks import patches, polylines

X, Y = Scale(20.0, 20000.0, 24.0, 490.0, log=True), Scale(40.0, 85.0, 170.0, 12.0)


def marked(pairing: str) -> Pen:
    pen = Pen(500.0, 186.0)
    mark_measured(pen, X, Y, Room(Box(24.0, 12.0, 490.0, 170.0)), demo_case(pairing))
    return pen


def test_both_drivers_have_a_row_with_their_file() -> None:
    """LD-03 from 60 Hz to 20 kHz; HD-13 gated from 350 Hz."""
    case = demo_case("P-08")
    texts = [label.text for label in marked("P-08").labels]
    assert texts == ["HD-13 measured: HD-13 response.txt", "modelled", "LD-03 measured: LD-03 response.txt", "modelled"]
    at = {label.text: label.box for label in marked("P-08").labels}
    assert X.at(60.0) < at[texts[2]].left < X.at(80.0)
    assert X.at(15000.0) < at[texts[0]].right < X.at(float(case.curves["HD-13", "response"].frequency_hz[-1]))
    white = patches(marked("P-08").picture("x"))  # the bar would run through the words
    assert [
        box.grown(-0.3).inside(patch)
        for box, patch in zip((label.box for label in marked("P-08").labels), white, strict=True)
    ] == [True] * 4
    assert "LD-03 is measured from 60 Hz to 20 kHz (LD-03 response.txt)" in words(case).replace("\u00a0", " ")


def test_a_driver_without_a_file_is_modelled() -> None:
    assert next(label.text for label in marked("P-02").labels) == "HD-02 modelled"
    assert words(demo_case("P-02")).endswith("HD-02 is modelled.")


def test_nothing_is_marked_where_nothing_is_measured() -> None:
    assert marked("P-01").labels == [] and words(demo_case("P-01")) == ""
    assert marked("P-20").labels == [] and words(demo_case("P-20")) == ""  # of HD-02 the impedance alone
    bare = replace(demo_case("P-08"), curves={})
    assert words(bare) == ""


def bars(pen: Pen) -> dict[float, tuple[float, float]]:
    """Ends of each bar by the height of its row: from the first stroke to the last."""
    found: dict[float, list[float]] = {}
    for path in pen.picture("x").paths:
        for line in polylines(path.data) if path.ink == "frame" else []:
            found.setdefault(round((line[0][1] + line[-1][1]) / 2.0, 1), []).extend(x for x, _ in line)
    return {height: (min(places), max(places)) for height, places in found.items()}


def test_the_bar_of_each_driver_is_as_long_as_its_band_and_the_low_one_stands_above() -> None:
    """Rows of 8 points over a foot at 170: middles at 166 and 158; a band that goes on past the axis ends with it."""
    case = demo_case("P-08")
    bands = [case.curves[driver.id, "response"].frequency_hz for driver in (case.high, case.low)]
    ends = [(X.at(max(float(band[0]), 20.0)), X.at(min(float(band[-1]), 20000.0))) for band in bands]
    drawn = bars(marked("P-08"))
    assert [drawn[166.0], drawn[158.0]] == [pytest.approx(one, abs=0.1) for one in ends]
    narrow = Scale(100.0, 10000.0, 24.0, 490.0, log=True)
    pen = Pen(500.0, 186.0)
    mark_measured(pen, narrow, Y, Room(Box(24.0, 12.0, 490.0, 170.0)), case)
    assert bars(pen)[158.0] == pytest.approx((24.0, 490.0), abs=0.1)  # LD-03 is measured from 60 Hz to 20 kHz


@every("side", ["low", "high"])
def test_one_measured_driver_is_told_beside_a_modelled_one(side: str) -> None:
    case = demo_case("P-08")
    driver = case.low if side == "low" else case.high
    one = replace(case, curves={(driver.id, "response"): case.curves[driver.id, "response"]})
    said = words(one).replace("\u00a0", " ")
    assert f"{driver.id} is measured from " in said and said.count("is modelled") == 1
    pen = Pen(500.0, 186.0)
    mark_measured(pen, X, Y, Room(Box(24.0, 12.0, 490.0, 170.0)), one)
    assert [label.text for label in pen.labels if label.text.endswith(" modelled")] == [f"{(case.high if side == 'low' else case.low).id} modelled"]  # fmt: skip


def test_rows_of_marks_are_kept_free_of_names() -> None:
    room = Room(Box(24.0, 12.0, 490.0, 170.0))
    mark_measured(Pen(500.0, 186.0), X, Y, room, demo_case("P-08"))
    assert [tuple(box) for box in room.taken] == [(24.0, 162.0, 490.0, 170.0), (24.0, 154.0, 490.0, 162.0)]


@every("file", ["curves/a b.txt", "curves\\deep\\a b.txt", "a b.txt"])
def test_a_file_is_named_without_its_folder(file: str) -> None:
    case = demo_case("P-08")
    curve = replace(case.curves["LD-03", "response"], file=file)
    assert file_of(case.low, replace(case, curves={("LD-03", "response"): curve})) == "a b.txt"
    assert file_of(case.high, replace(case, curves={("LD-03", "response"): curve})) == ""
