"""Searches that ask for answers round by round, answered together.

Knows who asked and who has ended. Refuses to know what is asked.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Mapping, Sequence
from typing import TypeVar

Asked = TypeVar("Asked")
Answer = TypeVar("Answer")
Found = TypeVar("Found")


def in_step(
    searches: Sequence[Generator[Asked, Answer, Found]],
    answered: Callable[[Mapping[int, Asked]], Mapping[int, Answer]],
) -> list[Found]:
    """What each search comes to; `answered` is given the questions of a round by the places of those that ask."""
    found: dict[int, Found] = {}
    asked = {place: next(search) for place, search in enumerate(searches)}
    while asked:
        answers, asked = answered(asked), {}
        for place, answer in answers.items():
            try:
                asked[place] = searches[place].send(answer)
            except StopIteration as end:
                found[place] = end.value
    return [found[place] for place in range(len(searches))]
