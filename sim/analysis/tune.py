"""Tune a craft at the desk: search, front, flights that candidates must pass, what limits it."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, final

import numpy as np

from sim.analysis.condition_margins import ConditionMargins
from sim.analysis.paired_flights import PairedLimits, paired_limits
from sim.analysis.required_margins import RequiredMargins, required_margins
from sim.analysis.tune_apply import rounded, with_gains
from sim.analysis.tune_crafts import TunedCrafts, tuned_crafts
from sim.analysis.tune_flights import Flown, exact_margins, flown_in, winds_to_verify
from sim.analysis.tune_limits import Bought, bought
from sim.analysis.tune_score import Figures
from sim.analysis.tune_search import Effort, Search, Tried, by_merit, front, searched
from sim.flight.ensemble import cores
from sim.pack.craft import PackedCraft, pack_craft
from sim.params.record import FloatArray
from sim.spec.airframe import CraftSpec
from sim.spec.files import LoadedCraft, LoadedScenario

Progress = Callable[[str, float | None], None]

SPREAD_CRAFTS: Final = 2
FLIGHTS: Final = 24
FLOWN: Final = 3
MOST_VERIFIED: Final = 5
PAIRED_STEP_M_S: Final = 1.0
PAIRED_WINDS: Final = 6
NEAR: Final = 0.03
DEFAULT_EFFORT: Final = Effort()


@final
@dataclass(frozen=True)
class TuneEffort:
    """How much is done.

    Attributes
    ----------
    search : Effort
    spread : int
        Crafts of the spread beside the one in the file.
    flights : int
        In each wind, for each candidate that is verified.
    limits : bool
        Whether what limits further tightening is looked at.
    paired : int
        Flights in each wind for the comparison of the wind limits; 0: none.
    """

    search: Effort = DEFAULT_EFFORT
    spread: int = SPREAD_CRAFTS
    flights: int = FLIGHTS
    limits: bool = True
    paired: int = 0


@final
@dataclass(frozen=True)
class Candidate:
    """A set of gains that was looked at closely.

    Attributes
    ----------
    values : ndarray, shape (size,)
        Gains in SI units, rounded as a craft file has them.
    figures : Figures
        Worst of craft and spread on the small model.
    exact : ConditionMargins or None
        Of the craft with all of its fabric; None without a hover.
    flown : Flown or None
        None when the margins already rejected it.
    rejected : str
        Why it is not taken, as a sentence without its full stop; empty when it may be.
    """

    values: FloatArray
    figures: Figures
    exact: ConditionMargins | None
    flown: Flown | None
    rejected: str


@final
@dataclass(frozen=True)
class TuneResult:
    """What tuning found.

    Attributes
    ----------
    craft, scenario : as loaded
    required : RequiredMargins
    crafts : TunedCrafts
        What candidates were judged on.
    own : Candidate
        The gains that the craft has now.
    front : tuple of Tried
        Largest disk margin first.
    looked_at : tuple of Candidate
        Candidates that were verified, in the order in which they flew.
    chosen : Candidate or None
        The recommended gains; None when none is left.
    bought : tuple of Bought
        What would allow more; the first with nothing changed.
    paired : PairedLimits or None
        Wind limits of own and chosen gains in the same gusts.
    tried : int
        Candidates judged.
    seed : int
    search_s, seconds : float
        [s] Of the search, and of all.
    """

    craft: LoadedCraft
    scenario: LoadedScenario
    required: RequiredMargins
    crafts: TunedCrafts
    own: Candidate
    front: tuple[Tried, ...]
    looked_at: tuple[Candidate, ...]
    chosen: Candidate | None
    bought: tuple[Bought, ...]
    paired: PairedLimits | None
    tried: int
    seed: int
    search_s: float
    seconds: float

    @property
    def passes(self) -> bool:
        """Whether gains were found that have the margins asked for and flew."""
        return self.chosen is not None

    @property
    def chosen_small_disk(self) -> float:
        """[-] Joint disk margin of the chosen gains by the small model, craft as in the file."""
        if self.chosen is None:
            return 0.0
        return self.crafts.figures(self.crafts.plants[0], self.chosen.values).disk

    @property
    def tuned_craft(self) -> CraftSpec | None:
        """The craft with the recommended gains."""
        if self.chosen is None:
            return None
        return with_gains(self.craft.spec, self.crafts.space, self.chosen.values)


def tune(
    craft: LoadedCraft,
    scenario: LoadedScenario,
    *,
    seed: int = 1,
    effort: TuneEffort = TuneEffort(),
    progress: Progress | None = None,
) -> TuneResult:
    """Find gains for a craft.

    Parameters
    ----------
    craft, scenario : as loaded
    seed : int
        Of the search; gusts have the scenario's.
    effort : TuneEffort
    progress : callable, optional
        Told a sentence and the share done, or None.

    Raises
    ------
    NoTrim, NotLinear
        If the craft has no hover that could be tuned.
    """
    began = time.monotonic()

    def told(sentence: str) -> None:
        if progress is not None:
            progress(sentence, None)

    told("hover of the craft and of some of its spread")
    crafts = tuned_crafts(craft.spec, scenario.spec, effort.spread)
    required = required_margins(scenario.spec.limits)
    packed = pack_craft(craft.spec, crafts.packed.air)
    start = crafts.space.point(packed.record)
    search = Search(crafts.judge, required, seed, cores(), told, crafts.profiles)
    started = time.monotonic()
    usual = crafts.space.usual(crafts.space.point(crafts.packed.record))
    searched(search, start, usual, effort.search)
    search_s = time.monotonic() - started
    found = front(search.tried, required)
    look = _Look(craft.spec, scenario, crafts, required, effort.flights)
    told("margins and flights with the gains that it has")
    own_values = np.array([v.read(packed.record) for v in crafts.space.variables])
    own = look.at(own_values, search.tried[0].figures, craft.spec)
    looked_at: list[Candidate] = []
    for one in to_fly(worth_choosing(found, own.figures, required)):
        told(f"flying candidate {len(looked_at) + 1}")
        values = rounded(crafts.space, crafts.space.values(one.point))
        looked_at.append(look.at(values, one.figures, None, own))
        has_one = any(not one.rejected for one in looked_at)
        if len(looked_at) >= (FLOWN if has_one else MOST_VERIFIED):
            break
    chosen = most_wind(looked_at)
    gains: tuple[Bought, ...] = ()
    paired: PairedLimits | None = None
    if chosen is not None and effort.limits:
        records = crafts.space.written(crafts.packed.records, chosen.values)
        point = crafts.space.point(records[0])
        gains = bought(
            craft.spec, crafts, scenario.spec, point, required,
            seed=seed, threads=cores(), told=told,
        )  # fmt: skip
    if chosen is not None and effort.paired:
        told("wind limits with old and new gains in the same gusts")
        paired = _paired(look, own, chosen, effort.paired)
    return TuneResult(
        craft, scenario, required, crafts, own, found, tuple(looked_at), chosen, gains, paired,
        len(search.tried), seed, search_s, time.monotonic() - began,
    )  # fmt: skip


def worth_choosing(
    found: Sequence[Tried], own: Figures, required: RequiredMargins
) -> tuple[Tried, ...]:
    """Give what of a front may be recommended: what is better than the gains it has now.

    That is, with no less joint disk margin and no more drift. Where these gains do not meet what is
    asked, or nothing is better, what drifts at most twice as much as the steadiest.
    """
    if own.shortfall(required) <= 1.0:
        better = tuple(
            one
            for one in found
            if one.figures.gust_m <= own.gust_m and one.figures.disk >= own.disk
        )
        if better:
            return better
    most_m = 2.0 * min((one.figures.gust_m for one in found), default=0.0)
    return tuple(one for one in found if one.figures.gust_m <= most_m)


def to_fly(candidates: Sequence[Tried]) -> list[Tried]:
    """Give candidates in the order in which they fly: the knee, then others that differ from it.

    After the knee come the steadiest in gusts and the one with most margin, then the rest from the
    knee outwards.
    """
    if not candidates:
        return []
    merit = by_merit(candidates)
    steadiest = min(merit, key=lambda one: one.figures.gust_m)
    most = max(merit, key=lambda one: one.figures.disk)
    return _apart([merit[0], steadiest, most, *merit[1:]])


def most_wind(looked_at: Sequence[Candidate]) -> Candidate | None:
    """Give the candidate most of whose gust flights succeed; of equals the first."""
    left = [one for one in looked_at if not one.rejected and one.flown is not None]
    return max(
        left, key=lambda one: 0 if one.flown is None else one.flown.all_successes, default=None
    )


@final
@dataclass(frozen=True)
class _Look:
    """Looks closely at sets of gains."""

    craft: CraftSpec
    scenario: LoadedScenario
    crafts: TunedCrafts
    required: RequiredMargins
    flights: int

    def packed(self, values: FloatArray) -> PackedCraft:
        """Pack the craft with gains in SI units."""
        spec = with_gains(self.craft, self.crafts.space, values)
        return pack_craft(spec, self.crafts.packed.air)

    def at(
        self,
        values: FloatArray,
        figures: Figures,
        spec: CraftSpec | None = None,
        own: Candidate | None = None,
    ) -> Candidate:
        """Find exact margins and fly, unless the margins are not enough already."""
        spec = spec or with_gains(self.craft, self.crafts.space, values)
        air, day = self.crafts.packed.air, self.scenario.spec
        exact = exact_margins(spec, air, day, self.required)
        if exact is None or not exact.stable:
            why = "it is not stable with all of its fabric"
            return Candidate(values, figures, exact, None, why)
        if not exact.passes and own is not None:
            why = "it has less margin with all of its fabric than is asked"
            return Candidate(values, figures, exact, None, why)
        flown = flown_in(pack_craft(spec, air), day, winds_to_verify(day), self.flights)
        return Candidate(
            values, figures, exact, flown, _why_rejected(flown, own, day.limits.success)
        )


def _why_rejected(flown: Flown, own: Candidate | None, success: float) -> str:
    """Say why flights reject a set of gains; empty when they do not."""
    good, wind = flown.successes[0], flown.winds_m_s[0]
    if good < success * flown.flights:
        cause = f"; most often: {flown.causes[0]}" if flown.causes[0] else ""
        return f"only {good} of {flown.flights} flights succeed in {wind:g} m/s{cause}"
    if own is None or own.flown is None or own.rejected:
        return ""
    before, now = own.flown.all_successes, flown.all_successes
    if now < before:
        cause = next((words for words in reversed(flown.causes) if words), "")
        return (
            f"fewer of the same gust flights succeed than with the gains that it has"
            f" ({now} of {flown.outcomes.size}, before {before}; most often: {cause})"
        )
    return ""


def _apart(candidates: Sequence[Tried]) -> list[Tried]:
    """Leave out candidates whose figures are nearly those of one before."""
    kept: list[Tried] = []
    for one in candidates:
        if all(
            abs(one.figures.disk - other.figures.disk) > NEAR
            or abs(np.log(one.figures.gust_m / other.figures.gust_m)) > 3.0 * NEAR
            for other in kept
        ):
            kept.append(one)
    return kept


def _paired(look: _Look, own: Candidate, chosen: Candidate, flights: int) -> PairedLimits | None:
    """Compare the wind limits of old and new gains in the same gusts."""
    if own.flown is None:
        return None
    day, step = look.scenario.spec, PAIRED_STEP_M_S
    winds = tuple(step * (k + 1) for k in range(PAIRED_WINDS * 2))
    packs = (pack_craft(look.craft, look.crafts.packed.air), look.packed(chosen.values))
    first, second = (flown_in(pack, day, winds, flights).outcomes for pack in packs)
    return paired_limits(winds, first, second, day.limits.success)
