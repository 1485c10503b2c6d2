"""Mesh files read in guarded child processes: a standing pool, limits on time and memory.

A parser that crashes, hangs or eats the memory on a bad file takes its child with it, and the reader of
the file's name gets one sentence.
"""

from __future__ import annotations

import hashlib
import os
import threading
from collections.abc import Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import asdict, dataclass
from multiprocessing import util
from pathlib import Path
from queue import Empty, SimpleQueue
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np

from corelib.child import Answer, Child, Entry, Request
from corelib.errors import ChildError, InputError, MeshError
from corelib.mesh.raw import MIB, RawMesh, ReadLimits, stated_limits
from corelib.mesh.readers import CHORD_MM, read_raw
from corelib.progress import SILENT, Progress

SECONDS_PER_MB = 1.0
"""Time that a file's size adds to the limit."""
_LISTEN_S = 0.05


@dataclass(frozen=True, eq=False)
class ParsedFile:
    """A file as read: its raw triangles and its content's hash."""

    path: Path
    raw: RawMesh
    sha256: str


def parse_request(request: Request, progress: Progress) -> Answer:
    """Run in the child: read the file, leave its arrays as .npy files, answer with their names."""
    path, out = Path(request["path"]), Path(request["out"])
    raw = read_raw(path, ReadLimits(**request["limits"]), request["chord_mm"])
    arrays = {"corners": raw.corners, "vertices": raw.vertices, "faces": raw.faces}
    saved = [name for name, array in arrays.items() if array is not None]
    for name in saved:
        np.save(out / f"{name}.npy", arrays[name])  # type: ignore[arg-type]
    with path.open("rb") as stream:
        digest = hashlib.file_digest(stream, "sha256").hexdigest()
    remarks = [[code, facts] for code, facts in raw.remarks]
    return {"format": raw.format, "unit": raw.unit, "saved": saved, "remarks": remarks, "sha256": digest}


class ParserPool:
    """A standing pool of parser children; files are read by as many at once as there are children."""

    def __init__(
        self, children: int = 2, limits: ReadLimits | None = None, entry: Entry = parse_request
    ) -> None:
        self.limits = limits or stated_limits(os.environ)
        self._children = [
            Child(entry, memory_mb=self.limits.memory_mb, name=f"corestow-parser-{number}")
            for number in range(children)
        ]
        self._idle: SimpleQueue[Child] = SimpleQueue()
        for child in self._children:
            self._idle.put(child)

    def start(self) -> None:
        """Start the children that are idle, so that the first file finds them ready."""
        for _ in self._children:
            try:
                child = self._idle.get_nowait()
            except Empty:
                return
            child.start()
            self._idle.put(child)

    def read(
        self, paths: Sequence[Path], progress: Progress = SILENT, chord_mm: float = CHORD_MM
    ) -> list[ParsedFile | InputError]:
        """Return each file as read, or the error that its reading ended in, in the order of `paths`.

        `chord_mm` is how far facets of a STEP file may lie off its surface. Raises Cancelled within 0.5 s
        of the user's wish.
        """
        cancelled = threading.Event()
        with (
            TemporaryDirectory(prefix="corestow-parse-") as folder,
            ThreadPoolExecutor(max(1, min(len(paths), len(self._children)))) as threads,
        ):
            jobs = [
                threads.submit(self._read_one, path, Path(folder) / str(number), cancelled, chord_mm)
                for number, path in enumerate(paths)
            ]
            try:
                _watch(jobs, progress)
            except BaseException:
                cancelled.set()
                for job in jobs:
                    job.cancel()
                raise
            return [job.result() for job in jobs]

    def _read_one(
        self, path: Path, out: Path, cancelled: threading.Event, chord_mm: float
    ) -> ParsedFile | InputError:
        child = self._idle.get()
        try:
            return self._ask(child, path, out, cancelled, chord_mm)
        except InputError as error:
            return error
        finally:
            self._idle.put(child)

    def _ask(
        self, child: Child, path: Path, out: Path, cancelled: threading.Event, chord_mm: float
    ) -> ParsedFile:
        out.mkdir()
        limit_s = self.limits.seconds + SECONDS_PER_MB * _size_mb(path)
        limits = asdict(self.limits)
        absolute = str(path.absolute())  # the child may stand in another folder
        request = {"path": absolute, "out": str(out), "limits": limits, "chord_mm": chord_mm}
        try:
            answer = child.ask(request, cancelled=cancelled, limit_s=limit_s)
        except ChildError as error:
            child.end()
            raise _of_file(error, path, limit_s, self.limits) from error
        arrays: dict[str, Any] = {name: np.load(out / f"{name}.npy") for name in answer["saved"]}
        remarks = tuple((code, facts) for code, facts in answer["remarks"])
        raw = RawMesh(answer["format"], unit=answer["unit"], remarks=remarks, **arrays)
        return ParsedFile(path, raw, answer["sha256"])

    def end(self) -> None:
        """End all children."""
        for child in self._children:
            child.end()

    def __enter__(self) -> ParserPool:
        return self

    def __exit__(self, *_: object) -> None:
        self.end()


def _watch(jobs: Sequence[Future[Any]], progress: Progress) -> None:
    """Report as files get done, and hear a cancel while waiting."""
    pending = set(jobs)
    while pending:
        done, pending = wait(pending, timeout=_LISTEN_S, return_when=FIRST_COMPLETED)
        for job in done:
            job.result()
        progress(1 - len(pending) / len(jobs), "read")


def _size_mb(path: Path) -> float:
    try:
        return path.stat().st_size / MIB
    except OSError:
        return 0.0


def _of_file(error: ChildError, path: Path, limit_s: float, limits: ReadLimits) -> MeshError:
    """Return the sentence with the file's name for what became of its parser."""
    if error.code == "work.too_slow":
        return MeshError("mesh.reader_too_slow", file=path.name, limit_s=limit_s)
    if error.code == "work.out_of_memory":
        return MeshError("mesh.reader_out_of_memory", file=path.name, limit_mb=limits.memory_mb)
    if error.code == "work.child_died":
        return MeshError("mesh.reader_crashed", file=path.name)
    return MeshError("mesh.reader_failed", file=path.name, reason=str(error.facts.get("reason", error.code)))


_standing: list[ParserPool] = []
_standing_lock = threading.Lock()


def standing_pool() -> ParserPool:
    """Return this process's parser pool; its children are started on first use and end with the process."""
    with _standing_lock:
        if not _standing:
            pool = ParserPool()
            _standing.append(pool)
            # multiprocessing joins children at exit, spawned processes included: end ours before that
            util.Finalize(None, pool.end, exitpriority=100)
        return _standing[0]
