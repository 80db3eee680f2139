"""The one description of every sheet and column of the workbook.

Knows headings, units, kinds of value, bounds, lists, defaults and help. Reading, checking, the blank workbook,
its drop-downs and notes, and the column reference all come from here. Refuses to know how a cell is read.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import Enum


class Kind(Enum):
    """What a cell of the column holds."""

    ID = "a name of its own, used once in the sheet"
    TEXT = "text"
    NUMBER = "a number"
    COUNT = "a whole number"
    CHOICE = "one of the list"
    YES_NO = "yes or no"
    DATE = "a date"
    REFERENCE = "an ID of another sheet"
    NAMES = "names, separated by semicolons"
    NUMBERS = "numbers, separated by semicolons"
    FILE = "a file beside the workbook"


QUANTITIES: Mapping[str, Mapping[str, float]] = {
    "number": {"": 1.0},
    "share": {"%": 1e-2},
    "resistance": {"ohm": 1.0, "kohm": 1e3},
    "frequency": {"Hz": 1.0, "kHz": 1e3},
    "level": {"dB": 1.0, "dB 2.83V/1m": 1.0},
    "order": {"order": 1.0},
    "power": {"W": 1.0, "kW": 1e3},
    "voltage": {"V": 1.0},
    "current": {"A": 1.0},
    "force factor": {"T m": 1.0, "N/A": 1.0},
    "length": {"m": 1.0, "cm": 1e-2, "mm": 1e-3, "um": 1e-6, "in": 0.0254, "ft": 0.3048},
    "area": {"m2": 1.0, "cm2": 1e-4, "mm2": 1e-6, "in2": 0.0254**2},
    "mass": {"kg": 1.0, "g": 1e-3, "mg": 1e-6},
    "volume": {"m3": 1.0, "L": 1e-3, "dm3": 1e-3, "mL": 1e-6, "cm3": 1e-6, "ft3": 0.3048**3},
    "inductance": {"H": 1.0, "mH": 1e-3, "uH": 1e-6},
    "capacitance": {"F": 1.0, "uF": 1e-6, "nF": 1e-9, "pF": 1e-12},
    "angle": {"deg": math.pi / 180.0, "rad": 1.0},
    "temperature": {"degC": 1.0},
    "pressure": {"Pa": 1.0, "kPa": 1e3},
    "interval": {"octave": 1.0},
    "time": {"s": 1.0},
    "thermal resistance": {"K/W": 1.0},
}
"""Which units the workbook may use for a quantity, each with its SI value.

Levels, temperatures in degC and orders stay as they are.
"""

UNITS: Mapping[str, float] = {unit: si for units in QUANTITIES.values() for unit, si in units.items()}
"""SI value of one unit of the workbook."""

QUANTITY_OF: Mapping[str, str] = {unit: quantity for quantity, units in QUANTITIES.items() for unit in units}
"""What a unit measures; a value may be typed in any unit of its column's quantity."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column: where its value goes (`field` of the record), how it is headed, and what it may hold.

    Bounds and `plausible` are in the workbook's unit; outside `plausible` the reader warns and goes on.
    """

    field: str
    name: str
    kind: Kind
    help: str
    unit: str = ""
    required: bool = False
    choices: tuple[str, ...] = ()
    default: str | float | None = None
    above: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    plausible: tuple[float, float] | None = None
    refers: str = ""
    unit_field: str = ""
    width: float = 11.0

    @property
    def heading(self) -> str:
        """The text of row 1: the name, with the unit in brackets."""
        return f"{self.name} ({self.unit})" if self.unit else self.name

    @property
    def factor(self) -> float:
        """What a value of the cell is multiplied by to become SI."""
        return UNITS[self.unit]


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: its name, what a row of it is, and its columns in their usual order."""

    name: str
    row_is: str
    columns: tuple[Column, ...]
    required: bool = False
    tab: str = "777777"

    def column(self, field: str) -> Column:
        """The column that fills `field`; KeyError when the sheet has none."""
        for column in self.columns:
            if column.field == field:
                return column
        raise KeyError(f"{self.name} has no column for {field}")

    def headed(self, heading: str) -> Column | None:
        """The column of this heading, as `Column.heading` has it; None when the sheet has none."""
        return next((column for column in self.columns if column.heading == heading), None)


