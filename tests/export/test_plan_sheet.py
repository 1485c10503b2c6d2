"""The plan sheet read back by an independent reader (pypdf): complete, numbered, hazards first."""

from __future__ import annotations

import copy
import io
import re
from typing import Any

import pypdf
import pytest

from corelib.export import figures, paper
from corelib.export.packing_pictures import BoxPictures
from corelib.export.plan_sheet import plan_sheet
from corelib.export.summary_html import TOTALS
from tests.export.conftest import NASTY, SamplePlan


def heading(plan: dict[str, Any], **more: Any) -> paper.Heading:
    return paper.Heading("Plan sheet", plan["job"]["name"], plan["job_sha256"][:12], **more)


def pages(content: bytes) -> list[str]:
    return [page.extract_text().replace("\u00a0", " ") for page in pypdf.PdfReader(io.BytesIO(content)).pages]


@pytest.fixture(scope="module")
def sheet(pump: SamplePlan) -> bytes:
    return plan_sheet(pump.document, heading(pump.document), pump.pictures)


def test_every_page_says_which_of_how_many(sheet: bytes) -> None:
    texts = pages(sheet)
    for number, text in enumerate(texts, start=1):
        assert f"page {number} of {len(texts)}" in text


def test_totals_equal_the_plan(pump: SamplePlan, sheet: bytes) -> None:
    text = " ".join(pages(sheet))
    totals = pump.document["totals"]
    for name in ("layer_count", "build_time_s", "gross_box_kg"):
        assert figures.named(name, totals[name]).replace("\u00a0", " ") in text, name
    for line in pump.document["lines"]["time"]:
        if line["value"]:
            assert figures.quantity(line["value"], "s") in text, line["code"]
    assert "build_time_s" in TOTALS


def test_all_fonts_are_embedded(sheet: bytes) -> None:
    """ISO 32000-1, 9.9: an embedded TrueType font has a FontFile2 stream."""
    fonts = {}
    for page in pypdf.PdfReader(io.BytesIO(sheet)).pages:
        for font in page["/Resources"]["/Font"].values():
            fonts[font.get_object()["/BaseFont"]] = font.get_object()
    assert len(fonts) >= 2
    for name, font in fonts.items():
        assert "/FontFile2" in font["/FontDescriptor"], name


def test_each_hazard_stands_before_its_step(sheet: bytes) -> None:
    text = " ".join(pages(sheet))
    order = [
        "crystalline",
        "Materials to have ready",
        "move by themselves",
        "Recoating, each layer",
        "heats whatever holds water",
        "Bed to reach",
        "stay hot inside",
        "Unpacking order of box 1",
        "Damp cores and molten metal",
        "Use cured cores within",
    ]
    places = [text.index(words) for words in order]
    assert places == sorted(places)


def test_rated_loads_are_on_the_first_page(pump: SamplePlan, sheet: bytes) -> None:
    first = pages(sheet)[0]
    gross = figures.fixed(pump.document["totals"]["gross_box_kg"], 0)
    for carrier in ("Building platform", "Conveyor", "Oven", "Truck"):
        assert re.search(rf"{carrier}\s+[\d ]+\s+{gross}", first), carrier


def test_pages_have_pictures_and_the_paper_asked_for(pump: SamplePlan, sheet: bytes) -> None:
    reader = pypdf.PdfReader(io.BytesIO(sheet))
    assert len(reader.pages[0].images) == 1
    assert [round(float(edge)) for edge in reader.pages[0].mediabox[2:]] == [595, 842]
    letter = plan_sheet(pump.document, heading(pump.document, paper="Letter", language="de"), pump.pictures)
    first = pypdf.PdfReader(io.BytesIO(letter)).pages[0]
    assert [round(float(edge)) for edge in first.mediabox[2:]] == [612, 792]
    assert "Seite 1 von" in first.extract_text()


def test_same_plan_same_bytes(pump: SamplePlan, sheet: bytes) -> None:
    assert plan_sheet(pump.document, heading(pump.document), pump.pictures) == sheet


def test_a_plan_out_of_date_says_so_on_every_page(plan: dict[str, Any]) -> None:
    for text in pages(plan_sheet(plan, heading(plan, out_of_date=True))):
        assert "OUT OF DATE" in text


def test_names_that_break_formats_and_missing_meshes_leave_a_right_sheet(plan: dict[str, Any]) -> None:
    plan["job"]["name"] = NASTY + "W" * 160
    texts = pages(plan_sheet(plan, heading(plan)))
    assert "Pictures are left out" in texts[0]
    assert '<b>=cmd|"/c calc"!A1</b> & "Übermaß"' in " ".join(texts).replace("\n", "")


def test_a_stop_and_an_overload_stand_on_the_first_page(plan: dict[str, Any]) -> None:
    plan["profiles"]["machine"] = {"platform_load_kg": 400.0}
    first = pages(plan_sheet(plan, heading(plan)))[0]
    assert "Don't build this. Stops listed under Findings: 1" in first and "OVER its rating" in first


