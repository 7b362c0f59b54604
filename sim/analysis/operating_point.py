"""What the step notes at a trim: thrusts, currents, forces of fabric and wash."""

from __future__ import annotations

from typing import Any

from sim.analysis.linearise import advanced
from sim.analysis.trim import Trim
from sim.flight.start import blank_works
from sim.step.batch import advance_each


def observed(trim: Trim) -> Any:
    """Give the work record of one loop period at a trim (see `WorkRecord`)."""
    works = blank_works()
    state = trim.state.copy()
    advance_each(trim.crafts, trim.flights, state, works, int(trim.crafts[0].control.period_ticks))
    return works[0]


def commanded(trim: Trim) -> Any:
    """Give the state one loop period after a trim, in an array of one: with the trim's commands.

    Throttles and tilt commands are outputs of the loops, which a search for a trim leaves as they
    were where it began.
    """
    return advanced(trim.crafts, trim.flights, trim.state)
