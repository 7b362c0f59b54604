"""The same study on many machines: parts go to the workers of a Dask cluster.

A part is made from the plan and its numbers alone, so a worker that is lost takes nothing along:
the scheduler gives its parts to another. Every worker checks that it computes with the same source
text and versions before it flies.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import cache
from importlib.util import find_spec
from itertools import islice
from typing import Any, Final, final

from sim.errors import Fault, InputFaults, SimError
from sim.flight.crew import Crew, LocalCrew
from sim.flight.identity import code_digest, versions
from sim.flight.plan import Part, Plan, fly_part
from sim.flight.rows import Rows

RETRIES: Final = 3
PARTS_A_THREAD: Final = 3
CONNECT_S: Final = 20


@cache
def own_build() -> dict[str, str]:
    """Give what decides the bits that this process computes: source text and versions."""
    return {"source text": code_digest(), **versions()}


def fly_on_worker(plan: Plan, part: Part, build: dict[str, str]) -> Rows:
    """Fly a part on a worker, unless its source text or versions are others than the study's."""
    apart = [
        f"{name}: {build.get(name)} at the study, {value} at a worker"
        for name, value in own_build().items()
        if build.get(name) != value
    ]
    if apart:
        message = "a worker would give other bits; install the same there. Different: "
        raise SimError(message + "; ".join(apart))
    return fly_part(plan, part)


def kept(plan: Plan) -> Plan:
    """Give the plan itself: as a task, it is sent once and made anew when its worker is lost."""
    return plan


@final
class ClusterCrew:
    """Workers of a cluster.

    Parameters
    ----------
    client : distributed.Client
    """

    def __init__(self, client: Any) -> None:
        self.client = client

    def fly(self, plan: Plan, parts: Iterable[Part]) -> Iterator[tuple[Part, Rows]]:
        """Give every part with its rows as they end; a few for each worker are on their way.

        Raises
        ------
        SimError
            When a worker computes with something else, or the cluster is lost.
        """
        from distributed import CancelledError, KilledWorker, as_completed  # noqa: PLC0415

        threads = sum(self.client.nthreads().values())
        ahead = PARTS_A_THREAD * max(threads, 1)
        shared = self.client.submit(kept, plan, pure=False, retries=RETRIES)
        waiting = iter(parts)

        def sent(count: int) -> list[Any]:
            futures = []
            for part in islice(waiting, count):
                future = self.client.submit(
                    fly_on_worker, shared, part, own_build(), pure=False, retries=RETRIES
                )
                part_of[future.key] = part
                futures.append(future)
            return futures

        part_of: dict[str, Part] = {}
        ended = as_completed(sent(ahead), loop=self.client.loop)
        try:
            for future in ended:
                rows = future.result()
                yield part_of.pop(future.key), rows
                future.release()
                ended.update(sent(1))
        except (CancelledError, KilledWorker, OSError) as problem:
            message = f"the cluster lost a part of the study: {problem}"
            raise SimError(message) from problem


@contextmanager
def crew_at(address: str | None) -> Iterator[Crew]:
    """Give the cores of this machine, or the workers of a cluster.

    Parameters
    ----------
    address : str or None
        Of the scheduler, such as `tcp://10.0.0.5:8786`; None: this machine.

    Raises
    ------
    SimError
        When the cluster cannot be reached or its library is not installed; InputFaults when there
        can be no such address.
    """
    if address is None:
        yield LocalCrew()
        return
    if find_spec("distributed") is None:
        message = "--cluster needs Dask: pip install 'gustworthy[cluster]'"
        raise SimError(message)
    from distributed import Client  # noqa: PLC0415 - an extra, and slow to import
    from distributed.comm.addressing import get_address_host_port  # noqa: PLC0415

    try:
        get_address_host_port(address)
    except ValueError as problem:
        what = f"'{address}' is no address of a scheduler, such as 'tcp://10.0.0.5:8786': {problem}"
        raise InputFaults((Fault("--cluster", 0, 0, what),)) from problem
    try:
        client = Client(address, timeout=CONNECT_S, set_as_default=False)
    except (OSError, TypeError, ValueError) as problem:
        message = f"no scheduler answers at {address}: {problem}"
        raise SimError(message) from problem
    with client:
        if not client.nthreads():
            message = f"the scheduler at {address} has no workers"
            raise SimError(message)
        yield ClusterCrew(client)
