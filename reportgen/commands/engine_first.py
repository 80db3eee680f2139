"""What the server of our processes imports of the page engine, where it can be imported: else each sheet says why not.

Knows that an engine may fail in any way while it loads its libraries. Refuses to be imported anywhere else.
"""

from __future__ import annotations

from contextlib import suppress

with suppress(Exception):
    import reportgen.paper.render  # noqa: F401 # only to have it imported
