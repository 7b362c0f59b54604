"""The answer of `gustworthy power` as one HTML file that needs nothing else."""

from __future__ import annotations

from typing import Final

from matplotlib.figure import Figure

from sim.analysis.power_answer import PowerAnswer
from sim.report.answer_page import AnswerPage, DrawnPicture, answer_page
from sim.report.figure_power_curves import draw_power_curves
from sim.report.figure_power_flow import draw_power_flow, flow_words
from sim.report.figure_propellers import draw_propellers
from sim.report.number_text import fixed, percent
from sim.report.power_content import (
    power_assumptions,
    power_findings,
    power_subtitle,
    power_verdict,
)
from sim.report.power_tables import all_tables
from sim.report.power_text import readings_table
from sim.report.section import Picture

_POWER_PATHS: Final = ("battery", "every_rotor", "rotors", "electronics", "controller.reserved")


def _draw_curves(answer: PowerAnswer) -> Figure:
    reserved = answer.craft.spec.controller.reserved
    return draw_power_curves(answer.curve, answer.main.hover, answer.needed_n, reserved)


def _pictures(answer: PowerAnswer) -> list[DrawnPicture]:
    """Give each picture and how it is drawn."""
    main, propellers = answer.main, answer.propellers
    reserved = percent(answer.craft.spec.controller.reserved)
    found: list[DrawnPicture] = []
    if main.hover is not None:
        flow = main.hover.flow
        words = Picture("flow_hover", "Where the watts go in hover", flow_words(flow))
        found.append((words, lambda: draw_power_flow(flow)))
    full = main.full.flow
    words = Picture("flow_full", "Where the watts go at full throttle", flow_words(full))
    found.append((words, lambda: draw_power_flow(full)))
    said = (
        f"Levelling keeps {reserved} % of the throttle back (shaded); it takes"
        f" {fixed(main.full.thrust_n - main.usable.thrust_n, 1)} N and"
        f" {fixed(main.full.pack_w - main.usable.pack_w, 0)} W off the full throttle."
    )
    words = Picture("curves", "Thrust and electric power over throttle", said)
    found.append((words, lambda: _draw_curves(answer)))
    if propellers is not None:
        said = (
            f"{len(propellers.options)} propellers on the same motors and pack; the line joins"
            " those that no other beats within the limits, the dotted one goes on where something"
            " is overloaded."
        )
        words = Picture("propellers", "Other propellers", said)
        found.append((words, lambda: draw_propellers(propellers)))
    return found


def power_page(answer: PowerAnswer) -> str:
    """Write the page.

    Parameters
    ----------
    answer : PowerAnswer

    Returns
    -------
    str
        The whole file.
    """
    return answer_page(
        AnswerPage(
            command="power",
            title=answer.craft.spec.name,
            subtitle=power_subtitle(answer),
            verdict=power_verdict(answer),
            passes=answer.passes,
            warnings=answer.craft.warnings,
            findings=power_findings(answer),
            assumptions=power_assumptions(answer),
            tables=(readings_table(answer), *all_tables(answer)),
            pictures=_pictures(answer),
            defaults=[d for d in answer.craft.defaults if d.path.startswith(_POWER_PATHS)],
        )
    )
