"""From rotor specs to rotor records and their maps; equal propellers share one map."""

from __future__ import annotations

import math
from typing import Any, TypeAlias

from sim.pack.rotor_table import PerformanceRow, RotorMap, StaticReading, rotor_map
from sim.params.craft_record import MAX_MAPS
from sim.physics.rotor.geometry import Blade, propeller_blade
from sim.spec.quantity import Uncertain
from sim.spec.rotor import PropellerSpec, RotorSpec

CLOCKWISE = 1.0
ANTICLOCKWISE = -1.0
GUESSED_THRUST_COEFFICIENT = 0.1
ROTOR_SWING_SHARE = 0.075

KnownMaps: TypeAlias = dict[PropellerSpec, RotorMap]
"""Maps made before in the same air, by `shape_of` their propeller."""


def shape_of(spec: PropellerSpec) -> PropellerSpec:
    """Give a propeller without its mass and the factors that only multiply what its map gives."""
    plain = {"mass_kg": Uncertain(0.0), "thrust_factor_given": None, "torque_factor_given": None}
    return spec.model_copy(update=plain)


def blade_and_speed(
    spec: PropellerSpec, thrust_n: float, density_kg_m3: float
) -> tuple[Blade, float]:
    """Give a propeller's blade, and the speed [rad/s] near which it gives a thrust [N].

    The speed follows from T = C_T rho n^2 D^4 with C_T = 0.1, only to place the Reynolds number.
    """
    diameter = spec.diameter_m
    turns = math.sqrt(thrust_n / (GUESSED_THRUST_COEFFICIENT * density_kg_m3 * diameter**4))
    blade = propeller_blade(
        diameter,
        spec.pitch_m,
        spec.blades,
        tuple((row.radius, row.chord) for row in spec.chord_ratio or ()),
        tuple((row.radius, row.angle_rad) for row in spec.twist or ()),
    )
    return blade, 2.0 * math.pi * turns


def propeller_map(
    spec: PropellerSpec, thrust_n: float, density_kg_m3: float, viscosity_pa_s: float
) -> RotorMap:
    """Compute the map of a propeller near the speed at which it gives a thrust [N]."""
    blade, speed = blade_and_speed(spec, thrust_n, density_kg_m3)
    reading = spec.measured_thrust
    return rotor_map(
        blade,
        0.5 * spec.diameter_m,
        speed,
        density_kg_m3,
        viscosity_pa_s,
        table=tuple(PerformanceRow(r.advance, r.thrust, r.power) for r in spec.table or ()),
        reading=None if reading is None else StaticReading(reading.thrust_n, reading.speed_rad_s),
    )


def write_map(chart: RotorMap, record: Any) -> None:
    """Copy a map into a `RotorMapRecord`."""
    record.axial_min, record.axial_step = chart.axial_min, chart.axial_step
    record.edge_step = chart.edge_step
    record.reference_speed_rad_s = chart.reference_speed_rad_s
    record.thrust_speed_slope = chart.thrust_speed_slope
    record.torque_speed_slope = chart.torque_speed_slope
    for name in record.node.dtype.names:
        record.node[name][:] = getattr(chart, name)


def propeller_inertia_kg_m2(spec: PropellerSpec) -> float:
    """Give a propeller's inertia [kg m2] about the shaft.

    0.075 m D^2: a rod's 1/12, less for blades that taper (common practice, no source).
    """
    return ROTOR_SWING_SHARE * spec.mass_kg.value * spec.diameter_m**2


def write_rotors(
    rotors: tuple[RotorSpec, ...],
    craft: Any,
    thrust_n: float,
    density_kg_m3: float,
    viscosity_pa_s: float,
    known: KnownMaps | None = None,
) -> list[RotorMap]:
    """Fill in rotors and maps of a craft record, places excepted; give the maps.

    Parameters
    ----------
    rotors : tuple of RotorSpec
    craft : record
        `CraftRecord` to fill in.
    thrust_n : float
        [N] A rotor's share of the weight, near which the maps are made.
    density_kg_m3, viscosity_pa_s : float
        [kg/m3], [Pa s] Air of the day.
    known : dict, optional
        Maps to use again, of the same air and made near another thrust; new ones are added.
    """
    kinds: list[PropellerSpec] = []
    maps: list[RotorMap] = []
    known = {} if known is None else known
    craft.rotor_count = len(rotors)
    for i, spec in enumerate(rotors):
        shape = shape_of(spec.propeller)
        if shape not in kinds:
            if len(kinds) == MAX_MAPS:
                message = f"more than {MAX_MAPS} different propellers on one craft"
                raise ValueError(message)
            if shape not in known:
                known[shape] = propeller_map(shape, thrust_n, density_kg_m3, viscosity_pa_s)
            write_map(known[shape], craft.rotor_map[len(kinds)])
            kinds.append(shape)
            maps.append(known[shape])
        _write_rotor(spec, craft.rotor[i], kinds.index(shape))
    return maps


def _write_rotor(spec: RotorSpec, record: Any, map_index: int) -> None:
    motor, regulator, propeller = spec.motor, spec.speed_controller, spec.propeller
    record.map_index = map_index
    record.radius_m = 0.5 * propeller.diameter_m
    record.spin = CLOCKWISE if spec.turns == "clockwise" else ANTICLOCKWISE
    record.inertia_kg_m2 = propeller_inertia_kg_m2(propeller) + motor.bell_inertia_kg_m2
    record.thrust_factor = propeller.thrust_factor.value
    record.torque_factor = propeller.torque_factor.value
    record.speed_constant_rad_s_v = motor.speed_constant_rad_s_V.value
    record.resistance_ohm = motor.resistance_ohm.value + regulator.resistance_ohm
    record.no_load_current_a = motor.no_load_current_a
    record.current_limit_a = min(motor.current_limit_a, regulator.current_limit_a)
    record.full_command = regulator.full_command
    if spec.tilt is None:
        return
    servo = spec.tilt.servo
    record.tilts = 1
    record.tilt_axis[:] = (0.0, 1.0, 0.0) if spec.tilt.axis == "right" else (1.0, 0.0, 0.0)
    record.hub_above_pivot_m = spec.tilt.hub_above_pivot_m
    record.tilt_travel_rad = spec.tilt.travel_rad
    record.servo_frequency_rad_s = servo.natural_frequency_rad_s
    record.servo_damping = servo.damping_ratio
    record.servo_slew_rad_s = servo.slew_rad_s
    record.servo_deadband_rad = servo.deadband_rad
    record.servo_slop_rad = servo.slop_rad
