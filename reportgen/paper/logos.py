"""The maker's logo as a data URL, read from the workbook's folder and from nowhere else.

Knows which files are pictures. Refuses anything outside the folder, and anything too large for a letterhead.
"""

from __future__ import annotations

import base64
from pathlib import Path

from reportgen.problems import ReportgenError

LARGEST_BYTES = 2_000_000


def logo_url(folder: Path, file: str | None) -> str:
    """The logo as a data URL; empty when `file` is. ReportgenError names the file and what to do about it."""
    if not file:
        return ""
    place = f'Maker "Logo file": {file}'
    try:
        root, path = folder.resolve(), (folder / file).resolve()
    except (OSError, RuntimeError, ValueError):  # links that lead in a circle, or a sign that no name may have
        raise ReportgenError(f"{place} stands here; it leads nowhere. Copy the picture beside the workbook.") from None
    if not path.is_relative_to(root):
        raise ReportgenError(
            f"{place} stands here; it must lie in the workbook's folder. Copy the picture beside the workbook."
        )
    if not path.is_file():
        raise ReportgenError(f"{place} stands here; there is no such file. Copy the picture beside the workbook.")
    size = path.stat().st_size
    if size > LARGEST_BYTES:
        raise ReportgenError(f"{place} has {size / 1e6:.1f} MB; it must be 2 MB at most. Save it smaller.")
    data = path.read_bytes()
    kind = _kind(data)
    if not kind:
        raise ReportgenError(f"{place} is no picture this program can print. Save it as PNG, JPEG or SVG.")
    return f"data:{kind};base64,{base64.b64encode(data).decode('ascii')}"


def logo_or_notice(folder: Path, file: str | None) -> tuple[str, str]:
    """The logo as a data URL and an empty notice; an empty logo and the reason where the file cannot be used."""
    try:
        return logo_url(folder, file), ""
    except ReportgenError as error:
        return "", f"The sheets are without a logo. {error}"


def _kind(data: bytes) -> str:
    """Media type by the file's own first bytes; empty when it is none of the three."""
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if data.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    head = data[:2000].lstrip(b"\xef\xbb\xbf \t\r\n")
    if head.startswith(b"<") and b"<svg" in head:
        return "image/svg+xml"
    return ""
