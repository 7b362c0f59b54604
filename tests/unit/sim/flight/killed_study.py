"""A program that runs the same small study again and again, each time in a process to be killed.

For every line on standard input, the path of a folder, it forks a process that works on the study
in that folder, and writes the process's number. The compiled code is loaded once, before.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

from sim.analysis.check import scenario_start
from sim.flight.crew import LocalCrew
from sim.flight.identity import StudyIdentity
from sim.flight.plan import OneCraftPlan, Part, fly_part
from sim.flight.study import study_in
from sim.pack.craft import pack_craft
from sim.pack.flight import day_air, pack_flight
from sim.spec import load_craft, load_scenario

ROOT = Path(__file__).resolve().parents[4]
FLIGHTS = 2000
IDENTITY = StudyIdentity({"of": "this test"})


def small_plan(*, seconds=0.25):
    """Give noisy flights of the bare frame in a breeze, from level rotors."""
    scenario = load_scenario(ROOT / "scenarios" / "lake_breeze.yaml").spec
    craft = load_craft(ROOT / "airframes" / "bare_bicopter.yaml").spec
    packed = pack_craft(craft, day_air(scenario))
    flight = pack_flight(scenario, packed.air)
    flight["duration_s"] = seconds
    return OneCraftPlan("breeze", packed.records, flight, scenario_start(packed, scenario, None))


def work(plan, folder):
    with study_in(Path(folder), IDENTITY, FLIGHTS, LocalCrew(2)) as study:
        for _ in study.rows(plan, FLIGHTS):
            pass


def say(number):
    sys.stdout.write(f"{number}\n")
    sys.stdout.flush()


def main():
    plan = small_plan()
    import pyarrow.parquet  # noqa: F401, PLC0415 - loaded once, for all the processes to come

    fly_part(plan, Part(0, 1))
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            work(plan, line.strip())
            os._exit(0)
        say(child)
        _, status = os.waitpid(child, 0)
        say(os.waitstatus_to_exitcode(status))


if __name__ == "__main__":
    main()
