"""The test stand: rotors, motors and pack alone, the body held far from the ground."""

from __future__ import annotations

from sim.numerics.compile import compiled
from sim.numerics.quaternion import write_rotation
from sim.params.craft_record import CraftRecord
from sim.params.flight_record import FlightRecord
from sim.params.state_record import StateRecord
from sim.params.tally_record import WorkRecord
from sim.step.electrics import drive_motors
from sim.step.rotors import blow_on_rotors, place_rotors, turn_rotors


@compiled
def load_on_stand(
    craft: CraftRecord, flight: FlightRecord, state: StateRecord, work: WorkRecord
) -> None:
    """Write thrusts, torques, currents and volts of the rotors as they turn now."""
    for i in range(3):
        work.force_n[i] = 0.0
        work.moment_n_m[i] = 0.0
    for i in range(work.at_limit.size):
        work.at_limit[i] = 0.0
    place_rotors(craft, state, work)
    blow_on_rotors(craft, flight, state, work)
    drive_motors(craft, flight, state, work)


@compiled
def run_on_stand(
    craft: CraftRecord, flight: FlightRecord, state: StateRecord, work: WorkRecord, ticks: int
) -> None:
    """Run the rotors at the throttles in `state` for some ticks, in place.

    The same functions as in flight, without loops, servos, fabric, ground and motion; the state's
    place should be well above the ground. Afterwards `work` holds thrusts, currents and volts.
    """
    write_rotation(state.body.attitude, work.rotation)
    for _ in range(ticks):
        load_on_stand(craft, flight, state, work)
        turn_rotors(craft, flight, state, work)
