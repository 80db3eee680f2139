"""Tables of figures: all rows of a table are one test, which names every row that fails.

A test a row costs more than most rows do: it is found, told of and handed to a process by itself.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Sequence
from functools import wraps
from typing import Any

import pytest

Test = Callable[..., None]
FAILED = (Exception, BaseExceptionGroup, pytest.fail.Exception)


def every(
    names: str | Sequence[str], rows: Iterable[Any], ids: Callable[[Any], object] = repr
) -> Callable[[Test], Test]:
    """As `pytest.mark.parametrize`, but one test; each row has a `monkeypatch` and a `tmp_path` of its own, other fixtures serve them all.

    One above another where each row of the one meets each of the other. `ids` says how a failure shows a value.
    """
    words = [name.strip() for name in names.split(",")] if isinstance(names, str) else list(names)
    table = [dict(zip(words, (row,) if len(words) == 1 else row, strict=True)) for row in rows]
    assert table, "a table without rows tests nothing"

    def over(test: Test) -> Test:
        taken = inspect.signature(test).parameters
        left = [one for name, one in taken.items() if name not in words]
        assert len(left) + len(words) == len(taken), f"{test.__name__} does not take {words}"

        @wraps(test)
        def all_rows(**fixtures: Any) -> None:
            failed = list[BaseException]()
            for number, row in enumerate(table):
                with pytest.MonkeyPatch.context() as own:
                    given = dict(fixtures)
                    if "monkeypatch" in given:
                        given["monkeypatch"] = own
                    if "tmp_path" in given:
                        given["tmp_path"] = fixtures["tmp_path"] / str(number)
                        given["tmp_path"].mkdir()
                    try:
                        test(**row, **given)
                    except FAILED as error:
                        error.add_note(", ".join(f"{name}: {ids(value)}" for name, value in row.items()))
                        failed.append(error)
            if failed:
                raise BaseExceptionGroup(f"{len(failed)} of {len(table)} rows", failed)

        all_rows.__signature__ = inspect.Signature(left)  # type: ignore[attr-defined] # what pytest is to bring
        return all_rows

    return over
