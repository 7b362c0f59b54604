"""How a class of annotated fields becomes a record type that compiled code reads by name.

A field is declared once: its annotation types the compiled code for the type checker, and its
`Quantity` gives unit, meaning and shape. The `numpy.record` type (not a plain structured type)
keeps attribute access alive when the compiler is off.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Protocol, TypeVar, get_args, get_origin, get_type_hints

import numpy as np
from numpy.typing import NDArray

Item_co = TypeVar("Item_co", covariant=True)


class Grid(Protocol[Item_co]):
    """A two-dimensional array of records."""

    def __getitem__(self, index: tuple[int, int]) -> Item_co:
        """Give the record in a row and column."""
        ...


CACHE_LINE = 64
FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


@dataclass(frozen=True)
class Quantity:
    """What a field of a record holds.

    Attributes
    ----------
    unit : str
        SI unit, "-" for a pure number.
    meaning : str
        One phrase, with the frame where it matters.
    shape : tuple of int
        Empty for a scalar.
    """

    unit: str
    meaning: str
    shape: tuple[int, ...] = ()


def record_type(declaration: type) -> np.dtype[Any]:
    """Give the `numpy.record` type of a class of annotated fields.

    Raises
    ------
    TypeError
        If a field is not float, int, an array of these, or another such class.
    """
    columns: list[Any] = []
    for name, hint in get_type_hints(declaration, include_extras=True).items():
        base, quantity = get_args(hint)[:2]
        if base is float or base == FloatArray:
            scalar: Any = np.float64
        elif base is int or base == IntArray:
            scalar = np.int64
        elif get_origin(base) in (list, Grid):
            scalar = record_type(get_args(base)[0])
        elif isinstance(base, type):
            scalar = record_type(base)
        else:
            message = f"{declaration.__name__}.{name}: {base} has no record type"
            raise TypeError(message)
        if isinstance(scalar, np.dtype) and not scalar.names:
            message = f"{declaration.__name__}.{name}: {base} declares no fields"
            raise TypeError(message)
        columns.append((name, scalar, quantity.shape) if quantity.shape else (name, scalar))
    return np.dtype((np.record, columns))


def blank_records(kind: np.dtype[Any], count: int) -> Any:
    """Give records of zeros that begin on a cache line, as vector instructions like it."""
    size = count * kind.itemsize
    room = np.zeros(size + CACHE_LINE, dtype=np.uint8)
    first = -room.ctypes.data % CACHE_LINE
    return room[first : first + size].view(kind)


def describe(declaration: type, prefix: str = "") -> list[tuple[str, str, str]]:
    """Give (field path, unit, meaning) of every field, nested ones with a dotted path."""
    rows: list[tuple[str, str, str]] = []
    for name, hint in get_type_hints(declaration, include_extras=True).items():
        base, quantity = get_args(hint)[:2]
        inner = get_args(base)[0] if get_origin(base) in (list, Grid) else base
        rows.append((prefix + name, quantity.unit, quantity.meaning))
        if isinstance(inner, type) and inner not in (float, int):
            rows.extend(describe(inner, f"{prefix}{name}."))
    return rows
