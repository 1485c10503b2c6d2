"""From core items to loaded cores: files read in parallel, units settled, meshes inspected."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

import numpy as np

from corelib.errors import InputError, MeshError
from corelib.findings import Finding, Severity, in_order
from corelib.job.models import Block, CoreItem, LengthUnit, MeshReference
from corelib.mesh.core import CoreMesh, Faces, LoadedCore, Vertices
from corelib.mesh.inspect import Inspection, inspect_mesh
from corelib.mesh.parsing import ParsedFile, ParserPool, standing_pool
from corelib.mesh.readers import CHORD_MM
from corelib.mesh.topology import weld
from corelib.progress import SILENT, Progress
from corelib.units import KG_PER_MM3_AT_1_G_CM3, MM_PER

_THREADS = 2
"""Meshes inspected at once; the compiled passes release the interpreter lock."""
_READ_SHARE = 0.5
"""Share of loading that reading takes, for progress."""

CHORD_SHARE = 0.1
"""Tessellation tolerance of STEP files as a share of the layer thickness."""

Inspections = dict[tuple[Path, LengthUnit], Inspection]

_REMARK_SEVERITY: dict[str, Severity] = {
    "mesh.count_broken": "check",
    "mesh.trailing_bytes": "note",
    "mesh.no_endsolid": "check",
    "mesh.objects_left_out": "check",
    "mesh.polygons_split": "note",
    "mesh.tessellated": "note",
}


def load_cores(
    cores: Sequence[CoreItem],
    folder: Path,
    *,
    bulk_density_g_cm3: float | None = None,
    layer_thickness_mm: float | None = None,
    progress: Progress = SILENT,
    pool: ParserPool | None = None,
) -> tuple[LoadedCore, ...]:
    """Return the cores with their meshes, in the order of their ids; mesh paths are relative to `folder`.

    A file that several cores name is read once. `bulk_density_g_cm3` turns the stated mass of a block into
    its solid volume; a STEP file's facets lie at most a tenth of `layer_thickness_mm` off its surface.
    Raises MeshError for a mesh without honest figures, InputError for a missing unit.
    """
    ordered = sorted(cores, key=lambda core: core.id)
    paths = sorted({folder / core.mesh.path for core in ordered if core.mesh is not None})
    chord_mm = CHORD_MM if layer_thickness_mm is None else CHORD_SHARE * layer_thickness_mm
    pool = pool or standing_pool()
    read = pool.read(paths, progress.span(0.0, _READ_SHARE), chord_mm) if paths else []
    files = dict(zip(paths, read, strict=True))
    inspections = _inspected(ordered, folder, files, progress.span(_READ_SHARE, 1.0))
    loaded = []
    for core in ordered:
        if core.block is not None:
            loaded.append(_block_core(core, core.block, bulk_density_g_cm3))
        else:
            assert core.mesh is not None
            path = folder / core.mesh.path
            loaded.append(_mesh_core(core, files[path], inspections))
    return tuple(loaded)


def _inspected(
    cores: Sequence[CoreItem], folder: Path, files: Mapping[Path, ParsedFile | InputError], progress: Progress
) -> Inspections:
    """Return the inspection of each file in each unit that cores state, several at once."""
    wanted: dict[tuple[Path, LengthUnit], ParsedFile] = {}
    for core in cores:
        file = files[folder / core.mesh.path] if core.mesh is not None else None
        if isinstance(file, ParsedFile) and core.mesh is not None:
            wanted[file.path, _settled_unit(file, core.mesh.unit, core.name)] = file
    with ThreadPoolExecutor(_THREADS) as threads:
        jobs = {key: threads.submit(inspect_parsed, file, key[1]) for key, file in wanted.items()}
        try:
            for number, job in enumerate(jobs.values()):
                progress(number / len(jobs), "inspect")
                job.result()
        except BaseException:
            for job in jobs.values():
                job.cancel()
            raise
    return {key: job.result() for key, job in jobs.items()}


@dataclass(frozen=True, eq=False)
class LoadedFile:
    """A mesh file as checked by itself: its core if it has honest figures, and its findings."""

    path: Path
    core: LoadedCore | None
    findings: tuple[Finding, ...]


def load_files(
    paths: Sequence[Path],
    unit: LengthUnit | None = None,
    *,
    progress: Progress = SILENT,
    pool: ParserPool | None = None,
) -> tuple[LoadedFile | InputError, ...]:
    """Return each mesh file as a core of its own, or the error that it ends in, in the order of `paths`.

    A core's id is its number in that order (from 1), its name the file's name.
    """
    read = (pool or standing_pool()).read(paths, progress.span(0.0, _READ_SHARE))

    def one(numbered: tuple[int, ParsedFile | InputError]) -> LoadedFile | InputError:
        number, file = numbered
        try:
            return file if isinstance(file, InputError) else _file_core(str(number), file, unit)
        except InputError as error:
            return error

    inspecting = progress.span(_READ_SHARE, 1.0)
    loaded: list[LoadedFile | InputError] = []
    with ThreadPoolExecutor(_THREADS) as threads:
        for answer in threads.map(one, enumerate(read, start=1)):
            loaded.append(answer)
            inspecting(len(loaded) / len(paths), "inspect")
    return tuple(loaded)


def _file_core(core_id: str, file: ParsedFile, stated: LengthUnit | None) -> LoadedFile:
    unit = _settled_unit(file, stated, file.path.stem)
    inspection = inspect_parsed(file, unit, core_id)
    if inspection.fatal is not None or inspection.mesh is None:
        return LoadedFile(file.path, None, inspection.findings)
    item = CoreItem(id=core_id, name=file.path.name, mesh=MeshReference(path=file.path.name, unit=unit))
    core = LoadedCore(
        item=item,
        mesh=inspection.mesh,
        volume_mm3=inspection.volume_mm3,
        area_mm2=inspection.area_mm2,
        bodies=inspection.bodies,
        unit=unit,
        file_sha256=file.sha256,
        solid_share=1.0,
        findings=inspection.findings,
    )
    return LoadedFile(file.path, core, inspection.findings)


def inspect_file(
    path: Path, unit: LengthUnit | None = None, *, pool: ParserPool | None = None
) -> tuple[Inspection, LengthUnit]:
    """Return what is found on one mesh file, and its unit: the stated one, else the file's own.

    Raises MeshError for a file that can't be read, InputError if no unit is known.
    """
    (file,) = (pool or standing_pool()).read([path])
    if isinstance(file, InputError):
        raise file
    unit = _settled_unit(file, unit, path.stem)
    return inspect_parsed(file, unit), unit


def read_welded(
    path: Path, unit: LengthUnit | None = None, *, pool: ParserPool | None = None
) -> tuple[Vertices, Faces]:
    """Return a mesh file's vertices in mm and faces, unjudged: what a repair starts from."""
    (file,) = (pool or standing_pool()).read([path])
    if isinstance(file, InputError):
        raise file
    return _welded(file, MM_PER[_settled_unit(file, unit, path.stem)])


