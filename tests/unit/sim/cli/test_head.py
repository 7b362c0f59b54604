"""The command `head`: words, data, page and map agree; refusals before anything is computed."""

from __future__ import annotations

import json
import re

import pytest

from sim.analysis.head_map import HeadRange, head_map
from sim.cli import main as entry
from sim.cli.reading import load_both
from sim.report.figure_head_map import draw_head_map
from sim.report.head_data import head_data
from sim.report.head_files import PAGE_NAME, head_page, write_head_files
from sim.report.head_tables import SIGNS, all_tables, map_table
from sim.report.head_text import head_text
from sim.report.head_words import head_verdict, lever_words, pitch_sentences, short_of
from sim.report.terminal import make_console


@pytest.fixture(scope="module")
def files(repository, tmp_path_factory):
    """Give a craft with its head too high, its skirt taken off to be quick, and a scenario."""
    text = (repository / "airframes/jellyfish_head_too_high.yaml").read_text("utf-8")
    start, end = text.index("\ndrape:"), text.index("\nlegs:")
    path = tmp_path_factory.mktemp("head") / "high.yaml"
    path.write_text(text[:start] + text[end:], "utf-8")
    return path, repository / "tests/demo/short_breeze.yaml"


@pytest.fixture(scope="module")
def answer(files):
    """Give the map of a craft whose CG is above its rotors: it is quick, and needs advice."""
    craft, scenario = load_both(*files)
    return head_map(craft, scenario, HeadRange(columns=3, rows=2))


def test_a_head_too_high_does_not_pass_and_says_why(answer):
    assert not answer.passes
    assert answer.present.failed == "authority"
    assert "does not pass pitch authority" in head_verdict(answer)
    assert any("first moves the craft backward" in words for words in pitch_sentences(answer.zero))


def test_words_data_and_page_say_the_same(answer, tmp_path):
    data = head_data(answer)
    assert data["passes"] is False
    assert data["verdict"] == head_verdict(answer)
    assert data["present"]["gives_out_first"] == "authority"
    assert json.loads(json.dumps(data, allow_nan=False)) == data
    page, written = write_head_files(answer, tmp_path / "out")
    assert json.loads(written.read_text("utf-8")) == data
    assert page.name == PAGE_NAME
    html = page.read_text("utf-8")
    assert "<h1>" in html
    assert "Does not pass." in html
    assert not re.search(r"(?:src|href)=\"https?:", html)
    with (tmp_path / "text").open("w", encoding="utf-8") as stream:
        text = head_text(answer, make_console(stream))
    assert "Does not pass." in text
    assert max(len(line) for line in text.splitlines()) <= 80


def test_every_table_is_as_wide_as_its_head(answer):
    for table in all_tables(answer):
        assert table.rows
        assert {len(row.cells) for row in table.rows} == {len(table.columns)}


def test_the_map_in_signs_is_the_map(answer):
    rows = map_table(answer).rows[::-1]
    for row, figures in zip(rows, answer.figures, strict=True):
        assert row.cells[1:] == tuple(SIGNS[cell.failed] for cell in figures)


def test_the_picture_shows_every_region_by_name_and_this_head(answer):
    figure = draw_head_map(answer)
    words = [text.get_text() for text in figure.axes[0].texts]
    assert "this head" in words
    for gate in {cell.failed for row in answer.figures for cell in row}:
        wanted = "passes" if gate is None else "gives out first"
        assert any(wanted in said for said in words)
    assert "authority" in head_page(answer)


def refused(capsys, *arguments):
    status = entry.run(["head", *map(str, arguments)])
    said = capsys.readouterr()
    assert status == entry.UNUSABLE_INPUT
    assert not said.out
    return said.err


def test_faults_are_told_all_at_once(files, capsys, tmp_path):
    taken = tmp_path / "taken"
    taken.write_text("")
    said = refused(
        capsys,
        files[0],
        "--masses",
        "3 N, 2 kg",
        "--heights",
        "40 cm, 10 cm",
        "--grid",
        "1x0",
        "--out",
        taken / "below",
    )
    for words in (
        "is a unit of a force",
        "must be more than '40 cm'",
        "such as '7x5'",
        "is a file",
    ):
        assert words in said
    assert "4 faults" in said
    assert taken.read_text() == ""


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--masses", "0 kg, 1 kg"), "must be more than zero"),
        (("--masses", "1 kg"), "needs two quantities and a comma"),
        (("--masses", "1 kg, 500 g"), "must be more than '1 kg'"),
        (("--heights", "low, high"), "'low' is not a length"),
        (("--grid", "seven"), "such as '7x5'"),
        (("--grid", "7x99"), "such as '7x5'"),
        (("--scenario", "nowhere.yaml"), "no such file"),
    ],
)
def test_a_bad_option_is_refused(files, capsys, options, words):
    assert words in refused(capsys, files[0], *options)


def test_a_craft_without_a_head_is_refused(files, capsys, tmp_path):
    text = files[0].read_text("utf-8")
    start, end = text.index("\nhead:"), text.index("\nevery_rotor:")
    path = tmp_path / "headless.yaml"
    path.write_text(text[:start] + text[end:], "utf-8")
    assert "has no section 'head'" in refused(capsys, path)


def test_a_head_that_weighs_nothing_is_refused(files, capsys, tmp_path):
    text = files[0].read_text("utf-8")
    start = text.index("\nhead:")
    mass = re.compile(r"mass: .*")
    path = tmp_path / "weightless.yaml"
    path.write_text(text[:start] + mass.sub("mass: 0 g", text[start:], count=1), "utf-8")
    assert "its head weighs nothing" in refused(capsys, path)


def test_the_command_prints_data_and_fails_with_one(files, capsys, monkeypatch):
    """Exit status 1: the craft does not pass."""
    monkeypatch.setenv("OPENBLAS_NUM_THREADS", "1")
    status = entry.run(
        ["head", str(files[0]), "--scenario", str(files[1]), "--grid", "2x1", "--format", "json"]
    )
    assert status == entry.DOES_NOT_PASS
    data = json.loads(capsys.readouterr().out)
    assert data["present"]["passes"] is False
    assert len(data["map"]["by_height_then_mass"]) == 1


@pytest.mark.parametrize(
    ("value", "asked", "places", "text"),
    [(1.199, 1.2, 2, "1.19"), (1.2, 1.2, 2, "1.20"), (1.1, 1.2, 2, "1.10"), (44.7, 45.0, 0, "44")],
)
def test_a_figure_that_misses_what_is_asked_reads_less(value, asked, places, text):
    """Else a head would fail with 1.20 of 1.20."""
    assert short_of(value, asked, places) == text


def test_rotors_below_the_centre_are_said_to_be_below():
    assert (lever_words(-0.117), lever_words(0.035)) == ("11.7 cm below", "3.5 cm above")
