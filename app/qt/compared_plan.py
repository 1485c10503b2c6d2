"""A plan that is compared: its name, its document and, where its meshes are at hand, its boxes to show."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from app.qt.shown_plan import ShownPlan, read_plan
from app.runner import PlanFiles
from corelib.errors import FileError


@dataclass(frozen=True, eq=False)
class ComparedPlan:
    """One of the plans side by side; `sha256` is that of its file, by which a choice names it."""

    name: str
    sha256: str
    shown: ShownPlan

    @property
    def document(self) -> Mapping[str, Any]:
        """The plan's document."""
        return self.shown.document


def compared(name: str, shown: ShownPlan) -> ComparedPlan:
    """Return a plan that is on show, to be compared under a name; raises FileError."""
    return ComparedPlan(name, file_sha256(shown.files.plan), shown)


def read_compared(path: Path, meshes: Path) -> ComparedPlan:
    """Return the plan in a file, its meshes in a folder; named like the plan's folder. Raises FileError."""
    plan = path / "plan.json" if path.is_dir() else path
    try:
        shown = read_plan(PlanFiles(meshes, plan, meshes))
    except (OSError, KeyError, TypeError, ValueError) as error:
        raise FileError("file.not_readable", path=str(plan), reason=str(error)) from error
    name = plan.resolve().parent.name.removesuffix(".plan") or plan.stem
    return ComparedPlan(name, file_sha256(plan), shown)


def file_sha256(path: Path) -> str:
    """Return the hash of a file; raises FileError."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError as error:
        raise FileError("file.not_readable", path=str(path), reason=error.strerror or str(error)) from error
