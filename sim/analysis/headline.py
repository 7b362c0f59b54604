"""The headline figures of one craft, and the gates that they must pass."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final, final

from sim.analysis.head import LEAST_LEVER_M, LEAST_THRUST_TO_WEIGHT
from sim.analysis.wind_heights import height_ratio
from sim.spec.airframe import CraftSpec
from sim.spec.scenario import ScenarioSpec


class Outcome(StrEnum):
    """What became of a craft that was computed, in the words that are shown."""

    HOVERS = "hovers"
    UNSTABLE = "hovers, but is unstable"
    NO_HOVER = "finds no steady hover"
    NO_DERIVATIVE = "hovers where the step has no derivative"
    TOO_WEAK = "cannot lift itself"
    NO_BODY = "has masses that no body can have"


@final
@dataclass(frozen=True)
class Headline:
    """Headline figures of one craft; None where it has none.

    Attributes
    ----------
    outcome : Outcome
    whole_mass_kg : float or None
        [kg] With fabric.
    thrust_to_weight, usable_thrust_to_weight : float or None
        [-] At full throttle, and at what levelling leaves, over weight and download of the fabric.
    lift_over_weight : float or None
        [-] Usable thrust over weight alone, which is what a head is judged by.
    rotors_above_centre_m : float or None
        [m] Tilt pivots (or hubs) above the CG, fabric hanging.
    pitch_authority_n_m : float or None
        [N m] Pitch moment at full travel in hover.
    static_wind_m_s : float or None
        [m/s] At flight height: where level trim takes all thrust, by parts' drag alone; infinite
        without drag.
    pack_current_share : float or None
        [-] Of the pack's limit, at full command.
    hover_throttle, endurance_s : float or None
        [-], [s]
    gain_margin_db, phase_margin_rad : float or None
        The least of all attitude axes, in still air.
    disk_margin : float or None
        [-] Gain and phase of all six loops varied at the same time, balanced.
    wind_limit_m_s : float or None
        [m/s] By gust flights, at the scenario's wind height; None as well when none were flown.
    """

    outcome: Outcome
    whole_mass_kg: float | None = None
    thrust_to_weight: float | None = None
    usable_thrust_to_weight: float | None = None
    lift_over_weight: float | None = None
    rotors_above_centre_m: float | None = None
    pitch_authority_n_m: float | None = None
    static_wind_m_s: float | None = None
    pack_current_share: float | None = None
    hover_throttle: float | None = None
    endurance_s: float | None = None
    gain_margin_db: float | None = None
    phase_margin_rad: float | None = None
    disk_margin: float | None = None
    wind_limit_m_s: float | None = None


@final
@dataclass(frozen=True)
class Figure:
    """One headline figure.

    Attributes
    ----------
    key : str
        Attribute of `Headline`; it ends with the unit.
    name : str
        As shown.
    more_is_better : bool
        Which end of its distribution is the bad one; a craft without the figure counts there.
    is_shown : bool
        Not where another figure all but says the same.
    """

    key: str
    name: str
    more_is_better: bool
    is_shown: bool = True


FIGURES: Final[tuple[Figure, ...]] = (
    Figure("whole_mass_kg", "whole mass", more_is_better=False),
    Figure("thrust_to_weight", "thrust-to-weight", more_is_better=True),
    Figure("usable_thrust_to_weight", "usable thrust-to-weight", more_is_better=True),
    Figure("lift_over_weight", "usable thrust over weight", more_is_better=True, is_shown=False),
    Figure("hover_throttle", "hover throttle", more_is_better=False),
    Figure("endurance_s", "endurance", more_is_better=True),
    Figure("pack_current_share", "pack current, of its limit", more_is_better=False),
    Figure("rotors_above_centre_m", "rotors above the CG", more_is_better=True),
    Figure("pitch_authority_n_m", "pitch authority", more_is_better=True),
    Figure("gain_margin_db", "worst gain margin", more_is_better=True),
    Figure("phase_margin_rad", "worst phase margin", more_is_better=True),
    Figure("disk_margin", "joint disk margin", more_is_better=True),
    Figure("static_wind_m_s", "static wind bound", more_is_better=True),
    Figure("wind_limit_m_s", "wind limit by gust flights", more_is_better=True),
)


@final
@dataclass(frozen=True)
class Gate:
    """Something that a craft must pass.

    Attributes
    ----------
    key, name : str
        The second as shown.
    figure : Figure or None
        What is judged; None when the question is only whether it hovers.
    limit : float
        In the unit of the figure.
    """

    key: str
    name: str
    figure: Figure | None = None
    limit: float = 0.0

    def left(self, headline: Headline) -> float | None:
        """Give what is left to the limit, in the unit of the figure; None without the figure."""
        if self.figure is None:
            return None
        value: float | None = getattr(headline, self.figure.key)
        if value is None:
            return None
        return value - self.limit if self.figure.more_is_better else self.limit - value

    def passes(self, headline: Headline) -> bool:
        """Tell whether a craft passes; without the figure it does not."""
        if self.figure is None:
            return headline.outcome == Outcome.HOVERS
        left = self.left(headline)
        return left is not None and left >= 0.0


STABLE: Final = Gate("stable", "hovers and is stable")


def figure_named(key: str) -> Figure:
    """Give a headline figure by its key."""
    return next(figure for figure in FIGURES if figure.key == key)


def gates_of(craft: CraftSpec, scenario: ScenarioSpec, *, flown: bool = False) -> tuple[Gate, ...]:
    """Give the gates of a craft on a day: those of `check`, with the wind by the static bound.

    Parameters
    ----------
    craft : CraftSpec
    scenario : ScenarioSpec
        Its wind must be borne.
    flown : bool
        Whether gust flights give a wind limit, which then is a gate as well.
    """
    asked, limits = scenario.wind.mean_m_s, scenario.limits
    found = [Gate("lift", "lifts", figure_named("usable_thrust_to_weight"), 1.0)]
    if craft.layout == "bicopter":
        lever = figure_named("rotors_above_centre_m")
        found.append(Gate("lever", "rotors stand above the CG", lever, LEAST_LEVER_M))
    if craft.head is not None:
        lift = figure_named("lift_over_weight")
        found.append(
            Gate("head", "lifts its head with thrust to spare", lift, LEAST_THRUST_TO_WEIGHT)
        )
    found += [
        Gate("current", "keeps within the pack's current", figure_named("pack_current_share"), 1.0),
        STABLE,
        Gate("gain", "gain margin", figure_named("gain_margin_db"), limits.gain_margin_db),
        Gate("phase", "phase margin", figure_named("phase_margin_rad"), limits.phase_margin_rad),
        Gate(
            "static_wind",
            "static wind bound above the day's wind",
            figure_named("static_wind_m_s"),
            asked * height_ratio(scenario),
        ),
    ]
    if flown:
        limit = figure_named("wind_limit_m_s")
        found.append(Gate("wind", "wind limit above the day's wind", limit, asked))
    return tuple(found)
