"""Force and moment of the rotors alone: at chosen throttles and tilts, and as they are flown."""

from __future__ import annotations

from typing import Any

from numpy.typing import NDArray

from sim.numerics.compile import compiled
from sim.numerics.quaternion import write_rotation
from sim.numerics.vector import scale
from sim.params.craft_record import CraftRecord
from sim.params.flight_record import FlightRecord
from sim.params.record import FloatArray
from sim.params.state_record import StateRecord
from sim.params.tally_record import WorkRecord
from sim.physics.power.battery import open_circuit_voltage
from sim.step.advance import advance
from sim.step.fabric import keep_particles, take_particles
from sim.step.rotors import accumulate, as_vector
from sim.step.stand import load_on_stand
from sim.step.steady_stand import settle_on_stand

SLOWER = 2.0 / 3.0
TRIES = 5


@compiled
def write_wrench(craft: CraftRecord, work: WorkRecord, row: FloatArray) -> None:
    """Write force [N] and moment [N m] about the CG, body axes, of loaded rotors into a row (6,).

    To the loads of `load_on_stand` comes the torque of each rotor on the body, as at a steady
    speed: what a rotor takes up while it speeds up or is turned about is left out.
    """
    for i in range(craft.rotor_count):
        spot = work.rotor[i]
        torque = scale(as_vector(spot.axis), craft.rotor[i].spin * spot.torque_n_m)
        accumulate(work.moment_n_m, torque)
    for k in range(3):
        row[k] = work.force_n[k]
        row[3 + k] = work.moment_n_m[k]


@compiled
def wrenches_at(
    craft: CraftRecord,
    flight: FlightRecord,
    state: StateRecord,
    work: WorkRecord,
    throttles: FloatArray,
    tilts_rad: FloatArray,
    rows: FloatArray,
) -> bool:
    """Write what the rotors do at many settings, each with its speeds settled on the common pack.

    The craft stands still where and as `state` says, in the air that `state` says; its throttles,
    tilts and speeds are overwritten. Each search begins at two thirds of the speed without load,
    since a motor that is too fast only freewheels back, and goes on longer where wind drives a slow
    rotor.

    Parameters
    ----------
    throttles : ndarray, shape (settings, rotors)
        [-] 0 to 1.
    tilts_rad : ndarray, shape (settings, rotors)
        [rad] Of the rotors.
    rows : ndarray, shape (settings, 6)
        Written: force [N] and moment [N m] about the CG, body axes.

    Returns
    -------
    bool
        True when the speeds of all are steady.
    """
    steady = True
    source = open_circuit_voltage(craft.battery.open_circuit_v, state.charge)
    for n in range(throttles.shape[0]):
        for i in range(craft.rotor_count):
            motion = state.rotor[i]
            motion.throttle = throttles[n, i]
            motion.tilt_rad = tilts_rad[n, i]
            duty = throttles[n, i] * craft.rotor[i].full_command
            free = craft.rotor[i].speed_constant_rad_s_v * duty * source
            motion.speed_rad_s = SLOWER * free
        settled = False
        for _ in range(TRIES):
            if not settled:
                settled = settle_on_stand(craft, flight, state, work)
        steady = steady and settled
        write_wrench(craft, work, rows[n])
    return steady


@compiled
def flown_wrenches(
    crafts: NDArray[Any],
    flights: NDArray[Any],
    states: NDArray[Any],
    works: NDArray[Any],
    every: int,
    rows: FloatArray,
) -> None:
    """Fly on and write what the rotors do every few ticks, shape (samples, 6), in place."""
    craft, flight, state, work = crafts[0], flights[0], states[0], works[0]
    take_particles(craft.drape, state, work.fabric)
    for n in range(rows.shape[0]):
        for _ in range(every):
            advance(craft, flight, state, work)
        write_rotation(state.body.attitude, work.rotation)
        load_on_stand(craft, flight, state, work)
        write_wrench(craft, work, rows[n])
    keep_particles(craft.drape, state, work.fabric)
