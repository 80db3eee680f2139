"""What the networks of the demo season reach: python -m tests.benchmarks.demo_networks prints a table for README.md of this folder.

Deviations are rms and worst, in dB, from f_c/2 to 2 f_c: of the sum from the target's sum, of each branch from its own target.
"""

from __future__ import annotations

import statistics

from reportgen.assessment import Assessment, assess
from tests.demo_catalogue import demo

HEAD = ("pairing", "slope", "f_c, Hz", "sum", "low", "high", "parts", "price", "least ohm", "good builds", "loss")


def _row(found: Assessment) -> tuple[str, ...]:
    design, electrical, spread = found.design, found.electrical, found.spread
    if design is None or electrical is None or spread is None:
        return (found.id, found.case.pairing.slope, found.not_designed, *[""] * (len(HEAD) - 3))
    deviations = (
        (design.sum_rms_db, design.sum_worst_db),
        (design.low_rms_db, design.low_worst_db),
        (design.high_rms_db, design.high_worst_db),
    )
    return (
        found.id,
        design.slope.name,
        f"{design.crossover_hz:.0f}",
        *(f"{rms:.2f} / {worst:+.1f}" for rms, worst in deviations),
        str(len(found.parts)),
        "" if found.price is None else f"{found.price:.0f}",
        f"{electrical.minimum_ohm:.2f}",
        f"{spread.good_share:.0%}",
        f"{design.loss_db:.2f}",
    )


def main() -> None:
    catalogue = demo()
    found = [assess(catalogue.case(pairing)) for pairing in catalogue.pairings.values()]
    print(f"| {' | '.join(HEAD)} |\n|{'---|' * len(HEAD)}")
    for one in found:
        print(f"| {' | '.join(_row(one))} |")
    designs = [one.design for one in found if one.design is not None]
    median = statistics.median(design.sum_rms_db for design in designs)
    uneven = [one.id for one in found if one.design and abs(one.design.sum_worst_db) > 2.0]
    lowest = min(one.electrical.minimum_ohm for one in found if one.electrical)
    print(
        f"\nSum: median {median:.2f} dB rms; beyond 2 dB: {', '.join(uneven) or 'none'}. Least load: {lowest:.2f} ohm."
    )


if __name__ == "__main__":
    main()
