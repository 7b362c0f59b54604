"""Options that say for which wind, pack, fabric and height a steady flight is wanted."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Final, cast

import click

from sim.errors import Fault, InputFaults

if TYPE_CHECKING:
    from sim.analysis.condition import Condition, Fabric
    from sim.spec.airframe import CraftSpec

SIDES: Final = (("ahead", 0.0), ("right", 0.25), ("behind", 0.5), ("left", 0.75))
"""Turns clockwise from the nose."""


def condition_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options of a condition."""
    for option in reversed(
        (
            click.option(
                "--wind", default="0 m/s", show_default=True, help="Mean wind at flight height."
            ),
            click.option(
                "--from",
                "side",
                default="ahead",
                show_default=True,
                help="Where it comes from: ahead, right, behind, left, or an angle clockwise from"
                " the nose such as '45 deg'.",
            ),
            click.option("--height", default="2 m", show_default=True, help="Of the craft."),
            click.option(
                "--charge", default="", help="Of the pack, such as '30 %'.  [default: as the file]"
            ),
            click.option(
                "--fabric",
                type=click.Choice(["dry", "wet", "none"]),
                default=None,
                help="State of the fabric.  [default: as the file]",
            ),
        )
    ):
        command = option(command)
    return command


def read_condition(
    craft: CraftSpec, *, wind: str, side: str, height: str, charge: str, fabric: str | None
) -> Condition:
    """Read the options; every fault is told at once.

    Parameters
    ----------
    craft : CraftSpec
        Gives what is left out.
    wind, side, height, charge, fabric : str
        As typed.
    """
    import math  # noqa: PLC0415

    from pydantic_core import PydanticCustomError  # noqa: PLC0415

    from sim.analysis.condition import STILL_SWING_M_S, Condition  # noqa: PLC0415
    from sim.analysis.steady_conditions import fabric_of  # noqa: PLC0415
    from sim.spec.quantity import Quantity  # noqa: PLC0415

    turn = 2.0 * math.pi
    kinds = {
        "--wind": (wind, Quantity("speed", least=0.0, most=60.0)),
        "--from": (
            side,
            Quantity(
                "angle",
                least=-turn,
                most=turn,
                words=tuple((word, share * turn) for word, share in SIDES),
            ),
        ),
        "--height": (height, Quantity("length", above=0.0, most=120.0)),
        "--charge": (charge, Quantity("share", above=0.0, most=1.0)),
    }
    faults: list[Fault] = []
    read: dict[str, float] = {}
    for name, (text, kind) in kinds.items():
        if not text and name == "--charge":
            read[name] = craft.battery.charge
            continue
        try:
            value = kind.read(text)
        except PydanticCustomError as problem:
            faults.append(Fault(name, 0, 0, problem.message()))
            continue
        read[name] = float(value) if isinstance(value, float) else value.value
    own = fabric_of(craft)
    if fabric in ("dry", "wet") and own == "none":
        faults.append(Fault("--fabric", 0, 0, f"the craft has no fabric that could be {fabric}"))
    if faults:
        raise InputFaults(tuple(faults))
    return Condition(
        wind_m_s=read["--wind"],
        from_rad=read["--from"],
        charge=read["--charge"],
        fabric=own if fabric is None else cast("Fabric", fabric),
        height_m=read["--height"],
        swing_m_s=STILL_SWING_M_S,
    )
