"""What `gustworthy power` says in words: verdict, remedy, assumptions, provenance."""

from __future__ import annotations

from typing import Final

from sim.analysis.power_answer import PowerAnswer
from sim.report.number_text import duration, fixed, listed, percent
from sim.report.propeller_tables import propeller_sentence

_ZERO_CELSIUS_K: Final = 273.15


def power_subtitle(answer: PowerAnswer) -> str:
    """Give the pack and the air in one line."""
    pack = answer.craft.spec.battery
    air = answer.air
    return (
        f"{pack.cells} cells of {pack.chemistry.replace('_', ' ')}, "
        f"{fixed(pack.capacity_a_s / 3600.0, 1)} Ah, {percent(pack.charge)} % charged,"
        f" {fixed(pack.temperature_k - _ZERO_CELSIUS_K, 0)} degC; air"
        f" {fixed(air.temperature_k - _ZERO_CELSIUS_K, 0)} degC,"
        f" {fixed(air.pressure_pa / 100.0, 0)} hPa, {fixed(air.density_kg_m3, 3)} kg/m3"
    )


def power_verdict(answer: PowerAnswer) -> str:
    """Give the verdict as a sentence."""
    main = answer.main
    if not answer.lifts:
        return (
            f"It does not lift: the rotors give {fixed(main.usable.thrust_n, 1)} N at the throttle"
            f" that levelling leaves ({fixed(main.full.thrust_n, 1)} N at full), and hover asks for"
            f" {fixed(answer.needed_n, 1)} N"
        )
    hover = main.hover
    assert hover is not None
    time = "" if main.endurance is None else f" for {duration(main.endurance.seconds)}"
    words = (
        f"It lifts with {percent(main.margin)} % to spare and hovers at"
        f" {percent(hover.throttle)} % throttle on {fixed(hover.pack_w, 0)} W{time}"
    )
    if answer.overloaded:
        words += f", but full throttle overloads {listed([o.what for o in answer.overloaded])}"
    hot = [warm.rotor for warm in answer.warmth if warm.point == "hover" and warm.too_hot]
    if hot:
        words += f", but hovering overheats the motor {listed(hot)}"
    return words


def power_findings(answer: PowerAnswer) -> tuple[str, ...]:
    """Give what else is worth saying, a sentence each."""
    found: list[str] = []
    if answer.why_no_download:
        found.append(f"The download of the fabric is not known: {answer.why_no_download}.")
    flow = answer.main.full.flow
    name, watts = max(flow.losses(), key=lambda loss: loss[1])
    found.append(
        f"At full throttle the cells give {fixed(flow.source_w, 0)} W, of which"
        f" {percent(flow.ideal_w / flow.source_w)} % push air down; the greatest loss is {name},"
        f" {fixed(watts, 0)} W."
    )
    spec = answer.craft.spec
    withheld = answer.main.full.pack_w - answer.main.usable.pack_w
    if spec.controller.reserved > 0.0:
        less = answer.main.full.thrust_n - answer.main.usable.thrust_n
        found.append(
            f"Levelling keeps {percent(spec.controller.reserved)} % of the throttle back: that is"
            f" {fixed(withheld, 0)} W and {fixed(less, 1)} N of full throttle."
        )
    short = min(rotor.speed_controller.full_command for rotor in spec.rotors)
    if short < 1.0:
        found.append(
            f"Full command reaches only {percent(short)} % of the pack's voltage: the end points of"
            " the speed controllers are not calibrated."
        )
    weak = [case.name for case in answer.packs if case.margin <= 0.0]
    if answer.lifts and weak:
        found.append(f"It no longer lifts with the pack {listed(weak)}.")
    if any(case.margin <= 0.0 for case in answer.days[1:]) and answer.lifts:
        found.append(f"It no longer lifts at {answer.days[1].name}.")
    if not any(warm.known for warm in answer.warmth):
        found.append(
            "How warm the motors get is not known: give 'thermal' of the motor (heat capacities of"
            " winding and housing, thermal resistances) to have it estimated."
        )
    if any(load.limit_a is None for load in answer.loads):
        found.append(
            "What wiring and connectors bear is not known: give wiring_current_limit of the"
            " battery."
        )
    if not all(point.deliverable for point in answer.points):
        found.append("The pack cannot deliver what some of these points ask for.")
    if answer.propellers is not None:
        found.append(propeller_sentence(answer.propellers))
    return tuple(found)


def power_assumptions(answer: PowerAnswer) -> tuple[str, ...]:
    """Give what the figures rest on."""
    spec = answer.craft.spec
    pair = (
        "The slow part of the sag counts in endurance, not in the operating points and flights."
        if spec.battery.relaxation is not None
        else "The pack sags at once; give 'relaxation' of the battery to count its slow part."
    )
    return (
        "Steady running in still air away from the ground: the same rotor, motor and pack functions"
        " as in flight, run on a test stand until they are steady.",
        "Open-circuit volts by charge: typical curves of each chemistry, from memory, no source."
        " Cold raises the resistance, twofold at 0 degC, from memory; a pack that warms up in"
        " flight gets no bonus, and its capacity is that of a warm one.",
        pair,
        "A motor's resistance is that of a cold winding; only the estimate of its warmth counts"
        " that copper resists more when hot.",
        "The download is kept in newtons on other days and with other propellers: far down, the"
        " wake's dynamic pressure is the disc loading, whatever the air.",
        "'Left for pushing air down' is the least power for this thrust by momentum theory; blade"
        " drag, swirl and tips are the rest of the shaft power.",
    )
