"""What a builder may write for a quantity, what it means in SI, and what is refused and why."""

from __future__ import annotations

import contextlib
import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.spec.unit_table import KINDS
from sim.spec.units import UnitError, format_quantity, json_pattern, parse_quantity

# Exact by definition: NIST Special Publication 811 (2008), appendix B.8.
EXACT = [
    ("1.4 kg", "mass", 1.4),
    ("85 g", "mass", 0.085),
    ("3 lb", "mass", 3 * 0.45359237),
    ("3lbs", "mass", 3 * 0.45359237),
    ("4 oz", "mass", 0.45359237 / 4),
    ("14in", "length", 0.3556),
    ("14 inch", "length", 0.3556),
    ('14"', "length", 0.3556),
    ("-12 mm", "length", -0.012),
    ("2 ft", "length", 0.6096),
    (".5 m", "length", 0.5),
    ("1e2 cm", "length", 1.0),
    ("120 cm2", "area", 0.012),
    ("120 cm²", "area", 0.012),
    ("1 in2", "area", 0.00064516),
    ("12 mph", "speed", 12 * 0.44704),
    ("36 km/h", "speed", 10.0),
    ("36 kph", "speed", 10.0),
    ("1 kn", "speed", 1852 / 3600),
    ("180 deg", "angle", math.pi),
    ("90°", "angle", math.pi / 2),
    ("60 rpm", "rotation", 2 * math.pi),
    ("90 deg/s", "rotation", math.pi / 2),
    ("0.10 s/60deg", "servo_speed", math.pi / 0.3),
    ("0.1 s / 60 deg", "servo_speed", math.pi / 0.3),
    ("600 deg/s", "servo_speed", math.pi / 0.3),
    ("4 ms", "time", 0.004),
    ("1 min", "time", 60.0),
    ("0.021 kg m2", "inertia", 0.021),
    ("0.021 kg·m²", "inertia", 0.021),
    ("0.021 kg*m^2", "inertia", 0.021),
    ("250 g cm2", "inertia", 2.5e-5),
    ("14.8 V", "voltage", 14.8),
    ("900 mA", "current", 0.9),
    ("5 Ah", "charge", 18000.0),
    ("5000 mAh", "charge", 18000.0),
    ("0.2 kW", "power", 200.0),
    ("12 mohm", "resistance", 0.012),
    ("12 mΩ", "resistance", 0.012),
    ("1 kgf", "force", 9.80665),
    ("1 lbf", "force", 0.45359237 * 9.80665),
    ("10 kgf cm", "torque", 0.980665),
    ("10 kg cm", "torque", 0.980665),
    ("1.2 Nm", "torque", 1.2),
    ("0.9 N/mm", "stiffness", 900.0),
    ("20 N s/m", "damping", 20.0),
    ("30 rpm/V", "speed_constant", math.pi),
    ("30 KV", "speed_constant", math.pi),
    ("20 %", "share", 0.2),
    ("95%", "share", 0.95),
    ("0.2", "share", 0.2),
    ("25 g/m2", "areal_density", 0.025),
    ("25 gsm", "areal_density", 0.025),
    ("0.5 kHz", "frequency", 500.0),
    ("1 Hz", "angular_frequency", 2 * math.pi),
    ("15 degC", "temperature", 288.15),
    ("59 degF", "temperature", 288.15),
    ("-40 °F", "temperature", 233.15),
    ("300 K", "temperature", 300.0),
    ("1013.25 hPa", "pressure", 101325.0),
    ("1 atm", "pressure", 101325.0),
    ("0.4 N m/(rad/s)", "rate_gain", 0.4),
    ("0.4 N m s/rad", "rate_gain", 0.4),
    ("1 N m/(deg/s)", "rate_gain", 180 / math.pi),
    ("1.5 N m/rad", "angle_gain", 1.5),
    ("0.004 N m s/(rad/s)", "acceleration_gain", 0.004),
    ("4 1/s", "per_time", 4.0),
    ("0.5 1/s2", "per_time_squared", 0.5),
    ("0.1 m/s2", "acceleration", 0.1),
    ("0.25", "number", 0.25),
]

