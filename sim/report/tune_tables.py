"""The figures of `gustworthy tune` as tables."""

from __future__ import annotations

import math
from typing import Final

from sim.analysis.loop_margins import decibel
from sim.analysis.tune import Candidate, TuneResult
from sim.analysis.tune_apply import gain_text
from sim.analysis.tune_plan import START_SHARE, PlanStep, hand_plan
from sim.analysis.tune_space import Variable
from sim.params.record import FloatArray
from sim.report.number_text import digits, fixed, percent
from sim.report.section import Standing, Table, TableRow

_DEGREE: Final = math.pi / 180.0
_CENTIMETRES: Final = 100.0
_AXES: Final = ("roll", "pitch", "yaw")
_SHOWN_OF_FRONT: Final = 8


def all_tables(result: TuneResult) -> list[Table]:
    """Give every table, in the order shown."""
    tables = [figures_table(result)]
    if result.chosen is not None:
        tables += [gains_table(result), fractions_table(result)]
    tables += [front_table(result), verified_table(result)]
    if result.bought:
        tables.append(bought_table(result))
    if result.chosen is not None and result.chosen.exact is not None:
        tables.append(plan_table(result))
    return tables


def _figures_row(name: str, one: Candidate) -> TableRow:
    exact, flown = one.exact, one.flown
    together = None if exact is None or exact.together is None else exact.together
    flights = "-" if flown is None else _flights(one)
    return TableRow(
        (
            name,
            digits(one.figures.disk, 3) if one.figures.stable else "unstable",
            "unstable" if together is None else digits(together.guaranteed.alpha, 3),
            digits(one.figures.gain_db, 3) if one.figures.stable else "-",
            fixed(one.figures.phase_rad / _DEGREE, 0) if one.figures.stable else "-",
            _drift(one.figures.gust_m),
            percent(one.figures.activity, 1) if one.figures.stable else "-",
            flights,
        )
    )


def _drift(metres: float) -> str:
    return fixed(metres * _CENTIMETRES, 0) if math.isfinite(metres) else "-"


def _flights(one: Candidate) -> str:
    if one.flown is None:
        return "-"
    return ", ".join(
        f"{good} of {one.flown.flights} in {wind:g} m/s"
        for good, wind in zip(one.flown.successes, one.flown.winds_m_s, strict=True)
    )


def figures_table(result: TuneResult) -> Table:
    """Give before and after."""
    rows = [_figures_row("now", result.own)]
    if result.chosen is not None:
        rows.append(_figures_row("tuned", result.chosen))
    count = len(result.crafts.plants)
    return Table(
        f"Before and after; worst of {count} crafts of the spread unless it says otherwise",
        (
            "gains",
            "joint disk margin",
            "the same, craft as in the file",
            "gain margin, dB",
            "phase margin, deg",
            "drift in gusts, cm",
            "moments used, %",
            "flights that succeed",
        ),
        tuple(rows),
    )


def gains_table(result: TuneResult) -> Table:
    """Give the gains as a craft file takes them."""
    chosen = _chosen(result)
    rows = [
        TableRow(
            (
                v.name,
                " ".join(("controller", *v.path)),
                "none" if now <= 0.0 else gain_text(v, float(now)),
                gain_text(v, float(new)),
                gain_text(v, v.low) if v.lead_of < 0 else f"{1e3 * v.low:g} ms of p",
                gain_text(v, v.high) if v.lead_of < 0 else f"{1e3 * v.high:g} ms of p",
            )
        )
        for v, now, new in zip(
            result.crafts.space.variables, result.own.values, chosen.values, strict=True
        )
    ]
    return Table(
        "Gains in physical units, and the bounds between which they were sought",
        ("gain", "in the craft file", "now", "tuned", "least tried", "most tried"),
        tuple(rows),
    )


def fraction_formula() -> str:
    """Say how gains become shares of full actuator."""
    return (
        "share per deg/s = gain [N m/(rad/s)] / full moment [N m] x 0.01745 rad/deg; full moment"
        " is what the axis can give in hover with one rotor down to nothing or the tilts at their"
        " stops; for a gain on the angle multiply levelling [1/s] with p: share per deg ="
        " levelling x p / full moment x 0.01745"
    )


def fractions_table(result: TuneResult) -> Table:
    """Give the rate and level gains as shares of full actuator."""
    chosen = _chosen(result)
    full = result.crafts.full_moment_n_m
    rows = []
    for axis, name in enumerate(_AXES):
        value = _by_path(result, chosen.values)
        p = value["rate", name, "p"]
        share = p / full[axis]
        level = value["level", name]
        rows.append(
            TableRow(
                (
                    name,
                    digits(float(full[axis]), 3),
                    digits(share, 3),
                    digits(share * _DEGREE, 3),
                    digits(value.get(("rate", name, "i"), 0.0) / full[axis] * _DEGREE, 3),
                    digits(value["rate", name, "d"] / full[axis] * _DEGREE, 3),
                    digits(level, 3),
                    digits(level * share * _DEGREE, 3),
                )
            )
        )
    return Table(
        f"The same for any controller, as shares of full actuator; {fraction_formula()}",
        (
            "axis",
            "full moment, N m",
            "p per rad/s",
            "p per deg/s",
            "i per deg",
            "d per deg/s2",
            "levelling, deg/s per deg",
            "levelling, share per deg",
        ),
        tuple(rows),
    )


