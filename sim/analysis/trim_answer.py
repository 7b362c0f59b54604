"""Steady flight in a condition: attitude, what each actuator gives, and how the fabric hangs."""

from __future__ import annotations

import math
import time
from dataclasses import dataclass
from typing import Any, final

import numpy as np

from sim.analysis.condition import Condition
from sim.analysis.linear_loop import NEUTRAL_RATE_1_S, continuous_roots
from sim.analysis.linearise import linearise
from sim.analysis.operating_point import observed
from sim.analysis.steady_conditions import packed_for, steady_flight_of
from sim.analysis.trim import Trim, find_trim
from sim.errors import NotLinear
from sim.flight.run import fly
from sim.numerics.quaternion import euler_angles, write_rotation
from sim.pack.craft import PackedCraft
from sim.pack.stand import StandPoint, stand_point
from sim.params.record import FloatArray
from sim.physics.air.atmosphere import AirOfTheDay
from sim.spec.files import LoadedCraft

_LOOKED_AT_S = 0.05


@final
@dataclass(frozen=True)
class RotorAtTrim:
    """One rotor in steady flight.

    Attributes
    ----------
    name : str
    thrust_n, full_thrust_n : float
        [N] Now, and at full command on the test stand with the pack at this charge.
    throttle : float
        [-]
    current_a, current_limit_a : float
        [A] In the motor; 0 stands for no limit.
    speed_rad_s : float
        [rad/s]
    tilt_rad, tilt_travel_rad : float or None
        [rad] None for a rotor that does not tilt.
    """

    name: str
    thrust_n: float
    full_thrust_n: float
    throttle: float
    current_a: float
    current_limit_a: float
    speed_rad_s: float
    tilt_rad: float | None
    tilt_travel_rad: float | None

    @property
    def thrust_share(self) -> float:
        """[-] Of full thrust."""
        return self.thrust_n / self.full_thrust_n

    @property
    def tilt_share(self) -> float | None:
        """[-] Of the travel, without sign."""
        if self.tilt_rad is None or not self.tilt_travel_rad:
            return None
        return abs(self.tilt_rad) / self.tilt_travel_rad

    @property
    def current_share(self) -> float | None:
        """[-] Of the limit."""
        return self.current_a / self.current_limit_a if self.current_limit_a > 0.0 else None


@final
@dataclass(frozen=True)
class FabricAtTrim:
    """How the fabric hangs in steady flight.

    Attributes
    ----------
    lean_rad : float
        [rad] Of the line from the middle of the rims to that of the fabric, from the vertical.
    towards_rad : float
        [rad] Compass direction into which it leans.
    lowest_m : float
        [m] Lowest fabric below the CG.
    clearance_m : float
        [m] Least distance to a rotor disc.
    places_m : ndarray, shape (particles, 3)
        [m] North, east and up of the CG.
    """

    lean_rad: float
    towards_rad: float
    lowest_m: float
    clearance_m: float
    places_m: FloatArray


@final
@dataclass(frozen=True)
class TrimAnswer:
    """A steady flight, read off.

    Attributes
    ----------
    craft : LoadedCraft
    condition : Condition
    trim : Trim
    roll_rad, pitch_rad, heading_rad : float
        [rad] Attitude.
    rotors : tuple of RotorAtTrim
    usable_share : float
        [-] Thrust of all rotors over what the flight controller leaves for climbing.
    bus_v, pack_a, pack_limit_a, pack_w : float
        Volts at the speed controllers, current of the pack and its limit, power.
    fabric : FabricAtTrim or None
    growth_1_s : float or None
        [1/s] Rate of the motion that grows fastest, negative when all die away; None when the step
        has no derivative there.
    why_no_growth : str
        A sentence when it is not known.
    seconds : float
        [s] Time taken.
    """

    craft: LoadedCraft
    condition: Condition
    trim: Trim
    roll_rad: float
    pitch_rad: float
    heading_rad: float
    rotors: tuple[RotorAtTrim, ...]
    usable_share: float
    bus_v: float
    pack_a: float
    pack_limit_a: float
    pack_w: float
    fabric: FabricAtTrim | None
    growth_1_s: float | None
    why_no_growth: str
    seconds: float

    @property
    def grows(self) -> bool:
        """Whether a motion is known to grow."""
        return self.growth_1_s is not None and self.growth_1_s > NEUTRAL_RATE_1_S


