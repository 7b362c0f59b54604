"""All that `check` finds, as data: the six answers before any wording."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, final

import numpy as np
from numpy.typing import NDArray

from sim.analysis.condition import Condition
from sim.analysis.loop_margins import LoopMargins, Margin
from sim.analysis.margin_study import MarginCase, worst_of
from sim.analysis.modes import Mode
from sim.analysis.multi_loop import JointDisk
from sim.analysis.picture_data import PictureData
from sim.analysis.shown_flights import FlownAgain
from sim.analysis.wind_result import WindAnswer
from sim.flight.results import Flight
from sim.mass.properties import MassProperties
from sim.pack.craft import PackedCraft
from sim.params.record import FloatArray
from sim.physics.air.atmosphere import AirOfTheDay
from sim.spec.files import LoadedCraft, LoadedScenario

if TYPE_CHECKING:
    from sim.analysis.spread_result import SpreadAnswer


@final
@dataclass(frozen=True)
class LiftAnswer:
    """Answer to question 1: will it lift.

    Attributes
    ----------
    weight_n, fabric_weight_n : float
        [N] Whole craft; the fabric in it.
    download_n : float
        [N] What the wash presses down on fabric and parts in hover; 0 without hover.
    full_thrust_n : float
        [N] All rotors at full command, at the pack's sag, on the test stand.
    usable_thrust_n : float
        [N] With the share of throttle that is kept back for levelling.
    thrust_to_weight, usable_thrust_to_weight : float
        [-] Over weight and download.
    thrust_plus_minus_n : float
        [N] About two standard deviations, from the spread of the propeller figures.
    full_current_a, full_bus_v, full_power_w : float
        Pack current, volts at the speed controllers, electric power at full command.
    can_lift : bool
        Usable thrust carries weight and download.
    hover_throttle, hover_current_a, hover_power_w, hover_bus_v : float or None
        In the trim; None when there is none.
    endurance_s : float or None
        [s] In hover from the charge at take-off to the reserve, at constant watts.
    motor_current_share, pack_current_share : float
        [-] Of the limit, at full command.
    tip_speed_m_s : float
        [m/s] Greatest, at full command.
    figure_of_merit : float
        [-] Of the rotors at full command.
    """

    weight_n: float
    fabric_weight_n: float
    download_n: float
    full_thrust_n: float
    usable_thrust_n: float
    thrust_to_weight: float
    usable_thrust_to_weight: float
    thrust_plus_minus_n: float
    full_current_a: float
    full_bus_v: float
    full_power_w: float
    can_lift: bool
    hover_throttle: float | None
    hover_current_a: float | None
    hover_power_w: float | None
    hover_bus_v: float | None
    endurance_s: float | None
    motor_current_share: float
    pack_current_share: float
    tip_speed_m_s: float
    figure_of_merit: float


@final
@dataclass(frozen=True)
class StabilityAnswer:
    """Answer to question 2: will it stay upright.

    Attributes
    ----------
    has_trim : bool
        A steady hover in still air was found.
    why_no_trim : str
        A sentence when not.
    stable : bool
        No motion grows.
    margins : dict
        Axis ("height", "roll", "pitch", "yaw", "north", "east") to its margins.
    loops : dict
        Axis to (frequency [rad/s], complex loop response) for pictures.
    modes : tuple of Mode
        Slowest to decay first.
    swing_m_s : float
        [m/s] Fabric swing at which the margins hold.
    worst_axis : str or None
        The axis nearest to its required margins.
    required_gain_db, required_phase_rad : float
        As the scenario asks; by default 6 dB and 45 degrees of SAE AS94900.
    passes : bool
        Stable, and every attitude axis has the required margins, in all conditions looked at.
    kept_residual, disagreement : float
        [-] Of the trim and of the derivative.
    condition : Condition or None
        The wind, pack, fabric and height that all this is for; None without a hover.
    together, attitude_together : JointDisk or None
        What all loops, and the attitude loops, bear at the same time; None when unstable.
    delay_together_s : Margin or None
        [s] Delay added to all that the flight controller sends out; None when unstable.
    cases : tuple of MarginCase
        Still air, and what else was looked at: a used pack, other fabric, near the ground, winds.
    """

    has_trim: bool
    why_no_trim: str
    stable: bool
    margins: dict[str, LoopMargins]
    loops: dict[str, tuple[FloatArray, NDArray[np.complex128]]]
    modes: tuple[Mode, ...]
    swing_m_s: float
    worst_axis: str | None
    required_gain_db: float
    required_phase_rad: float
    passes: bool
    kept_residual: float
    disagreement: float
    condition: Condition | None = None
    together: JointDisk | None = None
    attitude_together: JointDisk | None = None
    delay_together_s: Margin | None = None
    cases: tuple[MarginCase, ...] = ()

    @property
    def worst_case(self) -> MarginCase | None:
        """The condition with least margin of those looked at; None when there is none."""
        return worst_of(self.cases)


@final
@dataclass(frozen=True)
class HeadAnswer:
    """Answer to question 3: what does the head do.

    Attributes
    ----------
    has_head : bool
    head_mass_kg : float
        [kg]
    rotors_above_centre_m : float
        [m] Tilt pivots (or hubs) above the CG, whole craft with fabric hanging.
    rotors_above_centre_plus_minus_m : float
        [m] About two standard deviations.
    rotors_above_centre_without_head_m : float
        [m] The same without the head.
    pitch_by_tilt : bool
        Pitch comes from tilting rotors, so that the height above is its lever.
    pitch_authority_n_m : float
        [N m] Pitch moment at full travel (or full difference of thrusts) in hover.
    pitch_acceleration_rad_s2 : float
        [rad/s2] The same over the inertia.
    authority_gone : bool
        The lever is shorter than what the fabric and the spread can take away, or reversed.
    reversed : bool
        The CG is above the rotors: the sign of pitch control turns.
    heaviest_head_kg : float or None
        [kg] That leaves lift and lever as required; None without a head.
    heaviest_head_limit : str
        What gives out there ("lift" or "lever").
    """

    has_head: bool
    head_mass_kg: float
    rotors_above_centre_m: float
    rotors_above_centre_plus_minus_m: float
    rotors_above_centre_without_head_m: float
    pitch_by_tilt: bool
    pitch_authority_n_m: float
    pitch_acceleration_rad_s2: float
    authority_gone: bool
    reversed: bool
    heaviest_head_kg: float | None
    heaviest_head_limit: str


@final
@dataclass(frozen=True)
class OtherState:
    """The same craft in another state: with its fabric soaked or dry, without fabric or head.

    Attributes
    ----------
    key, words : str
        For files and for people.
    lift, stability, head : the first three answers
        Margins are those of roll, pitch and yaw alone.
    """

    key: str
    words: str
    lift: LiftAnswer
    stability: StabilityAnswer
    head: HeadAnswer


@final
@dataclass(frozen=True)
class Unknown:
    """For question 5: one unsure figure and what it does to one answer.

    Attributes
    ----------
    name : str
        As the builder would say it.
    plus_minus : str
        With unit.
    effect_on : str
        Which figure moves.
    effect : float
        By how much, at one spread, in `unit`.
    unit : str
    measurement : str
        What to measure to settle it.
    """

    name: str
    plus_minus: str
    effect_on: str
    effect: float
    unit: str
    measurement: str


@final
@dataclass(frozen=True)
class CheckResult:
    """Everything that `check` found.

    Attributes
    ----------
    craft, scenario : what was read
    packed : PackedCraft
    mass : MassProperties
        Whole craft with fabric hanging.
    air : AirOfTheDay
    lift, stability, head, wind : the answers; `wind` is None when there is nothing to fly
    unknowns : tuple of Unknown
        Largest effect first.
    flight : Flight or None
        One flight in the scenario's own wind, for the pictures.
    flight_limits : tuple of (str, float)
        Share of that flight on each limit.
    not_modelled : tuple of str
        Named simplifications.
    verdict : str
        "fit to fly up to W", "fix first: reason" or "not enough known: measurement".
    passes : bool
    seconds : float
        [s] Wall time of the computation.
    shown : tuple of FlownAgain
        Flights worth looking at: median and worst in the scenario's wind, one above the limit.
    drawn : PictureData or None
        What only pictures need.
    states : tuple of OtherState
        The same craft in other states.
    spread : SpreadAnswer or None
        Crafts within the spreads of the file; None when they were not asked for.
    """

    craft: LoadedCraft
    scenario: LoadedScenario
    packed: PackedCraft
    mass: MassProperties
    air: AirOfTheDay
    lift: LiftAnswer
    stability: StabilityAnswer
    head: HeadAnswer
    wind: WindAnswer | None
    unknowns: tuple[Unknown, ...]
    flight: Flight | None
    flight_limits: tuple[tuple[str, float], ...]
    not_modelled: tuple[str, ...]
    verdict: str
    passes: bool
    seconds: float
    shown: tuple[FlownAgain, ...] = ()
    drawn: PictureData | None = None
    states: tuple[OtherState, ...] = ()
    spread: SpreadAnswer | None = None
