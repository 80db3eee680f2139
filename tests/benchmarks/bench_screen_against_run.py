"""Whether a run says what a screen foresaw: `python -m tests.benchmarks.bench_screen_against_run [pairs] [seed ...]`."""

from __future__ import annotations

import random
import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from reportgen.advice.refusals import FORESEEN
from reportgen.advice.screening import SLOPES_TRIED, Candidate, screen
from reportgen.assessment import assess
from reportgen.catalogue.records import Catalogue, Pairing
from reportgen.problems import CannotAssess
from tests.plausible_season import catalogue

USES = 3
"""How many pairings of a season lend their use."""
YES = ("suitable", "suitable with conditions")


def compared(season: Catalogue, use: Pairing, pairs: int, draw: random.Random) -> Counter[tuple[str, str]]:
    """What a screen says and what a run says, of so many pairs that it refuses by what it foresees, that it ticks, and that it leaves open."""
    every = screen(season, use, slopes=SLOPES_TRIED, keep=None).candidates
    refused = [one for one in every if one.takes.removesuffix(".") in FORESEEN]
    ticked = [one for one in every if one.word in YES]
    open_ = [one for one in every if one.word == "undecided" and one.takes.startswith("A run must")]
    found: Counter[tuple[str, str]] = Counter()
    for says, group in (("refused", refused), ("ticked", ticked), ("left open", open_)):
        for one in draw.sample(group, min(pairs, len(group))):
            found[says, _run(season, one, use)] += 1
    return found


def _run(season: Catalogue, one: Candidate, use: Pairing) -> str:
    try:
        run = assess(season.case(one.pairing(use)), drawn=False)
    except CannotAssess:
        return "cannot be assessed"
    if run.verdict.word == "not suitable" and one.word in YES:
        print(f"  ticked {one.low_id} {one.high_id} {one.used}: {run.verdict.reason}", flush=True)
    if run.verdict.word in YES and one.word == "not suitable":
        print(f"  refused {one.low_id} {one.high_id} {one.used}: {one.takes} {run.verdict.reason}", flush=True)
    return run.verdict.word


def main(pairs: int, seeds: list[int]) -> None:
    """The seasons one after the other, then all of them."""
    found: Counter[tuple[str, str]] = Counter()
    for seed in seeds:
        season, draw = catalogue(seed, 12), random.Random(seed)
        for pairing in list(season.pairings.values())[:USES]:
            found += compared(season, replace(pairing, centre_spacing_m=None), pairs, draw)
    for (says, word), count in sorted(found.items()):
        print(f"{says:10} {word:26} {count}")


if __name__ == "__main__":
    given = [int(one) for one in sys.argv[1:]] or [4, 181]
    main(given[0], given[1:])
