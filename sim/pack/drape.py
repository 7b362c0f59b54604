"""From a fabric spec to particles and threads, with stiffness chosen from the stable step."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from sim.errors import Fault, InputFaults
from sim.mass.rim import strip_cloth_m, strip_width_m
from sim.params.record import FloatArray
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2
from sim.physics.drape.panel_air import normal_coefficient
from sim.spec.drape import DrapeSpec

STABLE_SHARE = 0.2
SHEAR_SHARE = 0.3
STREAMING_COEFFICIENT = 0.10
STRONG_WIND_M_S = 10.0
MOST_STRAIN = 0.02
SCREEN_FACTOR = 1.3


def loss_coefficient(open_fraction: float) -> float:
    """Give the pressure-loss coefficient K [-] of a fabric from its open fraction.

    K = 1.3 (1 - a) + (1/a - 1)^2, the wire screen of Idelchik's handbook (from memory), without its
    rise at the low Reynolds numbers of fine threads, so rather low for gauze; without bound for a
    closed cloth.
    """
    if open_fraction <= 0.0:
        return math.inf
    solid = 1.0 - open_fraction
    return SCREEN_FACTOR * solid + (solid / open_fraction) ** 2


def drapes_that_fly(drapes: tuple[DrapeSpec, ...]) -> tuple[DrapeSpec, ...]:
    """Give the drapes if they can be flown: one skirt or one ring of ribbons.

    Raises
    ------
    InputFaults
        When there are more, or of another cut or rim.
    """
    for drape in drapes:
        round_ring = drape.rim.is_closed and drape.rim.is_circular
        if len(drapes) > 1 or drape.cut not in {"skirt", "ribbons"} or not round_ring:
            words = "only one skirt or one set of ribbons on a ring can be flown so far"
            raise InputFaults((Fault(drape.name, 0, 0, words),))
    return drapes


def _face_on(spec: DrapeSpec) -> float:
    given = spec.fabric.loss_coefficient
    return normal_coefficient(
        loss_coefficient(spec.fabric.open_fraction) if given is None else given
    )


def _rim(spec: DrapeSpec, centre_m: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Give rim points and unit tangents, shape (strips, 3) each, body axes from the CG."""
    angle = 2.0 * np.pi * np.arange(spec.strips) / spec.strips
    round_ring = np.stack([np.cos(angle), np.sin(angle), np.zeros_like(angle)], axis=1)
    tangent = np.stack([-np.sin(angle), np.cos(angle), np.zeros_like(angle)], axis=1)
    middle = np.array(spec.rim.place.body_m) - centre_m
    return middle + spec.rim.radii_m[0] * round_ring, tangent


def rim_masses_kg(spec: DrapeSpec) -> float:
    """Give the fabric [kg] that one rim point carries: half of the strip's first panel."""
    return 0.5 * _panel_mass_kg(spec)


def _panel_mass_kg(spec: DrapeSpec) -> float:
    fabric = spec.fabric
    height = spec.length_m.value / spec.rows
    return fabric.density_now_kg_m2.value * strip_cloth_m(spec) * height


def _write_panels(spec: DrapeSpec, drape: Any, density_kg_m3: float) -> None:
    width, height = strip_width_m(spec), spec.length_m.value / spec.rows
    mass = _panel_mass_kg(spec)
    closed_share = 1.0 - spec.fabric.open_fraction
    entrained = 0.25 * math.pi * density_kg_m3 * min(width, height) * width * height * closed_share
    face_on = _face_on(spec)
    closed = spec.cut == "skirt"
    for strip in range(spec.strips):
        for row in range(spec.rows):
            k = strip * spec.rows + row
            share = 0.5 if row == spec.rows - 1 else 1.0
            panel = drape.panel[k]
            panel.mass_kg = mass * share
            panel.moved_mass_kg = (mass + entrained) * share
            panel.area_m2 = width * height
            panel.above = k - 1 if row > 0 else -1 - strip
            panel.left = ((strip - 1) % spec.strips) * spec.rows + row if closed else k
            panel.right = ((strip + 1) % spec.strips) * spec.rows + row if closed else k
            panel.rim = strip
            panel.normal_coefficient = face_on
            panel.tangent_coefficient = STREAMING_COEFFICIENT


