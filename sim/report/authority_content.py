"""What `gustworthy authority` says in words: verdict, findings, what they rest on."""

from __future__ import annotations

import math
from typing import Final

from sim.analysis.authority import AuthorityAnswer, Way
from sim.analysis.authority_study import AuthorityStudy
from sim.analysis.authority_wind import SIDES, used_first
from sim.analysis.motor_loss import WEAK, Left, MotorLoss
from sim.report.number_text import capital, degrees, digits, fixed, listed, percent
from sim.report.play_words import play_assumptions, play_findings

UNITS: Final = {"thrust": "N", "roll": "N m", "pitch": "N m", "yaw": "N m"}
STOP_WORDS: Final = {
    "full": "{} at full",
    "least": "{} at its least",
    "tilt": "tilt of {} at its stop",
}
_LEAN_RAD: Final = math.radians(10.0)


def authority_subtitle(study: AuthorityStudy) -> str:
    """Give layout, mass and scenario in one line."""
    mass = digits(study.packed.whole_mass_kg, 3)
    return (
        f"{capital(study.craft.spec.layout)}, {mass} kg, in the scenario"
        f" '{study.scenario.spec.name}'"
    )


def authority_verdict(study: AuthorityStudy) -> str:
    """Give the verdict as a sentence."""
    answer = study.authority
    if answer is None:
        why = study.why_no_trim.rstrip(".")
        return f"There is no steady hover to look at: {why}"
    gone = [way.words for way in answer.ways if not way.left > 0.0]
    if gone:
        return f"In hover nothing is left to {listed(gone)}"
    if answer.backwards:
        return (
            f"Tilting the rotors works backwards in {listed(answer.backwards)}: what the flight"
            " controller does to right the craft turns it over. See to the centre of gravity"
            " (gustworthy check, question 3)"
        )
    if study.growing:
        return (
            "It is unstable in hover, so that nothing of what is left can be used; see to the gains"
            " first (gustworthy check, question 2)"
        )
    lost = study.lost_wind
    if lost is not None:
        return f"In a mean wind of {digits(lost.forecast_m_s, 2)} m/s {lost.why_not}"
    edge = study.near_edge
    if edge is not None and edge.grows_rad is not None:
        return (
            f"Its tilt servos are too slow: let go {degrees(edge.grows_rad)} degrees off in"
            f" {edge.axis} it does not come back, and the scenario allows a lean of"
            f" {degrees(study.scenario.spec.limits.tilt_rad)} degrees"
        )
    first, slow = answer.first, answer.slowest
    return (
        f"Something is left every way: hover takes {percent(first.share)} % of its lift, and the"
        f" weakest turn, {slow.words}, still gathers speed by {degrees(slow.quickness)} deg/s"
        " every second"
    )


def authority_findings(study: AuthorityStudy) -> tuple[str, ...]:
    """Give what is worth saying, a sentence each."""
    answer = study.authority
    if answer is None:
        return ()
    found = [
        left_words(answer),
        slowest_words(answer.slowest),
        *(words for side in SIDES if (words := _wind_words(study, side))),
        *loss_words(answer),
    ]
    if study.play is not None:
        found += play_findings(study.play, study.hunting, study.edges)
    found += [f"{capital(shape.sentence)}." for shape in study.shapes]
    if study.why_no_shapes:
        found.append(f"How it moves by itself is not known: {study.why_no_shapes}.")
    return tuple(found)


def _less(answer: AuthorityAnswer, axis: str) -> float:
    return min(way.left for way in answer.ways if way.axis == axis)


def left_words(answer: AuthorityAnswer) -> str:
    """Say what hover takes and leaves."""
    lift = next(way for way in answer.ways if way.axis == "thrust" and way.sense > 0)
    turns = listed(
        [f"{digits(_less(answer, axis), 2)} N m of {axis}" for axis in ("roll", "pitch", "yaw")]
    )
    return (
        f"Hover takes {percent(lift.share)} % of the lift there is; left are"
        f" {digits(lift.left, 3)} N of lift, and the weaker way {turns}, each with the rest kept."
    )


def slowest_words(way: Way) -> str:
    """Say how soon the weakest turn leans the craft."""
    time_s = math.sqrt(2.0 * _LEAN_RAD / way.quickness)
    return (
        f"The weakest turn is {way.words}: {digits(way.left, 2)} N m, which from rest takes"
        f" {digits(time_s, 2)} s to 10 degrees, and the lag of rotors and servos on top."
    )


def _wind_words(study: AuthorityStudy, side: str) -> str:
    """Say what a wind from a side uses up first, and where it is no longer held."""
    found = used_first(study.winds, side)
    come = {"ahead": "from ahead", "right": "from the right"}[side]
    lost = next((use for use in study.winds if use.side == side and not use.holds), None)
    if found is None:
        return ""
    use, way, busy = found
    words = (
        f"In wind {come}, {way.words} runs out first: at {digits(use.forecast_m_s, 2)} m/s the mean"
        f" takes {percent(way.share)} % and gusts now and then {percent(busy)} %"
    )
    if lost is None:
        return f"{words}."
    return f"{words}; in {digits(lost.forecast_m_s, 2)} m/s {lost.why_not}."


