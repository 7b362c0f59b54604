"""The air that a flight meets: spectra and variances over many flights, slopes, gusts, records.

Ensembles are flights of the same study; a mean over N of them has the standard error s / sqrt(N),
and every bound below is five of those, from the flights themselves.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from numpy.linalg import norm

from sim.numerics.compile import compiled
from sim.pack.wind import write_air
from sim.params.state_record import STATE_TYPE
from sim.params.tally_record import WORK_TYPE
from sim.physics.air.dryden import dryden_scales, longitudinal_spectrum, transverse_spectrum
from sim.physics.air.gust_slope import CROSSWIND_LAG, SIDEWAYS_LAG, slope_size
from sim.physics.air.kaimal import kaimal_scales, kaimal_spectrum
from sim.spec.measured_wind import MeasuredWind
from sim.spec.wind import TurbulenceSpec, WindSpec
from sim.step.air_now import air_at, update_air
from tests.verification.craft_builder import (
    NEVER,
    SEA_LEVEL_DENSITY,
    Trial,
    add_gust,
    add_part,
    add_rotor,
    blank_flight,
    blow,
    write_flat_map,
)
from tests.verification.fabric_builder import fabric, hung

HEIGHT_M, SPEED_M_S, SIGMA_M_S, SPAN_M = 4.0, 5.0, 1.1, 0.9
PERIOD_S = 0.01
FLIGHTS, ROWS, PIECE = 48, 16384, 4096
FIVE = 5.0


def nothing_kept():
    """Give what a flight keeps, before it began."""
    return np.zeros(1, dtype=WORK_TYPE)["kept"][0]


@compiled
def blow_for(flight, wind, kept, span_m, rows):
    """Fill in gust and slopes, shape (rows, 12), at every draw."""
    for k in range(rows.shape[0]):
        update_air(flight, wind, kept, k * flight.turbulence_ticks, 4.0, span_m)
        for i in range(3):
            rows[k, i] = wind.gust_m_s[i]
            for j in range(3):
                rows[k, 3 + 3 * i + j] = wind.slope_1_s[i, j]


def wind_spec(form, **more):
    """Give wind from the south, so that along is north and right is east, level over a plain."""
    return WindSpec.model_construct(
        mean_m_s=SPEED_M_S,
        at_height_m=HEIGHT_M,
        from_rad=math.pi,
        terrain="open_field",
        turbulence=TurbulenceSpec.model_construct(form=form, intensity=SIGMA_M_S / SPEED_M_S),
        gusts=(),
        measured=more.get("measured"),
    )


def flight_in(spec, seed=7):
    flights = blank_flight()
    write_air(spec, flights[0], HEIGHT_M, spec.mean_m_s)
    flights["least_height_m"] = 1e3  # no shear, so that the slopes are those of the turbulence
    flights["seed"] = seed
    return flights


@pytest.fixture(scope="module", params=["dryden", "kaimal"])
def blown(request):
    """Give the form and the gusts and slopes of many flights, shape (flights, rows, 12)."""
    flights = flight_in(wind_spec(request.param))
    many = np.zeros((FLIGHTS, ROWS, 12))
    for n in range(FLIGHTS):
        flights["flight"] = n
        wind = np.zeros(1, dtype=STATE_TYPE)[0].wind
        blow_for(flights[0], wind, nothing_kept(), SPAN_M, many[n])
    return request.param, many


def scales_of(form):
    """Give (sigma, L) of the three components, L as that form has it."""
    if form == "dryden":
        s = dryden_scales(HEIGHT_M)
        return (
            (SIGMA_M_S, s.along_m),
            (SIGMA_M_S, s.across_m),
            (SIGMA_M_S * s.vertical_ratio, s.vertical_m),
        )
    k = kaimal_scales(HEIGHT_M)
    return tuple((SIGMA_M_S * r, length) for r, length in zip(k.ratios, k.lengths_m, strict=True))


def target_density(form, part, f):
    """Give the one-sided spectrum [m2/s] in f that the form asks for."""
    sigma, length = scales_of(form)[part]
    if form == "kaimal":
        return kaimal_spectrum(f, length, SPEED_M_S, sigma)
    spectrum = longitudinal_spectrum if part == 0 else transverse_spectrum
    return 2.0 * math.pi * spectrum(2.0 * math.pi * f, length, SPEED_M_S, sigma)


def means_and_errors(samples):
    """Give mean over the flights and its standard error, along the first axis."""
    return samples.mean(axis=0), samples.std(axis=0, ddof=1) / math.sqrt(len(samples))


@pytest.mark.parametrize("part", [0, 1, 2])
def test_variance(blown, part):
    form, many = blown
    mean, error = means_and_errors((many[:, :, part] ** 2).mean(axis=1))
    sigma = scales_of(form)[part][0]
    assert mean == pytest.approx(sigma**2, abs=FIVE * error)
    assert error < 0.08 * sigma**2
    drift, error = means_and_errors(many[:, :, part].mean(axis=1))
    assert drift == pytest.approx(0.0, abs=FIVE * error)


def periodograms(signal):
    """Give frequencies and the spectra of windowed pieces, mean over a flight's pieces."""
    window = np.hanning(PIECE)
    pieces = signal.reshape(signal.shape[0], -1, PIECE)
    power = np.abs(np.fft.rfft(pieces * window, axis=-1)) ** 2
    scale = 2.0 * PERIOD_S / (window**2).sum()
    return np.fft.rfftfreq(PIECE, PERIOD_S), scale * power.mean(axis=1)


