"""Figures of parts and networks that a builder would feel, each worked out by hand beside its test."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from reportgen.acoustics.slopes import SLOPES
from reportgen.crossover import reasons
from reportgen.crossover.bundle import Losses
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.networks import Branch, Component, in_path
from reportgen.crossover.parts import PartOffer, offered_at, stock_candidates, stock_limits
from reportgen.crossover.selection import pieces_of, price_of, shop_of
from reportgen.crossover.sides import DesignOptions, Side, figures_of
from reportgen.crossover.stress import Margins, Programme, branch_stress
from reportgen.crossover.synthesis import _candidates
from reportgen.crossover.voicing import PLAIN, Voicing

F = np.geomspace(20.0, 20_000.0, 241)
PINK = Programme(np.asarray(31.5 * 2.0 ** np.arange(10.0), dtype=np.float64), np.zeros(10))

# --- ratings ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("amperes", "sold"),
    [(0.7, 1.0), (1.1, 1.5), (1.5, 2.0), (2.3, 3.0), (3.1, 4.0), (3.9, 5.0), (5.5, 7.0), (7.9, 10.0), (11.9, 15.0), (15.9, 20.0), (23.9, 30.0), (24.1, None)],
)  # fmt: skip # a quarter more than the rms current; 1, 1.5, 2, 3, 4, 5, 7, 10, 15, 20 and 30 A are sold (common practice, no source)
def test_a_coil_is_bought_for_a_quarter_more_than_its_current(amperes: float, sold: float | None) -> None:
    branch = Branch((in_path(Component("L", 1e-9)),))
    (part,) = branch_stress(branch, np.full(F.size, 4.0), F, PINK, 4.0 * amperes)
    assert part.current_rms == pytest.approx(amperes, rel=1e-3)
    assert (part.rating_to_buy, part.unit) == (sold, "A")


def test_usual_margins_and_a_rating_that_is_just_enough() -> None:
    """1.25 for volts and amperes, 2 for watts; what states just what is needed is not too weak."""
    assert (Margins().voltage, Margins().current, Margins().power) == (1.25, 1.25, 2.0)
    branch = Branch((in_path(Component("R", 4.0, rating=50.0, rating_unit="W")),))
    (part,) = branch_stress(branch, np.full(F.size, 4.0), F, PINK, 20.0, Margins(power=1.9999))
    assert part.needed == pytest.approx(49.9975) and part.underrated is False


# --- the shelf --------------------------------------------------------------------------------------------------------


def offer(name: str, value: float, price: float | None = None, stock: int | None = None, kind: Any = "C") -> PartOffer:
    return PartOffer(name, kind, value, price=price, stock=stock)


def test_of_offers_of_one_value_the_cheapest_is_taken() -> None:
    """Values within a thousandth are the same; one without a price is the last choice."""
    place = Component("C", 1e-5, role="series capacitor")
    offers = [offer("none", 1e-5), offer("dear", 1e-5, 4.0), offer("cheap", 1.0009e-5, 2.5), offer("other", 1.002e-5, 0.1), offer("coil", 1e-5, 0.1, kind="L")]  # fmt: skip
    found = offered_at(offers, place)
    assert found is not None and (found.part_id, found.price, found.role) == ("cheap", 2.5, "series capacitor")
    unpriced = offered_at(offers[:1], place)
    assert unpriced is not None and unpriced.part_id == "none" and offered_at(offers[3:], place) is None


def test_how_far_a_shelf_reaches() -> None:
    """Two of the smallest capacitor in series make half of it, two of the largest side by side twice; coils stand alone."""
    capacitors = [offer("a", 2.2e-6), offer("b", 1e-5, stock=1), offer("gone", 4.7e-5, stock=0)]
    assert stock_limits(capacitors, "C") == pytest.approx((1.1e-6, 2e-5))
    assert stock_limits([offer("a", 5e-4, kind="L"), offer("b", 2e-3, kind="L")], "L") == (5e-4, 2e-3)
    assert stock_limits(capacitors, "R") is None


def test_two_of_a_kind_take_two_from_the_shelf() -> None:
    """Two of 10 uF side by side make 20 uF where two are there; one that nobody counted counts as enough."""
    place = Component("C", 2e-5)
    for count, paired in ((1, False), (2, True), (None, True)):
        found = stock_candidates([offer("a", 1e-5, stock=count)], place)
        assert any(one.made_of_ids == ("a", "a") for one in found) is paired


def test_what_a_network_costs_and_how_many_pieces_it_has() -> None:
    parts = [
        Component("C", 1e-5, price=2.5),
        Component("L", 1e-3, price=4.0),
        Component("C", 2e-5, price=5.0, made_of=(1e-5, 1e-5)),
    ]
    assert (price_of(parts), pieces_of(parts)) == (11.5, 4)
    assert price_of([*parts, Component("R", 4.0)]) is None and price_of([]) is None


def test_only_a_shelf_that_must_do_is_counted() -> None:
    shelf = (offer("a", 1e-5, 3.0, 2), offer("b", 2e-5, 5.0, None))
    assert shop_of(DesignOptions(policy="stock", stock=shelf)).stock == {"a": 2}
    for policy in ("any", "preferred"):
        assert shop_of(DesignOptions(policy=policy, stock=shelf)).stock == {}
    assert shop_of(DesignOptions(stock=shelf)).usual == {"C": 4.0, "L": 0.0, "R": 0.0}


def values(component: Component, options: DesignOptions, limits: tuple[float, float] = (1e-7, 1e-3)) -> list[float]:
    found = _candidates(component, limits, options, Losses(0.35, 0.55, 0.02), False)
    return [float(f"{one.value:.4g}") for one in found]


def test_what_may_stand_in_a_place() -> None:
    """10.37 uF: any value is that to three digits, then the nearest of E12 (10, 12, 8.2); a resistor has E24 (IEC 60063)."""
    assert values(Component("C", 1.037e-5), DesignOptions(policy="any")) == [1.04e-5, 1e-5, 1.2e-5, 8.2e-6]
    assert values(Component("C", 1.037e-5), DesignOptions(policy="preferred")) == [
        1e-5,
        1.2e-5,
        8.2e-6,
        1.5e-5,
        6.8e-6,
        1.8e-5,
    ]
    ohms = values(Component("R", 4.4), DesignOptions(policy="preferred"), (0.1, 100.0))
    assert ohms[:4] == [4.3, 4.7, 3.9, 5.1]


def test_the_losses_of_what_is_bought_by_value() -> None:
    """A coil has 0.35 ohm at 1 mH and grows with the power 0.55: 0.35 x 0.47^0.55 = 0.231 ohm; a capacitor 0.02, a resistor none."""
    preferred, losses = DesignOptions(policy="preferred"), Losses(0.35, 0.55, 0.02)
    for component, ohm in ((Component("L", 0.47e-3), 0.231), (Component("C", 1e-5), 0.02), (Component("R", 4.7), 0.0)):
        first = _candidates(component, (1e-9, 1e3), preferred, losses, False)[0]
        assert first.resistance_ohm == pytest.approx(ohm, abs=5e-4)


def test_a_place_known_to_need_more_takes_only_what_bears_it() -> None:
    shelf = (
        PartOffer("weak", "C", 1e-5, rating=50.0),
        PartOffer("strong", "C", 1.2e-5, rating=100.0),
        PartOffer("unknown", "C", 1.5e-5),
    )
    needs = (("series capacitor", "C", 60.0), ("series capacitor", "C", 80.0), ("series capacitor", "L", 200.0))
    options = DesignOptions(policy="stock", stock=shelf, needs=needs)
    place = Component("C", 1e-5, role="series capacitor")
    assert options.needed(place) == 80.0 and options.needed(Component("C", 1e-5, role="notch")) == 0.0
    found = _candidates(place, (1e-7, 1e-3), options, Losses(0.35, 0.55, 0.02), False)
    assert {one.part_id for one in found if not one.made_of} == {"strong", "unknown"}
    free = _candidates(place, (1e-7, 1e-3), DesignOptions(policy="stock", stock=shelf), Losses(0.35, 0.55, 0.02), False)
    assert [one.part_id for one in free] == ["weak", "strong", "unknown"]


# --- the whole --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("from_hz", "to_hz", "bass", "treble"),
    [(320.0, 950.0, 0.0, 0.0), (100.0, 301.0, 1.0, 0.0), (1000.0, 8000.0, 0.0, 1.0), (8300.0, 20_000.0, 0.0, 0.0)],
)
def test_the_bands_of_the_balance(from_hz: float, to_hz: float, bass: float, treble: float) -> None:
    """Bass from the start of the voiced band, here 100 Hz, to 300 Hz; treble from 1 to 8 kHz (common practice, no source)."""
    error = np.where((F >= from_hz * 0.999) & (F <= to_hz * 1.001), 1.0, 0.0)
    assert PLAIN.balance_db(F, error) == pytest.approx([bass, treble], abs=0.01)
    late = Voicing(400.0, 16e3).balance_db(F, np.where((F >= 390.0) & (F <= 605.0), 1.0, 0.0))
    assert late == pytest.approx([1.0, 0.0])  # a band that starts at 400 Hz has its bass up to 600 Hz


@pytest.mark.parametrize(("peak", "asks"), [(1.15, False), (1.5, True)])
def test_an_impedance_that_varies_by_less_than_a_fifth_asks_for_nothing(peak: float, asks: bool) -> None:
    impedance = DriverLoad(8.0, 0.0, 1000.0, 2.0, 2.0 / (peak - 1.0)).impedance(F)
    side = Side(F, np.ones(F.size, dtype=np.complex128), impedance)
    assert float(np.max(np.abs(impedance))) == pytest.approx(8.0 * peak, rel=0.01)
    assert (figures_of(side) is not None) is asks


# --- reasons ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("slope", "sign", "words"),
    [
        ("LR4", 1, "The high driver is not reversed, as LR4 asks."),
        ("LR2", -1, "The high driver is reversed, as LR2 asks."),
        ("LR4", -1, "The high driver is reversed, unlike the usual for LR4: the drivers' own phase turns the sum."),
        ("LR2", 1, "The high driver is not reversed, unlike the usual for LR2: the drivers' own phase turns the sum."),
    ],
)
def test_which_way_round_the_high_driver_stands(slope: str, sign: int, words: str) -> None:
    """Both branches of LR4 are in phase, those of LR2 half a turn apart (Linkwitz 1976)."""
    assert reasons._polarity(SimpleNamespace(fits=[SimpleNamespace(sign=sign)], slope=SLOPES[slope])) == words  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("off_db", "own", "words"),
    [
        (1.4, (2.0, 2.0), ""),
        (-1.6, (0.5, -3.0), "The sum strays most at 3000 Hz, 1.6 dB below its target; the parts tried against it did not pay."),
        (1.6, (1.2, 0.4), "The sum strays most at 3000 Hz, 1.6 dB above its target, where both drivers on this baffle stand 1.2 and 0.4 dB above their own mean; the parts tried against it did not pay."),
        (-2.0, (-1.2, -0.4), "The sum strays most at 3000 Hz, 2.0 dB below its target, where both drivers on this baffle stand 1.2 and 0.4 dB below their own mean; the parts tried against it did not pay."),
        (-2.0, (-0.9, -0.4), "The sum strays most at 3000 Hz, 2.0 dB below its target; the parts tried against it did not pay."),
    ],
)  # fmt: skip
def test_where_the_sum_strays_and_whether_both_drivers_do(off_db: float, own: tuple[float, float], words: str) -> None:
    assert reasons._rest(SimpleNamespace(sum_worst_db=off_db, sum_worst_hz=3000.0, own_db=own)) == words  # type: ignore[arg-type]


def test_what_the_high_driver_lacks_and_what_real_parts_cost() -> None:
    """0.04 dB are not worth a word; 0.62 dB with parts against 0.50 with free values cost 0.12."""
    short = [reasons._shortfall(SimpleNamespace(shortfall_db=db)) for db in (0.04, 0.3)]  # type: ignore[arg-type]
    assert short[0] == "" and short[1].startswith("The high driver stays 0.3 dB below the low one;")
    selected = SimpleNamespace(rms_db=0.62, low=Branch(()), high=Branch(()), within_stock=True)
    told = {
        policy: reasons._parts(SimpleNamespace(options=DesignOptions(policy=policy), selected=selected, optimum_db=0.5))  # type: ignore[arg-type]
        for policy in ("any", "preferred", "stock")
    }
    assert told["any"] == "Values are those of the fit, to three digits."
    assert (
        told["preferred"]
        == "Parts of the E12 series, resistors of E24, chosen for both branches at once; against free values that costs 0.12 dB."
    )
    assert told["stock"] == "Parts in stock, chosen for both branches at once; against free values that costs 0.12 dB."
