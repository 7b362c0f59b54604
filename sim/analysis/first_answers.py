"""The first three answers for a craft near another one: lift, margins in hover and the head."""

from __future__ import annotations

from dataclasses import dataclass
from typing import final

from sim.analysis.check_result import HeadAnswer, LiftAnswer, StabilityAnswer
from sim.analysis.condition import STILL_SWING_M_S
from sim.analysis.condition_margins import quick_margins
from sim.analysis.head import head_answer
from sim.analysis.lift import lift_answer
from sim.analysis.loop_breaks import ATTITUDE_AXES
from sim.analysis.required_margins import required_margins
from sim.analysis.stability import no_stability, stability_answer
from sim.analysis.trim import Trim
from sim.errors import NotLinear, NoTrim
from sim.pack.craft import PackedCraft
from sim.pack.flight import flight_height_m, plain_flight
from sim.spec.airframe import CraftSpec
from sim.spec.scenario import ScenarioSpec


@final
@dataclass(frozen=True)
class FirstAnswers:
    """What is known of a craft without flying it.

    Attributes
    ----------
    lift : LiftAnswer
    stability : StabilityAnswer
        Margins are those of roll, pitch and yaw alone; without loops to draw.
    head : HeadAnswer
    trim : Trim or None
        The hover; None when there is none.
    """

    lift: LiftAnswer
    stability: StabilityAnswer
    head: HeadAnswer
    trim: Trim | None

    @property
    def passes(self) -> bool:
        """Whether it lifts, has the margins asked for and can pitch."""
        return self.lift.can_lift and self.stability.passes and not self.head.authority_gone


def first_answers(
    craft: CraftSpec, packed: PackedCraft, scenario: ScenarioSpec, *, near: Trim | None = None
) -> FirstAnswers:
    """Answer the first three questions.

    Parameters
    ----------
    craft, packed : as read, as packed
    scenario : ScenarioSpec
        Its height and the margins that it asks for.
    near : Trim, optional
        Hover of a similar craft, to search from.
    """
    lift = lift_answer(craft, packed, None)
    stability, trim = _steady(packed, scenario, near, can_lift=lift.can_lift)
    if trim is not None:
        lift = lift_answer(craft, packed, trim)
    return FirstAnswers(lift, stability, head_answer(craft, packed, lift.usable_thrust_n), trim)


def _steady(
    packed: PackedCraft, scenario: ScenarioSpec, near: Trim | None, *, can_lift: bool
) -> tuple[StabilityAnswer, Trim | None]:
    """Give margins and trim of the hover."""
    required = required_margins(scenario.limits)
    if not can_lift:
        reason = "the rotors cannot carry the weight"
        return no_stability(reason, STILL_SWING_M_S, required), None
    flight = plain_flight(packed.air, height_m=flight_height_m(scenario))[0]
    try:
        found = quick_margins(
            packed, flight, start=near, required=required, axes=ATTITUDE_AXES, together=False
        )
    except NoTrim as problem:
        return no_stability(problem.reason, STILL_SWING_M_S, required), None
    except NotLinear as problem:
        return no_stability(str(problem), STILL_SWING_M_S, required), None
    return stability_answer(found, drawn=False), found.trim
