"""One craft near that of the file, flown by a flight controller that was set up for the file's."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import final

from sim.analysis.check import scenario_start
from sim.analysis.condition import STILL_SWING_M_S
from sim.analysis.condition_margins import ConditionMargins, condition_of, margins_at
from sim.analysis.head import pitch_authority_n_m, pivots_above_centre_m
from sim.analysis.headline import Headline, Outcome
from sim.analysis.lift import lift_answer
from sim.analysis.loop_breaks import ATTITUDE_AXES, AXES, loops_together
from sim.analysis.loop_margins import LoopMargins, decibel
from sim.analysis.required_margins import required_margins
from sim.analysis.static_wind import static_bound_m_s
from sim.analysis.trim import Trim, find_trim
from sim.analysis.wind_limit import Effort, wind_answer
from sim.errors import InputFaults, NotLinear, NoTrim
from sim.mass.from_spec import mass_properties
from sim.pack.craft import PackedCraft, pack_craft
from sim.pack.flight import day_air, flight_height_m, plain_flight
from sim.pack.rotor import KnownMaps
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2
from sim.spec.airframe import CraftSpec
from sim.spec.scenario import ScenarioSpec


@final
@dataclass(frozen=True)
class Surroundings:
    """What all crafts near that of a file share.

    Attributes
    ----------
    craft : CraftSpec
        As the file says; the flight controller is set up for it.
    scenario : ScenarioSpec
    packed : PackedCraft
        The file's craft.
    maps : dict
        Its rotor maps.
    hover : Trim or None
        Its hover, from which the search for others starts.
    """

    craft: CraftSpec
    scenario: ScenarioSpec
    packed: PackedCraft
    maps: KnownMaps
    hover: Trim | None


def surroundings(craft: CraftSpec, scenario: ScenarioSpec) -> Surroundings:
    """Prepare for crafts near that of a file.

    Raises
    ------
    InputFaults
        When no body can have the masses given.
    """
    maps: KnownMaps = {}
    packed = pack_craft(craft, day_air(scenario), known_maps=maps)
    lone = Surroundings(craft, scenario, packed, maps, None)
    trim: Trim | None = None
    if lift_answer(craft, packed, None).can_lift:
        try:
            trim = _trim(lone, packed, None)
        except NoTrim:
            trim = None
    return Surroundings(craft, scenario, packed, maps, trim)


def headline(around: Surroundings, craft: CraftSpec, *, effort: Effort | None = None) -> Headline:
    """Give the headline figures of a craft near that of the file.

    The flight controller keeps gains, mixer and idea of thrust that it has for the file's craft,
    and learns only the weight that it carries; what `craft` itself says of the controller is its
    own.

    Parameters
    ----------
    around : Surroundings
    craft : CraftSpec
    effort : Effort, optional
        How much is flown to find the wind limit; none is found without.
    """
    found = _computed(around, craft, around.hover)
    if found.headline.outcome != Outcome.HOVERS:
        return found.headline
    assert found.packed is not None
    assert found.trim is not None
    assert found.margins is not None
    disk = loops_together(found.margins.model, found.margins.closed, AXES).disk()
    limit: float | None = None
    if effort is not None:
        start = scenario_start(found.packed, around.scenario, found.trim.state)
        wind = wind_answer(found.packed, around.scenario, start, effort=effort)
        limit = wind.limit_forecast_m_s
    return replace(found.headline, disk_margin=disk.guaranteed.alpha, wind_limit_m_s=limit)


def quick_headline(
    around: Surroundings, craft: CraftSpec, start: Trim | None, *, is_patient: bool = True
) -> tuple[Headline, Trim | None]:
    """Give the headline figures without joint disk margin, and the hover.

    Parameters
    ----------
    around : Surroundings
    craft : CraftSpec
    start : Trim or None
        Hover of a similar craft.
    is_patient : bool
        Whether to go on when the hover is not soon found from there.
    """
    found = _computed(around, craft, start, is_patient=is_patient)
    return found.headline, found.trim


def hover_near(around: Surroundings, craft: CraftSpec, start: Trim) -> Trim | None:
    """Give the hover of a craft if it is soon found from that of a very similar one."""
    try:
        packed = pack_craft(craft, around.packed.air, known_maps=around.maps)
        _set_up(around, craft, packed)
        return _trim(around, packed, start, is_patient=False)
    except (InputFaults, NoTrim):
        return None


def standing_headline(around: Surroundings, craft: CraftSpec) -> Headline:
    """Give the headline figures that need no hover; what comes of the craft is left open."""
    try:
        packed = pack_craft(craft, around.packed.air, known_maps=around.maps)
    except InputFaults:
        return Headline(Outcome.NO_BODY)
    _set_up(around, craft, packed)
    return _figures(craft, packed, None, Outcome.NO_HOVER, None)


@final
@dataclass(frozen=True)
class _Computed:
    headline: Headline
    packed: PackedCraft | None = None
    trim: Trim | None = None
    margins: ConditionMargins | None = None


def _computed(
    around: Surroundings, craft: CraftSpec, start: Trim | None, *, is_patient: bool = True
) -> _Computed:
    try:
        packed = pack_craft(craft, around.packed.air, known_maps=around.maps)
    except InputFaults:
        return _Computed(Headline(Outcome.NO_BODY))
    _set_up(around, craft, packed)
    trim: Trim | None = None
    margins: ConditionMargins | None = None
    outcome = Outcome.TOO_WEAK
    if lift_answer(craft, packed, None).can_lift:
        outcome = Outcome.NO_HOVER
        try:
            trim = _trim(around, packed, start, is_patient=is_patient)
            outcome = Outcome.NO_DERIVATIVE
            margins = _margins(around, trim)
            outcome = Outcome.HOVERS if margins.stable else Outcome.UNSTABLE
        except (NoTrim, NotLinear):
            pass
    return _Computed(_figures(craft, packed, trim, outcome, margins), packed, trim, margins)


def _set_up(around: Surroundings, craft: CraftSpec, packed: PackedCraft) -> None:
    """Give the craft the loops and mixer that its flight controller believes to be right."""
    believed = around.packed
    if craft.controller != around.craft.controller:
        own = around.craft.model_copy(update={"controller": craft.controller})
        believed = pack_craft(own, around.packed.air, known_maps=around.maps)
    learned = packed.records["mixer"]["hover_thrust_n"].copy()
    packed.records["control"] = believed.records["control"]
    packed.records["mixer"] = believed.records["mixer"]
    packed.records["mixer"]["hover_thrust_n"] = learned


def _trim(
    around: Surroundings, packed: PackedCraft, start: Trim | None, *, is_patient: bool = True
) -> Trim:
    """Find the hover in still air, first near that of a similar craft."""
    flight = plain_flight(packed.air, height_m=flight_height_m(around.scenario))[0]
    return find_trim(
        packed.record,
        flight,
        charge=packed.charge,
        swing_m_s=STILL_SWING_M_S,
        start=start,
        is_patient=is_patient,
    )


def _margins(around: Surroundings, trim: Trim) -> ConditionMargins:
    condition = condition_of(
        trim.flights[0],
        charge=float(trim.state["charge"][0]),
        fabric="dry" if around.packed.fabric_mass_kg > 0.0 else "none",
        swing_m_s=STILL_SWING_M_S,
    )
    required = required_margins(around.scenario.limits)
    return margins_at(trim, condition, required=required, axes=ATTITUDE_AXES, together=False)


def _gain_db(margins: LoopMargins) -> float:
    up = math.inf if margins.gain_up is None else decibel(margins.gain_up.value)
    down = math.inf if margins.gain_down is None else -decibel(margins.gain_down.value)
    return min(up, down)


def _phase_rad(margins: LoopMargins) -> float:
    return math.inf if margins.phase_rad is None else abs(margins.phase_rad.value)


def _figures(
    craft: CraftSpec,
    packed: PackedCraft,
    trim: Trim | None,
    outcome: Outcome,
    margins: ConditionMargins | None,
) -> Headline:
    lift = lift_answer(craft, packed, trim)
    whole = mass_properties(craft, with_drape=True)
    gain = phase = None
    if margins is not None and margins.stable:
        found = list(margins.margins.values())
        gain, phase = min(map(_gain_db, found)), min(map(_phase_rad, found))
    return Headline(
        outcome=outcome,
        whole_mass_kg=packed.whole_mass_kg,
        thrust_to_weight=lift.thrust_to_weight,
        usable_thrust_to_weight=lift.usable_thrust_to_weight,
        lift_over_weight=lift.usable_thrust_n / (packed.whole_mass_kg * STANDARD_GRAVITY_M_S2),
        rotors_above_centre_m=pivots_above_centre_m(craft, whole),
        pitch_authority_n_m=pitch_authority_n_m(craft, packed, whole),
        static_wind_m_s=static_bound_m_s(packed),
        pack_current_share=lift.pack_current_share,
        hover_throttle=lift.hover_throttle,
        endurance_s=lift.endurance_s,
        gain_margin_db=gain,
        phase_margin_rad=phase,
    )
