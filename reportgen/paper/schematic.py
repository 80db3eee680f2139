"""The network as a circuit diagram, and the wiring of several drivers, with the symbols of IEC 60617.

Knows stages of parts between amplifier and driver. Refuses to know what they do: it lays out any ladder of stages,
wrapping a long one into rows that are joined by letters.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count, pairwise
from typing import TYPE_CHECKING, Literal

from reportgen.paper import wording
from reportgen.paper.drawings import WIDTH, Pen, Picture, polyline, short
from reportgen.paper.joints import Ends, joints_of
from reportgen.paper.lettering import HEAVY, text_width

if TYPE_CHECKING:
    from reportgen.assessment import Assessment
    from reportgen.crossover.networks import Branch, Component, Stage
    from reportgen.pairing.parts_list import PartLine

SIZE = 7.0
LINE = 7.8
"""From one base line of a part's words to the next (points)."""

SYMBOL = 18.0
"""Length of every symbol along its wire (points)."""

LEG = 2.5
"""Wire before and after a symbol that stands across the path (points)."""

LEFT, MARGIN = 44.0, 4.0
LEAD = 20.0
MOST_STRETCH = 2.0
"""A short network is drawn up to twice as wide as it must be."""

LOW_STACK = 2
"""Of more parts than these over one another in the path each says all in one line."""

NO_ENDS: Ends = ("", "")
JOINT_ROOM = 10.0
"""Below a wire with the figure of a joint (points)."""

ROW_GAP = 6.0
LEAST_DEPTH = 40.0


@dataclass(frozen=True, slots=True)
class Symbol:
    """One part to draw: "C", "L" or "R", its name, value, and the rating to buy; `flat` sets all in one line.

    `ends` are the names of the joints it stands between, from the amplifier on; empty for those that are not written.
    """

    kind: Literal["C", "L", "R"]
    name: str
    value: str
    rating: str = ""
    flat: bool = False
    ends: Ends = NO_ENDS

    @property
    def words(self) -> tuple[tuple[str, str], ...]:
        """Ink and text of each line beside the symbol: name and value, and the rating to buy."""
        if self.flat and self.rating:
            return (("strong", f"{self.name} {self.value}, {self.rating}"),)
        lines = (("strong", f"{self.name} {self.value}"), ("word", self.rating))
        return tuple((ink, text) for ink, text in lines if text)

    @property
    def words_width(self) -> float:
        """Width of the widest line (points)."""
        return max(text_width(text, SIZE, ink in HEAVY) for ink, text in self.words)


@dataclass(frozen=True, slots=True)
class Joined:
    """Parts, or groups of parts, joined in series or in parallel."""

    join: Literal["series", "parallel"]
    members: tuple[Symbol | Joined, ...]

    @property
    def ends(self) -> Ends:
        """The joints the whole stands between."""
        return self.members[0].ends[0], self.members[-1].ends[1]


Node = Symbol | Joined


@dataclass(frozen=True, slots=True)
class Column:
    """One place of the ladder: a node in the path or across it."""

    place: Literal["series", "shunt"]
    node: Node

    @property
    def width(self) -> float:
        """Width it takes (points)."""
        return _lying(self.node)[0] if self.place == "series" else _standing(self.node)[0] + 6.0


@dataclass(frozen=True, slots=True)
class Ladder:
    """One branch to draw: its columns from the amplifier to the driver, and what stands at its end."""

    columns: tuple[Column, ...]
    driver: str
    note: str = ""
    reversed: bool = False

    @property
    def words(self) -> tuple[tuple[str, str], ...]:
        """Ink and text of each line beside the driver."""
        lines = (("strong", self.driver), ("word", self.note), ("strong", "reversed" if self.reversed else ""))
        return tuple((ink, text) for ink, text in lines if text)

    @property
    def end_width(self) -> float:
        """Room for the driver and its words (points)."""
        return LEAD + 18.0 + max(text_width(text, SIZE, ink in HEAVY) for ink, text in self.words)


