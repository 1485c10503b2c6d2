"""A layer as SVG: its paths, read by an independent XML reader, have the area that the plan states."""

from __future__ import annotations

import re
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from corelib.export.layer_svg import layer_svg
from corelib.export.painting import Shape
from tests.export.conftest import NASTY, SamplePlan

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
