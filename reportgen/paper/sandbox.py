"""Templates under lock and key: no file, no program, no endless page.

Knows what a template may call and how long a page may take. Refuses to know what a page says.
"""

from __future__ import annotations

import ctypes
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import Any, Final

from jinja2.exceptions import SecurityError
from jinja2.runtime import Context
from jinja2.sandbox import ImmutableSandboxedEnvironment

PAGE_S: Final = 60.0
"""Longest time for one page of the operator's own look; ours take half a second (measured)."""
MOST_SIGNS: Final = 1_000_000
"""Longest text or list that a template may multiply something to."""
_PADDING: Final = {"center", "expandtabs", "format", "format_map", "ljust", "rjust", "zfill"}
"""Ways to make a short text as long as one likes."""


class Sandbox(ImmutableSandboxedEnvironment):
    """The template engine's own sandbox, and no way to fill the memory by a short expression."""

    intercepted_binops = frozenset({"*", "**", "%"})

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        for name in ("center", "format"):
            del self.filters[name]
        del self.globals["lipsum"]

    def call_binop(self, context: Context, operator: str, left: Any, right: Any) -> Any:
        """An operation that could make much out of little."""
        sized = [one for one in (left, right) if isinstance(one, str | bytes | list | tuple)]
        if operator == "%" and sized:
            raise SecurityError("a text cannot be filled in by %; write the parts one after the other")
        if operator == "**" and (abs(left) > MOST_SIGNS or abs(right) > 64):  # a double's mantissa and more
            raise SecurityError("this power is too large")
        if operator == "*" and sized and len(sized[0]) * (left if sized[0] is right else right) > MOST_SIGNS:
            raise SecurityError(f"what is multiplied here would have more than {MOST_SIGNS} signs")
        return super().call_binop(context, operator, left, right)

    def wrap_str_format(self, value: Any) -> Any:
        """No way to fill a text in is safe against its length, so a template has none."""
        return None

    def is_safe_callable(self, obj: Any) -> bool:
        """Whether a template may call this."""
        of_text = isinstance(getattr(obj, "__self__", None), str)
        return super().is_safe_callable(obj) and not (of_text and getattr(obj, "__name__", "") in _PADDING)


class TimeUp(BaseException):
    """The page takes too long; no handler of mere errors swallows this."""


def _waiting(reason: Sequence[object]) -> None:
    """Wait to be ended, in a call: of a bare loop Python 3.13 does not find the handler around it."""
    while reason:
        pass


@contextmanager
def time_limit(seconds: float) -> Iterator[None]:
    """Raise TimeUp in this thread when what is done inside takes longer, and again until it ends.

    It works in any thread and on any system (`PyThreadState_SetAsyncExc` of the interpreter's C interface), between two
    steps of the interpreter: a single call of a library is waited for.
    """
    over, turn, thread = threading.Event(), threading.Lock(), ctypes.c_ulong(threading.get_ident())
    raise_in, sent = ctypes.pythonapi.PyThreadState_SetAsyncExc, list[float]()

    def watch() -> None:
        wait = seconds
        while not over.wait(wait):
            with turn:
                if not over.is_set():
                    sent.append(wait)
                    raise_in(thread, ctypes.py_object(TimeUp))
            wait = 1.0

    threading.Thread(target=watch, daemon=True).start()
    try:
        yield
    finally:
        over.set()
        # The last one may still be on its way: it is caught here. Taken back, it is looked for without end where steps are traced.
        with turn, suppress(TimeUp):
            if sent:
                raise_in(thread, ctypes.py_object(TimeUp))
            _waiting(sent)
