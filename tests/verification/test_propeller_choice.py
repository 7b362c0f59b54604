"""Other propellers on the same craft: the front, its limits, and the theory it stands on."""

from __future__ import annotations

import numpy as np
import pytest

from sim.analysis.power_answer import hover_thrust
from sim.analysis.power_rig import Rig
from sim.analysis.propeller_choice import Rules, efficient_front, propeller_choice
from sim.analysis.tip_clearance import tip_clearance_m
from sim.pack.craft import pack_craft
from sim.pack.rotor import propeller_map
from sim.pack.static_map import static_map
from sim.physics.air.atmosphere import air_of_the_day
from sim.physics.rotor.momentum import ideal_hover_power
from sim.spec import load_craft
from sim.spec.rotor import MeasuredThrust

AIR = air_of_the_day(None, None, None, 0.5)
RULES = Rules(clearance_m=0.02)


def rig_of(craft):
    return Rig(craft, pack_craft(craft, AIR))


@pytest.fixture(scope="module")
def bare(repository):
    return rig_of(load_craft(repository / "airframes" / "bare_bicopter.yaml").spec)


@pytest.fixture(scope="module")
def choice(bare):
    hover = hover_thrust(bare)
    return propeller_choice(bare, hover.each_n, hover.download_n, RULES)


def test_hover_nodes_are_those_of_the_full_map(bare):
    """The quick map may leave nodes out, never differ in one."""
    spec = bare.craft.rotors[0].propeller
    full = propeller_map(spec, 7.0, AIR.density_kg_m3, AIR.viscosity_pa_s)
    quick = static_map(spec, 7.0, AIR.density_kg_m3, AIR.viscosity_pa_s)
    assert quick.static() == full.static()
    assert quick.thrust_speed_slope == full.thrust_speed_slope
    assert quick.torque_speed_slope == full.torque_speed_slope
    assert quick.reference_speed_rad_s == full.reference_speed_rad_s
    same = quick.thrust != 0.0
    assert np.count_nonzero(same) == 2
    for name in ("thrust", "torque", "induced"):
        assert np.array_equal(getattr(quick, name)[same], getattr(full, name)[same])


def test_present_propeller_is_what_the_craft_itself_does(bare, choice):
    hover = bare.at_thrust("hover", hover_thrust(bare).each_n)
    assert choice.present.hover_w == pytest.approx(hover.pack_w, rel=1e-9)
    usable = bare.at_throttle("usable", bare.usable_throttle)
    assert choice.present.usable_n == pytest.approx(usable.thrust_n, rel=1e-9)


def test_a_measured_propeller_lends_its_measurement(bare):
    """A measured thrust 20 % above the estimate is expected of the neighbours as well."""
    craft = bare.craft
    measured = MeasuredThrust(thrust="9 N", speed="5500 rpm")
    rotors = tuple(
        rotor.model_copy(
            update={"propeller": rotor.propeller.model_copy(update={"measured_thrust": measured})}
        )
        for rotor in craft.rotors
    )
    rig = rig_of(craft.model_copy(update={"rotors": rotors}))
    hover = hover_thrust(rig)
    found = propeller_choice(rig, hover.each_n, hover.download_n, RULES)
    point = rig.at_thrust("hover", hover.each_n)
    assert found.present.hover_w == pytest.approx(point.pack_w, rel=1e-9)


def test_no_option_beats_one_of_the_front(choice):
    kept = [option for option in choice.options if option.keeps(RULES)]
    assert choice.front
    for chosen in choice.front:
        assert chosen.keeps(RULES)
        assert not any(
            other.hover_w < chosen.hover_w and other.margin >= chosen.margin for other in kept
        )
    for other in kept:
        assert any(
            chosen.hover_w <= other.hover_w and chosen.margin >= other.margin
            for chosen in choice.front
        )


def test_front_trades_watts_for_margin(choice):
    watts = [option.hover_w for option in (*choice.front,)]
    margins = [option.margin for option in choice.front]
    assert watts == sorted(watts)
    assert margins == sorted(margins)
    assert efficient_front(()) == ()


def test_larger_propellers_overload_in_the_end(bare, choice):
    """Torque goes with the fifth power of the diameter: some larger one passes a current limit."""
    assert [option.diameter_m for option in choice.larger] == sorted(
        option.diameter_m for option in choice.larger
    )
    amps = [option.full_motor_a for option in choice.larger]
    assert amps == sorted(amps)
    last = choice.larger[-1]
    assert last.full_motor_a > bare.craft.rotors[0].motor.current_limit_a
    assert any(load.what.startswith("motor") for load in last.overloaded)
    assert not last.keeps(RULES)


def test_each_limit_is_named(bare):
    """Pack and wiring are named when theirs is the limit passed; an unknown one is not judged."""
    hover = hover_thrust(bare)
    pack = bare.craft.battery.model_copy(
        update={"current_limit_given_a": 30.0, "wiring_current_limit_a": 25.0}
    )
    found = propeller_choice(bare.with_battery(pack), hover.each_n, 0.0, RULES)
    named = {load.what for load in found.present.overloaded}
    assert {"pack", "wiring"} <= named
    free = propeller_choice(bare, hover.each_n, 0.0, RULES)
    wiring = next(load for load in free.present.loads if load.what == "wiring")
    assert wiring.too_much is None


def test_stated_current_limit_is_kept(bare):
    hover = hover_thrust(bare)
    found = propeller_choice(bare, hover.each_n, 0.0, Rules(0.02, most_motor_a=18.0))
    assert found.front
    assert all(option.full_motor_a <= 18.0 for option in found.front)


def test_stated_clearance_is_kept(bare):
    """Hubs 70 cm apart leave 70 cm less the diameter between the tips."""
    assert tip_clearance_m(bare.craft, (0.3, 0.3)) == pytest.approx(0.4, abs=1e-12)
    hover = hover_thrust(bare)
    found = propeller_choice(bare, hover.each_n, 0.0, Rules(0.40))
    assert all(option.diameter_m <= 0.30 for option in found.front)


def test_clearance_to_the_rim_of_the_fabric(repository):
    """Rim of 25 cm, hubs at 45 cm and 23 cm higher: (45 - 25 - R, 23) cm for a small disc."""
    craft = load_craft(repository / "airframes" / "jellyfish_bicopter.yaml").spec
    assert tip_clearance_m(craft, (0.2, 0.2)) == pytest.approx(np.hypot(0.10, 0.23), rel=1e-9)


def test_ideal_power_goes_down_with_diameter(choice):
    """P = T^1.5 / sqrt(2 rho A): at the same thrust the hover needs less with a larger disc."""
    small, large = choice.present, choice.larger[0]
    assert large.hover_w < small.hover_w
    assert ideal_hover_power(7.0, 1.2, 0.2) < ideal_hover_power(7.0, 1.2, 0.1)
