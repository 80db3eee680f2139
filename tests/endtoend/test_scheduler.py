"""A season on one core, two, and the workers of a scheduler: the same bytes, and a lost worker costs only time."""

from __future__ import annotations

import datetime as dt
import importlib
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import nullcontext
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import openpyxl
import pytest

from reportgen import cli
from reportgen.commands import orders, scheduler, workers
from reportgen.commands.run import Report, RunOrder, run
from tests.endtoend.seasons import QUICK, Row, chosen, small, varied, write_season
from tests.oneprocess import in_this_process
from tests.paper.pdfs import text

REPOSITORY = Path(__file__).parents[2]
BOUND = {
    "DASK_DISTRIBUTED__COMM__TIMEOUTS__CONNECT": "10s",
    "DASK_DISTRIBUTED__SCHEDULER__NO_WORKERS_TIMEOUT": "30s",
}


@pytest.fixture(autouse=True, scope="module")
def distributed() -> Any:
    """The engine, imported in the process alone that runs these tests."""
    return pytest.importorskip("distributed")


def client(address: str) -> Any:
    return importlib.import_module("distributed").Client(address, timeout=30)


@dataclass
class Cluster:
    """A scheduler and a worker on the loopback address."""

    address: str
    more: Callable[[], subprocess.Popen[bytes]]
    """Starts one more worker."""


def address_in(told: Path) -> str:
    """Where a scheduler listens, as soon as its file is whole: it makes the file before it fills it."""
    deadline = time.monotonic() + 60
    while True:
        try:
            return str(json.loads(told.read_text())["address"])
        except (FileNotFoundError, ValueError):
            if time.monotonic() > deadline:
                raise
            time.sleep(0.1)


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
        address = address_in(told)
        assert address.startswith("tcp://127.0.0.1:")
        worker = ("worker", address, "--host", "127.0.0.1", "--nthreads", "1", "--no-dashboard", "--no-nanny", "--death-timeout", "30")  # fmt: skip
        start(*worker)
        yield Cluster(address, partial(start, *worker))
    finally:
        for process in reversed(started):
            process.kill()
            process.wait()


class Clock(dt.datetime):
    """It stands still, on a day that no worker has of itself: whoever prints its own date is found out, and midnight may come."""

    @classmethod
    def now(cls, tz: Any = None) -> Clock:
        return cls(2026, 1, 2, 3, 4, 5, tzinfo=tz)


