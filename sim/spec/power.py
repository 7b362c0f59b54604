"""Motor, speed controller, battery and electronics: what turns stored charge into shaft power."""

from __future__ import annotations

import math
from typing import Annotated, Final, Literal, final

from pydantic import Field

from sim.spec.place import Place
from sim.spec.quantity import Quantity, Uncertain
from sim.spec.strict import StrictSpec, Unlisted
from sim.spec.structure import Mass, SolidMass

SpeedConstant = Annotated[
    Uncertain, Quantity("speed_constant", above=0.0, most=5000.0, uncertain=True)
]
Resistance = Annotated[Uncertain, Quantity("resistance", above=0.0, most=100.0, uncertain=True)]
PlainResistance = Annotated[float, Quantity("resistance", least=0.0, most=10.0)]
Current = Annotated[float, Quantity("current", least=0.0, most=1000.0)]
CurrentLimit = Annotated[float, Quantity("current", above=0.0, most=2000.0)]
ShaftInertia = Annotated[float, Quantity("inertia", above=0.0, most=1.0)]
Charge = Annotated[float, Quantity("charge", above=0.0, most=3.6e6)]
Share = Annotated[float, Quantity("share", least=0.0, most=1.0)]
Fullness = Annotated[float, Quantity("share", above=0.0, most=1.0)]
Power = Annotated[float, Quantity("power", least=0.0, most=1e4)]
PackTemperature = Annotated[float, Quantity("temperature", least=243.15, most=333.15)]
WindingTemperature = Annotated[float, Quantity("temperature", least=313.15, most=523.15)]
AgeFactor = Annotated[float, Quantity("number", least=1.0, most=20.0)]
PairResistance = Annotated[float, Quantity("resistance", above=0.0, most=10.0)]
PairTime = Annotated[float, Quantity("time", least=0.1, most=3600.0)]
HeatCapacity = Annotated[float, Quantity("heat_capacity", above=0.0, most=1e5)]
ThermalResistance = Annotated[float, Quantity("thermal_resistance", above=0.0, most=1e3)]

MOTOR_DENSITY_KG_M3: Final = 4300.0
BELL_SHARE: Final = 0.45
BELL_GYRATION: Final = 0.45
PACK_OHM_AS_PER_CELL: Final = 0.0125 * 3600.0
RESISTANCE_SPREAD: Final = 0.5
CHARGE_RATE: Final = 20.0
SECONDS_PER_HOUR: Final = 3600.0


@final
class MotorThermalSpec(StrictSpec):
    """How a motor warms: winding and housing as two lumps, and the path of heat to the air."""

    winding_heat_capacity_j_k: HeatCapacity = Field(alias="winding_heat_capacity")
    housing_heat_capacity_j_k: HeatCapacity = Field(alias="housing_heat_capacity")
    winding_to_housing_k_w: ThermalResistance = Field(alias="winding_to_housing")
    housing_to_air_k_w: ThermalResistance = Field(alias="housing_to_air")
    winding_limit_k: WindingTemperature = Field(
        373.15,
        alias="winding_limit",
        description="that windings, glue and magnets of small motors bear; from memory, no source",
    )


@final
class MotorSpec(StrictSpec):
    """A brushless motor as a first-order direct-current machine."""

    speed_constant_rad_s_V: SpeedConstant = Field(alias="speed_constant")  # noqa: N815
    resistance_ohm: Resistance = Field(alias="resistance")
    no_load_current_a: Current = Field(alias="no_load_current")
    current_limit_a: CurrentLimit = Field(alias="current_limit")
    mass_kg: SolidMass = Field(alias="mass")
    bell_inertia_given_kg_m2: ShaftInertia | None = Field(
        None,
        alias="bell_inertia",
        description="of the turning bell: 45 % of the mass at 0.45 diameters, motor as high as wide"
        " with 4300 kg/m3; common practice, no source",
    )
    thermal: Annotated[MotorThermalSpec | None, Unlisted()] = Field(None)

    @property
    def bell_inertia_kg_m2(self) -> float:
        """Give the moment of inertia of the turning part about the shaft.

        Returns
        -------
        float
            [kg m2] As given, else estimated from the motor's mass.
        """
        if self.bell_inertia_given_kg_m2 is not None:
            return self.bell_inertia_given_kg_m2
        mass = self.mass_kg.value
        diameter = math.cbrt(4.0 * mass / (math.pi * MOTOR_DENSITY_KG_M3))
        return BELL_SHARE * mass * (BELL_GYRATION * diameter) ** 2

    def worked_out(self) -> dict[str, str]:
        """Give the estimated inertia of the bell.

        Returns
        -------
        dict[str, str]
            By field name.
        """
        return {"bell_inertia_given_kg_m2": f"{self.bell_inertia_kg_m2:.3g} kg m2"}


