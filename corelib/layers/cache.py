"""What was cut once is kept: sections of cores in closed form, and outlines where cores have a bleed."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from corelib.layers.model import PlacedBody
from corelib.layers.sections import MEMORY_MB, SectionCache

if TYPE_CHECKING:
    from corelib.layers.store import OutlineStore


class LayerCache:
    """Keeps sections and outlines by content, in memory and, if a folder is given, on disk."""

    def __init__(self, folder: Path | None = None, memory_mb: float = MEMORY_MB) -> None:
        """`memory_mb` is what sections, and what outlines, may each take in memory."""
        self._folder, self._memory_mb = folder, memory_mb
        self._outlines: OutlineStore | None = None
        self.sections = SectionCache(None if folder is None else folder / "sections", memory_mb)

    @property
    def outlines(self) -> OutlineStore:
        """The store of outlines, made when it is first wanted: many plans need none."""
        if self._outlines is None:
            from corelib.layers.store import OutlineStore

            folder = None if self._folder is None else self._folder / "outlines"
            self._outlines = OutlineStore(folder, self._memory_mb)
        return self._outlines

    def outlines_for(self, placed: Sequence[PlacedBody]) -> OutlineStore | None:
        """Return the store if a body is drawn in by a bleed; None where closed forms are exact."""
        drawn_in = any(item.body.bleed_xy_mm != 0 or item.body.bleed_z_mm != 0 for item in placed)
        return self.outlines if drawn_in else None
