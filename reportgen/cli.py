# PYTHON_ARGCOMPLETE_OK
"""The commands: parse, call, print.

Knows words, exit codes and the terminal. Refuses to know how anything is worked out; the rest of the house is
imported only by the command that needs it, so that help comes at once.
"""

from __future__ import annotations

import argparse
import atexit
import gc
import io
import os
import sys
import time
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import reportgen
from reportgen.commands.cores import cores, use_one
from reportgen.late import imported_late

if TYPE_CHECKING:
    from reportgen.commands.orders import Order
    from reportgen.commands.terminal import Progress, Told
    from reportgen.problems import Problem

PAPERS = {"a4": "A4", "letter": "Letter", None: None}
UNUSABLE, STOPPED = 2, 130
SELDOM = (50_000, 20, 50)
"""How seldom garbage is looked for: what a command makes it keeps to its end (measured: 8 % of a long run, 2 % more memory)."""
Commands = Any
"""What `add_subparsers` returns; its class is private."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code: 0 fine, 1 some pairings could not be assessed, 2 workbook unusable."""
    usual = gc.get_threshold()
    gc.set_threshold(*SELDOM)
    atexit.register(gc.freeze)  # the interpreter's last search through all that is left takes a second of a long list
    try:
        return _called(arguments)
    except KeyboardInterrupt:
        from reportgen.commands.terminal import aside

        aside("\nStopped. What is finished is kept; the same command goes on from there.")
        return STOPPED
    finally:
        gc.set_threshold(*usual)


def _called(arguments: Sequence[str] | None) -> int:
    _open_streams()
    parsed = _parsed(arguments)
    use_one()
    from reportgen.problems import ReportgenError, WorkbookUnusable

    try:
        _look_at_names(parsed)
        _start_ahead(parsed)
        _look_at_templates(parsed)
        _look_at_engine(parsed)
        with imported_late():
            told: Told = parsed.call(parsed)
    except WorkbookUnusable as error:
        return _unusable(str(error), parsed.json, error.problems)
    except ReportgenError as error:
        return _unusable(str(error), parsed.json)
    except MemoryError:
        return _unusable("This takes more memory than is free. Close other programs and run again.", parsed.json)
    except OSError as error:
        what = f"{error.filename or 'A file'}: {error.strerror or error}"
        return _unusable(f"{what}. Free it or name another place, and run again.", parsed.json)
    return told.show(parsed.json)


def _open_streams() -> None:
    """What was closed before we began takes everything, and no workbook gets its number; a terminal that lacks a sign shows another in its place."""
    while (spare := os.open(os.devnull, os.O_RDWR)) < 3:
        os.set_inheritable(spare, True)
    os.close(spare)
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, open(os.devnull, "w"))  # noqa: SIM115 # until the end
        elif isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _look_at_names(parsed: argparse.Namespace) -> None:
    """Before the work: end it when the folder that we stand in is gone, or a name cannot be written into a workbook."""
    from reportgen.problems import ReportgenError

    try:
        os.getcwd()
    except OSError:
        raise ReportgenError("The folder that this command was started in is gone. Change to another one.") from None
    options = vars(parsed)
    for path in (options.get("workbook"), *options.get("workbooks", ()), options.get("against"), options.get("out")):
        name = "" if path is None else path.name if path.is_absolute() else str(path)
        if any("\ud800" <= letter <= "\udfff" for letter in name):  # bytes of the name that are no letters
            raise ReportgenError(f"{name}: the name is not written in UTF-8. Rename the file or folder.")


def _unusable(reason: str, as_json: bool, problems: Sequence[Problem] = ()) -> int:
    """Say why nothing was done, to a person and to a program that asked for JSON."""
    from reportgen.commands.terminal import Told, aside

    if not problems:
        aside(reason)
    return Told(UNUSABLE, facts={"reason": reason}, problems=problems).show(as_json)


def _parsed(arguments: Sequence[str] | None) -> argparse.Namespace:
    parser = _parser()
    if "_ARGCOMPLETE" in os.environ:  # the shell asks for the rest of a word; nobody else waits for the import
        import argcomplete

        argcomplete.autocomplete(parser)
    return parser.parse_args(arguments)


