"""Reading a PDF back: structure tree, text, fonts, bookmarks, links."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf


def opened(data: bytes) -> pikepdf.Pdf:
    return pikepdf.open(BytesIO(data))


def elements(pdf: pikepdf.Pdf) -> Iterator[Any]:
    """Every element of the structure tree, parents first."""
    waiting = [pdf.Root.StructTreeRoot.K]
    while waiting:
        node = waiting.pop()
        if isinstance(node, pikepdf.Array):
            waiting.extend(reversed(list(node)))
        elif isinstance(node, pikepdf.Dictionary):
            if "/S" in node:
                yield node
            if "/K" in node:
                waiting.append(node.K)


def of_kind(pdf: pikepdf.Pdf, kind: str) -> list[Any]:
    return [node for node in elements(pdf) if node.S == f"/{kind}"]


def text(data: bytes, folder: Path) -> str:
    """The text of all pages, blanks made one (poppler's pdftotext)."""
    file = folder / "read.pdf"
    file.write_bytes(data)
    found = subprocess.run(["pdftotext", str(file), "-"], capture_output=True, text=True, check=True).stdout
    return " ".join(found.split())


def bookmarks(pdf: pikepdf.Pdf) -> list[str]:
    with pdf.open_outline() as outline:
        found: list[str] = []
        waiting = list(reversed(outline.root))
        while waiting:
            item = waiting.pop()
            found.append(str(item.title))
            waiting.extend(reversed(item.children))
        return found


def before_the_annex(data: bytes) -> int:
    """Pages that stand before the first one of the annex: all that `--pages sheet` prints (`test_render.py`)."""
    with opened(data) as pdf, pdf.open_outline() as outline:
        numbers = {page.objgen: number for number, page in enumerate(pdf.pages)}
        annex = [item for top in outline.root for item in top.children if str(item.title).startswith("Annex")]
        return min(numbers[item.destination[0].objgen] for item in annex)
