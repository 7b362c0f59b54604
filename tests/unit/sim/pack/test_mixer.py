"""Shares of thrust and moment: what the mixer is told gives what is asked."""

from __future__ import annotations

import numpy as np
import pytest

from sim.pack.mixer import LEAST_PITCH_ARM_M, write_mixer
from sim.params.craft_record import BICOPTER, CRAFT_TYPE, TRICOPTER
from sim.spec import load_craft


def mixer_of(spec, pivots):
    record = np.zeros(1, dtype=CRAFT_TYPE)[0]
    write_mixer(spec, record.mixer, np.array(pivots))
    return record.mixer


def test_two_rotors_share_weight_and_roll(craft):
    """Levers 0.3 m left and 0.5 m right of the CG: sum of shares 1, no roll from thrust alone, unit
    roll moment (right side down) and no thrust from roll alone.
    """
    mixer = mixer_of(craft(), [[0.0, -0.3, -0.1], [0.0, 0.5, -0.1]])
    assert int(mixer.layout) == BICOPTER
    levers = np.array([-0.3, 0.5])
    share, roll = mixer.thrust_share[:2], mixer.thrust_per_roll[:2]
    assert share.sum() == pytest.approx(1.0)
    assert float(-levers @ share) == pytest.approx(0.0, abs=1e-15)
    assert roll.sum() == pytest.approx(0.0, abs=1e-15)
    assert float(-levers @ roll) == pytest.approx(1.0)
    assert float(mixer.pitch_arm_m) == pytest.approx(0.1)
    assert float(mixer.yaw_arm_m) == pytest.approx(0.4)


@pytest.mark.parametrize("down_m", [-0.01, 0.0, 0.2])
def test_the_lever_for_pitch_is_never_believed_shorter_than_it_must_be(craft, down_m):
    """A CG at or above the pivots is not known to the flight controller."""
    mixer = mixer_of(craft(), [[0.0, -0.4, down_m], [0.0, 0.4, down_m]])
    assert float(mixer.pitch_arm_m) == LEAST_PITCH_ARM_M


def test_three_rotors_give_thrust_roll_and_pitch_apart(repository):
    """The shares are the inverse of what thrusts do: T = sum t, L = -sum y t, M = sum x t."""
    spec = load_craft(repository / "airframes" / "heron_tricopter.yaml").spec
    pivots = np.array([[0.3, -0.4, -0.1], [0.3, 0.4, -0.1], [-0.5, 0.02, -0.1]])
    mixer = mixer_of(spec, pivots)
    assert int(mixer.layout) == TRICOPTER
    given = np.stack(
        [mixer.thrust_share[:3], mixer.thrust_per_roll[:3], mixer.thrust_per_pitch[:3]]
    )
    effect = np.stack([np.ones(3), -pivots[:, 1], pivots[:, 0]])
    assert effect @ given.T == pytest.approx(np.eye(3), abs=1e-12)
    tail = next(i for i, rotor in enumerate(spec.rotors) if rotor.tilt is not None)
    assert int(mixer.tail) == tail
    assert float(mixer.yaw_arm_m) == pytest.approx(-pivots[tail, 0])
