"""Who flies: the cores of this machine, a few flights at a time on each."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from itertools import islice
from typing import Final, Protocol, final

import numpy as np

from sim.flight.ensemble import cores
from sim.flight.plan import Part, Plan, fly_part
from sim.flight.rows import Rows

AT_ONCE: Final = 4
FEW: Final = 32
AHEAD: Final = 3


class Crew(Protocol):
    """Flies parts of a plan; which crew it is changes no bit of the rows."""

    def fly(self, plan: Plan, parts: Iterable[Part]) -> Iterator[tuple[Part, Rows]]:
        """Give every part with its rows, in any order, as they end."""
        ...


def split(parts: Iterable[Part], size: int) -> Iterator[Part]:
    """Cut parts into pieces of at most `size` flights."""
    for part in parts:
        for first in range(part.first, part.end, size):
            yield Part(first, min(size, part.end - first))


@final
class LocalCrew:
    """Threads of this process.

    Parameters
    ----------
    threads : int, optional
        All cores by default.
    """

    def __init__(self, threads: int | None = None) -> None:
        self.threads = threads or cores()

    def fly(self, plan: Plan, parts: Iterable[Part]) -> Iterator[tuple[Part, Rows]]:
        """Give every part with its rows, in the order asked; few are in memory at a time."""
        with ThreadPoolExecutor(self.threads) as pool:
            waiting: deque[tuple[Part, list[Future[Rows]]]] = deque()
            try:
                for part in parts:
                    # A few flights go one by one, so that no core waits long for another's.
                    pieces = split((part,), 1 if part.flights < FEW else AT_ONCE)
                    waiting.append((part, [pool.submit(fly_part, plan, piece) for piece in pieces]))
                    while len(waiting) > 1 and _to_come(waiting) >= AHEAD * self.threads:
                        yield _ended(waiting)
                while waiting:
                    yield _ended(waiting)
            finally:
                pool.shutdown(cancel_futures=True)


def _to_come(waiting: deque[tuple[Part, list[Future[Rows]]]]) -> int:
    """Give how many pieces in the queue have not ended."""
    return sum(not future.done() for _, futures in waiting for future in futures)


def _ended(waiting: deque[tuple[Part, list[Future[Rows]]]]) -> tuple[Part, Rows]:
    """Take the first part off the queue once all of it has ended."""
    part, futures = waiting.popleft()
    return part, np.concatenate([future.result() for future in futures])


def in_order(
    flown: Iterator[tuple[Part, Rows]], parts: Iterable[Part]
) -> Iterator[tuple[Part, Rows]]:
    """Give parts in the order of `parts`, keeping those that end early until their turn."""
    early: dict[Part, Rows] = {}
    for part in parts:
        while part not in early:
            ended = list(islice(flown, 1))
            if not ended:
                message = f"flights {part.first} to {part.end - 1} were never flown"
                raise RuntimeError(message)
            early[ended[0][0]] = ended[0][1]
        yield part, early.pop(part)
