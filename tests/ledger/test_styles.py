"""Styles of new sheets among those of a workbook: which number each gets, counted by hand."""

from __future__ import annotations

from lxml import etree

from reportgen.catalogue.package import MAIN
from reportgen.ledger import styles
from reportgen.ledger.styles import EMPTY_STYLES, StyleMerger
from tests.every import every

FONT = '<font><sz val="11"/><name val="Calibri"/></font>'
FILLS = '<fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/></fill>'
GREY = '<fill><patternFill patternType="solid"><fgColor rgb="FFE3E8ED"/></patternFill></fill>'
BORDER = "<border><left/><right/><top/><bottom/><diagonal/></border>"


def sheet(
    formats: str = "",
    fonts: str = FONT,
    fills: str = FILLS,
    cells: str = '<xf fontId="0" fillId="0" borderId="0"/>',
    more: str = "",
) -> etree._Element:
    """A style sheet of these parts, in the order of the schema."""
    numbers = f"<numFmts>{formats}</numFmts>" if formats else ""
    return etree.fromstring(
        f'<styleSheet xmlns="{MAIN[1:-1]}">{numbers}<fonts>{fonts}</fonts><fills>{fills}</fills><borders>{BORDER}</borders>'
        f"<cellStyleXfs><xf/></cellStyleXfs><cellXfs>{cells}</cellXfs>{more}</styleSheet>"
    )


def own_format(number: int, code: str) -> str:
    return f'<numFmt numFmtId="{number}" formatCode="{code}"/>'


def cell(number_format: int = 0, font: int = 0, fill: int = 0, more: str = "") -> str:
    return f'<xf numFmtId="{number_format}" fontId="{font}" fillId="{fill}" borderId="0"{more}/>'


@every(
    ("standing", "given"),
    [
        ("", 164), (own_format(164, "0.0"), 165), (own_format(200, "0.0"), 201), (own_format(170, "a") + own_format(166, "b"), 171),
        (own_format(180, "0.000"), 180), (own_format(40, "0.0"), 164),
    ],
)  # fmt: skip
def test_a_number_format_is_the_one_that_stands_or_follows_the_last(standing: str, given: int) -> None:
    """Own ones begin at 164 (ECMA-376 part 1, 18.8.30); the same code has the same number."""
    root = sheet(standing)
    merger = StyleMerger(root, sheet(own_format(164, "0.000"), cells=cell() + cell(164)))
    at = merger.cell_format(1)
    xf = root.findall(f"{MAIN}cellXfs/{MAIN}xf")[at]
    assert (xf.get("numFmtId"), xf.get("applyNumberFormat")) == (str(given), "1")
    formats = root.findall(f"{MAIN}numFmts/{MAIN}numFmt")
    assert [one.get("formatCode") for one in formats if one.get("numFmtId") == str(given)] == ["0.000"]
    assert len({one.get("numFmtId") for one in formats}) == len(formats) and merger.grown


@every("flags", ["", ' pivotButton="0"', ' quotePrefix="0" pivotButton="0"'])
def test_a_style_that_stands_is_used_again_however_it_is_written(flags: str) -> None:
    """Flags that say no, other prefixes, parts of a font in another order: nothing is added."""
    turned = '<font><name val="Calibri"/><sz val="11"/></font>'
    cells = cell(more=' xfId="0"') + cell(2, more=f' xfId="0" applyNumberFormat="1"{flags}')
    root = sheet(fonts=turned, cells=cells, more='<dxfs count="0"/>')
    before = etree.tostring(root)
    merger = StyleMerger(root, sheet(cells=cell(2) + cell()))
    assert (merger.cell_format(0), merger.cell_format(1)) == (1, 0)
    assert not merger.grown and etree.tostring(root) == before
    quoted = StyleMerger(root, sheet(cells=cell(2, more=' quotePrefix="1"')))
    assert quoted.cell_format(0) == 2 and quoted.grown


