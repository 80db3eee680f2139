"""What the tests of processes let them do: each process imports this module, so that it imports next to nothing."""

from __future__ import annotations

import gc
import os
import signal
import time
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from reportgen.commands.tasks import Done, Task


def squared(number: int) -> int:
    return number * number


def dies_on_three(number: int) -> int:
    if number == 3:
        os._exit(1)
    return number * number


def killed_on_three(number: int) -> int:
    if number == 3:
        os.kill(os.getpid(), signal.SIGKILL)
    return number * number


def eats_all_memory_on_three(number: int) -> int:
    import resource

    if number == 3:
        resource.setrlimit(resource.RLIMIT_AS, (1 << 30, 1 << 30))
        return len(bytearray(8 << 30))
    return number * number


class DiesOnce:
    """Kills its process on three, unless a file says that it did so before."""

    def __init__(self, mark: Path) -> None:
        self.mark = mark

    def __call__(self, number: int) -> int:
        if number == 3 and not self.mark.exists():
            self.mark.touch()
            os._exit(1)
        return number * number


class AlwaysDies:
    """Kills its process on three, each time with a mark in a file."""

    def __init__(self, mark: Path) -> None:
        self.mark = mark

    def __call__(self, number: int) -> int:
        if number == 3:
            with self.mark.open("a") as file:
                file.write("x")
            os._exit(1)
        return number * number


class SpeaksLong:
    """Tells more than a line holds at once, and marks each time that it works on three."""

    def __init__(self, mark: Path) -> None:
        self.mark = mark

    def __call__(self, number: int) -> bytes:
        if number == 3:
            with self.mark.open("a") as file:
                file.write("x")
        return bytes([number]) * (8 << 20)


def whoami(_: int) -> int:
    return os.getpid()


def collects(_: int) -> bool:
    return gc.isenabled() and gc.get_freeze_count() > 0


def settings(_: int) -> tuple[str, bool]:
    masked = signal.SIGINT in signal.pthread_sigmask(signal.SIG_BLOCK, [])
    ignored = signal.getsignal(signal.SIGINT) is signal.SIG_IGN
    return os.environ["OPENBLAS_NUM_THREADS"], masked or ignored


def says_who_and_waits(folder: str) -> None:
    Path(folder, str(os.getpid())).touch()
    time.sleep(60)


def dies_on_p_19(task: Task) -> Done:
    from reportgen.commands.tasks import Done

    if task.pairing.id == "P-19":
        os._exit(9)
    return Done(reason="alive")
