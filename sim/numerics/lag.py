"""First-order lag, exact in discrete time for a target held over each step."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.params.kept_record import KeptRecord


@compiled
def lag_factor(period_s: float, time_constant_s: float) -> float:
    """Give the share of the way to the target that a lag covers in one step, 1 - exp(-dt / tau).

    Parameters
    ----------
    period_s : float
        [s] dt, time step.
    time_constant_s : float
        [s] tau; at 0 or below there is no lag and the share is 1.

    Returns
    -------
    float
        [1] From 0 (does not move) to 1 (follows at once).
    """
    if time_constant_s <= 0.0:
        return 1.0
    return -math.expm1(-period_s / time_constant_s)


@compiled
def kept_lag_factor(kept: KeptRecord, period_s: float, time_constant_s: float) -> float:
    """Give `lag_factor`, worked out only when it is asked for other times [s] than before."""
    asked = kept.asked
    if kept.is_known == 0.0 or asked[0] != period_s or asked[1] != time_constant_s:
        kept.is_known, asked[0], asked[1] = 1.0, period_s, time_constant_s
        kept.given[0] = lag_factor(period_s, time_constant_s)
    return float(kept.given[0])


@compiled
def advance_lag(value: float, target: float, factor: float) -> float:
    """Move a lagged value by one step towards its target.

    Parameters
    ----------
    value, target : float
        [any unit] Where the lag stands, and what it follows.
    factor : float
        [1] From `lag_factor`.

    Returns
    -------
    float
        [same unit] The value one step later.
    """
    return value + factor * (target - value)
