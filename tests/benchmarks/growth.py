"""How a run grows with the season, drawn from the rows of `growth.csv`: python -m tests.benchmarks.growth writes `growth.svg`.

Both axes are logarithmic, so that what is linear is a straight line. Rows are added by hand from `bench_season` and
`bench_parent`; of rows that are alike but for the date the last one is drawn.
"""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Sequence
from itertools import pairwise
from math import log10
from pathlib import Path

FOLDER = Path(__file__).parent
WIDTH, HEIGHT, LEFT, TOP, FOOT, DECADE = 660, 400, 45, 34, 300, 120.0
LETTERS = 11.5
"""Height of a label."""
INKS = ("#000", "#b33", "#36c", "#383", "#850")
Line = list[tuple[float, float]]


def recorded(text: str, figure: str) -> dict[str, Line]:
    """One figure of every kind of run against its pairings, in their order."""
    found: dict[str, dict[float, float]] = defaultdict(dict)
    for row in csv.DictReader(text.splitlines()):
        if row[figure]:
            found[f"{row['what']}, {row['run']}"][float(row["pairings"])] = float(row[figure])
    return {name: sorted(points.items()) for name, points in found.items()}


def apart(heights: Sequence[float]) -> list[float]:
    """Heights of labels, each a line under the one above it where they would overlap."""
    found, order = list(heights), sorted(range(len(heights)), key=heights.__getitem__)
    for above, below in pairwise(order):
        found[below] = max(found[below], found[above] + LETTERS)
    return found


def panel(title: str, lines: dict[str, Line], left: float) -> str:
    """One picture of lines, both axes logarithmic: values at both ends of each line, counts and names below."""
    counts = sorted({count for line in lines.values() for count, _ in line})
    values = [log10(value) for line in lines.values() for _, value in line]
    least, most = min(values), max(values)

    def place(point: tuple[float, float]) -> tuple[float, float]:
        x = left + DECADE * (log10(point[0]) - log10(counts[0]))
        return round(x, 1), round(FOOT - (FOOT - TOP) * (log10(point[1]) - least) / (most - least), 1)

    drawn = [f'<text x="{left}" y="{TOP - 14}">{title}</text>']
    for count in counts:
        x, _ = place((count, 1.0))
        drawn.append(f'<path d="M{x} {TOP}V{FOOT}" stroke="#ddd"/><text x="{x - 9}" y="{FOOT + 14}">{count:g}</text>')
    named = list(zip(INKS, lines.items(), strict=False))
    for number, (ink, (name, line)) in enumerate(named):
        points = " L".join("{} {}".format(*place(point)) for point in line)
        drawn.append(f'<path d="M{points}" fill="none" stroke="{ink}" stroke-width="2"/>')
        drawn.append(f'<text x="{left}" y="{FOOT + 32 + 13 * number}" fill="{ink}">{name}</text>')
    for end, aside in ((0, -32.0), (-1, 5.0)):
        places = [place(line[end]) for _, (_, line) in named]
        for column in {x for x, _ in places}:
            here = [
                (ink, line[end][1], y) for (ink, (_, line)), (x, y) in zip(named, places, strict=True) if x == column
            ]
            for (ink, value, _), y in zip(here, apart([y for *_, y in here]), strict=True):
                drawn.append(f'<text x="{column + aside}" y="{y + 4:.1f}" fill="{ink}">{value:.4g}</text>')
    return "\n".join(drawn)


def plot(text: str) -> str:
    """The whole picture of recorded rows."""
    panels: Sequence[tuple[str, str]] = (("cpu_s", "processor time, s"), ("parent_mb", "memory of the parent, MB"))
    body = "\n".join(
        panel(f"{title}, against pairings", recorded(text, figure), LEFT + 320.0 * k)
        for k, (figure, title) in enumerate(panels)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" font-family="sans-serif" font-size="11">\n'
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#fff"/>\n{body}\n</svg>\n'
    )


if __name__ == "__main__":
    (FOLDER / "growth.svg").write_text(plot((FOLDER / "growth.csv").read_text()))
