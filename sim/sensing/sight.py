"""What a person on the ground sees of the craft: its place and speed, with errors of the eye."""

from __future__ import annotations

import math

from sim.numerics.compile import compiled
from sim.numerics.noise import four_normals
from sim.params.flight_record import FlightRecord
from sim.params.state_record import StateRecord

SEEN_PLACE_CHANNEL = 5
SEEN_SPEED_CHANNEL = 6


@compiled
def look(flight: FlightRecord, state: StateRecord, period_s: float) -> None:
    """Write the place [m] and speed [m/s] that the person sees, one look [s] after the last.

    The errors are first-order noise of stated spread and correlation time, drawn at the flight's
    first look from their steady spread. A lapse of attention begins by chance; while it lasts
    nothing new is seen (`looks_away` counts down).
    """
    pilot, eye, body = flight.pilot, state.pilot, state.body
    kept = math.exp(-period_s / pilot.noise_lag_s)
    fresh = math.sqrt(1.0 - kept * kept)
    if state.tick == 0:
        kept, fresh = 0.0, 1.0
    a, b, c, lapse = four_normals(flight.seed, flight.flight, state.tick, SEEN_PLACE_CHANNEL)
    d, e, f, _ = four_normals(flight.seed, flight.flight, state.tick, SEEN_SPEED_CHANNEL)
    place = fresh * pilot.place_noise_m * flight.noise_factor
    speed = fresh * pilot.speed_noise_m_s * flight.noise_factor
    drawn_place, drawn_speed = (a, b, c), (d, e, f)
    if eye.looks_away > 0.0:
        eye.looks_away -= 1.0
    elif lapse > pilot.lapse_above and flight.noise_factor > 0.0:
        eye.looks_away = pilot.lapse_looks
    for i in range(3):
        eye.error_m[i] = kept * eye.error_m[i] + place * drawn_place[i]
        eye.error_m_s[i] = kept * eye.error_m_s[i] + speed * drawn_speed[i]
        if eye.looks_away > 0.0:
            continue
        eye.place_m[i] = body.position_m[i] + eye.error_m[i]
        eye.speed_m_s[i] = body.velocity_m_s[i] + eye.error_m_s[i]
