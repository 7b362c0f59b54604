"""The wheel holds the demo files and the page templates, and finds them once installed."""

from __future__ import annotations

import subprocess
import sys
import zipfile

import pytest

FORGET_THE_SOURCES = """
import sys
sys.path[:] = [r"{wheel}"] + [place for place in sys.path if place != r"{repository}"]
"""
READ_BACK = """
from importlib.resources import files
import sim
print(sim.__file__)
for folder in ("airframes", "scenarios"):
    for file in files(folder).iterdir():
        if file.name.endswith(".yaml"):
            assert file.read_text("utf-8").strip()
            print(folder + "/" + file.name)
"""


@pytest.fixture(scope="module")
def wheel(repository, tmp_path_factory):
    folder = tmp_path_factory.mktemp("wheel")
    build = (sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder))
    subprocess.run(build, cwd=repository, check=True, capture_output=True)
    (file,) = folder.glob("*.whl")
    return file


@pytest.mark.slow
def test_wheel_holds_every_source_and_data_file(wheel, repository):
    inside = set(zipfile.ZipFile(wheel).namelist())
    wanted = {
        path.relative_to(repository).as_posix()
        for folder in ("sim", "controllers", "airframes", "scenarios")
        for path in (repository / folder).rglob("*")
        if path.suffix in {".py", ".yaml", ".html"}
    }
    assert sum(name.endswith(".yaml") for name in wanted) > 1
    assert wanted <= inside
    tops = {name.split("/")[0] for name in inside}
    assert tops >= {"sim", "controllers", "airframes", "scenarios"}
    assert len(tops) == 5, "four folders and the metadata, nothing else"


@pytest.mark.slow
def test_installed_package_reads_its_demo_files(wheel, repository, tmp_path):
    zipfile.ZipFile(wheel).extractall(tmp_path)
    program = f"{FORGET_THE_SOURCES.format(repository=repository, wheel=tmp_path)}{READ_BACK}"
    done = subprocess.run(
        (sys.executable, "-c", program),
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
    )
    origin, *found = done.stdout.split()
    assert origin.startswith(str(tmp_path))
    assert set(found) == {
        path.relative_to(repository).as_posix()
        for folder in ("airframes", "scenarios")
        for path in (repository / folder).glob("*.yaml")
    }
