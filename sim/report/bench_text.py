"""The reconciliation of bench readings for a terminal."""

from __future__ import annotations

from typing import Final

from rich.console import Console
from rich.text import Text

from sim.analysis.bench import BenchAnswer, Explained, Running
from sim.analysis.bench_causes import CauseKind
from sim.report.bench_words import (
    explanation_text,
    implied_text,
    measurement_text,
    misfit_text,
)
from sim.report.section import Table, TableRow
from sim.report.terminal import printable, shown_text, table_grid

PAIRS_SHOWN: Final = 4
MEASUREMENTS_SHOWN: Final = 3
_HOW: Final = (
    "Weight: prior times evidence. Every kind of cause weighs the same beforehand, 'as the file"
    " says' three times as much, a pair a twentieth; evidence is Laplace's approximation with the"
    " file's spreads as priors. Misfit: sum of squares in standard deviations. Within 10 to 1 of"
    " the first, explanations are called not told apart. plus_minus is two standard deviations."
)


def _table(caption: str, rows: list[Explained]) -> Table:
    return Table(
        caption=caption,
        columns=("weight", "explanation", "misfit", "possible", "thrust, N", "cured, N"),
        rows=tuple(
            TableRow(
                (
                    f"{100.0 * item.weight:.1f} %",
                    explanation_text(item.fit),
                    f"{item.fit.misfit:.1f}",
                    "yes" if item.fit.is_possible else "no",
                    f"{item.now.thrust_n:.1f}",
                    f"{item.cured.thrust_n:.1f}",
                )
            )
            for item in rows
        ),
        folded=True,
    )


def running_text(running: Running) -> str:
    """Give full throttle in one phrase."""
    return (
        f"{running.thrust_n:.1f} N, {running.watts_w:.0f} W, {running.amps_a:.1f} A at"
        f" {running.volts_v:.2f} V"
    )


def bench_sentences(answer: BenchAnswer) -> tuple[str, ...]:
    """Give the findings, the most important first."""
    leader, said = answer.leader, []
    said += [f"Inconsistent: {words}." for words in answer.inconsistent]
    rivals = answer.ranked.rivals
    if not leader.explains:
        said.append(
            "No explanation tried reaches every reading within 3 standard deviations; the nearest,"
            f" not to be relied on: {explanation_text(leader.fit)}."
        )
    elif answer.ranked.told_apart:
        said.append(f"Most likely {explanation_text(leader.fit)}.")
    else:
        names = "; or ".join(explanation_text(fit) for fit in rivals)
        said.append(f"These cannot be told apart by the readings, the likeliest first: {names}.")
    said.append(
        f"Full throttle by the file: {running_text(answer.as_written)}; as it is:"
        f" {running_text(leader.now)}; cured: {running_text(leader.cured)}."
    )
    if leader.fit.causes:
        said.append("Cure: " + "; ".join(cause.cure for cause in leader.fit.causes) + ".")
    elif answer.craft.controller.reserved > 0.0:
        share = 100.0 * answer.craft.controller.reserved
        said.append(f"That already holds the {share:.3g} % of throttle that the file withholds.")
    said += _against_sag(answer)
    said += _again(answer)
    return tuple(said)


def _against_sag(answer: BenchAnswer) -> list[str]:
    """Say why the pack is not to blame, where it is not: builders suspect it first."""
    odds = 10.0 * next(e.weight for e in answer.explained if e.fit is answer.ranked.leader)
    for item in answer.explained:
        kinds = [cause.kind for cause in item.fit.causes]
        if kinds == [CauseKind.PACK_SAG] and item.weight * 100.0 < odds:
            volts = implied_text(item, answer)
            why = f"it would give {volts}" if volts else misfit_text(item, answer)
            return [f"Pack sag does not explain it: {why}."]
    return []


def _again(answer: BenchAnswer) -> list[str]:
    again = answer.learned_again
    if again is None:
        return []
    change = again.after.watts_w - again.before.watts_w
    word = "dropped" if change < 0.0 else "rose"
    text = (
        f"Since the end points were learned again, full throttle {word} from"
        f" {again.before.watts_w:.0f} W to {again.after.watts_w:.0f} W: full command now delivers"
        f" {100.0 * again.delivered:.1f} % of full volts."
    )
    if change < 0.0:
        text += " They learned a lower maximum than before: learn them at the full command."
    return [text]


def bench_text(answer: BenchAnswer, console: Console) -> str:
    """Write the whole answer as text.

    Parameters
    ----------
    answer : BenchAnswer
    console : Console
        From `sim.report.terminal.make_console`.

    Returns
    -------
    str
        Lines for a terminal.
    """
    singles = [item for item in answer.explained if len(item.fit.causes) < 2]  # noqa: PLR2004
    pairs = [item for item in answer.explained if len(item.fit.causes) == 2]  # noqa: PLR2004
    with console.capture() as captured:
        console.print(Text(printable(f"{answer.craft.name}: where did the watts go?"), "bold"))
        for sentence in bench_sentences(answer):
            console.print(Text(printable(sentence)))
        console.print()
        console.print(table_grid(_table("Each cause alone", singles)))
        if pairs:
            console.print()
            console.print(table_grid(_table("The likeliest pairs", pairs[:PAIRS_SHOWN])))
        if answer.measurements:
            rival = answer.ranked.runner_up
            assert rival is not None
            console.print()
            first, second = (explanation_text(f) for f in (answer.ranked.leader, rival))
            console.print(Text(printable(f"Measure next, to tell apart first: {first}")))
            console.print(Text(printable(f"and second: {second}")))
            for item in answer.measurements[:MEASUREMENTS_SHOWN]:
                console.print(Text(printable("- " + measurement_text(item, answer))))
        console.print()
        console.print(Text(printable(_HOW)))
    return shown_text(captured.get())
