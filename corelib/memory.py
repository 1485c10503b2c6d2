"""Memory that was freed, given back to the system.

glibc keeps what a process frees for its next request: after one large piece of work a window or a standing
child goes on holding what it needed at most, in holes between what lives on.
"""

from __future__ import annotations

import ctypes
from functools import cache
from typing import Any

_TRIM_THRESHOLD, _MMAP_THRESHOLD, _ARENA_MAX = -1, -3, -8  # of mallopt, from glibc's malloc.h
MAPPED_FROM_BYTES = 1 << 20
KEPT_BYTES = 4 << 20
ARENAS = 2


@cache
def _glibc() -> Any:
    """Return the C library where it has glibc's ways with memory, else None."""
    try:
        library = ctypes.CDLL(None)
        found = library.malloc_trim, library.mallopt
    except (OSError, AttributeError, TypeError):  # macOS, musl; Windows takes no None
        return None
    return library if all(found) else None


def give_back() -> None:
    """Give back the whole pages that are free; does nothing where the system's allocator does so by itself.

    It takes some hundredths of a second after large work, else less than one.
    """
    if (library := _glibc()) is not None:
        library.malloc_trim(0)


def keep_little() -> None:
    """Have blocks of 1 MiB or more, pictures above all, mapped each by itself and unmapped when freed.

    glibc moves that limit up to 32 MiB with each such block that is freed; from then on they leave holes.
    Threads share two arenas, as holes in one do not serve another. For a process that lives all day.
    """
    if (library := _glibc()) is not None:
        library.mallopt(_MMAP_THRESHOLD, MAPPED_FROM_BYTES)
        library.mallopt(_TRIM_THRESHOLD, KEPT_BYTES)
        library.mallopt(_ARENA_MAX, ARENAS)
