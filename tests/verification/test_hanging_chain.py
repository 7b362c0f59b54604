"""Fabric hung from a craft in the step, against what is known of chains, strings and springs."""

import math

import numpy as np
import pytest
from scipy.linalg import eigh
from scipy.special import jn_zeros

from sim.pack.drape import EASE
from tests.verification.craft_builder import (
    GRAVITY,
    Trial,
    add_particle,
    add_rim,
    add_thread,
    blow,
    measured_frequency,
    set_mass,
    set_panel,
    stable_stiffness,
)
from tests.verification.fabric_builder import (
    AREAL_KG_M2,
    WIDTH_M,
    carried_n,
    columns,
    fabric,
    fabric_energy_j,
    hung,
    moved_kg,
    places,
    taut_lengths,
    velocities,
)


def lumped_modes(masses, lengths):
    """Give frequencies [rad/s] and shapes of weights on a taut string, small sideways swing.

    m_i x_i'' = T_i (x_{i-1} - x_i) / h_i - T_{i+1} (x_i - x_{i+1}) / h_{i+1}, T_i what hangs on
    thread i of length h_i.
    """
    share = carried_n(masses) / lengths
    stiffness = np.diag(share + np.append(share[1:], 0.0))
    stiffness -= np.diag(share[1:], 1) + np.diag(share[1:], -1)
    squares, shapes = eigh(stiffness, np.diag(masses))
    return np.sqrt(squares), shapes


def ribbon(rows, length_m=1.0, end_share=0.5, ease=1e-6):
    """Give a held craft with a ribbon at rest, each thread longer by what hangs on it, and lengths.

    `end_share` is the mass of the lowest weight over that of the others.
    """
    trial = hung(fabric(rows=rows, length_m=length_m), step_s=1e-4)
    trial.craft.drape.ease = ease
    share = end_share / 0.5
    last = float(columns(trial, "mass_kg")[-1]), float(moved_kg(trial)[-1])
    set_mass(trial.craft, rows - 1, share * last[0], share * last[1])
    lengths = taut_lengths(trial, carried_n(columns(trial, "mass_kg")))
    places(trial)[:, 2] += np.cumsum(lengths - length_m / rows)
    return trial, lengths


def swing_in_mode(trial, lengths, mode, *, swings=4):
    """Give the frequency [rad/s] at which a ribbon swings, started in one of its modes."""
    step_s, masses = float(trial.flight.step_s), columns(trial, "mass_kg")
    frequencies, shapes = lumped_modes(masses, lengths)
    shape = shapes[:, mode] / np.abs(shapes[:, mode]).max()
    places(trial)[:, 0] += 1e-4 * shape
    rest = float(trial.craft.drape.rim[0].place_m[0])
    ticks = int(swings * 2.0 * math.pi / frequencies[mode] / step_s)

    def amount(t):
        return (masses * shape) @ (places(t)[:, 0] - rest)

    return measured_frequency(trial.times(ticks, 10), trial.follow(ticks, amount, every=10))


def bessel(mode, length_m):
    """Give w = (j_0n / 2) sqrt(g / L) of a hanging chain (Bernoulli; Lamb, Higher Mechanics)."""
    return 0.5 * jn_zeros(0, mode + 1)[mode] * math.sqrt(GRAVITY / length_m)


@pytest.mark.parametrize(
    ("length_m", "frequencies"),
    [
        (1.0, (3.765424, 8.643220, 13.549822, 18.462932)),
        (0.5, (5.325114, 12.223359, 19.162342)),
    ],
)
def test_ribbon_of_twenty_rows_swings_as_a_hanging_chain(length_m, frequencies):
    """w = 3.765424, 8.643220, ... rad/s for 1 m, from the zeros of Bessel's J0.

    Packing lumps the mass by the trapezoidal rule: a row's weight at each joint, half at the free
    end, half at the rim. The swing is that of this lumped string (eigenvalues of its matrix) to
    5e-6; 20 rows bring the first one to 0.1 % of the cloth's, the second to 1 %.
    """
    for mode, frequency in enumerate(frequencies):
        assert bessel(mode, length_m) == pytest.approx(frequency, abs=6e-7)
        trial, lengths = ribbon(20, length_m)
        masses = np.full(20, AREAL_KG_M2 * WIDTH_M * length_m / 20)
        masses[-1] *= 0.5
        measured = swing_in_mode(trial, lengths, mode)
        assert measured == pytest.approx(lumped_modes(masses, lengths)[0][mode], rel=5e-6)
        if mode < 2:
            assert measured == pytest.approx(frequency, rel=(1e-3, 1e-2)[mode])


