"""The documents say what the code says: generated tables, places, links, commands, options and dependencies."""

from __future__ import annotations

import argparse
import re
import tomllib
from functools import cache

from reportgen import cli
from reportgen.catalogue.reference import columns_reference
from tests.documentation import COLUMNS, COLUMNS_HEAD, ROOT, VALUES, row
from tests.every import every
from tests.reference.check_table import registered

PACKAGE = ROOT / "reportgen"
WRITTEN = sorted([*ROOT.glob("*.md"), *ROOT.glob("workbooks/*.md"), *ROOT.glob("tests/**/*.md")])


@cache
def text_of(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def part(name: str, heading: str) -> str:
    """What stands under a heading of a document."""
    return text_of(name).split(f"\n## {heading}\n")[1].split("\n## ")[0]


def commands() -> dict[str, argparse.ArgumentParser]:
    """Every command of the program with its parser."""
    actions = cli._parser()._actions
    (found,) = [action for action in actions if isinstance(action, argparse._SubParsersAction)]
    return dict(found.choices)


# --- tables made from the code ---------------------------------------------------------------------------------------


def test_the_column_reference_is_that_of_the_code() -> None:
    assert COLUMNS.read_text(encoding="utf-8") == COLUMNS_HEAD + columns_reference()


def test_the_table_of_published_values_has_every_check() -> None:
    lines = VALUES.read_text(encoding="utf-8").splitlines()
    written = lines[lines.index("| --- | --- | --- | --- | --- |") + 1 :]
    wanted = [row(module, check) for module, check in registered()]
    assert [line[: len(start)] for line, start in zip(written, wanted, strict=True)] == wanted


# --- the guide -------------------------------------------------------------------------------------------------------


def test_the_guide_is_for_an_hour() -> None:
    assert len(text_of("DEVELOPERS.md").splitlines()) < 150
    assert len(re.findall(r"^\d+\. ", part("DEVELOPERS.md", "One pairing from cell to page"), re.MULTILINE)) == 10
    assert text_of("DEVELOPERS.md").split("\n## ")[-1].startswith("Changelog\n")


def test_the_map_names_every_room() -> None:
    named = set(re.findall(r"^\| `([\w.]+)/?` \|", part("DEVELOPERS.md", "Map"), re.MULTILINE))
    there = {path.name for path in PACKAGE.iterdir() if path.suffix == ".py" or (path / "__init__.py").is_file()}
    assert named == there - {"__init__.py", "__main__.py"}


def test_every_file_that_a_document_names_is_there() -> None:
    """A name with a folder counts from the root or the package; one without may stand in any room."""
    files = {path.name for path in ROOT.glob("*/**/*.py")}
    for document in WRITTEN:
        text = document.read_text(encoding="utf-8")
        for name in re.findall(r"`((?:\w+/)*\w+\.py)`", text):
            found = (ROOT / name).exists() or (PACKAGE / name).exists() if "/" in name else name in files
            assert found, f"{document.name}: {name}"
        for folder in re.findall(r"`((?:\w+/)+)`", text):
            assert (ROOT / folder).is_dir() or (PACKAGE / folder).is_dir(), f"{document.name}: {folder}"
        for target in re.findall(r"\]\(([^)#:]+)\)", text):
            assert (document.parent / target).exists(), f"{document.name}: {target}"


def test_every_module_that_a_document_runs_is_there() -> None:
    for document in WRITTEN:
        for name in re.findall(r"python -m ([\w.]+)", document.read_text(encoding="utf-8")):
            place = ROOT.joinpath(*name.split("."))
            assert place.with_suffix(".py").exists() or (place / "__main__.py").exists(), f"{document.name}: {name}"


def test_every_dependency_says_why() -> None:
    project = tomllib.loads(text_of("pyproject.toml"))["project"]
    extras = [name for extra in project["optional-dependencies"].values() for name in extra]
    wanted = {re.split(r"[><=\[]", name)[0] for name in [*project["dependencies"], *extras]}
    told = part("DEVELOPERS.md", "Why each dependency")
    for name in sorted(wanted):
        stub = "stubs" in name or name.startswith("types-")
        assert re.search(rf"\b{'stubs' if stub else name}\b", told), name
    debian = re.search(r"^packages=\((.*?)^\)", text_of(".ci/setup"), re.DOTALL | re.MULTILINE)
    assert debian is not None
    system = re.findall(r"[\w.-]+", debian[1] + text_of(".ci/setup").split("packages+=(")[1].split(")")[0])
    quiet = {"python3", "python3-venv", "libpango-1.0-0", "libpangoft2-1.0-0"}  # the page engine's own
    for name in set(system) - quiet:
        assert re.sub(r"-(core|extra)$", "", name) in told, name


# --- the front page --------------------------------------------------------------------------------------------------


def told_commands() -> dict[str, str]:
    """Command -> its row in the table of the README."""
    rows = re.findall(r"^\| `(\w+) ?[^`]*` \|(.*)\|$", part("README.md", "Commands"), re.MULTILINE)
    return dict(rows)


def test_the_front_page_names_every_command() -> None:
    assert set(told_commands()) == set(commands())


@every("name", sorted(commands()))
def test_the_front_page_names_the_options_of_every_command(name: str) -> None:
    options = {text for action in commands()[name]._actions for text in action.option_strings}
    heading = re.search(rf"^\| `{name}\b([^`]*)`", part("README.md", "Commands"), re.MULTILINE)
    assert heading is not None
    told = set(re.findall(r"--[\w-]+", told_commands()[name] + heading[1]))
    assert told <= options <= told | {"-h", "--help", "--json", "--out", "--paper", "--templates"}


def test_the_examples_of_the_front_page_parse() -> None:
    """Every line that calls the program is one that it takes."""
    lines = re.findall(r"\.venv/bin/reportgen ([^#\n]+)", text_of("README.md"))
    assert len(lines) >= 4
    for line in lines:
        assert cli._parser().parse_args(line.split()).call


def test_the_command_of_the_tests_is_that_of_ci() -> None:
    assert ".ci/setup test" in text_of("README.md") and ".ci/setup test" in text_of(".ci/run")


def test_every_document_is_looked_at() -> None:
    names = {str(path.relative_to(ROOT)) for path in WRITTEN}
    assert names >= {
        "README.md",
        "DEVELOPERS.md",
        "workbooks/COLUMNS.md",
        "workbooks/RESULTS.md",
        "tests/reference/README.md",
        "tests/benchmarks/README.md",
    }
