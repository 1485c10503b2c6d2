"""Use case: show Corestow's licence and those of the libraries that it uses."""

from __future__ import annotations

from corelib.reference import shared_folder


def licence_texts() -> str:
    """Return Corestow's licence and those of the libraries that it uses."""
    folder = shared_folder() / "licences"
    texts = [path.read_text(encoding="utf-8").rstrip() for path in sorted(folder.glob("*.txt"))]
    return "\n\n".join(texts)
