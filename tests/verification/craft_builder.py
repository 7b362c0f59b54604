"""Crafts, flights and states written by hand, and a trial that runs the real step on them.

A trial starts level at rest high above the ground, in a vacuum, with loops that never run, so that
a test adds only the physics it is about. Axes are those of the records: x forward (north), y right
(east), z down.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from sim.numerics.quaternion import write_rotation
from sim.params.craft_record import CRAFT_TYPE
from sim.params.drape_record import FIRST_NODE, NODES_AT_ONCE, PITCH
from sim.params.flight_record import FLIGHT_TYPE
from sim.params.state_record import STATE_TYPE
from sim.params.tally_record import WORK_TYPE
from sim.step.batch import advance_each

GRAVITY = 9.80665
SEA_LEVEL_DENSITY = 1.225
HIGH_M = 1e5
NEVER = 10**12
HUGE = 1e12


def blank_craft() -> Any:
    """Give one craft of 1 kg and 1 kg m2, without rotors, parts, feet and fabric."""
    crafts = np.zeros(1, dtype=CRAFT_TYPE)
    craft = crafts[0]
    set_inertia(craft, np.eye(3))
    craft.mass_kg = 1.0
    craft.battery.open_circuit_v[:] = 12.0
    craft.battery.capacity_a_s = 1e9
    craft.battery.current_limit_a = HUGE
    craft.control.period_ticks = NEVER
    craft.control.derivative_cutoff_rad_s = 100.0
    craft.control.loop_factor[:] = 1.0
    craft.sensing.gyro_cutoff_rad_s = 100.0
    craft.sensing.attitude_time_constant_s = 1.0
    craft.sensing.position_lag_s = 0.1
    return crafts


def blank_flight() -> Any:
    """Give one flight of 1 ms steps with gravity and no air; wind, once set, has no shear."""
    flights = np.zeros(1, dtype=FLIGHT_TYPE)
    flight = flights[0]
    flight.step_s = 1e-3
    flight.duration_s = HUGE
    flight.gravity_m_s2 = GRAVITY
    flight.wind_height_m = HIGH_M
    flight.roughness_m = 0.01
    flight.least_height_m = 1e3 * HIGH_M  # below it the mean wind is held: no shear
    flight.command_count = 1
    flight.keeps_charge = 1
    return flights


def blank_state() -> Any:
    """Give one state, level and at rest; tick 1, so that no loop has its turn."""
    states = np.zeros(1, dtype=STATE_TYPE)
    state = states[0]
    state.tick = 1
    state.charge = 1.0
    state.armed = 1.0
    state.body.attitude[0] = 1.0
    state.body.position_m[2] = -HIGH_M
    return states


@dataclass
class Trial:
    """One craft in one flight, run by the step itself."""

    crafts: Any = field(default_factory=blank_craft)
    flights: Any = field(default_factory=blank_flight)
    states: Any = field(default_factory=blank_state)
    works: Any = field(default_factory=lambda: np.zeros(2, dtype=WORK_TYPE))

    @property
    def craft(self) -> Any:
        """The craft record."""
        return self.crafts[0]

    @property
    def flight(self) -> Any:
        """The flight record."""
        return self.flights[0]

    @property
    def state(self) -> Any:
        """The state record."""
        return self.states[0]

    @property
    def work(self) -> Any:
        """Scratch of the last step."""
        return self.works[0]

    @property
    def rotation(self) -> Any:
        """Matrix that turns body axes into earth axes, at the present state."""
        rotation = np.empty((3, 3))
        write_rotation(self.state.body.attitude, rotation)
        return rotation

    def run(self, ticks: int = 1) -> Trial:
        """Advance some ticks."""
        advance_each(self.crafts, self.flights, self.states, self.works, ticks)
        return self

    def run_s(self, seconds: float) -> Trial:
        """Advance some seconds, a whole number of steps."""
        return self.run(round(seconds / float(self.flight.step_s)))

    def follow(self, ticks: int, read: Callable[[Trial], Any], every: int = 1) -> Any:
        """Give what `read` sees now and after every few ticks, shape (1 + ticks // every, ...)."""
        rows = [np.array(read(self), dtype=float)]
        for _ in range(ticks // every):
            self.run(every)
            rows.append(np.array(read(self), dtype=float))
        return np.array(rows)

    def times(self, ticks: int, every: int = 1) -> Any:
        """Give the times [s] of `follow`."""
        return np.arange(1 + ticks // every) * every * float(self.flight.step_s)


def set_inertia(craft: Any, inertia: Any) -> None:
    """Write an inertia [kg m2], given as a matrix or by its diagonal."""
    matrix = np.asarray(inertia, dtype=float)
    if matrix.ndim == 1:
        matrix = np.diag(matrix)
    craft.inertia_kg_m2[:] = matrix
    craft.inertia_inverse[:] = np.linalg.inv(matrix)


def blow(flight: Any, speed_m_s: float, density_kg_m3: float = SEA_LEVEL_DENSITY) -> None:
    """Set a uniform wind towards the north."""
    flight.density_kg_m3 = density_kg_m3
    flight.wind_m_s = speed_m_s
    flight.wind_from_rad = math.pi


def add_gust(
    flight: Any,
    peak_m_s: float,
    start_s: float,
    length_s: float,
    *,
    turn_rad: float = 0.0,
    stays: bool = False,
) -> None:
    """Add a discrete gust; the length is that of the whole pulse, or of the rise of a front."""
    gust = flight.gust[flight.gust_count]
    gust.peak_m_s, gust.turn_rad, gust.start_s = peak_m_s, turn_rad, start_s
    gust.length_s, gust.stays = length_s, int(stays)
    flight.gust_count += 1


def add_part(craft: Any, place_m: Any, drag_area_m2: Any) -> None:
    """Add a part that feels the wind."""
    craft.body.place_m[:, craft.body_count] = place_m
    craft.body.drag_area_m2[:, craft.body_count] = drag_area_m2
    craft.body_count += 1


def add_foot(craft: Any, place_m: Any) -> None:
    """Add a foot."""
    craft.foot[craft.foot_count].place_m[:] = place_m
    craft.foot_count += 1


def write_flat_map(craft: Any, thrust: float, torque: float) -> None:
    """Make map 0 the same coefficients (rotor convention) in every flow."""
    chart = craft.rotor_map[0]
    chart.axial_min, chart.axial_step, chart.edge_step = -0.5, 0.02, 0.1
    chart.reference_speed_rad_s = 1.0
    chart.node["thrust"][:] = thrust
    chart.node["torque"][:] = torque
    chart.node["induced"][:] = math.sqrt(0.5 * thrust)


def add_rotor(craft: Any, pivot_m: Any, *, spin: float = 0.0, inertia_kg_m2: float = HUGE) -> Any:
    """Add a rotor of 0.2 m radius on map 0, with a motor that neither drives nor drags.

    With no spin sense it is a pair of opposite ones: no reaction, no gyroscopic moment. With the
    default inertia it keeps its speed.
    """
    rotor = craft.rotor[craft.rotor_count]
    rotor.pivot_m[:] = pivot_m
    rotor.radius_m = 0.2
    rotor.spin = spin
    rotor.inertia_kg_m2 = inertia_kg_m2
    rotor.thrust_factor = 1.0
    rotor.torque_factor = 1.0
    rotor.speed_constant_rad_s_v = 100.0
    rotor.resistance_ohm = 0.1
    rotor.current_limit_a = HUGE
    rotor.full_command = 1.0
    rotor.tilt_axis[:] = (0.0, 1.0, 0.0)
    craft.rotor_count += 1
    return rotor


def add_thruster(trial: Trial, pivot_m: Any, thrust_n: float) -> Any:
    """Add a rotor that pushes steadily along its axis and does nothing else: no wash."""
    coefficient = 0.01
    write_flat_map(trial.craft, coefficient, 0.0)
    trial.craft.rotor_map[0].node["induced"][:] = 0.0
    rotor = add_rotor(trial.craft, pivot_m)
    trial.flight.density_kg_m3 = SEA_LEVEL_DENSITY
    area = math.pi * float(rotor.radius_m) ** 2
    tip = math.sqrt(thrust_n / (SEA_LEVEL_DENSITY * area * coefficient))
    speed = tip / float(rotor.radius_m)
    trial.state.rotor[trial.craft.rotor_count - 1].speed_rad_s = speed
    return rotor


def make_tilting(rotor: Any, *, frequency_rad_s: float, damping: float, slew_rad_s: float) -> None:
    """Give a rotor a tilt servo about the right axis, without deadband and play."""
    rotor.tilts = 1
    rotor.servo_frequency_rad_s = frequency_rad_s
    rotor.servo_damping = damping
    rotor.servo_slew_rad_s = slew_rad_s
    rotor.tilt_travel_rad = HUGE


def _new_node(craft: Any) -> int:
    """Give the next node of a trial's cloth, which is one string of nodes."""
    drape = craft.drape
    if drape.node_end == 0:
        drape.ease, drape.reach_m, drape.ground_friction = 1e-6, HUGE, 0.5
    node = FIRST_NODE + PITCH * int(drape.panel_count + drape.rim_count)
    drape.node_end = FIRST_NODE + NODES_AT_ONCE * math.ceil((node + 1 - FIRST_NODE) / NODES_AT_ONCE)
    return node


def node_of(craft: Any, index: int) -> int:
    """Give the node of a particle, or of rim point -1 - index below zero."""
    drape = craft.drape
    return int(drape.rim[-1 - index].node if index < 0 else drape.panel.node[index])


def add_rim(craft: Any, place_m: Any, tangent: Any = (0.0, 1.0, 0.0)) -> int:
    """Add a point from which fabric hangs; give the index that stands for it, below zero."""
    drape, node = craft.drape, _new_node(craft)
    rim = drape.rim[drape.rim_count]
    rim.place_m[:] = place_m
    rim.tangent[:] = tangent
    rim.node = node
    drape.node.along[:, node] = tangent
    drape.rim_count += 1
    return -int(drape.rim_count)


def add_particle(
    trial: Trial, above: int, mass_kg: float, place_m: Any, *, moved_mass_kg: float | None = None
) -> int:
    """Add a particle, without a face to the wind, at a place [m] from the CG; give its index.

    It hangs from what was added before it: rim point or particle.
    """
    drape = trial.craft.drape
    k, node = int(drape.panel_count), _new_node(trial.craft)
    assert node_of(trial.craft, above) == node - PITCH, "a trial's cloth is one string of nodes"
    drape.node.is_free[node] = 1.0
    drape.node.along[:, node] = drape.node.along[:, node - PITCH]
    drape.panel.node[k], drape.panel.above[k], drape.panel.wash_factor[k] = node, above, 1.0
    set_mass(trial.craft, k, mass_kg, mass_kg if moved_mass_kg is None else moved_mass_kg)
    body = trial.state.body
    trial.state.particle[k].position_m[:] = body.position_m + np.asarray(place_m, dtype=float)
    trial.state.particle[k].velocity_m_s[:] = body.velocity_m_s
    drape.panel_count += 1
    return k


def set_mass(craft: Any, k: int, mass_kg: float, moved_mass_kg: float) -> None:
    """Set what a particle weighs and what must be moved with it."""
    drape, node = craft.drape, node_of(craft, k)
    drape.node.mass_kg[node] = drape.panel.mass_kg[k] = mass_kg
    drape.node.per_moved_mass_1_kg[node] = 1.0 / moved_mass_kg
    drape.panel.moved_mass_kg[k] = moved_mass_kg


def set_panel(
    craft: Any, k: int, area_m2: float, normal: float = 0.0, tangent: float = 0.0
) -> None:
    """Give a particle's panel, between it and what it hangs from, area and coefficients."""
    nodes, node = craft.drape.node, node_of(craft, k)
    nodes.area_m2[node], nodes.normal_coefficient[node] = area_m2, normal
    nodes.tangent_coefficient[node] = tangent


def add_thread(
    craft: Any, first: int, second: int, rest_m: float, stiffness_n_m: float, damping: float = 0.0
) -> None:
    """Add a thread between neighbours, whose stiffness is there at a strain of 1e-6."""
    drape, node = craft.drape, node_of(craft, first)
    assert node_of(craft, second) == node + PITCH
    drape.thread.per_square_1_m2[0, node] = 1.0 / rest_m**2
    drape.thread.stiffness_n_m[0, node] = stiffness_n_m
    drape.node.thread_lag_s[node] = damping / stiffness_n_m


def damp_threads(craft: Any, damping_n_s_m: float) -> None:
    """Give every thread a damper."""
    stiffness = craft.drape.thread.stiffness_n_m[0]
    taut = stiffness > 0.0
    craft.drape.node.thread_lag_s[taut] = damping_n_s_m / stiffness[taut]


def stable_stiffness(mass_kg: float, step_s: float, share: float = 0.1) -> float:
    """Give a stiffness [N/m] that the step can carry: a share of mass over step squared."""
    return share * mass_kg / step_s**2


def upward_crossings(times: Any, values: Any) -> Any:
    """Give the times at which a sampled signal passes zero upwards, by straight lines."""
    i = np.flatnonzero((values[:-1] < 0.0) & (values[1:] >= 0.0))
    share = -values[i] / (values[i + 1] - values[i])
    return times[i] + share * (times[i + 1] - times[i])


def measured_frequency(times: Any, values: Any) -> float:
    """Give the angular frequency [rad/s] of a swing about zero, from its upward crossings."""
    crossings = upward_crossings(times, values)
    assert len(crossings) >= 2, "the signal does not swing"
    return 2.0 * math.pi * (len(crossings) - 1) / float(crossings[-1] - crossings[0])


def order_of(coarse: float, middle: float, fine: float) -> float:
    """Give the order of convergence from the same figure at steps h, h/2 and h/4."""
    return math.log2(abs((coarse - middle) / (middle - fine)))
