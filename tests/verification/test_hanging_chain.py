"""Fabric hung from a craft in the step, against what is known of chains, strings and springs."""

import math

import numpy as np
import pytest
from scipy.linalg import eigh
from scipy.special import jn_zeros

from sim.pack.drape import write_drape
from sim.params.craft_record import CRAFT_TYPE
from sim.spec.drape import DrapeSpec
from tests.verification.craft_builder import (
    GRAVITY,
    Trial,
    add_particle,
    add_rim,
    add_thread,
    blow,
    measured_frequency,
    set_inertia,
    stable_stiffness,
)

AREAL_KG_M2 = 0.1
WIDTH_M = 0.1


def fabric(cut="ribbons", *, strips=1, rows=20, length_m=1.0, areal_kg_m2=AREAL_KG_M2):
    """Give the spec of a cloth without holes."""
    entry = {
        "cut": cut,
        "strips": strips,
        "rows": rows,
        "length": f"{length_m} m",
        "rim": {"radius": "20 cm", "place": {"up": "-10 cm"}},
        "fabric": {"areal_density": f"{areal_kg_m2} kg/m2", "open_fraction": "0 %"},
    }
    if cut == "ribbons":
        entry["width"] = f"{WIDTH_M} m"
    return DrapeSpec.model_validate(entry)


def hung(spec, *, step_s=1e-3, density=0.0):
    """Give a held craft with the fabric packed for this air, every strip straight down."""
    trial = Trial()
    trial.flight.step_s = step_s
    trial.flight.density_kg_m3 = density
    trial.flight.is_held = 1
    drape = trial.craft.drape
    write_drape(spec, drape, np.zeros(3), density, step_s)
    down = np.array([0.0, 0.0, 1.0])
    for k in range(drape.panel_count):
        above = int(drape.panel[k].above)
        if above < 0:
            high = trial.state.body.position_m + drape.rim[-1 - above].place_m
        else:
            high = trial.state.particle[above].position_m
        threads = drape.link[: drape.link_count]
        upright = (threads["first"] == above) & (threads["second"] == k)
        rest = threads["rest_m"][upright][0]
        trial.state.particle[k].position_m[:] = high + rest * down
    return trial


def columns(trial, name):
    """Give a field of all panels."""
    return trial.craft.drape.panel[name][: trial.craft.drape.panel_count].copy()


def places(trial):
    return trial.states["particle"]["position_m"][0, : trial.craft.drape.panel_count]


def velocities(trial):
    return trial.states["particle"]["velocity_m_s"][0, : trial.craft.drape.panel_count]


def carried_n(masses):
    """Give the weight [N] that each thread of a hanging string carries."""
    return GRAVITY * np.cumsum(masses[::-1])[::-1]


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


def ribbon(rows, length_m=1.0, end_share=0.5):
    """Give a held craft with a ribbon at rest, each thread longer by what hangs on it, and lengths.

    `end_share` is the mass of the lowest weight over that of the others.
    """
    trial = hung(fabric(rows=rows, length_m=length_m), step_s=1e-4)
    panels = trial.craft.drape.panel
    for name in ("mass_kg", "moved_mass_kg"):
        panels[name][rows - 1] *= end_share / 0.5
    stretch = carried_n(columns(trial, "mass_kg")) / trial.craft.drape.link["stiffness_n_m"][:rows]
    places(trial)[:, 2] += np.cumsum(stretch)
    return trial, length_m / rows + stretch


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


