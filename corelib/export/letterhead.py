"""The foundry's own name, address and mark, as its sheets carry them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Letterhead:
    """Name, address lines and mark (PNG or JPEG) of the foundry, from the user's settings."""

    name: str = ""
    address: tuple[str, ...] = ()
    mark: bytes | None = None
