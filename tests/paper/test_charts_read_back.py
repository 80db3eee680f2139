"""Every trace of every chart read back through the printed figures of its axes: straight lines, invented, each at levels of its own.

A straight line over the logarithm of the frequency stays one on paper, so that two of its points tell it all.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest

from reportgen.acoustics.slopes import SLOPES
from reportgen.assessment import Assessment
from reportgen.catalogue.columns import ARRANGEMENTS
from reportgen.pairing.curves import Curves
from reportgen.paper.charts import all_charts, directivity_chart, impedance_chart, level_chart, response_chart
from reportgen.paper.coverage import coverage_charts
from reportgen.paper.drawings import Picture
from reportgen.paper.fields import Chart
from reportgen.paper.lettering import Label
from tests.every import every
from tests.paper.looks import polylines
from tests.paper.samples import assessed

HZ = tuple(20.0 * 10.0 ** (step / 40.0) for step in range(121))
"""20 Hz to 20 kHz."""

Line = tuple[float, float]
"""What a trace has at 20 Hz and at 20 kHz, or at the lowest and the highest angle."""

RESPONSE = {"low": (84.0, 62.0), "high": (58.0, 86.0), "sum": (82.0, 88.0), "target": (80.0, 85.0), "reversed": (70.0, 75.0)}  # fmt: skip
INDEX = {"low": (1.0, 7.0), "high": (3.0, 9.0), "sum": (0.5, 9.5)}
OHM, TURN = (4.5, 40.0), (-60.0, 45.0)
REACHED, WANTED = (88.0, 108.0), 96.0
CAUSES = ("travel",) * 40 + ("heat",) * 41 + ("the amplifier",) * 40


def straight(line: Line, along: Sequence[float] = HZ) -> tuple[float, ...]:
    """A trace that is straight over the logarithm of the frequency."""
    share = np.log(np.array(along) / along[0]) / math.log(along[-1] / along[0])
    return tuple((line[0] + share * (line[1] - line[0])).tolist())


def curves(**other: Any) -> Curves:
    found = assessed("P-01").curves
    assert found is not None
    levels = {f"{name}_db": straight(line) for name, line in RESPONSE.items()}
    indices = {f"{name}_index_db": straight(line) for name, line in INDEX.items()}
    usual: dict[str, Any] = {
        "impedance_ohm": tuple(2.0**z for z in straight((math.log2(OHM[0]), math.log2(OHM[1])))),
        "impedance_phase_rad": tuple(map(math.radians, straight(TURN))), "max_level_db": straight(REACHED),
        "max_level_cause": CAUSES, "wanted_level_db": WANTED,
    }  # fmt: skip
    return replace(found, frequency_hz=HZ, **{**levels, **indices, **usual, **other})


def worked_out() -> Assessment:
    """P-01 crossed at 2000 Hz, with the curves above and builds 1 dB under and 3 dB over 70 dB."""
    found = assessed("P-01")
    assert found.design is not None and found.network is not None
    spread = replace(found.network.spread, frequency_hz=HZ, low_db=(69.0,) * 121, high_db=(73.0,) * 121)
    design = replace(found.design, crossover_hz=2000.0, sum_worst_db=-1.24, null_db=-21.6)
    network = replace(found.network, design=design, curves=curves(), spread=spread)
    return replace(found, network=network, crossover_hz=2000.0)


def figure(text: str) -> float | None:
    """A printed figure of an axis as a number: 1k, 20 kHz, −24, 6 dB, 45°; None for a word."""
    match = re.fullmatch(r"(−?[\d.]+)(k)?\s?(k?)(?:Hz|dB|°)?", text.replace("\u00a0", " "))
    if match is None:
        return None
    return float(match[1].replace("−", "-")) * (1e3 if match[2] or match[3] else 1.0)


@dataclass(frozen=True)
class Axis:
    """An axis as it is printed: where it has which figure (points), `log` where equal ratios take equal lengths."""

    figures: tuple[tuple[float, float], ...]
    log: bool

    def of(self, place: float) -> float:
        """The value at a place."""
        (one, low), (other, high) = self.figures[0], self.figures[-1]
        share = (place - one) / (other - one)
        return low * (high / low) ** share if self.log else low + share * (high - low)

    @property
    def even(self) -> bool:
        """Whether every figure stands where the first and the last say (to the tenth that is written)."""
        return all(self.of(at) == pytest.approx(value, rel=0.01, abs=0.05) for at, value in self.figures)


def field(picture: Picture) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of the field."""
    data = next(path.data for path in picture.paths if path.ink == "frame")
    match = re.match(r"M(\S+) (\S+)h([\d.]+)v([\d.]+)h", data)
    assert match is not None
    left, top, width, height = map(float, match.groups())
    return left, top, left + width, top + height