@pytest.mark.parametrize("rows", [1, 2, 5, 8])
def test_hung_ribbon_stretches_as_a_chain_of_springs(rows):
    """At rest each thread is longer by what hangs on it over its stiffness, sum of W_j / k.

    With N rows of m each, half of one at the end, W_j = m g (N - j - 1/2) for j = 0 ... N - 1.
    Settled, only rounding is left.
    """
    trial = hung(fabric(rows=rows)).run(60_000)
    mass = AREAL_KG_M2 * WIDTH_M * 1.0 / rows
    drape = trial.craft.drape
    stiffness = drape.link["stiffness_n_m"][:rows]
    carried = mass * GRAVITY * (rows - np.arange(rows) - 0.5)
    exact = np.cumsum(1.0 / rows + carried / stiffness) + 0.1
    hanging = places(trial)[:, 2] - trial.state.body.position_m[2]
    assert hanging == pytest.approx(exact, abs=2e-10)
    # All of the free cloth hangs on the rim, and nothing else.
    assert trial.work.drape_force_n[2] == pytest.approx(carried[0], rel=1e-6)


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


def thrown(step_s=1e-3):
    """Give a craft with a skirt in empty space, both in motion, the fabric in disorder."""
    spec = fabric("skirt", strips=8, rows=3, length_m=0.5)
    trial = hung(spec, step_s=1e-3)
    trial.flight.step_s = step_s
    trial.flight.is_held = 0
    trial.flight.gravity_m_s2 = 0.0
    trial.state.body.position_m[2] += 1e5 - 100.0
    places(trial)[:, 2] += 1e5 - 100.0
    trial.craft.mass_kg = 0.4
    set_inertia(trial.craft, [[0.02, 0.002, 0.001], [0.002, 0.03, 0.0], [0.001, 0.0, 0.04]])
    trial.state.body.velocity_m_s[:] = (1.0, -2.0, 0.5)
    trial.state.body.rate_rad_s[:] = (1.0, 2.0, -1.5)
    disorder = np.sin(np.arange(24 * 3)).reshape(24, 3)
    velocities(trial)[:] = trial.state.body.velocity_m_s + 1.5 * disorder
    return trial


def linear_momentum(trial):
    masses = columns(trial, "moved_mass_kg")
    return trial.craft.mass_kg * trial.state.body.velocity_m_s + masses @ velocities(trial)


def angular_momentum(trial):
    """Give the angular momentum [kg m2/s] about the origin of the earth axes."""
    body, masses = trial.state.body, columns(trial, "moved_mass_kg")
    spin = trial.rotation @ (trial.craft.inertia_kg_m2 @ body.rate_rad_s)
    orbit = trial.craft.mass_kg * np.cross(body.position_m, body.velocity_m_s)
    return spin + orbit + (masses[:, None] * np.cross(places(trial), velocities(trial))).sum(axis=0)


@pytest.mark.parametrize("parts", [1, 3])
def test_threads_conserve_linear_momentum(parts):
    """Newton's third law: with nothing from outside, craft and cloth keep m v to 1e-10.

    Also where the threads pull in several parts of a step.
    """
    trial = thrown()
    trial.craft.drape.parts = parts
    before, cloth = linear_momentum(trial), velocities(trial).copy()
    trial.run_s(2.0)
    assert np.abs(velocities(trial) - cloth).max() > 0.1, "the cloth must have been pulled about"
    assert linear_momentum(trial) == pytest.approx(before, rel=1e-10, abs=1e-10)


@pytest.mark.parametrize(("parts", "order", "most"), [(1, 2.0, 1e-9), (3, 1.0, 1e-6)])
def test_threads_conserve_angular_momentum(parts, order, most):
    """Pulls along the line between their ends turn nothing: kept to 1e-9.

    What drifts comes from the body's own turning and falls fourfold with half the step. Where the
    threads pull in parts of a step the body stands still meanwhile: 1e-6, of first order.
    """

    def drift(step_s):
        trial = thrown(step_s)
        trial.craft.drape.parts = parts
        before = angular_momentum(trial)
        return np.linalg.norm(angular_momentum(trial.run_s(0.5)) - before)

    size = np.linalg.norm(angular_momentum(thrown()))
    coarse, fine = drift(1e-3), drift(5e-4)
    assert coarse < most * size
    assert math.log2(coarse / fine) == pytest.approx(order, abs=0.2)


