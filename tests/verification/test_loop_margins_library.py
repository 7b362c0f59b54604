"""Loop margins of random loops against an independent control library (python-control)."""

from __future__ import annotations

import warnings

import control
import numpy as np
import pytest

from sim.analysis.loop_margins import loop_margins

# The library, at 0.10.2, does something that numpy 2.5 deprecates.
pytestmark = pytest.mark.filterwarnings(r"ignore:Setting the shape:DeprecationWarning:control\.")
GRID = np.geomspace(1e-4, 1e5, 900)
PERIOD_S = 0.02
SEEDS = range(50)


def random_polynomial(rng, degree, lowest, highest):
    """Give the coefficients of a polynomial with stable roots of random frequency and damping."""
    roots = []
    while len(roots) < degree:
        frequency = np.exp(rng.uniform(np.log(lowest), np.log(highest)))
        if degree - len(roots) > 1 and rng.random() < 0.5:
            damping = rng.uniform(0.03, 1.0)
            turn = frequency * (-damping + 1j * np.sqrt(1 - damping**2))
            roots += [turn, turn.conjugate()]
        else:
            roots.append(-frequency)
    return np.atleast_1d(np.real(np.poly(roots)))


def stable_loop(seed):
    """Give numerator and denominator of a random proper loop whose closed loop is stable."""
    rng = np.random.default_rng([2020, seed])
    while True:
        order = int(rng.integers(2, 7))
        denominator = random_polynomial(rng, order, 0.1, 100.0)
        numerator = random_polynomial(rng, int(rng.integers(0, order)), 0.1, 100.0)
        if rng.random() < 0.3:
            denominator = np.append(random_polynomial(rng, order - 1, 0.1, 100.0), 0.0)
        at = np.exp(rng.uniform(np.log(0.1), np.log(100.0))) * 1j
        numerator = numerator * np.abs(np.polyval(denominator, at) / np.polyval(numerator, at))
        if np.roots(np.polyadd(denominator, numerator)).real.max() < -1e-3:
            return numerator, denominator


def unstable_plant_loop(seed):
    """Give numerator and denominator of a loop that is unstable by itself and stable when closed.

    The closed loop is chosen, roots at the left, and with it how much of it is the loop's zeros;
    what is left is the denominator, kept when it has a root at the right.
    """
    rng = np.random.default_rng([2022, seed])
    while True:
        order = int(rng.integers(2, 7))
        closed = random_polynomial(rng, order, 0.1, 100.0)
        numerator = random_polynomial(rng, int(rng.integers(0, order)), 0.1, 100.0)
        at = np.exp(rng.uniform(np.log(0.1), np.log(100.0))) * 1j
        size = np.abs(np.polyval(closed, at) / np.polyval(numerator, at))
        numerator = numerator * size * np.exp(rng.uniform(-1.0, 1.0))
        denominator = np.polysub(closed, numerator)
        if np.roots(denominator).real.max() > 1e-2:
            return numerator, denominator


