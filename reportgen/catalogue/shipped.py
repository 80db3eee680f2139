"""The rules of the trade and the kinds of driver: the operator's rows, with shipped ones where there are none.

Knows what stands in for a missing row, and what a rule's value and unit may be. Refuses to know what a rule
is used for.
"""

from __future__ import annotations

from collections.abc import Mapping
from statistics import median
from typing import Any, TypeVar, cast

from reportgen.catalogue import cells, trade
from reportgen.catalogue.columns import PRACTICE, QUANTITY_OF, TECHNOLOGIES, UNITS, Sheet
from reportgen.catalogue.currencies import with_currency
from reportgen.catalogue.records import Origin, Practice, Record, Rule, StockPart, Technology, problem_at
from reportgen.catalogue.tables import Table
from reportgen.problems import Problem

R = TypeVar("R", bound=Record)

PROGRAMME = "programme level "
COUNTED = frozenset(("loudspeakers a kit",))
"""Rules that count things."""
SIGNED = frozenset(("voicing tilt",))
"""Rules that may be negative, beside the levels of the programme."""
ABOVE_ZERO = frozenset(("break-up attenuation",))
"""Rules that may not be nothing, though others of their unit may: no slope is 0 dB down anywhere."""


def shipped_record(sheet: Sheet, row: Mapping[str, object], record_class: type[R]) -> R:
    """A row of the shipped tables, in the workbook's units, as a record in SI units."""
    values: dict[str, Any] = {
        name: cells.read_cell(sheet.column(name), cast(Any, value), sheet.column(name).unit)
        for name, value in row.items()
    }
    return record_class(origin=Origin(sheet.name, 0), **values)


def add_technologies(table: Table) -> set[str]:
    """Put the shipped kinds of driver where the workbook has no row for them; their names."""
    added = set()
    for row in trade.TECHNOLOGY_ROWS:
        if table.find(str(row["id"])) is None:
            technology = shipped_record(TECHNOLOGIES, row, Technology)
            table.add(technology)
            added.add(technology.id)
    return added


def notice_technologies(tables: Mapping[str, Table], shipped: set[str]) -> None:
    """Note every kind of driver in use whose row is the shipped one, in the problems of the Technologies table."""
    used = {getattr(driver, "technology", "") for driver in tables["High drivers"].records.values()}
    table = tables[TECHNOLOGIES.name]
    for name in sorted(used & shipped):
        expected = "the shipped row is used"
        heading = TECHNOLOGIES.column("id").heading
        mend = "Copy the row from a blank workbook to make it your own."
        table.problems.append(
            Problem(table.sheet.name, "", heading, f"there is no row “{name}”", expected, mend, True, name)
        )


def practice_of(table: Table) -> Practice:
    """The operator's rules, with the shipped ones where a row is missing or cannot be used."""
    rules: dict[str, Rule] = {}
    missing = []
    for name, value, unit, source, _ in trade.PRACTICE_ROWS:
        shipped = Rule(id=name, origin=Origin(PRACTICE.name, 0), value=value, unit=unit, source=source)
        key = table.find(name)
        rules[name] = shipped
        if key is None:
            missing.append(name)
        elif key in table.spoiled:
            mend = f"Until that is mended, the shipped value {value:g} {unit}".rstrip() + " is used."
            first = next(iter(table.spoiled[key]))
            table.problems.append(Problem(first.sheet, first.cell, first.heading, "", "the rule cannot be used", mend,
                                          True, name))  # fmt: skip
        else:
            rules[name] = _own_rule(table, cast(Rule, table.records[key]), shipped)
    _add_own_rules(table, rules)
    if missing:
        listed = ", ".join(missing[:6]) + (f" and {len(missing) - 6} more" if len(missing) > 6 else "")
        mend = "Copy the rows from a blank workbook to make them your own."
        expected = f"the shipped values are used for: {listed}"
        table.problems.append(Problem(PRACTICE.name, "", "", "rules are missing", expected, mend, True))
    return Practice(rules)


WORTH = "worth of a decibel"
WORTH_IN_PARTS = (1.0, 100.0)
"""A decibel that is worth fewer or more ordinary parts is most likely written in another currency; 7 are usual (common practice, no source)."""


