"""Read a craft or scenario file into a checked spec, with its warnings and defaults."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import final

from pydantic import ValidationError

from sim.spec.airframe import CraftFile, CraftSpec, complete_craft
from sim.spec.bench import check_motor_names
from sim.spec.defaults import DefaultUsed, defaults_used
from sim.spec.drape import check_drapes
from sim.spec.faults import note_at, note_validation
from sim.spec.layout_checks import check_craft, fabric_on_nodding_head, readable_sections
from sim.spec.load import read_bytes, read_document
from sim.spec.measured_wind import FOLDER
from sim.spec.scenario import ScenarioSpec, check_measured_wind
from sim.spec.section_checks import check_sections


@final
@dataclass(frozen=True)
class LoadedCraft:
    """A craft file, read.

    Attributes
    ----------
    spec : CraftSpec
        The craft, in SI units.
    warnings : tuple of str
        What can be computed but looks wrong.
    defaults : tuple of DefaultUsed
        Every value that the builder did not write.
    text_digest : str
        SHA-256 of the file, in hexadecimal.
    """

    spec: CraftSpec
    warnings: tuple[str, ...]
    defaults: tuple[DefaultUsed, ...]
    text_digest: str


@final
@dataclass(frozen=True)
class LoadedScenario:
    """A scenario file, read; the fields are those of `LoadedCraft`."""

    spec: ScenarioSpec
    warnings: tuple[str, ...]
    defaults: tuple[DefaultUsed, ...]
    text_digest: str


def load_craft(path: Path) -> LoadedCraft:
    """Read and check a craft file.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    LoadedCraft
        The craft; `sim.errors.InputFaults` is raised with every fault when there is one.
    """
    return craft_from_bytes(read_bytes(path), str(path))


def load_scenario(path: Path) -> LoadedScenario:
    """Read and check a scenario file.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    LoadedScenario
        The scenario; `sim.errors.InputFaults` is raised with every fault when there is one.
    """
    return scenario_from_bytes(read_bytes(path), str(path))


def craft_from_bytes(raw: bytes, file: str) -> LoadedCraft:
    """Read and check a craft from the content of its file.

    Parameters
    ----------
    raw : bytes
        YAML, UTF-8.
    file : str
        Name for messages.

    Returns
    -------
    LoadedCraft
        The craft.
    """
    document = read_document(raw, file)
    craft: CraftFile | None = None
    if document.data or not document.faults:
        try:
            craft = CraftFile.model_validate(document.data)
        except ValidationError as error:
            note_validation(error, document, CraftFile)
    if isinstance(document.data, dict):
        check_sections(CraftFile, document.data, partial(note_at, document))
        check_motor_names(document.data, partial(note_at, document))
        check_drapes(document.data, partial(note_at, document))
    warnings = check_craft(readable_sections(document), partial(note_at, document))
    document.raise_if_faulty()
    assert craft is not None
    digest = hashlib.sha256(raw).hexdigest()
    spec = complete_craft(craft)
    warnings += fabric_on_nodding_head(spec)
    return LoadedCraft(spec, warnings, defaults_used(craft), digest)


def scenario_from_bytes(raw: bytes, file: str) -> LoadedScenario:
    """Read and check a scenario from the content of its file.

    Parameters
    ----------
    raw : bytes
        YAML, UTF-8.
    file : str
        Name for messages.

    Returns
    -------
    LoadedScenario
        The scenario.
    """
    document = read_document(raw, file)
    scenario: ScenarioSpec | None = None
    if document.data or not document.faults:
        try:
            folder = {FOLDER: Path(file).parent}
            scenario = ScenarioSpec.model_validate(document.data, context=folder)
        except ValidationError as error:
            note_validation(error, document, ScenarioSpec)
    if isinstance(document.data, dict):
        check_sections(ScenarioSpec, document.data, partial(note_at, document))
    if scenario is not None:
        check_measured_wind(scenario, partial(note_at, document))
    document.raise_if_faulty()
    assert scenario is not None
    digest = hashlib.sha256(raw).hexdigest()
    blown = scenario.model_copy(update={"wind": scenario.wind.as_measured()})
    return LoadedScenario(blown, (), defaults_used(scenario), digest)
