"""Revisions of a sheet, counted by hand over a History of a few rows."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from reportgen.catalogue.records import Case, MeasuredCurve, Practice
from reportgen.ledger.archive import Packer
from reportgen.ledger.differences import Change
from reportgen.ledger.entries import Entry, History
from reportgen.ledger.revisions import MOST_LETTERS, OTHERWISE, Earlier, Revised, _weight, earlier, one_line, revised
from tests.demo_catalogue import demo, demo_case
from tests.every import every
from tests.suitability.workbench import changed

CASE = demo_case("P-01")
LOUDER = changed(CASE, pairing={"peak_level_db": 100.0})
RENAMED = changed(CASE, pairing={"kit": "Another"})


def remembered(*entries: Entry) -> History:
    packer = Packer()
    for case in (CASE, LOUDER, RENAMED):
        packer.add(case)
    return History(entries, packer.stored)


def key(case: object) -> str:
    return Packer().add(case)  # type: ignore[arg-type]


def row(run: int, revision: int | None, changed: str = "", paper: str = "a", inputs: str = "") -> Entry:
    return Entry(
        run=run, pairing_id="P-01", changed=changed, revision=revision, paper=paper, inputs=inputs or key(CASE)
    )


def test_without_a_printed_sheet_there_is_none_before() -> None:
    assert earlier(remembered(row(1, None)), CASE, key(CASE)) is None
    assert revised(None, "a").revision == 1


def test_the_first_revision_has_no_line_and_a_later_one_that_of_the_run_that_began_it() -> None:
    first = row(1, 1, "New")
    assert earlier(remembered(first), CASE, key(CASE)) == Earlier(1, "a", "", False, "")
    began, kept = row(2, 2, "Xmax of LD-01: 5 mm -> 6 mm"), row(3, 2, "Stock of LD-01: 3 -> 2", paper="b")
    found = earlier(remembered(first, kept, began), CASE, key(CASE))  # the operator may sort the rows
    assert found == Earlier(2, "b", "Xmax of LD-01: 5 mm -> 6 mm", False, "")
    assert found is not None and revised(found, "b").revision == 2 and revised(found, "c").revision == 3


@pytest.mark.parametrize(("now", "moved", "revision"), [(LOUDER, True, 3), (RENAMED, False, 2)])
def test_physics_makes_a_new_revision_and_a_name_only_where_the_words_tell_it(
    now: object, moved: bool, revision: int
) -> None:
    found = earlier(remembered(row(1, 1), row(2, 2, "Price of HD-01: 29 -> 31")), now, key(now))  # type: ignore[arg-type]
    assert found is not None and found.physics_moved is moved and found.since
    assert revised(found, "a").revision == revision
    assert revised(found, "other words").line == found.since


def test_inputs_that_are_no_longer_kept_are_a_new_revision_that_says_so() -> None:
    found = earlier(remembered(row(1, 1, inputs="0" * 20)), CASE, key(CASE))
    assert found is not None and found.physics_moved
    assert found.since == "The inputs; those of the last run are no longer in History"
    again = revised(found, "a")
    assert (again.revision, again.line) == (2, found.since)


def test_other_words_without_another_input_are_put_down_to_the_program() -> None:
    assert revised(Earlier(1, "a", "", False, ""), "b").line == OTHERWISE
    assert OTHERWISE == "The words of the sheet: another program, or other rows of the workbook"


def rule(**fields: Any) -> Case:
    """The case with the first rule changed."""
    first, one = next(iter(CASE.practice.rules.items()))
    return replace(CASE, practice=Practice({**CASE.practice.rules, first: replace(one, **fields)}))


PART = replace(next(iter(demo().parts.values())), price=1.0)
CURVE = MeasuredCurve(np.array([100.0, 1e4]), np.array([80.0, 81.0]), None, "a.txt")


@pytest.mark.parametrize(
    ("now", "physics"),
    [
        *((changed(CASE, low={field: value}), True) for field, value in (("fs_hz", 44.0), ("peak_travel_m", 0.007), ("rated_power_w", 9.0))),
        *((changed(CASE, high={field: value}), False) for field, value in (("price", 31.0), ("stock", 1), ("description", "New"))),
        *(
            (changed(CASE, pairing={field: "New"}), False)
            for field in ("kit", "season", "decision", "decided_by", "reason")
        ),
        (changed(CASE, cabinet={"net_volume_m3": 0.012}), True), (changed(CASE, pairing={"amplifier_power_w": 9.0}), True),
        (changed(CASE, maker={"currency": "CHF"}), False), (changed(CASE, maker={"paper": "Letter"}), False),
        (rule(value=7.0), True), (rule(source="mine"), False),
        (replace(CASE, stock=(PART,)), True), (replace(CASE, curves={("LD-01", "response"): CURVE}), True),
    ],
)  # fmt: skip
def test_physics_is_what_a_figure_is_worked_out_from(now: Case, physics: bool) -> None:
    packer = Packer()
    packer.add(CASE)
    found = earlier(History((row(1, 1),), packer.stored), now, key(now))
    assert found is not None and found.since and found.physics_moved is physics
    assert revised(found, "a").revision == (2 if physics else 1)


@every(
    ("weight", "what"),
    [
        (0, "Low driver, High driver, Waveguide, Cabinet"),
        (1, "Xmax, Price, Slope"),
        (2, "Season, Kit, Description, Stock"),
    ],
)
def test_exchanged_parts_weigh_most_and_mere_names_least(weight: int, what: str) -> None:
    assert {_weight(Change("P-01", "input", f"{one} of P-01", "a", "b")) for one in what.split(", ")} == {weight}


@every(
    ("texts", "line"),
    [
        ([], ""), (["a"], "a"), (["a", "b", "c"], "a; b; c"), (["x" * 300], "x" * 300), (["x" * 300, "b", "c"], "x" * 300 + "; and 2 more"),
        (["a" * 50, "b" * 58], "a" * 50 + "; " + "b" * 58), (["a" * 50, "b" * 59], "a" * 50 + "; and 1 more"),
        (["a" * 50, "b" * 59, "c"], "a" * 50 + "; and 2 more"),
    ],
)  # fmt: skip
def test_one_line_takes_as_many_changes_as_fit_and_counts_the_rest(texts: list[str], line: str) -> None:
    assert MOST_LETTERS == 110 and one_line(texts) == line


@every(
    ("before", "paper", "after"),
    [
        (Earlier(2, "a", "Xmax", False, "Stock"), "a", Revised(2, "a", "Xmax")), (Earlier(2, "a", "Xmax", True, "Fs"), "a", Revised(3, "a", "Fs")),
        (Earlier(2, "a", "Xmax", False, "Stock"), "b", Revised(3, "b", "Stock")), (Earlier(2, "a", "Xmax", True, ""), "b", Revised(3, "b", OTHERWISE)),
        (Earlier(2, "", "Xmax", False, "Stock"), "b", Revised(2, "b", "Xmax")), (Earlier(2, "", "Xmax", True, "Fs"), "b", Revised(3, "b", "Fs")),
    ],
)  # fmt: skip
def test_every_way_from_one_sheet_to_the_next(before: Earlier, paper: str, after: Revised) -> None:
    """An earlier sheet whose words have no name (an older program) is the same unless the physics moved."""
    assert revised(before, paper) == after
