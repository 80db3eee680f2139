"""One pairing, in whichever process: assess it, search its nearest yes, print its sheet.

Knows what a worker needs and what comes of it. Refuses to know workbooks, folders and what other pairings came to; it
imports no more than that, for the first sheet waits for it.
"""

from __future__ import annotations

import pickle
import threading
from dataclasses import replace
from functools import lru_cache

from reportgen.advice.remedies import find_remedies
from reportgen.assessment import Assessment, assess
from reportgen.catalogue.records import Catalogue, Pairing, places_noted
from reportgen.commands.guard import why_not
from reportgen.commands.tasks import Done, Shop, Task
from reportgen.ledger.revisions import Revised, revised
from reportgen.paper.printing import Stamp
from reportgen.problems import ReportgenError

_ONE_AT_A_TIME = threading.Lock()
"""Workers of others may call from several threads; the page engine must never run in two of them."""


@lru_cache(maxsize=1)
def _unpacked(packed: bytes) -> Shop:
    return pickle.loads(packed)  # type: ignore[no-any-return] # our own bytes, made in the parent process


def done(packed: bytes, task: Task) -> Done:
    """Work on one task in the shop that comes packed."""
    with _ONE_AT_A_TIME:
        return work(_unpacked(packed), task)


def work(shop: Shop, task: Task) -> Done:
    """Assess and print one pairing; whatever goes wrong with it stays with it."""
    assessment = task.kept
    try:
        if assessment is None:
            assessment = assess_with_remedies(shop.catalogue, task.pairing)
        if not shop.pdf:
            return Done(assessment)
        pdf, sheet = _printed(assessment, task, shop)
        return Done(assessment, pdf, notice=_slow_fonts_notice(), sheet=sheet)
    except ReportgenError as error:
        return Done(assessment, reason=str(error))
    except Exception as error:
        return Done(assessment, reason=f"{task.pairing.origin.place('id')}: {why_not(error)}")


def assess_with_remedies(catalogue: Catalogue, pairing: Pairing) -> Assessment:
    """The assessment of a pairing and the nearest yes, where one is searched for."""
    assessment = assess(catalogue.case(pairing))
    with places_noted() as named:
        remedies, note = find_remedies(assessment, catalogue)
    sheets = tuple(sorted(named | set(assessment.named_sheets)))
    return replace(assessment, remedies=remedies, remedies_note=note, named_sheets=sheets)


def _printed(assessment: Assessment, task: Task, shop: Shop) -> tuple[bytes, Revised]:
    """The sheet, and its revision: the one that the inputs promise, unless its words say otherwise."""
    from reportgen.paper import render  # the page engine takes a second to import: only where it prints
    from reportgen.paper.composing import sheet_page
    from reportgen.paper.fingerprints import name_of_words

    expected = revised(task.before, task.before.paper if task.before else "")
    sheet = revised(task.before, name_of_words(sheet_page(assessment, _stamped(task.stamp, expected))))
    stamp = _stamped(task.stamp, sheet)
    return render.render_sheet(assessment, stamp, shop.templates, shop.paper, shop.pages), sheet


def _stamped(stamp: Stamp, sheet: Revised) -> Stamp:
    return replace(stamp, revision=str(sheet.revision), changed=sheet.line)


def _slow_fonts_notice() -> str:
    from reportgen.paper import render

    return render.slow_fonts_notice()
