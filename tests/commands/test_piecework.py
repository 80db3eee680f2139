"""One pairing in a process: what goes wrong with its sheet never costs its result, and which stamp its sheet bears."""

from __future__ import annotations

import pickle
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from reportgen.catalogue import records
from reportgen.commands import piecework
from reportgen.commands.handed import Piecework
from reportgen.commands.tasks import Done, Shop, Task
from reportgen.ledger.revisions import Earlier, Revised
from reportgen.paper import composing, fingerprints, render
from reportgen.problems import ReportgenError
from tests.demo_catalogue import demo, demo_assessed
from tests.every import every
from tests.paper.samples import STAMP

SHOP = Shop(demo(), True, "Letter", None, "sheet")
TASK = Task(demo_assessed("P-01").case.pairing, STAMP, demo_assessed("P-01"))


class Press:
    """Stands in for the page engine: notes what it is given."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, words: str = "words", fails: Exception | None = None) -> None:
        self.composed: list[tuple[str, str]] = []
        self.printed: list[tuple[str, str]] = []
        self.with_: tuple[Any, ...] = ()
        self.fails = fails
        monkeypatch.setattr(composing, "sheet_page", self.compose)
        monkeypatch.setattr(fingerprints, "name_of_words", lambda _: words)
        monkeypatch.setattr(render, "render_sheet", self.render)
        monkeypatch.setattr(render, "slow_fonts_notice", lambda: "slow")

    def compose(self, _: Any, stamp: Any) -> None:
        self.composed.append((stamp.revision, stamp.changed))

    def render(self, assessment: Any, stamp: Any, *how: Any) -> bytes:
        if self.fails is not None:
            raise self.fails
        assert assessment is TASK.kept
        self.printed.append((stamp.revision, stamp.changed))
        self.with_ = how
        return b"%PDF"


@every(
    ("before", "words", "composed", "sheet"),
    [
        (None, "words", ("1", ""), Revised(1, "words")),
        (Earlier(2, "words", "Xmax", False, "Price"), "words", ("2", "Xmax"), Revised(2, "words", "Xmax")),
        (Earlier(2, "words", "Xmax", False, "Price"), "other", ("2", "Xmax"), Revised(3, "other", "Price")),
        (Earlier(2, "words", "Xmax", True, "Price"), "words", ("3", "Price"), Revised(3, "words", "Price")),
    ],
)
def test_the_sheet_bears_the_revision_that_its_words_and_the_physics_ask_for(
    before: Earlier | None, words: str, composed: tuple[str, str], sheet: Revised, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Words are compared as they would stand under the revision that nothing but the inputs promises."""
    press = Press(monkeypatch, words)
    done = piecework.work(SHOP, replace(TASK, before=before))
    assert done == Done(TASK.kept, b"%PDF", "", "slow", sheet)
    assert press.composed == [composed] and press.printed == [(str(sheet.revision), sheet.line)]
    assert press.with_ == (None, "Letter", "sheet")


def test_without_pages_nothing_is_printed(monkeypatch: pytest.MonkeyPatch) -> None:
    press = Press(monkeypatch)
    assert piecework.work(replace(SHOP, pdf=False), TASK) == Done(TASK.kept) and not press.composed


@every(
    ("error", "said"),
    [
        (ReportgenError("front.html line 3: no field."), "front.html line 3: no field."),
        (
            KeyError("x"),
            f"{TASK.pairing.origin.place('id')}: an error of the program, please report it: KeyError: 'x' (",
        ),
    ],
)
def test_a_sheet_that_cannot_be_printed_costs_no_result(
    error: Exception, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    Press(monkeypatch, fails=error)
    done = piecework.work(SHOP, TASK)
    assert done.assessment is TASK.kept and done.pdf is None and done.reason.startswith(said)


def test_a_pairing_that_is_not_kept_is_assessed_and_its_nearest_yes_is_searched(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The sheets named are those of the assessment and those that the search names, in their order."""
    origin = records.Origin("Practice", 3, {"id": "A3"})
    found = replace(demo_assessed("P-03"), named_sheets=("Cabinets", "Technologies"), remedies=(), remedies_note="")

    def searched(assessment: Any, catalogue: Any) -> tuple[tuple[Any, ...], str]:
        assert assessment is found and catalogue is SHOP.catalogue
        origin.place("id")
        return demo_assessed("P-03").remedies, "Three were tried."

    monkeypatch.setattr(piecework, "assess", lambda case: found if case.pairing.id == "P-03" else None)
    monkeypatch.setattr(piecework, "find_remedies", searched)
    done = piecework.work(replace(SHOP, pdf=False), Task(found.case.pairing, STAMP))
    assert done.assessment is not None
    assert done.assessment.named_sheets == ("Cabinets", "Practice", "Technologies")
    assert (done.assessment.remedies, done.assessment.remedies_note) == (
        demo_assessed("P-03").remedies,
        "Three were tried.",
    )
    drawn = list[Any]()
    Press(monkeypatch)
    monkeypatch.setattr(render, "render_sheet", lambda assessment, *_: drawn.append(assessment) or b"%PDF")
    done = piecework.work(SHOP, Task(found.case.pairing, STAMP))
    assert drawn == [done.assessment] and drawn[0].remedies_note == "Three were tried."
    monkeypatch.setattr(piecework, "find_remedies", lambda *_: pytest.fail("it is kept"))
    assert piecework.work(replace(SHOP, pdf=False), TASK).assessment is TASK.kept


def test_two_threads_of_one_process_take_turns(monkeypatch: pytest.MonkeyPatch) -> None:
    """The page engine is not safe in threads; the shop is unpacked once for all."""
    running, most, shops = 0, 0, list[int]()

    def work(shop: Any, _: Any) -> Done:
        nonlocal running, most
        running += 1
        most = max(most, running)
        shops.append(id(shop))
        time.sleep(0.02)
        running -= 1
        return Done()

    monkeypatch.setattr(piecework, "work", work)
    call: Callable[[Any], Done] = Piecework(pickle.dumps(SimpleNamespace(name="shop")))
    threads = [threading.Thread(target=call, args=(TASK,)) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (most, len(shops), len(set(shops))) == (1, 3, 1)
