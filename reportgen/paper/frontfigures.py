"""The figures of the finished loudspeaker as the front shows them, in columns.

Knows the figures in SI and the units a builder reads. Refuses to work any out.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from reportgen.crossover.networks import RATED_IMPEDANCES_OHM
from reportgen.pairing.figures import with_network
from reportgen.pairing.heat import at_most_w
from reportgen.pairing.reach import AMPLIFIER
from reportgen.paper import wording
from reportgen.paper.pages import Fact
from reportgen.paper.wording import fixed, hertz, money, number, with_unit

if TYPE_CHECKING:
    from reportgen.assessment import Assessment, Overview
    from reportgen.catalogue.records import Case
    from reportgen.pairing.figures import Figures

SLOPE_NAMES = {"LR": "Linkwitz-Riley", "BW": "Butterworth", "BE": "Bessel"}
COLUMNS = 3


def slope_words(slope: str) -> str:
    """A slope's short name in words.

    >>> slope_words("LR4")
    'Linkwitz-Riley, order\xa04'
    """
    return f"{SLOPE_NAMES.get(slope[:2], slope[:2])}, order{wording.NO_BREAK}{slope[2:]}"


def figure_columns(found: Assessment, inches: bool = False) -> tuple[tuple[Fact, ...], ...]:
    """All figures that are known, in columns of about equal length."""
    figures = [*_crossover(found), *kit_figures(found, inches)]
    deep = -(-len(figures) // COLUMNS)
    return tuple(tuple(figures[start : start + deep]) for start in range(0, len(figures), deep))


def kit_figures(found: Overview, inches: bool = False) -> Iterator[Fact]:
    """What is heard, what the amplifier meets, what it takes and costs, and the box: all that is known of it."""
    yield from _sound(found.figures, found.case.cabinet.kind)
    yield from _load(found)
    yield from _bought(found)
    yield from _box(found, inches)


def _crossover(found: Assessment) -> Iterator[Fact]:
    how = "fixed" if found.crossover_fixed else "chosen"
    yield Fact("Crossover", hertz(found.crossover_hz), how if found.crossover_hz is not None else "")
    yield Fact("Acoustic slopes", slope_words(found.case.pairing.slope))
    ranged = found.found_range
    width = f"{fixed(ranged.octaves, 2)} octave" if ranged.octaves is not None and not ranged.empty else ""
    yield Fact("Usable range", "none" if ranged.empty else wording.span(ranged.low_hz, ranged.high_hz), width)


def _signed(value_db: float) -> str:
    return f"{'+' if value_db > 0.05 else ''}{fixed(value_db, 1)}"


def _sound(figures: Figures | None, cabinet: str) -> Iterator[Fact]:
    """What is heard, in the terms of IEC 60268-5 where it has them."""
    if figures is None:
        return
    yield Fact("Sensitivity", with_unit(figures.sensitivity_db, "dB"), "2.83 V, 1 m")
    yield Fact("Effective range", wording.span(*figures.effective_range_hz), "to −10 dB")
    if figures.corner_hz is not None:
        where = "Corner on baffle" if cabinet == "open baffle" else "Corner in box"
        yield Fact(where, hertz(figures.corner_hz), "at −3 dB")
    bass, treble = figures.balance_db
    yield Fact("Balance", f"{_signed(bass)} and {_signed(treble)}{wording.NO_BREAK}dB", "bass, treble")
    yield Fact("Evenness", f"{fixed(abs(figures.evenness_db), 1)}{wording.NO_BREAK}dB", "worst third octave")
    yield Fact(
        "Highest level",
        f"{fixed(figures.highest_level_db, 0)}{wording.NO_BREAK}dB",
        f"ended by {figures.highest_level_cause}",
    )


def rated_words(figures: Figures) -> str:
    """The rated impedance, or that none that is customary fits the load."""
    return with_unit(figures.rated_impedance_ohm, "ohm") if figures.rated_impedance_ohm else "none customary"


def _out_of_reach(figures: Figures, case: Case) -> bool:
    """True where not the amplifier ends the level short of the one wanted: a stronger one would be of no use."""
    short_db = case.pairing.peak_level_db - figures.highest_level_db
    return figures.highest_level_cause != AMPLIFIER and short_db > case.practice["level margin"]


def _load(found: Overview) -> Iterator[Fact]:
    """What the amplifier meets, and how strong it should be."""
    figures = found.figures
    if figures is None:
        return
    least = f"{wording.least_load(figures.least_impedance_ohm)} at {hertz(figures.least_impedance_hz)}"
    yield Fact("Rated impedance", rated_words(figures), f"least {least}")
    into = f"into {with_unit(figures.rated_impedance_ohm or RATED_IMPEDANCES_OHM[0], 'ohm')}"
    least_w, most_w = figures.amplifier_w
    most_w = None if most_w is None else at_most_w(most_w)
    if _out_of_reach(figures, found.case):
        most, beyond = "" if most_w is None else f"{with_unit(most_w, 'W')} at most", "none reaches the level wanted"
        yield Fact("Amplifier", most or wording.NONE, f"{into}; {beyond}" if most else beyond)
    elif most_w is None:
        yield Fact("Amplifier", f"from {with_unit(least_w, 'W', 2)}", into)
    elif most_w < least_w:
        wanted = f"the level wanted takes {with_unit(least_w, 'W', 2)}"
        yield Fact("Amplifier", f"{with_unit(most_w, 'W')} at most", f"{into}; {wanted}")
    else:
        least = number(least_w, 2) if least_w >= 1.0 else "under 1"  # nobody sells weaker ones
        yield Fact("Amplifier", f"{least} to {with_unit(most_w, 'W')}", into)


def _bought(found: Overview) -> Iterator[Fact]:
    currency, figures = found.case.maker.currency, found.figures
    if figures is not None:
        price = "" if figures.network_price is None else money(figures.network_price, currency)
        yield Fact("Network", wording.counted(figures.pieces, "piece"), price)
        if figures.pair_price is not None:
            yield Fact("Price of a kit", money(figures.pair_price, currency))
    if found.price is not None:
        counted = "drivers and network" if with_network(figures) else "without the network"
        yield Fact("Price of one", money(found.price, currency), counted)


def _box(found: Overview, inches: bool) -> Iterator[Fact]:
    cabinet = found.case.cabinet
    if cabinet.net_volume_m3 is not None and cabinet.kind != "open baffle":
        tuned = cabinet.kind == "vented" and cabinet.tuning_hz is not None
        tuning = f"tuned to {hertz(cabinet.tuning_hz)}" if tuned else cabinet.kind
        yield Fact("Net volume", f"{number(cabinet.net_volume_m3 * 1e3)}{wording.NO_BREAK}L", tuning)
    sides = (cabinet.baffle_width_m, cabinet.baffle_height_m, cabinet.depth_m)
    yield Fact("Outer size", wording.sides(sides, inches))
