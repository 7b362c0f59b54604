"""From the neck of a craft file to the hinge record: two bodies, springs, and stops that hold."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from sim.errors import Fault, InputFaults
from sim.mass.assemble import point_inertia
from sim.mass.from_spec import solid_inertia
from sim.mass.plausible import why_inertia_is_impossible
from sim.mass.properties import MassProperties
from sim.params.neck_record import HINGE_SPEEDS
from sim.params.record import FloatArray
from sim.physics.body.hinged_head import (
    pitch_axis_of,
    write_head_rotation,
    write_mass_matrix,
    write_turned_inertia,
)
from sim.spec.neck import USUAL_DAMPING_RATIO, HingedNeck
from sim.spec.structure import HeadSpec

STABLE_SHARE = 0.2
STABLE_DAMPING_SHARE = 0.25
STOP_DAMPING_RATIO = 0.5
POSES = 3
LEAST_INERTIA_KG_M2 = 1e-9


def _refuse(reason: str) -> None:
    raise InputFaults((Fault("head.neck", 0, 0, reason),))


def _mass_matrix(neck: Any, reduced_kg: float, roll_rad: float, pitch_rad: float) -> FloatArray:
    """Give the mass matrix (5, 5) [kg m2] of the hinge in a pose."""
    rotation, turned = np.empty((3, 3)), np.empty((3, 3))
    matrix = np.empty((HINGE_SPEEDS, HINGE_SPEEDS))
    write_head_rotation(roll_rad, pitch_rad, rotation)
    write_turned_inertia(neck.head_inertia_kg_m2, rotation, turned)
    arm = rotation @ neck.head_centre_m
    apart = neck.pivot_m + arm - neck.main_centre_m
    write_mass_matrix(
        neck.main_inertia_kg_m2,
        turned,
        reduced_kg,
        (float(apart[0]), float(apart[1]), float(apart[2])),
        (float(arm[0]), float(arm[1]), float(arm[2])),
        pitch_axis_of(roll_rad),
        matrix,
    )
    return matrix


def least_hinge_inertia_kg_m2(neck: Any) -> FloatArray:
    """Give the least inertia [kg m2] that a moment about each axis moves in any pose, shape (2,).

    Craft and the other axis are free to yield: one over the diagonal of the inverse of the hinge's
    inertia. Zero where there is none.
    """
    reduced = float(neck.head_mass_kg * neck.main_mass_kg / (neck.head_mass_kg + neck.main_mass_kg))
    least = np.full(2, math.inf)
    for roll in np.linspace(-1.0, 1.0, POSES) * float(neck.stop_rad[0]):
        for pitch in np.linspace(-1.0, 1.0, POSES) * float(neck.stop_rad[1]):
            matrix = _mass_matrix(neck, reduced, float(roll), float(pitch))
            turning, both, hinge = matrix[:3, :3], matrix[:3, 3:], matrix[3:, 3:]
            yielding = hinge - both.T @ np.linalg.solve(turning, both)
            if float(np.linalg.eigvalsh(yielding)[0]) <= LEAST_INERTIA_KG_M2:
                return np.zeros(2)
            least = np.minimum(least, 1.0 / np.diag(np.linalg.inv(yielding)))
    return least


def _write_bodies(head: HeadSpec, hinge: HingedNeck, neck: Any, mass: MassProperties) -> None:
    """Write pivot and head, and take the head away from the whole for the rest."""
    place = np.array(head.place.body_m) - mass.centre_m
    pivot = np.array(hinge.pivot.body_m) - mass.centre_m
    kilograms, inertia = head.mass_kg.value, solid_inertia(head)
    rest = mass.mass_kg - kilograms
    if rest <= 0.0:
        _refuse("the head weighs as much as the whole craft was measured to weigh")
    centre = -kilograms / rest * place
    main = mass.inertia_kg_m2 - inertia - kilograms * point_inertia(place)
    main -= rest * point_inertia(centre)
    reason = why_inertia_is_impossible(main)
    if reason:
        _refuse(f"of the measured inertia, too little is left without the head: {reason}")
    neck.pivot_m[:] = pivot
    neck.head_mass_kg = kilograms
    neck.head_centre_m[:] = place - pivot
    neck.head_inertia_kg_m2[:] = inertia
    neck.main_mass_kg = rest
    neck.main_centre_m[:] = centre
    neck.main_inertia_kg_m2[:] = main


def write_neck(
    head: HeadSpec, neck: Any, mass: MassProperties, body_index: int, step_s: float
) -> None:
    """Fill in the hinge record of a craft; a rigid neck leaves it empty.

    Parameters
    ----------
    head : HeadSpec
    neck : record
        `NeckRecord` to fill in.
    mass : MassProperties
        Of the whole craft with its neck straight, without the fabric that moves on its own.
    body_index : int
        Of the head among the drag bodies, -1 when it has no drag.
    step_s : float
        [s] Springs, dampers and stops are no stiffer than this step can carry: both axes together
        stay below twice `STABLE_SHARE` over the step squared (the largest root is at most the sum
        of both), where four is the bound; from there on a neck is as good as rigid.

    Raises
    ------
    InputFaults
        When no body is left beside the head, or the hinge has nothing to turn.
    """
    if not isinstance(head.neck, HingedNeck):
        return
    _write_bodies(head, head.neck, neck, mass)
    neck.is_hinged = 1
    neck.body_index = body_index
    axes = (head.neck.roll, head.neck.pitch)
    neck.stop_rad[:] = [axis.stop_rad for axis in axes]
    least = least_hinge_inertia_kg_m2(neck)
    if not np.all(least > 0.0):
        _refuse("the head has no inertia about its hinge: give it a shape, or move the pivot")
    held = np.diag(_mass_matrix(neck, float(neck.head_mass_kg), 0.0, 0.0))[3:]
    for i, axis in enumerate(axes):
        stiffest = STABLE_SHARE * least[i] / step_s**2
        stiffness = min(axis.stiffness_n_m_rad.value, stiffest)
        given = axis.damping_n_m_s_rad
        critical = 2.0 * math.sqrt(stiffness * held[i])
        damping = USUAL_DAMPING_RATIO * critical if given is None else given.value
        neck.stiffness_n_m_rad[i] = stiffness
        neck.damping_n_m_s_rad[i] = min(damping, STABLE_DAMPING_SHARE * least[i] / step_s)
        neck.stop_stiffness_n_m_rad[i] = stiffest
        neck.stop_damping_n_m_s_rad[i] = 2.0 * STOP_DAMPING_RATIO * math.sqrt(stiffest * least[i])