def test_error_of_the_rows_is_of_second_order():
    """The trapezoidal rule: four times smaller an error with twice the rows, first swing."""
    errors = [abs(swing_in_mode(*ribbon(rows), 0) - bessel(0, 1.0)) for rows in (5, 10)]
    assert math.log2(errors[0] / errors[1]) == pytest.approx(2.0, abs=0.2)


def test_five_rows_are_good_to_two_percent():
    """Five rigid links swing at 3.769861 rad/s (matrix and a second engine); five rows are near."""
    assert swing_in_mode(*ribbon(5), 0) == pytest.approx(3.769861, rel=0.02)


def test_equal_weights_swing_at_the_zeros_of_laguerre():
    """Twenty equal weights, the last one whole: L_20(w^2 h / g) = 0, first 3.719570 rad/s."""
    zero = np.polynomial.laguerre.lagroots([0.0] * 20 + [1.0]).min()
    assert math.sqrt(zero * GRAVITY / 0.05) == pytest.approx(3.719570, abs=6e-7)
    measured = swing_in_mode(*ribbon(20, end_share=1.0), 0)
    # The threads are 2e-4 longer than 5 cm at most, by the weight that hangs on them.
    assert measured == pytest.approx(3.719570, rel=2e-4)


def test_ease_of_the_threads_hardly_slows_the_swing():
    """Threads stiffen over a strain of 0.2 %: cloth hangs longer by 0.1 % at most and swings
    slower by half of that, as the root of its length.
    """
    quick, slow = (swing_in_mode(*ribbon(5, ease=ease), 0) for ease in (1e-6, EASE))
    assert 0.0 < 1.0 - slow / quick < 0.5e-3


@pytest.mark.parametrize("rows", [1, 2, 5, 8])
def test_hung_ribbon_stretches_as_a_chain_of_springs(rows):
    """At rest each thread is as long as its law asks for under what hangs on it.

    With N rows of m each, half of one at the end, W_j = m g (N - j - 1/2) for j = 0 ... N - 1.
    Settled, only rounding is left where the threads pull once a step. Where they pull in parts, the
    weight still comes as one kick: cloth rises and falls by g dt^2 / 8 within the step, and hangs
    higher at its ends than in its mean by less than that.
    """
    trial = hung(fabric(rows=rows)).run(60_000)
    mass = AREAL_KG_M2 * WIDTH_M * 1.0 / rows
    carried = mass * GRAVITY * (rows - np.arange(rows) - 0.5)
    exact = np.cumsum(taut_lengths(trial, carried)) + 0.1
    hanging = places(trial)[:, 2] - trial.state.body.position_m[2]
    ripple = GRAVITY * float(trial.flight.step_s) ** 2 / 8.0 if trial.craft.drape.parts > 1 else 0.0
    assert hanging == pytest.approx(exact, abs=max(ripple, 2e-10))
    # All of the free cloth hangs on the rim, and nothing else.
    assert trial.work.drape_force_n[2] == pytest.approx(carried[0], rel=1e-6)


@pytest.mark.parametrize("rows", [1, 3, 12])
def test_ease_of_the_threads_hardly_lengthens_what_hangs(rows):
    """That stiffness sets in over a strain of 0.2 % makes cloth longer by less than 0.1 %.

    Half of the ease is the bound, k (e - E/2) against k e.
    """
    carried = AREAL_KG_M2 * WIDTH_M / rows * GRAVITY * (rows - np.arange(rows) - 0.5)
    trial = hung(fabric(rows=rows))
    eased = taut_lengths(trial, carried).sum()
    trial.craft.drape.ease = 1e-9
    assert 0.0 < eased - taut_lengths(trial, carried).sum() < 1e-3 * 1.0


def test_packed_ribbon_weighs_what_its_cloth_weighs():
    """Areal density times area, less the half row that the rim itself carries."""
    trial = hung(fabric(rows=8))
    whole = AREAL_KG_M2 * WIDTH_M * 1.0
    assert columns(trial, "mass_kg").sum() == pytest.approx(whole * (1.0 - 0.5 / 8), rel=1e-12)


