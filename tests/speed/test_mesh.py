"""Loading and inspection against general libraries, as ratios in one run, and how soon a cancel answers.

`pytest tests/speed/test_mesh.py -s` prints the ratios. Absolute times of the large cases are measured once on
an idle machine and reported; here the machine may be shared.
"""

import threading
import time

import numpy as np
import pytest
import scipy.ndimage
import trimesh

from corelib.checks.cores import core_findings, shape_findings
from corelib.checks.walls import thickness_field
from corelib.errors import Cancelled
from corelib.geometry.void_kernels import squared_distances
from corelib.job.models import CoreItem, MeshReference
from corelib.mesh.core import CoreMesh, LoadedCore
from corelib.mesh.inspect import inspect_mesh
from corelib.mesh.load import load_cores, load_files
from corelib.mesh.parsing import ParserPool
from corelib.mesh.raw import ReadLimits
from corelib.mesh.readers import read_raw
from corelib.mesh.topology import edge_table, split_bodies, weld
from corelib.progress import Progress
from tests.allowance.test_compensation import process
from tests.pace import answered_s, held, least_s

PROCESS = process(least_wall_mm=4.0, clean_out_diameter_mm=8.0)


def knot(rounds, around, size_mm=(200.0, 200.0, 150.0), radius_mm=14.0):
    """Return a closed trefoil tube of 2 × rounds × around triangles that fills a box."""
    t = np.linspace(0, 2 * np.pi, rounds, endpoint=False)
    path = np.column_stack([np.sin(t) + 2 * np.sin(2 * t), np.cos(t) - 2 * np.cos(2 * t), -np.sin(3 * t)]) * [
        30.0,
        30.0,
        60.0,
    ]
    ahead = np.roll(path, -1, axis=0) - np.roll(path, 1, axis=0)
    ahead /= np.linalg.norm(ahead, axis=1)[:, None]
    side = np.cross(ahead, [0.0, 0.0, 1.0])
    side /= np.linalg.norm(side, axis=1)[:, None]
    up = np.cross(side, ahead)
    angle = np.linspace(0, 2 * np.pi, around, endpoint=False)
    rings = side[:, None] * np.cos(angle)[None, :, None] + up[:, None] * np.sin(angle)[None, :, None]
    points = (path[:, None] + radius_mm * rings).reshape(-1, 3)
    i, j = np.meshgrid(np.arange(rounds), np.arange(around), indexing="ij")
    a, b = i * around + j, ((i + 1) % rounds) * around + j
    c, d = ((i + 1) % rounds) * around + (j + 1) % around, i * around + (j + 1) % around
    faces = np.concatenate([np.stack([a, b, c], -1).reshape(-1, 3), np.stack([a, c, d], -1).reshape(-1, 3)])
    mesh = CoreMesh(points, faces)
    scale = np.array(size_mm) / mesh.size_mm
    made = CoreMesh(points * scale, faces)
    return (
        made
        if inspect_mesh(made.vertices_mm, made.faces, "mm").volume_mm3 > 0
        else CoreMesh(made.vertices_mm, made.faces[:, ::-1])
    )


@pytest.fixture(scope="module")
def core_60k(tmp_path_factory):
    mesh = knot(600, 50)
    path = tmp_path_factory.mktemp("speed") / "core.stl"
    trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False).export(path)
    return mesh, path


def test_reading_and_inspecting_is_quicker_than_a_general_library(core_60k):
    """Ours reads, welds, and finds edges and bodies; theirs reads, merges and asks whether the mesh is closed
    and alike, how many bodies it has, and for its volume. Ours then looks for crossings too."""
    _, path = core_60k

    def like_for_like():
        vertices, faces = weld(read_raw(path, ReadLimits()).corners)
        table = edge_table(faces)
        assert (table.forward == table.backward).all()
        assert split_bodies(vertices, faces, table).volume_mm3[0] > 0

    def whole():
        raw = read_raw(path, ReadLimits())
        assert inspect_mesh(*weld(raw.corners), "mm").fatal is None

    def theirs():
        mesh = trimesh.load_mesh(path)
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        assert mesh.body_count == 1
        assert mesh.volume > 0

    whole()
    theirs_s, alike_s, whole_s = least_s(theirs, like_for_like, whole, runs=7)
    alike, all_of_it = theirs_s / alike_s, theirs_s / whole_s
    print(f"60,000 triangles: {alike:.1f} times quicker than trimesh, {all_of_it:.1f} with crossings")
    assert alike > 3  # 14 seen
    assert all_of_it > held(asked=0.8, busy=0.4)  # 1.0 seen


