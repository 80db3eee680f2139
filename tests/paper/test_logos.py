"""The logo: a picture from the workbook's folder, and nothing else."""

from __future__ import annotations

import base64
from pathlib import Path

import pytest

from reportgen.paper.logos import logo_or_notice, logo_url
from reportgen.problems import ReportgenError
from tests.every import every

# first bytes: PNG (ISO/IEC 15948, 5.2), JPEG start of image and marker (ITU-T T.81, B.1.1.3), SVG by its root element
PNG = b"\x89PNG\r\n\x1a\n" + b"\0" * 20
JPEG = b"\xff\xd8\xff\xe0" + b"\0" * 20
SVG = b"<?xml version='1.0'?>\n<svg xmlns='http://www.w3.org/2000/svg'/>"


@every(("name", "data", "kind"), [("a.png", PNG, "png"), ("b.dat", JPEG, "jpeg"), ("c.svg", SVG, "svg+xml")])
def test_pictures_are_known_by_what_they_are(name: str, data: bytes, kind: str, tmp_path: Path) -> None:
    (tmp_path / name).write_bytes(data)
    head, _, body = logo_url(tmp_path, name).partition(",")
    assert head == f"data:image/{kind};base64"
    assert base64.b64decode(body) == data


def test_no_logo_is_fine(tmp_path: Path) -> None:
    assert logo_url(tmp_path, None) == logo_url(tmp_path, "") == ""


@every("name", ["../secret.png", "/etc/hostname", "inside/../../secret.png"])
def test_a_file_outside_the_folder_is_refused(name: str, tmp_path: Path) -> None:
    (tmp_path / "secret.png").write_bytes(PNG)
    folder = tmp_path / "season"
    (folder / "inside").mkdir(parents=True)
    with pytest.raises(ReportgenError, match="must lie in the workbook's folder"):
        logo_url(folder, name)


def test_a_link_that_leads_out_is_refused(tmp_path: Path) -> None:
    (tmp_path / "secret.png").write_bytes(PNG)
    folder = tmp_path / "season"
    folder.mkdir()
    (folder / "logo.png").symlink_to(tmp_path / "secret.png")
    with pytest.raises(ReportgenError, match="must lie in the workbook's folder"):
        logo_url(folder, "logo.png")


def test_what_is_no_picture_is_refused_by_name(tmp_path: Path) -> None:
    (tmp_path / "logo.png").write_text("not a picture")
    with pytest.raises(ReportgenError, match=r'Maker "Logo file": logo\.png is no picture'):
        logo_url(tmp_path, "logo.png")
    with pytest.raises(ReportgenError, match="there is no such file"):
        logo_url(tmp_path, "missing.png")
    (tmp_path / "huge.png").write_bytes(PNG + b"\0" * 2_000_000)
    with pytest.raises(ReportgenError, match="2 MB at most"):
        logo_url(tmp_path, "huge.png")


@every("head", ["", "\ufeff", " \n\t", "<!-- ours -->\n"])
def test_an_svg_may_begin_with_white_or_a_comment(head: str, tmp_path: Path) -> None:
    (tmp_path / "a.svg").write_text(f"{head}<svg xmlns='http://www.w3.org/2000/svg'/>", encoding="utf-8")
    assert logo_url(tmp_path, "a.svg").startswith("data:image/svg+xml;base64,")
    (tmp_path / "b.svg").write_text(f"so {head}<svg/>", encoding="utf-8")
    with pytest.raises(ReportgenError, match="no picture"):
        logo_url(tmp_path, "b.svg")


def test_two_megabytes_are_let_in_and_a_byte_more_is_not(tmp_path: Path) -> None:
    (tmp_path / "a.png").write_bytes(PNG.ljust(2_000_000, b"\0"))
    assert logo_url(tmp_path, "a.png")
    (tmp_path / "a.png").write_bytes(PNG.ljust(2_000_001, b"\0"))
    with pytest.raises(ReportgenError, match=r"a\.png has 2\.0 MB; it must be 2 MB at most"):
        logo_url(tmp_path, "a.png")


def test_without_its_logo_a_sheet_is_printed_and_the_reason_is_said(tmp_path: Path) -> None:
    (tmp_path / "a.png").write_bytes(PNG)
    assert logo_or_notice(tmp_path, "a.png") == (logo_url(tmp_path, "a.png"), "")
    logo, notice = logo_or_notice(tmp_path, "b.png")
    assert logo == "" and notice.startswith(
        'The sheets are without a logo. Maker "Logo file": b.png stands here; there is no such file.'
    )
    assert logo_or_notice(tmp_path, None) == ("", "")
