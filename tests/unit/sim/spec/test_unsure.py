"""Unsure figures: every spread of a craft is found once, named, and can be replaced."""

from __future__ import annotations

import math

import pytest

from sim.spec import craft_from_bytes
from sim.spec.quantity import Uncertain
from sim.spec.unsure import figure_at, unsure_figures, with_figures

JELLYFISH = "jellyfish_bicopter"


@pytest.fixture
def spec_of(repository):
    """Give a function from the name of a shipped craft to what its file says."""
    return lambda name, *changes: (
        craft_from_bytes(changed_text(repository, name, changes).encode(), name).spec
    )


def changed_text(repository, name, changes):
    text = (repository / "airframes" / f"{name}.yaml").read_text("utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return text


def by_name(spec):
    figures = unsure_figures(spec)
    assert len({figure.name for figure in figures}) == len(figures)
    return {figure.name: figure for figure in figures}


def test_every_spread_is_found_and_named_as_a_builder_would(spec_of):
    """The file gives eight; both propeller factors and nothing else carry a spread by default."""
    assert set(by_name(spec_of(JELLYFISH))) == {
        "bamboo spar: mass",
        "head mass",
        "battery mass",
        "battery resistance",
        "battery wiring resistance",
        "drape length",
        "drape fabric areal density",
        "both rotors: propeller thrust factor",
        "both rotors: propeller torque factor",
        "both rotors: motor speed constant",
        "both rotors: motor resistance",
    }


def test_a_figure_carries_what_the_file_says_and_allows(spec_of):
    mass = by_name(spec_of(JELLYFISH))["head mass"]
    assert mass.value == 0.45
    assert mass.plus_minus == pytest.approx(0.04)
    assert (mass.least, mass.most, mass.kind) == (0.0, 100.0, "mass")
    assert mass.paths == (("head", "mass_kg"),)
    factor = by_name(spec_of(JELLYFISH))["both rotors: propeller thrust factor"]
    assert (factor.value, factor.plus_minus, factor.most) == (1.0, 0.1, 10.0)
    assert factor.key == "thrust_factor"


def test_a_resistance_that_was_left_out_is_as_unsure_as_its_estimate(spec_of):
    """The pack's resistance by cells and capacity counts as known to one half."""
    spec = spec_of(
        JELLYFISH, ("resistance: {value: 12 mohm, plus_minus: 4 mohm}", "temperature: 25 degC")
    )
    found = by_name(spec)["battery resistance"]
    assert found.plus_minus == pytest.approx(0.5 * found.value)
    assert found.value == pytest.approx(spec.battery.resistance_ohm.value)
    assert with_figures(spec, (found,), (0.02,)).battery.resistance_ohm == Uncertain(0.02)


def test_places_are_named_by_direction(spec_of):
    spec = spec_of(
        JELLYFISH, ("place: {up: -30 cm}", "place: {up: {value: -30 cm, plus_minus: 1 cm}}")
    )
    figure = by_name(spec)["battery place up"]
    assert (figure.least, figure.most) == (-10.0, 10.0)


def test_rotors_of_different_kinds_err_apart(spec_of):
    """The right rotor brings its own propeller; the motors stay of one kind."""
    own = "turns: anticlockwise\n    propeller: {diameter: 15 in, pitch: 5 in, mass: 24 g}"
    names = set(by_name(spec_of(JELLYFISH, ("turns: anticlockwise", own))))
    assert {"left rotor: propeller thrust factor", "right rotor: propeller thrust factor"} <= names
    assert "both rotors: motor resistance" in names


def test_some_of_three_rotors_are_named(spec_of):
    spec = spec_of("jellyfish_tricopter")
    propeller = spec.rotors[0].propeller.model_copy(update={"pitch_m": 0.1})
    first = spec.rotors[0].model_copy(update={"propeller": propeller})
    spec = spec.model_copy(update={"rotors": (first, *spec.rotors[1:])})
    names = [rotor.name for rotor in spec.rotors]
    assert f"{names[0]} rotor: propeller thrust factor" in by_name(spec)
    assert f"{names[1]} and {names[2]} rotors: propeller thrust factor" in by_name(spec)
    assert "all rotors: motor resistance" in by_name(spec)


def test_replacing_makes_a_copy_with_sure_figures(spec_of):
    spec = spec_of(JELLYFISH)
    figures = unsure_figures(spec)
    values = [figure.value + 0.1 * figure.plus_minus for figure in figures]
    changed = with_figures(spec, figures, values)
    assert unsure_figures(changed) == ()
    for figure, value in zip(figures, values, strict=True):
        for path in figure.paths:
            assert figure_at(changed, path) == Uncertain(value)
    assert unsure_figures(spec) == figures
    assert changed.electronics == spec.electronics
    assert changed.rotors[1].propeller.thrust_factor.value == pytest.approx(1.01)


def test_readings_of_the_bench_are_no_figures_of_the_craft(spec_of):
    spec = spec_of("bench_bicopter")
    assert spec.bench is not None
    assert all(figure.paths[0][0] != "bench" for figure in unsure_figures(spec))


def test_every_figure_has_a_range_and_a_kind(spec_of):
    for name in ("jellyfish_tricopter", "heron_tricopter", "bare_bicopter"):
        for figure in unsure_figures(spec_of(name)):
            assert figure.least <= figure.value - figure.plus_minus
            assert math.isfinite(figure.most)
            assert figure.kind != "number"