def _number(field: str, name: str, unit: str, help_: str, **more: object) -> Column:
    return replace(Column(field, name, Kind.NUMBER, help_, unit), **more)  # type: ignore[arg-type]


def _positive(field: str, name: str, unit: str, help_: str, **more: object) -> Column:
    return _number(field, name, unit, help_, above=0.0, **more)


def _choice(field: str, name: str, choices: tuple[str, ...], help_: str, **more: object) -> Column:
    return replace(Column(field, name, Kind.CHOICE, help_, choices=choices, width=14.0), **more)  # type: ignore[arg-type]


_DESCRIPTION = Column("description", "Description", Kind.TEXT, "What it is, in a few words.", width=34.0)
_NOTES = Column("notes", "Notes", Kind.TEXT, "Anything worth keeping; the program does not read it.", width=40.0)
_PRICE = _number("price", "Price", "", "Price for one, in the currency of the Maker sheet.", at_least=0.0)
_STOCK = Column("stock", "Stock", Kind.COUNT, "How many are on the shelf.", at_least=0.0, width=8.0)


def _id(help_: str) -> Column:
    return Column("id", "ID", Kind.ID, help_, required=True, width=12.0)


def _reference(field: str, name: str, sheet: str, help_: str, required: bool = True) -> Column:
    return Column(field, name, Kind.REFERENCE, help_, required=required, refers=sheet, width=14.0)


def _curve_files() -> tuple[Column, Column]:
    return (
        Column("response_file", "Response file", Kind.FILE,
               "Measured on-axis response: text of Hz, dB and, if known, degrees; path from the workbook's folder.",
               width=24.0),
        Column("impedance_file", "Impedance file", Kind.FILE,
               "Measured impedance: text of Hz, ohm and, if known, degrees; path from the workbook's folder.",
               width=24.0),
    )  # fmt: skip


def _measured_at() -> Column:
    return _positive("measured_at_m", "Measured at", "m", "Distance of the microphone: levels of a response file are as read there, "
                     "the sensitivity is referred to 1 m; it matters for tall radiators.", default=1.0, plausible=(0.1, 10))  # fmt: skip


def _measuring() -> tuple[Column, ...]:
    return (
        Column("response_measured", "Response measured", Kind.TEXT,
               "large baffle; or the ID of the cabinet in which the response was measured. Empty: large baffle. The "
               "microphone stands on the driver's axis.", width=16.0),
        _positive("measuring_voltage_v", "Measuring voltage", "V", "Voltage at the driver when the response was measured.",
                  default=2.83, plausible=(0.1, 30)),
        _choice("response_phase", "Response phase", RESPONSE_PHASES,
                "none: the file's phase does not count; own: each file has its own start of time; common reference: both "
                "drivers with one, the microphone on the high driver's axis throughout. Empty: own."),
        Column("impedance_measured", "Impedance measured", Kind.TEXT,
               "free air; or the ID of the cabinet in which the impedance was measured. Empty: free air.", width=16.0),
    )  # fmt: skip


LARGE_BAFFLE, FREE_AIR = "large baffle", "free air"
RESPONSE_PHASES = ("none", "own", "common reference")


def _thermal() -> Column:
    return _positive("thermal_resistance_k_w", "Thermal resistance", "K/W",
                     "From the coil to the air, where the maker states it: tells what level is lost by heat.", plausible=(0.2, 60))  # fmt: skip


SHAPES = ("round", "rectangular")
REARS = ("sealed", "removable", "open")
CABINET_KINDS = ("closed", "vented", "open baffle")
WIRINGS = ("series", "parallel", "series-parallel")


def equal_rows(count: int) -> bool:
    """Whether so many drivers make equal rows, as series-parallel wants them: 4, 6, 8 or 9 do."""
    return any(count % rows == 0 for rows in range(2, count))