@final
class SpeedControllerSpec(StrictSpec):
    """The electronic speed controller between pack and motor."""

    current_limit_a: CurrentLimit = Field(alias="current_limit")
    resistance_ohm: PlainResistance = Field(
        0.004, alias="resistance", description="switches of the speed controller; common practice"
    )
    full_command: Fullness = Field(
        1.0, description="share of the pack's voltage that the motor gets at full command"
    )
    mass_kg: Mass = Field(
        Uncertain(0.0), alias="mass", description="counted elsewhere or with the motor"
    )


@final
class RelaxationSpec(StrictSpec):
    """The slow part of a pack's sag: a resistance that comes into play with a time constant.

    Both of a new pack at 25 degC, for the whole pack.
    """

    resistance_ohm: PairResistance = Field(alias="resistance")
    time_constant_s: PairTime = Field(alias="time_constant")


@final
class BatterySpec(StrictSpec):
    """The pack: cells in series, charge, resistance, and how much of it may be used."""

    chemistry: Literal["lithium_polymer", "lithium_ion", "lithium_iron_phosphate"] = Field(
        "lithium_polymer", description="curve of voltage against charge"
    )
    cells: Annotated[int, Field(strict=True, ge=1, le=24)]
    capacity_a_s: Charge = Field(alias="capacity")
    mass_kg: SolidMass = Field(alias="mass")
    place: Place
    resistance_given_ohm: Resistance | None = Field(
        None,
        alias="resistance",
        description="of the whole pack, from its cells and capacity (12.5 mohm Ah a cell); common"
        " practice, no source",
    )
    wiring_resistance_ohm: Resistance = Field(
        Uncertain(0.006, 0.003),
        alias="wiring_resistance",
        description="leads and connectors between pack and speed controllers; common practice",
    )
    charge: Share = Field(1.0, description="charge at take-off")
    reserve: Share = Field(0.2, description="charge that stays in the pack at landing")
    current_limit_given_a: CurrentLimit | None = Field(
        None, alias="current_limit", description="20 times the capacity per hour"
    )
    temperature_k: PackTemperature = Field(
        298.15,
        alias="temperature",
        description="of the cells; cold raises the resistance, twice at 0 degC (from memory)",
    )
    age_factor: AgeFactor = Field(1.0, description="resistance over that of the pack when new")
    relaxation: Annotated[RelaxationSpec | None, Unlisted()] = Field(None)
    wiring_current_limit_a: Annotated[CurrentLimit | None, Unlisted()] = Field(
        None, alias="wiring_current_limit"
    )

    @property
    def resistance_ohm(self) -> Uncertain:
        """Give the resistance of the whole pack, new and at 25 degC.

        Returns
        -------
        Uncertain
            [ohm] As given, else estimated from cells and capacity.
        """
        if self.resistance_given_ohm is not None:
            return self.resistance_given_ohm
        value = self.cells * PACK_OHM_AS_PER_CELL / self.capacity_a_s
        return Uncertain(value, RESISTANCE_SPREAD * value)

    @property
    def current_limit_a(self) -> float:
        """Give the current that the pack may deliver.

        Returns
        -------
        float
            [A] As given, else 20 times the capacity per hour.
        """
        if self.current_limit_given_a is not None:
            return self.current_limit_given_a
        return CHARGE_RATE * self.capacity_a_s / SECONDS_PER_HOUR

    def worked_out(self) -> dict[str, str]:
        """Give the estimated resistance and current limit.

        Returns
        -------
        dict[str, str]
            By field name.
        """
        resistance = self.resistance_ohm
        return {
            "resistance_given_ohm": f"{resistance.value:.3g} ohm, plus or minus"
            f" {resistance.plus_minus:.2g} ohm",
            "current_limit_given_a": f"{self.current_limit_a:.4g} A",
        }


@final
class ElectronicsSpec(StrictSpec):
    """Everything that draws current without turning a rotor."""

    idle_power_w: Power = Field(alias="idle_power")
    mass_kg: Mass = Field(alias="mass")
    place: Place
