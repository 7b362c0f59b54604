"""Momentum theory of the actuator disc: ideal power and induced velocity of a whole rotor.

Ratios are to the hover induced velocity v_h = sqrt(T / (2 rho A)) of the thrust at hand.
"""

from __future__ import annotations

import math

from sim.numerics.compile import compiled

# Descent between hover and this ratio has no valid momentum solution: the wake does not leave.
WAKE_BREAKDOWN_RATIO = -2.0


@compiled
def hover_induced_speed(thrust: float, density: float, disc_area: float) -> float:
    r"""Give the induced speed of a hovering disc.

    .. math:: v_h = \sqrt{T / (2 \rho A)}

    Parameters
    ----------
    thrust : float
        [N] T, not negative.
    density : float
        [kg/m3] rho.
    disc_area : float
        [m2] A, of one rotor.

    Returns
    -------
    float
        [m/s] v_h, downwards through the disc.

    References
    ----------
    Rankine 1865, Froude 1889; as in Leishman, Principles of Helicopter Aerodynamics, chapter 2
    (from memory).
    """
    return math.sqrt(thrust / (2.0 * density * disc_area))


@compiled
def ideal_hover_power(thrust: float, density: float, disc_area: float) -> float:
    """Give the least power that holds a thrust in hover, P = T v_h.

    Parameters
    ----------
    thrust : float
        [N] Thrust, not negative.
    density : float
        [kg/m3] Air density.
    disc_area : float
        [m2] Disc area of one rotor.

    Returns
    -------
    float
        [W] Ideal power.
    """
    return thrust * hover_induced_speed(thrust, density, disc_area)


@compiled
def figure_of_merit(thrust_coefficient: float, torque_coefficient: float) -> float:
    r"""Give ideal over actual hover power.

    .. math:: FM = C_T^{3/2} / (\sqrt 2 \, C_P), \quad C_P = C_Q

    Parameters
    ----------
    thrust_coefficient : float
        [-] T / (rho A (Omega R)^2), not negative.
    torque_coefficient : float
        [-] Q / (rho A (Omega R)^2 R), equal to the power coefficient.

    Returns
    -------
    float
        [-] Figure of merit.
    """
    return thrust_coefficient * math.sqrt(0.5 * thrust_coefficient) / torque_coefficient


@compiled
def climb_induced_ratio(climb_ratio: float) -> float:
    r"""Give v_i / v_h in axial climb.

    .. math:: v_i/v_h = -x/2 + \sqrt{x^2/4 + 1}, \quad x = V_c/v_h \ge 0

    Parameters
    ----------
    climb_ratio : float
        [-] x, climb speed over v_h; not-a-number is returned for x < 0.

    Returns
    -------
    float
        [-] v_i / v_h.

    References
    ----------
    Leishman, Principles of Helicopter Aerodynamics, section 2.13 (from memory).
    """
    if climb_ratio < 0.0:
        return math.nan
    half = 0.5 * climb_ratio
    return 1.0 / (half + math.sqrt(half * half + 1.0))


@compiled
def edgewise_induced_ratio(edge_ratio: float) -> float:
    r"""Give v_i / v_h in level edgewise flow along the disc.

    .. math:: (v_i/v_h)^2 = -x^2/2 + \sqrt{x^4/4 + 1}, \quad x = V/v_h

    Parameters
    ----------
    edge_ratio : float
        [-] x, speed along the disc over v_h.

    Returns
    -------
    float
        [-] v_i / v_h.

    References
    ----------
    Glauert, ARC R&M 1111, 1926 (from memory).
    """
    half = 0.5 * edge_ratio * edge_ratio
    return math.sqrt(1.0 / (half + math.sqrt(half * half + 1.0)))


@compiled
def windmill_induced_ratio(climb_ratio: float) -> float:
    r"""Give v_i / v_h in fast descent, where all air passes the disc upwards.

    .. math:: v_i/v_h = -x/2 - \sqrt{x^2/4 - 1}, \quad x = V_c/v_h \le -2

    Parameters
    ----------
    climb_ratio : float
        [-] x, negative in descent; not-a-number is returned above -2.

    Returns
    -------
    float
        [-] v_i / v_h, from 1 at x = -2 towards 0.

    References
    ----------
    Leishman, Principles of Helicopter Aerodynamics, section 2.13 (from memory).
    """
    if climb_ratio > WAKE_BREAKDOWN_RATIO:
        return math.nan
    half = -0.5 * climb_ratio
    return 1.0 / (half + math.sqrt(half * half - 1.0))


@compiled
def vortex_ring_induced_ratio(climb_ratio: float) -> float:
    r"""Give v_i / v_h in slow descent from a polynomial through measurements.

    .. math:: v_i/v_h = \kappa - 1.125 x - 1.372 x^2 - 1.718 x^3 - 0.655 x^4, \quad \kappa = 1

    Momentum theory has no valid solution for -2 < x < 0, because the wake stays around the disc and
    is unsteady; the fit is its mean. It meets the windmill branch at x = -2 within 3 %.

    Parameters
    ----------
    climb_ratio : float
        [-] x = V_c/v_h from -2 to 0; not-a-number is returned elsewhere.

    Returns
    -------
    float
        [-] v_i / v_h.

    References
    ----------
    Leishman, Principles of Helicopter Aerodynamics, section 2.13 (from memory).
    """
    x = climb_ratio
    if x > 0.0 or x < WAKE_BREAKDOWN_RATIO:
        return math.nan
    return 1.0 + x * (-1.125 + x * (-1.372 + x * (-1.718 - 0.655 * x)))
