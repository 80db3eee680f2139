"""Modules that wait: the same in use, imported only then, and every name that is there for nothing is found."""

from __future__ import annotations

import subprocess
import sys

LATE = """
import sys
from reportgen.late import SELDOM_USED, imported_late
def run(names):
    return {name for name in names if name in sys.modules and type(sys.modules[name]).__name__ != "_LazyModule"}
with imported_late():
    import scipy.special
    import reportgen.paper.render
assert not any(type(one).__module__ == "reportgen.late" for one in sys.meta_path), "left behind"
"""


def python(code: str) -> str:
    return subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True).stdout.strip()


def test_what_is_seldom_used_is_there_and_waits_and_is_itself_when_it_is_used() -> None:
    """All names are imported by the libraries as they are now: one that is not does nothing and goes from the list."""
    code = f"{LATE}print(set(SELDOM_USED) - set(sys.modules), run(SELDOM_USED))\n"
    used = "import numpy, numpy.ctypeslib; print(numpy.ctypeslib.ndpointer(numpy.int8).__name__, 'numpy.ctypeslib' in run(SELDOM_USED))\n"
    subset = "from fontTools import subset; print(subset.Options().__class__.__name__)"
    assert python(code + used + subset) == "set() set()\nndpointer_|i1 True\nOptions"


def test_a_function_brings_its_module_when_it_is_called() -> None:
    """The engine has it at hand under its own name and calls it where a font varies."""
    name = "fontTools.varLib.instancer"
    code = (
        f"{LATE}from weasyprint.pdf import fonts\nbefore = {name!r} in sys.modules, 'fontTools.varLib' in sys.modules\n"
    )
    calls = "try: fonts.instantiateVariableFont(object(), {})\nexcept Exception as error: said = type(error).__name__\n"
    after = f"import {name}; print(before, said, sys.modules[{name!r}].__file__ is not None, {name}.instantiateVariableFont.__module__)"
    assert python(f"{code}{calls}{after}") == f"(True, False) TypeError True {name}"
