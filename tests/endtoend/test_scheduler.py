"""A season on the workers of a scheduler: the same bytes as on one machine, and a lost worker costs only time."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from reportgen import cli
from reportgen.commands.run import RunOrder, run
from tests.endtoend.seasons import QUICK, chosen, varied, write_season

Client = pytest.importorskip("distributed").Client
REPOSITORY = Path(__file__).parents[2]
BOUND = {
    "DASK_DISTRIBUTED__COMM__TIMEOUTS__CONNECT": "10s",
    "DASK_DISTRIBUTED__SCHEDULER__NO_WORKERS_TIMEOUT": "30s",
}


@dataclass
class Cluster:
    """A scheduler and two workers on the loopback address."""

    address: str
    more: Callable[[], subprocess.Popen[bytes]]
    """Starts one more worker."""


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Cluster]:
    folder = tmp_path_factory.mktemp("cluster")
    told = folder / "scheduler.json"
    environment = {**os.environ, **BOUND, "PYTHONPATH": str(REPOSITORY)}
    dask = [sys.executable, "-c", "import sys; from dask.__main__ import main; sys.exit(main())"]
    started = []

    def start(*arguments: str) -> subprocess.Popen[bytes]:
        quiet: Any = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        started.append(subprocess.Popen([*dask, *arguments], env=environment, cwd=folder, **quiet))
        return started[-1]

    try:
        start("scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", str(told), "--idle-timeout", "120s")  # fmt: skip
        deadline = time.monotonic() + 60
        while not told.exists() and time.monotonic() < deadline:
            time.sleep(0.1)
        address = json.loads(told.read_text())["address"]
        assert address.startswith("tcp://127.0.0.1:")
        worker = ("worker", address, "--host", "127.0.0.1", "--nthreads", "1", "--no-dashboard", "--no-nanny", "--death-timeout", "30")  # fmt: skip
        start(*worker)
        start(*worker)
        yield Cluster(address, partial(start, *worker))
    finally:
        for process in reversed(started):
            process.kill()
            process.wait()


def test_a_scheduler_gives_the_same_bytes_as_this_machine(tmp_path: Path, cluster: Cluster) -> None:
    workbook = write_season(tmp_path / "season.xlsx", chosen("P-06", "P-23", "P-03"))
    here = run(RunOrder(workbook, out=tmp_path / "here", into=tmp_path / "here.xlsx", jobs=2))
    told = ["--out", tmp_path / "there", "--into", tmp_path / "there.xlsx", "--scheduler", cluster.address]
    assert here.exit_code == cli.main(["run", str(workbook), *map(str, told)]) == 0
    for id_ in ("P-06", "P-23", "P-03"):
        sheets = [next((tmp_path / place / "season").glob(f"{id_} *.pdf")).read_bytes() for place in ("here", "there")]
        assert sheets[0] == sheets[1], id_
    told = [
        json.loads((tmp_path / place / "season/results.json").read_text())["pairings"] for place in ("here", "there")
    ]
    assert told[0] == told[1]


def test_a_lost_worker_costs_nothing_but_time(tmp_path: Path, cluster: Cluster) -> None:
    lost = cluster.more()
    with Client(cluster.address, timeout=30) as client:
        client.wait_for_workers(3, timeout=30)
    workbook = write_season(tmp_path / "season.xlsx", varied(8, QUICK))
    order = RunOrder(workbook, out=tmp_path / "out", into=tmp_path / "copy.xlsx", scheduler=cluster.address, pdf=False)

    def kill_one(id_: str, count: int, total: int) -> None:
        if count == 2:
            lost.send_signal(signal.SIGKILL)

    report = run(order, kill_one)
    assert report.exit_code == 0
    assert [one.id for one in report.assessments] == [row["id"] for row in varied(8, QUICK)]
