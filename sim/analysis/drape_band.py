"""How unsure the loads of fabric are: each thing that is not known moved both ways, one by one."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, final

from sim.analysis.drape_load import drape_loads, hung_fabric
from sim.analysis.drape_unsure import unsure_things
from sim.analysis.fabric_watch import steady_wind_flight, watch_fabric
from sim.pack.craft import PackedCraft
from sim.params.record import FloatArray
from sim.spec.airframe import CraftSpec
from sim.spec.scenario import ScenarioSpec

HELD: Final = "held for comparison"


@final
@dataclass(frozen=True)
class BandMove:
    """What one unsure thing does when it is moved to either end of its range.

    Attributes
    ----------
    what, range_words, source : str
        What it is, how far it is moved and where that range comes from.
    download_n, day_download_n, day_side_force_n : tuple of float
        [N] Change at the low and at the high end, in still air and in the day's wind.
    """

    what: str
    range_words: str
    source: str
    download_n: tuple[float, float]
    day_download_n: tuple[float, float]
    day_side_force_n: tuple[float, float]

    @property
    def largest_n(self) -> float:
        """The largest change [N], whichever it is."""
        changes = (*self.download_n, *self.day_download_n, *self.day_side_force_n)
        return max(map(abs, changes))


@final
@dataclass(frozen=True)
class Band:
    """A force with the range in which it may lie.

    Attributes
    ----------
    value, low, high : float
        [N] The ends are the roots of the sum of squares of all moves to either side.
    """

    value: float
    low: float
    high: float


@final
@dataclass(frozen=True)
class LoadBands:
    """How unsure download and side force are.

    Attributes
    ----------
    download, day_download, day_side_force : Band
        [N] Of all fabric in still air, and in the day's wind.
    moves : tuple of BandMove
        What the bands are made of, the largest first.
    """

    download: Band
    day_download: Band
    day_side_force: Band
    moves: tuple[BandMove, ...]


def load_bands(
    case: tuple[CraftSpec, PackedCraft],
    scenario: ScenarioSpec,
    downwind: FloatArray,
    flown_n: tuple[float, float, float],
) -> LoadBands:
    """Move each unsure thing to either end of its range, with the body held level.

    Parameters
    ----------
    case : tuple of CraftSpec and PackedCraft
        With fabric.
    scenario : ScenarioSpec
        Its height and wind.
    downwind : ndarray, shape (3,)
        [-] Level unit vector along which the wind blows.
    flown_n : tuple of float
        [N] Download in still air, download and side force in the day's wind, as flown; the bands
        are laid about them.
    """
    base = _held_loads(case, scenario, downwind)
    moves: list[BandMove] = []
    for unsure in unsure_things(case[0]):
        low, high = (_held_loads(end(*case), scenario, downwind) for end in unsure.ends)
        down, day_down, side = ((low[i] - base[i], high[i] - base[i]) for i in range(len(base)))
        moves.append(BandMove(unsure.what, unsure.range_words, unsure.source, down, day_down, side))
    moves.sort(key=lambda move: -move.largest_n)
    return LoadBands(
        _band(flown_n[0], [move.download_n for move in moves]),
        _band(flown_n[1], [move.day_download_n for move in moves]),
        _band(flown_n[2], [move.day_side_force_n for move in moves]),
        tuple(moves),
    )


def _held_loads(
    case: tuple[CraftSpec, PackedCraft], scenario: ScenarioSpec, downwind: FloatArray
) -> tuple[float, float, float]:
    """Give download in still air, and download and side force in the day's wind [N]."""
    craft, packed = case
    still = watch_fabric(packed, steady_wind_flight(packed, scenario, 0.0), hold=HELD)
    hung = hung_fabric(craft, packed, still)
    download = drape_loads(hung, still, downwind)[1].download_n
    if scenario.wind.mean_m_s <= 0.0:
        return download, download, 0.0
    flight = steady_wind_flight(packed, scenario, scenario.wind.mean_m_s)
    blown = watch_fabric(packed, flight, hold=HELD)
    day = drape_loads(hung, blown, downwind)[1]
    return download, day.download_n, day.side_force_n


def _band(value: float, moves: list[tuple[float, float]]) -> Band:
    below = math.sqrt(sum(min(*ends, 0.0) ** 2 for ends in moves))
    above = math.sqrt(sum(max(*ends, 0.0) ** 2 for ends in moves))
    return Band(value, value - below, value + above)
