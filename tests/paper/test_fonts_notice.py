"""Where the font library is missing, the program says so and how to mend it."""

from __future__ import annotations

import pytest

from reportgen.paper import render


def test_the_notice_names_the_package_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    assert render.slow_fonts_notice() == ""  # .ci/setup installs it
    monkeypatch.setattr(render, "harfbuzz_subset", None)
    assert "libharfbuzz-subset0" in render.slow_fonts_notice()
