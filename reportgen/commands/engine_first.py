"""What the server of our processes has ready of the page engine, where it can be imported: else each sheet says why not.

Knows that an engine may fail in any way while it loads its libraries. Refuses to be imported anywhere else.
"""

from __future__ import annotations

from contextlib import suppress

with suppress(Exception):
    from reportgen.paper.render import prepare

    prepare()
