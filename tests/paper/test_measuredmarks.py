"""Marks of what is measured: a bar as long as the band, the file's name, and “modelled” where no file reaches."""

from __future__ import annotations

from dataclasses import replace

from reportgen.paper.drawings import Pen
from reportgen.paper.lettering import Box, Room
from reportgen.paper.measuredmarks import mark_measured, words
from reportgen.paper.scales import Scale
from tests.demo_catalogue import demo_case

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
    assert "LD-03 is measured from 60 Hz to 20 kHz (LD-03 response.txt)" in words(case).replace("\u00a0", " ")


def test_a_driver_without_a_file_is_modelled() -> None:
    assert next(label.text for label in marked("P-02").labels) == "HD-02 modelled"
    assert words(demo_case("P-02")).endswith("HD-02 is modelled.")


def test_nothing_is_marked_where_nothing_is_measured() -> None:
    assert marked("P-01").labels == [] and words(demo_case("P-01")) == ""
    bare = replace(demo_case("P-08"), curves={})
    assert words(bare) == ""
