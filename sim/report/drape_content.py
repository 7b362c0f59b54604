"""What `gustworthy drape` says in words: verdict, findings, what they rest on."""

from __future__ import annotations

from typing import Final

from sim.analysis.air_calibration import AirCalibration
from sim.analysis.drape_answer import SWING_M_S, DrapeAnswer
from sim.analysis.drape_band import Band
from sim.analysis.drape_load import DrapeLoad
from sim.report.number_text import capital, digits, fixed, listed, percent
from sim.spec.drape import DrapeSpec
from sim.spec.variants import with_fabric_wet

_CENTIMETRES: Final = 100.0
_GRAMS: Final = 1e3
_GRAVITY: Final = 9.80665
_LEAST_POINTS: Final = 0.0005


def drape_subtitle(answer: DrapeAnswer) -> str:
    """Give each drape, the fabric's mass and the air in one line."""
    spec = answer.craft.spec
    wet = "soaked" if all(drape.fabric.wet for drape in spec.drapes) else "dry"
    if any(drape.fabric.wet for drape in spec.drapes) and wet == "dry":
        wet = "partly soaked"
    grams = fixed(answer.fabric_weight_n / _GRAVITY * _GRAMS, 0)
    return f"{listed([drape_words(drape) for drape in spec.drapes])}; {grams} g of fabric, {wet}"


def drape_words(drape: DrapeSpec) -> str:
    """Give a drape in a few words, such as `skirt of organza, 60 cm long`."""
    cloth = f" of {drape.fabric.cloth}" if drape.fabric.cloth is not None else ""
    name = "" if drape.name.split()[0] == "drape" else f"{drape.name}: "
    return f"{name}{drape.cut}{cloth}, {fixed(drape.length_m.value * _CENTIMETRES, 0)} cm long"


def drape_verdict(answer: DrapeAnswer) -> str:
    """Give the verdict as a sentence."""
    day = fixed(answer.day.wind_m_s, 1)
    failing = next(
        (case for case in answer.winds if case.why_held and case.wind_m_s <= answer.day.wind_m_s),
        None,
    )
    if failing is not None:
        where = "still air" if failing.wind_m_s <= 0.0 else f"{digits(failing.wind_m_s, 2)} m/s"
        return (
            f"With its fabric the craft does not hold its place in {where}: it {failing.why_held}"
        )
    room = fixed(answer.least_clearance_m * _CENTIMETRES, 0)
    if not answer.passes:
        limit = fixed(answer.clearance_limit_m * _CENTIMETRES, 0)
        return (
            f"Up to the day's steady wind of {day} m/s the fabric comes within {room} cm of a"
            f" disc; {limit} cm is the least allowed"
        )
    return (
        f"Up to the day's steady wind of {day} m/s at flight height the fabric keeps {room} cm"
        " clear of the discs"
    )


def drape_findings(answer: DrapeAnswer) -> tuple[str, ...]:
    """Give what is worth saying, a sentence each."""
    found = [
        _download_words(answer),
        _side_words(answer),
        _throttle_words(answer),
        _swing_words(answer),
        _wet_words(answer),
    ]
    lost = next((case for case in answer.winds if case.why_held), None)
    if lost is not None and lost.wind_m_s > answer.day.wind_m_s:
        found.append(
            f"From {digits(lost.wind_m_s, 2)} m/s on it does not hold its place (it"
            f" {lost.why_held}); the figures there are for a body held level."
        )
    if answer.calibration is not None:
        found += calibration_words(answer.calibration)
    return tuple(words for words in found if words)


def band_words(band: Band, places: int = 2, *, upright: bool = False) -> str:
    """Give a force with its range, such as `0.53 N (0.32 to 0.82 N)`."""
    low, high = fixed(band.low, places), fixed(band.high, places)
    up = "; minus is upwards" if upright and round(band.low, places) < 0.0 else ""
    return f"{fixed(band.value, places)} N ({low} to {high} N{up})"


def _download_words(answer: DrapeAnswer) -> str:
    still, day = answer.still, answer.day
    words = (
        "In still air the wash pushes the fabric down with"
        f" {band_words(answer.bands.download, upright=True)},"
        f" {percent(still.whole.download_n / still.thrust_n, 1)} % of the thrust"
    )
    if day is still:
        return f"{words}."
    return (
        f"{words}; in the day's wind with {band_words(answer.bands.day_download, upright=True)},"
        f" {percent(day.whole.download_n / day.thrust_n, 1)} %."
    )


def _side_words(answer: DrapeAnswer) -> str:
    day = answer.day
    if day.wind_m_s <= 0.0:
        return ""
    return (
        f"The day's wind pushes the fabric aside with {band_words(answer.bands.day_side_force)}"
        f"{place_words(day.whole)}."
    )


def place_words(load: DrapeLoad) -> str:
    """Say where a side force acts and which way it tips the craft."""
    if load.height_m is None:
        return ""
    side = "above" if load.height_m >= 0.0 else "below"
    way = "downwind" if load.moment_n_m >= 0.0 else "upwind"
    centimetres = fixed(abs(load.height_m) * _CENTIMETRES, 0)
    return (
        f", {centimetres} cm {side} the centre of gravity; together with the shift of its weight"
        f" that tips the top {way} with {digits(abs(load.moment_n_m), 2)} N m"
    )


