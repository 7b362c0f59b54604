"""Loop pictures: the keep-out region is that of the disk, the phase runs on, bars mark margins."""

from __future__ import annotations

import numpy as np
import pytest

from sim.analysis.loop_margins import loop_margins
from sim.analysis.required_margins import RequiredMargins
from sim.report.figure_bode import draw_bode, phase_over_frequency_deg
from sim.report.figure_nichols import LoopLine, disk_edge, draw_nichols
from sim.report.figure_style import drawn_svg

GRID = np.geomspace(0.05, 200.0, 4000)


def paper_loop(w):
    """Seiler, Packard and Gahinet, IEEE Control Systems Magazine 40(5), 2020."""
    s = 1j * w
    return 25 / (s**3 + 10 * s**2 + 10 * s + 10)


@pytest.fixture(scope="module")
def line():
    margins = loop_margins(paper_loop, GRID, unstable_roots=0)
    return LoopLine("still air", GRID, paper_loop(GRID), margins)


def test_the_loop_touches_the_region_of_its_disk_and_stays_outside(line):
    """Every point L of the region has |1/(1 + L) - 1/2| >= 1/alpha; its edge has equality."""
    disk = line.margins.disk
    edge = disk_edge(disk)
    assert np.abs(1.0 / (1.0 + edge) - 0.5) == pytest.approx(np.full(len(edge), 1.0 / disk.alpha))
    outside = np.abs(1.0 / (1.0 + line.values) - 0.5)
    assert outside.max() <= 1.0 / disk.alpha * (1.0 + 1e-9)
    nearest = np.abs(np.log(edge[:, None] / line.values[None, :])).min()
    assert nearest < 0.01


def test_the_phase_runs_on_without_jumps_and_is_told_for_the_last_crossing(line):
    phase = phase_over_frequency_deg(line)
    assert np.abs(np.diff(phase)).max() < 5.0
    at = np.argmin(np.abs(GRID - line.margins.phase_rad.frequency_rad_s))
    assert phase[at] == pytest.approx(-180.0 + np.degrees(line.margins.phase_rad.value), abs=0.5)
    late = LoopLine("", GRID, line.values * np.exp(-1j * GRID * 0.2), line.margins)
    assert phase_over_frequency_deg(late)[-1] < -1000.0


def test_a_loop_that_is_never_one_has_a_phase_too():
    small = 0.1 / (1j * GRID + 1.0)
    margins = loop_margins(lambda w: 0.1 / (1j * w + 1.0), GRID, unstable_roots=0)
    phase = phase_over_frequency_deg(LoopLine("", GRID, small, margins))
    assert -90.0 - 1e-9 <= phase.min() <= phase.max() <= 0.0


@pytest.mark.parametrize("draw", [draw_bode, draw_nichols])
def test_pictures_name_their_axes_and_lines_and_are_the_same_each_time(line, draw):
    other = LoopLine("3 m/s from behind", GRID, 0.8 * line.values, line.margins)
    svg = drawn_svg(lambda: draw("pitch", [line, other], RequiredMargins()), "loop", "words")
    again = drawn_svg(lambda: draw("pitch", [line, other], RequiredMargins()), "loop", "words")
    assert svg == again
    for words in ("pitch", "still air", "3 m/s from behind", "gain of the loop, dB", "deg"):
        assert words in svg


def test_the_bars_of_a_bode_picture_are_as_long_as_the_margins(line):
    figure = draw_bode("pitch", [line], RequiredMargins())
    above, below = figure.axes
    heights = [bar.get_ydata()[1] for bar in above.lines if len(bar.get_xdata()) == 2]
    assert any(height == pytest.approx(-11.126, abs=1e-3) for height in heights)
    turns = [bar.get_ydata()[1] for bar in below.lines if len(bar.get_xdata()) == 2]
    assert any(turn == pytest.approx(-180.0 + 29.1104, abs=1e-3) for turn in turns)
