"""The pictures that sheets show of a plan: each box, each stage of unpacking, each core; painted once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from corelib.export.figures import core_names
from corelib.export.painting import (
    PALE,
    PALETTE,
    Colour,
    Figure,
    Shape,
    Stamps,
    picture_of_box,
    picture_of_core,
)
from corelib.geometry.pose import moved

BOX_PX, STAGE_PX = 1200, 500


def placed_extents(
    shape: Shape, matrix: Sequence[Sequence[float]]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the lowest and the highest corner of a placed shape, in the box."""
    placed = moved(shape.vertices_mm, np.asarray(matrix, dtype=np.float64))
    return placed.min(axis=0), placed.max(axis=0)


class BoxPictures:
    """Paints a plan's pictures on demand; one colour a core, the same in all of them."""

    def __init__(self, plan: Mapping[str, Any], shapes: Mapping[str, Shape]) -> None:
        self._plan = plan
        self.shapes = shapes
        ids = list(core_names(plan))
        self._colours = {core_id: PALETTE[index % len(PALETTE)] for index, core_id in enumerate(ids)}
        self._painted: dict[object, bytes] = {}
        self._stamps: Stamps = {}

    def legend(self) -> list[tuple[str, Colour]]:
        """Return the name and colour of each core."""
        return [(name, self._colours[core_id]) for core_id, name in core_names(self._plan).items()]

    def box(self, number: int) -> bytes:
        """Return the picture of a box, its sand level as an outline."""
        box = self._plan["boxes"][number]
        figures = [self._figure(item, self._colours[item["core"]]) for item in self._known(box)]
        return self._keep(("box", number), box, figures, box["height_mm"])

    def stages(self, number: int, stages: Sequence[Mapping[str, Any]], first: int, last: int) -> bytes:
        """Return the picture of stages `first` to `last`: what they draw in colour, the rest pale."""
        gone = {(item["core"], item["copy"]) for past in stages[:first] for item in past["draws"]}
        drawn = {(item["core"], item["copy"]) for now in stages[first : last + 1] for item in now["draws"]}
        box = self._plan["boxes"][number]
        figures = []
        for item in self._known(box):
            key = item["core"], item["copy"]
            if key not in gone:
                figures.append(self._figure(item, self._colours[item["core"]] if key in drawn else PALE))
        sand_mm = float(stages[first]["sand_mm"])
        return self._keep(("stages", number, first, last), box, figures, sand_mm, STAGE_PX)

    def core(self, core_id: str) -> bytes | None:
        """Return the picture of one core, None where its mesh is not at hand."""
        if core_id not in self.shapes:
            return None
        key = "core", core_id
        if key not in self._painted:
            self._painted[key] = picture_of_core(self.shapes[core_id], self._colours[core_id])
        return self._painted[key]

    def _known(self, box: Mapping[str, Any]) -> list[Mapping[str, Any]]:
        return [item for item in box["placements"] if item["core"] in self.shapes]

    def _figure(self, item: Mapping[str, Any], colour: Colour) -> Figure:
        return Figure(item["core"], np.asarray(item["matrix"], dtype=np.float64), colour)

    def _keep(
        self,
        key: object,
        box: Mapping[str, Any],
        figures: Sequence[Figure],
        filled_mm: float,
        width_px: int = BOX_PX,
    ) -> bytes:
        if key not in self._painted:
            inner = box.get("inner_mm") or self._plan["box"]["inner_mm"]
            self._painted[key] = picture_of_box(
                self.shapes, figures, inner, filled_mm=filled_mm, width_px=width_px, stamps=self._stamps
            )
        return self._painted[key]