ARRANGEMENTS = ("high over low", "low-high-low", "column", "side by side")
SLOPES = ("LR2", "LR4", "LR8", "BW1", "BW2", "BW3", "BW4", "BE2", "BE3", "BE4")
PLACEMENTS = ("free standing", "near a wall", "in a wall")
SURROUNDINGS = ("home", "studio", "vehicle", "outdoors", "public")
PART_POLICIES = ("any", "preferred", "stock")
DECISIONS = ("open", "accepted", "rejected", "on hold")
REAR_USES = ("as supplied", "removed")
FAMILIES = ("dome", "ribbon", "planar", "folded", "compression")
FRAGILITIES = ("ordinary", "delicate", "very delicate")
FLARES = ("exponential", "conical")
DIAPHRAGMS = ("soft", "hard", "coated", "film", "beryllium")
PAPERS = ("A4", "Letter")

LOW_DRIVERS = Sheet("Low drivers", "one woofer or mid-woofer", (
    _id("The maker's or your own name of the driver."),
    _DESCRIPTION,
    _positive("nominal_impedance_ohm", "Nominal impedance", "ohm", "Rated impedance from the data sheet.",
              plausible=(2, 32)),
    _positive("re_ohm", "Re", "ohm", "Direct-current resistance of the voice coil.", required=True,
              plausible=(0.5, 40)),
    _number("le_h", "Le", "mH", "Voice-coil inductance at 1 kHz. Empty: the loss of output through it stays unknown.",
            at_least=0.0, plausible=(0.01, 10)),
    _number("le_exponent", "Le exponent", "", "Lossy coil: its impedance grows with this power of frequency (Leach 2002); empty or 1: a plain coil.",
            above=0.0, at_most=1.0, plausible=(0.4, 1.0)),
    _positive("fs_hz", "Fs", "Hz", "Resonance in free air.", required=True, plausible=(10, 500)),
    _positive("qms", "Qms", "", "Mechanical quality factor at Fs.", required=True, plausible=(0.3, 40)),
    _positive("qes", "Qes", "", "Electrical quality factor at Fs.", required=True, plausible=(0.05, 5)),
    _positive("vas_m3", "Vas", "L", "Volume of air with the compliance of the suspension.", plausible=(0.2, 1000)),
    _positive("diaphragm_area_m2", "Sd", "cm2", "Effective area of the diaphragm.", required=True,
              plausible=(5, 2500)),
    _positive("moving_mass_kg", "Mms", "g", "Moving mass with its air load.", plausible=(0.3, 600)),
    _positive("force_factor_t_m", "BL", "T m", "Force factor.", plausible=(0.5, 50)),
    _positive("peak_travel_m", "Xmax", "mm", "One-way linear travel, peak.", plausible=(0.1, 50)),
    _number("sensitivity_db", "Sensitivity", "dB 2.83V/1m", "Mean level in the pass band at 2.83 V and 1 m.",
            required=True, plausible=(70, 110)),
    _positive("rated_power_w", "Rated power", "W", "Programme power the maker rates it for.", plausible=(1, 3000)),
    _positive("breakup_hz", "Cone break-up", "Hz", "First resonance of the cone: the first peak above the pass band.",
              plausible=(300, 20000)),
    _positive("highest_use_hz", "Highest use", "Hz", "Highest crossover the maker allows.", plausible=(50, 20000)),
    _positive("frame_width_m", "Frame width", "mm", "Outer width (or diameter) of the frame.", plausible=(30, 700)),
    _positive("frame_height_m", "Frame height", "mm", "Outer height of the frame; empty: the same as the width.",
              plausible=(30, 700)),
    _positive("cutout_m", "Cut-out diameter", "mm", "Hole in the baffle.", plausible=(25, 650)),
    _number("centre_depth_m", "Centre depth", "mm", "How far the acoustic centre lies behind the baffle's face.",
            plausible=(-20, 250)),
    *_curve_files(), _measured_at(), *_measuring(), _thermal(), _PRICE, _STOCK, _NOTES,
), required=True, tab="335577")  # fmt: skip

