"""The command that asks: it corrects, writes at the end only, and what it writes can be checked."""

import os
import pty
import re
import select
import signal
import sys
import time
from pathlib import Path

import pytest

from sim.cli.main import run
from sim.spec import load_craft

ROOT = Path(__file__).parents[4]
PATIENCE_S = 60.0


class Terminal:
    """A process on a pseudo-terminal of its own, read as far as it has written."""

    def __init__(self, craft):
        self.process, self.child = pty.fork()
        if self.process == 0:  # the child: it has the terminal as its own
            os.chdir(ROOT)
            signal.signal(signal.SIGINT, signal.default_int_handler)  # a background run ignores it
            command = [sys.executable, "-m", "sim.cli", "new", str(craft)]
            os.execve(sys.executable, command, {**os.environ, "TERM": "dumb"})
        self.text = ""
        self.status = None

    def wait_for(self, words):
        """Read until the words appear in what was not looked at yet."""
        end = time.monotonic() + PATIENCE_S
        while words not in self.text:
            left = end - time.monotonic()
            assert left > 0.0, f"waited for {words!r}, saw {self.text[-500:]!r}"
            if select.select([self.child], [], [], left)[0]:
                self.text += os.read(self.child, 4096).decode()
        self.text = self.text[self.text.index(words) + len(words) :]

    def say(self, text):
        """Type a line."""
        os.write(self.child, text.encode() + b"\n")

    def ends(self):
        """Give the exit status; output is read so that the process is not held up."""
        end = time.monotonic() + PATIENCE_S
        while self.status is None and time.monotonic() < end:
            try:
                if select.select([self.child], [], [], 0.1)[0]:
                    self.text += os.read(self.child, 4096).decode()
            except OSError:  # the other end is closed
                pass
            done, status = os.waitpid(self.process, os.WNOHANG)
            if done:
                self.status = os.waitstatus_to_exitcode(status)
        return self.status


@pytest.fixture
def terminal(tmp_path):
    started = []

    def start(name="mine.yaml"):
        started.append(Terminal(tmp_path / name))
        return started[-1]

    yield start
    for one in started:
        if one.status is None:
            os.kill(one.process, signal.SIGKILL)
            os.waitpid(one.process, 0)
        os.close(one.child)


def test_a_person_answers_corrects_goes_back_and_changes_at_the_end(terminal, tmp_path):
    talk = terminal()
    talk.wait_for("1. What is it called?")
    talk.say("Paper moon")
    talk.wait_for("2. Two tilting rotors")
    talk.say("quadcopter")  # refused, asked again
    talk.wait_for("write one of: bicopter, tricopter")
    talk.say("tricopter")
    talk.wait_for("3. How far apart")
    talk.say("<")  # back, and another answer
    talk.wait_for("2. Two tilting rotors")
    talk.say("bicopter")
    talk.wait_for("3. How far apart")
    talk.say("80")  # a unit is missing
    talk.wait_for("needs a unit")
    talk.say("80 cm")
    talk.wait_for("frame weigh")
    talk.say("")
    talk.wait_for("Is there a head")
    talk.say("no")
    talk.wait_for("6. How large are the propellers")  # the head's questions are left out
    for words in ("pitch", "cells", "speed constant", "capacity", "pack hang", "fabric hangs"):
        talk.say("")
        talk.wait_for(words)
    talk.say("ribbons")
    for words in ("Which cloth", "How long", "radius"):
        talk.wait_for(words)
        talk.say("")
    talk.wait_for("Your answers:")
    talk.wait_for("number to change")
    talk.say("99")
    talk.wait_for("write a number from 1 to")
    talk.say("4")
    talk.wait_for("frame weigh")
    talk.say("1.1 kg")
    talk.wait_for("number to change")
    assert not list(tmp_path.iterdir())
    talk.say("")
    assert talk.ends() == 0
    spec = load_craft(tmp_path / "mine.yaml").spec
    assert (spec.name, spec.layout, spec.head) == ("Paper moon", "bicopter", None)
    assert sum(part.mass_kg.value for part in spec.parts) == pytest.approx(1.1, abs=0.002)
    assert [rotor.place.right_m.value for rotor in spec.rotors] == [-0.4, 0.4]
    assert spec.drapes[0].cut == "ribbons"
    assert [path.name for path in tmp_path.iterdir()] == ["mine.yaml"]


