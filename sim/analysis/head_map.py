"""A map over mass and height of the head: what gives out where, and the heaviest head that passes.

Everything is computed alone and with seeds of its own, so that any number of threads gives the same
map.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor, as_completed
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Final, final

import numpy as np

from sim.analysis.head_advice import HeadAdvice, head_advice
from sim.analysis.head_change import with_head
from sim.analysis.head_ends import Borders, authority_end_kg, borders, lift_end_kg
from sim.analysis.head_gates import Gate, GateFigures, HeadStudy, gate_figures, head_study
from sim.analysis.pitch_zero import PitchZero, pitch_zero
from sim.flight.ensemble import cores
from sim.pack.craft import pack_craft
from sim.spec.files import LoadedCraft, LoadedScenario

COLUMNS: Final = 7
ROWS: Final = 5
HEIGHT_STEP_M: Final = 0.10
LIGHTEST_SHARE: Final = 0.3
BEYOND: Final = 1.1
LEAST_BEYOND: Final = 1.5
MOST_BEYOND: Final = 6.0
BORDER_POINTS: Final = 17
CLOSE_SHARE: Final = 0.02
JUST_BELOW: Final = 0.995
SECTIONS: Final = 3
HALVINGS: Final = 5
LATER_SHARE: Final = 0.35
COSTLY_GATES: Final[tuple[Gate, ...]] = ("margins", "wind")

Progress = Callable[[str, float | None], None]


@final
@dataclass(frozen=True)
class HeadEnd:
    """Where a gate gives out at the height of the present head.

    Attributes
    ----------
    gate : Gate
    mass_kg : float or None
        [kg] The heaviest head that passes this gate; 0 when none does, None when it gave out
        nowhere that was looked.
    looked_kg : float
        [kg] The heaviest head with which it was looked at and, for margins and wind, passed; 0 when
        there is none.
    """

    gate: Gate
    mass_kg: float | None
    looked_kg: float


@final
@dataclass(frozen=True)
class HeadMap:
    """Everything that `gustworthy head` found.

    Attributes
    ----------
    craft, scenario : as loaded
    study : HeadStudy
    mass_kg, up_m : float
        Of the present head; the height is that of its place in the craft file.
    masses_kg, heights_m : tuple of float
        Of the map, rising.
    figures : tuple of tuple of GateFigures
        By height, then by mass.
    present : GateFigures
        The craft as it is.
    ends : tuple of HeadEnd
        One for each gate.
    heaviest_kg : float or None
        [kg] The heaviest head at the present height that passes all gates; None when none does.
    heaviest : GateFigures or None
        Its figures.
    gives_out : Gate or None
        What gives out beyond it; None when nothing did as far as the map goes.
    borders : Borders
        Of lift and authority, exact.
    zero : PitchZero
        What the height of the CG does to steering in pitch.
    advice : HeadAdvice or None
        How to carry a head that does not pass now; None when there is none to give.
    seconds : float
        [s] Wall time.
    """

    craft: LoadedCraft
    scenario: LoadedScenario
    study: HeadStudy
    mass_kg: float
    up_m: float
    masses_kg: tuple[float, ...]
    heights_m: tuple[float, ...]
    figures: tuple[tuple[GateFigures, ...], ...]
    present: GateFigures
    ends: tuple[HeadEnd, ...]
    heaviest_kg: float | None
    heaviest: GateFigures | None
    gives_out: Gate | None
    borders: Borders
    zero: PitchZero
    advice: HeadAdvice | None
    seconds: float

    @property
    def passes(self) -> bool:
        """Whether the craft as it is passes all four gates."""
        return self.present.passes


@final
@dataclass(frozen=True)
class HeadRange:
    """What the map is to cover; what is None is chosen from the craft.

    Attributes
    ----------
    masses_kg, heights_m : tuple of two float, or None
        Least and most.
    columns, rows : int
        Steps of mass and of height, at least 2 and 1.
    """

    masses_kg: tuple[float, float] | None = None
    heights_m: tuple[float, float] | None = None
    columns: int = COLUMNS
    rows: int = ROWS


def _with_node(least: float, most: float, count: int, node: float) -> tuple[float, ...]:
    """Give evenly spaced values, the nearest inner one moved onto `node` if that lies within."""
    values = np.linspace(least, most, count) if count > 1 else np.array([0.5 * (least + most)])
    if count == 1 and least <= node <= most:
        values[0] = node
    elif count > 2 and least < node < most:  # noqa: PLR2004 - two ends
        values[1 + int(np.argmin(np.abs(values[1:-1] - node)))] = node
    return tuple(float(value) for value in values)


def map_nodes(study: HeadStudy, wanted: HeadRange) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Choose masses [kg] and heights [m] of the map; those of the present head are among them.

    Masses reach a little beyond the heads at which lift and authority give out, within reason.
    """
    head = study.craft.head
    assert head is not None
    mass, up = head.mass_kg.value, head.place.up_m.value
    if wanted.masses_kg is None:
        found = (lift_end_kg(study, up), authority_end_kg(study, up))
        ends = [end for end in found if end is not None and end > 0.0]
        reach = [LEAST_BEYOND * mass, *(BEYOND * end for end in ends)]
        most = min(max(reach), max(MOST_BEYOND * mass, BEYOND * min(ends, default=mass)))
        least = min(LIGHTEST_SHARE * mass, most / (wanted.columns + 1), *(0.5 * e for e in ends))
        masses = (least, most)
    else:
        masses = wanted.masses_kg
    half = 0.5 * HEIGHT_STEP_M * (wanted.rows - 1)
    heights = wanted.heights_m or (up - half, up + half)
    return (
        _with_node(*masses, wanted.columns, mass),
        _with_node(*heights, wanted.rows, up),
    )