HIGH_DRIVERS = Sheet("High drivers", "one high-frequency driver", (
    _id("The maker's or your own name of the driver."),
    _reference("technology", "Technology", "Technologies", "Kind of driver: a name in the Technologies sheet."),
    _DESCRIPTION,
    _positive("nominal_impedance_ohm", "Nominal impedance", "ohm", "Rated impedance from the data sheet.",
              plausible=(2, 32)),
    _positive("re_ohm", "Re", "ohm", "Direct-current resistance of the coil or element.", required=True,
              plausible=(0.01, 40)),
    _number("le_h", "Le", "mH", "Coil inductance; 0 or empty for foil elements.", at_least=0.0, plausible=(0.001, 2)),
    _positive("fs_hz", "Fs", "Hz", "Resonance as supplied, with its own rear chamber.", plausible=(50, 6000)),
    _positive("qms", "Qms", "", "Mechanical quality factor at Fs.", plausible=(0.1, 30)),
    _positive("qes", "Qes", "", "Electrical quality factor at Fs.", plausible=(0.1, 30)),
    _positive("vas_m3", "Vas", "mL", "Volume of air with the compliance of the suspension.", plausible=(0.1, 5000)),
    _choice("shape", "Shape", SHAPES, "Outline of the radiating surface.", required=True),
    _positive("radiating_width_m", "Radiating width", "mm", "Width, or diameter, of the radiating surface; of a compression driver, of its exit.",
              required=True, plausible=(3, 200)),
    _positive("radiating_height_m", "Radiating height", "mm",
              "Height of the radiating surface; empty for a round one.", plausible=(3, 2500)),
    _positive("diaphragm_area_m2", "Sd", "cm2", "Effective area of the diaphragm.", plausible=(0.5, 1000)),
    _positive("peak_travel_m", "Peak travel", "mm", "One-way travel, peak, up to which it works without strain.",
              plausible=(0.01, 10)),
    _number("sensitivity_db", "Sensitivity", "dB 2.83V/1m", "Mean level in the pass band at 2.83 V and 1 m.",
            required=True, plausible=(75, 120)),
    _positive("rated_power_w", "Rated power", "W", "Programme power the maker rates it for.", plausible=(1, 1000)),
    _positive("rating_highpass_hz", "Rating high-pass", "Hz", "High-pass under which that power was rated.",
              plausible=(100, 10000)),
    Column("rating_order", "Rating slope", Kind.COUNT, "Order of that high-pass.", "order", at_least=1, at_most=8),
    _positive("lowest_use_hz", "Lowest use", "Hz", "Lowest crossover the maker allows.", plausible=(200, 10000)),
    Column("lowest_use_order", "Lowest use slope", Kind.COUNT, "Order of the slope for which that was stated.",
           "order", at_least=1, at_most=8),
    _positive("diaphragm_resonance_hz", "Diaphragm resonance", "Hz", "First resonance of the diaphragm itself.",
              plausible=(1000, 80000)),
    _choice("rear", "Rear", REARS, "sealed; removable when the rear cup comes off; open for a dipole.",
            required=True),
    _positive("rear_chamber_m3", "Rear chamber", "mL", "Volume behind the diaphragm, as supplied.",
              plausible=(0.1, 5000)),
    Column("other_chambers_m3", "Other chambers", Kind.NUMBERS, "Volumes of other rear chambers the maker offers.",
           "mL", above=0.0, width=14.0),
    Column("screen", "Screen", Kind.YES_NO, "Is there a screen over the diaphragm?", width=9.0),
    _positive("faceplate_width_m", "Faceplate width", "mm", "Outer width of the faceplate.", plausible=(15, 600)),
    _positive("faceplate_height_m", "Faceplate height", "mm", "Outer height; empty: the same as the width.",
              plausible=(15, 2500)),
    _positive("cutout_width_m", "Cut-out width", "mm", "Width, or diameter, of the hole in the baffle.",
              plausible=(10, 600)),
    _positive("cutout_height_m", "Cut-out height", "mm", "Height of the hole; empty for a round one.",
              plausible=(10, 2500)),
    _number("centre_depth_m", "Centre depth", "mm", "How far the acoustic centre lies behind the baffle's face.",
            plausible=(-20, 250)),
    *_curve_files(), _measured_at(), *_measuring(), _thermal(), _PRICE, _STOCK, _NOTES,
), required=True, tab="335577")  # fmt: skip

