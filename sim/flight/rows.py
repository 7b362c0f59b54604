"""One row for each flight: how it ended, its extremes, what it sat on, and where it flew.

Rows are a numpy array with named columns. A flight's tally is many times larger and is dropped once
its row is made. New tally fields that carry a unit become columns by themselves.
"""

from __future__ import annotations

from typing import Any, Final, NamedTuple, get_args, get_type_hints

import numpy as np
from numpy.typing import NDArray

from sim.flight.outcome import first_limits
from sim.flight.results import GOOD_ENDS
from sim.params.tally_record import Limit, Stop, TallyRecord

Rows = NDArray[Any]

NO_FABRIC_M: Final = 1e8
_SHARES: Final = {"share_in_own_wake": "ticks_in_own_wake", "share_off_map": "ticks_off_map"}


class Column(NamedTuple):
    """One column of the rows.

    Attributes
    ----------
    name : str
    unit : str
        SI unit, "-" for a pure number or a code.
    meaning : str
    """

    name: str
    unit: str
    meaning: str


CODES: Final = (
    Column("flight", "-", "number within the study"),
    Column("stop", "-", "why it ended, see Stop"),
    Column("first_limit", "-", "limit that came first before the end, see Limit; -1: none"),
)


def _from_tally() -> tuple[list[Column], list[Column]]:
    """Give the columns that are tally fields as they are, and those that are runs of steps."""
    plain, runs = [], []
    for name, hint in get_type_hints(TallyRecord, include_extras=True).items():
        base, quantity = get_args(hint)[:2]
        if base is not float or name == "stop_s":
            continue
        if quantity.unit != "-" or name.startswith(("most_", "least_")):
            plain.append(Column(name, quantity.unit, quantity.meaning))
        elif name.startswith("longest_"):
            runs.append(Column(name, "s", quantity.meaning))
    return plain, runs


_PLAIN, _RUNS = _from_tally()
MEASURES: Final[tuple[Column, ...]] = (
    Column("wind_m_s", "m/s", "mean wind at the scenario's wind height"),
    Column("wind_from_rad", "rad", "compass direction it blows from"),
    Column("time_s", "s", "when it ended"),
    *_PLAIN,
    *(Column(f"{run.name}_s", "s", run.meaning) for run in _RUNS),
    *(Column(name, "-", f"share of the flight: {field}") for name, field in _SHARES.items()),
    *(Column(f"share_{k.name.lower()}", "-", "share of the flight on a limit") for k in Limit),
    *(Column(f"longest_{k.name.lower()}_s", "s", "longest run on a limit") for k in Limit),
)
COLUMNS: Final[tuple[Column, ...]] = (*CODES, *MEASURES)
ROW_TYPE: Final[np.dtype[Any]] = np.dtype(
    [(column.name, np.int64) for column in CODES]
    + [(column.name, np.float64) for column in MEASURES]
)


def rows_of(flights: Any, tallies: Any) -> Rows:
    """Make the rows of flights that have ended.

    Parameters
    ----------
    flights : ndarray of flight records, shape (flights,)
    tallies : ndarray of tally records, shape (flights,)

    Returns
    -------
    ndarray of ROW_TYPE, shape (flights,)
        What does not exist, such as the distance to a rotor of fabric that is not there, or the
        drift of a flight that ended before drift counts, is nan.
    """
    rows = np.zeros(len(tallies), dtype=ROW_TYPE)
    step_s = flights["step_s"]
    ticks = np.maximum(tallies["ticks"], 1.0)
    rows["flight"] = flights["flight"]
    rows["stop"] = tallies["stop"]
    rows["wind_m_s"] = flights["wind_m_s"]
    rows["wind_from_rad"] = flights["wind_from_rad"]
    rows["time_s"] = tallies["stop_s"]
    if len(tallies):
        rows["first_limit"] = first_limits(tallies, float(step_s[0]))
    for column in _PLAIN:
        rows[column.name] = tallies[column.name]
    for run in _RUNS:
        rows[f"{run.name}_s"] = tallies[run.name] * step_s
    for name, field in _SHARES.items():
        rows[name] = tallies[field] / ticks
    for limit in Limit:
        name = limit.name.lower()
        rows[f"share_{name}"] = tallies["ticks_at_limit"][:, int(limit)] / ticks
        rows[f"longest_{name}_s"] = tallies["longest_run"][:, int(limit)] * step_s
    rows["least_clearance_m"][rows["least_clearance_m"] > NO_FABRIC_M] = np.nan
    not_judged = tallies["stop_s"] < flights["limit"]["judged_from_s"]
    for place in ("most_drift_m", "most_height_loss_m"):
        rows[place][not_judged] = np.nan
    for touch in (name for name in ROW_TYPE.names or () if "touchdown" in name):
        rows[touch][rows[touch] == 0.0] = np.nan
    return rows


def succeeded(rows: Rows) -> NDArray[np.bool_]:
    """Tell which flights ended as they should, shape (flights,)."""
    good: NDArray[np.bool_] = np.isin(rows["stop"], [int(end) for end in GOOD_ENDS])
    return good


def computable(rows: Rows) -> NDArray[np.bool_]:
    """Tell which flights stayed finite; the others are counted and named, never averaged."""
    finite: NDArray[np.bool_] = rows["stop"] != int(Stop.NOT_FINITE)
    return finite
