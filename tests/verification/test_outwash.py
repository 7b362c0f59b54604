"""The wash near the ground: nothing goes through it, nothing is lost, and it slows as wall jets do.

Lengths over the tip radius, speeds over the induced speed.
"""

import math

import pytest
from scipy.integrate import quad

from sim.physics.rotor.outwash import FELT_UP_TO, ground_below, outwash_at
from sim.physics.rotor.wash import wash_at
from tests.verification.craft_builder import Trial, add_part, add_rotor, write_flat_map

UP = (0.0, 0.0, -1.0)
STRAIGHT = (0.0, 0.0, 1.0)
HUBS = [0.5, 1.0, 2.0, 4.0]


def near(hub, depth, aside):
    """Give (outward, down) at a depth below a hub at this height."""
    ground = ground_below(hub, 1.0, 1.0)
    out, _, down = outwash_at((aside, 0.0, depth), UP, STRAIGHT, 1.0, 1.0, ground)
    return out, down


def divergence(hub, depth, aside, step=1e-4):
    fluxes = [(aside + d) * near(hub, depth, aside + d)[0] for d in (-step, step)]
    axial = near(hub, depth + step, aside)[1] - near(hub, depth - step, aside)[1]
    return (axial + (fluxes[1] - fluxes[0]) / aside) / (2.0 * step)


@pytest.mark.parametrize("hub", HUBS)
def test_no_air_goes_through_the_ground(hub):
    for aside in (0.0, 0.3, 1.0, 2.0, 5.0):
        assert near(hub, hub, aside)[1] == pytest.approx(0.0, abs=1e-12)
        assert near(hub, hub, aside)[0] >= 0.0


@pytest.mark.parametrize("hub", HUBS)
def test_no_air_is_lost_while_it_turns(hub):
    """div v = 0 by central differences, where the wake goes: core, turn, and layer on the ground.

    What is drawn in beside the wake fades at the ground without continuity: 0.02 v_i / R at most.
    """
    for share in (0.1, 0.5, 0.9):
        for aside in (0.05, 0.15, 0.3):
            assert divergence(hub, share * hub, aside) == pytest.approx(0.0, abs=2e-3)
    for aside in (0.5, 1.0, 2.0, 4.0):
        assert divergence(hub, hub - 0.02, aside) == pytest.approx(0.0, abs=0.02)


@pytest.mark.parametrize("hub", HUBS)
def test_the_disc_s_air_leaves_along_the_ground(hub):
    """Outward flux through a cylinder of six radii, where it is outward, over pi R^2 v_i.

    The rest, less than 6 %, is still on its way down beyond.
    """

    def out(depth):
        return 2.0 * 6.0 * max(near(hub, depth, 6.0)[0], 0.0)

    flux = quad(out, 0.9 * hub, hub, limit=300)[0] + quad(out, 0.0, 0.9 * hub, limit=300)[0]
    assert 0.94 < flux < 1.001


@pytest.mark.parametrize("hub", HUBS)
def test_the_stream_along_the_ground_decays(hub):
    """As 1/r or nearly, far out: Rajaratnam 1.0, Glauert 1.1 (from memory)."""
    first, second = near(hub, hub, 6.0)[0], near(hub, hub, 12.0)[0]
    assert 0.95 < math.log2(first / second) < 1.1


def test_a_high_rotor_s_wash_is_a_jet_against_a_wall():
    """Round jet of speed U = 2 v_i and diameter d = sqrt(2) R: on the ground 0.9 U r / d in the
    middle (from memory of Scholtz and Trass 1970), 1.03 U d / r outside (from memory of Rajaratnam
    1976), at most between 0.6 and 1.0 U and that at 0.8 to 1.6 d.
    """
    hub, speed, wide = 8.0, 2.0, math.sqrt(2.0)
    assert near(hub, hub, 0.1)[0] == pytest.approx(0.9 * speed * 0.1 / wide, rel=0.01)
    assert near(hub, hub, 8.0)[0] == pytest.approx(1.03 * speed * wide / 8.0, rel=0.03)
    speeds = {aside / 100.0: near(hub, hub, aside / 100.0)[0] for aside in range(10, 500, 5)}
    best = max(speeds, key=speeds.__getitem__)
    assert 0.6 * speed < speeds[best] < 1.0 * speed
    assert 0.8 * wide < best < 1.6 * wide


def test_the_disc_keeps_its_flow_close_to_the_ground():
    """In the plane of the disc the wash on the axis is v_i, however low the rotor."""
    for hub in (0.5, 1.0, 3.0):
        assert near(hub, 1e-9, 0.0)[1] == pytest.approx(1.0, abs=1e-6)
        assert near(hub, 1e-9, 0.0)[1] == pytest.approx(near(hub, -1e-9, 0.0)[1], abs=1e-6)


def test_far_from_the_ground_it_is_the_wash_in_free_air():
    """Points higher than four radii do not feel the ground: there the step uses the free wash."""
    for hub in (5.0, 12.0):
        for depth in (-1.0, 0.3, hub - FELT_UP_TO - 1e-3):
            for aside in (0.0, 0.4, 0.9, 1.3):
                free = wash_at((aside, 0.0, depth), UP, STRAIGHT, 1.0, 1.0)
                out, down = near(hub, depth, aside)
                assert (out, down) == pytest.approx((free[0], free[2]), abs=1e-3)
                if aside < 1.0:
                    assert down == pytest.approx(free[2], abs=2e-5)


def test_a_leaning_rotor_blows_no_air_through_the_ground():
    """At 20 degrees the flow across the ground there is a hundredth of that along it."""
    lean = math.radians(20.0)
    axis = (math.sin(lean), 0.0, -math.cos(lean))
    wake = (-axis[0], 0.0, -axis[2])
    ground = ground_below(1.5, math.cos(lean), 1.0)
    for x in (-1.5, -0.5, 0.4, 1.5):
        out, aside, down = outwash_at((x, 0.0, 1.5), axis, wake, 1.0, 1.0, ground)
        assert abs(down) < 0.01 * math.hypot(out, aside) + 1e-9


def test_the_step_blows_parts_outwards_near_the_ground():
    """A part beside the wake and a fifth of a radius above the ground is pushed out; higher up it
    is drawn in a little. As the craft sinks past four radii nothing jumps.
    """
    pushed = []
    for height in (0.04, 0.08, 0.799, 0.801, 3.0):
        trial = Trial()
        trial.flight.is_held = 1
        trial.flight.density_kg_m3 = 1.225
        write_flat_map(trial.craft, 0.01, 0.0)
        add_rotor(trial.craft, (0.0, 0.0, -0.25))
        trial.state.rotor[0].speed_rad_s = 500.0
        add_part(trial.craft, (0.25, 0.0, 0.22), (0.01, 0.0, 0.0))
        trial.state.body.position_m[2] = -height - 0.22
        pushed.append(float(trial.run().work.force_n[0]))
    assert pushed[0] > pushed[1] > 0.0 > pushed[-1]
    assert pushed[0] > 100.0 * abs(pushed[-1])
    assert pushed[2] == pytest.approx(pushed[3], rel=0.01)
    assert pushed[3] == pytest.approx(pushed[4], rel=1e-9)