WAVEGUIDES = Sheet("Waveguides", "one waveguide or horn", (
    _id("Your own name of the guide."),
    Column("fits", "Fits", Kind.NAMES, "IDs of high drivers, or names of technologies, separated by semicolons.",
           required=True, width=26.0),
    _positive("mouth_width_m", "Mouth width", "mm", "Width of the mouth.", required=True, plausible=(30, 1200)),
    _positive("mouth_height_m", "Mouth height", "mm", "Height of the mouth.", required=True, plausible=(30, 2500)),
    _number("horizontal_coverage_rad", "Horizontal coverage", "deg", "Full angle between the -6 dB directions.",
            required=True, above=0.0, at_most=180.0, plausible=(20, 180)),
    _number("vertical_coverage_rad", "Vertical coverage", "deg", "Full angle between the -6 dB directions.",
            required=True, above=0.0, at_most=180.0, plausible=(5, 180)),
    _positive("depth_m", "Depth", "mm", "How far the driver moves behind the baffle's face: the length from throat to mouth.",
              plausible=(2, 800)),
    _positive("faceplate_width_m", "Faceplate width", "mm", "Outer width; empty: that of the mouth.",
              plausible=(30, 1300)),
    _positive("faceplate_height_m", "Faceplate height", "mm", "Outer height; empty: that of the mouth.",
              plausible=(30, 2600)),
    _choice("flare", "Flare", FLARES, "How a horn widens from throat to mouth; an exponential one carries nothing below its cut-off."),
    _positive("throat_m", "Throat diameter", "mm", "Diameter of the horn's throat, or of a circle of its area.", plausible=(8, 100)),
    _PRICE, _STOCK, _NOTES,
), tab="335577")  # fmt: skip

CABINETS = Sheet("Cabinets", "one cabinet or open baffle", (
    _id("Your own name of the cabinet."),
    _choice("kind", "Kind", CABINET_KINDS, "How the low driver is mounted.", required=True),
    _positive("baffle_width_m", "Baffle width", "mm", "Width of the front.", required=True, plausible=(60, 2000)),
    _positive("baffle_height_m", "Baffle height", "mm", "Height of the front.", required=True, plausible=(60, 2600)),
    _positive("depth_m", "Depth", "mm", "Outer depth.", plausible=(20, 1500)),
    _positive("net_volume_m3", "Net volume", "L", "Air volume for the low drivers.", plausible=(0.3, 1000)),
    _positive("tuning_hz", "Tuning", "Hz", "Resonance of the port; for vented cabinets.", plausible=(10, 200)),
    _positive("high_from_top_m", "High driver from top", "mm", "From the upper edge to the high driver's centre.",
              plausible=(20, 2400)),
    _number("offset_m", "Offset from centre line", "mm", "High driver to the right of the centre line; left is -.",
            default=0.0, plausible=(-900, 900)),
    _number("stand_height_m", "Stand height", "mm", "From the floor to the lower edge.", default=0.0,
            at_least=0.0, plausible=(0, 2000)),
    _number("tilt_rad", "Tilt", "deg", "Front leaned back by this angle.", default=0.0, at_least=-30.0,
            at_most=45.0),
    _NOTES,
), required=True, tab="335577")  # fmt: skip

APPLICATION: tuple[Column, ...] = (
    _choice("arrangement", "Arrangement", ARRANGEMENTS,
            "high over low: low drivers under the high ones. low-high-low: half of them above. side by side, column: low drivers one above"
            " another, beside the high ones; a column stands in the middle where no height is given.",
            default="high over low", width=15.0),
    _positive("crossover_hz", "Crossover", "Hz", "Fixed crossover frequency; empty: the program chooses.",
              plausible=(80, 15000)),
    _choice("slope", "Slope", SLOPES, "Acoustic slope: LR Linkwitz-Riley, BW Butterworth, BE Bessel, and the order.",
            default="LR4", width=9.0),
    _number("centre_spacing_m", "Centre spacing", "mm",
            "Between the centres of low and high driver; 0: one in the middle of the other; empty: frames touching.",
            at_least=0.0, plausible=(20, 2000)),
    _positive("distance_m", "Listening distance", "m", "From the baffle to the seat.", default=2.5,
              plausible=(0.3, 30)),
    _positive("ear_height_m", "Ear height", "m", "Height of the seated ear over the floor.", default=1.0,
              plausible=(0.5, 2.2)),
    _positive("horizontal_half_window_rad", "Horizontal half window", "deg",
              "Listeners sit within plus or minus this angle, sideways.", default=30.0, at_most=90.0),
    _positive("vertical_half_window_rad", "Vertical half window", "deg",
              "Listeners' ears stay within plus or minus this angle, up and down.", default=10.0, at_most=90.0),
    _number("peak_level_db", "Peak level", "dB", "Rms level of the loudest tone wanted at the seat, free field.",
            default=96.0, plausible=(70, 130)),
    _positive("amplifier_power_w", "Amplifier power", "W",
              "Rated programme power of the amplifier, into the rated impedance of the finished loudspeaker.", default=60.0, plausible=(1, 3000)),
    _choice("surroundings", "Surroundings", SURROUNDINGS, "Where it will stand.", default="home"),
    _choice("placement", "Placement", PLACEMENTS,
            "How near to a wall: it decides how much of the bass the room gives back; empty: free standing, in a vehicle near a wall."),
)  # fmt: skip
"""What a pairing and an enquiry have in common: the place, the listener and the wish."""

