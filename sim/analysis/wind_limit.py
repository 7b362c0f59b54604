"""Question 4, how much wind: gust flights over wind speeds, with exact binomial bounds.

Every wind speed flies the same flight numbers, so that their gusts have the same shape (common
random numbers): what changes between speeds is the speed. The limit is the highest wind tried at
which, and below which everywhere, the lower confidence bound of the success probability is at
least what is asked.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, final

import numpy as np

from sim.analysis.binomial_bounds import flights_needed, lower_bound, two_sided_bounds
from sim.analysis.check_result import WindAnswer, WindPoint
from sim.flight.ensemble import fly_ensemble
from sim.flight.outcome import cause
from sim.flight.results import Ensemble
from sim.flight.settle import settled_in_wind
from sim.pack.craft import PackedCraft
from sim.pack.flight import (
    STEP_S,
    day_air,
    flight_height_m,
    pack_flight,
    write_wind,
)
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2
from sim.physics.air.gust_factor import LOWEST_HEIGHT_M, gust_factor
from sim.physics.air.wind_profile import TERRAINS, mean_wind_ratio, turbulence_intensity
from sim.spec.scenario import ScenarioSpec

COARSE_STEP_M_S = 2.0
FINE_STEP_M_S = 0.5
HIGHEST_TRIED_M_S = 16.0
SPARE_FLIGHTS = 1.3
MEAN_AVERAGE_S = 600.0
GUST_AVERAGE_S = 3.0
LEAST_POINTS = 8


def static_bound_m_s(packed: PackedCraft) -> float:
    """Give the wind [m/s] at which level trim takes all thrust, with parts' drag alone.

    tan(tilt) = D / W and T / W = 1 / cos(tilt) give V = sqrt(2 W tan(acos(W / T)) / (rho CdA)). The
    fabric is left out and the smaller of forward and sideways drag taken, so that this bounds the
    limit from above; infinite without drag, 0 when the thrust does not carry the weight.
    """
    record = packed.record
    bodies = record["body"]["drag_area_m2"][: int(record.body_count)]
    area = float(min(bodies[:, 0].sum(), bodies[:, 1].sum())) if len(bodies) else 0.0
    weight = packed.whole_mass_kg * STANDARD_GRAVITY_M_S2
    thrust = float(np.sum(packed.full.thrust_n))
    if thrust <= weight:
        return 0.0
    if area <= 0.0:
        return math.inf
    tilt = math.acos(weight / thrust)
    return math.sqrt(2.0 * weight * math.tan(tilt) / (packed.air.density_kg_m3 * area))


def height_ratio(scenario: ScenarioSpec) -> float:
    """Give the mean wind at flight height over that at the scenario's wind height."""
    terrain = TERRAINS[scenario.wind.terrain]
    return mean_wind_ratio(
        flight_height_m(scenario),
        scenario.wind.at_height_m,
        terrain.roughness_m,
        terrain.low_flight_minimum_height_m,
    )


def gust_over_mean(scenario: ScenarioSpec) -> float:
    """Give the three-second gust over the ten-minute mean at flight height (WMO/TD-1555)."""
    terrain = TERRAINS[scenario.wind.terrain]
    height = max(flight_height_m(scenario), LOWEST_HEIGHT_M)
    intensity = scenario.wind.turbulence.intensity
    if intensity is None:
        intensity = turbulence_intensity(
            height, terrain.roughness_m, terrain.low_flight_minimum_height_m
        )
    if scenario.wind.turbulence.form == "none":
        return 1.0
    return gust_factor(GUST_AVERAGE_S, MEAN_AVERAGE_S, height, intensity)


def settled_start(packed: PackedCraft, scenario: ScenarioSpec, flight: Any, start: Any) -> Any:
    """Give the state that gusts meet: settled in the mean wind if the flight starts hovering."""
    if scenario.start == "hover":
        return settled_in_wind(packed.record, flight, start)
    return start


def fly_in_wind(
    packed: PackedCraft,
    scenario: ScenarioSpec,
    start: Any,
    forecast_m_s: float,
    flights: int,
    *,
    threads: int | None = None,
) -> Ensemble:
    """Fly flights 0 to n - 1 of the study in a mean wind [m/s] at the scenario's wind height.

    Parameters
    ----------
    packed, scenario : what flies, and how
    start : ndarray of one state record
        Hover in still air, which is first settled in the mean wind, or a stand on the ground.
    forecast_m_s : float
        [m/s] Mean wind.
    flights : int
        How many.
    threads : int, optional
        Cores to use; the answer does not depend on it.
    """
    one = pack_flight(scenario, day_air(scenario))
    write_wind(scenario, one[0], forecast_m_s)
    settled = settled_start(packed, scenario, one[0], start)
    many = np.repeat(one, flights)
    many["flight"] = np.arange(flights)
    return fly_ensemble(
        packed.records,
        np.zeros(flights, dtype=np.int64),
        many,
        np.repeat(settled, flights),
        threads=threads,
    )


