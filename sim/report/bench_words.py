"""Bench explanations in a builder's words: parameters, readings and what to do next."""

from __future__ import annotations

import math

from sim.analysis.bench import BenchAnswer, Explained
from sim.analysis.bench_causes import Cause, CauseKind, Form
from sim.analysis.bench_fit import Fit
from sim.analysis.bench_model import Condition
from sim.analysis.next_measurement import NextMeasurement
from sim.spec.unit_table import KINDS

_RPM = KINDS["rotation"].units["rpm"].factor
_QUANTITY = {
    "volts": ("volts at the pack", "V", 1.0),
    "volts_at_controllers": ("volts at the speed controllers", "V", 1.0),
    "amps": ("amps", "A", 1.0),
    "watts": ("watts", "W", 1.0),
    "thrust": ("thrust", "N", 1.0),
    "rpm": ("rpm", "rpm", 1.0 / _RPM),
    "idle_power": ("idle power", "W", 1.0),
}
AS_WRITTEN = "nothing is wrong: the craft is as the file says"


def quantity_text(key: str, value: float) -> str:
    """Give a reading with its unit, such as `26 A`."""
    _, unit, factor = _QUANTITY[key]
    shown = value * factor
    return f"{shown:.0f} {unit}" if key == "rpm" else f"{shown:.4g} {unit}"


def quantity_name(key: str) -> str:
    """Give what an instrument reads, in words."""
    return _QUANTITY[key][0]


def parameter_text(cause: Cause, value: float) -> str:
    """Give the value that a cause needs, in words."""
    if cause.form is Form.OHM:
        return f"{1e3 * value:.3g} mohm more"
    if cause.form is Form.SHARE_LOST:
        return f"{100.0 * value:.1f} % of the command"
    if cause.kind is CauseKind.CURRENT_LIMIT:
        return f"at {100.0 * math.exp(value):.0f} % of the file's full current"
    factor = math.exp(value)
    if cause.kind is CauseKind.PACK_SAG:
        return f"{factor:.2g} times the file's resistance"
    return f"{100.0 * (factor - 1.0):+.0f} %"


def explanation_text(fit: Fit) -> str:
    """Give all causes of an explanation with the values they need."""
    if not fit.causes:
        return AS_WRITTEN
    return " and ".join(
        f"{cause.words} ({parameter_text(cause, value)})"
        for cause, value in zip(fit.causes, fit.values, strict=True)
    )


def condition_text(condition: Condition, answer: BenchAnswer) -> str:
    """Give how a craft is run for a measurement."""
    names = [rotor.name for rotor in answer.craft.rotors]
    who = "all motors" if condition.motor is None else f"'{names[condition.motor]}' alone"
    text = f"{100.0 * condition.throttle:g} % throttle, {who}"
    if condition.straight:
        text += ", the command straight to the speed controllers"
    return text


def measurement_text(item: NextMeasurement, answer: BenchAnswer) -> str:
    """Give what to measure, and what either explanation expects."""
    meter = " with another meter" if item.other_meter else ""
    first = quantity_text(item.quantity, item.first)
    second = quantity_text(item.quantity, item.second)
    return (
        f"{quantity_name(item.quantity)}{meter} at {condition_text(item.condition, answer)}:"
        f" {first} if the first, {second} if the second is true"
        f" ({item.separation:.1f} standard deviations apart)"
    )


def misfit_text(explained: Explained, answer: BenchAnswer) -> str:
    """Give the reading that speaks most against an explanation."""
    wanted = answer.readings.wanted.wanted[explained.worst]
    fit = explained.fit
    return (
        f"{quantity_name(wanted.quantity)} of reading {wanted.point + 1} would be"
        f" {quantity_text(wanted.quantity, float(fit.predicted[explained.worst]))},"
        f" {abs(float(fit.residual[explained.worst])):.1f} standard deviations off"
    )


def implied_text(explained: Explained, answer: BenchAnswer) -> str:
    """Give the volts that an explanation expects where watts over amps give them, if any."""
    wanted = [(w.quantity, w.point) for w in answer.readings.wanted.wanted]
    said = []
    for number, volts in answer.implied_volts:
        watts = explained.fit.predicted[wanted.index(("watts", number - 1))]
        amps = explained.fit.predicted[wanted.index(("amps", number - 1))]
        said.append(f"{watts / amps:.2f} V where watts over amps give {volts:.2f} V")
    return "; ".join(said)
