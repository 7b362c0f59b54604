"""Which quantities of a flight are recorded, in which order and unit."""

from __future__ import annotations

from sim.numerics.compile import compiled
from sim.numerics.quaternion import euler_angles
from sim.params.craft_record import CraftRecord
from sim.params.flight_record import FlightRecord
from sim.params.record import FloatArray
from sim.params.state_record import StateRecord
from sim.params.tally_record import LIMITS, WorkRecord

FIRST_ROTOR_CHANNEL = 33
CHANNELS_PER_ROTOR = 5

BODY_CHANNELS: tuple[tuple[str, str], ...] = (
    ("time", "s"),
    ("north", "m"),
    ("east", "m"),
    ("height", "m"),
    ("velocity_north", "m/s"),
    ("velocity_east", "m/s"),
    ("climb", "m/s"),
    ("roll", "rad"),
    ("pitch", "rad"),
    ("heading", "rad"),
    ("roll_rate", "rad/s"),
    ("pitch_rate", "rad/s"),
    ("yaw_rate", "rad/s"),
    ("wind_north", "m/s"),
    ("wind_east", "m/s"),
    ("wind_up", "m/s"),
    ("bus_voltage", "V"),
    ("pack_current", "A"),
    ("charge", "-"),
    ("clearance", "m"),
    ("demand_thrust", "N"),
    ("demand_roll", "N m"),
    ("demand_pitch", "N m"),
    ("demand_yaw", "N m"),
    ("fabric_force_north", "N"),
    ("fabric_force_east", "N"),
    ("fabric_force_down", "N"),
    ("head_roll", "rad"),
    ("head_pitch", "rad"),
    ("target_north", "m"),
    ("target_east", "m"),
    ("target_height", "m"),
    ("limits", "-"),
)
ROTOR_CHANNELS: tuple[tuple[str, str], ...] = (
    ("speed", "rad/s"),
    ("tilt", "rad"),
    ("throttle", "-"),
    ("thrust", "N"),
    ("current", "A"),
)


@compiled
def record(
    craft: CraftRecord,
    flight: FlightRecord,
    state: StateRecord,
    work: WorkRecord,
    row: FloatArray,
) -> None:
    """Write one row of channels: BODY_CHANNELS, then ROTOR_CHANNELS for each rotor.

    `limits` is the sum of 2^k over the limits k (`Limit`) that are met in this step.
    """
    body, wind, demand = state.body, state.wind, state.control.demand
    roll, pitch, heading = euler_angles(work.rotation)
    row[0] = state.tick * flight.step_s
    for i in range(2):
        row[1 + i] = body.position_m[i]
        row[4 + i] = body.velocity_m_s[i]
        row[13 + i] = wind.mean_m_s[i] + wind.gust_m_s[i]
    row[3] = -body.position_m[2]
    row[6] = -body.velocity_m_s[2]
    row[7], row[8], row[9] = roll, pitch, heading
    row[15] = -(wind.mean_m_s[2] + wind.gust_m_s[2])
    row[16], row[17], row[18] = work.bus_v, work.pack_a, state.charge
    row[19] = work.clearance_m
    for i in range(3):
        row[10 + i] = body.rate_rad_s[i]
        row[24 + i] = work.drape_force_n[i]
    for i in range(4):
        row[20 + i] = demand[i]
    for i in range(2):
        row[27 + i] = state.neck.angle_rad[i]
    row[29], row[30] = work.target_m[0], work.target_m[1]
    row[31] = -work.target_m[2]
    flags, weight = 0.0, 1.0
    for k in range(LIMITS):
        if work.at_limit[k] > 0.0:
            flags += weight
        weight *= 2.0
    row[32] = flags
    for i in range(craft.rotor_count):
        base = FIRST_ROTOR_CHANNEL + CHANNELS_PER_ROTOR * i
        row[base] = state.rotor[i].speed_rad_s
        row[base + 1] = state.rotor[i].tilt_rad
        row[base + 2] = state.rotor[i].throttle
        row[base + 3] = work.rotor[i].thrust_n
        row[base + 4] = work.rotor[i].current_a
