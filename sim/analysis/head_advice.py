"""How far to lower the pack, raise or spread the rotors so that a head passes: foretold, then run.

What is needed is foretold from how pitch authority changes with each move (to first order, up to
what the heaviest head that passes has). Every answer was then run through all gates, and its
figures are those of that run; where the foretold move falls short, longer ones are tried.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass
from typing import Final, Literal, final

from sim.analysis.head_change import (
    Change,
    with_head,
    with_pack_lowered,
    with_rotors_raised,
    with_rotors_spread,
)
from sim.analysis.head_gates import Gate, GateFigures, HeadStudy, authority_left, gate_figures
from sim.mass.from_spec import mass_properties
from sim.spec.airframe import CraftSpec

Move = Literal["lower the pack", "raise the rotors", "spread the rotors"]

MOST_MOVE_M: Final = 0.40
ABOVE_GROUND_M: Final = 0.02
ROUND_M: Final = 0.005
FINE_M: Final = 0.01
TRIED_M: Final = 0.01
FIRST_GUESS_M: Final = 0.04
SPARE: Final = 1.05
LONGER: Final = 1.7
LEAST_SLOPE: Final = 1e-3
HEAVIER: Final = 1.2
BELOW_LIFT: Final = 0.98

Progress = Callable[[str, float | None], None]


@final
@dataclass(frozen=True)
class Remedy:
    """One move, and what it does.

    Attributes
    ----------
    move : Move
    foretold_m : float or None
        [m] Needed to first order; None when the move does not change pitch authority for the good.
    most_m : float
        [m] The longest that was tried or can be.
    found_m : float or None
        [m] The shortest tried that passes all gates; None when none does.
    figures : GateFigures or None
        Of the run at `found_m`, or of the longest that was run when none passes; None when nothing
        was run.
    """

    move: Move
    foretold_m: float | None
    most_m: float
    found_m: float | None
    figures: GateFigures | None


@final
@dataclass(frozen=True)
class HeadAdvice:
    """How a head can be carried that cannot be carried now.

    Attributes
    ----------
    mass_kg, up_m : float
        Of that head.
    is_present : bool
        It is the one in the file; else a heavier one.
    before : GateFigures
        With that head and nothing moved.
    remedies : tuple of Remedy
        Empty when thrust is what is missing, which no move gives.
    """

    mass_kg: float
    up_m: float
    is_present: bool
    before: GateFigures
    remedies: tuple[Remedy, ...]


MOVES: Final[tuple[tuple[Move, Change], ...]] = (
    ("lower the pack", with_pack_lowered),
    ("raise the rotors", with_rotors_raised),
    ("spread the rotors", with_rotors_spread),
)


def _most_m(craft: CraftSpec, move: Move) -> float:
    """Give the longest move [m]; a pack stays above the ground on which the feet stand."""
    if move != "lower the pack" or craft.legs is None:
        return MOST_MOVE_M
    ground = min(foot.up_m.value for foot in craft.legs.feet)
    room = craft.battery.place.up_m.value - ground - ABOVE_GROUND_M
    return min(max(room, 0.0), MOST_MOVE_M)


def _left(study: HeadStudy, craft: CraftSpec) -> float:
    return authority_left(study, craft, mass_properties(craft, with_drape=True))


def foretold_move_m(
    study: HeadStudy, craft: CraftSpec, change: Change, goal: float | None
) -> float | None:
    """Give how far [m] to move until `authority_left` is `goal`, to first order; None for never.

    None as well without a goal: when no head passes, none shows how much authority would do.
    """
    if goal is None:
        return None
    now = _left(study, craft)
    slope = (_left(study, change(craft, TRIED_M)) - now) / TRIED_M
    if slope <= LEAST_SLOPE:
        return None
    return max(goal - now, 0.0) / slope


def _rounded_up(move_m: float) -> float:
    return ROUND_M * math.ceil(move_m / ROUND_M - 1e-9)


def _remedy(
    study: HeadStudy, craft: CraftSpec, move: Move, change: Change, failed: Gate, goal: float | None
) -> Remedy:
    """Foretell one move and run it; run longer ones until all gates are passed, then close in."""
    most = _most_m(craft, move)
    foretold = foretold_move_m(study, craft, change, goal)
    if most < ROUND_M or (failed == "authority" and foretold is None):
        return Remedy(move, foretold, most, None, None)
    guess = FIRST_GUESS_M if foretold is None else max(SPARE * foretold, ROUND_M)
    tried = min(_rounded_up(guess), most)
    short = 0.0
    figures = gate_figures(study, change(craft, tried))
    while not figures.passes and tried < most:
        short, tried = tried, min(_rounded_up(LONGER * tried), most)
        figures = gate_figures(study, change(craft, tried))
    if not figures.passes:
        return Remedy(move, foretold, most, None, figures)
    while tried - short > FINE_M + ROUND_M and short > 0.0:
        middle = _rounded_up(0.5 * (short + tried))
        between = gate_figures(study, change(craft, middle))
        if between.passes:
            tried, figures = middle, between
        else:
            short = middle
    return Remedy(move, foretold, most, tried, figures)


def head_advice(
    study: HeadStudy,
    present: GateFigures,
    heaviest: GateFigures | None,
    heaviest_kg: float | None,
    gives_out: Gate | None,
    lift_end_kg: float | None,
    *,
    pool: Executor,
    progress: Progress,
) -> HeadAdvice | None:
    """Give advice for the present head if it does not pass, else for one a fifth too heavy.

    Parameters
    ----------
    study : HeadStudy
    present, heaviest : GateFigures
        Of the craft as it is, and with the heaviest head that passes (None when none does).
    heaviest_kg : float or None
        [kg]
    gives_out : Gate or None
        What gives out beyond it.
    lift_end_kg : float or None
        [kg] The heaviest head that leaves enough thrust.
    pool : Executor
        Threads to run on.
    progress : callable
        Told a sentence and a share.

    Returns
    -------
    HeadAdvice or None
        None when nothing gave out as far as the map goes.
    """
    head = study.craft.head
    assert head is not None
    up = head.place.up_m.value
    mass, before = head.mass_kg.value, present
    if present.passes:
        if heaviest_kg is None or gives_out is None:
            return None
        mass = HEAVIER * heaviest_kg
        if lift_end_kg is not None and gives_out != "lift":
            mass = min(mass, max(BELOW_LIFT * lift_end_kg, heaviest_kg))
        progress("what a heavier head would need", None)
        before = pool.submit(gate_figures, study, with_head(study.craft, mass, up)).result()
        if before.passes:
            return None
    failed = before.failed
    assert failed is not None
    if failed == "lift":
        return HeadAdvice(mass, up, present.passes is False, before, ())
    goal: float | None = 0.0
    if failed in {"margins", "wind"}:
        goal = None if heaviest is None else heaviest.authority_left
    craft = with_head(study.craft, mass, up)
    progress(f"what carries a head of {mass:.2f} kg", None)
    futures = [
        pool.submit(_remedy, study, craft, move, change, failed, goal) for move, change in MOVES
    ]
    return HeadAdvice(
        mass, up, not present.passes, before, tuple(future.result() for future in futures)
    )
