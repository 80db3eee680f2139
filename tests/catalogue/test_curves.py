"""Measured files: sixty forms of them, what is read, what is refused and with which line, and how files are found."""

from __future__ import annotations

import os

import numpy as np
import pytest

from reportgen.catalogue import curves
from reportgen.catalogue.curves import angle_of, at_angles, read_curve
from reportgen.catalogue.reading import read_catalogue
from reportgen.problems import CurveUnreadable
from tests.every import every

HZ = [100, 200, 400, 800, 1000, 2000, 4000, 5000, 8000, 10000, 16000]
DB = [60.5, 70.25, 80, 86, 88, 90, 90.5, 91, 90, 89, 84]
DEGREES = [170, -170, -150, -120, -100, -60, -30, -10, 0, 10, 20]
ROWS = list(zip(HZ, DB, DEGREES, strict=True))


def written(tmp_path, content, name="curve.txt"):
    path = tmp_path / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return name


def lines(form, rows=None):
    return "\n".join(form.format(*row) for row in (rows or ROWS))


PLAIN = lines("{} {} {}")
PARTS = [(hz, 10 ** (db / 20) * np.cos(np.radians(d)), 10 ** (db / 20) * np.sin(np.radians(d))) for hz, db, d in ROWS]
RADIANS = [(hz, db, np.radians(d)) for hz, db, d in ROWS]
PASCAL = [(hz, 20e-6 * x, 20e-6 * y) for hz, x, y in PARTS]

