"""How the ground raises the thrust of a rotor close above it."""

from __future__ import annotations

from sim.numerics.compile import compiled

# The source compared with tests down to about half a radius; at a quarter it divides by zero.
LOWEST_HEIGHT_RATIO = 0.5


@compiled
def ground_effect_ratio(height_ratio: float, edge_ratio: float) -> float:
    r"""Give thrust near the ground over thrust far from it, at equal power.

    .. math:: T/T_\infty = 1 / \left(1 - \frac{(R / 4 z)^2}{1 + (V/v_i)^2}\right)

    Below half a radius the value at half a radius is kept (clamped): the formula diverges at a
    quarter radius. Far up it tends to 1 as (R/4z)^2, without a step.

    Parameters
    ----------
    height_ratio : float
        [-] z/R, height of the disc above the ground over its radius.
    edge_ratio : float
        [-] V/v_i, flow along the disc over induced speed; 0 in hover without wind.

    Returns
    -------
    float
        [-] Thrust ratio, from 1 to 4/3.

    References
    ----------
    Cheeseman and Bennett, ARC R&M 3021, 1955 (formulas from memory). A fit to measurements, Hayden
    1976 (from memory), gives 2.6 % more at z/R = 1, so a few per cent is its uncertainty.
    """
    height = max(height_ratio, LOWEST_HEIGHT_RATIO)
    image = 0.25 / height
    return 1.0 / (1.0 - image * image / (1.0 + edge_ratio * edge_ratio))
