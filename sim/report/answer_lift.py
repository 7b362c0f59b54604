"""Question 1 in words: whether it lifts."""

from __future__ import annotations

from typing import Final

from sim.analysis.check_result import CheckResult, LiftAnswer
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2, ZERO_CELSIUS_K
from sim.report.more_pictures import power_pictures
from sim.report.number_text import (
    MISSING,
    digits,
    duration,
    fixed,
    give_or_take,
    percent,
    plain,
    sentence,
)
from sim.report.section import Picture, Reading, Section, Standing, standing
from sim.report.state_tables import lift_states
from sim.report.used_defaults import used_defaults
from sim.spec.airframe import CraftSpec
from sim.spec.rotor import PropellerSpec

_WORTH_TELLING_N: Final = 0.05


def needed_n(lift: LiftAnswer) -> float:
    """Give the thrust that hover asks for.

    Parameters
    ----------
    lift : LiftAnswer
        Of the check.

    Returns
    -------
    float
        [N] Weight and download.
    """
    return lift.weight_n + max(lift.download_n, 0.0)


def left_n(lift: LiftAnswer) -> float:
    """Give the usable thrust that hover leaves; negative when thrust is missing.

    Parameters
    ----------
    lift : LiftAnswer
        Of the check.

    Returns
    -------
    float
        [N] Usable thrust less weight and download.
    """
    return lift.usable_thrust_n - needed_n(lift)


def within_spread(lift: LiftAnswer) -> bool:
    """Tell whether the spread of the propellers could turn the answer.

    Parameters
    ----------
    lift : LiftAnswer
        Of the check.

    Returns
    -------
    bool
        True when more is unsure than is left or missing.
    """
    return abs(left_n(lift)) < lift.thrust_plus_minus_n


def why_it_cannot_lift(lift: LiftAnswer, reserved: float) -> str:
    """Say in one sentence, with newtons, why the craft stays on the ground.

    Parameters
    ----------
    lift : LiftAnswer
        Of a craft that cannot lift.
    reserved : float
        [-] Share of throttle kept back for levelling.

    Returns
    -------
    str
        A sentence.
    """
    download = _download_words(lift)
    return (
        f"It cannot lift: it weighs {fixed(lift.weight_n, 1)} N{download}, but its rotors give no"
        f" more than {fixed(lift.usable_thrust_n, 1)} N with the {percent(reserved)} % of throttle"
        f" that stays in reserve for levelling ({fixed(lift.full_thrust_n, 1)} N without it), so"
        f" {fixed(-left_n(lift), 1)} N are missing."
    )


def _download_words(lift: LiftAnswer) -> str:
    if lift.download_n < _WORTH_TELLING_N:
        return ""
    return f" and its own wash presses it down by another {fixed(lift.download_n, 1)} N"


def lift_section(result: CheckResult) -> Section:
    """Answer the first question.

    Parameters
    ----------
    result : CheckResult
        What was found.

    Returns
    -------
    Section
        The answer as data.
    """
    lift, craft = result.lift, result.craft.spec
    return Section(
        key="lift",
        question="Will it lift?",
        standing=_standing(lift),
        answer=_answer(lift, craft.controller.reserved),
        remedy=_remedy(lift),
        readings=_readings(lift, craft),
        tables=lift_states(result),
        pictures=(_picture(lift), *power_pictures(result)),
        assumptions=(
            f"Full throttle is taken at the pack's sag with {percent(craft.battery.charge)} %"
            " charge, all rotors running at once.",
            f"{percent(craft.controller.reserved)} % of the throttle is kept back for levelling and"
            " does not count as lift.",
            f"The air has {digits(result.air.density_kg_m3, 4)} kg/m3"
            f" ({fixed(result.air.temperature_k - ZERO_CELSIUS_K, 0)} deg C,"
            f" {fixed(result.air.pressure_pa / 100.0, 0)} hPa).",
            "Endurance is that of a steady hover at constant watts, from the charge at take-off"
            f" down to the {percent(craft.battery.reserve)} % that stay in the pack; wind,"
            " manoeuvres and a cold or old pack shorten it.",
            *(sentence(words) for words in result.air.assumed),
        ),
        provenance=_provenance(craft),
        spread=(
            f"Thrust is unsure by {fixed(lift.thrust_plus_minus_n, 1)} N (19 times out of 20 it"
            " lies within), from the spread of the propeller figures.",
            _mass_spread(result),
        ),
        defaults=used_defaults(result.craft, result.scenario, "lift"),
        cautions=("Lithium packs: charge them attended, and keep them below 60 degrees C.",),
    )


