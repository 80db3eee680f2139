"""What one row says about another: references, files beside the workbook, cells that must agree.

Knows which records must fit together before a pairing can be worked out. Refuses to judge whether they suit
each other acoustically.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

from reportgen.catalogue import cells, columns
from reportgen.catalogue.columns import FREE_AIR, LARGE_BAFFLE, Kind, equal_rows
from reportgen.catalogue.curves import angle_of, at_angles, read_curve
from reportgen.catalogue.files import NotBesideError, find_beside
from reportgen.catalogue.plausible import problems_at_angle, problems_of_curve, why_not_at_angle
from reportgen.catalogue.records import (
    Cabinet,
    HighDriver,
    LowDriver,
    MeasuredCurve,
    Pairing,
    Record,
    StockPart,
    Technology,
    Waveguide,
    problem_at,
)
from reportgen.catalogue.tables import ONLY_ROW, Table
from reportgen.problems import CurveUnreadable, Problem

Tables = Mapping[str, Table]
Curves = dict[tuple[str, str], MeasuredCurve]

ORDER = (
    "Technologies", "Cabinets", "Low drivers", "High drivers", "Waveguides", "Parts", "Pairings", "Enquiries", "Maker",
)  # fmt: skip
"""Sheets in the order in which they lean on one another."""

_QUANTITIES = {"response_file": "response", "impedance_file": "impedance"}
_TELLING_OF = {
    "response_file": frozenset(("response_measured", "measured_at_m", "measuring_voltage_v", "response_phase")),
    "impedance_file": frozenset(("impedance_measured",)),
}
"""Cells without whose values a file says nothing: it is not read where one of them cannot be used."""
_LOGOS = (".png", ".jpg", ".jpeg", ".svg")


def relate(tables: Tables, root: Path) -> Curves:
    """Follow every reference, read every file, and take out of use what does not fit; the curves by driver.

    A row that names an unusable row becomes unusable itself and inherits its errors.
    """
    curves: Curves = {}
    read: dict[tuple[str, str], MeasuredCurve | str] = {}
    for technology in list(tables["Technologies"].records.values()):
        for other in cast(Technology, technology).synonyms or ():
            tables["Technologies"].call(technology.id, other)
    for name in ORDER:
        table = tables[name]
        for record in list(table.records.values()):
            _resolve(record, table, tables)
            _resolve_measuring(record, table, tables)
            _find_files(table.records.get(record.id, record), table, root, curves, read)
            for check in CHECKS.get(name, ()):
                if record.id not in table.records:
                    break
                for problem in check(table.records[record.id], tables):
                    if problem.notice:
                        table.problems.append(problem)
                    else:
                        table.cost(record, problem)
    return curves


def _resolve(record: Record, table: Table, tables: Tables) -> None:
    """Give every reference the spelling of the ID it means; take the record out when it means none."""
    spelled: dict[str, Any] = {}
    for column in table.sheet.columns:
        name = getattr(record, column.field, None) if column.kind is Kind.REFERENCE else None
        if name is None:
            continue
        target = tables[column.refers]
        key = target.find(name)
        found = f"“{name}” stands here"
        if key is None:
            mend = cells.nearest(target.ids, name) or "Add the row, or name one that is there."
            table.spoil(record, problem_at(record, column.field, found, f"no row of {column.refers} has this ID", mend))
        elif key in target.spoiled:
            errors = target.spoiled[key]
            place = next(iter(errors)).place
            expected = f"its own row cannot be used ({place})"
            table.spoil(record, problem_at(record, column.field, found, expected, "Mend that row."), errors)
        elif key != name:
            spelled[column.field] = key
    if spelled and record.id in table.records:
        table.records[record.id] = replace(record, **spelled)


_WHERE = {"response_measured": LARGE_BAFFLE, "impedance_measured": FREE_AIR}
"""Where a curve counts as measured: by field, what may stand there beside the ID of a cabinet."""


def _resolve_measuring(record: Record, table: Table, tables: Tables) -> None:
    """Give the place of a measurement its spelling: the usual one, or the ID of a cabinet that can be used."""
    cabinets, spelled = tables["Cabinets"], {}
    for field_name, usual in _WHERE.items():
        name = getattr(record, field_name, None)
        if name is None:
            continue
        found, key = f"“{name}” stands here", cabinets.find(name)
        if cells.id_key(name) == cells.id_key(usual):
            spelled[field_name] = usual
        elif key is None:
            mend = cells.nearest((usual, *cabinets.ids), name) or f"Write {usual}, or the ID of a cabinet."
            expected = f"it is not “{usual}”, and no cabinet has this ID"
            table.cost(record, problem_at(record, field_name, found, expected, mend))
        elif key in cabinets.spoiled:
            expected = f"its own row cannot be used ({next(iter(cabinets.spoiled[key])).place})"
            table.cost(record, problem_at(record, field_name, found, expected, "Mend that row."))
        else:
            spelled[field_name] = key
    if spelled and record.id in table.records:
        table.records[record.id] = replace(table.records[record.id], **spelled)  # type: ignore[arg-type]


def _find_files(
    record: Record, table: Table, root: Path, curves: Curves, read: dict[tuple[str, str], MeasuredCurve | str]
) -> None:
    for column in table.sheet.columns:
        name = getattr(record, column.field, None) if column.kind is Kind.FILE else None
        if name is None or set(record.unread or ()) & _TELLING_OF.get(column.field, frozenset()):
            continue
        try:
            path = find_beside(root, name)
        except NotBesideError as error:
            _drop_file(record, table, column.field, f"“{name}” stands here", error.expected, error.mend)
            continue
        quantity = _QUANTITIES.get(column.field)
        if quantity is None:
            if path.suffix.casefold() not in _LOGOS:
                expected = "it must be a PNG, JPEG or SVG file"
                _drop_file(record, table, column.field, f"“{name}” stands here", expected, column.help)
            continue
        curve = _read_once(name, path, root, quantity, read)
        if isinstance(curve, str):
            mend = "Mend the file, or empty the cell."
            _drop_file(record, table, column.field, f"“{name}” stands here", curve.rstrip("."), mend)
            continue
        for problem in problems_of_curve(cast(LowDriver | HighDriver, record), curve, quantity):
            if problem.notice:
                table.problems.append(problem)
            else:
                table.cost(record, problem)
        if getattr(table.records[record.id], column.field) is None:
            continue
        curves[(record.id, quantity)] = curve
        if quantity == "response":
            _find_angles(record, table, root, name, curves, read)


def _read_once(
    name: str, path: Path, root: Path, quantity: str, read: dict[tuple[str, str], MeasuredCurve | str]
) -> MeasuredCurve | str:
    """The curve in a file, or why there is none."""
    key = (str(path), quantity)
    if key not in read:
        try:
            read[key] = read_curve(name, root, quantity)
        except CurveUnreadable as error:
            read[key] = str(error)
    return read[key]


def _find_angles(
    record: Record,
    table: Table,
    root: Path,
    name: str,
    curves: Curves,
    read: dict[tuple[str, str], MeasuredCurve | str],
) -> None:
    """Read the files beside a response file whose names say an angle; one that cannot be read is left out."""
    said = angle_of(name)
    if said is not None and said[2] != 0.0:
        expected = f"its name says {said[2]:g} degrees off the axis, and the response on the axis is wanted"
        mend = "Name the file on the axis; those at an angle beside it are found by their names."
        del curves[(record.id, "response")]
        table.cost(record, problem_at(record, "response_file", f"“{name}” stands here", expected, mend))
        return
    axis, driver = curves[(record.id, "response")], cast(LowDriver | HighDriver, record)
    for file, (plane, degrees) in at_angles(name, root).items():
        curve = _read_at_angle(file, degrees, curves.get((record.id, f"response {plane}{degrees:g}")), root, read)
        wrong = curve if isinstance(curve, str) else why_not_at_angle(driver, axis, curve)
        if wrong:
            found, mend = f"“{name}” stands here", "Mend that file, or rename it."
            expected = f"{wrong.rstrip('.')}; {file} at {degrees:g} degrees beside it does not count"
            beside = abs(degrees) >= 90.0
            problem = problem_at(record, "response_file", found, expected, "" if beside else mend, notice=beside)
            table.problems.append(problem)
        elif isinstance(curve, MeasuredCurve):
            curves[(record.id, f"response {plane}{degrees:g}")] = curve
            table.problems.extend(problems_at_angle(driver, axis, curve))


def _read_at_angle(
    file: str,
    degrees: float,
    other: MeasuredCurve | None,
    root: Path,
    read: dict[tuple[str, str], MeasuredCurve | str],
) -> MeasuredCurve | str:
    """The curve in a file at an angle, where `other` is the one that says the same angle; or why there is none."""
    if abs(degrees) >= 90.0:
        return "only angles of less than 90 degrees are taken"
    if other is not None:
        return f"{other.file} says the same angle"
    try:
        return _read_once(file, find_beside(root, file), root, "response", read)
    except NotBesideError as error:
        return f"{file}: {error}"


def _drop_file(record: Record, table: Table, field_name: str, found: str, expected: str, mend: str) -> None:
    problem = problem_at(record, field_name, found, expected, mend)
    if record.id == ONLY_ROW:  # sheets can be printed without a logo
        table.problems.append(problem)
        table.records[record.id] = replace(table.records[record.id], **{field_name: None})  # type: ignore[arg-type]
    else:
        table.cost(record, problem)


def _check_technology(record: Record, tables: Tables) -> Iterator[Problem]:
    del tables
    technology = cast(Technology, record)
    if (technology.large_from_m is None) != (technology.large_floor_hz is None):
        empty = "large_floor_hz" if technology.large_floor_hz is None else "large_from_m"
        expected = "Large from and Large floor go together; neither counts"
        yield problem_at(record, empty, "empty", expected, "Fill both or none.", notice=True)


def _warned(record: Record, field: str, found: str, expected: str, mend: str = "Check both figures.") -> Problem:
    return problem_at(record, field, found, expected, mend, notice=True)


def _typed(record: Record, field: str) -> str:
    """A figure of a row in the unit of its column, which is named: the heading may have another."""
    column = columns.sheet(record.origin.sheet).column(field)
    return f"{getattr(record, field) / column.factor:.10g} {column.unit}".rstrip()


def _here(record: Record, field: str) -> str:
    return f"{_typed(record, field)} stands here"


def _usual(record: Record, *fields: str) -> bool:
    """Whether figures of a row are known and such as its columns usually hold: of others that was said already, and what follows from them is no news."""
    for field in fields:
        column, value = columns.sheet(record.origin.sheet).column(field), getattr(record, field)
        if value is None or cells.implausible(column, value, column.unit):
            return False
    return True


def _check_hole(record: Record, *pairs: tuple[str, str]) -> Iterator[Problem]:
    """Cut-outs that are no smaller than what must cover them."""
    for hole, cover in pairs:
        cut, over = getattr(record, hole), getattr(record, cover)
        if cut is not None and over is not None and cut >= over:
            expected = (
                f"the frame that must cover the cut-out measures {_typed(record, cover)} ({record.origin.place(cover)})"
            )
            yield _warned(record, hole, _here(record, hole), expected)


def _check_low_driver(record: Record, tables: Tables) -> Iterator[Problem]:
    """Figures of one row that cannot all be right; warnings, for the assessment says what it makes of them."""
    del tables
    low = cast(LowDriver, record)
    yield from _check_hole(low, ("cutout_m", "frame_width_m"), ("cutout_m", "frame_height_m"))
    if low.frame_width_m is not None and _usual(low, "frame_width_m", "diaphragm_area_m2"):
        share = low.diaphragm_area_m2 / (math.pi / 4.0 * low.frame_width_m * (low.frame_height_m or low.frame_width_m))
        if not LEAST_SHARE <= share <= 1.0:
            found = _here(record, "diaphragm_area_m2")
            expected = f"a frame of {low.frame_width_m * 1e3:.4g} mm usually holds {LEAST_SHARE:.0%} to 100% of its own area as cone"
            yield _warned(record, "diaphragm_area_m2", found, expected)
    if (
        low.vas_m3 is not None
        and low.moving_mass_kg is not None
        and _usual(low, "vas_m3", "moving_mass_kg", "diaphragm_area_m2", "fs_hz")
    ):
        compliance = low.vas_m3 / (STIFFNESS_OF_AIR_PA * low.diaphragm_area_m2**2)
        hz = 1.0 / (2.0 * math.pi * math.sqrt(low.moving_mass_kg * compliance))
        if not 1.0 / CONTRADICTS <= hz / low.fs_hz <= CONTRADICTS:
            yield _warned(record, "fs_hz", _here(record, "fs_hz"), f"Vas, Sd and Mms make it {hz:.3g} Hz")
    if (
        low.moving_mass_kg is not None
        and low.force_factor_t_m is not None
        and _usual(low, "moving_mass_kg", "force_factor_t_m", "fs_hz", "re_ohm", "qes")
    ):
        qes = 2.0 * math.pi * low.fs_hz * low.moving_mass_kg * low.re_ohm / low.force_factor_t_m**2
        if not 1.0 / CONTRADICTS <= qes / low.qes <= CONTRADICTS:
            yield _warned(record, "qes", _here(record, "qes"), f"Fs, Mms, Re and BL make it {qes:.3g}")


LEAST_SHARE = 0.3
"""Least share of a frame's area that the cone of a usual woofer has (common practice, no source)."""
CONTRADICTS = 1.25
"""Two figures of one thing that lie further apart than this contradict one another (common practice, no source)."""
STIFFNESS_OF_AIR_PA = 1.4 * 101325.0
"""Adiabatic: ratio of the specific heats times the standard pressure (ISO 2533)."""


