"""Spread: many crafts within the spreads of one file, and what they say of its verdict."""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from typing import Final

from sim.analysis.craft_pool import computed
from sim.analysis.headline import Gate, Headline, gates_of
from sim.analysis.mass_guard import Change, GuardRow, changes_of, guard_row
from sim.analysis.sampled_craft import Surroundings, headline, surroundings
from sim.analysis.spread_result import SpreadAnswer
from sim.analysis.spread_sample import figure_values, normal_scores
from sim.analysis.spread_summary import Sampled, summarised
from sim.analysis.wind_limit import QUICK, Effort
from sim.errors import Fault, InputFaults
from sim.spec.airframe import CraftSpec
from sim.spec.files import LoadedCraft, LoadedScenario
from sim.spec.unsure import unsure_figures, with_figures

CRAFTS: Final = 256
LEAST_CRAFTS: Final = 16

Progress = Callable[[str, float | None], None]


def _silent(_sentence: str, _share: float | None) -> None:
    """Say nothing."""


def spread(
    craft: LoadedCraft,
    scenario: LoadedScenario,
    *,
    crafts: int = CRAFTS,
    seed: int = 1,
    workers: int | None = 1,
    guard: bool = True,
    flies: bool = False,
    effort: Effort = QUICK,
    progress: Progress | None = None,
) -> SpreadAnswer:
    """Compute crafts within the spreads of a file, and say what that means for its verdict.

    Parameters
    ----------
    craft, scenario : as loaded
    crafts : int
        How many, `LEAST_CRAFTS` at least.
    seed : int
        Craft number k of a seed is always the same.
    workers : int or None
        Processes to use, None for one a core. A script that asks for more than one must guard its
        own start with `if __name__ == "__main__"`, as each process imports it.
    guard : bool
        Whether weight and shift of the CG left before each gate fails are searched, too.
    flies : bool
        Whether every craft's wind limit is found by gust flights; this takes 10 s to a minute each.
    effort : Effort
        How much is flown for each of them.
    progress : callable, optional
        Told a sentence and the share done (0 to 1, or None).

    Raises
    ------
    InputFaults
        When the craft cannot be used, or nothing about it is unsure.
    """
    began = time.monotonic()
    tell = progress or _silent
    unsure = unsure_figures(craft.spec)
    if not unsure:
        what = "nothing in this file carries a spread (plus_minus), so there is nothing to sample"
        raise InputFaults((Fault(craft.spec.name, 0, 0, what),))
    if crafts < LEAST_CRAFTS:
        message = f"{crafts} crafts show nothing; at least {LEAST_CRAFTS}"
        raise ValueError(message)
    tell("the craft as written", None)
    around = surroundings(craft.spec, scenario.spec)
    flown = effort if flies else None
    as_written = headline(around, craft.spec, effort=flown)
    # One more input than there are unsure figures: without any effect, it shows what noise does.
    scores = normal_scores(crafts, len(unsure) + 1, seed)
    values = figure_values(unsure, scores)
    judged = gates_of(craft.spec, scenario.spec)
    changes = changes_of(craft.spec) if guard else ()
    # What takes longest comes first, so that no process is left with it at the end.
    tasks: list[Task] = [(change, judged) for change in changes]
    tasks += [with_figures(craft.spec, unsure, row) for row in values]
    found = computed(
        around,
        partial(_computed, effort=flown),
        tasks,
        workers=workers,
        tell=_counting(tell, len(tasks)),
    )
    tell("which unknown matters", None)
    return summarised(
        Sampled(
            craft,
            scenario,
            unsure,
            seed,
            scores,
            values,
            as_written,
            headlines=tuple(one for one in found if isinstance(one, Headline)),
            guard=tuple(one for one in found if isinstance(one, GuardRow)),
        ),
        gates_of(craft.spec, scenario.spec, flown=flies),
        began_s=began,
    )


Task = CraftSpec | tuple[Change, tuple[Gate, ...]]
"""A craft whose figures are wanted, or a change of which it is wanted how much is left."""


def _computed(
    around: Surroundings, task: Task, *, effort: Effort | None = None
) -> Headline | GuardRow:
    if isinstance(task, CraftSpec):
        return headline(around, task, effort=effort)
    return guard_row(around, task)


def _counting(tell: Progress, count: int) -> Callable[[int], None]:
    """Give a function that tells how many are done; who shows it says how long the rest takes."""

    def counted(done: int) -> None:
        tell(f"{done} of {count} computed", done / count)

    return counted