def bands(f):
    """Give slices of frequencies between a third of a hertz and ten, by thirds of a decade."""
    edges = np.geomspace(0.3, 10.0, 6)
    return [slice(*np.searchsorted(f, pair)) for pair in pairwise(edges)]


@pytest.mark.parametrize("part", [0, 1, 2])
def test_spectrum(blown, part):
    """Mean over bands against the mean of the form over the same lines; Kaimal's lags are known to
    be up to 5.1 % off. Aliases fold power back from beyond 50 Hz: below 1.5 % at 10 Hz, where the
    spectra fall at least as f^(-5/3).
    """
    form, many = blown
    f, power = periodograms(many[:, :, part])
    fit = 0.051 if form == "kaimal" else 0.0
    for band in bands(f):
        mean, error = means_and_errors(power[:, band].mean(axis=1))
        target = float(np.mean(target_density(form, part, f[band])))
        folded = 0.09 * (f[band][-1] / 10.0) ** (5.0 / 3.0)
        assert mean == pytest.approx(target, abs=FIVE * error + (fit + folded) * target)
        assert error < 0.06 * target


@pytest.mark.parametrize(
    ("column", "part"),
    [(4, 0), (7, 1), (10, 2), (5, 0), (8, 1)],
    ids=["du/dy", "dv/dy", "dw/dy", "du/dz", "dv/dz"],
)
def test_slopes_across_the_wind(blown, column, part):
    """sigma^2 of Phi_p of MIL-F-8785C, see test_gust_slopes; uncorrelated with the gust."""
    form, many = blown
    sigma, length = scales_of(form)[part]
    if form == "kaimal" and part > 0:
        length *= 2.0
    size = slope_size(sigma, length) * SPAN_M ** (-2.0 / 3.0)
    mean, error = means_and_errors((many[:, :, column] ** 2).mean(axis=1))
    assert mean == pytest.approx(size**2, abs=FIVE * error)
    assert error < 0.05 * size**2
    cross, error = means_and_errors((many[:, :, column] * many[:, :, part]).mean(axis=1))
    assert cross == pytest.approx(0.0, abs=FIVE * error)


