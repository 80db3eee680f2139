"""Whatever stands in cells and files: problems, or WorkbookUnusable, and nothing else."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from functools import cache

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

from reportgen.catalogue.columns import SHEETS
from reportgen.catalogue.curves import read_curve
from reportgen.catalogue.reading import read_catalogue
from reportgen.problems import CurveUnreadable, WorkbookUnusable
from tests.trying import LONG

TEXTS = st.text(max_size=30).filter(lambda text: not ILLEGAL_CHARACTERS_RE.search(text))
TYPED = st.from_regex(
    r"[-+−]?[0-9]{1,4}([.,' ][0-9]{1,4}){0,3}(e-?[0-9]{1,3})? ?(mm|um|Hz|kHz|ohm|%|dB)?", fullmatch=True
)
KNOWN = st.sampled_from(
    [
        "LD-1",
        "HD-1",
        "CB-1",
        "P-1",
        "soft dome",
        "round",
        "sealed",
        "removed",
        "closed",
        "yes",
        "../x",
        "a.txt",
        "uF",
        "V",
        "#REF!",
        "=1+1",
        "low-high-low",
        "programme level x Hz",
        "2025-02-30",
        "31/12/2024",
        "1;2;x",
        "n/a",
    ]
)
CONTENTS = st.one_of(
    st.none(),
    st.floats(allow_nan=False, allow_infinity=False),
    st.integers(-(10**30), 10**30),
    st.booleans(),
    st.dates(dt.date(1901, 1, 1)),
    st.times(),
    TEXTS,
    TYPED,
    KNOWN,
)
CELLS = st.lists(
    st.tuples(st.sampled_from(SHEETS), st.integers(2, 4), st.integers(0, 39), CONTENTS), min_size=1, max_size=8
)
SLACK = [HealthCheck.function_scoped_fixture, HealthCheck.too_slow, HealthCheck.data_too_large]


@given(CELLS, TEXTS, st.integers(1, 40))
@settings(max_examples=100 if LONG else 40, deadline=None, suppress_health_check=SLACK)
def test_any_content_of_cells(tmp_path, tables, cells, heading, column):
    book = Workbook()
    book.remove(book.worksheets[0])
    for sheet in SHEETS:
        page = book.create_sheet(sheet.name)
        page.append([described.heading for described in sheet.columns])
        for row in tables.get(sheet.name, ()):
            page.append([row.get(described.field) for described in sheet.columns])
    for sheet, row, place, content in cells:
        book[sheet.name].cell(row, place % len(sheet.columns) + 1).value = content
    book["Low drivers"].cell(1, column, heading)
    path = tmp_path / "any.xlsx"
    book.save(path)
    catalogue = read_catalogue(path)
    for pairing in catalogue.pairings.values():
        case = catalogue.case(pairing)
        assert np.isfinite([case.low.re_ohm, case.low.diaphragm_area_m2, case.practice["air pressure"]]).all()
    assert np.isfinite(catalogue.practice.programme).all()
    for problem in catalogue.problems:
        assert str(problem).startswith(problem.sheet)
        assert problem.expected


@cache
def small_parts() -> dict[str, bytes]:
    book = Workbook()
    book.remove(book.worksheets[0])
    for sheet in SHEETS:
        page = book.create_sheet(sheet.name)
        page.append([column.heading for column in sheet.columns])
        page.append([f"X-{sheet.name}", 2.5, "text", dt.date(2025, 3, 31), True])
    buffer = io.BytesIO()
    book.save(buffer)
    with zipfile.ZipFile(buffer) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def packed(parts: dict[str, bytes]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for name, content in parts.items():
            archive.writestr(zipfile.ZipInfo(name), content)
    return buffer.getvalue()


def damaged(data: st.DataObject, content: bytes) -> bytes:
    spoiled = bytearray(content)
    for _ in range(data.draw(st.integers(1, 3))):
        spoiled[data.draw(st.integers(0, len(spoiled) - 1))] = data.draw(st.sampled_from(b'<>/"&=\0\xff0:x! '))
    return bytes(spoiled[: data.draw(st.one_of(st.just(len(spoiled)), st.integers(0, len(spoiled))))])


@given(st.data(), st.booleans())
@settings(max_examples=200 if LONG else 80, deadline=None, suppress_health_check=SLACK)
def test_any_damage_to_the_file(tmp_path, data, inside):
    parts = dict(small_parts())
    if inside:
        name = data.draw(st.sampled_from(sorted(parts)))
        parts[name] = damaged(data, parts[name])
    package = packed(parts)
    path = tmp_path / "damaged.xlsx"
    path.write_bytes(package if inside else damaged(data, package))
    try:
        read_catalogue(path)
    except WorkbookUnusable as error:
        assert error.problems


@given(st.lists(st.one_of(TYPED, TEXTS, st.from_regex(r"[0-9]{1,5}[ ;,\t][-0-9.,]{1,6}", fullmatch=True)), max_size=30))
@settings(max_examples=150 if LONG else 60, deadline=None, suppress_health_check=SLACK)
def test_any_text_as_a_curve(tmp_path, lines):
    path = tmp_path / "curve.txt"
    path.write_text("\n".join(lines), encoding="utf-8", errors="replace")
    try:
        curve = read_curve("curve.txt", tmp_path, "response")
    except CurveUnreadable as error:
        assert str(error).startswith("curve.txt")
    else:
        assert (np.diff(curve.frequency_hz) > 0).all()
        assert curve.phase_rad is None or np.isfinite(curve.phase_rad).all()


@pytest.mark.parametrize("raw", ["NaN", "1e999", "x", "", "1_0", "99" * 400])
def test_numbers_that_no_spreadsheet_program_stores(tmp_path, raw):
    """Raw content of a value element, as a faulty exporter may write it."""
    path = tmp_path / "raw.xlsx"
    book = Workbook()
    for sheet in SHEETS:
        book.create_sheet(sheet.name).append([column.heading for column in sheet.columns])
    book["Low drivers"].append(["LD-1", None, None, 123456.5])
    book.save(path)
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in parts.items():
            archive.writestr(name, content.replace(b"<v>123456.5</v>", f"<v>{raw}</v>".encode()))
    try:
        catalogue = read_catalogue(path)
    except WorkbookUnusable:
        return
    assert catalogue.low_drivers == {}