def test_what_is_new_follows_what_stands_with_its_parts() -> None:
    """A bold font, a grey fill: numbers after the last of each list, counted, and the reserved fills keep theirs."""
    bold = '<font><b/><sz val="11"/><name val="Calibri"/></font>'
    root = sheet(fonts=FONT * 2, cells=cell() * 3)
    merger = StyleMerger(root, sheet(fonts=FONT + bold, fills=FILLS + GREY, cells=cell(font=1, fill=2) + cell(fill=1)))
    assert (merger.cell_format(0), merger.cell_format(1), merger.cell_format(0)) == (3, 4, 3)
    new, grey = root.findall(f"{MAIN}cellXfs/{MAIN}xf")[3:]
    assert (new.get("fontId"), new.get("fillId"), new.get("applyFont"), new.get("applyFill")) == ("2", "2", "1", "1")
    assert (grey.get("fontId"), grey.get("fillId"), grey.get("applyFont"), grey.get("applyNumberFormat")) == (
        "0",
        "1",
        None,
        None,
    )
    counts = [root.find(f"{MAIN}{name}").get("count") for name in ("fonts", "fills", "cellXfs")]  # type: ignore[union-attr]
    assert counts == ["3", "3", "5"]


@every(
    ("number", "code", "day"),
    [
        (14, "", True),
        (22, "", True),
        (2, "", False),
        (46, "", False),
        (170, "yyyy-mm-dd hh:mm", True),
        (170, "[h]:mm", False),
        (170, "0.0", False),
        (20, "", True),
    ],
)
def test_which_styles_show_a_day(number: int, code: str, day: bool) -> None:
    """Built in: 14 a date, 20 a time of day, 22 both, 46 a span of hours (ECMA-376 part 1, 18.8.30)."""
    merger = StyleMerger(sheet(), sheet(own_format(number, code) if code else "", cells=cell(number)))
    assert merger.is_date(0) is day


def test_lists_that_are_missing_are_put_where_the_schema_wants_them() -> None:
    root = etree.fromstring(
        f'<styleSheet xmlns="{MAIN[1:-1]}"><cellXfs count="1">{cell()}</cellXfs><colors/></styleSheet>'
    )
    merger = StyleMerger(
        root, sheet(own_format(164, "0.000"), cells=cell(164), more="<dxfs><dxf><font><b/></font></dxf></dxfs>")
    )
    merger.cell_format(0)
    assert merger.differential_format(0) == 0
    names = [child.tag.removeprefix(MAIN) for child in root]
    assert names == sorted(names, key=styles._ORDER.index) and {"fonts", "fills", "borders", "dxfs", "numFmts"} <= set(
        names
    )
    assert len(root.findall(f"{MAIN}fills/*")) == 2 and etree.fromstring(EMPTY_STYLES).tag == f"{MAIN}styleSheet"


def test_a_workbook_without_styles_gets_the_plain_one():
    """One font, border and format, and the two fills that come first in every workbook (ECMA-376 part 1, 18.8; fills: common practice)."""
    root = etree.fromstring(EMPTY_STYLES)
    assert not "".join(root.itertext()).strip()
    lists = {etree.QName(child).localname: [{**one.attrib} for one in child] for child in root}
    plain = {"numFmtId": "0", "fontId": "0", "fillId": "0", "borderId": "0"}
    assert lists == {
        "fonts": [{}], "fills": [{}, {}], "borders": [{}], "cellStyleXfs": [plain], "cellXfs": [plain | {"xfId": "0"}],
        "cellStyles": [{"name": "Normal", "xfId": "0", "builtinId": "0"}],
    }  # fmt: skip
    assert [int(child.get("count")) for child in root] == [1, 2, 1, 1, 1, 1]
    assert [one.get("patternType") for one in root.iter(f"{MAIN}patternFill")] == ["none", "gray125"]
    assert [(etree.QName(one).localname, one.get("val")) for one in root.find(f"{MAIN}fonts/{MAIN}font")] == [
        ("sz", "11"), ("name", "Calibri"),
    ]  # fmt: skip
    edges = root.find(f"{MAIN}borders/{MAIN}border")
    assert [etree.QName(one).localname for one in edges] == ["left", "right", "top", "bottom", "diagonal"]
