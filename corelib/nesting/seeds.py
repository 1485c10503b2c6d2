"""Work of several seeds on an executor, awaited so that progress and cancel stay live."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from typing import TypeVar

Job = TypeVar("Job")
Result = TypeVar("Result")


def results_of(
    executor: Executor, work: Callable[[Job], Result], jobs: Sequence[Job], tick: Callable[[], None]
) -> list[Result]:
    """Return what the work gives for each job, in the jobs' order; `tick` is called ten times a second."""
    futures = [executor.submit(work, job) for job in jobs]
    found = []
    try:
        for future in futures:
            while True:
                tick()
                try:
                    found.append(future.result(timeout=0.1))
                    break
                except TimeoutError:
                    continue
    finally:
        for future in futures:
            future.cancel()
    return found
