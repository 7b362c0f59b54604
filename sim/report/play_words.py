"""Play and slew limit of the tilt servos in words: does it hunt, and from where does it let go."""

from __future__ import annotations

from typing import Final

from sim.analysis.limit_cycle import Cycle, CycleAnswer, SlewOnset
from sim.analysis.limit_cycle_flight import FARTHEST_RAD, FlownCycle, FlownEdge
from sim.report.number_text import degrees, digits, fixed, listed

_VERB: Final = {"roll": "rocks", "pitch": "nods", "yaw": "turns to and fro"}
_PLACES: Final = 2


def flown_of(hunting: dict[str, tuple[FlownCycle, ...]], axis: str) -> FlownCycle | None:
    """Give what the flight that was kicked about an axis showed of that axis."""
    return next((cycle for cycle in hunting.get(axis, ()) if cycle.axis == axis), None)


def play_findings(
    play: CycleAnswer, hunting: dict[str, tuple[FlownCycle, ...]], edges: tuple[FlownEdge, ...]
) -> list[str]:
    """Say what play and slew limit do, predicted and flown, a sentence each."""
    words = [hunting_words(cycle, play, hunting) for cycle in play.hunting]
    if not play.hunting:
        words.append("The play of the tilt servos does not make it hunt.")
    if len(play.hunting) > 1:
        words.append(_together_words(hunting))
    words += [edge_words(cycle, edges) for cycle in play.edges]
    if not play.edges:
        words.append(_onset_words(play))
    return words


def hunting_words(
    cycle: Cycle, play: CycleAnswer, hunting: dict[str, tuple[FlownCycle, ...]]
) -> str:
    """Say how it hunts about one axis, by prediction and in flight."""
    source = f"play of {degrees(play.play_rad, 1)} deg" if play.play_rad > 0.0 else ""
    band = f"deadband of {degrees(play.deadband_rad, 1)} deg" if play.deadband_rad > 0.0 else ""
    why = listed([part for part in (source, band) if part])
    predicted = (
        f"For their {why} the tilt servos hunt in {cycle.axis}: predicted is that the craft"
        f" {_VERB[cycle.axis]} by {degrees(cycle.attitude_rad, _PLACES)} degrees each way at"
        f" {digits(cycle.frequency_hz, 2)} Hz"
    )
    flown = flown_of(hunting, cycle.axis)
    if flown is None:
        return f"{predicted}."
    if flown.lasts:
        return (
            f"{predicted}; a flight in calm air shows"
            f" {degrees(flown.attitude_rad, _PLACES)} degrees at"
            f" {digits(flown.frequency_hz, 2)} Hz."
        )
    if not flown.flew:
        return f"{predicted}; the flight that was to show it did not last."
    others = [one.axis for one in hunting[cycle.axis] if one.lasts and one.axis != cycle.axis]
    if others:
        return (
            f"{predicted}; in flight it does not last, because hunting in {listed(others)} takes"
            " over and shakes the play open."
        )
    return f"{predicted}; in a flight in calm air no such swing is left."


def _together_words(hunting: dict[str, tuple[FlownCycle, ...]]) -> str:
    flown = hunting.get("both", ())
    if not all(cycle.flew for cycle in flown):
        return "Kicked about both axes at once, the craft does not stay up."
    left = [cycle.axis for cycle in flown if cycle.lasts]
    if not left:
        return "Kicked about both axes at once, neither swing is left in flight."
    if len(left) > 1:
        return "Kicked about both axes at once, both swings are left in flight."
    return (
        f"Kicked about both axes at once, only hunting in {left[0]} is left in flight: both go"
        " through the same servos, and one shakes the play open for the other."
    )


def edge_words(cycle: Cycle, edges: tuple[FlownEdge, ...]) -> str:
    """Say from which attitude a slewing servo no longer brings the craft back."""
    predicted = (
        f"Too slow for large swings: in {cycle.axis} the servos slew"
        f" {fixed(100.0 * cycle.slewing, 0)} % of the time at {digits(cycle.frequency_hz, 2)} Hz,"
        f" and from somewhere between {degrees(cycle.attitude_rad)} and"
        f" {degrees(cycle.release_rad)} degrees off a swing is predicted to grow"
    )
    flown = next((edge for edge in edges if edge.axis == cycle.axis), None)
    if flown is None:
        return f"{predicted}."
    if flown.grows_rad is None:
        return (
            f"{predicted}; in flight it comes back even from {degrees(FARTHEST_RAD)} degrees, since"
            " the loops do not ask for such swings."
        )
    return (
        f"{predicted}; in flight it comes back from {degrees(flown.comes_back_rad, 1)} degrees, not"
        f" from {degrees(flown.grows_rad, 1)}."
    )


def _onset_words(play: CycleAnswer) -> str:
    """Say how far the servos are from slewing."""

    def of(onset: SlewOnset) -> str:
        at = f"{digits(onset.frequency_hz, 2)} Hz of {onset.axis}"
        return f"from {degrees(onset.command_rad, 1)} degrees of tilt each way at the {at}"

    within = [onset for onset in play.onsets if onset.command_rad <= play.travel_rad]
    where = listed([of(onset) for onset in within])
    first = (
        f"The tilt servos move at their greatest speed {where}"
        if within
        else "Even at the craft's own frequencies the travel ends before the tilt servos have to"
        " move at their greatest speed"
    )
    return f"{first}; no swing is predicted to grow."


def play_assumptions(play: CycleAnswer | None) -> tuple[str, ...]:
    """Say how good the predictions are."""
    if play is None:
        return ()
    return (
        "Hunting is predicted by describing functions of the step's own servo: the first harmonic"
        " alone. Where its third is 7 % of the first, as with the craft that come with gustworthy,"
        " predictions lie about a seventh too high in frequency and a quarter in amplitude; each"
        " is flown in calm air without noise, and noise and gusts shake the play open as well.",
    )
