"""Wind of a scenario: its mean or a measured record, terrain, turbulence and gusts."""

from __future__ import annotations

import math
from typing import Annotated, Final, Literal, final

from pydantic import Field

from sim.spec.measured_wind import MeasuredWindFile
from sim.spec.one_or_several import OneOrSeveral
from sim.spec.quantity import Quantity
from sim.spec.strict import PlacedFault, SectionView, StrictSpec, Unlisted

_TURN: Final = 2.0 * math.pi
COMPASS: Final = (
    ("north", 0.0),
    ("northeast", 0.125 * _TURN),
    ("east", 0.25 * _TURN),
    ("southeast", 0.375 * _TURN),
    ("south", 0.5 * _TURN),
    ("southwest", 0.625 * _TURN),
    ("west", 0.75 * _TURN),
    ("northwest", 0.875 * _TURN),
)

STRONGEST_M_S: Final = 60.0
WindSpeed = Annotated[float, Quantity("speed", least=0.0, most=STRONGEST_M_S)]
GustRise = Annotated[float, Quantity("speed", least=-60.0, most=60.0)]
WindHeight = Annotated[float, Quantity("length", above=0.0, most=200.0)]
Bearing = Annotated[float, Quantity("angle", least=-_TURN, most=_TURN, words=COMPASS)]
Intensity = Annotated[float, Quantity("share", least=0.0, most=1.0)]
StartTime = Annotated[float, Quantity("time", least=0.0, most=3600.0)]

WindTurn = Annotated[float, Quantity("angle", least=-math.pi, most=math.pi)]
MOST_GUSTS: Final = 8

Terrain = Literal["sea", "lake_shore", "open_field", "garden", "street"]


@final
class TurbulenceSpec(StrictSpec):
    """Gustiness of the wind.

    Attributes
    ----------
    intensity : float or None
        [-] Standard deviation of the wind over its mean; None means from terrain and height.
    """

    form: Literal["dryden", "kaimal", "none"] = Field(
        "dryden", description="spectrum of the turbulence"
    )
    intensity: Intensity | None = Field(None, description="from the terrain and the height")

    def worked_out(self) -> dict[str, str]:
        """Say where the intensity comes from.

        Returns
        -------
        dict[str, str]
            By field name.
        """
        return {"intensity": "of the terrain"}


@final
class GustSpec(StrictSpec):
    """One gust on top of the mean wind: a pulse that passes, or a front that stays.

    Both rise as 1 minus cosine.

    Attributes
    ----------
    rise_m_s : float
        [m/s] Peak above the mean wind.
    start_s : float
        [s] When its front reaches the craft.
    length_s : float
        [s] From its front to its peak; a pulse takes as long again to pass.
    turn_rad : float
        [rad] How far the wind turns with it, clockwise seen from above.
    """

    form: Literal["pulse", "front"] = Field("pulse", description="it passes; a front stays")
    rise_m_s: GustRise = Field(alias="rise")
    start_s: StartTime = Field(alias="start")
    length_s: Annotated[float, Quantity("time", above=0.0, most=600.0)] = Field(alias="length")
    turn_rad: WindTurn = Field(0.0, alias="turn", description="the wind keeps its direction")


Gusts = Annotated[tuple[GustSpec, ...], Field(max_length=MOST_GUSTS), OneOrSeveral()]


@final
class WindSpec(StrictSpec):
    """Wind as a forecast gives it or as it was measured, and what the terrain makes of it.

    Attributes
    ----------
    measured : MeasuredWind or None
        A measured record. Mean, and direction where it was measured, are then those of the record.
    """

    mean_m_s: WindSpeed = Field(0.0, alias="mean", description="mean wind of ten minutes")
    at_height_m: WindHeight = Field(
        10.0, alias="at_height", description="height above ground for which the mean is given"
    )
    from_rad: Bearing = Field(
        0.75 * _TURN, alias="from", description="where the wind comes from: the west"
    )
    terrain: Terrain = Field("open_field", description="roughness of the ground upwind")
    turbulence: TurbulenceSpec = Field(default_factory=TurbulenceSpec)
    gusts: Annotated[Gusts, Unlisted()] = Field((), alias="gust")
    measured: Annotated[MeasuredWindFile | None, Unlisted()] = Field(None)

    @classmethod
    def faults_between(cls, view: SectionView) -> list[PlacedFault]:
        """Check that the wind is given one way.

        Parameters
        ----------
        view : SectionView
            The wind as far as it can be read.

        Returns
        -------
        list of PlacedFault
            What is given twice.
        """
        faults: list[PlacedFault] = []
        if view.raw.get("gust") == []:
            faults.append((("gust",), "is an empty list; leave it out when there is no gust"))
        if not view.gives("measured"):
            return faults
        if view.gives("mean"):
            text = "give either mean or measured: a measured wind has its own mean"
            faults.append((("mean",), text))
        turbulence = view.raw.get("turbulence")
        if isinstance(turbulence, dict) and "intensity" in turbulence:
            text = "a measured wind has its own intensity; leave this out"
            faults.append((("turbulence", "intensity"), text))
        return faults

    def without_meaning(self) -> frozenset[str]:
        """Say that a measured wind brings its mean, and its direction if that was measured.

        Returns
        -------
        frozenset of str
            Field names.
        """
        if self.measured is None:
            return frozenset()
        return frozenset({"mean_m_s"} | ({"from_rad"} if self.measured.has_direction else set()))

    def as_measured(self) -> WindSpec:
        """Give the wind with mean and direction of the measured record, if there is one.

        Returns
        -------
        WindSpec
            The same wind.
        """
        wind = self.measured
        if wind is None:
            return self
        told: dict[str, float] = {"mean_m_s": wind.mean_m_s}
        if wind.has_direction:
            told["from_rad"] = wind.mean_from_rad
        return self.model_copy(update=told)