FORMS = {
    "blanks": PLAIN,
    "tabs": lines("{}\t{}\t{}"),
    "comma and blank": lines("{}, {}, {}"),
    "comma": lines("{},{},{}"),
    "semicolon": lines("{};{};{}"),
    "semicolon and blanks": lines("{} ; {} ; {}"),
    "blanks of all kinds": lines("  {}   {}\t {}  "),
    "a comma at the end": lines("{},{},{},"),
    "decimal comma, blanks": PLAIN.replace(".", ","),
    "decimal comma, semicolon": lines("{};{};{}").replace(".", ","),
    "decimal comma, tabs": lines("{}\t{}\t{}").replace(".", ","),
    "exponents": lines("{:e} {:e} {:e}"),
    "exponents with D": lines("{:e} {:e} {:e}").replace("e+", "D+"),
    "comments and headings": "* made by hand\n# second\nFrequency (Hz)  SPL (dB)  Phase\n\n" + PLAIN + "\n\n# end\n",
    "quoted heading, line ends of two signs": '"Freq","dB","deg"\r\n' + lines("{},{},{}").replace("\n", "\r\n"),
    "line ends of one old sign": PLAIN.replace("\n", "\r"),
    "byte order mark": "\ufeffHz;dB;deg\n" + lines("{};{};{}"),
    "a point at 0 Hz": "0 40 180\n" + PLAIN,
    "two bytes a letter": ("Hz\tdB\tdeg\n" + lines("{}\t{}\t{}")).encode("utf-16"),
    "an old code page": ("Prüfling Ä\n" + PLAIN).encode("latin-1"),
    "quoted numbers": lines('"{}","{}","{}"'),
    "quoted numbers with decimal comma": lines('"{}";"{}";"{}"').replace(".", ","),
    "single quotes": lines("'{}' '{}' '{}'"),
    "a heading that starts with a digit": "1/3 octave, smoothed, 2.83 V, 1 m\n" + PLAIN,
    "a heading of digits and commas": "2,83 V, 1,00 m, 0 deg\n" + lines("{}\t{}\t{}"),
    "descending": "\n".join(reversed(PLAIN.splitlines())),
    "identical rows": PLAIN.replace("800 86 -120", "800 86 -120\n800 86 -120"),
    "a further column": lines("{} {} {} 0.98"),
    "two further columns, named": "Hz,dB,deg,coherence,distortion\n" + lines("{},{},{},0.9,1.5"),
    "columns in another order": "Phase (deg);Freq (Hz);SPL (dB)\n" + lines("{2};{0};{1}"),
    "words at the end": PLAIN + "\nEnd of data, smoothed\n",
    "a comment in the middle": PLAIN.replace("800 86", "# loud from here\n800 86"),
    "empty lines in the middle": PLAIN.replace("\n", "\n\n"),
    "kHz in the heading": "kHz dB deg\n" + lines("{} {} {}", [(hz / 1000, db, d) for hz, db, d in ROWS]),
    "radians a second": "rad/s;dB;deg\n" + lines("{:.16g};{};{}", [(2 * np.pi * hz, db, d) for hz, db, d in ROWS]),
    "radians in the heading": "Hz;dB;phase (rad)\n" + lines("{};{};{:.12f}", RADIANS),
    "real and imaginary pressure": "Hz,Re (Pa),Im (Pa)\n" + lines("{},{:.12e},{:.12e}", PASCAL),
    "real and imaginary, of 20 uPa": "freq\treal\timag\n" + lines("{}\t{:.12e}\t{:.12e}", PARTS),
    "pascal": "Hz;pressure (Pa);phase\n" + lines("{};{:.12e};{}", [(hz, 20e-6 * 10 ** (db / 20), d) for hz, db, d in ROWS]),
    "the minus of typographers": PLAIN.replace("-", "\u2212"),
    "degrees in German": "Hz\tdB\tGrad\n" + lines("{}\t{}\t{}"),
    "a degree sign in the heading": "f [Hz]\tlevel [dB]\tphase [°]\n" + lines("{}\t{}\t{}"),
    "blanks that do not break": PLAIN.replace(" ", "\u00a0"),
    "a plus before numbers": lines("+{} {} {}"),
    "trailing points": lines("{}. {} {}"),
    "percent comments": "% x\n" + PLAIN,
    "dashes above": "--------\n" + PLAIN,
    "radians in the heading, dashes below it": "Hz  dB  rad\n--- --- ---\n" + lines("{} {} {:.12f}", RADIANS),
    "radians in the heading, the number of points below it": "Hz;dB;rad\n11\n" + lines("{};{};{:.12f}", RADIANS),
    "radians in the heading, words below it": "# Hz;dB;rad\n# smoothed: not at all\n" + lines("{};{};{:.12f}", RADIANS),
    "a line of units above the names": "kHz;dB;rad\nFrequency;SPL;Phase\n" + lines("{0};{1};{2:.12f}", [(hz / 1000, db, d) for hz, db, d in RADIANS]),
    "a line of units below the names": "Frequency;SPL;Phase\n(kHz);(dB);(rad)\n" + lines("{0};{1};{2:.12f}", [(hz / 1000, db, d) for hz, db, d in RADIANS]),
    "a title of as many words": "smoothed phase measurement\nHz dB deg\n" + PLAIN,
    "quoted decimal commas between commas": '"Hz","dB","deg"\n' + lines('"{}";"{}";"{}"').replace(".", ",").replace('";"', '","'),
    "a title that tells a band": "* sweep from 20 Hz to 20 kHz, gated at 0.3 kHz\n" + PLAIN,
    "a title that tells an impedance and a voltage": "* 8 ohm dome, 2.83 V\n" + PLAIN,
    "a title that tells of the microphone": "* microphone of 50 mV/Pa\n" + PLAIN,
    "a title of three words with a unit": "gated, 1 kHz\n" + PLAIN,
    "a title that names the quantity in three words": "Level of HD-1\n" + PLAIN,
    "a title with a radius": "* dome of a radius of 12 mm, radiation into half space\n" + PLAIN,
    "a level over a pressure": "Hz;dB re 20 uPa;deg\n" + lines("{};{};{}"),
    "an impedance before it, each with its phase": "Hz;Z (ohm);Z phase;SPL (dB);SPL phase\n" + lines("{0};6;{1};{1};{2}"),
    "an excess phase before the phase": "Hz;dB;excess phase;phase\n" + lines("{0};{1};{1};{2}"),
}  # fmt: skip
"""What is read, and comes out as the same eleven points."""


@every("content", FORMS.values(), ids=FORMS)
def test_any_usual_form_is_read(tmp_path, content):
    curve = read_curve(written(tmp_path, content), tmp_path, "response")
    assert curve.frequency_hz == pytest.approx(HZ, rel=1e-12)
    assert curve.magnitude == pytest.approx(DB, abs=1e-9)
    assert curve.phase_rad is not None
    turns = (np.degrees(curve.phase_rad) - DEGREES) / 360.0
    assert turns == pytest.approx(np.round(turns), abs=1e-6)
    assert np.abs(np.diff(curve.phase_rad)).max() < np.pi, "the phase is unwrapped"


