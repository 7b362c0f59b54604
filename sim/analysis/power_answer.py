"""Everything that `gustworthy power` says: operating points, flow, packs, days, warmth, verdict."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from typing import Final, final

import numpy as np

from sim.analysis.endurance import Endurance, warming_k
from sim.analysis.motor_warmth import MotorWarmth, motor_warmth
from sim.analysis.operating_point import observed
from sim.analysis.power_day import hot_high_humid, pack_cases
from sim.analysis.power_overload import Load, loads, overloads
from sim.analysis.power_point import PowerPoint
from sim.analysis.power_rig import Rig
from sim.analysis.propeller_choice import PropellerChoice, Rules, propeller_choice
from sim.analysis.trim import find_trim
from sim.errors import NoTrim
from sim.pack.craft import pack_craft
from sim.pack.flight import plain_flight
from sim.pack.stand import STAND_HEIGHT_M
from sim.params.record import FloatArray
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2, AirOfTheDay
from sim.spec.files import LoadedCraft

SWING_M_S: Final = 0.3
CURVE_THROTTLES: Final = tuple(float(x) for x in np.linspace(0.05, 1.0, 20))


@final
@dataclass(frozen=True)
class PowerCase:
    """The craft with one pack on one day.

    Attributes
    ----------
    name : str
    air : AirOfTheDay
    charge, temperature_k, age_factor : float
        [-], [K], [-] Of the pack.
    full, usable : PowerPoint
        At full throttle, and at the throttle that is not kept back.
    hover : PowerPoint or None
        None when full throttle does not hold the craft.
    needed_n : float
        [N] What hover asks for.
    endurance : Endurance or None
        Of the hover.
    """

    name: str
    air: AirOfTheDay
    charge: float
    temperature_k: float
    age_factor: float
    full: PowerPoint
    usable: PowerPoint
    hover: PowerPoint | None
    needed_n: float
    endurance: Endurance | None

    @property
    def margin(self) -> float:
        """Usable thrust over what hover asks for, less one [-]."""
        return self.usable.thrust_n / self.needed_n - 1.0


@final
@dataclass(frozen=True)
class PowerAnswer:
    """What is known about the power of a craft.

    Attributes
    ----------
    craft : LoadedCraft
    air : AirOfTheDay
    weight_n : float
        [N] With all fabric.
    download_n : float or None
        [N] More than the weight that the rotors lift in steady hover; None without such a hover.
    why_no_download : str
        Empty when it is known.
    main : PowerCase
        With the pack of the file, on the day.
    chosen : tuple of (str, PowerPoint or None)
        Thrusts that were asked for; None where full throttle does not reach.
    curve : tuple of PowerPoint
        By rising throttle.
    packs, days : tuple of PowerCase
    loads : tuple of Load
        Currents at full throttle, if nothing held them, against their limits.
    warmth : tuple of MotorWarmth
        In hover and at full throttle.
    pack_warming_k : float or None
        [K] Most that the pack warms in a hover to its end.
    propellers : PropellerChoice or None
        When asked for.
    seconds : float
        [s] Computing time.
    """

    craft: LoadedCraft
    air: AirOfTheDay
    weight_n: float
    download_n: float | None
    why_no_download: str
    main: PowerCase
    chosen: tuple[tuple[str, PowerPoint | None], ...]
    curve: tuple[PowerPoint, ...]
    packs: tuple[PowerCase, ...]
    days: tuple[PowerCase, ...]
    loads: tuple[Load, ...]
    warmth: tuple[MotorWarmth, ...]
    pack_warming_k: float | None
    propellers: PropellerChoice | None
    seconds: float

    @property
    def needed_n(self) -> float:
        """What hover asks for [N], with the download where it is known."""
        return self.main.needed_n

    @property
    def overloaded(self) -> tuple[Load, ...]:
        """What full throttle overloads."""
        return overloads(self.loads)

    @property
    def lifts(self) -> bool:
        """Whether the throttle that is not kept back holds the craft."""
        return self.main.hover is not None and self.main.usable.thrust_n > self.needed_n

    @property
    def passes(self) -> bool:
        """Whether it lifts, and overloads nothing."""
        hot = any(warm.too_hot for warm in self.warmth if warm.point == "hover")
        return self.lifts and not self.overloaded and not hot

    @property
    def points(self) -> tuple[PowerPoint, ...]:
        """All named operating points that can be run."""
        hover = () if self.main.hover is None else (self.main.hover,)
        chosen = tuple(point for _, point in self.chosen if point is not None)
        return (*hover, *chosen, self.main.usable, self.main.full)


@final
@dataclass(frozen=True)
class HoverThrust:
    """What hover asks of the rotors.

    Attributes
    ----------
    each_n : ndarray, shape (rotors,)
        [N] Of each rotor.
    needed_n : float
        [N] Upwards, of all of them.
    download_n : float or None
        [N]
    why : str
        Why the download is not known; empty when it is.
    """

    each_n: FloatArray
    needed_n: float
    download_n: float | None
    why: str


def hover_thrust(rig: Rig) -> HoverThrust:
    """Give the thrusts in steady hover from the trim, else by the weight alone.

    The trim is sought high above the ground, as the stand has it.
    """
    record = rig.packed.record
    weight = rig.packed.whole_mass_kg * STANDARD_GRAVITY_M_S2
    shares = record["mixer"]["thrust_share"][: rig.count]
    level = np.maximum(shares * weight, 1e-3 * weight)
    if rig.at_throttle("usable", rig.usable_throttle).thrust_n <= weight:
        return HoverThrust(level, weight, None, "the rotors cannot carry the weight")
    flight = plain_flight(rig.packed.air, height_m=STAND_HEIGHT_M)[0]
    try:
        trim = find_trim(record, flight, charge=rig.charge, swing_m_s=SWING_M_S)
    except NoTrim as problem:
        return HoverThrust(level, weight, None, problem.reason)
    spots = observed(trim).rotor[: rig.count]
    each = np.array([float(spot.thrust_n) for spot in spots])
    lift = sum(float(spot.thrust_n) * -float(spot.axis_earth[2]) for spot in spots)
    return HoverThrust(each, lift, lift - weight, "")


def power_case(name: str, rig: Rig, hover: HoverThrust) -> PowerCase:
    """Run a craft with one pack on one day."""
    battery = rig.craft.battery
    point = rig.at_thrust("hover", hover.each_n)
    return PowerCase(
        name=name,
        air=rig.packed.air,
        charge=battery.charge,
        temperature_k=battery.temperature_k,
        age_factor=battery.age_factor,
        full=rig.at_throttle("full throttle", 1.0),
        usable=rig.at_throttle("most that levelling leaves", rig.usable_throttle),
        hover=point,
        needed_n=hover.needed_n,
        endurance=None if point is None else rig.endurance(point),
    )


def power_answer(
    craft: LoadedCraft,
    air: AirOfTheDay,
    *,
    thrusts_n: tuple[tuple[str, float], ...] = (),
    rules: Rules | None = None,
) -> PowerAnswer:
    """Answer everything about the power of a craft.

    Parameters
    ----------
    craft : LoadedCraft
    air : AirOfTheDay
    thrusts_n : tuple of (str, float)
        [N] Names and thrusts of all rotors together at which to run as well; shared as in hover.
    rules : Rules, optional
        Given, other propellers are tried.

    Raises
    ------
    InputFaults
        When no body can have the masses given.
    """
    began = time.monotonic()
    rig = Rig(craft.spec, pack_craft(craft.spec, air))
    hover = hover_thrust(rig)
    main = power_case("as in the file", rig, hover)
    total = float(np.sum(hover.each_n))
    hot = hot_high_humid()
    hot_rig = Rig(craft.spec, pack_craft(craft.spec, hot))
    unheld = rig.without_current_limits().at_throttle("full throttle", 1.0)
    seconds = None if main.endurance is None else main.endurance.seconds
    warmth = motor_warmth(craft.spec, main.full, air.temperature_k, None)
    if main.hover is not None:
        warmth = (*motor_warmth(craft.spec, main.hover, air.temperature_k, seconds), *warmth)
    answer = PowerAnswer(
        craft=craft,
        air=air,
        weight_n=rig.packed.whole_mass_kg * STANDARD_GRAVITY_M_S2,
        download_n=hover.download_n,
        why_no_download=hover.why,
        main=main,
        chosen=tuple(
            (name, rig.at_thrust(name, hover.each_n * thrust / total)) for name, thrust in thrusts_n
        ),
        curve=tuple(rig.at_throttle(f"{x:.0%} throttle", x) for x in CURVE_THROTTLES),
        packs=(
            main,
            *(
                power_case(case.name, rig.with_battery(case.battery), hover)
                for case in pack_cases(craft.spec.battery)
            ),
        ),
        days=(
            replace(main, name="the day"),
            power_case("35 degC, 1500 m, 80 % humidity", hot_rig, hover),
        ),
        loads=loads(unheld, craft.spec.battery),
        warmth=warmth,
        pack_warming_k=None
        if main.endurance is None
        else warming_k(main.endurance.heat_j, craft.spec.battery.mass_kg.value),
        propellers=None
        if rules is None
        else propeller_choice(rig, hover.each_n, hover.download_n or 0.0, rules),
        seconds=0.0,
    )
    return replace(answer, seconds=time.monotonic() - began)
