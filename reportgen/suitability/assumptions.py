"""What the model of a pairing assumes, and what it had to leave out because a cell is empty.

Knows which datum each part of the model rests on. Refuses to work anything out itself. A new assumption is one function in
the table `ASSUMPTIONS` at the end; one that fills in for an empty cell names it.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

from reportgen.acoustics.guides import GuidedRadiator
from reportgen.acoustics.patterns import MeasuredRadiator
from reportgen.acoustics.radiators import model_bound
from reportgen.catalogue.columns import FREE_AIR, LARGE_BAFFLE
from reportgen.catalogue.records import Case, HighDriver, LowDriver
from reportgen.pairing import filled_in
from reportgen.pairing.as_used import IN_THE_MIDDLE, Setting
from reportgen.pairing.measuring import findings
from reportgen.pairing.response import Model
from reportgen.problems import CannotAssess
from reportgen.suitability.limits import floor_is_a_remark, technology_floor


def _empty(missing: tuple[str, ...], so: str) -> str | None:
    """A line that names empty cells and what that means; None where none is empty."""
    verb = "is" if len(missing) == 1 else "are"
    cells = " and ".join(filter(None, (", ".join(missing[:-1]), missing[-1]))) if missing else ""
    return f"{cells} {verb} empty: {so}." if missing else None


def surroundings(setting: Setting) -> str:
    """Air, field and edges."""
    text = f"Air at {setting.air.temperature_c:g} °C; free field at the seat, no room; baffle edges by the edge sum on the axis"
    if setting.case.cabinet.kind == "open baffle":
        text += ", and so the rear wave: off the axis the drivers count as on a large baffle"
    return f"{text}."


def placement(setting: Setting) -> str | None:
    """How much of the bass the room is held to give back."""
    pairing = setting.case.pairing
    if pairing.shelf_db is not None:
        return f"Voiced with the bass {pairing.shelf_db:g} dB under the rest, as wished."
    by = setting.bass_made_good_by
    under = (
        f"the bass {setting.shelf_db:g} dB under the rest, which {by} makes good"
        if setting.shelf_db
        else "the bass level with the rest"
    )
    text = f"voiced {setting.placement}, with {under}"
    return _empty(pairing.empty("placement"), text) or f"{text[0].upper()}{text[1:]}."


def drivers(setting: Setting) -> str:
    """Where the curves come from."""
    lead = "measured where it is said below, elsewhere " if setting.case.curves else ""
    return f"Drivers are {lead}modelled from the data sheet as pistons with one resonance."


def measured(setting: Setting) -> str | None:
    """Which curves were measured, where and how, and what was found in their files."""
    case = setting.case
    model = Model(setting)
    lines = [_measured(driver, quantity, model) for driver in (case.low, case.high) for quantity in _QUANTITIES]
    found = [finding.text for finding in findings(model)] if case.curves else []
    return f"{'. '.join([line for line in lines if line] + found)}." if found or any(lines) else None


_QUANTITIES = ("response", "impedance")


def _measured(driver: LowDriver | HighDriver, quantity: str, model: Model) -> str:
    """One measured curve: file, band, where it was measured; empty without one."""
    case = model.setting.case
    curve = case.curves.get((driver.id, quantity))
    if curve is None:
        return ""
    hz = curve.frequency_hz
    if quantity == "impedance":
        where = driver.impedance_measured or FREE_AIR
        where, how = ("in free air" if where == FREE_AIR else f"in {where}"), ", with its rear as supplied"
    else:
        where = driver.response_measured or LARGE_BAFFLE
        where = f"on a {where}" if where == LARGE_BAFFLE else f"in {where}"
        phase = "with its phase" if _phased(driver, model) else "with minimum phase"
        how = f" at {driver.measured_at_m:g} m and {driver.measuring_voltage_v:g} V, without guide, {phase}"
    angles = sum(key[0] == driver.id and key[1].startswith("response ") for key in case.curves)
    behind = driver is case.high and case.guide is not None
    aside = f"; {angles} files off the axis" if quantity == "response" and angles else ""
    aside += ", which do not count behind a guide" if aside and behind else ""
    return f"{driver.id}: {quantity} measured from {hz[0]:.0f} to {hz[-1]:.0f} Hz ({curve.file}) {where}{how}{aside}"


def _phased(driver: LowDriver | HighDriver, model: Model) -> bool:
    """Whether the phase of the driver's response file counts."""
    with suppress(CannotAssess):
        taken = model.low_measured if driver is model.setting.case.low else model.high_measured
        return taken is not None and taken.phased
    return False


