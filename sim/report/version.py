"""The version of gustworthy that made a report."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError
from importlib.metadata import version as installed_version


def version() -> str:
    """Give the version of the installed distribution.

    Returns
    -------
    str
        Such as "0.1.0"; "not installed" when run from a bare folder of source text.
    """
    try:
        return installed_version("gustworthy")
    except PackageNotFoundError:
        return "not installed"
