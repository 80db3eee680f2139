"""Own templates in every command: a missing folder ends it before the work, a fault costs its own page only."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen import cli
from tests.endtoend.seasons import after_a_run, chosen, small, write_files, write_season
from tests.workbooks import sheet_names

pytestmark = pytest.mark.usefixtures("one_process")

ASKED = {
    "screen": ("screening.html", ("screen", "season.xlsx", "--low", "LD-01", "--slopes", "LR4")),
    "compare": ("comparison.html", ("compare", "season.xlsx", "P-19", "P-12")),
    "answer": ("answer.html", ("answer", "season.xlsx", "--only", "E-01")),
    "run": ("front.html", ("run", "season.xlsx", "--jobs", "1")),
    "recompute": ("front.html", ("recompute", "season.xlsx", "--run", "1", "--pdf")),
}
"""Every command that prints: a template of its page, and how it is called."""


@pytest.mark.parametrize("command", ASKED)
def test_a_fault_in_an_own_template_costs_its_page_only(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], command: str
) -> None:
    monkeypatch.chdir(tmp_path)
    write_files(tmp_path, after_a_run("P-19", "P-12"))
    if command == "recompute":
        (tmp_path / "run" / "copy.xlsx").rename("season.xlsx")
    template, call = ASKED[command]
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / template).write_text("<p>\n{{ page.no_such_thing }}")
    (tmp_path / "own" / "stlye.css").write_text("")
    capfd.readouterr()
    code = cli.main([*call, "--templates", "own"])
    out, err = capfd.readouterr()
    assert code == 1, out + err
    assert f"own/{template}, line 2: " in out and "no_such_thing" in out and "Traceback" not in out + err
    assert "own/stlye.css: no page uses a template of this name. Did you mean style.css?" in err
    if command in ("screen", "compare", "run"):
        assert any(name.startswith(("Run", "Screening", "Comparison")) for name in sheet_names("season.xlsx"))
    if command == "answer":
        assert list((tmp_path / "out/season/answers").glob("*.txt"))


@pytest.mark.parametrize("command", ASKED)
def test_a_missing_folder_of_templates_ends_every_command_before_the_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], command: str
) -> None:
    monkeypatch.chdir(tmp_path)
    pairings = chosen("P-19", "P-12")
    write_season(tmp_path / "season.xlsx", pairings, **small(*pairings))
    before = (tmp_path / "season.xlsx").read_bytes()
    assert cli.main([*ASKED[command][1], "--templates", "none"]) == 2
    assert "none: there is no such folder of templates" in capfd.readouterr().err
    assert (tmp_path / "season.xlsx").read_bytes() == before and not (tmp_path / "out").exists()
