"""Every source file is short, well named and opens with one sentence about its one job."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
FOLDERS = ("sim", "controllers", "tests", "benchmarks")
LINES_AT_MOST = 400
BANNED_NAMES = {
    "common",
    "constants",
    "helper",
    "helpers",
    "lib",
    "manager",
    "misc",
    "stuff",
    "tools",
    "types",
    "util",
    "utils",
}
SOURCES = sorted(
    path
    for folder in FOLDERS
    for path in (ROOT / folder).rglob("*.py")
    if "__pycache__" not in path.parts
)


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def banned_parts(path: Path) -> set[str]:
    parts = (*path.parent.parts, path.stem)
    return {word for part in parts for word in part.lower().split("_")} & BANNED_NAMES


def sentence_fault(docstring: str | None) -> str | None:
    """Say what is wrong with a docstring's first line, or give None."""
    if not docstring:
        return "no module docstring"
    line = docstring.splitlines()[0]
    if line != line.strip() or not line[:1].isupper():
        return "the first line must begin at once, with a capital letter"
    if not line.endswith("."):
        return "the first line must be a whole sentence, ended by a full stop"
    if re.search(r"[.!?] +[A-Z]", line):
        return "the first line must be one sentence"
    return None


def test_there_are_sources():
    assert len(SOURCES) > 20
    assert {path.relative_to(ROOT).parts[0] for path in SOURCES} >= {"sim", "controllers", "tests"}


@pytest.mark.parametrize("path", SOURCES, ids=name_of)
def test_file_is_short(path):
    lines = len(path.read_text("utf-8").splitlines())
    assert lines <= LINES_AT_MOST, f"{lines} lines, at most {LINES_AT_MOST}: split it by noun"


@pytest.mark.parametrize("path", SOURCES, ids=name_of)
def test_file_has_a_telling_name(path):
    assert not banned_parts(path.relative_to(ROOT)), "name the file after what it holds"


@pytest.mark.parametrize("path", SOURCES, ids=name_of)
def test_file_opens_with_one_sentence(path):
    docstring = ast.get_docstring(ast.parse(path.read_text("utf-8")), clean=False)
    assert sentence_fault(docstring) is None, sentence_fault(docstring)


@pytest.mark.parametrize("path", SOURCES, ids=name_of)
def test_file_says_nothing_of_machine_paths(path):
    text = path.read_text("utf-8")
    found = re.findall(r"(?<![\w.])/(?:home|root|work|tmp|Users)/\w+", text)
    assert not found, f"a path of somebody's machine: {found}"


def test_the_rules_bite():
    assert banned_parts(Path("sim/physics/air_utils.py")) == {"utils"}
    assert banned_parts(Path("sim/helpers/air.py")) == {"helpers"}
    assert not banned_parts(Path("sim/physics/air/turbulence.py"))
    assert sentence_fault(None) is not None
    assert sentence_fault("Two things. And more.") is not None
    assert sentence_fault("no capital.") is not None
    assert sentence_fault("No stop") is not None
    assert sentence_fault("One sentence, e.g. this one.\n\nMore. Text.") is None