def axis(picture: Picture, which: str, log: bool = False) -> Axis:
    """The figures under the field ("foot"), left of it, or right of it ("phase" and "1 m")."""
    left, top, right, foot = field(picture)

    def at(label: Label) -> float | None:
        if which == "foot":
            return label.x if abs(label.y - foot - 9.5) < 0.11 and label.anchor == "middle" else None
        if not top - 0.11 <= label.y - 2.3 <= foot + 0.11:
            return None
        beside = {"left": label.x == pytest.approx(left - 3.0, abs=0.11), "right": label.x > right}[which]
        return label.y - 2.3 if beside else None

    found = [(place, value) for one in picture.labels if one.ink == "faint" and (place := at(one)) is not None and (value := figure(one.text)) is not None]  # fmt: skip
    return Axis(tuple(sorted(found)), log)


def traces(picture: Picture, ink: str) -> list[tuple[float, float]]:
    """The corners of a trace, without the piece of line (13 points) before its name."""
    lines = [line for path in picture.paths if path.ink == ink for line in polylines(path.data)]
    return [
        point
        for line in lines
        if not (len(line) == 2 and line[0][1] == line[1][1] and line[1][0] - line[0][0] == pytest.approx(13.0, abs=0.11))
        for point in line
    ]  # fmt: skip


def told(picture: Picture, ink: str, x: Axis, y: Axis) -> list[tuple[float, float]]:
    """A trace in the values of the axes."""
    return [(x.of(across), y.of(up)) for across, up in traces(picture, ink)]


def share(hz: float) -> float:
    """Where a frequency lies between 20 Hz and 20 kHz."""
    return math.log10(hz / 20.0) / 3.0


def follows(points: Sequence[tuple[float, float]], line: Line, within: float, ends_hz: tuple[float, float]) -> bool:
    """Whether a trace goes from end to end along a line."""
    near = all(value == pytest.approx(line[0] + share(hz) * (line[1] - line[0]), abs=within) for hz, value in points)
    return near and (points[0][0], points[-1][0]) == pytest.approx(ends_hz, rel=0.01)


def test_each_trace_of_the_response_stands_at_its_own_level() -> None:
    """45 dB over three decades; the spread of 4 dB from 69 to 73 dB; the right scale 20 lg 2.5 = 8.0 dB higher at 2.5 m."""
    found = worked_out()
    case = replace(found.case, pairing=replace(found.case.pairing, distance_m=2.5))
    assert found.network is not None
    chart = response_chart(case, found.network, curves())
    x, y, near = (axis(chart.picture, which, log) for which, log in (("foot", True), ("left", False), ("right", False)))
    assert x.even and y.even and near.even
    for ink, line in RESPONSE.items():
        assert follows(told(chart.picture, ink, x, y), line, 0.05, (20.0, 20000.0)), ink
    builds = [(x.of(a), y.of(b)) for a, b in traces(chart.picture, "spread")]
    assert {round(level) for _, level in builds} == {69, 73}
    assert min(hz for hz, _ in builds) == pytest.approx(20.0, rel=0.01)
    assert near.of(y.figures[0][0]) - y.figures[0][1] == pytest.approx(8.0, abs=0.51)  # whole dB are printed
    assert "crossover 2000 Hz" in {label.text.replace("\u00a0", " ") for label in chart.picture.labels}
    (line,) = (path for path in chart.picture.paths if path.ink == "chosen")
    assert {round(x.of(across), -1) for across, _ in polylines(line.data)[0]} == {2000.0}
    assert "keeps to 1.2 dB of the target; with one driver reversed it falls by 22 dB" in chart.caption
    odd = replace(found.network, design=replace(found.network.design, slope=SLOPES["BW3"]))
    caption = response_chart(case, odd, curves()).caption
    assert "keeps to 1.2 dB of the target. With BW3 both" in caption and "reversing one leaves no notch" in caption
    assert chart.heading == "On-axis response at the seat, 2.5 m, 2.83 V; on the right, referred to 1 m"
    assert [(one.ink, one.shows) for one in chart.key] == [("spread", "where nine builds in ten lie")]