@pytest.mark.parametrize("part", [0, 1, 2])
def test_slopes_along_the_wind(blown, part):
    """Phi = Omega^2 / (1 + (lag b Omega)^2) of the gust's own density (MIL-F-8785C: w and v)."""
    _, many = blown
    lag = SIDEWAYS_LAG if part == 1 else CROSSWIND_LAG
    f, gust = periodograms(many[:, 200:, part][:, : 3 * PIECE])
    _, slope = periodograms(many[:, 200:, 3 + 3 * part][:, : 3 * PIECE])
    omega = 2.0 * math.pi * f / SPEED_M_S
    for band in bands(f)[:3]:
        wanted = omega**2 / (1.0 + (lag * SPAN_M * omega) ** 2)
        ratio, error = means_and_errors(
            slope[:, band].mean(axis=1) / (wanted * gust)[:, band].mean(axis=1)
        )
        # Hann's window leaks from the steep low end, and the gust goes straight between draws.
        assert ratio == pytest.approx(1.0, abs=FIVE * error + 0.03)


def test_the_field_has_no_divergence(blown):
    _, many = blown
    total = many[:, :, 3] + many[:, :, 7] + many[:, :, 11]
    assert np.abs(total).max() < 1e-12


@pytest.mark.parametrize("form", ["dryden", "kaimal"])
def test_a_craft_like_a_point_feels_no_differences(form):
    flights = flight_in(wind_spec(form))
    rows = np.zeros((50, 12))
    wind = np.zeros(1, dtype=STATE_TYPE)[0].wind
    blow_for(flights[0], wind, nothing_kept(), 1e-4, rows)
    assert np.abs(rows[:, :3]).max() > 0.0
    assert not rows[:, 3:].any()


def test_turning_the_wind_turns_gusts_and_slopes():
    """The same draws in wind from another side: gust R u, slopes R G R^T."""
    spec = wind_spec("dryden")
    rows = np.zeros((2, 200, 12))
    for one, source in zip(rows, (math.pi, math.radians(70.0)), strict=True):
        flights = flight_in(spec.model_copy(update={"from_rad": source}))
        wind = np.zeros(1, dtype=STATE_TYPE)[0].wind
        blow_for(flights[0], wind, nothing_kept(), SPAN_M, one)
    turn = math.radians(70.0) - math.pi
    c, s = math.cos(turn), math.sin(turn)
    matrix = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    gusts = rows[:, :, :3]
    assert gusts[1] == pytest.approx(gusts[0] @ matrix.T, abs=1e-12)
    slopes = rows[:, :, 3:].reshape(2, 200, 3, 3)
    assert slopes[1] == pytest.approx(matrix @ slopes[0] @ matrix.T, abs=1e-12)


def test_air_at_a_place_is_gust_plus_slope_times_distance():
    wind = np.zeros(1, dtype=STATE_TYPE)[0].wind
    rng = [math.sin(k) for k in range(15)]
    wind.mean_m_s[:], wind.gust_m_s[:] = rng[:3], rng[3:6]
    wind.slope_1_s[:] = np.array(rng[6:]).reshape(3, 3)
    away = np.array([0.3, -0.4, 0.2])
    expected = wind.mean_m_s + wind.gust_m_s + wind.slope_1_s @ away
    assert np.array(air_at(wind, tuple(away))) == pytest.approx(expected)


def test_every_part_and_rotor_meets_its_own_gust():
    """Drag of a plate beside the CG: rho/2 CdA |u + G r| (u + G r); a rotor's flow likewise."""
    trial = Trial()
    trial.flight.is_held = 1
    blow(trial.flight, 4.0)
    trial.flight.turbulence_ticks = NEVER  # held as written here, never drawn anew
    wind = trial.state.wind
    wind.eddy_slope_1_s[:] = [[0.5, -1.0, 2.0], [0.0, 0.0, 0.0], [0.0, 0.8, 0.0]]
    add_part(trial.craft, (0.2, 0.5, -0.1), (0.03, 0.0, 0.0))
    write_flat_map(trial.craft, 0.01, 0.0)
    trial.craft.rotor_map[0].node["induced"][:] = 0.0
    for right in (-0.4, 0.4):
        add_rotor(trial.craft, (0.0, right, 0.0))
    trial.run()
    speed = 4.0 + 0.5 * 0.2 - 1.0 * 0.5 + 2.0 * -0.1
    force = 0.5 * SEA_LEVEL_DENSITY * 0.03 * speed * math.hypot(speed, 0.8 * 0.5)
    assert trial.work.force_n[0] == pytest.approx(force, rel=1e-9)
    for right, spot in zip((-0.4, 0.4), trial.work.rotor[:2], strict=True):
        flow = np.array([4.0 - right, 0.0, 0.8 * right])
        assert spot.wake_earth[0] == pytest.approx(flow[0] / max(flow[2], 0.15 * norm(flow)))


