"""The map of a propeller in hover only, for comparing many propellers quickly."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from sim.pack.rotor_table import AXIAL_MAX, AXIAL_MIN, EDGE_MAX, RotorMap
from sim.params.craft_record import AXIAL_NODES, EDGE_NODES
from sim.physics.rotor.blade_element import RESULTS, Method, rotor_coefficients, rotor_sweep
from sim.physics.rotor.geometry import propeller_blade
from sim.physics.rotor.section_polar import THIN_CAMBERED
from sim.spec.rotor import PropellerSpec

_GUESSED_THRUST_COEFFICIENT: Final = 0.1
_SLOWER: Final = 0.8


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
    diameter = spec.diameter_m
    turns = math.sqrt(thrust_n / (_GUESSED_THRUST_COEFFICIENT * density_kg_m3 * diameter**4))
    speed = 2.0 * math.pi * turns
    blade = propeller_blade(
        diameter,
        spec.pitch_m,
        spec.blades,
        tuple((row.radius, row.chord) for row in spec.chord_ratio or ()),
        tuple((row.radius, row.angle_rad) for row in spec.twist or ()),
    )
    scale = density_kg_m3 * speed * (0.5 * diameter) ** 2 / viscosity_pa_s
    axial = np.linspace(AXIAL_MIN, AXIAL_MAX, AXIAL_NODES)
    edge = np.linspace(0.0, EDGE_MAX, EDGE_NODES)
    first = int(np.searchsorted(axial, 0.0)) - 1
    nodes = np.zeros((AXIAL_NODES, EDGE_NODES, RESULTS))
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
    here, slower = np.zeros(RESULTS), np.zeros(RESULTS)
    for share, row in ((1.0, here), (_SLOWER, slower)):
        rotor_coefficients(
            blade,
            THIN_CAMBERED,
            0.0,
            0.0,
            Method(share * scale, tip_loss=True, small_angle=False),
            row,
        )
    slopes = (1.0 - slower[:2] / here[:2]) / (1.0 - _SLOWER)
    return RotorMap(
        axial_min=AXIAL_MIN,
        axial_step=float(axial[1] - axial[0]),
        edge_step=float(edge[1]),
        reference_speed_rad_s=speed,
        thrust=nodes[:, :, 0].copy(),
        torque=nodes[:, :, 1].copy(),
        in_plane_force=nodes[:, :, 2].copy(),
        rolling_moment=nodes[:, :, 3].copy(),
        pitching_moment=nodes[:, :, 4].copy(),
        induced=nodes[:, :, 5].copy(),
        thrust_speed_slope=float(slopes[0]),
        torque_speed_slope=float(slopes[1]),
    )
