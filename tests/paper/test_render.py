"""The printed sheet as a file: tagged, complete, the same every time, and closed to the outside."""

from __future__ import annotations

import importlib
import pkgutil
import re
import shutil
import subprocess
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest
from jinja2 import meta

import reportgen.paper
from reportgen.paper import drawings
from reportgen.paper.composing import sheet_page
from reportgen.paper.render import Press, press, render_sheet, sheet_document, templates_folder, written
from reportgen.paper.wording import MARKS
from reportgen.problems import PageFailed, ReportgenError
from tests.every import every
from tests.paper import samples
from tests.paper.pdfs import before_the_annex, bookmarks, opened, text
from tests.paper.samples import STAMP, VARIANTS, plain, suitable, with_remedies

needs_poppler = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler-utils is not installed")


def printed(name: str, paper: str = "A4", pages: str = "all") -> bytes:
    return samples.printed(name, paper, pages)


@pytest.fixture(scope="module")
def sheet() -> bytes:
    return printed("conditions")


# --- the file -----------------------------------------------------------------------------------------------------


def test_it_is_tagged_titled_and_in_a_language(sheet: bytes) -> None:
    # ISO 14289-1 (PDF/UA-1): MarkInfo, a language, a title that viewers show, the identifier in the metadata
    with opened(sheet) as pdf:
        assert pdf.Root.MarkInfo.Marked
        assert str(pdf.Root.Lang) == "en"
        assert pdf.Root.ViewerPreferences.DisplayDocTitle
        assert str(pdf.docinfo.Title).startswith("P-01")
        assert b"pdfuaid" in pdf.Root.Metadata.read_bytes()


def test_pages_are_numbered_as_the_sheet_orders_them(sheet: bytes) -> None:
    with opened(sheet) as pdf:
        titles = bookmarks(pdf)
    assert titles[0] == "Reedmace"
    wanted = ["Where the crossover may lie", "Build Reedmace", "Annex: curves", "Annex: checks"]
    assert [title for title in titles if title in wanted] == wanted


@pytest.mark.skipif(shutil.which("qpdf") is None, reason="qpdf is not installed")
def test_qpdf_finds_nothing_wrong(sheet: bytes, tmp_path: Path) -> None:
    file = tmp_path / "sheet.pdf"
    file.write_bytes(sheet)
    found = subprocess.run(["qpdf", "--check", str(file)], capture_output=True, text=True, check=False)
    assert found.returncode == 0, found.stdout + found.stderr


def test_the_same_inputs_give_the_same_bytes(sheet: bytes) -> None:
    assert render_sheet(suitable("P-01"), STAMP) == sheet
    assert written(sheet_document(Press(), suitable("P-01"), STAMP, "A4")) == sheet


@pytest.mark.parametrize(("paper", "size"), [("A4", (595.276, 841.89)), ("Letter", (612.0, 792.0))])
def test_paper_sizes(paper: str, size: tuple[float, float]) -> None:
    # ISO 216: 210 by 297 mm; ANSI/ASME Y14.1: 8.5 by 11 inches; 72 points an inch
    with opened(printed("plain", paper)) as pdf:
        for page in pdf.pages:
            assert [float(v) for v in page.mediabox[2:]] == pytest.approx(size, abs=0.01)


def test_an_unknown_paper_is_refused() -> None:
    with pytest.raises(ReportgenError, match="it must be A4 or Letter"):
        render_sheet(plain(), STAMP, None, "A3")


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", ["plain", "conditions", "ribbon", "two lows", "column"])
def test_a_sheet_is_two_sides_and_an_annex(name: str, paper: str) -> None:
    with opened(printed(name, paper)) as pdf:
        assert 4 <= len(pdf.pages) <= 5
    assert before_the_annex(printed(name, paper)) == 2


@pytest.mark.parametrize(("name", "paper"), [("conditions", "A4"), ("two lows", "Letter")])
def test_without_the_annex_it_is_what_stands_before_it(name: str, paper: str) -> None:
    with opened(printed(name, paper, "sheet")) as pdf:
        assert len(pdf.pages) == 2
        assert not [title for title in bookmarks(pdf) if title.startswith("Annex")]