def _start_ahead(parsed: argparse.Namespace) -> None:
    """Before all else: let the workers of a run import what they need while this process imports and reads."""
    if parsed.call is _run and parsed.scheduler is None:
        from reportgen.commands import workers
        from reportgen.commands.preload import PRELOAD

        workers.start_ahead(PRELOAD if _prints(parsed) else PRELOAD[:-1])


def _prints(parsed: argparse.Namespace) -> bool:
    return not parsed.no_pdf and not parsed.dry_run


def _look_at_engine(parsed: argparse.Namespace) -> None:
    """Before the work of a command that prints: end it when the page engine lacks a library or every font."""
    options = vars(parsed)
    if "templates" in options and not options.get("no_pdf") and not options.get("dry_run") and options.get("pdf", True):
        from reportgen.paper.engine import require_engine

        require_engine()


def _look_at_templates(parsed: argparse.Namespace) -> None:
    """Before the work: end it when the folder is not there, and name files that no page will use."""
    folder = getattr(parsed, "templates", None)
    if folder is not None:
        from reportgen.commands.terminal import aside
        from reportgen.paper.templates import template_notes

        for note in template_notes(folder):
            aside(f"note: {note}")


# --- what can be asked --------------------------------------------------------------------------------------------


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="reportgen", description=reportgen.__doc__)
    parser.add_argument("--version", action="version", version=f"reportgen {reportgen.__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    _add_run(commands)
    check = _command(commands, "check", "list all problems of a workbook", _check)
    check.add_argument("workbook", type=Path)
    new = _command(commands, "new", "write an empty workbook", _new)
    new.add_argument("workbook", type=Path)
    filled = new.add_mutually_exclusive_group()
    filled.add_argument("--demo", action="store_true", help="fill it with the demo season")
    filled.add_argument("--next-season", action="store_true", help="fill it with the season after the demo season")
    _add_desk(commands)
    _add_business(commands)
    return parser


def _command(
    commands: Commands, name: str, text: str, call: Callable[[argparse.Namespace], Told]
) -> argparse.ArgumentParser:
    command: argparse.ArgumentParser = commands.add_parser(name, help=text)
    command.add_argument("--json", action="store_true", help="print the result as JSON")
    command.set_defaults(call=call)
    return command


def _desk_command(
    commands: Commands,
    name: str,
    text: str,
    call: Callable[[argparse.Namespace], Told],
    into: bool = False,
    jobs: bool = False,
) -> argparse.ArgumentParser:
    command = _command(commands, name, text, call)
    command.add_argument("workbook", type=Path)
    command.add_argument("--out", type=Path, default=Path("out"), metavar="DIR", help="folder for the pages (out)")
    command.add_argument(
        "--paper", choices=("a4", "letter"), type=str.lower, help="paper size; else that of the Maker sheet"
    )
    command.add_argument("--templates", type=Path, metavar="DIR", help="your own templates, used in place of ours")
    command.set_defaults(into=None)
    if into:
        command.add_argument(
            "--into", type=Path, metavar="COPY", help="leave the workbook alone; results go into this copy"
        )
    if jobs:
        command.add_argument(
            "--jobs", type=_at_least_one, metavar="N", help="worker processes, 1 or more; else one for each core"
        )
    return command


def _at_least_one(text: str) -> int:
    try:
        number = int(text)
    except ValueError:
        number = 0
    if number < 1:
        raise argparse.ArgumentTypeError(f"{text}: give a whole number of 1 or more")
    return number


def _some(text: str) -> str:
    if not _names([text]):
        raise argparse.ArgumentTypeError("nothing is named; name one or more, separated by commas")
    return text


_LISTED: dict[str, Any] = {"metavar": "IDS", "action": "append", "default": [], "type": _some}
"""An option that takes a list, and may be given again."""


def _add_run(commands: Commands) -> None:
    run = _desk_command(
        commands, "run", "assess, print and write back every pairing of a workbook", _run, into=True, jobs=True
    )
    run.add_argument("--only", **_LISTED, help="only these pairings, separated by commas")
    run.add_argument("--season", metavar="NAME", help="only pairings of this season")
    run.add_argument("--scheduler", metavar="ADDRESS", help="use the workers of a dask.distributed scheduler instead")
    run.add_argument("--no-pdf", action="store_true", help="assess and write back, print nothing")
    run.add_argument("--dry-run", action="store_true", help="assess only; nothing is written")
    run.add_argument("--booklet", action="store_true", help="also collect all sheets in one catalogue PDF")
    run.add_argument("--fresh", action="store_true", help="assess everything again, including what did not change")
    run.add_argument(
        "--data", action="store_true", help="also write curves (CSV) and circuit (SPICE) beside each sheet"
    )
    run.add_argument(
        "--pages",
        choices=("sheet", "all"),
        default="all",
        help="the two sides of one sheet of paper, or its annex as well",
    )
    run.add_argument(
        "--keep",
        type=_at_least_one,
        metavar="N",
        help="result sheets of the last N runs stay in the workbook, older ones go; History stays whole",
    )


def _add_desk(commands: Commands) -> None:
    """The commands of the daily desk."""
    screen = _desk_command(
        commands, "screen", "every low driver against every high driver at one use", _screen, into=True
    )
    screen.add_argument("--low", **_LISTED, help="only these low drivers, separated by commas")
    screen.add_argument(
        "--application", metavar="ID", help="screen for the use of this pairing or enquiry; else of the first pairing"
    )
    screen.add_argument(
        "--slopes", **{**_LISTED, "metavar": "NAMES"}, help="slopes to try besides the wanted one (LR2,BW3,LR4)"
    )
    answer = _desk_command(
        commands, "answer", "answer every open enquiry: a page and a text for the mail", _answer, into=True
    )
    answer.add_argument("--only", **_LISTED, help="only these enquiries, separated by commas; answered ones too")
    compare = _desk_command(commands, "compare", "pairings side by side on one page", _compare, into=True)
    compare.add_argument("pairings", nargs="+", metavar="PAIRING", help="IDs of two pairings or more")
    history = _command(commands, "history", "the history of many seasons in one workbook", _history)
    history.add_argument("workbooks", type=Path, nargs="+", metavar="WORKBOOK")
    history.add_argument(
        "--into",
        type=Path,
        default=Path("out/history.xlsx"),
        metavar="FILE",
        help="the workbook to write (out/history.xlsx)",
    )
    again = _desk_command(commands, "recompute", "an old run once more, from the data kept in its History", _recompute)
    again.add_argument("--run", type=_at_least_one, required=True, metavar="N", help="number of the run")
    again.add_argument("--pdf", action="store_true", help="also print its sheets")


def _add_business(commands: Commands) -> None:
    """The commands of the season as a business."""
    _desk_command(
        commands,
        "supply",
        "what the planned kits take from the shelf, and what is short",
        _supply,
        into=True,
        jobs=True,
    )
    withdraw = _desk_command(
        commands,
        "withdraw",
        "what takes the place of a driver, guide or part that goes",
        _withdraw,
        into=True,
        jobs=True,
    )
    withdraw.add_argument("id", metavar="ID", help="driver, waveguide or part that goes out of production")
    prices = _desk_command(
        commands, "pricelist", "the price list of the kits that may be sold", _pricelist, into=True, jobs=True
    )
    prices.add_argument("--season", metavar="NAME", help="only kits of this season")
    whatif = _desk_command(
        commands, "whatif", "before and after with cells changed; nothing is written", _whatif, jobs=True
    )
    whatif.add_argument(
        "changes", nargs="+", metavar="CHANGE", help="such as “HD-07: Price = 48”, “Practice: air temperature = 25”"
    )
    changes = _desk_command(
        commands, "changes", "what changed since a run or another season, and why", _changes, into=True, jobs=True
    )
    earlier = changes.add_mutually_exclusive_group()
    earlier.add_argument(
        "--since", type=_at_least_one, metavar="RUN", help="number of the run; else the last one that differs from now"
    )
    earlier.add_argument("--against", type=Path, metavar="OTHER", help="the earlier season, another workbook")


# --- what is called -----------------------------------------------------------------------------------------------


def _run(parsed: argparse.Namespace) -> Told:
    progress, began = _progress(parsed), time.monotonic()
    from reportgen.commands.run import RunOrder, run
    from reportgen.commands.terminal import aside

    order = RunOrder(
        workbook=parsed.workbook,
        only=_names(parsed.only),
        season=parsed.season,
        out=parsed.out,
        paper=PAPERS[parsed.paper],
        jobs=parsed.jobs or cores(),
        pdf=_prints(parsed),
        dry_run=parsed.dry_run,
        into=parsed.into,
        templates=parsed.templates,
        booklet=parsed.booklet,
        data=parsed.data,
        pages=parsed.pages,
        fresh=parsed.fresh,
        scheduler=parsed.scheduler,
        keep=parsed.keep,
    )
    report = run(order, progress, say=aside)
    from reportgen.commands import told

    return told.of_run(report, time.monotonic() - began)


def _names(texts: Iterable[str]) -> tuple[str, ...]:
    """The names in lists separated by commas, each from one use of an option."""
    return tuple(name.strip() for text in texts for name in text.split(",") if name.strip())


def _progress(parsed: argparse.Namespace) -> Progress:
    from reportgen.commands.terminal import Progress

    return Progress(f"Reading {parsed.workbook}")


def _order(parsed: argparse.Namespace) -> Order:
    from reportgen.commands.orders import Order

    return Order(parsed.workbook, parsed.out, parsed.into, PAPERS[parsed.paper], parsed.templates)


def _check(parsed: argparse.Namespace) -> Told:
    from reportgen.commands import check, told

    return told.of_check(check.check_workbook(parsed.workbook))


def _new(parsed: argparse.Namespace) -> Told:
    from reportgen.commands import new, told

    new.new_workbook(parsed.workbook, parsed.demo, parsed.next_season)
    return told.of_new(parsed.workbook)


def _screen(parsed: argparse.Namespace) -> Told:
    from reportgen.commands import screen, told

    slopes = {"slopes": _slopes(parsed.slopes)} if parsed.slopes else {}
    return told.of_screen(screen.screen_workbook(_order(parsed), _names(parsed.low), parsed.application, **slopes))


def _slopes(texts: Iterable[str]) -> tuple[str, ...]:
    from reportgen.catalogue.columns import SLOPES
    from reportgen.problems import ReportgenError

    names = tuple(name.upper() for name in _names(texts))
    if unknown := [name for name in names if name not in SLOPES]:
        raise ReportgenError(f"--slopes: {', '.join(unknown)}: no such slope. There are: {', '.join(SLOPES)}.")
    return names


def _answer(parsed: argparse.Namespace) -> Told:
    progress = _progress(parsed)
    from reportgen.commands import answer, told

    return told.of_answer(answer.answer_workbook(_order(parsed), _names(parsed.only), progress))


def _compare(parsed: argparse.Namespace) -> Told:
    progress = _progress(parsed)
    from reportgen.commands import compare, told

    return told.of_compare(compare.compare_workbook(_order(parsed), parsed.pairings, progress))


def _history(parsed: argparse.Namespace) -> Told:
    from reportgen.commands import history, told

    return told.of_history(*history.gather_histories(parsed.workbooks, parsed.into), len(parsed.workbooks))


def _recompute(parsed: argparse.Namespace) -> Told:
    progress = _progress(parsed)
    from reportgen.commands import recompute, told

    return told.of_recompute(recompute.recompute_run(_order(parsed), parsed.run, parsed.pdf, progress))


def _supply(parsed: argparse.Namespace) -> Told:
    progress = _progress(parsed)
    from reportgen.commands import supply, told

    return told.of_listing(supply.supply_workbook(_order(parsed), progress, parsed.jobs or 0))


def _withdraw(parsed: argparse.Namespace) -> Told:
    progress = _progress(parsed)
    from reportgen.commands import told, withdraw

    return told.of_listing(withdraw.withdraw(_order(parsed), parsed.id, progress, parsed.jobs or 0))


def _pricelist(parsed: argparse.Namespace) -> Told:
    progress = _progress(parsed)
    from reportgen.commands import pricelist, told

    return told.of_listing(pricelist.pricelist(_order(parsed), parsed.season, progress, parsed.jobs or 0))


def _whatif(parsed: argparse.Namespace) -> Told:
    progress = _progress(parsed)
    from reportgen.commands import told, whatif

    return told.of_listing(whatif.whatif(_order(parsed), parsed.changes, progress, parsed.jobs or 0))


def _changes(parsed: argparse.Namespace) -> Told:
    progress = _progress(parsed)
    from reportgen.commands import changes, told

    done = changes.changes(_order(parsed), parsed.since, parsed.against, progress, parsed.jobs or 0)
    return told.of_listing(done)