@final
@dataclass
class _Study:
    """Wind points flown so far."""

    packed: PackedCraft
    scenario: ScenarioSpec
    start: Any
    flights: int
    ratio: float
    progress: Callable[[str, float | None], None] | None
    points: dict[float, WindPoint]
    not_finite: int = 0

    def passes(self, forecast_m_s: float) -> bool:
        """Fly a wind speed, unless it was flown, and tell whether it meets what is asked."""
        key = round(forecast_m_s, 6)
        if key not in self.points:
            if self.progress is not None:
                share = min(len(self.points) / LEAST_POINTS, 0.99)
                self.progress(f"flying {self.flights} flights in {forecast_m_s:.1f} m/s", share)
            self.points[key] = self._fly(forecast_m_s)
        return self.points[key].one_sided_lower >= self.scenario.limits.success

    def _fly(self, forecast_m_s: float) -> WindPoint:
        ensemble = fly_in_wind(self.packed, self.scenario, self.start, forecast_m_s, self.flights)
        good = ensemble.succeeded
        self.not_finite += ensemble.not_finite
        successes = int(np.count_nonzero(good))
        confidence = self.scenario.limits.confidence
        bounds = two_sided_bounds(successes, self.flights, confidence)
        causes = Counter(cause(tally, STEP_S) for tally in ensemble.tallies[~good])
        failed = np.flatnonzero(~good)
        return WindPoint(
            forecast_m_s=forecast_m_s,
            wind_m_s=forecast_m_s * self.ratio,
            flights=self.flights,
            successes=successes,
            lower=bounds.lower,
            upper=bounds.upper,
            one_sided_lower=lower_bound(successes, self.flights, confidence),
            causes=tuple(causes.most_common()),
            first_failure=int(failed[0]) if failed.size else None,
        )


def _search(study: _Study, highest_m_s: float) -> float | None:
    """Give the highest passing wind [m/s]: coarse steps up from still air, then halves, then fine.

    None when still air fails. Everything below the answer that was flown passes.
    """
    if not study.passes(0.0):
        return None
    good, bad = 0.0, math.inf
    while good < highest_m_s:
        following = min(good + COARSE_STEP_M_S, highest_m_s)
        if not study.passes(following):
            bad = following
            break
        good = following
    while math.isfinite(bad) and bad - good > FINE_STEP_M_S + 1e-9:
        middle = good + FINE_STEP_M_S * round((bad - good) / (2.0 * FINE_STEP_M_S))
        middle = min(max(middle, good + FINE_STEP_M_S), bad - 1e-9)
        if study.passes(middle):
            good = middle
        else:
            bad = middle
    return good


def _fill(study: _Study, limit_m_s: float, highest_m_s: float) -> float:
    """Fly neighbours of the limit until the curve has enough points; give the limit they leave.

    A wind below the limit that turns out to fail brings the limit down to the next that passes.
    """
    offset = 1
    while len(study.points) < LEAST_POINTS and offset <= 2 * LEAST_POINTS:
        for wind in (limit_m_s + offset * FINE_STEP_M_S, limit_m_s - offset * FINE_STEP_M_S):
            if 0.0 < wind <= highest_m_s and len(study.points) < LEAST_POINTS:
                study.passes(wind)
        offset += 1
    kept = limit_m_s
    for wind in sorted(study.points, reverse=True):
        if wind <= kept and not study.passes(wind):
            below = [w for w in study.points if w < wind]
            kept = max(below)
    return kept


def wind_answer(
    packed: PackedCraft,
    scenario: ScenarioSpec,
    start: Any,
    *,
    progress: Callable[[str, float | None], None] | None = None,
) -> WindAnswer:
    """Find the highest mean wind in which the asked share of flights succeeds.

    Parameters
    ----------
    packed, scenario : what flies, and how
    start : ndarray of one state record
        Hover in still air.
    progress : callable, optional
        Told a sentence and the share done, 0 to 1.
    """
    limits = scenario.limits
    needed = flights_needed(limits.success, limits.confidence)
    flights = math.ceil(SPARE_FLIGHTS * needed)
    ratio = height_ratio(scenario)
    bound = static_bound_m_s(packed)
    highest = min(HIGHEST_TRIED_M_S, bound / ratio)
    study = _Study(packed, scenario, start, flights, ratio, progress, {})
    limit = _search(study, highest)
    if limit is not None:
        limit = _fill(study, limit, highest)
    points = tuple(study.points[wind] for wind in sorted(study.points))
    above = [p for p in points if p.causes and (limit is None or p.forecast_m_s >= limit)]
    return WindAnswer(
        limit_forecast_m_s=limit,
        limit_m_s=None if limit is None else limit * ratio,
        gust_m_s=None if limit is None else limit * ratio * gust_over_mean(scenario),
        static_bound_m_s=bound,
        is_bounded=limit is not None and all(p.forecast_m_s <= limit for p in points),
        first_cause=above[0].causes[0][0] if above else "",
        points=points,
        asked_success=limits.success,
        asked_confidence=limits.confidence,
        flight_s=scenario.duration_s,
        wind_height_m=scenario.wind.at_height_m,
        flight_height_m=flight_height_m(scenario),
        terrain=scenario.wind.terrain,
        seed=scenario.seed,
        flights=sum(point.flights for point in points),
        not_finite=study.not_finite,
    )
