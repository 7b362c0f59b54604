"""Margins of a craft in still air and along conditions; the worst one is the headline."""

from __future__ import annotations

import cmath
import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import final

from sim.analysis.condition import STILL_SWING_M_S, Condition
from sim.analysis.condition_margins import ConditionMargins, margins_at
from sim.analysis.excited_swing import excited_swing_m_s
from sim.analysis.loop_breaks import ATTITUDE_AXES, AXES
from sim.analysis.margin_conditions import (
    calm_conditions,
    other_fabric,
    still_condition,
    wind_speeds_m_s,
    windy_conditions,
)
from sim.analysis.modes import Mode, telling_modes
from sim.analysis.required_margins import RequiredMargins, required_margins
from sim.analysis.steady_conditions import packed_for, steady_flight_of
from sim.analysis.trim import Trim, find_trim
from sim.errors import NotLinear, NoTrim
from sim.pack.craft import PackedCraft
from sim.pack.flight import day_air
from sim.spec.files import LoadedCraft, LoadedScenario

Progress = Callable[[str, float | None], None]


@final
@dataclass(frozen=True)
class MarginCase:
    """One condition and what was found in it.

    Attributes
    ----------
    condition : Condition
    found : ConditionMargins or None
        None when there is no steady flight, or no derivative there.
    reason : str
        Why not, as a sentence without its full stop; empty when found.
    """

    condition: Condition
    found: ConditionMargins | None
    reason: str

    @property
    def shortfall(self) -> float:
        """[-] Required over found margin; nan when nothing was found."""
        return math.nan if self.found is None else self.found.shortfall

    @cached_property
    def modes(self) -> tuple[Mode, ...]:
        """Natural motions of the steady flight; none when it was not found."""
        if self.found is None:
            return ()
        model = self.found.model
        return telling_modes(model.a, model.period_s, model.chart.groups)


@final
@dataclass(frozen=True)
class MarginStudy:
    """Margins along conditions.

    Attributes
    ----------
    craft, scenario : as loaded
    required : RequiredMargins
    cases : tuple of MarginCase
        The first is still air with pack and fabric as the file has them.
    seconds : float
        [s] Time taken.
    """

    craft: LoadedCraft
    scenario: LoadedScenario
    required: RequiredMargins
    cases: tuple[MarginCase, ...]
    seconds: float

    @property
    def still(self) -> MarginCase:
        """Still air."""
        return self.cases[0]

    @property
    def worst(self) -> MarginCase | None:
        """The condition with the least margin of those found; None when there is none."""
        return worst_of(self.cases)

    @property
    def unknown(self) -> tuple[MarginCase, ...]:
        """Conditions without margins."""
        return tuple(case for case in self.cases if case.found is None)

    @property
    def passes(self) -> bool:
        """Whether margins were found everywhere and are at least as asked."""
        return all(case.found is not None and case.found.passes for case in self.cases)


@dataclass
class _Search:
    """A craft packed once for each state of its fabric, with all trims found."""

    craft: LoadedCraft
    scenario: LoadedScenario
    required: RequiredMargins
    packed: dict[str, PackedCraft]
    known: list[tuple[Condition, Trim]]
    axes: tuple[str, ...] = tuple(AXES)
    together: bool = True

    def packed_in(self, condition: Condition) -> PackedCraft:
        """Give the craft with the fabric of a condition."""
        fabric = condition.fabric
        if fabric not in self.packed:
            air = day_air(self.scenario.spec)
            self.packed[fabric] = packed_for(self.craft.spec, air, fabric)
        return self.packed[fabric]

    def trim(self, condition: Condition) -> Trim:
        """Find the steady flight, from the most similar one that is known."""
        packed = self.packed_in(condition)
        flight = steady_flight_of(packed.air, condition, terrain=self.scenario.spec.wind.terrain)
        found = find_trim(
            packed.record,
            flight,
            charge=condition.charge,
            swing_m_s=condition.swing_m_s,
            start=self._nearest(condition),
        )
        self.known.append((condition, found))
        return found

    def _nearest(self, condition: Condition) -> Trim | None:
        """Give the known trim whose wind is nearest, among those with such fabric if there are."""
        alike = [known for known in self.known if known[0].fabric == condition.fabric]
        return min(
            alike or self.known,
            key=lambda known: abs(wind_of(known[0]) - wind_of(condition)),
            default=(condition, None),
        )[1]

    def case(self, condition: Condition) -> MarginCase:
        """Find the margins in a condition, or why there are none."""
        try:
            trim = self.trim(condition)
            found = margins_at(
                trim, condition, required=self.required, axes=self.axes, together=self.together
            )
            return MarginCase(condition, found, "")
        except NoTrim as problem:
            return MarginCase(condition, None, problem.reason)
        except NotLinear as problem:
            return MarginCase(condition, None, str(problem))