def test_the_words_of_the_response_are_its_levels() -> None:
    """At 2000 Hz, two thirds of the way: 84 - 14.7 = 69.3, 58 + 18.7 = 76.7, 82 + 4 = 86.0 dB; at 200 Hz, one third: 84.0 dB."""
    (response,), *_ = all_charts(worked_out())
    alt = response.picture.alt.replace("\u00a0", " ")
    run = {50: 82.8, 100: 83.4, 200: 84.0, 500: 84.8, 1000: 85.4, 2000: 86.0, 5000: 86.8}
    told_sum = ", ".join(f"{hz} Hz {level} dB" for hz, level in run.items())
    assert alt == (
        "Level over frequency of the low driver, the high driver, their sum, the target, and the sum with one driver reversed. "
        f"At the crossover, 2000 Hz: low 69.3 dB, high 76.7 dB, sum 86.0 dB. The sum: {told_sum}, 10 kHz 87.4 dB."
    )
    short = curves()
    few = tuple(n for n, hz in enumerate(HZ) if 90.0 < hz < 3000.0)
    cut = {name: tuple(getattr(short, name)[n] for n in few) for name in ("frequency_hz", "low_db", "high_db", "sum_db", "target_db", "reversed_db")}  # fmt: skip
    found = worked_out()
    assert found.network is not None
    alt = response_chart(found.case, found.network, replace(short, **cut)).picture.alt
    assert [part.split("\u00a0Hz")[0] for part in alt.partition("The sum: ")[2].split(", ")] == ["100", "200", "500", "1000", "2000"]  # fmt: skip


@every(("standing", "bound"), [(12.0, 25.0), (17.0, 25.0), (18.0, 30.0), (-30.0, 40.0), (70.0, 60.0)])
def test_the_angles_reach_8_degrees_beyond_the_standing_ear(standing: float, bound: float) -> None:
    """To the next 5 degrees, 25 at least, and no farther than was worked out: 60."""
    found = replace(arcs((2.0, 2.0), (2.0, 2.0)), standing_angle_rad=math.radians(standing))
    picture = covered(found)[0].picture
    y = axis(picture, "left")
    _, top, _, foot = field(picture)
    assert (y.of(top), y.of(foot)) == pytest.approx((bound, -bound), abs=0.3)
    if abs(standing) <= 60.0:
        assert "standing ear" in {label.text for label in picture.labels}


@every(("least", "most", "top"), [(4.5, 40.0, 64.0), (4.5, 70.0, 256.0), (3.0, 20.0, 32.0), (1.5, 10.0, 16.0), (4.1, 8.0, 32.0)])  # fmt: skip
def test_impedance_and_phase_stand_on_their_own_scales(least: float, most: float, top: float) -> None:
    """Four octaves up from the power of two under the least, six where the highest does not fit: 4 to 64, 4 to 256, 2 to 32 ohm.

    4.1 x 0.97 = 3.98 ohm leaves no air over 4: from 2 ohm on.
    """
    ohm = tuple(2.0**z for z in straight((math.log2(least), math.log2(most))))
    electrical = assessed("P-01").electrical
    assert electrical is not None
    picture = impedance_chart(curves(impedance_ohm=ohm), electrical, 2000.0).picture
    x, y, turn = axis(picture, "foot", True), axis(picture, "left", True), axis(picture, "right")
    assert x.even and y.even and turn.even
    assert y.figures[0][1] == top
    assert (turn.figures[0][1], turn.figures[-1][1]) == (90.0, -90.0)
    modulus = [(hz, math.log2(z)) for hz, z in told(picture, "sum", x, y)]
    assert follows(modulus, (math.log2(least), math.log2(most)), 0.03, (20.0, 20000.0))
    assert follows(told(picture, "phase", x, turn), TURN, 1.0, (20.0, 20000.0))


