"""The two-node warmth of a motor against closed forms and against a numerical integration."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from sim.physics.power.motor_heat import (
    COPPER_REFERENCE_K,
    COPPER_RISE_1_K,
    HeatLoad,
    HeatPath,
    seconds_to_reach,
    steady_temperatures,
    temperatures_after,
)

PATH = HeatPath(
    winding_j_k=25.0, housing_j_k=60.0, winding_to_housing_k_w=0.6, housing_to_air_k_w=1.8
)
LOAD = HeatLoad(copper_w=18.0, housing_w=9.0, air_k=293.15)


def rates(path, load):
    """Give the right side of the two heat balances, written out."""

    def right_side(_time, warmth):
        winding, housing = warmth
        copper = load.copper_w * (1.0 + COPPER_RISE_1_K * (winding - COPPER_REFERENCE_K))
        across = (winding - housing) / path.winding_to_housing_k_w
        away = (housing - load.air_k) / path.housing_to_air_k_w
        return [(copper - across) / path.winding_j_k, (load.housing_w + across - away) / 60.0]

    return right_side


def test_steady_state_is_a_balance_of_heat():
    """At the steady temperatures both nodes give off what they take up."""
    winding, housing = steady_temperatures(PATH, LOAD)
    assert winding > housing > LOAD.air_k
    assert rates(PATH, LOAD)(0.0, (winding, housing)) == pytest.approx([0.0, 0.0], abs=1e-12)


def test_steady_state_without_copper_rise_by_hand():
    """Cold copper loss alone: 2 W through 0.6 and 1.8 K/W, 1 W through 1.8 K/W from the housing.

    The rise of copper adds 2 * 0.00393 * 2.4 = 1.9 % to the winding's loss and warmth.
    """
    load = HeatLoad(copper_w=2.0, housing_w=1.0, air_k=COPPER_REFERENCE_K)
    winding, _ = steady_temperatures(PATH, load)
    assert winding - COPPER_REFERENCE_K == pytest.approx(
        (2.0 * 2.4 + 1.8) / (1.0 - 2.0 * 0.00393 * 2.4), rel=1e-12
    )


@pytest.mark.parametrize("seconds", [1.0, 30.0, 300.0])
def test_warming_follows_the_differential_equations(seconds):
    """An eighth-order integration of the written-out balances gives the same to 1e-8 kelvin."""
    numeric = solve_ivp(
        rates(PATH, LOAD), (0.0, seconds), [LOAD.air_k] * 2, method="DOP853", rtol=1e-12, atol=1e-10
    )
    assert temperatures_after(PATH, LOAD, seconds) == pytest.approx(numeric.y[:, -1], abs=1e-7)


def test_warming_ends_at_the_steady_state():
    assert temperatures_after(PATH, LOAD, 1e5) == pytest.approx(
        steady_temperatures(PATH, LOAD), rel=1e-9
    )


def test_first_moment_warms_the_winding_alone():
    """For a short time the winding is an insulated lump: dT = P t / C."""
    winding, _ = temperatures_after(PATH, LOAD, 1e-3)
    assert winding - LOAD.air_k == pytest.approx(18.0 * 1e-3 / 25.0, rel=1e-4)


def test_time_to_a_temperature_is_the_inverse():
    seconds = seconds_to_reach(PATH, LOAD, 330.0)
    assert temperatures_after(PATH, LOAD, seconds)[0] == pytest.approx(330.0, abs=1e-6)
    steady, _ = steady_temperatures(PATH, LOAD)
    assert math.isinf(seconds_to_reach(PATH, LOAD, steady + 1.0))
    assert seconds_to_reach(PATH, LOAD, LOAD.air_k - 1.0) == 0.0


def test_runaway_is_said_and_not_computed_around():
    """Once copper loss rises by a watt per kelvin that the path cannot carry, nothing is steady."""
    bound = 1.0 / (COPPER_RISE_1_K * 2.4)
    below = steady_temperatures(PATH, LOAD._replace(copper_w=0.999 * bound))
    above = steady_temperatures(PATH, LOAD._replace(copper_w=1.001 * bound))
    assert math.isfinite(below[0])
    assert above == (math.inf, math.inf)
    assert math.isfinite(seconds_to_reach(PATH, LOAD._replace(copper_w=2.0 * bound), 373.15))


@given(
    copper=st.floats(0.1, 60.0),
    more=st.floats(0.1, 20.0),
    seconds=st.floats(1.0, 1000.0),
    later=st.floats(1.0, 500.0),
)
def test_more_loss_and_more_time_are_warmer(copper, more, seconds, later):
    load = HeatLoad(copper, 5.0, 300.0)
    now = temperatures_after(PATH, load, seconds)[0]
    assert temperatures_after(PATH, load._replace(copper_w=copper + more), seconds)[0] > now
    assert temperatures_after(PATH, load, seconds + later)[0] > now - 1e-9
