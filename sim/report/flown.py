"""One flight as text, as JSON and as a table of its history."""

from __future__ import annotations

import io
from typing import Any, Final

import numpy as np
from rich.console import Console
from rich.text import Text

from sim.analysis.fly_task import FlownTask
from sim.flight.fabric_hit import fabric_hit
from sim.flight.outcome import LIMIT_WORDS
from sim.pack.flight import JUDGED_FROM_S
from sim.params.tally_record import Limit
from sim.report.as_json import FORMAT_VERSION, file_data, plain_data
from sim.report.number_text import capital, degrees, fixed, percent, plain, with_unit
from sim.report.section import Table, TableRow
from sim.report.terminal import printable, shown_text, table_grid
from sim.spec.files import LoadedCraft, LoadedScenario
from sim.step.channels import BODY_CHANNELS, ROTOR_CHANNELS

_CENTIMETRES: Final = 100.0
_PLACES: Final = ("farthest from its place", "lowest below its height")
_SUFFIX: Final = {
    "-": "",
    "s": "_s",
    "m": "_m",
    "m/s": "_m_s",
    "rad": "_rad",
    "rad/s": "_rad_s",
    "V": "_v",
    "A": "_a",
    "N": "_n",
    "N m": "_n_m",
}


def column_names(rotors: int) -> list[str]:
    """Name the columns of a flight's history, units included.

    Parameters
    ----------
    rotors : int
        How many the craft has; they count from 1.

    Returns
    -------
    list of str
        Such as `height_m` and `rotor_1_thrust_n`.
    """
    names = [f"{name}{_SUFFIX[unit]}" for name, unit in BODY_CHANNELS]
    for number in range(1, rotors + 1):
        names += [f"rotor_{number}_{name}{_SUFFIX[unit]}" for name, unit in ROTOR_CHANNELS]
    return names


def history_csv(flown: FlownTask) -> str:
    """Write the history of a flight as comma-separated values.

    Parameters
    ----------
    flown : FlownTask
        A flight.

    Returns
    -------
    str
        One line of names, then one line for each sample.
    """
    names = column_names(int(flown.packed.record.rotor_count))
    history = flown.flight.history[:, : len(names)]
    stream = io.StringIO()
    np.savetxt(stream, history, fmt="%.9g", delimiter=",", header=",".join(names), comments="")
    return stream.getvalue()


def limit_shares(flown: FlownTask) -> dict[str, float]:
    """Give the share of the flight on each limit that was met.

    Parameters
    ----------
    flown : FlownTask
        A flight.

    Returns
    -------
    dict
        [-] By the limit in words.
    """
    tally = flown.flight.tally
    ticks = max(float(tally.ticks), 1.0)
    shares = {
        LIMIT_WORDS[limit]: float(tally.ticks_at_limit[int(limit)]) / ticks for limit in Limit
    }
    return {words: share for words, share in shares.items() if share > 0.0}


def flown_data(flown: FlownTask, craft: LoadedCraft, scenario: LoadedScenario) -> dict[str, Any]:
    """Give a flight as plain data: what `gustworthy fly --format json` prints.

    Parameters
    ----------
    flown : FlownTask
        A flight.
    craft, scenario : LoadedCraft, LoadedScenario
        What flew, and how.

    Returns
    -------
    dict
        Keys with their units; None stands for a number that is not finite or not there.
    """
    tally = flown.flight.tally
    has_fabric, judged = bool(craft.spec.drapes), _is_judged(flown)
    landing_m_s = float(tally.hardest_touchdown_m_s)
    return plain_data(
        {
            "format_version": FORMAT_VERSION,
            "craft": file_data(craft, layout=craft.spec.layout),
            "scenario": file_data(scenario, wind_m_s=scenario.spec.wind.mean_m_s),
            "outcome": flown.outcome,
            "succeeded": flown.succeeded,
            "fabric_in_rotor": fabric_hit(flown.packed, tally) or None,
            "ended_s": float(tally.stop_s),
            "most_tilt_rad": float(tally.most_tilt_rad),
            "most_drift_m": float(tally.most_drift_m) if judged else None,
            "most_height_loss_m": float(tally.most_height_loss_m) if judged else None,
            "hardest_touchdown_m_s": landing_m_s if landing_m_s > 0.0 else None,
            "most_current_a": float(tally.most_current_a),
            "energy_j": float(tally.energy_j),
            "least_clearance_m": float(tally.least_clearance_m) if has_fabric else None,
            "shares_on_limits": limit_shares(flown),
        }
    )


def _share_text(share: float) -> str:
    """Write a share above 0 in percent, never as if it were none."""
    text = percent(share, 1)
    return text if float(text) > 0.0 else "under 0.1"


def _is_judged(flown: FlownTask) -> bool:
    """Tell whether a flight lasted until drift and height count."""
    return bool(flown.flight.tally.stop_s >= JUDGED_FROM_S)


def _places_text(flown: FlownTask) -> tuple[str, str]:
    """Tell drift and height lost."""
    if not _is_judged(flown):
        return (f"counts from {plain(JUDGED_FROM_S)} s on",) * 2
    drift, loss = flown.flight.tally.most_drift_m, flown.flight.tally.most_height_loss_m
    return with_unit(fixed(float(drift), 2), "m"), with_unit(fixed(max(float(loss), 0.0), 2), "m")


def flown_text(
    flown: FlownTask, craft: LoadedCraft, scenario: LoadedScenario, console: Console
) -> str:
    """Tell a flight in words.

    Parameters
    ----------
    flown : FlownTask
        A flight.
    craft, scenario : LoadedCraft, LoadedScenario
        What flew, and how.
    console : Console
        From `sim.report.terminal.make_console`.

    Returns
    -------
    str
        Lines for a terminal.
    """
    tally = flown.flight.tally
    rows = [("steepest lean", with_unit(degrees(float(tally.most_tilt_rad)), "deg"))]
    rows += zip(_PLACES, _places_text(flown), strict=True)
    rows.append(("highest current", with_unit(fixed(float(tally.most_current_a), 1), "A")))
    if tally.hardest_touchdown_m_s > 0.0:
        hardest = with_unit(fixed(float(tally.hardest_touchdown_m_s), 2), "m/s")
        rows.append(("hardest touch-down", hardest))
    if craft.spec.drapes:
        near = fixed(float(tally.least_clearance_m) * _CENTIMETRES, 0)
        rows.append(("fabric to a rotor disc", with_unit(near, "cm")))
    rows += [
        (f"on the limit: {words}", f"{_share_text(share)} % of the time")
        for words, share in limit_shares(flown).items()
    ]
    table = Table("", ("figure", "value"), tuple(TableRow(row) for row in rows))
    with console.capture() as captured:
        console.print(
            Text(f"{printable(craft.spec.name)}: {printable(scenario.spec.name)}", "bold")
        )
        console.print(Text(f"{capital(flown.outcome)}."))
        console.print(table_grid(table))
    return shown_text(captured.get())