LEAST_OF_OUTLINE, MOST_OF_OUTLINE = 0.3, 8.0
LEAST_OF_THROAT, MOST_OF_THROAT = 1.25, 16.0
"""Area of a high driver over that of its outline: a pleated film has more, a film between bars less, and a diaphragm that works
through a throat, whose width is what radiates, much more: 75 mm behind 25 mm is nine times (common practice, no source)."""


def _check_area(driver: HighDriver, tables: Tables) -> Iterator[Problem]:
    """Does the area go with the outline of what radiates?"""
    if driver.diaphragm_area_m2 is None or not _usual(driver, "diaphragm_area_m2", "radiating_width_m"):
        return
    width, kind = driver.radiating_width_m, tables["Technologies"].records.get(driver.technology)
    throat = isinstance(kind, Technology) and kind.family == "compression"
    least, most = (LEAST_OF_THROAT, MOST_OF_THROAT) if throat else (LEAST_OF_OUTLINE, MOST_OF_OUTLINE)
    outline = width * (driver.radiating_height_m or width) * (math.pi / 4.0 if driver.shape == "round" else 1.0)
    if not least < driver.diaphragm_area_m2 / outline < most:
        found = _here(driver, "diaphragm_area_m2")
        expected = f"a surface of that outline has about {float(f'{outline * 1e4:.3g}'):g} cm2"
        mend = "Check area and sizes"
        if throat:
            mend += f": the exit radiates, and its width belongs in {driver.origin.place('radiating_width_m')}"
        yield _warned(driver, "diaphragm_area_m2", found, expected, f"{mend}.")


