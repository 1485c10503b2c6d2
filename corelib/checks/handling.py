"""Can a person lift the core? Its own weight bends it, held at both ends or at one, at its weakest roll.

The core is turned so that its longest side lies along the lift; its sections' area and second moments come
from the mesh. Each figure is a screening figure: the core is taken as one straight beam.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from corelib.findings import Finding
from corelib.geometry.pose import Array
from corelib.geometry.section_moments import fibre_stress_of_unit_moment, section_moments
from corelib.job.profiles import ProcessProfile
from corelib.mesh.core import CoreMesh, LoadedCore
from corelib.physics.strength import GRAVITY_M_S2, Lift, own_weight_moments_n_m, use_of_strength

SECTIONS = 96
ROLLS_DEG = np.arange(0.0, 180.0, 15.0)
GRIP_SHARE = 0.15
"""Share of the length that lies in the hand at a held end: sections there are not bent by the lift."""
KG_M3_PER_G_CM3 = 1000.0
M_PER_MM = 1e-3
PA_PER_MPA = 1e6
DEFAULT_SAFETY_FACTOR = 3.0

USUAL_STRENGTH_MPA = 0.8
"""Least bending strength at which cores are handled (80 N/cm², common practice, no source): where even this
bears the lift, a strength that nobody stated is not asked for."""

STATES = (
    ("bending_strength_unpack_mpa", 0),
    ("bending_strength_1h_mpa", 1),
    ("bending_strength_24h_mpa", 24),
)
"""Field of the bending strength, and the hours since unpacking."""
_CODES: dict[Lift, str] = {
    "at both ends": "handling.breaks_held_both",
    "at one end": "handling.breaks_held_one",
}


@dataclass(frozen=True)
class LiftStress:
    """The highest bending stress in one lift, where it is, and how slender the core is."""

    lift: Lift
    stress_mpa: float
    place_mm: tuple[float, float, float]
    length_mm: float
    slenderness: float
    """Length over the least radius of gyration at the weakest section."""


def lift_stresses(mesh: CoreMesh, density_g_cm3: float) -> tuple[LiftStress, ...]:
    """Return the stresses of the lifts that a person makes: at both ends, and at the worse one end."""
    turn = _lift_axes(mesh)
    turned = np.ascontiguousarray(mesh.vertices_mm @ turn.T)
    low, high = float(turned[:, 2].min()), float(turned[:, 2].max())
    heights = low + (high - low) * (np.arange(SECTIONS) + 0.5) / SECTIONS
    sections = section_moments(turned, mesh.faces, heights)
    unit = fibre_stress_of_unit_moment(turned, mesh.faces, sections, ROLLS_DEG)
    per_length = sections.area_mm2 * M_PER_MM**2 * density_g_cm3 * KG_M3_PER_G_CM3 * GRAVITY_M_S2
    places_m = np.concatenate([[low], heights, [high]]) * M_PER_MM
    load_n_m = np.concatenate([per_length[:1], per_length, per_length[-1:]])
    both = own_weight_moments_n_m(places_m, load_n_m, "at both ends")[1:-1]
    first = own_weight_moments_n_m(places_m, load_n_m, "at one end")[1:-1]
    last = own_weight_moments_n_m(-places_m[::-1], load_n_m[::-1], "at one end")[::-1][1:-1]
    along = (heights - low) / (high - low)
    after, before = along >= GRIP_SHARE, along <= 1 - GRIP_SHARE
    one_end = np.maximum(np.where(after, first, 0.0), np.where(before, last, 0.0))
    tensor = sections.second_moments_mm4
    gyration_mm = np.sqrt(np.linalg.eigvalsh(tensor)[:, 0].clip(0) / np.maximum(sections.area_mm2, 1e-9))
    found = []
    lifts: tuple[tuple[Lift, Array], ...] = (
        ("at both ends", np.where(after & before, both, 0.0)),
        ("at one end", one_end),
    )
    for lift, moments in lifts:
        # a section without stiffness is no section of a sound body: what is wrong there has its own finding
        known = (moments[:, None] > 0) & np.isfinite(unit)
        stress_pa = np.where(known, moments[:, None] * np.where(known, unit, 0.0) / M_PER_MM**3, 0.0)
        at, _ = np.unravel_index(int(np.argmax(stress_pa)), stress_pa.shape)
        centre = np.array([*sections.centre_mm[at], heights[at]]) @ turn
        slenderness = (high - low) / max(float(gyration_mm[at]), 1e-9)
        place = (round(float(centre[0]), 3), round(float(centre[1]), 3), round(float(centre[2]), 3))
        stress_mpa = float(stress_pa.max()) / PA_PER_MPA
        found.append(LiftStress(lift, stress_mpa, place, high - low, slenderness))
    return tuple(found)


def _lift_axes(mesh: CoreMesh) -> Array:
    """Return the rotation that lays the mesh's longest side along z (cyclic, so nothing is mirrored)."""
    longest = int(np.argmax(mesh.size_mm))
    return np.eye(3)[[(longest + 1) % 3, (longest + 2) % 3, longest]]


def handling_findings(core: LoadedCore, process: ProcessProfile, density_g_cm3: float) -> tuple[Finding, ...]:
    """Return the lifts that the core does not bear with the safety factor at its weakest state.

    The weakest of the stated strengths counts: as unpacked, after an hour, after a day in storage.
    """
    if core.bodies > 1 and any(finding.code == "mesh.several_bodies" for finding in core.findings):
        return ()  # separate bodies are not lifted as one beam
    stresses = lift_stresses(core.mesh, density_g_cm3)
    factor = process.handling_safety_factor or DEFAULT_SAFETY_FACTOR
    worst = max(stresses, key=lambda found: found.stress_mpa)
    known = [(getattr(process, name), hours) for name, hours in STATES if getattr(process, name) is not None]
    if not known:
        if factor * worst.stress_mpa <= USUAL_STRENGTH_MPA:
            return ()
        needed = {"stress_mpa": worst.stress_mpa, "needed_mpa": factor * worst.stress_mpa}
        return (Finding("handling.strength_unknown", "note", needed, core.item.id),)
    humidity = process.storage_humidity_pct
    strength_mpa, hours = min(known)
    found = []
    for lift in stresses:
        if use_of_strength(lift.stress_mpa, strength_mpa, factor) <= 1.0:
            continue
        x, y, z = lift.place_mm
        facts: dict[str, Any] = {
            "x": x,
            "y": y,
            "z": z,
            "hours": hours,
            "stress_mpa": lift.stress_mpa,
            "strength_mpa": strength_mpa,
            "factor": factor,
            "has_factor": strength_mpa / lift.stress_mpa,
            "humidity_pct": "?" if humidity is None else humidity,
        }
        places = (lift.place_mm,)
        found.append(Finding(_CODES[lift.lift], "check", facts, core.item.id, places_mm=places))
    return tuple(found)
