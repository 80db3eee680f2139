"""The workers of a scheduler as they are asked and doubted, by hand: its client and the clock are invented here.

The engine itself is tried in `tests/endtoend/test_scheduler.py`.
"""

from __future__ import annotations

import hashlib
import threading
import time
from collections.abc import Callable, Mapping
from types import SimpleNamespace
from typing import Any

import pytest

from reportgen.commands import scheduler
from reportgen.problems import ReportgenError
from tests.every import every

ADDRESS = "tcp://127.0.0.1:8786"


class Clock:
    """Time that passes as it is told to; a pause passes at once."""

    def __init__(self) -> None:
        self.now, self.pauses = 1000.0, 0

    def monotonic(self) -> float:
        return self.now

    def sleep(self, seconds: float) -> None:
        self.now += seconds
        self.pauses += 1


class Client:
    """Workers that are there, one answer after the other (the last one stays), and what they say of themselves."""

    def __init__(self, *present: Mapping[str, int] | Exception, told: Mapping[str, Any] | None = None) -> None:
        self.present, self.told = list(present), told
        self.options: dict[str, Any] = {}
        self.asked = self.closed = 0

    def nthreads(self) -> Mapping[str, int]:
        self.asked += 1
        found = self.present.pop(0) if len(self.present) > 1 else self.present[0]
        if isinstance(found, Exception):
            raise found
        return found

    def run(self, _: Any, question: str, on_error: str) -> Mapping[str, Any]:
        assert "fingerprint()" in question and on_error == "return"
        if self.told is None:
            raise OSError("gone")
        return self.told

    def get_executor(self, **options: Any) -> str:
        self.options = options
        return "executor"

    def close(self, timeout: float) -> None:
        self.closed += 1
        raise OSError(f"nobody there within {timeout} s")


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    made = Clock()
    monkeypatch.setattr(scheduler, "time", made)
    monkeypatch.setattr(scheduler, "fingerprint", lambda: "ours")
    return made


