"""What the structure tree of a PDF must be like: roles, what may stand in what, words beside pictures, heads of cells.

Rules of ISO 14289-1 (PDF/UA-1) and, for what may stand in what, ISO 32000-1, 14.8.4; the clause stands beside each.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pikepdf

ROLES = {
    "Document", "Part", "Art", "Sect", "Div", "BlockQuote", "Caption", "P", "H1", "H2", "H3", "H4", "H5", "H6",
    "L", "LI", "Lbl", "LBody", "Table", "TR", "TH", "TD", "THead", "TBody", "TFoot", "Span", "Link", "Figure", "NonStruct",
}  # fmt: skip
"""ISO 32000-1, 14.8.4: the standard roles that the engine may use."""

HOLDS = {
    "L": {"LI", "Caption"},  # table 336
    "LI": {"Lbl", "LBody"},
    "Table": {"TR", "THead", "TBody", "TFoot", "Caption"},  # table 337
    "THead": {"TR"}, "TBody": {"TR"}, "TFoot": {"TR"}, "TR": {"TH", "TD"},
}  # fmt: skip
STANDS_IN = {
    "LI": {"L"}, "Lbl": {"LI"}, "LBody": {"LI"}, "TR": {"Table", "THead", "TBody", "TFoot"}, "TH": {"TR"}, "TD": {"TR"},
    "THead": {"Table"}, "TBody": {"Table"}, "TFoot": {"Table"},
}  # fmt: skip


def faults(pdf: pikepdf.Pdf) -> list[str]:
    """Everything in the structure of a PDF that PDF/UA-1 forbids, in words."""
    return [*_of_the_file(pdf), *_of_the_tree(pdf), *_of_headings(pdf), *_of_tables(pdf)]


def _of_the_file(pdf: pikepdf.Pdf) -> Iterator[str]:
    root = pdf.Root
    if "/MarkInfo" not in root or not root.MarkInfo.get("/Marked"):
        yield "the file is not marked as tagged (7.1)"
    if not str(root.get("/Lang", "")):
        yield "no language (7.2)"
    if not root.ViewerPreferences.get("/DisplayDocTitle"):
        yield "viewers do not show the title (7.1)"
    if not str(pdf.docinfo.get("/Title", "")):
        yield "no title (7.1)"
    if b"pdfuaid" not in root.Metadata.read_bytes():
        yield "the metadata do not say PDF/UA (5)"
    for number, page in enumerate(pdf.pages, 1):
        if page.get("/Annots") and page.obj.get("/Tabs") not in (None, pikepdf.Name.S):
            yield f"page {number}: tabs do not follow the structure (7.18.3)"
    for found in pdf.objects:
        descriptor = isinstance(found, pikepdf.Dictionary) and found.get("/Type") == "/FontDescriptor"
        if descriptor and not any(f"/FontFile{kind}" in found for kind in ("", "2", "3")):
            yield f"font {found.get('/FontName')} is not embedded (7.21.4)"


def children(node: Any) -> Iterator[Any]:
    """The structure elements right under one."""
    kids = node.get("/K", [])
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            yield kid


def walked(pdf: pikepdf.Pdf) -> Iterator[tuple[Any, str]]:
    """Every element in reading order, with the role of what it stands in."""
    waiting = [(kid, "") for kid in reversed(list(children(pdf.Root.StructTreeRoot)))]
    while waiting:
        node, parent = waiting.pop()
        yield node, parent
        role = str(node.S)[1:]
        waiting.extend((kid, role) for kid in reversed(list(children(node))))


def _of_the_tree(pdf: pikepdf.Pdf) -> Iterator[str]:
    for node, parent in walked(pdf):
        role = str(node.S)[1:]
        if role not in ROLES:
            yield f"{role} is no standard role (7.1)"
        if role in STANDS_IN and parent not in STANDS_IN[role]:
            yield f"{role} stands in {parent or 'nothing'} (7.2)"
        for kid in children(node):
            if role in HOLDS and str(kid.S)[1:] not in HOLDS[role]:
                yield f"{role} holds {str(kid.S)[1:]} (7.2)"
        if role == "Figure":
            if len(str(node.get("/Alt", "")).strip()) < 3:
                yield "a Figure without words (7.3)"
            if "/A" not in node or "/BBox" not in node.A:
                yield "a Figure without its box (7.3)"


def _of_headings(pdf: pikepdf.Pdf) -> Iterator[str]:
    last = 0
    for node, _ in walked(pdf):
        found = re.fullmatch(r"H([1-6])", str(node.S)[1:])
        if found is None:
            continue
        level = int(found[1])
        if level > last + 1:
            yield f"H{level} follows H{last} (7.4.2)"
        if not _has_content(node):
            yield f"an empty H{level} (7.4.2)"
        last = level


def _has_content(node: Any) -> bool:
    kids = node.get("/K", [])
    kids = list(kids) if isinstance(kids, pikepdf.Array) else [kids]
    return any(not isinstance(kid, pikepdf.Dictionary) or _has_content(kid) for kid in kids)


def _of_tables(pdf: pikepdf.Pdf) -> Iterator[str]:
    heads = {str(node.ID) for node, _ in walked(pdf) if node.S == "/TH" and "/ID" in node}
    for node, _ in walked(pdf):
        if node.S == "/TD":
            named = [str(name) for name in node.A.get("/Headers", [])] if "/A" in node else []
            if not named:
                yield "a cell without a head (7.5)"
            if not set(named) <= heads:
                yield "a cell names a head that is nowhere (7.5)"
        if node.S == "/Table":
            widths = {
                sum(int(cell.A.get("/ColSpan", 1)) if "/A" in cell else 1 for cell in children(row))
                for row in _rows(node)
            }
            if len(widths) > 1:
                yield f"rows of one table are {sorted(widths)} cells wide (7.5)"


def _rows(table: Any) -> Iterator[Any]:
    for kid in children(table):
        if kid.S == "/TR":
            yield kid
        elif kid.S in ("/THead", "/TBody", "/TFoot"):
            yield from _rows(kid)