@final
class _Runner:
    """Computes figures of many heads on all cores, each once, and tells how far it is."""

    def __init__(self, study: HeadStudy, pool: ThreadPoolExecutor, tell: Progress) -> None:
        self.study, self.pool, self.tell = study, pool, tell
        self.known: dict[tuple[float, float], Future[GateFigures]] = {}

    def start(self, mass_kg: float, up_m: float) -> Future[GateFigures]:
        """Begin to compute a head, unless that is done or going on."""
        key = (mass_kg, up_m)
        if key not in self.known:
            craft = with_head(self.study.craft, mass_kg, up_m)
            self.known[key] = self.pool.submit(gate_figures, self.study, craft)
        return self.known[key]

    def all_of(self, heads: Sequence[tuple[float, float]], sentence: str) -> list[GateFigures]:
        """Compute heads (mass [kg], height [m]) and give their figures in order."""
        futures = [self.start(*head) for head in heads]
        share = 1.0 - LATER_SHARE
        for done, _ in enumerate(as_completed(set(futures)), 1):
            self.tell(sentence, share * done / len(set(futures)))
        return [future.result() for future in futures]


@contextmanager
def _pool() -> Iterator[ThreadPoolExecutor]:
    """Give threads that drop what has not begun when the work is broken off."""
    pool = ThreadPoolExecutor(cores())
    try:
        yield pool
    finally:
        pool.shutdown(cancel_futures=True)


def _between(
    runner: _Runner, good_kg: float, bad_kg: float, up_m: float, close_kg: float
) -> tuple[float, Gate | None]:
    """Close in on the heaviest passing head between one that passes and one that does not.

    Gives it with the gate that the next heavier one tried does not pass.
    """
    bad = runner.start(bad_kg, up_m).result().failed
    while bad_kg - good_kg > close_kg:
        step = (bad_kg - good_kg) / SECTIONS
        tried = [good_kg + step * k for k in range(1, SECTIONS)]
        futures = [runner.start(mass, up_m) for mass in tried]
        for mass, future in zip(tried, futures, strict=True):
            figures = future.result()
            if not figures.passes:
                bad_kg, bad = mass, figures.failed
                break
            good_kg = mass
    return good_kg, bad


def _lighter(
    runner: _Runner,
    least_kg: float,
    failed: Gate | None,
    up_m: float,
    cheap: Sequence[tuple[Gate, float | None]],
) -> tuple[float | None, Gate | None]:
    """Give the heaviest head [kg] that passes when none of a row does, which begins at `least_kg`.

    Heads half as heavy again and again are tried, from where lift and authority are still there.
    """
    end, gate = min(((e, g) for g, e in cheap if e is not None), default=(least_kg, failed))
    if end <= 0.0:
        return None, failed
    if JUST_BELOW * end < least_kg:
        bad_kg, tried = end, [JUST_BELOW * end * 0.5**k for k in range(HALVINGS)]
    else:
        bad_kg, gate = least_kg, failed
        tried = [least_kg * 0.5**k for k in range(1, HALVINGS + 1)]
    futures = [runner.start(mass, up_m) for mass in tried]
    for mass, future in zip(tried, futures, strict=True):
        figures = future.result()
        if not figures.passes:
            bad_kg, gate = mass, figures.failed
        elif mass == JUST_BELOW * end:
            return mass, gate
        else:
            return _between(runner, mass, bad_kg, up_m, CLOSE_SHARE * bad_kg)
    return None, gate


