"""DEVELOPERS.md says what the code says."""

from __future__ import annotations

from reportgen.catalogue.reference import columns_reference
from tests.documentation import GUIDE, row, section
from tests.reference.check_table import registered


def test_the_column_reference_is_that_of_the_code() -> None:
    assert section(GUIDE.read_text(encoding="utf-8"), "columns") == columns_reference().strip()


def test_the_table_of_published_values_has_every_check() -> None:
    written = section(GUIDE.read_text(encoding="utf-8"), "checks").splitlines()[2:]
    wanted = [row(module, check) for module, check in registered()]
    assert [line[: len(start)] for line, start in zip(written, wanted, strict=True)] == wanted
