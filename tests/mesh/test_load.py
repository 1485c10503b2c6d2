"""From core items to loaded cores: order, units, hashes, blocks, one reading of each file."""

import hashlib
from pathlib import Path

import pytest

from corelib.errors import Cancelled, FileError, InputError, MeshError
from corelib.job.models import Block, CoreItem, MeshReference
from corelib.mesh.load import inspect_file, load_cores
from corelib.mesh.parsing import ParserPool
from corelib.progress import Progress
from tests.mesh.shapes import box_corners, mesh_xml, model_xml, stl_bytes, write_3mf

BOX = box_corners((100, 60, 40))


@pytest.fixture(scope="module")
def pool():
    with ParserPool(2) as made:
        yield made


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "box.stl").write_bytes(stl_bytes(BOX))
    (tmp_path / "open.stl").write_bytes(stl_bytes(BOX[1:]))
    resources = f'<object id="1" type="model">{mesh_xml(BOX)}</object>'
    write_3mf(tmp_path / "box.3mf", model_xml(resources, '<item objectid="1"/>', unit="inch"))
    return tmp_path


def item(core_id, path="box.stl", unit="mm", **more):
    sha256 = more.pop("sha256", None)
    more.setdefault("mesh_is", "core at size")
    reference = MeshReference(path=path, unit=unit, sha256=sha256)
    return CoreItem(id=core_id, name=f"Core {core_id}", mesh=reference, **more)


def test_cores_come_in_the_order_of_their_ids_with_true_measures(folder, pool):
    loaded = load_cores([item("b"), item("a"), item("c", unit="inch")], folder, pool=pool)
    assert [core.item.id for core in loaded] == ["a", "b", "c"]
    assert loaded[0].volume_mm3 == pytest.approx(240_000, rel=1e-12)
    assert loaded[2].volume_mm3 == pytest.approx(240_000 * 25.4**3, rel=1e-12)
    assert loaded[0].findings == ()
    assert loaded[0].file_sha256 == hashlib.sha256((folder / "box.stl").read_bytes()).hexdigest()


def test_a_file_named_by_several_cores_is_read_once(folder, pool):
    loaded = load_cores([item("a"), item("b")], folder, pool=pool)
    assert loaded[0].mesh is loaded[1].mesh


def test_unit_is_read_from_3mf_asked_for_with_stl_and_compared(folder, pool):
    (core,) = load_cores([item("a", "box.3mf", None)], folder, pool=pool)
    assert core.unit == "inch"
    assert core.mesh.size_mm == pytest.approx([2540, 1524, 1016])
    (stated,) = load_cores([item("a", "box.3mf", "mm")], folder, pool=pool)
    assert stated.mesh.size_mm == pytest.approx([100, 60, 40])
    assert [finding.code for finding in stated.findings] == ["mesh.unit_differs"]
    with pytest.raises(InputError) as caught:
        load_cores([item("a", unit=None)], folder, pool=pool)
    assert caught.value.code == "mesh.unit_unknown"


def test_what_the_mesh_is_and_which_file_it_was(folder, pool):
    (core,) = load_cores([item("a", mesh_is=None, sha256="0" * 64)], folder, pool=pool)
    assert [finding.code for finding in core.findings] == ["mesh.file_changed", "mesh.kind_unstated"]
    assert {finding.core for finding in core.findings} == {"a"}


def test_a_mesh_without_honest_figures_stops_with_the_cores_name(folder, pool):
    with pytest.raises(MeshError) as caught:
        load_cores([item("a"), item("b", "open.stl")], folder, pool=pool)
    assert caught.value.code == "mesh.open"
    assert caught.value.facts["core"] == "Core b"


def test_a_missing_mesh_is_one_error(folder, pool):
    with pytest.raises(FileError) as caught:
        load_cores([item("a", "nowhere.stl")], folder, pool=pool)
    assert caught.value.code == "file.missing"


def test_block_by_volume_and_by_mass(folder, pool):
    by_volume = CoreItem(id="a", name="A", block=Block(size_mm=(100, 50, 20), volume_mm3=40_000))
    by_mass = CoreItem(id="b", name="B", block=Block(size_mm=(100, 50, 20), mass_kg=0.075))
    first, second = load_cores([by_volume, by_mass], folder, bulk_density_g_cm3=1.5, pool=pool)
    assert first.core_volume_mm3 == pytest.approx(40_000)
    assert second.core_volume_mm3 == pytest.approx(50_000)
    assert first.mesh.size_mm == pytest.approx([100, 50, 20])
    assert [finding.code for finding in first.findings] == ["mesh.block"]
    with pytest.raises(InputError) as caught:
        load_cores([by_mass], folder, pool=pool)
    assert caught.value.code == "mesh.block_needs_density"
    heavy = CoreItem(id="c", name="C", block=Block(size_mm=(10, 10, 10), mass_kg=1))
    with pytest.raises(InputError) as caught:
        load_cores([heavy], folder, bulk_density_g_cm3=1.5, pool=pool)
    assert caught.value.code == "mesh.block_too_heavy"


def test_inspect_file_gives_findings_instead_of_stopping(folder, pool):
    inspection, unit = inspect_file(folder / "open.stl", "mm", pool=pool)
    assert unit == "mm"
    assert inspection.fatal is not None
    assert inspection.fatal.code == "mesh.open"


def test_loading_reports_and_can_be_cancelled(folder, pool):
    shares = []
    load_cores(
        [item("a")], folder, pool=pool, progress=Progress(lambda share, *_: bool(shares.append(share)))
    )
    assert shares == sorted(shares)
    with pytest.raises(Cancelled):
        load_cores([item("a")], folder, pool=pool, progress=Progress(lambda *_: True))
    assert load_cores([item("a")], folder, pool=pool)


def test_relative_paths_hold_when_the_program_moves_to_another_folder(
    folder, pool, monkeypatch, tmp_path_factory
):
    monkeypatch.chdir(tmp_path_factory.mktemp("elsewhere"))
    inspect_file(folder / "box.stl", "mm", pool=pool)  # the child is up, in this folder
    monkeypatch.chdir(folder)
    inspection, _ = inspect_file(Path("box.stl"), "mm", pool=pool)
    assert inspection.findings == ()


def test_step_facets_follow_the_layer_thickness(pool):
    step = Path(__file__).parents[1] / "data" / "step"
    loaded = [
        load_cores([item("a", "block_with_bore.step", None)], step, layer_thickness_mm=layer_mm, pool=pool)[0]
        for layer_mm in (0.2, 2.0)
    ]
    chords = [core.findings[0].facts["chord_mm"] for core in loaded]
    assert chords == pytest.approx([0.02, 0.2])
    assert len(loaded[0].mesh.faces) > len(loaded[1].mesh.faces)
