"""By how much tuning raises the wind limit of a craft: paired flights in gusts not seen before.

Arguments: craft file, scenario file, flights in each wind (100 or more), seed of the gusts. Against
the gains as they are in the file (or follow from the rule, which is what `new` writes too), against
half of the tuned gains (the values that the hand-tuning plan begins with) and against a tenth of
the gains in the file. Prints one line of JSON each.
"""

from __future__ import annotations

import dataclasses
import json
import os
import sys
import time
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


from sim.analysis.paired_flights import Outcomes, paired_limits
from sim.analysis.tune import TuneEffort, tune
from sim.analysis.tune_apply import with_gains
from sim.analysis.tune_flights import flown_in
from sim.pack.craft import pack_craft
from sim.spec import load_craft, load_scenario

WINDS_M_S = (3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0)
FILTERS = 2


def main() -> None:
    """Tune, then fly own, weak and tuned gains in the same gusts."""
    craft, scenario = load_craft(Path(sys.argv[1])), load_scenario(Path(sys.argv[2]))
    flights, seed = int(sys.argv[3]), int(sys.argv[4])
    if seed == scenario.spec.seed:
        message = "tuning has seen the gusts of this seed"
        raise SystemExit(message)
    began = time.monotonic()
    found = tune(craft, scenario, effort=TuneEffort(limits=False))
    if found.tuned_craft is None or found.chosen is None:
        message = "no gains were found"
        raise SystemExit(message)
    fresh = scenario.spec.model_copy(update={"seed": seed})
    space, air = found.crafts.space, found.crafts.packed.air
    half, tenth = found.chosen.values.copy(), found.own.values.copy()
    half[:-FILTERS] *= 0.5
    tenth[:-FILTERS] *= 0.1
    compared = {
        "gains as in the file": craft.spec,
        "half of the tuned gains": with_gains(craft.spec, space, half),
        "a tenth of the gains in the file": with_gains(craft.spec, space, tenth),
    }

    def flown(spec: object) -> Outcomes:
        return flown_in(pack_craft(spec, air), fresh, WINDS_M_S, flights).outcomes  # type: ignore[arg-type]

    tuned = flown(found.tuned_craft)
    for name, spec in compared.items():
        pair = paired_limits(WINDS_M_S, flown(spec), tuned, fresh.limits.success)
        print(
            json.dumps(
                {
                    "craft": craft.spec.name,
                    "against": name,
                    **dataclasses.asdict(pair),
                    "is_certain": pair.is_certain,
                    "seconds": time.monotonic() - began,
                }
            ),
            flush=True,
        )


if __name__ == "__main__":
    main()
