"""This tree against another one: the same pairings, their networks, remedies and processor time side by side.

Run: python -m tests.benchmarks.against OTHER_TREE [--remedies] [SEASONS...]. A season is `demo`, one of `tests.seasons` or a number:
a drawn season of 40 pairings. Both trees take turns, pairing by pairing, so that other work on the machine disturbs them alike.
Better and worse are told by the verdict first, then fails and marginals; what differs is listed with its figures.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from typing import Any

Told = dict[str, Any]

RANK = {"suitable": 0, "suitable with conditions": 1, "undecided": 2, "not suitable": 3}
FIGURES = {"pieces": "", "rms_db": " dB rms", "thirds_db": " dB thirds", "balance_db": " dB balance", "load_ohm": " ohm", "good": " good"}  # fmt: skip
ONE_CORE = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")


def told(with_remedies: bool, names: list[str]) -> Iterator[Told]:
    """What the tree on the path makes of every pairing of some seasons; the processor time is of each alone."""
    from reportgen.advice.remedies import find_remedies
    from reportgen.assessment import assess
    from reportgen.problems import CannotAssess
    from tests.demo_catalogue import demo
    from tests.plausible_season import catalogue
    from tests.seasons.kits import season

    for name in names:
        found = demo() if name == "demo" else catalogue(int(name), 40) if name.isdigit() else season(name)
        for pairing in found.pairings.values():
            begun = time.process_time()
            try:
                one = assess(found.case(pairing))
            except CannotAssess as error:
                yield {"id": f"{name} {pairing.id}", "word": str(error)}
                continue
            assessed = time.process_time()
            remedies = find_remedies(one, found)[0] if with_remedies else ()
            searched = time.process_time()
            yield {
                "id": f"{name} {pairing.id}",
                "word": one.verdict.word,
                "standing": [sum(check.outcome == bad for check in one.checks) for bad in ("fail", "marginal")],
                "remedies": {" and ".join(remedy.changes): remedy.word for remedy in remedies},
                "assess_ms": 1e3 * (assessed - begun),
                "remedies_ms": 1e3 * (searched - assessed),
                **_figures(one),
            }


def _figures(one: Any) -> Told:
    if one.design is None or one.figures is None or one.spread is None:
        return {}
    return {
        "pieces": one.figures.pieces,
        "rms_db": one.design.sum_rms_db,
        "thirds_db": abs(one.figures.evenness_db),
        "balance_db": max(map(abs, one.figures.balance_db)),
        "load_ohm": one.figures.least_impedance_ohm,
        "good": one.spread.good_share,
    }


def started(tree: Path, arguments: list[str]) -> subprocess.Popen[str]:
    """The teller of one tree; it waits at its pipe whenever nobody reads on."""
    command = [sys.executable, str(Path(__file__).resolve()), "tell", *arguments]
    environment = {**os.environ, **ONE_CORE, "PYTHONPATH": str(tree)}
    return subprocess.Popen(
        command, cwd=tree, env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )


def answer(teller: subprocess.Popen[str]) -> Told | None:
    """The next pairing as one tree has it, asked for by a line; None after the last."""
    assert teller.stdin is not None and teller.stdout is not None
    teller.stdin.write("\n")
    teller.stdin.flush()
    line = teller.stdout.readline()
    return json.loads(line) if line else None


def judged(now: Told, then: Told) -> str:
    """Whether one pairing came out better, worse or otherwise here; empty where nothing differs."""
    stands = [(RANK.get(one["word"], 4), one.get("standing", [])) for one in (now, then)]
    if stands[0] != stands[1]:
        return "better" if stands[0] < stands[1] else "WORSE"
    return "other" if any(now.get(name) != then.get(name) for name in FIGURES) else ""


def remedied(now: Told, then: Told) -> str:
    """What became of the remedies of one pairing: fewer, or a worse best verdict, is worse; empty where all are the same."""
    new, old = now.get("remedies", {}), then.get("remedies", {})
    if new == old:
        return ""
    best = [min((RANK[word] for word in one.values()), default=9) for one in (new, old)]
    worse = best[0] > best[1] or len(new) < len(old)
    gone, come = (sorted(set(a.items()) - set(b.items())) for a, b in ((old, new), (new, old)))
    return f"{'WORSE' if worse else 'other'} remedies: gone {gone}, come {come}"


def line_of(one: Told) -> str:
    figures = [f"{one[name]:.3g}{unit or ' ' + name}" for name, unit in FIGURES.items() if name in one]
    return f"{one['word']} {one.get('standing', '')} {', '.join(figures)}"


def compared(other: Path, arguments: list[str]) -> None:
    here = started(Path(__file__).resolve().parents[2], arguments), started(other, arguments)
    pairs: list[tuple[Told, Told]] = []
    while (now := answer(here[0])) and (then := answer(here[1])):
        assert now["id"] == then["id"], "the trees tell of different pairings"
        pairs.append((now, then))
        if word := judged(now, then):
            print(f"{now['id']} {word}\n    here:  {line_of(now)}\n    there: {line_of(then)}")
        if text := remedied(now, then):
            print(f"{now['id']} {text}")
    for teller in here:
        teller.communicate()
    outcomes = [judged(now, then) for now, then in pairs]
    print(f"\n{len(pairs)} pairings: " + ", ".join(f"{outcomes.count(word)} {word or 'same'}" for word in ("", "better", "WORSE", "other")))  # fmt: skip
    print("remedies: " + ", ".join(f"{sum(remedied(*pair).startswith(word) for pair in pairs)} {word}" for word in ("WORSE", "other")))  # fmt: skip
    print(f"{'median':>14} {'here':>9} {'there':>9}")
    for name in FIGURES:
        columns = [median(one[name] for one in side if name in one) for side in zip(*pairs, strict=True)]
        print(f"{name:>14} {columns[0]:9.3f} {columns[1]:9.3f}")
    for name in ("assess_ms", "remedies_ms"):
        means = [sum(one.get(name, 0.0) for one in side) / len(pairs) for side in zip(*pairs, strict=True)]
        print(f"{name:>14} {means[0]:9.1f} {means[1]:9.1f}   mean, here {means[0] / max(means[1], 1e-9):.2f} of there")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("other", type=Path, help="the folder of the other tree")
    parser.add_argument("seasons", nargs="*", default=["demo", "small", "tall", "loud"])
    parser.add_argument("--remedies", action="store_true")
    asked = parser.parse_intermixed_args()
    compared(asked.other.resolve(), [*(["--remedies"] if asked.remedies else []), *asked.seasons])


if __name__ == "__main__":
    if sys.argv[1:2] == ["tell"]:
        names = [name for name in sys.argv[2:] if name != "--remedies"]
        for one in told("--remedies" in sys.argv, names):
            sys.stdin.readline()
            print(json.dumps(one), flush=True)
        sys.stdin.readline()
    else:
        main()
