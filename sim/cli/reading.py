"""Read the files that a command names; refuse what cannot be used before computing."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Final

from sim.errors import Fault, InputFaults

if TYPE_CHECKING:
    from sim.spec.files import LoadedCraft, LoadedScenario

DEFAULT_SCENARIO: Final = Path(__file__).resolve().parents[2] / "scenarios" / "lake_breeze.yaml"


def load_both(craft: Path, scenario: Path) -> tuple[LoadedCraft, LoadedScenario]:
    """Read craft and scenario, with the faults of both told at once.

    Parameters
    ----------
    craft, scenario : Path
        The files.

    Returns
    -------
    tuple of LoadedCraft and LoadedScenario
        As read; `InputFaults` is raised when one of them cannot be used.
    """
    from sim.spec.files import load_craft, load_scenario  # noqa: PLC0415

    faults: list[Fault] = []
    loaded_craft, loaded_scenario = None, None
    try:
        loaded_craft = load_craft(craft)
    except InputFaults as found:
        faults += found.faults
    try:
        loaded_scenario = load_scenario(scenario)
    except InputFaults as found:
        faults += found.faults
    if loaded_craft is None or loaded_scenario is None:
        raise InputFaults(tuple(faults))
    return loaded_craft, loaded_scenario


def refuse_folder(folder: Path) -> None:
    """Refuse a folder that nothing can be written into, before anything is computed.

    Parameters
    ----------
    folder : Path
        Where files will be written; it need not exist.
    """
    nearest = folder
    while not nearest.exists() and nearest != nearest.parent:
        nearest = nearest.parent
    if not nearest.is_dir():
        raise InputFaults((Fault(str(nearest), 0, 0, "is a file; this needs a folder"),))
    if not os.access(nearest, os.W_OK | os.X_OK):
        raise InputFaults((Fault(str(nearest), 0, 0, "nothing can be written into this folder"),))


def refuse_file(path: Path) -> None:
    """Refuse a file that cannot be written, before anything is computed.

    Parameters
    ----------
    path : Path
        To be written; its folder must exist.
    """
    if path.is_dir():
        raise InputFaults((Fault(str(path), 0, 0, "is a folder; name a file"),))
    if not path.parent.exists():
        raise InputFaults((Fault(str(path), 0, 0, f"there is no folder {path.parent}"),))
    refuse_folder(path.parent)


def refuse_too_few(crafts: int, scenario: LoadedScenario, option: str) -> None:
    """Refuse so few crafts that not even all of them passing would show what is asked.

    Parameters
    ----------
    crafts : int
        To be computed.
    scenario : LoadedScenario
        Its limits ask for a share of successes and a confidence.
    option : str
        That the number was given by.
    """
    from sim.analysis.binomial_bounds import flights_needed  # noqa: PLC0415

    limits = scenario.spec.limits
    needed = flights_needed(limits.success, limits.confidence)
    if crafts < needed:
        what = (
            f"{crafts} crafts are too few: to show that {100.0 * limits.success:g} % pass with"
            f" {100.0 * limits.confidence:g} % confidence takes {needed}"
        )
        raise InputFaults((Fault(option, 0, 0, what),))
