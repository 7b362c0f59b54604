"""A study killed at any moment goes on with nothing lost and nothing flown twice."""

from __future__ import annotations

import hashlib
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pyarrow.parquet as pq
import pytest

KILLS = 20
STAGES = 5
PROGRAM = Path(__file__).with_name("killed_study.py")

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs fork and SIGKILL")


@pytest.fixture
def runner(repository):
    """Give the program that forks studies, ready to begin."""
    environment = {**os.environ, "PYTHONPATH": str(repository)}
    with subprocess.Popen(
        (sys.executable, str(PROGRAM)),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=environment,
        cwd=repository,
    ) as program:
        yield program
        program.stdin.close()


def begin(runner, folder):
    """Begin a study in a folder; give the number of its process."""
    print(folder, file=runner.stdin, flush=True)
    return int(runner.stdout.readline())


def parts_of(folder):
    """Give every whole part: its bytes' digest, when it was written, and its place on the disk."""
    found = {}
    for path in folder.glob("rows/*/[!.]*"):
        told = path.stat()
        digest = hashlib.sha256(path.read_bytes()).hexdigest()
        found[path.name] = (digest, told.st_mtime_ns, told.st_ino)
    return found


def all_rows(folder):
    tables = [pq.read_table(path) for path in sorted(folder.glob("rows/*/*.parquet"))]
    return {
        name: np.concatenate([t.column(name).to_numpy() for t in tables])
        for name in tables[0].column_names
    }


def test_twenty_kills_lose_nothing_and_repeat_nothing(runner, tmp_path):
    """The rows are those of an unbroken run, bit for bit; a part once written is never touched
    again.
    """
    whole, broken = tmp_path / "whole", tmp_path / "broken"
    begin(runner, whole)
    began = time.monotonic()
    assert runner.stdout.readline() == "0\n"
    took = time.monotonic() - began
    moments = random.Random(20)
    before: dict[str, tuple[str, int, int]] = {}
    states_seen = set()
    kills = 0
    # On a busy machine many kills fall before the next part is whole: then a few more.
    while kills < KILLS or (len(states_seen) < STAGES and kills < 3 * KILLS):
        kills += 1
        process = begin(runner, broken)
        time.sleep(moments.uniform(0.0, took / 16.0))
        os.kill(process, signal.SIGKILL)
        assert runner.stdout.readline() == f"{-signal.SIGKILL}\n", "it had ended before"
        now = parts_of(broken)
        assert before.items() <= now.items()
        states_seen.add(len(now))
        before = now
    assert len(states_seen) >= STAGES
    begin(runner, broken)
    assert runner.stdout.readline() == "0\n"
    assert before.items() <= parts_of(broken).items()
    assert not list(broken.rglob("*.unfinished"))
    unbroken, mended = all_rows(whole), all_rows(broken)
    assert unbroken["flight"].tolist() == list(range(2000))
    assert unbroken.keys() == mended.keys()
    for name, column in unbroken.items():
        assert column.tobytes() == mended[name].tobytes(), name
    assert len(np.unique(unbroken["most_rate_rad_s"])) > 1900
