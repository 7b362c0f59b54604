"""The same craft soaked or dry, without its fabric and without its head."""

from __future__ import annotations

from sim.analysis.check_result import OtherState
from sim.analysis.first_answers import first_answers
from sim.analysis.trim import Trim
from sim.pack.craft import pack_craft
from sim.physics.air.atmosphere import AirOfTheDay
from sim.spec.airframe import CraftSpec
from sim.spec.scenario import ScenarioSpec
from sim.spec.variants import with_fabric_wet, without_fabric, without_head


def other_crafts(craft: CraftSpec) -> tuple[tuple[str, str, CraftSpec], ...]:
    """Give the other states that a craft can be in: a key, words and the craft so changed.

    A craft that was weighed or hung up as a whole is not taken apart: what it would be without its
    head was not measured.
    """
    found: list[tuple[str, str, CraftSpec]] = []
    if craft.drapes:
        if all(drape.fabric.wet for drape in craft.drapes):
            found.append(("fabric_dry", "fabric dry", with_fabric_wet(craft, wet=False)))
        else:
            found.append(("fabric_soaked", "fabric soaked", with_fabric_wet(craft, wet=True)))
        found.append(("no_fabric", "no fabric", without_fabric(craft)))
    if craft.head is not None and craft.measured is None:
        found.append(("no_head", "no head", without_head(craft)))
    return tuple(found)


def other_states(
    craft: CraftSpec, air: AirOfTheDay, scenario: ScenarioSpec, *, near: Trim | None
) -> tuple[OtherState, ...]:
    """Answer the first three questions for the other states of a craft.

    Parameters
    ----------
    craft : CraftSpec
        As read.
    air : AirOfTheDay
    scenario : ScenarioSpec
    near : Trim or None
        Hover of the craft as it is, to search from.
    """
    states = []
    for key, words, changed in other_crafts(craft):
        found = first_answers(changed, pack_craft(changed, air), scenario, near=near)
        states.append(OtherState(key, words, found.lift, found.stability, found.head))
    return tuple(states)
