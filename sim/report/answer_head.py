"""Question 3 in words: what the head does to balance and pitch."""

from __future__ import annotations

from typing import Final

from sim.analysis.check_result import CheckResult, HeadAnswer
from sim.analysis.head import LEAST_LEVER_M
from sim.report.mass_ledger import ledger_table
from sim.report.more_pictures import authority_pictures
from sim.report.number_text import degrees, digits, fixed, give_or_take
from sim.report.section import Picture, Reading, Section, Standing, standing
from sim.report.state_tables import head_states
from sim.report.used_defaults import used_defaults

_CENTIMETRES: Final = 100.0
_LEAST_SHOWN_CM: Final = 0.05
_GATE_WORDS: Final = {
    "lift": "beyond it too little thrust is left",
    "lever": "beyond it the rotors stand too little above the centre of gravity",
}
_NONE_WORDS: Final = {
    "lift": "too little thrust is left (question 1)",
    "lever": "the rotors stand too little above the centre of gravity",
}


def head_section(result: CheckResult) -> Section:
    """Answer the third question.

    Parameters
    ----------
    result : CheckResult
        What was found.

    Returns
    -------
    Section
        The answer as data.
    """
    head, mass = result.head, result.mass
    centre = mass.centre_m * _CENTIMETRES
    return Section(
        key="head",
        question="What does the head do?",
        standing=_standing(head),
        answer=_answer(head),
        remedy=_remedy(head),
        readings=_readings(head),
        tables=(*head_states(result), ledger_table(mass)),
        pictures=(
            Picture("side", "Side view to scale", _view_finding(head)),
            Picture("behind", "View from behind to scale", _view_finding(head)),
            Picture(
                "top",
                "Top view to scale",
                _off_centre(float(centre[0]), float(centre[1])),
            ),
            *authority_pictures(result),
        ),
        assumptions=(
            "Fabric hangs straight down and counts with its whole mass.",
            f"{_neck_words(result)}; places are those of the craft file, forward, right and up.",
            "The heaviest head is found by lift and lever alone, at the place of the present one;"
            " 'gustworthy head' searches margins and wind too, and other heights.",
        ),
        provenance=mass.notes
        or ("Mass, centre of gravity and inertia are summed from the parts in the craft file.",),
        spread=(
            _height_spread(head),
            "Inertia about roll, pitch and yaw: "
            + ", ".join(
                give_or_take(
                    float(mass.inertia_kg_m2[i, i]), float(mass.inertia_plus_minus_kg_m2[i])
                )
                for i in range(3)
            )
            + " kg m2.",
        ),
        defaults=used_defaults(result.craft, result.scenario, "head"),
    )


def _neck_words(result: CheckResult) -> str:
    head = result.craft.spec.head
    if head is None or head.neck == "rigid":
        return "The neck is rigid"
    return "Balance and lever are for a straight neck; trim, margins and flights bend it"


def _height_plus_minus(head: HeadAnswer) -> str:
    unsure_cm = head.rotors_above_centre_plus_minus_m * _CENTIMETRES
    return f"+/- {fixed(unsure_cm, 1)}" if unsure_cm >= _LEAST_SHOWN_CM else ""


def _height_spread(head: HeadAnswer) -> str:
    unsure_cm = head.rotors_above_centre_plus_minus_m * _CENTIMETRES
    if unsure_cm < _LEAST_SHOWN_CM:
        return (
            "The craft file gives no spread that moves the height of the rotors over the centre of"
            " gravity, so it counts as exact; measure it all the same."
        )
    return (
        "The height of the rotors over the centre of gravity is unsure by"
        f" {fixed(unsure_cm, 1)} cm."
    )


def _off_centre(forward_cm: float, right_cm: float) -> str:
    """Say where the centre of gravity lies, seen from above."""
    ways = (
        (forward_cm, "in front of", "behind"),
        (right_cm, "to the right of", "to the left of"),
    )
    found = [
        f"{fixed(abs(along), 1)} cm {ahead if along > 0.0 else back}"
        for along, ahead, back in ways
        if abs(along) >= _LEAST_SHOWN_CM
    ]
    where = " and ".join(found) if found else "straight above or below"
    return f"The centre of gravity lies {where} the craft file's origin."


def _standing(head: HeadAnswer) -> Standing:
    return standing(not (head.authority_gone or head.reversed or _is_too_heavy(head)))


def _lifts_no_head(head: HeadAnswer) -> bool:
    """Tell whether thrust is short even without a head, which then is not the head's fault."""
    heaviest = head.heaviest_head_kg
    return heaviest is not None and heaviest <= 0.0 and head.heaviest_head_limit == "lift"


def _is_too_heavy(head: HeadAnswer) -> bool:
    heaviest = head.heaviest_head_kg
    return heaviest is not None and head.head_mass_kg > heaviest and not _lifts_no_head(head)


