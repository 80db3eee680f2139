"""What the Practice and Parts sheets allow the design of a network to use, and ask of it.

Knows cells as records. Refuses to design.
"""

from __future__ import annotations

from reportgen.catalogue.records import Practice, StockPart
from reportgen.crossover.parts import PartOffer
from reportgen.crossover.sides import DesignOptions, Wanted
from reportgen.crossover.voicing import Voicing
from reportgen.pairing.as_used import Setting


def options_for(setting: Setting, voicing: Voicing, policy: str) -> DesignOptions:
    """What the Practice and Parts sheets allow the design to use."""
    case = setting.case
    kit = case.practice.loudspeakers_a_kit
    return DesignOptions(
        policy=policy,  # type: ignore[arg-type] # the list of columns.py
        stock=tuple(_offer(part, kit, case.practice) for part in case.stock),
        coil_ohm=case.practice["coil resistance at 1 mH"],
        wanted=_wanted(setting),
        load_share=case.practice["least load share"],
        money_a_db=case.practice["worth of a decibel"],
        pieces_a_db=case.practice["pieces a decibel"],
        voicing=voicing,
    )


LEAST_DB = 0.1
"""So much stands for a limit of nothing: what misses it is told as a share of it, and no network meets less."""


def _wanted(setting: Setting) -> Wanted:
    """What a network must meet to pass every check that the Practice sheet asks of it."""
    practice = setting.case.practice
    return Wanted(
        worst_db=max(practice["sum deviation limit"] - practice["level margin"], LEAST_DB),
        loud_db=max(setting.slope_room_db, LEAST_DB),
        third_db=max(practice["third octave limit"], LEAST_DB),
        balance_db=max(practice["balance limit"], LEAST_DB),
        null_db=max(practice["reversed null depth"], LEAST_DB),
        least_ohm=practice.least_load_ohm(setting.case.pairing.surroundings),
    )


LETTERS = {"capacitor": "C", "inductor": "L", "resistor": "R"}
"""How a network calls each kind of the Parts sheet."""


def _offer(part: StockPart, kit: int, practice: Practice) -> PartOffer:
    """A part as one loudspeaker may use it: its share of the shelf when a kit has so many loudspeakers."""
    kind = LETTERS[part.kind]
    tolerance = practice[f"{part.kind} tolerance"] if part.tolerance is None else part.tolerance
    return PartOffer(
        part.id, kind, part.value, tolerance, part.resistance_ohm or 0.0, part.rating,  # type: ignore[arg-type]
        part.rating_unit or "", part.price, None if part.stock is None else part.stock // kit,
    )  # fmt: skip
