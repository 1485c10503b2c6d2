"""Pieces that ride along in a box: bending test bars and an accuracy coupon with known lengths.

They are printed like cores, in every box, and measured afterwards: strength from the bars, scale error and
bleed from the coupon.
"""

from __future__ import annotations

import numpy as np

from corelib.geometry import solids
from corelib.job.models import Block, CoreItem, OrientationRule
from corelib.mesh.core import CoreMesh, LoadedCore
from corelib.mesh.load import box_mesh

WITNESS_BAR_ID = "witness-bar"
COUPON_ID = "accuracy-coupon"

WITNESS_BAR_MM = (172.0, 22.4, 22.4)
"""Bending bar 22.4 × 22.4 mm, tested at 150 mm span (VDG P 72, from memory)."""

_COUPON_BLOCKS_MM = (
    ((0.0, 0.0, 0.0), (120.0, 60.0, 10.0)),
    ((0.0, 0.0, 0.0), (20.0, 60.0, 40.0)),
    ((100.0, 0.0, 0.0), (120.0, 60.0, 25.0)),
)
_COUPON_CUTS_MM = (
    ((30.0, 20.0, -1.0), (50.0, 40.0, 11.0)),
    ((60.0, 5.0, -1.0), (90.0, 55.0, 11.0)),
)
COUPON_LENGTHS_MM: dict[str, float] = {
    "outside x": 120.0,
    "outside y": 60.0,
    "outside x, tower": 20.0,
    "outside z, tower": 40.0,
    "outside z, step": 25.0,
    "outside z, plate": 10.0,
    "inside x, window": 20.0,
    "inside y, window": 20.0,
    "inside x, slot": 30.0,
    "inside y, slot": 50.0,
    "inside x, between towers": 80.0,
}
"""Lengths to measure on the coupon, as drawn: small and large, outside and inside, along each axis."""


def witness_bar() -> LoadedCore:
    """Return the bending test bar, which may lie in any right-angle orientation."""
    size = np.array(WITNESS_BAR_MM)
    return _ride_along(
        WITNESS_BAR_ID, "Witness bar", box_mesh(WITNESS_BAR_MM), float(size.prod()), "right angles"
    )


def accuracy_coupon() -> LoadedCore:
    """Return the accuracy coupon, which lies as drawn so that its axes are the machine's."""
    plate = solids.boxes(_COUPON_BLOCKS_MM, _COUPON_CUTS_MM)
    mesh = CoreMesh(*solids.triangles(plate))
    return _ride_along(COUPON_ID, "Accuracy coupon", mesh, solids.volume_mm3(plate), "fixed")


def _ride_along(core_id: str, name: str, mesh: CoreMesh, volume_mm3: float, rule: str) -> LoadedCore:
    x, y, z = (float(length) for length in mesh.size_mm)
    item = CoreItem(
        id=core_id,
        name=name,
        block=Block(size_mm=(x, y, z), volume_mm3=volume_mm3),
        mesh_is="core at size",
        orientations=OrientationRule.model_validate({"rule": rule}),
    )
    return LoadedCore(
        item=item,
        mesh=mesh,
        volume_mm3=volume_mm3,
        area_mm2=_area_mm2(mesh),
        bodies=1,
        unit="mm",
        file_sha256=None,
        solid_share=1.0,
        findings=(),
    )


def _area_mm2(mesh: CoreMesh) -> float:
    a, b, c = (mesh.vertices_mm[mesh.faces[:, corner]] for corner in range(3))
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum()) / 2
