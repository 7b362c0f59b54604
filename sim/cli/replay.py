"""The command `replay`: flights in three dimensions on a page, or as a film to share."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from sim.cli.option_values import HIGHEST_FLIGHT, turned_scenario
from sim.cli.reading import DEFAULT_SCENARIO, load_both, refuse_file

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sim.analysis.shown_flights import FlownAgain
    from sim.pack.craft import PackedCraft
    from sim.spec.files import LoadedCraft, LoadedScenario

_FILMS: Final = ("gif", "mp4")


@click.command(short_help="Show flights in three dimensions, as a page or a film.")
@click.argument("craft", type=click.Path(path_type=Path))
@click.option(
    "--scenario",
    type=click.Path(path_type=Path),
    default=None,
    help="Scenario file: day, wind, task and limits.  [default: a breeze by a lake, 3 m/s]",
)
@click.option(
    "--flight",
    type=click.IntRange(0, HIGHEST_FLIGHT),
    default=None,
    help="Number of the one flight to show.  [default: median and worst of twenty]",
)
@click.option("--wind", default=None, help="Mean wind instead of the scenario's, as '4.5 m/s'.")
@click.option(
    "--from", "bearing", default=None, help="Where the wind comes from, as 'west' or '270 deg'."
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=None,
    help="The page.  [default: CRAFT-replay.html]",
)
@click.option("--gif", type=click.Path(path_type=Path), default=None, help="Film of the last one.")
@click.option(
    "--mp4", type=click.Path(path_type=Path), default=None, help="The same; needs ffmpeg."
)
def replay(
    craft: Path,
    scenario: Path | None,
    flight: int | None,
    wind: str | None,
    bearing: str | None,
    out: Path | None,
    gif: Path | None,
    mp4: Path | None,
) -> None:
    """Fly the craft in the file CRAFT and write a page on which its flights can be looked at.

    The page is one file that opens without a network: the craft to scale, its rotors, fabric and
    wind, with what happened and when. A film shows the last of the flights.
    """
    loaded_craft, loaded_scenario = load_both(craft, scenario or DEFAULT_SCENARIO)
    page = out if out is not None else Path(f"{craft.stem}-replay.html")
    films = {kind: path for kind, path in zip(_FILMS, (gif, mp4), strict=True) if path is not None}
    _refuse_targets(page, films)
    loaded_scenario = turned_scenario(loaded_scenario, wind, bearing)

    from sim.cli.progress import showing_progress  # noqa: PLC0415
    from sim.report.files import write_whole  # noqa: PLC0415
    from sim.report.replay.film import write_film  # noqa: PLC0415
    from sim.report.replay.page import ShownFlight, replay_page  # noqa: PLC0415

    with showing_progress() as progress:
        progress("flying", None)
        packed, shown = _flown(loaded_craft, loaded_scenario, flight)
        progress("writing the page", None)
        on_page = [ShownFlight(one.title, one.about, one.flight, one.record) for one in shown]
        write_whole(page, replay_page(loaded_craft.spec, packed, on_page))
        for kind, path in films.items():
            progress(f"drawing the {kind}", None)
            write_film(loaded_craft.spec, packed, shown[-1].flight, path)
    for one in shown:
        click.echo(f"{one.title}: {one.about}")
    click.echo(f"Page: {page}")
    for path in films.values():
        click.echo(f"Film: {path}")


def _refuse_targets(page: Path, films: dict[str, Path]) -> None:
    """Refuse before flying what cannot be written."""
    import shutil  # noqa: PLC0415

    for path in (page, *films.values()):
        refuse_file(path)
    for kind, path in films.items():
        if path.suffix.lower() != f".{kind}":
            message = f"--{kind} writes a file whose name ends in .{kind}, not {path.name!r}"
            raise click.UsageError(message)
    if "mp4" in films and shutil.which("ffmpeg") is None:
        message = (
            "--mp4 needs the program ffmpeg, which is not on this machine; --gif needs nothing"
        )
        raise click.UsageError(message)


def _flown(
    craft: LoadedCraft, scenario: LoadedScenario, number: int | None
) -> tuple[PackedCraft, Sequence[FlownAgain]]:
    """Fly what is to be shown."""
    from sim.analysis.fly_study import start_of_task  # noqa: PLC0415
    from sim.analysis.shown_flights import fly_again, median_and_worst  # noqa: PLC0415

    packed, start = start_of_task(craft, scenario)
    wind = scenario.spec.wind.mean_m_s
    if number is not None:
        return packed, (fly_again(packed, scenario.spec, start, wind, number),)
    return packed, median_and_worst(packed, scenario.spec, start, wind)
