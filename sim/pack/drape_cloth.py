"""What a drape's cloth does: mass, air that moves along, loss, rigidity, streaming drag."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import final

import numpy as np

from sim.mass.rim import (
    rim_length_m,
    rim_points_m,
    rim_tangents,
    strip_cloth_m,
    strip_points_m,
    strip_shares,
    strip_width_m,
)
from sim.params.record import FloatArray
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2
from sim.physics.drape.panel_air import flag_coefficient, normal_coefficient
from sim.spec.drape import DrapeSpec

SCREEN_FACTOR = 1.3
CYLINDER_COEFFICIENT = 1.2
ROUND_THE_ENDS = 0.65
FINE_STRIPS = 16
NEARLY_CLOSED_PERCENT, HALF_OPEN_PERCENT = 5.0, 34.0
LEAST_DENSITY_KG_M3 = 1e-3


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


def entrained_share(open_fraction: float) -> float:
    """Give the air that moves along with cloth full of holes over that of a closed sheet [-].

    Added mass of perforated plates (DNV-RP-H103, 4.6.4, from memory): all of it up to 5 % open,
    0.7 + 0.3 cos(pi (p - 5) / 34) up to 34 %, exp((10 - p) / 28) from there, p in per cent; the
    last was fitted up to 50 % and is used beyond.
    """
    percent = 100.0 * open_fraction
    if percent <= NEARLY_CLOSED_PERCENT:
        return 1.0
    if percent < HALF_OPEN_PERCENT:
        return 0.7 + 0.3 * math.cos(math.pi * (percent - 5.0) / 34.0)
    return math.exp((10.0 - percent) / 28.0)


@final
@dataclass(frozen=True)
class Hanging:
    """A drape as it hangs, with what its cloth does.

    Attributes
    ----------
    strips, rows : int
    is_woven : bool
        Neighbouring strips are one cloth.
    is_closed : bool
        The last strip is the first one's neighbour.
    is_round : bool
        Strips are strands.
    rim_m, tangent : ndarray, shape (strips, 3)
        [m], [-] Where strips hang, and which way the rim runs there; body axes from the CG.
    fine_rim_m : ndarray, shape (strips, n, 3)
        [m] Points spread evenly over each strip's part of the rim.
    spacing_m : ndarray, shape (strips,)
        [m] Of the cloth between a strip and the next.
    width_m, height_m : float
        [m] Of a panel, to the air.
    mass_kg, entrained_kg : float
        [kg] Of a whole panel: cloth, and air that moves along.
    loss : float
        [-] Pressure-loss coefficient K.
    normal_coefficient, tangent_coefficient : float
        [-]
    rigidity_n_m, bending_length_m : float
        [N m], [m] Flexural rigidity for each metre of width, and what it follows from.
    loss_factor : float
        [-] Of threads and bending.
    """

    name: str
    strips: int
    rows: int
    is_woven: bool
    is_closed: bool
    is_round: bool
    rim_m: FloatArray
    tangent: FloatArray
    fine_rim_m: FloatArray
    spacing_m: FloatArray
    width_m: float
    height_m: float
    mass_kg: float
    entrained_kg: float
    loss: float
    normal_coefficient: float
    tangent_coefficient: float
    wash_factor: float
    rigidity_n_m: float
    bending_length_m: float
    loss_factor: float

    @property
    def length_m(self) -> float:
        """From rim to hem [m]."""
        return self.rows * self.height_m

    @property
    def panel_count(self) -> int:
        """How many panels it has."""
        return self.strips * self.rows


def panel_mass_kg(drape: DrapeSpec) -> float:
    """Give the cloth of one whole panel [kg]."""
    height = drape.length_m.value / drape.rows
    return drape.fabric.density_now_kg_m2.value * strip_cloth_m(drape) * height


def rim_masses_kg(drape: DrapeSpec) -> float:
    """Give the fabric [kg] that one rim point carries: half of the strip's first panel."""
    return 0.5 * panel_mass_kg(drape)


