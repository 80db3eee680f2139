"""The names of the joints of a network, as drawing and parts list give them: + and − of the amplifier, then numbers.

Knows what every part and driver stands between. Refuses to know how it is drawn or told.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from reportgen.crossover.circuit import GROUND, INPUT

if TYPE_CHECKING:
    from reportgen.assessment import Assessment
    from reportgen.pairing.assembly import Wire

Ends = tuple[str, str]


def named_joints(wires: Sequence[Wire]) -> dict[str, Ends]:
    """What every part and driver stands between: the amplifier's + and −, and the joints by number as the wires reach them.

    >>> from reportgen.pairing.assembly import Wire
    >>> named_joints([Wire("L1", "in", "low1"), Wire("C1", "low1", "0")])
    {'L1': ('+', '1'), 'C1': ('1', '−')}
    """
    names = {INPUT: "+", GROUND: "−"}
    for wire in wires:
        for end in (wire.start, wire.end):
            names.setdefault(end, str(len(names) - 1))
    return {wire.what: (names[wire.start], names[wire.end]) for wire in wires}


def joints_of(found: Assessment) -> Mapping[str, Ends]:
    """The joints of an assessment's network; none without one."""
    made = found.network.assembly if found.network else None
    return named_joints(made.wiring) if made is not None else {}
