"""From the nominal core to the outline to print, so that the core comes out to drawing, and back.

A printed outline comes out as measured = (1 + s)·printed + 2 b on the outside, s the scale error and b the
bleed a side. So the outline to print is (wanted - 2 b)/(1 + s): draw in by b, then scale by 1/(1 + s). What
is wanted is the core at size; a casting geometry is first made larger by the metal's contraction and drawn
in by coating and print clearance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from corelib.allowance.bleed import bleed, bleed_findings
from corelib.allowance.body import PrintedBody
from corelib.findings import Finding
from corelib.job.profiles import ProcessProfile
from corelib.mesh.core import CoreMesh, LoadedCore

_PCT = 0.01
Factors = tuple[float, float, float]


@dataclass(frozen=True)
class Allowance:
    """What stands between a core's mesh and its printed outline.

    `grow_xyz` are the factors from mesh to wanted size (metal contraction), `shrink_xyz` those from wanted
    to printed size (scale error), `draw_in_xy_mm` the sideways draw-in a side at wanted size (bleed,
    coating and clearance), `draw_in_z_mm` the bleed downward.
    """

    grow_xyz: Factors
    shrink_xyz: Factors
    draw_in_xy_mm: float
    draw_in_z_mm: float

    @property
    def scale_xyz(self) -> Factors:
        """Factors from mesh to printed size."""
        x, y, z = (grow * shrink for grow, shrink in zip(self.grow_xyz, self.shrink_xyz, strict=True))
        return x, y, z


def allowance(core: LoadedCore, process: ProcessProfile) -> Allowance:
    """Return the allowance of a core laid as modelled; what the process profile leaves open counts as 0."""
    item = core.item
    is_casting = item.mesh_is == "casting geometry"
    contraction_pct = item.contraction_pct if is_casting else (0.0, 0.0, 0.0)
    x, y, z = (1.0 + _PCT * value for value in contraction_pct)
    across = 1.0 / (1.0 + _PCT * (process.scale_error_xy_pct or 0.0))
    up = 1.0 / (1.0 + _PCT * (process.scale_error_z_pct or 0.0))
    extra_mm = item.coating_mm + item.clearance_mm if is_casting else 0.0
    bled = bleed(process)
    return Allowance((x, y, z), (across, across, up), bled.xy_mm + extra_mm, bled.z_mm)


def printed_body(core: LoadedCore, process: ProcessProfile) -> PrintedBody:
    """Return the body to print: the mesh scaled about the centre of its bounding box, with its draw-in.

    The draw-in is given at printed size: it is applied to outlines of the scaled mesh.
    """
    stated = allowance(core, process)
    across, _, up = stated.shrink_xyz
    return PrintedBody(
        core=core,
        mesh=scaled(core.mesh, stated.scale_xyz),
        scale_xyz=stated.scale_xyz,
        bleed_xy_mm=stated.draw_in_xy_mm * across,
        bleed_z_mm=stated.draw_in_z_mm * up,
    )


def scaled(mesh: CoreMesh, factors: Factors) -> CoreMesh:
    """Return the mesh scaled about the centre of its bounding box; the same mesh if nothing changes."""
    if factors == (1.0, 1.0, 1.0):
        return mesh
    centre = 0.5 * (mesh.low_mm + mesh.high_mm)
    return CoreMesh((mesh.vertices_mm - centre) * np.array(factors) + centre, mesh.faces)


def printed_length_mm(
    wanted_mm: float, scale_error_pct: float, bleed_mm: float, *, is_inside: bool = False
) -> float:
    """Return the length to print so that `wanted_mm` comes out; `is_inside` for a hole or slot."""
    side = -1.0 if is_inside else 1.0
    return (wanted_mm - 2.0 * side * bleed_mm) / (1.0 + _PCT * scale_error_pct)


def measured_length_mm(
    printed_mm: float, scale_error_pct: float, bleed_mm: float, *, is_inside: bool = False
) -> float:
    """Return the length that comes out of a printed one; `is_inside` for a hole or slot."""
    side = -1.0 if is_inside else 1.0
    return (1.0 + _PCT * scale_error_pct) * printed_mm + 2.0 * side * bleed_mm


def allowance_findings(core: LoadedCore, process: ProcessProfile) -> tuple[Finding, ...]:
    """Return what a reader must know about a core's allowances."""
    item = core.item
    found = []
    fields: tuple[str, ...] = ("scale_error_xy_pct", "scale_error_z_pct", "bleed_xy_mm", "bleed_z_mm")
    if process.bleed_table is not None:
        fields = fields[:2]
    unknown = [name for name in fields if getattr(process, name) is None]
    if unknown:
        found.append(Finding("allowance.unknown", "check", {"unknown": unknown}, item.id))
    stated = any(item.contraction_pct) or item.coating_mm > 0 or item.clearance_mm > 0
    if stated and item.mesh_is != "casting geometry":
        found.append(Finding("allowance.not_applied", "check", {"mesh_is": item.mesh_is or "?"}, item.id))
    if item.mesh_is == "casting geometry" and not any(item.contraction_pct):
        found.append(Finding("allowance.no_contraction", "check", {}, item.id))
    across, up = process.scale_error_xy_pct or 0.0, process.scale_error_z_pct or 0.0
    if across != up and item.orientations.rule in ("faces down", "right angles"):
        facts = {"across_pct": across, "up_pct": up}
        found.append(Finding("allowance.scale_by_axis", "check", facts, item.id))
    return tuple(found)


def gap_findings(gap_mm: float, process: ProcessProfile, d90_mm: float | None) -> tuple[Finding, ...]:
    """Return whether binder can bridge the least gap, and what downward bleed whole layers leave over.

    Two outlines bleed towards each other, and a grain of D90 that both reach sticks them together; downward,
    binder reaches a core below from b_z on.
    """
    found = list(bleed_findings(process))
    bled = bleed(process)
    sideways_mm = 2.0 * bled.xy_mm + (d90_mm or 0.0)
    if gap_mm < sideways_mm:
        facts = {"gap_mm": gap_mm, "least_mm": sideways_mm, "bleed_mm": bled.xy_mm}
        found.append(Finding("allowance.gap_bridged", "check", facts))
    down_mm = bled.z_mm
    if gap_mm < down_mm:
        found.append(Finding("allowance.gap_soaked", "check", {"gap_mm": gap_mm, "least_mm": down_mm}))
    whole, rest_mm = downward_layers(process)
    if abs(rest_mm) > 1e-9:
        rest = {"bleed_mm": down_mm, "whole": whole, "rest_mm": rest_mm}
        found.append(Finding("allowance.downward_rest", "note", rest))
    return tuple(found)


def downward_layers(process: ProcessProfile) -> tuple[int, float]:
    """Return by how many whole layers downward faces are drawn in, and what remains of the bleed in mm."""
    thickness_mm, bleed_mm = process.layer_thickness_mm, bleed(process).z_mm
    if not thickness_mm or not bleed_mm:
        return 0, 0.0
    whole = int(np.floor(bleed_mm / thickness_mm + 0.5))
    return whole, bleed_mm - whole * thickness_mm
