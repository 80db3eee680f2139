"""Measured curves: what is read, what is refused, the phase a magnitude implies, and the joint with a model."""

from __future__ import annotations

import math
import os

import numpy as np
import pytest
from scipy import integrate, signal

from reportgen.catalogue import curves
from reportgen.catalogue.curves import complex_values, join, minimum_phase, read_curve
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import MeasuredCurve
from reportgen.problems import CurveUnreadable

HZ = [100, 200, 400, 800, 1000, 2000, 4000, 5000, 8000, 10000, 16000]
DB = [60.5, 70.25, 80, 86, 88, 90, 90.5, 91, 90, 89, 84]
DEGREES = [170, -170, -150, -120, -100, -60, -30, -10, 0, 10, 20]


def written(tmp_path, content, name="curve.txt"):
    path = tmp_path / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return name


def lines(form, rows=None):
    return "\n".join(form.format(*row) for row in (rows or zip(HZ, DB, DEGREES, strict=True)))


@pytest.mark.parametrize(
    "content",
    [
        lines("{} {} {}"),
        lines("{}\t{}\t{}"),
        lines("{}, {}, {}"),
        lines("{},{},{}"),
        lines("{};{};{}"),
        lines("  {}   {}\t {}  "),
        lines("{},{},{},"),
        lines("{} {} {}").replace(".", ","),
        lines("{};{};{}").replace(".", ","),
        lines("{}\t{}\t{}").replace(".", ","),
        lines("{:e} {:e} {:e}"),
        "* made by hand\n# second\nFrequency (Hz)  SPL (dB)  Phase\n\n" + lines("{} {} {}") + "\n\n# end\n",
        '"Freq","dB","deg"\r\n' + lines("{},{},{}").replace("\n", "\r\n"),
        "\ufeffHz;dB;deg\n" + lines("{};{};{}"),
        "0 40 180\n" + lines("{} {} {}"),
        ("Hz\tdB\tdeg\n" + lines("{}\t{}\t{}")).encode("utf-16"),
        ("Prüfling Ä\n" + lines("{} {} {}")).encode("latin-1"),
    ],
)
def test_any_usual_form_is_read(tmp_path, content):
    curve = read_curve(written(tmp_path, content), tmp_path, "response")
    assert curve.frequency_hz.tolist() == HZ
    assert curve.magnitude.tolist() == DB
    assert np.degrees(curve.phase_rad[:3]) == pytest.approx([170, 190, 210]), "the phase is unwrapped"
    assert not curve.phase_derived


def test_thousands_and_decimals(tmp_path):
    content = lines("{};{}", [(f"{hz:,}.5".replace(",", "G").replace(".", ",").replace("G", "."), db)
                              for hz, db in zip(HZ, DB, strict=True)])  # fmt: skip
    assert read_curve(written(tmp_path, content), tmp_path, "response").frequency_hz.tolist() == [hz + 0.5 for hz in HZ]


GOOD = lines("{} {}", list(zip(HZ, DB, strict=True)))