def _check_high_driver(record: Record, tables: Tables) -> Iterator[Problem]:
    driver = cast(HighDriver, record)
    twin = tables["Low drivers"].find(driver.id)
    if twin is not None:
        expected = "a low driver has the same ID, and measured curves would be mixed up"
        yield problem_at(record, "id", f"“{driver.id}” stands here", expected, "Rename one of the two.")
    yield from _check_hole(driver, ("cutout_width_m", "faceplate_width_m"), ("cutout_height_m", "faceplate_height_m"))
    width, height = driver.radiating_width_m, driver.radiating_height_m
    if driver.shape == "rectangular" and height is None:
        mend = "Give the height of the radiating surface."
        yield problem_at(record, "radiating_height_m", "empty", "a rectangular surface needs its height", mend)
    if driver.shape == "round" and height is not None and not math.isclose(width, height, rel_tol=1e-3):
        found = _here(record, "radiating_height_m")
        mend = "Empty the cell, or choose rectangular."
        yield problem_at(
            record,
            "radiating_height_m",
            found,
            f"a round surface is {_typed(record, 'radiating_width_m')} high too",
            mend,
        )
    yield from _check_area(driver, tables)
    if driver.rear == "open" and driver.rear_chamber_m3 is not None:
        found = _here(driver, "rear_chamber_m3")
        expected = "a driver open at the back has no chamber; it does not count"
        yield problem_at(record, "rear_chamber_m3", found, expected, "Empty the cell.", notice=True)