def _by_path(result: TuneResult, values: FloatArray) -> dict[tuple[str, ...], float]:
    return {v.path: float(x) for v, x in zip(result.crafts.space.variables, values, strict=True)}


def front_table(result: TuneResult) -> Table:
    """Give some of the front, evenly."""
    step = max(1, -(-len(result.front) // _SHOWN_OF_FRONT))
    rows = [
        TableRow(
            (
                digits(one.figures.disk, 3),
                _drift(one.figures.gust_m),
                percent(one.figures.activity, 1),
                digits(one.figures.gain_db, 3),
                fixed(one.figures.phase_rad / _DEGREE, 0),
            )
        )
        for one in result.front[::step]
    ]
    return Table(
        f"What can be had: {len(rows)} of {len(result.front)} candidates that none of the"
        f" {result.tried} tried beats in margin, drift and moments together",
        (
            "joint disk margin",
            "drift in gusts, cm",
            "moments used, %",
            "gain margin, dB",
            "phase margin, deg",
        ),
        tuple(rows),
    )


def verified_table(result: TuneResult) -> Table:
    """Give every candidate that was flown, or why not."""
    rows = []
    for k, one in enumerate(result.looked_at, 1):
        standing = Standing.FAILS if one.rejected else Standing.PASSES
        rows.append(
            TableRow(
                (
                    str(k),
                    digits(one.figures.disk, 3),
                    _drift(one.figures.gust_m),
                    _flights(one),
                    one.rejected or ("taken" if one is result.chosen else "not taken"),
                ),
                standing,
            )
        )
    return Table(
        "Candidates flown in the same gusts with play, slew limits, noise and fabric: the knee, the"
        " steadiest, the one with most margin, then others; the one most of whose flights succeed"
        " is taken",
        ("candidate", "joint disk margin", "drift in gusts, cm", "flights that succeed", "outcome"),
        tuple(rows),
        judged=True,
    )


def bought_table(result: TuneResult) -> Table:
    """Give what each improvement would buy."""
    base = result.bought[0]
    rows = [
        TableRow(
            (
                one.what,
                digits(one.same_gains.disk, 3) if one.same_gains.stable else "unstable",
                digits(one.retuned.disk, 3),
                f"{100.0 * (one.retuned.disk / base.retuned.disk - 1.0):+.0f} %"
                if base.retuned.disk > 0.0
                else "-",
            )
        )
        for one in result.bought
    ]
    return Table(
        "What limits it: joint disk margin at no more drift in gusts, craft as in the file",
        ("what is better", "same gains", "tuned anew", "gain"),
        tuple(rows),
    )


def plan_table(result: TuneResult) -> Table:
    """Give the plan for the day."""
    chosen = _chosen(result)
    if chosen.exact is None:
        message = "no margins to plan with"
        raise ValueError(message)
    space = result.crafts.space
    rows = [
        TableRow(
            (
                f"{k}. {step.name}",
                _listed(space.variables, step, chosen.values, START_SHARE),
                _listed(space.variables, step, chosen.values, 1.0),
                _too_much(step),
                _too_little(step),
            )
        )
        for k, step in enumerate(hand_plan(space, chosen.values, chosen.exact), 1)
    ]
    return Table(
        "Tuning by hand on the day, from top to bottom: begin at half, raise a quarter at a time",
        ("what", "begin with", "end at", "too much", "too little"),
        tuple(rows),
    )


def _listed(
    variables: tuple[Variable, ...], step: PlanStep, values: FloatArray, share: float
) -> str:
    return "; ".join(
        f"{variables[k].path[-1]} {gain_text(variables[k], share * float(values[k]))}"
        for k in step.indices
    )


def _too_much(step: PlanStep) -> str:
    if step.wobble_hz is None or not math.isfinite(step.factor_up):
        return "no swing computed"
    return (
        f"swings {digits(step.wobble_hz, 2)} times a second at {digits(step.factor_up, 2)} times"
        f" the end value ({fixed(decibel(step.factor_up), 0)} dB)"
    )


def _too_little(step: PlanStep) -> str:
    if step.slow_hz is None or step.factor_down <= 0.0:
        return "only slow"
    period = 1.0 / step.slow_hz
    return (
        f"sways once in {digits(period, 2)} s below {digits(step.factor_down, 2)} times the end"
        " value"
    )


def _chosen(result: TuneResult) -> Candidate:
    if result.chosen is None:
        message = "no gains were chosen"
        raise ValueError(message)
    return result.chosen
