"""How long a sheet takes, against the page engine alone on the same HTML: `python tests/benchmarks/bench_render.py`.

"bare" is what anybody would write: HTML(string=...).write_pdf(stylesheets, pdf_variant) on the ready HTML, with the
engine's defaults. "ours" is render_sheet: words, pictures, templates, layout, PDF. Both warm, in turn, in one process.
"""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from weasyprint import CSS, HTML

from reportgen.paper.composing import sheet_page
from reportgen.paper.render import PDF_OPTIONS, press, render_sheet, templates_folder
from tests.paper.samples import STAMP, suitable

ROUNDS = 7
MOST = 1.0


def main() -> int:
    """Print seconds of both, and their ratio; 1 when ours takes longer than the bare engine."""
    found = suitable("P-01")
    html = press().html(sheet_page(found, STAMP))
    sheets = [CSS(string=(templates_folder() / name).read_text()) for name in ("style.css", "paper-A4.css")]
    bare, ours = [], []
    for _ in range(ROUNDS + 1):
        start = time.process_time()
        HTML(string=html).write_pdf(stylesheets=sheets, **PDF_OPTIONS)
        middle = time.process_time()
        data = render_sheet(found, STAMP)
        bare.append(middle - start)
        ours.append(time.process_time() - middle)
    pages = len(press().layout(sheet_page(found, STAMP)).pages)
    before, after = statistics.median(bare[1:]), statistics.median(ours[1:])
    print(f"{pages} pages, {len(data) // 1024} kB, {html.count('<img')} pictures; median of {ROUNDS}, processor time")
    print(f"bare engine {before:.3f} s   ours {after:.3f} s   ratio {after / before:.2f} (at most {MOST})")
    return int(after / before > MOST)


if __name__ == "__main__":
    sys.exit(main())