def _standing(lift: LiftAnswer) -> Standing:
    if not lift.can_lift:
        return Standing.FAILS
    if lift.motor_current_share > 1.0 or lift.pack_current_share > 1.0:
        return Standing.FAILS
    return Standing.UNKNOWN if within_spread(lift) else Standing.PASSES


def _answer(lift: LiftAnswer, reserved: float) -> str:
    if not lift.can_lift:
        return why_it_cannot_lift(lift, reserved)
    start = "It lifts" if not within_spread(lift) else "It may just lift"
    download = _download_words(lift)
    words = (
        f"{start}: it weighs {fixed(lift.weight_n, 1)} N{download}, and its rotors give"
        f" {fixed(lift.usable_thrust_n, 1)} N with {percent(reserved)} % of throttle in reserve,"
        f" {fixed(lift.usable_thrust_to_weight, 2)} times what hover asks for."
    )
    if within_spread(lift):
        words += (
            f" What is left, {fixed(left_n(lift), 1)} N, is less than the thrust is unsure by,"
            f" {fixed(lift.thrust_plus_minus_n, 1)} N."
        )
    if lift.hover_throttle is not None:
        words += (
            f" It hovers at {percent(lift.hover_throttle)} % throttle for about"
            f" {duration(lift.endurance_s)}."
        )
    if lift.motor_current_share > 1.0 or lift.pack_current_share > 1.0:
        over = "the motors'" if lift.motor_current_share > 1.0 else "the pack's"
        words += f" At full throttle it draws more than {over} limit of current."
    return words


def _remedy(lift: LiftAnswer) -> str:
    if not lift.can_lift:
        return (
            f"Take off at least {fixed(-left_n(lift) / STANDARD_GRAVITY_M_S2, 2)} kg, or fit larger"
            " propellers, a pack with more cells or less resistance, or motors that turn faster;"
            " leave some thrust over for wind."
        )
    if lift.motor_current_share > 1.0 or lift.pack_current_share > 1.0:
        return (
            "Fit a smaller propeller or one with less pitch, or motors, speed controllers or a pack"
            " that bear the current."
        )
    if within_spread(lift):
        return "Measure the thrust of one rotor on a stand and write it down as measured_thrust."
    return ""


