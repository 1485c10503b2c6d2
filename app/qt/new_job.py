"""A new job from mesh files, dropped or chosen: where it goes, and the length unit that STL has not."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import get_args

from PySide6.QtCore import QCoreApplication
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QFileDialog, QInputDialog, QWidget

from corelib.job.models import LengthUnit
from corelib.job.new import MESH_FORMATS, NewJob
from corelib.usecases.jobs import write_new_job


def is_mesh(path: Path) -> bool:
    """Return True for a file whose ending is that of a mesh format."""
    return path.suffix.lower() in MESH_FORMATS


def dropped_files(event: QDropEvent) -> list[Path]:
    """Return the local files of a drop; none if anything else is among them."""
    urls = event.mimeData().urls()
    return [Path(url.toLocalFile()) for url in urls] if all(url.isLocalFile() for url in urls) else []


def is_welcome(paths: Sequence[Path]) -> bool:
    """Return True for one job file, or for mesh files."""
    if len(paths) == 1 and paths[0].suffix.lower() == ".json":
        return True
    return bool(paths) and all(is_mesh(path) for path in paths)


def ask_unit(parent: QWidget, meshes: Sequence[Path]) -> tuple[bool, str | None]:
    """Return whether the user goes on, and the length unit of files that don't say theirs (None: all do)."""
    if all(MESH_FORMATS[mesh.suffix.lower()] for mesh in meshes):
        return True, None
    unit, goes_on = QInputDialog.getItem(
        parent,
        QCoreApplication.translate("NewJob", "Length unit of the meshes"),
        QCoreApplication.translate("NewJob", "The files do not say their length unit. It is:"),
        get_args(LengthUnit),
        0,
        False,
    )
    return goes_on, unit


def ask_new_job(parent: QWidget, meshes: Sequence[Path]) -> Path | None:
    """Ask for unit and place, write the job and return its path; None if the user stops.

    Raises FileError or InputError; an existing job file is never overwritten.
    """
    goes_on, unit = ask_unit(parent, meshes)
    if not goes_on:
        return None
    name, _ = QFileDialog.getSaveFileName(
        parent,
        QCoreApplication.translate("NewJob", "Save the new job as"),
        str(meshes[0].with_suffix(".json")),
        QCoreApplication.translate("NewJob", "Jobs (*.json)"),
        options=QFileDialog.Option.DontConfirmOverwrite,
    )
    if not name:
        return None
    path = Path(name)
    write_new_job(path, NewJob(meshes=tuple(str(mesh) for mesh in meshes), unit=unit))
    return path
