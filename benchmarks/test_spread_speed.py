"""A whole spread in a process of its own: 256 crafts, without and with what weight is left."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import Any

import pytest

CRAFTS = 256
UNSURE = 11


def spread(repository: Path, out: Path, *options: str) -> dict[str, Any]:
    """Run `spread` on the jellyfish; give its data."""
    craft = repository / "airframes" / "jellyfish_bicopter.yaml"
    command = [sys.executable, "-m", "sim.cli", "spread", str(craft), "--out", str(out), *options]
    environment = {**os.environ, "PYTHONPATH": str(repository)}
    out.mkdir(parents=True, exist_ok=True)
    log = out / "log.txt"
    with log.open("w") as said:
        actions = [(os.POSIX_SPAWN_DUP2, said.fileno(), stream) for stream in (1, 2)]
        child = os.posix_spawn(sys.executable, command, environment, file_actions=actions)
        _, status, _used = os.wait4(child, 0)
    assert os.waitstatus_to_exitcode(status) == 0, log.read_text()
    found: dict[str, Any] = json.loads((out / "spread.json").read_text())
    return found


def assert_good(data: dict[str, Any]) -> None:
    """Fail unless every craft was computed and most hover with all of their margins."""
    assert data["crafts"] == CRAFTS
    assert len(data["unsure"]) == UNSURE
    assert data["all_gates"]["crafts_that_pass"] > 0.9 * CRAFTS
    assert data["sampled"]["disk_margin"].count(None) < 0.1 * CRAFTS
    assert data["importance"]["thrust_to_weight"]["fit_r_squared"] > 0.95


@pytest.mark.parametrize("guard", ["without", "with"])
def test_spread(benchmark, repository, tmp_path, guard):
    options = ["--no-guard"] if guard == "without" else []
    spread(repository, tmp_path / "compiling", "--crafts", "32", "--no-guard")
    data = benchmark.pedantic(spread, (repository, tmp_path / "timed", *options), rounds=1)
    assert_good(data)
    assert bool(data["guard"]) is (guard == "with")
