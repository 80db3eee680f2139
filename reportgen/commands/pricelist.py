"""The season's price list: a page for customers, and a sheet.

Knows the order of the steps. Refuses to know prices.
"""

from __future__ import annotations

from dataclasses import replace

from reportgen.advice.listings import Report, joined
from reportgen.advice.pricing import may_be_sold, offers, price_listing, unpriced_notes
from reportgen.catalogue.reading import read_catalogue
from reportgen.commands.assessing import all_pairings, shop
from reportgen.commands.desk import Desk
from reportgen.commands.listing import Listed
from reportgen.commands.orders import Notify, Order, not_there, tell_nobody
from reportgen.ledger.listingsheets import listing_sheets

WHAT = "Price list"


def pricelist(order: Order, season: str | None = None, notify: Notify = tell_nobody, jobs: int = 0) -> Listed:
    """List the kits that may be sold, of one season where one is named. WorkbookUnusable for an unknown season."""
    catalogue = read_catalogue(order.workbook)
    pairings = all_pairings(catalogue)
    seasons = sorted({one.season for one in pairings if one.season})
    if season is not None:
        pairings = tuple(one for one in pairings if (one.season or "").casefold() == season.casefold())
        if not pairings:
            raise not_there("Pairings", "Season", season, "no pairing has this Season", seasons)
    desk = Desk(order, catalogue, WHAT)
    done = shop(order, catalogue, pairings, notify, jobs, wanted=may_be_sold).wares
    found = offers(list(done.found.values()), catalogue.maker)
    without = sum(one.net is None for one in found)
    listed = {one.ware.outline.id for one in found}
    left_out = [one.id for one in pairings if one.id not in listed and one.id not in done.failed]
    why = (f"Not listed, for their verdict or your decision: {joined(left_out)}.",) if left_out else ()
    count = len({*(one.id for one in pairings), *done.failed})
    tally = f"{len(found)} of {count} kits may be sold" + (f"; {without} without a price" if without else "")
    report = Report(
        WHAT,
        tally,
        (replace(price_listing(found, catalogue.maker), title="kits that may be sold"),),
        (*why, *unpriced_notes(found), *done.notes),
    )
    from reportgen.paper import pricepages

    title = season or (seasons[0] if len(seasons) == 1 else "")
    pages = pricepages.price_pages(found, title, catalogue.maker, desk.stamp)
    page = desk.print_page(order.folder / f"price-list-{desk.number:03d}.pdf", pages)
    written, notices = desk.add(listing_sheets(report, WHAT, desk.run, catalogue.maker))
    return Listed(report, page, written, notices, catalogue.problems, len(done.failed), catalogue.maker.currency)
