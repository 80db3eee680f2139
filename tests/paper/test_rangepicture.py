"""The range picture, for any set of limits."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from reportgen.paper.rangepicture import axis_strip, common_axis, range_picture, range_strip
from reportgen.suitability.limits import Limit
from reportgen.suitability.verdict import UsableRange, best_crossover_hz, usable_range
from tests.paper.looks import assert_legible, polylines
from tests.paper.samples import VARIANTS, assessed
from tests.trying import LONG

TITLES = ("Resonance", "Travel", "Heat", "Maker's lowest use", "Kind of driver", "Low driver's coverage",
          "Cone break-up", "A limit with a title far too long for any bar of a picture this size")  # fmt: skip


@st.composite
def limits(draw: st.DrawFn) -> list[Limit]:
    found = []
    for number in range(draw(st.integers(0, 14))):
        hz = draw(st.one_of(st.none(), st.floats(60.0, 30000.0)))
        spread = (hz * 0.9, hz * 1.1) if hz is not None and draw(st.booleans()) else None
        side = draw(st.sampled_from(["low", "high"]))
        found.append(Limit(f"limit {number}", draw(st.sampled_from(TITLES)), side, hz, "", "", spread_hz=spread))
    return found


@settings(max_examples=300 if LONG else 60, deadline=None)
@given(limits(), st.booleans())
def test_any_set_of_limits_is_legible(some: list[Limit], chosen: bool) -> None:
    found = usable_range(some)
    picture = range_picture(some, found, best_crossover_hz(found) if chosen else None)
    assert_legible(picture)
    words = " ".join(label.text for label in picture.labels)
    for limit in some:
        assert limit.title[:12] in words
    assert words.count("not assessed") == sum(limit.hz is None for limit in some)


def test_bars_end_where_the_limit_is() -> None:
    # the axis is logarithmic: equal ratios take equal lengths (arithmetic on the drawn path)
    some = [
        Limit("a", "A", "low", 1000.0, "", ""),
        Limit("b", "B", "high", 4000.0, "", ""),
        Limit("c", "C", "high", 2000.0, "", ""),
    ]
    picture = range_picture(some, usable_range(some), 1414.2)
    bars = {}
    for path in picture.paths:
        if path.ink in ("bar", "bar-binding"):
            for piece in path.data.split("M")[1:]:
                x, rest = piece.split(" ", 1)
                bars.setdefault(path.ink, []).append((float(x), float(rest.split("h")[1].split("v")[0])))
    low_end = next(x + width for x, width in bars["bar-binding"] if x < 10.0)
    high_end = next(x for x, _ in bars["bar-binding"] if x > 10.0)
    further = bars["bar"][0][0]
    assert abs((high_end - low_end) - (further - high_end)) < 0.3
    chosen = next(path for path in picture.paths if path.ink == "chosen")
    assert abs(polylines(chosen.data)[0][0][0] - (low_end + high_end) / 2.0) < 0.3


def test_binding_limits_are_dark_and_the_range_lies_between() -> None:
    found = assessed("P-01")
    picture = range_picture(found.limits, found.found_range, found.crossover_hz)
    assert {"bar-binding", "range", "chosen"} <= {path.ink for path in picture.paths}
    assert any(label.ink == "reversed-strong" for label in picture.labels)


def test_an_empty_range_is_said_in_words_and_hatched() -> None:
    some = [Limit("a", "A", "low", 3000.0, "", ""), Limit("b", "B", "high", 2000.0, "", "")]
    picture = range_picture(some, usable_range(some), 2449.5)
    assert any("overlap by 0.58 octave" in label.text for label in picture.labels)  # lg2(3000/2000) = 0.585
    assert "range" not in {path.ink for path in picture.paths}


def test_every_demo_picture_is_legible() -> None:
    for make in VARIANTS.values():
        found = make()
        picture = range_picture(found.limits, found.found_range, found.crossover_hz)
        assert_legible(picture)
        for path in picture.paths:
            if path.ink == "chosen" and not found.found_range.empty:  # where limits overlap, bars and words cross it
                (x, top), (_, bottom) = polylines(path.data)[0]
                labels = [one for one in picture.labels if top < one.y < bottom]
                assert [one.text for one in labels if one.box.left < x < one.box.right] == []


@settings(max_examples=300 if LONG else 30, deadline=None)
@given(st.lists(st.floats(100.0, 20000.0), min_size=1, max_size=6), st.booleans(), st.booleans())
def test_strips_share_their_axis(hz: list[float], open_low: bool, open_high: bool) -> None:
    axis = common_axis(hz, 6.0, 154.0)
    assert_legible(axis_strip(axis, 160.0))
    low, high = None if open_low else hz[0], None if open_high else hz[-1]
    assert_legible(range_strip(axis, UsableRange(low, high, None, None), hz[0], 160.0))


def test_a_strip_is_told_with_units_as_they_are_written() -> None:
    strip = range_strip(
        common_axis([100.0, 9000.0], 6.0, 150.0), UsableRange(1200.0, 4800.0, None, None), 2470.0, 160.0
    )
    assert strip.alt == "Usable 1200 to 4800\u00a0Hz, 2.00 octave, crossover 2470\u00a0Hz"