def directivity(setting: Setting) -> str:
    """How far the pattern of the high driver may be trusted."""
    found = setting.high_directivity
    bound = found.bound() if isinstance(found, GuidedRadiator) else model_bound(setting.high_radiator, setting.air)
    text = f"{setting.case.high.id}: {bound.sentence}"
    for driver, shape in ((setting.case.low, setting.low_directivity), (setting.case.high, found)):
        if isinstance(shape, MeasuredRadiator):
            text += f" {driver.id}: directivity measured {shape.planes}; modelled beyond those angles."
    return text


def guide(setting: Setting) -> str | None:
    """What the guide adds to."""
    if setting.case.guide is None:
        return None
    return f"The sensitivity of {setting.case.high.id} counts as stated without a guide; what {setting.case.guide.id} gains comes on top."


def cone(setting: Setting) -> str | None:
    """What the cone around the high driver of a coaxial does to it."""
    if not setting.guided_by_cone:
        return None
    high, low = setting.case.high.id, setting.case.low.id
    return (
        f"{high} stands in the cone of {low}, which guides its sound: it is louder at the bottom of its range, narrower and less"
        f" even than counted here, as on a flat baffle. Measure {high} in its place, on the axis and off it, or describe the cone as a waveguide."
    )


def spacing(setting: Setting) -> str | None:
    """Where the centres come from."""
    if setting.spacing_m is None or setting.case.pairing.centre_spacing_m is not None:
        return None
    return f"No centre spacing was given: frames nearly touching, {setting.spacing_m * 1e3:.0f} mm."


def place(setting: Setting) -> str | None:
    """Where the high driver stands if the cabinet does not say."""
    cabinet = setting.case.cabinet
    if setting.case.pairing.arrangement in IN_THE_MIDDLE:
        where = "the high driver counts as in the middle of the baffle"
    else:
        where = f"the high driver counts as {setting.high_height_m * 1e3:.0f} mm over the lower edge, near the top"
    return _empty(cabinet.missing("high_from_top_m"), where)


def pitch(setting: Setting) -> str | None:
    """How far apart several equal drivers stand if their frames are unknown."""
    case = setting.case
    missing: tuple[str, ...] = ()
    if case.pairing.low_count > 1 and case.low.frame_height_m is None:
        missing += case.low.missing("frame_width_m")
    if case.pairing.high_count > 1 and setting.high_frame is None:
        missing += case.high.missing("faceplate_width_m")
    return _empty(missing, "several of them count as standing at the centre spacing, or edge to edge")


def depth(setting: Setting) -> str | None:
    """Where the acoustic centres lie if nobody says."""
    case, low, high = setting.case, setting.case.low, setting.case.high
    told = [
        _empty(
            low.missing("centre_depth_m"),
            f"the centre of {low.id} counts as {setting.low_depth_m * 1e3:.0f} mm deep, as is usual for its size",
        )
    ]
    own = filled_in.high_depth_m(high, setting.horn_driver)
    told.append(_empty(high.missing("centre_depth_m"), f"the centre of {high.id} counts as {own * 1e3:.0f} mm deep"))
    if case.guide:
        told.append(
            _empty(case.guide.missing("depth_m"), "it counts as 0, and where the acoustic centres lie is a guess")
        )
    return " ".join(text for text in told if text) or None


def box(setting: Setting) -> str | None:
    """What the cabinet makes of the low driver."""
    low, cabinet = setting.case.low, setting.case.cabinet
    if cabinet.kind == "open baffle":
        return None
    tuning = ("tuning_hz",) if cabinet.kind == "vented" else ()
    missing = (*low.missing("vas_m3"), *cabinet.missing("net_volume_m3", *tuning))
    if missing:
        return _empty(missing, f"{low.id} counts as in free air, the air in the cabinet and its port are left out")
    return "The vented box leaks with a Q of 7 (Small 1973)." if tuning else None


