"""What the step notes at a trim: thrusts, currents, forces of fabric and wash."""

from __future__ import annotations

from typing import Any

from sim.analysis.trim import Trim
from sim.flight.start import blank_works
from sim.step.batch import advance_each


def observed(trim: Trim) -> Any:
    """Give the work record of one loop period at a trim (see `WorkRecord`)."""
    works = blank_works()
    state = trim.state.copy()
    advance_each(trim.crafts, trim.flights, state, works, int(trim.crafts[0].control.period_ticks))
    return works[0]
