"""The whole check: six answers about one craft on one day."""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from sim.analysis.check_result import CheckResult, OtherState, StabilityAnswer, Unknown
from sim.analysis.condition import STILL_SWING_M_S, Fabric
from sim.analysis.condition_margins import ConditionMargins, condition_of, margins_at
from sim.analysis.head import head_answer
from sim.analysis.lift import lift_answer
from sim.analysis.margin_study import cases_beside
from sim.analysis.other_states import other_states
from sim.analysis.picture_data import PictureData, picture_data
from sim.analysis.required_margins import required_margins
from sim.analysis.shown_flights import FlownAgain, flights_to_show, only_flight
from sim.analysis.stability import no_stability, stability_answer, with_conditions
from sim.analysis.steady_conditions import fabric_of
from sim.analysis.trim import Trim, find_trim
from sim.analysis.unknowns import unknowns
from sim.analysis.verdict import verdict
from sim.analysis.wind_flights import StudyFlights, settled_start
from sim.analysis.wind_limit import QUICK, Effort, wind_answer
from sim.analysis.wind_result import WindAnswer
from sim.errors import NotLinear, NoTrim
from sim.flight.outcome import LIMIT_WORDS
from sim.flight.results import Flight
from sim.flight.run import fly
from sim.flight.start import level_state, standing_height_m
from sim.flight.study import Study
from sim.mass.from_spec import mass_properties
from sim.pack.craft import PackedCraft, pack_craft
from sim.pack.flight import day_air, flight_height_m, pack_flight, plain_flight
from sim.params.tally_record import Limit
from sim.physics.air.atmosphere import AirOfTheDay
from sim.spec.files import LoadedCraft, LoadedScenario
from sim.spec.scenario import ScenarioSpec

NOT_MODELLED: tuple[str, ...] = (
    "folds of the fabric finer than a panel, fabric that nods with a head, cloth on cloth, and "
    "tips of rods that poke through between the lines of its grid; a wide skirt can hang in "
    "several ways, of which one is found",
    "wakes of rotors on each other, and air thrown up between them near the ground; how much air a "
    "rotor draws in beside its wake is known to a factor of two",
    "gusts smaller than the craft: across its span they change along a straight line",
    "barometer, range finder and satellite receiver one by one: place and speed come as one "
    "lagged, noisy fix, heading without error",
    "warming of motors and pack in flight, and the slow part of the sag of a pack",
    "inertia of the tilting pods, servo torque and supply voltage",
    "margins in wind of a craft with fabric, which has to be blown to rest first, in this check: "
    "gustworthy margins --conditions all has them",
)

Progress = Callable[[str, float | None], None]


def _silent(_sentence: str, _share: float | None) -> None:
    """Say nothing."""


def scenario_start(packed: PackedCraft, scenario: ScenarioSpec, hover: Any | None) -> Any:
    """Give the state a scenario's flight starts from: on the feet, or hovering.

    Parameters
    ----------
    packed, scenario : what flies, and how
    hover : ndarray of one state record, or None
        A hover trim, used when the scenario starts in hover; level rotors at hover speed without.
    """
    flight = pack_flight(scenario, packed.air)[0]
    if scenario.start == "ground":
        height = standing_height_m(packed.record)
        return level_state(
            packed.record, flight, height_m=height, hovers=False, charge=packed.charge
        )
    if hover is not None:
        return hover
    height = flight_height_m(scenario)
    return level_state(packed.record, flight, height_m=height, hovers=True, charge=packed.charge)


def fly_scenario(packed: PackedCraft, scenario: ScenarioSpec, start: Any) -> Flight:
    """Fly one flight of a scenario, settled in its mean wind when it starts in hover."""
    flights = pack_flight(scenario, packed.air)
    return fly(packed.record, flights[0], settled_start(packed, scenario, flights[0], start))


def hover_trim(packed: PackedCraft, scenario: ScenarioSpec) -> Trim:
    """Find the hover trim in still air at the scenario's height, over the origin."""
    flight = plain_flight(packed.air, height_m=flight_height_m(scenario))[0]
    return find_trim(packed.record, flight, charge=packed.charge, swing_m_s=STILL_SWING_M_S)


