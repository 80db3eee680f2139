"""What one printing is asked for, and what tells it from another.

Knows no page: what hands out the work needs this long before any page is made.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

Pages = Literal["all", "sheet"]
"""Which pages of a sheet are wanted: the two sides of one sheet of paper alone, or the annex as well."""


@dataclass(frozen=True, slots=True)
class Stamp:
    """What tells one printing from another: revision, date, run, fingerprint of the inputs, program version.

    `logo` is a data URL (see `logos.logo_url`) or empty; `changed` is one line on what changed since the last
    revision, or empty.
    """

    revision: str
    date: dt.date
    run: int
    fingerprint: str
    version: str
    logo: str = ""
    changed: str = ""