def _check_guide(record: Record, tables: Tables) -> Iterator[Problem]:
    guide = cast(Waveguide, record)
    drivers, technologies = tables["High drivers"], tables["Technologies"]
    for name in guide.fits:
        if drivers.find(name) is None and technologies.find(name) is None:
            mend = cells.nearest((*drivers.ids, *technologies.ids), name)
            expected = "no high driver and no technology has this name"
            found, mend = f"“{name}” stands here", mend or "Separate names by semicolons."
            if len(guide.fits) > 1:
                yield problem_at(record, "fits", found, f"{expected}; it does not count", mend, notice=True)
            else:
                yield problem_at(record, "fits", found, expected, mend)


def _check_cabinet(record: Record, tables: Tables) -> Iterator[Problem]:
    del tables
    cabinet = cast(Cabinet, record)
    if cabinet.high_from_top_m is not None and cabinet.high_from_top_m >= cabinet.baffle_height_m:
        found = _here(record, "high_from_top_m")
        expected = f"it must be less than the height of the baffle, {_typed(cabinet, 'baffle_height_m')}"
        yield problem_at(record, "high_from_top_m", found, expected, "Measure from the upper edge.")
    if cabinet.kind != "vented" and cabinet.tuning_hz is not None:
        found, expected = (
            _here(record, "tuning_hz"),
            f"a cabinet of kind {cabinet.kind} has no tuning; it does not count",
        )
        yield _warned(record, "tuning_hz", found, expected, "Empty the cell, or choose vented.")
    sides = (cabinet.baffle_width_m, cabinet.baffle_height_m, cabinet.depth_m)
    usual = _usual(cabinet, "net_volume_m3", "baffle_width_m", "baffle_height_m", "depth_m")
    if usual and cabinet.net_volume_m3 is not None and cabinet.net_volume_m3 >= math.prod(cast(Any, sides)):
        found = _here(record, "net_volume_m3")
        expected = f"the outside holds {math.prod(cast(Any, sides)) * 1e3:.3g} L; it counts as it stands"
        yield _warned(record, "net_volume_m3", found, expected, "Check it and the outer sizes.")
    if abs(cabinet.offset_m) >= cabinet.baffle_width_m / 2:
        found = _here(record, "offset_m")
        expected = f"it must be less than half the width of the baffle, {cabinet.baffle_width_m * 500:.10g} mm"
        yield problem_at(record, "offset_m", found, expected, "Measure from the centre line.")


