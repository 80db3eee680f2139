"""The commands: parse, call, print.

Knows words, exit codes and the terminal. Refuses to know how anything is worked out; the rest of the house is
imported only by the command that needs it, so that help comes at once.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import reportgen

if TYPE_CHECKING:
    from reportgen.commands.answer import Answered
    from reportgen.commands.orders import Order
    from reportgen.commands.recompute import Again, Recomputed
    from reportgen.commands.run import Report
    from reportgen.commands.screen import Screened
    from reportgen.problems import Problem

PAPERS = {"a4": "A4", "letter": "Letter", None: None}
FINE, SOME_FAILED, UNUSABLE = 0, 1, 2


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code: 0 fine, 1 some pairings could not be assessed, 2 workbook unusable."""
    parsed = _parser().parse_args(arguments)
    from reportgen.problems import ReportgenError, WorkbookUnusable

    try:
        _look_at_templates(parsed)
        return int(parsed.call(parsed))
    except WorkbookUnusable as error:
        for problem in error.problems:
            print(problem, file=sys.stderr)
    except ReportgenError as error:
        print(error, file=sys.stderr)
    except KeyboardInterrupt:
        print("\nStopped. What is finished is kept; the same command goes on from there.", file=sys.stderr)
        return 130
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return FINE
    except OSError as error:
        print(
            f"{error.filename or 'A file'}: {error.strerror or error}. Free it or name another place, and run again.",
            file=sys.stderr,
        )
    return UNUSABLE


