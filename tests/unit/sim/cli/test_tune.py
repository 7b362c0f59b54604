"""The command `tune`: what it refuses before it computes, and what it says of a hopeless craft."""

from __future__ import annotations


def test_it_never_writes_over_a_file(gustworthy, repository, in_folder):
    craft = repository / "airframes" / "bare_bicopter.yaml"
    new = in_folder / "new.yaml"
    new.write_text("mine")
    done = gustworthy("tune", craft, "--apply", new)
    assert done.returncode == 2
    assert "only writes a new file" in done.stderr
    assert new.read_text() == "mine"


def test_faults_of_both_files_are_told(gustworthy, in_folder):
    craft, scenario = in_folder / "craft.yaml", in_folder / "scenario.yaml"
    craft.write_text("name: 3\n")
    scenario.write_text("name: 3\n")
    done = gustworthy("tune", craft, "--scenario", scenario)
    assert done.returncode == 2
    assert "craft.yaml" in done.stderr
    assert "scenario.yaml" in done.stderr


def test_a_craft_that_cannot_hover_is_a_finding(gustworthy, demo, in_folder):
    done = gustworthy("tune", demo, "--out", "out", "--format", "json")
    assert done.returncode == 1
    assert "cannot be tuned" in done.stderr
    assert not done.stdout
    assert not (in_folder / "out").exists()
