"""A table is one test that asks every row and names those that fail."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.every import every

asked = list[tuple[int, str]]()
patched = dict[str, int]()


@every("number", (1, 2, 3))
@every(("letter", "also"), (("a", 0), ("b", 0)))
def test_every_row_meets_every_other_and_finds_nothing_of_the_last_one(
    number: int, letter: str, also: int, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    assert not patched and also == 0 and not [*tmp_path.iterdir()]
    (tmp_path / letter).touch()
    monkeypatch.setitem(patched, letter, number)
    asked.append((number, letter))
    assert asked == [(one, other) for one in (1, 2, 3) for other in "ab"][: len(asked)]


def test_each_row_that_fails_is_named_and_none_hides_another() -> None:
    @every("number", range(4), ids=lambda number: f"no. {number}")
    def odd(number: int) -> None:
        if number == 2:
            with pytest.raises(ValueError):
                int("2")
        assert number % 2, "even"

    with pytest.raises(BaseExceptionGroup, match="2 of 4 rows") as told:
        odd()
    assert [error.__notes__ for error in told.value.exceptions] == [["number: no. 0"], ["number: no. 2"]]


def test_a_name_that_the_test_does_not_take_and_a_table_without_rows_are_refused() -> None:
    def none() -> None: ...

    with pytest.raises(AssertionError, match="none does not take"):
        every("number", (1,))(none)
    with pytest.raises(AssertionError, match="tests nothing"):
        every("number", ())