def _readings(lift: LiftAnswer, craft: CraftSpec) -> tuple[Reading, ...]:
    need = needed_n(lift)
    sure = None if within_spread(lift) and lift.can_lift else lift.can_lift
    motor_limit = min(
        min(rotor.motor.current_limit_a, rotor.speed_controller.current_limit_a)
        for rotor in craft.rotors
    )
    fabric = (Reading("of it fabric", fixed(lift.fabric_weight_n, 2), "N"),) if craft.drapes else ()
    return (
        Reading("weight, all fabric included", fixed(lift.weight_n, 1), "N"),
        *fabric,
        Reading("download of the wash in hover", fixed(lift.download_n, 2), "N"),
        Reading(
            "thrust at full throttle",
            fixed(lift.full_thrust_n, 1),
            "N",
            spread=f"+/- {fixed(lift.thrust_plus_minus_n, 1)}",
        ),
        Reading(
            "thrust that lift may use",
            fixed(lift.usable_thrust_n, 1),
            "N",
            f"more than {fixed(need, 1)} N",
            standing(sure),
        ),
        Reading("thrust to weight and download", fixed(lift.thrust_to_weight, 2)),
        Reading(
            "the same with reserve kept",
            fixed(lift.usable_thrust_to_weight, 2),
            "",
            "more than 1",
            standing(sure),
        ),
        *_hover_readings(lift, 1.0 - craft.controller.reserved),
        Reading(
            "full current of a motor, share of its limit",
            percent(lift.motor_current_share),
            "%",
            f"at most 100 % ({plain(motor_limit)} A)",
            standing(lift.motor_current_share <= 1.0),
        ),
        Reading(
            "full current of the pack",
            fixed(lift.full_current_a, 1),
            "A",
            f"at most {plain(craft.battery.current_limit_a)} A",
            standing(lift.pack_current_share <= 1.0),
        ),
        Reading("volts at full throttle", fixed(lift.full_bus_v, 1), "V"),
        Reading("electric power at full throttle", fixed(lift.full_power_w, 0), "W"),
        Reading("blade tip speed at full throttle", fixed(lift.tip_speed_m_s, 0), "m/s"),
        Reading("figure of merit of the rotors", fixed(lift.figure_of_merit, 2)),
    )


def _hover_readings(lift: LiftAnswer, most_throttle: float) -> tuple[Reading, ...]:
    if lift.hover_throttle is None:
        return (Reading("steady hover", "none"),)
    return (
        Reading(
            "hover throttle",
            percent(lift.hover_throttle),
            "%",
            f"at most {percent(most_throttle)} %",
            standing(lift.hover_throttle <= most_throttle),
        ),
        Reading("hover current", *_number(lift.hover_current_a, "A")),
        Reading("hover power", *_number(lift.hover_power_w, "W", 0)),
        Reading("volts at the speed controllers in hover", *_number(lift.hover_bus_v, "V")),
        Reading("endurance in hover", duration(lift.endurance_s)),
    )


def _number(value: float | None, unit: str, places: int = 1) -> tuple[str, str]:
    text = fixed(value, places)
    return (text, "" if text == MISSING else unit)


def _picture(lift: LiftAnswer) -> Picture:
    over = left_n(lift)
    rest = f"which leaves {fixed(over, 1)} N" if over >= 0.0 else f"{fixed(-over, 1)} N too much"
    return Picture(
        "lift",
        "Thrust against weight, with what is lost on the way",
        f"Full thrust is {fixed(lift.full_thrust_n, 1)} N, of which"
        f" {fixed(lift.usable_thrust_n, 1)} N may lift; weight and download take"
        f" {fixed(needed_n(lift), 1)} N, {rest}.",
    )


def _mass_spread(result: CheckResult) -> str:
    spread = result.mass.mass_plus_minus_kg
    words = f"Mass is {give_or_take(result.mass.mass_kg, spread)} kg"
    if spread > 0.0:
        return f"{words}."
    return f"{words}; the craft file gives no spread of it, so it counts as exact: weigh the craft."


def _provenance(craft: CraftSpec) -> tuple[str, ...]:
    sources = dict.fromkeys(_propeller_source(rotor.propeller) for rotor in craft.rotors)
    pack = (
        "Pack resistance is the builder's."
        if craft.battery.resistance_given_ohm is not None
        else "Pack resistance is estimated from cells and capacity."
    )
    measured = craft.measured is not None and craft.measured.mass_kg is not None
    mass = "measured on the whole craft" if measured else "summed from the parts in the craft file"
    return (*sources, f"Mass is {mass}.", pack)


def _propeller_source(propeller: PropellerSpec) -> str:
    if propeller.table is not None:
        return "Propeller coefficients are the builder's table, carried on by blade element theory."
    if propeller.measured_thrust is not None:
        return "Propeller thrust is scaled to the builder's measurement on a stand."
    return (
        "Propeller thrust and torque are estimated from diameter, pitch and blades by blade element"
        " momentum theory; no measurement of this propeller was given."
    )
