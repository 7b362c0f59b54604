"""The map of one propeller over axial and edgewise flow, from theory and from measurements.

Coefficients are in the rotor convention: C_T = T / (rho A (Omega R)^2),
C_Q = Q / (rho A (Omega R)^2 R). A user's table is in the propeller convention, n in turns per
second: J = V / (n D), C_T = T / (rho n^2 D^4), C_P = P / (rho n^3 D^5).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.errors import SimError
from sim.params.craft_record import AXIAL_NODES, EDGE_NODES
from sim.physics.rotor.blade_element import RESULTS, Method, rotor_coefficients, rotor_sweep
from sim.physics.rotor.geometry import Blade
from sim.physics.rotor.inflow import induced_speed
from sim.physics.rotor.section_polar import THIN_CAMBERED, Section

FloatArray = NDArray[np.float64]

# Hover lies in the middle between two rows, so that reading the map has a derivative there.
AXIAL_MIN: Final = -0.155
AXIAL_MAX: Final = 0.345
EDGE_MAX: Final = 0.4
ROTOR_THRUST_PER_TABLE_THRUST: Final = 4.0 / math.pi**3
ROTOR_TORQUE_PER_TABLE_POWER: Final = 4.0 / math.pi**4
AXIAL_PER_ADVANCE: Final = 1.0 / math.pi
# The Reynolds effect is measured between the reference speed and this share of it.
_SLOWER: Final = 0.8
# Weight of keeping a node where the smooth line has it against meeting a row of the table.
_NODE_WEIGHT: Final = 0.1
_LEAST_ROWS: Final = 2


class PerformanceRow(NamedTuple):
    """One row of a propeller table, propeller convention.

    Attributes
    ----------
    advance : float
        [-] J.
    thrust : float
        [-] C_T.
    power : float
        [-] C_P.
    """

    advance: float
    thrust: float
    power: float


class StaticReading(NamedTuple):
    """A thrust measured on a stand in still air.

    Attributes
    ----------
    thrust_n : float
        [N] Thrust of one rotor.
    speed_rad_s : float
        [rad/s] Rotor speed.
    """

    thrust_n: float
    speed_rad_s: float


@dataclass(frozen=True)
class RotorMap:
    """Coefficients of a propeller on a uniform grid, at one rotor speed.

    Signs of moments and of the in-plane force are those of
    `sim.physics.rotor.blade_element.rotor_coefficients`.

    Attributes
    ----------
    axial_min, axial_step : float
        [-] First row and distance of rows, climb speed over tip speed.
    edge_step : float
        [-] Distance of columns, speed along the disc over tip speed; the first column is 0.
    reference_speed_rad_s : float
        [rad/s] Rotor speed that the coefficients hold for.
    thrust, torque, in_plane_force, rolling_moment, pitching_moment : ndarray, shape (axial, edge)
        [-] Coefficients.
    induced : ndarray, shape (axial, edge)
        [-] Mean induced speed over tip speed.
    thrust_speed_slope, torque_speed_slope : float
        [-] At another speed the static coefficient is (1 + slope (speed / reference - 1)) times the
        one at the reference speed.
    thrust_scale, torque_scale : float
        [-] What a measured static thrust multiplied the estimate by; 1 without one.
    table_axial_max : float
        [-] Last axial ratio that the user's table covers; nan without a table. Beyond it the
        correction of the last row is kept, which is a guess.
    """

    axial_min: float
    axial_step: float
    edge_step: float
    reference_speed_rad_s: float
    thrust: FloatArray
    torque: FloatArray
    in_plane_force: FloatArray
    rolling_moment: FloatArray
    pitching_moment: FloatArray
    induced: FloatArray
    thrust_speed_slope: float
    torque_speed_slope: float
    thrust_scale: float = 1.0
    torque_scale: float = 1.0
    table_axial_max: float = math.nan

    @property
    def axial(self) -> FloatArray:
        """Give the axial ratio [-] of each row."""
        return self.axial_min + self.axial_step * np.arange(self.thrust.shape[0], dtype=np.float64)

    @property
    def edge(self) -> FloatArray:
        """Give the edgewise ratio [-] of each column."""
        return self.edge_step * np.arange(self.thrust.shape[1], dtype=np.float64)

    def static(self) -> tuple[float, float]:
        """Give thrust and torque coefficients [-] in hover, from the rows around it."""
        return (
            float(np.interp(0.0, self.axial, self.thrust[:, 0])),
            float(np.interp(0.0, self.axial, self.torque[:, 0])),
        )


def rotor_map(
    blade: Blade,
    radius_m: float,
    reference_speed_rad_s: float,
    density_kg_m3: float,
    viscosity_pa_s: float,
    *,
    table: Sequence[PerformanceRow] = (),
    reading: StaticReading | None = None,
    section: Section = THIN_CAMBERED,
) -> RotorMap:
    """Compute the map of a propeller.

    Parameters
    ----------
    blade : Blade
        [-] Blades cut into annuli, from `propeller_blade`.
    radius_m : float
        [m] Tip radius.
    reference_speed_rad_s : float
        [rad/s] Rotor speed near hover, for the Reynolds number.
    density_kg_m3, viscosity_pa_s : float
        [kg/m3] and [Pa s] Air of the day.
    table : sequence of PerformanceRow
        [-] Measured coefficients with ascending advance ratio; empty when there are none. They
        replace the estimate in axial flow; the edgewise dependence stays that of the theory.
    reading : StaticReading, optional
        [-] Measured static thrust. It scales all thrust, and torque by the power of 3/2 of that, as
        if the propeller kept its figure of merit.
    section : Section
        [-] Blade section.

    Returns
    -------
    RotorMap
        [-] On `AXIAL_NODES` by `EDGE_NODES` nodes.

    Raises
    ------
    SimError
        If the table has fewer than two rows or its advance ratio does not ascend.
    """
    tip_speed_scale = density_kg_m3 * reference_speed_rad_s * radius_m**2 / viscosity_pa_s
    axial, edge = map_axes()
    nodes = np.zeros((AXIAL_NODES, EDGE_NODES, RESULTS))
    rotor_sweep(
        blade,
        section,
        axial,
        edge,
        Method(tip_speed_scale, tip_loss=True, small_angle=False),
        nodes,
    )
    estimate = map_of_nodes(
        nodes, reference_speed_rad_s, speed_slopes(blade, section, tip_speed_scale)
    )
    if table:
        estimate = _follow_table(estimate, table)
    if reading is not None:
        estimate = _scale_to_reading(estimate, reading, density_kg_m3, radius_m)
    return estimate


def table_lines(
    table: Sequence[PerformanceRow], axial: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Read a propeller table in the rotor convention, monotone between its rows.

    Parameters
    ----------
    table : sequence of PerformanceRow
        [-] Ascending advance ratio, two rows or more.
    axial : ndarray, shape (any,)
        [-] Axial ratios; outside the table its end values are held.

    Returns
    -------
    tuple of ndarray, shape (any,)
        [-] Thrust and torque coefficients (piecewise cubic of Fritsch and Butland, 1984).

    Raises
    ------
    SimError
        If the table has fewer than two rows or its advance ratio does not ascend.
    """
    rows = np.asarray(table, dtype=float)
    if len(rows) < _LEAST_ROWS or np.any(np.diff(rows[:, 0]) <= 0.0):
        message = (
            f"propeller table: {len(rows)} rows with advance {rows[:, 0].tolist()}; give two or "
            "more, each with a larger advance than the one before"
        )
        raise SimError(message)
    nodes = rows[:, 0] * AXIAL_PER_ADVANCE
    inside = np.clip(axial, nodes[0], nodes[-1])
    from scipy.interpolate import PchipInterpolator  # noqa: PLC0415 - slow to import, seldom used

    thrust = PchipInterpolator(nodes, rows[:, 1])(inside) * ROTOR_THRUST_PER_TABLE_THRUST
    torque = PchipInterpolator(nodes, rows[:, 2])(inside) * ROTOR_TORQUE_PER_TABLE_POWER
    return thrust, torque


