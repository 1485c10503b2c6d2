"""Use case: lay plans side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from corelib.child import Answer, Request
from corelib.comparison import Comparison, compare_plans
from corelib.errors import FileError
from corelib.export.comparison_pdf import comparison_pdf
from corelib.export.comparison_text import comparison_lines
from corelib.export.figures import label
from corelib.export.letterhead import Letterhead
from corelib.export.paper import Heading, PaperSize
from corelib.files import write_atomic
from corelib.progress import Progress
from corelib.usecases.plans import read_plan

__all__ = ["Letterhead", "compare_files", "comparison_lines", "write_comparison"]


def compare_files(paths: Sequence[Path]) -> Comparison:
    """Return the comparison of two to six plans (plan.json, or the folder that holds it)."""
    plans = [read_plan(path) for path in paths]
    return compare_plans(_names(paths), plans)


def write_comparison(
    comparison: Comparison,
    path: Path,
    *,
    language: str = "en",
    paper: PaperSize = "A4",
    letterhead: Letterhead | None = None,
    choice: Mapping[str, Any] | None = None,
) -> None:
    """Write a comparison as PDF, with the plan that was picked of them; raises FileError."""
    heading = Heading(
        title=label("comparison", language),
        subject=", ".join(comparison.names),
        revision="",
        date=date.today().isoformat(),
        letterhead=letterhead or Letterhead(),
        language=language,
        paper=paper,
    )
    if not path.parent.is_dir():
        raise FileError("file.no_folder", path=str(path.parent))
    write_atomic(path, comparison_pdf(comparison, heading, choice))


def run_comparison(request: Request, progress: Progress) -> Answer:
    """Run in a child: write the comparison of `plans` (documents) under `names` to the PDF file `path`.

    `choice` is the job's, shown where it picks one of these plans; `letterhead` its fields in order.
    """
    comparison = compare_plans(request["names"], request["plans"])
    progress(0.3, "comparison")
    choice = request.get("choice")
    name, address, mark = request.get("letterhead") or ("", (), None)
    write_comparison(
        comparison,
        Path(request["path"]),
        language=request["language"],
        letterhead=Letterhead(name, tuple(address), mark),
        choice=choice if choice is not None and choice["plan"] in comparison.names else None,
    )
    return {"path": request["path"]}


def _names(paths: Sequence[Path]) -> list[str]:
    """Return a short name for each plan: its folder's, and its number where names repeat."""
    folders = [path if path.is_dir() else path.parent for path in paths]
    names = [folder.resolve().name.removesuffix(".plan") or "plan" for folder in folders]
    return [
        f"{name} ({number})" if names.count(name) > 1 else name for number, name in enumerate(names, start=1)
    ]
