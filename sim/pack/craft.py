"""From a craft spec and the day's air to the craft record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, final

import numpy as np

from sim.mass.assemble import join
from sim.mass.drape import rim_mass
from sim.mass.from_spec import mass_properties
from sim.mass.properties import MassProperties
from sim.pack.drape import DrapePanels, write_drapes
from sim.pack.drape_cloth import rim_masses_kg
from sim.pack.flight import STEP_S, plain_flight
from sim.pack.loops import LoopLags, write_loops
from sim.pack.mixer import LEAST_THRUST_SHARE, write_mixer
from sim.pack.neck import write_neck
from sim.pack.rotor import KnownMaps, write_rotors
from sim.pack.rotor_blockage import write_blockage
from sim.pack.rotor_table import RotorMap
from sim.pack.stand import StandPoint, stand_point
from sim.pack.wind import gust_span_m
from sim.params.craft_record import CHARGE_NODES, CRAFT_TYPE
from sim.params.record import FloatArray, blank_records
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2, AirOfTheDay
from sim.physics.power.battery import open_circuit_table
from sim.physics.power.pack_resistance import resistance_factor
from sim.spec.airframe import CraftSpec

FOOT_DEFLECTION_M = 0.005
FOOT_DAMPING_RATIO = 0.5
INTEGRAL_SHARE_OF_MOMENT = 0.5
SQUARE = 2.0


@final
@dataclass(frozen=True)
class PackedCraft:
    """A craft ready to fly on one day.

    Attributes
    ----------
    records : ndarray of one craft record
    mass : MassProperties
        Without free fabric; the rim carries its share.
    whole_mass_kg : float
        [kg] With all fabric.
    fabric_mass_kg : float
        [kg] All fabric.
    maps : tuple of RotorMap
        Propeller maps, in the order of the record.
    full : StandPoint
        All rotors at full command on the test stand.
    air : AirOfTheDay
    charge : float
        [-] Of the pack at take-off.
    panels : tuple of DrapePanels
        Which panels of the record each drape has.
    rotors : tuple of str
        Their names, in the order of the record.
    """

    records: Any
    mass: MassProperties
    whole_mass_kg: float
    fabric_mass_kg: float
    maps: tuple[RotorMap, ...]
    full: StandPoint
    air: AirOfTheDay
    charge: float
    panels: tuple[DrapePanels, ...] = ()
    rotors: tuple[str, ...] = ()

    @property
    def record(self) -> Any:
        """The one craft record."""
        return self.records[0]


def with_rims(craft: CraftSpec, solid: MassProperties) -> MassProperties:
    """Give mass, CG and inertia of a solid craft with what its rims carry of the fabric."""
    if not craft.drapes:
        return solid
    return join(
        solid, *(rim_mass(drape, rim_masses_kg(drape) * drape.strips) for drape in craft.drapes)
    )


def _write_bodies(craft: CraftSpec, record: Any, centre_m: FloatArray) -> int:
    """Write the parts that feel the wind; give the index of the head among them, or -1.

    Parts at one place feel the same air, so that their areas add up; the head stands by itself.
    """
    areas: dict[tuple[float, ...], FloatArray] = {}
    for part in craft.parts:
        if any(area > 0.0 for area in part.drag_area_m2):
            place = tuple(part.place.body_m)
            areas[place] = areas.get(place, np.zeros(3)) + np.array(part.drag_area_m2)
    windy = [(np.array(place), area) for place, area in areas.items()]
    head, head_index = craft.head, -1
    if head is not None and any(area > 0.0 for area in head.drag_area_m2):
        head_index = len(windy)
        windy.append((np.array(head.place.body_m), np.array(head.drag_area_m2)))
    record.body_count = len(windy)
    for i, (place_m, area_m2) in enumerate(windy):
        record.body.place_m[:, i] = place_m - centre_m
        record.body.drag_area_m2[:, i] = area_m2
    return head_index


def _write_feet(craft: CraftSpec, record: Any, centre_m: FloatArray, mass_kg: float) -> None:
    """Feet as given; stiffness and damping by default so that the weight sinks in 5 mm."""
    if craft.legs is None:
        return
    feet = craft.legs.feet
    record.foot_count = len(feet)
    for i, foot in enumerate(feet):
        record.foot[i].place_m[:] = np.array(foot.body_m) - centre_m
    share = mass_kg / len(feet)
    stiffness = share * STANDARD_GRAVITY_M_S2 / FOOT_DEFLECTION_M
    given = craft.legs.stiffness_n_m
    record.foot_stiffness_n_m = stiffness if given is None else given
    damping = 2.0 * FOOT_DAMPING_RATIO * np.sqrt(float(record.foot_stiffness_n_m) * share)
    given = craft.legs.damping_n_s_m
    record.foot_damping_n_s_m = damping if given is None else given
    record.foot_friction = craft.legs.friction


def _write_battery(craft: CraftSpec, battery: Any) -> None:
    pack = craft.battery
    battery.capacity_a_s = pack.capacity_a_s
    battery.open_circuit_v[:] = open_circuit_table(pack.chemistry, pack.cells, CHARGE_NODES)
    factor = resistance_factor(pack.temperature_k, pack.age_factor)
    battery.resistance_ohm = pack.resistance_ohm.value * factor + pack.wiring_resistance_ohm.value
    battery.current_limit_a = pack.current_limit_a
    battery.electronics_w = craft.electronics.idle_power_w


def _write_sensing(craft: CraftSpec, sensing: Any) -> None:
    sensors = craft.controller.sensors
    sensing.gyro_cutoff_rad_s = craft.controller.gyro_cutoff_rad_s
    for name in (
        "gyro_noise_rad_s",
        "gyro_bias_rad_s",
        "accelerometer_noise_m_s2",
        "attitude_time_constant_s",
        "position_lag_s",
        "position_noise_m",
    ):
        setattr(sensing, name, getattr(sensors, name))


def rotor_lag_s(craft: Any, index: int, point: StandPoint, share: float) -> float:
    """Give the time constant [s] of a rotor's speed near a share of full thrust.

    J / (Kt / (R Kv) + 2 k_Q Omega) with k_Q from the stand (linearised motor equation).
    """
    rotor = craft.rotor[index]
    speed = float(point.speed_rad_s[index])
    drag = float(point.torque_n_m[index]) / speed**2
    here = speed * np.sqrt(share)
    back = 1.0 / (float(rotor.resistance_ohm) * float(rotor.speed_constant_rad_s_v) ** 2)
    return float(rotor.inertia_kg_m2 / (back + 2.0 * drag * here))


def _lags(craft: CraftSpec, record: Any, full: StandPoint, share: float) -> LoopLags:
    rotor = max(rotor_lag_s(record, i, full, share) for i in range(len(craft.rotors)))
    servos = [r.tilt.servo for r in craft.rotors if r.tilt is not None]
    servo = max((2.0 * s.damping_ratio / s.natural_frequency_rad_s for s in servos), default=rotor)
    pitch = servo if craft.layout == "bicopter" else rotor
    return LoopLags(roll_s=rotor, pitch_s=pitch, yaw_s=servo, height_s=rotor)


def hover_moments_n_m(record: Any, thrust_n: float) -> tuple[float, float, float]:
    """Give the moments [N m] about roll, pitch and yaw that a hover can give, from none to full.

    One rotor down to nothing, or tilts at their stops.
    """
    mixer, count = record.mixer, int(record.rotor_count)
    lever = float(np.max(np.abs(mixer.thrust_per_roll[:count])))
    roll = thrust_n / count / lever
    tilts = [r for r in record.rotor[:count] if r.tilts]
    travel = float(tilts[0].tilt_travel_rad) if tilts else 0.0
    per_pitch = float(np.max(np.abs(mixer.thrust_per_pitch[:count])))
    if per_pitch > 0.0:
        pitch = thrust_n / count / per_pitch
        yaw = thrust_n / count * float(mixer.yaw_arm_m) * travel
    else:
        pitch = thrust_n * float(mixer.pitch_arm_m) * travel
        yaw = thrust_n * float(mixer.yaw_arm_m) * travel
    return roll, pitch, yaw


def _most_moments(record: Any, thrust_n: float) -> tuple[float, float, float]:
    """Give what the loops' integrals may reach: half of what a hover can give."""
    roll, pitch, yaw = hover_moments_n_m(record, thrust_n)
    share = INTEGRAL_SHARE_OF_MOMENT
    return share * roll, share * pitch, share * yaw


