"""Searches in step: each is told its own answers, whenever it ends."""

from __future__ import annotations

from collections.abc import Generator, Mapping

from reportgen.crossover.rounds import in_step


def doubling(start: int, rounds: int) -> Generator[int, int, list[int]]:
    told, asked = [], start
    for _ in range(rounds):
        asked = yield asked
        told.append(asked)
    return told


def test_each_search_is_told_its_own_answers_and_ends_when_it_likes() -> None:
    """Worked out by hand: doubled once, three times, twice; who has ended is asked no more."""
    together = []

    def doubled(asked: Mapping[int, int]) -> dict[int, int]:
        together.append(dict(asked))
        return {place: 2 * one for place, one in asked.items()}

    found = in_step([doubling(1, 1), doubling(10, 3), doubling(100, 2)], doubled)
    assert found == [[2], [20, 40, 80], [200, 400]]
    assert together == [{0: 1, 1: 10, 2: 100}, {1: 20, 2: 200}, {1: 40}]
