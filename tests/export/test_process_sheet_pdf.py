"""The process sheet as PDF, read back by pypdf: each solved value and source of its document is on it."""

from __future__ import annotations

import io

import pypdf
import pytest

from corelib.checks.process_casting import CoreInMelt
from corelib.checks.process_sheet import process_sheet
from corelib.export.figures import fixed
from corelib.export.paper import Heading
from corelib.export.process_sheet_pdf import process_sheet_pdf
from corelib.job.operating_point import DEFAULT_PROFILES, profiles_point, with_modelled_bed
from corelib.wording import label
from tests.export.conftest import NASTY

NAMES = DEFAULT_PROFILES.model_copy(update={"binder": "alkali-silicate-characterised"})


def pages(language: str, paper: str = "A4", out_of_date: bool = False) -> tuple[dict, list[str]]:
    point = with_modelled_bed(profiles_point(NAMES))
    document = process_sheet(point, [CoreInMelt("a", 0.003)]).document()
    heading = Heading(
        "Process sheet", NASTY, "0123", "2026-11-27", language=language, paper=paper, out_of_date=out_of_date
    )
    made = process_sheet_pdf(document, heading, {"a": NASTY})
    assert made == process_sheet_pdf(document, heading, {"a": NASTY})
    reader = pypdf.PdfReader(io.BytesIO(made))
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            kin = font.get_object()
            assert "/FontDescriptor" in kin.get("/DescendantFonts", [kin])[0].get_object()
    return document, [page.extract_text() for page in reader.pages]


@pytest.mark.parametrize(("language", "paper"), [("en", "A4"), ("de", "Letter")])
def test_solved_values_and_their_names_stand_on_the_sheet(language: str, paper: str) -> None:
    document, texts = pages(language, paper)
    whole = " ".join(" ".join(texts).split())
    for group in document["solved"].values():
        for entry in group:
            name = label("solved", entry["code"].partition(".")[2], language)
            assert name.split()[0] in whole
    decimal = "," if language == "de" else "."
    z = next(e for e in document["solved"]["droplets"] if e["code"] == "solved.inverse_ohnesorge")
    assert f"{z['value']:.3g}".replace(".", decimal) in whole
    low, high = document["droplet_window"]["band_c"]
    assert fixed(low, 1, language) in whole and fixed(high, 1, language) in whole
    assert f"page 1 of {len(texts)}" in texts[0] or f"Seite 1 von {len(texts)}" in texts[0]


def test_sources_stand_on_the_sheet_and_rates_do_not() -> None:
    document, texts = pages("en")
    whole = "".join("".join(texts).split())
    stated = [entry for entry in document["stated"] if not entry["field"].startswith(("rates.", "shop."))]
    assert len(stated) > 50
    assert all("".join(entry["source"].split()) in whole for entry in stated)
    assert "labour" not in whole.lower()


def test_a_sheet_that_no_longer_fits_says_so_on_every_page() -> None:
    assert all("OUT OF DATE" in text for text in pages("en", out_of_date=True)[1])
