"""Settle a craft with its fabric in a steady wind and watch it for a while.

The craft flies, held at its place by its own loops. Where it cannot, its body is held level in the
wind with the rotors at hover thrust, and that is said.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, final

import numpy as np

from sim.flight.outcome import STOP_WORDS
from sim.flight.results import Flight
from sim.flight.run import fly
from sim.flight.settle import calm_flight, settled_in_wind
from sim.flight.start import blank_works, level_state
from sim.numerics.quaternion import write_rotation
from sim.pack.craft import PackedCraft
from sim.pack.flight import flight_height_m, pack_flight, plain_flight, write_wind
from sim.params.drape_record import BESIDE, MAX_NODES
from sim.params.record import FloatArray, IntArray
from sim.params.state_record import THRUST
from sim.params.tally_record import Stop
from sim.spec.scenario import ScenarioSpec
from sim.step.batch import advance_each

WATCH_S: Final = 8.0
SAMPLE_S: Final = 0.02
HELD_SETTLE_S: Final = 8.0
LOST_M: Final = 0.5


@final
@dataclass(frozen=True, eq=False)
class FabricWatch:
    """Samples of a craft and its fabric, earth axes; the first index is the sample.

    Attributes
    ----------
    held : bool
        Whether the body was held because the craft could not hold itself there.
    why_held : str
        Empty when it flew.
    air_n, middle_m : ndarray, shape (samples, panels, 3)
        [N], [m] Force of the air on every panel, and the panel's middle.
    particle_m : ndarray, shape (samples, panels, 3)
        [m] Lower end of every panel, where its mass is.
    beside : ndarray of int, shape (panels,)
        Which panel's lower end is next to a panel's in woven cloth; itself where there is none.
    rim_m : ndarray, shape (samples, strips, 3)
        [m] Where each strip hangs.
    body_m : ndarray, shape (samples, 3)
        [m] CG of the craft without the fabric that hangs free.
    hub_m, axis : ndarray, shape (samples, rotors, 3)
        [m], [-] Middle and direction of every disc.
    radius_m : ndarray, shape (rotors,)
        [m] Of the discs.
    thrust_n, throttle : ndarray, shape (samples, rotors)
        [N], [-] Of every rotor.
    last : ndarray of one state record
        Where it ended, at tick 0.
    """

    held: bool
    why_held: str
    air_n: FloatArray
    middle_m: FloatArray
    particle_m: FloatArray
    beside: IntArray
    rim_m: FloatArray
    body_m: FloatArray
    hub_m: FloatArray
    axis: FloatArray
    radius_m: FloatArray
    thrust_n: FloatArray
    throttle: FloatArray
    last: Any

    @property
    def whole_thrust_n(self) -> float:
        """Mean thrust of all rotors together [N]."""
        return float(self.thrust_n.sum(axis=1).mean())

    @property
    def mean_throttle(self) -> float:
        """Mean throttle of the rotors [-]."""
        return float(self.throttle.mean())

    def clearance_m(self, panels: slice) -> FloatArray:
        """Give the least distance of some panels to every disc, shape (rotors,) [m].

        As in flights, of their lower ends, middles, and halfway to the lower ends beside.
        """
        low = self.particle_m
        halfway = 0.5 * (low + low[:, self.beside])
        cloth = np.concatenate(
            [places[:, panels] for places in (low, self.middle_m, halfway)], axis=1
        )
        apart = cloth[:, None] - self.hub_m[:, :, None, :]
        depth = np.einsum("srpi,sri->srp", apart, self.axis)
        aside = np.sqrt(np.maximum((apart**2).sum(axis=-1) - depth**2, 0.0))
        outside = np.maximum(aside - self.radius_m[:, None], 0.0)
        nearest: FloatArray = np.hypot(outside, depth).min(axis=(0, 2))
        return nearest


def steady_wind_flight(packed: PackedCraft, scenario: ScenarioSpec, forecast_m_s: float) -> Any:
    """Give one flight record that hovers at the scenario's height and heading in a steady wind.

    Parameters
    ----------
    packed, scenario : what flies, and where
    forecast_m_s : float
        [m/s] Mean wind at the scenario's wind height.
    """
    flight = plain_flight(packed.air, height_m=flight_height_m(scenario))[0]
    flight.command[0].heading_rad = pack_flight(scenario, packed.air)[0].command[0].heading_rad
    write_wind(scenario, flight, forecast_m_s)
    return calm_flight(flight, WATCH_S)[0]


def level_hover(packed: PackedCraft, flight: Any) -> Any:
    """Give a level craft at hover speed at its place, its fabric hung straight down."""
    height = -float(flight.command[0].place_m[2])
    return level_state(packed.record, flight, height_m=height, hovers=True, charge=packed.charge)


def watch_fabric(
    packed: PackedCraft,
    flight: Any,
    start: Any | None = None,
    *,
    hold: str = "",
    seconds: float = WATCH_S,
) -> FabricWatch:
    """Settle a craft in a flight's steady wind, then sample it and its fabric.

    Parameters
    ----------
    packed : PackedCraft
        With or without fabric.
    flight : record
        From `steady_wind_flight`.
    start : ndarray of one state record, optional
        Such as the end of a watch in a little less wind; else a level hover.
    hold : str
        Why the body is to be held instead of flown; empty to fly it.
    seconds : float
        [s] How long to watch.
    """
    why = hold
    if not why:
        first = level_hover(packed, flight) if start is None else start
        settled = settled_in_wind(packed.record, flight, first)
        flown = fly(packed.record, flight, settled, every_s=WATCH_S)
        why = _why_lost(flown, flight)
        if not why:
            return _sampled(packed.records, flight, settled, "", seconds)
    held = flight.copy()
    held.is_held = 1
    records = _without_steering(packed)
    state = level_hover(packed, held)
    _advance(records, held, state, HELD_SETTLE_S)
    return _sampled(records, held, state, why, seconds)


def _without_steering(packed: PackedCraft) -> Any:
    """Give a craft whose loops ask for hover thrust and no more.

    Where its body is held, they would go on tilting rotors against what cannot be moved.
    """
    records = packed.records.copy()
    for factor in records["control"]["loop_factor"]:
        factor[THRUST + 1 :] = 0.0
    return records


def _why_lost(flown: Flight, flight: Any) -> str:
    """Say how a flight lost its place, in words that go with "it"; empty when it kept it."""
    if flown.stop != Stop.TIME:
        return STOP_WORDS[Stop(flown.stop)]
    north, east, down = flown.state[0].body.position_m - flight.command[0].place_m
    if down > LOST_M:
        return "lost its height"
    return "drifted off its place" if max(abs(north), abs(east), -down) > LOST_M else ""


def _advance(records: Any, flight: Any, state: Any, seconds: float) -> Any:
    """Move a state on in place and give the step's scratch of its last step."""
    works = blank_works()
    flights = np.array([flight], dtype=flight.dtype)
    ticks = round(seconds / float(flight.step_s))
    advance_each(records, flights, state, works, ticks)
    return works[0]


