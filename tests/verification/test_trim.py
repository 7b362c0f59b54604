"""Steady flight against statics worked out from weights, levers and drag alone."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import fsolve

from sim.analysis.linearise import advanced
from sim.analysis.operating_point import observed
from sim.analysis.trim import find_trim
from sim.numerics.quaternion import euler_angles, write_rotation
from sim.pack.craft import pack_craft
from sim.pack.flight import plain_flight
from sim.physics.rotor.wash import wash_at
from sim.spec import load_craft

GRAVITY = 9.80665
HEIGHT_M = 100.0  # no ground effect
# A trim is steady to 1e-9 of a coordinate per run of the loops.
STEADY = 1e-8


@pytest.fixture(scope="session")
def steady(standard_air):
    """Give a function that finds the steady flight of a craft record, in a wind from the north."""

    def of(crafts, *, wind_m_s=0.0):
        flight = plain_flight(standard_air, height_m=HEIGHT_M)[0]
        flight.wind_m_s, flight.wind_height_m, flight.wind_from_rad = wind_m_s, HEIGHT_M, 0.0
        flight.roughness_m = 1e-9  # the same wind at every height, but for 1e-4
        return find_trim(crafts[0], flight, charge=1.0)

    return of


def angles_of(trim):
    rotation = np.empty((3, 3))
    write_rotation(trim.state["body"]["attitude"][0], rotation)
    return euler_angles(rotation)


def thrusts_of(trim):
    count = int(trim.crafts[0].rotor_count)
    return observed(trim)["rotor"]["thrust_n"][:count]


@pytest.mark.parametrize(
    "name", ["bare_bicopter", "heron_tricopter", "jellyfish_bicopter", "jellyfish_tricopter"]
)
def test_a_trim_is_a_fixed_point_of_the_step(shipped, steady, name):
    """x = step(x) to 1e-8, so that over a run of 2 ms velocities and rates are below 5e-6; at the
    asked place.
    """
    trim = steady(shipped(name).records)
    assert trim.residual < STEADY
    after = advanced(trim.crafts, trim.flights, trim.state)
    assert np.abs(trim.chart.difference(trim.state, after)).max() == pytest.approx(trim.residual)
    body = trim.state["body"][0]
    assert np.abs(body["velocity_m_s"]).max() < STEADY / 2e-3
    assert np.abs(body["rate_rad_s"]).max() < STEADY / 2e-3
    assert body["position_m"] == pytest.approx([0.0, 0.0, -HEIGHT_M], abs=1e-5)


def test_two_rotors_hover_on_their_weight(shipped, without_drag, steady):
    """Symmetric craft without drag: T = m g / 2 each, level, no tilt."""
    craft = without_drag(shipped("bare_bicopter").record)
    trim = steady(craft)
    half = 0.5 * float(craft[0].mass_kg) * GRAVITY
    assert thrusts_of(trim) == pytest.approx([half, half], rel=1e-7)
    assert angles_of(trim) == pytest.approx([0.0, 0.0, 0.0], abs=1e-7)
    assert trim.state["rotor"]["tilt_rad"][0] == pytest.approx(np.zeros(8), abs=1e-7)


def test_rotors_carry_the_weight_and_the_download(shipped, without_drag, steady):
    """A plate under each rotor: T = m g + D with D = rho/2 CdA w^2 of the wash w there.

    The wash on the axis is w = v_i (1 + z / sqrt(R^2 + z^2)), McCormick's tube, less what the other
    rotor draws up beside its wake. v_i itself is the mean over the disc of what blade elements
    induce, which for the same thrust is below momentum theory's sqrt(T / (2 rho A)), the mean being
    below the root of the mean square; not by a tenth.
    """
    craft = without_drag(shipped("bare_bicopter").record)
    craft["body_count"] = 2
    depth, area = 0.4, 0.01
    for i, rotor in enumerate(craft[0].rotor[:2]):
        below = np.array([0.0, 0.0, depth - rotor.hub_above_pivot_m])
        craft[0].body.place_m[:, i] = rotor.pivot_m + below
        craft[0].body.drag_area_m2[:, i] = (0.0, 0.0, area)
    trim = steady(craft)
    density = float(trim.flights[0].density_kg_m3)
    total = float(thrusts_of(trim).sum())
    radius = float(craft[0].rotor[0].radius_m)
    induced = float(observed(trim)["rotor"]["induced_m_s"][0])
    wash = induced * (1.0 + depth / math.hypot(radius, depth))
    apart = 2.0 * abs(float(craft[0].rotor[0].pivot_m[1]))
    beside = wash_at((0.0, apart, depth), (0.0, 0.0, -1.0), (0.0, 0.0, 1.0), radius, induced)
    assert -0.01 * wash < beside[2] < 0.0
    wash += beside[2]
    download = total - float(craft[0].mass_kg) * GRAVITY
    assert download == pytest.approx(2.0 * 0.5 * density * area * wash**2, rel=1e-3)
    ideal = math.sqrt(0.5 * total / (2.0 * density * math.pi * radius**2))
    assert 0.9 * ideal < induced < ideal


@pytest.mark.parametrize(("ahead_m", "above_m"), [(0.01, 0.10), (0.01, 0.20), (-0.02, 0.15)])
def test_the_centre_of_gravity_hangs_below_the_thrust(
    shipped, without_drag, steady, ahead_m, above_m
):
    """CG ahead of the pivots by dx and below them by h: the craft pitches nose down by
    atan(dx / h), so that the upright thrust line through the pivots goes through the CG:
    5.7106 and 2.8624 degrees for 10 mm under 100 and 200 mm.
    """
    craft = without_drag(shipped("bare_bicopter").record)
    for rotor in craft[0].rotor[:2]:
        rotor.pivot_m[0], rotor.pivot_m[2] = -ahead_m, -above_m
    craft["mixer"]["pitch_arm_m"] = above_m
    trim = steady(craft)
    lean = math.atan(ahead_m / above_m)
    assert angles_of(trim)[1] == pytest.approx(-lean, abs=1e-6)
    assert trim.state["rotor"]["tilt_rad"][0, :2] == pytest.approx([lean, lean], abs=1e-6)
    assert observed(trim)["rotor"]["axis_earth"][0] == pytest.approx([0.0, 0.0, -1.0], abs=1e-6)


@pytest.mark.parametrize(
    ("mass_kg", "drag_area_m2", "wind_m_s", "degrees", "thrust_to_weight"),
    [(3.0, 0.15, 8.0, 11.3025, 1.019777), (5.0, 0.30, 8.0, 13.4869, 1.028359)],
)
def test_level_flight_in_wind_leans_by_drag_over_weight(
    shipped, flattened, steady, mass_kg, drag_area_m2, wind_m_s, degrees, thrust_to_weight
):
    """tan(tilt) = D / W and T / W = 1 / cos(tilt), with D = rho/2 CdA V^2 at the CG, without wash
    (air drawn up to the discs passes there).
    """
    craft = flattened(shipped("jellyfish_bicopter").record)
    craft["rotor_map"]["node"]["induced"] = 0.0
    craft["rotor"]["thrust_factor"] *= 2.0  # so that 5 kg can be carried
    craft["mixer"]["full_thrust_n"] *= 2.0
    craft["mass_kg"] = mass_kg
    craft["mixer"]["hover_thrust_n"] = mass_kg * GRAVITY
    craft["body_count"] = 1
    craft[0].body.place_m[:, 0] = 0.0
    craft[0].body.drag_area_m2[:, 0] = drag_area_m2
    trim = steady(craft, wind_m_s=wind_m_s)
    pitch = angles_of(trim)[1]
    assert pitch == pytest.approx(-math.radians(degrees), rel=1e-4)
    ratio = float(thrusts_of(trim).sum()) / (mass_kg * GRAVITY)
    assert ratio == pytest.approx(1.0 / math.cos(pitch), rel=1e-4)
    assert ratio == pytest.approx(thrust_to_weight, rel=1e-4)


def torque_of_thrust(craft, flight, index, thrust_n):
    """Give the torque [N m] of a rotor that hovers at a thrust, from its map's coefficients."""
    rotor = craft.rotor[index]
    chart = craft.rotor_map[rotor.map_index]
    node, row = chart.node, -float(chart.axial_min) / float(chart.axial_step)
    low = int(row)
    thrust, torque = (
        float((low + 1 - row) * node[name][low, 0] + (row - low) * node[name][low + 1, 0])
        for name in ("thrust", "torque")
    )
    radius, density = float(rotor.radius_m), float(flight.density_kg_m3)
    area = math.pi * radius**2

    def lift(speed):
        change = speed / float(chart.reference_speed_rad_s) - 1.0
        pressure = density * area * (speed * radius) ** 2
        return (pressure * thrust * (1.0 + float(chart.thrust_speed_slope) * change)) * float(
            rotor.thrust_factor
        ) - thrust_n

    guess = math.sqrt(thrust_n / (density * area * thrust)) / radius
    speed = float(fsolve(lift, guess, xtol=1e-13)[0])
    change = speed / float(chart.reference_speed_rad_s) - 1.0
    pressure = density * area * radius * (speed * radius) ** 2
    slope = 1.0 + float(chart.torque_speed_slope) * change
    return pressure * torque * slope * float(rotor.torque_factor)