def map_axes() -> tuple[FloatArray, FloatArray]:
    """Give the axial and the edgewise ratios [-] of the nodes of every map."""
    return np.linspace(AXIAL_MIN, AXIAL_MAX, AXIAL_NODES), np.linspace(0.0, EDGE_MAX, EDGE_NODES)


def map_of_nodes(
    nodes: FloatArray, reference_speed_rad_s: float, slopes: tuple[float, float]
) -> RotorMap:
    """Give a map from what blade element theory filled in, (AXIAL_NODES, EDGE_NODES, RESULTS).

    `slopes` are those of thrust and torque against rotor speed, from `speed_slopes`.
    """
    axial, edge = map_axes()
    return RotorMap(
        axial_min=AXIAL_MIN,
        axial_step=float(axial[1] - axial[0]),
        edge_step=float(edge[1]),
        reference_speed_rad_s=reference_speed_rad_s,
        thrust=nodes[:, :, 0].copy(),
        torque=nodes[:, :, 1].copy(),
        in_plane_force=nodes[:, :, 2].copy(),
        rolling_moment=nodes[:, :, 3].copy(),
        pitching_moment=nodes[:, :, 4].copy(),
        induced=nodes[:, :, 5].copy(),
        thrust_speed_slope=slopes[0],
        torque_speed_slope=slopes[1],
    )


