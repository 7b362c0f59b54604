"""What a scenario leaves out is told with its value, and with its source or that it has none."""

from __future__ import annotations

from sim.spec import scenario_from_bytes
from sim.spec.defaults import defaults_used
from sim.spec.scenario import LimitsSpec

LEAST = "name: Short\nduration: 3 s\n"


def told(text):
    """Give path: (value, meaning) of every default that a scenario relies on."""
    loaded = scenario_from_bytes(text.encode(), "short.yaml")
    return {entry.path: (entry.value, entry.meaning) for entry in defaults_used(loaded.spec)}


def test_every_limit_is_told_with_its_value_and_where_it_is_from():
    defaults = told(LEAST)
    for name, info in LimitsSpec.model_fields.items():
        value, meaning = defaults[f"limits.{info.alias or name}"]
        assert value[0].isdigit()
        assert any(words in meaning for words in ("no source", "AS94900", "yours to choose"))


def test_a_persons_figures_are_told_when_a_person_flies_and_not_otherwise():
    assert not any(path.startswith("person") for path in told(LEAST))
    defaults = told(LEAST + "pilot: unskilled\nperson: {delay: 0.2 s}\n")
    value, meaning = defaults["person.crossover"]
    assert value == "1.5 rad/s practised, 1 rad/s unskilled"
    assert "no source" in meaning
    assert "person.delay" not in defaults