def test_every_strip_meets_its_own_gust():
    """Air past the middle of each panel of four ribbons round a rim of 20 cm: u + G r."""
    trial = hung(fabric(strips=4, rows=3, length_m=0.6), density=SEA_LEVEL_DENSITY)
    blow(trial.flight, 4.0)
    trial.flight.turbulence_ticks = NEVER
    slope = np.array([[0.5, -1.0, 2.0], [0.3, 0.0, 0.0], [0.0, 0.8, 0.0]])
    trial.state.wind.eddy_slope_1_s[:] = slope
    trial.run()
    panels = int(trial.craft.drape.panel_count)
    away = trial.work.point_m[:, :panels] - np.array(trial.state.body.position_m)[:, np.newaxis]
    flow = trial.work.point_flow_m_s[:, :panels]
    assert np.ptp(away[:2], axis=1) == pytest.approx([0.4, 0.4], abs=1e-3)
    assert flow == pytest.approx(np.array([[4.0], [0.0], [0.0]]) + slope @ away, rel=1e-10)


def test_several_gusts_add_and_a_front_stays_and_turns_the_wind():
    """Pulses: peak at half their length, gone after it. Front: (peak / 2) (1 - cos) while it rises
    (MIL-F-8785C, 3.7.1.3), and the wind turned clockwise by its angle.
    """
    flight = blank_flight()[0]
    flight.wind_m_s, flight.wind_from_rad = 4.0, math.pi
    add_gust(flight, 3.0, 1.0, 2.0)
    add_gust(flight, 1.0, 1.5, 2.0)
    add_gust(flight, 2.0, 10.0, 4.0, turn_rad=math.radians(90.0), stays=True)
    wind, kept = np.zeros(1, dtype=STATE_TYPE)[0].wind, nothing_kept()

    def at(time_s):
        update_air(flight, wind, kept, round(time_s / 1e-3), 1e5, 0.0)
        return wind.mean_m_s + wind.gust_m_s

    assert at(0.5) == pytest.approx([4.0, 0.0, 0.0], abs=1e-12)
    assert at(2.0) == pytest.approx([4.0 + 3.0 + 0.5 * (1.0 - math.cos(0.5 * math.pi)), 0.0, 0.0])
    assert at(5.0) == pytest.approx([4.0, 0.0, 0.0], abs=1e-12)
    middle = 5.0 * np.array([math.cos(math.pi / 4.0), math.sin(math.pi / 4.0), 0.0])
    assert at(12.0) == pytest.approx(middle)
    for time_s in (14.0, 60.0):
        assert at(time_s) == pytest.approx([0.0, 6.0, 0.0], abs=1e-12)


def record_of(times, speeds, sources=()):
    return MeasuredWind("breeze.csv", "0", tuple(times), tuple(speeds), tuple(sources))


def blown_by(measured, form="none", mean=None, duration_s=20.0):
    spec = wind_spec(form, measured=measured)
    spec = spec.as_measured()
    flights = blank_flight()
    flights["duration_s"] = duration_s
    write_air(spec, flights[0], HEIGHT_M, spec.mean_m_s if mean is None else mean)
    flights["least_height_m"] = 1e3
    rows = np.zeros((round(duration_s / PERIOD_S), 12))
    wind = np.zeros(1, dtype=STATE_TYPE)[0].wind
    blow_for(flights[0], wind, nothing_kept(), SPAN_M, rows)
    return spec, rows, np.array(wind.mean_m_s)


