"""What `gustworthy head` says in words: verdict, findings, how steering feels, assumptions."""

from __future__ import annotations

import math
from typing import Final

from sim.analysis.head import LEAST_LEVER_M, LEAST_THRUST_TO_WEIGHT
from sim.analysis.head_advice import HeadAdvice, Remedy
from sim.analysis.head_gates import Gate, GateFigures
from sim.analysis.head_map import HeadEnd, HeadMap
from sim.analysis.loop_margins import decibel
from sim.analysis.pitch_zero import EXAMPLE_LEVER_M, PitchZero
from sim.analysis.required_margins import RequiredMargins
from sim.report.number_text import capital, degrees, digits, fixed, listed, percent
from sim.spec.units import rounded_down

CENTIMETRES: Final = 100.0
GATE_NAMES: Final[dict[Gate, str]] = {
    "lift": "lift",
    "authority": "pitch authority",
    "margins": "margins",
    "wind": "the day's wind",
}


def centimetres(metres: float, places: int = 1) -> str:
    """Write a length in centimetres."""
    return f"{fixed(CENTIMETRES * metres, places)} cm"


def kilograms(mass_kg: float) -> str:
    """Write a mass of a head; downwards, so that what is said to pass does."""
    return f"{rounded_down(mass_kg, 2)} kg"


def lever_words(lever_m: float) -> str:
    """Say how far the rotors stand above or below the centre of gravity, such as `9.3 cm above`."""
    return f"{centimetres(abs(lever_m))} {'above' if lever_m >= 0.0 else 'below'}"


def short_of(value: float, asked: float, places: int) -> str:
    """Write a figure; one that misses what is asked reads less, even if it rounds to as much."""
    text = fixed(value, places)
    if value < asked and float(text) >= round(asked, places):
        return fixed(math.floor(value * 10**places) / 10**places, places)
    return text


def wind_words(answer: HeadMap) -> str:
    """Say what wind the last gate is."""
    wind = answer.scenario.spec.wind
    return f"{fixed(wind.mean_m_s, 1)} m/s at {fixed(wind.at_height_m, 0)} m"


def why_failed(answer: HeadMap, figures: GateFigures) -> str:
    """Say which gate a craft does not pass, and by how much; empty when it passes all."""
    match figures.failed:
        case "lift":
            return (
                f"lift: {short_of(figures.lift, LEAST_THRUST_TO_WEIGHT, 2)} times weight and"
                f" download, asked {fixed(LEAST_THRUST_TO_WEIGHT, 2)}"
            )
        case "authority":
            return f"pitch authority: {authority_words(answer, figures)}"
        case "margins":
            return f"margins: {margin_words(figures, answer.study.required)}"
        case "wind":
            most = f", most often it {figures.cause}" if figures.cause else ""
            return (
                f"the day's wind: {figures.flights - figures.successes} of {figures.flights}"
                f" flights failed{most}"
            )
    return ""


def authority_words(answer: HeadMap, figures: GateFigures) -> str:
    """Say how much pitch authority there is."""
    if answer.zero.by_tilt:
        return (
            f"rotors {lever_words(figures.lever_m)} the centre of gravity, give or take"
            f" {centimetres(figures.lever_plus_minus_m)}, asked {centimetres(LEAST_LEVER_M)}"
        )
    room = figures.authority_left + LEAST_THRUST_TO_WEIGHT
    if room <= 0.0:
        return "a rotor carries nothing, so that it cannot yield"
    return (
        f"the busiest rotor has {short_of(room, LEAST_THRUST_TO_WEIGHT, 2)} times its share of"
        f" the weight, asked {fixed(LEAST_THRUST_TO_WEIGHT, 2)}"
    )


