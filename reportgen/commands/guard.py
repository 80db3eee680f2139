"""The one guard around a piece of work: whatever goes wrong with it becomes a sentence, and the others go on.

Knows which errors the house foresees. Refuses to know what was worked on.
"""

from __future__ import annotations

import traceback
from pathlib import Path

import reportgen
from reportgen.problems import ReportgenError


def why_not(error: Exception) -> str:
    """What to say of a piece of work that ended in `error`: ours as it stands, a file's with its mend, any other in full."""
    if isinstance(error, ReportgenError):
        return str(error)
    if isinstance(error, OSError) and error.filename:
        return no_room(error, Path(str(error.filename)))
    return unforeseen(error)


def no_room(error: OSError, folder: Path) -> str:
    """A file or folder that takes nothing."""
    place = error.filename2 or error.filename or folder  # a file that was to take a name, and that name
    return f"{place} takes no file ({error.strerror or error}). Make room there and run again."


def unforeseen(error: Exception) -> str:
    """An error nobody foresaw, with the line of ours that met it last."""
    ours = [one for one in traceback.extract_tb(error.__traceback__) if "reportgen" in one.filename]
    where = f"{Path(ours[-1].filename).name} line {ours[-1].lineno}, " if ours else ""
    return (
        f"an error of the program, please report it: {type(error).__name__}: {error}"
        f" ({where}reportgen {reportgen.__version__})"
    )