def test_two_columns_are_a_magnitude_alone(tmp_path):
    curve = read_curve(written(tmp_path, GOOD), tmp_path, "response")
    assert curve.phase_rad is None and curve.remarks == ()


@every(("third", "words"), [("0", "holds only zeros"), ("90", "holds only one value"), ("0.9{0}", "hardly changes")])
def test_a_column_of_zeros_or_of_coherence_is_no_phase(tmp_path, third, words):
    content = lines("{0} {1} " + third)
    curve = read_curve(written(tmp_path, content), tmp_path, "response")
    assert curve.phase_rad is None
    assert curve.remarks == (f"its phase column {words} and counts as none",)


def test_rows_rounded_to_one_frequency_count_once(tmp_path):
    """Steps of a 96th of an octave in whole hertz: at 20 Hz seven rows have one frequency."""
    hz = [20.0 * 2 ** (n / 96) for n in range(900)]
    content = lines("{:.0f} {:.2f}", [(f, 80.0 + 0.01 * n) for n, f in enumerate(hz)])
    curve = read_curve(written(tmp_path, content), tmp_path, "response")
    rounded = [round(f) for f in hz]
    assert curve.frequency_hz.tolist() == sorted(set(rounded))
    assert curve.remarks == (f"{len(hz) - len(set(rounded))} rows at the frequency of the row before are left out",)


@every(
    ("level", "kept", "told"),
    [
        (90.0, (200.0, 15000.0), "rows of 0 dB below 200 Hz or above 15000 Hz are left out"),
        (39.0, (100.0, 20000.0), ""),
        (0.0, (100.0, 20000.0), ""),
    ],
)
def test_ends_of_zeros_are_not_measured(tmp_path, level, kept, told):
    """Programs fill what lies outside a measurement with zeros; a file re the axis lies around 0 dB and may hold some. A 0 between levels stays."""
    hz = [100, 150, 200, 300, 500, 800, 1200, 2000, 3000, 5000, 8000, 12000, 15000, 18000, 20000]
    rows = [f"{f} {level + f / 1e4 if 200 <= f <= 15000 and f != 2000 else 0.0}" for f in hz]
    (tmp_path / "a.txt").write_text("\n".join(rows))
    curve = read_curve("a.txt", tmp_path, "response")
    assert (curve.frequency_hz[0], curve.frequency_hz[-1]) == kept
    assert " ".join(curve.remarks) == told
    assert np.count_nonzero(curve.magnitude == 0.0) == (1 if told else 5)


def test_further_columns_are_told(tmp_path):
    curve = read_curve(written(tmp_path, FORMS["a further column"]), tmp_path, "response")
    assert curve.remarks == ("1 further column is left out",)


@every(
    ("heading", "form"),
    [
        ("Hz;ohm;deg", "{};{};{}"),
        ("Hz;|Z| (ohm);phase;SPL (dB)", "{0};{1};{2};99"),
        ("Hz;SPL (dB);Z (ohm);phase", "{0};99;{1};{2}"),
        ("Hz;kOhm;deg", "{0};{3};{2}"),
        ("Hz;mOhm;deg", "{0};{4};{2}"),
        ("kHz;Z;deg", "{5};{1};{2}"),
        ("Frequency;Re(Z);Im(Z)", "{0};{6};{7}"),
        ("Frequency;ReZ;ImZ", "{0};{6};{7}"),
        ("Impedance of LD-1", "{};{};{}"),
        ("* a level of 0 dB, over 1 kOhm, 30 mOhm taken out", "{};{};{}"),
        ("Hz;R (ohm);X (ohm)", "{0};{6};{7}"),
        ("Hz;Rs (mOhm);Xs (mOhm);Q", "{0};{8};{9};1.5"),
        ("Hz;Z';Z''", "{0};{6};{7}"),
        ("Frequency;Resistance;Reactance", "{0};{6};{7}"),
        ("Hz;SPL (dB);SPL phase;Z (ohm);Z phase", "{0};99;17;{1};{2}"),
        ("Hz;Z;phase\n1/s;Ohm;deg", "{};{};{}"),
        ("f;Impedance (Ω);Phase (°)", "{};{};{}"),
    ],
)
def test_units_and_columns_of_an_impedance(tmp_path, heading, form):
    ohms = [5.5 + hz / 4000 for hz in HZ]
    table = [
        (
            hz,
            z,
            d,
            z / 1000,
            z * 1000,
            hz / 1000,
            z * np.cos(np.radians(d)),
            z * np.sin(np.radians(d)),
            1000 * z * np.cos(np.radians(d)),
            1000 * z * np.sin(np.radians(d)),
        )
        for hz, z, d in zip(HZ, ohms, DEGREES, strict=True)
    ]
    curve = read_curve(written(tmp_path, heading + "\n" + lines(form, table)), tmp_path, "impedance")
    assert curve.frequency_hz == pytest.approx(HZ)
    assert curve.magnitude == pytest.approx(ohms)
    assert curve.phase_rad is not None and np.cos(curve.phase_rad) == pytest.approx(np.cos(np.radians(DEGREES)))


