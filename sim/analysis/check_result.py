"""All that `check` finds, as data: the six answers before any wording."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import final

import numpy as np
from numpy.typing import NDArray

from sim.analysis.condition import Condition
from sim.analysis.loop_margins import LoopMargins, Margin
from sim.analysis.modes import Mode
from sim.analysis.multi_loop import JointDisk
from sim.flight.results import Flight
from sim.mass.properties import MassProperties
from sim.pack.craft import PackedCraft
from sim.params.record import FloatArray
from sim.physics.air.atmosphere import AirOfTheDay
from sim.spec.files import LoadedCraft, LoadedScenario


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
        Stable, and every attitude axis has the required margins.
    kept_residual, disagreement : float
        [-] Of the trim and of the derivative.
    condition : Condition or None
        The wind, pack, fabric and height that all this is for; None without a hover.
    together, attitude_together : JointDisk or None
        What all loops, and the attitude loops, bear at the same time; None when unstable.
    delay_together_s : Margin or None
        [s] Delay added to all that the flight controller sends out; None when unstable.
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
class WindPoint:
    """Flights in one mean wind.

    Attributes
    ----------
    forecast_m_s, wind_m_s : float
        [m/s] Mean at the scenario's wind height, and at flight height.
    flights, successes : int
    lower, upper : float
        [-] Two-sided Clopper-Pearson bounds of the success probability.
    one_sided_lower : float
        [-] Lower bound at the asked confidence, which holds for all judged winds together; 0 when
        it was given up before a first look, or was not judged.
    causes : tuple of (str, int)
        Why flights failed, most frequent first.
    first_failure : int or None
        Number of the first flight that failed.
    judged : bool
        False when it was flown for the curve alone.
    monotone : float
        [-] Of the best curve that does not rise with the wind.
    """

    forecast_m_s: float
    wind_m_s: float
    flights: int
    successes: int
    lower: float
    upper: float
    one_sided_lower: float
    causes: tuple[tuple[str, int], ...]
    first_failure: int | None
    judged: bool = True
    monotone: float = math.nan


@final
@dataclass(frozen=True)
class Reversal:
    """Two winds of which the faster did significantly better.

    Attributes
    ----------
    slower_m_s, faster_m_s : float
        [m/s] Forecasts.
    better, worse : int
        Flights that succeeded in the faster wind alone, and in the slower alone.
    chance : float
        [-] Of seeing this or more by luck, all pairs of winds taken together.
    """

    slower_m_s: float
    faster_m_s: float
    better: int
    worse: int
    chance: float


@final
@dataclass(frozen=True)
class FailureCause:
    """One way to fail at or just above the limit.

    Attributes
    ----------
    words : str
        How the flights ended, and what came first.
    flights : int
        How many failed this way.
    flight, forecast_m_s : int, float
        One of them to fly again, and its wind [m/s].
    """

    words: str
    flights: int
    flight: int
    forecast_m_s: float


@final
@dataclass(frozen=True)
class WindDirection:
    """Flights in wind from one direction, to find the worst.

    Attributes
    ----------
    from_rad : float
        [rad] Compass direction the wind comes from.
    flights, successes : int
    closeness : float
        [-] Mean over the flights of how close they came to a limit: below 1 for those that
        succeeded, 1 to 2 for those that failed, more the earlier.
    """

    from_rad: float
    flights: int
    successes: int
    closeness: float


@final
@dataclass(frozen=True)
class WindAnswer:
    """Answer to question 4: how much wind.

    Attributes
    ----------
    limit_forecast_m_s, limit_m_s : float or None
        [m/s] Highest mean wind that passes, as a forecast at the scenario's height and at flight
        height; None when not even still air passes.
    gust_m_s : float or None
        [m/s] Three-second gust that goes with it at flight height.
    static_bound_m_s : float
        [m/s] At flight height; no limit is above it.
    is_bounded : bool
        The limit is the highest wind tried, not one that failed above.
    first_cause : str
        What gives out first above the limit; empty when nothing did.
    points : tuple of WindPoint
        Slowest wind first.
    asked_success, asked_confidence : float
    flight_s : float
        [s] Length of each flight.
    wind_height_m, flight_height_m : float
    terrain : str
    seed : int
    flights : int
        Flown in all.
    not_finite : int
        Flights stopped because a number was no longer finite.
    estimate_forecast_m_s : float or None
        [m/s] Best estimate, without any margin for doubt, of the wind at which the asked share
        succeeds; None when the curve does not cross it.
    from_rad : float
        [rad] Where the wind came from.
    causes : tuple of FailureCause
        At and just above the limit, most frequent first.
    reversals : tuple of Reversal
        Where more wind did better: then nobody knows what happens between the winds flown.
    broken : tuple of (float, int)
        Wind [m/s] and number of flights that were stopped because a number was no longer finite.
    tests, looks : int
        Winds and looks at each among which the doubt was shared.
    directions : tuple of WindDirection
        Tried to find the worst; empty when only the scenario's own was flown.
    asked_from_rad, asked_limit_forecast_m_s : float or None
        Direction of the scenario and the limit there, when the worst is another one.
    at_10_m_m_s : float or None
        [m/s] The limit as a mean at 10 m, where forecasts are told.
    """

    limit_forecast_m_s: float | None
    limit_m_s: float | None
    gust_m_s: float | None
    static_bound_m_s: float
    is_bounded: bool
    first_cause: str
    points: tuple[WindPoint, ...]
    asked_success: float
    asked_confidence: float
    flight_s: float
    wind_height_m: float
    flight_height_m: float
    terrain: str
    seed: int
    flights: int
    not_finite: int
    estimate_forecast_m_s: float | None = None
    from_rad: float = 0.0
    causes: tuple[FailureCause, ...] = ()
    reversals: tuple[Reversal, ...] = ()
    broken: tuple[tuple[float, int], ...] = ()
    tests: int = 1
    looks: int = 1
    directions: tuple[WindDirection, ...] = ()
    asked_from_rad: float | None = None
    asked_limit_forecast_m_s: float | None = None
    at_10_m_m_s: float | None = None


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
