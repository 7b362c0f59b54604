"""The command `power`: will it lift, for how long, and where the watts go."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from sim.errors import Fault, InputFaults

if TYPE_CHECKING:
    from sim.physics.air.atmosphere import AirOfTheDay

_DAY_KINDS: Final = ("temperature", "length", "pressure", "share")


@click.command(short_help="Show thrust, watts, volts and endurance, and where the watts go.")
@click.argument("craft", type=click.Path(path_type=Path))
@click.option(
    "--thrust",
    "thrusts",
    multiple=True,
    help="Thrust of all rotors together to run at as well, such as '12 N' or '1.2 kgf'; may be"
    " given more than once.",
)
@click.option(
    "--day",
    default="",
    help="Air, such as '35 degC, 1500 m, 80 %': temperature, elevation or pressure, humidity, in"
    " any order.  [default: standard atmosphere at sea level, 50 %]",
)
@click.option(
    "--propellers", is_flag=True, default=False, help="Try other diameters and pitches as well."
)
@click.option(
    "--clearance",
    default="2 cm",
    show_default=True,
    help="Room that the tips must have, for --propellers.",
)
@click.option(
    "--most-current",
    default="",
    help="Current that each motor may draw, for --propellers.  [default: the motor's own limit]",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=None,
    help="Folder for power.html and power.json; without it nothing is written.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="What is printed: tables for people, or the same as JSON.",
)
@click.pass_context
def power(
    ctx: click.Context,
    craft: Path,
    thrusts: tuple[str, ...],
    day: str,
    clearance: str,
    most_current: str,
    out: Path | None,
    form: str,
    *,
    propellers: bool,
) -> None:
    """Show what motors, propellers and pack of the craft in the file CRAFT give and take.

    At hover, at full throttle, at the throttle that levelling leaves, and at thrusts of your
    choice; with tired packs and on a hot, high and humid day; every watt from the cells to the air.
    """
    # The matrices of a hover trim are so small that sharing them out costs more than it saves.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from sim.cli.reading import refuse_folder  # noqa: PLC0415
    from sim.spec.files import load_craft  # noqa: PLC0415

    wanted = tuple((text.strip(), _read("--thrust", text, "force")) for text in thrusts)
    room = _read("--clearance", clearance, "length")
    most = _read("--most-current", most_current, "current") if most_current else None
    air = _air(day)
    loaded = load_craft(craft)
    if out is not None:
        refuse_folder(out)

    from sim.analysis.power_answer import power_answer  # noqa: PLC0415
    from sim.analysis.propeller_choice import Rules  # noqa: PLC0415

    rules = Rules(room, most) if propellers else None
    answer = power_answer(loaded, air, thrusts_n=wanted, rules=rules)
    if out is not None:
        from sim.report.power_files import write_power_files  # noqa: PLC0415

        for path in write_power_files(answer, out):
            click.echo(f"Written: {path}", err=True)
    if form == "json":
        from sim.report.as_json import json_text  # noqa: PLC0415
        from sim.report.power_data import power_data  # noqa: PLC0415

        click.echo(json_text(power_data(answer)), nl=False)
    else:
        from sim.report.power_text import power_text  # noqa: PLC0415
        from sim.report.terminal import make_console  # noqa: PLC0415

        click.echo(power_text(answer, make_console(sys.stdout)), nl=False)
    click.echo(f"Computed in {answer.seconds:.1f} s.", err=True)
    ctx.exit(0 if answer.passes else 1)


def _fault(option: str, words: str) -> InputFaults:
    return InputFaults((Fault(option, 0, 0, words),))


def _read(option: str, text: str, kind: str) -> float:
    """Give the SI value of an option that must be above zero."""
    from sim.spec.units import UnitError, parse_quantity  # noqa: PLC0415

    try:
        value = parse_quantity(text, kind)
    except UnitError as problem:
        raise _fault(option, str(problem)) from problem
    if value <= 0.0:
        raise _fault(option, f"must be more than zero, got '{text}'")
    return value


def _air(day: str) -> AirOfTheDay:
    """Give the air of a day written as quantities, each known by its unit."""
    from pydantic import ValidationError  # noqa: PLC0415

    from sim.physics.air.atmosphere import air_of_the_day  # noqa: PLC0415
    from sim.spec.scenario import DaySpec  # noqa: PLC0415
    from sim.spec.units import UnitError, parse_quantity  # noqa: PLC0415

    keys = dict(zip(_DAY_KINDS, ("temperature", "elevation", "pressure", "humidity"), strict=True))
    given: dict[str, str] = {}
    for part in filter(None, (piece.strip() for piece in day.split(","))):
        for kind in _DAY_KINDS:
            try:
                parse_quantity(part, kind)
            except UnitError:
                continue
            if keys[kind] in given:
                raise _fault("--day", f"{keys[kind]} is given twice: '{part}'")
            given[keys[kind]] = part
            break
        else:
            words = "is no temperature, elevation, pressure or humidity, such as '35 degC'"
            raise _fault("--day", f"'{part}' {words}")
    if "elevation" in given and "pressure" in given:
        raise _fault("--day", "give either elevation or pressure, not both")
    try:
        spec = DaySpec.model_validate(given)
    except ValidationError as problem:
        words = "; ".join(
            f"{'.'.join(str(key) for key in error['loc'])} {error['msg']}"
            for error in problem.errors(include_url=False, include_context=False)
        )
        raise _fault("--day", words) from problem
    return air_of_the_day(spec.temperature_k, spec.pressure_pa, spec.elevation_m, spec.humidity)
