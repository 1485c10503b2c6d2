"""Whatever a user calls things, every document comes out whole: slashes, quotes, formulas, any script."""

from __future__ import annotations

import copy
import io
import json
import zipfile
from typing import Any
from xml.etree import ElementTree

import numpy as np
import openpyxl
import pypdf
from hypothesis import example, given, settings
from hypothesis import strategies as st

from corelib.export import paper
from corelib.export.box_3mf import box_3mf
from corelib.export.labels import core_labels
from corelib.export.layer_svg import layer_svg
from corelib.export.packing_pictures import BoxPictures
from corelib.export.painting import Shape
from corelib.export.plan_sheet import plan_sheet
from corelib.export.summary_html import summary_page
from corelib.export.tables import tables_document
from corelib.export.workbook import workbook
from corelib.files import canonical_json
from tests.export.conftest import PLAN

NAMES = st.text(st.characters(codec="utf-8"), min_size=1, max_size=200)
TETRAHEDRON = Shape(
    np.array([[0, 0, 0], [60, 0, 0], [0, 60, 0], [0, 0, 60.0]]),
    np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]], dtype=np.int32),
)
SHAPES = {"a": TETRAHEDRON, "b": TETRAHEDRON}


def named(name: str) -> dict[str, Any]:
    plan = copy.deepcopy(PLAN)
    plan["job"]["name"] = plan["job"]["customer"] = plan["cores"][1]["name"] = name
    plan["job"]["cores"][1]["name"] = plan["findings"][0]["message"] = name
    plan["totals"]["price"] = "1300.00"
    return plan


@given(NAMES)
@example("../../etc/passwd")
@example("=cmd|'/c calc'!A1")
@example("قلب المضخة 210 / שלום")
@example("😀" * 100)
@example("\"'<&>\x00\x1b\u2028\ufeff")
@settings(max_examples=12)
def test_every_document_comes_out_whole(name: str) -> None:
    plan = named(name)
    heading = paper.Heading("Plan sheet", name, "0123", letterhead=paper.Letterhead(name, (name,)))
    for content in (
        plan_sheet(plan, heading, BoxPictures(plan, SHAPES)),
        core_labels(plan, heading),
    ):
        assert len(pypdf.PdfReader(io.BytesIO(content)).pages) >= 1
    ElementTree.fromstring(layer_svg(plan, 0, 1, SHAPES).encode("utf-8"))
    with zipfile.ZipFile(io.BytesIO(box_3mf(plan, 0, SHAPES))) as archive:
        ElementTree.fromstring(archive.read("3D/3dmodel.model"))
    book = openpyxl.load_workbook(io.BytesIO(workbook(plan)))
    assert book["Sums"]["A1"].data_type in ("s", "n")
    assert "<html" in summary_page(plan)
    assert json.loads(canonical_json(tables_document(plan)))["job"] == name


def test_five_hundred_kinds_of_cores_make_a_right_sheet() -> None:
    plan = copy.deepcopy(PLAN)
    plan["cores"] = [
        {**plan["cores"][0], "id": f"c{number}", "name": f"Core {number}"} for number in range(500)
    ]
    plan["job"]["cores"] = [{"id": core["id"], "name": core["name"]} for core in plan["cores"]]
    one = plan["boxes"][0]["placements"][0]
    plan["boxes"][0]["placements"] = [{**one, "core": core["id"]} for core in plan["cores"]]
    plan["boxes"] = plan["boxes"][:1]
    for finding in plan["findings"]:
        finding["core"] = None
    heading = paper.Heading("Plan sheet", "500", "0123")
    reader = pypdf.PdfReader(io.BytesIO(plan_sheet(plan, heading)))
    assert f"page 1 of {len(reader.pages)}" in reader.pages[0].extract_text()
    assert "Core 499" in " ".join(page.extract_text() for page in reader.pages)
