"""The parts of DEVELOPERS.md that come from the code: `python -m tests.documentation` writes them anew.

Each stands between two marks; `test_documentation.py` holds them against the code.
"""

from __future__ import annotations

import re
from math import ceil, log10
from pathlib import Path

from reportgen.catalogue.reference import columns_reference
from tests.reference.check_table import Check, registered

GUIDE = Path(__file__).parents[1] / "DEVELOPERS.md"


def figure(value: float, check: Check) -> str:
    """A figure with the digits that its tolerance allows to speak of."""
    decimals = max(0, min(9, ceil(-log10(check.tolerance)) + 1))
    text = f"{value:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def row(module: str, check: Check) -> str:
    """One line of the table without what the program got, which the last digit of a machine may move."""
    room = module.removeprefix("acoustics_").replace("_", " ")
    return f"| {room} | {check.name} | {check.source} | {figure(check.expected, check)} |"


def checks_table() -> str:
    """Every registered check: room, quantity, source, expected, got."""
    head = "| room | quantity | source | expected | got |\n| --- | --- | --- | --- | --- |\n"
    return head + "\n".join(f"{row(module, check)} {figure(check.value(), check)} |" for module, check in registered())


SECTIONS = {"columns": columns_reference, "checks": checks_table}


def section(text: str, name: str) -> str:
    """What stands between the marks of a section."""
    found = re.search(rf"<!-- {name}: begin -->\n(.*?)\n<!-- {name}: end -->", text, re.DOTALL)
    assert found, f"DEVELOPERS.md has no marks for {name}"
    return found[1].strip()


def main() -> None:
    """Write every section anew."""
    text = GUIDE.read_text(encoding="utf-8")
    for name, made in SECTIONS.items():
        begin, end = f"<!-- {name}: begin -->\n", f"\n<!-- {name}: end -->"
        before, rest = text.split(begin)
        text = before + begin + made().strip() + end + rest.split(end)[1]
    GUIDE.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
