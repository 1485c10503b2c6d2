"""Use case: lay plans side by side."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from corelib.comparison import Comparison, compare_plans
from corelib.export.comparison_text import comparison_lines
from corelib.usecases.plans import read_plan

__all__ = ["compare_files", "comparison_lines"]


def compare_files(paths: Sequence[Path]) -> Comparison:
    """Return the comparison of two to six plans (plan.json, or the folder that holds it)."""
    plans = [read_plan(path) for path in paths]
    return compare_plans(_names(paths), plans)


def _names(paths: Sequence[Path]) -> list[str]:
    """Return a short name for each plan: its folder's, and its number where names repeat."""
    folders = [path if path.is_dir() else path.parent for path in paths]
    names = [folder.resolve().name.removesuffix(".plan") or "plan" for folder in folders]
    return [
        f"{name} ({number})" if names.count(name) > 1 else name for number, name in enumerate(names, start=1)
    ]
