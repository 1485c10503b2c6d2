"""Placements of the open instances checked anew on the meshes in their files: a command.

    python -m tests.published.recheck_record [RESULTS.json]

Independent of the engine and its gate: the instance's own files are read by trimesh, every copy counted,
every rotation compared with the right-angled ones, footprint and height taken from the vertices, and each
pair judged twice: by the volume of its intersection (manifold3d; meshes that bound no solid are named, and
left out there) and by collision of its triangles (python-fcl), where contact passes: what a move by 1e-4 in
some direction sets free. Writes tests/results/packing_recheck.json; status 1 if anything is wrong.
"""

from __future__ import annotations

import itertools
import json
import sys
from pathlib import Path

import fcl
import manifold3d
import numpy as np
import trimesh

from corelib.files import canonical_json, write_atomic

DATA = Path(__file__).parents[1] / "data" / "packing_instances"
RESULTS = Path(__file__).parents[1] / "results"
INSIDE = 1e-5
"""By how much a vertex may stand out, in the instances' own units."""
CONTACT = 1e-4
"""How deep, in the instances' own units, a contact may reach."""
WAYS = [np.array(way) for way in itertools.product((-1.0, 0.0, 1.0), repeat=3) if any(way)]
MOST_VOLUME = 1e-6


def recheck(name: str, placements: list[dict[str, object]], height: float, turns: bool) -> dict[str, object]:
    """Return what is wrong with one packing, and the largest intersection of two copies."""
    document = json.loads((DATA / name).read_text(encoding="utf-8"))
    meshes = [trimesh.load(DATA / kind["path"], force="mesh") for kind in document["item-types"]]
    room = np.array([document["container"]["size-x"], document["container"]["size-y"], height])
    wanted = sorted(
        (f"item{n:02d}", c) for n, kind in enumerate(document["item-types"]) for c in range(kind["demand"])
    )
    faults = [] if sorted((p["item"], p["copy"]) for p in placements) == wanted else ["copies"]
    solids, shapes, no_solids = [], [], set()
    for placement in placements:
        mesh = meshes[int(str(placement["item"])[4:])]
        matrix = np.array(placement["matrix"], dtype=float)
        if not _is_allowed(matrix[:, :3], turns):
            faults.append(f"rotation of {placement['item']}")
        points = np.asarray(mesh.vertices) @ matrix[:, :3].T + matrix[:, 3]
        if points.min() < -INSIDE or (points.max(axis=0) > room + INSIDE).any():
            faults.append(f"{placement['item']} outside")
        faces = np.asarray(mesh.faces)
        solid = manifold3d.Manifold(manifold3d.Mesh64(points, faces.astype(np.uint64)))
        if solid.status() != manifold3d.Error.NoError:
            no_solids.add(str(placement["item"]))
        solids.append(solid)
        shapes.append(_shape(points, faces))
    largest, crossing = 0.0, 0
    for first, second in itertools.combinations(range(len(placements)), 2):
        largest = max(largest, float((solids[first] ^ solids[second]).volume()))
        crossing += _cross(shapes[first], shapes[second])
    if largest > MOST_VOLUME:
        faults.append("intersection")
    if crossing:
        faults.append("collision")
    return {
        "faults": faults,
        "largest_intersection": largest,
        "crossing_pairs": crossing,
        "no_solids": sorted(no_solids),
        "copies": len(placements),
    }


def _is_allowed(rotation: np.ndarray, turns: bool) -> bool:
    whole = np.abs(rotation - rotation.round()).max() < 1e-9 and np.linalg.det(rotation) > 0
    return bool(whole) if turns else bool(np.abs(rotation - np.eye(3)).max() < 1e-9)


def _shape(points: np.ndarray, faces: np.ndarray) -> fcl.CollisionObject:
    model = fcl.BVHModel()
    model.beginModel(len(points), len(faces))
    model.addSubModel(points, faces)
    model.endModel()
    return fcl.CollisionObject(model, fcl.Transform())


def _cross(first: fcl.CollisionObject, second: fcl.CollisionObject) -> bool:
    """Whether two copies cross, and no short move sets them free."""
    if not fcl.collide(first, second, fcl.CollisionRequest(), fcl.CollisionResult()):
        return False
    is_deep = True
    for way in WAYS:
        second.setTranslation(CONTACT * way)
        is_deep = is_deep and bool(fcl.collide(first, second, fcl.CollisionRequest(), fcl.CollisionResult()))
    second.setTranslation(np.zeros(3))
    return is_deep


def main() -> int:
    """Check all runs of a results file."""
    source = Path(sys.argv[1]) if len(sys.argv) > 1 else RESULTS / "packing_record.json"
    runs = json.loads(source.read_text(encoding="utf-8"))["runs"]
    checked = {}
    for key, run in sorted(runs.items()):
        name, turns = key.split("|")[:2]
        checked[key] = recheck(name, run["placements"], float(run["height"]), turns == "24") | {
            "height": run["height"]
        }
        print(
            f"{key:60s} {checked[key]['faults'] or 'well'} {checked[key]['largest_intersection']:.2e}",
            flush=True,
        )
    write_atomic(RESULTS / "packing_recheck.json", canonical_json(checked))
    return int(any(one["faults"] for one in checked.values()))


if __name__ == "__main__":
    sys.exit(main())
