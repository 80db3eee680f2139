"""What is missing for printing is named with its package, before any work, and the exit code is 2."""

from __future__ import annotations

import ctypes
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from reportgen.paper import engine
from reportgen.problems import ReportgenError
from tests.endtoend.seasons import chosen, small, write_season
from tests.every import every

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="the engine is tried itself there")
REPOSITORY = Path(__file__).parents[2]


def test_nothing_is_missing_here() -> None:
    engine.require_engine()


def test_families_are_those_that_fontconfig_lists() -> None:
    """Against the system's own program."""
    if not shutil.which("fc-list"):
        pytest.skip("fontconfig's programs are not installed")
    listed = subprocess.run(["fc-list", ":", "family"], capture_output=True, text=True, check=True).stdout
    assert set(engine.families()) == {
        name.strip().replace("\\", "") for line in listed.splitlines() for name in line.split(",")
    }


@every("name", engine.LIBRARIES)
def test_a_missing_library_is_named_with_its_package(name: str) -> None:
    def load(wanted: str) -> Any:
        if wanted == name:
            raise OSError(f"{name}: cannot open shared object file")
        return ctypes.CDLL(wanted)

    with pytest.raises(ReportgenError) as caught:
        engine.require_engine(load)
    assert f"lacks {name}. " in str(caught.value) and f"sudo apt install {engine.LIBRARIES[name]}." in str(caught.value)


CALLS = {
    ("run", "season.xlsx"): 2,
    ("screen", "season.xlsx"): 2,
    ("answer", "season.xlsx"): 2,
    ("compare", "season.xlsx", "P-19", "P-12"): 2,
    ("recompute", "season.xlsx", "--run", "1", "--pdf"): 2,
    ("run", "season.xlsx", "--no-pdf", "--dry-run", "--only", "P-19", "--jobs", "1"): 0,
    ("check", "season.xlsx"): 0,
}
"""How each command is called, and the exit code where there are no fonts."""
CALLED = """
import contextlib, io, json, sys
from reportgen import cli

if __name__ == "__main__":
    told = []
    for call in json.load(sys.stdin):
        err = io.StringIO()
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(err):
            told.append([cli.main(call), err.getvalue()])
    print(json.dumps(told))
"""


def test_a_system_without_fonts_ends_the_commands_that_print(tmp_path: Path) -> None:
    rows = chosen("P-19", "P-12")
    write_season(tmp_path / "season.xlsx", rows, **small(*rows))
    (tmp_path / "none.conf").write_text('<?xml version="1.0"?><fontconfig><cachedir>cache</cachedir></fontconfig>')
    (tmp_path / "called.py").write_text(CALLED)
    environment = {**os.environ, "FONTCONFIG_FILE": str(tmp_path / "none.conf"), "PYTHONPATH": str(REPOSITORY)}
    before = (tmp_path / "season.xlsx").read_bytes()
    done = subprocess.run(
        [sys.executable, "called.py"], input=json.dumps(list(CALLS)), cwd=tmp_path, env=environment, capture_output=True, text=True, timeout=120, check=False
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    for (call, code), (got, err) in zip(CALLS.items(), json.loads(done.stdout), strict=True):
        assert got == code, (call, err)
        assert not code or ("sudo apt install fonts-inter" in err and len(err.splitlines()) == 1), (call, err)
    assert (tmp_path / "season.xlsx").read_bytes() == before and not (tmp_path / "out").exists()
