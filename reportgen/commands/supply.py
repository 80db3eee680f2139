"""What the planned kits take from the shelf, what is short, and a picking list for each.

Knows the order of the steps. Refuses to count and to assess.
"""

from __future__ import annotations

from reportgen.advice import withdrawal
from reportgen.advice.supply import Supply, supply, supply_report
from reportgen.assessment import Assessment
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Catalogue
from reportgen.commands.assessing import all_pairings, assess_cases, assess_pairings
from reportgen.commands.listing import Listed, delivered
from reportgen.commands.orders import Notify, Order, not_there, tell_nobody

NONE_KEEPS = "nothing in the workbook keeps every check"


def supply_workbook(order: Order, notify: Notify = tell_nobody, jobs: int = 0) -> Listed:
    """Count what the planned kits take. WorkbookUnusable when no pairing has kits planned."""
    catalogue = read_catalogue(order.workbook)
    planned = [one for one in all_pairings(catalogue) if one.kits_planned]
    if not planned:
        raise not_there(
            "Pairings",
            "Kits planned",
            "",
            "no pairing has kits planned; give a number there",
            tuple(catalogue.pairings),
        )
    order.check_place()
    done = assess_pairings(order, catalogue, planned, notify, jobs)
    found = supply(list(done.found.values()), catalogue)
    substitutes = _substitutes(found, list(done.found.values()), catalogue, notify, jobs)
    report = supply_report(found, substitutes, done.notes)
    return delivered(order, catalogue, report, "Supply", len(done.failed))


def _substitutes(
    found: Supply, assessed: list[Assessment], catalogue: Catalogue, notify: Notify, jobs: int
) -> dict[str, str]:
    """For each short piece what takes its place without a worse verdict, kit by kit; each one assessed as a whole."""
    tried = [
        (id_, before, one)
        for id_ in found.short
        if id_
        for before in withdrawal.users(assessed, id_)
        for one in withdrawal.replacements(before, id_, catalogue)
    ]
    results = assess_cases([one.case for _, _, one in tried], notify, jobs)
    told: dict[str, dict[str, str]] = {}
    for (id_, before, one), after in zip(tried, results, strict=True):
        kits = told.setdefault(id_, {})
        if after.assessment is not None and withdrawal.keeps(before, after.assessment):
            kits.setdefault(before.id, withdrawal.in_its_place(one, before, after.assessment))
    return {id_: _worded(kits) for id_, kits in told.items()} | {
        id_: NONE_KEEPS for id_ in found.short if id_ and not told.get(id_)
    }


def _worded(kits: dict[str, str]) -> str:
    alike = set(kits.values())
    if len(alike) == 1:
        return alike.pop()
    return "; ".join(f"{id_}: {text}" for id_, text in kits.items()) or NONE_KEEPS
