"""How far the craft leans, against angles that stay the same for many steps."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.params.kept_record import MOST_LEAN
from sim.params.tally_record import TallyRecord, WorkRecord


@compiled
def leans_beyond(work: WorkRecord, angle_rad: float, which: int) -> bool:
    """Tell whether the craft's axis is further from the vertical than an angle [rad].

    Cosines are compared, and that of the angle is kept (`which` is its place in `work.kept`).
    """
    kept = work.kept[which]
    if kept.is_known == 0.0 or kept.asked[0] != angle_rad:
        kept.is_known, kept.asked[0] = 1.0, angle_rad
        kept.given[0] = math.cos(angle_rad)
    return bool(work.upright < kept.given[0])


@compiled
def tally_lean(work: WorkRecord, tally: TallyRecord) -> None:
    """Note how far the craft leaned at most."""
    if leans_beyond(work, tally.most_tilt_rad, MOST_LEAN):
        lean = math.acos(max(work.upright, -1.0))
        tally.most_tilt_rad = max(tally.most_tilt_rad, lean)