def coils(setting: Setting) -> str | None:
    """Whose coil is unknown; foils have none."""
    case = setting.case
    low = _empty(case.low.missing("le_h"), f"the coil counts as none{_elsewhere(case, case.low)}")
    high = case.high.missing("le_h") if case.technology.diaphragm != "film" else ()
    told = (low, _empty(high, f"the coil counts as {setting.high_le_h * 1e3:g} mH{_elsewhere(case, case.high)}"))
    return " ".join(text for text in told if text) or None


def _elsewhere(case: Case, driver: LowDriver | HighDriver) -> str:
    measured = any((driver.id, quantity) in case.curves for quantity in _QUANTITIES)
    return " where nothing was measured" if measured else ""


def resonance(setting: Setting) -> str | None:
    """What is unknown of the high driver's resonance."""
    high, found = setting.case.high, setting.resonance
    if high.fs_hz is None and (setting.case.pairing.chamber_m3 is not None or setting.open_back):
        so = f"what another rear does to {high.id} cannot be worked out; a cup less deep than its own makes it worse"
        return _empty(high.missing("fs_hz"), so)
    if high.fs_hz is None:
        return _empty(high.missing("fs_hz"), f"the model knows no resonance of {high.id}")
    if found.fs_hz is None:
        return _empty(found.missing, f"{high.id} counts with its rear as supplied")
    so = f"{high.id} counts with a Q of 0.7 and without its impedance peak{_elsewhere(setting.case, high)}"
    return _empty(high.missing("qms", "qes"), so)


def travel(setting: Setting) -> str | None:
    """Whose travel the highest level leaves out."""
    case = setting.case
    missing = (*case.low.missing("peak_travel_m"), *case.high.missing("peak_travel_m", "diaphragm_area_m2"))
    kind = (
        ""
        if case.technology.travel_stated
        else f"; for a {case.technology.id} its floor and its maker's lowest use decide"
    )
    return _empty(missing, f"the highest level is told without that travel{kind}")


def rating(setting: Setting) -> str | None:
    """What the rated power was stated for, if the sheet is silent."""
    high = setting.case.high
    if high.rated_power_w is None:
        return None
    if high.rating_highpass_hz is None:
        return _empty(high.missing("rating_highpass_hz"), "the rated power counts as the power in the driver itself")
    return _empty(high.missing("rating_order"), "the rating's high-pass counts as of second order")


def warmth(setting: Setting) -> str | None:
    """Whose heat is left out of the level."""
    missing = tuple(
        text for one in (setting.case.low, setting.case.high) for text in one.empty("thermal_resistance_k_w")
    )
    return _empty(missing, "what heat costs in level is left out")


def lowest_use(setting: Setting) -> str | None:
    """Which slope the maker's lowest use was stated for, if the sheet is silent."""
    high = setting.case.high
    if high.lowest_use_hz is None:
        return None
    return _empty(high.missing("lowest_use_order"), "the maker's lowest use counts as stated for any slope")


def kind(setting: Setting) -> str | None:
    """What is customary for the kind of high driver, where its own figures decide instead."""
    if not floor_is_a_remark(setting):
        return None
    floor, how = technology_floor(setting)
    if floor is None:
        return None
    return (
        f"A {setting.case.technology.id} {how} is customarily used from {floor:.0f} Hz up; here its own resonance and travel,"
        " or its maker's lowest use, decide."
    )


ASSUMPTIONS: tuple[Callable[[Setting], str | None], ...] = (
    surroundings, drivers, measured, directivity, guide, cone, spacing, place, pitch, depth, box, coils, resonance, travel, rating,
    warmth, lowest_use, kind, placement,
)  # fmt: skip
"""Every assumption, in the order of the page; one that does not apply answers None."""


def all_assumptions(setting: Setting) -> tuple[str, ...]:
    """Every line that applies to the setting."""
    return tuple(text for rule in ASSUMPTIONS if (text := rule(setting)) is not None)
