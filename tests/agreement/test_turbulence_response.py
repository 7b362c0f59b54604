"""Position in turbulence: exact covariance of the linear model against flights.

The linear model of one run of the loops, driven by the wind filters, has a stationary covariance Z
that solves Z = F Z F' + Q (Lyapunov); its roots for position are what flights must show, within the
error bar of the flights themselves. And one flight must follow the linear model path for path when
both are given the same random numbers.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import pytest
from scipy.linalg import block_diag, solve_discrete_lyapunov

from sim.analysis.linearise import advanced, linearise
from sim.analysis.trim import find_trim
from sim.flight.run import fly
from sim.numerics.noise import four_normals
from sim.pack.flight import plain_flight
from sim.params.tally_record import Stop
from sim.params.wind_record import DRYDEN
from sim.physics.air.direction import wind_to_earth
from sim.physics.air.turbulence import advance_turbulence, dryden_filter, first_turbulence
from sim.step.eddies import TURBULENCE_CHANNEL

WIND_M_S, HEIGHT_M, FROM_RAD = 5.0, 3.0, 0.6
# So little that the bend of the drag does not count: a hundredth of the mean wind.
SIGMA_M_S = 0.05
FLIGHTS, SECONDS, SETTLED_S = 48, 60.0, 15.0
NEVER = 10**9
SHAPING = 5


class Blown(NamedTuple):
    """A steady flight in a wind, its linear model, and the filters that blow on it."""

    trim: Any
    period_ticks: int
    a: np.ndarray
    gust: np.ndarray
    moving: np.ndarray
    filters: Any

    @property
    def output(self):
        """From the five filter states to the gust along, to the right and down, shape (3, 5)."""
        f = self.filters
        return block_diag([[1.0]], f.across.output[np.newaxis], f.vertical.output[np.newaxis])


def gust_slopes(trim, period_ticks, size=1e-4):
    """Give dx(k+1)/d(gust) for a gust that is held during one run of the loops, shape (states, 3).

    The gust along, to the right and down is set in a flight that never draws new ones.
    """
    state, flights = trim.state.copy(), trim.flights.copy()
    state["tick"] = period_ticks
    flights["turbulence_ticks"], flights["turbulence_ramp_s"] = NEVER, 0.0
    centre = advanced(trim.crafts, flights, state)
    columns = []
    for way in np.eye(3):
        sides = []
        for sign in (1.0, -1.0):
            pushed = state.copy()
            pushed["wind"]["eddy_m_s"][0] = wind_to_earth(tuple(sign * size * way), FROM_RAD)
            later = advanced(trim.crafts, flights, pushed)
            sides.append(trim.chart.difference(centre, later)[:, 0])
        columns.append((sides[0] - sides[1]) / (2.0 * size))
    return np.array(columns).T


@pytest.fixture(scope="module")
def blown(packed):
    """Give the bare frame, which has no fabric, leaning into 5 m/s from the north-north-east."""
    craft = packed("bare_bicopter")
    flight = plain_flight(craft.air, height_m=HEIGHT_M)
    flight["wind_m_s"], flight["wind_height_m"] = WIND_M_S, HEIGHT_M
    flight["wind_from_rad"] = FROM_RAD
    trim = find_trim(craft.record, flight[0], charge=1.0)
    model = linearise(trim.crafts, trim.flights, trim.state, trim.chart)
    ticks = int(trim.crafts[0].control.period_ticks)
    # A memory whose gain is nought stays as it is: no state, but a constant.
    moving = ~(model.a == np.eye(trim.chart.size)).all(axis=1)
    filters = dryden_filter(WIND_M_S, HEIGHT_M, SIGMA_M_S, model.period_s)
    slopes = gust_slopes(trim, ticks)
    return Blown(trim, ticks, model.a[np.ix_(moving, moving)], slopes[moving], moving, filters)


def gusty_flight(blown):
    """Give the trim's flight record with turbulence that is drawn once a run of the loops."""
    flights = blown.trim.flights.copy()
    flights["turbulence_ticks"], flights["turbulence_ramp_s"] = blown.period_ticks, 0.0
    flights["duration_s"], flights["seed"] = SECONDS, 11
    flights["turbulence_form"] = DRYDEN
    for part in ("along", "across", "vertical"):
        for name in flights["turbulence"][part].dtype.names:
            flights["turbulence"][part][name] = getattr(getattr(blown.filters, part), name)
    return flights