def test_five_hundred_copies_fill_many_right_pages(plan: dict[str, Any]) -> None:
    one = plan["boxes"][0]["placements"][0]
    plan["boxes"][0]["placements"] = [{**one, "copy": number} for number in range(500)]
    texts = pages(plan_sheet(plan, heading(plan)))
    assert f"page {len(texts)} of {len(texts)}" in texts[-1] and len(texts) > 8


def test_no_cores_give_a_sheet_too(plan: dict[str, Any]) -> None:
    plan["boxes"][0]["placements"] = []
    plan["boxes"] = plan["boxes"][:1]
    assert "Core copies" in pages(plan_sheet(plan, heading(plan), BoxPictures(plan, {})))[0]


def test_stages_of_unpacking_have_levels_draws_and_pictures(pump: SamplePlan) -> None:
    document = copy.deepcopy(pump.document)
    first, second, *rest = document["boxes"][0]["placements"]
    moves = [[0.0, 35.0, 0.0], [0.0, 0.0, 200.0]]
    draw = {"tilt": [0.0, 0.0], "held_by_hand": False, "way": "slid", "moves_mm": moves, "has_grip": False}
    document["boxes"][0]["unpacking"] = {
        "stages": [
            {"sand_mm": 200.0, "draws": [{**draw, "core": first["core"], "copy": first["copy"]}]},
            {
                "sand_mm": 90.0,
                "draws": [
                    {"core": second["core"], "copy": second["copy"], "tilt": [0.5, 0.0], "held_by_hand": True}
                ],
            },
        ],
        "left": [[rest[0]["core"], rest[0]["copy"]]],
    }
    content = plan_sheet(document, heading(document), BoxPictures(document, pump.shapes))
    text = " ".join(pages(content)).replace("\n", " ")
    assert "Stage 1: sand down to 200.0 mm" in text and "Stage 2: sand down to 90.0 mm" in text
    assert "drawn 27° off the vertical towards 0°" in text  # atan 0.5 = 26.57°
    assert "slid 35 mm towards 90°" in text and "no room for the stated grip" in text
    assert "hold by hand" in text and "Can't be drawn without breaking a neighbour" in text
    unpacking = next(
        page for page in pypdf.PdfReader(io.BytesIO(content)).pages if "Stage 1" in page.extract_text()
    )
    assert len(unpacking.images) >= 1


def test_the_boxes_way_through_the_stations_is_on_the_sheet(plan: dict[str, Any]) -> None:
    moments = {"print_start_s": 25200.0, "print_end_s": 43200.0, "cure_start_s": 46800.0}
    box = {"box": 0, "printer": 0, **moments, "unpack_start_s": 108000.0, "done_s": 115200.0}
    plan["schedule"] = {"start_day": None, "boxes": [{**box, "print_to_cure_s": 3600.0}]}
    text = " ".join(pages(plan_sheet(plan, heading(plan)))).replace("\n", " ")
    for words in ("Schedule", "day 1, 07:00", "day 1, 12:00", "day 2, 06:00", "day 2, 08:00", "1 h 00 min"):
        assert words in text


def test_regions_kept_free_and_their_reasons_are_on_the_sheet(plan: dict[str, Any]) -> None:
    region = {"reason": NASTY, "low_mm": [0.0, 10.0, 20.0], "high_mm": [30.5, 40.0, 50.0], "gap_mm": 4.0}
    plan["job"]["box"] = {"keep_out": [region]}
    text = " ".join(pages(plan_sheet(plan, heading(plan))))
    assert "Kept free of cores" in text and "0.0 – 30.5" in text and "4 mm" in text


def test_magnesium_is_printed_as_a_stop_until_somebody_answers_for_it(plan: dict[str, Any]) -> None:
    text = " ".join(" ".join(pages(plan_sheet(plan, heading(plan)))).split())
    assert "STOP for magnesium until acknowledged" in text and "Alloy poured not stated" in text
    plan["job"]["casting"] = {"alloy": "magnesium"}
    plan["job"]["lifted_stops"] = [{"code": "casting.magnesium", "by": "A. Weber", "reason": "trial 12"}]
    text = " ".join(" ".join(pages(plan_sheet(plan, heading(plan)))).split())
    assert "STOP for magnesium" not in text
    assert "Stop lifted by A. Weber (–), because: trial 12." in text
    plan["job"]["casting"] = {"alloy": "aluminium"}
    assert "Magnesium alloys" not in " ".join(pages(plan_sheet(plan, heading(plan))))


def test_a_stage_with_very_many_draws_lists_them_all(plan: dict[str, Any]) -> None:
    draws = [{"core": "a", "copy": number, "tilt": None, "held_by_hand": False} for number in range(400)]
    plan["boxes"][0]["unpacking"] = {"stages": [{"sand_mm": 12.0, "draws": draws}], "left": []}
    text = " ".join(" ".join(pages(plan_sheet(plan, heading(plan)))).split())
    assert "and 388 more" in text
    assert all(f"Volute passage, {number + 1}" in text for number in range(400))