def margin_words(figures: GateFigures, required: RequiredMargins) -> str:
    """Say what the worst axis has, of what is required."""
    if figures.has_hover is None:
        return "not looked at"
    if not figures.has_hover:
        return "no steady hover was found"
    worst = figures.worst
    if worst is None or worst.gain_up is None or worst.phase_rad is None:
        return "unstable"
    down = worst.gain_down
    gains = [decibel(worst.gain_up.value)]
    if down is not None and down.value > 0.0:
        gains.append(-decibel(down.value))
    gain = short_of(min(gains), required.gain_db, 1)
    phase = short_of(math.degrees(abs(worst.phase_rad.value)), math.degrees(required.phase_rad), 0)
    return f"{figures.worst_axis} has {gain} dB and {phase} degrees"


def flight_words(figures: GateFigures) -> str:
    """Say how the flights went."""
    if figures.flights == 0:
        return "not flown"
    sure = "" if figures.sure is None else f", at least {percent(figures.sure)} % shown"
    return f"{figures.successes} of {figures.flights} succeed{sure}"


def head_verdict(answer: HeadMap) -> str:
    """Give the verdict as a sentence without its full stop."""
    weight = fixed(answer.mass_kg, 2)
    if not answer.passes:
        start = f"this head of {weight} kg does not pass {why_failed(answer, answer.present)}"
        if answer.heaviest_kg is None:
            return capital(f"{start}; no lighter head that was tried at this height passes either")
        if answer.heaviest_kg > answer.mass_kg:
            return capital(f"{start}; at this height a heavier one does")
        return capital(f"{start}; at this height at most {kilograms(answer.heaviest_kg)} passes")
    assert answer.heaviest_kg is not None
    if answer.gives_out is None:
        return (
            f"This head of {weight} kg passes, and so does every heavier one that was tried, up to"
            f" {kilograms(answer.heaviest_kg)}"
        )
    return (
        f"This head of {weight} kg passes; at this height at most"
        f" {kilograms(answer.heaviest_kg)} does, beyond it {GATE_NAMES[answer.gives_out]}"
        f" {_verb(answer.gives_out)}"
    )


def _verb(gate: Gate) -> str:
    """Say what a gate does when it is no longer passed."""
    if gate == "wind":
        return "is too much"
    return "give out" if gate == "margins" else "gives out"


def end_words(end: HeadEnd) -> str:
    """Say where a gate gives out."""
    if end.mass_kg is None and end.looked_kg <= 0.0:
        return "not looked at"
    if end.mass_kg is None:
        return f"not up to {kilograms(end.looked_kg)}, as far as it was looked at"
    if end.mass_kg <= 0.0:
        return "passed by none"
    return f"beyond {kilograms(end.mass_kg)}"


def pitch_sentences(zero: PitchZero, *, has_fabric: bool = False) -> tuple[str, ...]:
    """Say in a builder's words what the height of the centre of gravity does to steering.

    Parameters
    ----------
    zero : PitchZero
        Of the solid craft.
    has_fabric : bool
        Whether fabric hangs from it, which the height leaves out.

    Returns
    -------
    tuple of str
        Sentences.
    """
    if not zero.by_tilt:
        return (
            "Front and tail rotors pitch this craft by pulling unequally, which works whatever the"
            " height of the head; a high or heavy head only makes it slower to lean.",
        )
    if zero.notch_hz is None:
        wrong = "" if zero.wrong_way_s is None else f" for about {digits(zero.wrong_way_s, 2)} s"
        return (
            "The centre of gravity lies above the rotors: pushing the stick forward first moves the"
            f" craft backward{wrong}, because the rotors must tilt back to lean it forward; no"
            " gains cure that, and loops set up for a low centre tip it over.",
        )
    return (
        f"The rotors push {centimetres(zero.lever_m)} above the centre of gravity"
        f"{' of the craft without its fabric' if has_fabric else ''}, so that tilting them forward"
        " both leans the craft forward and pushes it forward.",
        "The nearer a high or heavy head brings the centre of gravity to the rotors, the less they"
        f" lean it and the more they merely push it along (about {digits(zero.notch_hz, 2)} Hz is"
        " where the two cancel now, lower with every gram).",
        "With the centre above the rotors, pushing the stick forward first moves the craft backward"
        " before it goes forward: to lean it forward they must tilt back. With"
        f" {centimetres(EXAMPLE_LEVER_M, 0)} above, that lasts about {digits(zero.example_s, 2)} s;"
        " no gains cure it, and loops set up for a low centre tip the craft over.",
    )


