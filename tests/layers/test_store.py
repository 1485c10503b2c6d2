"""The layer store: blocks by content, made once, kept on disk, limited in memory."""

import threading

import numpy as np
import pytest

from corelib.allowance.body import PrintedBody
from corelib.layers.cut_pose import CutPose
from corelib.layers.store import BLOCK_LAYERS, OutlineStore
from tests.layers.meshes import gyroid, sphere
from tests.layers.test_build import core, layers, placed
from tests.pace import least_s


def pose(mesh, bleed=0.15, bleed_z=0.2, rotation=None):
    body = PrintedBody(core(mesh), mesh, (1.0, 1.0, 1.0), bleed, bleed_z)
    return CutPose(body, np.eye(3) if rotation is None else rotation, 0.0, 0.3)


def test_blocks_are_made_once_and_found_on_disk(tmp_path):
    store = OutlineStore(tmp_path)
    first = store.outlines(pose(sphere(10, 30, 40)), 20)
    assert first.first_layer == 20 // BLOCK_LAYERS * BLOCK_LAYERS
    assert store.outlines(pose(sphere(10, 30, 40)), first.first_layer) is first
    assert (store.made, store.read) == (1, 0)
    again = OutlineStore(tmp_path)
    found = again.outlines(pose(sphere(10, 30, 40)), 17)
    assert (again.made, again.read) == (0, 1)
    assert found.points_mm.tobytes() == first.points_mm.tobytes()
    assert found.area_mm2.tobytes() == first.area_mm2.tobytes()


def test_damage_on_disk_is_noticed(tmp_path):
    OutlineStore(tmp_path).outlines(pose(sphere(10, 30, 40)), 0)
    (path,) = tmp_path.rglob("*.outlines")
    raw = bytearray(path.read_bytes())
    raw[-3] ^= 1
    path.write_bytes(raw[:-1])
    store = OutlineStore(tmp_path)
    store.outlines(pose(sphere(10, 30, 40)), 0)
    assert (store.made, store.read) == (1, 0)


def test_the_key_holds_all_that_counts():
    ball = sphere(10, 30, 40)
    keys = {
        pose(ball).key,
        pose(ball, bleed=0.1).key,
        pose(ball, bleed_z=0.0).key,
        pose(sphere(10.001, 30, 40)).key,
        pose(ball, rotation=np.diag([1.0, -1.0, -1.0])).key,
    }
    assert len(keys) == 5
    assert pose(sphere(10, 30, 40)).key == pose(ball).key


def test_memory_is_limited():
    store = OutlineStore(memory_mb=0.2)
    cut = pose(sphere(20, 100, 200), bleed=0.0, bleed_z=0.0)
    for layer in range(0, 130, BLOCK_LAYERS):
        store.outlines(cut, layer)
    assert store._bytes <= 0.3 * 2**20
    assert len(store._blocks) <= 2


def test_what_cuts_is_limited_by_number_and_memory_and_let_go_of(monkeypatch):
    poses = [pose(sphere(10 + size, 30, 40)) for size in range(5)]
    keys = [one.key for one in poses]
    store = OutlineStore()
    cutters = [store.cutter(one, one.key) for one in poses]
    assert store.cutter(poses[0], keys[0]) is cutters[0]
    store.forget_cutters(keys[:2])
    assert store.cutter(poses[1], keys[1]) is cutters[1]
    assert store.cutter(poses[4], keys[4]) is not cutters[4]
    monkeypatch.setattr("corelib.layers.store.CUTTERS_KEPT", 3)
    for one in poses:
        store.cutter(one, one.key)
    assert list(store._cutters) == keys[2:]
    monkeypatch.setattr("corelib.layers.store.CUTTERS_MB", 1.5 * cutters[0].nbytes / 2**20)
    store.cutter(poses[0], keys[0])
    assert list(store._cutters) == keys[:1]


def test_threads_make_a_block_once():
    store, cut = OutlineStore(), pose(gyroid(20, 60.0))
    threads = [threading.Thread(target=store.outlines, args=(cut, 5)) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert store.made == 1


def test_opening_a_layer_from_disk_is_quicker_than_the_first_time(tmp_path):
    mesh = gyroid(30, 300.0)
    (first_s,) = least_s(lambda: OutlineStore(tmp_path).outlines(pose(mesh), 500), runs=1)
    (again_s,) = least_s(lambda: OutlineStore(tmp_path).outlines(pose(mesh), 500))
    assert again_s < first_s


def test_box_areas_from_contours_lie_within_the_stated_error():
    """Bodies with walls, slopes, under-faces and holes: closed form and contours, two independent ways."""
    for mesh in (sphere(12, 40, 60), gyroid(16, 40.0)):
        bodies = placed(mesh, (50, 50, 15), bleed=0.15)
        bodies = type(bodies)(
            bodies.placement, PrintedBody(bodies.body.core, mesh, (1.0, 1.0, 1.0), 0.15, 0.25)
        )
        estimated, exact = layers(bodies), layers(bodies, outlines=OutlineStore())
        assert exact.area_error_mm2.tolist() == [0.0] * exact.count
        off = np.abs(estimated.printed_area_mm2 - exact.printed_area_mm2)
        assert (off <= estimated.area_error_mm2 + 1e-9).all()
        assert estimated.printed_volume_mm3 == pytest.approx(exact.printed_volume_mm3, rel=0.04)
        assert estimated.nominal_area_mm2.tolist() == exact.nominal_area_mm2.tolist()


def test_without_bleed_there_is_no_error():
    ball = placed(sphere(12, 40, 60), (50, 50, 15))
    plain, contoured = layers(ball), layers(ball, outlines=OutlineStore())
    assert plain.area_error_mm2.max() == contoured.area_error_mm2.max() == 0.0
    assert contoured.printed_area_mm2 == pytest.approx(plain.printed_area_mm2, rel=1e-12)