@every(
    ("rated", "words"),
    [(4.0, "Lowest 3.4 Ω at 3000 Hz; that allows a rating of 4 Ω. Largest phase 52°."), (0.0, "Lowest 3.4 Ω at 3000 Hz; that is below every customary rating. Largest phase 52°.")],
)  # fmt: skip
def test_the_least_impedance_is_marked_where_it_is(rated: float, words: str) -> None:
    electrical = assessed("P-01").electrical
    assert electrical is not None
    least = replace(electrical, minimum_ohm=3.42, minimum_hz=3000.0, rated_ohm=rated, largest_phase_rad=math.radians(52.0))  # fmt: skip
    ohm = tuple(3.42 if 2900.0 < hz < 3100.0 else z for hz, z in zip(HZ, curves().impedance_ohm, strict=True))
    chart = impedance_chart(curves(impedance_ohm=ohm), least, 2000.0)
    x, y = axis(chart.picture, "foot", True), axis(chart.picture, "left", True)
    (dot,) = (path.data for path in chart.picture.paths if path.ink == "dot")
    left, middle = map(float, dot[1:].split("a")[0].split())
    assert (x.of(left + 2.0), y.of(middle)) == pytest.approx((3000.0, 3.42), rel=0.02)
    assert chart.caption.replace("\u00a0", " ").endswith(words)
    assert "3.4 Ω at 3000 Hz" in [label.text.replace("\u00a0", " ") for label in chart.picture.labels]


def test_directivity_stands_three_octaves_about_the_crossover() -> None:
    """250 Hz to 16 kHz about 2000 Hz; each index from a third of a decade under a third of the way on."""
    picture = directivity_chart(curves(), 2000.0).picture
    x, y = axis(picture, "foot", True), axis(picture, "left")
    assert x.even and y.even and y.figures[-1][1] == 0.0
    for ink, line in INDEX.items():
        assert follows(told(picture, ink, x, y), line, 0.06, (250.0, 16000.0)), ink
    assert "low driver 5.0 dB, high driver 7.0 dB, both 6.5 dB" in picture.alt  # two thirds of the way
    assert picture.alt.replace("\u00a0", " ").startswith("Directivity index from 250 Hz to 16 kHz;")


@every(("id_", "kind", "edged"), [("P-01", "vented", True), ("P-12", "closed", False), ("P-12", "open baffle", True)])
def test_edges_of_a_baffle_are_told_where_it_has_some(id_: str, kind: str, edged: bool) -> None:
    """P-12 stands in a wall, into which no open baffle is built."""
    found = assessed(id_)
    found = replace(found, case=replace(found.case, cabinet=replace(found.case.cabinet, kind=kind)))
    captions = [chart.caption for row in all_charts(found) for chart in row]
    (told,) = [one for one in captions if one.startswith("The higher the line, the narrower the sound.")]
    assert ("edges of the baffle" in told) is edged


def test_the_level_that_is_reached_the_wish_and_what_ends_it() -> None:
    """Judged from two octaves under the crossover to 10 kHz; each cause from its first frequency to that of the next."""
    chart = level_chart(curves(), 2000.0, 2.5)
    picture = chart.picture
    x, y = axis(picture, "foot", True), axis(picture, "left")
    assert x.even and y.even
    assert follows(told(picture, "sum", x, y), REACHED, 0.06, (20.0, 20000.0))
    (start, low), (end, high) = told(picture, "wanted", x, y)
    assert (start, end) == pytest.approx((500.0, 10000.0), rel=0.01)
    assert (low, high) == pytest.approx((96.0, 96.0), abs=0.06)
    bands = {path.ink: path.data for path in picture.paths if path.ink.startswith("band-")}
    edges = [20.0, HZ[40], HZ[81], 20000.0]
    for n, ink in enumerate(("band-1", "band-2", "band-3")):
        match = re.fullmatch(r"M(\S+) \S+h([\d.]+)v9h-[\d.]+Z", bands[ink])
        assert match is not None
        left, width = map(float, match.groups())
        assert (x.of(left), x.of(left + width)) == pytest.approx((edges[n], edges[n + 1]), rel=0.01)
    letters = {label.text: x.of(label.x) for label in picture.labels if label.text in ("a", "b", "c")}
    assert len(letters) == 3 and all(edges[n] < letters["abc"[n]] < edges[n + 1] for n in range(3))
    assert chart.caption.endswith("along the foot: a travel; b heat; c the amplifier.")
    told_least = 88.0 + 20.0 * share(
        min(hz for hz in HZ if hz >= 500.0)
    )  # it rises: the least is the first of the band
    assert f"Least in that band: {told_least:.1f} dB" in picture.alt
    assert chart.caption.startswith("Loudest clean tone at 2.5 m. ") and "judged from 500 Hz to 10" in chart.caption.replace("\u00a0", " ")  # fmt: skip


