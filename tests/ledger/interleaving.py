"""Two commands that replace one file, stopped and set going step by step: every schedule on purpose, none by luck.

A command is a process of its own. Before each call that opens, locks, reads, writes through, links, renames, lists or
removes a file it says so and waits for leave. Run `python -m tests.ledger.interleaving` for the steps and the figures.
"""

from __future__ import annotations

import json
import os
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from reportgen.ledger import ownfiles, replacement
from reportgen.ledger.replacement import Fingerprint, read_workbook, replace_file

OLD = b"the old state"
NEW = {"a": b"the new state of a", "b": b"the new state of b, which is longer"}
BLOCKED_AFTER = 3
"""So many waits in a row for the lock mean that the other one has it."""


@dataclass
class Command:
    """One command under way: its process, the step before which it waits, and how it ended."""

    process: int
    reads: Any
    goes: int
    waits_before: str = ""
    steps: list[str] = field(default_factory=list)
    outcome: dict[str, Any] | None = None

    @classmethod
    def started(cls, who: str, file: Path, expected: Fingerprint | None) -> Command:
        """A command that is about to replace the file, stopped before its first step."""
        told, tells = os.pipe()
        reads, goes = os.pipe()
        process = os.fork()
        if process == 0:
            os.close(told), os.close(goes)
            _child(who, file, expected, tells, reads)
        os.close(tells), os.close(reads)
        command = cls(process, os.fdopen(told), goes)
        command._listen()
        return command

    def _listen(self) -> None:
        line = self.reads.readline()
        assert line, "the command ended without a word"
        word, _, rest = line.rstrip("\n").partition(" ")
        if word == "end":
            self.outcome, self.waits_before = json.loads(rest), ""
            os.waitpid(self.process, 0)
            self._close()
        else:
            self.waits_before = rest

    def go(self) -> bool:
        """Let it take its next step; False when it had none left."""
        if self.outcome is not None:
            return False
        self.steps.append(self.waits_before)
        os.write(self.goes, b"g")
        self._listen()
        return True

    def go_on(self, most: int = 1 << 30) -> bool:
        """Let it take so many steps, or all; False when it waits for a lock that another one holds."""
        waits = 0
        for _ in range(most):
            if self.outcome is not None:
                break
            if self.waits_before == "wait":
                waits += 1
            elif self.waits_before not in ("open lock", "flock"):
                waits = 0
            if waits > BLOCKED_AFTER:
                return False
            self.go()
        return True

    def kill(self) -> None:
        """End it where it stands, unless it has ended."""
        if self.outcome is not None:
            return
        os.kill(self.process, signal.SIGKILL)
        os.waitpid(self.process, 0)
        self._close()

    def _close(self) -> None:
        self.reads.close()
        os.close(self.goes)


def _child(who: str, file: Path, expected: Fingerprint | None, tells: int, reads: int) -> None:
    try:
        _make_steps(tells, reads)
        replacement._refuse_unreadable = lambda *_: None
        found = replace_file(file, NEW[who], expected)
        text = json.dumps({"path": str(found.path), "replaced": found.replaced, "reason": found.reason})
        os.write(tells, f"end {text}\n".encode())
    except BaseException as error:
        os.write(tells, f"end {json.dumps({'error': repr(error)})}\n".encode())
    finally:
        os._exit(0)


def _make_steps(tells: int, reads: int) -> None:
    """In the child: say and wait before every step."""

    def stepping(name: str, call: Callable[..., Any]) -> Callable[..., Any]:
        def step(*arguments: Any, **named: Any) -> Any:
            lock = " lock" if ownfiles.LOCK in str(arguments[:1]) else ""
            os.write(tells, f"step {name}{lock}\n".encode())
            os.read(reads, 1)
            return call(*arguments, **named)

        return step

    for name in ("open", "link", "replace", "unlink", "fsync"):
        setattr(os, name, stepping(name, getattr(os, name)))
    for name in ("read_bytes", "iterdir", "glob"):
        setattr(Path, name, stepping(name, getattr(Path, name)))
    tempfile.mkstemp = stepping("make temporary", tempfile.mkstemp)
    time.sleep = stepping("wait", lambda _: None)
    locks = ownfiles._fcntl
    ownfiles._fcntl = type("Locks", (), {"flock": staticmethod(stepping("flock", locks.flock)), "LOCK_EX": locks.LOCK_EX, "LOCK_NB": locks.LOCK_NB})  # fmt: skip


