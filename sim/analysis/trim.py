"""Steady flight: the fixed point of the step, with loops, estimators and fabric all at rest."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any, Final

import numpy as np

from sim.analysis.chart import chart_of
from sim.analysis.linearise import advanced, derivative
from sim.analysis.trim_newton import (
    CONVERGED,
    NEAR,
    NEAR_PSEUDO_PERIODS,
    Trim,
    charged,
    is_there,
    search,
    search_down,
    search_fully,
)
from sim.analysis.trim_start import carried_over
from sim.errors import NoTrim
from sim.flight.start import blank_works, level_state
from sim.pack.wind import take_gusts_out
from sim.params.record import FloatArray
from sim.step.batch import advance_each

__all__: Final = ["CONVERGED", "Trim", "find_trim", "steady_craft", "steady_flight"]

SETTLE_S = 4.0
SETTLING_1_S = 6.0
BLOWN_1_S = (20.0, 10.0, 60.0)
BLOWN_S = 15.0
MOST_BLOWN = 8
QUIET = 3e-6
SHARPER = 0.1
CREEPING = 2e-5
RUFFLE_M = 1e-3
FOLD_M = 0.03
MOST_CREEP = 2e-5
QUIET_PSEUDO_PERIODS = 1e4
LOOSE_S = 30.0
MOST_LOOSE = 3
FULL_CHARGE = 1.0
NO_REST = "no steady hover was found: the loops and the fabric do not come to rest together"
DOES_NOT_HOLD = "the craft does not hold its place in this wind"


def steady_craft(craft: Any) -> Any:
    """Give a copy, in an array of one, without servo play and deadband, which have no slope."""
    crafts = np.array([craft], dtype=craft.dtype)
    crafts["rotor"]["servo_slop_rad"] = 0.0
    crafts["rotor"]["servo_deadband_rad"] = 0.0
    return crafts


def steady_flight(flight: Any, *, swing_m_s: float) -> Any:
    """Give a copy, in an array of one, without noise, gusts, ramps and emptying pack.

    The place held is that of the first command, `swing_m_s` [m/s] the swing of the fabric at which
    its drag is made linear.
    """
    flights = np.array([flight], dtype=flight.dtype)
    flights["noise_factor"] = 0.0
    take_gusts_out(flights)
    flights["turbulence_ramp_s"] = 0.0
    flights["keeps_charge"] = 1
    flights["holds_position"] = 1
    flights["command_count"] = 1
    flights["command"]["time_s"][:, 0] = 0.0
    flights["command"]["kind"][:, 0] = 0
    flights["command"]["lasts_s"][:, 0] = 0.0
    flights["swing_m_s"] = swing_m_s
    return flights


def _advance(crafts: Any, flights: Any, state: Any, seconds: float) -> None:
    """Move a state in place by whole loop periods, back at tick 0."""
    period = int(crafts[0].control.period_ticks)
    ticks = round(seconds / float(flights[0].step_s) / period) * period
    advance_each(crafts, flights, state, blank_works(), ticks)
    state["tick"] = 0


def _damped(flights: Any) -> Any:
    """Give a copy of flights with the fabric damped against the body."""
    damped = flights.copy()
    damped["settling_1_s"] = SETTLING_1_S
    return damped


def _clamped(crafts: Any, flights: Any, charge: float) -> Any:
    """Give the state of a craft held level while its rotors and fabric settle."""
    height = -float(flights[0].command[0].place_m[2])
    state = level_state(crafts[0], flights[0], height_m=height, hovers=True, charge=charge)
    held = _damped(flights)
    held["is_held"] = 1
    _advance(crafts, held, state, SETTLE_S)
    return state


def _starts(crafts: Any, flights: Any, charge: float) -> Iterator[Any]:
    """Give states to search from: let go for a while if the loops hold the craft, then clamped.

    A craft that comes nearer to its place, but slowly, is given longer.
    """
    clamped, damped = _clamped(crafts, flights, charge), _damped(flights)
    free, wanted, before = clamped.copy(), flights[0].command[0].place_m, math.inf
    for _ in range(MOST_LOOSE):
        _advance(crafts, damped, free, LOOSE_S)
        body = free[0].body
        apart = np.concatenate([body.position_m - wanted, body.rate_rad_s, body.velocity_m_s])
        most = float(np.abs(apart).max())
        if most < NEAR:
            yield free
        if not NEAR <= most < before:
            break
        before = most
    yield clamped


def _blown(crafts: Any, flights: Any) -> bool:
    """Tell whether there is fabric in a wind."""
    return float(flights[0].wind_m_s) > 0.0 and int(crafts[0].drape.panel_count) > 0


def _ruffled(crafts: Any, state: Any) -> Any:
    """Give a copy of a state with the fabric a little out of every symmetry, the same each time.

    A fold that both sides of a symmetric craft could make would else stay undecided.
    """
    ruffled = state.copy()
    count = int(crafts[0].drape.panel_count)
    way = np.cos(np.arange(3 * count, dtype=np.float64) ** 2).reshape(count, 3)
    ruffled["particle"]["position_m"][0, :count] += RUFFLE_M * way
    return ruffled


def _at_charge(crafts: Any, calmed: Any, state: Any, charge: float) -> Any:
    """Give a steady state with another charge, or the state itself if there is none."""
    if float(state["charge"][0]) == charge:
        return state
    found = search_down(crafts, calmed, state, charge)
    return charged(state, charge) if found is None else found.state


def _search_blown(crafts: Any, flights: Any, state: Any, charge: float) -> Trim | None:
    """Search a steady flight with fabric in a wind, from a state.

    Light fabric flutters in wind and never comes to rest by itself. Damped against the craft it
    does, and a shape at rest does not feel the damping. It folds into one of several shapes; where
    one is hard to find, another damping may lead to the next. In the end a shape is accepted that
    only creeps, faster each second by a thousandth of gravity at most.
    """
    chart = chart_of(crafts[0])
    calmed = flights.copy()
    quietest = Trim(state, chart, math.inf, 0, crafts, flights)
    for settling in BLOWN_1_S:
        calmed["settling_1_s"] = settling
        here = _ruffled(crafts, _at_charge(crafts, calmed, state, charge))
        tried = math.inf
        for _ in range(MOST_BLOWN):
            _advance(crafts, calmed, here, BLOWN_S)
            left = float(np.abs(chart.difference(here, advanced(crafts, calmed, here))).max())
            if not math.isfinite(left):
                break
            if left < quietest.residual:
                quietest = replace(quietest, state=here.copy(), residual=left)
            if left >= QUIET or left >= SHARPER * tried:
                continue
            tried = left
            found = search(crafts, calmed, here.copy(), QUIET_PSEUDO_PERIODS)
            fold = None if found is None else _folding(found)
            if found is not None and fold is None:
                return _let_go(found, flights)
            if found is not None and fold is not None:
                here = chart.moved(found.state, fold[:, None])
    if quietest.residual < CREEPING and is_there(quietest):
        return quietest if _folding(replace(quietest, flights=calmed)) is None else None
    return None


def _folding(calmed: Trim) -> FloatArray | None:
    """Give steps of the damped fabric's growing motion, a few centimetres; None when it stays."""
    slope = derivative(calmed.crafts, calmed.flights, calmed.state, calmed.chart, 0.5)
    roots, motions = np.linalg.eig(slope)
    fastest = int(np.argmax(np.abs(roots)))
    if abs(roots[fastest]) < 1.0 + MOST_CREEP:
        return None
    motion = motions[:, fastest].real
    fabric = np.array([group == "drape" for group in calmed.chart.groups])
    step: FloatArray = FOLD_M * motion / np.abs(motion[fabric]).max()
    return step


