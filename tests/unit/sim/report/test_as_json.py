"""The JSON result: keys that stay, units in their names, no number that is none."""

from __future__ import annotations

import json
import re

import pytest

from sim.report.as_json import FORMAT_VERSION, json_text, plain_data, result_data

# What a script may rely on within format version 1.
KEYS = {
    "": "format_version made_by verdict passes craft scenario air mass lift stability head wind"
    " unknowns flight answers not_modelled",
    "craft": "name layout file_sha256 warnings defaults",
    "scenario": "name wind_m_s wind_height_m file_sha256 warnings defaults",
    "mass": "mass_kg mass_plus_minus_kg centre_m centre_plus_minus_m inertia_kg_m2"
    " inertia_plus_minus_kg_m2 products_of_inertia_kg_m2 parts notes",
    "lift": "weight_n fabric_weight_n download_n full_thrust_n usable_thrust_n thrust_to_weight"
    " usable_thrust_to_weight thrust_plus_minus_n full_current_a full_bus_v full_power_w can_lift"
    " hover_throttle hover_throttle_plus_minus hover_current_a hover_current_plus_minus_a"
    " hover_power_w hover_bus_v endurance_s motor_current_share pack_current_share tip_speed_m_s"
    " figure_of_merit",
    "stability": "has_trim why_no_trim stable passes worst_axis required_gain_db"
    " required_phase_rad swing_m_s kept_residual disagreement margins modes",
    "head": "has_head head_mass_kg rotors_above_centre_m rotors_above_centre_plus_minus_m"
    " rotors_above_centre_without_head_m pitch_by_tilt pitch_authority_n_m"
    " pitch_acceleration_rad_s2 authority_gone reversed heaviest_head_kg heaviest_head_limit",
    "wind": "wind_limit_forecast_m_s wind_limit_m_s wind_limit_gust_m_s highest_tried_passes"
    " static_bound_m_s first_cause points asked_success asked_confidence flight_s wind_height_m"
    " flight_height_m terrain seed flights not_finite",
    "flight": "ended fabric_in_rotor ended_s most_tilt_rad most_drift_m most_height_loss_m"
    " most_current_a least_clearance_m shares_on_limits",
}


def everything_in(value):
    yield value
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        for item in value:
            yield from everything_in(item)


@pytest.mark.parametrize("place", KEYS)
def test_keys_of_format_version_1(result, place):
    data = result_data(result)
    part = data[place] if place else data
    assert set(KEYS[place].split()) <= set(part)


def test_format_version(result):
    assert result_data(result)["format_version"] == FORMAT_VERSION == 1


def test_values_are_those_of_the_result(result):
    data = result_data(result)
    assert data["lift"]["hover_throttle"] == result.lift.hover_throttle
    assert data["wind"]["wind_limit_m_s"] == result.wind.limit_m_s
    assert data["wind"]["wind_limit_forecast_m_s"] == result.wind.limit_forecast_m_s
    assert data["wind"]["points"][2]["causes"] == [
        {"cause": "drifted too far from its place", "flights": 2}
    ]
    # w_c exp(-s T)/s: 20 log10(pi / (2 w_c T)) with w_c = 12 rad/s and T = 30 ms.
    pitch = data["stability"]["margins"]["pitch"]
    assert pitch["gain_up_db"] == pytest.approx(12.797, abs=0.001)
    assert pitch["gain_down_db"] is None
    assert data["mass"]["centre_m"]["up"] == -float(result.mass.centre_m[2])
    assert len(data["answers"]) == 6


def test_text_is_strict_json_without_nan(result, too_heavy, unstable):
    def refuse(word):
        pytest.fail(f"{word} is no JSON")

    for which in (result, too_heavy, unstable):
        text = json_text(result_data(which))
        data = json.loads(text, parse_constant=refuse)
        assert data["verdict"] == which.verdict
        assert not re.search(r"\b(NaN|Infinity)\b", text)
        kinds = (dict, list, str, int, float, bool, type(None))
        assert all(isinstance(value, kinds) for value in everything_in(data))


def test_what_is_not_known_is_null(too_heavy):
    data = result_data(too_heavy)
    assert data["lift"]["hover_throttle"] is None
    assert data["lift"]["hover_throttle_plus_minus"] is None
    assert data["wind"] is None
    assert data["stability"]["kept_residual"] is None


def test_equal_results_give_equal_text(result):
    assert json_text(result_data(result)) == json_text(result_data(result))


def test_numbers_that_are_none_become_null():
    plain = plain_data({"a": float("nan"), "b": [float("inf"), 1.0], "c": (True, 2)})
    assert plain == {"a": None, "b": [None, 1.0], "c": [True, 2]}
    with pytest.raises(ValueError, match="not JSON compliant"):
        json_text({"a": float("nan")})
