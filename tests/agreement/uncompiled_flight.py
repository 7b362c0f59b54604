"""Advance one flight with the compiler off: read records from a file, write the state back.

Run as a program by `test_compiled_against_plain.py`, with the compiler switched off in its
environment: `python uncompiled_flight.py records.npz ticks`.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

from sim.flight.start import blank_works
from sim.params.craft_record import CRAFT_TYPE
from sim.params.flight_record import FLIGHT_TYPE
from sim.params.state_record import STATE_TYPE
from sim.step.batch import advance_each


def main() -> None:
    """Advance the state in the file; write it and the last scratch to two files beside it."""
    path, ticks = Path(sys.argv[1]), int(sys.argv[2])
    if hasattr(advance_each, "py_func"):
        sys.exit("the compiler is on")
    with np.load(path) as given:
        crafts = given["crafts"].view(CRAFT_TYPE)
        flights = given["flights"].view(FLIGHT_TYPE)
        states = given["states"].view(STATE_TYPE)
    works = blank_works()
    advance_each(crafts, flights, states, works, ticks)
    path.with_name("after.bin").write_bytes(states.tobytes())
    path.with_name("works.bin").write_bytes(works.tobytes())


if __name__ == "__main__":
    main()