def begun(folder: Path, standing: bool) -> tuple[Path, Fingerprint | None]:
    """An empty folder with the file in its old state, or without it."""
    for left in folder.iterdir():
        left.unlink()
    file = folder / "Season 2025.xlsx"
    if not standing:
        return file, None
    file.write_bytes(OLD)
    return file, read_workbook(file)[1]


def whole(file: Path, standing: bool) -> None:
    """Assert that the file is one whole state whenever anybody looks."""
    states = {OLD, *NEW.values()} if standing else set(NEW.values())
    assert file.read_bytes() in states if file.exists() else not standing


def crossed(folder: Path, standing: bool, first: int, second: int) -> tuple[Command, Command]:
    """`a` takes `first` steps, `b` takes `second`, `a` ends, `b` ends; all that must hold is asserted."""
    file, expected = begun(folder, standing)
    a, b = (Command.started(who, file, expected) for who in NEW)
    try:
        a.go_on(first)
        whole(file, standing)
        b.go_on(second)
        whole(file, standing)
        if not a.go_on():  # b holds the lock
            assert b.go_on(), "both wait for each other"
        whole(file, standing)
        assert b.go_on() and a.go_on()
    finally:
        for command in (a, b):
            command.kill()
    _assert_both_are_told_the_truth(file, {"a": a, "b": b}, folder)
    return a, b


def _assert_both_are_told_the_truth(file: Path, commands: dict[str, Command], folder: Path) -> None:
    kept, winners = {file}, []
    for who, command in commands.items():
        outcome = command.outcome
        assert outcome is not None and "error" not in outcome, outcome
        path = Path(outcome["path"])
        assert path.read_bytes() == NEW[who], (who, outcome)
        if outcome["replaced"]:
            winners.append(who)
            assert path == file
        else:
            kept.add(path)
            said = ("was changed on the disk after it was read", "was made by somebody else")
            assert any(text in outcome["reason"] for text in said), outcome["reason"]
    assert len(winners) == 1, "one takes the place, the other stands beside it"
    assert set(folder.iterdir()) == kept, "nothing else is left"


def killed_then_next(folder: Path, standing: bool, steps: int) -> None:
    """`a` is killed after so many steps; `b`, a later command, works as if nothing had been, and clears up."""
    file, expected = begun(folder, standing)
    a = Command.started("a", file, expected)
    a.go_on(steps)
    a.kill()
    whole(file, standing)
    now = read_workbook(file)[1] if file.exists() else None
    b = Command.started("b", file, now)
    assert b.go_on()
    assert b.outcome is not None and b.outcome.get("replaced"), b.outcome
    assert file.read_bytes() == NEW["b"]
    assert list(folder.iterdir()) == [file], "nothing is left of the killed one"


def length(folder: Path, standing: bool) -> list[str]:
    """The steps of a command that is alone."""
    file, expected = begun(folder, standing)
    alone = Command.started("a", file, expected)
    alone.go_on()
    return alone.steps


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for standing in (True, False):
            steps = length(folder, standing)
            print(f"{'a file that stands' if standing else 'a new file'}: {len(steps)} steps: {', '.join(steps)}")
            winners: Counter[str] = Counter()
            for first in range(len(steps) + 1):
                for second in range(len(steps) + 1):
                    a, _ = crossed(folder, standing, first, second)
                    winners["a" if a.outcome and a.outcome["replaced"] else "b"] += 1
                killed_then_next(folder, standing, first)
            print(f"  {winners.total()} schedules, {dict(winners)} took the place; {len(steps) + 1} kills")


if __name__ == "__main__":
    sys.exit(main())
