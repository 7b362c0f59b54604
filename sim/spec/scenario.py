"""One flight or ensemble: the day, the wind, the task, the pilot and what counts as success."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Annotated, Final, Literal, Self, final

from pydantic import Field, model_validator

from sim.spec.quantity import PlacedFault, Quantity, faults_below
from sim.spec.strict import StrictSpec, Unlisted
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

MOST_STEPS: Final = 32
_NEEDED: Final[dict[str, tuple[str, ...]]] = {
    "take_off": ("height",),
    "hold": (),
    "move_to": ("north", "east"),
    "turn": ("heading",),
    "land": (),
}
_ALLOWED: Final[dict[str, tuple[str, ...]]] = {"move_to": ("height",), "hold": ("height",)}
_ATTRIBUTES: Final = {
    "height": "height_m",
    "north": "north_m",
    "east": "east_m",
    "heading": "heading_rad",
}


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

    @model_validator(mode="after")
    def _one_way_to_pressure(self) -> Self:
        if self.elevation_m is not None and self.pressure_pa is not None:
            text = "give either elevation or pressure (as the barometer shows it), not both"
            raise faults_below([(("pressure",), text)])
        return self

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

    @model_validator(mode="after")
    def _has_what_it_needs(self) -> Self:
        given = [key for key, name in _ATTRIBUTES.items() if getattr(self, name) is not None]
        needed = _NEEDED[self.do]
        allowed = (*needed, *_ALLOWED.get(self.do, ()))
        faults: list[PlacedFault] = [
            ((), f"{self.do} needs '{key}'") for key in needed if key not in given
        ]
        faults += [((key,), f"{self.do} takes no '{key}'") for key in given if key not in allowed]
        if faults:
            raise faults_below(faults)
        return self


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

    @model_validator(mode="after")
    def _task_can_be_flown(self) -> Self:
        faults: list[PlacedFault] = []
        times = [step.at_s for step in self.task]
        for index, (first, following) in enumerate(pairwise(times)):
            if following <= first:
                place = ("task", str(index + 1), "at")
                faults.append((place, f"must come after the step before it, at {first:g} s"))
        for index, step in enumerate(self.task):
            if step.at_s >= self.duration_s:
                text = f"begins when the flight is over, at {self.duration_s:g} s"
                faults.append((("task", str(index), "at"), text))
            if step.do == "take_off" and self.start == "hover":
                place = ("task", str(index), "do")
                faults.append((place, "a flight that starts in hover cannot take off"))
        if self.start == "ground" and (not self.task or self.task[0].do != "take_off"):
            faults.append((("start",), "a flight from the ground needs take_off as its first step"))
        if "start_height_m" in self.model_fields_set and self.start == "ground":
            faults.append((("start_height",), "only a flight that starts in hover has it"))
        if faults:
            raise faults_below(faults)
        return self
