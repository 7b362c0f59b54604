"""The reading to take next: where two explanations differ most against what is known anyway."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, final

import numpy as np

from sim.analysis.bench_fit import DIFFERENCE, Fit, Problem, Readings
from sim.analysis.bench_model import Condition, Readout, Stand, Wanted
from sim.pack.craft import PackedCraft
from sim.params.record import FloatArray
from sim.spec.airframe import CraftSpec
from sim.spec.bench import USUAL_SPREAD

HALF_THROTTLE: Final = 0.5
_QUANTITIES: Final = ("volts", "volts_at_controllers", "amps", "watts", "thrust", "rpm")


@final
@dataclass(frozen=True)
class NextMeasurement:
    """One reading that could be taken.

    Attributes
    ----------
    condition : Condition
    quantity : str
        Key of the bench section.
    other_meter : bool
        With another current meter than before.
    first, second : float
        What each of the two explanations predicts, in SI units.
    separation : float
        [-] Their difference over its standard deviation: of the instrument and of both predictions.
    """

    condition: Condition
    quantity: str
    other_meter: bool
    first: float
    second: float
    separation: float


def _candidates(craft: CraftSpec) -> tuple[Condition, ...]:
    charge = craft.battery.charge
    full = [
        Condition(1.0, None, straight=False, learned_again=False, charge=charge),
        Condition(1.0, None, straight=True, learned_again=False, charge=charge),
        Condition(HALF_THROTTLE, None, straight=False, learned_again=False, charge=charge),
    ]
    alone = [
        Condition(1.0, i, straight=False, learned_again=False, charge=charge)
        for i in range(len(craft.rotors))
    ]
    return (*full, *alone)


def _predicted(problem: Problem, fit: Fit, stand: Stand, wanted: Readout) -> FloatArray:
    """Give predictions and, below, their standard deviations under a fit, shape (2, wanted)."""
    here = problem.run(fit.z, stand).figures(wanted)
    slopes = np.empty((len(here), len(fit.z)))
    for i in range(len(fit.z)):
        moved = fit.z.copy()
        moved[i] -= DIFFERENCE
        slopes[:, i] = (here - problem.run(moved, stand).figures(wanted)) / DIFFERENCE
    variance = np.einsum("ki,ij,kj->k", slopes, fit.covariance, slopes)
    return np.array([here, np.sqrt(np.maximum(variance, 0.0))])


def next_measurements(
    craft: CraftSpec, packed: PackedCraft, readings: Readings, leader: Fit, rival: Fit
) -> tuple[NextMeasurement, ...]:
    """Give every candidate reading, the one that best separates two explanations first.

    Candidates are all quantities at full throttle, at full throttle straight to the speed
    controllers, at half throttle, of each motor alone, and amps with another meter; each with the
    spread of a usual instrument.
    """
    stand = Stand(craft, packed, _candidates(craft))
    points = range(len(stand.conditions))
    wanted = [Wanted(k, quantity) for k in points for quantity in _QUANTITIES]
    wanted += [Wanted(0, "amps", other_meter=True)]
    readout = Readout(tuple(wanted))
    one, other = (
        _predicted(Problem(stand, readings, fit.causes), fit, stand, readout)
        for fit in (leader, rival)
    )
    found = []
    for k, wish in enumerate(wanted):
        typical = 0.5 * USUAL_SPREAD[wish.quantity] * abs(one[0, k])
        sigma = float(np.sqrt(typical**2 + one[1, k] ** 2 + other[1, k] ** 2))
        gap = float(abs(one[0, k] - other[0, k]))
        found.append(
            NextMeasurement(
                stand.conditions[wish.point],
                wish.quantity,
                wish.other_meter,
                float(one[0, k]),
                float(other[0, k]),
                gap / sigma if sigma > 0.0 else 0.0,
            )
        )
    return tuple(sorted(found, key=lambda item: -item.separation))
