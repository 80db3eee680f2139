"""A driver, a guide or a part goes out of production: every pairing that uses it, and what takes its place.

Knows the order of the steps. Refuses to choose.
"""

from __future__ import annotations

from reportgen.advice import withdrawal
from reportgen.catalogue.reading import read_catalogue
from reportgen.commands.assessing import all_pairings, assess_cases, shop
from reportgen.commands.desk import Desk
from reportgen.commands.listing import Listed, delivered
from reportgen.commands.orders import Notify, Order, known_id, tell_nobody


def withdraw(order: Order, id_: str, notify: Notify = tell_nobody, jobs: int = 0) -> Listed:
    """Find replacements for `id_` in every pairing that uses it. WorkbookUnusable for an unknown ID."""
    catalogue = read_catalogue(order.workbook)
    table = {**catalogue.low_drivers, **catalogue.high_drivers, **catalogue.waveguides, **catalogue.parts}
    id_ = known_id(table, id_, "High drivers", "low driver, high driver, waveguide or part")
    desk = Desk(order, catalogue, "Withdrawal")
    pairings = all_pairings(catalogue)
    driver = id_ not in catalogue.parts
    asked = [one for one in pairings if not driver or id_ in (one.low_id, one.high_id, one.guide_id)]
    kits = shop(order, catalogue, asked, notify, jobs)
    done, using = kits.wares, [kits.whole(one.id) for one in withdrawal.users(list(kits.wares.found.values()), id_)]
    tried = [(before, withdrawal.replacements(before, id_, catalogue)) for before in using]
    cases = [one.case for _, several in tried for one in several]
    results = iter(assess_cases(cases, notify, jobs))
    assessed = [
        (
            before,
            [(one, after.assessment) for one, after in [(one, next(results)) for one in several] if after.assessment],
        )
        for before, several in tried
    ]
    looked_at = catalogue.pairings.keys() - done.failed.keys()
    report = withdrawal.withdrawal(id_, assessed, len(looked_at), done.notes)
    return delivered(desk, report, len(done.failed))
