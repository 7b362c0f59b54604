"""Estimate and table-driven map against a measured 10 x 5 inch two-bladed propeller.

Source and geometry: SOURCES.md. The bands are the accuracy that a blade element code with a guessed
section can claim; they cannot show a coding error of 10 %, which the closed forms in
verification/test_blade_element.py do.
"""

import math

import numpy as np
import pytest

from sim.errors import SimError
from sim.pack.rotor_table import (
    AXIAL_PER_ADVANCE,
    ROTOR_THRUST_PER_TABLE_THRUST,
    ROTOR_TORQUE_PER_TABLE_POWER,
    PerformanceRow,
    StaticReading,
    rotor_map,
    table_lines,
)
from sim.physics.rotor.blade_element import RESULTS, Method, rotor_coefficients
from sim.physics.rotor.geometry import propeller_blade
from sim.physics.rotor.section_polar import THIN_CAMBERED

DIAMETER = 0.254
RADIUS = DIAMETER / 2.0
SPEED = 5400.0 * 2.0 * math.pi / 60.0
DENSITY = 1.225
# Air at 15 degrees C, ICAO standard atmosphere.
VISCOSITY = 1.789e-5

# J, C_T, C_P, efficiency.
MEASURED = (
    (0.113, 0.0912, 0.0381, 0.271),
    (0.145, 0.0890, 0.0386, 0.335),
    (0.174, 0.0864, 0.0389, 0.387),
    (0.200, 0.0834, 0.0389, 0.429),
    (0.233, 0.0786, 0.0387, 0.474),
    (0.260, 0.0734, 0.0378, 0.505),
    (0.291, 0.0662, 0.0360, 0.536),
    (0.316, 0.0612, 0.0347, 0.557),
    (0.346, 0.0543, 0.0323, 0.580),
    (0.375, 0.0489, 0.0305, 0.603),
    (0.401, 0.0451, 0.0291, 0.620),
    (0.432, 0.0401, 0.0272, 0.635),
    (0.466, 0.0345, 0.0250, 0.644),
    (0.493, 0.0297, 0.0229, 0.640),
    (0.519, 0.0254, 0.0210, 0.630),
    (0.548, 0.0204, 0.0188, 0.595),
    (0.581, 0.0145, 0.0162, 0.520),
)
ROWS = tuple(PerformanceRow(*row[:3]) for row in MEASURED)
# The last two rows extended in a straight line.
ZERO_THRUST_ADVANCE = 0.581 + 0.0145 * (0.581 - 0.548) / (0.0204 - 0.0145)

STATIONS = tuple(0.15 + 0.05 * k for k in range(18))
CHORD = (
    0.130, 0.149, 0.173, 0.189, 0.197, 0.201, 0.200, 0.194, 0.186,
    0.174, 0.160, 0.145, 0.128, 0.112, 0.096, 0.081, 0.061, 0.041,
)  # fmt: skip
TWIST_DEGREES = (
    32.76, 37.19, 33.54, 29.25, 25.64, 22.54, 20.27, 18.46, 17.05,
    15.97, 14.87, 14.09, 13.39, 12.84, 12.25, 11.37, 10.19, 8.99,
)  # fmt: skip


CLAIMED = tuple(row[:3] for row in MEASURED if row[0] <= 0.75 * ZERO_THRUST_ADVANCE)


def measured_blade():
    return propeller_blade(
        DIAMETER,
        0.127,
        2,
        list(zip(STATIONS, CHORD, strict=True)),
        list(zip(STATIONS, np.radians(TWIST_DEGREES), strict=True)),
    )


def estimate(blade, advance):
    """Give C_T and C_P in the propeller convention."""
    result = np.zeros(RESULTS)
    method = Method(DENSITY * SPEED * RADIUS**2 / VISCOSITY, tip_loss=True, small_angle=False)
    rotor_coefficients(blade, THIN_CAMBERED, advance * AXIAL_PER_ADVANCE, 0.0, method, result)
    return (
        result[0] / ROTOR_THRUST_PER_TABLE_THRUST,
        result[1] / ROTOR_TORQUE_PER_TABLE_POWER,
    )


def band(advance):
    return 0.15 if advance < 0.3 else 0.30


@pytest.mark.parametrize(("advance", "thrust", "power"), CLAIMED)
def test_estimate_with_measured_geometry(advance, thrust, power):
    """15 % in thrust and power below J 0.3, 30 % up to 75 % of zero-thrust advance, no more."""
    found_thrust, found_power = estimate(measured_blade(), advance)
    assert found_thrust == pytest.approx(thrust, rel=band(advance))
    assert found_power == pytest.approx(power, rel=band(advance))


@pytest.mark.parametrize(("advance", "thrust", "power"), CLAIMED)
def test_estimate_from_diameter_and_pitch_alone(advance, thrust, power):
    """The same bands hold when chord and twist are the defaults for a 10 x 5."""
    found_thrust, found_power = estimate(propeller_blade(DIAMETER, 0.127, 2), advance)
    assert found_thrust == pytest.approx(thrust, rel=band(advance))
    assert found_power == pytest.approx(power, rel=band(advance))


@pytest.mark.parametrize(("advance", "thrust", "power", "efficiency"), MEASURED)
def test_data_set_is_copied_right(advance, thrust, power, efficiency):
    """The published efficiency is J C_T / C_P within the data set's own rounding, 0.0023."""
    assert advance * thrust / power == pytest.approx(efficiency, abs=0.0024)


