"""The rules of the trade as shipped: the Practice numbers and the kinds of high driver.

Knows only starting values; the operator's workbook overrides every one of them. Refuses to know what the
rules are used for. "Common practice, no source" stands where no publication fixes a figure.
"""

from __future__ import annotations

from collections.abc import Mapping

COMMON = "common practice, no source"

PRACTICE_ROWS: tuple[tuple[str, float, str, str, str], ...] = (
    ("air temperature", 20.0, "degC", "ISO 9613-1 reference", "Sets the speed of sound and the density of air."),
    ("air pressure", 101325.0, "Pa", "standard atmosphere", "Sets the density of air."),
    ("resonance factor order 1", 4.0, "", COMMON, "Lowest crossover as a multiple of the high driver's resonance, first-order slope."),
    ("resonance factor order 2", 2.8, "", COMMON, "The same for a second-order slope."),
    ("resonance factor order 3", 2.2, "", COMMON, "The same for a third-order slope."),
    ("resonance factor order 4", 1.8, "", COMMON, "The same for fourth order and steeper."),
    ("break-up attenuation", 20.0, "dB", COMMON, "How far down the low branch must be at the first cone resonance."),
    ("limit margin", 0.08, "octave", COMMON, "A crossover nearer than this to a limit is marginal."),
    ("level margin", 0.5, "dB", COMMON, "Levels nearer than this to their limit are marginal."),
    ("directivity step limit", 3.0, "dB", COMMON, "Difference of directivity index of the two drivers at the crossover that nobody minds."),
    ("directivity step worst", 6.0, "dB", COMMON, "A larger difference than this is a fail."),
    ("standing ear height", 1.6, "m", COMMON, "Ear of a standing listener."),
    ("window loss limit", 6.0, "dB", COMMON, "Largest loss of the high driver at the seated ear in the top octave."),
    ("tilt limit", 3.0, "dB", COMMON, "Largest fall of the high driver between 5 kHz and 15 kHz in the listening window."),
    ("sum deviation limit", 2.0, "dB", COMMON, "Largest deviation of the sum from its target in the two octaves around the crossover."),
    ("reversed null depth", 15.0, "dB", COMMON, "How deep the sum must fall at the crossover when one driver is reversed (even-order slopes)."),
    ("lobe loss limit", 1.5, "dB", COMMON, "How much louder than at the seat it may be elsewhere in the vertical window at the crossover."),
    ("rated impedance share", 0.8, "", "IEC 60268-5", "The modulus must not fall below this share of the rated impedance."),
    ("lowest rated impedance", 4.0, "ohm", COMMON, "Lowest rated impedance the usual amplifier accepts."),
    ("build tolerance", 1.0, "dB", COMMON, "A build counts as good when its sum stays this near to the design in the two octaves around the crossover, and inside the sum deviation limit."),
    ("good builds share", 0.9, "", COMMON, "Least share of good builds."),
    ("voltage margin", 1.25, "", COMMON, "Capacitors are bought for their peak voltage times this."),
    ("current margin", 1.25, "", COMMON, "Coils are bought for their rms current times this."),
    ("power margin", 2.0, "", COMMON, "Resistors are bought for their power times this."),
    ("capacitor tolerance", 5.0, "%", COMMON, "Used where the part states none."),
    ("inductor tolerance", 5.0, "%", COMMON, "Used where the part states none."),
    ("resistor tolerance", 5.0, "%", COMMON, "Used where the part states none."),
    ("driver level tolerance", 0.5, "dB", COMMON, "Largest departure of one piece from the stated sensitivity."),
    ("driver resonance tolerance", 10.0, "%", COMMON, "Spread of Fs and Q of one piece against the data sheet."),
    ("driver travel tolerance", 10.0, "%", COMMON, "Spread of the stated travel."),
    ("driver area tolerance", 3.0, "%", COMMON, "Spread of Sd and radiating size."),
    ("driver break-up tolerance", 5.0, "%", COMMON, "Spread of the first cone resonance."),
    ("gap between frames", 5.0, "mm", COMMON, "Left between two frames when no spacing is given."),
    ("edge clearance", 8.0, "mm", COMMON, "Least distance of a frame from the edge of the baffle."),
    ("reach of children", 1.2, "m", COMMON, "A fragile diaphragm lower than this is within reach."),
    ("top of the audible band", 20000.0, "Hz", "IEC 60268-5 presentation range", "A hard diaphragm must not ring below this."),
    ("high band top", 15000.0, "Hz", COMMON, "Top of the band in which the high driver's coverage is judged."),
    ("coil resistance at 1 mH", 0.35, "ohm", COMMON, "Resistance of a coil where none is stated; it grows with the inductance."),
    ("programme crest factor", 2.0, "", "IEC 60268-5: 1.8 to 2.2", "Peak over rms of the programme that stresses the parts."),
    ("programme average", 10.0, "dB", COMMON, "How far the average of the programme lies below its loudest tone."),
    ("programme level 31.5 Hz", -3.0, "dB", COMMON, "Relative level of the programme in this octave band."),
    ("programme level 63 Hz", 0.0, "dB", COMMON, "Relative level of the programme in this octave band."),
    ("programme level 125 Hz", 0.0, "dB", COMMON, "Relative level of the programme in this octave band."),
    ("programme level 250 Hz", 0.0, "dB", COMMON, "Relative level of the programme in this octave band."),
    ("programme level 500 Hz", 0.0, "dB", COMMON, "Relative level of the programme in this octave band."),
    ("programme level 1000 Hz", -1.0, "dB", COMMON, "Relative level of the programme in this octave band."),
    ("programme level 2000 Hz", -3.0, "dB", COMMON, "Relative level of the programme in this octave band."),
    ("programme level 4000 Hz", -5.0, "dB", COMMON, "Relative level of the programme in this octave band."),
    ("programme level 8000 Hz", -8.0, "dB", COMMON, "Relative level of the programme in this octave band."),
    ("programme level 16000 Hz", -12.0, "dB", COMMON, "Relative level of the programme in this octave band."),
    ("rank weight width", 1.0, "", COMMON, "Weight of an octave of usable range when candidates are ranked."),
    ("rank weight price", 0.3, "", COMMON, "Weight of a doubling of price when candidates are ranked."),
    ("rank weight stock", 0.3, "", COMMON, "What being out of stock costs a candidate in rank."),
)  # fmt: skip
"""Name, value, unit, source, help: one row a rule."""

