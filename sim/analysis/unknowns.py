"""Question 5, what am I unsure of: each unsure figure moved by its spread, one at a time."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from sim.analysis.check_result import Unknown
from sim.analysis.head import LEAST_LEVER_M, pivots_above_centre_m
from sim.mass.from_spec import mass_properties
from sim.pack.craft import pack_craft
from sim.physics.air.atmosphere import STANDARD_GRAVITY_M_S2, AirOfTheDay
from sim.spec.airframe import CraftSpec
from sim.spec.quantity import Uncertain
from sim.spec.strict import StrictSpec

SHOWN = 8
LEAST_SHARE = 1e-4
MEASUREMENTS: tuple[tuple[str, str], ...] = (
    ("thrust_factor", "pull the craft or one rotor against a scale at full throttle"),
    ("torque_factor", "read amps and rpm of one rotor at full throttle"),
    ("speed_constant", "read rpm and volts of a motor without propeller"),
    ("resistance", "read the pack's volts at rest and at a known current"),
    ("mass", "weigh it"),
    ("areal_density", "weigh a piece of the fabric of known size"),
    ("length", "measure it"),
    ("place", "measure its place, or balance the craft on a string"),
)


def unsure_figures(spec: StrictSpec, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Give the path of every figure with a spread in a spec, the factors of propellers included."""
    for name in type(spec).model_fields:
        value = getattr(spec, name)
        if isinstance(value, Uncertain):
            if value.plus_minus > 0.0:
                yield (*path, name)
        elif isinstance(value, StrictSpec):
            yield from unsure_figures(value, (*path, name))
        elif isinstance(value, tuple):
            for index, item in enumerate(value):
                if isinstance(item, StrictSpec):
                    yield from unsure_figures(item, (*path, name, index))
    for name in ("thrust_factor", "torque_factor"):
        if hasattr(spec, name) and getattr(spec, f"{name}_given") is None:
            yield (*path, f"{name}_given")


def value_at(spec: Any, path: tuple[Any, ...]) -> Uncertain:
    """Give the figure at a path; a propeller factor that was not given has its default."""
    for step in path[:-1]:
        spec = spec[step] if isinstance(step, int) else getattr(spec, step)
    name = path[-1]
    value = getattr(spec, name)
    if value is None:
        value = getattr(spec, name.removesuffix("_given"))
    found: Uncertain = value
    return found


def moved(spec: Any, path: tuple[Any, ...], amount: float) -> Any:
    """Give a copy of a spec with the figure at a path moved by an amount, in SI."""
    step = path[0]
    if len(path) == 1:
        old = value_at(spec, path)
        return spec.model_copy(update={step: Uncertain(old.value + amount, old.plus_minus)})
    if isinstance(step, int):
        changed = moved(spec[step], path[1:], amount)
        return (*spec[:step], changed, *spec[step + 1 :])
    return spec.model_copy(update={step: moved(getattr(spec, step), path[1:], amount)})


def _grouped(craft: CraftSpec) -> dict[tuple[Any, ...], list[tuple[Any, ...]]]:
    """Group figures that err together: the same figure of every rotor of one kind."""
    groups: dict[tuple[Any, ...], list[tuple[Any, ...]]] = {}
    for path in unsure_figures(craft):
        together = path
        if path[0] == "rotors" and "place" not in path:
            together = ("rotors", "every", *path[2:], value_at(craft, path))
        groups.setdefault(together, []).append(path)
    return groups


def _said(craft: CraftSpec, path: tuple[Any, ...]) -> str:
    """Give a path as the builder would say it."""
    words: list[str] = []
    spec: Any = craft
    for step in path:
        spec = spec[step] if isinstance(step, int) else getattr(spec, step)
        if isinstance(step, int):
            words[-1] = getattr(spec, "name", f"{words[-1]} {step + 1}")
        else:
            plain = step.replace("_given", "")
            for unit in ("_kg_m2", "_kg", "_m", "_ohm", "_rad_s_V", "_n_m_s", "_n_m"):
                plain = plain.removesuffix(unit)
            words.append(plain.replace("_", " "))
    return ", ".join(words)


def _measurement(path: tuple[Any, ...]) -> str:
    text = ".".join(str(step) for step in path)
    return next((what for key, what in MEASUREMENTS if key in text), "measure it")


def _figures(craft: CraftSpec, air: AirOfTheDay) -> tuple[float, float]:
    """Give thrust-to-weight at full command [-] and the rotors' height above the CG [m]."""
    packed = pack_craft(craft, air)
    thrust = float(np.sum(packed.full.thrust_n))
    whole = mass_properties(craft, with_drape=True)
    ratio = thrust / (packed.whole_mass_kg * STANDARD_GRAVITY_M_S2)
    return ratio, pivots_above_centre_m(craft, whole)


def unknowns(craft: CraftSpec, air: AirOfTheDay) -> tuple[Unknown, ...]:
    """Move every unsure figure up by its spread and tell what it does; largest share first.

    One at a time and to first order: how unknowns act together is not told. Each is shown with the
    answer it moves most, as a share of what that answer has to spare (thrust-to-weight above 1,
    lever above 3 cm).
    """
    ratio, lever = _figures(craft, air)
    by_tilt = craft.layout == "bicopter"
    found: list[tuple[float, Unknown]] = []
    for together, paths in _grouped(craft).items():
        changed: CraftSpec = craft
        spread = value_at(craft, paths[0])
        for path in paths:
            changed = moved(changed, path, value_at(craft, path).plus_minus)
        new_ratio, new_lever = _figures(changed, air)
        by_ratio = abs(new_ratio - ratio) / max(abs(ratio - 1.0), 0.05)
        by_lever = (
            abs(new_lever - lever) / max(abs(lever - LEAST_LEVER_M), 0.01) if by_tilt else 0.0
        )
        share = max(by_ratio, by_lever)
        if share < LEAST_SHARE:
            continue
        said = _said(craft, paths[0])
        if "every" in together:
            said = "every rotor, " + said.split(", ", 1)[1]
        on_lever = by_lever > by_ratio
        found.append(
            (
                share,
                Unknown(
                    name=said,
                    plus_minus=f"{100.0 * spread.plus_minus / abs(spread.value):.2g} %"
                    if spread.value
                    else f"{1000.0 * spread.plus_minus:.3g} mm",
                    effect_on="rotors above the CG" if on_lever else "thrust-to-weight",
                    effect=1000.0 * (new_lever - lever) if on_lever else new_ratio - ratio,
                    unit="mm" if on_lever else "",
                    measurement=_measurement(paths[0]),
                ),
            )
        )
    found.sort(key=lambda entry: -entry[0])
    return tuple(unknown for _, unknown in found[:SHOWN])
