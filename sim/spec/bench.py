"""Readings from the bench: what meters, scales and a counter showed at a throttle."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Annotated, Any, Final, Literal, final

from pydantic import Field

from sim.spec.quantity import Quantity, Uncertain
from sim.spec.strict import PlacedFault, SectionView, StrictSpec, Unlisted, nearest_word

Volts = Annotated[Uncertain, Quantity("voltage", above=0.0, most=120.0, uncertain=True)]
Amps = Annotated[Uncertain, Quantity("current", least=0.0, most=2000.0, uncertain=True)]
Watts = Annotated[Uncertain, Quantity("power", least=0.0, most=1e5, uncertain=True)]
Force = Annotated[Uncertain, Quantity("force", least=0.0, most=1e4, uncertain=True)]
Turning = Annotated[Uncertain, Quantity("rotation", least=0.0, most=1e4, uncertain=True)]
Warmth = Annotated[Uncertain, Quantity("temperature", least=233.15, most=363.15, uncertain=True)]
Throttle = Annotated[float, Quantity("share", least=0.0, most=1.0)]

ALL_MOTORS: Final = "all"
QUANTITIES: Final = (
    "volts",
    "volts_at_controllers",
    "amps",
    "watts",
    "thrust",
    "rpm",
    "idle_power",
    "pack_temperature",
)
# About two standard deviations of usual hobby instruments; common practice, no source.
USUAL_SPREAD: Final[Mapping[str, float]] = {
    "volts": 0.01,
    "volts_at_controllers": 0.01,
    "amps": 0.02,
    "watts": 0.02,
    "thrust": 0.03,
    "rpm": 0.01,
    "idle_power": 0.10,
}
USUAL_SPREAD_K: Final = 3.0
LEAST_SPREAD: Final = 1e-3


@final
class ReadingSpec(StrictSpec):
    """Everything that was read at one throttle.

    Attributes
    ----------
    motors : str
        `all`, or the name of the one rotor that runs while the others stand still.
    throttle : float
        [-] Command, 0 to 1.
    through : str
        Whether the command goes through the flight controller, which may keep a share of it back,
        or straight to the speed controllers.
    end_points : str
        `learned_again` for readings taken after the speed controllers learned their end points
        anew.
    charge : float or None
        [-] Of the pack; that of the battery section when left out.
    volts, amps, watts
        At the pack's leads.
    """

    note: Annotated[str, Unlisted()] = Field("", max_length=200, strict=True)
    motors: Annotated[str, Unlisted()] = Field(ALL_MOTORS, max_length=80, strict=True)
    throttle: Annotated[Throttle, Unlisted()] = Field(1.0)
    through: Annotated[Literal["flight_controller", "speed_controller"], Unlisted()] = Field(
        "flight_controller"
    )
    end_points: Annotated[Literal["as_found", "learned_again"], Unlisted()] = Field("as_found")
    charge: Annotated[Throttle | None, Unlisted()] = Field(None)
    volts_v: Annotated[Volts | None, Unlisted()] = Field(None, alias="volts")
    volts_at_controllers_v: Annotated[Volts | None, Unlisted()] = Field(
        None, alias="volts_at_controllers"
    )
    amps_a: Annotated[Amps | None, Unlisted()] = Field(None, alias="amps")
    watts_w: Annotated[Watts | None, Unlisted()] = Field(None, alias="watts")
    thrust_n: Annotated[Force | None, Unlisted()] = Field(None, alias="thrust")
    speed_rad_s: Annotated[Turning | None, Unlisted()] = Field(None, alias="rpm")
    idle_power_w: Annotated[Watts | None, Unlisted()] = Field(None, alias="idle_power")
    pack_temperature_k: Annotated[Warmth | None, Unlisted()] = Field(None, alias="pack_temperature")

    @classmethod
    def faults_between(cls, view: SectionView) -> list[PlacedFault]:
        """Check that something was read.

        Parameters
        ----------
        view : SectionView
            The reading as far as it can be read.

        Returns
        -------
        list of PlacedFault
            One when nothing was.
        """
        if any(view.gives(key) for key in QUANTITIES[:-1]):
            return []
        return [((), f"reads nothing; give one or more of {', '.join(QUANTITIES[:-1])}")]

    def measured(self) -> dict[str, Uncertain]:
        """Give what was read, by key, each with its spread.

        Returns
        -------
        dict
            In SI units. A reading without `plus_minus` takes that of a usual instrument: 1 % for
            volts and speed, 2 % for amps and watts, 3 % for thrust, 10 % for idle power, 3 K.
        """
        found: dict[str, Uncertain] = {}
        for name, field in type(self).model_fields.items():
            value = getattr(self, name)
            if not isinstance(value, Uncertain):
                continue
            key = field.alias or name
            spread = value.plus_minus
            if spread == 0.0 and key in USUAL_SPREAD:
                spread = max(USUAL_SPREAD[key] * abs(value.value), LEAST_SPREAD)
            found[key] = Uncertain(value.value, spread or USUAL_SPREAD_K)
        return found


@final
class BenchSpec(StrictSpec):
    """What was read on the bench."""

    readings: tuple[ReadingSpec, ...] = Field(min_length=1, max_length=40)


def check_motor_names(data: Mapping[str, Any], note: Callable[[Any, str], None]) -> None:
    """Note each reading whose motor is none of the craft's.

    Parameters
    ----------
    data : Mapping
        The craft file, in plain values.
    note : callable
        Receives the path and the words of each fault.
    """
    bench = data.get("bench")
    readings = bench.get("readings") if isinstance(bench, dict) else None
    rotors = data.get("rotors")
    if not isinstance(readings, list) or not isinstance(rotors, list):
        return
    names = [str(rotor.get("name")) for rotor in rotors if isinstance(rotor, dict)]
    for index, reading in enumerate(readings):
        wanted = reading.get("motors", ALL_MOTORS) if isinstance(reading, dict) else ALL_MOTORS
        if wanted == ALL_MOTORS or wanted in names:
            continue
        near = nearest_word(wanted, [ALL_MOTORS, *names])
        means = f"did you mean '{near}'?" if near else f"use {ALL_MOTORS}, {', '.join(names)}"
        note(("bench", "readings", index, "motors"), f"no rotor has the name '{wanted}'; {means}")