@pytest.mark.parametrize(
    ("content", "quantity", "text"),
    [
        (GOOD.replace("800 86", "300 86"), "response", "c line 4: 300 Hz follows 400 Hz; frequencies must ascend."),
        (GOOD.replace("800 86", "400 86"), "response", "c line 4: 400 Hz stands twice; frequencies must ascend."),
        (GOOD.replace("800 86", "800 860"), "response", "c line 4: 860 dB lies outside -200 to 200."),
        (GOOD.replace("800 86", "800 -1"), "impedance", "c line 4: -1 ohm lies outside 0.001 to 1e+06."),
        (GOOD.replace("16000", "16000000"), "response", "c line 11: 1.6e+07 Hz is no frequency of a loudspeaker."),
        (GOOD.replace("800 86", "800 86 3"), "response", "c line 4: 3 columns where the first row has 2."),
        (GOOD.replace("800 86", "800 86 3 4"), "response",
         "c line 4: 4 columns; two or three are read (Hz, value, degrees)."),
        (GOOD.replace("800 86", "800 n/a"), "response", "c line 4: “800 n/a” is not a row of two or three numbers."),
        (GOOD.replace("800 86", "800 nan"), "response", "c line 4: “800 nan” is not a row of two or three numbers."),
        (GOOD.replace("800 86", "800 8_6"), "response", "c line 4: “800 8_6” is not a row of two or three numbers."),
        (GOOD.replace("800 86", "800 1e999"), "response", "c line 4: inf dB lies outside -200 to 200."),
        ("\n".join(GOOD.splitlines()[:6]), "response", "c: 6 points; at least 10 are needed."),
        ("", "response", "c: 0 points; at least 10 are needed."),
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


@pytest.mark.parametrize(
    "name", ["/etc/hosts", "../out.txt", "sub/../../out.txt", "C:\\out.txt", "~/out.txt", "a\0b", ""]
)
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
        read_curve("Curves/hd1.TXT", tmp_path, "response")


def second_order(kind, f0, q):
    w0 = 2 * np.pi * f0
    top = {"high": [1, 0, 0], "low": [w0**2], "notch": [1, w0 / q / 4, w0**2]}[kind]
    return top, [1, w0 / q, w0**2]


@pytest.mark.parametrize(
    ("kind", "f0", "q", "within_degrees"),
    [
        ("high", 800, 0.7, 0.1),
        ("high", 800, 2.0, 0.2),
        ("low", 3000, 0.7, 0.1),
        ("low", 3000, 1.5, 1.5),  # the band ends where its slope is still settling
        ("notch", 1000, 1.0, 0.6),
    ],
)
def test_minimum_phase_of_second_order_filters(kind, f0, q, within_degrees):
    """Analytic filters evaluated by scipy.signal.freqs: minimum-phase systems, whose phase the magnitude fixes."""
    frequency_hz = np.geomspace(20, 20000, 300)
    _, h = signal.freqs(*second_order(kind, f0, q), worN=2 * np.pi * frequency_hz)
    phase = minimum_phase(frequency_hz, np.log(np.abs(h)))
    assert np.abs(np.degrees(np.angle(np.exp(1j * phase) / h * np.abs(h)))).max() < within_degrees


def test_minimum_phase_of_a_constant_slope():
    """Bode: n orders over all frequencies make n times 90 degrees."""
    frequency_hz = np.geomspace(30, 3000, 50)
    for order in (-4, -1, 0, 2):
        phase = minimum_phase(frequency_hz, order * np.log(frequency_hz))
        assert phase == pytest.approx(np.full(50, order * math.pi / 2), abs=1e-9)


def test_the_kernel_integral_against_quadrature():
    """ln coth(t/2) integrated by scipy.integrate.quad."""
    for v in (0.01, 0.3, 2.0, 8.0):
        numeric, _ = integrate.quad(lambda t: np.log(1 / np.tanh(t / 2)), 0, v)
        assert curves._kernel_integral(np.array([v, -v])) == pytest.approx([numeric, -numeric], rel=1e-7)


def impedance(frequency_hz):
    """A coil with a resonance: Re 5.6 ohm, 0.2 mH, peak of 30 ohm at 60 Hz (closed form of a driver's impedance)."""
    s = 2j * np.pi * frequency_hz
    x = frequency_hz / 60
    return 5.6 + s * 0.2e-3 + 24.4 / (1 + 1j * 4 * (x - 1 / x))


def test_minimum_phase_of_an_impedance(tmp_path):
    frequency_hz = np.geomspace(10, 40000, 400)
    z = impedance(frequency_hz)
    content = "\n".join(f"{f:.6g} {abs(value):.6g}" for f, value in zip(frequency_hz, z, strict=True))
    curve = read_curve(written(tmp_path, content, "z.txt"), tmp_path, "impedance")
    assert curve.phase_derived
    assert np.degrees(np.abs(curve.phase_rad - np.angle(z)))[20:].max() < 1.0, "to the top, where the coil rises"


def measured(frequency_hz, values, quantity):
    magnitude = np.abs(values) if quantity == "impedance" else 20 * np.log10(np.abs(values))
    return MeasuredCurve(frequency_hz, magnitude, np.unwrap(np.angle(values)), False, "m.txt")


MODEL_HZ = np.geomspace(20, 20000, 481)


def test_a_measurement_of_the_model_changes_nothing():
    model = impedance(MODEL_HZ)
    within = (MODEL_HZ > 100) & (MODEL_HZ < 5000)
    joined = join(MODEL_HZ, model, measured(MODEL_HZ[within], model[within], "impedance"), "impedance")
    assert joined == pytest.approx(model, rel=1e-9)


@pytest.mark.parametrize("quantity", ["impedance", "response"])
def test_measured_inside_model_outside_and_no_step_between(quantity):
    model = impedance(MODEL_HZ)
    within = np.flatnonzero((MODEL_HZ > 100) & (MODEL_HZ < 5000))
    truth = model * 1.3 * np.exp(1j * (0.2 + MODEL_HZ / 20000))
    joined = join(MODEL_HZ, model, measured(MODEL_HZ[within], truth[within], quantity), quantity)
    assert joined[within] == pytest.approx(truth[within], rel=1e-9)
    steps = np.abs(np.diff(np.log(joined)))
    for edge in (within[0] - 1, within[-1]):
        assert steps[edge] < 1.5 * max(np.abs(np.diff(np.log(model)))[edge], 0.02)
    ratio = joined / model
    if quantity == "impedance":
        assert np.abs(ratio[(MODEL_HZ < 45) | (MODEL_HZ > 10500)] - 1).max() < 1e-12, "the data sheet rules again"
    else:
        assert np.abs(ratio[: within[0]]) == pytest.approx(np.full(within[0], 1.3), rel=1e-3)


def test_a_response_keeps_its_level_in_the_file_s_own_unit():
    curve = measured(np.array(HZ, float), 10 ** (np.array(DB) / 20) * np.exp(1j * np.radians(DEGREES)), "response")
    assert 20 * np.log10(np.abs(complex_values(curve, "response"))) == pytest.approx(DB)


def test_curves_reach_the_catalogue_and_bad_ones_take_their_driver_out(read, season):
    written(season.parent, GOOD, "hd1.txt")
    written(season.parent, GOOD.replace("800 86", "800 -1"), "bad.txt")
    catalogue = read({"High drivers!Response file!2": "hd1.txt", "Low drivers!Impedance file!3": "bad.txt"})
    assert str(catalogue.problems[0]) == (
        'Low drivers!X3 "Impedance file": “bad.txt” stands here; bad.txt line 4: -1 ohm lies outside 0.001 to 1e+06. '
        "Mend the file, or empty the cell."
    )
    assert list(catalogue.low_drivers) == ["LD-1"]
    assert list(catalogue.curves) == [("HD-1", "response")]
    assert list(catalogue.case(catalogue.pairings["P-1"]).curves) == [("HD-1", "response")]
    assert read_catalogue(season).curves.keys() == catalogue.curves.keys()