# --- from a branch to columns -------------------------------------------------------------------------------------


def _rating(line: PartLine | None) -> str:
    if line is None or line.rating_to_buy is None:
        return ""
    return wording.with_unit(line.rating_to_buy, line.rating_unit, 2)


def _node(component: Component, name: str, line: PartLine | None, ends: Ends) -> Node:
    """A part, or the two that make it, lettered a and b: between two in series no joint is named."""
    kind, pieces = component.kind, component.made_of
    if len(pieces) < 2 or not component.join:
        return Symbol(kind, name, wording.component(kind, component.value), _rating(line), ends=ends)
    inner = ends if component.join == "parallel" else NO_ENDS
    members = [
        Symbol(kind, f"{name}{letter}", wording.component(kind, value), ends=inner)
        for letter, value in zip("abcdefgh", pieces, strict=False)
    ]
    if component.join == "series":
        members[0] = replace(members[0], ends=(ends[0], ""))
        members[-1] = replace(members[-1], ends=("", ends[1]))
    return Joined(component.join, tuple(members))


def _columns(stage: Stage, nodes: Sequence[Node], most_high: int) -> Iterator[Column]:
    """Columns of one stage: what is in series in the path, or in parallel across it, takes a column each."""
    spread = "series" if stage.place == "series" else "parallel"
    if stage.join == spread or len(nodes) == 1:
        for node in nodes:
            yield from _split(stage.place, node, spread)
    else:
        high = stage.place == "series" and len(nodes) > most_high
        members = (replace(node, flat=high) if isinstance(node, Symbol) else node for node in nodes)
        yield Column(stage.place, Joined(stage.join, tuple(members)))


def _split(place: Literal["series", "shunt"], node: Node, spread: str) -> Iterator[Column]:
    if isinstance(node, Joined) and node.join == spread:
        for member in node.members:
            yield Column(place, member)
    else:
        yield Column(place, node)


def names_of(branch: Branch, lines: Sequence[PartLine], first: dict[str, int]) -> list[str]:
    """Names of the parts: those of the parts list where it matches, else C1, L1, R1 counted on from `first`."""
    if len(lines) == len(branch.components):
        return [line.label for line in lines]
    names = []
    for component in branch.components:
        first[component.kind] = first.get(component.kind, 0) + 1
        names.append(f"{component.kind}{first[component.kind]}")
    return names


def ladder(
    branch: Branch,
    lines: Sequence[PartLine],
    driver: str,
    note: str = "",
    reversed_: bool = False,
    first: dict[str, int] | None = None,
    joints: Mapping[str, Ends] | None = None,
    most_high: int = LOW_STACK,
) -> Ladder:
    """A branch made ready to draw; `lines` are its lines of the parts list in the same order, or none.

    `joints` are the names of the points each part stands between, where they are to be written. Of more than `most_high`
    parts over one another each says all in one line.
    """
    ends = joints or {}
    names = iter(names_of(branch, lines, {} if first is None else first))
    found = iter(lines if len(lines) == len(branch.components) else [None] * len(branch.components))
    columns: list[Column] = []
    for stage in branch.stages:
        named = [(component, next(names), next(found)) for component in stage.components]
        nodes = [_node(component, name, line, ends.get(name, NO_ENDS)) for component, name, line in named]
        columns.extend(_columns(stage, nodes, most_high))
    return Ladder(tuple(columns), driver, note, reversed_)


# --- how much room a node takes -----------------------------------------------------------------------------------


def _lying(node: Node) -> tuple[float, float, float]:
    """Width, height above and depth below the wire of a node in the path (points)."""
    if isinstance(node, Symbol):
        return max(SYMBOL, node.words_width) + 10.0, 8.0 + LINE * len(node.words), 9.5 if node.kind == "C" else 7.0
    sizes = [_lying(member) for member in node.members]
    if node.join == "series":
        return sum(s[0] for s in sizes), max(s[1] for s in sizes), max(JOINT_ROOM, *(s[2] for s in sizes))
    above = sum(s[1] for s in sizes) + sum(s[2] + 1.0 for s in sizes[1:])
    return max(s[0] for s in sizes) + 12.0, above, sizes[0][2]