@needs_poppler
def test_a_contact_line_is_not_broken_where_it_fits_a_line(tmp_path: Path) -> None:
    found = suitable("P-01")
    lines = ("3 Slipway Yard, Fenwater, upper floor at the back", "kits@quillwater.example", "Bench line: 555 0143")
    maker = replace(found.case.maker, contact_1=lines[0], contact_2=lines[1], contact_3=lines[2])
    file = tmp_path / "sheet.pdf"
    file.write_bytes(render_sheet(replace(found, case=replace(found.case, maker=maker)), STAMP))
    laid = subprocess.run(
        ["pdftotext", "-l", "1", "-layout", str(file), "-"], capture_output=True, text=True, check=True
    )
    for line in lines:
        assert line in laid.stdout


# --- what stands on it --------------------------------------------------------------------------------------------


@needs_poppler
def test_a_suitable_pairing_says_so_and_tells_all(tmp_path: Path) -> None:
    found = suitable("P-01")
    words = text(printed("conditions"), tmp_path)
    assert "Suitable with conditions" in words
    for line in found.parts:
        assert f" {line.label} " in words
    for check in found.checks:
        assert check.title in words
    for caution in found.cautions:
        assert caution.title in words
    for part in ("run 007", "9f3c1a77b2d4", "2026-11-25", "rev 3", "1/2", "2/2", "Annex1/2", "Annex2/2"):
        assert part.replace(" ", "") in words.replace(" ", "")


@needs_poppler
def test_a_pairing_that_is_not_suitable_gets_no_build_page(tmp_path: Path) -> None:
    words = text(printed("remedies"), tmp_path)
    assert "Not suitable" in words
    assert "The cone breaks up at 5200 Hz." in words
    assert "The nearest yes" in words
    assert "Change number 1 of some length." in words
    assert "No build side" in words
    assert "The network" not in words
    assert "Parts for one loudspeaker" not in words


@needs_poppler
def test_what_is_missing_is_named_with_its_cell(tmp_path: Path) -> None:
    words = text(printed("undecided"), tmp_path)
    assert "Undecided" in words
    assert "Not assessed, and why" in words
    assert "Low drivers!P9" in words


@needs_poppler
def test_a_sheet_without_network_says_why(tmp_path: Path) -> None:
    words = text(printed("bare"), tmp_path)
    assert "No curves: The response of the low driver is missing." in words


@needs_poppler
@pytest.mark.parametrize("name", ["ideographs", "right to left", "long names"])
def test_names_in_any_script_are_there_and_without_boxes_for_missing_letters(name: str, tmp_path: Path) -> None:
    found = VARIANTS[name]()
    kit = found.case.pairing.kit or ""
    page = sheet_page(found, STAMP)
    assert page.kit == kit
    letters = set(text(printed(name), tmp_path))
    assert set(kit) - {" "} <= letters


def test_what_the_operator_typed_is_text_and_never_markup() -> None:
    nasty = "<script>alert(1)</script> & <img src=x> \"' {{ page }}"
    html = press().html(sheet_page(renamed_to(nasty), STAMP))
    assert "<script>" not in html
    assert "<img src=x>" not in html
    assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp;" in html
    assert "{{ page }}" in html


def renamed_to(name: str) -> Any:
    found = suitable("P-01")
    case = replace(
        found.case, pairing=replace(found.case.pairing, kit=name), maker=replace(found.case.maker, footer=name)
    )
    return replace(found, case=case)


def test_every_outcome_has_a_sign_and_a_word_beside_its_colour() -> None:
    html = press().html(sheet_page(with_remedies(), STAMP))
    cells = re.findall(r'<td class="mark \w+">(.)&#8194;([a-z ]+)</td>', html)
    assert len(cells) == html.count('<td class="mark') > 20
    assert set(cells) <= {(mark.sign, mark.word) for mark in MARKS.values()}
    assert len({mark.sign for mark in MARKS.values()}) == 4


# --- templates ----------------------------------------------------------------------------------------------------

PAGES = [
    one
    for found in pkgutil.iter_modules(reportgen.paper.__path__, "reportgen.paper.")
    for name, one in vars(importlib.import_module(found.name)).items()
    if name.endswith("Page") and is_dataclass(one) and one.__module__ == found.name
]
TEMPLATES = sorted(path for path in templates_folder().glob("*.html"))


