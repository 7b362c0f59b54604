"""The band of hover figures against the closed form of a rotor that is a little weaker."""

from __future__ import annotations

import dataclasses

import pytest

from sim.report.hover_band import hover_band


def test_band_is_the_slope_of_the_square_and_three_halves_laws(result):
    """Throttle goes as (W/k)^(1/2), power as (W/k)^(3/2): to first order d/2 and 3 d/2."""
    mass = dataclasses.replace(result.mass, mass_plus_minus_kg=0.0)
    unsure = 0.01
    lift = dataclasses.replace(result.lift, thrust_plus_minus_n=unsure * result.lift.full_thrust_n)
    band = hover_band(lift, mass)
    weaker = 1.0 / (1.0 - unsure)
    throttle = result.lift.hover_throttle * (weaker**0.5 - 1.0)
    current = result.lift.hover_current_a * (weaker**1.5 - 1.0)
    # The next term of the series is of the order of the spread itself.
    assert band.throttle_plus_minus == pytest.approx(throttle, rel=2.0 * unsure)
    assert band.current_plus_minus_a == pytest.approx(current, rel=2.0 * unsure)


def test_mass_counts_as_thrust_does(result):
    lift = dataclasses.replace(result.lift, thrust_plus_minus_n=0.0)
    mass = dataclasses.replace(result.mass, mass_plus_minus_kg=0.02 * result.mass.mass_kg)
    band = hover_band(lift, mass)
    assert band.throttle_plus_minus / band.throttle == pytest.approx(0.01)
    assert band.current_plus_minus_a / band.current_a == pytest.approx(0.03)


def test_no_hover_no_band(too_heavy):
    assert hover_band(too_heavy.lift, too_heavy.mass) is None
