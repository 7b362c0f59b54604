"""A string that meets a peg, against the pendulum of Galilei, the capstan of Euler, and statics."""

import math

import numpy as np
import pytest
from scipy.special import ellipk

from tests.verification.craft_builder import (
    GRAVITY,
    HUGE,
    Trial,
    add_particle,
    add_rim,
    stable_stiffness,
    upward_crossings,
)
from tests.verification.peg import STIFF_SHARE, add_peg, leaning, seen_from_craft, string
from tests.verification.test_fabric_contact import RADIUS_M
from tests.verification.test_panel_air import FACE_ON, sheet

STEP_S = 2e-5
LIGHT_KG = 1e-4


def half_swing_s(length_m, amplitude_rad):
    """Give half the period of a pendulum, 2 sqrt(L/g) K(sin(amplitude / 2))."""
    return 2.0 * math.sqrt(length_m / GRAVITY) * float(ellipk(math.sin(0.5 * amplitude_rad) ** 2))


@pytest.mark.parametrize("radius_m", [0.003, 0.02])
def test_pendulum_that_meets_a_peg_rises_as_high_as_without(radius_m):
    """Its bob comes to the height from which it fell, on both sides (Galilei, Discorsi 1638).

    A peg 0.6 m below the pivot of a string of 1 m does no work on it, thin or thick: nothing but
    weight and pull act. Beyond a thin peg it is a pendulum of 0.4 m, until it comes back. Twenty
    links that weigh nothing and are moved as 2 % of the bob; what the peg's damper takes from them
    is below 0.5 % of the height.
    """
    length_m, peg_m, angle, bob, links = 1.0, 0.6, 0.3, 0.1, 20
    weights = [0.0] * (links - 1) + [bob]
    moved = [LIGHT_KG] * (links - 1) + [bob]
    link = length_m / links
    stretch = bob * GRAVITY / stable_stiffness(LIGHT_KG, STEP_S, STIFF_SHARE)
    places = leaning(links, link + stretch, angle)
    trial = string(places, weights, moved, link, STEP_S, rim_m=(0.0, 0.0))
    add_peg(trial, -radius_m, peg_m, radius_m)
    ticks = 140_000
    bobs = trial.follow(ticks, lambda t: seen_from_craft(t)[-1], every=10)
    times, height = trial.times(ticks, 10), length_m + links * stretch - bobs[:, 1]
    there = upward_crossings(times, -bobs[:, 0])
    back = upward_crossings(times, bobs[:, 0])
    fall = 1.0 - math.cos(angle)
    turned = (times > there[0]) & (times < back[0])
    again = (times > back[0]) & (times < there[1])
    assert height[turned].max() == pytest.approx(fall, rel=0.005)
    assert height[again].max() == pytest.approx(fall, rel=0.005)
    assert bobs[turned, 0].min() > -0.8 * math.sqrt(1.0 - (1.0 - fall) ** 2), "the peg was not met"
    if radius_m < 0.01:
        rest = length_m - peg_m
        # Links moved along with the bob slow it by 2 % / 6, the softness of the threads by less.
        assert there[0] == pytest.approx(0.5 * half_swing_s(length_m, angle), rel=0.005)
        assert back[0] - there[0] == pytest.approx(
            half_swing_s(rest, math.acos(1.0 - fall / rest)), rel=0.005
        )


