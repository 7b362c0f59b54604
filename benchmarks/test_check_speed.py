"""A whole check in a process of its own: the first one, which compiles, and the next."""

from __future__ import annotations

import json
import os
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

LEAST_FLIGHTS = 300
KILOBYTE = 1024
MEGABYTE = 1e6


@dataclass(frozen=True)
class Run:
    """One process: what it wrote, its peak memory, what it said."""

    result: dict[str, Any]
    peak_mb: float
    said: str


@pytest.fixture(scope="module")
def cache(tmp_path_factory):
    """Give an empty folder in which the compiled code of this module's runs is kept."""
    return tmp_path_factory.mktemp("cache")


def check(repository: Path, cache: Path, out: Path) -> Run:
    """Run `check` on the jellyfish; the exit status must be that of a craft that passes."""
    craft = repository / "airframes" / "jellyfish_bicopter.yaml"
    command = [sys.executable, "-m", "sim.cli", "check", str(craft), "--out", str(out)]
    environment = {**os.environ, "XDG_CACHE_HOME": str(cache), "PYTHONPATH": str(repository)}
    out.mkdir(parents=True, exist_ok=True)
    log = out / "log.txt"
    with log.open("w") as said:
        actions = [(os.POSIX_SPAWN_DUP2, said.fileno(), stream) for stream in (1, 2)]
        child = os.posix_spawn(sys.executable, command, environment, file_actions=actions)
        _, status, used = os.wait4(child, 0)
    text = log.read_text()
    assert os.waitstatus_to_exitcode(status) == 0, text
    unit = 1 if sys.platform == "darwin" else KILOBYTE
    result = json.loads((out / "result.json").read_text())
    return Run(result, used.ru_maxrss * unit / MEGABYTE, text)


def assert_good(run: Run) -> None:
    """Fail unless the check did all of its work and answered."""
    wind = run.result["wind"]
    assert wind["flights"] >= LEAST_FLIGHTS
    assert wind["not_finite"] == 0
    assert wind["wind_limit_forecast_m_s"] > 0.0
    assert run.result["stability"]["stable"] is True
    assert run.result["passes"] is True


def note(benchmark: Any, run: Run) -> None:
    """Keep memory and number of flights beside the time, and print them."""
    flights = run.result["wind"]["flights"]
    benchmark.extra_info.update(peak_memory_mb=round(run.peak_mb), gust_flights=flights)
    print(f"\n{flights} gust flights, peak memory {run.peak_mb:.0f} MB")


def test_first_check_compiles(benchmark, repository, cache, tmp_path):
    assert not any(cache.rglob("*.nbc"))
    run = benchmark.pedantic(check, (repository, cache, tmp_path), rounds=1)
    assert_good(run)
    assert any(cache.rglob("*.nbc"))
    note(benchmark, run)


def test_second_check(benchmark, repository, cache, tmp_path):
    if not any(cache.rglob("*.nbc")):
        check(repository, cache, tmp_path / "compiling")
    first = check(repository, cache, tmp_path / "first")
    assert_good(first)
    run = benchmark.pedantic(check, (repository, cache, tmp_path / "again"), rounds=2)
    assert_good(run)
    assert run.result["wind"] == first.result["wind"]
    note(benchmark, run)
