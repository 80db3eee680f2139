"""How quick the season on the screen is, in Chromium: python -m tests.benchmarks.bench_screen [COUNT].

The 24 pairings of the demo under the names of a long season.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from reportgen.assessment import Outline, outline
from reportgen.paper.screenpage import render_screen_page, screen_page
from tests.demo_catalogue import demo, demo_assessed
from tests.paper.browser import Browser
from tests.paper.samples import STAMP

TYPED = ("r", "re", "ree", "reed", "reed ", "reed h", "reed", "ree", "re", "r", "")
"""What stands in the search field after each key: one kit found, then all again."""

KEY = """
new Promise(done => {
  const field = document.getElementById("find"), begun = performance.now(), after = new MessageChannel();
  after.port1.onmessage = () => done(performance.now() - begun);
  field.value = %r;
  field.dispatchEvent(new Event("input"));
  requestAnimationFrame(() => after.port2.postMessage(0));
})
"""
"""From the key's event to the end of the frame that shows the answer, ms."""

LOADED = """
(() => { const one = performance.getEntriesByType("navigation")[0];
  return [one.domContentLoadedEventEnd, one.loadEventEnd, document.getElementsByTagName("*").length]; })()
"""


def season(count: int) -> Iterator[Outline]:
    """So many pairings, those of the demo over and over."""
    found = [outline(demo_assessed(id_)) for id_ in demo().pairings]
    for number in range(count):
        one = found[number % len(found)]
        pairing = replace(one.case.pairing, id=f"{one.id}-{number // len(found):03d}")
        yield replace(one, case=replace(one.case, pairing=pairing))


def main(count: int = 3000) -> None:
    """Print size, load and answers to keys."""
    found = list(season(count))
    sheets = {one.id: f"{one.id}.pdf" for one in found}
    begun = time.process_time()
    text = "".join(render_screen_page(screen_page(found, found[0].case.maker, STAMP, sheets, "A long season")))
    made = time.process_time() - begun
    print(f"{count} pairings: {len(text.encode()) / 1e6:.1f} MB, {made:.1f} s to make")
    with tempfile.TemporaryDirectory() as folder, Browser() as browser:
        file = Path(folder) / "index.html"
        file.write_text(text, encoding="utf-8")
        browser.open(file)
        ready, loaded, elements = browser.run(LOADED)
        print(f"usable after {ready:.0f} ms, loaded after {loaded:.0f} ms; {elements} elements")
        answers = sorted(browser.run(KEY % text) for text in TYPED * 3)
        print(
            f"a key is answered after {answers[len(answers) // 2]:.0f} ms in the middle, {answers[-1]:.0f} ms at most"
        )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
