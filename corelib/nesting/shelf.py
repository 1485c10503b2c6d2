"""Depth tables kept on disk between runs by a hash of what they were made from; the oldest go first.

A file holds three numbers (bytes of depths, spans, forms), the depths, the spans and the links. It is mapped,
not read: processes that search the same job share its pages. What is not there or not whole is made again.
"""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from tempfile import mkstemp

import numpy as np

from corelib.files import cache_folder
from corelib.kernels import KERNELS_VERSION
from corelib.nesting.penetration import Depths, Spans
from corelib.nesting.separation import LINK, Links

MOST_BYTES = 3_000_000_000
"""What all files together may take."""
LEAST_BYTES = 4_000_000
"""Smaller tables are made again more quickly than they are worth keeping."""
HEAD = 64  # bytes before the depths; they and the spans end on a multiple of it


def _folder() -> Path:
    return cache_folder() / "depth_tables" / KERNELS_VERSION


def _padded(size: int) -> int:
    return -(-size // HEAD) * HEAD


def taken_from_shelf(key: str) -> tuple[Depths, Spans, Links] | None:
    """Return the tables of a key, if they are there and whole."""
    path = _folder() / key
    try:
        whole = np.asarray(np.memmap(path, dtype=np.uint8, mode="c"))
        os.utime(path)
    except (OSError, ValueError):
        return None
    if len(whole) < HEAD:
        return None
    depths, spans, forms = (int(n) for n in whole[:24].view(np.int64))
    ends = np.cumsum([HEAD, _padded(depths), _padded(6 * spans), 8 * forms * forms * LINK])
    if len(whole) != ends[-1]:
        return None
    links = whole[ends[2] :].view(np.int64).reshape(forms, forms, LINK)
    return (
        whole[HEAD : HEAD + depths],
        whole[ends[1] : ends[1] + 6 * spans].view(np.int16).reshape(-1, 3),
        links,
    )


def put_on_shelf(key: str, depths: Depths, spans: Spans, links: Links) -> None:
    """Keep the tables of a key if the disk lets them be kept; a reader finds all of a file or nothing."""
    if depths.nbytes < LEAST_BYTES:
        return
    folder = _folder()
    with suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)
        _make_room(folder.parent, depths.nbytes + spans.nbytes + links.nbytes)
        handle, name = mkstemp(prefix=".", suffix=".tmp", dir=folder)
        try:
            with os.fdopen(handle, "wb") as stream:
                head = np.zeros(HEAD, dtype=np.uint8)
                head[:24] = np.array([len(depths), len(spans), len(links)], dtype=np.int64).view(np.uint8)
                stream.write(head.data)
                for part in (depths, spans):
                    stream.write(part.data)
                    stream.write(bytes(_padded(part.nbytes) - part.nbytes))
                stream.write(links.data)
            Path(name).replace(folder / key)
        finally:
            Path(name).unlink(missing_ok=True)


def _make_room(folder: Path, size: int) -> None:
    """Delete the files longest unused until so many bytes more may be kept."""
    files = [
        (path.stat().st_mtime, path.stat().st_size, path) for path in folder.rglob("*") if path.is_file()
    ]
    total = sum(size for _, size, _ in files) + size
    for _, freed, path in sorted(files):
        if total <= MOST_BYTES:
            break
        path.unlink(missing_ok=True)
        total -= freed