def _sampled(records: Any, flight: Any, start: Any, why: str, seconds: float) -> FabricWatch:
    state, record = start.copy(), records[0]
    rotors, panels = int(record.rotor_count), int(record.drape.panel_count)
    count = round(seconds / SAMPLE_S)
    air, middle, particle = (np.empty((count, panels, 3)) for _ in range(3))
    hub, axis = (np.empty((count, rotors, 3)) for _ in range(2))
    thrust, throttle = (np.empty((count, rotors)) for _ in range(2))
    places = np.array(record["drape"]["rim"]["place_m"][: int(record.drape.rim_count)])
    nodes = record.drape.panel.node[:panels]
    rim, body = np.empty((count, len(places), 3)), np.empty((count, 3))
    rotation = np.empty((3, 3))
    for n in range(count):
        work = _advance(records, flight, state, SAMPLE_S)
        air[n] = work["fabric"]["air_n"][:, nodes].T
        middle[n] = work["point_m"][:, :panels].T
        particle[n] = state["particle"]["position_m"][0, :panels]
        body[n] = state["body"]["position_m"][0]
        write_rotation(state["body"]["attitude"][0], rotation)
        rim[n] = body[n] + places @ rotation.T
        spots = work["rotor"][:rotors]
        hub[n], axis[n] = spots["hub_earth_m"], spots["axis_earth"]
        thrust[n] = spots["thrust_n"]
        throttle[n] = state["rotor"]["throttle"][0, :rotors]
    state["tick"] = 0
    radius = np.array(record["rotor"]["radius_m"][:rotors])
    return FabricWatch(
        held=bool(why),
        why_held=why,
        air_n=air,
        middle_m=middle,
        particle_m=particle,
        beside=_beside(record.drape),
        rim_m=rim,
        body_m=body,
        hub_m=hub,
        axis=axis,
        radius_m=radius,
        thrust_n=thrust,
        throttle=throttle,
        last=state,
    )


def _beside(drape: Any) -> IntArray:
    """Give which panel's lower end is next to each panel's; itself where cloth is not woven."""
    nodes = np.array(drape.panel.node[: int(drape.panel_count)], dtype=np.int64)
    real = np.arange(MAX_NODES)
    ghosts = int(drape.ghost_count)
    real[drape.ghost.node[:ghosts]] = drape.ghost.of[:ghosts]
    panel_at = np.zeros(len(real), dtype=np.int64)
    panel_at[nodes] = np.arange(len(nodes))
    woven = drape.thread.stiffness_n_m[BESIDE, nodes] > 0.0
    return np.where(woven, panel_at[real[nodes + 1]], np.arange(len(nodes)))
