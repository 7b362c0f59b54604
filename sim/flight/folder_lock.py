"""A folder that one process works in; the lock goes with the process, however it ends."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sim.errors import Fault, InputFaults


def _try_lock(handle: int) -> None:
    """Lock an open file or raise OSError."""
    if sys.platform == "win32":
        import msvcrt  # noqa: PLC0415 - only there

        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl  # noqa: PLC0415 - only there

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


@contextmanager
def sole_user(folder: Path) -> Iterator[None]:
    """Hold a folder for this process.

    Parameters
    ----------
    folder : Path
        It exists.

    Raises
    ------
    InputFaults
        When another process holds it.
    """
    handle = os.open(folder / ".lock", os.O_RDWR | os.O_CREAT, 0o644)
    try:
        try:
            _try_lock(handle)
        except OSError:
            what = "another gustworthy is working in this folder; wait until it has ended"
            raise InputFaults((Fault(str(folder), 0, 0, what),)) from None
        yield
    finally:
        os.close(handle)
