"""Findings on one mesh as they are made, and which of them leave no honest figure."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from corelib.findings import Finding, Severity

MOST_PLACES = 50
HONEST_SHARE = 1e-3
"""Largest share of the volume that may be in doubt."""

FATAL = frozenset(
    {
        "mesh.not_finite",
        "mesh.coordinates_absurd",
        "mesh.only_flat_faces",
        "mesh.no_volume",
        "mesh.open",
        "mesh.sides_mixed",
        "mesh.inverted",
        "mesh.body_in_body",
        "mesh.bodies_overlap",
    }
)
"""Findings after which no figure of the mesh is honest: the plan can't be made."""

Places = tuple[tuple[float, float, float], ...]


class MeshFindings:
    """The findings of one mesh as they are made."""

    def __init__(self, core: str | None) -> None:
        self.core = core
        self.found: list[Finding] = []

    def add(
        self, code: str, severity: Severity, places_mm: NDArray[np.float64] | None = None, **facts: Any
    ) -> None:
        """Make a finding at these places (n, 3); the first one is also among its facts as x, y, z."""
        where: Places = ()
        if places_mm is not None and len(places_mm):
            facts["x"], facts["y"], facts["z"] = (round(float(value), 3) for value in places_mm[0])
            where = capped_places(places_mm)
        self.found.append(Finding(code, severity, facts, self.core, places_mm=where))

    def has(self, code: str) -> bool:
        """Return True if this finding was made."""
        return any(finding.code == code for finding in self.found)

    @property
    def fatal(self) -> Finding | None:
        """The first finding after which no figure is honest, if there is one."""
        return next((finding for finding in self.found if finding.code in FATAL), None)


def capped_places(points_mm: NDArray[np.float64]) -> Places:
    """Return at most 50 of the points, spread over their whole list, rounded to a micrometre."""
    step = max(1, math.ceil(len(points_mm) / MOST_PLACES))
    return tuple((float(x), float(y), float(z)) for x, y, z in np.round(points_mm[::step], 3))