def inspect_parsed(file: ParsedFile, unit: LengthUnit, core: str | None = None) -> Inspection:
    """Return the inspection of a read file, the reader's own remarks among its findings."""
    vertices_mm, faces = _welded(file, MM_PER[unit])
    inspection = inspect_mesh(vertices_mm, faces, unit, core)
    remarks = [Finding(code, _REMARK_SEVERITY[code], facts, core) for code, facts in file.raw.remarks]
    findings = in_order([*inspection.findings, *remarks])
    return Inspection(
        inspection.mesh, inspection.volume_mm3, inspection.area_mm2, inspection.bodies, findings
    )


def _welded(file: ParsedFile, factor: float) -> tuple[Vertices, Faces]:
    """Return vertices in mm and faces; loose triangles are joined where their corners agree in all bits."""
    raw = file.raw
    if raw.corners is not None:
        vertices, faces = weld(raw.corners)
    else:
        assert raw.vertices is not None and raw.faces is not None
        vertices, faces = raw.vertices, raw.faces
        if len(faces) and (int(faces.max()) >= len(vertices) or int(faces.min()) < 0):
            raise MeshError("mesh.index_out_of_range", file=file.path.name)
    with np.errstate(over="ignore"):  # an overflow is found as a number that is not finite
        return vertices * factor, faces


