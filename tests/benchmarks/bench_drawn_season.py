"""What the program makes of seasons that it was not tuned on: `python -m tests.benchmarks.bench_drawn_season [pairings] [seed ...]`."""

from __future__ import annotations

import sys
import time
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from reportgen.assessment import Assessment, assess
from reportgen.problems import CannotAssess
from tests.plausible_season import catalogue


def assessed(seed: int, pairings: int) -> tuple[list[Assessment], float]:
    """Every pairing of a drawn season that can be assessed, and the processor time of each (s)."""
    season, found, started = catalogue(seed, pairings), [], time.process_time()
    for pairing in season.pairings.values():
        try:
            found.append(assess(season.case(pairing)))
        except CannotAssess as error:
            print(error)
    return found, (time.process_time() - started) / pairings


def counted(names: Iterable[str]) -> str:
    """Names with how often they come, most often first."""
    return ", ".join(f"{name} {count}" for name, count in Counter(names).most_common(8)) or "none"


def report(seed: int, pairings: int) -> None:
    """One season as lines of text."""
    found, cpu_s = assessed(seed, pairings)
    designed = [one for one in found if one.design and one.electrical and one.spread]
    figures = np.array(
        [
            (len(one.parts), one.design.sum_rms_db, abs(one.design.sum_worst_db), one.electrical.minimum_ohm, one.spread.good_share)
            for one in designed
            if one.design and one.electrical and one.spread
        ]
    )  # fmt: skip
    middle = np.median(figures, axis=0)
    print(f"season {seed}, {pairings} pairings, {1e3 * cpu_s:.0f} ms each")
    print(f"  verdicts: {counted(one.verdict.word for one in found)}")
    print(f"  fails: {counted(check.id for one in found for check in one.checks if check.outcome == 'fail')}")
    alone = [fails[0] for one in found if len(fails := [c.id for c in one.checks if c.outcome == "fail"]) == 1]
    print(f"  the only fail: {counted(alone)}")
    gaps = (c.id for one in found for c in one.checks if c.outcome == "not assessed" and c.essential)
    print(f"  not assessed: {counted(gaps)}")
    print(
        f"  medians of {len(designed)} networks: {middle[0]:.1f} pieces, {middle[1]:.2f} dB rms, {middle[2]:.1f} dB worst,"
        f" {middle[3]:.1f} ohm least, {middle[4]:.0%} good builds"
    )


if __name__ == "__main__":
    count, *seeds = [int(word) for word in sys.argv[1:]] or [200]
    for one in seeds or [1]:
        report(one, count)
