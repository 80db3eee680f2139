"""What the planned kits need, what is on the shelf, what is short, and how many kits the shelf allows.

Knows how pieces are counted and added up. Refuses to assess and to order.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from reportgen.advice.listings import Field, Listing, Report, joined
from reportgen.advice.moves import value_words
from reportgen.assessment import Assessment, Ware
from reportgen.catalogue.records import Catalogue
from reportgen.pairing.parts_list import PartLine
from reportgen.pairing.shopping import drivers_of, stock_ids, total

COLUMNS = ("what", "id", "value", "description", "each", "shelf", "pairing", "kit", "a_kit", "kits", "needed")
_ORDER = ("low driver", "high driver", "waveguide", "capacitor", "coil", "resistor")
_KINDS = {"C": "capacitor", "L": "coil", "R": "resistor"}


@dataclass(frozen=True)
class Supply:
    """The needs of a season; `needs` has a row for each piece of each kit (`COLUMNS`), `items` one for each piece."""

    needs: pd.DataFrame
    items: pd.DataFrame

    @property
    def short(self) -> tuple[str, ...]:
        """IDs of what is short."""
        return tuple(self.items.loc[self.items["short"] > 0, "id"])


def supply(found: Sequence[Assessment | Ware], catalogue: Catalogue) -> Supply:
    """Count what the planned kits of `found` take."""
    rows = [row for one in found if one.case.pairing.kits_planned for row in _needs(one, catalogue)]
    needs = pd.DataFrame(rows, columns=list(COLUMNS))
    needs = needs.groupby(["what", "id", "value", "description", "pairing"], sort=False, as_index=False).agg(
        {"each": "first", "shelf": "first", "kit": "first", "a_kit": "sum", "kits": "first", "needed": "sum"}
    )[list(COLUMNS)]
    items = needs.groupby(["what", "id", "value", "description"], sort=False, as_index=False).agg(
        each=("each", "first"), shelf=("shelf", "first"), needed=("needed", "sum"), kits=("kit", list)
    )
    items["short"] = (items["needed"] - items["shelf"]).clip(lower=0)
    items["order"] = items["what"].map(_ORDER.index)
    items = items.sort_values(["order", "value", "id", "description"], kind="stable", ignore_index=True)
    return Supply(needs, items)


def _needs(one: Assessment | Ware, catalogue: Catalogue) -> Iterator[tuple[object, ...]]:
    """Each piece of a kit: drivers and guide of all its loudspeakers, then the parts of its networks, pairs taken apart."""
    pairing, kits = one.case.pairing, one.case.pairing.kits_planned or 0
    loudspeakers = one.case.practice.loudspeakers_a_kit
    name = pairing.kit or pairing.id
    for item in drivers_of(one.case):
        record, a_kit = item.record, item.count * loudspeakers
        words = getattr(record, "description", None) or ""
        yield (item.what, record.id, 0.0, words, record.price, record.stock, one.id, name, a_kit, kits, a_kit * kits)
    for part in one.parts:
        for id_, value, words, price, stock in _pieces(part, catalogue):
            yield (
                _KINDS[part.kind],
                id_,
                value,
                words,
                price,
                stock,
                one.id,
                name,
                loudspeakers,
                kits,
                loudspeakers * kits,
            )


def _pieces(part: PartLine, catalogue: Catalogue) -> Iterator[tuple[str, float, str, float | None, int | None]]:
    values = part.made_of or (part.value,)
    ids = stock_ids(part.part_id)
    rated = f", {part.rating_to_buy:g} {part.rating_unit}" if part.rating_to_buy is not None and not ids else ""
    for number, wanted in enumerate(values):
        id_ = ids[number] if number < len(ids) else ""
        row = catalogue.parts.get(id_)
        price = row.price if row else (part.price if len(values) == 1 else None)
        value = row.value if row else wanted
        words = value_words(part.kind, value).partition(" ")[2] + rated
        yield id_, value, words, price, row.stock if row else None


def kits_possible(found: Supply) -> pd.DataFrame:
    """For each kit: how many the shelf allows alone and what ends it, how many beside the others as planned and what ends those.

    Pieces whose stock is not known do not count.
    """
    known = found.needs.dropna(subset=["shelf"]).copy()
    used = known.groupby(["what", "id", "description"])["needed"].transform("sum")
    known["alone"] = known["shelf"] // known["a_kit"]
    known["beside"] = ((known["shelf"] - used + known["needed"]) // known["a_kit"]).clip(lower=0)
    kit = ["pairing", "kit", "kits"]
    least = known.groupby(kit, sort=False)[["alone", "beside"]].min().astype(int)
    for count, ends in (("alone", "ends"), ("beside", "ends_beside")):
        least[ends] = known.sort_values(count, kind="stable").groupby(kit, sort=False)["id"].first()
    return least.reset_index().rename(columns={"kits": "planned"})


def supply_report(found: Supply, substitutes: Mapping[str, str], notes: Sequence[str] = ()) -> Report:
    """The page and the sheets: what to order, the kits, and a picking list for each kit."""
    kits = kits_possible(found)
    short = int((found.items["short"] > 0).sum())
    cost = _cost(found.items)
    planned = int(found.needs.drop_duplicates("pairing")["kits"].sum()) if len(found.needs) else 0
    unpriced = int(found.items["each"].isna().sum())
    pairings = found.needs["pairing"].nunique()
    tally = f"{planned} {'kit' if planned == 1 else 'kits'} of {pairings} {'pairing' if pairings == 1 else 'pairings'}"
    tally += f" {'takes' if planned == 1 else 'take'} {len(found.items)} different pieces"
    tally += (
        f"; {short} {'is' if short == 1 else 'are'} short"
        if short
        else "; the shelf has them all, where its count is known"
    )
    if unpriced:
        state = "piece states" if unpriced == 1 else "pieces state"
        notes = (*notes, f"{unpriced} {state} no price; the cost is that of the others")
    listings = (
        _items(found, substitutes, cost), _possible(kits), _flat(found), *_picking(found),
    )  # fmt: skip
    return Report("Supply", tally, listings, tuple(notes))


def _cost(items: pd.DataFrame) -> float:
    return (
        total(
            (each, int(needed)) for each, needed in zip(items["each"], items["needed"], strict=True) if pd.notna(each)
        )
        or 0.0
    )


def _rows(table: pd.DataFrame) -> list[Any]:
    """The rows of a table, each with its columns by name."""
    return list(table.itertuples(index=False))


def _none(value: object) -> float | None:
    return None if pd.isna(value) else float(value)  # type: ignore[call-overload,arg-type] # a cell of a column of numbers


def _items(found: Supply, substitutes: Mapping[str, str], cost: float) -> Listing:
    fields = (
        Field("What"), Field("ID", "id"), Field("Description", "words"), Field("Needed", "count"), Field("On the shelf", "count"),
        Field("Short", "count"), Field("Each", "money"), Field("Cost", "money"), Field("For the kits", "words"),
        Field("Where short, in its place", "words"),
    )  # fmt: skip
    rows = [
        (
            one.what, one.id or "by value", one.description, int(one.needed), _none(one.shelf), _none(one.short), _none(one.each),
            total([(_none(one.each), int(one.needed))]), joined(list(dict.fromkeys(one.kits)), 6), substitutes.get(one.id, ""),
        )
        for one in _rows(found.items)
    ]  # fmt: skip
    last = ("All", "", "", "", "", "", "", cost, "", "")  # a dash would say that it is not known
    return Listing("What the planned kits take", fields, (*rows, last) if rows else (), note="A dash: not known.")


def _possible(kits: pd.DataFrame) -> Listing:
    fields = (
        Field("Pairing", "id"), Field("Kit"), Field("Planned", "count"), Field("The shelf allows", "count"), Field("What ends it", "id"),
        Field("Beside the others as planned", "count"), Field("What ends those", "id"),
    )  # fmt: skip
    rows = tuple(
        (one.pairing, one.kit, int(one.planned), int(one.alone), one.ends, int(one.beside), one.ends_beside)
        for one in _rows(kits)
    )
    return Listing("How many kits the shelf allows", fields, rows, tab="kits")


def _flat(found: Supply) -> Listing:
    fields = (
        Field("Pairing", "id"), Field("Kit"), Field("What"), Field("ID", "id"), Field("Description", "words"),
        Field("A kit takes", "count"), Field("Kits", "count"), Field("Needed", "count"), Field("Each", "money"),
    )  # fmt: skip
    rows = tuple(
        (
            one.pairing,
            one.kit,
            one.what,
            one.id,
            one.description,
            int(one.a_kit),
            int(one.kits),
            int(one.needed),
            _none(one.each),
        )
        for one in _rows(found.needs)
    )
    return Listing(
        "A row for each piece of each kit", fields, rows, tab="needs", note="Made to be pivoted.", printed=False
    )


def _picking(found: Supply) -> Iterator[Listing]:
    """What to take from the shelf for one kit, to tick off."""
    fields = (Field("Take", "count"), Field("ID", "id"), Field("What"), Field("Description", "words"))
    lists: dict[tuple[str, str], list[tuple[str | int, ...]]] = {}
    for one in _rows(found.needs):
        taken = (int(one.a_kit), one.id, one.what, one.description)
        lists.setdefault((one.pairing, one.kit), []).append(taken)
    for (pairing, kit), rows in lists.items():
        yield Listing(f"Picking list: {pairing} {kit}, one kit", fields, tuple(rows), ticks=True, on_sheet=False)