def loss_words(answer: AuthorityAnswer) -> list[str]:
    """Say what a stopped and what a weak motor leaves, rotors that fare alike in one sentence."""
    alike: dict[tuple[float, Left], list[MotorLoss]] = {}
    for loss in answer.losses:
        alike.setdefault((loss.thrust_share, loss.left), []).append(loss)
    return [
        _stopped_words(answer, left, losses) if share <= 0.0 else _weak_words(answer, left, losses)
        for (share, left), losses in alike.items()
    ]


def _which(answer: AuthorityAnswer, losses: list[MotorLoss]) -> str:
    count = len(answer.rotor_names)
    if len(losses) == count:
        return "any of its motors"
    return f"the motor {listed([answer.rotor_names[loss.rotor] for loss in losses])}"


def _between(values: list[float]) -> str:
    low, high = digits(min(values), 2), digits(max(values), 2)
    return low if low == high else f"{low} to {high}"


def _stopped_words(answer: AuthorityAnswer, left: Left, losses: list[MotorLoss]) -> str:
    which = _which(answer, losses)
    leans = [
        loss.flight.leans_after_s
        for loss in losses
        if loss.flight is not None and loss.flight.leans_after_s is not None
    ]
    flown = f" In a flight it leans 45 degrees after {_between(leans)} s." if leans else ""
    match left:
        case Left.HOVER:
            return f"If {which} stops, the rest could still hover.{flown}"
        case Left.TURNING:
            return f"If {which} stops, the rest could still hover, turning round and round.{flown}"
        case Left.SINKS:
            return f"If {which} stops, it can stay level only while it sinks.{flown}"
        case Left.NOTHING:
            return (
                f"If {which} stops, the others cannot hold the craft up and level at once, whatever"
                f" they do: it turns over.{flown} Cut the throttle."
            )


def _weak_words(answer: AuthorityAnswer, left: Left, losses: list[MotorLoss]) -> str:
    which, share = _which(answer, losses), percent(WEAK)
    flights = [loss.flight for loss in losses if loss.flight is not None]
    if left is not Left.HOVER:
        return f"With {which} at {share} % of its thrust it can no longer hover."
    lift = _between([loss.lift_left_n for loss in losses])
    roll = _between([loss.weakest_roll_n_m for loss in losses])
    pitch = _between([loss.weakest_pitch_n_m for loss in losses])
    words = (
        f"With {which} at {share} % of its thrust it can still hover, with {lift} N of lift,"
        f" {roll} N m of roll and {pitch} N m of pitch left the weaker way"
    )
    if not flights:
        return f"{words}."
    if all(flight.stays for flight in flights):
        drop = _between([max(flight.lost_height_m, 0.0) for flight in flights])
        return f"{words}; in a flight the loops hold it, {drop} m lower after 6 s."
    return f"{words}; but in a flight the loops do not hold it."


def stop_words(way: Way, names: tuple[str, ...]) -> str:
    """Say which rotor or tilt stops a way; alike ones together."""
    kinds: dict[str, list[str]] = {}
    for rotor, what in way.stops:
        kinds.setdefault(what, []).append(names[rotor])
    return ", ".join(STOP_WORDS[what].format(listed(who)) for what, who in kinds.items()) or "-"


def authority_assumptions(study: AuthorityStudy) -> tuple[str, ...]:
    """Give what the figures rest on."""
    answer = study.authority
    if answer is None:
        return ()
    words = [
        "What rotors can do is what the step's own rotor, motor and pack functions give at every"
        " throttle from the mixer's least to full and every tilt to its stop, steady, with the"
        " common sag of the pack as charged at take-off. Wash on parts and fabric is not in it: it"
        " belongs to what the rotors must balance.",
        "Left is what the rotors reach with the other three of thrust, roll, pitch and yaw kept,"
        " whoever finds the settings; the mixer gives up yaw first and may reach less. The convex"
        f" hull of all settings promises up to {percent(answer.overstated, 1)} % more there, since"
        " a mixture of two settings is not a setting.",
        "A stopped motor gets no volts; a weak one has a damaged propeller, less thrust for the"
        " same torque, and the flight controller does not know.",
        f"Winds are forecasts at {fixed(study.scenario.spec.wind.at_height_m, 0)} m: the mean over"
        " 4 s once the craft has settled over its place, and what 20 s of one gusty flight stay"
        " below for all but a twentieth of the time.",
    ]
    return (*words, *play_assumptions(study.play))


def authority_remedy(study: AuthorityStudy) -> str:
    """Say what the builder should do; empty when nothing."""
    if study.near_edge is not None:
        return (
            "Fit faster tilt servos, or lower controller.level and the gains of"
            f" {study.near_edge.axis}."
        )
    return ""