def speed_slopes(blade: Blade, section: Section, reynolds_scale: float) -> tuple[float, float]:
    """Give the relative change of static thrust and torque coefficients per relative speed [-]."""
    here = np.zeros(RESULTS)
    slower = np.zeros(RESULTS)
    rotor_coefficients(
        blade, section, 0.0, 0.0, Method(reynolds_scale, tip_loss=True, small_angle=False), here
    )
    rotor_coefficients(
        blade,
        section,
        0.0,
        0.0,
        Method(_SLOWER * reynolds_scale, tip_loss=True, small_angle=False),
        slower,
    )
    slopes = (1.0 - slower[:2] / here[:2]) / (1.0 - _SLOWER)
    return float(slopes[0]), float(slopes[1])


def _follow_table(estimate: RotorMap, table: Sequence[PerformanceRow]) -> RotorMap:
    """Add to every column what brings the axial one onto the table; held beyond its ends."""
    axial = estimate.axial
    row_axial = np.asarray([row.advance for row in table]) * AXIAL_PER_ADVANCE
    inside = np.clip(axial, row_axial[0], row_axial[-1])
    loads = []
    for before, line, at_rows in zip(
        (estimate.thrust, estimate.torque),
        table_lines(table, axial),
        table_lines(table, row_axial),
        strict=True,
    ):
        theory = before[:, 0]
        corrected = theory + line - np.interp(inside, axial, theory)
        corrected = _meet_rows(axial, corrected, row_axial, at_rows)
        loads.append(before + (corrected - theory)[:, None])
    thrust, torque = loads
    return _with_loads(replace(estimate, table_axial_max=float(row_axial[-1])), thrust, torque)


def _meet_rows(
    axial: FloatArray, line: FloatArray, row_axial: FloatArray, row_value: FloatArray
) -> FloatArray:
    """Shift nodes of a line [-] a little, so that reading it straight meets the table's rows.

    A map read linearly cuts the bends of a curve between its nodes. The least change of nodes that
    brings the reading at the rows (relative error) back is found by damped least squares. Nodes
    next to no row stay.
    """
    cell = np.clip(np.searchsorted(axial, row_axial, side="right") - 1, 0, axial.size - 2)
    share = (row_axial - axial[cell]) / (axial[1] - axial[0])
    reading = np.zeros((row_axial.size, axial.size))
    each = np.arange(row_axial.size)
    reading[each, cell] = 1.0 - share
    reading[each, cell + 1] = share
    reading[(share < 0.0) | (share > 1.0)] = 0.0
    size = np.abs(row_value) + 1e-3 * np.max(np.abs(row_value))
    miss = np.where(reading.any(axis=1), row_value - reading @ line, 0.0) / size
    # Unknowns are node changes over the size of the largest value.
    largest = np.max(np.abs(row_value))
    matrix = np.vstack((reading * (largest / size)[:, None], _NODE_WEIGHT * np.eye(axial.size)))
    change = np.linalg.lstsq(matrix, np.concatenate((miss, np.zeros(axial.size))), rcond=None)[0]
    return np.asarray(line + largest * change)


def _scale_to_reading(
    estimate: RotorMap, reading: StaticReading, density_kg_m3: float, radius_m: float
) -> RotorMap:
    """Scale the map so that the static thrust at the reading's speed is the measured one."""
    relative = reading.speed_rad_s / estimate.reference_speed_rad_s
    static = estimate.static()[0] * (1.0 + estimate.thrust_speed_slope * (relative - 1.0))
    pressure = density_kg_m3 * math.pi * radius_m**2 * (reading.speed_rad_s * radius_m) ** 2
    scale = reading.thrust_n / (pressure * static)
    scaled = replace(
        estimate,
        in_plane_force=estimate.in_plane_force * scale,
        rolling_moment=estimate.rolling_moment * scale,
        pitching_moment=estimate.pitching_moment * scale,
        thrust_scale=scale,
        torque_scale=scale**1.5,
    )
    return _with_loads(scaled, estimate.thrust * scale, estimate.torque * scale**1.5)


def _with_loads(before: RotorMap, thrust: FloatArray, torque: FloatArray) -> RotorMap:
    """Replace thrust and torque [-], and shift the induced inflow as momentum theory asks."""
    induced = before.induced.copy()
    for i, axial in enumerate(before.axial):
        for j, edge in enumerate(before.edge):
            induced[i, j] += _mean_induced(thrust[i, j], axial, edge)
            induced[i, j] -= _mean_induced(before.thrust[i, j], axial, edge)
    return replace(before, thrust=thrust, torque=torque, induced=induced)


def _mean_induced(thrust: float, axial: float, edge: float) -> float:
    """Give the uniform induced inflow [-] of a signed thrust coefficient in any flow."""
    side = 1.0 if thrust >= 0.0 else -1.0
    return side * induced_speed(math.sqrt(0.5 * abs(thrust)), side * axial, edge)
