"""The replay as a piece of a page, and as a page of its own."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Final, final

from jinja2 import DictLoader, Environment, StrictUndefined
from markupsafe import Markup

from sim.flight.results import Flight
from sim.pack.craft import PackedCraft
from sim.report.cautions import DISCLAIMER
from sim.report.replay.events import events
from sim.report.replay.shape import SERIOUS_LIMITS, craft_shape, flag_mask
from sim.report.replay.trajectory import trajectory_data
from sim.spec.airframe import CraftSpec

_FRAGMENT: Final = "replay.html.j2"
_PAGE: Final = "replay_page.html.j2"
_SCRIPT: Final = "viewer.min.js"
INTERVAL_S: Final = 0.02


@final
@dataclass(frozen=True)
class ShownFlight:
    """A flight that can be replayed.

    Attributes
    ----------
    title : str
        A few words for the choice of flights.
    about : str
        Which flight it is, why it was chosen and how it ended.
    flight : Flight
        Its history.
    record : record
        Its flight record.
    """

    title: str
    about: str
    flight: Flight
    record: Any


@cache
def viewer_script() -> str:
    """Give the viewer's script, as it was built."""
    return files("sim.report.replay").joinpath(_SCRIPT).read_text("utf-8")


@cache
def _source(script: str) -> str:
    """Give what allows one script, and no other, in a content security policy."""
    digest = hashlib.sha256(script.encode()).digest()
    return f"'sha256-{base64.b64encode(digest).decode()}'"


def policy(*scripts: str) -> str:
    """Give the content security policy of a page with these scripts: nothing is ever fetched."""
    sources = " ".join(_source(script) for script in scripts)
    return (
        f"default-src 'none'; script-src {sources}; style-src 'unsafe-inline';"
        " img-src data:; base-uri 'none'; form-action 'none'"
    )


def replay_style() -> str:
    """Give the replay's style sheet; colours come from the page's."""
    return files("sim.report.replay").joinpath("replay.css").read_text("utf-8")


def replay_data(
    craft: CraftSpec, packed: PackedCraft, shown: Sequence[ShownFlight]
) -> dict[str, Any]:
    """Give everything that the viewer needs, ready for JSON."""
    serious = flag_mask(SERIOUS_LIMITS)
    flights = [
        {
            "title": one.title,
            "about": one.about,
            "serious_limits": serious,
            "events": [
                {"time_s": round(event.time_s, 3), "words": event.words}
                for event in events(one.flight, one.record, INTERVAL_S)
            ],
            **trajectory_data(one.flight, len(craft.rotors), INTERVAL_S),
        }
        for one in shown
    ]
    return {"craft": craft_shape(craft, packed), "flights": flights}


def _environment() -> Environment:
    folder = files("sim.report.replay")
    names = (_FRAGMENT, _PAGE)
    return Environment(
        loader=DictLoader({name: folder.joinpath(name).read_text("utf-8") for name in names}),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )


def replay_fragment(craft: CraftSpec, packed: PackedCraft, shown: Sequence[ShownFlight]) -> Markup:
    """Write the replay as a piece of a page, without its script and style.

    Parameters
    ----------
    craft, packed : CraftSpec, PackedCraft
        What flew.
    shown : sequence of ShownFlight
        At least one.

    Returns
    -------
    Markup
        HTML; the data stand in it as JSON, in which `<` is written as an escape, so that no name
        can end the element that holds them.
    """
    data = json.dumps(replay_data(craft, packed, shown), allow_nan=False, separators=(",", ":"))
    safe = data.replace("<", "\\u003c").replace("&", "\\u0026")
    return Markup(
        _environment().get_template(_FRAGMENT).render(flights=list(shown), data=Markup(safe))
    )


def replay_page(craft: CraftSpec, packed: PackedCraft, shown: Sequence[ShownFlight]) -> str:
    """Write the replay as a page of its own, which needs nothing else.

    Parameters
    ----------
    craft, packed, shown : as for `replay_fragment`

    Returns
    -------
    str
        The whole file.
    """
    base = files("sim.report").joinpath("page.css").read_text("utf-8")
    return (
        _environment()
        .get_template(_PAGE)
        .render(
            title=craft.name,
            subtitle=f"{len(shown)} flight{'s' * (len(shown) > 1)} as computed",
            disclaimer=DISCLAIMER,
            policy=policy(viewer_script()),
            style=Markup(base + replay_style()),
            script=Markup(viewer_script()),
            fragment=replay_fragment(craft, packed, shown),
        )
    )