def energy_j(trial):
    """Give kinetic, potential and elastic energy of the cloth on a held craft."""
    drape = trial.craft.drape
    mass, moved = columns(trial, "mass_kg"), columns(trial, "moved_mass_kg")
    kinetic = 0.5 * moved @ (velocities(trial) ** 2).sum(axis=1)
    weight = -GRAVITY * mass @ (places(trial)[:, 2] - trial.state.body.position_m[2])
    ends = trial.state.body.position_m + drape.rim["place_m"][: drape.rim_count]
    threads = drape.link[: drape.link_count]
    both = np.vstack([places(trial), ends[::-1]])  # so that an index below zero finds its rim point
    length = np.linalg.norm(both[threads["second"]] - both[threads["first"]], axis=1)
    stretch = np.maximum(length - threads["rest_m"], 0.0)
    return kinetic + weight + 0.5 * threads["stiffness_n_m"] @ stretch**2


def pulled_aside(density):
    trial = hung(fabric("skirt", strips=8, rows=3, length_m=0.5), density=density)
    trial.run(3000)
    rest = energy_j(trial)
    velocities(trial)[:, 0] += 1.5 * np.linspace(0.3, 1.0, 3)[np.arange(24) % 3]
    return trial, rest


@pytest.mark.parametrize("density", [0.0, 1.225])
def test_swinging_cloth_never_gains_energy(density):
    """Threads with dampers and air only take: from swing to swing the energy above rest falls.

    Semi-implicit steps let it ripple within a swing; the greatest of each half second counts.
    """
    trial, rest = pulled_aside(density)
    energy = trial.follow(10_000, energy_j, every=5)[1:] - rest
    highest = energy.reshape(-1, 100).max(axis=1)
    assert energy[0] > 0.01
    assert np.all(np.diff(highest) < 0.0)
    assert energy.min() > -1e-6


def test_air_takes_the_energy_of_a_swing_sooner():
    """Drag is against the motion: a ribbon that swings on in a vacuum is soon at rest in air."""
    left = []
    for density in (0.0, 1.225):
        trial, _ = ribbon(8)
        trial.flight.density_kg_m3 = density
        rest = energy_j(trial)
        velocities(trial)[:, 0] += 0.5 * np.linspace(0.1, 1.0, 8)
        start = energy_j(trial) - rest
        left.append((energy_j(trial.run_s(2.0)) - rest) / start)
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
    other = add_rim(trial.craft, (0.0, 0.5 * span_m, 0.0))
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
    add_thread(trial.craft, other, above, row_m, stiffness, damping)
    # Air made thick and its drag linear, so that the cloth comes to rest soon.
    trial.craft.drape.panel["area_m2"][: links - 1] = 1e-3
    trial.craft.drape.panel["normal_coefficient"][: links - 1] = 1.0
    trial.flight.density_kg_m3 = 20.0
    trial.flight.swing_m_s = 2.0
    trial.run_s(4.0)

    def sag_and_pull(t):
        return [places(t)[:, 2].max() - t.state.body.position_m[2], *t.work.rim_force_n[0]]

    sag, _, *pull = trial.follow(10_000, sag_and_pull, every=5).mean(axis=0)
    # Chords instead of an arc: (1 / links)^2 is 6e-4. The threads stretch by 2e-4.
    assert sag == pytest.approx(0.2922438, rel=2e-3)
    assert pull[0] / weight_n_m == pytest.approx(0.4695415, rel=2e-3)
    assert pull[1] / weight_n_m == pytest.approx(0.5 * (length_m - row_m), rel=1e-3)


def test_record_has_room_for_the_largest_drape():
    """96 panels of a skirt need 4 threads each."""
    spec = fabric("skirt", strips=24, rows=4)
    record = np.zeros(1, dtype=CRAFT_TYPE)[0]
    write_drape(spec, record.drape, np.zeros(3), 1.225, 1e-3)
    assert int(record.drape.link_count) == len(record.drape.link) == 4 * 96
