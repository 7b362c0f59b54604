"""A flight as a film: the craft from behind and from the side, drawn frame by frame."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any, Final

import numpy as np
from matplotlib.animation import FFMpegWriter, PillowWriter
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from numpy.typing import NDArray

from sim.flight.results import Flight
from sim.pack.craft import PackedCraft
from sim.report.replay.shape import craft_shape
from sim.spec.airframe import CraftSpec

FloatArray = NDArray[np.float64]

FRAMES_PER_S: Final = 5
ROWS_PER_S: Final = 50
_INCHES: Final = (7.2, 4.0)
_DOTS: Final = 100
_N_PER_M: Final = 50.0
_INK, _ROTOR, _CLOTH = "#1d2128", "#4477aa", "#228833"
_SIDES: Final = ((1, "east [m]"), (0, "north [m]"))


def rotation(flight: Flight, row: int) -> FloatArray:
    """Give the matrix from body to earth axes at a row of the history, shape (3, 3)."""
    angles = [float(flight.channel(name)[row]) for name in ("roll", "pitch", "heading")]
    (sr, sp, sy), (cr, cp, cy) = np.sin(angles), np.cos(angles)
    return np.array(
        [
            [cy * cp, cy * sp * sr - sy * cr, cy * sp * cr + sy * sr],
            [sy * cp, sy * sp * sr + cy * cr, sy * sp * cr - cy * sr],
            [-sp, cp * sr, cp * cr],
        ]
    )


def _turned(axis: FloatArray, angle: float) -> FloatArray:
    """Give straight up turned about an axis, body axes."""
    up = np.array([0.0, 0.0, -1.0])
    turned: FloatArray = (
        up * np.cos(angle)
        + np.cross(axis, up) * np.sin(angle)
        + axis * (axis @ up) * (1.0 - np.cos(angle))
    )
    return turned


def _draw_frame(axes: Axes, across: int, shape: dict[str, Any], flight: Flight, row: int) -> None:
    """Draw the craft with one earth axis across and height up."""
    place = np.array([float(flight.channel(name)[row]) for name in ("north", "east", "height")])
    place[2] = -place[2]
    turn = rotation(flight, row)

    def at(points: Any) -> tuple[FloatArray, FloatArray]:
        earth = place + np.atleast_2d(points) @ turn.T
        return earth[:, across], -earth[:, 2]

    points = np.array([part["place"] for part in shape["parts"]])
    axes.plot(*at(points), "o", color=_INK, markersize=3)
    around = np.linspace(0.0, 2.0 * np.pi, 25)
    ring = np.stack([np.cos(around), np.sin(around)], axis=1)
    discs, arrows, cloth = [], [], []
    for i, rotor in enumerate(shape["rotors"]):
        tilt = float(flight.rotor_channel(i, "tilt")[row]) if rotor["tilts"] else 0.0
        up = _turned(np.array(rotor["tilt_axis"]), tilt)
        hub = np.array(rotor["pivot"]) + rotor["hub"] * up
        side = np.cross(up, [1.0, 0.0, 0.0])
        side /= np.linalg.norm(side)
        disc = hub + rotor["radius"] * (ring[:, :1] * side + ring[:, 1:] * np.cross(up, side))
        discs.append(np.column_stack(at(disc)))
        thrust = float(flight.rotor_channel(i, "thrust")[row]) / _N_PER_M
        arrows.append(np.column_stack(at(np.stack([hub, hub + thrust * up]))))
    for drape in shape["drapes"]:
        for strip in range(drape["strips"]):
            first = drape["first"] + strip * drape["rows"]
            down = flight.fabric_m[row, first : first + drape["rows"]]
            rim = place + turn @ np.array(drape["rim"][strip])
            line = np.vstack([rim, down])
            cloth.append(np.column_stack([line[:, across], -line[:, 2]]))
    for lines, colour, width in ((discs, _ROTOR, 1.2), (arrows, _ROTOR, 2.2), (cloth, _CLOTH, 1.0)):
        axes.add_collection(LineCollection(lines, colors=colour, linewidths=width))
    reach = 1.6 * shape["extent"]
    axes.set_xlim(place[across] - reach, place[across] + reach)
    axes.set_ylim(-place[2] - reach, -place[2] + reach)
    axes.axhline(0.0, color=_INK, linewidth=1.0)
    axes.set_aspect("equal")


def draw_frame(figure: Figure, shape: dict[str, Any], flight: Flight, row: int) -> None:
    """Draw one moment of a flight into a figure.

    Parameters
    ----------
    figure : Figure
        Cleared first.
    shape : dict
        Of `craft_shape`.
    flight : Flight
        With its history.
    row : int
        Of the history.
    """
    figure.clear()
    left, right = figure.subplots(1, 2, sharey=True)
    figure.subplots_adjust(left=0.09, right=0.98, bottom=0.14, top=0.9, wspace=0.06)
    for axes, (across, label) in zip((left, right), _SIDES, strict=True):
        _draw_frame(axes, across, shape, flight, row)
        axes.set_xlabel(label)
        axes.grid(visible=True, linewidth=0.4)
    left.set_ylabel("height [m]")
    wind = np.hypot(flight.channel("wind_north")[row], flight.channel("wind_east")[row])
    time = float(flight.channel("time")[row])
    figure.suptitle(f"{time:.1f} s, wind {float(wind):.1f} m/s (computed flight)", fontsize=10)


def write_film(craft: CraftSpec, packed: PackedCraft, flight: Flight, path: Path) -> None:
    """Write a flight as a GIF or, with ffmpeg, an MP4, five frames a second.

    The file comes into being under its name only once it is whole.

    Parameters
    ----------
    craft, packed : CraftSpec, PackedCraft
        What flew.
    flight : Flight
        With a history of 50 rows a second.
    path : Path
        Ends in `.gif` or `.mp4`.
    """
    shape = craft_shape(craft, packed)
    figure = Figure(figsize=_INCHES, dpi=_DOTS)
    unfinished = path.with_name(f".{path.stem}.{os.getpid()}.part{path.suffix}")
    is_gif = path.suffix.lower() == ".gif"
    writer = PillowWriter(fps=FRAMES_PER_S) if is_gif else FFMpegWriter(fps=FRAMES_PER_S)
    every = ROWS_PER_S // FRAMES_PER_S
    last = int(np.isfinite(flight.history).all(axis=1).cumprod().sum())
    try:
        with writer.saving(figure, str(unfinished), dpi=_DOTS):
            for row in range(0, max(last, 1), every):
                draw_frame(figure, shape, flight, row)
                writer.grab_frame()
        unfinished.replace(path)
    finally:
        unfinished.unlink(missing_ok=True)