def _standing(node: Node) -> tuple[float, float]:
    """Width and height of a node across the path; its wire stands 9 points right of its left edge (points)."""
    if isinstance(node, Symbol):
        return 21.0 + node.words_width, SYMBOL + 2.0 * LEG
    sizes = [_standing(member) for member in node.members]
    if node.join == "series":
        return max(s[0] for s in sizes), sum(s[1] for s in sizes)
    return sum(s[0] for s in sizes), max(s[1] for s in sizes) + 10.0


WIRE_AT = 9.0


# --- symbols ------------------------------------------------------------------------------------------------------


def _symbol(pen: Pen, kind: str, x: float, y: float, lying: bool) -> None:
    """A symbol that starts at (x, y) and ends SYMBOL further right (lying) or down."""

    def at(along: float, across: float) -> tuple[float, float]:
        return (x + along, y + across) if lying else (x + across, y + along)

    if kind == "R":
        pen.shape("symbol", at(0, -4.5), at(SYMBOL, -4.5), at(SYMBOL, 4.5), at(0, 4.5))
    elif kind == "L":
        radius = SYMBOL / 8.0
        step = f"{short(2 * radius)} 0" if lying else f"0 {short(2 * radius)}"
        arc = f"a{short(radius)} {short(radius)} 0 0 1 {step}"
        pen.path("symbol", polyline([(x, y)]) + arc * 4)
    else:
        middle, half = SYMBOL / 2.0, 2.0
        pen.line("wire", at(0, 0), at(middle - half, 0))
        pen.line("wire", at(middle + half, 0), at(SYMBOL, 0))
        pen.line("plate", at(middle - half, -8), at(middle - half, 8))
        pen.line("plate", at(middle + half, -8), at(middle + half, 8))


def _loudspeaker(pen: Pen, x: float, top: float, bottom: float, upright: bool = True) -> None:
    """A loudspeaker between two points of a vertical wire, with the signs of its terminals."""
    middle = (top + bottom) / 2.0
    pen.rect("symbol", x - 3.5, middle - 8.0, 7.0, 16.0)
    pen.shape(
        "symbol", (x + 3.5, middle - 8.0), (x + 12.5, middle - 15.0), (x + 12.5, middle + 15.0), (x + 3.5, middle + 8.0)
    )
    pen.line("wire", (x, top), (x, middle - 8.0))
    pen.line("wire", (x, middle + 8.0), (x, bottom))
    upper, lower = ("+", "−") if upright else ("−", "+")
    pen.write("strong", x - 4.0, middle - 11.0, upper, 8.0, "end")
    pen.write("strong", x - 4.0, middle + 17.0, lower, 8.0, "end")


def _dot(pen: Pen, x: float, y: float) -> None:
    pen.ellipse("dot", x, y, 1.7)


def _joint(pen: Pen, x: float, y: float, name: str, along: bool = True) -> None:
    """The number of a joint at a point of a wire: under a lying one, left of a standing one. The amplifier's have signs."""
    if name.isdigit():
        pen.write("faint", x - (1.5 if along else 3.5), y + (8.0 if along else 2.5), name, SIZE, "end")


# --- drawing a node -----------------------------------------------------------------------------------------------


def _draw_lying(pen: Pen, node: Node, x: float, y: float) -> None:
    width = _lying(node)[0]
    if isinstance(node, Symbol):
        start = x + (width - SYMBOL) / 2.0
        pen.line("wire", (x, y), (start, y))
        _symbol(pen, node.kind, start, y, lying=True)
        pen.line("wire", (start + SYMBOL, y), (x + width, y))
        for index, (ink, text) in enumerate(reversed(node.words)):
            pen.write(ink, x + width / 2.0, y - 9.5 - LINE * index, text, SIZE, "middle")
    elif node.join == "series":
        for member in node.members:
            _draw_lying(pen, member, x, y)
            x += _lying(member)[0]
            if member is not node.members[-1]:
                _joint(pen, x, y, member.ends[1])
    else:
        _draw_stack(pen, node, x, y, width)


