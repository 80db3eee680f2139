"""Measured response and impedance files: reading them, giving them a phase, joining them to a model.

Knows text of two or three columns and the phase that a magnitude alone implies. Refuses to know what the
curves are used for.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.special import spence

from reportgen.catalogue.files import NotBesideError, find_beside
from reportgen.catalogue.records import MeasuredCurve
from reportgen.problems import CurveUnreadable

Array = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]

MOST_BYTES = 8 * 2**20
FEWEST_POINTS = 10
POINTS_AN_OCTAVE = 48

_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]*)*|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?")
_COMMENT = ("#", "*", "!", "%", "/", "'", '"', "//", "--", "[", "$")
_BOUNDS = {"response": (-200.0, 200.0, "dB"), "impedance": (1e-3, 1e6, "ohm")}


def read_curve(path: str, root: Path, quantity: str) -> MeasuredCurve:
    """Read the measured file `path`, which lies in the folder `root`, as `quantity` "response" or "impedance".

    Text of two or three columns: Hz ascending; dB or ohm; degrees, unwrapped here. Any separator, decimal
    comma, comment lines and headings; a first point at 0 Hz is left out. Without phase the minimum phase is
    derived, an impedance being taken as flat below its band and as a coil above it. CurveUnreadable names the file and the line.
    """
    lines = _text(path, root).splitlines()
    rows = [(number, _numbers(path, number, tokens)) for number, tokens in _data_lines(path, lines)]
    if rows and rows[0][1][0] == 0.0:
        rows = rows[1:]
    if len(rows) < FEWEST_POINTS:
        raise CurveUnreadable(f"{path}: {len(rows)} points; at least {FEWEST_POINTS} are needed.")
    for number, row in rows:
        _refuse_absurd(path, number, row, len(rows[0][1]), quantity)
    for (_, before), (number, row) in pairwise(rows):
        if row[0] <= before[0]:
            what = "stands twice" if row[0] == before[0] else f"follows {before[0]:g} Hz"
            raise CurveUnreadable(f"{path} line {number}: {row[0]:g} Hz {what}; frequencies must ascend.")
    table = np.array([row for _, row in rows])
    frequency_hz, magnitude = table[:, 0], table[:, 1]
    if table.shape[1] == 3:
        return MeasuredCurve(frequency_hz, magnitude, np.unwrap(np.radians(table[:, 2])), False, path)
    if quantity == "response":
        phase = minimum_phase(frequency_hz, magnitude * (np.log(10.0) / 20.0))
    else:
        longer_hz, longer = _with_coil(frequency_hz, magnitude)
        phase = minimum_phase(longer_hz, np.log(longer), (0.0, 0.0), (0.0, 1.0))[: frequency_hz.size]
    return MeasuredCurve(frequency_hz, magnitude, phase, True, path)


def _with_coil(frequency_hz: Array, magnitude: Array) -> tuple[Array, Array]:
    """An impedance continued for five octaves as resistance and coil in series: |Z|^2 = a + b f^2 from its last half octave."""
    top, before = frequency_hz[-1], frequency_hz[-1] / np.sqrt(2.0)
    rise = magnitude[-1] ** 2 - np.interp(before, frequency_hz, magnitude) ** 2
    further = top * 2.0 ** (np.arange(1, 61) / 12.0)
    longer = np.sqrt(magnitude[-1] ** 2 + max(0.0, rise / (top**2 - before**2)) * (further**2 - top**2))
    return np.concatenate([frequency_hz, further]), np.concatenate([magnitude, longer])


def _text(path: str, root: Path) -> str:
    try:
        file = find_beside(root, path)
        size = file.stat().st_size
        if size > MOST_BYTES:
            raise CurveUnreadable(f"{path}: {size // 2**20} MiB; a measured curve has at most {MOST_BYTES // 2**20}.")
        content = file.read_bytes()
    except NotBesideError as error:
        raise CurveUnreadable(f"{path}: {error}") from None
    except OSError as error:
        raise CurveUnreadable(f"{path}: the file cannot be read ({error.strerror}).") from None
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return content.decode("utf-16", errors="replace")
    if b"\0" in content:
        raise CurveUnreadable(f"{path}: not a text file.")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("latin-1")


def _data_lines(path: str, lines: list[str]) -> Iterator[tuple[int, list[str]]]:
    """Line number and tokens of every line of data; CurveUnreadable for words among the data."""
    split = _separator([line for line in lines if line[:1].isdigit() or line.lstrip()[:1] in "+-.0123456789"])
    started = False
    for number, line in enumerate(lines, 1):
        text = line.strip().strip(";,")
        if not text or text.startswith(_COMMENT) or line.lstrip().startswith(";"):
            continue
        tokens = [token for token in (part.strip() for part in re.split(split, text)) if token]
        if all(_NUMBER.fullmatch(token) for token in tokens) and len(tokens) > 1:
            started = True
            yield number, tokens
        elif started:
            raise CurveUnreadable(f"{path} line {number}: “{text[:40]}” is not a row of two or three numbers.")


def _separator(lines: list[str]) -> str:
    """What parts the columns of the whole file: semicolon, comma where it must be, else blanks and tabs."""
    if any(";" in line for line in lines):
        return ";"
    loose = [line.split() for line in lines]
    commas = any("," in line for line in lines)
    if commas and any(len(parts) == 1 or any(part.endswith(",") for part in parts[:-1]) for parts in loose):
        return r"\s*,\s*"
    return r"\s+"


def _numbers(path: str, number: int, tokens: list[str]) -> tuple[float, ...]:
    if len(tokens) > 3:
        raise CurveUnreadable(
            f"{path} line {number}: {len(tokens)} columns; two or three are read (Hz, value, degrees)."
        )
    try:
        return tuple(_float(token) for token in tokens)
    except ValueError:
        raise CurveUnreadable(f"{path} line {number}: “{' '.join(tokens)[:40]}” holds no plain numbers.") from None


def _float(token: str) -> float:
    """A number with decimal point or comma; of two different signs the last is the decimal one."""
    comma, point = token.rfind(","), token.rfind(".")
    if comma >= 0 and point >= 0:
        group, decimal = (",", ".") if point > comma else (".", ",")
        token = token.replace(group, "").replace(decimal, ".")
    return float(token.replace(",", "."))


def _refuse_absurd(path: str, number: int, row: tuple[float, ...], width: int, quantity: str) -> None:
    low, high, unit = _BOUNDS[quantity]
    problem = ""
    if len(row) != width:
        problem = f"{len(row)} columns where the first row has {width}"
    elif not 1e-2 <= row[0] <= 1e6:
        problem = f"{row[0]:g} Hz is no frequency of a loudspeaker"
    elif not low <= row[1] <= high:
        problem = f"{row[1]:g} {unit} lies outside {low:g} to {high:g}"
    elif width == 3 and not abs(row[2]) <= 1e6:
        problem = f"{row[2]:g} degrees is no phase"
    if problem:
        raise CurveUnreadable(f"{path} line {number}: {problem}.")


def minimum_phase(
    frequency_hz: Array,
    log_magnitude: Array,
    low_slopes: tuple[float, float] = (-8.0, 8.0),
    high_slopes: tuple[float, float] = (-8.0, 8.0),
) -> Array:
    """The phase in rad (n,) that belongs to a magnitude alone, by Hilbert transform over log frequency.

    frequency_hz (n,) ascending, log_magnitude (n,) natural logarithm (nepers). The transform in Bode's form,
    phi(u) = (1/pi) integral of dA/dv ln coth(|v - u|/2) dv with u, v = ln f, exact for a magnitude that is
    straight between points a 48th of an octave apart. Beyond the ends the magnitude goes on with the mean
    slope of the last third of an octave, held within the given bounds (in orders: 1 is 6 dB an octave).
    Source: Bode 1945, Network Analysis and Feedback Amplifier Design, chapter 14.
    """
    u = np.log(frequency_hz)
    count = max(16, int(np.ceil((u[-1] - u[0]) / np.log(2.0) * POINTS_AN_OCTAVE)) + 1)
    grid = np.linspace(u[0], u[-1], count)
    level = np.interp(grid, u, log_magnitude)
    step = grid[1] - grid[0]
    ends = max(1, round(np.log(2.0) / 3.0 / step))
    low = np.clip((level[ends] - level[0]) / (ends * step), *low_slopes)
    high = np.clip((level[-1] - level[-1 - ends]) / (ends * step), *high_slopes)
    slopes = np.concatenate([[low], np.diff(level) / step, [high]])
    edges = _kernel_integral(step * np.arange(-count + 1, count))
    phase = np.empty(count)
    for place in range(count):
        inside = edges[count - 1 - place : 2 * count - 1 - place]
        weights = np.diff(np.concatenate([[-(np.pi**2) / 4.0], inside, [np.pi**2 / 4.0]]))
        phase[place] = weights @ slopes / np.pi
    return np.interp(u, grid, phase)


def _kernel_integral(v: Array) -> Array:
    """Integral of ln coth(|t|/2) from 0 to v: +-pi^2/4 at +-infinity; the dilogarithm gives it in closed form."""
    x = np.exp(-np.abs(v))
    return np.asarray(np.sign(v) * (np.pi**2 / 4.0 - (spence(1.0 - x) - spence(1.0 + x))))


def complex_values(curve: MeasuredCurve, quantity: str) -> ComplexArray:
    """The curve as (n,) complex: ohm for an impedance, 10^(dB/20) for a response."""
    size = curve.magnitude if quantity == "impedance" else 10.0 ** (curve.magnitude / 20.0)
    return np.asarray(size * np.exp(1j * curve.phase_rad), dtype=np.complex128)


def join(model_frequency_hz: Array, model_values: ComplexArray, curve: MeasuredCurve, quantity: str) -> ComplexArray:
    """Model and measurement as one (n,) complex curve: measured wherever the measurement reaches.

    model_frequency_hz (n,) ascending, model_values (n,) complex: ohm for "impedance"; for "response" a ratio
    whose 20 lg is the level of the file. Inside the measured band log magnitude and phase are interpolated over
    log frequency. Outside, the model continues, multiplied by measured over model at the edge, so that neither
    level nor phase steps; for an impedance that factor fades to 1 within an octave, because the resistance and
    inductance of the data sheet are known there. Common practice, no source.
    """
    u = np.log(model_frequency_hz)
    measured_u = np.log(curve.frequency_hz)
    log_model = np.log(np.abs(model_values)) + 1j * np.unwrap(np.angle(model_values))
    log_measured = np.log(np.abs(complex_values(curve, quantity))) + 1j * curve.phase_rad
    joined = np.exp(_interpolate(u, measured_u, log_measured))
    for outside, edge in ((u < measured_u[0], 0), (u > measured_u[-1], -1)):
        ratio = log_measured[edge] - _interpolate(measured_u[[edge]], u, log_model)[0]
        ratio = ratio.real + 1j * ((ratio.imag + np.pi) % (2.0 * np.pi) - np.pi)
        octaves = np.abs(u[outside] - measured_u[edge]) / np.log(2.0)
        share = np.ones_like(octaves)
        if quantity == "impedance":
            share = 0.5 + 0.5 * np.cos(np.pi * np.minimum(octaves, 1.0))
        joined[outside] = model_values[outside] * np.exp(ratio * share)
    return np.asarray(joined, dtype=np.complex128)


def _interpolate(at: Array, known: Array, values: ComplexArray) -> ComplexArray:
    return np.asarray(np.interp(at, known, values.real) + 1j * np.interp(at, known, values.imag), dtype=np.complex128)
