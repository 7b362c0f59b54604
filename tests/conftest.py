"""What every test shares: reproducible property tests and plots that need no screen."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import settings

os.environ.setdefault("MPLBACKEND", "Agg")
# As the commands do: small matrices, and threads that wait for each other cost more than they give.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

settings.register_profile("gustworthy", deadline=None, derandomize=True, database=None)
settings.load_profile("gustworthy")


@pytest.fixture(scope="session")
def repository() -> Path:
    """Give the folder that holds pyproject.toml."""
    return Path(__file__).resolve().parents[1]