def apart_from_place(blown, flown):
    """Give the history of the place less the steady one [m], shape (samples, 3)."""
    place = blown.trim.state["body"]["position_m"][0]
    history = [flown.channel("north"), flown.channel("east"), -flown.channel("height")]
    return np.stack(history, axis=1) - place


def test_position_in_turbulence_has_the_exact_covariance(blown):
    """Mean squares of 48 flights, north, east and down, within three of their standard errors of
    the diagonal of Z; those errors are below 13 %, so that a slip of a factor would show.
    """
    f = blown.filters
    states = len(blown.a)
    transition = block_diag([[f.along.decay]], f.across.transition, f.vertical.transition)
    noise = block_diag([[f.along.gain]], f.across.noise_factor, f.vertical.noise_factor)
    whole = np.block(
        [[blown.a, blown.gust @ blown.output], [np.zeros((SHAPING, states)), transition]]
    )
    assert np.abs(np.linalg.eigvals(whole)).max() < 1.0
    driven = np.zeros_like(whole)
    driven[states:, states:] = noise @ noise.T
    z = solve_discrete_lyapunov(whole, driven)
    assert np.abs(whole @ z @ whole.T + driven - z).max() < 1e-9 * np.abs(z).max()
    assert z[states, states] == pytest.approx(SIGMA_M_S**2, rel=1e-9)

    flights = gusty_flight(blown)
    squares = []
    for number in range(FLIGHTS):
        flights["flight"] = number
        flown = fly(blown.trim.crafts[0], flights[0], blown.trim.state)
        assert flown.stop == Stop.TIME
        apart = apart_from_place(blown, flown)
        squares.append((apart[flown.channel("time") > SETTLED_S] ** 2).mean(axis=0))
    mean = np.mean(squares, axis=0)
    error = np.std(squares, axis=0, ddof=1) / np.sqrt(FLIGHTS)
    assert np.all(error < 0.13 * mean)
    assert np.all(np.abs(mean - np.diag(z)[:3]) <= 3.0 * error)


def test_a_flight_follows_the_linear_model_gust_for_gust(blown):
    """The same random numbers into x(k+1) = A x(k) + G s(k): the paths part by at most 2 % of the
    largest excursion, which is the share of the drag that bends at a hundredth of the wind.
    """
    flights = gusty_flight(blown)
    flights["flight"], flights["duration_s"] = 7, 20.0
    flown = fly(blown.trim.crafts[0], flights[0], blown.trim.state, every_s=0.02)
    seen = apart_from_place(blown, flown)
    x, shaping, predicted = np.zeros(len(blown.a)), None, []
    every = 20 // blown.period_ticks
    for run in range(len(seen) * every):
        tick = run * blown.period_ticks
        first = four_normals(11, 7, tick, TURBULENCE_CHANNEL)
        draw = (*first, four_normals(11, 7, tick, TURBULENCE_CHANNEL + 1)[0])
        if shaping is None:
            shaping = first_turbulence(blown.filters, draw)
        else:
            shaping = advance_turbulence(shaping, blown.filters, draw)
        x = blown.a @ x + blown.gust @ (blown.output @ np.array(shaping))
        if run % every == 0:
            predicted.append(x[:3])
    # The history's rows stand after the first step of a run, the model's at its end.
    size = np.abs(predicted).max(axis=0)
    assert np.all(size > 0.01)
    assert np.all(np.abs(seen - np.array(predicted)).max(axis=0) <= 0.02 * size)
