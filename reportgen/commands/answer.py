"""An answer to every open enquiry: a page and a text for the mail.

Knows which enquiries are open and where answers go. Refuses to know what would do and how a mail is worded.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from reportgen.advice.enquiries import Answer, answer, open_enquiries
from reportgen.advice.replies import reply
from reportgen.advice.unread import clauses
from reportgen.catalogue.reading import read_catalogue
from reportgen.catalogue.records import Catalogue, Enquiry
from reportgen.commands import reuse
from reportgen.commands.desk import Desk
from reportgen.commands.filenames import safe_name
from reportgen.commands.guard import why_not
from reportgen.commands.orders import Notify, Order, known_id, tell_nobody
from reportgen.ledger import answersheet
from reportgen.problems import Problem


@dataclass(frozen=True)
class Answered:
    """One enquiry and what became of it: its answer with page and text, or why there is none."""

    id: str
    answer: Answer | None = None
    page: Path | None = None
    text: Path | None = None
    reason: str = ""

    @property
    def done(self) -> bool:
        """False when nothing could be said at all."""
        return self.answer is not None and self.answer.answered

    @property
    def unread(self) -> tuple[str, ...]:
        """What of its words was not read, for whoever answers the rest."""
        return clauses(self.answer.unread) if self.answer is not None else ()


@dataclass(frozen=True)
class Answers:
    """All answers of one go; `exit_code` is 1 when some enquiry could not be answered or printed.

    `written` is where the sheet `Answers` grew, None where nothing new was said; `remarks` say why not in place. `kept`: so many enquiries stand in
    the workbook, answered or not.
    """

    answers: tuple[Answered, ...]
    problems: tuple[Problem, ...]
    notices: tuple[str, ...] = ()
    written: Path | None = None
    remarks: tuple[str, ...] = ()
    kept: int = 0

    @property
    def exit_code(self) -> int:
        """The command's exit code."""
        return 0 if all(one.done for one in self.answers) and not self.notices else 1


def answer_workbook(order: Order, only: Sequence[str] = (), notify: Notify = tell_nobody) -> Answers:
    """An answer to every open enquiry, or to those named; each as a page, a text, and a row of `Answers`."""
    catalogue = read_catalogue(order.workbook)
    chosen = [known_id(catalogue.enquiries, id_, "Enquiries", "enquiry") for id_ in only]
    wanted = [catalogue.enquiries[id_] for id_ in dict.fromkeys(chosen)] or list(open_enquiries(catalogue))
    desk = Desk(order, catalogue, "Answer")
    answers = []
    for count, enquiry in enumerate(wanted, 1):
        answers.append(_answered(enquiry, desk))
        notify(enquiry.id, count, len(wanted))
    if not only:
        answers += _unread(catalogue)
    failed = tuple(desk.failed)
    written, notices = _remembered(answers, desk)
    return Answers(
        tuple(answers),
        catalogue.problems,
        failed,
        written,
        tuple(one for one in notices if one not in failed),
        len(catalogue.enquiries),
    )


def _remembered(answers: Sequence[Answered], desk: Desk) -> tuple[Path | None, tuple[str, ...]]:
    """Put into the workbook what was said and is not there yet; where it is, and why not in place."""
    said = [
        answersheet.Said(
            one.id, one.answer.enquiry.customer or "", one.answer.question,
            ", ".join(proposal.high_id for proposal in one.answer.proposals), one.text.read_text(encoding="utf-8"),
        )
        for one in answers
        if one.answer is not None and one.text is not None
    ]  # fmt: skip
    sheet = answersheet.grown(desk.content, said, desk.run, desk.catalogue.maker)
    return desk.add(sheet, answersheet.NAMES) if sheet is not None else (None, ())


def _answered(enquiry: Enquiry, desk: Desk) -> Answered:
    from reportgen.paper import deskpages

    name = desk.order.folder / "answers" / safe_name(enquiry.id)
    page, text = (name.with_name(f"{name.name}.{kind}") for kind in ("pdf", "txt"))
    try:
        found = answer(enquiry, desk.catalogue)
        pages = deskpages.answer_pages(found, desk.catalogue.maker, desk.stamp)
        reuse.write_atomically(text, reply(found).encode())
        printed = desk.print_page(page, pages)
    except Exception as error:
        return Answered(enquiry.id, reason=why_not(error))
    return Answered(enquiry.id, found, printed, text, found.cannot)


def _unread(catalogue: Catalogue) -> list[Answered]:
    """Enquiries whose own row could not be read: they have no answer, and are not passed over."""
    rows: dict[str, list[str]] = {}
    for problem in catalogue.problems:
        if problem.sheet == "Enquiries" and not problem.notice and problem.record_id not in catalogue.enquiries:
            rows.setdefault(problem.record_id or problem.place, []).append(str(problem))
    return [Answered(id_, reason=" ".join(texts)) for id_, texts in rows.items()]
