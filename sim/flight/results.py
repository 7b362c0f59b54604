"""What flights give: named channels of one flight, and the tallies of many."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, final

import numpy as np
from numpy.typing import NDArray

from sim.params.record import FloatArray
from sim.params.tally_record import Stop
from sim.step.channels import (
    BODY_CHANNELS,
    CHANNELS_PER_ROTOR,
    FIRST_ROTOR_CHANNEL,
    ROTOR_CHANNELS,
)


@final
@dataclass(frozen=True)
class Flight:
    """One flight: its history at a fixed interval, its tally and its last state.

    Attributes
    ----------
    history : ndarray, shape (samples, channels)
        In the units of `BODY_CHANNELS` and `ROTOR_CHANNELS`.
    fabric_m : ndarray, shape (samples, particles, 3)
        [m] Places of the fabric particles, earth axes.
    tally : record
        See `TallyRecord`.
    state : ndarray of one state record
        At the end.
    """

    history: FloatArray
    fabric_m: FloatArray
    tally: Any
    state: Any

    def channel(self, name: str) -> FloatArray:
        """Give a channel of the body, shape (samples,); KeyError names the ones there are."""
        names = [entry[0] for entry in BODY_CHANNELS]
        if name not in names:
            message = f"no channel {name!r}; there are {', '.join(names)}"
            raise KeyError(message)
        column: FloatArray = self.history[:, names.index(name)]
        return column

    def rotor_channel(self, rotor: int, name: str) -> FloatArray:
        """Give a channel of a rotor, shape (samples,); KeyError names the ones there are."""
        names = [entry[0] for entry in ROTOR_CHANNELS]
        if name not in names:
            message = f"no rotor channel {name!r}; there are {', '.join(names)}"
            raise KeyError(message)
        column: FloatArray = self.history[
            :, FIRST_ROTOR_CHANNEL + CHANNELS_PER_ROTOR * rotor + names.index(name)
        ]
        return column

    @property
    def stop(self) -> Stop:
        """Why it ended."""
        return Stop(int(self.tally.stop))


GOOD_ENDS = (Stop.TIME, Stop.LANDED)


@final
@dataclass(frozen=True)
class Ensemble:
    """Many flights: their tallies in flight order.

    Attributes
    ----------
    tallies : ndarray of tally records, shape (flights,)
    """

    tallies: NDArray[Any]

    @property
    def succeeded(self) -> NDArray[np.bool_]:
        """Which flights ended as they should, shape (flights,)."""
        good: NDArray[np.bool_] = np.isin(self.tallies["stop"], [int(end) for end in GOOD_ENDS])
        return good

    @property
    def not_finite(self) -> int:
        """How many flights were stopped because a number was no longer finite."""
        return int(np.count_nonzero(self.tallies["stop"] == int(Stop.NOT_FINITE)))
