"""The build side of a sheet in words: network, parts, wiring, baffle, box, and what to measure.

Knows what an assessment says of the build. Refuses to judge, and to know how a page is laid out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, TypeVar

from reportgen.pairing.as_used import rear_words
from reportgen.paper import wording
from reportgen.paper.cautionbox import THE_WORK, cautions_block
from reportgen.paper.drawings import KeyLine
from reportgen.paper.joints import joints_of
from reportgen.paper.pages import (
    BaffleBlock,
    BuildBlock,
    CautionItem,
    CautionsBlock,
    Fact,
    FrameRow,
    PartRow,
    ReadingRow,
    WiringBlock,
)
from reportgen.paper.plans import baffle_picture, chosen_scale, numbered
from reportgen.paper.schematic import network_picture, wiring_picture
from reportgen.paper.wording import NONE, hertz, millimetres, money, number, printed, sentence, with_unit

if TYPE_CHECKING:
    from reportgen.assessment import Assessment
    from reportgen.catalogue.records import Case
    from reportgen.pairing.assembly import Apart, PartNote
    from reportgen.pairing.parts_list import PartLine
    from reportgen.pairing.readings import Reading
    from reportgen.suitability.cautions import Caution

Row = TypeVar("Row")

MOST_LISTED = 10
"""Of more parts than these the list stands in two columns where a side is full."""

MANY = 6
"""Of more drivers than these the table of places stands in two columns."""

ON_FRONT = "Why stands on the front."

DAMPING = {
    "closed": "Damping: fill it loosely with absorbent.",
    "vented": "Damping: line the walls with absorbent, leave the vent free.",
    "open baffle": "No box and no damping: leave the back open.",
}
"""What goes into a box of each kind (common practice, no source)."""


def build_block(found: Assessment, inches: bool, level: int, annex: bool) -> BuildBlock | None:
    """The build side; None without a network. From level 2 on the annex has the wiring of equal drivers; at 3 the annex
    has also what to mind on the board, many parts stand in two columns, their substitutes in the annex, a baffle of many
    drivers is drawn low, and why the sheet is provisional stands on the front alone.
    """
    schematic = network_picture(found, level > 2)
    if schematic is None:
        return None
    parts = _columns(tuple(part_rows(found)), 2 if level > 2 and len(found.parts) > MOST_LISTED else 1)
    undecided = found.verdict.word == "undecided"
    return BuildBlock(
        provisional=(sentence(printed(found.verdict.reason, inches)) if level < 3 else ON_FRONT) if undecided else "",
        conditions=tuple(_kept(found, inches)),
        cautions=_bench_cautions(found.cautions, inches),
        schematic=schematic,
        schematic_caption=_schematic_caption(found, level, annex),
        parts=parts,
        parts_total=_total(found),
        with_orders=any(line.part_id for line in found.parts),
        with_prices=any(line.price is not None for line in found.parts),
        with_substitutes=len(parts) == 1,
        board=(*wiring_words(found), *(board_words(found, inches) if level < 3 else ())),
        baffle=baffle_block(found, inches, level > 2 and len(found.layout.frames) > MANY),
        cabinet=found.case.cabinet.kind,
        box=tuple(_box(found, inches)),
        box_note=_box_note(found.case),
        wirings=tuple(wirings(found)) if level < 2 else (),
        readings=tuple(_readings(found.network.readings if found.network else ())),
    )


def _kept(found: Assessment, inches: bool) -> Iterator[str]:
    """The conditions that whoever builds it must keep."""
    texts = [check.condition for check in found.checks if check.condition and check.outcome in ("pass", "marginal")]
    yield from dict.fromkeys(sentence(printed(text, inches)) for text in texts)


def _bench_cautions(cautions: Sequence[Caution], inches: bool) -> CautionsBlock:
    """What concerns the work, whole; what concerns the drivers stands on the front, and is named here."""
    here = [caution for caution in cautions if caution.applies_to == THE_WORK]
    others = "; ".join(caution.title for caution in cautions if caution not in here)
    front = [CautionItem("See the front for", f"{others}.", "", False)] if others else []
    return cautions_block("Before you start", here, inches, front)


def _schematic_caption(found: Assessment, level: int, annex: bool) -> str:
    several = max(found.case.pairing.low_count, found.case.pairing.high_count) > 1
    moved = [
        *(["how equal drivers are joined"] * (several and level > 1)),
        *(["the board"] * (level > 2)),
    ]
    where = f" In the annex: {' and '.join(moved)}." if moved and annex else ""
    return f"Figures along the wires: the joints of the list. Wires join at dots alone. Lower figure at a part: rating to buy.{where}"


def _total(found: Assessment) -> str:
    """What the parts cost together; empty where none has a price."""
    price = found.network.parts_price if found.network else None
    if price is not None:
        return f"together {money(price, found.case.maker.currency)}"
    missing = [line.label for line in found.parts if line.price is None]
    return f"no price stated for {_listed(missing)}" if 0 < len(missing) < len(found.parts) else ""


def _columns(rows: Sequence[Row], count: int) -> tuple[tuple[Row, ...], ...]:
    deep = max(-(-len(rows) // count), 1)
    return tuple(tuple(rows[start : start + deep]) for start in range(0, len(rows), deep))


def part_rows(found: Assessment) -> Iterator[PartRow]:
    """The parts list, with what each must be, what it joins and what may replace it; nothing without a network."""
    made = found.network.assembly if found.network else None
    if made is None:
        return
    notes, points = {note.label: note for note in made.parts}, joints_of(found)
    for line in found.parts:
        yield _part(line, notes[line.label], " to ".join(points[line.label]), found.case.maker.currency)


def _part(line: PartLine, part: PartNote, joins: str, currency: str) -> PartRow:
    wire = f"{number(part.wire_mm)}{wording.NO_BREAK}mm" if part.wire_mm else ""
    most = f"≤{wording.NO_BREAK}{with_unit(part.most_ohm, 'ohm', 2)}" if part.most_ohm else ""
    made = f" {'+' if line.join == 'series' else 'beside'} ".join(
        wording.component(line.kind, value) for value in line.made_of
    )
    shared = line.join == {"C": "series", "L": "parallel"}.get(line.kind, line.join)  # the stress is, not borne by each
    note = f"two in {line.join}: {made}{', rated together' if shared else ''}" if line.made_of else ""
    low = "the stock part is rated too low" if line.under_rated else ""
    return PartRow(
        name=line.label,
        value=wording.component(line.kind, line.value),
        kind=", ".join(filter(None, (part.kind, wire, most))),
        stands=f"{line.role}, {line.branch}",
        order=line.part_id or NONE,
        rating=with_unit(line.rating_to_buy, line.rating_unit, 2) if line.rating_to_buy is not None else NONE,
        price=money(line.price, currency),
        note="; ".join(filter(None, (note, low))),
        joins=joins,
        substitute=wording.component(line.kind, part.substitute) if part.substitute else "none",
    )


# --- wiring -------------------------------------------------------------------------------------------------------


def wiring_words(found: Assessment) -> Iterator[str]:
    """How the points are named, and where the drivers go; nothing without a network."""
    points, pairing = joints_of(found), found.case.pairing
    if not points:
        return
    ends: list[str] = []
    for side, count in (("low", pairing.low_count), ("high", pairing.high_count)):
        plus, minus = points[f"{side} driver"]
        turned = " REVERSED:" if plus == "−" else ""
        ends.append(
            f"{side.capitalize() if not ends else side} {'driver' if count == 1 else 'drivers'}{turned} + to {plus}, − to {minus}"
        )
    yield f"+, −: amplifier; figures: joints, as drawn. {'; '.join(ends)}.".replace(
        " to ", f"{wording.NO_BREAK}to{wording.NO_BREAK}"
    )


def board_words(found: Assessment, inches: bool = False) -> Iterator[str]:
    """What to mind on the board, in sentences; nothing without a network."""
    made = found.network.assembly if found.network else None
    if made is not None:
        yield "Mark plus on every cable before it goes into the cabinet."
        yield from (printed(text, inches) for text in (_coils(made.coils), made.resistors, *made.shelf) if text)


def _coils(coils: Sequence[Apart]) -> str:
    """How the coils stand to each other; empty for fewer than two.

    >>> from reportgen.pairing.assembly import Apart
    >>> _coils([Apart("L1", "L2", 0.06, True)])
    'Coils L1 and L2 stand at right angles, 60\xa0mm apart at least from middle to middle.'
    """
    if not coils:
        return ""
    names = _listed(tuple(dict.fromkeys(name for pair in coils for name in (pair.first, pair.second))))
    crossed = [f"{pair.distance_m * 1e3:g}" for pair in coils if pair.crossed]
    along = [pair for pair in coils if not pair.crossed]
    way = " and " if len(along) == 1 else " with "
    pairs = _listed(tuple(f"{one.first}{way}{one.second}" for one in along)) if along else ""
    same = f"; {pairs} lie the same way, {along[0].distance_m * 1e3:g}{wording.NO_BREAK}mm" if along else ""
    each = " to each other" if len(coils) > 1 else ""
    return f"Coils {names} stand at right angles{each}, {crossed[0]}{wording.NO_BREAK}mm apart at least from middle to middle{same}."


def _listed(names: Sequence[str]) -> str:
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]


def substitutes(found: Assessment) -> Iterator[str]:
    """Which value may stand in place of each part, where the list has no column for it."""
    if len(found.parts) > MOST_LISTED:
        rows = "; ".join(f"{row.name} {row.substitute}" for row in part_rows(found))
        yield f"Substitutes, each alone, the other parts as listed: {rows}."


def wirings(found: Assessment) -> Iterator[WiringBlock]:
    """How several equal drivers are joined, one picture for each side that has several."""
    from reportgen.crossover.networks import wired  # noqa: PLC0415 - numpy on demand keeps the module's own imports light

    pairing = found.case.pairing
    for what, count, how in (
        ("low", pairing.low_count, pairing.low_wiring),
        ("high", pairing.high_count, pairing.high_wiring),
    ):
        if count == 1:
            continue
        joined = wired(8.0, count, how)  # type: ignore[arg-type]
        rows = wording.counted(joined.rows, "chain") + " side by side" if joined.rows > 1 else "one chain"
        chain = f"{joined.in_series} in series" if joined.in_series > 1 else "one driver"
        text = (
            f"{count} {what} drivers: {rows}, {chain} each."
            if joined.rows > 1
            else f"{count} {what} drivers in one chain, plus to minus."
        )
        yield WiringBlock(
            f"{what.capitalize()} drivers, {how}",
            text,
            wiring_picture(joined.in_series, joined.rows, f"{what} drivers"),
        )


# --- baffle and box -----------------------------------------------------------------------------------------------


def baffle_block(found: Assessment, inches: bool, low: bool = False) -> BaffleBlock:
    """The front to scale, and the drivers on it by number; `low` draws it no higher than a front has room for."""
    known = bool(found.layout.frames)
    frames = tuple(_frame_rows(found, inches))
    many = len(frames) > MANY
    sizes = dict.fromkeys(f"{row.driver}: frame {row.frame}, cut-out {row.cutout}" for row in frames)
    return BaffleBlock(
        picture=baffle_picture(found.layout, inches, low) if known else None,
        caption=_baffle_caption(found, inches, low)
        if known
        else "The baffle is not drawn: the distance between the centres is not known.",
        key=(KeyLine("cut", "cut-outs"),) if known else (),
        frames=frames,
        unit="mm (inches)" if inches else "mm",
        places=_columns(frames, 2) if many else (),
        sizes="; ".join(sizes) if many else "",
    )


def _baffle_caption(found: Assessment, inches: bool, low: bool) -> str:
    layout = found.layout
    given = "" if layout.spacing_given else ", nearly touching"
    unsure = (
        ""
        if all(frame.size_known for frame in layout.frames)
        else " A frame whose size is not known is drawn by its radiating surface."
    )
    return (
        f"1 : {number(chosen_scale(layout, low))}; on the right: from the top edge. Low to high centre "
        f"{millimetres(layout.spacing_m, inches)}{given}.{unsure}"
    )


def _frame_rows(found: Assessment, inches: bool) -> Iterator[FrameRow]:
    layout = found.layout
    for index, frame in numbered(layout.frames):
        yield FrameRow(
            number=str(index),
            driver=frame.label,
            from_top=wording.bare(layout.height_m - frame.y_m, inches),
            from_left=wording.bare(frame.x_m, inches),
            frame=wording.bare_size(frame.width_m, frame.height_m, frame.round, inches) if frame.size_known else NONE,
            cutout=wording.bare_size(frame.cut_width_m, frame.cut_height_m, frame.round, inches),
        )


def _box_note(case: Case) -> str:
    """What goes into the box, and what becomes of the back of the high driver before it goes in."""
    rear = rear_words(case.high, case.pairing.rear_use, case.pairing.chamber_m3)
    high = (
        f"High driver {case.high.id}: {rear}; see to that before it is mounted, and touch nothing inside."
        if rear
        else ""
    )
    return " ".join(filter(None, (_larger_inside(case), DAMPING.get(case.cabinet.kind, ""), high)))


def _larger_inside(case: Case) -> str:
    """Why the net volume is more than the outer size holds; empty where it is not, or the box has no depth stated."""
    cabinet = case.cabinet
    holds_m3 = cabinet.baffle_width_m * cabinet.baffle_height_m * (cabinet.depth_m or math.inf)
    if cabinet.kind == "open baffle" or (cabinet.net_volume_m3 or 0.0) < holds_m3:
        return ""
    holds = f"The outside holds {number(holds_m3 * 1e3)}{wording.NO_BREAK}L"
    if case.pairing.placement == "in a wall":
        return f"{holds}: the rest of the net volume is the hollow of the wall behind it, closed on all sides."
    return f"{holds} only: ask which of the two is right before you cut wood."


def _box(found: Assessment, inches: bool) -> Iterator[Fact]:
    cabinet = found.case.cabinet
    sides = (cabinet.baffle_width_m, cabinet.baffle_height_m, cabinet.depth_m)
    yield Fact("outside", wording.sides(sides, inches))
    if cabinet.kind != "open baffle":
        volume = cabinet.net_volume_m3
        yield Fact("net volume", f"{number(volume * 1e3)}{wording.NO_BREAK}L" if volume else "not stated")
    if cabinet.kind == "vented":
        yield Fact("tuning", hertz(cabinet.tuning_hz) if cabinet.tuning_hz else "not stated")
    if cabinet.stand_height_m:
        walled = found.case.pairing.placement == "in a wall"
        yield Fact("lower edge over the floor" if walled else "stand", millimetres(cabinet.stand_height_m, inches))
    if cabinet.tilt_rad:
        yield Fact("tilt", wording.degrees(cabinet.tilt_rad))


# --- readings -----------------------------------------------------------------------------------------------------


def _readings(readings: Sequence[Reading]) -> Iterator[ReadingRow]:
    """Every reading; a way of measuring is told once."""
    before = ""
    for reading in readings:
        yield _reading(reading, "likewise" if reading.how == before else reading.how)
        before = reading.how


def _reading(reading: Reading, how: str) -> ReadingRow:
    low, high = reading.expected * (1.0 - reading.tolerance), reading.expected * (1.0 + reading.tolerance)
    unit = wording.PRINTED_UNITS.get(reading.unit, reading.unit)
    fine = (
        f"{number(low, 2)}{wording.NO_BREAK}{unit} or more"
        if reading.unit == "dB"
        else f"{number(low, 2)} to {number(high, 2)}{wording.NO_BREAK}{unit}"
    )
    return ReadingRow(printed(reading.what), printed(how), with_unit(reading.expected, reading.unit, 2), fine)
