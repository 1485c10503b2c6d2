"""Job files: one clear sentence for each fault, saving and loading changes nothing, changes are checked."""

import copy
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib.errors import FileError, InputError
from corelib.files import canonical_json
from corelib.job.files import changed, job_document, job_from_document, read_job, write_job
from corelib.job.operating_point import DEFAULT_PROFILES
from corelib.wording import error_sentence


def document():
    return {
        "kind": "corestow.job",
        "schema_version": 1,
        "name": "Housing",
        "currency": "EUR",
        "cores": [
            {"id": "a", "name": "Elbow", "mesh": {"path": "a.stl", "unit": "mm"}},
            {"id": "b", "name": "Block", "block": {"size_mm": [50, 40, 30], "mass_kg": 0.05}},
        ],
        "casting_sets": [{"id": "s", "name": "Set", "count": 3, "members": [{"core_id": "a", "per_set": 2}]}],
        "loose": [{"core_id": "b", "count": 4}],
        "profiles": DEFAULT_PROFILES.model_dump(),
    }


def test_copies_are_per_set_times_count_plus_loose_plus_spares():
    stated = document()
    stated["cores"][0]["spares"] = 1
    stated["loose"].append({"core_id": "a", "count": 5})
    assert job_from_document(stated, "j").copies() == {"a": 12, "b": 4}


BAD = [
    (lambda d: d.update(gap_mm=-1), "job.value_range", "gap_mm"),
    (lambda d: d.update(gap_mm="wide"), "job.not_a_number", "gap_mm"),
    (lambda d: d.update(gap_mm=float("nan")), "job.not_a_number", "gap_mm"),
    (lambda d: d.update(currency="euro"), "job.value_form", "currency"),
    (lambda d: d.update(colour="red"), "job.field_unknown", "colour"),
    (lambda d: d.pop("name"), "job.value_missing", "name"),
    (lambda d: d.update(cores=[]), "job.length_range", "cores"),
    (lambda d: d.update(cores=3), "job.not_a_list", "cores"),
    (lambda d: d["loose"][0].update(count=0), "job.value_range", "loose[0].count"),
    (lambda d: d["loose"][0].update(count=1.5), "job.not_a_whole_number", "loose[0].count"),
    (lambda d: d["loose"][0].update(core_id="z"), "job.unknown_core", None),
    (lambda d: d.update(loose=[]), "job.core_unused", None),
    (lambda d: d["cores"][1].update(id="a"), "job.core_id_repeated", None),
    (lambda d: d["casting_sets"].append(d["casting_sets"][0]), "job.set_id_repeated", None),
    (lambda d: d["cores"][0].update(block={"size_mm": [1, 1, 1], "mass_kg": 1}), "job.mesh_or_block", None),
    (lambda d: d["cores"][1]["block"].update(volume_mm3=1), "job.block_mass_or_volume", None),
    (lambda d: d["cores"][0].update(orientations={"rule": "faces down"}), "job.faces_down", None),
    (lambda d: d["cores"][0]["mesh"].update(unit="furlong"), "job.value_range", "cores[0].mesh.unit"),
    (
        lambda d: d["cores"][1]["block"].update(size_mm=[0, 1, 1]),
        "job.value_range",
        "cores[1].block.size_mm[0]",
    ),
    (
        lambda d: d["casting_sets"][0].update(count=4000),
        "job.too_many_copies",
        None,
    ),
]


@pytest.mark.parametrize(("spoil", "code", "field"), BAD, ids=[code for _, code, _ in BAD])
@pytest.mark.parametrize("language", ["en", "de"])
def test_each_fault_of_a_job_is_one_sentence_that_names_the_field(spoil, code, field, language):
    stated = copy.deepcopy(document())
    spoil(stated)
    with pytest.raises(InputError) as caught:
        job_from_document(stated, "job.json")
    assert caught.value.code == code
    sentence = error_sentence(caught.value, language)
    assert "?)" not in sentence
    assert "\n" not in sentence
    if field is not None:
        assert field in sentence


def test_a_change_is_checked_as_a_whole_and_leaves_the_old_job_alone():
    job = job_from_document(document(), "j")
    with pytest.raises(InputError):
        changed(job, gap_mm=-3)
    assert changed(job, gap_mm=7.5).gap_mm == 7.5
    assert job.gap_mm is None


names = st.text(min_size=1, max_size=30).filter(lambda text: "\ud800" not in text)


@given(
    name=names,
    gap=st.none() | st.floats(0, 1000),
    count=st.integers(1, 500),
    size=st.tuples(*[st.floats(0.001, 20_000)] * 3),
)
def test_save_load_save_gives_the_same_bytes(tmp_path_factory, name, gap, count, size):
    stated = document()
    stated.update(name=name, gap_mm=gap)
    stated["loose"][0]["count"] = count
    stated["cores"][1]["block"]["size_mm"] = size
    job = job_from_document(stated, "j")
    path = tmp_path_factory.mktemp("job") / "job.json"
    write_job(job, path)
    first = path.read_bytes()
    write_job(read_job(path), path)
    assert path.read_bytes() == first == canonical_json(job_document(job))


def test_a_job_is_not_written_into_a_folder_that_does_not_exist(tmp_path):
    with pytest.raises(FileError) as caught:
        write_job(job_from_document(document(), "j"), tmp_path / "none" / "job.json")
    assert caught.value.code == "file.no_folder"


@given(st.data())
def test_damaged_job_files_are_refused_in_a_sentence_or_read_as_a_job(tmp_path_factory, data):
    content = bytearray(canonical_json(document()))
    for _ in range(data.draw(st.integers(1, 4))):
        place = data.draw(st.integers(0, len(content) - 1))
        content[place] = data.draw(st.integers(0, 255))
    path = tmp_path_factory.mktemp("damaged") / "job.json"
    path.write_bytes(content)
    try:
        read_job(path)
    except InputError as error:
        assert error_sentence(error)
    assert path.read_bytes() == content


def test_version_one_of_the_job_file_still_opens():
    from pathlib import Path

    path = Path(__file__).parent.parent / "data" / "job_files" / "version_1.json"
    job = read_job(path)
    assert json.loads(path.read_text(encoding="utf-8"))["schema_version"] == 1
    assert job.copies() == {"a": 6, "b": 4}
