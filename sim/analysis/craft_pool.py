"""Many crafts computed side by side, in processes that each hold what the crafts share."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from contextlib import contextmanager
from multiprocessing import get_context, parent_process
from multiprocessing.synchronize import Event
from typing import Any, Final, TypeVar

from sim.analysis.sampled_craft import Surroundings
from sim.flight.ensemble import cores

Item = TypeVar("Item")
Found = TypeVar("Found")
Task = Callable[[Surroundings, Item], Found]

# The matrices are so small that sharing out one of them costs more than it saves, and with one
# thread the same matrix gives the same bits in every process.
_ONE_THREAD: Final = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")

LOOK_UP_S: Final = 1.0
"""[s] How often a process looks whether the one that began it is still there."""

_shared: list[Surroundings] = []


def computed(
    around: Surroundings,
    task: Task[Item, Found],
    items: Sequence[Item],
    *,
    workers: int | None = None,
    tell: Callable[[int], None] | None = None,
) -> tuple[Found, ...]:
    """Run a task on every item; the results come in the order of the items.

    Parameters
    ----------
    around : Surroundings
        Handed to every call.
    task : callable
        A function of a module, of `around` and an item.
    items : sequence
    workers : int, optional
        Processes; as many as cores by default, none but this one for 1.
    tell : callable, optional
        Told how many items are done, after each.
    """
    count = min(workers or cores(), len(items))
    found: dict[int, Found] = {}
    for number, result in _as_they_come(around, task, items, count):
        found[number] = result
        if tell is not None:
            tell(len(found))
    return tuple(found[number] for number in range(len(items)))


def _as_they_come(
    around: Surroundings, task: Task[Item, Found], items: Sequence[Item], workers: int
) -> Iterator[tuple[int, Found]]:
    if workers <= 1:
        for number, item in enumerate(items):
            yield number, task(around, item)
        return
    context = get_context("spawn")
    stop = context.Event()
    with _one_thread_each():
        pool = ProcessPoolExecutor(
            workers, mp_context=context, initializer=_begin, initargs=(around, stop)
        )
        finished = False
        try:
            futures: dict[Future[Any], int] = {}
            with _ctrl_c_later():
                for number, item in enumerate(items[:workers]):
                    futures[pool.submit(_run, task, item)] = number
            for number, item in enumerate(items[workers:], workers):
                futures[pool.submit(_run, task, item)] = number
            for future in as_completed(futures):
                yield futures[future], future.result()
            finished = True
        finally:
            if not finished:
                stop.set()
            pool.shutdown(cancel_futures=True)


def _begin(around: Surroundings, stop: Event) -> None:
    """Prepare a process: it holds what is shared, and ends when told to, not by Ctrl-C itself."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_when_told, args=(stop,), daemon=True).start()
    _shared.append(around)


def _end_when_told(stop: Event) -> None:
    """End this process when told to, and when nobody is left who could."""
    parent = parent_process()
    while not stop.wait(LOOK_UP_S):
        if parent is None or not parent.is_alive():
            break
    os._exit(1)


def _run(task: Task[Item, Found], item: Item) -> Found:
    return task(_shared[0], item)


@contextmanager
def _ctrl_c_later() -> Iterator[None]:
    """Put Ctrl-C off to the end; processes begun inside are never woken by it.

    They inherit what is blocked here; where another thread gets the signal, it is noted.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    came: list[int] = []
    handler = signal.signal(signal.SIGINT, lambda number, _frame: came.append(number))
    blocked = hasattr(signal, "pthread_sigmask")
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT}) if blocked else set()
    try:
        yield
    finally:
        if blocked:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)
        signal.signal(signal.SIGINT, handler)
    if came:
        raise KeyboardInterrupt


@contextmanager
def _one_thread_each() -> Iterator[None]:
    """Let processes begun inside multiply matrices on one core each."""
    before = {name: os.environ.get(name) for name in _ONE_THREAD}
    os.environ.update(dict.fromkeys(_ONE_THREAD, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
