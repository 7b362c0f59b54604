"""Each gate lets the clean tree pass and fails on a planted fault, for the right reason."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

# Where a fault is planted (a file of the tree), what is appended to it, what the gate must say.
TEXT_FAULTS = {
    "the compiler outside its door": (
        "controllers/planted.py",
        '"""A planted file."""\n\nimport numba\n\nNAME = numba.__name__\n',
        "TID251",
    ),
    "yaml outside its door": (
        "sim/mass/planted.py",
        '"""A planted file."""\n\nimport yaml\n\nNAME = yaml.__name__\n',
        "TID251",
    ),
    "random numbers that no seed governs": (
        "sim/physics/planted.py",
        '"""A planted file."""\n\nfrom numpy import random\n\nNAME = random.__name__\n',
        "TID251",
    ),
    "a relative import": (
        "sim/spec/planted.py",
        '"""A planted file."""\n\nfrom . import load\n\nNAME = load.__name__\n',
        "TID252",
    ),
    "an undocumented function": (
        "sim/mass/planted.py",
        '"""A planted file."""\n\n\ndef double(a: float) -> float:\n    return a + a\n',
        "D103",
    ),
    "a swallowed error": (
        "sim/report/planted.py",
        '"""A planted file."""\n\ntry:\n    N = int("1")\nexcept Exception:\n    N = 0\n',
        "BLE001",
    ),
    "a module named like one of Python's own": (
        "sim/physics/math.py",
        '"""A planted file."""\n',
        "A005",
    ),
}
IMPORT_FAULTS = {
    "physics that reads a spec": (
        "sim/physics/planted.py",
        "import sim.spec\n",
        "sim.physics.planted -> sim.spec",
    ),
    "a stage that imports a later one": (
        "sim/mass/planted.py",
        "import sim.flight\n",
        "sim.mass.planted -> sim.flight",
    ),
    "a controller that sees the truth": (
        "controllers/planted.py",
        "import sim.physics\n",
        "controllers.planted -> sim.physics",
    ),
    "a folder left out of the flow": ("sim/planted/__init__.py", "", "sim.planted"),
}
TYPE_FAULTS = {
    "an untyped function": ("def double(a):\n    return a + a\n", "no-untyped-def"),
    "a wrong result": ("def double(a: float) -> str:\n    return a + a\n", "return-value"),
}


@pytest.fixture
def tree(repository: Path, tmp_path: Path) -> Path:
    """Give a copy of the sources and the rules, to spoil at will."""
    ignore = shutil.ignore_patterns("__pycache__", ".*", "*.html")
    for folder in ("sim", "controllers"):
        shutil.copytree(repository / folder, tmp_path / folder, ignore=ignore)
    shutil.copy(repository / "pyproject.toml", tmp_path)
    return tmp_path


def plant(tree: Path, file: str, text: str) -> None:
    path = tree / file
    path.parent.mkdir(parents=True, exist_ok=True)
    assert not path.exists(), "a planted file must be new"
    path.write_text(text, "utf-8")


def run_gate(tree: Path, *command: str) -> tuple[int, str]:
    done = subprocess.run(command, cwd=tree, capture_output=True, text=True, check=False)
    return done.returncode, " ".join((done.stdout + done.stderr).split())


def faults_of_text(tree: Path) -> set[tuple[str, str]]:
    """Give file and rule of every fault that the text gate finds."""
    command = (sys.executable, "-m", "ruff", "check", "--no-cache", "--output-format=json", ".")
    _, said = run_gate(tree, *command)
    return {
        (Path(found["filename"]).relative_to(tree).as_posix(), found["code"])
        for found in json.loads(said)
    }


def check_imports(tree: Path) -> tuple[int, str]:
    program = "from importlinter.cli import lint_imports_command as run; run()"
    return run_gate(tree, sys.executable, "-c", program, "--no-cache")


def test_clean_tree_passes_text(tree):
    assert not faults_of_text(tree)


@pytest.mark.parametrize(("file", "text", "reason"), TEXT_FAULTS.values(), ids=TEXT_FAULTS.keys())
def test_text_fault_is_caught(tree, file, text, reason):
    plant(tree, file, text)
    assert {fault for fault in faults_of_text(tree) if fault[0] == file} == {(file, reason)}


@pytest.mark.slow
def test_clean_tree_passes_imports(tree):
    status, said = check_imports(tree)
    assert status == 0, said


@pytest.mark.slow
@pytest.mark.parametrize(
    ("file", "text", "reason"), IMPORT_FAULTS.values(), ids=IMPORT_FAULTS.keys()
)
def test_import_fault_is_caught(tree, file, text, reason):
    plant(tree, file, text)
    status, said = check_imports(tree)
    assert status == 1
    assert reason in said


@pytest.mark.slow
@pytest.mark.parametrize(("text", "reason"), TYPE_FAULTS.values(), ids=TYPE_FAULTS.keys())
def test_type_fault_is_caught(repository, tmp_path, text, reason):
    shutil.copy(repository / "pyproject.toml", tmp_path)
    for package in ("sim", "controllers"):
        plant(tmp_path, f"{package}/__init__.py", "")
    mypy = (sys.executable, "-m", "mypy", "--cache-dir", str(tmp_path / "cache"))
    status, said = run_gate(tmp_path, *mypy)
    assert status == 0, said
    plant(tmp_path, "sim/planted.py", text)
    status, said = run_gate(tmp_path, *mypy)
    assert status == 1
    assert "sim/planted.py" in said
    assert reason in said
