"""The map of a propeller in hover only, for comparing many propellers quickly."""

from __future__ import annotations

import numpy as np

from sim.pack.rotor import blade_and_speed
from sim.pack.rotor_table import RotorMap, map_axes, map_of_nodes, speed_slopes
from sim.physics.rotor.blade_element import RESULTS, Method, rotor_sweep
from sim.physics.rotor.section_polar import THIN_CAMBERED
from sim.spec.rotor import PropellerSpec


def static_map(
    spec: PropellerSpec, thrust_n: float, density_kg_m3: float, viscosity_pa_s: float
) -> RotorMap:
    """Compute the two nodes of a propeller's map that hover is read between, the rest zero.

    They are those of the full map bit for bit (a test compares), for a propeller without table and
    measured thrust: blade element momentum theory on diameter, pitch, blades and outline.

    Parameters
    ----------
    spec : PropellerSpec
    thrust_n : float
        [N] Near which the map is made.
    density_kg_m3, viscosity_pa_s : float
        [kg/m3], [Pa s] Air of the day.
    """
    blade, speed = blade_and_speed(spec, thrust_n, density_kg_m3)
    scale = density_kg_m3 * speed * (0.5 * spec.diameter_m) ** 2 / viscosity_pa_s
    axial, edge = map_axes()
    first = int(np.searchsorted(axial, 0.0)) - 1
    nodes = np.zeros((len(axial), len(edge), RESULTS))
    hover = np.zeros((2, 1, RESULTS))
    rotor_sweep(
        blade,
        THIN_CAMBERED,
        axial[first : first + 2],
        edge[:1],
        Method(scale, tip_loss=True, small_angle=False),
        hover,
    )
    nodes[first : first + 2, :1] = hover
    return map_of_nodes(nodes, speed, speed_slopes(blade, THIN_CAMBERED, scale))