@pytest.mark.parametrize(
    "spins", [(1, -1, 1), (1, -1, -1), (-1, 1, 1), (1, 1, 1), (-1, -1, 1)], ids=str
)
def test_three_rotors_balance_yaw_by_leaning_the_tail(
    repository, standard_air, without_drag, steady, spins
):
    """Statics of three thrusts, a leaning tail and reaction torques, solved on their own.

    Unknown are the thrusts, the tail's lean a, roll and pitch of the body: six, and as many
    equations, sum F = 0 and sum M = 0 about the CG in body axes, with the reaction torque of a
    rotor s Q along its own axis (s = 1 for a rotor that turns clockwise seen from above, whose
    reaction turns the craft anticlockwise) and the side force of the tail held by roll. The head
    is fixed for this, so that the CG stays where it is in the body.
    """
    spec = load_craft(repository / "airframes" / "heron_tricopter.yaml").spec
    head = spec.head.model_copy(update={"neck": "rigid"})
    packed = pack_craft(spec.model_copy(update={"head": head}), standard_air)
    craft = without_drag(packed.record)
    for rotor, spin in zip(craft[0].rotor[:3], spins, strict=True):
        rotor.spin = spin
    trim = steady(craft)
    record, flight = craft[0], trim.flights[0]
    weight = float(record.mass_kg) * GRAVITY
    tail = int(record.mixer.tail)

    def unbalanced(unknown):
        thrusts, lean, roll, pitch = unknown[:3], *unknown[3:]
        down = np.array(
            [-math.sin(pitch), math.sin(roll) * math.cos(pitch), math.cos(roll) * math.cos(pitch)]
        )
        force, moment = weight * down, np.zeros(3)
        for i in range(3):
            angle = lean if i == tail else 0.0
            # Up, turned by the right-hand rule about forward: up leans to the right.
            axis = np.array([0.0, math.sin(angle), -math.cos(angle)])
            rotor = record.rotor[i]
            hub = rotor.pivot_m + rotor.hub_above_pivot_m * axis
            force = force + thrusts[i] * axis
            torque = torque_of_thrust(record, flight, i, thrusts[i])
            moment = moment + np.cross(hub, thrusts[i] * axis) + spins[i] * torque * axis
        return np.concatenate([force, moment])

    guess = np.concatenate([np.full(3, weight / 3.0), [0.0, 0.0, 0.0]])
    solved = fsolve(unbalanced, guess, xtol=1e-13)
    assert np.abs(unbalanced(solved)).max() < 1e-9
    assert thrusts_of(trim) == pytest.approx(solved[:3], rel=1e-6)
    assert float(trim.state["rotor"]["tilt_rad"][0, tail]) == pytest.approx(solved[3], abs=1e-6)
    assert angles_of(trim)[:2] == pytest.approx(solved[4:], abs=1e-6)
    assert abs(solved[3]) > 0.01
