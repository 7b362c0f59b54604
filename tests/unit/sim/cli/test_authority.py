"""The command `authority`: words, data, pictures and files; refusals before computing."""

from __future__ import annotations

import dataclasses
import io
import json
import math

import pytest

from sim.analysis import authority_study as whole
from sim.analysis.authority_study import authority_study
from sim.analysis.limit_cycle import Cycle
from sim.analysis.limit_cycle_flight import FlownEdge
from sim.analysis.motor_loss import Left
from sim.cli import main as entry
from sim.report.authority_content import authority_findings, authority_remedy, authority_verdict
from sim.report.authority_data import authority_data
from sim.report.authority_page import authority_page, write_authority_files
from sim.report.authority_tables import all_tables
from sim.report.authority_text import authority_text
from sim.report.terminal import WIDTH, make_console
from sim.spec import load_craft, load_scenario

EDGE = Cycle(
    axis="pitch",
    lasts=False,
    frequency_hz=1.0,
    command_rad=0.2,
    tilt_rad=0.1,
    attitude_rad=0.14,
    slewing=0.94,
    release_rad=0.28,
    third_share=0.03,
)


@pytest.fixture(scope="module")
def breeze(repository):
    return load_scenario(repository / "scenarios" / "lake_breeze.yaml")


@pytest.fixture(scope="module")
def study(repository, breeze):
    craft = load_craft(repository / "airframes" / "bare_bicopter.yaml")
    return authority_study(craft, breeze, winds_m_s=(0.0,))


@pytest.fixture(scope="module")
def heavy(repository, breeze):
    return authority_study(load_craft(repository / "airframes/jellyfish_too_heavy.yaml"), breeze)


def text_of(study):
    return authority_text(study, make_console(io.StringIO()))


def test_figures_hang_together(study):
    """Hover carries the weight, nothing else; what is left is never more than the hull holds, but
    for what lies between its samples.
    """
    assert study.passes
    answer = study.authority
    weight = 9.80665 * study.packed.whole_mass_kg
    assert answer.trim == pytest.approx([weight, 0.0, 0.0, 0.0], rel=1e-4, abs=1e-4)
    for way in answer.ways:
        assert 0.0 < way.left < 1.01 * way.hull_left
        assert 0.0 <= way.share < 1.0
    assert answer.first.words == "more lift"
    assert answer.slowest.axis == "pitch"
    assert {loss.left for loss in answer.losses if not loss.thrust_share} == {Left.NOTHING}
    stopped = [loss for loss in answer.losses if not loss.thrust_share]
    weak = [loss for loss in answer.losses if loss.thrust_share]
    assert all(0.2 < loss.flight.leans_after_s < 1.0 for loss in stopped)
    assert all(loss.flight.stays for loss in weak)
    lift = next(way.left for way in answer.ways if way.words == "more lift")
    assert all(loss.lift_left_n < lift for loss in weak)


def test_falling_over_takes_as_long_as_the_moment_says(study):
    """From rest at a steady acceleration a lean of 45 degrees takes sqrt(pi / 2 a); the rotor runs
    down meanwhile, so that a flight takes longer, at most twice.
    """
    for loss in study.authority.losses:
        if not loss.thrust_share:
            least = math.sqrt(0.5 * math.pi / loss.leans_rad_s2)
            assert least < loss.flight.leans_after_s < 2.0 * least


def test_wind_takes_no_less_than_still_air(study):
    still, breezy = (use for use in study.winds if use.side == "ahead")
    assert (still.forecast_m_s, breezy.forecast_m_s) == (0.0, 3.0)
    assert breezy.holds
    assert breezy.first[1] > 0.9 * still.first[1]
    for way, busy in zip(breezy.ways, breezy.busy_shares, strict=True):
        assert busy >= way.share - 1e-3


def test_everything_is_told_within_eighty_columns(study):
    text = text_of(study)
    assert max(map(len, text.splitlines())) <= WIDTH
    said = " ".join(text.split())
    for words in (
        "Something is left every way",
        "it turns over",
        "tilt servos hunt in pitch",
        "shakes the play open",
        "What wind takes",
        "What a lost motor leaves",
    ):
        assert words in said