def test_distance_transform_keeps_up_with_scipy():
    targets = np.random.default_rng(0).random((120, 120, 100)) > 0.999
    squared_distances(targets)
    theirs_s, ours_s = least_s(
        lambda: scipy.ndimage.distance_transform_edt(~targets), lambda: squared_distances(targets), runs=5
    )
    ratio = theirs_s / ours_s
    print(f"distance transform of 1.4 million cells: {ratio:.1f} times quicker than scipy's")
    assert ratio > held(asked=1.0, busy=0.6)  # 1.7 seen


def test_thickness_of_the_whole_surface_beats_rays_from_samples(core_60k):
    """trimesh's thickness by rays from as many samples; ours is a ball between opposing faces."""
    mesh, _ = core_60k
    rival = trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False)
    field = thickness_field(mesh, 20.0)
    count = 300
    chosen = field.samples.points_mm[:: len(field.samples.points_mm) // count]
    (rays_s,) = least_s(lambda: trimesh.proximity.thickness(rival, chosen, method="ray"), runs=1)
    (balls_s,) = least_s(lambda: thickness_field(mesh, 20.0))
    ratio = rays_s / len(chosen) / (balls_s / len(field.samples.points_mm))
    print(f"thickness, time a sample: {ratio:.0f} times quicker than trimesh's rays")
    assert ratio > 3  # 500 seen


def test_inspection_time_grows_about_with_the_triangles():
    size_mm = (100.0, 100.0, 75.0)
    small, large = knot(300, 50, size_mm, 7.0), knot(1200, 50, size_mm, 7.0)

    def whole(mesh):
        item = CoreItem(id="a", name="A", mesh=MeshReference(path="a.stl"))
        found = inspect_mesh(mesh.vertices_mm, mesh.faces, "mm")
        core = LoadedCore(item, mesh, found.volume_mm3, found.area_mm2, 1, "mm", None, 1.0, ())
        core_findings(core, PROCESS, 1.5)

    whole(small)
    large_s, small_s = least_s(lambda: whole(large), lambda: whole(small), runs=2)
    print(f"four times the triangles: {large_s / small_s:.2f} times the time")
    assert large_s / small_s < 8  # 0.9 seen


def test_many_cores_report_progress_and_a_cancel_answers_soon(tmp_path, core_60k):
    _, path = core_60k
    cores = []
    for number in range(24):
        (tmp_path / f"{number}.stl").write_bytes(path.read_bytes())
        reference = MeshReference(path=f"{number}.stl", unit="mm")
        cores.append(CoreItem(id=f"c{number:02d}", name="c", mesh=reference, mesh_is="core at size"))
    with ParserPool(2) as pool:
        shares = []
        started_s = time.monotonic()
        loaded = load_cores(
            cores, tmp_path, pool=pool, progress=Progress(lambda share, *_: bool(shares.append(share)))
        )
        load_s = time.monotonic() - started_s
        assert len(loaded) == 24
        assert shares == sorted(shares)
        assert len(shares) >= 24
        asked = threading.Event()
        told_s: list[float] = []

        def report(share, *_):
            if share > 0.05 and not asked.is_set():
                asked.set()
                told_s.append(time.monotonic())
            return asked.is_set()

        with pytest.raises(Cancelled):
            load_cores(cores, tmp_path, pool=pool, progress=Progress(report))
        waited_s = time.monotonic() - told_s[0]
        print(f"cancel answered after {waited_s:.2f} s, all would have taken {0.95 * load_s:.2f} s")
        assert waited_s < held(asked=0.5, busy=max(1.0, 0.4 * load_s))
        told_s.clear()
        asked.clear()
        with pytest.raises(Cancelled):
            shape_findings(
                loaded, process(least_wall_mm=4.0, clean_out_diameter_mm=8.0), 1.5, Progress(report)
            )
        assert time.monotonic() - told_s[0] < answered_s(20)
        assert len(load_files([path], "mm", pool=pool)) == 1
