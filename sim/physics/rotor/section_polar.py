"""Lift and drag of a blade section at any angle of attack and small-propeller Reynolds number."""

from __future__ import annotations

import math
from typing import Final, NamedTuple

from sim.numerics.compile import compiled


class Section(NamedTuple):
    """A blade section, either thin and cambered with stall, or an exact polynomial for checks.

    Attributes
    ----------
    lift_slope : float
        [1/rad] Of attached flow.
    zero_lift_angle : float
        [rad] Angle of the chord line at zero lift.
    stall_start, stall_end : float
        [rad] Distance from the zero-lift angle where the flow begins to leave and where the section
        acts as a flat plate; the same on both sides.
    drag_least : float
        [-] Least profile drag coefficient at the reference Reynolds number.
    drag_reynolds_exponent : float
        [-] Profile drag goes as (reference / Re) to this power.
    reynolds_reference : float
        [-] On chord and local speed.
    drag_lift_factor : float
        [-] Drag added per squared distance from the lift of least drag.
    lift_of_least_drag : float
        [-] Lift coefficient of least drag.
    plate_drag : float
        [-] Drag coefficient across the stream, stalled.
    linear : bool
        [-] True: lift = slope times angle and drag = `drag_least` + `drag_first` angle
        + `drag_second` angle^2, at every angle and Reynolds number.
    drag_first : float
        [1/rad] Of the linear section.
    drag_second : float
        [1/rad2] Of the linear section.
    """

    lift_slope: float
    zero_lift_angle: float
    stall_start: float
    stall_end: float
    drag_least: float
    drag_reynolds_exponent: float
    reynolds_reference: float
    drag_lift_factor: float
    lift_of_least_drag: float
    plate_drag: float
    linear: bool
    drag_first: float
    drag_second: float


# One section for all propellers: a thin cambered blade at Re 5e4 to 2e5. From memory of
# low-Reynolds section data, unverified: round numbers, taken among plausible ones with one measured
# propeller in view (tests/validation/SOURCES.md), not fitted to it curve by curve. Such sections
# lift less than thin-aerofoil theory says (slope 2 pi, zero-lift angle about -1 degree per per cent
# of camber), as their thick boundary layer hides part of the camber.
THIN_CAMBERED: Final = Section(
    lift_slope=5.7,
    zero_lift_angle=math.radians(-3.0),
    stall_start=math.radians(10.0),
    stall_end=math.radians(25.0),
    drag_least=0.025,
    drag_reynolds_exponent=0.4,
    reynolds_reference=1e5,
    drag_lift_factor=0.03,
    lift_of_least_drag=0.4,
    plate_drag=1.3,
    linear=False,
    drag_first=0.0,
    drag_second=0.0,
)


def linear_section(
    lift_slope: float, drag_constant: float, drag_first: float, drag_second: float
) -> Section:
    """Give a section with lift and drag exact polynomials of the angle, for closed-form checks.

    Parameters
    ----------
    lift_slope : float
        [1/rad] Lift per angle.
    drag_constant : float
        [-] Drag at zero angle.
    drag_first : float
        [1/rad] Drag per angle.
    drag_second : float
        [1/rad2] Drag per angle squared.

    Returns
    -------
    Section
        [-] For `section_forces`.
    """
    return THIN_CAMBERED._replace(
        lift_slope=lift_slope,
        zero_lift_angle=0.0,
        drag_least=drag_constant,
        linear=True,
        drag_first=drag_first,
        drag_second=drag_second,
    )


@compiled
def profile_drag(section: Section, reynolds: float) -> float:
    r"""Give the least drag coefficient at a Reynolds number.

    .. math:: c_{d0} = c_{d,ref} (Re_{ref} / Re)^n

    Parameters
    ----------
    section : Section
        [-] The section.
    reynolds : float
        [-] On chord and local speed. Data behind the section span 5e4 to 2e5; a decade beyond, the
        power law is an extrapolation.

    Returns
    -------
    float
        [-] c_d0.
    """
    if section.linear:
        return section.drag_least
    ratio = section.reynolds_reference / max(reynolds, 1.0)
    return section.drag_least * math.pow(ratio, section.drag_reynolds_exponent)


@compiled
def section_forces(section: Section, angle: float, least_drag: float) -> tuple[float, float]:
    r"""Give lift and drag coefficients at an angle of attack, all around the circle.

    Attached: c_l = a (alpha - alpha_0), c_d = c_d0 + k (c_l - c_l0)^2. Stalled: flat plate,
    c_l = C sin cos(alpha - alpha_0), c_d = c_d0 + C sin^2. Between `stall_start` and `stall_end`
    a smooth step joins them.

    Parameters
    ----------
    section : Section
        [-] The section.
    angle : float
        [rad] Angle of attack of the chord line, any value.
    least_drag : float
        [-] From `profile_drag`.

    Returns
    -------
    tuple of float
        [-] Lift coefficient, drag coefficient.
    """
    if section.linear:
        drag = least_drag + angle * (section.drag_first + section.drag_second * angle)
        return section.lift_slope * angle, drag
    from_zero_lift = angle - section.zero_lift_angle
    if from_zero_lift > math.pi:
        from_zero_lift -= 2.0 * math.pi
    elif from_zero_lift < -math.pi:
        from_zero_lift += 2.0 * math.pi
    lift = section.lift_slope * from_zero_lift
    off_best = lift - section.lift_of_least_drag
    drag = least_drag + section.drag_lift_factor * off_best * off_best
    beyond = abs(from_zero_lift) - section.stall_start
    if beyond <= 0.0:
        return lift, drag
    sine = math.sin(from_zero_lift)
    plate_lift = section.plate_drag * sine * math.cos(from_zero_lift)
    plate_drag = least_drag + section.plate_drag * sine * sine
    share = min(beyond / (section.stall_end - section.stall_start), 1.0)
    share = share * share * (3.0 - 2.0 * share)
    return lift + share * (plate_lift - lift), drag + share * (plate_drag - drag)
