"""A made-up result of a check, whole in every part, without a flight being computed."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from sim.analysis.check_result import CheckResult, HeadAnswer, LiftAnswer, StabilityAnswer, Unknown
from sim.analysis.disk_margin import DiskMargin
from sim.analysis.loop_margins import LoopMargins, Margin
from sim.analysis.modes import Mode
from sim.analysis.wind_result import WindAnswer, WindPoint
from sim.flight.results import Flight
from sim.mass.from_spec import mass_properties
from sim.pack.craft import PackedCraft
from sim.pack.flight import day_air
from sim.pack.stand import StandPoint
from sim.params.craft_record import CRAFT_TYPE
from sim.params.state_record import STATE_TYPE
from sim.params.tally_record import LIMITS, TALLY_TYPE, Stop
from sim.spec import load_craft, load_scenario
from sim.step.channels import CHANNELS_PER_ROTOR, FIRST_ROTOR_CHANNEL

LIFT = LiftAnswer(
    weight_n=27.6,
    fabric_weight_n=0.3,
    download_n=0.4,
    full_thrust_n=56.4,
    usable_thrust_n=47.6,
    thrust_to_weight=2.01,
    usable_thrust_to_weight=1.7,
    thrust_plus_minus_n=5.6,
    full_current_a=58.3,
    full_bus_v=15.75,
    full_power_w=918.0,
    can_lift=True,
    hover_throttle=0.698,
    hover_current_a=20.6,
    hover_power_w=338.0,
    hover_bus_v=16.43,
    endurance_s=649.7,
    motor_current_share=0.64,
    pack_current_share=0.49,
    tip_speed_m_s=139.6,
    figure_of_merit=0.73,
)
HEAD = HeadAnswer(
    has_head=True,
    head_mass_kg=0.45,
    rotors_above_centre_m=0.093,
    rotors_above_centre_plus_minus_m=0.004,
    rotors_above_centre_without_head_m=0.139,
    pitch_by_tilt=True,
    pitch_authority_n_m=1.47,
    pitch_acceleration_rad_s2=8.4,
    authority_gone=False,
    reversed=False,
    heaviest_head_kg=1.43,
    heaviest_head_limit="lever",
)
SLOW = Mode(rate_1_s=-0.077, frequency_hz=0.6, damping_ratio=0.02, shares=(("drape", 1.0),))
GROWING = Mode(
    rate_1_s=2.2, frequency_hz=3.1, damping_ratio=-0.11, shares=(("attitude", 0.8), ("drape", 0.2))
)


def an_integrator(crossover_rad_s, delay_s):
    """Give the loop w_c exp(-s T) / s, whose margins are known in closed form."""
    grid = np.geomspace(0.05, 1500.0, 300)
    return grid, crossover_rad_s * np.exp(-1j * grid * delay_s) / (1j * grid)


def its_margins(crossover_rad_s, delay_s):
    turn = math.pi / (2.0 * delay_s)
    phase = 0.5 * math.pi - crossover_rad_s * delay_s
    return LoopMargins(
        unstable_roots=0,
        gain_up=Margin(turn / crossover_rad_s, turn),
        gain_down=Margin(0.0, None),
        phase_rad=Margin(phase, crossover_rad_s),
        delay_s=Margin(phase / crossover_rad_s, crossover_rad_s),
        modulus=Margin(0.7, 2.0 * crossover_rad_s),
        disk=DiskMargin(1.1, 1.5 * crossover_rad_s),
        gain_crossings=(Margin(phase, crossover_rad_s),),
    )


def a_point(forecast_m_s, successes, lower, upper, sure, causes=()):
    return WindPoint(
        forecast_m_s=forecast_m_s,
        wind_m_s=0.75 * forecast_m_s,
        flights=38,
        successes=successes,
        lower=lower,
        upper=upper,
        one_sided_lower=sure,
        causes=causes,
        first_failure=None if successes == 38 else 5,
    )


WIND = WindAnswer(
    limit_forecast_m_s=5.2,
    limit_m_s=3.9,
    gust_m_s=5.9,
    static_bound_m_s=23.3,
    is_bounded=False,
    first_cause="drifted too far from its place",
    points=(
        a_point(0.0, 38, 0.907, 1.0, 0.924),
        a_point(5.2, 38, 0.907, 1.0, 0.924),
        a_point(6.0, 36, 0.823, 0.994, 0.843, (("drifted too far from its place", 2),)),
    ),
    asked_success=0.9,
    asked_confidence=0.95,
    flight_s=20.0,
    wind_height_m=10.0,
    flight_height_m=2.0,
    terrain="lake_shore",
    seed=1,
    flights=114,
    not_finite=0,
)
UNKNOWNS = (
    Unknown(
        name="thrust factor of every propeller",
        plus_minus="10 %",
        effect_on="thrust-to-weight",
        effect=0.2,
        unit="",
        measurement="pull the craft against a scale at full throttle",
    ),
    Unknown(
        name="mass of the head",
        plus_minus="9 %",
        effect_on="rotors above the CG",
        effect=-3.4,
        unit="mm",
        measurement="weigh it",
    ),
)


def a_flight(rotors):
    """Give a flight of 10 s that sways a little; only channels that are drawn are filled."""
    times = np.arange(0.0, 10.0, 0.02)
    history = np.zeros((len(times), FIRST_ROTOR_CHANNEL + CHANNELS_PER_ROTOR * rotors))
    history[:, 0] = times
    history[:, 1] = 0.3 * np.sin(times)
    history[:, 3] = 2.0 - 0.1 * np.cos(times)
    history[:, 7] = 0.05 * np.sin(2.0 * times)
    history[:, 14] = 2.5 + 0.3 * np.sin(5.0 * times)
    for index in range(rotors):
        first = FIRST_ROTOR_CHANNEL + CHANNELS_PER_ROTOR * index
        history[:, first + 2] = 0.7 + 0.01 * np.sin(times + index)
    tally = np.zeros(1, dtype=TALLY_TYPE)
    tally["stop"], tally["stop_s"], tally["ticks"] = int(Stop.TIME), 10.0, 10_000
    tally["most_tilt_rad"], tally["most_drift_m"] = 0.05, 0.3
    tally["most_height_loss_m"], tally["least_clearance_m"] = 0.1, 0.28
    state = np.zeros(1, dtype=STATE_TYPE)
    return Flight(history, np.zeros((len(times), 0, 3)), tally[0], state)


@pytest.fixture(scope="session")
def result(repository) -> CheckResult:
    """Give a result that passes."""
    craft = load_craft(repository / "airframes" / "jellyfish_bicopter.yaml")
    scenario = load_scenario(repository / "scenarios" / "lake_breeze.yaml")
    air = day_air(scenario.spec)
    mass = mass_properties(craft.spec, with_drape=True)
    rotors = len(craft.spec.rotors)
    each = np.full(rotors, 28.2)
    full = StandPoint(each, each, each, each, each, each, 15.75, 58.3, np.zeros(LIMITS))
    packed = PackedCraft(
        np.zeros(1, dtype=CRAFT_TYPE), mass, mass.mass_kg, 0.03, (), full, air, 1.0
    )
    return CheckResult(
        craft=craft,
        scenario=scenario,
        packed=packed,
        mass=mass,
        air=air,
        lift=LIFT,
        stability=StabilityAnswer(
            has_trim=True,
            why_no_trim="",
            stable=True,
            margins={axis: its_margins(12.0, 0.03) for axis in ("roll", "pitch", "yaw", "north")},
            loops={axis: an_integrator(12.0, 0.03) for axis in ("roll", "pitch", "yaw", "north")},
            modes=(SLOW,),
            swing_m_s=0.2,
            worst_axis="pitch",
            required_gain_db=6.0,
            required_phase_rad=math.radians(45.0),
            passes=True,
            kept_residual=1e-10,
            disagreement=1e-6,
        ),
        head=HEAD,
        wind=WIND,
        unknowns=UNKNOWNS,
        flight=a_flight(rotors),
        flight_limits=(("a rotor at full thrust", 0.01),),
        not_modelled=("bending of the fabric",),
        verdict="fit to fly up to a forecast mean wind of 5.2 m/s",
        passes=True,
        seconds=12.3,
    )


@pytest.fixture(scope="session")
def too_heavy(result) -> CheckResult:
    """Give a result of a craft that cannot lift: no hover, no margins, no wind."""
    lift = dataclasses.replace(
        LIFT,
        weight_n=66.8,
        download_n=0.0,
        usable_thrust_n=47.5,
        thrust_to_weight=0.84,
        usable_thrust_to_weight=0.71,
        can_lift=False,
        hover_throttle=None,
        hover_current_a=None,
        hover_power_w=None,
        hover_bus_v=None,
        endurance_s=None,
    )
    stability = dataclasses.replace(
        result.stability,
        has_trim=False,
        why_no_trim="the rotors cannot carry the weight",
        stable=False,
        margins={},
        loops={},
        modes=(),
        worst_axis=None,
        passes=False,
        kept_residual=math.nan,
        disagreement=math.nan,
    )
    return dataclasses.replace(
        result,
        lift=lift,
        stability=stability,
        wind=None,
        verdict="fix first: it cannot lift",
        passes=False,
    )


@pytest.fixture(scope="session")
def unstable(result) -> CheckResult:
    """Give a result of a craft that swings itself up."""
    stability = dataclasses.replace(
        result.stability,
        stable=False,
        passes=False,
        worst_axis=None,
        margins={axis: LoopMargins(2) for axis in result.stability.margins},
        modes=(GROWING, SLOW),
    )
    return dataclasses.replace(
        result, stability=stability, wind=None, verdict="fix first: it is unstable", passes=False
    )


@pytest.fixture(scope="session")
def reversed_pitch(result) -> CheckResult:
    """Give a result of a craft whose centre of gravity lies above its tilting rotors."""
    head = dataclasses.replace(
        HEAD,
        rotors_above_centre_m=-0.11,
        pitch_authority_n_m=-2.0,
        authority_gone=True,
        reversed=True,
        heaviest_head_kg=0.0,
    )
    return dataclasses.replace(
        result, head=head, verdict="fix first: pitch control is reversed", passes=False
    )


@pytest.fixture(scope="session")
def renamed(result):
    """Give a function that renames the craft, its head and a rotor of the result."""

    def rename(name: str) -> CheckResult:
        spec = result.craft.spec
        head = spec.head.model_copy(update={"name": name})
        rotors = (spec.rotors[0].model_copy(update={"name": name}), *spec.rotors[1:])
        craft = spec.model_copy(update={"name": name, "head": head, "rotors": rotors})
        return dataclasses.replace(result, craft=dataclasses.replace(result.craft, spec=craft))

    return rename
