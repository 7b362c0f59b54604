"""How much weight and how much shift of the CG is left before each gate fails.

The craft is computed anew at every weight and shift, flown by the flight controller as it is set up
for the craft of the file; nothing is tuned again.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal, final

import numpy as np
from scipy.optimize import brentq

from sim.analysis.craft_pool import computed
from sim.analysis.headline import STABLE, Gate, Headline, Outcome
from sim.analysis.sampled_craft import (
    Surroundings,
    hover_near,
    quick_headline,
    standing_headline,
)
from sim.analysis.trim import Trim
from sim.mass.assemble import join
from sim.mass.from_spec import mass_properties
from sim.mass.properties import PartMass
from sim.params.record import FloatArray
from sim.spec.airframe import CraftSpec
from sim.spec.place import Place
from sim.spec.quantity import Uncertain
from sim.spec.structure import MeasuredInertia, MeasuredSpec, PartSpec

ADDED: Final = "added mass"
FIRST_MASS_SHARE: Final = 0.03
MOST_MASS_SHARE: Final = 1.0
FIRST_SHIFT_M: Final = 0.004
MOST_SHIFT_M: Final = 0.25
_GROWTH: Final = 2.0
_LEAST_STEP: Final = 0.06
_SECOND_LOOKS: Final = 4
_RELATIVE: Final = 4e-3
_LEAST: Final = 1e-6
_ROUNDING: Final = 1e-9
_PASSES: Final = 1.0
_FAILS: Final = -1.0
_STANDING: Final = {
    "lift_over_weight",
    "rotors_above_centre_m",
    "pack_current_share",
    "static_wind_m_s",
}
_DIRECTIONS: Final[dict[str, tuple[float, float, float]]] = {
    "forward": (1.0, 0.0, 0.0),
    "back": (-1.0, 0.0, 0.0),
    "right": (0.0, 1.0, 0.0),
    "left": (0.0, -1.0, 0.0),
    "up": (0.0, 0.0, -1.0),
}


@final
@dataclass(frozen=True)
class Change:
    """A way in which a craft may differ from its file, by one amount.

    Attributes
    ----------
    name : str
        As shown, such as "at the head" or "forward".
    kind : "mass", "head" or "shift"
        Something fixed to the craft, a heavier head, or the CG elsewhere.
    vector : tuple of float
        Where the mass is added, or which way the CG is shifted; body axes [m].
    """

    name: str
    kind: Literal["mass", "head", "shift"]
    vector: tuple[float, float, float]

    def applied(self, craft: CraftSpec, amount: float) -> CraftSpec:
        """Give the craft with so much [kg] or [m] of it."""
        if self.kind == "head":
            return with_heavier_head(craft, amount)
        if self.kind == "mass":
            return with_added_mass(craft, amount, self.vector)
        return with_shifted_centre(craft, amount * np.array(self.vector))


@final
@dataclass(frozen=True)
class GateLeft:
    """What is left before one gate fails.

    Attributes
    ----------
    gate : Gate
    amount : float or None
        [kg] or [m]; 0 when the craft of the file fails already; None when it fails at nothing that
        was tried.
    """

    gate: Gate
    amount: float | None


@final
@dataclass(frozen=True)
class GuardRow:
    """What is left of one change before each gate fails.

    Attributes
    ----------
    change : Change
    left : tuple of GateLeft
    tried : float
        [kg] or [m] As far as it was looked; no farther than to where the craft no longer hovers.
    """

    change: Change
    left: tuple[GateLeft, ...]
    tried: float

    @property
    def first(self) -> GateLeft | None:
        """The gate that fails first; None when none does."""
        failing = [one for one in self.left if one.amount is not None]
        return min(failing, key=lambda one: one.amount or 0.0, default=None)


def with_added_mass(
    craft: CraftSpec, mass_kg: float, place_m: tuple[float, float, float]
) -> CraftSpec:
    """Give the craft with a small heavy thing [kg] fixed at a place [m, body axes of the file]."""
    place = _place(np.array(place_m))
    if craft.measured is not None:
        return _measured_with(craft, craft, mass_kg, place)
    thing = PartSpec.model_construct(
        name=ADDED, shape="point", mass_kg=Uncertain(mass_kg), place=place
    )
    return craft.model_copy(update={"parts": (*craft.parts, thing)})


def with_heavier_head(craft: CraftSpec, mass_kg: float) -> CraftSpec:
    """Give the craft with a head of the same form that is heavier [kg]."""
    if craft.head is None:
        return craft
    heavier = Uncertain(craft.head.mass_kg.value + mass_kg)
    changed = craft.model_copy(update={"head": craft.head.model_copy(update={"mass_kg": heavier})})
    if craft.measured is None:
        return changed
    return _measured_with(craft, changed, mass_kg, craft.head.place)


def _measured_with(craft: CraftSpec, changed: CraftSpec, mass_kg: float, place: Place) -> CraftSpec:
    """Give a changed craft measured as heavier than the first, by a mass [kg] at a place."""
    thing = PartMass(
        name=ADDED,
        mass_kg=mass_kg,
        mass_plus_minus_kg=0.0,
        place_m=np.array(place.body_m),
        place_plus_minus_m=np.zeros(3),
        inertia_kg_m2=np.zeros((3, 3)),
    )
    whole = join(mass_properties(craft), thing)
    roll, pitch, yaw = (Uncertain(float(moment)) for moment in np.diag(whole.inertia_kg_m2))
    measured = MeasuredSpec.model_construct(
        mass_kg=Uncertain(whole.mass_kg),
        centre=_place(whole.centre_m),
        inertia=MeasuredInertia.model_construct(roll_kg_m2=roll, pitch_kg_m2=pitch, yaw_kg_m2=yaw),
        swing=None,
    )
    return changed.model_copy(update={"measured": measured})


def with_shifted_centre(craft: CraftSpec, shift_m: FloatArray) -> CraftSpec:
    """Give the craft with the CG of the whole shifted [m, body axes], mass and inertia kept."""
    solid = mass_properties(craft)
    share = mass_properties(craft, with_drape=True).mass_kg / solid.mass_kg
    centre = _place(solid.centre_m + share * shift_m)
    before = craft.measured if craft.measured is not None else MeasuredSpec.model_construct()
    return craft.model_copy(update={"measured": before.model_copy(update={"centre": centre})})


def _place(body_m: FloatArray) -> Place:
    forward, right, down = (float(part) for part in body_m)
    return Place.model_construct(
        forward_m=Uncertain(forward), right_m=Uncertain(right), up_m=Uncertain(-down)
    )


def changes_of(craft: CraftSpec) -> tuple[Change, ...]:
    """Give the changes that are looked at: mass at CG, head and tail rotor; CG five ways."""
    whole = mass_properties(craft, with_drape=True)
    x, y, z = (float(part) for part in whole.centre_m)
    found = [Change("at the CG", "mass", (x, y, z))]
    if craft.head is not None:
        found.append(Change("at the head", "head", craft.head.place.body_m))
    if craft.layout == "tricopter":
        tail = min(craft.rotors, key=lambda rotor: rotor.place.forward_m.value)
        found.append(Change("at the tail rotor", "mass", tail.place.body_m))
    found += [Change(name, "shift", way) for name, way in _DIRECTIONS.items()]
    return tuple(found)


def mass_guard(
    around: Surroundings,
    gates: Sequence[Gate],
    *,
    changes: Sequence[Change] | None = None,
    workers: int | None = None,
    tell: Callable[[int], None] | None = None,
) -> tuple[GuardRow, ...]:
    """Find what is left of every change before each gate fails.

    Parameters
    ----------
    around : Surroundings
    gates : sequence of Gate
    changes : sequence of Change, optional
        Those of `changes_of` by default.
    workers, tell
        See `sim.analysis.craft_pool.computed`.
    """
    wanted = changes_of(around.craft) if changes is None else changes
    items = [(change, tuple(gates)) for change in wanted]
    return computed(around, guard_row, items, workers=workers, tell=tell)


def guard_row(around: Surroundings, item: tuple[Change, tuple[Gate, ...]]) -> GuardRow:
    """Find what is left of one change before each of some gates fails."""
    change, gates = item
    return _guard_row(_Known(around, change, {}, {}, {}, set()), gates)


@dataclass
class _Known:
    """What has been found for amounts of one change."""

    around: Surroundings
    change: Change
    seen: dict[float, Headline]
    standing: dict[float, Headline]
    hovers: dict[float, Trim]
    surely_lost: set[float]

    def at(self, amount: float) -> Headline:
        """Give the figures of the craft with an amount of the change."""
        if amount not in self.seen:
            self._look_at(amount, is_patient=False)
        return self.seen[amount]

    def reach(self, amount: float) -> Headline:
        """Give the same, on a way of small steps where it is far from all that hovers so far."""
        found = self.at(amount)
        if self.is_lost(amount) and self.hovers:
            here = max(one for one in self.hovers if one < amount)
            step = 0.5 * (amount - here)
            least = _LEAST_STEP * (amount - here)
            while step >= least and here < amount:
                there = min(here + step, amount)
                hover = hover_near(self.around, self._craft(there), self.hovers[here])
                if hover is None:
                    step *= 0.5
                else:
                    self.hovers[there] = hover
                    here = there
            if here == amount:
                del self.seen[amount]
                found = self.at(amount)
        return found

    def without_hover(self, amount: float) -> Headline:
        """Give the figures that need no hover."""
        if amount in self.seen:
            return self.seen[amount]
        if amount not in self.standing:
            craft = self._craft(amount)
            self.standing[amount] = standing_headline(self.around, craft)
        return self.standing[amount]

    def is_lost(self, amount: float) -> bool:
        """Tell whether no hover was found with an amount."""
        return self.seen[amount].outcome == Outcome.NO_HOVER

    def second_look(self) -> bool:
        """Search longer where hovers seem lost, the least amount first, as long as any is found."""
        lost = sorted(one for one in self.seen if self.is_lost(one))
        for count, amount in enumerate(lost):
            if amount not in self.surely_lost:
                self._look_at(amount, is_patient=True)
            if self.is_lost(amount):
                self.surely_lost.add(amount)
                return count > 0
        return bool(lost)

    def _craft(self, amount: float) -> CraftSpec:
        return self.change.applied(self.around.craft, amount) if amount > 0.0 else self.around.craft

    def _look_at(self, amount: float, *, is_patient: bool) -> None:
        near = max((one for one in self.hovers if one <= amount), default=None)
        start = self.around.hover if near is None else self.hovers[near]
        craft = self._craft(amount)
        self.seen[amount], hover = quick_headline(self.around, craft, start, is_patient=is_patient)
        if hover is not None:
            self.hovers[amount] = hover


def _guard_row(known: _Known, gates: Sequence[Gate]) -> GuardRow:
    first, most = FIRST_SHIFT_M, MOST_SHIFT_M
    if known.change.kind != "shift":
        first = FIRST_MASS_SHARE * known.around.packed.whole_mass_kg
        most = MOST_MASS_SHARE * known.around.packed.whole_mass_kg
    amounts = [0.0, first]
    while not _is_over(known.reach(amounts[-1]), gates) and amounts[-1] < most:
        amounts.append(_GROWTH * amounts[-1])
    last = _boundary(STABLE, known.at, amounts)
    for _ in range(_SECOND_LOOKS):
        if last is None or not known.second_look():
            break
        last = _boundary(STABLE, known.at, sorted(known.seen))
    left = []
    for gate in gates:
        if gate.figure is None:
            left.append(GateLeft(gate, last))
        elif gate.figure.key in _STANDING:
            left.append(GateLeft(gate, _boundary(gate, known.without_hover, amounts)))
        else:
            # A figure that needs a stable hover is looked at as far as there is one.
            short = gate.left(known.at(amounts[-1])) is None
            steady = [one for one in known.seen if known.seen[one].outcome == Outcome.HOVERS]
            reach = [*steady, 0.0] if short else [*known.seen, *amounts]
            found = _boundary(gate, known.at, sorted(set(reach)))
            left.append(GateLeft(gate, last if short and found is None else found))
    return GuardRow(known.change, tuple(left), amounts[-1])


def _is_over(found: Headline, gates: Sequence[Gate]) -> bool:
    """Tell whether going farther tells nothing: it no longer hovers, or every gate fails."""
    lost = found.outcome not in {Outcome.HOVERS, Outcome.UNSTABLE}
    return lost or not any(gate.passes(found) for gate in gates)


def _boundary(
    gate: Gate, at: Callable[[float], Headline], amounts: Sequence[float]
) -> float | None:
    """Give the first amount at which a gate fails, 0 if at nothing already, None if nowhere."""

    def left(amount: float) -> float:
        found = at(amount)
        value = gate.left(found)
        if value is None:
            return _PASSES if gate.passes(found) else _FAILS
        return value

    if left(0.0) < 0.0:
        return 0.0
    for low, high in pairwise(amounts):
        near, far = left(low), left(high)
        if far < 0.0:
            if math.isinf(near) or math.isinf(far):
                return high
            return float(brentq(left, low, high, xtol=_RELATIVE * low + _LEAST, rtol=_ROUNDING))
    return None
