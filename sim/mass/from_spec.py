"""Mass properties of the craft of a craft file."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from sim.mass import solids
from sim.mass.assemble import assemble, join, refuse
from sim.mass.drape import drape_mass
from sim.mass.measured import Measured, Three, apply_measured, swung_inertia
from sim.mass.plausible import why_craft_cannot_turn
from sim.mass.properties import MassProperties, PartMass
from sim.spec.airframe import CraftSpec
from sim.spec.place import Place
from sim.spec.quantity import Uncertain
from sim.spec.rotor import RotorSpec
from sim.spec.structure import PartSpec, Shape, SwingAxis

Array = NDArray[np.float64]


def mass_properties(craft: CraftSpec, *, with_drape: bool = False) -> MassProperties:
    """Give mass, centre of gravity and inertia of a craft from its parts or its measurements.

    Parameters
    ----------
    craft : CraftSpec
        Read from a craft file.
    with_drape : bool
        Whether the fabric counts, hanging straight down. In flight it moves on its own and is
        left out.

    Returns
    -------
    MassProperties
        Measured values stand in place of summed ones; they are those of the craft without fabric.

    Raises
    ------
    InputFaults
        When no body can have such masses, or the craft has no inertia about an axis.
    """
    summed = assemble(part_masses(craft))
    measured = _measured(craft, Uncertain(summed.mass_kg, summed.mass_plus_minus_kg))
    whole = apply_measured(summed, measured)
    refuse([why_craft_cannot_turn(whole.inertia_kg_m2)])
    fabrics = tuple(drape_mass(drape) for drape in craft.drapes) if with_drape else ()
    if not fabrics:
        return whole
    if measured == Measured():
        return assemble((*part_masses(craft), *fabrics))
    return join(whole, *fabrics)


def part_masses(craft: CraftSpec) -> tuple[PartMass, ...]:
    """Give every part that has a mass, without the fabric: one line of the ledger each.

    Parameters
    ----------
    craft : CraftSpec
        Read from a craft file.

    Returns
    -------
    tuple of PartMass
        Parts, head, one group for each rotor, battery, electronics.
    """
    solid = [_of_part(part) for part in craft.parts]
    if craft.head is not None:
        solid.append(_of_part(craft.head))
    solid.extend(_of_rotor(rotor) for rotor in craft.rotors)
    solid.append(_point("battery", craft.battery.mass_kg, craft.battery.place))
    solid.append(_point("electronics", craft.electronics.mass_kg, craft.electronics.place))
    return tuple(part for part in solid if part.mass_kg > 0.0)


def hub_place_m(rotor: RotorSpec) -> Array:
    """Give where the propeller turns, with the rotor untilted.

    Parameters
    ----------
    rotor : RotorSpec
        The rotor; its place is the tilt pivot if it tilts.

    Returns
    -------
    ndarray
        [m] Body axes (forward, right, down) from the origin of the craft file, shape (3,).
    """
    above = rotor.tilt.hub_above_pivot_m if rotor.tilt is not None else 0.0
    forward, right, down = rotor.place.body_m
    return np.array([forward, right, down - above])


def rotor_plane_height_above_centre_m(craft: CraftSpec, properties: MassProperties) -> Uncertain:
    """Give how far the rotor plane stands above the centre of gravity.

    Parameters
    ----------
    craft : CraftSpec
        Read from a craft file.
    properties : MassProperties
        Of the same craft, with or without its fabric.

    Returns
    -------
    Uncertain
        [m] Mean height of the hubs above the centre of gravity, negative when the rotors are
        below it, with its spread; the two heights count as independent.
    """
    count = len(craft.rotors)
    mean_down = sum(float(hub_place_m(rotor)[2]) for rotor in craft.rotors) / count
    of_hubs = math.hypot(*(rotor.place.up_m.plus_minus for rotor in craft.rotors)) / count
    spread = math.hypot(of_hubs, float(properties.centre_plus_minus_m[2]))
    return Uncertain(float(properties.centre_m[2]) - mean_down, spread)


def _place(place: Place) -> Array:
    return np.array(place.body_m)


def _place_spread(place: Place) -> Array:
    return np.array(place.plus_minus_m)


def _point(name: str, mass: Uncertain, place: Place) -> PartMass:
    return PartMass(
        name, mass.value, mass.plus_minus, _place(place), _place_spread(place), solids.point()
    )


def _of_part(part: PartSpec) -> PartMass:
    return PartMass(
        part.name,
        part.mass_kg.value,
        part.mass_kg.plus_minus,
        _place(part.place),
        _place_spread(part.place),
        solid_inertia(part),
    )


def solid_inertia(part: PartSpec) -> Array:
    """Give a part's inertia about its own centre of gravity.

    Parameters
    ----------
    part : PartSpec
        Shape, sizes and mass; a rod without a radius is the thin rod.

    Returns
    -------
    ndarray
        [kg m2] Shape (3, 3), body axes.
    """
    mass, length, radius = part.mass_kg.value, part.length_m, part.radius_m
    along = part.along
    by_shape: dict[Shape, Callable[[], Array]] = {
        "point": solids.point,
        "rod": lambda: (
            solids.cylinder(mass, length, radius, along)
            if radius > 0.0
            else solids.rod(mass, length, along)
        ),
        "tube": lambda: solids.tube(mass, length, radius, part.inner_radius_m, along),
        "cylinder": lambda: solids.cylinder(mass, length, radius, along),
        "disc": lambda: solids.disc(mass, radius, along),
        "box": lambda: solids.box(mass, *part.sides_m),
        "panel": lambda: solids.panel(mass, length, part.width_m, along),
        "sphere": lambda: solids.sphere(mass, radius),
        "spherical_shell": lambda: solids.spherical_shell(mass, radius),
        "hemispherical_shell": lambda: solids.hemispherical_shell(mass, radius, along),
    }
    return by_shape[part.shape]()


def _of_rotor(rotor: RotorSpec) -> PartMass:
    """Give propeller and motor at the hub, speed controller and servo at the pivot, as one part.

    They share the uncertainty of one place, so they must not count as independent.
    """
    at_pivot = [rotor.speed_controller.mass_kg]
    if rotor.tilt is not None:
        at_pivot.append(rotor.tilt.servo.mass_kg)
    nowhere = np.zeros(3)
    masses = [(mass, hub_place_m(rotor)) for mass in (rotor.propeller.mass_kg, rotor.motor.mass_kg)]
    masses += [(mass, _place(rotor.place)) for mass in at_pivot]
    group = assemble(
        [
            PartMass(rotor.name, mass.value, mass.plus_minus, place, nowhere, solids.point())
            for mass, place in masses
        ]
    )
    return PartMass(
        rotor.name,
        group.mass_kg,
        group.mass_plus_minus_kg,
        group.centre_m,
        _place_spread(rotor.place),
        group.inertia_kg_m2,
    )


def _measured(craft: CraftSpec, summed_mass_kg: Uncertain) -> Measured:
    """Give what the craft file measures; a swing needs the mass, measured or else summed."""
    given = craft.measured
    if given is None:
        return Measured()
    centre: Three | None = None
    if given.centre is not None:
        up = given.centre.up_m
        centre = (
            given.centre.forward_m,
            given.centre.right_m,
            Uncertain(-up.value, up.plus_minus),
        )
    inertia: Three | None = None
    mass = given.mass_kg or summed_mass_kg
    if given.inertia is not None:
        inertia = (given.inertia.roll_kg_m2, given.inertia.pitch_kg_m2, given.inertia.yaw_kg_m2)
    elif given.swing is not None:
        swing = given.swing
        inertia = (
            _swung(mass, swing.roll),
            _swung(mass, swing.pitch),
            _swung(mass, swing.yaw),
        )
    return Measured(given.mass_kg, centre, inertia)


def _swung(mass_kg: Uncertain, swing: SwingAxis) -> Uncertain:
    return swung_inertia(mass_kg, swing.string_spacing_m, swing.string_length_m, swing.period_s)
