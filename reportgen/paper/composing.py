"""From an assessment to its printed sheet: every figure worded, every picture drawn.

Knows what an assessment holds and what a page wants. Refuses to judge, and to know how a page is laid out.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from reportgen.paper import wording
from reportgen.paper.charts import all_charts
from reportgen.paper.pages import (
    BuildBlock,
    CautionItem,
    CautionsBlock,
    CheckRow,
    DriverRow,
    DriversBlock,
    Fact,
    FrameRow,
    GapRow,
    MakerBlock,
    PartRow,
    ReadingRow,
    RemedyRow,
    SheetPage,
    Stamp,
    VerdictBlock,
    WiringBlock,
)
from reportgen.paper.plans import baffle_picture, chosen_scale, numbered
from reportgen.paper.rangepicture import range_picture
from reportgen.paper.schematic import network_picture, wiring_picture
from reportgen.paper.wording import MARKS, NONE, hertz, millimetres, money, number, printed, sentence, with_unit
from reportgen.suitability.limits import COMMON

if TYPE_CHECKING:
    from reportgen.assessment import Assessment
    from reportgen.catalogue.records import Case, Maker
    from reportgen.pairing.network import PartLine, Reading
    from reportgen.suitability.cautions import Caution
    from reportgen.suitability.checks import Check

THE_WORK = "the work"
DAGGER = f"{wording.NO_BREAK}†"
MOST_CONDITIONS = 2
"""More than these (and one) go to the Checks page: the front must stay one page."""

ORDER = {"fail": 0, "not assessed": 1, "marginal": 2, "pass": 3}
SLOPE_NAMES = {"LR": "Linkwitz-Riley", "BW": "Butterworth", "BE": "Bessel"}
KINDS = {"C": "capacitor", "L": "coil", "R": "resistor"}


def anchor_of(id_: str) -> str:
    """The link target of a sheet: letters, digits and hyphens, different for different IDs.

    >>> anchor_of("P-01"), anchor_of("P 1/ä")
    ('sheet-P-01', 'sheet-P_20_1_2f__e4_')
    """
    return "sheet-" + re.sub(r"[^A-Za-z0-9-]", lambda found: f"_{ord(found[0]):x}_", id_)


def maker_block(maker: Maker, logo: str) -> MakerBlock:
    """The firm as every page shows it."""
    return MakerBlock(maker.name, maker.contact_lines, logo, maker.footer or "")


def stamp_facts(stamp: Stamp, id_: str = "") -> tuple[Fact, ...]:
    """What identifies the paper, so that it can be found again in History."""
    named = (Fact("Pairing", id_),) if id_ else ()
    return (
        *named,
        Fact("Revision", stamp.revision),
        Fact("Date", stamp.date.isoformat()),
        Fact("Run", f"{stamp.run:03d}"),
        Fact("Inputs", stamp.fingerprint[:12]),
    )


def foot_words(stamp: Stamp, name: str) -> str:
    """The line at the foot by which a loose page is found again."""
    run = f"run {stamp.run:03d} · inputs {stamp.fingerprint[:12]}"
    return f"{name} · rev {stamp.revision} · {stamp.date.isoformat()} · {run} · reportgen {stamp.version}"


def sheet_page(found: Assessment, stamp: Stamp) -> SheetPage:
    """Everything that is printed of one pairing."""
    case = found.case
    buildable = found.design is not None and found.verdict.word != "not suitable"
    return SheetPage(
        lang="en",
        title=f"{found.id}: {drivers_words(case)}",
        subject=f"{found.verdict.word}: {printed(found.verdict.reason)}",
        anchor=anchor_of(found.id),
        maker=maker_block(case.maker, stamp.logo),
        stamp=stamp_facts(stamp, found.id),
        foot=foot_words(stamp, _kit_words(case)),
        kit=case.pairing.kit or found.id,
        pairing=_pairing_words(case),
        verdict=_verdict(found),
        figures=_figures(found),
        range_picture=range_picture(found.limits, found.found_range, found.crossover_hz),
        range_caption=_range_caption(found),
        drivers=_drivers(case),
        cautions=cautions_block(
            "Read this before you open the box", [c for c in found.cautions if c.grave or c.applies_to != THE_WORK]
        ),
        charts=all_charts(found),
        no_charts=sentence(printed(found.not_designed)) if found.curves is None else "",
        build=_build(found) if buildable else None,
        no_build="" if buildable else _no_build(found),
        tally=_tally(found.checks),
        checks=tuple(_check(c) for c in sorted(found.checks, key=lambda c: ORDER[c.outcome])),
        gaps=tuple(_gaps(found)),
        remedies=tuple(_remedies(found)),
        remedies_note=sentence(printed(found.remedies_note)),
        assumptions=tuple(sentence(printed(line)) for line in found.assumptions),
    )


# --- front --------------------------------------------------------------------------------------------------------


def _several(count: int, name: str) -> str:
    return name if count == 1 else f"{count} × {name}"


def drivers_words(case: Case) -> str:
    """The two drivers of a pairing by their IDs, with how many of each."""
    pairing = case.pairing
    return f"{_several(pairing.low_count, pairing.low_id)} with {_several(pairing.high_count, pairing.high_id)}"


def _pairing_words(case: Case) -> str:
    guide = f" in waveguide {case.pairing.guide_id}" if case.pairing.guide_id else ""
    return f"{drivers_words(case)}{guide}, cabinet {case.pairing.cabinet_id}, {case.pairing.arrangement}"


def _kit_words(case: Case) -> str:
    return f"{case.pairing.kit}, {case.pairing.id}" if case.pairing.kit else case.pairing.id


def slope_words(slope: str) -> str:
    """A slope's short name in words.

    >>> slope_words("LR4")
    'Linkwitz-Riley, order 4'
    """
    return f"{SLOPE_NAMES.get(slope[:2], slope[:2])}, order {slope[2:]}"


def _verdict(found: Assessment) -> VerdictBlock:
    verdict = found.verdict
    others = (*(text for _, text in verdict.fails), *verdict.conditions, *(text for _, text in verdict.marginals))
    conditions = list(dict.fromkeys(sentence(printed(text)) for text in others if text not in verdict.reason))
    shown = conditions if len(conditions) <= MOST_CONDITIONS + 1 else conditions[:MOST_CONDITIONS]
    reason = sentence(printed(found.headline))
    title = (
        "What else is near or past its limit" if verdict.word in ("not suitable", "undecided") else "Also keep to this"
    )
    return VerdictBlock(MARKS[verdict.word], reason, title, tuple(shown), len(conditions) - len(shown))


def _figures(found: Assessment) -> tuple[Fact, ...]:
    """The four figures under the verdict."""
    pairing, ranged = found.case.pairing, found.found_range
    how = "fixed" if found.crossover_fixed else "chosen"
    octaves = ranged.octaves
    width = "one side is open" if octaves is None else f"{wording.fixed(octaves, 2)} octave wide"
    usable = wording.span(ranged.low_hz, ranged.high_hz)
    load = found.electrical
    rated = f"rating {with_unit(load.rated_ohm, 'ohm')}" if load and load.rated_ohm else "no customary rating"
    return (
        Fact("Crossover", hertz(found.crossover_hz), f"{slope_words(pairing.slope)}; {how}"),
        Fact("Usable range", "none" if ranged.empty else usable, f"limits overlap by {wording.fixed(-(octaves or 0), 2)} octave" if ranged.empty else width),
        Fact("Amplifier sees", f"{with_unit(load.minimum_ohm, 'ohm', 2)} at least" if load else NONE, rated if load else "no network"),
        Fact("Price", money(found.price, found.case.maker.currency), "drivers, guide and priced parts" if found.price is not None else "not every price is known"),
    )  # fmt: skip


def _range_caption(found: Assessment) -> str:
    spread = " The fine line under a bar's end is what the tolerance of the data makes of it." if any(
        limit.spread_hz for limit in found.limits
    ) else ""  # fmt: skip
    unknown = " Hatched stubs: limits that could not be worked out." if any(x.hz is None for x in found.limits) else ""
    return (
        "Every bar closes off frequencies from its side; the two dark ones bind. What they leave between them is the "
        f"usable range, the heavy line the crossover.{spread}{unknown}"
    )


def _drivers(case: Case) -> DriversBlock:
    low, high, pairing = case.low, case.high, case.pairing
    guide = f" in waveguide {case.guide.id}" if case.guide else ""
    return DriversBlock(
        low_name=_several(pairing.low_count, low.id),
        low_description=low.description or "",
        high_name=_several(pairing.high_count, high.id) + guide,
        high_description=", ".join(filter(None, (case.technology.id, high.description))),
        rows=tuple(driver_rows(case)),
    )


def _size(width_m: float | None, height_m: float | None, round_: bool) -> str:
    if width_m is None:
        return NONE
    if round_ and (height_m is None or abs(height_m - width_m) < 0.0005):
        return f"Ø {millimetres(width_m)}"
    return f"{_bare(millimetres(width_m))}{wording.MULTIPLIED}{millimetres(height_m or width_m)}"


def driver_rows(case: Case) -> Iterator[DriverRow]:
    """The figures of both drivers that matter, side by side."""
    low, high, pairing = case.low, case.high, case.pairing
    yield DriverRow(
        "Sensitivity, 2.83 V at 1 m", with_unit(low.sensitivity_db, "dB"), with_unit(high.sensitivity_db, "dB")
    )
    impedances = [f"{with_unit(d.nominal_impedance_ohm, 'ohm')} / {with_unit(d.re_ohm, 'ohm')}" for d in (low, high)]
    yield DriverRow("Impedance, nominal / Re", *impedances)
    yield DriverRow("Resonance Fs", hertz(low.fs_hz), hertz(high.fs_hz))
    area = wording.NO_BREAK + "cm²"
    radiating = _size(high.radiating_width_m, high.radiating_height_m, high.shape == "round")
    high_area = f", {number(high.diaphragm_area_m2 * 1e4)}{area}" if high.diaphragm_area_m2 else ""
    yield DriverRow("Radiating surface", f"{number(low.diaphragm_area_m2 * 1e4)}{area}", radiating + high_area)
    yield DriverRow("Peak travel", millimetres(low.peak_travel_m), _small_millimetres(high.peak_travel_m))
    yield DriverRow("Rated power", with_unit(low.rated_power_w, "W"), with_unit(high.rated_power_w, "W"))
    first = f"breaks up at {hertz(low.breakup_hz)}" if low.breakup_hz else "break-up not known"
    lowest = f"lowest use {hertz(high.lowest_use_hz)}" if high.lowest_use_hz else "lowest use not stated"
    yield DriverRow("Its bound", first, lowest)
    if max(pairing.low_count, pairing.high_count) > 1:
        each = ((pairing.low_count, pairing.low_wiring), (pairing.high_count, pairing.high_wiring))
        yield DriverRow("Wiring", *("single" if count == 1 else how for count, how in each))


def _small_millimetres(value_m: float | None) -> str:
    return "not stated" if value_m is None else f"{number(value_m * 1e3)}{wording.NO_BREAK}mm"


def caution_item(caution: Caution) -> CautionItem:
    """One caution as it is printed."""
    concerns = "" if caution.applies_to == THE_WORK else caution.applies_to
    return CautionItem(caution.title, printed(caution.text), concerns, caution.grave)


def cautions_block(heading: str, cautions: Sequence[Caution], last: Sequence[CautionItem] = ()) -> CautionsBlock:
    """The box of cautions, `last` behind them; it is cut where both columns come nearest to equal length."""
    items = [*map(caution_item, cautions), *last]
    lengths = [60 + len(item.title) + len(item.text) for item in items]
    cut = min(range(len(items) + 1), key=lambda n: (abs(sum(lengths[:n]) - sum(lengths[n:])), -n))
    return CautionsBlock(heading, tuple(items[:cut]), tuple(items[cut:]))


# --- build --------------------------------------------------------------------------------------------------------


def _no_build(found: Assessment) -> str:
    if found.design is None:
        return f"No build page: no network was designed. {sentence(printed(found.not_designed))}"
    return "No build page: the pairing as it stands is not to be built. The checks and the nearest yes follow."


def _build(found: Assessment) -> BuildBlock | None:
    schematic = network_picture(found)
    if schematic is None or found.design is None:
        return None
    layout, currency = found.layout, found.case.maker.currency
    has_baffle = bool(layout.frames)
    return BuildBlock(
        cautions=_bench_cautions(found.cautions),
        schematic=schematic,
        schematic_caption=_schematic_caption(found),
        parts=tuple(_part(line, currency) for line in found.parts),
        parts_total=money(found.network.parts_price if found.network else None, currency),
        with_orders=any(line.part_id for line in found.parts),
        with_prices=any(line.price is not None for line in found.parts),
        baffle=baffle_picture(layout) if has_baffle else None,
        baffle_caption=_baffle_caption(found)
        if has_baffle
        else "Not drawn: the distance between the centres is not known.",
        frames=tuple(_frame_rows(found)),
        polarity=tuple(_polarity(found)),
        wirings=tuple(_wirings(found)),
        readings=tuple(_reading(r) for r in (found.network.readings if found.network else ())),
        reasons=tuple(printed(line) for line in found.design.reasons),
    )


def _bench_cautions(cautions: Sequence[Caution]) -> CautionsBlock:
    """What concerns health and the work, whole; what else stands on the front, by its title."""
    here = [caution for caution in cautions if caution.grave or caution.applies_to == THE_WORK]
    others = "; ".join(caution.title for caution in cautions if caution not in here)
    front = [CautionItem("Keep to the front page as well", f"{others}.", "", False)] if others else []
    return cautions_block("Before you start", here, front)


def _schematic_caption(found: Assessment) -> str:
    many = any(line.made_of for line in found.parts)
    pairs = " Parts lettered a and b stand together for one value." if many else ""
    return f"Dots are joints; wires that cross without a dot are not joined. The lower figure at a part is the rating to buy.{pairs}"


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


def _baffle_caption(found: Assessment) -> str:
    layout = found.layout
    given = "as given" if layout.spacing_given else "not given, frames nearly touching"
    unsure = (
        ""
        if all(frame.size_known for frame in layout.frames)
        else " A frame whose size is not known is drawn by its radiating surface."
    )
    return (
        f"Drawn 1 : {number(chosen_scale(layout))}. Dashed: cut-outs. On the right: centres from the top edge. Low to high centre: "
        f"{millimetres(layout.spacing_m)} ({given}).{unsure}"
    )


def _frame_rows(found: Assessment) -> Iterator[FrameRow]:
    layout = found.layout
    for index, frame in numbered(layout.frames):
        yield FrameRow(
            number=str(index),
            driver=frame.label,
            from_top=_bare(millimetres(layout.height_m - frame.y_m)),
            from_left=_bare(millimetres(frame.x_m)),
            frame=_bare(_size(frame.width_m, frame.height_m, frame.round)) if frame.size_known else NONE,
            cutout=_bare(_size(frame.cut_width_m, frame.cut_height_m, frame.round)),
        )


def _bare(length: str) -> str:
    """The figure without its unit: the head of the column has it."""
    return length.removesuffix(f"{wording.NO_BREAK}mm")


def _polarity(found: Assessment) -> Iterator[str]:
    design, pairing = found.design, found.case.pairing
    lows, highs = ("driver" if n == 1 else "drivers" for n in (pairing.low_count, pairing.high_count))
    yield f"Low {lows}: plus to the output of the low branch, minus to the common return."
    if design is not None and design.high_reversed:
        yield f"High {highs} REVERSED: minus to the output of the high branch, plus to the common return. This is right for this slope."
    else:
        yield f"High {highs}: plus to the output of the high branch, minus to the common return."
    yield "Mark plus on every cable before it goes into the cabinet; the last reading below finds a swapped pair."


def _wirings(found: Assessment) -> Iterator[WiringBlock]:
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


def _reading(reading: Reading) -> ReadingRow:
    low, high = reading.expected * (1.0 - reading.tolerance), reading.expected * (1.0 + reading.tolerance)
    unit = wording.PRINTED_UNITS.get(reading.unit, reading.unit)
    fine = (
        f"{number(low, 2)}{wording.NO_BREAK}{unit} or more"
        if reading.unit == "dB"
        else f"{number(low, 2)} to {number(high, 2)}{wording.NO_BREAK}{unit}"
    )
    return ReadingRow(printed(reading.what), printed(reading.how), with_unit(reading.expected, reading.unit, 2), fine)


# --- checks -------------------------------------------------------------------------------------------------------


def _tally(checks: Iterable[Check]) -> str:
    counts = Counter(check.outcome for check in checks)
    return ", ".join(f"{counts[word]} {word}" for word in ("pass", "marginal", "fail", "not assessed") if counts[word])


def _check(check: Check) -> CheckRow:
    if check.unit == "Hz":
        value, limit = hertz(check.value), hertz(check.limit)
    else:
        value, limit = with_unit(check.value, check.unit), with_unit(check.limit, check.unit)
    margin = with_unit(check.margin, check.margin_unit).replace("octave", "oct.")
    signed = f"+{margin}" if check.margin is not None and check.margin > 0 else margin
    text = " ".join(sentence(printed(part)) for part in dict.fromkeys((check.text, check.condition)) if part)
    return CheckRow(MARKS[check.outcome], check.title, text, value, limit, signed, _source(check.source))


def _source(source: str) -> str:
    """Where a limit comes from; the trade's own rules carry a dagger that the head of the column explains."""
    return printed(source.replace(f" ({COMMON})", DAGGER).replace(COMMON, f"practice{DAGGER}"))


def _gaps(found: Assessment) -> Iterator[GapRow]:
    for check in found.checks:
        if check.outcome == "not assessed":
            yield GapRow(check.title, check.essential, check.missing or (sentence(printed(check.text)),))


def _remedies(found: Assessment) -> Iterator[RemedyRow]:
    for remedy in found.remedies:
        yield RemedyRow(
            changes=sentence(printed("; ".join(remedy.changes))),
            mark=MARKS[remedy.word],
            range=wording.span(*remedy.range_hz),
            crossover=hertz(remedy.crossover_hz),
            price=money(remedy.price, found.case.maker.currency),
            text=sentence(printed(remedy.condition)),
        )
