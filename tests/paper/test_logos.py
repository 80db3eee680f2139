"""The logo: a picture from the workbook's folder, and nothing else."""

from __future__ import annotations

import base64
from pathlib import Path

import pytest

from reportgen.paper.logos import logo_url
from reportgen.problems import ReportgenError

# first bytes: PNG (ISO/IEC 15948, 5.2), JPEG start of image and marker (ITU-T T.81, B.1.1.3), SVG by its root element
PNG = b"\x89PNG\r\n\x1a\n" + b"\0" * 20
JPEG = b"\xff\xd8\xff\xe0" + b"\0" * 20
SVG = b"<?xml version='1.0'?>\n<svg xmlns='http://www.w3.org/2000/svg'/>"


@pytest.mark.parametrize(
    ("name", "data", "kind"), [("a.png", PNG, "png"), ("b.dat", JPEG, "jpeg"), ("c.svg", SVG, "svg+xml")]
)
def test_pictures_are_known_by_what_they_are(name: str, data: bytes, kind: str, tmp_path: Path) -> None:
    (tmp_path / name).write_bytes(data)
    head, _, body = logo_url(tmp_path, name).partition(",")
    assert head == f"data:image/{kind};base64"
    assert base64.b64decode(body) == data


def test_no_logo_is_fine(tmp_path: Path) -> None:
    assert logo_url(tmp_path, None) == logo_url(tmp_path, "") == ""


@pytest.mark.parametrize("name", ["../secret.png", "/etc/hostname", "inside/../../secret.png"])
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
