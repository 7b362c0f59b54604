"""Tilt servo: second order with slew limit, deadband and travel stops, and the play behind it."""

from __future__ import annotations

from sim.numerics.compile import compiled
from sim.params.craft_record import RotorRecord


@compiled
def servo_step(
    rotor: RotorRecord, angle: float, rate: float, command: float, step_s: float
) -> tuple[float, float, float]:
    """Give servo angle [rad], its rate [rad/s] and 1 when the slew limit is met, a step [s] later.

    d2a/dt2 = w^2 (c - a) - 2 z w da/dt with the error c - a shortened by the deadband, integrated
    semi-implicitly; the rate is clipped to the slew limit, the angle to the travel.
    """
    error = command - angle
    if error > rotor.servo_deadband_rad:
        error -= rotor.servo_deadband_rad
    elif error < -rotor.servo_deadband_rad:
        error += rotor.servo_deadband_rad
    else:
        error = 0.0
    w = rotor.servo_frequency_rad_s
    rate += step_s * (w * w * error - 2.0 * rotor.servo_damping * w * rate)
    slewing = 0.0
    if rate > rotor.servo_slew_rad_s:
        rate = rotor.servo_slew_rad_s
        slewing = 1.0
    elif rate < -rotor.servo_slew_rad_s:
        rate = -rotor.servo_slew_rad_s
        slewing = 1.0
    angle += step_s * rate
    if angle > rotor.tilt_travel_rad:
        angle = rotor.tilt_travel_rad
        rate = min(rate, 0.0)
    elif angle < -rotor.tilt_travel_rad:
        angle = -rotor.tilt_travel_rad
        rate = max(rate, 0.0)
    return angle, rate, slewing


@compiled
def through_play(output: float, servo: float, slop_rad: float) -> float:
    """Give the rotor angle [rad] behind a play of `slop_rad` [rad] (friction-held backlash)."""
    half = 0.5 * slop_rad
    return min(max(output, servo - half), servo + half)
