"""The state that a flight starts from: standing on its feet, or hovering with fabric at rest."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from sim.numerics.quaternion import write_rotation
from sim.params.record import blank_records
from sim.params.state_record import STATE_TYPE, THRUST
from sim.params.tally_record import TALLY_TYPE, WORK_TYPE

HALF = 0.5


def blank_works() -> Any:
    """Give the two scratch records that the compiled loops ask for, from a cache line on."""
    return blank_records(WORK_TYPE, 2)


def blank_tally() -> Any:
    """Give one empty tally in an array of one."""
    tally = np.zeros(1, dtype=TALLY_TYPE)
    tally["least_clearance_m"] = 1e9
    tally["last_tick"] = -1.0
    return tally


def hang_fabric(craft: Any, state: Any) -> None:
    """Hang every strip of a state straight down from its rim point, at the body's velocity."""
    drape, body = craft.drape, state.body
    rotation = np.empty((3, 3))
    write_rotation(body.attitude, rotation)
    panel = drape.panel
    for k in range(drape.panel_count):
        above = int(panel.above[k])
        if above < 0:
            high = body.position_m + rotation @ drape.rim[-1 - above].place_m
        else:
            high = state.particle[above].position_m
        state.particle[k].position_m[:] = high + np.array([0.0, 0.0, float(panel.height_m[k])])
        state.particle[k].velocity_m_s[:] = body.velocity_m_s


def standing_height_m(craft: Any) -> float:
    """Give the height [m] of the CG when the craft stands level on its feet."""
    if craft.foot_count == 0:
        return 0.0
    lowest = max(float(foot.place_m[2]) for foot in craft.foot[: craft.foot_count])
    return max(lowest, 0.0)


def level_state(craft: Any, flight: Any, *, height_m: float, hovers: bool, charge: float) -> Any:
    """Give an array of one state, level and at rest over the first command's place.

    Parameters
    ----------
    craft, flight : record
        As packed.
    height_m : float
        [m] Of the CG above the ground.
    hovers : bool
        True: rotors at the speed that carries the weight; False: rotors at rest.
    charge : float
        [-] Of the pack, 0 to 1.
    """
    states = np.zeros(1, dtype=STATE_TYPE)
    state = states[0]
    first = flight.command[0]
    state.charge = charge
    state.armed = 1.0
    heading = float(first.heading_rad)
    state.body.position_m[:] = (first.place_m[0], first.place_m[1], -height_m)
    state.body.attitude[:] = (math.cos(HALF * heading), 0.0, 0.0, math.sin(HALF * heading))
    state.body.specific_force_m_s2[:] = (0.0, 0.0, -flight.gravity_m_s2)
    state.estimate.angle_rad[:] = (0.0, 0.0, heading)
    state.estimate.position_m[:] = state.body.position_m
    weight = float(craft.mixer.hover_thrust_n)
    if hovers:
        state.control.delayed[:, THRUST] = weight
        state.control.demand[THRUST] = weight
        for i in range(craft.rotor_count):
            state.rotor[i].speed_rad_s = hover_speed_rad_s(craft, flight, i)
    hang_fabric(craft, state)
    return states


def hover_speed_rad_s(craft: Any, flight: Any, index: int) -> float:
    """Give the speed [rad/s] at which a rotor carries its share of the weight, from its map."""
    rotor = craft.rotor[index]
    chart = craft.rotor_map[rotor.map_index]
    at_rest = round(-float(chart.axial_min) / float(chart.axial_step))
    coefficient = float(chart.node[at_rest, 0].thrust) * float(rotor.thrust_factor)
    thrust = float(craft.mixer.hover_thrust_n) * float(craft.mixer.thrust_share[index])
    area = math.pi * float(rotor.radius_m) ** 2
    tip_square = thrust / (float(flight.density_kg_m3) * area * coefficient)
    return math.sqrt(tip_square) / float(rotor.radius_m)
