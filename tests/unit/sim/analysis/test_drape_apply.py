"""A calibrated air factor goes into a copy of the craft file, wherever its drapes stand."""

from __future__ import annotations

import pytest

from sim.analysis.air_calibration import AirCalibration
from sim.analysis.drape_apply import applied_text
from sim.spec import Uncertain, craft_from_bytes

FABRIC = "fabric: {areal_density: 30 g/m2, open_fraction: 40 %}"
RIM = "rim: {radius: 15 cm, place: {up: -10 cm}}"
ONE = f"""drape:
  cut: skirt
  strips: 6
  rows: 2
  length: 40 cm
  {RIM}
  {FABRIC}
"""
LIST = f"""drape:
  - cut: skirt
    strips: 6
    rows: 2
    length: 40 cm
    {RIM}
    fabric:
      cloth: organza            # from the shop
  - cut: ribbons
    width: 3 cm
    strips: 6
    rows: 2
    length: 40 cm
    {RIM}
    {FABRIC}
"""


def calibration(*factors):
    return AirCalibration(
        with_fabric=Uncertain(0.62, 0.01),
        without_fabric=Uncertain(0.55, 0.01),
        scale=factors[0].value,
        air_factors=factors,
        plus_minus=factors[0].plus_minus,
        causes=(),
        modelled_ratio=1.1,
        measured_ratio=1.127,
    )


@pytest.fixture(scope="module")
def bare(repository):
    return (repository / "airframes" / "bare_bicopter.yaml").read_text("utf-8")


def applied(bare, drape, *factors):
    text = applied_text((bare + drape).encode(), "craft.yaml", calibration(*factors))
    spec = craft_from_bytes(text.encode(), "new.yaml").spec
    return text.removeprefix(bare), [drape.fabric.air_factor for drape in spec.drapes]


def test_one_drape_gets_the_factor_under_a_comment(bare):
    text, factors = applied(bare, ONE, Uncertain(1.4567, 0.3))
    assert factors == [Uncertain(1.46, 0.3)]
    assert "hover throttle read 62 % with and 55 % without fabric" in text
    assert "'air_factor' was not given before" in text
    added = [line for line in text.splitlines() if line not in ONE.splitlines()]
    assert len(added) == 2
    assert added[1] == "  " + FABRIC.replace(
        "{", "{air_factor: {value: 1.46, plus_minus: 0.3}, ", 1
    )


def test_each_drape_of_a_list_gets_its_own(bare):
    text, factors = applied(bare, LIST, Uncertain(0.8, 0.2), Uncertain(1.6, 0.4))
    assert factors == [Uncertain(0.8, 0.2), Uncertain(1.6, 0.4)]
    assert "cloth: organza            # from the shop" in text


@pytest.mark.parametrize("before", ["1.2", "{value: 1.2, plus_minus: 0.1}"])
def test_a_factor_that_is_there_is_replaced_and_remembered(bare, before):
    drape = ONE.replace("open_fraction: 40 %", f"open_fraction: 40 %, air_factor: {before}")
    text, factors = applied(bare, drape, Uncertain(2.0, 0.5))
    assert factors == [Uncertain(2.0, 0.5)]
    assert "was 1.2" in text


def test_a_spread_wider_than_the_factor_is_cut_at_nothing(bare):
    _, (factor,) = applied(bare, ONE, Uncertain(0.5, 0.9))
    assert 0.0 < factor.plus_minus < factor.value == 0.5
