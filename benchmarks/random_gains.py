"""Random search of the gain box, in a process of its own: prints one line of JSON.

Arguments: craft file, scenario file, points, seed, crafts of the spread.
"""

from __future__ import annotations

import json
import os
import sys
import time
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
os.environ.setdefault("NUMBA_NUM_THREADS", "1")

import numpy as np

from sim.analysis.required_margins import required_margins
from sim.analysis.tune_crafts import tuned_crafts
from sim.spec import load_craft, load_scenario


def main() -> None:
    """Try so many points of the box, each as likely as any other; keep the best that passes."""
    craft, scenario = load_craft(Path(sys.argv[1])), load_scenario(Path(sys.argv[2]))
    points, seed, spread = (int(text) for text in sys.argv[3:6])
    crafts = tuned_crafts(craft.spec, scenario.spec, spread)
    required = required_margins(scenario.spec.limits)
    random = np.random.default_rng(seed)
    best, stable, passing = 0.0, 0, 0
    began = time.process_time()
    for _ in range(points):
        figures = crafts.judge(random.random(crafts.space.size))
        stable += figures.stable
        if figures.shortfall(required) <= 1.0:
            passing += 1
            best = max(best, figures.disk)
    spent = time.process_time() - began
    print(
        json.dumps(
            {
                "points": points,
                "variables": crafts.space.size,
                "stable": stable,
                "passing": passing,
                "best_disk": best,
                "ms_each": 1e3 * spent / points,
            }
        )
    )


if __name__ == "__main__":
    main()