def test_one_core_two_and_the_workers_of_a_scheduler_give_the_same_bytes(
    tmp_path: Path, cluster: Cluster, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The PDFs of own templates, what results.json tells of each pairing, and every cell of the written workbook but paths."""
    monkeypatch.setattr(orders, "dt", SimpleNamespace(datetime=Clock))
    pairings = chosen("P-19", "P-03")
    workbook, own = write_season(tmp_path / "season.xlsx", pairings, **small(*pairings)), tmp_path / "own"
    own.mkdir()
    shipped = (REPOSITORY / "templates" / "front.html").read_text()
    (own / "front.html").write_text(f"<p>By hand at our bench</p>{shipped}")  # own templates travel to the workers
    ways = {"one": ("--jobs", "1"), "two": ("--jobs", "2"), "scheduler": ("--scheduler", cluster.address)}
    for name, way in ways.items():
        place = ("--templates", own, "--out", tmp_path / name / "out", "--into", tmp_path / name / "season.xlsx")
        (tmp_path / name).mkdir()
        with in_this_process() if name == "one" else nullcontext():
            assert cli.main(["run", str(workbook), *map(str, place), *way]) == 0
    assert "By hand at our bench" in text((tmp_path / "one/out/season/P-19 Desk Teal.pdf").read_bytes(), tmp_path)
    one, *others = (came_out(tmp_path / name) for name in ways)
    assert len(one) == 2 + 1 + len(openpyxl.load_workbook(tmp_path / "one/season.xlsx").sheetnames)
    for other in others:
        assert [name for name in one if one[name] != other.get(name)] == []
        assert one.keys() == other.keys()


def came_out(place: Path) -> dict[str, Any]:
    """What a run left there that is not of the run itself: sheets, pairings of results.json, cells but for paths."""
    found: dict[str, Any] = {path.name: path.read_bytes() for path in (place / "out/season").glob("P-*.pdf")}
    found["pairings"] = json.loads((place / "out/season/results.json").read_text())["pairings"]
    for sheet in openpyxl.load_workbook(place / "season.xlsx"):
        found[sheet.title] = [
            [cell.value for cell in row if str(place) not in str(cell.value)] for row in sheet.iter_rows()
        ]
    return found


def test_a_lost_worker_costs_nothing_but_time(tmp_path: Path, cluster: Cluster) -> None:
    lost = cluster.more()
    with client(cluster.address) as asked:
        asked.wait_for_workers(2, timeout=30)
    workbook = write_season(tmp_path / "season.xlsx", varied(4, QUICK), **small(*varied(4, QUICK)))
    order = RunOrder(workbook, out=tmp_path / "out", into=tmp_path / "copy.xlsx", scheduler=cluster.address, pdf=False)

    def kill_one(id_: str, count: int, total: int) -> None:
        if count == 1:
            lost.send_signal(signal.SIGKILL)

    report = run(order, kill_one)
    assert report.exit_code == 0
    assert [one.id for one in report.outlines] == [row["id"] for row in varied(4, QUICK)]


# --- schedulers that are no help ----------------------------------------------------------------------------------


@dataclass
class Engine:
    """Starts schedulers and workers of the engine, and ends those that it started."""

    folder: Path
    started: list[subprocess.Popen[bytes]] = field(default_factory=list)

    def process(self, *arguments: str, **environment: str) -> subprocess.Popen[bytes]:
        dask = [sys.executable, "-c", "import sys; from dask.__main__ import main; sys.exit(main())"]
        own = {**os.environ, **BOUND, "PYTHONPATH": str(REPOSITORY), **environment}
        quiet: Any = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        self.started.append(subprocess.Popen([*dask, *arguments], env=own, cwd=self.folder, **quiet))
        return self.started[-1]

    def scheduler(self, *more: str) -> tuple[str, subprocess.Popen[bytes]]:
        told = self.folder / f"scheduler-{len(self.started)}.json"
        host = ("--host", "127.0.0.1") if not more else ()
        process = self.process("scheduler", *host, "--port", "0", "--no-dashboard", "--scheduler-file", str(told), "--idle-timeout", "120s", *more)  # fmt: skip
        return address_in(told), process

    def worker(self, address: str, *more: str, **environment: str) -> subprocess.Popen[bytes]:
        return self.process("worker", address, "--host", "127.0.0.1", "--nthreads", "1", "--no-dashboard", "--no-nanny", "--death-timeout", "30", *more, **environment)  # fmt: skip


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    made = Engine(tmp_path)
    yield made
    for process in reversed(made.started):
        process.kill()
        process.wait()


@dataclass
class Said:
    """What a run said, when, and what came of it."""

    report: Report
    texts: list[str]
    first_s: float


def told(place: Path, address: str, pairings: list[Row], fresh: bool = False, **how: Any) -> Said:
    workbook = write_season(place / "season.xlsx", pairings, **small(*pairings))
    texts, begun, first = list[str](), time.monotonic(), [0.0]

    def say(text: str) -> None:
        texts.append(text)
        first[0] = first[0] or time.monotonic() - begun

    into = place / "copy.xlsx"
    order = RunOrder(workbook, out=place / "out", into=into, scheduler=address, pdf=False, jobs=1, fresh=fresh)
    return Said(run(order, say=say, **how), texts, first[0])


def other_version(folder: Path) -> str:
    """A copy of the program in which one word is another."""
    package = folder / "other" / "reportgen"
    shutil.copytree(REPOSITORY / "reportgen", package)  # compiled too: only what changes is compiled anew
    shutil.copytree(REPOSITORY / "templates", folder / "other" / "templates")
    with (package / "suitability" / "cautions.py").open("a") as file:
        file.write("# another word\n")
    return str(folder / "other")


def test_a_scheduler_without_workers_or_with_none_that_can_be_used_is_said_and_the_work_is_done_here(
    tmp_path: Path, engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    address, _ = engine.scheduler()
    monkeypatch.setattr(scheduler, "PATIENCE_S", 1.0)
    with in_this_process():
        said = told(tmp_path, address, chosen("P-19", "P-12"))
    assert said.report.exit_code == 0 and len(said.report.outlines) == 2
    assert any("has no worker that answers. The work is done on this machine." in text for text in said.texts)
    assert 1.0 <= said.first_s < 10.0, "it is waited for that long, and for the reading of the workbook"
    assert said.texts[0] in said.report.notices
    monkeypatch.undo()
    _assert_workers_of_others_are_refused(tmp_path, engine, address)


def _assert_workers_of_others_are_refused(tmp_path: Path, engine: Engine, address: str) -> None:
    """One worker of another version, and one without the program."""
    bare = tmp_path / "bare" / "reportgen"
    bare.mkdir(parents=True)
    (bare / "__init__.py").write_text("raise ModuleNotFoundError(__name__)\n")  # found first, whatever is installed
    engine.worker(address, PYTHONPATH=other_version(tmp_path))
    engine.worker(address, PYTHONPATH=str(bare.parent))
    with client(address) as asked:
        asked.wait_for_workers(2, timeout=30)
    with in_this_process():
        said = told(tmp_path, address, chosen("P-19", "P-12"), fresh=True)
    assert said.report.exit_code == 0 and len(said.report.outlines) == 2
    assert (
        sum("runs another version of this program or of its engines and is not used" in text for text in said.texts)
        == 1
    )
    assert sum("does not have this program (ModuleNotFoundError" in text for text in said.texts) == 1, said.texts
    assert any(
        "has no worker that runs this very program. The work is done on this machine." in text for text in said.texts
    )


def test_a_lost_scheduler_is_said_and_the_rest_is_done_here(
    tmp_path: Path, engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    address, process = engine.scheduler()
    engine.worker(address)
    pairings = varied(3, QUICK)

    def lose(_id: str, count: int, _total: int) -> None:
        if count == 1:
            process.kill()
            monkeypatch.setattr(scheduler, "PATIENCE_S", 1.0)
            monkeypatch.setattr(workers, "ASKED_S", 0.5)

    said = told(tmp_path, address, pairings, notify=lose)
    assert said.report.exit_code == 0
    assert [one.id for one in said.report.outlines] == [row["id"] for row in pairings]
    assert any("The rest of the work is done on this machine" in text or "are done on this machine" in text for text in said.texts), said.texts  # fmt: skip


def test_a_scheduler_over_tls(
    tmp_path: Path, engine: Engine, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    if not shutil.which("openssl"):
        pytest.skip("openssl is not installed")
    request = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", "/CN=127.0.0.1"]
    more = ["-addext", "subjectAltName=IP:127.0.0.1", "-keyout", tmp_path / "key.pem", "-out", tmp_path / "cert.pem"]
    subprocess.run([*request, *more], check=True, capture_output=True)
    cert, key = str(tmp_path / "cert.pem"), str(tmp_path / "key.pem")
    tls = ("--tls-ca-file", cert, "--tls-cert", cert, "--tls-key", key)
    address, _ = engine.scheduler("--protocol", "tls", "--host", "tls://127.0.0.1", *tls)
    assert address.startswith("tls://127.0.0.1:")
    engine.worker(address, *tls)
    for name, value in {"CA_FILE": cert, "CLIENT__CERT": cert, "CLIENT__KEY": key}.items():
        monkeypatch.setenv(f"DASK_DISTRIBUTED__COMM__TLS__{name}", value)
    workbook = write_season(tmp_path / "season.xlsx", chosen("P-19"), **small(*chosen("P-19")))
    command = ["run", str(workbook), "--no-pdf", "--out", str(tmp_path / "out"), "--into", str(tmp_path / "copy.xlsx"), "--scheduler", address]  # fmt: skip
    dask_config = importlib.import_module("dask.config")
    try:
        dask_config.refresh()  # what a process reads when it starts
        assert cli.main(command) == 0
        assert "this machine" not in "".join(capfd.readouterr())
        monkeypatch.delenv("DASK_DISTRIBUTED__COMM__TLS__CA_FILE")
        dask_config.refresh()
        assert cli.main(command) == 2 and "no scheduler answers there" in capfd.readouterr().err
    finally:
        monkeypatch.undo()
        dask_config.refresh()
