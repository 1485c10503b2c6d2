"""Use case: the meshes of a plan that lies on disk, so that its boxes can be shown beside others."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from corelib.child import Answer, Request
from corelib.errors import CorestowError, FileError
from corelib.job.files import job_from_document
from corelib.mesh.load import load_cores
from corelib.mesh.ride_along import accuracy_coupon, witness_bar
from corelib.progress import Progress
from corelib.usecases.plans import read_plan


def run_display(request: Request, progress: Progress) -> Answer:
    """Leave the nominal meshes of the plan file `plan` as .npy in `folder`; returns `meshes`, `missing`.

    They are read from the files that the plan's job names, which lie relative to the job beside the plan's
    folder or to the plan's folder itself. `missing` lists cores whose mesh is not there, or not as it was.
    """
    path, folder = Path(request["plan"]), Path(request["folder"])
    plan = read_plan(path)
    home = (path if path.is_dir() else path.parent).resolve()
    job = job_from_document(plan["job"], str(path))
    known = {core["id"]: core for core in plan["cores"]}
    own = [core for core in job.cores if core.id in known]
    pieces = [piece for piece in (accuracy_coupon(), witness_bar()) if piece.item.id in known]
    density = plan["profiles"]["sand"].get("bulk_density_g_cm3")
    missing = []
    meshes = {piece.item.id: piece.mesh for piece in pieces}
    for number, core in enumerate(own):
        progress(number / max(1, len(own)), "read")
        for place in (home.parent, home):
            try:
                (loaded,) = load_cores([core], place, bulk_density_g_cm3=density)
            except CorestowError:
                continue
            if loaded.file_sha256 == known[core.id]["sha256"]:
                meshes[core.id] = loaded.mesh
                break
        if core.id not in meshes:
            missing.append(core.id)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for core_id, mesh in meshes.items():
            np.save(folder / f"{core_id}.vertices.npy", mesh.vertices_mm)
            np.save(folder / f"{core_id}.faces.npy", mesh.faces)
    except OSError as error:
        raise FileError("file.not_writable", path=str(folder), reason=error.strerror or str(error)) from error
    return {"meshes": str(folder), "missing": missing}
