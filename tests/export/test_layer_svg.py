"""A layer as SVG: its paths, read by an independent XML reader, have the area that the plan states."""

from __future__ import annotations

import json
import re
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from corelib.export.layer_svg import layer_svg
from corelib.export.painting import Shape
from corelib.files import canonical_json
from corelib.plan.document import plan_document
from corelib.usecases.sheet_source import SheetsAsked, SheetSource, shape_of
from corelib.usecases.sheets import _printed_rings
from tests.export.conftest import NASTY, SamplePlan
from tests.plan.test_bleed import BLEED_MM, LONG_MM, WIDE_MM
from tests.plan.test_bleed import plan as bled_plan

SVG = "{http://www.w3.org/2000/svg}"


def area_mm2(path: str) -> float:
    total = 0.0
    for loop in path.strip("Z").split("Z"):
        points = np.array([[float(x) for x in pair.split()] for pair in loop.strip("M").split("L")])
        x, y = points.T
        total += 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))  # shoelace formula
    return total


@pytest.mark.parametrize("layer", [120, 500, 800])
def test_paths_have_the_area_of_the_plan(pump: SamplePlan, layer: int) -> None:
    document = pump.document
    root = ElementTree.fromstring(layer_svg(document, 0, layer, pump.shapes).encode("utf-8"))
    total = sum(area_mm2(path.get("d", "")) for path in root.iter(f"{SVG}path"))
    assert abs(total) == pytest.approx(document["boxes"][0]["layers"][layer]["nominal_area_mm2"], rel=2e-4)


def test_printed_outlines_have_the_printed_area_beside_the_nominal_ones() -> None:
    """A block of 120 × 80 mm, bleed 0.15 mm, scale -0.2 %: what gets binder is (nominal - 2 b)/(1 + s)."""
    plan = bled_plan(BLEED_MM, -0.2)
    document = json.loads(canonical_json(plan_document(plan)))
    shapes = {core.item.id: shape_of(core.mesh) for core in plan.cores}
    bodies = {body.core_id: body for body in plan.bodies}
    source = SheetSource(document, SheetsAsked(), shapes, bodies, plan.point, out_of_date=False)
    layer = document["boxes"][0]["layers"][60]
    rings = _printed_rings(source, 0, 60)
    root = ElementTree.fromstring(layer_svg(document, 0, 60, shapes, rings).encode("utf-8"))
    groups = {group.get("id"): group for group in root.iter(f"{SVG}g")}
    areas = {
        name: abs(sum(area_mm2(path.get("d", "")) for path in groups[name].iter(f"{SVG}path")))
        for name in ("printed", "nominal")
    }
    assert areas["nominal"] == pytest.approx(LONG_MM * WIDE_MM, rel=1e-6)
    wanted = (LONG_MM - 2 * BLEED_MM) * (WIDE_MM - 2 * BLEED_MM) / 0.998**2
    assert areas["printed"] == pytest.approx(wanted, rel=1e-6)
    assert areas["printed"] == pytest.approx(layer["printed_area_mm2"], rel=1e-6)
    assert groups["nominal"].get("fill") == "none"


def test_size_is_true_to_scale(pump: SamplePlan) -> None:
    root = ElementTree.fromstring(layer_svg(pump.document, 0, 500, pump.shapes).encode("utf-8"))
    assert root.get("width") == "800mm" and root.get("viewBox") == "0 0 800 500"


def test_names_stay_text(plan: dict[str, Any]) -> None:
    cube = np.array([[x, y, z] for x in (0, 10.0) for y in (0, 10.0) for z in (0, 10.0)])
    faces = np.array(
        [[0, 1, 3], [0, 3, 2], [4, 7, 5], [4, 6, 7], [0, 5, 1], [0, 4, 5], [2, 3, 7], [2, 7, 6], [0, 2, 6],
         [0, 6, 4], [1, 5, 7], [1, 7, 3]], dtype=np.int32,
    )  # fmt: skip
    text = layer_svg(plan, 0, 1, {"a": Shape(cube, faces), "b": Shape(cube, faces)})
    titles = [title.text for title in ElementTree.fromstring(text.encode("utf-8")).iter(f"{SVG}title")]
    assert f"{NASTY}, copy 1" in titles and not re.search(r"<b>", text)