def test_the_least_that_is_told_is_that_of_the_judged_band() -> None:
    """A dip at 250 Hz and one at 15 kHz lie outside 500 Hz to 10 kHz; the one at 1 kHz is told."""
    level = [100.0] * 121
    for hz, dip in ((250.0, 70.0), (1000.0, 95.0), (15000.0, 60.0)):
        level[min(range(121), key=lambda n, hz=hz: abs(HZ[n] - hz))] = dip
    alt = level_chart(curves(max_level_db=tuple(level)), 2000.0, 2.5).picture.alt.replace("\u00a0", " ")
    assert "Least in that band: 95.0 dB at 1" in alt
    blank = level_chart(curves(max_level_db=(math.nan,) * 121), 2000.0, 2.5).picture.alt
    assert "Least" not in blank


@every(
    ("least", "most", "figures"),
    [(88.0, 103.0, (80, 90, 100, 110)), (60.0, 103.0, (70, 80, 90, 100, 110)), (94.0, 103.0, (90, 100, 110))],
)
def test_the_axis_of_the_level_begins_6_db_under_the_least_and_40_under_its_top_at_most(
    least: float, most: float, figures: tuple[int, ...]
) -> None:
    """88 - 6 = 82 begins at 80, 94 - 6 = 88 at 85; 60 is farther than 40 dB under 110."""
    curve = curves(max_level_db=straight((least, most)), wanted_level_db=min(90.0, most))
    picture = level_chart(curve, 2000.0, 2.5).picture
    assert tuple(sorted(round(value) for _, value in axis(picture, "left").figures)) == figures


def test_a_cause_of_no_width_is_not_drawn_and_the_one_before_goes_on() -> None:
    """One frequency of 121 over 216 points is under 3 points wide."""
    causes = ("travel",) * 40 + ("heat",) + ("travel",) * 40 + ("the amplifier",) * 40
    picture = level_chart(curves(max_level_cause=causes), 2000.0, 2.5).picture
    x = axis(picture, "foot", True)
    bands = {path.ink: path.data for path in picture.paths if path.ink.startswith("band-")}
    assert sorted(bands) == ["band-1", "band-2"] and all(data.count("M") == 1 for data in bands.values())
    left, width = map(float, re.match(r"M(\S+) \S+h([\d.]+)", bands["band-1"]).groups())  # type: ignore[union-attr]
    assert (x.of(left), x.of(left + width)) == pytest.approx((20.0, HZ[81]), rel=0.01)


# --- level over angle ---------------------------------------------------------------------------------------------


def arcs(top_loss_db: Sequence[float], aside_loss_db: Sequence[float]) -> Curves:
    """Two arcs near the crossover and two at the top, falling evenly by so many dB in 60 degrees up (down they rise), and to both sides."""
    angle = tuple(math.radians(degree) for degree in range(-60, 61))
    up = [tuple(80.0 - loss * degree / 60.0 for degree in range(-60, 61)) for loss in (3.0, 6.0, *top_loss_db)]
    aside = [tuple(80.0 - loss * abs(degree) / 60.0 for degree in range(-60, 61)) for loss in (1.0, 1.0, *aside_loss_db)]  # fmt: skip
    return curves(
        vertical_angle_rad=angle, vertical_hz=(1500.0, 2500.0, 10000.0, 15000.0), vertical_db=tuple(up),
        horizontal_angle_rad=angle, horizontal_db=tuple(aside),
        seated_angle_rad=math.radians(-6.0), standing_angle_rad=math.radians(12.0),
    )  # fmt: skip


def covered(found: Curves, upright_deg: float = 10.0, sideways_deg: float = 30.0, fc: float = 2000.0) -> list[Chart]:
    wish = replace(
        assessed("P-01").case.pairing,
        vertical_half_window_rad=math.radians(upright_deg),
        horizontal_half_window_rad=math.radians(sideways_deg),
    )
    return list(coverage_charts(found, fc, wish))