def _draw_stack(pen: Pen, node: Joined, x: float, y: float, width: float) -> None:
    """Members over one another between two uprights, the first on the wire itself."""
    left, right, level = x + 3.0, x + width - 3.0, y
    pen.line("wire", (x, y), (left, y))
    pen.line("wire", (right, y), (x + width, y))
    for index, member in enumerate(node.members):
        own, above, below = _lying(member)
        if index:
            level -= below + 1.0
        start = x + (width - own) / 2.0
        pen.line("wire", (left, level), (start, level))
        pen.line("wire", (start + own, level), (right, level))
        _draw_lying(pen, member, start, level)
        if index < len(node.members) - 1:
            _dot(pen, left, level)
            _dot(pen, right, level)
            highest = level - above - _lying(node.members[index + 1])[2] - 1.0
            pen.line("wire", (left, level), (left, highest))
            pen.line("wire", (right, level), (right, highest))
        level -= above


def _draw_standing(pen: Pen, node: Node, left: float, top: float, bottom: float) -> None:
    """A node across the path between `top` and `bottom`, its wire at left + WIRE_AT, centred in the height."""
    x, height = left + WIRE_AT, _standing(node)[1]
    start = top + (bottom - top - height) / 2.0
    pen.line("wire", (x, top), (x, start))
    pen.line("wire", (x, start + height), (x, bottom))
    if isinstance(node, Symbol):
        pen.line("wire", (x, start), (x, start + LEG))
        _symbol(pen, node.kind, x, start + LEG, lying=False)
        pen.line("wire", (x, start + LEG + SYMBOL), (x, start + height))
        first = start + height / 2.0 - LINE * (len(node.words) - 2) / 2.0 - 1.2
        for index, (ink, text) in enumerate(node.words):
            pen.write(ink, x + 11.0, first + LINE * index, text, SIZE)
    elif node.join == "series":
        for member in node.members:
            own = _standing(member)[1]
            _draw_standing(pen, member, left, start, start + own)
            start += own
            if member is not node.members[-1]:
                _joint(pen, x, start, member.ends[1], along=False)
    else:
        _draw_side_by_side(pen, node, left, start, start + height)


def _draw_side_by_side(pen: Pen, node: Joined, left: float, top: float, bottom: float) -> None:
    upper, lower, first = top + 4.0, bottom - 4.0, left + WIRE_AT
    pen.line("wire", (first, top), (first, upper))
    pen.line("wire", (first, lower), (first, bottom))
    x = left
    for member in node.members:
        _draw_standing(pen, member, x, upper, lower)
        last = x + WIRE_AT
        x += _standing(member)[0]
    pen.line("wire", (first, upper), (last, upper))
    pen.line("wire", (first, lower), (last, lower))


# --- the whole network --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Row:
    """One row of a ladder that may have been wrapped; it ends at a driver or at a letter."""

    ladder: Ladder
    columns: tuple[Column, ...]
    enters: str
    leaves: str

    @property
    def above(self) -> float:
        tallest = max((_lying(c.node)[1] for c in self.columns if c.place == "series"), default=12.0)
        return tallest + 3.0

    @property
    def depth(self) -> float:
        tallest = max((_standing(c.node)[1] for c in self.columns if c.place == "shunt"), default=0.0)
        return max(tallest + 6.0, LEAST_DEPTH)

    @property
    def width(self) -> float:
        return sum(column.width for column in self.columns)


def _wrapped(item: Ladder, width: float, letters: Iterator[str]) -> list[_Row]:
    """The rows of a ladder, each no wider than the page."""
    rows: list[list[Column]] = [[]]
    used = LEFT
    for column in item.columns:
        if rows[-1] and used + column.width + item.end_width > width:
            rows.append([])
            used = LEFT
        rows[-1].append(column)
        used += column.width
    marks = [next(letters) for _ in rows[1:]]
    return [
        _Row(item, tuple(row), enters, leaves)
        for row, enters, leaves in zip(rows, ["", *marks], [*marks, ""], strict=True)
    ]


