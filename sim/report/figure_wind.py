"""Picture of question 4: how many flights succeed in each wind, with the bounds of that count."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

import numpy as np
from matplotlib.figure import Figure

from sim.analysis.check_result import CheckResult
from sim.analysis.wind_result import WindAnswer, WindPoint
from sim.report.figure_style import BLUE, GREEN, INK, RED, say, spot
from sim.spec.units import rounded_down

_PERCENT: Final = 100.0
_LINE_POINTS: Final = 16.0
_NAME_SHARE: Final = 0.25
"""[-] Of the width of the picture, about what the name of a line takes."""
_HALF_STEP_M_S: Final = 0.6


def draw_wind(result: CheckResult) -> Figure:
    """Draw the share of flights that succeed against the forecast wind.

    Parameters
    ----------
    result : CheckResult
        With a wind answer.

    Returns
    -------
    Figure
        In the style that is in force.
    """
    if result.wind is None:
        message = "without flights there is no wind curve"
        raise ValueError(message)
    return draw_wind_curve(result.wind, result.scenario.spec.wind.mean_m_s)


def draw_wind_curve(wind: WindAnswer, day_m_s: float) -> Figure:
    """Draw the same from a wind answer alone.

    Parameters
    ----------
    wind : WindAnswer
        With at least one wind flown.
    day_m_s : float
        [m/s] Forecast of the scenario.

    Returns
    -------
    Figure
        In the style that is in force.
    """
    points = wind.points
    speeds = np.array([point.forecast_m_s for point in points])
    shares = np.array([point.successes / point.flights for point in points]) * _PERCENT
    low = np.array([point.lower for point in points]) * _PERCENT
    high = np.array([point.upper for point in points]) * _PERCENT
    fitted = np.array([point.monotone for point in points]) * _PERCENT
    shown = [point for point in points if point.one_sided_lower > 0.0]
    figure = Figure(figsize=(5.4, 3.6), layout="constrained")
    axes = figure.subplots()
    axes.errorbar(
        speeds,
        shares,
        yerr=np.array([shares - low, high - shares]),
        color=BLUE,
        ecolor=BLUE,
        marker="o",
        markersize=5,
        capsize=3,
        linewidth=1.0,
        linestyle="none",
    )
    axes.plot(speeds, fitted, color=BLUE, linewidth=1.0, linestyle=":")
    axes.plot(
        [point.forecast_m_s for point in shown],
        [point.one_sided_lower * _PERCENT for point in shown],
        linestyle="none",
        marker="_",
        color=INK,
        markersize=13,
        mew=2,
    )
    asked = wind.asked_success * _PERCENT
    axes.axhline(asked, color=RED, linestyle="--")
    floor = min(float(low.min()), asked) - 9.0
    right = float(speeds.max()) + _HALF_STEP_M_S
    axes.set_ylim(floor, 103.0)
    axes.set_xlim(-_HALF_STEP_M_S, right)
    words = f"asked: {asked:.0f} %"
    say(axes, (-_HALF_STEP_M_S, asked), words, shift=(4.0, -4.0), ha="left", va="top")
    for point, share in zip(points, shares, strict=True):
        spot(axes, (point.forecast_m_s, float(share)), _point_words(point))
    _draw_limits(axes_of=figure, wind=wind, scenario_m_s=day_m_s)
    axes.set_xlabel(f"forecast mean wind at {wind.wind_height_m:g} m, m/s")
    axes.set_ylabel("flights that succeed, %")
    ratio = _ratio(wind)
    if ratio is not None:
        above = axes.secondary_xaxis("top", functions=_scales(ratio))
        above.set_xlabel(f"mean wind at flight height, {wind.flight_height_m:g} m, m/s")
    return figure


def _point_words(point: WindPoint) -> str:
    return (
        f"{point.forecast_m_s:.1f} m/s: {point.successes} of {point.flights} flights succeed,"
        f" {_PERCENT * point.lower:.0f} to {_PERCENT * point.upper:.0f} %"
    )


def _scales(ratio: float) -> tuple[Callable[..., Any], Callable[..., Any]]:
    """Give the ways from a forecast to the wind at flight height and back."""

    def here(forecast: Any) -> Any:
        return forecast * ratio

    def forecast(wind: Any) -> Any:
        return wind / ratio

    return here, forecast


def _ratio(wind: WindAnswer) -> float | None:
    """Give the mean wind at flight height over the forecast, None when only still air was flown."""
    pairs = [point for point in wind.points if point.forecast_m_s > 0.0]
    return pairs[-1].wind_m_s / pairs[-1].forecast_m_s if pairs else None


def _draw_limits(*, axes_of: Figure, wind: WindAnswer, scenario_m_s: float) -> None:
    """Draw the limit found and the scenario's own wind as upright lines."""
    axes = axes_of.axes[0]
    low, _ = axes.get_ylim()
    left, right = axes.get_xlim()
    if wind.limit_forecast_m_s is not None:
        axes.axvline(wind.limit_forecast_m_s, color=GREEN, linewidth=2.0)
        place = (wind.limit_forecast_m_s, low)
        words = f"limit {rounded_down(wind.limit_forecast_m_s)} m/s"
        is_late = right - wind.limit_forecast_m_s < _NAME_SHARE * (right - left)
        side, across = ("right", -5.0) if is_late else ("left", 5.0)
        say(axes, place, words, shift=(across, 6.0), ha=side, va="bottom")
    axes.axvline(scenario_m_s, color=INK, linestyle="-.", linewidth=1.0)
    words = f"the day {scenario_m_s:.1f} m/s"
    # Both names between the two lines would meet: one goes above the other.
    up = 0.0 if wind.limit_forecast_m_s is None else _LINE_POINTS
    is_early = scenario_m_s - left < _NAME_SHARE * (right - left)
    side, across = ("left", 5.0) if is_early else ("right", -5.0)
    say(axes, (scenario_m_s, low), words, shift=(across, 6.0 + up), ha=side, va="bottom")
