"""The what-if page as HTML."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from sim.report.cautions import DISCLAIMER


def explore_page(
    title: str, sliders: list[dict[str, Any]], key: str, nonce: str, folder: str, suggestion: str
) -> str:
    """Write the page.

    Parameters
    ----------
    title : str
        Name of the craft.
    sliders : list of dict
        Of `sliders_data`.
    key : str
        Secret that every request must bring.
    nonce : str
        That the content security policy allows.
    folder, suggestion : str
        Where a saved file goes, and a name for it.

    Returns
    -------
    str
        The whole page; all text is escaped.
    """
    here = files("sim.report.explore")
    source = here.joinpath("page.html.j2").read_text("utf-8")
    base = files("sim.report").joinpath("page.css").read_text("utf-8")
    data = json.dumps({"sliders": sliders, "key": key}).replace("<", "\\u003c")
    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True)
    return environment.from_string(source).render(
        title=title,
        disclaimer=DISCLAIMER,
        nonce=nonce,
        folder=folder,
        suggestion=suggestion,
        data=Markup(data),
        style=Markup(base + here.joinpath("page.css").read_text("utf-8")),
        script=Markup(here.joinpath("page.js").read_text("utf-8")),
    )
