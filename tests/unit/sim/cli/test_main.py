"""How every way that a command can end becomes an exit status and a sentence."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from importlib.metadata import packages_distributions

import click
import pytest

from sim.cli import main as entry
from sim.errors import Fault, InputFaults, NotLinear


@pytest.fixture
def ending(monkeypatch):
    """Give a function that runs a command which ends by raising."""

    def end(error):
        @click.command()
        def fail():
            raise error

        monkeypatch.setitem(entry.gustworthy.commands, "fail", fail)
        return entry.run(["fail"])

    return end


def test_help_is_short_and_names_every_command_and_status(capsys):
    assert entry.run(["--help"]) == 0
    shown = capsys.readouterr().out
    for command in ("check", "fly", "mass", "schema"):
        assert f"\n  {command} " in shown
    for status in ("0  ", "1  ", "2  ", "3  ", "130"):
        assert f"\n    {status}" in shown
    assert entry.run(["-h"]) == 0


@pytest.mark.parametrize("command", ["check", "fly", "mass", "schema"])
def test_every_command_has_help(command, capsys):
    assert entry.run([command, "-h"]) == 0
    assert "Usage: gustworthy" in capsys.readouterr().out


def loaded_by(folder, *arguments):
    """Give every module that a run of Python imports."""
    done = subprocess.run(
        (sys.executable, "-X", "importtime", *arguments),
        cwd=folder,
        capture_output=True,
        text=True,
        check=True,
    )
    return {line.rsplit("|", 1)[1].strip() for line in done.stderr.splitlines() if "|" in line}


def test_help_loads_click_and_the_standard_library_alone(repository):
    loaded = loaded_by(repository, "-m", "sim.cli", "--help") - loaded_by(repository, "-c", "pass")
    own = {name for name in loaded if name.split(".")[0] == "sim"}
    assert "sim.cli.check" in own
    assert {n for n in own if not n.startswith("sim.cli")} <= {"sim", "sim.errors"}
    installed = set(packages_distributions()) - {"sim"}
    assert {name.split(".")[0] for name in loaded} & installed == {"click"}


def test_version(capsys):
    assert entry.run(["--version"]) == 0
    assert capsys.readouterr().out.startswith("gustworthy ")


def test_a_wrong_command_gets_a_suggestion(capsys):
    assert entry.run(["chek", "craft.yaml"]) == 2
    shown = capsys.readouterr().err
    assert "No such command 'chek'" in shown
    assert "id you mean" in shown
    assert "'check'" in shown


def test_a_wrong_option_gets_a_suggestion(capsys):
    assert entry.run(["check", "--scenaro", "x", "y"]) == 2
    assert "'--scenario'" in capsys.readouterr().err


def test_a_missing_argument(capsys):
    assert entry.run(["check"]) == 2
    assert "CRAFT" in capsys.readouterr().err


def test_all_faults_are_printed(ending, capsys):
    faults = (Fault("a.yaml", 3, 7, "first", "  mas: 2"), Fault("a.yaml", 9, 1, "second"))
    assert ending(InputFaults(faults)) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert "a.yaml:3:7: first" in shown.err
    assert "a.yaml:9:1: second" in shown.err
    assert "2 faults; nothing was computed or written." in shown.err


def test_what_cannot_be_computed_is_no_verdict(ending, capsys):
    assert ending(NotLinear("hover", 0.3, 0.001)) == 3
    assert "two differences disagree" in capsys.readouterr().err


def test_a_fault_of_the_program_is_no_verdict(ending, capsys):
    assert ending(ZeroDivisionError("by zero")) == 3
    shown = capsys.readouterr().err
    assert "ZeroDivisionError: by zero" in shown
    assert "not of the craft" in shown


def test_a_full_disk_is_no_verdict(ending, capsys):
    assert ending(OSError(28, "No space left on device", "report.html")) == 3
    assert "report.html: No space left on device" in capsys.readouterr().err


def test_stopping_by_hand(ending, capsys):
    assert ending(KeyboardInterrupt()) == 130
    assert "stopped" in capsys.readouterr().err


@pytest.mark.skipif(os.name != "posix", reason="signals and pipes as POSIX has them")
def test_a_reader_that_goes_away_leaves_no_traceback(repository):
    script = f"{sys.executable} -m sim.cli schema | head -c 10; s=${{PIPESTATUS[0]}}; echo; echo $s"
    done = subprocess.run(
        ("bash", "-c", script), cwd=repository, capture_output=True, text=True, check=False
    )
    assert done.stderr == ""
    assert done.stdout.splitlines()[-1] in {"0", "141"}


@pytest.mark.skipif(os.name != "posix", reason="signals as POSIX has them")
def test_ctrl_c_stops_a_process(repository, tmp_path):
    program = (
        "import sys, os, signal, threading\n"
        "from sim.cli import main\n"
        "import click\n"
        "@click.command()\n"
        "def wait():\n"
        "    signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "    threading.Timer(0.2, os.kill, (os.getpid(), signal.SIGINT)).start()\n"
        "    threading.Event().wait(30)\n"
        "main.gustworthy.add_command(wait)\n"
        "sys.argv = ['gustworthy', 'wait']\n"
        "main.main()\n"
    )
    done = subprocess.run(
        (sys.executable, "-c", program),
        cwd=repository,
        capture_output=True,
        text=True,
        check=False,
        timeout=20,
    )
    assert done.returncode == 130, signal.Signals(-done.returncode) if done.returncode < 0 else ""
    assert "Traceback" not in done.stderr
