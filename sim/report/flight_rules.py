"""Who flies and what makes a flight fail, in words."""

from __future__ import annotations

from typing import Final

from sim.pack.flight import JUDGED_FROM_S
from sim.report.number_text import degrees, fixed, percent, plain
from sim.spec.scenario import ScenarioSpec

_CENTIMETRES: Final = 100.0
_PILOT_WORDS: Final = {
    "position_hold": "with position hold",
    "hands_off": "hands off",
    "practised": "with a practised person on the sticks",
    "unskilled": "with an unskilled person on the sticks",
}


def flight_rules(scenario: ScenarioSpec) -> str:
    """Say who flies and what makes a flight fail; drift only where somebody keeps the place.

    Parameters
    ----------
    scenario : ScenarioSpec
    """
    limits = scenario.limits
    kept = scenario.pilot != "hands_off"
    drift = f" drifts by more than {plain(limits.drift_m)} m," if kept else ""
    half = "lean or drift" if kept else "lean"
    free = "" if kept else " How far it drifts is not judged."
    return (
        f"Flights last {plain(scenario.duration_s)} s each, flown {_PILOT_WORDS[scenario.pilot]}."
        f" One fails when it leans by more than {degrees(limits.tilt_rad)} degrees,{drift}"
        f" falls by more than {plain(limits.height_loss_m)} m, stays on one limit of a rotor or"
        f" tilt for {plain(limits.saturation_s)} s or {percent(limits.saturation_share)} % of its"
        f" time, on a current limit for {plain(limits.current_s)} s, beyond half of the {half} for"
        f" {plain(limits.recovery_s)} s, strikes the ground, touches down faster than"
        f" {plain(limits.touchdown_m_s)} m/s, has fabric within"
        f" {fixed(_CENTIMETRES * limits.clearance_m, 1)} cm of a rotor or empties its pack; place"
        f" and height count from {plain(JUDGED_FROM_S)} s on.{free}"
    )
