"""Every cause written into a craft file changes its own value there and nothing else."""

from __future__ import annotations

import pytest

from sim.analysis.bench_apply import applied_text
from sim.analysis.bench_causes import bench_causes
from sim.analysis.bench_fit import Fit
from sim.errors import InputFaults
from sim.spec import craft_from_bytes

CAUSES = {c.key: c for c in bench_causes(("left", "right"), thrust_was_read=True)}


def accepted(key, value):
    return Fit((CAUSES[key],), (value,), *([None] * 3), 0.0, 0.0, None)


def changed(raw, key, value):
    before = craft_from_bytes(raw, "before").spec
    text = applied_text(raw, "craft.yaml", before, accepted(key, value), 20.0)
    return before, craft_from_bytes(text.encode(), "after").spec, text


@pytest.fixture(scope="module")
def bare(repository):
    return (repository / "airframes" / "bare_bicopter.yaml").read_bytes()


@pytest.mark.parametrize(
    ("key", "value", "look", "wanted"),
    [
        ("withheld_throttle", 0.15, lambda c: c.controller.reserved, lambda _: 0.15),
        (
            "end_points",
            0.1,
            lambda c: [r.speed_controller.full_command for r in c.rotors],
            lambda _: [0.9, 0.9],
        ),
        (
            "one_end_point_2",
            0.2,
            lambda c: [r.speed_controller.full_command for r in c.rotors],
            lambda _: [1.0, 0.8],
        ),
        (
            "pack_sag",
            0.5,
            lambda c: c.battery.resistance_ohm.value,
            lambda b: b.battery.resistance_ohm.value * 1.6487212707,
        ),
        (
            "wiring",
            0.03,
            lambda c: c.battery.wiring_resistance_ohm.value,
            lambda b: b.battery.wiring_resistance_ohm.value + 0.03,
        ),
        (
            "speed_constant",
            0.1,
            lambda c: c.rotors[0].motor.speed_constant_rad_s_V.value,
            lambda b: b.rotors[0].motor.speed_constant_rad_s_V.value * 1.1051709181,
        ),
        (
            "one_motor_1",
            -0.2,
            lambda c: [r.motor.speed_constant_rad_s_V.value for r in c.rotors],
            lambda b: [b.rotors[0].motor.speed_constant_rad_s_V.value * f for f in (0.81873075, 1)],
        ),
        (
            "motor_resistance",
            0.7,
            lambda c: c.rotors[1].motor.resistance_ohm.value,
            lambda _: 0.079 * 2.0137527075 - 0.004,
        ),
        (
            "current_limit",
            -0.2,
            lambda c: c.rotors[0].speed_controller.current_limit_a,
            lambda _: 20.0 * 0.8187307531,
        ),
        (
            "propeller_load",
            0.2,
            lambda c: (
                c.rotors[0].propeller.thrust_factor.value,
                c.rotors[1].propeller.torque_factor.value,
            ),
            lambda _: (1.2214027582, 1.2214027582),
        ),
        (
            "propeller_thrust",
            -0.2,
            lambda c: c.rotors[0].propeller.thrust_factor.value,
            lambda _: 0.8187307531,
        ),
    ],
)
def test_cause_changes_its_value_and_leaves_the_comments(bare, key, value, look, wanted):
    before, after, text = changed(bare, key, value)
    assert look(after) == pytest.approx(wanted(before), rel=1e-5)
    comments = [line for line in bare.decode().splitlines() if line.lstrip().startswith("#")]
    assert all(line in text.splitlines() for line in comments)
    assert "# gustworthy bench: " in text


def test_a_value_with_a_spread_keeps_it(bare):
    before, after, _ = changed(bare, "speed_constant", 0.05)
    old, new = (c.rotors[0].motor.speed_constant_rad_s_V for c in (before, after))
    assert new.value > old.value
    assert new.plus_minus == pytest.approx(old.plus_minus)


def test_line_ends_are_kept(bare):
    _, _, text = changed(bare.replace(b"\n", b"\r\n"), "withheld_throttle", 0.2)
    assert text.count("\n") == text.count("\r\n")


def test_a_section_that_is_missing_is_added(bare):
    head, _, _ = bare.partition(b"\ncontroller:")
    _, after, text = changed(head + b"\n", "withheld_throttle", 0.2)
    assert after.controller.reserved == pytest.approx(0.2)
    assert "was not given before" in text


def test_a_meter_that_reads_wrong_changes_no_craft(bare):
    with pytest.raises(InputFaults):
        changed(bare, "meter", 0.1)
