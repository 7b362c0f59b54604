"""A thread between two fabric particles: it pulls and never pushes."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.numerics.vector import Vector
from sim.params.craft_record import LinkRecord


@compiled
def thread_force(link: LinkRecord, apart: Vector, parting: Vector) -> tuple[Vector, float]:
    """Give the pull [N] on the first end and the strain [-].

    `apart` [m] goes from the first to the second end, `parting` [m/s] is the speed of the second
    end seen from the first. Hooke's law with a damper along the thread, zero when slack or when the
    damper alone would push.
    """
    length = math.sqrt(apart[0] * apart[0] + apart[1] * apart[1] + apart[2] * apart[2])
    stretch = length - link.rest_m
    if stretch <= 0.0:
        return (0.0, 0.0, 0.0), 0.0
    along = (apart[0] * parting[0] + apart[1] * parting[1] + apart[2] * parting[2]) / length
    pull = link.stiffness_n_m * stretch + link.damping_n_s_m * along
    if pull <= 0.0:
        return (0.0, 0.0, 0.0), 0.0
    share = pull / length
    return (share * apart[0], share * apart[1], share * apart[2]), stretch / link.rest_m