NEAR, TOP, ASIDE = (
    "Vertical coverage near the crossover",
    "Vertical coverage at the top",
    "Sideways coverage at the top",
)


@every(
    ("top", "aside", "windows", "headings"),
    [
        ((12.0, 30.0), (2.0, 2.0), (10.0, 30.0), [NEAR]),  # 5 dB in 10 degrees of a loss of 30 in 60
        ((12.0, 37.0), (2.0, 2.0), (10.0, 30.0), [NEAR, TOP]),  # 6.2 dB
        ((-37.0, 0.0), (2.0, 2.0), (10.0, 30.0), [NEAR, TOP]),  # the same below
        ((2.0, 2.0), (2.0, 11.9), (30.0, 30.0), [NEAR]),  # 5.95 dB in 30 degrees
        ((2.0, 2.0), (12.2, 2.0), (10.0, 30.0), [NEAR, ASIDE]),
        ((2.0, 2.0), (12.2, 2.0), (30.0, 10.0), [NEAR]),  # the window that counts is the one to the sides
        ((37.0, 2.0), (12.2, 2.0), (10.0, 30.0), [NEAR, TOP, ASIDE]),
        ((37.0, 2.0), (2.0, 2.0), (9.0, 30.0), [NEAR]),  # 5.55 dB in 9 degrees
    ],
)  # fmt: skip
def test_what_is_drawn_at_the_top_is_what_loses_half_the_pressure_in_the_window(
    top: Sequence[float], aside: Sequence[float], windows: tuple[float, float], headings: list[str]
) -> None:
    """Half the pressure is 6.02 dB; the middle of the window upright is the seated ear, to the sides the axis."""
    assert [chart.heading for chart in covered(arcs(top, aside), *windows)] == headings


def test_the_window_to_the_sides_is_about_the_axis_wherever_the_ear_is_high() -> None:
    """Level to 31 degrees and 20 dB down beyond: nothing is lost in 30 degrees to either side."""
    narrow = tuple(80.0 if abs(degree) <= 31 else 60.0 for degree in range(-60, 61))
    found = arcs((2.0, 2.0), (2.0, 2.0))
    found = replace(found, horizontal_db=(*found.horizontal_db[:2], narrow, narrow))
    assert [chart.heading for chart in covered(found)] == [NEAR]
    assert [chart.heading for chart in covered(found, sideways_deg=34.0)] == [NEAR, ASIDE]


@every("arrangement", ARRANGEMENTS)
def test_drivers_side_by_side_are_drawn_to_the_sides_near_the_crossover(arrangement: str) -> None:
    """Two sources apart leave their holes in the plane in which they stand (Kinsler et al. 2000, ch. 7)."""
    pairing = replace(assessed("P-01").case.pairing, arrangement=arrangement)
    headings = [chart.heading for chart in coverage_charts(arcs((2.0, 2.0), (2.0, 2.0)), 2000.0, pairing)]
    beside = ["Sideways coverage near the crossover"] if arrangement in ("side by side", "column") else []
    assert headings == [NEAR, *beside]


