"""One process calculates on one core: tests run side by side, and threads that wait for one another cost more than they bring.

Said before numpy is imported, which the name of one of its warnings among pytest's settings would do.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Iterator
from contextlib import nullcontext
from typing import Any

import pytest

from tests import oneprocess, shared, slowest

for library in ("OMP", "OPENBLAS", "MKL"):
    os.environ.setdefault(f"{library}_NUM_THREADS", "1")

sys.dont_write_bytecode = False  # hundreds of processes import the program: each would compile all of it anew
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
gc.set_threshold(50_000, 10, 5)  # garbage is looked for less often, as in the command (measured: 8 % of the whole)


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """A process for each core (four at most) where the whole suite is asked for; a few files or tests run in this one."""
    whole = config.args_source is pytest.Config.ArgsSource.TESTPATHS
    return min(len(os.sched_getaffinity(0)), 4) if whole else 0


def pytest_configure(config: pytest.Config) -> None:
    """A part thrown away silently is an error; the process that starts the others makes the folder that all share."""
    config.addinivalue_line("filterwarnings", "error::numpy.exceptions.ComplexWarning")
    config.addinivalue_line("markers", "processes: the work is handed to processes, as where the command is called")
    from hypothesis import Phase, settings

    # to explain a failure the library traces the program, in which Python 3.11 may run round for ever: the failure itself was never told
    settings.register_profile(
        "untraced", deadline=None, phases=[phase for phase in Phase if phase is not Phase.explain]
    )
    settings.load_profile("untraced")
    if not hasattr(config, "workerinput"):
        shared.begin()


def pytest_unconfigure(config: pytest.Config) -> None:
    """The folder goes with the process that made it."""
    if not hasattr(config, "workerinput"):
        shared.end()


def pytest_collection_finish() -> None:
    """What was imported and collected stays to the end: no search for garbage goes through it again."""
    gc.collect()
    gc.freeze()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[Any]:
    """The processor time of each test, for those who ask for it."""
    with slowest.noted(item.nodeid):
        return (yield)


@pytest.fixture
def one_process(request: pytest.FixtureRequest) -> Iterator[None]:
    """Commands do their work in this process, but in a test marked `processes`."""
    with nullcontext() if request.node.get_closest_marker("processes") else oneprocess.in_this_process():
        yield
