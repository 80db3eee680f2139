"""The page engine, imported without asking the compiler where its libraries are.

Importing this module imports the engine. For each library the engine tries names of several systems in turn, and for each of
those Python asks ldconfig, gcc and ld (ctypes.util.find_library): some fifty processes and 0.2 to 0.4 s before the first
page. On Linux the names that end in .so and a number are found by the loader itself. What the engine needs only where fonts are subset
in Python, or vary, comes when it is used.
"""

from __future__ import annotations

import ctypes.util
import importlib
import sys
from collections.abc import Iterator
from contextlib import contextmanager

from reportgen.late import imported_late, stand_in

ENGINE = "weasyprint"


@contextmanager
def loader_alone() -> Iterator[None]:
    """Libraries are found by the loader or not at all."""
    theirs = ctypes.util.find_library
    ctypes.util.find_library = _nowhere
    try:
        yield
    finally:
        ctypes.util.find_library = theirs


def _nowhere(name: str) -> str | None:
    return None


def start_engine() -> None:
    """Import the engine; where the loader alone does not find its libraries, in its own way.

    Errors: OSError when it lacks a library.
    """
    stand_in("fontTools.varLib.instancer", "instantiateVariableFont")
    with imported_late():
        if sys.platform == "linux" and ENGINE not in sys.modules:
            try:
                with loader_alone():
                    importlib.import_module(ENGINE)
            except OSError:  # a system that names them otherwise
                for name in [name for name in sys.modules if name.split(".")[0] == ENGINE]:
                    del sys.modules[name]
        importlib.import_module(ENGINE)


start_engine()