def _let_go(calmed: Trim, flights: Any) -> Trim:
    """Give a steady flight found with damping as one without it, sharper where that succeeds."""
    sharper = search(calmed.crafts, flights, calmed.state.copy(), NEAR_PSEUDO_PERIODS)
    if sharper is not None:
        return sharper
    return replace(calmed, flights=flights)


def _search_near(
    crafts: Any, flights: Any, charge: float, start: Any, *, is_patient: bool = True
) -> Trim | None:
    """Search from a steady flight that is like the one wanted."""
    near = carried_over(start.crafts, start.state, crafts) if isinstance(start, Trim) else start
    if near is None:
        return None
    if _blown(crafts, flights):
        return _search_blown(crafts, flights, near, charge)
    found = search_down(crafts, flights, near, charge, is_patient=is_patient)
    if found is None and is_patient and float(near["charge"][0]) != charge:
        found = search(crafts, flights, charged(near, charge))
    return found


def _search_far(crafts: Any, flights: Any, charge: float) -> Trim | None:
    """Search from flights that settle: held first, then by themselves.

    With a pack that is not full the craft would sink to the ground while its height integral fills;
    there the flight with a full pack is found first.
    """
    if not _blown(crafts, flights):
        found = search_fully(crafts, flights, _clamped(crafts, flights, charge))
        if found is not None:
            return found
    if charge < FULL_CHARGE:
        full = _search_far(crafts, flights, FULL_CHARGE)
        found = None if full is None else _search_near(crafts, flights, charge, full.state)
        if found is not None:
            return found
    for state in _starts(crafts, flights, charge):
        if _blown(crafts, flights):
            found = _search_blown(crafts, flights, state, charge)
        else:
            found = search(crafts, flights, state)
        if found is not None:
            return found
    return None


def find_trim(
    craft: Any,
    flight: Any,
    *,
    charge: float,
    swing_m_s: float = 0.0,
    start: Any = None,
    is_patient: bool = True,
) -> Trim:
    """Find the steady flight of a craft over the flight's first place, in its mean wind.

    Parameters
    ----------
    craft, flight : record
        As packed.
    charge : float
        [-] Of the pack.
    swing_m_s : float
        [m/s] See `steady_flight`.
    start : Trim or ndarray of one state record, optional
        Where to search first, such as the trim of a nearby wind or of a similar craft; what every
        search starts from follows when that fails.
    is_patient : bool
        Whether to go on when full steps from a start do not settle.

    Raises
    ------
    NoTrim
        If the search ends without a steady flight; the reason is a sentence.
    """
    crafts = steady_craft(craft)
    flights = steady_flight(flight, swing_m_s=swing_m_s)
    found = None
    if start is not None:
        found = _search_near(crafts, flights, charge, start, is_patient=is_patient)
    if found is None and (is_patient or start is None):
        found = _search_far(crafts, flights, charge)
    if found is not None:
        return found
    is_windy = float(flights[0].wind_m_s) > 0.0
    if is_patient and is_windy and len(list(_starts(crafts, flights, charge))) == 1:
        raise NoTrim(DOES_NOT_HOLD)
    raise NoTrim(NO_REST)
