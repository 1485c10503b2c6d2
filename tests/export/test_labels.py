"""Labels and box cards: the printed QR codes are read back by an independent decoder (ZXing's C++ port)."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pypdf
import zxingcpp

from corelib.export import paper
from corelib.export.labels import QrCode, box_cards, core_labels, label_code
from tests.export.conftest import SamplePlan


def painted(code: QrCode, px: int = 600) -> np.ndarray:
    """Return the code's runs as a grey picture."""
    image = np.full((px, px), 255, dtype=np.uint8)
    scale = px / code.width
    for x, y, width, height in code.runs():
        top, bottom = round((code.height - y - height) * scale), round((code.height - y) * scale)
        image[top:bottom, round(x * scale) : round((x + width) * scale)] = 0
    return image


def heading(plan: dict[str, Any], **more: Any) -> paper.Heading:
    return paper.Heading("Labels", plan["job"]["name"], plan["job_sha256"][:12], **more)


def test_an_independent_decoder_reads_what_the_code_says(pump: SamplePlan) -> None:
    item = pump.document["boxes"][0]["placements"][0]
    words = label_code(pump.document, 0, item)
    (found,) = zxingcpp.read_barcodes(painted(QrCode(words)))
    assert found.text == words and found.format == zxingcpp.BarcodeFormat.QRCode
    assert f"core={item['core']};copy={item['copy'] + 1}" in words


def test_every_copy_has_its_label(pump: SamplePlan) -> None:
    reader = pypdf.PdfReader(io.BytesIO(core_labels(pump.document, heading(pump.document))))
    text = " ".join(page.extract_text() for page in reader.pages)
    assert text.count("cured") == sum(len(box["placements"]) for box in pump.document["boxes"])
    assert "use within 72 h" in text and "Inlet elbow" in text


def test_a_card_for_each_box(pump: SamplePlan) -> None:
    reader = pypdf.PdfReader(io.BytesIO(box_cards(pump.document, heading(pump.document), pump.pictures)))
    assert len(reader.pages) == len(pump.document["boxes"])
    assert "Box 1 of 2" in reader.pages[0].extract_text()


def test_five_hundred_copies_and_none(plan: dict[str, Any]) -> None:
    one = plan["boxes"][0]["placements"][0]
    plan["boxes"][0]["placements"] = [{**one, "copy": number} for number in range(500)]
    many = pypdf.PdfReader(io.BytesIO(core_labels(plan, heading(plan, paper="Letter"))))
    assert len(many.pages) >= 15
    for box in plan["boxes"]:
        box["placements"] = []
    none = pypdf.PdfReader(io.BytesIO(core_labels(plan, heading(plan))))
    assert "No cores are placed" in none.pages[0].extract_text()


def test_a_box_of_many_core_types_with_long_names_keeps_to_one_card(plan: dict[str, Any]) -> None:
    long = "W" * 200
    plan["job"] |= {"name": long, "customer": long}
    plan["job"]["cores"] = [{"id": f"c{number}", "name": f"{number} {long}"} for number in range(40)]
    plan["cores"] = [{"id": f"c{number}", "name": f"{number} {long}", "mass_kg": 1.0} for number in range(40)]
    item = plan["boxes"][0]["placements"][0]
    plan["boxes"] = [{**plan["boxes"][0], "placements": [{**item, "core": f"c{n}"} for n in range(40)]}]
    made = box_cards(plan, paper.Heading("Box cards", long, "0123"))
    reader = pypdf.PdfReader(io.BytesIO(made))
    assert len(reader.pages) == 1
    assert "28 core types more" in reader.pages[0].extract_text()