def test_convention():
    """J .113 at 5400 turns per minute: 3.76661 N, 35.97139 W, 2.58318 m/s in either convention."""
    thrust, torque = table_lines(ROWS, np.array([0.113 * AXIAL_PER_ADVANCE]))
    area = math.pi * RADIUS**2
    tip_speed = SPEED * RADIUS
    assert thrust[0] * DENSITY * area * tip_speed**2 == pytest.approx(3.76661, rel=1e-6)
    assert torque[0] * DENSITY * area * tip_speed**3 == pytest.approx(35.97139, rel=1e-6)
    assert 0.113 * AXIAL_PER_ADVANCE * tip_speed == pytest.approx(2.58318, rel=1e-5)


def table_map():
    return rotor_map(measured_blade(), RADIUS, SPEED, DENSITY, VISCOSITY, table=ROWS)


def test_table_is_met_exactly_by_its_curve():
    """The monotone curve goes through every row."""
    advance = np.array([row.advance for row in ROWS])
    thrust, torque = table_lines(ROWS, advance * AXIAL_PER_ADVANCE)
    assert thrust / ROTOR_THRUST_PER_TABLE_THRUST == pytest.approx(
        [row.thrust for row in ROWS], rel=1e-9
    )
    assert torque / ROTOR_TORQUE_PER_TABLE_POWER == pytest.approx(
        [row.power for row in ROWS], rel=1e-9
    )


def test_table_driven_map():
    """Read linearly at the table's rows the map is within 0.5 %, and thrust falls with advance."""
    found = table_map()
    at = np.array([row.advance for row in ROWS]) * AXIAL_PER_ADVANCE
    thrust = np.interp(at, found.axial, found.thrust[:, 0]) / ROTOR_THRUST_PER_TABLE_THRUST
    torque = np.interp(at, found.axial, found.torque[:, 0]) / ROTOR_TORQUE_PER_TABLE_POWER
    assert thrust == pytest.approx([row.thrust for row in ROWS], rel=0.005)
    assert torque == pytest.approx([row.power for row in ROWS], rel=0.005)
    inside = (found.axial > at[0]) & (found.axial < at[-1])
    assert np.all(np.diff(found.thrust[inside, 0]) < 0.0)
    assert found.table_axial_max == pytest.approx(at[-1], rel=1e-12)


def test_correction_is_held_beyond_the_table():
    """Past the last row, and before the first, the table's correction of the theory is kept."""
    theory = rotor_map(measured_blade(), RADIUS, SPEED, DENSITY, VISCOSITY)
    found = table_map()
    beyond = found.axial > found.table_axial_max + found.axial_step
    added = found.thrust[beyond, 0] - theory.thrust[beyond, 0]
    assert np.ptp(added) < 1e-12
    # The same is added to every column, so that the edgewise dependence stays.
    every = found.thrust - theory.thrust
    assert np.max(np.ptp(every, axis=1)) < 1e-12
    assert math.isnan(theory.table_axial_max)


def test_static_reading_scales_the_map():
    """The map gives the measured thrust back, and the figure of merit stays."""
    theory = rotor_map(measured_blade(), RADIUS, SPEED, DENSITY, VISCOSITY)
    reading = StaticReading(thrust_n=4.4, speed_rad_s=600.0)
    found = rotor_map(measured_blade(), RADIUS, SPEED, DENSITY, VISCOSITY, reading=reading)
    thrust, torque = found.static()
    at_speed = thrust * (1.0 + found.thrust_speed_slope * (600.0 / SPEED - 1.0))
    newton = at_speed * DENSITY * math.pi * RADIUS**2 * (600.0 * RADIUS) ** 2
    assert newton == pytest.approx(4.4, rel=1e-12)
    was_thrust, was_torque = theory.static()
    assert thrust**1.5 / torque == pytest.approx(was_thrust**1.5 / was_torque, rel=1e-12)
    assert found.thrust_scale == pytest.approx(thrust / was_thrust, rel=1e-12)
    assert theory.thrust_scale == 1.0
    row = int(np.argmin(np.abs(found.axial)))
    ratio = found.induced[row, 0] / theory.induced[row, 0]
    assert ratio == pytest.approx(math.sqrt(found.thrust_scale), rel=0.01)


def test_windmilling_rows_shift_as_momentum_theory_asks():
    """Past zero thrust, lambda_i = -(l/2 - sqrt(l^2/4 - |C_T|/2)): the mirrored windmill branch."""
    theory = rotor_map(measured_blade(), RADIUS, SPEED, DENSITY, VISCOSITY)
    reading = StaticReading(thrust_n=4.4, speed_rad_s=600.0)
    found = rotor_map(measured_blade(), RADIUS, SPEED, DENSITY, VISCOSITY, reading=reading)
    row = theory.axial.size - 1
    half = 0.5 * theory.axial[row]

    def windmill(thrust):
        return math.sqrt(half**2 - 0.5 * abs(thrust)) - half

    assert theory.thrust[row, 0] < 0.0
    shift = windmill(found.thrust[row, 0]) - windmill(theory.thrust[row, 0])
    assert found.induced[row, 0] - theory.induced[row, 0] == pytest.approx(shift, rel=1e-9)


def test_slower_is_less_efficient():
    """At a lower Reynolds number the torque coefficient is larger; thrust hardly changes."""
    found = rotor_map(measured_blade(), RADIUS, SPEED, DENSITY, VISCOSITY)
    assert -0.2 < found.torque_speed_slope < -0.02
    assert abs(found.thrust_speed_slope) < 0.05


@pytest.mark.parametrize(
    "rows",
    [ROWS[:1], (PerformanceRow(0.2, 0.1, 0.04), PerformanceRow(0.2, 0.09, 0.04))],
)
def test_unusable_table_is_refused(rows):
    """One row, or an advance that does not ascend, is no table."""
    with pytest.raises(SimError, match="two or more"):
        rotor_map(measured_blade(), RADIUS, SPEED, DENSITY, VISCOSITY, table=rows)
