"""Run the command line as a builder would, and one real check that every test shares."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from sim.analysis.check import check_craft
from sim.cli.reading import load_both


@pytest.fixture(scope="session")
def demo(repository) -> Path:
    """Give a demonstration craft whose check ends soonest: it cannot lift."""
    return repository / "airframes" / "jellyfish_too_heavy.yaml"


@pytest.fixture(scope="session")
def checked(demo, repository):
    """Give the result of a real check."""
    craft, scenario = load_both(demo, repository / "scenarios" / "lake_breeze.yaml")
    return check_craft(craft, scenario)


@pytest.fixture
def gustworthy(repository, tmp_path):
    """Give a function that runs the command in a folder of its own, as its own process."""

    def run(*arguments, **environment):
        clean = {k: v for k, v in os.environ.items() if k not in {"NO_COLOR", "FORCE_COLOR"}}
        paths = os.pathsep.join(filter(None, (str(repository), os.environ.get("PYTHONPATH"))))
        return subprocess.run(
            (sys.executable, "-m", "sim.cli", *map(str, arguments)),
            cwd=tmp_path,
            env={**clean, "PYTHONPATH": paths, **environment},
            capture_output=True,
            text=True,
            encoding="utf-8",
            check=False,
        )

    return run


@pytest.fixture
def in_folder(tmp_path, monkeypatch) -> Path:
    """Give the empty folder that the test now runs in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path
