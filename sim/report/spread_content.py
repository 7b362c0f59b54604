"""What `gustworthy spread` says in sentences: what passes, what matters, what is left."""

from __future__ import annotations

from collections import Counter

from sim.analysis.headline import Outcome
from sim.analysis.measurement_value import WRONG_ENOUGH
from sim.analysis.spread_result import SpreadAnswer
from sim.report.number_text import fixed, listed, percent, with_unit
from sim.report.section import Picture
from sim.report.spread_words import (
    accuracy_text,
    amount_text,
    change_text,
    index_text,
    share_range,
    shown_as,
)


def spread_subtitle(answer: SpreadAnswer) -> str:
    """Say what was sampled."""
    count = len(answer.unsure)
    return (
        f"{len(answer.headlines)} crafts within the spread of {count} figure{'s' * (count > 1)} of"
        f" the file (seed {answer.seed}), in the scenario '{answer.scenario.spec.name}'"
    )


def spread_verdict(answer: SpreadAnswer) -> str:
    """Give the verdict as a sentence without its full stop."""
    everything = answer.all_gates
    limits = answer.scenario.spec.limits
    passing = f"{everything.passes} of {everything.crafts} crafts pass every gate"
    sure = (
        f"with {percent(limits.confidence)} % confidence at least {percent(answer.sure, 1)} % of"
        f" such crafts would, and {percent(limits.success)} % are asked for"
    )
    return f"{passing}; {sure}"


def spread_findings(answer: SpreadAnswer) -> tuple[str, ...]:
    """Give what else is worth saying, a sentence or two each."""
    return (
        *_gates(answer),
        *_outcomes(answer),
        *_what_matters(answer),
        measurement_sentence(answer),
        *_guard(answer),
    )


def _gates(answer: SpreadAnswer) -> list[str]:
    """Name the gates that some craft fails by its figure, the most often failed first."""
    found: list[tuple[int, str]] = []
    for chance in answer.chances:
        gate = chance.gate
        if gate is None or gate.figure is None:
            continue
        failing = [one for one in answer.headlines if not gate.passes(one)]
        if all(gate.left(one) is None for one in failing):
            continue
        words = (
            f"{len(failing)} of {chance.crafts} crafts fail at: {gate.name} (chance of passing"
            f" {share_range(chance.lower, chance.upper)})."
        )
        found.append((-len(failing), words))
    return [words for _, words in sorted(found)]


def _outcomes(answer: SpreadAnswer) -> list[str]:
    counts = Counter(one.outcome for one in answer.headlines if one.outcome != Outcome.HOVERS)
    if not counts:
        return []
    said = listed([f"{count} ({outcome})" for outcome, count in counts.most_common()])
    return [
        f"Crafts without a stable hover, of {len(answer.headlines)}: {said}. They fail, and count"
        " at the bad end of every figure that they lack."
    ]


def _what_matters(answer: SpreadAnswer) -> list[str]:
    limiting = answer.limiting
    if limiting is None:
        return []
    entry = next(one for one in answer.importance if one.figure.key == limiting.key)
    nearest = f"Nearest to its limit is the {limiting.name}"
    if not entry.told:
        why = entry.why_not or "nothing stands out from chance"
        return [f"{nearest}; what it depends on is not told: {why}."]
    figure, indices = entry.told[0]
    return [f"{nearest}; {figure.name} causes {index_text(indices)} of its variance."]


def measurement_sentence(answer: SpreadAnswer) -> str:
    """Say which single measurement narrows the verdict most."""
    limiting = answer.limiting
    if answer.all_gates.passes == 0:
        return "No measurement would change the verdict: not one of the crafts passes."
    if not answer.measurements or limiting is None:
        return f"Which measurement would help most is not told: {answer.why_no_measurement}."
    best = answer.measurements[0]
    what = f"{best.measurement.words} ({best.figure.name}, to {accuracy_text(best)})"
    if best.wrong_before >= WRONG_ENOUGH:
        return (
            f"Measure next: {what}. The verdict is now wrong with a chance of"
            f" {percent(best.wrong_before, 1)} %, afterwards with about"
            f" {percent(best.wrong_after, 1)} %."
        )
    shown = shown_as(limiting)
    before, after = (
        with_unit(fixed(shown.factor * value, shown.places + 1), shown.unit)
        for value in (best.deviation_before, best.deviation_after)
    )
    return (
        "The verdict is sure within the spreads given. To know the"
        f" {limiting.name} better, measure next: {what}; its standard deviation goes from {before}"
        f" to {after}."
    )


def _guard(answer: SpreadAnswer) -> list[str]:
    if not answer.guard:
        return []
    failing = [
        chance.gate.name for chance in answer.chances if chance.gate and not chance.as_written
    ]
    if failing:
        return [
            "No weight and no shift of the CG is left: the craft as written fails at"
            f" {listed(failing)}."
        ]
    said = []
    for row in answer.guard:
        first = row.first
        if first is not None:
            left = amount_text(row.change, first.amount)
            said.append(f"{left} {change_text(row.change)} ({first.gate.name})")
    if not said:
        return ["Nothing that was tried of weight and shift of the CG makes a gate fail."]
    return [f"Left before the first gate fails: {', '.join(said)}."]


def spread_pictures(answer: SpreadAnswer) -> tuple[Picture, ...]:
    """Give the pictures with their words."""
    found = [
        Picture(
            "distributions",
            "What the figures may be",
            f"{len(answer.headlines)} crafts. Solid line: the craft as written; dashed: the limit.",
        )
    ]
    if any(entry.told for entry in answer.importance):
        words = Picture(
            "importance",
            "Which unknown matters most",
            "Share of each figure's variance that an unknown causes, alone or together with others;"
            " the thin line is its 95 % interval.",
        )
        found.insert(0, words)
    return tuple(found)


def spread_assumptions(answer: SpreadAnswer) -> tuple[str, ...]:
    """Give what the figures rest on."""
    rest = (
        "A plus_minus counts as two standard deviations of a normal distribution, cut off where the"
        " craft file's range ends; figures vary independently, but equal propellers, motors, speed"
        " controllers and tilts err together.",
        "What carries no plus_minus is taken as sure: drag of parts, wash, servo data and all laws"
        " of the models themselves among them.",
        "The flight controller keeps gains, mixer and thrust curve that it has for the craft as"
        " written and learns only the weight; margins are for still air and the file's"
        " charge.",
        *_wind(answer),
        "Crafts are scrambled Sobol points, spread more evenly than by chance; the confidence"
        " bounds (Clopper and Pearson) are those of independent draws, which is rather too wide.",
        "Shares of the variance: total Sobol indices (Saltelli 2010) of a polynomial through the"
        " crafts. 'fit' is the share of the variance that the polynomial tells of crafts it has not"
        " seen; below 80 % no index is told, nor one that an input without effect reaches. Their"
        " interval is from polynomials fitted to crafts drawn anew.",
        "The worth of a measurement is expected from the same polynomials; its accuracy is what"
        " ordinary instruments and some care reach (common practice, no source).",
    )
    if not answer.guard:
        return rest
    return (
        *rest,
        "Weight left: a small thing fixed at the CG or the tail rotor, or a heavier head of the"
        " same form. CG left: mass and inertia stay, only the CG moves.",
    )


def _wind(answer: SpreadAnswer) -> list[str]:
    if any(chance.gate is not None and chance.gate.key == "wind" for chance in answer.chances):
        return []
    return [
        "The wind is judged by the static bound alone, which no wind limit exceeds: gusts were not"
        " flown."
    ]
