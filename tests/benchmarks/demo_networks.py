"""What the networks of the demo and of the three other seasons reach: python -m tests.benchmarks.demo_networks [names].

Prints one table a season and a line of medians. `rms` and `worst` are the sum against its target from f_c/2 to 2 f_c; `thirds` the
largest departure of a third of an octave of the voiced band; `balance` that of bass and treble; `least` the lowest load and its
share of the drivers' own; `good` the share of good builds; `ms` processor time of the whole assessment.
"""

from __future__ import annotations

import sys
import time
from statistics import median

import numpy as np

from reportgen.assessment import assess
from reportgen.catalogue.records import Case
from reportgen.pairing.as_used import Setting
from reportgen.pairing.response import Model
from tests.demo_catalogue import demo
from tests.seasons.kits import SEASONS, season

HEAD = (
    "pairing",
    "slope",
    "f_c, Hz",
    "pieces",
    "price",
    "rms / worst",
    "thirds",
    "balance",
    "least (share)",
    "good",
    "ladder",
    "ms",
)


def _row(case: Case) -> tuple[tuple[str, ...], tuple[float, ...]]:
    start = time.process_time()
    found = assess(case)
    spent_ms = 1e3 * (time.process_time() - start)
    design, figures, spread = found.design, found.figures, found.spread
    assert design is not None and figures is not None and spread is not None
    model = Model(Setting(case))
    own = min(float(np.min(np.abs(side.impedance))) for side in (model.low_side, model.high_side))
    share, (bass, treble) = figures.least_impedance_ohm / own, figures.balance_db
    price = "" if figures.network_price is None else f"{figures.network_price:.0f}"
    told = (
        found.id, design.slope.name, f"{found.crossover_hz:.0f}", str(figures.pieces), price,
        f"{design.sum_rms_db:.2f} / {design.sum_worst_db:+.1f}", f"{figures.evenness_db:+.1f}", f"{bass:+.1f} {treble:+.1f}",
        f"{figures.least_impedance_ohm:.2f} ({share:.2f})", f"{spread.good_share:.0%}",
        " ".join(str(step.pieces) for step in design.ladder), f"{spent_ms:.0f}",
    )  # fmt: skip
    balance = max(abs(bass), abs(treble))
    return told, (
        figures.pieces,
        design.sum_rms_db,
        abs(figures.evenness_db),
        balance,
        share,
        spread.good_share,
        spent_ms,
    )


def main() -> None:
    for name in sys.argv[1:] or ["demo", *SEASONS]:
        catalogue = demo() if name == "demo" else season(name)
        rows = [_row(catalogue.case(pairing)) for pairing in catalogue.pairings.values()]
        print(f"\n### {name}\n\n| {' | '.join(HEAD)} |\n|{'---|' * len(HEAD)}")
        for told, _ in rows:
            print(f"| {' | '.join(told)} |")
        pieces, rms, thirds, balance, share, good, spent = (
            median(column) for column in zip(*(n for _, n in rows), strict=True)
        )
        print(
            f"\nMedians: {pieces:g} pieces, {rms:.2f} dB rms, thirds {thirds:.2f} dB, balance {balance:.2f} dB, least load {share:.2f} of the"
            f" drivers' own, {good:.0%} good builds, {spent:.0f} ms."
        )


if __name__ == "__main__":
    main()
