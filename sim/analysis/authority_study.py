"""Everything that `gustworthy authority` finds: what is left, and what wind and faults take."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, final

from sim.analysis.authority import AuthorityAnswer, authority_answer
from sim.analysis.authority_wind import WINDS_M_S, WindUse, winds_use
from sim.analysis.check import hover_trim
from sim.analysis.limit_cycle import CycleAnswer, cycle_answer
from sim.analysis.limit_cycle_flight import FlownCycle, FlownEdge, fly_edge, fly_hunting
from sim.analysis.linear_loop import ClosedLoop
from sim.analysis.linearise import linearise
from sim.analysis.mode_shape import ModeShape, mode_shapes, telling_shapes
from sim.analysis.trim import Trim
from sim.errors import NotLinear, NoTrim
from sim.pack.craft import PackedCraft, pack_craft
from sim.pack.flight import day_air
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2
from sim.spec.files import LoadedCraft, LoadedScenario

SLICE_RAYS: Final = 60

Progress = Callable[[str, float | None], None]


def _silent(_sentence: str, _share: float | None) -> None:
    """Say nothing."""


@final
@dataclass(frozen=True)
class AuthorityStudy:
    """What was found about one craft.

    Attributes
    ----------
    craft, scenario : as read
    packed : PackedCraft
    why_no_trim : str
        Why there is no steady hover; the rest is then empty.
    authority : AuthorityAnswer or None
    winds : tuple of WindUse
    play : CycleAnswer or None
        None without tilt servos or hover.
    hunting : dict
        Kicked axis ("pitch", "yaw", "both") to what swings were left in that flight.
    edges : tuple of FlownEdge
        One for each edge that was predicted.
    shapes : tuple of ModeShape
        Of the fabric, worth drawing.
    growing : int
        Motions that grow in hover.
    why_no_shapes : str
        Why shapes and growing motions are not known; empty when they are.
    seconds : float
        [s] Wall time of the computation.
    """

    craft: LoadedCraft
    scenario: LoadedScenario
    packed: PackedCraft
    why_no_trim: str
    authority: AuthorityAnswer | None
    winds: tuple[WindUse, ...]
    play: CycleAnswer | None
    hunting: dict[str, tuple[FlownCycle, ...]]
    edges: tuple[FlownEdge, ...]
    shapes: tuple[ModeShape, ...]
    growing: int
    why_no_shapes: str
    seconds: float

    @property
    def lost_wind(self) -> WindUse | None:
        """The slowest wind tried, not above the scenario's mean, that is not held."""
        mean = self.scenario.spec.wind.mean_m_s
        lost = [use for use in self.winds if not use.holds and use.forecast_m_s <= mean]
        return min(lost, key=lambda use: use.forecast_m_s, default=None)

    @property
    def near_edge(self) -> FlownEdge | None:
        """The edge from which a flight no longer comes back though the scenario allows the lean."""
        allowed = self.scenario.spec.limits.tilt_rad
        near = [edge for edge in self.edges if edge.grows_rad is not None]
        near = [edge for edge in near if edge.grows_rad is not None and edge.grows_rad < allowed]
        return min(near, key=lambda edge: edge.comes_back_rad, default=None)

    @property
    def passes(self) -> bool:
        """Whether it is stable, something is left every way, and the day's wind leaves some."""
        return (
            self.authority is not None
            and self.authority.passes
            and self.growing == 0
            and self.lost_wind is None
            and self.near_edge is None
        )


def _hover(packed: PackedCraft, scenario: LoadedScenario) -> Trim:
    """Find the hover in still air; a craft that its rotors cannot carry has none."""
    weight_n = packed.whole_mass_kg * STANDARD_GRAVITY_M_S2
    if float(packed.full.thrust_n.sum()) <= weight_n:
        reason = "the rotors cannot carry the weight"
        raise NoTrim(reason)
    return hover_trim(packed, scenario.spec)


def _play(
    packed: PackedCraft, trim: Trim, tell: Progress
) -> tuple[CycleAnswer | None, dict[str, tuple[FlownCycle, ...]], tuple[FlownEdge, ...]]:
    """Predict hunting and slewing, and fly every swing that is predicted."""
    tell("play and slew limit of the tilt servos", None)
    play = cycle_answer(packed.record, trim)
    if play is None:
        return None, {}, ()
    axes = [cycle.axis for cycle in play.hunting]
    kicked = [*axes, "both"] if len(axes) > 1 else axes
    hunting = {axis: fly_hunting(packed.record, trim, axis) for axis in kicked}
    return play, hunting, tuple(fly_edge(packed.record, trim, edge) for edge in play.edges)


def _motions(packed: PackedCraft, trim: Trim) -> tuple[tuple[ModeShape, ...], int, str]:
    """Give the shapes worth drawing and how many motions grow, or why that is not known."""
    try:
        model = linearise(trim.crafts, trim.flights, trim.state, trim.chart)
    except NotLinear as problem:
        return (), 0, str(problem)
    growing = ClosedLoop(model.a, model.period_s).unstable_roots()
    return telling_shapes(mode_shapes(model, packed.record, trim.state)), growing, ""


def winds_to_try(wanted_m_s: tuple[float, ...], mean_m_s: float) -> tuple[float, ...]:
    """Give the winds [m/s] to settle in: those wanted, and the scenario's own mean."""
    return tuple(sorted({*wanted_m_s, round(mean_m_s, 6)}))


def authority_study(
    craft: LoadedCraft,
    scenario: LoadedScenario,
    *,
    winds_m_s: tuple[float, ...] = WINDS_M_S,
    progress: Progress | None = None,
) -> AuthorityStudy:
    """Find what `gustworthy authority` tells.

    Parameters
    ----------
    craft, scenario : as loaded
    winds_m_s : tuple of float
        [m/s] Mean winds to settle in, at the scenario's wind height, besides the scenario's own.
    progress : callable, optional
        Told a sentence and the share done (0 to 1, or None).
    """
    tell = progress or _silent
    began = time.monotonic()
    packed = pack_craft(craft.spec, day_air(scenario.spec))
    tell("hover in still air", None)
    try:
        trim = _hover(packed, scenario)
    except NoTrim as problem:
        spent = time.monotonic() - began
        return AuthorityStudy(
            craft, scenario, packed, problem.reason, None, (), None, {}, (), (), 0, "", spent
        )
    tell("what the rotors can do", None)
    names = tuple(rotor.name for rotor in craft.spec.rotors)
    authority = authority_answer(packed, trim, names, slice_rays=SLICE_RAYS, flown=True)
    play, hunting, edges = _play(packed, trim, tell)
    shapes, growing, why_no_shapes = _motions(packed, trim)
    winds = winds_use(
        packed,
        scenario.spec,
        trim.state,
        winds_m_s=winds_to_try(winds_m_s, scenario.spec.wind.mean_m_s),
        progress=progress,
    )
    return AuthorityStudy(
        craft=craft,
        scenario=scenario,
        packed=packed,
        why_no_trim="",
        authority=authority,
        winds=winds,
        play=play,
        hunting=hunting,
        edges=edges,
        shapes=shapes,
        growing=growing,
        why_no_shapes=why_no_shapes,
        seconds=time.monotonic() - began,
    )
