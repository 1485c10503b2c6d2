"""Makes the sample jobs: core meshes of Lindwerk Castings, a foundry invented for the demo, and their jobs.

    python sample_jobs/make_meshes.py [FOLDER]

writes `meshes/*.stl` (binary, mm) and `*.json` into FOLDER (default: this folder). The shapes follow what
such cores look like in practice (flow passages, prints at the ends that sit in the mould, vents, windows);
no drawing of any real part was used. The same program and machine write the same bytes.
"""

from __future__ import annotations

import hashlib
import struct
import sys
from collections.abc import Callable, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import manifold3d
import numpy as np
from manifold3d import Manifold
from numpy.typing import NDArray

from corelib.files import canonical_json, write_atomic

Array = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])
PROFILES = {
    "process": "inorganic-printing",
    "machine": "demo-printer",
    "head": "demo-head",
    "sand": "quartz-sand",
    "additive": "powder-additive",
    "binder": "alkali-silicate",
    "oven": "microwave-oven",
    "rates": "demo-rates",
    "shop": "demo-shop",
}
SIMPLIFY_MM = 0.004
"""Edges that a union left shorter than this are merged: far below a grain of sand."""


def rounded_section(half_width: float, half_height: float, roundness: float = 2.0, points: int = 44) -> Array:
    """Return a closed section (points, 2): an ellipse for roundness 2, nearer to a rectangle above."""
    angle = np.arange(points) * 2 * np.pi / points
    cosine, sine = np.cos(angle), np.sin(angle)
    power = 2.0 / roundness
    x = half_width * np.sign(cosine) * np.abs(cosine) ** power
    y = half_height * np.sign(sine) * np.abs(sine) ** power
    return np.column_stack([x, y])


def swept(path: Array, sections: Sequence[Array], up: Array = UP, pieces: int = 1) -> Manifold:
    """Return the solid of sections carried along a path, each across the path and upright to `up`.

    A path that comes back into its own first part is swept in several pieces and united.
    """
    tangent = np.gradient(path, axis=0)
    tangent /= np.linalg.norm(tangent, axis=1)[:, None]
    side = np.cross(tangent, up)
    side /= np.linalg.norm(side, axis=1)[:, None]
    rise = np.cross(side, tangent)
    rings = np.array(
        [
            centre + section[:, :1] * across + section[:, 1:] * upward
            for centre, section, across, upward in zip(path, sections, side, rise, strict=True)
        ]
    )
    cuts = np.linspace(0, len(rings) - 1, pieces + 1).astype(int)
    return union([_skin(rings[first : last + 1]) for first, last in pairwise(cuts)])


def _skin(rings: Array) -> Manifold:
    count, points, _ = rings.shape
    ring, place = np.meshgrid(np.arange(count - 1), np.arange(points), indexing="ij")
    here, right = ring * points + place, ring * points + (place + 1) % points
    first = np.stack([here, right, right + points], axis=-1).reshape(-1, 3)
    second = np.stack([here, right + points, here + points], axis=-1).reshape(-1, 3)
    start, end = count * points, count * points + 1
    rim = np.arange(points)
    bottom = np.column_stack([np.full(points, start), (rim + 1) % points, rim])
    last = (count - 1) * points
    top = np.column_stack([np.full(points, end), last + rim, last + (rim + 1) % points])
    vertices = np.vstack([rings.reshape(-1, 3), rings[0].mean(axis=0), rings[-1].mean(axis=0)])
    faces = np.vstack([first, second, bottom, top])
    solid = _solid(vertices, faces)
    return solid if solid.volume() > 0 else _solid(vertices, faces[:, ::-1])


def _solid(vertices: Array, faces: NDArray[np.int64]) -> Manifold:
    mesh = manifold3d.Mesh64(vert_properties=vertices, tri_verts=np.ascontiguousarray(faces, dtype=np.uint64))
    solid = Manifold(mesh)
    if solid.status() != manifold3d.Error.NoError:
        raise RuntimeError(f"the sweep is no solid: {solid.status()}")
    return solid


def taper(radius_low: float, radius_high: float, length: float, points: int = 64) -> Manifold:
    """Return a cone frustum on the z axis that stands on z = 0: a round core print with its draft."""
    return Manifold.cylinder(length, radius_low, radius_high, points)


