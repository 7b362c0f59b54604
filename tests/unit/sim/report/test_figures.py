"""Pictures: the same bytes each time, names as text, units on axes, limits drawn in."""

from __future__ import annotations

import dataclasses
import re
import xml.etree.ElementTree as ET

import matplotlib as mpl
import numpy as np
import pytest

from sim.params.tally_record import Stop
from sim.report import figure_style
from sim.report.content import report_content
from sim.report.figure_flight import asked_places_m
from sim.report.figure_nichols import wrapped_curve
from sim.report.pictures import figure_of, picture_svg
from sim.report.section import Picture

AXES = ("roll", "pitch", "yaw")
KEYS = (
    "lift",
    *(f"loop_{axis}" for axis in AXES),
    *(f"bode_{axis}" for axis in AXES),
    "side",
    "behind",
    "top",
    "wind",
    "flight",
    "unsure",
)
SVG = "{http://www.w3.org/2000/svg}"


def pictures_of(result):
    return {p.key: p for s in report_content(result).sections for p in s.pictures}


@pytest.fixture(scope="module")
def drawn(result):
    """Give the SVG text of every picture."""
    return {key: picture_svg(result, picture) for key, picture in pictures_of(result).items()}


def words_in(svg):
    return " ".join("".join(text.itertext()) for text in ET.fromstring(svg).iter(f"{SVG}text"))


def test_every_picture_is_there(drawn):
    assert set(drawn) == set(KEYS)


@pytest.mark.parametrize("key", KEYS)
def test_the_same_result_gives_the_same_bytes(result, drawn, key):
    assert picture_svg(result, pictures_of(result)[key]) == drawn[key]


@pytest.mark.parametrize("key", KEYS)
def test_a_picture_is_one_readable_svg_that_asks_for_nothing(drawn, key):
    root = ET.fromstring(drawn[key])
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    assert len(root.get("aria-label")) > 30
    assert not list(root.iter(f"{SVG}image"))
    assert not list(root.iter(f"{SVG}script"))
    links = [v for e in root.iter() for k, v in e.attrib.items() if k.endswith("href")]
    assert all(link.startswith(f"#{key}_") for link in links)


@pytest.mark.parametrize("key", KEYS)
def test_colours_follow_the_page(drawn, key):
    left = re.findall(r"#0102[0-9a-f]{2}", drawn[key])
    assert left == []
    assert "currentColor" in drawn[key]
    assert "font-family" not in drawn[key]
    # Every other colour is a variable of the page with its fallback.
    bare = re.sub(r"var\(--\w+, #[0-9a-f]{6}\)", "", drawn[key])
    assert re.findall(r"#[0-9a-f]{6}\b", bare) == []


def test_identifiers_of_two_pictures_never_meet(drawn):
    seen: dict[str, str] = {}
    for key, svg in drawn.items():
        for name in set(re.findall(r'\bid="([^"]+)"', svg)):
            assert name not in seen, f"{name} in {key} and {seen[name]}"
            seen[name] = key


@pytest.mark.parametrize("key", KEYS)
def test_both_axes_have_units(result, key):
    with mpl.rc_context(figure_style._STYLE):
        figure = figure_of(result, key)
    unit = re.compile(r", (N|m|mm|cm|m/s|deg|dB|Hz|%|s)$")
    for axes in figure.axes:
        names = not axes.yaxis.get_major_ticks() or key in {"lift", "unsure"}
        assert unit.search(axes.get_ylabel()) or names, axes.get_ylabel()
    assert unit.search(figure.axes[-1].get_xlabel())


def test_limits_are_drawn_and_named(drawn):
    assert "asked: 90 %" in words_in(drawn["wind"])
    assert "limit 5.2 m/s" in words_in(drawn["wind"])
    assert "limit 1 m below" in words_in(drawn["flight"])
    assert "limit 45 deg" in words_in(drawn["flight"])
    assert "limit 3 m" in words_in(drawn["flight"])
    assert "keep clear" in words_in(drawn["loop_pitch"])
    assert "hover asks for 28.0 N" in words_in(drawn["lift"])


def test_names_are_text_whatever_they_hold(renamed):
    name = "<script>$x^2$ & 'q' \"d\""
    result = renamed(name)
    svg = picture_svg(result, pictures_of(result)["top"])
    assert "<script" not in svg
    words = words_in(svg)
    assert "<script>" in words
    assert "$x^2$" in words


def test_words_of_a_picture_cannot_leave_their_attribute(result):
    svg = picture_svg(result, Picture("lift", 'a" onload="x', "<b>"))
    root = ET.fromstring(svg)
    assert root.get("onload") is None
    assert root.get("aria-label") == 'a" onload="x. <b>'


def test_an_unknown_picture_is_refused(result):
    with pytest.raises(KeyError, match="no picture"):
        figure_of(result, "gauge")


def test_failing_crafts_are_drawn_too(too_heavy, unstable, reversed_pitch):
    assert {"lift", "side", "behind", "top", "flight", "unsure"} == set(pictures_of(too_heavy))
    for result in (too_heavy, unstable, reversed_pitch):
        for picture in pictures_of(result).values():
            ET.fromstring(picture_svg(result, picture))


def test_a_flight_of_one_sample_is_drawn(result):
    flight = dataclasses.replace(result.flight, history=result.flight.history[:1])
    flight.tally["stop"] = int(Stop.TIME)
    short = dataclasses.replace(result, flight=flight)
    ET.fromstring(picture_svg(short, pictures_of(short)["flight"]))


def test_a_loop_leaves_the_chart_at_one_edge_and_comes_in_at_the_other():
    turns = np.radians([-100.0, -170.0, -190.0, -350.0, -370.0, -400.0])
    phase, gain = wrapped_curve(10.0 * np.exp(1j * turns))
    inside = phase[np.isfinite(phase)]
    assert inside == pytest.approx([-100.0, -170.0, -190.0, -350.0, -10.0, -40.0])
    assert np.flatnonzero(np.isnan(phase)).tolist() == [4]
    assert gain[np.isfinite(gain)] == pytest.approx(20.0)


def test_the_asked_place_changes_when_its_command_begins():
    commands = np.zeros(3, dtype=[("time_s", float), ("place_m", float, 3)]).view(np.recarray)
    commands.time_s[:] = (0.0, 5.0, 99.0)
    commands.place_m[:] = ((0, 0, -2), (1, 2, -3), (9, 9, 9))
    record = type("Record", (), {"command": commands, "command_count": 2})
    places = asked_places_m(record, np.array([0.0, 4.99, 5.0, 120.0]))
    assert places[:, 2].tolist() == [-2.0, -2.0, -3.0, -3.0]
    assert places[2].tolist() == [1.0, 2.0, -3.0]
