"""The command `explore`: a page on this machine with sliders, computed as they move."""

from __future__ import annotations

import secrets
import socket
from pathlib import Path

import click

from sim.cli.reading import DEFAULT_SCENARIO, load_both, refuse_folder


@click.command(short_help="Move figures of a craft on a page and see what changes.")
@click.argument("craft", type=click.Path(path_type=Path))
@click.option(
    "--scenario",
    type=click.Path(path_type=Path),
    default=None,
    help="Scenario file: day, wind, task and limits.  [default: a breeze by a lake, 3 m/s]",
)
@click.option(
    "--save-in",
    "folder",
    type=click.Path(path_type=Path),
    default=Path(),
    help="Folder for files saved from the page.  [default: this one]",
)
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=0,
    help="Port on this machine.  [default: a free one]",
)
@click.option("--open", "opens", is_flag=True, help="Open the page in the browser.")
def explore(craft: Path, scenario: Path | None, folder: Path, port: int, opens: bool) -> None:  # noqa: FBT001
    """Serve a page with sliders for the craft in the file CRAFT, until Ctrl-C.

    Lift, margins and authority are computed as the sliders move, in the words of check. Only this
    machine can reach the page, and nothing is written unless you save a craft file from it.
    """
    _, loaded_scenario = load_both(craft, scenario or DEFAULT_SCENARIO)
    refuse_folder(folder)
    if not folder.is_dir():
        message = f"{folder} is no folder"
        raise click.UsageError(message)

    import uvicorn  # noqa: PLC0415

    from sim.analysis.what_if import Explorer  # noqa: PLC0415
    from sim.cli.explore_app import explore_app  # noqa: PLC0415
    from sim.cli.progress import showing_progress  # noqa: PLC0415

    with showing_progress() as progress:
        progress("looking at the craft as it stands", None)
        explorer = Explorer(craft.read_bytes(), craft.name, loaded_scenario)
    key = secrets.token_urlsafe(16)
    listening = socket.socket()
    try:
        listening.bind(("127.0.0.1", port))
    except OSError as problem:
        message = f"port {port} cannot be used: {problem.strerror}"
        raise click.UsageError(message) from problem
    address = f"http://127.0.0.1:{listening.getsockname()[1]}/?key={key}"
    click.echo(f"Open {address}")
    click.echo("Ctrl-C ends it.")
    if opens:
        click.launch(address)
    app = explore_app(explorer, folder.resolve(), key)
    config = uvicorn.Config(app, log_level="warning", lifespan="off", server_header=False)
    uvicorn.Server(config).run(sockets=[listening])
