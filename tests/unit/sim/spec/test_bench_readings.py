"""Bench readings in a craft file: spreads, what is refused, and where."""

from __future__ import annotations

import pytest

from sim.errors import InputFaults
from sim.spec import craft_from_bytes


@pytest.fixture(scope="module")
def bare(repository):
    return (repository / "airframes" / "bare_bicopter.yaml").read_text("utf-8")


def with_bench(bare, *readings):
    lines = "".join(f"    - {reading}\n" for reading in readings)
    return (bare + "\nbench:\n  readings:\n" + lines).encode()


def test_reading_without_spread_takes_that_of_a_usual_instrument(bare):
    spec = craft_from_bytes(with_bench(bare, "{volts: 12 V, amps: 20 A, rpm: 6000 rpm}"), "x").spec
    (reading,) = spec.bench.readings
    found = reading.measured()
    assert found["volts"].plus_minus == pytest.approx(0.12)
    assert found["amps"].plus_minus == pytest.approx(0.4)
    assert found["rpm"].plus_minus == pytest.approx(0.01 * found["rpm"].value)
    assert (reading.motors, reading.throttle, reading.through) == ("all", 1.0, "flight_controller")


def test_a_given_spread_is_kept(bare):
    raw = with_bench(bare, "{watts: {value: 300 W, plus_minus: 5 W}}")
    (reading,) = craft_from_bytes(raw, "x").spec.bench.readings
    assert reading.measured()["watts"].plus_minus == 5.0


@pytest.mark.parametrize(
    ("reading", "words"),
    [
        ("{throttle: 50 %}", "reads nothing"),
        ("{amps: 20 A, motors: lfet}", "did you mean 'left'"),
        ("{amps: 20 A, motors: tail}", "use all, left, right"),
        ("{amp: 20 A}", "did you mean 'amps'"),
        ("{amps: 20 V}", "amps"),
        ("{amps: 20 A, through: radio}", "flight_controller"),
    ],
)
def test_a_reading_that_cannot_be_used_is_told_with_its_line(bare, reading, words):
    with pytest.raises(InputFaults) as caught:
        craft_from_bytes(with_bench(bare, reading), "x")
    last = len(bare.splitlines()) + 4
    assert any(words in fault.what and fault.line == last for fault in caught.value.faults)
