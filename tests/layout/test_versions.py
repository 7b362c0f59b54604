"""The two lists of tested versions agree with each other and name no place to fetch from."""

from __future__ import annotations

import re
import tomllib

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

LISTS = ("requirements.lock", "constraints.txt")


def pinned(text: str) -> set[str]:
    """Give the pins of a list, each as `name==version; marker`."""
    lines = text.replace("\\\n", " ").splitlines()
    pins = (re.sub(r"--hash=\S+", "", line).strip() for line in lines if "==" in line)
    return {str(Requirement(pin)) for pin in pins if not pin.startswith("#")}


@pytest.fixture(params=LISTS)
def version_list(request, repository):
    return (repository / request.param).read_text("utf-8")


def test_lists_agree(repository):
    locked, constrained = (pinned((repository / name).read_text("utf-8")) for name in LISTS)
    assert len(locked) > 20
    assert locked == constrained


def test_lists_name_no_place(version_list):
    assert not re.findall(
        r"://|--index|--extra-index|--find-links|file:|(?<!\w)/\w+/", version_list
    )


def test_every_locked_file_has_a_digest(repository):
    text = (repository / "requirements.lock").read_text("utf-8")
    entries = re.split(r"\n(?=[a-zA-Z])", text.split("\n", 2)[2])
    assert all("--hash=sha256:" in entry for entry in entries)


def test_each_dependency_is_pinned_within_its_range(repository):
    project = tomllib.loads((repository / "pyproject.toml").read_text("utf-8"))["project"]
    wanted = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    pins: dict[str, list[Requirement]] = {}
    for pin in map(Requirement, pinned((repository / "constraints.txt").read_text("utf-8"))):
        pins.setdefault(canonicalize_name(pin.name), []).append(pin)
    for need in map(Requirement, wanted):
        versions = pins.get(canonicalize_name(need.name), [])
        assert versions, f"{need} has no pin: run the command in the head of each list"
        for pin in versions:
            (version,) = (spec.version for spec in pin.specifier)
            assert need.specifier.contains(version), f"{pin} is outside {need}"
