"""Use case: the findings on one core's shape, for whoever looks at that core."""

from __future__ import annotations

from pathlib import Path

from corelib.checks.cores import shape_findings
from corelib.child import Answer, Request
from corelib.findings import in_order
from corelib.job.files import job_from_document
from corelib.job.operating_point import operating_point
from corelib.mesh.load import load_cores
from corelib.plan.document import finding_document
from corelib.progress import Progress


def run_core_check(request: Request, progress: Progress) -> Answer:
    """Run in a child: check the core `core` of the job `document` (its folder is that of `job`).

    The answer has `findings` as a plan has them: mesh faults, thin walls, trapped sand, bending when lifted.
    """
    path, language = Path(request["job"]), request.get("language", "en")
    job = job_from_document(request["document"], str(path))
    item = job.core(request["core"])
    point = operating_point(job, path.parent)
    cores = load_cores(
        (item,),
        path.parent,
        bulk_density_g_cm3=point.sand.bulk_density_g_cm3,
        layer_thickness_mm=point.process.layer_thickness_mm,
        progress=progress.span(0.0, 0.4),
    )
    shapes = shape_findings(cores, point.process, point.sand.bulk_density_g_cm3, progress.span(0.4, 1.0))
    findings = in_order([*(finding for core in cores for finding in core.findings), *shapes])
    names = {core.id: core.name for core in job.cores}
    return {"findings": [finding_document(finding, names, language) for finding in findings]}
