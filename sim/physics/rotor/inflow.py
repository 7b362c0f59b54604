"""Induced inflow through a disc at any climb, descent and edgewise speed.

Speeds are over one reference speed, whichever the caller likes (here mostly the tip speed).
Axial flow is positive in climb: air comes from above and passes down through the disc.
"""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.physics.rotor.momentum import vortex_ring_induced_ratio

NORMAL = 0
VORTEX_RING = 1
WINDMILL = 2

# Between hover and this descent ratio the fit is faded in, so that the slope at hover is one value.
_FADE_RATIO = -0.5
# Between this ratio and -2 the fit is joined to the windmill branch, which starts 3 % lower.
_JOIN_RATIO = -1.9
_LARGEST_INDUCED_OVER_HOVER = 4.0
_SOLVER_STEPS = 60
_RELATIVE_TOLERANCE = 1e-13


@compiled
def _slow_descent_ratio(climb_ratio: float) -> float:
    """Give v_i / v_h for a descent ratio [-] between -2 and 0, continuous at both ends.

    The fit through measurements leaves hover with another slope (-1.125) than climb arrives with
    (-0.5). A craft in hover would have two heave dampings, so the momentum branch that continues
    the climb is blended into the fit by a smooth step down to x = -0.5.
    """
    if climb_ratio < _JOIN_RATIO:
        share = (climb_ratio - _JOIN_RATIO) / (-2.0 - _JOIN_RATIO)
        return (1.0 - share) * vortex_ring_induced_ratio(_JOIN_RATIO) + share
    fit = vortex_ring_induced_ratio(climb_ratio)
    if climb_ratio < _FADE_RATIO:
        return fit
    half = 0.5 * climb_ratio
    momentum = math.sqrt(half * half + 1.0) - half
    share = climb_ratio / _FADE_RATIO
    share = share * share * (3.0 - 2.0 * share)
    return momentum + share * (fit - momentum)


@compiled
def disc_flow(strength: float, axial: float) -> tuple[float, float]:
    r"""Give induced speed and through-flow of a disc in axial flow.

    Strength is the signed hover speed w of the load: T = 2 rho A w abs(w). The induced speed is v,
    and the through-flow m is defined by v m = w abs(w), so that in climb m = V + v. With edgewise
    flow along the disc Glauert's load is 2 rho A v sqrt(V_edge^2 + m^2): strength is then only a
    parameter that runs monotonically through all states.
    A disc that is pushed instead of pulling (w < 0) is the mirror image, so climb past zero thrust
    gives the windmill branch.

    Parameters
    ----------
    strength : float
        [-] w, signed like the thrust, over the reference speed.
    axial : float
        [-] V, climb speed over the reference speed.

    Returns
    -------
    tuple of float
        [-] Induced speed v, signed like the thrust, and through-flow m, not negative.

    References
    ----------
    Momentum branches: Leishman, Principles of Helicopter Aerodynamics, section 2.13; slow descent:
    his polynomial fit (both from memory).
    """
    side = 1.0 if strength >= 0.0 else -1.0
    hover = abs(strength)
    along = side * axial
    half = 0.5 * abs(axial)
    if along >= 0.0:
        through = half + math.sqrt(half * half + hover * hover)
        induced = 0.0 if through == 0.0 else hover * hover / through
    elif hover <= half:
        through = half + math.sqrt(half * half - hover * hover)
        induced = hover * hover / through
    else:
        ratio = _slow_descent_ratio(along / hover)
        induced = hover * ratio
        through = hover / ratio
    return side * induced, through


@compiled
def disc_load(strength: float, axial: float, edge: float) -> float:
    """Give the signed load v sqrt(V_edge^2 + m^2), which is T / (2 rho A) over speed squared.

    Parameters
    ----------
    strength : float
        [-] Parameter of `disc_flow`, over the reference speed.
    axial : float
        [-] Climb speed over the reference speed.
    edge : float
        [-] Speed along the disc over the reference speed.

    Returns
    -------
    float
        [-] Load, rising with strength.
    """
    induced, through = disc_flow(strength, axial)
    return induced * math.sqrt(edge * edge + through * through)


