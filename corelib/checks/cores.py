"""Can each core be printed, cleaned out and handled? All checks of one core's shape against the process."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor

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


def core_findings(
    core: LoadedCore, process: ProcessProfile, bulk_density_g_cm3: float | None
) -> tuple[Finding, ...]:
    """Return what stands against printing, cleaning and lifting a core; a block has no shape to judge."""
    if core.item.block is not None:
        return ()
    density = bulk_density_g_cm3 or DEFAULT_DENSITY_G_CM3
    found = wall_findings(core, process)
    found += sand_findings(core, process, density)
    found += handling_findings(core, process, density)
    return in_order(found)


def shape_findings(
    cores: Sequence[LoadedCore],
    process: ProcessProfile,
    bulk_density_g_cm3: float | None,
    progress: Progress = SILENT,
) -> tuple[Finding, ...]:
    """Return the findings on all cores' shapes, and which of them are one core twice."""
    found: list[Finding] = []
    with ThreadPoolExecutor(_THREADS) as threads:
        jobs = [threads.submit(core_findings, core, process, bulk_density_g_cm3) for core in cores]
        try:
            for number, job in enumerate(jobs):
                progress(number / len(jobs), "shape")
                found += job.result()
        except BaseException:
            for job in jobs:
                job.cancel()
            raise
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
