"""Child processes: answers, errors, deaths, limits, and a cancel that always ends within its grace."""

import os
import sys
import threading
import time
import types

import pytest

from corelib.child import Child, make_executor
from corelib.errors import Cancelled, ChildError, InputError
from corelib.progress import Progress
from tests.pace import answered_s


def entry(request, progress: Progress):
    """What the children of this test run."""
    match request["do"]:
        case "echo":
            progress(0.5, "half", found={"best": 1})
            return {"text": request["text"], "pid": os.getpid(), "group": os.getpgrp()}
        case "refuse":
            raise InputError("job.no_meshes", path="x")
        case "die":
            os._exit(3)
        case "fault":
            raise ZeroDivisionError("by zero")
        case "listen":
            while True:
                progress(0.1, "waiting")
                time.sleep(0.01)
        case "deaf":
            time.sleep(60)
        case "grow":
            return {"size": len(bytearray(4 * 2**30))}
    raise AssertionError(request)


@pytest.fixture
def child():
    with Child(entry, memory_mb=2000) as child:
        yield child


def test_a_child_answers_reports_and_leads_its_own_group(child):
    events = []
    answer = child.ask({"do": "echo", "text": "ä"}, on_event=events.append)
    assert answer["text"] == "ä"
    assert answer["group"] == answer["pid"] != os.getpgrp()
    assert events == [{"event": "found", "share": 0.5, "step": "half", "facts": {"found": {"best": 1}}}]


def test_errors_cross_with_code_and_facts_and_the_child_lives_on(child):
    with pytest.raises(InputError) as caught:
        child.ask({"do": "refuse"})
    assert (caught.value.code, caught.value.facts) == ("job.no_meshes", {"path": "x"})
    pid = child.pid
    with pytest.raises(ChildError) as caught:
        child.ask({"do": "fault"})
    assert caught.value.code == "work.failed"
    assert "ZeroDivisionError" in caught.value.facts["reason"]
    assert child.ask({"do": "echo", "text": ""})["pid"] == pid


def test_a_dead_child_is_named_and_replaced(child):
    with pytest.raises(ChildError) as caught:
        child.ask({"do": "die"})
    assert (caught.value.code, caught.value.facts["exit_code"]) == ("work.child_died", 3)
    assert child.ask({"do": "echo", "text": "new"})["text"] == "new"


def test_a_child_over_its_memory_says_so(child):
    with pytest.raises(ChildError) as caught:
        child.ask({"do": "grow"})
    assert caught.value.code == "work.out_of_memory"


def test_a_child_over_its_time_is_ended(child):
    child.start()
    with pytest.raises(ChildError) as caught:
        child.ask({"do": "deaf"}, limit_s=0.3)
    assert caught.value.code == "work.too_slow"
    assert not child.alive


@pytest.mark.parametrize("do", ["listen", "deaf"])
def test_cancel_ends_a_child_that_listens_and_one_that_does_not(child, do):
    for _ in range(5):  # one that listens has 0.3 s to answer: not always enough where others have the cores
        child.ask({"do": "echo", "text": ""})
        cancelled = threading.Event()
        moment = []
        timer = threading.Timer(
            0.2, lambda told=cancelled, at=moment: (at.append(time.monotonic()), told.set())
        )
        timer.start()
        with pytest.raises(Cancelled):
            child.ask({"do": do}, cancelled=cancelled)
        idle_after_s = time.monotonic() - moment[0]
        timer.join()
        assert idle_after_s < answered_s(60)
        if child.alive == (do == "listen"):
            break
    assert child.alive == (do == "listen")


def test_a_scheduler_that_does_not_answer_is_said_in_a_sentence(monkeypatch):
    class Client:
        def __init__(self, address, timeout):
            raise TimeoutError(f"nobody at {address} within {timeout} s")

    monkeypatch.setitem(sys.modules, "distributed", types.SimpleNamespace(Client=Client))
    with pytest.raises(InputError) as caught:
        make_executor(1, "tcp://nowhere:8786")
    assert caught.value.code == "work.no_scheduler"
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(InputError) as caught:
        make_executor(1, "tcp://nowhere:8786")
    assert caught.value.code == "work.no_dask"
