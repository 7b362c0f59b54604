"""What every benchmark shares: where the project is."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def repository() -> Path:
    """Give the folder that holds pyproject.toml."""
    return Path(__file__).resolve().parents[1]
