"""The verdict in one line: fit to fly up to a wind, or what to fix or measure first."""

from __future__ import annotations

import math

from sim.analysis.check_result import HeadAnswer, LiftAnswer, StabilityAnswer, Unknown
from sim.analysis.condition import Condition
from sim.analysis.loop_margins import decibel
from sim.analysis.wind_heights import FORECAST_HEIGHT_M
from sim.analysis.wind_result import WindAnswer
from sim.analysis.wind_words import kilometres_per_hour
from sim.spec.units import rounded_down


def why_not_lift(lift: LiftAnswer) -> str:
    """Give the sentence for a craft that cannot lift, in newtons."""
    burden = lift.weight_n + max(lift.download_n, 0.0)
    return (
        f"it cannot lift: the rotors give {lift.usable_thrust_n:.1f} N at the throttle left for "
        f"climbing ({lift.full_thrust_n:.1f} N at full), and the craft weighs {burden:.1f} N"
    )


def why_no_authority(head: HeadAnswer) -> str:
    """Give the sentence for a craft whose rotors stand too low over its CG."""
    height_mm = 1000.0 * head.rotors_above_centre_m
    spread_mm = 1000.0 * head.rotors_above_centre_plus_minus_m
    if head.reversed:
        return (
            f"pitch control is reversed: the centre of gravity is {-height_mm:.0f} mm above the "
            "rotors, so that tilting them pitches the craft the wrong way; lower the battery, "
            "lighten or lower the head, or raise the rotors"
        )
    return (
        f"pitch authority is gone: the rotors stand only {height_mm:.0f} mm (give or take "
        f"{spread_mm:.0f} mm) above the centre of gravity; lower the battery, lighten or lower the "
        "head, or raise the rotors"
    )


def is_head_too_heavy(head: HeadAnswer) -> bool:
    """Tell whether the head is heavier than lift and lever bear."""
    return head.heaviest_head_kg is not None and head.head_mass_kg > head.heaviest_head_kg


def why_head_too_heavy(head: HeadAnswer) -> str:
    """Give the sentence for a head that leaves too little thrust or lever."""
    left = "thrust" if head.heaviest_head_limit == "lift" else "height of the rotors over the CG"
    return (
        f"the head of {head.head_mass_kg:.2f} kg leaves too little {left}; "
        f"at most {head.heaviest_head_kg or 0.0:.2f} kg fits there"
    )


def why_too_much_current(lift: LiftAnswer) -> str:
    """Give the sentence for a pack that full throttle overloads."""
    return (
        f"full throttle draws {lift.full_current_a:.0f} A from the pack, "
        f"{100.0 * lift.pack_current_share:.0f} % of what it may give"
    )


def why_not_upright(stability: StabilityAnswer) -> str:
    """Give the sentence for a craft that is unstable or short of margin."""
    if not stability.has_trim:
        return f"it has no steady hover: {stability.why_no_trim}"
    growing = [mode for mode in stability.modes if mode.grows]
    if growing:
        return f"it is unstable: {growing[0].sentence}"
    case = stability.worst_case
    where, axis, found = "", stability.worst_axis, stability.margins
    if case is not None and case.found is not None:
        where, axis, found = _where(case.condition), case.found.worst_axis, case.found.margins
    if axis is None:
        return f"it is unstable{where}"
    margins = found[axis]
    up, down, phase = margins.gain_up, margins.gain_down, margins.phase_rad
    gain = min(
        math.inf if up is None else decibel(up.value),
        math.inf if down is None else -decibel(down.value),
    )
    turn = math.nan if phase is None else math.degrees(abs(phase.value))
    return (
        f"the {axis} loop is too close to instability{where}: {gain:.1f} dB and "
        f"{turn:.0f} degrees are left, "
        f"{stability.required_gain_db:.0f} dB and "
        f"{math.degrees(stability.required_phase_rad):.0f} degrees are asked for"
    )


def _where(condition: Condition) -> str:
    """Say where a condition is not still air, full pack and dry fabric."""
    parts = []
    if condition.wind_m_s > 0.0:
        parts.append(f"in {condition.wind_m_s:.1f} m/s of wind")
    if condition.charge < 1.0:
        parts.append(f"with {100.0 * condition.charge:.0f} % in the pack")
    if condition.fabric == "wet":
        parts.append("with wet fabric")
    parts.append(f"{condition.height_m:.1f} m above the ground")
    return " " + ", ".join(parts)


def why_too_little_wind(wind: WindAnswer, asked_m_s: float) -> str:
    """Give the sentence for a craft that does not stand the scenario's own wind."""
    cause = f"; first it {wind.first_cause}" if wind.first_cause else ""
    if wind.limit_forecast_m_s is None:
        return f"not even in still air do enough flights succeed{cause}"
    return (
        f"it stands a mean wind of {rounded_down(wind.limit_forecast_m_s)} m/s at "
        f"{wind.wind_height_m:.0f} m, and the day has {asked_m_s:.1f} m/s{cause}"
    )


def verdict(
    lift: LiftAnswer,
    stability: StabilityAnswer,
    head: HeadAnswer,
    wind: WindAnswer | None,
    unknowns: tuple[Unknown, ...],
    asked_wind_m_s: float,
) -> tuple[str, bool]:
    """Give the verdict and whether the craft passes; the first thing that fails is named."""
    if not lift.can_lift:
        return f"fix first: {why_not_lift(lift)}", False
    if head.authority_gone:
        return f"fix first: {why_no_authority(head)}", False
    if is_head_too_heavy(head):
        return f"fix first: {why_head_too_heavy(head)}", False
    if lift.pack_current_share > 1.0:
        return f"fix first: {why_too_much_current(lift)}", False
    if not stability.passes:
        return f"fix first: {why_not_upright(stability)}", False
    burden = lift.weight_n + max(lift.download_n, 0.0)
    if lift.usable_thrust_n - lift.thrust_plus_minus_n < burden:
        what = unknowns[0].measurement if unknowns else "measure the thrust of one rotor"
        return f"not enough known: {what}", False
    if wind is None or wind.limit_forecast_m_s is None or wind.limit_m_s is None:
        reason = "no flights were made" if wind is None else why_too_little_wind(wind, 0.0)
        return f"fix first: {reason}", False
    if wind.limit_forecast_m_s < asked_wind_m_s:
        return f"fix first: {why_too_little_wind(wind, asked_wind_m_s)}", False
    kmh = kilometres_per_hour(wind.limit_forecast_m_s)
    told, at_10 = "forecast mean wind", ""
    if wind.wind_height_m != FORECAST_HEIGHT_M:
        told = "mean wind"
        if wind.at_10_m_m_s is not None:
            at_10 = f", as forecast at 10 m {rounded_down(wind.at_10_m_m_s)} m/s"
    return (
        f"fit to fly up to a {told} of {rounded_down(wind.limit_forecast_m_s)} m/s "
        f"({rounded_down(kmh, 0)} km/h) at {wind.wind_height_m:.0f} m{at_10}, which is"
        f" {rounded_down(wind.limit_m_s)} m/s at flight height",
        True,
    )
