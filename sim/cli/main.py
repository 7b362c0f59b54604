"""The command `gustworthy`: what it offers, and how every way it can end becomes an exit status.

Only click and the standard library are imported before a command runs, so that help answers at
once.
"""

from __future__ import annotations

import difflib
import gc
import io
import os
import sys
import traceback
from collections.abc import Sequence
from typing import Final

import click

from sim.cli.authority import authority
from sim.cli.bench import bench
from sim.cli.check import check
from sim.cli.compare import compare
from sim.cli.drape import drape
from sim.cli.explore import explore
from sim.cli.fly import fly
from sim.cli.head import head
from sim.cli.margins import margins
from sim.cli.mass import mass
from sim.cli.new import new
from sim.cli.power import power
from sim.cli.replay import replay
from sim.cli.schema import schema
from sim.cli.spread import spread
from sim.cli.trim import trim
from sim.cli.tune import tune
from sim.cli.windlimit import windlimit
from sim.errors import InputFaults, SimError

PASSES: Final = 0
DOES_NOT_PASS: Final = 1
UNUSABLE_INPUT: Final = 2
TOOL_FAILED: Final = 3
INTERRUPTED: Final = 130
READER_GONE: Final = 141
_SUGGESTION: Final = "Did you mean"
_NEAR: Final = 0.5
_OBJECTS_BETWEEN_SEARCHES: Final = 50_000


class Commands(click.Group):
    """A group that suggests the nearest command for one that does not exist."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command, or say which one was probably meant."""
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            said = error.format_message()
            near = difflib.get_close_matches(args[0], self.list_commands(ctx), 1, _NEAR)
            if not near or _SUGGESTION in said:
                raise
            words = f"{said.rstrip('.')}. {_SUGGESTION} '{near[0]}'?"
            raise click.UsageError(words, ctx) from error


def _show_version(ctx: click.Context, _option: click.Parameter, wanted: bool) -> None:  # noqa: FBT001
    if not wanted or ctx.resilient_parsing:
        return
    from sim.report.version import version  # noqa: PLC0415

    click.echo(f"gustworthy {version()}")
    ctx.exit()


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.option(
    "--version",
    is_flag=True,
    default=False,
    expose_value=False,
    is_eager=True,
    callback=_show_version,
    help="Show the version and exit.",
)
def gustworthy() -> None:
    """Tell whether a home-built two- or three-rotor craft with a head and loose fabric will fly.

    Write one craft file, run `gustworthy check CRAFT.yaml`, and read the six answers.

    \b
    Exit status:
      0    the craft passes
      1    it does not pass
      2    the input cannot be used
      3    gustworthy itself failed
      130  stopped with Ctrl-C
    """  # noqa: D301 - the backspace keeps click from filling the lines


gustworthy.add_command(authority)
gustworthy.add_command(bench)
gustworthy.add_command(check)
gustworthy.add_command(compare)
gustworthy.add_command(drape)
gustworthy.add_command(explore)
gustworthy.add_command(fly)
gustworthy.add_command(head)
gustworthy.add_command(margins)
gustworthy.add_command(mass)
gustworthy.add_command(new)
gustworthy.add_command(power)
gustworthy.add_command(replay)
gustworthy.add_command(schema)
gustworthy.add_command(spread)
gustworthy.add_command(trim)
gustworthy.add_command(tune)
gustworthy.add_command(windlimit)


def run(arguments: Sequence[str]) -> int:
    """Run a command line.

    Parameters
    ----------
    arguments : sequence of str
        What stands behind `gustworthy`.

    Returns
    -------
    int
        The exit status.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    try:
        status = gustworthy.main(
            args=list(arguments), prog_name="gustworthy", standalone_mode=False
        )
        sys.stdout.flush()
    except (KeyboardInterrupt, click.Abort):
        click.echo("stopped", err=True)
        return INTERRUPTED
    except BrokenPipeError:
        # Nobody reads on; keep the interpreter from finding that out once more while it ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return READER_GONE
    except Exception as error:  # noqa: BLE001 - whatever went wrong, it must not look like a verdict
        return _status_of(error)
    return status if isinstance(status, int) else PASSES


def _status_of(error: Exception) -> int:
    """Say what went wrong and give the exit status for it."""
    if isinstance(error, click.UsageError):
        error.show()
        return UNUSABLE_INPUT
    if isinstance(error, InputFaults):
        click.echo(str(error), err=True)
        count = len(error.faults)
        click.echo(f"{count} fault{'s' * (count > 1)}; nothing was computed or written.", err=True)
        return UNUSABLE_INPUT
    if isinstance(error, SimError):
        click.echo(f"gustworthy could not compute this: {error}", err=True)
        return TOOL_FAILED
    if isinstance(error, OSError):
        where = f" {error.filename}" if error.filename else ""
        click.echo(f"gustworthy could not use{where}: {error.strerror or error}", err=True)
        return TOOL_FAILED
    click.echo("".join(traceback.format_exception(error)).rstrip(), err=True)
    click.echo("gustworthy failed; this is a fault of the program, not of the craft.", err=True)
    return TOOL_FAILED


def main() -> None:
    """Run the command line that the process was started with, and end the process."""
    # Importing makes hundreds of thousands of objects that stay; to search them for garbage every
    # few hundred objects takes a tenth of a command's time.
    gc.set_threshold(_OBJECTS_BETWEEN_SEARCHES, 20, 20)
    sys.exit(run(sys.argv[1:]))
