"""Garbage with Qt's objects in it is collected on the window's thread, never on a worker's."""

from __future__ import annotations

import gc
import threading
import weakref
from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from app.qt.collector import Collector
from tests.app.qt.conftest import READY_MS

KEPT: list[list[list[int]]] = []


class Knot:
    """Refers to itself, and tells on which thread it ends."""

    def __init__(self, ended_on: list[int]) -> None:
        self.itself = self
        weakref.finalize(self, lambda: ended_on.append(threading.get_ident()))


@pytest.fixture
def collector() -> Iterator[Collector]:
    """Return a collector at work."""
    collector = Collector()
    yield collector
    collector.end()
    gc.disable()  # as the tests' own fixture has it


def allocate() -> None:
    """Make far more objects than the collector waits for, and keep them."""
    KEPT.append([[n] for n in range(20_000)])


def test_a_worker_ends_nothing_and_the_loop_does(collector: Collector, qtbot: QtBot) -> None:
    ended_on: list[int] = []
    for _ in range(3):
        Knot(ended_on)
    worker = threading.Thread(target=allocate)
    worker.start()
    worker.join()
    assert ended_on == []
    qtbot.waitUntil(lambda: len(ended_on) == 3, timeout=READY_MS)
    assert set(ended_on) == {threading.get_ident()}
    KEPT.clear()


def test_it_is_given_back(collector: Collector) -> None:
    assert not gc.isenabled()
    collector.end()
    assert gc.isenabled()