def remedy_words(remedy: Remedy) -> str:
    """Say how far a move must go, or why it does not help."""
    if remedy.figures is None:
        if remedy.foretold_m is None:
            return "does not help: it does not raise the rotors over the centre of gravity"
        return "no room: the pack would touch the ground"
    if remedy.found_m is not None:
        return f"by {centimetres(remedy.found_m)}"
    return f"not even by {centimetres(remedy.most_m)}"


def advice_sentence(answer: HeadMap, advice: HeadAdvice) -> str:
    """Say what would carry a head that cannot be carried now."""
    who = "this head" if advice.is_present else f"a head of {fixed(advice.mass_kg, 2)} kg"
    if not advice.remedies:
        return (
            f"Thrust is what {who} lacks, and moving pack or rotors gives none: make the craft"
            " lighter or look at 'gustworthy power CRAFT.yaml --propellers'."
        )
    found = [
        f"{remedy.move} by {centimetres(remedy.found_m)}"
        for remedy in advice.remedies
        if remedy.found_m is not None
    ]
    if not found:
        return (
            f"No move of pack or rotors that was tried carries {who}: it does not pass"
            f" {why_failed(answer, advice.before)}."
        )
    several = (
        "any one of these, each run again through all gates"
        if len(found) > 1
        else ("this, run again through all gates")
    )
    joined = " or ".join([", ".join(found[:-1]), found[-1]] if len(found) > 1 else found)
    return f"To carry {who}: {joined} ({several})."


def head_findings(answer: HeadMap) -> tuple[str, ...]:
    """Give what else is worth saying, a sentence each."""
    found: list[str] = []
    first = next((f for row in answer.figures for f in row if f.failed is None), None)
    if first is None:
        found.append("No head on the whole map passes.")
    if answer.heaviest_kg is None:
        found.append(
            "Not even the lightest head that was tried at this height passes, so the weight of the"
            " head is not what is wrong."
        )
    if answer.passes:
        seen = sorted({f.failed for row in answer.figures for f in row if f.failed is not None})
        names = [GATE_NAMES[gate] for gate in seen]
        if names:
            found.append(f"Elsewhere on the map these give out first: {listed(names)}.")
    if answer.advice is not None:
        found.append(advice_sentence(answer, answer.advice))
    found.extend(pitch_sentences(answer.zero, has_fabric=bool(answer.craft.spec.drapes)))
    return tuple(found)


def head_assumptions(answer: HeadMap) -> tuple[str, ...]:
    """Give what the figures rest on."""
    study = answer.study
    scenario = answer.scenario.spec
    required = study.required
    return (
        f"Lift: usable thrust over weight and download at least {fixed(LEAST_THRUST_TO_WEIGHT, 1)}"
        " (common practice, no source); the download is kept as the share of the weight that it is"
        f" now, {percent(study.download_share, 1)} %.",
        f"Pitch authority: rotors that tilt stand {centimetres(LEAST_LEVER_M, 0)} above the centre"
        " of gravity after its spread is taken off; elsewhere the busiest rotor has the same spare"
        " thrust as all together (common practice, no source).",
        f"Margins: {fixed(required.gain_db, 0)} dB and {degrees(required.phase_rad)} degrees in"
        " roll, pitch and yaw in still air at full pack, from the linear model of each craft.",
        f"The day's wind: at most {study.failures_allowed} of {study.flights} flights of"
        f" {fixed(scenario.duration_s, 0)} s in {wind_words(answer)} fail, which shows"
        f" {percent(scenario.limits.success)} % at {percent(scenario.limits.confidence)} %"
        " confidence; all crafts meet the same gusts. Flying stops when it is decided.",
        "A later gate is looked at only where the earlier ones are passed; within a cell of the map"
        " one head was tried, at its middle node.",
        "Head and hinge move up together; posts, spars and wires weigh nothing more when rotors and"
        " pack move; gains left out of the craft file are worked out anew for every craft.",
    )
