"""Results that are asked for again and again with the same numbers, so that they are kept."""

from __future__ import annotations

from typing import Annotated

from sim.params.record import FloatArray, Quantity

GYRO_LAG, FIX_LAG, SLOPE_LAG, WIND_PROFILE, WIND_DIRECTION = range(5)
MOST_LEAN, HALF_LEAN, FULL_LEAN = range(5, 8)
KEPT = 8


class KeptRecord:
    """What was asked last, and what came of it: the same bits as if worked out anew."""

    is_known: Annotated[float, Quantity("-", "1 once anything was asked")]
    asked: Annotated[FloatArray, Quantity("-", "numbers that went in", (3,))]
    given: Annotated[FloatArray, Quantity("-", "numbers that came out", (2,))]