def test_a_measured_wind_is_flown_in_as_it_was():
    """Without direction: from where the scenario says, mean plus departure is the record."""
    times = np.arange(0.0, 30.01, 0.2)
    speeds = 5.0 + 1.5 * np.sin(0.9 * times) + 0.5 * np.cos(3.1 * times)
    spec, rows, mean = blown_by(record_of(times, speeds))
    assert mean[0] == pytest.approx(spec.mean_m_s, rel=1e-12)
    flown = mean[0] + rows[:, 0]
    wanted = np.interp(np.arange(len(flown)) * PERIOD_S, times, speeds)
    assert flown == pytest.approx(wanted, abs=1e-9)
    assert np.abs(rows[:, 1:3]).max() < 1e-12


def test_a_measured_direction_is_flown_in():
    """Northward and eastward wind: -V cos and -V sin of where the rows say it comes from."""
    times = np.arange(0.0, 30.01, 0.2)
    speeds = 4.0 + np.sin(0.7 * times)
    sources = math.radians(250.0) + 0.4 * np.sin(0.5 * times)
    spec, rows, mean = blown_by(record_of(times, speeds, sources))
    at = np.arange(len(rows)) * PERIOD_S
    for part, wave in ((0, np.cos), (1, np.sin)):
        wanted = np.interp(at, times, -speeds * wave(sources))
        assert mean[part] + rows[:, part] == pytest.approx(wanted, abs=1e-9)
    assert spec.from_rad == pytest.approx(record_of(times, speeds, sources).mean_from_rad)


def test_a_stronger_mean_stretches_the_record():
    times = np.arange(0.0, 30.01, 0.2)
    record = record_of(times, 5.0 + np.sin(times))
    _, once, _ = blown_by(record)
    spec, twice, mean = blown_by(record, mean=2.0 * record.mean_m_s)
    assert mean[0] == pytest.approx(2.0 * spec.mean_m_s)
    assert twice[:, 0] == pytest.approx(2.0 * once[:, 0], abs=1e-12)


def test_a_long_record_is_averaged_not_folded():
    """200 s at 20 Hz in 300 rows: what is faster than a row is taken out, the rest is kept."""
    times = np.arange(0.0, 200.01, 0.05)
    slow, fast = np.sin(0.2 * times), np.sin(2.0 * math.pi * 7.3 * times)
    _, rows, mean = blown_by(record_of(times, 6.0 + slow + fast), duration_s=200.0)
    at = np.arange(len(rows)) * PERIOD_S
    assert mean[0] + rows[:, 0] == pytest.approx(6.0 + np.sin(0.2 * at), abs=0.1)


def test_what_an_anemometer_does_not_see_is_drawn_with_the_record_s_intensity():
    """Vertical gusts and differences across the craft, and sideways ones without a direction."""
    times = np.arange(0.0, 60.01, 0.2)
    record = record_of(times, 5.0 + 1.1 * math.sqrt(2.0) * np.sin(times))
    assert record.intensity == pytest.approx(0.22, rel=0.02)
    _, rows, _ = blown_by(record, form="kaimal", duration_s=59.0)
    assert rows[:, 1].std() > 0.3
    assert rows[:, 2].std() > 0.2
    assert np.abs(rows[:, 3:]).max() > 0.1
    turned = record_of(times, record.speed_m_s, [math.pi] * len(times))
    _, rows, _ = blown_by(turned, form="kaimal", duration_s=59.0)
    assert np.abs(rows[:, 1]).max() < 1e-9
    assert rows[:, 2].std() > 0.2


def test_every_flight_has_its_own_eddies_and_the_same_flight_the_same():
    flights = flight_in(wind_spec("kaimal"))
    rows = np.zeros((3, 100, 12))
    for one, number in zip(rows, (4, 4, 5), strict=True):
        flights["flight"] = number
        wind = np.zeros(1, dtype=STATE_TYPE)[0].wind
        blow_for(flights[0], wind, nothing_kept(), SPAN_M, one)
    assert np.array_equal(rows[0], rows[1])
    assert np.abs(rows[0] - rows[2]).max() > 0.1