def rounded_disc(radius: float, low: float, high: float, edge: float, points: int = 128) -> Manifold:
    """Return a disc from `low` to `high` with its rim rounded by `edge`."""
    bend = np.linspace(0, np.pi / 2, 8)
    lower = np.column_stack([radius - edge + edge * np.sin(bend), low + edge - edge * np.cos(bend)])
    upper = np.column_stack([radius - edge + edge * np.cos(bend), high - edge + edge * np.sin(bend)])
    outline = np.vstack([[0.0, low], lower, upper, [0.0, high]])
    return Manifold.revolve(manifold3d.CrossSection([outline]), points)


def towards(solid: Manifold, direction: Sequence[float], start: Sequence[float]) -> Manifold:
    """Return a solid that stands on the z axis, turned to point along `direction` from `start`."""
    axis = np.asarray(direction, dtype=np.float64)
    axis = axis / np.linalg.norm(axis)
    helper = np.array([1.0, 0.0, 0.0]) if abs(axis[0]) < 0.9 else np.array([0.0, 1.0, 0.0])
    first = np.cross(helper, axis)
    first /= np.linalg.norm(first)
    second = np.cross(axis, first)
    return solid.transform(np.column_stack([first, second, axis, np.asarray(start, dtype=np.float64)]))


def on_circle(radius: float, angle_deg: float, z: float = 0.0) -> Array:
    """Return a point on a circle about the z axis."""
    angle = np.radians(angle_deg)
    return np.array([radius * np.cos(angle), radius * np.sin(angle), z])


def union(parts: Sequence[Manifold]) -> Manifold:
    """Return the union of solids."""
    return Manifold.batch_boolean(list(parts), manifold3d.OpType.Add)


def volute_passage() -> Manifold:
    """Impeller room and volute of a pump, with prints at eye, shaft and discharge and a vent."""
    room_radius, first_radius, grown_radius = 84.0, 9.0, 30.0
    degrees = np.linspace(0.0, 360.0, 190)
    radius = first_radius + (grown_radius - first_radius) * degrees / 360.0
    spiral = np.array([on_circle(room_radius + 0.82 * r, d) for r, d in zip(radius, degrees, strict=True)])
    leaving = spiral[-1] - spiral[-2]
    leaving /= np.linalg.norm(leaving)
    way = np.linspace(4.0, 150.0, 24)
    path = np.vstack([spiral, spiral[-1] + way[:, None] * leaving])
    radius = np.concatenate([radius, grown_radius + 5.0 * way / way[-1]])
    volute = swept(path, [rounded_section(r, r * 0.96, 2.3) for r in radius], pieces=2)
    room = rounded_disc(90.0, -14.0, 14.0, 5.0)
    eye = taper(58.0, 47.0, 22.0, 96).translate([0, 0, 8]) + taper(47.0, 47.0, 20.0, 96).translate([0, 0, 26])
    eye_print = taper(57.0, 53.0, 42.0, 96).translate([0, 0, 44])
    hub = taper(30.0, 30.0, 26.0).translate([0, 0, -38])
    hub_print = taper(34.0, 37.0, 34.0).translate([0, 0, -70])
    end = path[-1] - leaving
    discharge_print = towards(taper(45.0, 42.0, 48.0, 80), leaving, end)
    key = Manifold.cube([120.0, 140.0, 20.0], True).translate([end[0], end[1] + 25.0, 49.0])
    vent = taper(8.0, 8.0, 220.0, 40).translate([0, 0, -100])
    body = union([volute, room, eye, eye_print, hub, hub_print])
    return body + (discharge_print - key) - vent


