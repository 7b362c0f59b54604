"""Every figure of a craft that carries a spread: its name, where it stands, how far it may go."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final, final

from sim.spec.airframe import CraftSpec
from sim.spec.quantity import Quantity, Uncertain, quantity_within
from sim.spec.strict import StrictSpec

FigurePath = tuple[str | int, ...]
"""Attribute names and places in lists, from the craft down to a figure."""

_READINGS: Final = frozenset({("bench",), ("measured", "hover_throttle")})
_NOT_GIVEN: Final = "_given"
_PAIR: Final = 2


@final
@dataclass(frozen=True)
class UnsureFigure:
    """A figure that carries a spread, in one place of the craft or in several that err together.

    Attributes
    ----------
    name : str
        As the builder would say it, such as "head mass" or "left rotor: propeller thrust factor".
    paths : tuple of FigurePath
        Where it stands; more than one for what rotors of one kind share.
    value, plus_minus : float
        In SI units; the spread is about two standard deviations.
    least, most : float
        The range that a craft file allows.
    kind : str
        What kind of quantity it is: a key of `sim.spec.unit_table.KINDS`.
    """

    name: str
    paths: tuple[FigurePath, ...]
    value: float
    plus_minus: float
    least: float
    most: float
    kind: str

    @property
    def key(self) -> str:
        """The last name on its path, without `_given`; such as `mass_kg`."""
        return str(self.paths[0][-1]).replace(_NOT_GIVEN, "")


def unsure_figures(craft: CraftSpec) -> tuple[UnsureFigure, ...]:
    """Give every figure of a craft that carries a spread, given or estimated.

    Equal propellers, motors, speed controllers and tilts err together: what is unsure of the kind
    is one figure. Readings are no figures of the craft and are left out.

    Parameters
    ----------
    craft : CraftSpec
        As read.

    Returns
    -------
    tuple of UnsureFigure
        In the order of the file.
    """
    together: dict[tuple[Any, ...], list[FigurePath]] = {}
    for path in _paths(craft, ()):
        together.setdefault(_kind_key(craft, path), []).append(path)
    return tuple(_figure(craft, tuple(paths)) for paths in together.values())


def with_figures(
    craft: CraftSpec, figures: Sequence[UnsureFigure], values: Sequence[float]
) -> CraftSpec:
    """Give the craft with its unsure figures replaced by values that are sure.

    Parameters
    ----------
    craft : CraftSpec
        As read.
    figures : sequence of UnsureFigure
        Some or all of `unsure_figures`.
    values : sequence of float
        One for each, in SI units.

    Returns
    -------
    CraftSpec
        A copy; the replaced figures carry no spread any more.
    """
    changed: CraftSpec = craft
    for figure, value in zip(figures, values, strict=True):
        for path in figure.paths:
            changed = _replaced(changed, path, Uncertain(float(value)))
    return changed


def figure_at(craft: CraftSpec, path: FigurePath) -> Uncertain:
    """Give the figure at a path; where the builder gave none, what stands for it.

    Parameters
    ----------
    craft : CraftSpec
        As read.
    path : FigurePath
        One of a figure's paths.

    Returns
    -------
    Uncertain
        In SI units.
    """
    section = _section(craft, path[:-1])
    found: Uncertain = _given_or_estimated(section, str(path[-1]))
    return found


def _given_or_estimated(section: StrictSpec, name: str) -> Any:
    """Give a field's value; for one left out that the section estimates, the estimate."""
    value = getattr(section, name)
    if value is None and _NOT_GIVEN in name:
        value = getattr(section, name.replace(_NOT_GIVEN, ""), None)
    return value


def _paths(section: StrictSpec, above: FigurePath) -> Iterator[FigurePath]:
    for name in type(section).model_fields:
        if (*above, name) in _READINGS:
            continue
        value = _given_or_estimated(section, name)
        if isinstance(value, Uncertain):
            if value.plus_minus > 0.0:
                yield (*above, name)
        elif isinstance(value, StrictSpec):
            yield from _paths(value, (*above, name))
        elif isinstance(value, tuple):
            for index, item in enumerate(value):
                if isinstance(item, StrictSpec):
                    yield from _paths(item, (*above, name, index))


def _kind_key(craft: CraftSpec, path: FigurePath) -> tuple[Any, ...]:
    """Give a key that is the same for a figure of equal propellers, motors and the like."""
    if path[0] != "rotors" or path[_PAIR] == "place":
        return path
    kind = getattr(craft.rotors[int(path[1])], str(path[_PAIR]))
    first = next(i for i, rotor in enumerate(craft.rotors) if getattr(rotor, str(path[2])) == kind)
    return ("rotors", first, *path[_PAIR:])


def _section(craft: CraftSpec, path: FigurePath) -> Any:
    section: Any = craft
    for step in path:
        section = section[step] if isinstance(step, int) else getattr(section, step)
    return section


def _replaced(section: Any, path: FigurePath, value: Uncertain) -> Any:
    step = path[0]
    inner = value if len(path) == 1 else _replaced(_section(section, path[:1]), path[1:], value)
    if isinstance(step, int):
        return (*section[:step], inner, *section[step + 1 :])
    return section.model_copy(update={step: inner})


def _figure(craft: CraftSpec, paths: tuple[FigurePath, ...]) -> UnsureFigure:
    path = paths[0]
    found = figure_at(craft, path)
    quantity = _quantity(type(_section(craft, path[:-1])), str(path[-1]))
    return UnsureFigure(
        name=_name(craft, paths),
        paths=paths,
        value=found.value,
        plus_minus=found.plus_minus,
        least=max(quantity.above, quantity.least),
        most=quantity.most,
        kind=quantity.kind,
    )


def _quantity(model: type[StrictSpec], name: str) -> Quantity:
    """Give what a field's annotation says of its kind and range."""
    field = model.model_fields[name]
    found = quantity_within(field.annotation, *field.metadata)
    return found if found is not None else Quantity("number", least=-math.inf)


def _name(craft: CraftSpec, paths: tuple[FigurePath, ...]) -> str:
    """Name a figure as the builder would."""
    path = paths[0]
    if isinstance(path[1] if len(path) > 1 else None, int):
        owner, rest = _owner(craft, paths), path[_PAIR:]
        sign = " " if path[0] == "drapes" else ": "
        return f"{owner}{sign}{_words(craft, path[:_PAIR], rest)}"
    return f"{_words(craft, (), path)}"


def _owner(craft: CraftSpec, paths: tuple[FigurePath, ...]) -> str:
    """Name what a figure belongs to: a part, a drape, one or more rotors."""
    path = paths[0]
    names = [str(getattr(_section(craft, each[:_PAIR]), "name", path[0])) for each in paths]
    if path[0] != "rotors":
        return names[0]
    if len(names) > 1 and len(names) == len(craft.rotors):
        return "both rotors" if len(names) == _PAIR else "all rotors"
    said = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    return f"{said} rotor{'s' * (len(names) > 1)}"


def _words(craft: CraftSpec, above: FigurePath, rest: FigurePath) -> str:
    """Say a path in the keys of the craft file."""
    words: list[str] = []
    section = _section(craft, above)
    for step in rest:
        if isinstance(step, int):
            words.append(str(getattr(section[step], "name", step + 1)))
            section = section[step]
        else:
            field = type(section).model_fields[step]
            words.append((field.alias or step).replace("_", " "))
            section = getattr(section, step)
    return " ".join(words)
