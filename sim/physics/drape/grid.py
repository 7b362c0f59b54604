"""Steps from a node of the fabric's grid to its neighbours, as the compiler wants to see them.

Unsigned, so that no index is taken for one counted from an array's end; and constant, so that what
is read and what is written are known to be apart. Loops then become vector instructions.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from sim.params.drape_record import FIRST_NODE, NODES_AT_ONCE, PITCH

FIRST: Final = np.uint64(FIRST_NODE)
# The first nodes are a rim's, which no panel and no fold has for its own.
FIRST_HUNG: Final = np.uint64(FIRST_NODE + NODES_AT_ONCE)
ROW: Final = np.uint64(PITCH)
ONE: Final = np.uint64(1)
RIGHT_BELOW: Final = np.uint64(PITCH + 1)
LEFT_BELOW: Final = np.uint64(PITCH - 1)
