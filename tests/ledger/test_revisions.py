"""Revisions of a sheet, counted by hand over a History of a few rows."""

from __future__ import annotations

import pytest

from reportgen.ledger.archive import Packer
from reportgen.ledger.entries import Entry, History
from reportgen.ledger.revisions import OTHERWISE, Earlier, earlier, revised
from tests.demo_catalogue import demo_case
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
    assert found is not None and found.physics_moved and "no longer in History" in found.since
    again = revised(found, "a")
    assert (again.revision, again.line) == (2, found.since)


def test_other_words_without_another_input_are_put_down_to_the_program() -> None:
    assert revised(Earlier(1, "a", "", False, ""), "b").line == OTHERWISE