@every("form", ["{:,};{}", "{:,} {}"])
def test_commas_between_thousands(tmp_path, form):
    """Points part the decimals elsewhere, so commas cannot."""
    content = lines(form, [(hz, db) for hz, db, _ in ROWS])
    assert read_curve(written(tmp_path, content), tmp_path, "response").frequency_hz.tolist() == HZ


def test_points_between_thousands_and_decimal_commas(tmp_path):
    content = lines("{};{}", [(f"{hz:,}.5".replace(",", "G").replace(".", ",").replace("G", "."), db)
                              for hz, db in zip(HZ, DB, strict=True)])  # fmt: skip
    assert read_curve(written(tmp_path, content), tmp_path, "response").frequency_hz.tolist() == [hz + 0.5 for hz in HZ]


GOOD = lines("{} {}", list(zip(HZ, DB, strict=True)))
NO_ROW = "is no row of numbers like those around it."


@every(
    ("content", "quantity", "text"),
    [
        (GOOD.replace("800 86", "300 86"), "response", "c line 4: 300 Hz follows 400 Hz; frequencies must run one way."),
        (GOOD.replace("800 86", "400 86"), "response",
         "c line 4: 400 Hz stands twice, with different values; frequencies must run one way."),
        (GOOD.replace("800 86", "800 860"), "response", "c line 4: 860 dB lies outside -200 to 200."),
        (GOOD.replace("800 86", "800 -1"), "impedance", "c line 4: -1 ohm lies outside 0.001 to 1e+06."),
        (GOOD.replace("16000", "16000000"), "response", "c line 11: 1.6e+07 Hz is no frequency of a loudspeaker."),
        (GOOD.replace("800 86", "800 86 3"), "response", "c line 4: 3 columns where the first row has 2."),
        (PLAIN.replace("800 86 -120", "800 86"), "response", "c line 4: 2 columns where the first row has 3."),
        (GOOD.replace("800 86", "800 n/a"), "response", f"c line 4: “800 n/a” {NO_ROW}"),
        (GOOD.replace("800 86", "800 nan"), "response", f"c line 4: “800 nan” {NO_ROW}"),
        (GOOD.replace("800 86", "800 8_6"), "response", f"c line 4: “800 8_6” {NO_ROW}"),
        (GOOD.replace("800 86", "800 86.1.2"), "response", "c line 4: a number has several decimal signs."),
        (GOOD.replace("800 86", "words\n800 86"), "response", f"c line 4: “words” {NO_ROW}"),
        (GOOD.replace("4000", "4'000").replace("\n8000", "\n8k"), "response", f"c line 7: “4'000 90.5” {NO_ROW}"),
        ("\n".join(GOOD.splitlines()[:-1]) + "\n16k 84", "response", f"c line 11: “16k 84” {NO_ROW}"),
        ("\n".join(f"{hz} Hz" for hz in HZ), "response", "c line 1: “100 Hz” is no row of numbers alone, and no other line is one."),
        ("Hz;R (ohm)\n" + GOOD.replace(" ", ";"), "impedance",
         "c line 1: the heading says the real part alone; give both, or the size."),
        (GOOD + "\n20000 ?", "response", f"c line 12: “20000 ?” {NO_ROW}"),
        (GOOD.replace("800 86", "800 1e999"), "response", "c line 4: inf dB lies outside -200 to 200."),
        (PLAIN.replace("-120", "9e9"), "response", "c line 4: 9e+09 degrees is no phase."),
        ("\n".join(GOOD.splitlines()[:6]), "response", "c line 6: the file ends here with 6 points; at least 10 are needed."),
        ("\n".join(GOOD.splitlines()[:9]) + "\n8000 90", "response",
         "c line 10: the file ends here with 9 points; at least 10 are needed."),
        ("", "response", "c line 0: the file ends here with 0 points; at least 10 are needed."),
        ("level\n" + GOOD.replace(" ", "Hz; ").replace("\n", "dB\n"), "response",
         "c line 2: “100Hz; 60.5dB” is no row of numbers alone, and no other line is one."),
        ("\n<html>no curve</html>", "response", "c line 2: “<html>no curve</html>” is no row of numbers alone, and no other line is one."),
        ("Hz;ohm\n" + GOOD.replace(" ", ";"), "response", "c line 1: the heading says ohm, and response is read in dB."),
        ("Hz dB\n" + GOOD, "impedance", "c line 1: the heading says dB, and impedance is read in ohm."),
        (lines("{} {}", [(hz / 1000, db) for hz, db, _ in ROWS]), "response",
         "c line 11: the file runs from 0.1 to 16 Hz, which looks like kHz; write kHz in its heading, or give Hz."),
        ("Hz,dB\n" + GOOD.replace("\n", ",5\n").replace(" ", ",0,") + ",5", "response",
         "c line 1: 2 headings over 4 columns; where commas part decimals, part the columns by semicolons or tabs."),
        (lines("{},{},{}", [(hz, int(db), f"{n:02d}") for n, (hz, db, _) in enumerate(ROWS)]), "response",
         "c line 1: commas part decimals as well as columns; part the columns by semicolons or tabs."),
        (b"RIFF\0\0\0\0WAVE", "response", "c: not a text file."),
    ],
)  # fmt: skip
def test_what_is_refused_names_file_and_line(tmp_path, content, quantity, text):
    with pytest.raises(CurveUnreadable) as caught:
        read_curve(written(tmp_path, content, "c"), tmp_path, quantity)
    assert str(caught.value) == text


