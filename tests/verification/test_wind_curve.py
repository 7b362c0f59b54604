"""The monotone curve of success against wind, and the test whether it is one."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.analysis.wind_causes import at_and_above, broken_flights, ranked_causes
from sim.analysis.wind_curve import crossing_m_s, monotone_shares, reversals
from sim.analysis.wind_direction import closeness, worst_direction
from sim.flight.rows import ROW_TYPE
from sim.params.tally_record import Limit, Stop
from sim.report.number_text import degrees
from sim.spec.scenario import LimitsSpec
from sim.spec.units import parse_quantity
from tests.verification.wind_tosser import Tosser

COUNTS = st.lists(
    st.integers(1, 50).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))),
    min_size=1,
    max_size=8,
)


@given(counts=COUNTS)
def test_monotone_shares_are_those_of_the_min_max_formula(counts):
    """For an order that falls: fit(i) = min over s <= i of max over t >= i of the pooled share of
    winds s to t, in exact fractions (Robertson, Wright and Dykstra 1988, theorem 1.4.4).
    """

    def pooled(s, t):
        good = sum(counts[k][0] for k in range(s, t + 1))
        return Fraction(good, sum(counts[k][1] for k in range(s, t + 1)))

    winds = range(len(counts))
    exact = [min(max(pooled(s, t) for t in winds if t >= i) for s in range(i + 1)) for i in winds]
    fitted = monotone_shares([k for k, _ in counts], [n for _, n in counts])
    assert fitted == pytest.approx([float(share) for share in exact], abs=1e-12)
    assert np.all(np.diff(fitted) <= 1e-15)


def test_two_winds_out_of_order_are_pooled():
    """8 of 10, then 18 of 20: both 26 of 30."""
    assert monotone_shares([8, 18, 1], [10, 20, 10]) == pytest.approx([26 / 30, 26 / 30, 0.1])


def test_the_crossing_is_on_the_straight_line():
    """1.0 at 2 m/s and 0.6 at 4 m/s cross 0.9 a quarter of the way."""
    winds, shares = [0.0, 2.0, 4.0], np.array([1.0, 1.0, 0.6])
    assert crossing_m_s(winds, shares, 0.9) == pytest.approx(2.5)
    assert crossing_m_s(winds, shares, 0.5) is None
    assert crossing_m_s(winds, np.array([0.8, 0.1, 0.0]), 0.9) is None


def outcomes(text):
    return np.array([letter == "+" for letter in text])


def test_a_faster_wind_that_does_better_is_named_with_its_chance():
    """Twelve flights end well in the faster wind alone and one in the slower alone: by luck with
    probability (1 + 13) / 2^13, for three pairs of winds three times that (McNemar, exact).
    """
    slow = outcomes("-" * 12 + "+" + "+" * 20)
    fast = outcomes("+" * 12 + "-" + "+" * 20)
    (found,) = reversals([1.0, 2.0, 9.0], [slow, fast, outcomes("-" * 33)])
    assert (found.slower_m_s, found.faster_m_s) == (1.0, 2.0)
    assert (found.better, found.worse) == (12, 1)
    assert found.chance == pytest.approx(3 * 14 / 2**13, rel=1e-9)


def test_luck_is_not_called_a_reversal():
    """Three more successes of 40 in the faster wind: 1 in 8, and shared gusts on both sides."""
    assert not reversals([1.0, 2.0], [outcomes("---" + "+" * 37), outcomes("+" * 40)])
    assert not reversals([1.0, 2.0], [outcomes("+" * 40), outcomes("-" * 40)])


def test_reversals_are_rarely_seen_where_there_are_none():
    """Of 400 monotone craft, each flown in six winds, at most 5 % and two deviations more."""
    seen = 0
    for seed in range(400):
        tosser = Tosser(lambda wind: 0.9 - 0.02 * wind.mean_m_s, seed, shared=False)
        winds = [float(k) for k in range(6)]
        flown = [tosser.rows(_wind(w), 60)["stop"] == int(Stop.TIME) for w in winds]
        seen += bool(reversals(winds, flown))
    assert seen <= 400 * (0.05 + 2.0 * math.sqrt(0.05 * 0.95 / 400))


def _wind(mean, direction=0.0):
    from sim.analysis.wind_flights import Wind  # noqa: PLC0415

    return Wind(mean, direction)


def ended(*stops):
    """Give rows that ended so, all after tilt travel, numbered from 0."""
    rows = np.zeros(len(stops), dtype=ROW_TYPE)
    rows["flight"] = np.arange(len(stops))
    rows["stop"] = [int(stop) for stop in stops]
    rows["first_limit"] = int(Limit.TILT_TRAVEL)
    return rows


def test_causes_are_ranked_with_a_flight_of_the_slowest_wind_to_fly_again():
    winds = {
        5.0: ended(Stop.TIME, Stop.TILT, Stop.DRIFT, Stop.TILT),
        4.5: ended(Stop.TIME, Stop.TIME, Stop.TIME, Stop.DRIFT),
        4.0: ended(Stop.DRIFT, Stop.TIME),
        9.0: ended(Stop.HEIGHT),
    }
    first, second = ranked_causes(at_and_above(winds, 4.5))
    assert (
        first.words == "drifted too far from its place, after rotor tilt at the end of its travel"
    )
    assert (first.flights, first.forecast_m_s, first.flight) == (2, 4.5, 3)
    assert (second.flights, second.forecast_m_s, second.flight) == (2, 5.0, 1)


def test_without_failures_near_the_limit_the_next_wind_that_fails_tells_the_cause():
    winds = {2.0: ended(Stop.TIME), 6.0: ended(Stop.TIME, Stop.TILT), 8.0: ended(Stop.DRIFT)}
    (only,) = ranked_causes(at_and_above(winds, 2.0))
    assert (only.forecast_m_s, only.flight) == (6.0, 1)
    assert at_and_above({0.0: ended(Stop.TILT)}, None).keys() == {0.0}


def test_flights_that_broke_down_are_named():
    winds = {3.0: ended(Stop.TIME, Stop.NOT_FINITE), 1.0: ended(Stop.NOT_FINITE)}
    assert broken_flights(winds) == ((1.0, 0), (3.0, 1))


def test_closeness_puts_failures_beyond_successes():
    """Half of the drift allowed, and a fall after a quarter of the time."""
    limits = LimitsSpec()
    rows = ended(Stop.TIME, Stop.TILT)
    rows["most_drift_m"] = [0.5 * limits.drift_m, 0.1]
    rows["most_tilt_rad"] = [0.1 * limits.tilt_rad, limits.tilt_rad]
    rows["time_s"] = [20.0, 5.0]
    assert closeness(rows, limits, 20.0) == pytest.approx([0.5, 1.75])
    rows["most_drift_m"][0] = np.nan  # too short a flight for its drift to count
    assert closeness(rows, limits, 20.0) == pytest.approx([0.1, 1.75])


@pytest.mark.parametrize("worst_deg", [0.0, 33.0, 171.0, 265.0, 350.0])
def test_the_worst_direction_is_found(worst_deg):
    """A chance of success that dips by cosine towards one direction; the finest step is 11.25
    degrees, so the answer is within that of the truth.
    """

    def curve(wind):
        return 0.75 - 0.25 * math.cos(wind.from_rad - math.radians(worst_deg))

    def close(rows):
        """Stand for a measure without luck, which breaks ties of the counts."""
        return np.full(len(rows), 1.0 - curve(_wind(3.0, float(rows["wind_from_rad"][0]))))

    class Even:
        """As many flights succeed as the chance says, on the average."""

        def rows(self, wind, flights):
            """Give the rows of flights 0 to n - 1."""
            rows = ended(*[Stop.TIME] * flights)
            rows["wind_from_rad"] = wind.from_rad
            rows["stop"][: round(flights * (1.0 - curve(wind)))] = int(Stop.TILT)
            return rows

    tried = worst_direction(Even(), 3.0, 0.0, close, lambda _: None)
    apart = math.degrees(tried[0].from_rad) - worst_deg
    assert abs((apart + 180.0) % 360.0 - 180.0) <= 11.25
    assert len(tried) <= 12
    assert [d.successes for d in tried] == sorted(d.successes for d in tried)


@pytest.mark.parametrize("first_rad", [0.0, -math.pi / 2.0, math.radians(33.3333), 6.2831853])
def test_a_direction_is_flown_as_it_is_told(first_rad):
    """Reading the hundredths of degrees that are printed gives the very bits that flew; the
    scenario's own direction keeps its bits and is not tried twice.
    """

    class Never:
        """Fail always."""

        def rows(self, wind, flights):
            """Give the rows of flights 0 to n - 1."""
            rows = ended(*[Stop.TILT] * flights)
            rows["wind_from_rad"] = wind.from_rad
            return rows

    tried = worst_direction(Never(), 3.0, first_rad, lambda rows: rows["time_s"], lambda _: None)
    others = [d.from_rad for d in tried if d.from_rad != first_rad]
    assert len(others) == len(tried) - 1
    for from_rad in others:
        assert abs(math.remainder(from_rad - first_rad, math.tau)) > 0.1
        assert parse_quantity(f"{degrees(from_rad, 2)} deg", "angle") == from_rad
