"""Can each core be printed, cleaned out and handled? All checks of one core's shape against the process."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait

from corelib.checks.handling import handling_findings
from corelib.checks.walls import sand_findings, wall_findings
from corelib.findings import Finding, in_order
from corelib.job.profiles import ProcessProfile
from corelib.mesh.core import LoadedCore
from corelib.mesh.likeness import alike_meshes
from corelib.progress import SILENT, Progress

DEFAULT_DENSITY_G_CM3 = 1.5
"""Bulk density where the sand profile states none (about that of dry quartz sand, common practice)."""
_THREADS = 2
_LISTEN_S = 0.05


def core_findings(
    core: LoadedCore,
    process: ProcessProfile,
    bulk_density_g_cm3: float | None,
    cancelled: threading.Event | None = None,
) -> tuple[Finding, ...]:
    """Return what stands against printing, cleaning and lifting a core; a block has no shape to judge.

    Once `cancelled` is set, what is left is not done.
    """
    if core.item.block is not None:
        return ()
    density = bulk_density_g_cm3 or DEFAULT_DENSITY_G_CM3
    checks: tuple[Callable[[], tuple[Finding, ...]], ...] = (
        lambda: wall_findings(core, process),
        lambda: sand_findings(core, process, density),
        lambda: handling_findings(core, process, density),
    )
    found: list[Finding] = []
    for check in checks:
        if cancelled is None or not cancelled.is_set():
            found += check()
    return in_order(found)


def shape_findings(
    cores: Sequence[LoadedCore],
    process: ProcessProfile,
    bulk_density_g_cm3: float | None,
    progress: Progress = SILENT,
) -> tuple[Finding, ...]:
    """Return the findings on all cores' shapes, and which of them are one core twice."""
    cancelled = threading.Event()
    threads = ThreadPoolExecutor(_THREADS)
    jobs = [threads.submit(core_findings, core, process, bulk_density_g_cm3, cancelled) for core in cores]
    pending = set(jobs)
    try:
        while pending:
            _, pending = wait(pending, timeout=_LISTEN_S, return_when=FIRST_COMPLETED)
            progress(1 - len(pending) / len(jobs), "shape")
    except BaseException:
        cancelled.set()  # a check that runs can't be stopped midway: it ends by itself, unheard
        threads.shutdown(wait=False, cancel_futures=True)
        raise
    threads.shutdown()
    found = [finding for job in jobs for finding in job.result()]
    return in_order([*found, *likeness_findings(cores)])


def likeness_findings(cores: Sequence[LoadedCore]) -> tuple[Finding, ...]:
    """Return which cores are the same shape, moved, turned or mirrored."""
    shaped = [core for core in cores if core.item.block is None]
    found = []
    for likeness in alike_meshes([core.mesh for core in shaped]):
        code = "mesh.mirrored_core" if likeness.mirrored else "mesh.same_core"
        facts = {"other": shaped[likeness.second].item.name, "apart_mm": likeness.apart_mm}
        found.append(Finding(code, "note", facts, shaped[likeness.first].item.id))
    return tuple(found)
