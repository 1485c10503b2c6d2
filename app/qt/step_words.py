"""Words for the steps that long work reports."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication


def step_word(step: str) -> str:
    """Return the word for a step; one that is not known is shown as it is."""
    translate = QCoreApplication.translate
    words = {
        "read": translate("Steps", "Reading cores"),
        "pack": translate("Steps", "Packing"),
        "nest": translate("Steps", "Packing"),
        "improve": translate("Steps", "Packing"),
        "shape": translate("Steps", "Shape of the core"),
        "settle": translate("Steps", "Settling the packing"),
        "layers": translate("Steps", "Layers"),
        "estimate": translate("Steps", "Quantities, time and cost"),
        "plan-sheet": translate("Steps", "Plan sheet"),
        "summary": translate("Steps", "Summary"),
        "process-sheet": translate("Steps", "Process sheet"),
        "pages": translate("Steps", "Pages"),
        "labels": translate("Steps", "Labels"),
        "box-cards": translate("Steps", "Box cards"),
        "workbook": translate("Steps", "Workbook"),
        "tables": translate("Steps", "Tables"),
        "3mf": translate("Steps", "Models of the boxes"),
        "stl": translate("Steps", "Models of the cores"),
        "layer-bodies": translate("Steps", "Cores layer on layer"),
        "svg": translate("Steps", "Layer drawings"),
        "done": translate("Steps", "Done"),
    }
    return words.get(step, step)
