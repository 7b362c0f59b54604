"""One flight or ensemble: the day, the wind, the task, the pilot and what counts as success."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Annotated, Final, Literal, final

from pydantic import Field

from sim.spec.quantity import Quantity
from sim.spec.strict import PlacedFault, SectionView, StrictSpec, Unlisted
from sim.spec.wind import COMPASS, WindSpec

Temperature = Annotated[float, Quantity("temperature", least=233.15, most=333.15)]
Elevation = Annotated[float, Quantity("length", least=-430.0, most=5000.0)]
Pressure = Annotated[float, Quantity("pressure", least=40e3, most=110e3)]
Humidity = Annotated[float, Quantity("share", least=0.0, most=1.0)]
StepTime = Annotated[float, Quantity("time", least=0.0, most=3600.0)]
Duration = Annotated[float, Quantity("time", above=0.0, most=3600.0)]
Height = Annotated[float, Quantity("length", above=0.0, most=120.0)]
Distance = Annotated[float, Quantity("length", least=-500.0, most=500.0)]
Heading = Annotated[
    float, Quantity("angle", least=-2.0 * math.pi, most=2.0 * math.pi, words=COMPASS)
]
AllowedTilt = Annotated[float, Quantity("angle", above=0.0, most=math.pi)]
AllowedDrift = Annotated[float, Quantity("length", above=0.0, most=500.0)]
AllowedTime = Annotated[float, Quantity("time", above=0.0, most=3600.0)]
Probability = Annotated[float, Quantity("share", above=0.0, most=0.9999)]

MOST_STEPS: Final = 15
_NEEDED: Final[dict[str, tuple[str, ...]]] = {
    "take_off": ("height",),
    "hold": (),
    "move_to": ("north", "east"),
    "turn": ("heading",),
    "land": (),
}
_ALLOWED: Final[dict[str, tuple[str, ...]]] = {"move_to": ("height",), "hold": ("height",)}
_STEP_KEYS: Final = ("height", "north", "east", "heading")


@final
class DaySpec(StrictSpec):
    """The air of the day; what is left out follows the standard atmosphere."""

    temperature_k: Temperature | None = Field(
        None, alias="temperature", description="of the standard atmosphere at this elevation"
    )
    elevation_m: Elevation | None = Field(
        None, alias="elevation", description="sea level, unless a pressure is given"
    )
    pressure_pa: Annotated[Pressure | None, Unlisted()] = Field(None, alias="pressure")
    humidity: Humidity = Field(0.5, description="relative humidity")

    @classmethod
    def faults_between(cls, view: SectionView) -> list[PlacedFault]:
        """Check that the pressure is given one way.

        Parameters
        ----------
        view : SectionView
            The day as far as it can be read.

        Returns
        -------
        list of PlacedFault
            At most one.
        """
        if view.gives("elevation") and view.gives("pressure"):
            text = "give either elevation or pressure (as the barometer shows it), not both"
            return [(("pressure",), text)]
        return []

    def worked_out(self) -> dict[str, str]:
        """Say what stands for a temperature or elevation that was left out.

        Returns
        -------
        dict[str, str]
            By field name.
        """
        pressure_given = self.pressure_pa is not None
        elevation = "from the pressure" if pressure_given else "0 m"
        return {"temperature_k": "standard atmosphere", "elevation_m": elevation}


@final
class StepSpec(StrictSpec):
    """One step of the task; it lasts until the next begins."""

    at_s: StepTime = Field(alias="at")
    do: Literal["take_off", "hold", "move_to", "turn", "land"]
    height_m: Annotated[Height | None, Unlisted()] = Field(None, alias="height")
    north_m: Annotated[Distance | None, Unlisted()] = Field(None, alias="north")
    east_m: Annotated[Distance | None, Unlisted()] = Field(None, alias="east")
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


@final
class LimitsSpec(StrictSpec):
    """What a flight must stay within to count as a success, and how sure that must be."""

    tilt_rad: AllowedTilt = Field(45.0 * math.pi / 180.0, alias="tilt", description="steepest lean")
    drift_m: AllowedDrift = Field(3.0, alias="drift", description="farthest from the wanted place")
    height_loss_m: AllowedDrift = Field(
        1.0, alias="height_loss", description="lowest below the wanted height"
    )
    saturation_s: AllowedTime = Field(
        1.0, alias="saturation", description="longest time on one limit of a rotor or tilt"
    )
    success: Probability = Field(0.95, description="share of flights that must succeed")
    confidence: Probability = Field(0.95, description="confidence in that share")


@final
class ScenarioSpec(StrictSpec):
    """A scenario, read and checked."""

    name: str = Field(min_length=1, max_length=80, strict=True)
    note: Annotated[str, Unlisted()] = Field("", max_length=2000, strict=True)
    day: DaySpec = Field(default_factory=DaySpec)
    wind: WindSpec = Field(default_factory=WindSpec)
    start: Literal["ground", "hover"] = Field("hover", description="how the flight begins")
    start_height_m: Height = Field(
        2.0, alias="start_height", description="height of the hover with which the flight begins"
    )
    task: Annotated[tuple[StepSpec, ...], Unlisted()] = Field((), max_length=MOST_STEPS)
    duration_s: Duration = Field(alias="duration")
    pilot: Literal["hands_off", "position_hold"] = Field(
        "position_hold", description="who keeps the craft in place"
    )
    limits: LimitsSpec = Field(default_factory=LimitsSpec)
    flights: Annotated[int, Field(strict=True, ge=1, le=1_000_000)] = Field(
        100, description="flights of an ensemble"
    )
    seed: Annotated[int, Field(strict=True, ge=0, le=2**63 - 1)] = Field(
        1, description="the same seed gives the same gusts"
    )

    @classmethod
    def faults_between(cls, view: SectionView) -> list[PlacedFault]:
        """Check that the task can be flown in the time and from the start.

        Parameters
        ----------
        view : SectionView
            The scenario as far as it can be read.

        Returns
        -------
        list of PlacedFault
            What cannot be flown.
        """
        task = view.raw.get("task")
        steps = [
            SectionView(StepSpec, step if isinstance(step, dict) else {})
            for step in (task if isinstance(task, list) else [])
        ]
        faults = _faults_of_times([step.get("at") for step in steps], view.get("duration"))
        start = view.get("start")
        for index, step in enumerate(steps):
            if step.get("do") == "take_off" and start == "hover":
                place = ("task", index, "do")
                faults.append((place, "a flight that starts in hover cannot take off"))
        if start == "ground" and (not steps or steps[0].get("do") not in {"take_off", None}):
            faults.append((("start",), "a flight from the ground needs take_off as its first step"))
        if view.gives("start_height") and start == "ground":
            faults.append((("start_height",), "only a flight that starts in hover has it"))
        return faults


def _faults_of_times(times: list[object], duration: object) -> list[PlacedFault]:
    """Give the steps of a task that come too early or too late."""
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