REFUSED = [
    ("1,4 kg", "mass", "point, not a comma"),
    ("9**9**9 kg", "mass", "not a number"),
    ("1e400 kg", "mass", "not a number"),
    ("nan kg", "mass", "a number and its unit"),
    ("inf kg", "mass", "a number and its unit"),
    ("1.4", "mass", "needs a unit: kg, g"),
    ("2 Kg", "mass", "did you mean 'kg'"),
    ("2 lbz", "mass", "did you mean 'lb'"),
    ("3 m", "mass", "'m' is a unit of a length; this is a mass"),
    ("26 parsecs", "length", "unknown unit 'parsecs'; use m, cm"),
    ("12 MPH", "speed", "did you mean 'mph'"),
    ("5 mah", "charge", "did you mean 'mAh'"),
    ("0 s/60deg", "servo_speed", "endless speed"),
    ("kg", "mass", "a number and its unit"),
    ("", "mass", "a number and its unit"),
    ("1 2 kg", "mass", "not a number"),
    ("0x10 kg", "mass", "unknown unit"),
    ("1_000 g", "mass", "unknown unit"),
    ("\N{ARABIC-INDIC DIGIT ONE} kg", "mass", "a number and its unit"),
    ("1" * 200 + " kg", "mass", "too long"),
    ("5 kg", "number", "'kg' is a unit of a mass"),
]


@pytest.mark.parametrize(("text", "kind", "value"), EXACT)
def test_builders_text_means_its_si_value(text, kind, value):
    assert parse_quantity(text, kind) == pytest.approx(value, rel=1e-15)


@pytest.mark.parametrize(("text", "kind", "words"), REFUSED)
def test_refusal_says_what_would_be_right(text, kind, words):
    with pytest.raises(UnitError, match=re.escape(words)):
        parse_quantity(text, kind)


def test_decimal_texts_are_converted_exactly():
    """No rounding on the way: 95 % is the float 0.95, 1.1 mm the float 0.0011."""
    assert parse_quantity("95 %", "share") == 0.95
    assert parse_quantity("1.1 mm", "length") == 0.0011
    assert parse_quantity("14.7 g", "mass") == 0.0147


@pytest.mark.parametrize("name", sorted(KINDS))
def test_example_of_each_kind_is_right_and_matches_the_schema(name):
    example = KINDS[name].example
    assert math.isfinite(parse_quantity(example, name))
    assert re.fullmatch(json_pattern(name), example)


@pytest.mark.parametrize("name", sorted(KINDS))
def test_every_spelling_is_read_and_known_to_the_schema(name):
    """An editor must not mark as wrong what the tool reads."""
    for unit in KINDS[name].spellings():
        glued = "-3 " if unit[:1].isdigit() else "-3"
        for text in (f"12.5 {unit}", f"{glued}{unit}", f"1e-2  {unit} "):
            assert math.isfinite(parse_quantity(text, name))
            assert re.fullmatch(json_pattern(name), text), text


@pytest.mark.parametrize("name", sorted(KINDS))
def test_aliases_lead_to_units_and_shadow_none(name):
    kind = KINDS[name]
    assert set(kind.aliases.values()) <= set(kind.units)
    assert not set(kind.aliases) & set(kind.units)


@given(st.sampled_from(sorted(KINDS)), st.floats(1e-6, 1e6))
def test_what_is_written_for_people_reads_back(name, value):
    """Six digits are written: half a unit of the last one is 5e-6 of the number shown."""
    unit = KINDS[name].units[KINDS[name].shown or KINDS[name].si]
    room = 5e-6 * (abs(value) + unit.offset)
    for signed in (value, -value):
        again = parse_quantity(format_quantity(signed, name), name)
        assert again == pytest.approx(signed, rel=1e-12, abs=1.001 * room)


@given(st.text(max_size=100), st.sampled_from(sorted(KINDS)))
def test_any_text_is_a_finite_value_or_a_unit_error(text, name):
    with contextlib.suppress(UnitError):
        assert math.isfinite(parse_quantity(text, name))