LEAST_CROSSOVER_HZ = 400.0
"""Under this no crossover to a high driver is usual (common practice, no source)."""

_PART_UNITS = {
    "capacitor": (("uF", "nF"), "V"), "inductor": (("mH", "uH"), "A"), "resistor": (("ohm", "kohm"), "W"),
}  # fmt: skip


def _check_part(record: Record, tables: Tables) -> Iterator[Problem]:
    del tables
    part = cast(StockPart, record)
    units, rating_unit = _PART_UNITS[part.kind]
    if part.unit not in units:
        expected = f"the value of this kind of part ({part.kind}) is in {' or '.join(units)}"
        yield problem_at(record, "unit", f"“{part.unit}” stands here", expected, "Mend the kind or the unit.")
    if part.rating is not None and part.rating_unit != rating_unit:
        expected = f"the rating of this kind of part ({part.kind}) is in {rating_unit}"
        yield problem_at(record, "rating_unit", f"“{part.rating_unit}” stands here", expected, "Mend the unit.")


def _check_pairing(record: Record, tables: Tables) -> Iterator[Problem]:
    pairing = cast(Pairing, record)
    high = cast(HighDriver, tables["High drivers"].records[pairing.high_id])
    if pairing.guide_id is not None:
        guide = cast(Waveguide, tables["Waveguides"].records[pairing.guide_id])
        if not guide.suits(high):
            expected = f"this guide fits {'; '.join(guide.fits)}, and {high.id} is a {high.technology}"
            mend = f"Choose another guide, or add {high.id} to {guide.origin.place('fits')}."
            yield problem_at(record, "guide_id", f"“{guide.id}” stands here", expected, mend)
    yield from _check_rear(pairing, high)
    low = cast(LowDriver, tables["Low drivers"].records[pairing.low_id])
    at = pairing.crossover_hz
    if at is not None and high.fs_hz is not None and at < high.fs_hz:
        expected = f"it lies under the resonance of {high.id}, {high.fs_hz:.10g} Hz ({high.origin.place('fs_hz')})"
        yield _warned(record, "crossover_hz", _here(record, "crossover_hz"), expected, "Check the frequency.")
    elif at is not None and at < LEAST_CROSSOVER_HZ:
        expected = f"no high driver of the usual kinds is crossed over under {LEAST_CROSSOVER_HZ:.0f} Hz"
        yield _warned(record, "crossover_hz", _here(record, "crossover_hz"), expected, "Check the frequency.")
    if at is not None and low.breakup_hz is not None and at > low.breakup_hz:
        expected = (
            f"it lies over the cone break-up of {low.id}, {low.breakup_hz:.10g} Hz ({low.origin.place('breakup_hz')})"
        )
        yield _warned(record, "crossover_hz", _here(record, "crossover_hz"), expected, "Check the frequency.")
    cabinet = cast(Cabinet, tables["Cabinets"].records[pairing.cabinet_id])
    if pairing.high_from_top_m is not None and pairing.high_from_top_m >= cabinet.baffle_height_m:
        found = _here(record, "high_from_top_m")
        expected = f"it must be less than the height of the baffle, {_typed(cabinet, 'baffle_height_m')}"
        yield problem_at(record, "high_from_top_m", found, expected, "Measure from the upper edge.")
    if pairing.placement == "in a wall" and cabinet.kind == "open baffle":
        found, mend = "“in a wall” stands here", "Choose another placement, or another cabinet."
        expected = f"{cabinet.id} is an open baffle ({cabinet.origin.place('kind')}) and radiates to both sides of it"
        yield problem_at(record, "placement", found, expected, mend)
    if pairing.arrangement == "low-high-low" and pairing.low_count % 2:
        found = f"the count is {pairing.low_count}"
        mend = "Give 2, or another arrangement."
        yield problem_at(record, "low_count", found, "low-high-low needs an even count of low drivers", mend)
    for side in ("low", "high"):
        count, wiring = getattr(pairing, f"{side}_count"), getattr(pairing, f"{side}_wiring")
        if wiring == "series-parallel" and not equal_rows(count):
            expected = f"{count} drivers cannot be wired as equal rows"
            found = f"“{wiring}” stands here"
            yield problem_at(record, f"{side}_wiring", found, expected, "Choose series or parallel, or another count.")


