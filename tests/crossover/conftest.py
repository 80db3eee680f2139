"""Invented drivers for the crossover tests: a cone with a step and a break-up, and a dome, 2.5 m from the seat."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.parts import PartOffer, preferred_values
from reportgen.crossover.sides import Side

F = np.geomspace(20.0, 20_000.0, 160)
LOW_LOAD = DriverLoad(5.8, 0.6e-3, 45.0, 3.5, 0.45)
HIGH_LOAD = DriverLoad(5.4, 0.05e-3, 1100.0, 1.8, 1.2)


def _second_order(f, corner, q, high):
    s = 1j * f / corner
    return (s**2 if high else 1.0) / (1 + s / q + s**2)


def _sides(low_db=88.0, high_db=92.0, offset_m=0.0, f=F):
    """Low and high side; `offset_m` is how much further away the low driver's centre stands."""
    low = 2e-5 * 10 ** (low_db / 20) * _second_order(f, 45.0, 0.7, True) * _second_order(f, 4500.0, 0.7, False)
    high = 2e-5 * 10 ** (high_db / 20) * _second_order(f, 1100.0, 0.9, True)
    away = np.exp(-2j * np.pi * f * 2.5 / 343.0)
    low = low * away * np.exp(-2j * np.pi * f * offset_m / 343.0)
    a, b = LOW_LOAD, HIGH_LOAD
    return (
        Side(f, low, a.impedance(f), a.re_ohm, a.le_h, a.fs_hz, a.qms, a.qes),
        Side(f, high * away, b.impedance(f), b.re_ohm, b.le_h, b.fs_hz, b.qms, b.qes),
    )


def _resistive(ohm=8.0, f=F):
    """A driver that is a plain resistance and radiates evenly."""
    return Side(f, np.full(len(f), 0.5) * np.exp(-2j * np.pi * f * 2.5 / 343.0), np.full(len(f), ohm + 0j))


def _stock(count=4):
    """An invented shelf of E12 parts."""
    capacitors = [
        PartOffer(f"C-{v * 1e6:g}", "C", float(v), 0.05, 0.03, 100.0, "V", 1.5 + v * 2e5, count)
        for v in preferred_values("E12", 1e-6, 47e-6)
    ]
    coils = [
        PartOffer(f"L-{v * 1e3:g}", "L", float(v), 0.03, 0.35 * (v * 1e3) ** 0.55, 5.0, "A", 4 + v * 3e3, count)
        for v in preferred_values("E12", 0.1e-3, 4.7e-3)
    ]
    resistors = [
        PartOffer(f"R-{v:g}", "R", float(v), 0.05, 0.0, 10.0, "W", 0.8, count) for v in preferred_values("E12", 1, 47)
    ]
    return (*capacitors, *coils, *resistors)


@pytest.fixture
def sides():
    """Maker of the low and the high side."""
    return _sides


@pytest.fixture
def resistive():
    """Maker of an evenly radiating resistance."""
    return _resistive


@pytest.fixture
def stock():
    """Maker of a shelf of parts."""
    return _stock
