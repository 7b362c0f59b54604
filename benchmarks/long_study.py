"""A study of the jellyfish in the lake breeze, as a program with memory of its own."""

from __future__ import annotations

import dataclasses
import json
import resource
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np

from sim.analysis.fly_study import prepare
from sim.analysis.study_summary import summarise
from sim.flight.plan import OneCraftPlan, Part, fly_part
from sim.flight.study import study_in
from sim.spec import load_craft, load_scenario

ROOT = Path(__file__).resolve().parents[1]
PANELS = 24
KILOBYTE, MEGABYTE = 1e3, 1e6


def peak_mb() -> float:
    """Give the peak memory of this process [MB]."""
    unit = 1.0 if sys.platform == "darwin" else KILOBYTE
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / MEGABYTE


def plan_of(seconds: float) -> tuple[Any, OneCraftPlan, Any]:
    """Give the prepared craft, its plan for flights of some seconds, and the study's identity."""
    craft = load_craft(ROOT / "airframes" / "jellyfish_bicopter.yaml")
    scenario = load_scenario(ROOT / "scenarios" / "lake_breeze.yaml")
    spec = scenario.spec.model_copy(update={"duration_s": seconds})
    scenario = dataclasses.replace(scenario, spec=spec)
    ready = prepare(craft, scenario)
    assert int(ready.packed.record.drape.panel_count) == PANELS
    return ready, ready.plan(ready.wind).ready(), ready.identity(craft)


def main(folder: str, flights: int, seconds: float) -> None:
    """Fly and print one line of figures."""
    _, plan, identity = plan_of(seconds)
    fly_part(plan, Part(0, 1))
    before = peak_mb()
    began, used = time.perf_counter(), time.process_time()
    with study_in(Path(folder), identity, flights) as study:
        summary = summarise(study.rows(plan, flights), 0.95)
    wall, cpu = time.perf_counter() - began, time.process_time() - used
    flown = summary.measure("time_s")
    steps = flown.mean * flown.count / float(plan.flight["step_s"][0])
    report = {
        "flights": summary.flights,
        "not_finite": summary.broken_flights,
        "time_s": flown.mean,
        "wall_s": wall,
        "step_us": 1e6 * cpu / steps,
        "grown_mb": peak_mb() - before,
        "peak_mb": peak_mb(),
    }
    print(json.dumps({name: float(np.round(value, 6)) for name, value in report.items()}))


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), float(sys.argv[3]))
