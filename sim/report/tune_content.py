"""What `gustworthy tune` says in words: verdict, findings, what they rest on, plan for the day."""

from __future__ import annotations

import math
from typing import Final

from sim.analysis.tune import TuneResult
from sim.analysis.tune_crafts import LEAST_WIND_M_S
from sim.analysis.tune_space import DERIVATIVE_HZ, FACTOR, GYRO_HZ, LEAST_LEAD_S, MOST_LEAD_S
from sim.report.number_text import digits, fixed, percent

_DEGREE: Final = math.pi / 180.0
_CENTIMETRES: Final = 100.0
_CLEAR: Final = 0.02


def tune_subtitle(result: TuneResult) -> str:
    """Say what was tuned on what."""
    spread = len(result.crafts.plants) - 1
    beside = f" and {spread} crafts of its spread" if spread else ""
    return (
        f"{result.craft.spec.layout.capitalize()}; {result.crafts.space.size} gains tuned on the"
        f" craft in the file{beside}; {result.tried} candidates"
    )


def tune_verdict(result: TuneResult) -> str:
    """Give the verdict as a sentence without its full stop."""
    asked = (
        f"{digits(result.required.gain_db, 3)} dB and"
        f" {fixed(result.required.phase_rad / _DEGREE, 0)} degrees"
    )
    chosen = result.chosen
    if chosen is None:
        if not result.front:
            return f"No gains were found that keep {asked} in roll, pitch and yaw"
        return "None of the gains that look good on paper did in flights what is asked"
    if chosen.exact is None or chosen.exact.together is None:
        return "Gains were found"
    disk = chosen.exact.together.guaranteed
    return (
        f"Gains were found that keep more than {asked}; all loops may change together by"
        f" {digits(20.0 * math.log10(disk.gain_high), 2)} dB or"
        f" {fixed(disk.phase_rad / _DEGREE, 0)} degrees (joint disk margin {digits(disk.alpha, 2)})"
    )


def tune_findings(result: TuneResult) -> tuple[str, ...]:
    """Give what is worth saying, a sentence each."""
    found = [_change_words(result)]
    found += [
        f"Candidate {k} was rejected: {one.rejected}."
        for k, one in enumerate(result.looked_at, 1)
        if one.rejected
    ]
    if result.paired is not None:
        found.append(_wind_words(result))
    found += _limit_words(result)
    return tuple(words for words in found if words)


def _change_words(result: TuneResult) -> str:
    own, chosen = result.own, result.chosen
    if chosen is None:
        return ""
    if not own.figures.stable:
        return "With the gains that it has now the craft, or one of its spread, is not stable."
    drift = chosen.figures.gust_m / own.figures.gust_m - 1.0
    disk = chosen.figures.disk / own.figures.disk - 1.0
    words = (
        f"Against the gains that it has now the joint disk margin changes by"
        f" {100.0 * disk:+.0f} %, the drift in gusts by {100.0 * drift:+.0f} % (from"
        f" {fixed(own.figures.gust_m * _CENTIMETRES, 0)} to"
        f" {fixed(chosen.figures.gust_m * _CENTIMETRES, 0)} cm, root mean square)"
    )
    flown = chosen.flown
    if flown is None or own.flown is None:
        return f"{words}."
    return (
        f"{words}; in flights in {flown.winds_m_s[1]:g} m/s the largest way off its place is"
        f" {fixed(own.flown.drift_m[1], 2)} m before and {fixed(flown.drift_m[1], 2)} m after"
        " (middle of the flights)."
    )


def _wind_words(result: TuneResult) -> str:
    pair = result.paired
    if pair is None:
        return ""
    interval = f"{fixed(pair.low_m_s, 1)} to {fixed(pair.high_m_s, 1)} m/s"
    words = (
        f"Wind limit in the same gusts: {fixed(pair.first_m_s, 1)} m/s now,"
        f" {fixed(pair.second_m_s, 1)} m/s tuned, {pair.difference_m_s:+.1f} m/s"
        f" ({percent(pair.confidence)} % interval {interval}; estimates at"
        f" {pair.flights} flights in each wind)"
    )
    return f"{words}." if pair.is_certain else f"{words}: no difference is shown."


