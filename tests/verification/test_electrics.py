"""Pack, wiring, motors and propellers on the test stand against closed forms and their balance."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sim.params.tally_record import Limit
from sim.physics.power.battery import pack_current
from sim.physics.power.motor import equilibrium_speed, spin_up_time_constant
from sim.step.stand import run_on_stand
from tests.verification.craft_builder import (
    HUGE,
    SEA_LEVEL_DENSITY,
    Trial,
    add_rotor,
    write_flat_map,
)

# The motor and the 10 x 4.5 inch propeller of the closed forms: 920 rpm/V, C_T 0.12 and C_P 0.045
# of propellers (T = C_T rho n^2 D^4), in rad/(s V) and in the rotor convention.
SPEED_CONSTANT = 920.0 * 2.0 * math.pi / 60.0
DIAMETER_M = 0.254
THRUST = 4.0 / math.pi**3 * 0.12
TORQUE = 4.0 / math.pi**4 * 0.045
TORQUE_FACTOR = 0.045 / (2.0 * math.pi) ** 3 * SEA_LEVEL_DENSITY * DIAMETER_M**5


def stand(volts=11.1, *, rotors=1, pack_ohm=0.0, idle_w=0.0):
    """Give a stand with motors at full throttle on a pack of steady open-circuit volts."""
    trial = Trial()
    trial.flight.density_kg_m3 = SEA_LEVEL_DENSITY
    write_flat_map(trial.craft, THRUST, TORQUE)
    trial.craft.battery.open_circuit_v[:] = volts
    trial.craft.battery.resistance_ohm = pack_ohm
    trial.craft.battery.electronics_w = idle_w
    for i in range(rotors):
        rotor = add_rotor(trial.craft, (0.0, 0.4 * i, 0.0), spin=1.0, inertia_kg_m2=3e-5)
        rotor.radius_m = 0.5 * DIAMETER_M
        rotor.speed_constant_rad_s_v = SPEED_CONSTANT
        rotor.resistance_ohm = 0.10
        rotor.no_load_current_a = 0.6
        trial.state.rotor[i].throttle = 1.0
    return trial


def settle(trial, seconds=2.0):
    ticks = round(seconds / float(trial.flight.step_s))
    run_on_stand(trial.craft, trial.flight, trial.state, trial.work, ticks)
    return trial


def limit(trial, which):
    return trial.work.at_limit[int(which)]


def test_motor_and_propeller_meet_in_closed_form():
    """k_Q W^2 = ((V - W/Kv)/R - i0)/Kv at 890.63284 rad/s, 18.555249 A, 12.293905 N, 0.186370 N m.

    First-order motor (Drela 2007, from memory); the printed digits, and the quadratic to 1e-9.
    """
    trial = settle(stand())
    speed = float(trial.state.rotor[0].speed_rad_s)
    spot = trial.work.rotor[0]
    assert speed == pytest.approx(
        equilibrium_speed(11.1, SPEED_CONSTANT, 0.10, 0.6, TORQUE_FACTOR), rel=1e-9
    )
    assert speed == pytest.approx(890.63284, abs=6e-5)
    assert spot.current_a == pytest.approx(18.555249, abs=6e-6)
    assert spot.thrust_n == pytest.approx(12.293905, abs=6e-6)
    assert spot.torque_n_m == pytest.approx(0.186370, abs=6e-7)
    assert spot.torque_n_m * speed == pytest.approx(165.98685, abs=6e-5)
    assert spot.torque_n_m * speed / (11.1 * spot.current_a) == pytest.approx(0.805906, abs=1e-6)


@pytest.mark.parametrize(
    ("power_w", "current_a", "volts", "loss_w"),
    [
        (300.0, 18.25381, 16.43492, 6.664),
        (600.0, 37.37747, 16.05245, 27.942),
        (1200.0, 78.82556, 15.22349, 124.269),
    ],
)
def test_pack_sags_under_constant_power(power_w, current_a, volts, loss_w):
    """I = (Voc - sqrt(Voc^2 - 4 R P)) / 2 R for 16.8 V and 0.020 ohm: table to its last digit."""
    trial = settle(stand(16.8, rotors=0, pack_ohm=0.020, idle_w=power_w), 0.001)
    assert trial.work.pack_a == pytest.approx(current_a, abs=6e-6)
    assert trial.work.pack_a == pytest.approx(pack_current(16.8, 0.020, power_w), rel=1e-12)
    assert trial.work.bus_v == pytest.approx(volts, abs=6e-6)
    assert 0.020 * trial.work.pack_a**2 == pytest.approx(loss_w, abs=6e-4)
    assert limit(trial, Limit.PACK_POWER) == 0.0


def test_pack_says_that_it_cannot_deliver():
    """Above Voc^2 / 4 R = 3528 W no voltage serves the load: a mark, half the volts, never NaN."""
    below = settle(stand(16.8, rotors=0, pack_ohm=0.020, idle_w=3527.9), 0.001)
    assert limit(below, Limit.PACK_POWER) == 0.0
    assert below.work.bus_v == pytest.approx(8.4, abs=0.05)
    above = settle(stand(16.8, rotors=0, pack_ohm=0.020, idle_w=3528.1), 0.001)
    assert limit(above, Limit.PACK_POWER) == 1.0
    assert above.work.bus_v == pytest.approx(8.4, rel=1e-9)
    assert np.isfinite(above.work.pack_a)


def currents(trial):
    return trial.works["rotor"]["current_a"][0, : trial.craft.rotor_count]


def watts(trial):
    """Give where the power of the source goes: pack, windings, shafts with iron, idle."""
    rotors = trial.craft.rotor[: trial.craft.rotor_count]
    speeds = trial.states["rotor"]["speed_rad_s"][0, : trial.craft.rotor_count]
    heat_pack = trial.craft.battery.resistance_ohm * trial.work.pack_a**2
    heat_windings = (rotors["resistance_ohm"] * currents(trial) ** 2).sum()
    turned = (currents(trial) * speeds / rotors["speed_constant_rad_s_v"]).sum()
    return heat_pack + heat_windings + turned + trial.craft.battery.electronics_w


@pytest.mark.parametrize("duty", [1.0, 0.7])
def test_no_watt_is_lost(duty):
    """Voc I = R_p I^2 + sum(R i^2) + sum(W i / Kv) + idle, to 1e-9, for two unequal motors.

    And of what turns the shaft the propeller takes all but i0: (i - i0) / Kv = Q at steady speed.
    """
    trial = stand(12.6, rotors=2, pack_ohm=0.030, idle_w=8.0)
    trial.craft.rotor[1].resistance_ohm = 0.14
    for i in range(2):
        trial.state.rotor[i].throttle = duty
    settle(trial)
    assert 12.6 * trial.work.pack_a == pytest.approx(watts(trial), rel=1e-9)
    assert trial.work.bus_v == pytest.approx(12.6 - 0.030 * trial.work.pack_a, rel=1e-12)
    spots = trial.works["rotor"][0, :2]
    shaft = (currents(trial) - 0.6) / SPEED_CONSTANT
    assert spots["torque_n_m"] == pytest.approx(shaft, rel=1e-9)


def test_no_watt_is_lost_at_the_current_limit():
    """The same balance while one motor sits on its limit and the other does not."""
    trial = stand(12.6, rotors=2, pack_ohm=0.030, idle_w=8.0)
    trial.craft.rotor[0].current_limit_a = 9.0
    settle(trial)
    assert currents(trial)[0] == 9.0
    assert currents(trial)[1] > 9.0
    assert 12.6 * trial.work.pack_a == pytest.approx(watts(trial), rel=1e-9)


def test_no_watt_is_lost_while_spinning_up():
    """Nor in a transient: read at every tick of the start, bus and currents of the same moment."""
    trial = stand(12.6, rotors=2, pack_ohm=0.030, idle_w=8.0)
    for i in range(2):
        trial.craft.rotor[i].current_limit_a = 30.0
    limited = 0
    for _ in range(150):
        speeds = trial.states["rotor"]["speed_rad_s"][0, :2].copy()
        settle(trial, 0.001)
        back = (currents(trial) * speeds / SPEED_CONSTANT).sum()
        heat = 0.030 * trial.work.pack_a**2 + (0.10 * currents(trial) ** 2).sum()
        assert 12.6 * trial.work.pack_a == pytest.approx(back + heat + 8.0, rel=1e-9)
        limited += int(limit(trial, Limit.MOTOR_CURRENT))
    assert 10 < limited < 150


@given(
    volts=st.floats(7.0, 26.0),
    pack_ohm=st.floats(0.005, 0.06),
    throttle=st.floats(0.1, 1.0),
    share=st.floats(0.0, 1.05),
    motor_ohm=st.floats(0.02, 0.3),
    limit_a=st.floats(5.0, 60.0),
)
def test_bus_and_currents_belong_together(volts, pack_ohm, throttle, share, motor_ohm, limit_a):
    """V = Voc - R_p I with the very currents that flow, for two motors from rest to free running.

    Whichever of them drives, freewheels or sits on its limit; unless the pack cannot deliver.
    """
    trial = stand(volts, rotors=2, pack_ohm=pack_ohm, idle_w=5.0)
    for i in range(2):
        trial.craft.rotor[i].resistance_ohm = motor_ohm
        trial.craft.rotor[i].current_limit_a = limit_a
        trial.state.rotor[i].throttle = throttle
        free = throttle * volts * SPEED_CONSTANT
        trial.state.rotor[i].speed_rad_s = max(share - 0.05 * i, 0.0) * free
    settle(trial, 0.001)
    assume(not limit(trial, Limit.PACK_POWER))
    assert trial.work.bus_v == pytest.approx(volts - pack_ohm * trial.work.pack_a, rel=1e-9)


def test_current_limit_sets_torque_and_so_speed():
    """On its limit the motor gives (i - i0) / Kv, and the speed is the root of that over k_Q."""
    trial = stand()
    trial.craft.rotor[0].current_limit_a = 10.0
    settle(trial, 6.0)
    torque = (10.0 - 0.6) / SPEED_CONSTANT
    speed = float(trial.state.rotor[0].speed_rad_s)
    assert speed == pytest.approx(math.sqrt(torque / TORQUE_FACTOR), rel=1e-9)
    assert limit(trial, Limit.MOTOR_CURRENT) == 1.0
    trial.craft.rotor[0].current_limit_a = 18.6
    assert limit(settle(trial), Limit.MOTOR_CURRENT) == 0.0


def test_pack_rating_is_marked():
    """Drawing more than the rating of the pack is a limit met, though nothing is cut back."""
    for rating, met in ((18.5, 1.0), (18.6, 0.0)):
        trial = stand()
        trial.craft.battery.current_limit_a = rating
        assert limit(settle(trial), Limit.PACK_CURRENT) == met


@pytest.mark.parametrize("duty", [0.3, 0.6, 0.9])
def test_partial_throttle_is_a_share_of_the_volts(duty):
    """A speed controller at duty d is a motor on d V that draws d i from the bus."""
    trial = stand()
    trial.state.rotor[0].throttle = duty
    settle(trial)
    alone = equilibrium_speed(11.1 * duty, SPEED_CONSTANT, 0.10, 0.6, TORQUE_FACTOR)
    assert trial.state.rotor[0].speed_rad_s == pytest.approx(alone, rel=1e-9)
    assert trial.work.pack_a == pytest.approx(duty * trial.work.rotor[0].current_a, rel=1e-9)


def test_withheld_throttle_costs_thrust():
    """Endpoints that give a tenth less than all at full command are the same as 0.9 throttle."""
    trial = stand()
    trial.craft.rotor[0].full_command = 0.9
    settle(trial)
    alone = equilibrium_speed(11.1 * 0.9, SPEED_CONSTANT, 0.10, 0.6, TORQUE_FACTOR)
    assert trial.state.rotor[0].speed_rad_s == pytest.approx(alone, rel=1e-9)


def test_more_resistance_never_gives_more():
    """Bus volts, thrust and current fall with every milliohm in pack or motor."""
    rows = []
    for ohm in (0.0, 0.01, 0.02, 0.05, 0.1, 0.3):
        trial = settle(stand(12.6, rotors=2, pack_ohm=ohm))
        rows.append((trial.work.bus_v, trial.work.rotor[0].thrust_n, trial.work.pack_a))
    assert np.all(np.diff(rows, axis=0) < 0.0)
    rows = []
    for ohm in (0.02, 0.05, 0.1, 0.2, 0.4):
        trial = stand(12.6, pack_ohm=0.02)
        trial.craft.rotor[0].resistance_ohm = ohm
        settle(trial)
        rows.append((trial.work.rotor[0].thrust_n, trial.work.pack_a))
    assert np.all(np.diff(rows, axis=0) < 0.0)


@pytest.mark.parametrize(("speed", "milliseconds"), [(400.0, 23.709), (890.6, 20.055)])
def test_spin_up_time_constant(speed, milliseconds):
    """tau = J / (1/(R Kv^2) + 2 k_Q W): 23.709 ms at 400 rad/s, 20.055 ms at 890.6 rad/s.

    The decay of a small offset over one time constant of the stand's own steps.
    """
    tau = spin_up_time_constant(3e-5, speed, SPEED_CONSTANT, 0.10, TORQUE_FACTOR)
    assert tau == pytest.approx(1e-3 * milliseconds, abs=6e-7)
    current = TORQUE_FACTOR * speed**2 * SPEED_CONSTANT + 0.6
    volts = speed / SPEED_CONSTANT + current * 0.10
    trial = stand(volts)
    trial.flight.step_s = 1e-5
    trial.state.rotor[0].speed_rad_s = speed + 0.1
    settle(trial, 0.02)
    left = float(trial.state.rotor[0].speed_rad_s) - speed
    # dt / 2 tau is 2.5e-4; the quadratic drag bends by less.
    assert 0.02 / math.log(0.1 / left) == pytest.approx(tau, rel=5e-4)


def test_motor_does_not_brake():
    """Throttle cut: the motor freewheels, drawing nothing, and i0 and the air slow the rotor.

    J dW/dt = -i0/Kv - k_Q W^2 has the solution W = a tan(b - k_Q a t / J), a = sqrt(i0 / Kv k_Q).
    """
    a = math.sqrt(0.6 / SPEED_CONSTANT / TORQUE_FACTOR)
    exact = a * math.tan(math.atan(800.0 / a) - TORQUE_FACTOR * a * 0.2 / 3e-5)
    found = []
    for step_s in (2e-4, 1e-4):
        trial = stand()
        trial.flight.step_s = step_s
        trial.state.rotor[0].speed_rad_s = 800.0
        trial.state.rotor[0].throttle = 0.0
        settle(trial, 0.2)
        assert trial.work.pack_a == 0.0
        found.append(float(trial.state.rotor[0].speed_rad_s))
    assert 2.0 * found[1] - found[0] == pytest.approx(exact, rel=1e-5)


def test_rotor_comes_to_rest_and_stays():
    """Friction stops a rotor; it never turns it backwards."""
    trial = stand()
    trial.state.rotor[0].speed_rad_s = 50.0
    trial.state.rotor[0].throttle = 0.0
    settle(trial, 3.0)
    assert trial.state.rotor[0].speed_rad_s == 0.0


def test_charge_is_what_flowed():
    """dq = -I dt / capacity: 300 W from 16.8 V and 0.020 ohm empty 5 Ah in 5 * 3600 / 18.25381 s.

    The open-circuit volts are held the same at every charge, so the current is steady.
    """
    trial = stand(16.8, rotors=0, pack_ohm=0.020, idle_w=300.0)
    trial.flight.keeps_charge = 0
    trial.craft.battery.capacity_a_s = 5.0 * 3600.0
    trial.flight.step_s = 0.01
    settle(trial, 100.0)
    assert 1.0 - trial.state.charge == pytest.approx(18.25381 * 100.0 / 18_000.0, rel=1e-6)
    trial.flight.keeps_charge = 1
    kept = float(trial.state.charge)
    assert settle(trial, 10.0).state.charge == kept


def test_charge_sets_the_volts():
    """Half-way between the table's nodes the volts are between theirs; beyond its ends, at them."""
    trial = stand(12.0, rotors=0)
    trial.craft.battery.open_circuit_v[:] = np.linspace(9.0, 12.6, 21)
    for charge, volts in ((0.0, 9.0), (0.5, 10.8), (0.525, 10.89), (1.0, 12.6)):
        trial.state.charge = charge
        assert settle(trial, 0.001).work.bus_v == pytest.approx(volts, rel=1e-12)


def test_limits_of_the_builder_are_out_of_the_way():
    """What is not under test is never met: no limit at full throttle."""
    trial = settle(stand())
    assert trial.craft.battery.current_limit_a == HUGE
    assert np.all(trial.work.at_limit == 0.0)
