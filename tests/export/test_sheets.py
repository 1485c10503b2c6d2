"""`corestow sheets`: one folder, all or nothing; a plan that no longer fits its job says so everywhere."""

from __future__ import annotations

import html
import io
import json
import shutil
from pathlib import Path
from typing import Any

import pypdf
import pytest
from PIL import Image

from corelib.errors import CorestowError, FileError, InputError
from corelib.export.letterhead import Letterhead
from corelib.progress import SILENT
from corelib.usecases.plans import plan_to_folder
from corelib.usecases.sheet_run import run_pages, run_preview, run_sheets
from corelib.usecases.sheets import ON_REQUEST, PRINTED, SHEETS, SheetsAsked, write_sheets
from corelib.wording import error_sentence
from tests.export.conftest import SAMPLES

PDFS = ("plan-sheet.pdf", "process-sheet.pdf", "core-labels.pdf", "box-cards.pdf")


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a job file with its plan folder beside it."""
    folder = tmp_path_factory.mktemp("sheets")
    shutil.copytree(SAMPLES / "meshes", folder / "meshes")
    shutil.copy(SAMPLES / "motor_cooling_jacket.json", folder)
    plan_to_folder(folder / "motor_cooling_jacket.json")
    return folder / "motor_cooling_jacket.json"


@pytest.fixture
def own_copy(planned: Path, tmp_path: Path) -> Path:
    shutil.copytree(planned.parent, tmp_path / "own")
    return tmp_path / "own" / planned.name


def page_texts(path: Path) -> list[str]:
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(path.read_bytes())).pages]


def test_a_plan_gives_every_sheet_with_an_index(planned: Path, tmp_path: Path) -> None:
    asked = SheetsAsked(dated="2026-11-25", letterhead=Letterhead("Lindwerk Castings"))
    result = write_sheets(planned.with_suffix(".plan") / "plan.json", tmp_path / "out", asked)
    assert not result.out_of_date and not result.without_meshes
    index = json.loads((result.folder / "index.json").read_text(encoding="utf-8"))
    assert {entry["sheet"] for entry in index["files"]} == set(SHEETS) - set(ON_REQUEST)
    assert all((result.folder / entry["file"]).is_file() for entry in index["files"])
    for name in PDFS:
        texts = page_texts(result.folder / name)
        assert all("Lindwerk Castings" in text and "2026-11-25" in text for text in texts)
        assert not any("OUT OF DATE" in text for text in texts)
    sheet = " ".join(page_texts(result.folder / "plan-sheet.pdf"))
    assert "Stage 1: sand down to" in sheet and "No order of unpacking" not in sheet


def test_same_plan_same_bytes(planned: Path, tmp_path: Path) -> None:
    asked = SheetsAsked(only=("plan-sheet", "workbook", "3mf"), dated="2026-11-25")
    plan = planned.with_suffix(".plan")
    one, two = (write_sheets(plan, tmp_path / name, asked).folder for name in ("one", "two"))
    assert (one / "index.json").read_bytes() == (two / "index.json").read_bytes()


def change_job(job: Path) -> None:
    document: dict[str, Any] = json.loads(job.read_text(encoding="utf-8"))
    document["overrides"] = {"rates.labour_per_h": "43"}
    job.write_text(json.dumps(document), encoding="utf-8")


def test_a_changed_job_puts_every_page_out_of_date(own_copy: Path, tmp_path: Path) -> None:
    change_job(own_copy)
    asked = SheetsAsked(only=(*PRINTED, "summary"))
    result = write_sheets(own_copy.with_suffix(".plan"), tmp_path / "out", asked)
    assert result.out_of_date
    for name in PDFS:
        assert all("OUT OF DATE" in text for text in page_texts(result.folder / name))
    assert "out of date" in (result.folder / "summary.html").read_text(encoding="utf-8")


def test_digits_that_the_plan_rounds_away_do_not_put_it_out_of_date(own_copy: Path, tmp_path: Path) -> None:
    document: dict[str, Any] = json.loads(own_copy.read_text(encoding="utf-8"))
    document["overrides"] = {"sand.bulk_density_g_cm3": 1.4600000000000123}
    own_copy.write_text(json.dumps(document), encoding="utf-8")
    plan_to_folder(own_copy)
    result = write_sheets(own_copy.with_suffix(".plan"), tmp_path / "out", SheetsAsked(only=("tables",)))
    assert not result.out_of_date


def test_a_changed_mesh_is_out_of_date_and_not_shown(own_copy: Path, tmp_path: Path) -> None:
    mesh = own_copy.parent / "meshes" / "end_ring.stl"
    shutil.copy(own_copy.parent / "meshes" / "inlet_elbow.stl", mesh)
    result = write_sheets(own_copy.with_suffix(".plan"), tmp_path / "out", SheetsAsked(only=("plan-sheet",)))
    assert result.out_of_date and result.without_meshes
    with pytest.raises(InputError) as caught:
        write_sheets(own_copy.with_suffix(".plan"), tmp_path / "3mf", SheetsAsked(only=("3mf",)))
    assert "meshes" in error_sentence(caught.value) and not (tmp_path / "3mf").exists()


def test_a_plan_away_from_its_job_has_sheets_without_pictures(own_copy: Path, tmp_path: Path) -> None:
    away = tmp_path / "away.plan"
    shutil.copytree(own_copy.with_suffix(".plan"), away)
    result = write_sheets(away, tmp_path / "out", SheetsAsked(only=("plan-sheet", "tables")))
    assert result.without_meshes
    assert "Pictures are left out" in page_texts(result.folder / "plan-sheet.pdf")[0]


def test_german_tables_open_in_a_decimal_comma_locale(planned: Path, tmp_path: Path) -> None:
    asked = SheetsAsked(only=("tables",), language="de")
    folder = write_sheets(planned.with_suffix(".plan"), tmp_path / "out", asked).folder
    first = (folder / "tables" / "layers.csv").read_text(encoding="utf-8-sig").splitlines()[50]
    assert ";" in first and "," in first and "." not in first


def test_findings_are_said_in_the_language_of_the_sheet(planned: Path, tmp_path: Path) -> None:
    asked = SheetsAsked(only=("summary",), language="de")
    folder = write_sheets(planned.with_suffix(".plan"), tmp_path / "out", asked).folder
    page = (folder / "summary.html").read_text(encoding="utf-8")
    plan = json.loads((planned.with_suffix(".plan") / "plan.json").read_text(encoding="utf-8"))
    assert plan["findings"] and "Hinweis" in page
    assert not any(html.escape(item["message"]) in page for item in plan["findings"])


@pytest.mark.parametrize("only", ["plan", "plan-sheet;rm", ""])
def test_an_unknown_sheet_is_one_sentence(planned: Path, tmp_path: Path, only: str) -> None:
    with pytest.raises(InputError) as caught:
        write_sheets(planned, tmp_path / "out", SheetsAsked(only=(only,)))
    assert "plan-sheet" in error_sentence(caught.value)
    assert not (tmp_path / "out").exists()


def test_a_full_disk_leaves_the_old_sheets_and_one_sentence(
    planned: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = SheetsAsked(only=("plan-sheet", "tables", "svg"))
    folder = write_sheets(planned.with_suffix(".plan"), tmp_path / "out", asked).folder
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    calls = 0

    def full(path: Path, content: bytes) -> None:
        nonlocal calls
        calls += 1
        if calls > 3:
            raise FileError("file.not_writable", path=str(path), reason="No space left on device")
        path.write_bytes(content)

    monkeypatch.setattr("corelib.usecases.sheets.write_atomic", full)
    with pytest.raises(CorestowError) as caught:
        write_sheets(planned.with_suffix(".plan"), folder, asked)
    assert "No space left on device" in error_sentence(caught.value)
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before
    assert [path for path in tmp_path.iterdir() if path.name.startswith(".out")] == []


def test_a_folder_of_other_files_is_left_alone(planned: Path, tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter.txt").write_text("keep", encoding="utf-8")
    with pytest.raises(FileError):
        write_sheets(planned.with_suffix(".plan"), tmp_path / "mine", SheetsAsked(only=("labels",)))
    assert (tmp_path / "mine" / "letter.txt").read_text(encoding="utf-8") == "keep"


def seen(planned: Path, folder: Path, **more: Any) -> dict[str, Any]:
    """Return the request of a window that has a plan of a job, in a run folder away from the job."""
    run = folder / "run"
    shutil.copytree(planned.with_suffix(".plan"), run)
    return {
        "plan": str(run / "plan.json"),
        "job": str(planned),
        "document": json.loads(planned.read_text(encoding="utf-8")),
        "folder": str(run / "preview"),
        "language": "de",
        "paper": "Letter",
        "letterhead": ("Lindwerk Castings", (), None),
        **more,
    }


@pytest.mark.parametrize("sheet", PRINTED)
def test_a_preview_has_a_picture_of_each_page(planned: Path, tmp_path: Path, sheet: str) -> None:
    answer = run_preview(seen(planned, tmp_path, sheet=sheet, dots_per_inch=40.0), SILENT)
    texts = page_texts(Path(answer["pdf"]))
    assert len(answer["pages"]) == len(texts) and all("Lindwerk" in text for text in texts)
    assert not any("VERALTET" in text for text in texts)
    for path in answer["pages"]:
        with Image.open(path) as page:
            assert page.size == (340, 440)  # Letter, 8.5 by 11 inches
            assert page.convert("L").getextrema()[0] < 100  # not blank
    finer = run_pages({"pdf": answer["pdf"], "dots_per_inch": 80.0}, SILENT)
    with Image.open(finer["pages"][0]) as page:
        assert page.size == (680, 880)


def test_a_preview_of_an_edited_job_that_is_not_planned_anew_is_out_of_date(
    planned: Path, tmp_path: Path
) -> None:
    request = seen(planned, tmp_path, sheet="box-cards", dots_per_inch=20.0)
    request["document"]["overrides"] = {"rates.labour_per_h": "43"}
    assert all("VERALTET" in text for text in page_texts(Path(run_preview(request, SILENT)["pdf"])))


def test_the_window_writes_all_sheets_with_pictures_and_models(planned: Path, tmp_path: Path) -> None:
    request = seen(planned, tmp_path)
    answer = run_sheets({**request, "folder": str(tmp_path / "out"), "paper": "A4"}, SILENT)
    assert {"plan-sheet.pdf", "box-1.3mf", "workbook.xlsx"} <= set(answer["files"])
    assert json.loads((tmp_path / "out" / "index.json").read_text(encoding="utf-8"))["out_of_date"] is False


def test_blocks_known_by_their_mass_have_pictures_too(planned: Path, tmp_path: Path) -> None:
    document = json.loads(planned.read_text(encoding="utf-8"))
    block = {"size_mm": [60.0, 40.0, 30.0], "mass_kg": 0.06}
    document |= {
        "cores": [{"id": "a", "name": "A", "block": block}],
        "casting_sets": [],
        "loose": [{"core_id": "a", "count": 2}],
        "extras": {},
    }
    job = tmp_path / "blocks.json"
    job.write_text(json.dumps(document), encoding="utf-8")
    plan_to_folder(job)
    result = write_sheets(job.with_suffix(".plan"), tmp_path / "out", SheetsAsked(only=("box-cards",)))
    assert not result.out_of_date and not result.without_meshes
