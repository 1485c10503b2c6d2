"""Where findings lie in the box that is shown."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from app.qt.shown_plan import ShownFinding, ShownPlacement
from app.qt.views.box_marks import FindingMark

MOST_PLACES = 12
"""Signs drawn for one finding."""


def finding_places(
    finding: ShownFinding, box: int, placements: Sequence[ShownPlacement], chosen: int
) -> list[NDArray[np.float64]]:
    """Return a finding's places in the box shown; none if it is about another box, or has no place.

    A finding about all copies of a core is shown at the chosen copy if it is one, else at the first.
    """
    if not finding.places_mm or finding.box not in (None, box):
        return []
    points = np.array(finding.places_mm[:MOST_PLACES], dtype=np.float64)
    if finding.core is None:
        return list(points)
    copies = [
        n
        for n, place in enumerate(placements)
        if place.core == finding.core and finding.copy_number in (None, place.copy_number)
    ]
    if not copies:
        return []
    matrix = placements[chosen if chosen in copies else copies[0]].matrix
    return list(points @ matrix[:3, :3].T + matrix[:3, 3])


def finding_marks(
    findings: Sequence[ShownFinding],
    box: int,
    placements: Sequence[ShownPlacement],
    chosen_copy: int,
    chosen_finding: int,
) -> tuple[FindingMark, ...]:
    """Return the signs of all findings that have a place in the box shown."""
    return tuple(
        FindingMark(place, finding.severity, n, n == chosen_finding)
        for n, finding in enumerate(findings)
        for place in finding_places(finding, box, placements, chosen_copy)
    )