def trim_answer(craft: LoadedCraft, air: AirOfTheDay, condition: Condition) -> TrimAnswer:
    """Find the steady flight of a craft and read it off.

    Raises
    ------
    NoTrim
        If there is no steady flight.
    InputFaults
        When no body can have the masses given.
    """
    began = time.monotonic()
    packed = packed_for(craft.spec, air, condition.fabric)
    flight = steady_flight_of(air, condition)
    trim = find_trim(packed.record, flight, charge=condition.charge, swing_m_s=condition.swing_m_s)
    full = stand_point(
        packed.record, flight, np.ones(int(packed.record.rotor_count)), charge=condition.charge
    )
    work = observed(trim)
    rotation = np.empty((3, 3))
    write_rotation(trim.state[0].body.attitude, rotation)
    roll, pitch, heading = euler_angles(rotation)
    rotors = tuple(
        _rotor(craft.spec.rotors[i].name, packed, trim, work, i, full)
        for i in range(int(packed.record.rotor_count))
    )
    reserved = 1.0 - float(packed.record.control.reserved)
    usable = sum(r.full_thrust_n for r in rotors) * reserved ** float(
        packed.record.mixer.thrust_exponent
    )
    growth, why = _growth(trim)
    return TrimAnswer(
        craft=craft,
        condition=condition,
        trim=trim,
        roll_rad=float(roll),
        pitch_rad=float(pitch),
        heading_rad=float(heading),
        rotors=rotors,
        usable_share=sum(r.thrust_n for r in rotors) / usable,
        bus_v=float(work.bus_v),
        pack_a=float(work.pack_a),
        pack_limit_a=float(packed.record.battery.current_limit_a),
        pack_w=float(work.bus_v * work.pack_a),
        fabric=_fabric(packed, trim) if int(packed.record.drape.panel_count) else None,
        growth_1_s=growth,
        why_no_growth=why,
        seconds=time.monotonic() - began,
    )


def _rotor(
    name: str, packed: PackedCraft, trim: Trim, work: Any, index: int, full: StandPoint
) -> RotorAtTrim:
    rotor, motion, spot = packed.record.rotor[index], trim.state[0].rotor[index], work.rotor[index]
    tilts = bool(rotor.tilts)
    return RotorAtTrim(
        name=name,
        thrust_n=float(spot.thrust_n),
        full_thrust_n=float(full.thrust_n[index]),
        throttle=float(motion.throttle),
        current_a=float(spot.current_a),
        current_limit_a=float(rotor.current_limit_a),
        speed_rad_s=float(motion.speed_rad_s),
        tilt_rad=float(motion.tilt_rad) if tilts else None,
        tilt_travel_rad=float(rotor.tilt_travel_rad) if tilts else None,
    )


def _growth(trim: Trim) -> tuple[float | None, str]:
    """Give the rate [1/s] of the fastest growing motion, or a sentence why it is not known."""
    try:
        model = linearise(trim.crafts, trim.flights, trim.state, trim.chart)
    except NotLinear as problem:
        return None, str(problem)
    rates = continuous_roots(np.linalg.eigvals(model.a).astype(np.complex128), model.period_s).real
    return float(rates.max()), ""


def _fabric(packed: PackedCraft, trim: Trim) -> FabricAtTrim:
    record, body = packed.record, trim.state[0].body
    count = int(record.drape.panel_count)
    apart = trim.state["particle"]["position_m"][0, :count] - body.position_m
    rotation = np.empty((3, 3))
    write_rotation(body.attitude, rotation)
    rims = record["drape"]["rim"]["place_m"][: int(record.drape.rim_count)] @ rotation.T
    hangs = apart.mean(axis=0) - rims.mean(axis=0)
    flight = trim.flights.copy()
    flight["duration_s"] = _LOOKED_AT_S
    looked = fly(trim.crafts[0], flight[0], trim.state, every_s=_LOOKED_AT_S)
    return FabricAtTrim(
        lean_rad=math.atan2(math.hypot(hangs[0], hangs[1]), hangs[2]),
        towards_rad=math.atan2(hangs[1], hangs[0]) % (2.0 * math.pi),
        lowest_m=float(apart[:, 2].max()),
        clearance_m=float(looked.tally.least_clearance_m),
        places_m=apart * np.array([1.0, 1.0, -1.0]),
    )