@compiled
def induced_speed(hover_speed: float, axial: float, edge: float) -> float:
    """Give the induced speed of a disc of known thrust in any flow.

    Parameters
    ----------
    hover_speed : float
        [m/s] sqrt(T / (2 rho A)), not negative.
    axial : float
        [m/s] Climb speed, negative in descent.
    edge : float
        [m/s] Speed along the disc.

    Returns
    -------
    float
        [m/s] Mean induced speed, downwards.
    """
    if hover_speed == 0.0:
        return 0.0
    climb = axial / hover_speed
    along = edge / hover_speed
    low = 0.0
    # The load at this strength exceeds 1 whatever the edgewise flow: induced grows with strength
    # and so does the load, which is at least strength squared.
    high = 1.0
    for _ in range(_SOLVER_STEPS):
        middle = 0.5 * (low + high)
        if disc_load(middle, climb, along) < 1.0:
            low = middle
        else:
            high = middle
        if high - low < _RELATIVE_TOLERANCE:
            break
    induced, _through = disc_flow(0.5 * (low + high), climb)
    return hover_speed * induced


@compiled
def wake_state(hover_speed: float, axial: float, edge: float) -> int:
    """Tell whether a rotor leaves its own wake behind.

    Parameters
    ----------
    hover_speed : float
        [m/s] sqrt(T / (2 rho A)) of the present thrust.
    axial : float
        [m/s] Climb speed, negative in descent.
    edge : float
        [m/s] Speed along the disc.

    Returns
    -------
    int
        [-] NORMAL, VORTEX_RING (sinking between 0.5 and 2 hover induced speeds while moving along
        the disc slower than one), or WINDMILL (sinking faster). Unsteadiness is felt from about
        half the induced speed and is gone with edgewise flow of about one (from memory of
        published flight tests).
    """
    sink = -axial
    if sink >= 2.0 * hover_speed and sink > 0.0:
        return WINDMILL
    if sink > -_FADE_RATIO * hover_speed and abs(edge) < hover_speed:
        return VORTEX_RING
    return NORMAL


@compiled
def inflow_gradient(edge: float, through: float) -> float:
    r"""Give the fore-and-aft slope k of the induced inflow, v (1 + k r cos psi).

    .. math:: k = \tan(\chi / 2), \quad \tan\chi = V_{edge} / m

    Parameters
    ----------
    edge : float
        [-] Speed along the disc, not negative, over the reference speed.
    through : float
        [-] Through-flow m of `disc_flow`, over the same.

    Returns
    -------
    float
        [-] k from 0 (no edgewise flow) to 1; the inflow is largest at the downwind edge.

    References
    ----------
    Coleman, Feingold and Stempin, NACA ARR L5E10, 1945 (from memory).
    """
    if edge == 0.0:
        return 0.0
    return edge / (math.sqrt(edge * edge + through * through) + through)


@compiled
def tip_loss(blades: int, radius: float, inflow: float, small_angle: bool) -> float:
    r"""Give Prandtl's factor for the finite number of blades.

    .. math:: F = (2/\pi) \arccos e^{-f}, \quad f = (B/2) (1 - r) / (r \sin\phi)

    Parameters
    ----------
    blades : int
        [-] B.
    radius : float
        [-] r, station over tip radius, below 1.
    inflow : float
        [-] Axial flow through the disc over tip speed; its magnitude counts.
    small_angle : bool
        [-] Take r sin(phi) as the inflow itself.

    Returns
    -------
    float
        [-] F, from 0 at the tip to 1 inboard.

    References
    ----------
    Prandtl 1919, appendix to Betz; as in Leishman, section 3.3.10 (from memory).
    """
    sine_radius = abs(inflow)
    if not small_angle:
        sine_radius *= radius / math.sqrt(radius * radius + inflow * inflow)
    exponent = 0.5 * blades * (1.0 - radius) / max(sine_radius, 1e-9)
    return 2.0 / math.pi * math.acos(math.exp(-exponent))
