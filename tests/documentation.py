"""The documents that come from the code: `python -m tests.documentation` writes them anew.

Each is a whole file beside what it tells of; `test_documentation.py` holds them against the code.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import ceil, log10
from pathlib import Path

from reportgen.catalogue.reference import columns_reference
from tests.reference.check_table import Check, registered

ROOT = Path(__file__).parents[1]
COLUMNS = ROOT / "workbooks" / "COLUMNS.md"
VALUES = ROOT / "tests" / "reference" / "README.md"

COLUMNS_HEAD = """# Sheets and columns of the workbook

Written by `python -m tests.documentation` from `reportgen/catalogue/columns.py`. **Bold** with a star: required. The notes on the
headings of an empty workbook (`reportgen new`) say the same.

"""
VALUES_HEAD = """# Checks against published values

Written by `python -m tests.documentation` from the lists `CHECKS` of this folder: every figure with its source, as expected there
and as the program gets it. "Memory" marks a value written down without the source at hand.

"""


def figure(value: float, check: Check) -> str:
    """A figure with the digits that its tolerance allows to speak of."""
    decimals = max(0, min(9, ceil(-log10(check.tolerance)) + 1))
    text = f"{value:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def row(module: str, check: Check) -> str:
    """One line of the table without what the program got, which the last digit of a machine may move."""
    room = module.removeprefix("acoustics_").replace("_", " ")
    name, source = (text.replace("|", r"\|") for text in (check.name, check.source))
    return f"| {room} | {name} | {source} | {figure(check.expected, check)} |"


def checks_table() -> str:
    """Every registered check: room, quantity, source, expected, got."""
    head = "| room | quantity | source | expected | got |\n| --- | --- | --- | --- | --- |\n"
    return head + "\n".join(f"{row(module, check)} {figure(check.value(), check)} |" for module, check in registered())


DOCUMENTS: Mapping[Path, Callable[[], str]] = {
    COLUMNS: lambda: COLUMNS_HEAD + columns_reference(),
    VALUES: lambda: VALUES_HEAD + checks_table() + "\n",
}


def main() -> None:
    """Write every document anew."""
    for path, made in DOCUMENTS.items():
        path.write_text(made(), encoding="utf-8")


if __name__ == "__main__":
    main()
