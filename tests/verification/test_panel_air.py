"""Air on fabric against hinged plates, flags, Taylor's screens and the energy of a cycle."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from sim.pack.drape import write_drapes
from sim.physics.drape.panel_air import (
    LEAST_SPEED_M_S,
    flag_coefficient,
    least_speed,
    lost_square,
    normal_coefficient,
    panel_force,
    speed_behind,
)
from sim.spec.drape import DrapeSpec
from tests.verification.craft_builder import (
    GRAVITY,
    SEA_LEVEL_DENSITY,
    Trial,
    add_particle,
    add_rim,
    add_thread,
    blow,
    set_panel,
    stable_stiffness,
)

FACE_ON = 1.2
SPEEDS = st.floats(-20.0, 20.0)


def push_on(flow, *, normal=(1.0, 0.0, 0.0), swing=0.0, face=FACE_ON, side=0.0, is_round=0.0):
    """Give the force on a square metre of cloth, hung straight down, in a flow."""
    edge, still = (0.0, 0.0, 1.0), (0.0, 0.0, 0.0)
    half = 0.5 * SEA_LEVEL_DENSITY
    law = half * face, half * side, least_speed(swing)
    return panel_force(flow, still, normal, edge, is_round, *law)[0]


def sheet(wind_m_s, areal_kg_m2, *, rows=1, length_m=0.6, width_m=0.2, lean_rad=0.0):
    """Give a held craft with a hinged sheet of panels that meets a wind towards the north.

    It hangs at an angle from the vertical. Every row weighs and catches the air alike; of the
    lowest, as of all, half is lumped at each end. A single row is a rigid sheet.
    """
    trial = Trial()
    trial.flight.is_held = 1
    blow(trial.flight, wind_m_s)
    above = add_rim(trial.craft, (0.0, 0.0, 0.0))
    row_m = length_m / rows
    mass = areal_kg_m2 * width_m * row_m
    for row in range(rows):
        share = 0.5 if row == rows - 1 else 1.0
        place = (row + 1) * row_m * np.array([math.sin(lean_rad), 0.0, math.cos(lean_rad)])
        # Air that moves with the sheet makes it heavy to move, not heavy: equilibria are the same.
        k = add_particle(trial, above, mass * share, place, moved_mass_kg=(mass + 0.01) * share)
        stiffness = stable_stiffness((mass + 0.01) * share, 1e-3)
        add_thread(trial.craft, above, k, row_m, stiffness, 0.1 * (mass + 0.01) * share / 1e-3)
        set_panel(trial.craft, k, width_m * row_m, normal=FACE_ON)
        above = k
    return trial, length_m * width_m


def lean_of(trial):
    """Give the angle of the whole sheet from the vertical."""
    free_end = trial.states["particle"]["position_m"][0, trial.craft.drape.panel_count - 1]
    along = free_end - trial.state.body.position_m
    return math.atan2(along[0], along[2])


# Areal density [kg/m2], wind [m/s], lean from the vertical [deg]: roots of the balance below.
LEANS = [(0.1, 3.0, 68.2206), (0.1, 5.0, 76.8232), (0.2, 5.0, 71.4513), (0.3, 8.0, 75.7469)]


@pytest.mark.parametrize(("areal_kg_m2", "wind_m_s", "lean_deg"), LEANS)
def test_hinged_sheet_leans_where_wind_and_weight_balance(areal_kg_m2, wind_m_s, lean_deg):
    """q 1.2 cos^2(psi) = sigma g sin(psi): no moment about the hinge, psi from the vertical."""
    pressure = 0.5 * SEA_LEVEL_DENSITY * wind_m_s**2
    psi = math.radians(lean_deg)
    assert pressure * FACE_ON * math.cos(psi) ** 2 == pytest.approx(
        areal_kg_m2 * GRAVITY * math.sin(psi), rel=2e-5
    )
    trial, _ = sheet(wind_m_s, areal_kg_m2)
    trial.run_s(10.0)
    # The floor of 1 cm/s under the speed across the sheet of 1 m/s and more: below 1e-4.
    assert math.degrees(lean_of(trial)) == pytest.approx(lean_deg, rel=1e-4)


@pytest.mark.parametrize("rows", [2, 6])
@pytest.mark.parametrize(("areal_kg_m2", "wind_m_s", "lean_deg"), LEANS)
def test_sheet_of_many_rows_balances_at_the_same_lean(areal_kg_m2, wind_m_s, lean_deg, rows):
    """Row by row the same balance holds, so a straight sheet let go there has nowhere to fall.

    Left alone for longer it flutters, as a flag does, about a greater lean.
    """
    psi = math.radians(lean_deg)
    trial, _ = sheet(wind_m_s, areal_kg_m2, rows=rows, lean_rad=psi)
    trial.run()
    across = np.array([math.cos(psi), 0.0, -math.sin(psi)])
    falling = trial.states["particle"]["velocity_m_s"][0, :rows] @ across
    unbalanced = 1e-4 * GRAVITY * math.sin(psi) * 1e-3
    assert falling == pytest.approx(np.zeros(rows), abs=unbalanced)


def test_hinged_sheet_loads_its_hinge_with_weight_and_drag():
    """At rest the hinge carries the sheet's drag, and its weight less its lift.

    Half of the weight of the only row is the rim's own and not counted here.
    """
    trial, area = sheet(5.0, 0.2)
    pull = trial.run_s(20.0).work.drape_force_n
    psi, pressure = math.radians(71.4513), 0.5 * SEA_LEVEL_DENSITY * 25.0
    face = pressure * FACE_ON * math.cos(psi) ** 2 * area
    assert pull[0] == pytest.approx(face * math.cos(psi), rel=1e-3)
    assert pull[2] == pytest.approx(0.5 * 0.2 * area * GRAVITY - face * math.sin(psi), rel=1e-3)


def packed_ribbon(density):
    """Give a held craft with a ribbon of light cloth as a craft file makes it: 1 m by 0.5 m."""
    spec = DrapeSpec.model_validate(
        {
            "cut": "ribbons",
            "strips": 1,
            "rows": 6,
            "length": "1 m",
            "width": "50 cm",
            "rim": {"radius": "1 cm", "place": {}},
            "fabric": {"areal_density": "30 g/m2", "open_fraction": "0 %"},
        }
    )
    trial = Trial()
    trial.flight.is_held = 1
    write_drapes((spec,), trial.craft.drape, np.zeros(3), density, 1e-3)
    # The only strip hangs from the front of the ring, so its width is along the right axis.
    rim = trial.craft.drape.rim[0].place_m
    place = trial.state.body.position_m + rim
    for k in range(6):
        trial.state.particle[k].position_m[:] = place + np.array([0.0, 0.0, (k + 1) / 6.0])
    return trial, 0.5


def test_streaming_cloth_drags_as_a_flag_and_ten_times_less_than_face_on():
    """Cd on one side's area: 0.06 to 0.15 for a flag, 1.1 to 1.3 for a plate across the wind.

    Flags: Hoerner 1965 p. 3-25 after Fairthorne, ARC R&M 1345 (second-hand), 0.06 at a length of
    once the height to 0.2 at four times; Munson et al. 6th ed. fig. 9.30 (second-hand), 0.12 at
    twice; AS 1170.2:2002 appendix F, C = 0.05 + 0.7 m/(rho c) (A/c^2)^-1.25 (second-hand), 0.065
    for this cloth, whose length is twice its height. Plate: Hoerner 1965. The model's cloth flaps
    without a period: means of 4 s lie between 0.10 and 0.15, so a mean of a minute is taken.
    """
    trial, area = packed_ribbon(SEA_LEVEL_DENSITY)
    wind = 12.0
    pressure = 0.5 * SEA_LEVEL_DENSITY * wind**2
    blow(trial.flight, wind)
    trial.run()
    # Hanging at rest across the wind, the cloth takes up the momentum that its rim does not.
    taken_up = trial.craft.drape.panel.moved_mass_kg[:6] @ (
        trial.states["particle"]["velocity_m_s"][0, :6, 0] / 1e-3
    )
    face_on = (taken_up + trial.work.drape_force_n[0]) / (pressure * area)
    assert 1.1 <= face_on <= 1.3
    trial.run_s(10.0)
    streaming = trial.follow(60_000, lambda t: t.work.drape_force_n[0]).mean() / (pressure * area)
    assert 0.06 <= streaming <= 0.15
    assert face_on / streaming == pytest.approx(10.0, rel=0.3)


@pytest.mark.parametrize(
    ("loss", "coefficient"),
    [(0.1, 0.095181), (0.5, 0.395062), (1.0, 0.640000), (2.1, 0.902983), (4.0, 1.000000)],
)
def test_porous_sheet(loss, coefficient):
    """Cd = K / (1 + K/4)^2 (Taylor 1944, from memory; the same as the actuator disc's)."""
    assert normal_coefficient(loss) == pytest.approx(coefficient, abs=6e-7)


@given(loss=st.floats(0.0, 1e6), more=st.floats(1e-6, 1e6))
def test_closer_weave_never_catches_less_wind(loss, more):
    """From no cloth to a plate's 1.2, without the fall that Taylor's relation has beyond K = 4."""
    assert 0.0 <= normal_coefficient(loss) <= normal_coefficient(loss + more) <= FACE_ON


def test_joint_of_the_two_branches_is_smooth():
    """At K = 4 the value is 1 on both sides; a closed cloth (K without bound) is a plate, 1.2."""
    assert normal_coefficient(4.0 + 1e-9) == pytest.approx(1.0, abs=1e-8)
    assert normal_coefficient(math.inf) == FACE_ON


@given(x=SPEEDS, y=SPEEDS, z=SPEEDS, is_round=st.sampled_from([0.0, 1.0]))
def test_air_only_takes_from_the_motion(x, y, z, is_round):
    """Second law: the force has a positive part along the relative flow, whatever the attitude."""
    force = push_on((x, y, z), normal=(0.6, 0.8, 0.0), side=0.1, is_round=is_round)
    assert force[0] * x + force[1] * y + force[2] * z >= 0.0
    behind = push_on((x, y, z), normal=(-1.2, -1.6, 0.0), side=0.1, is_round=is_round)
    assert force == pytest.approx(behind, abs=1e-12)


@given(across=st.floats(1.0, 30.0), along=st.floats(0.0, 30.0))
def test_flow_along_the_sheet_does_not_change_the_push_across(across, along):
    """Independence principle (Hoerner 1965, ch. 3): rho/2 A Cn Vn^2, whatever runs along."""
    force = push_on((across, along, 0.0))
    pressure = 0.5 * SEA_LEVEL_DENSITY * FACE_ON * across**2
    # A floor of 1 cm/s under the speed keeps the law smooth at rest: below (0.01 / V)^2 / 2.
    assert force[0] == pytest.approx(pressure, rel=1e-4)
    assert force[1] == 0.0


def test_screen_at_45_degrees_has_half_its_resistance():
    """K goes as the square of the cosine of incidence: half at 45 degrees.

    Dense wire screens in Blevins, Applied Fluid Dynamics Handbook 1984 (second-hand).
    """
    straight = push_on((8.0, 0.0, 0.0), face=normal_coefficient(0.5))
    askew = push_on((8.0, 0.0, 0.0), normal=(1.0, 1.0, 0.0), face=normal_coefficient(0.5))
    assert math.hypot(askew[0], askew[1]) == pytest.approx(0.5 * straight[0], rel=1e-5)


def test_strand_feels_the_flow_across_it():
    """A round strand has the drag of a long cylinder, 1.2 (Hoerner 1965), by the flow across it.

    The flow along it only rubs; the push is along the flow across, which a sheet's is not.
    """
    pressure = 0.5 * SEA_LEVEL_DENSITY * 25.0
    for angle in (0.0, 0.7, 2.0):
        flow = (5.0 * math.cos(angle), 5.0 * math.sin(angle), 0.0)
        force = push_on(flow, is_round=1.0)
        assert force == pytest.approx(tuple(FACE_ON * pressure * v / 5.0 for v in flow), rel=1e-5)
    leaning = push_on((5.0, 0.0, 5.0), is_round=1.0, side=0.1)
    along = 0.5 * SEA_LEVEL_DENSITY * 0.1 * 50.0
    assert leaning[0] == pytest.approx(FACE_ON * pressure, rel=1e-5)
    assert leaning[2] == pytest.approx(along * math.sqrt(0.5), rel=1e-5)


def test_friction_along_the_sheet():
    """Edge-on: rho/2 A Ct V^2 along the flow."""
    force = push_on((0.0, 3.0, 4.0), side=0.10)
    pressure = 0.5 * SEA_LEVEL_DENSITY * 0.10 * 25.0
    assert force == pytest.approx((0.0, pressure * 0.6, pressure * 0.8), rel=1e-5)


@pytest.mark.parametrize("is_round", [0.0, 1.0])
def test_panel_that_swings_about_its_upper_edge_feels_the_drag_of_every_part(is_round):
    """Of rho/2 Cn (w s)^2 a length: force 1/3, moment about the edge 1/4 of the end's pressure."""
    speed, still = 4.0, (0.0, 0.0, 0.0)
    normal, edge = (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)
    force, more = panel_force(
        (0.5 * speed, 0.0, 0.0),
        (speed, 0.0, 0.0),
        normal,
        edge,
        is_round,
        0.5 * SEA_LEVEL_DENSITY * FACE_ON,
        0.0,
        0.0,
    )
    end = 0.5 * SEA_LEVEL_DENSITY * FACE_ON * speed**2
    assert force[0] == pytest.approx(end / 3.0, rel=1e-12)
    assert 0.5 * force[0] + more[0] == pytest.approx(end / 4.0, rel=1e-12)
    assert (force[1:], more[1:]) == (still[1:], still[1:])


def test_folded_panel_feels_no_pressure():
    """Cloth whose edges lie along each other has no face, and its law no bad number."""
    force = push_on((5.0, 0.0, 0.0), normal=(0.0, 0.0, 0.0), side=0.1)
    assert force[0] == pytest.approx(0.5 * SEA_LEVEL_DENSITY * 0.1 * 25.0, rel=1e-5)


@pytest.mark.parametrize(
    ("areal", "width", "length", "coefficient"),
    [(0.1, 1.0, 1.5, 0.085140), (0.05, 0.5, 0.5, 0.108333), (0.1, 0.5, 1.0, 0.099052)],
)
def test_flag_formula(areal, width, length, coefficient):
    """C = 0.05 + 0.7 (m / (rho c)) (A / c^2)^-1.25, rho 1.2 (AS 1170.2:2002 F, second-hand)."""
    assert flag_coefficient(areal, 1.2, width, length) == pytest.approx(coefficient, abs=6e-7)


@given(areal=st.floats(0.005, 1.0), width=st.floats(0.01, 3.0), length=st.floats(0.05, 3.0))
def test_flag_stays_within_what_was_measured(areal, width, length):
    """0.06 to 0.15, whatever the formula says of flags that nobody measured."""
    assert 0.06 <= flag_coefficient(areal, 1.2, width, length) <= 0.15


@given(loss=st.floats(0.0, 3.99))
def test_air_loses_behind_a_sheet_what_the_sheet_feels(loss):
    """Momentum: Cd = (1 - u^2) of the actuator disc with the wake's speed u (Taylor 1944)."""
    assert 1.0 - speed_behind(loss) ** 2 == pytest.approx(normal_coefficient(loss), abs=1e-12)


def test_air_stands_still_behind_closed_cloth_and_is_itself_behind_none():
    assert speed_behind(math.inf) == 0.0
    assert speed_behind(0.0) == speed_behind(1.0, 0.0) == 1.0


def test_shelter_goes_by_the_square_of_the_cosine():
    """Straight at a face all of what is lost there is lost, at 45 degrees half, edge-on nothing."""
    lost = [
        lost_square((-v, w, 0.0), (2.0, 0.0, 0.0), 0.8, 0.4) / (2.0**2 * (v * v + w * w))
        for v, w in ((3.0, 0.0), (3.0, 3.0), (0.0, 3.0), (-3.0, 3.0), (-3.0, 0.0))
    ]
    assert lost == pytest.approx([0.8, 0.4, 0.0, 0.2, 0.4], abs=1e-12)


def cycle_work(law, amplitude_m_s):
    """Give the energy [J s^-1 per rad] that a force law takes from a swing v = U cos(phi)."""

    def power(phi):
        v = amplitude_m_s * math.cos(phi)
        return law(v) * v

    return quad(power, 0.0, 2.0 * math.pi, limit=200)[0]


@pytest.mark.parametrize("amplitude_m_s", [1.0, 5.0, 50.0])
def test_equivalent_linear_damping_takes_the_same_energy(amplitude_m_s):
    """c |v| v over a cycle of amplitude U takes 8/3 c U^3, as (8 / 3 pi) c U v does.

    Describing function of a square law (Gelb and Vander Velde 1968). The floor of 1 cm/s under the
    speed is all that differs.
    """

    def square(v):
        return push_on((v, 0.0, 0.0))[0]

    small = 1e-6
    slope = push_on((small, 0.0, 0.0), swing=amplitude_m_s)[0] / small
    c = 0.5 * SEA_LEVEL_DENSITY * FACE_ON
    assert cycle_work(square, amplitude_m_s) == pytest.approx(
        8.0 / 3.0 * c * amplitude_m_s**3, rel=1e-3
    )
    floor = LEAST_SPEED_M_S / (8.0 / (3.0 * math.pi) * amplitude_m_s)
    assert slope == pytest.approx(
        8.0 / (3.0 * math.pi) * c * amplitude_m_s * (1.0 + floor), rel=1e-9
    )
    assert cycle_work(lambda v: slope * v, amplitude_m_s) == pytest.approx(
        cycle_work(square, amplitude_m_s), rel=2.0 * floor
    )


def test_square_law_damps_a_swing_as_one_over_time():
    """A swing under c |v| v fades by d(1/A)/dt = 4 c w / (3 pi m) (Krylov and Bogoliubov).

    A weight on a thread carries a quarter of the drag that its panel would have at the weight's
    speed, since the panel swings about its upper edge: c = rho/2 A Cn / 4.
    """
    trial = Trial()
    trial.flight.is_held = 1
    trial.flight.density_kg_m3 = SEA_LEVEL_DENSITY
    mass, length = 0.05, 1.0
    k = add_particle(trial, add_rim(trial.craft, (0.0, 0.0, 0.0)), mass, (0.0, 0.0, 0.0))
    add_thread(trial.craft, -1, k, length, stable_stiffness(mass, 1e-3))
    set_panel(trial.craft, k, 0.2, normal=FACE_ON)
    start = 0.2
    trial.state.particle[k].position_m[0] = start
    trial.state.particle[k].position_m[2] += math.sqrt(length**2 - start**2)
    omega = math.sqrt(GRAVITY / length)
    ticks = 30_000
    seen = trial.follow(ticks, lambda t: abs(t.state.particle[k].position_m[0]), every=5)
    times = trial.times(ticks, 5)
    peaks = np.flatnonzero((seen[1:-1] > seen[:-2]) & (seen[1:-1] >= seen[2:])) + 1
    rate = np.polyfit(times[peaks], 1.0 / seen[peaks], 1)[0]
    c = 0.5 * SEA_LEVEL_DENSITY * 0.2 * FACE_ON / 4.0
    # Averaging is good to the share that a cycle takes, c A / m = 7 %, in the first cycle only.
    assert rate == pytest.approx(4.0 * c * omega / (3.0 * math.pi * mass), rel=0.05)
