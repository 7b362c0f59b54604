"""Question 6 in words: what to do on the day."""

from __future__ import annotations

from sim.analysis.check_result import CheckResult
from sim.report.cautions import cautions
from sim.report.field_card import field_card
from sim.report.hover_band import hover_band
from sim.report.number_text import percent
from sim.report.section import Section, Standing
from sim.report.used_defaults import used_defaults


def day_section(result: CheckResult) -> Section:
    """Answer the sixth question; its lists stand on the field card.

    Parameters
    ----------
    result : CheckResult
        What was found.

    Returns
    -------
    Section
        The answer as data.
    """
    readings = field_card(result).hover
    return Section(
        key="day",
        question="What do I do on the day?",
        standing=Standing.PLAIN,
        answer=_answer(result),
        readings=readings,
        assumptions=()
        if not readings
        else (
            "Expected figures are those of a steady hover in still air on the scenario's day, pack"
            f" at {percent(result.craft.spec.battery.charge)} %.",
            "Their bands come from the spread of thrust and mass: throttle by half of it, current"
            " by one and a half times.",
        ),
        defaults=used_defaults(result.craft, result.scenario, "day"),
        cautions=cautions(result.craft.spec, result.mass.mass_kg),
    )


def _answer(result: CheckResult) -> str:
    if not result.passes:
        return (
            "Leave the propellers off: mend what the verdict says, check again, and take the new"
            " field card along."
        )
    band = hover_band(result.lift, result.mass)
    shows = ""
    if band is not None:
        shows = (
            f" It should hover at {percent(band.throttle)} % throttle, give or take"
            f" {percent(band.throttle_plus_minus)} %."
        )
    return (
        "Take the field card along, go through its checks before power, hop low, and compare hover"
        f" with its figures before you fly on.{shows}"
    )
