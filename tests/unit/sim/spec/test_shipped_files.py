"""Every file that is shipped can be used, by the tool and by an editor that knows the schema."""

from __future__ import annotations

import json
import math
import re
from itertools import product
from pathlib import Path

import jsonschema
import pytest
import yaml

from sim.spec import craft_from_bytes, load_craft, load_scenario, scenario_from_bytes
from sim.spec.load import read_document
from sim.spec.schema import craft_schema, scenario_schema, schema_text

ROOT = Path(__file__).parents[4]
CRAFT = sorted((ROOT / "airframes").glob("*.yaml"))
SCENARIOS = sorted((ROOT / "scenarios").glob("*.yaml"))


def example_of(readme):
    """Give the annotated example of a README."""
    (example,) = re.findall(r"```yaml\n(.*?)```", readme.read_text(encoding="utf-8"), re.DOTALL)
    return example


@pytest.mark.parametrize("path", CRAFT, ids=lambda path: path.stem)
def test_shipped_craft_can_be_used_and_suits_the_schema(path):
    loaded = load_craft(path)
    assert loaded.warnings == ()
    plain = read_document(path.read_bytes(), path.name).data
    jsonschema.Draft202012Validator(craft_schema()).validate(plain)


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_shipped_scenario_can_be_used_and_suits_the_schema(path):
    load_scenario(path)
    plain = read_document(path.read_bytes(), path.name).data
    jsonschema.Draft202012Validator(scenario_schema()).validate(plain)


@pytest.mark.parametrize("path", [*CRAFT, *SCENARIOS], ids=lambda path: path.stem)
def test_shipped_file_says_that_it_is_invented_and_means_the_same_to_another_reader(path):
    text = path.read_text(encoding="utf-8")
    assert "nvented" in text.split("\n\n")[0]
    assert read_document(text.encode(), path.name).data == yaml.safe_load(text)


@pytest.mark.parametrize(
    ("shipped", "schema"),
    [
        ("airframes/craft.schema.json", craft_schema),
        ("scenarios/scenario.schema.json", scenario_schema),
    ],
)
def test_shipped_schema_is_the_generated_one(shipped, schema):
    """Write it anew with `gustworthy schema` when this fails."""
    jsonschema.Draft202012Validator.check_schema(schema())
    assert (ROOT / shipped).read_text(encoding="utf-8") == schema_text(schema())
    assert json.loads(schema_text(schema())) == schema()


def test_first_line_of_each_file_names_its_schema():
    for path in CRAFT:
        assert path.read_text(encoding="utf-8").startswith(
            "# yaml-language-server: $schema=craft.schema.json\n"
        )
    for path in SCENARIOS:
        assert path.read_text(encoding="utf-8").startswith(
            "# yaml-language-server: $schema=scenario.schema.json\n"
        )


@pytest.mark.parametrize(
    ("key", "value"),
    [("cells", 4.5), ("cell", 4), ("capacity", "5 kg"), ("capacity", 5), ("mass", "1,2 kg")],
)
def test_schema_refuses_what_the_tool_refuses(key, value):
    plain = yaml.safe_load(CRAFT[0].read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(craft_schema()).validate(plain)
    plain["battery"][key] = value
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(craft_schema()).validate(plain)


def test_example_of_the_craft_readme_can_be_used():
    example = example_of(ROOT / "airframes/README.md")
    assert craft_from_bytes(example.encode(), "README.md").warnings == ()


def test_example_of_the_scenario_readme_can_be_used():
    example = example_of(ROOT / "scenarios/README.md")
    wind = scenario_from_bytes(example.encode(), "README.md").spec.wind
    assert wind.mean_m_s == pytest.approx(9 * 0.44704, rel=1e-15)
    assert wind.from_rad == pytest.approx(math.radians(225), rel=1e-15)


def test_readme_of_the_craft_names_every_key():
    """A key that the schema knows and the README does not say cannot be found by a builder."""
    readme = (ROOT / "airframes/README.md").read_text(encoding="utf-8")
    assert [key for key in keys_of(craft_schema()) if key not in readme] == []


def test_readme_of_the_scenarios_names_every_key():
    readme = (ROOT / "scenarios/README.md").read_text(encoding="utf-8")
    assert [key for key in keys_of(scenario_schema()) if key not in readme] == []


def keys_of(schema):
    sections = [schema, *schema["$defs"].values()]
    return sorted({key for section in sections for key in section["properties"]})


def test_readme_lists_every_shipped_file():
    readme = (ROOT / "airframes/README.md").read_text(encoding="utf-8")
    assert [path.name for path in CRAFT if f"`{path.name}`" not in readme] == []
    readme = (ROOT / "scenarios/README.md").read_text(encoding="utf-8")
    assert [path.name for path in SCENARIOS if f"`{path.name}`" not in readme] == []


def test_skirts_hang_below_and_beside_the_discs():
    """The rim stands inside the inner edges of the discs and below them, as the comments say."""
    for path in CRAFT:
        spec = load_craft(path).spec
        for drape, rotor in product(spec.drapes, spec.rotors):
            forward, right, down = rotor.place.body_m
            inner_edge = math.hypot(forward, right) - rotor.propeller.diameter_m / 2
            assert drape.rim.radius_m < inner_edge
            assert drape.rim.place.body_m[2] > down


@pytest.mark.parametrize(
    ("name", "changed"),
    [
        ("jellyfish_too_heavy", {"parts"}),
        ("jellyfish_unstable_gains", {"controller"}),
        ("jellyfish_head_too_high", {"head", "battery"}),
        ("jellyfish_little_wind", {"parts", "rotors"}),
    ],
)
def test_teaching_example_differs_from_the_good_jellyfish_only_where_it_says(name, changed):
    """One lesson a file: whatever is not marked CHANGED is the craft that passes."""
    path = ROOT / f"airframes/{name}.yaml"
    good, bad = load_craft(ROOT / "airframes/jellyfish_bicopter.yaml").spec, load_craft(path).spec
    sections = set(type(good).model_fields) - {"name", "note"}
    assert {key for key in sections if getattr(good, key) != getattr(bad, key)} == changed
    assert [part for part in good.parts if part not in bad.parts] == []
    assert path.read_text(encoding="utf-8").count("CHANGED") > len(changed)
