"""The flow that the README draws is the flow that the import linter holds."""

from __future__ import annotations

import re
import tomllib

import pytest

BESIDE = {"sim/errors", "sim/numerics"}  # at the bottom and beside: not stages of the flow


def stages_of_layers(layers: list[str]) -> list[set[str]]:
    """Give the stages from left to right, as the linter's layers stand from top to bottom."""
    named = (re.findall(r"[\w.]+", layer) for layer in reversed(layers))
    stages = ({name.replace(".", "/") for name in layer} - BESIDE for layer in named)
    return [stage for stage in stages if stage]


def stages_of_line(line: str) -> list[set[str]]:
    """Give the stages of a line such as `sim/spec` -> (`sim/physics` | `controllers`)."""
    parts = (set(re.findall(r"sim/\w+|controllers", part)) for part in line.split("->"))
    return [part for part in parts if part]


@pytest.fixture
def layers(repository):
    rules = tomllib.loads((repository / "pyproject.toml").read_text("utf-8"))
    return rules["tool"]["importlinter"]["contracts"]


def test_readme_draws_the_flow_that_is_enforced(repository, layers):
    lines = (repository / "README.md").read_text("utf-8").splitlines()
    drawn = [line for line in lines if line.count("->") > 5 and "sim/spec" in line]
    assert drawn, "the flow stands in one line of README.md, its stages joined by `->`"
    for line in drawn:
        assert stages_of_line(line) == stages_of_layers(layers[0]["layers"])


def test_both_contracts_list_the_same_stages(layers):
    whole = [stage - {"controllers"} for stage in stages_of_layers(layers[0]["layers"])]
    inside = [re.sub(r"(\w+)", r"sim.\1", layer) for layer in layers[1]["layers"]]
    assert len(whole) > 5
    assert whole == stages_of_layers(inside)


def test_a_swapped_stage_is_seen():
    layers = ["sim.step", "sim.physics | controllers", "sim.params : sim.numerics", "sim.errors"]
    right = "`x.yaml` -> `sim/params` -> (`sim/physics` | `controllers`) -> `sim/step`"
    wrong = "`x.yaml` -> (`sim/physics` | `controllers`) -> `sim/params` -> `sim/step`"
    assert stages_of_line(right) == stages_of_layers(layers)
    assert stages_of_line(wrong) != stages_of_layers(layers)
