"""Assessments that stress a page: demo pairings worked out for real, and variants with invented extremes."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from reportgen.assessment import Assessment, Remedy
from reportgen.crossover.circuit import Leg, circuit_of
from reportgen.crossover.networks import Branch, Component, across, in_path
from reportgen.pairing.assembly import PartNote, Wire
from reportgen.pairing.parts_list import PartLine
from reportgen.paper.booklet import render_booklet
from reportgen.paper.printing import Stamp
from reportgen.paper.render import render_sheet
from reportgen.suitability.verdict import Verdict
from tests.demo_catalogue import demo_assessed as assessed
from tests.shared import shared

STAMP = Stamp("3", dt.date(2026, 11, 25), 7, "9f3c1a77b2d4e5f60718293a4b5c6d7e", "0.1.0")

LONG = "A kit with an uncommonly long name that somebody typed without thinking of the narrow column it must live in"
WIDE = "W" * 90
RIGHT_TO_LEFT = "רמקול מדף קטן 5 אינץ׳"
ARABIC = "مكبر صوت للرف"
IDEOGRAPHS = "書架型揚聲器套件・二號"


def plain() -> Assessment:
    """Suitable without conditions."""
    found = assessed("P-01")
    checks = tuple(replace(check, outcome="pass", condition="") for check in found.checks)
    return replace(found, checks=checks, verdict=Verdict("suitable", "Every check passes."))


def suitable(id_: str) -> Assessment:
    """A demo pairing, taken as suitable whatever the practice numbers of the day make of it."""
    return replace(
        assessed(id_), verdict=Verdict("suitable with conditions", "The seat is close.", (), ("Keep the screen on.",))
    )


def with_remedies() -> Assessment:
    """Not suitable, with three ways out."""
    ways = tuple(
        Remedy((f"change number {n} of some length", "and another")[:n], "suitable", (1800.0, 3000.0 + n), 2300.0, 90.0, "worked out by assessing the changed pairing")
        for n in (1, 2, 2)
    )  # fmt: skip
    verdict = Verdict("not suitable", "The cone breaks up at 5200 Hz.", (), ("A condition.", "Another one."))
    return replace(assessed("P-03"), verdict=verdict, remedies=ways, remedies_note="The search took 214 assessments.")


def undecided() -> Assessment:
    """An essential figure is missing."""
    found = assessed("P-21")
    return replace(
        found,
        verdict=Verdict("undecided", "Cone break-up not assessed: Cone break-up of LD-08 (Low drivers!P9) missing."),
    )


def many_parts(count: int = 30) -> Assessment:
    """A network of `count` parts, half in each branch, among them pairs of resistors and of capacitors."""
    found = assessed("P-12")
    assert found.design is not None
    half = count // 2
    stages, lines = [], []
    for n in range(half):
        kind = "CLR"[n % 3]
        pair = {"made_of": (3.3e-6, 1.2e-6), "join": "parallel"} if n % 6 == 3 and kind == "C" else {}
        value = {"C": 4.5e-6, "L": 0.47e-3, "R": 3.3}[kind]
        part = Component(kind, value, role="notch", part_id="STOCK-PART-WITH-A-LONG-NAME", price=3.5, **pair)
        stages.append(in_path(part) if n % 2 else across(part))
        lines.append(part)
    branch = Branch(tuple(stages))

    def listed(side: str, first: int) -> tuple[PartLine, ...]:
        return tuple(
            PartLine(side, f"{p.kind}{first + n}", p.kind, p.role, p.value, 0.2, p.made_of, p.join, p.part_id, p.price, 4.0, 9.0, 1.0, 2.0, 50.0, "V")
            for n, p in enumerate(lines)
        )  # fmt: skip

    design = replace(found.design, low=branch, high=branch)
    verdict = Verdict("suitable", "Every check passes.")
    parts = (*listed("low", 1), *listed("high", 1 + half))
    assert found.network is not None
    circuit = circuit_of((Leg("low", branch), Leg("high", branch)))
    wires = [Wire(line.label, *one.nodes) for line, one in zip(parts, circuit.elements, strict=True)]
    ends = [Wire(f"{name} driver", *points) for name, points in circuit.terminals.items()]
    notes = tuple(PartNote(line.label, "film or bipolar capacitor") for line in parts)
    assert found.network.assembly is not None
    made = replace(found.network.assembly, wiring=(Wire("amplifier", "in", "0"), *wires, *ends), parts=notes)
    network = replace(found.network, design=design, parts=parts, parts_price=3.5 * count, assembly=made)
    return replace(found, network=network, verdict=verdict)


def renamed(kit: str, note: str, found: Assessment | None = None) -> Assessment:
    """The same pairing under other names, everywhere the operator may write."""
    found = found or assessed("P-10")
    case = found.case
    low = replace(case.low, id=f"{note} 1", description=f"{note}, {note}")
    high = replace(case.high, id=f"{note} 2", description=note)
    maker = replace(case.maker, name=note, contact_1=note, footer=f"{kit} · {note}")
    pairing = replace(case.pairing, kit=kit, low_id=low.id, high_id=high.id)
    return replace(
        found,
        verdict=Verdict("suitable with conditions", note, (), (note,) * 6),
        case=replace(case, pairing=pairing, low=low, high=high, maker=maker),
    )


def bare() -> Assessment:
    """As little as there can be: no network, no curves, no frames, no range."""
    found = assessed("P-21")
    limits = tuple(replace(limit, hz=None, spread_hz=None, missing=("a figure",)) for limit in found.limits)
    return replace(
        found, limits=limits, found_range=type(found.found_range)(None, None, None, None), crossover_hz=None, network=None,
        not_designed="the response of the low driver is missing", price=None, cautions=(), layout=replace(found.layout, frames=(), spacing_m=None), remedies=(), assumptions=(),
    )  # fmt: skip


VARIANTS = {
    "plain": plain,
    "conditions": lambda: suitable("P-01"),
    "remedies": with_remedies,
    "undecided": undecided,
    "ribbon": lambda: suitable("P-06"),
    "two lows": lambda: suitable("P-10"),
    "column": lambda: suitable("P-18"),
    "thirty parts": many_parts,
    "long names": lambda: renamed(LONG, LONG),
    "right to left": lambda: renamed(RIGHT_TO_LEFT, ARABIC),
    "ideographs": lambda: renamed(IDEOGRAPHS, IDEOGRAPHS),
    "bare": bare,
}
"""Name of the case -> the assessment."""


@shared
def printed(name: str, paper: str, pages: str) -> bytes:
    """The sheet of a case, printed once for all tests."""
    return render_sheet(VARIANTS[name](), STAMP, None, paper, pages)


def bound() -> list[tuple[Assessment, Stamp]]:
    """The sheets of a small booklet."""
    return [(found, STAMP) for found in (suitable("P-06"), suitable("P-01"), with_remedies())]


@shared
def catalogue() -> tuple[bytes, dict[str, bytes]]:
    """That booklet, and each of its sheets by ID."""
    single: dict[str, bytes] = {}
    (file,) = render_booklet(bound(), "Spring 2027", STAMP, each=single.__setitem__)
    return file, single