def test_files_are_bounded(tmp_path, monkeypatch):
    monkeypatch.setattr(curves, "MOST_BYTES", 2**20)
    name = written(tmp_path, b"1 2\n" * 2**19)
    with pytest.raises(CurveUnreadable, match=r"^curve.txt: 2 MiB; a measured curve has at most 1\."):
        read_curve(name, tmp_path, "response")


@every("name", ["/etc/hosts", "../out.txt", "sub/../../out.txt", "C:\\out.txt", "~/out.txt", "a\0b", ""])
def test_no_path_leaves_the_folder(tmp_path, name):
    home = tmp_path / "home"
    (home / "sub").mkdir(parents=True)
    written(tmp_path, GOOD, "out.txt")
    with pytest.raises(CurveUnreadable, match="it must be a path inside the workbook's folder"):
        read_curve(name, home, "response")


def test_no_link_leads_out_of_the_folder(tmp_path):
    home = tmp_path / "home"
    home.mkdir()
    written(tmp_path, GOOD, "out.txt")
    (home / "in.txt").symlink_to(tmp_path / "out.txt")
    (home / "folder").symlink_to(tmp_path)
    for name in ("in.txt", "folder/out.txt"):
        with pytest.raises(CurveUnreadable, match="the path leads out of the workbook's folder"):
            read_curve(name, home, "response")


def test_only_ordinary_files(tmp_path):
    (tmp_path / "sub").mkdir()
    os.mkfifo(tmp_path / "pipe")
    for name in ("sub", "pipe"):
        with pytest.raises(CurveUnreadable, match="it must name an ordinary file"):
            read_curve(name, tmp_path, "response")


def test_folders_may_be_parted_by_either_slash_and_a_near_name_is_offered(tmp_path):
    (tmp_path / "Curves").mkdir()
    written(tmp_path, GOOD, "Curves/HD-1.txt")
    assert read_curve("Curves\\HD-1.txt", tmp_path, "response").frequency_hz.size == len(HZ)
    with pytest.raises(CurveUnreadable, match=r"Did you mean “Curves/HD-1\.txt”"):
        read_curve("curves/hd1.TXT", tmp_path, "response")
    with pytest.raises(CurveUnreadable, match=r"Copy the file there, or empty the cell"):  # alike by its ending alone
        read_curve("Curves/no.txt", tmp_path, "response")


