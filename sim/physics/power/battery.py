"""Pack voltage: open circuit by charge, and the closed form of its sag under all loads at once."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from sim.numerics.compile import compiled

FloatArray = NDArray[np.float64]

LITHIUM_POLYMER: Final = "lithium_polymer"
LITHIUM_ION: Final = "lithium_ion"
LITHIUM_IRON_PHOSPHATE: Final = "lithium_iron_phosphate"

# Rested cell volts at charge 0, 0.1, ... 1.0; from memory of typical discharge curves, no source.
# Lithium ion: nickel-rich round cells.
_CELL_VOLTS: Final = {
    LITHIUM_POLYMER: (3.27, 3.68, 3.73, 3.77, 3.80, 3.84, 3.87, 3.95, 4.02, 4.11, 4.20),
    LITHIUM_ION: (2.90, 3.32, 3.47, 3.56, 3.62, 3.69, 3.78, 3.88, 3.97, 4.06, 4.18),
    LITHIUM_IRON_PHOSPHATE: (2.60, 3.18, 3.23, 3.26, 3.28, 3.29, 3.30, 3.31, 3.32, 3.33, 3.45),
}
CHEMISTRIES: Final = tuple(_CELL_VOLTS)


def open_circuit_table(chemistry: str, cells: int, nodes: int) -> FloatArray:
    """Give the open-circuit volts of a pack at equal steps of charge.

    Parameters
    ----------
    chemistry : str
        One of `CHEMISTRIES`.
    cells : int
        [-] In series.
    nodes : int
        [-] Number of values, the first empty, the last full.

    Returns
    -------
    ndarray, shape (nodes,)
        [V] Rising with charge.
    """
    cell = np.asarray(_CELL_VOLTS[chemistry])
    charges = np.linspace(0.0, 1.0, nodes)
    return np.asarray([cells * open_circuit_voltage(cell, float(charge)) for charge in charges])


@compiled
def _node_slope(before: float, here: float, after: float) -> float:
    """Give a slope [V per step] at a node that keeps a rising curve rising (harmonic mean)."""
    left = here - before
    right = after - here
    if left * right <= 0.0:
        return 0.0
    return 2.0 * left * right / (left + right)


@compiled
def open_circuit_voltage(table: FloatArray, charge: float) -> float:
    """Read an open-circuit table at a charge, smoothly and without overshoot.

    Parameters
    ----------
    table : ndarray, shape (nodes,)
        [V] At charge 0 to 1 in equal steps, three nodes or more.
    charge : float
        [-] Share of the capacity left; below 0 and above 1 the end values hold.

    Returns
    -------
    float
        [V] Open-circuit voltage.

    References
    ----------
    Monotone piecewise cubic with harmonic-mean slopes: Fritsch and Butland, SIAM J. Sci. Stat.
    Comput. 5, 1984 (from memory).
    """
    last = table.size - 1
    place = min(max(charge, 0.0), 1.0) * last
    k = min(int(place), last - 1)
    share = place - k
    low = table[k]
    high = table[k + 1]
    rise = high - low
    slope_low = _node_slope(table[k - 1], low, high) if k > 0 else rise
    slope_high = _node_slope(low, high, table[k + 2]) if k + 1 < last else rise
    bend_low = slope_low - rise
    bend_high = slope_high - rise
    rest = 1.0 - share
    return float(low + share * rise + share * rest * (rest * bend_low - share * bend_high))


@compiled
def bus_voltage(
    open_circuit_v: float,
    resistance_ohm: float,
    constant_power_w: float,
    current_without_voltage_a: float,
    conductance_s: float,
) -> tuple[float, bool]:
    r"""Solve the bus voltage for all loads at once.

    A motor at duty d draws d i from the bus, with i = (d V - Omega / Kv) / R. Summed over rotors,
    and with electronics (or rotors held at their current limit) of constant power P:

    .. math:: I = G V - J_0 + P / V, \quad G = \sum d^2 / R, \quad J_0 = \sum d\,\Omega / (K_v R)

    With V = V_oc - R_p I this is :math:`(1 + R_p G) V^2 - (V_{oc} + R_p J_0) V + R_p P = 0`, whose
    upper root is the stable one.

    Parameters
    ----------
    open_circuit_v : float
        [V] V_oc of the pack.
    resistance_ohm : float
        [ohm] R_p, pack, wiring and connectors.
    constant_power_w : float
        [W] P, drawn at any voltage.
    current_without_voltage_a : float
        [A] J_0, from the spinning motors' own voltage.
    conductance_s : float
        [S] G, of the motors seen from the bus.

    Returns
    -------
    volts : float
        [V] Bus voltage. When the pack cannot deliver, that at which it gives most.
    deliverable : bool
        [-] False when no voltage satisfies the loads.
    """
    twice_lead = 2.0 * (1.0 + resistance_ohm * conductance_s)
    source = open_circuit_v + resistance_ohm * current_without_voltage_a
    discriminant = source * source - 2.0 * twice_lead * resistance_ohm * constant_power_w
    if discriminant < 0.0:
        return source / twice_lead, False
    return (source + math.sqrt(discriminant)) / twice_lead, True


@compiled
def pack_current(open_circuit_v: float, resistance_ohm: float, constant_power_w: float) -> float:
    r"""Give the current of a pack under one load of constant power.

    .. math:: I = \frac{2 P}{V_{oc} + \sqrt{V_{oc}^2 - 4 R P}}

    Parameters
    ----------
    open_circuit_v : float
        [V] V_oc.
    resistance_ohm : float
        [ohm] R.
    constant_power_w : float
        [W] P at the terminals.

    Returns
    -------
    float
        [A] I; above `most_power` the current of most power, which gives less than P.
    """
    discriminant = open_circuit_v * open_circuit_v - 4.0 * resistance_ohm * constant_power_w
    if discriminant < 0.0:
        return 0.5 * open_circuit_v / resistance_ohm
    return 2.0 * constant_power_w / (open_circuit_v + math.sqrt(discriminant))


@compiled
def most_power(open_circuit_v: float, resistance_ohm: float) -> float:
    """Give the most power that a pack can deliver, V_oc^2 / (4 R).

    Parameters
    ----------
    open_circuit_v : float
        [V] Open-circuit voltage.
    resistance_ohm : float
        [ohm] Pack, wiring and connectors; above zero.

    Returns
    -------
    float
        [W] Power at the terminals, at half the open-circuit voltage.
    """
    return 0.25 * open_circuit_v * open_circuit_v / resistance_ohm