def _answer(head: HeadAnswer) -> str:
    height = head.rotors_above_centre_m * _CENTIMETRES
    who = "The head" if head.has_head else "There is no head; the weight"
    if head.reversed:
        return (
            f"{who} puts the centre of gravity {fixed(-height, 1)} cm above the tilting rotors, so"
            " that pitch authority is reversed: tilting the rotors pitches the craft the wrong way."
        )
    if head.authority_gone:
        return (
            f"{who} leaves the rotors only {fixed(height, 1)} cm above the centre of gravity, plus"
            f" or minus {fixed(head.rotors_above_centre_plus_minus_m * _CENTIMETRES, 1)} cm: pitch"
            " authority is gone, because tilting the rotors has no lever to pitch with."
        )
    start = "" if head.has_head else "There is no head. "
    if not head.pitch_by_tilt:
        words = (
            f"{start}Pitch comes from the difference of front and tail thrust, up to"
            f" {digits(head.pitch_authority_n_m)} N m, and does not hang on the height of the head."
        )
    else:
        words = (
            f"{start}The rotors stand {fixed(height, 1)} cm above the centre of gravity, which lets"
            f" their tilt pitch the craft with up to {digits(head.pitch_authority_n_m)} N m."
        )
    if head.has_head:
        lifted = (head.rotors_above_centre_without_head_m - head.rotors_above_centre_m) * (
            _CENTIMETRES
        )
        verb = "raises" if lifted >= 0.0 else "lowers"
        words += f" The head {verb} the centre of gravity by {fixed(abs(lifted), 1)} cm."
    return words + _heaviest_words(head)


def _heaviest_words(head: HeadAnswer) -> str:
    if not head.has_head:
        return ""
    if head.heaviest_head_kg is None:
        return " No heavier head that was tried takes away lift or lever."
    gate = head.heaviest_head_limit
    why = _GATE_WORDS.get(gate, gate)
    if head.heaviest_head_kg <= 0.0:
        return (
            f" No head is light enough here: even without one {_NONE_WORDS.get(gate, gate)}."
            " What is judged below is the balance alone."
        )
    is_heavier = head.head_mass_kg > head.heaviest_head_kg
    at_most = "only" if is_heavier else "up to"
    return (
        f" A head there may weigh {at_most} {fixed(head.heaviest_head_kg, 2)} kg ({why}); this one"
        f" weighs {fixed(head.head_mass_kg, 2)} kg."
    )


def _remedy(head: HeadAnswer) -> str:
    if head.reversed or head.authority_gone:
        need = fixed(
            (LEAST_LEVER_M + head.rotors_above_centre_plus_minus_m - head.rotors_above_centre_m)
            * _CENTIMETRES,
            1,
        )
        return (
            f"Lower the pack, raise the rotors, or make the head lighter or lower: the rotors need"
            f" to gain at least {need} cm over the centre of gravity."
        )
    if _is_too_heavy(head):
        return "Make the head lighter, or give the craft more thrust."
    return ""


def _readings(head: HeadAnswer) -> tuple[Reading, ...]:
    readings = []
    if head.has_head:
        heaviest = None if _lifts_no_head(head) else head.heaviest_head_kg
        readings.append(
            Reading(
                "mass of the head",
                fixed(head.head_mass_kg, 2),
                "kg",
                _most_head(heaviest),
                Standing.PLAIN if heaviest is None else standing(head.head_mass_kg <= heaviest),
            )
        )
    name = "tilt pivots" if head.pitch_by_tilt else "rotors"
    readings.append(
        Reading(
            f"{name} above the centre of gravity",
            fixed(head.rotors_above_centre_m * _CENTIMETRES, 1),
            "cm",
            f"at least {fixed(LEAST_LEVER_M * _CENTIMETRES, 1)} cm, spread taken off"
            if head.pitch_by_tilt
            else "",
            standing(not head.authority_gone) if head.pitch_by_tilt else Standing.PLAIN,
            _height_plus_minus(head),
        )
    )
    if head.has_head:
        without = fixed(head.rotors_above_centre_without_head_m * _CENTIMETRES, 1)
        readings.append(Reading("the same without the head", without, "cm"))
    authority = head.pitch_authority_n_m
    readings += [
        Reading(
            "pitch moment at full travel" if head.pitch_by_tilt else "pitch moment at full thrust",
            digits(authority),
            "N m",
        ),
        Reading("pitch acceleration from it", degrees(head.pitch_acceleration_rad_s2), "deg/s2"),
    ]
    return tuple(readings)


def _most_head(heaviest_kg: float | None) -> str:
    if heaviest_kg is None:
        return ""
    return f"at most {fixed(heaviest_kg, 2)} kg" if heaviest_kg > 0.0 else "no head passes here"


def _view_finding(head: HeadAnswer) -> str:
    height = head.rotors_above_centre_m * _CENTIMETRES
    side = "above" if height >= 0.0 else "below"
    return (
        f"The {'tilt pivots' if head.pitch_by_tilt else 'rotors'} stand {fixed(abs(height), 1)} cm"
        f" {side} the centre of gravity."
    )
