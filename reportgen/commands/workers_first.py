"""What the server of our processes imports before all else: no garbage is looked for while it imports the house, and what is
seldom used waits.

Knows the collector, which `workers.py` lets run again in each process. Refuses to be imported anywhere else.
"""

from __future__ import annotations

import gc
import sys

from reportgen.late import Finder

gc.disable()
sys.meta_path.insert(0, Finder())
