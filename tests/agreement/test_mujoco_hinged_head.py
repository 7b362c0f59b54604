"""Craft and head on a hinge against a general multibody engine: two bodies, a universal joint."""

import math

import numpy as np
import pytest

from tests.verification.craft_builder import GRAVITY, add_thruster, make_tilting
from tests.verification.hinged_craft import (
    ARM,
    HEAD_INERTIA,
    HEAD_KG,
    MAIN_INERTIA,
    MAIN_KG,
    PIVOT,
    hinged_trial,
)

mujoco = pytest.importorskip("mujoco")

OPTIONS = f'<option timestep="1e-4" integrator="RK4" gravity="0 0 {GRAVITY}"/>'
STIFFNESS, DAMPING = (2.5, 1.8), (0.03, 0.02)
RATE, ANGLE, HINGE_RATE = (0.8, -1.1, 0.6), (0.5, -0.4), (1.5, -2.0)
PLACE, LEAN, THRUST_N = (0.02, 0.05, -0.1), 0.1, 8.0


def ours(step_s, push_n, seconds=1.0):
    """Give place, attitude, neck, speeds and rates after a second of tumbling under a push."""
    trial = hinged_trial(stiffness=STIFFNESS, damping=DAMPING, step_s=step_s)
    if push_n > 0.0:
        rotor = add_thruster(trial, PLACE, push_n)
        make_tilting(rotor, frequency_rad_s=0.0, damping=0.0, slew_rad_s=0.0)
        trial.state.rotor[0].servo_rad = trial.state.rotor[0].tilt_rad = LEAN
    body, neck = trial.state.body, trial.state.neck
    body.rate_rad_s[:] = RATE
    neck.angle_rad[:], neck.rate_rad_s[:] = ANGLE, HINGE_RATE
    start = body.position_m.copy()
    trial.run_s(seconds)
    moved = body.position_m - start
    return np.concatenate(
        [moved, body.attitude, neck.angle_rad, body.velocity_m_s, body.rate_rad_s, neck.rate_rad_s]
    )


def theirs(push_n, seconds=1.0):
    """Give the same of the engine, whose body frame stands at our reference point."""
    neck = hinged_trial().craft.neck
    push = push_n * np.array([-math.sin(LEAN), 0.0, -math.cos(LEAN)])
    gear = " ".join(str(x) for x in (*push, *np.cross(PLACE, push)))

    def text(values):
        return " ".join(repr(float(x)) for x in values)

    def full(m):
        return text((m[0, 0], m[1, 1], m[2, 2], m[0, 1], m[0, 2], m[1, 2]))

    hinges = "".join(
        f'<joint type="hinge" axis="{axis}" stiffness="{STIFFNESS[i]}" damping="{DAMPING[i]}"/>'
        for i, axis in enumerate(("1 0 0", "0 1 0"))
    )
    model = mujoco.MjModel.from_xml_string(f"""<mujoco>{OPTIONS}<worldbody>
      <body name="craft"><freejoint/><site name="origin"/>
        <inertial pos="{text(neck.main_centre_m)}" mass="{MAIN_KG}"
          fullinertia="{full(MAIN_INERTIA)}"/>
        <body pos="{text(neck.pivot_m)}">{hinges}
          <inertial pos="{text(ARM)}" mass="{HEAD_KG}" fullinertia="{full(HEAD_INERTIA)}"/>
        </body>
      </body></worldbody>
      <actuator><general site="origin" gear="{gear}"/></actuator></mujoco>""")
    data = mujoco.MjData(model)
    data.ctrl[0] = 1.0
    data.qvel[3:6], data.qvel[6:8], data.qpos[7:9] = RATE, HINGE_RATE, ANGLE
    for _ in range(round(seconds / model.opt.timestep)):
        mujoco.mj_step(model, data)
    return np.concatenate([data.qpos, data.qvel])


@pytest.mark.parametrize("push_n", [0.0, THRUST_N])
def test_tumbling_craft_with_a_swinging_head(push_n):
    """All nine coordinates and eight speeds after a second, in metres, radians and seconds.

    The step is of first order: halving it halves what it is off. Two extrapolations take away what
    goes with the step and with its square; what is left is of third order.
    """
    known = theirs(push_n)
    assert np.linalg.norm(known[7:9] - ANGLE) > 0.1, "the neck must have moved"
    coarse, middle, fine = (ours(h, push_n) for h in (5e-4, 2.5e-4, 1.25e-4))
    off = [np.abs(x - known).max() for x in (coarse, middle, fine)]
    assert off[0] / off[1] == pytest.approx(2.0, abs=0.1)
    assert off[1] / off[2] == pytest.approx(2.0, abs=0.05)
    once = (2.0 * middle - coarse, 2.0 * fine - middle)
    assert (4.0 * once[1] - once[0]) / 3.0 == pytest.approx(known, abs=2e-6)


def test_pivot_and_arm_are_those_of_both_engines():
    """The reference point is the common CG, so that the pivot lies elsewhere."""
    neck = hinged_trial().craft.neck
    share = HEAD_KG / (MAIN_KG + HEAD_KG)
    assert neck.pivot_m == pytest.approx(PIVOT - share * (PIVOT + ARM), abs=1e-15)
