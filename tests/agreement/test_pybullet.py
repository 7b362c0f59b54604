"""A free body under gravity and spin, flown by the step and by an independent rigid-body engine.

The other engine integrates semi-implicitly, with its own damping switched off; it is less exact in
rotation than the step, so the tolerance is its own: first order in a step of 1 ms.
"""

from __future__ import annotations

import numpy as np
import pytest

from sim.numerics.quaternion import turned
from sim.physics.body.rigid_body import free_turn

pybullet = pytest.importorskip("pybullet")

STEP_S = 1e-3
TICKS = 1000
INERTIA = (0.05, 0.06, 0.09)
RATE = (0.4, -0.3, 0.8)


def test_a_tumbling_body_turns_alike():
    """Euler's equation without moment: the body rates of both engines after one second agree."""
    client = pybullet.connect(pybullet.DIRECT)
    try:
        body = pybullet.createMultiBody(baseMass=1.0)
        pybullet.changeDynamics(
            body, -1, localInertiaDiagonal=INERTIA, linearDamping=0.0, angularDamping=0.0
        )
        pybullet.setTimeStep(STEP_S)
        pybullet.resetBaseVelocity(body, (0.0, 0.0, 0.0), RATE)
        for _ in range(TICKS):
            pybullet.stepSimulation()
        _, spin = pybullet.getBaseVelocity(body)
        _, (x, y, z, w) = pybullet.getBasePositionAndOrientation(body)
    finally:
        pybullet.disconnect(client)
    inertia = np.diag(INERTIA)
    inverse = np.linalg.inv(inertia)
    attitude, rate = (1.0, 0.0, 0.0, 0.0), RATE
    for _ in range(TICKS):
        new = free_turn(inertia, inverse, rate, STEP_S)
        mean = tuple(0.5 * STEP_S * (a + b) for a, b in zip(rate, new, strict=True))
        attitude, rate = turned(attitude, mean), new
    theirs = np.array(pybullet.getMatrixFromQuaternion((x, y, z, w))).reshape(3, 3).T @ spin
    assert rate == pytest.approx(theirs, abs=2e-3)
    assert abs(np.dot(attitude, (w, x, y, z))) == pytest.approx(1.0, abs=1e-5)
