"""Question 3, what does the head do: where the CG sits, and what pitch is left."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from scipy.optimize import brentq

from sim.analysis.check_result import HeadAnswer
from sim.mass.from_spec import mass_properties
from sim.mass.properties import MassProperties
from sim.pack.craft import PackedCraft
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2
from sim.spec.airframe import CraftSpec
from sim.spec.quantity import Uncertain
from sim.spec.structure import HeadSpec

LEAST_LEVER_M = 0.03
LEAST_THRUST_TO_WEIGHT = 1.2
HEAVIEST_TRIED_KG = 20.0


def pivots_above_centre_m(craft: CraftSpec, mass: MassProperties) -> float:
    """Give the mean height [m] of the tilt pivots (hubs without tilt) above the CG.

    Thrust acts along a line through the pivot, so this, not the hub's height, is the lever of a
    tilting rotor. Negative when the CG is above.
    """
    down = np.mean([rotor.place.body_m[2] for rotor in craft.rotors])
    return float(mass.centre_m[2] - down)


def with_head_mass(craft: CraftSpec, mass_kg: float) -> CraftSpec:
    """Give the craft with another head mass [kg]; without a head at 0."""
    if craft.head is None:
        return craft
    if mass_kg <= 0.0:
        return craft.model_copy(update={"head": None})
    head: HeadSpec = craft.head.model_copy(update={"mass_kg": Uncertain(mass_kg)})
    return craft.model_copy(update={"head": head})


def _with_head(craft: CraftSpec) -> Callable[[float], tuple[float, float]]:
    """Give a function of the head's mass [kg]: whole mass [kg], and pivots above the CG [m]."""

    def any_craft(mass_kg: float) -> tuple[float, float]:
        mass = mass_properties(with_head_mass(craft, mass_kg), with_drape=True)
        return mass.mass_kg, pivots_above_centre_m(craft, mass)

    if craft.measured is not None or craft.head is None:
        return any_craft
    # Of a craft that is the sum of its parts, all but the head stays.
    rest = mass_properties(with_head_mass(craft, 0.0), with_drape=True)
    pivots, at = pivots_above_centre_m(craft, rest), craft.head.place.body_m[2]
    below = at - float(rest.centre_m[2])

    def of_parts(mass_kg: float) -> tuple[float, float]:
        whole = rest.mass_kg + mass_kg
        return whole, pivots + mass_kg / whole * below

    return of_parts


def _heaviest_head(
    craft: CraftSpec, usable_thrust_n: float, *, by_tilt: bool
) -> tuple[float | None, str]:
    """Give the heaviest head [kg] that leaves lift and lever, and which of them gives out there."""
    if craft.head is None:
        return None, ""

    whole_with = _with_head(craft)

    def lift_left(mass_kg: float) -> float:
        whole = whole_with(mass_kg)[0]
        return usable_thrust_n / (whole * STANDARD_GRAVITY_M_S2) - LEAST_THRUST_TO_WEIGHT

    def lever_left(mass_kg: float) -> float:
        return whole_with(mass_kg)[1] - LEAST_LEVER_M

    gates: list[tuple[str, Callable[[float], float]]] = [("lift", lift_left)]
    if by_tilt:
        gates.append(("lever", lever_left))
    found: list[tuple[float, str]] = []
    for name, left in gates:
        if left(1e-3) <= 0.0:
            found.append((0.0, name))
        elif left(HEAVIEST_TRIED_KG) < 0.0:
            found.append((float(brentq(left, 1e-3, HEAVIEST_TRIED_KG, xtol=1e-4)), name))
    return min(found) if found else (None, "")


def pitch_authority_n_m(craft: CraftSpec, packed: PackedCraft, whole: MassProperties) -> float:
    """Give the pitch moment [N m] at full tilt travel, or at full difference of thrusts, in hover.

    Negative where rotors that tilt stand below the CG. `whole` is the mass with fabric hanging.
    """
    record = packed.record
    weight = packed.whole_mass_kg * STANDARD_GRAVITY_M_S2
    if craft.layout == "bicopter":
        travel = float(record.rotor[0].tilt_travel_rad)
        return weight * pivots_above_centre_m(craft, whole) * math.sin(travel)
    count = int(record.rotor_count)
    arms = np.array([r.place.body_m[0] for r in craft.rotors]) - whole.centre_m[0]
    share = record.mixer.thrust_share[:count]
    room = np.minimum(packed.full.thrust_n - weight * share, weight * share)
    return float(np.sum(np.abs(arms) * room))


def head_answer(craft: CraftSpec, packed: PackedCraft, usable_thrust_n: float) -> HeadAnswer:
    """Answer question 3; the heaviest head is by lift and lever alone, margins not searched."""
    whole = mass_properties(craft, with_drape=True)
    bare = mass_properties(with_head_mass(craft, 0.0), with_drape=True)
    height = pivots_above_centre_m(craft, whole)
    of_pivots = math.hypot(*(r.place.up_m.plus_minus for r in craft.rotors)) / len(craft.rotors)
    spread = math.hypot(of_pivots, float(whole.centre_plus_minus_m[2]))
    by_tilt = craft.layout == "bicopter"
    authority = pitch_authority_n_m(craft, packed, whole)
    heaviest, gate = _heaviest_head(craft, usable_thrust_n, by_tilt=by_tilt)
    return HeadAnswer(
        has_head=craft.head is not None,
        head_mass_kg=0.0 if craft.head is None else craft.head.mass_kg.value,
        rotors_above_centre_m=height,
        rotors_above_centre_plus_minus_m=spread,
        rotors_above_centre_without_head_m=pivots_above_centre_m(craft, bare),
        pitch_by_tilt=by_tilt,
        pitch_authority_n_m=authority,
        pitch_acceleration_rad_s2=authority / float(packed.mass.inertia_kg_m2[1, 1]),
        authority_gone=by_tilt and height - spread < LEAST_LEVER_M,
        reversed=by_tilt and height < 0.0,
        heaviest_head_kg=heaviest,
        heaviest_head_limit=gate,
    )