def test_every_table_is_as_wide_as_its_head(study):
    for table in all_tables(study):
        assert table.rows
        assert {len(row.cells) for row in table.rows} == {len(table.columns)}


def test_no_hover_is_said(heavy):
    assert not heavy.passes
    assert "cannot carry the weight" in authority_verdict(heavy)
    assert all_tables(heavy) == ()
    assert authority_data(heavy)["hover"] is None
    assert "no steady hover" in text_of(heavy)


def test_slow_servo_is_said(study):
    """An edge below the lean that the scenario allows does not pass, one above it does."""
    play = dataclasses.replace(study.play, cycles=(*study.play.cycles, EDGE))
    slow = dataclasses.replace(study, play=play, edges=(FlownEdge("pitch", 0.1, 0.12),))
    assert not slow.passes
    assert "Its tilt servos are too slow" in authority_verdict(slow)
    assert "Fit faster tilt servos" in authority_remedy(slow)
    assert any("between 8 and 16 degrees" in words for words in authority_findings(slow))
    quick = dataclasses.replace(slow, edges=(FlownEdge("pitch", 1.0, None),))
    assert quick.passes
    assert any("comes back even from 60" in words for words in authority_findings(quick))


def test_unstable_or_backwards_does_not_pass(study):
    grows = dataclasses.replace(study, growing=2)
    assert not grows.passes
    assert "unstable in hover" in authority_verdict(grows)
    turned = dataclasses.replace(study.authority, backwards=("pitch",))
    reversed_pitch = dataclasses.replace(study, authority=turned)
    assert not reversed_pitch.passes
    assert "works backwards in pitch" in authority_verdict(reversed_pitch)


def test_wind_that_is_not_held_does_not_pass(study):
    lost = dataclasses.replace(
        study.winds[1], holds=False, why_not="it is blown away", ways=(), busy_shares=()
    )
    blown = dataclasses.replace(study, winds=(study.winds[0], lost))
    assert not blown.passes
    assert authority_verdict(blown) == "In a mean wind of 3.0 m/s it is blown away"
    assert "blown away" in text_of(blown)


def test_page_stands_alone(study, tmp_path):
    page = authority_page(study)
    assert page.count("<svg") == 2
    assert "http:" not in page.replace("http://www.w3.org", "")
    assert "https:" not in page
    written = write_authority_files(study, tmp_path / "out")
    assert [path.name for path in written] == ["authority.html", "authority.json"]
    data = json.loads(written[1].read_text("utf-8"))
    assert data["format_version"] == 1
    assert len(data["hover"]["slices"]) == 3
    assert len(data["hover"]["lost_motors"]) == 4


def test_command(repository, study, in_folder, capsys, monkeypatch):
    asked = []

    def found(_craft, _scenario, *, winds_m_s, progress):
        progress("hovering", None)
        asked.extend(winds_m_s)
        return study

    monkeypatch.setattr(whole, "authority_study", found)
    craft = repository / "airframes" / "bare_bicopter.yaml"
    words = ["authority", str(craft), "--wind", "2 m/s", "--out", "found", "--format", "json"]
    assert entry.run(words) == 0
    captured = capsys.readouterr()
    data = json.loads(captured.out)
    assert asked == [2.0]
    assert {use["forecast_m_s"] for use in data["winds"]} == {0.0, 3.0}
    assert sorted(path.name for path in (in_folder / "found").iterdir()) == [
        "authority.html",
        "authority.json",
    ]


def test_faults_of_the_winds_are_told_at_once(repository, in_folder, capsys):
    craft = repository / "airframes" / "bare_bicopter.yaml"
    words = ["authority", str(craft), "--wind", "2 kg", "--wind", "-3 m/s", "--out", "found"]
    assert entry.run(words) == 2
    told = capsys.readouterr().err
    assert "'kg' is a unit of a mass" in told
    assert "must not be below zero" in told
    assert list(in_folder.iterdir()) == []
