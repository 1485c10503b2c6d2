"""A plan document as the sheets read it: boxes, cores, lines and inputs as typed rows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from corelib.export.figures import core_names, label

Plan = Mapping[str, Any]


@dataclass(frozen=True)
class Line:
    """One figure that opens to its formula, its inputs and its parts."""

    code: str
    value: Any
    unit: str
    formula: str
    inputs: tuple[tuple[str, Any], ...]
    parts: tuple[Line, ...]


@dataclass(frozen=True)
class CoreRow:
    """One core of the job with its copies; None for what the plan does not say."""

    id: str
    name: str
    copies: int
    size_mm: tuple[float, float, float] | None
    volume_mm3: float | None
    mass_kg: float | None
    cost: Any
    price: Any
    mesh: str
    rides_along: bool
    boxes: tuple[int, ...]


@dataclass(frozen=True)
class BoxRow:
    """One box: what lies in it and how high it is."""

    number: int
    copies: tuple[tuple[str, int], ...]
    height_mm: float
    layer_count: int
    printed_volume_mm3: float | None
    build_time_s: float | None
    gross_kg: float | None


@dataclass(frozen=True)
class Override:
    """A profile value that the job states otherwise."""

    field: str
    profile_value: Any
    job_value: Any


def line(document: Mapping[str, Any]) -> Line:
    """Return a line of the plan document."""
    return Line(
        code=document["code"],
        value=document["value"],
        unit=document.get("unit", ""),
        formula=document.get("formula", ""),
        inputs=tuple(document.get("inputs", {}).items()),
        parts=tuple(line(part) for part in document.get("parts", ())),
    )


def lines(plan: Plan, group: str) -> tuple[Line, ...]:
    """Return the lines of one group of the plan (`quantities`, `time`, `cost`); none if it has none."""
    return tuple(line(document) for document in plan.get("lines", {}).get(group, ()))


def core_rows(plan: Plan) -> tuple[CoreRow, ...]:
    """Return the cores of the plan in its order, what rides along last."""
    meshes = {core["id"]: (core.get("mesh") or {}).get("path", "") for core in plan["job"]["cores"]}
    placed = [
        (number, item["core"]) for number, box in enumerate(plan["boxes"]) for item in box["placements"]
    ]
    rows = []
    for core in plan["cores"]:
        own = [number for number, core_id in placed if core_id == core["id"]]
        size = core.get("size_mm")
        rows.append(
            CoreRow(
                id=core["id"],
                name=core["name"],
                copies=len(own),
                size_mm=(float(size[0]), float(size[1]), float(size[2])) if size else None,
                volume_mm3=core.get("core_volume_mm3"),
                mass_kg=core.get("mass_kg"),
                cost=core.get("cost"),
                price=core.get("price"),
                mesh=meshes.get(core["id"], ""),
                rides_along=bool(core.get("rides_along")),
                boxes=tuple(sorted(set(own))),
            )
        )
    return tuple(rows)


def box_rows(plan: Plan) -> tuple[BoxRow, ...]:
    """Return the boxes of the plan, numbered from 0."""
    names = core_names(plan)
    rows = []
    for number, box in enumerate(plan["boxes"]):
        counted = Counter(item["core"] for item in box["placements"])
        copies = tuple((names.get(core_id, core_id), count) for core_id, count in sorted(counted.items()))
        rows.append(
            BoxRow(
                number=number,
                copies=copies,
                height_mm=float(box["height_mm"]),
                layer_count=len(box["layers"]),
                printed_volume_mm3=box.get("printed_volume_mm3"),
                build_time_s=box.get("build_time_s"),
                gross_kg=box.get("gross_box_kg"),
            )
        )
    return tuple(rows)


def overrides(plan: Plan) -> tuple[Override, ...]:
    """Return the profile values that the job states otherwise."""
    return tuple(
        Override(item["field"], item["profile_value"], item["job_value"])
        for item in plan.get("overridden", ())
    )


def listed(copies: Iterable[tuple[str, int]], language: str) -> str:
    """Return counted cores in one text: `6 × Volute passage, 6 × Inlet elbow`."""
    return ", ".join(f"{count} × {name}" for name, count in copies) or label("none", language)
