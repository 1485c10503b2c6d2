"""The user's folders and choices, without Qt: preferences, logs, runs."""

from __future__ import annotations

import json
import logging
import os
from dataclasses import asdict, dataclass, replace
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import Any

import platformdirs

from corelib.errors import FileError
from corelib.files import cache_folder, canonical_json, write_atomic

PREFERENCES_KIND = "corestow.preferences"
PREFERENCES_VERSION = 1
MOST_RECENT = 10
LENGTH_UNITS = ("mm", "inch")


def config_folder() -> Path:
    """Return the folder for preferences: CORESTOW_CONFIG_DIR, else the user's configuration folder."""
    stated = os.environ.get("CORESTOW_CONFIG_DIR")
    return Path(stated) if stated else Path(platformdirs.user_config_dir("corestow", appauthor=False))


def runs_folder() -> Path:
    """Return the folder in which each run of a use case gets a folder of its own."""
    return cache_folder() / "runs"


def log_path() -> Path:
    """Return the path of the log file; `start_log` makes its folder."""
    folder = Path(platformdirs.user_log_dir("corestow", appauthor=False))
    return folder / "corestow.log"


def start_log() -> Path | None:
    """Start logging to the log file; returns its path, or None where it can't be written."""
    path = log_path()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handler = RotatingFileHandler(path, maxBytes=1_000_000, backupCount=3, encoding="utf-8")
    except OSError:
        return None
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s %(message)s"))
    root = logging.getLogger()
    root.addHandler(handler)
    root.setLevel(logging.INFO)
    return path


@dataclass(frozen=True)
class Preferences:
    """What the user chose: language (None: the system's), unit of lengths, the jobs opened last."""

    language: str | None = None
    recent_jobs: tuple[str, ...] = ()
    length_unit: str = "mm"

    def with_recent(self, job: Path) -> Preferences:
        """Return the preferences with `job` as the latest of the recent jobs."""
        path = str(job.resolve())
        others = [other for other in self.recent_jobs if other != path]
        return replace(self, recent_jobs=(path, *others)[:MOST_RECENT])

    def with_language(self, language: str | None) -> Preferences:
        """Return the preferences with another language; None follows the system."""
        return replace(self, language=language)

    def with_length_unit(self, unit: str) -> Preferences:
        """Return the preferences with another unit of length: one of `LENGTH_UNITS`."""
        return replace(self, length_unit=unit)


def load_preferences() -> Preferences:
    """Return the stored preferences; a missing or unreadable file gives the defaults."""
    try:
        stored = json.loads((config_folder() / "preferences.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return Preferences()
    return _understood(stored)


def _understood(stored: Any) -> Preferences:
    if not isinstance(stored, dict) or stored.get("schema_version") != PREFERENCES_VERSION:
        return Preferences()
    language = stored.get("language")
    recent, unit = stored.get("recent_jobs"), stored.get("length_unit")
    paths = recent if isinstance(recent, list) else []
    return Preferences(
        language=language if isinstance(language, str) else None,
        recent_jobs=tuple(path for path in paths if isinstance(path, str))[:MOST_RECENT],
        length_unit=unit if unit in LENGTH_UNITS else LENGTH_UNITS[0],
    )


def save_preferences(preferences: Preferences) -> None:
    """Write the preferences; raises FileError where the folder can't be written."""
    folder = config_folder()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileError("file.not_writable", path=str(folder), reason=error.strerror or str(error)) from error
    document = {"kind": PREFERENCES_KIND, "schema_version": PREFERENCES_VERSION, **asdict(preferences)}
    write_atomic(folder / "preferences.json", canonical_json(document))


def load_letterhead() -> tuple[str, tuple[str, ...], bytes | None]:
    """Return the foundry's name, address and mark from `letterhead.json` in the preferences' folder.

    The file holds `name`, `address` (lines) and `mark` (a PNG or JPEG beside it). Without it sheets carry no
    name; raises FileError where a mark that is named can't be read.
    """
    folder = config_folder()
    try:
        stored = json.loads((folder / "letterhead.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return "", (), None
    if not isinstance(stored, dict):
        return "", (), None
    mark, lines = stored.get("mark"), stored.get("address")
    address = tuple(str(line)[:100] for line in lines[:6]) if isinstance(lines, list) else ()
    name = str(stored.get("name", ""))[:100]
    return name, address, _mark(folder / mark) if isinstance(mark, str) and mark else None


def _mark(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise FileError("file.not_readable", path=str(path), reason=error.strerror or str(error)) from error
