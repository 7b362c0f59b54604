"""Asking for help imports nothing heavy, so that it answers at once."""

from __future__ import annotations

import subprocess
import sys

HEAVY = ("numpy", "scipy", "numba", "pydantic", "matplotlib", "rich", "jinja2", "yaml")
PROGRAM = """
import sys
from sim.cli.main import main
sys.argv = ["gustworthy", "--help"]
try:
    main()
except SystemExit as stop:
    assert not stop.code, stop.code
print("LOADED", *sorted(set({heavy}) & set(sys.modules)))
"""


def test_help_imports_nothing_heavy(repository):
    done = subprocess.run(
        (sys.executable, "-c", PROGRAM.format(heavy=HEAVY)),
        cwd=repository,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    *shown, loaded = done.stdout.strip().splitlines()
    assert "Usage" in "\n".join(shown)
    assert loaded == "LOADED"
