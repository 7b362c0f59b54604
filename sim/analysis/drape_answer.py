"""What the fabric does: its load in wash and wind, its swings, its room, its share of throttle."""

from __future__ import annotations

import math
import time
from dataclasses import dataclass
from typing import Final, final

import numpy as np

from sim.analysis.air_calibration import AirCalibration, calibrated_air
from sim.analysis.drape_band import LoadBands, load_bands
from sim.analysis.drape_load import DrapeLoad, HungFabric, drape_loads, hung_fabric
from sim.analysis.drape_swing import FabricSwing, fabric_swings
from sim.analysis.fabric_watch import FabricWatch, level_hover, steady_wind_flight, watch_fabric
from sim.analysis.trim import find_trim
from sim.analysis.wind_heights import height_ratio
from sim.errors import NotLinear, NoTrim
from sim.mass.drape import drape_mass
from sim.pack.craft import PackedCraft, pack_craft
from sim.pack.flight import day_air
from sim.params.record import FloatArray
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2
from sim.spec.airframe import CraftSpec
from sim.spec.files import LoadedCraft, LoadedScenario
from sim.spec.quantity import Uncertain
from sim.spec.scenario import ScenarioSpec
from sim.spec.variants import without_fabric

SWING_M_S: Final = 0.2
WINDS_M_S: Final = (0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0)
READING_SPREAD: Final = 0.01


@final
@dataclass(frozen=True)
class FabricInWind:
    """The fabric in one steady wind.

    Attributes
    ----------
    wind_m_s, forecast_m_s : float
        [m/s] At flight height, and at the scenario's wind height.
    is_the_day : bool
        Whether it is the scenario's own mean wind.
    why_held : str
        Why the body was held level instead of flown; empty when it flew.
    drapes : tuple of DrapeLoad
        One for each.
    whole : DrapeLoad
        Of all of them.
    thrust_n : float
        [N] Of all rotors.
    """

    wind_m_s: float
    forecast_m_s: float
    is_the_day: bool
    why_held: str
    drapes: tuple[DrapeLoad, ...]
    whole: DrapeLoad
    thrust_n: float


@final
@dataclass(frozen=True, eq=False)
class Shape:
    """Mean shape of the fabric, for a picture.

    Attributes
    ----------
    wind_m_s : float
        [m/s] At flight height.
    place_m : ndarray, shape (panels, 3)
        [m] Lower ends of all panels from the body's CG: along the wind, to the right of where it
        goes, and down.
    rim_m : ndarray, shape (strips, 3)
        [m] Where each strip hangs, likewise.
    """

    wind_m_s: float
    place_m: FloatArray
    rim_m: FloatArray


@final
@dataclass(frozen=True)
class ThrottleOfHover:
    """Hover throttle with and without the fabric.

    Attributes
    ----------
    with_fabric, without_fabric : float or None
        [-] None when it does not hold a hover.
    low, high : float or None
        [-] With the fabric, at the ends of the download's band and of the fabric's mass.
    """

    with_fabric: float | None
    without_fabric: float | None
    low: float | None
    high: float | None


