"""The page engine starts without asking a compiler for its libraries, and in its own way where the loader does not find them."""

from __future__ import annotations

import ctypes.util
import importlib
import subprocess
import sys

import pytest

from reportgen.paper import enginestart

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
