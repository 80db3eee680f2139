"""How long a sheet takes, against the page engine alone on the same HTML: `python -m tests.benchmarks.bench_render [ID...]`.

"ours" is render_sheet: words, pictures, templates, layouts until every side fits, PDF. "bare" is what anybody would write,
HTML(string=...).write_pdf(stylesheets, pdf_variant) with the engine's defaults, on the HTML that ours came to. Both warm, in turn, in
one process; seconds of the processor.
"""

from __future__ import annotations

import statistics
import sys
import time
from dataclasses import replace
from typing import Any

from weasyprint import CSS, HTML

from reportgen.paper.pages import SheetPage
from reportgen.paper.render import PDF_OPTIONS, press, render_sheet, templates_folder
from tests.demo_catalogue import demo_assessed
from tests.paper.pdfs import opened
from tests.paper.samples import STAMP

ROUNDS = 5
SHEETS = ("P-01", "P-03", "P-10", "P-16", "P-18", "P-21")
"""A plain one, one that is not to be built, two low drivers, a pair of resistors, a column, an undecided one."""


def laid_out(id_: str) -> list[SheetPage]:
    """Every page that ours lays out for a sheet, in turn."""
    tried: list[SheetPage] = []
    chosen = press()
    layout = chosen.layout

    def noted(page: Any, paper: Any = "A4") -> Any:
        tried.append(page)
        return layout(page, paper)

    chosen.layout = noted  # type: ignore[method-assign]
    try:
        render_sheet(demo_assessed(id_), STAMP)
    finally:
        del chosen.layout
    return tried


def same_html(tried: list[SheetPage]) -> str:
    """What ours came to, as one page: the last sides and the last annex."""
    sides, annex = ([page for page in tried if page.part == part][-1] for part in ("sides", "annex"))
    return press().html(replace(sides, part="", annex=annex.annex, style=annex.style))


def main(ids: list[str]) -> int:
    """Print a row a sheet; 1 when ours takes longer than the bare engine on the whole."""
    styles = [CSS(string=(templates_folder() / name).read_text()) for name in ("style.css", "paper-A4.css")]
    ratios = []
    print("| pairing | pages, ours and bare | kB | layouts | bare engine, s | ours, s | ratio |")
    print("|---|---|---:|---:|---:|---:|---:|")
    for id_ in ids:
        found, tried = demo_assessed(id_), laid_out(id_)
        html, bare, ours = same_html(tried), [], []
        for _ in range(ROUNDS + 1):
            start = time.process_time()
            by_engine = HTML(string=html).write_pdf(stylesheets=styles, **PDF_OPTIONS)
            middle = time.process_time()
            data = render_sheet(replace(found), STAMP)  # another one: nothing drawn before is at hand
            bare.append(middle - start)
            ours.append(time.process_time() - middle)
        before, after = statistics.median(bare[1:]), statistics.median(ours[1:])
        ratios.append(after / before)
        pages = f"{len(opened(data).pages)} and {len(opened(by_engine).pages)}"
        print(
            f"| {id_} | {pages} | {len(data) // 1024} | {len(tried)} | {before:.2f} | {after:.2f} | {after / before:.2f} |",
            flush=True,
        )
    print(f"\nMedian of the ratios: {statistics.median(ratios):.2f}")
    return int(statistics.median(ratios) > 1.0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:] or list(SHEETS)))
