"""Use cases in a child of the window: write a plan's sheets, look at a printed one before it is printed.

The requests share `plan`, `language`, `paper`, `letterhead` (its fields in order), and `job` with `document`:
the job as it is now, saved or not, against which the plan is held.
"""

from __future__ import annotations

from pathlib import Path

from corelib.child import Answer, Request
from corelib.errors import FileError
from corelib.export.letterhead import Letterhead
from corelib.export.pdf_pages import page_count, page_pictures
from corelib.files import write_atomic
from corelib.job.files import job_from_document
from corelib.progress import Progress
from corelib.usecases.sheets import JobNow, SheetsAsked, printed_sheet, write_sheets


def run_sheets(request: Request, progress: Progress) -> Answer:
    """Run in a child: write all sheets of a plan into `folder`; returns `folder` and `files`."""
    result = write_sheets(
        Path(request["plan"]), Path(request["folder"]), _asked(request), now=_now(request), progress=progress
    )
    return {"folder": str(result.folder), "files": list(result.files)}


def run_preview(request: Request, progress: Progress) -> Answer:
    """Run in a child: make the printed sheet `sheet` in `folder`, and pictures of its pages.

    `dots_per_inch` is that of the pictures. Returns `pdf` and `pages`, the paths of the files.
    """
    name, content = printed_sheet(
        Path(request["plan"]),
        request["sheet"],
        _asked(request),
        now=_now(request),
        progress=progress.span(0.0, 0.6),
    )
    folder = Path(request["folder"])
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileError("file.not_writable", path=str(folder), reason=error.strerror or str(error)) from error
    pdf = folder / name
    write_atomic(pdf, content, durable=False)
    pages = _pages(content, pdf, request["dots_per_inch"], progress.span(0.6, 1.0))
    return {"pdf": str(pdf), "pages": pages}


def run_pages(request: Request, progress: Progress) -> Answer:
    """Run in a child: the pages of `pdf` as pictures of `dots_per_inch`; returns `pages`."""
    pdf = Path(request["pdf"])
    try:
        content = pdf.read_bytes()
    except OSError as error:
        raise FileError("file.not_readable", path=str(pdf), reason=error.strerror or str(error)) from error
    return {"pages": _pages(content, pdf, request["dots_per_inch"], progress)}


def _asked(request: Request) -> SheetsAsked:
    return SheetsAsked(
        paper=request["paper"], language=request["language"], letterhead=Letterhead(*request["letterhead"])
    )


def _now(request: Request) -> JobNow:
    path = Path(request["job"])
    return JobNow(path, job_from_document(request["document"], str(path)))


def _pages(content: bytes, pdf: Path, dots_per_inch: float, progress: Progress) -> list[str]:
    """Write the pages beside the PDF and return their paths."""
    count = page_count(content)
    paths = []
    for number, picture in enumerate(page_pictures(content, dots_per_inch)):
        progress(number / count, "pages")
        path = pdf.with_suffix(f".{dots_per_inch:g}-{number + 1:03d}.png")
        write_atomic(path, picture, durable=False)
        paths.append(str(path))
    return paths
