"""One run of all sensors and estimators: gyro, accelerometer, attitude, place and speed."""

from __future__ import annotations

from sim.numerics.compile import compiled
from sim.numerics.lag import advance_lag, kept_lag_factor
from sim.numerics.noise import four_normals
from sim.numerics.quaternion import euler_angles
from sim.params.craft_record import SensingRecord
from sim.params.flight_record import FlightRecord
from sim.params.kept_record import FIX_LAG, GYRO_LAG
from sim.params.state_record import StateRecord
from sim.params.tally_record import WorkRecord
from sim.sensing.attitude_estimate import corrected_angles

GYRO_CHANNEL = 1
ACCELEROMETER_CHANNEL = 2
FIX_CHANNEL = 3
BIAS_CHANNEL = 4


@compiled
def draw_bias(sensing: SensingRecord, flight: FlightRecord, state: StateRecord) -> None:
    """Write the gyro offset [rad/s] that a flight keeps, drawn at its first tick."""
    a, b, c, _ = four_normals(flight.seed, flight.flight, 0, BIAS_CHANNEL)
    spread = sensing.gyro_bias_rad_s * flight.noise_factor
    state.gyro_bias_rad_s[0] = spread * a
    state.gyro_bias_rad_s[1] = spread * b
    state.gyro_bias_rad_s[2] = spread * c


@compiled
def sense(
    sensing: SensingRecord,
    flight: FlightRecord,
    state: StateRecord,
    work: WorkRecord,
    period_s: float,
) -> None:
    """Update the estimates from the truth, one run of the loops [s] later.

    The gyro reads rate, constant bias and white noise through a first-order low-pass. The
    accelerometer sits at the CG. Place and speed come as one lagged, noisy fix: a simplification
    that stands for barometer, range finder and satellite receiver together.
    """
    noisy = flight.noise_factor > 0.0
    body = state.body
    gyro = (body.rate_rad_s[0], body.rate_rad_s[1], body.rate_rad_s[2])
    felt = (
        body.specific_force_m_s2[0],
        body.specific_force_m_s2[1],
        body.specific_force_m_s2[2],
    )
    fix = (0.0, 0.0, 0.0)
    if noisy:
        if state.tick == 0:
            draw_bias(sensing, flight, state)
        a, b, c, _ = four_normals(flight.seed, flight.flight, state.tick, GYRO_CHANNEL)
        s = sensing.gyro_noise_rad_s * flight.noise_factor
        bias = state.gyro_bias_rad_s
        gyro = (gyro[0] + s * a + bias[0], gyro[1] + s * b + bias[1], gyro[2] + s * c + bias[2])
        a, b, c, _ = four_normals(flight.seed, flight.flight, state.tick, ACCELEROMETER_CHANNEL)
        s = sensing.accelerometer_noise_m_s2 * flight.noise_factor
        felt = (felt[0] + s * a, felt[1] + s * b, felt[2] + s * c)
        a, b, c, _ = four_normals(flight.seed, flight.flight, state.tick, FIX_CHANNEL)
        s = sensing.position_noise_m * flight.noise_factor
        fix = (s * a, s * b, s * c)
    estimate = state.estimate
    share = kept_lag_factor(work.kept[GYRO_LAG], period_s, 1.0 / sensing.gyro_cutoff_rad_s)
    for i in range(3):
        estimate.gyro_rad_s[i] = advance_lag(estimate.gyro_rad_s[i], gyro[i], share)
    angles = corrected_angles(
        (estimate.angle_rad[0], estimate.angle_rad[1], estimate.angle_rad[2]),
        gyro,
        felt,
        euler_angles(work.rotation)[2],
        1.0 / sensing.attitude_time_constant_s,
        period_s,
    )
    share = kept_lag_factor(work.kept[FIX_LAG], period_s, sensing.position_lag_s)
    for i in range(3):
        estimate.angle_rad[i] = angles[i]
        place = body.position_m[i] + fix[i]
        estimate.position_m[i] = advance_lag(estimate.position_m[i], place, share)
        estimate.velocity_m_s[i] = advance_lag(
            estimate.velocity_m_s[i], body.velocity_m_s[i], share
        )
