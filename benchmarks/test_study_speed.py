"""Studies: cost of a flight from 100 flights to 10,000, and memory that does not grow with them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

PROGRAM = Path(__file__).with_name("long_study.py")
SECONDS_TOO = "GUSTWORTHY_WHOLE_STUDY"
MEGABYTE = 1e6


def flown(repository: Path, folder: Path, flights: int, seconds: float) -> dict[str, float]:
    """Run a study in a new process; give its wall time, cost of a flight and peak memory."""
    environment = {**os.environ, "PYTHONPATH": str(repository)}
    command = (sys.executable, str(PROGRAM), str(folder), str(flights), str(seconds))
    done = subprocess.run(command, capture_output=True, text=True, env=environment, check=True)
    report: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    assert report["flights"] == flights
    assert report["not_finite"] == 0
    assert report["time_s"] == pytest.approx(seconds, rel=0.05)
    return report


def note(benchmark, reports):
    """Keep the figures beside the time, and print them."""
    benchmark.extra_info["studies"] = reports
    for report in reports:
        print(
            f"\n{report['flights']} flights: {report['wall_s']:.1f} s,"
            f" {1e3 * report['wall_s'] / report['flights']:.3f} ms a flight,"
            f" {report['step_us']:.3f} us of processor a step,"
            f" grew by {report['grown_mb']:.1f} MB, peak {report['peak_mb']:.0f} MB"
        )


def test_cost_of_a_flight_and_memory(benchmark, repository, tmp_path):
    """Flights of a quarter of a second with the 24-panel drape: what grows is not the flying."""
    reports: list[dict[str, float]] = []

    def all_sizes():
        reports.extend(
            flown(repository, tmp_path / str(flights), flights, 0.25)
            for flights in (100, 1000, 10_000)
        )

    benchmark.pedantic(all_sizes, rounds=1)
    note(benchmark, reports)
    costs = [report["wall_s"] / report["flights"] for report in reports]
    assert costs[2] < 1.3 * costs[0]
    assert reports[2]["grown_mb"] < reports[0]["grown_mb"] + 30.0


@pytest.mark.skipif(SECONDS_TOO not in os.environ, reason=f"minutes: set {SECONDS_TOO}=1")
def test_ten_thousand_flights_of_half_a_minute(benchmark, repository, tmp_path):
    """The whole of it: 10,000 flights of 30 s, 24 panels, steps of 1 ms, on all cores."""
    report = benchmark.pedantic(flown, (repository, tmp_path, 10_000, 30.0), rounds=1)
    note(benchmark, [report])


def test_a_hundredth_of_it(benchmark, repository, tmp_path):
    """100 flights of 30 s; a hundred times that is what the whole takes, were nothing saved."""
    report = benchmark.pedantic(flown, (repository, tmp_path, 100, 30.0), rounds=1)
    note(benchmark, [report])
    print(f"the whole would take {100.0 * report['wall_s'] / 60.0:.1f} min")
