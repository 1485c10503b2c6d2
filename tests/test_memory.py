"""Memory that a process has freed goes back to the system: when asked, and from a child that is idle."""

from __future__ import annotations

import platform
import time
from pathlib import Path

import pytest

from corelib.child import IDLE_S, Answer, Child, Request
from corelib.memory import give_back, keep_little
from corelib.progress import Progress

BLOCK, COUNT, EACH = 60_000, 2_000, 50
FREED_MB = BLOCK * COUNT / 1e6
KEPT: list[bytearray] = []
glibc = pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="another allocator gives back by itself")


def resident_mb(pid: int | str) -> float:
    """Return what a process holds in memory."""
    lines = Path(f"/proc/{pid}/status").read_text(encoding="utf-8").splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmRSS")) / 1e3


def free_with_holes() -> None:
    """Free blocks too small for a mapping of their own, and keep one of so many, up to the last."""
    blocks = [bytearray(b"x" * BLOCK) for _ in range(COUNT)]
    KEPT.extend(blocks[::EACH])


def work(_request: Request, _progress: Progress) -> Answer:
    """Run in the child."""
    free_with_holes()
    return {"holds_mb": resident_mb("self")}


@glibc
def test_what_is_free_between_what_is_kept_goes_back() -> None:
    try:
        free_with_holes()
        before = resident_mb("self")
        give_back()
        assert before - resident_mb("self") > 0.8 * FREED_MB
    finally:
        KEPT.clear()


@glibc
def test_an_idle_child_gives_back() -> None:
    with Child(work) as child:
        busy = child.ask({})["holds_mb"]
        assert child.pid is not None
        until_s = time.monotonic() + 10 * IDLE_S + 60
        while resident_mb(child.pid) > busy - 0.8 * FREED_MB and time.monotonic() < until_s:
            time.sleep(0.05)
        assert busy - resident_mb(child.pid) > 0.8 * FREED_MB
        assert "holds_mb" in child.ask({})


def pictures(request: Request, _progress: Progress) -> Answer:
    """Run in a child: free large blocks between small ones that stay; returns what is held more."""
    if request["little"]:
        keep_little()
    bytearray(b"x" * 24_000_000)  # from its end on glibc takes blocks of this size from the heap
    before = resident_mb("self")
    blocks = []
    for _ in range(20):
        blocks.append(bytearray(b"x" * 4_000_000))
        KEPT.append(bytearray(b"x" * 2_000))
    blocks.clear()
    return {"grown_mb": resident_mb("self") - before}


@glibc
def test_large_blocks_leave_no_holes() -> None:
    with Child(pictures) as child:
        assert child.ask({"little": True})["grown_mb"] < 8.0
    with Child(pictures) as child:  # else this test would show nothing
        assert child.ask({"little": False})["grown_mb"] > 20.0


def test_elsewhere_nothing_happens(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("corelib.memory._glibc", lambda: None)
    give_back()
    keep_little()