def _stability(
    trim: Trim | None, reason: str, scenario: ScenarioSpec, fabric: Fabric
) -> tuple[StabilityAnswer, ConditionMargins | None]:
    required = required_margins(scenario.limits)
    if trim is None:
        return no_stability(reason, STILL_SWING_M_S, required), None
    condition = condition_of(
        trim.flights[0],
        charge=float(trim.state["charge"][0]),
        fabric=fabric,
        swing_m_s=STILL_SWING_M_S,
    )
    try:
        found = margins_at(trim, condition, required=required)
    except NotLinear as problem:
        return no_stability(str(problem), STILL_SWING_M_S, required), None
    return stability_answer(found), found


def _limit_shares(flight: Flight) -> tuple[tuple[str, float], ...]:
    ticks = max(float(flight.tally.ticks), 1.0)
    shares = [
        (LIMIT_WORDS[limit], float(flight.tally.ticks_at_limit[int(limit)]) / ticks)
        for limit in Limit
    ]
    return tuple((words, share) for words, share in shares if share > 0.0)


def _beside_flights(
    craft: LoadedCraft,
    scenario: LoadedScenario,
    packed: PackedCraft,
    air: AirOfTheDay,
    trim: Trim | None,
    found: ConditionMargins | None,
) -> tuple[tuple[OtherState, ...], tuple[Unknown, ...], PictureData]:
    """Find the craft in other states, what is unsure, and what the pictures show."""
    return (
        other_states(craft.spec, air, scenario.spec, near=trim),
        unknowns(craft.spec, air),
        picture_data(craft.spec, packed, trim, found),
    )


def check_craft(
    craft: LoadedCraft,
    scenario: LoadedScenario,
    *,
    progress: Progress | None = None,
    effort: Effort = QUICK,
) -> CheckResult:
    """Answer the six questions.

    Parameters
    ----------
    craft, scenario : as loaded
    progress : callable, optional
        Told a sentence and the share done (0 to 1, or None).
    effort : Effort
        How much is flown to find the wind limit.

    Raises
    ------
    InputFaults
        When no body can have the masses given.
    """
    tell = progress or _silent
    began = time.monotonic()
    tell("mass, power and rotors", None)
    air = day_air(scenario.spec)
    packed = pack_craft(craft.spec, air)
    tell("hover in still air", None)
    trim: Trim | None = None
    reason = ""
    lift = lift_answer(craft.spec, packed, None)
    if lift.can_lift:
        try:
            trim = hover_trim(packed, scenario.spec)
            lift = lift_answer(craft.spec, packed, trim)
        except NoTrim as problem:
            reason = problem.reason
    else:
        reason = "the rotors cannot carry the weight"
    tell("margins and modes", None)
    stability, found = _stability(trim, reason, scenario.spec, fabric_of(craft.spec))
    if found is not None and found.stable:
        stability = with_conditions(stability, cases_beside(craft, scenario, packed, found))
    head = head_answer(craft.spec, packed, lift.usable_thrust_n)
    tell("the same craft in other states, and what is unsure", None)
    with ThreadPoolExecutor(max_workers=1) as beside:
        # Flights leave the interpreter free: what does not hang on them is found meanwhile.
        to_come = beside.submit(_beside_flights, craft, scenario, packed, air, trim, found)
        start = scenario_start(packed, scenario.spec, None if trim is None else trim.state)
        flight = fly_scenario(packed, scenario.spec, start)
        wind: WindAnswer | None = None
        shown: tuple[FlownAgain, ...]
        if lift.can_lift and stability.stable:
            known = StudyFlights(packed, scenario.spec, start, Study())
            wind = wind_answer(
                packed, scenario.spec, start, progress=progress, effort=effort, known=known
            )
            tell("flights to look at", None)
            shown = flights_to_show(packed, scenario.spec, start, wind, known)
        else:
            shown = (only_flight(packed, scenario.spec, flight),)
        states, unsure, drawn = to_come.result()
    line, passes = verdict(lift, stability, head, wind, unsure, scenario.spec.wind.mean_m_s)
    return CheckResult(
        craft=craft,
        scenario=scenario,
        packed=packed,
        mass=mass_properties(craft.spec, with_drape=True),
        air=air,
        lift=lift,
        stability=stability,
        head=head,
        wind=wind,
        unknowns=unsure,
        flight=flight,
        flight_limits=_limit_shares(flight),
        not_modelled=NOT_MODELLED,
        verdict=line,
        passes=passes,
        seconds=time.monotonic() - began,
        shown=shown,
        drawn=drawn,
        states=states,
    )
