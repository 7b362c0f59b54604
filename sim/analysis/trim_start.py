"""A steady flight carried over to another craft or wind, as the place to search the next one from.

Newton's method has its difficulties where a thread goes from slack to taut. So the fabric is not
left where it hung in the air but hung again from the rim, each panel along the direction it had,
as long as its thread is now.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.numerics.quaternion import write_rotation


def carried_over(crafts: Any, state: Any, others: Any) -> Any | None:
    """Give a state for other crafts that is like a steady state of the first.

    Parameters
    ----------
    crafts : ndarray of one craft record
        What the state is steady for.
    state : ndarray of one state record
    others : ndarray of one craft record
        What flies now, with as many rotors and panels.

    Returns
    -------
    ndarray of one state record, or None
        None where the two have not the same rotors and fabric.
    """
    old, new = crafts[0], others[0]
    if not _alike(old, new):
        return None
    carried = state.copy()
    body = carried["body"]
    rotation = np.empty((3, 3))
    write_rotation(body["attitude"][0], rotation)
    before, after = old.drape.panel.height_m, new.drape.panel.height_m
    centre = body["position_m"][0]
    places = carried["particle"]["position_m"][0]
    earlier = places.copy()
    above = new.drape.panel.above
    rim_old = centre + old["drape"]["rim"]["place_m"] @ rotation.T
    rim_new = centre + new["drape"]["rim"]["place_m"] @ rotation.T
    for k in range(int(new.drape.panel_count)):
        high = int(above[k])
        from_old = rim_old[-1 - high] if high < 0 else earlier[high]
        from_new = rim_new[-1 - high] if high < 0 else places[high]
        places[k] = from_new + (after[k] / before[k]) * (earlier[k] - from_old)
    return carried


def _alike(old: Any, new: Any) -> bool:
    """Tell whether two crafts have the same rotors, loops and grid of fabric."""
    return bool(
        old.rotor_count == new.rotor_count
        and old.control.delay_runs == new.control.delay_runs
        and old.drape.panel_count == new.drape.panel_count
        and old.drape.rim_count == new.drape.rim_count
        and np.array_equal(old.drape.panel.above, new.drape.panel.above)
    )
