"""The page engine starts without asking a compiler for its libraries, and in its own way where the loader does not find them."""

from __future__ import annotations

import ctypes.util
import importlib
import os
import subprocess
import sys

import pytest

from reportgen.commands.cores import SINGLE_THREADED
from reportgen.paper import enginestart
from reportgen.paper.templates import SHEET

ASKS_NOBODY = """
import ctypes.util, sys
def asked(name):
    raise AssertionError(name)
ctypes.util.find_library = asked
from reportgen.paper import render
assert ctypes.util.find_library is asked, "not put back"
assert "weasyprint" in sys.modules
"""


@pytest.mark.skipif(sys.platform != "linux", reason="names of other systems are searched for")
def test_nobody_is_asked() -> None:
    done = subprocess.run([sys.executable, "-c", ASKS_NOBODY], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


PREPARED = """
import os, sys
from reportgen.paper import render, templates
from weasyprint.text.ffi import ffi
render.prepare()
print(len(os.listdir("/proc/self/task")), len(templates.environment(None).cache))
asked = []
theirs = ffi._typeof_locked
ffi._typeof_locked = lambda kind: (asked.append(kind), theirs(kind))[1]
from tests.paper.samples import STAMP, assessed
render.render_sheet(assessed("P-06"), STAMP)
print(asked, len(templates.environment(None).cache))
"""


@pytest.mark.skipif(sys.platform != "linux", reason="threads are counted as this system tells them")
def test_what_is_prepared_is_all_that_a_sheet_asks_for_and_starts_no_thread() -> None:
    """The server of the workers prepares it and is forked afterwards: no thread comes along, no template or type is read twice."""
    one = {**os.environ, **dict.fromkeys(SINGLE_THREADED, "1")}
    done = subprocess.run([sys.executable, "-c", PREPARED], capture_output=True, text=True, check=True, env=one)
    before, after = done.stdout.splitlines()
    assert before == f"1 {len(SHEET)}" and after == f"[] {len(SHEET) + 1}"


def test_what_the_loader_does_not_find_is_searched_for(monkeypatch: pytest.MonkeyPatch) -> None:
    theirs, searched = ctypes.util.find_library, []

    def imported(name: str) -> None:
        searched.append(ctypes.util.find_library is theirs)
        if not searched[-1]:
            raise OSError(name)

    monkeypatch.setattr(enginestart, "ENGINE", "an engine that is not there")
    monkeypatch.setattr(importlib, "import_module", imported)
    monkeypatch.setattr(sys, "platform", "linux")
    enginestart.start_engine()
    assert searched == [False, True]
