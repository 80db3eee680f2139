"""What the server of our processes imports before all else: no garbage is looked for while it imports the house.

Knows the collector, which `workers.py` lets run again in each process. Refuses to be imported anywhere else.
"""

from __future__ import annotations

import gc

gc.disable()
