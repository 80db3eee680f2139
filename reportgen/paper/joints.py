"""Wiring from point to point: which ends of the network's parts meet at which joint.

Knows branches as stages of parts. Refuses to know what the parts do and how they are drawn.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reportgen.crossover.networks import Branch, Component

PLUS, RETURN = "amplifier +", "amplifier −"


@dataclass(frozen=True, slots=True)
class Wired:
    """One branch to wire: its parts' names in order, and what stands at its end, reversed or not."""

    branch: Branch
    names: tuple[str, ...]
    driver: str
    reversed: bool = False


class _Board:
    """Joints by number, each with the ends that were laid to it; 0 is the amplifier's plus, 1 the return."""

    def __init__(self) -> None:
        self.ends: list[list[str]] = [[], []]

    def new(self) -> int:
        self.ends.append([])
        return len(self.ends) - 1

    def lay(self, component: Component, name: str, start: int, end: int) -> None:
        """A part between two joints; one of two pieces takes both, lettered a and b."""
        pieces = [name + letter for letter in "ab"] if len(component.made_of) == 2 and component.join else [name]
        between = [start, self.new(), end] if component.join == "series" and len(pieces) == 2 else None
        for index, piece in enumerate(pieces):
            first, second = (between[index], between[index + 1]) if between else (start, end)
            self.ends[first].append(piece)
            self.ends[second].append(piece)


def _chain(board: _Board, parts: Sequence[tuple[Component, str]], start: int, end: int) -> None:
    for index, (component, name) in enumerate(parts):
        following = end if index == len(parts) - 1 else board.new()
        board.lay(component, name, start, following)
        start = following


def _lay_branch(board: _Board, item: Wired) -> None:
    names, here = iter(item.names), 0
    for stage in item.branch.stages:
        parts = [(component, next(names)) for component in stage.components]
        there = board.new() if stage.place == "series" else 1
        if stage.join == "series":
            _chain(board, parts, here, there)
        else:
            for component, name in parts:
                board.lay(component, name, here, there)
        here = there if stage.place == "series" else here
    signs = ("−", "+") if item.reversed else ("+", "−")
    board.ends[here].append(f"{item.driver} {signs[0]}")
    board.ends[1].append(f"{item.driver} {signs[1]}")


def joints(items: Sequence[Wired]) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Every joint of the network with the ends that meet there: the amplifier's plus first, its return last.

    >>> from reportgen.crossover.networks import Component, across, in_path
    >>> low = Branch((in_path(Component("L", 1e-3)), across(Component("C", 1e-5))))
    >>> for joint, ends in joints([Wired(low, ("L1", "C1"), "low driver")]): print(joint, ends)
    amplifier + ('L1',)
    1 ('L1', 'C1', 'low driver +')
    amplifier − ('C1', 'low driver −')
    """
    board = _Board()
    for item in items:
        _lay_branch(board, item)
    yield PLUS, tuple(board.ends[0])
    for number, ends in enumerate(board.ends[2:], 1):
        yield str(number), tuple(ends)
    yield RETURN, tuple(board.ends[1])