@final
@dataclass(frozen=True, eq=False)
class DrapeAnswer:
    """What is known about the fabric of a craft.

    Attributes
    ----------
    craft, scenario : as loaded
    weight_n, fabric_weight_n : float
        [N] With all fabric, and of the fabric alone.
    dry_fabric_kg : tuple of float
        [kg] Of each drape.
    winds : tuple of FabricInWind
        By rising speed; the first is still air.
    bands : LoadBands
        How unsure download and side force are.
    swings : tuple of FabricSwing
        By rising frequency; empty when there is no steady hover.
    why_no_swings : str
        Empty when they are known.
    throttle : ThrottleOfHover
    calibration : AirCalibration or None
        When a pair of readings is given.
    shapes : tuple of Shape
        Hung in still air, and blown.
    rotors : tuple of str
        Names, in the order of the clearances.
    clearance_limit_m : float
        [m] Distance to a disc below which a flight counts as failed.
    seconds : float
        [s] Computing time.
    """

    craft: LoadedCraft
    scenario: LoadedScenario
    weight_n: float
    fabric_weight_n: float
    dry_fabric_kg: tuple[float, ...]
    winds: tuple[FabricInWind, ...]
    bands: LoadBands
    swings: tuple[FabricSwing, ...]
    why_no_swings: str
    throttle: ThrottleOfHover
    calibration: AirCalibration | None
    shapes: tuple[Shape, ...]
    rotors: tuple[str, ...]
    clearance_limit_m: float
    seconds: float

    @property
    def still(self) -> FabricInWind:
        """The fabric in still air."""
        return self.winds[0]

    @property
    def day(self) -> FabricInWind:
        """The fabric in the scenario's mean wind."""
        return next(case for case in self.winds if case.is_the_day)

    @property
    def least_clearance_m(self) -> float:
        """Least distance of any fabric to any disc, up to the day's wind [m]."""
        up_to = (case for case in self.winds if case.wind_m_s <= self.day.wind_m_s)
        return min(room for case in up_to for room in case.whole.clearance_m)

    @property
    def passes(self) -> bool:
        """Whether it holds its hover up to the day's wind and its fabric keeps clear of the discs.

        Steady winds only: gusts are for the check.
        """
        flown = not any(case.why_held for case in self.winds if case.wind_m_s <= self.day.wind_m_s)
        return flown and self.least_clearance_m >= self.clearance_limit_m


def drape_answer(
    craft: LoadedCraft,
    scenario: LoadedScenario,
    readings: tuple[Uncertain, Uncertain] | None = None,
) -> DrapeAnswer:
    """Answer everything about the fabric of a craft.

    Parameters
    ----------
    craft, scenario : as loaded
        A craft with fabric.
    readings : tuple of Uncertain, optional
        [-] Hover throttle with and without fabric; else those of the craft file, if it has any.

    Raises
    ------
    InputFaults
        When no body can have the masses given, or nothing explains the readings.
    """
    began = time.monotonic()
    air = day_air(scenario.spec)
    packed = pack_craft(craft.spec, air)
    pair = hover_readings(craft.spec) if readings is None else readings
    calibration = None if pair is None else calibrated_air(craft.spec, scenario.spec, air, *pair)
    watches = _watch_all(packed, scenario.spec)
    hung = hung_fabric(craft.spec, packed, watches[0][1])
    downwind = _downwind(scenario.spec)
    winds = tuple(_in_wind(hung, watch, downwind, speed, scenario.spec) for speed, watch in watches)
    day = next(case for case in winds if case.is_the_day)
    loads = (winds[0].whole.download_n, day.whole.download_n, day.whole.side_force_n)
    bands = load_bands((craft.spec, packed), scenario.spec, downwind, loads)
    swings, why_no_swings = _swings(craft, packed, scenario.spec)
    return DrapeAnswer(
        craft=craft,
        scenario=scenario,
        weight_n=packed.whole_mass_kg * STANDARD_GRAVITY_M_S2,
        fabric_weight_n=packed.fabric_mass_kg * STANDARD_GRAVITY_M_S2,
        dry_fabric_kg=tuple(
            drape_mass(drape).mass_kg / drape.fabric.mass_factor for drape in craft.spec.drapes
        ),
        winds=winds,
        bands=bands,
        swings=swings,
        why_no_swings=why_no_swings,
        throttle=_throttle(craft, scenario.spec, watches[0][1], bands),
        calibration=calibration,
        shapes=_shapes(watches, downwind, day.wind_m_s),
        rotors=tuple(rotor.name for rotor in craft.spec.rotors),
        clearance_limit_m=scenario.spec.limits.clearance_m,
        seconds=time.monotonic() - began,
    )


def hover_readings(craft: CraftSpec) -> tuple[Uncertain, Uncertain] | None:
    """Give the hover throttles that a craft file holds, with and without fabric, or None.

    A reading without a spread is taken as good to one point of a hundred.
    """
    given = None if craft.measured is None else craft.measured.hover_throttle
    if given is None:
        return None
    with_fabric, bare = (
        Uncertain(reading.value, reading.plus_minus or READING_SPREAD)
        for reading in (given.with_fabric, given.without_fabric)
    )
    return with_fabric, bare


