"""Random crafts with one thing wrong, and what instruments of 2 percent show of them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.analysis.bench_causes import CauseKind, bench_causes
from sim.analysis.bench_fit import Readings
from sim.analysis.bench_model import UNKNOWNS, Condition, Readout, Stand, Wanted, unknown_spreads
from sim.pack.craft import pack_craft
from sim.physics.air.atmosphere import air_of_the_day
from sim.spec import craft_from_bytes

AIR = air_of_the_day(None, None, None, 0.5)
SPREADS = {"volts": 0.02, "amps": 0.02, "watts": 0.02, "thrust": 0.02, "rpm": 0.02}
TEMPLATE = """
name: random
layout: bicopter
parts: [{{name: frame, shape: rod, along: right, length: 60 cm, mass: 500 g, place: {{up: -5 cm}}}}]
every_rotor:
  propeller: {{diameter: {diameter:.3f} in, pitch: {pitch:.3f} in, mass: 9 g,
    thrust_factor: {{value: 1, plus_minus: 6 %}}, torque_factor: {{value: 1, plus_minus: 6 %}}}}
  motor: {{speed_constant: {kv:.2f} rpm/V, resistance: {ohm:.2f} mohm, no_load_current: 0.8 A,
    current_limit: 60 A, mass: 70 g}}
  speed_controller: {{current_limit: 60 A}}
  tilt: {{axis: right, travel: 30 deg,
    servo: {{slew: 0.1 s/60deg, stall_torque: 3 kgf cm, mass: 20 g}}}}
rotors:
  - {{name: left, turns: clockwise, place: {{right: -30 cm}}}}
  - {{name: right, turns: anticlockwise, place: {{right: 30 cm}}}}
battery: {{cells: {cells}, capacity: {capacity:.2f} Ah, mass: 300 g, place: {{up: -15 cm}},
  resistance: {{value: {pack:.2f} mohm, plus_minus: 20 %}},
  wiring_resistance: {{value: {wiring:.2f} mohm, plus_minus: 20 %}}, current_limit: 200 A}}
electronics: {{idle_power: 4 W, mass: 100 g, place: {{}}}}
controller: {{reserved: 0 %}}
"""

MAGNITUDES = {
    CauseKind.WITHHELD: (0.05, 0.2),
    CauseKind.END_POINTS: (0.07, 0.3),
    CauseKind.PACK_SAG: (math.log(2.0), math.log(6.0)),
    CauseKind.WIRING: (0.015, 0.07),
    CauseKind.PROPELLER_LOAD: (0.15, 0.4),
    CauseKind.PROPELLER_THRUST: (-0.4, -0.12),
    CauseKind.SPEED_CONSTANT: (0.08, 0.22),
    CauseKind.MOTOR_RESISTANCE: (math.log(1.7), math.log(4.0)),
    CauseKind.CURRENT_LIMIT: (-0.7, -0.12),
    CauseKind.ONE_END_POINT: (0.08, 0.35),
    CauseKind.ONE_MOTOR: (0.08, 0.28),
    CauseKind.METER: (0.07, 0.18),
}
BOTH_SIGNS = {
    CauseKind.PROPELLER_LOAD,
    CauseKind.SPEED_CONSTANT,
    CauseKind.ONE_MOTOR,
    CauseKind.METER,
}
# What a builder may have read, from little to much: (throttle, motor, straight, quantities).
PROGRAMMES = (
    ((1.0, None, False, ("volts", "amps")),),
    (
        (1.0, None, False, ("amps", "watts")),
        (1.0, 0, False, ("amps", "rpm")),
        (1.0, 1, False, ("amps", "rpm")),
    ),
    ((1.0, None, False, ("volts", "amps", "rpm", "thrust")),),
    (
        (1.0, None, False, ("volts", "amps", "rpm", "thrust")),
        (0.6, None, False, ("amps", "rpm", "thrust")),
        (1.0, None, True, ("amps", "rpm")),
    ),
    (
        (1.0, None, False, ("volts", "volts_at_controllers", "amps", "thrust")),
        (0.6, None, False, ("volts", "amps", "rpm", "thrust")),
        (1.0, None, True, ("amps", "rpm")),
        (1.0, 0, False, ("volts", "amps", "rpm", "thrust")),
        (1.0, 1, False, ("volts", "amps", "rpm", "thrust")),
    ),
)


@dataclass(frozen=True)
class Case:
    """A craft, what is wrong with it, and readings with and without the meters' noise."""

    stand: Stand
    causes: tuple
    truth: object
    noisy: Readings
    exact: Readings


def draw(generator, low, high):
    return float(generator.uniform(low, high))


def random_case(generator) -> Case:
    """Draw a craft, one cause, a programme of readings, and 2 percent of noise (two sigma)."""
    diameter = draw(generator, 7.0, 12.0)
    cells = int(generator.integers(3, 5))
    text = TEMPLATE.format(
        diameter=diameter,
        pitch=diameter * draw(generator, 0.38, 0.6),
        kv=draw(generator, 0.85, 1.15) * 900.0 * (10.0 / diameter) ** 1.5 * 3.5 / cells,
        ohm=draw(generator, 50.0, 110.0),
        cells=cells,
        capacity=draw(generator, 2.5, 6.0),
        pack=draw(generator, 10.0, 24.0),
        wiring=draw(generator, 4.0, 12.0),
    )
    craft = craft_from_bytes(text.encode(), "random").spec
    packed = pack_craft(craft, AIR)
    programme = PROGRAMMES[int(generator.integers(len(PROGRAMMES)))]
    stand = Stand(
        craft,
        packed,
        tuple(Condition(t, m, s, learned_again=False, charge=0.95) for t, m, s, _ in programme),
    )
    wanted = tuple(Wanted(k, q) for k, (_, _, _, names) in enumerate(programme) for q in names)
    causes = bench_causes(
        ("left", "right"), thrust_was_read=any(w.quantity == "thrust" for w in wanted)
    )
    kinds = sorted({c.kind for c in causes}, key=lambda kind: kind.value)
    kind = kinds[int(generator.integers(len(kinds)))]
    among = [c for c in causes if c.kind is kind]
    truth = among[int(generator.integers(len(among)))]
    value = draw(generator, *MAGNITUDES[kind])
    if kind in BOTH_SIGNS and generator.random() < 0.5:
        value = -value
    sigma = unknown_spreads(craft)
    unknown = sigma * np.clip(generator.standard_normal(len(UNKNOWNS)), -2.0, 2.0)
    shown = stand.run(unknown, {(truth.kind, truth.rotor): value}).figures(Readout(wanted))
    spread = 0.5 * np.array([SPREADS.get(w.quantity, 0.02) for w in wanted]) * np.abs(shown)
    noisy = shown + spread * generator.standard_normal(len(shown))
    return Case(
        stand,
        causes,
        truth,
        Readings(Readout(wanted), noisy, spread, sigma, learned_again=False),
        Readings(Readout(wanted), shown, spread, sigma, learned_again=False),
    )
