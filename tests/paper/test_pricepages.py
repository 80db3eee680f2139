"""The price list on paper: figures and prices as a customer reads them."""

from __future__ import annotations

from dataclasses import replace

from reportgen.advice.pricing import offers
from reportgen.assessment import Ware
from reportgen.paper.pricepages import price_pages
from tests.demo_catalogue import demo
from tests.paper.samples import STAMP, suitable


def test_a_kit_tells_its_figures_and_its_price() -> None:
    found = suitable("P-06")
    assert found.network is not None
    figures = replace(
        found.network.figures, rated_impedance_ohm=0.0, least_impedance_ohm=2.5, net_volume_m3=0.0123, tuning_hz=None,
        sensitivity_db=84.04, effective_range_hz=(47.3, 19800.0), pair_price=1234.5,
    )  # fmt: skip
    one = replace(found, network=replace(found.network, figures=figures))
    maker = replace(demo().maker, tax=0.2, price_step=0.01, currency="EUR")
    (page,) = price_pages(offers([Ware.of(one)], maker), "Spring", maker, STAMP)
    (row,) = page.rows
    assert [text.replace("\u00a0", " ") for text in row.figures] == [
        "Range 47 Hz to 20 kHz",
        "Sensitivity 84.0 dB",
        "Impedance none customary, at least 2.5 Ω",  # below every rating that is customary
        "Box 12.3 L",
    ]
    assert (row.net, row.gross) == ("1\u00a0234.50", "1\u00a0481.40")
