"""Piped output of every command that computes in a moment: 80 columns and no colour."""

from __future__ import annotations

import pytest

from sim.cli import main as entry

COLUMNS = 80


@pytest.mark.parametrize("command", ["mass", "trim", "margins", "power"])
@pytest.mark.parametrize("craft", ["bare_bicopter", "heron_tricopter"])
def test_piped_text_has_80_columns_and_no_colour(command, craft, repository, capsys, monkeypatch):
    for name in ("NO_COLOR", "FORCE_COLOR", "COLUMNS"):
        monkeypatch.delenv(name, raising=False)
    assert entry.run([command, str(repository / f"airframes/{craft}.yaml")]) in {0, 1}
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) > 5
    assert max(map(len, lines)) <= COLUMNS
    assert not any("\x1b" in line for line in lines)
