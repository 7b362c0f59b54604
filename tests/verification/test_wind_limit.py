"""The wind limit against the static bound and against exact binomial bounds."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from sim.analysis.lift import lift_answer
from sim.analysis.static_wind import static_bound_m_s
from sim.analysis.trim import find_trim
from sim.analysis.wind_flights import StudyFlights, Wind, wind_plan
from sim.analysis.wind_heights import forecast_ratio, gust_over_mean, height_ratio
from sim.analysis.wind_limit import wind_answer
from sim.errors import NoTrim
from sim.flight.outcome import cause
from sim.flight.plan import Part
from sim.flight.rows import succeeded
from sim.flight.run import fly
from sim.flight.study import Study
from sim.pack.craft import pack_craft
from sim.pack.flight import plain_flight
from sim.pack.stand import stand_point
from sim.spec import load_craft, load_scenario
from sim.spec.quantity import Uncertain

GRAVITY = 9.80665
HEIGHT_M = 100.0


def in_the_wind(packed, drag_area_m2, *, records=None):
    """Give packed records with one part at the CG that has this drag area along every axis."""
    crafts = packed.records.copy() if records is None else records.copy()
    crafts["body_count"] = 1
    crafts[0].body.place_m[:, 0] = 0.0
    crafts[0].body.drag_area_m2[:, 0] = drag_area_m2
    return dataclasses.replace(packed, records=crafts)


@pytest.fixture(scope="module")
def bare(shipped):
    return shipped("bare_bicopter")


@pytest.mark.parametrize(
    ("thrust_to_weight", "mass_kg", "drag_area_m2", "bound_m_s"),
    [(1.3, 3.0, 0.15, 16.3093), (1.5, 3.0, 0.10, 23.1737), (1.8, 5.0, 0.30, 19.9845)],
)
def test_static_bound(bare, thrust_to_weight, mass_kg, drag_area_m2, bound_m_s):
    """V = sqrt(2 W tan(acos(W / T)) / (rho CdA)) at 1.225 kg/m3, worked out elsewhere."""
    packed = in_the_wind(bare, drag_area_m2)
    thrust = thrust_to_weight * mass_kg * GRAVITY
    full = dataclasses.replace(bare.full, thrust_n=np.array([0.5, 0.5]) * thrust)
    packed = dataclasses.replace(packed, whole_mass_kg=mass_kg, full=full)
    assert static_bound_m_s(packed) == pytest.approx(bound_m_s, rel=5e-6)


def test_static_bound_at_its_ends(bare, without_drag):
    """Nought when the thrust does not carry the weight, no bound without drag."""
    weak = dataclasses.replace(bare, full=dataclasses.replace(bare.full, thrust_n=np.ones(2)))
    assert static_bound_m_s(weak) == 0.0
    still = dataclasses.replace(bare, records=without_drag(bare.record))
    assert static_bound_m_s(still) == math.inf


def test_a_steady_flight_exists_below_the_static_bound_and_not_above(bare, flattened):
    """Rotors that pull the same in any flow, all throttle allowed, thrust-to-weight 1.2: a level
    flight at 0.98 of the bound, reached from weaker winds step by step, and none at 1.02.
    """
    crafts = flattened(bare.record)
    crafts["control"]["reserved"] = 0.0
    crafts["control"]["max_tilt_rad"] = 1.0
    packed = in_the_wind(bare, 0.15, records=crafts)
    flight = plain_flight(bare.air, height_m=HEIGHT_M)
    full = stand_point(packed.record, flight[0], np.ones(2), charge=1.0)
    mass_kg = float(full.thrust_n.sum()) / (1.2 * GRAVITY)
    packed.records["mixer"]["full_thrust_n"][0, :2] = full.thrust_n
    packed.records["mixer"]["hover_thrust_n"] = mass_kg * GRAVITY
    packed.records["mass_kg"] = mass_kg
    packed = dataclasses.replace(packed, full=full, whole_mass_kg=mass_kg)
    bound = static_bound_m_s(packed)
    flight["wind_height_m"], flight["roughness_m"] = HEIGHT_M, 1e-9
    state = None
    for share in (0.0, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98):
        flight["wind_m_s"] = share * bound
        state = find_trim(packed.record, flight[0], charge=1.0, start=state).state
    flight["wind_m_s"] = 1.02 * bound
    with pytest.raises(NoTrim):
        find_trim(packed.record, flight[0], charge=1.0, start=state)


@pytest.fixture(scope="module")
def scenario(repository):
    return load_scenario(repository / "tests" / "verification" / "gusty_stretch.yaml").spec


@pytest.fixture(scope="module")
def blown(bare, scenario):
    """Give the bare craft with a sail at its CG, its hover and what it stands of the gusts."""
    packed = in_the_wind(bare, 0.06)
    start = find_trim(packed.record, plain_flight(bare.air, height_m=3.0)[0], charge=1.0).state
    return packed, start, wind_answer(packed, scenario, start)


def test_limit_stays_below_the_static_bound(blown, scenario):
    """Mean wind at flight height, never above what statics allow."""
    packed, _, answer = blown
    assert answer.static_bound_m_s == static_bound_m_s(packed)
    assert 0.0 < answer.limit_m_s < answer.static_bound_m_s
    assert max(point.wind_m_s for point in answer.points) <= answer.static_bound_m_s


def test_no_wind_above_a_low_static_bound_is_claimed(bare, scenario):
    """A sail so large that statics end at 2 m/s: no more is flown, and none is claimed."""
    full = float(bare.full.thrust_n.sum())
    weight = bare.whole_mass_kg * GRAVITY
    pressure = 0.5 * bare.air.density_kg_m3 * 2.0**2
    area = weight * math.tan(math.acos(weight / full)) / pressure
    packed = in_the_wind(bare, area)
    assert static_bound_m_s(packed) == pytest.approx(2.0, rel=1e-12)
    start = find_trim(packed.record, plain_flight(bare.air, height_m=3.0)[0], charge=1.0).state
    answer = wind_answer(packed, scenario, start)
    assert answer.limit_m_s is None or answer.limit_m_s <= 2.0 + 1e-9
    assert all(point.wind_m_s <= 2.0 + 1e-9 for point in answer.points)


def test_flights_fail_in_a_wind_above_the_static_bound(bare, scenario):
    """Nobody flies there: every flight in one and a half times the bound's wind fails."""
    packed = in_the_wind(bare, 0.6)
    start = find_trim(packed.record, plain_flight(bare.air, height_m=3.0)[0], charge=1.0).state
    forecast = 1.5 * static_bound_m_s(packed) / height_ratio(scenario)
    flown = StudyFlights(packed, scenario, start, Study()).rows(Wind(forecast, 0.0), 8)
    assert not succeeded(flown).any()


