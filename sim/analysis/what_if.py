"""A craft with a few of its figures moved: the same answers as `check`, for the file so changed.

A change is made in the text of the craft file, so that what is looked at is what would be saved.
"""

from __future__ import annotations

import math
import time
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final, final

from sim.analysis.authority import AuthorityAnswer, authority_answer
from sim.analysis.check_result import CheckResult
from sim.analysis.craft_edit import Edit, edited_craft
from sim.analysis.first_answers import first_answers
from sim.analysis.trim import Trim
from sim.mass.from_spec import mass_properties
from sim.pack.craft import PackedCraft, pack_craft
from sim.pack.flight import day_air
from sim.pack.rotor import KnownMaps
from sim.physics.air.atmosphere import AirOfTheDay
from sim.spec.airframe import CraftSpec
from sim.spec.files import LoadedCraft, LoadedScenario, craft_from_bytes
from sim.spec.load import Path_, read_document
from sim.spec.units import format_quantity, parse_quantity

SPAN: Final = (0.4, 2.5)
STEPS: Final = 60
WIND: Final = "wind"


@final
@dataclass(frozen=True)
class Slider:
    """A figure that can be moved.

    Attributes
    ----------
    key : str
        Name in requests.
    label : str
        Name for people.
    unit : str
        Of the numbers below.
    low, high, step, value : float
        Range, step and present value in that unit.
    paths : tuple of paths
        Keys of the craft file that it sets; the first as it stands, the others in proportion.
        Empty for the wind.
    """

    key: str
    label: str
    unit: str
    low: float
    high: float
    step: float
    value: float
    paths: tuple[Path_, ...]


@final
@dataclass(frozen=True)
class WhatIf:
    """What a moved figure leads to.

    Attributes
    ----------
    result : CheckResult
        With the first three answers; nothing is flown, so that `wind` and `flight` are None, and
        margins are those of roll, pitch and yaw alone.
    authority : AuthorityAnswer or None
        None without a steady hover.
    trim : Trim or None
        The hover.
    seconds : float
        [s] It took.
    """

    result: CheckResult
    authority: AuthorityAnswer | None
    trim: Trim | None
    seconds: float


_CANDIDATES: Final[tuple[tuple[str, str, str, str, Path_], ...]] = (
    ("head_mass", "mass of the head", "mass", "g", ("head", "mass")),
    ("head_up", "height of the head", "length", "cm", ("head", "place", "up")),
    ("drape_length", "length of the fabric", "length", "cm", ("drape", "length")),
    (
        "propeller_diameter",
        "propeller diameter",
        "length",
        "in",
        ("every_rotor", "propeller", "diameter"),
    ),
    ("propeller_pitch", "propeller pitch", "length", "in", ("every_rotor", "propeller", "pitch")),
    ("pack_capacity", "capacity of the pack", "charge", "Ah", ("battery", "capacity")),
    ("pack_up", "height of the pack", "length", "cm", ("battery", "place", "up")),
)
_IN_PROPORTION: Final[dict[str, tuple[Path_, ...]]] = {"pack_capacity": (("battery", "mass"),)}
_PLACES: Final = frozenset({"head_up", "pack_up"})
_PLACE_REACH_CM: Final = 40.0


def _value_path(path: Path_, values: Mapping[Path_, Any]) -> Path_ | None:
    """Give where a quantity stands in a file: itself, its `value`, or in the first of a list."""
    for found in (path, (path[0], 0, *path[1:])):
        for whole in ((*found, "value"), found):
            if whole in values:
                return whole
    return None


def _key_of(path: Path_) -> Path_:
    """Give the key whose value, with a spread or without, stands at a path."""
    return path[:-1] if path[-1] == "value" else path


def _text_at(data: Any, path: Path_) -> str:
    for key in path:
        data = data[key]
    return str(data)


