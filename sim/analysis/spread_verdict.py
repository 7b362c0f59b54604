"""The verdict of a check that knows what crafts within the spreads of the file do."""

from __future__ import annotations

import dataclasses

from sim.analysis.check_result import CheckResult
from sim.analysis.spread_result import SpreadAnswer


def with_spread(result: CheckResult, spread: SpreadAnswer) -> CheckResult:
    """Give a check with its spread; where too few such crafts pass, not enough is known.

    Parameters
    ----------
    result : CheckResult
    spread : SpreadAnswer
        Of the same craft and scenario.
    """
    verdict, passes = result.verdict, result.passes
    if passes and not spread.passes:
        what = spread.measurements[0].measurement.words if spread.measurements else "measure more"
        failing = spread.all_gates.crafts - spread.all_gates.passes
        verdict = (
            f"not enough known: {what}; as written it passes, but {failing} of"
            f" {spread.all_gates.crafts} crafts within the spreads of the file do not"
        )
        passes = False
    return dataclasses.replace(
        result,
        spread=spread,
        verdict=verdict,
        passes=passes,
        seconds=result.seconds + spread.seconds,
    )
