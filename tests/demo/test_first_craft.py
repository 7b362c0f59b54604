"""What `new` writes when every offer is taken flies on a calm day, so that a builder can begin."""

from pathlib import Path

import pytest

from sim.analysis.check import hover_trim, scenario_start
from sim.analysis.lift import lift_answer
from sim.analysis.wind_flights import StudyFlights, Wind
from sim.flight.rows import succeeded
from sim.flight.study import Study
from sim.pack.craft import pack_craft
from sim.pack.flight import day_air
from sim.spec import load_scenario
from sim.spec.first_craft import checked, craft_file_text
from sim.spec.questions import asked

ROOT = Path(__file__).parents[2]
FLIGHTS = 5
# Long enough to be ended by the limit on slow recovery, which is 10 s.
DURATION_S = 20.0


def offers(layout):
    """Give the answers of somebody who takes every offer but for the layout."""
    answers = {"layout": layout}
    while missing := [question for question in asked(answers) if question.key not in answers]:
        answers[missing[0].key] = missing[0].offer(answers)
    return answers


@pytest.mark.parametrize("layout", ["bicopter", "tricopter"])
def test_the_craft_of_all_offers_flies_in_still_air(layout):
    """It lifts, has a steady hover, and five crafts of its spread hold their place."""
    day = load_scenario(ROOT / "scenarios" / "still_air.yaml").spec
    day = day.model_copy(update={"duration_s": DURATION_S})
    craft = checked(craft_file_text(offers(layout))).spec
    packed = pack_craft(craft, day_air(day))
    trim = hover_trim(packed, day)
    assert lift_answer(craft, packed, trim).can_lift
    study = StudyFlights(packed, day, scenario_start(packed, day, trim.state), Study())
    rows = study.rows(Wind(0.0, day.wind.from_rad), FLIGHTS)
    assert succeeded(rows).all()
