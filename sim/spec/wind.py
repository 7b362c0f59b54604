"""Wind of a scenario: its mean, the terrain it crosses, turbulence and one gust."""

from __future__ import annotations

import math
from typing import Annotated, Final, Literal, final

from pydantic import Field

from sim.spec.quantity import Quantity
from sim.spec.strict import StrictSpec, Unlisted

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

Terrain = Literal["sea", "lake_shore", "open_field", "garden", "street"]


@final
class TurbulenceSpec(StrictSpec):
    """Gustiness of the wind.

    Attributes
    ----------
    intensity : float or None
        [-] Standard deviation of the wind over its mean; None means from terrain and height.
    """

    form: Literal["dryden", "none"] = Field("dryden", description="spectrum of the turbulence")
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
    """One gust on top of the mean wind, as 1 minus cosine.

    Attributes
    ----------
    rise_m_s : float
        [m/s] Peak above the mean wind.
    start_s : float
        [s] When its front reaches the craft.
    length_s : float
        [s] From its front to its peak; it takes as long again to pass.
    """

    rise_m_s: GustRise = Field(alias="rise")
    start_s: StartTime = Field(alias="start")
    length_s: Annotated[float, Quantity("time", above=0.0, most=600.0)] = Field(alias="length")


@final
class WindSpec(StrictSpec):
    """Wind as a forecast gives it, and what the terrain makes of it."""

    mean_m_s: WindSpeed = Field(0.0, alias="mean", description="mean wind of ten minutes")
    at_height_m: WindHeight = Field(
        10.0, alias="at_height", description="height above ground for which the mean is given"
    )
    from_rad: Bearing = Field(
        0.75 * _TURN, alias="from", description="where the wind comes from: the west"
    )
    terrain: Terrain = Field("open_field", description="roughness of the ground upwind")
    turbulence: TurbulenceSpec = Field(default_factory=TurbulenceSpec)
    gust: Annotated[GustSpec | None, Unlisted()] = Field(None)
