"""How what stands close above or below a disc changes its thrust at equal power."""

from __future__ import annotations

from sim.physics.rotor.ground_effect import LOWEST_HEIGHT_RATIO, ground_effect_ratio

SHARE_OF_LOSS = 2.0 / 3.0


def narrow_share(breadth_m: float, distance_m: float) -> float:
    """Give how much a body of this least breadth hinders the air at a distance [-].

    b / (b + z): a plate much wider than its distance stops the air, past a narrow spar it closes
    again (our own blend, no source).

    Parameters
    ----------
    breadth_m, distance_m : float
        [m] Lesser side in plan; distance from the disc.
    """
    return breadth_m / (breadth_m + distance_m) if breadth_m > 0.0 else 0.0


def change_by_body_below(covered: float, distance_ratio: float) -> float:
    """Give the relative change of thrust by a body under the disc.

    A share of the disc as large as the body works in ground effect. The wash also presses on the
    body, which the step accounts for apart, so that the net thrust need not rise (as the summary of
    Cheeseman and Bennett, ARC R&M 3021, 1955 says of flat surfaces under a rotor).

    Parameters
    ----------
    covered : float
        [-] Share of the disc's area.
    distance_ratio : float
        [-] Distance over the tip radius; below half a radius the value there is kept.
    """
    return covered * (ground_effect_ratio(distance_ratio, 0.0) - 1.0)


def change_by_body_above(covered: float, distance_ratio: float) -> float:
    r"""Give the relative change of thrust by a body over the disc, not above 0.

    Air for the covered share comes in sideways through the gap, at v_i R / (2 z), and loses the
    head of that speed: rho/2 v_i^2 (R / 2z)^2 of the 2 rho v_i^2 that the disc gives, which is
    (R / 4z)^2. At equal power a disc with a head loss D over its stream has (T + D)^2 T = constant,
    so that T falls by two thirds of D (momentum theory). How much of the head is lost is a guess,
    from nothing to twice this.

    Parameters
    ----------
    covered : float
        [-] Share of the disc's area.
    distance_ratio : float
        [-] Distance over the tip radius; below half a radius the value there is kept.
    """
    image = 0.25 / max(distance_ratio, LOWEST_HEIGHT_RATIO)
    return -SHARE_OF_LOSS * covered * image * image