def over_a_peg(link_m, radius_m, friction):
    """Give a string from the CG over a peg to a bob, the way it leaves, the wrap and the weight."""
    ahead, up, hang, bob = 0.1, 0.05, 0.08, 0.1
    far = math.hypot(ahead, up)
    straight, tip = math.sqrt(far**2 - radius_m**2), math.asin(radius_m / far)
    angle = math.atan2(-up, ahead) - tip
    way = np.array([math.cos(angle), math.sin(angle)])
    middle = np.array([ahead, -up])
    start = straight * way - middle
    first = math.atan2(start[1], start[0])
    arc = -first * radius_m

    def place(s):
        if s < straight:
            return s * way
        if s < straight + arc:
            turned = first + (s - straight) / radius_m
            return middle + radius_m * np.array([math.cos(turned), math.sin(turned)])
        return middle + np.array([radius_m, s - straight - arc])

    links = round((straight + arc + hang) / link_m)
    places = [place(link_m * i) for i in range(1, links + 1)]
    weights, moved = [0.0] * (links - 1) + [bob], [LIGHT_KG] * (links - 1) + [bob]
    trial = string(places, weights, moved, link_m, STEP_S, rim_m=(0.0, 0.0))
    add_peg(trial, ahead, -up, radius_m, friction)
    return trial, way, -first, bob * GRAVITY


@pytest.mark.parametrize("radius_m", [0.04, 0.06])
def test_string_at_rest_over_a_smooth_peg_pulls_alike_on_both_sides(radius_m):
    """Statics: the rim feels T along the string, the peg 2 T sin(wrap / 2) halfway between.

    Together they bear the weight that hangs, and turn the craft as that weight does where it hangs.
    Links half as long bring the pull nearer, as straight links on a round peg must.
    """
    off = []
    for link_m in (0.02, 0.01):
        trial, way, wrap, weight = over_a_peg(link_m, radius_m, 0.0)
        trial.flight.settling_1_s = 20.0
        trial.run_s(1.0)
        total, moment = np.zeros(3), 0.0
        rim = np.zeros(3)
        for _ in range(200):
            trial.run(5)
            total += trial.work.drape_force_n / 200.0
            rim += trial.work.fabric.rim_force_n[:, 0] / 200.0
            moment += float(trial.work.fabric.moment_n_m[1]) / 200.0
        bob = seen_from_craft(trial)[-1]
        assert total == pytest.approx([0.0, 0.0, weight], abs=1e-3 * weight)
        assert moment == pytest.approx(-weight * bob[0], rel=2e-3)
        pull, peg = rim[[0, 2]], (total - rim)[[0, 2]]
        off.append(float(np.hypot(*(pull - weight * way))) / weight)
        share = 2.0 * math.sin(0.5 * wrap)
        assert np.hypot(*peg) == pytest.approx(share * weight, rel=2.0 * off[-1])
    assert off[1] < 0.03
    assert off[1] < off[0]