def inlet_elbow() -> Manifold:
    """Inlet bend with a slot for the guide vane, a sensor boss, prints at both ends and a vent."""

    def bend(radius: float, first_deg: float, last_deg: float, steps: int) -> Array:
        angle = np.radians(np.linspace(first_deg, last_deg, steps))
        return np.column_stack([110 - radius * np.cos(angle), np.zeros(steps), radius * np.sin(angle)])

    rise = np.column_stack([np.zeros(14), np.zeros(14), np.linspace(-34, 0, 14)[:14]])[:-1]
    run = np.column_stack([np.linspace(110, 158, 18), np.zeros(18), np.full(18, 110.0)])[1:]
    path = np.vstack([rise, bend(110, 0, 90, 90), run])
    share = np.linspace(0, 1, len(path))
    sections = [
        rounded_section(50 - 6 * s, 50 - 4 * s - 5 * np.sin(np.pi * s), 2.0 + 0.5 * np.sin(np.pi * s), 64)
        for s in share
    ]
    passage = swept(path, sections, up=np.array([0.0, 1.0, 0.0]))
    blade = bend(96, 22, 66, 40)
    thickness = 1.6 + 2.2 * np.sin(np.pi * np.linspace(0.04, 0.96, 40)) ** 0.8
    vane = swept(blade, [rounded_section(t, 70.0, 2.6, 40) for t in thickness], up=np.array([0.0, 1.0, 0.0]))
    low_print = taper(56.0, 58.5, 46.0, 96).translate([0, 0, -78])
    side_print = towards(taper(54.0, 50.0, 52.0, 96), [1, 0, 0], [156, 0, 110])
    flat = Manifold.cube([80, 120, 20], True).translate([196, 0, 110 + 60])
    boss = towards(taper(13.0, 12.0, 72.0, 48), [-0.7, 0, 0.7], [30, 0, 80])
    boss_print = towards(taper(17.0, 15.5, 24.0, 48), [-0.7, 0, 0.7], [30 - 0.7071 * 71, 0, 80 + 0.7071 * 71])
    vent = union(
        [taper(7, 7, 60, 32).translate([0, 0, -90]), towards(taper(7, 7, 70, 32), [1, 0, 0], [150, 0, 110])]
    )
    return union([passage, low_print, side_print, boss, boss_print]) - vane - flat - vent


def bearing_jacket() -> Manifold:
    """Water jacket about a bearing seat: an open ring with windows for ribs, feet and two pipe prints."""
    degrees = np.linspace(14, 346, 170)
    ring = np.array([on_circle(67.0, d) for d in degrees])
    shell = swept(ring, [rounded_section(7.5, 38.0, 6.0, 52) for _ in degrees])
    windows = []
    for d in (52, 106, 180, 254, 308):
        hole = union(
            [towards(taper(9, 9, 60, 40), on_circle(1, d), on_circle(40, d, z)) for z in (-10.0, 10.0)]
        )
        slot = Manifold.cube([60, 18, 20], True).rotate([0, 0, d]).translate(on_circle(70, d).tolist())
        windows.append(hole + slot)
    feet = [taper(8.5, 6.5, 34, 40).translate(on_circle(67, d, -70).tolist()) for d in (30, 140, 220, 330)]
    pads = [taper(13.5, 12.0, 20, 48).translate(on_circle(67, d, -72).tolist()) for d in (30, 140, 220, 330)]
    pipes = []
    for d in (79, 281):
        pipes.append(towards(taper(12, 10.5, 62, 48), on_circle(1, d), on_circle(68, d, 16)))
        pipes.append(towards(taper(17, 15, 26, 48), on_circle(1, d), on_circle(124, d, 16)))
    risers = [towards(taper(7.5, 6.5, 26, 40), UP, on_circle(67, d, 28)) for d in (24, 160, 200, 336)]
    return union([shell, *feet, *pads, *pipes, *risers]) - union(windows)


