"""Swings of fabric: told by drape, alike ones together, the slowest first."""

from __future__ import annotations

import pytest

from sim.analysis.drape_swing import alike, fabric_swings, named_groups
from sim.analysis.modes import Mode


def mode(frequency, rate, moves="veil"):
    return Mode(rate, frequency, 0.1, ((moves, 0.9), ("pitch", 0.1)))


def test_alike_means_the_same_drape_frequency_and_damping():
    found = alike(
        [
            mode(0.50, -0.10),
            mode(0.51, -0.11),
            mode(0.50, -0.50),
            mode(0.50, -0.10, "cape"),
            mode(0.80, -0.10),
        ]
    )
    told = [(swing.mode.moves, swing.mode.frequency_hz, swing.count) for swing in found]
    assert sorted(told) == [
        ("cape", 0.50, 1),
        ("veil", 0.50, 1),
        ("veil", 0.50, 2),
        ("veil", 0.80, 1),
    ]
    assert found[-1].mode.frequency_hz == 0.80
    assert max(swing.mode.rate_1_s for swing in found if swing.count == 2) == -0.10


def test_coordinates_of_particles_get_the_name_of_their_drape(hover):
    case = hover("jellyfish_bicopter")
    (drape,) = case.spec.drapes
    halves = tuple(
        drape.model_copy(update={"name": name, "strips": strips})
        for name, strips in (("front", 3), ("back", 5))
    )
    spec = case.spec.model_copy(update={"drapes": halves})
    groups = named_groups(spec, case.trim.chart)
    assert len(groups) == case.trim.chart.size
    assert (groups.count("front"), groups.count("back")) == (3 * 3 * 6, 5 * 3 * 6)
    assert "drape" not in groups
    assert groups.index("front") < groups.index("back")


def test_swings_of_the_jellyfish_belong_to_its_skirt(hover):
    """Below the first swing of a 60 cm plumb bob there is none, and all are damped in still air."""
    case = hover("jellyfish_bicopter")
    swings = fabric_swings(case.spec, case.trim)
    frequencies = [swing.mode.frequency_hz for swing in swings]
    assert frequencies == sorted(frequencies)
    assert 0.0 < frequencies[0] < 1.2024 * (9.80665 / 0.6) ** 0.5 / 6.2832
    assert all(swing.mode.moves.startswith("drape") for swing in swings)
    assert sum(swing.count for swing in swings) > len(swings)
    assert all(swing.mode.rate_1_s < 0.0 for swing in swings)
    assert swings[0].mode.shares[0][1] == pytest.approx(1.0, abs=0.5)
