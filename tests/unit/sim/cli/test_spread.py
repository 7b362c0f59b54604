"""The command `spread`: what it prints and writes, and what it refuses."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from sim.analysis.spread import LEAST_CRAFTS
from sim.cli.main import run
from sim.report.terminal import WIDTH


@pytest.fixture(scope="module")
def bare(repository):
    return repository / "airframes" / "bare_bicopter.yaml"


@pytest.fixture(scope="module")
def told(bare, repository, tmp_path_factory):
    """Run the command once in this process; give exit status, text, files."""
    folder = tmp_path_factory.mktemp("spread")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        said = []
        patch.setattr("click.echo", lambda words="", **how: said.append((str(words), how)))
        status = run(
            ["spread", str(bare), "--crafts", "32", "--workers", "1", "--no-guard", "--out", "out"]
        )
    text = "".join(words for words, how in said if not how.get("err") and "file" not in how)
    return status, text, folder / "out"


def test_a_sure_craft_passes(told):
    status, text, _ = told
    assert status == 0
    assert "32 of 32 crafts pass every gate" in text
    assert "with 95 % confidence at least 91.1 %" in text


def test_lines_fit_a_terminal(told):
    _, text, _ = told
    assert max(len(line) for line in text.splitlines() if "Written" not in line) <= WIDTH


def test_the_text_answers_what_matters_and_what_to_measure(told):
    _, text, _ = told
    assert "both rotors: propeller thrust factor" in text
    assert "measure next: pull the craft or one rotor against a scale" in " ".join(text.split())
    assert "not a permission" in text


def test_the_data_hold_every_craft_with_units_in_their_keys(told):
    folder = told[2]
    data = json.loads((folder / "spread.json").read_text("utf-8"))
    assert data["format_version"] == 1
    assert data["passes"] is True
    assert data["crafts"] == 32
    for column in (*data["sampled"].values(), *(one["sampled_si"] for one in data["unsure"])):
        assert len(column) == 32
    ratio = sorted(data["sampled"]["thrust_to_weight"])
    assert data["distributions"]["thrust_to_weight"]["median"] == ratio[15]
    everything = data["all_gates"]
    assert everything["crafts_that_pass"] == 32
    assert everything["chance_lower"] == pytest.approx(0.025 ** (1 / 32))
    assert data["chance_surely_above"] == pytest.approx(0.05 ** (1 / 32))
    indices = data["importance"]["thrust_to_weight"]["told"][0]
    assert 0.0 < indices["total_lower"] <= indices["total"] <= indices["total_upper"] <= 1.05


def test_the_page_is_whole_and_draws_both_pictures(told):
    page = (told[2] / "spread.html").read_text("utf-8")
    assert page.startswith("<!doctype html>")
    assert page.count("<svg") == 2
    assert "Which unknown matters most" in page


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--crafts", "28"), "takes 29"),
        (("--crafts", "0"), "--crafts"),
        (("--crafts", str(LEAST_CRAFTS - 1)), "is not in the range 16<=x"),
        (("--seed", "-1"), "--seed"),
        (("--workers", "0"), "--workers"),
        (("--format", "yaml"), "--format"),
        (("--scenario", "nowhere.yaml"), "nowhere.yaml"),
        (("--out", "taken"), "taken"),
    ],
)
def test_what_cannot_be_used_is_refused_before_anything_is_computed(
    in_folder, bare, capsys, arguments, words
):
    (in_folder / "taken").write_text("a file")
    assert run(["spread", str(bare), *arguments]) == 2
    assert words in capsys.readouterr().err
    assert [path.name for path in in_folder.iterdir()] == ["taken"]


def test_faults_of_craft_and_scenario_are_told_at_once(in_folder, capsys):
    (in_folder / "craft.yaml").write_text("name: x\nlayout: octocopter\n")
    (in_folder / "day.yaml").write_text("name: y\nduration: 5 kg\n")
    assert run(["spread", "craft.yaml", "--scenario", "day.yaml", "--out", "out"]) == 2
    said = capsys.readouterr().err
    assert "craft.yaml:2" in said
    assert "day.yaml:2" in said
    assert not (in_folder / "out").exists()


def test_a_craft_without_spread_is_refused(in_folder, bare, capsys):
    text = bare.read_text("utf-8")
    text = re.sub(r"\{value: ([^,]+), plus_minus: [^}]+\}", r"\1", text)
    sure = "mass: 12 g, thrust_factor: 1, torque_factor: 1}"
    text = text.replace("mass: 12 g}", sure)
    (in_folder / "sure.yaml").write_text(text, "utf-8")
    assert run(["spread", "sure.yaml", "--workers", "1"]) == 2
    assert "plus_minus" in capsys.readouterr().err


HEARING = (
    "import signal, sys; signal.signal(signal.SIGINT, signal.default_int_handler);"
    " from sim.cli.main import run; sys.exit(run(sys.argv[1:]))"
)
"""The command, in a process that hears Ctrl-C even where the tests run in the background."""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="looks for processes in /proc")
@pytest.mark.parametrize("way", ["ctrl-c", "killed"])
def test_every_process_ends_and_leaves_nothing(bare, repository, tmp_path, way):
    """Ctrl-C as a terminal sends it, to the command and all that it began; or a kill of one."""
    command = [sys.executable, "-c", HEARING, "spread", str(bare), "--crafts", "2000"]
    running = subprocess.Popen(
        [*command, "--workers", "2", "--out", "out"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(repository)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    children = Path(f"/proc/{running.pid}/task/{running.pid}/children")
    deadline = time.monotonic() + 120.0
    while len(children.read_text().split()) < 3 and time.monotonic() < deadline:
        time.sleep(0.1)
    begun = children.read_text().split()
    if way == "ctrl-c":
        os.killpg(running.pid, signal.SIGINT)
    else:
        running.kill()
    out, err = running.communicate(timeout=60.0)
    assert len(begun) >= 3
    assert running.returncode == (130 if way == "ctrl-c" else -signal.SIGKILL), err
    assert way == "killed" or "Traceback" not in err
    assert out == ""
    assert not any(tmp_path.iterdir())
    while any(map(is_running, begun)) and time.monotonic() < deadline:
        time.sleep(0.1)
    assert not any(map(is_running, begun))


def is_running(process):
    """Tell whether a process is there and not only waiting to be forgotten."""
    try:
        state = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state != "Z"