def helical_jacket() -> Manifold:
    """Cooling jacket of a motor housing: a helix with ties, print rings at both ends and pipe prints."""
    turns, pitch, radius, half_thick, half_high = 5.0, 38.0, 118.0, 5.0, 13.5
    height = turns * pitch
    degrees = np.linspace(0, 360 * turns, 360)
    path = np.array([on_circle(radius, d, pitch * d / 360) for d in degrees])
    helix = swept(path, [rounded_section(half_thick, half_high, 5.0, 36) for _ in degrees])
    parts = [helix]
    for d in (45, 135, 225, 315):
        first = pitch * d / 360
        tie = rounded_section(4.0, 9.0, 4.0, 28)
        line = np.array([on_circle(radius, d, z) for z in np.linspace(first, first + height - pitch, 60)])
        parts.append(swept(line, [tie] * 60, up=on_circle(1, d + 90)))
    low, high = -36.0, height + 36.0
    ring_path = np.array([on_circle(radius, d) for d in np.linspace(0, 360, 145)])
    print_ring = swept_ring(ring_path, rounded_section(11.0, 9.0, 7.0, 36))
    parts += [print_ring.translate([0, 0, low]), print_ring.translate([0, 0, high])]
    for d in range(30, 390, 60):
        climb = pitch * (d % 360) / 360
        parts.append(taper(6.5, 5.2, climb - low, 32).translate(on_circle(radius, d, low).tolist()))
        top = height - pitch + climb
        parts.append(taper(5.2, 6.5, high - top, 32).translate(on_circle(radius, d, top).tolist()))
    for d, z in ((6, 0.6), (354, height - 0.6)):
        parts.append(towards(taper(11.5, 10.5, 46, 48), on_circle(1, d), on_circle(radius - 2, d, z)))
        parts.append(towards(taper(17, 15, 24, 48), on_circle(1, d), on_circle(radius + 42, d, z)))
    return union(parts)


def swept_ring(path: Array, section: Array) -> Manifold:
    """Return a closed ring about the z axis whose cross-section is `section`."""
    radius = float(np.linalg.norm(path[0][:2]))
    outline = section + np.array([radius, 0.0])
    return Manifold.revolve(manifold3d.CrossSection([outline]), len(path) - 1)


def end_ring() -> Manifold:
    """Collecting ring of the motor's end shield: an open channel with windows, six feet and an outlet."""
    degrees = np.linspace(18, 342, 180)
    share = np.linspace(0, 1, len(degrees))
    swell = 8.0 + 3.5 * np.sin(np.pi * share) ** 2
    path = np.array([on_circle(92.0, d) for d in degrees])
    channel = swept(path, [rounded_section(w, 13.0, 4.0, 40) for w in swell])
    feet, windows = [], []
    for d in (30, 80, 130, 230, 280, 330):
        feet.append(taper(10.0, 7.0, 30, 40).translate(on_circle(92, d, -40).tolist()))
        feet.append(taper(14.0, 13.0, 16, 48).translate(on_circle(92, d, -44).tolist()))
    for d in (55, 105, 255, 305):
        windows.append(taper(4.6, 4.6, 60, 32).translate(on_circle(92, d, -30).tolist()))
    angle = np.radians(np.linspace(0, 90, 50))
    rise = np.column_stack([-92 - 46 * np.sin(angle), np.zeros(50), 46 - 46 * np.cos(angle)])
    outlet = swept(rise, [rounded_section(12.0, 12.0, 2.0, 44)] * 50, up=np.array([0.0, 1.0, 0.0]))
    pipe = taper(12.0, 12.0, 16, 44).translate([-138, 0, 45])
    pipe_print = taper(17.0, 15.0, 28, 48).translate([-138, 0, 60])
    return union([channel, *feet, outlet, pipe, pipe_print]) - union(windows)


CORES: dict[str, Callable[[], Manifold]] = {
    "volute_passage": volute_passage,
    "inlet_elbow": inlet_elbow,
    "bearing_jacket": bearing_jacket,
    "helical_jacket": helical_jacket,
    "end_ring": end_ring,
}


def stl_bytes(solid: Manifold, name: str) -> bytes:
    """Return the solid as binary STL; triangles in the order of their corners, so that bytes repeat."""
    mesh = solid.simplify(SIMPLIFY_MM).to_mesh64()
    vertices = np.asarray(mesh.vert_properties)[:, :3].astype("<f4") + np.float32(0)
    corners = vertices[np.asarray(mesh.tri_verts, dtype=np.int64)]
    order = np.lexsort(corners.reshape(len(corners), 9).T[::-1])
    corners = corners[order]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(normal, axis=1, keepdims=True)
    normal = np.divide(normal, length, out=np.zeros_like(normal), where=length > 0)
    record = np.zeros(
        len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")]
    )
    record["normal"], record["corners"] = normal, corners
    header = f"Lindwerk Castings (invented for the demo): {name}, mm".encode("ascii")
    return header.ljust(80) + struct.pack("<I", len(corners)) + record.tobytes()