@pytest.mark.parametrize("areal_kg_m2", [0.03, 0.1, 0.3])
def test_real_fabric_hardly_stretches_where_it_hangs(areal_kg_m2):
    """Light voile to heavy cotton stretch by less than 2 % under their own weight.

    The bound is a rule of this project: stiffness is chosen for the step, not measured.
    """
    spec = fabric("skirt", strips=12, rows=4, length_m=0.6, areal_kg_m2=areal_kg_m2)
    trial = hung(spec, density=1.225).run(4000)
    most = max(trial.run().work.stretch for _ in range(100))
    assert 0.0 < most < 0.02


@pytest.mark.parametrize("areal_kg_m2", [0.025, 0.1])
def test_real_fabric_hardly_stretches_in_wind(areal_kg_m2):
    """In 8 m/s the longest-drawn thread of a skirt gives less than 2 %, flutter averaged."""
    spec = fabric("skirt", strips=8, rows=3, length_m=0.5, areal_kg_m2=areal_kg_m2)
    trial = hung(spec, density=1.225)
    blow(trial.flight, 8.0)
    trial.run(3000)
    assert 0.0 < trial.follow(2000, lambda t: t.work.stretch)[1:].mean() < 0.02


def test_air_takes_the_energy_of_a_swing_sooner():
    """Drag is against the motion: a ribbon that swings on in a vacuum is soon at rest in air."""
    left = []
    for density in (0.0, 1.225):
        trial, _ = ribbon(8)
        trial.flight.density_kg_m3 = density
        rest = fabric_energy_j(trial)
        velocities(trial)[:, 0] += 0.5 * np.linspace(0.1, 1.0, 8)
        start = fabric_energy_j(trial) - rest
        left.append((fabric_energy_j(trial.run_s(2.0)) - rest) / start)
    assert left[0] == pytest.approx(1.0, abs=0.05)
    assert 0.0 < left[1] < 0.2


def test_cloth_between_two_points_hangs_in_a_catenary():
    """y = a cosh(x/a), a = 0.4695415 m for 1.2 m of cloth over a span of 1 m (Bernoulli 1691).

    It sags by 0.2922438 m and pulls sideways as a of it weighs. Here it is 40 links, which let go
    from the curve stay there but for a trembling.
    """
    links, length_m, span_m, weight_n_m, a = 40, 1.2, 1.0, 0.1 * GRAVITY, 0.4695415
    trial = Trial()
    trial.flight.is_held = 1
    above = add_rim(trial.craft, (0.0, -0.5 * span_m, 0.0), (1.0, 0.0, 0.0))
    row_m = length_m / links
    mass = weight_n_m / GRAVITY * row_m
    trial.flight.step_s = 1e-4
    stiffness, damping = stable_stiffness(mass, 1e-4, 0.4), 0.15 * mass / 1e-4
    for i in range(1, links):
        along = i * row_m - 0.5 * length_m
        deep = math.hypot(a, 0.5 * length_m) - math.hypot(a, along)
        k = add_particle(trial, above, mass, (0.0, a * math.asinh(along / a), deep))
        add_thread(trial.craft, above, k, row_m, stiffness, damping)
        above = k
    other = add_rim(trial.craft, (0.0, 0.5 * span_m, 0.0))
    add_thread(trial.craft, above, other, row_m, stiffness, damping)
    # Air made thick and its drag linear, so that the cloth comes to rest soon.
    for k in range(links - 1):
        set_panel(trial.craft, k, 1e-3, normal=1.0)
    trial.flight.density_kg_m3 = 20.0
    trial.flight.swing_m_s = 2.0
    trial.run_s(4.0)

    def sag_and_pull(t):
        return [
            places(t)[:, 2].max() - t.state.body.position_m[2],
            *t.work.fabric.rim_force_n[:, 0],
        ]

    sag, _, *pull = trial.follow(10_000, sag_and_pull, every=5).mean(axis=0)
    # Chords instead of an arc: (1 / links)^2 is 6e-4. The threads stretch by 2e-4.
    assert sag == pytest.approx(0.2922438, rel=2e-3)
    assert pull[0] / weight_n_m == pytest.approx(0.4695415, rel=2e-3)
    assert pull[1] / weight_n_m == pytest.approx(0.5 * (length_m - row_m), rel=1e-3)
