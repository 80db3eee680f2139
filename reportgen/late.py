"""Modules that libraries import at once and hardly ever use: imported when something in them is asked for.

Knows names of modules and nothing of what stands in them. A name that a version of a library does not have is never asked for, and
one that is used at once is imported at once (measured: 0.05 s of `scipy.special` and 0.05 s of the page engine).
"""

from __future__ import annotations

import importlib
import importlib.util
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib.machinery import ModuleSpec
from types import ModuleType
from typing import Any

SELDOM_USED = (
    "fontTools.subset", "numpy.ctypeslib", "numpy.f2py", "numpy.polynomial", "numpy.testing", "pydoc",
)  # fmt: skip
"""What `scipy.special` and the page engine import and a run of ours never uses."""


class Finder:
    """Finds the modules of some names so that their text is not run before something in them is asked for."""

    def __init__(self, names: Sequence[str] = SELDOM_USED) -> None:
        self._names = set(names)

    def find_spec(self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None) -> Any:
        """The module's own spec with a late loader; None for any other module."""
        if name not in self._names:
            return None
        self._names.discard(name)  # the next one asked is the one that really finds it
        spec: ModuleSpec | None = importlib.util.find_spec(name)
        if spec is not None and spec.loader is not None and not isinstance(spec.loader, importlib.util.LazyLoader):
            spec.loader = importlib.util.LazyLoader(spec.loader)
        return spec


@contextmanager
def imported_late() -> Iterator[None]:
    """What is imported inside and is seldom used waits until it is."""
    finder = Finder()
    sys.meta_path.insert(0, finder)
    try:
        yield
    finally:
        sys.meta_path.remove(finder)


def stand_in(name: str, function: str) -> None:
    """Let one function of a module, which is not imported yet, import it when it is first called.

    For a module from which another takes that function at once.
    """
    if name in sys.modules:
        return
    module = ModuleType(name)

    def real() -> ModuleType:
        if sys.modules.get(name) is module:
            del sys.modules[name]
        return importlib.import_module(name)

    def other(attribute: str) -> Any:
        if attribute.startswith("__"):  # the machinery of imports asks for some that a plain module has not
            raise AttributeError(attribute)
        return getattr(real(), attribute)

    def called(*values: Any, **named: Any) -> Any:
        return getattr(real(), function)(*values, **named)

    setattr(module, function, called)
    module.__getattr__ = other  # type: ignore[method-assign] # as PEP 562 has it
    sys.modules[name] = module