def _check_rear(pairing: Pairing, high: HighDriver) -> Iterator[Problem]:
    removed = pairing.rear_use == "removed"
    if removed and high.rear != "removable":
        expected = f"the rear of {high.id} is {high.rear} ({high.origin.place('rear')})"
        yield problem_at(pairing, "rear_use", "“removed” stands here", expected, "Choose as supplied.")
    if pairing.chamber_m3 is None:
        return
    found = _here(pairing, "chamber_m3")
    offered = [*(high.other_chambers_m3 or ()), *([high.rear_chamber_m3] if high.rear_chamber_m3 else [])]
    if removed:
        expected = "with the rear removed there is no chamber"
        yield problem_at(pairing, "chamber_m3", found, expected, "Empty the cell, or choose as supplied.")
    elif not any(math.isclose(pairing.chamber_m3, chamber, rel_tol=1e-6) for chamber in offered):
        listed = ", ".join(f"{chamber * 1e6:.10g}" for chamber in offered) or "no chamber"
        expected = f"{high.id} is offered with {listed} (mL)" if offered else f"{high.id} is offered with no chamber"
        mend = f"Choose one of them, or add it to {high.origin.place('other_chambers_m3')}."
        yield problem_at(pairing, "chamber_m3", found, expected, mend)


CHECKS: Mapping[str, tuple[Callable[[Record, Tables], Iterator[Problem]], ...]] = {
    "Technologies": (_check_technology,),
    "Low drivers": (_check_low_driver,),
    "High drivers": (_check_high_driver,),
    "Waveguides": (_check_guide,),
    "Cabinets": (_check_cabinet,),
    "Parts": (_check_part,),
    "Pairings": (_check_pairing,),
}
"""What is asked of the records of a sheet beyond their single cells; a new question is one function here."""
