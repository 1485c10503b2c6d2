"""Recovery: unsaved changes are kept aside while a job is open, and offered again after a crash.

A lock says which window has the job: a second window on the same job is told so.
"""

from __future__ import annotations

import hashlib
import json
import logging
from pathlib import Path

from PySide6.QtCore import QLockFile, QObject, QTimer

from app.qt.document import Document
from corelib.errors import CorestowError
from corelib.files import canonical_json, write_atomic
from corelib.job.files import job_document, job_from_document, read_job
from corelib.job.models import Job

KEEP_AFTER_MS = 3000
KIND = "corestow.recovery"
log = logging.getLogger("corestow.window")


class Recovery(QObject):
    """Keeps the open job's unsaved changes in `folder`."""

    def __init__(self, document: Document, folder: Path, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._folder = folder
        self._lock: QLockFile | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(KEEP_AFTER_MS)
        self._timer.timeout.connect(self.keep)
        document.job_changed.connect(self._timer.start)
        document.history.cleanChanged.connect(self._drop_if_clean)

    def take(self, path: Path) -> bool:
        """Take the lock on a job; False if another window has it."""
        self.leave()
        self._folder.mkdir(parents=True, exist_ok=True)
        self._lock = QLockFile(str(self._file(path).with_suffix(".lock")))
        self._lock.setStaleLockTime(0)  # stale only if its process is gone
        return self._lock.tryLock(0)

    def left_behind(self, path: Path) -> Job | None:
        """Return what a crash left of a job's changes, None if there is nothing usable."""
        kept = _kept(self._file(path))
        return kept[1] if kept is not None and kept[0] == path.resolve() else None

    def waiting(self) -> list[Path]:
        """Return the jobs of which a crash left changes, the latest first; not those open in a window."""
        files = sorted(self._folder.glob("*.json"), key=_changed_s, reverse=True)
        kept = [found for file in files if (found := _kept(file)) is not None]
        return [path for path, job in kept if self._is_lost(path, job)]

    def _is_lost(self, path: Path, job: Job) -> bool:
        """Return True if the job's file can be read, differs from what was kept, and no window has it."""
        lock = QLockFile(str(self._file(path).with_suffix(".lock")))
        lock.setStaleLockTime(0)
        if not lock.tryLock(0):
            return False
        lock.unlock()
        try:
            return read_job(path) != job
        except CorestowError:
            return False

    def keep(self) -> None:
        """Write the unsaved changes aside; without any, nothing stays there.

        What another window that has the job keeps is left alone.
        """
        job, path = self._document.job, self._document.job_path
        if job is None or path is None or self._is_elsewhere:
            return
        if not self._document.is_dirty:
            self.drop()
            return
        content = {"kind": KIND, "path": str(path.resolve()), "job": job_document(job)}
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            write_atomic(self._file(path), canonical_json(content))
        except (OSError, CorestowError) as error:
            log.warning("changes are not kept aside: %s", error)

    def drop(self) -> None:
        """Remove what was kept of the open job, unless another window keeps it."""
        if self._document.job_path is not None and not self._is_elsewhere:
            self._file(self._document.job_path).unlink(missing_ok=True)

    @property
    def _is_elsewhere(self) -> bool:
        """True if another window has the job."""
        return self._lock is not None and not self._lock.isLocked()

    def move(self, old: Path, new: Path) -> bool:
        """Go on with another job file and keep nothing of the old one; False if another window has it."""
        if old != new and not self._is_elsewhere:
            self._file(old).unlink(missing_ok=True)
        return self.take(new)

    def leave(self) -> None:
        """Let go of the job's lock."""
        self._timer.stop()
        if self._lock is not None:
            self._lock.unlock()
            self._lock = None

    def _drop_if_clean(self, is_clean: bool) -> None:
        if is_clean:
            self._timer.stop()
            self.drop()

    def _file(self, path: Path) -> Path:
        name = hashlib.sha256(str(path.resolve()).encode("utf-8")).hexdigest()[:24]
        return self._folder / f"{name}.json"


def _kept(file: Path) -> tuple[Path, Job] | None:
    """Return job file and job in a file of kept changes, None if it can't be used."""
    try:
        content = json.loads(file.read_text(encoding="utf-8"))
        if content["kind"] != KIND:
            return None
        return Path(content["path"]), job_from_document(content["job"], str(file))
    except FileNotFoundError:
        return None
    except (OSError, ValueError, KeyError, TypeError, CorestowError) as error:
        log.warning("%s can't be used: %s", file, error)
        return None


def _changed_s(file: Path) -> float:
    try:
        return file.stat().st_mtime
    except OSError:  # gone since it was listed
        return 0.0
