"""The commands: parse, call, print.

Knows words, exit codes and the terminal. Refuses to know how anything is worked out; the rest of the house is
imported only by the command that needs it, so that help comes at once.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import reportgen

if TYPE_CHECKING:
    from reportgen.season import Report

FINE, SOME_FAILED, UNUSABLE = 0, 1, 2


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code: 0 fine, 1 some pairings could not be assessed, 2 workbook unusable."""
    parsed = _parser().parse_args(arguments)
    from reportgen.problems import ReportgenError, WorkbookUnusable

    try:
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
    return parser


def _add_run(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    run = commands.add_parser("run", help="assess, print and write back every pairing of a workbook")
    run.add_argument("workbook", type=Path)
    run.add_argument("--only", metavar="IDS", default="", help="only these pairings, parted by commas")
    run.add_argument("--season", metavar="NAME", help="only pairings of this season")
    run.add_argument("--out", type=Path, default=Path("out"), metavar="DIR", help="where sheets go (out)")
    run.add_argument("--paper", choices=("a4", "letter"), help="paper size; else that of the Maker sheet")
    run.add_argument("--jobs", type=int, default=0, metavar="N", help="worker processes; 0: one a core")
    run.add_argument("--no-pdf", action="store_true", help="assess and write back, print nothing")
    run.add_argument("--dry-run", action="store_true", help="assess only; nothing is written")
    run.add_argument("--into", type=Path, metavar="COPY", help="leave the workbook alone; results go into this copy")
    run.add_argument("--templates", type=Path, metavar="DIR", help="your own templates; they stand before ours")
    run.add_argument("--booklet", action="store_true", help="also bind all sheets into one catalogue PDF")
    run.add_argument("--fresh", action="store_true", help="work everything out again, also what did not change")
    run.set_defaults(call=_run)


def _run(parsed: argparse.Namespace) -> int:
    from reportgen.season import Order, run

    order = Order(
        workbook=parsed.workbook,
        only=tuple(name.strip() for name in parsed.only.split(",") if name.strip()),
        season=parsed.season,
        out=parsed.out,
        paper={"a4": "A4", "letter": "Letter", None: None}[parsed.paper],
        jobs=parsed.jobs or len(os.sched_getaffinity(0)),
        pdf=not parsed.no_pdf and not parsed.dry_run,
        dry_run=parsed.dry_run,
        into=parsed.into,
        templates=parsed.templates,
        booklet=parsed.booklet,
        fresh=parsed.fresh,
    )
    report = run(order, _progress)
    _close(report)
    return report.exit_code


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
    for problem in report.problems:
        print(f"{'note: ' if problem.notice else ''}{problem}", file=sys.stderr)
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


def _hz(value: float | None) -> str:
    return "open" if value is None else f"{value:.0f}"


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    widths = [max(len(row[i]) for row in (head, *rows)) for i in range(len(head))]
    for row in (head, ["-" * width for width in widths], *rows):
        print("  ".join(f"{text:<{width}}" for text, width in zip(row, widths, strict=True)).rstrip())


def _check(parsed: argparse.Namespace) -> int:
    from reportgen.catalogue.reading import read_catalogue

    catalogue = read_catalogue(parsed.workbook)
    for problem in catalogue.problems:
        print(f"{'note: ' if problem.notice else ''}{problem}")
    errors = sum(not problem.notice for problem in catalogue.problems)
    fit = len(catalogue.pairings) - sum(id_ in catalogue.pairings for id_ in catalogue.unreadable)
    print(f"{errors} problems; {fit} pairings can be assessed, {len(catalogue.unreadable)} cannot.")
    return SOME_FAILED if errors else FINE


def _new(parsed: argparse.Namespace) -> int:
    from reportgen.catalogue.blank import write_blank, write_workbook
    from reportgen.problems import ReportgenError

    if parsed.workbook.exists():
        raise ReportgenError(
            f"{parsed.workbook}: a file stands here already. Give another name; nothing is overwritten."
        )
    if parsed.demo:
        from reportgen.catalogue.demo import demo_tables
        from reportgen.catalogue.democurves import demo_curve_files

        for name, text in demo_curve_files().items():
            file = parsed.workbook.parent / name
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text, encoding="utf-8")
        write_workbook(parsed.workbook, demo_tables())
    else:
        write_blank(parsed.workbook)
    print(f"{parsed.workbook} is written. Fill it in any spreadsheet program, then: reportgen run {parsed.workbook}")
    return FINE