def test_a_fingerprint_tells_of_the_program_and_of_what_it_prints_with(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(scheduler, "key_of_program", lambda: "p")
    monkeypatch.setattr(scheduler, "key_of_printing", lambda *_: "q")
    assert scheduler.fingerprint.__wrapped__() == hashlib.sha256(b"p q").hexdigest()


def test_a_short_silence_is_forgiven_and_a_longer_one_is_not(clock: Clock) -> None:
    """Eight seconds without one of ours; whoever else is there does not count, and one that comes back begins anew."""
    client = Client({"ours": 1})
    found = scheduler.Elsewhere(executor=None, address=ADDRESS, _client=client, _workers=frozenset({"ours"}))  # type: ignore[arg-type]
    told = list[str]()
    for now, present in (
        (1000.0, {"ours": 1, "other": 1}), (1010.0, {"other": 1}), (1017.9, {}), (1018.0, {"ours": 1}),
        (1030.0, {}), (1037.9, {"other": 2}), (1038.0, {}),
    ):  # fmt: skip
        clock.now, client.present = now, [present]
        told.append(found.trouble())
    lost = f"The scheduler at {ADDRESS} has lost all its workers. The rest of the work is done on this machine."
    assert told == ["", "", "", "", "", "", lost]


def test_a_scheduler_that_cannot_be_asked_is_lost_at_once(clock: Clock) -> None:
    client = Client(OSError("connection reset"))
    found = scheduler.Elsewhere(executor=None, address=ADDRESS, _client=client, _workers=frozenset({"ours"}))  # type: ignore[arg-type]
    assert found.trouble() == f"The scheduler at {ADDRESS} is lost. The rest of the work is done on this machine."


@pytest.mark.usefixtures("clock")
def test_only_those_that_run_this_very_program_are_used_and_of_the_others_it_is_said_why() -> None:
    said, there = list[str](), {"a": 1, "b": 1, "c": 1}
    told = {"a": "ours", "b": "another", "c": ModuleNotFoundError("No module named 'reportgen'")}
    assert scheduler._fit(Client(there, told=told), ADDRESS, said.append) == {"a"}
    other = "b: this worker runs another version of this program or of its engines and is not used."
    none = (
        "c: this worker does not have this program (ModuleNotFoundError: No module named 'reportgen') and is not used."
    )
    assert said == [other, none]
    said.clear()
    assert scheduler._fit(Client(there, told={"b": "another"}), ADDRESS, said.append) == set()
    without = f"The scheduler at {ADDRESS} has no worker that {{}}. The work is done on this machine."
    assert said == [other, without.format("runs this very program")]
    said.clear()
    assert scheduler._fit(Client(there), ADDRESS, said.append) == set()
    assert said == [without.format("answers")]


def test_workers_that_are_about_to_come_are_waited_for_but_not_for_ever(clock: Clock) -> None:
    client = Client({}, OSError("not yet"), {"a": 1}, told={"a": "ours"})
    assert scheduler._fit(client, ADDRESS, pytest.fail) == {"a"}
    assert (client.asked, clock.pauses) == (3, 2)
    said, begun = list[str](), clock.now
    assert scheduler._fit(Client({}, told={"a": "ours"}), ADDRESS, said.append) == set()
    assert len(said) == 1 and clock.now - begun == pytest.approx(scheduler.PATIENCE_S, abs=0.25)


def _engine(monkeypatch: pytest.MonkeyPatch, make: Callable[..., Any]) -> None:
    def imported(name: str) -> Any:
        assert name == "distributed"
        return SimpleNamespace(Client=make)

    monkeypatch.setattr(scheduler, "importlib", SimpleNamespace(import_module=imported))


@pytest.mark.usefixtures("clock")
def test_the_executor_keeps_to_the_workers_that_fit_and_does_equal_work_twice(monkeypatch: pytest.MonkeyPatch) -> None:
    """`pure` would give one result for equal calls, `allow_other_workers` work to others (distributed: Client.submit)."""
    client = Client({"b": 1, "a": 1, "c": 1}, told={"b": "ours", "a": "ours", "c": "another"})
    _engine(monkeypatch, lambda address, timeout, set_as_default: client)
    with scheduler.scheduled(ADDRESS, lambda _: None) as found:
        assert found is not None and (found.executor, found.address) == ("executor", ADDRESS)  # type: ignore[comparison-overlap]
        assert client.options == {"pure": False, "workers": ["a", "b"], "allow_other_workers": False}
        assert found.trouble() == "" and client.closed == 0
    assert client.closed == 1  # and that nobody answered is nobody's trouble


@pytest.mark.usefixtures("clock")
def test_without_a_worker_that_fits_there_is_no_executor(monkeypatch: pytest.MonkeyPatch) -> None:
    client = Client({"a": 1}, told={"a": "another"})
    _engine(monkeypatch, lambda *_, **__: client)
    with scheduler.scheduled(ADDRESS, lambda _: None) as found:
        assert found is None
    assert (client.closed, client.options) == (1, {})


@every("error", [OSError("timed out"), ValueError("no such key"), TypeError("no certificate")])
def test_an_address_where_no_scheduler_answers_is_named(error: Exception, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuses(*_: Any, **__: Any) -> None:
        raise error

    _engine(monkeypatch, refuses)
    with pytest.raises(ReportgenError) as told, scheduler.scheduled(ADDRESS, print):
        pass
    assert str(told.value) == f"{ADDRESS}: no scheduler answers there ({error}). Start one, or run without it."


def test_an_engine_that_is_not_installed_is_named_with_its_extra(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> None:
        raise ImportError(name)

    monkeypatch.setattr(scheduler, "importlib", SimpleNamespace(import_module=missing))
    with pytest.raises(ReportgenError, match=r'pip install "reportgen\[scheduler\]"'), scheduler.scheduled("", print):
        pass


@pytest.mark.usefixtures("clock")
def test_workers_may_take_a_minute_to_import_and_all_else_eight_seconds(monkeypatch: pytest.MonkeyPatch) -> None:
    """And the client is nobody's but ours: another one of the same process stays what it is."""
    client, waited, asked = Client({"a": 1}, told={"a": "ours"}), list[float](), list[Any]()

    def answer(ask: Callable[[], Any], patience_s: float) -> Any:
        waited.append(patience_s)
        return ask()

    monkeypatch.setattr(scheduler, "_answer", answer)
    _engine(monkeypatch, lambda address, **how: (asked.append((address, how)), client)[1])
    with scheduler.scheduled(ADDRESS, print) as found:
        assert found is not None and found.trouble() == ""
    assert waited == [8.0, 60.0, 8.0] and asked == [(ADDRESS, {"timeout": 8.0, "set_as_default": False})]


@pytest.mark.filterwarnings("error")  # a thread that ends in an error would tell it to the operator
def test_an_answer_is_waited_for_no_longer_than_patience_lasts() -> None:
    never, begun = threading.Event(), time.monotonic()
    assert scheduler._answer(lambda: never.wait(30.0), 0.05) is None
    assert time.monotonic() - begun < 10.0
    never.set()
    assert scheduler._answer(lambda: {}["none"], 10.0) is None
    assert scheduler._answer(lambda: "here", 10.0) == "here"
