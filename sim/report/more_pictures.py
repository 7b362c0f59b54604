"""The words of pictures that stand beside those of the main finding: power, rotors and motions."""

from __future__ import annotations

from typing import Final

from sim.analysis.check_result import CheckResult
from sim.report.authority_content import left_words
from sim.report.figure_power_flow import flow_words
from sim.report.margin_words import least_words
from sim.report.number_text import capital, fixed, listed, percent
from sim.report.section import Picture

_AXES: Final = ("roll", "pitch", "yaw")


def power_pictures(result: CheckResult) -> tuple[Picture, ...]:
    """Give the pictures of thrust and watts over throttle, and of where the watts go in hover.

    Parameters
    ----------
    result : CheckResult
        What was found.
    """
    drawn = result.drawn
    if drawn is None:
        return ()
    full, reserved = drawn.curve[-1], result.craft.spec.controller.reserved
    said = (
        f"At full throttle all rotors together give {fixed(full.thrust_n, 1)} N for"
        f" {fixed(full.pack_w, 0)} W; the {percent(reserved)} % that levelling keeps back are"
        " shaded."
    )
    found = [Picture("curves", "Thrust and electric power over throttle", said)]
    if drawn.hover is not None:
        said = flow_words(drawn.hover.flow)
        found.append(Picture("flow", "Where the watts go in hover", said))
    return tuple(found)


def motion_pictures(result: CheckResult) -> tuple[Picture, ...]:
    """Give the pictures of the loops over frequency, folded, and of how the fabric swings.

    Parameters
    ----------
    result : CheckResult
        What was found.
    """
    stability, drawn = result.stability, result.drawn
    found = [
        Picture(
            f"bode_{axis}",
            f"Loop of {axis} over frequency",
            f"It has {least_words(stability.margins[axis])} to spare; where the gain is inside its"
            " band the phase must be outside its own.",
            folded=True,
        )
        for axis in _AXES
        if stability.stable and axis in stability.loops and axis in stability.margins
    ]
    if drawn is not None and drawn.shapes:
        said = ". ".join(capital(shape.sentence) for shape in drawn.shapes)
        words = Picture(
            "swings",
            "How the fabric swings, at its two ends",
            f"{said}. Drawn with 10 cm where it swings most.",
        )
        found.insert(0, words)
    return tuple(found)


def authority_pictures(result: CheckResult) -> tuple[Picture, ...]:
    """Give the picture of what the rotors can do in hover.

    Parameters
    ----------
    result : CheckResult
        What was found.
    """
    if result.drawn is None or result.drawn.authority is None:
        return ()
    authority = result.drawn.authority
    said = left_words(authority)
    if authority.backwards:
        said += f" But tilting the rotors works backwards in {listed(list(authority.backwards))}."
    return (
        Picture(
            "authority",
            "What the rotors can do in hover, cut open along two axes at a time; dashed is the"
            " convex hull, which promises more than one setting gives",
            said,
        ),
    )