def _throttle_words(answer: DrapeAnswer) -> str:
    throttle = answer.throttle
    if throttle.with_fabric is None:
        return "With its fabric it does not hold a hover in still air."
    if throttle.without_fabric is None:
        return "Without its fabric it does not hold a hover in still air."
    points = percent(throttle.with_fabric - throttle.without_fabric, 1)
    band = ""
    if throttle.low is not None and throttle.high is not None:
        low, high = (
            percent(end - throttle.without_fabric, 1) for end in (throttle.low, throttle.high)
        )
        band = f" ({low} to {high})" if low != high else ""
    return (
        f"Hover throttle is {percent(throttle.with_fabric, 1)} % with the fabric and"
        f" {percent(throttle.without_fabric, 1)} % without: {points} points{band} for its weight"
        " and the download."
    )


def _swing_words(answer: DrapeAnswer) -> str:
    if not answer.swings:
        why = answer.why_no_swings or "none was found"
        return f"How the fabric swings is not known: {why}."
    slowest = max(answer.swings, key=lambda swing: swing.mode.rate_1_s).mode
    return (
        f"The swing that lasts longest: {slowest.sentence}, when it swings at"
        f" {SWING_M_S:g} m/s; larger swings die away sooner, smaller ones later."
    )


def _wet_words(answer: DrapeAnswer) -> str:
    """Say what soaking adds, as long as some of the fabric is dry."""
    spec = answer.craft.spec
    soaked = with_fabric_wet(spec, wet=True)
    if soaked == spec:
        return ""
    more = sum(
        answer.dry_fabric_kg[i] * (wet.fabric.mass_factor - now.fabric.mass_factor)
        for i, (wet, now) in enumerate(zip(soaked.drapes, spec.drapes, strict=True))
    )
    return (
        f"Soaked, the fabric would weigh {fixed(more * _GRAMS, 0)} g more (wet_factor); set 'wet:"
        " true' to see what that does."
    )


def calibration_words(calibration: AirCalibration) -> list[str]:
    """Say what the pair of readings tells."""
    read = calibration.with_fabric.value / calibration.without_fabric.value
    words = [
        f"Read were {percent(calibration.with_fabric.value, 1)} % with and"
        f" {percent(calibration.without_fabric.value, 1)} % without the fabric, {fixed(read, 3)}"
        f" times; computed {fixed(calibration.modelled_ratio, 3)} times. The wash pushes the"
        f" fabric {digits(calibration.scale, 3)} +/- {digits(calibration.plus_minus, 2)} times as"
        " hard as computed."
    ]
    if calibration.may_be_nothing:
        words.append(
            "These readings are too coarse to tell the push of the wash from none: read the"
            " throttle finer, or the current, at a steady hover."
        )
    largest = max(calibration.causes, key=lambda cause: cause[1])[0]
    words.append(f"Most of that spread comes from {largest}.")
    if len(calibration.air_factors) > 1:
        words.append(
            "One pair of readings cannot tell the drapes apart: the same scale is taken for all."
        )
    return [capital(sentence) for sentence in words]


def drape_assumptions(answer: DrapeAnswer) -> tuple[str, ...]:
    """Give what the figures rest on."""
    words = [
        "Steady winds, no gusts: each figure is the mean over 8 s of a flight with the same step"
        " that all flights use, after the craft has settled at its place; the least distance is"
        " the smallest of these 8 s.",
        "Bands: each thing that is not known is moved to either end of its range with the body"
        " held level, and the changes are added as the root of the sum of squares. No published"
        " measurement of cloth in the wake of a small rotor was found; the wash alone is taken"
        " between 0.6 and 1.5 times until a pair of hover throttles calibrates it.",
        "Cloth in or beside a wake can hang in more than one steady way, inside it, outside or"
        " drawn into the next, or caught on a part of the craft; the figures are for the way in"
        " which this flight settles. Here the wind comes in four steps, 2 s apart; where it rises"
        " more gently, cloth may stay out of a wake longer. A jump from one wind to the next is"
        " such a change: between the two, take either figure.",
        "Legs, spars and hoops stop the fabric. A net whose strips stand as far apart as the legs"
        " slips off them later than cloth does, so that wind drives the craft too far: the shipped"
        " jellyfish on two rotors 0.68 m in a sudden gust of 4 m/s, with 16 strips of 6 rows"
        " 0.52 m. In turbulence keel and legs add 0.18 m to its drift, with 12 strips of 4 rows or"
        " more 0.05 m.",
        "The place of a side force counts from the centre of gravity of the craft with its fabric"
        " hung straight down.",
    ]
    if answer.swings:
        words.append(
            "Swings are those of small motions about the hover in still air; the drag of the"
            f" fabric is taken at a swing of {SWING_M_S:g} m/s."
        )
    return (*words, *range_sources(answer))


def range_sources(answer: DrapeAnswer) -> tuple[str, ...]:
    """Say where the range of each thing that is not known comes from."""
    return tuple(
        f"{capital(move.what)}: {move.range_words}; {move.source}." for move in answer.bands.moves
    )
