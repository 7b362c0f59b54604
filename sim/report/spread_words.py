"""How `gustworthy spread` writes headline figures, changes and what is left of them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, final

from sim.analysis.headline import Figure, Gate
from sim.analysis.importance import SobolIndices
from sim.analysis.mass_guard import Change, GateLeft, GuardRow
from sim.analysis.measurement_value import MeasurementValue
from sim.report.number_text import MISSING, digits, fixed, percent, with_unit
from sim.spec.units import format_quantity

_GRAMS: Final = 1000.0
_MILLIMETRES: Final = 1000.0
_HEAVY_KG: Final = 1.0


@final
@dataclass(frozen=True)
class ShownAs:
    """How a headline figure is written: times a factor, with so many decimals and a unit."""

    factor: float
    places: int
    unit: str

    def number(self, value: float | None) -> str:
        """Write a value without its unit."""
        return fixed(None if value is None else self.factor * value, self.places)


_PLAIN: Final = ShownAs(1.0, 2, "")
_SHOWN: Final[dict[str, ShownAs]] = {
    "whole_mass_kg": ShownAs(1.0, 3, "kg"),
    "thrust_to_weight": _PLAIN,
    "usable_thrust_to_weight": _PLAIN,
    "lift_over_weight": _PLAIN,
    "rotors_above_centre_m": ShownAs(1000.0, 0, "mm"),
    "pitch_authority_n_m": ShownAs(1.0, 2, "N m"),
    "static_wind_m_s": ShownAs(1.0, 1, "m/s"),
    "pack_current_share": ShownAs(100.0, 0, "%"),
    "hover_throttle": ShownAs(100.0, 0, "%"),
    "endurance_s": ShownAs(1.0 / 60.0, 1, "minutes"),
    "gain_margin_db": ShownAs(1.0, 1, "dB"),
    "phase_margin_rad": ShownAs(180.0 / math.pi, 1, "degrees"),
    "disk_margin": _PLAIN,
    "wind_limit_m_s": ShownAs(1.0, 1, "m/s"),
}


def shown_as(figure: Figure) -> ShownAs:
    """Give how a headline figure is written."""
    return _SHOWN[figure.key]


def figure_label(figure: Figure) -> str:
    """Give a figure's name with its unit."""
    unit = shown_as(figure).unit
    return f"{figure.name}, {unit}" if unit else figure.name


def limit_text(gate: Gate) -> str:
    """Write what a gate asks for, such as "at least 6.0 dB"."""
    if gate.figure is None:
        return ""
    shown = shown_as(gate.figure)
    side = "at least" if gate.figure.more_is_better else "at most"
    return f"{side} {with_unit(shown.number(gate.limit), shown.unit)}"


def share_range(lower: float, upper: float) -> str:
    """Write a range of probabilities in percent, towards the outside where it is near an end."""
    low, high = 100.0 * lower, 100.0 * upper
    return f"{fixed(low, 0 if low < 98.0 else 1)} to {fixed(high, 0 if high > 2.0 else 1)} %"  # noqa: PLR2004


def index_text(indices: SobolIndices) -> str:
    """Write a total index with its bounds, in percent."""
    low, high = (percent(share) for share in (indices.total_lower, indices.total_upper))
    if low == high:
        return f"{percent(indices.total)} %"
    return f"{percent(indices.total)} % ({low} to {high})"


def accuracy_text(value: MeasurementValue) -> str:
    """Write how sure a measurement leaves its figure: as a share, or in its unit."""
    if value.figure.value:
        return f"{digits(100.0 * value.accuracy / abs(value.figure.value), 2)} %"
    return format_quantity(value.accuracy, value.figure.kind)


def amount_text(change: Change, amount: float | None) -> str:
    """Write an amount of a change, rounded down: grams or millimetres."""
    if amount is None:
        return MISSING
    if change.kind == "shift":
        return f"{math.floor(_MILLIMETRES * amount)} mm"
    if amount >= _HEAVY_KG:
        return f"{math.floor(100.0 * amount) / 100.0:.2f} kg"
    return f"{math.floor(_GRAMS * amount)} g"


def change_text(change: Change) -> str:
    """Name a change, such as "heavier at the head" or "CG forward"."""
    return f"CG {change.name}" if change.kind == "shift" else f"heavier {change.name}"


def left_text(row: GuardRow, left: GateLeft) -> str:
    """Write what is left before one gate fails, with the gate."""
    return f"{left.gate.name} at {amount_text(row.change, left.amount)}"
