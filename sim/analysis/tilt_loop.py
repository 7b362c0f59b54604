"""The loop broken at the tilt servos: what tilt the rest of the craft asks for when it is tilted.

The step is differentiated with the play of the linkage so wide that no servo moves its rotor. The
tilt is then an input like any other, and the servo that follows it can be anything.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, final

import numpy as np
from numpy.typing import NDArray

from sim.analysis.linear_loop import ClosedLoop
from sim.analysis.linearise import advanced
from sim.analysis.trim import Trim
from sim.params.craft_record import BICOPTER
from sim.params.record import FloatArray

TILT_GROUP: Final = "tilt servo"
_COORDINATES_PER_SERVO: Final = 3
_WIDE_RAD: Final = 1e3
_SHARE: Final = 0.5
AXIS_NUMBER: Final = {"roll": 0, "pitch": 1, "yaw": 2}


@final
@dataclass(frozen=True)
class TiltLoop:
    """One pattern of tilts, and what is asked for in the same pattern.

    Attributes
    ----------
    axis : str
        What the pattern turns: "pitch" both rotors of two alike, "yaw" apart, or a tail's tilt.
    signs : tuple of float
        Of each rotor's tilt; zero where a rotor does not tilt.
    closed : ClosedLoop
        The craft and its loops with the tilts held.
    inject : ndarray, shape (states,)
        Derivative of the next state by the tilt.
    measure, direct : ndarray of shape (states,), float
        Derivative of the tilt command by the state and by the tilt.
    kicked, seen : ndarray, shape (states,)
        The state with attitude and its estimate one radian off about the axis; the attitude in it.
    """

    axis: str
    signs: tuple[float, ...]
    closed: ClosedLoop
    inject: FloatArray
    measure: FloatArray
    direct: float
    kicked: FloatArray
    seen: FloatArray

    def responses(self, frequencies_rad_s: FloatArray) -> NDArray[np.complex128]:
        """Give what command and attitude answer to the tilt, and the command to a kick.

        Parameters
        ----------
        frequencies_rad_s : ndarray, shape (m,)
            [rad/s]

        Returns
        -------
        ndarray, shape (m, 3)
            [-] Command per tilt, attitude per tilt; command over z per attitude at the start.
        """
        rows = np.stack([self.measure, self.seen])
        columns = np.stack([self.inject, self.kicked], axis=1)
        direct = np.array([[self.direct, 0.0], [0.0, 0.0]])
        found = self.closed.response(columns, rows, direct, frequencies_rad_s)
        return np.stack([found[:, 0, 0], found[:, 1, 0], found[:, 0, 1]], axis=1)


def pattern_signs(craft: Any) -> dict[str, tuple[float, ...]]:
    """Give the axis and the signs of each pattern of tilts that the mixer uses for more of it."""
    mixer, signs = craft.mixer, np.zeros(int(craft.rotor_count))
    if mixer.layout == BICOPTER:
        apart = signs.copy()
        signs[[int(mixer.left), int(mixer.right)]] = 1.0
        apart[int(mixer.left)], apart[int(mixer.right)] = -1.0, 1.0
        return {"pitch": tuple(signs), "yaw": tuple(apart)}
    signs[int(mixer.tail)] = -1.0
    return {"yaw": tuple(signs)}


def _held_derivative(trim: Trim) -> tuple[FloatArray, FloatArray]:
    """Give the derivative of the next state, and of the tilt commands, with the tilts held."""
    chart = trim.chart
    crafts = trim.crafts.copy()
    crafts["rotor"]["servo_slop_rad"] = _WIDE_RAD
    steps = np.diag(chart.scales * _SHARE)
    ahead = advanced(crafts, trim.flights, chart.moved(trim.state, steps))
    behind = advanced(crafts, trim.flights, chart.moved(trim.state, -steps))
    centre = advanced(crafts, trim.flights, trim.state)
    widths = 2.0 * _SHARE * chart.scales
    states = (chart.difference(centre, ahead) - chart.difference(centre, behind)) / widths
    apart = ahead["rotor"]["tilt_command_rad"] - behind["rotor"]["tilt_command_rad"]
    commands = apart[:, : int(crafts[0].rotor_count)].T / widths
    return states, commands


def _kick(trim: Trim, axis: int) -> FloatArray:
    """Give the change of the state, per radian, when the craft is turned and knows it."""
    chart = trim.chart
    step = float(chart.scales[chart.attitude + axis])
    turn = np.zeros((chart.size, 1))
    turn[chart.attitude + axis] = step
    turned = chart.moved(trim.state, turn)
    turned["estimate"]["angle_rad"][:, axis] += step
    kick: FloatArray = chart.difference(trim.state, turned)[:, 0] / step
    return kick


def tilt_loops(trim: Trim) -> tuple[TiltLoop, ...]:
    """Break the loop at the tilt servos of a trim, for each pattern of tilts.

    Rotors that tilt together are taken to have servos alike.
    """
    craft, chart = trim.crafts[0], trim.chart
    tilting = [i for i in range(int(craft.rotor_count)) if craft.rotor[i].tilts]
    servos = np.flatnonzero(np.array(chart.groups) == TILT_GROUP)
    tilts = servos[_COORDINATES_PER_SERVO - 1 :: _COORDINATES_PER_SERVO]
    rest = np.setdiff1d(np.arange(chart.size), tilts)
    states, commands = _held_derivative(trim)
    period_s = float(trim.flights[0].step_s) * int(craft.control.period_ticks)
    closed = ClosedLoop(states[np.ix_(rest, rest)], period_s)
    found = []
    for axis, signs in pattern_signs(craft).items():
        pattern = np.array(signs)
        asked = (pattern @ commands) / np.count_nonzero(pattern)
        together = pattern[tilting]
        number = AXIS_NUMBER[axis]
        kick, seen = _kick(trim, number), np.zeros(chart.size)
        seen[chart.attitude + number] = 1.0
        found.append(
            TiltLoop(
                axis=axis,
                signs=signs,
                closed=closed,
                inject=states[np.ix_(rest, tilts)] @ together,
                measure=asked[rest],
                direct=float(asked[tilts] @ together),
                kicked=kick[rest],
                seen=seen[rest],
            )
        )
    return tuple(found)