def pulled_over_a_peg(friction):
    """Give the pulls [N] of a string drawn steadily over a peg, on the drawn side and the other."""
    radius_m, link_m, nodes, speed, weight, light = 0.05, 0.015, 30, 1.0, 0.3, 2e-5
    arc, ahead = math.pi * radius_m, 0.08
    left = (nodes - 1) * link_m - arc - ahead
    places, moving = [], []
    for i in range(nodes):
        s = i * link_m
        if s < left:
            places.append((-radius_m, left - s))
            moving.append((0.0, -1.0))
        elif s < left + arc:
            turned = math.pi + (s - left) / radius_m
            places.append((radius_m * math.cos(turned), radius_m * math.sin(turned)))
            moving.append((-math.sin(turned), math.cos(turned)))
        else:
            places.append((radius_m, s - left - arc))
            moving.append((0.0, 1.0))
    mass = weight / GRAVITY
    weights, moved = [mass] + [0.0] * (nodes - 1), [mass] + [light] * (nodes - 2) + [HUGE]
    trial = string(places, weights, moved, link_m, 1e-5, damping=0.05)
    add_peg(trial, 0.0, 0.0, radius_m, friction)
    start = trial.states["particle"]["velocity_m_s"][0, :nodes]
    start[:, 0], start[:, 2] = speed * np.array(moving).T

    def load_and_rise(t):
        return t.work.drape_force_n[2], t.state.particle[0].velocity_m_s[2]

    ticks = round(4.0 * link_m / speed / 1e-5)
    trial.run(ticks // 2)
    seen = trial.follow(ticks, load_and_rise)[1:]
    hanging = weight - mass * (seen[-1, 1] - seen[0, 1]) / (ticks * 1e-5)
    slow = speed / math.hypot(speed, 0.05)
    return float(seen[:, 0].mean()) - hanging, hanging, slow


@pytest.mark.parametrize("friction", [0.0, 0.1, 0.3])
def test_string_drawn_over_a_rough_peg_pulls_more_by_the_capstan_s_law(friction):
    """T1 / T2 = exp(mu wrap) (Euler 1769, Eytelwein 1808), half a turn round the peg.

    Coulomb's friction is smooth below 5 cm/s, which takes 0.1 % from it at 1 m/s; eleven straight
    links round the peg, and their mass, 3 %.
    """
    drawn, other, slow = pulled_over_a_peg(friction)
    assert drawn / other == pytest.approx(math.exp(friction * math.pi * slow), rel=0.03)


@pytest.mark.parametrize("step_s", [1e-3, 5e-4])
def test_weight_thrown_at_a_rod_comes_back_slower(step_s):
    """A damped spring gives back exp(-pi z / sqrt(1 - z^2)) of the speed, 0.53 for z = 0.2.

    The contact pushes and never pulls, which leaves a little more, and both set in over 2 mm, which
    leaves a slow weight up to 0.85; so 30 to 70 % of the energy of a blow is gone. Cloth itself,
    whose threads go slack, comes back slower still.
    """
    ratio = math.exp(-math.pi * 0.2 / math.sqrt(1.0 - 0.04))
    back = []
    for speed in (0.05, 0.5, 4.0):
        trial = Trial()
        trial.flight.is_held = 1
        trial.flight.gravity_m_s2 = 0.0
        trial.flight.step_s = step_s
        rim = add_rim(trial.craft, (0.0, 50.0, 0.0))
        add_particle(trial, rim, 0.002, (-0.05, 0.0, 0.0))
        trial.state.particle[0].velocity_m_s[:] = (speed, 0.0, 0.0)
        trial.craft.drape.node.reach_m[:] = 26.0
        add_peg(trial, 0.0, 0.0, RADIUS_M)
        trial.run(round(0.1 / speed / step_s) + 100)
        back.append(-float(trial.state.particle[0].velocity_m_s[0]) / speed)
    assert back == sorted(back, reverse=True)
    assert back[0] < 0.85
    assert ratio < back[-1] < 1.1 * ratio


@pytest.mark.parametrize("depth_m", [0.3, 0.45])
def test_wind_presses_a_hinged_sheet_on_a_rod_by_the_law_of_the_lever(depth_m):
    """q Cn A L/2 less its weight's moment, over the rod's distance from the hinge.

    A stiff sheet of 0.6 m by 0.2 m in 5 m/s that a rod behind it holds upright; the rod and the
    hinge bear the wind together, and turn the craft as the wind's middle does.
    """
    wind, areal, length = 5.0, 0.2, 0.6
    trial, area = sheet(wind, areal, length_m=length)
    drape = trial.craft.drape
    drape.node.reach_m[:] = 0.6 * length
    add_peg(trial, RADIUS_M, depth_m, RADIUS_M)
    trial.run_s(10.0)
    place = seen_from_craft(trial)[0]
    lean = math.atan2(place[0], place[1])
    assert abs(lean) < 0.01, "the rod must hold it upright"
    push = 0.5 * 1.225 * wind**2 * FACE_ON * area
    weight = 0.5 * areal * area * GRAVITY
    rod = (push * 0.5 * length - weight * place[0]) / depth_m
    rim = trial.work.fabric.rim_force_n[:, 0]
    total, moment = trial.work.drape_force_n, float(trial.work.fabric.moment_n_m[1])
    assert total[0] == pytest.approx(push, rel=2e-3)
    assert total[0] - rim[0] == pytest.approx(rod, rel=2e-3)
    assert moment == pytest.approx(push * 0.5 * length - weight * place[0], rel=2e-3)
