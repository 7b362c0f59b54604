"""Two hover throttles give the air factor of the fabric, and how unsure it is."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.analysis import air_calibration
from sim.analysis.air_calibration import (
    LARGEST_SCALE,
    OUT_OF_REACH,
    calibrated_air,
    last_hover,
    scale_that_explains,
    slope_at,
    throttle_ratio,
)
from sim.errors import InputFaults
from sim.pack.flight import day_air
from sim.spec import Uncertain, craft_from_bytes, load_scenario
from sim.spec.fabric_change import with_air_scaled
from sim.spec.variants import without_fabric

BARE = 0.50
BY_MASS = 0.04
BY_AIR = 0.03
RIBBONS = """
drape:
  cut: ribbons
  strips: 4
  rows: 2
  length: 40 cm
  width: 8 cm
  rim: {radius: 37 cm, place: {up: -8 cm}}
  fabric: {cloth: muslin}
"""


@pytest.fixture(scope="module")
def breeze(repository):
    return load_scenario(repository / "scenarios" / "lake_breeze.yaml").spec


@pytest.fixture
def plain_hover(monkeypatch):
    """Let throttle be 0.5 bare, and with fabric 0.04 and 0.03 x air factor more.

    The mass part follows the areal density (25 g/m2 in the file).
    """

    def throttle(craft, scenario, air):
        if not craft.drapes:
            return BARE
        fabric = craft.drapes[0].fabric
        heavier = fabric.areal_density_kg_m2.value / 0.025
        return BARE + BY_MASS * heavier + BY_AIR * fabric.air_factor.value

    monkeypatch.setattr(air_calibration, "_hover_throttle", throttle)


@pytest.mark.usefixtures("plain_hover")
def test_scale_and_spread_follow_from_the_readings(spec_of, air, breeze):
    """Read 60 % +/- 1 over 50 % +/- 1: (0.60 - 0.54) / 0.03 = 2. Off by 0.01 the first reading
    moves it by 0.01 / 0.03, the second by 0.012 / 0.03 (its share of the ratio), and 5 g/m2 of 25
    by 0.2 x 0.04 / 0.03.
    """
    found = calibrated_air(
        spec_of("jellyfish_bicopter"), breeze, air, Uncertain(0.60, 0.01), Uncertain(0.50, 0.01)
    )
    assert found.scale == pytest.approx(2.0, abs=2e-3)
    parts = [share for _, share in found.causes]
    assert parts == pytest.approx([0.01 / 0.03, 0.012 / 0.03, 0.2 * 0.04 / 0.03], rel=1e-2)
    assert found.plus_minus == pytest.approx(math.hypot(*parts), rel=1e-9)
    assert found.air_factors[0] == Uncertain(found.scale, found.plus_minus)
    assert found.modelled_ratio == pytest.approx(0.57 / 0.50)
    assert found.measured_ratio == pytest.approx(1.2)
    assert not found.may_be_nothing


@pytest.mark.usefixtures("plain_hover")
def test_a_factor_that_is_there_is_scaled(spec_of, air, breeze):
    craft = with_air_scaled(spec_of("jellyfish_bicopter"), 1.5)
    found = calibrated_air(craft, breeze, air, Uncertain(0.60, 0.01), Uncertain(0.50, 0.01))
    assert found.scale == pytest.approx(2.0 / 1.5, abs=2e-3)
    assert found.air_factors[0].value == pytest.approx(2.0, abs=3e-3)


@pytest.mark.usefixtures("plain_hover")
def test_readings_that_are_too_coarse_say_so(spec_of, air, breeze):
    found = calibrated_air(
        spec_of("jellyfish_bicopter"), breeze, air, Uncertain(0.55, 0.02), Uncertain(0.50, 0.02)
    )
    assert found.may_be_nothing


@pytest.mark.usefixtures("plain_hover")
@pytest.mark.parametrize(
    ("read", "words"),
    [(0.53, "the fabric's weight alone asks for 54 %"), (0.9, "asks for only 84 %")],
)
def test_readings_that_nothing_explains_are_refused(spec_of, air, breeze, read, words):
    with pytest.raises(InputFaults, match=words):
        calibrated_air(
            spec_of("jellyfish_bicopter"), breeze, air, Uncertain(read, 0.01), Uncertain(0.5, 0.01)
        )


@given(planted=st.floats(0.1, 0.95 * LARGEST_SCALE))
@settings(max_examples=20, deadline=None)
def test_any_planted_factor_is_recovered(planted):
    """Of a throttle that rises with the factor, straight or not."""
    for bend in (0.6, 1.0, 1.6):

        def ratio(scale, bend=bend):
            return 1.05 + 0.02 * scale**bend

        found = scale_that_explains(ratio, ratio(planted))
        assert found == pytest.approx(planted, abs=2e-3)


def test_a_craft_that_the_wash_would_hold_down_is_out_of_reach():
    """Beyond 3 times the wash it no longer hovers; what is read below that is found."""

    def ratio(scale):
        return OUT_OF_REACH if scale > 3.0 else 1.05 + 0.05 * scale

    assert scale_that_explains(ratio, 1.19) == pytest.approx(2.8, abs=2e-3)
    assert scale_that_explains(ratio, 1.04) is None
    assert scale_that_explains(ratio, 1.25) is None, "no hover asks for as much"
    assert last_hover(ratio) == pytest.approx(3.0, abs=2e-3)
    for scale in (1.0, 2.8, 2.99):
        assert slope_at(ratio, scale) == pytest.approx(0.05)


def test_readings_beyond_the_last_hover_are_refused(spec_of, air, breeze, monkeypatch):
    """Else the edge at which the craft loses its place would be given as the factor."""

    def throttle(craft, scenario, air):
        if not craft.drapes:
            return BARE
        factor = craft.drapes[0].fabric.air_factor.value
        return None if factor > 2.2 else BARE + BY_MASS + BY_AIR * factor

    monkeypatch.setattr(air_calibration, "_hover_throttle", throttle)
    with pytest.raises(InputFaults, match=r"2\.2 times .* asks for 60.6 %, and with more"):
        calibrated_air(
            spec_of("jellyfish_bicopter"), breeze, air, Uncertain(0.65, 0.01), Uncertain(0.5, 0.01)
        )


def test_factors_planted_in_the_step_are_found_again(repository, air, breeze):
    """Hovers of a frame with ribbons under its rotors are flown with a factor, and the throttle
    that they need gives it back; the plain frame needs a few points less.
    """
    bare = (repository / "airframes" / "bare_bicopter.yaml").read_text("utf-8")
    craft = craft_from_bytes((bare + RIBBONS).encode(), "ribbons.yaml").spec
    ratio = throttle_ratio(craft, breeze, air)
    for planted in (0.4, 1.0, 2.2):
        assert 1.01 < ratio(planted) < 1.5
        assert scale_that_explains(ratio, ratio(planted)) == pytest.approx(planted, rel=0.02)


def test_the_calibrated_craft_hovers_as_was_read(repository, breeze):
    """With hovers as they are flown: readings of a craft whose wash pushes 1.4 times as hard give
    that factor back, and with it written in, the same throttles.
    """
    bare = (repository / "airframes" / "bare_bicopter.yaml").read_text("utf-8")
    craft = craft_from_bytes((bare + RIBBONS).encode(), "ribbons.yaml").spec
    air = day_air(breeze)
    planted = air_calibration._hover_throttle(with_air_scaled(craft, 1.4), breeze, air)
    without = air_calibration._hover_throttle(without_fabric(craft), breeze, air)
    found = calibrated_air(craft, breeze, air, Uncertain(planted, 1e-3), Uncertain(without, 1e-3))
    assert found.scale == pytest.approx(1.4, abs=0.01)
    written = with_air_scaled(craft, found.scale)
    again = air_calibration._hover_throttle(written, breeze, air)
    assert again == pytest.approx(planted, abs=2e-4)
    assert planted - air_calibration._hover_throttle(craft, breeze, air) > 0.005
