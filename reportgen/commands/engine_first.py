"""What the server of our processes has ready of the page engine, where it can be imported: else each sheet says why not.

Knows that an engine may fail in any way while it loads its libraries. Refuses to be imported anywhere else.
"""

from __future__ import annotations

import warnings
from contextlib import suppress

with suppress(Exception), warnings.catch_warnings():
    warnings.simplefilter("ignore")  # of fonts and libraries the command itself says what is missing, in words
    from reportgen.paper.render import prepare

    prepare()