def _thrust_exponent(
    record: Any, flight: Any, full: StandPoint, weight_n: float, charge: float
) -> float:
    """Give the power of throttle with which thrust goes between hover and full, from the stand.

    A flight controller that has learned its hover throttle knows as much. Two (as the square) for a
    craft that its rotors cannot carry.
    """
    full_n = float(np.sum(full.thrust_n))
    if weight_n >= full_n:
        return SQUARE
    throttle = float((weight_n / full_n) ** (1.0 / SQUARE))
    point = stand_point(record, flight, np.full(len(full.thrust_n), throttle), charge=charge)
    return float(np.log(np.sum(point.thrust_n) / full_n) / np.log(throttle))


def pack_craft(
    craft: CraftSpec, air: AirOfTheDay, *, known_maps: KnownMaps | None = None
) -> PackedCraft:
    """Make the craft record.

    Parameters
    ----------
    craft : CraftSpec
        Read from a craft file.
    air : AirOfTheDay
        Its density and viscosity make the rotor maps.
    known_maps : dict, optional
        Rotor maps of crafts much like this one, to use again; made in the same air.

    Raises
    ------
    InputFaults
        When no body can have the masses given.
    """
    records = blank_records(CRAFT_TYPE, 1)
    record = records[0]
    solid = mass_properties(craft)
    mass = with_rims(craft, solid)
    centre = mass.centre_m
    whole = mass_properties(craft, with_drape=True).mass_kg
    weight = whole * STANDARD_GRAVITY_M_S2
    record.mass_kg = mass.mass_kg
    record.inertia_kg_m2[:] = mass.inertia_kg_m2
    record.inertia_inverse[:] = np.linalg.inv(mass.inertia_kg_m2)
    each = weight / len(craft.rotors)
    maps = write_rotors(
        craft.rotors, record, each, air.density_kg_m3, air.viscosity_pa_s, known_maps
    )
    pivots = np.array([rotor.place.body_m for rotor in craft.rotors]) - centre
    for i, pivot in enumerate(pivots):
        record.rotor[i].pivot_m[:] = pivot
    _write_battery(craft, record.battery)
    head_index = _write_bodies(craft, record, centre)
    if craft.head is not None:
        write_neck(craft.head, record.neck, mass, head_index, STEP_S)
    _write_feet(craft, record, centre, whole)
    _write_sensing(craft, record.sensing)
    panels = write_drapes(craft.drapes, record.drape, centre, air.density_kg_m3, STEP_S, craft)
    write_blockage(craft, record, centre)
    record.span_m = gust_span_m(record)
    write_mixer(craft, record.mixer, pivots)
    record.mixer.hover_thrust_n = weight
    flight = plain_flight(air)
    throttle = np.ones(len(craft.rotors))
    full = stand_point(record, flight[0], throttle, charge=craft.battery.charge)
    record.mixer.full_thrust_n[: len(craft.rotors)] = full.thrust_n
    record.mixer.thrust_exponent = _thrust_exponent(
        record, flight[0], full, weight, craft.battery.charge
    )
    record.mixer.least_thrust_n = LEAST_THRUST_SHARE * float(np.min(full.thrust_n))
    inertia = mass.inertia_kg_m2
    write_loops(
        craft,
        record.control,
        _lags(craft, record, full, weight / float(np.sum(full.thrust_n))),
        (float(inertia[0, 0]), float(inertia[1, 1]), float(inertia[2, 2])),
        _most_moments(record, weight),
        STEP_S,
    )
    fabric = whole - solid.mass_kg
    charge = craft.battery.charge
    names = tuple(rotor.name for rotor in craft.rotors)
    return PackedCraft(records, mass, whole, fabric, tuple(maps), full, air, charge, panels, names)
