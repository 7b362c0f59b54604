"""The day and the task of one flight: air, wind, commands and limits, constant during it."""

from __future__ import annotations

from typing import Annotated

from sim.params.record import FloatArray, Quantity, record_type
from sim.params.state_record import DEMANDS
from sim.params.wind_record import (
    MAX_GUSTS,
    GustRecord,
    LagBankRecord,
    MeasuredRecord,
    SlopeRecord,
    TurbulenceRecord,
)

MAX_COMMANDS = 16

FLY = 0
LAND = 1
STAND = 2

HANDS_OFF = 0
POSITION_HOLD = 1
HUMAN = 2


class CommandRecord:
    """A place to go to from a time on; the target moves there in a straight line."""

    time_s: Annotated[float, Quantity("s", "when it begins")]
    kind: Annotated[int, Quantity("-", "0 fly, 1 land, 2 stand on the ground")]
    from_m: Annotated[FloatArray, Quantity("m", "where the target starts, earth axes", (3,))]
    place_m: Annotated[FloatArray, Quantity("m", "earth axes", (3,))]
    lasts_s: Annotated[float, Quantity("s", "time the target takes to the place; 0: none")]
    passes: Annotated[int, Quantity("-", "1: the target goes on beyond the place")]
    heading_rad: Annotated[float, Quantity("rad", "from north, clockwise")]


class PilotRecord:
    """A person who flies by eye: crossover model with delay, noise and moments of looking away."""

    period_ticks: Annotated[int, Quantity("-", "steps between two looks")]
    delay_looks: Annotated[int, Quantity("-", "whole looks from seeing to acting")]
    delay_share: Annotated[float, Quantity("-", "part of a look that comes on top")]
    crossover_rad_s: Annotated[float, Quantity("rad/s", "of the loop round the craft's speed")]
    place_rad_s: Annotated[float, Quantity("rad/s", "of the loop round its place")]
    place_noise_m: Annotated[float, Quantity("m", "standard deviation of what is seen")]
    speed_noise_m_s: Annotated[float, Quantity("m/s", "standard deviation of what is seen")]
    noise_lag_s: Annotated[float, Quantity("s", "correlation time of both")]
    lapse_above: Annotated[
        float, Quantity("-", "standard normal draw above which a look begins a lapse")
    ]
    lapse_looks: Annotated[float, Quantity("-", "looks that a lapse lasts")]
    flies_height: Annotated[int, Quantity("-", "1: throttle too; 0: the craft holds its height")]


class LimitRecord:
    """What ends a flight as failed."""

    tilt_rad: Annotated[float, Quantity("rad", "of the craft's axis from the vertical")]
    drift_m: Annotated[float, Quantity("m", "from the asked place; 0: not judged")]
    height_loss_m: Annotated[float, Quantity("m", "below the asked height; 0: not judged")]
    saturation_s: Annotated[
        float, Quantity("s", "more on than off one thrust or tilt limit; 0: not judged")
    ]
    judged_from_s: Annotated[float, Quantity("s", "drift and height count from here on")]
    height_from_s: Annotated[float, Quantity("s", "height counts from here on, if later")]
    saturation_share: Annotated[
        float, Quantity("-", "of all steps on one thrust or tilt limit; 0: not judged")
    ]
    current_s: Annotated[float, Quantity("s", "more on than off a current limit; 0: not judged")]
    clearance_m: Annotated[float, Quantity("m", "fabric to a rotor disc")]
    touchdown_m_s: Annotated[float, Quantity("m/s", "sink at touch-down; 0: not judged")]
    recovery_s: Annotated[float, Quantity("s", "longest disturbed run; 0: not judged")]


class FlightRecord:
    """One flight's surroundings."""

    step_s: Annotated[float, Quantity("s", "of the integration")]
    duration_s: Annotated[float, Quantity("s", "length of the flight")]
    seed: Annotated[int, Quantity("-", "of the study")]
    flight: Annotated[int, Quantity("-", "number within the study")]
    density_kg_m3: Annotated[float, Quantity("kg/m3", "of the day's air")]
    gravity_m_s2: Annotated[float, Quantity("m/s2", "standard 9.80665")]
    wind_m_s: Annotated[float, Quantity("m/s", "mean speed at the wind's height")]
    wind_height_m: Annotated[float, Quantity("m", "height of that mean")]
    wind_from_rad: Annotated[float, Quantity("rad", "compass direction it blows from")]
    roughness_m: Annotated[float, Quantity("m", "of the terrain")]
    least_height_m: Annotated[float, Quantity("m", "below it the mean wind is held")]
    turbulence_ramp_s: Annotated[float, Quantity("s", "turbulence rises from nothing in this time")]
    turbulence_ticks: Annotated[
        int, Quantity("-", "steps between two draws; 0: neither turbulence nor measured wind")
    ]
    turbulence_form: Annotated[int, Quantity("-", "0 none, 1 Dryden, 2 Kaimal")]
    turbulence: Annotated[TurbulenceRecord, Quantity("-", "shaping filters, Dryden")]
    lag_bank: Annotated[list[LagBankRecord], Quantity("-", "along, across, down; Kaimal", (3,))]
    slope: Annotated[SlopeRecord, Quantity("-", "differences of the gusts across the craft")]
    measured: Annotated[MeasuredRecord, Quantity("-", "measured wind")]
    gust_count: Annotated[int, Quantity("-", "discrete gusts in use")]
    gust: Annotated[list[GustRecord], Quantity("-", "discrete gusts", (MAX_GUSTS,))]
    command_count: Annotated[int, Quantity("-", "commands in use")]
    command: Annotated[list[CommandRecord], Quantity("-", "the task", (MAX_COMMANDS,))]
    holds_position: Annotated[
        int, Quantity("-", "0: level, hands off; 1: position hold; 2: a person")
    ]
    pilot: Annotated[PilotRecord, Quantity("-", "the person, if one flies")]
    limit: Annotated[LimitRecord, Quantity("-", "what ends it")]
    noise_factor: Annotated[float, Quantity("-", "on all sensor noise; 0 for the linear model")]
    swing_m_s: Annotated[float, Quantity("m/s", "fabric swing at which drag is made linear")]
    settling_1_s: Annotated[
        float,
        Quantity("1/s", "damping of fabric against the body while a trim is searched, else 0"),
    ]
    is_held: Annotated[int, Quantity("-", "1: the body is clamped, the fabric settles")]
    keeps_charge: Annotated[int, Quantity("-", "1: the pack does not empty")]
    injected: Annotated[FloatArray, Quantity("N, N m, m/s2", "added to the demands", (DEMANDS,))]


FLIGHT_TYPE = record_type(FlightRecord)
