"""What a loudspeaker takes and costs; the expected sums are worked out by hand."""

from __future__ import annotations

from dataclasses import replace

from reportgen.pairing.shopping import cost_of, drivers_of, stock_ids, total
from tests.demo_catalogue import demo
from tests.every import every


def test_two_low_drivers_and_a_guide_are_each_counted() -> None:
    catalogue = demo()
    pairing = next(one for one in catalogue.pairings.values() if one.guide_id)
    case = catalogue.case(replace(pairing, low_count=2, high_count=3))
    assert case.guide is not None
    case = replace(
        case,
        low=replace(case.low, price=41.10),
        high=replace(case.high, price=19.95),
        guide=replace(case.guide, price=7.35),
    )
    assert [(item.what, item.count) for item in drivers_of(case)] == [
        ("low driver", 2),
        ("high driver", 3),
        ("waveguide", 3),
    ]
    assert cost_of(drivers_of(case)) == 164.10  # 2 x 41.10 + 3 x 19.95 + 3 x 7.35
    assert cost_of(drivers_of(replace(case, low=replace(case.low, price=None)))) is None


@every(
    ("priced", "sum_"),
    [
        ([(0.1, 1)] * 10, 1.0),  # in binary 0.9999999999999999
        ([(1.10, 3), (2.20, 1)], 5.5),
        ([(4.35, 100)], 435.0),  # in binary 434.99999999999994
        ([(4.0, 1), (None, 2)], None),
    ],
)
def test_money_is_added_to_the_cent(priced: list[tuple[float | None, int]], sum_: float | None) -> None:
    assert total(priced) == sum_


def test_a_place_of_two_pieces_takes_two_rows_of_the_shelf() -> None:
    assert stock_ids("KC-4u7 + KC-1u0") == ("KC-4u7", "KC-1u0")
    assert stock_ids("") == ()
