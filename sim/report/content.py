"""Everything that a report shows, as data; terminal, page and field card only render it."""

from __future__ import annotations

from sim.analysis.check_result import CheckResult
from sim.report.answer_day import day_section
from sim.report.answer_head import head_section
from sim.report.answer_lift import lift_section
from sim.report.answer_unsure import unsure_section
from sim.report.answer_upright import upright_section
from sim.report.answer_wind import wind_section
from sim.report.cautions import DISCLAIMER
from sim.report.field_card import field_card
from sim.report.number_text import capital, digits
from sim.report.section import Reading, ReportContent
from sim.report.version import version


def report_content(result: CheckResult) -> ReportContent:
    """Put a check into words.

    Parameters
    ----------
    result : CheckResult
        What was found.

    Returns
    -------
    ReportContent
        The six answers in their order, the field card and what goes with them.
    """
    craft, scenario = result.craft, result.scenario
    return ReportContent(
        title=craft.spec.name,
        subtitle=f"{capital(craft.spec.layout)}, {digits(result.mass.mass_kg)} kg, in the scenario"
        f" {scenario.spec.name!r}",
        verdict=capital(result.verdict),
        passes=result.passes,
        warnings=(*craft.warnings, *scenario.warnings),
        sections=(
            lift_section(result),
            upright_section(result),
            head_section(result),
            wind_section(result),
            unsure_section(result),
            day_section(result),
        ),
        card=field_card(result),
        not_modelled=result.not_modelled,
        disclaimer=DISCLAIMER,
        identity=(
            Reading("gustworthy", version()),
            Reading("craft file, SHA-256", craft.text_digest),
            Reading("scenario file, SHA-256", scenario.text_digest),
            Reading("seed", str(scenario.spec.seed)),
        ),
    )