@every(
    ("name", "found"),
    [
        ("curves/HD-02 h30.txt", ("curves/HD-02", "h", 30.0)), ("HD-02 v-15.txt", ("HD-02", "v", -15.0)),
        ("HD-02_H+7,5.dat", ("HD-02", "h", 7.5)), ("HD-02 response h30", ("HD-02 response", "h", 30.0)),
        ("HD-02.txt", None), ("with30.txt", None), ("HD-h30x.txt", None), ("h 30 deg.txt", None),
    ],
)  # fmt: skip
def test_the_angle_in_a_files_name(name, found):
    assert angle_of(name) == found


def test_files_at_angles_lie_beside_the_one_on_the_axis(tmp_path):
    for name in (
        "T-1.txt",
        "T-1 h30.txt",
        "t-1 h-30.txt",
        "T-1 v15.dat",
        "T-1 h0.txt",
        "T-10 h30.txt",
        "T-1 impedance.txt",
    ):
        written(tmp_path, GOOD, name)
    found = {"T-1 h30.txt": ("h", 30.0), "t-1 h-30.txt": ("h", -30.0), "T-1 v15.dat": ("v", 15.0)}
    assert at_angles("T-1.txt", tmp_path) == found
    assert at_angles("T-1 h0.txt", tmp_path) == found


def test_curves_reach_the_catalogue_and_a_bad_one_costs_itself_alone(read, season):
    written(season.parent, GOOD, "hd1.txt")
    written(season.parent, GOOD.replace("800 86", "800 -1"), "bad.txt")
    catalogue = read({"High drivers!Response file!2": "hd1.txt", "Low drivers!Impedance file!3": "bad.txt"})
    assert str(catalogue.problems[0]) == (
        'Low drivers!X3 "Impedance file": “bad.txt” stands here; bad.txt line 4: -1 ohm lies outside 0.001 to 1e+06. '
        "Mend the file, or empty the cell."
    )
    assert catalogue.low_drivers["LD-2"].unread == ("impedance_file",)
    assert list(catalogue.curves) == [("HD-1", "response")]
    assert list(catalogue.case(catalogue.pairings["P-1"]).curves) == [("HD-1", "response")]
    assert read_catalogue(season).curves.keys() == catalogue.curves.keys()


# --- in the workbook ----------------------------------------------------------------------------------------------------


def flat(level, low=100, high=20000):
    return lines("{:.1f} {:.2f}", [(hz, level) for hz in np.geomspace(low, high, 40)])


def steep(level, slope_db, middle_hz=400.0):
    """A file that has a level at a frequency, and a slope in dB an octave."""
    return lines(
        "{:.1f} {:.2f}", [(hz, level + slope_db * np.log2(hz / middle_hz)) for hz in np.geomspace(100, 20000, 40)]
    )


def peaked(at_hz):
    """An impedance of 5.6 ohm that peaks at a frequency."""
    hz = [at_hz * 2 ** (n / 12) for n in range(-30, 100)]
    return lines("{:.3f} {:.3f}", [(f, 5.6 + 40 / (1 + (4 * (f / at_hz - at_hz / f)) ** 2)) for f in hz])


def gap(value, below, above):
    """A flat file without the points between two frequencies; even steps of 20 Hz have an octave between the first two."""
    kept = [hz for hz in (20.0 * n for n in range(1, 1001)) if not below < hz < above]
    return lines("{:.1f} " + str(value), [(hz,) for hz in kept])


def said(catalogue, heading):
    return [str(problem) for problem in catalogue.problems if problem.heading.startswith(heading)]


def test_files_at_angles_reach_the_catalogue(read, season):
    for name, level in (("T.txt", 91), ("T h30.txt", 88), ("T v-15.txt", 90), ("T h45.txt", 85)):
        written(season.parent, flat(level), name)
    written(season.parent, "nothing\n", "T h60.txt")
    catalogue = read({"High drivers!Response file!2": "T.txt", "High drivers!Response measured!2": "large baffle"})
    keys = {"response", "response h30", "response h45", "response v-15"}
    assert {quantity for driver, quantity in catalogue.curves if driver == "HD-1"} == keys
    assert "HD-1" in catalogue.high_drivers
    (problem,) = said(catalogue, "Response file")
    assert (
        "T h60.txt line 1: “nothing” is no row of numbers" in problem
        and "at 60 degrees beside it does not count" in problem
    )


