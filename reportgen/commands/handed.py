"""The work on a pairing as it is handed to another process, which imports what does it.

Knows where the work is. Refuses to import it here: who hands it out begins without.
"""

from __future__ import annotations

from dataclasses import dataclass

from reportgen.commands.tasks import Done, Task


@dataclass(frozen=True)
class Piecework:
    """A picklable call: one task in the shop it carries, which is unpacked once a process."""

    packed: bytes

    def __call__(self, task: Task) -> Done:
        from reportgen.commands import piecework

        return piecework.done(self.packed, task)
