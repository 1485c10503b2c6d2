"""Files on disk: canonical bytes, atomic writes, folders built aside, documents with kind and version."""

from __future__ import annotations

import json
import math
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import platformdirs

from corelib.errors import FileError

SIGNIFICANT_DIGITS = 12


def cache_folder() -> Path:
    """Return the folder for what can be computed again: CORESTOW_CACHE_DIR, else the user's cache."""
    stated = os.environ.get("CORESTOW_CACHE_DIR")
    return Path(stated) if stated else Path(platformdirs.user_cache_dir("corestow", appauthor=False))


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError(f"a document can't hold {value}")
        short = float(f"{value:.{SIGNIFICANT_DIGITS}g}")
        return 0.0 if short == 0 else short
    if isinstance(value, Mapping):
        return {str(key): _rounded(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_rounded(item) for item in value]
    return value


def canonical_json(document: Any, *, indent: int | None = 1) -> bytes:
    """Return the document's bytes: sorted keys, UTF-8, LF, floats to 12 significant digits."""
    text = json.dumps(_rounded(document), sort_keys=True, ensure_ascii=False, allow_nan=False, indent=indent)
    return (text + "\n").encode("utf-8")


def _fsync_folder(folder: Path) -> None:
    if os.name != "posix":  # Windows can't open a folder; its rename is journalled by the file system
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _file_error(code: str, path: Path, error: OSError) -> FileError:
    return FileError(code, path=str(path), reason=error.strerror or str(error))


def write_atomic(path: Path, content: bytes, *, durable: bool = True) -> None:
    """Write a file so that a reader finds the old content or the new, never a mix.

    Temporary file in the same folder, write, fsync, replace, fsync folder. Raises FileError. What can be
    made again and is checked when read (a cache) may go without the syncs: `durable=False`.
    """
    temporary: Path | None = None
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".tmp", dir=path.parent)
        temporary = Path(name)
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            if durable:
                os.fsync(stream.fileno())
        temporary.chmod(0o644)
        temporary.replace(path)
        temporary = None
        if durable:
            _fsync_folder(path.parent)
    except OSError as error:
        raise _file_error("file.not_writable", path, error) from error
    finally:
        if temporary is not None:
            with suppress(OSError):
                temporary.unlink()


def is_read_only(path: Path) -> bool:
    """Return True for a file that is marked as to be read only, or that can't be written where it is.

    A file is replaced, not written into: its mark would not keep it from being lost.
    """
    if path.exists() and not (path.stat().st_mode & 0o222 and os.access(path, os.W_OK)):
        return True
    return path.parent.is_dir() and not os.access(path.parent, os.W_OK)


def require_writable(path: Path) -> None:
    """Raise FileError for a file that is to be read only."""
    if is_read_only(path):
        raise FileError("file.read_only", path=str(path))


@contextmanager
def folder_aside(target: Path) -> Iterator[Path]:
    """Yield a new folder beside `target`; on success it takes target's place, else nothing is left.

    An earlier output folder (one that holds `plan.json` or is empty) is replaced; any other folder with
    content is refused. Raises FileError.
    """
    if target.exists() and not _may_be_replaced(target):
        raise FileError("file.folder_in_use", path=str(target))
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        aside = Path(tempfile.mkdtemp(prefix=f".{target.name}.", dir=target.parent))
    except OSError as error:
        raise _file_error("file.not_writable", target, error) from error
    try:
        yield aside
        aside.chmod(0o755)
        _swap(aside, target)
    except OSError as error:
        raise _file_error("file.not_writable", target, error) from error
    finally:
        shutil.rmtree(aside, ignore_errors=True)


def check_replaceable(target: Path) -> None:
    """Raise FileError if a folder with content that is no earlier output stands in the target's place."""
    if target.exists() and not _may_be_replaced(target):
        raise FileError("file.folder_in_use", path=str(target))


def replace_folder(aside: Path, target: Path) -> None:
    """Let a finished folder take the target's place, as `folder_aside` does; raises FileError."""
    check_replaceable(target)
    try:
        _swap(aside, target)
    except OSError as error:
        raise _file_error("file.not_writable", target, error) from error


def _may_be_replaced(target: Path) -> bool:
    if not target.is_dir():
        return False
    names = {entry.name for entry in target.iterdir()}
    return not names or "plan.json" in names or "index.json" in names


def _swap(aside: Path, target: Path) -> None:
    old: Path | None = None
    if target.exists():
        old = Path(tempfile.mkdtemp(prefix=f".{target.name}.old.", dir=target.parent))
        old.rmdir()
        target.rename(old)
    try:
        aside.rename(target)
    except OSError:
        if old is not None:
            old.rename(target)
        raise
    _fsync_folder(target.parent)
    if old is not None:
        shutil.rmtree(old, ignore_errors=True)


Migration = Callable[[dict[str, Any]], dict[str, Any]]


def read_document(
    path: Path, kind: str, version: int, migrations: Mapping[int, Migration] | None = None
) -> dict[str, Any]:
    """Return a document's content at schema `version`, older ones migrated in memory.

    `migrations[n]` takes a document of version n to n + 1. Raises FileError for a missing, unreadable or
    newer file; the file itself is never touched.
    """
    try:
        raw = path.read_bytes()
    except FileNotFoundError as error:
        raise FileError("file.missing", path=str(path)) from error
    except OSError as error:
        raise _file_error("file.not_readable", path, error) from error
    try:
        document = json.loads(raw.decode("utf-8"), parse_constant=_refuse_constant)
    except (UnicodeDecodeError, ValueError, RecursionError) as error:
        raise FileError("file.not_json", path=str(path), reason=str(error)) from error
    if not isinstance(document, dict) or document.get("kind") != kind:
        found = document.get("kind") if isinstance(document, dict) else None
        raise FileError("file.wrong_kind", path=str(path), wanted=kind, found=str(found))
    return _at_version(path, document, version, migrations or {})


def _refuse_constant(name: str) -> None:
    raise ValueError(f"{name} is not a number that a document may hold")


def _at_version(
    path: Path, document: dict[str, Any], version: int, migrations: Mapping[int, Migration]
) -> dict[str, Any]:
    found = document.get("schema_version")
    if not isinstance(found, int) or isinstance(found, bool) or found < 1:
        raise FileError("file.no_version", path=str(path))
    if found > version:
        raise FileError("file.newer_version", path=str(path), found=found, known=version)
    for step in range(found, version):
        document = migrations[step](document)
        document["schema_version"] = step + 1
    return document