def test_bounds_are_exact(blown, scenario):
    """Clopper and Pearson (1934), two-sided: P(K >= k | lower) = P(K <= k | upper) = doubt / 2."""
    _, _, answer = blown
    half = 0.5 * (1.0 - scenario.limits.confidence)
    assert {0, 1} <= {min(p.flights - p.successes, 1) for p in answer.points}
    for p in answer.points:
        if p.successes:
            assert binom.sf(p.successes - 1, p.flights, p.lower) == pytest.approx(half, rel=1e-6)
        if p.successes < p.flights:
            assert binom.cdf(p.successes, p.flights, p.upper) == pytest.approx(half, rel=1e-6)
        assert p.monotone <= 1.0
    fitted = [p.monotone for p in answer.points]
    assert fitted == sorted(fitted, reverse=True)


def test_limit_is_the_highest_wind_below_which_all_passes(blown, scenario):
    """Every wind judged up to the limit meets what is asked; the next one does not."""
    _, _, answer = blown
    asked = scenario.limits.success
    judged = [p for p in answer.points if p.judged]
    below = [p for p in judged if p.forecast_m_s <= answer.limit_forecast_m_s]
    above = [p for p in judged if p.forecast_m_s > answer.limit_forecast_m_s]
    assert all(p.one_sided_lower >= asked for p in below)
    assert above
    assert above[0].one_sided_lower < asked
    assert above[0].forecast_m_s - answer.limit_forecast_m_s <= 0.5 + 1e-9
    assert len(judged) <= answer.tests
    assert answer.first_cause
    assert not answer.is_bounded
    assert answer.limit_forecast_m_s <= answer.estimate_forecast_m_s


def test_the_flight_to_fly_again_fails_as_told(blown, scenario):
    """Flown alone by its number and wind, with its history, it ends as its row says."""
    packed, start, answer = blown
    first = answer.causes[0]
    assert first.words == max(answer.causes, key=lambda cause: cause.flights).words
    plan = wind_plan(packed, scenario, start, Wind(first.forecast_m_s, answer.from_rad))
    made = plan.made(Part(first.flight, 1))
    flown = fly(made.crafts[0], made.flights[0], made.states)
    assert cause(flown.tally, float(made.flights[0].step_s)) == first.words


def test_limit_at_flight_height_and_its_gust(blown, scenario):
    """Log profile over open fields, z0 = 0.05 m (EN 1991-1-4): ln(3 / z0) / ln(10 / z0) of the wind
    at 10 m. The gust is more than the mean, by less than three intensities 1 / ln(3 / z0).
    """
    _, _, answer = blown
    ratio = math.log(3.0 / 0.05) / math.log(10.0 / 0.05)
    assert height_ratio(scenario) == pytest.approx(ratio, rel=1e-12)
    assert answer.limit_m_s == pytest.approx(ratio * answer.limit_forecast_m_s, rel=1e-12)
    factor = answer.gust_m_s / answer.limit_m_s
    assert factor == pytest.approx(gust_over_mean(scenario), rel=1e-12)
    assert answer.at_10_m_m_s == answer.limit_forecast_m_s
    assert 1.0 < factor < 1.0 + 3.5 / math.log(3.0 / 0.05)


def test_a_forecast_for_another_height_is_told_at_10_m(scenario):
    """A wind given at 2 m over open fields: ln(10 / z0) / ln(2 / z0) of it at 10 m."""
    low = scenario.wind.model_copy(update={"at_height_m": 2.0})
    ratio = forecast_ratio(scenario.model_copy(update={"wind": low}))
    assert ratio == pytest.approx(math.log(10.0 / 0.05) / math.log(2.0 / 0.05), rel=1e-12)


@settings(max_examples=12)
@given(more_kg=st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)))
def test_adding_mass_never_raises_the_thrust_margin(repository, standard_air, more_kg):
    """Thrust-to-weight goes as 1 / W, but for the propeller map, which is made near the weight; it
    and the static bound fall as mass is added.
    """
    spec = load_craft(repository / "airframes" / "bare_bicopter.yaml").spec
    found = []
    for extra in sorted(more_kg):
        battery = spec.battery.model_copy(
            update={"mass_kg": Uncertain(spec.battery.mass_kg.value + extra)}
        )
        heavier = spec.model_copy(update={"battery": battery})
        packed = pack_craft(heavier, standard_air)
        lift = lift_answer(heavier, packed, None)
        found.append(
            (lift.thrust_to_weight, lift.usable_thrust_to_weight, static_bound_m_s(packed))
        )
    for light, heavy in zip(*found, strict=True):
        assert heavy <= light * (1.0 + 1e-9)