@final
class Explorer:
    """Moves figures of one craft file.

    Parameters
    ----------
    raw : bytes
        The craft file.
    file : str
        Its name, for messages.
    scenario : LoadedScenario
        The day.
    """

    def __init__(self, raw: bytes, file: str, scenario: LoadedScenario) -> None:
        self.raw, self.file, self.scenario = raw, file, scenario
        self.craft = craft_from_bytes(raw, file)
        self._document = read_document(raw, file)
        self._maps: KnownMaps = {}
        self._maps_kg = math.nan
        self.sliders = self._sliders()
        self._near: Trim | None = None
        self._near = self.at({}).trim

    def _sliders(self) -> tuple[Slider, ...]:
        document = self._document
        found: list[Slider] = []
        for key, label, kind, unit, path in _CANDIDATES:
            place = _value_path(path, document.ends)
            if place is None:
                continue
            one = parse_quantity(f"1 {unit}", kind)
            value = parse_quantity(_text_at(document.data, place), kind) / one
            more = tuple(
                other
                for wanted in _IN_PROPORTION.get(key, ())
                if (other := _value_path(wanted, document.ends)) is not None
            )
            low, high, step = _range(value, moves=key in _PLACES)
            found.append(Slider(key, label, unit, low, high, step, value, (place, *more)))
        wind = self.scenario.spec.wind.mean_m_s
        found.append(Slider(WIND, "forecast mean wind", "m/s", 0.0, max(15.0, wind), 0.5, wind, ()))
        return tuple(found)

    def text(self, moved: Mapping[str, float]) -> str:
        """Give the text of the craft file with figures moved.

        Parameters
        ----------
        moved : mapping
            Values by key of the slider, in its unit; those left out stay as they stand.

        Raises
        ------
        InputFaults
            When the changed file breaks a rule of craft files.
        """
        return self._changed(moved)[0]

    def _changed(self, moved: Mapping[str, float]) -> tuple[str, LoadedCraft]:
        document = self._document
        edits: list[Edit] = []
        for slider in self.sliders:
            value = moved.get(slider.key, slider.value)
            if not slider.paths or value == slider.value:
                continue
            edits.append(
                Edit(_key_of(slider.paths[0]), f"{value:.6g} {slider.unit}", "moved on a page")
            )
            for other in slider.paths[1:]:
                was = parse_quantity(_text_at(document.data, other), "mass")
                text = format_quantity(was * value / slider.value, "mass")
                edits.append(Edit(_key_of(other), text, "moved in proportion"))
        if not edits:
            return self.raw.decode("utf-8-sig"), self.craft
        return edited_craft(self.raw, self.file, edits, document)

    def _packed(self, craft: CraftSpec, mass_kg: float, air: AirOfTheDay) -> PackedCraft:
        """Pack a craft of a whole mass; the maps of propellers are kept while that stays."""
        if mass_kg != self._maps_kg:
            self._maps, self._maps_kg = {}, mass_kg
        return pack_craft(craft, air, known_maps=self._maps)

    def at(self, moved: Mapping[str, float]) -> WhatIf:
        """Answer the first three questions for figures moved.

        Parameters
        ----------
        moved : mapping
            As for `text`.

        Raises
        ------
        InputFaults
            When the changed file breaks a rule, or no body can have its masses.
        """
        began = time.monotonic()
        craft = self._changed(moved)[1]
        wind = self.scenario.spec.wind.model_copy(
            update={"mean_m_s": moved.get(WIND, self.scenario.spec.wind.mean_m_s)}
        )
        scenario = replace(self.scenario, spec=self.scenario.spec.model_copy(update={"wind": wind}))
        mass = mass_properties(craft.spec, with_drape=True)
        packed = self._packed(craft.spec, mass.mass_kg, day_air(scenario.spec))
        found = first_answers(craft.spec, packed, scenario.spec, near=self._near)
        trim = found.trim
        names = tuple(rotor.name for rotor in craft.spec.rotors)
        authority = None if trim is None else authority_answer(packed, trim, names, losses=False)
        result = CheckResult(
            craft=craft,
            scenario=scenario,
            packed=packed,
            mass=mass,
            air=packed.air,
            lift=found.lift,
            stability=found.stability,
            head=found.head,
            wind=None,
            unknowns=(),
            flight=None,
            flight_limits=(),
            not_modelled=(),
            verdict="",
            passes=found.passes,
            seconds=time.monotonic() - began,
        )
        return WhatIf(result, authority, trim, time.monotonic() - began)


def _range(value: float, *, moves: bool) -> tuple[float, float, float]:
    """Give low, high and step of a slider about a value: a place moves, a size is scaled."""
    if moves:
        return value - _PLACE_REACH_CM, value + _PLACE_REACH_CM, 1.0
    low, high = SPAN[0] * value, SPAN[1] * value
    step = 10.0 ** round(math.log10((high - low) / STEPS))
    return round(low / step) * step, round(high / step) * step, step
