"""Results put aside on the disk until the end of a run: what grows with a season then stands in memory one pairing at a time.

Knows a file without a name, which ends with the process. Refuses to know what the bytes are; a disk that takes none of them
costs memory and nothing else.
"""

from __future__ import annotations

import tempfile
from contextlib import suppress
from dataclasses import dataclass
from typing import IO, TYPE_CHECKING

if TYPE_CHECKING:
    from reportgen.assessment import Outline
    from reportgen.commands.digests import Digest

Place = bytes | tuple[int, int]
"""Where bytes are: themselves, or their place in the file and their length."""


class Aside:
    """Bytes put aside while its block lasts."""

    def __init__(self) -> None:
        self._file: IO[bytes] | None = None
        self._end = 0

    def __enter__(self) -> Aside:
        with suppress(OSError):
            self._file = tempfile.TemporaryFile(buffering=0)
        return self

    def __exit__(self, *_: object) -> None:
        if self._file is not None:
            self._file.close()

    def put(self, content: bytes) -> Place:
        """Put bytes aside; where they are then."""
        if self._file is None:
            return content
        try:
            self._file.seek(self._end)
            if self._file.write(content) != len(content):
                return content
        except OSError:
            return content
        place = self._end, len(content)
        self._end += len(content)
        return place

    def get(self, place: Place) -> bytes:
        """The bytes that were put there. Errors: OSError when the disk does not give them back."""
        if isinstance(place, bytes):
            return place
        assert self._file is not None  # else they would stand in memory
        self._file.seek(place[0])
        content = self._file.read(place[1])
        if len(content) != place[1]:
            raise OSError("the disk does not give back what was written")
        return content


@dataclass(frozen=True, slots=True)
class DigestAside:
    """What the end of a run needs of a pairing: its outline at hand, its rows and its line put aside."""

    outline: Outline
    part_count: int
    step_count: int
    places: tuple[Place, Place, Place, Place, Place]
    aside: Aside

    @classmethod
    def of(cls, digest: Digest, aside: Aside) -> DigestAside:
        """A digest put aside."""
        rows = digest.rows
        checks, parts, totals, steps = map(aside.put, (rows.checks, rows.parts, rows.totals, rows.steps))
        places = checks, parts, totals, steps, aside.put(digest.line)
        return cls(digest.outline, rows.part_count, rows.step_count, places, aside)

    @property
    def checks(self) -> bytes:
        """Its rows in the table of checks, packed."""
        return self.aside.get(self.places[0])

    @property
    def parts(self) -> bytes:
        """Its rows in the table of parts, packed."""
        return self.aside.get(self.places[1])

    @property
    def totals(self) -> bytes:
        """Its row in the table of totals, packed."""
        return self.aside.get(self.places[2])

    @property
    def steps(self) -> bytes:
        """Its rows in the table of steps, packed."""
        return self.aside.get(self.places[3])

    @property
    def line(self) -> bytes:
        """Its line of results.json, deflated."""
        return self.aside.get(self.places[4])
