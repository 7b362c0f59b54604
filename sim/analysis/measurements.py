"""How each kind of unsure figure is measured at home, and how sure it is afterwards."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, final

from sim.spec.unsure import UnsureFigure


@final
@dataclass(frozen=True)
class Measurement:
    """A way to settle a figure.

    Attributes
    ----------
    words : str
        What to do, as an order.
    share : float
        [-] What it leaves unsure, about two standard deviations, as a share of the value.
    least : float
        In the SI unit of the figure: it leaves no less than this unsure.
    """

    words: str
    share: float
    least: float = 0.0

    def leaves(self, value: float) -> float:
        """Give what the measurement leaves unsure of a value, in its unit."""
        return max(self.share * abs(value), self.least)


# What ordinary instruments and some care reach; common practice, no source. The first entry all of
# whose words stand in the path of a figure is taken.
_BY_WORDS: Final[tuple[tuple[tuple[str, ...], Measurement], ...]] = (
    (
        ("thrust_factor",),
        Measurement("pull the craft or one rotor against a scale at full throttle", 0.03),
    ),
    (("torque_factor",), Measurement("read amps and rpm of one rotor at full throttle", 0.03)),
    (
        ("speed_constant",),
        Measurement("read rpm and volts of a motor without propeller", 0.015),
    ),
    (
        ("motor", "resistance"),
        Measurement("pass a known current through two leads of the motor and read the volts", 0.05),
    ),
    (
        ("wiring_resistance",),
        Measurement(
            "read the volts at the pack and at the speed controllers at a known current", 0.1
        ),
    ),
    (
        ("resistance",),
        Measurement("read the pack's volts at rest and at a known current", 0.1),
    ),
    (("period",), Measurement("time twenty swings", 0.005)),
    (("inertia",), Measurement("swing the craft on two strings and time twenty swings", 0.02)),
    (("mass",), Measurement("weigh it", 0.002, 0.001)),
    (("areal_density",), Measurement("weigh a piece of the fabric of known size", 0.02)),
    (
        ("bending_length",),
        Measurement(
            "push a strip of the fabric over a table's edge until it hangs at 41.5"
            " degrees; half of what hangs over is its bending length",
            0.05,
        ),
    ),
    (("air_factor",), Measurement("read the hover throttle with the fabric on and off", 0.1)),
    (
        ("neck", "stiffness"),
        Measurement("hang a known weight sideways on the head and read how far it leans", 0.05),
    ),
    (
        ("neck", "damping"),
        Measurement("let the head swing and count the swings until half is left", 0.15),
    ),
    (
        ("place",),
        Measurement("measure its place, or balance the craft on a string", 0.0, 0.002),
    ),
    (
        ("centre",),
        Measurement("balance the craft on a string", 0.0, 0.002),
    ),
    (("length",), Measurement("measure it", 0.005, 0.002)),
    (("delay",), Measurement("read it from a log of the flight controller", 0.1)),
)
_OTHERWISE: Final = Measurement("measure it", 0.02)


def measurement_of(figure: UnsureFigure) -> Measurement:
    """Give how a figure is measured.

    Parameters
    ----------
    figure : UnsureFigure

    Returns
    -------
    Measurement
        By the words of its path.
    """
    path = ".".join(str(step) for step in figure.paths[0])
    found = (way for words, way in _BY_WORDS if all(word in path for word in words))
    return next(found, _OTHERWISE)
