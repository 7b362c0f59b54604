"""What the wind of one flight is made of: shaping filters, discrete gusts, a measured record."""

from __future__ import annotations

from typing import Annotated

from sim.params.record import FloatArray, Quantity

LAGS = 4
MAX_GUSTS = 8
MAX_MEASURED = 300

NOT_SHAPED = 0
DRYDEN = 1
KAIMAL = 2


class AlongRecord:
    """First-order shaping filter, see `sim.physics.air.turbulence.FirstOrderShaping`."""

    decay: Annotated[float, Quantity("-", "of one period")]
    gain: Annotated[float, Quantity("m/s", "on a standard normal")]
    stationary: Annotated[float, Quantity("m/s", "standard deviation of the first draw")]


class AcrossRecord:
    """Second-order shaping filter, see `sim.physics.air.turbulence.SecondOrderShaping`."""

    decay: Annotated[float, Quantity("-", "of one period")]
    coupling: Annotated[float, Quantity("-", "first state to second")]
    noise_11: Annotated[float, Quantity("m/s", "noise factor")]
    noise_21: Annotated[float, Quantity("m/s", "noise factor")]
    noise_22: Annotated[float, Quantity("m/s", "noise factor")]
    stationary_11: Annotated[float, Quantity("m/s", "factor of the first draw")]
    stationary_21: Annotated[float, Quantity("m/s", "factor of the first draw")]
    stationary_22: Annotated[float, Quantity("m/s", "factor of the first draw")]
    output_1: Annotated[float, Quantity("-", "first state to gust")]
    output_2: Annotated[float, Quantity("-", "second state to gust")]


class TurbulenceRecord:
    """Coefficients of the three shaping filters of a Dryden spectrum."""

    along: Annotated[AlongRecord, Quantity("-", "along the wind")]
    across: Annotated[AcrossRecord, Quantity("-", "to the right of the wind")]
    vertical: Annotated[AcrossRecord, Quantity("-", "down")]


class LagBankRecord:
    """Lags whose sum is one gust component, see `sim.physics.air.kaimal.LagBank`."""

    decay: Annotated[FloatArray, Quantity("-", "of one period", (LAGS,))]
    gain: Annotated[FloatArray, Quantity("m/s", "on standard normals", (LAGS,))]
    stationary: Annotated[
        FloatArray, Quantity("m/s", "standard deviations of the first draw", (LAGS,))
    ]


class SlopeRecord:
    """Differences of the gusts across the craft, see `sim.physics.air.gust_slope`."""

    speed_m_s: Annotated[float, Quantity("m/s", "of the air past the craft")]
    strength: Annotated[
        FloatArray, Quantity("m2/3 /s", "of slopes of the three components, times span^(2/3)", (3,))
    ]
    least_span_m: Annotated[float, Quantity("m", "a smaller craft feels no differences")]


class GustRecord:
    """One discrete gust."""

    peak_m_s: Annotated[float, Quantity("m/s", "along the mean wind")]
    turn_rad: Annotated[float, Quantity("rad", "of the wind, clockwise, at the peak")]
    start_s: Annotated[float, Quantity("s", "when it begins")]
    length_s: Annotated[float, Quantity("s", "whole pulse, or rise of a front")]
    stays: Annotated[int, Quantity("-", "1: a front, which stays; 0: a pulse, which passes")]


class MeasuredRecord:
    """Departures of a measured wind from its mean, in equal steps of time."""

    count: Annotated[int, Quantity("-", "rows in use; 0: no measured wind")]
    step_s: Annotated[float, Quantity("s", "between rows; the first at the flight's start")]
    departure_m_s: Annotated[
        FloatArray, Quantity("m/s", "along the mean wind and to its right", (MAX_MEASURED, 2))
    ]
    is_drawn: Annotated[
        FloatArray, Quantity("-", "1 for each component that the filters still make", (3,))
    ]
