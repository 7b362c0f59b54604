"""Margins as plain data: of one loop, and of several at the same time."""

from __future__ import annotations

from typing import Any

from sim.analysis.loop_margins import LoopMargins, Margin
from sim.analysis.modes import Mode
from sim.analysis.multi_loop import JointDisk
from sim.report.margin_words import gain_margins_db


def margins_data(margins: LoopMargins) -> dict[str, Any]:
    """Give the margins of one loop.

    Parameters
    ----------
    margins : LoopMargins

    Returns
    -------
    dict
        Keys with their units; None when the closed loop is unstable.
    """
    up, down = gain_margins_db(margins) if margins.stable else (None, None)
    disk = margins.disk
    return {
        "stable": margins.stable,
        "gain_up_db": up,
        "gain_down_db": down,
        "gain_up_at_rad_s": _frequency(margins.gain_up),
        "gain_down_at_rad_s": _frequency(margins.gain_down),
        "phase_rad": _value(margins.phase_rad),
        "phase_at_rad_s": _frequency(margins.phase_rad),
        "delay_s": _value(margins.delay_s),
        "delay_at_rad_s": _frequency(margins.delay_s),
        "modulus": _value(margins.modulus),
        "modulus_at_rad_s": _frequency(margins.modulus),
        "disk": None if disk is None else disk.alpha,
        "disk_at_rad_s": None if disk is None else disk.frequency_rad_s,
    }


def joint_data(
    together: JointDisk | None, attitude: JointDisk | None, delay: Margin | None
) -> dict[str, Any]:
    """Give what several loops bear at the same time.

    Parameters
    ----------
    together, attitude : JointDisk or None
        All six loops; roll, pitch and yaw.
    delay : Margin or None
        [s] Of all that is sent.

    Returns
    -------
    dict
        Keys with their units; None when the closed loop is unstable.
    """
    return {
        "together": _disk_data(together),
        "attitude_together": _disk_data(attitude),
        "delay_together_s": _value(delay),
        "delay_together_at_rad_s": _frequency(delay),
    }


def _disk_data(joint: JointDisk | None) -> dict[str, Any] | None:
    if joint is None:
        return None
    disk = joint.guaranteed
    return {
        "disk": disk.alpha,
        "disk_at_most": joint.reached.alpha,
        "at_rad_s": disk.frequency_rad_s,
        "gain_low": disk.gain_low,
        "gain_high": disk.gain_high,
        "phase_rad": disk.phase_rad,
        "worst_factors": [{"real": f.real, "imaginary": f.imag} for f in joint.factors],
    }


def _value(margin: Margin | None) -> float | None:
    return None if margin is None else margin.value


def _frequency(margin: Margin | None) -> float | None:
    return None if margin is None else margin.frequency_rad_s


def mode_data(mode: Mode) -> dict[str, Any]:
    """Give one natural motion.

    Parameters
    ----------
    mode : Mode

    Returns
    -------
    dict
        Plain data.
    """
    return {
        "sentence": mode.sentence,
        "grows": mode.grows,
        "rate_1_s": mode.rate_1_s,
        "frequency_hz": mode.frequency_hz,
        "damping_ratio": mode.damping_ratio,
        "time_to_half_or_double_s": mode.time_to_half_or_double_s,
        "shares": dict(mode.shares),
    }
