"""Whether a window can be opened at all: Qt ends the process where its platform plugin can't be loaded."""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Mapping
from pathlib import Path

from PySide6.QtCore import QLibraryInfo

from corelib.errors import InputError


def require_screen(environment: Mapping[str, str] = os.environ, system: str = sys.platform) -> None:
    """Raise InputError where no screen is at hand, or a library that Qt needs for it is missing."""
    if system != "linux" or "QT_QPA_PLATFORM" in environment:
        return
    if environment.get("WAYLAND_DISPLAY"):
        return
    if not environment.get("DISPLAY"):
        raise InputError("window.no_screen")
    plugins = Path(QLibraryInfo.path(QLibraryInfo.LibraryPath.PluginsPath))
    require_library(plugins / "platforms" / "libqxcb.so")


def require_library(path: Path) -> None:
    """Raise InputError, naming what is missing, if a library can't be loaded."""
    try:
        ctypes.CDLL(str(path))
    except OSError as error:
        raise InputError("window.no_qt", reason=str(error)) from error