def _mesh_core(core: CoreItem, file: ParsedFile | InputError, inspections: Inspections) -> LoadedCore:
    assert core.mesh is not None
    if isinstance(file, InputError):
        raise type(file)(file.code, **{**file.facts, "core": core.name})
    unit = _settled_unit(file, core.mesh.unit, core.name)
    inspection = inspections[file.path, unit]
    if inspection.fatal is not None or inspection.mesh is None:
        raise fatal_error(inspection, core.name)
    findings = [_of_core(finding, core.id) for finding in inspection.findings]
    findings += _stated_findings(core, file)
    return LoadedCore(
        item=core,
        mesh=inspection.mesh,
        volume_mm3=inspection.volume_mm3,
        area_mm2=inspection.area_mm2,
        bodies=inspection.bodies,
        unit=unit,
        file_sha256=file.sha256,
        solid_share=1.0,
        findings=in_order(findings),
    )


def _settled_unit(file: ParsedFile, stated: LengthUnit | None, core: str) -> LengthUnit:
    unit = stated or file.raw.unit
    if unit is None:
        raise InputError("mesh.unit_unknown", core=core, file=file.path.name, format=file.raw.format)
    return cast(LengthUnit, unit)


def fatal_error(inspection: Inspection, core_name: str) -> MeshError:
    """Return the error for a mesh without honest figures."""
    fatal = inspection.fatal
    assert fatal is not None
    return MeshError(fatal.code, **{**fatal.facts, "core": core_name})


def _of_core(finding: Finding, core_id: str) -> Finding:
    return Finding(
        finding.code, finding.severity, finding.facts, core_id, finding.box, finding.layers, finding.places_mm
    )


def _stated_findings(core: CoreItem, file: ParsedFile) -> list[Finding]:
    """Return what the job's own statements about the core leave open or contradict."""
    assert core.mesh is not None
    found = []
    if core.mesh_is is None:
        found.append(Finding("mesh.kind_unstated", "check", {}, core.id))
    if core.mesh.sha256 is not None and core.mesh.sha256 != file.sha256:
        facts = {"file": file.path.name, "stated": core.mesh.sha256[:12], "found": file.sha256[:12]}
        found.append(Finding("mesh.file_changed", "check", facts, core.id))
    if file.raw.unit is not None and core.mesh.unit is not None and core.mesh.unit != file.raw.unit:
        unit_facts: dict[str, Any] = {"stated": core.mesh.unit, "found": file.raw.unit}
        found.append(Finding("mesh.unit_differs", "check", unit_facts, core.id))
    return found


_BOX_FACES = np.array(
    [
        [0, 2, 1], [0, 3, 2], [4, 5, 6], [4, 6, 7], [0, 1, 5], [0, 5, 4],
        [1, 2, 6], [1, 6, 5], [2, 3, 7], [2, 7, 6], [3, 0, 4], [3, 4, 7],
    ],
    dtype=np.int32,
)  # fmt: skip
_BOX_CORNERS = np.array(
    [[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0], [0, 0, 1], [1, 0, 1], [1, 1, 1], [0, 1, 1]], dtype=np.float64
)


def box_mesh(size_mm: tuple[float, float, float]) -> CoreMesh:
    """Return a closed box with one corner at the origin."""
    return CoreMesh(_BOX_CORNERS * np.array(size_mm), _BOX_FACES)


def _block_core(core: CoreItem, block: Block, bulk_density_g_cm3: float | None) -> LoadedCore:
    mesh = box_mesh(block.size_mm)
    x, y, z = block.size_mm
    outer_mm3 = x * y * z
    if block.volume_mm3 is not None:
        solid_mm3 = block.volume_mm3
    elif bulk_density_g_cm3 is not None:
        assert block.mass_kg is not None
        solid_mm3 = block.mass_kg / (bulk_density_g_cm3 * KG_PER_MM3_AT_1_G_CM3)
    else:
        raise InputError("mesh.block_needs_density", core=core.name)
    if solid_mm3 > outer_mm3 * (1 + 1e-9):
        raise InputError(
            "mesh.block_too_heavy", core=core.name, solid_cm3=solid_mm3 / 1e3, outer_cm3=outer_mm3 / 1e3
        )
    facts = {"solid_pct": 100 * solid_mm3 / outer_mm3, "size": f"{x:g} × {y:g} × {z:g} mm"}
    return LoadedCore(
        item=core,
        mesh=mesh,
        volume_mm3=outer_mm3,
        area_mm2=2 * (x * y + y * z + z * x),
        bodies=1,
        unit="mm",
        file_sha256=None,
        solid_share=min(1.0, solid_mm3 / outer_mm3),
        findings=(Finding("mesh.block", "check", facts, core.id),),
    )
