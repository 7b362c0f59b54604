"""Blade element momentum theory of a rigid rotor in climb, slow descent and edgewise flow.

Lengths are over the tip radius R and speeds over the tip speed Omega R. Azimuth psi is counted from
the downwind direction (where the edgewise flow leaves the disc) in the sense of rotation, so that
the blade advances into the flow at psi = 90 degrees for either turning sense.

Not modelled: swirl of the wake, flow along the blade, dynamic stall, blade flexing, the side force.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from sim.numerics.compile import compiled
from sim.physics.rotor.geometry import Blade, FloatArray
from sim.physics.rotor.inflow import disc_flow, disc_load, inflow_gradient, tip_loss
from sim.physics.rotor.section_polar import Section, profile_drag, section_forces

# Thrust, torque, in-plane force, rolling moment, pitching moment, induced inflow.
RESULTS = 6
AZIMUTHS = 12

_TURN_SINE = math.sin(2.0 * math.pi / AZIMUTHS)
_TURN_COSINE = math.cos(2.0 * math.pi / AZIMUTHS)
_FIRST_GUESS = 0.05
_FIRST_STEP = 0.004
_STRONGEST = 3.0
_SOLVER_STEPS = 80
_TOLERANCE = 1e-10


class Method(NamedTuple):
    """What the blade element functions take into account.

    Attributes
    ----------
    reynolds_scale : float
        [-] rho Omega R^2 / viscosity; times local speed and chord (both as ratios) it gives Re.
    tip_loss : bool
        [-] Prandtl's factor on the momentum of each annulus.
    small_angle : bool
        [-] For closed forms: blade speed r, inflow angle lambda / r, no drag in the thrust.
    """

    reynolds_scale: float
    tip_loss: bool
    small_angle: bool


class Flow(NamedTuple):
    """Flow that the rotor meets, over tip speed.

    Attributes
    ----------
    axial : float
        [-] lambda_c, positive in climb.
    edge : float
        [-] mu, speed along the disc, not negative.
    """

    axial: float
    edge: float


class Annulus(NamedTuple):
    """One station of the blade.

    Attributes
    ----------
    radius : float
        [-] Over the tip radius.
    solidity : float
        [-] blades times chord over pi R, of the station's own chord.
    chord : float
        [-] Over the tip radius.
    twist : float
        [rad] Chord line above the disc plane.
    blades : int
        [-] Number of blades.
    """

    radius: float
    solidity: float
    chord: float
    twist: float
    blades: int


@compiled
def _element(
    section: Section, annulus: Annulus, along: float, inflow: float, least_drag: float, small: bool
) -> tuple[float, float]:
    """Give thrust and tangential force of all blades [per unit radius] at one azimuth.

    `along` [-] is the air speed past the blade in the disc plane, `inflow` [-] that down through
    the disc; forces are over rho A (Omega R)^2.
    """
    half_solidity = 0.5 * annulus.solidity
    if small:
        angle = annulus.twist - inflow / annulus.radius
        lift, drag = section_forces(section, angle, least_drag)
        pressure = half_solidity * annulus.radius * annulus.radius
        return pressure * lift, pressure * (lift * inflow / annulus.radius + drag)
    square = along * along + inflow * inflow
    lift, drag = section_forces(section, annulus.twist - math.atan2(inflow, along), least_drag)
    speed = math.sqrt(square)
    return (
        half_solidity * speed * (lift * along - drag * inflow),
        half_solidity * speed * (lift * inflow + drag * along),
    )


@compiled
def _annulus_loads(
    section: Section, annulus: Annulus, flow: Flow, method: Method, strength: float
) -> tuple[float, float, float, float, float]:
    """Give azimuth means per unit radius [-] at a disc strength [-].

    In order: thrust, tangential force, in-plane force along the flow, thrust times sin(psi), thrust
    times cos(psi).
    """
    induced, through = disc_flow(strength, flow.axial)
    gradient = inflow_gradient(flow.edge, through) * annulus.radius
    mean_inflow = flow.axial + induced
    mean_speed = math.sqrt(annulus.radius**2 + mean_inflow * mean_inflow)
    least_drag = profile_drag(section, method.reynolds_scale * mean_speed * annulus.chord)
    small = method.small_angle
    if flow.edge == 0.0:
        thrust, tangential = _element(
            section, annulus, annulus.radius, mean_inflow, least_drag, small
        )
        return thrust, tangential, 0.0, 0.0, 0.0
    thrust_sum, tangential_sum, in_plane, side, fore = 0.0, 0.0, 0.0, 0.0, 0.0
    sine, cosine = 0.0, 1.0
    for _ in range(AZIMUTHS):
        thrust, tangential = _element(
            section,
            annulus,
            annulus.radius + flow.edge * sine,
            flow.axial + induced * (1.0 + gradient * cosine),
            least_drag,
            small,
        )
        thrust_sum += thrust
        tangential_sum += tangential
        in_plane += tangential * sine
        side += thrust * sine
        fore += thrust * cosine
        sine, cosine = (
            sine * _TURN_COSINE + cosine * _TURN_SINE,
            cosine * _TURN_COSINE - sine * _TURN_SINE,
        )
    share = 1.0 / AZIMUTHS
    return (
        thrust_sum * share,
        tangential_sum * share,
        in_plane * share,
        side * share,
        fore * share,
    )


@compiled
def _annulus_factor(annulus: Annulus, flow: Flow, method: Method, strength: float) -> float:
    """Give the tip-loss factor [-] of an annulus at a disc strength [-]."""
    if not method.tip_loss:
        return 1.0
    induced, _through = disc_flow(strength, flow.axial)
    return tip_loss(annulus.blades, annulus.radius, flow.axial + induced, method.small_angle)


@compiled
def _imbalance(
    section: Section, annulus: Annulus, flow: Flow, method: Method, strength: float
) -> float:
    """Give blade thrust less momentum thrust per unit radius [-]; it falls with strength [-]."""
    thrust = _annulus_loads(section, annulus, flow, method, strength)[0]
    factor = _annulus_factor(annulus, flow, method, strength)
    return thrust - 4.0 * factor * annulus.radius * disc_load(strength, flow.axial, flow.edge)


@compiled
def _refine(
    section: Section,
    annulus: Annulus,
    flow: Flow,
    method: Method,
    low: tuple[float, float],
    high: tuple[float, float],
) -> float:
    """Give the strength [-] of balance between two (strength, imbalance) pairs of unlike sign.

    Inverse quadratic steps with bisection as the fall-back (Chandrupatla, Advances in Engineering
    Software 28, 1997; from memory).
    """
    a, value_a = low
    b, value_b = high
    c, value_c = a, value_a
    share = value_a / (value_a - value_b)
    for _ in range(_SOLVER_STEPS):
        trial = a + share * (b - a)
        value = _imbalance(section, annulus, flow, method, trial)
        if (value > 0.0) == (value_a > 0.0):
            c, value_c = a, value_a
        else:
            c, value_c = b, value_b
            b, value_b = a, value_a
        a, value_a = trial, value
        width = abs(b - a)
        if value_a == 0.0 or width < _TOLERANCE:
            break
        least = _TOLERANCE / width
        position = (a - b) / (c - b)
        bend = (value_a - value_b) / (value_c - value_b)
        share = 0.5
        if bend * bend < position and (1.0 - bend) ** 2 < 1.0 - position:
            share = value_a / (value_b - value_a) * value_c / (value_b - value_c)
            share += (
                (c - a) / (b - a) * value_a / (value_c - value_a) * value_b / (value_c - value_b)
            )
        share = min(max(share, 0.5 * least), 1.0 - 0.5 * least)
    return a if abs(value_a) <= abs(value_b) else b


@compiled
def _solve_strength(
    section: Section, annulus: Annulus, flow: Flow, method: Method, guess: float
) -> float:
    """Give the strength [-] at which blades and momentum agree, searched from a guess [-]."""
    strength = guess
    value = _imbalance(section, annulus, flow, method, strength)
    step = _FIRST_STEP if value > 0.0 else -_FIRST_STEP
    while abs(strength) <= _STRONGEST:
        further = strength + step
        value_further = _imbalance(section, annulus, flow, method, further)
        if (value_further > 0.0) != (value > 0.0):
            return _refine(
                section, annulus, flow, method, (strength, value), (further, value_further)
            )
        strength, value = further, value_further
        step *= 3.0
    return strength


@compiled
def rotor_coefficients(
    blade: Blade, section: Section, axial: float, edge: float, method: Method, result: FloatArray
) -> None:
    r"""Fill in the coefficients of a rotor in one flow condition.

    Each annulus is solved for the induced inflow at which the momentum of its air,
    :math:`dC_T = 4 F \lambda_i \sqrt{\mu^2 + (\lambda_c + \lambda_i)^2}\, r\, dr`, equals the
    azimuth mean of the blade loads. The inflow tilts fore and aft by `inflow_gradient`. In descent
    the through-flow is that of `disc_flow`.

    Signs. Let d be the downwind direction in the disc, e.g. backwards in forward flight. The
    in-plane force acts along d. The **rolling** moment comes from more lift on the advancing side:
    it acts about the upwind direction (right-handed) for a rotor turning clockwise seen from
    above, about the downwind direction for an anticlockwise one. The **pitching** moment comes from
    more lift on the upwind half: it lifts that edge (nose up in forward flight), for either turning
    sense; in forward flight it acts about the axis to the right.
    Torque is what the shaft must give, positive when it drives the rotor.

    Parameters
    ----------
    blade : Blade
        [-] Blades cut into annuli.
    section : Section
        [-] Lift and drag of the blade section.
    axial : float
        [-] lambda_c, climb speed over tip speed; air from above is positive.
    edge : float
        [-] mu, speed along the disc over tip speed, not negative, below about 0.5.
    method : Method
        [-] Reynolds scale and options.
    result : ndarray, shape (6,)
        [-] Filled with C_T, C_Q, in-plane force, rolling moment, pitching moment and mean induced
        inflow. Forces are over rho A (Omega R)^2, moments over the same times R. The induced inflow
        is v_i / (Omega R), the mean over the bladed annulus.

    References
    ----------
    Leishman, Principles of Helicopter Aerodynamics, chapter 3; Glauert, ARC R&M 1111, 1926 (both
    from memory).
    """
    flow = Flow(axial, edge)
    result[:] = 0.0
    area = 0.0
    strength = _FIRST_GUESS
    for k in range(blade.radius.size):
        radius = blade.radius[k]
        chord = blade.chord[k]
        annulus = Annulus(
            radius, blade.blades * chord / math.pi, chord, blade.twist[k], blade.blades
        )
        strength = _solve_strength(section, annulus, flow, method, strength)
        thrust, tangential, in_plane, side, fore = _annulus_loads(
            section, annulus, flow, method, strength
        )
        width = blade.width[k]
        moment = radius * width
        induced, _through = disc_flow(strength, axial)
        factor = _annulus_factor(annulus, flow, method, strength)
        result[0] += thrust * width
        result[1] += tangential * moment
        result[2] += in_plane * width
        result[3] += side * moment
        result[4] -= fore * moment
        result[5] += factor * induced * moment
        area += moment
    result[5] /= area


@compiled
def rotor_sweep(
    blade: Blade,
    section: Section,
    axial: FloatArray,
    edge: FloatArray,
    method: Method,
    result: FloatArray,
) -> None:
    """Fill in the coefficients of a rotor over a grid of flow conditions.

    Parameters
    ----------
    blade : Blade
        [-] Blades cut into annuli.
    section : Section
        [-] Lift and drag of the blade section.
    axial : ndarray, shape (rows,)
        [-] Climb speed over tip speed.
    edge : ndarray, shape (columns,)
        [-] Speed along the disc over tip speed.
    method : Method
        [-] Reynolds scale and options.
    result : ndarray, shape (rows, columns, 6)
        [-] As in `rotor_coefficients`.
    """
    for i in range(axial.size):
        for j in range(edge.size):
            rotor_coefficients(blade, section, axial[i], edge[j], method, result[i, j])
