"""A head on a neck that bends: what is constant, what moves, and the scratch of a step."""

from __future__ import annotations

from typing import Annotated

from sim.params.record import FloatArray, Quantity

HINGE_SPEEDS = 5


class NeckRecord:
    """The hinge between craft and head: roll, then pitch, about one pivot.

    The craft's reference point stays the centre of gravity of craft and head with the neck
    straight; the mass and inertia of `CraftRecord` are those of both, straight.
    """

    is_hinged: Annotated[int, Quantity("-", "1: the neck bends; 0: the head is part of the craft")]
    body_index: Annotated[int, Quantity("-", "the head among the drag bodies; -1 without drag")]
    pivot_m: Annotated[FloatArray, Quantity("m", "body axes from the reference point", (3,))]
    head_mass_kg: Annotated[float, Quantity("kg", "what hangs on the hinge")]
    head_centre_m: Annotated[
        FloatArray, Quantity("m", "the head's CG from the pivot, neck straight", (3,))
    ]
    head_inertia_kg_m2: Annotated[
        FloatArray, Quantity("kg m2", "about the head's own CG, neck straight", (3, 3))
    ]
    main_mass_kg: Annotated[float, Quantity("kg", "the craft without its head")]
    main_centre_m: Annotated[
        FloatArray, Quantity("m", "its own CG from the reference point, body axes", (3,))
    ]
    main_inertia_kg_m2: Annotated[
        FloatArray, Quantity("kg m2", "about its own CG, body axes", (3, 3))
    ]
    stiffness_n_m_rad: Annotated[FloatArray, Quantity("N m/rad", "about roll, pitch", (2,))]
    damping_n_m_s_rad: Annotated[FloatArray, Quantity("N m s/rad", "about roll, pitch", (2,))]
    stop_rad: Annotated[FloatArray, Quantity("rad", "travel each way, roll, pitch", (2,))]
    stop_stiffness_n_m_rad: Annotated[
        FloatArray, Quantity("N m/rad", "beyond the stop, from the stable step", (2,))
    ]
    stop_damping_n_m_s_rad: Annotated[FloatArray, Quantity("N m s/rad", "beyond it", (2,))]


class NeckStateRecord:
    """How the neck is bent."""

    angle_rad: Annotated[FloatArray, Quantity("rad", "roll, pitch of the head to the craft", (2,))]
    rate_rad_s: Annotated[FloatArray, Quantity("rad/s", "of these angles", (2,))]


class NeckWorkRecord:
    """Scratch of the hinge in the present step."""

    arm_m: Annotated[FloatArray, Quantity("m", "the head's CG from the pivot, body axes", (3,))]
    pitch_axis: Annotated[FloatArray, Quantity("-", "of the hinge, body axes", (3,))]
    drag_n: Annotated[FloatArray, Quantity("N", "of the air on the head, body axes", (3,))]
    fabric_n_m: Annotated[
        FloatArray, Quantity("N m", "of fabric that touches the head, about roll, pitch", (2,))
    ]
    head_rotation: Annotated[FloatArray, Quantity("-", "head axes to body axes", (3, 3))]
    head_inertia_kg_m2: Annotated[FloatArray, Quantity("kg m2", "body axes", (3, 3))]
    matrix: Annotated[
        FloatArray, Quantity("kg m2", "mass matrix or its factor", (HINGE_SPEEDS, HINGE_SPEEDS))
    ]
    momentum: Annotated[FloatArray, Quantity("N m s", "of these speeds", (HINGE_SPEEDS,))]
    rates: Annotated[FloatArray, Quantity("rad/s", "body rates, then hinge rates", (HINGE_SPEEDS,))]
    attitude: Annotated[FloatArray, Quantity("-", "as in the state, ahead of the step", (4,))]
    rotation: Annotated[FloatArray, Quantity("-", "body to earth, ahead of the step", (3, 3))]