def _limit_words(result: TuneResult) -> list[str]:
    """Say what limits further tightening."""
    if not result.bought:
        return []
    base = result.bought[0].retuned.disk
    gains = sorted(
        ((one.retuned.disk / base - 1.0, one.what) for one in result.bought[1:]), reverse=True
    )
    clear = [(gain, what) for gain, what in gains if gain > _CLEAR]
    if not clear:
        return [
            "Nothing looked at limits it much: with "
            + ", ".join(what for _, what in gains)
            + f", each alone, the joint disk margin would grow by less than {percent(_CLEAR)} %."
        ]
    gain, what = clear[0]
    return [
        f"What limits it most of what was looked at: with {what} the joint disk margin would be"
        f" {percent(gain)} % larger at no more drift."
    ]


def tune_assumptions(result: TuneResult) -> tuple[str, ...]:
    """Give what the answer rests on."""
    words = [
        f"Bounds: gains from 1/{FACTOR:g} to {FACTOR:g} times those that follow from inertia and"
        f" lags, derivative from {1e3 * LEAST_LEAD_S:g} to {1e3 * MOST_LEAD_S:g} ms of p, gyro"
        f" filter {GYRO_HZ[0]:g} to {GYRO_HZ[1]:g} Hz, derivative filter {DERIVATIVE_HZ[0]:g} to"
        f" {DERIVATIVE_HZ[1]:g} Hz; an integral stays out where the rule leaves it out.",
        "The linear model is the derivative of the step in still air; gains change only what the"
        " loops make of the states that they read, which is taken from the step anew for each"
        " candidate.",
        "Drift in gusts is the root mean square of the way off its place in the scenario's"
        f" turbulence (at least that of {LEAST_WIND_M_S:g} m/s), with the push of a gust about the"
        " mean wind and the motion about still air: good for ranking gains, not a forecast.",
        "Moments used: root mean square of the moments asked for by gusts and sensor noise, as"
        " shares of what roll, pitch and yaw can give in hover, all three together.",
        "The knee: of candidates with no less margin and no more drift than the craft has now"
        " (where it meets the margins asked for and there are such; else of those that drift at"
        " most twice the least), the one nearest to the best of each figure,"
        " scaled by the range of the front; drift and moments in logarithms, drift with twice the"
        " weight of the others. Flights have the last word: of the candidates flown that pass, the"
        " one most of whose flights succeed in all winds together is taken, of equals the first.",
        f"Search: CMA-ES (library cma), seed {result.seed}, then sequential quadratic programming"
        " (SLSQP of scipy) with the margin at each frequency as a condition of its own, both from"
        " the rule's gains with more damping as well; the same seed gives the same gains.",
    ]
    plant = result.crafts.plants[0]
    if plant.truncation is not None:
        words.append(
            f"Of {len(plant.truncation.values)} states of the fabric {plant.truncation.kept} stand"
            " for all in the search (balanced; left out:"
            f" {percent(plant.truncation.left_out, 1)} % of the sum of Hankel singular values);"
            " margins of candidates that are flown have all of them." + _reduction_words(result)
        )
    return tuple(words)


def _reduction_words(result: TuneResult) -> str:
    """Say how far the small model was off for the chosen gains."""
    chosen = result.chosen
    if chosen is None or chosen.exact is None or chosen.exact.together is None:
        return ""
    small, full = result.chosen_small_disk, chosen.exact.together.guaranteed.alpha
    return (
        f" For the tuned gains the small model says {digits(small, 3)}, the whole one"
        f" {digits(full, 3)}."
    )


def hand_plan_words() -> tuple[str, ...]:
    """Give the rules that go with the plan, in plain words."""
    return (
        "First hops without the outer loops: level only, by hand, low and over soft ground. One"
        " gain at a time; write down what you set.",
        "Begin each gain at half its end value and raise it by a quarter of that at a time. After"
        " each step give one short, gentle push of the stick and let go.",
        "Stop raising, and go back by a third, as soon as it buzzes, or swings on more than twice"
        " after the push; the swing to expect is in the table. A swing much faster or slower than"
        " there means that something is not as in the file: stop and measure.",
        "Do not go beyond the end value: the margin above it is for what the file does not know.",
        "When an axis is done, hold a hand's breadth above the ground for half a minute and feel"
        " motors and servos: hot means too much noise through d; lower d or its filter.",
        "Height before place, speed gains before position gains, integrals last.",
    )