def _core(core_id: str, name: str, hashes: dict[str, str], **rules: Any) -> dict[str, Any]:
    mesh = {"path": f"meshes/{core_id}.stl", "sha256": hashes[core_id], "unit": "mm"}
    return {"id": core_id, "name": name, "mesh": mesh, "mesh_is": "core at size", **rules}


def pump_housing(hashes: dict[str, str]) -> dict[str, Any]:
    """Return the job of a pump housing: three cores a casting, six castings, one spare of the thinnest."""
    members = ("volute_passage", "inlet_elbow", "bearing_jacket")
    return {
        "kind": "corestow.job",
        "schema_version": 1,
        "name": "Pump housing LW-210, prototype cores",
        "customer": "Halbrook Pumps (invented for the demo)",
        "notes": "Job of Lindwerk Castings, a foundry invented for the demo.",
        "currency": "EUR",
        "cores": [
            _core("volute_passage", "Volute passage", hashes),
            _core("inlet_elbow", "Inlet elbow", hashes),
            _core("bearing_jacket", "Bearing water jacket", hashes, is_fragile=True, spares=1),
        ],
        "casting_sets": [
            {
                "id": "housing",
                "name": "Pump housing",
                "count": 6,
                "members": [{"core_id": core_id, "per_set": 1} for core_id in members],
            }
        ],
        "extras": {"witness_bars": 3, "accuracy_coupons": 1},
        "profiles": PROFILES,
        "search": {"seed": 210, "effort": 0},
        "quotation": {
            "number": "demo LW-210",
            "start_date": "2026-11-30",
            "round_unit_price_to": "0.50",
            "conventional": {
                "name": "three core boxes",
                "tooling": {"low": "14000", "likely": "17500", "high": "23000"},
                "per_set": {"low": "24", "likely": "31", "high": "42"},
                "set_up_per_batch": "180",
                "batch_sets": 60,
                "tool_lead_time_days": 45,
                "change_cost": "2200",
                "changes": 1.5,
                "printed_change_cost": "90",
            },
        },
    }


def motor_cooling_jacket(hashes: dict[str, str]) -> dict[str, Any]:
    """Return the job of a motor housing: a helical jacket and two end rings a casting, eight castings."""
    upright = {"rule": "faces down", "down": ["-z", "+z"], "yaw_step_deg": 90.0}
    return {
        "kind": "corestow.job",
        "schema_version": 1,
        "name": "Motor housing EM-160, cooling jacket",
        "customer": "Sundvik Drives (invented for the demo)",
        "notes": "Job of Lindwerk Castings, a foundry invented for the demo.",
        "currency": "EUR",
        "cores": [
            _core("helical_jacket", "Helical cooling jacket", hashes, is_fragile=True, orientations=upright),
            _core("end_ring", "End shield collecting ring", hashes, gap_mm=8.0),
        ],
        "casting_sets": [
            {
                "id": "motor",
                "name": "Motor housing",
                "count": 8,
                "members": [
                    {"core_id": "helical_jacket", "per_set": 1},
                    {"core_id": "end_ring", "per_set": 2},
                ],
            }
        ],
        "loose": [{"core_id": "helical_jacket", "count": 1}],
        "extras": {"witness_bars": 3},
        "profiles": {**PROFILES, "machine": "demo-printer-large", "head": "demo-head-wide"},
        "search": {"seed": 160, "effort": 0},
    }


JOBS: dict[str, Callable[[dict[str, str]], dict[str, Any]]] = {
    "pump_housing": pump_housing,
    "motor_cooling_jacket": motor_cooling_jacket,
}


def main(folder: Path) -> None:
    """Write all meshes and jobs into `folder`."""
    (folder / "meshes").mkdir(parents=True, exist_ok=True)
    hashes = {}
    for name, build in CORES.items():
        solid = build()
        pieces = solid.decompose()
        if len(pieces) != 1:
            raise RuntimeError(f"{name} falls into {len(pieces)} bodies")
        content = stl_bytes(solid, name)
        hashes[name] = hashlib.sha256(content).hexdigest()
        write_atomic(folder / "meshes" / f"{name}.stl", content)
        print(f"{name}: {(len(content) - 84) // 50} triangles, {solid.volume() / 1000:.0f} cm³")
    for name, job in JOBS.items():
        write_atomic(folder / f"{name}.json", canonical_json(job(hashes)))


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
