"""Modes against oscillators whose roots and shares are known on paper."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.linalg

from sim.analysis.modes import Mode, modes

PERIOD_S = 1e-3


def stepped(rates):
    """Give exp(A T): the roots of the step are then exactly exp(s T)."""
    return scipy.linalg.expm(np.asarray(rates, dtype=float) * PERIOD_S)


def oscillator(frequency_rad_s, damping):
    return np.array([[0.0, 1.0], [-(frequency_rad_s**2), -2 * damping * frequency_rad_s]])


@pytest.mark.parametrize(("hz", "damping"), [(0.6, 0.02), (3.0, 0.2), (1.0, -0.05)])
def test_one_oscillator(hz, damping):
    """s = -z w +- j w sqrt(1 - z^2): halves or doubles in ln 2/(z w)."""
    w = 2 * np.pi * hz
    (mode,) = modes(stepped(oscillator(w, damping)), PERIOD_S, ["drape", "drape"])
    assert mode.rate_1_s == pytest.approx(-damping * w, rel=1e-8)
    assert mode.frequency_hz == pytest.approx(hz * np.sqrt(1 - damping**2), rel=1e-8)
    assert mode.damping_ratio == pytest.approx(damping, rel=1e-8)
    assert mode.time_constant_s == pytest.approx(1 / abs(damping * w), rel=1e-8)
    assert mode.time_to_half_or_double_s == pytest.approx(np.log(2) / abs(damping * w), rel=1e-8)
    assert mode.grows == (damping < 0.0)
    assert mode.shares == (("drape", pytest.approx(1.0)),)


def test_damping_ratio_of_one_and_minus_one():
    """A real root dies away with ratio 1 or grows with ratio -1 and does not swing."""
    slow, fast = modes(stepped([[0.5, 0.0], [0.0, -3.0]]), PERIOD_S, ["height", "servo"])
    assert (slow.damping_ratio, slow.frequency_hz, slow.grows) == (-1.0, 0.0, True)
    assert (fast.damping_ratio, fast.frequency_hz, fast.grows) == (1.0, 0.0, False)
    assert slow.shares[0] == ("height", pytest.approx(1.0))


def test_free_body_and_pendulum_swing_against_each_other():
    """3 kg free to move sideways carrying 1.5 kg on 0.5 m: w^2 = (g/l)(1 + m/M). The body is
    moved by the pendulum but does not move it, so that the swing is the pendulum's alone.
    """
    g, length, heavy, light = 9.80665, 0.5, 3.0, 1.5
    # x body, a angle: x" = (m/M) g a, a" = -(g/l)(1 + m/M) a, small angles
    rates = np.zeros((4, 4))
    rates[0, 1] = rates[2, 3] = 1.0
    rates[1, 2] = light / heavy * g
    rates[3, 2] = -g / length * (1 + light / heavy)
    found = modes(stepped(rates), PERIOD_S, ["position", "position", "drape", "drape"])
    (swing,) = [mode for mode in found if mode.frequency_hz > 0.1]
    assert 2 * np.pi * swing.frequency_hz == pytest.approx(5.424016, abs=1e-6)
    assert dict(swing.shares) == pytest.approx({"drape": 1.0, "position": 0.0}, abs=1e-9)


@pytest.mark.parametrize("coupling", [0.01, 1.0])
def test_shares_of_two_equal_coupled_oscillators(coupling):
    """Equal ones share every mode in halves, however weak the coupling."""
    rates = np.zeros((4, 4))
    rates[:2, :2] = rates[2:, 2:] = oscillator(5.0, 0.01)
    rates[1, 2] = rates[3, 0] = coupling
    found = modes(stepped(rates), PERIOD_S, ["head", "head", "drape", "drape"])
    assert len(found) == 2
    for mode in found:
        assert dict(mode.shares) == pytest.approx({"head": 0.5, "drape": 0.5}, abs=1e-6)
        assert "head" in mode.moves
        assert "drape" in mode.moves


def test_shares_do_not_depend_on_units():
    """Participation factors are free of units: scaling a state changes nothing."""
    rng = np.random.default_rng(2)
    rates = rng.normal(size=(6, 6)) - 3.0 * np.eye(6)
    groups = ["attitude", "attitude", "drape", "drape", "servo", "servo"]
    scale = 10.0 ** rng.integers(-5, 6, 6)
    step = stepped(rates)
    for plain, scaled in zip(
        modes(step, PERIOD_S, groups),
        modes(step * scale[:, None] / scale[None, :], PERIOD_S, groups),
        strict=True,
    ):
        assert scaled.rate_1_s == pytest.approx(plain.rate_1_s, rel=1e-6)
        assert dict(scaled.shares) == pytest.approx(dict(plain.shares), abs=1e-6)
        assert sum(share for _, share in plain.shares) == pytest.approx(1.0)


def test_slowest_comes_first_and_each_pair_once():
    rates = scipy.linalg.block_diag(oscillator(4.0, 0.5), oscillator(9.0, 0.01), [[-50.0]])
    groups = ["attitude", "attitude", "drape", "drape", "servo"]
    found = modes(stepped(rates), PERIOD_S, groups)
    assert [mode.moves for mode in found] == ["drape", "attitude", "servo"]
    assert [mode.rate_1_s for mode in found] == sorted((m.rate_1_s for m in found), reverse=True)


def test_pure_delays_are_left_out():
    """Three whole-period delays have the root zero three times: no motion to speak of."""
    step = np.zeros((4, 4))
    step[1, 0] = step[2, 1] = step[3, 2] = 1.0
    step[0, 0] = np.exp(-2.0 * PERIOD_S)
    (mode,) = modes(step, PERIOD_S, ["position", "control", "control", "control"])
    assert mode.rate_1_s == pytest.approx(-2.0, rel=1e-9)
    assert mode.time_to_half_or_double_s == pytest.approx(np.log(2) / 2, rel=1e-9)


def test_alternating_root_swings_at_the_nyquist_frequency():
    (mode,) = modes(np.array([[-0.9]]), PERIOD_S, ["control"])
    assert mode.frequency_hz == pytest.approx(0.5 / PERIOD_S)


@pytest.mark.parametrize(
    ("rate", "hz", "shares", "sentence"),
    [
        (-0.077, 0.6, (("drape", 0.9),), "drape swings at 0.60 Hz and takes 9.0 s to halve"),
        (0.5, 0.6, (("drape", 0.9),), "drape swings at 0.60 Hz and doubles every 1.4 s"),
        (0.0, 2.0, (("servo", 1.0),), "servo swings at 2.0 Hz and neither grows nor dies away"),
        (
            -0.3,
            0.42,
            (("attitude", 0.5), ("drape", 0.4), ("servo", 0.1)),
            "attitude and drape swing at 0.42 Hz and take 2.3 s to halve",
        ),
        (-5.0, 0.0, (("rotor speed", 1.0),), "rotor speed settles and takes 0.14 s to halve"),
        (2.0, 0.0, (("attitude", 1.0),), "attitude runs away and doubles every 0.35 s"),
        (0.0, 0.0, (("position", 1.0),), "position stays where a push leaves it"),
        (-0.005, 0.0, (("position", 1.0),), "position settles and takes 140 s to halve"),
    ],
)
def test_sentence(rate, hz, shares, sentence):
    w = 2 * np.pi * hz
    size = np.hypot(rate, w)
    assert Mode(rate, hz, -rate / size if size else 0.0, shares).sentence == sentence


def test_wrong_number_of_groups_is_refused():
    with pytest.raises(ValueError, match="2 group names"):
        modes(np.eye(3), PERIOD_S, ["a", "b"])
