"""The charts of a sheet's annex over frequency, each with the caption that says what to read from it.

Knows the traces of an assessment. Refuses to compute any: it chooses axes, places names, and puts into words.
One decade is as long as 50 dB in the wide chart and as 25 dB in the narrower ones (IEC 60263).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial
from itertools import groupby
from typing import TYPE_CHECKING

import numpy as np

from reportgen.pairing.as_used import Setting
from reportgen.pairing.reach import REACHED_TO_HZ
from reportgen.paper import wording
from reportgen.paper.coverage import coverage_charts
from reportgen.paper.drawings import WIDTH, KeyLine
from reportgen.paper.fields import (
    ABOVE,
    BELOW,
    HALF,
    SIZE,
    Chart,
    Field,
    field_of,
    frame,
    frequency_grid,
    frequency_scale,
    level_grid,
    level_height,
    mark_crossover,
)
from reportgen.paper.lettering import Box, text_width
from reportgen.paper.measuredmarks import ROW, mark_measured, words
from reportgen.paper.scales import Scale, linear_ticks, on_paper, round_step

if TYPE_CHECKING:
    from reportgen.assessment import Assessment
    from reportgen.catalogue.records import Case
    from reportgen.crossover.synthesis import Design
    from reportgen.pairing.curves import Curves
    from reportgen.pairing.electrical import Electrical
    from reportgen.pairing.network import Engineered

ChartRow = tuple[Chart, ...]
"""Charts side by side."""

RANGE_DB = 45.0
"""Range of the wide chart."""


def response_chart(case: Case, made: Engineered, curves: Curves) -> Chart:
    """On-axis level of both branches and their sum, against the target, and the sum with one driver reversed."""
    fc, distance, spread = made.design.crossover_hz, case.pairing.distance_m, made.spread
    finite = [v for v in (*curves.sum_db, *curves.target_db) if math.isfinite(v)] or [90.0]
    top = 5.0 * math.ceil((max(finite) + 2.5) / 5.0)
    hz = curves.frequency_hz
    x = frequency_scale(WIDTH, hz[0], hz[-1], right=26.0)
    foot = level_height(x, RANGE_DB, 50.0) + ABOVE
    measured = words(case)
    marks = foot + BELOW + 2.0 * ROW if measured else foot
    field = field_of(WIDTH, max(marks, foot + BELOW), x, Scale(top - RANGE_DB, top, foot, ABOVE))
    frequency_grid(field)
    level_grid(field, 5.0, "dB SPL", linear_ticks(top - RANGE_DB, top, 10.0))
    _referred(field, distance)
    mark_measured(field.pen, x, Scale(0.0, 1.0, marks, ABOVE), field.room, case)
    mark_crossover(field, fc)
    _band(field, spread.frequency_hz, spread.low_db, spread.high_db)
    drawn = {
        "target": field.plot("target", hz, curves.target_db),
        "reversed": field.plot("reversed", hz, curves.reversed_db),
        "low": field.plot("low", hz, curves.low_db),
        "high": field.plot("high", hz, curves.high_db),
        "sum": field.plot("sum", hz, curves.sum_db),
    }
    names = (
        ("sum", "sum", "strong", (hz[0], fc / 2.0)),
        ("low", "low driver", "word", (fc, fc * 6.0)),
        ("high", "high driver", "word", (fc / 6.0, fc)),
        ("reversed", "one driver reversed", "word", (fc / 2.0, fc * 2.0)),
        ("target", "target", "word", (hz[0], fc / 2.0)),
    )
    for ink, text, letters, between in names:
        field.name(ink, text, drawn[ink], letters, between)
    frame(field)
    heading = f"On-axis response at the seat, {wording.number(distance)} m, 2.83 V; on the right, referred to 1 m"
    key = (KeyLine("spread", "where nine builds in ten lie"),)
    return Chart(heading, field.pen.picture(_alt_response(curves, fc)), _response_caption(made.design) + measured, key)


def _referred(field: Field, distance_m: float) -> None:
    """The level scale on the right: that at 1 m, 20 lg of the distance above that at the seat (free field)."""
    higher = 20.0 * math.log10(distance_m)
    field.pen.write("faint", field.pen.width, field.y.end - 5.0, "at 1 m", SIZE, "end")
    for value in linear_ticks(field.y.low, field.y.high, 10.0):
        text = wording.fixed(value + higher, 0)
        field.pen.write("faint", field.x.end + 3.0, field.y.at(value) + 2.3, text, SIZE)


def _response_caption(design: Design) -> str:
    within = f"Within an octave of the crossover the sum keeps to {wording.fixed(abs(design.sum_worst_db), 1)} dB of the target"
    if not design.slope.in_phase:
        return (
            f"The sum should follow the target through the crossover. {within}. With {design.slope.name} both drivers stand a"
            " quarter of a turn apart there, so that reversing one leaves no notch."
        )
    return (
        "The sum should follow the target through the crossover. A deep, centred notch in the line of “one driver reversed” "
        f"shows that both drivers arrive together. {within}; with one driver reversed it falls by {wording.number(abs(design.null_db), 2)} dB."
    )


def _band(field: Field, hz: Sequence[float], low_db: Sequence[float], high_db: Sequence[float]) -> None:
    """The strip between two traces, filled."""
    edges = [
        np.clip(on_paper(field.x, field.y, hz, db), [field.x.start, field.y.end], [field.x.end, field.y.start])
        for db in (high_db, low_db)
    ]
    if min(len(edge) for edge in edges) > 1:
        field.pen.shape("spread", *edges[0].tolist(), *edges[1][::-1].tolist())


def _alt_response(curves: Curves, fc: float) -> str:

    def level(trace: Sequence[float], hz: float) -> str:
        return f"{wording.fixed(float(np.interp(math.log(hz), np.log(curves.frequency_hz), trace)), 1)} dB"

    run = (
        f"{wording.hertz(hz)} {level(curves.sum_db, hz)}"
        for hz in (50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0, 10000.0)
        if curves.frequency_hz[0] <= hz <= curves.frequency_hz[-1]
    )
    return (
        f"Level over frequency of the low driver, the high driver, their sum, the target, and the sum with one driver reversed. "
        f"At the crossover, {wording.hertz(fc)}: low {level(curves.low_db, fc)}, "
        f"high {level(curves.high_db, fc)}, sum {level(curves.sum_db, fc)}. The sum: {', '.join(run)}."
    )


def impedance_chart(curves: Curves, electrical: Electrical, crossover_hz: float) -> Chart:
    """Modulus in octaves of ohm, and phase on the same lines: four of 45 degrees or six of 30."""
    ohm = [z for z in curves.impedance_ohm if math.isfinite(z) and z > 0.0] or [8.0]
    lowest = math.floor(math.log2(min(ohm) * 0.97))
    octaves = 4 if max(ohm) <= 2.0 ** (lowest + 4) else 6
    hz, tall = curves.frequency_hz, LOW
    x = frequency_scale(HALF, hz[0], hz[-1], right=21.0)
    y = Scale(2.0**lowest, 2.0 ** (lowest + octaves), tall - BELOW, ABOVE, log=True)
    field = field_of(HALF, tall, x, y)
    frequency_grid(field)
    field.pen.write("faint", 0.0, y.end - 5.0, "Ω", SIZE)
    turn = Scale(-90.0, 90.0, y.start, y.end)
    for step in range(octaves + 1):
        value = 2.0 ** (lowest + step)
        field.pen.line("grid", (x.start, y.at(value)), (x.end, y.at(value)))
        field.pen.write("faint", x.start - 3.0, y.at(value) + 2.3, wording.number(value), SIZE, "end")
        degrees = -90.0 + 180.0 * step / octaves
        field.pen.write("faint", HALF, turn.at(degrees) + 2.3, f"{wording.number(degrees)}°", SIZE, "end")
    phase = field.plot("phase", hz, [math.degrees(p) for p in curves.impedance_phase_rad], turn)
    modulus = field.plot("sum", hz, curves.impedance_ohm)
    if x.holds(electrical.minimum_hz):
        at = (x.at(electrical.minimum_hz), y.at(electrical.minimum_ohm))
        field.pen.ellipse("dot", *at, 2.0)
        field.note(_lowest_words(electrical), at)
    caption = f"The modulus is what the amplifier has to drive; phase is read on the right. {_load_words(electrical)}"
    field.name("sum", "modulus", modulus)
    field.name("phase", "phase", phase)
    frame(field)
    alt = f"Impedance modulus and phase over frequency; crossover {wording.hertz(crossover_hz)}. {caption}"
    return Chart("Impedance at the terminals", field.pen.picture(alt), caption)


LOW = 138.0
"""Height of a chart that has no level scale (points)."""


def _lowest_words(electrical: Electrical) -> str:
    return f"{wording.least_load(electrical.minimum_ohm)} at {wording.hertz(electrical.minimum_hz)}"


def _load_words(electrical: Electrical) -> str:
    rated = (
        f"; that allows a rating of {wording.with_unit(electrical.rated_ohm, 'ohm')}"
        if electrical.rated_ohm
        else "; that is below every customary rating"
    )
    return f"Lowest {_lowest_words(electrical)}{rated}. Largest phase {wording.degrees(electrical.largest_phase_rad)}."


def directivity_chart(curves: Curves, crossover_hz: float, edged: bool = True, width: float = HALF) -> Chart:
    """Directivity index of both drivers and of the sum across the crossover; `edged` where the baffle ends."""
    low, high = max(curves.frequency_hz[0], crossover_hz / 8.0), min(curves.frequency_hz[-1], crossover_hz * 8.0)
    hz = np.asarray(curves.frequency_hz)
    inside = (hz >= low * 0.9) & (hz <= high * 1.1)
    groups = [np.asarray(group)[inside] for group in (curves.low_index_db, curves.high_index_db, curves.sum_index_db)]
    finite = np.concatenate(groups)
    finite = finite[np.isfinite(finite)]
    x = frequency_scale(width, low, high)
    most = (LOW - ABOVE - BELOW) / level_height(x, 1.0, 25.0)
    top = min(2.0 * math.ceil((float(np.max(finite, initial=10.0)) + 1.0) / 2.0), 2.0 * math.floor(most / 2.0))
    tall = level_height(x, top, 25.0) + ABOVE + BELOW
    field = field_of(width, tall, x, Scale(0.0, top, tall - BELOW, ABOVE))
    frequency_grid(field)
    level_grid(field, round_step(top, 6), "dB")
    mark_crossover(field, crossover_hz)
    across = hz[inside].tolist()
    drawn = [field.plot(ink, across, group.tolist()) for ink, group in zip(("low", "high", "sum"), groups, strict=True)]
    for ink, text, pieces in zip(("low", "high", "sum"), ("low driver", "high driver", "both"), drawn, strict=True):
        field.name(ink, text, pieces, "strong" if ink == "sum" else "word")
    frame(field)
    caption = "The higher the line, the narrower the sound. That of both should climb without a jump at the crossover."
    if edged:
        caption += " The edges of the baffle count here; the check compares the drivers alone."
    seen = ", ".join(
        f"{name} {wording.fixed(float(np.interp(math.log(crossover_hz), np.log(hz), index)), 1)} dB"
        for name, index in (
            ("low driver", curves.low_index_db),
            ("high driver", curves.high_index_db),
            ("both", curves.sum_index_db),
        )
    )
    alt = f"Directivity index from {wording.hertz(low)} to {wording.hertz(high)}; at the crossover {seen}. {caption}"
    return Chart("Directivity index", field.pen.picture(alt), caption)


def level_chart(curves: Curves, crossover_hz: float, distance_m: float) -> Chart:
    """Highest level over frequency, what limits it where, and the wish over the band in which it is judged."""
    finite = [v for v in curves.max_level_db if math.isfinite(v)] or [100.0]
    x = frequency_scale(HALF, curves.frequency_hz[0], curves.frequency_hz[-1])
    top = 5.0 * math.ceil((max(*finite, curves.wanted_level_db) + 3.0) / 5.0)
    bottom = max(5.0 * math.floor((min(finite) - 6.0) / 5.0), top - 40.0)
    tall = level_height(x, top - bottom, 25.0) + ABOVE + BELOW
    field = field_of(HALF, tall, x, Scale(bottom, top, tall - BELOW, ABOVE))
    frequency_grid(field)
    level_grid(field, 5.0, "dB SPL", linear_ticks(bottom, top, 10.0))
    mark_crossover(field, crossover_hz)
    runs = _causes(field, curves)
    reached = field.plot("sum", curves.frequency_hz, curves.max_level_db)
    key = _letters(field, runs)
    judged = (max(crossover_hz / 4.0, x.low), min(REACHED_TO_HZ, x.high))
    wanted = field.plot("wanted", judged, (curves.wanted_level_db, curves.wanted_level_db))
    field.name("sum", "reached", reached, "strong")
    field.name("wanted", f"wanted, {wording.number(curves.wanted_level_db)} dB", wanted)
    frame(field)
    causes = "; ".join(f"{letter} {cause}" for cause, letter in key.items())
    caption = (
        f"Loudest clean tone at {wording.number(distance_m)} m. Where “reached” runs under “wanted”, the wish, judged from "
        f"{wording.span(*judged)}, is not met. What ends it, along the foot: {causes}."
    )
    return Chart("Highest level", field.pen.picture(_alt_level(curves, judged, caption)), caption)


def _alt_level(curves: Curves, judged: tuple[float, float], caption: str) -> str:
    inside = [
        (level, hz)
        for hz, level in zip(curves.frequency_hz, curves.max_level_db, strict=True)
        if judged[0] <= hz <= judged[1] and math.isfinite(level)
    ]
    least = (
        f" Least in that band: {wording.fixed(min(inside)[0], 1)} dB at {wording.hertz(min(inside)[1])}."
        if inside
        else ""
    )
    return f"Highest level over frequency, against {wording.number(curves.wanted_level_db)} dB wanted.{least} {caption}"


Run = tuple[float, float, str]
"""A stretch of the strip along the foot: left and right end (points), and the cause."""

STRIP = 9.0


def _causes(field: Field, curves: Curves) -> list[Run]:
    """The strip along the foot that says what limits the level where."""
    position = 0
    runs: list[Run] = []
    hz = curves.frequency_hz
    for cause, group in groupby(curves.max_level_cause):
        last = position + len(list(group)) - 1
        left = field.x.at(hz[position]) if position else field.x.start
        right = field.x.at(hz[last + 1]) if last + 1 < len(hz) else field.x.end
        if runs and (right - left < 3.0 or runs[-1][2] == cause):
            runs[-1] = (runs[-1][0], right, runs[-1][2])
        else:
            runs.append((left, right, cause))
        position = last + 1
    causes = list(dict.fromkeys(cause for _, _, cause in runs))
    for left, right, cause in runs:
        field.pen.rect(f"band-{causes.index(cause) % 4 + 1}", left, field.y.start - STRIP, right - left, STRIP)
    field.room.taken.append(Box(field.x.start, field.y.start - STRIP, field.x.end, field.y.start))
    return runs


def _apart(one: float, other: float) -> float:
    return abs(one - other)


def _letters(field: Field, runs: Sequence[Run]) -> dict[str, str]:
    """Write the letter of its cause on every stretch, off the trace; letter of each cause, in order."""
    key: dict[str, str] = {}
    for left, right, cause in runs:
        letter = key.setdefault(cause, "abcdefghijklmnopqrstuvwxyz"[min(len(key), 25)])
        half = text_width(letter, SIZE, heavy=True) / 2.0 + 1.0
        if right - left < 2.0 * half:
            continue
        middle_first = sorted(
            np.linspace(left + half, right - half, 9).tolist(), key=partial(_apart, (left + right) / 2.0)
        )
        for x in middle_first:
            if not field.room.crossed([Box(x - half, field.y.start - STRIP, x + half, field.y.start)])[0]:
                field.pen.write("strong", x, field.y.start - 2.4, letter, SIZE, "middle")
                break
    return key


_drawn: list[tuple[Assessment, tuple[ChartRow, ...]]] = []
"""The last assessment and its charts: a sheet is composed for its fingerprint, and again for each way it is set."""


def all_charts(found: Assessment) -> tuple[ChartRow, ...]:
    """The charts by rows of the page; empty without curves."""
    if not _drawn or _drawn[0][0] is not found:
        _drawn[:] = [(found, _charts(found))]
    return _drawn[0][1]


def _charts(found: Assessment) -> tuple[ChartRow, ...]:
    made, curves, pairing = found.network, found.curves, found.case.pairing
    if made is None or curves is None:
        return ()
    fc = made.design.crossover_hz
    impedance = impedance_chart(curves, made.electrical, fc)
    level = level_chart(curves, fc, pairing.distance_m)
    last = [*coverage_charts(curves, fc, pairing), directivity_chart(curves, fc, not Setting(found.case).in_wall)]
    pairs = tuple(tuple(last[start : start + 2]) for start in range(0, len(last), 2))
    return ((response_chart(found.case, made, curves),), (impedance, level), *pairs)
