"""How a run grows with the season, drawn from the rows of `growth.csv`: python -m tests.benchmarks.growth writes `growth.svg`.

Both axes are logarithmic, so that what is linear is a straight line at 45 degrees. Rows are added by hand from `bench_season` and
`bench_parent`; of rows that are alike but for the date the last one is drawn.
"""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Sequence
from math import floor, log10
from pathlib import Path

FOLDER = Path(__file__).parent
WIDTH, HEIGHT, LEFT, TOP, DECADE = 620, 320, 60, 30, 90.0
INKS = ("#000", "#b33", "#36c", "#383", "#850")
Line = list[tuple[float, float]]


def recorded(text: str, figure: str) -> dict[str, Line]:
    """One figure of every kind of run against its pairings, in their order."""
    found: dict[str, dict[float, float]] = defaultdict(dict)
    for row in csv.DictReader(text.splitlines()):
        if row[figure]:
            found[f"{row['what']}, {row['run']}"][float(row["pairings"])] = float(row[figure])
    return {name: sorted(points.items()) for name, points in found.items()}


def panel(title: str, lines: dict[str, Line], left: float) -> str:
    """One picture of lines, both axes logarithmic, with a tick at each value on the left and each count below."""
    every = [point for line in lines.values() for point in line]
    least = [floor(log10(min(values))) for values in zip(*every, strict=True)]

    def place(point: tuple[float, float]) -> tuple[float, float]:
        x, y = (DECADE * (log10(value) - low) for value, low in zip(point, least, strict=True))
        return round(left + x - 30.0, 1), round(HEIGHT - 40.0 - 0.7 * y, 1)

    drawn = [f'<text x="{left}" y="{TOP - 12}">{title}</text>']
    for count in sorted({count for count, _ in every}):
        x, _ = place((count, 10.0 ** least[1]))
        drawn.append(
            f'<path d="M{x} {TOP}V{HEIGHT - 40}" stroke="#ddd"/><text x="{x - 9}" y="{HEIGHT - 26}">{count:g}</text>'
        )
    for ink, (name, line) in zip(INKS, lines.items(), strict=False):
        points = [place(point) for point in line]
        drawn.append(
            f'<path d="M{" L".join(f"{x} {y}" for x, y in points)}" fill="none" stroke="{ink}" stroke-width="2"/>'
        )
        drawn += [
            f'<text x="{x + 3}" y="{y - 5}" fill="{ink}">{value:.4g}</text>'
            for (x, y), (_, value) in zip(points, line, strict=True)
        ]
        drawn.append(f'<text x="{left}" y="{TOP + 4 + 13 * list(lines).index(name)}" fill="{ink}">{name}</text>')
    return "\n".join(drawn)


def plot(text: str) -> str:
    """The whole picture of recorded rows."""
    panels: Sequence[tuple[str, str]] = (("cpu_s", "processor time, s"), ("parent_mb", "memory of the parent, MB"))
    body = "\n".join(
        panel(f"{title}, against pairings", recorded(text, figure), LEFT + 290.0 * k)
        for k, (figure, title) in enumerate(panels)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" font-family="sans-serif" font-size="11">\n'
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#fff"/>\n{body}\n</svg>\n'
    )


if __name__ == "__main__":
    (FOLDER / "growth.svg").write_text(plot((FOLDER / "growth.csv").read_text()))