def _entrained_width_m(drape: DrapeSpec) -> float:
    """Give c, where the air dragged along is rho pi/4 c on each square metre.

    Of a long plate across its width c (potential flow, Lamb 1932), of a closed skirt of radius r
    rho r: what is inside and as much outside. Both of a length L, where air goes round the ends
    too, by 1 / (1 + 0.65 c / L), which follows the figures for rectangular plates (0.58 of a square
    one, 0.76 of 2 to 1; DNV-RP-C205, from memory).
    """
    length = drape.length_m.value
    if not drape.is_sheet:
        width = drape.width_m
    elif drape.cut == "skirt":
        width = rim_length_m(drape.rim) / (2.0 * math.pi) * 4.0 / math.pi
    else:
        width = rim_length_m(drape.rim)
    short, long = min(width, length), max(width, length)
    return short / (1.0 + ROUND_THE_ENDS * short / long)


def _streaming_width_m(drape: DrapeSpec) -> float:
    """Give the width across the wind of cloth that streams: of a skirt half of it all round."""
    if not drape.is_sheet:
        return drape.width_m
    whole = drape.strips * strip_width_m(drape)
    return 0.5 * whole if drape.cut == "skirt" else whole


def _fine_rim_m(drape: DrapeSpec) -> FloatArray:
    """Give points of the rim over each strip, so many that it looks as round as it is."""
    each = math.ceil(FINE_STRIPS / drape.strips) if drape.is_sheet else 1
    within = (np.arange(each) + 0.5) / each - 0.5
    shares = strip_shares(drape)[:, None] + within[None] / drape.strips
    if drape.rim.is_closed:
        shares %= 1.0
    return rim_points_m(drape.rim, shares.ravel()).reshape(drape.strips, each, 3)


def hanging(drape: DrapeSpec, centre_m: FloatArray, density_kg_m3: float) -> Hanging:
    """Give a drape as it hangs.

    Parameters
    ----------
    drape : DrapeSpec
        Cut, sizes, fabric.
    centre_m : ndarray, shape (3,)
        [m] CG without free fabric, body axes from the file's origin.
    density_kg_m3 : float
        [kg/m3] Of the air, part of which moves with the cloth.
    """
    fabric = drape.fabric
    width, height = strip_width_m(drape), drape.length_m.value / drape.rows
    is_round = drape.cut == "tentacles"
    given = fabric.loss_coefficient
    loss = loss_coefficient(fabric.open_fraction) if given is None else given
    share = 1.0 if is_round else entrained_share(fabric.open_fraction)
    entrained = 0.25 * math.pi * density_kg_m3 * _entrained_width_m(drape) * share
    areal = fabric.density_now_kg_m2.value
    points = strip_points_m(drape)
    chord = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)
    streaming = flag_coefficient(
        areal * strip_cloth_m(drape) / width,
        max(density_kg_m3, LEAST_DENSITY_KG_M3),
        _streaming_width_m(drape),
        drape.length_m.value,
    )
    return Hanging(
        name=drape.name,
        strips=drape.strips,
        rows=drape.rows,
        is_woven=drape.is_sheet and drape.strips > 1,
        is_closed=drape.cut == "skirt",
        is_round=is_round,
        rim_m=points - centre_m,
        tangent=rim_tangents(drape.rim, strip_shares(drape)),
        fine_rim_m=_fine_rim_m(drape) - centre_m,
        spacing_m=np.maximum(chord, width),
        width_m=width,
        height_m=height,
        mass_kg=panel_mass_kg(drape),
        entrained_kg=entrained * width * height,
        loss=math.inf if is_round else loss,
        normal_coefficient=CYLINDER_COEFFICIENT if is_round else normal_coefficient(loss),
        tangent_coefficient=streaming,
        wash_factor=math.sqrt(fabric.air_factor.value),
        rigidity_n_m=areal * STANDARD_GRAVITY_M_S2 * fabric.bending_length_m**3,
        bending_length_m=fabric.bending_length_m,
        loss_factor=fabric.damping,
    )