@pytest.mark.parametrize(
    ("file", "level", "words"),
    [
        ("T h30.dat", 88, "T h30.dat says the same angle; T h30.txt at 30 degrees beside it does not count. Mend that file, or rename it."),
        ("T h45.txt", -6, "T h45.txt lies -97.0 dB against it from 2000 to 10000 Hz, like levels re the axis; T h45.txt at 45 degrees"),
        ("T v120.txt", 80, "only angles of less than 90 degrees are taken; T v120.txt at 120 degrees beside it does not count."),
    ],
)  # fmt: skip
def test_a_file_at_an_angle_that_cannot_count_is_told(read, season, file, level, words):
    """Of two at one angle the second was lost in silence, and levels re the axis made a driver that is dumb there."""
    for name, db in (("T.txt", 91), ("T h30.txt", 88), (file, level)):
        written(season.parent, flat(db), name)
    catalogue = read({"High drivers!Response file!2": "T.txt", "High drivers!Response measured!2": "large baffle"})
    (problem,) = said(catalogue, "Response file")
    assert words in problem
    assert {quantity for driver, quantity in catalogue.curves if driver == "HD-1"} == {"response", "response h30"}


@pytest.mark.parametrize(("angle", "noted"), [("h-90", True), ("v100", True), ("h89", False)])
def test_a_file_from_behind_is_noted_and_one_from_before_that_cannot_be_read_is_wrong(read, season, angle, noted):
    """A turntable goes all the way round: nothing is to be mended about what it measured at 90 degrees and beyond."""
    written(season.parent, flat(91), "T.txt")
    written(season.parent, "nothing", f"T {angle}.txt")
    catalogue = read({"High drivers!Response file!2": "T.txt", "High drivers!Response measured!2": "large baffle"})
    (problem,) = [one for one in catalogue.problems if f"T {angle}.txt" in str(one)]
    assert problem.notice is noted and ("rename it" in problem.mend) is not noted


def test_the_cell_names_the_file_on_the_axis(read, season):
    written(season.parent, flat(91), "T h30.txt")
    catalogue = read({"High drivers!Response file!2": "T h30.txt"})
    assert "its name says 30 degrees off the axis" in " ".join(said(catalogue, "Response file"))
    assert catalogue.high_drivers["HD-1"].unread == ("response_file",) and not catalogue.curves


def test_where_it_was_measured_is_a_cabinet_or_the_usual_place(read, season):
    written(season.parent, flat(88.5), "L.txt")
    cells = {
        "Low drivers!Response file!2": "L.txt",
        "Low drivers!Response measured!2": "cb-1",
        "Low drivers!Response measured!3": "Large  Baffle",
    }
    catalogue = read(cells)
    assert catalogue.low_drivers["LD-1"].response_measured == "CB-1"
    assert catalogue.low_drivers["LD-2"].response_measured == "large baffle"
    assert list(catalogue.case(catalogue.pairings["P-1"]).measured_in) == ["CB-1"]
    assert catalogue.case(catalogue.pairings["P-2"]).measured_in == {}
    catalogue = read({**cells, "Low drivers!Response measured!2": "CB-9"})
    (problem,) = said(catalogue, "Response measured")
    assert "“CB-9” stands here; it is not “large baffle”, and no cabinet has this ID. Did you mean “CB-1”?" in problem
    assert catalogue.low_drivers["LD-1"].unread == ("response_measured",)
    assert not catalogue.curves, "a level of nobody knows where is no level"


