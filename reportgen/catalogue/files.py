"""Files that the workbook names: found beside it, and never anywhere else.

Knows which paths stay in the workbook's folder. Refuses to know what the files hold.
"""

from __future__ import annotations

import difflib
import stat
from pathlib import Path, PurePath


class NotBesideError(ValueError):
    """The path leads nowhere or out of the folder; `expected` and `mend` are worded for a Problem."""

    def __init__(self, expected: str, mend: str) -> None:
        self.expected, self.mend = expected, mend
        super().__init__(f"{expected}. {mend}")


def folder_of(workbook: Path) -> Path:
    """The folder in which a workbook's paths begin: that of the file itself, where a link leads to it from elsewhere."""
    return workbook.resolve().parent


def find_beside(root: Path, name: str) -> Path:
    """The file that `name` (relative, either slash) means in the folder `root`.

    NotBesideError when the path is absolute, climbs with `..`, passes a link that leads out of the folder, or
    names no ordinary file; the nearest name in the same folder is suggested.
    """
    parts = [part for part in name.strip().replace("\\", "/").split("/") if part not in ("", ".")]
    absolute = name.strip().startswith(("/", "\\", "~"))
    if absolute or not parts or ".." in parts or any(":" in part or "\0" in part for part in parts):
        raise NotBesideError("it must be a path inside the workbook's folder", "Copy the file there and give its name.")
    try:
        home = root.resolve()
        path = home.joinpath(*parts).resolve()
        inside = path.is_relative_to(home)
        ordinary = inside and stat.S_ISREG(path.stat().st_mode)
    except FileNotFoundError:
        raise NotBesideError("there is no such file beside the workbook", _nearest(home, parts)) from None
    except (OSError, RuntimeError, ValueError):
        raise NotBesideError("the file cannot be reached", "Check its name and its permissions.") from None
    if not inside:
        raise NotBesideError("the path leads out of the workbook's folder", "Copy the file there and give its name.")
    if not ordinary:
        raise NotBesideError("it must name an ordinary file", "Give the name of the file itself.")
    return path


def _nearest(home: Path, parts: list[str]) -> str:
    folder = home
    for part in parts[:-1]:  # a folder that is spelled large or small otherwise, as some systems let it
        folder /= next((one.name for one in _within(folder) if one.name.casefold() == part.casefold()), part)
    by_stem = {PurePath(entry.name).stem.casefold(): entry for entry in _within(folder) if entry.is_file()}
    close = difflib.get_close_matches(
        PurePath(parts[-1]).stem.casefold(), list(by_stem), n=1
    )  # the endings are all alike
    if not close:
        return "Copy the file there, or empty the cell."
    return f"Did you mean “{by_stem[close[0]].relative_to(home).as_posix()}”?"


def _within(folder: Path) -> list[Path]:
    try:
        return sorted(folder.iterdir())
    except OSError:
        return []
