"""Fabric packed as a craft file makes it, hung from a held craft, for tests of its physics."""

from __future__ import annotations

import numpy as np
from scipy.optimize import brentq

from sim.pack.drape import write_drapes
from sim.params.drape_record import DOWN, PITCH
from sim.spec.drape import DrapeSpec
from tests.verification.craft_builder import GRAVITY, Trial

AREAL_KG_M2 = 0.1
WIDTH_M = 0.1


def fabric(
    cut="ribbons", *, strips=1, rows=20, length_m=1.0, areal_kg_m2=AREAL_KG_M2, bending_m=0.0
):
    """Give the spec of a cloth without holes and, unless asked for, without bending."""
    entry = {
        "cut": cut,
        "strips": strips,
        "rows": rows,
        "length": f"{length_m} m",
        "rim": {"radius": "20 cm", "place": {"up": "-10 cm"}},
        "fabric": {
            "areal_density": f"{areal_kg_m2} kg/m2",
            "open_fraction": "0 %",
            "bending_length": f"{bending_m} m",
        },
    }
    if cut == "ribbons":
        entry["width"] = f"{WIDTH_M} m"
    return DrapeSpec.model_validate(entry)


def hung(spec, *, step_s=1e-3, density=0.0):
    """Give a held craft with the fabric packed for this air, every strip straight down."""
    trial = Trial()
    trial.flight.step_s = step_s
    trial.flight.density_kg_m3 = density
    trial.flight.is_held = 1
    drape = trial.craft.drape
    write_drapes((spec,), drape, np.zeros(3), density, step_s)
    down = np.array([0.0, 0.0, 1.0])
    place = {int(rim.node): trial.state.body.position_m + rim.place_m for rim in drape.rim}
    for k in range(drape.panel_count):
        node, height = int(drape.panel.node[k]), float(drape.panel.height_m[k])
        place[node] = place[node - PITCH] + height * down
        trial.state.particle[k].position_m[:] = place[node]
    return trial


def columns(trial, name):
    """Give a field of all particles' nodes."""
    drape = trial.craft.drape
    return drape.node[name][drape.panel.node[: drape.panel_count]].copy()


def moved_kg(trial):
    drape = trial.craft.drape
    return drape.panel.moved_mass_kg[: drape.panel_count]


def upright_threads(trial):
    """Give the threads from which the particles hang, as indices into the thread arrays."""
    drape = trial.craft.drape
    return DOWN, drape.panel.node[: drape.panel_count] - PITCH


def places(trial):
    return trial.states["particle"]["position_m"][0, : trial.craft.drape.panel_count]


def velocities(trial):
    return trial.states["particle"]["velocity_m_s"][0, : trial.craft.drape.panel_count]


def carried_n(masses):
    """Give the weight [N] that each thread of a hanging string carries."""
    return GRAVITY * np.cumsum(masses[::-1])[::-1]


def taut_lengths(trial, pulls):
    """Give the length [m] of the upright threads under pulls [N], by the law of a thread.

    With Green's strain e = (l^2 / r^2 - 1) / 2 and the ease E the pull is k l e^2 / 2 E up to
    e = E and k l (e - E/2) beyond.
    """
    thread, ease, at = (
        trial.craft.drape.thread,
        float(trial.craft.drape.ease),
        upright_threads(trial),
    )
    rest = thread.per_square_1_m2[at] ** -0.5

    def too_long(length, pull, k, r):
        strain = 0.5 * ((length / r) ** 2 - 1.0)
        taut = strain - 0.5 * ease if strain > ease else 0.5 * strain**2 / ease
        return k * length * taut - pull

    return np.array(
        [
            brentq(too_long, r, 1.1 * r, args=(pull, k, r), xtol=1e-15, rtol=1e-14)
            for pull, k, r in zip(pulls, thread.stiffness_n_m[at], rest, strict=True)
        ]
    )


def fabric_energy_j(trial):
    """Give kinetic, potential and elastic energy of the cloth, weight counted from the CG."""
    drape, body = trial.craft.drape, trial.state.body
    mass, moved = columns(trial, "mass_kg"), moved_kg(trial)
    kinetic = 0.5 * moved @ (velocities(trial) ** 2).sum(axis=1)
    weight = -float(trial.flight.gravity_m_s2) * mass @ (places(trial)[:, 2] - body.position_m[2])
    node = node_places(trial)
    elastic = 0.0
    ease, thread = float(drape.ease), drape.thread
    for kind, offset in enumerate((PITCH, 1, PITCH + 1, PITCH - 1)):
        at = np.flatnonzero(thread.stiffness_n_m[kind] > 0.0)
        square = ((node[at + offset] - node[at]) ** 2).sum(axis=1)
        size = thread.per_square_1_m2[kind, at]
        strain = np.maximum(0.5 * (square * size - 1.0), 0.0)
        beyond = 0.5 * strain**2 - 0.5 * ease * strain + ease**2 / 6.0
        density = np.where(strain > ease, beyond, strain**3 / (6.0 * ease))
        elastic += (thread.stiffness_n_m[kind, at] / size) @ density
    bending = 0.0
    for kind, offset in enumerate((PITCH, 1)):
        at = np.flatnonzero(drape.fold_stiffness_n_m[kind] > 0.0)
        bent = node[at - offset] - 2.0 * node[at] + node[at + offset]
        bending += 0.5 * drape.fold_stiffness_n_m[kind, at] @ (bent**2).sum(axis=1)
    return kinetic + weight + elastic + bending


def node_places(trial):
    """Give the place of every node of the present state, ghosts too, shape (nodes, 3)."""
    drape, body = trial.craft.drape, trial.state.body
    node = np.zeros((len(drape.node.mass_kg), 3))
    for rim in drape.rim[: drape.rim_count]:
        node[rim.node] = body.position_m + trial.rotation @ rim.place_m
    node[drape.panel.node[: drape.panel_count]] = places(trial)
    node[drape.ghost.node[: drape.ghost_count]] = node[drape.ghost.of[: drape.ghost_count]]
    return node