def test_a_change_of_mind_asks_what_then_applies(terminal, tmp_path):
    talk = terminal()
    talk.wait_for("What is it called?")
    for _ in range(4):
        talk.say("")
    talk.wait_for("Is there a head")
    talk.say("no")
    talk.wait_for("How large")
    for _ in range(6):
        talk.say("")
    talk.wait_for("fabric hangs")
    talk.say("none")
    talk.wait_for("number to change")
    talk.say("5")
    talk.wait_for("Is there a head")
    talk.say("yes")
    talk.wait_for("What does the head weigh")
    for _ in range(3):
        talk.say("")
    talk.wait_for("number to change")
    talk.say("")
    assert talk.ends() == 0
    spec = load_craft(tmp_path / "mine.yaml").spec
    assert spec.head is not None
    assert spec.drapes == ()


@pytest.mark.parametrize("after", ["What is it called?", "How far apart"])
def test_ctrl_c_leaves_nothing_behind(terminal, tmp_path, after):
    talk = terminal()
    talk.wait_for("What is it called?")
    if after != "What is it called?":
        talk.say("")
        talk.say("")
        talk.wait_for(after)
    talk.wait_for("]")  # the offered answer: it is about to wait for a line
    os.write(talk.child, b"\x03")
    assert talk.ends() == 130
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("layout", ["bicopter", "tricopter"])
@pytest.mark.parametrize("fabric", ["none", "skirt", "cape", "ribbons"])
@pytest.mark.parametrize("head", ["yes", "no"])
def test_every_kind_of_craft_is_written_by_the_rules(tmp_path, layout, fabric, head, capsys):
    answers = tmp_path / "answers.yaml"
    answers.write_text(f"layout: {layout}\nfabric: {fabric}\nhead: {head}\n")
    assert run(["new", str(tmp_path / "craft.yaml"), "--answers", str(answers)]) == 0
    loaded = load_craft(tmp_path / "craft.yaml")
    assert len(loaded.spec.rotors) == (2 if layout == "bicopter" else 3)
    assert not loaded.warnings, loaded.warnings
    assert "GUESS" in (tmp_path / "craft.yaml").read_text()
    capsys.readouterr()


def test_a_name_with_markup_is_only_a_name(tmp_path, capsys):
    answers = tmp_path / "answers.yaml"
    answers.write_text("name: \"x: {y} # <b>&amp; 'q'\"\n")
    assert run(["new", str(tmp_path / "craft.yaml"), "--answers", str(answers)]) == 0
    assert load_craft(tmp_path / "craft.yaml").spec.name == "x: {y} # <b>&amp; 'q'"
    capsys.readouterr()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("spam: 90 cm\n", ["no question 'spam'; did you mean 'span'?"]),
        ("span: 90\nlayout: octo\n", ["span:", "needs a unit", "layout: write one of"]),
        ("span: 90 m\n", ["must be from"]),
        ("head: no\nhead_mass: 1 kg\n", ["head_mass: not asked"]),
        ("name: ''\n", ["name: write 1 to 80 characters"]),
        ("span: [1, 2\n", ["answers.yaml"]),
    ],
)
def test_answers_that_cannot_be_used_are_told_all_at_once(tmp_path, capsys, text, words):
    answers = tmp_path / "answers.yaml"
    answers.write_text(text)
    assert run(["new", str(tmp_path / "craft.yaml"), "--answers", str(answers)]) == 2
    told = re.sub(r"\s+", " ", capsys.readouterr().err)
    for word in words:
        assert word in told
    assert not (tmp_path / "craft.yaml").exists()


def test_an_existing_file_is_left_alone(tmp_path, capsys):
    craft = tmp_path / "craft.yaml"
    craft.write_text("mine")
    assert run(["new", str(craft)]) == 2
    assert craft.read_text() == "mine"
    assert "exists already" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["nowhere/craft.yaml", "craft.txt"])
def test_a_target_that_cannot_be_written_is_refused_before_the_first_question(
    tmp_path, capsys, name
):
    assert run(["new", str(tmp_path / name)]) == 2
    assert not list(tmp_path.iterdir())
    assert "1." not in capsys.readouterr().out
