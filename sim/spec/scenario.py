"""One flight or ensemble: the day, the wind, the task, the pilot and what counts as success."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Annotated, Literal, final

from pydantic import Field

from sim.spec.load import Path_
from sim.spec.pilot import PERSONS, PersonSpec, Pilot
from sim.spec.quantity import Quantity
from sim.spec.strict import PlacedFault, SectionView, StrictSpec, Unlisted
from sim.spec.task import (
    MOST_STEPS,
    Height,
    StepSpec,
    faults_of_order,
    faults_of_times,
)
from sim.spec.wind import WindSpec

Temperature = Annotated[float, Quantity("temperature", least=233.15, most=333.15)]
Elevation = Annotated[float, Quantity("length", least=-430.0, most=5000.0)]
Pressure = Annotated[float, Quantity("pressure", least=40e3, most=110e3)]
Humidity = Annotated[float, Quantity("share", least=0.0, most=1.0)]
Duration = Annotated[float, Quantity("time", above=0.0, most=3600.0)]
AllowedTilt = Annotated[float, Quantity("angle", above=0.0, most=math.pi)]
AllowedDrift = Annotated[float, Quantity("length", above=0.0, most=500.0)]
AllowedTime = Annotated[float, Quantity("time", above=0.0, most=3600.0)]
AllowedSpeed = Annotated[float, Quantity("speed", above=0.0, most=10.0)]
Share = Annotated[float, Quantity("share", above=0.0, most=1.0)]
Clearance = Annotated[float, Quantity("length", least=0.001, most=1.0)]
GainMargin = Annotated[float, Quantity("gain", least=0.0, most=60.0)]
PhaseMargin = Annotated[float, Quantity("angle", least=0.0, most=math.pi)]
Probability = Annotated[float, Quantity("share", above=0.0, most=0.9999)]


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
class LimitsSpec(StrictSpec):
    """What a flight must stay within to count as a success, and how sure that must be."""

    tilt_rad: AllowedTilt = Field(
        45.0 * math.pi / 180.0,
        alias="tilt",
        description="steepest lean; common practice, no source",
    )
    drift_m: AllowedDrift = Field(
        3.0,
        alias="drift",
        description="farthest from the wanted place; common practice, no source",
    )
    height_loss_m: AllowedDrift = Field(
        1.0,
        alias="height_loss",
        description="lowest below the wanted height; common practice, no source",
    )
    saturation_s: AllowedTime = Field(
        1.0,
        alias="saturation",
        description="longest time on one limit of a rotor or tilt; common practice, no source",
    )
    saturation_share: Share = Field(
        0.2,
        alias="saturation_share",
        description="share of the flight on one such limit; common practice, no source",
    )
    current_s: AllowedTime = Field(
        3.0,
        alias="current",
        description="longest time on the limit of motors or pack; common practice, no source",
    )
    clearance_m: Clearance = Field(
        0.01,
        alias="clearance",
        description="least distance of fabric to a rotor: touching; common practice, no source",
    )
    touchdown_m_s: AllowedSpeed = Field(
        1.0,
        alias="touchdown",
        description="fastest sink at touch-down; common practice, no source",
    )
    recovery_s: AllowedTime = Field(
        10.0,
        alias="recovery",
        description="longest time beyond half of tilt or drift; common practice, no source",
    )
    success: Probability = Field(
        0.95, description="share of flights that must succeed; yours to choose"
    )
    confidence: Probability = Field(0.95, description="confidence in that share; yours to choose")
    gain_margin_db: GainMargin = Field(
        6.0,
        alias="gain_margin",
        description="gain that each attitude loop must bear, up and down; SAE AS94900",
    )
    phase_margin_rad: PhaseMargin = Field(
        45.0 * math.pi / 180.0,
        alias="phase_margin",
        description="turn of phase that each attitude loop must bear; SAE AS94900",
    )


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
    pilot: Pilot = Field("position_hold", description="who keeps the craft in place")
    person: Annotated[PersonSpec, Unlisted()] = Field(default_factory=PersonSpec)
    limits: LimitsSpec = Field(default_factory=LimitsSpec)
    flights: Annotated[int, Field(strict=True, ge=1, le=1_000_000)] = Field(
        100, description="flights of an ensemble"
    )
    seed: Annotated[int, Field(strict=True, ge=0, le=2**63 - 1)] = Field(
        1, description="the same seed gives the same gusts"
    )

    def without_meaning(self) -> frozenset[str]:
        """Say that nothing is asked of a person where none flies.

        Returns
        -------
        frozenset of str
            Field names.
        """
        return frozenset() if self.pilot in PERSONS else frozenset({"person"})

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
        faults = faults_of_times([step.get("at") for step in steps], view.get("duration"))
        start = view.get("start")
        faults += faults_of_order([step.get("do") for step in steps], start)
        pilot = view.get("pilot")
        if view.gives("person") and isinstance(pilot, str) and pilot not in PERSONS:
            text = f"no person flies with pilot {pilot}; use practised or unskilled"
            faults.append((("person",), text))
        if view.gives("start_height") and start == "ground":
            faults.append((("start_height",), "only a flight that starts in hover has it"))
        return faults


def check_measured_wind(scenario: ScenarioSpec, note: Callable[[Path_, str], None]) -> None:
    """Check that a measured wind lasts as long as the flight and has its direction once.

    Parameters
    ----------
    scenario : ScenarioSpec
        As read.
    note : callable
        Receives the path and the words of each fault.
    """
    wind = scenario.wind
    if wind.measured is None:
        return
    lasts = wind.measured.lasts_s
    if lasts < scenario.duration_s:
        text = f"lasts {lasts:g} s; the flight takes {scenario.duration_s:g} s"
        note(("wind", "measured"), text)
    if wind.measured.has_direction and "from_rad" in wind.model_fields_set:
        note(("wind", "from"), "the measured wind has its own direction; leave this out")