def library_margins(system):
    """Give the library's crossings; it divides by zero at the integrators of a loop."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)
        return control.stability_margins(system, returnall=True, method="poly")


def compare(found, expected):
    gain, phase, distance, phase_at, gain_at, _ = expected
    order = np.argsort(phase_at)
    keep = [k for k in order if np.isfinite(gain[k]) and gain[k] > 0.0]
    assert [c.value for c in found.phase_crossings] == pytest.approx(gain[keep], rel=1e-6)
    assert [c.frequency_rad_s for c in found.phase_crossings] == pytest.approx(
        phase_at[keep], rel=1e-6, abs=1e-9
    )
    order = np.argsort(gain_at)
    phases = np.degrees([c.value for c in found.gain_crossings])
    assert phases == pytest.approx(phase[order], rel=1e-6, abs=1e-6)
    assert [c.frequency_rad_s for c in found.gain_crossings] == pytest.approx(
        gain_at[order], rel=1e-6
    )
    if len(distance):
        assert found.modulus.value <= distance.min() * (1 + 1e-6)
    up = gain[keep][gain[keep] > 1.0]
    down = gain[keep][gain[keep] < 1.0]
    assert found.gain_up.value == pytest.approx(up.min() if up.size else np.inf, rel=1e-6)
    assert found.gain_down.value == pytest.approx(down.max() if down.size else 0.0, rel=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_continuous_loop(seed):
    numerator, denominator = stable_loop(seed)

    def response(w):
        return np.polyval(numerator, 1j * w) / np.polyval(denominator, 1j * w)

    found = loop_margins(response, GRID, unstable_roots=0)
    compare(found, library_margins(control.tf(numerator, denominator)))


@pytest.mark.parametrize("seed", SEEDS)
def test_loop_that_is_unstable_until_it_is_closed(seed):
    """Its gain may fall too far as well as rise, its phase margin may be to either side."""
    numerator, denominator = unstable_plant_loop(seed)

    def response(w):
        return np.polyval(numerator, 1j * w) / np.polyval(denominator, 1j * w)

    found = loop_margins(response, GRID, unstable_roots=0)
    compare(found, library_margins(control.tf(numerator, denominator)))


@pytest.mark.parametrize("seed", SEEDS)
def test_loop_that_is_unstable_when_closed_has_no_margins(seed):
    """The library gives numbers there, which say nothing: it is for its user to know."""
    numerator, denominator = stable_loop(seed)
    roots = np.zeros(1)
    while not (roots.real > 1e-3).any():
        # A right-hand zero or more gain upsets any loop in the end.
        numerator = 1.5 * np.convolve(numerator, [-0.02, 1.0])
        denominator = np.convolve(denominator, [0.001, 1.0])
        roots = np.roots(np.polyadd(denominator, numerator))

    def response(w):
        return np.polyval(numerator, 1j * w) / np.polyval(denominator, 1j * w)

    growing = int(np.count_nonzero(roots.real > 0.0))
    found = loop_margins(response, GRID, unstable_roots=growing)
    assert np.isfinite(library_margins(control.tf(numerator, denominator))[0]).any()
    assert not found.stable
    assert found.gain_up is found.gain_down is found.phase_rad is found.delay_s is None
    assert found.modulus is found.disk is None


@pytest.mark.parametrize("seed", SEEDS)
def test_disk_margin(seed):
    """The library takes the worst of the frequencies it is given, so give it ours, and a grid."""
    numerator, denominator = stable_loop(seed)

    def response(w):
        return np.polyval(numerator, 1j * w) / np.polyval(denominator, 1j * w)

    disk = loop_margins(response, GRID, unstable_roots=0).disk
    system = control.ss(control.tf(numerator, denominator))
    here = np.array([disk.frequency_rad_s])
    alpha, gain_db, phase_deg = control.disk_margins(system, here, skew=0.0)
    assert disk.alpha == pytest.approx(alpha, rel=1e-6)
    assert np.degrees(disk.phase_rad) == pytest.approx(phase_deg, rel=1e-6)
    if disk.alpha < 1.99:
        assert 20 * np.log10(disk.gain_high) == pytest.approx(gain_db, rel=1e-5)
    everywhere, _, _ = control.disk_margins(system, np.geomspace(1e-4, 1e5, 3000), skew=0.0)
    assert disk.alpha <= everywhere * (1 + 1e-9)


def sampled_polynomial(rng, degree):
    """Give the coefficients of a polynomial whose roots lie at random inside the unit circle."""
    roots = []
    while len(roots) < degree:
        radius, turn = rng.uniform(0.2, 0.95), rng.uniform(0.1, 3.0)
        if degree - len(roots) > 1 and rng.random() < 0.6:
            roots += [radius * np.exp(1j * turn), radius * np.exp(-1j * turn)]
        else:
            roots.append(radius * rng.choice([-1.0, 1.0]))
    return np.atleast_1d(np.real(np.poly(roots)))


def stable_sampled_loop(seed):
    """Give numerator and denominator in z of a random loop whose closed loop is stable."""
    rng = np.random.default_rng([2021, seed])
    while True:
        order = int(rng.integers(2, 5))
        denominator = sampled_polynomial(rng, order)
        if rng.random() < 0.3:
            denominator = np.convolve(sampled_polynomial(rng, order - 1), [1.0, -1.0])
        numerator = np.exp(rng.uniform(-2.0, 1.0)) * sampled_polynomial(
            rng, int(rng.integers(0, order))
        )
        if np.abs(np.roots(np.polyadd(denominator, numerator))).max() < 1.0 - 1e-3:
            return numerator, denominator


@pytest.mark.parametrize("seed", SEEDS)
def test_sampled_loop(seed):
    """The library looks for crossings of a sampled loop inside the open half circle; the one at
    z = -1, where L is real, is put to it as a number.
    """
    numerator, denominator = stable_sampled_loop(seed)
    nyquist = np.pi / PERIOD_S

    def response(w):
        z = np.exp(1j * w * PERIOD_S)
        return np.polyval(numerator, z) / np.polyval(denominator, z)

    found = loop_margins(response, GRID[nyquist > GRID], unstable_roots=0, nyquist_rad_s=nyquist)
    system = control.tf(numerator, denominator, PERIOD_S)
    gain, phase, distance, phase_at, gain_at, distance_at = library_margins(system)
    inside = (phase_at < nyquist * (1 - 1e-6)) & (phase_at > 0.0)
    ends = {
        w: np.polyval(numerator, z) / np.polyval(denominator, z)
        for w, z in ((0.0, 1.0), (nyquist, -1.0))
        if abs(np.polyval(denominator, z)) > 1e-9
    }
    crossing = {w: -1 / value for w, value in ends.items() if value < 0.0}
    gain = np.append(gain[inside], list(crossing.values()))
    phase_at = np.append(phase_at[inside], list(crossing.keys()))
    compare(found, (gain, phase, distance, phase_at, gain_at, distance_at))