PAIRINGS = Sheet("Pairings", "one low driver, one high driver, one cabinet, one use", (
    _id("Your own name of the pairing; it names the printed sheet."),
    Column("kit", "Kit", Kind.TEXT, "Name of the kit it belongs to.", width=20.0),
    Column("season", "Season", Kind.TEXT, "Catalogue season; --season picks by it.", width=14.0),
    _reference("low_id", "Low driver", "Low drivers", "ID of the low driver."),
    Column("low_count", "Low count", Kind.COUNT, "How many low drivers.", default=1, at_least=1, at_most=16, width=8.0),
    _choice("low_wiring", "Low wiring", WIRINGS, "How several low drivers are wired.", default="parallel"),
    _reference("high_id", "High driver", "High drivers", "ID of the high driver."),
    Column("high_count", "High count", Kind.COUNT, "How many high drivers.", default=1, at_least=1, at_most=32,
           width=8.0),
    _choice("high_wiring", "High wiring", WIRINGS, "How several high drivers are wired.", default="parallel"),
    _reference("guide_id", "Waveguide", "Waveguides", "ID of the guide; empty: none.", required=False),
    _choice("rear_use", "Rear", REAR_USES, "removed: the rear cup of the high driver is taken off.",
            default="as supplied"),
    _positive("chamber_m3", "Rear chamber used", "mL", "One of the driver's other chambers; empty: as supplied."),
    _reference("cabinet_id", "Cabinet", "Cabinets", "ID of the cabinet."),
    _positive("high_from_top_m", "High driver from top", "mm",
              "From the upper edge to the high driver's centre, in this pairing; empty: as the Cabinets sheet has it.",
              plausible=(20, 2400)),
    *APPLICATION,
    _choice("parts_policy", "Parts", PART_POLICIES,
            "any value; preferred values (IEC 60063); or only what the Parts sheet has in stock.", default="preferred",
            width=10.0),
    Column("kits_planned", "Kits planned", Kind.COUNT, "How many kits you mean to sell; for the supply list.", at_least=0,
           width=9.0),
    _number("shelf_db", "Bass shelf", "dB", "How far the bass is to lie under the rest; empty: by placement.",
            at_least=0.0, at_most=6.0),
    Column("most_parts", "Most parts", Kind.COUNT, "Take the step of the network's ladder with at most so many pieces; "
           "empty: the smallest that passes every check.", at_least=2, at_most=30, width=8.0),
    _choice("decision", "Decision", DECISIONS, "Your decision; kept in History.", default="open", width=10.0),
    Column("decided_by", "Decided by", Kind.TEXT, "Who decided."),
    Column("decided_on", "Decided on", Kind.DATE, "When.", width=12.0),
    Column("reason", "Reason", Kind.TEXT, "Why.", width=30.0),
    _NOTES,
), required=True, tab="227744")  # fmt: skip

