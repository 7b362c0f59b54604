"""Who flies: nobody, the craft's own position hold, or a person of stated skill."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Final, Literal, final

from pydantic import Field

from sim.spec.quantity import Quantity, quantity_within
from sim.spec.strict import StrictSpec
from sim.spec.units import format_quantity

Pilot = Literal["hands_off", "position_hold", "practised", "unskilled"]
PERSONS: Final = ("practised", "unskilled")

Crossover = Annotated[float, Quantity("angular_frequency", above=0.0, most=10.0)]
ReactionTime = Annotated[float, Quantity("time", least=0.05, most=0.6)]
SeenPlace = Annotated[float, Quantity("length", least=0.0, most=10.0)]
SeenSpeed = Annotated[float, Quantity("speed", least=0.0, most=10.0)]
Span = Annotated[float, Quantity("time", above=0.0, most=3600.0)]
Moment = Annotated[float, Quantity("time", least=0.0, most=60.0)]
_NO_SOURCE: Final = "common practice, no source"
_MEANINGS: Final = {
    "crossover": "frequency up to which the person steadies the speed",
    "place_crossover": "the same for the place",
    "delay": "from seeing to the sticks",
    "place_noise": "error of the eye, standard deviation",
    "speed_noise": "error of the eye, standard deviation",
    "noise_time": "how long such an error lasts",
    "lapse_every": "mean time between moments of looking away",
    "lapse_for": "how long such a moment lasts",
}


@final
@dataclass(frozen=True)
class PersonFigures:
    """How a person flies by eye.

    Attributes
    ----------
    crossover_rad_s : float
        [rad/s] Crossover frequency of the loop that person and craft close round the speed.
    place_rad_s : float
        [rad/s] That of the slower loop round the place.
    delay_s : float
        [s] From seeing to the sticks.
    place_noise_m, speed_noise_m_s : float
        [m], [m/s] Standard deviation of what is seen.
    noise_time_s : float
        [s] Correlation time of both.
    lapse_every_s, lapse_for_s : float
        [s] Mean time between moments of looking away, and how long each lasts.
    """

    crossover_rad_s: float
    place_rad_s: float
    delay_s: float
    place_noise_m: float
    speed_noise_m_s: float
    noise_time_s: float
    lapse_every_s: float
    lapse_for_s: float


# The model's form is that of McRuer and Krendel (AGARDograph 188, 1974). Their crossover of 4 to 5
# rad/s at a delay of 0.2 to 0.36 s (from memory) is for an instrument close to the eye and a craft
# that answers at once; a craft some metres away that must lean before it moves leaves less. The
# figures are common practice, no source.
SKILLS: Final[dict[str, PersonFigures]] = {
    "practised": PersonFigures(1.5, 0.5, 0.30, 0.10, 0.10, 0.5, 20.0, 0.5),
    "unskilled": PersonFigures(1.0, 0.3, 0.45, 0.25, 0.30, 0.7, 8.0, 1.0),
}


def _told(value: float, annotation: Any) -> str:
    """Write a figure; crossover frequencies in rad/s, as the literature has them."""
    quantity = quantity_within(annotation)
    kind = "number" if quantity is None else quantity.kind
    return f"{value:g} rad/s" if kind == "angular_frequency" else format_quantity(value, kind)


def _figure(alias: str) -> Any:
    """Give the field of a figure, which says what it is and where it is from."""
    return Field(None, alias=alias, description=f"{_MEANINGS[alias]}; {_NO_SOURCE}")


@final
class PersonSpec(StrictSpec):
    """What is known of the person who flies; the rest follows from the skill."""

    crossover_rad_s: Crossover | None = _figure("crossover")
    place_rad_s: Crossover | None = _figure("place_crossover")
    delay_s: ReactionTime | None = _figure("delay")
    place_noise_m: SeenPlace | None = _figure("place_noise")
    speed_noise_m_s: SeenSpeed | None = _figure("speed_noise")
    noise_time_s: Span | None = _figure("noise_time")
    lapse_every_s: Span | None = _figure("lapse_every")
    lapse_for_s: Moment | None = _figure("lapse_for")
    height: Literal["craft", "person"] = Field(
        "craft", description="who holds the height: the craft's height hold, or the person"
    )

    def worked_out(self) -> dict[str, str]:
        """Say what stands for figures left out, by skill.

        Returns
        -------
        dict[str, str]
            By field name.
        """
        fields = type(self).model_fields
        return {
            name: ", ".join(
                f"{_told(getattr(figures, name), fields[name].annotation)} {skill}"
                for skill, figures in SKILLS.items()
            )
            for name in PersonFigures.__dataclass_fields__
        }

    def figures(self, skill: str) -> PersonFigures:
        """Give all figures of the person.

        Parameters
        ----------
        skill : str
            `practised` or `unskilled`.

        Returns
        -------
        PersonFigures
            As given, the rest of that skill.
        """
        usual = SKILLS[skill]
        names = PersonFigures.__dataclass_fields__
        given = {name: getattr(self, name) for name in names}
        return PersonFigures(
            **{
                name: getattr(usual, name) if value is None else value
                for name, value in given.items()
            }
        )