def notice_worth(tables: Mapping[str, Table], practice: Practice, currency: str) -> None:
    """Note a worth of a decibel that is out of proportion to the prices of the parts: as in another currency, it chooses the networks by price alone, or never."""
    parts = cast("Mapping[str, StockPart]", tables["Parts"].records)
    prices = [part.price for part in parts.values() if part.price]
    if not prices:
        return
    ordinary, rule = median(prices), practice.rules[WORTH]
    least, most = (count * ordinary for count in WORTH_IN_PARTS)
    if least <= rule.value <= most:
        return
    weighed = "networks are chosen by their price alone" if rule.value < least else "prices do not count"
    expected = f"of the parts with a price half cost {with_currency(ordinary, currency)} and more; {weighed}"
    mend = (
        f"Write what a decibel is worth, by habit the price of seven such parts ({float(f'{7 * ordinary:.2g}'):.12g})."
    )
    found = f"“{WORTH}” is {rule.value:.10g}"
    at = rule.origin.cells.get("value", "")  # none where the shipped row is used
    heading = PRACTICE.column("value").heading
    tables[PRACTICE.name].problems.append(Problem(PRACTICE.name, at, heading, found, expected, mend, True, WORTH))


def _own_rule(table: Table, rule: Rule, shipped: Rule) -> Rule:
    """The operator's form of a shipped rule; the shipped one, with an error, when it cannot be used."""
    stays = f"Until it is mended, the shipped value {shipped.value:g} {shipped.unit}".rstrip() + " is used."
    unit = cells.unit_named(rule.unit) if rule.unit else shipped.unit
    ratios = {"", "%"}
    same = unit is not None and (QUANTITY_OF[unit] == QUANTITY_OF[shipped.unit] or {unit, shipped.unit} <= ratios)
    if unit is None or not same:
        expected = f"it must be {shipped.unit or 'empty'}"
        table.problems.append(problem_at(rule, "unit", f"“{rule.unit}” stands here", expected, stays))
        return shipped
    low = _least(shipped)
    if rule.value < low or (rule.value == 0 and not _may_be_zero(shipped)):
        expected = "it must be at least 0" if _may_be_zero(shipped) else "it must be greater than 0"
        if shipped.unit == "degC":
            expected = f"it must be at least {low:g}"
        table.problems.append(problem_at(rule, "value", f"{rule.value:.10g} stands here", expected, stays))
        return shipped
    if shipped.unit == "%" and rule.value * UNITS[unit] >= 1.0:
        expected = "it must be less than 100 %"
        table.problems.append(problem_at(rule, "value", f"{rule.value:.10g} stands here", expected, stays))
        return shipped
    if shipped.id in COUNTED and rule.value * UNITS[unit] % 1.0:
        expected = "it must be a whole number"
        table.problems.append(problem_at(rule, "value", f"{rule.value:.10g} stands here", expected, stays))
        return shipped
    return Rule(id=shipped.id, origin=rule.origin, value=rule.value, unit=unit, source=rule.source)


def _least(shipped: Rule) -> float:
    if shipped.id in SIGNED or shipped.id.startswith(PROGRAMME):
        return float("-inf")
    return -60.0 if shipped.unit == "degC" else 0.0


def _may_be_zero(shipped: Rule) -> bool:
    """Margins, tolerances, distances and weights may be nothing; factors, frequencies and ohms may not."""
    nothing = shipped.unit in ("%", "dB", "octave", "m", "mm", "degC") or shipped.id.startswith("rank weight")
    return nothing and shipped.id not in ABOVE_ZERO


def _add_own_rules(table: Table, rules: dict[str, Rule]) -> None:
    """Further bands of the programme spectrum count; any other name is no rule of the program."""
    for record in table.records.values():
        rule = cast(Rule, record)
        if cells.id_key(rule.id) in map(cells.id_key, rules):
            continue
        name = " ".join(rule.id.casefold().split())
        if name.startswith(PROGRAMME) and name.endswith(" hz"):
            try:
                band, rest = cells.number_typed(name.removeprefix(PROGRAMME).removesuffix(" hz"))
            except ValueError:
                band, rest = 0.0, ""
            if band > 0 and not rest and cells.unit_named(rule.unit or "dB") == "dB":
                key = f"{PROGRAMME}{band:g} Hz"
                rules.setdefault(key, Rule(id=key, origin=rule.origin, value=rule.value, unit="dB", source=rule.source))
                continue
        mend = cells.nearest(rules, rule.id)
        expected = "no rule has this name; it is not used"
        table.problems.append(problem_at(rule, "id", f"“{rule.id}” stands here", expected, mend, notice=True))