PARTS = Sheet("Parts", "one crossover part that can be bought", (
    _id("Order name of the part."),
    _choice("kind", "Kind", ("capacitor", "inductor", "resistor"), "What it is.", required=True),
    replace(_positive("value", "Value", "", "Its value, in the unit of the next column.", required=True),
            unit_field="unit"),
    _choice("unit", "Unit", ("uF", "nF", "mH", "uH", "ohm", "kohm"), "Unit of the value.", required=True, width=7.0),
    _number("tolerance", "Tolerance", "%", "Plus or minus; empty: as the Practice sheet has it for the kind.", at_least=0.0, at_most=50.0),
    _number("resistance_ohm", "Resistance", "ohm", "Wire resistance of a coil, series resistance of a capacitor.",
            at_least=0.0),
    replace(_positive("rating", "Rating", "", "Highest peak voltage of a capacitor, rms current of a coil, power of a "
                      "resistor."), unit_field="rating_unit"),
    _choice("rating_unit", "Rating unit", ("V", "A", "W"), "Unit of the rating.", width=9.0),
    _PRICE, _STOCK,
), tab="887744")  # fmt: skip

ENQUIRIES = Sheet("Enquiries", "one question of a customer", (
    _id("Number of the enquiry."),
    Column("received", "Received", Kind.DATE, "When it came.", width=12.0),
    Column("customer", "Customer", Kind.TEXT, "Who asked; the answer greets by this name.", width=20.0),
    Column("question", "Question", Kind.TEXT, "What was asked, in the enquirer's words. What they say of our drivers, place, seat, level, amplifier, crossover and box"
           " counts where its cell is empty.", width=50.0),
    _positive("budget", "Budget", "", "What the high driver (with its guide) may cost for one loudspeaker, in your currency."),
    _reference("low_id", "Low driver", "Low drivers", "ID of the low driver, if it is in the catalogue.",
               required=False),
    Column("low_count", "Low count", Kind.COUNT, "How many low drivers.", default=1, at_least=1, at_most=16, width=8.0),
    _reference("cabinet_id", "Cabinet", "Cabinets", "ID of the cabinet, if it is in the catalogue.", required=False),
    _choice("given_cabinet_kind", "Cabinet kind", CABINET_KINDS,
            "For a cabinet that is not in the catalogue: how the woofer is mounted; empty: closed."),
    _positive("given_net_volume_m3", "Net volume", "L", "Its air volume for the low drivers.", plausible=(0.3, 1000)),
    _positive("given_area_m2", "Known Sd", "cm2", "For a driver that is not in the catalogue: its area.",
              plausible=(5, 2500)),
    _positive("given_fs_hz", "Known Fs", "Hz", "Its resonance.", plausible=(10, 500)),
    _positive("given_re_ohm", "Known Re", "ohm", "Its resistance.", plausible=(0.5, 40)),
    _number("given_le_h", "Known Le", "mH", "Its inductance.", at_least=0.0, plausible=(0.01, 10)),
    _positive("given_qms", "Known Qms", "", "Its mechanical quality factor."),
    _positive("given_qes", "Known Qes", "", "Its electrical quality factor."),
    _number("given_sensitivity_db", "Known sensitivity", "dB 2.83V/1m", "Its level.", plausible=(70, 110)),
    _positive("given_breakup_hz", "Known cone break-up", "Hz", "Its first cone resonance.", plausible=(300, 20000)),
    _positive("given_peak_travel_m", "Known Xmax", "mm", "Its peak travel, one way; empty: the usual one of its size.",
              plausible=(0.5, 40)),
    _positive("given_rated_power_w", "Known rated power", "W", "What it may take; empty: the usual power of its size.",
              plausible=(1, 3000)),
    _positive("given_baffle_width_m", "Known baffle width", "mm", "Width of the enquirer's cabinet.",
              plausible=(60, 2000)),
    _positive("given_baffle_height_m", "Known baffle height", "mm", "Height of the enquirer's cabinet.",
              plausible=(60, 2600)),
    *APPLICATION,
    Column("answered_on", "Answered on", Kind.DATE, "When it was answered; empty: still open.", width=12.0),
    _NOTES,
), tab="227744")  # fmt: skip

