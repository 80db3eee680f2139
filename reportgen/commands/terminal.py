"""What a command says while it works and when it is done: lines and tables for a person, or JSON for a program.

Knows the width of a terminal and how far the work is. Refuses to know any command; it uses no colour, so there is none to
turn off.
"""

from __future__ import annotations

import json
import os
import shutil
import sys
import time
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TextIO

from reportgen.problems import Problem

BAR = 24
LEAST_ETA_S = 3.0
"""No forecast before so many seconds: the first pieces tell little."""


@dataclass(frozen=True)
class Table:
    """Rows under headings; the last column gives way where the terminal is narrow."""

    head: Sequence[str]
    rows: Sequence[Sequence[str]]

    def lines(self, width: int) -> list[str]:
        """The table with no line longer than `width`, as far as the last column can give way."""
        widths = [max(places(row[i]) for row in (self.head, *self.rows)) for i in range(len(self.head))]
        room = width - sum(widths[:-1]) - 2 * (len(widths) - 1)
        widths[-1] = min(widths[-1], max(room, 12))
        rows = (self.head, ["-" * one for one in widths], *self.rows)
        return ["  ".join(_filled(text, one) for text, one in zip(row, widths, strict=True)).rstrip() for row in rows]


def places(text: str) -> int:
    """How many places a text takes on a terminal: a letter of East Asia two, a mark above another letter none (Unicode Standard Annex 11).

    >>> places("Teal"), places("芦苇"), places("e\u0301")
    (4, 4, 1)
    """
    if text.isascii():
        return len(text)
    return sum(0 if unicodedata.combining(ch) else 1 + (unicodedata.east_asian_width(ch) in "WF") for ch in text)


def _filled(text: str, width: int) -> str:
    """The text in just so many places, cut or followed by blanks.

    >>> _filled("Cone break-up", 8), _filled("Heat", 8), _filled("芦苇キット", 8)
    ('Cone br…', 'Heat    ', '芦苇キ… ')
    """
    if places(text) > width:
        kept = text[:width]
        while places(kept) > width - 1:
            kept = kept[:-1]
        text = f"{kept}…"
    return text + " " * (width - places(text))


@dataclass
class Told:
    """What a command came to: lines and tables in order, and the same as facts for a program."""

    code: int = 0
    lines: list[str | Table] = field(default_factory=list)
    facts: dict[str, Any] = field(default_factory=dict)
    problems: Sequence[Problem] = ()

    def show(self, as_json: bool) -> int:
        """Print it, problems apart; returns the exit code, 2 where the standard output takes no more of it."""
        complain(self.problems)
        try:
            print(self._as_json() if as_json else self._for_a_person(), end="", flush=True)
        except BrokenPipeError:  # who reads the first lines alone wants no more
            _let_go(sys.stdout)
        except OSError as error:
            _let_go(sys.stdout)
            aside(f"Standard output: {error.strerror}. The work is done; only its list is cut off here.")
            return 2
        return self.code

    def _as_json(self) -> str:
        problems = [{"place": one.place, "notice": one.notice, "text": str(one)} for one in self.problems]
        facts = {"exit_code": self.code, **self.facts, "problems": problems}
        return json.dumps(facts, ensure_ascii=False, default=str) + "\n"

    def _for_a_person(self) -> str:
        width = shutil.get_terminal_size().columns if sys.stdout.isatty() else 10_000
        lines = (line.lines(width) if isinstance(line, Table) else (line,) for line in self.lines)
        return "".join(f"{line}\n" for several_lines in lines for line in several_lines)


def complain(problems: Sequence[Problem]) -> None:
    """Problems, each in a line of its own, apart from results."""
    for problem in problems:
        aside(f"{'note: ' if problem.notice else ''}{problem}")


def aside(text: str, end: str = "\n") -> None:
    """Say something beside the results, at once. That nobody reads it any more, or that its file is on a full disk, stops no work."""
    try:
        print(text, end=end, file=sys.stderr, flush=True)
    except OSError:
        _let_go(sys.stderr)


def _let_go(stream: TextIO) -> None:
    """From now on the stream takes everything, and shows nothing of it."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


class Progress:
    """Tells how far the work is: a bar with a forecast on a terminal, a plain line for each piece elsewhere."""

    def __init__(self, what: str) -> None:
        """Say at once what is begun."""
        self._began: float | None = None
        self._first = 0
        if sys.stderr.isatty():
            aside(f"{what} ...", end="")

    def __call__(self, id_: str, done: int, total: int) -> None:
        """One more piece is done."""
        if not sys.stderr.isatty():
            aside(f"{done}/{total} {id_}")
            return
        now = time.monotonic()
        if self._began is None:
            self._began, self._first = now, done
        width = shutil.get_terminal_size().columns - 1
        bar = "#" * (BAR * done // max(total, 1))
        line = f"[{bar:<{BAR}}] {done}/{total} {id_[:20]}{self._forecast(done, total, now - self._began)}"
        aside(f"\r{_filled(line, width)}", end="\n" if done == total else "")

    def _forecast(self, done: int, total: int, seconds: float) -> str:
        if seconds < LEAST_ETA_S or done <= self._first or done == total:
            return ""
        return f", {time_words(seconds / (done - self._first) * (total - done))} to go"


def time_words(seconds: float) -> str:
    """A time as a person says it.

    >>> time_words(42.4), time_words(400.0), time_words(5400.0), time_words(8000.0)
    ('42 s', '7 min', '90 min', '2 h 13 min')
    """
    if seconds < 100.0:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60.0)
    return f"{minutes} min" if minutes < 100 else f"{minutes // 60} h {minutes % 60} min"


def several(count: int, noun: str) -> str:
    """A number of things.

    >>> several(1, "pairing"), several(0, "pairing"), several(2, "way")
    ('1 pairing', '0 pairings', '2 ways')
    """
    return f"{count} {noun}{'' if count == 1 else 's'}"


def counts(words: Mapping[str, int]) -> str:
    """A tally of verdicts in one line, the best first.

    >>> counts({"not suitable": 1, "undecided": 0, "suitable": 3})
    '3 suitable, 1 not suitable'
    """
    from reportgen.suitability.verdict import BEST_FIRST  # it asks for numpy, and help does without

    return ", ".join(f"{words[word]} {word}" for word in (*BEST_FIRST, "not assessed") if words.get(word))
