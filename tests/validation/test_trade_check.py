"""A craft that has too little power, and why: common practice, no source.

A builder's two-rotor craft weighs 3 pounds. Its motors are sold as giving a little over 2 pounds of
thrust at 200 watts each on 3 cells. On the bench it draws just under 300 W and 26 A in all at full
throttle, 3.5 W of it idle; it barely flies bare and does not lift with a mask of a few hundred
grams. The trade's explanation: about a tenth of the throttle is withheld by the flight controller.

The craft file beside this test has the motors as sold (the first test holds it to that). All the
rest must follow. Numbers given in words are met to half of their last digit.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from sim.analysis.lift import lift_answer
from sim.pack.craft import pack_craft
from sim.pack.flight import plain_flight
from sim.pack.stand import stand_point
from sim.physics.air.atmosphere import air_of_the_day
from sim.spec import load_craft

POUND_N = 0.45359237 * 9.80665
IDLE_W = 3.5
AIR = air_of_the_day(temperature_k=288.15, pressure_pa=101325.0, elevation_m=0.0, humidity=0.0)
MASK = """
head:
  name: mask
  shape: hemispherical_shell
  along: up
  radius: 12 cm
  mass: 300 g
  place: {up: 5 cm}
"""


@pytest.fixture(scope="module")
def text(repository):
    return (repository / "tests" / "validation" / "trade_craft.yaml").read_text()


@pytest.fixture(scope="module")
def spec(repository):
    return load_craft(repository / "tests" / "validation" / "trade_craft.yaml").spec


@pytest.fixture(scope="module")
def bench(spec):
    """Give a function from throttle to the steady point on the stand."""
    packed = pack_craft(spec, AIR)
    flight = plain_flight(AIR)[0]
    return lambda throttle: stand_point(
        packed.record, flight, np.full(2, throttle), charge=packed.charge
    )


def electric_w(point):
    return point.bus_v * point.pack_a


def test_the_craft_is_the_one_of_the_trade(spec, bench):
    """3 lb; with the whole throttle a little over 2 lb at 200 W from each motor."""
    packed = pack_craft(spec, AIR)
    assert packed.whole_mass_kg == pytest.approx(3.0 * 0.45359237, rel=1e-3)
    full = bench(1.0)
    assert (electric_w(full) - IDLE_W) / 2.0 == pytest.approx(200.0, abs=5.0)
    assert full.thrust_n / POUND_N == pytest.approx([2.05, 2.05], abs=0.05)
    assert not full.at_limit.any()


def test_a_tenth_of_the_throttle_withheld_explains_a_quarter_of_the_power(bench):
    """Thrust goes as the square and power as the cube of rotor speed: 300 W of 400 W is a rotor
    speed of (3/4)^(1/3) = 0.909, a tenth less. Rotor speed follows throttle but for the sag of pack
    and motors, which eases off as well, so that it takes a little more than a tenth of throttle.
    """
    full = bench(1.0)
    share = brentq(lambda kept: electric_w(bench(kept)) / electric_w(full) - 0.75, 0.7, 1.0)
    short = bench(share)
    assert 1.0 - share == pytest.approx(0.10, abs=0.025)
    slower = float(short.speed_rad_s[0] / full.speed_rad_s[0])
    # Within 1 %: losses of motor and blade do not go exactly as the cube.
    assert slower == pytest.approx(0.75 ** (1.0 / 3.0), rel=0.01)
    thrust = float(short.thrust_n.sum() / full.thrust_n.sum())
    assert thrust == pytest.approx(slower**2, rel=0.01)


def test_bench_reading_at_full_throttle_with_the_reserve(spec, bench):
    """Just under 300 W, 26 A, about 3.3 lb of thrust, thrust-to-weight near 1.1."""
    point = bench(1.0 - spec.controller.reserved)
    assert 290.0 < electric_w(point) < 300.5
    assert point.pack_a == pytest.approx(26.0, abs=0.5)
    thrust = float(point.thrust_n.sum()) / POUND_N
    assert thrust == pytest.approx(3.3, abs=0.05)
    assert thrust / 3.0 == pytest.approx(1.1, abs=0.05)


def test_idle_draws_the_electronics_alone(bench):
    """At zero throttle the motors freewheel and the pack gives 3.5 W."""
    assert electric_w(bench(0.0)) == pytest.approx(IDLE_W, rel=1e-6)


def test_it_barely_lifts_bare_and_not_with_a_mask(spec, text, tmp_path):
    """A third of a pound to spare bare; a mask of 300 g weighs twice that."""
    bare = lift_answer(spec, pack_craft(spec, AIR), None)
    assert bare.can_lift
    assert bare.usable_thrust_to_weight == pytest.approx(1.1, abs=0.05)
    path = tmp_path / "masked.yaml"
    path.write_text(text + MASK)
    masked_spec = load_craft(path).spec
    masked = lift_answer(masked_spec, pack_craft(masked_spec, AIR), None)
    assert not masked.can_lift
    assert masked.weight_n - bare.weight_n == pytest.approx(0.3 * 9.80665, rel=1e-9)
    assert masked.usable_thrust_n == pytest.approx(bare.usable_thrust_n, rel=1e-3)
    spare_kg = (bare.usable_thrust_n - bare.weight_n) / 9.80665
    assert spare_kg == pytest.approx(0.15, abs=0.025)
