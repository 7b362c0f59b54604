"""The order in which gains are tried on the day, and what the computed margins say to look for."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, final

from sim.analysis.condition_margins import ConditionMargins
from sim.analysis.tune_space import GainSpace
from sim.params.record import FloatArray

START_SHARE: Final = 0.5
LEAST_FACTOR: Final = 2.0
_HZ: Final = 1.0 / (2.0 * math.pi)
_STEPS: Final = (
    ("roll rate", "roll", ("rate", "roll")),
    ("pitch rate", "pitch", ("rate", "pitch")),
    ("yaw rate", "yaw", ("rate", "yaw")),
    ("levelling roll", "roll", ("level", "roll")),
    ("levelling pitch", "pitch", ("level", "pitch")),
    ("levelling yaw", "yaw", ("level", "yaw")),
    ("height", "height", ("height",)),
    ("position", "north", ("position",)),
)


@final
@dataclass(frozen=True)
class PlanStep:
    """One step of tuning by hand.

    Attributes
    ----------
    name : str
        What is set, such as "roll rate".
    indices : tuple of int
        Variables of the space that it sets, in the order in which they are raised.
    factor_up : float
        [-] Of the loop's gain, at which it would be unstable; inf when none is.
    wobble_hz : float or None
        [Hz] At which it would then swing.
    slow_hz : float or None
        [Hz] At which it would swing with too little gain; None when no gain is too little.
    factor_down : float
        [-] Likewise; 0 when no gain is too little.
    """

    name: str
    indices: tuple[int, ...]
    factor_up: float
    wobble_hz: float | None
    slow_hz: float | None
    factor_down: float


def hand_plan(
    space: GainSpace, values: FloatArray, margins: ConditionMargins
) -> tuple[PlanStep, ...]:
    """Give the steps: body rates, levelling, height, then place; inner loops before outer ones.

    Parameters
    ----------
    space : GainSpace
    values : ndarray, shape (size,)
        The gains to end at, SI units.
    margins : ConditionMargins
        With those gains.
    """
    found = []
    for name, axis, path in _STEPS:
        indices = tuple(
            k
            for k, v in enumerate(space.variables)
            if v.path[: len(path)] == path and values[k] > 0
        )
        loop = margins.margins[axis]
        up, down = loop.gain_up, loop.gain_down
        found.append(
            PlanStep(
                name,
                indices,
                math.inf if up is None else up.value,
                None if up is None else _hertz(up.frequency_rad_s),
                None if down is None or down.value == 0.0 else _hertz(down.frequency_rad_s),
                0.0 if down is None else down.value,
            )
        )
    return tuple(found)


def _hertz(frequency_rad_s: float | None) -> float | None:
    return None if not frequency_rad_s else frequency_rad_s * _HZ