@pytest.mark.parametrize(
    ("sheet", "heading", "content", "refused", "words"),
    [
        ("Low", "Response", flat(88.5), False, ""),
        ("Low", "Response", flat(92.5), False, "its mean from 200 to 800 Hz is 92.5 dB, but the Sensitivity of LD-1 (Low drivers!O2)"),
        ("Low", "Response", steep(78.0, 12.0), False, "It rises by 12 dB there: look for another driver's file; the level of the file counts"),
        ("High", "Response", steep(84.0, -6.0, 5400.0), False, "It falls by 7 dB there: look for another driver's file"),
        ("High", "Response", steep(84.0, -12.0, 5400.0), False, "It falls by 14 dB there: look for another driver's file"),
        ("Low", "Response", steep(84.0, 3.0), False, "Check Measured at, Measuring voltage and Sensitivity"),
        ("Low", "Response", flat(120.0), True, "Look for a wrong file, unit or quantity"),
        ("Low", "Response", flat(0.0), True, "levels around 0 dB"),
        ("Low", "Response", flat(88.5, 5000, 20000), True, "it runs from 5000 to 20000 Hz, and LD-1 works around 200 to 800 Hz"),
        ("High", "Response", flat(91.0), False, ""),
        ("High", "Response", flat(91.0, 20, 900), True, "HD-1 works around 2000 to 10000 Hz"),
        ("High", "Response", gap(91.0, 1400.0, 4000.0), True, "it holds nothing between 1400 and 4000 Hz, and HD-1 works there. Measure it there"),
        ("High", "Response", gap(91.0, 1400.0, 2800.0), False, ""),
        ("High", "Response", gap(91.0, 200.0, 900.0), False, ""),
        ("Low", "Impedance", gap(6.0, 100.0, 900.0), True, "it holds nothing between 100 and 900 Hz, and LD-1 works there"),
        ("High", "Response", lines("{:.1f} 91 0", [(hz,) for hz in np.geomspace(100, 20000, 40)]), False, "its phase column holds only zeros"),
        ("Low", "Impedance", flat(6.0), False, ""),
        ("Low", "Impedance", flat(5600.0), True, "It looks like milliohm"),
        ("Low", "Impedance", flat(88.0), True, "It looks like levels in dB"),
        ("Low", "Impedance", flat(16.0), True, "It looks like decibels over 1 ohm"),  # 20 lg 5.6 = 15.0
        ("Low", "Impedance", flat(12.0), False, "its least value is 12 ohm"),
        ("Low", "Impedance", flat(4.0), False, "its least value is 4 ohm, but Re of LD-1 (Low drivers!D2) is 5.6 ohm"),
        ("Low", "Impedance", flat(9.0), False, "its least value is 9 ohm"),
        ("Low", "Impedance", lines("{:.1f} {:.5f}", [(hz, 5.6 + hz / 4000) for hz in np.geomspace(10, 20000, 90)]), False,
         "Fs of LD-1 (Low drivers!G2) is 42 Hz, but it has no peak near it"),
        ("Low", "Impedance", peaked(70.0), False, "is 42 Hz, but it peaks at 70 Hz, as in a cabinet (if so, write its ID under Impedance measured)."),
        ("Low", "Impedance", peaked(30.0), False, "is 42 Hz, but it peaks at 30 Hz. Check both."),
    ],
)  # fmt: skip
def test_every_file_is_held_against_the_cells(read, season, sheet, heading, content, refused, words):
    written(season.parent, content, "it.txt")
    usual = "large baffle" if heading == "Response" else "free air"
    catalogue = read({f"{sheet} drivers!{heading} file!2": "it.txt", f"{sheet} drivers!{heading} measured!2": usual})
    problems = said(catalogue, f"{heading} file")
    assert any(words in problem for problem in problems) if words else not problems, problems
    driver = catalogue.low_drivers["LD-1"] if sheet == "Low" else catalogue.high_drivers["HD-1"]
    assert driver.unread == ((f"{heading.lower()}_file",) if refused else None)
    assert bool(catalogue.curves) != refused


def test_a_file_counts_where_the_cells_that_tell_of_it_can_be_read(read, season):
    """A level says nothing without its voltage, an impedance needs none; and nothing without its place."""
    written(season.parent, flat(88.5), "L.txt")
    written(season.parent, flat(6.0), "Z.txt")
    files = {
        f"Low drivers!{what} file!{row}": name
        for row in (2, 3)
        for what, name in (("Response", "L.txt"), ("Impedance", "Z.txt"))
    }
    catalogue = read(
        {**files, "Low drivers!Measuring voltage (V)!2": "some", "Low drivers!Impedance measured!3": "CB-9"}
    )
    assert list(catalogue.curves) == [("LD-1", "impedance"), ("LD-2", "response")]


def test_a_file_at_an_angle_that_is_louder_is_doubted(read, season):
    for name, level in (("T.txt", 91), ("T h30.txt", 97), ("T h60.txt", 80)):
        written(season.parent, flat(level), name)
    catalogue = read({"High drivers!Response file!2": "T.txt", "High drivers!Response measured!2": "large baffle"})
    (problem,) = said(catalogue, "Response file")
    assert "T h30.txt lies +6.0 dB against it" in problem
