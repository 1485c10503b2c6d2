"""Finds and reads the shared data: profiles, tables, schema, wording, licences.

In a checkout it lies in `shared/` beside the packages, in an installed wheel in `corelib/_shared`.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any


@cache
def shared_folder() -> Path:
    """Return the folder of shared data; raises FileNotFoundError if the installation is incomplete."""
    package = Path(__file__).parent
    for folder in (package / "_shared", package.parent / "shared"):
        if (folder / "wording").is_dir():
            return folder
    raise FileNotFoundError("corestow's shared data is missing; install corestow again")


@cache
def table(name: str) -> dict[str, Any]:
    """Return the table `shared/tables/NAME.json` (a mapping with `source` and the rows)."""
    path = shared_folder() / "tables" / f"{name}.json"
    content: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return content
