"""Answers to the enquiries of the demo and the nearest yes of its pairings, each worked out once for all tests, and a small catalogue to answer others from."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from reportgen.advice.enquiries import Answer, answer
from reportgen.advice.remedies import find_remedies
from reportgen.advice.screening import Screening, screen
from reportgen.assessment import Remedy
from reportgen.catalogue.records import Catalogue
from tests.demo_catalogue import demo, demo_assessed
from tests.shared import shared


@shared
def demo_answer(enquiry_id: str) -> Answer:
    """An enquiry of the demo as it is answered."""
    return answer(demo().enquiries[enquiry_id], demo())


@shared
def demo_remedies(pairing_id: str) -> tuple[tuple[Remedy, ...], str]:
    """The nearest yes of a pairing of the demo, and what is said of the search."""
    return find_remedies(demo_assessed(pairing_id), demo())


@cache
def few() -> Catalogue:
    """The demo with three domes and one guide: enough to choose from, and quicker to go through."""
    highs = {key: demo().high_drivers[key] for key in ("HD-01", "HD-04", "HD-06")}
    return replace(demo(), high_drivers=highs, waveguides={"WG-01": demo().waveguides["WG-01"]})


@cache
def one_dome() -> Catalogue:
    """The same with one dome: enough where nobody chooses."""
    return replace(few(), high_drivers={"HD-01": few().high_drivers["HD-01"]}, waveguides={})


@shared
def demo_screened() -> Screening:
    """Every pair of the demo at the use of its first pairing."""
    return screen(demo(), demo().pairings["P-01"], keep=None)
