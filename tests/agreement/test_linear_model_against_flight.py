"""The linear model predicts the flight it was made from: x(k) = A^k x(0) + sum of A^j B d.

The linear model is a derivative by small differences; the flight is the step iterated. For two
seconds, a thousand runs of the loops, the two must stay together.
"""

from __future__ import annotations

import numpy as np
import pytest

from sim.analysis.linearise import advanced
from sim.analysis.loop_breaks import AXES

CRAFT = ("bare_bicopter", "jellyfish_bicopter", "jellyfish_tricopter", "heron_tricopter")
FLOWN_S = 2.0
# The promise; where anything moves, what was found is about twenty times closer.
TOLERANCE = 0.01
# Motions of this size, in metres, radians, newtons and so on, leave the drag's bend far away.
SMALL = 1e-6
KICKS = {
    "velocity north": ("velocity_m_s", 0),
    "velocity east": ("velocity_m_s", 1),
    "climb": ("velocity_m_s", 2),
    "roll rate": ("rate_rad_s", 0),
    "pitch rate": ("rate_rad_s", 1),
    "yaw rate": ("rate_rad_s", 2),
}


def followed(case, starts, flights, periods):
    """Give half of what two flights, moved one way and the other, differ by: (periods, states)."""
    chart, (one, other) = case.trim.chart, starts
    steps = np.empty((periods, chart.size))
    for k in range(periods):
        one = advanced(case.trim.crafts, flights[0], one)
        other = advanced(case.trim.crafts, flights[1], other)
        steps[k] = 0.5 * chart.difference(other, one)[:, 0]
    return steps


def check_close(case, seen, predicted):
    """Compare group by group, against the largest motion of the group in the whole flight.

    A group that symmetry keeps still, such as rotor speeds of a craft that pitches by tilt, counts
    as if it moved by a thousandth of the kick, since all that it shows is rounding.
    """
    groups = np.array(case.trim.chart.groups)
    for group in sorted(set(groups)):
        mine = groups == group
        apart = np.abs(seen[:, mine] - predicted[:, mine]).max()
        size = max(np.abs(predicted[:, mine]).max(), 1e-3 * SMALL)
        assert apart <= TOLERANCE * size, group


@pytest.mark.parametrize("kick", list(KICKS))
@pytest.mark.parametrize("name", CRAFT)
def test_a_kick_spreads_as_the_transition_matrix_says(hover, name, kick):
    """x(k) = A^k x(0), in every group of states: body, rotors, servos, estimates, loops, fabric."""
    case = hover(name)
    field, axis = KICKS[kick]
    starts = (case.start, case.start)
    for start, size in zip(starts, (SMALL, -SMALL), strict=True):
        start["body"][field][0, axis] += size
    x = case.trim.chart.difference(case.trim.state, starts[0])[:, 0]
    periods = round(FLOWN_S / case.model.period_s)
    predicted = np.empty((periods, len(x)))
    for k in range(periods):
        x = case.model.a @ x
        predicted[k] = x
    check_close(case, followed(case, starts, [case.trim.flights] * 2, periods), predicted)


@pytest.mark.parametrize("axis", list(AXES))
@pytest.mark.parametrize("name", CRAFT)
def test_a_step_of_a_demand_spreads_as_the_model_says(hover, name, axis):
    """x(k + 1) = A x(k) + B d with a constant d added to one axis' demand from the start on."""
    case = hover(name)
    flights = (case.flight, case.flight)
    for flight, size in zip(flights, (SMALL, -SMALL), strict=True):
        flight["injected"][0, AXES[axis]] += size
    periods = round(FLOWN_S / case.model.period_s)
    x = np.zeros(case.trim.chart.size)
    predicted = np.empty((periods, len(x)))
    for k in range(periods):
        x = case.model.a @ x + case.model.b[:, AXES[axis]] * SMALL
        predicted[k] = x
    check_close(case, followed(case, [case.trim.state] * 2, flights, periods), predicted)