def _look_at_templates(parsed: argparse.Namespace) -> None:
    """Before the work: end it when the folder is not there, and name files that no page will use."""
    folder = getattr(parsed, "templates", None)
    if folder is not None:
        from reportgen.paper.templates import template_notes

        for note in template_notes(folder):
            print(f"note: {note}", file=sys.stderr)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="reportgen", description=reportgen.__doc__)
    parser.add_argument("--version", action="version", version=f"reportgen {reportgen.__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    _add_run(commands)
    check = commands.add_parser("check", help="list all problems of a workbook")
    check.add_argument("workbook", type=Path)
    check.set_defaults(call=_check)
    new = commands.add_parser("new", help="write an empty workbook")
    new.add_argument("workbook", type=Path)
    new.add_argument("--demo", action="store_true", help="fill it with the demo season")
    new.set_defaults(call=_new)
    _add_desk(commands)
    return parser


def _add_run(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    run = commands.add_parser("run", help="assess, print and write back every pairing of a workbook")
    run.add_argument("workbook", type=Path)
    run.add_argument("--only", metavar="IDS", default="", help="only these pairings, separated by commas")
    run.add_argument("--season", metavar="NAME", help="only pairings of this season")
    run.add_argument("--out", type=Path, default=Path("out"), metavar="DIR", help="folder for the sheets (out)")
    run.add_argument("--paper", choices=("a4", "letter"), help="paper size; else that of the Maker sheet")
    run.add_argument("--jobs", type=int, default=0, metavar="N", help="worker processes; 0: one for each core")
    run.add_argument("--scheduler", metavar="ADDRESS", help="use the workers of a dask.distributed scheduler instead")
    run.add_argument("--no-pdf", action="store_true", help="assess and write back, print nothing")
    run.add_argument("--dry-run", action="store_true", help="assess only; nothing is written")
    run.add_argument("--into", type=Path, metavar="COPY", help="leave the workbook alone; results go into this copy")
    run.add_argument("--templates", type=Path, metavar="DIR", help="your own templates, used in place of ours")
    run.add_argument("--booklet", action="store_true", help="also collect all sheets in one catalogue PDF")
    run.add_argument("--fresh", action="store_true", help="assess everything again, including what did not change")
    run.add_argument(
        "--data", action="store_true", help="also write curves (CSV) and circuit (SPICE) beside each sheet"
    )
    run.set_defaults(call=_run)


def _add_desk(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """The commands of the daily desk."""
    screen = _desk_command(commands, "screen", "every low driver against every high driver at one use", _screen)
    screen.add_argument("--low", metavar="IDS", default="", help="only these low drivers, separated by commas")
    screen.add_argument(
        "--application", metavar="ID", help="screen for the use of this pairing or enquiry; else of the first pairing"
    )
    screen.add_argument(
        "--slopes", metavar="NAMES", default="", help="slopes to try besides the wanted one (LR2,BW3,LR4)"
    )
    answer = _desk_command(commands, "answer", "answer every open enquiry: a page and a text for the mail", _answer)
    answer.add_argument(
        "--only", metavar="IDS", default="", help="only these enquiries, separated by commas; answered ones too"
    )
    compare = _desk_command(commands, "compare", "pairings side by side on one page", _compare)
    compare.add_argument("pairings", nargs="+", metavar="PAIRING", help="IDs of two pairings or more")
    for command in (screen, compare):
        command.add_argument(
            "--into", type=Path, metavar="COPY", help="leave the workbook alone; add sheets to this copy"
        )
    history = commands.add_parser("history", help="the history of many seasons in one workbook")
    history.add_argument("workbooks", type=Path, nargs="+", metavar="WORKBOOK")
    history.add_argument(
        "--into",
        type=Path,
        default=Path("out/history.xlsx"),
        metavar="FILE",
        help="the workbook to write (out/history.xlsx)",
    )
    history.set_defaults(call=_history)
    again = _desk_command(commands, "recompute", "an old run once more, from the data kept in its History", _recompute)
    again.add_argument("--run", type=int, required=True, metavar="N", help="number of the run")
    again.add_argument("--pdf", action="store_true", help="also print its sheets")


def _desk_command(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    name: str,
    text: str,
    call: Callable[[argparse.Namespace], int],
) -> argparse.ArgumentParser:
    command = commands.add_parser(name, help=text)
    command.add_argument("workbook", type=Path)
    command.add_argument("--out", type=Path, default=Path("out"), metavar="DIR", help="folder for the pages (out)")
    command.add_argument("--paper", choices=("a4", "letter"), help="paper size; else that of the Maker sheet")
    command.add_argument("--templates", type=Path, metavar="DIR", help="your own templates, used in place of ours")
    command.set_defaults(call=call, into=None)
    return command


def _run(parsed: argparse.Namespace) -> int:
    from reportgen.commands import workers

    printing = not parsed.no_pdf and not parsed.dry_run
    if parsed.scheduler is None:
        first = (
            "reportgen.commands.piecework",
            "reportgen.paper.render",
        )  # as piecework.PRELOAD, while this process imports
        workers.start_ahead(first if printing else first[:1])
    from reportgen.commands.run import RunOrder, run

    order = RunOrder(
        workbook=parsed.workbook,
        only=_names(parsed.only),
        season=parsed.season,
        out=parsed.out,
        paper=PAPERS[parsed.paper],
        jobs=parsed.jobs or workers.cores(),
        pdf=printing,
        dry_run=parsed.dry_run,
        into=parsed.into,
        templates=parsed.templates,
        booklet=parsed.booklet,
        data=parsed.data,
        fresh=parsed.fresh,
        scheduler=parsed.scheduler,
    )
    report = run(order, _progress, say=_say)
    _close(report)
    return report.exit_code


def _names(text: str) -> tuple[str, ...]:
    """The names in a list separated by commas."""
    return tuple(name.strip() for name in text.split(",") if name.strip())


def _say(text: str) -> None:
    """What delays the work, at once."""
    print(text, file=sys.stderr, flush=True)


def _progress(id_: str, done: int, total: int) -> None:
    """A bar on a terminal, a plain line elsewhere."""
    if not sys.stderr.isatty():
        print(f"{done}/{total} {id_}", file=sys.stderr, flush=True)
        return
    width = 30
    bar = "#" * (width * done // max(total, 1))
    end = "\n" if done == total else ""
    print(f"\r[{bar:<{width}}] {done}/{total} {id_:<20.20}", end=end, file=sys.stderr, flush=True)


def _close(report: Report) -> None:
    _complain(report.problems)
    rows = [
        (
            one.id,
            one.verdict.word,
            f"{_hz(one.found_range.low_hz)} to {_hz(one.found_range.high_hz)}",
            _hz(one.crossover_hz),
            " / ".join(
                limit.title if limit else "open"
                for limit in (one.found_range.low_binding, one.found_range.high_binding)
            ),
        )
        for one in report.assessments
    ]
    _table(("pairing", "verdict", "usable range, Hz", "crossover, Hz", "bound by"), rows)
    for one in report.unassessed:
        print(f"{one.id}: not assessed. {one.text}")
    for notice in report.notices:
        print(notice)
    if report.written is not None:
        reused = f" ({report.reused} unchanged, taken over)" if report.reused else ""
        print(f"Results: {report.written}; sheets{reused}: {report.folder}")
    for booklet in report.booklets:
        print(f"Catalogue: {booklet}")


def _complain(problems: Sequence[Problem]) -> None:
    for problem in problems:
        print(f"{'note: ' if problem.notice else ''}{problem}", file=sys.stderr)


def _hz(value: float | None) -> str:
    return "open" if value is None else f"{value:.0f}"


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    widths = [max(len(row[i]) for row in (head, *rows)) for i in range(len(head))]
    for row in (head, ["-" * width for width in widths], *rows):
        print("  ".join(f"{text:<{width}}" for text, width in zip(row, widths, strict=True)).rstrip())


def _check(parsed: argparse.Namespace) -> int:
    from reportgen.commands.check import check_workbook

    found = check_workbook(parsed.workbook)
    for problem in found.problems:
        print(f"{'note: ' if problem.notice else ''}{problem}")
    print(f"{found.errors} problems; {found.fit} pairings can be assessed, {found.unfit} cannot.")
    return found.exit_code


def _new(parsed: argparse.Namespace) -> int:
    from reportgen.commands.new import new_workbook

    new_workbook(parsed.workbook, parsed.demo)
    print(f"{parsed.workbook} is written. Fill it in any spreadsheet program, then: reportgen run {parsed.workbook}")
    return FINE


# --- the daily desk -----------------------------------------------------------------------------------------------


def _order(parsed: argparse.Namespace) -> Order:
    from reportgen.commands.orders import Order

    return Order(parsed.workbook, parsed.out, parsed.into, PAPERS[parsed.paper], parsed.templates)


def _screen(parsed: argparse.Namespace) -> int:
    from reportgen.commands.screen import screen_workbook

    slopes = {"slopes": _slopes(parsed.slopes)} if parsed.slopes else {}
    done = screen_workbook(_order(parsed), _names(parsed.low), parsed.application, **slopes)
    _complain(done.problems)
    _show_screening(done)
    for notice in done.notices:
        print(notice)
    print(f"Sheets: {done.written}; page: {done.page or 'none'}")
    return FINE if done.page else SOME_FAILED


def _slopes(text: str) -> tuple[str, ...]:
    from reportgen.catalogue.columns import SLOPES
    from reportgen.problems import ReportgenError

    names = tuple(name.upper() for name in _names(text))
    if unknown := [name for name in names if name not in SLOPES]:
        raise ReportgenError(f"--slopes: {', '.join(unknown)}: no such slope. There are: {', '.join(SLOPES)}.")
    return names


def _show_screening(done: Screened) -> None:
    found, most = done.found, 12
    rows = [
        (
            f"{one.rank}",
            one.low_id,
            one.high_id,
            one.used,
            one.word,
            f"{_hz(one.low_hz)} to {_hz(one.high_hz)}",
            "open" if one.octaves is None else f"{one.octaves:.2f}",
            "unknown" if one.price is None else f"{one.price:.2f}",
        )
        for one in found.candidates[:most]
    ]
    _table(("rank", "low", "high", "used", "verdict of the limits", "usable range, Hz", "octaves", "price"), rows)
    words = ", ".join(f"{count} {word}" for word, count in found.words if count)
    print(f"{found.pairs} pairs at {done.where}, {found.judged} ways to use them: {words}.")
    for what, count in found.obstacles[:5]:
        print(f"  in the way of {count}: {what[0].lower()}{what[1:]}")


def _answer(parsed: argparse.Namespace) -> int:
    from reportgen.commands.answer import answer_workbook

    done = answer_workbook(_order(parsed), _names(parsed.only), _progress)
    _complain(done.problems)
    for one in done.answers:
        _show_answer(one)
    for notice in done.notices:
        print(notice)
    if not done.answers:
        print("No enquiry is open: each has a date in “Answered on”. Name one with --only to answer it again.")
    return done.exit_code


def _show_answer(one: Answered) -> None:
    if one.answer is not None and one.answer.proposals:
        drivers = ", ".join(proposal.high_id for proposal in one.answer.proposals)
        print(f"{one.id}: {drivers}. {one.text}")
        for gap in one.answer.missing:
            print(f"  missing: {gap}")
    elif one.done:
        print(f"{one.id}: {one.reason} {one.text}")
    else:
        print(f"{one.id}: not answered. {one.reason}{f' {one.text}' if one.text else ''}")


def _compare(parsed: argparse.Namespace) -> int:
    from reportgen.commands.compare import compare_workbook

    done = compare_workbook(_order(parsed), parsed.pairings, _progress)
    _complain(done.problems)
    found = done.found
    rows = [(one.name, one.unit, *(_figure(value) for value in one.values)) for one in found.differing]
    _table(("figure", "unit", *found.ids), rows)
    for notice in done.notices:
        print(notice)
    print(f"Sheet: {done.written}; page: {done.page or 'none'}")
    return FINE if done.page else SOME_FAILED


def _figure(value: float | str | None) -> str:
    return "-" if value is None else value if isinstance(value, str) else f"{value:.4g}"


def _history(parsed: argparse.Namespace) -> int:
    from reportgen.commands.history import gather_histories

    outcome = gather_histories(parsed.workbooks, parsed.into)
    print(
        *filter(None, (outcome.reason,)),
        f"The histories of {len(parsed.workbooks)} workbooks: {outcome.path}",
        sep="\n",
    )
    return FINE


def _recompute(parsed: argparse.Namespace) -> int:
    from reportgen.commands.recompute import recompute_run

    done = recompute_run(_order(parsed), parsed.run, parsed.pdf, _progress)
    _show_recomputed(done)
    return done.exit_code


def _show_recomputed(done: Recomputed) -> None:
    rows = [
        (
            one.entry.pairing_id,
            one.assessment.verdict.word,
            f"{_hz(one.assessment.found_range.low_hz)} to {_hz(one.assessment.found_range.high_hz)}",
            _hz(one.assessment.crossover_hz),
            one.entry.bound_by,
            "as in History" if one.same else "DIFFERS",
        )
        for one in done.pairings
        if one.assessment is not None
    ]
    _table(("pairing", "verdict", "usable range, Hz", "crossover, Hz", "bound by", "result"), rows)
    for one in done.pairings:
        if one.assessment is None:
            print(f"{one.entry.pairing_id}: not worked out again. {one.reason}")
        elif not one.same:
            print(_difference(one))
    same = sum(one.same for one in done.pairings)
    for text in done.unprinted:
        print(text)
    print(f"Run {done.run}: {same} of {len(done.pairings)} results are what the History says.")
    for notice in done.notices:
        print(notice)
    if done.folder is not None:
        print(f"Sheets: {done.folder}")


def _difference(one: Again) -> str:
    because = f" (program {one.other_program} then, {reportgen.__version__} now)" if one.other_program else ""
    return f"{one.entry.pairing_id}: {'; '.join(one.differences)}{because}"
