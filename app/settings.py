"""The user's folders: logs. (Caches: `corelib.files.cache_folder`.)"""

from __future__ import annotations

import logging
from logging.handlers import RotatingFileHandler
from pathlib import Path

import platformdirs


def log_path() -> Path:
    """Return the path of the log file; its folder is made if it can be."""
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
