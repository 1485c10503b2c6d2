"""What the window takes for granted of its libraries."""

from __future__ import annotations

import sys

from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot


def test_calls_that_return_nothing_keep_the_references_to_none(qtbot: QtBot) -> None:
    """PySide6 6.12.0 gave one up at each call; without immortal objects (Python 3.11) the process ends."""
    label = QLabel()
    qtbot.addWidget(label)
    before = sys.getrefcount(None)
    for _ in range(1000):
        label.setText("x")
    assert sys.getrefcount(None) > before - 500
