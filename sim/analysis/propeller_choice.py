"""Other diameters and pitches on the same craft: what each gives, costs and overloads."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Final, NamedTuple, final

import numpy as np

from sim.analysis.power_overload import Load, loads, overloads
from sim.analysis.power_rig import Rig
from sim.analysis.tip_clearance import tip_clearance_m
from sim.pack.craft import rotor_lag_s
from sim.pack.flight import plain_flight
from sim.pack.rotor import propeller_inertia_kg_m2, write_map
from sim.pack.rotor_table import RotorMap
from sim.pack.static_map import static_map
from sim.pack.steady_stand import steady_stand_point
from sim.params.record import FloatArray
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2
from sim.spec.quantity import Uncertain
from sim.spec.rotor import PropellerSpec

INCH_M: Final = 0.0254
_LEAST_SHARE: Final = 0.7
_MOST_SHARE: Final = 1.4
_SMALL_INCH: Final = 8.0
_PITCH_STEP_INCH: Final = 0.5
_LEAST_PITCH: Final = 0.28
_MOST_PITCH: Final = 0.8
_MOST_PITCHES: Final = 10


class Rules(NamedTuple):
    """What a propeller must keep to.

    Attributes
    ----------
    clearance_m : float
        [m] Least room of the tips.
    most_motor_a : float or None
        [A] A stated limit for each motor; the motors' own when None.
    """

    clearance_m: float
    most_motor_a: float | None = None


@final
@dataclass(frozen=True)
class PropellerOption:
    """A propeller on the craft.

    Attributes
    ----------
    diameter_m, pitch_m : float
        [m] Of the first rotor; the others change in the same proportion.
    usable_n, needed_n : float
        [N] Thrust at the throttle not kept back if nothing held the currents, and what hover asks
        for with this propeller's own weight.
    hover_w, hover_throttle, endurance_s : float or None
        [W], [-], [s] None when full throttle does not hold the craft.
    full_motor_a, full_pack_a : float
        [A] At full throttle, if nothing held the current.
    tip_speed_m_s : float
        [m/s] At full throttle.
    clearance_m : float
        [m] Least room of the tips.
    lag_s : float
        [s] Time constant of rotor speed at full throttle, of the slowest rotor.
    loads : tuple of Load
        Currents at full throttle against their limits.
    present : bool
        Whether it is the propeller of the craft file.
    """

    diameter_m: float
    pitch_m: float
    usable_n: float
    needed_n: float
    hover_w: float | None
    hover_throttle: float | None
    endurance_s: float | None
    full_motor_a: float
    full_pack_a: float
    tip_speed_m_s: float
    clearance_m: float
    lag_s: float
    loads: tuple[Load, ...]
    present: bool

    @property
    def margin(self) -> float:
        """Usable thrust over what hover asks for, less one [-]."""
        return self.usable_n / self.needed_n - 1.0

    @property
    def overloaded(self) -> tuple[Load, ...]:
        """Loads that pass their limit."""
        return overloads(self.loads)

    def fits(self, rules: Rules) -> bool:
        """Tell whether it has the room and lifts."""
        lifts = self.hover_w is not None and self.usable_n >= self.needed_n
        return lifts and self.clearance_m >= rules.clearance_m

    def keeps(self, rules: Rules) -> bool:
        """Tell whether it fits and overloads nothing that has a known limit."""
        return self.fits(rules) and not self.overloaded


@final
@dataclass(frozen=True)
class PropellerChoice:
    """The sweep.

    Attributes
    ----------
    rules : Rules
    present : PropellerOption
    options : tuple of PropellerOption
        All that were tried, the present one first.
    front : tuple of PropellerOption
        Those that keep the rules and that no other beats in both hover watts and margin, by rising
        hover watts.
    beyond : tuple of PropellerOption
        Likewise without the limits of current, those of the front left out: what it would take
        stronger motors, controllers, pack or wiring to have.
    larger : tuple of PropellerOption
        At about the present pitch, by rising diameter, larger than the present one.
    """

    rules: Rules
    present: PropellerOption
    options: tuple[PropellerOption, ...]
    front: tuple[PropellerOption, ...]
    beyond: tuple[PropellerOption, ...]
    larger: tuple[PropellerOption, ...]


def efficient_front(options: tuple[PropellerOption, ...]) -> tuple[PropellerOption, ...]:
    """Give the options that no other beats in both hover watts and margin, by rising watts."""
    front: list[PropellerOption] = []
    known = [option for option in options if option.hover_w is not None]
    for option in sorted(known, key=lambda one: (one.hover_w or 0.0, -one.margin)):
        if not front or option.margin > front[-1].margin:
            front.append(option)
    return tuple(front)


def _sizes(spec: PropellerSpec) -> list[tuple[float, float]]:
    """Give diameters and pitches [m] that are sold: whole inches (half below 8), pitch by halves.

    Common practice, no source.
    """
    inches = spec.diameter_m / INCH_M
    step = 1.0 if inches >= _SMALL_INCH else 0.5
    low, high = math.ceil(_LEAST_SHARE * inches / step), math.floor(_MOST_SHARE * inches / step)
    sizes: list[tuple[float, float]] = []
    for diameter in (step * k for k in range(low, high + 1)):
        first = math.ceil(_LEAST_PITCH * diameter / _PITCH_STEP_INCH)
        last = math.floor(_MOST_PITCH * diameter / _PITCH_STEP_INCH)
        stride = max(1, math.ceil((last - first + 1) / _MOST_PITCHES))
        sizes += [
            (diameter * INCH_M, _PITCH_STEP_INCH * k * INCH_M)
            for k in range(first, last + 1, stride)
        ]
    return sizes


def _resized(spec: PropellerSpec, diameter: float, pitch: float) -> PropellerSpec:
    """Give a propeller of the same outline, in proportions of diameter and pitch [-], unmeasured.

    Its mass goes with the cube of the diameter (similar blades).
    """
    mass = Uncertain(spec.mass_kg.value * diameter**3, spec.mass_kg.plus_minus * diameter**3)
    return spec.model_copy(
        update={
            "diameter_m": spec.diameter_m * diameter,
            "pitch_m": spec.pitch_m * pitch,
            "mass_kg": mass,
            "twist": None,
            "table": None,
            "measured_thrust": None,
        }
    )


class _Sweep:
    """The craft with other propellers, one after the other."""

    def __init__(self, rig: Rig, hover_n: FloatArray, download_n: float, rules: Rules) -> None:
        self.rig = rig
        self.hover_n = hover_n
        self.download_n = download_n
        self.rules = rules
        self.flight: Any = plain_flight(rig.packed.air)[0]
        self.each_n = rig.packed.whole_mass_kg * STANDARD_GRAVITY_M_S2 / rig.count
        self.indices = [int(rig.packed.record.rotor[i].map_index) for i in range(rig.count)]
        self.calibration = {index: self._calibration(index) for index in sorted(set(self.indices))}

    def _static(self, spec: PropellerSpec) -> RotorMap:
        air = self.rig.packed.air
        return static_map(spec, self.each_n, air.density_kg_m3, air.viscosity_pa_s)

    def _calibration(self, index: int) -> tuple[float, float]:
        """Give what measurement or twist of the present propeller make of the plain estimate [-].

        Other propellers are taken to differ from their estimate as much as the present one does.
        """
        spec = self.rig.craft.rotors[self.indices.index(index)].propeller
        estimate = self._static(_resized(spec, 1.0, 1.0)).static()
        present = self.rig.packed.maps[index].static()
        return present[0] / estimate[0], present[1] / estimate[1]

    def option(self, diameter: float, pitch: float, *, present: bool = False) -> PropellerOption:
        """Try propellers changed in proportions [-] of diameter and pitch."""
        rig = self.rig
        specs = [_resized(rotor.propeller, diameter, pitch) for rotor in rig.craft.rotors]
        records = rig.packed.records.copy()
        for index, (thrust, torque) in self.calibration.items():
            chart = self._static(specs[self.indices.index(index)])
            scaled = replace(chart, thrust=chart.thrust * thrust, torque=chart.torque * torque)
            write_map(scaled, records[0].rotor_map[index])
        more_kg = 0.0
        for i, (spec, rotor) in enumerate(zip(specs, rig.craft.rotors, strict=True)):
            record = records[0].rotor[i]
            record.radius_m = 0.5 * spec.diameter_m
            record.inertia_kg_m2 = propeller_inertia_kg_m2(spec) + rotor.motor.bell_inertia_kg_m2
            more_kg += spec.mass_kg.value - rotor.propeller.mass_kg.value
        changed = Rig(rig.craft, replace(rig.packed, records=records)).without_current_limits()
        unheld = changed.at_throttle("full", 1.0)
        weight = (rig.packed.whole_mass_kg + more_kg) * STANDARD_GRAVITY_M_S2
        download = max(self.download_n, 0.0)
        needed = weight + download
        present_n = rig.packed.whole_mass_kg * STANDARD_GRAVITY_M_S2 + download
        usable = changed.at_throttle("usable", rig.usable_throttle)
        hover = changed.at_thrust("hover", self.hover_n * needed / present_n)
        ones = np.ones(rig.count)
        full = steady_stand_point(changed.packed.record, self.flight, ones, charge=rig.charge)
        return PropellerOption(
            diameter_m=specs[0].diameter_m,
            pitch_m=specs[0].pitch_m,
            usable_n=usable.thrust_n,
            needed_n=needed,
            hover_w=None if hover is None else hover.pack_w,
            hover_throttle=None if hover is None else hover.throttle,
            endurance_s=None if hover is None else changed.endurance(hover).seconds,
            full_motor_a=unheld.most_motor_a,
            full_pack_a=unheld.pack_a,
            tip_speed_m_s=max(rotor.tip_speed_m_s for rotor in unheld.rotors),
            clearance_m=tip_clearance_m(rig.craft, tuple(spec.diameter_m for spec in specs)),
            lag_s=max(rotor_lag_s(records[0], i, full, 1.0) for i in range(rig.count)),
            loads=loads(unheld, rig.craft.battery, self.rules.most_motor_a),
            present=present,
        )


def propeller_choice(
    rig: Rig, hover_n: FloatArray, download_n: float, rules: Rules
) -> PropellerChoice:
    """Sweep diameter and pitch on the same motors, controllers and pack.

    The download of the fabric is kept in newtons: far down, the wake's dynamic pressure is the disc
    loading, so that a larger disc blows more gently over a wider part of the fabric.

    Parameters
    ----------
    rig : Rig
    hover_n : ndarray, shape (rotors,)
        [N] Thrust of each rotor in hover, which gives their shares.
    download_n : float
        [N] Of the fabric in hover.
    rules : Rules
    """
    sweep = _Sweep(rig, hover_n, download_n, rules)
    spec = rig.craft.rotors[0].propeller
    present = sweep.option(1.0, 1.0, present=True)
    tried = [
        sweep.option(diameter / spec.diameter_m, pitch / spec.pitch_m)
        for diameter, pitch in _sizes(spec)
        if not (math.isclose(diameter, spec.diameter_m) and math.isclose(pitch, spec.pitch_m))
    ]
    options = (present, *tried)
    front = efficient_front(tuple(option for option in options if option.keeps(rules)))
    anyhow = efficient_front(tuple(option for option in options if option.fits(rules)))
    larger: dict[float, PropellerOption] = {}
    for option in tried:
        if option.diameter_m <= present.diameter_m:
            continue
        before = larger.get(option.diameter_m)
        if before is None or abs(option.pitch_m - present.pitch_m) < abs(
            before.pitch_m - present.pitch_m
        ):
            larger[option.diameter_m] = option
    by_size = tuple(larger[diameter] for diameter in sorted(larger))
    beyond = tuple(option for option in anyhow if option not in front)
    return PropellerChoice(rules, present, options, front, beyond, by_size)
