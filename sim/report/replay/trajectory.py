"""The history of a flight as compact text: 16-bit steps of each channel, deflated."""

from __future__ import annotations

import base64
import zlib
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from sim.flight.results import Flight

FloatArray = NDArray[np.float64]

CHANNELS: Final = (
    "time",
    "north",
    "east",
    "height",
    "roll",
    "pitch",
    "heading",
    "wind_north",
    "wind_east",
    "wind_up",
    "pack_current",
    "head_roll",
    "head_pitch",
)
ANGLES: Final = frozenset({"roll", "pitch", "heading"})
FABRIC_EVERY: Final = 2
_STEPS: Final = 65_000
_HALF: Final = 32_768
_WHOLE: Final = 65_536


def sixteen_bits(column: FloatArray) -> tuple[NDArray[np.int64], float, float]:
    """Give a column as whole numbers of 16 bits.

    Parameters
    ----------
    column : ndarray, shape (rows,)
        Any finite numbers.

    Returns
    -------
    tuple of ndarray and two floats
        Numbers of -32500 to 32500, and the scale and offset that give the values back within half
        a scale.
    """
    low, high = float(column.min()), float(column.max())
    scale = (high - low) / _STEPS or 1.0
    offset = 0.5 * (low + high)
    return np.rint((column - offset) / scale).astype(np.int64), scale, offset


def deflated(columns: list[NDArray[np.int64]]) -> str:
    """Give columns as text: differences down each column (modulo 2^16), deflated, in base64.

    Parameters
    ----------
    columns : list of ndarray
        Of 16-bit numbers, all of one length.
    """
    steps = [np.diff(column, prepend=0) for column in columns]
    wrapped = [(step + _HALF) % _WHOLE - _HALF for step in steps]
    raw = np.concatenate(wrapped).astype("<i2").tobytes()
    return base64.b64encode(zlib.compress(raw, 9)).decode("ascii")


def away_m(flight: Flight) -> FloatArray:
    """Give how far a craft is along the ground from where the task wants it [m], shape (rows,)."""
    north = flight.channel("north") - flight.channel("target_north")
    east = flight.channel("east") - flight.channel("target_east")
    apart: FloatArray = np.hypot(north, east)
    return apart


def _columns(flight: Flight, rotors: int) -> dict[str, FloatArray]:
    columns: dict[str, FloatArray] = {name: flight.channel(name) for name in CHANNELS}
    for name in ANGLES:
        columns[name] = np.unwrap(columns[name])
    columns["away"] = away_m(flight)
    for rotor in range(rotors):
        columns[f"tilt_{rotor}"] = flight.rotor_channel(rotor, "tilt")
        columns[f"thrust_{rotor}"] = flight.rotor_channel(rotor, "thrust")
    return columns


def trajectory_data(flight: Flight, rotors: int, interval_s: float) -> dict[str, Any]:
    """Give a flight's channels and fabric for the viewer.

    Parameters
    ----------
    flight : Flight
        With its history.
    rotors : int
        How many the craft has.
    interval_s : float
        [s] Between rows of the history.

    Returns
    -------
    dict
        `channels` and `fabric` (places relative to the centre of gravity, earth axes, every second
        row), ready for JSON. Rows that are not finite, at the end of a broken flight, are left out.
    """
    columns = _columns(flight, rotors)
    finite = np.isfinite(np.stack(list(columns.values())))
    rows = max(int(np.cumprod(np.prod(finite, axis=0)).sum()), 1)
    packed = {name: sixteen_bits(np.nan_to_num(values[:rows])) for name, values in columns.items()}
    flags = flight.channel("limits")[:rows].astype(np.int64)
    names = [*packed, "limits"]
    data: dict[str, Any] = {
        "interval_s": interval_s,
        "channels": {
            "names": names,
            "rows": rows,
            "scales": [*(scale for _, scale, _ in packed.values()), 1.0],
            "offsets": [*(offset for _, _, offset in packed.values()), 0.0],
            "packed": deflated([*(column for column, _, _ in packed.values()), flags]),
        },
        "fabric": None,
    }
    particles = flight.fabric_m.shape[1]
    if particles:
        places = flight.fabric_m[:rows:FABRIC_EVERY]
        centre = np.stack([columns["north"], columns["east"], -columns["height"]], axis=1)
        apart = np.nan_to_num(places - centre[:rows:FABRIC_EVERY, None, :])
        scale = float(np.abs(apart).max()) / (_STEPS / 2) or 1.0
        whole_numbers = np.rint(apart / scale).astype(np.int64).reshape(len(apart), -1)
        data["fabric"] = {
            "particles": particles,
            "rows": len(apart),
            "interval_s": FABRIC_EVERY * interval_s,
            "scale": scale,
            "packed": deflated(list(whole_numbers.T)),
        }
    return data
