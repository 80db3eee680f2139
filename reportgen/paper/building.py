"""The build side of a sheet in words: network, parts, wiring, baffle, box, and what to measure.

Knows what an assessment says of the build. Refuses to judge, and to know how a page is laid out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, TypeVar

from reportgen.paper import wording
from reportgen.paper.cautionbox import THE_WORK, cautions_block
from reportgen.paper.joints import Wired, joints
from reportgen.paper.pages import (
    BaffleBlock,
    BuildBlock,
    CautionItem,
    CautionsBlock,
    Fact,
    FrameRow,
    JointRow,
    PartRow,
    ReadingRow,
    WiringBlock,
    WiringTable,
)
from reportgen.paper.plans import baffle_picture, chosen_scale, numbered
from reportgen.paper.schematic import names_of, network_picture, wiring_picture
from reportgen.paper.wording import NONE, hertz, millimetres, money, number, printed, sentence, with_unit

if TYPE_CHECKING:
    from reportgen.assessment import Assessment
    from reportgen.pairing.network import PartLine, Reading
    from reportgen.suitability.cautions import Caution

Row = TypeVar("Row")

MANY = 6
"""Of more drivers than these the table of places stands in two columns."""

KINDS = {"C": "capacitor", "L": "coil", "R": "resistor"}

DAMPING = {
    "closed": "Damping: fill it loosely with absorbent.",
    "vented": "Damping: line the walls with absorbent, leave the vent free.",
    "open baffle": "No box and no damping: leave the back open.",
}
"""What goes into a box of each kind (common practice, no source)."""


def build_block(found: Assessment, inches: bool, level: int, annex: bool) -> BuildBlock | None:
    """The build side; None without a network. From level 2 on the annex has the wiring; at 3 the parts stand in two columns."""
    with_wiring = level < 2
    schematic = network_picture(found)
    if schematic is None:
        return None
    currency = found.case.maker.currency
    undecided = found.verdict.word == "undecided"
    return BuildBlock(
        provisional=sentence(printed(found.verdict.reason, inches)) if undecided else "",
        conditions=tuple(_kept(found, inches)),
        cautions=_bench_cautions(found.cautions, inches),
        schematic=schematic,
        schematic_caption=_schematic_caption(found, with_wiring, annex),
        parts=_columns([_part(line, currency) for line in found.parts], 2 if level > 2 else 1),
        parts_total=money(found.network.parts_price if found.network else None, currency),
        with_orders=any(line.part_id for line in found.parts),
        with_prices=any(line.price is not None for line in found.parts),
        wiring=wiring_table(found) if with_wiring else None,
        baffle=baffle_block(found, inches),
        cabinet=found.case.cabinet.kind,
        box=tuple(_box(found, inches)),
        box_note=DAMPING.get(found.case.cabinet.kind, ""),
        wirings=tuple(wirings(found)) if with_wiring else (),
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


def _schematic_caption(found: Assessment, with_wiring: bool, annex: bool) -> str:
    pairs = " Parts lettered a and b stand together for one value." if any(x.made_of for x in found.parts) else ""
    where = "" if with_wiring else " Wiring from point to point: first page of the annex." if annex else (
        " Wiring from point to point did not fit here: print the annex as well."
    )  # fmt: skip
    return f"Dots are joints; wires that cross without a dot are not joined. Lower figure at a part: rating to buy.{pairs}{where}"


def _columns(rows: Sequence[Row], count: int) -> tuple[tuple[Row, ...], ...]:
    deep = max(-(-len(rows) // count), 1)
    return tuple(tuple(rows[start : start + deep]) for start in range(0, len(rows), deep))


def _part(line: PartLine, currency: str) -> PartRow:
    kind = KINDS[line.kind]
    coil = f", {with_unit(line.resistance_ohm, 'ohm', 2)} or less" if line.kind == "L" and line.resistance_ohm else ""
    made = f" {'+' if line.join == 'series' else 'beside'} ".join(
        wording.component(line.kind, value) for value in line.made_of
    )
    note = f"two in {line.join}: {made}" if line.made_of else ""
    low = "the stock part is rated too low" if line.under_rated else ""
    return PartRow(
        name=line.label,
        value=wording.component(line.kind, line.value),
        kind=kind + coil,
        stands=f"{line.role}, {line.branch} branch",
        order=line.part_id or NONE,
        rating=with_unit(line.rating_to_buy, line.rating_unit, 2) if line.rating_to_buy is not None else NONE,
        price=money(line.price, currency),
        note="; ".join(filter(None, (note, low))),
    )


# --- wiring -------------------------------------------------------------------------------------------------------


def wiring_table(found: Assessment) -> WiringTable | None:
    """Every joint with the ends that meet there, in two columns; None without a network."""
    design, pairing = found.design, found.case.pairing
    if design is None:
        return None
    first: dict[str, int] = {}
    sides = (
        ("low", design.low, pairing.low_count, False),
        ("high", design.high, pairing.high_count, design.high_reversed),
    )
    wired = []
    for side, branch, count, turned in sides:
        lines = [line for line in found.parts if line.branch == side]
        driver = f"{side} driver" if count == 1 else f"{side} drivers"
        wired.append(Wired(branch, tuple(names_of(branch, lines, first)), driver, turned))
    rows = [JointRow(joint, " · ".join(ends)) for joint, ends in joints(wired)]
    third = -(-len(rows) // 3)
    notes = ["Mark plus on every cable before it goes into the cabinet."]
    if design.high_reversed:
        notes.insert(0, "The high driver is REVERSED: its minus goes to the network. This is right for this slope.")
    columns = tuple(tuple(rows[start : start + third]) for start in range(0, len(rows), third))
    return WiringTable(columns, tuple(notes))


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


def baffle_block(found: Assessment, inches: bool) -> BaffleBlock:
    """The front to scale, and the drivers on it by number."""
    known = bool(found.layout.frames)
    frames = tuple(_frame_rows(found, inches))
    many = len(frames) > MANY
    sizes = dict.fromkeys(f"{row.driver}: frame {row.frame}, cut-out {row.cutout}" for row in frames)
    return BaffleBlock(
        picture=baffle_picture(found.layout, inches) if known else None,
        caption=_baffle_caption(found, inches)
        if known
        else "The baffle is not drawn: the distance between the centres is not known.",
        frames=frames,
        unit="mm (inches)" if inches else "mm",
        places=_columns(frames, 2) if many else (),
        sizes="; ".join(sizes) if many else "",
    )


def _baffle_caption(found: Assessment, inches: bool) -> str:
    layout = found.layout
    given = "" if layout.spacing_given else ", frames nearly touching"
    unsure = (
        ""
        if all(frame.size_known for frame in layout.frames)
        else " A frame whose size is not known is drawn by its radiating surface."
    )
    return (
        f"1 : {number(chosen_scale(layout))}{', mm (inches)' if inches else ''}. Dashed: cut-outs; right: centres from the top edge. Low to high centre "
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
        yield Fact("stand", millimetres(cabinet.stand_height_m, inches))
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
