"""What the page engine needs of the system, looked for before any work is done.

Knows libraries, fonts and the packages that bring them. Refuses to know pages. On systems other than Linux the engine is
tried itself, and fonts are taken for granted: they come with the system there.
"""

from __future__ import annotations

import ctypes
import importlib
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import Any, Final

from reportgen.problems import ReportgenError

LIBRARIES: Final = {
    "libgobject-2.0.so.0": "libglib2.0-0", "libpango-1.0.so.0": "libpango-1.0-0", "libpangoft2-1.0.so.0": "libpangoft2-1.0-0",
    "libharfbuzz.so.0": "libharfbuzz0b", "libfontconfig.so.1": "libfontconfig1",
}  # fmt: skip
"""Library -> the Debian package that brings it (packages.debian.org, bookworm)."""
FAMILIES: Final = ("Inter", "Segoe UI", "Helvetica Neue", "Arial", "DejaVu Sans", "DejaVu Sans Condensed")
"""What the style sheet asks for, one of which must be there."""
_MEND: Final = "Until then, run with --no-pdf works everything out and prints nothing."
_OTHERS: Final = "With macOS: brew install pango. With Windows: MSYS2, pacman -S mingw-w64-x86_64-pango."


def require_engine(load: Callable[[str], Any] = ctypes.CDLL) -> None:
    """Errors: ReportgenError that names what is missing and the package to install."""
    if sys.platform != "linux":
        _try_engine()
        return
    missing = [name for name in LIBRARIES if not _loads(name, load)]
    if missing:
        packages = " ".join(dict.fromkeys(LIBRARIES[name] for name in missing))
        raise ReportgenError(
            f"Nothing can be printed: the page engine lacks {', '.join(missing)}. Install with Debian or Ubuntu: "
            f"sudo apt install {packages}. {_MEND}"
        )
    if not {family.casefold() for family in families(load)} & {family.casefold() for family in FAMILIES}:
        raise ReportgenError(
            "Nothing can be printed: none of the fonts of the pages is installed. Install with Debian or Ubuntu: "
            f"sudo apt install fonts-inter fonts-dejavu-core fonts-dejavu-extra. {_MEND}"
        )


def _loads(name: str, load: Callable[[str], Any]) -> bool:
    try:
        load(name)
    except OSError:
        return False
    return True


def _try_engine() -> None:
    with engine_needed():
        importlib.import_module("weasyprint")


@contextmanager
def engine_needed() -> Iterator[None]:
    """Errors: ReportgenError where the page engine, imported inside, cannot be loaded: it looks for its libraries at once."""
    try:
        yield
    except (OSError, ImportError) as error:
        others = "" if sys.platform == "linux" else f"{_OTHERS} "
        raise ReportgenError(
            f"Nothing can be printed: the page engine cannot be loaded ({error}). {others}{_MEND}"
        ) from error


class _FontSet(ctypes.Structure):
    """FcFontSet of fontconfig."""

    _fields_ = (("count", ctypes.c_int), ("room", ctypes.c_int), ("fonts", ctypes.POINTER(ctypes.c_void_p)))


def families(load: Callable[[str], Any] = ctypes.CDLL) -> Iterator[str]:
    """The families of all fonts that the system's fontconfig knows (fontconfig.org, FcFontList)."""
    library = load("libfontconfig.so.1")
    text = ctypes.c_char_p()
    for font in _fonts(library, b"family"):
        place = 0
        while library.FcPatternGetString(font, b"family", place, ctypes.byref(text)) == 0:
            yield (text.value or b"").decode("utf-8", "replace")
            place += 1


def without_font(letters: Iterable[str], load: Callable[[str], Any] = ctypes.CDLL) -> set[str]:
    """Those of some letters that no font has which fontconfig knows; none on systems other than Linux."""
    missing = {ord(letter) for letter in letters}
    if not missing or sys.platform != "linux":
        return set()
    library = load("libfontconfig.so.1")
    held = ctypes.c_void_p()
    for font in _fonts(library, b"charset"):
        if library.FcPatternGetCharSet(font, b"charset", 0, ctypes.byref(held)) == 0:
            missing -= {letter for letter in missing if library.FcCharSetHasChar(held, ctypes.c_uint32(letter))}
        if not missing:
            break
    return set(map(chr, missing))


def _fonts(library: Any, wanted: bytes) -> Iterator[ctypes.c_void_p]:
    """Every font that fontconfig knows, with one of its properties filled in."""
    for name in ("FcPatternCreate", "FcObjectSetCreate"):
        getattr(library, name).restype = ctypes.c_void_p
    library.FcFontList.restype = ctypes.POINTER(_FontSet)
    pattern, properties = ctypes.c_void_p(library.FcPatternCreate()), ctypes.c_void_p(library.FcObjectSetCreate())
    library.FcObjectSetAdd(properties, wanted)
    found = library.FcFontList(None, pattern, properties)
    if found:
        yield from (ctypes.c_void_p(found.contents.fonts[number]) for number in range(found.contents.count))
