"""What the server of the workers imports before they begin; so short that the command can read it before all else.

Knows names. Refuses to import what they name.
"""

from __future__ import annotations

PRELOAD = ("reportgen.commands.piecework", "scipy.special", "reportgen.commands.engine_first")
"""What a worker has imported before it begins; the page engine, last, takes longest and is for printing alone."""
