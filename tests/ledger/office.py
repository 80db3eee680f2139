"""Workbooks of these tests as the office program saves them: one start of it for all, for a start takes longer than a file."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from collections.abc import Mapping
from pathlib import Path

from tests.endtoend.seasons import chosen, small, write_season
from tests.ledger import conftest, runs
from tests.ledger.grafting import graft
from tests.shared import shared

HERE = shutil.which("soffice") is not None


@shared
def given() -> Mapping[str, bytes]:
    """What it is given: grafted workbooks, one after a run, one after three with the first of them folded away, and a season."""
    with tempfile.TemporaryDirectory() as folder:
        rows = chosen("P-12", "P-19")
        season = write_season(Path(folder) / "season.xlsx", rows, **small(*rows)).read_bytes()
    additions, rich = conftest.run_sheets(1, history_rows=2), conftest.written_by_xlsxwriter()
    return {
        "rich": graft(rich, additions), "hand": graft(conftest._hand_made(rich), additions), "after a run": runs.first_run(),
        "after three": runs.rich(), "folded": runs.folded(runs.rich(), keep=2)[0], "season": season,
    }  # fmt: skip


@shared
def saved() -> Mapping[str, bytes]:
    """What it makes of them."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for title, data in given().items():
            (folder / f"{title}.xlsx").write_bytes(data)
        profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
        command = ["soffice", profile, "--headless", "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir"]
        files = [str(folder / f"{title}.xlsx") for title in given()]
        subprocess.run([*command, str(folder / "saved"), *files], check=True, capture_output=True, timeout=180)
        return {title: (folder / "saved" / f"{title}.xlsx").read_bytes() for title in given()}
