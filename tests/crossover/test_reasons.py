"""The reasons of a design: few, short, and true of the design they stand beside."""

from __future__ import annotations

import re
from types import SimpleNamespace

import numpy as np
import pytest

from reportgen.acoustics.slopes import SLOPES
from reportgen.crossover import reasons
from tests.crossover.designing import design
from tests.every import every


def test_they_count_the_parts_and_name_the_polarity(sides):
    found = design(*sides(), SLOPES["LR4"], 2450.0)
    parts = len(found.low.components) + len(found.high.components)
    assert any(f"With {parts} parts" in line and f"{found.optimum_rms_db:.2f} dB" in line for line in found.reasons)
    assert any(("is reversed" in line) == found.high_reversed for line in found.reasons if "high driver is" in line)
    fewer = re.search(r"The best of (\d+) parts tried, (\d+) fewer", " ".join(found.reasons))
    assert fewer is None or int(fewer[1]) + int(fewer[2]) == parts


def fit(parts: int, missed_db: float) -> SimpleNamespace:
    """What the reasons read of a fit: how many parts it has and what it misses by."""
    low, high = (
        SimpleNamespace(branch=SimpleNamespace(components=(None,) * n)) for n in (parts // 2, parts - parts // 2)
    )
    return SimpleNamespace(low=low, high=high, missed_db=missed_db)


@every(
    ("others", "told"),
    [
        ([fit(8, 0.40), fit(9, 0.30)], "The best of 9 parts tried, 3 more, misses by 0.30 dB."),
        ([fit(8, 0.60)], "The best of 8 parts tried, 2 more, misses by 0.60 dB."),
        ([fit(8, 0.618)], "No form of more parts came nearer."),  # 0.002 dB are no gain
        ([fit(8, 0.90)], "No form of more parts came nearer."),
        ([fit(4, 1.50), fit(5, 1.20)], "The best of 5 parts tried, 1 fewer, misses by 1.20 dB."),
        (
            [fit(4, 0.60)],
            "The best of 4 parts tried, 2 fewer, misses by 0.60 dB; the checks, on real parts, decided between them.",
        ),
    ],
)
def test_the_nearest_fit_of_fewer_and_of_more_parts_is_told(others, told):
    text = reasons._alternatives(SimpleNamespace(fits=[fit(6, 0.62), *others], optimum_db=0.62))
    assert text == f"With 6 parts both branches, their sum and phase together miss their targets by 0.62 dB. {told}"


def test_a_dip_that_both_drivers_have_is_named(sides):
    """A notch 6 dB deep at 3 kHz in both responses: no form fills it, and the reason says where and why."""
    low, high = sides()
    f = low.frequency_hz
    dip = 10 ** (-9.0 / 20 / (1 + (6.0 * (f / 3000 - 3000 / f)) ** 2))
    dipped = [type(s)(f, s.response * dip, s.impedance, s.re_ohm, s.le_h, s.fs_hz, s.qms, s.qes) for s in (low, high)]
    found = design(*dipped, SLOPES["LR4"], 2450.0)
    line = next(line for line in found.reasons if line.startswith("The sum strays most"))
    hz = float(re.search(r"at (\d+) Hz", line)[1])
    assert hz == pytest.approx(3000.0, rel=0.05) and found.sum_worst_db < -1.5
    assert "both drivers on this baffle" in line and f"{-found.sum_worst_db:.1f} dB below its target" in line
    assert hz == pytest.approx(found.sum_worst_hz, abs=0.5)
    even = design(low, high, SLOPES["LR4"], 2450.0)
    assert not any(line.startswith("The sum strays") for line in even.reasons)
    assert np.isfinite(found.loss_db)
