"""Every exception that gustworthy raises on purpose.

SimError                    base: catch this one
 +- InputFaults             a craft or scenario file cannot be used (exit status 2)
 +- NoTrim                  no steady flight exists for this craft and wind (a finding, exit status
 1) +- NotLinear               the derivative of the step did not settle (exit status 3)

Compiled code raises nothing: a flight that ends badly is a stop code, not an exception.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import final


class SimError(Exception):
    """Base of all errors raised on purpose."""


@final
@dataclass(frozen=True)
class Fault:
    """One thing wrong in an input file.

    Attributes
    ----------
    file : str
        File as the user named it.
    line, column : int
        Place of the fault, counted from 1; 0 when the fault has no place (an unreadable file).
    what : str
        What is wrong, and what would be right.
    excerpt : str
        The offending line of the file, or an empty string.
    """

    file: str
    line: int
    column: int
    what: str
    excerpt: str = ""

    def __str__(self) -> str:
        """Give `file:line:column: what` and, below it, the line with a caret."""
        place = f"{self.file}:{self.line}:{self.column}" if self.line else self.file
        if not self.excerpt:
            return f"{place}: {self.what}"
        caret = " " * max(self.column - 1, 0) + "^"
        return f"{place}: {self.what}\n    {self.excerpt}\n    {caret}"


@final
class InputFaults(SimError):
    """An input file cannot be used; carries every fault found, not only the first."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        super().__init__(faults)
        self.faults = faults

    def __str__(self) -> str:
        """Give all faults, one below the other."""
        return "\n".join(str(fault) for fault in self.faults)


@final
class NoTrim(SimError):
    """No steady flight was found; `reason` is a sentence for the builder."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason

    def __str__(self) -> str:
        """Give the reason."""
        return self.reason


@final
class NotLinear(SimError):
    """The derivative of the step at trim changes with the size or side of the difference taken."""

    def __init__(self, where: str, seen: float, allowed: float) -> None:
        super().__init__(where, seen, allowed)
        self.where = where
        self.seen = seen
        self.allowed = allowed

    def __str__(self) -> str:
        """Give the place, the disagreement and the bound."""
        return (
            f"the step has no usable derivative at {self.where}: two differences disagree by "
            f"{self.seen:.2g}, at most {self.allowed:.2g} is accepted"
        )
