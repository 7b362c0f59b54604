"""What a craft is asked to do in a flight, step by step."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Annotated, Final, Literal, final

from pydantic import Field

from sim.spec.quantity import Quantity
from sim.spec.strict import PlacedFault, SectionView, StrictSpec, Unlisted
from sim.spec.wind import COMPASS

StepTime = Annotated[float, Quantity("time", least=0.0, most=3600.0)]
Height = Annotated[float, Quantity("length", above=0.0, most=120.0)]
Distance = Annotated[float, Quantity("length", least=-500.0, most=500.0)]
GroundSpeed = Annotated[float, Quantity("speed", above=0.0, most=30.0)]
Heading = Annotated[
    float, Quantity("angle", least=-2.0 * math.pi, most=2.0 * math.pi, words=COMPASS)
]

MOST_STEPS: Final = 15
Do = Literal[
    "stand", "take_off", "hold", "climb", "move_to", "pass_by", "come_back", "turn", "land"
]
_NEEDED: Final[dict[str, tuple[str, ...]]] = {
    "stand": (),
    "take_off": ("height",),
    "hold": (),
    "climb": ("height",),
    "move_to": ("north", "east"),
    "pass_by": ("north", "east", "speed"),
    "come_back": (),
    "turn": ("heading",),
    "land": (),
}
_ALLOWED: Final[dict[str, tuple[str, ...]]] = {
    "move_to": ("height", "speed"),
    "pass_by": ("height",),
    "come_back": ("height", "speed"),
    "hold": ("height",),
}
_STEP_KEYS: Final = ("height", "north", "east", "heading", "speed")
_ON_GROUND: Final = frozenset({"stand", "land"})


@final
class StepSpec(StrictSpec):
    """One step of the task; it lasts until the next begins."""

    at_s: StepTime = Field(alias="at")
    do: Do
    height_m: Annotated[Height | None, Unlisted()] = Field(None, alias="height")
    north_m: Annotated[Distance | None, Unlisted()] = Field(None, alias="north")
    east_m: Annotated[Distance | None, Unlisted()] = Field(None, alias="east")
    speed_m_s: Annotated[GroundSpeed | None, Unlisted()] = Field(None, alias="speed")
    heading_rad: Annotated[Heading | None, Unlisted()] = Field(None, alias="heading")

    @classmethod
    def faults_between(cls, view: SectionView) -> list[PlacedFault]:
        """Check that a step has what it needs and nothing that it ignores.

        Parameters
        ----------
        view : SectionView
            The step as far as it can be read.

        Returns
        -------
        list of PlacedFault
            Keys missing or without meaning.
        """
        do = view.get("do")
        if not isinstance(do, str):
            return []
        needed = _NEEDED[do]
        allowed = (*needed, *_ALLOWED.get(do, ()))
        faults: list[PlacedFault] = [
            ((), f"{do} needs '{key}'") for key in needed if view.lacks(key)
        ]
        faults += [
            ((key,), f"{do} takes no '{key}'")
            for key in _STEP_KEYS
            if view.gives(key) and key not in allowed
        ]
        return faults


def faults_of_times(times: list[object], duration: object) -> list[PlacedFault]:
    """Give the steps of a task that come too early or too late.

    Parameters
    ----------
    times : list
        [s] Begin of each step, where it can be read.
    duration : float
        [s] Of the flight, where it can be read.

    Returns
    -------
    list of PlacedFault
        By step.
    """
    faults: list[PlacedFault] = []
    for index, (first, following) in enumerate(pairwise(times), 1):
        if isinstance(first, float) and isinstance(following, float) and following <= first:
            place = ("task", index, "at")
            faults.append((place, f"must come after the step before it, at {first:g} s"))
    for index, time in enumerate(times):
        if isinstance(time, float) and isinstance(duration, float) and time >= duration:
            text = f"begins when the flight is over, at {duration:g} s"
            faults.append((("task", index, "at"), text))
    return faults


def faults_of_order(deeds: list[object], start: object) -> list[PlacedFault]:
    """Give the steps that cannot be done where the craft then is, in the air or on the ground.

    Parameters
    ----------
    deeds : list
        What each step does, where it can be read.
    start : object
        `ground` or `hover`, where it can be read.

    Returns
    -------
    list of PlacedFault
        By step.
    """
    faults: list[PlacedFault] = []
    if start == "ground" and (not deeds or deeds[0] not in {"take_off", "stand", None}):
        text = "a flight from the ground needs take_off as its first step, or stand before it"
        faults.append((("start",), text))
        return faults
    down = start == "ground"
    for index, do in enumerate(deeds):
        place = ("task", index, "do")
        if do == "take_off":
            if not down:
                text = (
                    "a flight that starts in hover cannot take off"
                    if index == 0
                    else "cannot take off: it is in the air"
                )
                faults.append((place, text))
            down = False
        elif do == "land":
            down = True
        elif do == "stand":
            if not down:
                faults.append((place, "cannot stand: it is in the air; land first"))
            down = True
        elif isinstance(do, str) and down and index > 0:
            faults.append((place, f"cannot {do}: it is on the ground; take off first"))
            down = False
    return faults