def _draw_row(pen: Pen, row: _Row, y: float, stretch: float) -> None:
    """One row with its path at `y`: columns, return wire, and the driver or the letter at its end."""
    back, x = y + row.depth, LEFT
    for column in row.columns:
        start = x + column.width * (stretch - 1.0) / 2.0
        pen.line("wire", (x, y), (start, y))
        if column.place == "series":
            _draw_lying(pen, column.node, start, y)
            pen.line("wire", (start + column.width, y), (x + column.width * stretch, y))
            _joint(pen, x + column.width * stretch, y, column.node.ends[1])
        else:
            pen.line("wire", (start, y), (x + column.width * stretch, y))
            _draw_standing(pen, column.node, start, y, back)
            _dot(pen, start + WIRE_AT, y)
            _dot(pen, start + WIRE_AT, back)
        x += column.width * stretch
    end = x + LEAD
    pen.line("wire", (x, y), (end, y))
    if row.leaves:
        pen.line("wire", (LEFT, back), (x, back))
        _letter(pen, end, y, row.leaves, "start")
        return
    pen.line("wire", (LEFT, back), (end, back))
    _loudspeaker(pen, end, y, back, upright=not row.ladder.reversed)
    middle = y + row.depth / 2.0
    lines = row.ladder.words
    for index, (ink, text) in enumerate(lines):
        pen.write(ink, end + 16.0, middle + 2.5 + LINE * (index - (len(lines) - 1) / 2.0), text, SIZE)


def _letter(pen: Pen, x: float, y: float, letter: str, anchor: Literal["start", "end"]) -> None:
    pen.ellipse("symbol", x + (1.8 if anchor == "start" else -1.8), y, 1.8)
    pen.write("strong", x + (6.0 if anchor == "start" else -6.0), y + 2.6, letter, 8.0, anchor)


def _draw_buses(pen: Pen, rows: Sequence[_Row], paths: Sequence[float]) -> None:
    """The two wires from the amplifier: plus to the path of every branch, minus to every return."""
    plus, minus = 21.0, 13.0
    backs = [y + row.depth for row, y in zip(rows, paths, strict=True)]
    firsts = [y for row, y in zip(rows, paths, strict=True) if not row.enters]
    for sign, y in (("+", firsts[0]), ("−", backs[-1])):
        pen.ellipse("symbol", 6.0, y, 2.2)
        pen.write("strong", 6.0, y - 5.0, sign, 8.0, "middle")
    pen.write("word", 0.0, firsts[0] - 13.5, "amplifier", SIZE)
    pen.line("wire", (8.2, firsts[0]), (LEFT, firsts[0]))
    pen.line("wire", (8.2, backs[-1]), (LEFT, backs[-1]))
    for index, y in enumerate(firsts[1:], 1):
        pen.line("wire", (plus, firsts[index - 1]), (plus, y), (LEFT, y))
        _dot(pen, plus, firsts[index - 1])
    for upper, lower in pairwise(backs):
        pen.line("wire", (minus, lower), (minus, upper), (LEFT, upper))
        _dot(pen, minus, lower)
    for row, y in zip(rows, paths, strict=True):
        if row.enters:
            pen.line("wire", (LEFT - 1.0, y), (LEFT, y))
            _letter(pen, LEFT - 1.0, y, row.enters, "end")


