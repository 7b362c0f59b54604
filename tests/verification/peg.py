"""Strings of light links over a round peg of a held craft, for tests of contact with cloth."""

from __future__ import annotations

import math

import numpy as np

from tests.verification.craft_builder import (
    Trial,
    add_particle,
    add_rim,
    add_thread,
    stable_stiffness,
)

STIFF_SHARE = 0.1
REACH = 0.6


def add_peg(trial, ahead_m, down_m, radius_m, friction=0.0):
    """Give the craft a round peg along its right axis."""
    drape = trial.craft.drape
    peg = drape.capsule[int(drape.capsule_count)]
    peg.place_m[:], peg.along_m[:], peg.radius_m = (
        (ahead_m, -0.5, down_m),
        (0.0, 1.0, 0.0),
        radius_m,
    )
    peg.per_square_1_m2 = 1.0
    drape.capsule_count += 1
    drape.capsule_friction = friction


def string(places_m, weights_kg, moved_kg, link_m, step_s, *, rim_m=None, damping=0.0):
    """Give a held craft with a string: a node at each place (n, 2), forward and down of the CG [m].

    A node weighs one mass and is moved as another, so that light links may weigh nothing. With no
    `rim_m` the string is tied to nothing; the rim that its record must have is far away.
    """
    trial = Trial()
    trial.flight.is_held = 1
    trial.flight.step_s = step_s
    above = add_rim(trial.craft, (0.0, 50.0, 0.0) if rim_m is None else (rim_m[0], 0.0, rim_m[1]))
    stiffness = stable_stiffness(min(moved_kg), step_s, STIFF_SHARE)
    for i, (place, weight, moved) in enumerate(zip(places_m, weights_kg, moved_kg, strict=True)):
        k = add_particle(trial, above, weight, (place[0], 0.0, place[1]), moved_mass_kg=moved)
        if i > 0 or rim_m is not None:
            add_thread(trial.craft, above, k, link_m, stiffness, damping)
        above = k
    drape = trial.craft.drape
    drape.node.reach_m[drape.panel.node[: len(places_m)]] = REACH * link_m
    return trial


def leaning(links, link_m, angle_rad):
    """Give the nodes (links, 2) [m] of a straight string that leans from straight down."""
    along = np.array([math.sin(angle_rad), math.cos(angle_rad)])
    return link_m * np.arange(1, links + 1)[:, None] * along


def seen_from_craft(trial):
    """Give the places (n, 2) of all nodes of the string, forward and down of the CG [m]."""
    count = int(trial.craft.drape.panel_count)
    apart = trial.states["particle"]["position_m"][0, :count] - trial.state.body.position_m
    return apart[:, [0, 2]]
