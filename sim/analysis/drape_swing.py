"""How the fabric swings about its still-air shape: modes of the linear model, drape by drape."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, final

from sim.analysis.chart import Chart
from sim.analysis.drape_load import drape_panels
from sim.analysis.linearise import linearise
from sim.analysis.modes import Mode, modes
from sim.analysis.trim import Trim
from sim.spec.airframe import CraftSpec

FABRIC: Final = "drape"
LEAST_SHARE: Final = 0.5
SHOWN: Final = 6
NEAR_FREQUENCY: Final = 1.05
NEAR_DAMPING: Final = 1.3
NUMBERS_OF_A_PARTICLE: Final = 6


def named_groups(craft: CraftSpec, chart: Chart) -> tuple[str, ...]:
    """Give what each coordinate belongs to, with the name of its drape where it is fabric's."""
    names = [
        drape.name
        for drape, panels in zip(craft.drapes, drape_panels(craft), strict=True)
        for _ in range(NUMBERS_OF_A_PARTICLE * (panels.stop - panels.start))
    ]
    rest = iter(names)
    return tuple(next(rest) if group == FABRIC else group for group in chart.groups)


@final
@dataclass(frozen=True)
class FabricSwing:
    """Swings of fabric that look the same: those of neighbouring strips, say.

    Attributes
    ----------
    mode : Mode
        The one that takes longest to die away.
    count : int
        How many there are.
    """

    mode: Mode
    count: int


def fabric_swings(craft: CraftSpec, trim: Trim) -> tuple[FabricSwing, ...]:
    """Give the slowest swings in which fabric has the greater share.

    Parameters
    ----------
    craft : CraftSpec
        As read.
    trim : Trim
        Its hover; the damping is that of the swing at which the trim makes drag linear.

    Returns
    -------
    tuple of FabricSwing
        By rising frequency, at most `SHOWN`.

    Raises
    ------
    NotLinear
        If the step has no usable derivative there.
    """
    model = linearise(trim.crafts, trim.flights, trim.state, trim.chart)
    names = {drape.name for drape in craft.drapes}
    found = [
        mode
        for mode in modes(model.a, model.period_s, named_groups(craft, trim.chart))
        if mode.frequency_hz > 0.0
        and sum(share for group, share in mode.shares if group in names) >= LEAST_SHARE
    ]
    return alike(found)[:SHOWN]


def alike(found: list[Mode]) -> tuple[FabricSwing, ...]:
    """Put swings together that move the same with nearly the same frequency and damping.

    Parameters
    ----------
    found : list of Mode
        In any order.

    Returns
    -------
    tuple of FabricSwing
        By rising frequency.
    """
    groups: list[list[Mode]] = []
    for mode in sorted(found, key=lambda mode: (-mode.rate_1_s, mode.frequency_hz)):
        for group in groups:
            first = group[0]
            near = max(first.frequency_hz, mode.frequency_hz) < NEAR_FREQUENCY * min(
                first.frequency_hz, mode.frequency_hz
            )
            damped = abs(mode.rate_1_s) < NEAR_DAMPING * abs(first.rate_1_s)
            if near and damped and mode.moves == first.moves:
                group.append(mode)
                break
        else:
            groups.append([mode])
    groups.sort(key=lambda group: group[0].frequency_hz)
    return tuple(FabricSwing(group[0], len(group)) for group in groups)