def spelled_out(kind: Any, seen: set[str]) -> set[str]:
    """Names of all fields of a dataclass and of the dataclasses inside it."""
    found: set[str] = set()
    if is_dataclass(kind) and kind.__name__ not in seen:
        seen.add(kind.__name__)
        for name, hint in get_type_hints(kind).items():
            if name in {field.name for field in fields(kind)}:
                found.add(name)
                found |= spelled_out(hint, seen)
    for part in get_args(kind):
        found |= spelled_out(part, seen)
    return found


def source_of(name: str, seen: set[str]) -> str:
    """A template with all that it includes or imports."""
    if name in seen:
        return ""
    seen.add(name)
    source = (templates_folder() / name).read_text(encoding="utf-8")
    others = re.findall(r"(?:include|from|extends) \"([^\"]+)\"", source)
    return source + "".join(source_of(other, seen) for other in others)


@every("path", TEMPLATES, ids=lambda path: path.name)
def test_a_template_knows_its_page_and_nothing_else(path: Path) -> None:
    tree = press().environment.parse(path.read_text(encoding="utf-8"))
    assert meta.find_undeclared_variables(tree) <= {"page"}


@every("page", PAGES, ids=lambda page: page.__name__)
def test_the_template_uses_every_field_of_its_page_and_no_other(page: Any) -> None:
    source = source_of(page.template, set())
    used = set(re.findall(r"\bpage\.(\w+)", source))
    own = {field.name for field in fields(page)}
    assert used <= own | {"subject"}  # parts.html serves pages with and without a subject
    assert own <= used


def test_every_name_after_a_dot_is_a_field_somewhere() -> None:
    known = set().union(*(spelled_out(page, set()) for page in PAGES)) | {"index", "last", "first", "html"}
    for path in TEMPLATES:
        expressions = re.findall(r"\{[{%](.*?)[%}]\}", path.read_text(encoding="utf-8"), flags=re.S)
        for expression in expressions:
            bare_code = re.sub(r"\"[^\"]*\"|'[^']*'", "", expression)
            for name in re.findall(r"(?<=[a-z\])])\.([a-z_]+)", bare_code):
                assert name in known, f"{path.name}: .{name}"


def test_every_ink_is_defined_once() -> None:
    source = (templates_folder() / "drawing.html").read_text(encoding="utf-8")
    defined = re.findall(r"^  \"([\w-]+)\":", source.partition("{% set LOOKS")[0], flags=re.M)
    assert sorted(defined) == sorted((*drawings.LINE_INKS, *drawings.FILL_INKS, *drawings.TEXT_INKS))


def test_an_undefined_name_in_a_template_is_an_error(tmp_path: Path) -> None:
    (tmp_path / "front.html").write_text("{{ page.no_such_field }}")
    with pytest.raises(PageFailed, match=r"front\.html, line 1: .*no_such_field"):
        render_sheet(plain(), STAMP, tmp_path)


@needs_poppler
def test_an_operators_own_file_takes_the_place_of_ours(tmp_path: Path) -> None:
    own = tmp_path / "own"
    own.mkdir()
    (own / "annex.html").write_text('<section class="checks"><h2>OUR OWN LAST PAGE</h2></section>')
    words = text(render_sheet(plain(), STAMP, own), tmp_path)
    assert "OUR OWN LAST PAGE" in words
    assert "Reedmace" in words
    assert "All checks" not in words


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(ReportgenError, match="no such folder"):
        render_sheet(plain(), STAMP, tmp_path / "nowhere")


@pytest.mark.parametrize("address", ["file:///etc/hostname", "http://127.0.0.1:9/x.png"])
def test_nothing_from_outside_is_opened(address: str, tmp_path: Path) -> None:
    (tmp_path / "front.html").write_text(f'<p>before</p><img src="{address}" alt="x">')
    with pytest.raises(ReportgenError, match="nothing from outside"):
        render_sheet(plain(), STAMP, tmp_path)


def test_a_picture_beside_the_template_is_not_opened_either(tmp_path: Path) -> None:
    pixel = bytes.fromhex("89504e470d0a1a0a0000000d49484452000000010000000108000000003a7e9b55")
    (tmp_path / "near.png").write_bytes(pixel)
    (tmp_path / "front.html").write_text('<p>before</p><img src="near.png" alt="what stands instead">')
    with pytest.raises(PageFailed, match=r"front\.html, line 1: “near\.png” cannot be loaded"):
        render_sheet(plain(), STAMP, tmp_path)