def _links(spec: DrapeSpec) -> list[tuple[int, int, float, float]]:
    """Give (first, second, rest length [m], share of stiffness) of every thread."""
    width, height = strip_width_m(spec), spec.length_m.value / spec.rows
    chord = 2.0 * spec.rim.radii_m[0] * math.sin(math.pi / spec.strips)
    across = max(width, chord)
    diagonal = math.hypot(across, height)
    links: list[tuple[int, int, float, float]] = []
    for strip in range(spec.strips):
        beside = (strip + 1) % spec.strips
        for row in range(spec.rows):
            k, other = strip * spec.rows + row, beside * spec.rows + row
            above = k - 1 if row > 0 else -1 - strip
            links.append((above, k, height, 1.0))
            if spec.cut != "skirt":
                continue
            other_above = other - 1 if row > 0 else -1 - beside
            links.append((k, other, across, 1.0))
            links.append((above, other, diagonal, SHEAR_SHARE))
            links.append((other_above, k, diagonal, SHEAR_SHARE))
    return links


def parts_of_a_step(spec: DrapeSpec, drape: Any, density_kg_m3: float, step_s: float) -> int:
    """Give in how many parts of a step the threads must pull so that they stretch little.

    Stiffness goes as the square of that number. The top thread of a strip carries its weight and,
    face-on, a wind of `STRONG_WIND_M_S`; its strain is to stay below `MOST_STRAIN`.
    """
    width, height = strip_width_m(spec), spec.length_m.value / spec.rows
    pressure = 0.5 * density_kg_m3 * STRONG_WIND_M_S**2
    pull = pressure * _face_on(spec) * width * spec.length_m.value
    pull += _panel_mass_kg(spec) * spec.rows * STANDARD_GRAVITY_M_S2
    stiffness = STABLE_SHARE * float(drape.panel[0].moved_mass_kg) / step_s**2
    return max(math.ceil(math.sqrt(pull / (stiffness * height * MOST_STRAIN))), 1)


def write_drape(
    spec: DrapeSpec, drape: Any, centre_m: FloatArray, density_kg_m3: float, step_s: float
) -> None:
    """Fill in the drape record of a craft.

    Parameters
    ----------
    spec : DrapeSpec
        Cut, sizes, fabric.
    drape : record
        `DrapeRecord` to fill in.
    centre_m : ndarray, shape (3,)
        [m] CG without free fabric, body axes from the file's origin.
    density_kg_m3 : float
        [kg/m3] Of the air, part of which moves with the cloth: that of a strip of the panel's
        lesser side, rho pi/4 c^2 a length (potential flow), times the closed share.
    step_s : float
        [s] Of the integration, from which the threads' stiffness follows: a particle's springs
        together stay below a fixed share of its mass over the square of a part of the step. Their
        damping follows from the fabric's loss factor, c = loss sqrt(k m).
    """
    points, tangents = _rim(spec, centre_m)
    drape.panel_count = spec.strips * spec.rows
    drape.rim_count = spec.strips
    for k in range(spec.strips):
        drape.rim[k].place_m[:] = points[k]
        drape.rim[k].tangent[:] = tangents[k]
    _write_panels(spec, drape, density_kg_m3)
    drape.parts = parts_of_a_step(spec, drape, density_kg_m3, step_s)
    part_s = step_s / int(drape.parts)
    links = _links(spec)
    drape.link_count = len(links)
    for n, (first, second, rest, share) in enumerate(links):
        link = drape.link[n]
        moved = float(drape.panel[second].moved_mass_kg)
        if first >= 0:
            moved = min(moved, float(drape.panel[first].moved_mass_kg))
        link.first, link.second, link.rest_m = first, second, rest
        link.stiffness_n_m = share * STABLE_SHARE * moved / part_s**2
        loss = spec.fabric.damping
        link.damping_n_s_m = loss * math.sqrt(float(link.stiffness_n_m) * moved)
