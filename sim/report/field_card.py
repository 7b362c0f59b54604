"""The page to take along: checks before power, what hover should show, when to call it off."""

from __future__ import annotations

from typing import Final

from sim.analysis.check_result import CheckResult
from sim.params.craft_record import CHARGE_NODES
from sim.physics.power.battery import open_circuit_table, open_circuit_voltage
from sim.report.answer_wind import wind_readings
from sim.report.cautions import DISCLAIMER, cautions
from sim.report.hover_band import hover_band
from sim.report.number_text import (
    capital,
    degrees,
    duration,
    fixed,
    give_or_take,
    listed,
    percent,
    plain,
)
from sim.report.section import FieldCard, Reading
from sim.report.wind_tables import limit_at_10_m_m_s
from sim.spec.airframe import CraftSpec
from sim.spec.units import rounded_down

_CENTIMETRES: Final = 100.0
_SAME_CM: Final = 0.05
_FIRST_HOP_HEIGHT: Final = "half a metre"


def field_card(result: CheckResult) -> FieldCard:
    """Write the field card of a craft.

    Parameters
    ----------
    result : CheckResult
        What was found.

    Returns
    -------
    FieldCard
        As data.
    """
    craft = result.craft.spec
    return FieldCard(
        title=craft.name,
        verdict=capital(result.verdict),
        wind=() if result.wind is None else wind_readings(result.wind),
        before_power=_before_power(result),
        hover=_hover(result),
        first_hop=_first_hop(result),
        call_off=_call_off(result),
        cautions=(*cautions(craft, result.mass.mass_kg), DISCLAIMER),
    )


def resting_volts(craft: CraftSpec, charge: float) -> float:
    """Give the volts of the pack at rest.

    Parameters
    ----------
    craft : CraftSpec
        With its battery.
    charge : float
        [-] Share of the capacity left.

    Returns
    -------
    float
        [V] Open-circuit voltage of the whole pack.
    """
    table = open_circuit_table(craft.battery.chemistry, craft.battery.cells, CHARGE_NODES)
    return float(open_circuit_voltage(table, charge))


def _before_power(result: CheckResult) -> tuple[str, ...]:
    craft, mass = result.craft.spec, result.mass
    weight = give_or_take(mass.mass_kg, mass.mass_plus_minus_kg)
    forward = float(mass.centre_m[0]) * _CENTIMETRES
    ahead = f"{fixed(abs(forward), 1)} cm {'in front of' if forward >= 0.0 else 'behind'}"
    if abs(forward) < _SAME_CM:
        ahead = "neither in front of nor behind"
    checks = [
        f"Weigh it, ready to fly: {weight} kg. If it differs, check again.",
        f"Balance it: the centre of gravity lies {ahead} the craft"
        f" file's origin and {_under_rotors(result)}.",
        f"Turning, seen from above: {listed([f'{r.name} {r.turns}' for r in craft.rotors])}."
        " Propellers tight.",
    ]
    tilts = [rotor for rotor in craft.rotors if rotor.tilt is not None]
    if tilts:
        travel = degrees(min(r.tilt.travel_rad for r in tilts if r.tilt is not None))
        way = "forward" if craft.layout == "bicopter" else "to the side asked for"
        checks.append(
            f"Propellers off: tilt moves {travel} degrees each way without catching, and the right"
            f" way: a stick pushed {'forward' if way == 'forward' else 'aside'} tilts {way}."
        )
    if craft.drapes:
        near = ""
        if result.flight is not None:
            reach = float(result.flight.tally.least_clearance_m) * _CENTIMETRES
            near = f" In the computed flight it came within {fixed(reach, 0)} cm of a disc."
        checks.append(f"Lift the fabric by hand towards each rotor: it must not reach.{near}")
    checks.append(
        f"Pack strapped, charged to {percent(craft.battery.charge)} %:"
        f" {fixed(resting_volts(craft, craft.battery.charge), 1)} V at rest."
    )
    checks.append("Guards on, people back, the way to disarm clear to everybody.")
    return tuple(checks)


def _under_rotors(result: CheckResult) -> str:
    height = result.head.rotors_above_centre_m * _CENTIMETRES
    name = "tilt pivots" if result.head.pitch_by_tilt else "rotors"
    return f"{fixed(abs(height), 1)} cm {'below' if height >= 0.0 else 'above'} the {name}"


def _hover(result: CheckResult) -> tuple[Reading, ...]:
    band = hover_band(result.lift, result.mass)
    if band is None or not result.passes:
        return ()
    lift = result.lift
    return (
        Reading(
            "throttle",
            percent(band.throttle),
            "%",
            spread=f"+/- {percent(band.throttle_plus_minus)}",
        ),
        Reading("volts under load", fixed(lift.hover_bus_v, 1), "V"),
        Reading(
            "current",
            fixed(band.current_a, 1),
            "A",
            spread=f"+/- {fixed(band.current_plus_minus_a, 1)}",
        ),
        Reading("time until the reserve", duration(lift.endurance_s)),
    )


def _first_hop(result: CheckResult) -> tuple[str, ...]:
    if not result.passes:
        return ("No hop yet: mend what the verdict says, check again, and print a new card.",)
    return (
        "Soft ground, nobody near, as little wind as you can wait for.",
        f"Rise to {_FIRST_HOP_HEIGHT} for a few seconds, land, and feel motors, speed controllers,"
        " servos and pack for heat.",
        "Hover for half a minute and compare throttle, volts and amps with this card.",
        "Lean gently each way; watch the fabric. Only then fly higher, then in more wind.",
    )


def _call_off(result: CheckResult) -> tuple[str, ...]:
    craft, wind = result.craft.spec, result.wind
    reserve = craft.battery.reserve
    lines = []
    if wind is not None and wind.limit_forecast_m_s is not None and wind.limit_m_s is not None:
        gust = ""
        if wind.gust_m_s is not None:
            gust = f", or gusts beyond {rounded_down(wind.gust_m_s)} m/s"
        forecast = rounded_down(limit_at_10_m_m_s(wind) or wind.limit_forecast_m_s)
        lines.append(
            f"Forecast above {forecast} m/s, a mean above"
            f" {rounded_down(wind.limit_m_s)} m/s where it flies{gust}."
        )
    if _hover(result):
        lines.append("Hover throttle or current outside the figures above.")
    lines += [
        f"Pack at {percent(reserve)} % ({fixed(resting_volts(craft, reserve), 1)} V at rest), or"
        f" after {duration(result.lift.endurance_s)}."
        if result.lift.endurance_s is not None
        else f"Pack at {percent(reserve)} % ({fixed(resting_volts(craft, reserve), 1)} V at rest).",
        "Any swing that grows, any tilt at its stop, any odd sound or smell.",
        f"It leans beyond {degrees(result.scenario.spec.limits.tilt_rad)} degrees or drifts beyond"
        f" {plain(result.scenario.spec.limits.drift_m)} m.",
        "Somebody comes near, or the fabric gets wet." if craft.drapes else "Somebody comes near.",
    ]
    return tuple(lines)
