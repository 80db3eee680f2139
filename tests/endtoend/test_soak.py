"""The short form of the soak; the long one is `python -m tests.endtoend.soak`."""

from __future__ import annotations

import sys

import pytest

from tests.endtoend.seasons import QUICK
from tests.endtoend.soak import soak


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_a_season_with_faults_loses_nothing() -> None:
    told = soak(14, kill_every_s=0.8, among=QUICK)
    assert told.bad >= 3 and told.assessed == 14 - told.bad and told.killed >= 1
