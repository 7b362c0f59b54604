"""A steady flight carried over to another craft or wind, as the place to search the next one from.

Newton's method has its difficulties where a thread goes from slack to taut. So the fabric is not
left where it hung in the air but hung again from the rim, each panel along the direction it had,
as long as its thread is now.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from sim.numerics.quaternion import write_rotation
from sim.params.record import FloatArray


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
    before, after = old.drape.panel.height_m, new.drape.panel.height_m
    held = rim_places(crafts, state)
    places = carried["particle"]["position_m"][0]
    earlier = places.copy()
    above = new.drape.panel.above
    rim = rim_places(others, carried)
    for k in range(int(new.drape.panel_count)):
        high = int(above[k])
        from_old = held[-1 - high] if high < 0 else earlier[high]
        from_new = rim[-1 - high] if high < 0 else places[high]
        places[k] = from_new + (after[k] / before[k]) * (earlier[k] - from_old)
    return carried


def rim_places(crafts: Any, state: Any) -> FloatArray:
    """Give where the fabric is held [m, earth axes], shape (rim points, 3)."""
    rotation = np.empty((3, 3))
    body = state["body"]
    write_rotation(body["attitude"][0], rotation)
    found: FloatArray = body["position_m"][0] + crafts[0]["drape"]["rim"]["place_m"] @ rotation.T
    return found


def hung_along(crafts: Any, state: Any, moved: Any, turn_rad: FloatArray) -> None:
    """Bring the fabric of a moved state back to the end of its threads, in place.

    A straight step that swings a thread also lengthens it, and threads are so stiff that this
    outweighs all else. So each thread keeps the direction that the step gives it and the length
    that it would have if swinging did not lengthen it.

    Parameters
    ----------
    crafts, state : ndarray of one record each
        The state before the step.
    moved : ndarray of one state record
        After it.
    turn_rad : (3,) array
        [rad] How the step turned the body, about its own axes.
    """
    rotation = np.empty((3, 3))
    write_rotation(state["body"]["attitude"][0], rotation)
    shifted = moved["body"]["position_m"][0] - state["body"]["position_m"][0]
    held, rim = rim_places(crafts, state), rim_places(crafts, moved)
    turned = np.cross(turn_rad, crafts[0]["drape"]["rim"]["place_m"]) @ rotation.T
    straight = held + shifted + turned
    before = state["particle"]["position_m"][0]
    after = moved["particle"]["position_m"][0]
    stepped = after.copy()
    above = crafts[0].drape.panel.above
    for k in range(int(crafts[0].drape.panel_count)):
        high = int(above[k])
        first = before[k] - (held[-1 - high] if high < 0 else before[high])
        then = stepped[k] - (straight[-1 - high] if high < 0 else stepped[high])
        length = math.sqrt(first @ first) * math.sqrt(then @ then)
        share = float(first @ then) / length if length > 0.0 else 1.0
        after[k] = (rim[-1 - high] if high < 0 else after[high]) + share * then


def _alike(old: Any, new: Any) -> bool:
    """Tell whether two crafts have the same rotors, loops and grid of fabric."""
    return bool(
        old.rotor_count == new.rotor_count
        and old.control.delay_runs == new.control.delay_runs
        and old.drape.panel_count == new.drape.panel_count
        and old.drape.rim_count == new.drape.rim_count
        and np.array_equal(old.drape.panel.above, new.drape.panel.above)
    )
