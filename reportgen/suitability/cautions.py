"""The cautions: what the person at the bench must have read before the box is opened.

Knows hazards of drivers and of the work. Refuses to judge whether a pairing is suitable. A new caution is one
row in `WORK` or one function in the table `CAUTIONS`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from reportgen.acoustics.listening import safe_listening_time_s
from reportgen.pairing.as_used import Setting

COMMON = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Caution:
    """One hazard: `grave` ones (health) stand first; `applies_to` names the driver or `the work`."""

    id: str
    title: str
    text: str
    source: str
    applies_to: str
    grave: bool = False


def beryllium(setting: Setting) -> Caution | None:
    """Toxic diaphragm: 29 CFR 1910.1024 sets 0.2 ug/m3 as 8-hour mean."""
    if setting.case.technology.diaphragm != "beryllium":
        return None
    screen = "it needs a screen that stays on" if setting.case.high.screen is False else "the screen stays on"
    text = (
        "The diaphragm is beryllium: harmless whole, toxic as dust or splinters (limit 0.2 µg/m³ of air, 8 h). Never touch, cut,"
        f" sand or sweep it; {screen}. Broken: keep out, keep others out, and ask the maker or the local authority before"
        " anybody cleans; nobody vacuums, and the pieces go to a licensed disposer."
    )
    return Caution("beryllium", "Toxic if broken", text, "29 CFR 1910.1024", setting.case.high.id, grave=True)


def coated(setting: Setting) -> Caution | None:
    """A coat may be of a toxic metal: only the maker knows."""
    if setting.case.technology.diaphragm != "coated":
        return None
    text = (
        "A coated dome is not the metal itself, but its coat may be: ask the maker what it is. Until he says in writing that"
        " it holds no beryllium, never sand or scrape it, and treat a broken one as toxic: keep out, bag it wet, vacuum nothing."
    )
    return Caution("coated", "Ask what the coat is", text, "29 CFR 1910.1024", setting.case.high.id)


def tipping(setting: Setting) -> Caution | None:
    """A cabinet on a stand, or a tall and narrow one, falls on whoever pulls at it."""
    cabinet = setting.case.cabinet
    base_m = min(cabinet.baffle_width_m, cabinet.depth_m or cabinet.baffle_width_m)
    if cabinet.stand_height_m < 0.3 and cabinet.baffle_height_m < 4.0 * base_m:
        return None
    if setting.case.pairing.surroundings == "vehicle" or setting.placement == "in a wall":
        return None
    text = (
        "A loudspeaker on a stand, or a narrow one, tips when a child or a cable pulls at it: fix it to a base wider than"
        " itself, screw or strap the two together, and lay the cable where nobody trips."
    )
    return Caution("tipping", "It can tip over", text, COMMON, "the work")


PLACES = {
    "vehicle": ("In a vehicle", "A loose box kills in a crash: bolt or strap it down, clear of airbags and their cables. Fuse every supply cable at the battery, its minus off while you wire; ask a licensed workshop."),
    "outdoors": ("Outdoors", "Water and mains kill: keep amplifier and plugs dry and behind a residual-current device, wired by a licensed electrician. Take the loudspeaker in from rain, dew and full sun: damp spoils foil, paper and steel."),
    "public": ("Over and among people", "What stands or hangs over people falls on them: rated fittings and a second hold of steel, set up by whoever is licensed for it. Keep ways of escape free."),
    "in a wall": ("Before you cut into a wall", "Look for cables, pipes and what bears the house, and ask what an old wall is made of. Fire walls stay whole: ask a licensed builder or the local authority."),
}  # fmt: skip
"""Title and text by surroundings or placement."""


def of_the_place(placement: str | None, surroundings: str) -> tuple[str, ...]:
    """Texts of what a place asks for: of the wall, and of what is around."""
    return tuple(PLACES[name][1] for name in (placement, surroundings) if name in PLACES)


def first_sentence(text: str) -> str:
    """The first sentence of a caution.

    >>> first_sentence("Keep off. It bites.")
    'Keep off.'
    """
    head, stop, _ = text.partition(". ")
    return head + "." if stop else text


def wall(setting: Setting) -> Caution | None:
    """What stands in a wall that is cut: cables, pipes, what bears the house."""
    return Caution("wall", *PLACES["in a wall"], COMMON, "the work") if setting.placement == "in a wall" else None


def place(setting: Setting) -> Caution | None:
    """What the place itself can do: a crash, rain on mains, a fall on people."""
    around = setting.case.pairing.surroundings
    return Caution("place", *PLACES[around], COMMON, "the work") if around in PLACES else None


def leaks(setting: Setting) -> Caution | None:
    """A box must be tight, or it whistles and loses bass."""
    if setting.case.cabinet.kind == "open baffle":
        return None
    text = (
        "Seal frames, terminals and cable holes with a gasket or sealant: a leak whistles and takes bass away. To find one, play"
        " 40 Hz softly and feel along the joints with a wet finger, the amplifier turned low."
    )
    return Caution("leaks", "Seal every leak", text, COMMON, "the work")


def hearing(setting: Setting) -> Caution:
    """Safe daily time at the programme level that belongs to the wanted peak level."""
    pairing, practice = setting.case.pairing, setting.case.practice
    average = pairing.peak_level_db - practice["programme average"]
    text = f"{at_the_seat(pairing.peak_level_db, average)} Start every measurement at low level."
    source = "NIOSH 98-126: 85 dBA for 8 h, 3 dB exchange"
    return Caution("hearing", "Protect your hearing", text, source, "the work", grave=average >= EIGHT_HOURS_DB)


EIGHT_HOURS_DB = 85.0
"""Level (dBA) of which ears bear eight hours a day (NIOSH 98-126)."""


def at_the_seat(peak_db: float, average: float) -> str:
    """How long a day ears bear tones of a level (dB) with the programme that goes with it (dB), in a sentence (NIOSH 98-126)."""
    seconds = float(safe_listening_time_s(average))
    time = (
        f"{seconds / 3600:.2g} h"
        if seconds >= 3600
        else f"{seconds / 60:.0f} min"
        if seconds >= 60
        else f"{seconds:.0f} s"
    )
    limit = (
        "the recommended limit lets you listen all day"
        if seconds >= 24 * 3600
        else f"{time} a day is the recommended limit"
    )
    return f"Tones of {peak_db:.0f} dB at the seat go with a programme of about {average:.0f} dB: {limit}."


def of_the_kind(setting: Setting) -> Caution | None:
    """What the Technologies sheet prints in the box for this kind of driver."""
    kind = setting.case.technology
    if not kind.cautions:
        return None
    return Caution(
        "kind of driver",
        f"This is a {kind.id}",
        kind.cautions,
        "Technologies sheet",
        setting.case.high.id,
        kind.fragility == "very delicate",
    )


def handling(setting: Setting) -> Caution | None:
    """How the Technologies sheet wants this kind of driver handled."""
    kind = setting.case.technology
    if not kind.handling:
        return None
    return Caution(
        "handling",
        "Handle with care" if kind.fragility == "ordinary" else f"Handle with care: {kind.fragility}",
        kind.handling,
        "Technologies sheet",
        setting.case.high.id,
    )


def servicing(setting: Setting) -> Caution | None:
    """What may be replaced, and what must be measured afterwards."""
    kind = setting.case.technology
    if not kind.servicing:
        return None
    after = f" Measure afterwards: {kind.after_service}" if kind.after_service else ""
    return Caution(
        "servicing", "If it must be serviced", kind.servicing + after, "Technologies sheet", setting.case.high.id
    )


WORK: tuple[tuple[str, str, str, str], ...] = (
    ("magnets", "Magnets", "Driver magnets pinch fingers, pull steel tools and swarf, and disturb heart implants: keep 30 cm away with an implant, cover the magnet while you work.", COMMON),
    ("electricity", "Electricity", "Switch the amplifier off and unplug it before you wire. Outputs of large amplifiers and charged capacitors shock: discharge them through a resistor. Mains work belongs to a licensed electrician.", COMMON),
    ("solder, dust, lifting", "Solder, dust, weight", "The iron burns and its fumes irritate: air the room, wear glasses. Wood dust harms the lungs: mask and extraction. Lift heavy cabinets with two people.", COMMON),
    ("local codes", "Local codes come first", "Where the law or a licensed practitioner asks for more than this sheet, follow them.", COMMON),
)  # fmt: skip
"""Cautions of the work itself: id, title, text, source."""

CAUTIONS: tuple[Callable[[Setting], Caution | None], ...] = (
    beryllium, coated, of_the_kind, handling, hearing, servicing, tipping, wall, place, leaks,
)  # fmt: skip
"""Cautions that depend on the pairing, in the order of the page."""


def all_cautions(setting: Setting) -> tuple[Caution, ...]:
    """Every caution for the pairing, grave ones first, those of the work itself last."""
    found = [caution for rule in CAUTIONS if (caution := rule(setting)) is not None]
    work = [Caution(id_, title, text, source, "the work") for id_, title, text, source in WORK]
    return (*sorted(found, key=lambda caution: not caution.grave), *work)
