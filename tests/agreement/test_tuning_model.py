"""The quick model that gains are tuned on against the whole derivative of the step.

For gains other than those it was made with: roots and joint disk margin of the step linearised
anew, and the stationary covariance of the whole model by Lyapunov's equation.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import solve_discrete_lyapunov

from sim.analysis.linear_loop import ClosedLoop
from sim.analysis.linearise import linearise
from sim.analysis.loop_breaks import ATTITUDE_AXES, AXES, axis_loop, loops_together
from sim.analysis.loop_margins import decibel, margins_of_linear_loop
from sim.analysis.required_margins import STANDARD
from sim.analysis.tune_crafts import TunedCrafts, spread_crafts
from sim.analysis.tune_gust import gust_slopes, gusts_of
from sim.analysis.tune_plant import TunablePlant
from sim.analysis.tune_score import figures_of
from sim.analysis.tune_space import by_rule, gain_space
from sim.pack.craft import hover_moments_n_m
from sim.spec import load_craft, load_scenario
from sim.spec.unsure import unsure_figures

FACTORS = (1.5, 0.6, 1.3, 0.8)
KEPT = 40


@pytest.fixture(scope="module")
def tuned(repository, hover):
    """Give a function from a shipped craft to its plant and space; its gains follow the rule."""
    day = load_scenario(repository / "scenarios" / "lake_breeze.yaml").spec

    def of(name, kept=KEPT):
        craft = load_craft(repository / "airframes" / f"{name}.yaml").spec
        found = hover(name)
        plant = TunablePlant(found.trim, gust_slopes(found.packed, day, found.trim), kept)
        weight = float(found.packed.record.mixer.hover_thrust_n)
        return TunedCrafts(
            gain_space(craft, found.packed),
            found.packed,
            (plant,),
            gusts_of(day, 1.0, plant.model.period_s),
            np.array(hover_moments_n_m(found.packed.record, weight)),
        )

    return of


def changed(crafts):
    """Give gains that all differ from those of the rule, as values and as a craft record."""
    point = crafts.space.point(crafts.packed.record)
    values = crafts.space.values(point)
    values *= np.resize(FACTORS, values.size)
    return values, crafts.space.written(crafts.plants[0].trim.crafts, values)


@pytest.mark.parametrize(
    ("name", "apart"), [("bare_bicopter", 1e-3), ("jellyfish_tricopter", 1e-2)]
)
def test_other_gains_give_the_margins_of_the_whole_model(tuned, name, apart):
    """Joint disk margin within 0.1 % without fabric and 1 % with its states reduced to 40; single
    margins within 0.3 dB and a degree, as they are read off a grid.
    """
    crafts = tuned(name)
    plant = crafts.plants[0]
    values, records = changed(crafts)
    model = linearise(records, plant.trim.flights, plant.trim.state, plant.chart)
    closed = ClosedLoop(model.a, model.period_s)
    exact = loops_together(model, closed, AXES).disk()
    found = crafts.figures(plant, values)
    assert found.disk == pytest.approx(exact.guaranteed.alpha, rel=apart + 2e-3)
    margins = [margins_of_linear_loop(axis_loop(model, closed, axis)) for axis in ATTITUDE_AXES]
    up = min(decibel(m.gain_up.value) for m in margins)
    down = min(-decibel(m.gain_down.value) for m in margins)
    assert found.gain_db == pytest.approx(min(up, down), abs=0.3)
    assert found.phase_rad == pytest.approx(
        min(abs(m.phase_rad.value) for m in margins), abs=np.radians(1.0)
    )
    assert found.shortfall(STANDARD) < 1.0


def test_without_fabric_the_model_is_the_derivative_itself(tuned):
    """Every root of the quick model is a root of the step linearised anew with those gains."""
    crafts = tuned("bare_bicopter")
    plant = crafts.plants[0]
    _, records = changed(crafts)
    model = linearise(records, plant.trim.flights, plant.trim.state, plant.chart)
    whole, quick = np.linalg.eigvals(model.a), np.linalg.eigvals(plant.small(records).a)
    slow = quick[np.abs(quick) > 0.5]
    assert slow.size > 20
    assert max(np.abs(whole - root).min() for root in slow) < 1e-6


def test_drift_and_moments_are_those_of_the_stationary_covariance(tuned):
    """Integrals over frequency against Lyapunov's equation: drift within 2 %, moments within 5 %,
    which is what the grid of the search gives away.
    """
    crafts = tuned("bare_bicopter")
    plant, gusts = crafts.plants[0], crafts.gusts
    values, records = changed(crafts)
    m, size = plant.small(records), len(plant.small(records).a)
    whole = np.zeros((size + 5, size + 5))
    whole[:size, :size], whole[:size, size:] = m.a, m.gust @ gusts.output
    whole[size:, size:] = gusts.transition
    drive = np.zeros_like(whole)
    drive[size:, size:] = gusts.drive @ gusts.drive.T
    blown = solve_discrete_lyapunov(whole, drive)
    found = figures_of(m, gusts, crafts.full_moment_n_m)
    assert found.gust_m == pytest.approx(np.sqrt(np.trace(blown[:3, :3])), rel=0.02)
    drive[:size, :size] += m.noise @ m.noise.T
    both = solve_discrete_lyapunov(whole, drive)[:size, :size]
    moments = np.diag(m.c[1:4] @ both @ m.c[1:4].T) / crafts.full_moment_n_m**2
    assert found.activity == pytest.approx(np.sqrt(moments.sum()), rel=0.05)
    assert found.stable
    assert values.size == crafts.space.size


def test_crafts_of_the_spread_move_every_figure_both_ways(repository):
    """Each unsure figure half its plus_minus off, the second craft the opposite of the first."""
    craft = by_rule(load_craft(repository / "airframes" / "jellyfish_bicopter.yaml").spec)
    figures = unsure_figures(craft)
    first, second = spread_crafts(craft, 2)
    moved = False
    for figure in figures:
        places = [figure.paths[0]] * 2
        values = []
        for one, path in zip((first, second), places, strict=True):
            section = one
            for step in path:
                section = section[step] if isinstance(step, int) else getattr(section, step)
            values.append(section.value)
        assert sum(values) / 2 == pytest.approx(figure.value)
        assert abs(values[0] - values[1]) == pytest.approx(figure.plus_minus)
        moved = moved or values[0] > values[1]
    assert moved