TECHNOLOGIES = Sheet("Technologies", "one kind of high driver and how it is treated", (
    Column("id", "Technology", Kind.ID, "Name of the kind; the High drivers sheet uses it.", required=True, width=22.0),
    _choice("family", "Family", FAMILIES, "What it is built as.", required=True),
    _choice("diaphragm", "Diaphragm", DIAPHRAGMS, "What it is made of: beryllium is the metal itself, coated a thin layer on "
            "another dome.", required=True),
    _positive("bare_floor_hz", "Bare floor", "Hz", "Practice: lowest crossover without a guide; empty: as its maker "
              "states.", plausible=(200, 10000)),
    _positive("guided_floor_hz", "Guided floor", "Hz", "Practice: lowest crossover in a guide that fits; empty: as "
              "its maker states.", plausible=(200, 10000)),
    _positive("large_from_m", "Large from", "mm", "From this size (longest side) on it counts as large.",
              plausible=(5, 1000)),
    _positive("large_floor_hz", "Large floor", "Hz", "Practice: lowest crossover of a large one without a guide.", plausible=(200, 10000)),
    _positive("large_resonance_hz", "Large resonance", "Hz", "A large one keeps that floor only if it resonates "
              "below this.", plausible=(50, 6000)),
    Column("travel_stated", "Travel stated", Kind.YES_NO, "Do makers of this kind state a travel? If no, floor and "
           "lowest use decide.", default="yes"),
    _choice("fragility", "Fragility", FRAGILITIES, "How easily it is damaged.", default="ordinary"),
    Column("synonyms", "Also called", Kind.NAMES, "Other names people use for this kind; separated by semicolons.",
           width=24.0),
    Column("excluded", "Excluded surroundings", Kind.NAMES, "Where it must not stand; separated by semicolons.",
           choices=SURROUNDINGS, width=20.0),
    Column("handling", "Handling", Kind.TEXT, "What the builder must and must not do.", width=50.0),
    Column("servicing", "Servicing", Kind.TEXT, "What may be replaced, and with which tools.", width=50.0),
    Column("after_service", "After servicing", Kind.TEXT, "What to measure afterwards.", width=40.0),
    Column("cautions", "Cautions", Kind.TEXT, "What is printed in the caution box.", width=50.0),
), tab="996633")  # fmt: skip

MAKER = Sheet("Maker", "you: what every printed sheet carries", (
    Column("name", "Name", Kind.TEXT, "Name of your firm.", default="", width=26.0),
    Column("contact_1", "Contact line 1", Kind.TEXT, "Address, telephone or mail.", width=30.0),
    Column("contact_2", "Contact line 2", Kind.TEXT, "Address, telephone or mail.", width=30.0),
    Column("contact_3", "Contact line 3", Kind.TEXT, "Address, telephone or mail.", width=30.0),
    Column("logo_file", "Logo file", Kind.FILE, "PNG, JPEG or SVG in the workbook's folder.", width=24.0),
    Column("currency", "Currency", Kind.TEXT, "Sign or code printed with prices.", default="EUR", width=10.0),
    _number("tax", "Tax", "%", "Sales tax on prices in the price list; empty: prices are printed as they are.",
            at_least=0.0, at_most=100.0, width=8.0),
    _positive("price_step", "Price rounding", "", "Prices of the price list are rounded to a multiple of this; 1: whole "
              "units, 0.05: five cents.", default=0.01, width=10.0),
    _choice("paper", "Paper size", PAPERS, "Paper of the printed sheets.", default="A4", width=10.0),
    Column("footer", "Footer", Kind.TEXT, "One line at the foot of every page.", width=50.0),
), tab="996633")  # fmt: skip

PRACTICE = Sheet("Practice", "one rule of the trade as a number you own", (
    Column("id", "Name", Kind.ID, "Name of the rule; leave it as it is.", required=True, width=38.0),
    _number("value", "Value", "", "The number; change it to your own practice.", required=True),
    Column("unit", "Unit", Kind.TEXT, "Its unit.", width=10.0),
    Column("source", "Source", Kind.TEXT, "Where it comes from.", width=40.0),
    Column("help", "What it does", Kind.TEXT, "What changes when you change it.", width=70.0),
), tab="996633")  # fmt: skip

SHEETS: tuple[Sheet, ...] = (
    LOW_DRIVERS, HIGH_DRIVERS, WAVEGUIDES, CABINETS, PAIRINGS, PARTS, ENQUIRIES, TECHNOLOGIES, MAKER, PRACTICE,
)  # fmt: skip
"""Every sheet the operator fills, in the order of the blank workbook."""

_BY_NAME = {sheet.name: sheet for sheet in SHEETS}


def sheet(name: str) -> Sheet:
    """The description of the sheet called `name`; KeyError when there is none."""
    return _BY_NAME[name]