def draw_network(ladders: Sequence[Ladder], width: float = WIDTH) -> Picture:
    """All branches on the amplifier's two terminals; any number of stages, wrapped where the page ends."""
    alphabet = "ABCDEFGHJKMNPQSTUVWXYZ"
    letters = (alphabet[n % 22] + (str(n // 22) if n >= 22 else "") for n in count())
    rows = [row for item in ladders for row in _wrapped(item, width, letters)]
    paths, y = [], MARGIN
    for row in rows:
        paths.append(y + row.above)
        y += row.above + row.depth + ROW_GAP
    pen = Pen(width, y)
    room = width - LEFT - max(item.end_width for item in ladders)
    stretch = min(MOST_STRETCH, max(1.0, room / max(*(row.width for row in rows), 1.0)))
    for row, at in zip(rows, paths, strict=True):
        _draw_row(pen, row, at, stretch)
    _draw_buses(pen, rows, paths)
    return pen.picture(" ".join(_ladder_words(item) for item in ladders))


def _node_words(node: Node) -> str:
    if isinstance(node, Symbol):
        return f"{node.name} {node.value}"
    return f"({f' in {node.join} with '.join(_node_words(member) for member in node.members)})"


def _ladder_words(item: Ladder) -> str:
    steps = [f"{_node_words(c.node)} {'in the path' if c.place == 'series' else 'across'}" for c in item.columns]
    turned = ", reversed" if item.reversed else ""
    return f"From the amplifier to the {item.driver}{turned}: {', '.join(steps) or 'a plain wire'}."


def network_picture(found: Assessment, low: bool = False) -> Picture | None:
    """The crossover of an assessment; None when none was designed. `low` draws parts over one another as low as can be."""
    design, pairing = found.design, found.case.pairing
    if design is None:
        return None
    first: dict[str, int] = {}
    joints, most_high = joints_of(found), 1 if low else LOW_STACK
    sides = (
        ("low", design.low, False, _count_note(pairing.low_count, pairing.low_wiring)),
        ("high", design.high, design.high_reversed, _count_note(pairing.high_count, pairing.high_wiring)),
    )
    return draw_network(
        [
            ladder(
                branch, [line for line in found.parts if line.branch == side], f"{side} driver", note, turned,
                first, joints, most_high,
            )
            for side, branch, turned, note in sides
        ]
    )  # fmt: skip


def _count_note(number: int, how: str) -> str:
    return "" if number == 1 else f"{number}, {how}"


# --- several drivers ----------------------------------------------------------------------------------------------


def wiring_picture(in_series: int, rows: int, what: str) -> Picture:
    """`rows` chains of `in_series` drivers each, on the two terminals of the network; four by four are drawn at most."""
    shown_rows, shown = min(rows, 4), min(in_series, 4)
    more = _more_words(in_series, rows, shown, shown_rows)
    first, pitch, drop, top = 40.0, 46.0, 44.0, 12.0
    last, bottom = first + (shown_rows - 1) * pitch, top + 8.0 + shown * drop
    pen = Pen(last + 22.0 + text_width(more, SIZE), bottom + 8.0)
    for index in range(shown_rows):
        x = first + index * pitch
        pen.line("wire", (x, top), (x, top + 4.0))
        for step in range(shown):
            _loudspeaker(pen, x, top + 4.0 + step * drop, top + 4.0 + (step + 1) * drop)
        pen.line("wire", (x, bottom - 4.0), (x, bottom))
        if index < shown_rows - 1:
            _dot(pen, x, top)
            _dot(pen, x, bottom)
    for sign, y, shift in (("+", top, 9.0), ("−", bottom, -4.0)):
        pen.line("wire", (12.2, y), (last, y))
        pen.ellipse("symbol", 10.0, y, 2.2)
        pen.write("strong", 2.0, y + shift, sign, 8.0)
    pen.write("word", last + 20.0, (top + bottom) / 2.0, more, SIZE)
    chain = f"{in_series} in series" if in_series > 1 else "one"
    joined = (
        f"{rows} chains in parallel of {chain}, plus to plus"
        if rows > 1
        else f"one chain of {in_series}, plus to minus"
    )
    return pen.picture(f"Wiring of the {what}: {joined}. {more}".strip())


def _more_words(in_series: int, rows: int, shown: int, shown_rows: int) -> str:
    parts = []
    if rows > shown_rows:
        parts.append(f"{rows} side by side")
    if in_series > shown:
        parts.append(f"{in_series} per chain")
    return "… " + ", ".join(parts) if parts else ""
