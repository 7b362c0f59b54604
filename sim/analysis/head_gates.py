"""Four gates that a craft passes with its head: lift, pitch authority, margins, the day's wind.

Each later gate costs more, so it is looked at only where the earlier ones are passed.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import Any, Final, Literal, final

import numpy as np

from sim.analysis.binomial_bounds import flights_needed, lower_bound
from sim.analysis.check import hover_trim, scenario_start
from sim.analysis.condition_margins import quick_margins
from sim.analysis.head import (
    LEAST_LEVER_M,
    LEAST_THRUST_TO_WEIGHT,
    pivots_above_centre_m,
)
from sim.analysis.lift import lift_answer
from sim.analysis.loop_breaks import ATTITUDE_AXES
from sim.analysis.loop_margins import LoopMargins
from sim.analysis.required_margins import RequiredMargins, required_margins
from sim.analysis.trim import Trim
from sim.errors import NotLinear, NoTrim
from sim.flight.ensemble import fly_ensemble
from sim.flight.outcome import cause
from sim.flight.settle import start_in_wind
from sim.mass.from_spec import mass_properties
from sim.mass.properties import MassProperties
from sim.pack.craft import PackedCraft, pack_craft
from sim.pack.flight import STEP_S, day_air, flight_height_m, pack_flight, plain_flight
from sim.pack.rotor import KnownMaps
from sim.pack.stand import stand_point
from sim.params.record import FloatArray
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2, AirOfTheDay
from sim.spec.airframe import CraftSpec
from sim.spec.scenario import ScenarioSpec

Gate = Literal["lift", "authority", "margins", "wind"]
GATES: Final[tuple[Gate, ...]] = ("lift", "authority", "margins", "wind")
SPARE_FLIGHTS: Final = 1.3
FLOWN_AT_ONCE: Final = 4
SMALLEST_SHARE: Final = 1e-3


@final
@dataclass(frozen=True)
class GateFigures:
    """What a craft has at each gate.

    Attributes
    ----------
    lift : float
        [-] Usable thrust over weight and download; `LEAST_THRUST_TO_WEIGHT` is asked.
    lever_m, lever_plus_minus_m : float
        [m] Rotors above the CG, fabric hanging.
    authority_left : float
        What is left above what is asked: [m] of lever where tilt pitches the craft, else [-] of the
        ratio of usable thrust to hover thrust of the rotor that has least.
    has_hover : bool or None
        None when not looked for.
    shortfall : float or None
        [-] Required over found margin of the worst attitude axis; at most 1 passes, inf is
        unstable; None when not looked at.
    worst_axis : str or None
        Of the margins; None when unstable or not looked at.
    worst : LoopMargins or None
        Margins of that axis.
    flights, successes : int
        Flown in the day's wind, until it was decided; 0 when not looked at.
    sure : float or None
        [-] Lower confidence bound of the success probability; None when not flown to the end.
    cause : str
        Why flights failed, most often; empty when none did.
    failed : "lift", "authority", "margins", "wind" or None
        The first gate that is not passed.
    """

    lift: float
    lever_m: float
    lever_plus_minus_m: float
    authority_left: float
    has_hover: bool | None = None
    shortfall: float | None = None
    worst_axis: str | None = None
    worst: LoopMargins | None = None
    flights: int = 0
    successes: int = 0
    sure: float | None = None
    cause: str = ""
    failed: Gate | None = None

    @property
    def passes(self) -> bool:
        """Whether all four gates are passed."""
        return self.failed is None

    def passed(self, gate: Gate) -> bool | None:
        """Tell whether a gate is passed; None when it was not looked at."""
        if gate == "lift":
            return self.lift >= LEAST_THRUST_TO_WEIGHT
        if gate == "authority":
            return self.authority_left >= 0.0
        if gate == "margins":
            return None if self.shortfall is None else self.shortfall <= 1.0
        return None if self.flights == 0 else self.failed != "wind"


@final
@dataclass(frozen=True)
class HeadStudy:
    """What stays the same while heads, packs and rotors are tried.

    Attributes
    ----------
    craft, scenario : specs
    air : AirOfTheDay
    usable_n : ndarray, shape (rotors,)
        [N] At the throttle that levelling leaves, on the test stand.
    download_share : float
        [-] Download over weight in the hover of the craft as it is; 0 when that has none.
    flights : int
        Flown in the day's wind.
    failures_allowed : int
        Of these.
    required : RequiredMargins
    maps : dict
        Propeller maps, made once.
    hover : Trim or None
        Of the craft as it is, from which others are searched.
    """

    craft: CraftSpec
    scenario: ScenarioSpec
    air: AirOfTheDay
    usable_n: FloatArray
    download_share: float
    flights: int
    failures_allowed: int
    required: RequiredMargins
    maps: KnownMaps
    hover: Trim | None


def most_failures(flights: int, success: float, confidence: float) -> int:
    """Give how many of the flights may fail with the asked success still shown; -1 when none."""
    failures = 0
    while lower_bound(flights - failures, flights, confidence) >= success:
        failures += 1
    return failures - 1


def head_study(craft: CraftSpec, scenario: ScenarioSpec) -> HeadStudy:
    """Prepare a study: day, maps, hover and download of the craft as it is."""
    air, maps = day_air(scenario), KnownMaps()
    packed = pack_craft(craft, air, known_maps=maps)
    hover: Trim | None = None
    share = 0.0
    lift = lift_answer(craft, packed, None)
    if lift.can_lift:
        try:
            hover = hover_trim(packed, scenario)
            lift = lift_answer(craft, packed, hover)
            share = max(lift.download_n, 0.0) / lift.weight_n
        except NoTrim:
            hover = None
    kept = np.full(len(craft.rotors), 1.0 - craft.controller.reserved)
    usable = stand_point(packed.record, plain_flight(air)[0], kept, charge=packed.charge)
    limits = scenario.limits
    flights = math.ceil(SPARE_FLIGHTS * flights_needed(limits.success, limits.confidence))
    return HeadStudy(
        craft=craft,
        scenario=scenario,
        air=air,
        usable_n=np.array(usable.thrust_n),
        download_share=share,
        flights=flights,
        failures_allowed=most_failures(flights, limits.success, limits.confidence),
        required=required_margins(limits),
        maps=maps,
        hover=hover,
    )


def lift_ratio(study: HeadStudy, mass: MassProperties) -> float:
    """Give usable thrust over weight and download [-] for a whole mass, fabric included."""
    weight = mass.mass_kg * STANDARD_GRAVITY_M_S2
    return float(np.sum(study.usable_n)) / (weight * (1.0 + study.download_share))


def lever_plus_minus_m(craft: CraftSpec, mass: MassProperties) -> float:
    """Give the spread [m] of the height of the rotors over the CG."""
    of_pivots = math.hypot(*(r.place.up_m.plus_minus for r in craft.rotors)) / len(craft.rotors)
    return math.hypot(of_pivots, float(mass.centre_plus_minus_m[2]))


def authority_left(study: HeadStudy, craft: CraftSpec, mass: MassProperties) -> float:
    """Give what is left of pitch authority above what is asked; see `GateFigures`.

    Rotors that tilt pitch the craft by their height over the CG, of which the spread is taken off
    and 3 cm are asked. Elsewhere differences of thrust do it, and every rotor must be left
    the room that is asked of all together.
    """
    if craft.layout == "bicopter":
        lever = pivots_above_centre_m(craft, mass)
        return lever - lever_plus_minus_m(craft, mass) - LEAST_LEVER_M
    places = np.array([rotor.place.body_m for rotor in craft.rotors]) - mass.centre_m
    effect = np.stack([np.ones(len(places)), -places[:, 1], places[:, 0]])
    share = np.linalg.solve(effect, np.array([1.0, 0.0, 0.0]))
    weight = mass.mass_kg * STANDARD_GRAVITY_M_S2 * (1.0 + study.download_share)
    asked = weight * np.maximum(share, SMALLEST_SHARE)
    room = float(np.min(study.usable_n / asked))
    if float(np.min(share)) <= SMALLEST_SHARE:
        return -LEAST_THRUST_TO_WEIGHT
    return room - LEAST_THRUST_TO_WEIGHT


def _cheap_figures(study: HeadStudy, craft: CraftSpec) -> dict[str, Any]:
    mass = mass_properties(craft, with_drape=True)
    return {
        "lift": lift_ratio(study, mass),
        "lever_m": pivots_above_centre_m(craft, mass),
        "lever_plus_minus_m": lever_plus_minus_m(craft, mass),
        "authority_left": authority_left(study, craft, mass),
    }


def _margin_figures(study: HeadStudy, packed: PackedCraft) -> tuple[dict[str, Any], Any | None]:
    """Give figures of the margins, and the hover that they belong to."""
    flight = plain_flight(study.air, height_m=flight_height_m(study.scenario))[0]
    try:
        found = quick_margins(
            packed,
            flight,
            start=study.hover,
            required=study.required,
            axes=ATTITUDE_AXES,
            together=False,
        )
    except NoTrim:
        return {"has_hover": False, "shortfall": math.inf}, None
    except NotLinear:
        return {"has_hover": True, "shortfall": math.inf}, None
    worst = found.worst_axis
    figures = {
        "has_hover": True,
        "shortfall": found.shortfall,
        "worst_axis": worst,
        "worst": None if worst is None else found.margins[worst],
    }
    return figures, found.trim.state


def _wind_figures(study: HeadStudy, packed: PackedCraft, hover: Any) -> dict[str, Any]:
    """Fly in the day's wind until it is decided; give figures of the flights."""
    one = pack_flight(study.scenario, study.air)
    start = scenario_start(packed, study.scenario, hover)
    if study.scenario.start == "hover":
        start = start_in_wind(packed.record, one[0], start)
    flown, failures = 0, 0
    causes: Counter[str] = Counter()
    while flown < study.flights and failures <= study.failures_allowed:
        count = min(FLOWN_AT_ONCE, study.flights - flown)
        many = np.repeat(one, count)
        many["flight"] = np.arange(flown, flown + count)
        craft_of = np.zeros(count, dtype=np.int64)
        starts = np.repeat(start, count)
        ended = fly_ensemble(packed.records, craft_of, many, starts, threads=1)
        flown += count
        failures += int(np.count_nonzero(~ended.succeeded))
        causes.update(cause(tally, STEP_S) for tally in ended.tallies[~ended.succeeded])
    confidence = study.scenario.limits.confidence
    whole = flown == study.flights
    return {
        "flights": flown,
        "successes": flown - failures,
        "sure": lower_bound(flown - failures, flown, confidence) if whole else None,
        "cause": causes.most_common(1)[0][0] if causes else "",
    }


def gate_figures(study: HeadStudy, craft: CraftSpec) -> GateFigures:
    """Take a craft through the gates, up to the first that it does not pass.

    The same figures come out alone and among others, on any number of threads.

    Parameters
    ----------
    study : HeadStudy
        Of the craft as it is.
    craft : CraftSpec
        The same with something changed that leaves rotors, pack and controller as they are.
    """
    known = _cheap_figures(study, craft)
    if known["lift"] < LEAST_THRUST_TO_WEIGHT:
        return GateFigures(**known, failed="lift")
    if known["authority_left"] < 0.0:
        return GateFigures(**known, failed="authority")
    packed = pack_craft(craft, study.air, known_maps=study.maps)
    margins, hover = _margin_figures(study, packed)
    known |= margins
    if known["shortfall"] > 1.0 or hover is None:
        return GateFigures(**known, failed="margins")
    known |= _wind_figures(study, packed, hover)
    failures = known["flights"] - known["successes"]
    return GateFigures(**known, failed="wind" if failures > study.failures_allowed else None)