def wind_of(condition: Condition) -> complex:
    """Give the wind [m/s] as a vector, where it comes from, north real and east imaginary."""
    return cmath.rect(condition.wind_m_s, condition.from_rad)


def _swings_m_s(search: _Search, still: MarginCase) -> dict[float, float]:
    """Give the swing of the fabric [m/s] in each wind speed of the scenario, from ahead."""
    scenario = search.scenario.spec
    speeds = wind_speeds_m_s(scenario)
    if still.found is None:
        return dict.fromkeys(speeds, STILL_SWING_M_S)
    packed, start = search.packed_in(still.condition), still.found.trim.state
    return {
        speed: excited_swing_m_s(packed, scenario, replace(still.condition, wind_m_s=speed), start)
        for speed in speeds
    }


def _fabric_reach_m(case: MarginCase) -> float:
    """Give how far below the CG the lowest fabric is [m], 0 without."""
    if case.found is None:
        return 0.0
    trim = case.found.trim
    count = int(trim.crafts[0].drape.panel_count)
    if not count:
        return 0.0
    down = trim.state["particle"]["position_m"][0, :count, 2] - trim.state[0].body.position_m[2]
    return float(down.max())


def margin_study(
    craft: LoadedCraft,
    scenario: LoadedScenario,
    *,
    everywhere: bool = True,
    progress: Progress | None = None,
) -> MarginStudy:
    """Find the margins of a craft in still air, and along conditions.

    Parameters
    ----------
    craft, scenario : as loaded
        The scenario gives air, height, wind and what is asked.
    everywhere : bool
        Whether other conditions than still air are wanted.
    progress : callable, optional
        Told a sentence and the share done.

    Raises
    ------
    InputFaults
        When no body can have the masses given.
    """
    began = time.monotonic()
    required = required_margins(scenario.spec.limits)
    search = _Search(craft, scenario, required, {}, [])
    still = still_condition(craft.spec, scenario.spec)
    cases = [search.case(still)]
    if everywhere:
        packed = search.packed_in(still)
        calm = calm_conditions(craft.spec, still, packed, _fabric_reach_m(cases[0]))
        windy = windy_conditions(still, _swings_m_s(search, cases[0]))
        planned = len(calm) + len(windy) + 2
        for condition in (*calm[1:], *windy):
            if progress is not None:
                progress("margins along conditions", len(cases) / planned)
            cases.append(search.case(condition))
        cases += [search.case(condition) for condition in _harder(craft, cases)]
    return MarginStudy(craft, scenario, required, tuple(cases), time.monotonic() - began)


def cases_beside(
    craft: LoadedCraft, scenario: LoadedScenario, packed: PackedCraft, still: ConditionMargins
) -> tuple[MarginCase, ...]:
    """Find roll, pitch and yaw margins in those other conditions that take little time.

    They are a used pack, the other fabric and the ground near by, all in still air; without fabric,
    that would have to be blown to rest first, all winds of `margin_study` as well.

    Parameters
    ----------
    craft, scenario : as loaded
    packed : PackedCraft
        The craft as its file has it.
    still : ConditionMargins
        Of its hover in still air.

    Returns
    -------
    tuple of MarginCase
        Still air first.
    """
    search = _Search(
        craft,
        scenario,
        still.required,
        {still.condition.fabric: packed},
        [(still.condition, still.trim)],
        axes=ATTITUDE_AXES,
        together=False,
    )
    cases = [MarginCase(still.condition, still, "")]
    conditions = calm_conditions(craft.spec, still.condition, packed, _fabric_reach_m(cases[0]))[1:]
    cases += [search.case(condition) for condition in conditions]
    if packed.fabric_mass_kg > 0.0:
        return tuple(cases)
    speeds = dict.fromkeys(wind_speeds_m_s(scenario.spec), STILL_SWING_M_S)
    cases += [search.case(condition) for condition in windy_conditions(still.condition, speeds)]
    cases += [search.case(condition) for condition in _harder(craft, cases)]
    return tuple(cases)


def worst_of(cases: Sequence[MarginCase]) -> MarginCase | None:
    """Give the condition with the least margin of those found; None when there is none."""
    found = [case for case in cases if case.found is not None]
    return max(found, key=lambda case: case.shortfall, default=None)


def _harder(craft: LoadedCraft, cases: list[MarginCase]) -> list[Condition]:
    """Give the worst windy condition again with a used pack, and with the other fabric."""
    windy = [case for case in cases if case.found is not None and case.condition.wind_m_s > 0.0]
    if not windy:
        return []
    worst = max(windy, key=lambda case: case.shortfall).condition
    found = [replace(worst, charge=craft.spec.battery.reserve)]
    other = other_fabric(craft.spec)
    if other is not None:
        found.append(replace(worst, fabric=other))
    return found
