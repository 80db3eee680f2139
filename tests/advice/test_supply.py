"""What planned kits take: counts and sums worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from reportgen.advice.listings import Listing
from reportgen.advice.supply import kits_possible, supply, supply_report
from reportgen.assessment import Assessment, assess
from reportgen.catalogue.records import Catalogue
from tests.demo_catalogue import demo
from tests.every import every


@cache
def stocked() -> Assessment:
    """A pairing whose network comes from the Parts sheet alone."""
    catalogue = demo()
    return assess(catalogue.case(replace(catalogue.pairings["P-06"], parts_policy="stock")))


def planned(kits: int, id_: str = "P-06", kit: str = "Sedge") -> Assessment:
    found = stocked()
    pairing = replace(found.case.pairing, id=id_, kit=kit, kits_planned=kits)
    return replace(found, case=replace(found.case, pairing=pairing))


def shelf(**stock: int) -> Catalogue:
    """The demo with other counts on the shelf; `-` in an ID is `_`."""
    catalogue = demo()
    tables = {
        name: {
            id_: replace(one, stock=stock.get(id_.replace("-", "_"), one.stock))
            for id_, one in getattr(catalogue, name).items()
        }
        for name in ("low_drivers", "high_drivers", "waveguides", "parts")
    }
    return replace(catalogue, **tables)


def with_shelf(found: Assessment, catalogue: Catalogue) -> Assessment:
    case = replace(
        found.case,
        low=catalogue.low_drivers[found.case.low.id],
        high=catalogue.high_drivers[found.case.high.id],
        stock=catalogue.stock,
    )
    return replace(found, case=case)


def test_drivers_are_counted_for_all_loudspeakers_of_all_kits() -> None:
    catalogue = shelf(LD_02=9, HD_09=20)
    found = supply([with_shelf(planned(4), catalogue), with_shelf(planned(3, "P-90", "Two"), catalogue)], catalogue)
    items = found.items.set_index("id")
    assert items.loc["LD-02", "needed"] == 14  # (4 + 3) kits x 2 loudspeakers x 1
    assert items.loc["LD-02", "short"] == 5  # 14 - 9
    assert items.loc["HD-09", "short"] == 0
    assert "LD-02" in found.short and "HD-09" not in found.short


def test_pairs_of_parts_are_taken_apart_and_equal_parts_counted_together() -> None:
    found = supply([planned(1)], demo())
    parts = stocked().parts
    pieces = sum(max(1, len(part.made_of)) for part in parts)
    of_network = found.needs[~found.needs["what"].isin(["low driver", "high driver", "waveguide"])]
    assert of_network["needed"].sum() == 2 * pieces  # two loudspeakers a kit
    assert not of_network["id"].str.contains("+", regex=False).any()


@every(("stock", "alone"), [(7, 3), (8, 4), (1, 0)])
def test_the_shelf_allows_whole_kits_only(stock: int, alone: int) -> None:
    catalogue = shelf(LD_02=stock, HD_09=500)
    found = kits_possible(supply([with_shelf(planned(2), catalogue)], catalogue))
    assert found["alone"].tolist() == [alone]  # 2 low drivers a kit
    assert found["ends"].tolist() == ["LD-02"]
    assert found["planned"].tolist() == [2]


def test_beside_the_others_the_shelf_allows_less() -> None:
    catalogue = shelf(LD_02=11, HD_09=500)
    both = [with_shelf(planned(4), catalogue), with_shelf(planned(3, "P-90", "Two"), catalogue)]
    found = kits_possible(supply(both, catalogue)).set_index("pairing")
    assert found.loc["P-06", "alone"] == 5
    assert found.loc["P-06", "beside"] == 2  # (11 - 3 x 2) / 2


def listing(report_listings: tuple[Listing, ...], title: str) -> Listing:
    return next(one for one in report_listings if one.title.startswith(title))


def test_the_cost_is_the_sum_of_what_is_priced_to_the_cent() -> None:
    catalogue = demo()
    report = supply_report(supply([planned(3)], catalogue), {})
    rows = listing(report.listings, "What the planned").rows
    assert rows[-1][0] == "All" and set(rows[-1][3:7]) == {""}
    assert rows[-1][7] == pytest.approx(sum(row[7] or 0.0 for row in rows[:-1]), abs=1e-9)  # type: ignore[misc]
    low = next(row for row in rows if row[1] == "LD-02")
    assert low[3] == 6 and low[7] == 6 * catalogue.low_drivers["LD-02"].price  # type: ignore[operator]
    picking = listing(report.listings, "Picking list: P-06 Sedge")
    assert picking.ticks and not picking.on_sheet
    assert sum(int(row[0]) for row in picking.rows) == 2 * (2 + sum(max(1, len(p.made_of)) for p in stocked().parts))  # type: ignore[arg-type]


def test_the_sheets_say_what_stands_in_their_columns() -> None:
    """Headings and kinds of the three sheets: numbers are numbers there, and long words have room."""
    kinds = {
        one.title: {field.name: field.kind for field in one.fields}
        for one in supply_report(supply([planned(1)], demo()), {}).listings
    }
    assert kinds["A row for each piece of each kit"] == {
        "Pairing": "id", "Kit": "text", "What": "text", "ID": "id", "Description": "words", "A kit takes": "count", "Kits": "count",
        "Needed": "count", "Each": "money",
    }  # fmt: skip
    assert kinds["How many kits the shelf allows"] == {
        "Pairing": "id", "Kit": "text", "Planned": "count", "The shelf allows": "count", "Beside the others as planned": "count",
        "What ends it": "id", "What ends those": "id",
    }  # fmt: skip
    items = kinds["What the planned kits take"]
    assert [name for name, kind in items.items() if kind == "money"] == ["Each", "Cost"]
    assert [name for name, kind in items.items() if kind == "count"] == ["Needed", "On the shelf", "Short"]


def test_a_part_of_no_row_has_the_price_of_its_network_and_a_pair_of_them_none() -> None:
    """A single value costs what the network says of it; of two values in one place nobody can say which costs what."""
    found = stocked()
    single = replace(found.parts[0], part_id=None, made_of=(), price=2.5, kind="C", value=4.7e-6)
    pair = replace(found.parts[0], part_id=None, made_of=(1e-6, 2.2e-6), price=4.0, kind="C", value=3.2e-6)
    assert found.network is not None
    case = replace(found.case, pairing=replace(found.case.pairing, kits_planned=1))
    made = replace(found, case=case, network=replace(found.network, parts=(single, pair)))
    needs = supply([made], demo()).needs
    of_parts = needs[needs["what"] == "capacitor"].set_index("value")["each"]
    assert of_parts[4.7e-6] == 2.5
    assert of_parts[[1e-6, 2.2e-6]].isna().all()


def test_needs_stand_in_the_order_of_the_kits() -> None:
    """The second kit comes after the first, whatever its ID: the sheet to pivot follows the workbook."""
    found = supply([planned(1, "P-90", "First"), planned(1, "P-06", "Second")], demo()).needs
    assert list(dict.fromkeys(found["pairing"])) == ["P-90", "P-06"]


def test_what_ends_a_kit_beside_the_others_is_not_what_ends_it_alone() -> None:
    """6 LD-02 are 3 kits; 8 HD-09 are 4 alone, and beside 3 of the other kit, whose woofer is LD-01, 1."""
    catalogue = shelf(LD_02=6, HD_09=8, LD_01=99)
    one, other = with_shelf(planned(1), catalogue), with_shelf(planned(3, "P-90", "Two"), catalogue)
    other = replace(other, case=replace(other.case, low=catalogue.low_drivers["LD-01"]))
    row = kits_possible(supply([one, other], catalogue)).set_index("pairing").loc["P-06"]
    assert (row["alone"], row["ends"], row["beside"], row["ends_beside"]) == (3, "LD-02", 1, "HD-09")