def _downwind(scenario: ScenarioSpec) -> FloatArray:
    """Give the level unit vector along which the wind blows, earth axes."""
    source = scenario.wind.from_rad
    return np.array([-math.cos(source), -math.sin(source), 0.0])


def _watch_all(packed: PackedCraft, scenario: ScenarioSpec) -> list[tuple[float, FabricWatch]]:
    """Watch the fabric in still air and every wind, the day's among them, each from the last."""
    ratio = height_ratio(scenario)
    day = scenario.wind.mean_m_s * ratio
    start, hold = None, ""
    watches: list[tuple[float, FabricWatch]] = []
    for speed in sorted({*WINDS_M_S, day}):
        flight = steady_wind_flight(packed, scenario, speed / ratio)
        watch = watch_fabric(packed, flight, start, hold=hold)
        if watch.held:
            hold = watch.why_held
        else:
            start = watch.last
        watches.append((speed, watch))
    return watches


def _in_wind(
    hung: HungFabric,
    watch: FabricWatch,
    downwind: FloatArray,
    speed: float,
    scenario: ScenarioSpec,
) -> FabricInWind:
    ratio = height_ratio(scenario)
    each, whole = drape_loads(hung, watch, downwind)
    return FabricInWind(
        wind_m_s=speed,
        forecast_m_s=speed / ratio,
        is_the_day=speed == scenario.wind.mean_m_s * ratio,
        why_held=watch.why_held,
        drapes=each,
        whole=whole,
        thrust_n=watch.whole_thrust_n,
    )


def _swings(
    craft: LoadedCraft, packed: PackedCraft, scenario: ScenarioSpec
) -> tuple[tuple[FabricSwing, ...], str]:
    flight = steady_wind_flight(packed, scenario, 0.0)
    if level_hover(packed, flight)[0].rotor[0].speed_rad_s <= 0.0:
        return (), "the rotors do not turn in hover"
    try:
        trim = find_trim(packed.record, flight, charge=packed.charge, swing_m_s=SWING_M_S)
        return fabric_swings(craft.spec, trim), ""
    except (NoTrim, NotLinear) as problem:
        return (), str(problem)


def _throttle(
    craft: LoadedCraft, scenario: ScenarioSpec, still: FabricWatch, bands: LoadBands
) -> ThrottleOfHover:
    """Give hover throttles as flown; the band by the slope of throttle over thrust between both."""
    packed = pack_craft(without_fabric(craft.spec), day_air(scenario))
    bare = watch_fabric(packed, steady_wind_flight(packed, scenario, 0.0))
    if still.held or bare.held:
        return ThrottleOfHover(
            None if still.held else still.mean_throttle,
            None if bare.held else bare.mean_throttle,
            None,
            None,
        )
    slope = (still.mean_throttle - bare.mean_throttle) / (
        still.whole_thrust_n - bare.whole_thrust_n
    )
    band = bands.download
    return ThrottleOfHover(
        still.mean_throttle,
        bare.mean_throttle,
        still.mean_throttle + slope * (band.low - band.value),
        still.mean_throttle + slope * (band.high - band.value),
    )


def _shapes(
    watches: list[tuple[float, FabricWatch]], downwind: FloatArray, day_m_s: float
) -> tuple[Shape, ...]:
    """Give the mean shape in still air, in the day's wind and in the strongest."""
    right = np.array([-downwind[1], downwind[0], 0.0])
    axes = np.array([downwind, right, [0.0, 0.0, 1.0]])
    wanted = sorted({0.0, day_m_s, watches[-1][0]})

    def mean(places: FloatArray, watch: FabricWatch) -> FloatArray:
        turned: FloatArray = np.mean(places - watch.body_m[:, None, :], axis=0) @ axes.T
        return turned

    return tuple(
        Shape(speed, mean(watch.particle_m, watch), mean(watch.rim_m, watch))
        for speed, watch in watches
        if speed in wanted
    )