_DOME_CARE = "Never press the dome; a dent is pulled out by the maker only. Keep screwdrivers away: the magnet pulls them through the dome."
_MAGNET = "Strong magnet: keep steel tools, swarf, cards and heart implants away; it can crush fingers."

TECHNOLOGY_ROWS: tuple[Mapping[str, str | float | bool], ...] = (
    {"id": "soft dome", "synonyms": "silk dome; textile dome; fabric dome; cloth dome", "family": "dome", "diaphragm": "soft", "bare_floor_hz": 2000.0, "guided_floor_hz": 1600.0,
     "large_from_m": 28.0, "large_floor_hz": 1500.0, "large_resonance_hz": 700.0, "travel_stated": True, "fragility": "ordinary",
     "handling": _DOME_CARE, "servicing": "The dome with its coil may be replaced as one part where the maker offers it; a non-magnetic screwdriver is needed.",
     "after_service": "Impedance peak (frequency and height) and level at 1, 4 and 10 kHz against the other channel.", "cautions": _MAGNET},
    {"id": "metal dome", "synonyms": "aluminium dome; aluminum dome; titanium dome; magnesium dome; hard dome", "family": "dome", "diaphragm": "hard", "bare_floor_hz": 2000.0, "guided_floor_hz": 1600.0,
     "large_from_m": 28.0, "large_floor_hz": 1500.0, "large_resonance_hz": 700.0, "travel_stated": True, "fragility": "delicate",
     "handling": "A metal dome keeps every dent: leave its screen on. Keep steel tools away from the magnet.", "servicing": "Dome and coil are replaced as one part, by the maker.",
     "after_service": "Impedance peak, level at 1, 4 and 10 kHz, and the frequency of the dome's own resonance.", "cautions": _MAGNET},
    {"id": "beryllium dome", "synonyms": "beryllium", "family": "dome", "diaphragm": "beryllium", "bare_floor_hz": 2000.0, "guided_floor_hz": 1500.0,
     "large_from_m": 28.0, "large_floor_hz": 1500.0, "large_resonance_hz": 700.0, "travel_stated": True, "fragility": "very delicate", "excluded": "vehicle; public",
     "handling": "Never touch, cut, sand or clean the dome, and never take the screen off.", "servicing": "None by the builder: return the whole driver to the maker.",
     "after_service": "Not applicable: the driver is replaced whole.",
     "cautions": "Beryllium is toxic as dust or splinters. If the dome breaks: leave the room, do not sweep or vacuum, bag it wet and hand it to a licensed disposer. " + _MAGNET},
    {"id": "true ribbon", "synonyms": "ribbon; ribbon tweeter", "family": "ribbon", "diaphragm": "film", "bare_floor_hz": 2500.0, "travel_stated": False, "fragility": "very delicate", "excluded": "vehicle; outdoors",
     "handling": "A breath, a vacuum cleaner or a slammed door tears the ribbon: keep the cover on until the last moment, carry and store it upright.",
     "servicing": "The ribbon element may be replaced on the bench with non-magnetic tweezers and clean, dry hands.",
     "after_service": "A new element has its own tension: measure level and response again from the crossover to 20 kHz, and match the other channel.",
     "cautions": "Below its range the ribbon leaves the gap and flutters. No direct current: never test it with a battery. " + _MAGNET},
    {"id": "planar magnetic", "synonyms": "planar; isodynamic; orthodynamic; planar tweeter", "family": "planar", "diaphragm": "film", "bare_floor_hz": 1650.0, "guided_floor_hz": 1300.0, "large_from_m": 250.0, "large_floor_hz": 700.0, "travel_stated": False, "fragility": "delicate",
     "handling": "Keep swarf and iron filings away: the magnets hold them against the film for good.", "servicing": "The film is not replaceable; the driver is exchanged.",
     "after_service": "Resistance at the terminals and level at 2, 5 and 10 kHz against the other channel.", "cautions": _MAGNET},
    {"id": "folded diaphragm", "synonyms": "folded foil; pleated diaphragm; air motion transformer", "family": "folded", "diaphragm": "film", "bare_floor_hz": 2500.0, "guided_floor_hz": 1000.0, "large_from_m": 100.0, "large_floor_hz": 2000.0,
     "travel_stated": False, "fragility": "delicate", "handling": "Never blow into the folds or touch them; keep the front covered while working with wood or steel.",
     "servicing": "The folded diaphragm may be replaced where the maker offers it, with a non-magnetic screwdriver.",
     "after_service": "Level and response again from the crossover up: the folds of a new one sit a little differently.", "cautions": _MAGNET},
    {"id": "compression driver", "synonyms": "horn driver; pressure chamber driver; compression tweeter", "family": "compression", "diaphragm": "hard", "travel_stated": True, "fragility": "ordinary",
     "handling": "Only run it on a horn: without its air load the diaphragm travels too far and breaks.", "servicing": "The diaphragm is replaceable: clean the gap with adhesive tape, centre by sweep tone at low level.",
     "after_service": "Sweep at low level for rubbing, then level at 1, 4 and 10 kHz against the other channel.",
     "cautions": "Loud enough to harm hearing at once at close range: wear protection when measuring. " + _MAGNET},
)  # fmt: skip
"""One row a kind of high driver, in the workbook's own units and words."""
