"""How much the property tests try: a little in every suite, all of it with REPORTGEN_LONG=1, other draws with REPORTGEN_SEED=100."""

from __future__ import annotations

import os

LONG = os.environ.get("REPORTGEN_LONG") == "1"
SEED = int(os.environ.get("REPORTGEN_SEED", "0"))