def test_arcs_stand_at_their_levels_over_their_angles() -> None:
    """Level against the seated ear at -6 degrees: an arc that loses 6 dB in 60 degrees has 0.1 dB a degree, so -0.1 x (angle + 6)."""
    near, top, aside = covered(arcs((12.0, 42.0), (3.0, 24.0)))
    for chart, slopes, middle in ((near, {"trace-1": 3.0, "trace-2": 6.0}, -6.0), (top, {"trace-2": 12.0, "trace-3": 42.0}, -6.0)):  # fmt: skip
        x, y = axis(chart.picture, "foot"), axis(chart.picture, "left")
        assert x.even and y.even and len(x.figures) == 5  # −24 to 0; 6 dB stands at its right end
        bound = max(angle for _, angle in y.figures)
        for ink, loss in slopes.items():
            points = told(chart.picture, ink, x, y)
            assert max(abs(level + loss / 60.0 * (angle - middle)) for level, angle in points) < 0.15, (
                chart.heading,
                ink,
            )
            assert max(angle for _, angle in points) == pytest.approx(bound, abs=5.0)
    x, y = axis(aside.picture, "foot"), axis(aside.picture, "left")
    for ink, loss in (("trace-2", 3.0), ("trace-3", 24.0)):
        assert max(abs(level + loss / 60.0 * abs(angle)) for level, angle in told(aside.picture, ink, x, y)) < 0.3
    (unit,) = (label for label in near.picture.labels if label.text == "6 dB")  # the last figure has the unit
    assert unit.y == pytest.approx(field(near.picture)[3] + 9.5, abs=0.11) and unit.anchor == "end"
    assert "0 dB is the seat." in aside.caption and "Standing" not in aside.caption and "to the sides" in aside.caption
    assert "0 dB is the seated ear." in near.caption and near.caption.endswith("Standing: 12°.")
    named = {label.text.replace("\u00a0", " ") for label in near.picture.labels}
    assert {"1500 Hz", "2500 Hz"} <= named and not {"10 kHz", "15 kHz"} & named
    assert {"10 kHz", "15 kHz"} <= {label.text.replace("\u00a0", " ") for label in top.picture.labels}


def test_the_line_of_no_change_is_the_strong_one() -> None:
    (chart,) = covered(arcs((2.0, 2.0), (2.0, 2.0)))
    strong = [line for path in chart.picture.paths if path.ink == "grid-strong" for line in polylines(path.data)]
    assert [axis(chart.picture, "foot").of(line[0][0]) for line in strong] == [pytest.approx(0.0, abs=0.1)]


def test_the_ears_stand_at_their_angles() -> None:
    (near,) = covered(arcs((2.0, 2.0), (2.0, 2.0)))
    y = axis(near.picture, "left")
    (seats,) = (path.data for path in near.picture.paths if path.ink == "seat")
    assert sorted(round(y.of(line[0][1])) for line in polylines(seats)) == [-6, 12]
    at = {label.text: y.of(label.y) for label in near.picture.labels}
    assert abs(at["seated ear"] + 6.0) < abs(at["seated ear"] - 12.0)
    assert abs(at["standing ear"] - 12.0) < abs(at["standing ear"] + 6.0)
    for standing, shared in (
        (-5.0, True),
        (-2.0, True),
        (-1.0, False),
    ):  # 111 points for 50 degrees: 4.4 of them take 9.8
        together = replace(arcs((2.0, 2.0), (2.0, 2.0)), standing_angle_rad=math.radians(standing))
        (near,) = covered(together)
        words = {label.text for label in near.picture.labels}
        assert ("seated and standing ear" in words) is shared and (
            {"seated ear", "standing ear"} <= words
        ) is not shared


def test_an_arc_close_above_the_crossover_is_near_it_however_high_both_are() -> None:
    """Crossed at 7 kHz the band to 11.2 kHz is near the crossover, at 2 kHz that to 3.2 kHz."""
    found = arcs((2.0, 2.0), (2.0, 2.0))
    (high,) = covered(found, fc=7000.0)
    assert "10 kHz: " in high.picture.alt.replace("\u00a0", " ") and "15 kHz: " not in high.picture.alt.replace("\u00a0", " ")  # fmt: skip
    (low,) = covered(found)
    assert "10 kHz: " not in low.picture.alt.replace("\u00a0", " ")


def test_charts_are_those_of_the_assessment_that_is_asked_for() -> None:
    """The same pairing before and after a change, and before again; the level is that at its own seat."""
    found = worked_out()
    case = replace(found.case, pairing=replace(found.case.pairing, distance_m=3.7))
    farther = replace(found, case=case)
    told = [all_charts(one)[1][1].caption.partition(" m.")[0] for one in (found, farther, found)]
    at = [f"Loudest clean tone at {one.case.pairing.distance_m:g}" for one in (found, farther, found)]
    assert told == at and at[1].endswith(" 3.7") and at[0] != at[1]


def test_charts_stand_in_the_order_of_the_annex() -> None:
    rows = [[chart.heading.split(",")[0] for chart in row] for row in all_charts(worked_out())]
    assert rows[:2] == [["On-axis response at the seat"], ["Impedance at the terminals", "Highest level"]]
    assert rows[-1][-1] == "Directivity index" and all(len(row) <= 2 for row in rows)
