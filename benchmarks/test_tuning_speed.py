"""Tuning from deliberately bad gains against random search of the same box.

GUSTWORTHY_RANDOM_POINTS=20000 gives the random search as many points.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from sim.analysis.required_margins import required_margins
from sim.analysis.tune import DEFAULT_EFFORT, SPREAD_CRAFTS
from sim.analysis.tune_crafts import tuned_crafts
from sim.analysis.tune_search import Search, searched
from sim.flight.ensemble import cores
from sim.spec import load_craft, load_scenario

PROGRAM = Path(__file__).with_name("random_gains.py")
POINTS = "GUSTWORTHY_RANDOM_POINTS"
FEW = "500"
CRAFTS = ("jellyfish_bicopter", "jellyfish_tricopter", "heron_tricopter")


@pytest.fixture(scope="module")
def ends():
    """Keep the margin that the first start of each craft ends at."""
    return {}


@pytest.fixture(scope="module", params=CRAFTS)
def drawn(request, repository):
    """Give a craft's name and what random search of its box finds."""
    files = [
        str(repository / "airframes" / f"{request.param}.yaml"),
        str(repository / "scenarios" / "lake_breeze.yaml"),
    ]
    points = os.environ.get(POINTS, FEW)
    command = (sys.executable, str(PROGRAM), *files, points, "1", str(SPREAD_CRAFTS))
    environment = {**os.environ, "PYTHONPATH": str(repository)}
    done = subprocess.run(command, capture_output=True, text=True, env=environment, check=True)
    report = json.loads(done.stdout.splitlines()[-1])
    print(
        f"\n{request.param}: {report['points']} random points of {report['variables']} gains,"
        f" {report['ms_each']:.1f} ms of processor each, {report['passing']} pass, best joint disk"
        f" margin {report['best_disk']:.3f}"
    )
    return request.param, report


@pytest.mark.parametrize("factor", [0.1, 5.0], ids=["a tenth", "five times"])
def test_tuning_from_bad_gains(benchmark, repository, drawn, ends, factor):
    """At least the joint disk margin of random search, from a tenth and from five times the gains.

    What is timed is the whole search for a front, without flights; both starts end within 2 %.
    """
    name, report = drawn
    craft = load_craft(repository / "airframes" / f"{name}.yaml").spec
    day = load_scenario(repository / "scenarios" / "lake_breeze.yaml").spec
    crafts = tuned_crafts(craft, day, SPREAD_CRAFTS)
    values = np.array([variable.read(crafts.packed.record) for variable in crafts.space.variables])
    filters = 2
    values[:-filters] *= factor
    bad = crafts.space.point(crafts.space.written(crafts.packed.records, values)[0])
    assert crafts.judge(bad).disk < report["best_disk"] or not report["passing"]

    def tune():
        required = required_margins(day.limits)
        search = Search(crafts.judge, required, 1, cores(), str, crafts.profiles)
        usual = crafts.space.usual(crafts.space.point(crafts.packed.record))
        return searched(search, bad, usual, DEFAULT_EFFORT)

    began = time.process_time()
    best = benchmark.pedantic(tune, rounds=1)
    print(
        f"\n{name}, {factor:g} times the gains: joint disk margin {best.figures.disk:.4f},"
        f" {time.process_time() - began:.0f} s of processor"
    )
    ends.setdefault(name, best.figures.disk)
    assert best.figures.disk == pytest.approx(ends[name], rel=0.02)
    assert best.figures.shortfall(required_margins(day.limits)) <= 1.0
    assert best.figures.disk >= report["best_disk"]
