"""Random search of the gain box, in processes of its own: prints one line of JSON.

Arguments: craft file, scenario file, points, seed, crafts of the spread. Points are drawn in
blocks, each with its own generator, so that the answer does not depend on the number of processes.
"""

from __future__ import annotations

import json
import os
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
os.environ.setdefault("NUMBA_NUM_THREADS", "1")

import numpy as np

from sim.analysis.tune_crafts import TunedCrafts, tuned_crafts
from sim.flight.ensemble import cores
from sim.spec import load_craft, load_scenario

BLOCK = 250
_ready: list[TunedCrafts] = []


def begin(craft: str, scenario: str, spread: int) -> None:
    """Make a process ready to judge."""
    day = load_scenario(Path(scenario)).spec
    _ready.append(tuned_crafts(load_craft(Path(craft)).spec, day, spread))


def block(seed: int, number: int, points: int) -> tuple[float, int, int, int, float]:
    """Try points of the box, each as likely as any other.

    Gives the best joint disk margin that passes, how many are stable, how many pass, the number of
    gains and the processor's time [s].
    """
    crafts = _ready[0]
    random = np.random.default_rng([seed, number])
    best, stable, passing = 0.0, 0, 0
    began = time.process_time()
    for _ in range(points):
        figures = crafts.judge(random.random(crafts.space.size))
        stable += figures.stable
        if figures.shortfall(crafts.required) <= 1.0:
            passing += 1
            best = max(best, figures.disk)
    return best, stable, passing, crafts.space.size, time.process_time() - began


def main() -> None:
    """Try so many points; keep the best that passes."""
    points, seed, spread = (int(text) for text in sys.argv[3:6])
    sizes = [min(BLOCK, points - first) for first in range(0, points, BLOCK)]
    with ProcessPoolExecutor(
        cores(), get_context("spawn"), begin, (sys.argv[1], sys.argv[2], spread)
    ) as pool:
        count = len(sizes)
        found = list(pool.map(block, [seed] * count, range(count), sizes))
    print(
        json.dumps(
            {
                "points": points,
                "variables": found[0][3],
                "stable": sum(one[1] for one in found),
                "passing": sum(one[2] for one in found),
                "best_disk": max(one[0] for one in found),
                "ms_each": 1e3 * sum(one[4] for one in found) / points,
            }
        )
    )


if __name__ == "__main__":
    main()
