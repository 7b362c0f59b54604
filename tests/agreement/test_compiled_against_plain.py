"""The compiled step against the same text run by the interpreter, and against smaller steps."""

from __future__ import annotations

import os
import subprocess
import sys

import numpy as np
import pytest

from sim.flight.start import blank_works
from sim.pack.flight import pack_flight, write_wind
from sim.params.state_record import STATE_TYPE
from sim.params.tally_record import WORK_TYPE
from sim.spec import load_scenario
from sim.step.batch import advance_each
from tests.agreement.gust_drift import gust_drift_m, gust_drifts_m

TICKS = 40
GUSTY_M_S = 6.0
FLOWN_BEFORE = 500
ROUNDING = 1e-12


@pytest.mark.parametrize("name", ["jellyfish_bicopter", "jellyfish_tricopter", "heron_tricopter"])
def test_compiled_step_equals_the_interpreted_one(hover, repository, tmp_path, name):
    """Forty steps in a gusty wind with noise and moving servos, from the midst of a flight, with
    fabric or with a hinged head.

    The two differ by rounding alone: the compiler's sine, exponential and logarithm may round the
    last bit otherwise. 1e-12 of the largest entry of a field leaves room for that to add up.
    """
    case = hover(name)
    scenario = load_scenario(repository / "tests" / "agreement" / "short_breeze.yaml").spec
    flights = pack_flight(scenario, case.packed.air)
    write_wind(scenario, flights[0], GUSTY_M_S)
    states, works = case.start, blank_works()
    advance_each(case.packed.records, flights, states, works, FLOWN_BEFORE)
    path = tmp_path / "records.npz"
    np.savez(
        path,
        crafts=case.packed.records.view(np.uint8),
        flights=flights.view(np.uint8),
        states=states.view(np.uint8),
    )
    environment = {**os.environ, "NUMBA_DISABLE_JIT": "1", "PYTHONPATH": str(repository)}
    program = repository / "tests" / "agreement" / "uncompiled_flight.py"
    subprocess.run(
        [sys.executable, str(program), str(path), str(TICKS)], env=environment, check=True
    )
    advance_each(case.packed.records, flights, states, works, TICKS)
    plain = np.frombuffer((tmp_path / "after.bin").read_bytes(), dtype=STATE_TYPE)
    assert plain["tick"][0] == states["tick"][0] == FLOWN_BEFORE + TICKS
    check_fields(states[0], plain[0], "state")
    noted = np.frombuffer((tmp_path / "works.bin").read_bytes(), dtype=WORK_TYPE)
    check_fields(works[0], noted[0], "work")


def check_fields(one, other, path):
    """Compare every number of two records, field by field."""
    for name in one.dtype.names:
        here, there = np.asarray(one[name]), np.asarray(other[name])
        if here.dtype.names is None:
            check_numbers(here, there, f"{path}.{name}")
        else:
            for inner in here.dtype.names:
                check_numbers(here[inner], there[inner], f"{path}.{name}.{inner}")


def check_numbers(here, there, path):
    """Compare two fields against their largest entry."""
    assert np.abs(here - there).max() <= ROUNDING * np.abs(here).max(), path


@pytest.mark.parametrize(
    ("name", "gust_m_s", "seconds"),
    [
        ("bare_bicopter", 4.0, 3.0),
        ("heron_tricopter", 4.0, 3.0),
        ("jellyfish_bicopter", 0.3, 1.0),
        ("jellyfish_tricopter", 0.3, 1.0),
    ],
)
def test_halving_the_step_halves_the_error(hover, name, gust_m_s, seconds):
    """Semi-implicit Euler is of first order: the drift is d(h) = d(0) + c h + O(h^2), so that
    (d(h) - d(h/2)) / (d(h/2) - d(h/4)) is 2, but for O(h / motion's own time) < 1 %.

    With fabric only a gust that leaves every thread as it is, taut or slack, has such a series.
    """
    case = hover(name)
    steps = 1e-3 / 2.0 ** np.arange(4)
    drift = [gust_drift_m(case, step, gust_m_s=gust_m_s, seconds=seconds) for step in steps]
    changes = np.diff(drift)
    assert changes[:-1] / changes[1:] == pytest.approx([2.0, 2.0], rel=0.01)
    assert abs(changes[0]) < 1e-3 * abs(drift[0])


@pytest.mark.parametrize("name", ["jellyfish_bicopter", "jellyfish_tricopter"])
def test_halving_the_step_in_strong_gusts_moves_the_drift_by_half_a_centimetre_at_most(hover, name):
    """Flapping fabric follows no series in the step: each flight flaps in its own way, which moves
    its drift of decimetres by a few hundredths. What it does to the craft averages out: the mean
    over five gusts, printed in centimetres, must not depend on the step. Here nothing is in the
    fabric's way.
    """
    case, gusts = hover(name), (3.6, 3.8, 4.0, 4.2, 4.4)
    drift = np.array(
        [gust_drifts_m(case, gusts, step, touches=False) for step in (1e-3, 5e-4, 2.5e-4)]
    )
    assert np.all(np.abs(drift) > 0.1)
    assert np.all(np.ptp(drift, axis=0) < 0.04 * np.abs(drift[0]))
    assert np.ptp(drift.mean(axis=1)) < 0.005
