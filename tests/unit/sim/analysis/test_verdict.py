"""The verdict names the first thing that fails, in the order in which a builder must mend them."""

from __future__ import annotations

import dataclasses
import math

import pytest

from sim.analysis.check_result import Unknown
from sim.analysis.condition import Condition
from sim.analysis.condition_margins import margins_at
from sim.analysis.head import head_answer
from sim.analysis.lift import lift_answer
from sim.analysis.loop_margins import LoopMargins, Margin
from sim.analysis.required_margins import RequiredMargins
from sim.analysis.stability import no_stability, stability_answer
from sim.analysis.verdict import verdict
from sim.analysis.wind_result import WindAnswer

STILL = Condition(0.0, 0.0, 1.0, "dry", 2.0, 0.2)
UNKNOWN = Unknown("x", "10 %", "thrust-to-weight", 0.1, "", "pull it against a scale")
WIND = WindAnswer(
    limit_forecast_m_s=5.0,
    limit_m_s=3.5,
    gust_m_s=5.0,
    static_bound_m_s=20.0,
    is_bounded=False,
    first_cause="drifted too far from its place",
    points=(),
    asked_success=0.9,
    asked_confidence=0.95,
    flight_s=20.0,
    wind_height_m=10.0,
    flight_height_m=2.0,
    terrain="lake_shore",
    seed=1,
    flights=300,
    not_finite=0,
)


@pytest.fixture(scope="module")
def good(hover):
    """Give all answers about the jellyfish, which passes."""
    case = hover("jellyfish_bicopter")
    lift = lift_answer(case.spec, case.packed, case.trim)
    return {
        "lift": lift,
        "stability": stability_answer(margins_at(case.trim, STILL)),
        "head": head_answer(case.spec, case.packed, lift.usable_thrust_n),
        "wind": WIND,
        "unknowns": (UNKNOWN,),
        "asked_wind_m_s": 3.0,
    }


def judged(good, **changes):
    """Give the verdict with some answers replaced or some of their fields changed."""
    answers = dict(good)
    for name, change in changes.items():
        answers[name] = (
            dataclasses.replace(good[name], **change) if isinstance(change, dict) else change
        )
    return verdict(**answers)


def test_all_well_is_fit_to_fly_in_three_units(good):
    line, passes = judged(good)
    assert passes
    assert line.startswith("fit to fly up to")
    assert "5.0 m/s" in line
    assert "18 km/h" in line
    assert "3.5 m/s" in line


def test_a_wind_for_another_height_is_no_forecast(good):
    """5 m/s at 3 m and 6.27 m/s at 10 m: the forecast is the latter, rounded down."""
    line, passes = judged(good, wind={"wind_height_m": 3.0, "at_10_m_m_s": 6.27})
    assert passes
    assert "up to a mean wind of 5.0 m/s (18 km/h) at 3 m, as forecast at 10 m 6.2 m/s" in line


def test_lift_comes_before_everything(good):
    line, passes = judged(
        good,
        lift={"can_lift": False, "usable_thrust_n": 20.5, "weight_n": 27.5, "download_n": 0.25},
        head={"authority_gone": True},
        stability=no_stability("", 0.2),
    )
    assert not passes
    assert line.startswith("fix first: it cannot lift")
    assert "20.5 N" in line
    assert "27.8 N" in line


def test_lever_comes_before_stability(good):
    changes = {"authority_gone": True, "rotors_above_centre_m": 0.012}
    line, passes = judged(good, head=changes, stability=no_stability("gone", 0.2))
    assert not passes
    assert "pitch authority is gone" in line
    assert "12 mm" in line
    reverse = {"authority_gone": True, "reversed": True, "rotors_above_centre_m": -0.03}
    line, passes = judged(good, head=reverse)
    assert not passes
    assert "pitch control is reversed" in line
    assert "30 mm above" in line


def test_no_hover_says_why(good):
    line, passes = judged(good, stability=no_stability("no steady hover was found", 0.2))
    assert not passes
    assert "no steady hover" in line


def test_short_margins_are_named_with_what_is_left_and_asked(good):
    near = dataclasses.replace(
        good["stability"].margins["roll"],
        gain_up=Margin(10.0 ** (4.0 / 20.0), 50.0),
        phase_rad=Margin(math.radians(30.0), 10.0),
    )
    margins = {**good["stability"].margins, "roll": near}
    changes = {"margins": margins, "worst_axis": "roll", "passes": False}
    line, passes = judged(good, stability=changes)
    assert not passes
    for piece in ("roll", "4.0 dB", "30 degrees", "6 dB", "45 degrees"):
        assert piece in line


def test_thrust_not_known_well_enough_asks_for_a_measurement(good):
    spread = good["lift"].usable_thrust_n - good["lift"].weight_n + 1.0
    line, passes = judged(good, lift={"thrust_plus_minus_n": spread})
    assert not passes
    assert line == "not enough known: pull it against a scale"


@pytest.mark.parametrize(
    ("change", "piece"),
    [
        (None, "no flights"),
        ({"limit_forecast_m_s": None, "limit_m_s": None}, "not even in still air"),
        ({"limit_forecast_m_s": 2.5, "limit_m_s": 1.8}, "2.5 m/s"),
    ],
    ids=["none flown", "none good", "less than the day has"],
)
def test_wind_comes_last(good, change, piece):
    line, passes = judged(good, wind=change)
    assert not passes
    assert line.startswith("fix first")
    assert piece in line


def test_the_limit_may_equal_what_the_day_has(good):
    assert judged(good, asked_wind_m_s=5.0)[1]
    assert not judged(good, asked_wind_m_s=5.01)[1]


def test_shortfall_is_one_at_the_required_margins():
    """6 dB and 45 degrees: SAE AS94900."""
    met = LoopMargins(
        unstable_roots=0,
        gain_up=Margin(10.0 ** (6.0 / 20.0), 1.0),
        gain_down=Margin(10.0 ** (-6.0 / 20.0), 1.0),
        phase_rad=Margin(math.pi / 4.0, 1.0),
    )
    assert RequiredMargins().shortfall(met) == pytest.approx(1.0)
    ample = dataclasses.replace(met, gain_up=Margin(math.inf, None), gain_down=Margin(0.0, None))
    assert RequiredMargins().shortfall(ample) == pytest.approx(1.0)
    for name, value in (("gain_up", 1.5), ("gain_down", 0.8), ("phase_rad", -0.5)):
        less = dataclasses.replace(met, **{name: Margin(value, 1.0)})
        assert RequiredMargins().shortfall(less) > 1.0
    assert RequiredMargins().shortfall(LoopMargins(unstable_roots=1)) == math.inf
