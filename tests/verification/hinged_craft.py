"""A trial craft whose head hangs on a hinge, written by hand, and what its momenta are."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.physics.body.hinged_head import write_head_rotation
from tests.verification.craft_builder import HUGE, Trial, set_inertia

MAIN_KG, HEAD_KG = 1.1, 0.4
MAIN_INERTIA = np.array([[0.03, 0.002, 0.001], [0.002, 0.05, -0.003], [0.001, -0.003, 0.06]])
HEAD_INERTIA = np.array(
    [[0.004, 0.0003, 0.0002], [0.0003, 0.003, -0.0004], [0.0002, -0.0004, 0.002]]
)
PIVOT = np.array([0.08, 0.02, -0.11])  # from the main body's own CG
ARM = np.array([0.03, -0.01, -0.14])  # the head's CG from the pivot


def across(offset: Any) -> Any:
    """Give the inertia of a kilogram at an offset [m]."""
    offset = np.asarray(offset, dtype=float)
    return offset @ offset * np.eye(3) - np.outer(offset, offset)


def hinged_trial(
    *,
    main_kg: float = MAIN_KG,
    head_kg: float = HEAD_KG,
    main_inertia: Any = MAIN_INERTIA,
    head_inertia: Any = HEAD_INERTIA,
    pivot: Any = PIVOT,
    arm: Any = ARM,
    stiffness: Any = (0.0, 0.0),
    damping: Any = (0.0, 0.0),
    stop: Any = (HUGE, HUGE),
    step_s: float = 1e-3,
) -> Trial:
    """Give a trial of two bodies; `pivot` [m] is from the main body's own CG."""
    trial = Trial()
    trial.flight.step_s = step_s
    craft, neck = trial.craft, trial.craft.neck
    pivot, arm = np.asarray(pivot, dtype=float), np.asarray(arm, dtype=float)
    mass = main_kg + head_kg
    centre = head_kg / mass * (pivot + arm)
    head = pivot + arm - centre
    craft.mass_kg = mass
    whole = np.asarray(main_inertia) + main_kg * across(centre)
    set_inertia(craft, whole + np.asarray(head_inertia) + head_kg * across(head))
    neck.is_hinged = 1
    neck.body_index = -1
    neck.pivot_m[:] = pivot - centre
    neck.head_mass_kg = head_kg
    neck.head_centre_m[:] = arm
    neck.head_inertia_kg_m2[:] = head_inertia
    neck.main_mass_kg = main_kg
    neck.main_centre_m[:] = -centre
    neck.main_inertia_kg_m2[:] = main_inertia
    neck.stiffness_n_m_rad[:] = stiffness
    neck.damping_n_m_s_rad[:] = damping
    neck.stop_rad[:] = stop
    return trial


def rotation_of_head(trial: Trial) -> Any:
    """Give the matrix that turns head axes into body axes."""
    rotation = np.empty((3, 3))
    write_head_rotation(*map(float, trial.state.neck.angle_rad), rotation)
    return rotation


def momenta(trial: Trial) -> Any:
    """Give momentum, angular momentum about the origin of the earth, and kinetic energy (7,).

    Straight from places and speeds of two rigid bodies, without the mass matrix of the step.
    """
    craft, neck, body = trial.craft, trial.craft.neck, trial.state.body
    turn, bent = trial.rotation, rotation_of_head(trial)
    roll = float(trial.state.neck.angle_rad[0])
    axes = np.array([[1.0, 0.0, 0.0], [0.0, np.cos(roll), np.sin(roll)]])
    hinge = trial.state.neck.rate_rad_s @ axes
    arm = bent @ neck.head_centre_m
    place = neck.pivot_m + arm
    rate = np.array(body.rate_rad_s)
    places = [np.array(neck.main_centre_m), place]
    speeds = [np.cross(rate, places[0]), np.cross(rate, place) + np.cross(hinge, arm)]
    rates = [rate, rate + hinge]
    inertias = [np.array(neck.main_inertia_kg_m2), bent @ neck.head_inertia_kg_m2 @ bent.T]
    masses = [float(neck.main_mass_kg), float(neck.head_mass_kg)]
    assert sum(masses) == float(craft.mass_kg)
    total, spin, energy = np.zeros(3), np.zeros(3), 0.0
    for mass, inertia, where, speed, rate_of in zip(
        masses, inertias, places, speeds, rates, strict=True
    ):
        moving = body.velocity_m_s + turn @ speed
        total += mass * moving
        spin += mass * np.cross(body.position_m + turn @ where, moving)
        spin += turn @ (inertia @ rate_of)
        energy += 0.5 * mass * moving @ moving + 0.5 * rate_of @ inertia @ rate_of
    return np.array([*total, *spin, energy])
