"""The short form of the soak; the long one is `python -m tests.endtoend.soak`."""

from __future__ import annotations

import sys

import pytest

from tests.endtoend.seasons import QUICK
from tests.endtoend.soak import soak


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_a_season_with_faults_loses_nothing() -> None:
    told = soak(10, kill_every_s=0.6, among=QUICK)
    assert told.bad >= 2 and told.assessed == 10 - told.bad and told.killed >= 1
