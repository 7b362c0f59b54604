"""List every default that a craft or scenario file relies on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final, final

from pydantic.fields import FieldInfo

from sim.spec.place import Place
from sim.spec.quantity import Quantity, Uncertain
from sim.spec.strict import StrictSpec, Unlisted
from sim.spec.units import format_quantity


@final
@dataclass(frozen=True)
class DefaultUsed:
    """One value that the builder did not write.

    Attributes
    ----------
    path : str
        Where it would stand, such as `battery.reserve`.
    value : str
        What was taken, with its unit.
    meaning : str
        What that says, or where it comes from.
    """

    path: str
    value: str
    meaning: str


_LEFT_OUT_PLACE: Final = "components of a place that are left out are zero"


def defaults_used(spec: StrictSpec) -> tuple[DefaultUsed, ...]:
    """List the defaults that a spec relies on.

    Parameters
    ----------
    spec : StrictSpec
        A craft file or scenario as read, before anything is merged into it.

    Returns
    -------
    tuple of DefaultUsed
        In the order of the spec; left-out components of places as one entry.
    """
    found = list(_walk(spec, ""))
    places = sum(entry.meaning == _LEFT_OUT_PLACE for entry in found)
    listed = [entry for entry in found if entry.meaning != _LEFT_OUT_PLACE]
    if places:
        listed.append(DefaultUsed(f"place (in {places} components)", "0 m", _LEFT_OUT_PLACE))
    return tuple(listed)


def _walk(spec: StrictSpec, path: str) -> Iterator[DefaultUsed]:
    worked_out = spec.worked_out()
    for name, info in type(spec).model_fields.items():
        value = getattr(spec, name)
        here = f"{path}.{info.alias or name}" if path else (info.alias or name)
        if isinstance(value, StrictSpec):
            if name in spec.without_meaning():
                continue
            yield from _walk(value, here)
        elif isinstance(value, tuple) and name in spec.model_fields_set:
            for number, item in enumerate(value, 1):
                named = str(getattr(item, "name", number))
                # "drape 2.fabric" says enough, "drape.drape 2.fabric" says it twice
                again = named.split(maxsplit=1)[0] == here
                yield from _walk(item, named if again else f"{here}.{named}")
        elif name not in spec.model_fields_set:
            yield from _left_out(spec, name, here, worked_out)


def _left_out(
    spec: StrictSpec, name: str, path: str, worked_out: dict[str, str]
) -> Iterator[DefaultUsed]:
    info = type(spec).model_fields[name]
    if any(isinstance(data, Unlisted) for data in info.metadata):
        return
    if name in spec.without_meaning():
        return
    if isinstance(spec, Place):
        yield DefaultUsed(path, "0 m", _LEFT_OUT_PLACE)
        return
    value = getattr(spec, name)
    text = worked_out.get(name, "worked out") if value is None else default_text(value, info)
    yield DefaultUsed(path, text, spec.origins().get(name, info.description or ""))


def default_text(value: object, info: FieldInfo) -> str:
    """Write a default with its unit.

    Parameters
    ----------
    value : object
        The default, in SI units.
    info : FieldInfo
        The field, which knows the kind of quantity.

    Returns
    -------
    str
        Such as `0.5 deg`.
    """
    kind = _kind(info.metadata) or _kind(getattr(info.annotation, "__metadata__", ()))
    if isinstance(value, Uncertain):
        text = _number(value.value, kind)
        spread = f", plus or minus {_number(value.plus_minus, kind)}" if value.plus_minus else ""
        return text + spread
    if isinstance(value, float):
        return _number(value, kind)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def _number(value: float, kind: str | None) -> str:
    return format_quantity(value, kind) if kind is not None else f"{value:g}"


def _kind(metadata: Any) -> str | None:
    for data in metadata:
        if isinstance(data, Quantity):
            return data.kind
    return None
