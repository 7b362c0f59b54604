"""What `gustworthy power` shows, as tables: points, lift, currents, flow, packs, days, warmth."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from sim.analysis.motor_warmth import MotorWarmth
from sim.analysis.power_answer import PowerAnswer, PowerCase
from sim.analysis.power_point import PowerPoint, RotorPoint
from sim.report.number_text import MISSING, duration, fixed, percent, plain
from sim.report.propeller_tables import front_table, larger_table
from sim.report.section import Reading, Standing, Table, TableRow, standing

_RPM: Final = 9.549296585513721
_ZERO_CELSIUS_K: Final = 273.15
_ALIKE: Final = 0.005
_SECONDS_PER_MINUTE: Final = 60.0
HOTTEST_PACK_K: Final = 333.15
"""[K] Lithium packs are kept below 60 degC (common practice, no source)."""
NO_THRUST: Final = "out of reach"


def _span(point: PowerPoint, of: Callable[[RotorPoint], float | None], places: int) -> str:
    """Give a figure of all rotors: once where they agree, else least to most."""
    values = [of(rotor) for rotor in point.rotors]
    known = [value for value in values if value is not None]
    if not known:
        return MISSING
    low, high = min(known), max(known)
    if high - low <= _ALIKE * abs(high):
        return fixed(high, places)
    return f"{fixed(low, places)} to {fixed(high, places)}"


def _share(value: float | None) -> float | None:
    return None if value is None else 100.0 * value


_FIGURES: Final[tuple[tuple[str, Callable[[PowerPoint], str]], ...]] = (
    ("throttle, %", lambda p: _span(p, lambda r: 100.0 * r.throttle, 0)),
    ("rotor speed, rpm", lambda p: _span(p, lambda r: r.speed_rad_s * _RPM, 0)),
    ("thrust of all, N", lambda p: fixed(p.thrust_n, 1)),
    ("thrust of each, N", lambda p: _span(p, lambda r: r.thrust_n, 1)),
    ("torque of each, N m", lambda p: _span(p, lambda r: r.torque_n_m, 3)),
    ("shaft power of all, W", lambda p: fixed(p.flow.shaft_w, 0)),
    ("electric power, W", lambda p: fixed(p.pack_w, 0)),
    ("current of each motor, A", lambda p: _span(p, lambda r: r.motor_a, 1)),
    ("current of the pack, A", lambda p: fixed(p.pack_a, 1)),
    ("volts at the controllers, V", lambda p: fixed(p.bus_v, 2)),
    ("motor efficiency, %", lambda p: _span(p, lambda r: _share(r.motor_efficiency), 1)),
    ("controller efficiency, %", lambda p: _span(p, lambda r: _share(r.controller_efficiency), 1)),
    ("figure of merit", lambda p: _span(p, lambda r: r.figure_of_merit, 2)),
    ("pack rate, C", lambda p: fixed(p.c_rate_1_h, 1)),
    ("tip speed, m/s", lambda p: _span(p, lambda r: r.tip_speed_m_s, 0)),
    ("tip Mach number", lambda p: _span(p, lambda r: r.tip_mach, 2)),
    ("share of watts not found again", lambda p: f"{abs(p.flow.imbalance):.0e}"),
)


def point_table(answer: PowerAnswer) -> Table:
    """Give every figure (rows) of every operating point (columns)."""
    points: list[tuple[str, PowerPoint | None]] = [("hover", answer.main.hover)]
    points += answer.chosen
    levelling = f"{percent(1.0 - answer.craft.spec.controller.reserved)} %"
    points += [(levelling, answer.main.usable), ("full", answer.main.full)]
    rows = tuple(
        TableRow(
            (name, *(NO_THRUST if point is None else of(point) for _, point in points)),
        )
        for name, of in _FIGURES
    )
    return Table(
        caption="Operating points in still air"
        f" ({levelling}: what levelling leaves of the throttle)",
        columns=("figure", *(name for name, _ in points)),
        rows=rows,
    )


def lift_readings(answer: PowerAnswer) -> tuple[Reading, ...]:
    """Give weight, download, thrust-to-weight, hover and endurance."""
    main = answer.main
    download = answer.download_n
    full, usable = main.full.thrust_n, main.usable.thrust_n
    warming = answer.pack_warming_k
    warmest = None if warming is None else answer.craft.spec.battery.temperature_k + warming
    with_download = None if download is None else full / answer.needed_n
    return (
        Reading("weight with all fabric", fixed(answer.weight_n, 1), "N"),
        Reading(
            "download of fabric and parts in hover",
            fixed(download, 2) if download is not None else MISSING,
            "" if download is None else "N",
        ),
        Reading("thrust-to-weight, download left out", fixed(full / answer.weight_n, 2)),
        Reading("thrust-to-weight, download counted", fixed(with_download, 2)),
        Reading(
            "the same with what levelling leaves",
            fixed(usable / answer.needed_n, 2),
            "",
            "above 1",
            standing(answer.lifts),
        ),
        Reading(
            "hover throttle",
            percent(main.hover.throttle) if main.hover is not None else MISSING,
            "" if main.hover is None else "%",
            f"at most {percent(1.0 - answer.craft.spec.controller.reserved)} %",
            standing(answer.lifts),
        ),
        Reading(
            "endurance in hover to the reserve",
            MISSING if main.endurance is None else duration(main.endurance.seconds),
        ),
        Reading(
            "the pack warms meanwhile by at most",
            fixed(warming, 0),
            "" if warming is None else "K",
            "60 degC at the end",
            standing(None if warmest is None else warmest <= HOTTEST_PACK_K),
        ),
    )


def current_table(answer: PowerAnswer) -> Table:
    """Give every current at full throttle against what bears it."""
    rows = tuple(
        TableRow(
            (
                load.what,
                fixed(load.current_a, 1),
                MISSING if load.limit_a is None else plain(load.limit_a),
                MISSING if load.limit_a is None else percent(load.current_a / load.limit_a),
            ),
            standing(None if load.too_much is None else not load.too_much),
        )
        for load in answer.loads
    )
    return Table(
        caption="Currents at full throttle if nothing held them, against what bears them",
        columns=("what", "current, A", "limit, A", "% of it"),
        rows=rows,
        judged=True,
    )


def flow_table(answer: PowerAnswer) -> Table:
    """Give where the watts go, in hover and at full throttle."""
    points = [point for point in (answer.main.hover, answer.main.full) if point is not None]
    heads = ["hover", "full"][-len(points) :]
    names = [("given by the cells", 0)] + [
        (name, i) for i, (name, _) in enumerate(points[0].flow.losses())
    ]
    rows: list[TableRow] = []
    for row, (name, i) in enumerate(names):
        cells: list[str] = []
        for point in points:
            watts = point.flow.source_w if row == 0 else point.flow.losses()[i][1]
            cells += [fixed(watts, 1), percent(watts / point.flow.source_w, 1)]
        rows.append(TableRow((name, *cells)))
    cells = []
    for point in points:
        share = percent(point.flow.ideal_w / point.flow.source_w, 1)
        cells += [fixed(point.flow.ideal_w, 1), share]
    rows.append(TableRow(("left for pushing air down", *cells)))
    columns = ["watts"]
    for head in heads:
        columns += [f"{head}, W", "%"]
    return Table("Where the watts go", tuple(columns), tuple(rows))


def _case_row(case: PowerCase, name: str) -> TableRow:
    hover, endurance = case.hover, case.endurance
    return TableRow(
        (
            name,
            fixed(case.full.bus_v, 1),
            fixed(case.full.thrust_n, 1),
            percent(case.margin),
            NO_THRUST if hover is None else percent(hover.throttle),
            NO_THRUST if hover is None else fixed(hover.pack_w, 0),
            MISSING if endurance is None else fixed(endurance.seconds / _SECONDS_PER_MINUTE, 1),
        ),
        standing(hover is not None and case.margin > 0.0),
    )


_CASE_COLUMNS: Final = (
    "full, V",
    "full, N",
    "margin, %",
    "hover, %",
    "hover, W",
    "minutes",
)


def pack_table(answer: PowerAnswer) -> Table:
    """Give the craft with the pack of the file, and with tired ones."""
    rows = tuple(_case_row(case, case.name) for case in answer.packs)
    return Table(
        "With a fresh and with a sagging pack, each to the same reserve",
        ("pack", *_CASE_COLUMNS),
        rows,
        judged=True,
    )


def day_table(answer: PowerAnswer) -> Table:
    """Give the craft on the day and on a hot, high and humid one."""
    rows = tuple(_case_row(case, case.name) for case in answer.days)
    densities = " and ".join(fixed(case.air.density_kg_m3, 3) for case in answer.days)
    caption = f"On the day, and on a hard one (air of {densities} kg/m3)"
    return Table(caption, ("day", *_CASE_COLUMNS), rows, judged=True)


def _celsius(kelvin: float | None) -> str:
    if kelvin is None:
        return MISSING
    return "runs away" if kelvin == float("inf") else fixed(kelvin - _ZERO_CELSIUS_K, 0)


def _warmth_row(warm: MotorWarmth) -> TableRow:
    reached = warm.seconds_to_limit
    never = reached is not None and reached == float("inf")
    return TableRow(
        (
            f"{warm.rotor}, {warm.point}",
            MISSING if warm.seconds is None else _celsius(warm.later_winding_k),
            _celsius(warm.steady_winding_k),
            _celsius(warm.steady_housing_k),
            _celsius(warm.limit_k),
            "never" if never else duration(reached),
        ),
        Standing.UNKNOWN if warm.too_hot is None else standing(not warm.too_hot),
    )


def warmth_table(answer: PowerAnswer) -> Table | None:
    """Give how warm the motors get; None where no thermal data are given."""
    known = [warm for warm in answer.warmth if warm.known]
    if not known:
        return None
    return Table(
        "How warm the motors get, from air temperature (winding and housing as two lumps)",
        (
            "motor",
            "winding at the end, degC",
            "winding held on",
            "housing held on",
            "limit",
            "limit after",
        ),
        tuple(_warmth_row(warm) for warm in known),
        judged=True,
    )


def propeller_tables(answer: PowerAnswer) -> tuple[Table, ...]:
    """Give the efficient front, what each step costs, and what larger propellers overload."""
    if answer.propellers is None:
        return ()
    return (front_table(answer.propellers), larger_table(answer.propellers))


def all_tables(answer: PowerAnswer) -> tuple[Table, ...]:
    """Give every table, in the order shown."""
    warmth = warmth_table(answer)
    return (
        point_table(answer),
        current_table(answer),
        flow_table(answer),
        pack_table(answer),
        day_table(answer),
        *(() if warmth is None else (warmth,)),
        *propeller_tables(answer),
    )
