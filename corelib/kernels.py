"""The one door to numba: every compiled kernel is declared with `kernel` and an explicit signature.

Kernels are compiled once and kept on disk, in a folder named by the program's version and a hash of all
kernel sources, so that an edited kernel can never be served from an old cache. They release the
interpreter lock (threads may split work) and use plain IEEE arithmetic (no fastmath): same bits on every run.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import numba

from corelib import __version__
from corelib.files import cache_folder

Function = TypeVar("Function", bound=Callable[..., Any])


def _sources_hash() -> str:
    """Return a hash of every module of the library that declares kernels."""
    digest = hashlib.sha256()
    root = Path(__file__).parent
    for path in sorted(root.rglob("*.py")):
        content = path.read_bytes()
        if b"@kernel(" in content:
            digest.update(path.relative_to(root).as_posix().encode())
            digest.update(content)
    return digest.hexdigest()[:16]


KERNELS_VERSION = f"{__version__}-numba{numba.__version__}-{_sources_hash()}"
numba.config.CACHE_DIR = str(cache_folder() / "kernels" / KERNELS_VERSION)  # type: ignore[attr-defined]


def kernel(signature: Any) -> Callable[[Function], Function]:
    """Return a decorator that compiles a function for `signature` (a string or a list of strings)."""
    return numba.njit(signature, cache=True, nogil=True, fastmath=False, error_model="numpy")