def _heaviest(
    runner: _Runner,
    masses: Sequence[float],
    row: Sequence[GateFigures],
    up_m: float,
    cheap: Sequence[tuple[Gate, float | None]],
) -> tuple[float | None, Gate | None]:
    """Give the heaviest head [kg] that passes at a height, and what gives out beyond it."""
    good = [k for k, figures in enumerate(row) if figures.passes]
    if not good:
        return _lighter(runner, masses[0], row[0].failed, up_m, cheap)
    k = good[-1]
    if k + 1 == len(masses):
        return masses[k], None
    good_kg, bad_kg = masses[k], masses[k + 1]
    close_kg = CLOSE_SHARE * bad_kg
    within = [(end, gate) for gate, end in cheap if end is not None and good_kg < end < bad_kg]
    if within:
        end, gate = min(within)
        below = JUST_BELOW * end
        if below > good_kg:
            if runner.start(below, up_m).result().passes:
                return below, gate
            bad_kg = below
    return _between(runner, good_kg, bad_kg, up_m, close_kg)


def _ends(
    cheap: Sequence[tuple[Gate, float | None]], runner: _Runner, up_m: float
) -> tuple[HeadEnd, ...]:
    """Give where each gate gives out at a height, from all heads that were tried there."""
    here = {mass: future for (mass, up), future in runner.known.items() if up == up_m}
    tried = [(mass, here[mass].result()) for mass in sorted(here)]
    ends = [HeadEnd(gate, end, tried[-1][0]) for gate, end in cheap]
    for gate in COSTLY_GATES:
        good = [mass for mass, figures in tried if figures.passed(gate) is True]
        bad = [mass for mass, figures in tried if figures.passed(gate) is False]
        looked = max(good, default=0.0)
        end = max((mass for mass in good if mass < min(bad)), default=0.0) if bad else None
        ends.append(HeadEnd(gate, end, looked))
    return tuple(ends)


def _borders(study: HeadStudy, heights: Sequence[float]) -> Borders:
    """Find the borders of the cheap gates as far as the outer edges of the map's cells."""
    below = 0.5 * (heights[1] - heights[0]) if len(heights) > 1 else 0.0
    above = 0.5 * (heights[-1] - heights[-2]) if len(heights) > 1 else 0.0
    return borders(study, heights[0] - below, heights[-1] + above, BORDER_POINTS)


def head_map(
    craft: LoadedCraft,
    scenario: LoadedScenario,
    wanted: HeadRange | None = None,
    *,
    progress: Progress | None = None,
) -> HeadMap:
    """Sweep mass and height of the head, find the heaviest that passes, and give advice.

    Parameters
    ----------
    craft : LoadedCraft
        With a head that has a mass.
    scenario : LoadedScenario
        Its day, wind and limits are the gates.
    wanted : HeadRange, optional
        What the map covers.
    progress : callable, optional
        Told a sentence and the share done.

    Raises
    ------
    InputFaults
        When no body can have the masses given.
    """
    tell = progress or (lambda _sentence, _share: None)
    began = time.monotonic()
    tell("mass, power and hover", None)
    study = head_study(craft.spec, scenario.spec)
    head = craft.spec.head
    assert head is not None
    mass, up = head.mass_kg.value, head.place.up_m.value
    masses, heights = map_nodes(study, wanted or HeadRange())
    cheap: list[tuple[Gate, float | None]] = [
        ("lift", lift_end_kg(study, up)),
        ("authority", authority_end_kg(study, up)),
    ]
    row_masses = tuple(sorted({*masses, mass}))
    heads = [(m, up) for m in row_masses] + [(m, h) for h in heights for m in masses]
    with _pool() as pool:
        runner = _Runner(study, pool, tell)
        found = runner.all_of(heads, "heads of other mass and height")
        row, cells = found[: len(row_masses)], found[len(row_masses) :]
        tell("the heaviest head that passes", 1.0 - LATER_SHARE)
        heaviest_kg, gives_out = _heaviest(runner, row_masses, row, up, cheap)
        present = row[row_masses.index(mass)]
        best = None if heaviest_kg is None else runner.start(heaviest_kg, up).result()
        ends = _ends(cheap, runner, up)
        advice = head_advice(
            study, present, best, heaviest_kg, gives_out, cheap[0][1], pool=pool, progress=tell
        )
    columns = len(masses)
    return HeadMap(
        craft=craft,
        scenario=scenario,
        study=study,
        mass_kg=mass,
        up_m=up,
        masses_kg=masses,
        heights_m=heights,
        figures=tuple(
            tuple(cells[first : first + columns]) for first in range(0, len(cells), columns)
        ),
        present=present,
        ends=ends,
        heaviest_kg=heaviest_kg,
        heaviest=best,
        gives_out=gives_out,
        borders=_borders(study, heights),
        zero=pitch_zero(craft.spec, pack_craft(craft.spec, study.air, known_maps=study.maps)),
        advice=advice,
        seconds=time.monotonic() - began,
    )
