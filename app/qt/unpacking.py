"""The unpacking of one box as a row of moments: the sand falls to a level, cores are drawn one by one."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from app.qt.shown_plan import ShownBox


@dataclass(frozen=True)
class Moment:
    """One thing that happens: the sand falls (`core` -1) or a core is drawn.

    `core` is the placement's number in the box, `tilt` how far it goes along x and y for each mm up. `way` is
    how it leaves: up, tilted, sideways or slid; `aside_mm` how far level, along x and y, before it rises.
    """

    stage: int
    from_mm: float
    to_mm: float
    core: int = -1
    tilt: tuple[float, float] = (0.0, 0.0)
    held_by_hand: bool = False
    way: str = "up"
    aside_mm: tuple[float, float] = (0.0, 0.0)

    @property
    def tilt_deg(self) -> float:
        """Angle between the core's way and the vertical."""
        return math.degrees(math.atan(math.hypot(*self.tilt)))


@dataclass(frozen=True)
class Unpacking:
    """All moments of a box, how many stages they make, and the cores that can't be drawn."""

    moments: tuple[Moment, ...]
    stages: int
    left: tuple[int, ...]


def unpacking_of(box: ShownBox, document: dict[str, Any]) -> Unpacking:
    """Return the unpacking of a box from its `unpacking` in plan.json."""
    numbers = {(place.core, place.copy_number): n for n, place in enumerate(box.placements)}
    moments: list[Moment] = []
    level_mm = box.height_mm
    for stage, entry in enumerate(document.get("stages", ())):
        sand_mm = float(entry["sand_mm"])
        if sand_mm < level_mm:
            moments.append(Moment(stage, level_mm, sand_mm))
            level_mm = sand_mm
        for draw in entry["draws"]:
            name = draw["core"], int(draw["copy"])
            if name in numbers:
                x, y = draw["tilt"]
                held, way = bool(draw["held_by_hand"]), str(draw.get("way", "up"))
                aside = draw["moves_mm"][0] if way in ("sideways", "slid") else (0.0, 0.0)
                moments.append(
                    Moment(
                        stage, level_mm, level_mm, numbers[name], (float(x), float(y)), held,
                        way, (float(aside[0]), float(aside[1])),
                    )
                )  # fmt: skip
    left = (tuple(name) for name in document.get("left", ()))
    return Unpacking(
        tuple(moments),
        len(document.get("stages", ())),
        tuple(numbers[name] for name in left if name in numbers),
    )


def drawn_by_mm(moment: Moment, share: float, rise_mm: float) -> NDArray[np.float64]:
    """Return how far a core has moved after a share of its way, which is level, upward, or both in turn."""
    aside = np.array([*moment.aside_mm, 0.0])
    if moment.way == "sideways":
        return share * aside
    up = rise_mm * np.array([*moment.tilt, 1.0])
    if moment.way != "slid":
        return share * up
    level = float(np.linalg.norm(aside))
    turn = level / (level + rise_mm)  # the share of the way that is level
    return aside * min(1.0, share / turn) + up * max(0.0, share - turn) / (1.0 - turn)


def drawn_matrix(
    matrix: NDArray[np.float64], moment: Moment, share: float, rise_mm: float
) -> NDArray[np.float64]:
    """Return where a core is after a share of its way."""
    moved = matrix.copy()
    moved[:3, 3] += drawn_by_mm(moment, share, rise_mm)
    return moved
