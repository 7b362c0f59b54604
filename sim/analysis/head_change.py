"""The same craft with another head, a lower pack, or its rotors elsewhere; measured figures follow.

What was measured on the whole craft stays measured: what a change takes from the sum of the parts
and adds to it is taken from the measured figures and added to them.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from sim.mass.assemble import assemble, point_inertia
from sim.mass.from_spec import mass_properties, part_masses
from sim.mass.properties import MassProperties
from sim.params.record import FloatArray
from sim.spec.airframe import CraftSpec
from sim.spec.neck import HingedNeck
from sim.spec.place import Place
from sim.spec.quantity import Uncertain
from sim.spec.rotor import RotorSpec
from sim.spec.structure import HeadSpec, MeasuredInertia, MeasuredSpec

Change = Callable[[CraftSpec, float], CraftSpec]
"""Gives a craft changed by so many metres."""


def _shifted(value: Uncertain, amount: float) -> Uncertain:
    return Uncertain(value.value + amount, value.plus_minus)


def raised(place: Place, up_m: float) -> Place:
    """Give a place moved up by so many metres."""
    return place.model_copy(update={"up_m": _shifted(place.up_m, up_m)})


def _about_origin(mass: MassProperties) -> FloatArray:
    """Give the inertia [kg m2] about the origin of the craft file, shape (3, 3)."""
    inertia: FloatArray = mass.inertia_kg_m2 + mass.mass_kg * point_inertia(mass.centre_m)
    return inertia


def _with_measured(before: CraftSpec, after: CraftSpec) -> CraftSpec:
    """Give the changed craft with its measured figures changed by what the parts changed."""
    if after.measured is None:
        return after
    whole = mass_properties(before)
    old, new = assemble(part_masses(before)), assemble(part_masses(after))
    mass = whole.mass_kg + new.mass_kg - old.mass_kg
    moment = whole.mass_kg * whole.centre_m + new.mass_kg * new.centre_m
    centre = (moment - old.mass_kg * old.centre_m) / mass
    turning = _about_origin(whole) + _about_origin(new) - _about_origin(old)
    inertia = np.diag(turning - mass * point_inertia(centre))
    spread, place_spread = whole.inertia_plus_minus_kg_m2, whole.centre_plus_minus_m
    figures = [Uncertain(float(i), float(s)) for i, s in zip(inertia, spread, strict=True)]
    spots = [Uncertain(float(x), float(s)) for x, s in zip(centre, place_spread, strict=True)]
    measured = MeasuredSpec.model_construct(
        _fields_set=None,
        mass_kg=Uncertain(float(mass), whole.mass_plus_minus_kg),
        centre=Place.model_construct(
            _fields_set=None,
            forward_m=spots[0],
            right_m=spots[1],
            up_m=Uncertain(-spots[2].value, spots[2].plus_minus),
        ),
        inertia=MeasuredInertia.model_construct(
            _fields_set=None, roll_kg_m2=figures[0], pitch_kg_m2=figures[1], yaw_kg_m2=figures[2]
        ),
        swing=None,
    )
    return after.model_copy(update={"measured": measured})


def with_head(craft: CraftSpec, mass_kg: float, up_m: float) -> CraftSpec:
    """Give the craft with a head of another mass [kg], its place so high [m] in the craft file.

    A neck that bends moves up with it. The spread of mass stays the same share.

    Parameters
    ----------
    craft : CraftSpec
        With a head.
    mass_kg : float
        [kg] Above zero.
    up_m : float
        [m] Of the head's place, from the origin of the craft file.
    """
    head = craft.head
    if head is None:
        message = "the craft has no head"
        raise ValueError(message)
    old = head.mass_kg
    share = mass_kg / old.value if old.value > 0.0 else 0.0
    higher = up_m - head.place.up_m.value
    neck = head.neck
    if isinstance(neck, HingedNeck):
        neck = neck.model_copy(update={"pivot": raised(neck.pivot, higher)})
    changed: HeadSpec = head.model_copy(
        update={
            "mass_kg": Uncertain(mass_kg, old.plus_minus * share),
            "place": raised(head.place, higher),
            "neck": neck,
        }
    )
    return _with_measured(craft, craft.model_copy(update={"head": changed}))


def with_pack_lowered(craft: CraftSpec, by_m: float) -> CraftSpec:
    """Give the craft with its pack lower by so many metres."""
    battery = craft.battery.model_copy(update={"place": raised(craft.battery.place, -by_m)})
    return _with_measured(craft, craft.model_copy(update={"battery": battery}))


def _with_rotors(craft: CraftSpec, places: list[Place]) -> CraftSpec:
    rotors: tuple[RotorSpec, ...] = tuple(
        rotor.model_copy(update={"place": place})
        for rotor, place in zip(craft.rotors, places, strict=True)
    )
    return _with_measured(craft, craft.model_copy(update={"rotors": rotors}))


def with_rotors_raised(craft: CraftSpec, by_m: float) -> CraftSpec:
    """Give the craft with all its rotors higher by so many metres; posts weigh nothing."""
    return _with_rotors(craft, [raised(rotor.place, by_m) for rotor in craft.rotors])


def with_rotors_spread(craft: CraftSpec, by_m: float) -> CraftSpec:
    """Give the craft with every rotor farther out from their middle by about so many metres.

    All distances from the middle grow in proportion, so that the rotor that is farthest from it
    goes out by `by_m`; longer spars weigh nothing.
    """
    flat = np.array([rotor.place.body_m[:2] for rotor in craft.rotors])
    middle = flat.mean(axis=0)
    out = flat - middle
    step = by_m * out / float(np.linalg.norm(out, axis=1).max())
    places = [
        rotor.place.model_copy(
            update={
                "forward_m": _shifted(rotor.place.forward_m, float(step[i, 0])),
                "right_m": _shifted(rotor.place.right_m, float(step[i, 1])),
            }
        )
        for i, rotor in enumerate(craft.rotors)
    ]
    return _with_rotors(craft, places)
