"""Memory that was freed, given back to the system.

glibc keeps what a process frees for its next request: after one large piece of work a window or a standing
child goes on holding what it needed at most, in holes between what lives on.
"""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from functools import cache


@cache
def _trim() -> Callable[[int], int] | None:
    """Return glibc's `malloc_trim`, None where the system has another allocator."""
    try:
        found: Callable[[int], int] | None = ctypes.CDLL(None).malloc_trim
    except (OSError, AttributeError, TypeError):  # macOS, musl; Windows takes no None
        return None
    return found


def give_back() -> None:
    """Give back the whole pages that are free; does nothing where the system's allocator does so by itself.

    It takes some hundredths of a second after large work, else less than one.
    """
    trim = _trim()
    if trim is not None:
        trim(0)
