"""A steady flight carried up, so that what is tried from it does not end on the ground."""

from __future__ import annotations

from typing import Any, Final

from sim.analysis.trim import Trim

CARRIED_M: Final = 50.0


def carried_up(trim: Trim, state: Any) -> tuple[Any, Any]:
    """Give flight and state records, one each, 50 m above a trim in still air.

    Parameters
    ----------
    trim : Trim
        In still air, where height changes nothing but the effect of the ground.
    state : ndarray of one state record
        Its state, or one near it.

    Returns
    -------
    tuple of ndarray
        The trim's flight with its place up there and the fabric's own drag, and the state there.
    """
    flights, higher = trim.flights.copy(), state.copy()
    flights["command"]["place_m"][:, :, 2] -= CARRIED_M
    flights["swing_m_s"] = 0.0
    higher["body"]["position_m"][:, 2] -= CARRIED_M
    higher["estimate"]["position_m"][:, 2] -= CARRIED_M
    higher["particle"]["position_m"][:, :, 2] -= CARRIED_M
    return flights, higher
